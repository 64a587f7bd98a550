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
    if (fine && stage->unsettled > 0) {
        fine = th_lines_add(lines, arena,
                            "%s: the bending is worked out to %.0f %% only, taken on the safe side",
                            section, ceil(100 * stage->unsettled));
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

/* A factor rounded down to two digits. */
static void below(double factor, char *text, size_t size) {
    double scale = factor > 0 ? pow(10, 1 - floor(log10(factor))) : 1;

    th_number_print(floor(factor * scale * (1 + 1e-12)) / scale, 2, text, size);
}

/* A piece that need not stay, and will not. */
static bool offcut_caution(th_check *check, const th_stage *stage) {
    bool offcut = stage->piece == TH_PIECE_FRAME || stage->piece == TH_PIECE_SLUG;
    char factor[40];

    if (!offcut || stage->hold_factor >= check->asked_factor) {
        return true;
    }
    below(stage->hold_factor, factor, sizeof factor);
    return th_lines_add(
        &check->cautions, &check->arena, "%s: the %s may come loose (hold factor %s): %s",
        stage->cut->section, th_piece_name(stage->piece), factor,
        stage->piece == TH_PIECE_SLUG ? "pocket it away, or leave a skin"
                                      : "leave a skin or tabs, or keep more of it taped");
}

static bool tab_caution(th_check *check, const th_stage *stage) {
    char alone[40];

    if (!(stage->alone_factor < check->asked_factor)) {
        return true;
    }
    below(stage->alone_factor, alone, sizeof alone);
    return th_lines_add(&check->cautions, &check->arena,
                        "%s: the part hangs on its tabs; its tape alone holds %s times the load",
                        stage->cut->section, alone);
}

/* Sway and creep beyond what the job allows. */
static bool sway_caution(const th_job *job, th_check *check, const th_stage *stage) {
    char sways[40], creeps[40], limit[40];
    double most = job->head.sway_limit;

    if (isnan(most) || !stage->counts || (stage->sway <= most && stage->creep <= most)) {
        return true;
    }
    th_quantity_print(stage->sway, TH_LENGTH, (th_units)job->head.units, 2, sways, sizeof sways);
    th_quantity_print(stage->creep, TH_LENGTH, (th_units)job->head.units, 2, creeps, sizeof creeps);
    th_quantity_print(most, TH_LENGTH, (th_units)job->head.units, 3, limit, sizeof limit);
    return th_lines_add(&check->cautions, &check->arena,
                        "%s: the part sways %s and creeps %s on its tape; the job allows %s",
                        stage->cut->section, sways, creeps, limit);
}

static bool order_caution(th_check *check) {
    char now[40], moved[40];

    if (!check->order.cut) {
        return true;
    }
    below(check->order.hold_factor, now, sizeof now);
    below(check->order.moved_hold_factor, moved, sizeof moved);
    return th_lines_add(&check->cautions, &check->arena,
                        "%s frees the part before other cuts are done: hold factor %s; %s %s",
                        check->order.cut->section, now,
                        check->order.moved_hold_factor > check->order.hold_factor * 1.01
                            ? "moved last"
                            : "moving it last gains nothing:",
                        moved);
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

    if (check->hold_factor > 0) {
        return true;
    }
    if (!(stage->bonded_area > 0)) {
        return th_lines_add(&check->cautions, &check->arena,
                            "%s: no tape lies under the %s that it works on", stage->cut->section,
                            th_piece_name(stage->piece));
    }
    return th_lines_add(&check->cautions, &check->arena, format, id);
}

static bool list_cautions(const th_job *job, const th_lines *notes, th_check *check) {
    if (!unfit_caution(check)) {
        return false;
    }
    for (size_t i = 0; i < job->cautions.count; i++) { /* a collision before all else */
        if (strstr(job->cautions.items[i], "the holder would strike") &&
            !th_lines_add(&check->cautions, &check->arena, "%s", job->cautions.items[i])) {
            return false;
        }
    }
    if (!order_caution(check)) {
        return false;
    }
    for (size_t i = 0; i < notes->count; i++) {
        if (!th_lines_add(&check->cautions, &check->arena, "%s", notes->items[i])) {
            return false;
        }
    }
    for (size_t i = 0; i < check->stage_count; i++) {
        if (!offcut_caution(check, &check->stages[i]) ||
            !sway_caution(job, check, &check->stages[i]) ||
            !tab_caution(check, &check->stages[i]) || !stage_cautions(check, &check->stages[i])) {
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
    static const char *const always[] = {"chatter", "a chipped cutter", "a lifted tape edge",
                                         "oil under the tape", "entry moves"};
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
    return (check->flips_if && list_sources(job, check) &&
            list_cautions(job, &judgement.notes, check) && list_not_checked(job, check) &&
            list_defaults(job, check)) ||
           th_fail_memory(err);
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
