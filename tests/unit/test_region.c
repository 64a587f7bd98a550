/* test_region.c - outlines joined, cut, grown and taken apart, against closed forms, against what
 * must hold for any two regions, and against windings counted point by point. */
#include "support/near.h"

#include "tackhold/plate.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define UNIT (1.0 / 524288) /* of the grid that regions are rounded to (mm) */

/* ---- help ------------------------------------------------------------------------------------ */

/* xorshift (Marsaglia 2003): the same cases on every machine. */
static uint64_t random_state = 88172645463325252U;

static double random_below(double bound) {
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return bound * (double)(random_state >> 11) / 9007199254740992.0;
}

static double area_of(const th_outline *region) {
    return th_outline_section(region).area;
}

static th_outline region_of(th_path *path) {
    th_outline region;
    th_error err = {0};

    if (!th_region_of_path(path, &region, &err)) {
        fail_msg("%s", err.message);
    }
    th_path_free(path);
    return region;
}

static th_outline polygon(const th_point *points, size_t count) {
    th_path path = th_path_new(0);

    th_path_polygon(&path, points, count);
    return region_of(&path);
}

static th_outline box_at(double x, double y, double length, double width) {
    th_path path = th_path_new(0);
    th_box box = {x, y, length, width, 0, 0};

    th_path_box(&path, &box);
    return region_of(&path);
}

static th_outline disc_at(double x, double y, double radius, double tolerance) {
    th_path path = th_path_new(tolerance);

    th_path_ellipse(&path, (th_point){x, y}, radius, radius);
    return region_of(&path);
}

static th_outline overlay(const th_outline *a, const th_outline *b, th_overlay how) {
    th_outline region;
    th_error err = {0};

    if (!th_region_overlay(a, b, how, &region, &err)) {
        fail_msg("%s", err.message);
    }
    return region;
}

/* The same, and both operands freed. */
static th_outline overlaid(th_outline a, th_outline b, th_overlay how) {
    th_outline region = overlay(&a, &b, how);

    th_outline_free(&a);
    th_outline_free(&b);
    return region;
}

static th_outline grown(const th_outline *of, double distance, double tolerance) {
    th_outline region;
    th_error err = {0};

    if (!th_region_grown(of, distance, tolerance, &region, &err)) {
        fail_msg("%s", err.message);
    }
    return region;
}

static th_pieces pieces_of(const th_outline *region) {
    th_pieces pieces;

    assert_true(th_region_pieces(region, &pieces, NULL));
    return pieces;
}

static size_t count_pieces(const th_outline *region) {
    th_pieces pieces = pieces_of(region);
    size_t count = pieces.count;

    th_pieces_free(&pieces);
    return count;
}

static double signed_area(const th_ring *ring) {
    double twice = 0;

    for (size_t i = 0; i < ring->count; i++) {
        th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
        th_point o = ring->points[0];
        twice += (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
    }
    return twice / 2;
}

/* Which side of a to b the point c lies on; for coordinates on the grid up to 10 mm exact. */
static int side_of(th_point a, th_point b, th_point c) {
    double twice = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);

    return (twice > 0) - (twice < 0);
}

static bool same(th_point a, th_point b) {
    return a.x == b.x && a.y == b.y;
}

/* Whether c lies on the line from a to b, its ends left out. */
static bool within(th_point a, th_point b, th_point c) {
    return side_of(a, b, c) == 0 && (c.x - a.x) * (b.x - a.x) + (c.y - a.y) * (b.y - a.y) > 0 &&
           (c.x - b.x) * (a.x - b.x) + (c.y - b.y) * (a.y - b.y) > 0;
}

/* Edges of a sound region may share ends, and an end may lie on an edge; they do not cross and do
 * not run along each other. */
static void assert_apart(th_point a, th_point b, th_point c, th_point d) {
    bool clear = fmax(a.x, b.x) < fmin(c.x, d.x) || fmax(c.x, d.x) < fmin(a.x, b.x) ||
                 fmax(a.y, b.y) < fmin(c.y, d.y) || fmax(c.y, d.y) < fmin(a.y, b.y);

    if (clear) {
        return;
    }
    if (side_of(a, b, c) * side_of(a, b, d) < 0 && side_of(c, d, a) * side_of(c, d, b) < 0) {
        fail_msg("(%g, %g) to (%g, %g) crosses (%g, %g) to (%g, %g)", a.x, a.y, b.x, b.y, c.x, c.y,
                 d.x, d.y);
    }
    if (side_of(a, b, c) == 0 && side_of(a, b, d) == 0 &&
        (within(a, b, c) || within(a, b, d) || within(c, d, a) || (same(a, c) && same(b, d)) ||
         (same(a, d) && same(b, c)))) {
        fail_msg("(%g, %g) to (%g, %g) runs along (%g, %g) to (%g, %g)", a.x, a.y, b.x, b.y, c.x,
                 c.y, d.x, d.y);
    }
}

static void assert_rings_apart(const th_ring *r, const th_ring *s) {
    for (size_t i = 0; i < r->count; i++) {
        for (size_t k = 0; k < s->count; k++) {
            if (r != s || i < k) {
                assert_apart(r->points[i], r->points[(i + 1) % r->count], s->points[k],
                             s->points[(k + 1) % s->count]);
            }
        }
    }
}

