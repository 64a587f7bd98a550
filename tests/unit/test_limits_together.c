/* test_limits_together.c - fastest pairs of several cuts set at once; what is no number. Jobs are
 * invented; what is expected of pairs is what a check of the job with them typed in says. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../../src/advice/limits.h"
#include "support/draft.h"
#include "tackhold/report.h"

static void place_pocket(draft *d, int which, const char *axial, const char *depth, const char *at,
                         const char *size) {
    char section[24], cutter[24];

    snprintf(section, sizeof section, "cut.%d", which);
    snprintf(cutter, sizeof cutter, "cutter.%c", 'a' + which - 1);
    put(d, cutter, "id", "flat-3mm-2");
    put(d, section, "operation", "pocket");
    put(d, section, "cutter", cutter + 7);
    put(d, section, "axial", axial);
    put(d, section, "radial", "1 mm");
    put(d, section, "depth", depth);
    put(d, section, "at", at);
    put(d, section, "size", size);
}

static draft warm_plate(double length, double width, double thickness) {
    draft d = plate(length, width, thickness);

    put(&d, "hold", "tape", "crepe-masking");
    put(&d, "hold", "preparation", "scuffed");
    put(&d, "hold", "wait", "12 h");
    return d;
}

/* Light as it stands; with both pockets opened as far as each goes by itself too warm. */
static draft in_acrylic(void) {
    draft d = warm_plate(50, 40, 3);

    put(&d, "part", "stock", "acrylic");
    place_pocket(&d, 1, "0.1", "1.5", "17,20", "10 x 14");
    place_pocket(&d, 2, "0.03", "2.1", "33,20", "10 x 14");
    return d;
}

/* Neither cut holds as it stands. */
static draft in_brass(void) {
    draft d = warm_plate(40, 30, 2);

    put(&d, "part", "stock", "brass");
    place_pocket(&d, 1, "0.1", "1.4", "12,15", "10 x 14");
    place_pocket(&d, 2, "0.1", "1.0", "28,15", "14 x 20");
    return d;
}

static draft three_in_inches(void) {
    draft d = warm_plate(70, 50, 4);

    put(&d, "job", "units", "inch");
    put(&d, "part", "length", "70 mm");
    put(&d, "part", "width", "50 mm");
    put(&d, "part", "thickness", "4 mm");
    place_pocket(&d, 1, "0.002", "0.06", "0.6,1", "0.5 x 0.6");
    place_pocket(&d, 2, "0.002", "0.06", "1.4,1", "0.5 x 0.6");
    place_pocket(&d, 3, "0.001", "0.06", "2.2,1", "0.5 x 0.6");
    return d;
}

/* ---- pairs typed in ---------------------------------------------------------------------------
 */

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

/* Takes the settings after "--set " out of a report, as a user would. */
static void type_in(const char *line, draft *d) {
    char section[24], key[24], value[40];

    for (line = strstr(line, "--set "); line; line = strstr(line + 1, "--set ")) {
        char cut[12];
        if (sscanf(line, "--set cut.%8[0-9].%20[a-z_]=%38s", cut, key, value) == 3) {
            snprintf(section, sizeof section, "cut.%s", cut);
            put(d, section, key, value);
        }
    }
}

static char *printed(const opened *o) {
    th_doc doc = {0};
    th_text text = {0};
    th_error err;

    assert_true(th_report_limits(o->job, &o->limits, &doc, &err));
    assert_true(th_doc_text(&doc, &text, &err));
    th_doc_free(&doc);
    return text.data;
}

/* Lowest factor of a cut. */
static double factor_of(const answer *a, size_t which) {
    double factor = INFINITY;

    for (size_t i = 0; i < a->check.stage_count; i++) {
        const th_stage *s = &a->check.stages[i];
        factor =
            s->counts && s->cut == &a->job->cuts[which] ? fmin(factor, s->hold_factor) : factor;
    }
    return factor;
}

