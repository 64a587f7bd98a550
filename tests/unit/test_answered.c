/* test_answered.c - what a fresh reader of the answer stumbles over: jobs that are cut in an odd
 * order, bowed stock, cautions that must not hide. Jobs are invented. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"

static size_t caution_at(const answer *a, const char *words) {
    for (size_t i = 0; i < a->check.cautions.count; i++) {
        if (strstr(a->check.cautions.items[i], words)) {
            return i;
        }
    }
    return SIZE_MAX;
}

static bool caution_of(const answer *a, const char *words) {
    return caution_at(a, words) != SIZE_MAX;
}

static void refused(const draft *d, const char *words) {
    th_error err = {TH_OK, 0, "", ""};
    th_job *job = NULL;

    assert_false(build(d, &job, &err));
    if (!strstr(err.message, words)) {
        fail_msg("\"%s\" does not say: %s", err.message, words);
    }
    th_job_free(job);
}

static void not_judged(const draft *d, const char *words) {
    static const th_check_options options = {.turn_downs = false};
    th_job *job = built(d);
    th_error err = {TH_OK, 0, "", ""};
    th_check check;

    assert_false(th_check_run(job, &options, &check, &err));
    if (!strstr(err.message, words)) {
        fail_msg("\"%s\" does not say: %s", err.message, words);
    }
    th_job_free(job);
}

/* A part of 38 x 25 x 3 mm with two openings that are bored before the outline is cut. */
static draft bored_first(const char *cutter, const char *size) {
    draft d = plate(38, 25, 3);

    add_sheet(&d, 152, 102, 8, 8);
    put(&d, "opening.1", "at", "8,12 30,12");
    put(&d, "opening.1", "size", "6.4");
    add_cut(&d, "cut.1", "hole", cutter);
    put(&d, "cut.1", "at", "8,12 30,12");
    put(&d, "cut.1", "size", size);
    put(&d, "cut.1", "axial", "0.25");
    add_cut(&d, "cut.2", "outline", cutter);
    put(&d, "cut.2", "radial", "3 mm");
    put(&d, "cut.2", "axial", "0.25");
    return d;
}

/* A lap in an opening that is bored already finds no metal: nothing to hold, no cause to refuse. */
static void a_lap_in_a_bored_opening_cuts_nothing(void **state) {
    static const char *const cutters[] = {"flat-3mm-2", "flat-3mm-2-down"};
    static const char *const stops[] = {"front", "left right front back"};

    (void)state;
    for (size_t i = 0; i < 2; i++) {
        for (size_t k = 0; k < 2; k++) {
            for (int smaller = 0; smaller < 2; smaller++) {
                draft d = bored_first(cutters[i], smaller ? "6.1" : "6.4");
                answer a;
                put(&d, "part", "copies", "3 x 2");
                put(&d, "part", "pitch", "44 x 32");
                put(&d, "hold", "stops", stops[k]);
                put(&d, "cut.2", "skin", "0.25");
                run(&d, false, &a);
                assert_true(a.check.hold_factor > 0);
                answer_free(&a);
            }
        }
    }
}

/* Bored away or never there: for the lap outside it is the same. */
static void a_bored_opening_adds_no_place_to_the_outline(void **state) {
    draft bored = bored_first("flat-3mm-2", "6.4"), none = bored;
    const th_stage *s, *t;
    answer a, b;

    (void)state;
    drop(&none, "opening.1", "at");
    drop(&none, "opening.1", "size");
    put(&bored, "cut.2", "skin", "0.5");
    put(&none, "cut.2", "skin", "0.5");
    run(&bored, false, &a);
    run(&none, false, &b);
    s = stage_of(&a, "cut.2", TH_PIECE_STOCK);
    t = stage_of(&b, "cut.2", TH_PIECE_STOCK);
    assert_near(s->area_lift_peak, t->area_lift_peak, 1e-9, 0);
    assert_near(s->cutter_at.x, t->cutter_at.x, 0, 1e-6);
    assert_near(s->cutter_at.y, t->cutter_at.y, 0, 1e-6);
    answer_free(&a);
    answer_free(&b);
}

/* ---- bowed stock ----------------------------------------------------------------------------- */

static draft bowed(const char *bow, const char *axial) {
    draft d = plate(100, 60, 3);

    add_cut(&d, "cut.1", "slot", "flat-6mm-2");
    put(&d, "cut.1", "axial", axial);
    put(&d, "part", "bow", bow);
    return d;
}

/* Where the bow alone asks too much, it is the bow that must come down; the figure given holds, and
 * twice that does not. */
