/* trial_plate.c - the worst spot of a trial by the flexible plate. */
#include <math.h>
#include <stdlib.h>

#include "wrench.h"

/* Spots whose loads act within this share of a decay length share one table. */
#define SITE_GAP 0.1

/* Places within this share of the worst one on a coarse grid are looked at on a fine one. */
#define RIVAL 0.85

#define COARSE_FINENESS 3.0 /* elements to a decay length: to find the worst places */
#define RIGID                                                                                      \
    0.3 /* of a decay length: bending changes a piece no longer than that by under 0.1 % */
#define FIRST_FINENESS 5.0 /* to judge them */
#define REFINE 1.5         /* from one grid to the next */
#define SOFT 60e3          /* above the modulus of plastics and laminates (MPa) */
#define SETTLED 0.01       /* greatest move of what governs between two grids */

enum { RIVALS_MAX = TH_RIVALS_MAX, GRIDS_MAX = 4 };

/* Largest index: of either load, and of the peak load alone. */
typedef struct {
    double worst, peak;
} th_score;

/* A place where load enters the piece, and the spots whose load it stands for. */
typedef struct {
    th_plate_spot *items;
    size_t count;
    size_t *of;           /* of each spot of the trial */
    th_score *score;      /* of each, on the coarse grid */
    th_score *spot_score; /* the same of each spot */
} th_sites;

typedef struct {
    const th_bench *bench;
    const th_trial *trial;
    th_bed bed;
    th_sites sites;
    size_t shear_site, lift_site; /* where the coarse look found most shear, most lift */
    th_wrench *wrenches, *moved;
    th_history history;
    double standing[2]; /* lift of bowed stock, of each kind of load (MPa) */
    double weakest, no_matter;
    double length; /* decay length (mm) */
} th_scan;

/* ---- where the load enters ------------------------------------------------------------------- */

/* Side of the patch that carries the load: the contact is a strip along the wall, at most a
 * cutter's diameter long, and a smaller patch is the safer one. A drill loads the rim of its hole.
 */
static double patch_of(const th_cut *cut) {
    if (cut->operation == TH_PUSH) {
        return cut->patch;
    }
    return (cut->operation == TH_DRILLED ? 1.25 : 0.5) * cut->cutter->row.diameter;
}

/* The wall that the cutter works on, while the part still sits in its stock. */
static bool works_on_part(const th_trial *trial) {
    return (trial->cut->operation == TH_OUTLINE || trial->cut->operation == TH_CHAMFERING) &&
           trial->piece->kind == TH_PIECE_STOCK;
}

static bool off_piece(const th_trial *trial, th_point at, double patch) {
    return !th_outline_holds(trial->piece->region, at) &&
           th_outline_distance(trial->piece->region, at, NULL) > patch / 2;
}

/* A cutter beside a wall loads a patch just inside it; one amid the material the place below it. */
static th_point site_by(const th_trial *trial, const th_outline *wall, th_point spindle,
                        double patch) {
    bool amid = th_outline_holds(trial->piece->region, spindle);
    th_point nearest, site;
    double away;

    if (amid && (trial->cut->operation == TH_DRILLED || th_outline_holds(wall, spindle))) {
        return spindle;
    }
    if (trial->cut->operation == TH_DRILLED &&
        th_outline_distance(trial->piece->region, spindle, NULL) <= patch / 2) {
        return spindle;
    }
    /* within the part but off the metal: in an opening that an earlier cut has emptied */
    wall = th_outline_holds(wall, spindle) ? trial->piece->region : wall;
    th_outline_distance(wall, spindle, &nearest);
    away = hypot(nearest.x - spindle.x, nearest.y - spindle.y);
    if (!(away > 1e-9)) {
        return nearest;
    }
    site.x = nearest.x + patch / 2 * (nearest.x - spindle.x) / away;
    site.y = nearest.y + patch / 2 * (nearest.y - spindle.y) / away;
    return th_outline_holds(trial->piece->region, site) ? site : nearest;
}

