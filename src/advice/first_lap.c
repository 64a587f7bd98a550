/* first_lap.c - an outline out of a sheet is a slot on its first lap, whatever engagement is
 * stated. */
#include <math.h>

#include "judge.h"

/* Of the kerf's metal so much is gone that the stated engagement may be true: nearer to it than to
 * the whole. */
static double opened_below(const th_cut *cut) {
    return 0.5 * (1 + fmin(cut->radial / cut->cutter->row.diameter, 0.9));
}

static bool area_of(th_ground *ground, const th_outline *kerf, const th_outline *metal,
                    double *area) {
    const th_outline *both =
        th_shapes_overlaid(ground->shapes, kerf, metal, TH_INTERSECTION, ground->err);

    *area = both ? th_outline_section(both).area : 0;
    return both != NULL;
}

/* What runs round the parts: openings that the outline goes round as well may have cuts of their
 * own. An outline with nothing outside is taken whole. */
static const th_outline *kerf_round(th_ground *ground, const th_cut *cut) {
    const th_outline *kerf = th_kerf_of(ground, cut, 1, ground->copies);
    const th_outline *round =
        kerf ? th_shapes_overlaid(ground->shapes, kerf, ground->parts, TH_DIFFERENCE, ground->err)
             : NULL;

    return round && round->ring_count == 0 ? kerf : round;
}

/* Whether the kerf is still metal. */
static bool still_full(th_ground *ground, const th_bond_state *state, const th_cut *cut,
                       bool *full) {
    const th_outline *kerf = kerf_round(ground, cut);
    const th_outline *stock = th_ground_stock(ground);
    double left, whole;

    if (!kerf || !stock || !area_of(ground, kerf, state->region, &left) ||
        !area_of(ground, kerf, stock, &whole)) {
        return false;
    }
    *full = left > opened_below(cut) * whole;
    return true;
}

bool th_first_laps(th_ground *ground, bool *full) {
    const th_job *job = ground->job;
    const th_bond_state *state = th_state_start(ground);

    for (size_t i = 0; state && i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        full[i] = false;
        if (ground->sheet && cut->operation == TH_OUTLINE &&
            !still_full(ground, state, cut, &full[i])) {
            return false;
        }
        state = i + 1 < job->cut_count ? th_state_after(ground, state, cut) : state;
    }
    return state != NULL;
}
