/* test_near_limit.c - a hold that its cut warms to just below what it stands: how much is left, and
 * that it is said. Jobs are invented. */
#include <math.h>
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

/* Drilled in a room so warm that the tape gets to `below` its limit (K). */
static draft warmed_by(const char *drill, double below) {
    draft d = plate(40, 30, 4);
    answer a;

    put(&d, "hold", "tape", "pvc-film");
    put(&d, "hold", "wait", "24 h");
    add_cut(&d, "cut.1", "drill", drill);
    put(&d, "cut.1", "at", "20,15");
    put(&d, "job", "asked_factor", "1");
    run(&d, false, &a);
    put_number(&d, "hold", "room_temperature",
               a.job->hold.room_temperature + th_hold_warmest(a.job) -
                   a.check.stages[0].temperature - below,
               "C");
    answer_free(&a);
    return d;
}

static draft warmed_to(double below) {
    return warmed_by("drill-3mm", below);
}

static bool told(const answer *a, const char *words) {
    bool found = false;

    for (size_t i = 0; i < a->check.cautions.count; i++) {
        found = found || strstr(a->check.cautions.items[i], words);
    }
    return found;
}

/* So much warmer and it is gone; a single cut is enough to say so. */
static void what_is_left_is_told(void **state) {
    static const double left[] = {0.3, 1, 5};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = warmed_to(left[i]);
        double factor, more;
        bool gone;
        answer a;
        run(&d, false, &a);
        factor = a.check.hold_factor;
        assert_true(factor > 0 && a.check.stage_count > 0);
        more = th_warmer_until(a.job, &a.check, 1e-6, &gone);
        assert_near(more, left[i], 1e-4, 0);
        assert_true(gone);
        assert_near(th_warmer_until(a.job, &a.check, factor * 1.001, &gone), 0, 0, 0.02);
        assert_int_equal(told(&a, "warms the tape to"), left[i] < 2);
        answer_free(&a);
    }
}

/* With strength to spare it may get warmer until it holds by no more than asked. */
static void strength_to_spare_is_warmth_to_spare(void **state) {
    draft d = warmed_to(20);
    double factor, more, bound;
    bool gone;
    answer a;

    (void)state;
    run(&d, false, &a);
    factor = a.check.hold_factor;
    bound = factor *
            th_hold_warmed(a.job, a.check.stages[0].temperature, a.check.stages[0].temperature + 6);
    assert_true(bound < 0.99 * factor);
    more = th_warmer_until(a.job, &a.check, bound, &gone);
    assert_near(more, 6, 1e-6, 0);
    assert_false(gone);
    answer_free(&a);
}

/* Short of what is asked and a kelvin from holding nothing: what it lacks of the asked factor is
 * told with the warmth that it has left. */
static void what_it_lacks_is_told_with_what_is_left(void **state) {
    draft d = warmed_by("drill-1mm", 1);
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_true(a.check.hold_factor > 1);
    put_number(&d, "job", "asked_factor", 1.245 * a.check.hold_factor, "");
    answer_free(&a);
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_UNPROVEN);
    assert_non_null(strstr(a.check.flips_if, "the bond is 25 % stronger (then it holds), or the "
                                             "tape gets 1.0 K warmer"));
    answer_free(&a);
}

/* A rest cools the part, not the tape right under the cutter: where most of the rise is there, it
 * is told so. */
static void what_is_warm_under_the_cutter_needs_no_rest(void **state) {
    static const double shares[2] = {0.3, 1};

    (void)state;
    for (int i = 0; i < 4; i++) {
        const int small = i % 2, hot = i / 2; /* what the room is makes no difference */
        draft d = small ? plate(20, 16, 4) : plate(100, 80, 4);
        const th_stage *stage;
        double room, whole, all;
        answer a;
        put(&d, "hold", "tape", "painters-paper");
        put(&d, "hold", "cooling", "dry");
        put(&d, "hold", "room_temperature", hot ? "60 C" : "21 C");
        add_cut(&d, "cut.1", "slot", "flat-6mm-3");
        put(&d, "cut.1", "depth", "2");
        put(&d, "cut.1", "axial", small ? "0.1" : "2");
        put(&d, "cut.1", "from", "0, 8");
        put(&d, "cut.1", "to", small ? "20, 8" : "100, 8");
        run(&d, false, &a);
        stage = &a.check.stages[a.check.governs];
        assert_true(stage->way == TH_HEAT);
        room = a.job->hold.room_temperature;
        whole = stage->part_temperature - room;
        all = stage->temperature - room;
        assert_true(whole > 1 && whole < shares[small] * all && (!small || whole > 0.3 * all));
        assert_int_equal(told(&a, "mostly right under the cutter"), !small);
        assert_int_equal(told(&a, "rest between passes"), small);
        answer_free(&a);
    }
}

/* With a rest so long that all cools down again a part gets as warm as one pass makes it, for each
 * watt: passes counted one by one, up to a hundred, show that, and those taken together hide none
 * of it. */
static void one_pass_of_many_warms_as_much(void **state) {
    static const int passes[] = {99, 100, 101, 130};
    double rise[4];

    (void)state;
    for (int i = 0; i < 4; i++) {
        draft d = plate(60, 40, 6);
        const th_stage *stage;
        answer a;
        add_cut(&d, "cut.1", "pocket", "flat-6mm-3");
        put(&d, "cut.1", "radial", "1");
        put(&d, "cut.1", "feed", "300 mm/min");
        put(&d, "cut.1", "depth", "3");
        put(&d, "cut.1", "size", "40 x 20");
        put(&d, "cut.1", "at", "30,20");
        put(&d, "cut.1", "rest", "6000 s");
        put_length(&d, "cut.1", "axial", 3.0 / passes[i] + 1e-6);
        run(&d, false, &a);
        stage = stage_of(&a, "cut.1", TH_PIECE_PART);
        assert_near(stage->passes, passes[i], 0, 0);
        rise[i] = (stage->part_temperature - a.job->hold.room_temperature) / stage->power;
        answer_free(&a);
    }
    assert_near(rise[1], rise[0], 0.01, 0);
    assert_true(rise[2] > 0.95 * rise[1] && rise[3] > 0.95 * rise[1]);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_left_is_told),
        cmocka_unit_test(strength_to_spare_is_warmth_to_spare),
        cmocka_unit_test(what_it_lacks_is_told_with_what_is_left),
        cmocka_unit_test(what_is_warm_under_the_cutter_needs_no_rest),
        cmocka_unit_test(one_pass_of_many_warms_as_much),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
