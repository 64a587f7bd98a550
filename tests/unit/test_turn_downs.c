/* test_turn_downs.c - what an answer offers to turn down: every kind of change where it is the
 * remedy, pairs where no single one is, and what is said where nothing is. Jobs and the rows added
 * to the shipped tables are invented. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/report.h"

/* ---- typed back --------------------------------------------------------------------------------
 */

static void expect_holds(const answer *a, const th_turn_down *turn) {
    answer again;

    type_back(a, turn, &again);
    answer_free(&again);
}

static const th_turn_down *offered(const answer *a, const char *change) {
    for (size_t i = 0; i < a->check.turn_down_count; i++) {
        if (strcmp(a->check.turn_downs[i].change, change) == 0) {
            expect_holds(a, &a->check.turn_downs[i]);
            return &a->check.turn_downs[i];
        }
    }
    return NULL;
}

/* Ask for `more` times what the job holds by, and for what then restores it. */
static void run_asking(draft *d, double more, answer *a) {
    run(d, false, a);
    put_number(d, "job", "asked_factor", fmin(fmax(a->check.hold_factor * more, 1), 20), "");
    answer_free(a);
    run(d, true, a);
    assert_true(a->check.verdict != TH_HOLDS && a->check.turn_downs_tried);
}

static void expect_remedy(draft d, const char *change, double more) {
    const th_turn_down *turn;
    answer a;

    run_asking(&d, more, &a);
    turn = offered(&a, change);
    if (!turn) {
        for (size_t i = 0; i < a.check.turn_down_count; i++) {
            print_message("  %s %s\n", a.check.turn_downs[i].change,
                          a.check.turn_downs[i].settings[0]);
        }
        fail_msg("%s is not offered at %g, asked %g", change, a.check.hold_factor,
                 a.check.asked_factor);
    }
    answer_free(&a);
}

/* ---- jobs --------------------------------------------------------------------------------------
 */

static draft slotted(void) {
    draft d = plate(80, 50, 3);

    put(&d, "hold", "coverage", "0.8");
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.2");
    return d;
}

static draft pocketed(void) {
    draft d = plate(80, 50, 4);

    add_cut(&d, "cut.1", "pocket", "flat-6mm-3");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "depth", "1.5");
    put(&d, "cut.1", "at", "40,25");
    put(&d, "cut.1", "size", "40 x 24");
    return d;
}

static draft cut_out(void) {
    draft d = plate(80, 50, 3);

    add_sheet(&d, 120, 90, 20, 20);
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put(&d, "cut.1", "radial", "6");
    put(&d, "cut.1", "axial", "0.4");
    return d;
}

static draft faced(void) {
    draft d = plate(80, 50, 4);

    add_cut(&d, "cut.1", "face", "flat-6mm-3");
    put(&d, "cut.1", "radial", "4");
    put(&d, "cut.1", "axial", "0.2");
    return d;
}

/* ---- each kind of change -----------------------------------------------------------------------
 */

static void lighter_cuts_are_offered(void **state) {
    draft feed = slotted();

    (void)state;
    expect_remedy(slotted(), "axial", 1.5);
    expect_remedy(slotted(), "chip_load", 1.1);
    put(&feed, "cut.1", "feed", "1500");
    expect_remedy(feed, "chip_load", 1.1);
    expect_remedy(faced(), "radial", 1.1);
}

/* Where the worse direction is taken the other one is offered, and never the other way round. */
static void the_other_direction_is_offered(void **state) {
    static const char *const directions[] = {"climb", "conventional"};
    double factors[2];
    draft jobs[2];
    answer a;
    int worse;

    (void)state;
    for (int i = 0; i < 2; i++) {
        jobs[i] = plate(80, 50, 3);
        add_cut(&jobs[i], "cut.1", "outline", "flat-6mm-3");
        put(&jobs[i], "hold", "stops", "left");
        put(&jobs[i], "cut.1", "axial", "0.15");
        put(&jobs[i], "cut.1", "radial", "0.5");
        put(&jobs[i], "cut.1", "direction", directions[i]);
        run(&jobs[i], false, &a);
        factors[i] = a.check.hold_factor;
        answer_free(&a);
    }
    worse = factors[0] < factors[1] ? 0 : 1;
    assert_true(factors[1 - worse] > 1.01 * factors[worse]);
    expect_remedy(jobs[worse], "direction", 1.005);
    run_asking(&jobs[1 - worse], 1.02, &a);
    assert_null(offered(&a, "direction"));
    answer_free(&a);
}

