/* stage.c - a pass held against every piece that its cutter touches. */
#include "stage.h"

#include <math.h>
#include <string.h>

#include "wrench.h"

/* So many pieces of a kind are bent; more that differ are left to the area model's ranking. */
enum { PIECES_MOST = 8 };

const char *th_piece_name(th_piece_kind kind) {
    static const char *const names[] = {"stock", "part", "frame", "slug"};

    return names[kind];
}

/* ---- what was found -------------------------------------------------------------------------- */

/* A hold without strength: no figure of the load matters. */
static void describe_unusable(const th_bench *bench, th_stage *stage) {
    const th_interface *culprit = &bench->stack->interfaces[bench->stack->culprit];

    stage->hold_factor = stage->peak_factor = stage->sustained_factor = 0;
    stage->area_hold_factor = 0;
    stage->way = th_unusable_way(bench->stack->unusable);
    stage->load = TH_PEAK;
    stage->interface = culprit->name;
    stage->row = culprit->row;
    stage->design_shear = culprit->shear;
    stage->design_lift = culprit->lift;
    stage->derating = culprit->derating;
    stage->time_factor = 1;
}

/* No tape lies under the piece: any force takes it away. */
static void describe_untaped(const th_bench *bench, th_stage *stage) {
    const th_interface *first = &bench->stack->interfaces[0];

    stage->hold_factor = stage->peak_factor = stage->sustained_factor = 0;
    stage->area_hold_factor = 0;
    stage->way = TH_LIFT;
    stage->load = TH_PEAK;
    stage->interface = first->name;
    stage->row = first->row;
    stage->design_shear = first->shear;
    stage->design_lift = first->lift;
    stage->derating = first->derating;
}

static const char tabs_name[] = "tabs", frame_name[] = "the frame on its tape";

static bool governed_by(const th_stage *stage, const char *name) {
    return stage->interface && strcmp(stage->interface, name) == 0;
}

bool th_stage_by_tabs(const th_stage *stage) {
    return governed_by(stage, tabs_name);
}

bool th_stage_by_frame(const th_stage *stage) {
    return governed_by(stage, frame_name);
}

/* What governs: an interface of the stack, the tabs, or the frame that they are tied to. */
static void describe_interface(const th_bench *bench, const th_outcome *outcome, th_stage *stage) {
    size_t number = outcome->grip.interface;
    bool tabs = number == TH_BY_TABS || number == TH_BY_FRAME;
    const th_interface *interface = &bench->grip_stack->interfaces[tabs ? 0 : number];

    stage->interface = number == TH_BY_TABS    ? tabs_name
                       : number == TH_BY_FRAME ? frame_name
                                               : interface->name;
    stage->row = number == TH_BY_TABS ? &bench->job->part.stock->head : interface->row;
    stage->design_shear = interface->shear;
    stage->design_lift = interface->lift;
    stage->derating = interface->derating;
    stage->time_factor = th_time_factor(stage->held, interface->time_exponent);
}

/* Regions lie on a grid of 2 nm; nobody wants to read it. */
static th_point tidy(th_point at) {
    return (th_point){nearbyint(at.x * 1e5) / 1e5, nearbyint(at.y * 1e5) / 1e5};
}

static void describe_outcome(const th_bench *bench, const th_outcome *outcome, th_stage *stage) {
    stage->peak_factor = th_hold_factor(outcome->peak_index);
    stage->sustained_factor = th_hold_factor(outcome->sustained_index);
    stage->hold_factor = th_hold_factor(outcome->grip.index);
    stage->way = outcome->grip.way;
    stage->load = outcome->load;
    describe_interface(bench, outcome, stage);
    stage->shear_peak = outcome->shear_peak;
    stage->lift_peak_traction = outcome->lift_peak;
    stage->at = tidy(outcome->grip.at);
    stage->force_angle = outcome->force_angle;
    stage->unsettled = outcome->unsettled;
    stage->alone_factor = outcome->alone > 0 ? th_hold_factor(outcome->alone) : (double)NAN;
    stage->tabs_first = outcome->tabs_first;
    stage->tied_factor = outcome->tied > 0 ? th_hold_factor(outcome->tied) : (double)NAN;
    stage->frame_factor = outcome->tied > 0 ? th_hold_factor(outcome->frame) : (double)NAN;
    if (outcome->spot) {
        stage->cutter_at = tidy(outcome->spot->at);
        stage->heading = outcome->spot->heading * 180 / TH_PI;
    }
}

