/* region_wind.c - how often each operand winds round the sides of every edge.
 *
 * Going round a point, the left of one edge is the right of the next, and each edge carries the
 * answer to its other end; so one place of every connected figure is enough. That is its first
 * point in grid order, left of which the figure has nothing: the edges of others are counted
 * there along a level line to the left. */
#include "region.h"

#include <stdlib.h>
#include <string.h>

/* Level strips of equal height with the edges that reach into each. */
typedef struct {
    int64_t bottom;
    double height;
    size_t count;
    size_t *firsts;  /* of each strip, and one past the last */
    uint32_t *edges; /* edges of the strips, one strip after another */
} strips;

/* ---- edges round points ---------------------------------------------------------------------- */

static int by_turn(const void *a, const void *b) {
    const region_spoke *s = a, *t = b;
    int order = grid_order(s->at, t->at);

    if (order == 0 && s->leaves != t->leaves) {
        order = s->leaves ? -1 : 1;
    }
    if (order == 0) {
        order = -grid_side(s->at, s->to, t->to);
    }
    return order != 0 ? order : (s->edge > t->edge) - (s->edge < t->edge);
}

void th_region_fan_free(region_fan *fan) {
    free(fan->spokes);
    free(fan->ends);
    free(fan->firsts);
    *fan = (region_fan){0};
}

static void link_spokes(region_fan *fan, size_t count) {
    for (size_t i = 0; i < count; i++) {
        region_spoke *s = &fan->spokes[i];
        if (i == 0 || !grid_same(s->at, fan->spokes[i - 1].at)) {
            fan->firsts[fan->vertex_count++] = (uint32_t)i;
        }
        s->vertex = (uint32_t)(fan->vertex_count - 1);
        fan->ends[s->edge][s->leaves ? 0 : 1] = (uint32_t)i;
    }
    fan->firsts[fan->vertex_count] = (uint32_t)count;
}

bool th_region_fan_out(const region_graph *graph, region_fan *fan) {
    size_t count = 2 * graph->count;

    *fan = (region_fan){0};
    fan->spokes = malloc((count + 1) * sizeof *fan->spokes);
    fan->ends = malloc((graph->count + 1) * sizeof *fan->ends);
    fan->firsts = malloc((count + 1) * sizeof *fan->firsts);
    if (!fan->spokes || !fan->ends || !fan->firsts) {
        th_region_fan_free(fan);
        return th_fail_memory(graph->err);
    }
    for (size_t i = 0; i < graph->count; i++) {
        const region_edge *e = &graph->edges[i];
        fan->spokes[2 * i] = (region_spoke){e->a, e->b, (uint32_t)i, 0, true};
        fan->spokes[2 * i + 1] = (region_spoke){e->b, e->a, (uint32_t)i, 0, false};
    }
    qsort(fan->spokes, count, sizeof *fan->spokes, by_turn);
    link_spokes(fan, count);
    return true;
}

/* ---- the first place of a figure ------------------------------------------------------------- */

static size_t strip_at(const strips *s, int64_t y) {
    double at = floor((double)(y - s->bottom) / s->height);

    return at <= 0 ? 0 : at >= (double)s->count ? s->count - 1 : (size_t)at;
}

/* So many strips that there are about as many as edges, but edges stand in few of them on the
 * average. */
static void size_strips(const region_graph *graph, strips *s) {
    double n = (double)graph->count, total = 0;
    int64_t top = INT64_MIN;

    s->bottom = INT64_MAX;
    for (size_t i = 0; i < graph->count; i++) {
        int64_t a = graph->edges[i].a.y, b = graph->edges[i].b.y;
        total += fabs((double)(b - a));
        s->bottom = a < s->bottom ? a : s->bottom;
        s->bottom = b < s->bottom ? b : s->bottom;
        top = a > top ? a : top;
        top = b > top ? b : top;
    }
    s->height = fmax(fmax((double)(top - s->bottom), 1) / n, total / (4 * n));
    s->count = (size_t)((double)(top - s->bottom) / s->height) + 1;
}

static bool fill_strips(const region_graph *graph, strips *s) {
    size_t total = 0;

    for (size_t i = 0; i < graph->count; i++) {
        size_t p = strip_at(s, graph->edges[i].a.y), q = strip_at(s, graph->edges[i].b.y);
        for (size_t k = p < q ? p : q; k <= (p < q ? q : p); k++) {
            s->firsts[k]++;
            total++;
        }
    }
    s->edges = malloc((total + 1) * sizeof *s->edges);
    if (!s->edges) {
        return false;
    }
    for (size_t k = 0, sum = 0; k <= s->count; k++) {
        sum += s->firsts[k];
        s->firsts[k] = sum; /* past the strip; filling counts down to its first */
    }
    for (size_t i = graph->count; i-- > 0;) {
        size_t p = strip_at(s, graph->edges[i].a.y), q = strip_at(s, graph->edges[i].b.y);
        for (size_t k = p < q ? p : q; k <= (p < q ? q : p); k++) {
            s->edges[--s->firsts[k]] = (uint32_t)i;
        }
    }
    return true;
}

