/* svg.h - the small languages inside SVG attributes. */
#ifndef FILES_SVG_H
#define FILES_SVG_H

#include "tackhold/plate.h"

/* A piece of an attribute. */
typedef struct {
    const char *p, *end;
} svg_text;

svg_text th_svg_text_of(const char *zero_terminated);
/* Skip blanks; skip blanks and at most one comma. */
void th_svg_blanks(svg_text *text);
void th_svg_comma(svg_text *text);
/* A number, and the blanks and comma behind it. False if there is none. */
bool th_svg_number(svg_text *text, double *value);
/* The text for a message, at most 30 characters of it, nothing unprintable. */
const char *th_svg_shown(const char *text, size_t size, char room[40]);

/* A transform attribute; false if it cannot be read. */
bool th_svg_transform(const char *text, th_affine *affine);

/* A length with unit, in px; percentages of `whole`. False for what cannot be read, em and ex among
 * it. */
bool th_svg_length(const char *text, double whole, double *px);

/* Draw the d attribute of a path; what is wrong goes into the path. */
void th_svg_path(const char *text, th_path *path);

/* Draw a points attribute. */
void th_svg_points(const char *text, bool close, th_path *path);

#endif
