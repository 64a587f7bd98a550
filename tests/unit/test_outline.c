/* test_outline.c - outlines: sections against published ones, clipping on cells, drawings of known
 * size, and what must be refused. */
#include "support/near.h"

#include "tackhold/files.h"
#include "tackhold/plate.h"

#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* ---- help ------------------------------------------------------------------------------------ */

static th_outline finished(th_path *path) {
    th_outline outline;
    th_error err = {0};

    if (!th_path_finish(path, &outline, &err)) {
        fail_msg("%s", err.message);
    }
    th_path_free(path);
    return outline;
}

typedef struct {
    double area, cx, cy, ixx, iyy, ixy; /* second moments about the centroid, ixx of y^2 */
} centred;

static centred centred_of(th_section s) {
    centred c = {s.area, s.sx / s.area, s.sy / s.area, 0, 0, 0};
    th_section m = th_section_moved(s, -c.cx, -c.cy);

    c.ixx = m.syy;
    c.iyy = m.sxx;
    c.ixy = m.sxy;
    return c;
}

static void assert_sections(th_section a, th_section b, double relative) {
    double reach = sqrt(b.sxx / b.area + b.syy / b.area);

    assert_near(a.area, b.area, relative, 0);
    assert_near(a.sx, b.sx, 0, relative * b.area * reach);
    assert_near(a.sy, b.sy, 0, relative * b.area * reach);
    assert_near(a.sxx, b.sxx, 0, relative * b.area * reach * reach);
    assert_near(a.syy, b.syy, 0, relative * b.area * reach * reach);
    assert_near(a.sxy, b.sxy, 0, relative * b.area * reach * reach);
}

static void polygon(th_path *path, const double (*xy)[2], size_t count) {
    th_path_shape(path, TH_EVENODD, 0);
    for (size_t i = 0; i < count; i++) {
        th_point p = {xy[i][0], xy[i][1]};
        if (i == 0) {
            th_path_move(path, p);
        } else {
            th_path_line(path, p);
        }
    }
    th_path_close(path);
}

#define DRAW(path, ...)                                                                            \
    do {                                                                                           \
        const double xy[][2] = {__VA_ARGS__};                                                      \
        polygon(path, xy, sizeof xy / sizeof *xy);                                                 \
    } while (0)

/* ---- sections -------------------------------------------------------------------------------- */

static void test_section_functions(void **state) {
    const th_point square[] = {{1000, 2000}, {1000, 2003}, {1004, 2003}, {1004, 2000}};
    (void)state;

    assert_sections(th_section_polygon(square, 4), th_section_rectangle(1000, 2000, 1004, 2003),
                    1e-13);
    assert_near(centred_of(th_section_polygon(square, 4)).ixx, 4 * 27.0 / 12, 1e-9, 0);
    assert_near(th_section_disc(3, 4, 10).sxx, TH_PI * 625 / 4 + 9 * TH_PI * 25, 1e-14, 0);
}

/* Closed forms of Roark's Formulas for Stress and Strain, appendix A (memory). */
static void test_tee_and_channel(void **state) {
    const double b = 60, t = 8, d = 40, tw = 6;
    double area, yc, inertia;
    th_path path = th_path_new(0);
    th_outline outline;
    centred c;
    (void)state;

    /* Tee, flange on top; yc from the outer face of the flange. */
    DRAW(&path, {27, 0}, {33, 0}, {33, 40}, {60, 40}, {60, 48}, {0, 48}, {0, 40}, {27, 40});
    outline = finished(&path);
    c = centred_of(th_outline_section(&outline));
    area = t * b + tw * d;
    yc = (b * t * t + tw * d * (2 * t + d)) / (2 * (t * b + tw * d));
    inertia = b / 3 * pow(d + t, 3) - pow(d, 3) / 3 * (b - tw) - area * pow(d + t - yc, 2);
    assert_near(c.area, area, 1e-13, 0);
    assert_near(c.cx, 30, 1e-13, 0);
    assert_near(c.cy, d + t - yc, 1e-13, 0);
    assert_near(c.ixx, inertia, 1e-12, 0);
    assert_near(c.iyy, t * pow(b, 3) / 12 + d * pow(tw, 3) / 12, 1e-12, 0);
    th_outline_free(&outline);

    /* Channel, web on top, two flanges of thickness tw. */
    path = th_path_new(0);
    DRAW(&path, {0, 0}, {6, 0}, {6, 40}, {54, 40}, {54, 0}, {60, 0}, {60, 48}, {0, 48});
    outline = finished(&path);
    c = centred_of(th_outline_section(&outline));
    area = t * b + 2 * tw * d;
    yc = (b * t * t + 2 * tw * d * (2 * t + d)) / (2 * (t * b + 2 * tw * d));
    inertia = b / 3 * pow(d + t, 3) - pow(d, 3) / 3 * (b - 2 * tw) - area * pow(d + t - yc, 2);
    assert_near(c.area, area, 1e-13, 0);
    assert_near(c.cy, d + t - yc, 1e-13, 0);
    assert_near(c.ixx, inertia, 1e-12, 0);
    th_outline_free(&outline);
}

static void corner(th_path *path, double r, bool positive, double x, double y) {
    th_path_arc_to(path, &(th_arc_to){.rx = r, .ry = r, .positive = positive, .to = {x, y}});
}

static void line(th_path *path, double x, double y) {
    th_path_line(path, (th_point){x, y});
}

/* Equal angle 100 x 100 x 10 of EN 10056-1, root radius 12, toe radius 6: A = 19.15 cm2, centroid
 * 2.82 cm from the backs, I = 176.7 cm4 about both (memory). */
static void test_rolled_angle(void **state) {
    th_path path = th_path_new(0);
    th_outline outline;
    centred c;
    (void)state;

    th_path_move(&path, (th_point){0, 0});
    line(&path, 100, 0);
    line(&path, 100, 4);
    corner(&path, 6, true, 94, 10);
    line(&path, 22, 10);
    corner(&path, 12, false, 10, 22);
    line(&path, 10, 94);
    corner(&path, 6, true, 4, 100);
    line(&path, 0, 100);
    th_path_close(&path);
    outline = finished(&path);
    c = centred_of(th_outline_section(&outline));
    assert_near(c.area, 1915, 0, 0.6);
    assert_near(c.cx, 28.2, 0, 0.06);
    assert_near(c.cy, 28.2, 0, 0.06);
    assert_near(c.ixx, 176.7e4, 0, 0.06e4);
    assert_near(c.iyy, 176.7e4, 0, 0.06e4);
    th_outline_free(&outline);
}

/* Unequal angle 60 x 40 x 6 of EN 10056-1 (published), root radius 6, toe radius 3: A = 5.68 cm2,
 * centroid 2.00 and 1.01 cm, I = 20.1 and 7.12 cm4, principal 23.1 and 4.16 cm4. */
static void test_unequal_angle(void **state) {
    th_path path = th_path_new(0);
    th_outline outline;
    centred c;
    double middle, half;
    (void)state;

    th_path_move(&path, (th_point){0, 0});
    line(&path, 40, 0);
    line(&path, 40, 3);
    corner(&path, 3, true, 37, 6);
    line(&path, 12, 6);
    corner(&path, 6, false, 6, 12);
    line(&path, 6, 57);
    corner(&path, 3, true, 3, 60);
    line(&path, 0, 60);
    th_path_close(&path);
    outline = finished(&path);
    c = centred_of(th_outline_section(&outline));
    middle = (c.ixx + c.iyy) / 2;
    half = hypot((c.ixx - c.iyy) / 2, c.ixy);
    /* Within the last digit printed. */
    assert_near(c.area, 568, 0, 0.5);
    assert_near(c.cy, 20.0, 0, 0.05);
    assert_near(c.cx, 10.1, 0, 0.05);
    assert_near(c.ixx, 20.1e4, 0, 0.05e4);
    assert_near(c.iyy, 7.12e4, 0, 0.005e4);
    assert_near(middle + half, 23.1e4, 0, 0.05e4);
    assert_near(middle - half, 4.16e4, 0, 0.005e4);
    th_outline_free(&outline);
}

/* IPE 200 of EN 10365: h 200, b 100, web 5.6, flange 8.5, root radius 12: A = 28.48 cm2,
 * Iy = 1943 cm4, Iz = 142.4 cm4 (memory). */
static void test_rolled_beam(void **state) {
    th_path path = th_path_new(0);
    th_outline outline;
    centred c;
    (void)state;

    th_path_move(&path, (th_point){0, 0});
    line(&path, 100, 0);
    line(&path, 100, 8.5);
    line(&path, 64.8, 8.5);
    corner(&path, 12, false, 52.8, 20.5);
    line(&path, 52.8, 179.5);
    corner(&path, 12, false, 64.8, 191.5);
    line(&path, 100, 191.5);
    line(&path, 100, 200);
    line(&path, 0, 200);
    line(&path, 0, 191.5);
    line(&path, 35.2, 191.5);
    corner(&path, 12, false, 47.2, 179.5);
    line(&path, 47.2, 20.5);
    corner(&path, 12, false, 35.2, 8.5);
    line(&path, 0, 8.5);
    th_path_close(&path);
    outline = finished(&path);
    c = centred_of(th_outline_section(&outline));
    assert_near(c.area, 2848, 0, 0.6);
    assert_near(c.cx, 50, 0, 1e-9);
    assert_near(c.cy, 100, 0, 1e-9);
    assert_near(c.ixx, 1943e4, 0, 0.6e4);
    assert_near(c.iyy, 142.4e4, 0, 0.06e4);
    th_outline_free(&outline);
}

