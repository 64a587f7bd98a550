/* test_unlike.c - copies and pieces that are not alike: each is judged by what holds it. Jobs are
 * invented; expected figures follow from the same job turned by half a turn, or from another job.
 */
#include <math.h>
#include <stdio.h>

#include "support/draft.h"

/* A hold factor comes from a grid that was refined until the index moved less than 1 %. */
#define SETTLES 0.01

static void boxes(const th_box *items, size_t count, th_outline *taped) {
    th_path path = th_path_new(0);

    for (size_t i = 0; i < count; i++) {
        th_path_shape(&path, TH_NONZERO, 0);
        th_path_box(&path, &items[i]);
    }
    assert_true(th_region_of_path(&path, taped, NULL));
    th_path_free(&path);
}

/* Parts of 60 x 40 mm in one row, 80 mm apart, 20 mm from either end of a sheet. */
static draft row_of(int copies) {
    draft d = plate(60, 40, 3);
    char text[TEXT_MAX];

    add_sheet(&d, 80 * copies + 20, 60, 20, 10);
    snprintf(text, sizeof text, "%d x 1", copies);
    put(&d, "part", "copies", text);
    put(&d, "part", "pitch", "80 x 50");
    return d;
}

static void add_outline(draft *d, const char *section) {
    add_cut(d, section, "outline", "flat-3mm-2");
    put(d, section, "radial", "3");
    put(d, section, "axial", "0.2");
    put(d, section, "last_axial", "0.2");
    put(d, section, "chip_load", "0.012 mm/tooth");
}

static void add_slot(draft *d, const char *section, double x0, double y0, double x1, double y1) {
    add_cut(d, section, "slot", "flat-3mm-2");
    put_point(d, section, "from", x0, y0);
    put_point(d, section, "to", x1, y1);
    put(d, section, "axial", "0.2");
    put(d, section, "through", "yes");
}

static void add_pocket(draft *d, const char *section, const char *at, const char *size,
                       const char *depth) {
    add_cut(d, section, "pocket", "flat-3mm-2");
    put(d, section, "radial", "1.5");
    put(d, section, "axial", "0.2");
    put(d, section, "depth", depth);
    put(d, section, "size", size);
    put(d, section, "at", at);
}

/* ---- tape ------------------------------------------------------------------------------------ */

static void a_copy_without_tape_is_never_passed_over(void **state) {
    (void)state;
    for (int bare = 1; bare <= 3; bare++) {
        double at = 80 * (bare - 1);
        const th_box items[2] = {{-20, -10, at - 2 + 20, 60, 0, 0},
                                 {at + 62, -10, 240 - at - 62, 60, 0, 0}};
        draft d = row_of(3);
        th_outline taped = {0};
        const th_stage *freed;
        answer a;
        boxes(items, 2, &taped);
        add_outline(&d, "cut.1");
        run_taped(&d, &taped, &a);
        freed = stage_of(&a, "cut.1", TH_PIECE_PART);
        assert_int_equal(freed->copy, bare);
        assert_near(freed->hold_factor, 0, 0, 0);
        assert_near(a.check.hold_factor, 0, 0, 0);
        answer_free(&a);
        th_outline_free(&taped);
    }
}

/* Half a turn about the middle of the sheet brings one of two copies onto the other. */
static void a_hardly_taped_copy_counts_wherever_it_is(void **state) {
    static const th_box first[2] = {{-20, -10, 40, 60, 0, 0}, {70, -10, 90, 60, 0, 0}};
    static const th_box last[2] = {{-20, -10, 90, 60, 0, 0}, {120, -10, 40, 60, 0, 0}};
    double factors[2], areas[2];

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = row_of(2);
        th_outline taped = {0};
        const th_stage *freed;
        answer a;
        boxes(i ? last : first, 2, &taped);
        add_outline(&d, "cut.1");
        run_taped(&d, &taped, &a);
        freed = stage_of(&a, "cut.1", TH_PIECE_PART);
        assert_int_equal(freed->copy, i + 1);
        factors[i] = freed->hold_factor;
        areas[i] = freed->bonded_area;
        answer_free(&a);
        th_outline_free(&taped);
    }
    assert_near(areas[0], 0.9 * 800, 1e-9, 0);
    assert_near(areas[1], 0.9 * 800, 1e-9, 0);
    assert_near(factors[0], factors[1], SETTLES, 0);
}

