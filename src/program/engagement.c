/* engagement.c - entry and exit angles by height, out of the samples that a step took. */
#include "engagement.h"

#include <math.h>
#include <string.h>

enum { BINS = 48, LEVELS = 8, CURVED = 8, AVERAGED = 8, EDGES = TH_STEP_ZONES + 1 };
enum { FIXED = 12, ABOVE = 6 }; /* fixed heights over a corner, and over as much above */

#define FINENESS 0.005     /* to which widths and heights are rounded (-) */
#define SAME_LEVEL 0.004   /* share of the height within which two heights are one */
#define LEAST_LEVEL 0.02   /* share of the samples that makes a height count */
#define LEAST_SLICE 0.03   /* of the height */
#define LEAST_DENSITY 0.06 /* of a bin that is in the cut */
#define FULL_SLOT 0.97     /* share of the width that counts as all of it */
#define LEAST_OFF 1e-9     /* radii from the edge of a disc that are off it */
#define SLIGHT 0.03        /* share of what a step takes that a slice may have or not */
#define MOVED 0.35         /* cells by which a mean has moved away */

typedef struct {
    double edges[EDGES]; /* heights between slices, rising (mm) */
    int slices;
    double taken[TH_STEP_ZONES][BINS]; /* height taken, all samples added (mm) */
} slice_table;

/* ---- slices ------------------------------------------------------------------------------------
 */

typedef struct {
    double height[LEVELS];
    size_t count[LEVELS];
    int levels;
    bool many; /* more than LEVELS */
} level_list;

static void put_level(level_list *list, double height, double same) {
    for (int i = 0; i < list->levels; i++) {
        if (fabs(list->height[i] - height) <= same) {
            list->count[i]++;
            return;
        }
    }
    if (list->levels == LEVELS) {
        list->many = true;
        return;
    }
    list->height[list->levels] = height;
    list->count[list->levels++] = 1;
}

static void put_edge(slice_table *table, double height, double least) {
    int i = table->slices + 1;

    for (int k = 0; k <= table->slices; k++) {
        if (fabs(table->edges[k] - height) < least) {
            return;
        }
    }
    if (i == EDGES) {
        return;
    }
    for (; i > 0 && table->edges[i - 1] > height; i--) {
        table->edges[i] = table->edges[i - 1];
    }
    table->edges[i] = height;
    table->slices++;
}

/* The heights at which the stock ends, within the step. */
static level_list levels_of(const taken *from, double span) {
    level_list list = {.levels = 0};

    for (size_t k = 0; k < from->count && !list.many; k++) {
        put_level(&list, (double)from->items[k].high, SAME_LEVEL * span);
    }
    return list;
}

static void cut_at_levels(const level_list *list, const taken *from, double low, double high,
                          slice_table *table) {
    double span = high - low;

    for (int i = 0; i < list->levels && !list->many; i++) {
        if ((double)list->count[i] > LEAST_LEVEL * (double)from->count) {
            put_edge(table, list->height[i], LEAST_SLICE * span);
        }
    }
    for (int i = 1; i < LEVELS && list->many; i++) {
        put_edge(table, low + span * i / LEVELS, 0);
    }
}

/* Equal angles of a corner's circle, equal heights of a cone. */
static void cut_the_curve(const tool_shape *shape, double low, double high, slice_table *table) {
    double top = fmin(high, shape->rise), c = shape->corner;
    double first = c > 0 ? acos(fmax(1 - low / c, 0)) : low;
    double last = c > 0 ? acos(fmax(1 - top / c, 0)) : top;

    for (int i = 1; i <= CURVED && top > low; i++) {
        double at = first + (last - first) * i / CURVED;
        put_edge(table, c > 0 ? c * (1 - cos(at)) : at, LEAST_SLICE * (high - low));
    }
}

/* The i-th of heights that are the same at every step: by equal angles of a corner's circle, from
 * its top on evenly. */
static double fixed_height(const tool_shape *shape, int i) {
    return i < FIXED ? shape->corner * (1 - cos(TH_PI / 2 * i / FIXED))
                     : shape->rise * (1 + (double)(i - FIXED) / ABOVE);
}

