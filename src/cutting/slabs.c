#include <math.h>
#include <stdlib.h>

#include "arc.h"
#include "profile.h"
#include "slabs.h"

static const double most_lag = 15.0 * TH_PI / 180.0; /* over one slab */
static const double most_turn = 5.0 * TH_PI / 180.0; /* of a torus over one slab */
static const double tip_slack = 1e-6;                /* (rad) */
static const int fading_slabs = 24;                  /* of a run over which the arc changes */

/* A run: part of a stretch that is engaged throughout. */
typedef struct {
    stretch part;
    bool fading; /* the arc changes along it, like a square root at its start */
    size_t slabs;
} run;

typedef struct {
    const th_pass *pass;
    double lead; /* lag per height (rad/mm), negative for a down-cut helix */
    double wall; /* how far the stock's side lies from the axis (mm), when no edge is broken */
} edge_path;

/* Radius of the widest engaged disc: a shallow cut of a ball or cone is narrower than the cutter.
 */
static double widest_radius(const th_pass *pass) {
    stretch parts[MOST_STRETCHES];
    int count = th_profile_stretches(pass->cutter, pass->base, pass->base + pass->axial, parts);

    return th_stretch_point(&parts[count - 1], parts[count - 1].to).r;
}

static double wall_at(const edge_path *path, const profile_point *point) {
    const th_pass *pass = path->pass;

    if (pass->chamfer_width > 0.0) {
        double height = fmin(fmax((point->z - pass->base) / pass->axial, 0.0), 1.0);

        return point->r - pass->chamfer_width * height;
    }
    return path->wall;
}

static double lead_of(const th_cutter *cutter) {
    double lead = tan(cutter->helix * TH_PI / 180.0) / (cutter->diameter / 2.0);

    if (cutter->helix_pulls == TH_STRAIGHT) {
        return 0.0;
    }
    return cutter->helix_pulls == TH_DOWN ? -lead : lead;
}

static size_t slabs_wanted(const edge_path *path, const run *piece) {
    const stretch *part = &piece->part;
    double rise = th_stretch_point(part, part->to).z - th_stretch_point(part, part->from).z;
    double wanted = fabs(path->lead) * rise / most_lag;

    if (part->kind == STRETCH_TORUS) {
        wanted = fmax(wanted, (part->to - part->from) / most_turn);
    }
    if (piece->fading) {
        wanted = 2.0 * wanted + fading_slabs; /* grading makes the last slab twice the mean */
    }
    return (size_t)fmax(ceil(wanted * path->pass->resolution - 1e-9), 1.0);
}

static void add_run(const edge_path *path, const stretch *part, run *runs, size_t *count) {
    const th_pass *pass = path->pass;
    profile_point top = th_stretch_point(part, part->to);
    profile_point middle = th_stretch_point(part, (part->from + part->to) / 2.0);
    double wall = wall_at(path, &middle);

    if (!(part->to > part->from) || wall >= middle.r) {
        return; /* nothing there, or the discs do not reach the stock */
    }
    run piece = {*part, false, 0};

    piece.fading = pass->chamfer_width > 0.0 ||
                   (part->kind != STRETCH_CYLINDER && wall_at(path, &top) > -top.r);
    piece.slabs = slabs_wanted(path, &piece);
    runs[(*count)++] = piece;
}

/* Split the stretches where discs begin to reach the wall, or begin to leave stock beyond it. */
static size_t find_runs(const edge_path *path, run runs[MOST_RUNS]) {
    const th_pass *pass = path->pass;
    stretch parts[MOST_STRETCHES];
    int stretches = th_profile_stretches(pass->cutter, pass->base, pass->base + pass->axial, parts);
    double wall = fabs(path->wall);
    size_t count = 0;

    for (int i = 0; i < stretches; i++) {
        double split = pass->chamfer_width > 0.0 ? NAN : th_stretch_at_radius(&parts[i], wall);
        stretch lower = parts[i], upper = parts[i];

        if (!isnan(split)) {
            lower.to = upper.from = split;
            add_run(path, &lower, runs, &count);
        }
        add_run(path, &upper, runs, &count);
    }
    return count;
}

static curve curve_through(double start, double middle, double end) {
    curve line = {{start, 4.0 * middle - 3.0 * start - end, 2.0 * (start + end) - 4.0 * middle}};

    return line;
}

/* Where a run is at a share of its slabs. Where the arc fades in like a square root, going up with
 * the square of the share makes the arc grow evenly, within each slab too. */
static profile_point run_point(const run *piece, double share) {
    const stretch *part = &piece->part;
    double way = piece->fading ? share * share : share;

    return th_stretch_point(part, part->from + (part->to - part->from) * way);
}

void th_slab_places(const slab *item, double start, double end, edge_place places[2]) {
    /* Two-point Gauss rule on 0 to 1. */
    static const double gauss[2] = {0.21132486540518711775, 0.78867513459481288225};

    for (int i = 0; i < 2; i++) {
        double t = start + (end - start) * gauss[i], lag = curve_at(&item->lag, t);

        places[i] = (edge_place){sin(lag),
                                 cos(lag),
                                 curve_at(&item->sin_kappa, t),
                                 curve_at(&item->cos_kappa, t),
                                 curve_at(&item->z, t),
                                 curve_at(&item->r, t),
                                 curve_at(&item->rate, t) * (end - start) / 2.0};
    }
}

