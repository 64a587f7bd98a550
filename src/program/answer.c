/* answer.c - a program read, swept and held against its job. */
#include "answer.h"
#include "read.h"
#include "tabs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    WORST_USUAL = 10,
    TABLE_NUMBERS = 100, /* H and D of a job with one cutter for all */
    PROGRESS_EACH = 64,  /* moves and steps between two calls */
    TAB_ROUNDS = 4,      /* runs at most for tabs, each with those found before */
    ASK_ROUNDS = 6       /* in which the plate is asked more, at most */
};

/* Cells for the plate, whose elements are far larger. */
#define COARSER 2.5

/* ---- tools -----------------------------------------------------------------------------------
 */

static void one_for_all(const th_job_cutter *cutter, answer_tools *tools) {
    tools->cutters[tools->cutter_count++] = (th_sweep_tool){-1, &cutter->row, cutter->wear};
    for (int i = 1; i < TABLE_NUMBERS; i++) {
        tools->table[tools->table_count++] =
            (th_program_tool){i, (double)NAN, cutter->row.diameter};
    }
}

bool answer_tools_of(const th_job *job, th_arena *arena, answer_tools *tools, th_error *err) {
    size_t room = job->tool_count + TABLE_NUMBERS;

    *tools = (answer_tools){.cutters = th_arena_take(arena, room * sizeof *tools->cutters),
                            .table = th_arena_take(arena, room * sizeof *tools->table)};
    if (!tools->cutters || !tools->table) {
        return th_fail_memory(err);
    }
    if (job->tool_count == 0 && job->cutter_count != 1) {
        return th_fail(err, TH_MISSING,
                       "which cutter is in the spindle is not said: the job has %zu cutters and no "
                       "[tool.N]. Write for each T of the program, e.g. [tool.1] with cutter = %s",
                       job->cutter_count, job->cutter_count ? job->cutters[0].name : "NAME");
    }
    if (job->tool_count == 0) {
        one_for_all(&job->cutters[0], tools);
    }
    for (size_t i = 0; i < job->tool_count; i++) {
        const th_job_tool *tool = &job->tools[i];
        tools->cutters[tools->cutter_count++] =
            (th_sweep_tool){tool->number, &tool->cutter->row, tool->cutter->wear};
        tools->table[tools->table_count++] =
            (th_program_tool){tool->number, tool->length, tool->diameter};
    }
    return true;
}

/* ---- moves -----------------------------------------------------------------------------------
 */

static void note_line(line_list *list, int line) {
    if (line == list->last && list->count > 0) {
        return;
    }
    for (size_t i = 0; i < list->count && i < LINES_NAMED; i++) {
        if (list->lines[i] == line) {
            return;
        }
    }
    if (list->count < LINES_NAMED) {
        list->lines[list->count] = line;
    }
    list->count++;
    list->last = line;
}

static bool feeds(const th_move *move) {
    return move->kind == TH_MOVE_LINE || move->kind == TH_MOVE_ARC;
}

/* M7 switches the air where the job blows some, and not mist. */
static void note_coolant(answer *a, const th_move *move) {
    const th_coolant *said = a->options->job->hold.coolant;
    bool air = said->kind == TH_COOL_DRY && strcmp(said->head.id, "dry") != 0;
    int *line = air && move->coolant == 1 ? &a->air_line : &a->coolant_line;

    if (!*line && move->coolant && feeds(move)) {
        *line = move->line;
    }
}

/* What the machine itself would not do. */
static void note_machine(answer *a, const th_move *move) {
    const th_machine *machine = &a->options->job->machine;

    if (move->feed > machine->feed_max * (1 + 1e-9)) {
        note_line(&a->fast, move->line);
    }
    /* without any S the spindle stands: where that cuts, it is told as such */
    if (feeds(move) && move->spindle != 0 && move->speed > 0 &&
        (move->speed > machine->speed_max * (1 + 1e-9) ||
         move->speed < machine->speed_min * (1 - 1e-9))) {
        note_line(&a->spinning, move->line);
    }
    note_coolant(a, move);
}