static void expect_flattened(draft d) {
    const char *to = "the stock is flattened to a bow of ";
    char bow[40];
    answer a;

    run(&d, false, &a);
    assert_true(a.check.hold_factor < 1);
    if (strncmp(a.check.flips_if, to, strlen(to)) != 0) {
        fail_msg("flips if %s", a.check.flips_if);
    }
    snprintf(bow, sizeof bow, "%.*s", (int)strcspn(a.check.flips_if + strlen(to), "("),
             a.check.flips_if + strlen(to));
    answer_free(&a);
    put(&d, "part", "bow", bow);
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    put_length(&d, "part", "bow", 2 * a.job->part.bow);
    answer_free(&a);
    run(&d, false, &a);
    assert_true(a.check.verdict != TH_HOLDS);
    answer_free(&a);
}

static void bowed_stock_is_to_be_flattened(void **state) {
    draft waited = bowed("2 mm", "0.2");

    (void)state;
    expect_flattened(bowed("1 mm", "0.05"));
    put(&waited, "hold", "wait", "12 h");
    expect_flattened(waited);
}

/* Lighter cuts would not help, and it is not said that they would. */
static void no_lighter_cut_makes_up_for_a_bow(void **state) {
    draft d = bowed("1 mm", "0.5");
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_non_null(strstr(a.check.flips_if, "the stock is flat"));
    answer_free(&a);
    put(&d, "cut.1", "axial", "0.001");
    run(&d, false, &a);
    assert_true(a.check.verdict != TH_HOLDS);
    answer_free(&a);
}

/* A little bow: the part of the force that may stay is what is left beside the standing lift. */
static void a_standing_lift_is_not_scaled(void **state) {
    draft d = bowed("0.1 mm", "0.8");
    double share, said;
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_true(a.check.hold_factor < 1);
    assert_int_equal(sscanf(a.check.flips_if, "the forces come down to %lf", &said), 1);
    share = said / 100;
    assert_true(share < a.check.hold_factor / 2 * 0.97);
    answer_free(&a);
    /* no bow: in proportion */
    drop(&d, "part", "bow");
    run(&d, false, &a);
    assert_int_equal(sscanf(a.check.flips_if, "the forces come down to %lf", &said), 1);
    assert_near(said / 100, a.check.hold_factor / 2, 0.1, 0);
    assert_true(said / 100 <= a.check.hold_factor / 2);
    answer_free(&a);
}

/* ---- cautions -------------------------------------------------------------------------------- */

static void the_first_lap_comes_first(void **state) {
    draft d = bored_first("flat-3mm-2", "6.4");
    answer a;

    (void)state;
    put(&d, "cut.2", "radial", "0.3");
    run(&d, false, &a);
    assert_int_equal(caution_at(&a, "cut.2: the first lap out of a sheet is as wide as the cutter, "
                                    "3 mm and not 0.3 mm"),
                     0);
    answer_free(&a);
    put(&d, "cut.2", "radial", "3");
    run(&d, false, &a);
    assert_false(caution_of(&a, "first lap"));
    answer_free(&a);
}

static void openings_are_compared_without_a_sheet(void **state) {
    draft d = plate(80, 50, 3);
    answer a;

    (void)state;
    put(&d, "opening.1", "at", "10,10 70,40");
    put(&d, "opening.1", "size", "8");
    add_cut(&d, "cut.1", "hole", "flat-3mm-2");
    put(&d, "cut.1", "at", "10,40 70,10");
    put(&d, "cut.1", "size", "8");
    put(&d, "cut.1", "axial", "0.3");
    run(&d, false, &a);
    assert_true(caution_at(&a, "cut.1 bores 8 mm at 10 mm, 40 mm, where the part has no such "
                               "opening; the nearest is opening.1 (8 mm at ") <
                caution_at(&a, "chips"));
    answer_free(&a);
}

static void tabs_that_are_left_out_say_why(void **state) {
    draft d = plate(100, 60, 3);
    answer a;

    (void)state;
    add_sheet(&d, 132, 92, 16, 16);
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put(&d, "cut.1", "radial", "6");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "tabs", "4 x 0.2 mm");
    put(&d, "cut.1", "tab_height", "0.1 mm");
    run(&d, false, &a);
    assert_true(caution_of(&a, "only 0.1 mm high, a tab shears at 3.3 N"));
    assert_true(caution_of(&a, "raise cut.1.tab_height"));
    assert_false(caution_of(&a, "a skin or tabs"));
    answer_free(&a);
}

