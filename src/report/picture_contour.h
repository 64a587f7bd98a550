/* picture_contour.h - inside report/: lines of equal value over a rectilinear grid. */
#ifndef TACKHOLD_REPORT_PICTURE_CONTOUR_H
#define TACKHOLD_REPORT_PICTURE_CONTOUR_H

#include "tackhold/report.h"

/* Values at the crossings of grid lines, a margin round them: nothing reaches its outer lines. */
typedef struct {
    size_t columns, rows; /* of crossings */
    double *xs, *ys, *values;
    unsigned char *walked;
} th_contour;

/* Takes a field, carries its values on to where it has none and `margin` beyond its box (mm), so
 * that every line closes outside it. All memory in the arena; false: none left. */
bool th_contour_make(th_arena *arena, const th_map_field *field, double margin,
                     th_contour *contour);

/* Receives closed lines round what lies at or above the level, point by point; `first` begins one.
 */
typedef struct {
    void (*point)(void *context, th_point at, bool first);
    void (*close)(void *context);
    void *context;
} th_contour_sink;
void th_contour_trace(th_contour *contour, double level, const th_contour_sink *sink);

#endif