static void other_cutters_are_offered(void **state) {
    draft rows = slotted(), none = rows;
    const th_turn_down *turn;
    answer a;

    (void)state;
    expect_remedy(slotted(), "wear", 1.1);
    expect_remedy(slotted(), "fewer flutes", 1.02);
    expect_remedy(slotted(), "helix", 1.02);
    expect_remedy(pocketed(), "smaller cutter", 1.02);
    /* a row of the table is named where there is one, else the cutter is described */
    put(&rows, "cutter.em", "id", "flat-6mm-2");
    run_asking(&rows, 1.02, &a);
    turn = offered(&a, "helix");
    assert_non_null(turn);
    assert_string_equal(turn->settings[0], "cutter.em.id=flat-6mm-2-down");
    answer_free(&a);
    put(&none, "cutter.em", "id", "flat-10mm-3"); /* the table has none with fewer */
    put(&none, "cut.1", "axial", "0.05");
    run_asking(&none, 1.05, &a);
    turn = offered(&a, "fewer flutes");
    assert_non_null(turn);
    assert_int_equal(strncmp(turn->settings[0], "cutter.em.flutes=", 17), 0);
    answer_free(&a);
}

/* A smaller cutter would make another part where its width is that of the cut. */
static void a_slot_keeps_its_width(void **state) {
    draft d = slotted();
    answer a;

    (void)state;
    run_asking(&d, 1.02, &a);
    assert_null(offered(&a, "smaller cutter"));
    answer_free(&a);
}

static void a_wide_cut_follows_a_smaller_cutter(void **state) {
    th_error err = {TH_OK, 0, "", ""};
    const th_turn_down *turn;
    draft d = pocketed();
    th_job *job = NULL;
    answer a;

    (void)state;
    put(&d, "cut.1", "radial", "6");
    run_asking(&d, 1.02, &a);
    turn = offered(&a, "smaller cutter");
    assert_non_null(turn);
    assert_int_equal(turn->setting_count, 2);
    assert_int_equal(strncmp(turn->settings[1], "cut.1.radial=", 13), 0);
    assert_true(th_job_change(a.job, turn->settings, turn->setting_count, &job, &err));
    assert_true(job->cuts[0].cutter->row.diameter < 5.9);
    assert_near(job->cuts[0].radial, job->cuts[0].cutter->row.diameter, 1e-12, 0);
    th_job_free(job);
    answer_free(&a);
}

static void the_freeing_pass_is_made_easier(void **state) {
    draft d = cut_out();

    (void)state;
    expect_remedy(d, "last pass", 1.05);
    expect_remedy(d, "skin", 1.05);
    expect_remedy(d, "tabs", 1.02);
}

static void the_hold_is_made_better(void **state) {
    draft wet = slotted(), bowed = slotted();

    (void)state;
    expect_remedy(slotted(), "coverage", 1.1);
    expect_remedy(slotted(), "preparation", 1.05);
    expect_remedy(slotted(), "pressing", 1.05);
    expect_remedy(slotted(), "wait", 1.1);
    expect_remedy(slotted(), "tape", 1.1);
    put(&wet, "hold", "cooling", "mist");
    expect_remedy(wet, "cooling", 1.02);
    put(&bowed, "part", "bow", "0.05");
    put(&bowed, "cut.1", "axial", "0.05");
    expect_remedy(bowed, "bow", 1.05);
}

