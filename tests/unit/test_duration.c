/* test_duration.c - minutes and passes of cuts, by the length of their paths. Jobs are invented. */
#include <math.h>
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

enum { LENGTH = 80, WIDTH = 50 };
#define FEED 300.0 /* mm/min */
#define TOOL 3.0   /* mm */

typedef struct {
    th_job *job;
    th_check_options options;
    th_arena arena;
    th_judging judging;
    th_ground ground;
} laid;

/* The job on the ground; `outline` NULL: a rectangle. */
static void lay(const draft *d, const th_outline *outline, laid *l) {
    th_error err;

    memset(l, 0, sizeof *l);
    l->job = built(d);
    l->options.outline = outline;
    l->judging.options = &l->options;
    l->judging.shapes = th_shapes_new();
    assert_non_null(l->judging.shapes);
    if (!th_ground_make(l->job, &l->judging, &l->arena, &l->ground, &err)) {
        fail_msg("%s", err.message);
    }
}

static void take_up(laid *l) {
    th_shapes_free(l->judging.shapes);
    th_arena_free(&l->arena);
    th_job_free(l->job);
}

/* Of the job's last cut. */
static th_duration last_of(const draft *d, const th_outline *outline) {
    th_duration found;
    laid l;

    lay(d, outline, &l);
    found = th_duration_of(&l.ground, &l.job->cuts[l.job->cut_count - 1]);
    take_up(&l);
    return found;
}

static void add_fed(draft *d, const char *section, const char *operation) {
    add_cut(d, section, operation, "flat-3mm-2");
    put_number(d, section, "feed", FEED, "mm/min");
    put(d, section, "axial", "0.5");
}

/* 80 x 50 x 3 mm, two of it. */
static draft pair(const char *operation) {
    draft d = plate(LENGTH, WIDTH, 3);

    add_sheet(&d, 220, 90, 30, 20);
    put(&d, "part", "copies", "2 x 1");
    put(&d, "part", "pitch", "90 x 60");
    add_fed(&d, "cut.1", operation);
    put(&d, "cut.1", "depth", "1.2"); /* 0.5, 0.5 and 0.2 mm */
    return d;
}

/* ---- outlines ---------------------------------------------------------------------------------
 */

enum { BORE = 16 };

/* 80 x 50 mm with two round openings, 40 mm apart. */
static void openings(double across, th_outline *outline) {
    th_path path = th_path_new(1e-4);

    th_path_shape(&path, TH_NONZERO, 0);
    th_path_box(&path, &(th_box){0, 0, LENGTH, WIDTH, 0, 0});
    for (int i = 0; i < 2; i++) {
        th_path_shape(&path, TH_NONZERO, 0);
        th_path_ellipse(&path, (th_point){20 + 40.0 * i, 25}, across / 2, across / 2);
    }
    assert_true(th_path_finish(&path, outline, NULL));
    th_path_free(&path);
}

static void add_through(draft *d, const char *section) {
    add_fed(d, section, "outline");
    put(d, section, "radial", "3");
    put(d, section, "last_axial", "0.5");
    put_number(d, section, "last_feed", FEED, "mm/min");
}

static draft cut_out(void) {
    draft d = plate(LENGTH, WIDTH, 3);

    put(&d, "part", "outline", "shape.svg");
    add_sheet(&d, 140, 90, 30, 20);
    return d;
}

/* `at` in the part: where a hole is bored before the outline; NULL: none. */
static th_duration rounded(const char *at, const char *size, bool sheet) {
    th_outline outline;
    draft d = cut_out();
    th_duration found;

    if (!sheet) {
        drop(&d, "part", "sheet_length");
        drop(&d, "part", "sheet_width");
        drop(&d, "part", "sheet_x");
        drop(&d, "part", "sheet_y");
    }
    if (at) {
        add_fed(&d, "cut.1", "hole");
        put(&d, "cut.1", "at", at);
        put(&d, "cut.1", "size", size);
        put(&d, "cut.1", "through", "yes");
    }
    add_through(&d, "cut.2");
    openings(BORE, &outline);
    found = last_of(&d, &outline);
    th_outline_free(&outline);
    return found;
}

/* Six passes of 0.5 mm, half a tool outside of the part and inside of its openings; what has been
 * bored whole is not milled again. */
