/* test_floors.c - metal that cuts have thinned: each place has one thickness, the least, wherever
 * on the stock it lies. Against sums of rectangles; jobs are invented. */
#include <math.h>
#include <string.h>

#include "support/bounded.h"

enum { LENGTH = 90, WIDTH = 20, THICK = 6, GRID = 2, LAID = 4 };

typedef struct {
    double x0, y0, x1, y1, thickness;
} laid;

static const th_outline *rectangle(th_shapes *shapes, const laid *of) {
    const th_point corners[4] = {
        {of->x0, of->y0}, {of->x1, of->y0}, {of->x1, of->y1}, {of->x0, of->y1}};
    th_outline made = {.ring_count = 1, .outer_count = 1, .point_count = 4};
    th_point *points = th_arena_take(&made.arena, sizeof corners);
    th_error err;

    made.rings = th_arena_take(&made.arena, sizeof *made.rings);
    assert_true(points && made.rings);
    memcpy(points, corners, sizeof corners);
    made.rings[0] = (th_ring){.points = points, .count = 4};
    return th_shapes_drawn(shapes, &made, &err);
}

static draft bar(void) {
    draft d = plate(LENGTH, WIDTH, THICK);

    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "1");
    return d;
}

/* The thickness left at a place: of what was laid there the least. */
static double least_at(const laid *all, th_point at) {
    double least = THICK;

    for (int i = 0; i < LAID; i++) {
        bool inside = at.x > all[i].x0 && at.x < all[i].x1 && at.y > all[i].y0 && at.y < all[i].y1;
        least = inside ? fmin(least, all[i].thickness) : least;
    }
    return least;
}

/* On even coordinates, so that odd ones lie on no edge. */
static laid thrown(dice *rolled) {
    double x = GRID * floor(between(rolled, 0, LENGTH / GRID - 6));
    double y = GRID * floor(between(rolled, 0, WIDTH / GRID - 3));

    return (laid){x, y, x + GRID * floor(between(rolled, 1, 7)),
                  y + GRID * floor(between(rolled, 1, 4)), floor(between(rolled, 1, THICK))};
}

static void expect_floors(const th_bond_state *state, const laid *all) {
    for (int x = 1; x < LENGTH; x += GRID) {
        for (int y = 1; y < WIDTH; y += GRID) {
            double found = THICK;
            th_point at = {x, y};
            int floors = 0;
            for (size_t i = 0; i < state->floor_count; i++) {
                if (th_outline_holds(state->floors[i].region, at)) {
                    found = state->floors[i].thickness;
                    floors++;
                }
            }
            assert_true(floors <= 1);
            assert_near(found, least_at(all, at), 0, 0);
        }
    }
}

/* Four anywhere, one over the other. */
static void every_place_has_its_least_thickness(void **state) {
    draft d = bar();
    dice rolled = {11};

    (void)state;
    for (int round = 0; round < 20; round++) {
        const th_bond_state *now;
        double thinnest = THICK;
        laid all[LAID];
        bounded at;
        bounded_begin(&d, 0, &at);
        now = th_state_start(&at.ground);
        for (int i = 0; i < LAID; i++) {
            all[i] = thrown(&rolled);
            now = th_state_thinned(
                &at.ground, now,
                (th_floor){rectangle(at.ground.shapes, &all[i]), all[i].thickness, false});
            assert_non_null(now);
            thinnest = fmin(thinnest, all[i].thickness);
            assert_near(now->pieces[0].thinnest, thinnest, 0, 0);
        }
        expect_floors(now, all);
        bounded_end(&at);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_place_has_its_least_thickness),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
