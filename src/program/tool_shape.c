/* tool_shape.c - the lower surface of a cutter, and the lowest of it along a straight move. */
#include "tool_shape.h"

#include <math.h>

static const double half_degree = TH_PI / 360.0; /* of an included angle */

enum { HALVINGS = 40 };

tool_shape tool_shape_of(const th_cutter *cutter) {
    double r = cutter->diameter / 2;
    double tip = isnan(cutter->tip_flat) ? 0 : fmin(cutter->tip_flat / 2, r);
    tool_shape shape = {r, r, 0, 0, 0};

    switch ((th_cutter_kind)cutter->kind) {
    case TH_BALL:
        shape.flat = 0;
        shape.corner = shape.rise = r;
        break;
    case TH_BULL:
        shape.corner = shape.rise = fmin(cutter->corner_radius, r);
        shape.flat = r - shape.corner;
        break;
    case TH_DRILL:
        tip = 0;
        /* fall through */
    case TH_CHAMFER:
    case TH_POINT:
        shape.flat = tip;
        shape.slope = tan(cutter->tip_angle * half_degree);
        shape.rise = (r - tip) / shape.slope;
        break;
    case TH_FLAT:
    case TH_FACE:
        break;
    }
    return shape;
}

tool_shape tool_drawn_in(const tool_shape *shape, double by) {
    tool_shape drawn = *shape;

    drawn.radius -= by;
    drawn.flat -= by;
    return drawn;
}

double tool_height(const tool_shape *shape, double r) {
    double out = r - shape->flat;

    if (out <= 0) {
        return 0;
    }
    if (shape->corner > 0) {
        return shape->corner - sqrt(fmax(shape->corner * shape->corner - out * out, 0));
    }
    return shape->slope > 0 ? out / shape->slope : 0;
}

double tool_radius(const tool_shape *shape, double height) {
    double left = shape->corner - height;

    if (height >= shape->rise) {
        return shape->radius;
    }
    if (shape->corner > 0) {
        return shape->flat + sqrt(fmax(shape->corner * shape->corner - left * left, 0));
    }
    return shape->flat + shape->slope * fmax(height, 0);
}

/* On a ramp that sinks: how far past the axis' nearest approach the surface is lowest, where the
 * corner's slope along the path equals the ramp's. */
static double corner_past(const tool_shape *shape, double steep, double aside, double low,
                          double high) {
    for (int i = 0; i < HALVINGS; i++) {
        double u = 0.5 * (low + high), r = sqrt(u * u + aside * aside), out = r - shape->flat;
        double wall = sqrt(fmax(shape->corner * shape->corner - out * out, 0));
        if (out > 0 && out * u > steep * wall * r) {
            high = u;
        } else {
            low = u;
        }
    }
    return 0.5 * (low + high);
}

/* The same for any shape; `reach`: half the chord at this distance from the path. */
static double past(const tool_shape *shape, double steep, double aside, double reach) {
    double b = fabs(aside);
    double even = shape->flat > b ? sqrt(shape->flat * shape->flat - b * b) : 0;

    if (shape->corner > 0 && shape->flat <= 0) {
        return reach * steep / sqrt(1 + steep * steep);
    }
    if (shape->corner > 0) {
        return corner_past(shape, steep, b, even, reach);
    }
    if (shape->slope > 0 && steep * shape->slope < 1) {
        double m = steep * shape->slope;
        return fmax(m * b / sqrt(1 - m * m), even);
    }
    return reach;
}

double tool_lowest(const tool_shape *shape, const tool_pass *pass) {
    double square = shape->radius * shape->radius - pass->aside * pass->aside;
    double reach = square > 0 ? sqrt(square) : 0;
    double low = fmax(pass->along - reach, 0), high = fmin(pass->along + reach, pass->length);
    double best = pass->along;

    if (square < 0 || low > high) {
        return INFINITY;
    }
    if (pass->climb < 0) {
        best += past(shape, -pass->climb, pass->aside, reach);
    } else if (pass->climb > 0) {
        best -= past(shape, pass->climb, pass->aside, reach);
    }
    best = fmin(fmax(best, low), high);
    if (shape->flat >= shape->radius) {
        return pass->climb * best;
    }
    double ahead = best - pass->along, r = sqrt(ahead * ahead + pass->aside * pass->aside);
    return pass->climb * best + tool_height(shape, fmin(r, shape->radius));
}
