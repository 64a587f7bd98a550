/* turn_set.c - where no one or two changes are enough, but each cut has one of its own: all of them
 * at once, judged together. */
#include "turn_search.h"

#include <math.h>
#include <string.h>

/* Sets that are judged. */
enum { SETS = 6 };

/* Each change by the same share of its way to its best value. */
static size_t rung_of(const th_turn_reach *reach, double share) {
    return (size_t)ceil(share * (double)reach->lever->best - 1e-9);
}

static const char **settings_of(th_search *search, const th_turn_set *set, double share,
                                size_t *count) {
    const char **list =
        th_arena_take(&search->own, (set->reach_count + 1) * TH_RUNG_SETTINGS * sizeof *list);

    *count = 0;
    for (size_t i = 0; list && i < set->reach_count; i++) {
        const th_rung *rung = &set->reach[i].lever->rungs[rung_of(&set->reach[i], share)];
        for (size_t k = 0; k < rung->count; k++) {
            list[(*count)++] = rung->settings[k];
        }
    }
    return list;
}

static bool judge_set(th_search *search, const th_turn_set *set, double share,
                      th_outturn *outturn) {
    static const th_combo none = {.count = 0};
    size_t count;
    const char **settings = settings_of(search, set, share, &count);
    th_error inner = {.code = TH_OK};
    th_job *changed = NULL;
    bool fine = settings != NULL;

    *outturn = (th_outturn){.minutes = INFINITY};
    fine = fine && (th_job_change(search->job, settings, count, &changed, &inner) ||
                    inner.code != TH_NO_MEMORY);
    if (fine && changed &&
        (!th_search_judge(search, &none, changed, outturn, &inner) || outturn->worse)) {
        outturn->kept = 0;
    }
    th_job_free(changed);
    return (fine && inner.code != TH_NO_MEMORY) || th_fail_memory(search->err);
}

/* Two changes of one key, or one that is of the whole job, are no set. */
static bool makes_a_set(const th_turn_set *set) {
    for (size_t i = 0; i < set->reach_count; i++) {
        const th_lever *lever = set->reach[i].lever;
        if (!lever || !lever->cut || !lever->climbs || lever->cut != set->reach[i].cut) {
            return false;
        }
    }
    return set->reach_count > 1;
}

/* As text that outlives the search. */
static bool keep_settings(th_search *search, th_turn_set *set, double share) {
    size_t count;
    const char **list = settings_of(search, set, share, &count);
    const char **kept = th_arena_take(search->arena, count * sizeof *kept);

    for (size_t i = 0; list && kept && i < count; i++) {
        kept[i] = th_arena_copy(search->arena, list[i], strlen(list[i]));
        if (!kept[i]) {
            return th_fail_memory(search->err);
        }
    }
    set->settings = kept;
    set->setting_count = count;
    return (list && kept) || th_fail_memory(search->err);
}

bool th_turn_set_find(th_search *search, const th_turn_reach *reach, size_t count,
                      th_turn_set *set) {
    double low = 0, high = 1;

    *set = (th_turn_set){.reach = reach, .reach_count = count};
    if (!makes_a_set(set)) {
        return true;
    }
    for (int i = 0; i < SETS; i++) {
        double share = i == 0 ? 1 : (low + high) / 2;
        th_outturn outturn;
        if (!judge_set(search, set, share, &outturn)) {
            return false;
        }
        if (th_search_enough(search, outturn.kept)) {
            high = share;
            set->outturn = outturn;
        } else if (i == 0) {
            return true;
        } else {
            low = share;
        }
    }
    return keep_settings(search, set, high);
}
