/* turn_downs.c - the single changes that restore the asked factor.
 *
 * Each is tried as text: the setting that is printed is the setting that was judged. */
#include "turn_search.h"

#include <math.h>

/* Values of one change that are judged whole before it is given up. */
enum { SETTLED_MOST = 3 };

/* Milder values of one that does which are judged whole, to find the mildest. */
enum { RELAXED_MOST = 4 };

/* ---- what is tried ------------------------------------------------------------------------------
 */

static bool cut_fails(const th_search *search, const th_cut *cut) {
    for (size_t i = 0; i < search->now->count; i++) {
        const th_stage *stage = &search->now->stages[i];
        if (stage->cut == cut && stage->counts &&
            th_kept_factor(search->job, stage) < search->job->head.asked_factor) {
            return true;
        }
    }
    return false;
}

/* The last cut that fails: what comes after it cannot warm it. NULL: none. */
static const th_cut *last_failing(const th_search *search) {
    const th_cut *last = NULL;

    for (size_t i = 0; i < search->job->cut_count; i++) {
        last = cut_fails(search, &search->job->cuts[i]) ? &search->job->cuts[i] : last;
    }
    return last;
}

static bool heat_takes(const th_search *search) {
    for (size_t i = 0; i < search->now->count; i++) {
        const th_stage *stage = &search->now->stages[i];
        bool weak = stage->way == TH_HEAT || stage->derating.temperature < 0.98 ||
                    !th_heat_kept(search->job, stage);
        if (weak && stage->counts && cut_fails(search, stage->cut)) {
            return true;
        }
    }
    return false;
}

static bool cutter_fails(const th_search *search, const th_job_cutter *cutter) {
    for (size_t i = 0; i < search->job->cut_count; i++) {
        const th_cut *cut = &search->job->cuts[i];
        if (cut->cutter == cutter && cut_fails(search, cut)) {
            return true;
        }
    }
    return false;
}

static bool add_levers(th_search *search) {
    const th_job *job = search->job;
    const th_cut *last = last_failing(search);
    bool fit = search->now->stack.unusable == TH_USABLE; /* else only another hold does */

    for (size_t i = 0; fit && i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        bool heats = search->warm && last && cut <= last;
        if ((cut_fails(search, cut) && !th_cut_levers(search, cut)) ||
            (heats && !th_heat_levers(search, cut))) {
            return false;
        }
    }
    for (size_t i = 0; fit && i < job->cutter_count; i++) {
        if (cutter_fails(search, &job->cutters[i]) && !th_cutter_levers(search, &job->cutters[i])) {
            return false;
        }
    }
    return th_hold_levers(search);
}

/* ---- singles -----------------------------------------------------------------------------------
 */

/* Values between which one is settled: too mild below `low`, enough at `strong` by a quick look. */
typedef struct {
    size_t low, strong;
    th_turn_look look; /* at `strong` */
} th_span;

/* The mildest value that the whole model finds enough. */
static bool settle(th_search *search, th_lever *lever, th_span *span, bool *kept) {
    double asked = search->job->head.asked_factor, target = asked * search->optimism;

    *kept = false;
    for (int i = 0; i < SETTLED_MOST; i++) {
        th_combo combo = {{lever, NULL}, {span->strong, 0}, 1};
        th_turn_look look = span->look;
        double ratio;
        if (!th_search_refine(search, &combo, 0, span->low, target, &look) ||
            !th_search_confirm(search, &combo, false, kept, &ratio)) {
            return false;
        }
        if (*kept) {
            return th_search_relax(search, &combo, 0, span->low, RELAXED_MOST);
        }
        if (search->others || !lever->climbs || combo.rung[0] >= span->strong || !(ratio > 0)) {
            break;
        }
        target = asked * ratio * 1.02;
        span->low = combo.rung[0] + 1;
    }
    return true;
}

/* Quick looks stray: what comes near is judged whole. */
static double enough_for(const th_search *search) {
    return search->job->head.asked_factor * fmax(1, 0.93 * search->optimism);
}

static bool try_values(th_search *search, th_lever *lever, bool *kept) {
    th_span span = {0, 0, {0, 0}};

    *kept = false;
    search->others = false;
    while (!*kept && !search->others && span.strong < lever->count) {
        if (!th_search_probe(search, lever, enough_for(search), &span.strong, &span.look)) {
            return false;
        }
        span.low = 0;
        if (span.strong < lever->count && !settle(search, lever, &span, kept)) {
            return false;
        }
    }
    return true;
}

/* Where the change spoils a cut that was passed over, again with a look at all of them. */
static bool try_lever(th_search *search, th_lever *lever) {
    bool kept, fine = try_values(search, lever, &kept);

    if (fine && search->others && !kept) {
        lever->seen = lever->other_count = 0;
        search->wide = true;
        fine = try_values(search, lever, &kept);
        search->wide = false;
    }
    return fine;
}

