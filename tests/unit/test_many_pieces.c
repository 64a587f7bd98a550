/* test_many_pieces.c - a cut that works on more pieces than are bent one by one: the worst of them
 * is among those. Jobs are invented. */
#include <stdio.h>

#include "support/draft.h"

enum { STRIPS = 9 };

static void add_slot(draft *d, int number, double x0, double y0, double x1, double y1) {
    char section[16];

    snprintf(section, sizeof section, "cut.%d", number);
    add_cut(d, section, "slot", "flat-1mm-2");
    put_point(d, section, "from", x0, y0);
    put_point(d, section, "to", x1, y1);
    put(d, section, "axial", "0.1");
    put(d, section, "through", "yes");
    put(d, section, "chip_load", "0.002 mm/tooth");
}

/* A thin sheet cut into strips of 60 mm: eight wide ones, of which the last loses a snippet, and a
 * narrow one. Then each is drilled in its middle, no two alike, and the narrow one at its end. */
static draft parted(void) {
    draft d = plate(STRIPS * 20 - 11, 60, 0.5);
    char places[TEXT_MAX] = "";
    size_t used = 0;

    put(&d, "hold", "tape", "film");
    for (int s = 1; s < STRIPS; s++) {
        add_slot(&d, s, 20 * s - 0.5, -1, 20 * s - 0.5, 61);
    }
    add_slot(&d, STRIPS, 140, 54.5, 160, 54.5);
    for (int s = 0; s < STRIPS - 1; s++) {
        used += (size_t)snprintf(places + used, sizeof places - used, "%g,%d ", 20 * s + 9.5,
                                 22 + 2 * s);
    }
    snprintf(places + used, sizeof places - used, "149.5,57.5 164.5,2");
    put(&d, "cutter.twist", "id", "drill-1mm");
    put(&d, "cut.10", "operation", "drill");
    put(&d, "cut.10", "cutter", "twist");
    put(&d, "cut.10", "at", places);
    return d;
}

/* As one rigid piece the snippet would be the first to lift, and the narrow strip next to it; bent,
 * the strip lifts at its end with hardly more than that end to hold it. */
static void the_worst_is_among_them(void **state) {
    draft d = parted();
    const th_stage *part;
    answer a;

    (void)state;
    run(&d, false, &a);
    part = stage_of(&a, "cut.10", TH_PIECE_PART);
    assert_near(part->cutter_at.x, 164.5, 1e-9, 0);
    assert_near(part->cutter_at.y, 2, 1e-9, 0);
    assert_true(part->hold_factor < 0.6 * part->area_hold_factor);
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_worst_is_among_them),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
