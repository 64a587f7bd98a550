/* turn_hold.c - changes of the hold. */
#include "turn_search.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static bool one_word(th_search *search, const char *change, const char *key, const char *from,
                     const char *to, double extra) {
    th_lever lever = {.change = change, .from_text = from};
    const char *text = th_arena_print(&search->own, "hold.%s=%s", key, to);

    return text ? th_lever_words(search, &lever, text, to, extra) : th_fail_memory(search->err);
}

static bool add_surface(th_search *search) {
    const th_hold *hold = &search->job->hold;
    static const char *const words[] = {"scuffed", "wiped", "as-is", "oily"};
    static const char *const pressing[] = {"weight", "roller", "hand"};

    for (int to = hold->preparation - 1; to >= 0; to--) {
        if (!one_word(search, "preparation", "preparation", words[hold->preparation], words[to],
                      TH_TAPE_CHANGE)) {
            return false;
        }
    }
    for (int to = hold->pressed - 1; to >= 0; to--) {
        if (!one_word(search, "pressing", "pressed", pressing[hold->pressed], pressing[to],
                      TH_TAPE_CHANGE)) {
            return false;
        }
    }
    return true;
}

/* The shortest longer wait that is enough. */
static bool add_wait(th_search *search) {
    static const double hours[] = {0.25, 0.5, 1, 2, 4, 8, 12, 24};
    double now = search->job->hold.wait / 3600;
    th_lever lever = {.change = "wait", .climbs = true, .from = now}, *added;
    char from[40];

    th_quantity_print(search->job->hold.wait, TH_TIME, TH_MM, 4, from, sizeof from);
    lever.from_text = th_arena_copy(search->arena, from, strlen(from));
    added = lever.from_text ? th_lever_add(search, &lever) : NULL;
    for (size_t i = 0; added && i < sizeof hours / sizeof hours[0]; i++) {
        char to[40];
        th_rung *rung;
        if (hours[i] <= now) {
            continue;
        }
        th_print(to, sizeof to, "%gmin", hours[i] * 60);
        if (hours[i] >= 1) {
            th_print(to, sizeof to, "%gh", hours[i]);
        }
        rung = th_rung_add(search, added, hours[i], to, (hours[i] - now) * 60);
        if (!rung || !th_rung_set(search, rung, "hold", "wait", to)) {
            return false;
        }
    }
    return added || th_fail_memory(search->err);
}

/* ---- tapes and glues ---------------------------------------------------------------------------
 */

/* How much stronger the hold of a job would be with a tape: of shear and lift what gains more, in
 * the layer that is weakest. */
static double strength(const th_job *job, double temperature, double *lift) {
    th_stack stack = th_job_stack(job, temperature);
    double shear = INFINITY;

    *lift = INFINITY;
    for (size_t i = 0; i < stack.count; i++) {
        shear = fmin(shear, stack.interfaces[i].shear);
        *lift = fmin(*lift, stack.interfaces[i].lift);
    }
    if (stack.unusable != TH_USABLE) {
        shear = *lift = 0;
    }
    return shear;
}

/* Whether a tape may be enough for a stage: a softer one shares the load more widely, by so much at
 * most as a bound of what thin plates show (estimate), and a thick one may keep part of the warmth
 * off. */
static bool may_hold(const th_search *search, const th_job *changed, const th_stage *stage) {
    const double softer = 2, cooler = 0.7;
    double room = search->job->hold.room_temperature;
    double then = room + cooler * (stage->temperature - room), now_lift, lift, now, shear;
    double needed = search->job->head.asked_factor / stage->hold_factor;

    now = strength(search->job, stage->temperature, &now_lift);
    shear = strength(changed, then, &lift);
    return shear > 0 && lift > 0 &&
           (!(now > 0 && now_lift > 0) ||
            softer * fmax(shear / now, lift / now_lift) >= fmin(needed, 20));
}

/* The coolest stage that fails. */
static const th_stage *coolest_failing(const th_search *search) {
    const th_stage *coolest = &search->now->stages[search->now->governs];

    for (size_t i = 0; i < search->now->count; i++) {
        const th_stage *stage = &search->now->stages[i];
        bool fails =
            stage->counts && th_kept_factor(search->job, stage) < search->job->head.asked_factor;
        coolest = fails && stage->temperature < coolest->temperature ? stage : coolest;
    }
    return coolest;
}

/* Whether the changed hold bears anything at all, cold. */
static bool bears_cold(const th_job *changed) {
    double lift, shear = strength(changed, changed->hold.room_temperature, &lift);

    return shear > 0 && lift > 0;
}

