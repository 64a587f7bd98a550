/* read_modes.c - one line takes effect, in the report's order of execution. */
#include "read.h"

#include <math.h>

static const double speed_most = 1e6, feed_most = 1e7;

static bool word(const reader *r, g_group group, int code) {
    return r->b.g[group] == code;
}

/* ---- words that nothing on the line takes ---- */

static uint32_t bit(char letter) {
    return 1U << (letter - 'a');
}

static bool has_axes(const reader *r) {
    return (r->b.seen & (bit('x') | bit('y') | bit('z'))) != 0;
}

static bool is_cycle(int motion) {
    return motion == 730 || motion >= 810;
}

static bool is_arc(int motion) {
    return motion == 20 || motion == 30;
}

/* Letters that the action, the motion and the M words of the line take. */
static uint32_t taken(const reader *r, bool moves) {
    uint32_t all = bit('f') | bit('s') | bit('t') | bit('x') | bit('y') | bit('z');
    int action = r->b.g[G_ACTION], m = r->b.m[M_CALL], out = r->b.m[M_OUTPUT];

    all |= action == 40 ? bit('p') : 0;
    all |= action == 100 ? bit('p') | bit('l') | bit('r') : 0;
    all |= r->b.g[G_CONTROL] == 640 ? bit('p') | bit('q') : 0;
    all |= r->b.g[G_RADIUS] > 400 ? bit('d') : 0;
    all |= r->b.g[G_LENGTH] == 430 ? bit('h') : 0;
    all |= m != NO_WORD ? bit('p') | bit('l') : 0;
    all |= out == 66 ? bit('p') | bit('e') | bit('l') | bit('q') : 0;
    all |= out != NO_WORD ? bit('p') | bit('e') | bit('q') : 0;
    if (moves && is_arc(r->m.motion)) {
        all |= bit('i') | bit('j') | bit('k') | bit('r') | bit('p');
    } else if (moves && is_cycle(r->m.motion)) {
        all |= bit('r') | bit('l') | bit('p') | bit('q');
        all |= r->m.motion == 870 ? bit('i') | bit('j') | bit('k') : 0;
    }
    return all;
}

static bool check_taken(reader *r, bool moves) {
    uint32_t left = r->b.seen & ~taken(r, moves);

    for (char letter = 'a'; left != 0 && letter <= 'z'; letter++) {
        if (!(left & bit(letter))) {
            continue;
        }
        if (letter == 'e' && r->b.exponent) {
            return rs_refuse_exponent(r, r->b.exponent);
        }
        if (letter != 'd' && letter != 'h') {
            return rs_fail(r, TH_BAD_SYNTAX,
                           "%c%g has no meaning here: no word in force on this line takes %c%s",
                           letter - 32, rs_value(r, letter), letter - 32,
                           letter == 'k' ? " (a cycle is repeated by L)" : "");
        }
        if (!rs_warn(r, WARN_NO_EFFECT, false, "%c%g has no effect: %s is not on the line",
                     letter - 32, rs_value(r, letter), letter == 'd' ? "G41 or G42" : "G43")) {
            return false;
        }
    }
    return true;
}

/* ---- feed, speed, tool ---- */

static bool set_feed_mode(reader *r) {
    int mode = r->b.g[G_FEED] / 10;

    if (r->b.g[G_FEED] == NO_WORD) {
        return true;
    }
    if (mode == 93 && r->comp.side != 0) {
        return rs_fail(r, TH_CONTRADICTION,
                       "G93 while cutter compensation is on: write G40 before it");
    }
    if (mode != r->m.feed_mode) {
        r->m.feed = 0; /* a figure of one kind means nothing in another */
    }
    r->m.feed_mode = mode;
    return true;
}

static bool set_feed(reader *r) {
    bool changes = r->b.g[G_UNITS] != NO_WORD && word(r, G_UNITS, 200) != r->m.inch;
    bool inch = r->m.inch != (changes && !r->options->feed_before_units);
    double value = rs_value(r, 'f');

    if (!rs_seen(r, 'f')) {
        return true;
    }
    if (!(value >= 0 && value <= feed_most)) {
        return rs_fail(r, TH_BAD_RANGE, "F%g: feeds from 0 to %g are taken", value, feed_most);
    }
    r->m.feed = value * (inch && r->m.feed_mode != 93 ? 25.4 : 1);
    return !changes || r->m.feed_mode == 93 ||
           rs_warn(r, WARN_FEED_UNITS, true,
                   "F and a change of units on one line: F is read in %s here, machines differ",
                   r->options->feed_before_units ? "the units before" : "the new units");
}

