/* fronts.h - inside bond/: a matrix factored front by front, on the symbolic factor of CHOLMOD. */
#ifndef TACKHOLD_BOND_FRONTS_H
#define TACKHOLD_BOND_FRONTS_H

#include <suitesparse/cholmod.h>

#include "linear_solver.h"

typedef enum { TH_FRONTS_DONE, TH_FRONTS_NO_MEMORY, TH_FRONTS_NOT_POSITIVE } th_fronts_result;

/* What the fronts take at most at once, the factor itself left out (bytes). */
double th_fronts_bytes(const cholmod_factor *l, double *work);
/* Numbers that th_fronts_bytes works in. */
size_t th_fronts_work(const cholmod_factor *l);

/* Fill in the values of a supernodal factor, whose `x` has room for them. */
th_fronts_result th_fronts_factor(const th_symmetric *matrix, cholmod_factor *l);

#endif
