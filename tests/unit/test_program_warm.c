/* test_program_warm.c - how warm a program gets the tape, against `check` of the same cut. Parts
 * and programs are invented. */
#include <math.h>

#include "support/draft.h"
#include "support/script.h"

enum { THICK = 3, PLATES = 30 };
#define CELL 0.1 /* (mm) */

/* Held by a double-sided tape alone; zero on top, over the corner. */
static draft on_tape(const char *tape, double length, double width, double thick) {
    draft d = plate(length, width, thick);

    put(&d, "hold", "tape", tape);
    put(&d, "hold", "glue", "none");
    put(&d, "hold", "preparation", "scuffed");
    put(&d, "hold", "wait", "24 h");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", thick);
    return d;
}

static void begin(script *s) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS12000 M3\nG0 Z5\n");
}

/* ---- a rim
 * --------------------------------------------------------------------------------------- */

/* Brass on a tape that keeps the heat in, in a sheet that leaves a rim beyond the kerf. */
static double rimmed(double rim, double *check, double *warmest) {
    draft d = on_tape("foam-acrylic", 40, 30, 1.5);
    script s;
    th_run run_;
    answer a;

    put(&d, "part", "stock", "brass");
    add_sheet(&d, 40 + 2 * (3 + rim), 30 + 2 * (3 + rim), 3 + rim, 3 + rim);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.15);
    put_length(&d, "cut.1", "radial", 3);
    put(&d, "cut.1", "speed", "8000 rpm");
    put(&d, "cut.1", "feed", "250 mm/min");
    run(&d, false, &a);
    *check = stage_of(&a, "cut.1", TH_PIECE_PART)->hold_factor;
    begin(&s);
    say(&s, "S8000\nG0 X-1.5 Y10\n");
    for (int k = 1; k <= 11; k++) {
        say(&s, "G1 Z%g F60\nY31.5 F250\nX41.5\nY-1.5\nX-1.5\nY10\n", k < 11 ? -0.15 * k : -1.55);
    }
    say(&s, "G0 Z5\nM30\n");
    run_script(a.job, &s, PLATES, CELL, &run_);
    double factor = INFINITY;
    *warmest = run_.warmest;
    for (size_t i = 0; i < run_.line_count; i++) { /* but the plunges, which check does not know */
        factor = run_.lines[i].plunges ? factor : fmin(factor, (double)run_.lines[i].hold_factor);
    }
    th_run_free(&run_);
    answer_free(&a);
    return factor;
}

/* One that is hardly there takes no heat off the part, for `check` either. */
static void a_thin_rim_takes_no_heat(void **state) {
    double check, hot, warm, thin = rimmed(0.2, &check, &hot), some;

    (void)state;
    assert_near(thin, check, 0.08, 0);
    some = rimmed(1, &check, &warm);
    assert_near(some, check, 0.08, 0);
    assert_true(some > thin && hot > warm + 10);
}

/* ---- two halves
 * ---------------------------------------------------------------------------------- */

/* A part cut in two: the narrow half has half of the heat to itself, as `check` has it, and each
 * half is told with what it holds. */
static void halves_are_told_each(void **state) {
    draft d = on_tape("foam-acrylic", 80, 50, THICK);
    const th_loose *narrow, *wide;
    script s;
    th_run r;
    answer a;

    (void)state;
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.3);
    put(&d, "cut.1", "through", "yes");
    put(&d, "cut.1", "speed", "12000 rpm");
    put(&d, "cut.1", "feed", "350 mm/min");
    put_point(&d, "cut.1", "from", -1.5, 12);
    put_point(&d, "cut.1", "to", 81.5, 12);
    run(&d, false, &a);
    begin(&s);
    for (int k = 1; k <= 10; k++) {
        say(&s, "G0 X-5 Y12\nZ%g\nG1 X85 F350\nG0 Z5\n", k < 10 ? -0.3 * k : -THICK - 0.1);
    }
    say(&s, "M30\n");
    run_script(a.job, &s, PLATES, CELL, &r);
    assert_int_equal(r.loose_count, 2);
    narrow = r.loose[0].area < r.loose[1].area ? &r.loose[0] : &r.loose[1];
    wide = narrow == &r.loose[0] ? &r.loose[1] : &r.loose[0];
    assert_near(narrow->hold_factor, r.hold_factor, 1e-6, 0);
    assert_true(wide->hold_factor > 2 * narrow->hold_factor);
    assert_true(r.hold_factor < 1.03 * a.check.hold_factor);
    assert_near(r.hold_factor, a.check.hold_factor, 0.15, 0);
    th_run_free(&r);
    answer_free(&a);
}

/* ---- a steep way in
 * ------------------------------------------------------------------------------ */

