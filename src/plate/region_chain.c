/* region_chain.c - the edges that bound the result become rings.
 *
 * With the result on its left, a chain takes at each point the edge next to it clockwise, so it
 * stays with the material it came along and pieces that meet at a point come apart. Where a chain
 * comes back to one of its own points the loop since then is a ring by itself: a hole that touches
 * the ring round it, or another hole. */
#include "region.h"

#include <stdlib.h>

#define LEAST_AREA 1e-6 /* (mm2) */
/* A ring no wider than this on the average is what roundings left (units). */
#define LEAST_WIDTH 4.0

#define NOWHERE UINT32_MAX

typedef struct {
    const region_graph *graph;
    const region_fan *fan;
    region_rule rule;
    bool *used;         /* edges */
    grid_point *stack;  /* of the chain */
    uint32_t *vertices; /* of the chain */
    uint32_t *where;    /* place of each vertex in the chain, or NOWHERE */
    size_t depth;
    th_point *points; /* room for those of the rings still to come */
    th_outline *region;
} chainer;

static bool inside(const int32_t winding[REGION_OPERANDS], region_rule rule) {
    bool a = winding[0] != 0, b = winding[1] != 0;

    switch (rule) {
    case REGION_UNION:
        return a || b;
    case REGION_DIFFERENCE:
        return a && !b;
    case REGION_INTERSECTION:
        return a && b;
    case REGION_POSITIVE:
        return winding[0] > 0;
    case REGION_WOUND:
        break;
    }
    return a;
}

int th_region_keeps(const region_edge *edge, region_rule rule) {
    int32_t left[REGION_OPERANDS] = {edge->right[0] + edge->up[0], edge->right[1] + edge->up[1]};

    return (inside(left, rule) ? 1 : 0) - (inside(edge->right, rule) ? 1 : 0);
}

/* ---- one ring -------------------------------------------------------------------------------- */

/* Without points in line with their neighbours; `p` is changed in place. */
static size_t without_flat_points(grid_point **p, size_t count) {
    grid_point *q = *p;
    size_t n = 0;

    for (size_t i = 0; i < count; i++) {
        grid_point next = q[i];
        while (n >= 2 && grid_side(q[n - 2], q[n - 1], next) == 0) {
            n--;
        }
        q[n++] = next;
    }
    while (n > 2 && grid_side(q[n - 2], q[n - 1], q[0]) == 0) {
        n--;
    }
    if (n > 2 && grid_side(q[n - 1], q[0], q[1]) == 0) {
        (*p)++;
        n--;
    }
    return n;
}

/* Signed area in units squared, and length round, in units. */
static double measure(const grid_point *p, size_t count, double *length) {
    double twice = 0;

    *length = 0;
    for (size_t i = 0; i < count; i++) {
        grid_point a = p[i], b = p[(i + 1) % count];
        double ax = (double)(a.x - p[0].x), ay = (double)(a.y - p[0].y);
        double bx = (double)(b.x - p[0].x), by = (double)(b.y - p[0].y);
        twice += ax * by - ay * bx;
        *length += hypot(bx - ax, by - ay);
    }
    return twice / 2;
}

static void add_ring(chainer *c, grid_point *p, size_t count) {
    size_t n = without_flat_points(&p, count);
    th_outline *region = c->region;
    double length, area;

    if (n < 3) {
        return;
    }
    area = measure(p, n, &length);
    if (fabs(area) < LEAST_AREA / (GRID_UNIT * GRID_UNIT) ||
        fabs(area) < LEAST_WIDTH / 2 * length) {
        return;
    }
    for (size_t i = 0; i < n; i++) {
        c->points[i] = (th_point){(double)p[i].x * GRID_UNIT, (double)p[i].y * GRID_UNIT};
    }
    region->rings[region->ring_count++] = (th_ring){c->points, n, area < 0, 0};
    region->outer_count += area > 0 ? 1 : 0;
    region->point_count += n;
    c->points += n;
}

/* ---- chains ---------------------------------------------------------------------------------- */

static void push(chainer *c, const region_spoke *spoke) {
    c->stack[c->depth] = spoke->at;
    c->vertices[c->depth] = spoke->vertex;
    c->where[spoke->vertex] = (uint32_t)c->depth++;
}

/* The chain has come back to a vertex of its own: what it ran since is a ring. */
static void pop(chainer *c, uint32_t vertex) {
    size_t first = c->where[vertex];

    for (size_t i = first; i < c->depth; i++) {
        c->where[c->vertices[i]] = NOWHERE;
    }
    add_ring(c, c->stack + first, c->depth - first);
    c->depth = first;
}

/* Spoke of the next edge round the material, from the one the chain came in by. */
static uint32_t turn(const chainer *c, uint32_t spoke) {
    const region_spoke *spokes = c->fan->spokes;
    uint32_t first = c->fan->firsts[spokes[spoke].vertex];
    uint32_t end = c->fan->firsts[spokes[spoke].vertex + 1];
    uint32_t s = spoke;

    do {
        s = s > first ? s - 1 : end - 1;
    } while (s != spoke && th_region_keeps(&c->graph->edges[spokes[s].edge], c->rule) == 0);
    return s;
}

static void chain_from(chainer *c, uint32_t edge, int side) {
    uint32_t start = c->fan->ends[edge][side > 0 ? 0 : 1];
    uint32_t spoke = start;

    c->depth = 0;
    do {
        const region_spoke *s = &c->fan->spokes[spoke];
        if (c->where[s->vertex] != NOWHERE) {
            pop(c, s->vertex);
        }
        push(c, s);
        c->used[s->edge] = true;
        spoke = turn(c, c->fan->ends[s->edge][s->leaves ? 1 : 0]);
    } while (spoke != start && !c->used[c->fan->spokes[spoke].edge]);
    pop(c, c->fan->spokes[start].vertex);
}

static void chain_all(chainer *c) {
    for (size_t v = 0; v < c->fan->vertex_count; v++) {
        c->where[v] = NOWHERE;
    }
    for (size_t i = 0; i < c->graph->count; i++) {
        int side = th_region_keeps(&c->graph->edges[i], c->rule);
        if (side != 0 && !c->used[i]) {
            chain_from(c, (uint32_t)i, side);
        }
    }
}

static size_t count_kept(const region_graph *graph, region_rule rule) {
    size_t kept = 0;

    for (size_t i = 0; i < graph->count; i++) {
        kept += th_region_keeps(&graph->edges[i], rule) != 0 ? 1 : 0;
    }
    return kept;
}

bool th_region_chain(const region_graph *graph, const region_fan *fan, region_rule rule,
                     th_outline *region) {
    chainer c = {.graph = graph, .fan = fan, .rule = rule, .region = region};
    size_t kept = count_kept(graph, rule);
    bool ready;

    c.used = calloc(graph->count + 1, sizeof *c.used);
    c.stack = malloc((kept + 1) * sizeof *c.stack);
    c.vertices = malloc((kept + 1) * sizeof *c.vertices);
    c.where = malloc((fan->vertex_count + 1) * sizeof *c.where);
    c.points = th_arena_take(&region->arena, kept * sizeof *c.points);
    region->rings = th_arena_take(&region->arena, (kept / 3 + 1) * sizeof *region->rings);
    ready = c.used && c.stack && c.vertices && c.where && c.points && region->rings;
    if (ready) {
        chain_all(&c);
    }
    free(c.used);
    free(c.stack);
    free(c.vertices);
    free(c.where);
    return ready || th_fail_memory(graph->err);
}
