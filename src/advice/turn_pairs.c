/* turn_pairs.c - the cheapest two changes that do together what no single one does. */
#include "turn_search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Pairs that are looked at, of those found good the ones judged whole, and milder values of each
 * change of the one that does. */
enum { LOOKED_AT = 24, FOUND_MOST = 6, JUDGED = 3, RELAXED_MOST = 5 };

/* Of pairs with a skin so many are looked at in any case: it takes away the pass that is mostly the
 * weakest, and what another change then gains does not show in either alone. */
enum { SKINS = 4 };

/* So it is with another tape or glue and a lighter cut where that is the worst that the tape
 * leaves: too warm as it is, nothing can be expected of the cut. */
enum { TAPES = 8 };

/* And with stock made flatter: its bow takes so much all the time that what a lighter cut gains
 * does not show before. */
enum { BOWS = 6 };
enum { ALWAYS_MOST = SKINS + TAPES + BOWS };

typedef struct {
    const th_lever *a, *b;
    double expected; /* hold factor */
    int unknown;     /* cuts that neither gives any hold alone */
    double cost;     /* about (min) */
    bool likely;     /* by what is expected it does */
    size_t order;    /* as listed: every qsort then puts equal ones alike */
    bool always;     /* looked at whatever is expected and costs */
} th_pair;

/* Whether both set the same key: the later would undo the earlier. */
static bool collide(const th_lever *a, const th_lever *b) {
    const th_rung *one = &a->rungs[a->best], *two = &b->rungs[b->best];

    for (size_t i = 0; i < one->count; i++) {
        for (size_t k = 0; k < two->count; k++) {
            size_t length = strcspn(one->settings[i], "=");
            if (strncmp(one->settings[i], two->settings[k], length + 1) == 0) {
                return true;
            }
        }
    }
    return false;
}

static const char tape_key[] = "hold.tape=";

/* Whether it puts on a tape that is left out. */
static bool left_out(const th_search *search, const th_lever *lever) {
    const th_rung *rung = &lever->rungs[lever->best];

    for (size_t i = 0; i < search->left_count; i++) {
        for (size_t k = 0; k < rung->count; k++) {
            if (strcmp(rung->settings[k], search->left_out[i]) == 0) {
                return true;
            }
        }
    }
    return false;
}

/* Hold factor of both together, each cut by itself and each change by the factor that it gains
 * alone; where there is none to begin with (too warm), it may be anything. */
static void expect(const th_search *search, th_pair *pair) {
    const double *a = pair->a->by_cut, *b = pair->b->by_cut;

    pair->expected = INFINITY;
    pair->unknown = 0;
    for (size_t i = 0; i < search->job->cut_count; i++) {
        double now = search->before[i], both = fmax(a[i], b[i]);
        if (isinf(now) || isinf(both)) {
            continue;
        }
        if (now > 0) {
            both = a[i] * b[i] / now;
        } else if (both > 0) {
            both = 3 * both;
        } else {
            both = search->job->head.asked_factor * search->optimism;
            pair->unknown++;
        }
        pair->expected = fmin(pair->expected, both);
    }
}

/* Of the minutes that its strongest value costs a change in a pair mostly needs a part. */
static double about(const th_search *search, const th_lever *lever) {
    double part = lever->climbs ? 0.3 : 1;
    double minutes = part * (lever->minutes - search->now->minutes);

    return lever->rungs[lever->best].extra + fmax(minutes, 0);
}

static int compare_pairs(const void *a, const void *b) {
    const th_pair *p = a, *q = b;

    if (p->unknown != q->unknown) {
        return p->unknown - q->unknown;
    }
    if (p->cost != q->cost) {
        return p->cost > q->cost ? 1 : -1;
    }
    return (p->order > q->order) - (p->order < q->order);
}

static bool with_skin(const th_search *search, const th_pair *pair) {
    (void)search;
    return strcmp(pair->a->change, "skin") == 0 || strcmp(pair->b->change, "skin") == 0;
}

/* Of which more is expected: a change that gives some hold alone says more than one that gives
 * none.
 */
static bool promises_more(const th_pair *pair, const th_pair *than) {
    return pair->unknown != than->unknown ? pair->unknown < than->unknown
                                          : pair->expected > than->expected;
}

/* The cut that holds least with a change alone; NULL: each is as asked. */
static const th_cut *worst_left(const th_search *search, const th_lever *lever) {
    const th_cut *worst = NULL;
    double least = search->job->head.asked_factor;

    for (size_t i = 0; i < search->job->cut_count; i++) {
        if (lever->by_cut[i] < least) {
            worst = &search->job->cuts[i];
            least = lever->by_cut[i];
        }
    }
    return worst;
}

