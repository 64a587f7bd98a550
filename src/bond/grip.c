/* grip.c - index and hold factor of a load history against a stack of interfaces. */
#include "grip.h"

#include <math.h>

#include "lever.h"

static const double greatest_hold_factor = 1000;

double th_index(double lift, double shear, double lift_strength, double shear_strength) {
    double pull = lift < 0 ? 0 : lift / lift_strength;
    double slide = shear / shear_strength;

    return sqrt(pull * pull + slide * slide);
}

double th_hold_factor(double index) {
    if (isnan(index)) {
        return 0; /* what cannot be computed holds nothing */
    }
    return index * greatest_hold_factor > 1 ? 1 / index : greatest_hold_factor;
}

const char *th_way_name(th_way way) {
    switch (way) {
    case TH_SLIDE:
        return "slide";
    case TH_LIFT:
        return "lift";
    case TH_TWIST:
        return "twist";
    case TH_HEAT:
        return "heat";
    case TH_WAIT:
        return "wait";
    case TH_COOLING:
        return "cooling";
    case TH_ADHESION:
        return "adhesion";
    }
    return "";
}

const char *th_load_name(th_load_kind load) {
    return load == TH_SUSTAINED ? "sustained" : "peak";
}

th_way th_unusable_way(th_unusable why) {
    switch (why) {
    case TH_TOO_WARM:
        return TH_HEAT;
    case TH_NOT_SET:
        return TH_WAIT;
    case TH_NOT_FOR_COOLING:
        return TH_COOLING;
    case TH_NO_ADHESION:
    case TH_USABLE:
        break;
    }
    return TH_ADHESION;
}

/* Place, instant and interface with the largest index so far. */
typedef struct {
    double square; /* index^2; below 0: none yet */
    size_t interface, corner, instant;
} finding;

/* Largest squared index of each rival at one corner, and its instant. */
typedef struct {
    double square[TH_INTERFACES_MAX];
    size_t instant[TH_INTERFACES_MAX];
} survey;

/* Whether interface a can never show a larger index than b. A mean with a smaller exponent lies
 * nearer the largest value (power means rise with their power), so it takes strengths and exponent
 * all at or below. Of equals the one nearer the part stays. */
static bool dominated(const th_interface *a, const th_interface *b) {
    if (b->shear > a->shear || b->lift > a->lift || b->time_exponent > a->time_exponent) {
        return false;
    }
    return b->shear < a->shear || b->lift < a->lift || b->time_exponent < a->time_exponent || b < a;
}

static bool dominated_in(const th_interface *all, size_t count, size_t which) {
    for (size_t k = 0; k < count; k++) {
        if (k != which && dominated(&all[which], &all[k])) {
            return true;
        }
    }
    return false;
}

bond_rivals th_bond_rivals_of(const th_stack *stack, th_load_kind load, double seconds) {
    th_interface then[TH_INTERFACES_MAX];
    bond_rivals field = {.count = 0};

    for (size_t i = 0; i < stack->count; i++) {
        then[i] = stack->interfaces[i];
        if (load == TH_PEAK) {
            then[i].time_exponent = 0;
        } else {
            double left = th_time_factor(seconds, then[i].time_exponent);

            then[i].shear *= left;
            then[i].lift *= left;
        }
    }
    for (size_t i = 0; i < stack->count; i++) {
        if (!dominated_in(then, stack->count, i)) {
            field.items[field.count++] =
                (bond_rival){i, 1 / (then[i].lift * then[i].lift),
                             1 / (then[i].shear * then[i].shear), then[i].time_exponent};
        }
    }
    return field;
}

/* What pulls at an instant, with what pulls always. */
static inline double pull_at(const bond_lever *lever, const th_history *history, size_t instant) {
    return bond_pull(bond_lever_lift(lever, &history->wrenches[instant]) + history->standing_lift);
}

/* ---- runs of a history ------------------------------------------------------------------------
 *
 * A hull has hundreds of corners and a turn hundreds of instants. What the least and the greatest
 * of each component of the load in a run make of a corner is never less than what any instant of
 * the run does, so most runs are passed over. */

enum { RUNS = 16 };

/* Rounding in a bound must not pass over what equals it. */
static const double slack = 1 + 1e-9;

typedef struct {
    th_wrench middle, half; /* half the width; NAN where a load is not finite */
    size_t first, end;
} run_box;

typedef struct {
    run_box items[RUNS];
    size_t count;
} run_boxes;

/* The extent of one component; `odd` is 0 as long as all are finite. */
typedef struct {
    double low, high, odd;
} extent;

/* Spelled out rather than by fmin, whose calls would take longer than all else of a scan. */
static inline void widen(extent *e, double value) {
    e->low = value < e->low ? value : e->low;
    e->high = value > e->high ? value : e->high;
    e->odd += value - value;
}