/* Where the part is out of the stock already, the cutter works on the stock. */
static th_point site_of(const th_scan *scan, th_point spindle, double patch) {
    const th_trial *trial = scan->trial;
    th_point site;

    if (works_on_part(trial)) {
        site = site_by(trial, scan->bench->ground->parts, spindle, patch);
        if (!off_piece(trial, site, patch)) {
            return site;
        }
    }
    return site_by(trial, trial->piece->region, spindle, patch);
}

static bool list_sites(th_scan *scan, double gap) {
    const th_spots *spots = &scan->trial->spots;
    th_arena *arena = scan->bench->arena;
    th_sites *sites = &scan->sites;
    double patch = patch_of(scan->trial->cut);

    sites->items = th_arena_take(arena, (spots->count + 1) * sizeof *sites->items);
    sites->of = th_arena_take(arena, (spots->count + 1) * sizeof *sites->of);
    sites->score = th_arena_take(arena, (spots->count + 1) * sizeof *sites->score);
    sites->spot_score = th_arena_take(arena, (spots->count + 1) * sizeof *sites->spot_score);
    if (!sites->items || !sites->of || !sites->score || !sites->spot_score) {
        return th_fail_memory(scan->bench->err);
    }
    for (size_t i = 0; i < spots->count; i++) {
        size_t k = 0;
        th_point at;
        if (i > 0 && spots->items[i].at.x == spots->items[i - 1].at.x &&
            spots->items[i].at.y == spots->items[i - 1].at.y) {
            sites->of[i] = sites->of[i - 1]; /* another heading at the same place */
            continue;
        }
        at = site_of(scan, spots->items[i].at, patch);
        while (k < sites->count &&
               hypot(sites->items[k].x - at.x, sites->items[k].y - at.y) > gap) {
            k++;
        }
        if (k == sites->count) {
            sites->items[sites->count++] = (th_plate_spot){at.x, at.y, patch};
        }
        sites->of[i] = k;
    }
    return true;
}

/* ---- one spot on one table ------------------------------------------------------------------- */

th_wrench th_wrench_about(const th_wrench *w, const th_plate_spot *site) {
    return (th_wrench){w->fx,
                       w->fy,
                       w->fz,
                       w->mx - site->y * w->fz,
                       w->my + site->x * w->fz,
                       w->mz - (site->x * w->fy - site->y * w->fx)};
}

static th_grip grip_of(th_scan *scan, const th_plate_influence *influence,
                       const th_plate_spot *site, th_load_kind load, double enough,
                       const th_outcome *seen) {
    th_plate_ask ask = {.stack = scan->bench->grip_stack,
                        .history = &scan->history,
                        .load = load,
                        .seconds = scan->trial->held,
                        .enough = enough,
                        .shear_seen = seen->shear_peak,
                        .lift_seen = seen->lift_peak,
                        .anchors = scan->bed.anchors,
                        .anchor_count = scan->bed.anchor_count};
    th_plate_grip found;

    for (size_t i = 0; i < scan->trial->count; i++) {
        scan->moved[i] = th_wrench_about(&scan->wrenches[i], site);
    }
    scan->history.wrenches = scan->moved;
    scan->history.standing_lift = scan->standing[load];
    found = th_grip_plate(influence, &ask);
    if (!isnan(found.grip.index) && !(found.anchor_index <= found.grip.index)) {
        found.grip.index = found.anchor_index;
        found.grip.interface = TH_BY_TABS;
    }
    return found.grip;
}

/* With the spindle at a spot. A stop takes the force and leaves its moment, which the model puts
 * where the cutter is; where soft stock bears the force there better than that moment, it is as if
 * there were no stop. */
