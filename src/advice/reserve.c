/* reserve.c - the reserve that a hold keeps against heat, as its hold factor is one against force.
 */
#include <math.h>

#include "judge.h"

/* The tape shall stand so much more warmth than is worked out: the power that warms it is no better
 * known than the force, and the room is no warmer than the job says only to some degrees (both
 * estimate). */
#define MORE_RISE 0.1
#define LEAST_MORE 2.0 /* K */

double th_heat_reserve(const th_job *job, double temperature) {
    return fmax(MORE_RISE * (temperature - job->hold.room_temperature), LEAST_MORE);
}

bool th_heat_kept(const th_job *job, const th_stage *stage) {
    return stage->temperature + th_heat_reserve(job, stage->temperature) < th_hold_warmest(job);
}

double th_kept_factor(const th_job *job, const th_stage *stage) {
    double room = job->hold.room_temperature, most = th_hold_warmest(job);
    double needed = stage->temperature + th_heat_reserve(job, stage->temperature) - room;
    double share = fmax((most - room) / needed, 0) * (1 - 1e-9);

    return th_heat_kept(job, stage) || isnan(stage->temperature)
               ? stage->hold_factor
               : fmin(stage->hold_factor, share * job->head.asked_factor);
}

double th_kept_least(const th_job *job, const th_judgement *judgement) {
    double least = judgement->hold_factor;

    for (size_t i = 0; i < judgement->count; i++) {
        const th_stage *stage = &judgement->stages[i];
        least = stage->counts ? fmin(least, th_kept_factor(job, stage)) : least;
    }
    return least;
}

/* By how much warmer the tape of a stage may get before its hold factor is below `bound` (K); the
 * hold factor is in proportion to the strength, and that falls with warmth. */
static double warmer_of(const th_job *job, const th_stage *stage, double bound) {
    double now = stage->temperature, low = 0, high = fmax(th_hold_warmest(job) - now, 0);

    for (int i = 0; i < 60 && high > low; i++) {
        double more = (low + high) / 2;
        bool holds = stage->hold_factor * th_hold_warmed(job, now, now + more) >= bound;
        low = holds ? more : low;
        high = holds ? high : more;
    }
    return high;
}

double th_warmer_until(const th_job *job, const th_check *check, double bound, bool *gone) {
    double least = INFINITY, most = th_hold_warmest(job);

    *gone = false;
    for (size_t i = 0; i < check->stage_count; i++) {
        const th_stage *stage = &check->stages[i];
        double more = stage->counts ? warmer_of(job, stage, bound) : INFINITY;
        if (more < least) {
            least = more;
            *gone = stage->temperature + more >= most - 1e-6;
        }
    }
    return least;
}

bool th_shank_rubs(const th_cut *cut) {
    const th_cutter *cutter = cut->cutter ? &cut->cutter->row : NULL;
    bool walls = cut->operation == TH_SLOT || cut->operation == TH_POCKET ||
                 cut->operation == TH_OUTLINE || cut->operation == TH_HOLE;

    return cutter && walls && cutter->shank > cutter->diameter * (1 + 1e-6) &&
           cut->depth > cutter->flute_length * (1 + 1e-6);
}
