/* proof.c - a pull by hand and scale that a good bond survives and a bad one does not. */
#include "judge.h"

#include <math.h>

/* The pull reaches this multiple of the worst predicted demand, but never loads the bond above this
 * share of its design strength. */
#define PROOF_RATIO 1.25
#define PROOF_SHARE 0.5

/* The share of the demand below which a pull is not worth the trouble (-, practice). */
#define USEFUL_SHARE 0.2

/* Nearer than this two shares are the same: solvers differ by as little (-). */
#define AS_MUCH 1e-6

/* Side of the patch that a hook pulls on (mm, practice), and elements to a decay length there. */
#define HOOK 6.0
#define FINENESS 8.0

/* Direction of the pull: up at the place that lifts first, else sideways along the edge that is
 * nearest to the push of the worst cut: a person with a scale pulls straight, not askew. */
static void set_direction(const th_stage *stage, double direction[3]) {
    double angle = isnan(stage->force_angle) ? stage->heading : stage->force_angle;

    direction[0] = direction[1] = 0;
    direction[2] = 1;
    if (stage->way != TH_LIFT) {
        double quarter = nearbyint(angle / 90) * TH_PI / 2;
        direction[0] = nearbyint(cos(quarter));
        direction[1] = nearbyint(sin(quarter));
        direction[2] = 0;
    }
}

static double clamp(double value, double least, double greatest) {
    return fmin(fmax(value, least), greatest);
}

/* Does the pull push the part against an edge stop? It would prove the stop, not the bond. */
static bool into_stop(int stops, const double direction[3]) {
    return (direction[0] < 0 && (stops & TH_STOP_LEFT)) ||
           (direction[0] > 0 && (stops & TH_STOP_RIGHT)) ||
           (direction[1] < 0 && (stops & TH_STOP_FRONT)) ||
           (direction[1] > 0 && (stops & TH_STOP_BACK));
}

/* Where a scale can be hooked for a sideways pull: the edge of the stock on that side, abreast of
 * the cutter's place. */
static th_point edge_place(const double bounds[4], const th_stage *stage,
                           const double direction[3]) {
    th_point low = {bounds[0], bounds[1]}, high = {bounds[2], bounds[3]};
    th_point at = {clamp(stage->cutter_at.x, low.x, high.x),
                   clamp(stage->cutter_at.y, low.y, high.y)};

    at.x = direction[0] > 0 ? high.x : direction[0] < 0 ? low.x : at.x;
    at.y = direction[1] > 0 ? high.y : direction[1] < 0 ? low.y : at.y;
    return at;
}

/* Whether tabs give there, or the frame behind them: then the stage says nothing of the bond under
 * the part. */
static bool tied(const th_stage *stage) {
    return th_stage_by_tabs(stage) || th_stage_by_frame(stage);
}

/* A frame need not stay, but a part that hangs on it by tabs needs it. */
static bool carries_tabs(const th_stage *stage) {
    return stage->cut->tabs.count &&
           (stage->piece == TH_PIECE_FRAME || stage->piece == TH_PIECE_STOCK);
}

/* A pull is short, as peaks are: the stage whose bond has the worst peak is the one to prove,
 * whether or not creep governs. NULL: tabs alone hold. */
static const th_stage *worst_peak(const th_judgement *judgement) {
    const th_stage *worst = NULL;

    for (size_t i = 0; i < judgement->count; i++) {
        const th_stage *stage = &judgement->stages[i];
        if (!tied(stage) && (stage->counts || carries_tabs(stage)) &&
            (!worst || stage->peak_factor < worst->peak_factor)) {
            worst = stage;
        }
    }
    return worst;
}

/* The bond under a pull of 1 N: index at one place and at the worst one (1/N). */
typedef struct {
    double here, worst;
} th_response;

static double index_at_node(const th_stack *stack, const th_plate_influence *influence,
                            const th_wrench *pull, th_point place) {
    const double load[TH_UNITS] = {pull->fx, pull->fy, pull->fz, pull->mx, pull->my, pull->mz};
    double nearest = INFINITY, traction[3] = {0, 0, 0}, worst = 0;
    size_t node = 0;

    for (size_t n = 0; n < influence->nodes->count; n++) {
        double away = hypot(influence->nodes->x[n] - place.x, influence->nodes->y[n] - place.y);
        if (away < nearest) {
            nearest = away;
            node = n;
        }
    }
    for (int u = 0; u < TH_UNITS; u++) {
        for (int k = 0; k < 3; k++) {
            traction[k] += load[u] * influence->unit[u][3 * node + (size_t)k];
        }
    }
    for (size_t i = 0; i < stack->count; i++) {
        worst = fmax(worst, th_index(traction[2], hypot(traction[0], traction[1]),
                                     stack->interfaces[i].lift, stack->interfaces[i].shear));
    }
    return worst;
}

/* The piece before any cut that the place belongs to. */
static const th_piece *piece_at(const th_bond_state *state, th_point at) {
    const th_piece *nearest = NULL;
    double least = INFINITY;

    for (size_t i = 0; i < state->piece_count; i++) {
        double away = th_outline_holds(state->pieces[i].region, at)
                          ? 0
                          : th_outline_distance(state->pieces[i].region, at, NULL);
        if (state->pieces[i].held && away < least) {
            least = away;
            nearest = &state->pieces[i];
        }
    }
    return nearest;
}

/* The place of the outline that is nearest. */
static th_point onto(const th_outline *outline, th_point at) {
    th_point nearest = at;

    if (!th_outline_holds(outline, at)) {
        th_outline_distance(outline, at, &nearest);
    }
    return nearest;
}

/* Grids know openings and kerfs by what their cells hold: a node that is loaded may lie in one. The
 * hook goes where tape and metal are still there after the last cut. */
