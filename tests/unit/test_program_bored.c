/* Tests of what a program bores out of a part: small cores that stand loose in the end, told of or
 * not, and large ones; and of how what the plate says of some steps is carried over to others.
 * Parts and programs are invented. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"
#include "support/script.h"

#define CELL 0.06 /* (mm) */

enum { PLATES = 30 }; /* one of each kind of place in each quarter, at least */

/* 80 mm x 50 mm x 3 mm in a sheet, milled with 3 mm. */
static draft in_sheet(void) {
    draft d = plate(80, 50, 3);

    put(&d, "hold", "cutting_time", "120 s");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 3);
    add_sheet(&d, 100, 70, 10, 10);
    add_cut(&d, "cut.1", "hole", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.25);
    put_point(&d, "cut.1", "at", 40, 25);
    put_length(&d, "cut.1", "size", 7.4);
    put(&d, "cut.1", "speed", "14000 rpm");
    put(&d, "cut.1", "feed", "400 mm/min");
    return d;
}

static void begin(script *s) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS14000 M3\nG0 Z5\n");
}

/* Circles of a radius round a place, each a quarter of a millimetre deeper, or down a helix. */
static void bore(script *s, double x, double y, double radius, bool helix) {
    say(s, "G0 X%g Y%g\nZ0.5\nG1 Z0 F200\n", x + radius, y);
    for (int pass = 1; pass <= 13; pass++) {
        double z = pass < 13 ? -0.25 * pass : -3.15;
        if (helix) {
            say(s, "G3 I%g Z%g F400\n", -radius, z);
        } else {
            say(s, "G1 Z%g F60\nG3 I%g F400\n", z, -radius);
        }
    }
    say(s, "G3 I%g F400\nG0 Z5\n", -radius);
}

static size_t count_with(const th_lines *lines, const char *piece) {
    size_t count = 0;

    for (size_t i = 0; i < lines->count; i++) {
        count += strstr(lines->items[i], piece) != NULL;
    }
    return count;
}

/* ---- cores ----------------------------------------------------------------------------------- */

/* A core of 1.4 mm need not stay, whether the job tells of the hole or not, and what is cut later
 * is held as it was; its own figure is told. */
static void test_small_core(void **state) {
    th_run told, untold;
    (void)state;

    for (int helix = 0; helix < 2; helix++) {
        draft d = in_sheet();
        script s;
        begin(&s);
        bore(&s, 40, 25, 2.2, helix);
        say(&s, "G0 X10 Y10\nZ0.5\nG1 Z-0.1 F100\nX70 F400\nG0 Z5\nM30\n");
        int last = line_now(&s) - 3;
        th_job *job = built(&d);
        run_script(job, &s, PLATES, CELL, &untold);
        put_point(&d, "opening.1", "at", 40, 25);
        put_length(&d, "opening.1", "size", 7.4);
        th_job *other = built(&d);
        run_script(other, &s, PLATES, CELL, &told);
        assert_int_equal(untold.loose_count, 1);
        assert_int_equal(untold.loose[0].kind, TH_PIECE_SLUG);
        assert_true(untold.loose[0].untold && !told.loose[0].untold);
        assert_false(untold.loose[0].counts);
        assert_true(untold.loose[0].hold_factor < 0.01);
        assert_true(told.loose[0].hold_factor < 0.01);
        assert_int_equal(count_with(&untold.cautions, "sets a slug free that will come loose"), 1);
        assert_int_equal(count_with(&untold.cautions, "counts as a slug, as it is small"), 1);
        assert_int_equal(count_with(&told.cautions, "counts as a slug"), 0);
        assert_near(untold.hold_factor, told.hold_factor, 0.03, 0); /* other steps are asked */
        /* of a hole not told of, all the heat is taken to stay in the part */
        assert_true(untold.lines[last].area_factor < 1.001F * told.lines[last].area_factor);
        assert_true(untold.lines[last].area_factor > 0.95F * told.lines[last].area_factor);
        assert_true(untold.lines[last].hold_factor > 5 && told.lines[last].hold_factor > 5);
        assert_true(untold.warmest < 60);
        assert_int_equal(untold.verdict, TH_HOLDS);
        th_run_free(&told);
        th_run_free(&untold);
        th_job_free(other);
        th_job_free(job);
    }
}

