/* test_limits_look.c - one engagement held against what limits it: each margin against its own
 * figure, worked out apart from the search. Jobs are invented. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/bounded.h"

/* The margin of spindle, cutter and chip at the axial engagement of the job. */
static th_look look_at_cutter(const draft *d) {
    th_look look;
    bounded at;

    bounded_begin(d, 0, &at);
    assert_true(th_look_at(&at.b, (th_engaged){at.b.cut->radial, at.b.cut->axial, false},
                           TH_LOOK_CUTTER, &look));
    bounded_end(&at);
    return look;
}

/* Power and torque at the axis, by what one turn asks for. */
static void the_spindle_gives_what_it_has(void **state) {
    draft d = grooved("1");
    th_look look;
    bounded at;

    (void)state;
    put(&d, "machine", "spindle_power", "20 W");
    put(&d, "machine", "efficiency", "0.6");
    look = look_at_cutter(&d);
    assert_int_equal(look.by, TH_BY_SPINDLE_POWER);
    assert_near(look.ratio, 20 * 0.6 / look.power, 1e-12, 0);
    put(&d, "machine", "spindle_power", "20000 W");
    put(&d, "machine", "spindle_torque", "0.002 Nm");
    look = look_at_cutter(&d);
    assert_int_equal(look.by, TH_BY_SPINDLE_TORQUE);
    assert_near(look.ratio, 0.002 * 12000 / 60 * 2 * TH_PI / look.power, 1e-12, 0);
    /* a job that its part refuses has no margin at all */
    bounded_begin(&d, 0, &at);
    assert_true(th_look_at(&at.b, (th_engaged){3, 99, false}, TH_LOOK_CUTTER, &look));
    assert_near(look.ratio, 0, 0, 0);
    assert_int_equal(look.by, TH_BY_PLATE_THICKNESS);
    bounded_end(&at);
}

static void a_chip_too_thin_is_no_chip(void **state) {
    draft d = grooved("0.2");
    th_look look;

    (void)state;
    put(&d, "cut.1", "chip_load", "0.004 mm/tooth"); /* the stock asks for 0.005 */
    look = look_at_cutter(&d);
    assert_int_equal(look.by, TH_BY_CHIP);
    assert_near(look.ratio, 0.8, 1e-9, 0);
}

/* Bending and twisting of the cutter grow with the force, breakage with its peaks. */
static void the_cutter_bends_and_breaks(void **state) {
    draft d = grooved("2.9");
    th_look bent, broken, twice;
    const th_cutter *cutter;
    th_pass pass;
    th_turn turn;
    bounded at;

    (void)state;
    put(&d, "cut.1", "chip_load", "0.04 mm/tooth");
    put(&d, "machine", "peak_ratio", "1");
    bounded_begin(&d, 0, &at);
    pass = th_pass_of(at.job, at.b.cut, at.b.cut->radial, at.b.cut->axial, at.b.cut->chip_load);
    assert_true(th_turn_run(&pass, &turn, &at.err));
    cutter = pass.cutter;
    bent = look_at_cutter(&d);
    assert_int_equal(bent.by, TH_BY_DEFLECTION);
    assert_near(bent.ratio, 0.01 * 3 / th_cutter_deflection(cutter, turn.in_plane_peak), 1e-9, 0);
    put(&d, "machine", "peak_ratio", "2.4");
    broken = look_at_cutter(&d);
    put(&d, "machine", "peak_ratio", "4.8");
    twice = look_at_cutter(&d);
    assert_int_equal(twice.by, TH_BY_BREAKAGE);
    assert_near(twice.ratio,
                th_cutter_strength(cutter) /
                    th_cutter_stress(cutter, 4.8 * turn.in_plane_peak, 4.8 * turn.torque_peak),
                1e-9, 0);
    assert_true(broken.ratio <= 2 * twice.ratio * (1 + 1e-9));
    th_turn_free(&turn);
    bounded_end(&at);
}

/* ---- how severe a pass is ---------------------------------------------------------------------
 */

static th_severity severity_of(const draft *d) {
    return look_at_cutter(d).severity;
}

