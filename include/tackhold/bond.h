/* bond.h - traction in the tape and how it fails: area model, stack of interfaces, derating.
 *
 * Takes rows of tape, glue, plate and the conditions of the hold; the bonded area as a section;
 * and wrenches on the part. Gives tractions, design strengths and hold factors. Knows nothing of
 * who asks.
 */
#ifndef TACKHOLD_BOND_H
#define TACKHOLD_BOND_H

#include "tackhold/base.h"
#include "tackhold/tables.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- the bonded area as a plane section ------------------------------------------------------ */

/* Area, first and second moments about the origin of the job axes. Sections add and subtract. */
typedef struct {
    double area;          /* (mm2) */
    double sx, sy;        /* integral of x, of y (mm3) */
    double sxx, syy, sxy; /* integral of x^2, y^2, x y (mm4) */
} th_section;

/* Polygon by Green's theorem; positive whichever way the points run. count >= 3. */
th_section th_section_polygon(const th_point *points, size_t count);
th_section th_section_rectangle(double x0, double y0, double x1, double y1);
th_section th_section_disc(double x, double y, double diameter);
/* a + factor x b: factor 1 joins what does not overlap, -1 cuts out what lies inside, a coverage
 * scales. */
th_section th_section_add(th_section a, th_section b, double factor);

/* ---- area model: the part as a rigid plate on a uniform layer -------------------------------- */

/* Forces and moments on the part about the origin of the job axes at the bonded face. */
typedef struct {
    double fx, fy, fz; /* (N), + z lifts */
    double mx, my, mz; /* (N mm), right-handed about x, y, z */
} th_wrench;

/* The wrench of a force f at (x, y, z) plus a free torque about z (N mm). */
th_wrench th_wrench_of(double fx, double fy, double fz, double x, double y, double z,
                       double torque);

typedef struct {
    double area;             /* bonded area x coverage (mm2) */
    double cx, cy;           /* centroid (mm) */
    double ixx, iyy, ixy;    /* about the centroid: integral of y^2, x^2, x y, x coverage (mm4) */
    const th_point *corners; /* points at which traction is judged: the corners of the convex hull
                                of the bonded area; borrowed */
    size_t corner_count;
} th_bonded;

/* coverage in (0, 1]. Errors: TH_BAD_RANGE for an area or second moment not above zero. */
bool th_bonded_of(th_section section, double coverage, const th_point *corners, size_t corner_count,
                  th_bonded *bonded, th_error *err);

typedef struct {
    double lift;         /* normal traction, + pulls the part off (MPa) */
    double shear;        /* resultant in the plane (MPa) */
    double direct, turn; /* shear of the force alone, of the torque alone (MPa) */
} th_traction;

/* Shear: F/A plus twist about the centroid, T r/(Ixx + Iyy) (elastic method for eccentrically
 * loaded groups: Shigley, Mechanical Engineering Design, ch. 8-12). Lift: Fz/A plus bending about
 * both principal axes. */
th_traction th_area_traction(const th_bonded *bonded, const th_wrench *wrench, th_point at);

/* ---- strength -------------------------------------------------------------------------------- */

typedef enum { TH_SCUFFED, TH_WIPED, TH_AS_IS } th_preparation;
typedef enum { TH_WEIGHT, TH_ROLLER, TH_HAND } th_pressed;

typedef struct {
    const th_tape *above;  /* tape on the part */
    const th_tape *below;  /* tape on the sacrificial plate; NULL without glue */
    const th_glue *glue;   /* absent: one double-sided tape, `below` NULL */
    const th_plate *plate; /* sacrificial plate */
    double adhesion;       /* of the stock (-) */
    int cooling;           /* th_coolant_kind */
    int preparation;       /* th_preparation */
    int pressed;           /* th_pressed */
    double wait;           /* from gluing (or sticking) to cutting (s) */
    double temperature;    /* of the tape (C) */
} th_hold_state;

/* Each factor as it acts on one interface; 1 where it does not apply. */
typedef struct {
    double temperature, cooling, preparation, adhesion, pressing, wait;
} th_derating;

typedef struct {
    const char *name;     /* "part to tape", "tape backing", "tape to glue", "glue", ... (static) */
    double shear, lift;   /* short-time design strength, all factors in (MPa) */
    double time_exponent; /* n of (t / 3 s)^-n; 0: no loss with time */
    th_derating derating;
    const th_row_head *row; /* the row whose figures govern it */
} th_interface;

