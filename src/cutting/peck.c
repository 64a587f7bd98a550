/* peck.c - what coming out for the chips costs. */
#include <math.h>

#include "tackhold/cutting.h"

double th_peck_outs(const th_pecking *pecking) {
    if (!(pecking->peck > 0) || !(pecking->depth > pecking->peck)) {
        return 0;
    }
    return fmax(ceil(pecking->depth / pecking->peck - 1e-9) - 1, 0);
}

double th_peck_away(const th_pecking *pecking) {
    double outs = th_peck_outs(pecking);

    if (!(outs > 0)) {
        return 0;
    }
    /* depths reached when it comes out: peck, 2 peck, ... */
    double up = pecking->peck * outs * (outs + 1) / 2 + TH_PECK_ABOVE * outs;
    double fed = TH_PECK_GAP * outs;

    return (up + (up - fed)) / pecking->rapid + fed / pecking->feed;
}

double th_peck_duty(const th_pecking *pecking) {
    double cutting = pecking->depth / pecking->feed;

    return cutting / (cutting + th_peck_away(pecking));
}
