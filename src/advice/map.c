/* map.c - a check as shapes: what is stuck down at each moment that matters. */
#include "map.h"

#include <math.h>
#include <string.h>

bool th_map_copy(th_map *map, const th_outline *from, th_point by, th_outline *to) {
    *to = (th_outline){.outer_count = from->outer_count,
                       .point_count = from->point_count,
                       .length = from->length,
                       .width = from->width};
    to->rings = th_arena_take(&map->arena, (from->ring_count + 1) * sizeof *to->rings);
    for (size_t i = 0; to->rings && i < from->ring_count; i++) {
        const th_ring *ring = &from->rings[i];
        th_ring *copy = &to->rings[to->ring_count++];
        *copy = *ring;
        copy->points = th_arena_take(&map->arena, (ring->count + 1) * sizeof *copy->points);
        if (!copy->points) {
            return false;
        }
        for (size_t k = 0; k < ring->count; k++) {
            copy->points[k] = (th_point){ring->points[k].x + by.x, ring->points[k].y + by.y};
        }
    }
    return to->rings != NULL;
}

static bool copy_still(th_map *map, const th_outline *from, th_outline *to) {
    return th_map_copy(map, from, (th_point){0, 0}, to);
}

/* ---- which states ---------------------------------------------------------------------------- */

static bool same_floors(const th_bond_state *a, const th_bond_state *b) {
    if (a->floor_count != b->floor_count) {
        return false;
    }
    for (size_t i = 0; i < a->floor_count; i++) {
        if (a->floors[i].region != b->floors[i].region ||
            fabs(a->floors[i].thickness - b->floors[i].thickness) > 1e-9) {
            return false;
        }
    }
    return true;
}

/* Whether two stages would be drawn alike. */
static bool same_state(const th_stage *a, const th_stage *b) {
    const th_bond_state *p = a->scene->state, *q = b->scene->state;

    return a->cut == b->cut && a->copy == b->copy && p->region == q->region && same_floors(p, q);
}

/* Stages to be drawn, by position; those that do not count only where none that does is alike. */
typedef struct {
    size_t *items;
    size_t count;
} th_shown;

static bool worse(const th_check *check, size_t a, size_t b) {
    const th_stage *p = &check->stages[a], *q = &check->stages[b];

    if (a == check->governs || b == check->governs) {
        return a == check->governs;
    }
    return p->counts != q->counts ? p->counts : p->hold_factor < q->hold_factor;
}

static void list_states(const th_check *check, th_shown *shown) {
    for (size_t i = 0; i < check->stage_count; i++) {
        size_t k = 0;
        if (!check->stages[i].scene) {
            continue;
        }
        while (k < shown->count &&
               !same_state(&check->stages[i], &check->stages[shown->items[k]])) {
            k++;
        }
        if (k == shown->count) {
            shown->items[shown->count++] = i;
        } else if (worse(check, i, shown->items[k])) {
            shown->items[k] = i;
        }
    }
}

/* Take out the states that tell least until few enough are left. */
static void thin_out(const th_check *check, th_shown *shown) {
    while (shown->count > TH_MAP_STATES) {
        size_t least = 0;
        for (size_t k = 1; k < shown->count; k++) {
            least = worse(check, shown->items[least], shown->items[k]) ? k : least;
        }
        shown->count--;
        memmove(&shown->items[least], &shown->items[least + 1],
                (shown->count - least) * sizeof *shown->items);
    }
}

/* ---- one state ------------------------------------------------------------------------------- */

static bool copy_pieces(const th_scene *scene, th_map *map, th_map_state *state) {
    const th_bond_state *bond = scene->state;

    state->pieces = th_arena_take(&map->arena, (bond->piece_count + 1) * sizeof *state->pieces);
    for (size_t i = 0; state->pieces && i < bond->piece_count; i++) {
        const th_piece *from = &bond->pieces[i];
        th_map_piece *piece = &state->pieces[state->piece_count++];
        *piece = (th_map_piece){.kind = from->kind,
                                .copy = from->copy,
                                .judged = from == scene->piece,
                                .area = from->held ? from->bonded.area : 0};
        if (!copy_still(map, from->region, &piece->region) ||
            (from->held && !copy_still(map, from->taped, &piece->bonded))) {
            return false;
        }
    }
    return state->pieces != NULL;
}

static bool copy_floors(const th_bond_state *bond, th_map *map, th_map_state *state) {
    state->floors = th_arena_take(&map->arena, (bond->floor_count + 1) * sizeof *state->floors);
    for (size_t i = 0; state->floors && i < bond->floor_count; i++) {
        th_map_floor *floor = &state->floors[state->floor_count++];
        floor->thickness = bond->floors[i].thickness;
        if (!copy_still(map, bond->floors[i].region, &floor->region)) {
            return false;
        }
    }
    return state->floors != NULL;
}

