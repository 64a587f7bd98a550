/* test_odds_bowed.c - odds of bowed stock on tape that its cut warms, the table against fresh
 * judgements of the job. Jobs are invented. */
#include <string.h>

#include "../../src/advice/odds.h"
#include "support/odds_case.h"

/* Bowed stock, whose forces and runout act on each other, on tape that its cut warms: how warm it
 * gets between the forces that are judged counts as well. */
static void the_table_of_a_warmed_bow_tells_its_odds(void **state) {
    draft d = odds_grooved("9000");
    th_odds_options options = {.samples = 1024};
    th_odds odds;

    (void)state;
    put(&d, "part", "bow", "0.1");
    odds = odds_with(&d, &options);
    print_message("warmed and bowed: table off by %.3g\n", odds.response_error);
    assert_true(odds.possible && odds.chance > 0);
    assert_true(odds.response_error < TH_TABLE_OFF);
    th_odds_free(&odds);
}

/* Where all scatters so widely that the table misses fresh judgements no odds are told, but why. */
static void a_bow_that_scatters_widely_tells_why_not(void **state) {
    static const th_check_options check = {.turn_downs = false};
    const th_odds_options options = {
        .samples = 64, .spreads = {0.65, 0.65, 0.65, 0.5, 0, 1, 10}, .check = &check};
    draft d = odds_grooved("6000");
    th_odds odds;
    th_error err = {0};
    th_job *job;

    (void)state;
    put(&d, "hold", "tape", "film");
    put(&d, "part", "bow", "0.18");
    put(&d, "cut.1", "axial", "0.35");
    job = built(&d);
    assert_true(th_odds_run(job, &options, &odds, &err));
    assert_true(odds.response_error > TH_TABLE_OFF);
    assert_false(odds.possible);
    assert_non_null(strstr(odds.why, "misses fresh judgements"));
    th_odds_free(&odds);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_of_a_warmed_bow_tells_its_odds),
        cmocka_unit_test(a_bow_that_scatters_widely_tells_why_not),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
