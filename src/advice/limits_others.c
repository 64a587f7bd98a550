/* limits_others.c - what the other cuts of a job bear while one is opened. */
#include <math.h>

#include "limits.h"

enum { EDGE_STEPS = 4, STEPS_MOST = 40, TOP_STEPS = 5 };

/* The edge is found to this share. */
#define EDGE 1.01

/* Ratios of one look to the next, near the top of the range and far below. */
#define FINE 0.9
#define COARSE 0.7
#define LITTLE_LESS 1e-4

/* A range no wider than this above a gap gives way to one below. */
#define SLIVER 0.95

/* Once their margin has fallen by so much on the way down it does not come back. */
#define FALLEN 0.97

/* A walk down one point's range. */
typedef struct {
    const th_bounded *b;
    th_limit_point *point;
    double stated;      /* the job's own engagement, where the point is its own; else 0 (mm) */
    double top, bottom; /* 0: nothing held yet */
    double beyond;      /* the least above the top at which another fails; 0: none */
    th_all at_top, at_beyond, at_below;
    double highest; /* margin of the others so far */
    bool stopped;   /* another failed below the bottom */
} th_walk;

static bool look(const th_walk *w, double axial, th_all *all) {
    return th_look_later(w->b, (th_engaged){w->point->radial, axial, false}, all);
}

/* ---- whether it matters -----------------------------------------------------------------------
 */

static double takes(const th_limit_point *p) {
    return p->minutes * p->axial / p->least;
}

static bool is_last(const th_bounded *b) {
    return b->which + 1 == b->job->cut_count;
}

/* They load the bond for longest where this cut is slowest, and find it warmest where it is
 * quickest. With both far enough from the limit, for how much they differ, no more is asked. */
static bool others_bear(const th_bounded *b, const th_limit_cut *found, bool *bear) {
    const th_limit_point *slow = NULL, *quick = NULL;
    th_all slowly, quickly;

    *bear = true;
    for (size_t i = 0; i < found->point_count; i++) {
        const th_limit_point *p = &found->points[i];
        if (p->axial > 0) {
            slow = !slow || takes(p) > takes(slow) ? p : slow;
            quick = !quick || p->minutes < quick->minutes ? p : quick;
        }
    }
    if (b->job->cut_count < 2 || !slow || !quick || (b->whole.known && is_last(b))) {
        return true;
    }
    if (!look(&(th_walk){.b = b, .point = (th_limit_point *)slow}, slow->least, &slowly) ||
        !look(&(th_walk){.b = b, .point = (th_limit_point *)quick}, quick->axial, &quickly)) {
        return false;
    }
    double low = fmin(slowly.other, quickly.other), high = fmax(slowly.other, quickly.other);
    *bear = slowly.holds && quickly.holds && (isinf(low) || low * low >= high);
    return true;
}

/* ---- one point --------------------------------------------------------------------------------
 */

/* With the same number of levels the deepest engagement is the warmest, and none is quicker: the
 * largest that has as many as this one. */
static double deepest_alike(const th_bounded *b, double axial) {
    double depth = th_limit_depth(b), levels = ceil(depth / axial - 1e-9);

    return b->slow || b->follows || levels < 2
               ? axial
               : fmax(axial, th_six_digits(depth / (levels - 1) * (1 - LITTLE_LESS), false));
}

/* What is looked at, falling: in equal ratios, and the job's own. */
static size_t set_steps(const th_walk *w, double *steps) {
    const th_limit_point *p = w->point;
    double before = p->axial;
    size_t count = 0;

    steps[count++] = before;
    while (before > p->least && count < STEPS_MOST - 2) {
        double share = before > p->axial * 0.3 ? FINE : COARSE;
        double next = deepest_alike(w->b, th_limit_step(w->b, share * before));
        next = next < before ? next : th_limit_step(w->b, share * before);
        next = count == STEPS_MOST - 3 ? p->least : fmax(next, p->least);
        if (w->stated < before && w->stated > next) {
            steps[count++] = w->stated;
        }
        steps[count++] = before = next;
    }
    return count;
}

static void go_on_above(th_walk *w, double axial, const th_all *all) {
    w->top = 0;
    w->beyond = axial;
    w->at_beyond = *all;
}

/* What one look tells. `kept`: a sliver above a gap, for when nothing wider comes. */
static void heed(th_walk *w, double axial, const th_all *all, th_walk *kept) {
    if (all->holds) {
        w->at_top = w->top > 0 ? w->at_top : *all;
        w->top = w->top > 0 ? w->top : axial;
        w->bottom = axial;
    } else if (w->top > 0 && w->stated > 0 && w->stated < w->bottom) {
        go_on_above(w, axial, all); /* the range is that around the job's own */
    } else if (w->top > 0) {
        w->at_below = *all;
        w->stopped = true;
        if (!(w->stated > 0) && !(kept->top > 0) && w->bottom > w->top * SLIVER) {
            *kept = *w;
            w->stopped = false;
            go_on_above(w, axial, all);
        }
    } else {
        go_on_above(w, axial, all);
        w->stopped = all->other < FALLEN * w->highest && !(w->stated > 0 && axial > w->stated);
    }
    w->highest = fmax(w->highest, all->other);
}

