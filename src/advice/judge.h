/* judge.h - inside advice/: the stages of a job and their margins. */
#ifndef TACKHOLD_ADVICE_JUDGE_H
#define TACKHOLD_ADVICE_JUDGE_H

#include "tackhold/advice.h"

/* ---- what is stuck down ---------------------------------------------------------------------- */

/* Metal left at the bottom of a cut, or for its last pass, that is thinner than this carries
 * nothing worth counting (mm; estimate: across a kerf of 6 mm 0.2 mm of aluminium is a few times as
 * stiff as the tape under a hand-sized part, 0.05 mm less than a tenth). */
#define TH_SKIN_COUNTS 0.2

/* A thinner skin is neither offered nor passed over in silence (mm, practice): twice what counts.
 * The thickness of the sheet, tape and glue under it, the plate's flatness and the tool's length
 * are each known to a few hundredths, and in a bad case they add up to two tenths. */
#define TH_SKIN_SURE 0.4

/* Stock on tape lies no more even than this: a lighter pass is none, and neither limits nor
 * turn-downs look below it (mm, practice). */
#define TH_SHALLOWEST 0.02

/* Points of a part's outline, and of all copies together: more are refused. */
enum { TH_PART_POINTS_MAX = 4000, TH_ALL_POINTS_MAX = 100000 };

/* A web thinner than this between two openings is taken to be none (mm). */
#define TH_LEAST_WEB 0.3

/* Where material has been thinned, and to what. */
typedef struct {
    const th_outline *region;
    double thickness; /* left (mm) */
    bool groove;      /* beside what is cut, not under it: a hinge, whose own bending no element
                         need resolve */
} th_floor;

/* One connected piece of what is stuck down. Everything it points to belongs to the ground
 * or to its shapes. */
typedef struct th_piece {
    const th_outline *region; /* material (job axes) */
    const th_outline *taped;  /* where of it tape is */
    th_piece_kind kind;
    int copy;             /* of the part, 1-based; 0: none in particular */
    bool held;            /* false: no tape under it; `bonded` is empty then */
    th_bonded bonded;     /* its corners: the hull of `taped` */
    const th_point *hull; /* of `region` */
    size_t hull_count;
    double box[4];   /* of `region`: x0, y0, x1, y1 (mm) */
    double thinnest; /* (mm) */
    const th_floor *floors;
    size_t floor_count;
    const th_plate_anchor *anchors; /* tabs */
    size_t anchor_count;
    double anchors_hold; /* hold factor of what the tabs are tied to, as the outline left it */
    const struct th_piece *tied_to; /* that; NULL: gone */
    double finest; /* slanted kerfs inside it ask for elements no larger (mm); 0: none */
} th_piece;

/* A bridge across the kerf of an outline. */
typedef struct {
    th_plate_anchor anchor;
    th_point corners[4]; /* of the metal that it needs, counterclockwise: across the kerf, and half
                            as far into the part */
    double height;       /* (mm) */
} th_tab;

/* What is bonded at one moment: the stock (a sheet, or the part itself) less what through cuts took
 * away. States are never changed, cuts make new ones. */
typedef struct {
    const th_outline *region; /* all pieces */
    const th_outline *away;   /* inside of bored holes: what is left there is a slug */
    th_piece *pieces;         /* the largest first */
    size_t piece_count;
    const th_floor *floors;
    size_t floor_count;
    int freed;          /* copies that an outline has cut out so far; all where there is no sheet */
    bool outlined;      /* an outline has been cut */
    double finest;      /* see th_piece */
    const th_tab *tabs; /* of copy 1, as they were left */
    size_t tab_count;
    const th_outline *tab_stock; /* what cuts have left since to make tabs of, all copies */
    double anchors_hold;
} th_bond_state;

/* Influence tables of pieces, kept from one judgement to the next. Opaque. */
typedef struct th_plate_cache th_plate_cache;
th_plate_cache *th_plate_cache_new(void); /* NULL when out of memory */
void th_plate_cache_free(th_plate_cache *cache);

