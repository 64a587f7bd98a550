/* test_limits.c - how far a cut may be opened. Jobs are invented; what is expected of a point is
 * what a check of the same job with that point typed in says. */
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/report.h"

typedef struct {
    th_job *job;
    th_limits limits;
} opened;

static opened open_up(const draft *d) {
    static const th_check_options options = {.turn_downs = false};
    opened o = {.job = built(d)};
    th_error err = {TH_OK, 0, "", ""};

    if (!th_limits_run(o.job, &options, NULL, &o.limits, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
    return o;
}

static void close_up(opened *o) {
    th_limits_free(&o->limits);
    th_job_free(o->job);
}

static draft small_slot(void) {
    draft d = plate(40, 30, 4);

    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "depth", "2");
    return d;
}

static draft small_pocket(void) {
    draft d = plate(40, 30, 4);

    add_cut(&d, "cut.1", "pocket", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.4");
    put(&d, "cut.1", "radial", "1.5");
    put(&d, "cut.1", "depth", "1.4");
    put(&d, "cut.1", "at", "20,15");
    put(&d, "cut.1", "size", "16 x 12");
    return d;
}

/* A hold that nothing tears: the other limits come to light. */
static draft firm_slot(void) {
    draft d = plate(120, 80, 4);

    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "depth", "3");
    put(&d, "job", "asked_factor", "1");
    put(&d, "hold", "wait", "24 h");
    put(&d, "hold", "preparation", "scuffed");
    return d;
}

static draft at_point(const draft *d, double radial, double axial) {
    draft changed = *d;

    put_number(&changed, "cut.1", "radial", radial, "mm");
    put_number(&changed, "cut.1", "axial", axial, "mm");
    return changed;
}

/* Whether a check finds every margin of the stages that count good. */
static bool passes(const draft *d, double *hold_factor) {
    answer a;
    bool fine;

    run(d, false, &a);
    fine = a.check.verdict == TH_HOLDS;
    *hold_factor = a.check.hold_factor;
    for (size_t i = 0; i < a.check.stage_count; i++) {
        const th_stage *s = &a.check.stages[i];
        fine = fine && s->spindle_margin >= 1 && s->deflection_margin >= 1 &&
               s->breakage_margin >= 1 && s->chip_margin >= 1;
    }
    answer_free(&a);
    return fine;
}

/* ---- the region -------------------------------------------------------------------------------
 */

static const th_limit_cut *only_cut(const opened *o) {
    assert_int_equal(o->limits.cut_count, 1);
    return &o->limits.cuts[0];
}

/* Samples of the accepted region pass, and beyond it nothing does. */
static void sample_region(const draft *d, size_t every) {
    opened o = open_up(d);
    const th_limit_cut *cut = only_cut(&o);
    int accepted = 0;

    assert_true(cut->point_count >= 14);
    for (size_t i = 0; i < cut->point_count; i++) {
        const th_limit_point *p = &cut->points[i];
        assert_true(i == 0 || p->radial > cut->points[i - 1].radial);
        assert_true(p->axial >= p->least && p->least >= 0);
        if (i % every != 0 || !(p->axial > 0)) {
            continue;
        }
        for (int k = 0; k <= 6; k++) {
            double axial = p->least + (p->axial - p->least) * k / 6, factor;
            draft inside = at_point(d, p->radial, axial);
            if (!passes(&inside, &factor)) {
                fail_msg("radial %g axial %g of %g: hold factor %g", p->radial, axial, p->axial,
                         factor);
            }
            accepted++;
            if (k == 6) {
                assert_near(factor, p->hold_factor, 1e-9, 0);
            }
        }
        if (p->limiter != TH_BY_PLATE_THICKNESS && p->limiter != TH_BY_FLUTE_LENGTH) {
            double factor;
            draft beyond = at_point(d, p->radial, p->axial * 1.03);
            assert_false(passes(&beyond, &factor));
            assert_int_equal(p->limiter == TH_BY_BOND, factor < o.limits.asked_factor);
        }
    }
    assert_true(accepted > 20);
    close_up(&o);
}

static void no_accepted_point_of_a_slot_fails(void **state) {
    draft d = small_slot();

    (void)state;
    sample_region(&d, 3);
}

static void no_accepted_point_of_a_pocket_fails(void **state) {
    draft d = small_pocket();

    (void)state;
    sample_region(&d, 5);
}

/* Thin metal bends: cutter and bond limit in turn. */
static void no_accepted_point_of_a_slender_cutter_fails(void **state) {
    draft d = small_slot();

    (void)state;
    put(&d, "cutter.em", "stickout", "45 mm");
    put(&d, "part", "thickness", "2.5");
    sample_region(&d, 3);
}

/* ---- what limits ------------------------------------------------------------------------------
 */

static const th_limit_point *point_near(const th_limit_cut *cut, double radial) {
    const th_limit_point *best = &cut->points[0];

    for (size_t i = 1; i < cut->point_count; i++) {
        if (fabs(cut->points[i].radial - radial) < fabs(best->radial - radial)) {
            best = &cut->points[i];
        }
    }
    return best;
}

/* Every point is limited by this; gives the largest axial engagement at radial 3 mm. */
static double limited_by(const draft *d, th_limiter limiter) {
    opened o = open_up(d);
    const th_limit_cut *cut = only_cut(&o);
    double axial = point_near(cut, 3)->axial;

    for (size_t i = 0; i < cut->point_count; i++) {
        if (cut->points[i].radial > 2 && cut->points[i].limiter != limiter) {
            fail_msg("radial %g: %s instead of %s", cut->points[i].radial,
                     th_limiter_name(cut->points[i].limiter), th_limiter_name(limiter));
        }
    }
    close_up(&o);
    return axial;
}

static void a_short_flute_limits(void **state) {
    draft d = firm_slot();

    (void)state;
    put(&d, "cutter.em", "flute_length", "0.15 mm");
    assert_near(limited_by(&d, TH_BY_FLUTE_LENGTH), 0.15, 1e-12, 0);
}

static void the_whole_depth_limits(void **state) {
    draft d = firm_slot();

    (void)state;
    put(&d, "cut.1", "depth", "0.2");
    assert_near(limited_by(&d, TH_BY_PLATE_THICKNESS), 0.2, 1e-12, 0);
    drop(&d, "cut.1", "depth"); /* follows: the axial may grow beyond the job's own 0.1 */
    assert_true(limited_by(&d, TH_BY_BOND) > 0.2);
}

/* The power needed is that of the force model, the closed-form mean power rising with depth alone.
 */
static void a_weak_spindle_limits(void **state) {
    draft d = firm_slot(), torque = firm_slot();
    double axial, factor;
    answer a;

    (void)state;
    put(&d, "machine", "spindle_power", "15 W");
    axial = limited_by(&d, TH_BY_SPINDLE_POWER);
    assert_true(axial > 0);
    d = at_point(&d, 3, axial);
    run(&d, false, &a);
    assert_near(a.check.stages[0].spindle_margin, 1, 0.002, 0);
    factor = a.check.stages[0].power / (2 * TH_PI * a.job->cuts[0].speed / 60) * 1000;
    answer_free(&a);
    /* the same bound said as a torque (N mm) */
    put_number(&torque, "machine", "spindle_torque", factor, "Nmm");
    assert_near(limited_by(&torque, TH_BY_SPINDLE_TORQUE), axial, 0.002, 0);
}

static void a_slender_cutter_springs(void **state) {
    draft d = firm_slot();

    (void)state;
    put(&d, "cutter.em", "stickout", "70 mm");
    assert_true(limited_by(&d, TH_BY_DEFLECTION) > 0);
}

/* Below about three diameters of stickout a cutter breaks before it springs by 1 %. */
static void a_short_thin_cutter_breaks(void **state) {
    draft d = firm_slot();

    (void)state;
    put(&d, "cut.1", "radial", "1");
    put(&d, "cut.1", "chip_load", "0.05 mm/tooth");
    put(&d, "cutter.em", "diameter", "1 mm");
    put(&d, "cutter.em", "shank", "1 mm");
    put(&d, "cutter.em", "stickout", "1.6 mm");
    put(&d, "cutter.em", "flute_length", "1.6 mm");
    put(&d, "cutter.em", "runout", "0 mm");
    put(&d, "cut.1", "depth", "1.5");
    opened o = open_up(&d);
    assert_int_equal(point_near(only_cut(&o), 1)->limiter, TH_BY_BREAKAGE);
    close_up(&o);
}

/* Chip thinning: at a small radial engagement the largest chip falls below the smallest sensible
 * one, at every depth. */
static void a_thin_chip_limits(void **state) {
    draft d = firm_slot();
    opened o;
    const th_limit_cut *cut;

    (void)state;
    put(&d, "cut.1", "chip_load", "0.01 mm/tooth");
    put(&d, "cutter.em", "runout", "0 mm");
    o = open_up(&d);
    cut = only_cut(&o);
    assert_int_equal(cut->points[0].limiter, TH_BY_CHIP);
    assert_near(cut->points[0].axial, 0, 0, 1e-12);
    assert_true(cut->points[cut->point_count - 1].axial > 0);
    close_up(&o);
}

static void a_sway_limit_limits_where_it_is_stated(void **state) {
    draft d = firm_slot();
    double free_axial = limited_by(&d, TH_BY_BOND), axial, sway, creep;
    answer a;

    (void)state;
    put(&d, "job", "sway_limit", "0.01");
    axial = limited_by(&d, TH_BY_SWAY);
    assert_true(axial > 0 && axial < free_axial);
    d = at_point(&d, 3, axial);
    run(&d, false, &a);
    sway = a.check.stages[0].sway;
    creep = a.check.stages[0].creep;
    answer_free(&a);
    assert_near(fmax(sway, creep), 0.01, 0.015, 0);
}

static void a_tape_too_warm_leaves_nothing(void **state) {
    draft d = small_slot();
    opened o;

    (void)state;
    put(&d, "hold", "room_temperature", "59.9 C");
    put(&d, "hold", "tape", "film-tender");
    o = open_up(&d);
    for (size_t i = 0; i < only_cut(&o)->point_count; i++) {
        assert_near(only_cut(&o)->points[i].axial, 0, 0, 1e-12);
        assert_int_equal(only_cut(&o)->points[i].limiter, TH_BY_HEAT);
    }
    assert_false(only_cut(&o)->possible);
    close_up(&o);
}

/* ---- the fastest pair -------------------------------------------------------------------------
 */

/* Time of the operation with a pair typed in; INFINITY where it does not pass. */
static double minutes_at(const draft *d, double radial, double axial) {
    draft changed = at_point(d, radial, axial);
    double factor, minutes = INFINITY;
    answer a;

    if (passes(&changed, &factor)) {
        run(&changed, false, &a);
        minutes = a.check.minutes;
        answer_free(&a);
    }
    return minutes;
}

static void nothing_is_faster_than_the_fastest(void **state) {
    draft d = small_pocket();
    opened o = open_up(&d);
    const th_limit_point *fastest = &only_cut(&o)->fastest;
    double minutes;

    (void)state;
    assert_true(only_cut(&o)->possible);
    minutes = minutes_at(&d, fastest->radial, fastest->axial);
    assert_near(minutes, fastest->minutes, 1e-9, 0);
    for (size_t i = 0; i < only_cut(&o)->point_count; i += 2) {
        const th_limit_point *p = &only_cut(&o)->points[i];
        if (p->axial > 0) {
            assert_true(minutes_at(&d, p->radial, p->axial) >= minutes * (1 - 1e-9));
        }
    }
    /* levels of the pocket, 1.4 mm deep, one pass each round of the strips counted apart */
    assert_near(fastest->passes, ceil(1.4 / fastest->axial - 1e-9), 1e-12, 0);
    close_up(&o);
}

/* A number as it would be typed back, with six digits. */
static double typed(double value) {
    char text[40];
    th_reading reading = {0, false};

    th_number_print(value, 6, text, sizeof text);
    assert_true(th_quantity_read(text, TH_LENGTH, TH_MM, &reading, NULL));
    return reading.value;
}

static void the_fastest_holds_with_six_digits(void **state) {
    draft d = small_slot();
    opened o;
    double factor;

    (void)state;
    put(&d, "cutter.em", "diameter", "0.2339 in"); /* 5.94106 mm */
    put(&d, "cut.1", "depth", "1.2345678");
    o = open_up(&d);
    assert_true(only_cut(&o)->possible);
    draft back =
        at_point(&d, typed(only_cut(&o)->fastest.radial), typed(only_cut(&o)->fastest.axial));
    assert_true(passes(&back, &factor));
    assert_near(factor, only_cut(&o)->fastest.hold_factor, 1e-9, 0);
    close_up(&o);
}

/* A slot without a depth is as deep as its axial engagement; the fastest way to the job's own depth
 * takes several passes, the last one over a thin floor. */
static void the_fastest_keeps_the_depth_of_a_slot(void **state) {
    draft d = small_slot();
    opened o;
    double factor;

    (void)state;
    drop(&d, "cut.1", "depth");
    put(&d, "cut.1", "axial", "2.5");
    o = open_up(&d);
    assert_false(only_cut(&o)->own_holds);
    assert_true(only_cut(&o)->depth_follows && only_cut(&o)->possible);
    assert_true(only_cut(&o)->fastest.passes > 1);
    d = at_point(&d, 3, only_cut(&o)->fastest.axial);
    put(&d, "cut.1", "depth", "2.5");
    assert_true(passes(&d, &factor));
    assert_near(factor, only_cut(&o)->fastest.hold_factor, 1e-9, 0);
    close_up(&o);
}

/* ---- operations and cuts ----------------------------------------------------------------------
 */

static void a_bored_hole_and_an_engraving_have_one_radial(void **state) {
    draft d = small_slot();
    opened o;

    (void)state;
    put(&d, "cutter.letters", "id", "point-3mm-60");
    put(&d, "cut.2", "operation", "hole");
    put(&d, "cut.2", "cutter", "em");
    put(&d, "cut.2", "axial", "0.2");
    put(&d, "cut.2", "size", "9");
    put(&d, "cut.2", "at", "30,20");
    put(&d, "cut.3", "operation", "engrave");
    put(&d, "cut.3", "cutter", "letters");
    put(&d, "cut.3", "depth", "0.15");
    put(&d, "cut.3", "length", "40");
    put(&d, "cut.3", "at", "10,8");
    o = open_up(&d);
    assert_int_equal(o.limits.cut_count, 3);
    for (int i = 1; i < 3; i++) {
        assert_true(o.limits.cuts[i].radial_fixed);
        assert_int_equal(o.limits.cuts[i].point_count, 1);
        assert_true(o.limits.cuts[i].points[0].axial > 0);
    }
    assert_true(o.limits.cuts[2].possible);
    assert_near(o.limits.cuts[2].fastest.axial, 0.15, 1e-9, 0); /* the drawing's depth */
    close_up(&o);
}

static void cuts_are_chosen_by_their_cutter(void **state) {
    static const th_check_options options = {.turn_downs = false};
    draft d = small_slot();
    th_job *job = built(&d);
    th_limits limits;
    th_error err;

    (void)state;
    assert_true(th_limits_run(job, &options, "em", &limits, &err));
    assert_int_equal(limits.cut_count, 1);
    th_limits_free(&limits);
    assert_true(th_limits_run(job, &options, "flat-6mm-3", &limits, &err));
    assert_int_equal(limits.cut_count, 1);
    th_limits_free(&limits);
    assert_false(th_limits_run(job, &options, "other", &limits, &err));
    assert_int_equal(err.code, TH_MISSING);
    assert_non_null(strstr(err.message, "other"));
    th_job_free(job);
}

static void pushes_have_no_limits(void **state) {
    static const double force[3] = {1, 0, 0};
    draft d = plate(40, 30, 4);
    opened o;

    (void)state;
    add_push(&d, "cut.1", force, 20, 15);
    o = open_up(&d);
    assert_int_equal(o.limits.cut_count, 0);
    close_up(&o);
}

/* A cut that fails anyway does not take the others with it, and is named. */
static void another_failing_cut_is_left_aside(void **state) {
    draft d = small_slot();
    opened o;

    (void)state;
    put(&d, "cut.2", "operation", "slot");
    put(&d, "cut.2", "cutter", "em");
    put(&d, "cut.2", "axial", "3");
    put(&d, "cut.1", "axial", "0.02");
    o = open_up(&d);
    assert_int_equal(o.limits.cut_count, 2);
    assert_true(o.limits.cuts[0].possible);
    assert_false(o.limits.cuts[1].own_holds);
    assert_non_null(strstr(o.limits.notes.items[0], "cut.2"));
    close_up(&o);
}

/* ---- other cuts -------------------------------------------------------------------------------
 */

/* A hole, and after it another that holds by a hair: what the first takes longer, or puts in as
 * heat, the second lacks. `reserve`: what the second is left over the asked factor. */
static draft two_holes(double reserve) {
    draft d = plate(60, 40, 4);
    double asked = INFINITY;
    answer a;

    add_cut(&d, "cut.1", "hole", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.1", "size", "14");
    put(&d, "cut.1", "at", "20,20");
    put(&d, "cut.1", "depth", "3");
    put(&d, "cut.1", "through", "no");
    add_cut(&d, "cut.2", "hole", "flat-6mm-3");
    put(&d, "cut.2", "axial", "0.1");
    put(&d, "cut.2", "size", "9");
    put(&d, "cut.2", "at", "45,20");
    put(&d, "cut.2", "depth", "3");
    put(&d, "cut.2", "through", "no");
    run(&d, false, &a);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        const th_stage *s = &a.check.stages[i];
        asked = s->counts && s->cut == &a.job->cuts[1] ? fmin(asked, s->hold_factor) : asked;
    }
    answer_free(&a);
    put_number(&d, "job", "asked_factor", asked / reserve, "");
    return d;
}

static bool noted(const opened *o, const char *words) {
    for (size_t i = 0; i < o->limits.notes.count; i++) {
        if (strstr(o->limits.notes.items[i], words)) {
            return true;
        }
    }
    return false;
}

static void another_cut_ends_the_range_and_is_named(void **state) {
    draft d = two_holes(1.002);
    opened o = open_up(&d);
    const th_limit_point *p = &o.limits.cuts[0].points[0];

    (void)state;
    assert_int_equal(o.limits.cuts[0].point_count, 1);
    assert_true(o.limits.cuts[0].own_holds);
    assert_true(p->least <= 0.1 && p->axial >= 0.1);
    assert_true(p->limiter == TH_BY_BOND || p->limiter == TH_BY_HEAT ||
                p->limiter == TH_BY_DEFLECTION);
    assert_true(noted(&o, "cut.1: limited by cut.2, which fails when this cut"));
    for (int k = 0; k <= 10; k++) {
        draft inside = d;
        double factor;
        put_number(&inside, "cut.1", "axial", p->least + (p->axial - p->least) * k / 10, "mm");
        assert_true(passes(&inside, &factor));
    }
    close_up(&o);
}

static void a_cut_with_reserve_limits_no_other(void **state) {
    draft d = two_holes(1.5);
    opened o = open_up(&d);

    (void)state;
    assert_false(noted(&o, "limited by"));
    close_up(&o);
}

/* Wherever the job stands: if it holds, the row of its own engagement has it. */
static void the_stated_engagement_is_in_its_row(void **state) {
    static const char *const stated[] = {"0.03", "0.2", "0.38"};
    int seen = 0;

    (void)state;
    for (size_t i = 0; i < sizeof stated / sizeof stated[0]; i++) {
        draft d = small_slot();
        put(&d, "cut.1", "axial", stated[i]);
        opened o = open_up(&d);
        const th_limit_cut *cut = only_cut(&o);
        const th_limit_point *p = point_near(cut, 3);
        if (cut->own_holds) {
            assert_true(p->least <= cut->cut->axial && p->axial >= cut->cut->axial);
            seen++;
        }
        close_up(&o);
    }
    assert_true(seen > 0);
}

static void a_hold_that_is_no_good_says_why_once(void **state) {
    draft d = two_holes(1.5);
    opened o;
    int said = 0;

    (void)state;
    put(&d, "hold", "wait", "1 s");
    o = open_up(&d);
    for (size_t i = 0; i < 2; i++) {
        assert_non_null(o.limits.cuts[i].never);
        assert_non_null(strstr(o.limits.cuts[i].never, "has not set yet"));
        assert_false(o.limits.cuts[i].possible);
        assert_near(o.limits.cuts[i].points[0].axial, 0, 0, 1e-12);
    }
    for (size_t i = 0; i < o.limits.notes.count; i++) {
        said += strstr(o.limits.notes.items[i], "nothing holds at any engagement") != NULL;
        for (size_t k = 0; k < i; k++) {
            assert_string_not_equal(o.limits.notes.items[i], o.limits.notes.items[k]);
        }
    }
    assert_int_equal(said, 1);
    close_up(&o);
}

/* ---- the report -------------------------------------------------------------------------------
 */

static char *printed(const opened *o) {
    th_doc doc = {0};
    th_text text = {0};
    th_error err;

    assert_true(th_report_limits(o->job, &o->limits, &doc, &err));
    assert_true(th_doc_text(&doc, &text, &err));
    th_doc_free(&doc);
    return text.data;
}

/* What is typed is in the job's unit, short, and holds as typed. */
static void the_fastest_is_typed_in_the_unit_of_the_job(void **state) {
    draft d = small_slot();
    char *text, *typed_line, *end;
    opened o;
    double axial, factor;

    (void)state;
    put(&d, "job", "units", "inch");
    put(&d, "cut.1", "axial", "0.3 mm");
    put(&d, "cut.1", "radial", "0.125");
    put(&d, "cut.1", "depth", "0.08");
    put(&d, "part", "length", "40 mm");
    put(&d, "part", "width", "30 mm");
    put(&d, "part", "thickness", "4 mm");
    o = open_up(&d);
    assert_true(only_cut(&o)->possible);
    text = printed(&o);
    typed_line = strstr(text, "--set cut.1.axial=");
    assert_non_null(typed_line);
    assert_non_null(strstr(text, "--set cut.1.radial=0.125in"));
    axial = strtod(typed_line + strlen("--set cut.1.axial="), &end);
    assert_true(strncmp(end, "in\n", 3) == 0);
    assert_near(axial * 1e4, nearbyint(axial * 1e4), 0, 1e-6);
    put_number(&d, "cut.1", "axial", axial, "in");
    assert_true(passes(&d, &factor));
    assert_near(factor, only_cut(&o)->fastest.hold_factor, 1e-9, 0);
    free(text);
    close_up(&o);
}

/* Every letter there is: the legend breaks between two of them, within the width, and none is
 * lost. */
static void the_legend_of_the_chart_wraps(void **state) {
    draft d = small_pocket();
    opened o = open_up(&d);
    th_limit_cut *cut = &o.limits.cuts[0];
    th_doc doc = {0};
    th_text text = {0};
    th_error err = {TH_OK, 0, "", ""};

    (void)state;
    assert_true(cut->point_count >= TH_LIMITERS);
    for (size_t i = 0; i < cut->point_count; i++) {
        cut->points[i].limiter = (th_limiter)(i % TH_LIMITERS);
    }
    assert_true(th_report_limits(o.job, &o.limits, &doc, &err));
    assert_true(th_doc_text(&doc, &text, &err));
    const char *legend = strstr(text.data, ".  holds"), *end = strstr(legend, "\n\n");
    for (const char *line = legend; line < end; line = strchr(line, '\n') + 1) {
        size_t n = strcspn(line, "\n");
        assert_true(n <= TH_TEXT_WIDTH);
        if (line + n < end) { /* a letter stays with what it means */
            assert_true(line[n - 1] != ' ' && (n < 2 || line[n - 2] != ' '));
        }
    }
    for (const char *word = "B  bond|A  helix angle|W  whole depth|F  flute length"; *word;) {
        size_t n = strcspn(word, "|");
        char piece[40];
        snprintf(piece, sizeof piece, "%.*s", (int)n, word);
        const char *at = strstr(legend, piece);
        assert_true(at && at < end);
        word += n + (word[n] == '|');
    }
    th_text_free(&text);
    th_doc_free(&doc);
    close_up(&o);
}

/* The bars of the chart stand one below the other, in either unit. */
static void the_labels_of_the_chart_keep_their_column(void **state) {
    (void)state;
    for (int inch = 0; inch < 2; inch++) {
        draft d = small_slot();
        put(&d, "job", "units", inch ? "inch" : "mm");
        put(&d, "cut.1", "axial", "0.02 mm");
        put(&d, "cut.1", "radial", "3 mm");
        put(&d, "cut.1", "depth", "2 mm");
        put(&d, "part", "length", "40 mm");
        put(&d, "part", "width", "30 mm");
        put(&d, "part", "thickness", "4 mm");
        opened o = open_up(&d);
        char *text = printed(&o), *line = strstr(text, "axial, ");
        ptrdiff_t column = 0;
        int rows = 0;
        assert_non_null(line);
        for (line = strchr(line, '\n') + 1; *line != '-'; line = strchr(line, '\n') + 1) {
            ptrdiff_t at = strchr(line, '|') - line;
            assert_true(rows == 0 || at == column);
            column = at;
            rows++;
        }
        assert_int_equal(rows, 10);
        assert_int_equal(strchr(line, '+') - line, column);
        free(text);
        close_up(&o);
    }
}

/* Digits are added until both ends, rounded inwards, are in order. Figures invented. */
static void a_range_of_next_to_nothing_is_in_order(void **state) {
    static const double ends[][2] = {{0.324545, 0.324545}, {0.12341, 0.123409}, {0.5, 0.0201}};
    draft d = small_slot();
    opened o = open_up(&d);

    (void)state;
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
        th_limit_point *p = only_cut(&o)->points;
        double radial, to, from;
        *p = (th_limit_point){.radial = 0.123,
                              .axial = ends[i][0],
                              .least = ends[i][1],
                              .hold_factor = 2.5,
                              .passes = 3,
                              .minutes = 1};
        char *text = printed(&o), *row = strstr(text, " 0.123 ");
        assert_non_null(row);
        assert_int_equal(sscanf(row, "%lf %lf %lf", &radial, &to, &from), 3);
        assert_true(from <= to && to <= ends[i][0] && from >= ends[i][1]);
        free(text);
    }
    close_up(&o);
}