/* Closed forms: disc, ring, quarter of a disc (centroid 4 r/(3 pi), I = pi r^4/16, Ixy = r^4/8). */
static void test_round_sections(void **state) {
    const th_opening hole = {{25, 25}, 20, 20, 0};
    th_shape disc = {.kind = TH_SHAPE_DISC, .length = 50, .openings = &hole, .opening_count = 1};
    th_path path = th_path_new(0);
    th_outline outline;
    centred c;
    (void)state;

    assert_true(th_shape_outline(&disc, 0, &outline, NULL));
    c = centred_of(th_outline_section(&outline));
    assert_near(c.area, TH_PI * (625 - 100), 1e-12, 0);
    assert_near(c.cx, outline.length / 2, 1e-3, 0);
    assert_near(c.ixx, TH_PI / 4 * (pow(25, 4) - pow(10, 4)), 1e-6, 0);
    assert_near(c.ixx, c.iyy, 1e-6, 0);
    th_outline_free(&outline);

    th_path_move(&path, (th_point){0, 0});
    line(&path, 30, 0);
    corner(&path, 30, true, 0, 30);
    th_path_close(&path);
    outline = finished(&path);
    c = centred_of(th_outline_section(&outline));
    assert_near(c.area, TH_PI * 900 / 4, 1e-12, 0);
    assert_near(c.cx, 4 * 30 / (3 * TH_PI), 1e-4, 0);
    assert_near(c.cy, 4 * 30 / (3 * TH_PI), 1e-4, 0);
    assert_near(th_outline_section(&outline).sxx, TH_PI * pow(30, 4) / 16, 2e-4, 0);
    assert_near(th_outline_section(&outline).sxy, pow(30, 4) / 8, 2e-4, 0);
    th_outline_free(&outline);
}

static void test_hollow_rectangle(void **state) {
    th_path path = th_path_new(0);
    th_outline outline;
    centred c;
    (void)state;

    DRAW(&path, {0, 0}, {0, 60}, {40, 60}, {40, 0});
    DRAW(&path, {5, 5}, {35, 5}, {35, 55}, {5, 55});
    outline = finished(&path);
    assert_int_equal(outline.ring_count, 2);
    assert_int_equal(outline.outer_count, 1);
    assert_true(outline.rings[1].hole && !outline.rings[0].hole);
    c = centred_of(th_outline_section(&outline));
    assert_near(c.area, 40 * 60 - 30 * 50, 1e-13, 0);
    assert_near(c.ixx, (40 * pow(60, 3) - 30 * pow(50, 3)) / 12, 1e-13, 0);
    assert_near(c.iyy, (60 * pow(40, 3) - 50 * pow(30, 3)) / 12, 1e-13, 0);
    th_outline_free(&outline);
}

/* ---- curves ---------------------------------------------------------------------------------- */

/* Greatest distance between a flattened circle or ellipse and the true one: of its vertices, and of
 * points along its chords, by the foot of the normal (found by bisection on the angle). */
static double from_ellipse(double a, double b, double x, double y) {
    double low = 0, high = TH_PI / 2;

    x = fabs(x);
    y = fabs(y);
    for (int i = 0; i < 60; i++) {
        double t = (low + high) / 2;
        double slope = (a * a - b * b) * cos(t) * sin(t) - x * a * sin(t) + y * b * cos(t);
        if (slope > 0) {
            low = t;
        } else {
            high = t;
        }
    }
    return hypot(a * cos(low) - x, b * sin(low) - y);
}

static double ellipse_deviation(const th_outline *outline, double a, double b) {
    const th_ring *ring = &outline->rings[0];
    double worst = 0;

    for (size_t i = 0; i < ring->count; i++) {
        th_point p = ring->points[i], q = ring->points[(i + 1) % ring->count];
        for (int k = 0; k < 8; k++) {
            double x = p.x + (q.x - p.x) * k / 8 - outline->length / 2;
            double y = p.y + (q.y - p.y) * k / 8 - outline->width / 2;
            worst = fmax(worst, from_ellipse(a, b, x, y));
        }
    }
    return worst;
}

static void test_ellipses_within_tolerance(void **state) {
    static const double tolerances[] = {0.1, 0.01, 0.001};
    (void)state;

    for (size_t i = 0; i < 3; i++) {
        for (double a = 2; a < 300; a *= 3) {
            for (double b = a; b > fmax(a / 9, 0.6); b /= 2) {
                th_path path = th_path_new(tolerances[i]);
                th_outline outline;
                th_path_ellipse(&path, (th_point){7, 9}, a, b);
                /* The box may stand off by the tolerance, and its centre with it. */
                outline = finished(&path);
                assert_true(ellipse_deviation(&outline, a, b) <= 1.05 * tolerances[i]);
                assert_near(th_outline_section(&outline).area, TH_PI * a * b, 1e-12, 0);
                th_outline_free(&outline);
            }
        }
    }
}

/* Arcs of every length: no point strays, and the sector has its area. */
static void test_arcs_within_tolerance(void **state) {
    (void)state;
    for (double r = 2; r < 500; r *= 2.3) {
        for (double turn = 3; turn < 360; turn += 13) {
            th_path path = th_path_new(0);
            double worst = 0, area;
            th_path_move(&path, (th_point){0, 0});
            th_path_arc(&path, &(th_circle_arc){{0, 0}, r, r, 0, 20, turn});
            th_path_close(&path);
            for (size_t i = 1; i + 1 < path.point_count; i++) {
                th_point p = path.points[i], q = path.points[i + 1];
                double middle = hypot((p.x + q.x) / 2, (p.y + q.y) / 2);
                worst = fmax(worst, fabs(hypot(p.x, p.y) - r));
                worst = fmax(worst, fabs(middle - r));
            }
            area = th_section_polygon(path.points, path.point_count).area;
            assert_true(worst <= TH_OUTLINE_TOLERANCE);
            assert_near(area, TH_PI * r * r * turn / 360, 1e-11, 0);
            th_path_free(&path);
        }
    }
}

static th_point cubic_at(const th_point p[4], double t) {
    double a = 1 - t, b = t;
    double w[4] = {a * a * a, 3 * a * a * b, 3 * a * b * b, b * b * b};
    th_point at = {0, 0};

    for (int i = 0; i < 4; i++) {
        at.x += w[i] * p[i].x;
        at.y += w[i] * p[i].y;
    }
    return at;
}

/* Least distance from a point to a cubic in 2000 chords, which stray by less than 1e-4 mm here. */
static double from_cubic(const th_point p[4], th_point at) {
    double least = INFINITY;

    for (int i = 0; i < 2000; i++) {
        th_point a = cubic_at(p, i / 2000.0), b = cubic_at(p, (i + 1) / 2000.0);
        double dx = b.x - a.x, dy = b.y - a.y;
        double t = ((at.x - a.x) * dx + (at.y - a.y) * dy) / (dx * dx + dy * dy);
        t = fmax(0, fmin(1, t));
        least = fmin(least, hypot(a.x + t * dx - at.x, a.y + t * dy - at.y));
    }
    return least;
}

static void test_cubics_within_tolerance(void **state) {
    static const th_point curves[][4] = {
        {{0, 0}, {30, 90}, {60, -40}, {100, 5}},
        {{0, 0}, {100, 100}, {0, 100}, {100, 0}},
        {{0, 0}, {50, 0}, {50, 0}, {50, 50}},
    };
    (void)state;

    for (size_t c = 0; c < 3; c++) {
        th_path path = th_path_new(0);
        const th_point *k = curves[c];
        th_path_move(&path, k[0]);
        th_path_cubic(&path, k[1], k[2], k[3]);
        assert_true(path.point_count > 20);
        for (size_t i = 0; i + 1 < path.point_count; i++) {
            th_point p = path.points[i], q = path.points[i + 1];
            th_point middle = {(p.x + q.x) / 2, (p.y + q.y) / 2};
            assert_true(from_cubic(k, middle) <= TH_OUTLINE_TOLERANCE);
        }
        th_path_free(&path);
    }
}

/* The tolerance holds after the affine: a small circle drawn large. */
static void test_tolerance_after_affine(void **state) {
    th_path path = th_path_new(0);
    th_outline outline;
    (void)state;

    path.affine = (th_affine){0, 400, -100, 0, 0, 0};
    th_path_ellipse(&path, (th_point){0, 0}, 1, 1);
    outline = finished(&path);
    assert_near(outline.length, 200, 0, 0.02);
    assert_near(outline.width, 800, 0, 0.02);
    assert_true(ellipse_deviation(&outline, 100, 400) <= 1.05 * TH_OUTLINE_TOLERANCE);
    th_outline_free(&outline);
}

static void test_parabola_area(void **state) {
    th_path path = th_path_new(0);
    th_outline outline;
    (void)state;

    /* A parabola over its chord: two thirds of the triangle of its control points (Archimedes). */
    th_path_move(&path, (th_point){0, 0});
    th_path_quadratic(&path, (th_point){30, 60}, (th_point){60, 0});
    th_path_close(&path);
    outline = finished(&path);
    assert_near(th_outline_section(&outline).area, 60 * 60 / 2 * 2 / 3, 2e-4, 0);
    assert_near(outline.width, 30, 0, 0.01);
    th_outline_free(&outline);
}

/* ---- shapes ---------------------------------------------------------------------------------- */