static slab slab_of(const edge_path *path, const run *piece, double start, double end) {
    const th_pass *pass = path->pass;
    double rate = th_stretch_length(&piece->part, piece->part.from, piece->part.to) * (end - start);
    double slow = piece->fading ? 2.0 * start : 1.0, fast = piece->fading ? 2.0 * end : 1.0;
    profile_point a = run_point(piece, start);
    profile_point m = run_point(piece, (start + end) / 2.0);
    profile_point b = run_point(piece, end);
    th_arc low = th_arc_of(a.r, wall_at(path, &a), pass->climb);
    th_arc high = th_arc_of(b.r, wall_at(path, &b), pass->climb);
    double lead = path->lead;
    slab item = {.lag = curve_through(lead * a.z, lead * m.z, lead * b.z),
                 .z = curve_through(a.z, m.z, b.z),
                 .r = curve_through(a.r, m.r, b.r),
                 .sin_kappa = curve_through(a.sin_kappa, m.sin_kappa, b.sin_kappa),
                 .cos_kappa = curve_through(a.cos_kappa, m.cos_kappa, b.cos_kappa),
                 .rate = {{rate * slow, rate * (fast - slow), 0.0}},
                 .lag_end = lead * b.z,
                 .lag_most = fmax(lead * a.z, lead * b.z),
                 .entry = {low.entry, high.entry},
                 .exit = {low.exit, high.exit}};

    item.lag_bend = piece->fading ? 0.0 : item.lag.c[2];
    th_slab_places(&item, 0.0, 1.0, item.whole);
    return item;
}

static void add_event(slab_list *list, double lag, double entry, double exit) {
    if (list->event_count < MOST_EVENTS) {
        list->events[list->event_count++] = (slab_event){lag, entry, exit};
    }
}

static bool turns_back(double before, double here, double after) {
    return (here - before) * (after - here) < 0.0;
}

/* Heights inside a run where the edge touches the border of the arc. */
static void add_touches(slab_list *list, const slab *first, const slab *last) {
    for (const slab *item = first; item < last; item++) {
        const slab *next = item + 1;
        double a = item->lag.c[0], b = item->lag_end, c = next->lag_end;

        if (turns_back(item->entry[0] + a, item->entry[1] + b, next->entry[1] + c) ||
            turns_back(item->exit[0] + a, item->exit[1] + b, next->exit[1] + c)) {
            add_event(list, b, item->entry[1], item->exit[1]);
        }
    }
}

static void fill_run(const edge_path *path, const run *piece, slab_list *list) {
    slab *first = &list->items[list->count];
    double count = (double)piece->slabs;

    for (size_t i = 0; i < piece->slabs; i++) {
        list->items[list->count++] =
            slab_of(path, piece, (double)i / count, (double)(i + 1) / count);
    }
    const slab *last = &list->items[list->count - 1];

    add_event(list, first->lag.c[0], first->entry[0], first->exit[0]);
    add_event(list, last->lag_end, last->entry[1], last->exit[1]);
    if (piece->fading) {
        list->fading = true;
        add_touches(list, first, last);
    }
    profile_point top = th_stretch_point(&piece->part, piece->part.to);

    list->top_sine = top.sin_kappa;
    list->top_arc = (th_arc){last->entry[1], last->exit[1]};
}

/* The lag within a slab strays from the straight line between its ends by a quarter of its bend. */
static void set_tips(slab_list *list) {
    list->tip_first = INFINITY;
    list->tip_last = -INFINITY;
    for (size_t i = 0; i < list->count; i++) {
        const slab *item = &list->items[i];
        double stray = fabs(item->lag.c[2]) / 4.0 + tip_slack, low = item->lag.c[0];

        list->tip_first = fmin(list->tip_first,
                               fmin(item->entry[0] + low, item->entry[1] + item->lag_end) - stray);
        list->tip_last =
            fmax(list->tip_last, fmax(item->exit[0] + low, item->exit[1] + item->lag_end) + stray);
    }
}

/* ---- zones
 * --------------------------------------------------------------------------------------- */

/* One arc of one zone, straight from its lower to its upper end. */
typedef struct {
    double from, to; /* heights (mm) */
    th_arc low, high;
} zone_arc;

static zone_arc zone_arc_of(const th_pass *pass, int zone, int arc) {
    const th_zone *z = &pass->zones[zone];

    return pass->slants ? (zone_arc){z->low, z->high, pass->slants[zone].low[arc],
                                     pass->slants[zone].high[arc]}
                        : (zone_arc){z->low, z->high, z->arcs[arc], z->arcs[arc]};
}

