/* loads_extent.c - how large the pieces are that a program leaves, without the tabs on them. */
#include "loads.h"
#include "sweep.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

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

/* By label: the largest of what is joined, as crumbs of it may lie farther off. What a kerf has
 * left at its bottom is none of it. */
static bool reach_over_runs(th_loads *loads, const th_height_map *map, size_t count,
                            extent *pieces) {
    const height_map *cells = &loads->sweep->map;
    map_window all = {0, 0, (long)map->columns - 1, (long)map->rows - 1};
    run_list *runs = &loads->joined;
    size_t *largest;

    if (!run_list_find(cells, &all, SKIN_JOINS, runs)) {
        return false;
    }
    largest = run_list_largest(cells, runs, count);
    for (size_t k = 0; largest && k < runs->count; k++) {
        const map_run *run = &runs->items[k];
        size_t row = (size_t)run->row, label = map->pieces[row * map->columns + (size_t)run->first];
        if (largest[label] == run_list_root(runs, k)) {
            for (long i = run->first; i <= run->last; i++) {
                reach_over(&pieces[label], th_map_sample(map, (size_t)i, row));
            }
            pieces[label].thick = true;
        }
    }
    free(largest);
    return largest != NULL;
}

/* Where all of a piece is as thin as what a kerf leaves, all of it. */
static void reach_over_thin(const th_loads *loads, const th_height_map *map, extent *pieces) {
    for (size_t k = 0; k < map->columns * map->rows; k++) {
        extent *piece = &pieces[map->pieces[k]];
        if (map->heights[k] > 0 && !piece->thick && !map_apart(&loads->sweep->map, k)) {
            reach_over(piece, th_map_sample(map, k % map->columns, k / map->columns));
        }
    }
}

static void stands_now(const th_loads *loads, th_loose *loose) {
    const th_height_map map = th_sweep_map(loads->sweep);
    extent now = {.any = false};

    for (size_t k = 0; k < map.columns * map.rows; k++) {
        if (map.pieces[k] == (size_t)loose->piece && (double)map.heights[k] > SKIN_JOINS) {
            reach_over(&now, th_map_sample(&map, k % map.columns, k / map.columns));
        }
    }
    if (now.any) {
        memcpy(loose->stands, now.box, sizeof now.box);
    }
}

/* At the end of its line, as the front of the cutter leaves a tip of the kerf until then. */
void loads_stock_stands(th_loads *loads, int line) {
    th_load_result *result = &loads->result;

    while (loads->stood < result->loose_count && result->loose[loads->stood].line != line) {
        th_loose *loose = &result->loose[loads->stood++];
        if (loose->kind == TH_PIECE_STOCK) {
            stands_now(loads, loose);
        }
    }
}

/* Whether a piece came off another after that was told. */
bool loads_came_off(const th_load_result *result, size_t which, const th_loose *later) {
    for (size_t i = 0; i <= which; i++) {
        if (result->loose[i].piece == later->piece) {
            return false; /* told once more */
        }
    }
    return later->from == result->loose[which].piece;
}

/* Whether what came off a piece later was as much of it as that itself: no waste. What is stock
 * is told as it was, and not as its parts are in the end. */
static bool belongs(const th_load_result *result, size_t which, const th_loose *later) {
    const th_loose *piece = &result->loose[which];

    return loads_came_off(result, which, later) && !th_loose_is_crumb(later) &&
           later->kind == piece->kind;
}

/* As large as it stands, with what was cut off it later: that came loose with it. */
static void set_stands(th_load_result *result, size_t which, const extent *pieces) {
    th_loose *loose = &result->loose[which];
    const extent *own = &pieces[loose->piece];

    if (loose->kind == TH_PIECE_STOCK) {
        return;
    }
    memcpy(loose->stands, own->any ? own->box : loose->box, sizeof loose->stands);
    for (size_t i = which + 1; i < result->loose_count; i++) {
        const th_loose *later = &result->loose[i];
        for (int k = 0; k < 4 && belongs(result, which, later); k++) {
            loose->stands[k] = k < 2 ? fmin(loose->stands[k], later->stands[k])
                                     : fmax(loose->stands[k], later->stands[k]);
        }
    }
}

bool loads_extents(th_loads *loads, th_error *err) {
    const th_height_map map = th_sweep_map(loads->sweep);
    size_t count = th_sweep_piece_count(loads->sweep);
    extent *pieces;

    if (loads->result.loose_count == 0) {
        return true;
    }
    loads_stock_stands(loads, 0);
    pieces = calloc(count + 1, sizeof *pieces);
    if (!pieces || !reach_over_runs(loads, &map, count, pieces)) {
        free(pieces);
        return th_fail_memory(err);
    }
    reach_over_thin(loads, &map, pieces);
    for (size_t i = loads->result.loose_count; i > 0; i--) { /* what came off later first */
        set_stands(&loads->result, i - 1, pieces);
    }
    free(pieces);
    return true;
}

bool th_loose_is_crumb(const th_loose *loose) {
    const double *box = loose->box;

    return fmin(box[2] - box[0], box[3] - box[1]) < TH_CRUMB;
}
