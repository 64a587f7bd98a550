/* region_grow.c - a region grown or shrunk by a distance.
 *
 * The grown region is the region, a rectangle outward along each edge and a sector at each corner
 * that points outward, laid over one another; all wind counterclockwise. Their edges add up to one
 * closed line for each ring, which keeps to the right of it at the distance, and the result is what
 * these lines wind round. At a corner that points inward the line goes from one rectangle through
 * the corner to the next; where both rectangles are long the part in which they overlap may go, as
 * long as every place loses fewer than cover it. A convex hole, which all rectangles would cover as
 * it closes, is found by itself. Shrinking grows what is not the region: the same with lines to the
 * left. */
#include "region.h"

#include <stdlib.h>

typedef struct {
    region_graph *graph;
    double distance, step; /* to the right (mm); angle of a chord of round corners (rad) */
    th_point first, last;
    bool started;
} tracer;

/* Corner of a ring: between the edges that come in and go out. */
typedef struct {
    th_point at;
    double ix, iy, in;  /* direction and length of the edge in (mm) */
    double ox, oy, out; /* of the edge out */
} corner;

static bool line_to(tracer *t, th_point p) {
    bool fine = !t->started || th_region_edge(t->graph, t->last, p, 0);

    if (!t->started) {
        t->first = p;
        t->started = true;
    }
    t->last = p;
    return fine;
}

/* To the point that lies off the corner where the outward direction of the edge in has turned by
 * `angle`, `reach` away. */
static bool line_off(tracer *t, const corner *c, double angle, double reach) {
    double nx = c->iy * cos(angle) + c->ix * sin(angle);
    double ny = -c->ix * cos(angle) + c->iy * sin(angle);

    return line_to(t, (th_point){c->at.x + reach * nx, c->at.y + reach * ny});
}

/* Tangents of the circle, so that the line nowhere runs inside it. */
static bool round_corner(tracer *t, const corner *c, double turn) {
    double count = fmax(1, ceil(fabs(turn) / t->step - 1e-9));
    double part = turn / count;

    for (int i = 0; i < count; i++) {
        if (!line_off(t, c, part * (i + 0.5), t->distance / cos(part / 2))) {
            return false;
        }
    }
    return true;
}

static double turn_at(const corner *c) {
    return atan2(grid_cross(c->ix, c->iy, c->ox, c->oy), c->ix * c->ox + c->iy * c->oy);
}

/* Whether the rectangles at a corner that points inward overlap in no more than half of each edge,
 * so that the overlaps at the two ends of an edge stay apart and no place loses more than half of
 * the rectangles that cover it. */
static bool overlaps_little(const corner *c, double turn, double distance) {
    return fabs(turn) < TH_PI / 2 && fabs(distance * sin(turn)) <= fmin(c->in, c->out) / 2;
}

static bool pass_corner(tracer *t, const corner *c) {
    double turn = turn_at(c);

    if (fabs(turn) >= TH_PI || (turn >= 0) == (t->distance >= 0)) {
        return round_corner(t, c, turn);
    }
    if (overlaps_little(c, turn, t->distance)) {
        return line_off(t, c, turn / 2, t->distance / cos(turn / 2));
    }
    return line_off(t, c, 0, t->distance) && line_to(t, c->at) && line_off(t, c, turn, t->distance);
}

static void aim(th_point from, th_point to, double *x, double *y, double *length) {
    *length = hypot(to.x - from.x, to.y - from.y);
    *x = (to.x - from.x) / *length;
    *y = (to.y - from.y) / *length;
}

static corner corner_at(const th_point *p, size_t n, size_t i) {
    corner c = {.at = p[i]};

    aim(p[(i + n - 1) % n], p[i], &c.ix, &c.iy, &c.in);
    aim(p[i], p[(i + 1) % n], &c.ox, &c.oy, &c.out);
    return c;
}

/* A ring no wider than twice the distance closes up: every place in it is near its edge. */
static bool closes(const th_ring *ring, double distance) {
    th_ring copy = *ring;
    th_outline one = {.rings = &copy, .ring_count = 1};
    double box[4];

    return th_region_box(&one, box) && fmin(box[2] - box[0], box[3] - box[1]) <= 2 * fabs(distance);
}

/* ---- rings that only draw in ----------------------------------------------------------------- */

/* Whether every corner points inward (a hole, or a piece to be shrunk, that is convex) and some
 * overlap much. */
static bool draws_in(const th_point *p, size_t n, double distance) {
    bool much = false;

    for (size_t i = 0; i < n; i++) {
        corner c = corner_at(p, n, i);
        double turn = turn_at(&c);
        if (!(distance > 0 ? turn <= 0 : turn >= 0)) {
            return false;
        }
        much = much || !overlaps_little(&c, turn, distance);
    }
    return much;
}

