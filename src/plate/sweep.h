/* sweep.h - whether rings cross or touch, and which ring lies in which. */
#ifndef PLATE_SWEEP_H
#define PLATE_SWEEP_H

#include "tackhold/plate.h"

#include <stdint.h>

/* Coordinates as whole numbers of SWEEP_UNIT, 2^-19 mm: up to the greatest outline they stay below
 * 2^30, so that the area of a triangle of them is exact in 64 bits. */
#define SWEEP_UNIT (1.0 / 524288)

typedef struct {
    int64_t x, y;
} sweep_point;

enum { SWEEP_NO_RING = -1 };

typedef struct {
    size_t first, count; /* of the points; count >= 3, neighbours differ */
    long parent;         /* ring just around this one, or SWEEP_NO_RING (result) */
    bool ccw;            /* (result) */
} sweep_ring;

typedef struct {
    const sweep_point *points;
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