static void assert_counts(const th_outline *region) {
    size_t outers = 0, points = 0;
    double box[4];

    for (size_t i = 0; i < region->ring_count; i++) {
        const th_ring *ring = &region->rings[i];
        double area = signed_area(ring);
        assert_true(ring->count >= 3);
        assert_true(fabs(area) >= 1e-6);
        assert_int_equal(ring->hole, area < 0);
        outers += ring->hole ? 0 : 1;
        points += ring->count;
    }
    assert_int_equal(region->outer_count, outers);
    assert_int_equal(region->point_count, points);
    assert_int_equal(th_region_box(region, box), region->ring_count > 0);
    assert_true(region->length == box[2] - box[0] && region->width == box[3] - box[1]);
}

static void assert_sound(const th_outline *region) {
    assert_counts(region);
    for (size_t i = 0; i < region->ring_count; i++) {
        const th_ring *ring = &region->rings[i];
        for (size_t k = 0; k < ring->count; k++) {
            for (size_t m = k + 1; m < ring->count; m++) {
                if (same(ring->points[k], ring->points[m])) {
                    fail_msg("a ring comes back to (%g, %g)", ring->points[k].x, ring->points[k].y);
                }
            }
        }
        for (size_t k = i; k < region->ring_count; k++) {
            assert_rings_apart(ring, &region->rings[k]);
        }
    }
}

/* ---- closed forms ---------------------------------------------------------------------------- */

static void test_rectangle_less_disc(void **state) {
    th_outline r = overlaid(box_at(10, 20, 40, 30), disc_at(25, 33, 8, 1e-4), TH_DIFFERENCE);
    th_section s = th_outline_section(&r);
    th_section want =
        th_section_add(th_section_rectangle(10, 20, 50, 50), th_section_disc(25, 33, 16), -1);

    (void)state;
    assert_int_equal(r.ring_count, 2);
    assert_int_equal(r.outer_count, 1);
    assert_counts(&r);
    assert_near(s.area, want.area, 1e-7, 0);
    assert_near(s.sx, want.sx, 1e-6, 0);
    assert_near(s.sy, want.sy, 1e-6, 0);
    assert_near(s.sxx, want.sxx, 1e-6, 0);
    assert_near(s.syy, want.syy, 1e-6, 0);
    assert_near(s.sxy, want.sxy, 1e-6, 0);
    th_outline_free(&r);
}

/* Two circles of one radius: 2 r^2 acos(d / 2r) - d/2 sqrt(4 r^2 - d^2). */
static void test_lens(void **state) {
    double r = 10, d = 13;
    double lens = 2 * r * r * acos(d / (2 * r)) - d / 2 * sqrt(4 * r * r - d * d);
    th_outline a = disc_at(0, 0, r, 1e-5), b = disc_at(5, 12, r, 1e-5);
    th_outline common = overlay(&a, &b, TH_INTERSECTION), both = overlay(&a, &b, TH_UNION);
    th_outline moon = overlay(&a, &b, TH_DIFFERENCE);

    (void)state;
    assert_near(area_of(&common), lens, 1e-5, 0);
    assert_near(area_of(&both), 2 * TH_PI * r * r - lens, 1e-5, 0);
    assert_near(area_of(&moon), TH_PI * r * r - lens, 1e-5, 0);
    assert_int_equal(common.ring_count, 1);
    assert_int_equal(both.ring_count, 1);
    assert_int_equal(moon.ring_count, 1);
    th_outline_free(&a);
    th_outline_free(&b);
    th_outline_free(&common);
    th_outline_free(&both);
    th_outline_free(&moon);
}

/* Steiner's formula: a convex figure of area A and length round P grows to A + P d + pi d^2. */
static void check_steiner(const th_outline *of, double area, double around, double d) {
    double tolerance = 1e-4;
    double want = area + around * d + TH_PI * d * d;
    th_outline r = grown(of, d, tolerance);
    double got = area_of(&r);

    assert_counts(&r);
    assert_int_equal(r.ring_count, 1);
    /* Never less but for the grid, and no more than the stray along the arcs. */
    assert_true(got >= want - UNIT * 2 * (around + 7 * d));
    assert_true(got <= want + tolerance * 2 * TH_PI * d + UNIT * 2 * (around + 7 * d));
    th_outline_free(&r);
}

static void test_convex_grows_as_steiner_says(void **state) {
    const th_point triangle[] = {{1, 1}, {13, 6}, {4, 9}};
    const th_point kite[] = {{0, -3}, {8, 0}, {0, 7}, {-2, 0}};
    th_outline t = polygon(triangle, 3), k = polygon(kite, 4), b = box_at(-3, 2, 20, 0.5);
    double sides = sqrt(169.0) + sqrt(90.0) + sqrt(73.0);

    (void)state;
    for (double d = 0.01; d < 100; d *= 3) {
        check_steiner(&t, 40.5, sides, d);
        check_steiner(&k, 50, sqrt(73.0) + sqrt(113.0) + sqrt(53.0) + sqrt(13.0), d);
        check_steiner(&b, 10, 41, d);
    }
    th_outline_free(&t);
    th_outline_free(&k);
    th_outline_free(&b);
}

