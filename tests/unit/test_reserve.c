/* test_reserve.c - the reserve that a hold keeps against heat, the first lap of an outline, a shank
 * that rubs, and the order of what is warned of. Jobs are invented. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"
#include "tackhold/report.h"

static draft pocketed(void) {
    draft d = plate(80, 50, 4);

    add_cut(&d, "cut.1", "pocket", "flat-6mm-3");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "depth", "1.5");
    put(&d, "cut.1", "at", "40,25");
    put(&d, "cut.1", "size", "40 x 24");
    put(&d, "hold", "pressed", "weight");
    put(&d, "hold", "preparation", "scuffed");
    put(&d, "hold", "wait", "24 h");
    put(&d, "machine", "peak_ratio", "1");
    put(&d, "hold", "cutting_time", "3 s");
    return d;
}

static double warmest(const answer *a) {
    double most = -INFINITY;

    for (size_t i = 0; i < a->check.stage_count; i++) {
        most = fmax(most, a->check.stages[i].temperature);
    }
    return most;
}

/* Asks for `share` of what it holds by, in a room in which the tape gets to `below` its limit: all
 * temperatures go with that of the room. */
static draft near_the_limit(double below, double share) {
    draft d = pocketed();
    answer a;

    put(&d, "job", "asked_factor", "1");
    run(&d, false, &a);
    put_number(&d, "hold", "room_temperature",
               a.job->hold.room_temperature + th_hold_warmest(a.job) - warmest(&a) - below, "C");
    answer_free(&a);
    run(&d, false, &a);
    assert_near(warmest(&a), th_hold_warmest(a.job) - below, 1e-6, 0);
    assert_true(a.check.hold_factor > 0);
    put_number(&d, "job", "asked_factor", fmax(share * a.check.hold_factor, 1), "");
    answer_free(&a);
    return d;
}

static void a_hold_next_to_its_limit_says_so_first(void **state) {
    draft d = near_the_limit(0.45, 0.5), warmer = d;
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_true(a.check.hold_factor > 0 && a.check.heat_first);
    assert_non_null(strstr(a.check.cautions.items[0], "warms the tape"));
    put_number(&warmer, "hold", "room_temperature", a.job->hold.room_temperature + 0.5, "C");
    answer_free(&a);
    run(&warmer, false, &a);
    assert_near(a.check.hold_factor, 0, 0, 0);
    answer_free(&a);
}

/* Nor is a cut next to the limit worth a word where one after it is beyond: nothing holds. */
static void beyond_the_limit_none_is_next_to_it(void **state) {
    draft d = near_the_limit(0.45, 0.5);
    bool gone = false, near = false;
    answer a;

    (void)state;
    add_cut(&d, "cut.2", "pocket", "flat-6mm-3");
    put(&d, "cut.2", "radial", "3");
    put(&d, "cut.2", "axial", "0.3");
    put(&d, "cut.2", "depth", "1.5");
    put(&d, "cut.2", "at", "40,25");
    put(&d, "cut.2", "size", "60 x 40");
    run(&d, false, &a);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        gone = gone || !(a.check.stages[i].hold_factor > 0);
        near = near || a.check.stages[i].hold_factor > 0;
    }
    assert_true(gone && near);
    assert_near(a.check.hold_factor, 0, 0, 0);
    assert_false(a.check.heat_first);
    for (size_t i = 0; i < a.check.cautions.count; i++) {
        assert_null(strstr(a.check.cautions.items[i], "warms the tape to"));
    }
    answer_free(&a);
}

/* It holds, weaker bond and larger force are far off, and a warm day is not. */
static void the_answer_flips_where_it_says(void **state) {
    draft d = plate(60, 40, 3);
    double more, room;
    answer a;

    (void)state;
    put(&d, "hold", "tape", "pvc-film");
    put(&d, "hold", "wait", "7 h");
    put(&d, "hold", "room_temperature", "46 C");
    put(&d, "job", "asked_factor", "1");
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.02");
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    if (sscanf(a.check.flips_if, "the tape gets %lf K warmer: room at %lf C", &more, &room) != 2) {
        fail_msg("flips if %s", a.check.flips_if);
    }
    assert_near(room, a.job->hold.room_temperature + more, 0, 0.06); /* three digits are printed */
    room = a.job->hold.room_temperature + more;
    answer_free(&a);
    put_number(&d, "hold", "room_temperature", room + 0.01, "C");
    run(&d, false, &a);
    assert_true(a.check.verdict != TH_HOLDS);
    answer_free(&a);
    put_number(&d, "hold", "room_temperature", room - 0.11, "C");
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    answer_free(&a);
}

