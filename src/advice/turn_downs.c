/* turn_downs.c - the single changes that restore the asked factor.
 *
 * Each is tried as text: the setting that is printed is the setting that was judged. */
#include "judge.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What a change costs beside cutting time (min, practice): another cutter, taping anew, waiting
 * apart. */
enum { CUTTER_CHANGE = 5, TAPE_CHANGE = 15 };

enum { LIST_MAX = 32, LADDER_MAX = 240, SETTINGS_MOST = 4 };

/* No machine steps down by less (mm, practice): engagements are tried down to here. */
#define LEAST_STEP 0.001

/* Rungs tried beyond the one that a quick look found. */
enum { SECOND_TRIES = 4 };

typedef struct {
    const th_job *job;
    const th_judging *judging;
    const th_judgement *now;
    th_arena *arena;
    th_turn_down *list;
    double *cost; /* minutes that each costs, changing over and waiting included */
    size_t count;
    bool best_step; /* nothing restores the asked factor: look for the change that gains most, keep
                       it in list[0] */
    th_error *err;
} th_search;

typedef struct {
    double hold_factor, minutes;
} th_score;

/* Settings of one trial change; a text is NULL where memory ran out. */
typedef struct {
    const char *text[SETTINGS_MOST];
    size_t count;
} th_settings;

/* ---- judging a change ------------------------------------------------------------------------ */

/* A change that the job refuses scores 0. With `enough` above 0 only which side of it is known;
 * `quick` is right to some percent, enough to find what is then judged whole. False only when
 * memory ran out. */
static bool score_to(th_search *search, const th_settings *settings, double enough, bool quick,
                     th_score *result) {
    th_judging judging = *search->judging;
    th_error inner = {TH_OK, 0, "", ""};
    th_job *changed;
    bool fine;

    *result = (th_score){0, INFINITY};
    judging.quick = quick;
    for (size_t i = 0; i < settings->count; i++) {
        if (!settings->text[i]) {
            return th_fail_memory(search->err);
        }
    }
    if (!th_job_change(search->job, settings->text, settings->count, &changed, &inner)) {
        return inner.code != TH_NO_MEMORY || th_fail_memory(search->err);
    }
    fine =
        th_judge_factor(changed, &judging, enough, &result->hold_factor, &result->minutes, &inner);
    th_job_free(changed);
    return fine || inner.code != TH_NO_MEMORY || th_fail_memory(search->err);
}

static bool score(th_search *search, const th_settings *settings, th_score *result) {
    return score_to(search, settings, search->best_step ? 0 : search->job->head.asked_factor, true,
                    result);
}

static bool good(const th_search *search, const th_score *result) {
    if (search->best_step) {
        double best = search->count ? search->list[0].hold_factor : search->now->hold_factor;
        return result->hold_factor > best * 1.01;
    }
    return result->hold_factor >= search->job->head.asked_factor;
}

/* Keep a change that was judged good. `extra` is what it costs beside cutting time (min). */
static bool keep(th_search *search, th_turn_down found, const th_settings *settings, double extra) {
    size_t place = search->best_step ? 0 : search->count;
    th_turn_down *slot = &search->list[place];
    th_score exact;

    if (place >= LIST_MAX) {
        return true;
    }
    if (!score_to(search, settings, 0, false, &exact)) {
        return false;
    }
    if (!good(search, &exact)) {
        return true; /* the quick look was wrong: what is printed is what was judged whole */
    }
    *slot = found;
    memcpy(slot->settings, settings->text, sizeof slot->settings);
    slot->setting_count = settings->count;
    slot->hold_factor = exact.hold_factor;
    slot->time_ratio = search->now->minutes > 0 ? exact.minutes / search->now->minutes : 1;
    search->cost[place] = exact.minutes - search->now->minutes + extra;
    search->count = place + 1;
    return true;
}

/* ---- words ------------------------------------------------------------------------------------
 */

