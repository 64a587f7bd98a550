/* answer.h - inside program/: a program held against its job. */
#ifndef TACKHOLD_PROGRAM_ANSWER_H
#define TACKHOLD_PROGRAM_ANSWER_H

#include "loads.h"

/* Kinds of places: of four kinds of pieces, amid, edge, corner, by what is left below, the last of
 * THICKNESSES for what is cut through; and the first two again for what goes straight down, which
 * lifts where others push. */
enum { LINES_KEPT = 64 };
enum { THICKNESSES = 8, PLACES_DOWN = 4 * 3 * THICKNESSES, PLACE_KINDS = PLACES_DOWN + 4 * 3 };

/* The worst step of a line at one kind of place. */
typedef struct {
    th_step_load load;
    double bent; /* what it may hold with bending, to tell which to ask: not a figure to tell */
    size_t cell; /* that it lies in, of those below */
    bool asked, met;
    double ratio; /* by which the plate holds less there */
    th_bent_load answer;
} place_step;

/* A part of the stock not as wide as what bends under a load, and in it one kind of place, as much
 * cut through round it: the step there with the lowest `bent`, at which the plate may be asked, and
 * that which holds least by the area model. */
typedef struct {
    int place;
    long across, up; /* which it is, along x and y */
    int open;        /* ways of eight in which the stock round a step is cut through */
    int toward;      /* quarter of the turn in which it is fed, to which the force turns with it */
    place_step worst, least;
} place_cell;

typedef struct {
    place_cell *items;
    size_t count, capacity;
    size_t *at;  /* by hash, 1 + which; 0 empty; twice as many as `capacity` */
    double side; /* (mm) */
} place_cells;

/* The worst lines of a kind of place, the lowest `bent` first. */
typedef struct {
    place_step *steps;
    size_t count;
    double bending; /* 0: not asked */
} place_list;

/* A line in a cell, and the least that a step of it holds there by the area model. */
typedef struct {
    unsigned line, cell;
    float least;
} line_visit;

typedef struct {
    line_visit *items;
    size_t count, capacity;
    unsigned *at; /* by hash, 1 + which; 0 empty; twice as many as `capacity` */
} line_visits;

/* Lines of which something is said: the first of them, and how many. */
enum { LINES_NAMED = 6 };
typedef struct {
    int lines[LINES_NAMED];
    int last;
    size_t count;
} line_list;

/* A drill that breaks through. */
enum { DRILLS_MOST = 8 };
typedef struct {
    const th_cutter *cutter;
    int line;    /* the first */
    double lift; /* most (N) */
} drill_through;

/* A cutter, and the hole in hand. */
typedef struct {
    th_tool_use use;
    double breaks, springs; /* stress over what it bears, springing over 1 % of its diameter: most */
    int breaks_line, springs_line;
    th_point hole;
    bool open; /* it is through */
} tool_notes;

/* A skin of this much is not one that a depth a little deep cuts through (mm; as advice has it, an
 * estimate). */
#define SKIN_SURE 0.4
/* The part is cut out of its sheet where no more than this share of its thickness is left
 * (estimate: what is less deep is a step in it). */
#define CUT_OUT 0.5

/* A copy of the part that is milled beside. */
typedef struct {
    int line;      /* the first that goes through; 0 none */
    int thin_line; /* that leaves least beside it, and so little that it is being cut out; 0 none */
    double thin;   /* that skin (mm) */
    double across; /* thinnest cutter that did (mm) */
    bool free;     /* it is a piece by itself in the end */
} copy_round;

