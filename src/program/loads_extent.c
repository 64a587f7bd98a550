/* loads_extent.c - how large the pieces are that a program leaves, without the tabs on them. */
#include "loads.h"
#include "sweep.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define MUCH 1.02 /* of the area of its box, beyond which a piece was larger */

typedef struct {
    double box[4];
    bool thick, any;
} extent;

/* Samples lie on the borders of the stock, not half a cell within. */
static void reach_over(extent *piece, th_point at) {
    const double sample[4] = {at.x, at.y, at.x, at.y};

    for (int i = 0; i < 4; i++) {
        bool further = i < 2 ? sample[i] < piece->box[i] : sample[i] > piece->box[i];
        piece->box[i] = !piece->any || further ? sample[i] : piece->box[i];
    }
    piece->any = true;
}

/* What a kerf has left at its bottom is none of a piece, unless all of it is as thin. */
static void see_cell(extent *piece, const th_height_map *map, size_t cell) {
    bool thick = (double)map->heights[cell] > SKIN_JOINS;

    if (piece->thick && !thick) {
        return;
    }
    if (thick && !piece->thick) {
        *piece = (extent){.thick = true};
    }
    reach_over(piece, th_map_sample(map, cell % map->columns, cell / map->columns));
}

/* Cut up later, what stands of a piece in the end is not what came loose. */
static bool less_than_came(const th_loads *loads, const th_loose *loose, const extent *piece) {
    double wide = piece->box[2] - piece->box[0], deep = piece->box[3] - piece->box[1];

    return loose->area > MUCH * wide * deep * loads->job->hold.coverage;
}

bool loads_extents(th_loads *loads, th_error *err) {
    const th_height_map map = th_sweep_map(loads->sweep);
    size_t count = th_sweep_piece_count(loads->sweep);
    extent *pieces = calloc(count + 1, sizeof *pieces);

    if (!pieces) {
        return th_fail_memory(err);
    }
    for (size_t k = 0; loads->result.loose_count > 0 && k < map.columns * map.rows; k++) {
        if (map.heights[k] > 0 && map.pieces[k] < count && !map_apart(&loads->sweep->map, k)) {
            see_cell(&pieces[map.pieces[k]], &map, k);
        }
    }
    for (size_t i = 0; i < loads->result.loose_count; i++) {
        th_loose *loose = &loads->result.loose[i];
        const extent *piece = &pieces[loose->piece];
        bool stands = piece->any && !less_than_came(loads, loose, piece);
        memcpy(loose->stands, stands ? piece->box : loose->box, sizeof loose->stands);
    }
    free(pieces);
    return true;
}
