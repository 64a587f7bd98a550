/* cautions.h - inside advice/: what an answer warns of beside its verdict. */
#ifndef TACKHOLD_ADVICE_CAUTIONS_H
#define TACKHOLD_ADVICE_CAUTIONS_H

#include "judge.h"

/* Every caution of an answer, the gravest first. `notes` is what the geometry showed. */
bool th_cautions_list(const th_job *job, const th_judging *judging, const th_lines *notes,
                      th_check *check, th_error *err);

/* Holes that are bored against the openings of the part that they should make. */
bool th_openings_compared(const th_job *job, const th_judging *judging, th_check *check,
                          th_error *err);

/* A factor rounded down to two digits. */
void th_factor_below(double factor, char *text, size_t size);

#endif
