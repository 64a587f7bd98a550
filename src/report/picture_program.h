/* picture_program.h - inside report/: pictures of a program's run. */
#ifndef TACKHOLD_REPORT_PICTURE_PROGRAM_H
#define TACKHOLD_REPORT_PICTURE_PROGRAM_H

#include "picture.h"

enum { TH_MAP_WORST = 10 }; /* lines that are numbered */

/* The tape as the worst line leaves it, with the places of the worst lines numbered, and at the
 * end, with letters on the pieces set free. TH_BAD_USAGE for a run without maps. */
bool th_picture_program_map(const th_program_shown *shown, th_text *text, th_error *err);

/* Hold factor by line: bars up from the asked factor where it holds, down where it does not, the
 * worst lines numbered. */
bool th_picture_program_strip(const th_program_shown *shown, th_text *text, th_error *err);

/* A number or letter in a ring; `strong`: the worst of all. */
#define TH_BADGE 9.0 /* its radius (px) */
void th_picture_badge(th_svg *svg, th_point middle, const char *sign, bool strong);

#endif