static void test_shape_with_openings(void **state) {
    const th_opening openings[] = {{{20, 20}, 10, 10, 0}, {{60, 30}, 30, 8, 30}};
    th_shape shape = {.kind = TH_SHAPE_RECTANGLE, .length = 100, .width = 60, .corner_radius = 12};
    th_outline outline;
    centred c;
    double slot = 22 * 8 + TH_PI * 16;
    double slot_long = 8 * pow(22, 3) / 12 + TH_PI * pow(4, 4) / 4 + TH_PI * 16 * (11 * 11) +
                       4.0 / 3 * 64 * 11 * 2;
    double slot_wide = 22 * pow(8, 3) / 12 + TH_PI * pow(4, 4) / 4;
    th_section s;
    (void)state;

    shape.openings = openings;
    shape.opening_count = 2;
    assert_true(th_shape_outline(&shape, 0, &outline, NULL));
    assert_int_equal(outline.ring_count, 3);
    assert_near(outline.length, 100, 0, 1e-9);
    assert_near(outline.width, 60, 0, 1e-9);
    s = th_outline_section(&outline);
    assert_near(s.area, 6000 - (4 - TH_PI) * 144 - 25 * TH_PI - slot, 1e-9, 0);
    th_outline_free(&outline);

    /* The slot alone: a rectangle and two half discs, whose centroids lie 4 r/(3 pi) out. */
    shape = (th_shape){.kind = TH_SHAPE_RECTANGLE, .length = 200, .width = 200};
    shape.openings = &(th_opening){{100, 100}, 30, 8, 30};
    shape.opening_count = 1;
    assert_true(th_shape_outline(&shape, 1e-4, &outline, NULL));
    c = centred_of(th_section_polygon(outline.rings[1].points, outline.rings[1].count));
    assert_true(outline.rings[1].hole);
    assert_near(c.area, slot, 1e-9, 0);
    assert_near(c.cx, 100, 1e-9, 0);
    assert_near(c.cy, 100, 1e-9, 0);
    assert_near(c.ixx + c.iyy, slot_long + slot_wide, 1e-4, 0);
    assert_near(c.iyy - c.ixx, (slot_long - slot_wide) * cos(TH_PI / 3), 1e-4, 0);
    assert_near(c.ixy, (slot_long - slot_wide) / 2 * sin(TH_PI / 3), 1e-4, 0);
    th_outline_free(&outline);
}

static void refused(const th_shape *shape, th_status code, const char *word) {
    th_outline outline;
    th_error err = {0};

    assert_false(th_shape_outline(shape, 0, &outline, &err));
    assert_int_equal(err.code, code);
    assert_int_equal(err.line, 0);
    if (!strstr(err.message, word)) {
        fail_msg("no \"%s\" in: %s", word, err.message);
    }
    th_outline_free(&outline);
}

static void test_shapes_refused(void **state) {
    th_opening hole = {{95, 20}, 20, 20, 0};
    th_shape shape = {.kind = TH_SHAPE_RECTANGLE, .length = 100, .width = 60};
    const th_point bow[] = {{0, 0}, {40, 30}, {40, 0}, {0, 30}};
    (void)state;

    shape.openings = &hole;
    shape.opening_count = 1;
    refused(&shape, TH_CONTRADICTION, "cross, touch or overlap at (100, ");
    hole.at.x = 85;
    hole.length = hole.width = 30;
    refused(&shape, TH_CONTRADICTION, "overlap at (100, ");
    hole = (th_opening){{130, 20}, 10, 10, 0};
    refused(&shape, TH_CONTRADICTION, "lies outside");
    hole = (th_opening){{30, 20}, 5, 10, 0};
    refused(&shape, TH_BAD_RANGE, "5 mm x 10 mm");
    shape.opening_count = 0;
    shape.corner_radius = 31;
    refused(&shape, TH_BAD_RANGE, "0 to 30 mm");
    shape.corner_radius = 0;
    shape.length = 2001;
    refused(&shape, TH_BAD_RANGE, "2001 mm x 60 mm");
    shape.length = 0.5;
    refused(&shape, TH_BAD_RANGE, "0.5 mm x 60 mm");
    shape.length = NAN;
    refused(&shape, TH_BAD_RANGE, "above 0");
    shape = (th_shape){.kind = TH_SHAPE_POLYGON, .points = bow, .point_count = 4};
    refused(&shape, TH_CONTRADICTION, "itself at (20, 15) mm");
    shape.point_count = 2;
    refused(&shape, TH_BAD_RANGE, "at least 3");
}

/* ---- crossings, against looking at every pair ------------------------------------------------ */

static double cross(th_point a, th_point b, th_point c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

static bool within(th_point a, th_point b, th_point p) {
    return fmin(a.x, b.x) <= p.x && p.x <= fmax(a.x, b.x) && fmin(a.y, b.y) <= p.y &&
           p.y <= fmax(a.y, b.y);
}

/* Closed segments with whole coordinates, so exact. */
static bool meet(th_point a, th_point b, th_point c, th_point d) {
    double abc = cross(a, b, c), abd = cross(a, b, d), cda = cross(c, d, a), cdb = cross(c, d, b);

    if (((abc > 0 && abd < 0) || (abc < 0 && abd > 0)) &&
        ((cda > 0 && cdb < 0) || (cda < 0 && cdb > 0))) {
        return true;
    }
    return (abc == 0 && within(a, b, c)) || (abd == 0 && within(a, b, d)) ||
           (cda == 0 && within(c, d, a)) || (cdb == 0 && within(c, d, b));
}

static bool neighbours_fold(th_point a, th_point b, th_point c) {
    return cross(a, b, c) == 0 && (a.x - b.x) * (c.x - b.x) + (a.y - b.y) * (c.y - b.y) > 0;
}

static bool clashes(const th_point *p, const size_t *next, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (neighbours_fold(p[i], p[next[i]], p[next[next[i]]])) {
            return true;
        }
        for (size_t j = i + 1; j < count; j++) {
            if (next[i] != j && next[j] != i && meet(p[i], p[next[i]], p[j], p[next[j]])) {
                return true;
            }
        }
    }
    return false;
}

static unsigned dice(unsigned *seed, unsigned sides) {
    *seed = *seed * 1664525U + 1013904223U;
    return (*seed >> 8) % sides;
}

/* One or two random rings on a coarse lattice, so that touching, overlapping and upright edges are
 * common. */
static void test_crossings_against_all_pairs(void **state) {
    unsigned seed = 1;
    int sound = 0, unsound = 0;
    (void)state;

    for (int round = 0; round < 10000; round++) {
        th_point p[16];
        size_t next[16], count = 0;
        size_t rings = 1 + dice(&seed, 2);
        unsigned side = 2 + dice(&seed, 9);
        th_path path = th_path_new(0);
        th_outline outline;
        th_error err = {0};
        bool repeats = false;
        for (size_t r = 0; r < rings; r++) {
            size_t n = 3 + dice(&seed, 4), first = count;
            th_path_shape(&path, TH_EVENODD, 0);
            for (size_t k = 0; k < n; k++) {
                p[count] = (th_point){dice(&seed, side), dice(&seed, side)};
                next[count] = k + 1 < n ? count + 1 : first;
                count++;
            }
            for (size_t k = first; k < count; k++) {
                repeats = repeats || (p[k].x == p[next[k]].x && p[k].y == p[next[k]].y);
            }
            th_path_polygon(&path, p + first, n);
        }
        if (!repeats) {
            bool done = th_path_finish(&path, &outline, &err);
            bool small = !done && err.code == TH_BAD_RANGE;
            if (!small && done == clashes(p, next, count)) {
                fail_msg("round %d: %s", round, done ? "missed" : err.message);
            }
            sound += done;
            unsound += !done && !small;
            th_outline_free(&outline);
        }
        th_path_free(&path);
    }
    assert_true(sound > 200 && unsound > 200);
}

/* ---- fill rules ------------------------------------------------------------------------------ */

static void ring(th_path *path, double inset, bool backwards) {
    double a = inset, b = 100 - inset;

    if (backwards) {
        th_path_polygon(path, (th_point[]){{a, a}, {a, b}, {b, b}, {b, a}}, 4);
    } else {
        th_path_polygon(path, (th_point[]){{a, a}, {b, a}, {b, b}, {a, b}}, 4);
    }
}

static double nested_area(th_fill_rule rule, int backwards) {
    th_path path = th_path_new(0);
    th_outline outline;
    double area;

    th_path_shape(&path, rule, 0);
    for (int i = 0; i < 3; i++) {
        ring(&path, 10 * i, (backwards >> i & 1) != 0);
    }
    outline = finished(&path);
    area = th_outline_section(&outline).area;
    th_outline_free(&outline);
    return area;
}

static void test_fill_rules(void **state) {
    (void)state;
    for (int i = 0; i < 8; i++) {
        assert_near(nested_area(TH_EVENODD, i), 10000 - 6400 + 3600, 1e-12, 0);
    }
    /* Windings 1 2 3, -1 -2 -3, 1 0 1, 1 2 1, 1 0 -1. */
    assert_near(nested_area(TH_NONZERO, 0), 10000, 1e-12, 0);
    assert_near(nested_area(TH_NONZERO, 7), 10000, 1e-12, 0);
    assert_near(nested_area(TH_NONZERO, 2), 10000 - 6400 + 3600, 1e-12, 0);
    assert_near(nested_area(TH_NONZERO, 4), 10000, 1e-12, 0);
    assert_near(nested_area(TH_NONZERO, 6), 10000 - 6400 + 3600, 1e-12, 0);
}

