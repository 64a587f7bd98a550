/* test_solver_memory.c - the sparse solver where memory runs out inside the library it rests on,
 * and where a matrix overflows; what it takes, and a BLAS that is wrong. */
#define _GNU_SOURCE /* RTLD_NEXT */
#include <dlfcn.h>
#include <malloc.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <suitesparse/SuiteSparse_config.h>

#include "linear_solver.h"
#include "support/near.h"

enum { SIDE = 12, UNKNOWNS = SIDE * SIDE, COLUMNS = 6, ENTRIES_MOST = 3 * UNKNOWNS };

/* Which allocation fails: counted down, 0 none. */
static int fails_in;

/* Whether the factor of every front comes out twice as large as it is. */
static bool spoiled;

void dpotrf_(const char *half, const int *n, double *a, const int *stride, int *info);

/* Stands before that of the BLAS. */
void dpotrf_(const char *half, const int *n, double *a, const int *stride, int *info) {
    void *found = dlsym(RTLD_NEXT, "dpotrf_");
    void (*factor)(const char *, const int *, double *, const int *, int *);

    memcpy(&factor, &found, sizeof factor);
    factor(half, n, a, stride, info);
    for (int k = 0; spoiled && k < *n * *stride; k++) {
        a[k] *= k / *stride < *n && k % *stride < *n ? 2 : 1;
    }
}

/* What the library has taken and not given back yet, and the most of it so far (bytes). */
static size_t taken, most_taken;

static void *note(void *block) {
    taken += block ? malloc_usable_size(block) : 0;
    most_taken = taken > most_taken ? taken : most_taken;
    return block;
}

static bool fails_now(void) {
    return fails_in > 0 && --fails_in == 0;
}

static void *our_malloc(size_t size) {
    return fails_now() ? NULL : note(malloc(size));
}

static void *our_calloc(size_t count, size_t size) {
    return fails_now() ? NULL : note(calloc(count, size));
}

static void *our_realloc(void *block, size_t size) {
    size_t before = block ? malloc_usable_size(block) : 0;
    void *moved = fails_now() ? NULL : realloc(block, size);

    taken -= moved ? before : 0;
    return note(moved);
}

static void our_free(void *block) {
    taken -= block ? malloc_usable_size(block) : 0;
    free(block);
}

static void use_ours(void) {
#if SUITESPARSE_MAIN_VERSION >= 7
    SuiteSparse_config_malloc_func_set(our_malloc);
    SuiteSparse_config_calloc_func_set(our_calloc);
    SuiteSparse_config_realloc_func_set(our_realloc);
    SuiteSparse_config_free_func_set(our_free);
#else
    SuiteSparse_config.malloc_func = our_malloc;
    SuiteSparse_config.calloc_func = our_calloc;
    SuiteSparse_config.realloc_func = our_realloc;
    SuiteSparse_config.free_func = our_free;
#endif
}

static int starts[UNKNOWNS + 1], rows[ENTRIES_MOST];
static double values[ENTRIES_MOST];

/* A square grid of springs, each node on a spring of its own. */
static th_symmetric springs(double stiffness) {
    th_symmetric m = {.n = UNKNOWNS, .start = starts, .row = rows, .value = values};
    int used = 0;

    for (int j = 0; j < UNKNOWNS; j++) {
        starts[j] = used;
        rows[used] = j;
        values[used++] = 5 * stiffness;
        if (j % SIDE != SIDE - 1) {
            rows[used] = j + 1;
            values[used++] = -stiffness;
        }
        if (j + SIDE < UNKNOWNS) {
            rows[used] = j + SIDE;
            values[used++] = -stiffness;
        }
    }
    starts[UNKNOWNS] = used;
    return m;
}

static bool solved(const th_symmetric *m, double *columns, th_error *err) {
    th_linear *linear;
    bool fine = th_linear_factor(m, TH_SOLVER_SUPERNODAL, 1e9, &linear, err);

    if (fine) {
        fine = th_linear_solve(linear, columns, COLUMNS, err);
        th_linear_free(linear);
    }
    return fine;
}

static void fill(double *columns) {
    for (int i = 0; i < UNKNOWNS * COLUMNS; i++) {
        columns[i] = 1 + 0.1 * (i % 7);
    }
}

