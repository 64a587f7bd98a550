/* read_arc.c - circular and helical moves, by centre or by radius. */
#include "read.h"

#include <math.h>
#include <string.h>

/* Angles this near are the same: a full turn. */
static const double fuzz = 1e-6;
static const double turns_most = 10000;

/* Where the contour stands in an axis: the tool's tip, or the programmed point under compensation.
 */
static double now(const reader *r, int axis) {
    const double *at = axis < 2 && r->comp.entered ? r->comp.at : r->p.at;

    return at[axis];
}

static double strict_limit(const reader *r) {
    return r->m.inch ? 0.0002 * 25.4 : 0.002;
}

static double slack(const reader *r) {
    return r->m.inch ? TH_ARC_SLACK_INCH * 25.4 : TH_ARC_SLACK_MM;
}

/* Radii, or chord and diameter, that ought to be alike. */
static bool check_alike(reader *r, double a, double b, const char *what) {
    double difference = fabs(a - b), unit = rs_unit(r);
    const char *name = rs_unit_name(r);
    int digits = r->m.inch ? 5 : 4;

    if (!(difference <= slack(r))) {
        return rs_fail(
            r, TH_CONTRADICTION,
            "the arc %s: %.*f %s against %.*f %s; more than %.4f %s apart is no rounding", what,
            digits, a / unit, name, digits, b / unit, name, slack(r) / unit, name);
    }
    return difference <= strict_limit(r) ||
           rs_warn(r, WARN_ARC_RADII, false,
                   "the arc %s: %.*f %s against %.*f %s, taken for rounding", what, digits,
                   a / unit, name, digits, b / unit, name);
}

static bool read_offsets(reader *r, arc_words *arc) {
    static const char letters[] = "ijk";
    char along = letters[r->m.axes[2]];

    if (rs_seen(r, along) && rs_value(r, along) != 0) {
        return rs_fail(r, TH_CONTRADICTION, "%c does not belong to an arc in %s", along - 32,
                       r->m.axes[2] == 2   ? "G17: I and J do"
                       : r->m.axes[2] == 1 ? "G18: I and K do"
                                           : "G19: J and K do");
    }
    for (int i = 0; i < 2; i++) {
        int axis = r->m.axes[i];
        double offset = rs_seen(r, letters[axis]) ? rs_value(r, letters[axis]) * rs_unit(r) : 0;
        if (r->m.arc_absolute && !rs_seen(r, letters[axis])) {
            return rs_fail(r, TH_MISSING,
                           "G90.1 gives the centre of an arc by both coordinates: %c is "
                           "missing",
                           letters[axis] - 32);
        }
        if (r->m.arc_absolute && isnan(rs_origin(r, axis))) {
            return rs_refuse_zero(r, axis);
        }
        arc->centre[i] = offset + (r->m.arc_absolute ? rs_origin(r, axis) : now(r, axis));
    }
    return rs_reading(r, r->m.arc_absolute ? "arcs: I, J, K are the centre's own coordinates"
                                           : "arcs: I, J, K lead from the start to the centre");
}

/* R: the centre lies to the left of a left turn of up to 180 degrees. */
static bool read_radius(reader *r, arc_words *arc) {
    double radius = rs_value(r, 'r') * rs_unit(r);
    double x = arc->to[r->m.axes[0]] - now(r, r->m.axes[0]);
    double y = arc->to[r->m.axes[1]] - now(r, r->m.axes[1]);
    double chord = hypot(x, y), off, side;

    if (chord == 0) {
        return rs_fail(r, TH_BAD_VALUE,
                       "an arc by R that ends where it starts has no centre: give it "
                       "by I, J, K");
    }
    if (radius == 0) {
        return rs_fail(r, TH_BAD_VALUE, "R0 is no radius of an arc");
    }
    if (chord > 2 * fabs(radius) &&
        !check_alike(r, chord, 2 * fabs(radius), "is wider than the diameter that R gives")) {
        return false;
    }
    off = sqrt(fmax(radius * radius - chord * chord / 4, 0));
    side = (radius > 0) == arc->clockwise ? -1 : 1;
    arc->centre[0] = now(r, r->m.axes[0]) + x / 2 - side * off * y / chord;
    arc->centre[1] = now(r, r->m.axes[1]) + y / 2 + side * off * x / chord;
    return true;
}

static bool read_turns(reader *r, arc_words *arc) {
    long long turns;

    arc->turns = 1;
    if (!rs_seen(r, 'p')) {
        return true;
    }
    if (!rs_whole(rs_value(r, 'p'), 1, turns_most, &turns)) {
        return rs_fail(r, TH_BAD_RANGE, "P%g of an arc: 1 to %g turns are taken", rs_value(r, 'p'),
                       turns_most);
    }
    arc->turns = (int)turns;
    return turns == 1 || rs_reading(r, "arcs: P is the number of turns");
}

