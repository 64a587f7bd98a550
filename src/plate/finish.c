/* finish.c - a drawing becomes an outline, or is refused with the place and the size. */
#include "path.h"
#include "sweep.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Below it two points of a ring are one (mm), and a ring this thin has no area. */
#define SAME_POINT 1e-4
/* What flattened curves may add to the greatest size (mm). */
#define STRAY 0.1

typedef struct {
    const th_path *path;
    double x0, y0, length, width; /* the box of the drawing (mm) */
    th_arena *arena;
    th_point *points; /* of all rings, from the corner of the box */
    grid_point *rounded;
    sweep_ring *rings;
    const th_subpath **sources; /* of each ring */
    size_t point_count, ring_count;
    th_error *err;
} finisher;

/* The end of every message: how large the thing is. */
static void size_text(const finisher *f, char *text, size_t room) {
    th_print(text, room, "the drawing is %.6g mm x %.6g mm", f->length, f->width);
}

static bool find_box(finisher *f) {
    const th_path *path = f->path;
    double x1 = -INFINITY, y1 = -INFINITY;

    f->x0 = f->y0 = INFINITY;
    for (size_t i = 0; i < path->point_count; i++) {
        f->x0 = fmin(f->x0, path->points[i].x);
        f->y0 = fmin(f->y0, path->points[i].y);
        x1 = fmax(x1, path->points[i].x);
        y1 = fmax(y1, path->points[i].y);
    }
    if (path->point_count == 0) {
        return th_fail(f->err, TH_MISSING, "nothing is drawn: no closed outline was found");
    }
    f->length = x1 - f->x0;
    f->width = y1 - f->y0;
    if (!(fmin(f->length, f->width) >= TH_OUTLINE_LEAST &&
          fmax(f->length, f->width) <= TH_OUTLINE_GREATEST + STRAY)) {
        return th_fail(
            f->err, TH_BAD_RANGE,
            "the drawing is %.6g mm x %.6g mm; an outline may be %g mm to %g mm long and "
            "wide, so check its units",
            f->length, f->width, TH_OUTLINE_LEAST, TH_OUTLINE_GREATEST);
    }
    return true;
}

static double gap(th_point a, th_point b) {
    return hypot(a.x - b.x, a.y - b.y);
}

static bool refuse_open(const finisher *f, const th_subpath *sub) {
    const th_point *p = f->path->points + sub->first;
    th_point start = p[0], end = p[sub->count - 1];

    return th_fail_at(f->err, TH_CONTRADICTION, NULL, sub->line,
                      "the outline is open: it starts at (%.6g, %.6g) mm and ends at (%.6g, %.6g) "
                      "mm, %.4g mm apart; close it (the drawing is %.6g mm x %.6g mm)",
                      start.x - f->x0, start.y - f->y0, end.x - f->x0, end.y - f->y0,
                      gap(start, end), f->length, f->width);
}

static bool refuse_area(const finisher *f, const th_subpath *sub) {
    const th_point *p = f->path->points + sub->first;
    double x1 = p->x, y1 = p->y, x2 = p->x, y2 = p->y;

    for (size_t i = 1; i < sub->count; i++) {
        x1 = fmin(x1, p[i].x);
        y1 = fmin(y1, p[i].y);
        x2 = fmax(x2, p[i].x);
        y2 = fmax(y2, p[i].y);
    }
    return th_fail_at(f->err, TH_CONTRADICTION, NULL, sub->line,
                      "a ring from (%.6g, %.6g) to (%.6g, %.6g) mm has no area, %.4g mm x %.4g mm; "
                      "leave it out (the drawing is %.6g mm x %.6g mm)",
                      x1 - f->x0, y1 - f->y0, x2 - f->x0, y2 - f->y0, x2 - x1, y2 - y1, f->length,
                      f->width);
}

/* Copy the points of a subpath without repeats; the last goes if it is the first again, as far as a
 * joint may gape. */
