/* test_odds_changes.c - what a change of the job does to its odds, and stages that come and go with
 * what scatters. Jobs are invented. */
#include "support/odds_case.h"

static double chance_of(const draft *d, const th_odds_options *options) {
    th_odds odds = odds_with(d, options);
    double chance = odds.chance;

    th_odds_free(&odds);
    return chance;
}

/* More force always, more spread of force while the middle holds, more spread of strength while
 * what lets go lies below the lower bound, which stays where it is. */
static void worse_is_never_better(void **state) {
    double last = 0;

    (void)state;
    for (double factor = 4; factor > 0.5; factor *= 0.8) {
        draft d = odds_pushed(factor);
        th_odds_options options = {.samples = 16384};
        double chance = chance_of(&d, &options);
        assert_true(chance > last);
        last = chance;
    }
    for (int input = 0; input <= TH_ODDS_WARMTH; input++) {
        draft d = odds_pushed(1.8);
        bool three = input < TH_ODDS_FORCE,
             matters = input < TH_ODDS_COVERAGE || input == TH_ODDS_WARMTH;
        last = 0;
        for (int step = 1; step <= 4; step++) {
            th_odds_options options = {.samples = 65536};
            double chance;
            for (int i = 0; i < (three ? TH_ODDS_FORCE : 1); i++) {
                options.spreads[three ? i : input] = (input == TH_ODDS_WARMTH     ? 2
                                                      : input == TH_ODDS_COVERAGE ? 0.2
                                                                                  : 0.1) *
                                                     step;
            }
            chance = chance_of(&d, &options);
            assert_true(matters ? chance > last : chance >= last * 0.98);
            last = chance;
        }
        input += three ? TH_ODDS_FORCE - 1 : 0;
    }
}

/* A skin round copies in bowed stock: which copy is the weakest changes with the forces, and with
 * it how many stages are told. */
static void stages_may_come_and_go(void **state) {
    draft d = plate(30, 30, 1.2);
    th_odds_options options = {.samples = 1024};
    th_odds odds;

    (void)state;
    put(&d, "part", "sheet_length", "190");
    put(&d, "part", "sheet_width", "150");
    put(&d, "part", "copies", "4 x 3");
    put(&d, "part", "pitch", "41 x 41");
    put(&d, "part", "bow", "0.2");
    put(&d, "hold", "wait", "12 h");
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "0.25");
    put(&d, "cut.1", "skin", "0.3");
    odds = odds_with(&d, &options);
    assert_true(odds.possible);
    assert_true(odds.response_error < 0.01);
    th_odds_free(&odds);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(worse_is_never_better),
        cmocka_unit_test(stages_may_come_and_go),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