static void an_outline_goes_round_outside_and_inside(void **state) {
    double outside = 2 * (LENGTH + WIDTH) + 4 * TOOL, inside = TH_PI * (BORE - TOOL);
    th_duration all = rounded(NULL, NULL, true);

    (void)state;
    assert_near(all.passes, 6, 0, 0);
    assert_near(all.cutting, 6 * (outside + 2 * inside) / FEED, 1e-4, 0);
    assert_near(rounded(NULL, NULL, false).cutting, 6 * outside / FEED, 1e-4, 0);
    /* bored there, too small, and elsewhere */
    assert_near(rounded("20,25", "16", true).cutting, 6 * (outside + inside) / FEED, 1e-4, 0);
    assert_near(rounded("60,25", "16", true).cutting, 6 * (outside + inside) / FEED, 1e-4, 0);
    assert_near(rounded("20,25", "12", true).cutting, all.cutting, 1e-9, 0);
    /* as wide as the opening but for what a drawing may be off by, and not */
    assert_near(rounded("20,25", "15.85", true).cutting, 6 * (outside + inside) / FEED, 1e-4, 0);
    assert_near(rounded("20,25", "15.75", true).cutting, all.cutting, 1e-9, 0);
    assert_near(rounded("20,8", "16", true).cutting, all.cutting, 1e-9, 0);
    assert_near(rounded("40,25", "16", true).cutting, all.cutting, 1e-9, 0);
    assert_near(rounded("20,25 60,25", "16", true).cutting, 6 * outside / FEED, 1e-4, 0);
}

/* Into an opening narrower than the tool it does not go; one that a drill has made is done, one
 * that will be bored later is not. */
static void small_openings_are_left_to_others(void **state) {
    double outside = 2 * (LENGTH + WIDTH) + 4 * TOOL;
    th_outline narrow, drilled, bored;
    draft d = cut_out(), first = d, later = d;
    th_duration found;
    laid l;

    (void)state;
    openings(2.5, &narrow);
    openings(6, &drilled);
    openings(BORE, &bored);
    add_through(&d, "cut.1");
    assert_near(last_of(&d, &narrow).cutting, 6 * outside / FEED, 1e-4, 0);
    put(&first, "cutter.twist", "id", "drill-6mm");
    put(&first, "cut.1", "operation", "drill");
    put(&first, "cut.1", "cutter", "twist");
    put(&first, "cut.1", "at", "20,25 60,25");
    put(&first, "cut.1", "speed", "3000");
    put_number(&first, "cut.1", "feed", FEED, "mm/min");
    add_through(&first, "cut.2");
    assert_near(last_of(&first, &drilled).cutting, 6 * outside / FEED, 1e-4, 0);
    add_through(&later, "cut.1");
    add_fed(&later, "cut.2", "hole");
    put(&later, "cut.2", "at", "20,25 60,25");
    put(&later, "cut.2", "size", "16");
    lay(&later, &bored, &l);
    found = th_duration_of(&l.ground, &l.job->cuts[0]);
    assert_near(found.cutting, 6 * (outside + 2 * TH_PI * (BORE - TOOL)) / FEED, 1e-4, 0);
    take_up(&l);
    th_outline_free(&narrow);
    th_outline_free(&drilled);
    th_outline_free(&bored);
}

/* The lap that frees the part at a feed of its own, twice where a finishing lap is left for it; all
 * of it for every copy. */
static void the_freeing_lap_is_counted_apart(void **state) {
    double lap = 2 * (2 * (LENGTH + WIDTH) + 4 * TOOL);
    draft d = pair("outline"), thin;
    th_duration found;

    (void)state;
    drop(&d, "cut.1", "depth");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "last_axial", "1");
    put_number(&d, "cut.1", "last_feed", FEED / 2, "mm/min");
    found = last_of(&d, NULL);
    assert_near(found.passes, 5, 0, 0); /* four of 0.5 mm, then 1 mm and what is below */
    assert_near(found.cutting, lap * (4 / FEED + 2 / FEED), 1e-9, 0);
    thin = d;
    put(&d, "cut.1", "finish", "0.2");
    assert_near(last_of(&d, NULL).cutting, found.cutting + lap * 2 / FEED, 1e-9, 0);
    put(&thin, "part", "thickness", "0.8"); /* one pass takes all of it */
    put(&thin, "cut.1", "last_axial", "0.8");
    assert_near(last_of(&thin, NULL).passes, 1, 0, 0);
    assert_near(last_of(&thin, NULL).cutting, lap * 2 / FEED, 1e-9, 0);
}