/* Each extent by its own name, so that all of them stay in registers. */
bond_range th_bond_range_of(const th_history *history, size_t first, size_t end) {
    const extent none = {INFINITY, -INFINITY, 0};
    extent fx = none, fy = none, fz = none, mx = none, my = none, mz = none;

    for (size_t k = first; k < end; k++) {
        const th_wrench *w = &history->wrenches[k];

        widen(&fx, w->fx);
        widen(&fy, w->fy);
        widen(&fz, w->fz);
        widen(&mx, w->mx);
        widen(&my, w->my);
        widen(&mz, w->mz);
    }
    return (bond_range){{fx.low, fy.low, fz.low, mx.low, my.low, mz.low},
                        {fx.high, fy.high, fz.high, mx.high, my.high, mz.high},
                        fx.odd + fy.odd + fz.odd + mx.odd + my.odd + mz.odd};
}

void th_bond_range_join(bond_range *range, const bond_range *with) {
    for (int u = 0; u < TH_UNITS; u++) {
        range->low[u] = with->low[u] < range->low[u] ? with->low[u] : range->low[u];
        range->high[u] = with->high[u] > range->high[u] ? with->high[u] : range->high[u];
    }
    range->odd += with->odd;
}

static void set_box(const bond_range *range, int unit, double *middle, double *half) {
    *middle = range->low[unit] / 2 + range->high[unit] / 2;
    *half = range->high[unit] / 2 - range->low[unit] / 2 + range->odd;
}

static run_boxes runs_of(const th_history *history) {
    size_t length = (history->count + RUNS - 1) / RUNS;
    run_boxes runs = {.count = 0};

    for (size_t first = 0; first < history->count; first += length) {
        run_box *box = &runs.items[runs.count++];
        th_wrench *m = &box->middle, *h = &box->half;
        bond_range range;
        box->first = first;
        box->end = first + length < history->count ? first + length : history->count;
        range = th_bond_range_of(history, box->first, box->end);
        set_box(&range, TH_UNIT_FX, &m->fx, &h->fx);
        set_box(&range, TH_UNIT_FY, &m->fy, &h->fy);
        set_box(&range, TH_UNIT_FZ, &m->fz, &h->fz);
        set_box(&range, TH_UNIT_MX, &m->mx, &h->mx);
        set_box(&range, TH_UNIT_MY, &m->my, &h->my);
        set_box(&range, TH_UNIT_MZ, &m->mz, &h->mz);
    }
    return runs;
}

/* Whether any instant of a run may show a traction above those of `grip`, or reach an index of the
 * square `least`. */
static bool run_matters(const bond_lever *l, const bond_rivals *field, const th_history *history,
                        const run_box *box, const th_grip *grip, double least) {
    const th_wrench *h = &box->half;
    double torque = h->mz + fabs(l->cx) * h->fy + fabs(l->cy) * h->fx;
    double middle = bond_lever_torque(l, &box->middle);
    double x = fabs(box->middle.fx * l->per_area + middle * l->twist_x) + h->fx * l->per_area +
               torque * fabs(l->twist_x);
    double y = fabs(box->middle.fy * l->per_area + middle * l->twist_y) + h->fy * l->per_area +
               torque * fabs(l->twist_y);
    double spread = h->fz * fabs(l->per_area - l->cy * l->bend_x + l->cx * l->bend_y) +
                    h->mx * fabs(l->bend_x) + h->my * fabs(l->bend_y);
    double lift = bond_lever_lift(l, &box->middle) + spread + history->standing_lift;
    double pull = bond_pull(lift) * slack, shear2 = (x * x + y * y) * slack;
    bool matters = !(pull <= grip->lift_peak) || !(shear2 <= grip->shear_peak);

    for (size_t r = 0; r < field->count && !matters; r++) {
        matters = !(bond_square(&field->items[r], pull, shear2) * slack < least);
    }
    return matters;
}

/* One run of a survey. */
static void survey_run(const bond_lever *lever, const bond_rivals *field, const th_history *history,
                       const run_box *box, th_grip *grip, survey *s) {
    for (size_t k = box->first; k < box->end; k++) {
        double pull = pull_at(lever, history, k);
        double shear2 = bond_lever_shear2(lever, &history->wrenches[k]);

        grip->lift_peak = bond_exceeds(pull, grip->lift_peak) ? pull : grip->lift_peak;
        grip->shear_peak = bond_exceeds(shear2, grip->shear_peak) ? shear2 : grip->shear_peak;
        for (size_t r = 0; r < field->count; r++) {
            double square = bond_square(&field->items[r], pull, shear2);

            if (bond_exceeds(square, s->square[r])) {
                s->square[r] = square;
                s->instant[r] = k;
            }
        }
    }
}

