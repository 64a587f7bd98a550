/* limits_together.c - fastest pairs that hold all set at once: heat and time add up over the cuts.
 */
#include <math.h>
#include <stdio.h>

#include "limits.h"

enum { ROUNDS_MOST = 12, TH_REFUSED = 300 };

/* Less than this is no gain. */
#define GAIN 1.0005

typedef struct {
    const th_bounded *bounds;
    th_limits *limits;
    bool *aside; /* cuts that need not hold, by position in the job */
} th_pairs;

/* The job with the pairs set. */
typedef struct {
    double least;       /* lowest margin of what has to hold, over what is asked of it */
    size_t worst;       /* whose, by position in the job */
    double hold_factor; /* lowest of what has to hold */
    double minutes;
    double *factor;           /* of each cut of the job */
    char refused[TH_REFUSED]; /* why there is no such job; "": there is */
} th_whole;

static const th_job *job_of(const th_pairs *pairs) {
    return pairs->bounds[0].job;
}

/* Which of the limits has the pair of a cut of the job; cut_count: none. */
static size_t pair_of(const th_pairs *pairs, size_t which) {
    const th_limits *limits = pairs->limits;
    size_t i = 0;

    while (i < limits->cut_count && pairs->bounds[i].which != which) {
        i++;
    }
    return i < limits->cut_count && limits->cuts[i].possible ? i : limits->cut_count;
}

/* ---- judging ----------------------------------------------------------------------------------
 */

static bool make_job(const th_pairs *pairs, th_arena *arena, th_job **job, th_error *err) {
    const th_limits *limits = pairs->limits;
    const th_bounded *b = pairs->bounds;
    size_t count = 0;
    const char **list =
        th_arena_take(arena, (limits->cut_count + 1) * TH_SETTINGS_MOST * sizeof *list);
    th_settings *texts = th_arena_take(arena, (limits->cut_count + 1) * sizeof *texts);

    if (!list || !texts) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < limits->cut_count; i++) {
        const th_limit_point *p = &limits->cuts[i].fastest;
        if (!limits->cuts[i].possible) {
            continue;
        }
        texts[i] = th_limit_settings(&b[i], (th_engaged){p->radial, p->axial, true});
        for (size_t k = 0; k < texts[i].count; k++) {
            list[count++] = texts[i].text[k];
        }
    }
    return th_job_change(b->job, list, count, job, err);
}

static void weigh(const th_pairs *pairs, const th_job *job, const th_judgement *judgement,
                  th_whole *whole) {
    for (size_t i = 0; i < judgement->count; i++) {
        const th_stage *stage = &judgement->stages[i];
        size_t which = (size_t)(stage->cut - job->cuts);
        bool set = pair_of(pairs, which) < pairs->limits->cut_count;
        double factor = th_limit_sound(stage->hold_factor);
        double margin = th_limit_sound(th_kept_factor(job, stage)) / job->head.asked_factor;
        if (!stage->counts) {
            continue;
        }
        whole->factor[which] = fmin(whole->factor[which], factor);
        margin = set ? fmin(margin, th_limit_sway_margin(job, stage)) : margin;
        if (!set && pairs->aside[which]) {
            continue;
        }
        whole->hold_factor = fmin(whole->hold_factor, factor);
        if (margin < whole->least) {
            whole->least = margin;
            whole->worst = which;
        }
    }
}

/* The levels of a pocket begin with a strip as wide as the cutter. */
static bool weigh_strips(const th_pairs *pairs, const th_job *job, const th_judging *judging,
                         th_whole *whole, th_error *err) {
    for (size_t i = 0; i < pairs->limits->cut_count; i++) {
        size_t which = pairs->bounds[i].which;
        const th_limit_cut *cut = &pairs->limits->cuts[i];
        th_at_full_width found;
        if (!cut->possible || isnan(cut->first_strip)) {
            continue;
        }
        if (!th_judge_wide(job, judging, which, &found, err)) {
            return false;
        }
        if (found.kept / job->head.asked_factor < whole->least) {
            whole->least = found.kept / job->head.asked_factor;
            whole->worst = which;
        }
    }
    return true;
}

