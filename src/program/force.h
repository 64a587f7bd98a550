/* force.h - inside program/: turns of the cutter, kept by engagement. */
#ifndef TACKHOLD_PROGRAM_FORCE_H
#define TACKHOLD_PROGRAM_FORCE_H

#include "tackhold/program.h"

/* What a step does to the part, in the frame of the cut. */
typedef struct {
    unsigned long long key; /* 0: none */
    th_sample *samples;     /* weights sum to 1; where all teeth are alike those of one pitch */
    size_t count;
    size_t hardest;                               /* with the largest force in the plane */
    double in_plane_peak, lift_peak, torque_peak; /* (N, N mm) */
    double work;                                  /* power per speed (W/rpm) */
    double max_chip;                              /* (mm) */
} step_force;

typedef struct {
    step_force *slots;
    size_t used, made;
} force_table;

void force_table_free(force_table *table);

typedef struct {
    const th_stock *stock;
    const th_step *step;
    double wear;
    double chip_load; /* per tooth in plan (mm) */
    double sink;      /* per tooth down (mm) */
    double lifts;     /* the end goes through, straight down: the share of a drill's lift; else 0 */
} force_question;

/* Stays where it is until the next call. Errors: TH_BAD_RANGE, TH_NO_MEMORY. */
const step_force *force_of(force_table *table, const force_question *ask, th_error *err);

#endif