static th_grip grip_at(th_scan *scan, const th_plate_influence *influence,
                       const th_plate_spot *site, const th_spot *spot, th_load_kind load,
                       double enough, const th_outcome *seen) {
    double ratio = load == TH_PEAK ? scan->trial->ratio : 1;
    th_grip grip, alone;

    th_trial_wrenches(scan->trial, spot, ratio, scan->wrenches);
    grip = grip_of(scan, influence, site, load, enough, seen);
    if (!scan->trial->stops) {
        return grip;
    }
    th_trial trial = *scan->trial;
    trial.stops = 0;
    th_trial_wrenches(&trial, spot, ratio, scan->wrenches);
    alone = grip_of(scan, influence, site, load, enough, seen);
    if (alone.index < grip.index) {
        return alone;
    }
    th_trial_wrenches(scan->trial, spot, ratio, scan->wrenches);
    return grip;
}

static void try_spot(th_scan *scan, const th_plate_influence *influence, const th_plate_spot *site,
                     const th_spot *spot, th_outcome *outcome, th_score *score) {
    th_grip grip =
        grip_at(scan, influence, site, spot, TH_PEAK, RIVAL * outcome->peak_index, outcome);

    th_outcome_peak(outcome, &grip, spot, scan->wrenches);
    score->peak = th_larger(score->peak, grip.index);
    score->worst = th_larger(score->worst, grip.index);
    if (!th_sustained_matters(scan->bench, scan->trial, outcome, grip.index, scan->no_matter,
                              scan->weakest)) {
        return;
    }
    grip = grip_at(scan, influence, site, spot, TH_SUSTAINED,
                   fmax(outcome->sustained_index, scan->no_matter), outcome);
    th_outcome_sustained(outcome, &grip, spot, scan->wrenches);
    score->worst = th_larger(score->worst, grip.index);
}

/* Sites under examination: `which[k]` is the place in the list of sites of table spot k. */
typedef struct {
    size_t which[RIVALS_MAX];
    size_t count;
} th_rivals;

/* While places are only compared, a patch is no smaller than two elements, so that no grid is drawn
 * for the patches alone. */
static double wider(double patch, double length, double per_length) {
    return fmax(patch, 2 * length / per_length);
}

/* Whether a spot may be the worst one of its site for either load, by the coarse look. */
static bool matters(const th_sites *sites, size_t spot) {
    const th_score *own = &sites->spot_score[spot], *site = &sites->score[sites->of[spot]];

    return !(own->worst < RIVAL * site->worst) || !(own->peak < RIVAL * site->peak);
}

static size_t site_at(const th_scan *scan, const th_spot *spot) {
    return scan->sites.of[spot ? (size_t)(spot - scan->trial->spots.items) : 0];
}

/* Of the place that governs among `spots`; NULL `rivals`: all sites. */
static void note_grid(const th_scan *scan, const th_plate_spot *spots, const th_rivals *rivals,
                      double per_length, th_outcome *outcome) {
    size_t site = site_at(scan, outcome->spot);
    th_seen_on *on = &outcome->seen_on;

    *on = (th_seen_on){.per_length = per_length, .tied = scan->bed.anchor_count > 0};
    if (!rivals) {
        on->sites[on->count++] = spots[site];
    }
    for (size_t k = 0; rivals && k < rivals->count; k++) {
        on->site = rivals->which[k] == site ? k : on->site;
        on->sites[on->count++] = spots[k];
    }
}

/* `whole`: with patches of their true size. */
static bool look_closely(th_scan *scan, const th_rivals *rivals, double per_length, bool whole,
                         th_outcome *outcome) {
    const th_plate_table *table;
    th_plate_spot spots[RIVALS_MAX];

    *outcome = th_outcome_none();
    for (size_t k = 0; k < rivals->count; k++) {
        spots[k] = scan->sites.items[rivals->which[k]];
        spots[k].patch = whole ? spots[k].patch : wider(spots[k].patch, scan->length, per_length);
    }
    if (!th_bed_table(&scan->bed, spots, rivals->count, per_length, scan->bench->cache, &table,
                      scan->bench->err)) {
        return false;
    }
    for (size_t i = 0; i < scan->trial->spots.count; i++) {
        for (size_t k = 0; k < rivals->count; k++) {
            size_t site = rivals->which[k];
            th_score score = {0, 0};
            if (scan->sites.of[i] == site && matters(&scan->sites, i)) {
                try_spot(scan, th_plate_table_at(table, k), &spots[k], &scan->trial->spots.items[i],
                         outcome, &score);
            }
        }
    }
    note_grid(scan, spots, rivals, per_length, outcome);
    return true;
}

