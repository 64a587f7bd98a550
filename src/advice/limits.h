/* limits.h - inside advice/: how far one cut may be opened. */
#ifndef TACKHOLD_ADVICE_LIMITS_H
#define TACKHOLD_ADVICE_LIMITS_H

#include "judge.h"

/* One cut under examination. */
typedef struct {
    const th_job *job;
    const th_cut *cut; /* of the job */
    size_t which;      /* its position */
    th_judging own;    /* judges this cut alone */
    th_judging whole;  /* judges all */
    th_judging later;  /* judges those after it; the job has none, or they are tied: as whole */
    const th_ground *ground;
    bool *fails_anyway; /* cuts below the asked factor as the job stands, or short of their reserve
                           of heat, by position */
    bool *first_laps;   /* cuts whose first lap cuts the full width whatever they state, likewise */
    bool first_lap;     /* it is one of them */
    bool follows;       /* its depth is whatever the axial engagement is */
    bool keep_depth;    /* not now: the job's own depth is to be reached */
    bool slow;   /* the axial engagement shapes what is bonded: each value costs new tables */
    bool sketch; /* few radial engagements, each to some percent */
    double most; /* no axial engagement beyond this (mm) */
    th_limiter most_by;
    th_arena *arena;
    th_error *err;
} th_bounded;

typedef struct {
    double radial, axial; /* (mm) */
    bool keep_depth;      /* the job's own depth, where it would follow the axial engagement */
} th_engaged;

/* Measures of the load of one pass, for telling whether another pass is milder. */
enum { TH_MEASURES = 4, TH_PASSES_MOST = 3, ROW_ROOM = 80 };
typedef struct {
    double of[TH_PASSES_MOST][TH_MEASURES];
    size_t passes;
} th_severity;

/* What an engagement gives. `ratio`: the lowest of all margins over what is asked of them; 1 or
 * more is accepted. */
typedef struct {
    double ratio;
    th_limiter by;
    double bond; /* the lowest of those that bond, heat and sway give; NAN: not judged */
    double hold_factor, passes, minutes, cutting; /* hold_factor NAN: not judged */
    double power;                                 /* of the heaviest pass (W) */
    double warmest; /* that the tape gets in this cut (C); NAN: bond not judged */
    th_severity severity;
    bool idle;  /* the cut touches nothing that has to stay: there is nothing to judge it by */
    bool unfit; /* the hold is no good whatever the load, for this reason */
    th_way way;
    char row[ROW_ROOM]; /* id of what is unfit */
} th_look;

/* The settings that state an engagement, as `--set` takes them. */
enum { TH_SETTINGS_MOST = 3, TH_SETTING_ROOM = 120 };
typedef struct {
    char text[TH_SETTINGS_MOST][TH_SETTING_ROOM];
    size_t count;
} th_settings;
th_settings th_limit_settings(const th_bounded *b, th_engaged at);

/* A margin, or 0 where it is not a number: what is not known does not hold. */
double th_limit_sound(double margin);
/* What the job allows over what a stage sways and creeps; INFINITY where it asks for nothing. */
double th_limit_sway_margin(const th_job *job, const th_stage *stage);

/* How much of a look is wanted. */
typedef enum {
    TH_LOOK_CUTTER, /* spindle, cutter and chip alone */
    TH_LOOK_QUICK,  /* the bond on a coarse grid, to some percent, no more than it takes */
    TH_LOOK_WHOLE   /* as a check would */
} th_looking;

/* False only when memory runs out: an engagement that the job refuses has the ratio 0. */
bool th_look_at(const th_bounded *b, th_engaged at, th_looking how, th_look *look);

/* The whole job with the cut so engaged. */
typedef struct {
    bool holds;         /* the cut does, and no other fails that did not before */
    double hold_factor; /* of the cut */
    double other;  /* lowest margin of the others, those that fail anyway aside; INFINITY: none */
    size_t which;  /* whose that is; the cut itself where there is none */
    th_limiter by; /* what it would fail by: bond or heat */
} th_all;
bool th_look_all(const th_bounded *b, th_engaged at, th_all *all);
/* The same of the cuts after it alone, the only ones that feel it: `holds` says nothing of the cut,
 * and hold_factor is INFINITY. */
bool th_look_later(const th_bounded *b, th_engaged at, th_all *all);

/* Narrow the points to what the other cuts bear, telling which of them stands in the way. */
bool th_limit_others(const th_bounded *b, th_limit_cut *found, th_lines *notes);

/* The radial engagement that the cut has as the job stands. Needs its points. */
double th_limit_own_radial(const th_limit_cut *found);

/* A line that is not there yet. */
bool th_limit_note(th_lines *notes, th_arena *arena, const char *line);

/* Below this engagement nothing need be looked at until there: a margin of the bond so ample is not
 * lost before. */
double th_limit_next(double axial, double margin);

/* An engagement worth a look, no larger: where each costs new tables only few are. */
double th_limit_step(const th_bounded *b, double axial);

/* Depth that the levels of a cut share (mm). */
double th_limit_depth(const th_bounded *b);

/* Whether what holds no more would do so but for the warmth. `ratio`: its margin over what is
 * asked. */
bool th_limit_too_warm(const th_stage *stage, double ratio);

/* No measure of `a`, times `grows`, is above that of `b`, and all are numbers. */
bool th_milder(const th_severity *a, const th_severity *b, double grows);

/* Six significant digits, rounded down or up. */
double th_six_digits(double value, bool up);

/* Where to begin looking: at what axial engagement (mm), and as what power of it the margin of the
 * bond falls. */
typedef struct {
    double axial, steepness;
    double stated; /* known to hold (mm); 0: none is */
} th_guess;

/* The largest axial engagement at point->radial; the steepness seen is left in the guess. */
bool th_limit_axial(const th_bounded *b, th_guess *guess, th_limit_point *point);

/* For qsort, of th_limit_point: the faster first, of those that take as long the lighter. */
int th_limit_by_minutes(const void *a, const void *b);

/* The fastest pair of the cut; needs its points. */
bool th_limit_fastest(const th_bounded *b, th_limit_cut *found);

/* The next pair with so much less axial engagement (`share` below 1), at one level more at least,
 * that holds with the others as the job has them; `found` false: none. */
bool th_limit_milder(const th_bounded *b, const th_limit_point *pair, double share,
                     th_limit_point *milder, bool *found);

/* Change the fastest pairs until they hold all set at once, and sum up. bounds[i] belongs to
 * limits->cuts[i]. */
bool th_limit_together(const th_bounded *bounds, th_limits *limits);

#endif
