/* odds.h - inside report/: chances no finer than they are known. */
#ifndef TACKHOLD_REPORT_ODDS_H
#define TACKHOLD_REPORT_ODDS_H

#include "tackhold/report.h"

/* Chances below it, and as near to certainty, are not told apart. */
#define TH_CHANCE_LEAST 1e-6

/* Digit that a chance is printed to: one of it (or of what is left to 1) where that still lies in
 * its interval, else two. */
double th_chance_unit(double chance, double low, double high);
/* The nearest multiple of a power of ten. */
double th_chance_round(double chance, double unit);
/* Two digits, up or down. */
double th_chance_outward(double chance, bool up);

#endif
