/* pieces.h - inside program/: what is still joined to what. */
#ifndef TACKHOLD_PROGRAM_PIECES_H
#define TACKHOLD_PROGRAM_PIECES_H

#include "height_map.h"

/* Neighbouring cells of a row with material thicker than the skin. */
typedef struct {
    long row, first, last;
    size_t parent; /* towards the root of its component */
    size_t cells;  /* of a root: of its component */
    size_t link;   /* of a root, while components are compared */
    bool border;   /* of a root: reaches a border of the window inside the map */
    bool tied;     /* of a root: a tab stands beside it */
} map_run;

typedef struct {
    map_run *items;
    size_t count, capacity;
} run_list;

void run_list_free(run_list *list);
/* Runs of a window, joined where cells share a side. False: no memory. */
bool run_list_find(const height_map *map, const map_window *window, double skin, run_list *list);

/* The same of tabs, in all the map. */
bool run_list_find_apart(const height_map *map, double skin, run_list *list);
/* Root of the component that a run is of. */
size_t run_list_root(const run_list *list, size_t run);
/* Root of the largest component of every label, the first of equal ones; (size_t)-1: none. The
 * caller frees it; NULL: no memory. */
size_t *run_list_largest(const height_map *map, const run_list *list, size_t labels);

/* Cells of the smallest piece, and of the smallest beside a tab. */
typedef struct {
    size_t any, tied;
} least_cells;

/* Whether a component of `before` has come apart in `after`, runs of the same window; crumbs of
 * fewer than `least` cells that lie inside it do not count. */
bool run_list_parted(const run_list *before, run_list *after, const least_cells *least);

typedef struct {
    th_sweep_piece *items;
    size_t count, capacity;
} piece_list;

/* Piece 0: all the stock. False: no memory. */
bool piece_list_start(const height_map *map, piece_list *pieces);
/* Areas and boxes anew, by labels. */
void piece_list_measure(const height_map *map, piece_list *pieces);
/* How the whole map is searched for pieces. */
typedef struct {
    double skin;
    least_cells least;
} piece_search;

/* How many pieces have come loose, and their runs. False: no memory. */
bool piece_list_find(const height_map *map, const piece_search *search, const piece_list *pieces,
                     run_list *found, size_t *count);
/* They are added, set free by a line. False: no memory. */
bool piece_list_take(height_map *map, int line, run_list *found, piece_list *pieces);

#endif
