/* map.h - inside advice/: parts of the map. */
#ifndef TACKHOLD_ADVICE_MAP_H
#define TACKHOLD_ADVICE_MAP_H

#include "judge.h"

typedef struct {
    th_ground *ground;
    th_plate_cache *cache;
} th_map_work;

/* A copy in the map's arena, moved; false: no memory. */
bool th_map_copy(th_map *map, const th_outline *from, th_point by, th_outline *to);

/* The field of the stage that governs. */
bool th_map_field_fill(const th_map_work *work, const th_scene *scene, th_map *map);

/* What the axis of a stage's cutter follows. */
bool th_map_paths(const th_map_work *work, const th_stage *stage, th_map *map, th_map_state *state);

#endif