/* Whether one of two changes comes behind the other: what sways too far behind what does not, what
 * takes very long behind what does not, then by cost, then by hold factor. */
static bool behind(const th_search *search, size_t i, const th_turn_down *other, double cost) {
    const th_turn_down *own = &search->list[i];
    int class = th_turn_class(own), than = th_turn_class(other);

    if (class != than) {
        return class > than;
    }
    return search->cost[i] > cost + 1e-9 ||
           (search->cost[i] > cost - 1e-9 && own->hold_factor < other->hold_factor);
}

/* Insertion sort: the list is short and order must be stable. */
static void sort_by_cost(th_search *search) {
    for (size_t i = 1; i < search->count; i++) {
        th_turn_down moved = search->list[i];
        double cost = search->cost[i];
        size_t j = i;
        while (j > 0 && behind(search, j - 1, &moved, cost)) {
            search->list[j] = search->list[j - 1];
            search->cost[j] = search->cost[j - 1];
            j--;
        }
        search->list[j] = moved;
        search->cost[j] = cost;
    }
}

/* ---- where nothing is enough -------------------------------------------------------------------
 */

/* The changes that quick looks saw gain most, judged whole: the first that does gain. */
static bool find_best_step(th_search *search) {
    enum { TRIED = 4 };
    double below = INFINITY;
    bool kept = false;

    for (int i = 0; i < TRIED && !kept; i++) {
        const th_lever *best = NULL;
        double ratio;
        for (size_t k = 0; k < search->lever_count; k++) {
            const th_lever *lever = search->levers[k];
            if (lever->count && lever->hold_factor < below &&
                (!best || lever->hold_factor > best->hold_factor)) {
                best = lever;
            }
        }
        if (!best || !(best->hold_factor > search->quick)) {
            break;
        }
        th_combo combo = {{best, NULL}, {best->best, 0}, 1};
        below = best->hold_factor;
        if (!th_search_confirm(search, &combo, true, &kept, &ratio)) {
            return false;
        }
    }
    return true;
}

/* ---- the whole ----------------------------------------------------------------------------------
 */

/* Cuts that hold so much better than the one that governs, and than what is asked, that a quick
 * look may pass them over; what it finds is judged whole. Not one with tabs: later cuts lean on
 * what it leaves. */
static bool *far_from_failing(const th_search *search) {
    const th_job *job = search->job;
    double clear = fmax(3 * search->now->hold_factor, 2 * job->head.asked_factor);
    bool *far = th_arena_take(search->arena, (job->cut_count + 1) * sizeof *far);

    for (size_t i = 0; far && i < job->cut_count; i++) {
        far[i] = search->now->hold_factor > 0 && job->cuts[i].tabs.count == 0;
        for (size_t k = 0; k < search->now->count; k++) {
            const th_stage *stage = &search->now->stages[k];
            if (stage->cut == &job->cuts[i] && stage->counts &&
                th_kept_factor(job, stage) < clear) {
                far[i] = false;
            }
        }
    }
    return far;
}

/* Cuts that hold, by the whole model; as above not one with tabs. */
static bool *holding(const th_search *search) {
    const th_job *job = search->job;
    bool *holds = th_arena_take(search->arena, (job->cut_count + 1) * sizeof *holds);

    for (size_t i = 0; holds && i < job->cut_count; i++) {
        holds[i] = job->cuts[i].tabs.count == 0 && !cut_fails(search, &job->cuts[i]);
    }
    return holds;
}

/* Cuts that fail and begin wider than they state; those of a search around this one, if any. */
static bool find_wider(th_search *search) {
    bool *wider = NULL;

    if (search->wider) {
        return true;
    }
    if (!th_begin_wider(search->job, &search->judging, &search->own, &wider, search->err)) {
        return false;
    }
    for (size_t i = 0; wider && i < search->job->cut_count; i++) {
        wider[i] = wider[i] && cut_fails(search, &search->job->cuts[i]);
    }
    search->wider = wider;
    return true;
}

/* Least of the cuts that fail: what a look at a change has to gain on. */
static double quick_of_failing(const th_search *search, double all) {
    double least = INFINITY;

    for (size_t i = 0; i < search->job->cut_count; i++) {
        least = search->holds[i] ? least : fmin(least, search->before[i]);
    }
    return isinf(least) ? all : least;
}

