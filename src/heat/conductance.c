/* conductance.c - the tape stack as a way for heat, and what the cut sends into the part. */
#include "tackhold/heat.h"

#include <math.h>

#include "units.h"

/* Area times kelvin per watt of one layer (mm2K/W). */
static double resistance(double thickness, double conductivity) {
    return thickness / (conductivity * PER_MM);
}

double th_stack_conductance(const th_tape *tape, const th_glue *glue, const th_tape *tape_below) {
    double sum = resistance(tape->thickness, tape->conductivity);

    if (glue != NULL && !glue->absent) {
        sum += resistance(glue->thickness, glue->conductivity);
    }
    if (tape_below != NULL) {
        sum += resistance(tape_below->thickness, tape_below->conductivity);
    }
    return 1 / sum;
}

double th_heat_share(const th_stock *stock, double chip, bool drilling) {
    const int plastic = 6; /* group O */
    bool rubs = !(chip >= stock->smallest_chip);

    if (rubs || drilling || stock->group == plastic) {
        return fmax(stock->heat_share, TH_HEAT_SHARE_RUBBING);
    }
    return stock->heat_share;
}
