/* test_limits_range.c - the range of engagements that hold, and what is made of it: against what
 * holds where each is looked at. Jobs are invented. */
#include <math.h>
#include <string.h>

#include "support/bounded.h"

/* ---- the search along one radial engagement ---------------------------------------------------
 */

/* The job's own radial engagement, to be opened from 0 to `most`. */
static th_limit_point opened(bounded *at, double most, th_guess guess) {
    th_limit_point point = {.radial = at->b.cut->radial};

    at->b.most = most;
    at->b.most_by = TH_BY_PLATE_THICKNESS;
    assert_true(th_limit_axial(&at->b, &guess, &point));
    return point;
}

/* Strength falls with the time as its power of at most 0.3, and the time grows as the engagement
 * falls: what is passed over on the way down cannot have lost the margin. A margin of more than 2.2
 * lasts over a decade, and one of no more than 1.2 over nothing. */
static void an_ample_margin_is_not_lost_at_once(void **state) {
    double last = 1;

    (void)state;
    for (int i = 0; i <= 300; i++) {
        double margin = 1 + 0.01 * i, shallower = 5 / th_limit_next(5, margin);
        assert_true(pow(shallower, 0.3) < fmax(margin, 1 + 1e-12));
        assert_true(shallower >= last);
        last = shallower;
    }
    assert_near(th_limit_next(5, 1.1), 5, 0, 0);
    assert_near(th_limit_next(5, 2.3), 0.5, 1e-12, 0);
}

static double ratio_at(const bounded *at, double axial) {
    th_look look;

    assert_true(
        th_look_at(&at->b, (th_engaged){at->b.cut->radial, axial, false}, TH_LOOK_WHOLE, &look));
    return look.ratio;
}

/* Where each engagement is dear few are looked at, and from wherever the search begins it ends at
 * the largest of these that holds. */
static void the_largest_step_that_holds_is_found(void **state) {
    static const struct {
        th_guess guess; /* the steeper it is taken to be, the shorter the steps */
        double asked;
    } cases[] = {{{0.02, 1, 0}, 3.709}, /* holds by a hair */
                 {{0.1, 1, 0}, 4},
                 {{1.2, 1, 0}, 3.709},
                 {{2.9, 1, 0}, 4},
                 {{1.5, 4, 0}, 4.6}};
    draft d = grooved("0.3");

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        th_limit_point point;
        double next;
        bounded at;
        put_number(&d, "job", "asked_factor", cases[i].asked, "");
        bounded_begin(&d, 0, &at);
        at.b.slow = true;
        point = opened(&at, 2.9, cases[i].guess);
        next = th_limit_step(&at.b, point.axial * 1.15);
        assert_true(point.axial > 0.02 && point.axial < 2.9 && next > point.axial);
        assert_near(th_limit_step(&at.b, point.axial), point.axial, 1e-9, 0);
        assert_true(ratio_at(&at, point.axial) >= 1 && ratio_at(&at, next) < 1);
        bounded_end(&at);
    }
}

/* A job whose own engagement is shallower than any that is looked at by itself. */
static void the_range_takes_in_what_is_stated(void **state) {
    draft d = grooved("0.3");
    th_limit_point point;
    bounded at;

    (void)state;
    put_number(&d, "job", "asked_factor", 1, "");
    bounded_begin(&d, 0, &at);
    assert_true(ratio_at(&at, TH_SHALLOWEST / 2) >= 1);
    point = opened(&at, 2.9, (th_guess){0.5, 1, 0});
    assert_near(point.least, TH_SHALLOWEST, 1e-9, 0);
    point = opened(&at, 2.9, (th_guess){0.5, 1, TH_SHALLOWEST / 2});
    assert_near(point.least, TH_SHALLOWEST / 2, 1e-9, 0);
    assert_true(point.axial > 10 * TH_SHALLOWEST);
    bounded_end(&at);
}

