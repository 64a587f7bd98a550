/* turn_first.c - where the hold as it is bears nothing at all, ruined by the coolant or too warm:
 * another hold first, and then what the cuts need with it. */
#include "turn_search.h"

#include <math.h>
#include <string.h>

/* Other holds that are searched whole, those within another too: each takes as long as the search
 * of a job. One may bear nothing either, a better plate under a tape too warm: then the next is
 * within it. */
enum { TRIED = 2 };

static const char *const of_hold[] = {"tape", "plate", "cooling", "glue"};
enum { KINDS = sizeof of_hold / sizeof of_hold[0], RUINED_KINDS = 2 }; /* the first of them */

/* Cuts that a change leaves as strong as asked, and how strong all are together, each counted up to
 * what is asked: the more, the less is left to do. */
typedef struct {
    size_t held;
    double sum;
} th_left;

static th_left left_of(const th_search *search, const th_lever *lever) {
    double asked = search->job->head.asked_factor;
    th_left left = {0, 0};

    for (size_t i = 0; i < search->job->cut_count; i++) {
        left.held += lever->by_cut[i] >= asked;
        left.sum += fmin(lever->by_cut[i], asked);
    }
    return left;
}

static bool leaves_less(th_left one, th_left than) {
    return one.held != than.held ? one.held > than.held : one.sum > than.sum;
}

/* The change of a kind that leaves least to do; NULL: none is worth a search. It has to give some
 * cut a hold; or none has one as it is, so that lighter cuts were not tried with it. */
static const th_lever *best_of(const th_search *search, int kind, th_left *left) {
    bool ruined = search->now->stack.unusable != TH_USABLE && kind < RUINED_KINDS;
    const th_lever *best = NULL;

    for (size_t k = 0; k < search->lever_count; k++) {
        const th_lever *lever = search->levers[k];
        th_left own = left_of(search, lever);
        bool fits = strcmp(lever->change, of_hold[kind]) == 0 && lever->seen > 0 &&
                    !isinf(lever->minutes) && (own.sum > 0 || ruined);
        if (fits && (!best || leaves_less(own, *left))) {
            best = lever;
            *left = own;
        }
    }
    return best;
}

/* The holds that promise most, of each kind one; how many. What is ruined comes first, and no kind
 * that a search around this one has changed. */
static size_t choose(const th_search *search, const th_lever *chosen[KINDS]) {
    bool ruined = search->now->stack.unusable != TH_USABLE;
    th_left known[KINDS];
    size_t count = 0;

    for (int kind = 0; kind < KINDS; kind++) {
        th_left left;
        const th_lever *lever = best_of(search, kind, &left);
        size_t place = count, first = ruined && kind >= RUINED_KINDS ? count : 0;
        if (!lever || (search->outer && strstr(search->outer, of_hold[kind]))) {
            continue;
        }
        for (; place > first && leaves_less(left, known[place - 1]); place--) {
            chosen[place] = chosen[place - 1];
            known[place] = known[place - 1];
        }
        chosen[place] = lever;
        known[place] = left;
        count++;
    }
    return count;
}

/* Of holds that leave no cut any hold, all being too warm, the one that stands most warmth. */
static bool choose_rung(th_search *search, const th_lever *lever, size_t *rung) {
    double most = -INFINITY;

    *rung = lever->best;
    if (left_of(search, lever).sum > 0) {
        return true;
    }
    for (size_t i = 0; i < lever->count; i++) {
        th_error inner = {.code = TH_OK};
        th_job *changed = NULL;
        bool fine = th_job_change(search->job, lever->rungs[i].settings, lever->rungs[i].count,
                                  &changed, &inner);
        double stands = fine ? th_hold_warmest(changed) : -INFINITY;
        th_job_free(changed);
        if (inner.code == TH_NO_MEMORY) {
            return th_fail_memory(search->err);
        }
        *rung = stands > most ? i : *rung;
        most = fmax(most, stands);
    }
    return true;
}