static void describe_area(const th_outcome *outcome, th_stage *stage) {
    stage->area_shear_peak = outcome->shear_peak;
    stage->area_lift_peak = outcome->lift_peak;
    stage->area_hold_factor = th_hold_factor(fmax(outcome->peak_index, outcome->sustained_index));
}

/* Of those that hold nothing for warmth the warmest has the most to tell, and of passes as warm the
 * last, which may have done it. */
bool th_stage_weaker(const th_stage *a, const th_stage *b) {
    bool both =
        !(a->hold_factor > 0) && !(b->hold_factor > 0) && a->way == TH_HEAT && b->way == TH_HEAT;

    return both ? a->temperature >= b->temperature : a->hold_factor < b->hold_factor;
}

/* The weaker state is shown; the lowest peak and sustained factors are kept
 * whichever state they belong to. */
static void keep_worse(th_stage *stage, const th_stage *fresh) {
    bool first = stage->hold_factor < 0;
    double peak = first ? fresh->peak_factor : fmin(stage->peak_factor, fresh->peak_factor);
    double sustained =
        first ? fresh->sustained_factor : fmin(stage->sustained_factor, fresh->sustained_factor);
    double sway = first ? fresh->sway : fmax(stage->sway, fresh->sway);
    double creep = first ? fresh->creep : fmax(stage->creep, fresh->creep);

    if (first || th_stage_weaker(fresh, stage)) {
        *stage = *fresh;
    }
    stage->sway = sway;
    stage->creep = creep;
    stage->peak_factor = peak;
    stage->sustained_factor = sustained;
}

static bool finite_outcome(const th_outcome *outcome) {
    return isfinite(outcome->peak_index) && isfinite(outcome->sustained_index) &&
           isfinite(outcome->grip.index);
}

/* ---- one piece ------------------------------------------------------------------------------- */

static bool counts(const th_bench *bench, th_piece_kind kind) {
    return kind == TH_PIECE_PART || kind == TH_PIECE_STOCK ||
           bench->job->head.offcuts == TH_MUST_STAY;
}

/* Stops stand against the stock: a piece leans on those whose side of it the piece still reaches.
 * They are gone once an outline has been cut round the stock itself; slugs never touch them. */
static int stops_on(const th_bench *bench, const th_bond_state *state, const th_piece *piece) {
    static const int sides[4] = {TH_STOP_LEFT, TH_STOP_FRONT, TH_STOP_RIGHT, TH_STOP_BACK};
    bool stands = piece->kind == TH_PIECE_STOCK || (!bench->ground->sheet && !state->outlined);
    int reached = 0;

    for (int i = 0; i < 4; i++) {
        if (fabs(piece->box[i] - bench->bounds[i]) < 1e-3) {
            reached |= sides[i];
        }
    }
    return stands && piece->kind != TH_PIECE_SLUG ? bench->job->hold.stops & reached : 0;
}

static th_stage untried(const th_bench *bench, const th_trial *trial, const th_stage *loads) {
    const th_piece *piece = trial->piece;
    th_stage fresh = *loads;

    fresh.name = trial->name;
    fresh.piece = piece->kind;
    fresh.copy = piece->copy > 0 ? piece->copy : trial->copy > 0 ? trial->copy : 1;
    fresh.counts = loads->counts && counts(bench, piece->kind);
    fresh.held = trial->held;
    fresh.peak_ratio = trial->ratio;
    fresh.standing_lift = th_standing_lift(bench->job, bench->bowed_over, piece->box);
    fresh.at = piece->held ? (th_point){piece->bonded.cx, piece->bonded.cy} : piece->hull[0];
    if (piece->held) {
        fresh.bonded_area = piece->bonded.area;
        fresh.average_shear = loads->in_plane_peak * trial->ratio / piece->bonded.area;
    }
    return fresh;
}