static void no_sheet_no_frame(void **state) {
    draft d = plate(100, 60, 3);
    answer a;

    (void)state;
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put(&d, "cut.1", "radial", "6");
    put(&d, "cut.1", "axial", "0.3");
    run(&d, false, &a);
    assert_true(a.check.defaults.count > 0);
    assert_string_equal(a.check.defaults.items[0],
                        "no sheet: the stock is the part itself, no frame is judged");
    answer_free(&a);
}

/* ---- refused in words that help -------------------------------------------------------------- */

static void what_is_refused_says_what_to_do(void **state) {
    draft d = plate(80, 50, 3), keep;

    (void)state;
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.2");
    keep = d;
    put(&d, "cutter.em", "axial", "0.2");
    refused(&d, "[cutter.em] has no key \"axial\"; it belongs into [cut.1]");
    d = keep;
    put(&d, "part", "thickness", "0.02");
    refused(&d, "units = mm in [job]: a bare length is in mm");
    d = keep;
    put(&d, "part", "thickness", "0.02 mm");
    refused(&d, "must be at least 0.05 mm and at most 50 mm");
    d = keep;
    put(&d, "job", "units", "inch");
    put(&d, "part", "length", "3");
    put(&d, "part", "width", "2");
    put(&d, "part", "thickness", "62");
    refused(&d, "a bare length is in inches: write thousandths as in 62 thou");
    put(&d, "part", "thickness", "62 thou");
    put(&d, "opening.1", "at", "1.5,1");
    put(&d, "opening.1", "size", "1");
    put(&d, "cut.1", "operation", "hole");
    put(&d, "cut.1", "axial", "10 thou");
    put(&d, "cut.1", "size", "0.2");
    put(&d, "cut.1", "at", "1.5,1.125");
    not_judged(&d, "the place x 1.5 in, y 1.125 in lies off the material");
    d = keep;
    put(&d, "hold", "stops", "left; front");
    refused(&d, "is none of: left right front back");
    d = keep;
    put(&d, "hold", "taped_at", "0,0");
    refused(&d, "give taped = FILE too");
}

static void stops_may_stand_with_commas(void **state) {
    draft d = plate(80, 50, 3);
    th_job *job;

    (void)state;
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.2");
    put(&d, "hold", "stops", "left, front");
    job = built(&d);
    assert_int_equal(job->hold.stops, TH_STOP_LEFT | TH_STOP_FRONT);
    th_job_free(job);
}

/* Holes, crossing slots, slots beside one another; the words are the job's, in its units. */
static void openings_that_overlap_are_named(void **state) {
    static const struct {
        const char *at, *size, *angle;
        bool clear;
    } others[] = {
        {"12,10", "3", NULL, false},       {"20,10", "6", NULL, true},
        {"10,10", "20 x 2", "90", false},  {"40,25", "60 x 2", "0", true},
        {"22,10", "20 x 2", "0", false},   {"22,20", "20 x 2", "0", true},
        {"16,16", "20 x 2", "45", false},  {"20,12", "20 x 2", "-45", true},
        {"10,10 30,30", "2", NULL, false}, {"30,30 31,30", "2", NULL, false},
    };

    (void)state;
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
        draft d = plate(80, 50, 3);
        add_cut(&d, "cut.1", "slot", "flat-3mm-2");
        put(&d, "cut.1", "axial", "0.2");
        put(&d, "opening.1", "at", "10,10");
        put(&d, "opening.1", "size", "8");
        put(&d, "opening.2", "at", others[i].at);
        put(&d, "opening.2", "size", others[i].size);
        if (others[i].angle) {
            put(&d, "opening.2", "angle", others[i].angle);
        }
        if (others[i].clear) {
            th_job_free(built(&d));
        } else {
            refused(&d, "[opening.2] at = ");
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_lap_in_a_bored_opening_cuts_nothing),
        cmocka_unit_test(a_bored_opening_adds_no_place_to_the_outline),
        cmocka_unit_test(bowed_stock_is_to_be_flattened),
        cmocka_unit_test(no_lighter_cut_makes_up_for_a_bow),
        cmocka_unit_test(a_standing_lift_is_not_scaled),
        cmocka_unit_test(the_first_lap_comes_first),
        cmocka_unit_test(openings_are_compared_without_a_sheet),
        cmocka_unit_test(tabs_that_are_left_out_say_why),
        cmocka_unit_test(no_sheet_no_frame),
        cmocka_unit_test(what_is_refused_says_what_to_do),
        cmocka_unit_test(stops_may_stand_with_commas),
        cmocka_unit_test(openings_that_overlap_are_named),
    };

    return cmocka_run_group_tests_name("answered", tests, set_up, tear_down);
}
