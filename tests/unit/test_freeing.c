/* test_freeing.c - the pass that frees a part works right above its tape. Jobs are invented. */
#include <math.h>

#include "support/draft.h"

enum { LENGTH = 40, WIDTH = 30 };
#define AXIAL 0.3
#define COVERAGE 0.9

/* Straight flutes push within the plane alone: what they lift is their force times its height above
 * the tape, at most that of the pass, M c/I on either axis. */
static void it_pushes_low(void **state) {
    double strong = COVERAGE * LENGTH * LENGTH * LENGTH * WIDTH / 12;
    double weak = COVERAGE * LENGTH * WIDTH * WIDTH * WIDTH / 12;
    draft d = plate(LENGTH, WIDTH, 3);
    const th_stage *part;
    double moment;
    answer a;

    (void)state;
    add_sheet(&d, 90, 80, 25, 25);
    put(&d, "machine", "peak_ratio", "1");
    add_cut(&d, "cut.1", "outline", "flat-6mm-2-straight");
    put(&d, "cut.1", "radial", "6");
    put_length(&d, "cut.1", "axial", AXIAL);
    run(&d, false, &a);
    part = stage_of(&a, "cut.1", TH_PIECE_PART);
    moment = part->in_plane_peak * AXIAL;
    assert_near(part->lift_peak, 0, 0, 1e-9 * part->in_plane_peak);
    assert_true(part->area_lift_peak > 0);
    assert_true(part->area_lift_peak <= moment * (LENGTH / 2 / strong + WIDTH / 2 / weak));
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_pushes_low),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
