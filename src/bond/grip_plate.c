/* grip_plate.c - the largest index over the nodes of a plate.
 *
 * A load history is kept in boxes, the least and the greatest of each of its components, over all
 * of it and over short runs. What a box makes of a node is never less than what any instant in it
 * does, so most nodes and most runs are passed over without looking at their instants. */
#include "grip.h"

#include <math.h>
#include <string.h>

enum {
    AXES = 3,
    LANES = 8,           /* runs bounded side by side */
    SETS = 4,            /* of LANES fine runs */
    RUNS = LANES * SETS, /* fine ones */
    FINE = RUNS / LANES, /* to a coarse one */
    CHUNK = 32,          /* nodes bounded side by side */
    GROUPS = 128,        /* of nodes */
    SEEDS = 6,           /* groups to begin with */
    KEPT = 16 * CHUNK,   /* nodes whose bounds are kept for a second look */
    HELD = 512           /* instants of a node that are kept for its mean */
};

/* Rounding in a bound must not pass over what equals it. */
static const double slack = 1 + 1e-12;

/* Middle and half width of each component of the load. */
typedef struct {
    double middle[TH_UNITS], half[TH_UNITS];
} load_box;

/* Boxes of LANES runs; those beyond the last are 0. */
typedef struct {
    double middle[TH_UNITS][LANES], half[TH_UNITS][LANES];
} box_set;

typedef struct {
    const th_plate_influence *influence;
    const th_history *history;
    bond_rivals field;
    bond_power power[TH_INTERFACES_MAX]; /* of a square in the mean: 1/(2 n) */
    load_box all;
    box_set coarse, fine[SETS];
    double coarse_weight[LANES], fine_weight[RUNS]; /* of the instants in each run */
    size_t run_length;                              /* of a fine one */
    double least;                                   /* squared indices below are of no interest */
    double pull_seen, shear2_seen;                  /* nor tractions up to these */
    bool sustained;                                 /* the mean counts, not the largest */
} plate_scan;

/* What no instant of a box exceeds at a node. */
typedef struct {
    double pull, shear2;
    double square; /* of the worst rival */
} node_bound;

/* What no instant of each of LANES runs exceeds at a node. */
typedef struct {
    double pull[LANES], shear2[LANES];
} set_bound;

typedef struct {
    double square; /* squared index; below 0: none yet */
    size_t node, instant, rival;
    double pull, shear2; /* largest anywhere */
} plate_peak;

/* Unit tractions of one node: of unit load u at [axis][u]. */
typedef struct {
    double unit[AXES][TH_UNITS];
} node_lever;

/* Nodes side by side: the worst of their bounds, and where the index may be largest. */
typedef struct {
    node_bound bound;
    size_t first, end, worst;
} node_group;

/* ---- loads ----------------------------------------------------------------------------------- */

static double component(const th_wrench *w, int unit) {
    const double all[TH_UNITS] = {w->fx, w->fy, w->fz, w->mx, w->my, w->mz};

    return all[unit];
}

/* What is not finite in the load makes the box so: nothing is then passed over. */
static void box_of(const bond_range *range, double *middle, double *half, size_t step) {
    for (size_t u = 0; u < TH_UNITS; u++) {
        middle[u * step] = range->low[u] / 2 + range->high[u] / 2 + range->odd;
        half[u * step] = range->high[u] / 2 - range->low[u] / 2;
    }
}

static double weight_of(const plate_scan *scan, size_t first, size_t end) {
    double weight = 0;

    for (size_t i = first; scan->sustained && i < end; i++) {
        weight += scan->history->weights[i];
    }
    return weight;
}

