/* odds_certain.c - jobs that let go whatever scatters: nothing to sample. */
#include "odds.h"

/* Seven inputs, each beyond so many standard deviations on its good side, come to 7e-7: less than
 * one in a million. */
#define GOOD 5.2

/* Hold factors that no such scatter lifts to 1 lie below. */
#define HOPELESS 0.05

/* Room for what a coarse grid misses. */
#define SURELY_BELOW 0.5

/* Strong, light, well covered, true and cool. */
static th_change best_change(const th_scatter *scatter) {
    double z[TH_ODDS_INPUTS];

    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        z[i] = i == TH_ODDS_FORCE || i == TH_ODDS_RUNOUT || i == TH_ODDS_WARMTH ? -GOOD : GOOD;
    }
    return th_scatter_change(scatter, z);
}

bool th_odds_certain(const th_job *job, const th_scatter *scatter, const th_judging *judging,
                     const th_judgement *judgement, th_certainty *found, th_error *err) {
    th_change change = best_change(scatter);
    th_judging coarse = *judging;
    th_arena arena = {NULL};
    th_judgement best;
    th_variant *variant;
    bool fine;

    *found = (th_certainty){.deviations = GOOD};
    if (judgement->hold_factor >= HOPELESS) {
        return true;
    }
    variant = th_arena_take(&arena, sizeof *variant);
    coarse.quick = true;
    coarse.factors_only = true;
    fine = variant && th_variant_make(job, &change, &arena, variant) ? true : th_fail_memory(err);
    fine = fine && th_judge(&variant->job, &coarse, &arena, 0, &best, err);
    if (fine) {
        found->hold_factor = best.hold_factor;
        found->lets_go = best.hold_factor < SURELY_BELOW;
    }
    th_arena_free(&arena);
    return fine;
}
