/* round_end.c - ball and bull cutters that go down in levels: what the second level and those below
 * meet of the round that the level above has left. */
#include "judge.h"

#include <math.h>

/* What is cut there comes off in thin chips, which take more power than its section says: by up to
 * this (the force model, balls of 3 mm by 0.2 and 0.4 mm: 1.25 at most). */
#define THIN_CHIPS 1.25

enum { HALVINGS = 40 };

static double round_of(const th_cutter *cutter) {
    return cutter->kind == TH_BALL   ? cutter->diameter / 2
           : cutter->kind == TH_BULL ? cutter->corner_radius
                                     : 0;
}

double th_round_end(const th_cut *cut) {
    bool walls = cut->operation == TH_SLOT || cut->operation == TH_POCKET ||
                 cut->operation == TH_OUTLINE || cut->operation == TH_HOLE;

    return walls ? round_of(&cut->cutter->row) : 0;
}

/* Height of the ridges that rows side by side leave (mm). */
static double ridges(const th_cut *cut) {
    const th_cutter *cutter = &cut->cutter->row;
    double round = round_of(cutter);
    double half = fmin((cut->radial - (cutter->diameter - 2 * round)) / 2, round);

    return cut->operation == TH_FACING && half > 0 ? round - sqrt(round * round - half * half) : 0;
}

double th_engaged_height(const th_cut *cut, double axial, double below_top) {
    double more = fmax(th_round_end(cut), ridges(cut));

    return more > 0 && below_top > axial * (1 + 1e-9) ? fmin(below_top, more + axial) : axial;
}

/* Section of a groove so deep (mm2): a flat middle and two parts of a circle. */
static double section(const th_cut *cut, double deep) {
    double radius = cut->cutter->row.diameter / 2, round = th_round_end(cut);
    double low = fmin(deep, round), angle = acos((round - low) / round);
    double parts = round * round * (angle - sin(angle) * cos(angle));

    return 2 * (radius - round) * low + parts + 2 * radius * (deep - low);
}

double th_warming_height(const th_cut *cut, double axial, double below_top) {
    double least = axial, most = th_engaged_height(cut, axial, below_top);

    if (!(most > axial) || !(th_round_end(cut) > 0)) {
        return most;
    }
    double wanted = THIN_CHIPS * (section(cut, below_top) - section(cut, below_top - axial));
    for (int i = 0; i < HALVINGS; i++) {
        double middle = (least + most) / 2;
        if (section(cut, middle) < wanted) {
            least = middle;
        } else {
            most = middle;
        }
    }
    return most;
}
