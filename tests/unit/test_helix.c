/* test_helix.c - holes and pockets that leave their cutter little room to go in. The steepest helix
 * is practice (2 to 5 degrees in steel, up to 10 in light metal); jobs are invented. */
#include <math.h>
#include <string.h>

#include "support/draft.h"

/* 5 degrees, as a slope. */
#define SLOPE 0.08748866352592401

static draft bored(const char *size, const char *axial) {
    draft d = plate(120, 80, 3);

    add_cut(&d, "cut.1", "hole", "flat-3mm-2");
    put(&d, "cut.1", "axial", axial);
    put(&d, "cut.1", "at", "60,40");
    put(&d, "cut.1", "size", size);
    put(&d, "hold", "wait", "24 h");
    put(&d, "hold", "preparation", "scuffed");
    return d;
}

static size_t cautions_with(const draft *d, const char *words, double *minutes) {
    size_t count = 0;
    answer a;

    run(d, false, &a);
    for (size_t i = 0; i < a.check.cautions.count; i++) {
        count += strstr(a.check.cautions.items[i], words) != NULL;
    }
    *minutes = a.check.minutes;
    answer_free(&a);
    return count;
}

/* With no room to go round, the way down is a ramp of its own: 3 mm and what goes into the plate.
 */
static void a_tight_hole_takes_its_helix_s_time(void **state) {
    draft tight = bored("3.02", "0.3"), wide = bored("9", "0.3");
    double minutes, turns;
    answer a;

    (void)state;
    assert_int_equal(cautions_with(&tight,
                                   "hardly larger than its cutter: 0.3 mm a turn goes in on a "
                                   "helix of 78 degrees, as good as a plunge",
                                   &minutes),
                     1);
    run(&tight, false, &a);
    turns = ceil(a.job->cuts[0].depth / 0.3) + 1;
    assert_near(minutes, ((turns - 1) * 0.3 / SLOPE + TH_PI * 0.02) / a.job->cuts[0].feed, 1e-9, 0);
    answer_free(&a);
    assert_int_equal(cautions_with(&wide, "cutter", &minutes), 0);
    run(&wide, false, &a);
    assert_near(minutes, turns * TH_PI * 6 / a.job->cuts[0].feed, 1e-9, 0);
    answer_free(&a);
}

/* Room for the chips but a steep helix, and the other way round. */
static void steep_and_tight_are_told_apart(void **state) {
    draft steep = bored("3.7", "0.3"), tight = bored("3.5", "0.1");
    double minutes;

    (void)state;
    assert_int_equal(cautions_with(&steep,
                                   "little room: 0.3 mm a turn goes in on a helix of 8 degrees, "
                                   "too steep; its time is counted at 5 degrees, 0.19 mm a turn; "
                                   "turn axial down to that",
                                   &minutes),
                     1);
    put(&steep, "cut.1", "axial", "0.19");
    assert_int_equal(cautions_with(&steep, "helix", &minutes), 0);
    assert_int_equal(cautions_with(&tight, "chips jam", &minutes), 1);
    assert_int_equal(cautions_with(&tight, "up to 2.9 mm", &minutes), 1);
}

/* The depth that is offered is flat enough as it is printed: 0.1979 mm would do, and 0.20 not. */
static void what_is_offered_is_rounded_down(void **state) {
    draft d = bored("3.72", "0.3");
    double minutes;

    (void)state;
    assert_true(TH_PI * 0.72 * SLOPE > 0.197 && TH_PI * 0.72 * SLOPE < 0.199);
    assert_int_equal(cautions_with(&d, "at 5 degrees, 0.19 mm a turn; turn axial down", &minutes),
                     1);
    put(&d, "cut.1", "axial", "0.19");
    assert_int_equal(cautions_with(&d, "helix", &minutes), 0);
    put(&d, "cut.1", "axial", "0.2");
    assert_int_equal(cautions_with(&d, "helix", &minutes), 1);
}

