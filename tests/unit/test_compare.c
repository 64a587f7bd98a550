/* test_compare.c - what changed between two jobs and what each change alone does. Jobs are
 * invented; figures are held against judgements of jobs written out by hand. */
#include <math.h>
#include <string.h>

#include "support/draft.h"

typedef struct {
    answer before, now;
    th_check_options options;
    th_comparison result;
} pair;

static void compare(const draft *before, const draft *now, pair *p) {
    th_error err = {0};

    *p = (pair){.options = {.turn_downs = false}};
    run(before, false, &p->before);
    run(now, false, &p->now);
    th_compared jobs = {
        p->before.job, p->now.job, &p->options, &p->options, p->now.check.hold_factor, TH_MM};
    if (!th_compare(&jobs, &p->result, &err)) {
        fail_msg("not compared: %s", err.message);
    }
}

static void pair_free(pair *p) {
    th_comparison_free(&p->result);
    answer_free(&p->before);
    answer_free(&p->now);
}

static const th_difference *found(const pair *p, const char *key) {
    for (size_t i = 0; i < p->result.count; i++) {
        if (strcmp(p->result.items[i].key, key) == 0) {
            return &p->result.items[i];
        }
    }
    return NULL;
}

static const th_difference *difference(const pair *p, const char *key) {
    const th_difference *d = found(p, key);

    if (!d) {
        fail_msg("%s is not among the changes", key);
    }
    return d;
}

static double factor_of(const draft *d) {
    answer a;
    run(d, false, &a);
    double factor = a.check.hold_factor;
    answer_free(&a);
    return factor;
}

static draft slotted(void) {
    draft d = plate(60, 40, 3);

    put(&d, "hold", "cutting_time", "60 s");
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.5");
    return d;
}

/* ---- the figures ----------------------------------------------------------------------------- */

static void each_change_alone_is_the_job_written_out(void **state) {
    draft before = slotted(), now = before, axial = before, coverage = before;
    pair p;

    (void)state;
    put(&now, "cut.1", "axial", "0.3");
    put(&axial, "cut.1", "axial", "0.3");
    put(&now, "hold", "coverage", "0.7");
    put(&coverage, "hold", "coverage", "0.7");
    compare(&before, &now, &p);
    assert_int_equal(p.result.judged, 2);
    assert_true(p.result.whole);
    assert_near(p.result.hold_factor, p.before.check.hold_factor, 1e-12, 0);
    assert_true(p.result.hold_factor > 0);
    double one = factor_of(&axial), two = factor_of(&coverage), base = p.result.hold_factor;
    assert_near(difference(&p, "cut.1.axial")->hold_factor, one, 1e-9, 0);
    assert_near(difference(&p, "hold.coverage")->hold_factor, two, 1e-9, 0);
    assert_near(p.result.each, one / base * two / base, 1e-9, 0);
    assert_near(p.result.all, p.now.check.hold_factor / base, 1e-9, 0);
    assert_near(p.result.interaction, p.result.all / p.result.each, 1e-12, 0);
    assert_string_equal(difference(&p, "cut.1.axial")->from, "0.5 mm");
    assert_string_equal(difference(&p, "cut.1.axial")->to, "0.3 mm");
    /* the larger effect first */
    assert_true(fabs(p.result.items[0].hold_factor - base) >=
                fabs(p.result.items[1].hold_factor - base));
    assert_true(fabs(one - base) > 0.01 && fabs(two - base) > 0.01);
    pair_free(&p);
}

/* The settings that are told bring the change into the job before. */
static void settings_are_typed_back(void **state) {
    draft before = slotted(), now = before;
    pair p;

    (void)state;
    put(&now, "cutter.em", "id", "flat-3mm-2");
    put(&now, "cutter.em", "stickout", "14 mm");
    put(&now, "cut.1", "axial", "0.3");
    compare(&before, &now, &p);
    assert_int_equal(difference(&p, "cutter.em.id")->setting_count, 2);
    for (size_t i = 0; i < p.result.count; i++) {
        const th_difference *d = &p.result.items[i];
        th_job *job = NULL;
        th_error err = {0};
        answer a;
        if (d->follows) {
            continue;
        }
        assert_true(th_job_change(p.before.job, d->settings, d->setting_count, &job, &err));
        judge(job, false, &a);
        assert_near(a.check.hold_factor, d->hold_factor, 1e-9, 0);
        answer_free(&a);
    }
    pair_free(&p);
}