/* Whether a change sets the same key. */
static bool sets_again(const th_turn_down *with, const char *setting) {
    size_t key = strcspn(setting, "=") + 1;

    for (size_t i = 0; i < with->setting_count; i++) {
        if (strncmp(with->settings[i], setting, key) == 0) {
            return true;
        }
    }
    return false;
}

/* The settings of the other hold, and behind them those of the change found with it, which may set
 * anew what that began with. False: out of memory. */
static bool join(th_search *search, const th_rung *rung, const th_turn_down *with,
                 th_turn_down *kept) {
    const char **list =
        th_arena_take(search->arena, (rung->count + with->setting_count) * sizeof *list);

    for (size_t i = 0; list && i < rung->count; i++) {
        const char *text = rung->settings[i];
        if (sets_again(with, text)) {
            continue;
        }
        list[kept->setting_count] = th_arena_copy(search->arena, text, strlen(text));
        if (!list[kept->setting_count++]) {
            return false;
        }
    }
    for (size_t i = 0; list && i < with->setting_count; i++) {
        list[kept->setting_count++] = with->settings[i];
    }
    kept->settings = list;
    return list != NULL;
}

/* `minutes`: of the job with the other hold and nothing else changed. */
static bool keep(th_search *search, const char *change, const th_rung *rung,
                 const th_turn_down *with, double minutes) {
    th_turn_down *kept = &search->list[0];
    double longer = search->now->minutes > 0 ? minutes / search->now->minutes : 1;

    *kept = (th_turn_down){.change = th_arena_print(search->arena, "%s + %s", change, with->change),
                           .words = true,
                           .hold_factor = with->hold_factor,
                           .sway = with->sway,
                           .sways = with->sways,
                           .time_ratio = with->time_ratio * longer};
    search->cost[0] = 0; /* the only one */
    search->count = 1;
    return (kept->change && join(search, rung, with, kept)) || th_fail_memory(search->err);
}

/* With the other hold, searched as if it were the job's own. */
static bool try_one(th_search *search, const char *change, const th_rung *rung) {
    th_judging judging = search->judging;
    th_error inner = {.code = TH_OK};
    th_arena arena = {NULL};
    th_judgement judged;
    th_turn_down with;
    th_job *changed = NULL;
    bool found = false, fine;
    const char *outer =
        th_arena_print(&search->own, "%s %s", search->outer ? search->outer : "", change);

    judging.skip = NULL;
    fine = outer && th_job_change(search->job, rung->settings, rung->count, &changed, &inner);
    if (fine) {
        th_search_widen(search, changed); /* what begins so has to hold so */
    }
    fine = fine && th_judge(changed, &judging, &arena, 0, &judged, &inner);
    if (fine) {
        th_search within = {.job = changed,
                            .judging = judging,
                            .now = &judged,
                            .arena = search->arena,
                            .err = search->err,
                            .inner = search->inner,
                            .wider = search->wider,
                            .outer = outer};
        fine = th_turn_downs_within(&within, &with, &found);
        th_arena_free(&within.own);
    } else {
        fine = (outer && inner.code != TH_NO_MEMORY) || th_fail_memory(search->err);
    }
    fine = fine && (!found || keep(search, change, rung, &with, judged.minutes));
    th_arena_free(&arena);
    th_job_free(changed);
    return fine;
}

bool th_first_find(th_search *search) {
    const th_lever *chosen[KINDS];
    bool bears = search->now->hold_factor > 0;
    size_t count = bears ? 0 : choose(search, chosen);
    int inner = 0, *outer = search->inner;
    bool fine = true;

    search->inner = outer ? outer : &inner;
    for (size_t i = 0; fine && i < count && *search->inner < TRIED && search->count == 0; i++) {
        size_t rung;
        ++*search->inner;
        fine = choose_rung(search, chosen[i], &rung) &&
               try_one(search, chosen[i]->change, &chosen[i]->rungs[rung]);
    }
    search->inner = outer;
    return fine;
}
