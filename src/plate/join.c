/* join.c - open pieces joined end to end. */
#include "path.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    MOST_NEAR = 32,      /* ends looked at round one end */
    MOST_PIECES = 100000 /* joined at all */
};

/* End 2 i is the start of piece i, 2 i + 1 its end. */
typedef struct {
    th_point at;
    double column, row; /* of a square as wide as the joint */
    size_t number;
} end_of;

typedef struct {
    size_t a, b;
    double gap;
} pair;

typedef struct {
    th_path *path;
    double joint;
    size_t *pieces; /* subpaths that are open */
    size_t piece_count;
    end_of *ends; /* 2 a piece, sorted by square */
    pair *pairs;
    size_t pair_count, pair_capacity;
    bool failed;  /* out of memory */
    size_t *mate; /* of each end by its number; itself: none */
} joiner;

static int compare_ends(const void *a, const void *b) {
    const end_of *e = a, *f = b;

    if (e->column != f->column) {
        return e->column < f->column ? -1 : 1;
    }
    if (e->row != f->row) {
        return e->row < f->row ? -1 : 1;
    }
    return e->number < f->number ? -1 : e->number > f->number;
}

static int compare_pairs(const void *a, const void *b) {
    const pair *p = a, *q = b;

    if (p->gap != q->gap) {
        return p->gap < q->gap ? -1 : 1;
    }
    if (p->a != q->a) {
        return p->a < q->a ? -1 : 1;
    }
    return p->b < q->b ? -1 : p->b > q->b;
}