/* Why a hold has no strength at all. */
typedef enum { TH_USABLE, TH_TOO_WARM, TH_NOT_SET, TH_NOT_FOR_COOLING, TH_NO_ADHESION } th_unusable;

enum { TH_INTERFACES_MAX = 7 };

typedef struct {
    th_interface interfaces[TH_INTERFACES_MAX]; /* from the part down to the plate */
    size_t count;
    th_unusable unusable; /* other than TH_USABLE: the hold factor is 0 */
    size_t culprit;       /* the interface that makes it unusable */
} th_stack;

/* Strength of every interface in series:
 *   part to tape; tape backing; tape to glue; glue; glue to tape; tape backing; tape to plate
 * or, for a double-sided tape alone, part to tape; tape backing; tape to plate.
 * Multipliers: adhesion of the surface, preparation (scuffed 1, wiped 0.9, as-is 0.6) and pressing
 * (weight 1, roller 0.9, hand 0.7) on part-tape and tape-plate; wait on part-tape and tape-plate
 * 0.5 + 0.5 ln(t/5 min)/ln(24 h/5 min), never below 0 nor above 1; wait on the glue and its two
 * joints 0 before handling_time, rising with the logarithm of time to 0.6 at 10 min and 1 at
 * full_time; temperature f = strength_hot^(x^0.75), x = (T - 23)/(temperature_max - 23), 1 below
 * 23 C; cooling by each layer's own row, the plate's `wet` factor on tape-plate when not dry. A
 * joint of tape to glue takes the lower of glue row and backing in strength, temperature and
 * cooling. Time exponent: the tape's, but 0 for the glue itself.
 * A temperature above a layer's maximum, a wait before handling_time or a zero factor is no error:
 * it sets `unusable`. */
th_stack th_stack_of(const th_hold_state *state);

/* Factor for a load held `seconds`: (t / 3 s)^-n, 1 below 3 s. */
double th_time_factor(double seconds, double exponent);

/* The temperature factor above for one layer; 0 above temperature_max. */
double th_temperature_factor(double celsius, double temperature_max, double strength_hot);

/* ---- hold factor ----------------------------------------------------------------------------- */

/* sqrt( (max(lift, 0)/lift_d)^2 + (shear/shear_d)^2 ): quadratic interaction (Brewer and Lagace
 * 1988). Strengths > 0. */
double th_index(double lift, double shear, double lift_strength, double shear_strength);

/* 1/index, at most 1000. */
double th_hold_factor(double index);

/* How a bond lets go. The grip functions below give the first three; the rest are the reasons of an
 * unusable stack. */
typedef enum { TH_SLIDE, TH_LIFT, TH_TWIST, TH_HEAT, TH_WAIT, TH_COOLING, TH_ADHESION } th_way;
/* "slide", "lift", "twist", "heat", "wait", "cooling", "adhesion". */
const char *th_way_name(th_way way);
th_way th_unusable_way(th_unusable why);
typedef enum { TH_PEAK, TH_SUSTAINED } th_load_kind;

/* One load history on the part: a turn of the cutter seen from one place and heading. */
typedef struct {
    const th_wrench *wrenches;
    const double *weights; /* sum to 1; used for the sustained load only */
    size_t count;
} th_history;

typedef struct {
    double index;     /* of the governing place, instant and interface */
    size_t interface; /* in the stack */
    th_way way;       /* largest part of the index: lift; else torque over direct shear: twist; else
                         slide */
    th_point at;      /* the corner */
    size_t instant;   /* of the history (the largest for the sustained load) */
    double shear_peak, lift_peak; /* largest anywhere in this history (MPa), lift >= 0 */
} th_grip;

/* Largest index over instants, corners and interfaces, against the short-time strength.
 * The stack must be usable. */
th_grip th_grip_peak(const th_bonded *bonded, const th_stack *stack, const th_history *history);

/* Sustained: at each corner and interface (mean of index^(1/n))^n over the history, n the
 * interface's time exponent (n = 0: the largest), against strength x th_time_factor(seconds).
 * `enough`: corners whose largest index cannot reach this value are passed over (0: none). */
th_grip th_grip_sustained(const th_bonded *bonded, const th_stack *stack, const th_history *history,
                          double seconds, double enough);

#ifdef __cplusplus
}
#endif
#endif