/* A push along x against nothing but the tape: a stop on that side takes it. */
static void stops_take_a_push(void **state) {
    draft d = plate(100, 60, 8);
    double push[3] = {200, 0, 0};
    const th_turn_down *turn;
    answer a;

    (void)state;
    add_push(&d, "cut.1", push, 50, 30);
    run_asking(&d, 1.2, &a);
    turn = offered(&a, "stops");
    assert_non_null(turn);
    assert_string_equal(turn->settings[0], "hold.stops=right");
    assert_string_equal(turn->from_text, "none");
    answer_free(&a);
}

/* A double-sided tape takes the place of two tapes and glue, tape_below stated or not. */
static void a_tape_below_is_taken_back(void **state) {
    draft d = slotted();
    bool seen = false;
    answer a;

    (void)state;
    put(&d, "hold", "tape", "painters-paper");
    put(&d, "hold", "tape_below", "painters-paper");
    run_asking(&d, 1.3, &a);
    for (size_t i = 0; i < a.check.turn_down_count; i++) {
        const th_turn_down *turn = &a.check.turn_downs[i];
        if (strcmp(turn->change, "tape") == 0) {
            seen = true;
            expect_holds(&a, turn);
            assert_int_equal(
                strncmp(turn->settings[turn->setting_count - 1], "hold.tape_below=", 16), 0);
        }
    }
    assert_true(seen);
    answer_free(&a);
}

/* ---- heat --------------------------------------------------------------------------------------
 */

/* Warm work on a tape that minds: seen by its factor, not yet beyond its limit. */
static draft warm_job(void) {
    draft d = pocketed();

    put(&d, "cut.1", "radial", "6"); /* full width: heat alone is looked at */
    put(&d, "hold", "tape", "film-tender");
    put(&d, "hold", "wait", "24 h");
    put(&d, "cut.1", "axial", "0.1");
    return d;
}

static void heat_has_remedies_of_its_own(void **state) {
    answer a;
    draft d = warm_job();

    (void)state;
    run(&d, false, &a);
    assert_true(a.check.stages[a.check.governs].derating.temperature < 0.95);
    answer_free(&a);
    expect_remedy(d, "speed", 1.02);
    expect_remedy(d, "rest", 1.01);
    expect_remedy(d, "cooling", 1.01);
    expect_remedy(d, "wear", 1.02);
}

/* Above its limit it holds nothing; what cools brings it back. */
static void too_warm_lets_go(void **state) {
    draft d = warm_job();
    answer a;

    (void)state;
    put(&d, "hold", "room_temperature", "45 C");
    put(&d, "cut.1", "axial", "0.3");
    run(&d, true, &a);
    assert_int_equal(a.check.verdict, TH_LETS_GO);
    assert_int_equal(a.check.stages[a.check.governs].way, TH_HEAT);
    assert_near(a.check.hold_factor, 0, 0, 0);
    for (size_t i = 0; i < a.check.turn_down_count; i++) {
        expect_holds(&a, &a.check.turn_downs[i]);
    }
    assert_true(a.check.turn_down_count > 0);
    answer_free(&a);
}

/* Where nothing is warm no remedy for heat is offered. */
static void cold_work_needs_no_cooling(void **state) {
    draft d = slotted();
    answer a;

    (void)state;
    run_asking(&d, 1.02, &a);
    assert_null(offered(&a, "speed"));
    assert_null(offered(&a, "rest"));
    assert_null(offered(&a, "cooling"));
    answer_free(&a);
}

/* ---- the mildest that does ---------------------------------------------------------------------
 */

/* The hold factor of a job with one setting changed, of one cut or (NULL) of all. */
static double factor_with(const answer *a, const th_turn_down *turn, size_t which,
                          const char *instead, const char *section) {
    const char *settings[8];
    th_error err = {TH_OK, 0, "", ""};
    th_job *job = NULL;
    double least = INFINITY;
    answer then;

    for (size_t i = 0; i < turn->setting_count; i++) {
        settings[i] = i == which ? instead : turn->settings[i];
    }
    if (!th_job_change(a->job, settings, turn->setting_count, &job, &err)) {
        fail_msg("%s: %s", settings[0], err.message);
    }
    judge(job, false, &then);
    for (size_t i = 0; i < then.check.stage_count; i++) {
        const th_stage *stage = &then.check.stages[i];
        if (stage->counts && (!section || strcmp(stage->cut->section, section) == 0)) {
            least = fmin(least, stage->hold_factor);
        }
    }
    answer_free(&then);
    return least;
}