static void set(const th_search *search, th_settings *settings, const char *section,
                const char *key, const char *value) {
    settings->text[settings->count++] =
        th_arena_print(search->arena, "%s.%s=%s", section, key, value);
}

static bool try_words(th_search *search, const char *change, const th_cut *cut,
                      const th_settings *settings, const char *from, const char *to, double wait) {
    th_turn_down found = {.change = change, .words = true, .cut = cut};
    th_score result;

    if (!score(search, settings, &result)) {
        return false;
    }
    if (!good(search, &result)) {
        return true;
    }
    found.from_text = th_arena_copy(search->arena, from, strlen(from));
    found.to_text = th_arena_copy(search->arena, to, strlen(to));
    if (!found.from_text || !found.to_text) {
        return th_fail_memory(search->err);
    }
    return keep(search, found, settings, wait);
}

/* ---- ladders of round numbers ------------------------------------------------------------------
 */

typedef struct {
    const char *change, *section, *key;
    const char *with; /* a further key of the section that takes the same value, or NULL */
    const char *also; /* a further setting to keep the job the same, or NULL */
    const th_cut *cut;
    int kind;           /* TH_LENGTH, TH_CHIP_LOAD, TH_FEED or TH_RATIO */
    double from;        /* present value, core unit */
    double least, most; /* bounds of the search, core unit */
    bool upwards;       /* the change is to raise the value */
    double extra;       /* what the change costs beside cutting time (min) */
} th_ladder;

static const char *unit_text(const th_search *search, int kind) {
    bool inch = search->job->head.units == TH_INCH;

    switch (kind) {
    case TH_LENGTH:
        return inch ? "in" : "mm";
    case TH_CHIP_LOAD:
        return inch ? "in/tooth" : "mm/tooth";
    case TH_FEED:
        return inch ? "in/min" : "mm/min";
    default:
        return "";
    }
}

static double unit_size(const th_search *search, int kind) {
    return search->job->head.units == TH_INCH && kind != TH_RATIO ? 25.4 : 1;
}

/* Two-digit numbers strictly between the bounds, nearest to `from` first. */
static size_t make_rungs(const th_search *search, const th_ladder *ladder,
                         double rungs[LADDER_MAX]) {
    double unit = unit_size(search, ladder->kind);
    double from = ladder->from / unit, least = ladder->least / unit, most = ladder->most / unit;
    size_t count = 0;

    if (ladder->upwards) {
        for (double v = floor(from * 20 + 1) / 20; v <= most + 1e-9 && count < LADDER_MAX;
             v += 0.05) {
            rungs[count++] = v;
        }
        return count;
    }
    if (!(from > 0)) {
        return 0; /* nothing lies below */
    }
    for (int decade = (int)floor(log10(from)); decade > -7 && count < LADDER_MAX; decade--) {
        for (int n = 99; n >= 10 && count<LADDER_MAX; n -= n> 50 ? 5 - (100 - n) % 5 : 1) {
            double v = n * pow(10, decade - 1);
            if (v < from * (1 - 1e-9) && v >= least * (1 - 1e-9)) {
                rungs[count++] = v;
            }
        }
    }
    return count;
}

static void rung_settings(const th_search *search, const th_ladder *ladder, double rung,
                          th_settings *settings) {
    char number[40], value[80];
    const char *unit = unit_text(search, ladder->kind);

    th_number_print(rung, 3, number, sizeof number);
    snprintf(value, sizeof value, "%s%s", number, unit); /* no blank: nothing to quote */
    settings->count = 0;
    set(search, settings, ladder->section, ladder->key, value);
    if (ladder->with) {
        set(search, settings, ladder->section, ladder->with, value);
    }
    if (ladder->also) {
        settings->text[settings->count++] = ladder->also;
    }
}

