/* wrench.h - inside advice/: what trials by the area model and by the plate share. */
#ifndef TACKHOLD_ADVICE_WRENCH_H
#define TACKHOLD_ADVICE_WRENCH_H

#include "trial.h"

/* The wrenches of a trial about the job's origin with the spindle at one spot, stops taken off. */
void th_trial_wrenches(const th_trial *trial, const th_spot *spot, double ratio,
                       th_wrench *wrenches);

/* A wrench about the job's origin, about a place of the bonded face. */
th_wrench th_wrench_about(const th_wrench *wrench, const th_plate_spot *site);

/* A history with room for them; its standing lift is that of a peak load. */
bool th_trial_history(const th_bench *bench, const th_trial *trial, th_wrench **wrenches,
                      th_history *history);

/* Smallest time factor of any interface. */
double th_trial_weakest(const th_bench *bench, const th_trial *trial);

th_outcome th_outcome_none(void);
void th_outcome_peak(th_outcome *outcome, const th_grip *grip, const th_spot *spot,
                     const th_wrench *wrenches);
void th_outcome_sustained(th_outcome *outcome, const th_grip *grip, const th_spot *spot,
                          const th_wrench *wrenches);
/* Whether the sustained load of a spot with this peak index can matter. */
bool th_sustained_matters(const th_bench *bench, const th_trial *trial, const th_outcome *outcome,
                          double peak_index, double no_matter, double weakest);
/* The larger, or what is not a number: that must show, not vanish. */
double th_larger(double largest, double value);
bool th_plainly_larger(double value, double largest); /* by more than rounding may do */

#endif