static void test_shrinking_a_rectangle(void **state) {
    th_outline b = box_at(1, 2, 20, 12), r = grown(&b, -2.5, 0), gone = grown(&b, -6, 0);
    th_outline nearly = grown(&b, -5.99, 0), again = grown(&r, 2.5, 1e-4),
               same_box = grown(&b, 0, 0);

    (void)state;
    assert_near(area_of(&r), 15 * 7, 1e-12, 0);
    assert_int_equal(r.rings[0].count, 4);
    assert_int_equal(gone.ring_count, 0);
    assert_near(gone.length, 0, 0, 0);
    assert_near(area_of(&nearly), 8.02 * 0.02, 1e-3, 0);
    assert_near(area_of(&again), 240 - (4 - TH_PI) * 2.5 * 2.5, 1e-5, 0);
    assert_near(area_of(&same_box), 240, 1e-12, 0);
    th_outline_free(&b);
    th_outline_free(&r);
    th_outline_free(&gone);
    th_outline_free(&nearly);
    th_outline_free(&again);
    th_outline_free(&same_box);
}

/* An L of two legs 4 wide and 10 long: five corners round, the sixth stays sharp; shrunk, the sixth
 * is the round one. */
static void test_growing_an_l(void **state) {
    const th_point l[] = {{0, 0}, {10, 0}, {10, 4}, {4, 4}, {4, 10}, {0, 10}};
    th_outline a = polygon(l, 6);

    (void)state;
    for (double d = 0.25; d < 3.5; d += 0.25) {
        th_outline r = grown(&a, d, 1e-4);
        assert_near(area_of(&r), 64 + 40 * d + 5 * TH_PI / 4 * d * d - d * d, 3e-5, 0);
        assert_int_equal(r.ring_count, 1);
        assert_sound(&r);
        th_outline_free(&r);
    }
    for (double d = 0.25; d < 2; d += 0.25) {
        th_outline r = grown(&a, -d, 1e-4);
        assert_near(area_of(&r), 64 - 40 * d + 5 * d * d - TH_PI / 4 * d * d, 3e-5, 0);
        assert_sound(&r);
        th_outline_free(&r);
    }
    th_outline_free(&a);
}

static void test_holes_shrink_and_vanish(void **state) {
    th_outline plate = overlaid(box_at(0, 0, 40, 30), disc_at(12, 15, 5, 1e-4), TH_DIFFERENCE);
    th_outline pierced = overlaid(plate, box_at(25, 10, 6, 8), TH_DIFFERENCE);
    const double d[] = {0.5, 2, 2.99, 3.01, 4.9, 5.1};

    (void)state;
    for (size_t i = 0; i < sizeof d / sizeof *d; i++) {
        th_outline r = grown(&pierced, d[i], 1e-4);
        double slot = d[i] < 3 ? (6 - 2 * d[i]) * (8 - 2 * d[i]) : 0;
        double hole = d[i] < 5 ? TH_PI * (5 - d[i]) * (5 - d[i]) : 0;
        double want = 1200 + 140 * d[i] + TH_PI * d[i] * d[i] - slot - hole;
        assert_near(area_of(&r), want, 1e-5, 0);
        assert_int_equal(r.ring_count, 1 + (d[i] < 3) + (d[i] < 5));
        assert_int_equal(r.outer_count, 1);
        th_outline_free(&r);
    }
    th_outline_free(&pierced);
}

/* Every rectangle along the rim of a many-sided hole covers its middle: none of them may be lost.
 */
static void test_holes_near_closing(void **state) {
    (void)state;
    for (int sides = 3; sides < 40; sides += 4) {
        th_path path = th_path_new(0);
        th_box outer = {-20, -20, 40, 40, 0, 0};
        double inner = 5 * cos(TH_PI / sides);
        th_path_box(&path, &outer);
        for (int i = 0; i < sides; i++) {
            double f = -2 * TH_PI * i / sides;
            th_point p = {5 * cos(f), 5 * sin(f)};
            (i == 0 ? th_path_move : th_path_line)(&path, p);
        }
        th_path_close(&path);
        th_outline a = region_of(&path);
        assert_int_equal(a.ring_count, 2);
        for (double d = 0.05; d < 1.2; d += 0.05) {
            th_outline r = grown(&a, d * inner, 1e-3);
            double left =
                d < 1 ? (1 - d) * (1 - d) * sides * inner * inner * tan(TH_PI / sides) : 0;
            double rim = 1600 + 160 * d * inner + TH_PI * d * d * inner * inner;
            if (fabs(d - 1) > 0.01) {
                assert_near(area_of(&r), rim - left, 0, 0.02 * d * inner + 1e-3);
                assert_int_equal(r.ring_count, d < 1 ? 2 : 1);
            }
            th_outline_free(&r);
        }
        th_outline_free(&a);
    }
}

/* ---- pieces ---------------------------------------------------------------------------------- */

static void test_corners_come_apart(void **state) {
    th_outline r = overlaid(box_at(0, 0, 5, 5), box_at(5, 5, 3, 3), TH_UNION);
    th_pieces pieces = pieces_of(&r);

    (void)state;
    assert_sound(&r);
    assert_int_equal(r.outer_count, 2);
    assert_int_equal(pieces.count, 2);
    assert_near(area_of(&pieces.items[0]), 25, 1e-12, 0);
    assert_near(area_of(&pieces.items[1]), 9, 1e-12, 0);
    assert_near(pieces.items[1].length, 3, 1e-12, 0);
    assert_near(pieces.items[1].rings[0].points[0].x, 5, 1e-12, 0);
    th_pieces_free(&pieces);
    th_outline_free(&r);
}

