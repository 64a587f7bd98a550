/* picture_contour.c - lines of equal value, cell by cell (marching squares). */
#include "picture_contour.h"

#include <math.h>

/* Lines of a margin on each side: one that carries the edge's values on, one below every level. */
enum { MARGIN = 2 };

#define BELOW (-1e9)

/* ---- the grid -------------------------------------------------------------------------------- */

static void widen(const double *from, size_t count, double margin, double *to) {
    for (size_t i = 0; i < count; i++) {
        to[i + MARGIN] = from[i];
    }
    for (size_t k = 1; k <= MARGIN; k++) {
        to[MARGIN - k] = from[0] - (double)k * margin;
        to[MARGIN + count - 1 + k] = from[count - 1] + (double)k * margin;
    }
}

/* Mean of the neighbours that have a value. */
static double round_about(const th_contour *c, size_t i, size_t j) {
    double sum = 0, found = 0;

    for (size_t row = j ? j - 1 : 0; row <= j + 1 && row < c->rows; row++) {
        for (size_t column = i ? i - 1 : 0; column <= i + 1 && column < c->columns; column++) {
            double value = c->values[row * c->columns + column];
            if (isfinite(value)) {
                sum += value;
                found++;
            }
        }
    }
    return found > 0 ? sum / found : (double)NAN;
}

/* One step further out from where there are values; false: nothing was missing, or all is. */
static bool carry_on(th_contour *c, double *next) {
    bool any = false;

    for (size_t n = 0; n < c->columns * c->rows; n++) {
        next[n] = c->values[n];
        if (isnan(next[n])) {
            next[n] = round_about(c, n % c->columns, n / c->columns);
            any = any || isfinite(next[n]);
        }
    }
    for (size_t n = 0; any && n < c->columns * c->rows; n++) {
        c->values[n] = next[n];
    }
    return any;
}

static void shut_rim(th_contour *c) {
    for (size_t n = 0; n < c->columns * c->rows; n++) {
        size_t i = n % c->columns, j = n / c->columns;
        if (i == 0 || j == 0 || i + 1 == c->columns || j + 1 == c->rows || isnan(c->values[n])) {
            c->values[n] = BELOW;
        }
    }
}

bool th_contour_make(th_arena *arena, const th_map_field *field, double margin,
                     th_contour *contour) {
    size_t columns = MARGIN + field->x_count + MARGIN, rows = MARGIN + field->y_count + MARGIN;
    size_t count = columns * rows;
    double *next = th_arena_take(arena, count * sizeof *next);

    *contour = (th_contour){columns,
                            rows,
                            th_arena_take(arena, columns * sizeof(double)),
                            th_arena_take(arena, rows * sizeof(double)),
                            th_arena_take(arena, count * sizeof(double)),
                            th_arena_take(arena, count)};
    if (!next || !contour->xs || !contour->ys || !contour->values || !contour->walked) {
        return false;
    }
    widen(field->xs, field->x_count, margin, contour->xs);
    widen(field->ys, field->y_count, margin, contour->ys);
    for (size_t n = 0; n < count; n++) {
        size_t i = n % columns, j = n / columns;
        bool inside = i >= MARGIN && j >= MARGIN && i < columns - MARGIN && j < rows - MARGIN;
        contour->values[n] =
            inside ? field->index[(j - MARGIN) * field->x_count + i - MARGIN] : (double)NAN;
    }
    while (carry_on(contour, next)) {
    }
    shut_rim(contour);
    return true;
}

/* ---- one cell -------------------------------------------------------------------------------- */

/* Sides of a cell: 0 below, 1 right, 2 above, 3 left. */
enum { SIDES = 4, NONE = -1 };

/* Which corners of cell (i, j) lie at or above the level: bits from the lower left one on,
 * counterclockwise. */
static unsigned corners(const th_contour *c, size_t i, size_t j, double level) {
    const double *v = &c->values[j * c->columns + i];

    return (v[0] >= level ? 1u : 0) | (v[1] >= level ? 2u : 0) |
           (v[c->columns + 1] >= level ? 4u : 0) | (v[c->columns] >= level ? 8u : 0);
}

/* The side by which a line leaves that comes in by `from`, what is above to its left. Where two
 * corners face each other the middle of the cell decides what hangs together. */
static int way_out(const th_contour *c, size_t i, size_t j, double level, int from) {
    static const signed char ways[18][SIDES] = {{NONE, NONE, NONE, NONE},
                                                {3, NONE, NONE, NONE},
                                                {NONE, 0, NONE, NONE},
                                                {NONE, 3, NONE, NONE},
                                                {NONE, NONE, 1, NONE},
                                                {3, NONE, 1, NONE},
                                                {NONE, NONE, 0, NONE},
                                                {NONE, NONE, 3, NONE},
                                                {NONE, NONE, NONE, 2},
                                                {2, NONE, NONE, NONE},
                                                {NONE, 0, NONE, 2},
                                                {NONE, 2, NONE, NONE},
                                                {NONE, NONE, NONE, 1},
                                                {1, NONE, NONE, NONE},
                                                {NONE, NONE, NONE, 0},
                                                {NONE, NONE, NONE, NONE},
                                                /* joined: */ {1, NONE, 3, NONE},
                                                {NONE, 2, NONE, 0}};
    const double *v = &c->values[j * c->columns + i];
    unsigned kind = corners(c, i, j, level);

    if ((kind == 5 || kind == 10) &&
        (v[0] + v[1] + v[c->columns] + v[c->columns + 1]) / 4 >= level) {
        kind = kind == 5 ? 16 : 17;
    }
    return ways[kind][from];
}

/* Where the level crosses a side. */
static th_point crossing(const th_contour *c, size_t i, size_t j, double level, int side) {
    size_t i0 = i + (side == 1), j0 = j + (side == 2);
    size_t i1 = i0 + (side == 0 || side == 2), j1 = j0 + (side == 1 || side == 3);
    double a = c->values[j0 * c->columns + i0], b = c->values[j1 * c->columns + i1];
    double share = (level - a) / (b - a);

    return (th_point){c->xs[i0] + share * (c->xs[i1] - c->xs[i0]),
                      c->ys[j0] + share * (c->ys[j1] - c->ys[j0])};
}

/* ---- lines ----------------------------------------------------------------------------------- */

static void walk(th_contour *c, size_t cell, int from, double level, const th_contour_sink *sink) {
    bool first = true;

    while (!(c->walked[cell] & 1 << from)) {
        size_t i = cell % c->columns, j = cell / c->columns;
        int to = way_out(c, i, j, level, from);
        c->walked[cell] |= (unsigned char)(1 << from);
        sink->point(sink->context, crossing(c, i, j, level, from), first);
        first = false;
        cell = to == 0   ? cell - c->columns
               : to == 1 ? cell + 1
               : to == 2 ? cell + c->columns
                         : cell - 1;
        from = (to + 2) % SIDES;
    }
    if (!first) {
        sink->close(sink->context);
    }
}

void th_contour_trace(th_contour *contour, double level, const th_contour_sink *sink) {
    for (size_t n = 0; n < contour->columns * contour->rows; n++) {
        contour->walked[n] = 0;
    }
    for (size_t j = 0; j + 1 < contour->rows; j++) {
        for (size_t i = 0; i + 1 < contour->columns; i++) {
            for (int from = 0; from < SIDES; from++) {
                if (way_out(contour, i, j, level, from) != NONE) {
                    walk(contour, j * contour->columns + i, from, level, sink);
                }
            }
        }
    }
}