/* The setting with its number taken `steps` two-digit numbers up, e.g. 0.25 to 0.26. */
static void milder(const char *setting, int steps, char *text, size_t size) {
    const char *value = strchr(setting, '=') + 1;
    char *unit;
    double number = strtod(value, &unit), step = pow(10, floor(log10(number * (1 + 1e-9))) - 1);

    if (number / step > 49.5) {
        step *= 5; /* coarser there */
    }
    snprintf(text, size, "%.*s%.10g%s", (int)(value - setting), setting, number + steps * step,
             unit);
}

/* A hole and a pocket, the pocket just above the asked factor, on tape that minds the heat: a
 * coarse look reads the pocket below it, whatever is done to the hole. */
static draft capped(void) {
    draft d = plate(120, 80, 3);

    put(&d, "hold", "tape", "polyester-acrylic");
    put(&d, "hold", "glue", "ca-medium");
    put(&d, "hold", "cooling", "dry");
    put(&d, "hold", "coverage", "0.9");
    put(&d, "hold", "wait", "5 min");
    put(&d, "machine", "id", "bench-mill");
    add_cut(&d, "cut.2", "pocket", "flat-6mm-3");
    put(&d, "cut.2", "at", "60,40");
    put(&d, "cut.2", "size", "50 x 30");
    put(&d, "cut.2", "depth", "1.5");
    put(&d, "cut.2", "axial", "0.18");
    put(&d, "cut.2", "radial", "3");
    put(&d, "cutter.em3", "id", "flat-3mm-2");
    put(&d, "cut.3", "operation", "hole");
    put(&d, "cut.3", "cutter", "em3");
    put(&d, "cut.3", "at", "20,40 100,40");
    put(&d, "cut.3", "size", "10");
    put(&d, "cut.3", "axial", "0.3");
    return d;
}

/* What is offered of the hole is the mildest number of the ladder: the next one fails. */
static void another_cut_near_the_limit_costs_nothing(void **state) {
    static const char *const changes[] = {"axial", "chip_load"};
    draft d = capped();
    answer a;

    (void)state;
    put_number(&d, "job", "asked_factor", 2, "");
    run(&d, true, &a);
    assert_true(a.check.verdict != TH_HOLDS);
    for (size_t i = 0; i < a.check.stage_count; i++) { /* the pocket holds, by little */
        const th_stage *stage = &a.check.stages[i];
        if (strcmp(stage->cut->section, "cut.2") == 0) {
            assert_true(stage->hold_factor >= 2 && stage->hold_factor < 2.2);
        }
    }
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        const th_turn_down *turn = offered(&a, changes[i]);
        char text[TEXT_MAX];
        assert_non_null(turn);
        assert_ptr_equal(turn->cut, &a.job->cuts[1]);
        milder(turn->settings[0], 1, text, sizeof text);
        if (!(factor_with(&a, turn, 0, text, NULL) < 2)) {
            fail_msg("%s is offered though %s does", turn->settings[0], text);
        }
    }
    answer_free(&a);
}