/* A hole that touches the rim at a point stays a hole of one piece; holes in a closed chain cut the
 * middle off. */
static void test_touching_holes(void **state) {
    const th_point drop[] = {{0, 5}, {4, 3}, {4, 7}};
    const th_point low[] = {{5, 2}, {8, 5}, {9, 4}, {6, 1}};
    th_outline one = overlaid(box_at(0, 0, 10, 10), polygon(drop, 3), TH_DIFFERENCE);
    th_outline chain = box_at(0, 0, 10, 10);
    th_pieces pieces;

    (void)state;
    assert_sound(&one);
    assert_int_equal(one.ring_count, 2);
    assert_int_equal(one.outer_count, 1);
    assert_int_equal(count_pieces(&one), 1);
    assert_near(area_of(&one), 92, 1e-12, 0);
    for (int quarter = 0; quarter < 4; quarter++) {
        th_path path = th_path_new(0);
        const double c[] = {1, 0, -1, 0}, s[] = {0, 1, 0, -1};
        path.affine = (th_affine){c[quarter],
                                  s[quarter],
                                  -s[quarter],
                                  c[quarter],
                                  5 - 5 * c[quarter] + 5 * s[quarter],
                                  5 - 5 * s[quarter] - 5 * c[quarter]};
        th_path_polygon(&path, low, 4);
        chain = overlaid(chain, region_of(&path), TH_DIFFERENCE);
    }
    assert_sound(&chain);
    pieces = pieces_of(&chain);
    assert_int_equal(pieces.count, 2);
    assert_int_equal(pieces.items[0].ring_count, 2);
    assert_int_equal(pieces.items[1].ring_count, 1);
    assert_near(area_of(&pieces.items[1]), 18, 1e-12, 0);
    th_pieces_free(&pieces);
    th_outline_free(&one);
    th_outline_free(&chain);
}

static void test_ring_and_slug(void **state) {
    th_outline kerf = overlaid(disc_at(20, 15, 9, 0), disc_at(20, 15, 6, 0), TH_DIFFERENCE);
    th_outline plate = overlaid(box_at(0, 0, 40, 30), kerf, TH_DIFFERENCE);
    th_pieces pieces = pieces_of(&plate);

    (void)state;
    assert_int_equal(plate.ring_count, 3);
    assert_int_equal(pieces.count, 2);
    assert_int_equal(pieces.items[0].ring_count, 2);
    assert_int_equal(pieces.items[0].outer_count, 1);
    assert_near(area_of(&pieces.items[0]), 1200 - TH_PI * 81, 1e-5, 0);
    assert_near(area_of(&pieces.items[1]), TH_PI * 36, 1e-5, 0);
    assert_counts(&pieces.items[0]);
    assert_counts(&pieces.items[1]);
    th_pieces_free(&pieces);
    th_outline_free(&plate);
}

/* Cutting out a tongue: it hangs on by a bridge until the slot closes. */
static void test_slot_that_closes(void **state) {
    const th_point u[] = {{10, 24}, {10, 10}, {30, 10}, {30, 24},
                          {28, 24}, {28, 12}, {12, 12}, {12, 24}};
    th_outline open = overlaid(box_at(0, 0, 40, 30), polygon(u, 8), TH_DIFFERENCE);
    th_outline nearly = overlay(&open, &open, TH_UNION);
    th_outline closed;
    double slot = 2 * 28 + 16 * 2;

    (void)state;
    assert_int_equal(count_pieces(&open), 1);
    assert_near(area_of(&open), 1200 - slot, 1e-12, 0);
    nearly = overlaid(nearly, box_at(12, 22, 15.999, 2), TH_DIFFERENCE);
    assert_int_equal(count_pieces(&nearly), 1);
    closed = overlaid(open, box_at(12, 22, 16, 2), TH_DIFFERENCE);
    assert_int_equal(count_pieces(&closed), 2);
    assert_near(area_of(&closed), 1200 - slot - 32, 1e-12, 0);
    th_outline_free(&nearly);
    th_outline_free(&closed);
}

/* ---- degenerate places ----------------------------------------------------------------------- */

static void test_edges_that_coincide(void **state) {
    th_outline a = box_at(0, 0, 10, 10), right = box_at(10, 3, 5, 4), in = box_at(0, 2, 4, 4);
    th_outline joined = overlay(&a, &right, TH_UNION), cut = overlay(&a, &in, TH_DIFFERENCE);
    th_outline nothing = overlay(&a, &a, TH_DIFFERENCE), all = overlay(&a, &a, TH_UNION);
    th_outline touch = overlay(&a, &right, TH_INTERSECTION);

    (void)state;
    assert_sound(&joined);
    assert_int_equal(joined.ring_count, 1);
    assert_int_equal(joined.rings[0].count, 8);
    assert_near(area_of(&joined), 120, 1e-12, 0);
    assert_int_equal(cut.rings[0].count, 8);
    assert_near(area_of(&cut), 84, 1e-12, 0);
    assert_int_equal(nothing.ring_count, 0);
    assert_near(nothing.length, 0, 0, 0);
    assert_int_equal(all.rings[0].count, 4);
    assert_int_equal(touch.ring_count, 0);
    th_outline_free(&a);
    th_outline_free(&right);
    th_outline_free(&in);
    th_outline_free(&joined);
    th_outline_free(&cut);
    th_outline_free(&nothing);
    th_outline_free(&all);
    th_outline_free(&touch);
}

