/* test_full_width.c - cuts that begin as wide as their cutter though they state less: what a check
 * says of that is what a check of the job so written says, and what limits offers bears it. Jobs
 * are invented. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "support/draft.h"

/* An outline out of a sheet, narrower than its cutter. */
static draft outlined(const char *stock) {
    draft d = plate(120, 80, 5);

    put(&d, "part", "stock", stock);
    add_sheet(&d, 140, 100, 10, 10);
    put(&d, "hold", "cooling", "mist");
    put(&d, "hold", "wait", "24 h");
    add_cut(&d, "cut.2", "outline", "flat-3mm-2");
    put(&d, "cut.2", "radial", "0.5");
    put(&d, "cut.2", "axial", "0.3");
    return d;
}

/* And a pocket as narrow before it. */
static draft two_cuts(const char *stock) {
    draft d = outlined(stock);

    add_cut(&d, "cut.1", "pocket", "flat-3mm-2");
    put(&d, "cut.1", "radial", "0.5");
    put(&d, "cut.1", "axial", "0.5");
    put(&d, "cut.1", "depth", "2");
    put(&d, "cut.1", "at", "60,40");
    put(&d, "cut.1", "size", "60 x 40");
    return d;
}

/* Least of the stages of a cut that count. */
static double least_of(const answer *a, const char *section) {
    double least = INFINITY;

    for (size_t i = 0; i < a->check.stage_count; i++) {
        const th_stage *stage = &a->check.stages[i];
        if (stage->counts && strcmp(stage->cut->section, section) == 0) {
            least = fmin(least, stage->hold_factor);
        }
    }
    return least;
}

static double at_full_width(draft d, const char *section) {
    double least;
    answer a;

    put(&d, section, "radial", "3");
    run(&d, false, &a);
    least = least_of(&a, section);
    answer_free(&a);
    return least;
}

/* The note says which radial engagement judges it: with that typed the cut holds as much, the
 * others being as they are; and it names the cut that holds the least so. */
static void it_is_what_a_check_at_that_width_says(void **state) {
    static const char *const stocks[] = {"acrylic", "al-6061-t6"};
    (void)state;

    for (int i = 0; i < 2; i++) {
        draft d = two_cuts(stocks[i]);
        double pocket = at_full_width(d, "cut.1"), outline = at_full_width(d, "cut.2");
        const char *named = pocket < outline ? "cut.1: the" : "cut.2: the";
        answer a;
        run(&d, false, &a);
        assert_true(!isnan(a.check.full_width));
        assert_near(a.check.full_width, fmin(pocket, outline), 1e-9, 0);
        assert_true(a.check.full_width < a.check.hold_factor);
        assert_non_null(strstr(a.check.full_width_note, named));
        answer_free(&a);
    }
}

/* That another cut is what the verdict rests on is nothing to the width of this one. */
static void another_cut_is_no_matter_to_it(void **state) {
    draft d = two_cuts("al-6061-t6");
    answer a;
    (void)state;

    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.2", "radial", "3");
    put(&d, "cut.2", "axial", "0.9");
    run(&d, false, &a);
    assert_true(at_full_width(d, "cut.1") > least_of(&a, "cut.2"));
    if (at_full_width(d, "cut.1") >= a.check.asked_factor) {
        assert_true(isnan(a.check.full_width));
    } else { /* a caution, as turning cut.2 down does not help it */
        assert_near(a.check.full_width, at_full_width(d, "cut.1"), 1e-9, 0);
    }
    answer_free(&a);
}

static void open_up(const draft *d, th_job **job, th_limits *limits) {
    static const th_check_options options = {.turn_downs = false};
    th_error err;

    *job = built(d);
    assert_true(th_limits_run(*job, &options, NULL, limits, &err));
}

/* As stated a cut holds in limits where it does in a check, and its first lap where that does:
 * asked for less than either gives, for what lies between, and for more. */