/* Of a stage that is going to be kept. */
static bool keep_scene(const th_bench *bench, const th_trial *trial, const th_outcome *outcome,
                       const th_stage *known, th_stage *fresh) {
    bool wanted = bench->keep_scenes && (known->hold_factor < 0 || th_stage_weaker(fresh, known));

    fresh->scene = wanted ? th_scene_of(bench, trial, outcome) : NULL;
    return !wanted || fresh->scene || th_fail_memory(bench->err);
}

/* Hold one trial against the plate; `area` is what the area model found. */
static bool try_piece(const th_bench *bench, const th_trial *trial, const th_outcome *area,
                      const th_stage *loads, th_stage *stage) {
    th_stage fresh = untried(bench, trial, loads);
    th_outcome plate = *area;

    if (!trial->piece->held) {
        describe_untaped(bench, &fresh);
        if (!keep_scene(bench, trial, NULL, stage, &fresh)) {
            return false;
        }
        keep_worse(stage, &fresh);
        return true;
    }
    if ((!bench->factors_only && !th_trial_sway(bench, trial, &fresh.sway, &fresh.creep)) ||
        (!bench->options->rigid && !th_trial_plate(bench, trial, &plate))) {
        return false;
    }
    if (!finite_outcome(area) || !finite_outcome(&plate)) {
        return th_fail(bench->err, TH_NOT_SOLVED, "[%s] gave no figure for the bond",
                       trial->cut->section);
    }
    describe_outcome(bench, &plate, &fresh);
    describe_area(area, &fresh);
    if (bench->stack->unusable != TH_USABLE) {
        describe_unusable(bench, &fresh);
    }
    if (!keep_scene(bench, trial, &plate, stage, &fresh)) {
        return false;
    }
    keep_worse(stage, &fresh);
    return true;
}

/* ---- pieces of a kind ------------------------------------------------------------------------ */

/* A piece that the cutter touches. */
typedef struct {
    th_trial trial;
    th_outcome area;
    double rank; /* index of the area model, raised for what it does not see: thin floors */
} th_candidate;

typedef struct {
    th_candidate items[PIECES_MOST];
    size_t count;
} th_candidates;

static bool concerns(const th_trial *pattern, const th_piece *piece, th_piece_kind kind) {
    bool other = pattern->copy > 0 && piece->copy > 0 && piece->copy != pattern->copy;

    return piece->kind == kind && !other;
}

static bool several(const th_bond_state *state, const th_trial *pattern, th_piece_kind kind) {
    int found = 0;

    for (size_t i = 0; i < state->piece_count; i++) {
        found += concerns(pattern, &state->pieces[i], kind);
    }
    return found > 1;
}

/* From a piece to the same one somewhere else. */
static th_point way_to(const th_piece *from, const th_piece *to) {
    return (th_point){to->box[0] - from->box[0], to->box[1] - from->box[1]};
}

/* Whether the spots of b, on a piece moved from that of a, are all among those of a. */
static bool covers(const th_candidate *a, const th_candidate *b) {
    th_point by = way_to(a->trial.piece, b->trial.piece);
    const th_spots *all = &a->trial.spots, *some = &b->trial.spots;
    size_t found = 0;

    for (size_t i = 0; i < all->count && found < some->count; i++) {
        const th_spot *p = &all->items[i], *q = &some->items[found];
        found += fabs(q->at.x - p->at.x - by.x) <= 1e-4 && fabs(q->at.y - p->at.y - by.y) <= 1e-4 &&
                 fabs(q->heading - p->heading) <= 1e-6;
    }
    return found == some->count;
}

/* Keep a candidate, one of those that are each other moved with all that is done to them; when
 * there are many, the ones of highest rank. */
