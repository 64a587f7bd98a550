/* check.c - the whole answer: verdict, what governs, what was assumed, what is not checked. */
#include "cautions.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const verdict_names[] = {"holds", "unproven", "lets go"};

const char *th_verdict_name(th_verdict verdict) {
    return verdict_names[verdict];
}

th_verdict th_verdict_of(double hold_factor, double asked) {
    if (hold_factor >= asked) {
        return TH_HOLDS;
    }
    return hold_factor >= 1 ? TH_UNPROVEN : TH_LETS_GO;
}

static bool add_source(th_check *check, const th_row_head *row, th_table table) {
    for (size_t i = 0; i < check->source_count; i++) {
        if (check->sources[i].row == row) {
            return true;
        }
    }
    check->sources[check->source_count++] = (th_source){row, table};
    return true;
}

static bool list_sources(const th_job *job, th_check *check) {
    const th_hold *hold = &job->hold;

    check->sources = th_arena_take(&check->arena, (8 + job->cut_count) * sizeof *check->sources);
    if (!check->sources) {
        return false;
    }
    add_source(check, &job->part.stock->head, TH_STOCKS);
    add_source(check, &hold->tape->head, TH_TAPES);
    if (hold->tape_below) {
        add_source(check, &hold->tape_below->head, TH_TAPES);
    }
    if (!hold->glue->absent) {
        add_source(check, &hold->glue->head, TH_GLUES);
    }
    add_source(check, &hold->plate->head, TH_PLATES);
    add_source(check, &hold->coolant->head, TH_COOLANTS);
    add_source(check, &job->machine.head, TH_MACHINES);
    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].cutter) {
            const th_cutter *cutter =
                th_tables_find(job->tables, TH_CUTTERS, job->cuts[i].cutter->id);
            add_source(check, &cutter->head, TH_CUTTERS);
        }
    }
    return true;
}

/* ---- what is assumed and not checked -----------------------------------------------------------
 */

static bool list_not_checked(const th_job *job, th_check *check) {
    static const char *const always[] = {"chatter", "a chipped cutter", "a lifted tape edge",
                                         "oil under the tape", "entry moves"};
    char room[40];

    th_quantity_print(job->hold.room_temperature, TH_TEMPERATURE, (th_units)job->head.units, 3,
                      room, sizeof room);
    if (!th_lines_add(&check->not_checked, &check->arena,
                      "heat from cutting (tape at the room's %s)", room)) {
        return false;
    }
    for (size_t i = 0; i < sizeof always / sizeof always[0]; i++) {
        if (!th_lines_add(&check->not_checked, &check->arena, "%s", always[i])) {
            return false;
        }
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        bool presses =
            cut->cutter && cut->cutter->row.kind != TH_FLAT && cut->cutter->row.kind != TH_FACE;
        if (presses && !th_lines_add(&check->not_checked, &check->arena,
                                     "tilting under a cutter that presses")) {
            return false;
        }
    }
    return true;
}

/* The ones that move the answer most come first. */
static bool list_defaults(const th_job *job, th_check *check) {
    static const char *const telling[] = {
        "hold.wait", "hold.preparation", ".speed", ".chip_load", "hold.pressed", ".wear", ""};

    for (size_t t = 0; t < sizeof telling / sizeof telling[0]; t++) {
        for (size_t i = 0; i < job->defaults.count; i++) {
            if (strstr(job->defaults.items[i], telling[t]) &&
                !th_lines_add(&check->defaults, &check->arena, "%s", job->defaults.items[i])) {
                return false;
            }
        }
    }
    return true;
}

/* The hold factor is in proportion to strength and to one over force, so the change that brings it
 * to the next bound is exact. Reads on from "flips if". */
