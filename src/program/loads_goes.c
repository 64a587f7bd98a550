/* loads_goes.c - what a program sets free that need not stay, or takes away. */
#include "loads.h"
#include "sweep.h"
#include "tabs.h"

#include <stdlib.h>

static bool any_goes(th_loads *loads, bool *goes, bool *any, th_error *err) {
    for (size_t i = 0; i < th_sweep_piece_count(loads->sweep); i++) {
        const piece_state *state;
        if (!loads_piece(loads, i, &state, err)) {
            return false;
        }
        goes[i] = !state->counts;
        *any = *any || goes[i];
    }
    return true;
}

static bool mark(const height_map *map, const bool *goes, th_tabs *marked, th_error *err) {
    if (!tabs_make(map, marked, err)) {
        return false;
    }
    for (size_t cell = 0; cell < map->columns * map->rows; cell++) {
        if (goes[map->labels[cell]] || !(map->heights[cell] > 0)) {
            marked->bits[cell / 8] = (unsigned char)(marked->bits[cell / 8] | 1 << cell % 8);
        }
    }
    return true;
}

/* A hole may be milled away whole, and nothing come loose. */
static bool any_opened(const height_map *map) {
    for (size_t cell = 0; cell < map->columns * map->rows; cell++) {
        if (!(map->heights[cell] > 0)) {
            return true;
        }
    }
    return false;
}

bool th_loads_goes(th_loads *loads, th_tabs *goes, th_error *err) {
    bool *list = calloc(th_sweep_piece_count(loads->sweep), sizeof *list), any = false, fine;

    *goes = (th_tabs){.bits = NULL};
    if (!list) {
        return th_fail_memory(err);
    }
    fine = any_goes(loads, list, &any, err);
    any = any || any_opened(&loads->sweep->map);
    fine = fine && (!any || mark(&loads->sweep->map, list, goes, err));
    free(list);
    return fine;
}
