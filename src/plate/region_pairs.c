/* region_pairs.c - which edges meet, and where they are to be split.
 *
 * The box of all edges is halved again and again, each half with the edges that reach into it,
 * until few are left or halving gains nothing; then each is tried with each. */
#include "path.h"
#include "region.h"

#include <stdlib.h>

enum {
    MARGIN = 2,  /* boxes reach this much further than their edges (units) */
    FEW = 12,    /* edges that are not halved further */
    DEEPEST = 80 /* halvings; the box is a point by then */
};

typedef struct {
    int64_t x0, y0, x1, y1;
} box;

typedef struct {
    const region_graph *graph;
    region_splits *splits;
    uint32_t *list; /* edges of the boxes being halved, one after another */
    size_t used, capacity;
} halver;

/* ---- two edges ------------------------------------------------------------------------------- */

static void note(region_splits *splits, const region_graph *graph, size_t e, grid_point at) {
    const region_edge *edge = &graph->edges[e];
    region_split *grown;

    if (grid_same(at, edge->a) || grid_same(at, edge->b) || splits->failed) {
        return;
    }
    if (splits->count == splits->capacity) {
        grown = th_outline_grow(splits->items, sizeof *grown, &splits->capacity);
        if (!grown) {
            splits->failed = true;
            return;
        }
        splits->items = grown;
    }
    splits->items[splits->count++] =
        (region_split){e, at,
                       (double)(edge->b.x - edge->a.x) * (double)(at.x - edge->a.x) +
                           (double)(edge->b.y - edge->a.y) * (double)(at.y - edge->a.y)};
}

/* Whether p lies on e but for roundings. Both parts must come out shorter than the whole, so that
 * splitting comes to an end. */
static bool beside(const region_edge *e, grid_point p, double near) {
    double dx = (double)(e->b.x - e->a.x), dy = (double)(e->b.y - e->a.y);
    double px = (double)(p.x - e->a.x), py = (double)(p.y - e->a.y);
    double along = dx * px + dy * py, whole = dx * dx + dy * dy;
    double off = dx * py - dy * px;

    return along > 0 && along < whole && off * off <= near * near * whole &&
           px * px + py * py < whole && (dx - px) * (dx - px) + (dy - py) * (dy - py) < whole;
}

static bool split_beside(const region_graph *graph, size_t e, grid_point p, region_splits *splits) {
    bool met = beside(&graph->edges[e], p, graph->near);

    if (met) {
        note(splits, graph, e, p);
    }
    return met;
}

static bool parts(const region_edge *e, const region_edge *f) {
    return grid_side(e->a, e->b, f->a) * grid_side(e->a, e->b, f->b) < 0;
}

static grid_point crossing(const region_edge *e, const region_edge *f) {
    double dx = (double)(e->b.x - e->a.x), dy = (double)(e->b.y - e->a.y);
    double ex = (double)(f->b.x - f->a.x), ey = (double)(f->b.y - f->a.y);
    double t = grid_cross((double)(f->a.x - e->a.x), (double)(f->a.y - e->a.y), ex, ey) /
               grid_cross(dx, dy, ex, ey);

    return (grid_point){e->a.x + (int64_t)llround(t * dx), e->a.y + (int64_t)llround(t * dy)};
}

static bool apart(const region_edge *e, const region_edge *f) {
    int64_t e0 = e->a.y < e->b.y ? e->a.y : e->b.y, e1 = e->a.y < e->b.y ? e->b.y : e->a.y;
    int64_t f0 = f->a.y < f->b.y ? f->a.y : f->b.y, f1 = f->a.y < f->b.y ? f->b.y : f->a.y;

    return e->a.x > f->b.x + MARGIN || f->a.x > e->b.x + MARGIN || e0 > f1 + MARGIN ||
           f0 > e1 + MARGIN;
}

void th_region_meeting(const region_graph *graph, size_t e, size_t f, region_splits *splits) {
    const region_edge *one = &graph->edges[e], *other = &graph->edges[f];
    bool met;

    if ((!one->fresh && !other->fresh) || apart(one, other)) {
        return;
    }
    met = split_beside(graph, e, other->a, splits);
    met = split_beside(graph, e, other->b, splits) || met;
    met = split_beside(graph, f, one->a, splits) || met;
    met = split_beside(graph, f, one->b, splits) || met;
    if (!met && parts(one, other) && parts(other, one)) {
        grid_point at = crossing(one, other);
        note(splits, graph, e, at);
        note(splits, graph, f, at);
    }
}

/* ---- halving --------------------------------------------------------------------------------- */

/* Whether an edge comes within MARGIN of a box: their boxes do, and the corners do not all lie on
 * one side of it. */
