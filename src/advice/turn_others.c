/* turn_others.c - values of a change in words (tapes, glues) beside the one that holds best: one
 * that leaves a single cut failing may do together with a lighter cut, where the best alone does
 * not. */
#include "turn_search.h"

#include <math.h>
#include <string.h>

static size_t count_failing(const th_search *search, const double *by_cut) {
    size_t failing = 0;

    for (size_t i = 0; i < search->job->cut_count; i++) {
        failing += by_cut[i] < search->job->head.asked_factor;
    }
    return failing;
}

/* Whether one leaves less to another change to do. */
static bool leaves_less(const th_other *one, const th_other *than) {
    return one->failing != than->failing ? one->failing < than->failing
                                         : one->hold_factor > than->hold_factor;
}

static bool make_list(th_search *search, th_lever *lever) {
    size_t cuts = search->job->cut_count + 1;

    lever->others = th_arena_take(&search->own, TH_OTHERS_MOST * sizeof *lever->others);
    for (size_t i = 0; lever->others && i < TH_OTHERS_MOST; i++) {
        lever->others[i] = (th_other){.by_cut = th_arena_take(&search->own, cuts * sizeof(double))};
        if (!lever->others[i].by_cut) {
            return false;
        }
    }
    return lever->others != NULL;
}

bool th_others_note(th_search *search, th_lever *lever, size_t rung, const th_turn_look *look) {
    th_other seen = {rung, look->hold_factor, look->minutes, NULL, 0};
    size_t place;

    if (lever->climbs || lever->count < 2 || isinf(look->minutes)) {
        return true;
    }
    if (!lever->others && !make_list(search, lever)) {
        return th_fail_memory(search->err);
    }
    seen.failing = count_failing(search, search->by_cut);
    place = lever->other_count;
    while (place > 0 && leaves_less(&seen, &lever->others[place - 1])) {
        place--;
    }
    if (place >= TH_OTHERS_MOST) {
        return true;
    }
    lever->other_count += lever->other_count < TH_OTHERS_MOST;
    seen.by_cut = lever->others[lever->other_count - 1].by_cut; /* of the one that goes, or none */
    for (size_t i = lever->other_count - 1; i > place; i--) {
        lever->others[i] = lever->others[i - 1];
    }
    memcpy(seen.by_cut, search->by_cut, search->job->cut_count * sizeof *seen.by_cut);
    lever->others[place] = seen;
    return true;
}

static bool add_one(th_search *search, const th_lever *lever, const th_other *other) {
    th_lever copy = *lever;
    th_lever *added;

    copy.others = NULL;
    copy.other_count = 0;
    added = th_lever_add(search, &copy);
    if (!added) {
        return false;
    }
    added->rungs[0] = lever->rungs[other->rung];
    added->count = added->seen = 1;
    added->best = 0;
    added->hold_factor = other->hold_factor;
    added->minutes = other->minutes;
    memcpy(added->by_cut, other->by_cut, search->job->cut_count * sizeof *added->by_cut);
    return true;
}

bool th_others_add(th_search *search) {
    size_t count = search->lever_count;

    for (size_t i = 0; i < count; i++) {
        const th_lever *lever = search->levers[i];
        bool held = strcmp(lever->change, "tape") == 0 || strcmp(lever->change, "glue") == 0;
        for (size_t k = 0; held && k < lever->other_count; k++) {
            if (lever->others[k].rung != lever->best &&
                !add_one(search, lever, &lever->others[k])) {
                return false;
            }
        }
    }
    return true;
}
