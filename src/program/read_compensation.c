/* read_compensation.c - cutter radius compensation as in NIST IR 6556: the tool's centre keeps its
 * radius from the contour in the XY plane, goes round outward corners on an arc about the corner,
 * and into inward ones as options->inward says (read_corner.c).
 *
 * The contour stands at comp.at, the tool's centre at p.at; their difference, of the radius'
 * length, is the normal at the end of the last move, which stays held back meanwhile. */
#include "read.h"

#include <math.h>

/* An inward corner this slight (rad) is one of rounding (the report's limit). */
static const double corner_slack = 0.01;

static double radius_of_words(reader *r, bool *found) {
    int code = r->b.g[G_RADIUS];
    const th_program_tool *tool;
    long long number = r->m.tool;

    *found = true;
    if (code == 411 || code == 421) {
        return rs_seen(r, 'd') ? rs_value(r, 'd') * rs_unit(r) / 2 : NAN;
    }
    if (rs_seen(r, 'd')) {
        *found = rs_whole(rs_value(r, 'd'), 0, 99999, &number);
    }
    tool = rs_tool(r, number);
    *found = *found && (tool != NULL || number == 0);
    return number == 0 ? (rs_seen(r, 'd') ? 0 : NAN) : tool ? tool->diameter / 2 : NAN;
}

bool rs_set_radius(reader *r) {
    bool found;
    double radius;

    if (r->b.g[G_RADIUS] == 400) {
        if (!rs_release(r)) {
            return false;
        }
        r->comp = (compensation){0};
        return true;
    }
    if (r->comp.side != 0) {
        return rs_fail(r, TH_CONTRADICTION,
                       "cutter compensation is on already: write G40 before it is "
                       "switched on again");
    }
    if (r->m.axes[2] != 2) {
        return rs_fail(r, TH_CONTRADICTION, "cutter compensation works in G17 alone");
    }
    if (r->m.feed_mode == 93) {
        return rs_fail(r, TH_CONTRADICTION,
                       "cutter compensation together with G93: one line may be "
                       "several moves, F cannot be one over the time of each");
    }
    radius = radius_of_words(r, &found);
    if (!found || !isfinite(radius)) {
        return rs_fail(
            r, TH_MISSING,
            "cutter compensation with a tool whose diameter is not known: give the job a [tool.N] "
            "of that number with its cutter or diameter, or write it as G41.1 %s",
            r->m.inch ? "D0.25" : "D6");
    }
    if (radius < 0 || radius > 1000) {
        return rs_fail(r, TH_BAD_RANGE, "a cutter of %g %s diameter: 0 to %.6g %s are taken",
                       2 * radius / rs_unit(r), rs_unit_name(r), 2000 / rs_unit(r),
                       rs_unit_name(r));
    }
    r->comp.side = r->b.g[G_RADIUS] / 10 == 41 ? 1 : -1;
    r->comp.radius = radius;
    r->comp.entered = false;
    return true;
}

static void set_contour(reader *r, const double to[3]) {
    r->comp.entered = true;
    r->comp.at[0] = to[0];
    r->comp.at[1] = to[1];
}

static bool refuse_entry(reader *r) {
    return rs_fail(r, TH_NOT_POSSIBLE,
                   "the move on which cutter compensation begins is too short or does not fit: the "
                   "tool's radius is %g %s; begin farther away",
                   r->comp.radius / rs_unit(r), rs_unit_name(r));
}

/* ---- the tool's centre beside the contour ---- */

static void note_last(reader *r, const centre_way *last) {
    r->comp.last = *last;
    r->comp.last_line = r->line;
    r->comp.last_held = r->held_count == 1;
    r->comp.last_gone = false;
}

/* Straight to where a move of the contour ends. d is its direction, `length` that of the contour:
 * the tool's centre may have less to go, where the corner took some. */
static bool follow_straight(reader *r, const double to[3], const double end[3], const double d[2],
                            double length, bool rapid) {
    double left = (end[0] - r->p.at[0]) * d[0] + (end[1] - r->p.at[1]) * d[1];
    centre_way last = {.corner = {end[0], end[1]}, .away = {-d[0], -d[1]}};

    last.length = fmax(fmin(length, left), 0);
    set_contour(r, to);
    if (!rs_release(r) || !rs_line_to(r, end, rapid)) {
        return false;
    }
    note_last(r, &last);
    return true;
}

/* On an arc to where that of the contour ends. */
static bool follow_arc(reader *r, const double to[3], const arc_words *tool, double sweep) {
    double radius = hypot(tool->to[0] - tool->centre[0], tool->to[1] - tool->centre[1]);
    centre_way last = {.arc = true,
                       .corner = {tool->to[0], tool->to[1]},
                       .centre = {tool->centre[0], tool->centre[1]},
                       .radius = radius,
                       .turn = tool->clockwise ? 1 : -1,
                       .length = fabs(sweep) * radius};

    set_contour(r, to);
    if (!rs_release(r) ||
        !(sweep == 0 ? rs_line_to(r, tool->to, false) : rs_arc_swept(r, tool, sweep))) {
        return false;
    }
    note_last(r, &last);
    return true;
}