static double seconds_of(const th_move *move) {
    double length = 0;

    for (int i = 0; i < 3; i++) {
        length += (move->to[i] - move->from[i]) * (move->to[i] - move->from[i]);
    }
    return move->feed > 0 ? sqrt(length) / move->feed * 60 : 0;
}

void answer_tell_now(const answer *a) {
    const th_run_options *o = a->options;
    double share = a->feed_seconds > 0 ? fmin(a->seconds_done / a->feed_seconds, 1) : 0;

    if (o->progress) {
        o->progress(o->context, a->progress_from + share * (a->progress_to - a->progress_from));
    }
}

void answer_tell(answer *a) {
    if (++a->told % PROGRESS_EACH == 0) {
        answer_tell_now(a);
    }
}

static bool take_move(void *context, const th_move *move, th_error *err) {
    answer *a = context;
    const th_run_options *o = a->options;
    th_move slowed = *move;

    if (o->scale && move->line > 0 && (size_t)move->line < o->scale_count) {
        slowed.feed *= (double)o->scale[move->line];
    }
    if (!a->again) { /* not when the moves come by again */
        note_machine(a, &slowed);
    }
    a->seconds_done += seconds_of(move);
    answer_tell(a);
    return th_loads_move(a->loads, &slowed, err);
}

/* ---- what is left ----------------------------------------------------------------------------
 */

static bool copy_texts(th_run *run, const char *text, size_t size, th_error *err) {
    const char *end = text + size;
    int line = 1;

    for (const char *p = text; p < end; line++) {
        const char *stop = memchr(p, '\n', (size_t)(end - p));
        stop = stop ? stop : end;
        for (size_t i = 0; i < run->worst_count; i++) {
            char safe[RS_ECHO_ROOM];
            if (run->worst[i].load.line == line) {
                rs_echo(p, stop, safe);
                run->worst[i].text = th_arena_copy(&run->arena, safe, strlen(safe));
                if (!run->worst[i].text) {
                    return th_fail_memory(err);
                }
            }
        }
        p = stop + 1;
    }
    return true;
}

/* NULL: out of memory. */
static void *copy_list(const void *from, size_t bytes, th_arena *arena) {
    void *to = th_arena_take(arena, bytes + 1);

    if (to && bytes > 0) {
        memcpy(to, from, bytes);
    }
    return to;
}

static void take_shared(answer *a) {
    a->shared = a->loads->shared;
    a->shared_count = a->loads->shared_count;
    a->loads->shared = NULL;
    a->loads->shared_count = 0;
}

static bool take_results(answer *a, th_error *err) {
    th_run *run = a->run;
    const th_job *job = a->options->job;
    const th_load_result *loads = th_loads_result(a->loads);
    const th_sweep *sweep = th_loads_sweep(a->loads);
    th_sweep_sums sums = th_sweep_sums_of(sweep);
    const th_found *found = th_sweep_found(sweep, &run->found_count);

    run->area_factor = loads->hold_factor;
    run->peak_force = loads->peak_force;
    run->peak_power = loads->peak_power;
    run->sway = loads->sway;
    run->sway_line = loads->sway_line;
    run->warmest = loads->warmest;
    run->warmest_line = loads->warmest_line;
    run->lowest = sums.lowest;
    run->lowest_line = sums.lowest_line;
    run->reached = sums.reached;
    run->reached_line = sums.reached_line;
    run->dived = sums.dived;
    run->dived_line = sums.dived_line;
    run->seconds = sums.seconds + run->reading.rapid_length / job->machine.feed_max * 60;
    run->cutting = sums.cutting;
    run->removed = sums.removed;
    run->steps = sums.steps;
    run->cell = th_sweep_map(sweep).cell;
    run->plate_top = -job->stack_height;
    run->table = -job->stack_height - job->hold.plate_thickness;
    run->loose_count = loads->loose_count;
    run->loose = copy_list(loads->loose, loads->loose_count * sizeof *run->loose, &run->arena);
    run->found = copy_list(found, run->found_count * sizeof *run->found, &run->arena);
    take_shared(a);
    return run->loose && run->found ? answer_rounds_end(a, err) : th_fail_memory(err);
}

