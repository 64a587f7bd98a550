/* cautions.h - inside advice/: what an answer warns of beside its verdict. */
#ifndef TACKHOLD_ADVICE_CAUTIONS_H
#define TACKHOLD_ADVICE_CAUTIONS_H

#include "judge.h"

/* Every caution of an answer, the gravest first. `notes` is what the geometry showed. */
bool th_cautions_list(const th_job *job, const th_judging *judging, const th_lines *notes,
                      th_check *check, th_error *err);

/* What `check` has under usual_heat. */
bool th_usual_heat_of(const th_job *job, const th_judging *judging, th_check *check, th_error *err);

/* Outlines and pockets that begin wider than they state, with the hold factor at full width where
 * that is lower. */
bool th_lap_caution(const th_job *job, const th_judging *judging, th_check *check, th_error *err);

/* What springs or creeps sideways farther than th_sway_limit: of a stated limit every cut beyond
 * it, the worst first, else the worst alone. False: out of memory. */
bool th_sway_cautions(const th_job *job, th_check *check);

/* Holes that are bored against the openings of the part that they should make. */
bool th_openings_compared(const th_job *job, const th_judging *judging, th_check *check,
                          th_error *err);

/* A difference of temperature to a tenth of a degree, in the degrees of the units. */
void th_warmer_text(double kelvin, th_units units, char *text, size_t size);

/* A length rounded up to a thousandth of an inch, or a hundredth of a millimetre. */
void th_length_up(double length, th_units units, char *text, size_t size);

/* A factor rounded down to two digits. */
void th_factor_below(double factor, char *text, size_t size);

#endif
