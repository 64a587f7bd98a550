/* lap_caution.c - says that an outline's first lap and a pocket's first strips are full slots, and
 * what those come to. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "cautions.h"

static bool narrow(const th_cut *cut, int operation) {
    return cut->operation == operation && cut->radial < cut->cutter->row.diameter * 0.999;
}

static bool any_of(const bool *full, size_t count) {
    bool any = false;

    for (size_t i = 0; i < count; i++) {
        any = any || full[i];
    }
    return any;
}

bool th_begin_wider(const th_job *job, const th_judging *judging, th_arena *arena, bool **full,
                    th_error *err) {
    bool outlines = false;
    th_ground ground;

    *full = th_arena_take(arena, (job->cut_count + 1) * sizeof **full);
    if (!*full) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        (*full)[i] = false;
        outlines =
            outlines || (narrow(&job->cuts[i], TH_OUTLINE) && !isnan(job->part.sheet_length));
    }
    if (outlines &&
        (!th_ground_make(job, judging, arena, &ground, err) || !th_first_laps(&ground, *full))) {
        return false;
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        (*full)[i] =
            ((*full)[i] && narrow(&job->cuts[i], TH_OUTLINE)) || narrow(&job->cuts[i], TH_POCKET);
    }
    return true;
}

/* The others are passed over, but where tabs tie pieces, which hold together. Nothing of a job
 * follows from a stepover. */
static bool judge_alone(const th_job *wide, th_judging judging, size_t which, th_arena *arena,
                        th_judgement *judged, th_error *err) {
    bool *skip = th_arena_take(arena, (wide->cut_count + 1) * sizeof *skip);

    if (!skip) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < wide->cut_count; i++) {
        skip[i] = i != which;
    }
    judging.skip = th_any_tabs(wide) ? NULL : skip;
    judging.skip_always = true;
    judging.known = NULL;
    judging.factors_only = true;
    return th_judge(wide, &judging, arena, 0, judged, err);
}

bool th_judge_wide(const th_job *job, const th_judging *judging, size_t which,
                   th_at_full_width *found, th_error *err) {
    th_arena arena = {NULL};
    th_cut *cuts = th_arena_take(&arena, job->cut_count * sizeof *cuts);
    th_job wide = *job;
    th_judgement judged;
    bool fine;

    *found = (th_at_full_width){INFINITY, INFINITY};
    if (!cuts) {
        return th_fail_memory(err);
    }
    memcpy(cuts, job->cuts, job->cut_count * sizeof *cuts);
    cuts[which].radial = cuts[which].cutter->row.diameter;
    wide.cuts = cuts;
    fine = judge_alone(&wide, *judging, which, &arena, &judged, err);
    for (size_t i = 0; fine && i < judged.count; i++) {
        const th_stage *stage = &judged.stages[i];
        if (stage->counts && stage->cut == &cuts[which]) {
            found->hold_factor = fmin(found->hold_factor, stage->hold_factor);
            found->kept = fmin(found->kept, th_kept_factor(&wide, stage));
        }
    }
    th_arena_free(&arena);
    return fine;
}

/* Of each cut what it holds at full width; INFINITY: it does not begin so, or nothing is known. */
static bool judge_each(const th_job *job, const th_judging *judging, const bool *full,
                       double *factors, th_error *err) {
    for (size_t i = 0; i < job->cut_count; i++) {
        th_error inner = {.code = TH_OK};
        th_at_full_width found = {INFINITY, INFINITY};
        if (full[i] && !th_judge_wide(job, judging, i, &found, &inner) &&
            inner.code == TH_NO_MEMORY) {
            return th_fail_memory(err);
        }
        factors[i] = found.hold_factor;
    }
    return true;
}

bool th_full_width_least(const th_job *job, const th_judging *judging, double *least,
                         th_error *err) {
    th_arena arena = {NULL};
    double *factors = th_arena_take(&arena, (job->cut_count + 1) * sizeof *factors);
    bool *full;
    bool fine = (factors || th_fail_memory(err)) &&
                th_begin_wider(job, judging, &arena, &full, err) &&
                judge_each(job, judging, full, factors, err);

    *least = INFINITY;
    for (size_t i = 0; fine && i < job->cut_count; i++) {
        *least = fmin(*least, factors[i]);
    }
    *least = isfinite(*least) ? *least : (double)NAN;
    th_arena_free(&arena);
    return fine;
}

