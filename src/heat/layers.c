/* layers.c - the rise at the bonded face of heat that enters at some height above it. */
#include "tackhold/heat.h"

#include <math.h>

#include "units.h"

/* Heat in a thin layer needs more modes to be told from heat spread out. */
static int modes_for(double layer, double thickness) {
    return layer > thickness / 15 ? 8 : layer > thickness / 40 ? 16 : 32;
}

double th_local_at_bond(const th_heat_source *source, double low, double high) {
    double thickness = source->thickness, sum = th_local_heat(source).mean;
    double k = source->stock->conductivity * PER_MM;
    int modes = modes_for(high - low, thickness);

    for (int n = 1; n <= modes && high - low < thickness * (1 - 1e-9); n++) {
        double g = n * TH_PI / thickness;
        double share = 2 * (sin(g * high) - sin(g * low)) / (g * (high - low));
        th_heat_source mode = *source;
        mode.loss += k * g * g * thickness;
        sum += share * th_local_heat(&mode).mean;
    }
    return fmax(sum, 0);
}

double th_local_under_floor(const th_heat_source *source, double floor) {
    const th_stock *stock = source->stock;
    double per_volume = stock->density * stock->heat_capacity * PER_MM3; /* (J/mm3K) */
    double per_length = source->power / (source->feed / 60);

    return floor > 0 ? 4 * per_length / (TH_PI * exp(1) * per_volume * floor * floor) : INFINITY;
}