/* `grip` collects the largest tractions; its shear stays a square until the end. Squared indices
 * below `least` are of no interest. */
static survey survey_corner(const bond_lever *lever, const bond_rivals *field,
                            const th_history *history, const run_boxes *runs, double least,
                            th_grip *grip) {
    survey s;

    for (size_t r = 0; r < field->count; r++) {
        s.square[r] = -1;
        s.instant[r] = 0;
    }
    for (size_t i = 0; i < runs->count; i++) {
        if (run_matters(lever, field, history, &runs->items[i], grip, least)) {
            survey_run(lever, field, history, &runs->items[i], grip, &s);
        }
    }
    return s;
}

/* Of equal indices the interface nearer the part governs, then the earlier corner. */
static void consider(finding *best, finding next) {
    bool tie = next.square == best->square && next.interface < best->interface;

    if (tie || bond_exceeds(next.square, best->square)) {
        *best = next;
    }
}

/* (mean of index^(1/n))^n, squared, over the history. Divided by the largest before the power is
 * taken: for small n index^(1/n) would leave the range of a double. */
static double mean_square(const bond_lever *lever, const bond_rival *r, const th_history *history,
                          double largest) {
    bond_power power;
    double sum = 0;

    if (r->exponent <= 0 || !(largest > 0) || isinf(largest)) {
        return largest;
    }
    power = bond_power_of(0.5 / r->exponent);
    for (size_t k = 0; k < history->count; k++) {
        double pull = pull_at(lever, history, k);
        double shear2 = bond_lever_shear2(lever, &history->wrenches[k]);

        sum += history->weights[k] * bond_raise(&power, bond_square(r, pull, shear2) / largest);
    }
    return largest * pow(fmin(sum, 1), 2 * r->exponent);
}

th_way th_bond_way_of(const th_interface *i, const th_traction *t) {
    double pull = bond_pull(t->lift) / i->lift;
    double slide = t->shear / i->shear;

    if (pull >= slide) {
        return TH_LIFT;
    }
    return t->turn > t->direct ? TH_TWIST : TH_SLIDE;
}

/* Spell out the finding in a grip that holds the largest tractions. */
static void conclude(th_grip *grip, const finding *best, const th_bonded *bonded,
                     const th_stack *stack, const th_history *history) {
    grip->shear_peak = sqrt(grip->shear_peak);
    grip->index = best->square <= 0 ? 0 : sqrt(best->square);
    grip->interface = best->interface;
    grip->instant = best->instant;
    grip->way = TH_SLIDE;
    if (bonded->corner_count > 0) {
        grip->at = bonded->corners[best->corner];
    }
    if (best->square > 0) {
        th_traction t = th_area_traction(bonded, &history->wrenches[best->instant], grip->at);

        t.lift += history->standing_lift;
        grip->way = th_bond_way_of(&stack->interfaces[best->interface], &t);
    }
}

th_grip th_grip_peak(const th_bonded *bonded, const th_stack *stack, const th_history *history) {
    bond_rivals field = th_bond_rivals_of(stack, TH_PEAK, 0);
    run_boxes runs = runs_of(history);
    finding best = {.square = -1};
    th_grip grip = {.index = 0};

    for (size_t c = 0; c < bonded->corner_count; c++) {
        bond_lever lever = th_bond_lever_of(bonded, bonded->corners[c]);
        survey s = survey_corner(&lever, &field, history, &runs, best.square, &grip);

        for (size_t r = 0; r < field.count; r++) {
            consider(&best, (finding){s.square[r], field.items[r].number, c, s.instant[r]});
        }
    }
    conclude(&grip, &best, bonded, stack, history);
    return grip;
}

th_grip th_grip_sustained(const th_bonded *bonded, const th_stack *stack, const th_history *history,
                          double seconds, double enough) {
    bond_rivals field = th_bond_rivals_of(stack, TH_SUSTAINED, seconds);
    double least = enough > 0 ? enough * enough : 0;
    run_boxes runs = runs_of(history);
    finding best = {.square = -1};
    th_grip grip = {.index = 0};

    for (size_t c = 0; c < bonded->corner_count; c++) {
        bond_lever lever = th_bond_lever_of(bonded, bonded->corners[c]);
        survey s = survey_corner(&lever, &field, history, &runs, fmax(least, best.square), &grip);

        for (size_t r = 0; r < field.count; r++) {
            double mean;

            /* The mean is at most the largest. */
            if (s.square[r] < least || s.square[r] < best.square) {
                continue;
            }
            mean = mean_square(&lever, &field.items[r], history, s.square[r]);
            consider(&best, (finding){mean, field.items[r].number, c, s.instant[r]});
        }
    }
    conclude(&grip, &best, bonded, stack, history);
    return grip;
}
