/* loads.h - inside program/: the state of the loads. */
#ifndef TACKHOLD_PROGRAM_LOADS_H
#define TACKHOLD_PROGRAM_LOADS_H

#include "force.h"
#include "pieces.h"

/* Lines of a program told one by one. */
enum { LINES_MOST = 50000000 };

/* What a piece is, and the corners of its bonded area. */
typedef struct {
    bool known;
    th_piece_kind kind;
    int copy;
    double core; /* of a slug that the job tells of no opening for, its area (mm2); else 0 */
    bool counts;
    th_point *corners;
    size_t corner_count;
    double area;  /* bonded when the corners were found (mm2) */
    size_t loose; /* from 1 on, of the list of pieces set free; 0: it is not */
    size_t cuts;  /* how many steps had cut through when it was set free */
} piece_state;

/* How warm it is under a step (C, K), and what share of a drill's lift a plunge has that goes
 * through: none where it had next to nothing before it. The tape's warmth is that under the cutter;
 * where that is beyond the parts, theirs gets no warmer than `parts` (C). */
typedef struct {
    double tape, parts, part, local;
    double lifts;
    double body, of_body; /* area that had what went in (mm2); what a wall got of that */
    double elsewhere;     /* of `part`, what cuts elsewhere have brought (K) */
} step_warmth;

/* Metal no thicker than this ties nothing together (mm): as advice has it, an estimate, and what
 * decimals and inches of a program may add to it. */
#define SKIN_JOINS 0.2001

/* A step that cut through. */
typedef struct {
    size_t number; /* of them, from 0 on */
    th_step step;
    double wear;
    double held;
    step_warmth warmth;
} opening_step;

/* A turn held against a piece. */
typedef struct {
    const step_force *force;
    th_bonded bonded;
    const th_stack *stack;
    th_stance at;
    int stops;
    double standing_lift, held;
    size_t piece;
    double diameter;    /* of the cutter (mm) */
    bool drills, opens; /* goes straight down; cuts through */
} grip_case;

/* The local rise of a step, kept by what it depends on. */
typedef struct {
    unsigned long long key; /* 0: none */
    double rise;            /* (K) */
} kept_rise;

/* The heat that passes have left along a tile of the stock, by length of path: the youngest last.
 */
enum { TILE_PASSES = 8 };
typedef struct {
    float heat[TILE_PASSES]; /* into one side of the kerf (J/mm) */
    float at[TILE_PASSES];   /* when the cutter was there (s) */
    float low[TILE_PASSES];  /* between which heights it entered (mm) */
    float high[TILE_PASSES];
    unsigned ramp[TILE_PASSES]; /* number of the ramp it was; 0: none */
    float touched;              /* when it was last (s) */
    int count;
} warm_tile;

/* A stretch of a path that sinks all along: its length in plan (mm), and at how many of its ends
 * the path went on ahead. One that is not over yet has no end. */
enum { RAMPS_KNOWN = 64 };
typedef struct {
    double length;
    int open_ends;
} ramp_line;
typedef struct {
    ramp_line lines[RAMPS_KNOWN]; /* by number, from 1 on, the oldest overwritten */
    unsigned count;
    bool on; /* the last of them goes on */
} ramp_lines;

/* What a cutter clears that moves about: a pocket, or a hole while it is bored. */
typedef struct {
    double box[4];         /* of all that was swept (mm); x0 above x1: none yet */
    double swept;          /* area that one pass after the other took (mm2) */
    double seconds, joule; /* cutting, and what went in (s, J) */
    double floored;        /* of it beside which a floor was left (mm2) */
    double rise;           /* of one W, kept for `kept_for` (K) */
    double kept_for[3];    /* side of the patch, thickness (mm), seconds */
} cleared_place;

/* What earlier visits have brought to a spot, and when the last of them ended; the youngest last.
 */
enum { SPOT_VISITS = 6 };
typedef struct {
    double joule[SPOT_VISITS], ended[SPOT_VISITS]; /* (J, s) */
    int count;
} spot_visits;

/* A wall beside the path: where the cutter was when it last stood right beside it (NAN: none on
 * this path), and its height (mm). */
typedef struct {
    th_point from;
    double height;
} seen_wall;