/* The report asks for an axis of the plane; by a centre alone the whole circle is meant. */
static bool check_axis_words(reader *r) {
    if (rs_seen(r, (char)('x' + r->m.axes[0])) || rs_seen(r, (char)('x' + r->m.axes[1]))) {
        return true;
    }
    if (rs_seen(r, 'r')) {
        return rs_fail(r, TH_MISSING, "an arc by R names no axis of its plane: its end is missing");
    }
    return rs_reading(r, "arcs that name no axis of their plane are whole circles");
}

bool rs_read_arc(reader *r, arc_words *arc) {
    bool by_centre = rs_seen(r, 'i') || rs_seen(r, 'j') || rs_seen(r, 'k');

    arc->clockwise = r->m.motion == 20;
    if (!rs_all_known(r)) {
        return rs_fail(r, TH_MISSING,
                       "an arc from a place that is not known: move to X, Y and Z first");
    }
    if (by_centre == rs_seen(r, 'r')) {
        return by_centre
                   ? rs_fail(r, TH_CONTRADICTION, "an arc with both R and I, J, K")
                   : rs_fail(r, TH_MISSING, "an arc without its centre: I, J, K or R is missing");
    }
    if (!check_axis_words(r) || !rs_ends(r, arc->to) || !read_turns(r, arc)) {
        return false;
    }
    if (by_centre) {
        return read_offsets(r, arc);
    }
    /* On entry to compensation the tool's radius has a say in where the centre lies. */
    return (r->comp.side != 0 && !r->comp.entered) || read_radius(r, arc);
}

double rs_sweep(const double from[2], const double to[2], const arc_words *arc) {
    double sweep = atan2(to[1], to[0]) - atan2(from[1], from[0]);

    if (arc->clockwise) {
        while (sweep > -fuzz) {
            sweep -= 2 * TH_PI;
        }
        return sweep - 2 * TH_PI * (arc->turns - 1);
    }
    while (sweep < fuzz) {
        sweep += 2 * TH_PI;
    }
    return sweep + 2 * TH_PI * (arc->turns - 1);
}

static double arc_length(const reader *r, const th_move *move, double radius) {
    return hypot(radius * move->sweep, move->to[r->m.axes[2]] - move->from[r->m.axes[2]]);
}

/* Its ends, as they lie from its centre. */
static void ends_of(const reader *r, const arc_words *arc, double from[2], double to[2]) {
    for (int i = 0; i < 2; i++) {
        from[i] = r->p.at[r->m.axes[i]] - arc->centre[i];
        to[i] = arc->to[r->m.axes[i]] - arc->centre[i];
    }
}

bool rs_check_radii(reader *r, double first, double last) {
    return check_alike(r, first, last, "has two radii, at its start and at its end");
}

bool rs_arc_swept(reader *r, const arc_words *arc, double sweep) {
    th_move move = {
        .kind = TH_MOVE_ARC, .centre = {arc->centre[0], arc->centre[1]}, .sweep = sweep};
    double from[2], to[2], first, last;

    for (int i = 0; i < 3; i++) {
        move.axes[i] = r->m.axes[i];
        move.from[i] = r->p.at[i];
        move.to[i] = arc->to[i];
    }
    ends_of(r, arc, from, to);
    first = hypot(from[0], from[1]);
    last = hypot(to[0], to[1]);
    if (!(first >= 1e-9 && last >= 1e-9)) {
        return rs_fail(r, TH_BAD_VALUE,
                       "the arc has no radius: its centre is its own start or end");
    }
    if (!(first <= TH_PROGRAM_REACH)) {
        return rs_fail(r, TH_BAD_RANGE, "the arc has a radius of %g %s: more than %g %s is refused",
                       first / rs_unit(r), rs_unit_name(r), TH_PROGRAM_REACH / rs_unit(r),
                       rs_unit_name(r));
    }
    if (!rs_check_radii(r, first, last)) {
        return false;
    }
    if (!rs_feed(r, arc_length(r, &move, first), &move.feed)) {
        return false;
    }
    memcpy(r->p.at, arc->to, sizeof r->p.at);
    return rs_emit(r, &move);
}

bool rs_arc_to(reader *r, const arc_words *arc) {
    double from[2], to[2];

    ends_of(r, arc, from, to);
    return rs_arc_swept(r, arc, rs_sweep(from, to, arc));
}

bool rs_move_arc(reader *r) {
    arc_words arc = {0};

    if (!rs_read_arc(r, &arc)) {
        return false;
    }
    return r->comp.side != 0 ? rs_arc_compensated(r, &arc) : rs_arc_to(r, &arc);
}