static size_t first_in(const joiner *j, double column, double row) {
    end_of wanted = {.column = column, .row = row, .number = 0};
    size_t low = 0, high = 2 * j->piece_count;

    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (compare_ends(&j->ends[middle], &wanted) < 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

static void add_pair(joiner *j, pair p) {
    if (j->pair_count == j->pair_capacity) {
        pair *grown = th_outline_grow(j->pairs, sizeof *grown, &j->pair_capacity);
        if (!grown) {
            j->failed = true;
            return;
        }
        j->pairs = grown;
    }
    j->pairs[j->pair_count++] = p;
}

/* Ends of a higher number near one end; each pair is found once. The number looked at is bounded,
 * as a heap of ends in one place cannot be joined sensibly anyway. */
static void pair_up(joiner *j, const end_of *e) {
    size_t found = 0;

    for (int c = -1; c <= 1; c++) {
        size_t i = first_in(j, e->column + c, e->row - 1);
        for (; i < 2 * j->piece_count && found < MOST_NEAR; i++) {
            const end_of *o = &j->ends[i];
            double gap = hypot(o->at.x - e->at.x, o->at.y - e->at.y);
            if (o->column != e->column + c || o->row > e->row + 1) {
                break;
            }
            found += o->number != e->number;
            if (o->number > e->number && gap <= j->joint) {
                add_pair(j, (pair){e->number, o->number, gap});
            }
        }
    }
}

static void find_mates(joiner *j) {
    for (size_t i = 0; i < 2 * j->piece_count; i++) {
        j->mate[i] = i;
    }
    for (size_t i = 0; i < 2 * j->piece_count; i++) {
        pair_up(j, &j->ends[i]);
    }
    if (j->pair_count == 0) {
        return;
    }
    qsort(j->pairs, j->pair_count, sizeof *j->pairs, compare_pairs);
    for (size_t i = 0; i < j->pair_count; i++) {
        size_t a = j->pairs[i].a, b = j->pairs[i].b;
        if (j->mate[a] == a && j->mate[b] == b) {
            j->mate[a] = b;
            j->mate[b] = a;
        }
    }
}

static void lay_out_ends(joiner *j) {
    const th_path *path = j->path;

    for (size_t i = 0; i < j->piece_count; i++) {
        const th_subpath *sub = &path->subpaths[j->pieces[i]];
        for (size_t k = 0; k < 2; k++) {
            th_point p = path->points[sub->first + (k == 0 ? 0 : sub->count - 1)];
            j->ends[2 * i + k] =
                (end_of){p, floor(p.x / j->joint), floor(p.y / j->joint), 2 * i + k};
        }
    }
    qsort(j->ends, 2 * j->piece_count, sizeof *j->ends, compare_ends);
}

/* Copy a piece, backwards if it is entered at its end. Its last point is left to the piece that
 * follows, so that the two ends become one point. */
static void copy_piece(const joiner *j, size_t entered, bool keep_last, th_path *to) {
    const th_subpath *sub = &j->path->subpaths[j->pieces[entered / 2]];
    const th_point *points = j->path->points + sub->first;
    size_t count = keep_last ? sub->count : sub->count - 1;
    bool backwards = entered % 2 == 1;

    for (size_t i = 0; i < count; i++) {
        th_outline_path_put(to, points[backwards ? sub->count - 1 - i : i]);
    }
}

static bool begin_chain(const joiner *j, size_t entered, th_path *to) {
    const th_subpath *sub = &j->path->subpaths[j->pieces[entered / 2]];
    size_t first = to->point_count;

    to->drawing = false;
    to->shape = sub->shape;
    to->rule = sub->rule;
    to->line = sub->line;
    if (!th_outline_path_begin(to)) {
        return false;
    }
    /* The point the beginning put there belongs to no piece. */
    to->point_count = first;
    to->subpaths[to->subpath_count - 1].count = 0;
    return true;
}

/* Follow the mates from one end on; `done` marks the pieces that have been used. */
static void follow(const joiner *j, size_t entered, bool *done, th_path *to) {
    size_t start = entered;

    if (!begin_chain(j, entered, to)) {
        return;
    }
    while (true) {
        size_t out = entered ^ 1U;
        size_t next = j->mate[out];
        done[entered / 2] = true;
        copy_piece(j, entered, next == out, to);
        if (next == out || done[next / 2]) {
            to->subpaths[to->subpath_count - 1].closed = next == start;
            return;
        }
        entered = next;
    }
}

static void follow_all(const joiner *j, bool *done, th_path *to) {
    /* Chains that have an end begin there; what is left runs in rings. */
    for (size_t i = 0; i < 2 * j->piece_count; i++) {
        if (j->mate[i] == i && !done[i / 2]) {
            follow(j, i, done, to);
        }
    }
    for (size_t i = 0; i < j->piece_count; i++) {
        if (!done[i]) {
            follow(j, 2 * i, done, to);
        }
    }
}

static void copy_closed(const th_path *path, th_path *to) {
    for (size_t i = 0; i < path->subpath_count; i++) {
        const th_subpath *sub = &path->subpaths[i];
        if (!sub->closed) {
            continue;
        }
        to->drawing = false;
        to->shape = sub->shape;
        to->rule = sub->rule;
        to->line = sub->line;
        if (!th_outline_path_begin(to)) {
            return;
        }
        to->points[to->point_count - 1] = path->points[sub->first];
        for (size_t k = 1; k < sub->count; k++) {
            th_outline_path_put(to, path->points[sub->first + k]);
        }
        to->subpaths[to->subpath_count - 1].closed = true;
    }
}

static void rebuild(joiner *j, bool *done) {
    th_path joined = th_path_new(j->path->tolerance);
    th_affine affine = j->path->affine;
    size_t shape = j->path->shape;

    copy_closed(j->path, &joined);
    follow_all(j, done, &joined);
    joined.affine = affine;
    joined.shape = shape;
    joined.drawing = false;
    th_path_free(j->path);
    *j->path = joined;
}

bool th_path_join(th_path *path, double joint, th_error *err) {
    joiner j = {.path = path, .joint = joint};
    bool *done;
    bool ready;

    if (path->failed || path->subpath_count == 0) {
        return true;
    }
    j.pieces = malloc(path->subpath_count * sizeof *j.pieces);
    for (size_t i = 0; j.pieces && i < path->subpath_count; i++) {
        if (!path->subpaths[i].closed) {
            j.pieces[j.piece_count++] = i;
        }
    }
    if (j.piece_count > MOST_PIECES) {
        free(j.pieces);
        return th_fail(err, TH_BAD_RANGE, "the outline is drawn in more than %d loose pieces",
                       MOST_PIECES);
    }
    j.ends = malloc((2 * j.piece_count + 1) * sizeof *j.ends);
    j.mate = malloc((2 * j.piece_count + 1) * sizeof *j.mate);
    done = calloc(j.piece_count + 1, sizeof *done);
    ready = j.pieces && j.ends && j.mate && done;
    if (ready && j.piece_count > 0) {
        lay_out_ends(&j);
        find_mates(&j);
        ready = !j.failed;
    }
    if (ready && j.piece_count > 0) {
        rebuild(&j, done);
    }
    free(j.pieces);
    free(j.ends);
    free(j.pairs);
    free(j.mate);
    free(done);
    return ready || th_fail_memory(err);
}