static bool add_ring(finisher *f, const th_subpath *sub) {
    const th_point *from = f->path->points + sub->first;
    th_point *to = f->points + f->point_count;
    size_t n = 0;

    if (!sub->closed && (sub->count < 3 || gap(from[0], from[sub->count - 1]) > TH_OUTLINE_JOINT)) {
        return refuse_open(f, sub);
    }
    for (size_t i = 0; i < sub->count; i++) {
        th_point p = {from[i].x - f->x0, from[i].y - f->y0};
        if (n == 0 || gap(p, to[n - 1]) > SAME_POINT) {
            to[n++] = p;
        }
    }
    while (n > 3 && gap(to[n - 1], to[0]) <= TH_OUTLINE_JOINT) {
        n--;
    }
    if (n < 3 || gap(to[n - 1], to[0]) <= SAME_POINT) {
        return refuse_area(f, sub);
    }
    for (size_t i = 0; i < n; i++) {
        f->rounded[f->point_count + i] = grid_rounded(to[i]);
    }
    f->rings[f->ring_count] = (sweep_ring){.first = f->point_count, .count = n};
    f->sources[f->ring_count++] = sub;
    f->point_count += n;
    return true;
}

static bool add_rings(finisher *f) {
    const th_path *path = f->path;

    f->points = th_arena_take(f->arena, path->point_count * sizeof *f->points);
    f->rounded = malloc(path->point_count * sizeof *f->rounded);
    f->rings = malloc(path->subpath_count * sizeof *f->rings);
    f->sources = malloc(path->subpath_count * sizeof *f->sources);
    if (!f->points || !f->rounded || !f->rings || !f->sources) {
        return th_fail_memory(f->err);
    }
    for (size_t i = 0; i < path->subpath_count; i++) {
        if (!add_ring(f, &path->subpaths[i])) {
            return false;
        }
    }
    return true;
}

