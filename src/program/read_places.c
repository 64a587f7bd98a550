/* read_places.c - where zeros lie: coordinate systems, G92, tool length, home.
 *
 * All places are kept in the moves' frame: mm, from the zero of the first system that the program
 * calls. What nobody knows is NAN, and only an error once it is needed. */
#include "read.h"

#include <math.h>

static const char *const system_names[] = {"G54", "G55",   "G56",   "G57",  "G58",
                                           "G59", "G59.1", "G59.2", "G59.3"};

void rs_start_places(reader *r) {
    places *p = &r->p;

    p->first = p->base = -1;
    p->length_word = -1;
    for (int a = 0; a < 3; a++) {
        p->known[a] = isfinite(r->options->start[a]);
        p->at[a] = p->known[a] ? r->options->start[a] : 0;
        p->machine_base[a] =
            isfinite(r->options->machine_zero[a]) ? -r->options->machine_zero[a] : NAN;
        for (int i = 0; i < TH_PROGRAM_SYSTEMS; i++) {
            p->zero[i][a] = isfinite(r->options->systems[i][a]) ? r->options->systems[i][a] : NAN;
            p->machine[i][a] = NAN;
        }
    }
}

static void fix_base(reader *r, int base) {
    places *p = &r->p;

    p->base = base;
    for (int a = 0; a < 3; a++) {
        p->zero[base][a] = isnan(p->zero[base][a]) ? 0 : p->zero[base][a];
        if (isfinite(p->machine[base][a])) {
            p->machine_base[a] = p->machine[base][a] - p->zero[base][a];
        }
        for (int i = 0; i < TH_PROGRAM_SYSTEMS; i++) {
            if (isfinite(p->machine[i][a])) {
                p->zero[i][a] = p->machine[i][a] - p->machine_base[a];
            }
        }
    }
}

/* Whether the program, or the options, say how far apart two systems lie along an axis at least. */
static bool related(const places *p, int one, int other) {
    bool found = one == other;

    for (int a = 0; a < 3; a++) {
        found = found || (isfinite(p->machine[one][a]) && isfinite(p->machine[other][a])) ||
                (isfinite(p->zero[one][a]) && isfinite(p->zero[other][a]));
    }
    return found;
}

void rs_choose_base(reader *r) {
    places *p = &r->p;

    p->first = p->first < 0 ? r->m.system : p->first;
    fix_base(r, related(p, p->first, r->m.system) ? p->first : r->m.system);
}

bool rs_refuse_zero(reader *r, int axis) {
    return rs_fail(
        r, TH_MISSING,
        "where the zero of %s lies along %c is not known: the zero that is given is that of %s; "
        "set both by G10 L2 in the program before it moves",
        system_names[r->m.system], 'X' + axis,
        system_names[r->p.base < 0 ? r->m.system : r->p.base]);
}

bool rs_ends(reader *r, double to[3]) {
    double unit = rs_unit(r);

    if (r->p.base < 0) {
        rs_choose_base(r);
    }
    if (r->m.system != r->p.base || r->m.system != r->p.first) {
        r->report->zero_of = system_names[r->p.base];
    }
    for (int a = 0; a < 3; a++) {
        double now = r->comp.entered && a < 2 ? r->comp.at[a] : r->p.at[a];
        char letter = (char)('x' + a);
        if (!rs_seen(r, letter)) {
            to[a] = now;
        } else if (r->m.incremental) {
            if (!r->p.known[a]) {
                return rs_fail(
                    r, TH_MISSING,
                    "G91 before anybody knows where the tool stands along %c: move there "
                    "by G90 first",
                    'X' + a);
            }
            to[a] = now + rs_value(r, letter) * unit;
        } else {
            to[a] = rs_origin(r, a) + rs_value(r, letter) * unit;
            if (isnan(to[a])) {
                return rs_refuse_zero(r, a);
            }
        }
    }
    return rs_check_reach(r, to);
}

bool rs_check_reach(reader *r, const double to[3]) {
    for (int a = 0; a < 3; a++) {
        if (!(fabs(to[a]) <= TH_PROGRAM_REACH)) {
            return rs_fail(r, TH_BAD_RANGE,
                           "the move leads to %c = %g %s: more than %g %s is refused", 'X' + a,
                           to[a] / rs_unit(r), rs_unit_name(r), TH_PROGRAM_REACH / rs_unit(r),
                           rs_unit_name(r));
        }
    }
    return true;
}

