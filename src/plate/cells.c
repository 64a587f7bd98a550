/* cells.c - what each cell of a grid holds of an outline.
 *
 * Every edge is cut at the grid lines. A piece that rises by dy takes away, and one that falls
 * adds, the area to its right: a trapezium of its own cell and full-width strips of every cell
 * further right in its row. The strips are not added cell by cell; the piece leaves integrals over
 * y behind (the cover), which a pass along the row sums up. Coordinates are those from the cell's
 * lower left corner, so nothing is lost far from the origin. */
#include "tackhold/plate.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Integrals of 1, y, y^2 over the height of the row that is covered. */
typedef struct {
    double c0, c1, c2;
} cover;

typedef struct {
    const th_cells *cells;
    cover *covers; /* columns + 1 a row: by pieces left of the grid, then by those of each column */
} tracer;

/* A piece of an edge within one row, from its lower end up; sign -1 where the edge rises. */
typedef struct {
    double xa, ya, xb, yb;
    double sign;
    size_t row;
} piece;

void th_cells_free(th_cells *cells) {
    if (cells) {
        th_arena_free(&cells->arena);
        *cells = (th_cells){0};
    }
}

/* Column (or row) of a place: the last line at or below it, -1 before the first, count - 1 from the
 * last on. */
static long interval_of(const double *lines, size_t count, double at) {
    size_t low = 0, high = count;

    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (lines[middle] <= at) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return (long)low - 1;
}

/* The trapezium between the piece and the right edge of its cell; x and y from the cell's corner.
 */
static void add_trapezium(th_section *s, const piece *p, double width) {
    double f = p->sign * (p->yb - p->ya);
    double xa = p->xa, xb = p->xb, ya = p->ya, yb = p->yb;
    double w2 = width * width;
    double x1 = (xa + xb) / 2;
    double x2 = (xa * xa + xa * xb + xb * xb) / 3;
    double x3 = (xa + xb) * (xa * xa + xb * xb) / 4;
    double y1 = (ya + yb) / 2;
    double y2 = (ya * ya + ya * yb + yb * yb) / 3;
    double xy = (2 * xa * ya + xa * yb + xb * ya + 2 * xb * yb) / 6;
    double xy2 =
        (xa * (3 * ya * ya + 2 * ya * yb + yb * yb) + xb * (ya * ya + 2 * ya * yb + 3 * yb * yb)) /
        12;
    double x2y =
        (ya * (3 * xa * xa + 2 * xa * xb + xb * xb) + yb * (xa * xa + 2 * xa * xb + 3 * xb * xb)) /
        12;

    s->area += f * (width - x1);
    s->sx += f * (w2 - x2) / 2;
    s->sy += f * (width * y1 - xy);
    s->sxx += f * (w2 * width - x3) / 3;
    s->syy += f * (width * y2 - xy2);
    s->sxy += f * (w2 * y1 - x2y) / 2;
}

/* One piece within one column; -1 left of the grid, `columns` right of it. */
static void add_piece(const tracer *t, const piece *whole, long column) {
    const th_cells *g = t->cells;
    cover *c = &t->covers[whole->row * (g->columns + 1) + (size_t)(column + 1)];
    piece p = *whole;
    double dy = p.sign * (p.yb - p.ya);

    if (column >= (long)g->columns) {
        return;
    }
    p.ya -= g->ys[p.row];
    p.yb -= g->ys[p.row];
    if (column >= 0) {
        double corner = g->xs[column];
        p.xa -= corner;
        p.xb -= corner;
        add_trapezium(&g->sections[p.row * g->columns + (size_t)column], &p,
                      g->xs[column + 1] - corner);
    }
    c->c0 += dy;
    c->c1 += dy * (p.ya + p.yb) / 2;
    c->c2 += dy * (p.ya * p.ya + p.ya * p.yb + p.yb * p.yb) / 3;
}

static double clamped(double value, double least, double greatest) {
    return fmax(least, fmin(greatest, value));
}

/* Cut a piece of one row at the upright lines, going from its lower end to its upper. */
static void add_across(const tracer *t, piece p) {
    const th_cells *g = t->cells;
    size_t lines = g->columns + 1;
    bool right = p.xb > p.xa;
    long column = interval_of(g->xs, lines, p.xa);
    double xb = p.xb, yb = p.yb;
    double slope = p.xb != p.xa ? (p.yb - p.ya) / (p.xb - p.xa) : 0;
    double xa = p.xa, ya = p.ya;

    while (true) {
        long line = right ? column + 1 : column;
        bool crosses =
            line >= 0 && line < (long)lines && (right ? g->xs[line] < xb : g->xs[line] > xb);
        p.xb = crosses ? g->xs[line] : xb;
        p.yb = crosses ? clamped(ya + (p.xb - xa) * slope, p.ya, yb) : yb;
        add_piece(t, &p, column);
        if (!crosses) {
            return;
        }
        p.xa = p.xb;
        p.ya = p.yb;
        column += right ? 1 : -1;
    }
}

