/* bounded.h - one cut of a job as the search for limits sees it, and jobs to look at so. */
#ifndef TACKHOLD_TESTS_BOUNDED_H
#define TACKHOLD_TESTS_BOUNDED_H

#include "../../src/advice/limits.h"
#include "support/draft.h"

enum { CUTS = 4 };

typedef struct {
    th_check_options options;
    th_job *job;
    th_arena arena;
    th_ground ground;
    th_error err;
    bool fails[CUTS], laps[CUTS], others[CUTS];
    th_bounded b;
} bounded;

/* Of cut `which`; ends with bounded_end. */
void bounded_begin(const draft *d, size_t which, bounded *at);
void bounded_end(bounded *at);

/* A slot, full width, so that the thickest chip is the chip load. */
draft grooved(const char *axial);
/* That, and another one beside it. */
draft two_grooves(void);
/* Lowest hold factor of a cut, judged with all others. */
double factor_of(const draft *d, const char *section);

#endif
