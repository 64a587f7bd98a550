/* advice.h - margins for a whole job, what to turn down, the proof pull.
 *
 * Takes a job (tables.h), joins the load of its cuts (cutting.h) with the hold (bond.h), and gives
 * the answer as plain data. Makes no text for people but short phrases.
 */
#ifndef TACKHOLD_ADVICE_H
#define TACKHOLD_ADVICE_H

#include "tackhold/base.h"
#include "tackhold/tables.h"
#include "tackhold/cutting.h"
#include "tackhold/bond.h"
#include "tackhold/heat.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum { TH_HOLDS, TH_UNPROVEN, TH_LETS_GO } th_verdict;
/* "holds", "unproven", "lets go". */
const char *th_verdict_name(th_verdict verdict);
/* holds at or above `asked`, unproven from 1, lets go below 1. */
th_verdict th_verdict_of(double hold_factor, double asked);

/* A piece that is stuck down: the part cut free, stock that still holds the part, the frame round
 * it, or a slug inside an opening. */
typedef enum { TH_PIECE_STOCK, TH_PIECE_PART, TH_PIECE_FRAME, TH_PIECE_SLUG } th_piece_kind;
/* "stock", "part", "frame", "slug". */
const char *th_piece_name(th_piece_kind kind);

struct th_scene;

/* One operation and one piece: the worst of the states it goes through. */
typedef struct {
    const char *name;  /* "slot", "outline, freeing pass", ... */
    const th_cut *cut; /* belongs to the job */
    th_piece_kind piece;
    int copy;    /* 1-based */
    bool counts; /* enters the job's hold factor: a push does only among pushes, frame and
                    slugs only where they must stay */

    double bonded_area; /* x coverage (mm2) */

    /* rigid load on the part, x along the feed, y left, z up (push: job axes) */
    double x_mean, y_mean, z_mean; /* (N) */
    double in_plane_peak;          /* (N) */
    double lift_peak;              /* largest vertical force, signed (N) */
    double torque_peak;            /* (N mm) */
    double power;                  /* at the cutter (W); NAN for a push */
    double mean_chip, max_chip;    /* (mm); NAN for a push */
    double removal;                /* (mm3/min); NAN for a push */

    double peak_ratio;                      /* applied to the peak load (-) */
    double average_shear;                   /* in_plane_peak x peak_ratio / bonded_area (MPa) */
    double shear_peak, lift_peak_traction;  /* largest anywhere under the peak load, by the flexible
                                               plate (MPa) */
    double area_shear_peak, area_lift_peak; /* the same by the area model (MPa) */
    double area_hold_factor;                /* of the area model (-) */
    double standing_lift;                   /* of bowed stock held flat, part of every lift (MPa) */

    double design_shear, design_lift; /* short-time, of the governing interface (MPa) */
    th_derating derating;             /* of the governing interface */
    double time_factor;               /* of the sustained load (-) */
    double held;                      /* how long the load acts, for the sustained load (s) */
    double temperature;               /* of the tape: part and local rise together (C) */
    double part_temperature;          /* warmest that the part as a whole gets in the cut (C) */
    double local_rise;                /* above it under the cutter (K) */
    double alone_factor; /* hold factor without the tabs that tie it; NAN: no tabs help */
    double tied_factor; /* of tape and tabs together, and of the frame that they hang on, whether */
    double frame_factor; /* they help or not; NAN: there are none */
    bool tabs_first;     /* of tape and tabs together the tabs give first */
    double unsettled;    /* 0, or how much the plate's figures still moved on its finest grid (-) */
    double sway;         /* largest spring sideways under the peak load (mm) */
    double creep;        /* what stays of it after the cutting time (mm, estimate) */

    double hold_factor; /* the lower of peak and sustained */
    double peak_factor, sustained_factor;
    th_way way;
    th_load_kind load;
    const char *interface;  /* name of the governing interface */
    const th_row_head *row; /* the row that governs it */
    th_point at;            /* place in the bond that lets go first (mm) */
    th_point cutter_at;     /* where the cutter (or push) stands then (mm) */
    double heading;         /* direction of feed then, counterclockwise from +x (deg) */
    double force_angle;     /* direction of the in-plane force then, from +x (deg); NAN none */

    double spindle_margin;    /* power at the cutter that the machine has over power needed */
    double torque_margin;     /* spindle_torque over mean torque needed; NAN: the row has none */
    double breakage_margin;   /* strength of the cutter over its stress under the peak load */
    double deflection_margin; /* 1 % of the diameter over the springing of the cutter; NAN push */
    double
        offcut_margin;  /* lowest hold factor of frame and slugs of the same operation; NAN none */
    double chip_margin; /* largest chip over the stock's smallest sensible chip */

    const struct th_scene *scene; /* for th_map_run; belongs to the check, NULL none */

    double passes;  /* of this operation (all levels, places and sideways steps) */
    double minutes; /* cutting time of this operation with its rests */
} th_stage;
/* Whether the tabs break first, or the frame that they hang on lets go: no place in the bond under
 * the piece. */
bool th_stage_by_tabs(const th_stage *stage);
bool th_stage_by_frame(const th_stage *stage);

