/* sweep.c - a line sweeps over the edges from left to right and keeps those it cuts in a tree, from
 * bottom to top; only neighbours can meet first (Shamos and Hoey 1976). Points are swept in the
 * order of x, then y, which stands in for a line turned a hair, so upright edges need no case of
 * their own. All decisions are exact. */
#include "sweep.h"

#include <stdlib.h>

enum { NONE = -1 };

/* An edge runs from point i to the next of its ring and bears the number i. */
typedef struct {
    int32_t next;          /* end of the edge in its ring */
    int32_t back;          /* previous point of the ring */
    int32_t left, right;   /* ends in sweep order */
    int32_t up, low, high; /* tree: above in the tree, smaller, greater */
    int32_t below, above;  /* the edges next to it on the sweep line */
    int32_t ring;
} edge;

typedef struct {
    grid_point at;
    int32_t point;
} event;

typedef struct {
    const grid_point *points;
    edge *edges;
    event *events;
    int32_t root;
    sweep_clash *clash;
} sweeper;

static int compare_events(const void *a, const void *b) {
    const event *e = a, *f = b;
    int order = grid_order(e->at, f->at);

    return order != 0 ? order : (e->point > f->point) - (e->point < f->point);
}

static grid_point left_of(const sweeper *s, int32_t e) {
    return s->points[s->edges[e].left];
}

static grid_point right_of(const sweeper *s, int32_t e) {
    return s->points[s->edges[e].right];
}

static void report(sweeper *s, int32_t a, int32_t b, double x, double y) {
    if (!s->clash->found) {
        *s->clash = (sweep_clash){true, (size_t)a, (size_t)b, x, y};
    }
}

/* ---- the tree: a treap whose priorities are scrambled edge numbers --------------------------- */

static uint32_t priority(int32_t e) {
    uint32_t h = (uint32_t)e * 2654435761U;

    h ^= h >> 15;
    h *= 2246822519U;
    return h ^ h >> 13;
}

static void hang(sweeper *s, int32_t old, int32_t new, int32_t up) {
    if (up == NONE) {
        s->root = new;
    } else if (s->edges[up].low == old) {
        s->edges[up].low = new;
    } else {
        s->edges[up].high = new;
    }
    if (new != NONE) {
        s->edges[new].up = up;
    }
}

/* Turn e one level up, in the place of the edge above it in the tree. */
static void rotate_up(sweeper *s, int32_t e) {
    edge *edges = s->edges;
    int32_t parent = edges[e].up;
    int32_t moved;

    hang(s, parent, e, edges[parent].up);
    if (edges[parent].low == e) {
        moved = edges[e].high;
        edges[parent].low = moved;
        edges[e].high = parent;
    } else {
        moved = edges[e].low;
        edges[parent].high = moved;
        edges[e].low = parent;
    }
    edges[parent].up = e;
    if (moved != NONE) {
        edges[moved].up = parent;
    }
}

static void unlink_edge(sweeper *s, int32_t e) {
    edge *edges = s->edges;

    while (edges[e].low != NONE && edges[e].high != NONE) {
        int32_t low = edges[e].low, high = edges[e].high;
        rotate_up(s, priority(low) > priority(high) ? low : high);
    }
    hang(s, e, edges[e].low != NONE ? edges[e].low : edges[e].high, edges[e].up);
    if (edges[e].below != NONE) {
        edges[edges[e].below].above = edges[e].above;
    }
    if (edges[e].above != NONE) {
        edges[edges[e].above].below = edges[e].below;
    }
}

/* Whether e, which starts at point p, lies above the edge t. An edge through p that does not start
 * there, or that leaves it in the same direction, is a clash. */
static bool lies_above(sweeper *s, int32_t e, int32_t t) {
    int32_t p = s->edges[e].left;
    int where = grid_side(left_of(s, t), right_of(s, t), s->points[p]);

    if (where == 0 && s->edges[t].left == p) {
        where = grid_side(s->points[p], right_of(s, t), right_of(s, e));
    }
    if (where == 0) {
        report(s, e, t, (double)s->points[p].x, (double)s->points[p].y);
    }
    return where > 0;
}

static void link_edge(sweeper *s, int32_t e) {
    edge *edges = s->edges;
    int32_t up = NONE, at = s->root;
    bool higher = false;

    edges[e].low = edges[e].high = edges[e].below = edges[e].above = NONE;
    while (at != NONE && !s->clash->found) {
        up = at;
        higher = lies_above(s, e, at);
        if (higher) {
            edges[e].below = at;
        } else {
            edges[e].above = at;
        }
        at = higher ? edges[at].high : edges[at].low;
    }
    if (s->clash->found) {
        return;
    }
    edges[e].up = up;
    if (up == NONE) {
        s->root = e;
    } else if (higher) {
        edges[up].high = e;
    } else {
        edges[up].low = e;
    }
    if (edges[e].below != NONE) {
        edges[edges[e].below].above = e;
    }
    if (edges[e].above != NONE) {
        edges[edges[e].above].below = e;
    }
    while (edges[e].up != NONE && priority(edges[e].up) < priority(e)) {
        rotate_up(s, e);
    }
}

/* ---- crossings ------------------------------------------------------------------------------- */

static bool share_end(const sweeper *s, int32_t a, int32_t b) {
    return s->edges[a].next == b || s->edges[b].next == a;
}

