/* full.h - the answer in full, and the table of turn-downs that both forms share. */
#ifndef TACKHOLD_REPORT_FULL_H
#define TACKHOLD_REPORT_FULL_H

#include "tackhold/report.h"

void th_full_report(const th_job *job, const th_check *check, th_doc *doc);

typedef struct {
    const char *title;
    size_t shown;
    size_t longest; /* characters of one change */
} th_full_turns;
void th_full_turn_downs(th_doc *doc, const th_check *check, th_full_turns turns, th_units units);

#endif
