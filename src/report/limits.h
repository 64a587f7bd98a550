/* limits.h - inside report/: parts of the report on limits. */
#ifndef TACKHOLD_REPORT_LIMITS_H
#define TACKHOLD_REPORT_LIMITS_H

#include "tackhold/report.h"

/* "spindle power", "whole depth", ... and the letter of the chart. */
const char *th_limits_words(th_limiter limiter);
char th_limits_letter(th_limiter limiter);

/* Axial over radial engagement, a line of text a row. */
void th_limits_chart(th_doc *doc, const th_limit_cut *cut, th_units units);

/* "cut.1.axial=0.5mm", and those that state the fastest pair: their number. */
size_t th_limits_settings(th_doc *doc, const th_limit_cut *cut, th_units units,
                          const char *settings[3]);

#endif
