/* read_corner.c - inward corners under cutter compensation: the tool's centre keeps its radius from
 * both moves where the ways beside them cross, and turns there.
 *
 * That cuts the first of the two short, so it is held back until the next move of the contour is
 * known, and with it what happens meanwhile where it ends: moves along z, dwells, stops. */
#include "read.h"

#include <math.h>

/* Ways that end this little (mm) before the crossing reach it: a slot as wide as the tool. */
static const double fit_slack = 1e-6;

/* Where two ways cross, and how far along each from the corner (mm). */
typedef struct {
    double at[2];
    double off[2];
    double lack; /* what the way that is too short lacks (mm); 0 or less where neither is */
} crossing;

/* ---- moves held back ---- */

static bool goes_nowhere(const th_move *move) {
    return (move->kind == TH_MOVE_LINE || move->kind == TH_MOVE_RAPID) &&
           move->from[0] == move->to[0] && move->from[1] == move->to[1] &&
           move->from[2] == move->to[2];
}

bool rs_release(reader *r) {
    int count = r->held_count;

    r->held_count = 0;
    r->comp.last_held = false;
    for (int i = 0; i < count; i++) {
        if (!goes_nowhere(&r->held[i]) && !rs_deliver(r, &r->held[i])) {
            return false;
        }
    }
    return true;
}

bool rs_hold(reader *r, const th_move *move) {
    if (r->held_count == HELD_MOST) {
        r->comp.last_gone = true;
        if (!rs_release(r)) {
            return false;
        }
    }
    r->held[r->held_count++] = *move;
    return true;
}

/* The last `angle` of an arc falls away; one of which nothing is left goes straight, to its z. */
static void shorten_arc(th_move *move, double angle) {
    double left = fabs(move->sweep) - angle;

    if (left > 1e-9) {
        move->sweep = copysign(left, move->sweep);
        return;
    }
    move->kind = TH_MOVE_LINE;
    move->sweep = 0;
    for (int i = 0; i < 3; i++) {
        move->axes[i] = i;
    }
    move->centre[0] = move->centre[1] = 0;
}

static void shorten(reader *r, const crossing *c) {
    th_move *first = &r->held[0];
    double at[2] = {c->at[0], c->at[1]};

    if (!r->comp.last_held) { /* it had no length to lose */
        return;
    }
    if (hypot(at[0] - first->from[0], at[1] - first->from[1]) <= 2 * fit_slack) {
        at[0] = first->from[0];
        at[1] = first->from[1];
    }
    if (first->kind == TH_MOVE_ARC) {
        shorten_arc(first, c->off[0] / r->comp.last.radius);
    }
    for (int i = 0; i < 2; i++) {
        first->to[i] = r->p.at[i] = at[i];
        for (int k = 1; k < r->held_count; k++) {
            r->held[k].from[i] = r->held[k].to[i] = at[i];
        }
    }
}

/* ---- where two ways cross ---- */

/* How far along a way from its corner a point on it lies (mm), behind it below 0. Half a turn is
 * enough for an arc: circles and lines are symmetric about the line through their centres, and the
 * crossing that belongs to the corner stays on the corner's side of it. */
static double along(const centre_way *way, const double at[2]) {
    double x = way->corner[0] - way->centre[0], y = way->corner[1] - way->centre[1];
    double to[2] = {at[0] - way->centre[0], at[1] - way->centre[1]};

    if (!way->arc) {
        return (at[0] - way->corner[0]) * way->away[0] + (at[1] - way->corner[1]) * way->away[1];
    }
    return way->radius * way->turn * atan2(x * to[1] - y * to[0], x * to[0] + y * to[1]);
}

/* Half the chord whose distance from the centre of a circle is given; NAN where there is none. */
static double half_chord(double radius, double distance) {
    double square = (radius - distance) * (radius + distance);

    return fabs(distance) - radius < 1e-9 ? sqrt(fmax(square, 0)) : NAN;
}

/* The points `back` and `on` from one, along a direction. */
static int put_two(double points[2][2], const double from[2], const double direction[2],
                   double half) {
    for (int i = 0; i < 2; i++) {
        points[0][i] = from[i] - half * direction[i];
        points[1][i] = from[i] + half * direction[i];
    }
    return isnan(half) ? 0 : 2;
}

static int cross_lines(const centre_way *a, const centre_way *b, double points[2][2]) {
    double across = a->away[0] * b->away[1] - a->away[1] * b->away[0];
    double x = b->corner[0] - a->corner[0], y = b->corner[1] - a->corner[1];
    double far = (x * b->away[1] - y * b->away[0]) / across;

    for (int i = 0; i < 2; i++) {
        points[0][i] = a->corner[i] + far * a->away[i];
    }
    return isfinite(far) ? 1 : 0;
}

static int cross_line_arc(const centre_way *line, const centre_way *arc, double points[2][2]) {
    double x = arc->centre[0] - line->corner[0], y = arc->centre[1] - line->corner[1];
    double far = x * line->away[0] + y * line->away[1];
    double distance = x * line->away[1] - y * line->away[0];
    double foot[2] = {line->corner[0] + far * line->away[0], line->corner[1] + far * line->away[1]};

    return put_two(points, foot, line->away, half_chord(arc->radius, distance));
}