/* Boxes that share part of a slanted line: rounding parts their corners from each other's edges,
 * and the seam must close all the same, without a thread left along it. */
static void test_slanted_seams_close(void **state) {
    (void)state;
    for (int i = 0; i < 500; i++) {
        double f = random_below(2 * TH_PI), c = cos(f), s = sin(f);
        double at = random_below(30), length = 1 + random_below(40);
        th_path path = th_path_new(0);
        th_box low = {0, 0, 40, 10, 0, 0}, high = {at, 10, length, 5, 0, 0};
        path.affine = (th_affine){c, s, -s, c, random_below(100), random_below(100)};
        th_path_box(&path, &low);
        th_path_box(&path, &high);
        th_outline r = region_of(&path);
        assert_counts(&r);
        assert_int_equal(r.ring_count, 1);
        assert_int_equal(count_pieces(&r), 1);
        assert_near(area_of(&r), 400 + 5 * length, 0, 2e-6 * (100 + 2 * length));
        th_outline_free(&r);
    }
}

/* A drawing that laps itself counts once; opposite windings cancel. */
static void test_of_path(void **state) {
    th_path path = th_path_new(0);
    th_box box = {0, 0, 10, 10, 0, 0}, inner = {2, 2, 6, 6, 0, 0};
    const th_point back[] = {{3, 3}, {3, 7}, {7, 7}, {7, 3}};
    th_outline r, empty;
    th_error err = {0};

    (void)state;
    assert_true(th_region_of_path(&path, &empty, &err));
    assert_int_equal(empty.ring_count, 0);
    assert_near(area_of(&empty), 0, 0, 0);
    assert_false(th_outline_holds(&empty, (th_point){0, 0}));
    th_outline_free(&empty);
    th_path_box(&path, &box);
    th_path_box(&path, &box);
    th_path_box(&path, &inner);
    r = region_of(&path);
    assert_int_equal(r.ring_count, 1);
    assert_near(area_of(&r), 100, 1e-12, 0);
    th_outline_free(&r);
    path = th_path_new(0);
    th_path_box(&path, &box);
    th_path_polygon(&path, back, 4);
    th_path_move(&path, (th_point){20, 0}); /* left open: taken as closed */
    th_path_line(&path, (th_point){24, 0});
    th_path_line(&path, (th_point){24, 3});
    r = region_of(&path);
    assert_int_equal(r.ring_count, 3);
    assert_near(area_of(&r), 84 + 6, 1e-12, 0);
    th_outline_free(&r);
    path = th_path_new(0);
    th_path_fail(&path, TH_BAD_VALUE, "no");
    assert_false(th_region_of_path(&path, &r, &err));
    assert_int_equal(err.code, TH_BAD_VALUE);
    th_path_free(&path);
}

/* A cutter that goes round a circle in steps far shorter than it is wide leaves a ring. */
static void test_many_figures(void **state) {
    th_path path = th_path_new(1e-3);
    th_opening step = {.length = 3.1, .width = 3};
    th_outline r;

    (void)state;
    for (int i = 0; i < 400; i++) {
        double f = 2 * TH_PI * i / 400;
        step.at = (th_point){10 * cos(f), 10 * sin(f)};
        step.angle = 90 + f * 180 / TH_PI;
        th_path_slot(&path, &step);
    }
    r = region_of(&path);
    assert_counts(&r);
    assert_int_equal(r.ring_count, 2);
    assert_near(area_of(&r), TH_PI * (11.5 * 11.5 - 8.5 * 8.5), 1e-3, 0);
    th_outline_free(&r);
}

/* What is drawn clockwise takes away, however long before it the rest was drawn. */
static void test_last_figure_takes_away(void **state) {
    const th_point hole[] = {{40, 2}, {40, 8}, {60.25, 8}, {60.25, 2}};
    const int boxes = 1200; /* more than are joined in one go */
    th_path path = th_path_new(0);
    th_outline r;

    (void)state;
    for (int i = 0; i < boxes; i++) {
        th_box box = {0.5 * i, 0, 0.5, 10, 0, 0};
        th_path_box(&path, &box);
    }
    th_path_polygon(&path, hole, 4);
    r = region_of(&path);
    assert_sound(&r);
    assert_int_equal(r.ring_count, 2);
    assert_near(area_of(&r), 5.0 * boxes - 20.25 * 6, 1e-12, 0);
    th_outline_free(&r);
}

