/* card.h - inside report/: parts of the card, and charts in the width that a place has for them. */
#ifndef TACKHOLD_REPORT_CARD_H
#define TACKHOLD_REPORT_CARD_H

#include "tackhold/report.h"

enum { TH_CHART_WIDE = 340 }; /* half a page, and a phone (px) */

enum { TH_STACK_HALF = 372 }; /* the stack, beside the words of the hold (px) */

/* The stack, half a page wide, rows by their ids. */
bool th_picture_stack_half(const th_job *job, const th_check *check, th_text *text, th_error *err);
/* The part from above with the states that matter most beside it: low enough for a page that
 * carries more. */
bool th_picture_part_low(const th_job *job, const th_check *check, const th_map *map, th_text *text,
                         th_error *err);
/* Temperatures over time, `width` px wide. */
bool th_picture_heat_wide(const th_job *job, const th_check *check, double width, th_text *text,
                          th_error *err);
/* How far one cut may be opened, half a page wide. `screen`: as that of th_card. */
bool th_picture_limit(const th_job *job, const th_limit_cut *cut, bool screen, th_text *text,
                      th_error *err);

/* Sections "steps" and "cautions". */
void th_card_steps(const th_card *card, th_doc *doc);
void th_card_cautions(const th_card *card, th_doc *doc);

/* Sections of any card: the stock and what holds it, in the job's units; the rows behind the
 * figures; a list in one paragraph, none where it is empty; and of what was taken for granted what
 * most moves the answer, for paper. */
void th_card_hold(const th_job *job, th_doc *doc);
void th_card_sources(const th_source *sources, size_t count, th_doc *doc);
void th_card_list(const char *title, const th_lines *lines, th_doc *doc);
void th_card_granted(const th_lines *lines, th_doc *doc);

/* Lowest temperature_max of the layers of the hold (C), and whose it is. */
double th_card_warmest(const th_job *job, const char **whose);

#endif