/* What follows the outline: the second of five copies, neither first nor outermost. */
static void later_cuts_find_the_hardly_taped_copy(void **state) {
    static const th_box items[2] = {{-20, -10, 122, 60, 0, 0}, {150, -10, 250, 60, 0, 0}};
    draft d = row_of(5);
    th_outline taped = {0};
    answer a;

    (void)state;
    boxes(items, 2, &taped);
    add_outline(&d, "cut.1");
    put(&d, "cutter.cone", "id", "point-3mm-60");
    put(&d, "cut.2", "operation", "chamfer");
    put(&d, "cut.2", "cutter", "cone");
    put(&d, "cut.2", "width", "0.3");
    add_pocket(&d, "cut.3", "30,20", "20 x 20", "1");
    run_taped(&d, &taped, &a);
    for (int i = 1; i <= 3; i++) {
        char section[16];
        snprintf(section, sizeof section, "cut.%d", i);
        assert_int_equal(stage_of(&a, section, TH_PIECE_PART)->copy, 2);
        assert_near(stage_of(&a, section, TH_PIECE_PART)->bonded_area, 0.9 * 40 * 22, 1e-9, 0);
    }
    answer_free(&a);
    th_outline_free(&taped);
}

/* ---- earlier cuts ---------------------------------------------------------------------------- */

/* A slot of every copy reaches into the next one, where little is left beside that one's own. */
static void a_slot_that_reaches_the_neighbour_weakens_it(void **state) {
    double factors[2], areas[2];

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = row_of(2);
        answer a;
        put(&d, "part", "pitch", "63.2 x 50");
        put(&d, "part", "sheet_length", "163.2");
        add_slot(&d, "cut.1", i ? 12 : 48, 20, i ? 66 : -6, 20);
        put(&d, "cutter.wide", "id", "flat-6mm-3");
        put(&d, "cut.1", "cutter", "wide");
        add_outline(&d, "cut.2");
        run(&d, false, &a);
        assert_int_equal(stage_of(&a, "cut.2", TH_PIECE_PART)->copy, i ? 2 : 1);
        factors[i] = stage_of(&a, "cut.2", TH_PIECE_PART)->hold_factor;
        areas[i] = stage_of(&a, "cut.2", TH_PIECE_PART)->bonded_area;
        answer_free(&a);
    }
    assert_near(areas[0], areas[1], 1e-6, 0);
    assert_near(factors[0], factors[1], SETTLES, 0);
}

/* The last metal is too thin to count, so that the pass above it meets a freed copy in a sheet
 * where others are still to be cut: the sheet is loaded across the kerf. */
static void a_sheet_is_loaded_where_it_is(void **state) {
    draft d = plate(20, 14, 2);
    answer a;

    (void)state;
    add_sheet(&d, 300, 240, 10, 10);
    put(&d, "part", "copies", "3 x 2");
    put(&d, "part", "pitch", "28 x 22");
    add_outline(&d, "cut.1");
    put(&d, "cut.1", "last_axial", "0.15");
    run(&d, false, &a);
    assert_true(stage_of(&a, "cut.1", TH_PIECE_STOCK)->hold_factor > 0);
    assert_true(stage_of(&a, "cut.1", TH_PIECE_PART)->hold_factor > 0);
    answer_free(&a);
}

/* ---- tabs ------------------------------------------------------------------------------------ */

/* Where the kerf round the part runs: along y or x. */
static void saw(draft *d, const char *section, int side) {
    static const double at[4][4] = {
        {0, -1.5, 70, -1.5}, {0, 47.5, 70, 47.5}, {-1.5, 0, -1.5, 46}, {71.5, 0, 71.5, 46}};

    add_slot(d, section, at[side][0], at[side][1], at[side][2], at[side][3]);
}

static draft on_tabs(const char *outline, const char *tabs) {
    draft d = plate(70, 46, 3);

    add_sheet(&d, 110, 86, 20, 20);
    add_outline(&d, outline);
    if (tabs) {
        put(&d, outline, "tabs", tabs);
        put(&d, outline, "tab_height", "1.5");
    }
    return d;
}