/* What follows a drawing or the part's edge is as long as that, once for every copy. */
static void lines_are_followed_once(void **state) {
    draft engraved = pair("engrave"), edge = pair("chamfer");

    (void)state;
    put(&engraved, "cut.1", "depth", "0.2");
    put(&engraved, "cut.1", "length", "120");
    drop(&engraved, "cut.1", "axial");
    assert_near(last_of(&engraved, NULL).cutting, 2 * 120 / FEED, 1e-12, 0);
    put(&edge, "cutter.em", "id", "chamfer-6mm-90");
    drop(&edge, "cut.1", "axial");
    drop(&edge, "cut.1", "depth");
    put(&edge, "cut.1", "width", "0.2");
    assert_near(last_of(&edge, NULL).cutting, 2 * 2 * (LENGTH + WIDTH) / FEED, 1e-12, 0);
}

/* ---- other cuts -------------------------------------------------------------------------------
 */

static void straight_paths_are_as_long_as_they_are_drawn(void **state) {
    draft slot = pair("slot"), face = pair("face"), bare = plate(LENGTH, WIDTH, 3), rested;
    th_duration found;

    (void)state;
    put(&slot, "cut.1", "from", "10,10");
    put(&slot, "cut.1", "to", "40,50"); /* 30 and 40 are 50 */
    found = last_of(&slot, NULL);
    assert_near(found.passes, 3, 0, 0);
    assert_near(found.cutting, 2 * 3 * 50 / FEED, 1e-12, 0);
    assert_near(found.minutes, found.cutting, 1e-12, 0);
    rested = slot;
    put(&rested, "cut.1", "rest", "30 s"); /* between passes: twice */
    assert_near(last_of(&rested, NULL).minutes, found.minutes + 1, 1e-12, 0);
    put(&face, "cut.1", "radial", "2"); /* over the sheet: 45 rows, three levels */
    found = last_of(&face, NULL);
    assert_near(found.passes, 45 * 3, 0, 0);
    assert_near(found.cutting, 45 * 3 * (220 + TOOL) / FEED, 1e-12, 0);
    add_fed(&bare, "cut.1", "face");
    put(&bare, "cut.1", "radial", "2");
    put(&bare, "cut.1", "depth", "0.4");
    assert_near(last_of(&bare, NULL).cutting, 25 * (LENGTH + TOOL) / FEED, 1e-12, 0);
}

/* 41 x 25 mm and 23 mm across, 38 and 20 mm of it for the middle of the tool. */
static void a_pocket_is_cleared_in_strips(void **state) {
    draft d = pair("pocket"), round;
    double strips = 38 * (ceil(22 / 1.5) + 1);
    th_duration found;

    (void)state;
    put(&d, "cut.1", "at", "40,25");
    put(&d, "cut.1", "radial", "1.5");
    put(&d, "cut.1", "size", "41 x 25");
    round = d;
    found = last_of(&d, NULL);
    assert_near(found.cutting, 2 * 3 * strips / FEED, 1e-12, 0);
    put(&d, "cut.1", "finish", "0.2"); /* one lap more along the wall */
    assert_near(last_of(&d, NULL).passes, found.passes + 1, 0, 0);
    assert_near(last_of(&d, NULL).cutting, found.cutting + 2 * 2 * (38 + 22) / FEED, 1e-12, 0);
    /* an area swept by strips of the stepover */
    put(&round, "cut.1", "size", "23");
    found = last_of(&round, NULL);
    assert_near(found.cutting, 2 * 3 * TH_PI * 20 * 20 / 4 / 1.5 / FEED, 1e-12, 0);
    put(&round, "cut.1", "finish", "0.2");
    assert_near(last_of(&round, NULL).cutting, found.cutting + 2 * TH_PI * 20 / FEED, 1e-9, 0);
    drop(&round, "cut.1", "finish");
    /* a slit as wide as the tool: to and fro along it is the wall */
    put(&round, "cut.1", "size", "41 x 3");
    put(&round, "cut.1", "axial", "0.1");
    assert_near(last_of(&round, NULL).cutting, 2 * 12 * 2 * 38 / FEED, 1e-12, 0);
}