/* A pocket whose finishing lap goes the whole depth whatever the roughing passes do. */
static draft finished(void) {
    draft d = plate(90, 60, 6);

    put(&d, "part", "stock", "linear");
    put(&d, "machine", "spindle_power", "20000 W");
    add_cut(&d, "cut.1", "pocket", "flat-6mm-3");
    put(&d, "cutter.em", "runout", "0 mm");
    put(&d, "cut.1", "at", "45,30");
    put(&d, "cut.1", "size", "50 x 30");
    put(&d, "cut.1", "axial", "1");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "finish", "1");
    put(&d, "cut.1", "speed", "12000");
    put(&d, "cut.1", "chip_load", "0.02 mm/tooth");
    put(&d, "cut.1", "depth", "4");
    return d;
}

/* Shallow passes take so long that the lap does not hold after them, and deep ones do not hold
 * themselves: what lies between is found from a guess among the shallow ones, too. */
static void what_holds_between_is_found(void **state) {
    draft d = finished();
    th_limit_point point;
    bounded at;

    (void)state;
    put_number(&d, "job", "asked_factor", 1.23, "");
    bounded_begin(&d, 0, &at);
    assert_true(ratio_at(&at, TH_SHALLOWEST) < ratio_at(&at, 0.1) && ratio_at(&at, 0.1) < 1);
    assert_true(ratio_at(&at, 1.7) >= 1 && ratio_at(&at, 3) < 1);
    point = opened(&at, 4, (th_guess){0.1, 1, 0});
    assert_true(point.axial > 1.69 && point.axial < 3);
    assert_true(point.least > 0.1 && point.least < 1.71);
    assert_true(ratio_at(&at, point.axial) >= 1);
    bounded_end(&at);
}

/* Three levels of 4 mm hold and four do not: the range goes down to about where they part. */
static void the_range_goes_down_as_far_as_it_holds(void **state) {
    const double three = 1.3334; /* (mm) a hair more than a third */
    draft d = finished();
    th_limit_point point;
    bounded at;

    (void)state;
    put_number(&d, "job", "asked_factor", 1.24, "");
    bounded_begin(&d, 0, &at);
    assert_true(ratio_at(&at, three) >= 1 && ratio_at(&at, 1.3332) < 1);
    point = opened(&at, 4, (th_guess){1, 1, 0});
    assert_true(point.axial > 1.2 * three);
    assert_true(point.least > 1.3332 && point.least < 1.2 * three);
    bounded_end(&at);
}

/* Two levels hold where three and one do not, and where more barely do: found from any guess. */
static void few_levels_may_hold_better(void **state) {
    static const double guesses[] = {0.1, 0.5, 1, 2.5};
    draft d = finished();
    bounded at;

    (void)state;
    put(&d, "cut.1", "radial", "1.8");
    put_number(&d, "job", "asked_factor", 1.2, "");
    bounded_begin(&d, 0, &at);
    assert_true(ratio_at(&at, 1) < 1 && ratio_at(&at, 1.34) < 1 && ratio_at(&at, 2.3) >= 1);
    assert_true(ratio_at(&at, 3) < 1);
    for (int i = 0; i < 4; i++) {
        th_limit_point point = opened(&at, 4, (th_guess){guesses[i], 1, 0});
        assert_true(point.axial > 2.4 && ratio_at(&at, point.axial) >= 1);
        assert_true(point.least < 2.3);
    }
    bounded_end(&at);
}

/* From a fiftieth of the cutter's diameter up to all of it: rows rise, nowhere to more than twice
 * the one before or by more than 0.15 of the diameter, and the job's own is one of them. */
static void rows_go_up_to_the_full_width(void **state) {
    static const th_check_options options = {.turn_downs = false};
    static const char *const widths[] = {"3", "2.9", "0.05"};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = grooved("0.3");
        double last = 0.03, own;
        bool seen = false;
        th_error err;
        th_job *job;
        th_limits limits;
        put(&d, "hold", "tape", "painters-paper"); /* no good: nothing is looked for */
        put(&d, "hold", "cooling", "flood");
        put(&d, "cut.1", "radial", widths[i]);
        job = built(&d);
        own = job->cuts[0].radial;
        assert_true(th_limits_run(job, &options, NULL, &limits, &err));
        for (size_t k = 0; k < limits.cuts[0].point_count; k++) {
            double radial = limits.cuts[0].points[k].radial;
            assert_true(radial > last && radial <= 3 * (1 + 1e-9));
            assert_true(radial <= 2 * last + 1e-9 && radial <= last + 0.15 * 3 + 1e-9);
            seen = seen || fabs(radial - own) < 1e-9;
            last = radial;
        }
        assert_near(last, 3, 1e-9, 0);
        assert_true(seen);
        th_limits_free(&limits);
        th_job_free(job);
    }
}