/* Every region that comes up, each worked out once for all judgements. Regions that the functions
 * give belong to it, live as long as it does, and may be compared by address. */
typedef struct th_shapes th_shapes;
th_shapes *th_shapes_new(void); /* NULL when out of memory */
void th_shapes_free(th_shapes *shapes);
/* Takes a region made elsewhere. */
const th_outline *th_shapes_drawn(th_shapes *shapes, th_outline *outline, th_error *err);
const th_outline *th_shapes_overlaid(th_shapes *shapes, const th_outline *a, const th_outline *b,
                                     th_overlay how, th_error *err);
const th_outline *th_shapes_grown(th_shapes *shapes, const th_outline *of, double distance,
                                  th_error *err);
/* Connected pieces, the largest first: their number, and then each of them; NULL: there is none. */
bool th_shapes_pieces(th_shapes *shapes, const th_outline *of, size_t *count, th_error *err);
const th_outline *th_shapes_piece(const th_shapes *shapes, const th_outline *of, size_t which);
/* A number that two regions lead to, kept for the next time. */
bool th_shapes_noted(const th_shapes *shapes, const th_outline *of, const th_outline *with,
                     size_t *value);
bool th_shapes_note(th_shapes *shapes, const th_outline *of, const th_outline *with, size_t value,
                    th_error *err);

/* The place where everything happens: the job, its shapes, and what the states are made of. */
typedef struct {
    const th_job *job;
    const th_outline *taped;  /* NULL: tape everywhere */
    const th_outline *part;   /* copy 1 */
    const th_outline *filled; /* the same without its openings */
    const th_outline *parts;  /* all copies, without their openings */
    bool sheet;               /* the stock is a sheet, not the part itself */
    int copies;
    double decay; /* bending length of the whole stock on its tape (mm) */
    th_shapes *shapes;
    th_arena *arena;
    th_error *err;
} th_ground;

/* What is known of a cut while nothing of it, nor of what is stuck down, changes, and others only
 * take more or less time and heat: its strength falls with either, by so much at most. A judgement
 * passes over a cut that earlier looks show to hold with a little to spare, else adds what it
 * finds.
 */
enum { TH_KNOWN_MOST = 24 };
typedef struct {
    struct th_known_look {
        double temperature, held, factor; /* (C, s) */
        double warmest;                   /* that the tape got (C) */
    } looks[TH_KNOWN_MOST];
    size_t count;
    double
        least; /* its hold factor is no less, where the last judgement passed over it; else NAN */
} th_known;

/* How a stage came about, for whoever wants to draw it. States, pieces and all that they point to
 * live as long as the check. */
typedef struct th_scene {
    const th_bond_state *state;
    const th_piece *piece;
    th_point cutter_at;
    int copy;           /* that the pass works on; 0 all */
    bool held;          /* false: nothing below this is filled in */
    th_stack stack;     /* as warm as the cut makes it; unit strengths where it has none */
    bool unusable;      /* it has none */
    th_history history; /* that governs, about the job's origin: of a peak its one instant, but
                            where tabs govern */
    th_load_kind load;
    double seconds;             /* sustained: how long it acts */
    double index;               /* of the stage by the load that governs */
    bool by_tape;               /* false: tabs, or the frame behind them, govern */
    size_t site_count;          /* 0: by the area model */
    const th_plate_spot *sites; /* the table of influence that showed it, */
    size_t site;                /* where among them the load enters, */
    double per_length;          /* and its fineness */
    bool tied;                  /* with tabs */
} th_scene;

/* What stays the same however the job is changed. */
typedef struct {
    const th_check_options *options;
    th_shapes *shapes;
    th_plate_cache *cache;
    bool quick;       /* a coarse grid will do: factors are right to some percent */
    const bool *skip; /* a quick look passes over these cuts, by position; NULL: none */
    bool skip_always; /* any look does */
    th_known *known;  /* of each cut, by position; NULL: nothing is known. Whole judgements alone */
    size_t changed;   /* the cut that it is not true of */
    /* Neither sway nor the figures of the area model are asked for. */
    bool factors_only;
    bool keep_scenes; /* of the stages */
} th_judging;

