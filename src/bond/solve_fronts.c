/* solve_fronts.c - multifrontal Cholesky (Duff and Reid 1983) over given supernodes.
 *
 * CHOLMOD orders, analyses and solves. The numbers are made here: its own loop opens several
 * parallel regions a supernode, and on systems of some thousand unknowns those take longer than the
 * arithmetic. */
#include <stdlib.h>
#include <string.h>

#include <cblas.h>

#include "fronts.h"

extern void dpotrf_(const char *half, const int *n, double *a, const int *stride, int *info);

/* Columns first to end of the factor, which share their rows: first those columns themselves, then
 * `below` more, which their update reaches. */
typedef struct {
    int first, columns, rows, below;
    const int *row;
    double *block; /* rows x columns of the factor, of the front at work */
} th_front;

typedef struct {
    const cholmod_factor *l;
    int *place; /* of an unknown in the order of elimination */
    int *start; /* of the columns in that order */
    int *row;
    double *value;
    int *front_of;        /* of a column */
    int *child, *sibling; /* fronts that wait to be added to another */
    double **update;      /* what they bring */
    int *map;             /* row -> place in the front at work */
} th_fronts;

static th_front front_at(const cholmod_factor *l, int s) {
    const int *super = l->super, *pi = l->pi, *rows = l->s;
    th_front front = {.first = super[s],
                      .columns = super[s + 1] - super[s],
                      .rows = pi[s + 1] - pi[s],
                      .row = rows + pi[s]};

    front.below = front.rows - front.columns;
    return front;
}

static double square(int side) {
    return (double)side * side * (double)sizeof(double);
}

size_t th_fronts_work(const cholmod_factor *l) {
    return l->n + l->nsuper + 1;
}

double th_fronts_bytes(const cholmod_factor *l, double *work) {
    double *owner = work, *brought = work + l->n, alive = 0, most = 0;

    for (size_t s = 0; s < l->nsuper; s++) {
        th_front front = front_at(l, (int)s);

        for (int k = 0; k < front.columns; k++) {
            owner[front.first + k] = (double)s;
        }
        brought[s] = 0;
    }
    for (size_t s = 0; s < l->nsuper; s++) {
        th_front front = front_at(l, (int)s);

        alive += square(front.below);
        most = alive > most ? alive : most;
        alive -= brought[s];
        if (front.below) {
            brought[(size_t)owner[front.row[front.columns]]] += square(front.below);
        }
    }
    return most + (double)l->n * 6 * (double)sizeof(int);
}

/* ---- the matrix in the order of elimination -------------------------------------------------- */

static void count_columns(const th_symmetric *m, th_fronts *f) {
    for (int j = 0; j < m->n; j++) {
        for (int p = m->start[j]; p < m->start[j + 1]; p++) {
            int a = f->place[j], b = f->place[m->row[p]];

            f->start[(a < b ? a : b) + 1]++;
        }
    }
    for (int j = 0; j < m->n; j++) {
        f->start[j + 1] += f->start[j];
    }
}

/* `map` serves as the next free place of each column. */
static void fill_columns(const th_symmetric *m, th_fronts *f) {
    memcpy(f->map, f->start, (size_t)m->n * sizeof *f->map);
    for (int j = 0; j < m->n; j++) {
        for (int p = m->start[j]; p < m->start[j + 1]; p++) {
            int a = f->place[j], b = f->place[m->row[p]];
            int at = f->map[a < b ? a : b]++;

            f->row[at] = a < b ? b : a;
            f->value[at] = m->value[p];
        }
    }
}

/* ---- one front ------------------------------------------------------------------------------- */

static void add_matrix(const th_fronts *f, const th_front *front) {
    memset(front->block, 0, (size_t)front->rows * (size_t)front->columns * sizeof(double));
    for (int k = 0; k < front->columns; k++) {
        double *column = front->block + (size_t)k * (size_t)front->rows;

        for (int p = f->start[front->first + k]; p < f->start[front->first + k + 1]; p++) {
            column[f->map[f->row[p]]] += f->value[p];
        }
    }
}

