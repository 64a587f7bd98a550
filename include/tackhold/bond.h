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
#include "tackhold/plate.h"

#ifdef __cplusplus
extern "C" {
#endif

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
 * it sets `unusable`; of several reasons the one that no lighter cut or waiting mends comes first:
 * cooling, wait, warmth, adhesion. */
th_stack th_stack_of(const th_hold_state *state);

/* Factor for a load held `seconds`: (t / 3 s)^-n, 1 below 3 s. */
double th_time_factor(double seconds, double exponent);

/* The temperature factor above for one layer; 0 above temperature_max. */
double th_temperature_factor(double celsius, double temperature_max, double strength_hot);

/* ---- hold factor ----------------------------------------------------------------------------- */

/* sqrt( (max(lift, 0)/lift_d)^2 + (shear/shear_d)^2 ): quadratic interaction (Brewer and Lagace
 * 1988). Strengths > 0. */
double th_index(double lift, double shear, double lift_strength, double shear_strength);

/* 1/index, at most 1000; 0 where the index is infinite or no number. */
double th_hold_factor(double index);

/* How a bond lets go. The grip functions below give the first three; the rest are the reasons of an
 * unusable stack. */
typedef enum { TH_SLIDE, TH_LIFT, TH_TWIST, TH_HEAT, TH_WAIT, TH_COOLING, TH_ADHESION } th_way;
/* "slide", "lift", "twist", "heat", "wait", "cooling", "adhesion". */
const char *th_way_name(th_way way);
/* The way of an unusable stack; TH_ADHESION for what is none. */
th_way th_unusable_way(th_unusable why);
typedef enum { TH_PEAK, TH_SUSTAINED } th_load_kind;
/* "peak", "sustained". */
const char *th_load_name(th_load_kind load);

/* One load history on the part: a turn of the cutter seen from one place and heading. */
typedef struct {
    const th_wrench *wrenches;
    const double *weights; /* sum to 1; used for the sustained load only */
    size_t count;
    double standing_lift; /* pulls everywhere and always, on top: bowed stock held flat (MPa) */
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

/* ---- plate on a layer: the part as a flexible plate on the tape's springs ---------------------
 *
 * Four-node Mindlin plate elements with assumed transverse shear strains (MITC4: Bathe and Dvorkin
 * 1985), five unknowns a node: u, v, w and the slopes tx, ty of the plate's normal. The reference
 * plane is the bonded bottom face: u(z) = u + z tx, v(z) = v + z ty, so a step in thickness needs
 * no offset: stiffness A = Q t, B = Q t^2/2, D = Q t^3/3, transverse shear 5/6 G t. The tape is a
 * layer of springs per area, ks on u and v and kn on w, consistent over each cell and weighted by
 * its bonded fraction. Traction is that on the bonded material, displacement x unweighted k, so
 * that less tape never looks better. */

/* ---- one grid -------------------------------------------------------------------------------- */

/* One cell of a grid. */
typedef struct {
    double thickness; /* of the material (mm); 0: none */
    double bonded;    /* fraction of the cell that is stuck down, coverage included (0 to 1) */
    double filled;    /* fraction of the cell that is material (0 to 1): cells on an outline */
} th_plate_cell;

/* A spring from one node to the ground: an edge stop, a tab. */
typedef struct {
    size_t node; /* j (nx + 1) + i */
    double k[5]; /* on u, v, w (N/mm) and tx, ty (N mm/rad) */
} th_plate_spring;

typedef struct {
    double elastic_modulus; /* (MPa) */
    double poisson;         /* (-) */
    double kn, ks;          /* of the tape, per area (N/mm3) */
    double shear_scale; /* multiplies the transverse shear stiffness; 1, large for shear-rigid */
} th_plate_material;

typedef struct {
    size_t nx, ny;              /* cells along x and y, at least 1 */
    const double *xs, *ys;      /* nx + 1 and ny + 1 rising grid lines (mm) */
    const th_plate_cell *cells; /* cell (i, j) is cells[j nx + i] */
    th_plate_material material;
    const th_plate_spring *springs;
    size_t spring_count;
    const th_outline *edge; /* of the bonded region, where known; see th_plate_nodes */
} th_plate_grid;

/* Which solver factors the stiffness; each is the other's check. While the supernodal one works, it
 * sets OpenBLAS, where that is the BLAS, to one thread, and back afterwards. That setting is the
 * whole process's: no other thread may use the BLAS, or this solver, at the same time. */
typedef enum {
    TH_SOLVER_DEFAULT,    /* supernodal; where the library was built without it, by dissection */
    TH_SOLVER_SUPERNODAL, /* CHOLMOD's order and solution, fronts of our own */
    TH_SOLVER_BANDWIDTH,  /* a profile, nodes along the shorter side */
    TH_SOLVER_DISSECTION  /* fronts of our own, the grid cut in halves */
} th_solver_kind;

/* How to go about it; NULL or 0 stands for the default of each. Element size near a spot is the
 * smaller decay length / `per_length`, never above half the patch (nor asked below a quarter of the
 * thickness); beyond `reach` of every spot elements grow by about 1.3 at most from one to the
 * next, all sizes in proportion to 1/`per_length`. */
typedef struct {
    th_solver_kind solver;
    double memory;     /* most that factor and work space may take (bytes); default 1.5e9 */
    double per_length; /* elements per decay length; default 5 */
    double reach;      /* in bending lengths; default 1 */
    double most;       /* largest element anywhere (mm); default: by the decay lengths, and a
                          fortieth of the box of a sheet with an edge / (`per_length` / 5) */
    double tolerance;  /* of th_plate_refine (relative); default 0.01 */
} th_plate_options;

/* A grid with its stiffness factored; opaque. */
typedef struct th_plate_model th_plate_model;

/* Errors: TH_BAD_RANGE for a grid or material that makes no sense or for a part that nothing holds;
 * TH_NOT_POSSIBLE when it would need more memory than allowed (the message says how much);
 * TH_NOT_SOLVED when the factor fails its residual check; TH_NO_MEMORY. */
bool th_plate_model_make(const th_plate_grid *grid, const th_plate_options *options,
                         th_plate_model **model, th_error *err);
void th_plate_model_free(th_plate_model *model);

/* Places at which traction is judged: corners of cells with a bonded fraction above 0. A corner
 * that lies beyond the bonded material, where an edge cuts through cells, is judged at the nearest
 * place of the grid's `edge` instead or, without one, of the straight edge that the fractions of
 * the cells around suggest (which rounds sharp corners off). */
typedef struct {
    size_t count;
    const double *x, *y; /* (mm) */
    const double *area;  /* bonded area that a node stands for (mm2): sum of area x traction is the
                            load, exactly where no cell is cut */
    const size_t *node;  /* j (nx + 1) + i */
    const double *xs, *ys;   /* grid lines that the nodes sit on (mm), */
    size_t x_count, y_count; /* nx + 1 and ny + 1 of them */
} th_plate_nodes;

/* Belongs to the model. */
const th_plate_nodes *th_plate_model_nodes(const th_plate_model *model);

/* ---- loads ----------------------------------------------------------------------------------- */

/* Where a load acts: a square patch. Only its part over material carries load; the density there
 * is scaled to keep the force, and spread couples make up for the shift of its centroid, so that
 * the resultant acts at (x, y) exactly, however the patch is clipped. A patch of which less than a
 * twentieth is material grows until a twentieth is, up to 25-fold: slivers cannot take a load. */
typedef struct {
    double x, y;  /* centre (mm) */
    double patch; /* side (mm), > 0 */
} th_plate_spot;

typedef struct {
    th_plate_spot spot;
    double z;              /* height of fx and fy above the bonded face (mm) */
    double fx, fy, fz, mz; /* (N, N mm); mz is a couple of in-plane forces over the patch */
} th_plate_load;

typedef struct {
    size_t count;                 /* of nodes, in the order of th_plate_nodes */
    double *shear_x, *shear_y;    /* of the part on the tape (MPa) */
    double *lift;                 /* + pulls the part off (MPa) */
    double shear_peak, lift_peak; /* largest anywhere (MPa); lift_peak >= 0 */
    size_t shear_at, lift_at;     /* node index of each */
    double *displacement;         /* 5 for each grid node: u, v, w, tx, ty (mm, rad); 0 where there
                                     is no material */
} th_plate_field;

/* Traction under all loads together. Errors: TH_BAD_RANGE for a load off the material;
 * TH_NOT_SOLVED, TH_NO_MEMORY. */
bool th_plate_solve(const th_plate_model *model, const th_plate_load *loads, size_t count,
                    th_plate_field *field, th_error *err);
void th_plate_field_free(th_plate_field *field);

/* ---- influence ------------------------------------------------------------------------------- */

/* Unit loads of one spot, in this order: 1 N along x, y, z at the bonded face, 1 N mm about x, y,
 * z. A force at height z adds my = z fx and mx = -z fy. */
enum { TH_UNIT_FX, TH_UNIT_FY, TH_UNIT_FZ, TH_UNIT_MX, TH_UNIT_MY, TH_UNIT_MZ, TH_UNITS };

typedef struct {
    size_t spot;                     /* index in the list */
    th_plate_spot place;             /* it */
    const th_plate_nodes *nodes;     /* of the grid that solved this spot */
    const double *unit[TH_UNITS];    /* traction at node n: unit[u][3 n + 0..2] = shear x, y, lift
                                        (MPa for 1 N or 1 N mm) */
    const double *anchor[TH_UNITS];  /* motion u, v, w of spring a of the grid, anchor a of the
                                        sheet, at 3 a (mm); NULL without springs */
    double give[TH_UNITS][TH_UNITS]; /* give[a][b]: motion of the patch along a (mm, rad) under unit
                                        load b; symmetric */
} th_plate_influence;

/* Receives one spot at a time; what it points to is lost afterwards. False stops with the error
 * that it filled. */
typedef struct {
    bool (*take)(void *context, const th_plate_influence *influence, th_error *err);
    void *context;
} th_plate_sink;

/* Spots in their order, in blocks of right-hand sides. Errors: TH_BAD_RANGE for a spot off the
 * material, TH_NOT_SOLVED, TH_NO_MEMORY, those of the sink. */
bool th_plate_model_influence(const th_plate_model *model, const th_plate_spot *spots, size_t count,
                              th_plate_sink sink, th_error *err);

/* ---- grids made to measure ------------------------------------------------------------------- */

/* A spring from a place of the part to the ground: a tab to a frame that stays put. Sits on the
 * nearest node with material, half a cell of it if it can; grid lines are laid through it, unless
 * one runs within a tenth of an element. */
typedef struct {
    double x, y;       /* (mm) */
    double k[3];       /* on u, v, w (N/mm) */
    double bears;      /* force that it bears in the plane (N), */
    double bears_lift; /* and up or down */
} th_plate_anchor;

/* The part and its tape, to be laid out in cells. */
typedef struct {
    double x0, y0, x1, y1; /* box of the part (mm) */
    double thickness;      /* of the thinnest place that carries load; sets the element size (mm) */
    th_plate_material material;
    const double *lines_x, *lines_y; /* coordinates that must be grid lines: steps, straight edges
                                        (mm); may be NULL */
    size_t line_x_count, line_y_count;
    /* What lies in every cell of a grid, (i, j) at cells[j (x_count - 1) + i], which hold
     * `thickness` and `coverage` when it is called; NULL: everywhere those. False stops with the
     * error that it filled. */
    bool (*fill)(void *context, const th_grid_lines *lines, th_plate_cell *cells, th_error *err);
    void *context;
    const th_plate_anchor *anchors; /* may be NULL */
    size_t anchor_count;
    double coverage;
    const th_outline *edge; /* of the bonded region, borrowed by the grids; NULL: made out from the
                               cells, poorly at corners off the grid lines */
} th_plate_sheet;

/* Decay length of bending (D/kn)^(1/4), D = E t^3/(12 (1 - nu^2)) (beams on elastic beds: Hetenyi
 * 1946), and of in-plane load sqrt(E t/ks) (shear lag: Volkersen 1938); mm. */
double th_plate_bending_length(const th_plate_sheet *sheet);
double th_plate_shear_length(const th_plate_sheet *sheet);

/* A grid that owns its arrays. */
typedef struct {
    th_plate_grid grid;
    double *xs, *ys;
    th_plate_cell *cells;
    th_plate_spring *springs; /* of the sheet's anchors, in their order */
} th_plate_mesh;

/* Errors: TH_BAD_RANGE, TH_NOT_POSSIBLE (over 4 million cells), TH_NO_MEMORY. */
bool th_plate_mesh_make(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                        const th_plate_options *options, th_plate_mesh *mesh, th_error *err);
void th_plate_mesh_free(th_plate_mesh *mesh);

/* Influence of many spots on a large sheet: spots are gathered in windows of a few decay lengths,
 * each window is solved on the whole sheet with a grid that is fine in the window and coarse
 * outside. Spots come to the sink window by window, not in their order. Errors: those of
 * th_plate_mesh_make, th_plate_model_make and th_plate_model_influence. */
bool th_plate_sweep(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                    const th_plate_options *options, th_plate_sink sink, th_error *err);

/* Influence of many spots kept for as many load histories as one likes. Opaque. */
typedef struct th_plate_table th_plate_table;

/* Runs th_plate_sweep and keeps what it gives. Errors: TH_NOT_POSSIBLE when table and solver
 * together would take more than options->memory (the message says how much). */
bool th_plate_table_make(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                         const th_plate_options *options, th_plate_table **table, th_error *err);
void th_plate_table_free(th_plate_table *table);
/* One spot by its place in the list given; belongs to the table. */
const th_plate_influence *th_plate_table_at(const th_plate_table *table, size_t spot);
/* Memory that the table keeps (bytes). */
size_t th_plate_table_bytes(const th_plate_table *table);

/* ---- hold factor of the plate ---------------------------------------------------------------- */

/* Springs of the stack as traction sees them: those of its stiffest single tape layer, strength
 * over travel (N/mm3). `below` may be NULL. */
void th_hold_stiffness(const th_tape *above, const th_tape *below, double *kn, double *ks);

/* Small-strain shear spring of the stack: shear modulus over adhesive thickness of each tape layer,
 * in series, a double-sided tape having a layer on either face (N/mm3); gives sway. */
double th_hold_sway_stiffness(const th_tape *above, const th_tape *below);

/* Lift along the edges of a piece `length` long, out of stock that was bent by `bow` over a length
 * `over` and is held flat (mm): the curvature 8 bow/over^2 is undone by end moments D kappa on an
 * elastic foundation, p = kappa sqrt(D kn) (sinh x - sin x)/(sinh x + sin x), x = length
 * (kn/4D)^(1/4) (finite beam with end moments: Hetenyi, Beams on Elastic Foundation, 1946, ch. III;
 * from memory). (MPa) */
double th_bow_lift(const th_plate_material *material, double thickness, double bow, double over,
                   double length);

typedef struct {
    const th_stack *stack;     /* usable */
    const th_history *history; /* wrenches about the spot at the bonded face, (x, y, 0) */
    th_load_kind load;
    double seconds; /* sustained: how long the load acts */
    double enough;  /* places whose largest index cannot reach this are passed over (0: none); */
    double shear_seen, lift_seen; /* with it, tractions up to these need not be found for shear_peak
                                     and lift_peak (MPa; 0: none need) */
    const th_plate_anchor *anchors; /* those of the sheet; may be NULL */
    size_t anchor_count;
} th_plate_ask;

/* The index of every bonded node as th_grip_peak and th_grip_sustained define it, tractions by
 * superposition of the spot's unit loads. Twist is told from slide by what the torque about the
 * centroid of the bonded area would do to a rigid part, against the rest of the shear. With
 * anchors `anchor_index` is the largest of
 * force/bears over anchors and instants (in-plane and vertical shares added). */
typedef struct {
    th_grip grip;
    double anchor_index;
} th_plate_grip;
th_plate_grip th_grip_plate(const th_plate_influence *influence, const th_plate_ask *ask);
/* The same index at every node, into `index` (room for nodes->count); `enough` of the question and
 * what goes with it are left aside. */
void th_grip_plate_field(const th_plate_influence *influence, const th_plate_ask *ask,
                         double *index);

typedef struct {
    double shear_peak, lift_peak; /* (MPa) */
    double shear_x, shear_y;      /* where the shear is largest (mm) */
    double lift_x, lift_y;        /* where the lift is largest (mm) */
    double change; /* last relative change of the peak that moved more; what error is left is about
                      0.8 of it where the grid converges with the square of its size, twice it
                      where only with the size itself */
    double per_length; /* fineness of the last grid */
    size_t steps;      /* grids solved */
} th_plate_answer;

/* Peaks under all loads together, on ever finer grids until neither moves more than the
 * tolerance from one to the next, each 1.5 times finer. A peak below a thousandth of the
 * other is not asked to settle. Errors as th_plate_model_make; TH_NOT_SOLVED after 8 grids. */
bool th_plate_refine(const th_plate_sheet *sheet, const th_plate_load *loads, size_t count,
                     const th_plate_options *options, th_plate_answer *answer, th_error *err);

#ifdef __cplusplus
}
#endif
#endif
