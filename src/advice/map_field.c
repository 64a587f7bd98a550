/* map_field.c - load over strength of the tape, place by place, as the judgement saw it. */
#include "map.h"

#include <math.h>
#include <string.h>

#include "wrench.h"

/* Grid lines along the longer side where the area model fills the grid. */
enum { AREA_LINES = 33, AREA_PLACES = AREA_LINES * AREA_LINES };

static double *copied(th_arena *arena, const double *from, size_t count) {
    double *to = th_arena_take(arena, (count + 1) * sizeof *to);

    return to ? memcpy(to, from, count * sizeof *to) : NULL;
}

static bool lay_grid(th_map *map, const double *xs, size_t x_count, const double *ys,
                     size_t y_count) {
    th_map_field *field = &map->field;

    field->xs = copied(&map->arena, xs, x_count);
    field->ys = copied(&map->arena, ys, y_count);
    field->x_count = x_count;
    field->y_count = y_count;
    field->index = th_arena_take(&map->arena, (x_count * y_count + 1) * sizeof *field->index);
    if (!field->xs || !field->ys || !field->index) {
        return false;
    }
    for (size_t n = 0; n < x_count * y_count; n++) {
        field->index[n] = (double)NAN;
    }
    return true;
}

/* Of one instant, or the mean of the turn. */
static void set_force(const th_scene *scene, const th_history *history, th_map_field *field) {
    for (size_t i = 0; i < history->count; i++) {
        double weight = scene->load == TH_PEAK ? 1 : history->weights[i];
        field->force[0] += weight * history->wrenches[i].fx;
        field->force[1] += weight * history->wrenches[i].fy;
        field->force[2] += weight * history->wrenches[i].fz;
    }
}

/* ---- by the plate ---------------------------------------------------------------------------- */

static th_plate_ask ask_of(const th_scene *scene, const th_history *history) {
    return (th_plate_ask){
        .stack = &scene->stack, .history = history, .load = scene->load, .seconds = scene->seconds};
}

static bool take_nodes(th_map *map, const th_plate_influence *influence, const th_scene *scene,
                       const th_history *about) {
    const th_plate_nodes *nodes = influence->nodes;
    double *index = th_arena_take(&map->arena, (nodes->count + 1) * sizeof *index);
    th_plate_ask ask = ask_of(scene, about);
    th_map_field *field = &map->field;

    if (!index || !lay_grid(map, nodes->xs, nodes->x_count, nodes->ys, nodes->y_count)) {
        return false;
    }
    th_grip_plate_field(influence, &ask, index);
    field->largest = -1;
    for (size_t n = 0; n < nodes->count; n++) {
        field->index[nodes->node[n]] = index[n];
        if (index[n] > field->largest) {
            field->largest = index[n];
            field->worst = (th_point){nodes->x[n], nodes->y[n]};
        }
    }
    return true;
}

/* The instant of a peak at which the tape itself is loaded most. */
static void to_worst_instant(const th_plate_influence *influence, const th_scene *scene,
                             th_history *about) {
    th_plate_ask ask = ask_of(scene, about);

    about->wrenches += th_grip_plate(influence, &ask).grip.instant;
    about->count = 1;
}

static bool fill_by_plate(const th_map_work *work, const th_scene *scene, th_map *map) {
    const th_plate_spot *site = &scene->sites[scene->site];
    th_bed bed = {.ground = work->ground, .piece = scene->piece};
    th_wrench *moved =
        th_arena_take(work->ground->arena, (scene->history.count + 1) * sizeof *moved);
    th_history about = scene->history;
    const th_plate_table *table;

    if (!moved) {
        return th_fail_memory(work->ground->err);
    }
    if (scene->tied) {
        bed.anchors = scene->piece->anchors;
        bed.anchor_count = scene->piece->anchor_count;
    }
    for (size_t i = 0; i < scene->history.count; i++) {
        moved[i] = th_wrench_about(&scene->history.wrenches[i], site);
    }
    about.wrenches = moved;
    map->field.by_plate = true;
    if (!th_bed_table(&bed, scene->sites, scene->site_count, scene->per_length, work->cache, &table,
                      work->ground->err)) {
        return false;
    }
    if (scene->load == TH_PEAK && about.count > 1) {
        to_worst_instant(th_plate_table_at(table, scene->site), scene, &about);
    }
    set_force(scene, &about, &map->field);
    return (take_nodes(map, th_plate_table_at(table, scene->site), scene, &about) ||
            th_fail_memory(work->ground->err));
}

/* ---- by the area model ----------------------------------------------------------------------- */

static th_grip grip_at(const th_scene *scene, const th_bonded *bonded) {
    return scene->load == TH_PEAK
               ? th_grip_peak(bonded, &scene->stack, &scene->history)
               : th_grip_sustained(bonded, &scene->stack, &scene->history, scene->seconds, 0);
}

static bool fill_by_area(const th_map_work *work, const th_scene *scene, th_map *map) {
    const double *box = scene->piece->box;
    double xs[AREA_LINES], ys[AREA_LINES];
    th_map_field *field = &map->field;
    th_grip worst = grip_at(scene, &scene->piece->bonded);

    for (size_t i = 0; i < AREA_LINES; i++) {
        double share = (double)i / (AREA_LINES - 1);
        xs[i] = box[0] + share * (box[2] - box[0]);
        ys[i] = box[1] + share * (box[3] - box[1]);
    }
    set_force(scene, &scene->history, field);
    if (!lay_grid(map, xs, AREA_LINES, ys, AREA_LINES)) {
        return th_fail_memory(work->ground->err);
    }
    for (size_t n = 0; n < AREA_PLACES; n++) {
        th_point at = {xs[n % AREA_LINES], ys[n / AREA_LINES]};
        th_bonded here = scene->piece->bonded;
        here.corners = &at;
        here.corner_count = 1;
        field->index[n] = grip_at(scene, &here).index;
    }
    field->largest = worst.index;
    field->worst = worst.at;
    return true;
}

/* ---- the whole ------------------------------------------------------------------------------- */

bool th_map_field_fill(const th_map_work *work, const th_scene *scene, th_map *map) {
    th_map_field *field = &map->field;

    *field = (th_map_field){.known = scene->held,
                            .by_tape = scene->by_tape,
                            .has_strength = !scene->unusable,
                            .load = scene->load};
    if (!scene->held) {
        return true;
    }
    return scene->site_count ? fill_by_plate(work, scene, map) : fill_by_area(work, scene, map);
}