static bool of_tape(const th_lever *lever) {
    return strcmp(lever->change, "tape") == 0 || strcmp(lever->change, "glue") == 0;
}

static bool lightens(const th_search *search, const th_lever *lever, const th_lever *tape) {
    return lever->climbs && lever->cut && lever->cut == worst_left(search, tape);
}

static bool with_tape(const th_search *search, const th_pair *pair) {
    return (of_tape(pair->a) && lightens(search, pair->b, pair->a)) ||
           (of_tape(pair->b) && lightens(search, pair->a, pair->b));
}

static bool flattens(const th_lever *lever) {
    return strcmp(lever->change, "bow") == 0;
}

static bool with_bow(const th_search *search, const th_pair *pair) {
    (void)search;
    return (flattens(pair->a) && pair->b->climbs) || (flattens(pair->b) && pair->a->climbs);
}

/* Those of which most is expected, among pairs of a kind. */
static void mark(const th_search *search, th_pair *pairs, size_t count,
                 bool (*kind)(const th_search *search, const th_pair *pair), int most) {
    for (int n = 0; n < most; n++) {
        th_pair *best = NULL;
        for (size_t i = 0; i < count; i++) {
            bool fits = kind(search, &pairs[i]);
            if (fits && !pairs[i].always && (!best || promises_more(&pairs[i], best))) {
                best = &pairs[i];
            }
        }
        if (best) {
            best->always = true;
        }
    }
}

/* Pairs that are worth a look, the cheapest first by what is known of each alone. */
static bool list_pairs(th_search *search, th_pair **pairs, size_t *count) {
    size_t n = search->lever_count;
    double least = 0.9 * search->job->head.asked_factor;

    *count = 0;
    *pairs = th_arena_take(&search->own, (n * n / 2 + 1) * sizeof **pairs);
    if (!*pairs) {
        return th_fail_memory(search->err);
    }
    for (size_t i = 0; i < n; i++) {
        for (size_t k = i + 1; k < n; k++) {
            th_pair pair = {.a = search->levers[i], .b = search->levers[k]};
            if (!pair.a->seen || !pair.b->seen || isinf(pair.a->minutes) ||
                isinf(pair.b->minutes) || collide(pair.a, pair.b) || left_out(search, pair.a) ||
                left_out(search, pair.b)) {
                continue;
            }
            expect(search, &pair);
            pair.order = *count;
            pair.cost = about(search, pair.a) + about(search, pair.b);
            pair.likely = pair.expected >= least;
            if (pair.likely || with_skin(search, &pair) || with_tape(search, &pair) ||
                with_bow(search, &pair)) {
                (*pairs)[(*count)++] = pair;
            }
        }
    }
    mark(search, *pairs, *count, with_skin, SKINS);
    mark(search, *pairs, *count, with_tape, TAPES);
    mark(search, *pairs, *count, with_bow, BOWS);
    qsort(*pairs, *count, sizeof **pairs, compare_pairs);
    return true;
}

static double cost_of(const th_combo *combo, const th_turn_look *look) {
    return th_combo_extra(combo) + look->minutes;
}

/* Both values as mild as they may be: one after the other, whichever comes first in `order`. */
static bool soften(th_search *search, th_combo *combo, const size_t order[2], double target,
                   th_turn_look *look) {
    for (int i = 0; i < 2; i++) {
        if (!th_search_refine(search, combo, order[i], 0, target, look)) {
            return false;
        }
    }
    return true;
}

typedef struct {
    th_combo combo;
    double cost;
    size_t order; /* as found */
} th_found;

/* A pair at its strongest, and if that does, at its cheapest. */
static bool look_at(th_search *search, const th_pair *pair, double target, th_found *found,
                    size_t *count) {
    static const size_t orders[2][2] = {{0, 1}, {1, 0}};
    th_combo strong = {{pair->a, pair->b}, {pair->a->best, pair->b->best}, 2};
    th_turn_look seen;

    if (!th_search_look(search, &strong, &seen, NULL)) {
        return false;
    }
    for (int i = 0; seen.hold_factor >= target && i < 2; i++) {
        th_combo combo = strong;
        th_turn_look look = seen;
        th_found *slot = &found[*count];
        double cost;
        if (!soften(search, &combo, orders[i], target, &look)) {
            return false;
        }
        cost = cost_of(&combo, &look);
        if (i == 0 || cost < found[*count - 1].cost) {
            slot = i == 0 ? slot : slot - 1;
            *slot = (th_found){combo, cost, (size_t)(slot - found)};
            *count += i == 0 ? 1 : 0;
        }
        if (!pair->a->climbs || !pair->b->climbs) {
            break; /* only one of them has a choice */
        }
    }
    return true;
}