/* Shapes (unless it has some) and cache of a judging: those of its options' work, or new ones that
 * th_work_end frees. */
bool th_work_begin(th_judging *judging); /* false: out of memory; end it all the same */
void th_work_end(const th_judging *judging);

bool th_ground_make(const th_job *job, const th_judging *judging, th_arena *arena,
                    th_ground *ground, th_error *err);
/* The stock before any cut. */
const th_outline *th_ground_stock(th_ground *ground);
/* Boxes of the rings of a region, to find those near a place. */
typedef struct {
    const th_outline *of;
    struct th_ring_box {
        double side[4]; /* x0, y0, x1, y1 (mm) */
    } * boxes;
    th_ring *rings; /* of the last view */
} th_near;
bool th_near_make(th_arena *arena, const th_outline *of, th_near *near); /* false: no memory */
/* The region as it is within a box, somehow else beyond; until the next call. */
th_outline th_near_rings(const th_near *near, const double box[4]);

/* A copy without its openings. */
const th_outline *th_ground_filled(th_ground *ground, int copy);

/* Whether a slot, hole, drilling or outline goes through, or leaves metal too thin to count. */
bool th_cut_opens(const th_job *job, const th_cut *cut);

/* What a cut takes away through the material (or would): rings that may overlap, to be read by
 * their winding. For an outline the copies `first` to `last` alone, for others all of them. */
const th_outline *th_kerf_of(th_ground *ground, const th_cut *cut, int first, int last);
/* The whole inside of bored holes: what is left standing in there is a slug. */
const th_outline *th_bored_by(th_ground *ground, const th_cut *cut);
/* Whether the cutter of an outline fits into an opening of the part. */
bool th_opening_fits(th_ground *ground, const th_ring *ring, const th_cut *cut, bool *fits);
/* Middle of the box of a ring. */
th_point th_opening_middle(const th_ring *ring);
/* What it thins: NULL with no error for a cut that thins nothing. */
bool th_thinned_by(th_ground *ground, const th_cut *cut, const th_outline **region);

const th_bond_state *th_state_start(th_ground *ground);
/* A cut through, for an outline of the copies first to last. */
const th_bond_state *th_state_opened(th_ground *ground, const th_bond_state *before,
                                     const th_cut *cut, int first, int last);
/* The same with a place thinned. */
const th_bond_state *th_state_thinned(th_ground *ground, const th_bond_state *before,
                                      th_floor floor);
/* The same with the part tied to a frame that holds by `hold` at most, by the tabs of an outline:
 * those that the metal it was cut from, `stock`, has room for. Later cuts through a tab end it. */
const th_bond_state *th_state_tied(th_ground *ground, const th_bond_state *before,
                                   const th_cut *cut, double hold, const th_outline *stock);
/* The state after a whole cut. */
const th_bond_state *th_state_after(th_ground *ground, const th_bond_state *before,
                                    const th_cut *cut);

/* Whether two regions are one another moved by `by` (from `a` to `b`), corner for corner. */
bool th_region_same(const th_outline *a, const th_outline *b, th_point by);
/* Whether one piece is another one moved, with its tape, floors and tabs. */
bool th_pieces_alike(const th_ground *ground, const th_piece *a, const th_piece *b, th_point by,
                     bool *alike);
/* Whether two copies of the part, all pieces of each, are so in a state. */
bool th_copies_alike(const th_ground *ground, const th_bond_state *state, int a, int b,
                     bool *alike);
/* Whether copies have to be looked at one by one: tape is not everywhere, or earlier cuts have left
 * those that are cut free unequal. */
bool th_copies_unlike(const th_ground *ground, const th_bond_state *state, bool *unlike);

