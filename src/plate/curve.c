/* curve.c - curves flattened to the path's tolerance. */
#include "path.h"

#include <math.h>

/* An arc after the affine: centre + cos(t) u + sin(t) v for t from start to start + turn. */
typedef struct {
    th_point centre, u, v;
    double start, turn; /* (rad) */
} bent;

static double radians(double degrees) {
    return degrees * (TH_PI / 180);
}

static bent bent_of(th_affine m, const th_circle_arc *arc) {
    double c = cos(radians(arc->rotation)), s = sin(radians(arc->rotation));
    th_affine turned = m;
    bent b;

    turned.e = turned.f = 0;
    b.centre = th_affine_point(m, arc->centre);
    b.u = th_affine_point(turned, (th_point){arc->rx * c, arc->rx * s});
    b.v = th_affine_point(turned, (th_point){-arc->ry * s, arc->ry * c});
    b.start = radians(arc->start);
    b.turn = radians(fmax(-360, fmin(360, arc->turn)));
    return b;
}

static th_point bent_at(const bent *b, double angle, double radius) {
    double c = radius * cos(angle), s = radius * sin(angle);

    return (th_point){b->centre.x + c * b->u.x + s * b->v.x, b->centre.y + c * b->u.y + s * b->v.y};
}

/* The longer half axis of the ellipse with conjugate half diameters u and v: the larger singular
 * value of (u v). */
static double longer_half_axis(const bent *b) {
    double uu = b->u.x * b->u.x + b->u.y * b->u.y;
    double vv = b->v.x * b->v.x + b->v.y * b->v.y;
    double uv = b->u.x * b->v.x + b->u.y * b->v.y;

    return sqrt((uu + vv) / 2 + hypot((uu - vv) / 2, uv));
}

/* Number of chords. The vertices between the ends are moved out so that the polygon has the area of
 * the sector; the farthest any point strays is then a vertex of an arc of two chords, by
 * (step/sin(step) - 1) times the half axis: below step^2/5.5 for steps up to an eighth of a turn.
 * A negative count: too many. */
static long chord_count(const th_path *path, const bent *b) {
    double step = fmin(TH_PI / 4, sqrt(5.5 * path->tolerance / longer_half_axis(b)));
    double count = ceil(fabs(b->turn) / step);

    if (!(count <= TH_OUTLINE_POINTS_MAX)) {
        return -1;
    }
    return count < 2 ? 2 : (long)count;
}

static void refuse_count(th_path *path) {
    th_path_fail(path, TH_BAD_RANGE,
                 "a curve is too large or has no proper size; check the units of the outline");
}

/* Radius factor k of the vertices between the ends, which themselves stay on the curve:
 * (n - 2) k^2 + 2 k = n step/sin(step) equates the area of the n triangles with the sector's. */
static double vertex_radius(long n, double step) {
    double wanted = (double)n * step / sin(step);
    double more = (double)(n - 2);

    return wanted / (1 + sqrt(1 + more * wanted));
}

/* From the current point, which is the arc's first, to `end`, given in final mm. */
static void put_arc(th_path *path, const bent *b, th_point end) {
    long n = chord_count(path, b);
    double step = fabs(b->turn) / (double)n;
    double radius;

    if (n < 0) {
        refuse_count(path);
        return;
    }
    radius = step > 0 ? vertex_radius(n, step) : 1;
    for (long i = 1; i < n && !path->failed; i++) {
        th_outline_path_put(path, bent_at(b, b->start + b->turn * (double)i / (double)n, radius));
    }
    th_outline_path_put(path, end);
}

static th_point arc_point(const th_circle_arc *arc, double degrees) {
    bent b = bent_of(th_affine_same(), arc);

    return bent_at(&b, radians(degrees), 1);
}

/* The arc runs from the current point to `to`, both before the affine. */
static void draw_arc(th_path *path, const th_circle_arc *arc, th_point to) {
    bent b = bent_of(path->affine, arc);

    if (th_outline_path_begin(path)) {
        put_arc(path, &b, th_affine_point(path->affine, to));
    }
    path->at = to;
}

void th_path_arc(th_path *path, const th_circle_arc *arc) {
    th_point first = arc_point(arc, arc->start);
    bool whole = fabs(arc->turn) >= 360;

    if (!path->drawing && !path->moved) {
        th_path_move(path, first);
    } else if (first.x != path->at.x || first.y != path->at.y) {
        th_path_line(path, first);
    }
    draw_arc(path, arc, whole ? first : arc_point(arc, arc->start + arc->turn));
}

/* Where the arc would go if its ellipse were a circle of radius 1 about the origin: the two ends
 * there, and how much the radii had to grow for the ends to lie on it. */
typedef struct {
    th_point from, to, centre;
    double grown;
} on_circle;

static on_circle to_circle(th_point from, const th_arc_to *arc) {
    double c = cos(radians(arc->rotation)), s = sin(radians(arc->rotation));
    double rx = fabs(arc->rx), ry = fabs(arc->ry);
    on_circle o;
    double dx, dy, half, apart;

    o.from = (th_point){(c * from.x + s * from.y) / rx, (c * from.y - s * from.x) / ry};
    o.to = (th_point){(c * arc->to.x + s * arc->to.y) / rx, (c * arc->to.y - s * arc->to.x) / ry};
    dx = o.to.x - o.from.x;
    dy = o.to.y - o.from.y;
    half = hypot(dx, dy) / 2;
    o.grown = fmax(1, half);
    apart = sqrt(fmax(0, o.grown * o.grown - half * half)) / (half > 0 ? 2 * half : 1);
    /* The centre lies to the left of the chord for the short arc that runs from x to y. */
    apart = arc->large == arc->positive ? -apart : apart;
    o.centre.x = (o.from.x + o.to.x) / 2 - apart * dy;
    o.centre.y = (o.from.y + o.to.y) / 2 + apart * dx;
    return o;
}