static void a_single_change_leaves_no_interaction(void **state) {
    draft before = slotted(), now = before;
    pair p;

    (void)state;
    put(&now, "cut.1", "axial", "0.3");
    compare(&before, &now, &p);
    assert_int_equal(p.result.judged, 1);
    assert_int_equal(p.result.count, 2);
    assert_true(difference(&p, "cut.1.depth")->follows);
    assert_true(p.result.all > 1.2);
    assert_near(p.result.interaction, 1, 1e-9, 0);
    pair_free(&p);
}

/* ---- which keys differ ----------------------------------------------------------------------- */

static void a_default_written_out_is_no_change(void **state) {
    draft before = slotted(), now = before;
    pair p;

    (void)state;
    put(&now, "hold", "wait", "60 min"); /* the default is 1 h */
    put(&now, "job", "title", "another title");
    put(&now, "cut.1", "axial", "500 um");
    compare(&before, &now, &p);
    assert_int_equal(p.result.count, 0);
    pair_free(&p);
}

static void the_other_unit_is_no_change(void **state) {
    draft before = plate(50.8, 25.4, 3.175), now = {.inch = true};
    pair p;

    (void)state;
    add_cut(&before, "cut.1", "hole", "flat-6mm-3");
    put(&before, "cut.1", "axial", "0.254");
    put(&before, "cut.1", "size", "12.7");
    put(&before, "cut.1", "at", "25.4,12.7");
    for (size_t i = 0; i < before.count; i++) {
        put(&now, before.section[i], before.key[i], before.value[i]);
    }
    put(&now, "job", "units", "inch");
    put(&now, "part", "length", "2");
    put(&now, "part", "width", "1");
    put(&now, "part", "thickness", "1/8");
    put(&now, "cut.1", "axial", "0.01");
    put(&now, "cut.1", "size", "1/2");
    put(&now, "cut.1", "at", "1,0.5");
    compare(&before, &now, &p);
    assert_int_equal(p.result.count, 0);
    pair_free(&p);
}

/* A size changed in the other unit is typed back in that of the job before. */
static void a_change_in_the_other_unit_is_the_same_change(void **state) {
    draft before = plate(50.8, 25.4, 3.175), now = {.inch = true}, same;
    const th_difference *d;
    pair p;

    (void)state;
    add_cut(&before, "cut.1", "pocket", "flat-3mm-2");
    put(&before, "cut.1", "axial", "0.254 mm");
    put(&before, "cut.1", "radial", "1.5 mm");
    put(&before, "cut.1", "depth", "1 mm");
    put(&before, "cut.1", "size", "12.7");
    put(&before, "cut.1", "at", "25.4,12.7");
    same = before;
    put(&same, "cut.1", "size", "25.4 x 12.7");
    for (size_t i = 0; i < before.count; i++) {
        put(&now, before.section[i], before.key[i], before.value[i]);
    }
    put(&now, "job", "units", "inch");
    put(&now, "part", "length", "2");
    put(&now, "part", "width", "1");
    put(&now, "part", "thickness", "1/8");
    put(&now, "cut.1", "at", "1,0.5");
    put(&now, "cut.1", "size", "1 x 0.5");
    compare(&before, &now, &p);
    d = difference(&p, "cut.1.size");
    assert_int_equal(p.result.count, 1);
    assert_near(d->hold_factor, factor_of(&same), 1e-9, 0);
    pair_free(&p);
}

/* A default that another change moves is told as such, and moves along when that one is judged. */
static void derived_values_follow(void **state) {
    draft before = slotted(), now = before;
    pair p;

    (void)state;
    put(&before, "machine", "speed_max", "9000 rpm");
    put(&now, "machine", "speed_max", "8000 rpm");
    put(&before, "cut.1", "chip_load", "0.02 mm/tooth");
    put(&now, "cut.1", "chip_load", "0.02 mm/tooth");
    compare(&before, &now, &p);
    assert_true(difference(&p, "cut.1.speed")->follows);
    assert_true(difference(&p, "cut.1.feed")->follows);
    assert_int_equal(p.result.judged, 1);
    assert_near(difference(&p, "machine.speed_max")->hold_factor, p.now.check.hold_factor, 1e-9, 0);
    pair_free(&p);
}

