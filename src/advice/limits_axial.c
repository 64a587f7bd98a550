/* limits_axial.c - the largest axial engagement at one radial engagement. */
#include <math.h>

#include "limits.h"

/* What is found lies within this share of the largest that holds, or its margin within NEAR_ENOUGH
 * of what is asked; AIM is what the next guess aims at. */
#define CLOSE 1.006
#define NEAR_ENOUGH 1.012
#define AIM 1.006
/* Of a sketch. */
#define SKETCH_CLOSE 1.05
#define SKETCH_NEAR 1.06
#define SKETCH_AIM 1.025

/* A margin of the bond this ample cannot be lost within so many times less depth: the force does
 * not grow, and the strength falls with the time as its power of at most 0.3. */
static const struct { double margin, shallower; } ample[] = {{2.2, 10}, {1.5, 3}, {1.2, 1.7}};

/* Over any step of th_limit_step, whose widest are 8/7, and under two. */
#define STEP_UP 1.15

enum { LOOKS_MOST = 16, CUTTER_STEPS = 14, SCAN = 6, LEVELS_SCAN = 8, GAP_STEPS = 6 };

typedef struct {
    const th_bounded *b;
    double radial;
    double least, most; /* nothing outside is asked about (mm) */
    th_limiter most_by;
    double good, bad; /* 0: none seen; the largest that holds, the least above it that does not */
    th_look at_good, at_bad;
    double axial[2], bond[2]; /* the last two looks */
    double best_axial, best;  /* the largest margin of the bond seen, and where */
    double steepness;         /* taken until two looks show it */
} th_bracket;

static bool look(const th_bracket *s, double axial, th_looking how, th_look *seen) {
    return th_look_at(s->b, (th_engaged){s->radial, axial, s->b->keep_depth}, how, seen);
}

/* ---- steps ------------------------------------------------------------------------------------
 */

/* Where each value costs new tables only few are looked at, the same at every radial engagement. */
double th_limit_step(const th_bounded *b, double axial) {
    static const double steps[] = {1,   1.1, 1.2, 1.3, 1.4, 1.6, 1.8, 2, 2.2, 2.5, 2.8,
                                   3.2, 3.6, 4,   4.5, 5,   5.6, 6.3, 7, 8,   9};
    double decade = pow(10, floor(log10(axial) + 1e-9)), found = decade;

    if (!b->slow) {
        return th_six_digits(axial, false);
    }
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        found = steps[i] * decade <= axial * (1 + 1e-9) ? steps[i] * decade : found;
    }
    return th_six_digits(found, false);
}

static double snapped(const th_bracket *s, double axial) {
    if (axial >= s->most * (1 - 1e-9)) {
        return s->most;
    }
    return s->b->slow ? fmax(th_limit_step(s->b, axial), s->least) : th_limit_step(s->b, axial);
}

/* ---- spindle and cutter -----------------------------------------------------------------------
 */

/* Narrow `most` down to what spindle, cutter and chip allow; below `least`: nothing. */
static bool narrow_by_cutter(th_bracket *s) {
    double low = s->least, high = s->most;
    th_look seen;

    if (!look(s, high, TH_LOOK_CUTTER, &seen)) {
        return false;
    }
    if (seen.ratio >= 1) {
        return true;
    }
    s->most_by = seen.by;
    if (!look(s, low, TH_LOOK_CUTTER, &seen)) {
        return false;
    }
    if (seen.ratio < 1) {
        s->most_by = seen.by;
        s->most = 0;
        return true;
    }
    for (int i = 0; i < CUTTER_STEPS && high / low > 1.0005; i++) {
        double middle = sqrt(low * high);
        if (!look(s, middle, TH_LOOK_CUTTER, &seen)) {
            return false;
        }
        if (seen.ratio >= 1) {
            low = middle;
        } else {
            high = middle;
            s->most_by = seen.by;
        }
    }
    s->most = th_six_digits(low, false);
    return true;
}

/* ---- the bond ---------------------------------------------------------------------------------
 */

static bool try_axial(th_bracket *s, double axial) {
    th_look seen;

    if (!look(s, axial, TH_LOOK_WHOLE, &seen)) {
        return false;
    }
    s->axial[0] = s->axial[1];
    s->bond[0] = s->bond[1];
    s->axial[1] = axial;
    s->bond[1] = seen.bond;
    if (seen.bond > s->best) {
        s->best = seen.bond;
        s->best_axial = axial;
    }
    if (seen.ratio >= 1 && axial > s->good) {
        s->good = axial;
        s->at_good = seen;
    } else if (seen.ratio < 1 && (s->bad <= 0 || axial < s->bad)) {
        s->bad = axial;
        s->at_bad = seen;
    }
    return true;
}

