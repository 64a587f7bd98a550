/* test_plate_place.c - where the plate judges its tape along edges that cut cells: by geometry, and
 * by turning and mirroring the same part. */
#include <math.h>
#include <string.h>

#include "plate_system.h"
#include "support/draft.h"

enum { CELLS = 5, LINES = CELLS + 1, NODES = LINES * LINES };

typedef struct {
    double xs[LINES], ys[LINES];
    th_plate_cell cells[CELLS * CELLS];
    int number[NODES];
    th_plate_model model;
} field;

static void lay(field *f) {
    for (int n = 0; n < NODES; n++) {
        f->number[n] = n;
    }
    f->model = (th_plate_model){
        .nx = CELLS, .ny = CELLS, .xs = f->xs, .ys = f->ys, .cells = f->cells, .number = f->number};
}

/* A node's place, without a known edge. */
static th_plate_place place_of(const field *f, int i, int j) {
    return th_plate_place_of(&f->model, NULL, (size_t)(j * LINES + i));
}

/* Whether any cell beside a node holds something. */
static bool bonded(const field *f, int i, int j) {
    for (int k = 0; k < 4; k++) {
        int ci = i - k % 2, cj = j - k / 2;
        if (ci >= 0 && cj >= 0 && ci < CELLS && cj < CELLS &&
            f->cells[cj * CELLS + ci].bonded > 0) {
            return true;
        }
    }
    return false;
}

/* ---- straight edges ---------------------------------------------------------------------------
 */

/* Share of the box where nx x + ny y <= c: fine strips along x, each exact along y. */
static double share_below(const double box[4], double nx, double ny, double c) {
    enum { STRIPS = 2000 };
    double sum = 0;

    for (int s = 0; s < STRIPS; s++) {
        double x = box[0] + (s + 0.5) / STRIPS * (box[2] - box[0]);
        double top = ny > 0 ? (c - nx * x) / ny : nx * x <= c ? INFINITY : -INFINITY;
        sum += fmin(fmax((top - box[1]) / (box[3] - box[1]), 0), 1) / STRIPS;
    }
    return sum;
}

/* Metal on one side of a line; cells of unequal sides where `uneven`. */
static void half_plane(double nx, double ny, double c, bool uneven, field *f) {
    static const double steps[] = {0, 0.8, 2, 3.1, 3.9, 5};

    for (int i = 0; i < LINES; i++) {
        f->xs[i] = uneven ? steps[i] : i;
        f->ys[i] = uneven ? 1.3 * steps[i] : i;
    }
    for (int j = 0; j < CELLS; j++) {
        for (int i = 0; i < CELLS; i++) {
            double box[4] = {f->xs[i], f->ys[j], f->xs[i + 1], f->ys[j + 1]};
            double share = share_below(box, nx, ny, c);
            f->cells[j * CELLS + i] = (th_plate_cell){share > 0 ? 2.0 : 0, 0.9 * share, share};
        }
    }
    lay(f);
}

/* A node in the metal is judged where it stands, one beyond the edge at its foot on it. */
static void expect_feet(const field *f, double nx, double ny, double c, double off) {
    int feet = 0;

    for (int j = 0; j < LINES; j++) {
        for (int i = 0; i < LINES; i++) {
            double beyond = nx * f->xs[i] + ny * f->ys[j] - c;
            th_plate_place at;
            if (!bonded(f, i, j)) {
                continue;
            }
            at = place_of(f, i, j);
            assert_near(at.x, f->xs[i] - fmax(beyond, 0) * nx, 0, off);
            assert_near(at.y, f->ys[j] - fmax(beyond, 0) * ny, 0, off);
            feet += beyond > 0;
        }
    }
    assert_true(feet >= CELLS);
}

static void a_straight_edge_is_met_at_right_angles(void **state) {
    field f;

    (void)state;
    half_plane(1, 0, 2.3, true, &f);
    expect_feet(&f, 1, 0, 2.3, 1e-3);
    half_plane(0, 1, 3.4, true, &f);
    expect_feet(&f, 0, 1, 3.4, 1e-9);
    for (double c = 4.1; c < 6; c += 0.3) { /* corner to corner, sliver, or nearly all of a cell */
        half_plane(sqrt(0.5), sqrt(0.5), c * sqrt(0.5), false, &f);
        for (int j = 1; j < CELLS; j++) {
            int i = (int)ceil(c) - j; /* just beyond */
            th_plate_place at;
            if (i < 2 || i > 3 || j < 2 || j > 3) {
                continue; /* the border tells the cells beside it too little of the slant */
            }
            at = place_of(&f, i, j);
            assert_near(at.x, i - (i + j - c) / 2, 0, 2e-3);
            assert_near(at.y, j - (i + j - c) / 2, 0, 2e-3);
        }
    }
}