/* ---- what is made of the points ---------------------------------------------------------------
 */

/* As few decimals as lie between the least and the largest engagement of the point. */
static void a_fastest_pair_is_typed_with_few_decimals(void **state) {
    static const double ranges[][3] = {{0.3, 0.30047, 0.3},
                                       {0.30035, 0.30047, 0.3004},
                                       {0.300412, 0.300468, 0.30046},
                                       {0.0300455, 0.0300467, 0.0300467} /* six digits */};
    draft d = grooved("0.3");

    (void)state;
    put_number(&d, "job", "asked_factor", 1, "");
    for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++) {
        th_limit_point point = {.least = ranges[i][0], .axial = ranges[i][1]};
        th_limit_cut found = {.points = &point, .point_count = 1, .first_strip = (double)NAN};
        bounded at;
        bounded_begin(&d, 0, &at);
        found.cut = at.b.cut;
        point.radial = at.b.cut->radial;
        assert_true(th_limit_fastest(&at.b, &found));
        assert_true(found.possible);
        assert_near(found.fastest.axial, ranges[i][2], 1e-9, 0);
        bounded_end(&at);
    }
}

/* Of two radial engagements the wide one takes three levels and the narrow one two. Two levels hold
 * well beyond the narrow one, and there they are faster than either: that pair is found. */
static void a_fastest_pair_may_lie_between(void **state) {
    draft d = finished();
    th_limit_point points[2] = {{.radial = 0.8}, {.radial = 4.5}};
    th_limit_cut found = {.points = points, .point_count = 2, .first_strip = (double)NAN};
    th_look there[2], between;
    bounded at;

    (void)state;
    drop(&d, "cut.1", "finish");
    put(&d, "cut.1", "depth", "3.5");
    put_number(&d, "job", "asked_factor", 1.5, "");
    bounded_begin(&d, 0, &at);
    at.b.most = 3.5;
    at.b.most_by = TH_BY_PLATE_THICKNESS;
    for (int i = 0; i < 2; i++) {
        th_guess guess = {1, 1, 0};
        assert_true(th_limit_axial(&at.b, &guess, &points[i]));
        assert_near(ceil(3.5 / points[i].axial), 2 + i, 0, 0);
        assert_true(th_look_at(&at.b, (th_engaged){points[i].radial, 3.5 / (2 + i), true},
                               TH_LOOK_CUTTER, &there[i]));
    }
    assert_true(th_look_at(&at.b, (th_engaged){2.7, 1.75, true}, TH_LOOK_WHOLE, &between));
    assert_true(between.ratio > 1.01 && between.minutes < fmin(there[0].minutes, there[1].minutes));
    found.cut = at.b.cut;
    assert_true(th_limit_fastest(&at.b, &found));
    assert_true(found.possible);
    assert_near(found.fastest.axial, 1.75, 1e-9, 0);
    assert_true(found.fastest.radial > 0.8 && found.fastest.radial < 4.5);
    assert_true(found.fastest.minutes <= between.minutes);
    bounded_end(&at);
}

/* A groove whose depth is left out: it is what its one pass takes. The fastest pair still cuts it
 * as deep as the job has it, in as many passes as that takes, and typed back it holds as told. */
static void a_fastest_pair_keeps_the_depth(void **state) {
    static const th_check_options options = {.turn_downs = false};
    draft d = grooved("2.5");
    th_error err = {TH_OK, 0, "", ""};
    th_limits limits;
    th_limit_point fastest;
    th_job *job;

    (void)state;
    drop(&d, "cut.1", "depth");
    put_number(&d, "job", "asked_factor", 1.5, "");
    job = built(&d);
    assert_true(th_limits_run(job, &options, NULL, &limits, &err));
    assert_true(limits.cuts[0].depth_follows && limits.cuts[0].possible);
    fastest = limits.cuts[0].fastest;
    th_limits_free(&limits);
    th_job_free(job);
    assert_near(fastest.passes, ceil(2.5 / fastest.axial - 1e-9), 1e-12, 0);
    assert_true(fastest.passes > 1 && fastest.hold_factor >= 1.5);
    put_length(&d, "cut.1", "axial", fastest.axial);
    put(&d, "cut.1", "depth", "2.5");
    assert_near(factor_of(&d, "cut.1"), fastest.hold_factor, 1e-6, 0);
}