double rs_position_value(const reader *r, int axis) {
    const double *now = axis < 2 && r->comp.entered ? r->comp.at : r->p.at;

    return r->p.known[axis] ? (now[axis] - rs_origin(r, axis)) / rs_unit(r) : NAN;
}

static bool refuse_compensated(reader *r, const char *what) {
    return rs_fail(r, TH_CONTRADICTION, "%s while cutter compensation is on: write G40 before it",
                   what);
}

/* ---- G10 ---- */

/* The tool is said to stand there before anybody knew where: the zero lies where that puts it. */
static bool declare(reader *r, int axis, double value) {
    r->p.at[axis] = value;
    r->p.known[axis] = true;
    return rs_check_reach(r, r->p.at) &&
           rs_reading(r,
                      "a zero set before the tool's place is known (G92, G10 L20) is the zero of "
                      "the work");
}

static bool set_by_position(reader *r, int system, int axis, double value) {
    places *p = &r->p;
    double moved = p->shift[axis] + (axis == 2 ? p->lift : 0);

    if (p->base < 0) {
        if (p->known[axis]) {
            rs_choose_base(r);
        } else { /* the tool's place in it is the only one that is known */
            fix_base(r, system);
        }
    }
    if (p->known[axis]) {
        p->zero[system][axis] = p->at[axis] - moved - value;
        return true;
    }
    return isnan(p->zero[system][axis]) || declare(r, axis, p->zero[system][axis] + moved + value);
}

static void set_by_machine(reader *r, int system, int axis, double value) {
    r->p.machine[system][axis] = value;
    if (r->p.base >= 0) {
        r->p.zero[system][axis] = value - r->p.machine_base[axis];
    }
}

bool rs_set_system_zero(reader *r) {
    long long l = 0, number = 0;
    double value;

    if (r->comp.side != 0) {
        return refuse_compensated(r, "G10");
    }
    if (!rs_seen(r, 'l') || !rs_whole(rs_value(r, 'l'), 0, 99, &l) || (l != 2 && l != 20)) {
        return rs_fail(r, TH_BAD_VALUE, "G10 is read with L2 and L20 alone, as G10 L2 P1 X0 Y0 Z0");
    }
    if (!rs_seen(r, 'p') || !rs_whole(rs_value(r, 'p'), 0, TH_PROGRAM_SYSTEMS, &number)) {
        return rs_fail(r, TH_BAD_VALUE,
                       "G10 L%lld takes P from 1 (G54) to 9 (G59.3), or 0 for the one in use", l);
    }
    if (rs_seen(r, 'r') && rs_value(r, 'r') != 0) {
        return rs_fail(r, TH_BAD_VALUE, "R in G10, a turned coordinate system, is not read");
    }
    number = number == 0 ? r->m.system : number - 1;
    for (int a = 0; a < 3; a++) {
        if (!rs_seen(r, (char)('x' + a))) {
            continue;
        }
        value = rs_value(r, (char)('x' + a)) * rs_unit(r);
        if (l == 2) {
            set_by_machine(r, (int)number, a, value);
        } else if (!set_by_position(r, (int)number, a, value)) {
            return false;
        }
    }
    return true;
}

/* ---- G92 ---- */

static bool set_shift(reader *r) {
    places *p = &r->p;
    bool any = false;

    if (p->base < 0) {
        rs_choose_base(r);
    }
    for (int a = 0; a < 3; a++) {
        double value, own;
        if (!rs_seen(r, (char)('x' + a))) {
            continue;
        }
        any = true;
        value = rs_value(r, (char)('x' + a)) * rs_unit(r);
        own = p->zero[r->m.system][a] + (a == 2 ? p->lift : 0);
        if (isnan(own)) {
            return rs_refuse_zero(r, a);
        }
        if (p->known[a]) {
            p->shift[a] = p->at[a] - own - value;
            continue;
        }
        p->shift[a] = 0;
        p->shift_lost[a] = true;
        if (!declare(r, a, own + value)) {
            return false;
        }
    }
    return any || rs_fail(r, TH_MISSING, "G92 names no axis: write it as G92 X0 Y0 Z0");
}

