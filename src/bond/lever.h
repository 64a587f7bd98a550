/* lever.h - what one place of the bonded area makes of any wrench.
 *
 * Traction is linear in the wrench, so a place is boiled down to a few factors once and each
 * instant of a history then costs a handful of products.
 */
#ifndef TACKHOLD_BOND_LEVER_H
#define TACKHOLD_BOND_LEVER_H

#include "tackhold/bond.h"

typedef struct {
    double per_area;         /* 1/area (1/mm2) */
    double cx, cy;           /* centroid (mm) */
    double twist_x, twist_y; /* shear per torque about the centroid (1/mm3) */
    double bend_x, bend_y;   /* lift per moment about the centroid's x and y axes (1/mm3) */
} bond_lever;

bond_lever th_bond_lever_of(const th_bonded *bonded, th_point at);

static inline double bond_lever_lift(const bond_lever *lever, const th_wrench *w) {
    return w->fz * lever->per_area + (w->mx - lever->cy * w->fz) * lever->bend_x +
           (w->my + lever->cx * w->fz) * lever->bend_y;
}

static inline double bond_lever_torque(const bond_lever *lever, const th_wrench *w) {
    return w->mz - lever->cx * w->fy + lever->cy * w->fx;
}

/* Square of the resultant shear. */
static inline double bond_lever_shear2(const bond_lever *lever, const th_wrench *w) {
    double torque = bond_lever_torque(lever, w);
    double x = w->fx * lever->per_area + torque * lever->twist_x;
    double y = w->fy * lever->per_area + torque * lever->twist_y;

    return x * x + y * y;
}

#endif
