/* map_path.c - where the cutter's axis runs. */
#include "map.h"

/* Pockets are drawn by their last lap; a finer line than this is of no use to the eye (mm). */
#define AXIS_LEAST 0.05

static bool make_paths(th_map *map, size_t count, th_map_state *state) {
    state->paths = th_arena_take(&map->arena, (count + 1) * sizeof *state->paths);
    return state->paths != NULL;
}

static bool add_points(th_map *map, th_map_state *state, const th_point *points, size_t count,
                       th_point by, bool closed) {
    th_map_path *path = &state->paths[state->path_count];

    path->points = th_arena_take(&map->arena, (count + 1) * sizeof *path->points);
    if (!path->points) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        path->points[i] = (th_point){points[i].x + by.x, points[i].y + by.y};
    }
    path->count = count;
    path->closed = closed;
    state->path_count++;
    return true;
}

/* The edges of a region, moved. */
static bool follow_edges(const th_map_work *work, const th_outline *axis, th_point by, th_map *map,
                         th_map_state *state) {
    bool fine = make_paths(map, axis->ring_count, state);

    for (size_t i = 0; fine && i < axis->ring_count; i++) {
        fine = add_points(map, state, axis->rings[i].points, axis->rings[i].count, by, true);
    }
    return fine || th_fail_memory(work->ground->err);
}

/* What a cut opens or thins, less half the cutter all round. */
static bool follow_inside(const th_map_work *work, const th_outline *region, double radius,
                          th_map *map, th_map_state *state) {
    const th_outline *axis =
        region ? th_shapes_grown(work->ground->shapes, region, -radius, work->ground->err) : NULL;

    return axis && follow_edges(work, axis, (th_point){0, 0}, map, state);
}

/* From the part's edges half a cutter outwards, openings inwards. */
static bool follow_part(const th_map_work *work, const th_stage *stage, th_map *map,
                        th_map_state *state) {
    const th_outline *axis =
        th_shapes_grown(work->ground->shapes, work->ground->part,
                        stage->cut->cutter->row.diameter / 2, work->ground->err);

    return axis &&
           follow_edges(work, axis, th_copy_offset(work->ground->job, stage->copy), map, state);
}

/* Single places, or a straight pass, in every copy. */
static bool follow_places(const th_map_work *work, const th_cut *cut, th_map *map,
                          th_map_state *state) {
    const th_ground *ground = work->ground;
    const th_point slot[2] = {cut->from, cut->to}, push = {cut->at_x, cut->at_y};
    bool straight = cut->operation == TH_SLOT, pushes = cut->operation == TH_PUSH;
    size_t each = straight || pushes ? 1 : cut->at.count;
    int copies = pushes ? 1 : ground->copies;
    bool fine = make_paths(map, each * (size_t)copies, state);

    for (int copy = 1; fine && copy <= copies; copy++) {
        th_point by = th_copy_offset(ground->job, copy);
        for (size_t i = 0; fine && i < each; i++) {
            const th_point *from = straight ? slot : pushes ? &push : &cut->at.items[i];
            fine = add_points(map, state, from, straight ? 2 : 1, by, false);
        }
    }
    return fine || th_fail_memory(ground->err);
}

bool th_map_paths(const th_map_work *work, const th_stage *stage, th_map *map,
                  th_map_state *state) {
    const th_cut *cut = stage->cut;
    const th_outline *region;
    double radius;

    switch (cut->operation) {
    case TH_OUTLINE:
    case TH_CHAMFERING:
        return follow_part(work, stage, map, state);
    case TH_HOLE:
        radius = cut->cutter->row.diameter / 2;
        if (cut->size.a < 2 * (radius + AXIS_LEAST)) {
            return follow_places(work, cut, map, state);
        }
        return follow_inside(work, th_bored_by(work->ground, cut), radius, map, state);
    case TH_POCKET:
        radius = cut->cutter->row.diameter / 2;
        return th_thinned_by(work->ground, cut, &region) &&
               follow_inside(work, region, radius, map, state);
    case TH_FACING:
        return true; /* everywhere */
    default:
        return follow_places(work, cut, map, state);
    }
}
