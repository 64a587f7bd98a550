/* test_copies.c - many copies on tape that is not alike under all: not every one is tried, but that
 * which has least of it is. Jobs are invented. */
#include "support/draft.h"

/* The bare one is none of nine that are spread over the row. */
enum { COPIES = 12, BARE = 4, SIDE = 20, PITCH = 30, RIM = 20 };

/* Tape under all of the sheet but a strip across it. */
static void tape_without(double from, double to, th_outline *taped) {
    const double end = PITCH * COPIES + RIM;
    const th_box items[2] = {{-RIM, -RIM, from + RIM, 80, 0, 0}, {to, -RIM, end - to, 80, 0, 0}};
    th_path path = th_path_new(0);

    for (int i = 0; i < 2; i++) {
        th_path_shape(&path, TH_NONZERO, 0);
        th_path_box(&path, &items[i]);
    }
    assert_true(th_region_of_path(&path, taped, NULL));
    th_path_free(&path);
}

/* A sheet so thin that it is weakest where no tape is under it. */
static void the_barest_of_many_is_tried(void **state) {
    const double at = PITCH * (BARE - 1);
    draft d = plate(SIDE, SIDE, 0.5);
    th_outline taped = {0};
    const th_stage *weakest = NULL;
    answer a;

    (void)state;
    add_sheet(&d, PITCH * COPIES - 10 + 2 * RIM, SIDE + 2 * RIM, RIM, RIM);
    put(&d, "part", "copies", "12 x 1");
    put(&d, "part", "pitch", "30 x 30");
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "0.2");
    put(&d, "cut.1", "last_axial", "0.2");
    tape_without(at - 8, at + SIDE + 8, &taped);
    run_taped(&d, &taped, &a);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        const th_stage *stage = &a.check.stages[i];
        if (stage->piece == TH_PIECE_STOCK &&
            (!weakest || stage->hold_factor < weakest->hold_factor)) {
            weakest = stage;
        }
    }
    assert_non_null(weakest);
    assert_int_equal(weakest->copy, BARE);
    answer_free(&a);
    th_outline_free(&taped);
}

/* Of three that are cut out one by one, the last of them with all of its tape, the part that is
 * told of is the middle one: tape lies under half of it. */
static void the_freed_one_with_least_tape_is_told(void **state) {
    const double from = 1.5 * SIDE + 10;
    draft d = plate(SIDE, SIDE, 3);
    th_outline taped = {0};
    answer a;

    (void)state;
    add_sheet(&d, 3 * PITCH - 10 + 2 * RIM, SIDE + 2 * RIM, RIM, RIM);
    put(&d, "part", "copies", "3 x 1");
    put(&d, "part", "pitch", "30 x 30");
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "0.3");
    tape_without(from, PITCH + SIDE + 1, &taped);
    run_taped(&d, &taped, &a);
    assert_int_equal(stage_of(&a, "cut.1", TH_PIECE_PART)->copy, 2);
    answer_free(&a);
    th_outline_free(&taped);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_barest_of_many_is_tried),
        cmocka_unit_test(the_freed_one_with_least_tape_is_told),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