static void a_push_takes_no_time(void **state) {
    static const double force[3] = {10, 0, 0};
    draft d = plate(LENGTH, WIDTH, 3);
    th_duration found;

    (void)state;
    add_push(&d, "cut.1", force, 40, 25);
    found = last_of(&d, NULL);
    assert_true(found.passes == 0 && found.cutting == 0 && found.minutes == 0);
}

/* In so small a pocket a ramp of 0.5 mm at 5 degrees is longer than the clearing. */
static void a_tight_pocket_takes_its_ramp_first(void **state) {
    draft d = pair("pocket");
    double ramp = 0.5 / tan(5 * TH_PI / 180), wall = 2 * (1 + 1);

    (void)state;
    put(&d, "cut.1", "at", "40,25");
    put(&d, "cut.1", "radial", "1.5");
    put(&d, "cut.1", "size", "4 x 4");
    assert_near(last_of(&d, NULL).cutting, 2 * 3 * (ramp + wall) / FEED, 1e-9, 0);
}

/* A turn for every 0.5 mm, and one that levels the ground. */
static void holes_are_gone_round_and_drilled(void **state) {
    draft d = pair("hole"), drilled = plate(LENGTH, WIDTH, 3);
    th_duration found;
    double out;

    (void)state;
    put(&d, "cut.1", "at", "20,25 60,25 40,10");
    put(&d, "cut.1", "size", "10");
    put(&d, "cut.1", "through", "no");
    found = last_of(&d, NULL);
    assert_near(found.passes, 4, 0, 0);
    assert_near(found.cutting, 2 * 3 * 4 * TH_PI * (10 - TOOL) / FEED, 1e-12, 0);
    put(&drilled, "cutter.twist", "id", "drill-3mm");
    put(&drilled, "cut.1", "operation", "drill");
    put(&drilled, "cut.1", "cutter", "twist");
    put(&drilled, "cut.1", "at", "20,25 60,25");
    put(&drilled, "cut.1", "speed", "3000");
    put(&drilled, "cut.1", "through", "no");
    put(&drilled, "cut.1", "depth", "2");
    put_number(&drilled, "cut.1", "feed", FEED, "mm/min");
    found = last_of(&drilled, NULL);
    assert_near(found.cutting, 2 * 2 / FEED, 1e-12, 0);
    assert_near(found.minutes, found.cutting, 1e-12, 0);
    put(&drilled, "cut.1", "peck", "1"); /* out once in each hole: that alone is longer */
    out = last_of(&drilled, NULL).minutes - found.minutes;
    assert_near(last_of(&drilled, NULL).cutting, found.cutting, 1e-12, 0);
    put(&drilled, "cut.1", "at", "20,25 60,25 40,10 30,40");
    assert_true(out > 0);
    found = last_of(&drilled, NULL);
    assert_near(found.minutes - found.cutting, 2 * out, 1e-9, 0);
}

/* However short: round in a pocket a tenth of a millimetre wider than the tool it is less than a
 * millimetre long. */
static void a_short_lap_is_a_pass_too(void **state) {
    draft d = plate(LENGTH, WIDTH, 3);
    double passes;

    (void)state;
    add_fed(&d, "cut.1", "pocket");
    put(&d, "cut.1", "depth", "1.2");
    put(&d, "cut.1", "at", "40,25");
    put(&d, "cut.1", "radial", "1.5");
    put(&d, "cut.1", "size", "3.1");
    passes = last_of(&d, NULL).passes;
    put(&d, "cut.1", "finish", "0.05");
    assert_near(last_of(&d, NULL).passes, passes + 1, 0, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_outline_goes_round_outside_and_inside),
        cmocka_unit_test(the_freeing_lap_is_counted_apart),
        cmocka_unit_test(lines_are_followed_once),
        cmocka_unit_test(straight_paths_are_as_long_as_they_are_drawn),
        cmocka_unit_test(a_pocket_is_cleared_in_strips),
        cmocka_unit_test(small_openings_are_left_to_others),
        cmocka_unit_test(a_push_takes_no_time),
        cmocka_unit_test(a_tight_pocket_takes_its_ramp_first),
        cmocka_unit_test(holes_are_gone_round_and_drilled),
        cmocka_unit_test(a_short_lap_is_a_pass_too),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
