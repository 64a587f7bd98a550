/* half_heat.c - what a verdict that warmth decides would be with the usual share of heat. */
#include "cautions.h"

#include <math.h>

static bool decided_by_warmth(const th_job *job, const th_check *check) {
    enum { GROUP_O = 6 }; /* of ISO 513 in th_stock.group: of these no usual share is known */
    const th_stage *governs = &check->stages[check->governs];

    return check->verdict != TH_HOLDS && job->part.stock->group != GROUP_O &&
           (governs->way == TH_HEAT || governs->derating.temperature < 0.9);
}

static double warmest_of(const th_judgement *judged) {
    double warmest = -INFINITY;

    for (size_t i = 0; i < judged->count; i++) {
        const th_stage *stage = &judged->stages[i];
        warmest = stage->counts ? fmax(warmest, stage->temperature) : warmest;
    }
    return warmest;
}

bool th_half_heat_of(const th_job *job, const th_judging *judging, th_check *check, th_error *err) {
    th_job usual = *job;
    th_stock stock = *job->part.stock;
    th_arena arena = {NULL};
    th_judgement judged;

    check->half_heat = (th_half_heat){.share = NAN, .temperature = NAN, .hold_factor = NAN};
    if (!decided_by_warmth(job, check)) {
        return true;
    }
    stock.heat_share /= 2;
    usual.part.stock = &stock;
    if (!th_judge(&usual, judging, &arena, 0, &judged, err)) {
        th_arena_free(&arena);
        return false;
    }
    check->half_heat = (th_half_heat){stock.heat_share, warmest_of(&judged), judged.hold_factor};
    th_arena_free(&arena);
    return true;
}