/* Put the runs into their boxes: fine ones, coarse ones, and all of the history. */
static void set_boxes(plate_scan *scan) {
    const th_history *h = scan->history;
    bond_range all = {.odd = 0}, coarse = all;

    for (size_t run = 0; run < RUNS && run * scan->run_length < h->count; run++) {
        size_t first = run * scan->run_length, end = first + scan->run_length, lane = run % LANES;
        box_set *fine = &scan->fine[run / LANES];
        bond_range range;

        end = end < h->count ? end : h->count;
        range = th_bond_range_of(h, first, end);
        box_of(&range, &fine->middle[0][lane], &fine->half[0][lane], LANES);
        scan->fine_weight[run] = weight_of(scan, first, end);
        scan->coarse_weight[run / FINE] += scan->fine_weight[run];
        if (run % FINE == 0) {
            coarse = range;
        }
        if (run == 0) {
            all = range;
        }
        th_bond_range_join(&coarse, &range);
        th_bond_range_join(&all, &range);
        lane = run / FINE;
        box_of(&coarse, &scan->coarse.middle[0][lane], &scan->coarse.half[0][lane], LANES);
    }
    box_of(&all, scan->all.middle, scan->all.half, 1);
}

static plate_scan scan_of(const th_plate_influence *influence, const th_plate_ask *ask) {
    const th_history *h = ask->history;
    plate_scan scan = {.influence = influence,
                       .history = h,
                       .field = th_bond_rivals_of(ask->stack, ask->load, ask->seconds),
                       .run_length = (h->count + RUNS - 1) / RUNS,
                       .sustained = ask->load == TH_SUSTAINED};

    if (ask->enough > 0) {
        scan.least = ask->enough * ask->enough;
        scan.pull_seen = ask->lift_seen > 0 ? ask->lift_seen : (double)INFINITY;
        scan.shear2_seen =
            ask->shear_seen > 0 ? ask->shear_seen * ask->shear_seen : (double)INFINITY;
    }
    set_boxes(&scan);
    for (size_t r = 0; r < scan.field.count; r++) {
        scan.power[r] = bond_power_of(0.5 / scan.field.items[r].exponent);
    }
    return scan;
}

/* ---- bounds ---------------------------------------------------------------------------------- */

static inline node_lever lever_of(const plate_scan *scan, size_t node) {
    node_lever lever;

    for (int u = 0; u < TH_UNITS; u++) {
        for (int a = 0; a < AXES; a++) {
            lever.unit[a][u] = scan->influence->unit[u][AXES * node + (size_t)a];
        }
    }
    return lever;
}

static inline void set_square(const plate_scan *scan, node_bound *bound) {
    for (size_t r = 0; r < scan->field.count; r++) {
        double square = bond_square(&scan->field.items[r], bound->pull, bound->shear2) * slack;

        bound->square = bond_exceeds(square, bound->square) ? square : bound->square;
    }
}

/* From what a box makes of each axis at most: |shear x|, |shear y|, lift. */
static inline node_bound bound_of(const plate_scan *scan, double x, double y, double lift) {
    node_bound bound = {bond_pull((lift + scan->history->standing_lift) * slack),
                        (x * x + y * y) * slack, 0};

    set_square(scan, &bound);
    return bound;
}

/* Bounds of up to CHUNK nodes over the whole history. All loops run to a constant and sums are
 * spelled out, for the sake of speed. */
static void bound_chunk(const plate_scan *scan, size_t first, size_t count, node_bound *bounds) {
    double middle[AXES * CHUNK], spread[AXES * CHUNK], rest[TH_UNITS][AXES * CHUNK];
    const double *unit[TH_UNITS], *m = scan->all.middle, *h = scan->all.half;

    for (int u = 0; u < TH_UNITS; u++) {
        unit[u] = scan->influence->unit[u] + AXES * first;
        if (count < CHUNK) {
            memset(rest[u], 0, sizeof rest[u]);
            unit[u] = memcpy(rest[u], unit[u], AXES * count * sizeof *rest[u]);
        }
    }
    for (size_t k = 0; k < (size_t)AXES * CHUNK; k++) {
        middle[k] = unit[0][k] * m[0] + unit[1][k] * m[1] + unit[2][k] * m[2] + unit[3][k] * m[3] +
                    unit[4][k] * m[4] + unit[5][k] * m[5];
        spread[k] = fabs(unit[0][k]) * h[0] + fabs(unit[1][k]) * h[1] + fabs(unit[2][k]) * h[2] +
                    fabs(unit[3][k]) * h[3] + fabs(unit[4][k]) * h[4] + fabs(unit[5][k]) * h[5];
    }
    for (size_t n = 0; n < count; n++) {
        size_t k = AXES * n;

        bounds[n] = bound_of(scan, fabs(middle[k]) + spread[k], fabs(middle[k + 1]) + spread[k + 1],
                             middle[k + 2] + spread[k + 2]);
    }
}

