/* test_shapes.c - regions kept for all judgements of a check: what is the same is kept once, what
 * is not is kept apart. */
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/near.h"

enum { POINTS = 8 };

/* A square about another, or two squares beside each other: rings of four points each. */
static th_outline two_squares(double x, bool hole) {
    const th_point places[POINTS] = {{0, 0}, {9, 0}, {9, 9},     {0, 9},
                                     {x, 3}, {x, 6}, {x + 3, 6}, {x + 3, 3}};
    th_outline made = {.ring_count = 2, .outer_count = hole ? 1 : 2, .point_count = POINTS};
    th_point *points = th_arena_take(&made.arena, sizeof places);

    made.rings = th_arena_take(&made.arena, 2 * sizeof *made.rings);
    assert_true(points && made.rings);
    memcpy(points, places, sizeof places);
    made.rings[0] = (th_ring){.points = points, .count = 4};
    made.rings[1] = (th_ring){.points = points + 4, .count = 4, .hole = hole};
    return made;
}

static const th_outline *kept(th_shapes *shapes, double x, bool hole) {
    th_outline made = two_squares(x, hole);
    th_error err;
    const th_outline *given = th_shapes_drawn(shapes, &made, &err);

    assert_non_null(given);
    assert_null(made.rings); /* it is theirs now */
    return given;
}

/* By the same points, and by the same side of them. */
static void the_same_is_kept_once(void **state) {
    th_shapes *shapes = th_shapes_new();
    const th_outline *opened, *other;

    (void)state;
    assert_non_null(shapes);
    opened = kept(shapes, 3, true);
    assert_ptr_equal(kept(shapes, 3, true), opened);
    other = kept(shapes, 3.5, true);
    assert_ptr_not_equal(other, opened);
    assert_ptr_equal(kept(shapes, 3.5, true), other);
    assert_ptr_equal(kept(shapes, 3, true), opened);
    th_shapes_free(shapes);
}

/* Metal within a ring is not what an opening is. */
static void an_opening_is_no_metal(void **state) {
    th_shapes *shapes = th_shapes_new();
    const th_outline *opened, *filled;

    (void)state;
    assert_non_null(shapes);
    opened = kept(shapes, 3, true);
    filled = kept(shapes, 3, false);
    assert_ptr_not_equal(filled, opened);
    assert_true(opened->rings[1].hole && !filled->rings[1].hole);
    assert_ptr_equal(kept(shapes, 3, false), filled);
    assert_ptr_equal(kept(shapes, 3, true), opened);
    th_shapes_free(shapes);
}

/* What is the same in another place is so whichever ring, and whichever corner of it, comes first;
 * moved by less than all of the way it is not. */
static void moved_rings_may_come_in_any_order(void **state) {
    static const th_point by = {31.5, -7.25};
    th_outline a = two_squares(3, true), b = two_squares(3, true);
    th_ring outer = b.rings[0];
    th_point first = outer.points[0];

    (void)state;
    for (size_t i = 0; i + 1 < outer.count; i++) { /* another corner first */
        outer.points[i] = outer.points[i + 1];
    }
    outer.points[outer.count - 1] = first;
    for (size_t i = 0; i < POINTS; i++) {
        b.rings[0].points[i].x += by.x;
        b.rings[0].points[i].y += by.y;
    }
    assert_true(th_region_same(&a, &b, by));
    b.rings[0] = b.rings[1];
    b.rings[1] = outer;
    assert_true(th_region_same(&a, &b, by));
    assert_true(th_region_same(&b, &a, (th_point){-by.x, -by.y}));
    assert_false(th_region_same(&a, &b, (th_point){by.x, by.y + 0.01}));
    b.rings[0].points[2].x += 0.01;
    assert_false(th_region_same(&a, &b, by));
    th_arena_free(&a.arena);
    th_arena_free(&b.arena);
}

/* A corner cut off is another ring, though all of its corners are among the other's; an opening is
 * no metal of the same shape. */
static void a_corner_less_is_another_ring(void **state) {
    static const th_point by = {0, 0};
    th_outline a = two_squares(20, false), b = two_squares(20, false);

    (void)state;
    assert_true(th_region_same(&a, &b, by));
    a.rings[1].count = 3;
    assert_false(th_region_same(&a, &b, by));
    assert_false(th_region_same(&b, &a, by));
    a.rings[1].count = 4;
    a.rings[1].hole = true;
    assert_false(th_region_same(&a, &b, by));
    th_arena_free(&a.arena);
    th_arena_free(&b.arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_is_kept_once),
        cmocka_unit_test(an_opening_is_no_metal),
        cmocka_unit_test(moved_rings_may_come_in_any_order),
        cmocka_unit_test(a_corner_less_is_another_ring),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