static double turn_of(const on_circle *o, bool positive, double *start) {
    double end = atan2(o->to.y - o->centre.y, o->to.x - o->centre.x) * (180 / TH_PI);
    double turn;

    *start = atan2(o->from.y - o->centre.y, o->from.x - o->centre.x) * (180 / TH_PI);
    turn = end - *start;
    if (positive && turn < 0) {
        turn += 360;
    } else if (!positive && turn > 0) {
        turn -= 360;
    }
    return turn;
}

void th_path_arc_to(th_path *path, const th_arc_to *to) {
    double c = cos(radians(to->rotation)), s = sin(radians(to->rotation));
    th_circle_arc arc = {.rx = fabs(to->rx), .ry = fabs(to->ry), .rotation = to->rotation};
    on_circle o;
    th_point centre;

    if (to->to.x == path->at.x && to->to.y == path->at.y) {
        return;
    }
    if (!(arc.rx > 0 && arc.ry > 0)) {
        th_path_line(path, to->to);
        return;
    }
    o = to_circle(path->at, to);
    arc.turn = turn_of(&o, to->positive, &arc.start);
    centre = (th_point){o.centre.x * arc.rx, o.centre.y * arc.ry};
    arc.centre = (th_point){c * centre.x - s * centre.y, s * centre.x + c * centre.y};
    arc.rx *= o.grown;
    arc.ry *= o.grown;
    draw_arc(path, &arc, to->to);
}

void th_path_bulge(th_path *path, th_point to, double bulge) {
    double chord = hypot(to.x - path->at.x, to.y - path->at.y);
    double radius = chord * (1 + bulge * bulge) / (4 * fabs(bulge));
    th_arc_to arc = {.rx = radius, .ry = radius, .large = fabs(bulge) > 1, .to = to};

    /* A sagitta far below the tolerance is a line, however large its radius. */
    if (fabs(bulge) < 1e-9 || !isfinite(radius)) {
        th_path_line(path, to);
        return;
    }
    arc.positive = bulge > 0;
    th_path_arc_to(path, &arc);
}

/* Every vertex of a closed ellipse moves out alike, so that it stays symmetric. */
void th_path_ellipse(th_path *path, th_point centre, double rx, double ry) {
    th_circle_arc arc = {.centre = centre, .rx = rx, .ry = ry, .turn = 360};
    bent b = bent_of(path->affine, &arc);
    long n = chord_count(path, &b);
    double step = 2 * TH_PI / (double)n;
    double radius = sqrt(step / sin(step));

    if (n < 0) {
        refuse_count(path);
        return;
    }
    th_path_move(path, (th_point){centre.x + radius * rx, centre.y});
    if (th_outline_path_begin(path)) {
        for (long i = 1; i < n && !path->failed; i++) {
            th_outline_path_put(path, bent_at(&b, step * (double)i, radius));
        }
    }
    th_path_close(path);
}

/* Steps in which a curve with second differences up to `bend` strays less than a quarter of the
 * tolerance: chords always lie inside, so their error in area would add up. `share` times bend
 * bounds the sagitta of a single chord. */
static long step_count(const th_path *path, double bend, double share) {
    double count = ceil(sqrt(4 * share * bend / path->tolerance));

    if (!(count <= TH_OUTLINE_POINTS_MAX)) {
        return -1;
    }
    return count < 1 ? 1 : (long)count;
}

static double second_difference(th_point p, th_point q, th_point r) {
    return hypot(p.x - 2 * q.x + r.x, p.y - 2 * q.y + r.y);
}

static th_point between(th_point p, th_point q, double t) {
    return (th_point){p.x + t * (q.x - p.x), p.y + t * (q.y - p.y)};
}

static void put_cubic(th_path *path, const th_point p[4]) {
    double bend = fmax(second_difference(p[0], p[1], p[2]), second_difference(p[1], p[2], p[3]));
    /* |second derivative| <= 6 bend, and a chord over dt strays by at most an eighth of it dt^2. */
    long n = step_count(path, bend, 0.75);

    if (n < 0) {
        refuse_count(path);
        return;
    }
    for (long i = 1; i < n && !path->failed; i++) {
        double t = (double)i / (double)n;
        th_point a = between(p[0], p[1], t), b = between(p[1], p[2], t);
        th_point c = between(p[2], p[3], t);
        th_outline_path_put(path, between(between(a, b, t), between(b, c, t), t));
    }
    th_outline_path_put(path, p[3]);
}

void th_path_cubic(th_path *path, th_point control1, th_point control2, th_point to) {
    th_point p[4] = {path->at, control1, control2, to};

    if (th_outline_path_begin(path)) {
        for (int i = 0; i < 4; i++) {
            p[i] = th_affine_point(path->affine, p[i]);
        }
        put_cubic(path, p);
    }
    path->at = to;
}

/* A quadratic is the cubic whose control points lie two thirds of the way to its own. */
void th_path_quadratic(th_path *path, th_point control, th_point to) {
    th_path_cubic(path, between(path->at, control, 2.0 / 3), between(to, control, 2.0 / 3), to);
}