/* ---- where the cutter may be ----------------------------------------------------------------- */

/* Where the cutter stands and which way it then feeds. */
typedef struct {
    th_point at;
    double heading; /* counterclockwise from +x (rad) */
} th_spot;

typedef struct {
    th_spot *items;
    size_t count;
} th_spots;

/* The places of an operation that matter, with every heading it can have there: along a straight
 * path the area model's index is convex in the place, so that its ends suffice; the flexible plate
 * asks for places between them. `copy` for an outline, 0 all copies. */
bool th_spots_of(const th_ground *ground, const th_bond_state *state, const th_cut *cut, int copy,
                 th_spots *spots);

/* Those among them whose cutter touches the piece. */
bool th_spots_on(const th_ground *ground, const th_piece *piece, const th_cut *cut,
                 const th_spots *all, th_spots *spots);

/* ---- the flexible plate ---------------------------------------------------------------------- */

/* A piece on its tape. */
typedef struct {
    const th_ground *ground;
    const th_piece *piece;
    const th_plate_anchor *anchors; /* NULL: as if there were no tabs */
    size_t anchor_count;
} th_bed;

/* Table of influence of `spots` on it, with `per_length` elements to a decay length. The table
 * belongs to the cache and lives until the next call. */
bool th_bed_table(const th_bed *bed, const th_plate_spot *spots, size_t count, double per_length,
                  th_plate_cache *cache, const th_plate_table **table, th_error *err);
/* The smaller of bending and shear decay length (mm). */
double th_bed_length(const th_bed *bed);

/* Share of its strength that the hold keeps when it goes from one temperature to another, the layer
 * that loses most; 0: too warm for one. And the lowest limit of its layers (C). */
double th_hold_warmed(const th_job *job, double from, double to);
double th_hold_warmest(const th_job *job);

/* ---- judging --------------------------------------------------------------------------------- */

/* Passes and minutes of one operation; rests are in `minutes` but not in `cutting` (min). */
typedef struct {
    double passes; /* a whole number */
    double cutting, minutes;
} th_duration;
th_duration th_duration_of(const th_ground *ground, const th_cut *cut);

/* The entry of [section] key, or of the section when key is NULL; NULL when there is none. */
const th_entry *th_entry_of(const th_job *job, const char *section, const char *key);

/* Refuse a cut, with the place of its section (or key) in the file. */
bool th_refuse_cut(const th_job *job, const th_cut *cut, const char *key, th_error *err,
                   th_status code, const char *format, ...) TH_PRINTF(6, 7);

/* round_end.c: how far up the end of a cutter is round, where walls stay beside it; 0: not (mm). */
double th_round_end(const th_cut *cut);
/* Height over which a pass so far below the top is in the stock (mm). A round end meets what the
 * level above it left of its own round: all of it at the ends and in the corners of the path, where
 * levels end alike, less along straight walls; where rows lie side by side, the ridges between. */
double th_engaged_height(const th_cut *cut, double axial, double below_top);
/* Of the first level, the pass that warms as much as that one does along a straight groove (mm). */
double th_warming_height(const th_cut *cut, double axial, double below_top);
/* One pass of a milling cut, for the force model. */
th_pass th_pass_of(const th_job *job, const th_cut *cut, double radial, double axial,
                   double chip_load);

typedef struct {
    th_stage *stages;
    size_t count;
    size_t governs; /* lowest hold factor among those that count */
    double hold_factor;
    double minutes;
    double bounds[4];     /* of the stock before any cut: x0, y0, x1, y1 (mm) */
    double standing_lift; /* of bowed stock (MPa) */
    th_stack stack;
    th_lines notes; /* what geometry and heat showed: cautions */
    th_warm_point *warm;
    size_t warm_count;
} th_judgement;

/* All stages of a job, in time order. With `enough` above 0 the search stops as soon as the hold
 * factor is seen to fall below it, and one at or above it is only known to be so: for a caller who
 * only asks which. */
