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

th_proof_pull th_proof_pull_of(const th_job *job, const th_judgement *judgement) {
    const th_stage *stage = &judgement->stages[judgement->governs];
    th_point at = stage->way == TH_LIFT ? stage->at : stage->cutter_at;
    th_proof_pull pull = {.possible = judgement->stack.unusable == TH_USABLE};
    double direction[3], weight = 1, share;
    th_wrench unit;
    th_history history = {&unit, &weight, 1};
    th_grip grip;

    if (!pull.possible) {
        return pull;
    }
    at.x = clamp(at.x, 0, job->part.length);
    at.y = clamp(at.y, 0, job->part.width);
    set_direction(stage, direction);
    unit =
        th_wrench_of(direction[0], direction[1], direction[2], at.x, at.y, job->part.thickness, 0);
    grip = th_grip_peak(&judgement->first, &judgement->stack, &history);
    share = PROOF_RATIO / stage->peak_factor;
    pull.at = at;
    pull.safe = share <= PROOF_SHARE;
    pull.load_share = fmin(share, PROOF_SHARE);
    for (int i = 0; i < 3; i++) {
        pull.force[i] = direction[i] * pull.load_share / grip.index;
    }
    return pull;
}