/* A job that is refused holds nothing; false only when memory runs out. */
static bool judge(const th_pairs *pairs, th_whole *whole) {
    const th_bounded *b = pairs->bounds;
    th_arena arena = {NULL};
    th_judging judging = b->whole;
    th_judgement judgement;
    th_job *job = NULL;
    th_error inner = {.code = TH_OK};
    bool fine = make_job(pairs, &arena, &job, &inner);

    judging.known = NULL;
    judging.skip = NULL;
    whole->least = whole->hold_factor = INFINITY;
    whole->worst = 0;
    whole->minutes = (double)NAN;
    whole->refused[0] = '\0';
    for (size_t i = 0; i < b->job->cut_count; i++) {
        whole->factor[i] = INFINITY;
    }
    fine = fine && job && th_judge(job, &judging, &arena, 0, &judgement, &inner);
    if (fine) {
        whole->minutes = judgement.minutes;
        weigh(pairs, job, &judgement, whole);
        fine = weigh_strips(pairs, job, &judging, whole, &inner);
    }
    if (!fine) {
        whole->least = whole->hold_factor = 0;
        snprintf(whole->refused, sizeof whole->refused, "%.*s", TH_REFUSED - 1, inner.message);
    }
    th_arena_free(&arena);
    th_job_free(job);
    return fine || inner.code != TH_NO_MEMORY || th_fail_memory(b->err);
}

/* ---- pairs that are refused -------------------------------------------------------------------
 */

static bool note_refused(th_limits *limits, size_t i, const char *why) {
    return th_limit_note(&limits->notes, &limits->arena,
                         th_arena_print(&limits->arena,
                                        "%s: its fastest pair cannot be set beside the others, and "
                                        "is left out: %s",
                                        limits->cuts[i].cut->section, why));
}

/* A pair that the job takes no more once others are set: the first without which it is a job again
 * gives way, or where no single one is at fault the last. */
static bool drop_refused(th_pairs *pairs, th_whole *now, th_whole *trial) {
    th_limits *limits = pairs->limits;
    size_t chosen = limits->cut_count;

    for (size_t i = 0; i < limits->cut_count; i++) {
        if (!limits->cuts[i].possible) {
            continue;
        }
        limits->cuts[i].possible = false;
        if (!judge(pairs, trial)) {
            return false;
        }
        limits->cuts[i].possible = true;
        chosen = i;
        if (!trial->refused[0]) {
            break;
        }
    }
    if (chosen == limits->cut_count) {
        return true;
    }
    limits->cuts[chosen].possible = false;
    limits->cuts[chosen].given_up = true;
    return (note_refused(limits, chosen, now->refused) || th_fail_memory(pairs->bounds->err)) &&
           judge(pairs, now);
}

/* ---- stepping back ----------------------------------------------------------------------------
 */

/* Whether `a` is the better of two sets: one that holds, and of such the quicker; else the one
 * nearer to holding. */
static bool better(const th_whole *a, const th_whole *b) {
    if (a->least >= 1 && b->least >= 1) {
        return a->minutes < b->minutes;
    }
    return a->least > b->least;
}

/* What a cut does tells on itself and on those after it. The one step of them all that does best;
 * `moved` false: none gains anything. */
static bool step_back(th_pairs *pairs, th_whole *now, th_whole *trial, bool *moved) {
    th_whole best = *now;
    size_t chosen = 0;
    th_limit_point pair = {0};

    *moved = false;
    for (size_t i = 0; i < pairs->limits->cut_count; i++) {
        th_limit_cut *cut = &pairs->limits->cuts[i];
        const th_bounded *b = &pairs->bounds[i];
        th_limit_point before = cut->fastest, milder;
        double share = b->which == now->worst ? now->least : 1;
        bool found = false;
        if (!cut->possible || b->which > now->worst) {
            continue;
        }
        if (!th_limit_milder(b, &before, share, &milder, &found)) {
            return false;
        }
        cut->fastest = found ? milder : before;
        if (found && !judge(pairs, trial)) {
            return false;
        }
        cut->fastest = before;
        if (found && trial->least > now->least * GAIN && (!*moved || better(trial, &best))) {
            best = *trial;
            chosen = i;
            pair = milder;
            *moved = true;
        }
    }
    if (*moved) {
        pairs->limits->cuts[chosen].fastest = pair;
        return judge(pairs, now);
    }
    return true;
}

static bool stands_as_stated(const th_limit_cut *cut) {
    double radial = th_limit_own_radial(cut);

    return fabs(cut->fastest.axial - cut->cut->axial) <= 1e-9 * cut->cut->axial &&
           fabs(cut->fastest.radial - radial) <= 1e-9 * radial;
}