/* The hole of a job: over the whole cut the job's factor is the lower one, as it has the cut in
 * full and feeds it every way, but a core on its last web is not what must stay. */
static void test_as_job(void **state) {
    draft d = in_sheet();
    answer a;
    (void)state;

    run(&d, false, &a);
    const th_stage *stage = stage_of(&a, "cut.1", TH_PIECE_STOCK);
    for (int helix = 0; helix < 2; helix++) {
        script s;
        th_run found;
        begin(&s);
        bore(&s, 40, 25, 2.2, helix);
        say(&s, "M30\n");
        run_script(a.job, &s, PLATES, CELL, &found);
        if (!helix) {
            assert_near(found.peak_force, stage->in_plane_peak, 0.02, 0);
        }
        assert_true(found.hold_factor > 0.98 * stage->hold_factor);
        assert_true(found.hold_factor < 1.4 * stage->hold_factor);
        th_run_free(&found);
    }
    answer_free(&a);
}

/* Where all must stay the core does not, and says so; what is cut after that is not the worse. */
static void test_must_stay(void **state) {
    draft d = in_sheet();
    script s;
    th_run run;
    (void)state;

    put(&d, "job", "offcuts", "must-stay");
    th_job *job = built(&d);
    begin(&s);
    bore(&s, 40, 25, 2.2, true);
    say(&s, "G0 X10 Y10\nZ0.5\nG1 Z-0.1 F100\nX70 F400\nG0 Z5\nM30\n");
    int last = line_now(&s) - 3;
    run_script(job, &s, 0, CELL, &run);
    assert_true(run.loose[0].counts);
    assert_int_equal(run.verdict, TH_LETS_GO);
    assert_true(run.hold_factor < 0.01);
    assert_true(run.lines[last].hold_factor > 5);
    assert_true(run.warmest < 60);
    th_run_free(&run);
    th_job_free(job);
}

/* What could be the part, or is cut off it, counts. */
static void test_parts_count(void **state) {
    static const struct {
        const char *cut;
        double area; /* of the piece (mm2) */
    } cases[] = {{"G0 X49.9 Y25\nZ1\nG1 Z-3.2 F60\nG3 I-9.9 F400\n", 8.4 * 8.4 * TH_PI},
                 /* under a twentieth, but more than four cutters wide */
                 {"G0 X48.4 Y25\nZ1\nG1 Z-3.2 F60\nG3 I-8.4 F400\n", 6.9 * 6.9 * TH_PI},
                 {"G0 X40 Y-5\nZ1\nG1 Z-3.2 F60\nY60 F400\n", 38.5 * 50},
                 {"G0 X-5 Y5\nZ1\nG1 Z-3.2 F60\nX5 F400\nY-5\n", 3.5 * 3.5}};
    (void)state;

    for (int i = 0; i < 4; i++) {
        draft d = plate(80, 50, 3); /* the stock is the part */
        script s;
        th_run run;
        put(&d, "zero", "at", "0,0");
        put_length(&d, "zero", "top", 3);
        add_cut(&d, "cut.1", "slot", "flat-3mm-2");
        put_length(&d, "cut.1", "axial", 0.25);
        th_job *job = built(&d);
        begin(&s);
        say(&s, "%sG0 Z5\nM30\n", cases[i].cut);
        run_script(job, &s, 0, CELL, &run);
        /* what it is cut off is as free as it is, but where it lies round it */
        assert_int_equal(run.loose_count, i < 2 ? 1 : 2);
        assert_int_equal(run.loose[run.loose_count - 1].kind, TH_PIECE_PART);
        assert_int_equal(run.loose[0].kind, TH_PIECE_PART);
        assert_true(run.loose[0].counts);
        assert_near(run.loose[0].area, cases[i].area * job->hold.coverage, 0.03, 0);
        assert_near(run.loose[0].hold_factor, run.area_factor, 0.001, 0);
        assert_int_equal(count_with(&run.cautions, "and it counts as part"), i < 2);
        if (i == 2) { /* two halves, and the larger one too is told */
            assert_int_equal(run.loose[1].line, run.loose[0].line);
            assert_near(run.loose[1].area, 38.5 * 50 * job->hold.coverage, 0.03, 0);
            assert_near(run.loose[1].hold_factor, run.area_factor, 0.05, 0);
        }
        th_run_free(&run);
        th_job_free(job);
    }
}

