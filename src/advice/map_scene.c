/* map_scene.c - how a stage came about, kept while it is judged. */
#include "stage.h"

#include <string.h>

#include "wrench.h"

/* The load that governs: of a peak its one instant, but where tabs govern, for which none was
 * looked for. */
static bool keep_load(const th_bench *bench, const th_trial *trial, const th_outcome *outcome,
                      th_scene *scene) {
    bool peak = outcome->load == TH_PEAK;
    th_wrench *wrenches;

    if (!th_trial_history(bench, trial, &wrenches, &scene->history)) {
        return false;
    }
    if (!peak) {
        scene->history.standing_lift =
            th_standing_aged(bench->job, scene->history.standing_lift, trial->held);
    }
    th_trial_wrenches(trial, outcome->spot, peak ? trial->ratio : 1, wrenches);
    if (peak && scene->by_tape) {
        scene->history.wrenches = &wrenches[outcome->grip.instant];
        scene->history.count = 1;
    }
    return true;
}

static bool keep_grid(const th_bench *bench, const th_seen_on *on, th_scene *scene) {
    th_plate_spot *sites = th_arena_take(bench->arena, (on->count + 1) * sizeof *sites);

    if (!sites) {
        return false;
    }
    memcpy(sites, on->sites, on->count * sizeof *sites);
    scene->sites = sites;
    scene->site_count = on->count;
    scene->site = on->site;
    scene->per_length = on->per_length;
    scene->tied = on->tied;
    return true;
}

const th_scene *th_scene_of(const th_bench *bench, const th_trial *trial,
                            const th_outcome *outcome) {
    th_scene *scene = th_arena_take(bench->arena, sizeof *scene);

    if (!scene) {
        return NULL;
    }
    *scene = (th_scene){.state = trial->state,
                        .piece = trial->piece,
                        .copy = trial->copy,
                        .stack = *bench->grip_stack,
                        .unusable = bench->stack->unusable != TH_USABLE};
    if (trial->spots.count) {
        scene->cutter_at = trial->spots.items[0].at;
    }
    if (!outcome || !outcome->spot) {
        return scene;
    }
    scene->held = true;
    scene->cutter_at = outcome->spot->at;
    scene->load = outcome->load;
    scene->seconds = trial->held;
    scene->index = outcome->grip.index;
    scene->by_tape =
        outcome->grip.interface != TH_BY_TABS && outcome->grip.interface != TH_BY_FRAME;
    return keep_load(bench, trial, outcome, scene) && keep_grid(bench, &outcome->seen_on, scene)
               ? scene
               : NULL;
}
