/* json_parts.h - inside report/: members that the JSON of several answers shares. */
#ifndef TACKHOLD_REPORT_JSON_PARTS_H
#define TACKHOLD_REPORT_JSON_PARTS_H

#include "tackhold/report.h"

/* An array of numbers. */
void th_numbers_json(th_json *json, const char *key, const double *values, size_t count);
/* [x, y], or null where a place is not known. */
void th_place_json(th_json *json, const char *key, th_point at);
/* An array of texts. */
void th_texts_json(th_json *json, const char *key, const char *const *texts, size_t count);
/* "way", "load", "interface" and "at_mm" of a stage. */
void th_weakest_json(th_json *json, const th_stage *stage);
/* "sources": the rows that an answer stands on. */
void th_sources_json(th_json *json, const th_source *sources, size_t count, th_arena *arena);

#endif
