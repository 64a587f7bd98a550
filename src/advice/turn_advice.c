/* turn_advice.c - what no setting can say: that going lighter makes it worse, and what else could
 * hold the part. */
#include "cautions.h"
#include "turn_search.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What a vacuum plate with a rubber cord round the part gives, safely (MPa), and friction of metal
 * on it (practice); metal that a soft jaw needs to grip (mm, practice). */
#define VACUUM 0.07
#define FRICTION 0.2
#define JAW_GRIP 3.0

static bool add_rubbing(const th_judgement *now, double asked, th_arena *arena, th_lines *advice) {
    const th_cut *last = NULL;

    for (size_t i = 0; i < now->count; i++) {
        const th_stage *stage = &now->stages[i];
        bool fails = stage->counts && stage->hold_factor < asked;
        char share[40];
        if (!fails || stage->cut == last || !(stage->chip_margin < 1)) {
            continue;
        }
        last = stage->cut;
        th_number_print(floor(100 * stage->chip_margin), 3, share, sizeof share);
        if (!th_lines_add(advice, arena,
                          "%s rubs, its chip is %s %% of the smallest that cuts: going lighter in "
                          "feed or stepover makes it worse",
                          last->section, share)) {
            return false;
        }
    }
    return true;
}

/* ---- what could be turned down ----------------------------------------------------------------
 */

/* Changes of a cut that are judged whole before it is given up. */
enum { REACHED_FOR = 2 };

/* The change that quick looks saw make most of a cut, below `below`; NULL: none is left. */
static const th_lever *best_for(const th_search *search, const th_cut *cut, double below) {
    size_t place = (size_t)(cut - search->job->cuts);
    const th_lever *best = NULL;

    for (size_t k = 0; k < search->lever_count; k++) {
        const th_lever *lever = search->levers[k];
        bool fits = lever->seen > 0 && lever->by_cut[place] < below;
        best = fits && (!best || lever->by_cut[place] > best->by_cut[place]) ? lever : best;
    }
    return best;
}

static bool reach_cut(th_search *search, const th_cut *cut, th_turn_reach *reach) {
    double asked = search->job->head.asked_factor, below = INFINITY, hold_factor = 0;
    size_t place = (size_t)(cut - search->job->cuts);

    *reach = (th_turn_reach){cut, NULL, NULL};
    for (int i = 0; i < REACHED_FOR && !reach->change; i++) {
        const th_lever *lever = best_for(search, cut, below);
        if (!lever || lever->by_cut[place] < asked / 2) {
            break; /* a quick look is not as gloomy as that */
        }
        below = lever->by_cut[place];
        if (!th_search_reach(search, lever, cut, &hold_factor)) {
            return false;
        }
        reach->change = th_search_enough(search, hold_factor) ? lever->change : NULL;
        reach->lever = lever;
    }
    return true;
}

bool th_turn_reach_find(th_search *search, th_turn_reach **reach, size_t *count) {
    const th_job *job = search->job;

    *count = 0;
    *reach = th_arena_take(&search->own, (job->cut_count + 1) * sizeof **reach);
    if (!*reach) {
        return th_fail_memory(search->err);
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        bool fails = false;
        for (size_t k = 0; k < search->now->count; k++) {
            const th_stage *stage = &search->now->stages[k];
            fails = fails || (stage->cut == cut && stage->counts &&
                              th_kept_factor(job, stage) < job->head.asked_factor);
        }
        if (fails && !reach_cut(search, cut, &(*reach)[(*count)++])) {
            return false;
        }
    }
    return true;
}

/* ---- other holding -----------------------------------------------------------------------------
 */

/* The forces of a stage, with the reserve asked for, against the friction that vacuum gives what
 * lies on it. */
