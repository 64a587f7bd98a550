/* full.h - the answer in full, and the table of turn-downs that both forms share. */
#ifndef TACKHOLD_REPORT_FULL_H
#define TACKHOLD_REPORT_FULL_H

#include "tackhold/report.h"

void th_full_report(const th_job *job, const th_check *check, th_doc *doc);

typedef struct {
    const char *title;
    size_t shown;
    th_units units;
} th_full_turns;
#define TH_FULL_TURNS "any one of these makes it hold: factor, time, setting"
#define TH_FULL_TURN "this makes it hold: factor, time, setting"
/* Turn-downs, or the best step where there are none. */
void th_full_turn_downs(th_doc *doc, const th_check *check, th_full_turns turns);

#endif