static bool lay_strips(const region_graph *graph, strips *s) {
    size_strips(graph, s);
    s->firsts = calloc(s->count + 2, sizeof *s->firsts);
    return s->firsts && fill_strips(graph, s);
}

/* Windings just left of p, the first point of its figure: every edge further left is passed on the
 * way in from outside. Each owns its lower end. */
static void wind_at(const region_graph *graph, const strips *s, grid_point p,
                    int32_t winding[REGION_OPERANDS]) {
    size_t k = strip_at(s, p.y);

    memset(winding, 0, REGION_OPERANDS * sizeof *winding);
    for (size_t i = s->firsts[k]; i < s->firsts[k + 1]; i++) {
        const region_edge *e = &graph->edges[s->edges[i]];
        bool rises = e->b.y > e->a.y;
        if (e->a.x <= p.x && (e->a.y <= p.y) != (e->b.y <= p.y) &&
            grid_side(e->a, e->b, p) == (rises ? -1 : 1)) {
            winding[0] += rises ? -e->up[0] : e->up[0];
            winding[1] += rises ? -e->up[1] : e->up[1];
        }
    }
}

/* ---- carrying it on -------------------------------------------------------------------------- */

typedef struct {
    region_graph *graph;
    const region_fan *fan;
    uint32_t *todo; /* spokes whose edge is known */
    size_t todo_count;
    bool *done; /* vertices gone round */
} flood;

/* Go once round the point of a spoke whose edge is known. */
static void go_round(flood *f, uint32_t from) {
    const region_spoke *spokes = f->fan->spokes;
    uint32_t v = spokes[from].vertex;
    uint32_t first = f->fan->firsts[v], end = f->fan->firsts[v + 1];
    const region_edge *known = &f->graph->edges[spokes[from].edge];
    int32_t now[REGION_OPERANDS];

    for (int i = 0; i < REGION_OPERANDS; i++) {
        now[i] = known->right[i] + (spokes[from].leaves ? known->up[i] : 0);
    }
    f->done[v] = true;
    for (uint32_t s = from + 1 < end ? from + 1 : first; s != from;
         s = s + 1 < end ? s + 1 : first) {
        region_edge *e = &f->graph->edges[spokes[s].edge];
        uint32_t far = f->fan->ends[spokes[s].edge][spokes[s].leaves ? 1 : 0];
        for (int i = 0; i < REGION_OPERANDS; i++) {
            e->right[i] = spokes[s].leaves ? now[i] : now[i] - e->up[i];
            now[i] += spokes[s].leaves ? e->up[i] : -e->up[i];
        }
        if (!f->done[spokes[far].vertex]) {
            f->todo[f->todo_count++] = far;
        }
    }
}

static void wind_figure(flood *f, const strips *s, uint32_t vertex) {
    uint32_t first = f->fan->firsts[vertex];
    const region_spoke *spoke = &f->fan->spokes[first];

    wind_at(f->graph, s, spoke->at, f->graph->edges[spoke->edge].right);
    f->todo[f->todo_count++] = f->fan->ends[spoke->edge][1];
    go_round(f, first);
    while (f->todo_count > 0) {
        uint32_t next = f->todo[--f->todo_count];
        if (!f->done[f->fan->spokes[next].vertex]) {
            go_round(f, next);
        }
    }
}

bool th_region_wind(region_graph *graph, const region_fan *fan) {
    flood f = {.graph = graph, .fan = fan};
    strips s = {0};
    bool ready;

    if (graph->count == 0) {
        return true;
    }
    f.todo = malloc((2 * graph->count + 1) * sizeof *f.todo);
    f.done = calloc(fan->vertex_count + 1, sizeof *f.done);
    ready = f.todo && f.done && lay_strips(graph, &s);
    for (size_t v = 0; ready && v < fan->vertex_count; v++) {
        if (!f.done[v]) {
            wind_figure(&f, &s, (uint32_t)v);
        }
    }
    free(f.todo);
    free(f.done);
    free(s.firsts);
    free(s.edges);
    return ready || th_fail_memory(graph->err);
}
