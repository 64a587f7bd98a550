/* test_solver_memory.c - the sparse solver where memory runs out inside the library it rests on,
 * and where a matrix overflows. */
#include <stdlib.h>
#include <suitesparse/SuiteSparse_config.h>

#include "linear_solver.h"
#include "support/near.h"

enum { SIDE = 12, UNKNOWNS = SIDE * SIDE, COLUMNS = 6, ENTRIES_MOST = 3 * UNKNOWNS };

/* Which allocation fails: counted down, 0 none. */
static int fails_in;

static bool fails_now(void) {
    return fails_in > 0 && --fails_in == 0;
}

static void *our_malloc(size_t size) {
    return fails_now() ? NULL : malloc(size);
}

static void *our_calloc(size_t count, size_t size) {
    return fails_now() ? NULL : calloc(count, size);
}

static void *our_realloc(void *block, size_t size) {
    return fails_now() ? NULL : realloc(block, size);
}

static void use_ours(void) {
#if SUITESPARSE_MAIN_VERSION >= 7
    SuiteSparse_config_malloc_func_set(our_malloc);
    SuiteSparse_config_calloc_func_set(our_calloc);
    SuiteSparse_config_realloc_func_set(our_realloc);
#else
    SuiteSparse_config.malloc_func = our_malloc;
    SuiteSparse_config.calloc_func = our_calloc;
    SuiteSparse_config.realloc_func = our_realloc;
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

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_failed_allocation_is_told),
        cmocka_unit_test(an_infinite_residual_is_no_answer),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
