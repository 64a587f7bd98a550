/* test_frame_goes.c - what becomes of the frame that may go is no matter of the part: in the line
 * that frees both, in the frame's corners, and by the warmth of the tape there. Parts and programs
 * are invented. */
#include <math.h>

#include "support/draft.h"
#include "support/script.h"

enum { LENGTH = 60, WIDTH = 40, PLATES = 30 };
#define CELL 0.1 /* (mm) */

static void begin(script *s) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS12000 M3\nG0 Z5\n");
}

/* ---- the line that frees both
 * -------------------------------------------------------------------- */

enum { THIN = 1, RIM = 15 };
#define LEVEL 0.1

/* The frame has more bond than the part, and bends far more. */
static draft in_wide_sheet(void) {
    draft d = plate(LENGTH, WIDTH, THIN);

    put(&d, "hold", "tape", "transfer-acrylic");
    put(&d, "hold", "glue", "none");
    put(&d, "hold", "preparation", "scuffed");
    put(&d, "hold", "wait", "12 h");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", THIN);
    add_sheet(&d, LENGTH + 2 * RIM, WIDTH + 2 * RIM, RIM, RIM);
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", LEVEL);
    put_length(&d, "cut.1", "radial", 6);
    put(&d, "cut.1", "speed", "12000 rpm");
    put(&d, "cut.1", "feed", "300 mm/min");
    return d;
}

/* In from outside the sheet and round, from the top down and once below the bonded face. */
static void laps(script *s) {
    for (int k = 1; k <= 10; k++) {
        say(s, "G0 X-3 Y-40\nZ%g\nG1 Y43 F300\nX63\nY-3\nX-3\nG0 Z5\n",
            k < 10 ? -k * LEVEL : -THIN - 0.05);
    }
    say(s, "M30\n");
}

/* The step that frees the two was held by both, and then each is held alone: the part as `check`
 * has it, of whose passes none lies over a finished one. */
static void the_line_that_frees_holds_as_the_others(void **state) {
    draft d = in_wide_sheet();
    th_job *job = built(&d);
    const th_stage *part;
    script s;
    th_run r;
    answer a;

    (void)state;
    run(&d, false, &a);
    part = stage_of(&a, "cut.1", TH_PIECE_PART);
    begin(&s);
    laps(&s);
    run_script(job, &s, PLATES, CELL, &r);
    assert_int_equal(r.loose_count, 2);
    assert_near(r.hold_factor, part->hold_factor, 0.05, 0);
    th_run_free(&r);
    answer_free(&a);
    th_job_free(job);
}

/* ---- a corner of the frame
 * ----------------------------------------------------------------------- */

enum { THICK = 2, EDGE = 10 };
#define RADIUS 1.5
#define DEEP 0.21

static th_job *in_narrow_sheet(void) {
    draft d = plate(LENGTH, WIDTH, THICK);

    put(&d, "hold", "tape", "transfer-acrylic");
    put(&d, "hold", "cooling", "mist");
    put(&d, "hold", "wait", "12 h");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", THICK);
    add_sheet(&d, LENGTH + 2 * EDGE, WIDTH + 2 * EDGE, EDGE, EDGE);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", DEEP);
    put_length(&d, "cut.1", "radial", 2 * RADIUS);
    return built(&d);
}

/* In and out on two ways from one place, between which a sliver is left. Lines of a lap: 10, its
 * way in the fourth. */
static void forked_laps(script *s, double from) {
    for (int k = 1; k <= 10; k++) {
        say(s, "G0 X%g Y%g\nZ1\nG1 Z%g F60\nG1 X%g Y-4 F400\nY%g\n", from, from,
            k < 10 ? -DEEP * k : -THICK - 0.05, -RADIUS, WIDTH + RADIUS);
        say(s, "X%g\nY%g\nX-5\nG1 X%g Y%g\nG0 Z5\n", LENGTH + RADIUS, -RADIUS, from, from);
    }
    say(s, "M30\n");
}

static void run_forked(const th_job *job, double from, th_run *run) {
    script s;

    begin(&s);
    forked_laps(&s, from);
    run_script(job, &s, PLATES, CELL, run);
}

/* At the sheet's corner the sliver is a foil that gets hot, and then crumbs on the tape: neither is
 * a matter of the part, for which it is all one where the frame is cut. */
static void a_corner_of_the_frame_is_no_matter_of_the_part(void **state) {
    th_job *job = in_narrow_sheet();
    th_run corner, within, stays;

    (void)state;
    run_forked(job, -EDGE, &corner);
    run_forked(job, -6, &within);
    job->head.offcuts = TH_MUST_STAY;
    run_forked(job, -EDGE, &stays);
    assert_true(within.hold_factor > 0);
    assert_near(corner.hold_factor, within.hold_factor, 0.03, 0);
    assert_near(corner.warmest, within.warmest, 0, 5);
    assert_true(stays.warmest > corner.warmest + 30); /* then it is one of the frame */
    assert_true(stays.hold_factor < 0.01);
    th_run_free(&corner);
    th_run_free(&within);
    th_run_free(&stays);
    th_job_free(job);
}

/* What an earlier lap has left beyond the part hangs on the frame, or on nothing. */
static void what_is_left_there_is_cut_without_it(void **state) {
    th_job *job = in_narrow_sheet();
    script s;
    th_run run;

    (void)state;
    begin(&s);
    forked_laps(&s, -EDGE);
    run_script(job, &s, 0, CELL, &run);
    size_t last = (size_t)line_now(&s) - 2 - 10 + 3; /* the way in of the last lap */
    assert_true(isinf((double)run.lines[last].hold_factor) != 0);
    assert_true(isfinite((double)run.lines[last + 2].hold_factor) != 0);
    th_run_free(&run);
    th_job_free(job);
}

/* ---- what is no cut of this part
 * ----------------------------------------------------------------- */

/* A tap is no drill; and a path far off is of another part, or in another unit. */
static void what_it_cannot_be_is_told(void **state) {
    static const struct {
        const char *hole;
        double to;
        bool taps, far;
    } cases[] = {{"G84", 20, true, false},
                 {"G81", 20, false, false},
                 {"G81", 2 * LENGTH + 3 * EDGE - 1, false, false},
                 {"G81", 2 * LENGTH + 3 * EDGE + 1, false, true}};
    th_job *job = in_narrow_sheet();

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        script s;
        th_run run;
        begin(&s);
        say(&s, "X10 Y10\n%s Z-1 R1 F50\nG80\nG0 X5 Y20\nG1 Z-0.2 F60\nX%g F400\nM30\n",
            cases[i].hole, cases[i].to);
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(lists(&run.held_back, "line 5 taps (G84)"), cases[i].taps);
        assert_int_equal(lists(&run.cautions, "beyond the stock, which is 80 mm long"),
                         cases[i].far);
        for (size_t k = 0; k < run.worst_count; k++) {
            assert_true(run.worst[k].load.high <= THICK);
        }
        th_run_free(&run);
    }
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_line_that_frees_holds_as_the_others),
        cmocka_unit_test(a_corner_of_the_frame_is_no_matter_of_the_part),
        cmocka_unit_test(what_is_left_there_is_cut_without_it),
        cmocka_unit_test(what_it_cannot_be_is_told),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
