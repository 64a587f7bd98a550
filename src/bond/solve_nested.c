/* solve_nested.c - multifrontal Cholesky (Duff and Reid 1983) over fronts of a nested dissection.
 *
 * On a square grid of k x k nodes the work grows as k^3, where that of a profile grows as k^4, and
 * the factor is smaller. A front holds its rows as panels: first those of its own columns, then
 * those below, all of them as wide as its own columns. What it changes in the rows below goes to
 * its parent as blocks of a lower triangle. Panels are filled up with rows of a unit matrix. */
#include <stdlib.h>
#include <string.h>

#include "nested.h"
#include "plate_system.h"

typedef struct {
    th_nested_tree tree;
    size_t *offset; /* of a front's first number; one more at the end */
    double *value;
} th_nested_factor;

/* At work on the fronts. */
typedef struct {
    th_nested_factor *f;
    double **update;      /* what a front brings to its parent */
    int *child, *sibling; /* fronts that wait for their parent */
    int *local;           /* row of the front at work, of a place */
    double *diagonal;     /* of the matrix, by places */
} th_nested_work;

/* Panels of four rows that hold so many. */
static size_t panels_of(int rows) {
    return (size_t)(rows + SIDE - 1) / SIDE;
}

static size_t triangle(size_t panels) {
    return panels * (panels + 1) / 2;
}

static void release(void *made) {
    th_nested_factor *f = made;

    if (f) {
        th_nested_free(&f->tree);
        free(f->offset);
        free(f->value);
        free(f);
    }
}

static double *panel_of(const th_nested_factor *f, int front, size_t panel) {
    return f->value + f->offset[front] + panel * SIDE * (size_t)f->tree.front[front].own;
}

/* Most bytes of updates that wait at one time. */
static double waiting(const th_nested_tree *tree, double *brought) {
    double alive = 0, most = 0;

    for (int s = 0; s < tree->count; s++) {
        brought[s] = 0;
    }
    for (int s = 0; s < tree->count; s++) {
        double own = (double)triangle(panels_of(tree->front[s].below)) * BLOCK * sizeof(double);

        alive += own;
        most = alive > most ? alive : most;
        alive -= brought[s];
        if (tree->front[s].parent >= 0) {
            brought[tree->front[s].parent] += own;
        }
    }
    return most;
}

static bool lay_out(th_nested_factor *f, double memory, th_error *err) {
    const th_nested_tree *tree = &f->tree;
    size_t count = (size_t)tree->count;
    double *brought = th_plate_take(count, sizeof *brought), need;

    f->offset = th_plate_take(count + 1, sizeof *f->offset);
    if (!f->offset || !brought) {
        free(brought);
        return th_fail_memory(err);
    }
    f->offset[0] = 0;
    for (size_t s = 0; s < count; s++) {
        const th_nested_front *front = &tree->front[s];
        size_t panels = (size_t)front->own / SIDE + panels_of(front->below);

        f->offset[s + 1] = f->offset[s] + panels * SIDE * (size_t)front->own;
    }
    need = ((double)f->offset[count] + 2.0 * 48 * tree->padded) * sizeof(double) +
           tree->start[tree->padded] * 24.0 + waiting(tree, brought);
    free(brought);
    if (need > memory) {
        return th_linear_too_large(need, memory, tree->n, err);
    }
    f->value = malloc((f->offset[count] + 1) * sizeof *f->value);
    return f->value ? true : th_fail_memory(err);
}

/* ---- one front ------------------------------------------------------------------------------- */

static void number_rows(th_nested_work *w, int s) {
    const th_nested_front *front = &w->f->tree.front[s];

    for (int k = 0; k < front->own; k++) {
        w->local[front->first + k] = k;
    }
    for (int k = 0; k < front->below; k++) {
        w->local[front->row[k]] = front->own + k;
    }
}

static void add_matrix(th_nested_work *w, int s) {
    const th_nested_tree *tree = &w->f->tree;
    const th_nested_front *front = &tree->front[s];

    memset(panel_of(w->f, s, 0), 0, (w->f->offset[s + 1] - w->f->offset[s]) * sizeof(double));
    for (int k = 0; k < front->own; k++) {
        int from = tree->start[front->first + k], to = tree->start[front->first + k + 1];
        double *own = panel_of(w->f, s, (size_t)k / SIDE) + SIDE * (size_t)k + k % SIDE;

        for (int at = from; at < to; at++) {
            int row = w->local[tree->row[at]];
            panel_of(w->f, s, (size_t)row / SIDE)[SIDE * k + row % SIDE] += tree->value[at];
        }
        *own = from < to ? *own : 1;
        w->diagonal[front->first + k] = *own;
    }
}

/* Where a row begins in what a front brings: its columns follow, SIDE apart. */
static double *row_of(double *update, int row) {
    return update + BLOCK * triangle((size_t)row / SIDE) + row % SIDE;
}