/* A hole and an outline, both far too heavy: each is turned down as far as it asks for itself. */
static void each_of_a_pair_is_the_mildest(void **state) {
    draft d = plate(76.2, 50.8, 3.175);
    const th_turn_down *pair;
    answer a;

    (void)state;
    add_sheet(&d, 101.6, 76.2, 12.7, 12.7);
    put(&d, "hold", "tape", "flatback-paper");
    put(&d, "hold", "glue", "ca-medium");
    put(&d, "hold", "cooling", "mist");
    put(&d, "hold", "coverage", "0.9");
    put(&d, "machine", "id", "bench-router");
    add_cut(&d, "cut.1", "hole", "flat-1-8in-2");
    put(&d, "cut.1", "at", "6.35,6.35 69.85,44.45");
    put(&d, "cut.1", "size", "6.35");
    put(&d, "cut.1", "axial", "0.5");
    put(&d, "cut.2", "operation", "outline");
    put(&d, "cut.2", "cutter", "em");
    put(&d, "cut.2", "radial", "3.175");
    put(&d, "cut.2", "axial", "0.38");
    put(&d, "cut.2", "skin", "0.25");
    put_number(&d, "job", "asked_factor", 2, "");
    run(&d, true, &a);
    assert_int_equal(a.check.turn_down_count, 1);
    pair = &a.check.turn_downs[0];
    assert_string_equal(pair->change, "axial + axial");
    expect_holds(&a, pair);
    for (size_t i = 0; i < pair->setting_count; i++) {
        const char *section = strncmp(pair->settings[i], "cut.1", 5) == 0 ? "cut.1" : "cut.2";
        char text[TEXT_MAX];
        milder(pair->settings[i], 1, text, sizeof text);
        print_message("  %s %g, at %s %g\n", pair->settings[i],
                      factor_with(&a, pair, i, pair->settings[i], section), text,
                      factor_with(&a, pair, i, text, NULL));
        assert_true(factor_with(&a, pair, i, pair->settings[i], section) < 2 * 1.3);
        assert_true(factor_with(&a, pair, i, text, NULL) < 2);
    }
    answer_free(&a);
}

/* ---- pairs, and nothing ------------------------------------------------------------------------
 */

/* Two cuts, each with a cutter of its own, on the best hold there is: each needs its own change. */
static draft two_cuts(const char *axial) {
    draft d = plate(100, 60, 6);

    put(&d, "hold", "coverage", "1");
    put(&d, "hold", "preparation", "scuffed");
    put(&d, "hold", "pressed", "weight");
    put(&d, "hold", "wait", "24 h");
    add_cut(&d, "cut.1", "slot", "flat-6mm-2-down");
    put(&d, "cutter.em", "wear", "1");
    put(&d, "cut.1", "axial", axial);
    put(&d, "cutter.other", "id", "flat-6mm-2-down");
    put(&d, "cutter.other", "wear", "1");
    put(&d, "cut.2", "operation", "slot");
    put(&d, "cut.2", "cutter", "other");
    put(&d, "cut.2", "axial", axial);
    put(&d, "cut.2", "from", "50,0");
    put(&d, "cut.2", "to", "50,60");
    return d;
}

static void two_cuts_take_two_changes(void **state) {
    draft d = two_cuts("1.5");
    const th_turn_down *pair;
    answer a;

    (void)state;
    run_asking(&d, 2.5, &a);
    assert_int_equal(a.check.turn_down_count, 1);
    pair = &a.check.turn_downs[0];
    assert_non_null(strstr(pair->change, " + "));
    expect_holds(&a, pair);
    /* neither half is enough by itself */
    for (size_t i = 0; i < pair->setting_count; i++) {
        th_error err = {TH_OK, 0, "", ""};
        th_job *job = NULL;
        answer half;
        if (strstr(pair->settings[i], ".depth=")) {
            continue;
        }
        assert_true(th_job_change(a.job, &pair->settings[i], 1, &job, &err));
        judge(job, false, &half);
        assert_true(half.check.hold_factor < a.check.asked_factor);
        answer_free(&half);
    }
    assert_null(a.check.best_step);
    assert_int_equal(a.check.advice.count, 0);
    answer_free(&a);
}

static void where_nothing_helps_other_holding_is_named(void **state) {
    draft d = plate(30, 20, 2);
    double pull[3] = {0, 0, 4000};
    answer a;

    (void)state;
    add_push(&d, "cut.1", pull, 15, 10);
    run(&d, true, &a);
    assert_int_equal(a.check.verdict, TH_LETS_GO);
    assert_int_equal(a.check.turn_down_count, 0);
    assert_int_equal(a.check.advice.count, 1);
    assert_non_null(strstr(a.check.advice.items[0], "clamps at the edge"));
    assert_non_null(strstr(a.check.advice.items[0], "fixture plate"));
    assert_null(strstr(a.check.advice.items[0], "vacuum")); /* 0.07 MPa x 600 mm2 = 42 N */
    answer_free(&a);
}

