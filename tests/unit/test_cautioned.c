/* test_cautioned.c - what an answer warns of: each cut once, and none of what it has not; figures
 * that it gives, taken at their word. Jobs are invented. */
#include <stdio.h>
#include <string.h>

#include "support/draft.h"

static size_t warned(const answer *a, const char *caution) {
    size_t found = 0;

    for (size_t i = 0; i < a->check.cautions.count; i++) {
        found += strstr(a->check.cautions.items[i], caution) != NULL;
    }
    return found;
}

static size_t told(const draft *d, const char *caution) {
    size_t found;
    answer a;

    run(d, false, &a);
    found = warned(&a, caution);
    answer_free(&a);
    return found;
}

static void drill_too(draft *d, const char *section, const char *at) {
    put(d, section, "operation", "drill");
    put(d, section, "cutter", "em");
    put(d, section, "at", at);
}

static void every_drilled_cut_is_warned_of_once(void **state) {
    draft d = plate(40, 30, 2);

    (void)state;
    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put(&d, "cut.1", "at", "10,12 10,20");
    drill_too(&d, "cut.2", "30,12");
    drill_too(&d, "cut.3", "30,20");
    assert_int_equal(told(&d, "cut.1: a drill grabs"), 1);
    assert_int_equal(told(&d, "cut.2: a drill grabs"), 1);
    assert_int_equal(told(&d, "cut.3: a drill grabs"), 1);
}

/* An outline out of a sheet, down to a skin. */
static draft skinned(const char *section) {
    draft d = plate(40, 30, 3);

    add_sheet(&d, 80, 70, 20, 20);
    add_cut(&d, section, "outline", "flat-3mm-2");
    put(&d, section, "radial", "3");
    put(&d, section, "axial", "0.5");
    put(&d, section, "skin", "0.3");
    return d;
}

/* It has several stages, and its skin is as thin in all of them. */
static void a_skin_is_warned_of_once(void **state) {
    draft first = skinned("cut.1"), second = skinned("cut.2");
    const char *const caution = "a skin of 0.3 mm that comes out under";

    (void)state;
    assert_int_equal(told(&first, caution), 1);
    add_push(&second, "cut.1", (const double[]){5, 0, 0}, 20, 15);
    assert_int_equal(told(&second, caution), 1);
}

static void no_word_of_tabs_where_there_are_none(void **state) {
    draft d = skinned("cut.1"), pushed = plate(40, 30, 3);

    (void)state;
    assert_int_equal(told(&d, "the tabs"), 0);
    add_push(&pushed, "cut.1", (const double[]){5, 0, 0}, 20, 15);
    assert_int_equal(told(&pushed, "the tabs"), 0);
}

/* The hole of 3.5 mm is hardly wider than its cutter. What is offered has room in it, and a little
 * more has not. */
static void a_cutter_that_is_offered_fits(void **state) {
    static const double wide[] = {2.9, 2.95};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = plate(40, 30, 2);
        add_cut(&d, "cut.1", "hole", "flat-3mm-2");
        put(&d, "cut.1", "axial", "0.05");
        put(&d, "cut.1", "at", "20,15");
        put(&d, "cut.1", "size", "3.5");
        if (i == 0) {
            assert_int_equal(told(&d, "take a smaller cutter, or drill it (up to 2.9 mm)"), 1);
        } else {
            put_length(&d, "cutter.em", "diameter", wide[i - 1]);
            assert_int_equal(told(&d, "hardly wider"), i == 2);
        }
    }
}

/* Bored once within an opening of 5 mm, wherever else, with an outline whose cutter is wider. */
static void an_opening_that_is_not_made_whole_is_told(void **state) {
    static const char *const places[] = {"10,12", "30,20 10,12", "10,12 30,20"};
    const char *const caution =
        "opening.1 (5 mm at 10 mm, 12 mm) is not made whole: cut.1 bores 3 mm there";

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = plate(40, 30, 2);
        put(&d, "opening.1", "at", "10,12");
        put(&d, "opening.1", "size", "5");
        add_sheet(&d, 80, 70, 20, 20);
        add_cut(&d, "cut.2", "outline", "flat-6mm-2-straight");
        put(&d, "cut.2", "radial", "6");
        put(&d, "cut.2", "axial", "0.5");
        put(&d, "cut.1", "operation", "hole");
        put(&d, "cut.1", "cutter", "small");
        put(&d, "cut.1", "axial", "0.1");
        put(&d, "cut.1", "at", places[i]);
        put(&d, "cut.1", "size", "3");
        put(&d, "cutter.small", "id", "flat-1mm-2");
        assert_int_equal(told(&d, caution), 1);
        put(&d, "cut.1", "size", "5");
        assert_int_equal(told(&d, "is not made whole"), 0);
    }
}

