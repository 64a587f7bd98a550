/* test_waits.c - the hold that only wants time: from which of a shop's hours it is enough, and
 * which tapes are shown beside it. Jobs are invented. */
#include <math.h>
#include <string.h>

#include "support/draft.h"

/* A quarter of an hour, a break, a day (s). */
static const double hours[] = {600, 900, 1800, 3600, 7200, 14400, 28800, 43200, 86400};

static draft pushed(double wait) {
    static const double force[3] = {12, 5, 6};
    draft d = plate(40, 25, 6);

    add_push(&d, "cut.1", force, 20, 12);
    put(&d, "hold", "tape", "polyester-acrylic");
    put_number(&d, "hold", "wait", wait, "s");
    return d;
}

static double held_after(double wait) {
    draft d = pushed(wait);
    double factor;
    answer a;

    run(&d, false, &a);
    factor = a.check.hold_factor;
    answer_free(&a);
    return factor;
}

/* Asked for a little more than it holds an hour earlier, that hour is told; of the tapes those that
 * stand no water are shown where dry ones are asked for. */
static void the_first_hour_that_is_enough(void **state) {
    const th_check_options options = {.turn_downs = false};

    (void)state;
    for (size_t i = 1; i < sizeof hours / sizeof *hours; i++) {
        double before = held_after(hours[i - 1]), then = held_after(hours[i]);
        draft d = pushed(20);
        th_hold_choices choices;
        th_error err;
        th_job *job;
        assert_true(then > before);
        put_number(&d, "job", "asked_factor", (before + then) / 2, "");
        job = built(&d);
        assert_true(th_hold_choices_find(job, &options, TH_DRY_TAPES, &choices, &err));
        assert_true(choices.count > 0);
        for (size_t k = 0; k < choices.count; k++) {
            assert_false(choices.items[k].tape->water > 0);
        }
        assert_near(choices.wait, hours[i], 0, 0);
        assert_near(choices.waited_factor, then, 1e-9, 0);
        th_hold_choices_free(&choices);
        th_job_free(job);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_hour_that_is_enough),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