static void feed_gives_way_to_chip_load(void **state) {
    draft before = slotted(), now = before;
    pair p;

    (void)state;
    put(&before, "cut.1", "feed", "600 mm/min");
    put(&now, "cut.1", "chip_load", "0.02 mm/tooth");
    compare(&before, &now, &p);
    assert_int_equal(p.result.judged, 1);
    assert_near(difference(&p, "cut.1.chip_load")->hold_factor, p.now.check.hold_factor, 1e-9, 0);
    assert_int_equal(difference(&p, "cut.1.chip_load")->setting_count, 0); /* feed must go */
    assert_true(difference(&p, "cut.1.feed")->follows);
    pair_free(&p);
}

static th_outline box_at(double x, double y) {
    th_path path = th_path_new(0);
    th_outline outline;

    th_path_shape(&path, TH_NONZERO, 0);
    th_path_box(&path, &(th_box){5 + x, 5 + y, 50, 30, 0, 0});
    assert_true(th_region_of_path(&path, &outline, NULL));
    th_path_free(&path);
    return outline;
}

/* However little it is moved, it is its place that changes, not the drawing. */
static void tape_that_is_moved_a_little_is_moved(void **state) {
    th_outline taped = box_at(0, 0);
    draft before = slotted(), now;
    th_error err = {0};

    (void)state;
    put(&before, "hold", "taped", "tape.svg");
    put(&before, "hold", "taped_at", "0,0");
    for (int axis = 0; axis < 2; axis++) {
        th_outline moved = box_at(axis ? 0 : 0.4, axis ? 0.4 : 0);
        th_check_options then = {.taped = &moved};
        pair p = {.options = {.taped = &taped}};
        now = before;
        put(&now, "hold", "taped_at", axis ? "0,0.4" : "0.4,0");
        run_taped(&before, &taped, &p.before);
        run_taped(&now, &moved, &p.now);
        th_compared jobs = {p.before.job, p.now.job, &p.options, &then, p.now.check.hold_factor,
                            TH_MM};
        assert_true(th_compare(&jobs, &p.result, &err));
        assert_int_equal(p.result.count, 1);
        assert_string_equal(p.result.items[0].key, "hold.taped_at");
        assert_near(p.result.items[0].hold_factor, p.now.check.hold_factor, 1e-9, 0);
        pair_free(&p);
        th_outline_free(&moved);
    }
    th_outline_free(&taped);
}

/* What is asked of the job is a change too, though its hold factor stays as it is. */
static void what_is_asked_for_is_compared(void **state) {
    draft before = slotted(), now = before;
    pair p;

    (void)state;
    put(&now, "job", "asked_factor", "3");
    compare(&before, &now, &p);
    assert_int_equal(p.result.count, 1);
    assert_string_equal(difference(&p, "job.asked_factor")->to, "3");
    assert_near(p.result.all, 1, 1e-9, 0);
    pair_free(&p);
}

/* ---- whole sections -------------------------------------------------------------------------- */

static void a_cut_that_came_brings_its_cutter(void **state) {
    draft before = slotted(), now = before;
    pair p;

    (void)state;
    put(&now, "cutter.big", "id", "flat-8mm-3");
    put(&now, "cut.2", "operation", "slot");
    put(&now, "cut.2", "cutter", "big");
    put(&now, "cut.2", "axial", "1");
    compare(&before, &now, &p);
    assert_int_equal(p.result.count, 1);
    assert_string_equal(p.result.items[0].key, "cut.2");
    assert_string_equal(p.result.items[0].to, "slot");
    assert_near(p.result.items[0].hold_factor, p.now.check.hold_factor, 1e-9, 0);
    pair_free(&p);
    compare(&now, &before, &p); /* and goes */
    assert_int_equal(p.result.count, 1);
    assert_string_equal(p.result.items[0].to, "");
    assert_int_equal(p.result.items[0].setting_count, 0);
    assert_near(p.result.items[0].hold_factor, p.now.check.hold_factor, 1e-9, 0);
    pair_free(&p);
}

