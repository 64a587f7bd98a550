/* turn_width.c - a change judged as it stands, and at the full width of the cuts that begin so:
 * what fails and begins wider than it states is cured only by what cures it there. */
#include "turn_search.h"

#include <math.h>

void th_search_by_cut(const th_job *job, const th_judgement *judged, double *by_cut) {
    for (size_t i = 0; i < job->cut_count; i++) {
        by_cut[i] = INFINITY;
    }
    for (size_t i = 0; i < judged->count; i++) {
        const th_stage *stage = &judged->stages[i];
        double *least = &by_cut[stage->cut - job->cuts];
        *least = stage->counts ? fmin(*least, th_kept_factor(job, stage)) : *least;
    }
}

/* Of each cut its cutter's diameter, where it is to be tried so; nothing of a job follows from a
 * stepover. */
bool th_search_widen(const th_search *search, th_job *changed) {
    bool any = false;

    for (size_t i = 0; search->wider && i < changed->cut_count; i++) {
        th_cut *cut = &changed->cuts[i];
        double full = cut->cutter ? cut->cutter->row.diameter : 0;
        if (search->wider[i] && cut->radial < full) {
            cut->radial = full;
            any = true;
        }
    }
    return any;
}

/* At full width, one after the other as check does: the lower of both is what counts. */
static bool judge_wide(th_search *search, const th_job *changed, th_outturn *outturn,
                       th_error *inner) {
    for (size_t i = 0; search->wider && i < changed->cut_count; i++) {
        const th_cut *cut = &changed->cuts[i];
        th_at_full_width found;
        if (!search->wider[i] || !cut->cutter || !(cut->radial < cut->cutter->row.diameter)) {
            continue;
        }
        if (!th_judge_wide(changed, &search->judging, i, &found, inner)) {
            return false;
        }
        outturn->kept = fmin(outturn->kept, found.kept);
        search->by_cut[i] = fmin(search->by_cut[i], found.kept);
    }
    return true;
}

bool th_search_judge(th_search *search, const th_combo *combo, th_job *changed, th_outturn *outturn,
                     th_error *inner) {
    th_arena arena = {NULL};
    th_judgement judged;
    bool fine = th_judge(changed, &search->judging, &arena, 0, &judged, inner);

    *outturn = (th_outturn){.minutes = INFINITY};
    if (fine) {
        th_search_by_cut(changed, &judged, search->by_cut);
        *outturn = (th_outturn){.hold_factor = judged.hold_factor,
                                .minutes = judged.minutes,
                                .sway = th_sway_most(changed, &judged),
                                .kept = th_kept_least(changed, &judged),
                                .worse = th_search_worse(search, combo, &judged)};
    }
    fine = fine && judge_wide(search, changed, outturn, inner);
    th_arena_free(&arena);
    return fine;
}
