/* linear_solver.h - direct solution of a sparse symmetric positive definite system. */
#ifndef TACKHOLD_LINEAR_SOLVER_H
#define TACKHOLD_LINEAR_SOLVER_H

#include "tackhold/bond.h"

/* Lower triangle by columns, rows rising, the diagonal first. */
typedef struct {
    int n;
    int *start; /* n + 1 */
    int *row;
    double *value;
    /* Two coordinates of each unknown in the grid that it stands on, where only neighbours in the
     * grid, diagonal ones too, share a number; NULL: not known. Unknowns of a node follow each
     * other. */
    int *grid;
} th_symmetric;

/* A factored matrix. The matrix must outlive it. */
typedef struct th_linear th_linear;

/* Analyse, compare with the memory allowed (bytes), factor, and check the residual of one solution.
 * Errors: TH_NOT_POSSIBLE (too large), TH_BAD_RANGE (not positive definite), TH_NOT_SOLVED (the
 * residual check failed; by dissection also: no grid, or one whose neighbours are not all),
 * TH_NO_MEMORY. */
bool th_linear_factor(const th_symmetric *matrix, th_solver_kind kind, double memory,
                      th_linear **linear, th_error *err);
/* Solves in place for `count` right-hand sides of n numbers, one after the other. */
bool th_linear_solve(th_linear *linear, double *columns, size_t count, th_error *err);
void th_linear_free(th_linear *linear);

/* y = matrix x */
void th_symmetric_times(const th_symmetric *matrix, const double *x, double *y);

/* What a back end provides. */
typedef struct {
    bool (*factor)(const th_symmetric *matrix, double memory, void **factor, th_error *err);
    bool (*solve)(void *factor, double *columns, size_t count, th_error *err);
    void (*release)(void *factor);
} th_solver;

extern const th_solver th_solver_bandwidth;
extern const th_solver th_solver_dissection;
#ifndef TH_SOLVER_BANDED
extern const th_solver th_solver_supernodal;
#endif

/* The errors that both back ends share. Each returns false. */
bool th_linear_too_large(double bytes, double allowed, int n, th_error *err);
bool th_linear_not_held(th_error *err);

#endif
