/* test_odds_fresh.c - the table that odds are drawn from against fresh judgements of the job. Jobs
 * are invented. */
#include <math.h>
#include <string.h>

#include "../../src/advice/odds.h"
#include "support/odds_case.h"

/* A cut that warms its own bond, all inputs scattering; the faster, the nearer to too warm. */
static void the_table_of_a_warmed_job_answers_like_fresh_judgements(void **state) {
    static const char *const speeds[] = {"3000", "9000", "15000"};
    double last = 0;

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = odds_grooved(speeds[i]);
        th_odds_options options = {.samples = 1024};
        th_odds odds = odds_with(&d, &options);
        print_message("%s rpm: table off by %.3g\n", speeds[i], odds.response_error);
        assert_int_equal(odds.checks, 4);
        assert_true(odds.response_error < 0.005);
        assert_true(odds.chance > last && odds.settled);
        assert_true(odds.low <= odds.chance && odds.chance <= odds.high);
        last = odds.chance;
        th_odds_free(&odds);
    }
}

/* Cuts whose hold factor has corners in runout, and bowed stock, where forces do not scale. */
static void the_table_answers_like_fresh_judgements(void **state) {
    static const char *const bows[] = {"0.1", "0.4", "1.5"};
    draft milled = plate(70, 50, 2), true_cutter, bowed;
    th_odds_options options = {.samples = 1024};
    th_odds odds;

    (void)state;
    put(&milled, "hold", "tape", "film");
    put(&milled, "hold", "wait", "24 h");
    add_cut(&milled, "cut.1", "slot", "flat-3mm-2");
    put(&milled, "cut.1", "axial", "0.4");
    put(&milled, "cut.1", "speed", "5000"); /* or the glue gets too warm */
    true_cutter = milled; /* so true that both teeth cut, and no drill: runout counts */
    put(&milled, "cutter.twist", "id", "drill-3mm");
    put(&milled, "cut.2", "operation", "drill");
    put(&milled, "cut.2", "cutter", "twist");
    put(&milled, "cut.2", "at", "10,10");
    put(&milled, "cut.2", "speed", "3000");
    odds = odds_with(&milled, &options);
    print_message("milled: table off by %.3g\n", odds.response_error);
    assert_int_equal(odds.checks, 4);
    assert_true(odds.response_error < 0.005);
    th_odds_free(&odds);
    put(&true_cutter, "cutter.em", "runout", "0.003 mm");
    options.samples = 65536;
    odds = odds_with(&true_cutter, &options);
    print_message("runout shared by two teeth: table off by %.3g, share %.3g\n",
                  odds.response_error, odds.inputs[TH_ODDS_RUNOUT].share);
    assert_true(odds.response_error < 0.005);
    assert_true(odds.inputs[TH_ODDS_RUNOUT].share > 1e-3);
    th_odds_free(&odds);
    options.samples = 1024;
    for (size_t i = 0; i < sizeof bows / sizeof *bows; i++) {
        bowed = milled;
        put(&bowed, "part", "bow", bows[i]);
        odds = odds_with(&bowed, &options);
        print_message("bowed by %s mm: table off by %.3g, %zu judgements\n", bows[i],
                      odds.response_error, odds.judgements);
        assert_true(odds.response_error < 0.005);
        th_odds_free(&odds);
    }
}

/* Strengths that scatter widely change places, so that a layer far above the weakest counts too;
 * and where the hold factor bends with coverage the table is made finer, though it is good enough
 * as it is. */
static void the_table_follows_wide_scatter(void **state) {
    th_odds_options options = {.samples = 1024, .spreads = {0.4, 0.4, 0.4}};
    draft d = odds_pushed(1.8);
    th_odds odds = odds_with(&d, &options);

    (void)state;
    print_message("strengths spread by 0.4: table off by %.3g, %zu links\n", odds.response_error,
                  odds.links);
    assert_true(odds.possible && odds.links > 2);
    assert_true(odds.response_error < 0.001);
    th_odds_free(&odds);
}

/* Faces whose strengths have one ratio answer alike: one judgement tells both. Where one of them
 * loses none of its strength with time they do not; each is a link of the chain, once. */
static void alike_faces_are_judged_once(void **state) {
    static const char *const below[] = {"film", "film-weak", "film-lasting"};
    size_t judgements[3];

    (void)state;
    for (int i = 0; i < 3; i++) {
        th_odds_options options = odds_two_spreads(0.2, 0.15);
        draft d = odds_pushed(1.8);
        th_odds odds;
        put(&d, "hold", "tape", "film");
        put(&d, "hold", "tape_below", below[i]);
        options.samples = 1024;
        odds = odds_with(&d, &options);
        judgements[i] = odds.judgements;
        assert_int_equal(odds.links, 2);
        th_odds_free(&odds);
    }
    assert_int_equal(judgements[0], judgements[1]);
    assert_true(judgements[2] > judgements[0]);
}

/* A table that misses its fresh judgements tells no odds. */
static void a_table_far_off_tells_nothing(void **state) {
    th_arena arena = {NULL};
    const char *why;
    bool off;

    (void)state;
    assert_null(th_table_off(0, &arena, &off));
    assert_false(off);
    assert_null(th_table_off(0.02, &arena, &off));
    assert_false(off);
    why = th_table_off(0.0213, &arena, &off);
    assert_true(off);
    assert_non_null(strstr(why, "misses fresh judgements by 2.1 % of the hold factor"));
    assert_non_null(th_table_off((double)NAN, &arena, &off));
    assert_true(off);
    th_arena_free(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_of_a_warmed_job_answers_like_fresh_judgements),
        cmocka_unit_test(the_table_answers_like_fresh_judgements),
        cmocka_unit_test(the_table_follows_wide_scatter),
        cmocka_unit_test(alike_faces_are_judged_once),
        cmocka_unit_test(a_table_far_off_tells_nothing),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