/* Every allocation fails once; each time that is said, and nothing crashes. */
static void every_failed_allocation_is_told(void **state) {
    static double columns[UNKNOWNS * COLUMNS], expected[UNKNOWNS * COLUMNS];
    th_symmetric m = springs(1);
    int failed = 0;
    th_error err;

    (void)state;
    use_ours();
    fill(expected);
    assert_true(solved(&m, expected, &err));
    for (int at = 1;; at++) {
        bool fine, reached;
        fill(columns);
        fails_in = at;
        fine = solved(&m, columns, &err);
        reached = fails_in == 0;
        fails_in = 0;
        if (!reached) {
            assert_true(fine);
            break;
        }
        assert_true(fine || err.code == TH_NO_MEMORY);
        for (int i = 0; fine && i < UNKNOWNS * COLUMNS; i++) {
            assert_near(columns[i], expected[i], 1e-12, 0);
        }
        failed += !fine;
    }
    assert_true(failed > 20);
}

/* Springs so soft that the answer overflows, and the scale of the residual with it. */
static void an_infinite_residual_is_no_answer(void **state) {
    static double columns[UNKNOWNS * COLUMNS];
    th_symmetric m = springs(1e-310);
    th_error err;

    (void)state;
    fill(columns);
    assert_false(solved(&m, columns, &err));
    assert_int_equal(err.code, TH_NOT_SOLVED);
}

/* What is asked for is enough for all that the library takes, with a block of 48 right-hand sides,
 * and for those themselves. */
static void no_more_is_taken_than_allowed(void **state) {
    enum { BLOCK = 48 };
    static double columns[UNKNOWNS * BLOCK];
    th_symmetric m = springs(1);
    double low = 1, high = 1e9;
    th_linear *linear;
    th_error err;

    (void)state;
    use_ours();
    while (high > 1.001 * low) {
        double memory = sqrt(low * high);
        if (th_linear_factor(&m, TH_SOLVER_SUPERNODAL, memory, &linear, &err)) {
            th_linear_free(linear);
            high = memory;
        } else {
            assert_int_equal(err.code, TH_NOT_POSSIBLE);
            low = memory;
        }
    }
    assert_int_equal(taken, 0);
    most_taken = 0;
    for (int i = 0; i < UNKNOWNS * BLOCK; i++) {
        columns[i] = 1;
    }
    assert_true(th_linear_factor(&m, TH_SOLVER_SUPERNODAL, high, &linear, &err));
    assert_true(th_linear_solve(linear, columns, BLOCK, &err));
    th_linear_free(linear);
    assert_true((double)(most_taken + sizeof columns) <= high);
}

/* A wrong factor is found out, and how wrong it is is told as a share of the largest that a
 * residual may be: below 1, whatever the unit of stiffness. */
static void a_wrong_factor_is_told_by_its_share(void **state) {
    static const double units[] = {1e-6, 1, 1e9};
    double shares[3];

    (void)state;
    for (int i = 0; i < 3; i++) {
        th_symmetric m = springs(units[i]);
        th_linear *linear;
        const char *told;
        th_error err;
        spoiled = true;
        assert_false(th_linear_factor(&m, TH_SOLVER_SUPERNODAL, 1e9, &linear, &err));
        spoiled = false;
        assert_int_equal(err.code, TH_NOT_SOLVED);
        told = strstr(err.message, "a residual of ");
        assert_non_null(told);
        shares[i] = strtod(told + strlen("a residual of "), NULL);
        assert_true(shares[i] > 1e-3 && shares[i] <= 1);
        assert_near(shares[i], shares[0], 1e-2, 0);
    }
}

/* What the C library has given out (bytes). */
static size_t given_out(void) {
    struct mallinfo2 info = mallinfo2();

    return info.uordblks + info.hblkhd;
}

/* A matrix that holds nothing is given up amid its fronts: what those done by then wait with is
 * given back, and so nothing is added up over many of them. */
static void what_holds_nothing_leaves_nothing_behind(void **state) {
    enum { ROUNDS = 100 };
    static double columns[UNKNOWNS * COLUMNS];
    size_t before = 0;
    th_error err;

    (void)state;
    use_ours();
    for (int bad = 0; bad < 2; bad++) { /* all nodes, or one of them: the first front or another */
        th_symmetric m = springs(bad ? 1 : -1);
        values[starts[UNKNOWNS / 2]] = -5;
        for (int i = 0; i < 2 * ROUNDS; i++) {
            before = i == ROUNDS ? given_out() : before;
            assert_false(solved(&m, columns, &err));
            assert_int_equal(err.code, TH_BAD_RANGE);
        }
        assert_true(given_out() < before + ROUNDS * sizeof(double));
    }
    assert_int_equal(taken, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_failed_allocation_is_told),
        cmocka_unit_test(an_infinite_residual_is_no_answer),
        cmocka_unit_test(no_more_is_taken_than_allowed),
        cmocka_unit_test(a_wrong_factor_is_told_by_its_share),
        cmocka_unit_test(what_holds_nothing_leaves_nothing_behind),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