/* ---- from a coarse look at all to a close one at few ------------------------------------------
 */

static void raise_score(th_score *score, const th_score *other) {
    score->worst = th_larger(score->worst, other->worst);
    score->peak = th_larger(score->peak, other->peak);
}

/* All sites on a coarse grid. */
static bool look_at_all(th_scan *scan, th_outcome *outcome) {
    const th_plate_table *table;
    th_plate_spot *spots =
        th_arena_take(scan->bench->arena, (scan->sites.count + 1) * sizeof *spots);

    *outcome = th_outcome_none();
    if (!spots) {
        return th_fail_memory(scan->bench->err);
    }
    for (size_t k = 0; k < scan->sites.count; k++) {
        spots[k] = scan->sites.items[k];
        spots[k].patch = wider(spots[k].patch, scan->length, COARSE_FINENESS);
    }
    if (!th_bed_table(&scan->bed, spots, scan->sites.count, COARSE_FINENESS, scan->bench->cache,
                      &table, scan->bench->err)) {
        return false;
    }
    for (size_t i = 0; i < scan->trial->spots.count; i++) {
        size_t site = scan->sites.of[i];
        double shear = outcome->shear_peak, lift = outcome->lift_peak;
        try_spot(scan, th_plate_table_at(table, site), &spots[site], &scan->trial->spots.items[i],
                 outcome, &scan->sites.spot_score[i]);
        scan->shear_site = th_plainly_larger(outcome->shear_peak, shear) ? site : scan->shear_site;
        scan->lift_site = th_plainly_larger(outcome->lift_peak, lift) ? site : scan->lift_site;
        raise_score(&scan->sites.score[site], &scan->sites.spot_score[i]);
    }
    if (scan->sites.count) {
        note_grid(scan, spots, NULL, COARSE_FINENESS, outcome);
    }
    return true;
}

static void add_rival(size_t site, th_rivals *rivals) {
    for (size_t k = 0; k < rivals->count; k++) {
        if (rivals->which[k] == site) {
            return;
        }
    }
    if (rivals->count < RIVALS_MAX) {
        rivals->which[rivals->count++] = site;
    }
}

/* The worst sites of the coarse look. */
static th_rivals worst_sites(const th_scan *scan) {
    th_rivals rivals = {.count = 0};
    double top = 0;

    for (size_t k = 0; k < scan->sites.count; k++) {
        top = fmax(top, scan->sites.score[k].worst);
    }
    while (rivals.count < RIVALS_MAX - 3) { /* room for the most shear, lift and peak load */
        size_t best = scan->sites.count;
        for (size_t k = 0; k < scan->sites.count; k++) {
            double score = scan->sites.score[k].worst;
            bool known = false;
            for (size_t r = 0; r < rivals.count; r++) {
                known = known || rivals.which[r] == k;
            }
            if (!known && score >= RIVAL * top &&
                (best == scan->sites.count ||
                 th_plainly_larger(score, scan->sites.score[best].worst))) {
                best = k;
            }
        }
        if (best == scan->sites.count) {
            break;
        }
        add_rival(best, &rivals);
    }
    return rivals;
}

/* Only the site that governs, and the one where the peak load is worst, from now on. */
static void narrow(const th_scan *scan, const th_outcome *outcome, th_rivals *rivals) {
    rivals->count = 0;
    add_rival(site_at(scan, outcome->spot), rivals);
    add_rival(site_at(scan, outcome->peak_spot), rivals);
}

