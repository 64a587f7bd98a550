#include <math.h>

#include "arc.h"

th_arc th_arc_of(double r, double wall, bool climb) {
    double share = r > 0.0 ? wall / r : (wall > 0.0) - (wall < 0.0);
    double width = acos(fmin(fmax(share, -1.0), 1.0));
    th_arc arc = {climb ? TH_PI - width : 0.0, climb ? TH_PI : width};

    return arc;
}

double th_arc_most_sine(const th_arc *arc) {
    double half = TH_PI / 2.0;

    if (arc->entry <= half && arc->exit >= half) {
        return 1.0;
    }
    return fmax(sin(arc->entry), sin(arc->exit));
}

bool th_engaged_arc(double r, double wall, bool climb, th_arc *arc) {
    if (!(r > 0.0 && wall < r)) {
        arc->entry = arc->exit = 0.0;
        return false;
    }
    *arc = th_arc_of(r, wall, climb);
    return arc->exit > arc->entry;
}

double th_mean_chip(double chip_load, th_arc arc) {
    double width = arc.exit - arc.entry;

    return width > 0.0 ? chip_load * (cos(arc.entry) - cos(arc.exit)) / width : 0.0;
}
