/* test_odds_cost.c - how often a job is judged for its table of hold factors: over each input by
 * itself, and over two at once only where that does not tell enough. Jobs are invented. */
#include "../../src/advice/odds.h"
#include "support/odds_case.h"

/* Bowed stock, so that hold factors do not fall in proportion as forces rise, and a cutter so true
 * that its runout counts; the cut warms its tape. */
static draft bowed(const char *bow) {
    draft d = odds_grooved("9000");

    put(&d, "part", "bow", bow);
    put(&d, "cutter.em", "runout", "0.003 mm");
    return d;
}

/* Where forces and runout hardly act on each other, to take each by itself answers like fresh
 * judgements: the job is judged fewer times than once for each force with each runout. */
static void inputs_by_themselves_are_enough(void **state) {
    static const char *const bows[] = {"0.02", "0.4", "1.5"};
    static const th_check_options options = {.turn_downs = false};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = bowed(bows[i]);
        th_job *job = built(&d);
        th_judging judging = {.options = &options};
        th_arena arena = {NULL};
        th_response r = {
            .job = job,
            .scatter = {.strength = {0.2, 0.2, 0.2}, .force = 0.15, .runout = 0.3, .warmth = 3}};
        th_judgement judgement;
        th_error err;
        size_t forces, runouts;
        assert_true(th_work_begin(&judging));
        assert_true(th_judge(job, &judging, &arena, 0, &judgement, &err));
        assert_true(th_response_make(&r, &judging, &judgement, &arena, &err));
        forces = r.axes[TH_AXIS_FORCE].count;
        runouts = r.axes[TH_AXIS_RUNOUT].count;
        assert_true(forces > 3 && runouts > 3 && r.error < 0.005);
        assert_true(r.judgements < forces * runouts);
        th_work_end(&judging);
        th_arena_free(&arena);
        th_job_free(job);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(inputs_by_themselves_are_enough),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
