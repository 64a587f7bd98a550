/* turn_search.c - tries changes of a job by quick looks, and judges whole what it finds. */
#include "turn_search.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A found value is refined until it is seen to reach no more than this times its target. */
#define CLOSE 1.04

enum { REFINED_MOST = 6 };

/* Strongest values that are looked at, as shares of the present one: small steps take long and the
 * bond creeps meanwhile, so the last is not always the best. */
static const double probed[] = {0.25, 0.06, 0};
enum { PROBED = sizeof probed / sizeof probed[0] };

/* ---- levers ---------------------------------------------------------------------------------- */

th_lever *th_lever_add(th_search *search, const th_lever *lever) {
    th_lever *added = th_arena_take(&search->own, sizeof *added);

    if (!added) {
        th_fail_memory(search->err);
        return NULL;
    }
    *added = *lever;
    added->rungs = th_arena_take(&search->own, TH_RUNGS_MOST * sizeof *added->rungs);
    added->by_cut =
        th_arena_take(&search->own, (search->job->cut_count + 1) * sizeof *added->by_cut);
    if (!added->rungs || !added->by_cut) {
        th_fail_memory(search->err);
        return NULL;
    }
    if (search->lever_count < TH_LEVERS_MOST) {
        search->levers[search->lever_count++] = added;
    }
    return added;
}

th_rung *th_rung_add(th_search *search, th_lever *lever, double to, const char *to_text,
                     double extra) {
    size_t place = lever->count < TH_RUNGS_MOST ? lever->count : TH_RUNGS_MOST - 1;
    th_rung *rung = &lever->rungs[place];

    *rung = (th_rung){.to = to, .extra = extra};
    if (to_text) {
        rung->to_text = th_arena_copy(search->arena, to_text, strlen(to_text));
        if (!rung->to_text) {
            th_fail_memory(search->err);
            return NULL;
        }
    }
    lever->count = place + 1;
    return rung;
}

bool th_rung_set(th_search *search, th_rung *rung, const char *section, const char *key,
                 const char *value) {
    const char *text =
        rung && value ? th_arena_print(&search->own, "%s.%s=%s", section, key, value) : NULL;

    if (!text) {
        return th_fail_memory(search->err);
    }
    if (rung->count < TH_RUNG_SETTINGS) {
        rung->settings[rung->count++] = text;
    }
    return true;
}

bool th_lever_words(th_search *search, const th_lever *lever, const char *setting, const char *to,
                    double extra) {
    th_lever *added = th_lever_add(search, lever);
    th_rung *rung = added ? th_rung_add(search, added, 0, to, extra) : NULL;

    if (!rung) {
        return false;
    }
    rung->settings[0] = th_arena_copy(&search->own, setting, strlen(setting));
    rung->count = 1;
    return rung->settings[0] || th_fail_memory(search->err);
}

/* ---- ladders of round numbers -----------------------------------------------------------------
 */

static const char *unit_text(const th_search *search, int kind) {
    bool inch = search->job->head.units == TH_INCH;

    switch (kind) {
    case TH_LENGTH:
        return inch ? "in" : "mm";
    case TH_CHIP_LOAD:
        return inch ? "in/tooth" : "mm/tooth";
    case TH_FEED:
        return inch ? "in/min" : "mm/min";
    case TH_SPINDLE_SPEED:
        return "rpm";
    default:
        return "";
    }
}

static double unit_size(const th_search *search, int kind) {
    bool length = kind == TH_LENGTH || kind == TH_CHIP_LOAD || kind == TH_FEED;

    return search->job->head.units == TH_INCH && length ? 25.4 : 1;
}

const char *th_value_text(th_search *search, double value, int kind) {
    char number[40];

    th_number_print(value / unit_size(search, kind), 3, number, sizeof number);
    return th_arena_print(&search->own, "%s%s", number, unit_text(search, kind));
}

static bool add_rung(th_search *search, const th_ladder *ladder, th_lever *lever, double value) {
    th_rung *rung = th_rung_add(search, lever, value, NULL, ladder->extra);
    const char *text = th_value_text(search, value, ladder->kind);

    if (!rung || !th_rung_set(search, rung, ladder->section, ladder->key, text) ||
        (ladder->with && !th_rung_set(search, rung, ladder->section, ladder->with, text))) {
        return false;
    }
    if (ladder->also) {
        rung->settings[rung->count++] = ladder->also;
    }
    return true;
}