static bool vacuum_does(const th_job *job, const th_stage *stage) {
    double coverage = fmax(job->hold.coverage, 1e-3);
    double pressed = VACUUM * stage->bonded_area / coverage;
    double peak = stage->cut->operation == TH_PUSH ? 1 : job->machine.peak_ratio;
    double lift = fmax(stage->lift_peak, 0);

    return FRICTION * (pressed - peak * lift) >=
           job->head.asked_factor * peak * stage->in_plane_peak;
}

static bool cuts_all_round(const th_job *job) {
    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].operation == TH_OUTLINE) {
            return true;
        }
    }
    return false;
}

/* What else could hold the part against the stage, after the words in `head`. */
static bool add_holding(const th_search *search, const th_stage *stage, const char *head,
                        th_lines *advice) {
    const th_job *job = search->job;
    bool round = cuts_all_round(job);
    const char *ways[4];
    size_t count = 0;
    const char *text = "";

    ways[count++] = round ? "clamps at the edge in two set-ups, moved in between"
                          : "clamps at the edge, in two set-ups where they are in the way";
    ways[count++] = isnan(job->part.sheet_length)
                        ? "screws through its own holes or the waste into a fixture plate"
                        : "screws through the waste into a fixture plate";
    if (!round && job->part.thickness >= JAW_GRIP) {
        ways[count++] = "soft jaws";
    }
    if (vacuum_does(job, stage)) {
        ways[count++] = "a vacuum plate";
    }
    for (size_t i = 0; text && i < count; i++) {
        const char *joint = i == 0 ? "" : i + 1 == count ? ", or " : ", ";
        text = th_arena_print(search->arena, "%s%s%s", text, joint, ways[i]);
    }
    return text && th_lines_add(advice, search->arena, "%s %s", head, text);
}

/* The change, where it is in words with its value: "axial", "tape foam-acrylic". */
static const char *change_of(const th_search *search, const th_turn_reach *reach) {
    const th_lever *lever = reach->lever;
    const char *to = lever->rungs[lever->best].to_text;

    return lever->from_text && to ? th_arena_print(search->arena, "%s %s", reach->change, to)
                                  : reach->change;
}

/* The cuts that some change holds, each with it, or with `beyond` those that none does; the rest
 * by number. NULL when out of memory. */
static const char *list_cuts(const th_search *search, const th_turn_reach *reach, size_t count,
                             bool beyond) {
    enum { NAMED = 3 };
    size_t listed = 0, more = 0;
    const char *text = "";

    for (size_t i = 0; text && i < count; i++) {
        const th_cut *cut = reach[i].cut;
        const char *with;
        if ((reach[i].change == NULL) != beyond) {
            continue;
        }
        if (listed >= NAMED) {
            more++;
            continue;
        }
        with =
            beyond ? th_operation_name((th_operation)cut->operation) : change_of(search, &reach[i]);
        text = with ? th_arena_print(search->arena, "%s%s%s %s", text, listed++ ? ", " : "",
                                     cut->section, with)
                    : NULL;
    }
    return text && more ? th_arena_print(search->arena, "%s and %zu more", text, more) : text;
}

typedef struct {
    size_t beyond, drilled,
        reached;           /* of the cuts that fail: no change holds it; so, and a drill */
    bool others;           /* some cut holds as it is */
    const th_stage *worst; /* of those that no change holds */
} th_beyond;

static th_beyond count_beyond(const th_search *search, const th_turn_reach *reach, size_t count) {
    const th_judgement *now = search->now;
    th_beyond b = {0};

    for (size_t i = 0; i < count; i++) {
        bool none = reach[i].change == NULL;
        b.reached += !none;
        b.beyond += none;
        b.drilled += none && reach[i].cut->operation == TH_DRILLED;
    }
    for (size_t k = 0; k < now->count; k++) {
        const th_stage *stage = &now->stages[k];
        const th_turn_reach *of = NULL;
        for (size_t i = 0; i < count; i++) {
            of = reach[i].cut == stage->cut ? &reach[i] : of;
        }
        b.others = b.others || (stage->counts && !of);
        if (stage->counts && of && !of->change &&
            (!b.worst || stage->hold_factor < b.worst->hold_factor)) {
            b.worst = stage;
        }
    }
    return b;
}

