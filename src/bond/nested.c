/* nested.c - a grid is cut in two by the line through its middle, each half again, until little is
 * left; what lies on a line is eliminated after the halves beside it. */
#include "nested.h"

#include <stdlib.h>
#include <string.h>

#include "plate_system.h"

/* A piece this small is one front: fewer products save less than more fronts cost. */
enum { LEAF = 12 };

/* A point is a run of unknowns at one place of the grid. */
typedef struct {
    th_nested_tree *tree;
    const th_symmetric *matrix;
    int points;
    int *first;   /* unknown of a point; one more at the end */
    int *order;   /* points, as they are eliminated once they are cut */
    int *aside;   /* room to sort them in */
    int *tally;   /* of a coordinate */
    int reach[2]; /* coordinates of the grid */
} th_cutting;

static int at(const th_cutting *c, int point, int axis) {
    return c->matrix->grid[2 * c->first[point] + axis];
}

static bool same_point(const th_symmetric *m, int a, int b) {
    const int *one = m->grid + 2 * (size_t)a, *other = m->grid + 2 * (size_t)b;

    return one[0] == other[0] && one[1] == other[1];
}

static void find_points(th_cutting *c) {
    for (int j = 0; j < c->matrix->n; j++) {
        if (j == 0 || !same_point(c->matrix, j, j - 1)) {
            c->order[c->points] = c->points;
            c->first[c->points++] = j;
        }
    }
    c->first[c->points] = c->matrix->n;
}

/* The columns of the points from..to become a front. */
static int add_front(th_cutting *c, int from, int to) {
    th_nested_tree *tree = c->tree;
    th_nested_front *front = &tree->front[tree->count];
    int place = tree->padded;

    *front = (th_nested_front){.first = place, .parent = -1};
    for (int i = from; i < to; i++) {
        int point = c->order[i];

        for (int j = c->first[point]; j < c->first[point + 1]; j++) {
            tree->place[j] = place++;
        }
    }
    front->own = (place - front->first + SIDE - 1) / SIDE * SIDE;
    tree->padded += front->own;
    return tree->count++;
}

/* Coordinate of the line that leaves as many points on either side. */
static int middle(const th_cutting *c, int from, int to, int axis, int low, int high) {
    int line = low, before = 0;

    memset(c->tally + low, 0, (size_t)(high - low + 1) * sizeof *c->tally);
    for (int i = from; i < to; i++) {
        c->tally[at(c, c->order[i], axis)]++;
    }
    for (; line < high && 2 * (before + c->tally[line]) < to - from; line++) {
        before += c->tally[line];
    }
    return line;
}

/* Points below the line first, then those above, then those on it; where each begins. */
static void sort_by_side(const th_cutting *c, int from, int to, int axis, int line, int begin[4]) {
    int next = from;

    for (int side = 0; side < 3; side++) {
        begin[side] = next;
        for (int i = from; i < to; i++) {
            int x = at(c, c->order[i], axis);

            if ((x < line ? 0 : x > line ? 1 : 2) == side) {
                c->aside[next++] = c->order[i];
            }
        }
    }
    begin[3] = next;
    memcpy(c->order + from, c->aside + from, (size_t)(to - from) * sizeof *c->order);
}

static void extent(const th_cutting *c, int from, int to, int axis, int range[2]) {
    range[0] = range[1] = at(c, c->order[from], axis);
    for (int i = from; i < to; i++) {
        int x = at(c, c->order[i], axis);

        range[0] = x < range[0] ? x : range[0];
        range[1] = x > range[1] ? x : range[1];
    }
}

/* The front of points from..to, after those of the halves. As deep as halving goes. */
static int cut(th_cutting *c, int from, int to) {
    int range[2][2], begin[4], half[2] = {-1, -1};

    extent(c, from, to, 0, range[0]);
    extent(c, from, to, 1, range[1]);
    int axis = range[1][1] - range[1][0] > range[0][1] - range[0][0] ? 1 : 0;
    if (to - from <= LEAF || range[axis][1] - range[axis][0] < 2) {
        return add_front(c, from, to);
    }
    int line = middle(c, from, to, axis, range[axis][0], range[axis][1]);
    sort_by_side(c, from, to, axis, line, begin);
    for (int side = 0; side < 2; side++) {
        if (begin[side + 1] > begin[side]) {
            half[side] = cut(c, begin[side], begin[side + 1]);
        }
    }
    int own = add_front(c, begin[2], begin[3]);
    for (int side = 0; side < 2; side++) {
        if (half[side] >= 0) {
            c->tree->front[half[side]].parent = own;
        }
    }
    return own;
}

static void measure(th_cutting *c) {
    for (int j = 0; j < c->matrix->n; j++) {
        for (int axis = 0; axis < 2; axis++) {
            int x = c->matrix->grid[2 * j + axis];
            c->reach[axis] = x > c->reach[axis] ? x : c->reach[axis];
        }
    }
}

static bool order_points(const th_symmetric *m, th_nested_tree *tree, th_error *err) {
    th_cutting c = {.tree = tree, .matrix = m};
    size_t n = (size_t)m->n;

    measure(&c);
    size_t most = (size_t)(c.reach[0] > c.reach[1] ? c.reach[0] : c.reach[1]) + 1;
    int *whole = th_plate_take(3 * n + 1 + most, sizeof *whole);

    if (!whole) {
        return th_fail_memory(err);
    }
    c.first = whole;
    c.order = c.first + n + 1;
    c.aside = c.order + n;
    c.tally = c.aside + n;
    find_points(&c);
    cut(&c, 0, c.points);
    free(whole);
    return true;
}