/* Whatever the one cut takes the other fails: no engagement is left, and the note says which it is.
 * Asked for less, both hold and all are left. */
static void no_engagement_is_left_where_the_other_fails(void **state) {
    draft d = two_grooves();
    double one = factor_of(&d, "cut.1"), two = factor_of(&d, "cut.2");

    (void)state;
    for (int i = 0; i < 2; i++) {
        th_limit_point point = {.axial = 0.4, .least = 0.1, .hold_factor = one, .passes = 2};
        th_limit_cut found = {.points = &point, .point_count = 1};
        th_lines notes = {.count = 0};
        bounded at;
        put_number(&d, "job", "asked_factor", i ? (1 + two) / 2 : (one + two) / 2, "");
        bounded_begin(&d, 0, &at);
        at.b.later = at.b.whole;
        found.cut = at.b.cut;
        point.radial = at.b.cut->radial;
        point.minutes = 1;
        assert_true(th_limit_others(&at.b, &found, &notes));
        assert_near(point.axial, i ? 0.4 : 0, 0, 0);
        assert_near(point.least, i ? 0.1 : 0, 0, 0);
        assert_int_equal(isnan(point.hold_factor), i == 0);
        assert_int_equal(notes.count, i == 0);
        assert_true(i || strstr(notes.items[0], "limited by cut.2"));
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

/* Shallow passes take long, and the other cut does not bear that: the range ends above them, where
 * each engagement is dear at one of the few that are looked at. */
static void what_others_bear_is_a_step_where_steps_are_dear(void **state) {
    draft d = two_grooves();
    th_limit_point point = {.axial = 0.3, .least = 0.02, .passes = 2};
    th_limit_cut found = {.points = &point, .point_count = 1};
    th_lines notes = {.count = 0};
    double quick, slow;
    bounded at;

    (void)state;
    put_number(&d, "job", "asked_factor", 1, "");
    bounded_begin(&d, 0, &at);
    quick = others_at(&at, 0.3);
    slow = others_at(&at, 0.02);
    bounded_end(&at);
    assert_true(quick > 1.1 * slow);
    put_number(&d, "job", "asked_factor", sqrt(quick * slow), "");
    bounded_begin(&d, 0, &at);
    at.b.slow = true;
    at.b.later = at.b.whole;
    found.cut = at.b.cut;
    point.radial = at.b.cut->radial;
    point.minutes = 1;
    assert_true(th_limit_others(&at.b, &found, &notes));

    assert_near(point.axial, 0.3, 0, 0);
    assert_true(point.least > 0.02 && point.least < 0.3);
    assert_near(th_limit_step(&at.b, point.least), point.least, 1e-9, 0);
    assert_true(others_at(&at, point.least) >= 1);
    bounded_end(&at);
}

/* Eleven levels of 2.2 mm put more heat in the deeper they are, each but the last as deep as is
 * stated: of 0.2 mm as little as ten levels do, of 0.21998 mm a tenth more. What the other cut
 * bears on both sides of it is no range, though the look after the first is at eleven even levels.
 */
static void the_warmest_of_as_many_levels_is_looked_at(void **state) {
    static const double deep = 0.222223, warm = 0.219978, even = 0.2, next = 0.19998;
    draft d = two_grooves();
    th_limit_point point = {.axial = deep, .least = next, .passes = 10, .minutes = 1};
    th_limit_cut found = {.points = &point, .point_count = 1};
    th_lines notes = {.count = 0};
    double cool, hot;
    bounded at;

    (void)state;
    put(&d, "hold", "tape", "film-tender");
    put(&d, "cut.1", "depth", "2.2");
    put(&d, "cut.1", "speed", "3000");
    put(&d, "cut.2", "axial", "0.6");
    put(&d, "cut.2", "depth", "0.6");
    put(&d, "job", "asked_factor", "1");
    bounded_begin(&d, 0, &at);
    cool = fmin(others_at(&at, deep), others_at(&at, even));
    hot = fmax(others_at(&at, warm), others_at(&at, next));
    bounded_end(&at);
    assert_true(cool > 1.005 * hot && cool < 20);
    put_number(&d, "job", "asked_factor", sqrt(cool * hot), "");
    bounded_begin(&d, 0, &at);
    at.b.later = at.b.whole;
    found.cut = at.b.cut;
    point.radial = at.b.cut->radial;
    assert_true(th_limit_others(&at.b, &found, &notes));
    assert_near(point.axial, deep, 0, 0);
    assert_true(point.least > warm);
    bounded_end(&at);
}

/* Where nothing else limits it a chamfer takes all of the cutter's cone: at 45 degrees as deep as
 * it is wide from the flat of the tip to the shank. */
static void a_chamfer_takes_the_whole_cone(void **state) {
    static const th_check_options options = {.turn_downs = false};
    draft d = plate(300, 200, 10);
    const th_cutter *row;
    th_limits limits;
    th_error err;
    th_job *job;

    (void)state;
    put(&d, "part", "stock", "polycarbonate");
    put_number(&d, "job", "asked_factor", 1, "");
    add_cut(&d, "cut.1", "chamfer", "chamfer-6mm-90");
    put(&d, "cut.1", "width", "0.4");
    put(&d, "cut.1", "chip_load", "0.02 mm/tooth");
    job = built(&d);
    row = &job->cuts[0].cutter->row;
    assert_near(row->tip_angle, 90, 1e-12, 0);
    assert_true(th_limits_run(job, &options, NULL, &limits, &err));
    assert_int_equal(limits.cuts[0].points[0].limiter, TH_BY_PLATE_THICKNESS);
    assert_near(limits.cuts[0].points[0].axial, (row->diameter - row->tip_flat) / 2, 1e-5, 0);
    th_limits_free(&limits);
    th_job_free(job);
}

/* Of pairs that take as long the lighter one, which takes the smaller section of metal, comes
 * first. */
static void of_times_alike_the_lighter_is_first(void **state) {
    dice r = {26};

    (void)state;
    for (int i = 0; i < 200; i++) {
        th_limit_point p = {.radial = between(&r, 0.1, 6), .axial = between(&r, 0.1, 6)}, q = p;
        double section = p.radial * p.axial;
        p.minutes = q.minutes = between(&r, 0.1, 10);
        assert_int_equal(th_limit_by_minutes(&p, &q), 0);
        q.radial = between(&r, 0.1, 6);
        q.axial = between(&r, 0.1, 6);
        assert_int_equal(th_limit_by_minutes(&p, &q), section > q.radial * q.axial ? 1 : -1);
    }
}

/* Deep passes warm what another cut then pulls at, and bend the cutter before that: the range comes
 * down from the top of what the other bears no further than to where the cutter is stiff enough. */
static void the_cut_itself_holds_where_others_bear_it(void **state) {
    static const bool others_alone[CUTS] = {true};
    draft d = two_grooves();
    th_limit_point point = {.axial = 1.3, .least = 0.4, .passes = 2};
    th_limit_cut found = {.points = &point, .point_count = 1, .first_strip = (double)NAN};
    th_lines notes = {.count = 0};
    double borne;
    bounded at;

    (void)state;
    put(&d, "hold", "tape", "film-tender");
    put(&d, "hold", "wait", "24 h");
    put_number(&d, "job", "asked_factor", 1, "");
    put(&d, "cut.1", "depth", "2.9");
    put(&d, "cutter.em", "stickout", "14.5 mm");
    put(&d, "cut.2", "axial", "1.5");
    put(&d, "cut.2", "depth", "1.5");
    bounded_begin(&d, 0, &at);
    borne = others_at(&at, 0.966);
    bounded_end(&at);
    put_number(&d, "job", "asked_factor", 0.995 * borne, "");
    bounded_begin(&d, 0, &at);
    at.b.later = at.b.whole;
    at.b.later.skip = others_alone;
    at.b.later.skip_always = true;
    found.cut = at.b.cut;
    point.radial = at.b.cut->radial;
    point.minutes = 1;
    assert_true(th_limit_others(&at.b, &found, &notes));
    assert_true(others_at(&at, point.axial) >= 1);
    assert_true(ratio_at(&at, point.axial) >= 1);
    assert_true(ratio_at(&at, point.axial / 0.94) < 1);
    bounded_end(&at);
}

/* A pair many times too deep for all that is judged with it goes back as far as its margin says,
 * not one level after the other: the search for it ends at what holds, far above what the job
 * states. */
static void a_pair_far_too_deep_goes_back_at_once(void **state) {
    draft d = grooved("0.03");
    th_limit_cut cut;
    th_limits limits = {.cuts = &cut, .cut_count = 1};
    double held;
    bounded at;

    (void)state;
    put(&d, "job", "asked_factor", "8");
    bounded_begin(&d, 0, &at);
    cut = (th_limit_cut){.cut = at.b.cut,
                         .possible = true,
                         .fastest = {.radial = 3, .axial = 0.7, .least = 0.7},
                         .first_strip = NAN,
                         .own_holds = true,
                         .lap_holds = true,
                         .own_bond_holds = true};
    assert_true(ratio_at(&at, 0.7) < 0.5);
    assert_true(th_limit_together(&at.b, &limits));
    held = cut.fastest.axial;
    assert_true(cut.possible && limits.together.any);
    assert_true(limits.together.hold_factor >= 8);
    assert_true(ratio_at(&at, held) >= 1 && ratio_at(&at, 1.5 * held) < 1);
    th_arena_free(&limits.arena);
    bounded_end(&at);
}

static void count_progress(void *context) {
    ++*(int *)context;
}

/* All that a groove asks for falls with its depth, its hold minds no warmth, and its time is
 * stated: where the deepest holds nothing above it need be judged. */
static void what_is_plainly_milder_is_not_judged(void **state) {
    draft d = grooved("0.3");
    int count = 0, once;
    th_limit_point point;
    bounded at;

    (void)state;
    put(&d, "hold", "cutting_time", "60 s");
    put_number(&d, "job", "asked_factor", 1, "");
    bounded_begin(&d, 0, &at);
    at.options.progress = count_progress;
    at.options.context = &count;
    assert_true(ratio_at(&at, 0.6) >= 1);
    once = count;
    assert_true(once > 0);
    point = opened(&at, 0.6, (th_guess){0.6, 1, 0});
    assert_near(point.axial, 0.6, 1e-9, 0);
    assert_near(point.least, TH_SHALLOWEST, 1e-9, 0);
    assert_int_equal(count, 2 * once);
    bounded_end(&at);
}

/* A finishing pass keeps its own engagement, though a wider one lies a hair beside it. */
static void a_fastest_pair_keeps_a_small_radial(void **state) {
    draft d = grooved("0.3");
    th_limit_point points[2] = {{.radial = 0.02, .axial = 0.6, .least = 0.1},
                                {.radial = 0.0203, .axial = 0.3, .least = 0.1}};
    th_limit_cut found = {.points = points, .point_count = 2, .first_strip = (double)NAN};
    bounded at;

    (void)state;
    put_number(&d, "job", "asked_factor", 1, "");
    put(&d, "cut.1", "radial", "0.0203");
    put(&d, "cut.1", "depth", "0.6");
    put(&d, "cut.1", "chip_load", "0.1 mm/tooth");
    bounded_begin(&d, 0, &at);
    found.cut = at.b.cut;
    assert_true(th_limit_fastest(&at.b, &found));
    assert_true(found.possible);
    assert_near(found.fastest.radial, 0.0203, 1e-9, 0);
    assert_near(found.fastest.axial, 0.3, 1e-9, 0);
    bounded_end(&at);
}

/* The margin falls about as a power of the engagement, and the search follows it: from one guess
 * for all it takes few looks to the end of the range, and two where a sketch is enough and no time
 * tells on the hold. To halve the range until it is found takes six and more. */
static void few_looks_find_the_end(void **state) {
    static const double asked[] = {2.6, 3.8, 5, 6.2, 8, 8.6};

    (void)state;
    for (size_t i = 0; i < 2 * sizeof asked / sizeof *asked; i++) {
        draft d = grooved("0.05");
        const bool sketch = i % 2;
        int count = 0, once;
        th_limit_point point;
        bounded at;
        if (sketch) {
            put(&d, "hold", "cutting_time", "60 s");
        }
        put_number(&d, "job", "asked_factor", asked[i / 2], "");
        bounded_begin(&d, 0, &at);
        at.b.sketch = sketch;
        at.options.progress = count_progress;
        at.options.context = &count;
        (void)ratio_at(&at, 0.3);
        once = count;
        assert_true(once > 0);
        point = opened(&at, 2.9, (th_guess){0.3, 1, 0});
        assert_true(count - once <= (sketch ? 2 : 4) * once);
        assert_true(ratio_at(&at, point.axial) >= 1 && ratio_at(&at, 1.06 * point.axial) < 1);
        bounded_end(&at);
    }
}

/* Hold factor of a groove cut in so many levels. */
static double factor_in(draft d, double levels) {
    th_all all;
    bounded at;

    bounded_begin(&d, 0, &at);
    assert_true(th_look_all(&at.b, (th_engaged){at.b.cut->radial, 0.6 / levels, true}, &all));
    bounded_end(&at);
    return all.hold_factor;
}

/* What is asked lies between so many levels and one less. */
static void begin_between(draft d, double levels, bounded *at) {
    double less = factor_in(d, levels - 1), asked = factor_in(d, levels);

    assert_true(asked > 1.01 * less && less > 1);
    put_number(&d, "job", "asked_factor", sqrt(asked * less), "");
    bounded_begin(&d, 0, at);
}

/* Where the largest engagement of a point does not hold as a pair, one or two levels more are
 * tried, and where a pair has to go back, up to three more: the first that holds is taken. What
 * takes more levels than that is not looked for. */
static void a_few_levels_more_are_tried(void **state) {
    draft d = grooved("0.05");

    (void)state;
    put(&d, "hold", "cutting_time", "60 s");
    put(&d, "cut.1", "depth", "0.6");
    for (int levels = 2; levels <= 5; levels++) {
        th_limit_point point = {.axial = 0.6, .least = 0.02}, milder;
        th_limit_cut found = {.points = &point, .point_count = 1, .first_strip = (double)NAN};
        bool any;
        bounded at;
        begin_between(d, levels, &at);
        found.cut = at.b.cut;
        point.radial = at.b.cut->radial;
        assert_true(th_limit_fastest(&at.b, &found));
        assert_int_equal(found.possible, levels <= 3);
        if (found.possible) {
            assert_near(found.fastest.axial, 0.6 / levels, 1e-9, 0);
        }
        assert_true(th_limit_milder(&at.b, &point, 1, &milder, &any));
        assert_int_equal(any, levels <= 4);
        if (any) {
            assert_near(milder.axial, 0.6 / levels, 1e-9, 0);
        }
        bounded_end(&at);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_ample_margin_is_not_lost_at_once),
        cmocka_unit_test(the_largest_step_that_holds_is_found),
        cmocka_unit_test(the_range_takes_in_what_is_stated),
        cmocka_unit_test(what_holds_between_is_found),
        cmocka_unit_test(the_range_goes_down_as_far_as_it_holds),
        cmocka_unit_test(few_levels_may_hold_better),
        cmocka_unit_test(rows_go_up_to_the_full_width),
        cmocka_unit_test(a_fastest_pair_is_typed_with_few_decimals),
        cmocka_unit_test(a_fastest_pair_may_lie_between),
        cmocka_unit_test(a_fastest_pair_keeps_the_depth),
        cmocka_unit_test(no_engagement_is_left_where_the_other_fails),
        cmocka_unit_test(what_others_bear_is_a_step_where_steps_are_dear),
        cmocka_unit_test(the_warmest_of_as_many_levels_is_looked_at),
        cmocka_unit_test(a_chamfer_takes_the_whole_cone),
        cmocka_unit_test(of_times_alike_the_lighter_is_first),
        cmocka_unit_test(the_cut_itself_holds_where_others_bear_it),
        cmocka_unit_test(a_pair_far_too_deep_goes_back_at_once),
        cmocka_unit_test(what_is_plainly_milder_is_not_judged),
        cmocka_unit_test(a_fastest_pair_keeps_a_small_radial),
        cmocka_unit_test(few_looks_find_the_end),
        cmocka_unit_test(a_few_levels_more_are_tried),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
