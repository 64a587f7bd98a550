/* read_cycle.c - drilling and boring cycles G73, G81 to G89. */
#include "read.h"

#include <math.h>
#include <string.h>

/* How far a peck draws back to break the chip, and how far above the last depth it comes back (the
 * report's 0.010 in). */
static const double peck_back = 0.254;
static const double pecks_most = 1e6;

/* One hole: where, and the heights along the cycle's axis. */
typedef struct {
    int across[2], along;
    double at[2];
    double clear, retract, bottom;
} hole;

static bool refuse_word(reader *r, char letter, const char *what) {
    return rs_fail(r, TH_MISSING, "G%d: %c, %s, is missing or cannot be", r->m.motion / 10,
                   letter - 32, what);
}

static bool needs_dwell(int code) {
    return code == 820 || code == 860 || code == 880 || code == 890;
}

static bool needs_peck(int code) {
    return code == 730 || code == 830;
}

/* A dwell or a peck in a cycle that has none; zero asks for nothing. */
static bool check_idle(reader *r, char letter, bool used) {
    if (used || !rs_seen(r, letter) || rs_value(r, letter) == 0) {
        return true;
    }
    return rs_warn(r, WARN_NO_EFFECT, false, "%c%g has no effect in G%d", letter - 32,
                   rs_value(r, letter), r->cycle.code / 10);
}

/* A bore without P has no dwell on many machines; the report asks for one. */
static bool read_dwell(reader *r) {
    cycle_state *c = &r->cycle;

    if (rs_seen(r, 'p')) {
        c->dwell = rs_seconds(r, rs_value(r, 'p'));
        return c->dwell >= 0 || refuse_word(r, 'p', "the dwell at the bottom");
    }
    if (isnan(c->dwell)) {
        c->dwell = 0;
        return rs_warn(r, WARN_NO_EFFECT, false, "G%d without P: no dwell at the bottom is taken",
                       c->code / 10);
    }
    return true;
}

/* P and Q stay for the following lines of the same cycle. */
static bool read_dwell_and_peck(reader *r) {
    cycle_state *c = &r->cycle;

    if (!check_idle(r, 'p', needs_dwell(c->code)) || !check_idle(r, 'q', needs_peck(c->code)) ||
        (needs_dwell(c->code) && !read_dwell(r))) {
        return false;
    }
    if (!needs_peck(c->code)) {
        return true;
    }
    c->peck = rs_seen(r, 'q') ? rs_value(r, 'q') * rs_unit(r) : c->peck;
    if (!(c->peck > 0)) {
        return refuse_word(r, 'q', "the depth of a peck");
    }
    return rs_reading(r, "G73 draws back and G83 comes back to within 0.010 in (0.254 mm) of the "
                         "last depth");
}

/* Place along the axis of a word: absolute in the active system, or from a base height. */
static double height_of(const reader *r, char letter, double base) {
    double value = rs_value(r, letter) * rs_unit(r);

    return r->m.incremental ? base + value : rs_origin(r, r->m.axes[2]) + value;
}

static bool read_heights(reader *r) {
    cycle_state *c = &r->cycle;
    char axis = (char)('x' + r->m.axes[2]);

    if (!r->m.incremental && isnan(rs_origin(r, r->m.axes[2]))) {
        return rs_refuse_zero(r, r->m.axes[2]);
    }
    if (rs_seen(r, 'r')) {
        c->retract = height_of(r, 'r', r->p.at[r->m.axes[2]]);
    }
    if (isnan(c->retract)) {
        return refuse_word(r, 'r', "the height to draw back to");
    }
    if (rs_seen(r, axis)) {
        c->depth = height_of(r, axis, c->retract);
    }
    if (isnan(c->depth)) {
        return refuse_word(r, axis, "the bottom of the hole");
    }
    if (!rs_check_reach(r, (double[]){c->depth, c->retract, 0})) {
        return false;
    }
    return c->retract >= c->depth ||
           rs_fail(r, TH_CONTRADICTION,
                   "G%d: the height R to draw back to lies %g %s below the bottom of "
                   "the hole",
                   c->code / 10, (c->depth - c->retract) / rs_unit(r), rs_unit_name(r));
}