/* A sheet comes with its four keys; what cannot stand alone says why. */
static void keys_that_need_one_another(void **state) {
    draft before = slotted(), now = before, lone;
    pair p;

    (void)state;
    add_sheet(&now, 90, 80, 15, 20);
    compare(&before, &now, &p);
    assert_int_equal(p.result.judged, 1);
    assert_near(difference(&p, "part.sheet_length")->hold_factor, p.now.check.hold_factor, 1e-9, 0);
    assert_true(difference(&p, "part.sheet_width")->follows);
    assert_true(difference(&p, "part.sheet_width") < difference(&p, "part.sheet_x")); /* as filed */
    assert_true(difference(&p, "part.sheet_x") < difference(&p, "part.sheet_y"));
    pair_free(&p);
    before = plate(60, 40, 3);
    add_cut(&before, "cut.1", "hole", "flat-6mm-3");
    put(&before, "cut.1", "axial", "0.3");
    put(&before, "cut.1", "size", "10");
    put(&before, "cut.1", "at", "45,20"); /* off the shorter part */
    lone = before;
    put(&lone, "part", "length", "30");
    put(&lone, "cut.1", "at", "20,20");
    compare(&before, &lone, &p);
    assert_non_null(difference(&p, "part.length")->why_not);
    assert_true(isnan(difference(&p, "part.length")->hold_factor));
    assert_false(p.result.whole);
    assert_true(isnan(p.result.interaction));
    pair_free(&p);
}

static void no_more_than_the_limit_are_judged(void **state) {
    static const char *const values[][3] = {{"cutter.em", "wear", "1.5"},
                                            {"cutter.em", "stickout", "20 mm"},
                                            {"cutter.em", "runout", "0.02 mm"},
                                            {"cutter.em", "rake", "5"},
                                            {"cutter.em", "helix", "32"},
                                            {"hold", "wait", "5 h"},
                                            {"hold", "pressed", "hand"},
                                            {"hold", "preparation", "scuffed"},
                                            {"hold", "plate_thickness", "15"},
                                            {"hold", "room_temperature", "24 C"},
                                            {"hold", "coverage", "0.7"},
                                            {"hold", "cutting_time", "90 s"},
                                            {"machine", "peak_ratio", "1.7"},
                                            {"machine", "efficiency", "0.7"},
                                            {"cut.1", "axial", "0.3"},
                                            {"cut.1", "direction", "conventional"},
                                            {"cut.1", "chip_load", "0.011 mm/tooth"},
                                            {"cut.1", "speed", "7000 rpm"}};
    draft before = slotted(), now = before;
    size_t untold = 0;
    pair p;

    (void)state;
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++) {
        put(&now, values[i][0], values[i][1], values[i][2]);
    }
    compare(&before, &now, &p);
    for (size_t i = 0; i < p.result.count; i++) {
        untold += p.result.items[i].why_not != NULL;
    }
    assert_int_equal(p.result.judged, TH_DIFFERENCES_JUDGED);
    assert_int_equal(untold, 2);
    assert_false(p.result.whole);
    pair_free(&p);
}

/* ---- the order --------------------------------------------------------------------------------
 */

/* The largest effect comes first, for better or worse, wherever in the file it stands. */
static void the_largest_effect_comes_first(void **state) {
    draft before = slotted(), now = before;
    double last = INFINITY;
    pair p;

    (void)state;
    put(&now, "hold", "coverage", "0.97");
    put(&now, "hold", "cutting_time", "200 s");
    put(&now, "cut.1", "axial", "0.2");
    put(&now, "cut.1", "chip_load", "0.03 mm/tooth");
    put(&now, "machine", "peak_ratio", "1.6");
    compare(&before, &now, &p);
    assert_true(p.result.judged >= 4);
    for (size_t i = 0; i < p.result.judged; i++) {
        double effect = fabs(p.result.items[i].hold_factor - p.result.hold_factor);
        assert_true(effect <= last);
        last = effect;
    }
    pair_free(&p);
}

/* Of a cutter that no cut takes nothing is told, before or now; of one that a cut takes all is. */
static void an_idle_cutter_is_no_change(void **state) {
    draft before = slotted(), now;
    pair p;

    (void)state;
    put(&before, "cutter.idle", "id", "flat-8mm-3");
    now = before;
    put(&now, "cutter.idle", "stickout", "31 mm");
    put(&now, "cutter.more", "id", "flat-3mm-2");
    compare(&before, &now, &p);
    assert_int_equal(p.result.count, 0);
    pair_free(&p);
    put(&now, "cutter.em", "stickout", "17 mm");
    compare(&before, &now, &p);
    assert_int_equal(p.result.count, 1);
    assert_string_equal(p.result.items[0].key, "cutter.em.stickout");
    pair_free(&p);
}

