/* check.c - the whole answer: verdict, what governs, what was assumed, what is not checked. */
#include "judge.h"

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

/* ---- cautions -------------------------------------------------------------------------------- */

static bool stage_cautions(th_check *check, const th_stage *stage) {
    th_lines *lines = &check->cautions;
    th_arena *arena = &check->arena;
    const char *section = stage->cut->section;
    bool fine = true;

    if (stage->chip_margin < 1) {
        fine =
            th_lines_add(lines, arena,
                         "%s rubs: its chip is thinner than the edge can cut; a larger chip load "
                         "cuts easier, a smaller one makes it worse",
                         section);
    }
    if (fine && stage->spindle_margin < 1) {
        fine = th_lines_add(lines, arena, "%s asks more power than the spindle has", section);
    }
    if (fine && stage->deflection_margin < 1) {
        fine = th_lines_add(lines, arena,
                            "%s springs its cutter by over 1 %% of the diameter: expect a wall out "
                            "of true, and chatter",
                            section);
    }
    if (fine && stage->cut->operation == TH_DRILLED && stage->cut->through) {
        fine = th_lines_add(lines, arena,
                            "%s: a drill grabs as it breaks through thin stock; slow down for the "
                            "last turns",
                            section);
    }
    return fine;
}

/* A hold that is not fit for the conditions, in plain words. */
static bool unfit_caution(th_check *check) {
    const th_stage *stage = &check->stages[check->governs];
    const char *id = stage->row ? stage->row->id : "it";
    const char *format =
        stage->way == TH_COOLING
            ? "%s is not to be used with this cooling: cut dry, or take a film tape"
        : stage->way == TH_HEAT ? "%s is too warm to hold: cool the shop or the cut"
        : stage->way == TH_WAIT ? "%s has not set yet: wait longer"
                                : "%s does not stick to this surface";
    return check->hold_factor > 0 || th_lines_add(&check->cautions, &check->arena, format, id);
}

static bool list_cautions(const th_job *job, th_check *check) {
    if (!unfit_caution(check)) {
        return false;
    }
    for (size_t i = 0; i < job->cautions.count; i++) { /* a collision before all else */
        if (strstr(job->cautions.items[i], "the holder would strike") &&
            !th_lines_add(&check->cautions, &check->arena, "%s", job->cautions.items[i])) {
            return false;
        }
    }
    for (size_t i = 0; i < check->stage_count; i++) {
        if (!stage_cautions(check, &check->stages[i])) {
            return false;
        }
    }
    for (size_t i = 0; i < job->cautions.count; i++) {
        if (!th_lines_add(&check->cautions, &check->arena, "%s", job->cautions.items[i])) {
            return false;
        }
    }
    return true;
}

/* ---- what is assumed and not checked -----------------------------------------------------------
 */

static bool list_not_checked(const th_job *job, th_check *check) {
    static const char *const always[] = {"bending of the part (corners lift first)",
                                         "chatter",
                                         "a chipped cutter",
                                         "a lifted tape edge",
                                         "oil under the tape",
                                         "entry moves"};
    char room[40];

    th_quantity_print(job->hold.room_temperature, TH_TEMPERATURE, (th_units)job->head.units, 3,
                      room, sizeof room);
    if (!th_lines_add(&check->not_checked, &check->arena,
                      "heat from cutting (tape taken at the room's %s)", room)) {
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
        if (cut->through && (cut->operation == TH_OUTLINE || cut->operation == TH_HOLE) &&
            !th_lines_add(&check->not_checked, &check->arena,
                          "the hold of the frame and of slugs")) {
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
 * to the next bound is exact. */
static const char *flips_if(th_check *check) {
    double asked = check->asked_factor, now = check->hold_factor;

    if (now >= asked) {
        double r = now / asked;
        if (r < 1.02) {
            return th_arena_print(&check->arena,
                                  "no longer proven with anything worse than stated");
        }
        return th_arena_print(
            &check->arena, "no longer proven with a bond %.0f %% weaker, or forces %.0f %% higher",
            floor((1 - 1 / r) * 100), floor((r - 1) * 100));
    }
    if (now >= 1) {
        return th_arena_print(&check->arena,
                              "holds with a bond %.0f %% stronger; lets go with one %.0f %% weaker",
                              ceil((asked / now - 1) * 100), floor((1 - 1 / now) * 100));
    }
    if (now > 0) {
        double share = now / asked;
        double scale = pow(10, 1 - floor(log10(share)));
        char text[40];
        th_number_print(floor(share * scale) / scale, 2, text, sizeof text);
        return th_arena_print(&check->arena, "holds only with forces below %s of these", text);
    }
    return th_arena_print(&check->arena, "nothing but a hold that is fit for these conditions");
}

static void set_estimate(const th_job *job, th_check *check) {
    const th_stage *stage = &check->stages[check->governs];

    check->estimate = (stage->row && th_trust_weak((th_trust)stage->row->trust)) ||
                      (stage->cut->operation != TH_PUSH &&
                       (th_trust_weak((th_trust)job->part.stock->head.trust) ||
                        th_trust_weak((th_trust)job->machine.head.trust)));
}

bool th_check_run(const th_job *job, const th_check_options *options, th_check *check,
                  th_error *err) {
    th_judgement judgement;

    *check = (th_check){.asked_factor = job->head.asked_factor};
    if (!th_judge(job, &check->arena, 0, &judgement, err)) {
        th_check_free(check);
        return false;
    }
    check->stages = judgement.stages;
    check->stage_count = judgement.count;
    check->governs = judgement.governs;
    check->hold_factor = judgement.hold_factor;
    check->minutes = judgement.minutes;
    check->verdict = th_verdict_of(check->hold_factor, check->asked_factor);
    check->proof = th_proof_pull_of(job, &judgement);
    set_estimate(job, check);
    if (check->verdict != TH_HOLDS && options->turn_downs) {
        check->turn_downs_tried = true;
        th_turn_downs found;
        if (!th_turn_downs_find(job, &judgement, &check->arena, &found, err)) {
            th_check_free(check);
            return false;
        }
        check->turn_downs = found.list;
        check->turn_down_count = found.count;
        check->best_step = found.best_step;
    }
    check->flips_if = flips_if(check);
    if (!check->flips_if || !list_sources(job, check) || !list_cautions(job, check) ||
        !list_not_checked(job, check) || !list_defaults(job, check)) {
        th_check_free(check);
        return th_fail_memory(err);
    }
    return true;
}

void th_check_free(th_check *check) {
    if (check) {
        th_arena_free(&check->arena);
        *check = (th_check){0};
    }
}
