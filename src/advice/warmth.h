/* warmth.h - inside advice/: how warm the cuts make part and tape. */
#ifndef TACKHOLD_ADVICE_WARMTH_H
#define TACKHOLD_ADVICE_WARMTH_H

#include "judge.h"

/* A pass as the heat sees it. */
typedef struct {
    double power;    /* at the cutter (W) */
    double max_chip; /* thickest chip (mm) */
    double radial;   /* engaged width (mm) */
    double axial;    /* depth (mm) */
    double under;    /* metal left under it (mm) */
    double feed;     /* (mm/min) */
} th_warming_pass;

/* What a cut puts in: its usual pass where that is lowest and, where they differ, the pass that
 * frees and the finishing lap. No pass: a push. */
typedef struct {
    th_warming_pass passes[3];
    size_t count;
} th_warming;

typedef struct {
    th_lump_state end;     /* when the cut is done (C) */
    th_lump_state largest; /* while it runs (C) */
    double local;          /* rise under the cutter on top of the part's (K); INFINITY: unbounded */
    double biot;           /* above about 0.2 the local rise is overstated (-) */
    double tape;           /* what the tape is taken to be at (C) */
} th_warmth;

/* One cut, with the bond before it and after it (an outline's: before), on a part at `start`. */
typedef struct {
    const th_cut *cut;
    const th_warming *warming;
    const th_bond_state *before, *after;
    th_lump_state start;
} th_warmed_cut;

/* How warm it gets. Heat spreads in one copy of the part alone (in the smallest
 * piece, where cuts have parted it), and in a faced sheet in all of it; time spent on other copies
 * is no rest. `curve`, if not NULL, receives points from 0 s on, to be freed by the caller. */
bool th_warmth_of(th_ground *ground, const th_warmed_cut *of, th_warmth *warmth,
                  th_heat_curve *curve);

/* Share of a drill's time in which it takes metal with all of its power; 1 for all other cuts. */
double th_warmth_in_metal(const th_job *job, const th_cut *cut);

/* Whether an outline leaves a frame on every side: where it mills the sheet away up to the border
 * no second wall takes its half of the heat. */
bool th_warmth_framed(const th_ground *ground, const th_cut *cut);

/* Rise under the cutter in one pass (K), `power` (W) going into the piece; `biot` as in heat.h. */
double th_warmth_under(const th_ground *ground, const th_cut *cut, const th_warming_pass *pass,
                       double power, double *biot);

/* Width by which a steady flux has spread in a body when its face is as warm as the heat spread
 * evenly over that width would be: sqrt(pi a t)/2 (Carslaw and Jaeger, Conduction of Heat in
 * Solids, 2.9) (mm). */
double th_warmth_spread(double conductivity, double density, double heat_capacity, double seconds);

/* A plastic or composite: group O of ISO 513. */
bool th_warmth_plastic(const th_stock *stock);

/* Unequal growth of the largest piece that stays and of the plate below it. */
th_expansion th_warmth_slip(const th_ground *ground, const th_warmth *warmth, double half_diagonal);

#endif