/* Into the columns of the front or, further down, into what it brings itself. Rows and columns keep
 * their order. */
static void add_child(th_nested_work *w, int s, int child) {
    const th_nested_front *front = &w->f->tree.front[s], *from = &w->f->tree.front[child];
    int inside = 0; /* columns of the child that are own ones of the front */

    while (inside < from->below && w->local[from->row[inside]] < front->own) {
        inside++;
    }
    for (int a = 0; a < from->below; a++) {
        int row = w->local[from->row[a]], upto = a < inside ? a + 1 : inside;
        const double *brought = row_of(w->update[child], a);
        double *panel = panel_of(w->f, s, (size_t)row / SIDE) + row % SIDE;

        for (int b = 0; b < upto; b++) {
            panel[SIDE * (size_t)w->local[from->row[b]]] += brought[SIDE * (size_t)b];
        }
        if (a >= inside) {
            double *target = row_of(w->update[s], row - front->own);
            for (int b = inside; b <= a; b++) {
                target[SIDE * (size_t)(w->local[from->row[b]] - front->own)] +=
                    brought[SIDE * (size_t)b];
            }
        }
    }
}

/* Panels of columns that stay near while all rows pass by. */
enum { TILE = 12 };

static bool eliminate_tile(th_nested_work *w, int s, size_t from, size_t to) {
    const th_nested_front *front = &w->f->tree.front[s];
    size_t panels = (size_t)front->own / SIDE + panels_of(front->below);

    for (size_t i = from; i < panels; i++) {
        double *row = panel_of(w->f, s, i);

        for (size_t j = from; j < to && j < i; j++) {
            const double *other = panel_of(w->f, s, j);
            th_block_subtract(row + BLOCK * j, row, other, SIDE * j);
            th_block_divide(row + BLOCK * j, other + BLOCK * j);
        }
        if (i < to) {
            double own[BLOCK];

            memcpy(own, row + BLOCK * i, sizeof own);
            th_block_subtract(own, row, row, SIDE * i);
            memcpy(row + BLOCK * i, own, sizeof own);
            if (!th_block_factor(row + BLOCK * i, w->diagonal + front->first + SIDE * i)) {
                return false;
            }
        }
    }
    return true;
}

static void subtract_own(th_nested_work *w, int s) {
    const th_nested_front *front = &w->f->tree.front[s];
    size_t own = (size_t)front->own / SIDE, below = panels_of(front->below);

    for (size_t from = 0; from < below; from += TILE) {
        for (size_t i = from; i < below; i++) {
            const double *row = panel_of(w->f, s, own + i);
            double *target = w->update[s] + BLOCK * triangle(i);

            for (size_t j = from; j <= i && j < from + TILE; j++) {
                th_block_subtract(target + BLOCK * j, row, panel_of(w->f, s, own + j),
                                  (size_t)front->own);
            }
        }
    }
}

static bool work_on(th_nested_work *w, int s, th_error *err) {
    const th_nested_front *front = &w->f->tree.front[s];
    size_t own = (size_t)front->own / SIDE, below = panels_of(front->below);

    w->update[s] = calloc(triangle(below) * BLOCK + 1, sizeof(double));
    if (!w->update[s]) {
        return th_fail_memory(err);
    }
    number_rows(w, s);
    add_matrix(w, s);
    for (int c = w->child[s]; c >= 0; c = w->sibling[c]) {
        add_child(w, s, c);
        free(w->update[c]);
        w->update[c] = NULL;
    }
    for (size_t from = 0; from < own; from += TILE) {
        if (!eliminate_tile(w, s, from, from + TILE < own ? from + TILE : own)) {
            return th_linear_not_held(err);
        }
    }
    subtract_own(w, s);
    if (front->parent >= 0) {
        w->sibling[s] = w->child[front->parent];
        w->child[front->parent] = s;
    }
    return true;
}

static bool eliminate(th_nested_factor *f, th_error *err) {
    size_t count = (size_t)f->tree.count, places = (size_t)f->tree.padded;
    th_nested_work w = {.f = f, .update = calloc(count + 1, sizeof *w.update)};
    int *whole = th_plate_take(2 * count + places, sizeof *whole);
    bool fine;

    w.diagonal = th_plate_take(places, sizeof *w.diagonal);
    fine = (w.update && whole && w.diagonal) || th_fail_memory(err);
    if (fine) {
        w.child = whole;
        w.sibling = w.child + count;
        w.local = w.sibling + count;
    }
    for (size_t s = 0; fine && s < count; s++) {
        w.child[s] = -1;
    }
    for (int s = 0; fine && s < f->tree.count; s++) {
        fine = work_on(&w, s, err);
    }
    for (size_t s = 0; w.update && s < count; s++) {
        free(w.update[s]);
    }
    free(w.update);
    free(whole);
    free(w.diagonal);
    return fine;
}

