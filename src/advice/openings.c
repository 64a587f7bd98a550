/* openings.c - through openings that might cut a piece free between them. */
#include "judge.h"

#include <math.h>
#include <stdlib.h>

/* A web thinner than this between two openings is taken to be none (mm). */
#define LEAST_WEB 0.3

/* A stadium: a slot, or a round opening whose ends coincide. */
typedef struct {
    th_point from, to;
    double radius;
    bool slot;
    int contacts;
    const th_cut *cut;
} th_gap;

/* Distance from a point to a segment. */
static double point_gap(th_point p, th_point a, th_point b) {
    double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
    double t = square > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / square : 0;

    t = fmin(fmax(t, 0), 1);
    return hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

static double side(th_point a, th_point b, th_point p) {
    return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

/* Distance between two segments, 0 where they cross. */
static double segment_gap(th_point a, th_point b, th_point c, th_point d) {
    if (side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0) {
        return 0;
    }
    return fmin(fmin(point_gap(a, c, d), point_gap(b, c, d)),
                fmin(point_gap(c, a, b), point_gap(d, a, b)));
}

enum { LEFT = 1, RIGHT = 2, FRONT = 4, BACK = 8 };

static int edges_at(const th_job *job, th_point at, double reach) {
    return (at.x - reach <= 0 ? LEFT : 0) | (at.x + reach >= job->part.length ? RIGHT : 0) |
           (at.y - reach <= 0 ? FRONT : 0) | (at.y + reach >= job->part.width ? BACK : 0);
}

static bool spans(int edges) {
    return (edges & (LEFT | RIGHT)) == (LEFT | RIGHT) || (edges & (FRONT | BACK)) == (FRONT | BACK);
}

/* Edges of the part that an opening runs into; one that reaches from edge to edge at one place
 * counts twice, and a slot along an edge only trims it. */
static int edge_contacts(const th_job *job, const th_gap *opening) {
    double reach = opening->radius + LEAST_WEB;
    int from = edges_at(job, opening->from, reach), to = edges_at(job, opening->to, reach);

    if (spans(from) || spans(to)) {
        return 2;
    }
    if (opening->slot) {
        return from & to ? 0 : (from != 0) + (to != 0);
    }
    return from != 0;
}

static size_t count_openings(const th_job *job) {
    size_t count = 0;

    for (size_t i = 0; i < job->cut_count; i++) {
        count += job->cuts[i].at.count + 1;
    }
    return count;
}

static size_t list_openings(const th_job *job, th_gap *list) {
    size_t count = 0;

    for (const th_cut *cut = job->cuts; cut < job->cuts + job->cut_count; cut++) {
        double radius = cut->cutter ? cut->cutter->row.diameter / 2 : 0;
        if (!cut->cutter || !th_cut_opens(job, cut)) {
            continue;
        }
        if (cut->operation == TH_SLOT) {
            list[count++] = (th_gap){cut->from, cut->to, radius, true, 0, cut};
        }
        for (size_t i = 0; cut->operation != TH_SLOT && i < cut->at.count; i++) {
            th_point at = cut->at.items[i];
            radius = cut->operation == TH_HOLE ? cut->size.a / 2 : radius;
            list[count++] = (th_gap){at, at, radius, false, 0, cut};
        }
    }
    return count;
}

static bool far_apart(const th_gap *a, const th_gap *b, double reach) {
    return fmin(a->from.x, a->to.x) - fmax(b->from.x, b->to.x) > reach ||
           fmin(b->from.x, b->to.x) - fmax(a->from.x, a->to.x) > reach ||
           fmin(a->from.y, a->to.y) - fmax(b->from.y, b->to.y) > reach ||
           fmin(b->from.y, b->to.y) - fmax(a->from.y, a->to.y) > reach;
}

/* Two slots that meet count twice for both: they may close a ring with an edge each. */
static void count_contacts(const th_job *job, th_gap *list, size_t count) {
    for (size_t i = 0; i < count; i++) {
        list[i].contacts += edge_contacts(job, &list[i]);
        for (size_t j = 0; j < i; j++) {
            double reach = list[i].radius + list[j].radius + LEAST_WEB;
            int weight = list[i].slot && list[j].slot ? 2 : 1;
            if (!far_apart(&list[i], &list[j], reach) &&
                segment_gap(list[i].from, list[i].to, list[j].from, list[j].to) <= reach) {
                list[i].contacts += weight;
                list[j].contacts += weight;
            }
        }
    }
}

bool th_openings_check(const th_job *job, th_error *err) {
    th_gap *list = malloc(count_openings(job) * sizeof *list);
    size_t count;
    bool fine = true;

    if (!list) {
        return th_fail_memory(err);
    }
    count = list_openings(job, list);
    count_contacts(job, list, count);
    for (size_t i = 0; i < count && fine; i++) {
        if (list[i].contacts >= 2) {
            const char *section = list[i].cut->section;
            const th_entry *entry = th_entry_of(job, section, NULL);
            fine = th_fail_at(
                err, TH_NOT_POSSIBLE, entry ? entry->file : NULL, entry ? entry->line : 0,
                "[%s] runs into edges or other through cuts at two places and may cut "
                "a piece free; describe each piece as a job of its own",
                section);
        }
    }
    free(list);
    return fine;
}
