/* test_dissection.c - the solver by nested dissection on grids whose answer is known. */
#include <math.h>
#include <stdlib.h>

#include "linear_solver.h"
#include "support/near.h"

enum { SHIFT = 1 };

typedef struct {
    th_symmetric m;
    int columns, lines;
} grid;

/* Springs to the four neighbours, fixed all round, and one of stiffness SHIFT at each node. */
static grid springs(int columns, int lines) {
    int n = columns * lines, used = 0;
    grid g = {{.n = n}, columns, lines};

    g.m.start = malloc((size_t)(n + 1) * sizeof *g.m.start);
    g.m.row = malloc(3 * (size_t)n * sizeof *g.m.row);
    g.m.value = malloc(3 * (size_t)n * sizeof *g.m.value);
    g.m.grid = malloc(2 * (size_t)n * sizeof *g.m.grid);
    for (int j = 0; j < n; j++) {
        g.m.start[j] = used;
        g.m.grid[2 * j] = j % columns;
        g.m.grid[2 * j + 1] = j / columns;
        g.m.row[used] = j;
        g.m.value[used++] = 4 + SHIFT;
        if (j % columns != columns - 1) {
            g.m.row[used] = j + 1;
            g.m.value[used++] = -1;
        }
        if (j + columns < n) {
            g.m.row[used] = j + columns;
            g.m.value[used++] = -1;
        }
    }
    g.m.start[n] = used;
    return g;
}

static void free_springs(grid *g) {
    free(g->m.start);
    free(g->m.row);
    free(g->m.value);
    free(g->m.grid);
}

/* A mode of the grid: sin(pi k i/(columns + 1)) sin(pi l j/(lines + 1)), i and j from 1. */
static double mode(const grid *g, int k, int l, int node) {
    const double pi = 3.14159265358979323846;

    return sin(pi * k * (node % g->columns + 1) / (g->columns + 1)) *
           sin(pi * l * (node / g->columns + 1) / (g->lines + 1));
}

/* What the matrix makes of a mode: that mode, so many times (Strang, Computational Science and
 * Engineering, 3.5: eigenvalues of the five-point difference matrix). */
static double times(const grid *g, int k, int l) {
    const double pi = 3.14159265358979323846;

    return 4 + SHIFT - 2 * cos(pi * k / (g->columns + 1)) - 2 * cos(pi * l / (g->lines + 1));
}

/* Several right-hand sides, among them more than are taken at one time. */
static void modes_come_back(void **state) {
    static const int sizes[][3] = {{1, 1, 1}, {2, 1, 3}, {1, 30, 2}, {9, 7, 4}, {37, 23, 53}};

    (void)state;
    for (size_t s = 0; s < sizeof sizes / sizeof sizes[0]; s++) {
        grid g = springs(sizes[s][0], sizes[s][1]);
        size_t n = (size_t)g.m.n, count = (size_t)sizes[s][2];
        double *x = malloc(n * count * sizeof *x);
        th_linear *linear;
        th_error err;

        for (size_t c = 0; c < count; c++) {
            for (size_t i = 0; i < n; i++) {
                int k = 1 + (int)c % g.columns, l = 1 + (int)(c * 3) % g.lines;
                x[c * n + i] = times(&g, k, l) * mode(&g, k, l, (int)i);
            }
        }
        assert_true(th_linear_factor(&g.m, TH_SOLVER_DISSECTION, 1e9, &linear, &err));
        assert_true(th_linear_solve(linear, x, count, &err));
        for (size_t c = 0; c < count; c++) {
            for (size_t i = 0; i < n; i++) {
                int k = 1 + (int)c % g.columns, l = 1 + (int)(c * 3) % g.lines;
                assert_near(x[c * n + i], mode(&g, k, l, (int)i), 1e-11, 1e-12);
            }
        }
        th_linear_free(linear);
        free(x);
        free_springs(&g);
    }
}

static void refusals(void **state) {
    grid g = springs(20, 20);
    int *places = g.m.grid;
    th_linear *linear;
    th_error err;

    (void)state;
    assert_false(th_linear_factor(&g.m, TH_SOLVER_DISSECTION, 1e4, &linear, &err));
    assert_int_equal(err.code, TH_NOT_POSSIBLE);
    g.m.grid = NULL;
    assert_false(th_linear_factor(&g.m, TH_SOLVER_DISSECTION, 1e9, &linear, &err));
    assert_int_equal(err.code, TH_NOT_SOLVED);
    g.m.grid = places;
    g.m.value[0] = -1;
    assert_false(th_linear_factor(&g.m, TH_SOLVER_DISSECTION, 1e9, &linear, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    assert_null(linear);
    free_springs(&g);
}

/* A number between nodes that are no neighbours would be lost. */
static void a_grid_that_is_none_is_no_answer(void **state) {
    grid g = springs(20, 20);
    th_linear *linear;
    th_error err;

    (void)state;
    for (int j = 0; j < g.m.n; j++) {
        g.m.grid[2 * j] = (j * 7) % 20;
    }
    assert_false(th_linear_factor(&g.m, TH_SOLVER_DISSECTION, 1e9, &linear, &err));
    assert_int_equal(err.code, TH_NOT_SOLVED);
    free_springs(&g);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(modes_come_back),
        cmocka_unit_test(refusals),
        cmocka_unit_test(a_grid_that_is_none_is_no_answer),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