/* Bounds of one node over LANES runs. */
static void bound_set(const plate_scan *scan, const node_lever *lever, const box_set *set,
                      set_bound *bounds) {
    double most[AXES][LANES];

    for (int a = 0; a < AXES; a++) {
        const double *unit = lever->unit[a];
        double middle[LANES], spread[LANES];

        for (size_t k = 0; k < LANES; k++) {
            middle[k] = unit[0] * set->middle[0][k] + unit[1] * set->middle[1][k] +
                        unit[2] * set->middle[2][k] + unit[3] * set->middle[3][k] +
                        unit[4] * set->middle[4][k] + unit[5] * set->middle[5][k];
            spread[k] = fabs(unit[0]) * set->half[0][k] + fabs(unit[1]) * set->half[1][k] +
                        fabs(unit[2]) * set->half[2][k] + fabs(unit[3]) * set->half[3][k] +
                        fabs(unit[4]) * set->half[4][k] + fabs(unit[5]) * set->half[5][k];
        }
        for (size_t k = 0; k < LANES; k++) {
            most[a][k] = (a < 2 ? fabs(middle[k]) : middle[k]) + spread[k];
        }
    }
    for (size_t k = 0; k < LANES; k++) {
        double lift = (most[2][k] + scan->history->standing_lift) * slack;

        bounds->pull[k] = bond_pull(lift);
        bounds->shear2[k] = (most[0][k] * most[0][k] + most[1][k] * most[1][k]) * slack;
    }
}

/* The bound of one of the runs, as that of a whole history. */
static node_bound bound_at(const plate_scan *scan, const set_bound *bounds, size_t lane) {
    node_bound bound = {bounds->pull[lane], bounds->shear2[lane], 0};

    set_square(scan, &bound);
    return bound;
}

/* Squared index that is worth looking at. */
static inline double worth(const plate_scan *scan, const plate_peak *peak) {
    return peak->square > scan->least ? peak->square : scan->least;
}

static inline double larger(double a, double b) {
    return a > b ? a : b;
}

/* May a traction set a new record? */
static inline bool tractions_matter(const plate_scan *scan, double pull, double shear2,
                                    const plate_peak *peak) {
    return !(pull <= larger(scan->pull_seen, peak->pull)) ||
           !(shear2 <= larger(scan->shear2_seen, peak->shear2));
}

static inline bool matters(const plate_scan *scan, const node_bound *bound,
                           const plate_peak *peak) {
    return !(bound->square < worth(scan, peak)) ||
           tractions_matter(scan, bound->pull, bound->shear2, peak);
}

/* ---- one node -------------------------------------------------------------------------------- */

static inline double along(const double unit[TH_UNITS], const th_wrench *w) {
    return unit[TH_UNIT_FX] * w->fx + unit[TH_UNIT_FY] * w->fy + unit[TH_UNIT_FZ] * w->fz +
           unit[TH_UNIT_MX] * w->mx + unit[TH_UNIT_MY] * w->my + unit[TH_UNIT_MZ] * w->mz;
}

