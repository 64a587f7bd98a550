/* verdict.c - a hold factor in one word. */
#include "tackhold/advice.h"

static const char *const verdict_names[] = {"holds", "unproven", "lets go"};

const char *th_verdict_name(th_verdict verdict) {
    return verdict_names[verdict];
}

th_verdict th_verdict_of(double hold_factor, double asked) {
    if (hold_factor >= asked) {
        return TH_HOLDS;
    }
    return hold_factor >= 1 ? TH_UNPROVEN : TH_LETS_GO;
}
