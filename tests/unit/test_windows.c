/* test_windows.c - a large sheet solved window by window: how it is parted, by the spots that come
 * together. */
#include <math.h>

#include "plate_system.h"
#include "support/near.h"

enum { ACROSS = 60, SPOTS = 3 * ACROSS };

typedef struct {
    double least, most; /* along x, of the spots of the window at hand (mm) */
    double gap;         /* between neighbouring spots (mm) */
    double widest, narrowest;
    size_t windows, spots;
    bool seen[SPOTS];
} parting;

/* Widths as the spots tell them: one more gap than lies between the outermost. */
static bool note_window(void *context, const th_plate_window *window, th_error *err) {
    parting *p = context;
    double least = INFINITY, most = -INFINITY;

    (void)err;
    for (size_t s = 0; s < window->count; s++) {
        least = fmin(least, window->spots[s].x);
        most = fmax(most, window->spots[s].x);
        p->spots += !p->seen[window->order[s]];
        p->seen[window->order[s]] = true;
    }
    p->widest = fmax(p->widest, most - least + p->gap);
    p->narrowest = fmin(p->narrowest, most - least + p->gap);
    p->windows++;
    return true;
}

/* A sheet so many bending lengths long, spots all along it in three rows. */
static parting part(double lengths, double *bend) {
    th_plate_sheet sheet = {.y1 = 8, .thickness = 2, .coverage = 1};
    th_plate_spot spots[SPOTS];
    parting p = {.narrowest = INFINITY};
    th_error err;

    sheet.material = (th_plate_material){70000, 0.33, 0.5, 0.8, 1};
    *bend = th_plate_bending_length(&sheet);
    sheet.x0 = 12;
    sheet.x1 = sheet.x0 + lengths * *bend;
    p.gap = lengths * *bend / ACROSS;
    for (size_t s = 0; s < SPOTS; s++) {
        double x = sheet.x0 + p.gap * ((double)(s % ACROSS) + 0.5);
        spots[s] = (th_plate_spot){x, 2 + 2 * (double)(s / ACROSS), 1};
    }
    assert_true(th_plate_each_window(&sheet, spots, SPOTS, NULL, note_window, &p, &err));
    return p;
}

/* Every spot is in a window, and all windows are as wide as one another, within a spot on either
 * side. How wide hangs little on how long the sheet is: the widest of all is never twice the
 * narrowest, so that none grows too large to be solved. */
static void windows_are_of_one_size(void **state) {
    double widest = 0, narrowest = INFINITY;

    (void)state;
    for (int i = 0; i < 20; i++) {
        double bend, lengths = 20 + 4 * i;
        parting p = part(lengths, &bend);
        assert_int_equal(p.spots, SPOTS);
        assert_true(p.windows > 1);
        assert_true(p.widest - p.narrowest < 1.01 * p.gap);
        widest = fmax(widest, lengths / (double)p.windows);
        narrowest = fmin(narrowest, lengths / (double)p.windows);
    }
    assert_true(widest < 2 * narrowest);
}

/* A small sheet is one window. */
static void a_small_sheet_is_one_window(void **state) {
    double bend;

    (void)state;
    for (int i = 1; i < 8; i++) {
        assert_int_equal(part(i, &bend).windows, 1);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(windows_are_of_one_size),
        cmocka_unit_test(a_small_sheet_is_one_window),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
