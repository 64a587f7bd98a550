/* local.h - parts of the local rise. Private to heat. */
#ifndef TACKHOLD_HEAT_LOCAL_H
#define TACKHOLD_HEAT_LOCAL_H

#include "tackhold/heat.h"

/* exp(x) K0(x) of x > 0: K0 underflows long before the field far behind a source is nothing. */
double th_scaled_k0(double x);

#endif
