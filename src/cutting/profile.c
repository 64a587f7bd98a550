#include <math.h>

#include "profile.h"

static const double half_degree = TH_PI / 360.0; /* of an included angle */

static double tip_flat_of(const th_cutter *cutter) {
    return isnan(cutter->tip_flat) ? 0.0 : cutter->tip_flat;
}

/* The part of the outline below the cylinder, over its whole height; returns that height. */
static double lower_stretch(const th_cutter *cutter, stretch *part) {
    double r = cutter->diameter / 2.0;

    switch ((th_cutter_kind)cutter->kind) {
    case TH_BALL:
        *part = (stretch){.kind = STRETCH_TORUS, .corner = r};
        return r;
    case TH_BULL:
        *part = (stretch){.kind = STRETCH_TORUS,
                          .radius = r - cutter->corner_radius,
                          .corner = cutter->corner_radius};
        return cutter->corner_radius;
    case TH_CHAMFER:
    case TH_POINT:
        *part = (stretch){.kind = STRETCH_CONE,
                          .radius = tip_flat_of(cutter) / 2.0,
                          .slope = tan(cutter->tip_angle * half_degree)};
        return (r - part->radius) / part->slope;
    case TH_FLAT:
    case TH_FACE:
    case TH_DRILL:
        break;
    }
    *part = (stretch){.kind = STRETCH_CYLINDER, .radius = r};
    return 0.0;
}

static double at_of_height(const stretch *part, double z) {
    if (part->kind != STRETCH_TORUS) {
        return z;
    }
    return acos(fmin(fmax(1.0 - z / part->corner, 0.0), 1.0));
}

int th_profile_stretches(const th_cutter *cutter, double low, double high,
                         stretch stretches[MOST_STRETCHES]) {
    int count = 0;
    double top = lower_stretch(cutter, &stretches[0]);

    if (low < top) {
        stretches[0].from = at_of_height(&stretches[0], low);
        stretches[0].to = at_of_height(&stretches[0], fmin(high, top));
        count = 1;
    }
    if (high > top) {
        stretches[count] = (stretch){.kind = STRETCH_CYLINDER,
                                     .radius = cutter->diameter / 2.0,
                                     .from = fmax(low, top),
                                     .to = high};
        count++;
    }
    return count;
}

profile_point th_stretch_point(const stretch *part, double at) {
    profile_point point = {at, part->radius, 1.0, 0.0};

    if (part->kind == STRETCH_TORUS) {
        point.sin_kappa = sin(at);
        point.cos_kappa = cos(at);
        point.z = part->corner * (1.0 - point.cos_kappa);
        point.r += part->corner * point.sin_kappa;
    } else if (part->kind == STRETCH_CONE) {
        point.sin_kappa = 1.0 / sqrt(1.0 + part->slope * part->slope);
        point.cos_kappa = part->slope * point.sin_kappa;
        point.r += part->slope * at;
    }
    return point;
}

double th_profile_radius(const th_cutter *cutter, double height) {
    stretch parts[MOST_STRETCHES];
    int count = th_profile_stretches(cutter, 0.0, height, parts);

    const stretch *last = &parts[count > 1 ? count - 1 : 0];
    return th_stretch_point(last, last->to).r;
}

double th_stretch_length(const stretch *part, double from, double to) {
    switch (part->kind) {
    case STRETCH_TORUS:
        return part->corner * (to - from);
    case STRETCH_CONE:
        return (to - from) * sqrt(1.0 + part->slope * part->slope);
    default:
        return to - from;
    }
}

double th_stretch_at_radius(const stretch *part, double r) {
    double at = NAN;

    if (part->kind == STRETCH_TORUS) {
        at = asin((r - part->radius) / part->corner);
    } else if (part->kind == STRETCH_CONE) {
        at = (r - part->radius) / part->slope;
    }
    return at > part->from && at < part->to ? at : NAN;
}