/* The margin falls about as a power of the engagement: that of the last two looks. */
static double steepness(const th_bracket *s) {
    double slope = s->steepness;

    if (s->axial[0] > 0 && s->bond[0] > 0 && s->bond[1] > 0) {
        slope = -log(s->bond[1] / s->bond[0]) / log(s->axial[1] / s->axial[0]);
    }
    return isfinite(slope) ? fmin(fmax(slope, 0.3), 4) : 1;
}

static double next_axial(const th_bracket *s) {
    double floor_ = fmax(s->good, s->least), roof = s->bad > 0 ? s->bad : s->most;
    double next = s->axial[1] / 4;

    if (s->bond[1] > 0) {
        next = s->axial[1] * pow(s->bond[1] / (s->b->sketch ? SKETCH_AIM : AIM), 1 / steepness(s));
    }
    next = snapped(s, fmin(fmax(next, floor_), roof));
    if ((s->good > 0 && next <= s->good) || (s->bad > 0 && next >= s->bad)) {
        next = snapped(s, sqrt(floor_ * roof));
    }
    if (s->b->slow && next <= s->good) { /* one step up, if there is one */
        next = snapped(s, fmin(s->good * STEP_UP, roof));
    }
    return next;
}

/* A finishing lap stays the same, and what wears it out is the time of the passes before it: where
 * these are fewer, and deeper, the hold may be better again. */
static bool rises_again(const th_bracket *s) {
    return !isnan(s->b->cut->finish);
}

static bool close_enough(const th_bracket *s) {
    bool top = s->good >= s->most * (1 - 1e-9);
    bool bottom = s->good <= 0 && s->bad > 0 && s->bad <= s->least * (1 + 1e-9);

    double near = s->b->sketch ? SKETCH_NEAR : NEAR_ENOUGH;
    double close = s->b->sketch ? SKETCH_CLOSE : CLOSE;

    bool edge = s->at_good.bond < near && (s->bad > 0 || !rises_again(s));

    return top || bottom || (s->good > 0 && (edge || (s->bad > 0 && s->bad < s->good * close)));
}

static bool narrow_by_bond(th_bracket *s, double guess) {
    double axial = snapped(s, fmin(fmax(guess, s->least), s->most));

    for (int i = 0; i < LOOKS_MOST; i++) {
        if (!try_axial(s, axial)) {
            return false;
        }
        if (close_enough(s)) {
            break;
        }
        axial = next_axial(s);
        if (axial <= s->good || (s->bad > 0 && axial >= s->bad)) {
            break; /* no step between them */
        }
    }
    return true;
}

/* The deepest for every number of levels, where it is these that count. */
static double scanned(const th_bracket *s, int i) {
    double depth = th_limit_depth(s->b);

    if (rises_again(s) && depth > 0) {
        return snapped(s, fmax(fmin(depth / i, s->most), s->least));
    }
    return snapped(s, s->least * pow(s->most / s->least, (double)i / SCAN));
}

/* Nothing holds, but the shallowest is not the best: shallow passes take long, and what stays the
 * same (a last pass, a finishing lap) acts longer. Look between. */
static bool scan(th_bracket *s) {
    double bad = s->best_axial;

    if (s->good > 0 || !(s->best_axial > s->least * 1.01)) {
        return true;
    }
    s->bad = 0;
    for (int i = 1; i < (rises_again(s) ? LEVELS_SCAN : SCAN) && s->good <= 0; i++) {
        if (!try_axial(s, scanned(s, i))) {
            return false;
        }
    }
    if (s->good <= 0) {
        s->bad = bad;
        return true;
    }
    s->bad = 0; /* what failed may lie below */
    return narrow_by_bond(s, s->good * 1.2);
}

/* ---- inside -----------------------------------------------------------------------------------
 */

static double greatest_exponent(const th_job *job) {
    double n = job->hold.tape->load_time_exponent;

    return job->hold.tape_below ? fmax(n, job->hold.tape_below->load_time_exponent) : n;
}

/* By how much the warmth of a shallower engagement may weaken the hold against that of the largest
 * one. Its energy, power over the time it takes, bounds all of the rise: more passes of less power
 * bring more heat where thin chips take more power for the same metal. */
static double warmth_grows(const th_bracket *s, const th_look *seen) {
    const th_job *job = s->b->job;
    double room = job->hold.room_temperature, good = s->at_good.warmest;
    double energy = seen->power * seen->cutting / (s->at_good.power * s->at_good.cutting);
    double warm = room + fmax(good - room, 0) * fmax(energy, 1);
    double kept = energy >= 0 && isfinite(good) ? th_hold_warmed(job, good, warm) : 0;

    return kept > 0 ? 1 / kept : INFINITY;
}

