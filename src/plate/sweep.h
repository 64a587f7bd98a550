/* sweep.h - whether rings cross or touch, and which ring lies in which. */
#ifndef PLATE_SWEEP_H
#define PLATE_SWEEP_H

#include "tackhold/plate.h"

#include "grid.h"

enum { SWEEP_NO_RING = -1 };

typedef struct {
    size_t first, count; /* of the points; count >= 3, neighbours differ */
    long parent;         /* ring just around this one, or SWEEP_NO_RING (result) */
    bool ccw;            /* (result) */
} sweep_ring;

typedef struct {
    const grid_point *points;
    size_t point_count;
    sweep_ring *rings;
    size_t ring_count;
} sweep_input;

/* Two edges that meet though they are no neighbours (or run over each other), by the points they
 * start from. */
typedef struct {
    bool found;
    size_t edge_a, edge_b;
    double x, y; /* where, in units */
} sweep_clash;

/* Finds the first clash in sweep order, else fills parent and ccw of every ring. False only without
 * memory. */
bool th_outline_sweep(const sweep_input *input, sweep_clash *clash);

#endif
