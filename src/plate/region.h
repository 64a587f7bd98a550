/* region.h - how regions are joined and cut: the edges of both operands on the grid are split where
 * they meet (settle), every edge learns how often each operand winds round its sides (wind), and
 * those with the result on one side alone are chained to rings (chain). */
#ifndef PLATE_REGION_H
#define PLATE_REGION_H

#include "tackhold/plate.h"

#include "grid.h"

enum { REGION_OPERANDS = 2 };

typedef struct {
    grid_point a, b;                /* ends, a first in grid order */
    int32_t up[REGION_OPERANDS];    /* windings gained from the right of a to b to its left */
    int32_t right[REGION_OPERANDS]; /* windings on the right (result of wind) */
    bool fresh;                     /* not yet compared with the others */
} region_edge;

typedef struct {
    region_edge *edges;
    size_t count, capacity;
    double near; /* a point within it of an edge lies on it (units); 0: exactly */
    th_error *err;
} region_graph;

/* A place at which an edge is to be split. */
typedef struct {
    size_t edge;
    grid_point at;
    double along; /* from the start of the edge, times its length */
} region_split;

typedef struct {
    region_split *items;
    size_t count, capacity;
    bool failed; /* an addition ran out of memory */
} region_splits;

/* An edge seen from one of its ends. Those of one point stand together, counterclockwise from
 * straight down; the points in grid order. */
typedef struct {
    grid_point at, to;
    uint32_t edge;
    uint32_t vertex;
    bool leaves; /* at is the edge's a */
} region_spoke;

typedef struct {
    region_spoke *spokes; /* two an edge */
    uint32_t (*ends)[2];  /* spokes of each edge at its a and its b */
    uint32_t *firsts;     /* first spoke of each vertex, and one past the last */
    size_t vertex_count;
} region_fan;

typedef enum {
    REGION_UNION = TH_UNION,
    REGION_DIFFERENCE = TH_DIFFERENCE,
    REGION_INTERSECTION = TH_INTERSECTION,
    REGION_WOUND,   /* where the first operand winds at all */
    REGION_POSITIVE /* where it winds counterclockwise */
} region_rule;

/* Add the edge to an operand, material on its left. Points that round to one are no edge. */
bool th_region_edge(region_graph *graph, th_point from, th_point to, int operand);
/* The same, already rounded, winding `up` for each operand. */
bool th_region_edge_put(region_graph *graph, grid_point from, grid_point to,
                        const int32_t up[REGION_OPERANDS]);

/* Note the places where edges, at least one of them fresh, meet other than at their ends. */
void th_region_meetings(const region_graph *graph, region_splits *splits);
/* Whether the two edges meet, or so nearly that rounding may have parted them; notes where. */
void th_region_meeting(const region_graph *graph, size_t e, size_t f, region_splits *splits);

/* Split edges until they meet at ends alone and no two have the same ends. */
bool th_region_settle(region_graph *graph);
bool th_region_fan_out(const region_graph *graph, region_fan *fan);
void th_region_fan_free(region_fan *fan);
bool th_region_wind(region_graph *graph, const region_fan *fan);
/* Whether an edge bounds the result, and on which side: 1 left, -1 right, 0 none or both. */
int th_region_keeps(const region_edge *edge, region_rule rule);
bool th_region_chain(const region_graph *graph, const region_fan *fan, region_rule rule,
                     th_outline *region);

/* All of it; frees what the graph holds. */
bool th_region_build(region_graph *graph, region_rule rule, th_outline *region);

#endif