static bool refused(const draft *d, const char *words) {
    th_check_options options = {.turn_downs = false};
    th_job *job = built(d);
    th_error err = {0};
    th_check check;
    bool fine = th_check_run(job, &options, &check, &err);

    assert_true(fine || (err.code == TH_NOT_POSSIBLE && strstr(err.message, words)));
    if (fine) {
        th_check_free(&check);
    }
    th_job_free(job);
    return !fine;
}

/* 0.1 mm of metal is no floor, 0.3 mm is. */
static void a_floor_like_foil_is_refused(void **state) {
    static const char *const operations[] = {"pocket", "face", "engrave"};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = plate(40, 30, 2);
        add_cut(&d, "cut.1", operations[i], i == 2 ? "point-3mm-60" : "flat-3mm-2");
        if (i < 2) {
            put(&d, "cut.1", "axial", "0.2");
            put(&d, "cut.1", "radial", "1");
        }
        if (i != 1) {
            put(&d, "cut.1", "at", "20,15");
        }
        if (i == 0) {
            put(&d, "cut.1", "size", "12 x 10");
        } else if (i == 2) {
            put(&d, "cut.1", "length", "30");
        }
        put(&d, "cut.1", "depth", "1.9");
        assert_true(refused(&d, "leaves less than 0.2 mm of metal"));
        put(&d, "cut.1", "depth", "1.7");
        assert_false(refused(&d, ""));
    }
}

/* Whether the job is judged, or else refused for a place off its material. */
static bool on_material(const draft *d) {
    static const th_check_options options = {.turn_downs = false};
    th_job *job = built(d);
    th_error err = {0};
    th_check check;
    bool judged = th_check_run(job, &options, &check, &err);

    if (judged) {
        th_check_free(&check);
    } else {
        assert_non_null(strstr(err.message, "lies off the material"));
    }
    th_job_free(job);
    return judged;
}

/* What is drilled or bored may lie off the edge of an opening as long as it bites into it. */
static void what_bites_into_no_edge_is_refused(void **state) {
    static const double off_centre[] = {0, 3, 6.4, 6.6, 8, 10};

    (void)state;
    for (size_t i = 0; i < sizeof off_centre / sizeof *off_centre; i++) {
        bool bites = off_centre[i] > 8 - 1.5;
        draft d = plate(60, 40, 2), bored;
        put(&d, "opening.1", "at", "20,20");
        put(&d, "opening.1", "size", "16");
        bored = d;
        add_cut(&d, "cut.1", "drill", "drill-3mm");
        put_point(&d, "cut.1", "at", 20 + off_centre[i], 20);
        assert_int_equal(on_material(&d), bites);
        add_cut(&bored, "cut.1", "hole", "flat-1mm-2");
        put(&bored, "cut.1", "axial", "0.05");
        put(&bored, "cut.1", "size", "3");
        put_point(&bored, "cut.1", "at", 20 + off_centre[i], 20);
        assert_int_equal(on_material(&bored), bites);
    }
}

/* Where another cut holds far less and all hold as asked, an outline is told to begin as wide as
 * its cutter all the same, a pocket is not. */
static void a_wide_first_lap_is_told_a_wide_first_strip_is_not(void **state) {
    (void)state;
    for (int strip = 0; strip < 2; strip++) {
        draft d = plate(60, 40, 3);
        answer a;
        put(&d, "job", "asked_factor", "1");
        add_cut(&d, "cut.1", "slot", "flat-3mm-2");
        put(&d, "cut.1", "axial", strip ? "0.2" : "1.5");
        put(&d, "cut.1", "from", "5,5");
        put(&d, "cut.1", "to", "55,5");
        add_cut(&d, "cut.2", strip ? "pocket" : "outline", "flat-3mm-2");
        put(&d, "cut.2", "radial", "1.5");
        put(&d, "cut.2", "axial", "0.02");
        if (strip) {
            put(&d, "cut.2", "depth", "0.02");
            put(&d, "cut.2", "at", "30,25");
            put(&d, "cut.2", "size", "20 x 10");
        } else {
            add_sheet(&d, 120, 100, 30, 30);
            put(&d, "cut.2", "last_axial", "0.02");
        }
        run(&d, false, &a);
        assert_true(a.check.verdict == TH_HOLDS && a.check.stages[0].hold_factor < 4);
        assert_int_equal(warned(&a, "as wide as the cutter"), !strip);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_drilled_cut_is_warned_of_once),
        cmocka_unit_test(a_skin_is_warned_of_once),
        cmocka_unit_test(no_word_of_tabs_where_there_are_none),
        cmocka_unit_test(a_cutter_that_is_offered_fits),
        cmocka_unit_test(an_opening_that_is_not_made_whole_is_told),
        cmocka_unit_test(a_floor_like_foil_is_refused),
        cmocka_unit_test(what_bites_into_no_edge_is_refused),
        cmocka_unit_test(a_wide_first_lap_is_told_a_wide_first_strip_is_not),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