/* One change that restores the asked factor, or two where no single one does; where the hold as it
 * is bears nothing, another hold and what the cuts need with it, all at once. The tape then keeps a
 * reserve of heat too: a tenth of its rise over the room, 2 K at least (estimate), below every
 * layer's limit; and a cut that fails and begins wider than it states holds so at its full width
 * too. */
typedef struct {
    const char
        *change; /* "radial", "axial", "chip_load", "direction", "last pass", "finish", "skin",
                    "tabs", "speed", "rest", "helix", "smaller cutter", "fewer flutes", "wear",
                    "coverage", "bow", "preparation", "pressing", "wait", "cooling", "tape",
                    "glue", "plate", "stops"; of several all: "axial + coverage" */
    const char *const *settings; /* as --set takes them */
    size_t setting_count;
    bool words; /* from_text and to_text hold the values, else from and to (core units) */
    double from, to;
    int kind;                        /* th_kind of from and to */
    const char *from_text, *to_text; /* NULL for several: the settings say them */
    const th_cut *cut;  /* the cut it changes, NULL for the hold, a cutter and several */
    double hold_factor; /* with the change, as typed */
    double time_ratio;  /* cutting time with over without */
    double sway; /* with the change: the farthest that the part sways or creeps in a stage that
                    counts (mm) */
    bool sways;  /* that is beyond th_sway_limit */
} th_turn_down;
/* Whether a change multiplies the cutting time by more than this (practice): such are listed behind
 * all others. */
#define TH_TURN_SLOW 20.0
bool th_turn_down_slow(const th_turn_down *turn);

/* How far a part may spring or creep sideways before it is worth a word, where the job states no
 * sway_limit (mm, practice): as much as the fine general tolerance of ISO 2768-1 leaves a size of 6
 * to 30 mm to either side. */
#define TH_SWAY_PRACTICE 0.1
/* The job's sway_limit, or else TH_SWAY_PRACTICE (mm). */
double th_sway_limit(const th_job *job);

/* What a person pulls with a hand scale (N, practice). */
#define TH_PROOF_MOST 250.0

/* What a proof pull stops at. */
typedef enum {
    TH_PROOF_WHOLE,       /* nothing: it reaches 1.25 x the worst predicted demand */
    TH_PROOF_BOND,        /* half of the bond's design strength */
    TH_PROOF_HAND,        /* what a person pulls with a hand scale */
    TH_PROOF_USELESS,     /* one of the two, and that shows next to nothing of the demand */
    TH_PROOF_NO_STRENGTH, /* no pull: the hold has no strength, nothing to prove */
    TH_PROOF_BOWED,       /* no pull: bowed stock alone asks for half of the strength */
    TH_PROOF_TABS         /* no pull: tabs hold the part, which are not there before cutting */
} th_proof_limit;

/* A pull by hand and scale before cutting. */
typedef struct {
    th_point at;       /* where to pull, at the top of part or stock (mm) */
    double force[3];   /* x, y, z (N); never loads the bond above half its design strength */
    double load_share; /* share of the design strength that it loads the worst place to (-) */
    bool safe;         /* true: it reaches 1.25 x the worst predicted demand */
    bool possible;     /* false: there is no pull, `limit` says why */
    double covers;     /* share of the worst predicted demand that it brings to its place (-) */
    th_proof_limit limit;
} th_proof_pull;

/* An outline that frees the part before other cuts are done, against the same job with it moved
 * behind them. */
typedef struct {
    const th_cut *cut;                     /* NULL: nothing to move */
    double hold_factor, moved_hold_factor; /* of the whole job (-) */
} th_order;

/* Heights from the bonded face, + up (mm). */
typedef struct {
    double top;        /* of the stock: the usual work zero */
    double stack;      /* height of tape, glue and tape */
    double plate_top;  /* top of the sacrificial plate, below 0 */
    double through;    /* bottom of a through cut, below 0; NAN: the job has none */
    double into_plate; /* how deep through cuts go into the plate; NAN none */
    double plate_left; /* of the plate under them */
    double table;      /* the machine's table under the plate, below 0 */
} th_heights;

typedef struct {
    const th_row_head *row;
    th_table table;
} th_source;

/* How warm it is at one moment of the job, changing cutters left out. */
typedef struct {
    const th_cut *cut;
    double seconds;     /* since the first cut began (s) */
    double part, plate; /* as a whole (C) */
    double tape;        /* under the cutter (C) */
} th_warm_point;

/* Where warmth decides that a job does not hold, in metal: the same job with the share of the
 * cutting power that usually goes into the part (0.15, estimate), where its row has an upper value,
 * as the shipped ones do (0.3), and was not measured. It changes no verdict, and says what a
 * measured temperature would be worth. Where the edge rubs, and in drilling, TH_HEAT_SHARE_RUBBING
 * stays; share 0: nothing to tell, or nothing changes. */
typedef struct {
    double share;       /* that it was judged with (-) */
    double temperature; /* the warmest that the tape then gets (C) */
    double hold_factor;
} th_usual_heat;

struct th_comparison;
struct th_shop_record;
struct th_shapes;