static bool climb(th_search *search, const th_ladder *ladder, th_lever *lever) {
    double first = floor(ladder->from * 20 + 1);

    for (int n = 0; (first + n) / 20 <= ladder->most + 1e-9; n++) {
        if (!add_rung(search, ladder, lever, (first + n) / 20)) {
            return false;
        }
    }
    return true;
}

/* Two-digit numbers below the present one, nearest first, in steps of one or (above 50) five. */
static bool descend(th_search *search, const th_ladder *ladder, th_lever *lever) {
    double unit = unit_size(search, ladder->kind), from = ladder->from / unit;
    double least = ladder->least / unit;

    if (!(from > 0)) {
        return true; /* nothing lies below */
    }
    for (int decade = (int)floor(log10(from)); decade > -7; decade--) {
        for (int n = 99; n >= 10; n -= n > 50 ? 5 - (100 - n) % 5 : 1) {
            double v = n * pow(10, decade - 1);
            if (v < from * (1 - 1e-9) && v >= least * (1 - 1e-9) && lever->count < TH_RUNGS_MOST &&
                !add_rung(search, ladder, lever, v * unit)) {
                return false;
            }
        }
    }
    return true;
}

bool th_ladder_add(th_search *search, const th_ladder *ladder) {
    th_lever lever = {.change = ladder->change,
                      .cut = ladder->cut,
                      .climbs = true,
                      .kind = ladder->kind,
                      .from = ladder->from};
    th_lever *added = th_lever_add(search, &lever);

    return added &&
           (ladder->upwards ? climb(search, ladder, added) : descend(search, ladder, added));
}

/* ---- looks ----------------------------------------------------------------------------------- */

static bool changed_job(th_search *search, const th_combo *combo, th_job **changed) {
    const char *settings[2 * TH_RUNG_SETTINGS];
    th_error inner = {.code = TH_OK};
    size_t count = 0;

    *changed = NULL;
    for (size_t i = 0; i < combo->count; i++) {
        const th_rung *rung = &combo->lever[i]->rungs[combo->rung[i]];
        for (size_t k = 0; k < rung->count; k++) {
            settings[count++] = rung->settings[k];
        }
    }
    return th_job_change(search->job, settings, count, changed, &inner) ||
           inner.code != TH_NO_MEMORY || th_fail_memory(search->err);
}

/* Whether a setting changes the cut: it is of the cut itself, of its cutter, or of the whole job.
 */
static bool touches(const char *setting, const th_cut *cut) {
    size_t own = strlen(cut->section);
    const char *cutter = cut->cutter ? cut->cutter->name : "";
    size_t named = strlen(cutter);

    if (strncmp(setting, "cut.", 4) == 0) {
        return strncmp(setting, cut->section, own) == 0 && setting[own] == '.';
    }
    if (strncmp(setting, "cutter.", 7) == 0) {
        return strncmp(setting + 7, cutter, named) == 0 && setting[7 + named] == '.';
    }
    return true;
}

static bool rung_touches(const th_rung *rung, const th_cut *cut) {
    for (size_t k = 0; k < rung->count; k++) {
        if (touches(rung->settings[k], cut)) {
            return true;
        }
    }
    return false;
}

/* A coarse look may read a cut that holds as one that does not, and would then blame the change:
 * what it leaves be, and holds by the whole model, is passed over. */
static void choose_skipped(th_search *search, const th_combo *combo) {
    for (size_t i = 0; i < search->job->cut_count; i++) {
        bool touched = combo->count == 0 || search->wide;
        for (size_t k = 0; k < combo->count && !touched; k++) {
            touched = rung_touches(&combo->lever[k]->rungs[combo->rung[k]], &search->job->cuts[i]);
        }
        search->skip[i] = search->far[i] || (search->holds[i] && !touched);
    }
    search->judging.skip = search->skip;
}

