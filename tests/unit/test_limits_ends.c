/* test_limits_ends.c - where limits look, and where a range of engagements ends: at the job's own
 * as it is typed, at the shallowest that is a pass, at what shallow passes warm too much. Jobs are
 * invented. */
#include <math.h>

#include "support/bounded.h"

/* The spindle is so weak that nothing else need be judged. */
static void the_job_s_own_radial_is_among_them(void **state) {
    static const th_check_options options = {.turn_downs = false};
    /* shares of the cutter; a hair beside a rung, and between two */
    static const double shares[] = {0.5, 0.5 * (1 + 5e-5), 0.5 * (1 - 5e-5), 0.45, 0.33, 1};

    (void)state;
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        draft d = plate(90, 60, 6);
        double before = 0;
        th_error err = {0};
        th_limits limits;
        th_job *job;
        int own = 0;
        put(&d, "machine", "spindle_power", "0.02 W");
        add_cut(&d, "cut.1", "pocket", "flat-3mm-2");
        put(&d, "cut.1", "at", "45,30");
        put(&d, "cut.1", "size", "30 x 20");
        put(&d, "cut.1", "depth", "1");
        put(&d, "cut.1", "axial", "0.5");
        put_length(&d, "cut.1", "radial", 3 * shares[i]);
        job = built(&d);
        if (!th_limits_run(job, &options, NULL, &limits, &err)) {
            fail_msg("%s", err.message);
        }
        assert_int_equal(limits.cut_count, 1);
        for (size_t k = 0; k < limits.cuts[0].point_count; k++) {
            double radial = limits.cuts[0].points[k].radial;
            assert_true(radial > before * (1 + 1e-4) && radial <= 3);
            own += fabs(radial - job->cuts[0].radial) <= 1e-5 * radial; /* six digits */
            before = radial;
        }
        assert_int_equal(own, 1);
        th_limits_free(&limits);
        th_job_free(job);
    }
}

/* So much is asked that a pass of 0.01 mm would hold, and one of 0.02 mm does not: there is none,
 * however steeply the hold is taken to fall with the engagement. */
static void nothing_shallower_than_a_pass_is_offered(void **state) {
    static const double steep[] = {0.5, 1, 2};
    draft d = grooved("0.3");
    double holds[2];
    th_look look;
    bounded at;

    (void)state;
    put(&d, "hold", "coverage", "0.05");
    put(&d, "job", "asked_factor", "1");
    bounded_begin(&d, 0, &at);
    for (int i = 0; i < 2; i++) {
        th_engaged there = {3, TH_SHALLOWEST * (i + 1) / 2, false};
        assert_true(th_look_at(&at.b, there, TH_LOOK_WHOLE, &look));
        holds[i] = look.bond;
    }
    bounded_end(&at);
    put_number(&d, "job", "asked_factor", sqrt(holds[0] * holds[1]), "");
    for (int i = 0; i < 3; i++) {
        th_guess guess = {1, steep[i], 0};
        th_limit_point point = {.radial = 3};
        bounded_begin(&d, 0, &at);
        at.b.most = 2.9;
        at.b.most_by = TH_BY_PLATE_THICKNESS;
        assert_true(th_limit_axial(&at.b, &guess, &point));
        assert_near(point.axial, 0, 0, 0);
        bounded_end(&at);
    }
}

/* Lowest margin of the other cuts with the first so deep a pass. */
static double others_at(bounded *at, double axial) {
    th_all all;

    at->b.later = at->b.whole;
    assert_true(th_look_later(&at->b, (th_engaged){at->b.cut->radial, axial, false}, &all));
    return all.other;
}

/* What comes later bears the time of eight levels, not of nine: the job's own eight are in the
 * range, though steps over it pass them by. */
static void the_job_s_own_axial_ends_the_range(void **state) {
    static const double own = 0.0752;
    draft d = two_grooves();
    th_limit_point point = {.axial = 0.3, .least = 0.02, .passes = 2, .minutes = 1};
    th_limit_cut found = {.points = &point, .point_count = 1, .own_holds = true};
    th_lines notes = {.count = 0};
    double eight, nine;
    bounded at;

    (void)state;
    put(&d, "job", "asked_factor", "1");
    put_length(&d, "cut.1", "axial", own);
    bounded_begin(&d, 0, &at);
    eight = others_at(&at, own);
    nine = others_at(&at, 0.6 / 9);
    bounded_end(&at);
    assert_true(eight > 1.001 * nine && nine > 1);
    put_number(&d, "job", "asked_factor", sqrt(eight * nine), "");
    bounded_begin(&d, 0, &at);
    at.b.later = at.b.whole;
    found.cut = at.b.cut;
    point.radial = at.b.cut->radial;
    assert_true(th_limit_others(&at.b, &found, &notes));
    assert_near(point.axial, 0.3, 0, 0);
    assert_true(point.least <= own && point.least > 0.6 / 9);
    bounded_end(&at);
}