typedef struct {
    th_arena arena;
    th_verdict verdict;
    bool estimate; /* a row that governs is below `published` */
    double hold_factor, asked_factor;
    size_t governs; /* position in stages */
    th_stage *stages;
    size_t stage_count;
    th_turn_down *turn_downs; /* fewest minutes first, changing over and waiting included; those
                                 that are slow behind the others, those that sway behind all */
    size_t turn_down_count;
    const th_turn_down *best_step; /* where no single change is enough: the one that gains most;
                                      NULL if none gains anything */
    bool turn_downs_tried;         /* false: the job holds, nothing was searched */
    const char *skin_note; /* that of `advice` which goes with turn-downs that leave a skin; NULL */
    th_lines advice; /* what no setting can say: that lighter makes it worse, and, where nothing
                        else helps, what else could hold the part */
    th_proof_pull proof;
    th_order order;
    th_heights heights;
    double minutes;      /* cutting time of the whole job */
    th_warm_point *warm; /* in order of time; of several copies what the first one sees */
    size_t warm_count;
    th_lines defaults, not_checked;
    th_lines cautions; /* the gravest first */
    th_usual_heat usual_heat;
    /* where outlines and pockets begin at the cutter's full width, though they state less, and that
     * is lower than the whole, or below the asked factor where the cut as stated is not: the
     * lowest; NAN: none */
    double full_width;
    const char *full_width_note; /* the first of `cautions` that says so; NULL: none */
    bool heat_first;             /* the first of them: the tape keeps too little reserve of heat */
    const char *flips_if;        /* the smallest single change that would flip the verdict */
    th_source *sources;
    size_t source_count;
    struct th_shapes *shapes;           /* outlines of the scenes */
    bool shapes_kept;                   /* by the work of its options, which must outlive it */
    const struct th_comparison *before; /* against another job, borrowed; NULL: not asked for, or */
    const char *before_refused;         /* why that one cannot be judged, borrowed; NULL: it can */
    const struct th_shop_record *record; /* of the shop's own log, borrowed; NULL: none. It changes
                                            no figure */
} th_check;

/* What judgements of one job and its variants have worked out (regions, tables of the plate), kept
 * from one call to the next: saves time, changes no result. One call at a time. */
typedef struct th_work th_work;
th_work *th_work_new(void); /* NULL when out of memory */
void th_work_free(th_work *work);

typedef struct {
    th_work *work;   /* NULL: nothing is kept; borrowed */
    bool turn_downs; /* search for turn-downs when the job does not hold */
    /* The area model alone, in milliseconds, for a first look: the part as if it did not bend, so
     * that corners seem to hold better than they do. Neither turn-downs nor proof pull nor order
     * are looked for. Never the base of a verdict. */
    bool rigid;
    const th_outline *outline; /* of part.outline, where the job names a file; borrowed */
    const th_outline *taped;   /* of hold.taped, in the job's axes; NULL or empty: everywhere */
    void (*progress)(void *context); /* called now and then during a long search; NULL: not */
    void *context;
} th_check_options;

/* Judge a job. Job and outlines must outlive the check. Errors: TH_MISSING where the job names a
 * file whose outline is not given, TH_CONTRADICTION and TH_NOT_POSSIBLE for cuts that miss the
 * part, leave almost no metal, break an edge that is still inside its sheet, or would take over a
 * million passes, TH_BAD_RANGE for a pass that the force model cannot take, TH_NO_MEMORY,
 * TH_NOT_SOLVED when a result is no number. */
bool th_check_run(const th_job *job, const th_check_options *options, th_check *check,
                  th_error *err);
void th_check_free(th_check *check);

/* ---- the map: what is stuck down, and how hard the tape is loaded -----------------------------
 */

/* One connected piece at one moment. All outlines of a map lie in its arena, in job axes. */
typedef struct {
    th_piece_kind kind;
    int copy;          /* 1-based; 0: of none */
    bool judged;       /* the state's stage is about this one */
    double area;       /* bonded, x coverage (mm2) */
    th_outline region; /* metal */
    th_outline bonded; /* where of it tape is; empty: nowhere */
} th_map_piece;

typedef struct {
    th_outline region;
    double thickness; /* left (mm) */
} th_map_floor;

/* What the axis of the cutter follows; one point: a place. */
typedef struct {
    th_point *points;
    size_t count;
    bool closed;
} th_map_path;

/* The bond at the worst moment of an operation. */
typedef struct {
    size_t stage; /* in check->stages: the worst that sees this state */
    th_map_piece *pieces;
    size_t piece_count;
    th_outline gone; /* cut through */
    th_map_floor *floors;
    size_t floor_count;
    th_map_path *paths; /* of its cut; of an outline, round the copy at hand */
    size_t path_count;
    th_point cutter_at; /* (mm) */
    th_point *tabs;     /* bridges that still tie parts to their frame (mm) */
    size_t tab_count;
} th_map_state;

/* Load over strength of the tape under the load that governs: the peak one at its worst instant, or
 * the sustained one over the turn. */
typedef struct {
    bool known;        /* false: no tape under the piece that governs, nothing below is filled in */
    bool by_plate;     /* by the flexible plate; false: by the area model, of a piece too short to
                          bend */
    bool by_tape;      /* false: tabs, or the frame behind them, govern, not the tape shown */
    bool has_strength; /* false: the hold has no strength; the index is then the traction in MPa,
                          hypot of shear and pull */
    double *xs, *ys;   /* grid lines, x_count and y_count rising ones (mm) */
    size_t x_count, y_count;
    double *index;   /* at the crossings, (i, j) at j x_count + i (-); NAN off the bond */
    double largest;  /* anywhere on the bond: 1/hold_factor, where the figures settled and the tape
                        governs */
    th_point worst;  /* where (mm) */
    double force[3]; /* x, y, z of that instant, or the mean of the turn (N) */
    th_load_kind load;
} th_map_field;