/* A turn goes no deeper than the hole. */
static void a_shallow_hole_is_no_steep_one(void **state) {
    draft shallow = bored("4.5", "1.5");
    double minutes;

    (void)state;
    put(&shallow, "cut.1", "through", "no");
    put(&shallow, "cut.1", "depth", "0.4"); /* atan(0.4/4.71) is 4.9 degrees */
    assert_int_equal(cautions_with(&shallow, "helix", &minutes), 0);
    put(&shallow, "cut.1", "depth", "0.5"); /* 6.1 */
    assert_int_equal(cautions_with(&shallow, "0.5 mm a turn goes in on a helix of 6 deg", &minutes),
                     1);
}

/* 3 degrees where steel chips have to get out. */
static void steel_wants_a_flatter_helix(void **state) {
    draft d = bored("4.5", "0.35"); /* 4.2 degrees */
    double minutes;

    (void)state;
    assert_int_equal(cautions_with(&d, "helix", &minutes), 0);
    put(&d, "part", "stock", "steel-mild");
    assert_int_equal(cautions_with(&d, "its time is counted at 3 degrees", &minutes), 1);
}

static void a_pocket_is_told_too(void **state) {
    draft d = plate(120, 80, 3);
    double minutes;

    (void)state;
    add_cut(&d, "cut.1", "pocket", "flat-3mm-2");
    put(&d, "cut.1", "radial", "1");
    put(&d, "cut.1", "axial", "0.5");
    put(&d, "cut.1", "depth", "1");
    put(&d, "cut.1", "at", "60,40");
    put(&d, "cut.1", "size", "3.1");
    put(&d, "cut.1", "feed", "600");
    put(&d, "hold", "wait", "24 h");
    assert_int_equal(cautions_with(&d, "the pocket is hardly wider than its cutter", &minutes), 1);
    assert_near(minutes, 2 * (0.5 / SLOPE + TH_PI * 0.1) / 600, 1e-9, 0);
    put(&d, "cut.1", "size", "20 x 3.1");
    assert_int_equal(cautions_with(&d, "hardly wider", &minutes), 0);
}

static th_limit_point only_point(const draft *d, bool *own_holds) {
    static const th_check_options options = {.turn_downs = false};
    th_error err = {TH_OK, 0, "", ""};
    th_job *job = built(d);
    th_limits limits;
    th_limit_point point;

    assert_true(th_limits_run(job, &options, NULL, &limits, &err));
    assert_int_equal(limits.cut_count, 1);
    assert_int_equal(limits.cuts[0].point_count, 1);
    point = limits.cuts[0].points[0];
    *own_holds = limits.cuts[0].own_holds;
    assert_true(*own_holds || limits.cuts[0].own_limiter == TH_BY_HELIX);
    th_limits_free(&limits);
    th_job_free(job);
    return point;
}

static void limits_offer_no_steeper_helix(void **state) {
    draft d = bored("3.5", "0.3"), none = bored("3.02", "0.3");
    th_limit_point point;
    bool own;

    (void)state;
    point = only_point(&d, &own);
    assert_false(own);
    assert_int_equal(point.limiter, TH_BY_HELIX);
    assert_string_equal(th_limiter_name(point.limiter), "helix");
    assert_near(point.axial, TH_PI * 0.5 * SLOPE, 1e-3, 0);
    assert_true(point.axial <= TH_PI * 0.5 * SLOPE);
    put(&d, "cut.1", "axial", "0.13");
    point = only_point(&d, &own);
    assert_true(own);
    point = only_point(&none, &own);
    assert_int_equal(point.limiter, TH_BY_HELIX);
    assert_near(point.axial, 0, 0, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tight_hole_takes_its_helix_s_time),
        cmocka_unit_test(steep_and_tight_are_told_apart),
        cmocka_unit_test(what_is_offered_is_rounded_down),
        cmocka_unit_test(a_shallow_hole_is_no_steep_one),
        cmocka_unit_test(steel_wants_a_flatter_helix),
        cmocka_unit_test(a_pocket_is_told_too),
        cmocka_unit_test(limits_offer_no_steeper_helix),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
