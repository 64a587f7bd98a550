/* judge.h - inside advice/: the stages of a job and their margins. */
#ifndef TACKHOLD_ADVICE_JUDGE_H
#define TACKHOLD_ADVICE_JUDGE_H

#include "tackhold/advice.h"

/* Where the cutter may stand and which way it then feeds. */
typedef struct {
    th_point at;
    double heading; /* counterclockwise from +x (rad) */
} th_spot;

typedef struct {
    th_spot *items;
    size_t count;
} th_spots;

/* Every extreme place of an operation with every heading it can have there. Along a straight path
 * the index is convex in the place, so that its ends suffice. Clipped to `bounds` (x0, y0, x1, y1).
 * False when out of memory. */
bool th_spots_of(const th_job *job, const th_cut *cut, const double bounds[4], th_arena *arena,
                 th_spots *spots);

/* What is bonded: the stock (a sheet, or the part itself) less what through cuts took away. */
typedef struct {
    bool freed;            /* the part has been cut out of its sheet, or never lay in one */
    bool outlined;         /* an outline has been cut */
    th_section gone_part;  /* removed inside the part */
    th_section gone_stock; /* removed inside the sheet */
    double bounds[4];      /* of the piece now: x0, y0, x1, y1 (mm) */
    th_point corners[4];   /* of the piece now */
} th_bond_state;

void th_bond_state_start(const th_job *job, th_bond_state *state);
/* Metal left at the bottom of a cut, or for its last pass, that is thinner than this carries
 * nothing worth counting (mm; estimate: across a kerf of 6 mm 0.2 mm of aluminium is a few times as
 * stiff as the tape under a hand-sized part, 0.05 mm less than a tenth). */
#define TH_SKIN_COUNTS 0.2

/* Whether a slot, hole, drilling or outline goes through, or leaves metal too thin to count. */
bool th_cut_opens(const th_job *job, const th_cut *cut);

/* The state after a cut. */
void th_bond_state_cut(const th_job *job, const th_cut *cut, th_bond_state *state);
bool th_bond_state_bonded(const th_job *job, const th_bond_state *state, th_bonded *bonded,
                          th_error *err);

/* Passes and minutes of one operation; rests are in `minutes` but not in `cutting` (min). */
typedef struct {
    double passes; /* a whole number */
    double cutting, minutes;
} th_duration;
th_duration th_duration_of(const th_job *job, const th_cut *cut);

/* Through openings that meet, or run into edges, at two places may cut a piece free, which is
 * judged only for an outline: refused with TH_NOT_POSSIBLE. */
bool th_openings_check(const th_job *job, th_error *err);

/* The entry of [section] key, or of the section when key is NULL; NULL when there is none. */
const th_entry *th_entry_of(const th_job *job, const char *section, const char *key);

typedef struct {
    th_stage *stages;
    size_t count;
    size_t governs; /* lowest hold factor among those that count */
    double hold_factor;
    double minutes;
    th_bonded first;  /* the bond before any cut; its corners live in the arena */
    double bounds[4]; /* of the stock then: x0, y0, x1, y1 (mm) */
    th_stack stack;
} th_judgement;

/* All stages of a job, in time order. With `enough` above 0 the search stops as soon as the hold
 * factor is seen to fall below it, and one at or above it is only known to be so: for a caller who
 * only asks which. */
bool th_judge(const th_job *job, th_arena *arena, double enough, th_judgement *judgement,
              th_error *err);

/* Changes that restore the asked factor, cheapest first; if there is none, the one that gains most.
 */
typedef struct {
    th_turn_down *list;
    size_t count;
    th_turn_down *best_step; /* NULL if none gains anything, or the list is not empty */
} th_turn_downs;
bool th_turn_downs_find(const th_job *job, const th_judgement *judgement, th_arena *arena,
                        th_turn_downs *found, th_error *err);

th_proof_pull th_proof_pull_of(const th_job *job, const th_judgement *judgement);

#endif