/* States that a person can look at. */
enum { TH_MAP_STATES = 8 };

typedef struct {
    th_arena arena;
    th_outline stock;  /* before any cut */
    th_outline *parts; /* with their openings, copy by copy */
    size_t part_count;
    th_outline taped; /* strips of tape; empty: tape everywhere */
    th_map_state
        *states; /* in order of time; where there are more, those of the lowest hold factors */
    size_t state_count;
    size_t left_out; /* states not among them */
    size_t governs;  /* in states */
    th_map_field field;
} th_map;

/* What a check found, as shapes and a field. `options` as for the check, which must have come from
 * th_check_run; the map borrows nothing from it. Errors: TH_BAD_USAGE for a check without stages
 * to draw; TH_NO_MEMORY, TH_NOT_SOLVED. */
bool th_map_run(const th_job *job, const th_check_options *options, const th_check *check,
                th_map *map, th_error *err);
void th_map_free(th_map *map);

/* ---- the stock and its hold ------------------------------------------------------------------ */

/* Region of one copy of the part, and of the whole stock (a sheet, or the part itself), in the
 * job's axes. `drawn`: the outline that the job names, NULL for none. Errors: TH_MISSING where it
 * is not given, those of th_shape_outline. */
bool th_part_region(const th_job *job, const th_outline *drawn, th_outline *part, th_error *err);
bool th_stock_region(const th_job *job, const th_outline *drawn, th_outline *stock, th_error *err);
/* Where copy n (1-based) lies from copy 1 (mm). */
th_point th_copy_offset(const th_job *job, int copy);
/* Strength of the job's hold at a temperature (C). */
th_stack th_job_stack(const th_job *job, double temperature);
/* Lift along the edges of a piece of bowed stock (MPa); `bowed_over`: the longer side of the stock,
 * `box` of the piece (mm). */
double th_standing_lift(const th_job *job, double bowed_over, const double box[4]);
/* What it counts for in a load held `held` (s): it has pulled all the wait as well. Against
 * strength as `held` leaves it, it weighs what it weighs against that of both times together, by
 * the largest time exponent of the tapes (MPa). */
double th_standing_aged(const th_job *job, double standing_lift, double held);

/* Where a turn of the cutter acts on the part, and which way it feeds. */
typedef struct {
    double x, y, z;      /* lowest point of the cutter in the job's axes (mm) */
    double cosine, sine; /* of the angle from x to the feed */
    double pressing;     /* share of a downward force that counts, 0 to 1 */
} th_stance;
/* Share of a down-cut helix's pressing that counts; all other pressing earns nothing (estimate). */
#define TH_PRESSING_SHARE 0.5

/* One sample of a turn as a wrench about the origin of the job's axes. `ratio` (> 0) scales the
 * force in the plane, the torque and a lifting force; a pressing one counts by its share alone. */
th_wrench th_wrench_under(const th_stance *at, const th_sample *sample, double ratio);
/* Edge stops (th_stops, or'ed) take off what pushes towards them, along the line through the
 * centroid; torque and tilting stay with the tape. */
void th_wrench_lean(int stops, const th_bonded *bonded, th_wrench *wrench);

/* ---- before and after ------------------------------------------------------------------------ */

/* Changes judged alone, at most. */
enum { TH_DIFFERENCES_JUDGED = 16 };

/* A key whose effective value differs between two jobs, defaults counted; of a cut or opening that
 * only one of them has, the section. */
typedef struct {
    const char *key;             /* "cut.1.axial", "cut.2" */
    const char *from, *to;       /* values; "" where there is none */
    const char *const *settings; /* that bring it into the job before, as --set takes them */
    size_t setting_count;        /* 0 where it takes taking something out of the file */
    bool follows;                /* from another one: neither job states it, or it goes with that */
    double hold_factor;          /* of the job before with this change alone; NAN: not judged */
    const char *why_not;         /* why it was not judged alone; NULL where it was, or follows */
} th_difference;

typedef struct th_comparison {
    th_arena arena;
    const char *title;                /* of the job before */
    double hold_factor, asked_factor; /* of the job before (-) */
    th_verdict verdict;
    const th_stage *governs; /* in the job before */
    th_difference *items; /* the largest effect first, then those not judged, then what follows */
    size_t count;
    size_t judged;
    bool whole;         /* every one that does not follow was judged */
    double each;        /* product of what each alone makes of the hold factor (-), NAN unknown */
    double all;         /* what all together make of it (-), NAN where it was 0 */
    double interaction; /* the rest, all / each (-), NAN unknown */
} th_comparison;

/* What is compared; all of it borrowed, and the jobs must outlive the comparison. */
typedef struct {
    const th_job *before, *now;
    const th_check_options *before_options, *now_options; /* outlines and progress */
    double now_factor;                                    /* hold factor of `now` */
    th_units units;                                       /* of the values in the result */
} th_compared;

/* What changed between two jobs, and what each change alone does to the hold factor of the job
 * before: it is judged whole with nothing but that change. Errors as th_check_run for the job
 * before; a change that is not possible alone is no error but told so. */