static bool reaches(const region_edge *e, const box *b) {
    double dx = (double)(e->b.x - e->a.x), dy = (double)(e->b.y - e->a.y);
    double cx = (double)(b->x0 + b->x1 - 2 * e->a.x) / 2;
    double cy = (double)(b->y0 + b->y1 - 2 * e->a.y) / 2;
    double hx = (double)(b->x1 - b->x0) / 2 + MARGIN, hy = (double)(b->y1 - b->y0) / 2 + MARGIN;
    int64_t low = dy < 0 ? e->b.y : e->a.y, high = dy < 0 ? e->a.y : e->b.y;

    return e->a.x <= b->x1 + MARGIN && e->b.x >= b->x0 - MARGIN && low <= b->y1 + MARGIN &&
           high >= b->y0 - MARGIN && fabs(dx * cy - dy * cx) <= fabs(dx) * hy + fabs(dy) * hx;
}

static int64_t lesser(int64_t a, int64_t b) {
    return a < b ? a : b;
}

static int64_t greater(int64_t a, int64_t b) {
    return a > b ? a : b;
}

/* The box of those parts of the edges' boxes that lie in b. */
static box tightened(const halver *h, size_t first, size_t count, const box *b) {
    box t = {b->x1, b->y1, b->x0, b->y0};

    for (size_t i = first; i < first + count; i++) {
        const region_edge *e = &h->graph->edges[h->list[i]];
        t.x0 = lesser(t.x0, greater(e->a.x, b->x0));
        t.x1 = greater(t.x1, lesser(e->b.x, b->x1));
        t.y0 = lesser(t.y0, greater(lesser(e->a.y, e->b.y), b->y0));
        t.y1 = greater(t.y1, lesser(greater(e->a.y, e->b.y), b->y1));
    }
    t.x1 = greater(t.x0, t.x1);
    t.y1 = greater(t.y0, t.y1);
    return t;
}

static box half_of(box b, bool across, bool second) {
    int64_t middle = across ? b.x0 + (b.x1 - b.x0) / 2 : b.y0 + (b.y1 - b.y0) / 2;

    if (across) {
        *(second ? &b.x0 : &b.x1) = middle;
    } else {
        *(second ? &b.y0 : &b.y1) = middle;
    }
    return b;
}

static size_t count_in(const halver *h, size_t first, size_t count, box b) {
    size_t n = 0;

    for (size_t i = first; i < first + count; i++) {
        n += reaches(&h->graph->edges[h->list[i]], &b) ? 1 : 0;
    }
    return n;
}

/* Pairs left to try if the box is halved that way. */
static double pairs_left(const halver *h, size_t first, size_t count, box b, bool across) {
    double n = (double)count_in(h, first, count, half_of(b, across, false));
    double m = (double)count_in(h, first, count, half_of(b, across, true));

    return n * n + m * m;
}

static bool any_fresh(const halver *h, size_t first, size_t count) {
    for (size_t i = first; i < first + count; i++) {
        if (h->graph->edges[h->list[i]].fresh) {
            return true;
        }
    }
    return false;
}

static void try_all(const halver *h, size_t first, size_t count) {
    for (size_t i = first; i < first + count; i++) {
        for (size_t j = i + 1; j < first + count; j++) {
            th_region_meeting(h->graph, h->list[i], h->list[j], h->splits);
        }
    }
}

/* Append the edges of a list that reach into b; false without memory. */
static bool list_in(halver *h, size_t first, size_t count, const box *b) {
    while (h->capacity - h->used < count) {
        uint32_t *grown = th_outline_grow(h->list, sizeof *grown, &h->capacity);
        if (!grown) {
            return false;
        }
        h->list = grown;
    }
    for (size_t i = first; i < first + count; i++) {
        if (reaches(&h->graph->edges[h->list[i]], b)) {
            h->list[h->used++] = h->list[i];
        }
    }
    return true;
}

/* `patience`: halvings in a row that may gain nothing, as the next may. */
static void halve(halver *h, size_t first, box b, int depth, int patience) {
    size_t count = h->used - first;
    double across, along;

    if (h->splits->failed || !any_fresh(h, first, count)) {
        return;
    }
    b = tightened(h, first, count, &b);
    if (count <= FEW || depth >= DEEPEST || patience < 0) {
        try_all(h, first, count);
        return;
    }
    across = pairs_left(h, first, count, b, true);
    along = pairs_left(h, first, count, b, false);
    patience = fmin(across, along) < 0.8 * (double)count * (double)count ? 2 : patience - 1;
    for (int second = 0; second < 2; second++) {
        size_t kept = h->used;
        box half = half_of(b, across < along || (across == along && b.x1 - b.x0 > b.y1 - b.y0),
                           second == 1);
        if (!list_in(h, first, count, &half)) {
            h->splits->failed = true;
            return;
        }
        halve(h, kept, half, depth + 1, patience);
        h->used = kept;
    }
}

void th_region_meetings(const region_graph *graph, region_splits *splits) {
    halver h = {.graph = graph, .splits = splits};
    box all = {INT64_MIN / 4, INT64_MIN / 4, INT64_MAX / 4, INT64_MAX / 4};

    h.capacity = graph->count * 2 + 64;
    h.list = malloc(h.capacity * sizeof *h.list);
    if (!h.list) {
        splits->failed = true;
        return;
    }
    for (size_t i = 0; i < graph->count; i++) {
        h.list[h.used++] = (uint32_t)i;
    }
    halve(&h, 0, all, 0, 2);
    free(h.list);
}