/* A drill that lifts more than any tape bears, and a pocket that can be turned down: the drill is
 * named, and how else to make its hole; so is the change that holds the pocket. */
static draft drilled(const char *axial) {
    draft d = plate(120, 80, 3);

    put(&d, "hold", "tape", "painters-paper");
    put(&d, "hold", "glue", "ca-medium");
    put(&d, "hold", "cooling", "air");
    put(&d, "hold", "coverage", "0.9");
    put(&d, "machine", "id", "bench-mill");
    add_cut(&d, "cut.1", "drill", "drill-6mm");
    put(&d, "cut.1", "at", "20,40 100,40");
    put(&d, "cutter.mill", "id", "flat-6mm-3");
    put(&d, "cut.2", "operation", "pocket");
    put(&d, "cut.2", "cutter", "mill");
    put(&d, "cut.2", "at", "60,40");
    put(&d, "cut.2", "size", "50 x 30");
    put(&d, "cut.2", "depth", "1.5");
    put(&d, "cut.2", "axial", axial);
    put(&d, "cut.2", "radial", "3");
    return d;
}

static void the_cut_that_nothing_holds_is_named(void **state) {
    static const char *const axial[] = {"0.75", "0.02"}; /* the pocket fails; it holds */
    static const char *const others[] = {"the others can be turned down: cut.2 ",
                                         "the other cuts hold"};

    (void)state;
    for (size_t i = 0; i < 2; i++) {
        draft d = drilled(axial[i]);
        answer a;
        run(&d, true, &a);
        assert_int_equal(a.check.turn_down_count, 0);
        assert_int_equal(a.check.advice.count, 2);
        print_message("  %s\n", a.check.advice.items[0]);
        assert_non_null(strstr(a.check.advice.items[0], "cut.1 drill: no single change"));
        assert_non_null(strstr(a.check.advice.items[0], others[i]));
        assert_int_equal(strncmp(a.check.advice.items[1], "bore it with an end mill", 24), 0);
        assert_non_null(strstr(a.check.advice.items[1], "clamps at the edge"));
        answer_free(&a);
    }
}

/* Two drilled holes, a pocket and an outline on a tape that gets too warm: the strongest of the
 * others does not hold the drill, a softer one does and leaves the outline, which a lighter pass
 * mends. */
static draft drilled_and_cut_out(void) {
    draft d = plate(152.4, 101.6, 3.175);

    add_sheet(&d, 177.8, 127, 12.7, 12.7);
    put(&d, "hold", "tape", "painters-paper");
    put(&d, "hold", "glue", "ca-medium");
    put(&d, "hold", "cooling", "dry");
    put(&d, "hold", "coverage", "0.9");
    put(&d, "machine", "id", "bench-mill");
    put(&d, "cutter.d", "id", "drill-1-8in");
    add_cut(&d, "cut.1", "drill", "drill-1-8in");
    put(&d, "cut.1", "at", "6.35,6.35");
    put(&d, "cut.1", "grid", "2 x 2");
    put(&d, "cut.1", "pitch", "139.7 x 88.9");
    put(&d, "cutter.mill", "id", "flat-1-8in-2");
    put(&d, "cut.2", "operation", "pocket");
    put(&d, "cut.2", "cutter", "mill");
    put(&d, "cut.2", "radial", "1.27");
    put(&d, "cut.2", "axial", "0.762");
    put(&d, "cut.2", "depth", "1.524");
    put(&d, "cut.2", "at", "76.2,50.8");
    put(&d, "cut.2", "size", "76.2 x 38.1");
    put(&d, "cut.3", "operation", "outline");
    put(&d, "cut.3", "cutter", "mill");
    put(&d, "cut.3", "radial", "3.175");
    put(&d, "cut.3", "axial", "0.508");
    return d;
}