bool th_search_look(th_search *search, const th_combo *combo, th_turn_look *look, double *by_cut) {
    th_judging judging;
    th_error inner = {.code = TH_OK};
    th_arena arena = {NULL};
    th_judgement judged;
    th_job *changed;
    bool fine;

    *look = (th_turn_look){0, INFINITY};
    choose_skipped(search, combo);
    judging = search->judging;
    judging.quick = true;
    for (size_t i = 0; by_cut && i < search->job->cut_count; i++) {
        by_cut[i] = 0;
    }
    if (judging.options->progress) {
        judging.options->progress(judging.options->context);
    }
    if (!changed_job(search, combo, &changed)) {
        return false;
    }
    if (!changed) {
        return true;
    }
    th_search_widen(search, changed);
    fine = th_judge(changed, &judging, &arena, 0, &judged, &inner);
    if (fine) {
        *look = (th_turn_look){th_kept_least(changed, &judged), judged.minutes};
    }
    if (fine && by_cut) {
        th_search_by_cut(changed, &judged, by_cut);
    }
    th_arena_free(&arena);
    th_job_free(changed);
    return fine || inner.code != TH_NO_MEMORY || th_fail_memory(search->err);
}

/* What a look is worth where others of the same change leave the weakest cut as weak. */
static double worth(const th_search *search, const double *by_cut) {
    double most = 3 * search->job->head.asked_factor, sum = 0;

    for (size_t i = 0; i < search->job->cut_count; i++) {
        sum += fmin(by_cut[i], most);
    }
    return sum;
}

static bool better(const th_search *search, const th_lever *lever, const th_turn_look *look) {
    if (lever->seen == 0) {
        return true;
    }
    if (fabs(look->hold_factor - lever->hold_factor) > 0.02 * lever->hold_factor) {
        return look->hold_factor > lever->hold_factor;
    }
    if (lever->climbs && !(look->hold_factor > 0)) {
        return true; /* where no value alone gives any hold, the strongest may with another change
                      */
    }
    return worth(search, search->by_cut) > worth(search, lever->by_cut);
}

static bool probe_rung(th_search *search, th_lever *lever, size_t rung, th_turn_look *look) {
    th_combo combo = {{lever, NULL}, {rung, 0}, 1};

    if (!th_search_look(search, &combo, look, search->by_cut)) {
        return false;
    }
    if (better(search, lever, look)) {
        lever->best = rung;
        lever->hold_factor = look->hold_factor;
        lever->minutes = look->minutes;
        memcpy(lever->by_cut, search->by_cut, search->job->cut_count * sizeof *search->by_cut);
    }
    lever->seen++;
    return th_others_note(search, lever, rung, look);
}

/* The first rung at or below the share of the present value, the last one if there is none. */
static size_t rung_at(const th_lever *lever, double share) {
    size_t rung = 0;

    while (rung + 1 < lever->count && lever->rungs[rung].to > share * lever->from) {
        rung++;
    }
    return rung;
}

/* The rung that is looked at as the n-th; the number of rungs when there is no more. */
static size_t nth_probe(const th_lever *lever, size_t n) {
    bool down = lever->count && lever->rungs[lever->count - 1].to < lever->from;

    if (!lever->climbs) {
        return n;
    }
    if (lever->count == 0 || n >= PROBED || (n > 0 && !down)) {
        return lever->count;
    }
    if (!down) {
        return lever->count - 1;
    }
    return n > 0 && rung_at(lever, probed[n]) == rung_at(lever, probed[n - 1])
               ? lever->count
               : rung_at(lever, probed[n]);
}

bool th_search_probe(th_search *search, th_lever *lever, double enough, size_t *at,
                     th_turn_look *look) {
    size_t rung;

    *at = lever->count;
    while ((rung = nth_probe(lever, lever->seen)) < lever->count) {
        if (!probe_rung(search, lever, rung, look)) {
            return false;
        }
        if (look->hold_factor >= enough) {
            *at = rung;
            break;
        }
    }
    return true;
}

/* ---- the mildest value that is enough ---------------------------------------------------------
 */

/* Bad below `bad`, good from `good` on, with what is known there; hold factor 0: nothing. */
typedef struct {
    size_t bad, good;
    double bad_value, bad_factor;
} th_bracket;

