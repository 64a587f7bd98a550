/* test_dissection.c - the solvers that need no library, by nested dissection and by bandwidth, on
 * grids whose answer is known. */
#include <math.h>
#include <stdlib.h>

#include "nested.h"
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

/* Several right-hand sides, among them more than are taken at one time; numbers of unknowns that
 * are no whole number of blocks. */
static void expect_modes(th_solver_kind kind, int columns, int lines, size_t count) {
    grid g = springs(columns, lines);
    size_t n = (size_t)g.m.n;
    double *x = malloc(n * count * sizeof *x);
    th_linear *linear;
    th_error err;

    for (size_t c = 0; c < count; c++) {
        for (size_t i = 0; i < n; i++) {
            int k = 1 + (int)c % g.columns, l = 1 + (int)(c * 3) % g.lines;
            x[c * n + i] = times(&g, k, l) * mode(&g, k, l, (int)i);
        }
    }
    assert_true(th_linear_factor(&g.m, kind, 1e9, &linear, &err));
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

static void modes_come_back(void **state) {
    static const int sizes[][3] = {{1, 1, 1},  {2, 1, 3},  {1, 30, 2},  {9, 7, 4},
                                   {5, 13, 5}, {11, 6, 9}, {37, 23, 53}};

    (void)state;
    for (size_t s = 0; s < sizeof sizes / sizeof sizes[0]; s++) {
        expect_modes(TH_SOLVER_DISSECTION, sizes[s][0], sizes[s][1], (size_t)sizes[s][2]);
        expect_modes(TH_SOLVER_BANDWIDTH, sizes[s][0], sizes[s][1], (size_t)sizes[s][2]);
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

/* An entry that stands twice is one number for the solver and two for the matrix: what a solver
 * answers is held against the matrix, so the difference shows. */
static void a_wrong_answer_is_not_given_out(void **state) {
    int start[] = {0, 3, 4}, row[] = {0, 1, 1, 1};
    double value[] = {5, -1, -1, 5}, x[2] = {3, 3};
    th_symmetric m = {.n = 2, .start = start, .row = row, .value = value};
    th_linear *linear;
    th_error err;

    (void)state;
    assert_false(th_linear_factor(&m, TH_SOLVER_BANDWIDTH, 1e9, &linear, &err));
    assert_int_equal(err.code, TH_NOT_SOLVED);
    assert_null(linear);
    value[1] = 0; /* counts for both now */
    value[2] = -2;
    assert_true(th_linear_factor(&m, TH_SOLVER_BANDWIDTH, 1e9, &linear, &err));
    assert_true(th_linear_solve(linear, x, 1, &err)); /* (5 - 2) x = 3 */
    assert_near(x[0], 1, 1e-14, 0);
    assert_near(x[1], 1, 1e-14, 0);
    th_linear_free(linear);
}

/* ---- memory -----------------------------------------------------------------------------------
 */

/* The same grid with its nodes numbered by `number`. */
static grid renumbered(const grid *from, const int *number) {
    int n = from->m.n, used = 0, *node = malloc((size_t)n * sizeof *node);
    grid g = springs(from->columns, from->lines);

    for (int i = 0; i < n; i++) {
        node[number[i]] = i;
    }
    for (int j = 0; j < n; j++) {
        int i = node[j], x = i % g.columns, y = i / g.columns;
        g.m.start[j] = used;
        g.m.grid[2 * j] = x;
        g.m.grid[2 * j + 1] = y;
        for (int row = j; row < n; row++) {
            int away = abs(node[row] % g.columns - x) + abs(node[row] / g.columns - y);
            if (away <= 1) {
                g.m.row[used] = row;
                g.m.value[used++] = away ? -1 : 4 + SHIFT;
            }
        }
    }
    g.m.start[n] = used;
    free(node);
    return g;
}

/* Least memory that a solver is content with (bytes). */
static double needs(const th_symmetric *m, th_solver_kind kind) {
    double low = 0, high = 1e9;

    while (high - low > 1) {
        double middle = (low + high) / 2;
        th_linear *linear;
        th_error err;
        if (th_linear_factor(m, kind, middle, &linear, &err)) {
            th_linear_free(linear);
            high = middle;
        } else {
            assert_int_equal(err.code, TH_NOT_POSSIBLE);
            low = middle;
        }
    }
    return high;
}

/* Where a grid is cut hangs on its places alone: so does what there is to be kept. */
static void numbers_of_nodes_are_no_matter(void **state) {
    enum { COLUMNS = 24, LINES = 17, COUNT = COLUMNS * LINES };
    int backwards[COUNT], across[COUNT], anyhow[COUNT];
    const int *numbers[] = {backwards, across, anyhow};
    grid plain = springs(COLUMNS, LINES);
    double least = needs(&plain.m, TH_SOLVER_DISSECTION);

    (void)state;
    for (int i = 0; i < COUNT; i++) {
        backwards[i] = COUNT - 1 - i;
        across[i] = i % COLUMNS * LINES + i / COLUMNS;
        anyhow[i] = i * 89 % COUNT; /* 89 and 408 have no factor in common */
    }
    for (int k = 0; k < 3; k++) {
        grid g = renumbered(&plain, numbers[k]);
        assert_near(needs(&g.m, TH_SOLVER_DISSECTION), least, 0, 2);
        free_springs(&g);
    }
    free_springs(&plain);
}

/* By bandwidth, where no unknown hangs on another one: blocks of 4 x 4 on the diagonal, 48
 * right-hand sides as they come and as they are worked on, and the matrix with its rows. */
static void what_a_band_needs_is_counted(void **state) {
    enum { COUNT = 4 * 50 };
    int start[COUNT + 1], row[COUNT];
    double value[COUNT];
    th_symmetric m = {.n = COUNT, .start = start, .row = row, .value = value};

    (void)state;
    for (int j = 0; j < COUNT; j++) {
        start[j] = row[j] = j;
        value[j] = 2 + j;
    }
    start[COUNT] = COUNT;
    assert_near(needs(&m, TH_SOLVER_BANDWIDTH),
                COUNT * (8.0 * (4 + 2 * 48) + sizeof *value + sizeof *row), 0.01, 0);
}

/* Where every unknown hangs on every other: the factor as one square block, four times 48
 * right-hand sides here and inside, three copies of the matrix with its rows, and six whole numbers
 * an unknown for its place and its front. */
static void what_one_dense_front_needs_is_counted(void **state) {
    enum { COUNT = 24, ENTRIES = COUNT * (COUNT + 1) / 2 };
    int start[COUNT + 1], row[ENTRIES], used = 0;
    double value[ENTRIES];
    th_symmetric m = {.n = COUNT, .start = start, .row = row, .value = value};

    (void)state;
    for (int j = 0; j < COUNT; j++) {
        start[j] = used;
        for (int i = j; i < COUNT; i++, used++) {
            row[used] = i;
            value[used] = i == j ? 2 * COUNT : -1;
        }
    }
    start[COUNT] = used;
    assert_near(needs(&m, TH_SOLVER_SUPERNODAL),
                8.0 * COUNT * COUNT + 8.0 * 4 * 48 * COUNT + 3 * 12.0 * ENTRIES + 4.0 * 6 * COUNT,
                0, 2);
}

/* What the fronts up to one bring and none of them has taken yet, itself still beside what it
 * takes: lower triangles of blocks of 4 x 4 (bytes). */
static double waits_at(const th_nested_tree *tree, int at) {
    double bytes = 0;

    for (int s = 0; s <= at; s++) {
        int blocks = (tree->front[s].below + 3) / 4;
        if (tree->front[s].parent >= at) {
            bytes += blocks * (blocks + 1) / 2 * 16 * 8.0;
        }
    }
    return bytes;
}

/* By dissection: the columns of all fronts, as high as their rows filled up by fours; the most that
 * waits at one time; right-hand sides as above, by filled columns; each entry of the matrix with
 * its row, as it comes and in the order of elimination. */
static void what_a_dissection_needs_is_counted(void **state) {
    static const int sides[][2] = {{5, 5}, {24, 17}, {40, 7}};

    (void)state;
    for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
        grid g = springs(sides[i][0], sides[i][1]);
        double columns = 0, waits = 0;
        th_nested_tree tree;
        th_error err;
        assert_true(th_nested_make(&g.m, &tree, &err));
        for (int s = 0; s < tree.count; s++) {
            const th_nested_front *front = &tree.front[s];
            columns += 8.0 * front->own * (front->own + (front->below + 3) / 4 * 4);
            waits = fmax(waits, waits_at(&tree, s));
        }
        assert_near(needs(&g.m, TH_SOLVER_DISSECTION),
                    columns + waits + 8.0 * 2 * 48 * tree.padded + 24.0 * tree.start[tree.padded],
                    0, 1.5);
        th_nested_free(&tree);
        free_springs(&g);
    }
}

/* Two unknowns that share a number stand next to each other, across a corner too, or on one node.
 */
static void neighbours_alone_are_joined(void **state) {
    (void)state;
    for (int i = 0; i < 49; i++) {
        int x = i % 7 - 3, y = i / 7 - 3;
        int start[] = {0, 2, 3}, row[] = {0, 1, 1}, at[] = {5, 9, 5 + x, 9 + y};
        double value[] = {4, -1, 4};
        th_symmetric m = {2, start, row, value, at};
        bool near = abs(x) <= 1 && abs(y) <= 1;
        th_nested_tree tree;
        th_error err;
        assert_int_equal(th_nested_make(&m, &tree, &err), near);
        assert_true(near || err.code == TH_NOT_SOLVED);
        th_nested_free(&tree);
    }
}

/* A long strip is cut across its middle first, whichever way it lies: the line that is eliminated
 * last is the shortest that leaves as much on either side. */
static void expect_cut_across(int columns, int lines) {
    grid g = springs(columns, lines);
    int along = columns > lines ? 0 : 1, across = 0;
    int length = along ? lines : columns, width = along ? columns : lines;
    th_nested_tree tree;
    th_error err;

    assert_true(th_nested_make(&g.m, &tree, &err));
    assert_int_equal(tree.front[tree.count - 1].parent, -1);
    for (int j = 0; j < g.m.n; j++) {
        if (tree.place[j] >= tree.front[tree.count - 1].first) {
            assert_int_equal(2 * g.m.grid[2 * j + along], length - 1);
            across++;
        }
    }
    assert_int_equal(across, width);
    th_nested_free(&tree);
    free_springs(&g);
}

static void a_strip_is_cut_across_its_middle(void **state) {
    static const int sizes[][2] = {{1, 41}, {3, 41}, {5, 25}, {9, 31}};

    (void)state;
    for (size_t s = 0; s < sizeof sizes / sizeof sizes[0]; s++) {
        expect_cut_across(sizes[s][0], sizes[s][1]);
        expect_cut_across(sizes[s][1], sizes[s][0]);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(modes_come_back),
        cmocka_unit_test(refusals),
        cmocka_unit_test(a_grid_that_is_none_is_no_answer),
        cmocka_unit_test(a_wrong_answer_is_not_given_out),
        cmocka_unit_test(numbers_of_nodes_are_no_matter),
        cmocka_unit_test(what_a_band_needs_is_counted),
        cmocka_unit_test(what_one_dense_front_needs_is_counted),
        cmocka_unit_test(what_a_dissection_needs_is_counted),
        cmocka_unit_test(neighbours_alone_are_joined),
        cmocka_unit_test(a_strip_is_cut_across_its_middle),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
