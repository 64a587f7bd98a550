/* cutter_strength.c - the cutter as a beam, and the torque of the spindle. */
#include <math.h>

#include "tackhold/cutting.h"

static const double equivalent_share = 0.8; /* of the diameter, in the flutes */

/* By th_cutter_material: modulus (handbook values), low bending strength, and the share of it that
 * is left where the stress comes and goes (MPa, MPa, -). */
static const struct {
    double modulus, bending, lasting;
} materials[] = {
    [TH_CARBIDE] = {580000.0, 2000.0, 0.5},
    [TH_HSS] = {210000.0, 3000.0, 1.0 / 3.0},
};

static double fluted_length(const th_cutter *cutter) {
    return cutter->flute_length < cutter->stickout ? cutter->flute_length : cutter->stickout;
}

static double shank_of(const th_cutter *cutter) {
    return cutter->shank > 0.0 ? cutter->shank : cutter->diameter;
}

static double second_moment(double d) {
    return TH_PI * d * d * d * d / 64.0;
}

double th_cutter_deflection(const th_cutter *cutter, double force) {
    double fluted = pow(fluted_length(cutter), 3), whole = pow(cutter->stickout, 3);
    double in_flutes = fluted / second_moment(equivalent_share * cutter->diameter);
    double in_shank = (whole - fluted) / second_moment(shank_of(cutter));

    return force * (in_flutes + in_shank) / (3.0 * materials[cutter->material].modulus);
}

/* Largest principal stress of a round bar under a bending moment and a torque. */
static double principal(double d, double moment, double torque) {
    double bending = 32.0 * moment / (TH_PI * d * d * d);
    double shear = 16.0 * torque / (TH_PI * d * d * d);

    return 0.5 * bending + hypot(0.5 * bending, shear);
}

double th_cutter_stress(const th_cutter *cutter, double force, double torque) {
    double fluted = fluted_length(cutter);
    double flutes = principal(equivalent_share * cutter->diameter, force * fluted, torque);
    double clamped = fluted < cutter->stickout
                         ? principal(shank_of(cutter), force * cutter->stickout, torque)
                         : 0.0;

    return fmax(flutes, clamped);
}

double th_cutter_strength(const th_cutter *cutter) {
    return materials[cutter->material].bending * materials[cutter->material].lasting;
}

double th_torque_of(double power, double speed) {
    return power * 1000.0 * 60.0 / (2.0 * TH_PI * speed);
}
