/* profile.h - outline of a cutter: radius and entering angle along its height. */
#ifndef TACKHOLD_CUTTING_PROFILE_H
#define TACKHOLD_CUTTING_PROFILE_H

#include "tackhold/cutting.h"

/* A stretch of the outline that one formula describes. `at` runs along it: the height for a
 * cylinder or a cone, the angle from the lowest point of the corner's circle for a torus (equal
 * angles keep edge length and chip finite where the entering angle goes to 0). */
typedef enum { STRETCH_CYLINDER, STRETCH_CONE, STRETCH_TORUS } stretch_kind;

typedef struct {
    stretch_kind kind;
    double radius; /* cylinder: its radius; cone: at height 0; torus: of the corner's centre (mm) */
    double corner; /* torus: radius of the corner (mm) */
    double slope;  /* cone: dr/dz */
    double from, to; /* of `at` */
} stretch;

typedef struct {
    double z, r; /* (mm) */
    double sin_kappa, cos_kappa;
} profile_point;

enum { MOST_STRETCHES = 2 };

/* The stretches between two heights, from below; returns how many. */
int th_profile_stretches(const th_cutter *cutter, double low, double high,
                         stretch stretches[MOST_STRETCHES]);

/* Radius at a height (mm). */
double th_profile_radius(const th_cutter *cutter, double height);

profile_point th_stretch_point(const stretch *part, double at);
/* Edge length between two values of `at` (mm). */
double th_stretch_length(const stretch *part, double from, double to);
/* Where the stretch has radius r; NAN if nowhere strictly inside it. */
double th_stretch_at_radius(const stretch *part, double r);

#endif
