/* limits_fastest.c - the pair of engagements that cuts what the job asks for in the least time. */
#include <math.h>
#include <stdlib.h>

#include "limits.h"

enum { CANDIDATES_MOST = 64, NARROWING = 5, FINER = 3, MORE_LEVELS = 3, MILDER = 3 };

/* A step back where levels do not count. */
#define LITTLE_LESS 0.94

typedef struct {
    const th_bounded *b;
    double most; /* no axial engagement beyond this: a pocket's first strip (mm; NAN: any) */
    th_limit_point items[CANDIDATES_MOST];
    size_t count;
} th_candidates;

double th_limit_depth(const th_bounded *b) {
    const th_cut *cut = b->cut;

    if (cut->operation == TH_OUTLINE) { /* the last pass takes its own, or is a level as any */
        double last = th_entry_of(b->job, cut->section, "last_axial") ? cut->last_axial : 0;
        return fmax(fmin(cut->depth, b->job->part.thickness) - last, 0);
    }
    return cut->depth;
}

/* A multiple of what can be typed in the job's unit, no larger (or no smaller) than the value. */
static double on_grid(double value, double step, bool up) {
    double n = value / step, whole = nearbyint(n);

    if (fabs(n - whole) > 1e-6) {
        whole = up ? ceil(n) : floor(n);
    }
    return nearbyint(whole * step * 1e9) / 1e9;
}

static double typed_step(const th_bounded *b) {
    return b->job->head.units == TH_INCH ? 25.4e-4 : 1e-3;
}

/* As few decimals as leave something between `least` and `most`, at most one more than six digits'
 * worth: the largest such value. `step`: what it is a multiple of. */
static double typed_below(const th_bounded *b, double most, double least, double *step) {
    *step = typed_step(b);
    for (int i = 0; i < FINER; i++, *step /= 10) {
        double value = on_grid(most, *step, false);
        if (value > 0 && value >= least * (1 - 1e-9)) {
            return value;
        }
    }
    return th_six_digits(most, false);
}

/* The least axial engagement with so many levels more than `most` needs: as fast, a milder cut. */
static double even_levels(const th_bounded *b, double most, double least, double more) {
    double step, roof = typed_below(b, most, least, &step), depth = th_limit_depth(b);
    double levels = fmax(1, ceil(depth / roof - 1e-9)) + more;
    double even = on_grid(depth / levels, step, true);

    return b->slow || !(depth > 0) || even > roof || even < least ? roof : even;
}

static bool free_radial(const th_cut *cut) {
    return cut->operation == TH_POCKET || cut->operation == TH_FACING;
}

static bool own_radial(const th_cut *cut, double radial) {
    return fabs(radial - cut->radial) <= 1e-5 * cut->radial;
}

/* Strips as wide as the cutter leave slivers between them where it runs out or bends. */
static bool strips_part(const th_cut *cut, double radial) {
    return free_radial(cut) && radial > TH_STRIPS_MEET * cut->cutter->row.diameter * (1 + 1e-9) &&
           !own_radial(cut, radial);
}

static bool offer(th_candidates *list, double radial, double axial, double hold_factor) {
    th_engaged at = {radial, axial, true};
    th_look seen;

    if (list->count == CANDIDATES_MOST || axial > list->most * (1 + 1e-9) ||
        strips_part(list->b->cut, radial)) {
        return true;
    }
    if (!th_look_at(list->b, at, TH_LOOK_CUTTER, &seen)) {
        return false;
    }
    if (seen.ratio >= 1) {
        th_limit_point *fresh = &list->items[list->count++];
        *fresh = (th_limit_point){.radial = radial,
                                  .axial = axial,
                                  .least = axial,
                                  .hold_factor = hold_factor,
                                  .passes = seen.passes,
                                  .minutes = seen.minutes};
    }
    return true;
}

