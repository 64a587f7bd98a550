/* units.h - the one table of units, for the reader and the printer of this folder. */
#ifndef TACKHOLD_QUANTITY_UNITS_H
#define TACKHOLD_QUANTITY_UNITS_H

#include "tackhold/quantity.h"

/* core = (typed - offset) * factor / divisor. Two numbers instead of one, so that a decimal
 * prefix (kPa, um) divides by a whole number and stays correctly rounded. */
typedef struct {
    const char *symbol;
    th_kind kind;
    double factor, divisor, offset;
    bool any_case; /* a customary unit whose capitals mean nothing: RPM, IN, PSI */
    bool per_rev;
} th_unit;

/* The unit of a kind with this symbol, or NULL. */
const th_unit *th_unit_find(th_kind kind, const char *symbol);
/* The unit of a kind that differs from the symbol only in capitals, or NULL. */
const th_unit *th_unit_find_any_case(th_kind kind, const char *symbol);

double th_unit_to_core(const th_unit *unit, double typed);
double th_unit_from_core(const th_unit *unit, double core);

#endif