/* ---- the matrix in the order of elimination -------------------------------------------------- */

static bool carry_matrix(const th_symmetric *m, th_nested_tree *tree, th_error *err) {
    size_t places = (size_t)tree->padded, entries = (size_t)m->start[m->n];
    int *next = th_plate_take(places + 1, sizeof *next);

    tree->start = calloc(places + 2, sizeof *tree->start);
    tree->row = th_plate_take(entries, sizeof *tree->row);
    tree->value = th_plate_take(entries, sizeof *tree->value);
    if (!next || !tree->start || !tree->row || !tree->value) {
        free(next);
        return th_fail_memory(err);
    }
    for (int pass = 0; pass < 2; pass++) {
        for (int j = 0; j < m->n; j++) {
            for (int k = m->start[j]; k < m->start[j + 1]; k++) {
                int a = tree->place[j], b = tree->place[m->row[k]];
                int column = a < b ? a : b;

                if (pass == 0) {
                    tree->start[column + 1]++;
                } else {
                    tree->row[next[column]] = a < b ? b : a;
                    tree->value[next[column]++] = m->value[k];
                }
            }
        }
        for (size_t p = 0; pass == 0 && p < places; p++) {
            tree->start[p + 1] += tree->start[p];
            next[p] = tree->start[p];
        }
    }
    free(next);
    return true;
}

/* ---- what each front reaches ----------------------------------------------------------------- */

static int rising(const void *a, const void *b) {
    return *(const int *)a - *(const int *)b;
}

typedef struct {
    int *seen; /* of a place: the front that reached it last, from 1 */
    int *list;
    int count;
} th_reached;

static void reach(th_reached *r, const th_nested_front *front, int mark, int row) {
    if (row >= front->first + front->own && r->seen[row] != mark) {
        r->seen[row] = mark;
        r->list[r->count++] = row;
    }
}

/* Of the front itself and of what was eliminated for it; `child` are the last two of it. */
static bool find_rows(th_nested_tree *tree, int f, const int child[2], th_reached *r,
                      th_error *err) {
    th_nested_front *front = &tree->front[f];

    r->count = 0;
    for (int k = tree->start[front->first]; k < tree->start[front->first + front->own]; k++) {
        reach(r, front, f + 1, tree->row[k]);
    }
    for (int c = 0; c < 2; c++) {
        for (int k = 0; child[c] >= 0 && k < tree->front[child[c]].below; k++) {
            reach(r, front, f + 1, tree->front[child[c]].row[k]);
        }
    }
    front->row = th_plate_take((size_t)r->count + 1, sizeof *front->row);
    if (!front->row) {
        return th_fail_memory(err);
    }
    front->below = r->count;
    if (r->count > 0) {
        memcpy(front->row, r->list, (size_t)r->count * sizeof *front->row);
        qsort(front->row, (size_t)r->count, sizeof *front->row, rising);
    }
    return true;
}

static bool find_all_rows(th_nested_tree *tree, th_error *err) {
    size_t places = (size_t)tree->padded, fronts = (size_t)tree->count;
    int *whole = calloc(2 * places + 2 * fronts + 1, sizeof *whole);
    bool fine = whole != NULL || th_fail_memory(err);

    if (fine) {
        th_reached r = {whole, whole + places, 0};
        int *child = whole + 2 * places; /* from 1, two a front */

        for (int f = 0; fine && f < tree->count; f++) {
            const int of[2] = {child[2 * (size_t)f] - 1, child[2 * (size_t)f + 1] - 1};
            int parent = tree->front[f].parent;

            fine = find_rows(tree, f, of, &r, err);
            if (parent >= 0) {
                int *own = child + 2 * (size_t)parent;
                own[own[0] > 0] = f + 1;
            }
        }
    }
    free(whole);
    return fine;
}

/* What joins places further apart would lead round the lines that cut the grid. */
static bool neighbours_alone(const th_symmetric *m, th_error *err) {
    for (int j = 0; j < m->n; j++) {
        for (int k = m->start[j]; k < m->start[j + 1]; k++) {
            const int *a = m->grid + 2 * (size_t)j, *b = m->grid + 2 * (size_t)m->row[k];

            if (abs(a[0] - b[0]) > 1 || abs(a[1] - b[1]) > 1) {
                return th_fail(err, TH_NOT_SOLVED,
                               "the matrix joins places of its grid that are no neighbours");
            }
        }
    }
    return true;
}

bool th_nested_make(const th_symmetric *matrix, th_nested_tree *tree, th_error *err) {
    size_t n = (size_t)matrix->n;

    *tree = (th_nested_tree){.n = matrix->n};
    tree->place = th_plate_take(n + 1, sizeof *tree->place);
    tree->front = th_plate_take(n + 1, sizeof *tree->front); /* one has a point at least */
    if (!tree->place || !tree->front) {
        return th_fail_memory(err);
    }
    return neighbours_alone(matrix, err) && order_points(matrix, tree, err) &&
           carry_matrix(matrix, tree, err) && find_all_rows(tree, err);
}

void th_nested_free(th_nested_tree *tree) {
    for (int f = 0; tree->front && f < tree->count; f++) {
        free(tree->front[f].row);
    }
    free(tree->front);
    free(tree->place);
    free(tree->start);
    free(tree->row);
    free(tree->value);
}