/* Lines of a and b are not parallel. */
static void report_crossing(sweeper *s, int32_t a, int32_t b) {
    grid_point p = left_of(s, a), q = right_of(s, a), u = left_of(s, b), v = right_of(s, b);
    double dx = (double)(q.x - p.x), dy = (double)(q.y - p.y);
    double ex = (double)(v.x - u.x), ey = (double)(v.y - u.y);
    double cross = dx * ey - dy * ex;
    double t = ((double)(u.x - p.x) * ey - (double)(u.y - p.y) * ex) / cross;

    report(s, a, b, (double)p.x + t * dx, (double)p.y + t * dy);
}

/* Both edges are cut by the sweep line, so their spans along it overlap and edges in one line that
 * share a point were found when the second was put in. */
static void check_pair(sweeper *s, int32_t a, int32_t b) {
    int a1, a2, b1, b2;

    if (a == NONE || b == NONE || share_end(s, a, b)) {
        return;
    }
    a1 = grid_side(left_of(s, a), right_of(s, a), left_of(s, b));
    a2 = grid_side(left_of(s, a), right_of(s, a), right_of(s, b));
    b1 = grid_side(left_of(s, b), right_of(s, b), left_of(s, a));
    b2 = grid_side(left_of(s, b), right_of(s, b), right_of(s, a));
    if (a1 * a2 <= 0 && b1 * b2 <= 0 && !(a1 == 0 && a2 == 0)) {
        report_crossing(s, a, b);
    }
}

/* ---- events ---------------------------------------------------------------------------------- */

/* The two edges at a point: the one that leaves it in its ring and the one that arrives. */
static void take_out(sweeper *s, int32_t p, int32_t e) {
    if (s->edges[e].right == p) {
        int32_t below = s->edges[e].below, above = s->edges[e].above;
        unlink_edge(s, e);
        check_pair(s, below, above);
    }
}

static void put_in(sweeper *s, int32_t p, int32_t e) {
    if (s->edges[e].left == p && !s->clash->found) {
        link_edge(s, e);
        if (!s->clash->found) {
            check_pair(s, s->edges[e].below, e);
            check_pair(s, e, s->edges[e].above);
        }
    }
}

static bool runs_right(const sweeper *s, int32_t e) {
    return s->edges[e].left == e;
}

/* At the first point of a ring the edge under it tells what the ring lies in: that edge's ring if
 * its material side, or its hole, is above, else what that ring lies in itself. */
static void place_ring(sweeper *s, sweep_ring *rings, int32_t p) {
    int32_t leaving = p, arriving = s->edges[p].back;
    sweep_ring *ring = &rings[s->edges[p].ring];
    int32_t lower, under;

    ring->ccw = grid_side(s->points[arriving], s->points[p], s->points[s->edges[p].next]) > 0;
    lower = ring->ccw ? leaving : arriving;
    under = s->edges[lower].below;
    if (under == NONE) {
        ring->parent = SWEEP_NO_RING;
    } else {
        long other = s->edges[under].ring;
        bool inside = rings[other].ccw == runs_right(s, under);
        ring->parent = inside ? other : rings[other].parent;
    }
}

static void sweep_over(sweeper *s, const sweep_input *input) {
    for (size_t i = 0; i < input->point_count && !s->clash->found; i++) {
        int32_t p = s->events[i].point;
        int32_t back = s->edges[p].back;
        bool first = s->edges[p].left == p && s->edges[back].left == p;

        if (i > 0 && grid_same(s->events[i - 1].at, s->events[i].at)) {
            report(s, s->events[i - 1].point, p, (double)s->events[i].at.x,
                   (double)s->events[i].at.y);
            return;
        }
        take_out(s, p, back);
        take_out(s, p, p);
        put_in(s, p, back);
        put_in(s, p, p);
        if (first && !s->clash->found && input->rings[s->edges[p].ring].parent < SWEEP_NO_RING) {
            place_ring(s, input->rings, p);
        }
    }
}

static void lay_out(sweeper *s, const sweep_input *input) {
    for (size_t r = 0; r < input->ring_count; r++) {
        sweep_ring *ring = &input->rings[r];
        ring->parent = SWEEP_NO_RING - 1; /* not seen yet */
        for (size_t k = 0; k < ring->count; k++) {
            size_t i = ring->first + k;
            size_t next = ring->first + (k + 1) % ring->count;
            size_t back = ring->first + (k + ring->count - 1) % ring->count;
            bool right = grid_order(input->points[i], input->points[next]) < 0;
            s->edges[i] = (edge){.next = (int32_t)next,
                                 .back = (int32_t)back,
                                 .left = (int32_t)(right ? i : next),
                                 .right = (int32_t)(right ? next : i),
                                 .ring = (int32_t)r};
            s->events[i] = (event){input->points[i], (int32_t)i};
        }
    }
}

bool th_outline_sweep(const sweep_input *input, sweep_clash *clash) {
    sweeper s = {.points = input->points, .root = NONE, .clash = clash};
    bool done = false;

    *clash = (sweep_clash){0};
    s.edges = malloc((input->point_count + 1) * sizeof *s.edges);
    s.events = malloc((input->point_count + 1) * sizeof *s.events);
    if (s.edges && s.events) {
        lay_out(&s, input);
        qsort(s.events, input->point_count, sizeof *s.events, compare_events);
        sweep_over(&s, input);
        done = true;
    }
    free(s.edges);
    free(s.events);
    return done;
}
