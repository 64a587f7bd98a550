/* Tests of what bending makes of single lines: a line is told by what the plate says where it cuts,
 * and not by what another place bends. Parts and programs are invented. */
#include <math.h>

#include "support/draft.h"
#include "support/script.h"

#define CELL 0.02 /* (mm) */
enum { PLATES = 40 };

static void hold_firm(draft *d, double thickness) {
    put(d, "hold", "tape", "transfer-acrylic");
    put(d, "hold", "cooling", "mist");
    put(d, "hold", "preparation", "scuffed");
    put(d, "hold", "wait", "12 h");
    put(d, "zero", "at", "0,0");
    put_length(d, "zero", "top", thickness);
}

static void begin(script *s) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS5000 M3\nM7\nG0 Z5\n");
}

static double lowest(const th_job *job, const script *s, size_t plates) {
    th_run run;
    double factor;

    run_script(job, s, plates, CELL, &run);
    factor = run.hold_factor;
    th_run_free(&run);
    return factor;
}

/* ---- a slot between two copies
 * ------------------------------------------------------------------- */

static void round_both(script *s, double z) {
    say(s, "G0 X-0.5 Y-0.5\nZ0.5\nG1 Z%g F30\nY18.5 F200\nX49.5\nY-0.5\nX-0.5\nG0 Z5\n", z);
}

static void between_them(script *s, double z) {
    say(s, "G0 X24.5 Y-0.5\nZ0.5\nG1 Z%g F30\nY18.5 F200\nG0 Z5\n", z);
}

/* Up to the end of the slot both copies are one piece, which bends far more beside it than either
 * alone, held by all of its bond: what that takes off the whole it does not take off the half. */
static void test_slot_between(void **state) {
    draft d = plate(24, 18, 1);
    double factors[2];
    (void)state;

    hold_firm(&d, 1);
    put(&d, "part", "copies", "2 x 1");
    put(&d, "part", "pitch", "25,19");
    add_sheet(&d, 65, 34, 8, 8);
    add_cut(&d, "cut.1", "outline", "flat-1mm-2");
    put_length(&d, "cut.1", "axial", 0.36);
    put_length(&d, "cut.1", "radial", 1);
    th_job *job = built(&d);
    for (int first = 0; first < 2; first++) {
        script s;
        begin(&s);
        for (int pass = 1; pass <= 3; pass++) {
            double z = pass < 3 ? -0.36 * pass : -1.05;
            if (first) {
                between_them(&s, z);
            }
            round_both(&s, z);
            if (!first) {
                between_them(&s, z);
            }
        }
        say(&s, "M30\n");
        factors[first] = lowest(job, &s, PLATES);
    }
    assert_near(factors[0], factors[1], 0.15, 0);
    th_job_free(job);
}

/* ---- one path in many lines
 * ---------------------------------------------------------------------- */

/* To a place in steps of `each`; 0: in one. */
static void go(script *s, const double from[2], const double to[2], double each) {
    int count = each > 0 ? (int)ceil(hypot(to[0] - from[0], to[1] - from[1]) / each) : 1;

    for (int i = 1; i <= count; i++) {
        double share = (double)i / count;
        say(s, "X%.3fY%.3f\n", from[0] + share * (to[0] - from[0]),
            from[1] + share * (to[1] - from[1]));
    }
}

static void lap_with_lead(script *s, double z, double each) {
    static const double corners[][2] = {{41.5, -1.5}, {-1.5, -1.5}, {-1.5, 26.9},
                                        {41.5, 26.9}, {41.5, -1.5}, {43.5, -1.5}};

    say(s, "G1 Z%g F60\nX41.5\nF200\n", z);
    for (int i = 1; i < 6; i++) {
        go(s, corners[i - 1], corners[i], each);
    }
}

static draft soft_part(void) {
    draft d = plate(40, 25.4, 1);

    put(&d, "part", "stock", "acetal");
    hold_firm(&d, 1);
    put(&d, "hold", "coverage", "0.95");
    add_sheet(&d, 60, 45.4, 10, 10);
    add_cut(&d, "cut.1", "outline", "flat-3mm-1");
    put_length(&d, "cut.1", "axial", 0.5);
    put_length(&d, "cut.1", "radial", 3);
    return d;
}