static bool copy_tabs(const th_bond_state *bond, th_map *map, th_map_state *state) {
    size_t count = 0;

    for (size_t i = 0; i < bond->piece_count; i++) {
        count += bond->pieces[i].anchor_count;
    }
    state->tabs = th_arena_take(&map->arena, (count + 1) * sizeof *state->tabs);
    for (size_t i = 0; state->tabs && i < bond->piece_count; i++) {
        for (size_t k = 0; k < bond->pieces[i].anchor_count; k++) {
            const th_plate_anchor *tab = &bond->pieces[i].anchors[k];
            state->tabs[state->tab_count++] = (th_point){tab->x, tab->y};
        }
    }
    return state->tabs != NULL;
}

static bool fill_state(const th_map_work *work, const th_check *check, size_t stage, th_map *map,
                       th_map_state *state) {
    th_ground *ground = work->ground;
    const th_scene *scene = check->stages[stage].scene;
    const th_outline *stock = th_ground_stock(ground);
    const th_outline *gone = stock ? th_shapes_overlaid(ground->shapes, stock, scene->state->region,
                                                        TH_DIFFERENCE, ground->err)
                                   : NULL;

    *state = (th_map_state){.stage = stage, .cutter_at = scene->cutter_at};
    if (!gone) {
        return false;
    }
    if (!copy_still(map, gone, &state->gone) || !copy_pieces(scene, map, state) ||
        !copy_floors(scene->state, map, state) || !copy_tabs(scene->state, map, state)) {
        return th_fail_memory(ground->err);
    }
    return th_map_paths(work, &check->stages[stage], map, state);
}

static bool fill_states(const th_map_work *work, const th_check *check, th_map *map) {
    th_shown shown = {th_arena_take(work->ground->arena, (check->stage_count + 1) * sizeof(size_t)),
                      0};

    if (!shown.items) {
        return th_fail_memory(work->ground->err);
    }
    list_states(check, &shown);
    map->left_out = shown.count;
    thin_out(check, &shown);
    map->left_out -= shown.count;
    map->states = th_arena_take(&map->arena, (shown.count + 1) * sizeof *map->states);
    if (!map->states) {
        return th_fail_memory(work->ground->err);
    }
    for (size_t i = 0; i < shown.count; i++) {
        map->governs = shown.items[i] == check->governs ? i : map->governs;
        if (!fill_state(work, check, shown.items[i], map, &map->states[map->state_count++])) {
            return false;
        }
    }
    return true;
}

/* ---- the whole ------------------------------------------------------------------------------- */

static bool fill_parts(const th_map_work *work, th_map *map) {
    th_ground *ground = work->ground;
    const th_outline *stock = th_ground_stock(ground);

    if (!stock) {
        return false;
    }
    map->parts = th_arena_take(&map->arena, ((size_t)ground->copies + 1) * sizeof *map->parts);
    if (!map->parts || !copy_still(map, stock, &map->stock) ||
        (ground->taped && !copy_still(map, ground->taped, &map->taped))) {
        return th_fail_memory(ground->err);
    }
    for (int copy = 1; copy <= ground->copies; copy++) {
        if (!th_map_copy(map, ground->part, th_copy_offset(ground->job, copy),
                         &map->parts[map->part_count++])) {
            return th_fail_memory(ground->err);
        }
    }
    return true;
}

static bool fill(const th_job *job, const th_judging *judging, const th_check *check, th_map *map,
                 th_error *err) {
    th_arena arena = {NULL}; /* of the work */
    th_ground ground;
    th_map_work work = {&ground, judging->cache};
    bool fine = th_ground_make(job, judging, &arena, &ground, err) && fill_parts(&work, map) &&
                fill_states(&work, check, map) &&
                th_map_field_fill(&work, check->stages[check->governs].scene, map);

    th_arena_free(&arena);
    return fine;
}

bool th_map_run(const th_job *job, const th_check_options *options, const th_check *check,
                th_map *map, th_error *err) {
    th_judging judging = {.options = options, .shapes = check->shapes};
    bool fine;

    *map = (th_map){.state_count = 0};
    if (!check->shapes || check->governs >= check->stage_count ||
        !check->stages[check->governs].scene) {
        return th_fail(err, TH_BAD_USAGE, "the check holds no stage that could be drawn");
    }
    fine = th_work_begin(&judging) ? fill(job, &judging, check, map, err) : th_fail_memory(err);
    judging.shapes = NULL;
    th_work_end(&judging);
    if (!fine) {
        th_map_free(map);
    }
    return fine;
}

void th_map_free(th_map *map) {
    if (map) {
        th_arena_free(&map->arena);
        *map = (th_map){.state_count = 0};
    }
}
