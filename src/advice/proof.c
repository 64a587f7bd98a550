/* proof.c - a pull by hand and scale that a good bond survives and a bad one does not. */
#include "judge.h"

#include <math.h>

/* The pull reaches this multiple of the worst predicted demand, but never loads the bond above this
 * share of its design strength. */
#define PROOF_RATIO 1.25
#define PROOF_SHARE 0.5

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

/* Index of the bond as it is before any cut, under the pull, at one place or (NULL) at the worst.
 */
static double index_at(const th_judgement *judgement, const th_wrench *wrench,
                       const th_point *place) {
    th_bonded bonded = judgement->first;
    double weight = 1;
    th_history history = {wrench, &weight, 1};

    if (place) {
        bonded.corners = place;
        bonded.corner_count = 1;
    }
    return th_grip_peak(&bonded, &judgement->stack, &history).index;
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

/* Index under a point pull of 1 N straight up, as a thin plate on springs has it: p = P/(8 l^2)
 * below a load in the middle, l = (D/kn)^(1/4); about four times that at an edge and nine at a
 * corner (Westergaard's slab: Huang, Pavement Analysis and Design, ch. 4). The rigid plate spreads
 * a pull that thin stock does not. */
static double local_index(const th_job *job, const th_judgement *judgement, th_point at,
                          const double direction[3]) {
    const th_stock *stock = job->part.stock;
    const th_hold *hold = &job->hold;
    const double *box = judgement->bounds;
    double t = job->part.thickness;
    double bending =
        stock->elastic_modulus * t * t * t / (12 * (1 - stock->poisson * stock->poisson));
    double kn = hold->tape->lift_strength / hold->tape->lift_travel;
    double weakest = INFINITY, length, sides, times;

    if (direction[2] <= 0) {
        return 0;
    }
    if (hold->tape_below) {
        kn = fmax(kn, hold->tape_below->lift_strength / hold->tape_below->lift_travel);
    }
    for (size_t i = 0; i < judgement->stack.count; i++) {
        weakest = fmin(weakest, judgement->stack.interfaces[i].lift);
    }
    length = pow(bending / kn, 0.25);
    sides = (at.x - box[0] < 2 * length || box[2] - at.x < 2 * length) +
            (at.y - box[1] < 2 * length || box[3] - at.y < 2 * length);
    times = sides == 0 ? 1 : sides == 1 ? 4 : 9;
    return times / (8 * length * length) / job->hold.coverage / weakest;
}

/* A pull is short, as peaks are: the stage with the worst peak is the one to prove, whether or not
 * creep governs. */
static const th_stage *worst_peak(const th_judgement *judgement) {
    const th_stage *worst = &judgement->stages[judgement->governs];

    for (size_t i = 0; i < judgement->count; i++) {
        const th_stage *stage = &judgement->stages[i];
        if (stage->counts && stage->peak_factor < worst->peak_factor) {
            worst = stage;
        }
    }
    return worst;
}

/* The pull must bring the place that lets go first to PROOF_RATIO times what the cut will ask of
 * it, though the bond is still whole, and the worst place to no more than PROOF_SHARE. */
th_proof_pull th_proof_pull_of(const th_job *job, const th_judgement *judgement) {
    const th_stage *stage = worst_peak(judgement);
    th_proof_pull pull = {.possible = judgement->stack.unusable == TH_USABLE};
    double direction[3], here, worst, force;
    th_wrench unit;

    if (!pull.possible) {
        return pull;
    }
    set_direction(stage, direction);
    if (into_stop(job->hold.stops, direction)) {
        direction[0] = direction[1] = 0;
        direction[2] = 1;
    }
    pull.at = direction[2] > 0 ? stage->at : edge_place(judgement->bounds, stage, direction);
    unit = th_wrench_of(direction[0], direction[1], direction[2], pull.at.x, pull.at.y,
                        job->part.thickness, 0);
    here = index_at(judgement, &unit, &stage->at);
    worst = index_at(judgement, &unit, NULL);
    worst = fmax(worst, local_index(job, judgement, pull.at, direction));
    force = PROOF_RATIO / stage->peak_factor / here;
    pull.safe = force * worst <= PROOF_SHARE;
    force = pull.safe ? force : PROOF_SHARE / worst;
    pull.load_share = force * worst;
    for (int i = 0; i < 3; i++) {
        pull.force[i] = direction[i] * force;
    }
    return pull;
}
