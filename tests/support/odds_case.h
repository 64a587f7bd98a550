/* odds_case.h - jobs whose chance of letting go is asked for. */
#ifndef TACKHOLD_TESTS_ODDS_CASE_H
#define TACKHOLD_TESTS_ODDS_CASE_H

#include "support/draft.h"

/* A spread of next to nothing. */
#define NONE 1e-9

/* A push at the middle of a part, so strong that the hold factor becomes `factor`. */
draft odds_pushed(double factor);
/* A groove whose own heat brings the glue (80 C at most) near what it stands. */
draft odds_grooved(const char *speed);

/* Only strength and force scatter. */
th_odds_options odds_two_spreads(double strength, double force);
/* Fails the running test where there are none. */
th_odds odds_with(const draft *d, const th_odds_options *options);

#endif