static void a_limit_of_the_cutter_is_no_failing_hold(void **state) {
    draft d = firm_slot();
    opened o;
    char *text;

    (void)state;
    put(&d, "cutter.em", "stickout", "70 mm");
    o = open_up(&d);
    if (only_cut(&o)->own_holds) { /* deeper, then */
        close_up(&o);
        put(&d, "cut.1", "axial", "0.4");
        o = open_up(&d);
    }
    assert_int_equal(only_cut(&o)->own_limiter, TH_BY_DEFLECTION);
    assert_true(only_cut(&o)->own_bond_holds);
    text = printed(&o);
    assert_non_null(strstr(text, "over a limit: deflection"));
    assert_null(strstr(text, "does not hold"));
    free(text);
    close_up(&o);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_accepted_point_of_a_slot_fails),
        cmocka_unit_test(no_accepted_point_of_a_pocket_fails),
        cmocka_unit_test(no_accepted_point_of_a_slender_cutter_fails),
        cmocka_unit_test(a_short_flute_limits),
        cmocka_unit_test(the_whole_depth_limits),
        cmocka_unit_test(a_weak_spindle_limits),
        cmocka_unit_test(a_slender_cutter_springs),
        cmocka_unit_test(a_short_thin_cutter_breaks),
        cmocka_unit_test(a_thin_chip_limits),
        cmocka_unit_test(a_sway_limit_limits_where_it_is_stated),
        cmocka_unit_test(a_tape_too_warm_leaves_nothing),
        cmocka_unit_test(nothing_is_faster_than_the_fastest),
        cmocka_unit_test(the_fastest_holds_with_six_digits),
        cmocka_unit_test(the_fastest_keeps_the_depth_of_a_slot),
        cmocka_unit_test(a_bored_hole_and_an_engraving_have_one_radial),
        cmocka_unit_test(cuts_are_chosen_by_their_cutter),
        cmocka_unit_test(pushes_have_no_limits),
        cmocka_unit_test(another_failing_cut_is_left_aside),
        cmocka_unit_test(another_cut_ends_the_range_and_is_named),
        cmocka_unit_test(a_cut_with_reserve_limits_no_other),
        cmocka_unit_test(the_stated_engagement_is_in_its_row),
        cmocka_unit_test(a_hold_that_is_no_good_says_why_once),
        cmocka_unit_test(the_fastest_is_typed_in_the_unit_of_the_job),
        cmocka_unit_test(the_labels_of_the_chart_keep_their_column),
        cmocka_unit_test(the_legend_of_the_chart_wraps),
        cmocka_unit_test(a_range_of_next_to_nothing_is_in_order),
        cmocka_unit_test(a_limit_of_the_cutter_is_no_failing_hold),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
