/* trial.c - one pass on one piece: wrenches, and the worst of them by the area model. */
#include "trial.h"

#include <math.h>

#include "wrench.h"

/* ---- wrenches -------------------------------------------------------------------------------- */

void th_trial_wrenches(const th_trial *trial, const th_spot *spot, double ratio,
                       th_wrench *wrenches) {
    const th_stance at = {spot->at.x,         spot->at.y,         trial->floor,
                          cos(spot->heading), sin(spot->heading), trial->pressing};

    for (size_t i = 0; i < trial->count; i++) {
        wrenches[i] = th_wrench_under(&at, &trial->samples[i], ratio);
        if (trial->stops) {
            th_wrench_lean(trial->stops, &trial->piece->bonded, &wrenches[i]);
        }
    }
}

/* A corner of a plate bent one way pulls this much more than the edge of a strip (a plate on
 * springs, 300 x 200 x 1.5 mm of aluminium, solved outside: 1.07). */
#define BOW_CORNER 1.1

double th_standing_lift(const th_job *job, double bowed_over, const double box[4]) {
    const th_stock *stock = job->part.stock;
    th_plate_material material = {
        .elastic_modulus = stock->elastic_modulus, .poisson = stock->poisson, .shear_scale = 1};

    if (isnan(job->part.bow)) {
        return 0;
    }
    th_hold_stiffness(job->hold.tape, job->hold.tape_below, &material.kn, &material.ks);
    return BOW_CORNER * th_bow_lift(&material, job->part.thickness, job->part.bow, bowed_over,
                                    fmax(box[2] - box[0], box[3] - box[1]));
}

static double greatest_exponent(const th_job *job) {
    double n = job->hold.tape->load_time_exponent;

    return job->hold.tape_below ? fmax(n, job->hold.tape_below->load_time_exponent) : n;
}

double th_standing_aged(const th_job *job, double standing_lift, double held) {
    double n = greatest_exponent(job);

    if (!(standing_lift > 0)) {
        return standing_lift;
    }
    return standing_lift * th_time_factor(held, n) / th_time_factor(held + job->hold.wait, n);
}

bool th_trial_history(const th_bench *bench, const th_trial *trial, th_wrench **wrenches,
                      th_history *history) {
    double *weights = th_arena_take(bench->arena, trial->count * sizeof *weights);

    *wrenches = th_arena_take(bench->arena, trial->count * sizeof **wrenches);
    if (!weights || !*wrenches) {
        return th_fail_memory(bench->err);
    }
    for (size_t i = 0; i < trial->count; i++) {
        weights[i] = trial->samples[i].weight;
    }
    *history = (th_history){*wrenches, weights, trial->count,
                            th_standing_lift(bench->job, bench->bowed_over, trial->piece->box)};
    return true;
}

double th_trial_weakest(const th_bench *bench, const th_trial *trial) {
    double weakest = 1;

    for (size_t i = 0; i < bench->grip_stack->count; i++) {
        weakest = fmin(weakest,
                       th_time_factor(trial->held, bench->grip_stack->interfaces[i].time_exponent));
    }
    return weakest;
}

/* ---- outcomes -------------------------------------------------------------------------------- */

th_outcome th_outcome_none(void) {
    return (th_outcome){.grip = {.index = -1}, .force_angle = (double)NAN};
}

double th_larger(double largest, double value) {
    return value <= largest || isnan(largest) ? largest : value;
}

/* Of places that are one another mirrored the first is taken, whichever way rounding has it. */
bool th_plainly_larger(double value, double largest) {
    return value > largest * (1 + 1e-9);
}

static void keep(th_outcome *outcome, const th_grip *grip, th_load_kind load, const th_spot *spot,
                 const th_wrench *wrenches) {
    const th_wrench *wrench = &wrenches[grip->instant];

    if (!th_plainly_larger(grip->index, outcome->grip.index) && !isnan(grip->index)) {
        outcome->grip.index = th_larger(outcome->grip.index, grip->index);
        return;
    }

    outcome->grip = *grip;
    outcome->load = load;
    outcome->spot = spot;
    outcome->force_angle = hypot(wrench->fx, wrench->fy) > 0
                               ? atan2(wrench->fy, wrench->fx) * 180 / TH_PI
                               : (double)NAN;
}

