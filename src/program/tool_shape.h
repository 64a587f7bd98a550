/* tool_shape.h - inside program/: the lower surface of a cutter. */
#ifndef TACKHOLD_PROGRAM_TOOL_SHAPE_H
#define TACKHOLD_PROGRAM_TOOL_SHAPE_H

#include "tackhold/program.h"

/* Height over the lowest point by the distance from the axis: 0 on the flat, then a corner's circle
 * or a cone, upright from the radius on. Never falls, and is convex within the radius. */
typedef struct {
    double radius; /* (mm) */
    double flat;   /* radius of the flat end; a ball's is 0 */
    double corner; /* radius of the corner's circle, 0 none */
    double slope;  /* dr/dz of the cone, 0 none */
    double rise;   /* height at which the full radius is reached */
} tool_shape;

tool_shape tool_shape_of(const th_cutter *cutter);
/* The same drawn in sideways by so much, less than its radius: every height stands that much nearer
 * to the axis. Its flat may be below 0: a surface that is cut off before its lowest point. */
tool_shape tool_drawn_in(const tool_shape *shape, double by);

/* Height of the surface at distance r from the axis, 0 <= r <= radius. */
double tool_height(const tool_shape *shape, double r);
/* Radius of the cutter at a height above its lowest point. */
double tool_radius(const tool_shape *shape, double height);

/* A straight move seen from one place: `aside` of its line and `along` it (mm), over a length. */
typedef struct {
    double along, aside, length;
    double climb; /* rise per way */
} tool_pass;
/* Lowest height that the cutter's surface has there, over that of its lowest point at the start;
 * INFINITY: it does not get there. */
double tool_lowest(const tool_shape *shape, const tool_pass *pass);

#endif