/* Whether it may be enough for the worst stage; or where that is too warm, so that lighter cuts
 * are wanted in any case, for what else fails; or where nothing is left of the hold, whether it
 * bears at all: it is the first thing to change. */
static bool may_do(th_search *search, const th_rung *rung, bool *may) {
    const th_stage *worst = &search->now->stages[search->now->governs];
    th_error inner = {.code = TH_OK};
    th_job *changed;

    *may = false;
    if (!th_job_change(search->job, rung->settings, rung->count, &changed, &inner)) {
        return inner.code != TH_NO_MEMORY || th_fail_memory(search->err);
    }
    *may = may_hold(search, changed, worst) ||
           (worst->way == TH_HEAT && may_hold(search, changed, coolest_failing(search))) ||
           (search->now->stack.unusable != TH_USABLE && bears_cold(changed));
    th_job_free(changed);
    return true;
}

/* Settings that put another tape on both sides. */
static bool tape_settings(th_search *search, const th_tape *tape, th_rung *rung) {
    const th_job *job = search->job;
    bool typed_below = th_entry_of(job, "hold", "tape_below") != NULL;
    bool glued = !job->hold.glue->absent;

    if (!th_rung_set(search, rung, "hold", "tape", tape->head.id)) {
        return false;
    }
    if (tape->sides == 2) {
        return (!glued || th_rung_set(search, rung, "hold", "glue", "none")) &&
               (!typed_below || !glued || th_rung_set(search, rung, "hold", "tape_below", "none"));
    }
    return !typed_below || th_rung_set(search, rung, "hold", "tape_below", tape->head.id);
}

/* The next tape by thickness after `last` (NULL: the thinnest); NULL when there is none. */
static const th_tape *next_tape(const th_tables *tables, const th_tape *last) {
    const th_tape *next = NULL;
    bool passed = last == NULL; /* among equals the order of the table decides */

    for (size_t i = 0; i < th_tables_count(tables, TH_TAPES); i++) {
        const th_tape *tape = th_tables_row(tables, TH_TAPES, i);
        bool after = !last || tape->thickness > last->thickness ||
                     (passed && !(tape->thickness < last->thickness));
        passed = passed || tape == last;
        if (after && tape != last && (!next || tape->thickness < next->thickness)) {
            next = tape;
        }
    }
    return next;
}

/* The thinnest tape that is enough: a thick one may hold as well, but lets the part sway. */
static bool add_tapes(th_search *search) {
    const th_job *job = search->job;
    th_lever lever = {.change = "tape", .from_text = job->hold.tape_id};
    th_lever *added = th_lever_add(search, &lever);

    for (const th_tape *tape = added ? next_tape(job->tables, NULL) : NULL; tape;
         tape = next_tape(job->tables, tape)) {
        th_rung *rung;
        bool may;
        if (tape == job->hold.tape || (tape->sides != 2 && job->hold.glue->absent)) {
            continue;
        }
        rung = th_rung_add(search, added, 0, tape->head.id, TH_TAPE_CHANGE);
        if (!rung || !tape_settings(search, tape, rung) || !may_do(search, rung, &may)) {
            return false;
        }
        added->count -= may ? 0 : 1;
    }
    return added != NULL;
}

static bool add_glues(th_search *search) {
    const th_job *job = search->job;
    const th_tables *tables = job->tables;
    th_lever lever = {.change = "glue", .from_text = job->hold.glue_id};
    th_lever *added;

    if (job->hold.glue->absent) {
        return true;
    }
    added = th_lever_add(search, &lever);
    for (size_t i = 0; added && i < th_tables_count(tables, TH_GLUES); i++) {
        const th_glue *glue = th_tables_row(tables, TH_GLUES, i);
        th_rung *rung;
        bool may;
        if (glue == job->hold.glue || glue->absent) {
            continue;
        }
        rung = th_rung_add(search, added, 0, glue->head.id, TH_TAPE_CHANGE);
        if (!rung || !th_rung_set(search, rung, "hold", "glue", glue->head.id) ||
            !may_do(search, rung, &may)) {
            return false;
        }
        added->count -= may ? 0 : 1;
    }
    return added != NULL;
}

/* ---- the rest ----------------------------------------------------------------------------------
 */

/* Cut dry where coolant weakens the hold, and cooler where heat does. */
static bool add_cooling(th_search *search) {
    const th_hold *hold = &search->job->hold;
    const th_tables *tables = search->job->tables;
    bool wet = hold->coolant->kind != TH_COOL_DRY;

    for (size_t i = 0; i < th_tables_count(tables, TH_COOLANTS); i++) {
        const th_coolant *coolant = th_tables_row(tables, TH_COOLANTS, i);
        bool cooler = search->warm && coolant->film_coefficient > hold->coolant->film_coefficient;
        bool drier = wet && (coolant->kind == TH_COOL_DRY || coolant->kind == TH_COOL_MIST);
        if (coolant != hold->coolant && (cooler || drier) &&
            !one_word(search, "cooling", "cooling", hold->cooling_id, coolant->head.id, 0)) {
            return false;
        }
    }
    return true;
}

