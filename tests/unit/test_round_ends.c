/* test_round_ends.c - a ball or a bull cutter that goes down in levels: at the end of a groove it
 * meets the wall that its round left one level above, over all of the round. Jobs are invented. */
#include <math.h>

#include "support/draft.h"
#include "support/script.h"

#define CELL 0.04 /* (mm) */

static draft groove(const char *cutter, double axial, double depth) {
    draft d = plate(50, 30, 4);

    add_sheet(&d, 70, 50, 10, 10);
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 4);
    put(&d, "cutter.em", "wear", "1");
    add_cut(&d, "cut.1", "slot", cutter);
    put_length(&d, "cut.1", "axial", axial);
    put_length(&d, "cut.1", "depth", depth);
    put_point(&d, "cut.1", "from", 10, 15);
    put_point(&d, "cut.1", "to", 40, 15);
    put(&d, "cut.1", "speed", "12000 rpm");
    put(&d, "cut.1", "feed", "300 mm/min");
    return d;
}

/* The heaviest of all passes (N). */
static double heaviest(const char *cutter, double axial, double depth) {
    draft d = groove(cutter, axial, depth);
    double most = 0;
    answer a;

    run(&d, false, &a);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        most = fmax(most, a.check.stages[i].in_plane_peak);
    }
    answer_free(&a);
    return most;
}

/* Two spheres, one the lower by a level, part over all the height of the lower one's front: as
 * heavy as one pass of that height. Beyond the round both are as wide, and nothing is left to cut;
 * a flat end has no round. */
static void the_end_of_a_groove_takes_all_of_the_round(void **state) {
    static const struct {
        const char *cutter;
        double axial, depth, one;
    } cases[] = {{"ball-3mm-2", 0.4, 0.8, 0.8}, {"ball-3mm-2", 0.2, 0.8, 0.8},
                 {"ball-3mm-2", 0.4, 3, 1.9},   {"bull-6mm-3", 0.4, 0.8, 0.8},
                 {"bull-6mm-3", 0.4, 2, 0.9},   {"flat-6mm-3", 0.4, 2, 0.4},
                 {"ball-3mm-2", 0.8, 0.8, 0.8}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_near(heaviest(cases[i].cutter, cases[i].axial, cases[i].depth),
                    heaviest(cases[i].cutter, cases[i].one, cases[i].one), 1e-9, 0);
    }
}

/* Rows of a ball side by side leave ridges of R - sqrt(R^2 - (s/2)^2), which the next level takes
 * with its own; those of a bull cutter that overlap by more than its corners leave none. */
static void rows_leave_ridges(void **state) {
    static const struct {
        const char *cutter;
        double radial, ridge;
    } cases[] = {{"ball-3mm-2", 1.2, 0.125227},
                 {"ball-3mm-2", 0.6, 0.0303062},
                 {"bull-6mm-3", 4.9, 0},
                 {"flat-6mm-3", 3, 0}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double force[2];
        for (int levels = 1; levels <= 2; levels++) {
            draft d = groove(cases[i].cutter, 0.3 + (levels == 1 ? cases[i].ridge : 0), 0.6);
            answer a;
            put(&d, "cut.1", "operation", "face");
            drop(&d, "cut.1", "from");
            drop(&d, "cut.1", "to");
            put_length(&d, "cut.1", "radial", cases[i].radial);
            if (levels == 1) {
                put_length(&d, "cut.1", "depth", 0.3 + cases[i].ridge);
            }
            run(&d, false, &a);
            force[levels - 1] = 0;
            for (size_t k = 0; k < a.check.stage_count; k++) {
                force[levels - 1] = fmax(force[levels - 1], a.check.stages[k].in_plane_peak);
            }
            answer_free(&a);
        }
        assert_near(force[1], force[0], 1e-4, 0);
    }
}

/* The sweep of the same cut finds that engagement on its map: it sees the last quarter of a
 * millimetre at once, in which less is left at the top. */
static void a_program_finds_the_same(void **state) {
    static const char *const cutters[] = {"ball-3mm-2", "ball-6mm-2", "flat-6mm-3"};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = groove(cutters[i], 0.4, 0.8);
        double of_job = heaviest(cutters[i], 0.4, 0.8), most = 0;
        th_job *job = built(&d);
        script s = {.used = 0};
        th_run run;
        say(&s, "G21 G90 G17\nS12000 M3\nG0 Z5\n");
        for (int level = 1; level <= 2; level++) {
            say(&s, "G0 X10 Y15\nG1 Z%g F80\nX40 F300\nG0 Z5\n", -0.4 * level);
        }
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &run);
        for (size_t k = 0; k < run.worst_count; k++) {
            most = fmax(most, run.worst[k].load.in_plane_peak);
        }
        assert_true(most <= of_job * 1.02);
        assert_near(most, of_job, 0.08, 0);
        th_run_free(&run);
        th_job_free(job);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_end_of_a_groove_takes_all_of_the_round),
        cmocka_unit_test(rows_leave_ridges),
        cmocka_unit_test(a_program_finds_the_same),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
