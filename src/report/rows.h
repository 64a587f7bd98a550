/* rows.h - what is said of one key. */
#ifndef TACKHOLD_REPORT_ROWS_H
#define TACKHOLD_REPORT_ROWS_H

#include "tackhold/report.h"

/* Bounds, default and units of a key, and which operations need or take it. */
void th_rows_bounds(const th_key_group *group, const th_key *key, th_units units, th_text *text);

#endif