/* Straight down or at 89 degrees is all one. */
static void a_steep_way_in_is_as_straight_down(void **state) {
    static const double ways[] = {0, 0.0175, 0.1};
    double warm[3];
    draft d = on_tape("foam-acrylic", 80, 50, 3);
    th_job *job;

    (void)state;
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 0.3);
    put_point(&d, "cut.1", "from", 0, 25);
    put_point(&d, "cut.1", "to", 80, 25);
    job = built(&d);
    for (size_t i = 0; i < 3; i++) {
        script s;
        th_run r;
        begin(&s);
        say(&s, "G0 X10 Y25\nG1 Z0 F100\nG1 X%g Z-1 F100\nG0 Z5\nM30\n", 10 + ways[i]);
        run_script(job, &s, 0, CELL, &r);
        warm[i] = r.warmest;
        th_run_free(&r);
    }
    assert_near(warm[1], warm[0], 0, 5);
    assert_near(warm[2], warm[0], 0, 5);
    th_job_free(job);
}

/* ---- plastics
 * ------------------------------------------------------------------------------------ */

/* Part and cutter hardly share their heat, but what a pocket has brought is all over the part when
 * its outline is cut. */
static void a_pocket_warms_the_outline(void **state) {
    draft d = on_tape("double-film-acrylic", 60, 40, THICK);
    const th_stage *part;
    script s;
    th_run r;
    answer a;

    (void)state;
    put(&d, "part", "stock", "acrylic");
    add_sheet(&d, 80, 60, 10, 10);
    add_cut(&d, "cut.1", "pocket", "flat-3mm-2");
    put(&d, "cut.1", "speed", "10000 rpm");
    put(&d, "cut.1", "feed", "600 mm/min");
    put_length(&d, "cut.1", "radial", 1.2);
    put_length(&d, "cut.1", "axial", 0.3);
    put_length(&d, "cut.1", "depth", 2.4);
    put_point(&d, "cut.1", "at", 30, 20);
    put(&d, "cut.1", "size", "40 x 24");
    add_cut(&d, "cut.2", "outline", "flat-3mm-2");
    put(&d, "cut.2", "speed", "10000 rpm");
    put(&d, "cut.2", "feed", "600 mm/min");
    put_length(&d, "cut.2", "radial", 3);
    put_length(&d, "cut.2", "axial", 0.3);
    put_length(&d, "cut.2", "last_axial", 0.3);
    run(&d, false, &a);
    part = stage_of(&a, "cut.2", TH_PIECE_PART);
    begin(&s);
    say(&s, "S10000\n");
    for (int k = 1; k <= 8; k++) { /* from the middle out */
        say(&s, "G0 X30 Y20\nZ%g\nG1 Z%g F100\nX38 F600\nX22\n", 0.1 - 0.3 * (k - 1), -0.3 * k);
        for (int ring = 1; ring <= 9; ring++) {
            double in = 1.2 * ring < 10.5 ? 1.2 * ring : 10.5;
            say(&s, "X%g Y%g\nX%g\nY%g\nX%g\nY%g\n", 22 - in, 20 - in, 38 + in, 20 + in, 22 - in,
                20 - in);
        }
        say(&s, "G0 Z5\n");
    }
    for (int k = 1; k <= 10; k++) {
        say(&s, "G0 X-1.5 Y-12\nZ%g\nG1 Y41.5 F600\nX61.5\nY-1.5\nX-1.5\nG0 Z5\n", -0.3 * k);
    }
    say(&s, "M30\n");
    run_script(a.job, &s, 0, CELL, &r);
    assert_near(r.warmest, part->temperature, 0, 1.5);
    th_run_free(&r);
    answer_free(&a);
}

/* Slots beside one another, each with the warmth of those before, as `check` has it. */
static void slots_warm_one_another(void **state) {
    double rise[2];

    (void)state;
    for (int many = 0; many <= 1; many++) {
        draft d = on_tape("double-film-acrylic", 80, 40, THICK);
        th_job *job;
        script s;
        th_run r;
        put(&d, "part", "stock", "acrylic");
        add_cut(&d, "cut.1", "slot", "flat-3mm-2");
        put_length(&d, "cut.1", "axial", 0.3);
        put_point(&d, "cut.1", "from", 15, 4);
        put_point(&d, "cut.1", "to", 65, 4);
        job = built(&d);
        begin(&s);
        for (int i = many ? 0 : 4; i < 5; i++) {
            for (int k = 1; k <= 8; k++) {
                say(&s, "G0 Z1\nX15 Y%d\nG1 Z%g F60\nX65 F250\n", 4 + 7 * i, -0.3 * k);
            }
            say(&s, "G0 Z5\n");
        }
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &r);
        rise[many] = r.warmest;
        th_run_free(&r);
        th_job_free(job);
    }
    assert_true(rise[1] > rise[0] + 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_thin_rim_takes_no_heat),
        cmocka_unit_test(halves_are_told_each),
        cmocka_unit_test(a_steep_way_in_is_as_straight_down),
        cmocka_unit_test(a_pocket_warms_the_outline),
        cmocka_unit_test(slots_warm_one_another),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