/* How a step stands in the stock, as heat sees it. */
typedef enum { CUT_KERF, CUT_FLOOR, CUT_SPOT } heat_kind;
typedef struct {
    const th_step *step;
    double into; /* power into the part (W) */
    heat_kind kind;
    bool two_walls;
    bool bores;       /* it drills, or goes round in a hole */
    bool round;       /* it goes round smoothly */
    bool sharp;       /* the kerf has corners */
    bool on_floor;    /* a full cut in the floor of a place that is being cleared */
    double takes;     /* height of what it takes over its width; of a round end less than from low
                         to high (mm) */
    double of_wall;   /* share of the heat that one wall gets */
    double of_body;   /* that the piece gets */
    double low, high; /* engaged heights over the bonded face (mm) */
    double stands;    /* that the heat spreads in (mm) */
} step_heat;

/* A cut into a copy of the part, or beside it and not through, when others had gone through beside
 * the parts. */
typedef struct {
    int copy;
    unsigned at; /* cells opened later have this `opened` or more */
} late_cut;

/* A later line may take off what a part hangs on when it is cut into. */
typedef struct {
    late_cut *cuts;
    size_t count, capacity;
    bool opened;  /* beside the parts, since the last of them */
    th_tabs tabs; /* what was taken off so */
} late_cuts;

/* A line that is too short for a step of its own: the line that the one with most of it is told of,
 * and how much that took (mm3). 0: none. */
typedef struct {
    int of;
    float removed;
} shared_line;

struct th_loads {
    const th_job *job;
    th_sweep *sweep;
    th_outline part, stock;
    bool sheet;
    double part_area;  /* of one copy (mm2) */
    double bounds[4];  /* of the stock (mm) */
    double bowed_over; /* its longer side (mm) */
    const th_sweep_tool *tools;
    size_t tool_count;
    const th_tabs *goes; /* what is free in the end and need not stay; NULL: not known */
    th_stack stack;      /* at `stack_at` (C) */
    double stack_at;
    double conductance; /* of the tape stack (W/mm2K) */
    th_lump_state warmth;
    th_lump_state here; /* what has been brought to it here alone */
    double
        here_box[4]; /* since the cutter came from elsewhere, its axis (mm); x0 above x1: not yet */
    double warm_seconds;   /* since the first cut (s) */
    double body;           /* area that the heat has to itself: of what is cut (mm2) */
    double body_most;      /* that of one copy of the part, or the stock (mm2) */
    double cleared_volume; /* by pockets and faces (mm3) */
    double left;           /* of the stock's thickness, on an average (mm) */
    double decay;          /* bending length of the stock on its tape (mm) */
    kept_rise *rises;
    size_t rises_used;
    warm_tile *tiles; /* row by row over the stock's box */
    size_t tile_columns, tile_rows;
    double tile; /* side of one (mm) */
    ramp_lines ramps;
    cleared_place cleared, spot;
    cleared_place visit; /* of the spot, what the cutter does there now without going elsewhere */
    double visit_ended;  /* when it last cut there (s) */
    spot_visits visits;  /* before this one */
    th_point plunged;    /* where the cutter last went straight down, and what it took there (mm) */
    double plunged_deep;
    th_point walked; /* where the step before was, and its heading (rad); NAN: none */
    double headed;
    double
        began; /* when the path in hand began to cut, what it went straight down before too (s) */
    double paused; /* gone straight down where the path went on (s), and the path since (mm) */
    double since;
    double straight, chord; /* way since the path turned smoothly (mm; INFINITY: it has not since it
                               began or since a corner), and between the two turns before */
    seen_wall walls[2];     /* left and right of the feed */
    th_point full_at;       /* of the last step in a full slot */
    double left_there;      /* what earlier passes have left where the last step cut (K) */
    bool sharp_part;        /* its outer edge has corners */
    bool (*each)(void *context, const th_step_load *load, th_error *err);
    void *context;
    double sway_stiffness;
    grip_case last;       /* that was held; without a force: none */
    double across, sinks; /* of its step: in plan, and down on its way (mm) */
    double diameter;      /* of its cutter (mm) */
    late_cuts late;
    shared_line *shared; /* by line */
    size_t shared_count;
    run_list joined; /* what tabs join, as last looked at */
    force_table forces;
    piece_state *pieces;
    size_t piece_count;
    opening_step *log; /* ring */
    size_t log_count, log_first, log_capacity;
    size_t cuts; /* steps that cut through so far */
    th_wrench *wrenches;
    double *weights;
    size_t wrench_capacity;
    th_load_result result;
    float *by_line;
    size_t line_capacity, loose_capacity;
    size_t stood; /* pieces set free of which, if they are stock, it is known what stood of them */
};