bool th_compare(const th_compared *jobs, th_comparison *comparison, th_error *err);
void th_comparison_free(th_comparison *comparison);

/* ---- which tape and glue ----------------------------------------------------------------------
 */

/* One tape on both faces with one glue between, or a double-sided tape alone. */
typedef struct {
    const th_tape *tape;
    const th_glue *glue;
    bool usable;        /* not forbidden in this cooling, not too warm, set, and sticking at all */
    const char *why;    /* what stands against it: why it is unusable, or who weakens it most */
    double hold_factor; /* of the whole job with it, 0 where it is unusable (-) */
    double temperature; /* warmest that it gets under a cut that counts (C) */
    double sway;        /* farthest that the part springs sideways on it (mm) */
    double full_width;  /* where it holds: least of the cuts that begin wider than they state, at
                           the full width of their cutters; NAN: none do, or it does not hold (-) */
    bool own;           /* what the job itself says */
} th_hold_choice;

typedef enum {
    TH_EVERY_TAPE,
    TH_DRY_TAPES,    /* that do not stand water */
    TH_COOLANT_TAPES /* that do */
} th_tapes_shown;

typedef struct {
    th_arena arena;
    th_hold_choice *items; /* usable ones first, then by hold factor */
    size_t count;
    double wait; /* shortest longer wait after gluing that would be enough for the job's own hold,
                    no other tape needed (s); NAN: none, or the job holds as it stands */
    double waited_factor; /* hold factor of the job with it (-) */
} th_hold_choices;

/* The whole job held against every tape and glue of its tables, in its own cooling and wait. Errors
 * as th_check_run. */
bool th_hold_choices_find(const th_job *job, const th_check_options *options, th_tapes_shown shown,
                          th_hold_choices *choices, th_error *err);
void th_hold_choices_free(th_hold_choices *choices);

/* ---- odds ------------------------------------------------------------------------------------ */

/* Standard normal distribution: chance of a value below x, and the x below which lies the share p
 * (Wichura 1988, algorithm AS 241); p in (0, 1). */
double th_normal_below(double x);
double th_normal_quantile(double p);

enum { TH_SOBOL_MOST = 8, TH_SOBOL_BITS = 32 };

/* Sobol points in Gray-code order, direction numbers of Joe and Kuo 2008, each stream scrambled on
 * its own: a random lower triangular matrix over the digits (Matousek 1998) and a digital shift. */
typedef struct {
    unsigned directions[TH_SOBOL_MOST][TH_SOBOL_BITS];
    unsigned state[TH_SOBOL_MOST];
    unsigned long long index;
    int dimensions;
} th_sobol;
/* dimensions from 1 to TH_SOBOL_MOST; seed 0: not scrambled. */
void th_sobol_start(th_sobol *sobol, int dimensions, unsigned long long seed, unsigned stream);
/* The next of 2^32 points, each coordinate in the middle of its cell of 2^-32, so never 0 or 1. */
void th_sobol_next(th_sobol *sobol, double *point);

/* First-order reliability. */
enum { TH_RELIABILITY_MOST = 8 };
typedef struct {
    double beta;                       /* distance of the design point from the origin; below 0:
                                          the origin fails (-) */
    double chance;                     /* of failure, by the tangent plane at the design point */
    double at[TH_RELIABILITY_MOST];    /* design point, standard normal space */
    double share[TH_RELIABILITY_MOST]; /* alpha^2 of each input, sum 1 */
    bool settled;
} th_reliability;
/* Above 0: holds. */
typedef double (*th_limit)(void *context, const double *u);
/* Design point of a limit over `count` independent standard normal inputs (Hasofer and Lind 1974;
 * iteration of Rackwitz and Fiessler 1978, its step halved until the merit function of Zhang and
 * Der Kiureghian 1995 falls). `from`: where to start, NULL the origin; a limit with a kink may have
 * a nearer design point that a start on its flat side does not find. */
th_reliability th_reliability_of(th_limit limit, void *context, int count, const double *from);

/* What scatters. The bond of part, plate and inside (backings and glue) have independent strengths:
 * links of one chain, so this gives the higher chance. */
typedef enum {
    TH_ODDS_PART_FACE,
    TH_ODDS_PLATE_FACE,
    TH_ODDS_INSIDE,
    TH_ODDS_FORCE,
    TH_ODDS_COVERAGE,
    TH_ODDS_RUNOUT,
    TH_ODDS_WARMTH,
    TH_ODDS_INPUTS
} th_odds_input_kind;

typedef struct {
    const char *name;   /* "tape on the part", "cutting force", ... */
    const char *law;    /* "lognormal", ... */
    double middle;      /* median: strength over the row's, force over the rigid model's, coverage,
                           runout over the cutter's (-); room temperature (C) */
    double spread;      /* coefficient of variation (-), of coverage the standard deviation of its
                           log-odds (-), of warmth the standard deviation (K) */
    double decides;     /* its value where the job lets go, of a strength where its own layer does,
                           first or not: mean in standard deviations over those samples, in the unit
                           of `middle`; where the limit is a plane at the distance beta, alpha times
                           phi(beta) / Phi(-beta) of them from the middle. NAN: a strength whose
                           layer lets go in fewer than one in a thousand of them, or too few to tell
                           */
    double share;       /* square of the direction in which a link's samples lie that it lets go in
                           (or, the fewer, those that it holds in), over the links as often as each
                           is the first: alpha^2 where a link's limit is a plane; sum 1 */
    const char *source; /* of the spread */
    int trust;          /* th_trust */
} th_odds_input;