static th_arc arc_at(const zone_arc *arc, double z) {
    double share = fmin(fmax((z - arc->from) / (arc->to - arc->from), 0.0), 1.0);

    return (th_arc){arc->low.entry + share * (arc->high.entry - arc->low.entry),
                    arc->low.exit + share * (arc->high.exit - arc->low.exit)};
}

static void fill_arc(const edge_path *path, const run *piece, const zone_arc *arc,
                     slab_list *list) {
    bool slanted = arc->low.entry != arc->high.entry || arc->low.exit != arc->high.exit;
    slab *first = &list->items[list->count];

    if (piece->slabs == 0) {
        return;
    }
    for (size_t i = 0; i < piece->slabs; i++) {
        slab item = slab_of(path, piece, (double)i / (double)piece->slabs,
                            (double)(i + 1) / (double)piece->slabs);
        th_arc low = arc_at(arc, curve_at(&item.z, 0.0)),
               high = arc_at(arc, curve_at(&item.z, 1.0));
        item.entry[0] = low.entry;
        item.entry[1] = high.entry;
        item.exit[0] = low.exit;
        item.exit[1] = high.exit;
        item.lag_bend = slanted ? 0.0 : item.lag_bend;
        list->items[list->count++] = item;
    }
    slab *last = &list->items[list->count - 1];

    add_event(list, first->lag.c[0], first->entry[0], first->exit[0]);
    add_event(list, last->lag_end, last->entry[1], last->exit[1]);
    list->fading = list->fading || slanted;
}

/* Chips are told of the arc that has the thickest: high up the largest disc may cut but what the
 * level above has left at its sides. */
static void tell_thickest(const th_zone *zone, const profile_point *top, slab_list *list) {
    for (int i = 0; i < zone->arc_count; i++) {
        const th_arc *arc = &zone->arcs[i];
        if (th_arc_most_sine(arc) * top->sin_kappa >
            th_arc_most_sine(&list->top_arc) * list->top_sine) {
            list->top_arc = *arc;
            list->top_sine = top->sin_kappa;
        }
    }
}

static void fill_zone(const edge_path *path, int number, slab_list *list) {
    const th_zone *zone = &path->pass->zones[number];
    stretch parts[MOST_STRETCHES];
    int count = th_profile_stretches(path->pass->cutter, zone->low, zone->high, parts);
    profile_point top = th_stretch_point(&parts[count - 1], parts[count - 1].to);

    for (int i = 0; i < count; i++) {
        run piece = {parts[i], false, 0};
        piece.slabs = slabs_wanted(path, &piece);
        for (int k = 0; k < zone->arc_count; k++) {
            zone_arc arc = zone_arc_of(path->pass, number, k);
            fill_arc(path, &piece, &arc, list);
        }
    }
    tell_thickest(zone, &top, list);
}

static size_t slabs_of_zone(const edge_path *path, const th_zone *zone) {
    stretch parts[MOST_STRETCHES];
    int count = th_profile_stretches(path->pass->cutter, zone->low, zone->high, parts);
    size_t total = 0;

    for (int i = 0; i < count; i++) {
        total += slabs_wanted(path, &(run){parts[i], false, 0});
    }
    return total * (size_t)zone->arc_count;
}

static bool build_zones(const edge_path *path, slab_list *list, th_error *err) {
    const th_pass *pass = path->pass;
    size_t total = 0;

    for (int i = 0; i < pass->zone_count; i++) {
        total += slabs_of_zone(path, &pass->zones[i]);
    }
    list->items = malloc((total + 1) * sizeof *list->items);
    if (list->items == NULL) {
        return th_fail_memory(err);
    }
    list->count = 0;
    for (int i = 0; i < pass->zone_count; i++) {
        fill_zone(path, i, list);
    }
    set_tips(list);
    return true;
}

bool th_slabs_build(const th_pass *pass, slab_list *list, th_error *err) {
    edge_path path = {pass, lead_of(pass->cutter), 0.0};
    run runs[MOST_RUNS];
    size_t count, total = 0;

    *list = (slab_list){.lagging = path.lead != 0.0};
    if (pass->zones != NULL) {
        return build_zones(&path, list, err);
    }
    path.wall = widest_radius(pass) - pass->radial;
    count = find_runs(&path, runs);
    for (size_t i = 0; i < count; i++) {
        total += runs[i].slabs;
    }
    if (total == 0) {
        return th_fail(err, TH_BAD_RANGE, "radial is %.6g mm: the cutter does not reach the stock",
                       pass->radial);
    }
    list->items = malloc(total * sizeof *list->items);
    if (list->items == NULL) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < count; i++) {
        fill_run(&path, &runs[i], list);
    }
    set_tips(list);
    return true;
}

void th_slabs_window(const slab_list *list, double *first, double *last) {
    *first = INFINITY;
    *last = -INFINITY;
    for (size_t i = 0; i < list->event_count; i++) {
        *first = fmin(*first, list->events[i].entry + list->events[i].lag);
        *last = fmax(*last, list->events[i].exit + list->events[i].lag);
    }
}

void th_slabs_free(slab_list *list) {
    free(list->items);
    list->items = NULL;
    list->count = 0;
}