/* As a step towards holding: half of the present value, or all the way up. */
static bool try_half(th_search *search, const th_ladder *ladder, const double *rungs,
                     size_t count) {
    double unit = unit_size(search, ladder->kind);
    size_t rung = ladder->upwards ? count - 1 : 0;
    th_turn_down found = {
        .change = ladder->change, .from = ladder->from, .kind = ladder->kind, .cut = ladder->cut};
    th_settings settings;
    th_score result;

    while (!ladder->upwards && rung + 1 < count && rungs[rung] * unit > ladder->from / 2) {
        rung++;
    }
    rung_settings(search, ladder, rungs[rung], &settings);
    if (!score(search, &settings, &result)) {
        return false;
    }
    found.to = rungs[rung] * unit;
    return !good(search, &result) || keep(search, found, &settings, ladder->extra);
}

/* Rungs between which the good ones begin: [0 .. bad) are bad, [fine ..] good as far as is known;
 * fine == count: none is. */
typedef struct {
    size_t bad, fine;
} th_bracket;

static bool rung_good(th_search *search, const th_ladder *ladder, double rung, bool *is_good) {
    th_settings settings;
    th_score result;

    rung_settings(search, ladder, rung, &settings);
    if (!score(search, &settings, &result)) {
        return false;
    }
    *is_good = good(search, &result);
    return true;
}

/* The farthest rung is mostly the best, but small steps take long and the bond creeps meanwhile:
 * where it fails, ever smaller values are tried from the present one on. */
static bool bracket_good(th_search *search, const th_ladder *ladder, const double *rungs,
                         size_t count, th_bracket *bracket) {
    const double step = 0.4;
    double next = step * ladder->from / unit_size(search, ladder->kind);
    bool is_good;

    *bracket = (th_bracket){0, count};
    if (!rung_good(search, ladder, rungs[count - 1], &is_good)) {
        return false;
    }
    if (is_good) {
        bracket->fine = count - 1;
        return true;
    }
    for (size_t i = 0; i + 1 < count && !ladder->upwards; i++) {
        if (rungs[i] > next) {
            continue;
        }
        if (!rung_good(search, ladder, rungs[i], &is_good)) {
            return false;
        }
        if (is_good) {
            bracket->fine = i;
            return true;
        }
        bracket->bad = i + 1;
        next = step * rungs[i];
    }
    return true;
}

/* The rung nearest to the present value that is good. What is found is judged as it stands, so a
 * wrong guess only loses a suggestion. */
static bool climb_ladder(th_search *search, const th_ladder *ladder) {
    double rungs[LADDER_MAX];
    size_t count = make_rungs(search, ladder, rungs), before = search->count;
    th_turn_down found = {
        .change = ladder->change, .from = ladder->from, .kind = ladder->kind, .cut = ladder->cut};
    th_settings settings;
    th_bracket at;
    bool is_good;

    if (count == 0) {
        return true;
    }
    if (search->best_step) {
        return try_half(search, ladder, rungs, count);
    }
    if (!bracket_good(search, ladder, rungs, count, &at)) {
        return false;
    }
    while (at.bad < at.fine && at.fine < count) {
        size_t probe = (at.bad + at.fine) / 2;
        if (!rung_good(search, ladder, rungs[probe], &is_good)) {
            return false;
        }
        at = is_good ? (th_bracket){at.bad, probe} : (th_bracket){probe + 1, at.fine};
    }
    for (size_t rung = at.fine;
         rung < count && rung < at.fine + SECOND_TRIES && search->count == before; rung++) {
        rung_settings(search, ladder, rungs[rung], &settings);
        found.to = rungs[rung] * unit_size(search, ladder->kind);
        if (!keep(search, found, &settings, ladder->extra)) {
            return false;
        }
    }
    return true;
}

/* ---- changes of a cut ---------------------------------------------------------------------------
 */