static void a_hold_far_from_its_limit_does_not(void **state) {
    draft d = pocketed();
    answer a;

    (void)state;
    put(&d, "cut.1", "axial", "0.05");
    put(&d, "hold", "room_temperature", "10 C");
    put(&d, "job", "asked_factor", "1");
    run(&d, false, &a);
    assert_true(th_hold_warmest(a.job) - warmest(&a) > 20);
    assert_false(a.check.heat_first);
    assert_null(strstr(a.check.flips_if, "warmer"));
    answer_free(&a);
}

/* A tenth of the rise, 2 K at least, to every layer's limit. */
static void keeps_reserve(const answer *a) {
    for (size_t i = 0; i < a->check.stage_count; i++) {
        double now = a->check.stages[i].temperature, room = a->job->hold.room_temperature;
        assert_true(now + fmax(0.1 * (now - room), 2) < th_hold_warmest(a->job));
    }
}

static void what_is_offered_keeps_a_reserve_of_heat(void **state) {
    draft d = near_the_limit(1, 1.3);
    th_error err = {TH_OK, 0, "", ""};
    answer a, again;

    (void)state;
    run(&d, true, &a);
    assert_true(a.check.turn_downs_tried && a.check.turn_down_count > 0);
    for (size_t i = 0; i < a.check.turn_down_count; i++) {
        const th_turn_down *turn = &a.check.turn_downs[i];
        th_job *job = NULL;
        assert_true(th_job_change(a.job, turn->settings, turn->setting_count, &job, &err));
        judge(job, false, &again);
        assert_int_equal(again.check.verdict, TH_HOLDS);
        keeps_reserve(&again);
        answer_free(&again);
    }
    answer_free(&a);
}