static void set_verdict(th_run *run) {
    run->verdict = th_verdict_of(run->hold_factor, run->asked_factor);
    if (run->verdict == TH_HOLDS && run->held_back.count > 0) {
        run->verdict = TH_UNPROVEN;
    }
}

/* ---- the run ---------------------------------------------------------------------------------
 */

static bool no_sink(void *context, const th_move *move, th_error *err) {
    (void)context;
    (void)move;
    (void)err;
    return true;
}

typedef bool take_step(void *context, const th_step_load *load, th_error *err);

static bool sweep_it(answer *a, const answer_material *on, take_step *each, double cell,
                     th_error *err) {
    const th_run_options *o = a->options;
    th_load_setup setup = {.job = o->job,
                           .outline = o->outline,
                           .taped = o->taped,
                           .tools = on->tools.cutters,
                           .tool_count = on->tools.cutter_count,
                           .cell = cell,
                           .memory = o->memory,
                           .step = o->step,
                           .tabs = &a->tabs,
                           .goes = &a->goes,
                           .each = each,
                           .context = a};
    th_program_report again = {0};
    bool fine;

    a->seconds_done = 0;
    fine = th_loads_make(&setup, &a->loads, err) &&
           th_program_read(on->text, on->size, &on->reading, take_move, a, &again, err) &&
           th_loads_end(a->loads, err);
    th_program_report_free(&again);
    a->again = true;
    return fine;
}

static void forget_steps(answer *a) {
    th_run *run = a->run;

    th_loads_free(a->loads);
    a->loads = NULL;
    for (int place = 0; place < PLACE_KINDS; place++) {
        a->places[place].count = 0;
    }
    answer_cells_forget(a);
    answer_visits_forget(a);
    run->line_count = 0;
    for (size_t i = 0; i < a->copies; i++) {
        a->rounds[i] = (copy_round){.line = 0};
    }
    a->drill_count = a->tool_count = 0;
    memset(a->other_lines, 0, sizeof a->other_lines);
}

/* Of the progress, when all steps are held. */
static double steps_share(const answer *a) {
    return a->options->plates ? 0.5 : 1;
}

/* Tabs that this run has found, to those found before. */
static bool more_tabs(answer *a, bool *more, th_error *err) {
    th_tabs found;
    bool fine = th_loads_tabs(a->loads, &found, err) && tabs_add(&a->tabs, &found, err);

    *more = fine && found.bits;
    th_tabs_free(&found);
    return fine;
}

/* Where tabs are left, or taken off late, the moves come by again, as what they tie is held by its
 * bond alone. With them out of the way, others may show. */
static bool without_tabs(answer *a, const answer_material *on, th_error *err) {
    bool more = true, fine = true;

    for (int round = 0; fine && more && round < TAB_ROUNDS; round++) {
        fine = more_tabs(a, &more, err);
        if (fine && more) {
            forget_steps(a);
            a->progress_from = a->progress_to;
            a->progress_to = 0.5 * (a->progress_from + steps_share(a));
            fine = sweep_it(a, on, answer_note, a->options->cell, err);
        }
    }
    return fine;
}

/* The plate is asked on the map of the moment, so the moves come by once more. */
static bool ask_chosen(answer *a, const answer_material *on, double progress_to, th_error *err) {
    bool fine;

    if (a->ask_count == 0) {
        return true;
    }
    th_loads_free(a->loads);
    a->loads = NULL;
    a->stopped = false;
    a->progress_from = a->progress_to;
    a->progress_to = progress_to;
    fine = sweep_it(a, on, answer_ask, COARSER * a->run->cell, err);
    if (a->stopped && err) {
        *err = (th_error){TH_OK, 0, "", ""};
    }
    return fine || a->stopped;
}

/* Where what was asked leaves doubt of what was not, it is asked too, again and again. */
static bool ask_plates(answer *a, const answer_material *on, th_error *err) {
    bool fine;

    if (!answer_choose(a, err)) {
        return false;
    }
    if (a->ask_count == 0) {
        return true;
    }
    a->progress_to = steps_share(a);
    fine = th_loads_goes(a->loads, &a->goes, err) && ask_chosen(a, on, 0.8, err);
    for (int round = 0; fine && round < ASK_ROUNDS && a->ask_count > 0; round++) {
        fine = answer_choose_again(a, err) && ask_chosen(a, on, 0.5 * (a->progress_to + 1), err);
    }
    return fine;
}

