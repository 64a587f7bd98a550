/* record.h - the shop's own record inside the answer. */
#ifndef TACKHOLD_REPORT_RECORD_H
#define TACKHOLD_REPORT_RECORD_H

#include "tackhold/report.h"

/* "12 held, 1 let go; that one at hold factor 1.6"; in the document's arena, never NULL. */
const char *th_words_record(th_doc *doc, const th_shop_record *record, double asked);
/* The member "record": null without one. */
void th_record_json(th_json *json, const th_shop_record *record);

#endif