static void test_out_of_range(void **state) {
    th_point far[] = {{0, 0}, {10001, 0}, {0, 5}}, odd[] = {{0, 0}, {NAN, 0}, {0, 5}};
    th_ring ring = {far, 3, false, 0};
    th_outline a = {.rings = &ring, .ring_count = 1, .outer_count = 1, .point_count = 3}, r;
    th_outline b = box_at(0, 0, 1, 1);
    th_error err = {0};

    (void)state;
    assert_false(th_region_overlay(&b, &a, TH_UNION, &r, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    assert_false(th_region_grown(&b, 10000, 0, &r, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    assert_false(th_region_grown(&b, NAN, 0, &r, &err));
    ring.points = odd;
    assert_false(th_region_overlay(&a, &b, TH_UNION, &r, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    far[1].x = 10000;
    ring.points = far;
    assert_true(th_region_overlay(&a, &b, TH_INTERSECTION, &r, &err));
    assert_near(area_of(&r), 1, 1e-3, 0);
    th_outline_free(&r);
    th_outline_free(&b);
}

/* ---- any two regions ------------------------------------------------------------------------- */

enum { CORNERS_MAX = 24 };

typedef struct {
    th_point points[CORNERS_MAX];
    size_t count;
} loop;

/* Corners anywhere on a grid of `step` up to `size`: the coarser, the more of them coincide. */
static loop random_loop(size_t count, double size, double step) {
    loop l = {.count = count};

    for (size_t i = 0; i < count; i++) {
        l.points[i].x = step * floor(random_below(size / step + 1));
        l.points[i].y = step * floor(random_below(size / step + 1));
    }
    return l;
}

static loop random_star(size_t count, double x, double y, double size) {
    loop l = {.count = count};

    for (size_t i = 0; i < count; i++) {
        double f = 2 * TH_PI * (double)i / (double)count, r = size * (0.2 + random_below(0.8));
        l.points[i] = (th_point){x + r * cos(f), y + r * sin(f)};
    }
    return l;
}

/* How often the loop winds round p, by the angle its corners turn through seen from p. */
static int winding(const loop *l, th_point p) {
    double turned = 0;

    for (size_t i = 0; i < l->count; i++) {
        th_point a = l->points[i], b = l->points[(i + 1) % l->count];
        double ax = a.x - p.x, ay = a.y - p.y, bx = b.x - p.x, by = b.y - p.y;
        turned += atan2(ax * by - ay * bx, ax * bx + ay * by);
    }
    return (int)lround(turned / (2 * TH_PI));
}

static double distance_to(const loop *l, th_point p) {
    th_ring ring = {(th_point *)l->points, l->count, false, 0};
    th_outline one = {.rings = &ring, .ring_count = 1};

    return th_outline_distance(&one, p, NULL);
}

static void check_points(const loop *a, const loop *b, const th_outline results[3], double size) {
    for (int i = 0; i < 12; i++) {
        th_point p = {random_below(1.2 * size) - 0.1 * size, random_below(1.2 * size) - 0.1 * size};
        bool in_a = winding(a, p) != 0, in_b = winding(b, p) != 0;
        if (fmin(distance_to(a, p), distance_to(b, p)) < 1e-3) {
            continue;
        }
        assert_int_equal(th_outline_holds(&results[TH_UNION], p), in_a || in_b);
        assert_int_equal(th_outline_holds(&results[TH_DIFFERENCE], p), in_a && !in_b);
        assert_int_equal(th_outline_holds(&results[TH_INTERSECTION], p), in_a && in_b);
    }
}

static void check_same(const th_outline *a, const th_outline *b) {
    assert_int_equal(a->ring_count, b->ring_count);
    assert_int_equal(a->point_count, b->point_count);
    for (size_t i = 0; i < a->ring_count; i++) {
        assert_int_equal(a->rings[i].count, b->rings[i].count);
        assert_int_equal(a->rings[i].hole, b->rings[i].hole);
        assert_memory_equal(a->rings[i].points, b->rings[i].points,
                            a->rings[i].count * sizeof(th_point));
    }
}

/* Pieces add up, each is one, and together they are the region again. */
static void check_pieces(const th_outline *region) {
    th_pieces pieces = pieces_of(region);
    double sum = 0, last = INFINITY;
    size_t rings = 0;

    assert_int_equal(pieces.count, region->outer_count);
    for (size_t i = 0; i < pieces.count; i++) {
        double area = area_of(&pieces.items[i]);
        assert_counts(&pieces.items[i]);
        assert_int_equal(pieces.items[i].outer_count, 1);
        assert_true(area > 0 && area <= last);
        last = area;
        sum += area;
        rings += pieces.items[i].ring_count;
    }
    assert_int_equal(rings, region->ring_count);
    assert_near(sum, area_of(region), 1e-9, 1e-12);
    th_pieces_free(&pieces);
}

/* What may be lost: half a unit along every edge there is, and slivers. */
static void check_pair(const loop *la, const loop *lb, double size, double slack) {
    th_outline a = polygon(la->points, la->count), b = polygon(lb->points, lb->count);
    th_outline r[3], again;
    double area[3];

    for (int how = TH_UNION; how <= TH_INTERSECTION; how++) {
        r[how] = overlay(&a, &b, (th_overlay)how);
        area[how] = area_of(&r[how]);
        assert_sound(&r[how]);
        check_pieces(&r[how]);
    }
    assert_near(area[TH_UNION] + area[TH_INTERSECTION], area_of(&a) + area_of(&b), 0, slack);
    assert_near(area[TH_DIFFERENCE] + area[TH_INTERSECTION], area_of(&a), 0, slack);
    check_points(la, lb, r, size);
    again = overlay(&a, &b, TH_UNION);
    check_same(&again, &r[TH_UNION]);
    for (int how = TH_UNION; how <= TH_INTERSECTION; how++) {
        th_outline_free(&r[how]);
    }
    th_outline_free(&again);
    th_outline_free(&a);
    th_outline_free(&b);
}

static void check_many(int cases, size_t corners, double size, double step) {
    for (int i = 0; i < cases; i++) {
        loop a = random_loop(3 + (size_t)random_below((double)corners - 2), size, step);
        loop b = random_loop(3 + (size_t)random_below((double)corners - 2), size, step);
        double around = 2.0 * (double)(a.count + b.count) * size;
        check_pair(&a, &b, size, 4 * UNIT * around + 1e-5);
    }
}

static void test_random_on_a_coarse_grid(void **state) {
    (void)state;
    check_many(3000, 5, 3, 1);
    check_many(2000, 9, 4, 1);
    check_many(200, 20, 8, 1);
}

static void test_random_anywhere(void **state) {
    (void)state;
    check_many(300, 8, 8, 1e-9);
    check_many(60, 20, 8, 1e-9);
}

static void test_random_stars(void **state) {
    (void)state;
    for (int i = 0; i < 100; i++) {
        loop a = random_star(20, 4, 4, 4), b = random_star(20, 5, 4, 3);
        check_pair(&a, &b, 8, 4 * UNIT * 200 + 1e-5);
    }
}

/* Corners a few units of the grid apart, in bundles and along nearly parallel lines: it must settle
 * on something sound, and no area may come out of nothing. */
static void test_roundings_settle(void **state) {
    const double sizes[][2] = {{12, 12}, {30, 30}, {1000, 1000}, {5e6, 4}, {5e6, 300}};

    (void)state;
    for (int i = 0; i < 1500; i++) {
        const double *s = sizes[i % 5];
        th_outline a, b, r;
        loop l[2];
        for (int k = 0; k < 2; k++) {
            l[k] = random_loop(12, 1, 1e-12);
            for (size_t m = 0; m < l[k].count; m++) {
                l[k].points[m].x = UNIT * floor(s[0] * l[k].points[m].x);
                l[k].points[m].y = UNIT * floor(s[1] * l[k].points[m].y);
            }
        }
        a = polygon(l[0].points, 12);
        b = polygon(l[1].points, 12);
        r = overlay(&a, &b, TH_UNION);
        assert_counts(&r);
        assert_true(area_of(&r) <= s[0] * s[1] * UNIT * UNIT * 1.001);
        th_outline_free(&a);
        th_outline_free(&b);
        th_outline_free(&r);
    }
}

/* Turning both operands turns the result. */
static void test_turned_operands(void **state) {
    loop a = random_star(24, 0, 0, 40), b = random_star(24, 10, -5, 30);
    double first = 0;

    (void)state;
    for (int i = 0; i < 24; i++) {
        th_path path[2] = {th_path_new(0), th_path_new(0)};
        double f = TH_PI * i / 12;
        for (int k = 0; k < 2; k++) {
            path[k].affine = (th_affine){cos(f), sin(f), -sin(f), cos(f), 3.0 * i, -7.0 * i};
            th_path_polygon(&path[k], k == 0 ? a.points : b.points, 24);
        }
        th_outline r = overlaid(region_of(&path[0]), region_of(&path[1]), TH_DIFFERENCE);
        first = i == 0 ? area_of(&r) : first;
        assert_near(area_of(&r), first, 0, 2 * UNIT * 1000);
        th_outline_free(&r);
    }
}

/* ---- growing any region ---------------------------------------------------------------------- */

/* A point lies in the grown region if it lies within the distance of the region. */
static void check_growth(const th_outline *of, double size, double d, double tolerance) {
    th_outline r = grown(of, d, tolerance);

    assert_counts(&r);
    for (int i = 0; i < 60; i++) {
        th_point p = {random_below(2 * size) - size / 2, random_below(2 * size) - size / 2};
        double away = th_outline_distance(of, p, NULL);
        away = th_outline_holds(of, p) ? -away : away;
        if (d >= 0 ? away < d - 1e-5 : away < d - tolerance - 1e-5) {
            assert_true(th_outline_holds(&r, p));
        }
        if (d >= 0 ? away > d + tolerance + 1e-5 : away > d + 1e-5) {
            assert_false(th_outline_holds(&r, p));
        }
    }
    th_outline_free(&r);
}

static void test_growing_anything(void **state) {
    (void)state;
    for (int i = 0; i < 400; i++) {
        loop l =
            i % 2 == 0 ? random_loop(3 + (size_t)random_below(8), 8, 1) : random_star(20, 4, 4, 4);
        th_outline a = polygon(l.points, l.count);
        double d = pow(10, random_below(2.5) - 2);
        check_growth(&a, 8, d, 0.01);
        check_growth(&a, 8, -d / 3, 0.01);
        th_outline_free(&a);
    }
}

/* ---- what outlines are asked ----------------------------------------------------------------- */

static void test_cells_agree(void **state) {
    loop l = random_star(24, 20, 15, 18);
    th_outline r = overlaid(polygon(l.points, 24), disc_at(20, 15, 6, 0), TH_DIFFERENCE);
    double xs[60], ys[50], sum = 0;
    th_grid_lines lines = {xs, ys, 60, 50};
    th_cells cells;

    (void)state;
    r = overlaid(r, box_at(18, 13, 4, 4), TH_UNION);
    for (int i = 0; i < 60; i++) {
        xs[i] = 0.7 * i - 1;
    }
    for (int i = 0; i < 50; i++) {
        ys[i] = 0.75 * i - 4;
    }
    assert_true(th_cells_of(&r, &lines, &cells, NULL));
    for (size_t i = 0; i < cells.columns * cells.rows; i++) {
        sum += cells.sections[i].area;
    }
    assert_near(sum, area_of(&r), 1e-9, 0);
    th_cells_free(&cells);
    th_outline_free(&r);
}

static void test_moved(void **state) {
    th_outline a = overlaid(box_at(0, 0, 20, 10), disc_at(8, 5, 3, 0), TH_DIFFERENCE), b;
    double box[4];

    (void)state;
    assert_true(th_region_moved(&a, 3, -4.5, &b, NULL));
    assert_true(th_region_box(&b, box));
    assert_near(box[0], 3, 0, 1e-12);
    assert_near(box[1], -4.5, 0, 1e-12);
    assert_near(box[2], 23, 0, 1e-12);
    assert_near(box[3], 5.5, 0, 1e-12);
    assert_near(area_of(&b), area_of(&a), 1e-12, 0);
    assert_near(th_outline_section(&b).sx, th_section_moved(th_outline_section(&a), 3, -4.5).sx,
                1e-10, 0);
    assert_counts(&b);
    th_outline_free(&a);
    assert_int_equal(b.ring_count, 2);
    th_outline_free(&b);
    assert_true(th_region_moved(&a, 1, 1, &b, NULL)); /* freed: empty */
    assert_int_equal(b.ring_count, 0);
    assert_false(th_region_box(&b, box));
    th_outline_free(&b);
}

static void test_hull(void **state) {
    const th_point cross[] = {{4, 0},  {6, 0},  {6, 4}, {10, 4}, {10, 6}, {6, 6},
                              {6, 10}, {4, 10}, {4, 6}, {0, 6},  {0, 4},  {4, 4}};
    th_outline a = polygon(cross, 12);
    th_point hull[12], work[26];
    size_t n = th_region_hull(&a, hull, work);
    th_outline none = {0};

    (void)state;
    assert_int_equal(n, 8);
    assert_near(th_section_polygon(hull, n).area, 100 - 4 * 8, 1e-12, 0);
    assert_near(signed_area(&(th_ring){hull, n, false, 0}), 68, 1e-12, 0);
    assert_int_equal(th_region_hull(&none, hull, work), 0);
    th_outline_free(&a);
    for (int i = 0; i < 300; i++) {
        loop l = random_loop(12, 6, i % 2 == 0 ? 1 : 1e-9);
        a = polygon(l.points, 12);
        th_point *room = malloc((3 * a.point_count + 2) * sizeof *room);
        assert_non_null(room);
        n = th_region_hull(&a, room, room + a.point_count);
        assert_true(n <= a.point_count && (n >= 3 || a.ring_count == 0));
        for (size_t k = 0; k < n; k++) {
            th_point p = room[k], q = room[(k + 1) % n];
            for (size_t r = 0; r < a.ring_count; r++) {
                for (size_t m = 0; m < a.rings[r].count; m++) {
                    if (side_of(p, q, a.rings[r].points[m]) < 0) {
                        fail_msg("a point lies outside the hull");
                    }
                }
            }
            assert_int_equal(side_of(p, q, room[(k + 2) % n]), 1);
        }
        free(room);
        th_outline_free(&a);
    }
}

/* A triangle of sides 3, 4 and 5. */
static void test_ring_edges(void **state) {
    th_point points[] = {{1, 1}, {4, 1}, {1, 5}};
    th_ring ring = {points, 3, false, 0};
    double longest;

    (void)state;
    assert_near(th_ring_length(&ring), 12, 1e-12, 0);
    assert_int_equal(th_ring_longest(&ring, &longest), 1);
    assert_near(longest, 5, 1e-12, 0);
    assert_int_equal(th_ring_longest(&ring, NULL), 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rectangle_less_disc),
        cmocka_unit_test(test_lens),
        cmocka_unit_test(test_convex_grows_as_steiner_says),
        cmocka_unit_test(test_shrinking_a_rectangle),
        cmocka_unit_test(test_growing_an_l),
        cmocka_unit_test(test_holes_shrink_and_vanish),
        cmocka_unit_test(test_holes_near_closing),
        cmocka_unit_test(test_corners_come_apart),
        cmocka_unit_test(test_touching_holes),
        cmocka_unit_test(test_ring_and_slug),
        cmocka_unit_test(test_slot_that_closes),
        cmocka_unit_test(test_edges_that_coincide),
        cmocka_unit_test(test_slanted_seams_close),
        cmocka_unit_test(test_of_path),
        cmocka_unit_test(test_many_figures),
        cmocka_unit_test(test_last_figure_takes_away),
        cmocka_unit_test(test_out_of_range),
        cmocka_unit_test(test_random_on_a_coarse_grid),
        cmocka_unit_test(test_random_anywhere),
        cmocka_unit_test(test_random_stars),
        cmocka_unit_test(test_roundings_settle),
        cmocka_unit_test(test_turned_operands),
        cmocka_unit_test(test_growing_anything),
        cmocka_unit_test(test_cells_agree),
        cmocka_unit_test(test_moved),
        cmocka_unit_test(test_hull),
        cmocka_unit_test(test_ring_edges),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