typedef struct {
    th_arena arena;
    double hold_factor, asked_factor;
    th_verdict verdict;
    bool possible;   /* false: no odds, `why` says why: no strength, certain to let go even
                        where each input stands 5.2 standard deviations to the good, or the
                        tabulated response off by more than 2 % of the hold factor */
    const char *why; /* NULL where possible */

    double chance;           /* of letting go (-) */
    double low, high;        /* 95 % interval, from the scatter of independent randomisations and
                                the error of the tabulated response */
    double first_order;      /* by first-order reliability, the likeliest alone (-) */
    double first_order_most; /* all that may let go as if independent: upper bound (Cornell 1967) */
    double beta;             /* of the likeliest */
    bool settled;            /* its iteration */
    const char *weakest;     /* stage that lets go likeliest, e.g. "cut.2 outline, freeing pass" */
    const char *where;       /* "tape on the part", ..., "too warm" */
    double samples;          /* rounded up to randomisations x a power of two */
    int randomisations;
    unsigned long long seed;
    double response_error; /* largest over fresh judgements (share of the hold factor) */
    size_t judgements;     /* made for the table */
    size_t checks;         /* made to check it */
    size_t links;          /* what a cut does to pieces of a kind x layers, that may let go */
    th_odds_input inputs[TH_ODDS_INPUTS];
    th_lines assumed, left_out;
} th_odds;

typedef struct {
    double samples;                 /* 1 to 1e9; 0: 262144 */
    unsigned long long seed;        /* 0: 1 */
    double spreads[TH_ODDS_INPUTS]; /* above 0: instead of the usual ones */
    const th_check_options *check;  /* outlines and progress; not NULL */
} th_odds_options;

/* Chance that a job lets go, from the scatter of strength, force, coverage, runout and warmth.
 * Errors as th_check_run, and TH_BAD_RANGE for samples. */
bool th_odds_run(const th_job *job, const th_odds_options *options, th_odds *odds, th_error *err);
void th_odds_free(th_odds *odds);

/* ---- own pull tests -------------------------------------------------------------------------- */

/* Most tests of one kind, and the fewest that give a limit. */
enum { TH_PULLS_MIN = 2, TH_PULLS_MAX = 1000 };

/* How the joint was pulled. */
typedef enum { TH_PULL_SHEAR, TH_PULL_LIFT, TH_PULL_KINDS } th_pull_kind;
/* "shear", "lift"; -1 for another word. */
const char *th_pull_kind_name(th_pull_kind kind);
int th_pull_kind_of(const char *word);

/* Where the joint came apart. */
typedef enum {
    TH_PULLED_PART_TAPE,
    TH_PULLED_BACKING,
    TH_PULLED_TAPE_GLUE,
    TH_PULLED_GLUE,
    TH_PULLED_TAPE_PLATE,
    TH_PULLED_PLACES
} th_pull_place;
/* "part-tape", "backing", "tape-glue", "glue", "tape-plate"; -1 for another word. */
const char *th_pull_place_name(th_pull_place place);
int th_pull_place_of(const char *word);

/* "dry", "mist", "water", "oil"; -1 for another word. */
const char *th_pull_cooling_name(th_coolant_kind cooling);
int th_pull_cooling_of(const char *word);

/* One joint pulled apart. */
typedef struct {
    int line;           /* of the file, 0 none */
    int kind;           /* th_pull_kind */
    int place;          /* th_pull_place */
    double area, force; /* bonded (mm2); at which it let go (N) */
    double temperature; /* (C), NAN not noted */
    int cooling;        /* th_coolant_kind, -1 not noted */
    double hold;        /* how long the load was on (s), NAN not noted */
    const char *date;   /* YYYY-MM-DD, NULL not noted */
} th_pull;

/* k of the one-sided tolerance limit: mean - k s of n normal readings lies below what `share` of
 * all of them reach, with `confidence`. n from TH_PULLS_MIN to TH_PULLS_MAX, share and confidence
 * from 0.5 to 0.999. The noncentral t distribution, integrated (NIST/SEMATECH e-Handbook 7.2.6.3,
 * ISO 16269-6); good to 10 digits. Errors: TH_BAD_RANGE. */
bool th_tolerance_factor(int n, double share, double confidence, double *k, th_error *err);

/* Grubbs' critical value: how many standard deviations the outermost of n normal readings lies from
 * their mean on one side, and no more but with chance `significance` (NIST/SEMATECH e-Handbook
 * 1.3.5.17.1). INFINITY for n below 3. */
double th_outlier_limit(int n, double significance);

/* What the tests of one kind say; count 0: there were none, nothing else is set. Strengths are
 * log-normal: mean, deviation and limit are those of their logarithms. */
