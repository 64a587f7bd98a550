/* Tests of what the bending of the part makes of a program: at which steps the plate is asked, and
 * where its load lies. Parts and programs are invented. */
#include <math.h>

#include "support/draft.h"
#include "support/script.h"

#define CELL 0.02 /* (mm) */
enum { PLATES = 60 };

static draft zeroed(draft d, double thickness) {
    put(&d, "hold", "tape", "polyester-silicone");
    put(&d, "hold", "cooling", "mist");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", thickness);
    return d;
}

static void begin(script *s) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS10000 M3\nG0 Z5\n");
}

/* The least of all lines that do not go straight down. */
static double lowest_on(const th_job *job, const script *s, double cell) {
    double factor = INFINITY;
    th_run run;

    run_script(job, s, PLATES, cell, &run);
    assert_true(run.plates_asked > 0);
    for (size_t i = 0; i < run.line_count; i++) {
        const th_line_load *line = &run.lines[i];
        factor = line->radial > 0 ? fmin(factor, (double)line->hold_factor) : factor;
    }
    th_run_free(&run);
    return factor;
}

static double lowest(const th_job *job, const script *s) {
    return lowest_on(job, s, CELL);
}

/* A floor bends the more the thinner it is: a slot whose last pass leaves a tenth is told by that
 * pass, as the job tells it, though by the area model the pass before, fed faster, is the worse. */
static void test_thin_floor(void **state) {
    draft d = zeroed(plate(100, 60, 2), 2);
    answer a;
    script s;
    (void)state;

    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.178);
    put_length(&d, "cut.1", "depth", 1.78);
    put(&d, "cut.1", "speed", "10000 rpm");
    put(&d, "cut.1", "feed", "350 mm/min");
    put_point(&d, "cut.1", "from", 1.5, 30);
    put_point(&d, "cut.1", "to", 98.5, 30);
    run(&d, false, &a);
    begin(&s);
    for (int pass = 1; pass <= 10; pass++) {
        say(&s, "G0 X-5 Y30\nZ1\nG1 Z%g F200\nX105 F%d\nG0 Z5\n", -0.178 * pass,
            pass < 10 ? 352 : 350);
    }
    say(&s, "M30\n");
    assert_near(lowest(a.job, &s), a.check.hold_factor, 0.06, 0);
    answer_free(&a);
}

/* Round the part in passes, down to `left` over the bonded face. */
static void outline(script *s, double left) {
    say(s, "G0 X-1.5 Y-1.5\nZ0.5\n");
    for (int pass = 1; pass <= 5; pass++) {
        say(s, "G1 Z%g F100\nY31.5 F250\nX41.5\nY-1.5\nX-1.5\n", (left - 2) * pass / 5);
    }
    say(s, "G0 Z5\nM30\n");
}

/* A skin too thin to count is as good as none: the tongue of the pass before that the cutter meets
 * in the end is no place for its load. */
static void test_thin_skin(void **state) {
    static const double left[] = {0.19, 0.2, -0.05};
    draft d = zeroed(plate(40, 30, 2), 2);
    double factors[3];
    (void)state;

    add_sheet(&d, 60, 50, 10, 10);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.362);
    put_length(&d, "cut.1", "radial", 3);
    th_job *job = built(&d);
    for (int i = 0; i < 3; i++) {
        script s;
        begin(&s);
        outline(&s, left[i]);
        factors[i] = lowest(job, &s);
    }
    assert_near(factors[0], factors[2], 0.15, 0); /* 0.36 and 0.41 mm deep */
    assert_near(factors[1], factors[2], 0.15, 0);
    assert_true(factors[0] > 0.05);
    th_job_free(job);
}

/* An opening is bored while the part is one with the sheet: that it is cut out later is nothing to
 * the bore. */