/* Whether so much ends at the height that it is a face, and not what is left of a wall. */
static bool is_face(const taken *from, double height, double same) {
    size_t count = 0;

    for (size_t k = 0; k < from->count; k++) {
        count += fabs((double)from->items[k].high - height) <= same;
    }
    return (double)count > LEAST_LEVEL * (double)from->count;
}

/* In the round that a round end left before, the stock ends at all heights, and how high the
 * highest of it is goes by where the map's samples lie: unless it is a face, the last slice ends at
 * a fixed height too. */
static void cut_at_fixed(const tool_shape *shape, double low, double high, bool face,
                         slice_table *table) {
    double least = LEAST_SLICE * shape->rise;
    int i = 1;

    while (fixed_height(shape, i) <= low + least) {
        i++;
    }
    while (table->slices < TH_STEP_ZONES - 1 && fixed_height(shape, i) < high - least) {
        table->edges[++table->slices] = fixed_height(shape, i++);
    }
    table->edges[++table->slices] = face ? high : fmax(fixed_height(shape, i), high);
}

static bool lay_slices(const engaged_step *step, const taken *from, slice_table *table) {
    const tool_shape *shape = step->shape;
    double low = INFINITY, high = 0;

    for (size_t k = 0; k < from->count; k++) {
        low = fmin(low, (double)from->items[k].low);
        high = fmax(high, (double)from->items[k].high);
    }
    if (!(high > low)) {
        return false;
    }
    memset(table, 0, sizeof *table);
    table->edges[0] = low;
    level_list list = levels_of(from, high - low);
    if (list.many && shape->corner > 0 && low < shape->rise) {
        cut_at_fixed(shape, low, high, is_face(from, high, SAME_LEVEL * (high - low)), table);
        return true;
    }
    put_edge(table, high, 0);
    cut_at_levels(&list, from, low, high, table);
    cut_the_curve(shape, low, high, table);
    return table->slices > 0;
}

/* ---- what each slice took -----------------------------------------------------------------------
 */

static int bin_of(double across, double radius) {
    double at = floor((across / radius + 1) * 0.5 * BINS);

    return (int)fmin(fmax(at, 0), BINS - 1);
}

static void fill_slices(const tool_shape *shape, const taken *from, slice_table *table) {
    for (size_t k = 0; k < from->count; k++) {
        const taken_sample *sample = &from->items[k];
        double low = (double)sample->low, high = (double)sample->high;
        int bin = bin_of((double)sample->across, shape->radius);
        for (int s = 0; s < table->slices && table->edges[s] < high; s++) {
            double share = fmin(high, table->edges[s + 1]) - fmax(low, table->edges[s]);
            table->taken[s][bin] += fmax(share, 0);
        }
    }
}

/* ---- arcs
 * ---------------------------------------------------------------------------------------- */

/* Neighbouring bins of a slice that are in the cut. */
typedef struct {
    double area;      /* taken per way: a width (mm) */
    double middle;    /* of it, + left (mm) */
    double low, high; /* of the bins (mm) */
} bin_run;

/* Rounding must not part an edge of the cutter from itself. */
static double angle_of(double across) {
    return across > 1 - LEAST_OFF ? 0 : across < LEAST_OFF - 1 ? TH_PI : acos(across);
}

/* The run as an arc of a disc of that radius: where it reaches the edge of the cutter it is an edge
 * of the arc, elsewhere area and middle place it. */
static th_arc arc_of_run(const bin_run *run, double radius, double bin) {
    double wide = fmin(run->area, 2 * radius), high = run->middle + 0.5 * wide;
    bool left = run->high > radius - 0.5 * bin, right = run->low < 0.5 * bin - radius;

    if (left && right && wide >= FULL_SLOT * 2 * radius) {
        wide = 2 * radius;
        high = radius;
    } else if (left && !right) {
        high = radius;
    } else if (right && !left) {
        high = wide - radius;
    }
    high = fmin(fmax(high, wide - radius), radius);
    return (th_arc){angle_of(high / radius), angle_of((high - wide) / radius)};
}

