/* fine_zones.h - inside program/: the engagement of a step as its force asks for it. */
#ifndef TACKHOLD_PROGRAM_FINE_ZONES_H
#define TACKHOLD_PROGRAM_FINE_ZONES_H

#include "tool_shape.h"

typedef struct {
    th_zone zones[TH_ZONES_MAX];
    th_zone_slant slants[TH_ZONES_MAX];
    int count;
} fine_zones;

/* The zones of an engagement; on a ball, a corner or a cone each is split, and the parts' arcs
 * follow those of the zones below and above. A slice whose arc is one enters the stock all at once,
 * so that with the few slices of a step the largest force came out too high by half of one's share:
 * 7 % of a chamfer's. */
void fine_zones_of(const tool_shape *shape, const th_engagement *engagement, fine_zones *fine);

#endif