static size_t ring_of(const finisher *f, size_t point) {
    size_t low = 0, high = f->ring_count;

    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (f->rings[middle].first <= point) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

static bool refuse_clash(const finisher *f, const sweep_clash *clash) {
    size_t a = ring_of(f, clash->edge_a), b = ring_of(f, clash->edge_b);
    char size[80];

    size_text(f, size, sizeof size);
    return th_fail_at(f->err, TH_CONTRADICTION, NULL, f->sources[a > b ? a : b]->line,
                      "%s at (%.6g, %.6g) mm from the lower left corner; %s",
                      a == b ? "the outline crosses, touches or runs over itself"
                             : "two outlines (of the part or of an opening) cross, touch or overlap",
                      clash->x * GRID_UNIT, clash->y * GRID_UNIT, size);
}

static bool check_clashes(finisher *f) {
    sweep_input input = {f->rounded, f->point_count, f->rings, f->ring_count};
    sweep_clash clash;

    if (!th_outline_sweep(&input, &clash)) {
        return th_fail_memory(f->err);
    }
    return !clash.found || refuse_clash(f, &clash);
}

static double length_round(const th_point *points, size_t count) {
    double sum = gap(points[count - 1], points[0]);

    for (size_t i = 1; i < count; i++) {
        sum += gap(points[i - 1], points[i]);
    }
    return sum;
}

static bool check_areas(const finisher *f) {
    for (size_t i = 0; i < f->ring_count; i++) {
        const sweep_ring *r = &f->rings[i];
        const th_point *p = f->points + r->first;
        if (th_section_polygon(p, r->count).area <= SAME_POINT / 2 * length_round(p, r->count)) {
            return refuse_area(f, f->sources[i]);
        }
    }
    return true;
}

/* ---- material or hole ------------------------------------------------------------------------ */

typedef struct {
    size_t shape;
    int rule, winding;
} layer;

static bool filled(const layer *l) {
    return l->rule == TH_EVENODD ? l->winding % 2 != 0 : l->winding != 0;
}

static layer *layer_of(layer *layers, size_t *count, const th_subpath *source) {
    for (size_t i = 0; i < *count; i++) {
        if (layers[i].shape == source->shape) {
            return &layers[i];
        }
    }
    layers[*count] = (layer){source->shape, source->rule, 0};
    return &layers[(*count)++];
}

/* Whether there is material just outside and just inside of a ring: an odd number of shapes that
 * fill the place. False when too many rings lie inside one another. */
static bool look_around(const finisher *f, size_t ring, bool *outside, bool *inside) {
    layer layers[TH_OUTLINE_DEPTH_MAX + 1];
    size_t count = 0, depth = 0;
    layer *own;

    for (long r = f->rings[ring].parent; r != SWEEP_NO_RING; r = f->rings[r].parent) {
        if (++depth >= TH_OUTLINE_DEPTH_MAX) {
            return false;
        }
        layer_of(layers, &count, f->sources[r])->winding += f->rings[r].ccw ? 1 : -1;
    }
    *outside = false;
    for (size_t i = 0; i < count; i++) {
        *outside = *outside != filled(&layers[i]);
    }
    own = layer_of(layers, &count, f->sources[ring]);
    *inside = *outside != filled(own);
    own->winding += f->rings[ring].ccw ? 1 : -1;
    *inside = *inside != filled(own);
    return true;
}

static void reverse(th_point *points, size_t count) {
    for (size_t i = 0, j = count - 1; i < j; i++, j--) {
        th_point kept = points[i];
        points[i] = points[j];
        points[j] = kept;
    }
}

/* A ring with material on both sides, or on neither, is no edge and is left out. */
static bool keep_rings(finisher *f, th_outline *outline) {
    outline->rings = th_arena_take(f->arena, f->ring_count * sizeof *outline->rings);
    if (!outline->rings) {
        return th_fail_memory(f->err);
    }
    for (size_t i = 0; i < f->ring_count; i++) {
        const sweep_ring *r = &f->rings[i];
        bool outside, inside;
        if (!look_around(f, i, &outside, &inside)) {
            return th_fail_at(f->err, TH_BAD_RANGE, NULL, f->sources[i]->line,
                              "more than %d rings lie inside one another", TH_OUTLINE_DEPTH_MAX);
        }
        if (outside == inside) {
            continue;
        }
        if (r->ccw == outside) {
            reverse(f->points + r->first, r->count);
        }
        outline->rings[outline->ring_count++] =
            (th_ring){f->points + r->first, r->count, outside, f->sources[i]->line};
        outline->outer_count += outside ? 0 : 1;
        outline->point_count += r->count;
    }
    return true;
}

/* Dropped points (a joint that gapes at the very edge) may have held the box; it is that of the
 * rings. Shifts nothing unless they did. */
static void fit_box(th_outline *outline) {
    double x0 = INFINITY, y0 = INFINITY, x1 = -INFINITY, y1 = -INFINITY;

    for (size_t i = 0; i < outline->ring_count; i++) {
        for (size_t k = 0; k < outline->rings[i].count; k++) {
            th_point p = outline->rings[i].points[k];
            x0 = fmin(x0, p.x);
            y0 = fmin(y0, p.y);
            x1 = fmax(x1, p.x);
            y1 = fmax(y1, p.y);
        }
    }
    for (size_t i = 0; i < outline->ring_count && (x0 != 0 || y0 != 0); i++) {
        for (size_t k = 0; k < outline->rings[i].count; k++) {
            outline->rings[i].points[k].x -= x0;
            outline->rings[i].points[k].y -= y0;
        }
    }
    outline->length = x1 - x0;
    outline->width = y1 - y0;
}

bool th_path_finish(const th_path *path, th_outline *outline, th_error *err) {
    finisher f = {.path = path, .err = err, .arena = &outline->arena};
    bool done;

    *outline = (th_outline){0};
    if (path->failed) {
        if (err) {
            *err = path->problem;
        }
        return false;
    }
    done = find_box(&f) && add_rings(&f) && check_clashes(&f) && check_areas(&f) &&
           keep_rings(&f, outline);
    if (done) {
        fit_box(outline);
    }
    free(f.rounded);
    free(f.rings);
    free(f.sources);
    return done;
}