/* Lighter passes of a slot or face whose depth follows from axial must keep that depth. */
static const char *same_depth(const th_search *search, const th_cut *cut) {
    char depth[60], unit[60] = "";

    th_quantity_write(cut->depth, TH_LENGTH, (th_units)search->job->head.units, depth,
                      sizeof depth);
    if (strchr(depth, ' ')) {
        snprintf(unit, sizeof unit, "%s", strchr(depth, ' ') + 1);
    }
    return th_arena_print(search->arena, "%s.depth=%.*s%s", cut->section, (int)strcspn(depth, " "),
                          depth, unit);
}

static bool try_axial(th_search *search, const th_cut *cut) {
    th_ladder axial = {.change = "axial",
                       .section = cut->section,
                       .key = "axial",
                       .cut = cut,
                       .kind = TH_LENGTH,
                       .from = cut->axial,
                       .least = LEAST_STEP,
                       .most = cut->axial};
    bool shallow = (cut->operation == TH_SLOT || cut->operation == TH_FACING) && !cut->through &&
                   !th_entry_of(search->job, cut->section, "depth");
    bool two = cut->operation == TH_OUTLINE && cut->through &&
               th_entry_of(search->job, cut->section, "last_axial");
    size_t before = search->count;

    if (shallow) {
        axial.also = same_depth(search, cut);
        if (!axial.also) {
            return th_fail_memory(search->err);
        }
    }
    if (!climb_ladder(search, &axial)) {
        return false;
    }
    if (!two || (search->count > before && !search->best_step)) {
        return true;
    }
    axial.with = "last_axial"; /* both must be lighter */
    axial.from = fmin(cut->axial, cut->last_axial);
    return climb_ladder(search, &axial);
}

static bool try_engagement(th_search *search, const th_cut *cut) {
    double diameter = cut->cutter->row.diameter;
    th_ladder radial = {.change = "radial",
                        .section = cut->section,
                        .key = "radial",
                        .cut = cut,
                        .kind = TH_LENGTH,
                        .from = cut->radial,
                        .least = 0.02 * diameter,
                        .most = diameter};
    bool wide = cut->operation == TH_FACING || cut->operation == TH_POCKET;
    bool shaped = cut->operation == TH_ENGRAVE || cut->operation == TH_CHAMFERING;

    return (!wide || climb_ladder(search, &radial)) && (shaped || try_axial(search, cut));
}

static bool try_chip_load(th_search *search, const th_cut *cut) {
    bool by_feed = th_entry_of(search->job, cut->section, "feed") != NULL;
    double per_tooth = cut->cutter->row.flutes * cut->speed;
    th_ladder ladder = {.change = "chip_load",
                        .section = cut->section,
                        .key = by_feed ? "feed" : "chip_load",
                        .cut = cut,
                        .kind = by_feed ? TH_FEED : TH_CHIP_LOAD,
                        .from = by_feed ? cut->feed : cut->chip_load,
                        .least = search->job->part.stock->smallest_chip};

    ladder.least *= by_feed ? per_tooth : 1;
    return climb_ladder(search, &ladder);
}

static bool try_direction(th_search *search, const th_cut *cut) {
    bool climb = cut->direction == TH_CLIMB;
    const char *from = climb ? "climb" : "conventional", *to = climb ? "conventional" : "climb";
    th_settings settings = {.count = 0};

    set(search, &settings, cut->section, "direction", to);
    return try_words(search, "direction", cut, &settings, from, to, 0);
}

/* A flat cutter of the same size whose flutes do not lift, as a row of the table: of as many flutes
 * if there is one. NULL: there is none. */
static const th_cutter *other_helix(const th_search *search, const th_cutter *now, int pulls) {
    const th_tables *tables = search->job->tables;
    const th_cutter *found = NULL;

    for (size_t i = 0; i < th_tables_count(tables, TH_CUTTERS); i++) {
        const th_cutter *row = th_tables_row(tables, TH_CUTTERS, i);
        bool like = row->kind == now->kind && row->helix_pulls == pulls &&
                    row->material == now->material &&
                    fabs(row->diameter - now->diameter) < 0.005 * now->diameter;
        if (like && (!found || (found->flutes != now->flutes && row->flutes == now->flutes))) {
            found = row;
        }
    }
    return found;
}

