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
    double temperature;               /* of the tape (C) */
    double alone_factor; /* hold factor without the tabs that tie it; NAN: no tabs help */
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
    double deflection_margin; /* 1 % of the diameter over the springing of the cutter; NAN push */
    double
        offcut_margin;  /* lowest hold factor of frame and slugs of the same operation; NAN none */
    double chip_margin; /* largest chip over the stock's smallest sensible chip */

    double passes;  /* of this operation (all levels, places and sideways steps) */
    double minutes; /* cutting time of this operation with its rests */
} th_stage;

/* One change that restores the asked factor. */
typedef struct {
    const char *change;      /* "radial", "axial", "chip_load", "direction", "helix", "last pass",
                                "coverage", "bow", "preparation", "pressing", "wait", "cooling",
                                "tape" */
    const char *settings[4]; /* as --set takes them; the first `setting_count` are used */
    size_t setting_count;
    bool words; /* from_text and to_text hold the values, else from and to (core units) */
    double from, to;
    int kind; /* th_kind of from and to */
    const char *from_text, *to_text;
    const th_cut *cut;  /* the cut it changes, NULL for the hold */
    double hold_factor; /* with the change, as typed */
    double time_ratio;  /* cutting time with over without */
} th_turn_down;

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

typedef struct {
    th_arena arena;
    th_verdict verdict;
    bool estimate; /* a row that governs is below `published` */
    double hold_factor, asked_factor;
    size_t governs; /* position in stages */
    th_stage *stages;
    size_t stage_count;
    th_turn_down *turn_downs; /* fewest minutes first, changing over and waiting included */
    size_t turn_down_count;
    const th_turn_down *best_step; /* where no single change is enough: the one that gains most;
                                      NULL if none gains anything */
    bool turn_downs_tried;         /* false: the job holds, nothing was searched */
    th_proof_pull proof;
    th_order order;
    th_heights heights;
    double minutes; /* cutting time of the whole job */
    th_lines defaults, not_checked, cautions;
    const char *flips_if; /* the smallest single change that would flip the verdict */
    th_source *sources;
    size_t source_count;
} th_check;

typedef struct {
    bool turn_downs;           /* search for turn-downs when the job does not hold */
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

#ifdef __cplusplus
}
#endif
#endif