/* Of the pocket at the end, after so many slots along the sides. */
static double pocket_after(int sawn, const char *tabs) {
    draft d = on_tabs("cut.1", tabs);
    double factor;
    answer a;

    put(&d, "hold", "cutting_time", "60 s");
    for (int i = 0; i < sawn; i++) {
        char section[16];
        snprintf(section, sizeof section, "cut.%d", i + 2);
        saw(&d, section, i);
    }
    add_pocket(&d, "cut.9", "35,23", "60 x 36", "1");
    run(&d, false, &a);
    factor = stage_of(&a, "cut.9", TH_PIECE_PART)->hold_factor;
    answer_free(&a);
    return factor;
}

static void a_sawn_tab_holds_no_more(void **state) {
    double whole = pocket_after(0, "4 x 4"), half = pocket_after(2, "4 x 4");
    double none = pocket_after(4, "4 x 4"), never = pocket_after(4, NULL);

    (void)state;
    assert_near(none, never, 1e-9, 0);
    assert_true(half < whole);
    assert_true(none < half * 0.8);
}

/* There is no metal left to make the tabs of. */
static void a_kerf_that_is_there_first_leaves_no_tab(void **state) {
    double factors[2];

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = on_tabs("cut.9", i ? "4 x 4" : NULL);
        answer a;
        for (int side = 0; side < 4; side++) {
            char section[16];
            snprintf(section, sizeof section, "cut.%d", side + 1);
            saw(&d, section, side);
        }
        run(&d, false, &a);
        factors[i] = stage_of(&a, "cut.9", TH_PIECE_PART)->hold_factor;
        answer_free(&a);
    }
    assert_near(factors[0], factors[1], 1e-9, 0);
}

/* A pass over the tabs that goes below their top takes them away; one above it does not. */
static void a_low_face_takes_the_tabs(void **state) {
    static const char *const depths[3] = {"0.4", "1.8", "1.8"};
    double factors[3];

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = on_tabs("cut.1", i < 2 ? "4 x 4" : NULL);
        answer a;
        put(&d, "hold", "cutting_time", "60 s");
        add_cut(&d, "cut.2", "face", "flat-3mm-2");
        put(&d, "cut.2", "radial", "1.5");
        put(&d, "cut.2", "axial", "0.2");
        put(&d, "cut.2", "depth", depths[i]);
        add_pocket(&d, "cut.3", "35,23", "20 x 20", i ? "2.2" : "0.8");
        run(&d, false, &a);
        factors[i] = stage_of(&a, "cut.3", TH_PIECE_PART)->hold_factor;
        answer_free(&a);
    }
    assert_near(factors[1], factors[2], 1e-9, 0);
    assert_true(factors[0] > factors[1] * 1.2);
}

/* ---- floors ---------------------------------------------------------------------------------- */

/* Halves of a plate with pockets of unequal size to one depth: half a turn brings one job onto the
 * other. */
static void the_half_with_the_larger_pocket_governs(void **state) {
    static const char *const at[2] = {"50,40", "150,40"};
    double factors[2];

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = plate(200, 80, 3);
        answer a;
        add_slot(&d, "cut.1", 100, 0, 100, 80);
        add_pocket(&d, "cut.2", at[i], "8 x 8", "2.6");
        add_pocket(&d, "cut.3", at[1 - i], "70 x 60", "2.6");
        add_cut(&d, "cut.4", "face", "flat-3mm-2");
        put(&d, "cut.4", "radial", "2");
        put(&d, "cut.4", "axial", "0.2");
        put(&d, "cut.4", "depth", "0.2");
        run(&d, false, &a);
        factors[i] = stage_of(&a, "cut.4", TH_PIECE_PART)->hold_factor;
        answer_free(&a);
    }
    assert_near(factors[0], factors[1], SETTLES, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_copy_without_tape_is_never_passed_over),
        cmocka_unit_test(a_hardly_taped_copy_counts_wherever_it_is),
        cmocka_unit_test(later_cuts_find_the_hardly_taped_copy),
        cmocka_unit_test(a_slot_that_reaches_the_neighbour_weakens_it),
        cmocka_unit_test(a_sheet_is_loaded_where_it_is),
        cmocka_unit_test(a_sawn_tab_holds_no_more),
        cmocka_unit_test(a_kerf_that_is_there_first_leaves_no_tab),
        cmocka_unit_test(a_low_face_takes_the_tabs),
        cmocka_unit_test(the_half_with_the_larger_pocket_governs),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
