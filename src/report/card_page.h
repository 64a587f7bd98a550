/* card_page.h - inside report/: head, style and foot of a card; its sections lie between. */
#ifndef TACKHOLD_REPORT_CARD_PAGE_H
#define TACKHOLD_REPORT_CARD_PAGE_H

#include "tackhold/report.h"

enum { TH_CARD_LINES = 4 };

typedef struct {
    const char *title;
    th_verdict verdict;
    const char *answer;               /* "HOLDS  hold factor ...": the word stands out */
    const char *lines[TH_CARD_LINES]; /* under it; NULL none */
    bool is_long;                     /* smaller type on paper: more than two pages hold else */
} th_card_head;

/* Up to where the sections begin; `doc` lends its arena for words. */
void th_card_top(const th_card_head *head, th_doc *doc, th_text *text);
/* From behind them on, what came of it to be ticked with a pen. `where`: "at pass". */
void th_card_foot(const char *where, th_text *text);

#endif
