/* region_settle.c - edges are split where they meet, until they meet at ends alone.
 *
 * Crossings are rounded to the grid, which bends the edges through them a little, so new ones may
 * come up; only what changed is looked at again. */
#include "path.h"
#include "region.h"

#include <stdlib.h>

enum {
    ROUNDS_NEAR = 8, /* rounds in which points next to an edge are drawn to it */
    ROUNDS_MAX = 100 /* of all rounds */
};

/* Three points of a line lie within it of one line once each was rounded (units). */
#define NEAR 1.4142135623730951

/* Farthest from the origin on each axis (mm). */
#define FARTHEST 10000.0

bool th_region_edge_put(region_graph *graph, grid_point from, grid_point to,
                        const int32_t up[REGION_OPERANDS]) {
    bool turned = grid_order(from, to) > 0;
    region_edge *grown;
    region_edge edge = {.a = turned ? to : from, .b = turned ? from : to, .fresh = true};

    if (grid_same(from, to)) {
        return true;
    }
    if (graph->count == graph->capacity) {
        grown = graph->count < UINT32_MAX / 4
                    ? th_outline_grow(graph->edges, sizeof *grown, &graph->capacity)
                    : NULL;
        if (!grown) {
            return th_fail_memory(graph->err);
        }
        graph->edges = grown;
    }
    for (int i = 0; i < REGION_OPERANDS; i++) {
        edge.up[i] = turned ? -up[i] : up[i];
    }
    graph->edges[graph->count++] = edge;
    return true;
}

bool th_region_edge(region_graph *graph, th_point from, th_point to, int operand) {
    int32_t up[REGION_OPERANDS] = {operand == 0, operand == 1};

    if (!(fabs(from.x) <= FARTHEST && fabs(from.y) <= FARTHEST && fabs(to.x) <= FARTHEST &&
          fabs(to.y) <= FARTHEST)) {
        return th_fail(graph->err, TH_BAD_RANGE,
                       "an edge from (%g, %g) to (%g, %g) mm reaches beyond %g m", from.x, from.y,
                       to.x, to.y, FARTHEST / 1000);
    }
    return th_region_edge_put(graph, grid_rounded(from), grid_rounded(to), up);
}

static int by_ends(const void *a, const void *b) {
    const region_edge *e = a, *f = b;
    int order = grid_order(e->a, f->a);

    return order != 0 ? order : grid_order(e->b, f->b);
}

/* Edges with the same ends become one; what cancels out goes. One that was compared before stands
 * for its equals. */
static void merge(region_graph *graph) {
    size_t kept = 0;

    if (graph->count == 0) {
        return;
    }
    qsort(graph->edges, graph->count, sizeof *graph->edges, by_ends);
    for (size_t i = 0; i < graph->count;) {
        region_edge sum = graph->edges[i];
        for (i++; i < graph->count && by_ends(&sum, &graph->edges[i]) == 0; i++) {
            for (int k = 0; k < REGION_OPERANDS; k++) {
                sum.up[k] += graph->edges[i].up[k];
            }
            sum.fresh = sum.fresh && graph->edges[i].fresh;
        }
        if (sum.up[0] != 0 || sum.up[1] != 0) {
            graph->edges[kept++] = sum;
        }
    }
    graph->count = kept;
}

static int by_place(const void *a, const void *b) {
    const region_split *s = a, *t = b;

    if (s->edge != t->edge) {
        return s->edge < t->edge ? -1 : 1;
    }
    if (s->along != t->along) {
        return s->along < t->along ? -1 : 1;
    }
    return grid_order(s->at, t->at);
}

/* The parts of one edge take its place: the first its own, the others at the end. */
static bool split(region_graph *graph, const region_split *splits, size_t count) {
    size_t e = splits[0].edge;
    region_edge whole = graph->edges[e];
    grid_point from = whole.a;

    for (size_t i = 0; i < count; i++) {
        if (!th_region_edge_put(graph, from, splits[i].at, whole.up)) {
            return false;
        }
        from = splits[i].at;
    }
    if (!th_region_edge_put(graph, from, whole.b, whole.up)) {
        return false;
    }
    graph->edges[e] = graph->edges[--graph->count];
    return true;
}

static bool split_all(region_graph *graph, const region_splits *splits) {
    for (size_t i = 0; i < graph->count; i++) {
        graph->edges[i].fresh = false;
    }
    for (size_t i = 0; i < splits->count;) {
        size_t first = i;
        while (i < splits->count && splits->items[i].edge == splits->items[first].edge) {
            i++;
        }
        if (!split(graph, splits->items + first, i - first)) {
            return false;
        }
    }
    return true;
}

bool th_region_settle(region_graph *graph) {
    region_splits splits = {0};
    bool done = false, failed = false;

    merge(graph);
    for (int round = 0; round < ROUNDS_MAX && !done && !failed; round++) {
        splits.count = 0;
        graph->near = round < ROUNDS_NEAR ? NEAR : 0;
        th_region_meetings(graph, &splits);
        if (splits.failed) {
            failed = !th_fail_memory(graph->err);
        } else if (splits.count == 0) {
            done = true;
        } else {
            qsort(splits.items, splits.count, sizeof *splits.items, by_place);
            failed = !split_all(graph, &splits);
            merge(graph);
        }
    }
    free(splits.items);
    for (size_t i = 0; i < graph->count; i++) {
        graph->edges[i].fresh = false;
    }
    return done || failed
               ? done
               : th_fail(graph->err, TH_NOT_SOLVED,
                         "the crossings of two outlines do not settle after %d rounds", ROUNDS_MAX);
}
