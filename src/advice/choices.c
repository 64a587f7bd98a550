/* choices.c - the whole job on every tape and glue of the tables. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "judge.h"

typedef struct {
    const th_job *job;
    const th_judging *judging;
    th_hold_choices *choices;
    th_error *err;
} th_hunt;

/* ---- one hold -------------------------------------------------------------------------------- */

/* A hold to be tried: the job with these settings. */
typedef struct {
    const char *const *settings;
    size_t count;
} th_trying;

/* `judgement` lives in `arena`. Refused changes leave `changed` NULL and say why; false only when
 * memory ran out. */
static bool judge_with(const th_hunt *hunt, th_trying trying, th_arena *arena, th_job **changed,
                       th_judgement *judgement, th_error *reason) {
    *changed = NULL;
    if (hunt->judging->options->progress) {
        hunt->judging->options->progress(hunt->judging->options->context);
    }
    if (!th_job_change(hunt->job, trying.settings, trying.count, changed, reason)) {
        *changed = NULL;
        return reason->code != TH_NO_MEMORY || th_fail_memory(hunt->err);
    }
    if (!th_judge(*changed, hunt->judging, arena, 0, judgement, reason)) {
        th_job_free(*changed);
        *changed = NULL;
        return reason->code != TH_NO_MEMORY || th_fail_memory(hunt->err);
    }
    return true;
}

static const char *why_unusable(th_arena *arena, th_unusable unusable, const th_row_head *row,
                                const th_job *job) {
    char limit[40];

    switch (unusable) {
    case TH_TOO_WARM:
        th_quantity_print(th_hold_warmest(job), TH_TEMPERATURE, (th_units)job->head.units, 3, limit,
                          sizeof limit);
        return th_arena_print(arena, "too warm: %s at most", limit);
    case TH_NOT_SET:
        return th_arena_print(arena, "not set after %.3g min", job->hold.wait / 60);
    case TH_NOT_FOR_COOLING:
        if (row == &job->hold.plate->head) {
            return th_arena_print(arena, "not with %s on %s", job->hold.cooling_id,
                                  job->hold.plate_id);
        }
        return th_arena_print(arena, "not with %s", job->hold.cooling_id);
    default:
        return th_arena_print(arena, "does not stick");
    }
}

/* The stage that governs; among stages without strength the one that says why. */
static const th_stage *weakest(const th_judgement *judgement) {
    return &judgement->stages[judgement->governs];
}

/* The largest temperature and sway of what counts. */
static void take_largest(const th_judgement *judgement, th_hold_choice *choice) {
    for (size_t i = 0; i < judgement->count; i++) {
        if (judgement->stages[i].counts) {
            choice->temperature = fmax(choice->temperature, judgement->stages[i].temperature);
            choice->sway = fmax(choice->sway, judgement->stages[i].sway);
        }
    }
}

static th_unusable unusable_of(const th_stage *stage) {
    switch (stage->way) {
    case TH_HEAT:
        return TH_TOO_WARM;
    case TH_WAIT:
        return TH_NOT_SET;
    case TH_COOLING:
        return TH_NOT_FOR_COOLING;
    case TH_ADHESION:
        return TH_NO_ADHESION;
    default:
        return TH_USABLE;
    }
}

static bool describe(const th_hunt *hunt, const th_job *changed, const th_judgement *judgement,
                     th_hold_choice *choice) {
    th_arena *arena = &hunt->choices->arena;
    const th_stage *stage = weakest(judgement);
    th_unusable unusable = unusable_of(stage);

    choice->usable = unusable == TH_USABLE;
    choice->hold_factor = judgement->hold_factor;
    choice->full_width = (double)NAN;
    if (choice->usable && choice->hold_factor >= changed->head.asked_factor &&
        !th_full_width_least(changed, hunt->judging, &choice->full_width, hunt->err)) {
        return false;
    }
    take_largest(judgement, choice);
    choice->why = choice->usable
                      ? th_arena_print(arena, "%s: %s", th_way_name(stage->way), stage->interface)
                      : why_unusable(arena, unusable, stage->row, changed);
    return choice->why || th_fail_memory(hunt->err);
}

/* ---- all of them ----------------------------------------------------------------------------- */

static bool stands_water(const th_tape *tape) {
    return tape->water > 0;
}

static bool wanted(const th_tape *tape, th_tapes_shown shown) {
    return shown == TH_EVERY_TAPE || (shown == TH_COOLANT_TAPES) == stands_water(tape);
}

static bool try_choice(const th_hunt *hunt, const th_tape *tape, const th_glue *glue) {
    th_hold_choice *choice = &hunt->choices->items[hunt->choices->count];
    th_arena *texts = &hunt->choices->arena;
    th_arena arena = {NULL};
    th_judgement judgement;
    th_error reason = {.code = TH_OK};
    th_job *changed;
    const char *settings[] = {th_arena_print(texts, "hold.tape=%s", tape->head.id),
                              "hold.tape_below=none",
                              th_arena_print(texts, "hold.glue=%s", glue->head.id)};
    const th_hold *hold = &hunt->job->hold;
    bool fine;

    if (!settings[0] || !settings[2]) {
        return th_fail_memory(hunt->err);
    }
    *choice = (th_hold_choice){.tape = tape,
                               .glue = glue,
                               .temperature = (double)NAN,
                               .sway = (double)NAN,
                               .full_width = (double)NAN};
    choice->own = tape == hold->tape && glue == hold->glue &&
                  (glue->absent || hold->tape_below == hold->tape);
    fine = judge_with(hunt, (th_trying){settings, 3}, &arena, &changed, &judgement, &reason);
    if (fine && changed) {
        fine = describe(hunt, changed, &judgement, choice);
    } else if (fine) {
        choice->why = th_arena_copy(texts, reason.message, strlen(reason.message));
        fine = choice->why || th_fail_memory(hunt->err);
    }
    th_job_free(changed);
    th_arena_free(&arena);
    hunt->choices->count++;
    return fine;
}