/* Some of the cuts are beyond the tape, others are not. */
static bool add_beyond(const th_search *search, const th_turn_reach *reach, size_t count,
                       th_lines *advice) {
    th_beyond b = count_beyond(search, reach, count);
    const char *cuts = list_cuts(search, reach, count, true);
    const char *rest = list_cuts(search, reach, count, false);
    const char *them = b.beyond > 1 ? "them" : "it";
    const char *head;

    if (!cuts || !rest) {
        return false;
    }
    head =
        b.drilled == b.beyond
            ? th_arena_print(search->arena,
                             "bore %s with an end mill, or drill before taping; else hold by", them)
            : "do that apart; hold it by";
    return head &&
           th_lines_add(advice, search->arena, "%s: no single change tried holds %s; %s%s", cuts,
                        them, rest[0] ? "the others can be turned down: " : "the other cuts hold",
                        rest) &&
           add_holding(search, b.worst, head, advice);
}

/* Whether some cut is held by a change of the whole job alone. */
static bool any_of_hold(const th_turn_reach *reach, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (reach[i].lever && !reach[i].lever->cut) {
            return true;
        }
    }
    return false;
}

static bool add_set(th_search *search, const th_turn_reach *reach, size_t count, th_lines *advice) {
    const char *rest = list_cuts(search, reach, count, false);
    const char *settings = "";
    char factor[40];
    th_turn_set set;

    if (!rest || !th_turn_set_find(search, reach, count, &set)) {
        return false;
    }
    if (!set.settings && any_of_hold(reach, count)) {
        return th_lines_add(advice, search->arena,
                            "each cut has a change that holds it (%s), but no two tried hold them "
                            "all",
                            rest);
    }
    if (!set.settings) {
        return th_lines_add(advice, search->arena,
                            "each cut can be turned down by itself: %s; `tackhold limits JOB' "
                            "finds values that hold together",
                            rest);
    }
    for (size_t i = 0; settings && i < set.setting_count; i++) {
        settings =
            th_arena_print(search->arena, "%s%s--set %s", settings, i ? " " : "", set.settings[i]);
    }
    th_factor_below(set.outturn.hold_factor, factor, sizeof factor);
    return settings &&
           th_lines_add(advice, search->arena,
                        "each cut has to be turned down by itself; all set at once they hold (%s): "
                        "%s; `tackhold limits JOB' finds the fastest",
                        factor, settings);
}

static bool add_none(th_search *search, const th_turn_reach *reach, size_t count,
                     th_lines *advice) {
    const th_stage *governs = &search->now->stages[search->now->governs];
    th_beyond b = count_beyond(search, reach, count);

    if (b.worst && (b.reached > 0 || b.others)) {
        return add_beyond(search, reach, count, advice);
    }
    if (b.beyond > 0 || b.reached == 0) {
        /* not all combinations are tried, and the lighter the cuts the cooler the tape */
        return add_holding(search, governs,
                           governs->way == TH_HEAT ? "nothing tried keeps the tape cool and its "
                                                     "load light enough; lighter cuts all round "
                                                     "may, else hold it by"
                                                   : "tape is no hold for this; hold it by",
                           advice);
    }
    return add_set(search, reach, count, advice);
}

/* ---- a skin ---------------------------------------------------------------------------------- */

/* The thinnest skin among the settings that are offered (mm); INFINITY: none is. */
static double thinnest_skin(const th_search *search) {
    double thinnest = INFINITY;

    for (size_t i = 0; i < search->count; i++) {
        for (size_t k = 0; k < search->list[i].setting_count; k++) {
            const char *skin = strstr(search->list[i].settings[k], ".skin=");
            th_reading reading;
            th_error unread = {.code = TH_OK};
            if (skin && th_quantity_read(skin + strlen(".skin="), TH_LENGTH,
                                         (th_units)search->job->head.units, &reading, &unread)) {
                thinnest = fmin(thinnest, reading.value);
            }
        }
    }
    return thinnest;
}

