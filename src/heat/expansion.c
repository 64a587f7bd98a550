/* expansion.c - part and plate grow unequally; the tape has to follow. */
#include "tackhold/heat.h"

#include <math.h>

th_expansion th_expansion_slip(const th_stock *stock, const th_plate *plate, th_lump_state state,
                               double joined_at, double half_diagonal, double shear_travel) {
    double plate_growth = isnan(plate->expansion) ? 0 : plate->expansion;
    th_expansion result = {false, NAN, TH_SLIP_SHARE * shear_travel, false};

    if (isnan(stock->expansion)) {
        return result;
    }
    result.known = true;
    result.slip = half_diagonal * fabs(stock->expansion * (state.part - joined_at) -
                                       plate_growth * (state.plate - joined_at));
    result.exceeds = result.slip > result.allowed;
    return result;
}