static void test_too_deep(void **state) {
    th_path path = th_path_new(0);
    th_outline outline;
    th_error err = {0};
    (void)state;

    th_path_shape(&path, TH_NONZERO, 0);
    for (int i = 0; i <= TH_OUTLINE_DEPTH_MAX; i++) {
        ring(&path, i * 0.5, false);
    }
    assert_false(th_path_finish(&path, &outline, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    th_path_free(&path);
    th_outline_free(&outline);
}

/* ---- points ---------------------------------------------------------------------------------- */

static void test_points(void **state) {
    const th_opening hole = {{30, 20}, 20, 20, 0};
    th_shape shape = {.kind = TH_SHAPE_RECTANGLE, .length = 60, .width = 40};
    th_outline outline;
    th_point at;
    (void)state;

    shape.openings = &hole;
    shape.opening_count = 1;
    assert_true(th_shape_outline(&shape, 1e-5, &outline, NULL));
    assert_true(th_outline_holds(&outline, (th_point){5, 20}));
    assert_true(th_outline_holds(&outline, (th_point){30, 35}));
    assert_false(th_outline_holds(&outline, (th_point){30, 20}));
    assert_false(th_outline_holds(&outline, (th_point){-1, 20}));
    assert_false(th_outline_holds(&outline, (th_point){70, 20}));
    assert_near(th_outline_distance(&outline, (th_point){30, 20}, NULL), 10, 1e-6, 0);
    assert_near(th_outline_distance(&outline, (th_point){5, 12}, &at), 5, 1e-12, 0);
    assert_near(at.x, 0, 0, 1e-12);
    assert_near(at.y, 12, 0, 1e-12);
    assert_near(th_outline_distance(&outline, (th_point){63, 44}, NULL), 5, 1e-12, 0);
    th_outline_free(&outline);
}

/* ---- cells ----------------------------------------------------------------------------------- */

/* A gear-like ring of many points with holes. */
static th_outline toothed(size_t points, double radius) {
    th_path path = th_path_new(0);

    th_path_shape(&path, TH_EVENODD, 0);
    for (size_t i = 0; i < points; i++) {
        double t = 2 * TH_PI * (double)i / (double)points;
        double r = radius * (1 + 0.2 * cos(9 * t) + 0.03 * sin(57 * t + 1));
        th_point p = {r * cos(t), r * sin(t)};
        if (i == 0) {
            th_path_move(&path, p);
        } else {
            th_path_line(&path, p);
        }
    }
    th_path_close(&path);
    for (int i = 0; i < 5; i++) {
        th_path_shape(&path, TH_EVENODD, 0);
        th_path_ellipse(&path, (th_point){radius * 0.5 * cos(1.2 * i), radius * 0.5 * sin(1.2 * i)},
                        radius * 0.1, radius * 0.2);
    }
    return finished(&path);
}

/* The half of a polygon on one side of an upright or level line (Sutherland and Hodgman 1974). */
static size_t clip_half(const th_point *in, size_t n, th_point *out, bool upright, double at,
                        bool keep_low) {
    size_t count = 0;

    for (size_t i = 0; i < n; i++) {
        th_point p = in[i], q = in[(i + 1) % n];
        double dp = (upright ? p.x : p.y) - at, dq = (upright ? q.x : q.y) - at;
        dp = keep_low ? dp : -dp;
        dq = keep_low ? dq : -dq;
        if (dp <= 0) {
            out[count++] = p;
        }
        if ((dp < 0 && dq > 0) || (dp > 0 && dq < 0)) {
            double t = dp / (dp - dq);
            out[count++] = (th_point){p.x + t * (q.x - p.x), p.y + t * (q.y - p.y)};
        }
    }
    return count;
}

/* Signed, unlike th_section_polygon, since clipped pieces hang together by doubled edges. */
static th_section clipped_ring(const th_ring *ring, double x0, double y0, double x1, double y1) {
    size_t room = 4 * ring->count + 16;
    th_point *a = malloc(room * sizeof *a), *b = malloc(room * sizeof *b);
    th_section s = {0};
    size_t n;

    assert_true(a && b);
    n = clip_half(ring->points, ring->count, a, true, x1, true);
    n = clip_half(a, n, b, true, x0, false);
    n = clip_half(b, n, a, false, y1, true);
    n = clip_half(a, n, b, false, y0, false);
    if (n >= 3) {
        s = th_section_polygon(b, n);
    }
    free(a);
    free(b);
    return s;
}

static void spread(double *lines, size_t count, double low, double high, double power) {
    for (size_t i = 0; i < count; i++) {
        lines[i] = low + (high - low) * pow((double)i / (double)(count - 1), power);
    }
}

static th_section sum_of(const th_cells *cells) {
    th_section sum = {0};

    for (size_t i = 0; i < cells->columns * cells->rows; i++) {
        sum = th_section_add(sum, cells->sections[i], 1);
    }
    return sum;
}

static void test_cells_add_up(void **state) {
    static double xs[301], ys[301];
    th_outline outline = toothed(10000, 100);
    (void)state;

    for (double power = 0.5; power < 3; power *= 1.7) {
        th_grid_lines lines = {xs, ys, 301, 301};
        th_cells cells;
        spread(xs, 301, 0, outline.length, power);
        spread(ys, 301, 0, outline.width, 1 / power);
        assert_true(th_cells_of(&outline, &lines, &cells, NULL));
        assert_sections(sum_of(&cells), th_outline_section(&outline), 1e-12);
        for (size_t i = 0; i < 300 * 300; i++) {
            assert_true(cells.covered[i] >= 0 && cells.covered[i] <= 1);
            assert_true(cells.sections[i].area >= 0);
        }
        th_cells_free(&cells);
    }
    th_outline_free(&outline);
}

/* Every cell against clipping the rings on it, on a grid that does not span the outline either. */
static void test_each_cell(void **state) {
    th_outline outline = toothed(300, 30);
    double xs[24], ys[19];
    th_grid_lines lines = {xs, ys, 24, 19};
    (void)state;

    for (int round = 0; round < 2; round++) {
        double in = round == 0 ? -3 : 11;
        th_cells cells;
        spread(xs, 24, in, outline.length - in, 1.3);
        spread(ys, 19, in, outline.width - 2 * in, 0.8);
        assert_true(th_cells_of(&outline, &lines, &cells, NULL));
        for (size_t j = 0; j < 18; j++) {
            for (size_t i = 0; i < 23; i++) {
                th_section s = {0}, c = cells.sections[j * 23 + i];
                double cell = (xs[i + 1] - xs[i]) * (ys[j + 1] - ys[j]);
                for (size_t r = 0; r < outline.ring_count; r++) {
                    const th_ring *ring = &outline.rings[r];
                    s = th_section_add(s, clipped_ring(ring, xs[i], ys[j], xs[i + 1], ys[j + 1]),
                                       ring->hole ? -1 : 1);
                }
                assert_near(c.area, s.area, 0, 1e-11 * cell);
                assert_near(c.sx, s.sx, 0, 1e-9 * cell);
                assert_near(c.sy, s.sy, 0, 1e-9 * cell);
                assert_near(c.sxx, s.sxx, 0, 1e-7 * cell);
                assert_near(c.syy, s.syy, 0, 1e-7 * cell);
                assert_near(c.sxy, s.sxy, 0, 1e-7 * cell);
                assert_near(cells.covered[j * 23 + i], s.area / cell, 0, 1e-10);
            }
        }
        th_cells_free(&cells);
    }
    th_outline_free(&outline);
}

/* Edges that lie on grid lines belong to neither side twice. */
static void test_edges_on_grid_lines(void **state) {
    const double xs[] = {0, 10, 20, 30, 40}, ys[] = {0, 10, 20, 30};
    const double expected[] = {1, 1, 1, 1, 1, 0, 0.5, 1, 1, 1, 1, 1};
    th_grid_lines lines = {xs, ys, 5, 4};
    th_path path = th_path_new(0);
    th_outline outline;
    th_cells cells;
    (void)state;

    DRAW(&path, {0, 0}, {40, 0}, {40, 30}, {0, 30});
    DRAW(&path, {10, 10}, {30, 10}, {20, 20}, {10, 20});
    outline = finished(&path);
    assert_true(th_cells_of(&outline, &lines, &cells, NULL));
    for (size_t i = 0; i < 12; i++) {
        assert_near(cells.covered[i], expected[i], 0, 1e-15);
    }
    assert_near(cells.sections[3].sx, 35 * 100, 1e-15, 0);
    th_cells_free(&cells);
    lines.x_count = 1;
    assert_false(th_cells_of(&outline, &lines, &cells, NULL));
    th_cells_free(&cells);
    th_outline_free(&outline);
}

/* ---- SVG ------------------------------------------------------------------------------------- */

#define SVG(attributes, body)                                                                      \
    "<svg xmlns='http://www.w3.org/2000/svg' " attributes ">" body "</svg>"
#define MM "width='100mm' height='50mm' viewBox='0 0 100 50'"

static th_outline svg(const char *text) {
    th_outline outline;
    th_error err = {0};

    if (!th_outline_svg(text, strlen(text), "part.svg", &outline, &err)) {
        fail_msg("line %d: %s\n%s", err.line, err.message, text);
    }
    return outline;
}

static void assert_drawing(const char *text, double length, double width, double area) {
    th_outline outline = svg(text);

    assert_near(outline.length, length, 1e-9, 0);
    assert_near(outline.width, width, 1e-9, 0);
    assert_near(th_outline_section(&outline).area, area, 1e-9, 0);
    th_outline_free(&outline);
}

static void test_svg_units(void **state) {
    (void)state;
    assert_drawing(SVG(MM, "<rect x='3' y='4' width='60' height='30'/>"), 60, 30, 1800);
    assert_drawing(SVG("", "<rect width='60mm' height='3cm'/>"), 60, 30, 1800);
    assert_drawing(SVG("", "<rect width='2in' height='72pt'/>"), 50.8, 25.4, 50.8 * 25.4);
    assert_drawing(SVG("", "<rect width='12pc' height='96'/>"), 50.8, 25.4, 50.8 * 25.4);
    assert_drawing(SVG("", "<rect width='192px' height='101.6Q'/>"), 50.8, 25.4, 50.8 * 25.4);
    assert_drawing(
        SVG("width='4in' height='2in' viewBox='0 0 8 4'", "<rect width='4' height='2'/>"), 50.8,
        25.4, 50.8 * 25.4);
    assert_drawing(SVG("viewBox='0 0 960 960'", "<rect width='96' height='50%'/>"), 25.4, 127,
                   25.4 * 127);
    assert_drawing(SVG("width='100mm' viewBox='0 0 50 20'", "<rect width='20' height='10'/>"), 40,
                   20, 800);
    /* The smaller scale counts unless the ratio may give way. */
    assert_drawing(
        SVG("width='100mm' height='100mm' viewBox='0 0 50 25'", "<rect width='20' height='10'/>"),
        40, 20, 800);
    assert_drawing(SVG("width='100mm' height='100mm' viewBox='0 0 50 25' "
                       "preserveAspectRatio='none'",
                       "<rect width='20' height='10'/>"),
                   40, 40, 1600);
    assert_drawing(SVG("width='100mm' height='100mm' viewBox='0 0 50 25' "
                       "preserveAspectRatio='xMinYMin slice'",
                       "<rect width='20' height='10'/>"),
                   80, 40, 3200);
    /* One svg in another: 40 mm x 40 mm for 10 x 20 units, so 2 mm a unit. */
    assert_drawing(SVG(MM, "<svg x='5' y='6' width='40' height='40' viewBox='0 0 10 20'>"
                           "<rect width='8' height='10'/></svg>"),
                   16, 20, 320);
}

/* Where a picture of another shape than its frame comes to lie: 20 mm wide in 40, so 10 of the 20
 * spare go before it by default. */
static void test_svg_alignment(void **state) {
    static const struct {
        const char *ratio;
        double x;
    } cases[] = {
        {"", 20}, {"preserveAspectRatio='xMinYMid'", 10}, {"preserveAspectRatio='xMaxYMid'", 30}};
    (void)state;

    for (size_t i = 0; i < 3; i++) {
        char text[500];
        th_outline outline;
        snprintf(text, sizeof text,
                 SVG(MM, "<rect width='90' height='40'/><svg x='10' y='10' width='40' height='20' "
                         "viewBox='0 0 4 4' %s><rect width='4' height='4'/></svg>"),
                 cases[i].ratio);
        outline = svg(text);
        assert_int_equal(outline.ring_count, 2);
        assert_true(th_outline_holds(&outline, (th_point){cases[i].x - 0.1, 20}));
        assert_false(th_outline_holds(&outline, (th_point){cases[i].x + 0.1, 20}));
        assert_false(th_outline_holds(&outline, (th_point){cases[i].x + 19.9, 20}));
        assert_true(th_outline_holds(&outline, (th_point){cases[i].x + 20.1, 20}));
        th_outline_free(&outline);
    }
}

static void test_svg_shapes(void **state) {
    th_outline outline;
    (void)state;

    assert_drawing(SVG(MM, "<rect width='60' height='30' rx='5'/>"), 60, 30,
                   1800 - (4 - TH_PI) * 25);
    assert_drawing(SVG(MM, "<rect width='60' height='30' rx='50' ry='5'/>"), 60, 30,
                   1800 - (4 - TH_PI) * 30 * 5);
    assert_drawing(SVG(MM, "<polygon points='0,0 40,0 40 20'/>"), 40, 20, 400);
    assert_drawing(SVG(MM, "<polyline points='0,0 40,0 40 20 0 0'/>"), 40, 20, 400);
    outline = svg(SVG(MM, "<circle cx='20' cy='20' r='15'/>"));
    assert_near(th_outline_section(&outline).area, TH_PI * 225, 1e-12, 0);
    assert_near(outline.length, 30, 0, 0.02);
    th_outline_free(&outline);
    outline = svg(SVG(MM, "<ellipse cx='20' cy='20' rx='15' ry='5'/>"));
    assert_near(th_outline_section(&outline).area, TH_PI * 75, 1e-12, 0);
    th_outline_free(&outline);
    /* Properties in a style attribute win; a circle in a rectangle is a hole. */
    outline = svg(SVG(MM, "<rect width='60' height='40' style='fill : none; stroke:#000'/>"
                          "<circle cx='30' cy='20' r='99' style='r: 10px !important'/>"));
    assert_int_equal(outline.ring_count, 2);
    assert_near(th_outline_section(&outline).area, 2400 - TH_PI * 100, 1e-12, 0);
    th_outline_free(&outline);
}

static void test_svg_paths(void **state) {
    th_outline outline;
    (void)state;

    assert_drawing(SVG(MM, "<path d='M10 10h40v20H10z'/>"), 40, 20, 800);
    assert_drawing(SVG(MM, "<path d='m10,10 40,0 0,20-40 0Z'/>"), 40, 20, 800);
    assert_drawing(SVG(MM, "<path d='M10 10L50 10 50 30 10 30 10 10'/>"), 40, 20, 800);
    assert_drawing(SVG(MM, "<path d='M1e1.1e2h4e+1v20.0h-.4E2z'/>"), 40, 20, 800);
    /* After a close the current point is where the ring began. */
    assert_drawing(SVG(MM, "<path d='M0 0h40v20h-40z m5 5v5h5v-5z'/>"), 40, 20, 775);
    /* Two half circles, flags run together. */
    outline = svg(SVG(MM, "<path d='M10 20a10 10 0 0120 0 10,10 0 01-20 0z'/>"));
    assert_near(th_outline_section(&outline).area, TH_PI * 100, 1e-12, 0);
    th_outline_free(&outline);
    /* The larger arc, and radii too small that grow to half a circle. */
    outline = svg(SVG(MM, "<path d='M30 10A10 10 0 1 0 30 30z'/>"));
    assert_near(th_outline_section(&outline).area, TH_PI * 100 / 2, 1e-12, 0);
    th_outline_free(&outline);
    outline = svg(SVG(MM, "<path d='M10 10A10 10 0 1 1 20 20z'/>"));
    assert_near(th_outline_section(&outline).area, TH_PI * 75 + 50, 1e-12, 0);
    assert_near(outline.length, 20, 0, 0.02);
    th_outline_free(&outline);
    outline = svg(SVG(MM, "<path d='M10 10A1 2 0 0 1 10 40z'/>"));
    assert_near(th_outline_section(&outline).area, TH_PI * 15 * 7.5 / 2, 1e-9, 0);
    th_outline_free(&outline);
    /* A turned ellipse. */
    outline = svg(SVG(MM, "<path d='M30 20A20 10 30 1 1 30 20.0000001z'/>"));
    th_outline_free(&outline);
}

/* Area between a cubic and its chord by Green's theorem; the integrand is of degree 5, for which
 * three Gauss points are exact. */
static double cubic_area(const th_point p[4]) {
    static const double t[] = {0.11270166537925831, 0.5, 0.88729833462074169};
    static const double w[] = {5.0 / 18, 8.0 / 18, 5.0 / 18};
    double sum = 0;

    for (int i = 0; i < 3; i++) {
        double a = 1 - t[i], b = t[i];
        double x = a * a * a * p[0].x + 3 * a * a * b * p[1].x + 3 * a * b * b * p[2].x +
                   b * b * b * p[3].x;
        double y = a * a * a * p[0].y + 3 * a * a * b * p[1].y + 3 * a * b * b * p[2].y +
                   b * b * b * p[3].y;
        double dx = 3 * (a * a * (p[1].x - p[0].x) + 2 * a * b * (p[2].x - p[1].x) +
                         b * b * (p[3].x - p[2].x));
        double dy = 3 * (a * a * (p[1].y - p[0].y) + 2 * a * b * (p[2].y - p[1].y) +
                         b * b * (p[3].y - p[2].y));
        sum += w[i] * (x * dy - y * dx) / 2;
    }
    return fabs(sum);
}

static void test_svg_curves(void **state) {
    const th_point c[4] = {{0, 0}, {0, 20}, {40, 20}, {40, 0}};
    double bump = cubic_area(c);
    th_outline outline;
    (void)state;

    outline = svg(SVG(MM, "<path d='M0 0C0 20 40 20 40 0z'/>"));
    assert_near(th_outline_section(&outline).area, bump, 5e-4, 0);
    assert_near(outline.width, 15, 0, 0.01);
    th_outline_free(&outline);
    /* Smooth: the second curve mirrors the first one's last control point. */
    outline = svg(SVG(MM, "<path d='M0 0C0 20 40 20 40 0S 80-20 80 0v30h-80z'/>"));
    assert_near(th_outline_section(&outline).area, 80 * 30, 1e-3, 0);
    assert_near(outline.width, 30 + 15, 0, 0.02);
    th_outline_free(&outline);
    outline = svg(SVG(MM, "<path d='m0 0c0 20 40 20 40 0s40-20 40 0v30h-80z'/>"));
    assert_near(th_outline_section(&outline).area, 80 * 30, 1e-3, 0);
    th_outline_free(&outline);
    /* After anything but its like, a smooth curve has no control point to mirror: straight here. */
    outline = svg(SVG(MM, "<path d='M0 0C0 20 40 20 40 0h10S90 0 90 0V30H0z'/>"));
    assert_near(th_outline_section(&outline).area, 90 * 30 - bump, 1e-4, 0);
    th_outline_free(&outline);
    outline = svg(SVG(MM, "<path d='M0 0Q10 20 20 0h10T50 0V30H0z'/>"));
    assert_near(th_outline_section(&outline).area, 50 * 30 - 2.0 / 3 * 200, 1e-4, 0);
    th_outline_free(&outline);
    /* Parabolas of height 10 over 20, one up and, smooth, one down. */
    outline = svg(SVG(MM, "<path d='M0 0Q10 20 20 0T40 0V30H0z'/>"));
    assert_near(th_outline_section(&outline).area, 40 * 30, 1e-3, 0);
    assert_near(outline.width, 40, 0, 0.01);
    th_outline_free(&outline);
    outline = svg(SVG(MM, "<path d='M0 0q10 20 20 0t20 0v30H0z'/>"));
    assert_near(outline.width, 40, 0, 0.01);
    th_outline_free(&outline);
}

/* y runs down on the screen; the part from above has it up. */
static void test_svg_turned_over(void **state) {
    th_outline outline = svg(SVG(MM, "<path d='M10 10H50V15H15V40H10z'/>"));
    (void)state;

    /* On the screen: a bar along the top, a leg down on the left. */
    assert_true(th_outline_holds(&outline, (th_point){2, 2}));
    assert_true(th_outline_holds(&outline, (th_point){38, 28}));
    assert_false(th_outline_holds(&outline, (th_point){38, 2}));
    th_outline_free(&outline);
}

static void test_svg_transforms(void **state) {
    (void)state;
    assert_drawing(SVG(MM, "<g transform='translate(10 5) scale(2)'>"
                           "<rect width='20' height='10'/></g>"),
                   40, 20, 800);
    assert_drawing(SVG(MM, "<g transform='rotate(90)'><g transform='scale(2,3)'>"
                           "<rect x='1' width='20' height='10'/></g></g>"),
                   30, 40, 1200);
    assert_drawing(SVG(MM, "<rect width='20' height='10' transform='rotate(30, 7 8)'/>"),
                   20 * cos(TH_PI / 6) + 5, 10 + 10 * cos(TH_PI / 6), 200);
    assert_drawing(SVG(MM, "<rect width='20' height='10' transform='skewX(45)'/>"), 30, 10, 200);
    assert_drawing(SVG(MM, "<rect width='20' height='10' transform='skewY(45)'/>"), 20, 30, 200);
    assert_drawing(SVG(MM, "<rect width='20' height='10' transform='matrix(2 0 0 -1 3,4)'/>"), 40,
                   10, 400);
    /* The order counts: first scaled, then moved, so the hole stays inside. */
    assert_drawing(SVG(MM, "<rect width='40' height='40'/>"
                           "<rect width='5' height='5' transform='translate(20,20)scale(2)'/>"),
                   40, 40, 1500);
}

static void test_svg_fill_rules(void **state) {
    (void)state;
    assert_drawing(SVG(MM, "<path d='M0 0h40v40h-40z M10 10h20v20h-20z'/>"), 40, 40, 1600);
    assert_drawing(SVG(MM, "<path d='M0 0h40v40h-40z M10 10v20h20v-20z'/>"), 40, 40, 1200);
    assert_drawing(SVG(MM, "<path fill-rule='evenodd' d='M0 0h40v40h-40z M10 10h20v20h-20z'/>"), 40,
                   40, 1200);
    assert_drawing(SVG(MM, "<g style='fill-rule:evenodd'>"
                           "<path d='M0 0h40v40h-40z M10 10h20v20h-20z'/></g>"),
                   40, 40, 1200);
    assert_drawing(SVG(MM, "<g style='fill-rule:evenodd'><path style='fill-rule:nonzero' "
                           "d='M0 0h40v40h-40z M10 10h20v20h-20z'/></g>"),
                   40, 40, 1600);
    assert_drawing(SVG(MM, "<path fill='none' stroke='red' "
                           "d='M0 0h40v40h-40z M10 10h20v20h-20z'/>"),
                   40, 40, 1200);
}

static void test_svg_unseen(void **state) {
    (void)state;
    assert_drawing(SVG(MM, "<defs><rect width='90' height='90'/></defs>"
                           "<symbol><rect width='90' height='90'/><text>x</text></symbol>"
                           "<g display='none'><use href='#a'/><rect width='90' height='90'/></g>"
                           "<rect style='display:none' width='90' height='90'/>"
                           "<g visibility='hidden'><rect width='90' height='90'/>"
                           "<rect width='40' height='20' visibility='visible'/></g>"
                           "<rect fill='none' width='90' height='90'/>"
                           "<title>a</title><x:rect xmlns:x='urn:x' width='90' height='90'/>"
                           "<style>.a{stroke:red}</style>"),
                   40, 20, 800);
}

static void svg_refused(const char *text, th_status code, const char *word) {
    th_outline outline;
    th_error err = {0};

    if (th_outline_svg(text, strlen(text), "part.svg", &outline, &err)) {
        fail_msg("accepted: %s", text);
    }
    if (err.code != code || !strstr(err.message, word)) {
        fail_msg("code %d, line %d: %s\n(not \"%s\")\n%s", (int)err.code, err.line, err.message,
                 word, text);
    }
    assert_string_equal(err.file, "part.svg");
    th_outline_free(&outline);
}

static void test_svg_refused(void **state) {
    (void)state;
    svg_refused(SVG(MM, "<use href='#a'/>"), TH_BAD_VALUE, "<use> is not followed");
    svg_refused(SVG(MM, "<text>A</text>"), TH_BAD_VALUE, "<text>");
    svg_refused(SVG(MM, "<g clip-path='url(#a)'/>"), TH_BAD_VALUE, "clip-path");
    svg_refused(SVG(MM, "<g style='mask:url(#a)'/>"), TH_BAD_VALUE, "mask");
    svg_refused(SVG(MM, "<g style='transform:scale(2)'/>"), TH_BAD_VALUE, "transform");
    svg_refused(SVG(MM, "<style>.a{Display:block}</style>"), TH_BAD_VALUE, "display");
    svg_refused(SVG(MM, "<g transform='turn(3)'/>"), TH_BAD_SYNTAX, "transform \"turn(3)\"");
    svg_refused(SVG(MM, "<rect width='3em' height='2'/>"), TH_BAD_VALUE, "width of <rect>");
    svg_refused(SVG(MM, "<rect width='-3' height='2'/>"), TH_BAD_VALUE, "negative");
    svg_refused(SVG("viewBox='0 0 0 4'", ""), TH_BAD_VALUE, "viewBox");
    svg_refused(SVG(MM, "<path d='M0 0h40v20'/>"), TH_CONTRADICTION,
                "starts at (0, 20) mm and ends at (40, 0) mm, 44.72 mm apart");
    svg_refused(SVG(MM, "<polyline points='0 0 40 0 40 20'/>"), TH_CONTRADICTION, "is open");
    svg_refused(SVG(MM, "<line x2='40' y2='20'/>\n<g/>"), TH_MISSING, "nothing is drawn");
    svg_refused(SVG(MM, "<line x2='40' y2='20' stroke='red'/>"), TH_CONTRADICTION, "is open");
    svg_refused(SVG(MM, "<path d='M0 0L40 20H0L40 0z'/>"), TH_CONTRADICTION,
                "itself at (20, 10) mm");
    svg_refused(SVG(MM, "<rect width='20' height='20'/><rect x='10' y='5' width='20' height='9'/>"),
                TH_CONTRADICTION, "the drawing is 30 mm x 20 mm");
    svg_refused(SVG(MM, "<path d='M0 0h40v40h-40zM10 0l5 5h-10z'/>"), TH_CONTRADICTION,
                "(10, 40) mm");
    svg_refused(SVG(MM, "<path d='M0 0h40v40h-40zM10 10h5z'/>"), TH_CONTRADICTION, "no area");
    svg_refused(SVG(MM, "<path d='M0 0h40v40h-40zM10 10h20l-10 .00005z'/>"), TH_CONTRADICTION,
                "no area");
    svg_refused(SVG("", "<rect width='3m' height='2'/>"), TH_BAD_VALUE, "width");
    svg_refused(SVG("", "<rect width='3001mm' height='2mm'/>"), TH_BAD_RANGE, "3001 mm x 2 mm");
    svg_refused(SVG("", "<rect width='30mm' height='0.2mm'/>"), TH_BAD_RANGE, "30 mm x 0.2 mm");
    svg_refused(SVG("", "<rect width='1e30' height='2'/>"), TH_BAD_RANGE, "units");
    svg_refused(SVG("", "<circle r='1e300'/>"), TH_BAD_RANGE, "units");
    svg_refused(SVG(MM, "<path d='L0 0h40v20'/>"), TH_BAD_SYNTAX, "begin with M");
    svg_refused(SVG(MM, "<path d='M0 0h40v20x'/>"), TH_BAD_SYNTAX, "no such command");
    svg_refused(SVG(MM, "<path d='M0 0h40v20z 5 5'/>"), TH_BAD_SYNTAX, "command is missing");
    svg_refused(SVG(MM, "<path d='M0 0a5 5 0 2 0 4 4'/>"), TH_BAD_SYNTAX, "flag");
    svg_refused(SVG(MM, "<path d='M0 0 4'/>"), TH_BAD_SYNTAX, "number is missing");
    svg_refused(SVG(MM, "<polygon points='0 0 4'/>"), TH_BAD_SYNTAX, "pairs");
    svg_refused("<svg><rect></svg>", TH_BAD_SYNTAX, "cannot be read");
    svg_refused("<html/>", TH_BAD_SYNTAX, "no SVG");
    svg_refused("", TH_BAD_SYNTAX, "cannot be read");
    svg_refused(SVG(MM, ""), TH_MISSING, "nothing is drawn");
}

static void test_svg_entities(void **state) {
    static const char laughs[] =
        "<!DOCTYPE svg [<!ENTITY a 'ha'><!ENTITY b '&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;'>"
        "<!ENTITY c '&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;'>]><svg><title>&c;</title></svg>";
    (void)state;

    svg_refused(laughs, TH_BAD_VALUE, "declares entities");
    assert_drawing(
        "<?xml version='1.0'?><!DOCTYPE svg PUBLIC '-//W3C//DTD SVG 1.1//EN' 'svg11.dtd'>"
        "<svg><rect width='10mm' height='10mm'/></svg>",
        10, 10, 100);
}

static void test_svg_lines_of_errors(void **state) {
    const char *text =
        "<svg>\n<g>\n<rect width='5mm' height='5mm'/>\n<path\n d='M0 0L9 9'/></g></svg>";
    th_outline outline;
    th_error err = {0};
    (void)state;

    assert_false(th_outline_svg(text, strlen(text), "part.svg", &outline, &err));
    assert_int_equal(err.line, 4);
    th_outline_free(&outline);
}

static void test_svg_too_deep(void **state) {
    th_text text = {0};
    (void)state;

    th_text_put(&text, "<svg>");
    for (int i = 0; i < 300; i++) {
        th_text_put(&text, "<g>");
    }
    for (int i = 0; i < 300; i++) {
        th_text_put(&text, "</g>");
    }
    th_text_put(&text, "</svg>");
    svg_refused(text.data, TH_BAD_RANGE, "deep");
    th_text_free(&text);
}

/* ---- DXF ------------------------------------------------------------------------------------- */

#define ENTITIES(body) "0\nSECTION\n2\nENTITIES\n" body "0\nENDSEC\n0\nEOF\n"
#define UNITS(n) "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n" n "\n0\nENDSEC\n"
#define AT(x, y) "10\n" x "\n20\n" y "\n"
#define LINE(x, y, x2, y2) "0\nLINE\n8\n0\n" AT(x, y) "11\n" x2 "\n21\n" y2 "\n"
#define ARC(x, y, r, a, b) "0\nARC\n" AT(x, y) "40\n" r "\n50\n" a "\n51\n" b "\n"
#define CIRCLE(x, y, r) "0\nCIRCLE\n" AT(x, y) "40\n" r "\n"

static th_outline dxf(const char *text) {
    th_outline outline;
    th_error err = {0};

    if (!th_outline_dxf(text, strlen(text), "part.dxf", &outline, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
    return outline;
}

static void assert_dxf(const char *text, double length, double width, double area) {
    th_outline outline = dxf(text);

    assert_near(outline.length, length, 0, 0.011);
    assert_near(outline.width, width, 0, 0.011);
    assert_near(th_outline_section(&outline).area, area, 1e-9, 0);
    th_outline_free(&outline);
}

static void test_dxf_lines_and_arcs(void **state) {
    (void)state;
    /* Loose, out of order, some backwards; a slot with round ends. */
    assert_dxf(ENTITIES(LINE("0", "0", "40", "0") ARC("40", "5", "5", "-90", "90")
                            LINE("0", "10", "40", "10") ARC("0", "5", "5", "90", "270")),
               50, 10, 400 + TH_PI * 25);
    assert_dxf(ENTITIES(CIRCLE("50", "60", "20") CIRCLE("50", "60", "8")), 40, 40,
               TH_PI * (400 - 64));
    assert_dxf(ENTITIES(LINE("0", "0", "40", "0") ARC("40", "5", "5", "270", "90")
                            LINE("0", "10", "40", "10") ARC("0", "5", "5", "90", "-90")),
               50, 10, 400 + TH_PI * 25);
    /* A quarter disc whose arc runs through 0 degrees, and one that starts below it. */
    assert_dxf(ENTITIES(LINE("0", "0", "0", "-10") ARC("0", "0", "10", "270", "0")
                            LINE("10", "0", "0", "0")),
               10, 10, TH_PI * 25);
    assert_dxf(ENTITIES(LINE("0", "0", "0", "10") ARC("0", "0", "10", "-360", "-270")
                            LINE("10", "0", "0", "0")),
               10, 10, TH_PI * 25);
    /* Ends that miss each other by less than the joint. */
    {
        th_outline outline = dxf(ENTITIES(LINE("0", "0", "40.004", "0.003") LINE(
            "40", "20", "40", "0") LINE("40", "20", "0", "20") LINE("0", "20", "0", "0")));
        assert_near(th_outline_section(&outline).area, 800, 0, 0.1);
        assert_int_equal(outline.point_count, 4);
        th_outline_free(&outline);
    }
}

/* Ends up to 0.0085 mm apart on either side of a whole number of joints, in either order. */
static void test_dxf_gaps(void **state) {
    (void)state;
#define SIDE_1 LINE("0.003", "-0.003", "40.003", "0.003")
#define SIDE_2 LINE("39.997", "-0.003", "40.003", "20.003")
#define SIDE_3 LINE("39.997", "19.997", "-0.003", "20.003")
#define SIDE_4 LINE("0.003", "19.997", "-0.003", "-0.003")
    static const char *const texts[] = {ENTITIES(SIDE_1 SIDE_2 SIDE_3 SIDE_4),
                                        ENTITIES(SIDE_4 SIDE_3 SIDE_2 SIDE_1),
                                        ENTITIES(SIDE_3 SIDE_1 SIDE_4 SIDE_2)};
    for (size_t i = 0; i < 3; i++) {
        th_outline outline = dxf(texts[i]);
        assert_int_equal(outline.point_count, 4);
        assert_near(th_outline_section(&outline).area, 800, 0, 0.5);
        th_outline_free(&outline);
    }
}

/* A ring of many short lines, shuffled and some of them turned round, comes back whole. */
static void test_dxf_shuffled_lines(void **state) {
    th_outline outline = toothed(1500, 40), again;
    const th_ring *ring = &outline.rings[0];
    size_t order[1500];
    unsigned seed = 7;
    th_text text = {0};
    th_error err = {0};
    (void)state;

    for (size_t i = 0; i < 1500; i++) {
        size_t k = dice(&seed, (unsigned)i + 1);
        order[i] = order[k];
        order[k] = i;
    }
    th_text_put(&text, "0\nSECTION\n2\nENTITIES\n");
    for (size_t i = 0; i < 1500; i++) {
        th_point p = ring->points[order[i]], q = ring->points[(order[i] + 1) % 1500];
        if (dice(&seed, 2) == 0) {
            th_point kept = p;
            p = q;
            q = kept;
        }
        th_text_add(&text, "0\nLINE\n10\n%.4f\n20\n%.4f\n11\n%.4f\n21\n%.4f\n", p.x, p.y, q.x, q.y);
    }
    th_text_put(&text, "0\nENDSEC\n0\nEOF\n");
    if (!th_outline_dxf(text.data, text.size, "part.dxf", &again, &err)) {
        fail_msg("%s", err.message);
    }
    assert_int_equal(again.ring_count, 1);
    assert_int_equal(again.point_count, 1500);
    assert_near(th_outline_section(&again).area, th_section_polygon(ring->points, ring->count).area,
                1e-5, 0);
    th_text_free(&text);
    th_outline_free(&again);
    th_outline_free(&outline);
}

#define POLY(closed, body) "0\nLWPOLYLINE\n90\n4\n70\n" closed "\n" body
#define OLD(closed, body) "0\nPOLYLINE\n66\n1\n70\n" closed "\n" body "0\nSEQEND\n"
#define VERTEX(x, y, bulge) "0\nVERTEX\n" AT(x, y) "42\n" bulge "\n"

static void test_dxf_bulges(void **state) {
    double quarter = tan(TH_PI / 8);
    char text[1000];
    (void)state;

    /* A half disc: one edge with bulge 1, and the same with it on the closing edge. */
    assert_dxf(ENTITIES(POLY("1", AT("0", "0") "42\n1\n" AT("30", "0"))), 30, 15, TH_PI * 225 / 2);
    assert_dxf(ENTITIES(POLY("1", AT("30", "0") AT("0", "0") "42\n1\n")), 30, 15, TH_PI * 225 / 2);
    assert_dxf(ENTITIES(OLD("1", VERTEX("30", "0", "0") VERTEX("0", "0", "1"))), 30, 15,
               TH_PI * 225 / 2);
    /* A disc of two of them, and a square with a bite out of its last edge. */
    assert_dxf(ENTITIES(POLY("1", AT("0", "0") "42\n1\n" AT("30", "0") "42\n1\n")), 30, 30,
               TH_PI * 225);
    assert_dxf(
        ENTITIES(POLY("1", AT("0", "0") AT("30", "0") AT("30", "30") AT("0", "30") "42\n-1\n")), 30,
        30, 900 - TH_PI * 225 / 2);
    /* Not closed, but it ends where it began. */
    assert_dxf(ENTITIES(POLY("0", AT("0", "0") AT("30", "0") AT("30", "30") AT("0", "0"))), 30, 30,
               450);
    /* Quarter circles at the corners of a square: bulge tan(90/4). */
    snprintf(text, sizeof text,
             ENTITIES(POLY("1", AT("0", "0") "42\n%.17g\n" AT(
                                    "30", "0") "42\n"
                                               "%.17g\n" AT("30", "30") "42\n%.17g\n" AT(
                                                   "0", "30") "42\n%.17g\n")),
             quarter, quarter, quarter, quarter);
    assert_dxf(text, 2 * 15 * sqrt(2), 2 * 15 * sqrt(2), TH_PI * 450);
}

static void test_dxf_units(void **state) {
    (void)state;
    assert_dxf(UNITS("1") ENTITIES(CIRCLE("0", "0", "1")), 50.8, 50.8, TH_PI * 25.4 * 25.4);
    assert_dxf(UNITS("4") ENTITIES(CIRCLE("0", "0", "10")), 20, 20, TH_PI * 100);
    assert_dxf(UNITS("0") ENTITIES(CIRCLE("0", "0", "10")), 20, 20, TH_PI * 100);
    assert_dxf(UNITS("5") ENTITIES(CIRCLE("0", "0", "1")), 20, 20, TH_PI * 100);
    assert_dxf(UNITS("6") ENTITIES(CIRCLE("0", "0", ".01")), 20, 20, TH_PI * 100);
}

#define BLOCK(name, body)                                                                          \
    "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\n" name "\n" AT("5", "5") body                       \
        "0\nENDBLK\n8\n0\n0\nENDSEC\n"

static void test_dxf_blocks(void **state) {
    (void)state;
    assert_dxf(BLOCK("B", POLY("1", AT("5", "5") AT("15", "5") AT("15", "10")))
                   ENTITIES("0\nINSERT\n2\nb\n" AT("100", "50") "41\n2\n42\n3\n50\n90\n"),
               15, 20, 150);
    /* Not inserted, not drawn; a hole placed by an insertion; an array of three. */
    assert_dxf(BLOCK("B", CIRCLE("5", "5", "3")) ENTITIES(CIRCLE("0", "0", "10")), 20, 20,
               TH_PI * 100);
    assert_dxf(BLOCK("B", CIRCLE("5", "5", "3"))
                   ENTITIES(CIRCLE("0", "0", "10") "0\nINSERT\n2\nB\n" AT("1", "1")),
               20, 20, TH_PI * 91);
    assert_dxf(BLOCK("B", CIRCLE("5", "5", "1")) ENTITIES(
                   CIRCLE("0", "0", "10") "0\nINSERT\n2\nB\n" AT("-5", "0") "70\n3\n44\n5\n"),
               20, 20, TH_PI * 97);
    /* Drawn on a plane that faces down: x runs the other way. */
    assert_dxf(ENTITIES(CIRCLE("30", "0", "40") "0\nCIRCLE\n" AT("-50", "0") "40\n8\n230\n-1\n"),
               80, 80, TH_PI * (1600 - 64));
}

static void test_dxf_unseen(void **state) {
    (void)state;
    assert_dxf(
        "999\nmade by hand\n0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n"
        "0\nLAYER\n2\nOFF\n70\n0\n62\n-7\n0\nLAYER\n2\nICE\n70\n1\n62\n7\n"
        "0\nLAYER\n2\nON\n70\n0\n62\n7\n0\nENDTAB\n0\nENDSEC\n" ENTITIES("0\nCIRCLE\n8\noff\n" AT(
            "0", "0") "40\n50\n"
                      "0\nSPLINE\n8\nICE\n"
                      "0\nCIRCLE\n8\nON\n" AT(
                          "0", "0") "40\n20\n"
                                    "0\nCIRCLE\n60\n1\n" AT(
                                        "0", "0") "40\n50\n"
                                                  "0\nCIRCLE\n67\n1\n" AT(
                                                      "0", "0") "40\n50\n"
                                                                "0\nTEXT\n1\nhello\n"),
        40, 40, TH_PI * 400);
}

static void dxf_refused(const char *text, th_status code, const char *word) {
    th_outline outline;
    th_error err = {0};

    if (th_outline_dxf(text, strlen(text), "part.dxf", &outline, &err)) {
        fail_msg("accepted: %s", text);
    }
    if (err.code != code || !strstr(err.message, word)) {
        fail_msg("code %d, line %d: %s (not \"%s\")", (int)err.code, err.line, err.message, word);
    }
    assert_string_equal(err.file, "part.dxf");
    th_outline_free(&outline);
}

static void test_dxf_refused(void **state) {
    th_outline outline;
    th_error err = {0};
    (void)state;

    dxf_refused(ENTITIES("0\nSPLINE\n"), TH_BAD_VALUE, "SPLINE");
    dxf_refused(ENTITIES("0\nELLIPSE\n"), TH_BAD_VALUE, "ELLIPSE");
    dxf_refused(ENTITIES("0\n3DSOLID\n"), TH_BAD_VALUE, "3DSOLID");
    dxf_refused(ENTITIES(LINE("0", "0", "40", "0") LINE("40", "0", "40", "20")), TH_CONTRADICTION,
                "44.72 mm apart");
    dxf_refused(ENTITIES(LINE("0", "0", "40", "0") LINE("40", "0", "40", "20")
                             LINE("40", "20", "0", "0.02")),
                TH_CONTRADICTION, "0.02 mm apart");
    /* A line drawn twice encloses nothing. */
    dxf_refused(ENTITIES(LINE("0", "0", "40", "20") LINE("0", "0", "40", "20")), TH_CONTRADICTION,
                "no area");
    dxf_refused(ENTITIES(CIRCLE("0", "0", "10") CIRCLE("15", "0", "10")), TH_CONTRADICTION,
                "overlap");
    dxf_refused(UNITS("4") ENTITIES(CIRCLE("0", "0", "1001")), TH_BAD_RANGE,
                "2002.01 mm x 2002.01 mm");
    dxf_refused(UNITS("20") ENTITIES(""), TH_BAD_VALUE, "$INSUNITS");
    dxf_refused(ENTITIES(CIRCLE("0", "x", "10")), TH_BAD_VALUE, "\"x\" is not a number");
    dxf_refused(ENTITIES(CIRCLE("0", "0", "0")), TH_BAD_VALUE, "radius");
    dxf_refused(ENTITIES("0\nINSERT\n2\nB\n"), TH_BAD_VALUE, "block \"B\"");
    dxf_refused(BLOCK("B", "0\nINSERT\n2\nB\n") ENTITIES("0\nINSERT\n2\nB\n"), TH_BAD_RANGE,
                "too deeply");
    dxf_refused(BLOCK("B", "") ENTITIES("0\nINSERT\n2\nB\n70\n1e300\n"), TH_BAD_RANGE, "too often");
    dxf_refused(ENTITIES("0\nCIRCLE\n210\n1\n230\n0\n" AT("0", "0") "40\n9\n"), TH_BAD_VALUE,
                "tilted");
    dxf_refused("0\nSECTION\n2\nENTITIES\n0\nLINE\n", TH_BAD_SYNTAX, "cut short");
    dxf_refused("0\nSECTION\n2\nENTITIES\nLINE\n", TH_BAD_SYNTAX, "group code");
    dxf_refused("0\nEOF\n", TH_MISSING, "ENTITIES");
    dxf_refused("", TH_BAD_SYNTAX, "cut short");
    dxf_refused(ENTITIES(""), TH_MISSING, "nothing is drawn");
    assert_false(th_outline_dxf("0\0\n", 3, "part.dxf", &outline, &err));
    assert_non_null(strstr(err.message, "binary"));
    th_outline_free(&outline);
}

/* ---- files ----------------------------------------------------------------------------------- */

static void written(const char *path, const char *text, size_t size) {
    FILE *file = fopen(path, "wb");

    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, size, file), size);
    assert_int_equal(fclose(file), 0);
}

static bool read_back(const char *path, const char *text, size_t size, th_error *err) {
    th_outline outline;
    bool done;

    written(path, text, size);
    *err = (th_error){0};
    done = th_outline_read(path, &outline, err);
    assert_true(!done || outline.ring_count > 0);
    th_outline_free(&outline);
    remove(path);
    return done;
}

static void test_reading_files(void **state) {
    static const char drawing[] = SVG(MM, "<rect width='40' height='20'/>");
    static const char lines[] = ENTITIES(CIRCLE("0", "0", "10"));
    char path[64], *large;
    th_outline outline;
    th_error err;
    (void)state;

    snprintf(path, sizeof path, "test_outline.%d.tmp", (int)(clock() % 100000));
    /* What it is shows in its first letters, whatever its name. */
    assert_true(read_back(path, drawing, strlen(drawing), &err));
    assert_true(read_back(path, lines, strlen(lines), &err));
    assert_false(read_back(path, "hello", 5, &err));
    assert_non_null(strstr(err.message, "must be an SVG"));
    assert_false(read_back(path, "", 0, &err));
    assert_int_equal(err.code, TH_BAD_FILE);
    assert_string_equal(err.file, path);
    large = calloc(1, (size_t)TH_OUTLINE_SIZE_MAX + 1);
    assert_non_null(large);
    assert_false(read_back(path, large, (size_t)TH_OUTLINE_SIZE_MAX + 1, &err));
    assert_non_null(strstr(err.message, "larger than 4 MiB"));
    free(large);
    assert_false(th_outline_read("no/such/file.svg", &outline, &err));
    assert_int_equal(err.code, TH_BAD_FILE);
    assert_false(th_outline_read(".", &outline, &err));
}

/* ---- time ------------------------------------------------------------------------------------ */

/* A comb of long teeth side by side, leaning, so that neither rows nor columns keep them apart. */
static double comb_seconds(int teeth) {
    th_path path = th_path_new(0);
    clock_t start = clock();
    th_outline outline;

    th_path_move(&path, (th_point){-10, 0});
    for (int i = 0; i < teeth; i++) {
        double x = 1000.0 * i / teeth;
        th_path_line(&path, (th_point){x + 500, 900});
        th_path_line(&path, (th_point){x + 500.0 / teeth, 1});
    }
    th_path_line(&path, (th_point){1000, 0});
    th_path_close(&path);
    outline = finished(&path);
    assert_int_equal(outline.point_count, 2 * teeth + 2);
    th_outline_free(&outline);
    return (double)(clock() - start) / CLOCKS_PER_SEC;
}

static void test_many_edges_in_time(void **state) {
    double small = comb_seconds(5000);
    (void)state;

    /* Quadratic time would be 100 times; a floor keeps the clock's grain out of it. */
    assert_true(comb_seconds(50000) < 40 * fmax(small, 0.01));
}

static void test_out_of_every_locale(void **state) {
    (void)state;
    if (setlocale(LC_ALL, "de_DE.UTF-8") || setlocale(LC_ALL, "fr_FR.UTF-8")) {
        assert_drawing(SVG(MM, "<rect width='40.5' height='20.25'/>"), 40.5, 20.25, 40.5 * 20.25);
    }
    setlocale(LC_ALL, "C");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_section_functions),
        cmocka_unit_test(test_tee_and_channel),
        cmocka_unit_test(test_rolled_angle),
        cmocka_unit_test(test_unequal_angle),
        cmocka_unit_test(test_rolled_beam),
        cmocka_unit_test(test_round_sections),
        cmocka_unit_test(test_hollow_rectangle),
        cmocka_unit_test(test_ellipses_within_tolerance),
        cmocka_unit_test(test_arcs_within_tolerance),
        cmocka_unit_test(test_cubics_within_tolerance),
        cmocka_unit_test(test_tolerance_after_affine),
        cmocka_unit_test(test_parabola_area),
        cmocka_unit_test(test_shape_with_openings),
        cmocka_unit_test(test_shapes_refused),
        cmocka_unit_test(test_crossings_against_all_pairs),
        cmocka_unit_test(test_fill_rules),
        cmocka_unit_test(test_too_deep),
        cmocka_unit_test(test_points),
        cmocka_unit_test(test_cells_add_up),
        cmocka_unit_test(test_each_cell),
        cmocka_unit_test(test_edges_on_grid_lines),
        cmocka_unit_test(test_svg_units),
        cmocka_unit_test(test_svg_alignment),
        cmocka_unit_test(test_svg_shapes),
        cmocka_unit_test(test_svg_paths),
        cmocka_unit_test(test_svg_curves),
        cmocka_unit_test(test_svg_turned_over),
        cmocka_unit_test(test_svg_transforms),
        cmocka_unit_test(test_svg_fill_rules),
        cmocka_unit_test(test_svg_unseen),
        cmocka_unit_test(test_svg_refused),
        cmocka_unit_test(test_svg_entities),
        cmocka_unit_test(test_svg_lines_of_errors),
        cmocka_unit_test(test_svg_too_deep),
        cmocka_unit_test(test_dxf_lines_and_arcs),
        cmocka_unit_test(test_dxf_gaps),
        cmocka_unit_test(test_dxf_shuffled_lines),
        cmocka_unit_test(test_dxf_bulges),
        cmocka_unit_test(test_dxf_units),
        cmocka_unit_test(test_dxf_blocks),
        cmocka_unit_test(test_dxf_unseen),
        cmocka_unit_test(test_dxf_refused),
        cmocka_unit_test(test_reading_files),
        cmocka_unit_test(test_many_edges_in_time),
        cmocka_unit_test(test_out_of_every_locale),
    };
    return cmocka_run_group_tests_name("outline", tests, NULL, NULL);
}