static bool offer(const th_bench *bench, th_candidates *list, const th_candidate *fresh) {
    size_t least = 0;

    for (size_t i = 0; i < list->count; i++) {
        const th_piece *known = list->items[i].trial.piece, *piece = fresh->trial.piece;
        bool alike;
        if (!th_pieces_alike(bench->ground, known, piece, way_to(known, piece), &alike)) {
            return false;
        }
        alike = alike && list->items[i].trial.stops == fresh->trial.stops;
        if (alike && covers(&list->items[i], fresh)) {
            return true;
        }
        if (alike && covers(fresh, &list->items[i])) {
            list->items[i] = *fresh;
            return true;
        }
        least = list->items[i].rank < list->items[least].rank ? i : least;
    }
    if (list->count < PIECES_MOST) {
        list->items[list->count++] = *fresh;
    } else if (!(fresh->rank <= list->items[least].rank)) {
        list->items[least] = *fresh;
    }
    return true;
}

/* The pieces of one kind that the cutter touches, each with what the area model says of it. That
 * takes long where the hull has many corners, and a look for factors needs it only to choose. */
static bool find_candidates(const th_bench *bench, const th_bond_state *state,
                            const th_trial *pattern, const th_spots *spots, th_piece_kind kind,
                            th_candidates *list) {
    bool choose = !bench->factors_only || several(state, pattern, kind);

    list->count = 0;
    for (size_t i = 0; i < state->piece_count; i++) {
        th_candidate fresh = {.trial = *pattern, .area = {.grip = {.index = INFINITY}}};
        th_trial *trial = &fresh.trial;
        trial->state = state;
        trial->piece = &state->pieces[i];
        if (!concerns(pattern, trial->piece, kind)) {
            continue;
        }
        trial->stops = stops_on(bench, state, trial->piece);
        if (!th_spots_on(bench->ground, trial->piece, trial->cut, spots, &trial->spots)) {
            return false;
        }
        if (trial->piece->held && !choose) {
            fresh.area = th_outcome_none();
        } else if (trial->spots.count && trial->piece->held &&
                   !th_trial_area(bench, trial, &fresh.area)) {
            return false;
        }
        fresh.rank =
            fresh.area.grip.index * pow(bench->job->part.thickness / trial->piece->thinnest, 1.5);
        if (trial->spots.count && !offer(bench, list, &fresh)) {
            return false;
        }
    }
    return true;
}

bool th_stages_try(const th_bench *bench, const th_bond_state *state, const th_trial *pattern,
                   const th_stage *loads, unsigned kinds, th_stages *stages) {
    th_candidates *list = th_arena_take(bench->arena, sizeof *list);
    th_spots spots;

    if (!list) {
        return th_fail_memory(bench->err);
    }
    if (!th_spots_of(bench->ground, state, pattern->cut, pattern->copy, &spots)) {
        return false;
    }
    for (int kind = 0; kind < TH_PIECE_KINDS; kind++) {
        if (!(kinds & 1u << kind)) {
            continue;
        }
        if (!find_candidates(bench, state, pattern, &spots, (th_piece_kind)kind, list)) {
            return false;
        }
        for (size_t i = 0; i < list->count; i++) {
            if (!try_piece(bench, &list->items[i].trial, &list->items[i].area, loads,
                           &stages->kinds[kind])) {
                return false;
            }
        }
    }
    return true;
}

bool th_stages_area(const th_bench *bench, const th_bond_state *state, const th_trial *pattern,
                    th_piece_kind kind, double *index) {
    th_candidates *list = th_arena_take(bench->arena, sizeof *list);
    th_bench whole = *bench; /* the area model is what is asked for, whatever the look */
    th_spots spots;

    whole.factors_only = false;
    *index = -1;
    if (!list) {
        return th_fail_memory(bench->err);
    }
    if (!th_spots_of(bench->ground, state, pattern->cut, pattern->copy, &spots) ||
        !find_candidates(&whole, state, pattern, &spots, kind, list)) {
        return false;
    }
    for (size_t i = 0; i < list->count; i++) {
        *index = fmax(*index, list->items[i].area.grip.index);
    }
    return true;
}