static th_point off_kerfs(const th_judgement *judgement, th_point at) {
    const th_bond_state *state = NULL;
    const th_piece *piece;

    for (size_t i = judgement->count; i > 0 && !state; i--) {
        const struct th_scene *scene = judgement->stages[i - 1].scene;
        state = scene ? scene->state : NULL;
    }
    piece = state ? piece_at(state, at) : NULL;
    return piece ? onto(piece->taped, at) : at;
}

static bool respond(const th_judging *judging, const th_judgement *judgement, th_ground *ground,
                    const th_stage *stage, th_proof_pull *pull, const double direction[3],
                    th_response *response) {
    const th_bond_state *state = th_state_start(ground);
    const th_piece *piece = state ? piece_at(state, pull->at) : NULL;
    double weight = 1, z = ground->job->part.thickness;
    th_wrench unit = {direction[0],      direction[1],     direction[2],
                      -z * direction[1], z * direction[0], 0};
    th_history history = {&unit, &weight, 1, 0};
    th_plate_ask ask = {.stack = &judgement->stack, .history = &history, .load = TH_PEAK};
    const th_plate_table *table;
    th_plate_spot spot;

    *response = (th_response){0, 0};
    if (!piece) {
        return state != NULL; /* no tape anywhere: nothing to prove */
    }
    pull->at = onto(piece->taped, off_kerfs(judgement, pull->at));
    spot = (th_plate_spot){pull->at.x, pull->at.y, HOOK};
    if (!th_bed_table(&(th_bed){.ground = ground, .piece = piece}, &spot, 1, FINENESS,
                      judging->cache, &table, ground->err)) {
        return false;
    }
    response->worst = th_grip_plate(th_plate_table_at(table, 0), &ask).grip.index;
    response->here =
        index_at_node(&judgement->stack, th_plate_table_at(table, 0), &unit, stage->at);
    return true;
}

/* Share of the strength that bowed stock asks for by itself. */
static double standing_share(const th_judgement *judgement) {
    double share = 0;

    for (size_t i = 0; i < judgement->stack.count; i++) {
        share = fmax(share, judgement->standing_lift / judgement->stack.interfaces[i].lift);
    }
    return share;
}

/* The pull must bring the place that lets go first to PROOF_RATIO times what the cut will ask of
 * it, though the bond is still whole, and the worst place to no more than PROOF_SHARE. */
static void size_pull(const th_judgement *judgement, const th_stage *stage,
                      const th_response *response, const double direction[3], th_proof_pull *pull) {
    double standing = standing_share(judgement);
    double most = (PROOF_SHARE - standing) / response->worst;
    double wanted = PROOF_RATIO / stage->peak_factor / response->here;
    double force = fmin(wanted, fmin(most, TH_PROOF_MOST));

    if (!(response->worst > 0) || !(most > 0)) {
        pull->limit = response->worst > 0 ? TH_PROOF_BOWED : TH_PROOF_NO_STRENGTH;
        return;
    }
    pull->possible = true;
    pull->safe = wanted <= fmin(most, TH_PROOF_MOST);
    pull->covers = force * response->here * stage->peak_factor;
    pull->limit = pull->safe                    ? TH_PROOF_WHOLE
                  : pull->covers < USEFUL_SHARE ? TH_PROOF_USELESS
                  : most < TH_PROOF_MOST        ? TH_PROOF_BOND
                                                : TH_PROOF_HAND;
    pull->load_share = force * response->worst + standing;
    for (int i = 0; i < 3; i++) {
        pull->force[i] = direction[i] * force;
    }
}

typedef struct {
    const th_job *job;
    const th_judging *judging;
    const th_judgement *judgement;
    const th_stage *stage;
    th_error *err;
} th_proving;

static bool try_pull(const th_proving *proving, const double direction[3], th_proof_pull *pull) {
    const th_stage *stage = proving->stage;
    th_arena arena = {NULL};
    th_ground ground;
    th_response response;
    bool fine;

    *pull = (th_proof_pull){.limit = TH_PROOF_NO_STRENGTH};
    pull->at =
        direction[2] > 0 ? stage->at : edge_place(proving->judgement->bounds, stage, direction);
    fine =
        th_ground_make(proving->job, proving->judging, &arena, &ground, proving->err) &&
        respond(proving->judging, proving->judgement, &ground, stage, pull, direction, &response);
    if (fine) {
        size_pull(proving->judgement, stage, &response, direction, pull);
    }
    th_arena_free(&arena);
    return fine;
}

bool th_proof_pull_of(const th_job *job, const th_judging *judging, const th_judgement *judgement,
                      th_proof_pull *pull, th_error *err) {
    th_proving proving = {job, judging, judgement, worst_peak(judgement), err};
    const double up[3] = {0, 0, 1};
    double direction[3];
    th_proof_pull lifting;

    *pull = (th_proof_pull){.limit = proving.stage ? TH_PROOF_NO_STRENGTH : TH_PROOF_TABS};
    if (!proving.stage || judgement->stack.unusable != TH_USABLE ||
        !(proving.stage->peak_factor > 0)) {
        return true;
    }
    set_direction(proving.stage, direction);
    if (into_stop(job->hold.stops, direction)) {
        direction[0] = direction[1] = 0;
        direction[2] = 1;
    }
    if (!try_pull(&proving, direction, pull)) {
        return false;
    }
    if (pull->safe || direction[2] > 0) {
        return true;
    }
    /* a pull upwards needs less of a person's strength, so it is taken where both prove as much */
    if (!try_pull(&proving, up, &lifting)) {
        return false;
    }
    if (lifting.covers > pull->covers * (1 - AS_MUCH)) {
        *pull = lifting;
    }
    return true;
}
