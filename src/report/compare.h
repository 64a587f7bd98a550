/* compare.h - the comparison with the job before, inside the answer's JSON. */
#ifndef TACKHOLD_REPORT_COMPARE_H
#define TACKHOLD_REPORT_COMPARE_H

#include "tackhold/report.h"

/* The member "before": null without a comparison. */
void th_before_json(th_json *json, const th_comparison *before);

#endif