/* Forces and torque of one turn, and their lever: the middle of the engagement over the tape. */
static void severity_is_what_one_turn_asks(void **state) {
    draft d = grooved("0.8");
    th_severity severe = severity_of(&d), lighter, two;
    th_pass pass;
    th_turn turn;
    bounded at;

    (void)state;
    bounded_begin(&d, 0, &at);
    pass = th_pass_of(at.job, at.b.cut, at.b.cut->radial, at.b.cut->axial, at.b.cut->chip_load);
    assert_true(th_turn_run(&pass, &turn, &at.err));
    bounded_end(&at);
    assert_int_equal(severe.passes, 1);
    assert_near(severe.of[0][0], turn.in_plane_peak, 1e-12, 0);
    assert_near(severe.of[0][1], turn.lift_peak, 1e-12, 0);
    assert_near(severe.of[0][2], turn.torque_peak, 1e-12, 0);
    assert_near(severe.of[0][3], turn.in_plane_peak * (6 - 0.4), 1e-12, 0);
    th_turn_free(&turn);
    d = grooved("0.4");
    lighter = severity_of(&d);
    assert_true(th_milder(&lighter, &severe, 1) && !th_milder(&severe, &lighter, 1));
    assert_true(th_milder(&severe, &severe, 1) && !th_milder(&severe, &severe, 1.001));
    two = lighter;
    two.of[two.passes][0] = NAN; /* another pass of which nothing is known */
    two.passes++;
    assert_true(th_milder(&lighter, &two, 1) && !th_milder(&two, &severe, 1));
    for (int m = 0; m < TH_MEASURES; m++) {
        two = lighter;
        two.of[0][m] = 1.01 * severe.of[0][m];
        assert_false(th_milder(&two, &severe, 1));
        two.of[0][m] = NAN;
        assert_false(th_milder(&two, &severe, 1));
    }
}

/* The pass that frees the part counts beside the others where it is another. */
static void a_last_pass_of_its_own_counts(void **state) {
    static const struct {
        const char *key, *value;
        size_t passes;
    } cases[] = {{"last_axial", "0.5", 1},
                 {"last_axial", "0.4", 2},
                 {"last_axial", "0.6", 2},
                 {"last_feed", "400 mm/min", 2},
                 {"last_feed", "560 mm/min", 2}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        draft d = plate(60, 40, 3);
        th_severity severe;
        add_sheet(&d, 100, 80, 20, 20);
        add_cut(&d, "cut.1", "outline", "flat-3mm-2");
        put(&d, "cut.1", "radial", "3");
        put(&d, "cut.1", "axial", "0.5");
        put(&d, "cut.1", "last_axial", "0.5");
        put(&d, "cut.1", "chip_load", "0.02 mm/tooth");
        put(&d, "cut.1", "last_feed", "480 mm/min");
        put(&d, "cut.1", "speed", "12000"); /* times two flutes: 480 mm/min */
        put(&d, "cut.1", cases[i].key, cases[i].value);
        severe = severity_of(&d);
        assert_int_equal(severe.passes, cases[i].passes);
        if (i == 1 || i == 3) { /* lighter than the others */
            assert_true(severe.of[1][0] < severe.of[0][0]);
        }
    }
}

/* ---- how an engagement is stated --------------------------------------------------------------
 */

/* As wide as the tip's angle makes it at that depth: its tangent. */
static void a_chamfer_is_stated_by_its_width(void **state) {
    static const struct {
        const char *id;
        double half;
    } tips[] = {{"chamfer-6mm-90", 45}, {"chamfer-10mm-60", 30}};

    (void)state;
    for (size_t i = 0; i < 2; i++) {
        draft d = plate(60, 40, 5);
        th_settings settings;
        bounded at;
        add_cut(&d, "cut.1", "chamfer", tips[i].id);
        put(&d, "cut.1", "width", "0.4");
        bounded_begin(&d, 0, &at);
        settings = th_limit_settings(&at.b, (th_engaged){1, 0.5, false});
        assert_int_equal(settings.count, 1);
        assert_near(strtod(strchr(settings.text[0], '=') + 1, NULL),
                    0.5 * tan(tips[i].half * TH_PI / 180), 1e-9, 0);
        bounded_end(&at);
    }
}

static void six_digits_are_kept(void **state) {
    static const double cases[][3] = {{1.23456789, 1.23456, 1.23457},
                                      {0.0123456789, 0.0123456, 0.0123457},
                                      {98765.4321, 98765.4, 98765.5},
                                      {9.99999999, 9.99999, 10},
                                      {0.25, 0.25, 0.25},
                                      {0, 0, 0}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_near(th_six_digits(cases[i][0], false), cases[i][1], 1e-14, 0);
        assert_near(th_six_digits(cases[i][0], true), cases[i][2], 1e-14, 0);
    }
}

/* ---- the bond ---------------------------------------------------------------------------------
 */

static th_all look_at_all(const draft *d, size_t which) {
    th_all all;
    bounded at;

    bounded_begin(d, which, &at);
    assert_true(th_look_all(&at.b, (th_engaged){at.b.cut->radial, at.b.cut->axial, true}, &all));
    bounded_end(&at);
    return all;
}