/* Cut an edge at the level lines. */
static void add_edge(const tracer *t, th_point from, th_point to) {
    const th_cells *g = t->cells;
    bool rises = to.y > from.y;
    th_point low = rises ? from : to, high = rises ? to : from;
    double slope = to.y != from.y ? (high.x - low.x) / (high.y - low.y) : 0;
    double bottom = fmax(low.y, g->ys[0]), top = fmin(high.y, g->ys[g->rows]);
    long row;

    if (!(bottom < top)) {
        return;
    }
    row = interval_of(g->ys, g->rows + 1, bottom);
    for (double y = bottom; y < top; row++) {
        double end = fmin(top, g->ys[row + 1]);
        piece p = {.ya = y, .yb = end, .sign = rises ? -1 : 1, .row = (size_t)row};
        double least = fmin(low.x, high.x), greatest = fmax(low.x, high.x);
        p.xa = y == low.y ? low.x : clamped(low.x + (y - low.y) * slope, least, greatest);
        p.xb = end == high.y ? high.x : clamped(low.x + (end - low.y) * slope, least, greatest);
        add_across(t, p);
        y = end;
    }
}

/* A row covered nowhere or in full is so exactly: what the sums leave of it is rounding. */
static cover settled(cover c, double height) {
    if (fabs(c.c0) <= 1e-12 * height) {
        return (cover){0, 0, 0};
    }
    if (fabs(c.c0 - height) <= 1e-12 * height) {
        return (cover){height, height * height / 2, height * height * height / 3};
    }
    return c;
}

static void finish_row(const tracer *t, size_t row) {
    th_cells const *g = t->cells;
    const cover *left = &t->covers[row * (g->columns + 1)];
    double height = g->ys[row + 1] - g->ys[row];
    cover sum = settled(left[0], height);

    for (size_t i = 0; i < g->columns; i++) {
        th_section *s = &g->sections[row * g->columns + i];
        double w = g->xs[i + 1] - g->xs[i];
        s->area += w * sum.c0;
        s->sx += w * w / 2 * sum.c0;
        s->sy += w * sum.c1;
        s->sxx += w * w * w / 3 * sum.c0;
        s->syy += w * sum.c2;
        s->sxy += w * w / 2 * sum.c1;
        if (s->area <= 1e-12 * w * height) { /* or below 0: a sliver that turns on itself */
            *s = (th_section){0};
        }
        g->covered[row * g->columns + i] = clamped(s->area / (w * height), 0, 1);
        *s = th_section_moved(*s, g->xs[i], g->ys[row]);
        sum.c0 += left[i + 1].c0;
        sum.c1 += left[i + 1].c1;
        sum.c2 += left[i + 1].c2;
        sum = settled(sum, height);
    }
}

static bool rising(const double *lines, size_t count) {
    for (size_t i = 1; i < count; i++) {
        if (!(lines[i] > lines[i - 1])) {
            return false;
        }
    }
    return count >= 2 && isfinite(lines[0]) && isfinite(lines[count - 1]);
}

static double *copy_lines(th_arena *arena, const double *lines, size_t count) {
    double *copy = th_arena_take(arena, count * sizeof *copy);

    return copy ? memcpy(copy, lines, count * sizeof *copy) : NULL;
}

static bool take_cells(const th_grid_lines *lines, th_cells *cells, cover **covers) {
    size_t columns = lines->x_count - 1, rows = lines->y_count - 1;

    if (columns + 1 > SIZE_MAX / sizeof(th_section) / (rows + 1)) {
        return false;
    }
    cells->columns = columns;
    cells->rows = rows;
    cells->xs = copy_lines(&cells->arena, lines->xs, lines->x_count);
    cells->ys = copy_lines(&cells->arena, lines->ys, lines->y_count);
    cells->sections = th_arena_take(&cells->arena, columns * rows * sizeof *cells->sections);
    cells->covered = th_arena_take(&cells->arena, columns * rows * sizeof *cells->covered);
    *covers = calloc((columns + 1) * rows, sizeof **covers);
    return cells->xs && cells->ys && cells->sections && cells->covered && *covers;
}

bool th_cells_of(const th_outline *outline, const th_grid_lines *lines, th_cells *cells,
                 th_error *err) {
    tracer t = {.cells = cells};
    bool done;

    *cells = (th_cells){0};
    if (!rising(lines->xs, lines->x_count) || !rising(lines->ys, lines->y_count)) {
        return th_fail(err, TH_BAD_RANGE, "grid lines must rise, at least two each way");
    }
    done = take_cells(lines, cells, &t.covers);
    for (size_t i = 0; done && i < outline->ring_count; i++) {
        const th_ring *ring = &outline->rings[i];
        for (size_t k = 0; k < ring->count; k++) {
            add_edge(&t, ring->points[k], ring->points[(k + 1) % ring->count]);
        }
    }
    for (size_t j = 0; done && j < cells->rows; j++) {
        finish_row(&t, j);
    }
    free(t.covers);
    return done || th_fail_memory(err);
}