static const char *flips_if(th_check *check) {
    double asked = check->asked_factor, now = check->hold_factor;
    th_arena *arena = &check->arena;

    if (now >= asked) {
        double r = now / asked;
        if (r < 1.02) {
            return th_arena_print(arena, "anything is worse than stated (then unproven)");
        }
        return th_arena_print(
            arena, "the bond is %.0f %% weaker or the forces %.0f %% higher (then unproven)",
            ceil((1 - 1 / r) * 100), ceil((r - 1) * 100));
    }
    if (now >= 1) {
        return th_arena_print(
            arena, "the bond is %.0f %% stronger (then it holds) or %.0f %% weaker (lets go)",
            ceil((asked / now - 1) * 100), ceil((1 - 1 / now) * 100));
    }
    if (now > 0) {
        char text[40];
        th_factor_below(100 * now / asked, text, sizeof text);
        return th_arena_print(arena, "the forces come down to %s %% of these (then it holds)",
                              text);
    }
    return th_arena_print(arena, "the hold is made fit for these conditions, nothing less");
}

static void set_estimate(const th_job *job, th_check *check) {
    const th_stage *stage = &check->stages[check->governs];

    check->estimate = (stage->row && th_trust_weak((th_trust)stage->row->trust)) ||
                      (stage->cut->operation != TH_PUSH &&
                       (th_trust_weak((th_trust)job->part.stock->head.trust) ||
                        th_trust_weak((th_trust)job->machine.head.trust)));
}

static th_heights heights_of(const th_job *job) {
    const th_hold *hold = &job->hold;
    th_heights heights = {.top = job->part.thickness,
                          .stack = job->stack_height,
                          .plate_top = -job->stack_height,
                          .through = (double)NAN,
                          .into_plate = (double)NAN,
                          .plate_left = hold->plate_thickness,
                          .table = -job->stack_height - hold->plate_thickness};

    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].through) {
            heights.through = -job->stack_height - hold->below;
            heights.into_plate = hold->below;
            heights.plate_left = hold->plate_thickness - hold->below;
        }
    }
    return heights;
}

static bool find_turn_downs(const th_job *job, const th_judging *judging,
                            const th_judgement *judgement, th_check *check, th_error *err) {
    th_turn_downs found;

    check->turn_downs_tried = true;
    if (!th_turn_downs_find(job, judging, judgement, &check->arena, &found, err)) {
        return false;
    }
    check->turn_downs = found.list;
    check->turn_down_count = found.count;
    check->best_step = found.best_step;
    return true;
}

static void take_judgement(const th_judgement *judgement, th_check *check) {
    check->stages = judgement->stages;
    check->stage_count = judgement->count;
    check->governs = judgement->governs;
    check->hold_factor = judgement->hold_factor;
    check->minutes = judgement->minutes;
    check->verdict = th_verdict_of(check->hold_factor, check->asked_factor);
}

static bool answer(const th_job *job, const th_judging *judging, th_check *check, th_error *err) {
    th_judgement judgement;

    if (!th_judge(job, judging, &check->arena, 0, &judgement, err)) {
        return false;
    }
    take_judgement(&judgement, check);
    check->heights = heights_of(job);
    set_estimate(job, check);
    if (!th_proof_pull_of(job, judging, &judgement, &check->proof, err) ||
        !th_order_of(job, judging, &judgement, &check->order, err) ||
        (check->verdict != TH_HOLDS && judging->options->turn_downs &&
         !find_turn_downs(job, judging, &judgement, check, err))) {
        return false;
    }
    check->flips_if = flips_if(check);
    return th_cautions_list(job, judging, &judgement.notes, check, err) &&
           ((check->flips_if && list_sources(job, check) && list_not_checked(job, check) &&
             list_defaults(job, check)) ||
            th_fail_memory(err));
}

bool th_check_run(const th_job *job, const th_check_options *options, th_check *check,
                  th_error *err) {
    th_judging judging = {options, th_shapes_new(), th_plate_cache_new(), false, 0, NULL};
    bool fine;

    *check = (th_check){.asked_factor = job->head.asked_factor};
    fine =
        judging.shapes && judging.cache ? answer(job, &judging, check, err) : th_fail_memory(err);
    th_plate_cache_free(judging.cache);
    th_shapes_free(judging.shapes);
    if (!fine) {
        th_check_free(check);
    }
    return fine;
}

void th_check_free(th_check *check) {
    if (check) {
        th_arena_free(&check->arena);
        *check = (th_check){0};
    }
}
