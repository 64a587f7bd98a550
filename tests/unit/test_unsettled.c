/* test_unsettled.c - soft stock, whose load next to the cutter still rises on the finest grid: the
 * hold factor keeps below what that grid shows. Jobs are invented. */
#include <math.h>

#include "support/draft.h"

static draft faced(const char *thickness) {
    draft d = plate(48, 34, 3);

    put(&d, "part", "thickness", thickness);
    put(&d, "part", "stock", "hdpe");
    put(&d, "hold", "tape", "film");
    put(&d, "hold", "wait", "24 h");
    add_cut(&d, "cut.1", "face", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "radial", "2");
    return d;
}

/* Twice what it moved last is put on top: were every finer grid to move it two thirds as far as the
 * one before, as where it converges with the element's size, all of those to come would add that.
 */
static void twice_the_last_move_is_added(void **state) {
    static const char *const thicknesses[] = {"1", "3", "6", "12"};

    (void)state;
    for (int i = 0; i < 4; i++) {
        draft d = faced(thicknesses[i]);
        th_check_options options = {.taped = NULL};
        const th_stage *stage;
        th_error err;
        answer a;
        th_map map;
        run(&d, false, &a);
        stage = &a.check.stages[a.check.governs];
        assert_true(stage->unsettled > 0.01 && stage->unsettled < 0.2);
        assert_true(th_map_run(a.job, &options, &a.check, &map, &err));
        assert_near(1 / stage->hold_factor, map.field.largest * (1 + 2 * stage->unsettled), 1e-9,
                    0);
        th_map_free(&map);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(twice_the_last_move_is_added),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