/* A core that could be the part has its heat to itself, and so has the rest: what is cut there
 * later is no warmer than if the core had left the rest all the heat of its cut. */
static void test_heat_of_rest(void **state) {
    th_run told, untold;
    (void)state;

    draft d = in_sheet();
    script s;
    begin(&s);
    say(&s, "G0 X48.4 Y25\nZ1\nG1 Z-3.2 F60\nG3 I-8.4 F400\n");
    int round = line_now(&s) - 1;
    say(&s, "G0 Z5\nX10 Y10\nZ0.5\nG1 Z-0.1 F100\nX70 F400\nG0 Z5\nM30\n");
    int last = line_now(&s) - 3;
    th_job *job = built(&d);
    run_script(job, &s, 0, CELL, &untold);
    put_point(&d, "opening.1", "at", 40, 25);
    put_length(&d, "opening.1", "size", 19.8);
    th_job *other = built(&d);
    run_script(other, &s, 0, CELL, &told);
    assert_true(untold.loose[0].counts && !told.loose[0].counts);
    double rise = (double)told.lines[last].temperature - 21;
    double alone = (double)untold.lines[last].temperature - 21; /* with the heat of the slug, too */
    assert_true(alone > 0.999 * rise && alone < 2 * rise);
    assert_int_equal(untold.warmest_line, round);
    assert_true((double)untold.lines[round].temperature <= untold.warmest);
    th_run_free(&told);
    th_run_free(&untold);
    th_job_free(other);
    th_job_free(job);
}