/* A cut that takes another cutter now brings it along where the job before has none of its name. */
static void another_cutter_comes_with_its_name(void **state) {
    draft before = slotted(), now = before;
    const th_difference *cutter;
    pair p;

    (void)state;
    put(&now, "cutter.big", "id", "flat-8mm-3");
    put(&now, "cutter.big", "wear", "1.3");
    put(&now, "cut.1", "cutter", "big");
    compare(&before, &now, &p);
    cutter = difference(&p, "cut.1.cutter");
    assert_string_equal(cutter->to, "big");
    assert_int_equal(cutter->setting_count, 3);
    assert_true(cutter->hold_factor > 0);
    pair_free(&p);
}

/* In jobs of one unit sizes and places are told as they are typed, to the last digit. */
static void sizes_and_places_are_told_as_typed(void **state) {
    draft before = plate(60, 40, 3), now;
    const th_difference *at, *size;
    pair p;

    (void)state;
    add_cut(&before, "cut.1", "pocket", "flat-6mm-3");
    put(&before, "cut.1", "axial", "0.4");
    put(&before, "cut.1", "depth", "1");
    put(&before, "cut.1", "radial", "2");
    put(&before, "cut.1", "size", "20 x 15");
    put(&before, "cut.1", "at", "30,20");
    before.inch = false;
    now = before;
    put(&now, "cut.1", "size", "20.123456789 x 0.6 in");
    compare(&before, &now, &p);
    size = difference(&p, "cut.1.size");
    assert_int_equal(size->setting_count, 1);
    assert_string_equal(size->settings[0], "cut.1.size=20.123456789 x 0.6 in");
    assert_near(size->hold_factor, p.now.check.hold_factor, 1e-12, 0);
    pair_free(&p);
    before = slotted();
    put(&before, "cut.1", "from", "5,20");
    put(&before, "cut.1", "to", "55,20");
    now = before;
    put(&now, "cut.1", "to", "54.123456789,0.8 in");
    compare(&before, &now, &p);
    at = difference(&p, "cut.1.to");
    assert_int_equal(at->setting_count, 1);
    assert_string_equal(at->settings[0], "cut.1.to=54.123456789,0.8 in");
    pair_free(&p);
}

/* A value that is stated no more becomes the one that the job now has without it, not the one that
 * the job before would have had. */
static void a_default_that_came_is_that_of_the_job_now(void **state) {
    draft before = plate(60, 40, 3), now, last;
    pair p;

    (void)state;
    add_sheet(&before, 100, 80, 20, 20);
    add_cut(&before, "cut.1", "outline", "flat-3mm-2");
    put(&before, "cut.1", "radial", "3");
    put(&before, "cut.1", "axial", "0.3");
    now = before;
    put(&before, "cut.1", "last_axial", "0.1");
    put(&now, "cut.1", "axial", "0.2");
    last = before;
    put(&last, "cut.1", "last_axial", "0.2");
    compare(&before, &now, &p);
    assert_string_equal(difference(&p, "cut.1.last_axial")->to, "0.2 mm");
    assert_near(difference(&p, "cut.1.last_axial")->hold_factor, factor_of(&last), 1e-9, 0);
    pair_free(&p);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_change_alone_is_the_job_written_out),
        cmocka_unit_test(settings_are_typed_back),
        cmocka_unit_test(a_single_change_leaves_no_interaction),
        cmocka_unit_test(a_default_written_out_is_no_change),
        cmocka_unit_test(the_other_unit_is_no_change),
        cmocka_unit_test(a_change_in_the_other_unit_is_the_same_change),
        cmocka_unit_test(derived_values_follow),
        cmocka_unit_test(feed_gives_way_to_chip_load),
        cmocka_unit_test(tape_that_is_moved_a_little_is_moved),
        cmocka_unit_test(what_is_asked_for_is_compared),
        cmocka_unit_test(a_cut_that_came_brings_its_cutter),
        cmocka_unit_test(keys_that_need_one_another),
        cmocka_unit_test(no_more_than_the_limit_are_judged),
        cmocka_unit_test(the_largest_effect_comes_first),
        cmocka_unit_test(an_idle_cutter_is_no_change),
        cmocka_unit_test(another_cutter_comes_with_its_name),
        cmocka_unit_test(sizes_and_places_are_told_as_typed),
        cmocka_unit_test(a_default_that_came_is_that_of_the_job_now),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
