/* region_path.c - what a drawing winds round.
 *
 * The way of a cutter is drawn as thousands of figures that overlap their neighbours many times
 * over; all their crossings together would be far more than those of the outline. So it is joined a
 * batch of subpaths at a time, and only the edges of the result go on to the next. That is right as
 * long as no batch winds clockwise round any place; a drawing in which one does is joined at once.
 */
#include "region.h"

#include <stdlib.h>

enum { LEAST_BATCH = 2000 /* edges */ };

static bool add_subpath(region_graph *graph, const th_path *path, size_t i, int operand) {
    const th_subpath *sub = &path->subpaths[i];
    const th_point *p = path->points + sub->first;

    for (size_t k = 0; k < sub->count; k++) {
        if (!th_region_edge(graph, p[k], p[(k + 1) % sub->count], operand)) {
            return false;
        }
    }
    return true;
}

static bool join_at_once(region_graph *graph, const th_path *path, th_outline *region) {
    for (size_t i = 0; i < path->subpath_count; i++) {
        if (!add_subpath(graph, path, i, 0)) {
            return false;
        }
    }
    return th_region_build(graph, REGION_WOUND, region);
}

/* Whether the batch, the second operand, winds clockwise somewhere. */
static bool winds_back(const region_graph *graph) {
    for (size_t i = 0; i < graph->count; i++) {
        const region_edge *e = &graph->edges[i];
        if (e->right[1] < 0 || e->right[1] + e->up[1] < 0) {
            return true;
        }
    }
    return false;
}

/* Keep the edges of what both operands cover, as the first. */
static void keep_outline(region_graph *graph) {
    size_t kept = 0;

    for (size_t i = 0; i < graph->count; i++) {
        region_edge e = graph->edges[i];
        int side = th_region_keeps(&e, REGION_UNION);
        if (side != 0) {
            e.up[0] = side;
            e.up[1] = 0;
            graph->edges[kept++] = e;
        }
    }
    graph->count = kept;
}

static bool join_batch(region_graph *graph, bool *back) {
    region_fan fan = {0};
    bool done =
        th_region_settle(graph) && th_region_fan_out(graph, &fan) && th_region_wind(graph, &fan);

    th_region_fan_free(&fan);
    *back = done && winds_back(graph);
    if (done) {
        keep_outline(graph);
    }
    return done;
}

/* `back`: stopped, as a batch winds clockwise somewhere. */
static bool join_in_batches(region_graph *graph, const th_path *path, bool *back) {
    size_t kept = 0;

    *back = false;
    for (size_t i = 0; i < path->subpath_count && !*back; i++) {
        size_t batch;
        if (!add_subpath(graph, path, i, 1)) {
            return false;
        }
        batch = graph->count - kept;
        if ((batch >= LEAST_BATCH && batch >= kept / 4) || i + 1 == path->subpath_count) {
            if (!join_batch(graph, back)) {
                return false;
            }
            kept = graph->count;
        }
    }
    return true;
}

bool th_region_of_path(const th_path *path, th_outline *region, th_error *err) {
    region_graph graph = {.err = err};
    bool back, done;

    *region = (th_outline){0};
    if (path->failed) {
        if (err) {
            *err = path->problem;
        }
        return false;
    }
    done = join_in_batches(&graph, path, &back);
    if (done && back) {
        graph.count = 0;
        done = join_at_once(&graph, path, region);
    } else if (done) {
        done = th_region_build(&graph, REGION_WOUND, region);
    }
    free(graph.edges);
    return done;
}
