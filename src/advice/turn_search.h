/* turn_search.h - inside advice/: changes of a job, tried as text. */
#ifndef TACKHOLD_ADVICE_TURN_SEARCH_H
#define TACKHOLD_ADVICE_TURN_SEARCH_H

#include "judge.h"

/* What a change costs beside cutting time (min, practice): another cutter, taping anew, setting up
 * stops, taking a skin or tabs off by hand. */
enum { TH_CUTTER_CHANGE = 5, TH_TAPE_CHANGE = 15, TH_STOPS_SET = 10, TH_SKIN_OFF = 10 };

enum { TH_RUNG_SETTINGS = 4, TH_RUNGS_MOST = 200, TH_LEVERS_MOST = 160 };

/* One value of a change, as --set takes it. */
typedef struct {
    double to; /* core unit */
    const char *to_text;
    const char *settings[TH_RUNG_SETTINGS];
    size_t count;
    double extra; /* what it costs beside cutting time (min) */
} th_rung;

/* A kind of change with the values it may take, the mildest first. */
typedef struct {
    const char *change;
    const th_cut *cut; /* that it changes, NULL for the hold and for a cutter */
    bool climbs;       /* the hold factor rises with the rungs, more or less; else they are tried
                          in turn */
    int kind;          /* th_kind of from and to */
    double from;       /* core unit */
    const char *from_text; /* NULL: `from` and `to` are numbers */
    th_rung *rungs;
    size_t count;

    /* what a quick look at its strongest value showed */
    size_t seen; /* values looked at so far */
    size_t best; /* the one of them that holds best */
    double hold_factor, minutes;
    double *by_cut;

    /* of the other values of one that does not climb, tapes above all: those that leave most cuts
     * well, though another holds best of all */
    struct th_other *others;
    size_t other_count;
} th_lever;

enum { TH_OTHERS_MOST = 3, TH_LEFT_OUT_MOST = 3 };

/* A value that was looked at. */
typedef struct th_other {
    size_t rung;
    double hold_factor, minutes;
    double *by_cut;
    size_t failing; /* cuts that it leaves below the asked factor */
} th_other;

typedef struct {
    const th_job *job;
    th_judging judging;
    const th_judgement *now;
    th_arena own;    /* for what is forgotten after the search */
    th_arena *arena; /* for what is printed */
    th_error *err;
    bool warm;       /* heat takes from the hold, or all of it, in a cut that fails */
    double *before;  /* hold factor of each cut by a quick look; INFINITY: passed over */
    double quick;    /* the least of them */
    double *by_cut;  /* of the last look */
    double optimism; /* quick look over the whole model */
    bool *far;       /* cuts, by position, that every quick look passes over */
    bool *holds;     /* cuts that hold as they are: passed over where the change leaves them be */
    bool *skip;      /* of the last look */
    bool *wider;     /* cuts that fail and begin wider than they state: tried at full width. NULL
                        as given: not looked for yet */
    double sway;     /* as it is (mm) */
    bool wide;       /* pass over those that are far from failing alone */
    bool others;     /* the last change judged whole fails by a cut that was passed over */
    th_lever *levers[TH_LEVERS_MOST];
    size_t lever_count;
    th_turn_down *list; /* room for one more than the most: the last is weighed against them */
    double *cost;       /* minutes that each costs, changing over and waiting included */
    size_t count;
    const char *left_out[TH_LEFT_OUT_MOST]; /* settings of tapes that let the part sway too far */
    size_t left_count;
    const char *outer; /* what searches around this one have changed: "plate tape"; NULL: nothing */
    int *inner; /* searches with another hold so far, of this one and those in it; NULL: none */
} th_search;

enum { TH_TURN_DOWNS_MOST = 64 };

/* ---- making levers --------------------------------------------------------------------------- */

/* A copy of the lever, still without rungs; NULL when out of memory. One that no room is left for
 * is never tried. */
th_lever *th_lever_add(th_search *search, const th_lever *lever);
/* A further value; NULL when out of memory. */
th_rung *th_rung_add(th_search *search, th_lever *lever, double to, const char *to_text,
                     double extra);
bool th_rung_set(th_search *search, th_rung *rung, const char *section, const char *key,
                 const char *value);
/* A lever with one value in words. */
bool th_lever_words(th_search *search, const th_lever *lever, const char *setting, const char *to,
                    double extra);
/* A number as --set takes it, in the job's units, without a blank. */
const char *th_value_text(th_search *search, double value, int kind);

typedef struct {
    const char *change, *section, *key;
    const char *with; /* a further key of the section that takes the same value, or NULL */
    const char *also; /* a further setting to keep the job the same, or NULL */
    const th_cut *cut;
    int kind;           /* TH_LENGTH, TH_CHIP_LOAD, TH_FEED, TH_SPINDLE_SPEED or TH_RATIO */
    double from;        /* present value, core unit */
    double least, most; /* bounds of the search, core unit */
    bool upwards;       /* the change is to raise the value, in twentieths */
    double extra;       /* what the change costs beside cutting time (min) */
} th_ladder;
/* Round numbers from the present value on. */
bool th_ladder_add(th_search *search, const th_ladder *ladder);