/* Shares of the corners put a place where it says that it is. */
static void a_place_is_the_mean_of_its_corners(void **state) {
    field f;

    (void)state;
    half_plane(0.6, 0.8, 3.3, true, &f);
    for (int j = 0; j < LINES; j++) {
        for (int i = 0; i < LINES; i++) {
            th_plate_place at;
            double x = 0, y = 0, sum = 0;
            if (!bonded(&f, i, j)) {
                continue;
            }
            at = place_of(&f, i, j);
            for (int k = 0; k < 4; k++) {
                x += at.share[k] * f.xs[at.number[k] % LINES];
                y += at.share[k] * f.ys[at.number[k] / LINES];
                sum += at.share[k];
                assert_true(at.share[k] >= 0);
            }
            assert_near(sum, 1, 1e-12, 0);
            assert_near(x, at.x, 1e-12, 0);
            assert_near(y, at.y, 1e-12, 0);
            assert_true(0.6 * at.x + 0.8 * at.y < 3.3 + 0.1); /* slanted: as cells tell it */
        }
    }
}

/* ---- turned and mirrored ----------------------------------------------------------------------
 */

/* Cells any which way filled, some empty, some full. */
static void scatter(dice *r, field *f) {
    for (int i = 0; i < LINES; i++) {
        f->xs[i] = i == 0 ? 0 : f->xs[i - 1] + between(r, 0.5, 1.5);
        f->ys[i] = i == 0 ? 0 : f->ys[i - 1] + between(r, 0.5, 1.5);
    }
    for (int c = 0; c < CELLS * CELLS; c++) {
        double share = fmin(fmax(between(r, -0.3, 1.4), 0), 1);
        f->cells[c] = (th_plate_cell){2, share, share};
    }
    lay(f);
}

static void swap_axes(const field *from, field *to) {
    memcpy(to->xs, from->ys, sizeof to->xs);
    memcpy(to->ys, from->xs, sizeof to->ys);
    for (int j = 0; j < CELLS; j++) {
        for (int i = 0; i < CELLS; i++) {
            to->cells[i * CELLS + j] = from->cells[j * CELLS + i];
        }
    }
    lay(to);
}

static void mirror(const field *from, field *to) {
    memcpy(to->ys, from->ys, sizeof to->ys);
    for (int i = 0; i < LINES; i++) {
        to->xs[i] = from->xs[CELLS] - from->xs[CELLS - i];
    }
    for (int j = 0; j < CELLS; j++) {
        for (int i = 0; i < CELLS; i++) {
            to->cells[j * CELLS + i] = from->cells[j * CELLS + CELLS - 1 - i];
        }
    }
    lay(to);
}

static void turned_and_mirrored_it_is_the_same_part(void **state) {
    dice r = {20250711};
    field f, swapped, mirrored;

    (void)state;
    for (int round = 0; round < 100; round++) {
        scatter(&r, &f);
        swap_axes(&f, &swapped);
        mirror(&f, &mirrored);
        for (int n = 0; n < NODES; n++) {
            int i = n % LINES, j = n / LINES;
            th_plate_place at, s, m;
            if (!bonded(&f, i, j)) {
                continue;
            }
            at = place_of(&f, i, j);
            s = place_of(&swapped, j, i);
            m = place_of(&mirrored, CELLS - i, j);
            assert_near(s.x, at.y, 1e-9, 1e-9);
            assert_near(s.y, at.x, 1e-9, 1e-9);
            assert_near(m.x, f.xs[CELLS] - at.x, 1e-9, 1e-9);
            assert_near(m.y, at.y, 1e-9, 1e-9);
            /* in a cell beside its node */
            assert_true(at.x >= f.xs[i ? i - 1 : 0] && at.x <= f.xs[i < CELLS ? i + 1 : i]);
            assert_true(at.y >= f.ys[j ? j - 1 : 0] && at.y <= f.ys[j < CELLS ? j + 1 : j]);
        }
    }
}

/* ---- a drawn edge -----------------------------------------------------------------------------
 */

