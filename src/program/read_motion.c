/* read_motion.c - straight moves, feeds, dwells and stops. */
#include "read.h"

#include <math.h>
#include <string.h>

static const double seconds_most = 1e6;

bool rs_all_known(const reader *r) {
    return r->p.known[0] && r->p.known[1] && r->p.known[2];
}

/* The length offset must be that of the tool that cuts. */
static bool check_length(reader *r) {
    const places *p = &r->p;

    if (p->length_word < 0) {
        return rs_warn(r, WARN_LENGTH, true,
                       "a move at feed after G49: how much lower the tip stands without its length "
                       "offset is not known; none is taken");
    }
    if (p->length_word != r->m.tool && p->lift_tool != r->m.tool) {
        return rs_fail(
            r, TH_CONTRADICTION,
            "tool %d cuts with the length offset H%d of another tool: G43 H%d belongs after "
            "its M6",
            r->m.tool, p->length_word, r->m.tool);
    }
    return true;
}

bool rs_feed(reader *r, double length, double *feed) {
    if (r->p.length_used && !check_length(r)) {
        return false;
    }
    if (r->m.feed_mode == 93) {
        if (!rs_seen(r, 'f')) {
            return rs_fail(r, TH_MISSING,
                           "G93 asks for F on every line that cuts: F is one over the "
                           "minutes of the move");
        }
        *feed = r->m.feed * length;
    } else if (r->m.feed_mode == 95) {
        if (!(r->m.speed > 0 && r->m.spindle != 0)) {
            return rs_fail(
                r, TH_MISSING,
                "G95 feeds by the turn, but the spindle stands: S and M3 belong before it");
        }
        *feed = r->m.feed * r->m.speed;
    } else {
        *feed = r->m.feed;
    }
    if (!(r->m.feed > 0)) {
        return rs_fail(r, TH_MISSING, "a move at feed without a feed: F belongs before it, as %s",
                       r->m.inch ? "F12" : "F300");
    }
    return true;
}

bool rs_line_to(reader *r, const double to[3], bool rapid) {
    th_move move = {.kind = rapid ? TH_MOVE_RAPID : TH_MOVE_LINE, .axes = {0, 1, 2}};
    const double *at = r->p.at, d[3] = {to[0] - at[0], to[1] - at[1], to[2] - at[2]};

    for (int a = 0; a < 3; a++) {
        move.from[a] = at[a];
        move.to[a] = to[a];
    }
    if (d[0] == 0 && d[1] == 0 && d[2] == 0) {
        return true;
    }
    if (!rapid && !rs_feed(r, sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2]), &move.feed)) {
        return false;
    }
    memcpy(r->p.at, to, sizeof r->p.at);
    return rs_emit(r, &move);
}

static bool warn_unknown(reader *r, bool rapid) {
    return rapid ||
           rs_warn(r, WARN_UNKNOWN_START, true,
                   "a move at feed from a place that is not known: what it cuts on the way "
                   "is not checked; begin with G0 to X, Y and Z, or give where the "
                   "program starts");
}

/* Sideways from who knows where, at a height that is known. */
static void note_blind(reader *r, const double to[3], const bool named[3]) {
    bool sideways = (named[0] && !r->p.known[0]) || (named[1] && !r->p.known[1]);
    double low = fmin(r->p.at[2], named[2] ? to[2] : r->p.at[2]);
    th_program_report *report = r->report;

    if (sideways && r->p.known[2] && (!report->blind || low < report->blind_height)) {
        report->blind = r->line;
        report->blind_height = low;
    }
}