bool th_judge(const th_job *job, const th_judging *judging, th_arena *arena, double enough,
              th_judgement *judgement, th_error *err);

/* Whether a cut leaves tabs: pieces that they tie to another hold with it, so none is judged alone.
 */
bool th_any_tabs(const th_job *job);

/* Whether the first stage holds less than the second. */
bool th_stage_weaker(const th_stage *a, const th_stage *b);

/* Of each cut, by position: whether it is an outline out of a sheet whose kerf no earlier cut has
 * opened, so that its first lap cuts the full width whatever it states. */
bool th_first_laps(th_ground *ground, bool *full);

/* Of each cut, by position: whether it begins wider than it states, the first lap of an outline or
 * the first strips of a pocket. */
bool th_begin_wider(const th_job *job, const th_judging *judging, th_arena *arena, bool **full,
                    th_error *err);

/* One cut as wide as its cutter, all else as the job has it: least hold factor and least with its
 * reserve of heat (th_kept_factor) of the stages of that cut that count; INFINITY: none. */
typedef struct {
    double hold_factor, kept;
} th_at_full_width;
bool th_judge_wide(const th_job *job, const th_judging *judging, size_t which,
                   th_at_full_width *found, th_error *err);
/* Least hold factor of all cuts that begin so; NAN: none do, or nothing is known. */
bool th_full_width_least(const th_job *job, const th_judging *judging, double *least,
                         th_error *err);

/* Whether the shank is wider than what the flutes cut, and goes into it. */
bool th_shank_rubs(const th_cut *cut);

/* ---- the reserve against heat -------------------------------------------------------------------
 * Above its limit a layer has no strength left: what holds close below it is no better known than
 * the warmth. A verdict rests on the hold factor alone; what is offered keeps this as well. */

/* What the tape shall stand beyond a temperature that is worked out (K). */
double th_heat_reserve(const th_job *job, double temperature);
/* Whether every layer's limit is that far. */
bool th_heat_kept(const th_job *job, const th_stage *stage);
/* The hold factor; where the reserve is short no more than so much of the asked factor as there is
 * of it: at or above the asked factor both are enough. */
double th_kept_factor(const th_job *job, const th_stage *stage);
/* The least of the stages that count. */
double th_kept_least(const th_job *job, const th_judgement *judgement);
/* How much warmer the tape may get before a stage's hold factor is below `bound` (K); `gone`:
 * because it gets too warm. */
double th_warmer_until(const th_job *job, const th_check *check, double bound, bool *gone);

/* The farthest that the part sways or creeps sideways in a stage that counts (mm); 0: nothing of it
 * is a fault. A push sizes nothing: it counts where the job states a limit. */
double th_sway_most(const th_job *job, const th_judgement *judgement);

/* The hold factor of a job and its minutes, nothing else of it. With `enough` as for th_judge, on a
 * coarse grid. */
bool th_judge_factor(const th_job *job, const th_judging *judging, double enough,
                     double *hold_factor, double *minutes, th_error *err);

/* Changes that restore the asked factor, cheapest first; if there is none, the one that gains most.
 */
typedef struct {
    th_turn_down *list;
    size_t count;
    th_turn_down *best_step; /* NULL if none gains anything, or the list is not empty */
    th_lines advice;         /* what no setting can say */
    const char *skin_note;   /* that of it which is about skins; NULL: none */
} th_turn_downs;
bool th_turn_downs_find(const th_job *job, const th_judging *judging, const th_judgement *judgement,
                        th_arena *arena, th_turn_downs *found, th_error *err);

bool th_proof_pull_of(const th_job *job, const th_judging *judging, const th_judgement *judgement,
                      th_proof_pull *pull, th_error *err);

/* A cut that frees the part before others: what moving it last would do. `cut` NULL: nothing. */
bool th_order_of(const th_job *job, const th_judging *judging, const th_judgement *judgement,
                 th_order *order, th_error *err);

#endif