static void limits_keep_a_reserve_of_heat(void **state) {
    static const th_check_options options = {.turn_downs = false};
    draft d = near_the_limit(0.45, 0.5), open = d;
    th_job *job = built(&d);
    th_limits limits;
    th_error err;
    answer a;

    (void)state;
    assert_true(th_limits_run(job, &options, NULL, &limits, &err));
    assert_false(limits.cuts[0].own_holds);
    assert_int_equal(limits.cuts[0].own_limiter, TH_BY_HEAT);
    assert_true(limits.cuts[0].possible);
    put_length(&open, "cut.1", "radial", limits.cuts[0].fastest.radial);
    put_length(&open, "cut.1", "axial", limits.cuts[0].fastest.axial);
    run(&open, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    keeps_reserve(&a);
    answer_free(&a);
    th_limits_free(&limits);
    th_job_free(job);
}

/* ---- outlines and cutters ----------------------------------------------------------------------
 */

static draft cut_out(void) {
    draft d = plate(60, 40, 3);

    add_sheet(&d, 100, 80, 20, 20);
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put(&d, "cut.1", "radial", "1");
    put(&d, "cut.1", "axial", "0.1");
    return d;
}

static void an_outline_out_of_a_sheet_has_its_full_width_alone(void **state) {
    static const th_check_options options = {.turn_downs = false};
    draft sheet = cut_out(), full = sheet;
    th_job *job = built(&sheet);
    th_limits limits;
    th_error err;
    answer a, b;
    char factor[40];

    (void)state;
    assert_true(th_limits_run(job, &options, NULL, &limits, &err));
    assert_true(limits.cuts[0].first_lap && limits.cuts[0].radial_fixed);
    assert_int_equal(limits.cuts[0].point_count, 1);
    assert_near(limits.cuts[0].points[0].radial, 6, 1e-12, 0);
    th_limits_free(&limits);
    th_job_free(job);

    put(&full, "cut.1", "radial", "6");
    run(&sheet, false, &a);
    run(&full, false, &b);
    assert_true(b.check.hold_factor < a.check.hold_factor);
    th_number_print(floor(b.check.hold_factor * 10) / 10, 2, factor, sizeof factor);
    assert_non_null(strstr(a.check.cautions.items[0], ": hold factor"));
    if (b.check.hold_factor >= 1 && b.check.hold_factor < 10) {
        assert_non_null(strstr(strstr(a.check.cautions.items[0], "hold factor"), factor));
    }
    assert_near(a.check.full_width, b.check.hold_factor, 1e-9, 0);
    answer_free(&a);
    answer_free(&b);
}

/* A pocket that is to be cleared by narrow strips begins with a wide one. */
static void a_pocket_begins_at_full_width(void **state) {
    draft narrow = plate(80, 50, 3), full;
    answer a, b;
    th_text text = {0};
    th_error err;

    (void)state;
    add_cut(&narrow, "cut.1", "pocket", "flat-6mm-3");
    put_point(&narrow, "cut.1", "at", 40, 25);
    put(&narrow, "cut.1", "size", "30 x 20");
    put_length(&narrow, "cut.1", "axial", 0.5);
    put_length(&narrow, "cut.1", "depth", 1);
    put_length(&narrow, "cut.1", "radial", 1);
    full = narrow;
    put_length(&full, "cut.1", "radial", 6);
    run(&narrow, false, &a);
    run(&full, false, &b);
    assert_true(b.check.hold_factor < a.check.hold_factor);
    assert_near(a.check.full_width, b.check.hold_factor, 1e-9, 0);
    assert_true(isnan(b.check.full_width));
    assert_non_null(a.check.full_width_note);
    assert_non_null(strstr(a.check.full_width_note, "the first strip of each level is as wide"));
    /* said where the asked factor lies between the two, and then once */
    a.check.asked_factor = 0.5 * (a.check.hold_factor + b.check.hold_factor);
    th_doc doc = {0};
    assert_true(th_report_check(a.job, &a.check, false, &doc, &err));
    assert_true(th_doc_text(&doc, &text, &err));
    const char *line = strstr(text.data, "full width  cut.1: the first strip");
    assert_non_null(line);
    assert_null(strstr(line + 24, "the first strip"));
    th_text_free(&text);
    th_doc_free(&doc);
    answer_free(&a);
    answer_free(&b);
}

static bool warned_of_shank(const answer *a) {
    for (size_t i = 0; i < a->check.cautions.count; i++) {
        if (strstr(a->check.cautions.items[i], "rubs on the walls")) {
            return true;
        }
    }
    return false;
}

static void a_shank_wider_than_its_kerf_is_warned_of(void **state) {
    draft d = plate(80, 50, 12);
    answer a;

    (void)state;
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.1", "depth", "8");
    put(&d, "cutter.em", "stickout", "20");
    put(&d, "cutter.em", "flute_length", "7.9");
    put(&d, "cutter.em", "shank", "6");
    run(&d, false, &a);
    assert_true(warned_of_shank(&a));
    answer_free(&a);
    put(&d, "cutter.em", "flute_length", "8.1");
    run(&d, false, &a);
    assert_false(warned_of_shank(&a));
    answer_free(&a);
    put(&d, "cutter.em", "flute_length", "7.9");
    put(&d, "cutter.em", "shank", "3");
    run(&d, false, &a);
    assert_false(warned_of_shank(&a));
    answer_free(&a);
}

/* Where nothing holds for warmth the warmest cut is what the answer names, and with the usual share
 * of heat the tape is no warmer than that. */
static void the_warmest_of_what_holds_nothing_governs(void **state) {
    draft d = plate(60, 40, 4);
    double warmest = 0;
    answer a;
    (void)state;

    put(&d, "hold", "cooling", "dry");
    for (int i = 1; i <= 2; i++) {
        char section[24];
        snprintf(section, sizeof section, "cut.%d", i);
        add_cut(&d, section, "slot", "flat-6mm-3");
        put(&d, section, "axial", i == 1 ? "1" : "3");
        put(&d, section, "from", "10,20");
        put(&d, section, "to", "50,20");
    }
    run(&d, false, &a);
    assert_true(a.check.hold_factor <= 0);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        warmest = fmax(warmest, a.check.stages[i].temperature);
    }
    assert_near(a.check.stages[a.check.governs].temperature, warmest, 1e-12, 0);
    assert_string_equal(a.check.stages[a.check.governs].cut->section, "cut.2");
    assert_true(a.check.usual_heat.temperature < warmest);
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_hold_next_to_its_limit_says_so_first),
        cmocka_unit_test(beyond_the_limit_none_is_next_to_it),
        cmocka_unit_test(the_answer_flips_where_it_says),
        cmocka_unit_test(a_hold_far_from_its_limit_does_not),
        cmocka_unit_test(what_is_offered_keeps_a_reserve_of_heat),
        cmocka_unit_test(limits_keep_a_reserve_of_heat),
        cmocka_unit_test(an_outline_out_of_a_sheet_has_its_full_width_alone),
        cmocka_unit_test(a_pocket_begins_at_full_width),
        cmocka_unit_test(a_shank_wider_than_its_kerf_is_warned_of),
        cmocka_unit_test(the_warmest_of_what_holds_nothing_governs),
    };
    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