/* A pair gives way to the job's own engagement, which holds as long as all others have theirs;
 * where that does not, the cut is left as it is. */
static bool take_own(const th_pairs *pairs, size_t which) {
    th_limit_cut *cut = &pairs->limits->cuts[which];
    const th_bounded *b = &pairs->bounds[which];
    th_engaged own = {th_limit_own_radial(cut), cut->cut->axial, true};
    th_look seen;

    if (!(cut->own_holds && cut->lap_holds && cut->own_bond_holds) || stands_as_stated(cut)) {
        cut->possible = false;
        cut->given_up = true;
        return true;
    }
    if (!th_look_at(b, own, TH_LOOK_CUTTER, &seen)) {
        return false;
    }
    cut->fastest.radial = own.radial;
    cut->fastest.axial = cut->fastest.least = own.axial;
    cut->fastest.passes = seen.passes;
    cut->fastest.minutes = seen.minutes;
    return true;
}

/* What of a pair may be given up: more the likelier that it helps. */
static int worth_giving(const th_pairs *pairs, size_t i, size_t worst) {
    const th_limit_cut *cut = &pairs->limits->cuts[i];
    size_t which = pairs->bounds[i].which;

    if (!cut->possible || which > worst) {
        return cut->possible ? 0 : -1;
    }
    return stands_as_stated(cut) ? 1 : which == worst ? 3 : 2;
}

/* Nothing gains any more: the cut that fails takes the job's own engagement, or one before it. */
static bool give_way(const th_pairs *pairs, size_t worst) {
    size_t chosen = 0;
    int most = -1;

    for (size_t i = 0; i < pairs->limits->cut_count; i++) {
        int worth = worth_giving(pairs, i, worst);
        chosen = worth > most ? i : chosen;
        most = worth > most ? worth : most;
    }
    return take_own(pairs, chosen);
}

/* ---- summing up -------------------------------------------------------------------------------
 */

static bool sum_up(const th_pairs *pairs, const th_whole *whole) {
    th_limits *limits = pairs->limits;
    const th_job *job = job_of(pairs);

    limits->together.hold_factor = whole->hold_factor;
    limits->together.job_factor = INFINITY;
    for (size_t i = 0; i < job->cut_count; i++) {
        limits->together.job_factor = fmin(limits->together.job_factor, whole->factor[i]);
    }
    limits->together.minutes = whole->minutes;
    for (size_t i = 0; i < limits->cut_count; i++) {
        th_limit_cut *cut = &limits->cuts[i];
        if (cut->possible) {
            cut->fastest.hold_factor = whole->factor[pairs->bounds[i].which];
            limits->together.any = true;
        }
    }
    for (size_t i = 0; i < job->cut_count && limits->together.any; i++) {
        if (pairs->aside[i] && pair_of(pairs, i) == limits->cut_count &&
            !th_lines_add(&limits->together.aside, &limits->arena, "%s", job->cuts[i].section)) {
            return th_fail_memory(pairs->bounds->err);
        }
    }
    return true;
}

static bool any_pair(const th_limits *limits) {
    for (size_t i = 0; i < limits->cut_count; i++) {
        if (limits->cuts[i].possible) {
            return true;
        }
    }
    return false;
}

bool th_limit_together(const th_bounded *bounds, th_limits *limits) {
    if (limits->cut_count == 0) {
        return true;
    }
    th_pairs pairs = {bounds, limits, bounds->fails_anyway};
    size_t cuts = bounds->job->cut_count;
    th_whole whole = {.factor = th_arena_take(&limits->arena, (cuts + 1) * sizeof(double))};
    th_whole trial = {.factor = th_arena_take(&limits->arena, (cuts + 1) * sizeof(double))};

    if (!any_pair(limits)) {
        return true;
    }
    if (!whole.factor || !trial.factor) {
        return th_fail_memory(bounds->err);
    }
    if (!judge(&pairs, &whole)) {
        return false;
    }
    while (whole.refused[0] && any_pair(limits)) {
        if (!drop_refused(&pairs, &whole, &trial)) {
            return false;
        }
    }
    for (int round = 0; whole.least < 1 && any_pair(limits); round++) {
        bool moved = false;
        if (round < ROUNDS_MOST && !step_back(&pairs, &whole, &trial, &moved)) {
            return false;
        }
        if (!moved && (!give_way(&pairs, whole.worst) || !judge(&pairs, &whole))) {
            return false;
        }
    }
    return sum_up(&pairs, &whole);
}
