/* test_response.c - tables of how a job answers to what scatters: which layers they follow, and
 * that between their nodes they tell what a judgement of the job so changed does. Jobs are
 * invented. */
#include <math.h>

#include "../../src/advice/odds.h"
#include "support/odds_case.h"

typedef struct {
    th_check_options options;
    th_judging judging;
    th_job *job;
    th_judgement judgement;
    th_arena arena;
    th_error err;
    th_response response;
} tabulated;

static void tabulate(const draft *d, const th_scatter *scatter, tabulated *t) {
    *t = (tabulated){.job = built(d)};
    t->judging = (th_judging){.options = &t->options, .factors_only = true};
    t->response = (th_response){.job = t->job, .scatter = *scatter};
    assert_true(th_work_begin(&t->judging));
    assert_true(th_judge(t->job, &t->judging, &t->arena, 0, &t->judgement, &t->err));
    if (!th_response_make(&t->response, &t->judging, &t->judgement, &t->arena, &t->err)) {
        fail_msg("no table: %s", t->err.message);
    }
}

static void put_away(tabulated *t) {
    th_work_end(&t->judging);
    th_arena_free(&t->arena);
    th_job_free(t->job);
}

static bool follows(const tabulated *t, th_layer layer) {
    for (size_t i = 0; i < t->response.link_count; i++) {
        if (t->response.links[i].layer == layer) {
            return true;
        }
    }
    return false;
}

static double told(const tabulated *t, const double *z) {
    th_lookup at;
    double least = INFINITY;

    th_response_look(&t->response, z, &at);
    for (size_t i = 0; i < t->response.link_count; i++) {
        bool heat = t->response.links[i].layer == TH_LAYER_HEAT;
        least = heat ? least : fmin(least, th_response_of(&t->response, i, &at, z));
    }
    return least;
}

/* Logarithm of the hold factor of the job with what scatters at z. */
static double judged(const tabulated *t, const double *z) {
    th_change change = th_scatter_change(&t->response.scatter, z);
    th_arena arena = {NULL};
    th_variant variant;
    th_judgement judgement;
    th_error err;

    assert_true(th_variant_make(t->job, &change, &arena, &variant));
    assert_true(th_judge(&variant.job, &t->judging, &arena, 0, &judgement, &err));
    th_arena_free(&arena);
    return log(judgement.hold_factor);
}

/* Strengths that scatter by s change places where one is r times the other with a chance of
 * Phi(-ln r/(sqrt(2) s)). The tape bears 2.2 times what its faces do: with s = 0.6 it is the weaker
 * one in 17 of 100 holds, with next to no scatter in none. */
static void a_layer_that_may_become_the_weakest_is_followed(void **state) {
    const th_scatter wide = {.strength = {0.6, 0.6, 0.6}, .force = NONE};
    const th_scatter narrow = {.strength = {NONE, NONE, NONE}, .force = NONE};
    draft d = odds_pushed(2);
    tabulated t;

    (void)state;
    tabulate(&d, &narrow, &t);
    assert_true(follows(&t, TH_LAYER_PART) && !follows(&t, TH_LAYER_INSIDE));
    put_away(&t);
    tabulate(&d, &wide, &t);
    assert_true(follows(&t, TH_LAYER_PART) && follows(&t, TH_LAYER_PLATE) &&
                follows(&t, TH_LAYER_INSIDE));
    put_away(&t);
}

/* What both teeth share at first one bears alone in the end: no straight line, on either side of
 * the middle, and a corner where the other one leaves the cut. */
static void runout_is_followed_on_either_side(void **state) {
    const th_scatter scatter = {.strength = {NONE, NONE, NONE}, .force = NONE, .runout = 0.5};
    double z[TH_ODDS_INPUTS] = {0};
    draft d = odds_grooved("12000");
    tabulated t;

    (void)state;
    put(&d, "cutter.em", "runout", "0.01 mm");
    tabulate(&d, &scatter, &t);
    for (int i = -9; i <= 9; i++) {
        z[TH_ODDS_RUNOUT] = 0.4 * i;
        assert_near(told(&t, z), judged(&t, z), 0, 0.005);
    }
    put_away(&t);
}

/* Slightly bowed stock comes free of what presses it flat at a force of its own, a corner in the
 * middle of what scatters. Either the table is as good as it must be there, or it tells that it is
 * not: against judgements at places by chance. */
static void what_a_table_misses_is_told(void **state) {
    static const char *const bows[] = {"0.2", "0.3"};
    const th_scatter scatter = {
        .strength = {0.2, 0.2, 0.2}, .force = 0.15, .coverage = 0.05, .runout = 0.3, .warmth = 3};

    (void)state;
    for (int b = 0; b < 2; b++) {
        draft d = odds_grooved("6000");
        unsigned seed = 7;
        double most = 0;
        tabulated t;
        put(&d, "part", "bow", bows[b]);
        tabulate(&d, &scatter, &t);
        for (int i = 0; i < 30; i++) {
            double z[TH_ODDS_INPUTS], of_job;
            for (int k = 0; k < TH_ODDS_INPUTS; k++) {
                seed = seed * 1664525U + 1013904223U;
                z[k] = 5 * (seed / 4294967296.0) - 2.5;
            }
            of_job = judged(&t, z);
            most = isfinite(of_job) ? fmax(most, fabs(told(&t, z) - of_job)) : most;
        }
        print_message("bowed by %s mm: told %.3g, found %.3g\n", bows[b], t.response.error, most);
        assert_true(most <= fmax(TH_TABLE_OFF, 2 * t.response.error));
        put_away(&t);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_layer_that_may_become_the_weakest_is_followed),
        cmocka_unit_test(runout_is_followed_on_either_side),
        cmocka_unit_test(what_a_table_misses_is_told),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