static bool set_speed(reader *r) {
    double value = rs_value(r, 's');

    if (!rs_seen(r, 's')) {
        return true;
    }
    if (!(value >= 0 && value <= speed_most)) {
        return rs_fail(r, TH_BAD_RANGE, "S%g: spindle speeds from 0 to %g rpm are taken", value,
                       speed_most);
    }
    r->m.speed = value;
    return true;
}

static bool select_tool(reader *r) {
    long long number;
    int waiting = r->m.next_tool;

    if (!rs_seen(r, 't')) {
        return true;
    }
    if (!rs_whole(rs_value(r, 't'), 0, 99999, &number)) {
        return rs_fail(r, TH_BAD_RANGE, "T%g: whole numbers from 0 to 99999 name a tool",
                       rs_value(r, 't'));
    }
    r->m.next_tool = (int)number;
    r->m.tool_line = r->line;
    r->m.fed_since = false;
    if (waiting > 0 && waiting != r->m.tool && waiting != number) {
        return rs_warn(r, WARN_TOOL, true,
                       "T%d was never put into the spindle by M6: which tool has cut "
                       "until here is in doubt",
                       waiting);
    }
    return true;
}

static bool note_tool(reader *r) {
    th_program_report *report = r->report;

    for (size_t i = 0; i < report->tool_count; i++) {
        if (report->tools[i] == r->m.tool) {
            return true;
        }
    }
    if (report->tool_count == TH_PROGRAM_TOOLS_MAX) {
        return rs_fail(r, TH_BAD_RANGE, "more than %d different tools", TH_PROGRAM_TOOLS_MAX);
    }
    report->tools[report->tool_count++] = r->m.tool;
    return true;
}

/* NIST IR 6556, 3.6.3: after the change the spindle is stopped; by hand it is anyway. */
static bool stop_for_change(reader *r) {
    bool ran = r->m.spindle != 0;

    r->m.spindle = 0;
    r->change_line = ran ? r->line : r->change_line;
    return !ran || rs_reading(r, "M6 stops the spindle, until M3 or M4");
}

static bool change_tool(reader *r) {
    if (r->b.m[M_TOOL] == NO_WORD) {
        return true;
    }
    if (!stop_for_change(r)) {
        return false;
    }
    if (r->m.next_tool < 0) {
        return rs_warn(r, WARN_TOOL, true, "M6 before any T: which tool is put in is not known") &&
               rs_stop(r);
    }
    r->m.tool = r->m.next_tool;
    return note_tool(r) && rs_stop(r);
}

static bool set_spindle(reader *r) {
    int code = r->b.m[M_SPINDLE];

    if (code != NO_WORD) {
        r->m.spindle = code == 3 ? 1 : code == 4 ? -1 : 0;
        r->change_line = 0;
    }
    if ((code == 3 || code == 4) && r->m.speed == 0) {
        return rs_warn(r, WARN_SPEED, false, "M%d without a speed: S is missing before it", code);
    }
    return true;
}

static bool set_coolant(reader *r) {
    r->m.coolant |= r->b.m[M_MIST] == 7 ? 1 : 0;
    r->m.coolant |= r->b.m[M_FLOOD] == 8 ? 2 : 0;
    r->m.coolant = r->b.m[M_FLOOD] == 9 ? 0 : r->m.coolant;
    return true;
}

static bool say_outputs(reader *r) {
    int code = r->b.m[M_OUTPUT];

    if (code == NO_WORD) {
        return true;
    }
    return rs_warn(r, WARN_NO_EFFECT, false,
                   code == 66 ? "M66 waits for an input: read as no wait"
                              : "M%d switches an output: nothing of it is read",
                   code);
}

/* Nobody waits so long; milliseconds are long numbers (s, practice). */
#define LONG_DWELL 60

static bool warn_dwell(reader *r, double seconds) {
    return r->options->dwell_in_ms || seconds < LONG_DWELL ||
           rs_warn(r, WARN_DWELL, false,
                   "G4 P%g is read as %g seconds: --dwell-ms takes it for milliseconds",
                   rs_value(r, 'p'), seconds);
}