/* I, J aside from the hole and the height K of G87. */
static bool read_back_bore(reader *r) {
    static const char letters[] = "ijk";
    cycle_state *c = &r->cycle;
    char up = letters[r->m.axes[2]];

    if (c->code != 870) {
        return true;
    }
    for (int i = 0; i < 2; i++) {
        char letter = letters[r->m.axes[i]];
        c->aside[i] = rs_seen(r, letter) ? rs_value(r, letter) * rs_unit(r) : c->aside[i];
    }
    c->top = rs_seen(r, up) ? height_of(r, up, c->depth) : c->top;
    if (isnan(c->aside[0]) || isnan(c->aside[1]) || isnan(c->top)) {
        return rs_fail(r, TH_MISSING,
                       "G87 takes I, J and K: how far aside the tool goes in, and the "
                       "height to bore up to");
    }
    if (!rs_check_reach(r, (double[]){c->aside[0], c->aside[1], c->top})) {
        return false;
    }
    return c->top >= c->depth ||
           rs_fail(r, TH_CONTRADICTION, "G87: the height K to bore up to lies below the bottom");
}

/* The places of the words, in the plane. */
static bool read_places_of(reader *r, double to[3]) {
    uint32_t words = r->b.seen;
    bool read;

    r->b.seen &= ~(1U << ('x' + r->m.axes[2] - 'a')); /* the depth, not a place to go to */
    read = rs_ends(r, to);
    r->b.seen = words;
    return read;
}

/* The first place may be that of the cycle's own words, as long as the height is known. */
static bool start_over_hole(reader *r) {
    double to[3] = {0, 0, 0};

    for (int i = 0; i < 3; i++) {
        int a = r->m.axes[i];
        bool named = i < 2 && !r->m.incremental && rs_seen(r, (char)('x' + a));
        if (!r->p.known[a] && !named) {
            return rs_fail(r, TH_MISSING,
                           "G%d from a place that is not known: move to X, Y and Z first",
                           r->m.motion / 10);
        }
    }
    if (!rs_all_known(r) && !read_places_of(r, to)) {
        return false;
    }
    for (int i = 0; i < 2; i++) {
        int a = r->m.axes[i];
        r->p.at[a] = r->p.known[a] ? r->p.at[a] : to[a];
        r->p.known[a] = true;
    }
    return true;
}

static bool begin(reader *r) {
    cycle_state *c = &r->cycle;

    if (r->comp.side != 0) {
        return rs_fail(r, TH_CONTRADICTION,
                       "G%d while cutter compensation is on: write G40 before it",
                       r->m.motion / 10);
    }
    if (r->m.feed_mode == 93) {
        return rs_fail(r, TH_CONTRADICTION,
                       "G%d together with G93: cycles take a feed by G94 or G95", r->m.motion / 10);
    }
    if (r->p.base < 0) {
        rs_choose_base(r);
    }
    if (!start_over_hole(r)) {
        return false;
    }
    if (!c->on) {
        c->initial = r->p.at[r->m.axes[2]];
    }
    if (!c->on || c->code != r->m.motion) {
        c->depth = c->retract = c->dwell = c->peck = c->top = c->aside[0] = c->aside[1] = NAN;
    }
    c->on = true;
    c->code = r->m.motion;
    return true;
}

/* ---- motions ---- */

static bool along(reader *r, const hole *h, double height, bool rapid) {
    double to[3];

    memcpy(to, r->p.at, sizeof to);
    to[h->along] = height;
    return rs_line_to(r, to, rapid);
}

static bool across(reader *r, const hole *h, double first, double second) {
    double to[3];

    memcpy(to, r->p.at, sizeof to);
    to[h->across[0]] = first;
    to[h->across[1]] = second;
    return rs_line_to(r, to, true);
}

/* To above the hole, then down to R (the report's preliminary motion). */
static bool go_over(reader *r, const hole *h) {
    return (r->p.at[h->along] >= h->retract || along(r, h, h->retract, true)) &&
           across(r, h, h->at[0], h->at[1]) && along(r, h, h->retract, true);
}

static bool peck(reader *r, const hole *h) {
    bool full = r->cycle.code == 830;
    double depth = h->retract, back;

    /* Far smaller pecks would not change the depth at all. */
    if ((h->retract - h->bottom) / r->cycle.peck > pecks_most) {
        return rs_fail(r, TH_BAD_RANGE, "Q%g asks for more than %g pecks", r->cycle.peck,
                       pecks_most);
    }
    while (depth - r->cycle.peck > h->bottom) {
        depth -= r->cycle.peck;
        back = fmin(depth + peck_back, h->retract);
        if (!rs_count(r) || !along(r, h, depth, false) ||
            !along(r, h, full ? h->retract : back, true) || !along(r, h, back, true)) {
            return false;
        }
    }
    return along(r, h, h->bottom, false) && along(r, h, h->clear, true);
}