static void put_arc(th_zone *zone, const bin_run *run, double radius, double bin, double widths[]) {
    int i = zone->arc_count;

    if (i == TH_ZONE_ARCS) { /* the narrowest gives way */
        i = 0;
        for (int k = 1; k < TH_ZONE_ARCS; k++) {
            i = widths[k] < widths[i] ? k : i;
        }
        if (widths[i] >= run->area) {
            return;
        }
    } else {
        zone->arc_count++;
    }
    zone->arcs[i] = arc_of_run(run, radius, bin);
    widths[i] = run->area;
}

static void sort_arcs(th_zone *zone) {
    for (int i = 1; i < zone->arc_count; i++) {
        th_arc arc = zone->arcs[i];
        int k = i;
        for (; k > 0 && zone->arcs[k - 1].entry > arc.entry; k--) {
            zone->arcs[k] = zone->arcs[k - 1];
        }
        zone->arcs[k] = arc;
    }
}

static void find_arcs(const engaged_step *step, const slice_table *table, int slice,
                      th_zone *zone) {
    double bin = 2 * step->shape->radius / BINS, widths[TH_ZONE_ARCS] = {0};
    double radius = tool_radius(step->shape, 0.5 * (zone->low + zone->high));
    double per = step->cell * step->cell / ((zone->high - zone->low) * step->across);
    double least = 2 * step->cell * step->cell / step->across;

    for (int b = BINS - 1; b >= 0; b--) { /* from the left, as angles rise */
        bin_run run = {.high = (b + 1) * bin - step->shape->radius};
        for (; b >= 0 && per * table->taken[slice][b] >= LEAST_DENSITY * bin; b--) {
            double area = per * table->taken[slice][b];
            run.area += area;
            run.middle += area * ((b + 0.5) * bin - step->shape->radius);
            run.low = b * bin - step->shape->radius;
        }
        if (run.area > least) {
            run.middle /= run.area;
            put_arc(zone, &run, radius, bin, widths);
        }
    }
    sort_arcs(zone);
}

/* Width that the arcs of a zone take of a disc (mm). */
static double width_of(const tool_shape *shape, const th_zone *zone) {
    double wide = 0;

    for (int i = 0; i < zone->arc_count; i++) {
        wide += cos(zone->arcs[i].entry) - cos(zone->arcs[i].exit);
    }
    return wide * tool_radius(shape, 0.5 * (zone->low + zone->high));
}

/* ---- like the steps before ----------------------------------------------------------------------
 */

/* Whether two ends of arcs of a unit disc are the same but for the counting. */
static bool near_angle(double a, double b, double tolerance) {
    bool end_a = a <= 0 || a >= TH_PI, end_b = b <= 0 || b >= TH_PI;

    return end_a == end_b && fabs(cos(a) - cos(b)) <= tolerance;
}

/* A cell of the map in the unit disc of a slice: near the tip of a round end it is more of one. */
static double cell_at(const engaged_step *step, const th_zone *zone) {
    return step->cell / fmax(tool_radius(step->shape, 0.5 * (zone->low + zone->high)), step->cell);
}

/* The longer the front of the cut, the more is lost and won in counting. */
static bool same_zone(const th_zone *a, const th_zone *b, double level, double cell) {
    bool same = a->arc_count == b->arc_count &&
                fabs(a->low - b->low) + fabs(a->high - b->high) <= SAME_LEVEL * level;

    for (int k = 0; k < a->arc_count && same; k++) {
        const th_arc *p = &a->arcs[k], *q = &b->arcs[k];
        double tolerance = cell * (1 + 1.3 * (cos(p->entry) - cos(p->exit)));
        same = near_angle(p->entry, q->entry, tolerance) && near_angle(p->exit, q->exit, tolerance);
    }
    return same;
}

static double taken_by(const engaged_step *step, const th_zone *zone) {
    return width_of(step->shape, zone) * (zone->high - zone->low);
}

static double taken_in_all(const engaged_step *step, const th_engagement *engagement) {
    double sum = 0;

    for (int i = 0; i < engagement->zone_count; i++) {
        sum += taken_by(step, &engagement->zones[i]);
    }
    return sum;
}

