/* test_program_ways.c - where a program goes beside what it cuts: table, plate, unknown places, the
 * shank in a slot, how far the part springs. Parts and programs are invented. */
#include <math.h>

#include "support/draft.h"
#include "support/script.h"

enum { LENGTH = 60, WIDTH = 40, THICK = 3, PLATE = 15 };
#define CELL 0.1 /* (mm) */

static draft bare(const char *stock, const char *tape, const char *cutter, int thick) {
    draft d = plate(LENGTH, WIDTH, thick);

    put(&d, "part", "stock", stock);
    put(&d, "hold", "tape", tape);
    put_length(&d, "hold", "plate_thickness", PLATE);
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", thick);
    add_cut(&d, "cut.1", "slot", cutter);
    put_length(&d, "cut.1", "axial", 0.2);
    put_point(&d, "cut.1", "from", 0, 20);
    put_point(&d, "cut.1", "to", LENGTH, 20);
    return d;
}

static void slot(script *s, double start) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS10000 M3\nG0 X-5 Y20\nZ%g\nG0 Z-0.2\nG1 X65 F300\n", start);
}

/* ---- deep beside the stock
 * ----------------------------------------------------------------------- */

/* The table lies there too; the plate may. */
static void what_is_beside_the_stock_is_told(void **state) {
    draft d = bare("al-6061-t6", "crepe-masking", "flat-3mm-2", THICK);
    th_job *job = built(&d);
    double plate = -job->stack_height, table = plate - PLATE;
    const struct {
        const char *move;
        double height; /* over the bonded face (mm) */
        bool table, plate, dives;
    } cases[] = {{"G0 X75\nZ%g\n", table - 0.1, true, true, true},
                 {"G1 X75\nZ%g\n", table - 0.1, true, true, false},
                 {"G0 X75\nZ%g\n", table + 0.1, false, true, true},
                 {"G0 X75\nZ%g\n", plate - 0.4, false, true, false},
                 {"G1 X75\nZ%g\n", plate - 0.2, false, true, false},
                 {"G0 X75\nZ%g\n", plate - 0.05, false, false, false},
                 {"G0 Z5\nX75\nY200\nZ%g\n", plate + 1, false, false, false}};
    (void)state;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        script s;
        th_run run;
        slot(&s, 5);
        say(&s, cases[i].move, cases[i].height - THICK);
        int line = line_now(&s) - 1;
        say(&s, "G0 Z20\nM30\n");
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(lists(&run.held_back, "reaches the table"), cases[i].table);
        assert_int_equal(lists(&run.held_back, "how far the plate reaches"), cases[i].dives);
        assert_int_equal(lists(&run.cautions, "beside the stock, where the plate is taken to end"),
                         cases[i].plate);
        assert_int_equal(run.reached_line, line);
        assert_near(run.reached, fmin(cases[i].height, THICK - 0.2), 0, 1e-9);
        th_run_free(&run);
    }
    th_job_free(job);
}

/* In the plate under the stock, where nothing has cut yet: a rapid, and a feed with the spindle at
 * a stand. */
static void the_plate_is_material_too(void **state) {
    static const struct {
        const char *way;
        const char *told; /* NULL: nothing */
    } cases[] = {{"G0 X40 Y20\nZ%g\nX70\n", "goes through material at rapid: line 10"},
                 {"M5\nG1 X40 Y20 F200\nZ%g\n", "cuts with the spindle stopped: line 11"},
                 {"G1 X40 Y20 F200\nZ%g\n", NULL}};
    draft d = bare("al-6061-t6", "crepe-masking", "flat-3mm-2", 1);
    th_job *job = built(&d);
    (void)state;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        script s;
        th_run run;
        slot(&s, 5);
        say(&s, "Z-1.05\nX-5\n");
        say(&s, cases[i].way, -1 - job->stack_height - 0.5);
        say(&s, "G0 Z5\nM30\n");
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(lists(&run.held_back, cases[i].told ? cases[i].told : "cutter"),
                         cases[i].told != NULL);
        th_run_free(&run);
    }
    th_job_free(job);
}

/* ---- from a place that is not known
 * -------------------------------------------------------------- */

static void a_low_way_from_nowhere_holds_back(void **state) {
    static const struct {
        const char *way;
        bool told;
    } cases[] = {{"G0 Z-0.2\nX-5 Y20\n", true},      {"G0 Z-0.2\nX-5\nY20\n", true},
                 {"G0 Z5\nX-5 Y20\nZ-0.2\n", false}, {"G0 X-5 Y20\nZ-0.2\n", false},
                 {"G0 Z5\nX-5 Y20 Z-0.2\n", true},   {"G0 Z0\nX-5 Y20\nZ-0.2\n", false}};
    draft d = bare("al-6061-t6", "crepe-masking", "flat-3mm-2", THICK);
    th_job *job = built(&d);
    (void)state;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        script s = {.used = 0};
        th_run run;
        say(&s, "G21 G90 G17\nS10000 M3\n%sG1 X65 F300\nG0 Z5\nM30\n", cases[i].way);
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(lists(&run.held_back, "sideways at rapid, 0.2 mm under the top"),
                         cases[i].told);
        th_run_free(&run);
    }
    th_job_free(job);
}

/* ---- a shank in a slot
 * ----------------------------------------------------------------------------- */

/* Level by level each step is within the flutes, which are `flute_length` long; what is over them
 * in the end is in the slot with them. Beside one wall alone it is just so. */