/* How far p lies right of the line from a in the direction (x, y). */
static double right_of(th_point a, double x, double y, th_point p) {
    return y * (p.x - a.x) - x * (p.y - a.y);
}

/* What of a convex polygon lies on the far side of the line at the distance from an edge. `to` gets
 * at most one point more than `from`. */
static size_t clip(const tracer *t, th_point a, th_point b, const th_point *from, size_t n,
                   th_point *to) {
    double x, y, length, sign = t->distance > 0 ? 1 : -1;
    size_t kept = 0;

    aim(a, b, &x, &y, &length);
    for (size_t i = 0; i < n; i++) {
        th_point p = from[i], q = from[(i + 1) % n];
        double beyond = sign * (right_of(a, x, y, p) - t->distance);
        double next = sign * (right_of(a, x, y, q) - t->distance);
        if (beyond >= 0) {
            to[kept++] = p;
        }
        if ((beyond > 0 && next < 0) || (beyond < 0 && next > 0)) {
            double part = beyond / (beyond - next);
            to[kept++] = (th_point){p.x + part * (q.x - p.x), p.y + part * (q.y - p.y)};
        }
    }
    return kept;
}

/* A convex figure draws in to what lies far enough from the lines of all its edges. Each line adds
 * one point at most, or twice as many where roundings make it waver. */
static bool draw_in(tracer *t, const th_point *p, size_t n) {
    size_t room = 2 * n, count = n;
    th_point *from = malloc(2 * room * sizeof *from), *to = malloc(2 * room * sizeof *to);
    bool done = (from && to) || th_fail_memory(t->graph->err);

    for (size_t i = 0; done && i < n; i++) {
        from[i] = p[i];
    }
    for (size_t i = 0; done && i < n && count >= 3; i++) {
        th_point *kept = to;
        count = clip(t, p[i], p[(i + 1) % n], from, count, to);
        to = from;
        from = kept;
        if (count > room) {
            done = th_fail(t->graph->err, TH_NOT_SOLVED, "a convex ring does not draw in");
        }
    }
    t->started = false;
    for (size_t i = 0; done && i < count; i++) {
        done = line_to(t, from[i]);
    }
    free(from);
    free(to);
    return done && (!t->started || line_to(t, t->first));
}

/* ---- any ring -------------------------------------------------------------------------------- */

static bool trace(tracer *t, const th_point *p, size_t n) {
    t->started = false;
    for (size_t i = 0; i < n; i++) {
        corner c = corner_at(p, n, i);
        if (!pass_corner(t, &c)) {
            return false;
        }
    }
    return !t->started || line_to(t, t->first);
}

static bool same(th_point a, th_point b) {
    return a.x == b.x && a.y == b.y;
}

static bool grow_ring(tracer *t, const th_ring *ring) {
    th_point *p = malloc((ring->count + 1) * sizeof *p);
    size_t n = 0;
    bool done;

    if (!p) {
        return th_fail_memory(t->graph->err);
    }
    for (size_t i = 0; i < ring->count; i++) {
        if (n == 0 || !same(p[n - 1], ring->points[i])) {
            p[n++] = ring->points[i];
        }
    }
    while (n > 1 && same(p[n - 1], p[0])) {
        n--;
    }
    if (t->distance != 0 && ring->hole == (t->distance > 0) && draws_in(p, n, t->distance)) {
        done = draw_in(t, p, n);
    } else {
        done = n < 3 || trace(t, p, n);
    }
    free(p);
    return done;
}

bool th_region_grown(const th_outline *of, double distance, double tolerance, th_outline *region,
                     th_error *err) {
    region_graph graph = {.err = err};
    tracer t = {.graph = &graph, .distance = distance};
    double reach = fabs(distance), stray = tolerance > 0 ? tolerance : TH_OUTLINE_TOLERANCE;
    bool done = true;

    *region = (th_outline){0};
    if (!isfinite(distance)) {
        return th_fail(err, TH_BAD_RANGE, "a region cannot grow by %g mm", distance);
    }
    /* At most an eighth of a turn a chord, however coarse the tolerance. */
    t.step = fmin(2 * acos(reach / (reach + stray)), TH_PI / 4);
    for (size_t i = 0; done && i < of->ring_count; i++) {
        const th_ring *ring = &of->rings[i];
        if (distance == 0 || ring->hole != (distance > 0) || !closes(ring, distance)) {
            done = grow_ring(&t, ring);
        }
    }
    if (!done) {
        free(graph.edges);
        return false;
    }
    return th_region_build(&graph, REGION_POSITIVE, region);
}