static bool dwell(reader *r) {
    double seconds;

    if (!word(r, G_ACTION, 40)) {
        return true;
    }
    if (!rs_seen(r, 'p')) {
        return rs_fail(r, TH_MISSING, "G4 takes the time as P, as G4 P0.5");
    }
    seconds = rs_seconds(r, rs_value(r, 'p'));
    return rs_reading(r, r->options->dwell_in_ms ? "dwells: P in milliseconds"
                                                 : "dwells: P in seconds") &&
           warn_dwell(r, seconds) && rs_dwell(r, seconds);
}

/* ---- settings ---- */

static bool set_plane(reader *r) {
    static const int axes[][3] = {{0, 1, 2}, {2, 0, 1}, {1, 2, 0}};
    int plane = (r->b.g[G_PLANE] - 170) / 10;

    if (r->b.g[G_PLANE] == NO_WORD || axes[plane][2] == r->m.axes[2]) {
        return true;
    }
    if (r->comp.side != 0) {
        return rs_fail(r, TH_CONTRADICTION,
                       "the plane changes while cutter compensation is on: write "
                       "G40 before it");
    }
    for (int i = 0; i < 3; i++) {
        r->m.axes[i] = axes[plane][i];
    }
    r->cycle.on = false;
    return true;
}

static bool set_units(reader *r) {
    bool inch = word(r, G_UNITS, 200);

    if (r->b.g[G_UNITS] == NO_WORD) {
        return true;
    }
    if (r->comp.side != 0 && inch != r->m.inch) {
        return rs_fail(r, TH_CONTRADICTION,
                       "the units change while cutter compensation is on: write "
                       "G40 before it");
    }
    r->m.inch = inch;
    r->m.units_said = true;
    return true;
}

static bool set_system(reader *r) {
    int code = r->b.g[G_SYSTEM];
    int system = code <= 590 ? (code - 540) / 10 : 5 + code - 590;

    if (code == NO_WORD) {
        return true;
    }
    r->p.first = r->p.first < 0 ? system : r->p.first;
    if (system == r->m.system) {
        return true;
    }
    if (r->comp.side != 0) {
        return rs_fail(r, TH_CONTRADICTION,
                       "the coordinate system changes while cutter compensation is "
                       "on: write G40 before it");
    }
    r->m.system = system;
    return true;
}

static bool set_control(reader *r) {
    return !word(r, G_CONTROL, 640) || !rs_seen(r, 'p') ||
           rs_reading(r, "G64 P: corners are taken as programmed, not rounded by up to P");
}

static bool set_distances(reader *r) {
    r->m.incremental = word(r, G_DISTANCE, 910) || (r->m.incremental && !word(r, G_DISTANCE, 900));
    r->m.arc_absolute =
        word(r, G_ARC_CENTRE, 901) || (r->m.arc_absolute && !word(r, G_ARC_CENTRE, 911));
    r->m.retract_to_r = word(r, G_RETRACT, 990) || (r->m.retract_to_r && !word(r, G_RETRACT, 980));
    return true;
}

/* ---- action and motion ---- */

static bool act(reader *r) {
    switch (r->b.g[G_ACTION]) {
    case 100:
        return rs_set_system_zero(r);
    case 280:
    case 300:
        return rs_go_home(r);
    case 920:
    case 921:
    case 922:
    case 923:
        return rs_shift_zero(r);
    default:
        return true;
    }
}

/* Actions that take the axis words for themselves. */
static bool acts_on_axes(const reader *r) {
    int code = r->b.g[G_ACTION];

    return code == 100 || code == 280 || code == 300 || code == 920;
}

static bool refuse_no_motion(reader *r) {
    char letter = rs_seen(r, 'x') ? 'X' : rs_seen(r, 'y') ? 'Y' : 'Z';

    return rs_fail(r, TH_MISSING, "%c%g without a motion: none of G0 to G3 or a cycle is in force",
                   letter, rs_value(r, (char)(letter + 32)));
}

/* G80 beside another motion, which the report forbids and programs in the field have: it ends the
 * cycle, and the motion is the other's. */