static bool walk_down(th_walk *w) {
    double steps[STEPS_MOST], next = INFINITY;
    size_t count = set_steps(w, steps);
    th_walk kept = *w;

    kept.top = 0;
    for (size_t i = 0; i < count && !w->stopped; i++) {
        bool must = steps[i] <= w->point->least || (w->stated >= steps[i] && w->stated <= steps[i]);
        th_all all;
        if (steps[i] > next && !must) {
            continue;
        }
        if (!look(w, steps[i], &all)) {
            return false;
        }
        heed(w, steps[i], &all, &kept);
        next = all.holds ? th_limit_next(steps[i], all.other) : INFINITY;
    }
    if (!(w->top > 0) && kept.top > 0) {
        *w = kept;
    }
    return true;
}

static bool narrow_edge(th_walk *w) {
    for (int i = 0; i < EDGE_STEPS && w->beyond > w->top * EDGE && !w->b->slow; i++) {
        double middle = th_six_digits(sqrt(w->top * w->beyond), false);
        th_all all;
        if (!look(w, middle, &all)) {
            return false;
        }
        if (all.holds) {
            w->top = middle;
            w->at_top = all;
        } else {
            w->beyond = middle;
            w->at_beyond = all;
        }
    }
    return true;
}

/* Where the job stands the other holds: longer or deeper than that is what it cannot bear. */
static bool tell(const th_walk *w, const th_all *all, bool below, th_lines *notes) {
    const th_bounded *b = w->b;
    const char *line;

    if (all->which == b->which || all->other >= 1) {
        return true;
    }
    line =
        th_arena_print(b->arena, "%s: limited by %s, which fails when this cut %s", b->cut->section,
                       b->job->cuts[all->which].section, below ? "takes longer" : "goes deeper");
    return th_limit_note(notes, b->arena, line) || th_fail_memory(b->err);
}

/* Whether the point, at `axial`, takes longer than the job's own. */
static bool is_longer(const th_walk *w, double axial, bool *longer) {
    const th_bounded *b = w->b;
    th_look there, own;

    if (!th_look_at(b, (th_engaged){w->point->radial, axial, false}, TH_LOOK_CUTTER, &there) ||
        !th_look_at(b, (th_engaged){b->cut->radial, b->cut->axial, false}, TH_LOOK_CUTTER, &own)) {
        return false;
    }
    *longer = there.minutes > own.minutes;
    return true;
}

/* The walk looked at the others alone: the cut itself must hold where it ends. Down from the top as
 * far as that takes; `top` 0: nowhere. */
static bool judge_top(th_walk *w, th_look *seen) {
    for (int i = 0;; i++) {
        bool last = i == TOP_STEPS || !(w->top > w->bottom);
        if (!th_look_at(w->b, (th_engaged){w->point->radial, w->top, false}, TH_LOOK_WHOLE, seen)) {
            return false;
        }
        if (seen->ratio >= 1) {
            return true;
        }
        w->point->limiter = seen->by;
        if (last) {
            w->top = 0;
            return true;
        }
        double next = th_limit_step(w->b, w->top * SLIVER);
        w->top = i + 1 == TOP_STEPS ? w->bottom : fmax(next, w->bottom);
    }
}

static void close_point(th_limit_point *p) {
    p->axial = p->least = 0;
    p->hold_factor = p->passes = p->minutes = (double)NAN;
}

static bool settle(th_walk *w, th_lines *notes) {
    th_limit_point *p = w->point;
    th_look seen;
    bool longer;

    if (w->beyond > 0) {
        if (!is_longer(w, w->beyond, &longer) || !tell(w, &w->at_beyond, longer, notes)) {
            return false;
        }
        p->limiter = w->at_beyond.by;
    }
    if (w->stopped && w->top > 0 && !tell(w, &w->at_below, true, notes)) {
        return false;
    }
    if (!(w->top > 0)) {
        close_point(p);
        return true;
    }
    p->least = w->bottom;
    if (!(w->top < p->axial)) {
        return true;
    }
    if (!judge_top(w, &seen)) {
        return false;
    }
    if (!(w->top > 0)) {
        close_point(p);
        return true;
    }
    p->axial = w->top;
    p->hold_factor = seen.hold_factor;
    p->passes = seen.passes;
    p->minutes = seen.minutes;
    return true;
}

bool th_limit_others(const th_bounded *b, th_limit_cut *found, th_lines *notes) {
    bool bear;

    if (!others_bear(b, found, &bear)) {
        return false;
    }
    for (size_t i = 0; i < found->point_count && !bear; i++) {
        th_limit_point *p = &found->points[i];
        th_walk w = {.b = b, .point = p};
        double own = th_six_digits(b->cut->axial, false);
        bool here = found->own_holds && fabs(p->radial - b->cut->radial) <= 1e-5 * b->cut->radial;
        w.stated = here && own >= p->least && own <= p->axial ? own : 0;
        if (p->axial > 0 &&
            (!walk_down(&w) || (w.top > 0 && !narrow_edge(&w)) || !settle(&w, notes))) {
            return false;
        }
    }
    return true;
}