static void a_wide_shank_does_not_go_in(void **state) {
    draft d = bare("acrylic", "crepe-masking", "flat-1mm-2", 6);
    th_job *job = built(&d);
    const th_cutter *cutter = &job->cutters[0].row;
    (void)state;

    assert_true(cutter->shank > cutter->diameter);
    for (int over = 0; over <= 1; over++) {
        script s = {.used = 0};
        th_run run;
        double deep = cutter->flute_length + 0.2 * over;
        int line = 0;
        say(&s, "G21 G90 G17\nS12000 M3\nG0 X-5 Y20 Z5\n");
        for (int k = 1; k <= 16; k++) {
            say(&s, "G0 X-5\nZ%g\n", -deep * k / 16);
            line = line_now(&s);
            say(&s, "G1 X65 F300\nG0 Z5\n");
        }
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(run.found_count, (size_t)over);
        assert_int_equal(lists(&run.held_back, "its shank, which is wider, in the stock"),
                         over == 1);
        if (over) {
            assert_int_equal(run.found[0].kind, TH_FOUND_SHANK);
            assert_int_equal(run.found[0].line, line);
            assert_near(run.found[0].depth, 0.2, 0, 1e-5);
        }
        th_run_free(&run);
    }
    th_job_free(job);
}

/* Where the flutes cut nothing the shank may stand in the stock all the same, at rapid too. */
static void a_wide_shank_beside_a_wall(void **state) {
    draft d = bare("acrylic", "crepe-masking", "flat-1mm-2", 6);
    th_job *job = built(&d);
    const th_cutter *cutter = &job->cutters[0].row;
    double reach = cutter->shank / 2;
    const struct {
        const char *word;
        double away; /* of the axis from the edge (mm) */
        bool told;
    } cases[] = {{"G1", 0.55, true},
                 {"G0", 0.55, true},
                 {"G1", reach - 0.1, true},
                 {"G1", reach + 0.1, false}};
    (void)state;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        script s;
        th_run run;
        slot(&s, 5);
        say(&s, "G0 Z5\nX-5 Y%g\nZ%g\nF300\n%s X65\nG0 Z5\nM30\n", -cases[i].away,
            -cutter->flute_length - 0.5, cases[i].word);
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(run.found_count, (size_t)cases[i].told);
        if (cases[i].told) {
            assert_int_equal(run.found[0].kind, TH_FOUND_SHANK);
            assert_near(run.found[0].depth, 0.5, 0, 1e-5);
        }
        th_run_free(&run);
    }
    th_job_free(job);
}

/* ---- what the cutter bears
 * ----------------------------------------------------------------------- */

/* As `check` tells it of the same slot: fed five times too fast, and as it should be. */
static void a_cutter_that_bends_too_hard_is_told(void **state) {
    draft d = bare("al-6061-t6", "crepe-masking", "flat-1mm-2", THICK);
    (void)state;

    for (int hard = 0; hard <= 1; hard++) {
        script s = {.used = 0};
        th_run run_;
        answer a;
        put_length(&d, "cut.1", "axial", hard ? 1 : 0.05);
        put(&d, "cut.1", "speed", "10000 rpm");
        put(&d, "cut.1", "feed", hard ? "1500 mm/min" : "100 mm/min");
        run(&d, false, &a);
        const th_stage *stage = &a.check.stages[0];
        say(&s, "G21 G90 G17\nS10000 M3\nG0 X-5 Y20 Z5\nZ%g\nG1 X65 F%d\nG0 Z5\nM30\n",
            hard ? -1 : -0.05, hard ? 1500 : 100);
        run_script(a.job, &s, 0, CELL, &run_);
        assert_int_equal(stage->breakage_margin < 1, hard);
        assert_int_equal(lists(&run_.cautions, "may break in line 5: it bends too hard"), hard);
        assert_int_equal(lists(&run_.cautions, "springs by over 1 % of its diameter in line 5"),
                         stage->deflection_margin < 1);
        th_run_free(&run_);
        answer_free(&a);
    }
}

/* ---- springing
 * ------------------------------------------------------------------------------------- */

/* As `check` tells it, where the job gives no limit, with the line. */
static void what_springs_far_is_told(void **state) {
    draft d = bare("acrylic", "foam-acrylic", "flat-3mm-2", THICK);
    th_job *job = built(&d);
    script s = {.used = 0};
    th_run run;
    (void)state;

    say(&s, "G21 G90 G17\nS10000 M3\nG0 X-5 Y20 Z5\nZ-1\nG1 X65 F600\nG0 Z5\nM30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_true(run.hold_factor >= 1 && run.sway > TH_SWAY_PRACTICE);
    assert_int_equal(run.sway_line, 5);
    assert_true(lists(&run.cautions, "sideways on its tape in line 5: sizes come out"));
    th_run_free(&run);
    job->head.sway_limit = 0.05;
    run_script(job, &s, 0, CELL, &run);
    assert_true(lists(&run.cautions, "on its tape in line 5; the job allows 0.05 mm"));
    th_run_free(&run);
    job->head.sway_limit = 5;
    run_script(job, &s, 0, CELL, &run);
    assert_false(lists(&run.cautions, "on its tape in line 5"));
    th_run_free(&run);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_beside_the_stock_is_told),
        cmocka_unit_test(the_plate_is_material_too),
        cmocka_unit_test(a_low_way_from_nowhere_holds_back),
        cmocka_unit_test(a_wide_shank_does_not_go_in),
        cmocka_unit_test(a_wide_shank_beside_a_wall),
        cmocka_unit_test(a_cutter_that_bends_too_hard_is_told),
        cmocka_unit_test(what_springs_far_is_told),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