/* What a run gathers while its steps come by. */
typedef struct {
    const th_run_options *options;
    th_run *run;
    size_t worst_most, line_capacity;
    size_t kept_most; /* lines kept of a kind of place: which are worst is only told in the end */
    place_list places[PLACE_KINDS];
    place_cells cells;
    line_visits visits;
    place_step **asks; /* of the cells, the first `ask_count` those that the plate is asked at */
    size_t ask_count, met;
    shared_line *shared; /* by line, as all steps were held */
    size_t shared_count;
    th_tabs tabs; /* without bits: none, or not looked for yet */
    th_tabs goes; /* pieces that need not stay; without bits: none, or not known yet */
    bool stopped; /* all asked: nothing is wrong */
    th_loads *loads;
    double feed_seconds, seconds_done; /* of all moves, and of those so far (s) */
    bool again;                        /* the moves came by before */
    double progress_from, progress_to;
    unsigned long long told;
    int coolant_line;         /* that feeds with coolant on; 0 none */
    int air_line;             /* that feeds with M7 alone where the job blows air; 0 none */
    int other_lines[4];       /* that cut first with other coolant than the job's, by what is on
                                 there, as in th_move; 0 none */
    line_list fast, spinning; /* beyond the machine */
    tool_notes tools[TH_TOOLS_TOLD];
    size_t tool_count;
    drill_through drills[DRILLS_MOST];
    size_t drill_count;
    copy_round *rounds; /* by copy, from 0 on */
    size_t copies;
} answer;

/* Tools of the job as sweep and reader take them, in arrays of the arena. */
typedef struct {
    th_sweep_tool *cutters;
    size_t cutter_count;
    th_program_tool *table;
    size_t table_count;
} answer_tools;
bool answer_tools_of(const th_job *job, th_arena *arena, answer_tools *tools, th_error *err);

/* What a run reads, and with what. */
typedef struct {
    const char *text;
    size_t size;
    th_program_options reading;
    answer_tools tools;
} answer_material;

/* Tells how far it is; now and then, as it is called for every move and step. At once, for what
 * takes long. */
void answer_tell(answer *a);
void answer_tell_now(const answer *a);

/* answer_rounds.c: copies of the part milled round. Room for them; a step noted; and, when all
 * steps have come by, which have come free. */
bool answer_rounds_make(answer *a, th_error *err);
void note_round(answer *a, const th_step_load *load);
bool answer_rounds_end(answer *a, th_error *err);
/* The copy with the thinnest skin round it that just counts as joined; NULL: there is none. */
const copy_round *answer_thin_skin(const answer *a);
/* Whether a depth a little deep makes it one that joins nothing. */
bool skin_in_doubt(double thick);

/* answer_steps.c. Receivers of steps: the first notes all, the second asks the plate at those that
 * answer_choose chose, and ends the reading when it is through. */
bool answer_note(void *context, const th_step_load *load, th_error *err);
bool answer_ask(void *context, const th_step_load *load, th_error *err);
/* answer_cells.c: a step into its cell, which is told; chooses where the plate is asked. */
bool answer_cells_note(answer *a, int place, place_step *step, th_error *err);
void answer_cells_forget(answer *a);
void answer_cells_free(answer *a);
bool answer_choose(answer *a, th_error *err);
/* Once those are asked: what may hold less still than they do. */
bool answer_choose_again(answer *a, th_error *err);
/* answer_visits.c: a step of a line, in the cell that it was noted in. */
bool answer_visit(answer *a, size_t line, const place_step *step, th_error *err);
void answer_visits_forget(answer *a);
void answer_visits_free(answer *a);
/* answer_tools.c: the cutter that a step is made with; what every cutter does, holes and where
 * drills break through among it. */
const th_cutter *answer_cutter_of(const th_loads *loads, int tool);
void note_tool(answer *a, const th_step_load *load);
bool answer_tell_tools(const answer *a, th_error *err);
/* Bending into lines and worst lines. */
bool answer_bend(answer *a, th_error *err);

/* answer_maps.c: the stock at the worst step and at the end, by one more sweep. */
bool answer_maps(answer *a, const answer_material *on, th_error *err);

/* answer_lists.c: cautions, what holds the verdict back, sources, what is not checked. */
bool answer_lists(const answer *a, th_error *err);

#endif
