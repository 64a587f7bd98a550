/* test_proof_pull.c - which way the proof pull goes, and how hard: straight with the push that is
 * to be proved, but never into a stop. Jobs are invented. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "support/draft.h"

static const double ways[4][2] = {{-1, 0}, {1, 0}, {0, -1}, {0, 1}};
static const char *const sides[4] = {"left", "right", "front", "back"};

/* Thin, so that it slides rather than tilts, and pushed at its middle so that it holds with a
 * factor of 3 where no stop helps. */
static void pulled(int way, const char *stops, answer *a) {
    double force[3] = {1000 * ways[way][0], 1000 * ways[way][1], 0}, factor;
    draft d = plate(60, 60, 3);

    add_push(&d, "cut.1", force, 30, 30);
    run(&d, false, a);
    factor = a->check.hold_factor;
    answer_free(a);
    add_push(&d, "cut.1", (const double[]){force[0] * factor / 3, force[1] * factor / 3, 0}, 30,
             30);
    if (stops) {
        put(&d, "hold", "stops", stops);
    }
    run(&d, false, a);
    assert_true(a->check.proof.possible);
}

static void it_pulls_where_the_cut_pushes(void **state) {
    (void)state;
    for (int way = 0; way < 4; way++) {
        const double *force;
        answer a;
        pulled(way, NULL, &a);
        force = a.check.proof.force;
        assert_true(a.check.proof.safe);
        assert_true(force[0] * ways[way][0] + force[1] * ways[way][1] > 1);
        assert_near(hypot(force[0], force[1]), fabs(force[0] + force[1]), 1e-12, 0);
        assert_near(force[2], 0, 0, 1e-12);
        /* at the edge on that side */
        assert_near(a.check.proof.at.x, 30 + 30 * ways[way][0], 1e-9, 1e-9);
        assert_near(a.check.proof.at.y, 30 + 30 * ways[way][1], 1e-9, 1e-9);
        answer_free(&a);
    }
}

/* A pull into a stop would prove the stop; the other three are no matter. */
static void it_never_pulls_into_a_stop(void **state) {
    (void)state;
    for (int way = 0; way < 4; way++) {
        for (int stop = 0; stop < 4; stop++) {
            const double *force;
            double with;
            answer a;
            pulled(way, sides[stop], &a);
            force = a.check.proof.force;
            with = force[0] * ways[stop][0] + force[1] * ways[stop][1];
            assert_true(with <= 1e-12);
            if (stop != way) {
                assert_true(force[0] * ways[way][0] + force[1] * ways[way][1] > 1);
            } else {
                assert_true(force[2] > 1 && hypot(force[0], force[1]) < 1e-12);
            }
            answer_free(&a);
        }
    }
}

/* A push beside the middle, all of it taken by a stop: the part turns about that. A person pulls
 * straight along the sheet or straight up, and not into the stop. */
static void it_never_pulls_askew(void **state) {
    int twisted = 0;

    (void)state;
    for (int way = 0; way < 4; way++) {
        draft d = plate(60, 60, 3);
        const double push[3] = {100 * ways[way][0], 100 * ways[way][1], 0};
        const double *force;
        answer a;
        put(&d, "hold", "stops", sides[way]);
        add_push(&d, "cut.1", push, way < 2 ? 30 : 58, way < 2 ? 58 : 30);
        run(&d, false, &a);
        force = a.check.proof.force;
        twisted += a.check.stages[0].way == TH_TWIST;
        assert_true(a.check.proof.possible);
        assert_true(force[0] * ways[way][0] + force[1] * ways[way][1] <= 1e-9);
        assert_int_equal(
            (fabs(force[0]) > 1e-9) + (fabs(force[1]) > 1e-9) + (fabs(force[2]) > 1e-9), 1);
        answer_free(&a);
    }
    assert_true(twisted > 0);
}

/* The cut that asks for most is the one to prove: lighter ones, before it or after it, change
 * nothing of the pull. */
static void it_proves_the_heaviest_cut(void **state) {
    static const double loads[][3] = {{30, 3, 3}, {3, 30, 3}, {3, 3, 30}};
    double force[3] = {0, 0, 0};
    answer a;

    (void)state;
    for (int i = -1; i < 3; i++) { /* the heavy one alone, then each order */
        draft d = plate(60, 60, 3);
        for (int k = 0; k < (i < 0 ? 1 : 3); k++) {
            char section[24];
            snprintf(section, sizeof section, "cut.%d", k + 1);
            add_push(&d, section, (const double[]){i < 0 ? 30 : loads[i][k], 0, 0}, 30, 30);
        }
        run(&d, false, &a);
        assert_true(a.check.proof.possible && a.check.proof.safe);
        for (int k = 0; k < 3; k++) {
            if (i < 0) {
                force[k] = a.check.proof.force[k];
            }
            assert_near(a.check.proof.force[k], force[k], 1e-9, 1e-9);
        }
        answer_free(&a);
    }
    assert_true(force[0] > 30);
}

/* Hooked at the edge on that side, abreast of the cutter. */
static void it_is_hooked_at_the_near_edge(void **state) {
    (void)state;
    for (int way = 0; way < 4; way++) {
        const double force[3] = {30 * ways[way][0], 30 * ways[way][1], 0};
        draft d = plate(80, 46, 3);
        answer a;
        add_push(&d, "cut.1", force, 40, 23);
        run(&d, false, &a);
        assert_true(a.check.proof.possible);
        assert_near(a.check.proof.force[2], 0, 0, 1e-12);
        assert_near(a.check.proof.at.x, 40 + 40 * ways[way][0], 1e-9, 1e-9);
        assert_near(a.check.proof.at.y, 23 + 23 * ways[way][1], 1e-9, 1e-9);
        answer_free(&a);
    }
}

/* What a hand can pull may show next to nothing of what a cut asks of a large part: that is told as
 * useless; what shows a fair share of it is told by what stops it. */
static void a_pull_that_shows_little_is_useless(void **state) {
    static const double forces[] = {400, 3000, 6000, 20000};
    int useless = 0, fair = 0;

    (void)state;
    for (size_t i = 0; i < sizeof forces / sizeof *forces; i++) {
        draft d = plate(300, 200, 3);
        const th_proof_pull *pull;
        answer a;
        add_push(&d, "cut.1", (const double[]){forces[i], 0, 0}, 150, 100);
        run(&d, false, &a);
        pull = &a.check.proof;
        assert_true(pull->possible);
        assert_int_equal(pull->limit == TH_PROOF_WHOLE, pull->safe);
        if (!pull->safe && pull->covers > 0.25) {
            assert_true(pull->limit == TH_PROOF_HAND || pull->limit == TH_PROOF_BOND);
            fair++;
        } else if (!pull->safe && pull->covers < 0.15) {
            assert_true(pull->limit == TH_PROOF_USELESS);
            useless++;
        }
        answer_free(&a);
    }
    assert_true(useless > 0 && fair > 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_pulls_where_the_cut_pushes),
        cmocka_unit_test(it_never_pulls_into_a_stop),
        cmocka_unit_test(it_never_pulls_askew),
        cmocka_unit_test(it_proves_the_heaviest_cut),
        cmocka_unit_test(it_is_hooked_at_the_near_edge),
        cmocka_unit_test(a_pull_that_shows_little_is_useless),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