bool rs_line_named(reader *r, const double to[3], const bool named[3], bool rapid) {
    bool gap = false;

    if (rapid) {
        note_blind(r, to, named);
    }
    for (int a = 0; a < 3; a++) {
        gap = gap || !r->p.known[a];
        if (named[a] && !r->p.known[a]) {
            r->p.at[a] = to[a];
            r->p.known[a] = true;
        }
    }
    if (gap && !warn_unknown(r, rapid)) {
        return false;
    }
    r->p.arrived = gap && rapid && rs_all_known(r) ? r->line : r->p.arrived;
    if (rs_all_known(r)) {
        return rs_line_to(r, to, rapid);
    }
    for (int a = 0; a < 3; a++) {
        r->p.at[a] = r->p.known[a] ? to[a] : r->p.at[a];
    }
    return true;
}

bool rs_leave(reader *r, const double to[3], const bool named[3], bool rapid) {
    bool unknown = false, sideways = !named[2] && r->p.known[2];
    double end[3];

    for (int a = 0; a < 3; a++) {
        unknown = unknown || (named[a] && isnan(to[a]));
        end[a] = !named[a] ? r->p.at[a] : isnan(to[a]) ? 0 : to[a];
    }
    if (!rs_check_reach(r, end)) {
        return false;
    }
    if (!unknown) {
        return rs_line_named(r, end, named, rapid);
    }
    for (int a = 0; a < 3; a++) {
        if (named[a]) {
            r->p.known[a] = !isnan(to[a]);
            r->p.at[a] = end[a];
        }
    }
    return rs_warn(
        r, WARN_LEAVES, sideways || !rapid,
        "the tool goes to a place of the machine (G28, G30, G53) that is not known: the way "
        "there is not checked%s",
        sideways ? ", and it goes sideways without being lifted first" : "");
}

static bool move_by_machine(reader *r, bool rapid) {
    double to[3];
    bool named[3];

    if (r->m.incremental) {
        return rs_fail(r, TH_CONTRADICTION,
                       "G53 together with G91: the machine's own coordinates are "
                       "absolute, write G90");
    }
    if (r->comp.side != 0) {
        return rs_fail(r, TH_CONTRADICTION,
                       "G53 while cutter compensation is on: write G40 before it");
    }
    if (r->p.base < 0) {
        rs_choose_base(r);
    }
    for (int a = 0; a < 3; a++) {
        named[a] = rs_seen(r, (char)('x' + a));
        to[a] = rs_value(r, (char)('x' + a)) * rs_unit(r) - r->p.machine_base[a];
    }
    return rs_leave(r, to, named, rapid);
}

bool rs_move_straight(reader *r, bool rapid) {
    double to[3];

    if (r->b.g[G_ACTION] == 530) {
        return move_by_machine(r, rapid);
    }
    if (!rs_ends(r, to)) {
        return false;
    }
    if (r->comp.side != 0) {
        return rs_straight_compensated(r, to, rapid);
    }
    if (rs_all_known(r)) {
        return rs_line_to(r, to, rapid);
    }
    return rs_line_named(r, to, (bool[]){rs_seen(r, 'x'), rs_seen(r, 'y'), rs_seen(r, 'z')}, rapid);
}

double rs_seconds(const reader *r, double value) {
    return r->options->dwell_in_ms ? value / 1000 : value;
}

static bool stand(reader *r, th_move_kind kind, double seconds) {
    th_move move = {.kind = kind, .axes = {0, 1, 2}, .seconds = seconds};

    if (!rs_all_known(r)) {
        r->report->moves[kind]++;
        r->report->dwell_seconds += seconds;
        return true;
    }
    memcpy(move.from, r->p.at, sizeof move.from);
    memcpy(move.to, r->p.at, sizeof move.to);
    return rs_emit(r, &move);
}

bool rs_dwell(reader *r, double seconds) {
    if (!(seconds >= 0 && seconds <= seconds_most)) {
        return rs_fail(r, TH_BAD_RANGE, "a dwell of %g s: 0 to %g s are taken", seconds,
                       seconds_most);
    }
    return stand(r, TH_MOVE_DWELL, seconds);
}

bool rs_stop(reader *r) {
    return stand(r, TH_MOVE_STOP, 0);
}
