/* test_bowed.c - stock whose bow alone pulls hard on its tape: how hard, what would change the
 * answer, and what is left for a proof pull. By proportion and the beam on its bed; jobs are
 * invented. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/bounded.h"

/* Next to nothing is cut: the bow alone asks. The tape loses nothing with time and does not mind
 * warmth, so that the hold factor is inverse to the bow. */
static draft bowed(double hold_factor, const char *asked) {
    static const double speck[3] = {0, 0, 1e-6};
    draft d = plate(120, 40, 3);
    answer a;

    put(&d, "hold", "tape", "film-lasting");
    put(&d, "hold", "wait", "24 h");
    put(&d, "job", "asked_factor", asked);
    add_push(&d, "cut.1", speck, 60, 20);
    put(&d, "cut.1", "seconds", "10 s");
    put_length(&d, "part", "bow", 0.1);
    run(&d, false, &a);
    put_length(&d, "part", "bow", 0.1 * a.check.hold_factor / hold_factor);
    answer_free(&a);
    return d;
}

/* No force worth a word is there to be raised: of what may get worse the bond is left. */
static void forces_are_no_matter_to_it(void **state) {
    draft d = bowed(1.98, "1.2");
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_near(a.check.hold_factor, 1.98, 1e-3, 0);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    assert_string_equal(a.check.flips_if, "the bond is 40 % weaker (then unproven)");
    answer_free(&a);
}

/* As long as it holds its own it is short of the asked factor alone, in either direction; a bow
 * that asks for more than there is must be taken out. */
static void what_helps_a_bow(void **state) {
    draft d = bowed(1.24, "1.5"), more = bowed(0.8, "1.5");
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_UNPROVEN);
    assert_string_equal(a.check.flips_if,
                        "the bond is 21 % stronger (then it holds) or 20 % weaker (lets go)");
    answer_free(&a);
    run(&more, false, &a);
    assert_int_equal(a.check.verdict, TH_LETS_GO);
    assert_non_null(strstr(a.check.flips_if, "the stock is flattened to a bow of "));
    answer_free(&a);
}

/* Pushed so that flat it would hold `flat` times, and bowed so much that it holds 0.8 times. */
static draft bowed_and_pushed(const double *push, double flat) {
    draft d = plate(120, 40, 3);
    double force[3], bow = 1;
    answer a;

    put(&d, "hold", "tape", "film-lasting");
    put(&d, "hold", "wait", "24 h");
    put(&d, "job", "asked_factor", "1.5");
    add_push(&d, "cut.1", push, 60, 20);
    put(&d, "cut.1", "seconds", "10 s");
    run(&d, false, &a);
    for (int i = 0; i < 3; i++) {
        force[i] = push[i] * a.check.hold_factor / flat;
    }
    answer_free(&a);
    add_push(&d, "cut.1", force, 60, 20);
    for (int i = 0; i < 6; i++) {
        put_length(&d, "part", "bow", bow);
        run(&d, false, &a);
        bow *= a.check.hold_factor / 0.8;
        answer_free(&a);
    }
    return d;
}

/* Flattened to the bow that is told, a twentieth less than what just holds and rounded to two
 * digits, it holds; with a fifth more than that it does not. */
static void expect_told_bow(draft *d) {
    const char *told;
    double bow;
    answer a;

    run(d, false, &a);
    assert_int_equal(a.check.verdict, TH_LETS_GO);
    told = strstr(a.check.flips_if, "flattened to a bow of ");
    assert_non_null(told);
    bow = strtod(told + strlen("flattened to a bow of "), NULL);
    answer_free(&a);
    for (int i = 0; i < 2; i++) {
        put_length(d, "part", "bow", i ? 1.2 * bow : bow);
        run(d, false, &a);
        assert_int_equal(a.check.verdict == TH_HOLDS, i == 0);
        answer_free(&a);
    }
}

static void the_bow_that_is_told_holds(void **state) {
    static const struct {
        double push[3], flat;
    } cases[] = {{{0, 0, 100}, 2.5}, {{100, 0, 0}, 2.5}, {{100, 0, 0}, 1.6}};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = bowed_and_pushed(cases[i].push, cases[i].flat);
        expect_told_bow(&d);
    }
}

