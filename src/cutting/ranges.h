/* ranges.h - refusing quantities out of range, with the quantity, its value and its limits. */
#ifndef TACKHOLD_CUTTING_RANGES_H
#define TACKHOLD_CUTTING_RANGES_H

#include "tackhold/cutting.h"

enum { MOST_FLUTES = 20 }; /* the turn keeps its teeth in arrays of this size */

typedef struct {
    const char *name, *unit;       /* the unit with a blank before it, or "" */
    double value, above, greatest; /* above < value <= greatest */
} check_range;

bool th_check_within(const check_range *range, th_error *err);
bool th_check_above(const char *name, const char *unit, double value, th_error *err);
/* above <= value is allowed as well. */
bool th_check_from(const check_range *range, th_error *err);

bool th_check_stock(const th_stock *stock, th_error *err);
/* What any cutter needs: diameter, flutes, helix, runout. */
bool th_check_cutter(const th_cutter *cutter, th_error *err);
bool th_check_pass(const th_pass *pass, th_error *err);

/* The id of a row, never NULL. */
const char *th_check_id(const th_row_head *head);

#endif
