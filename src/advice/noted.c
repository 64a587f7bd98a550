/* noted.c - what is noted of a job in the shop's own log. */
#include "tackhold/advice.h"

#include <math.h>
#include <string.h>

static const char *text_or_none(const char *text) {
    return text ? text : "";
}

static void note_hold(const th_job *job, th_log_record *record) {
    const th_hold *hold = &job->hold;

    record->stock = text_or_none(job->part.stock_id);
    record->machine = text_or_none(job->machine_id);
    record->tape = hold->tape->head.id;
    record->tape_below = hold->tape_below ? hold->tape_below->head.id : "";
    record->glue = hold->glue ? hold->glue->head.id : "";
    record->plate = text_or_none(hold->plate_id);
    record->cooling = text_or_none(hold->cooling_id);
    record->cooling_kind = hold->coolant->kind;
    record->coverage = hold->coverage;
    record->wait = hold->wait;
}

/* The word for it stands in the table of keys alone. */
static bool note_preparation(const th_job *job, th_arena *arena, th_log_record *record) {
    const th_key_group *group = th_key_group_of("hold", true);
    th_text word = {NULL, 0, 0, false};

    for (size_t i = 0; i < group->count; i++) {
        if (strcmp(group->keys[i].name, "preparation") == 0) {
            th_key_print(&group->keys[i], &job->hold, TH_MM, &word);
        }
    }
    record->preparation = word.failed ? NULL : th_arena_copy(arena, word.data, word.size);
    th_text_free(&word);
    return record->preparation != NULL;
}

static bool note_stage(const th_stage *stage, th_arena *arena, th_log_record *record) {
    const th_cut *cut = stage->cut;

    record->stage = th_arena_print(arena, "%s %s", cut ? cut->section : "-", stage->name);
    record->piece = th_piece_name(stage->piece);
    record->way = th_way_name(stage->way);
    record->load = th_load_name(stage->load);
    record->interface = text_or_none(stage->interface);
    record->cutter = cut && cut->cutter ? text_or_none(cut->cutter->id) : "";
    record->area = stage->bonded_area;
    record->temperature = stage->temperature;
    return record->stage != NULL;
}

bool th_log_record_of(const th_job *job, const th_check *check, th_log_outcome outcome,
                      th_arena *arena, th_log_record *record, th_error *err) {
    *record = (th_log_record){.when = "",
                              .program = TH_VERSION,
                              .outcome = (int)outcome,
                              .verdict = (int)check->verdict,
                              .estimate = check->estimate,
                              .hold_factor = check->hold_factor,
                              .asked_factor = check->asked_factor,
                              .title = text_or_none(job->head.title),
                              .stage = "",
                              .piece = "",
                              .way = "",
                              .load = "",
                              .interface = "",
                              .cutter = "",
                              .area = NAN,
                              .temperature = NAN,
                              .minutes = check->minutes,
                              .note = ""};
    note_hold(job, record);
    bool fine = note_preparation(job, arena, record) &&
                (check->governs >= check->stage_count ||
                 note_stage(&check->stages[check->governs], arena, record));
    return fine || th_fail_memory(err);
}
