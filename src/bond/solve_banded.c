/* solve_banded.c - Cholesky factor of a matrix in profile form.
 *
 * Row i of the factor is stored from its first nonzero column to the diagonal. With nodes numbered
 * along the shorter side of the grid the profile is narrow, so no other ordering is sought. */
#include "linear_solver.h"

#include <math.h>
#include <stdlib.h>

typedef struct {
    int n;
    int *first;     /* first column of row i */
    size_t *offset; /* of row i's first number; n + 1 */
    double *value;
} th_profile;

static void release(void *factor) {
    th_profile *p = factor;

    if (p) {
        free(p->first);
        free(p->offset);
        free(p->value);
        free(p);
    }
}

/* Four sums at once, so that the additions do not wait for each other. */
static double dot(const double *a, const double *b, int count) {
    double s0 = 0, s1 = 0, s2 = 0, s3 = 0;
    int i = 0;

    for (; i + 3 < count; i += 4) {
        s0 += a[i] * b[i];
        s1 += a[i + 1] * b[i + 1];
        s2 += a[i + 2] * b[i + 2];
        s3 += a[i + 3] * b[i + 3];
    }
    for (; i < count; i++) {
        s0 += a[i] * b[i];
    }
    return (s0 + s1) + (s2 + s3);
}

static bool lay_out(th_profile *p, const th_symmetric *m, double memory, th_error *err) {
    double need;

    p->first = malloc((size_t)m->n * sizeof *p->first);
    p->offset = malloc(((size_t)m->n + 1) * sizeof *p->offset);
    if (!p->first || !p->offset) {
        return th_fail_memory(err);
    }
    for (int i = 0; i < m->n; i++) {
        p->first[i] = i;
    }
    for (int j = 0; j < m->n; j++) {
        for (int k = m->start[j]; k < m->start[j + 1]; k++) {
            if (j < p->first[m->row[k]]) {
                p->first[m->row[k]] = j;
            }
        }
    }
    p->offset[0] = 0;
    for (int i = 0; i < m->n; i++) {
        p->offset[i + 1] = p->offset[i] + (size_t)(i - p->first[i] + 1);
    }
    need = ((double)p->offset[m->n] + 2.0 * 48 * m->n) * sizeof(double) + m->start[m->n] * 12.0;
    if (need > memory) {
        return th_linear_too_large(need, memory, m->n, err);
    }
    p->value = calloc(p->offset[m->n], sizeof *p->value);
    return p->value ? true : th_fail_memory(err);
}

static void fill(th_profile *p, const th_symmetric *m) {
    for (int j = 0; j < m->n; j++) {
        for (int k = m->start[j]; k < m->start[j + 1]; k++) {
            int i = m->row[k];

            p->value[p->offset[i] + (size_t)(j - p->first[i])] = m->value[k];
        }
    }
}

/* Row by row; a pivot that has lost twelve digits of its diagonal means a motion nothing resists.
 */
static bool eliminate(th_profile *p, th_error *err) {
    for (int i = 0; i < p->n; i++) {
        double *row = p->value + p->offset[i];
        int low = p->first[i];
        double diagonal = row[i - low], pivot;

        for (int j = low; j < i; j++) {
            const double *other = p->value + p->offset[j];
            int from = low > p->first[j] ? low : p->first[j];

            row[j - low] -= dot(row + (from - low), other + (from - p->first[j]), j - from);
            row[j - low] /= other[j - p->first[j]];
        }
        pivot = diagonal - dot(row, row, i - low);
        if (!(pivot > 1e-14 * diagonal)) {
            return th_linear_not_held(err);
        }
        row[i - low] = sqrt(pivot);
    }
    return true;
}

static bool factor(const th_symmetric *matrix, double memory, void **made, th_error *err) {
    th_profile *p = calloc(1, sizeof *p);

    *made = p;
    if (!p) {
        return th_fail_memory(err);
    }
    p->n = matrix->n;
    if (!lay_out(p, matrix, memory, err)) {
        return false;
    }
    fill(p, matrix);
    return eliminate(p, err);
}

/* L y = b, then L' x = y, for the columns side by side: each row of L is read once a block. */
static void substitute(const th_profile *p, double *b, size_t count) {
    size_t n = (size_t)p->n;

    for (int i = 0; i < p->n; i++) {
        const double *row = p->value + p->offset[i];
        int low = p->first[i];

        for (size_t c = 0; c < count; c++) {
            double *x = b + c * n;
            x[i] = (x[i] - dot(row, x + low, i - low)) / row[i - low];
        }
    }
    for (int i = p->n - 1; i >= 0; i--) {
        const double *row = p->value + p->offset[i];
        int low = p->first[i];

        for (size_t c = 0; c < count; c++) {
            double *x = b + c * n;
            double xi = x[i] /= row[i - low];

            for (int j = low; j < i; j++) {
                x[j] -= row[j - low] * xi;
            }
        }
    }
}

static bool solve(void *made, double *columns, size_t count, th_error *err) {
    (void)err;
    substitute(made, columns, count);
    return true;
}

const th_solver th_solver_bandwidth = {factor, solve, release};