/* At the top of the round that a round end left before a few samples are in one step and not in the
 * next. */
static bool slight(const engaged_step *step, const th_zone *a, const th_zone *b, double all) {
    return step->shape->corner > 0 && fmax(taken_by(step, a), taken_by(step, b)) < SLIGHT * all;
}

static bool alike(const engaged_step *step, const th_engagement *a, const th_engagement *b) {
    bool same = a->zone_count == b->zone_count;
    double top = a->zone_count ? a->zones[a->zone_count - 1].high : 0;
    double all = taken_in_all(step, b);

    for (int i = 0; i < a->zone_count && same; i++) {
        const th_zone *zone = &a->zones[i];
        same = same_zone(zone, &b->zones[i], zone->low < step->shape->rise ? top : zone->high,
                         cell_at(step, zone)) ||
               slight(step, zone, &b->zones[i], all);
    }
    return same;
}

static double blend(double mean, double fresh, int steps) {
    double at = cos(mean) + (cos(fresh) - cos(mean)) / steps;

    return mean == fresh ? fresh : acos(fmin(fmax(at, -1), 1));
}

/* Over a round end there are so many slices that one of them is rounded to another value at every
 * step. Once a mean has settled it is told until an end of an arc has moved away, so that steps
 * which engage alike have the same engagement. */
static void hold_still(const engaged_step *step, engagement_memory *memory,
                       th_engagement *engagement) {
    bool still = memory->settled;
    double all = taken_in_all(step, engagement);

    for (int i = 0; i < memory->mean.zone_count && still; i++) {
        const th_zone *told = &memory->told.zones[i], *mean = &memory->mean.zones[i];
        double cell = cell_at(step, mean);
        if (slight(step, told, mean, all)) {
            continue;
        }
        still = told->arc_count == mean->arc_count;
        for (int k = 0; k < mean->arc_count && still; k++) {
            still = near_angle(told->arcs[k].entry, mean->arcs[k].entry, MOVED * cell) &&
                    near_angle(told->arcs[k].exit, mean->arcs[k].exit, MOVED * cell);
        }
    }
    if (!still) {
        memory->told = *engagement;
        memory->settled = memory->steps == AVERAGED;
    }
    memcpy(engagement->zones, memory->told.zones, sizeof engagement->zones);
}

static void average(const engaged_step *step, engagement_memory *memory,
                    th_engagement *engagement) {
    if (!memory->steps || !alike(step, &memory->mean, engagement)) {
        *memory = (engagement_memory){.mean = *engagement, .steps = 1};
        return;
    }
    memory->steps = memory->steps < AVERAGED ? memory->steps + 1 : AVERAGED;
    for (int i = 0; i < engagement->zone_count; i++) {
        th_zone *mean = &memory->mean.zones[i], *zone = &engagement->zones[i];
        if (mean->arc_count != zone->arc_count) {
            *mean = *zone;
            continue;
        }
        for (int k = 0; k < zone->arc_count; k++) {
            mean->arcs[k].entry = blend(mean->arcs[k].entry, zone->arcs[k].entry, memory->steps);
            mean->arcs[k].exit = blend(mean->arcs[k].exit, zone->arcs[k].exit, memory->steps);
        }
        memcpy(zone->arcs, mean->arcs, sizeof zone->arcs);
    }
    if (step->shape->corner > 0) {
        hold_still(step, memory, engagement);
    }
}

/* ---- the whole
 * ------------------------------------------------------------------------------------ */

static double rounded(double x) {
    return x > 0 ? exp(rint(log(x) / FINENESS) * FINENESS) : 0;
}

static th_arc rounded_arc(double entry, double exit) {
    double wide = rounded(exit - entry), grain = 2 * FINENESS * wide;
    double middle = rint(0.5 * (entry + exit) / grain) * grain;

    if (entry <= 0) {
        return (th_arc){0, exit >= TH_PI ? TH_PI : fmin(rounded(exit), TH_PI)};
    }
    if (exit >= TH_PI) {
        return (th_arc){fmax(TH_PI - rounded(TH_PI - entry), 0), TH_PI};
    }
    return (th_arc){fmax(middle - 0.5 * wide, 0), fmin(middle + 0.5 * wide, TH_PI)};
}