static void a_tape_goes_with_a_lighter_cut(void **state) {
    draft d = drilled_and_cut_out();
    answer a;

    (void)state;
    run(&d, true, &a);
    assert_near(a.check.hold_factor, 0, 0, 0);
    assert_int_equal(a.check.turn_down_count, 1);
    print_message("  %s: %.2f\n", a.check.turn_downs[0].change, a.check.turn_downs[0].hold_factor);
    assert_non_null(strstr(a.check.turn_downs[0].change, "tape"));
    expect_holds(&a, &a.check.turn_downs[0]);
    answer_free(&a);
}

/* Beside a drill that no tape holds: the small one is held by a tape that is not the strongest, and
 * none says that nothing holds it. */
static void a_cut_that_another_tape_holds_is_told_so(void **state) {
    draft d = drilled_and_cut_out();
    answer a;

    (void)state;
    put(&d, "job", "asked_factor", "2.8");
    put(&d, "cut.2", "radial", "3.175");
    put(&d, "cut.2", "axial", "1.524");
    put(&d, "cut.3", "axial", "1.27");
    put(&d, "cutter.large", "id", "drill-1-4in");
    put(&d, "cutter.large", "wear", "2.5");
    put(&d, "cut.4", "operation", "drill");
    put(&d, "cut.4", "cutter", "large");
    put(&d, "cut.4", "at", "76.2,50.8");
    run(&d, true, &a);
    assert_int_equal(a.check.turn_down_count, 0);
    assert_true(a.check.advice.count > 0);
    for (size_t i = 0; i < a.check.advice.count; i++) {
        print_message("  %s\n", a.check.advice.items[i]);
        assert_null(strstr(a.check.advice.items[i], "cut.1 drill: no single change"));
    }
    assert_non_null(strstr(a.check.advice.items[0], "cut.1 tape "));
    answer_free(&a);
}

/* Three cuts, each of which one change holds, are not beyond the tape though no two changes do. */
static void cuts_that_each_have_a_remedy_are_told_so(void **state) {
    draft d = two_cuts("1.5");
    answer a;

    (void)state;
    put(&d, "cutter.third", "id", "flat-6mm-2-down");
    put(&d, "cutter.third", "wear", "1");
    put(&d, "cut.3", "operation", "slot");
    put(&d, "cut.3", "cutter", "third");
    put(&d, "cut.3", "axial", "1.5");
    put(&d, "cut.3", "from", "75,0");
    put(&d, "cut.3", "to", "75,60");
    run_asking(&d, 2.5, &a);
    assert_int_equal(a.check.turn_down_count, 0);
    assert_int_equal(a.check.advice.count, 1);
    print_message("  %s\n", a.check.advice.items[0]);
    assert_non_null(strstr(a.check.advice.items[0], "all set at once they hold"));
    for (size_t i = 0; i < a.job->cut_count; i++) {
        assert_non_null(strstr(a.check.advice.items[0], a.job->cuts[i].section));
    }
    answer_free(&a);
}

/* The columns of the best step are named as those of what is enough. */
static void the_best_step_has_its_columns_named(void **state) {
    th_error err = {TH_OK, 0, "", ""};
    draft d = drilled("0.75");
    th_text text = {0};
    th_doc doc = {0};
    answer a;

    (void)state;
    run(&d, true, &a);
    assert_non_null(a.check.best_step);
    assert_true(th_report_check(a.job, &a.check, false, &doc, &err));
    assert_true(th_doc_text(&doc, &text, &err));
    assert_non_null(strstr(text.data, "best step: factor, time, setting\n"));
    th_text_free(&text);
    th_doc_free(&doc);
    answer_free(&a);
}

/* Below the smallest chip going lighter is no remedy, and that is said. */
static void a_cut_that_rubs_is_told_so(void **state) {
    draft d = pocketed();
    answer a;

    (void)state;
    put(&d, "cut.1", "chip_load", "0.002 mm/tooth");
    put(&d, "cutter.em", "runout", "0 mm");
    run_asking(&d, 1.1, &a);
    assert_true(a.check.stages[0].chip_margin < 1);
    assert_null(offered(&a, "chip_load"));
    assert_null(offered(&a, "radial"));
    assert_true(a.check.advice.count >= 1);
    assert_non_null(strstr(a.check.advice.items[0], "cut.1 rubs"));
    assert_non_null(strstr(a.check.advice.items[0], "makes it worse"));
    answer_free(&a);
}