static bool spindle(reader *r, int direction) {
    r->m.spindle = direction;
    return true;
}

static bool tap(reader *r, const hole *h) {
    int before = r->m.spindle;

    r->report->taps = r->report->taps ? r->report->taps : r->line;
    return along(r, h, h->bottom, false) && spindle(r, -before) && along(r, h, h->retract, false) &&
           spindle(r, before) && along(r, h, h->clear, true);
}

static bool back_bore(reader *r, const hole *h) {
    int before = r->m.spindle;
    const cycle_state *c = &r->cycle;
    double x = h->at[0] + c->aside[0], y = h->at[1] + c->aside[1];

    return across(r, h, x, y) && spindle(r, 0) && along(r, h, h->bottom, true) &&
           across(r, h, h->at[0], h->at[1]) && spindle(r, before) && along(r, h, c->top, false) &&
           along(r, h, h->bottom, false) && spindle(r, 0) && across(r, h, x, y) &&
           along(r, h, h->clear, true) && across(r, h, h->at[0], h->at[1]) && spindle(r, before);
}

/* The spindle stands while the tool is drawn back. */
static bool draw_back_still(reader *r, const hole *h, bool by_hand) {
    int before = r->m.spindle;

    return rs_dwell(r, r->cycle.dwell) && spindle(r, 0) && (!by_hand || rs_stop(r)) &&
           along(r, h, h->clear, true) && spindle(r, before);
}

static bool work(reader *r, const hole *h) {
    int code = r->cycle.code;

    if (needs_peck(code)) {
        return peck(r, h);
    }
    if (code == 840) {
        return tap(r, h);
    }
    if (code == 870) {
        return back_bore(r, h);
    }
    if (!along(r, h, h->bottom, false)) {
        return false;
    }
    if (code == 860 || code == 880) {
        return draw_back_still(r, h, code == 880);
    }
    if (needs_dwell(code) && !rs_dwell(r, r->cycle.dwell)) {
        return false;
    }
    return along(r, h, h->clear, code == 810 || code == 820);
}

static bool read_times(reader *r, long long *times) {
    *times = 1;
    if (!rs_seen(r, 'l')) {
        return true;
    }
    if (!rs_whole(rs_value(r, 'l'), 1, 1e9, times)) {
        return rs_fail(r, TH_BAD_RANGE, "L%g of G%d: a whole number from 1 says how often",
                       rs_value(r, 'l'), r->m.motion / 10);
    }
    return true;
}

static bool check_spindle(reader *r) {
    int code = r->m.motion;

    if ((code == 840 || code == 860 || code == 870 || code == 880) && r->m.spindle == 0) {
        return rs_fail(r, TH_MISSING, "G%d with the spindle at a stand: M3 belongs before it",
                       code / 10);
    }
    return true;
}

/* The words of the line, in the plane, as a first place and a step from each to the next. */
static bool read_hole(reader *r, hole *h, double step[2]) {
    double to[3];
    bool read = read_places_of(r, to);

    h->along = r->m.axes[2];
    h->retract = r->cycle.retract;
    h->bottom = r->cycle.depth;
    h->clear = r->m.retract_to_r ? h->retract : fmax(r->cycle.initial, h->retract);
    for (int i = 0; read && i < 2; i++) {
        h->across[i] = r->m.axes[i];
        h->at[i] = to[h->across[i]];
        step[i] = r->m.incremental ? h->at[i] - r->p.at[h->across[i]] : 0;
    }
    return read;
}

bool rs_cycle(reader *r) {
    hole h;
    double step[2];
    long long times;

    if (!begin(r) || !check_spindle(r) || !read_heights(r) || !read_dwell_and_peck(r) ||
        !read_back_bore(r) || !read_times(r, &times) || !read_hole(r, &h, step)) {
        return false;
    }
    for (long long i = 0; i < times; i++) {
        double reach[3] = {h.at[0], h.at[1], h.bottom};
        if ((i > 0 && !rs_count(r)) || !rs_check_reach(r, reach) || !go_over(r, &h) ||
            !work(r, &h)) {
            return false;
        }
        h.at[0] += step[0];
        h.at[1] += step[1];
    }
    return true;
}
