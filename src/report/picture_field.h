/* picture_field.h - inside report/: the load on the tape as a map with contour lines. */
#ifndef TACKHOLD_REPORT_PICTURE_FIELD_H
#define TACKHOLD_REPORT_PICTURE_FIELD_H

#include "picture_plan.h"

/* Steps of the map: 1, 2, 5, 10 ..., since the load on a tape falls off fast from its worst place.
 * Band k lies between levels k - 1 and k. */
enum { TH_FIELD_BANDS = 6 };
typedef struct {
    double levels[TH_FIELD_BANDS - 1]; /* bands - 1 of them, in the field's own unit */
    size_t bands;
    double end;       /* of the last band */
    double unit;      /* what is shown as 1 (-, MPa) */
    const char *name; /* of that unit; "": a plain number */
} th_field_scale;
/* `least`: the last band ends no lower than that. */
th_field_scale th_field_scale_of(const th_map_field *field, double least, th_units units);

/* Fill of band k: from light to dark, of a hue that does not matter. */
const char *th_field_fill(const th_field_scale *scale, size_t band);

/* Places that a number may not cover (px). */
enum { TH_FIELD_TAKEN = 48 };
typedef struct {
    th_box boxes[TH_FIELD_TAKEN];
    size_t count;
} th_field_taken;
void th_field_take(th_field_taken *taken, th_point middle, double wide, double high);

/* The field over the bonded part of the piece judged; its numbers stand on a sheet of their own, to
 * be laid over all lines. False: out of memory. */
typedef struct {
    th_svg *under, *over;
} th_field_sheets;
bool th_field_draw(const th_field_sheets *sheets, const th_plan *plan, const th_map *map,
                   const th_field_scale *scale, th_field_taken *taken);

/* How far a box lies from the nearest place taken (px); 0: they meet. */
double th_field_room(const th_field_taken *taken, const th_box *box);

/* The scale as a bar with its numbers, the largest load marked on it. */
void th_field_bar(th_svg *svg, const th_field_scale *scale, const th_map_field *field,
                  const th_box *bar);

#endif
