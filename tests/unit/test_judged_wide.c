/* test_judged_wide.c - a cut as wide as its cutter: what is judged of it beside the job is what a
 * check of the job with that width written in says, to the last digit, whether it holds or not.
 * Jobs are invented. */
#include "../../src/advice/judge.h"
#include "support/draft.h"

/* Thin plastic, whose load is looked at on ever finer grids. */
static draft pocketed(double axial) {
    draft d = plate(40, 30, 2);

    put(&d, "part", "stock", "acrylic");
    put(&d, "hold", "tape", "film");
    add_cut(&d, "cut.1", "pocket", "flat-3mm-2");
    put(&d, "cut.1", "radial", "0.5");
    put_length(&d, "cut.1", "axial", axial);
    put(&d, "cut.1", "depth", "1.5");
    put(&d, "cut.1", "at", "20,15");
    put(&d, "cut.1", "size", "12 x 10");
    return d;
}

static double judged_wide(const draft *d) {
    th_check_options options = {.turn_downs = false};
    th_judging judging = {.options = &options};
    th_job *job = built(d);
    th_at_full_width found;
    th_error err;

    assert_true(th_work_begin(&judging));
    assert_true(th_judge_wide(job, &judging, 0, &found, &err));
    th_work_end(&judging);
    th_job_free(job);
    return found.hold_factor;
}

static void it_is_judged_to_the_last_digit(void **state) {
    static const double axials[] = {0.05, 0.2, 0.75, 1.5};
    int above = 0, below = 0;

    (void)state;
    for (size_t i = 0; i < sizeof axials / sizeof *axials; i++) {
        draft d = pocketed(axials[i]);
        double wide = judged_wide(&d);
        answer a;
        put(&d, "cut.1", "radial", "3");
        run(&d, false, &a);
        assert_near(wide, a.check.hold_factor, 1e-9, 0);
        above += wide > 1;
        below += wide < 1;
        answer_free(&a);
    }
    assert_true(above > 0 && below > 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_judged_to_the_last_digit),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