/* Where the hold factor, taken to follow a power of the value, reaches the target. */
static size_t guess(const th_lever *lever, const th_bracket *at, double good_factor,
                    double target) {
    double good = lever->rungs[at->good].to, share, value;
    size_t middle = (at->bad + at->good) / 2, rung = at->good;

    if (!(at->bad_factor > 0) || !(at->bad_value > 0) || !(good > 0) || isinf(good_factor)) {
        return middle;
    }
    share = log(1.01 * target / at->bad_factor) / log(good_factor / at->bad_factor);
    value = at->bad_value * pow(good / at->bad_value, share);
    if (!(share > 0 && share < 1)) {
        return middle;
    }
    while (rung > at->bad && (value - lever->rungs[rung - 1].to) * (value - good) >= 0) {
        rung--; /* on the strong side of the guess */
    }
    return rung < at->good ? rung : at->good - 1;
}

bool th_search_refine(th_search *search, th_combo *combo, size_t which, size_t low, double target,
                      th_turn_look *look) {
    const th_lever *lever = combo->lever[which];
    th_bracket at = {low, combo->rung[which], lever->from, 0};

    if (combo->count == 1 && low == 0) {
        at.bad_factor = search->quick;
    }
    for (int i = 0; lever->climbs && i < REFINED_MOST && at.bad < at.good &&
                    look->hold_factor > CLOSE * target;
         i++) {
        th_combo tried = *combo;
        th_turn_look seen;
        tried.rung[which] = guess(lever, &at, look->hold_factor, target);
        if (!th_search_look(search, &tried, &seen, NULL)) {
            return false;
        }
        if (seen.hold_factor >= target) {
            *combo = tried;
            *look = seen;
            at.good = tried.rung[which];
        } else {
            at.bad = tried.rung[which] + 1;
            at.bad_value = lever->rungs[tried.rung[which]].to;
            at.bad_factor = seen.hold_factor;
        }
    }
    return true;
}

/* ---- the full model ---------------------------------------------------------------------------
 */

double th_combo_extra(const th_combo *combo) {
    double sum = 0;
    bool taped = false; /* taping anew is done once, whatever for */

    for (size_t i = 0; i < combo->count; i++) {
        double extra = combo->lever[i]->rungs[combo->rung[i]].extra;
        bool again = extra == TH_TAPE_CHANGE && taped;
        sum += again ? 0 : extra;
        taped = taped || extra == TH_TAPE_CHANGE;
    }
    return sum;
}

static bool rubs(const th_stage *stage) {
    return stage->chip_margin < 1 - 1e-9;
}

static bool breaks(const th_stage *stage) {
    return stage->breakage_margin < 1 - 1e-9;
}

static bool shank_rubs(const th_stage *stage) {
    return th_shank_rubs(stage->cut);
}

/* Of a cutter that was chosen anew nothing is taken over from the present one. */
static bool cutter_chosen(const th_combo *combo, const th_cut *cut) {
    for (size_t i = 0; i < combo->count; i++) {
        const th_lever *lever = combo->lever[i];
        if (strcmp(lever->change, "smaller cutter") == 0 &&
            rung_touches(&lever->rungs[combo->rung[i]], cut)) {
            return true;
        }
    }
    return false;
}

static bool at_fault(const th_judgement *judged, int number, bool (*fault)(const th_stage *)) {
    for (size_t i = 0; i < judged->count; i++) {
        if (judged->stages[i].cut->number == number && fault(&judged->stages[i])) {
            return true;
        }
    }
    return false;
}

/* A change that makes a cut rub, a cutter break or a shank rub on the walls where none does now is
 * no remedy; a smaller cutter that breaks or rubs so never is. */
bool th_search_worse(const th_search *search, const th_combo *combo, const th_judgement *judged) {
    static bool (*const faults[])(const th_stage *) = {breaks, shank_rubs, rubs};
    enum { FAULTS = sizeof faults / sizeof faults[0], OF_CUTTER = 2 };

    for (size_t i = 0; i < search->job->cut_count; i++) {
        const th_cut *cut = &search->job->cuts[i];
        bool chosen = cutter_chosen(combo, cut);
        for (size_t k = 0; k < FAULTS; k++) {
            bool now = at_fault(search->now, cut->number, faults[k]);
            if (at_fault(judged, cut->number, faults[k]) && (!now || (chosen && k < OF_CUTTER))) {
                return true;
            }
        }
    }
    return false;
}

