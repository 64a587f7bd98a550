/* layers.c - the rise at the bonded face of heat that enters at some height above it, now or
 * earlier. */
#include "tackhold/heat.h"

#include <math.h>

#include "units.h"

/* Heat in a thin layer needs more modes to be told from heat spread out. */
static int modes_for(double layer, double thickness) {
    return layer > thickness / 15 ? 8 : layer > thickness / 40 ? 16 : 32;
}

/* Weight of mode n of heat that enters between two heights. */
static double share_of(double rate, double low, double high) {
    return 2 * (sin(rate * high) - sin(rate * low)) / (rate * (high - low));
}

double th_local_at_bond(const th_heat_source *source, double low, double high) {
    double thickness = source->thickness, sum = th_local_heat(source).mean;
    double k = source->stock->conductivity * PER_MM;
    int modes = modes_for(high - low, thickness);

    for (int n = 1; n <= modes && high - low < thickness * (1 - 1e-9); n++) {
        double g = n * TH_PI / thickness;
        th_heat_source mode = *source;
        mode.loss += k * g * g * thickness;
        sum += share_of(g, low, high) * th_local_heat(&mode).mean;
    }
    return fmax(sum, 0);
}

double th_local_under_floor(const th_heat_source *source, double floor) {
    const th_stock *stock = source->stock;
    double per_volume = stock->density * stock->heat_capacity * PER_MM3; /* (J/mm3K) */
    double per_length = source->power / (source->feed / 60);

    return floor > 0 ? 4 * per_length / (TH_PI * exp(1) * per_volume * floor * floor) : INFINITY;
}

/* Below this share of the mean a mode has died away. */
#define DIED 1e-6

double th_local_left(const th_heat_source *source, double low, double high, double behind) {
    double thickness = source->thickness, k = source->stock->conductivity * PER_MM;
    double a = k / (source->stock->density * source->stock->heat_capacity * PER_MM3);
    double age = behind / (source->feed / 60), wide = sqrt(4 * a * age), half = source->patch / 2;
    double across = half > 0 ? sqrt(TH_PI) * wide / (2 * half) * erf(half / wide) : 1;
    double factor = source->edges >= 2 ? 4 : source->edges == 1 ? 2 : 1;
    double mean = th_line_source(source, -behind, 0), sum = mean;
    int modes = high - low < thickness * (1 - 1e-9) ? modes_for(high - low, thickness) : 0;

    for (int n = 1; n <= modes; n++) {
        double g = n * TH_PI / thickness, more;
        th_heat_source mode = *source;
        mode.loss += k * g * g * thickness;
        more = th_line_source(&mode, -behind, 0);
        if (!(more > DIED * mean)) {
            break;
        }
        sum += share_of(g, low, high) * more;
    }
    return fmin(factor * fmax(sum, 0) * across,
                fmax(factor, 2) * th_local_under_floor(source, low));
}
