/* region.c - regions: joined, cut, moved, measured. */
#include "region.h"

#include <stdlib.h>
#include <string.h>

bool th_region_box(const th_outline *region, double box[4]) {
    box[0] = box[1] = INFINITY;
    box[2] = box[3] = -INFINITY;
    for (size_t i = 0; i < region->ring_count; i++) {
        for (size_t k = 0; k < region->rings[i].count; k++) {
            th_point p = region->rings[i].points[k];
            box[0] = fmin(box[0], p.x);
            box[1] = fmin(box[1], p.y);
            box[2] = fmax(box[2], p.x);
            box[3] = fmax(box[3], p.y);
        }
    }
    if (box[0] <= box[2]) {
        return true;
    }
    memset(box, 0, 4 * sizeof *box);
    return false;
}

bool th_region_build(region_graph *graph, region_rule rule, th_outline *region) {
    region_fan fan = {0};
    double box[4];
    bool done = th_region_settle(graph) && th_region_fan_out(graph, &fan) &&
                th_region_wind(graph, &fan) && th_region_chain(graph, &fan, rule, region);

    th_region_fan_free(&fan);
    free(graph->edges);
    *graph = (region_graph){.err = graph->err};
    if (!done) {
        th_outline_free(region);
    } else if (th_region_box(region, box)) {
        region->length = box[2] - box[0];
        region->width = box[3] - box[1];
    }
    return done;
}

static bool add_outline(region_graph *graph, const th_outline *outline, int operand) {
    for (size_t i = 0; i < outline->ring_count; i++) {
        const th_ring *ring = &outline->rings[i];
        for (size_t k = 0; k < ring->count; k++) {
            if (!th_region_edge(graph, ring->points[k], ring->points[(k + 1) % ring->count],
                                operand)) {
                return false;
            }
        }
    }
    return true;
}

bool th_region_overlay(const th_outline *a, const th_outline *b, th_overlay how, th_outline *region,
                       th_error *err) {
    region_graph graph = {.err = err};

    *region = (th_outline){0};
    if (!add_outline(&graph, a, 0) || !add_outline(&graph, b, 1)) {
        free(graph.edges);
        return false;
    }
    return th_region_build(&graph, (region_rule)how, region);
}

bool th_region_moved(const th_outline *of, double dx, double dy, th_outline *region,
                     th_error *err) {
    th_arena arena = {0};
    th_point *points = th_arena_take(&arena, of->point_count * sizeof *points);
    th_ring *rings = th_arena_take(&arena, of->ring_count * sizeof *rings);

    *region = (th_outline){.arena = arena};
    if (!points || !rings) {
        th_outline_free(region);
        return th_fail_memory(err);
    }
    *region = *of;
    region->arena = arena;
    region->rings = rings;
    for (size_t i = 0; i < of->ring_count; i++) {
        rings[i] = of->rings[i];
        rings[i].points = points;
        for (size_t k = 0; k < rings[i].count; k++) {
            *points++ = (th_point){of->rings[i].points[k].x + dx, of->rings[i].points[k].y + dy};
        }
    }
    return true;
}

/* ---- hull ------------------------------------------------------------------------------------ */

static int by_x(const void *a, const void *b) {
    const th_point *p = a, *q = b;

    if (p->x != q->x) {
        return p->x < q->x ? -1 : 1;
    }
    return (p->y > q->y) - (p->y < q->y);
}

/* Drop the last corners until `next` lies left of the line through the last two; add it. At least
 * `least` corners stay. */
static size_t turn_left(th_point *corners, size_t count, size_t least, th_point next) {
    while (count > least) {
        th_point a = corners[count - 2], b = corners[count - 1];
        if (grid_cross(b.x - a.x, b.y - a.y, next.x - b.x, next.y - b.y) > 0) {
            break;
        }
        count--;
    }
    corners[count] = next;
    return count + 1;
}

/* The lower side from left to right, then the upper one back (Andrew 1979). */
size_t th_region_hull(const th_outline *region, th_point *hull, th_point *work) {
    size_t n = 0, count = 0, lower;
    th_point *corners;

    for (size_t i = 0; i < region->ring_count; i++) {
        memcpy(work + n, region->rings[i].points, region->rings[i].count * sizeof *work);
        n += region->rings[i].count;
    }
    if (n == 0) {
        return 0;
    }
    qsort(work, n, sizeof *work, by_x);
    corners = work + n;
    for (size_t i = 0; i < n; i++) {
        count = turn_left(corners, count, 1, work[i]);
    }
    lower = count;
    for (size_t i = n - 1; i-- > 0;) {
        count = turn_left(corners, count, lower, work[i]);
    }
    count -= count > 1 ? 1 : 0; /* the first again */
    memcpy(hull, corners, count * sizeof *hull);
    return count;
}