/* Pull and squared shear of one instant. */
static inline void traction_of(const plate_scan *scan, const node_lever *lever, size_t instant,
                               double *pull, double *shear2) {
    const th_wrench *w = &scan->history->wrenches[instant];
    double x = along(lever->unit[0], w), y = along(lever->unit[1], w);

    *pull = bond_pull(along(lever->unit[2], w) + scan->history->standing_lift);
    *shear2 = x * x + y * y;
}

/* Of equal indices the interface nearer the part governs, then the earlier node and instant. */
static inline bool governs(const plate_peak *next, const plate_peak *best) {
    if (next->square == best->square) {
        return next->rival < best->rival ||
               (next->rival == best->rival &&
                (next->node < best->node ||
                 (next->node == best->node && next->instant < best->instant)));
    }
    return bond_exceeds(next->square, best->square);
}

/* Largest squared index of each rival over a run of instants, beside the largest tractions. */
static void survey(const plate_scan *scan, const node_lever *lever, size_t run, plate_peak *tops,
                   plate_peak *peak) {
    size_t first = run * scan->run_length, end = first + scan->run_length;

    for (size_t i = first; i < end && i < scan->history->count; i++) {
        double pull, shear2;

        traction_of(scan, lever, i, &pull, &shear2);
        peak->pull = bond_exceeds(pull, peak->pull) ? pull : peak->pull;
        peak->shear2 = bond_exceeds(shear2, peak->shear2) ? shear2 : peak->shear2;
        for (size_t r = 0; r < scan->field.count; r++) {
            double square = bond_square(&scan->field.items[r], pull, shear2);

            if (bond_exceeds(square, tops[r].square)) {
                tops[r].square = square;
                tops[r].instant = i;
            }
        }
    }
}

static void keep(const plate_peak *next, plate_peak *best) {
    if (governs(next, best)) {
        best->square = next->square;
        best->node = next->node;
        best->instant = next->instant;
        best->rival = next->rival;
    }
}

static void start_tops(const plate_scan *scan, size_t node, plate_peak *tops) {
    for (size_t r = 0; r < scan->field.count; r++) {
        tops[r] = (plate_peak){.square = -1, .node = node, .rival = r};
    }
}

static void look_for_peak(const plate_scan *scan, size_t node, plate_peak *peak) {
    node_lever lever = lever_of(scan, node);
    set_bound coarse, fine;
    plate_peak tops[TH_INTERFACES_MAX];

    start_tops(scan, node, tops);
    bound_set(scan, &lever, &scan->coarse, &coarse);
    for (size_t run = 0; run < LANES; run++) {
        node_bound bound = bound_at(scan, &coarse, run);
        if (!matters(scan, &bound, peak)) {
            continue;
        }
        bound_set(scan, &lever, &scan->fine[FINE * run / LANES], &fine);
        for (size_t k = FINE * run; k < FINE * (run + 1); k++) {
            bound = bound_at(scan, &fine, k % LANES);
            if (matters(scan, &bound, peak)) {
                survey(scan, &lever, k, tops, peak);
            }
        }
        for (size_t r = 0; r < scan->field.count; r++) {
            keep(&tops[r], peak);
        }
    }
}

/* Pulls and squared shears of one node, as many as are held. */
typedef struct {
    double pull[HELD], shear2[HELD];
} node_course;

static void follow(const plate_scan *scan, const node_lever *lever, node_course *course) {
    for (size_t i = 0; i < HELD && i < scan->history->count; i++) {
        traction_of(scan, lever, i, &course->pull[i], &course->shear2[i]);
    }
}

/* Squared (mean of index^(1/n))^n of one rival; the largest square is known. */
static double mean_of(const plate_scan *scan, const node_lever *lever, const node_course *course,
                      size_t rival, double largest) {
    const bond_rival *r = &scan->field.items[rival];
    double sum = 0;

    if (r->exponent <= 0 || !(largest > 0) || isinf(largest)) {
        return largest;
    }
    for (size_t i = 0; i < scan->history->count; i++) {
        double pull, shear2;

        if (i < HELD) {
            pull = course->pull[i];
            shear2 = course->shear2[i];
        } else {
            traction_of(scan, lever, i, &pull, &shear2);
        }
        sum += scan->history->weights[i] *
               bond_raise(&scan->power[rival], bond_square(r, pull, shear2) / largest);
    }
    return largest * pow(fmin(sum, 1), 2 * r->exponent);
}