/* Metal up to a corner that lies within a cell, its sides along the axes. */
static void a_drawn_corner_is_judged_at_its_tip(void **state) {
    const double x = 3.3, y = 2.6;
    static th_point points[4] = {{-9, -9}, {3.3, -9}, {3.3, 2.6}, {-9, 2.6}};
    th_ring ring = {.points = points, .count = 4};
    th_outline edge = {.rings = &ring, .ring_count = 1};
    field f;

    (void)state;
    half_plane(1, 0, x, false, &f);
    for (int c = 0; c < CELLS * CELLS; c++) {
        double tall = fmin(fmax(y - c / CELLS, 0), 1);
        f.cells[c].bonded *= tall;
        f.cells[c].filled *= tall;
        f.cells[c].thickness = tall > 0 ? f.cells[c].thickness : 0;
    }
    for (int n = 0; n < NODES; n++) {
        int i = n % LINES, j = n / LINES;
        th_plate_place at;
        if (!bonded(&f, i, j)) {
            continue;
        }
        at = th_plate_place_of(&f.model, &edge, (size_t)n);
        if (i <= 3 && j <= 2) { /* beside a full cell */
            assert_true(at.x == i && at.y == j && at.number[0] == n && at.share[0] == 1);
        } else if (i >= 3 && j >= 2) { /* the tip is in a cell beside it */
            assert_near(at.x, x, 1e-12, 0);
            assert_near(at.y, y, 1e-12, 0);
        } else { /* the foot on its side */
            assert_near(at.x, fmin(i, x), 1e-12, 0);
            assert_near(at.y, fmin(j, y), 1e-12, 0);
        }
    }
}

/* Whole but for the four cells about the node 3, 3, so that there the edge tells. */
static void slab(field *f) {
    half_plane(1, 0, CELLS, false, f);
    for (int c = 0; c < CELLS * CELLS; c++) {
        f->cells[c].bonded = f->cells[c].filled =
            c % CELLS / 2 == 1 && c / CELLS / 2 == 1 ? 0.5 : 1;
    }
}

/* The sharpest corner about a node counts, where its edge turns by over 20 degrees. */
static void the_sharpest_corner_counts(void **state) {
    static const struct {
        double x, y; /* of a corner between two others, material below */
        bool tip;
    } bends[] = {{3.2, 2.5, true}, {3.2, 2.75, true}, {3.2, 2.18, true}, {3.2, 2.17, false}};
    /* both in the box about the node 3, 3: a spike to the right, and a square corner above it */
    static th_point spiked[] = {{-9, -9},   {2.3, -9},  {2.3, 2.2}, {3.7, 2.4},
                                {2.3, 2.6}, {2.3, 3.2}, {-9, 3.2}};
    th_ring ring = {.points = spiked, .count = sizeof spiked / sizeof *spiked};
    th_outline edge = {.rings = &ring, .ring_count = 1};
    th_plate_place at;
    field f;

    (void)state;
    slab(&f);
    at = th_plate_place_of(&f.model, &edge, 3 * LINES + 3);
    assert_near(at.x, 3.7, 1e-12, 0);
    assert_near(at.y, 2.4, 1e-12, 0);
    for (size_t i = 0; i < sizeof bends / sizeof *bends; i++) {
        th_point points[] = {{-9, -9}, {9, -9}, {9, 2}, {4.2, 2}, {bends[i].x, bends[i].y},
                             {2.2, 2}, {-9, 2}};
        bool tip;
        ring = (th_ring){.points = points, .count = sizeof points / sizeof *points};
        at = th_plate_place_of(&f.model, &edge, 3 * LINES + 3);
        tip = hypot(at.x - bends[i].x, at.y - bends[i].y) < 1e-9;
        assert_int_equal(tip, bends[i].tip);
    }
}

/* Cells that end where the part does: each node of them is judged where it stands, those beside a
 * corner too, though of the drawn edge, a hair inside of them, that corner is the sharpest place.
 */
static void where_cells_end_with_the_part_nodes_stay(void **state) {
    const double low = 1 + 1e-12, high = 4 - 1e-12;
    th_point points[] = {{low, low}, {high, low}, {high, high}, {low, high}};
    th_ring ring = {.points = points, .count = sizeof points / sizeof *points};
    th_outline edge = {.rings = &ring, .ring_count = 1};
    field f;

    (void)state;
    half_plane(1, 0, CELLS, false, &f);
    for (int c = 0; c < CELLS * CELLS; c++) {
        if (c % CELLS % 4 == 0 || c / CELLS % 4 == 0) {
            f.cells[c] = (th_plate_cell){0, 0, 0};
        }
    }
    for (int j = 1; j <= 4; j++) {
        for (int i = 1; i <= 4; i++) {
            th_plate_place at = th_plate_place_of(&f.model, &edge, (size_t)(j * LINES + i));
            assert_int_equal(at.number[0], j * LINES + i);
            assert_true(at.x == i && at.y == j && at.share[0] == 1);
        }
    }
}

