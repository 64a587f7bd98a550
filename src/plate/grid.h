/* grid.h - points with whole coordinates, and on which side of a line they lie, exactly. */
#ifndef PLATE_GRID_H
#define PLATE_GRID_H

#include "tackhold/tables.h"

#include <float.h>
#include <math.h>
#include <stdint.h>

/* Coordinates count 2^-19 mm. Differences stay below 2^35, so they are exact as doubles. */
#define GRID_UNIT (1.0 / 524288)

typedef struct {
    int64_t x, y;
} grid_point;

static inline grid_point grid_rounded(th_point p) {
    return (grid_point){(int64_t)llround(p.x / GRID_UNIT), (int64_t)llround(p.y / GRID_UNIT)};
}

/* By x, then y: the order in which a line turned a hair sweeps over the points. */
static inline int grid_order(grid_point a, grid_point b) {
    if (a.x != b.x) {
        return a.x < b.x ? -1 : 1;
    }
    return (a.y > b.y) - (a.y < b.y);
}

static inline bool grid_same(grid_point a, grid_point b) {
    return a.x == b.x && a.y == b.y;
}

/* dx ey - dy ex within 1.5 units in the last place, so with its true sign (Kahan's way with the
 * fused product: Jeannerod, Louvet and Muller 2013). */
static inline double grid_cross(double dx, double dy, double ex, double ey) {
    double product = dy * ex;
    double lost = fma(-dy, ex, product);

    return fma(dx, ey, -product) + lost;
}

/* Which side of a to b the point c lies on: 1 left, -1 right, 0 on the line. */
static inline int grid_side(grid_point a, grid_point b, grid_point c) {
    double dx = (double)(b.x - a.x), dy = (double)(b.y - a.y);
    double ex = (double)(c.x - a.x), ey = (double)(c.y - a.y);
    double p = dx * ey, q = dy * ex, twice = p - q;

    if (fabs(twice) <= 4 * DBL_EPSILON * (fabs(p) + fabs(q))) {
        twice = grid_cross(dx, dy, ex, ey);
    }
    return (twice > 0) - (twice < 0);
}

#endif