static bool prepare(answer *a, const char *text, size_t size, answer_material *on, th_error *err) {
    const th_job *job = a->options->job;

    if (!job->zero.given) {
        return th_fail(err, TH_MISSING,
                       "the job has no [zero]: where the program's zero lies on the part is not "
                       "known, so there is no verdict. Write [zero] with at = X,Y (its place from "
                       "the part's lower left corner) and top = Z (its height above the bonded "
                       "face; the stock's thickness where it lies on top)");
    }
    *on = (answer_material){.text = text, .size = size, .reading = a->options->reading};
    if (!answer_tools_of(job, &a->run->arena, &on->tools, err)) {
        return false;
    }
    on->reading.tools = on->tools.table;
    on->reading.tool_count = on->tools.table_count;
    a->run->worst = th_arena_take(&a->run->arena, a->worst_most * sizeof *a->run->worst);
    return a->run->worst ? answer_rounds_make(a, err) : th_fail_memory(err);
}

static bool make_strip(th_run *run, th_error *err) {
    int last = run->reading.lines;

    run->strip = th_arena_take(&run->arena, TH_STRIP_MOST * sizeof *run->strip);
    if (!run->strip) {
        return th_fail_memory(err);
    }
    last = run->line_count > (size_t)last + 1 ? (int)run->line_count - 1 : last;
    run->strip_count = th_strip_of(run->lines, run->line_count, last, run->strip, TH_STRIP_MOST);
    return true;
}

static bool judge(answer *a, const char *text, size_t size, th_error *err) {
    th_run *run = a->run;
    answer_material on;

    if (!prepare(a, text, size, &on, err) ||
        !th_program_read(text, size, &on.reading, no_sink, NULL, &run->reading, err)) {
        return false;
    }
    if (run->reading.doubts > 0) {
        return true;
    }
    a->feed_seconds = run->reading.feed_seconds;
    a->progress_to = steps_share(a) * (isnan(a->options->job->part.sheet_length) ? 1 : 0.5);
    if (!sweep_it(a, &on, answer_note, a->options->cell, err) || !without_tabs(a, &on, err) ||
        !take_results(a, err) || !ask_plates(a, &on, err)) {
        return false;
    }
    run->judged = true;
    if (!answer_bend(a, err) || !copy_texts(run, text, size, err) || !make_strip(run, err) ||
        !answer_tell_tools(a, err) || (a->options->maps && !answer_maps(a, &on, err)) ||
        !answer_lists(a, err)) {
        return false;
    }
    set_verdict(run);
    return true;
}

bool th_run_program(const char *text, size_t size, const th_run_options *options, th_run *run,
                    th_error *err) {
    answer a = {.options = options, .run = run};
    bool fine;

    a.worst_most = options->worst ? options->worst : WORST_USUAL;
    a.worst_most = a.worst_most < TH_RUN_WORST_MOST ? a.worst_most : TH_RUN_WORST_MOST;
    a.kept_most = a.worst_most > LINES_KEPT ? a.worst_most : LINES_KEPT;
    *run = (th_run){.verdict = TH_UNPROVEN, /* until it is judged */
                    .asked_factor = options->job->head.asked_factor,
                    .bending = (double)NAN,
                    .hold_factor = INFINITY};
    fine = judge(&a, text, size, err);
    th_loads_free(a.loads);
    answer_cells_free(&a);
    answer_visits_free(&a);
    free(a.shared);
    th_tabs_free(&a.tabs);
    th_tabs_free(&a.goes);
    if (!fine) {
        th_run_free(run);
    }
    return fine;
}

void th_run_free(th_run *run) {
    if (run) {
        free(run->lines);
        th_outline_free(&run->stock);
        th_outline_free(&run->part);
        th_program_report_free(&run->reading);
        th_arena_free(&run->arena);
        *run = (th_run){0};
    }
}