/* What a sacrificial plate leaves of the strength of tape on it, in the job's cooling (-). */
static double takes_tape(const th_plate *plate, const th_coolant *coolant) {
    return plate->adhesion * (coolant->kind == TH_COOL_DRY ? 1 : plate->wet);
}

/* A plate that tape stays on better, where it is the plate that lets go. */
static bool add_plates(th_search *search) {
    const th_hold *hold = &search->job->hold;
    const th_stage *worst = &search->now->stages[search->now->governs];
    const th_tables *tables = search->job->tables;
    double now = takes_tape(hold->plate, hold->coolant);
    th_lever lever = {.change = "plate", .from_text = hold->plate_id}, *added;

    if (now > 0 && (!worst->interface || strcmp(worst->interface, "tape to plate") != 0)) {
        return true;
    }
    added = th_lever_add(search, &lever);
    for (size_t i = 0; added && i < th_tables_count(tables, TH_PLATES); i++) {
        const th_plate *plate = th_tables_row(tables, TH_PLATES, i);
        th_rung *rung;
        if (plate == hold->plate || !(takes_tape(plate, hold->coolant) > now)) {
            continue;
        }
        rung = th_rung_add(search, added, 0, plate->head.id, TH_TAPE_CHANGE);
        if (!rung || !th_rung_set(search, rung, "hold", "plate", plate->head.id)) {
            return false;
        }
    }
    return added != NULL;
}

/* Bowed stock straightened before it is taped down again. */
static bool add_bow(th_search *search) {
    double bow = search->job->part.bow;
    th_ladder ladder = {.change = "bow",
                        .section = "part",
                        .key = "bow",
                        .kind = TH_LENGTH,
                        .from = isnan(bow) ? 0 : bow,
                        .least = 0.01,
                        .extra = TH_TAPE_CHANGE};

    return th_ladder_add(search, &ladder);
}

static const char *const sides[] = {"left", "right", "front", "back"};

/* The words of a set of stops, quoted by nobody: blanks go into --set as they are. */
static const char *stop_words(th_search *search, int stops) {
    const char *text = "";

    for (int i = 0; text && i < 4; i++) {
        if (stops & 1 << i) {
            text = th_arena_print(search->arena, "%s%s%s", text, text[0] ? " " : "", sides[i]);
        }
    }
    return text;
}

/* A stop at one edge, or at two that meet. */
static bool add_stops(th_search *search) {
    static const int sets[] = {TH_STOP_LEFT,
                               TH_STOP_RIGHT,
                               TH_STOP_FRONT,
                               TH_STOP_BACK,
                               TH_STOP_LEFT | TH_STOP_FRONT,
                               TH_STOP_LEFT | TH_STOP_BACK,
                               TH_STOP_RIGHT | TH_STOP_FRONT,
                               TH_STOP_RIGHT | TH_STOP_BACK,
                               TH_STOP_LEFT | TH_STOP_RIGHT,
                               TH_STOP_FRONT | TH_STOP_BACK};
    int now = search->job->hold.stops;
    th_lever lever = {.change = "stops", .from_text = now ? stop_words(search, now) : "none"};
    th_lever *added = lever.from_text ? th_lever_add(search, &lever) : NULL;

    for (size_t i = 0; added && i < sizeof sets / sizeof sets[0]; i++) {
        const char *words = stop_words(search, sets[i] | now);
        th_rung *rung;
        if ((sets[i] & now) != 0) {
            continue;
        }
        rung = words ? th_rung_add(search, added, 0, words, TH_STOPS_SET) : NULL;
        if (!rung || !th_rung_set(search, rung, "hold", "stops", words)) {
            return th_fail_memory(search->err);
        }
    }
    return added || th_fail_memory(search->err);
}

bool th_hold_levers(th_search *search) {
    th_ladder coverage = {.change = "coverage",
                          .section = "hold",
                          .key = "coverage",
                          .kind = TH_RATIO,
                          .from = search->job->hold.coverage,
                          .most = 1,
                          .upwards = true,
                          .extra = TH_TAPE_CHANGE};

    return th_ladder_add(search, &coverage) && add_bow(search) && add_surface(search) &&
           add_wait(search) && add_cooling(search) && add_plates(search) && add_stops(search) &&
           add_glues(search) && add_tapes(search);
}
