/* solve_banded.c - Cholesky factor of a matrix in profile form, by blocks of 4 x 4.
 *
 * Four rows together are a panel, stored from the first block in which one of them has a number to
 * the diagonal. Within a block the columns follow each other, so that the product of two panels is
 * a run through memory with 16 sums in registers. With nodes numbered along the shorter side of the
 * grid the profile is narrow, so no other ordering is sought. Rows that fill up the last panel are
 * those of a unit matrix. */
#include "blocks.h"
#include "linear_solver.h"

#include <stdlib.h>
#include <string.h>

typedef struct {
    int n;
    int panels;
    int *first;     /* first block of a panel */
    size_t *offset; /* of a panel's first block, in blocks; panels + 1 */
    double *value;
    double *diagonal; /* of the matrix, before it is eliminated */
} th_profile;

static void release(void *factor) {
    th_profile *p = factor;

    if (p) {
        free(p->first);
        free(p->offset);
        free(p->value);
        free(p->diagonal);
        free(p);
    }
}

static double *block_of(const th_profile *p, int row, int column) {
    return p->value + BLOCK * (p->offset[row] + (size_t)(column - p->first[row]));
}

static bool lay_out(th_profile *p, const th_symmetric *m, double memory, th_error *err) {
    size_t panels = (size_t)p->panels;
    double need;

    p->first = malloc((panels + 1) * sizeof *p->first);
    p->offset = malloc((panels + 1) * sizeof *p->offset);
    p->diagonal = malloc((panels + 1) * SIDE * sizeof *p->diagonal);
    if (!p->first || !p->offset || !p->diagonal) {
        return th_fail_memory(err);
    }
    for (int i = 0; i < p->panels; i++) {
        p->first[i] = i;
    }
    for (int j = 0; j < m->n; j++) {
        for (int k = m->start[j]; k < m->start[j + 1]; k++) {
            int *first = &p->first[m->row[k] / SIDE];
            *first = j / SIDE < *first ? j / SIDE : *first;
        }
    }
    p->offset[0] = 0;
    for (int i = 0; i < p->panels; i++) {
        p->offset[i + 1] = p->offset[i] + (size_t)(i - p->first[i] + 1);
    }
    need = ((double)p->offset[panels] * BLOCK + 2.0 * 48 * m->n) * sizeof(double) +
           m->start[m->n] * 12.0;
    if (need > memory) {
        return th_linear_too_large(need, memory, m->n, err);
    }
    p->value = malloc(p->offset[panels] * BLOCK * sizeof *p->value);
    return p->value ? true : th_fail_memory(err);
}

static void clear(th_profile *p, int upto, int *cleared) {
    for (; *cleared <= upto; ++*cleared) {
        size_t blocks = p->offset[*cleared + 1] - p->offset[*cleared];
        memset(p->value + BLOCK * p->offset[*cleared], 0, BLOCK * blocks * sizeof *p->value);
    }
}

/* The columns of one panel, into rows that are cleared as they are reached: so the numbers are
 * still near when they are needed. `cleared` counts panels. */
static void fill(th_profile *p, const th_symmetric *m, int panel, int *cleared) {
    for (int j = SIDE * panel; j < SIDE * (panel + 1); j++) {
        for (int k = j < m->n ? m->start[j] : 0; j < m->n && k < m->start[j + 1]; k++) {
            int i = m->row[k];
            clear(p, i / SIDE, cleared);
            block_of(p, i / SIDE, panel)[SIDE * (j % SIDE) + i % SIDE] = m->value[k];
        }
        clear(p, panel, cleared);
        double *own = &block_of(p, panel, panel)[SIDE * (j % SIDE) + j % SIDE];
        *own = j < m->n ? *own : 1;
        p->diagonal[j] = *own;
    }
}