/* Can the mean of a rival, each run taken at its bound, reach what is worth looking at? */
static bool mean_matters(const plate_scan *scan, const set_bound *bounds, const double *weights,
                         size_t count, size_t rival, double least) {
    const bond_rival *r = &scan->field.items[rival];
    double squares[RUNS], sum = 0, largest = 0;

    for (size_t run = 0; run < count; run++) {
        const set_bound *set = &bounds[run / LANES];

        squares[run] = bond_square(r, set->pull[run % LANES], set->shear2[run % LANES]);
        largest = bond_exceeds(squares[run], largest) ? squares[run] : largest;
    }
    if (largest < least || !(r->exponent > 0 && least > 0)) {
        return !(largest < least); /* no mean exceeds the largest */
    }
    for (size_t run = 0; run < count; run++) {
        sum += weights[run] * bond_raise(&scan->power[rival], squares[run] / least);
    }
    return !(sum * (1 + 1e-9) < 1);
}

/* The whole history of one node, for the rivals whose mean may matter. */
static void look_at_means(const plate_scan *scan, size_t node, const bool *means,
                          plate_peak *peak) {
    node_lever lever = lever_of(scan, node);
    plate_peak tops[TH_INTERFACES_MAX];
    node_course course;

    start_tops(scan, node, tops);
    follow(scan, &lever, &course);
    for (size_t run = 0; run < RUNS; run++) {
        survey(scan, &lever, run, tops, peak);
    }
    for (size_t r = 0; r < scan->field.count; r++) {
        if (means[r] && !(tops[r].square < worth(scan, peak))) {
            tops[r].square = mean_of(scan, &lever, &course, r, tops[r].square);
            keep(&tops[r], peak);
        }
    }
}

static void look_for_mean(const plate_scan *scan, size_t node, plate_peak *peak) {
    node_lever lever = lever_of(scan, node);
    set_bound coarse, fine[SETS];
    plate_peak tops[TH_INTERFACES_MAX];
    bool any = false, tractions = false, means[TH_INTERFACES_MAX];
    double least = worth(scan, peak);

    bound_set(scan, &lever, &scan->coarse, &coarse);
    for (size_t r = 0; r < scan->field.count; r++) {
        means[r] = mean_matters(scan, &coarse, scan->coarse_weight, LANES, r, least);
        any = any || means[r];
    }
    for (size_t run = 0; run < LANES; run++) {
        tractions = tractions || tractions_matter(scan, coarse.pull[run], coarse.shear2[run], peak);
    }
    if (!any && !tractions) {
        return;
    }
    for (size_t set = 0; set < SETS; set++) {
        bound_set(scan, &lever, &scan->fine[set], &fine[set]);
    }
    any = false;
    for (size_t r = 0; r < scan->field.count; r++) {
        means[r] = means[r] && mean_matters(scan, fine, scan->fine_weight, RUNS, r, least);
        any = any || means[r];
    }
    if (any) {
        look_at_means(scan, node, means, peak);
        return;
    }
    start_tops(scan, node, tops);
    for (size_t run = 0; run < RUNS; run++) {
        const set_bound *set = &fine[run / LANES];
        if (tractions_matter(scan, set->pull[run % LANES], set->shear2[run % LANES], peak)) {
            survey(scan, &lever, run, tops, peak);
        }
    }
}

static void look_at(const plate_scan *scan, size_t node, plate_peak *peak) {
    if (scan->sustained) {
        look_for_mean(scan, node, peak);
    } else {
        look_for_peak(scan, node, peak);
    }
}