/* The nearest place of an edge that has no corner there, from any side. */
static void a_drawn_edge_is_met_at_right_angles(void **state) {
    (void)state;
    for (int turn = 0; turn < 360; turn += 15) {
        double c = cos(turn * TH_PI / 180), s = sin(turn * TH_PI / 180);
        th_point points[4]; /* the metal lies where c x + s y is below 0, from the node 3, 3 */
        th_ring ring = {.points = points, .count = 4};
        th_outline edge = {.rings = &ring, .ring_count = 1};
        th_plate_place at;
        field f;
        slab(&f);
        for (int i = 0; i < LINES; i++) {
            f.xs[i] *= 0.8;
            f.ys[i] *= 1.25;
        }
        for (int k = 0; k < 4; k++) {
            double out = k % 3 ? -0.4 : -50, along = k < 2 ? -50 : 50;
            points[k] = (th_point){f.xs[3] + c * out - s * along, f.ys[3] + s * out + c * along};
        }
        at = th_plate_place_of(&f.model, &edge, 3 * LINES + 3);
        assert_near(at.x, f.xs[3] - 0.4 * c, 1e-12, 0);
        assert_near(at.y, f.ys[3] - 0.4 * s, 1e-12, 0);
    }
}

/* A corner in a cell that the node does not touch is another node's: this one has its foot on the
 * edge between. */
static void a_corner_further_off_does_not_count(void **state) {
    (void)state;
    for (int turn = 0; turn < 4; turn++) {
        for (int side = -1; side <= 1; side += 2) { /* a spike to its left or right */
            th_point points[] = {{-50, -50},        {50, -50},
                                 {50, -0.2},        {side * 1.5 + 0.2, -0.2},
                                 {side * 1.5, 0.6}, {side * 1.5 - 0.2, -0.2},
                                 {-50, -0.2}};
            int c = turn % 2 ? 0 : 1 - turn, s = turn % 2 ? 2 - turn : 0;
            th_ring ring = {.points = points, .count = sizeof points / sizeof *points};
            th_outline edge = {.rings = &ring, .ring_count = 1};
            th_plate_place at;
            field f;
            slab(&f);
            for (size_t k = 0; k < ring.count; k++) { /* turned about the node 3, 3 */
                th_point p = points[k];
                points[k] = (th_point){3 + c * p.x - s * p.y, 3 + s * p.x + c * p.y};
            }
            at = th_plate_place_of(&f.model, &edge, 3 * LINES + 3);
            assert_near(at.x, 3 + 0.2 * s, 1e-12, 0);
            assert_near(at.y, 3 - 0.2 * c, 1e-12, 0);
        }
    }
}

/* The tip of a thin wedge on a corner of the grid: of the four cells that meet there the one that
 * holds the metal carries it, whichever that is. */
static void a_tip_where_lines_cross_is_its_cell_s(void **state) {
    (void)state;
    for (int quarter = 0; quarter < 4; quarter++) {
        int sx = quarter % 2 ? 1 : -1, sy = quarter / 2 ? 1 : -1;
        th_point points[] = {{3, 3}, {3 + sx * 1.5, 3 + sy * 2.5}, {3 + sx * 2.5, 3 + sy * 1.5}};
        th_ring ring = {.points = points, .count = 3};
        th_outline edge = {.rings = &ring, .ring_count = 1};
        th_plate_place at;
        field f;
        if (sx * sy > 0) { /* counterclockwise */
            th_point last = points[2];
            points[2] = points[1];
            points[1] = last;
        }
        half_plane(1, 0, -1, false, &f);
        for (int j = 0; j < CELLS; j++) {
            for (int i = 0; i < CELLS; i++) {
                bool beside = (sx > 0 ? i >= 3 : i < 3) && (sy > 0 ? j >= 3 : j < 3);
                f.cells[j * CELLS + i] =
                    beside ? (th_plate_cell){2, 0.3, 0.3} : (th_plate_cell){0, 0, 0};
            }
        }
        f.cells[(3 + (sy > 0 ? 1 : -2)) * CELLS + 3 + (sx > 0 ? 1 : -2)].bonded = 0.9;
        at = th_plate_place_of(&f.model, &edge, (size_t)(3 * LINES + 3 + sx));
        assert_near(at.x, 3, 1e-9, 0);
        assert_near(at.y, 3, 1e-9, 0);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_straight_edge_is_met_at_right_angles),
        cmocka_unit_test(a_place_is_the_mean_of_its_corners),
        cmocka_unit_test(turned_and_mirrored_it_is_the_same_part),
        cmocka_unit_test(a_drawn_corner_is_judged_at_its_tip),
        cmocka_unit_test(the_sharpest_corner_counts),
        cmocka_unit_test(where_cells_end_with_the_part_nodes_stay),
        cmocka_unit_test(a_drawn_edge_is_met_at_right_angles),
        cmocka_unit_test(a_corner_further_off_does_not_count),
        cmocka_unit_test(a_tip_where_lines_cross_is_its_cell_s),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