/* What is offered never makes a cut rub that does not rub as it is. */
static void no_remedy_makes_it_rub(void **state) {
    draft d = pocketed();
    answer a;

    (void)state;
    put(&d, "cut.1", "radial", "1");
    run_asking(&d, 1.6, &a);
    assert_true(a.check.stages[0].chip_margin >= 1);
    for (size_t i = 0; i < a.check.turn_down_count; i++) {
        const th_turn_down *turn = &a.check.turn_downs[i];
        th_error err = {TH_OK, 0, "", ""};
        th_job *job = NULL;
        answer then;
        assert_true(th_job_change(a.job, turn->settings, turn->setting_count, &job, &err));
        judge(job, false, &then);
        assert_true(then.check.stages[0].chip_margin >= 1 - 1e-9);
        answer_free(&then);
    }
    assert_true(a.check.turn_down_count > 0);
    answer_free(&a);
}

/* The cheapest comes first: minutes of cutting, changing over and waiting. */
static void what_costs_least_comes_first(void **state) {
    draft d = slotted();
    double last = -INFINITY;
    answer a;

    (void)state;
    run_asking(&d, 1.05, &a);
    assert_true(a.check.turn_down_count > 4);
    for (size_t i = 0; i < a.check.turn_down_count; i++) {
        const th_turn_down *turn = &a.check.turn_downs[i];
        double minutes = (turn->time_ratio - 1) * a.check.minutes;
        bool taping = strcmp(turn->change, "coverage") == 0 || strcmp(turn->change, "tape") == 0;
        minutes += taping ? 15 : strcmp(turn->change, "wear") == 0 ? 5 : 0;
        if (taping || turn->cut || strcmp(turn->change, "wear") == 0) {
            assert_true(minutes >= last - 1e-6);
            last = minutes;
        }
    }
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest cold[] = {
        cmocka_unit_test(lighter_cuts_are_offered),
        cmocka_unit_test(the_other_direction_is_offered),
        cmocka_unit_test(other_cutters_are_offered),
        cmocka_unit_test(a_slot_keeps_its_width),
        cmocka_unit_test(a_wide_cut_follows_a_smaller_cutter),
        cmocka_unit_test(the_freeing_pass_is_made_easier),
        cmocka_unit_test(the_hold_is_made_better),
        cmocka_unit_test(stops_take_a_push),
        cmocka_unit_test(a_tape_below_is_taken_back),
        cmocka_unit_test(cold_work_needs_no_cooling),
        cmocka_unit_test(two_cuts_take_two_changes),
        cmocka_unit_test(where_nothing_helps_other_holding_is_named),
        cmocka_unit_test(cuts_that_each_have_a_remedy_are_told_so),
        cmocka_unit_test(a_cut_that_rubs_is_told_so),
        cmocka_unit_test(no_remedy_makes_it_rub),
        cmocka_unit_test(what_costs_least_comes_first),
    };
    const struct CMUnitTest warm[] = {
        cmocka_unit_test(a_tape_goes_with_a_lighter_cut),
        cmocka_unit_test(a_cut_that_another_tape_holds_is_told_so),
        cmocka_unit_test(heat_has_remedies_of_its_own),
        cmocka_unit_test(too_warm_lets_go),
        cmocka_unit_test(the_best_step_has_its_columns_named),
        cmocka_unit_test(the_cut_that_nothing_holds_is_named),
        cmocka_unit_test(another_cut_near_the_limit_costs_nothing),
        cmocka_unit_test(each_of_a_pair_is_the_mildest),
    };
    int failed = cmocka_run_group_tests(cold, set_up, tear_down);

    return failed + cmocka_run_group_tests(warm, set_up_warm, tear_down);
}