/* loads_piece.c */
bool loads_encloses(const th_outline *part, th_point at);
bool loads_piece(th_loads *loads, size_t piece, const piece_state **state, th_error *err);

/* A step held against one piece. */
typedef struct {
    const th_step *step;
    double wear, held;
    const step_warmth *warmth;
    size_t piece;
    bool freeing;
} load_case;

/* The force of a case; stays until the next. */
const step_force *loads_force(th_loads *loads, const load_case *one, double *chip_load,
                              th_error *err);

/* loads_heat.c */
bool loads_heat_start(th_loads *loads, th_error *err);
bool loads_plastic(const th_loads *loads);
/* Power into the part over some seconds. */
void loads_warm(th_loads *loads, double power, double seconds);
/* How warm it gets under a step; warms the lumps by it. */
bool loads_warmth(th_loads *loads, const load_case *one, step_warmth *warmth, th_error *err);
/* The same where a piece of that area (mm2) had been free all along, with what its wall got. */
step_warmth loads_warmth_alone(const th_loads *loads, const step_warmth *warmth, double area);

/* loads_local.c: all but step and power of `heat`; and the rise under the cutter on top of the
 * part's own (K). Both once a step, in order. */
bool loads_sharp_part(const th_outline *part);
/* Whether a place lies in a copy of the part. */
bool loads_in_part(const th_loads *loads, const double at[2]);
void loads_see_cut(th_loads *loads, step_heat *heat);
bool loads_local(th_loads *loads, const step_heat *heat, double *rise, th_error *err);
/* That of the nearest place in a copy of the part, of a step just taken: no higher than this (K).
 */
double loads_local_in_part(const th_loads *loads, const step_heat *heat, double rise);

/* loads_trail.c: what earlier passes left on the kerf at a place. */
bool loads_trail_start(th_loads *loads, th_error *err);
/* A step that does not go straight down, before the step before it is forgotten. */
void loads_trail_walk(th_loads *loads, const th_step *step);
/* What is left there now, thrown back by the edges of `source`, the step's own (K); the step's heat
 * is kept for later ones. */
double loads_trail(th_loads *loads, const step_heat *heat, const th_heat_source *source);

/* loads_extent.c: of stock that came loose in a line before this one, what stood of it then, skins
 * in kerfs left out. */
void loads_stock_stands(th_loads *loads, int line);
/* Of all else that has come loose, what stands of it now. */
bool loads_extents(th_loads *loads, th_error *err);
bool loads_came_off(const th_load_result *result, size_t which, const th_loose *later);

/* loads_shared.c: lines that a step is of beside its own. After the end each is told as that. */
bool loads_share(th_loads *loads, const th_step *step, th_error *err);
bool loads_tell_shared(th_loads *loads, th_error *err);

/* loads.c: by_line with that line. */
bool loads_room_for_line(th_loads *loads, size_t line, th_error *err);

/* loads_tied.c: whether tabs tie a piece; a step that may have cut the last of them. */
bool loads_tied(th_loads *loads, size_t piece, bool *tied, th_error *err);
bool loads_tied_step(th_loads *loads, const th_step *step, th_error *err);

/* loads_late.c: a step that was held; a copy of the part that has come free. */
bool loads_late_step(th_loads *loads, const th_step *step, th_error *err);
bool loads_late_free(th_loads *loads, size_t piece, int copy, th_error *err);
/* The copy of the part, from 0 on, that a place is in or nearest to, by their boxes. */
int loads_copy_near(const th_part *part, const double at[2]);

/* The wrenches of a case about the origin of the job's axes, into loads->wrenches. */
void loads_wrenches(th_loads *loads, const grip_case *one, double ratio);

/* loads_grip.c: fills `load`. */
bool loads_hold(th_loads *loads, const load_case *one, th_step_load *load, th_error *err);

#endif