static int rank(const void *a, const void *b) {
    const th_hold_choice *p = a, *q = b;

    if (p->usable != q->usable) {
        return p->usable ? -1 : 1;
    }
    if (p->hold_factor > q->hold_factor || p->hold_factor < q->hold_factor) {
        return p->hold_factor > q->hold_factor ? -1 : 1;
    }
    if (p->tape->thickness < q->tape->thickness || p->tape->thickness > q->tape->thickness) {
        return p->tape->thickness < q->tape->thickness ? -1 : 1;
    }
    return strcmp(p->tape->head.id, q->tape->head.id) ? strcmp(p->tape->head.id, q->tape->head.id)
                                                      : strcmp(p->glue->head.id, q->glue->head.id);
}

static bool try_every_choice(const th_hunt *hunt, th_tapes_shown shown) {
    const th_tables *tables = hunt->job->tables;
    size_t tapes = th_tables_count(tables, TH_TAPES), glues = th_tables_count(tables, TH_GLUES);
    th_hold_choices *choices = hunt->choices;

    choices->items = th_arena_take(&choices->arena, (tapes * glues + 1) * sizeof *choices->items);
    if (!choices->items) {
        return th_fail_memory(hunt->err);
    }
    for (size_t i = 0; i < tapes; i++) {
        const th_tape *tape = th_tables_row(tables, TH_TAPES, i);
        for (size_t k = 0; wanted(tape, shown) && k < glues; k++) {
            const th_glue *glue = th_tables_row(tables, TH_GLUES, k);
            if ((tape->sides == 2) == glue->absent && !try_choice(hunt, tape, glue)) {
                return false;
            }
        }
    }
    qsort(choices->items, choices->count, sizeof *choices->items, rank);
    return true;
}

/* ---- waiting instead ------------------------------------------------------------------------- */

/* Shop hours after gluing (s). */
static const double waits[] = {600, 900, 1800, 3600, 7200, 14400, 28800, 43200, 86400};

static bool factor_after(const th_hunt *hunt, double wait, double *factor) {
    th_arena arena = {NULL};
    th_judgement judgement;
    th_error reason = {.code = TH_OK};
    th_job *changed;
    char setting[64], value[40];
    const char *settings[] = {setting};
    bool fine;

    th_number_print(wait, 6, value, sizeof value);
    snprintf(setting, sizeof setting, "hold.wait=%s s", value);
    fine = judge_with(hunt, (th_trying){settings, 1}, &arena, &changed, &judgement, &reason);
    *factor = fine && changed ? judgement.hold_factor : 0;
    th_job_free(changed);
    th_arena_free(&arena);
    return fine;
}

/* Whether the job's own hold only wants time. */
static bool find_wait(const th_hunt *hunt) {
    double asked = hunt->job->head.asked_factor, now = hunt->job->hold.wait, factor;
    size_t last = sizeof waits / sizeof waits[0] - 1;

    if (now >= waits[last] || !factor_after(hunt, now, &factor)) {
        return now >= waits[last];
    }
    if (factor >= asked) {
        return true;
    }
    if (!factor_after(hunt, waits[last], &factor)) {
        return false;
    }
    for (size_t i = 0; factor >= asked && i <= last; i++) {
        double reached;
        if (waits[i] <= now) {
            continue;
        }
        if (!factor_after(hunt, waits[i], &reached)) {
            return false;
        }
        if (reached >= asked) {
            hunt->choices->wait = waits[i];
            hunt->choices->waited_factor = reached;
            return true;
        }
    }
    return true;
}

/* A job that cannot be judged with its own hold is refused: the cuts are at fault, not the tapes.
 */
static bool judgeable(const th_hunt *hunt) {
    th_judging quick = *hunt->judging;
    th_arena arena = {NULL};
    th_judgement judgement;
    bool fine;

    quick.quick = true;
    fine = th_judge(hunt->job, &quick, &arena, 0, &judgement, hunt->err);
    th_arena_free(&arena);
    return fine;
}

bool th_hold_choices_find(const th_job *job, const th_check_options *options, th_tapes_shown shown,
                          th_hold_choices *choices, th_error *err) {
    th_judging judging = {
        .options = options, .shapes = th_shapes_new(), .cache = th_plate_cache_new()};
    th_hunt hunt = {job, &judging, choices, err};
    bool fine;

    *choices = (th_hold_choices){.wait = (double)NAN, .waited_factor = (double)NAN};
    fine = judging.shapes && judging.cache
               ? judgeable(&hunt) && try_every_choice(&hunt, shown) && find_wait(&hunt)
               : th_fail_memory(err);
    th_plate_cache_free(judging.cache);
    th_shapes_free(judging.shapes);
    if (!fine) {
        th_hold_choices_free(choices);
    }
    return fine;
}

void th_hold_choices_free(th_hold_choices *choices) {
    if (choices) {
        th_arena_free(&choices->arena);
        *choices = (th_hold_choices){0};
    }
}