static bool factor(const th_symmetric *matrix, double memory, void **made, th_error *err) {
    th_nested_factor *f;

    if (!matrix->grid) {
        return th_fail(err, TH_NOT_SOLVED, "the matrix does not say which grid it stands on");
    }
    f = calloc(1, sizeof *f);
    *made = f;
    if (!f) {
        return th_fail_memory(err);
    }
    bool fine =
        th_nested_make(matrix, &f->tree, err) && lay_out(f, memory, err) && eliminate(f, err);

    free(f->tree.row);
    free(f->tree.value);
    f->tree.row = NULL;
    f->tree.value = NULL;
    return fine;
}

/* ---- solution -------------------------------------------------------------------------------- */

/* Right-hand sides lie in groups of SIDE. All groups take a front before the next one is fetched.
 */
enum { GROUPS = 12 };

static void forward(const th_nested_factor *f, int s, double *x) {
    const th_nested_front *front = &f->tree.front[s];
    double *own = x + SIDE * (size_t)front->first, sum[BLOCK];
    size_t panels = (size_t)front->own / SIDE;

    for (size_t i = 0; i < panels; i++) {
        const double *panel = panel_of(f, s, i);
        th_block_multiply(sum, panel, own, SIDE * i);
        th_block_forward(own + BLOCK * i, sum, panel + BLOCK * i);
    }
    for (int first = 0; first < front->below; first += SIDE) {
        th_block_multiply(sum, panel_of(f, s, panels + (size_t)first / SIDE), own,
                          (size_t)front->own);
        for (int r = 0; r < SIDE && first + r < front->below; r++) {
            double *target = x + SIDE * (size_t)front->row[first + r];
            for (int c = 0; c < SIDE; c++) {
                target[c] -= sum[SIDE * c + r];
            }
        }
    }
}

static void backward(const th_nested_factor *f, int s, double *x) {
    const th_nested_front *front = &f->tree.front[s];
    double *own = x + SIDE * (size_t)front->first;
    size_t panels = (size_t)front->own / SIDE;

    for (int first = 0; first < front->below; first += SIDE) {
        double mine[BLOCK] = {0};

        for (int r = 0; r < SIDE && first + r < front->below; r++) {
            memcpy(mine + SIDE * (size_t)r, x + SIDE * (size_t)front->row[first + r],
                   SIDE * sizeof *mine);
        }
        th_block_take_away(own, panel_of(f, s, panels + (size_t)first / SIDE), mine,
                           (size_t)front->own);
    }
    for (size_t i = panels; i-- > 0;) {
        const double *panel = panel_of(f, s, i);
        th_block_backward(own + BLOCK * i, panel + BLOCK * i);
        th_block_take_away(own, panel, own + BLOCK * i, SIDE * i);
    }
}

/* Between columns of n numbers and groups; `in`: into the groups. */
static void carry(const th_nested_tree *tree, double *columns, size_t count, double *x, bool in) {
    size_t n = (size_t)tree->n, stride = (size_t)tree->padded * SIDE;

    for (size_t c = 0; c < count; c++) {
        double *group = x + c / SIDE * stride + c % SIDE, *column = columns + c * n;

        for (size_t i = 0; i < n; i++) {
            double *at = group + SIDE * (size_t)tree->place[i];

            if (in) {
                *at = column[i];
            } else {
                column[i] = *at;
            }
        }
    }
}

static void solve_groups(const th_nested_factor *f, double *x, size_t groups) {
    size_t stride = (size_t)f->tree.padded * SIDE;

    for (int s = 0; s < f->tree.count; s++) {
        for (size_t g = 0; g < groups; g++) {
            forward(f, s, x + g * stride);
        }
    }
    for (int s = f->tree.count - 1; s >= 0; s--) {
        for (size_t g = 0; g < groups; g++) {
            backward(f, s, x + g * stride);
        }
    }
}

static bool solve(void *made, double *columns, size_t count, th_error *err) {
    const th_nested_factor *f = made;
    size_t n = (size_t)f->tree.n, stride = (size_t)f->tree.padded * SIDE,
           most = (size_t)SIDE * GROUPS;
    size_t groups = ((count < most ? count : most) + SIDE - 1) / SIDE;
    double *x = calloc(groups * stride + 1, sizeof *x);

    if (!x) {
        return th_fail_memory(err);
    }
    for (size_t at = 0; at < count; at += most) {
        size_t now = count - at < most ? count - at : most;
        carry(&f->tree, columns + at * n, now, x, true);
        solve_groups(f, x, (now + SIDE - 1) / SIDE);
        carry(&f->tree, columns + at * n, now, x, false);
    }
    free(x);
    return true;
}

const th_solver th_solver_dissection = {factor, solve, release};
