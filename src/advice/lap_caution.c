/* lap_caution.c - says that an outline's first lap and a pocket's first strips are full slots, and
 * what those come to. */
#include <math.h>
#include <stdio.h>

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

/* Least hold factor with these at full width; NAN where the job refuses it. */
static bool judge_full(const th_job *job, const th_judging *judging, th_arena *arena,
                       const bool *full, double *factor, th_error *err) {
    const char **settings = th_arena_take(arena, (job->cut_count + 1) * sizeof *settings);
    th_error inner = {.code = TH_OK};
    th_judgement judgement;
    th_job *changed = NULL;
    char width[40];
    size_t count = 0;
    bool fine = settings != NULL;

    *factor = (double)NAN;
    for (size_t i = 0; fine && i < job->cut_count; i++) {
        th_number_print(job->cuts[i].cutter ? job->cuts[i].cutter->row.diameter : 0, 15, width,
                        sizeof width);
        if (full[i]) {
            settings[count] = th_arena_print(arena, "%s.radial=%smm", job->cuts[i].section, width);
            fine = settings[count++] != NULL;
        }
    }
    fine = fine &&
           (th_job_change(job, settings, count, &changed, &inner) || inner.code != TH_NO_MEMORY);
    if (fine && changed && th_judge(changed, judging, arena, 0, &judgement, &inner)) {
        *factor = judgement.hold_factor;
    }
    th_job_free(changed);
    return (fine && inner.code != TH_NO_MEMORY) || th_fail_memory(err);
}

static const char *names_of(const th_job *job, const bool *full, int operation, th_arena *arena,
                            const th_cut **first) {
    const char *names = "";

    *first = NULL;
    for (size_t i = 0; names && i < job->cut_count; i++) {
        if (full[i] && job->cuts[i].operation == operation) {
            names =
                th_arena_print(arena, "%s%s%s", names, *first ? ", " : "", job->cuts[i].section);
            *first = *first ? *first : &job->cuts[i];
        }
    }
    return names;
}

static bool add_line(const th_job *job, th_check *check, const bool *full, int operation,
                     const char *then) {
    const th_cut *first;
    const char *names = names_of(job, full, operation, &check->arena, &first);
    char stated[48], whole[48];
    th_units units = (th_units)job->head.units;

    if (!names || !first) {
        return names != NULL;
    }
    th_quantity_print(first->radial, TH_LENGTH, units, 3, stated, sizeof stated);
    th_quantity_print(first->cutter->row.diameter, TH_LENGTH, units, 4, whole, sizeof whole);
    return th_lines_add(&check->cautions, &check->arena,
                        "%s: %s as wide as the cutter, %s and not %s%s; radial = %s judges it",
                        names,
                        operation == TH_OUTLINE ? "the first lap out of a sheet is"
                                                : "the first strip of each level is",
                        whole, stated, then, whole);
}

static bool add_lines(const th_job *job, th_check *check, const bool *full, double factor) {
    const char *then = "";
    size_t before = check->cautions.count;
    char lower[40];

    if (factor < check->hold_factor) {
        th_factor_below(factor, lower, sizeof lower);
        then = th_arena_print(&check->arena, ": hold factor %s", lower);
    }
    if (!then || !add_line(job, check, full, TH_OUTLINE, then) ||
        (!(factor >= check->hold_factor) && !add_line(job, check, full, TH_POCKET, then))) {
        return false;
    }
    if (factor < check->hold_factor) {
        check->full_width = factor;
        check->full_width_note = check->cautions.items[before];
    }
    return true;
}

bool th_lap_caution(const th_job *job, const th_judging *judging, th_check *check, th_error *err) {
    th_arena arena = {NULL};
    double factor;
    bool *full;
    bool fine = th_begin_wider(job, judging, &arena, &full, err);

    check->full_width = (double)NAN;
    if (fine && any_of(full, job->cut_count)) {
        fine = judge_full(job, judging, &arena, full, &factor, err) &&
               (add_lines(job, check, full, factor) || th_fail_memory(err));
    }
    th_arena_free(&arena);
    return fine;
}