static bool eliminate(th_profile *p, const th_symmetric *matrix, th_error *err) {
    for (int i = 0, cleared = 0; i < p->panels; i++) {
        int low = p->first[i];
        double *own = block_of(p, i, i), upper[BLOCK];

        fill(p, matrix, i, &cleared);

        for (int j = low; j < i; j++) {
            int from = low > p->first[j] ? low : p->first[j];
            double *block = block_of(p, i, j);
            th_block_subtract(block, block_of(p, i, from), block_of(p, j, from),
                              (size_t)(j - from) * SIDE);
            th_block_divide(block, block_of(p, j, j));
        }
        memcpy(upper, own, sizeof upper);
        th_block_subtract(upper, block_of(p, i, low), block_of(p, i, low),
                          (size_t)(i - low) * SIDE);
        memcpy(own, upper, sizeof upper);
        if (!th_block_factor(own, p->diagonal + (size_t)i * SIDE)) {
            return th_linear_not_held(err);
        }
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
    p->panels = (matrix->n + SIDE - 1) / SIDE;
    if (!lay_out(p, matrix, memory, err)) {
        return false;
    }
    return eliminate(p, matrix, err);
}

/* Right-hand sides lie in groups of SIDE, row by row as the columns of a block do: a group holds
 * for each unknown its value in each of them. All groups take a panel before the next one is
 * fetched: the factor is far larger than a cache. */
enum { GROUPS = 12 };

static void forward(const th_profile *p, int i, double *x) {
    const double *own = block_of(p, i, i);
    double *mine = x + (size_t)i * BLOCK, sum[BLOCK];

    th_block_multiply(sum, block_of(p, i, p->first[i]), x + (size_t)p->first[i] * BLOCK,
                      (size_t)(i - p->first[i]) * SIDE);
    th_block_forward(mine, sum, own);
}

static void backward(const th_profile *p, int i, double *x) {
    const double *own = block_of(p, i, i);
    double *mine = x + (size_t)i * BLOCK;

    th_block_backward(mine, own);
    th_block_take_away(x + (size_t)p->first[i] * BLOCK, block_of(p, i, p->first[i]), mine,
                       (size_t)(i - p->first[i]) * SIDE);
}

/* Between columns of n numbers and groups; `in`: into the groups. */
static void carry(const th_profile *p, double *columns, size_t count, double *x, bool in) {
    size_t n = (size_t)p->n, stride = (size_t)p->panels * BLOCK;

    for (size_t c = 0; c < count; c++) {
        double *group = x + c / SIDE * stride + c % SIDE, *column = columns + c * n;
        for (size_t i = 0; i < n && in; i++) {
            group[SIDE * i] = column[i];
        }
        for (size_t i = 0; i < n && !in; i++) {
            column[i] = group[SIDE * i];
        }
    }
}

static void solve_groups(const th_profile *p, double *x, size_t groups) {
    size_t stride = (size_t)p->panels * BLOCK;

    for (int i = 0; i < p->panels; i++) {
        for (size_t g = 0; g < groups; g++) {
            forward(p, i, x + g * stride);
        }
    }
    for (int i = p->panels - 1; i >= 0; i--) {
        for (size_t g = 0; g < groups; g++) {
            backward(p, i, x + g * stride);
        }
    }
}

static bool solve(void *made, double *columns, size_t count, th_error *err) {
    const th_profile *p = made;
    size_t n = (size_t)p->n, stride = (size_t)p->panels * BLOCK, most = (size_t)SIDE * GROUPS;
    size_t groups = ((count < most ? count : most) + SIDE - 1) / SIDE;
    double *x = calloc(groups * stride + 1, sizeof *x);

    if (!x) {
        return th_fail_memory(err);
    }
    for (size_t at = 0; at < count; at += most) {
        size_t now = count - at < most ? count - at : most;
        carry(p, columns + at * n, now, x, true);
        solve_groups(p, x, (now + SIDE - 1) / SIDE);
        carry(p, columns + at * n, now, x, false);
    }
    free(x);
    return true;
}

const th_solver th_solver_bandwidth = {factor, solve, release};