/* The widest radial engagement between two points at which `axial` holds. */
static bool widest(const th_bounded *b, const th_limit_point *narrow, const th_limit_point *wide,
                   double axial, double *radial) {
    double low = narrow->radial, high = wide->radial;
    double share =
        wide->axial > 0 ? log(narrow->axial / axial) / log(narrow->axial / wide->axial) : 0.5;
    double guess = low * pow(high / low, 0.98 * share);

    for (int i = 0; i < NARROWING && high > low * 1.01; i++) {
        th_look seen;
        double at = th_six_digits(fmin(fmax(guess, low), high), false);
        if (!th_look_at(b, (th_engaged){at, axial, true}, TH_LOOK_WHOLE, &seen)) {
            return false;
        }
        low = seen.ratio >= 1 ? at : low;
        high = seen.ratio >= 1 ? high : at;
        guess = seen.ratio >= 1 && i < 2 ? fmin(at * 1.02, sqrt(at * high)) : sqrt(low * high);
    }
    *radial = low;
    return true;
}

/* The pair with this many levels. */
static bool offer_levels(const th_limit_cut *found, double levels, th_candidates *list) {
    double axial = on_grid(th_limit_depth(list->b) / levels, typed_step(list->b), true), radial,
           step;
    size_t i = 0;

    while (i + 1 < found->point_count &&
           !(found->points[i].axial >= axial && found->points[i].least <= axial &&
             found->points[i + 1].axial < axial)) {
        i++;
    }
    return i + 1 >= found->point_count ||
           (widest(list->b, &found->points[i], &found->points[i + 1], axial, &radial) &&
            offer(list, typed_below(list->b, radial, 0, &step), axial, 0));
}

/* Times that differ in their last digits alone come out the same, and so for any three of them. */
static double same_time(double minutes) {
    return nearbyint(log(minutes) * 1e8);
}

int th_limit_by_minutes(const void *a, const void *b) {
    const th_limit_point *p = a, *q = b;
    double a_time = same_time(p->minutes), b_time = same_time(q->minutes);

    if (a_time < b_time || a_time > b_time) {
        return a_time < b_time ? -1 : 1;
    }
    return (p->axial * p->radial > q->axial * q->radial) -
           (p->axial * p->radial < q->axial * q->radial);
}

/* Where the depth follows the axial engagement: the points again, with the job's own depth kept. */
static bool keep_depth(th_bounded *b, th_limit_cut *found) {
    size_t count = found->point_count;
    th_limit_point *points = th_arena_take(b->arena, count * sizeof *points);

    if (!points) {
        return th_fail_memory(b->err);
    }
    b->keep_depth = true;
    b->most = fmin(b->most, th_six_digits(b->cut->depth, false));
    for (size_t i = 0; i < count; i++) {
        th_guess guess = {fmin(found->points[i].axial, b->most), 1, 0};
        points[i] = found->points[i];
        if (points[i].axial > 0 && (free_radial(b->cut) || own_radial(b->cut, points[i].radial)) &&
            !th_limit_axial(b, &guess, &points[i])) {
            return false;
        }
    }
    found->points = points;
    return true;
}

/* As deep as the point allows, and some levels more for when that does not hold as rounded. */
static bool offer_point(const th_limit_point *p, double most, th_candidates *list) {
    const th_bounded *b = list->b;
    const th_cut *cut = b->cut;
    bool drawn = cut->operation == TH_ENGRAVE || cut->operation == TH_CHAMFERING;
    double step,
        radial = own_radial(cut, p->radial) ? p->radial : typed_below(b, p->radial, 0, &step);

    if (drawn) {
        return offer(list, radial, most, p->hold_factor);
    }
    for (int more = 0; more < (free_radial(cut) ? 1 : MORE_LEVELS); more++) {
        if (!offer(list, radial, even_levels(b, most, p->least, more), p->hold_factor)) {
            return false;
        }
    }
    return true;
}

/* The job as it is, where it holds. */
static bool offer_own(const th_limit_cut *found, th_candidates *list) {
    return !found->lap_holds || offer(list, th_limit_own_radial(found), found->cut->axial, 0);
}