bool th_cut_levers(th_search *search, const th_cut *cut);
/* Speed, rest: also of a cut that only warms the part for a later one. */
bool th_heat_levers(th_search *search, const th_cut *cut);
bool th_cutter_levers(th_search *search, const th_job_cutter *cutter);
bool th_hold_levers(th_search *search);

/* ---- trying them ----------------------------------------------------------------------------- */

/* One or two changes at once. */
typedef struct {
    const th_lever *lever[2];
    size_t rung[2];
    size_t count;
} th_combo;

typedef struct {
    double hold_factor, minutes;
} th_turn_look;

/* A quick look; `by_cut` (may be NULL) gets the least hold factor of each cut, INFINITY where it is
 * passed over. A change that the job refuses holds nothing. False only when memory ran out. */
bool th_search_look(th_search *search, const th_combo *combo, th_turn_look *look, double *by_cut);
/* Look at further values of a lever, strong ones of one that climbs, all in turn of others, up to
 * the first that reaches `enough`: its rung goes to `at`, the number of rungs if none does. */
bool th_search_probe(th_search *search, th_lever *lever, double enough, size_t *at,
                     th_turn_look *look);
/* The mildest value of change `which` that a quick look sees reach `target`; the present one does,
 * with `look`. Values below `low` are not tried. */
bool th_search_refine(th_search *search, th_combo *combo, size_t which, size_t low, double target,
                      th_turn_look *look);
/* Judge by the full model, and keep what restores the asked factor (or, for a best step, gains).
 * `ratio` gets quick over whole; 0: no use, whatever it holds. */
bool th_search_confirm(th_search *search, const th_combo *combo, bool best_step, bool *kept,
                       double *ratio);
/* What a job, changed from the search's, comes to as it stands and at the full width of what begins
 * so. */
typedef struct {
    double hold_factor, minutes, sway; /* as it stands */
    double kept; /* least of both, with what the reserve of heat leaves of it */
    bool worse;  /* see th_search_worse */
} th_outturn;
/* by_cut of the search gets the least of each cut. False: refused,
 * or out of memory. */
bool th_search_judge(th_search *search, const th_combo *combo, th_job *changed, th_outturn *outturn,
                     th_error *inner);
/* Least of each cut; INFINITY where it is passed over. */
void th_search_by_cut(const th_job *job, const th_judgement *judged, double *by_cut);
/* Puts the cuts that begin so at full width; whether any states less. */
bool th_search_widen(const th_search *search, th_job *changed);
/* What the turn-down says of an outturn. */
void th_search_fill(const th_search *search, const th_outturn *outturn, th_turn_down *found);
/* Whether a hold factor restores the asked one, by more than rounding. */
bool th_search_enough(const th_search *search, double hold_factor);
double th_combo_extra(const th_combo *combo);
/* What was kept last, with the value of change `which` as mild as the whole model finds enough; at
 * most `most` values at or above rung `low` are judged. */
bool th_search_relax(th_search *search, th_combo *combo, size_t which, size_t low, int most);
/* What the change `lever` at its best makes of one cut, by the whole model; 0: no use. */
bool th_search_reach(th_search *search, const th_lever *lever, const th_cut *cut,
                     double *hold_factor);

/* The other values of tapes and glues as changes of their own, for pairs and for single cuts. */
bool th_others_add(th_search *search);
/* Notes a look at a value, with by_cut of the search. False: out of memory. */
bool th_others_note(th_search *search, th_lever *lever, size_t rung, const th_turn_look *look);

/* The cheapest two changes that do it together, into the list. */
bool th_pairs_find(th_search *search);

/* Where the hold bears nothing and the list is empty: another hold, and what the cuts need with it,
 * into the list. */
bool th_first_find(th_search *search);
/* The cheapest change, of one, of two or of each cut its own, that restores the asked factor of a
 * job that is part of another's search; `search` is new. */
bool th_turn_downs_within(th_search *search, th_turn_down *cheapest, bool *found);

/* By a single change, of a cut that fails: NULL where none tried holds it. */
typedef struct {
    const th_cut *cut;
    const char *change;
    const th_lever *lever; /* whose change it is */
} th_turn_reach;
/* Where nothing is enough for all cuts: which of them some change would hold. */
bool th_turn_reach_find(th_search *search, th_turn_reach **reach, size_t *count);

/* Those changes all at once. */
typedef struct {
    const th_turn_reach *reach;
    size_t reach_count;
    const char *const *settings; /* NULL: not even all together are enough */
    size_t setting_count;
    th_outturn outturn; /* with them */
} th_turn_set;
/* The mildest set that is enough, each change by the same share of its way. */
bool th_turn_set_find(th_search *search, const th_turn_reach *reach, size_t count,
                      th_turn_set *set);

/* What is listed behind: the greater the farther. */
int th_turn_class(const th_turn_down *turn);
/* Whether it makes the part sway, beyond the limit and more than it does as it is. */
bool th_turn_loosens(const th_search *search, const th_turn_down *turn);

/* Whether a change does harm beside the hold: an edge that rubs, a cutter that may break, a shank
 * on the walls. */
bool th_search_worse(const th_search *search, const th_combo *combo, const th_judgement *judged);

/* What no setting can say: that it rubs, and where nothing is enough what else could hold the part.
 * `reach` NULL: there is something. */
bool th_turn_advice(th_search *search, const th_turn_reach *reach, size_t count,
                    th_turn_downs *found);

#endif