/* Small pieces that are together more than a twentieth of the part could be what is made. */
static void test_many_cores(void **state) {
    draft d = in_sheet();
    script s;
    th_run run;
    size_t slugs = 0, parts = 0;
    (void)state;

    th_job *job = built(&d);
    begin(&s);
    for (int i = 0; i < 4; i++) { /* of 69 mm2 each */
        say(&s, "G0 X%g Y25\nZ1\nG1 Z-3.2 F60\nG3 I-6.2 F400\nG0 Z5\n", 18.0 + 18 * i);
    }
    say(&s, "M30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_int_equal(run.loose_count, 4);
    for (int i = 0; i < 4; i++) {
        slugs += run.loose[i].kind == TH_PIECE_SLUG;
        parts += run.loose[i].kind == TH_PIECE_PART;
    }
    assert_int_equal(slugs, 2);
    assert_int_equal(parts, 2);
    assert_near(run.hold_factor, run.loose[2].hold_factor, 0.2, 0);
    th_run_free(&run);
    th_job_free(job);
}

/* ---- what the plate says of lines that it is not asked at --------------------------------------
 */

/* Along x, at a depth, over a bridge in the middle that stands 0.8 mm high. */
static void long_side(script *s, double to, double z, bool tabs) {
    int way = to > 40 ? 1 : -1;

    if (tabs && z < -2.2) {
        say(s, "G1 X%d F400\nZ-2.2 F150\nX%d F400\nZ%g F150\n", 40 - 4 * way, 40 + 4 * way, z);
    }
    say(s, "G1 X%g F400\n", to);
}

/* Round the part, deeper and deeper. */
static void outline(script *s, bool tabs) {
    static const double depths[] = {-1, -2, -2.6, -3.15};

    say(s, "G0 X-1.5 Y-1.5\nZ1\n");
    for (int i = 0; i < 4; i++) {
        say(s, "G1 Z%g F150\nY51.5 F400\n", depths[i]);
        long_side(s, 81.5, depths[i], tabs);
        say(s, "Y-1.5\n");
        long_side(s, -1.5, depths[i], tabs);
    }
    say(s, "G0 Z5\nM30\n");
}

typedef struct {
    th_loads *loads;
    size_t seen, every;
    double least[400]; /* by line, of the steps asked */
} asked;

static bool ask(void *context, const th_step_load *load, th_error *err) {
    asked *a = context;
    th_bent_load bent;

    if (!load->counts || a->seen++ % a->every != 0) {
        return true;
    }
    if (!th_loads_plate(a->loads, &bent, err)) {
        return false;
    }
    assert_in_range(load->line, 1, 399);
    a->least[load->line] = fmin(a->least[load->line], bent.hold_factor);
    return true;
}

typedef struct {
    th_loads *loads;
} feeder;

static bool feed_it(void *context, const th_move *move, th_error *err) {
    return th_loads_move(((feeder *)context)->loads, move, err);
}

static void sweep(const th_load_setup *setup, const script *s, asked *a, th_loads **loads) {
    th_program_options reading = th_program_defaults();
    th_program_report report = {0};
    th_error err = {0};
    feeder to;

    if (!th_loads_make(setup, loads, &err)) {
        fail_msg("%s", err.message);
    }
    to.loads = *loads;
    if (a) {
        a->loads = *loads;
    }
    if (!th_program_read(s->text, s->used, &reading, feed_it, &to, &report, &err) ||
        !th_loads_end(*loads, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
    th_program_report_free(&report);
}

/* The plate asked at steps of every line, as the run asks it at a few. */
static void ask_all(const th_job *job, const script *s, asked *a) {
    th_sweep_tool tool = {-1, &job->cutters[0].row, job->cutters[0].wear};
    th_load_setup setup = {.job = job, .tools = &tool, .tool_count = 1, .cell = CELL, .context = a};
    th_tabs tabs, goes;
    th_loads *loads;
    th_error err;

    sweep(&setup, s, NULL, &loads);
    assert_true(th_loads_tabs(loads, &tabs, &err));
    th_loads_free(loads);
    setup.tabs = &tabs;
    sweep(&setup, s, NULL, &loads);
    assert_true(th_loads_goes(loads, &goes, &err));
    th_loads_free(loads);
    setup.goes = &goes;
    setup.each = ask;
    for (int i = 0; i < 400; i++) {
        a->least[i] = INFINITY;
    }
    sweep(&setup, s, a, &loads);
    th_loads_free(loads);
    th_tabs_free(&tabs);
    th_tabs_free(&goes);
}

/* With tabs and without, a line is told no more than 5 % better than the plate says of its steps.
 */
static void test_carried(void **state) {
    (void)state;

    for (int tabs = 0; tabs < 2; tabs++) {
        draft d = in_sheet();
        asked a = {.every = 23};
        double most = 0;
        script s;
        th_run run;
        th_job *job = built(&d);
        begin(&s);
        bore(&s, 40, 25, 2.2, true);
        outline(&s, tabs);
        run_script(job, &s, PLATES, CELL, &run);
        ask_all(job, &s, &a);
        for (size_t i = 0; i < run.line_count && i < 400; i++) {
            double ratio = (double)run.lines[i].hold_factor / a.least[i];
            if (isfinite(a.least[i]) && a.least[i] < 100) {
                most = fmax(most, ratio);
            }
        }
        assert_in_range(most * 1000, 900, 1050);
        th_run_free(&run);
        th_job_free(job);
    }
}

/* Fifteen levels, the last two through. */
static double level(int i) {
    return i < 14 ? -0.254 * (i + 1) : -3.683;
}

/* A core that may be what is made counts, but what the plate says of it is not of the part: lines
 * that go round the part bend it as much as where the job tells of the hole. */
static void test_core_and_part(void **state) {
    double told[200], least = INFINITY;
    (void)state;

    for (int open = 1; open >= 0; open--) {
        draft d = plate(76.2, 50.8, 3.175);
        script s;
        th_run run;
        size_t from;
        put(&d, "hold", "tape", "polyester-silicone");
        put(&d, "hold", "cooling", "mist");
        put(&d, "hold", "wait", "12 h");
        put(&d, "zero", "at", "0,0");
        put_length(&d, "zero", "top", 3.175);
        add_sheet(&d, 101.6, 76.2, 12.7, 12.7);
        add_cut(&d, "cut.1", "outline", "flat-1-8in-2");
        put(&d, "cutter.em", "wear", "1");
        put_length(&d, "cut.1", "radial", 3.175);
        put_length(&d, "cut.1", "axial", 0.254);
        if (open) {
            put_point(&d, "opening.1", "at", 38.1, 25.4);
            put_length(&d, "opening.1", "size", 25.4);
        }
        th_job *job = built(&d);
        s = (script){.used = 0};
        say(&s, "G21 G90 G17\nS10000 M3\nG0 Z5\nX49.2125 Y25.4\nZ1\n");
        for (int i = 0; i < 15; i++) {
            say(&s, "G1 Z%g F76\nG3 I-11.1125 F356\n", level(i));
        }
        say(&s, "G0 Z5\nX-1.5875 Y-1.5875\nZ1\n");
        from = (size_t)line_now(&s);
        for (int i = 0; i < 15; i++) {
            say(&s, "G1 Z%g F76\nY52.3875 F356\nX77.7875\nY-1.5875\nX-1.5875\n", level(i));
        }
        say(&s, "G0 Z5\nM30\n");
        run_script(job, &s, PLATES, CELL, &run);
        assert_true(run.line_count <= 200);
        for (size_t i = from; i < run.line_count; i++) {
            double factor = (double)run.lines[i].hold_factor;
            double bends = (double)run.lines[i].area_factor / factor;
            least = !open && factor < 20 ? fmin(least, bends / told[i]) : least;
            told[i] = open ? bends : told[i];
        }
        th_run_free(&run);
        th_job_free(job);
    }
    assert_in_range(least * 1000, 970, 1100);
}

/* ---- plunges ----------------------------------------------------------------------------------
 */

/* Round the part in passes, each begun by a plunge at the same corner; with `bump` the cutter rises
 * on the side of one lap a little. Gives the line of the last plunge. */
static int laps(script *s, bool bump) {
    int plunge = 0;

    say(s, "G0 X-1.5 Y-1.5\nZ0.5\n");
    for (int pass = 1; pass <= 6; pass++) {
        double z = pass < 6 ? -0.5 * pass : -3.2;
        plunge = line_now(s);
        say(s, "G1 Z%g F60\n", z);
        if (bump && pass == 5) {
            say(s, "Y16 F400\nZ%g F200\nY24 F400\nZ%g F60\n", z + 0.25, z);
        }
        say(s, "Y51.5 F400\nX81.5\nY-1.5\nX-1.5\n");
    }
    say(s, "G0 Z5\nM30\n");
    return plunge;
}

/* Between two plunges at one place a lap goes by, and the place cools: it is not one long hole, and
 * what the lap does elsewhere is nothing to it. */
static void test_plunges_apart(void **state) {
    draft d = in_sheet();
    double factors[2];
    (void)state;

    th_job *job = built(&d);
    for (int bump = 0; bump < 2; bump++) {
        script s;
        th_run run;
        begin(&s);
        int line = laps(&s, bump);
        run_script(job, &s, 0, CELL, &run);
        factors[bump] = (double)run.lines[line].area_factor;
        th_run_free(&run);
    }
    assert_near(factors[1], factors[0], 0.03, 0);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_small_core),    cmocka_unit_test(test_as_job),
        cmocka_unit_test(test_must_stay),     cmocka_unit_test(test_parts_count),
        cmocka_unit_test(test_heat_of_rest),  cmocka_unit_test(test_many_cores),
        cmocka_unit_test(test_carried),       cmocka_unit_test(test_core_and_part),
        cmocka_unit_test(test_plunges_apart),
    };
    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