/* A cut asks more than a small bow does, for a moment: only a larger one shows, which pulls all
 * day. */
static void a_bow_behind_a_cut_is_told(void **state) {
    draft d = grooved("1.5");
    double flat;
    answer a;

    (void)state;
    put(&d, "hold", "tape", "film");
    put(&d, "hold", "wait", "24 h");
    run(&d, false, &a);
    flat = a.check.hold_factor;
    answer_free(&a);
    assert_true(flat > 1.2);
    put_number(&d, "job", "asked_factor", flat / 1.2, "");
    put(&d, "part", "bow", "0.165");
    expect_told_bow(&d);
}

/* A pull that leaves half of the bond's strength alone: where the bow takes that half there is
 * none. */
static void a_bow_may_leave_no_pull(void **state) {
    static const double factors[] = {6, 3, 1.9, 1.2};

    (void)state;
    for (int i = 0; i < 4; i++) {
        draft d = bowed(factors[i], "1");
        const th_proof_pull *proof;
        answer a;
        run(&d, false, &a);
        proof = &a.check.proof;
        assert_int_equal(proof->possible, factors[i] > 2);
        if (proof->possible) {
            assert_true(proof->force[2] > 0);
            assert_true(proof->load_share > 1 / factors[i] && proof->load_share < 0.5 + 1e-9);
        } else {
            assert_int_equal(proof->limit, TH_PROOF_BOWED);
        }
        answer_free(&a);
    }
}

/* A strip far stiffer than its bed hardly bends: it lies flat on what is a parabola, c x^2/2 less
 * its mean, c L^2/24, so that its ends pull with k c L^2/12. The next term of the beam's own
 * solution is smaller by (beta L)^4 (Hetenyi, Beams on Elastic Foundation, 1946, ch. III). */
static void a_stiff_strip_stays_a_parabola(void **state) {
    static const double lengths[] = {0.1, 0.5, 2, 8};
    const double e = 70000, nu = 0.33, k = 0.08, t = 1.5, bow = 0.4, over = 300;
    double curvature = 8 * bow / (over * over), d = e * t * t * t / 12 / (1 - nu * nu);
    double beta = pow(k / (4 * d), 0.25);
    th_plate_material material = {e, nu, k, 0.16, 1};

    (void)state;
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        double length = lengths[i], pull = k * curvature * length * length / 12;
        assert_true(beta * length < 0.3);
        assert_near(th_bow_lift(&material, t, bow, over, length), pull,
                    1e-12 + pow(beta * length, 4) / 100, 0);
    }
}

/* A piece of bowed stock pulls as hard wherever in it the part is to lie: its bow is over the
 * longer side of the sheet. */
static void it_is_no_matter_where_the_part_lies_in_its_sheet(void **state) {
    static const double corners[][2] = {{20, 20}, {5, 20}, {20, 5}, {40, 20}, {20, 30}};
    double standing = 0;

    (void)state;
    for (size_t i = 0; i < sizeof corners / sizeof *corners; i++) {
        draft d = plate(60, 40, 3);
        answer a;
        add_sheet(&d, 120, 80, corners[i][0], corners[i][1]);
        add_push(&d, "cut.1", (const double[]){10, 0, 0}, 30, 20);
        put_length(&d, "part", "bow", 0.1);
        run(&d, false, &a);
        standing = i ? standing : a.check.stages[0].standing_lift;
        assert_true(standing > 0);
        assert_near(a.check.stages[0].standing_lift, standing, 1e-9, 0);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forces_are_no_matter_to_it),
        cmocka_unit_test(what_helps_a_bow),
        cmocka_unit_test(the_bow_that_is_told_holds),
        cmocka_unit_test(a_bow_behind_a_cut_is_told),
        cmocka_unit_test(a_bow_may_leave_no_pull),
        cmocka_unit_test(a_stiff_strip_stays_a_parabola),
        cmocka_unit_test(it_is_no_matter_where_the_part_lies_in_its_sheet),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
