/* linear_solver.c - choice of the back end and the check of its work. */
#include "linear_solver.h"

#include <math.h>
#include <stdlib.h>

struct th_linear {
    const th_solver *solver;
    void *factor;
    size_t n;
};

bool th_linear_too_large(double bytes, double allowed, int n, th_error *err) {
    return th_fail(err, TH_NOT_POSSIBLE,
                   "the plate model has %d unknowns and would need %.2f GB of memory; %.2f GB are "
                   "allowed: use a coarser grid",
                   n, bytes / 1e9, allowed / 1e9);
}

bool th_linear_not_held(th_error *err) {
    return th_fail(err, TH_BAD_RANGE,
                   "the plate model has no unique answer: some piece of the part is not held by "
                   "tape, or only by one corner of a cell");
}

void th_symmetric_times(const th_symmetric *matrix, const double *x, double *y) {
    for (int j = 0; j < matrix->n; j++) {
        y[j] = 0;
    }
    for (int j = 0; j < matrix->n; j++) {
        double sum = matrix->value[matrix->start[j]] * x[j];

        for (int p = matrix->start[j] + 1; p < matrix->start[j + 1]; p++) {
            y[matrix->row[p]] += matrix->value[p] * x[j];
            sum += matrix->value[p] * x[matrix->row[p]];
        }
        y[j] += sum;
    }
}

/* Largest |a_ij| of the matrix: the scale of the residual. */
static double largest(const double *values, int count) {
    double most = 0;

    for (int i = 0; i < count; i++) {
        most = fmax(most, fabs(values[i]));
    }
    return most;
}

/* Backward error of one solution with a right-hand side that touches every unknown. A BLAS that is
 * wrong on some processor shows here, whatever it returned. */
static bool check_residual(th_linear *linear, const th_symmetric *matrix, th_error *err) {
    int n = matrix->n;
    double *b = malloc(3 * (size_t)n * sizeof *b);
    double *x, *r, worst = 0, scale;

    if (!b) {
        return th_fail_memory(err);
    }
    x = b + n;
    r = x + n;
    for (int i = 0; i < n; i++) {
        x[i] = b[i] = 1 + 0.5 * sin(1.7 * i);
    }
    if (!th_linear_solve(linear, x, 1, err)) {
        free(b);
        return false;
    }
    th_symmetric_times(matrix, x, r);
    scale = largest(matrix->value, matrix->start[n]) * largest(x, n) + largest(b, n);
    for (int i = 0; i < n; i++) {
        double off = fabs(r[i] - b[i]);

        worst = isfinite(off) ? fmax(worst, off) : INFINITY;
    }
    free(b);
    if (!(worst <= 1e-10 * scale) || !isfinite(worst)) {
        return th_fail(err, TH_NOT_SOLVED,
                       "the solver's answer leaves a residual of %.3g of its scale, above 1e-10",
                       worst / scale);
    }
    return true;
}

static const th_solver *solver_of(th_solver_kind kind) {
    if (kind == TH_SOLVER_BANDWIDTH) {
        return &th_solver_bandwidth;
    }
#ifdef TH_SOLVER_BANDED
    return &th_solver_dissection;
#else
    return kind == TH_SOLVER_DISSECTION ? &th_solver_dissection : &th_solver_supernodal;
#endif
}

bool th_linear_factor(const th_symmetric *matrix, th_solver_kind kind, double memory,
                      th_linear **linear, th_error *err) {
    th_linear *made = calloc(1, sizeof *made);

    *linear = NULL;
    if (!made) {
        return th_fail_memory(err);
    }
    made->solver = solver_of(kind);
    made->n = (size_t)matrix->n;
    if (!made->solver->factor(matrix, memory, &made->factor, err) ||
        !check_residual(made, matrix, err)) {
        th_linear_free(made);
        return false;
    }
    *linear = made;
    return true;
}

bool th_linear_solve(th_linear *linear, double *columns, size_t count, th_error *err) {
    return linear->solver->solve(linear->factor, columns, count, err);
}

void th_linear_free(th_linear *linear) {
    if (linear) {
        linear->solver->release(linear->factor);
        free(linear);
    }
}
