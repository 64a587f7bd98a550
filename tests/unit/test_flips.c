/* test_flips.c - what would have to change for another answer: typed back, it changes there. Jobs
 * are invented. */
#include <stdio.h>
#include <string.h>

#include "support/draft.h"

/* Pushed so that it holds with `margin` times the factor asked for. */
static draft pushed(double margin, double *force) {
    draft d = plate(60, 40, 3);
    answer a;

    *force = 100;
    put(&d, "job", "asked_factor", "1.5");
    add_push(&d, "cut.1", (const double[]){*force, 0, 0}, 30, 20);
    run(&d, false, &a);
    *force *= a.check.hold_factor / 1.5 / margin;
    answer_free(&a);
    put_number(&d, "cut.1", "force_x", *force, "N");
    return d;
}

static th_verdict verdict_with(draft d, double force) {
    th_verdict verdict;
    answer a;

    put_number(&d, "cut.1", "force_x", force, "N");
    run(&d, false, &a);
    verdict = a.check.verdict;
    answer_free(&a);
    return verdict;
}

/* In whole percents, as long as there are some. */
static void a_margin_is_told_in_percents(void **state) {
    static const double margins[] = {1.03, 1.1, 1.25, 1.8};

    (void)state;
    for (int i = 0; i < 4; i++) {
        double force, weaker, more;
        draft d = pushed(margins[i], &force);
        answer a;
        run(&d, false, &a);
        assert_int_equal(a.check.verdict, TH_HOLDS);
        if (sscanf(a.check.flips_if, "the bond is %lf %% weaker or the forces %lf %% higher",
                   &weaker, &more) != 2) {
            fail_msg("flips if %s", a.check.flips_if);
        }
        answer_free(&a);
        assert_int_equal(verdict_with(d, force * (1 + more / 100 + 1e-6)), TH_UNPROVEN);
        assert_int_equal(verdict_with(d, force * (1 + (more - 1) / 100 - 1e-6)), TH_HOLDS);
        /* the forces that a bond so much weaker bears by the same factor */
        assert_int_equal(verdict_with(d, force / (1 - weaker / 100) + 1e-6), TH_UNPROVEN);
        assert_int_equal(verdict_with(d, force / (1 - (weaker - 1) / 100) - 1e-6), TH_HOLDS);
    }
}

static void a_hair_is_not(void **state) {
    double force;
    draft d = pushed(1.01, &force);
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    assert_string_equal(a.check.flips_if, "anything is worse than stated (then unproven)");
    answer_free(&a);
}

/* A hold that nothing can be asked of: with tape under the part it is the hold that is unfit,
 * without it is the tape that is missing. */
static void what_holds_nothing_is_told_what_it_lacks(void **state) {
    const th_box box = {40, 0, 20, 40, 0, 0};
    th_path path = th_path_new(0);
    th_outline away = {0};
    answer a;

    (void)state;
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_box(&path, &box);
    assert_true(th_region_of_path(&path, &away, NULL));
    th_path_free(&path);
    for (int bare = 0; bare < 2; bare++) {
        draft d = plate(60, 40, 3);
        if (bare) {
            add_cut(&d, "cut.1", "slot", "flat-6mm-3"); /* parts what is taped from what is not */
            put(&d, "cut.1", "axial", "0.5");
            put(&d, "cut.1", "through", "yes");
            put(&d, "cut.1", "from", "30,-1");
            put(&d, "cut.1", "to", "30,41");
            run_taped(&d, &away, &a);
        } else {
            add_push(&d, "cut.1", (const double[]){10, 0, 0}, 10, 20);
            put(&d, "hold", "wait", "1 s");
            run(&d, false, &a);
        }
        assert_near(a.check.hold_factor, 0, 0, 0);
        assert_int_equal(a.check.stages[a.check.governs].bonded_area > 0, !bare);
        assert_int_equal(strncmp(a.check.flips_if, "tape lies under ", 16) == 0, bare);
        assert_int_equal(strncmp(a.check.flips_if, "the hold is made fit ", 21) == 0, !bare);
        answer_free(&a);
    }
    th_outline_free(&away);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_margin_is_told_in_percents),
        cmocka_unit_test(a_hair_is_not),
        cmocka_unit_test(what_holds_nothing_is_told_what_it_lacks),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