/* Turn from where the tool's centre begins an arc to its end. */
static double sweep_from(const double start[2], const arc_words *tool) {
    double from[2], to[2];

    for (int i = 0; i < 2; i++) {
        from[i] = start[i] - tool->centre[i];
        to[i] = tool->to[i] - tool->centre[i];
    }
    return rs_sweep(from, to, tool);
}

/* ---- entry ---- */

/* The tool ends on the side of the contour, touching there the line that touches it now too. */
static bool enter_straight(reader *r, const double to[3], bool rapid) {
    double x = r->p.at[0] - to[0], y = r->p.at[1] - to[1], distance = hypot(x, y);
    double radius = r->comp.radius, angle, length, end[3];

    if (distance <= radius) {
        return distance == 0 && radius == 0 ? rs_line_to(r, to, rapid) : refuse_entry(r);
    }
    angle = atan2(y, x) - r->comp.side * acos(radius / distance);
    end[0] = to[0] + radius * cos(angle);
    end[1] = to[1] + radius * sin(angle);
    end[2] = to[2];
    x = end[0] - r->p.at[0];
    y = end[1] - r->p.at[1];
    length = hypot(x, y);
    return follow_straight(r, to, end, (double[]){x / length, y / length}, length, rapid);
}

/* Distance of the tool's centre from an arc's centre: inside a turn to its own side. */
static double offset_radius(const reader *r, const arc_words *arc, double radius) {
    bool inside = (r->comp.side > 0) != arc->clockwise;

    return inside ? radius - r->comp.radius : radius + r->comp.radius;
}

static void offset_end(const arc_words *contour, double radius, double offset, arc_words *tool) {
    *tool = *contour;
    for (int i = 0; i < 2; i++) {
        tool->to[i] =
            contour->centre[i] + (contour->to[i] - contour->centre[i]) * (offset / radius);
    }
}

/* A centre `offset` from the tool and `radius` from the end of the contour. */
static bool centre_by_radius(reader *r, arc_words *arc, double radius, double offset) {
    double x = arc->to[0] - r->p.at[0], y = arc->to[1] - r->p.at[1], distance = hypot(x, y);
    double along = (offset * offset - radius * radius + distance * distance) / (2 * distance);
    double off = offset * offset - along * along;
    double side = (rs_value(r, 'r') > 0) == arc->clockwise ? -1 : 1;

    if (!(off >= 0) || distance == 0) {
        return refuse_entry(r);
    }
    off = sqrt(off) * side;
    arc->centre[0] = r->p.at[0] + (x * along - y * off) / distance;
    arc->centre[1] = r->p.at[1] + (y * along + x * off) / distance;
    return true;
}

static bool enter_arc(reader *r, const arc_words *words) {
    arc_words arc = *words, tool;
    bool by_radius = rs_seen(r, 'r');
    double radius = by_radius ? fabs(rs_value(r, 'r')) * rs_unit(r)
                              : hypot(arc.to[0] - arc.centre[0], arc.to[1] - arc.centre[1]);
    double offset = offset_radius(r, &arc, radius), distance;

    if (!(offset > 0 && radius > 1e-9)) {
        return refuse_entry(r);
    }
    if (by_radius && !centre_by_radius(r, &arc, radius, offset)) {
        return false;
    }
    distance = hypot(r->p.at[0] - arc.centre[0], r->p.at[1] - arc.centre[1]);
    if (fabs(distance - offset) > (r->m.inch ? TH_ARC_SLACK_INCH * 25.4 : TH_ARC_SLACK_MM)) {
        return refuse_entry(r);
    }
    offset_end(&arc, radius, offset, &tool);
    return follow_arc(r, arc.to, &tool, sweep_from(r->p.at, &tool));
}

/* ---- along the contour ---- */

/* Turn of the normal from where the tool stands to (x, y), of length radius; negative outward. */
static double turn_to(const reader *r, double x, double y) {
    double nx = r->p.at[0] - r->comp.at[0], ny = r->p.at[1] - r->comp.at[1];
    double turn = r->comp.side * atan2(nx * y - ny * x, nx * x + ny * y);

    return turn > TH_PI - 1e-6 ? -turn : turn;
}

static bool refuse_corner(reader *r) {
    return rs_fail(
        r, TH_NOT_POSSIBLE,
        "an inward corner under cutter compensation, refused as NIST IR 6556 does: put an arc "
        "there of a larger radius than the tool's, %g %s, or let the tool turn where it "
        "touches both moves",
        r->comp.radius / rs_unit(r), rs_unit_name(r));
}

