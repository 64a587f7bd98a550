/* helix.h - inside advice/: how steeply the cutter goes into a hole that it bores on a helix, and
 * into a pocket that has little room for a ramp. */
#ifndef TACKHOLD_ADVICE_HELIX_H
#define TACKHOLD_ADVICE_HELIX_H

#include "judge.h"

/* The steepest helix or ramp that an end mill is sent down (deg, practice: 2 to 3 in steel, 5 to 10
 * in light metal and plastics); steeper is a plunge, on teeth that do not reach its middle. 5 in
 * groups N and O, 3 in the others. */
double th_helix_steepest(const th_job *job);

/* A hole or pocket wider than the cutter by less than this leaves the chips no way out (practice:
 * 1.2 to 1.3). */
#define TH_HELIX_ROOM 1.2

/* Path in which the cutter is an axial engagement deeper, no steeper than the steepest (mm). */
double th_ramp_length(const th_job *job, const th_cut *cut);

/* Of a hole: what its helix rises by (deg) with the depth of the job a turn, and the most depth a
 * turn at the steepest (mm). */
double th_helix_angle(const th_cut *cut);
double th_helix_deepest(const th_job *job, const th_cut *cut);

/* What is to be said of the cut; NULL for nothing. `failed`: out of memory. */
const char *th_helix_words(const th_job *job, const th_cut *cut, th_arena *arena, bool *failed);

#endif