typedef struct {
    size_t count;
    double mean;            /* geometric (MPa) */
    double lowest, highest; /* (MPa) */
    double log_deviation;   /* of ln strength, n - 1 below (-) */
    double scatter;         /* coefficient of variation, sqrt(exp(log_deviation^2) - 1) (-) */
    double k;               /* (-) */
    double limit;           /* mean exp(-k log_deviation) (MPa) */
    double short_hold;      /* (shortest hold / 3 s)^n, at most 1; 1 without a row to compare (-) */
    double strength; /* limit x short_hold, four digits, rounded down: what a row takes (MPa) */
    size_t places[TH_PULLED_PLACES]; /* tests that failed there */
    int outlier_line;                /* of the test that lies apart, 0 none */
    double outlier;                  /* its strength (MPa) */
    bool outlier_low;
} th_pull_group;

typedef struct {
    double share, confidence; /* (-) */
    const th_tape *like;      /* row that gives the other figures; NULL: none, no row is made */
    th_units units;           /* of cautions and defaults; a row and its reasons are metric */
} th_pull_options;

typedef struct {
    th_arena arena;
    double share, confidence;
    th_pull_group groups[TH_PULL_KINDS];
    const th_tape *like; /* as given */
    th_units units;
    th_tape row;      /* with `like` only; head.id is NULL; texts live in the arena */
    th_lines reasons; /* how the figures of the row were reached */
    th_lines cautions, defaults;
} th_pull_result;

/* Strengths from pull tests, and the tape row they make: strengths from the tests, rounded down and
 * never raised; the springs of `like` (travel goes with strength), stiffer where its peel energy
 * asks for it; a kind that was not tested is lowered with the other, never raised, and then the row
 * is no more trusted than `like`. backing_* are set where the backing failed. Pulls and options
 * must outlive the result. Errors: TH_MISSING, TH_BAD_RANGE, TH_CONTRADICTION, TH_NO_MEMORY. */
bool th_pulls_judge(const th_pull *pulls, size_t count, const th_pull_options *options,
                    th_pull_result *result, th_error *err);
void th_pull_result_free(th_pull_result *result);

/* ---- what held: the shop's own log ------------------------------------------------------------
 */

/* What became of the part: it stayed put, it shifted but stayed on, or it came off. */
typedef enum { TH_HELD, TH_MOVED, TH_LET_GO, TH_LOG_OUTCOMES } th_log_outcome;
/* "held", "moved", "let-go"; -1 for another word. */
const char *th_log_outcome_name(th_log_outcome outcome);
int th_log_outcome_of(const char *word);

/* One job that was run, and what was said of it then. Texts are "" where there is nothing. */
typedef struct {
    int line;            /* of the log, 0 none */
    const char *when;    /* UTC, "2026-01-31T14:05:09Z" */
    const char *program; /* version that judged it */
    int outcome;         /* th_log_outcome */
    int verdict;         /* th_verdict */
    int estimate;        /* 1: a row that governs was below `published` */
    double hold_factor, asked_factor;
    const char *title;
    const char *stage, *piece;            /* that governs: "cut.1 slot", "stock" */
    const char *way, *load, *interface;   /* "slide", "peak", "part to tape" */
    const char *stock, *machine, *cutter; /* ids of rows; the cutter of the stage */
    const char *tape, *tape_below, *glue, *plate, *cooling, *preparation;
    int cooling_kind;   /* th_coolant_kind */
    double coverage;    /* (-) */
    double wait;        /* from gluing to cutting (s) */
    double area;        /* bonded, of the stage (mm2); NAN none */
    double temperature; /* of the tape, of the stage (C); NAN none */
    double minutes;     /* cutting time of the job; NAN none */
    const char *note;
} th_log_record;

/* What is to be noted of a job that was judged. Its texts are borrowed from job and check or live
 * in the arena; `when` and `note` are left "" for the caller. Errors: TH_NO_MEMORY. */
bool th_log_record_of(const th_job *job, const th_check *check, th_log_outcome outcome,
                      th_arena *arena, th_log_record *record, th_error *err);

/* How jobs held that are like this one: same tape, tape below and glue by id, same kind of cooling.
 * Nothing else is asked to be alike: a count, no model. */
typedef struct th_shop_record {
    size_t counts[TH_LOG_OUTCOMES];
    double held_least;                    /* lowest hold factor among those held; NAN none */
    double failed_least, failed_greatest; /* hold factors of those that moved or let go; NAN none */
} th_shop_record;
/* False where none is like it. */
bool th_shop_record_of(const th_log_record *records, size_t count, const th_job *job,
                       th_shop_record *record);
/* The same count of every record given. */
th_shop_record th_shop_record_all(const th_log_record *const *records, size_t count);

/* Which records are asked for. */
typedef struct {
    const char *tape; /* id, on the part or below; NULL any */
    int outcome;      /* th_log_outcome, -1 any */
    size_t last;      /* of those that pass, the last so many; 0 all */
} th_log_filter;
/* The records that pass, in their order; `chosen` has room for `count`. How many. */
size_t th_log_select(const th_log_record *records, size_t count, const th_log_filter *filter,
                     const th_log_record **chosen);

/* ---- limits of engagement ----------------------------------------------------------------------
 */

/* What keeps the axial engagement from being larger. Bond and heat with their reserves: the asked
 * factor, and an estimate of how well the warmth is known. */
