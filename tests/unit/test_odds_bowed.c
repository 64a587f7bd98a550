/* test_odds_bowed.c - odds of bowed stock on tape that its cut warms, the table against fresh
 * judgements of the job. Jobs are invented. */
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

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_of_a_warmed_bow_tells_its_odds),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
