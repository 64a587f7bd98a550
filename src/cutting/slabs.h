/* slabs.h - the engaged edge cut into slabs, each with its arc, lag, radius and entering angle. */
#ifndef TACKHOLD_CUTTING_SLABS_H
#define TACKHOLD_CUTTING_SLABS_H

#include "tackhold/cutting.h"

/* c[0] + c[1] t + c[2] t^2 for t from 0 (lower end) to 1 (upper end). */
typedef struct {
    double c[3];
} curve;

static inline double curve_at(const curve *line, double t) {
    return line->c[0] + t * (line->c[1] + t * line->c[2]);
}

/* A place on the edge at which its load is taken. */
typedef struct {
    double sin_lag, cos_lag;
    double sin_kappa, cos_kappa;
    double z, r;   /* (mm) */
    double length; /* of the edge that it stands for (mm) */
} edge_place;

typedef struct {
    curve lag;  /* the edge's angle behind its lowest point (rad), negative for a down-cut helix */
    curve z, r; /* (mm) */
    curve sin_kappa, cos_kappa;
    curve rate;      /* edge length per t (mm) */
    double lag_bend; /* of the lag's curve where arcs are clipped; 0 where the arc fades, so that an
                        edge touches the border of its arc nowhere but at the end of a slab */
    double lag_end;  /* lag at t = 1 */
    double lag_most; /* the larger of both ends' lag */
    double entry[2], exit[2]; /* arc at the lower and upper end (rad); straight between */
    edge_place whole[2];      /* the places that stand for all of it */
} slab;

/* The two places that stand for the share of a slab from `start` to `end` (Gauss rule). */
void th_slab_places(const slab *item, double start, double end, edge_place places[2]);

/* Where a tooth's load begins, ends or bends: an end of a run of slabs, or a height at which the
 * edge only touches the border of its arc. */
typedef struct {
    double lag, entry, exit;
} slab_event;

enum { MOST_RUNS = 4, MOST_EVENTS = 4 * TH_ZONES_MAX * TH_ZONE_ARCS };

typedef struct {
    slab *items;
    size_t count;
    slab_event events[MOST_EVENTS];
    size_t event_count;
    double top_sine; /* of the entering angle of the disc that chips are told of */
    th_arc top_arc;  /* and its arc, the one with the thickest */
    double tip_first, tip_last; /* angles of a tooth's lowest point outside which no slab of it is
                                   in the cut, whole turns off (rad) */
    bool lagging;               /* the edge is not parallel to the axis */
    bool fading;                /* the arc changes with height */
} slab_list;

/* Errors: TH_NO_MEMORY, TH_BAD_RANGE (no disc reaches the stock). */
bool th_slabs_build(const th_pass *pass, slab_list *list, th_error *err);
/* First and last angle of the cutter at which tooth 0 is in the cut (rad). */
void th_slabs_window(const slab_list *list, double *first, double *last);
void th_slabs_free(slab_list *list);

#endif