static bool fill_settings(th_search *search, const th_combo *combo, th_turn_down *found) {
    const char **list = th_arena_take(search->arena, sizeof *list * 2 * TH_RUNG_SETTINGS);

    for (size_t i = 0; list && i < combo->count; i++) {
        const th_rung *own = &combo->lever[i]->rungs[combo->rung[i]];
        for (size_t k = 0; k < own->count; k++) {
            const char *text =
                th_arena_copy(search->arena, own->settings[k], strlen(own->settings[k]));
            if (!text) {
                return false;
            }
            list[found->setting_count++] = text;
        }
    }
    found->settings = list;
    return list != NULL;
}

static bool fill(th_search *search, const th_combo *combo, th_turn_down *found) {
    const th_lever *first = combo->lever[0], *second = combo->lever[1];
    const th_rung *rung = &first->rungs[combo->rung[0]];

    *found = (th_turn_down){.change = first->change, .cut = first->cut, .kind = first->kind};
    if (!fill_settings(search, combo, found)) {
        return th_fail_memory(search->err);
    }
    if (combo->count == 2) {
        found->words = true; /* two values: the settings say them */
        found->cut = NULL;
        found->change = th_arena_print(search->arena, "%s + %s", first->change, second->change);
        return found->change || th_fail_memory(search->err);
    }
    found->words = first->from_text != NULL;
    found->from = first->from;
    found->to = rung->to;
    found->from_text = first->from_text;
    found->to_text = rung->to_text;
    return true;
}

bool th_turn_down_slow(const th_turn_down *turn) {
    return turn->time_ratio > TH_TURN_SLOW;
}

/* A hold factor that reaches the asked one by rounding alone may miss it on the next machine. */
#define EDGE 1e-6

bool th_search_enough(const th_search *search, double hold_factor) {
    return hold_factor >= search->job->head.asked_factor * (1 + EDGE);
}

int th_turn_class(const th_turn_down *turn) {
    return 2 * turn->sways + th_turn_down_slow(turn);
}

bool th_turn_loosens(const th_search *search, const th_turn_down *turn) {
    return turn->sways && turn->sway > 1.01 * search->sway;
}

static bool dearer(const th_search *search, size_t i, size_t than) {
    int class = th_turn_class(&search->list[i]), other = th_turn_class(&search->list[than]);

    return class != other ? class > other : search->cost[i] >= search->cost[than];
}

/* Of more than the list is for, the one that costs most goes, of equal ones the last. */
static void make_room(th_search *search) {
    size_t dearest = 0;

    if (search->count <= TH_TURN_DOWNS_MOST) {
        return;
    }
    for (size_t i = 1; i < search->count; i++) {
        dearest = dearer(search, i, dearest) ? i : dearest;
    }
    search->count--;
    for (size_t i = dearest; i < search->count; i++) {
        search->list[i] = search->list[i + 1];
        search->cost[i] = search->cost[i + 1];
    }
}

void th_search_fill(const th_search *search, const th_outturn *outturn, th_turn_down *found) {
    found->hold_factor = outturn->hold_factor;
    found->time_ratio = search->now->minutes > 0 ? outturn->minutes / search->now->minutes : 1;
    found->sway = outturn->sway;
    found->sways = outturn->sway > th_sway_limit(search->job);
}

static bool keep(th_search *search, const th_combo *combo, const th_outturn *outturn) {
    th_turn_down *slot;

    make_room(search);
    slot = &search->list[search->count];
    if (!fill(search, combo, slot)) {
        return false;
    }
    th_search_fill(search, outturn, slot);
    search->cost[search->count] = outturn->minutes - search->now->minutes + th_combo_extra(combo);
    search->count++;
    return true;
}

/* A change judged whole: `quick` before it, `seen` the least of the cuts that the quick look took
 * in, by_cut of the search each cut. Not `fine`: refused, or it makes a cut rub or the cutter
 * break. */
typedef struct {
    double quick, seen;
    th_outturn outturn;
    bool fine;
} th_whole;

static double least_seen(const th_search *search) {
    double least = INFINITY;

    for (size_t i = 0; i < search->job->cut_count; i++) {
        least = search->skip[i] ? least : fmin(least, search->by_cut[i]);
    }
    return least;
}

