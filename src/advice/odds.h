/* odds.h - inside advice/: how the hold factor of a job answers to what scatters. */
#ifndef TACKHOLD_ADVICE_ODDS_H
#define TACKHOLD_ADVICE_ODDS_H

#include "judge.h"

/* Links of the chain between part and plate; what breaks tabs is metal and does not scatter. Heat
 * is no layer: above the lowest maximum of them all nothing holds. */
typedef enum {
    TH_LAYER_PART,
    TH_LAYER_PLATE,
    TH_LAYER_INSIDE,
    TH_LAYER_TABS,
    TH_LAYERS,
    TH_LAYER_HEAT = TH_LAYERS
} th_layer;

/* ---- jobs that differ ------------------------------------------------------------------------ */

typedef struct {
    double strength[TH_LAYERS]; /* logarithm of the factor on each layer's */
    double force;               /* logarithm of the factor on every force */
    double coverage;            /* itself (-) */
    double runout;              /* factor */
    double warmer;              /* (K) */
    bool lasting;               /* warmth takes no strength */
} th_change;

/* A copy of a job with other rows. Must stay where it is made. */
typedef struct {
    th_job job;
    th_stock stock;
    th_tape above, below;
    th_glue glue;
    th_plate plate;
} th_variant;
bool th_variant_make(const th_job *job, const th_change *change, th_arena *arena,
                     th_variant *variant);

/* ---- laws of what scatters ------------------------------------------------------------------- */

/* Lower-bound strengths of the tables are 5 % points: so many standard deviations below the middle.
 */
#define TH_FIVE_PERCENT 1.6448536269514722

typedef struct {
    double strength[TH_LAYERS]; /* standard deviation of the logarithm; tabs 0 */
    double force, runout;       /* likewise */
    double coverage, odds;      /* of the log-odds, and their middle */
    double warmth;              /* (K) */
} th_scatter;

/* Logarithm of a layer's strength over the row's (heat: 0), z standard deviations from its middle.
 */
double th_scatter_strength(const th_scatter *scatter, th_layer layer, const double *z);
double th_scatter_coverage(const th_scatter *scatter, double z);
/* All inputs, in the order of th_odds_input_kind. */
th_change th_scatter_change(const th_scatter *scatter, const double *z);

/* ---- certainty ------------------------------------------------------------------------------- */

/* Whether a job lets go even where everything that scatters stands far on its good side. */
typedef struct {
    bool lets_go;
    double deviations;  /* so far (-) */
    double hold_factor; /* there, by a coarse look */
} th_certainty;
/* `judgement` of the job as it stands. Fails as th_judge. */
bool th_odds_certain(const th_job *job, const th_scatter *scatter, const th_judging *judging,
                     const th_judgement *judgement, th_certainty *found, th_error *err);

/* ---- warmth ---------------------------------------------------------------------------------- */

/* Logarithm of what a layer's own temperature factor leaves of its strength; above what the layer
 * stands, as at that. */
double th_layer_warmth(const th_job *job, th_layer layer, double celsius);

/* ---- load ------------------------------------------------------------------------------------ */

enum { TH_AXIS_MOST = 65 };

/* Index of a link over a factor on the load of the cut, at least two nodes, load rising. */
typedef struct {
    double load[TH_AXIS_MOST], index[TH_AXIS_MOST];
    size_t count;
} th_load_line;
double th_load_index(const th_load_line *line, double load);
/* Load that gives an index; where the line is flat there, `otherwise`. */
double th_load_of(const th_load_line *line, double index, double otherwise);

/* ---- tabulated response ---------------------------------------------------------------------- */

enum { TH_LINKS_MOST = 12 };

/* Nodes along one input, in standard deviations from its middle. */
typedef struct {
    double z[TH_AXIS_MOST];
    size_t count;
    bool smooth; /* one polynomial through all; else straight from node to node */
    bool load;   /* of forces: the index is straight over the force, not its logarithm over z */
} th_axis;

enum { TH_AXIS_FORCE, TH_AXIS_COVERAGE, TH_AXIS_RUNOUT, TH_AXES };

/* One layer of what one cut does to pieces of one kind; of heat, the warmest of all stages. Which
 * copy of a part is the weakest may change with the forces, and with it how many stages there are:
 * the weakest is taken. */
typedef struct {
    const char *section; /* of the cut, in the job */
    th_piece_kind piece;
    size_t stage; /* the weakest of these in the judgement of the job as it stands */
    th_layer layer;
    double *values; /* over the nodes: logarithm of the hold factor, for forces and strengths of the
                       rows and before what warmth takes */
    double *rises; /* of the tape above the room, for forces of the rows (K); NULL: always `rise` */
    double rise;
} th_link;

typedef struct {
    const th_job *job;
    th_scatter scatter;
    th_axis axes[TH_AXES];
    th_link links[TH_LINKS_MOST];
    size_t link_count;
    double warmest; /* th_hold_warmest */
    double error;   /* largest found, of the logarithm of the hold factor */
    size_t judgements, checks;
} th_response;

/* Share of the hold factor by which a table may miss fresh judgements and still tell odds
 * (practice). */
#define TH_TABLE_OFF 0.02
/* Why no odds are told by a table with such an error. NULL: they are, or, with `off`, memory ran
 * out. */
const char *th_table_off(double error, th_arena *arena, bool *off);

/* `judgement` of the job as it stands: usable, hold factor above 0. scatter and job are set. */
bool th_response_make(th_response *response, const th_judging *judging,
                      const th_judgement *judgement, th_arena *arena, th_error *err);

/* Where inputs lie in the table, and what all links share. */
typedef struct {
    double room;  /* (C) */
    double force; /* factor */
    double share[TH_AXES][TH_AXIS_MOST];
    size_t first[TH_AXES], count[TH_AXES];
    double logs[3]; /* of the force, where the table tells it: at both nodes, and between them */
} th_lookup;
void th_response_look(const th_response *response, const double *z, th_lookup *lookup);
/* Logarithm of a link's hold factor. Of heat, of how far the tape stays below what it stands: below
 * 0 it is too warm. Always finite. */
double th_response_of(const th_response *response, size_t link, const th_lookup *lookup,
                      const double *z);

#endif
