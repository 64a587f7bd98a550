/* sway.c - how far a part springs sideways on its tape, and what is too far. */
#include "cautions.h"

#include <math.h>

double th_sway_limit(const th_job *job) {
    return isnan(job->head.sway_limit) ? TH_SWAY_PRACTICE : job->head.sway_limit;
}

/* Sway or creep, whichever is larger, of a stage that counts (mm); 0 where that is no fault: a push
 * sizes nothing. */
static double moves(const th_job *job, const th_stage *stage) {
    bool told = !isnan(job->head.sway_limit) || stage->cut->operation != TH_PUSH;

    return told && stage->counts ? fmax(fmax(stage->sway, stage->creep), 0) : 0;
}

/* Without a limit of the job what lets go does not sway. */
static double moved(const th_job *job, const th_check *check, const th_stage *stage) {
    bool told = !isnan(job->head.sway_limit) || check->verdict != TH_LETS_GO;

    return told ? moves(job, stage) : 0;
}

double th_sway_most(const th_job *job, const th_judgement *judgement) {
    double most = 0;

    for (size_t i = 0; i < judgement->count; i++) {
        most = fmax(most, moves(job, &judgement->stages[i]));
    }
    return most;
}

/* The stage of other cuts than those told that moves most, and beyond the limit; NULL: none. */
static const th_stage *worst_stage(const th_job *job, const th_check *check, const bool *told) {
    const th_stage *worst = NULL;
    double most = th_sway_limit(job);

    for (size_t i = 0; i < check->stage_count; i++) {
        const th_stage *stage = &check->stages[i];
        if (!told[stage->cut - job->cuts] && moved(job, check, stage) > most) {
            worst = stage;
            most = moved(job, check, stage);
        }
    }
    return worst;
}

static bool beyond_stated(const th_job *job, th_check *check, const th_stage *stage) {
    th_units units = (th_units)job->head.units;
    char sways[40], creeps[40], limit[40];

    th_quantity_print(stage->sway, TH_LENGTH, units, 2, sways, sizeof sways);
    th_quantity_print(stage->creep, TH_LENGTH, units, 2, creeps, sizeof creeps);
    th_quantity_print(job->head.sway_limit, TH_LENGTH, units, 3, limit, sizeof limit);
    return th_lines_add(&check->cautions, &check->arena,
                        "%s: the part sways %s and creeps %s on its tape; the job allows %s",
                        stage->cut->section, sways, creeps, limit);
}

/* One line for all: nobody asked for it. */
static bool beyond_practice(const th_job *job, th_check *check, const th_stage *stage) {
    th_units units = (th_units)job->head.units;
    char sways[40], creeps[40];
    const char *stays = "";

    th_quantity_print(stage->sway, TH_LENGTH, units, 2, sways, sizeof sways);
    if (stage->creep > 0.1 * TH_SWAY_PRACTICE) {
        th_quantity_print(stage->creep, TH_LENGTH, units, 2, creeps, sizeof creeps);
        stays = th_arena_print(&check->arena, " and stays %s displaced", creeps);
    }
    return stays &&
           th_lines_add(&check->cautions, &check->arena,
                        "%s: the part springs %s sideways on its tape%s: sizes come out that much "
                        "off; take a thinner tape or lighter cuts",
                        stage->cut->section, sways, stays);
}

bool th_sway_cautions(const th_job *job, th_check *check) {
    bool *told = th_arena_take(&check->arena, (job->cut_count + 1) * sizeof *told);
    const th_stage *stage;

    if (!told) {
        return false;
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        told[i] = false;
    }
    if (isnan(job->head.sway_limit)) {
        stage = worst_stage(job, check, told);
        return !stage || beyond_practice(job, check, stage);
    }
    while ((stage = worst_stage(job, check, told)) != NULL) {
        told[stage->cut - job->cuts] = true;
        if (!beyond_stated(job, check, stage)) {
            return false;
        }
    }
    return true;
}
