/* order.c - an outline that frees the part too early, against the same job with it moved last. */
#include "judge.h"

#include <math.h>

/* The first outline that frees parts before other cuts but the breaking of edges; NULL: none. */
static const th_cut *early_outline(const th_job *job) {
    for (size_t i = 0; i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        if (cut->operation != TH_OUTLINE || !th_cut_opens(job, cut) ||
            isnan(job->part.sheet_length)) {
            continue;
        }
        for (size_t k = i + 1; k < job->cut_count; k++) {
            int operation = job->cuts[k].operation;
            if (operation != TH_CHAMFERING && operation != TH_OUTLINE && operation != TH_PUSH) {
                return cut;
            }
        }
    }
    return NULL;
}

/* The outline behind all others; edges are broken after it, as they must be. */
static bool move_last(const th_job *job, const th_cut *outline, th_arena *arena, th_job *moved) {
    th_cut *cuts = th_arena_take(arena, job->cut_count * sizeof *cuts);
    size_t used = 0;

    if (!cuts) {
        return false;
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        if (&job->cuts[i] != outline && job->cuts[i].operation != TH_CHAMFERING) {
            cuts[used++] = job->cuts[i];
        }
    }
    cuts[used++] = *outline;
    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].operation == TH_CHAMFERING) {
            cuts[used++] = job->cuts[i];
        }
    }
    *moved = *job;
    moved->cuts = cuts;
    return true;
}

bool th_order_of(const th_job *job, const th_judging *judging, const th_judgement *judgement,
                 th_order *order, th_error *err) {
    const th_cut *outline = early_outline(job);
    th_arena arena = {NULL};
    double moved_factor, minutes;
    th_error inner = {.code = TH_OK};
    th_job moved;
    bool fine;

    *order = (th_order){.cut = NULL};
    if (!outline) {
        return true;
    }
    fine = move_last(job, outline, &arena, &moved) || th_fail_memory(err);
    if (fine && th_judge_factor(&moved, judging, 0, &moved_factor, &minutes, &inner)) {
        *order = (th_order){outline, judgement->hold_factor, moved_factor};
    } else if (fine && inner.code == TH_NO_MEMORY) {
        fine = th_fail_memory(err);
    } /* an order that the job refuses is no advice */
    th_arena_free(&arena);
    return fine;
}