/* Column k of a child's update goes into the factor or, further down, into the front's own. */
static void add_child(const th_fronts *f, const th_front *front, int child, double *update) {
    th_front from = front_at(f->l, child);
    const int *row = from.row + from.columns;

    for (int k = 0; k < from.below; k++) {
        const double *column = f->update[child] + (size_t)k * (size_t)from.below;
        int to = f->map[row[k]];
        bool own = to < front->columns;
        int first = own ? 0 : front->columns; /* row of the front that `sum` begins with */
        double *sum = own ? front->block + (size_t)to * (size_t)front->rows
                          : update + (size_t)(to - front->columns) * (size_t)front->below;

        for (int i = k; i < from.below; i++) {
            sum[f->map[row[i]] - first] += column[i];
        }
    }
}

static void add_children(th_fronts *f, const th_front *front, int s, double *update) {
    for (int c = f->child[s]; c >= 0; c = f->sibling[c]) {
        add_child(f, front, c, update);
        free(f->update[c]);
        f->update[c] = NULL;
    }
}

/* Eliminate the columns of a front; what that changes in the rows below goes to its parent. */
static bool eliminate(const th_front *front, double *update) {
    int info = 0;

    dpotrf_("L", &front->columns, front->block, &front->rows, &info);
    if (info != 0) {
        return false;
    }
    if (front->below) {
        double *rest = front->block + front->columns;

        cblas_dtrsm(CblasColMajor, CblasRight, CblasLower, CblasTrans, CblasNonUnit, front->below,
                    front->columns, 1, front->block, front->rows, rest, front->rows);
        cblas_dsyrk(CblasColMajor, CblasLower, CblasNoTrans, front->below, front->columns, -1, rest,
                    front->rows, 1, update, front->below);
    }
    return true;
}

static th_fronts_result work_on(th_fronts *f, int s) {
    const int *px = f->l->px;
    th_front front = front_at(f->l, s);
    double *update = NULL;

    front.block = (double *)f->l->x + px[s];
    if (front.below) {
        update = calloc((size_t)front.below * (size_t)front.below, sizeof *update);
        if (!update) {
            return TH_FRONTS_NO_MEMORY;
        }
    }
    for (int k = 0; k < front.rows; k++) {
        f->map[front.row[k]] = k;
    }
    add_matrix(f, &front);
    add_children(f, &front, s, update);
    f->update[s] = update;
    if (!eliminate(&front, update)) {
        return TH_FRONTS_NOT_POSITIVE;
    }
    if (front.below) {
        int parent = f->front_of[front.row[front.columns]];

        f->sibling[s] = f->child[parent];
        f->child[parent] = s;
    }
    return TH_FRONTS_DONE;
}

/* ---- all of them ----------------------------------------------------------------------------- */

static void set_up(const th_symmetric *matrix, th_fronts *f) {
    const int *order = f->l->Perm;

    for (int k = 0; k < matrix->n; k++) {
        f->place[order[k]] = k;
    }
    for (int s = 0; s < (int)f->l->nsuper; s++) {
        th_front front = front_at(f->l, s);

        f->child[s] = -1;
        for (int k = 0; k < front.columns; k++) {
            f->front_of[front.first + k] = s;
        }
    }
    count_columns(matrix, f);
    fill_columns(matrix, f);
}

th_fronts_result th_fronts_factor(const th_symmetric *matrix, cholmod_factor *l) {
    size_t n = (size_t)matrix->n, entries = (size_t)matrix->start[n], fronts = l->nsuper;
    int *whole = calloc(4 * n + 1 + 2 * fronts + entries, sizeof *whole);
    double *value = malloc((entries + 1) * sizeof *value);
    double **update = calloc(fronts + 1, sizeof *update);
    th_fronts f = {.l = l, .value = value, .update = update};
    th_fronts_result result = TH_FRONTS_NO_MEMORY;

    if (whole && value && update) {
        f.place = whole;
        f.front_of = f.place + n;
        f.map = f.front_of + n;
        f.start = f.map + n;
        f.child = f.start + n + 1;
        f.sibling = f.child + fronts;
        f.row = f.sibling + fronts;
        set_up(matrix, &f);
        result = TH_FRONTS_DONE;
    }
    for (size_t s = 0; result == TH_FRONTS_DONE && s < fronts; s++) {
        result = work_on(&f, (int)s);
    }
    for (size_t s = 0; update && s < fronts; s++) {
        free(update[s]);
    }
    free(whole);
    free(value);
    free(update);
    return result;
}