static bool set_motion(reader *r) {
    int code = r->b.g[G_MOTION], action = r->b.g[G_ACTION];
    /* G0 says what G28 does anyway; programs have both. */
    bool agree = code == 0 && (action == 280 || action == 300);

    if (code != NO_WORD && has_axes(r) && acts_on_axes(r) && !agree) {
        return rs_fail(r, TH_CONTRADICTION, "two words on the line want its X, Y, Z: G%d and G%g",
                       code / 10, action / 10.0);
    }
    if (r->b.g[G_CANCEL] != NO_WORD) {
        r->cycle.on = false;
        r->m.motion = 800;
        if (is_cycle(code)) {
            return rs_fail(r, TH_CONTRADICTION,
                           "G80 and G%d on one line: one ends what the other begins", code / 10);
        }
    }
    r->m.motion = code != NO_WORD ? code : r->m.motion;
    r->cycle.on = r->cycle.on && is_cycle(r->m.motion);
    return true;
}

/* Whether the line moves, and by which word; a motion word alone only sets the mode. */
static bool choose_motion(reader *r, bool *moves) {
    int code = r->b.g[G_MOTION];
    uint32_t centre = r->b.seen & (bit('i') | bit('j') | bit('k'));

    *moves = has_axes(r) && !acts_on_axes(r);
    if (!set_motion(r)) {
        return false;
    }
    if (*moves && r->m.motion == 800) {
        return refuse_no_motion(r);
    }
    if (r->b.g[G_ACTION] == 530 && *moves && r->m.motion > 10) {
        return rs_fail(r, TH_CONTRADICTION, "G53 works with G0 and G1 alone");
    }
    *moves = *moves || (is_arc(r->m.motion) && centre != 0);
    if (is_cycle(code) && !*moves) {
        return rs_fail(r, TH_MISSING, "G%d names no axis: X, Y or Z is missing", code / 10);
    }
    return true;
}

static bool move(reader *r, bool moves) {
    if (!moves) {
        return true;
    }
    if (!r->m.units_said) {
        r->m.units_said = true;
        r->report->before_units = r->line;
        if (!rs_warn(r, WARN_NO_UNITS, r->options->units_in_doubt,
                     "neither G20 nor G21 before the first move: lengths are "
                     "read in %s",
                     r->m.inch ? "inches" : "millimetres")) {
            return false;
        }
    }
    if (is_cycle(r->m.motion)) {
        return rs_cycle(r);
    }
    return is_arc(r->m.motion) ? rs_move_arc(r) : rs_move_straight(r, r->m.motion == 0);
}

static bool stop(reader *r) {
    int code = r->b.m[M_STOP];

    if (code == 2 || code == 30) {
        if (r->depth > 0) {
            return rs_fail(r, TH_CONTRADICTION, "M%d inside a subprogram", code);
        }
        r->done = true;
        return true;
    }
    return code == NO_WORD || rs_stop(r);
}

static bool call(reader *r) {
    switch (r->b.m[M_CALL]) {
    case 98:
        return rs_call_m98(r);
    case 99:
        return rs_end_m99(r);
    default:
        return true;
    }
}

/* Most lines are words of axes and feed alone. */
static bool is_plain(const reader *r) {
    const block *b = &r->b;

    for (int i = 0; i < G_GROUPS; i++) {
        if (b->g[i] != NO_WORD && i != G_MOTION) {
            return false;
        }
    }
    for (int i = 0; i < M_GROUPS; i++) {
        if (b->m[i] != NO_WORD) {
            return false;
        }
    }
    return true;
}

bool rs_run_block(reader *r) {
    bool moves;

    if (is_plain(r)) {
        return set_feed(r) && set_speed(r) && select_tool(r) && choose_motion(r, &moves) &&
               check_taken(r, moves) && move(r, moves);
    }
    return set_feed_mode(r) && set_feed(r) && set_speed(r) && select_tool(r) && change_tool(r) &&
           set_spindle(r) && set_coolant(r) && say_outputs(r) && dwell(r) && set_plane(r) &&
           set_units(r) && (r->b.g[G_RADIUS] == NO_WORD || rs_set_radius(r)) &&
           (r->b.g[G_LENGTH] == NO_WORD || rs_set_length(r)) && set_system(r) && set_control(r) &&
           set_distances(r) && choose_motion(r, &moves) && check_taken(r, moves) && act(r) &&
           move(r, moves) && stop(r) && call(r);
}