static void test_bored_before(void **state) {
    draft d = zeroed(plate(60, 40, 2), 2);
    double factors[2];
    (void)state;

    add_sheet(&d, 90, 70, 15, 15);
    put(&d, "opening.1", "at", "30,20");
    put(&d, "opening.1", "size", "10");
    add_cut(&d, "cut.1", "hole", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.25);
    put(&d, "cut.1", "at", "30,20");
    put(&d, "cut.1", "size", "10");
    th_job *job = built(&d);
    for (int outlined = 0; outlined < 2; outlined++) {
        script s;
        th_run run;
        begin(&s);
        say(&s, "X33.5 Y20\nZ1\nG1 Z0 F100\n");
        for (int turn = 1; turn <= 8; turn++) {
            say(&s, "G3 X33.5 Y20 Z%g I-3.5 J0 F700\n", turn < 8 ? -0.25 * turn : -2.2);
        }
        int last = line_now(&s) - 1;
        say(&s, "G3 X33.5 Y20 I-3.5 J0\nG0 Z5\n");
        if (outlined) {
            outline(&s, -0.05);
        } else {
            say(&s, "M30\n");
        }
        run_script(job, &s, PLATES, CELL, &run);
        factors[outlined] = (double)run.lines[last].hold_factor;
        th_run_free(&run);
    }
    assert_near(factors[1], factors[0], 0.1, 0);
    th_job_free(job);
}

/* A slot through soft stock, its last pass from both ends and amid them last. */
static double slot_from_both_ends(const th_job *job, int feed) {
    script s;

    begin(&s);
    for (int pass = 1; pass <= 3; pass++) {
        say(&s, "G0 X10 Y20\nZ1\nG1 Z%g F60\nX50 F300\nG0 Z5\n", -0.475 * pass);
    }
    say(&s, "G0 X10 Y20\nZ1\nG1 Z-1.9 F60\nX22 F%d\nG0 Z5\n", feed);
    say(&s, "G0 X50 Y20\nZ1\nG1 Z-1.9 F60\nX38 F%d\nG0 Z5\n", feed);
    say(&s, "G0 X22 Y20\nZ1\nG1 Z-1.9 F600\nX38 F600\nG0 Z5\nM30\n");
    return lowest(job, &s);
}

/* Amid a slot that is open at both ends soft stock bends far more than at the ends, where it holds
 * least if stiff: how fast the ends are cut does not hide it. */
static void test_amid_a_slot(void **state) {
    draft d = plate(60, 40, 2);
    double factors[3];
    (void)state;

    put(&d, "part", "stock", "acetal");
    put(&d, "hold", "tape", "transfer-acrylic");
    put(&d, "hold", "glue", "none");
    put(&d, "hold", "cooling", "dry");
    put(&d, "hold", "preparation", "scuffed");
    put(&d, "hold", "wait", "12 h");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 2);
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.475");
    th_job *job = built(&d);
    for (int i = 0; i < 3; i++) {
        factors[i] = slot_from_both_ends(job, 50 + 50 * i);
    }
    assert_near(factors[1], factors[0], 0.05, 0);
    assert_near(factors[2], factors[0], 0.05, 0);
    th_job_free(job);
}

/* A hole that is milled away whole leaves nothing loose, but its last web is no matter of the part
 * either: what holds falls evenly as the feed rises, wherever the steps of it end. */
static void test_hole_of_no_core(void **state) {
    static const int feeds[] = {200, 250, 300, 350, 400, 450, 500};
    draft d = plate(60, 40, 3);
    th_job *job;
    double before = INFINITY;
    (void)state;

    put(&d, "part", "stock", "acrylic");
    put(&d, "hold", "tape", "polyester-acrylic");
    put(&d, "hold", "cooling", "mist");
    put(&d, "hold", "preparation", "scuffed");
    put(&d, "hold", "wait", "24 h");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 3);
    add_cut(&d, "cut.1", "hole", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 0.5);
    put_point(&d, "cut.1", "at", 25, 20);
    put_length(&d, "cut.1", "size", 11);
    job = built(&d);
    for (size_t i = 0; i < sizeof feeds / sizeof *feeds; i++) {
        script s;
        begin(&s);
        say(&s, "S9000\nX27.5 Y20\nZ0.3\nG1 Z0 F%d\n", feeds[i]);
        for (int k = 1; k <= 7; k++) {
            say(&s, "G3 X27.5 Y20 I-2.5 J0 Z%g\n", k < 7 ? -0.5 * k : -3.2);
        }
        say(&s, "G3 I-2.5 J0\nG1 X25\nG0 Z5\nM30\n");
        double now = lowest_on(job, &s, 2 * CELL);
        assert_true(now < before);
        assert_true(i == 0 || now > 0.8 * before);
        before = now;
    }
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_hole_of_no_core), cmocka_unit_test(test_thin_floor),
        cmocka_unit_test(test_thin_skin),       cmocka_unit_test(test_bored_before),
        cmocka_unit_test(test_amid_a_slot),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