static int cross_arcs(const centre_way *a, const centre_way *b, double points[2][2]) {
    double x = b->centre[0] - a->centre[0], y = b->centre[1] - a->centre[1];
    double apart = hypot(x, y), far, foot[2], square[2];

    if (apart < 1e-9) {
        return 0;
    }
    far = (apart + (a->radius - b->radius) * (a->radius + b->radius) / apart) / 2;
    foot[0] = a->centre[0] + far * x / apart;
    foot[1] = a->centre[1] + far * y / apart;
    square[0] = -y / apart;
    square[1] = x / apart;
    return put_two(points, foot, square, half_chord(a->radius, far));
}

static int cross_ways(const centre_way *a, const centre_way *b, double points[2][2]) {
    if (a->arc && b->arc) {
        return cross_arcs(a, b, points);
    }
    return a->arc   ? cross_line_arc(b, a, points)
           : b->arc ? cross_line_arc(a, b, points)
                    : cross_lines(a, b, points);
}

/* Of two that the tool can reach, the one nearer to the corner. */
static bool is_better(const crossing *a, const crossing *b) {
    bool fits = a->lack <= fit_slack;

    if (fits != (b->lack <= fit_slack)) {
        return fits;
    }
    return fits ? a->off[0] + a->off[1] < b->off[0] + b->off[1] : a->lack < b->lack;
}

/* The crossing to turn at; where the tool does not fit that which lacks least. */
static bool find_crossing(const centre_way *last, const centre_way *next, crossing *best) {
    double points[2][2];
    int count = cross_ways(last, next, points);

    for (int i = 0; i < count; i++) {
        crossing one = {.at = {points[i][0], points[i][1]},
                        .off = {along(last, points[i]), along(next, points[i])}};
        one.lack = fmax(fmax(-one.off[0], one.off[0] - last->length),
                        fmax(-one.off[1], one.off[1] - next->length));
        if (i == 0 || is_better(&one, best)) {
            *best = one;
        }
    }
    return count > 0;
}

/* ---- a tool that does not fit ---- */

static bool refuse_gone(reader *r) {
    return rs_fail(r, TH_NOT_POSSIBLE,
                   "an inward corner under cutter compensation whose first move, of line %d, is "
                   "more than %d moves ago, farther back than is looked; write fewer moves along "
                   "Z, dwells and stops between the two",
                   r->comp.last_line, HELD_MOST - 1);
}

static bool refuse_apart(reader *r) {
    return rs_fail(r, TH_NOT_POSSIBLE,
                   "an inward corner, of lines %d and %d, into which a tool of %g %s radius does "
                   "not fit: the ways of its centre beside the two moves do not meet there; take a "
                   "smaller tool",
                   r->comp.last_line, r->line, r->comp.radius / rs_unit(r), rs_unit_name(r));
}

static bool refuse_short(reader *r, const centre_way *next, const crossing *c) {
    const centre_way *last = &r->comp.last;
    bool first = c->off[0] - last->length > c->off[1] - next->length;
    const char *unit = rs_unit_name(r);
    double takes = c->off[first ? 0 : 1], has = (first ? last : next)->length;

    if (c->off[0] < -fit_slack || c->off[1] < -fit_slack) { /* one that is not of this corner */
        return refuse_apart(r);
    }
    return rs_fail(
        r, TH_NOT_POSSIBLE,
        "an inward corner, of lines %d and %d, into which a tool of %g %s radius does not fit: "
        "the move of line %d is too short, as the corner takes %.6g %s off the way of the "
        "tool's centre, which has %.6g %s there; take a smaller tool, or make that move longer",
        r->comp.last_line, r->line, r->comp.radius / rs_unit(r), unit,
        first ? r->comp.last_line : r->line, takes / rs_unit(r), unit, has / rs_unit(r), unit);
}

/* ---- the corner ---- */

bool rs_turn_inward(reader *r, const centre_way *next, double *taken) {
    crossing best = {0};

    if (r->comp.last_gone) {
        return refuse_gone(r);
    }
    if (!find_crossing(&r->comp.last, next, &best)) {
        return refuse_apart(r);
    }
    if (!(best.lack <= fit_slack)) {
        return refuse_short(r, next, &best);
    }
    if (r->corners++ == 0) {
        r->corner_lines[0] = r->comp.last_line;
        r->corner_lines[1] = r->line;
    }
    shorten(r, &best);
    *taken = best.off[1];
    return true;
}

bool rs_say_corners(reader *r) {
    return r->corners == 0 ||
           th_lines_add(&r->report->readings, &r->report->arena,
                        "inward corners under G41 and G42: the tool turns where it touches both "
                        "moves (%lld, the first between lines %d and %d)",
                        r->corners, r->corner_lines[0], r->corner_lines[1]) ||
           th_fail_memory(r->err);
}