/* The last pass is as heavy whatever goes before it; the shallower that is the longer it takes, and
 * the warmer the tape gets. What is told to hold does. */
static void the_range_ends_where_shallow_passes_get_too_warm(void **state) {
    static const double most = 0.3, none = 0.1;
    draft d = plate(120, 80, 3);
    th_limit_point point = {.radial = 3};
    th_guess guess = {0.3, 1, 0};
    th_look seen, warm;
    bounded at;

    (void)state;
    add_sheet(&d, 160, 120, 20, 20);
    put(&d, "hold", "wait", "24 h");
    put(&d, "hold", "cutting_time", "300 s");
    put(&d, "job", "asked_factor", "1");
    put(&d, "machine", "spindle_power", "20000 W");
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "last_axial", "0.4");
    put(&d, "cut.1", "speed", "9000");
    put(&d, "cut.1", "chip_load", "0.01 mm/tooth");
    bounded_begin(&d, 0, &at);
    assert_true(th_look_at(&at.b, (th_engaged){3, most, false}, TH_LOOK_WHOLE, &seen));
    assert_true(th_look_at(&at.b, (th_engaged){3, none, false}, TH_LOOK_WHOLE, &warm));
    bounded_end(&at);
    assert_true(warm.bond < 0.9 * seen.bond && warm.warmest > seen.warmest + 1);
    put_number(&d, "job", "asked_factor", sqrt(warm.bond * seen.bond), "");
    bounded_begin(&d, 0, &at);
    at.b.most = most;
    at.b.most_by = TH_BY_PLATE_THICKNESS;
    assert_true(th_limit_axial(&at.b, &guess, &point));
    assert_near(point.axial, most, 0, 0);
    assert_true(point.least > none && point.least < most);
    assert_true(th_look_at(&at.b, (th_engaged){3, point.least, false}, TH_LOOK_WHOLE, &seen));
    assert_true(seen.ratio >= 1);
    bounded_end(&at);
}

/* Where few engagements are looked at, no two neighbours are further apart than a seventh of the
 * smaller, in any decade, and what is looked at is never larger than what was asked for. */
static void steps_are_close_in_every_decade(void **state) {
    const th_bounded slow = {.slow = true};
    double before = 0;

    (void)state;
    for (int i = 0; i <= 4000; i++) {
        double axial = 0.01 * pow(10, i / 1000.0), step = th_limit_step(&slow, axial);
        assert_true(step <= axial * (1 + 1e-8) && step >= axial / (8 / 7.0) * (1 - 1e-5));
        assert_true(step >= before);
        before = step;
    }
}

/* All of an outline's depth is that of its levels, but for a last pass of its own. */
static void a_last_pass_of_its_own_is_no_level(void **state) {
    draft d = plate(90, 60, 6);
    bounded at;

    (void)state;
    add_sheet(&d, 150, 120, 30, 30);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.5");
    put(&d, "cut.1", "radial", "3");
    bounded_begin(&d, 0, &at);
    assert_near(th_limit_depth(&at.b), 6, 1e-12, 0);
    bounded_end(&at);
    put(&d, "cut.1", "last_axial", "0.2");
    bounded_begin(&d, 0, &at);
    assert_near(th_limit_depth(&at.b), 5.8, 1e-12, 0);
    bounded_end(&at);
}

/* In a sketch too the widest strip is the whole cutter, and none is wider; the narrowest is no
 * wider than the twentieth that light passes take. */