typedef enum {
    TH_BY_BOND,
    TH_BY_SPINDLE_POWER,
    TH_BY_SPINDLE_TORQUE,
    TH_BY_DEFLECTION,
    TH_BY_BREAKAGE,
    TH_BY_CHIP, /* largest chip below the stock's smallest sensible one */
    TH_BY_HEAT, /* the tape gets too warm, or would hold but for losing over half by warmth */
    TH_BY_SWAY, /* the job's sway_limit; never where it states none */
    TH_BY_FLUTE_LENGTH,
    TH_BY_PLATE_THICKNESS, /* nothing is left to cut: the whole depth in one pass, or the part */
    TH_BY_HELIX, /* of a hole: deeper a turn its helix would be steeper than an end mill is sent */
    TH_LIMITERS
} th_limiter;
/* "bond", "spindle_power", ... */
const char *th_limiter_name(th_limiter limiter);

/* Of the cutter's diameter, no wider than which the strips of pockets and faces surely meet
 * (practice): a fastest pair keeps to it, but for a job's own engagement. */
#define TH_STRIPS_MEET 0.9

/* Every axial engagement from `least` to `axial` holds at this radial one. */
typedef struct {
    double radial;
    double axial;       /* 0: none holds (mm) */
    double least;       /* the shallowest that holds: less would take too long, or be no cut (mm) */
    th_limiter limiter; /* what fails beyond, or what fails everywhere */
    double hold_factor; /* of this cut at the largest axial; NAN where none holds */
    double passes, minutes; /* of the cut there; NAN likewise */
} th_limit_point;

typedef struct {
    const th_cut *cut;      /* of the job */
    bool radial_fixed;      /* the operation leaves no choice: one point */
    bool first_lap;         /* for an outline's first lap cuts the full width: that is the point */
    bool depth_follows;     /* its depth is the axial engagement, as the job leaves it out */
    th_limit_point *points; /* radial rising */
    size_t point_count;
    bool sketched;          /* by th_limits_sketch */
    bool possible;          /* the figures of the fastest pair below hold good */
    th_limit_point fastest; /* its `least` equals its `axial`; hold_factor: all pairs set at once */
    bool given_up;          /* a pair holds, but none was found that does with those of others */
    bool own_holds;         /* every margin holds at the job's own engagement */
    th_limiter own_limiter; /* else what fails there */
    bool lap_holds;         /* with first_lap, of that lap; else as own_holds */
    th_limiter lap_limiter; /* likewise */
    double first_strip;  /* of a pocket, whose levels begin with a strip as wide as the cutter, the
                            largest axial engagement of that; the fastest pair keeps to it. NAN:
                            it is not asked about (mm) */
    bool own_bond_holds; /* with the asked factor, in the job as it stands */
    const char *never;   /* no engagement would hold, and why (cooling, glue not set, surface) */
    bool idle;           /* the reason being that it touches nothing that has to stay: not judged */
} th_limit_cut;

typedef struct {
    th_arena arena;
    double asked_factor;
    th_limit_cut *cuts; /* those asked for, without pushes and drilling */
    size_t cut_count;
    struct {
        bool any;           /* there is a fastest pair; else nothing below is meant */
        double hold_factor; /* of the job with all of them set, those aside left out */
        double job_factor;  /* of the whole job so, those aside too */
        double minutes;     /* of the job so */
        th_lines aside; /* sections of the cuts that fail all the same, as the job states them */
    } together;
    th_lines notes;
} th_limits;

/* How far each cut may be opened: for radial engagements from 2 to 100 % of the diameter (full
 * width alone for an outline out of a sheet whose kerf no earlier cut has opened) the largest axial
 * one for which hold factor (asked_factor), spindle, cutter, chip and sway hold, all else being as
 * the job says (its chip load, the depth of a slot that states none following the axial). Found by
 * bracketing; the end of each range is judged whole, and inside it whatever is not plainly milder
 * is judged too. Engravings and chamfers have but one radial, and their axial is the depth.
 * Other cuts must hold as they did before, those that fail anyway are left aside and noted; where
 * another would fail the range ends, its limiter is bond or heat, and a note names that cut.
 * Where that splits a range it is the part with the job's own engagement, else the upper one that
 * is more than a sliver.
 *
 * The fastest pair cuts the job's own depth in the least time, and is one to type: in the job's
 * unit, of three decimals of a mm or four of an inch (more where so few leave nothing that holds),
 * judged as rounded; what the job itself states stays as stated. Slots, outlines and holes keep
 * their radial for it: it is what there is to take. All pairs set at once hold, and each of them by
 * itself, cuts that fail all the same left aside: where heat and time add up over the cuts, pairs
 * give way to milder ones, the job's own included, those first that cost least time.
 *
 * `cutter`: only cuts with this cutter, by its name in the job or its row; NULL all. Errors: those
 * of th_check_run, and TH_MISSING where no such cut exists. */
bool th_limits_run(const th_job *job, const th_check_options *options, const char *cutter,
                   th_limits *limits, th_error *err);
/* The same for one cut, for a chart: at fewer radial engagements, the largest axial one to about
 * 5 %, other cuts left aside, no fastest pair. */
bool th_limits_sketch(const th_job *job, const th_check_options *options, const th_cut *cut,
                      th_limits *limits, th_error *err);
/* The cut that a sketch is worth: the one that decides, where it can be opened, else the weakest
 * that can; NULL: none. */
const th_cut *th_limits_worth(const th_check *check);
void th_limits_free(th_limits *limits);

#ifdef __cplusplus
}
#endif
#endif
