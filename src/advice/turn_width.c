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

/* Whether th_search_widen would change anything. */
static bool states_less(const th_search *search, const th_job *job) {
    for (size_t i = 0; search->wider && i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        if (search->wider[i] && cut->cutter && cut->radial < cut->cutter->row.diameter) {
            return true;
        }
    }
    return false;
}

static double aside_of(double quick) {
    return quick > 0 ? 1 / quick : 0;
}

/* As it stands; a quick look at the full width does not tell which of its stages are far from the
 * weakest. */
static bool judge_stated(th_search *search, const th_job *changed, double quick, th_arena *arena,
                         th_judgement *judged, th_error *inner) {
    th_judging judging = search->judging;
    th_arena passing = {NULL};
    bool fine = true;

    if (states_less(search, changed)) {
        judging.quick = true;
        fine = th_judge(changed, &judging, &passing, 0, judged, inner);
        quick = fine ? judged->hold_factor : 0;
        judging.quick = false;
        th_arena_free(&passing);
    }
    judging.aside = aside_of(quick);
    return fine && th_judge(changed, &judging, arena, 0, judged, inner);
}

/* At full width: the lower of both is what counts. */
static bool judge_wide(th_search *search, const th_job *changed, double quick, th_outturn *outturn,
                       th_error *inner) {
    th_judging judging = search->judging;
    th_arena arena = {NULL};
    th_judgement judged;
    double *by_cut = th_arena_take(&arena, (changed->cut_count + 1) * sizeof *by_cut);
    bool fine;

    judging.aside = aside_of(quick);
    judging.factors_only = true;
    fine = by_cut ? th_judge(changed, &judging, &arena, 0, &judged, inner) : th_fail_memory(inner);
    if (fine) {
        outturn->kept = fmin(outturn->kept, th_kept_least(changed, &judged));
        th_search_by_cut(changed, &judged, by_cut);
        for (size_t i = 0; i < changed->cut_count; i++) {
            search->by_cut[i] = fmin(search->by_cut[i], by_cut[i]);
        }
    }
    th_arena_free(&arena);
    return fine;
}

bool th_search_judge(th_search *search, const th_combo *combo, th_job *changed, double quick,
                     th_outturn *outturn, th_error *inner) {
    th_arena arena = {NULL};
    th_judgement judged;
    bool fine = judge_stated(search, changed, quick, &arena, &judged, inner);

    *outturn = (th_outturn){.minutes = INFINITY};
    if (fine) {
        th_search_by_cut(changed, &judged, search->by_cut);
        *outturn = (th_outturn){.hold_factor = judged.hold_factor,
                                .minutes = judged.minutes,
                                .sway = th_sway_most(changed, &judged),
                                .kept = th_kept_least(changed, &judged),
                                .worse = th_search_worse(search, combo, &judged)};
    }
    fine = fine && (!th_search_widen(search, changed) ||
                    judge_wide(search, changed, quick, outturn, inner));
    th_arena_free(&arena);
    return fine;
}