static void as_stated_is_as_checked(void **state) {
    draft d = outlined("al-6061-t6");
    double wide, stated;
    answer a;
    (void)state;

    put(&d, "cut.2", "axial", "0.05");
    wide = at_full_width(d, "cut.2");
    run(&d, false, &a);
    stated = least_of(&a, "cut.2");
    answer_free(&a);
    assert_true(wide > 1.2 && wide < 0.8 * stated && stated < 19);
    const double asked[] = {0.9 * wide, (wide + stated) / 2, 1.05 * stated};
    for (int i = 0; i < 3; i++) {
        th_limits limits;
        th_job *job;
        put_number(&d, "job", "asked_factor", asked[i], "");
        open_up(&d, &job, &limits);
        const th_limit_cut *cut = &limits.cuts[0];
        assert_true(cut->first_lap);
        assert_int_equal(cut->own_holds, asked[i] <= stated);
        assert_int_equal(cut->lap_holds, asked[i] <= wide);
        th_limits_free(&limits);
        th_job_free(job);
    }
}

/* A level of a pocket begins with a strip as wide as the cutter: what is offered bears that. */
static void the_fastest_bears_its_first_strip(void **state) {
    draft d = two_cuts("al-6061-t6");
    const th_limit_point *fastest;
    th_limits limits;
    bool deeper = false;
    th_job *job;
    answer a;
    (void)state;

    put(&d, "cut.2", "axial", "0.05");
    put(&d, "cut.2", "radial", "3");
    open_up(&d, &job, &limits);
    const th_limit_cut *cut = &limits.cuts[0];
    fastest = &cut->fastest;
    assert_true(cut->possible && fastest->axial <= cut->first_strip * (1 + 1e-9));
    assert_true(fastest->radial <= TH_STRIPS_MEET * 3 * (1 + 1e-9));
    for (size_t i = 0; i < cut->point_count; i++) {
        deeper = deeper || cut->points[i].axial > 1.1 * cut->first_strip;
    }
    assert_true(deeper); /* or there was nothing to bear */
    put_number(&d, "cut.1", "radial", fastest->radial, "mm");
    put_number(&d, "cut.1", "axial", fastest->axial, "mm");
    run(&d, false, &a);
    assert_false(a.check.full_width < a.check.asked_factor);
    answer_free(&a);
    th_limits_free(&limits);
    th_job_free(job);
}

/* Tape and odds tell it too: of the job's own hold the ranking has the figure of the check, and
 * what the odds leave out names it. */
static void tape_and_odds_tell_it(void **state) {
    static const th_check_options options = {.turn_downs = false};
    static const th_odds_options drawn = {.check = &options, .samples = 4096};
    draft d = outlined("al-6061-t6");
    th_hold_choices choices;
    th_odds odds;
    th_error err;
    th_job *job;
    answer a;
    (void)state;

    put(&d, "cut.2", "axial", "0.05");
    put_number(&d, "job", "asked_factor", 1.1 * at_full_width(d, "cut.2"), "");
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    assert_true(a.check.full_width < a.check.asked_factor);
    job = built(&d);
    assert_true(th_hold_choices_find(job, &options, TH_EVERY_TAPE, &choices, &err));
    for (size_t i = 0; i < choices.count; i++) {
        if (choices.items[i].own) {
            assert_near(choices.items[i].full_width, a.check.full_width, 1e-9, 0);
        }
    }
    assert_true(th_odds_run(job, &drawn, &odds, &err));
    assert_non_null(strstr(odds.left_out.items[odds.left_out.count - 1], "as wide as the cutter"));
    th_odds_free(&odds);
    th_hold_choices_free(&choices);
    th_job_free(job);
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_what_a_check_at_that_width_says),
        cmocka_unit_test(another_cut_is_no_matter_to_it),
        cmocka_unit_test(as_stated_is_as_checked),
        cmocka_unit_test(the_fastest_bears_its_first_strip),
        cmocka_unit_test(tape_and_odds_tell_it),
    };
    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