static void a_sketch_ends_at_the_whole_cutter(void **state) {
    static const th_check_options options = {.turn_downs = false};
    draft d = plate(90, 60, 6);
    th_error err = {0};
    th_limits limits;
    th_job *job;

    (void)state;
    put(&d, "machine", "spindle_power", "0.02 W");
    add_cut(&d, "cut.1", "pocket", "flat-3mm-2");
    put(&d, "cut.1", "at", "45,30");
    put(&d, "cut.1", "size", "30 x 20");
    put(&d, "cut.1", "depth", "1");
    put(&d, "cut.1", "axial", "0.5");
    put(&d, "cut.1", "radial", "1");
    job = built(&d);
    if (!th_limits_sketch(job, &options, &job->cuts[0], &limits, &err)) {
        fail_msg("%s", err.message);
    }
    assert_int_equal(limits.cut_count, 1);
    assert_near(limits.cuts[0].points[limits.cuts[0].point_count - 1].radial, 3, 1e-6, 0);
    assert_true(limits.cuts[0].points[0].radial <= 3 * 0.05 * (1 + 1e-9));
    th_limits_free(&limits);
    th_job_free(job);
}

/* Asked only whether a part holds twice as well as asked, or not half as well, a coarse look is
 * enough, however little is asked; near that it is not. */
static void what_is_plain_needs_no_close_look(void **state) {
    const double force[3] = {60, 0, 0};
    draft d = plate(60, 40, 3);
    double factors[2]; /* by a close look and by a coarse one */
    bounded at;

    (void)state;
    add_push(&d, "cut.1", force, 55, 35);
    bounded_begin(&d, 0, &at);
    for (int i = 0; i < 2; i++) {
        th_judging judging = at.b.whole;
        double minutes;
        judging.quick = i == 1;
        assert_true(th_judge_factor(at.job, &judging, 0, &factors[i], &minutes, &at.err));
    }
    assert_true(factors[0] < factors[1] || factors[0] > factors[1]);
    assert_true(factors[1] > 2);
    for (int i = 0; i < 4; i++) {
        const double enough[] = {0.01, 1, 0.95 * factors[1], 1.6 * factors[1]};
        th_judgement judgement;
        assert_true(th_judge(at.job, &at.b.whole, &at.arena, enough[i], &judgement, &at.err));
        assert_near(judgement.hold_factor, factors[i != 2], 0, 0);
    }
    bounded_end(&at);
}

/* The whole cut in as many levels as the engagement takes: the more of them the longer does what
 * comes later have to hold. A point that goes down to six levels takes longer than one that stays
 * at two, though its largest is quicker; what comes later bears four. */
static void the_slowest_of_all_points_is_what_others_bear(void **state) {
    draft d = two_grooves();
    th_limit_point points[2] = {{.radial = 2.9, .axial = 0.3, .least = 0.3, .minutes = 2},
                                {.radial = 3, .axial = 0.6, .least = 0.1, .minutes = 1}};
    th_limit_cut found = {.points = points, .point_count = 2};
    th_lines notes = {.count = 0};
    double one, two, six, asked;
    bounded at;

    (void)state;
    put(&d, "cut.1", "speed", "1000");
    put(&d, "job", "asked_factor", "1");
    bounded_begin(&d, 0, &at);
    one = others_at(&at, 0.6);
    two = others_at(&at, 0.3);
    six = others_at(&at, 0.1);
    bounded_end(&at);
    asked = sqrt(six * two * two / one);
    assert_true(two * two / one > 1.001 * six && asked > 1);
    put_number(&d, "job", "asked_factor", asked, "");
    bounded_begin(&d, 0, &at);
    at.b.later = at.b.whole;
    found.cut = at.b.cut;
    assert_true(th_limit_others(&at.b, &found, &notes));
    assert_near(points[0].axial, 0.3, 1e-9, 0);
    assert_near(points[0].least, 0.3, 1e-9, 0);
    assert_near(points[1].axial, 0.6, 1e-9, 0);
    assert_true(points[1].least > 0.1 && points[1].least <= 0.3);
    assert_true(others_at(&at, points[1].least) >= 1);
    bounded_end(&at);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_job_s_own_radial_is_among_them),
        cmocka_unit_test(nothing_shallower_than_a_pass_is_offered),
        cmocka_unit_test(the_job_s_own_axial_ends_the_range),
        cmocka_unit_test(the_range_ends_where_shallow_passes_get_too_warm),
        cmocka_unit_test(steps_are_close_in_every_decade),
        cmocka_unit_test(a_last_pass_of_its_own_is_no_level),
        cmocka_unit_test(a_sketch_ends_at_the_whole_cutter),
        cmocka_unit_test(what_is_plain_needs_no_close_look),
        cmocka_unit_test(the_slowest_of_all_points_is_what_others_bear),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