/* Asked for less than either holds, more than one of them, and more than both. */
static void all_hold_where_each_does(void **state) {
    draft d = two_grooves();
    double one = factor_of(&d, "cut.1"), two = factor_of(&d, "cut.2"), asked[3];

    (void)state;
    assert_true(one > 1.1 * two && two > 1.2);
    asked[0] = (1 + two) / 2;
    asked[1] = (one + two) / 2;
    asked[2] = fmin(1.1 * one, 20);
    for (int i = 0; i < 3; i++) {
        th_all first, second;
        put_number(&d, "job", "asked_factor", asked[i], "");
        first = look_at_all(&d, 0);
        second = look_at_all(&d, 1);
        assert_int_equal(first.holds, i == 0);
        assert_int_equal(second.holds, i == 0);
        assert_near(first.hold_factor, one, 0.01, 0);
        assert_near(second.hold_factor, two, 0.01, 0);
        assert_near(first.other, two / asked[i], 0.01, 0);
        assert_near(second.other, one / asked[i], 0.01, 0);
        assert_true(first.which == 1 && second.which == 0);
        assert_true(first.by == TH_BY_BOND && second.by == TH_BY_BOND);
    }
}

/* What sways farther than the job allows does not hold, by as much as it does. */
static void sway_is_a_limit_where_the_job_sets_one(void **state) {
    draft d = two_grooves();
    const th_stage *stage;
    double moved;
    answer a;

    (void)state;
    put_number(&d, "job", "asked_factor", 1, "");
    run(&d, false, &a);
    stage = stage_of(&a, "cut.2", TH_PIECE_PART);
    moved = fmax(stage->sway, stage->creep);
    answer_free(&a);
    assert_true(moved > 0);
    for (int i = 0; i < 2; i++) {
        th_look look;
        bounded at;
        put_length(&d, "job", "sway_limit", (i ? 0.8 : 1.25) * moved);
        assert_int_equal(look_at_all(&d, 1).holds, i == 0);
        bounded_begin(&d, 1, &at);
        assert_true(th_look_at(&at.b, (th_engaged){at.b.cut->radial, at.b.cut->axial, true},
                               TH_LOOK_WHOLE, &look));
        assert_int_equal(look.ratio < 1, i == 1);
        if (i == 1) {
            assert_int_equal(look.by, TH_BY_SWAY);
            assert_near(look.ratio, 0.8, 0.01, 0);
            assert_near(look.bond, 0.8, 0.01, 0);
        }
        bounded_end(&at);
    }
}

/* Holding well, 1 K below what its tape stands: 2 K are to be kept, and all that is there above the
 * room is as much as the rise and 1 K. */
static void a_short_reserve_of_heat_limits(void **state) {
    draft d = grooved("0.3");
    double rise = 0;

    (void)state;
    put(&d, "cut.1", "depth", "0.6");
    put(&d, "hold", "tape", "film-tender"); /* 60 C at most */
    put_number(&d, "job", "asked_factor", 1, "");
    for (int i = 0; i < 2; i++) {
        th_look look;
        bounded at;
        put_number(&d, "hold", "room_temperature", i ? 60 - 1 - rise : 20, "C");
        bounded_begin(&d, 0, &at);
        assert_true(th_look_at(&at.b, (th_engaged){at.b.cut->radial, at.b.cut->axial, true},
                               TH_LOOK_WHOLE, &look));
        bounded_end(&at);
        assert_true(look.hold_factor > 1 && look.warmest < 60);
        assert_int_equal(look_at_all(&d, 0).holds, i == 0);
        rise = i ? rise : look.warmest - 20;
        if (i) {
            assert_int_equal(look.by, TH_BY_HEAT);
            assert_near(look.ratio, (rise + 1) / (rise + 2), 1e-3, 0);
            assert_near(look.bond, look.ratio, 1e-12, 0);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_spindle_gives_what_it_has),
        cmocka_unit_test(a_chip_too_thin_is_no_chip),
        cmocka_unit_test(the_cutter_bends_and_breaks),
        cmocka_unit_test(all_hold_where_each_does),
        cmocka_unit_test(severity_is_what_one_turn_asks),
        cmocka_unit_test(a_last_pass_of_its_own_counts),
        cmocka_unit_test(a_chamfer_is_stated_by_its_width),
        cmocka_unit_test(six_digits_are_kept),
        cmocka_unit_test(a_short_reserve_of_heat_limits),
        cmocka_unit_test(sway_is_a_limit_where_the_job_sets_one),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