static double moved(double before, double now, double other) {
    return now > 1e-3 * other ? fabs(now - before) / now : 0;
}

static double change(const th_outcome *a, const th_outcome *b) {
    double shear = moved(a->shear_peak, b->shear_peak, b->lift_peak);
    double lift = moved(a->lift_peak, b->lift_peak, b->shear_peak);
    double peak = moved(a->peak_index, b->peak_index, b->sustained_index);

    return fmax(fmax(moved(a->grip.index, b->grip.index, 0), peak), fmax(shear, lift));
}

/* Springs of tabs act on single nodes, where no grid ever settles: the worse of two grids is
 * taken. */
static bool bracket(th_scan *scan, th_rivals *rivals, th_outcome *outcome) {
    th_outcome finer;

    if (!look_closely(scan, rivals, FIRST_FINENESS, false, outcome) ||
        !look_closely(scan, rivals, FIRST_FINENESS * REFINE, false, &finer)) {
        return false;
    }
    if (!isnan(outcome->grip.index) && !(finer.grip.index <= outcome->grip.index)) {
        *outcome = finer;
    }
    return true;
}

/* Where cells cut openings the error may fall with the size of an element alone: what is left is
 * then at most twice the last move. */
static void enlarge(th_outcome *outcome, double factor) {
    outcome->grip.index *= factor;
    outcome->peak_index *= factor;
    outcome->sustained_index *= factor;
    outcome->shear_peak *= factor;
    outcome->lift_peak *= factor;
}

/* What another place showed of a load that does not govern there. */
static double floor_of(double index, double other, const th_outcome *governing) {
    return th_larger(index, fmin(other, governing->grip.index));
}

static void keep_floors(th_outcome *outcome, const th_outcome *first) {
    outcome->shear_peak = th_larger(outcome->shear_peak, first->shear_peak);
    outcome->lift_peak = th_larger(outcome->lift_peak, first->lift_peak);
    outcome->peak_index = floor_of(outcome->peak_index, first->peak_index, outcome);
    outcome->sustained_index = floor_of(outcome->sustained_index, first->sustained_index, outcome);
}

/* Ever finer grids for the site that governs. What other sites showed stays a floor. */
static bool settle(th_scan *scan, th_rivals *rivals, th_outcome *outcome) {
    double per_length = FIRST_FINENESS, last_move = 0;
    th_outcome first, last;

    if (!look_closely(scan, rivals, per_length, rivals->count == 1, &first)) {
        return false;
    }
    last = first;
    if (rivals->count > 1) {
        narrow(scan, &first, rivals);
        if (!look_closely(scan, rivals, per_length, true, &last)) {
            return false;
        }
    }
    for (int grids = 1; grids < GRIDS_MAX; grids++) {
        double moves;
        per_length *= REFINE;
        if (!look_closely(scan, rivals, per_length, true, outcome)) {
            return false;
        }
        moves = last_move = change(&last, outcome);
        last = *outcome;
        if (moves < SETTLED) {
            keep_floors(outcome, &first);
            return true;
        }
    }
    outcome->unsettled = last_move;
    enlarge(outcome, 1 + 2 * last_move);
    keep_floors(outcome, &first);
    return true;
}

/* A caller who only asks whether it is enough needs no last digits where the answer is plain. Soft
 * stock is hardly wider than a patch to a load in its plane, and the wide patches of the coarse
 * look say little of it: there only what fails is plain. Nor does the coarse look tell which of two
 * trials is the worse: thin webs and soft stock show on fine grids alone. */
static bool plain(const th_scan *scan, const th_outcome *coarse) {
    double ratio = coarse->grip.index * scan->bench->enough;
    bool soft = scan->bench->job->part.stock->elastic_modulus < SOFT;

    return scan->bench->quick ||
           (scan->bench->enough > 0 && (ratio > 1.3 || (!soft && ratio < 0.7)));
}

