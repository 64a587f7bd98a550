/* moves.h - programs made move by move, with every step as the loads have it. */
#ifndef TACKHOLD_TESTS_MOVES_H
#define TACKHOLD_TESTS_MOVES_H

#include "support/draft.h"
#include "tackhold/program.h"

enum { STEPS_MOST = 20000 };

typedef struct {
    th_loads *loads;
    th_sweep_tool tool;
    double at[3], feed, speed;
    int line;
    th_step_load *steps;
    size_t count;
    bool plate; /* hold the step before `plate_x` against the plate */
    double plate_x;
    th_bent_load bent; /* the last of them */
} bench;

/* A plate with zero on its top at its corner, and a cutting time that both ways share. */
draft held_plate(double length, double width, double thickness);
/* With cutter, speed and feed of the job's first cut. */
void start_taped(bench *b, const th_job *job, const th_outline *taped);
void start(bench *b, const th_job *job);
void stop(bench *b);
void go(bench *b, th_move_kind kind, double x, double y, double z);
/* Over a place, from above. */
void hop(bench *b, double x, double y);
void feed(bench *b, double x, double y, double z);
const th_load_result *end(bench *b);

/* A plate with a pocket of 38 x 26 mm amid it, in one pass; and the same as moves: rings outwards,
 * climbing. */
draft ring_pocket(void);
void mill_ring_pocket(bench *b);

#endif
