/* test_floors.c - metal that cuts have thinned: each place has one thickness, the least, wherever
 * on the stock it lies. Against sums of rectangles; jobs are invented. */
#include <math.h>
#include <string.h>

#include "../../src/advice/warmth.h"
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

/* What a cut makes of a bar that has been thinned to `left` all over (C). */
static th_lump_state warmed(double thickness, double left) {
    const laid all = {0, 0, LENGTH, WIDTH, left};
    const th_warming warming = {{{20, 0.02, 3, 1, 1, 600}}, 1};
    draft d = bar();
    th_warmed_cut of = {.warming = &warming, .start = {22, 22}};
    th_warmth warmth;
    bounded at;

    put_length(&d, "part", "thickness", thickness);
    bounded_begin(&d, 0, &at);
    of.cut = at.b.cut;
    of.before = of.after =
        th_state_thinned(&at.ground, th_state_start(&at.ground),
                         (th_floor){rectangle(at.ground.shapes, &all), left, false});
    assert_non_null(of.before);
    assert_true(th_warmth_of(&at.ground, &of, &warmth, NULL));
    bounded_end(&at);
    return warmth.end;
}

/* Heat spreads in what is left: a bar thinned all over, down to a fifth, gets as warm as one that
 * was as thin to begin with, and thinner ones no cooler. */
static void what_is_left_takes_the_heat(void **state) {
    static const double shares[] = {0.9, 0.5, 0.3, 0.24, 0.21};
    double last = 22;

    (void)state;
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        th_lump_state now = warmed(THICK, shares[i] * THICK);
        th_lump_state thin = warmed(shares[i] * THICK, shares[i] * THICK);
        assert_near(now.part, thin.part, 1e-9, 0);
        assert_near(now.plate, thin.plate, 1e-9, 0);
        assert_true(now.part > last + 1e-3);
        last = now.part;
    }
    assert_true(warmed(THICK, 0.1 * THICK).part >= last);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_place_has_its_least_thickness),
        cmocka_unit_test(what_is_left_takes_the_heat),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