/* Back to the system's own zero, which G92 may have hidden before it was known. */
static void drop_shift(reader *r, bool keep) {
    places *p = &r->p;

    for (int a = 0; a < 3; a++) {
        p->shift_kept[a] = keep ? p->shift[a] : 0;
        p->shift[a] = 0;
        for (int i = 0; p->shift_lost[a] && i < TH_PROGRAM_SYSTEMS; i++) {
            p->zero[i][a] = NAN;
        }
    }
}

bool rs_shift_zero(reader *r) {
    int code = r->b.g[G_ACTION];

    if (r->comp.side != 0) {
        return refuse_compensated(r, "G92");
    }
    if (code == 920) {
        return set_shift(r);
    }
    if (code == 923) {
        for (int a = 0; a < 3; a++) {
            r->p.shift[a] = r->p.shift_kept[a];
        }
    } else {
        drop_shift(r, code == 922);
    }
    return true;
}

/* ---- G28, G30 ---- */

/* By way of the place that the words give, for the axes of which that is known: an axis nobody
 * knows cannot go by way of a step from where it is. */
static bool go_by_way(reader *r) {
    bool via[3], any = false;
    double to[3];

    for (int a = 0; a < 3; a++) {
        via[a] = rs_seen(r, (char)('x' + a)) && (!r->m.incremental || r->p.known[a]);
        any = any || via[a];
        if (!via[a]) {
            r->b.seen &= ~(1U << ('x' + a - 'a'));
        }
    }
    return !any || (rs_ends(r, to) && rs_line_named(r, to, via, true));
}

bool rs_go_home(reader *r) {
    bool second = r->b.g[G_ACTION] == 300, any = false, named[3];
    double to[3];

    if (r->comp.side != 0) {
        return refuse_compensated(r, second ? "G30" : "G28");
    }
    for (int a = 0; a < 3; a++) {
        named[a] = rs_seen(r, (char)('x' + a));
        any = any || named[a];
    }
    for (int a = 0; a < 3; a++) {
        named[a] = named[a] || !any;
        to[a] = r->options->home[second ? 1 : 0][a];
    }
    return rs_reading(r, "G28 and G30 move the axes that they name, or all if none") &&
           go_by_way(r) && rs_leave(r, to, named, true);
}

/* ---- G43, G49 ---- */

const th_program_tool *rs_tool(const reader *r, long long number) {
    for (size_t i = 0; i < r->options->tool_count; i++) {
        if (r->options->tools[i].number == number) {
            return &r->options->tools[i];
        }
    }
    return NULL;
}

static double length_of(const reader *r, long long number) {
    const th_program_tool *tool = rs_tool(r, number);

    return number == 0 ? 0 : tool ? tool->length : NAN;
}

/* The tip stands where the program says as long as the offset in use is that of the tool in the
 * spindle; `lift` is how much another offset moves it. */
static bool use_length(reader *r, long long word) {
    double own = length_of(r, r->m.tool), used = length_of(r, word);

    r->p.length_used = true;
    r->p.length_word = (int)word;
    r->p.lift_tool = r->m.tool;
    if (word == r->m.tool || r->m.tool == 0) {
        r->p.lift = 0;
        return true;
    }
    if (!isfinite(own) || !isfinite(used)) {
        return rs_fail(
            r, TH_MISSING,
            "H%lld with tool %d in the spindle: the tip moves by the difference of both "
            "lengths, which are not known; write H%d, or give [tool.%d] and [tool.%lld] a "
            "length",
            word, r->m.tool, r->m.tool, r->m.tool, word);
    }
    r->p.lift = used - own;
    return rs_warn(
        r, WARN_LENGTH, true,
        "the length offset of tool %lld is used with tool %d: the tip stands %.4g %s from "
        "where the program says",
        word, r->m.tool, r->p.lift / rs_unit(r), rs_unit_name(r));
}

static bool drop_length(reader *r) {
    bool used = r->p.length_used;

    r->p.length_word = -1;
    r->p.lift = 0;
    return !used ||
           rs_reading(r, "G49: rapids after it are taken as if the offset were still in use");
}

bool rs_set_length(reader *r) {
    long long word = r->m.tool;

    if (r->b.g[G_LENGTH] == 490) {
        return drop_length(r);
    }
    if (rs_seen(r, 'h') && !rs_whole(rs_value(r, 'h'), 0, 99999, &word)) {
        return rs_fail(r, TH_BAD_VALUE, "H%g: the number of a tool belongs there",
                       rs_value(r, 'h'));
    }
    return use_length(r, word);
}