/* Least of a cut as stated. */
static double as_stated(const th_check *check, const th_cut *cut) {
    double least = INFINITY;

    for (size_t i = 0; i < check->stage_count; i++) {
        const th_stage *stage = &check->stages[i];
        least = stage->counts && stage->cut == cut ? fmin(least, stage->hold_factor) : least;
    }
    return least;
}

/* Whether the width tells more than the verdict does: less than the whole holds, or too little
 * where the cut as stated holds. */
static bool tells(const th_check *check, const th_cut *cut, double factor) {
    return factor < check->hold_factor ||
           (factor < check->asked_factor && as_stated(check, cut) >= check->asked_factor);
}

/* The cuts of a kind that begin at full width. */
typedef struct {
    const th_cut *first;
    const char *names;
    double least; /* that they hold there, of those that it tells more of; INFINITY: none */
} wide_cuts;

/* Of pockets those alone of which the width tells more. */
static wide_cuts cuts_of(const th_job *job, const th_check *check, const bool *full,
                         const double *factors, th_arena *arena) {
    wide_cuts found = {NULL, "", INFINITY};

    for (size_t i = 0; found.names && i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        bool more = full[i] && tells(check, cut, factors[i]);
        if (full[i] && (more || cut->operation == TH_OUTLINE)) {
            found.names =
                th_arena_print(arena, "%s%s%s", found.names, found.first ? ", " : "", cut->section);
            found.first = found.first ? found.first : cut;
            found.least = more ? fmin(found.least, factors[i]) : found.least;
        }
    }
    return found;
}

static bool add_line(const th_job *job, th_check *check, const wide_cuts *cuts) {
    const th_cut *first = cuts->first;
    char stated[48], whole[48], lower[40];
    const char *then = "";
    th_units units = (th_units)job->head.units;

    if (isfinite(cuts->least)) {
        th_factor_below(cuts->least, lower, sizeof lower);
        then = th_arena_print(&check->arena, ": hold factor %s", lower);
    }
    th_quantity_print(first->radial, TH_LENGTH, units, 3, stated, sizeof stated);
    th_quantity_print(first->cutter->row.diameter, TH_LENGTH, units, 4, whole, sizeof whole);
    return then &&
           th_lines_add(&check->cautions, &check->arena,
                        "%s: %s as wide as the cutter, %s and not %s%s; radial = %s judges it",
                        cuts->names,
                        first->operation == TH_OUTLINE ? "the first lap out of a sheet is"
                                                       : "the first strip of each level is",
                        whole, stated, then, whole);
}

static bool of_kind(const th_job *job, const bool *full, int operation, bool *those) {
    bool any = false;

    for (size_t i = 0; i < job->cut_count; i++) {
        those[i] = full[i] && job->cuts[i].operation == operation;
        any = any || those[i];
    }
    return any;
}

static bool add_lines(const th_job *job, th_check *check, const bool *full, const double *factors,
                      bool *those) {
    static const int operations[2] = {TH_OUTLINE, TH_POCKET};

    for (int k = 0; k < 2; k++) {
        size_t before = check->cautions.count;
        wide_cuts cuts = {NULL, "", INFINITY};
        if (of_kind(job, full, operations[k], those)) {
            cuts = cuts_of(job, check, those, factors, &check->arena);
        }
        if (!cuts.names || (cuts.first && !add_line(job, check, &cuts))) {
            return false;
        }
        if (isfinite(cuts.least) && !(cuts.least >= check->full_width)) { /* NAN: the first */
            check->full_width = cuts.least;
            check->full_width_note = check->cautions.items[before];
        }
    }
    return true;
}

bool th_lap_caution(const th_job *job, const th_judging *judging, th_check *check, th_error *err) {
    th_arena arena = {NULL};
    double *factors = th_arena_take(&arena, (job->cut_count + 1) * sizeof *factors);
    bool *those = th_arena_take(&arena, (job->cut_count + 1) * sizeof *those);
    bool *full;
    bool fine = (factors && those) || th_fail_memory(err);

    check->full_width = (double)NAN;
    fine = fine && th_begin_wider(job, judging, &arena, &full, err);
    if (fine && any_of(full, job->cut_count)) {
        fine = judge_each(job, judging, full, factors, err) &&
               (add_lines(job, check, full, factors, those) || th_fail_memory(err));
    }
    th_arena_free(&arena);
    return fine;
}
