/* hold_stiffness.c - springs of a stack of tapes, and what a bow adds to the lift. */
#include "tackhold/bond.h"

#include <math.h>

void th_hold_stiffness(const th_tape *above, const th_tape *below, double *kn, double *ks) {
    *kn = above->lift_strength / above->lift_travel;
    *ks = above->shear_strength / above->shear_travel;
    if (below) {
        *kn = fmax(*kn, below->lift_strength / below->lift_travel);
        *ks = fmax(*ks, below->shear_strength / below->shear_travel);
    }
}

/* Shear of a tape's adhesive under 1 MPa (mm); a double-sided tape has a layer on either face. */
static double give_of(const th_tape *tape) {
    return tape->sides * tape->adhesive_thickness / tape->shear_modulus;
}

double th_hold_sway_stiffness(const th_tape *above, const th_tape *below) {
    return 1 / (give_of(above) + (below ? give_of(below) : 0));
}

double th_bow_lift(const th_plate_material *material, double thickness, double bow, double over,
                   double length) {
    double curvature = 8 * fabs(bow) / (over * over);
    double d = material->elastic_modulus * thickness * thickness * thickness /
               (12 * (1 - material->poisson * material->poisson));
    double x = length * pow(material->kn / (4 * d), 0.25);
    double ends = 1; /* so far apart that they do not feel each other */

    if (x < 1e-2) {
        ends = x * x / 6; /* the first term: the quotient below loses its digits */
    } else if (x < 40) {
        ends = (sinh(x) - sin(x)) / (sinh(x) + sin(x));
    }
    return curvature * sqrt(d * material->kn) * ends;
}