static void one_pair_alone_holds(const draft *d, const th_limit_cut *cut) {
    draft one = *d;
    answer a;

    put_number(&one, cut->cut->section, "axial", cut->fastest.axial, "mm");
    if (!cut->radial_fixed) {
        put_number(&one, cut->cut->section, "radial", cut->fastest.radial, "mm");
    }
    run(&one, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    answer_free(&a);
}

static bool holds_as_stated(const th_limits *limits) {
    for (size_t i = 0; i < limits->cut_count; i++) {
        if (!limits->cuts[i].own_bond_holds) {
            return false;
        }
    }
    return true;
}

/* All printed pairs typed in hold, and so does each by itself where the others do; the figures are
 * those of a check. `pairs`: how many there are. */
static void hold_together(const draft *d, size_t pairs) {
    opened o = open_up(d);
    draft all = *d;
    char *text = printed(&o);
    size_t found = 0;
    answer a;

    type_in(text, &all);
    run(&all, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    assert_true(o.limits.together.any);
    assert_int_equal(o.limits.together.aside.count, 0);
    assert_near(o.limits.together.hold_factor, a.check.hold_factor, 1e-7, 0);
    assert_near(o.limits.together.minutes, a.check.minutes, 1e-9, 0);
    assert_non_null(strstr(text, "all fastest pairs set at once hold: hold factor "));
    for (size_t i = 0; i < o.limits.cut_count; i++) {
        const th_limit_cut *cut = &o.limits.cuts[i];
        found += cut->possible;
        if (cut->possible) {
            assert_near(cut->fastest.hold_factor, factor_of(&a, i), 1e-7, 0);
        }
        if (cut->possible && holds_as_stated(&o.limits)) {
            one_pair_alone_holds(d, cut);
        }
    }
    assert_int_equal(found, pairs);
    answer_free(&a);
    free(text);
    close_up(&o);
}

static void pairs_in_acrylic_hold_together(void **state) {
    draft d = in_acrylic();

    (void)state;
    hold_together(&d, 2);
}

static void pairs_in_brass_hold_together(void **state) {
    draft d = in_brass();

    (void)state;
    hold_together(&d, 2);
}

static void pairs_typed_in_inches_hold_together(void **state) {
    draft d = three_in_inches();

    (void)state;
    hold_together(&d, 3);
}

/* The pairs found for each cut by itself fail a check when typed in together, or as wide as the
 * cutter, as a pocket's levels begin, so some must give way: to slower ones. */
static void give_way(const draft *d) {
    static const th_check_options options = {.turn_downs = false};
    static const char *const cutters[] = {"a", "b"};
    opened o = open_up(d);
    draft all = *d;
    int slower = 0;
    answer a;

    for (size_t i = 0; i < 2; i++) {
        const th_limit_point *fastest = &o.limits.cuts[i].fastest, *alone;
        th_limits one;
        th_error err;
        assert_true(th_limits_run(o.job, &options, cutters[i], &one, &err));
        assert_int_equal(one.cut_count, 1);
        alone = &one.cuts[0].fastest;
        assert_true(alone->minutes <= fastest->minutes * (1 + 1e-9));
        slower += alone->minutes < fastest->minutes * (1 - 1e-9);
        put_number(&all, one.cuts[0].cut->section, "axial", alone->axial, "mm");
        put_number(&all, one.cuts[0].cut->section, "radial", alone->radial, "mm");
        th_limits_free(&one);
    }
    run(&all, false, &a);
    assert_true(a.check.verdict != TH_HOLDS || a.check.full_width < a.check.asked_factor);
    assert_true(slower > 0);
    answer_free(&a);
    close_up(&o);
}

static void pairs_give_way_where_they_must(void **state) {
    draft acrylic = in_acrylic(), brass = in_brass();

    (void)state;
    give_way(&acrylic);
    give_way(&brass);
}

/* A cut that is not asked about and does not hold as the job states it is left aside, and named. */
static void a_cut_that_fails_all_the_same_is_named(void **state) {
    static const th_check_options options = {.turn_downs = false};
    draft d = in_brass();
    opened o = {.job = built(&d)};
    th_error err;
    char *text;

    (void)state;
    assert_true(th_limits_run(o.job, &options, "a", &o.limits, &err));
    assert_int_equal(o.limits.cut_count, 1);
    assert_true(o.limits.cuts[0].possible && o.limits.together.any);
    assert_int_equal(o.limits.together.aside.count, 1);
    assert_string_equal(o.limits.together.aside.items[0], "cut.2");
    assert_true(o.limits.together.hold_factor >= o.limits.asked_factor);
    text = printed(&o);
    assert_true(o.limits.together.job_factor < o.limits.asked_factor);
    assert_non_null(strstr(text, o.limits.together.job_factor < 1
                                     ? "the job still lets go ("
                                     : "the job still does not hold ("));
    assert_non_null(strstr(text, "): cut.2;"));
    free(text);
    close_up(&o);
}

/* ---- what is no number, and what cannot be judged ---------------------------------------------
 */

static void what_is_no_number_is_refused(void **state) {
    th_severity small = {{{1, 1, 1, 1}}, 1}, large = {{{2, 2, 2, 2}}, 1}, odd = large;
    draft d = in_brass();
    th_stage stage = {.sway = 0.01, .creep = 0.01};

    (void)state;
    assert_near(th_limit_sound((double)NAN), 0, 0, 0);
    assert_near(th_limit_sound(1.5), 1.5, 0, 0);
    assert_true(th_milder(&small, &large, 1));
    assert_false(th_milder(&small, &large, (double)NAN));
    odd.of[0][2] = (double)NAN;
    assert_false(th_milder(&odd, &large, 1));
    assert_false(th_milder(&small, &odd, 1));

    put(&d, "job", "sway_limit", "0.02 mm");
    th_job *job = built(&d);
    assert_near(th_limit_sway_margin(job, &stage), 2, 1e-12, 0);
    stage.creep = (double)NAN;
    assert_near(th_limit_sway_margin(job, &stage), 0, 0, 0);
    stage = (th_stage){.sway = (double)NAN, .creep = 0.01};
    assert_near(th_limit_sway_margin(job, &stage), 0, 0, 0);
    th_job_free(job);
}

/* A groove in the frame, once the part is out of it: nothing that counts is loaded. */
static void a_cut_on_what_may_go_is_not_judged(void **state) {
    draft d = warm_plate(40, 30, 3);
    opened o;
    char *text;

    (void)state;
    add_sheet(&d, 90, 80, 25, 25);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.1", "last_axial", "0.1");
    add_cut(&d, "cut.2", "slot", "flat-3mm-2");
    put(&d, "cut.2", "axial", "0.1");
    put(&d, "cut.2", "depth", "0.2");
    put(&d, "cut.2", "from", "-2.9,-2.9");
    put(&d, "cut.2", "to", "42.9,-2.9");
    o = open_up(&d);
    assert_true(o.limits.cuts[1].idle);
    assert_false(o.limits.cuts[1].possible || o.limits.cuts[1].own_holds);
    text = printed(&o);
    assert_non_null(strstr(text, "not judged: it touches"));
    free(text);
    close_up(&o);
}

/* ---- the chart --------------------------------------------------------------------------------
 */

/* One row of the chart: where it marks that a cut holds, it does at the engagement of the label. */
static int row_is_true(const char *row, const th_limit_cut *cut, double unit) {
    double level = strtod(row, NULL) * unit;
    const char *bar = strchr(row, '|');
    size_t length = strcspn(bar, "\n");
    int marks = 0;

    for (size_t i = 0; i < cut->point_count && 4 * i + 4 < length; i++) {
        const th_limit_point *p = &cut->points[i];
        if (bar[4 * i + 4] == '.') {
            assert_true(level <= p->axial * (1 + 1e-9) && level >= p->least * (1 - 1e-9));
            marks++;
        } else if (bar[4 * i + 4] == '*') {
            assert_true(level <= cut->fastest.axial * (1 + 1e-9));
            assert_true(p->radial <= cut->fastest.radial * (1 + 1e-4));
            marks++;
        }
    }
    return marks;
}

static void the_chart_is_true_of_its_labels(void **state) {
    (void)state;
    for (int inch = 0; inch < 2; inch++) {
        draft d = inch ? three_in_inches() : in_acrylic();
        opened o = open_up(&d);
        char *text = printed(&o), *line = text;
        int marks = 0;
        for (size_t i = 0; i < o.limits.cut_count; i++) {
            line = strstr(line, "\naxial, ");
            assert_non_null(line);
            for (line = strchr(line + 1, '\n') + 1; *line != '-'; line = strchr(line, '\n') + 1) {
                marks += row_is_true(line, &o.limits.cuts[i], inch ? 25.4 : 1);
            }
        }
        assert_true(marks > 20);
        free(text);
        close_up(&o);
    }
}

/* What is offered where heat limits keeps its reserve, and a little more does not. */
static void an_offer_limited_by_heat_keeps_its_reserve(void **state) {
    draft d = warm_plate(40, 30, 2);
    size_t warm = 0;
    answer a;

    (void)state;
    put(&d, "part", "stock", "brass");
    put(&d, "hold", "room_temperature", "48 C");
    put(&d, "job", "asked_factor", "1");
    put(&d, "cutter.a", "id", "flat-3mm-2");
    put(&d, "cut.1", "operation", "face"); /* it begins at no full width */
    put(&d, "cut.1", "cutter", "a");
    put(&d, "cut.1", "axial", "0.03");
    put(&d, "cut.1", "radial", "1 mm");
    put(&d, "cut.1", "depth", "1.4");
    opened o = open_up(&d);
    const th_limit_cut *cut = &o.limits.cuts[0];
    assert_true(cut->possible);
    for (size_t i = 0; i < cut->point_count; i++) {
        const th_limit_point *p = &cut->points[i];
        if (p->limiter != TH_BY_HEAT || !(p->axial > 0) || i % 3) {
            continue;
        }
        for (int more = 0; more < 2; more++) {
            bool kept = true;
            put_number(&d, "cut.1", "radial", p->radial, "mm");
            put_number(&d, "cut.1", "axial", p->axial * (more ? 1.06 : 1), "mm");
            run(&d, false, &a);
            for (size_t k = 0; k < a.check.stage_count; k++) {
                const th_stage *stage = &a.check.stages[k];
                kept = kept &&
                       (!stage->counts || th_kept_factor(a.job, stage) >= a.job->head.asked_factor);
            }
            assert_int_equal(kept, !more);
            answer_free(&a);
        }
        warm++;
    }
    assert_true(warm > 0);
    put_number(&d, "cut.1", "radial", cut->fastest.radial, "mm");
    put_number(&d, "cut.1", "axial", cut->fastest.axial, "mm");
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    assert_false(a.check.heat_first);
    answer_free(&a);
    close_up(&o);
}

/* Three times, each the next's equal but for rounding, the first and last farther apart: no two may
 * be sorted one way by time and by way of the third the other. */
static void times_alike_are_sorted_one_way(void **state) {
    (void)state;
    for (double minutes = 0.01; minutes < 100; minutes *= 1.37) {
        th_limit_point p[3];
        for (int i = 0; i < 3; i++) {
            p[i] = (th_limit_point){
                .radial = 1, .axial = 3 - i, .minutes = minutes * (1 + 0.8e-9 * i)};
        }
        int ab = th_limit_by_minutes(&p[0], &p[1]), bc = th_limit_by_minutes(&p[1], &p[2]);
        int ac = th_limit_by_minutes(&p[0], &p[2]);
        assert_false(ab > 0 && bc > 0 && ac < 0);
        assert_false(ab < 0 && bc < 0 && ac > 0);
        assert_int_equal(th_limit_by_minutes(&p[1], &p[0]), -ab);
    }
    th_limit_point quick = {.radial = 1, .axial = 9, .minutes = 1}, slow = quick;
    slow.minutes = 1.000001;
    assert_int_equal(th_limit_by_minutes(&quick, &slow), -1);
}

/* A pair that the job takes by itself no more (deeper than the flutes are long): the others are
 * given all the same, and why. */
static void a_refused_pair_is_left_out(void **state) {
    static const th_check_options options = {.turn_downs = false};
    draft d = in_acrylic();
    th_job *job = built(&d);
    th_judging judging = {.options = &options};
    th_error err = {TH_OK, 0, "", ""};
    bool fails[2] = {false, false};
    th_limit_cut cuts[2] = {{.cut = &job->cuts[0], .possible = true},
                            {.cut = &job->cuts[1], .possible = true}};
    th_limits limits = {.cuts = cuts, .cut_count = 2, .asked_factor = job->head.asked_factor};
    th_bounded bounds[2];

    (void)state;
    assert_true(th_work_begin(&judging));
    for (size_t i = 0; i < 2; i++) {
        bounds[i] = (th_bounded){.job = job,
                                 .cut = &job->cuts[i],
                                 .which = i,
                                 .own = judging,
                                 .whole = judging,
                                 .fails_anyway = fails,
                                 .arena = &limits.arena,
                                 .err = &err};
        cuts[i].fastest = (th_limit_point){.radial = 1, .axial = 0.03};
    }
    cuts[1].fastest.axial = 500;
    assert_true(th_limit_together(bounds, &limits));
    assert_true(cuts[0].possible && !cuts[1].possible && cuts[1].given_up);
    assert_int_equal(limits.notes.count, 1);
    assert_non_null(strstr(limits.notes.items[0],
                           "cut.2: its fastest pair cannot be set beside the others, and is left "
                           "out: "));
    assert_true(limits.together.any && limits.together.hold_factor >= job->head.asked_factor);
    assert_true(limits.together.minutes > 0);
    th_work_end(&judging);
    th_limits_free(&limits);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pairs_in_acrylic_hold_together),
        cmocka_unit_test(pairs_in_brass_hold_together),
        cmocka_unit_test(pairs_typed_in_inches_hold_together),
        cmocka_unit_test(pairs_give_way_where_they_must),
        cmocka_unit_test(a_cut_that_fails_all_the_same_is_named),
        cmocka_unit_test(what_is_no_number_is_refused),
        cmocka_unit_test(a_cut_on_what_may_go_is_not_judged),
        cmocka_unit_test(the_chart_is_true_of_its_labels),
        cmocka_unit_test(an_offer_limited_by_heat_keeps_its_reserve),
        cmocka_unit_test(times_alike_are_sorted_one_way),
        cmocka_unit_test(a_refused_pair_is_left_out),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
