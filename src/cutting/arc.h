/* arc.h - the engaged arc without the question whether it is empty. */
#ifndef TACKHOLD_CUTTING_ARC_H
#define TACKHOLD_CUTTING_ARC_H

#include "tackhold/cutting.h"

/* As th_engaged_arc; an empty arc has width 0 and stands where the arc would begin to grow. */
th_arc th_arc_of(double r, double wall, bool climb);
/* Largest sine of a tooth's angle over it: the thickest chip by the chip load. */
double th_arc_most_sine(const th_arc *arc);

#endif