void th_outcome_peak(th_outcome *outcome, const th_grip *grip, const th_spot *spot,
                     const th_wrench *wrenches) {
    outcome->shear_peak = th_larger(outcome->shear_peak, grip->shear_peak);
    outcome->lift_peak = th_larger(outcome->lift_peak, grip->lift_peak);
    if (!outcome->peak_spot || th_plainly_larger(grip->index, outcome->peak_index)) {
        outcome->peak_spot = spot;
    }
    outcome->peak_index = th_larger(outcome->peak_index, grip->index);
    keep(outcome, grip, TH_PEAK, spot, wrenches);
}

void th_outcome_sustained(th_outcome *outcome, const th_grip *grip, const th_spot *spot,
                          const th_wrench *wrenches) {
    outcome->sustained_index = th_larger(outcome->sustained_index, grip->index);
    keep(outcome, grip, TH_SUSTAINED, spot, wrenches);
}

bool th_sustained_matters(const th_bench *bench, const th_trial *trial, const th_outcome *outcome,
                          double peak_index, double no_matter, double weakest) {
    /* Without pressing the sustained load is the peak one without its ratio; not so where some of
     * it has acted for longer. */
    return trial->pressing != 0 || !isnan(bench->job->part.bow) ||
           peak_index > fmax(outcome->sustained_index, no_matter) * weakest;
}

/* ---- area model ------------------------------------------------------------------------------ */

bool th_trial_area(const th_bench *bench, const th_trial *trial, th_outcome *outcome) {
    const th_bonded *bonded = &trial->piece->bonded;
    double weakest = th_trial_weakest(bench, trial);
    double no_matter =
        bench->enough > 0 ? 1 / bench->enough : 0; /* sustained index of no interest */
    th_wrench *wrenches;
    th_history history, sustained;

    *outcome = th_outcome_none();
    if (!th_trial_history(bench, trial, &wrenches, &history)) {
        return false;
    }
    sustained = history;
    sustained.standing_lift = th_standing_aged(bench->job, history.standing_lift, trial->held);
    for (size_t i = 0; i < trial->spots.count; i++) {
        const th_spot *spot = &trial->spots.items[i];
        th_grip grip;
        th_trial_wrenches(trial, spot, trial->ratio, wrenches);
        grip = th_grip_peak(bonded, bench->grip_stack, &history);
        th_outcome_peak(outcome, &grip, spot, wrenches);
        if (!th_sustained_matters(bench, trial, outcome, grip.index, no_matter, weakest)) {
            continue;
        }
        th_trial_wrenches(trial, spot, 1, wrenches);
        grip = th_grip_sustained(bonded, bench->grip_stack, &sustained, trial->held,
                                 fmax(outcome->sustained_index, no_matter));
        th_outcome_sustained(outcome, &grip, spot, wrenches);
    }
    return true;
}

/* ---- sway ------------------------------------------------------------------------------------ */

/* How far the springs let the place under the spindle go sideways (mm). */
static double slip(const th_bench *bench, const th_trial *trial, const th_wrench *wrench,
                   th_point at) {
    return th_area_traction(&trial->piece->bonded, wrench, at).shear / bench->sway_stiffness;
}

/* Sway under the peak load. Creep under the mean load: what a tape that weakens as (t/3 s)^-n gives
 * way as (t/3 s)^n, less the part that springs back. */
bool th_trial_sway(const th_bench *bench, const th_trial *trial, double *sway, double *creep) {
    double grows = pow(fmax(trial->held / 3, 1), greatest_exponent(bench->job)) - 1;
    th_wrench *wrenches;
    th_history history;

    *sway = *creep = 0;
    if (!th_trial_history(bench, trial, &wrenches, &history)) {
        return false;
    }
    for (size_t i = 0; i < trial->spots.count; i++) {
        const th_spot *spot = &trial->spots.items[i];
        th_wrench mean = {0};
        th_trial_wrenches(trial, spot, 1, wrenches);
        for (size_t k = 0; k < trial->count; k++) {
            th_wrench scaled = {
                trial->ratio * wrenches[k].fx, trial->ratio * wrenches[k].fy, 0, 0, 0,
                trial->ratio * wrenches[k].mz};
            *sway = fmax(*sway, slip(bench, trial, &scaled, spot->at));
            mean.fx += history.weights[k] * wrenches[k].fx;
            mean.fy += history.weights[k] * wrenches[k].fy;
            mean.mz += history.weights[k] * wrenches[k].mz;
        }
        *creep = fmax(*creep, grows * slip(bench, trial, &mean, spot->at));
    }
    return true;
}
