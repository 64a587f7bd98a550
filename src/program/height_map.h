/* height_map.h - inside program/: the samples of the stock. */
#ifndef TACKHOLD_PROGRAM_HEIGHT_MAP_H
#define TACKHOLD_PROGRAM_HEIGHT_MAP_H

#include "tackhold/program.h"

/* Cell (i, j) stands at j * columns + i; its sample lies at ((i + shift_x[j]) cell,
 * (j + shift_y[i]) cell) from (x0, y0). */
typedef struct {
    size_t columns, rows;
    double x0, y0, cell;
    double *shift_x, *shift_y; /* shares of a cell, by row and by column */
    float *heights;
    unsigned short *labels;
    unsigned char *bare; /* bit by cell: no tape under it; NULL: tape everywhere */
    unsigned char
        *apart;       /* bit by cell: a tab, which joins nothing and counts as bare; NULL: none */
    unsigned *opened; /* by cell: in which count of `now` it was cut through; NULL: not watched */
    unsigned now;
    double thickness;
    double bears; /* what is no thicker has no bond to speak of (mm) */
} height_map;

/* Share of a cell by which the samples of a row or column are shifted. */
double map_share(size_t i);

/* All stock at its full height, label 0. */
bool height_map_make(const th_sweep_setup *setup, height_map *map, th_error *err);
void height_map_free(height_map *map);
/* From now on cells note when they are cut through; until now that was at 0. */
bool height_map_watch(height_map *map);
size_t height_map_bytes(const height_map *map);

static inline double map_x(const height_map *map, size_t column, size_t row) {
    return map->x0 + ((double)column + map->shift_x[row]) * map->cell;
}

static inline double map_y(const height_map *map, size_t column, size_t row) {
    return map->y0 + ((double)row + map->shift_y[column]) * map->cell;
}

static inline bool map_apart(const height_map *map, size_t cell) {
    return map->apart && (map->apart[cell / 8] >> cell % 8 & 1);
}

static inline bool map_bare(const height_map *map, size_t cell) {
    return (map->bare && (map->bare[cell / 8] >> cell % 8 & 1)) || map_apart(map, cell);
}

/* Whether the bond under a cell holds the piece that it belongs to. */
static inline bool map_bears(const height_map *map, size_t cell) {
    return (double)map->heights[cell] > map->bears && !map_bare(map, cell);
}

/* A rectangle of cells, both ends included; none where first is above last. */
typedef struct {
    long i0, j0, i1, j1;
} map_window;
/* Cells whose samples may lie within a box (mm). */
map_window map_window_of(const height_map *map, double x0, double y0, double x1, double y1);

/* Area and moments that one sample at (x, y) stands for, added `factor` times. */
void map_add_sample(const height_map *map, double x, double y, double factor, th_section *section);

#endif
