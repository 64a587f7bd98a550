/* test_kerf_rests.c - what a kerf leaves at its bottom, so thin that it joins nothing, is cut away
 * later: which piece that pulls at. Parts and programs are invented. */
#include <math.h>

#include "support/draft.h"
#include "support/script.h"

enum { LENGTH = 60, WIDTH = 40, EDGE = 10 };
#define CELL 0.1 /* (mm) */
#define RADIUS 1.5

static th_job *part_in_sheet(void) {
    draft d = plate(LENGTH, WIDTH, 1);

    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 1);
    add_sheet(&d, LENGTH + 2 * EDGE, WIDTH + 2 * EDGE, EDGE, EDGE); /* less than the part */
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.4);
    put_length(&d, "cut.1", "radial", 3);
    return built(&d);
}

/* Round the part, down to `depth`, and in from outside the sheet, or from its corner. */
static void lap(script *s, double depth, bool outside) {
    say(s, "G0 X%g Y%g\nG1 Z%g F100\n", -RADIUS, outside ? -EDGE - RADIUS : -RADIUS, -depth);
    say(s, "Y%g F400\n", outside ? -5 : -RADIUS);
    say(s, "Y%g\nX%g\nY%g\nX%g\nG0 Z5\n", WIDTH + RADIUS, LENGTH + RADIUS, -RADIUS, -RADIUS);
}

static void begin(script *s) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS10000 M3\nG0 Z5\n");
}

/* The way in, from outside the sheet, has the frame on both its sides: in the last lap, where
 * nothing joins the part any more, it is no matter of the part. */
static void a_way_in_pulls_at_the_frame_alone(void **state) {
    double least[2];
    th_job *job = part_in_sheet();

    (void)state;
    for (size_t outside = 0; outside < 2; outside++) {
        script s;
        th_run run;
        begin(&s);
        lap(&s, 0.4, outside == 1);
        lap(&s, 0.8, outside == 1);
        size_t way_in = (size_t)line_now(&s) + 2;
        lap(&s, 1.05, outside == 1);
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &run);
        least[outside] = INFINITY;
        for (size_t line = way_in + 1; line < way_in + 5; line++) {
            least[outside] = fmin(least[outside], (double)run.lines[line].hold_factor);
        }
        assert_true(isfinite(least[outside]));
        assert_true(isinf((double)run.lines[way_in].hold_factor) != 0); /* the frame may go */
        th_run_free(&run);
    }
    assert_near(least[1], least[0], 0.03, 0);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_way_in_pulls_at_the_frame_alone),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
