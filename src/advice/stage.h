/* stage.h - inside advice/: passes of one operation on the pieces that they touch. */
#ifndef TACKHOLD_ADVICE_STAGE_H
#define TACKHOLD_ADVICE_STAGE_H

#include "trial.h"

enum { TH_PIECE_KINDS = TH_PIECE_SLUG + 1 };

#define TH_EVERY_KIND ((1u << TH_PIECE_KINDS) - 1)

/* Stages of one operation, one for each kind of piece; hold_factor below 0: none. */
typedef struct {
    th_stage kinds[TH_PIECE_KINDS];
} th_stages;

/* Hold one pass (`pattern`: all but piece, stops and spots) against the pieces of a state that its
 * cutter touches, of the kinds in the bit set; each stage keeps the worst seen so far. */
bool th_stages_try(const th_bench *bench, const th_bond_state *state, const th_trial *pattern,
                   const th_stage *loads, unsigned kinds, th_stages *stages);

/* How an outcome came about, in the bench's arena; `outcome` NULL: no tape lies under the piece.
 * NULL when out of memory. */
const th_scene *th_scene_of(const th_bench *bench, const th_trial *trial,
                            const th_outcome *outcome);

/* Largest index of the area model alone on pieces of one kind; -1: none is touched. */
bool th_stages_area(const th_bench *bench, const th_bond_state *state, const th_trial *pattern,
                    th_piece_kind kind, double *index);

#endif