/* Round the corner until the normal is (x, y). */
static bool go_round(reader *r, double x, double y) {
    arc_words arc = {.centre = {r->comp.at[0], r->comp.at[1]}, .turns = 1};

    arc.clockwise = r->comp.side > 0;
    arc.to[0] = r->comp.at[0] + x;
    arc.to[1] = r->comp.at[1] + y;
    arc.to[2] = r->p.at[2];
    return rs_arc_to(r, &arc);
}

/* Into the corner before `next`, which begins at the normal (x, y); `taken` (mm) off an inward one.
 */
static bool take_corner(reader *r, const centre_way *next, bool rapid, double *taken) {
    double x = next->corner[0] - r->comp.at[0], y = next->corner[1] - r->comp.at[1];
    double turn = turn_to(r, x, y);

    *taken = 0;
    if (turn > corner_slack && r->comp.radius > 0) {
        return r->options->inward == TH_INWARD_REFUSE ? refuse_corner(r)
                                                      : rs_turn_inward(r, next, taken);
    }
    return rapid || turn > -1e-9 || r->comp.radius == 0 || go_round(r, x, y);
}

bool rs_straight_compensated(reader *r, const double to[3], bool rapid) {
    double length, d[2], end[3], taken;
    centre_way next = {0};

    if (!rs_all_known(r)) {
        return rs_fail(r, TH_MISSING,
                       "cutter compensation from a place that is not known: move to X, Y "
                       "and Z first");
    }
    if (!r->comp.entered && (rs_seen(r, 'x') || rs_seen(r, 'y'))) {
        return enter_straight(r, to, rapid);
    }
    d[0] = r->comp.entered ? to[0] - r->comp.at[0] : 0;
    d[1] = r->comp.entered ? to[1] - r->comp.at[1] : 0;
    length = hypot(d[0], d[1]);
    if (length == 0) {
        return rs_line_to(r, (double[]){r->p.at[0], r->p.at[1], to[2]}, rapid);
    }
    for (int i = 0; i < 2; i++) {
        double normal = r->comp.side * (i == 0 ? -d[1] : d[0]) / length * r->comp.radius;
        next.corner[i] = r->comp.at[i] + normal;
        end[i] = to[i] + normal;
    }
    end[2] = to[2];
    next.away[0] = d[0] / length;
    next.away[1] = d[1] / length;
    next.length = length;
    return take_corner(r, &next, rapid, &taken) &&
           follow_straight(r, to, end, next.away, length, rapid);
}

/* To where the arc begins: into the corner, or the little that a slight inward corner leaves. */
static bool go_to_arc(reader *r, const centre_way *next, double *taken) {
    double start[3] = {next->corner[0], next->corner[1], r->p.at[2]};

    if (!take_corner(r, next, false, taken)) {
        return false;
    }
    return *taken > 0 || hypot(start[0] - r->p.at[0], start[1] - r->p.at[1]) < 1e-9 ||
           rs_line_to(r, start, false);
}

/* The way of the tool's centre along an arc, from the contour's place on, and how it turns. */
static bool follow_round(reader *r, const arc_words *arc, double radius, double last,
                         double offset) {
    double out = (offset - last) / radius, sweep, taken, left, start[2];
    centre_way next = {.arc = true,
                       .centre = {arc->centre[0], arc->centre[1]},
                       .radius = radius + offset - last,
                       .turn = arc->clockwise ? -1 : 1};
    arc_words tool;

    for (int i = 0; i < 2; i++) {
        start[i] = next.corner[i] = r->comp.at[i] + (r->comp.at[i] - arc->centre[i]) * out;
    }
    offset_end(arc, last, offset, &tool);
    sweep = sweep_from(start, &tool);
    next.length = fabs(sweep) * next.radius;
    if (!go_to_arc(r, &next, &taken)) {
        return false;
    }
    left = fabs(sweep) - taken / next.radius;
    return follow_arc(r, arc->to, &tool, left > 1e-9 ? copysign(left, sweep) : 0);
}

bool rs_arc_compensated(reader *r, const arc_words *arc) {
    double radius = hypot(r->comp.at[0] - arc->centre[0], r->comp.at[1] - arc->centre[1]);
    double last = hypot(arc->to[0] - arc->centre[0], arc->to[1] - arc->centre[1]);
    double offset;

    if (!r->comp.entered) {
        return enter_arc(r, arc);
    }
    if (!rs_check_radii(r, radius, last)) {
        return false;
    }
    offset = offset_radius(r, arc, last);
    if (!(offset > 0 && radius + offset - last > 0 && radius > 1e-9 && last > 1e-9)) {
        return rs_fail(
            r, TH_NOT_POSSIBLE,
            "an inward arc of %g %s radius under cutter compensation: a tool of %g %s radius "
            "does not fit into it",
            radius / rs_unit(r), rs_unit_name(r), r->comp.radius / rs_unit(r), rs_unit_name(r));
    }
    return follow_round(r, arc, radius, last, offset);
}