/* Another cutter: named by its row, or described where the tables have none. */
static bool try_helix_of(th_search *search, const th_cut *cut, int pulls, const char *word) {
    const th_cutter *row = other_helix(search, &cut->cutter->row, pulls);
    const char *section = th_arena_print(search->arena, "cutter.%s", cut->cutter->name);
    th_settings settings = {.count = 0};

    if (!section) {
        return th_fail_memory(search->err);
    }
    if (row) {
        set(search, &settings, section, "id", row->head.id);
        return try_words(search, "helix", cut, &settings, cut->cutter->id, row->head.id,
                         CUTTER_CHANGE);
    }
    set(search, &settings, section, "helix_pulls", word);
    if (pulls == TH_STRAIGHT) {
        set(search, &settings, section, "helix", "0deg");
    }
    return try_words(search, "helix", cut, &settings, "up", word, CUTTER_CHANGE);
}

static bool try_helix(th_search *search, const th_cut *cut) {
    return cut->cutter->row.helix_pulls != TH_UP ||
           (try_helix_of(search, cut, TH_DOWN, "down") &&
            try_helix_of(search, cut, TH_STRAIGHT, "straight"));
}

static bool try_last_pass(th_search *search, const th_cut *cut) {
    th_ladder axial = {.change = "last pass",
                       .section = cut->section,
                       .key = "last_axial",
                       .cut = cut,
                       .kind = TH_LENGTH,
                       .from = cut->last_axial,
                       .least = TH_SKIN_COUNTS};
    th_ladder feed = {.change = "last pass",
                      .section = cut->section,
                      .key = "last_feed",
                      .cut = cut,
                      .kind = TH_FEED,
                      .from = cut->last_feed};

    if (cut->operation != TH_OUTLINE || !cut->through) {
        return true;
    }
    feed.least = search->job->part.stock->smallest_chip * cut->cutter->row.flutes * cut->speed;
    return climb_ladder(search, &axial) && climb_ladder(search, &feed);
}

static bool try_cut(th_search *search, const th_cut *cut) {
    if (cut->operation == TH_DRILLED) {
        return try_chip_load(search, cut);
    }
    return try_engagement(search, cut) && try_chip_load(search, cut) &&
           try_direction(search, cut) && try_helix(search, cut) && try_last_pass(search, cut);
}

/* ---- changes of the hold ------------------------------------------------------------------------
 */

static bool try_surface(th_search *search) {
    const th_hold *hold = &search->job->hold;
    static const char *const words[] = {"scuffed", "wiped", "as-is"};
    static const char *const pressing[] = {"weight", "roller", "hand"};

    for (int to = hold->preparation - 1; to >= 0; to--) {
        th_settings settings = {.count = 0};
        set(search, &settings, "hold", "preparation", words[to]);
        if (!try_words(search, "preparation", NULL, &settings, words[hold->preparation], words[to],
                       TAPE_CHANGE)) {
            return false;
        }
    }
    if (hold->pressed > 0) {
        th_settings settings = {.count = 0};
        set(search, &settings, "hold", "pressed", "weight");
        return try_words(search, "pressing", NULL, &settings, pressing[hold->pressed], "weight",
                         TAPE_CHANGE);
    }
    return true;
}

