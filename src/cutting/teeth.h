/* teeth.h - chip thickness of each tooth with runout. */
#ifndef TACKHOLD_CUTTING_TEETH_H
#define TACKHOLD_CUTTING_TEETH_H

#include "ranges.h"

/* Per sine of the tooth angle and of the entering angle, a tooth takes the least over its lines of
 * feed * sine(phi) + rise: one line for each earlier tooth whose cut it might meet. Only lines that
 * can be the least are kept: as the feed grows, the rise falls. */
typedef struct {
    double feed, rise; /* (mm) */
} chip_line;

typedef struct {
    double behind;     /* angle behind tooth 0 (rad) */
    double least_sine; /* of the tooth angle, below which it cuts nothing; above 1: never */
    double from, to;   /* the tooth angles that this leaves (rad) */
    int lines;
    chip_line line[MOST_FLUTES];
    double bend[MOST_FLUTES]; /* tooth angle up to 90 deg where line i gives way to i + 1 (rad) */
} tooth;

typedef struct {
    int count;
    bool even; /* all teeth alike */
    tooth items[MOST_FLUTES];
} tooth_set;

static inline double tooth_chip(const tooth *one, double sine) {
    double least = one->line[0].feed * sine + one->line[0].rise;

    for (int i = 1; i < one->lines; i++) {
        double h = one->line[i].feed * sine + one->line[i].rise;

        least = h < least ? h : least;
    }
    return least;
}

/* psi: direction of the runout (rad), see th_turn_run. */
void th_teeth_set(tooth_set *teeth, const th_pass *pass, double psi);

#endif