/* Whether a shallower engagement is plainly milder than the largest one. */
static bool plainly_milder(const th_bracket *s, const th_look *seen) {
    const th_job *job = s->b->job;
    double longer = isnan(job->hold.cutting_time) ? seen->cutting / s->at_good.cutting : 1;
    double grows = pow(fmax(longer, 1), greatest_exponent(job)) * warmth_grows(s, seen);

    return longer >= 0 && !s->b->slow && isnan(s->b->cut->finish) && isnan(job->head.sway_limit) &&
           th_milder(&seen->severity, &s->at_good.severity, grows);
}

/* `margin`: of the bond there; of the largest engagement where it is plainly milder. */
static bool holds_inside(const th_bracket *s, double axial, bool *holds, double *margin) {
    bool sways = !isnan(s->b->job->head.sway_limit);
    th_look seen;

    if (!look(s, axial, TH_LOOK_CUTTER, &seen)) {
        return false;
    }
    *holds = seen.ratio >= 1;
    *margin = 0;
    if (!*holds || plainly_milder(s, &seen)) {
        return true;
    }
    if (!look(s, axial, sways ? TH_LOOK_WHOLE : TH_LOOK_QUICK, &seen)) {
        return false;
    }
    *holds = seen.ratio >= 1;
    *margin = seen.bond;
    return true;
}

double th_limit_next(double axial, double margin) {
    for (size_t i = 0; i < sizeof ample / sizeof ample[0]; i++) {
        if (margin > ample[i].margin) {
            return axial / ample[i].shallower;
        }
    }
    return axial;
}

/* From the largest engagement down, as far as everything holds. */
static bool look_inside(const th_bracket *s, double *least) {
    static const double shares[] = {0.93, 0.85, 0.75, 0.65, 0.55, 0.45, 0.37, 0.3,
                                    0.24, 0.18, 0.13, 0.09, 0.06, 0.04, 0.02, 0};
    static const double sketched[] = {0.5, 0.15};
    const double *list = s->b->sketch ? sketched : shares;
    size_t count =
        s->b->sketch ? sizeof sketched / sizeof *sketched : sizeof shares / sizeof *shares;
    double next = th_limit_next(s->good, s->at_good.bond);

    *least = s->good;
    for (size_t i = 0; *least > s->least && i < count; i++) {
        double axial = snapped(s, fmax(list[i] * s->good, s->least)), margin;
        bool holds;
        if (axial >= *least || (axial > next && axial > s->least)) {
            continue;
        }
        if (!holds_inside(s, axial, &holds, &margin)) {
            return false;
        }
        if (!holds) {
            break;
        }
        *least = axial;
        next = th_limit_next(axial, margin);
    }
    return true;
}

/* ---- the whole --------------------------------------------------------------------------------
 */

static void take(const th_bracket *s, th_limit_point *point) {
    point->axial = s->good;
    point->hold_factor = s->at_good.hold_factor;
    point->passes = s->at_good.passes;
    point->minutes = s->at_good.minutes;
}

/* What is known to hold lies below a gap: the range is that around it. */
static bool take_stated(th_bracket *s, double stated, th_limit_point *point) {
    double above = point->least;

    s->good = 0;
    if (!try_axial(s, stated)) {
        return false;
    }
    if (!(s->good > 0)) {
        return true;
    }
    for (int i = 0; i < GAP_STEPS && above > s->good * 1.02 && !s->b->slow; i++) {
        double middle = snapped(s, sqrt(s->good * above)), before = s->good;
        if (!try_axial(s, middle)) {
            return false;
        }
        above = s->good > before ? above : middle;
    }
    point->limiter = s->bad > 0 ? s->at_bad.by : point->limiter;
    take(s, point);
    return look_inside(s, &point->least);
}

bool th_limit_axial(const th_bounded *b, th_guess *guess, th_limit_point *point) {
    th_bracket s = {.b = b,
                    .radial = point->radial,
                    .least = fmin(TH_SHALLOWEST, b->most),
                    .most = b->most,
                    .steepness = guess->steepness,
                    .most_by = b->most_by};
    double stated = guess->stated;

    point->axial = point->least = 0;
    point->hold_factor = point->passes = point->minutes = (double)NAN;
    s.least = stated > 0 ? fmin(s.least, stated) : s.least;
    if (!narrow_by_cutter(&s)) {
        return false;
    }
    point->limiter = s.most_by;
    stated = stated <= s.most ? stated : 0;
    if (!(s.most > 0)) {
        return true;
    }
    if ((stated > 0 && !try_axial(&s, stated)) || !narrow_by_bond(&s, guess->axial) || !scan(&s)) {
        return false;
    }
    guess->steepness = steepness(&s);
    if (s.good < s.most * (1 - 1e-9)) {
        point->limiter = s.bad > 0 ? s.at_bad.by : s.at_good.by;
    }
    if (!(s.good > 0)) {
        return true;
    }
    take(&s, point);
    return look_inside(&s, &point->least) &&
           (!(stated > 0) || point->least <= stated || take_stated(&s, stated, point));
}
