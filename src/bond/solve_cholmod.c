/* solve_cholmod.c - supernodes and solution by CHOLMOD (Chen, Davis, Hager, Rajamanickam 2008),
 * their numbers by our own fronts.
 *
 * Only this file and solve_fronts.c know CHOLMOD. */
#include "linear_solver.h"

#include <math.h>
#include <stdlib.h>

#include "fronts.h"

/* Of the OpenMP runtime that CHOLMOD brings. Only gcc's own folder has its header. */
extern int omp_get_max_active_levels(void);
extern void omp_set_max_active_levels(int levels);

/* Present when the BLAS is OpenBLAS. */
extern int openblas_get_num_threads(void) __attribute__((weak));
extern void openblas_set_num_threads(int count) __attribute__((weak));

/* One thread while it works: CHOLMOD asks for four a region however few cores there are, and on
 * fronts as small as ours waiting for each other costs more than sharing the work saves. The answer
 * is then the same to the last bit on any number of cores. */
typedef struct {
    int levels, blas;
} th_threads;

static th_threads go_alone(void) {
    th_threads before = {omp_get_max_active_levels(), 0};

    omp_set_max_active_levels(0);
    if (openblas_get_num_threads && openblas_set_num_threads) {
        before.blas = openblas_get_num_threads();
        openblas_set_num_threads(1);
    }
    return before;
}

static void go_back(th_threads before) {
    omp_set_max_active_levels(before.levels);
    if (before.blas > 0 && openblas_set_num_threads) {
        openblas_set_num_threads(before.blas);
    }
}

typedef struct {
    cholmod_common common;
    cholmod_factor *factor;
    cholmod_dense *x, *y, *e; /* work kept from one block to the next */
    int n;
} th_supernodal;

static void release(void *factor) {
    th_supernodal *s = factor;

    if (s) {
        cholmod_free_dense(&s->x, &s->common);
        cholmod_free_dense(&s->y, &s->common);
        cholmod_free_dense(&s->e, &s->common);
        cholmod_free_factor(&s->factor, &s->common);
        cholmod_finish(&s->common);
        free(s);
    }
}

/* A CHOLMOD view of our matrix; nothing is copied. */
static cholmod_sparse view_of(const th_symmetric *m) {
    cholmod_sparse view = {0};

    view.nrow = view.ncol = (size_t)m->n;
    view.nzmax = (size_t)m->start[m->n];
    view.p = m->start;
    view.i = m->row;
    view.x = m->value;
    view.stype = -1;
    view.itype = CHOLMOD_INT;
    view.xtype = CHOLMOD_REAL;
    view.dtype = CHOLMOD_DOUBLE;
    view.sorted = 1;
    view.packed = 1;
    return view;
}

static void set_up(th_supernodal *s) {
    cholmod_start(&s->common);
    s->common.print = 0; /* it writes warnings to standard output otherwise */
    s->common.supernodal = CHOLMOD_SUPERNODAL;
    s->common.quick_return_if_not_posdef = 1;
}

/* Factor, the two copies of the matrix that CHOLMOD makes, the fronts, and blocks of right-hand
 * sides here and inside; NAN when out of memory. */
static double bytes_needed(const th_supernodal *s, const th_symmetric *m) {
    double *work = malloc(th_fronts_work(s->factor) * sizeof *work);
    double fronts = work ? th_fronts_bytes(s->factor, work) : (double)NAN;
    double blocks = 4.0 * 48 * m->n * sizeof(double);
    double copies = 3.0 * m->start[m->n] * (sizeof(double) + sizeof(int));

    free(work);
    return (double)s->factor->xsize * sizeof(double) + fronts + blocks + copies;
}

static bool failed(const th_supernodal *s, th_error *err) {
    if (s->common.status == CHOLMOD_OUT_OF_MEMORY) {
        return th_fail_memory(err);
    }
    if (s->common.status == CHOLMOD_NOT_POSDEF) {
        return th_linear_not_held(err);
    }
    return th_fail(err, TH_NOT_SOLVED, "the sparse solver gave up with code %d", s->common.status);
}

/* OpenBLAS has kernels for small matrices that copy one and do not look whether they were given the
 * memory for it. So more than they may need is asked for right before, and given back. */
#define BLAS_COPY (8u << 20) /* of a million numbers, beyond which no matrix is small (bytes) */

static bool blas_has_room(void) {
    void *volatile block = malloc(BLAS_COPY); /* or the compiler sees that nothing comes of it */
    bool given = block != NULL;

    free(block);
    return given;
}

static bool factor_into(th_supernodal *s, const th_symmetric *matrix, double memory,
                        th_error *err) {
    cholmod_sparse view = view_of(matrix);
    double need;

    s->factor = cholmod_analyze(&view, &s->common);
    if (!s->factor || s->common.status < CHOLMOD_OK) {
        return failed(s, err);
    }
    need = bytes_needed(s, matrix);
    if (isnan(need)) {
        return th_fail_memory(err);
    }
    if (need > memory) {
        return th_linear_too_large(need, memory, matrix->n, err);
    }
    if (!blas_has_room()) {
        return th_fail_memory(err);
    }
    /* only takes the memory */
    if (!cholmod_change_factor(CHOLMOD_REAL, true, true, true, true, s->factor, &s->common)) {
        return failed(s, err);
    }
    switch (th_fronts_factor(matrix, s->factor)) {
    case TH_FRONTS_NO_MEMORY:
        return th_fail_memory(err);
    case TH_FRONTS_NOT_POSITIVE:
        return th_linear_not_held(err);
    default:
        return true;
    }
}

static bool factor(const th_symmetric *matrix, double memory, void **made, th_error *err) {
    th_supernodal *s = calloc(1, sizeof *s);
    th_threads before;
    bool fine;

    *made = s;
    if (!s) {
        return th_fail_memory(err);
    }
    s->n = matrix->n;
    before = go_alone();
    set_up(s);
    fine = factor_into(s, matrix, memory, err);
    go_back(before);
    return fine;
}

/* Its work before it is called: where memory runs out inside, it goes on with what it has not got.
 */
static bool work_taken(th_supernodal *s, size_t count) {
    size_t n = (size_t)s->n;

    return cholmod_ensure_dense(&s->y, n, count, n, CHOLMOD_REAL, &s->common) &&
           cholmod_ensure_dense(&s->e, count, s->factor->maxesize, count, CHOLMOD_REAL,
                                &s->common) &&
           cholmod_ensure_dense(&s->x, n, count, n, CHOLMOD_REAL, &s->common);
}

static bool solve(void *made, double *columns, size_t count, th_error *err) {
    th_supernodal *s = made;
    size_t size = (size_t)s->n * count;
    cholmod_dense b = {0};
    th_threads before;
    int solved;

    b.nrow = b.d = (size_t)s->n;
    b.ncol = count;
    b.nzmax = size;
    b.x = columns;
    b.xtype = CHOLMOD_REAL;
    b.dtype = CHOLMOD_DOUBLE;
    before = go_alone();
    if (!blas_has_room()) {
        go_back(before);
        return th_fail_memory(err);
    }
    solved = work_taken(s, count) &&
             cholmod_solve2(CHOLMOD_A, s->factor, &b, NULL, &s->x, NULL, &s->y, &s->e, &s->common);
    go_back(before);
    if (!solved) {
        return failed(s, err);
    }
    for (size_t i = 0; i < size; i++) {
        columns[i] = ((const double *)s->x->x)[i];
    }
    return true;
}

const th_solver th_solver_supernodal = {factor, solve, release};