static bool scan_bed(const th_bench *bench, const th_trial *trial, bool tabs, th_outcome *outcome) {
    th_scan scan = {.bench = bench,
                    .trial = trial,
                    .bed = {.ground = bench->ground, .piece = trial->piece},
                    .weakest = th_trial_weakest(bench, trial),
                    .no_matter = bench->enough > 0 ? 1 / bench->enough : 0};
    th_rivals rivals;

    if (tabs) {
        scan.bed.anchors = trial->piece->anchors;
        scan.bed.anchor_count = trial->piece->anchor_count;
    }
    scan.length = th_bed_length(&scan.bed);
    scan.moved = th_arena_take(bench->arena, trial->count * sizeof *scan.moved);
    if (!scan.moved) {
        return th_fail_memory(bench->err);
    }
    if (!th_trial_history(bench, trial, &scan.wrenches, &scan.history)) {
        return false;
    }
    scan.standing[TH_PEAK] = scan.history.standing_lift;
    scan.standing[TH_SUSTAINED] =
        th_standing_aged(bench->job, scan.history.standing_lift, trial->held);
    if (!list_sites(&scan, SITE_GAP * scan.length) || !look_at_all(&scan, outcome)) {
        return false;
    }
    if (plain(&scan, outcome) || !(outcome->grip.index > 0)) {
        return true;
    }
    rivals = worst_sites(&scan);
    add_rival(site_at(&scan, outcome->peak_spot), &rivals);
    add_rival(scan.lift_site, &rivals);
    add_rival(scan.shear_site, &rivals);
    return tabs ? bracket(&scan, &rivals, outcome) : settle(&scan, &rivals, outcome);
}

/* Tabs earn no more than the frame would bear alone of the same load. */
static bool index_of_frame(const th_bench *bench, const th_trial *trial, double *index) {
    th_trial frame = *trial;
    th_outcome found;

    *index = trial->piece->anchors_hold > 0 ? 1 / trial->piece->anchors_hold : INFINITY;
    frame.piece = trial->piece->tied_to;
    frame.stops = 0;
    if (!frame.piece || !frame.piece->held) {
        *index = INFINITY;
        return true;
    }
    if (!th_trial_area(bench, &frame, &found)) {
        return false;
    }
    *index = th_larger(*index, found.grip.index);
    return true;
}

/* A piece much shorter than the decay lengths does not bend. */
static bool rigid(const th_bench *bench, const th_trial *trial) {
    const double *box = trial->piece->box;
    th_bed bed = {.ground = bench->ground, .piece = trial->piece};

    return fmax(box[2] - box[0], box[3] - box[1]) < RIGID * th_bed_length(&bed);
}

bool th_trial_plate(const th_bench *bench, const th_trial *trial, th_outcome *outcome) {
    th_outcome tied;
    double index, least;

    if (!trial->piece->anchor_count && rigid(bench, trial)) {
        return th_trial_area(bench, trial, outcome);
    }
    if (!scan_bed(bench, trial, false, outcome)) {
        return false;
    }
    if (!trial->piece->anchor_count) {
        return true;
    }
    if (!scan_bed(bench, trial, true, &tied)) {
        return false;
    }
    if (!index_of_frame(bench, trial, &least)) {
        return false;
    }
    outcome->tied = tied.tied = tied.grip.index;
    outcome->tabs_first = tied.tabs_first = tied.grip.interface == TH_BY_TABS;
    outcome->frame = tied.frame = least;
    index = th_larger(tied.grip.index, least);
    if (index > tied.grip.index) {
        tied.grip.interface = TH_BY_FRAME;
    }
    if (!(index >= outcome->grip.index) && !isnan(outcome->grip.index)) {
        tied.alone = outcome->grip.index;
        *outcome = tied;
        outcome->grip.index = index;
        outcome->peak_index = th_larger(outcome->peak_index, least);
    }
    return true;
}