static int compare_found(const void *a, const void *b) {
    const th_found *p = a, *q = b;

    if (p->cost != q->cost) {
        return p->cost > q->cost ? 1 : -1;
    }
    return (p->order > q->order) - (p->order < q->order);
}

/* Judged whole, with stronger values where the quick look was too hopeful. */
static bool judge_pair(th_search *search, th_combo *combo, double target, bool *kept) {
    static const size_t order[2] = {0, 1};
    th_combo strong = *combo;
    th_turn_look look;
    double ratio;

    if (!th_search_confirm(search, combo, false, kept, &ratio)) {
        return false;
    }
    if (*kept || !(ratio > 0)) {
        return true;
    }
    strong.rung[0] = combo->lever[0]->best;
    strong.rung[1] = combo->lever[1]->best;
    target = fmax(target, search->job->head.asked_factor * ratio * 1.02);
    if (!th_search_look(search, &strong, &look, NULL)) {
        return false;
    }
    if (look.hold_factor < target) {
        return true;
    }
    *combo = strong;
    return soften(search, combo, order, target, &look) &&
           th_search_confirm(search, combo, false, kept, &ratio);
}

/* The cheapest one that does, each value then as mild as the whole model allows. */
static bool judge_found(th_search *search, th_found *found, size_t count, double target) {
    bool kept = false;

    for (size_t i = 0; i < count && i < JUDGED && !kept; i++) {
        th_combo combo = found[i].combo;
        if (!judge_pair(search, &combo, target, &kept)) {
            return false;
        }
        for (size_t k = 0; kept && k < 2; k++) {
            if (!th_search_relax(search, &combo, k, 0, RELAXED_MOST)) {
                return false;
            }
        }
    }
    return true;
}

/* The cheapest pairs by what is known of them, and some with a skin or another tape. */
static bool look_at_pairs(th_search *search, const th_pair *pairs, size_t pair_count,
                          th_found found[FOUND_MOST + ALWAYS_MOST], size_t *count) {
    double target = search->job->head.asked_factor * search->optimism;
    size_t likely = 0;

    *count = 0;
    for (size_t i = 0; i < pair_count; i++) {
        bool cheap = pairs[i].likely && likely++ < LOOKED_AT && *count < FOUND_MOST;
        if ((pairs[i].always || cheap) && !look_at(search, &pairs[i], target, found, count)) {
            return false;
        }
    }
    return true;
}

/* The cheapest that does, of all but those with a tape that is left out. */
static bool find_one(th_search *search) {
    double target = search->job->head.asked_factor * search->optimism;
    th_found found[FOUND_MOST + ALWAYS_MOST];
    size_t pair_count, count;
    th_pair *pairs;

    if (!list_pairs(search, &pairs, &pair_count) ||
        !look_at_pairs(search, pairs, pair_count, found, &count)) {
        return false;
    }
    qsort(found, count, sizeof *found, compare_found);
    return judge_found(search, found, count, target);
}

/* The tape that a change puts on; NULL: the job's own stays, or it is no fault of the new one. */
static const char *tape_at_fault(const th_search *search, const th_turn_down *turn) {
    for (size_t i = 0; th_turn_loosens(search, turn) && i < turn->setting_count; i++) {
        if (strncmp(turn->settings[i], tape_key, strlen(tape_key)) == 0) {
            return turn->settings[i];
        }
    }
    return NULL;
}

/* Whether a tape lets the part sway too far only shows when a pair is judged whole: then others are
 * looked for, and the one that sways stays behind them. */
bool th_pairs_find(th_search *search) {
    bool more = true;

    while (more) {
        size_t place = search->count;
        bool first = search->left_count == 0;
        const char *tape;
        if (!find_one(search)) {
            return false;
        }
        tape = search->count > place ? tape_at_fault(search, &search->list[place]) : NULL;
        more = tape && search->left_count < TH_LEFT_OUT_MOST;
        if (more) {
            search->left_out[search->left_count++] = tape;
        }
        search->count = tape && !first ? place : search->count;
    }
    return true;
}
