/* trial.h - inside advice/: one pass on one piece, held against the bond by both models. */
#ifndef TACKHOLD_ADVICE_TRIAL_H
#define TACKHOLD_ADVICE_TRIAL_H

#include "judge.h"

typedef struct {
    const th_job *job;
    th_ground *ground;
    th_plate_cache *cache;
    th_arena *arena;
    th_error *err;
    const th_stack *stack;      /* as warm as the cut makes it: names, strengths, why unusable */
    const th_stack *grip_stack; /* the same, or unit strengths where it is unusable, so that
                                   tractions can still be shown */
    double bowed_over;          /* longer side of the stock, over which it is bowed (mm) */
    double bounds[4];           /* of the stock before any cut (mm) */
    double sway_stiffness;      /* of the stack (N/mm3) */
    th_stack warmed;            /* what `stack` points to */
    th_lump_state warmth;       /* of part and sacrificial plate as the cuts so far left them (C) */
    double warm_seconds;        /* how long these took on one copy, rests included (s) */
    double temperature, part_temperature, local_rise; /* of the cut in hand, see th_stage */
    double passed; /* cutting time of the cuts before this one (min) */
    double enough; /* a stage whose hold factor falls below this need not be searched on */
    bool quick;    /* on a coarse grid alone */
    const bool *skip;
    bool factors_only;               /* see th_judging */
    bool keep_scenes;                /* see th_judging */
    const th_check_options *options; /* progress is told of */
    th_pass pass; /* the pass that `turn` was made for: first and last pass are often alike */
    th_turn turn;
    th_known *known; /* as th_judging has them */
    size_t changed;
} th_bench;

/* One pass at one height on one piece: what grips must bear. */
typedef struct {
    const char *name;
    const th_cut *cut;
    const th_bond_state *state;
    const th_piece *piece; /* of it */
    const th_sample *samples;
    size_t count;
    double floor;    /* height of the cutter's lowest point above the bonded face (mm) */
    double pressing; /* share of a downward force that counts (-) */
    double ratio;    /* peak_ratio (-) */
    double held;     /* (s) */
    int copy;        /* that the pass works on, 1-based; 0 all */
    int stops;       /* edge stops that the piece still leans on */
    th_spots spots;
} th_trial;

/* Stand in for the interface where no interface of the stack governs. */
#define TH_BY_TABS ((size_t)-1)
#define TH_BY_FRAME ((size_t)-2)

/* Places looked at on fine grids, at most. */
enum { TH_RIVALS_MAX = 6 };

/* The grid that an outcome was found on. */
typedef struct {
    th_plate_spot sites[TH_RIVALS_MAX]; /* of its table */
    size_t count;                       /* 0: by the area model */
    size_t site;                        /* where the load that governs enters */
    double per_length;                  /* its fineness */
    bool tied;                          /* with tabs */
} th_seen_on;

typedef struct {
    th_grip grip;
    th_load_kind load;
    const th_spot *spot;
    th_seen_on seen_on;
    double peak_index, sustained_index;
    const th_spot *peak_spot; /* where the peak load is worst, whichever load governs */
    double shear_peak, lift_peak;
    double force_angle; /* (deg), NAN none */
    double alone;       /* index without the tabs that tie the piece, 0: none do (-) */
    bool tabs_first;    /* of bond and tabs together the tabs give first */
    double tied, frame; /* index of bond and tabs together, and of what they are tied to; 0: there
                           are none */
    double unsettled; /* last move of what governs between two grids, where it never settled (-) */
} th_outcome;

/* The worst of all spots by the area model; sway and creep with it (mm). */
bool th_trial_area(const th_bench *bench, const th_trial *trial, th_outcome *outcome);
bool th_trial_sway(const th_bench *bench, const th_trial *trial, double *sway, double *creep);

/* The same by the flexible plate, refined until the index moves less than 1 %. With tabs the better
 * of two: the bond alone, or bond and tabs together as long as both bear it. */
bool th_trial_plate(const th_bench *bench, const th_trial *trial, th_outcome *outcome);

#endif