static bool prepare(th_search *search) {
    size_t cuts = search->job->cut_count + 1;
    const th_combo none = {.count = 0};
    th_turn_look look;
    double now;

    search->far = far_from_failing(search);
    search->holds = holding(search);
    search->skip = th_arena_take(&search->own, cuts * sizeof *search->skip);
    search->list = th_arena_take(search->arena, (TH_TURN_DOWNS_MOST + 1) * sizeof *search->list);
    search->cost = th_arena_take(&search->own, (TH_TURN_DOWNS_MOST + 1) * sizeof *search->cost);
    search->before = th_arena_take(&search->own, cuts * sizeof *search->before);
    search->by_cut = th_arena_take(&search->own, cuts * sizeof *search->by_cut);
    if (!search->far || !search->holds || !search->skip || !search->list || !search->cost ||
        !search->before || !search->by_cut) {
        return th_fail_memory(search->err);
    }
    if (!find_wider(search) || !th_search_look(search, &none, &look, search->before)) {
        return false;
    }
    search->quick = quick_of_failing(search, look.hold_factor);
    now = th_kept_least(search->job, search->now);
    search->optimism = now > 0 ? search->quick / now : 1;
    search->optimism = fmin(fmax(search->optimism, 1), 2);
    search->warm = heat_takes(search);
    search->sway = th_sway_most(search->job, search->now);
    return true;
}

/* Whether a single change was found that neither takes very long nor makes the part sway. */
static bool any_brisk(const th_search *search) {
    for (size_t i = 0; i < search->count; i++) {
        const th_turn_down *turn = &search->list[i];
        if (!th_turn_down_slow(turn) && !th_turn_loosens(search, turn)) {
            return true;
        }
    }
    return false;
}

/* Two changes together, where none alone is enough or all that are take very long or sway; by two
 * that do as badly nothing is gained. */
static bool try_pairs(th_search *search) {
    size_t singles = search->count, count = singles;
    int best = 4; /* more than any class */

    for (size_t i = 0; i < singles; i++) {
        int class = th_turn_class(&search->list[i]);
        best = class < best ? class : best;
    }
    if (!th_pairs_find(search)) {
        return false;
    }
    for (size_t i = singles; i < search->count; i++) {
        if (th_turn_class(&search->list[i]) < best) {
            search->list[count] = search->list[i];
            search->cost[count++] = search->cost[i];
        }
    }
    search->count = count;
    return true;
}

/* Changes by one and by two, the cheapest first. */
static bool find_list(th_search *search) {
    if (!prepare(search) || !add_levers(search)) {
        return false;
    }
    for (size_t i = 0; i < search->lever_count; i++) {
        if (!try_lever(search, search->levers[i])) {
            return false;
        }
    }
    if (!any_brisk(search) && (!th_others_add(search) || !try_pairs(search))) {
        return false;
    }
    sort_by_cost(search);
    search->count = search->count < TH_TURN_DOWNS_MOST ? search->count : TH_TURN_DOWNS_MOST;
    return true;
}

/* "axial + axial + radial". */
static const char *names_of(th_search *search, const th_turn_reach *reach, size_t count) {
    const char *names = "";

    for (size_t i = 0; names && i < count; i++) {
        names = th_arena_print(search->arena, "%s%s%s", names, i ? " + " : "",
                               reach[i].change ? reach[i].change : "");
    }
    return names;
}

/* Of each cut that fails a change of its own, all at once. */
static bool find_set(th_search *search, th_turn_down *together, bool *found) {
    th_turn_reach *reach;
    size_t count;
    th_turn_set set;

    if (!th_turn_reach_find(search, &reach, &count) ||
        !th_turn_set_find(search, reach, count, &set)) {
        return false;
    }
    *found = set.settings != NULL;
    *together = (th_turn_down){.change = names_of(search, reach, count),
                               .settings = set.settings,
                               .setting_count = set.setting_count,
                               .words = true};
    th_search_fill(search, &set.outturn, together);
    return together->change || th_fail_memory(search->err);
}

bool th_turn_downs_within(th_search *search, th_turn_down *cheapest, bool *found) {
    *found = false;
    if (!find_list(search) || (search->count == 0 && !find_set(search, cheapest, found))) {
        return false;
    }
    if (!*found && search->count == 0 && !th_first_find(search)) {
        return false;
    }
    if (search->count > 0) {
        *found = true;
        *cheapest = search->list[0];
    }
    return true;
}

static bool find(th_search *search, th_turn_downs *found) {
    th_turn_reach *reach = NULL;
    size_t reach_count = 0;

    if (!find_list(search)) {
        return false;
    }
    if (search->count == 0 && !th_first_find(search)) {
        return false;
    }
    *found = (th_turn_downs){.list = search->list, .count = search->count};
    if (search->count == 0) {
        if (!find_best_step(search) || !th_turn_reach_find(search, &reach, &reach_count)) {
            return false;
        }
        found->best_step = search->count ? search->list : NULL;
    }
    return th_turn_advice(search, reach, reach_count, found);
}

bool th_turn_downs_find(const th_job *job, const th_judging *judging, const th_judgement *judgement,
                        th_arena *arena, th_turn_downs *found, th_error *err) {
    th_search search = {
        .job = job, .judging = *judging, .now = judgement, .arena = arena, .err = err};
    bool fine = find(&search, found);

    th_arena_free(&search.own);
    return fine;
}
