/* area_model.c - the part as a rigid plate on a uniform layer: wrench, bonded area, traction. */
#include "tackhold/bond.h"

#include <math.h>

#include "lever.h"

th_wrench th_wrench_of(double fx, double fy, double fz, double x, double y, double z,
                       double torque) {
    th_wrench w = {fx, fy, fz, y * fz - z * fy, z * fx - x * fz, x * fy - y * fx + torque};

    return w;
}

bool th_bonded_of(th_section section, double coverage, const th_point *corners, size_t corner_count,
                  th_bonded *bonded, th_error *err) {
    double cx, cy, ixx, iyy, ixy;

    if (!(coverage > 0 && coverage <= 1)) {
        return th_fail(err, TH_BAD_RANGE, "coverage %g must be above 0 and at most 1", coverage);
    }
    if (!(section.area > 0 && isfinite(section.area))) {
        return th_fail(err, TH_BAD_RANGE, "no bonded area is left (%g mm2)", section.area);
    }
    if (corner_count == 0) {
        return th_fail(err, TH_BAD_RANGE, "the bonded area has no corners");
    }
    cx = section.sx / section.area;
    cy = section.sy / section.area;
    ixx = (section.syy - section.area * cy * cy) * coverage;
    iyy = (section.sxx - section.area * cx * cx) * coverage;
    ixy = (section.sxy - section.area * cx * cy) * coverage;
    /* The product of the principal moments: a line has none, and could not carry a tilt. */
    if (!(ixx > 0 && iyy > 0 && ixx * iyy - ixy * ixy > 0 && isfinite(ixx * iyy))) {
        return th_fail(err, TH_BAD_RANGE, "the bonded area is too narrow to carry a tilt");
    }
    *bonded = (th_bonded){section.area * coverage, cx, cy, ixx, iyy, ixy, corners, corner_count};
    return true;
}

/* Lift = fz/A + b x + c y with x and y from the centroid; b and c follow from the moments about the
 * centroid, m_x = integral of y lift and m_y = -integral of x lift, also for axes that are not the
 * principal ones. */
bond_lever th_bond_lever_of(const th_bonded *bonded, th_point at) {
    double x = at.x - bonded->cx, y = at.y - bonded->cy;
    double polar = bonded->ixx + bonded->iyy;
    double both = bonded->ixx * bonded->iyy - bonded->ixy * bonded->ixy;
    bond_lever lever = {
        .per_area = 1 / bonded->area,
        .cx = bonded->cx,
        .cy = bonded->cy,
        .twist_x = -y / polar,
        .twist_y = x / polar,
        .bend_x = (bonded->iyy * y - bonded->ixy * x) / both,
        .bend_y = (bonded->ixy * y - bonded->ixx * x) / both,
    };

    return lever;
}

th_traction th_area_traction(const th_bonded *bonded, const th_wrench *wrench, th_point at) {
    bond_lever lever = th_bond_lever_of(bonded, at);
    double torque = bond_lever_torque(&lever, wrench);
    th_traction t;

    t.lift = bond_lever_lift(&lever, wrench);
    t.shear = sqrt(bond_lever_shear2(&lever, wrench));
    t.direct = hypot(wrench->fx, wrench->fy) * lever.per_area;
    t.turn = fabs(torque) * hypot(lever.twist_x, lever.twist_y);
    return t;
}
