/* lap_caution.c - says that an outline's first lap is a full slot, and what that lap comes to. */
#include <math.h>
#include <stdio.h>

#include "cautions.h"

static bool narrow(const th_cut *cut) {
    return cut->operation == TH_OUTLINE && cut->radial < cut->cutter->row.diameter * 0.999;
}

/* Outlines with a first lap wider than they state; `any` false: none. */
static bool find_laps(const th_job *job, const th_judging *judging, th_arena *arena, bool **laps,
                      bool *any, th_error *err) {
    th_ground ground;

    *any = false;
    *laps = th_arena_take(arena, (job->cut_count + 1) * sizeof **laps);
    if (!*laps) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        *any = *any || (narrow(&job->cuts[i]) && !isnan(job->part.sheet_length));
    }
    if (!*any) {
        return true;
    }
    if (!th_ground_make(job, judging, arena, &ground, err) || !th_first_laps(&ground, *laps)) {
        return false;
    }
    *any = false;
    for (size_t i = 0; i < job->cut_count; i++) {
        (*laps)[i] = (*laps)[i] && narrow(&job->cuts[i]);
        *any = *any || (*laps)[i];
    }
    return true;
}

/* Least hold factor of the laps at full width; NAN where the job refuses it. */
static bool judge_laps(const th_job *job, const th_judging *judging, th_arena *arena,
                       const bool *laps, double *factor, th_error *err) {
    const char **settings = th_arena_take(arena, (job->cut_count + 1) * sizeof *settings);
    th_error inner = {TH_OK, 0, "", ""};
    th_judgement judgement;
    th_job *changed = NULL;
    char width[40];
    size_t count = 0;
    bool fine = settings != NULL;

    *factor = (double)NAN;
    for (size_t i = 0; fine && i < job->cut_count; i++) {
        th_number_print(job->cuts[i].cutter ? job->cuts[i].cutter->row.diameter : 0, 15, width,
                        sizeof width);
        if (laps[i]) {
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

static bool add_line(const th_job *job, th_check *check, const bool *laps, double factor) {
    const th_cut *first = NULL;
    const char *names = "", *then = "";
    char stated[48], full[48], lower[40];
    th_units units = (th_units)job->head.units;

    for (size_t i = 0; names && i < job->cut_count; i++) {
        if (laps[i]) {
            names = th_arena_print(&check->arena, "%s%s%s", names, first ? ", " : "",
                                   job->cuts[i].section);
            first = first ? first : &job->cuts[i];
        }
    }
    if (factor < check->hold_factor) {
        th_factor_below(factor, lower, sizeof lower);
        then = th_arena_print(&check->arena, ": hold factor %s", lower);
    }
    if (!names || !then || !first) {
        return false;
    }
    th_quantity_print(first->radial, TH_LENGTH, units, 3, stated, sizeof stated);
    th_quantity_print(first->cutter->row.diameter, TH_LENGTH, units, 4, full, sizeof full);
    return th_lines_add(&check->cautions, &check->arena,
                        "%s: an outline out of a sheet cuts the cutter's full width on its first "
                        "lap; radial %s is taken as stated, radial = %s judges that lap%s",
                        names, stated, full, then);
}

bool th_lap_caution(const th_job *job, const th_judging *judging, th_check *check, th_error *err) {
    th_arena arena = {NULL};
    double factor;
    bool *laps, any;
    bool fine = find_laps(job, judging, &arena, &laps, &any, err);

    if (fine && any) {
        fine = judge_laps(job, judging, &arena, laps, &factor, err) &&
               (add_line(job, check, laps, factor) || th_fail_memory(err));
    }
    th_arena_free(&arena);
    return fine;
}