/* ---- all nodes ------------------------------------------------------------------------------- */

static void widen(node_group *group, const node_bound *bound, size_t node) {
    node_bound *most = &group->bound;

    if (bond_exceeds(bound->square, most->square)) {
        most->square = bound->square;
        group->worst = node;
    }
    most->pull = bond_exceeds(bound->pull, most->pull) ? bound->pull : most->pull;
    most->shear2 = bond_exceeds(bound->shear2, most->shear2) ? bound->shear2 : most->shear2;
}

/* `kept`: of all nodes, where there are few; else NULL. */
static node_group group_of(const plate_scan *scan, size_t first, size_t end, node_bound *kept) {
    node_group group = {{-1, -1, -1}, first, end, first};
    node_bound room[CHUNK] = {{0, 0, 0}};

    for (size_t n = first; n < end; n += CHUNK) {
        size_t count = end - n < CHUNK ? end - n : CHUNK;
        node_bound *bounds = kept ? kept + n : room;

        bound_chunk(scan, n, count, bounds);
        for (size_t k = 0; k < count; k++) {
            widen(&group, &bounds[k], n + k);
        }
    }
    return group;
}

/* Start where the index may be largest, so that the rest is measured against much. */
static void look_at_worst(const plate_scan *scan, const node_group *groups, size_t count,
                          plate_peak *peak) {
    double below = INFINITY;

    for (int seed = 0; seed < SEEDS; seed++) {
        const node_group *next = NULL;

        for (size_t g = 0; g < count; g++) {
            if (groups[g].bound.square < below &&
                (!next || groups[g].bound.square > next->bound.square)) {
                next = &groups[g];
            }
        }
        if (!next || !matters(scan, &next->bound, peak)) {
            return;
        }
        below = next->bound.square;
        look_at(scan, next->worst, peak);
    }
}

static void look_at_group(const plate_scan *scan, const node_group *group, const node_bound *kept,
                          plate_peak *peak) {
    node_bound room[CHUNK];

    for (size_t n = group->first; n < group->end; n += CHUNK) {
        size_t count = group->end - n < CHUNK ? group->end - n : CHUNK;
        const node_bound *bounds = kept ? kept + n : room;

        if (!kept) {
            bound_chunk(scan, n, count, room);
        }
        for (size_t k = 0; k < count; k++) {
            if (matters(scan, &bounds[k], peak)) {
                look_at(scan, n + k, peak);
            }
        }
    }
}

static void look_everywhere(const plate_scan *scan, plate_peak *peak) {
    size_t nodes = scan->influence->nodes->count, count = 0;
    size_t size = CHUNK * (nodes / ((size_t)CHUNK * GROUPS) + 1);
    node_group groups[GROUPS];
    node_bound room[KEPT], *kept = nodes <= KEPT ? room : NULL;

    for (size_t first = 0; first < nodes; first += size) {
        size_t end = first + size < nodes ? first + size : nodes;
        groups[count++] = group_of(scan, first, end, kept);
    }
    look_at_worst(scan, groups, count, peak);
    for (size_t g = 0; g < count; g++) {
        if (matters(scan, &groups[g].bound, peak)) {
            look_at_group(scan, &groups[g], kept, peak);
        }
    }
}

/* ---- outcome --------------------------------------------------------------------------------- */

/* Turning is what a rigid part would do about the centroid of its bonded area; the rest of the
 * shear, however local, is the force's own. */