static bool offer_points(const th_limit_cut *found, th_candidates *list) {
    const th_bounded *b = list->b;
    const th_cut *cut = b->cut;
    bool drawn = cut->operation == TH_ENGRAVE || cut->operation == TH_CHAMFERING;

    for (size_t i = 0; i < found->point_count; i++) {
        const th_limit_point *p = &found->points[i];
        double most = drawn ? cut->axial : fmin(p->axial, list->most); /* NAN is no bound */
        if (!(p->axial > 0) || most > p->axial || most < p->least ||
            !(free_radial(cut) || found->first_lap || own_radial(cut, p->radial))) {
            continue;
        }
        if (!offer_point(p, most, list)) {
            return false;
        }
    }
    if (!offer_own(found, list)) {
        return false;
    }
    if (free_radial(cut) && list->count > 0) {
        double levels;
        qsort(list->items, list->count, sizeof *list->items, th_limit_by_minutes);
        levels = fmax(1, ceil(th_limit_depth(b) / list->items[0].axial - 1e-9));
        for (int more = levels > 1 ? -1 : 0; more <= 1; more++) {
            if (!offer_levels(found, levels + more, list)) {
                return false;
            }
        }
    }
    qsort(list->items, list->count, sizeof *list->items, th_limit_by_minutes);
    return true;
}

bool th_limit_fastest(const th_bounded *b, th_limit_cut *found) {
    th_candidates *list = th_arena_take(b->arena, sizeof *list);
    th_bounded deep = *b;
    th_limit_cut kept = *found;

    found->possible = false;
    if (!list) {
        return th_fail_memory(b->err);
    }
    *list = (th_candidates){.b = &deep, .most = found->first_strip};
    if ((b->follows && !keep_depth(&deep, &kept)) || !offer_points(&kept, list)) {
        return false;
    }
    for (size_t i = 0; i < list->count && !found->possible; i++) {
        th_limit_point *p = &list->items[i];
        th_engaged at = {p->radial, p->axial, true};
        th_all all;
        if (!th_look_all(b, at, &all)) {
            return false;
        }
        found->possible = all.holds;
        p->hold_factor = all.hold_factor;
        found->fastest = *p;
        found->fastest.limiter = found->points[0].limiter;
    }
    return true;
}

/* ---- milder -----------------------------------------------------------------------------------
 */

/* As many levels more, and no more axial engagement than `most`; as few decimals as that takes. */
static double with_more_levels(const th_bounded *b, double axial, double most, double more) {
    double depth = th_limit_depth(b), step = typed_step(b);
    double before = ceil(depth / axial - 1e-9);
    double levels = fmax(before + more, ceil(depth / most - 1e-9) + more - 1);

    for (int i = 0; i < FINER; i++, step /= 10) {
        double value = on_grid(depth / levels, step, true);
        if (ceil(depth / value - 1e-9) > before) {
            return value;
        }
    }
    return 0;
}

bool th_limit_milder(const th_bounded *b, const th_limit_point *pair, double share,
                     th_limit_point *milder, bool *found) {
    bool drawn = b->cut->operation == TH_ENGRAVE || b->cut->operation == TH_CHAMFERING;
    double axial = pair->axial;

    *found = false;
    for (int more = 1; more <= MILDER && !*found && !drawn && th_limit_depth(b) > 0; more++) {
        axial = b->slow ? th_limit_step(b, axial * fmin(share, LITTLE_LESS))
                        : with_more_levels(b, pair->axial, pair->axial * share, more);
        th_engaged at = {pair->radial, axial, true};
        th_look seen;
        th_all all;
        if (!(axial >= TH_SHALLOWEST)) {
            return true;
        }
        if (!th_look_at(b, at, TH_LOOK_CUTTER, &seen) || !th_look_all(b, at, &all)) {
            return false;
        }
        *found = seen.ratio >= 1 && all.holds;
        *milder = *pair;
        milder->axial = milder->least = axial;
        milder->passes = seen.passes;
        milder->minutes = seen.minutes;
    }
    return true;
}