static void round_arcs(th_zone *zone) {
    double before = 0; /* roundings must not make them overlap */

    for (int i = 0; i < zone->arc_count; i++) {
        th_arc arc = rounded_arc(zone->arcs[i].entry, zone->arcs[i].exit);
        zone->arcs[i].entry = fmax(arc.entry, before);
        zone->arcs[i].exit = before = fmax(arc.exit, zone->arcs[i].entry);
    }
}

static bool same_arcs(const th_zone *a, const th_zone *b) {
    bool same = a->arc_count == b->arc_count;

    for (int i = 0; i < a->arc_count && same; i++) {
        same = a->arcs[i].entry == b->arcs[i].entry && a->arcs[i].exit == b->arcs[i].exit;
    }
    return same;
}

/* Zones that touch and agree are one. */
static void put_zone(th_engagement *engagement, const th_zone *zone) {
    th_zone *last = engagement->zone_count ? &engagement->zones[engagement->zone_count - 1] : NULL;

    if (last && last->high == zone->low && same_arcs(last, zone)) {
        last->high = zone->high;
    } else {
        engagement->zones[engagement->zone_count++] = *zone;
    }
}

static void round_heights(th_engagement *engagement) {
    double before = 0, now = 0; /* the same height, as it was and rounded */

    for (int i = 0; i < engagement->zone_count; i++) {
        th_zone *zone = &engagement->zones[i];
        double low = now + rounded(zone->low - before);
        double high = low + rounded(zone->high - zone->low);
        before = zone->high;
        zone->low = low;
        zone->high = now = high;
    }
    engagement->height = now;
}

static void mix(unsigned long long *key, double value) {
    unsigned long long bits;

    memcpy(&bits, &value, sizeof bits);
    *key = (*key ^ bits) * 1099511628211ULL;
    *key ^= *key >> 29;
}

static unsigned long long key_of(const th_engagement *engagement) {
    unsigned long long key = 14695981039346656037ULL;

    for (int i = 0; i < engagement->zone_count; i++) {
        const th_zone *zone = &engagement->zones[i];
        mix(&key, zone->low);
        mix(&key, zone->high);
        for (int k = 0; k < zone->arc_count; k++) {
            mix(&key, zone->arcs[k].entry);
            mix(&key, zone->arcs[k].exit);
        }
    }
    mix(&key, engagement->end_area);
    return key;
}

static void find_zones(const engaged_step *step, const slice_table *table,
                       th_engagement *engagement) {
    for (int s = 0; s < table->slices; s++) {
        th_zone zone = {.low = table->edges[s], .high = table->edges[s + 1]};
        find_arcs(step, table, s, &zone);
        if (zone.arc_count) {
            engagement->zones[engagement->zone_count++] = zone;
        }
    }
}

static void round_zones(const tool_shape *shape, th_engagement *engagement) {
    int count = engagement->zone_count;

    engagement->zone_count = 0;
    for (int i = 0; i < count; i++) {
        th_zone zone = engagement->zones[i];
        engagement->radial = fmax(engagement->radial, width_of(shape, &zone));
        round_arcs(&zone);
        put_zone(engagement, &zone);
    }
    round_heights(engagement);
}

void engagement_find(const engaged_step *step, const taken *from, engagement_memory *memory,
                     th_engagement *engagement) {
    slice_table table;

    memset(engagement, 0, sizeof *engagement);
    if (step->across > 0 && from->count && lay_slices(step, from, &table)) {
        fill_slices(step->shape, from, &table);
        find_zones(step, &table, engagement);
    }
    average(step, memory, engagement);
    round_zones(step->shape, engagement);
    if (step->down > 0) {
        /* What lies in front of the end as it sinks is not under it all the while. */
        double disc = TH_PI * step->shape->radius * step->shape->radius;
        engagement->end_area = rounded(fmin(from->end / step->down, disc));
    }
    engagement->key = key_of(engagement);
}
