/* test_rounds.c - the passes of one cut after another: each has its own load, each copy its turn,
 * and the last lap of an outline counts wherever it goes. Jobs are invented. */
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

/* Of two grooves that differ in one thing only each asks for what its own turn does. */
static void a_pass_is_run_as_it_is(void **state) {
    static const struct {
        const char *key, *values[2];
    } cases[] = {{"radial", {"1", "0.6"}},
                 {"axial", {"0.3", "0.2"}},
                 {"chip_load", {"0.02 mm/tooth", "0.03 mm/tooth"}}};

    (void)state;
    for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
        draft d = plate(60, 40, 3);
        double forces[2];
        answer a;
        add_cut(&d, "cut.1", "face", "flat-3mm-2");
        put(&d, "cut.2", "operation", "face");
        put(&d, "cut.2", "cutter", "em");
        for (int i = 0; i < 2; i++) {
            const char *section = i ? "cut.2" : "cut.1";
            put(&d, section, "depth", "0.3");
            put(&d, section, "axial", "0.3");
            put(&d, section, "radial", "1.2");
            put(&d, section, "speed", "12000");
            put(&d, section, "chip_load", "0.02 mm/tooth");
            put(&d, section, cases[c].key, cases[c].values[i]);
        }
        run(&d, false, &a);
        for (int i = 0; i < 2; i++) {
            const th_stage *stage = stage_of(&a, i ? "cut.2" : "cut.1", TH_PIECE_PART);
            const th_cut *cut = stage->cut;
            th_pass pass = th_pass_of(a.job, cut, cut->radial, cut->axial, cut->chip_load);
            th_turn turn;
            th_error err;
            assert_true(th_turn_run(&pass, &turn, &err));
            forces[i] = turn.in_plane_peak;
            assert_near(stage->in_plane_peak, forces[i], 1e-12, 0);
            th_turn_free(&turn);
        }
        assert_true(forces[0] > 1.02 * forces[1] || forces[1] > 1.02 * forces[0]);
        answer_free(&a);
    }
}

/* Round stock that is no larger than the part: light passes and a heavy lap, down to a skin. */
static void the_last_lap_round_the_stock_itself_counts(void **state) {
    draft d = plate(60, 40, 4), without;
    const th_stage *stage;
    double light;
    answer a;

    (void)state;
    add_cut(&d, "cut.1", "outline", "flat-6mm-2-straight");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.1", "radial", "1");
    put(&d, "cut.1", "skin", "0.8");
    without = d;
    run(&without, false, &a);
    light = a.check.hold_factor;
    answer_free(&a);
    put(&d, "cut.1", "finish", "1");
    run(&d, false, &a);
    stage = &a.check.stages[a.check.governs];
    assert_non_null(strstr(stage->name, "finishing lap"));
    assert_true(a.check.hold_factor < 0.7 * light);
    answer_free(&a);
}

/* Two parts of a large sheet, one at its corner and one amid it: the cutter twists the sheet most
 * at the corner. */
static void the_first_of_two_may_be_the_worst(void **state) {
    draft d = plate(8, 8, 3);
    answer a;

    (void)state;
    add_sheet(&d, 120, 80, 5, 5);
    put(&d, "part", "copies", "1 x 2");
    put(&d, "part", "pitch", "20 x 32");
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "1");
    run(&d, false, &a);
    assert_int_equal(stage_of(&a, "cut.1", TH_PIECE_STOCK)->copy, 1);
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pass_is_run_as_it_is),
        cmocka_unit_test(the_last_lap_round_the_stock_itself_counts),
        cmocka_unit_test(the_first_of_two_may_be_the_worst),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