static bool judge_whole(th_search *search, const th_combo *combo, th_whole *whole) {
    th_error inner = {.code = TH_OK};
    th_job *changed;
    th_turn_look quick;
    bool fine;

    *whole = (th_whole){.quick = 0};
    if (!th_search_look(search, combo, &quick, NULL) || !changed_job(search, combo, &changed)) {
        return false;
    }
    fine = changed && th_search_judge(search, combo, changed, &whole->outturn, &inner);
    if (fine) {
        whole->quick = quick.hold_factor;
        whole->seen = least_seen(search);
        whole->fine = !whole->outturn.worse;
    }
    th_job_free(changed);
    return fine || inner.code != TH_NO_MEMORY || th_fail_memory(search->err);
}

bool th_search_confirm(th_search *search, const th_combo *combo, bool best_step, bool *kept,
                       double *ratio) {
    th_whole whole;

    *kept = false;
    *ratio = 0;
    if (!judge_whole(search, combo, &whole)) {
        return false;
    }
    search->others = whole.fine && !th_search_enough(search, whole.outturn.kept) &&
                     th_search_enough(search, whole.seen);
    if (whole.fine) {
        *ratio = whole.seen > 0 ? whole.quick / whole.seen : 0;
        *kept = best_step ? whole.outturn.hold_factor >= search->now->hold_factor * 1.01 &&
                                whole.outturn.hold_factor > 0
                          : th_search_enough(search, whole.outturn.kept);
    }
    return !*kept || keep(search, combo, &whole.outturn);
}

/* ---- the mildest value by the full model ------------------------------------------------------
 */

/* Least hold factor, as judged last or as it is now, of the failing cuts that a change touches; of
 * all that fail where it touches none. */
static double failing_factor(const th_search *search, const th_rung *rung, bool present) {
    double least[2] = {INFINITY, INFINITY};
    const th_judgement *now = search->now;

    for (size_t i = 0; i < now->count; i++) {
        const th_stage *stage = &now->stages[i];
        size_t place = (size_t)(stage->cut - search->job->cuts);
        double value = present ? th_kept_factor(search->job, stage) : search->by_cut[place];
        double *own = &least[rung_touches(rung, stage->cut) ? 0 : 1];
        if (stage->counts && !search->holds[place]) {
            *own = fmin(*own, value);
        }
    }
    return isinf(least[0]) ? least[1] : least[0];
}

/* Takes the place of what was kept last. */
static bool keep_instead(th_search *search, const th_combo *combo, const th_outturn *outturn) {
    if (search->count > 0) {
        search->count--;
    }
    return keep(search, combo, outturn);
}

bool th_search_relax(th_search *search, th_combo *combo, size_t which, size_t low, int most) {
    const th_lever *lever = combo->lever[which];
    const th_rung *present = &lever->rungs[combo->rung[which]];
    double asked = search->job->head.asked_factor;
    double good = failing_factor(search, present, false);
    th_bracket at = {low, combo->rung[which], lever->from, failing_factor(search, present, true)};

    for (int i = 0; lever->climbs && i < most && at.bad < at.good; i++) {
        th_combo tried = *combo;
        th_whole whole;
        /* the last one left to a guess that creeps along is the neighbour */
        tried.rung[which] = i + 1 < most ? guess(lever, &at, good, asked) : at.good - 1;
        if (!judge_whole(search, &tried, &whole)) {
            return false;
        }
        if (whole.fine && th_search_enough(search, whole.outturn.kept)) {
            *combo = tried;
            at.good = tried.rung[which];
            good = failing_factor(search, &lever->rungs[at.good], false);
            if (!keep_instead(search, combo, &whole.outturn)) {
                return false;
            }
        } else {
            at.bad = tried.rung[which] + 1;
            at.bad_value = lever->rungs[tried.rung[which]].to;
            at.bad_factor = failing_factor(search, &lever->rungs[tried.rung[which]], false);
        }
    }
    return true;
}

bool th_search_reach(th_search *search, const th_lever *lever, const th_cut *cut,
                     double *hold_factor) {
    th_combo combo = {{lever, NULL}, {lever->best, 0}, 1};
    th_whole whole;

    *hold_factor = 0;
    if (!judge_whole(search, &combo, &whole)) {
        return false;
    }
    if (whole.fine) {
        *hold_factor = search->by_cut[cut - search->job->cuts];
    }
    return true;
}
