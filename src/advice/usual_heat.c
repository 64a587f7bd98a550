/* usual_heat.c - what a verdict that warmth decides would be with the usual share of heat. */
#include "cautions.h"
#include "warmth.h"

#include <math.h>

/* Share of the power that a metal mostly takes, chips and coolant the rest (estimate: about a tenth
 * is told of in textbooks, and up to twice that). */
#define USUAL_SHARE 0.15

/* Of plastics and composites no usual share is known; what was measured is no upper value. */
static bool row_is_high(const th_stock *stock) {
    return !th_warmth_plastic(stock) && stock->heat_share > USUAL_SHARE * (1 + 1e-9) &&
           stock->head.trust != TH_MEASURED;
}

static bool decided_by_warmth(const th_check *check) {
    const th_stage *governs = &check->stages[check->governs];
    bool weakened = governs->hold_factor > 0 && governs->derating.temperature < 0.9;

    return check->verdict != TH_HOLDS && (governs->way == TH_HEAT || weakened);
}

bool th_usual_heat_of(const th_job *job, const th_judging *judging, th_check *check,
                      th_error *err) {
    th_job usual = *job;
    th_stock stock = *job->part.stock;
    th_arena arena = {NULL};
    th_judgement judged;
    double warm;

    if (!row_is_high(&stock) || !decided_by_warmth(check)) {
        return true;
    }
    stock.heat_share = USUAL_SHARE;
    usual.part.stock = &stock;
    if (!th_judge(&usual, judging, &arena, 0, &judged, err)) {
        th_arena_free(&arena);
        return false;
    }
    warm = judged.stages[judged.governs].temperature;
    if (warm < check->stages[check->governs].temperature - 0.1) {
        check->usual_heat = (th_usual_heat){USUAL_SHARE, warm, judged.hold_factor};
    }
    th_arena_free(&arena);
    return true;
}