static void split_shear(const plate_scan *scan, const plate_peak *peak, const double shear[2],
                        th_traction *t) {
    const th_plate_nodes *nodes = scan->influence->nodes;
    const th_plate_spot *spot = &scan->influence->place;
    const th_wrench *w = &scan->history->wrenches[peak->instant];
    double area = 0, cx = 0, cy = 0, polar = 0, torque, x, y;

    for (size_t n = 0; n < nodes->count; n++) {
        area += nodes->area[n];
        cx += nodes->area[n] * nodes->x[n];
        cy += nodes->area[n] * nodes->y[n];
    }
    cx /= area;
    cy /= area;
    for (size_t n = 0; n < nodes->count; n++) {
        double dx = nodes->x[n] - cx, dy = nodes->y[n] - cy;

        polar += nodes->area[n] * (dx * dx + dy * dy);
    }
    torque = w->mz + (spot->x - cx) * w->fy - (spot->y - cy) * w->fx;
    x = -torque * (nodes->y[peak->node] - cy) / polar;
    y = torque * (nodes->x[peak->node] - cx) / polar;
    t->turn = hypot(x, y);
    t->direct = hypot(shear[0] - x, shear[1] - y);
}

static th_grip conclude(const plate_scan *scan, const plate_peak *peak, const th_stack *stack) {
    const th_plate_nodes *nodes = scan->influence->nodes;
    th_grip grip = {.index = peak->square <= 0 ? 0 : sqrt(peak->square),
                    .way = TH_SLIDE,
                    .shear_peak = sqrt(peak->shear2),
                    .lift_peak = peak->pull};

    if (!(peak->square < 0)) {
        grip.interface = scan->field.items[peak->rival].number;
        grip.instant = peak->instant;
        grip.at = (th_point){nodes->x[peak->node], nodes->y[peak->node]};
    }
    if (peak->square > 0) {
        const th_wrench *w = &scan->history->wrenches[peak->instant];
        node_lever lever = lever_of(scan, peak->node);
        double shear[2] = {along(lever.unit[0], w), along(lever.unit[1], w)};
        th_traction t = {.lift = along(lever.unit[2], w) + scan->history->standing_lift,
                         .shear = hypot(shear[0], shear[1])};

        split_shear(scan, peak, shear, &t);
        grip.way = th_bond_way_of(&stack->interfaces[grip.interface], &t);
    }
    return grip;
}

/* Share of what an anchor bears that its spring takes at one instant. */
static double anchor_share(const th_plate_influence *influence, const th_plate_anchor *anchor,
                           size_t number, const th_wrench *w) {
    double force[AXES] = {0, 0, 0};

    for (int u = 0; u < TH_UNITS; u++) {
        for (int a = 0; a < AXES; a++) {
            force[a] += influence->anchor[u][AXES * number + (size_t)a] * component(w, u);
        }
    }
    return hypot(anchor->k[0] * force[0], anchor->k[1] * force[1]) / anchor->bears +
           anchor->k[2] * fabs(force[2]) / anchor->bears_lift;
}

static double largest_share(const th_plate_influence *influence, const th_plate_ask *ask) {
    double largest = 0;

    for (size_t a = 0; influence->anchor[0] && a < ask->anchor_count; a++) {
        for (size_t i = 0; i < ask->history->count; i++) {
            double share = anchor_share(influence, &ask->anchors[a], a, &ask->history->wrenches[i]);

            largest = bond_exceeds(share, largest) ? share : largest;
        }
    }
    return largest;
}

th_plate_grip th_grip_plate(const th_plate_influence *influence, const th_plate_ask *ask) {
    plate_scan scan = scan_of(influence, ask);
    plate_peak peak = {.square = -1};
    th_plate_grip result;

    look_everywhere(&scan, &peak);
    result.grip = conclude(&scan, &peak, ask->stack);
    result.anchor_index = largest_share(influence, ask);
    return result;
}

void th_grip_plate_field(const th_plate_influence *influence, const th_plate_ask *ask,
                         double *index) {
    th_plate_ask all = *ask;
    plate_scan scan;

    all.enough = 0;
    scan = scan_of(influence, &all);
    for (size_t n = 0; n < influence->nodes->count; n++) {
        plate_peak peak = {.square = -1};

        look_at(&scan, n, &peak);
        index[n] = peak.square <= 0 ? 0 : sqrt(peak.square);
    }
}
