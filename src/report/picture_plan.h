/* picture_plan.h - inside report/: the part from above, drawn to scale. */
#ifndef TACKHOLD_REPORT_PICTURE_PLAN_H
#define TACKHOLD_REPORT_PICTURE_PLAN_H

#include "picture.h"

/* Where the job's axes lie in a picture. */
typedef struct {
    double box[4];        /* shown: x0, y0, x1, y1 (mm) */
    double scale;         /* (px/mm) */
    th_point corner;      /* upper left, of (x0, y1) (px) */
    double width, height; /* (px) */
} th_plan;

/* As large as fits. */
th_plan th_plan_fit(const double box[4], th_point corner, double most_wide, double most_high);
th_point th_plan_at(const th_plan *plan, th_point at);

/* Everything that a map's states show: x0, y0, x1, y1 (mm). */
void th_plan_bounds(const th_map *map, double box[4]);

/* Points of a ring, or of a line; those that the eye does not miss are left out. */
void th_plan_trace(th_svg *svg, const th_plan *plan, const th_point *points, size_t count,
                   bool closed);
void th_plan_region(th_svg *svg, const th_plan *plan, const th_outline *region,
                    const th_svg_paint *paint);
void th_plan_regions(th_svg *svg, const th_plan *plan, const th_outline *regions, size_t count,
                     const th_svg_paint *paint);
/* A clip named `name` of the region. */
void th_plan_clip(th_svg *svg, const th_plan *plan, const th_outline *region, const char *name);

/* Whether tape lies under all of a piece. */
bool th_plan_all_taped(const th_map_piece *piece);

/* Metal, what of it is stuck down, and what has been thinned; the pattern "PREFIX-bare" must be
 * there for metal without tape. */
typedef struct {
    const char *tape; /* fill of what is stuck down */
    double line;      /* width of the edge of the piece judged, others get 0.9 (px); 0: no edges */
    bool edges;       /* nothing else */
} th_plan_look;
void th_plan_state(th_svg *svg, const th_plan *plan, const th_map_state *state,
                   const th_plan_look *look);
/* The way of the cutter's axis, and the cutter where it stands. */
void th_plan_path(th_svg *svg, const th_plan *plan, const th_map_state *state);
void th_plan_cutter(th_svg *svg, const th_plan *plan, th_point at, double diameter);

/* Bridges between part and frame; and the sign of one (px). */
void th_plan_tabs(th_svg *svg, const th_plan *plan, const th_map_state *state);
void th_plan_tab(th_svg *svg, th_point at);

/* Ticks and their numbers along the lower and the left edge, in the job's unit. */
void th_plan_axes(th_svg *svg, const th_plan *plan, th_units units);

/* Pattern "PREFIX-bare". */
void th_plan_bare(th_svg *svg);

#endif