static void soft_outline(script *s, double each) {
    begin(s);
    say(s, "G0 X43.5 Y-1.5\nZ1\n");
    lap_with_lead(s, -0.5, 0);
    lap_with_lead(s, -1, each);
    say(s, "G0 Z5\nM30\n");
}

/* Written in lines shorter than a step of the map that the plate is asked on, a path holds what it
 * holds in one, and is worst at the same place. */
static void test_short_lines(void **state) {
    static const double each[] = {0, 0.37};
    draft d = soft_part();
    double factors[2], at[2][2];
    th_job *job = built(&d);
    (void)state;

    for (int i = 0; i < 2; i++) {
        script s;
        th_run run;
        soft_outline(&s, each[i]);
        run_script(job, &s, PLATES, CELL, &run);
        factors[i] = run.hold_factor;
        at[i][0] = run.worst[0].load.at[0];
        at[i][1] = run.worst[0].load.at[1];
        th_run_free(&run);
    }
    assert_near(factors[1], factors[0], 0.05, 0);
    assert_true(hypot(at[1][0] - at[0][0], at[1][1] - at[0][1]) < 1);
    th_job_free(job);
}

/* Lines far shorter than a step are told too, all of them, whatever the last step was that the
 * plate was asked at. */
static void test_lines_without_a_step(void **state) {
    static const double from[2] = {10, 12}, to[2] = {30, 12};
    draft d = soft_part();
    th_job *job = built(&d);
    script s;
    th_run run;
    (void)state;

    begin(&s);
    say(&s, "G0 X10 Y12\nZ1\nG1 Z-0.5 F60\nX30 F200\nG0 Z5\nX10\nZ1\nG1 Z-1.05 F60\nF200\n");
    int first = line_now(&s);
    go(&s, from, to, 0.05);
    int last = line_now(&s) - 1;
    say(&s, "G0 Z5\nM30\n");
    run_script(job, &s, PLATES, CELL, &run);
    assert_true((size_t)last < run.line_count);
    for (int line = first; line <= last; line++) {
        assert_true(isfinite(run.lines[line].hold_factor));
    }
    th_run_free(&run);
    th_job_free(job);
}

/* ---- corners -------------------------------------------------------------------------------- */

/* Counterclockwise round the outside, in conventional milling, level by level. */
static void conventional_outline(script *s, double length, double width) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS12000 M3\nG0 X-1.5 Y-1.5 Z5\nZ0.5\n");
    for (int level = 1; level <= 19; level++) {
        say(s, "G1 Z%.5f F25\nX%g F900\nY%g\nX-1.5\nY-1.5\n", level < 19 ? -level / 9.0 : -2.48,
            length + 1.5, width + 1.5);
    }
    say(s, "G0 Z5\nM30\n");
}

/* The line that leads to a corner and the one that leads away from it bend the part unlike each
 * other: the program holds what the job of the same cut does. */
static void test_corner_reached(void **state) {
    draft d = plate(45, 40, 2);
    script s;
    answer a;
    (void)state;

    put(&d, "part", "stock", "polycarbonate");
    put(&d, "hold", "tape", "transfer-acrylic");
    put(&d, "hold", "coverage", "0.9");
    put(&d, "hold", "wait", "12 h");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 2);
    add_sheet(&d, 67, 62, 11, 11);
    add_cut(&d, "cut.1", "outline", "flat-3mm-1");
    put_length(&d, "cut.1", "axial", 0.111112);
    put_length(&d, "cut.1", "radial", 3);
    put(&d, "cut.1", "speed", "12000 rpm");
    put(&d, "cut.1", "feed", "900 mm/min");
    put(&d, "cut.1", "direction", "conventional");
    run(&d, false, &a);
    conventional_outline(&s, 45, 40);
    double found = lowest(a.job, &s, 60);
    assert_true(found < 1.05 * a.check.hold_factor && found > 0.95 * a.check.hold_factor);
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_slot_between),
        cmocka_unit_test(test_short_lines),
        cmocka_unit_test(test_lines_without_a_step),
        cmocka_unit_test(test_corner_reached),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