/* The shortest longer wait that is enough. */
static bool try_wait(th_search *search) {
    static const double hours[] = {0.25, 0.5, 1, 2, 4, 8, 12, 24};
    double now = search->job->hold.wait / 3600;
    size_t before = search->count;

    for (size_t i = 0; i < sizeof hours / sizeof hours[0]; i++) {
        th_settings settings = {.count = 0};
        char from[40], to[40];
        if (search->count > before && !search->best_step) {
            break;
        }
        if (hours[i] <= now) {
            continue;
        }
        th_quantity_print(search->job->hold.wait, TH_TIME, TH_MM, 4, from, sizeof from);
        snprintf(to, sizeof to, "%gmin", hours[i] * 60);
        if (hours[i] >= 1) {
            snprintf(to, sizeof to, "%gh", hours[i]);
        }
        set(search, &settings, "hold", "wait", to);
        if (!try_words(search, "wait", NULL, &settings, from, to, (hours[i] - now) * 60)) {
            return false;
        }
    }
    return true;
}

/* Settings that put another tape on both sides; false where --set cannot say it. */
static bool tape_settings(const th_search *search, const th_tape *tape, th_settings *settings) {
    const th_job *job = search->job;
    bool typed_below = th_entry_of(job, "hold", "tape_below") != NULL;

    settings->count = 0;
    set(search, settings, "hold", "tape", tape->head.id);
    if (tape->sides == 2) {
        if (!job->hold.glue->absent) {
            set(search, settings, "hold", "glue", "none");
        }
        return !typed_below;
    }
    if (typed_below) {
        set(search, settings, "hold", "tape_below", tape->head.id);
    }
    return !job->hold.glue->absent;
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
static bool try_tapes(th_search *search) {
    const th_job *job = search->job;
    th_turn_down found = {.change = "tape", .words = true, .from_text = job->hold.tape_id};
    size_t before = search->count;
    th_settings settings;
    th_score result;

    for (const th_tape *tape = next_tape(job->tables, NULL); tape;
         tape = next_tape(job->tables, tape)) {
        if (tape == job->hold.tape || !tape_settings(search, tape, &settings)) {
            continue;
        }
        if (!score(search, &settings, &result)) {
            return false;
        }
        found.to_text = tape->head.id;
        if (!good(search, &result)) {
            continue;
        }
        if (!keep(search, found, &settings, TAPE_CHANGE)) {
            return false;
        }
        if (search->count > before && !search->best_step) {
            return true;
        }
    }
    return true;
}

/* Cut dry where coolant weakens the hold. */
static bool try_cooling(th_search *search) {
    const th_hold *hold = &search->job->hold;
    const th_tables *tables = search->job->tables;

    for (size_t i = 0;
         hold->coolant->kind != TH_COOL_DRY && i < th_tables_count(tables, TH_COOLANTS); i++) {
        const th_coolant *coolant = th_tables_row(tables, TH_COOLANTS, i);
        th_settings settings = {.count = 0};
        if (coolant->kind != TH_COOL_DRY) {
            continue;
        }
        set(search, &settings, "hold", "cooling", coolant->head.id);
        return try_words(search, "cooling", NULL, &settings, hold->cooling_id, coolant->head.id, 0);
    }
    return true;
}

/* Bowed stock straightened before it is taped down again. */
static bool try_bow(th_search *search) {
    double bow = search->job->part.bow;
    th_ladder ladder = {.change = "bow",
                        .section = "part",
                        .key = "bow",
                        .kind = TH_LENGTH,
                        .from = isnan(bow) ? 0 : bow,
                        .least = 0.01,
                        .extra = TAPE_CHANGE};

    return climb_ladder(search, &ladder);
}

static bool try_hold(th_search *search) {
    th_ladder coverage = {.change = "coverage",
                          .section = "hold",
                          .key = "coverage",
                          .kind = TH_RATIO,
                          .from = search->job->hold.coverage,
                          .most = 1,
                          .upwards = true};

    return climb_ladder(search, &coverage) && try_bow(search) && try_surface(search) &&
           try_wait(search) && try_cooling(search) && try_tapes(search);
}

/* ---- the whole ----------------------------------------------------------------------------------
 */

/* What fails: one cut, whatever its pieces are, or several that may share a cutter. */
typedef struct {
    const th_cut *cut;    /* the first one that fails; NULL: none, or a push */
    bool several;         /* no change of one cut alone is enough */
    bool several_cutters; /* nor one of a cutter */
} th_failing;

static th_failing failing_cuts(const th_job *job, const th_judgement *now) {
    th_failing failing = {NULL, false, false};

    for (size_t i = 0; i < now->count; i++) {
        const th_cut *cut = now->stages[i].cut;
        if (!now->stages[i].counts || now->stages[i].hold_factor >= job->head.asked_factor) {
            continue;
        }
        if (!failing.cut) {
            failing.cut = cut;
        }
        failing.several = failing.several || cut != failing.cut;
        failing.several_cutters = failing.several_cutters || cut->cutter != failing.cut->cutter;
    }
    if (failing.cut && failing.cut->operation == TH_PUSH) {
        failing.cut = NULL;
    }
    return failing;
}

/* Insertion sort by cost, then by hold factor: the list is short and order must be stable. */
static void sort_by_cost(th_search *search) {
    for (size_t i = 1; i < search->count; i++) {
        th_turn_down moved = search->list[i];
        double cost = search->cost[i];
        size_t j = i;
        while (j > 0 && (search->cost[j - 1] > cost + 1e-9 ||
                         (search->cost[j - 1] > cost - 1e-9 &&
                          search->list[j - 1].hold_factor < moved.hold_factor))) {
            search->list[j] = search->list[j - 1];
            search->cost[j] = search->cost[j - 1];
            j--;
        }
        search->list[j] = moved;
        search->cost[j] = cost;
    }
}

static bool search_all(th_search *search, const th_failing *failing) {
    const th_cut *cut = search->now->stack.unusable == TH_USABLE ? failing->cut : NULL;

    if (cut && !failing->several && !try_cut(search, cut)) {
        return false;
    }
    if (cut && failing->several && !failing->several_cutters && cut->operation != TH_DRILLED &&
        !try_helix(search, cut)) {
        return false;
    }
    return try_hold(search);
}

/* Cuts that hold so much better than the one that governs that a quick look may pass them over;
 * what it finds is judged whole. */
static bool *far_from_failing(const th_job *job, const th_judgement *now, th_arena *arena) {
    bool *far = th_arena_take(arena, (job->cut_count + 1) * sizeof *far);

    for (size_t i = 0; far && i < job->cut_count; i++) {
        far[i] = now->hold_factor > 0;
        for (size_t k = 0; k < now->count; k++) {
            const th_stage *stage = &now->stages[k];
            if (stage->cut == &job->cuts[i] && stage->counts &&
                stage->hold_factor < 3 * now->hold_factor) {
                far[i] = false;
            }
        }
    }
    return far;
}

bool th_turn_downs_find(const th_job *job, const th_judging *judging, const th_judgement *judgement,
                        th_arena *arena, th_turn_downs *found, th_error *err) {
    th_search search = {
        .job = job, .judging = judging, .now = judgement, .arena = arena, .err = err};
    const th_cut *governing = judgement->stages[judgement->governs].cut;
    th_failing failing = failing_cuts(job, judgement);
    th_judging own = *judging;

    own.skip = far_from_failing(job, judgement, arena);
    search.judging = &own;
    search.list = th_arena_take(arena, LIST_MAX * sizeof *search.list);
    search.cost = th_arena_take(arena, LIST_MAX * sizeof *search.cost);
    if (!search.list || !search.cost || !own.skip) {
        return th_fail_memory(err);
    }
    if (!search_all(&search, &failing)) {
        return false;
    }
    sort_by_cost(&search);
    *found = (th_turn_downs){search.list, search.count, NULL};
    if (search.count == 0) {
        search.best_step = true;
        failing = (th_failing){governing->operation == TH_PUSH ? NULL : governing, false, false};
        if (!search_all(&search, &failing)) {
            return false;
        }
        found->best_step = search.count ? search.list : NULL;
    }
    return true;
}
