/* engagement.h - inside program/: from what a step took to how the cutter stood in the stock. */
#ifndef TACKHOLD_PROGRAM_ENGAGEMENT_H
#define TACKHOLD_PROGRAM_ENGAGEMENT_H

#include "stretch.h"

/* A step that was `across` long in plan and sank by `down`; `cell` of the map (mm). */
typedef struct {
    const tool_shape *shape;
    double across, down, cell;
} engaged_step;

/* Steps before that engaged alike: their mean. Counting errs from step to step, and what one step
 * has too much the next has too little. */
typedef struct {
    th_engagement mean; /* not rounded */
    int steps;          /* 0: none */
    th_engagement told; /* the mean that steps get until it has moved away from it */
    bool settled;       /* `told` stands */
} engagement_memory;

/* The engagement of the samples taken. Slices lie between the heights at which the stock ends;
 * where there are many of them, and over the curved part of a cutter, evenly. In each slice an arc
 * is so wide and so placed that it takes the same area, about the same middle, as was taken. Arcs
 * whose ends lie within a cell of those before are averaged with them. */
void engagement_find(const engaged_step *step, const taken *from, engagement_memory *memory,
                     th_engagement *engagement);

#endif