/* How true its depth has to be, and that the part is still in the sheet afterwards. */
static bool add_skin_note(const th_search *search, th_turn_downs *found) {
    th_units units = (th_units)search->job->head.units;
    double skin = thinnest_skin(search);
    char left[48], least[48], play[48];

    if (!isfinite(skin)) {
        return true;
    }
    th_quantity_print(skin, TH_LENGTH, units, 3, left, sizeof left);
    th_length_up(TH_SKIN_COUNTS, units, least, sizeof least);
    th_quantity_print(skin - TH_SKIN_COUNTS, TH_LENGTH, units, 2, play, sizeof play);
    if (!th_lines_add(&found->advice, search->arena,
                      "a skin of %s that comes out under %s is as good as cut through: hold its "
                      "depth within %s over the whole sheet; the part stays in the sheet, cut or "
                      "break it out by hand and file the edge",
                      left, least, play)) {
        return false;
    }
    found->skin_note = found->advice.items[found->advice.count - 1];
    return true;
}

/* ---- a finishing lap ------------------------------------------------------------------------- */

/* The hold factor of the job with a cut whose wall is left as it comes, at the full width of that
 * cut where it begins so; NAN: it cannot be judged. */
static bool judge_without_lap(const th_search *search, const th_cut *cut, double *factor) {
    size_t which = (size_t)(cut - search->job->cuts);
    th_at_full_width wide = {INFINITY, INFINITY};
    th_job other = *search->job;
    th_error inner = {.code = TH_OK};
    th_arena arena = {NULL};
    th_judgement judged;
    th_cut *cuts = th_arena_take(&arena, other.cut_count * sizeof *cuts);
    bool fine = cuts != NULL;

    *factor = (double)NAN;
    if (fine) {
        memcpy(cuts, other.cuts, other.cut_count * sizeof *cuts);
        cuts[which].finish = (double)NAN;
        other.cuts = cuts;
        if (th_judge(&other, &search->judging, &arena, 0, &judged, &inner) &&
            (!search->wider || !search->wider[which] ||
             th_judge_wide(&other, &search->judging, which, &wide, &inner))) {
            *factor = fmin(judged.hold_factor, wide.hold_factor);
        }
    }
    th_arena_free(&arena);
    return fine && inner.code != TH_NO_MEMORY;
}

/* No value of `finish' says none. Told where nothing is enough while the lap is the worst of all,
 * or where it holds without. */
static bool add_lap(const th_search *search, bool enough, th_lines *advice) {
    const th_stage *governs = &search->now->stages[search->now->governs];
    const th_cut *cut = governs->cut;
    bool lap = !isnan(cut->finish) && strstr(governs->name, "finishing lap");
    double asked = search->job->head.asked_factor, factor;
    char text[40];

    if (!lap) {
        return true;
    }
    if (!judge_without_lap(search, cut, &factor)) {
        return false;
    }
    if (!(factor >= (enough ? asked : search->now->hold_factor * 1.01))) {
        return true;
    }
    th_factor_below(factor, text, sizeof text);
    return th_lines_add(advice, search->arena,
                        "%s: its finishing lap at full depth is what fails: leave out `finish' "
                        "(hold factor %s without it)%s",
                        cut->section, text,
                        factor >= asked ? "" : ", and look again at what to turn down");
}

bool th_turn_advice(th_search *search, const th_turn_reach *reach, size_t count,
                    th_turn_downs *found) {
    double asked = search->job->head.asked_factor;
    th_lines *advice = &found->advice;

    return (add_lap(search, !reach, advice) &&
            add_rubbing(search->now, asked, search->arena, advice) &&
            add_skin_note(search, found) && (!reach || add_none(search, reach, count, advice))) ||
           th_fail_memory(search->err);
}
