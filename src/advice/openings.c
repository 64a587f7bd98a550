/* openings.c - holes that are bored against the openings that the part is to have. */
#include "cautions.h"

#include <math.h>

/* How far a bored hole may stray from its opening (mm). */
#define MATCH TH_SHAPE_MATCH

typedef struct {
    const th_job *job;
    th_ground *ground;
    th_check *check;
} th_comparing;

typedef struct {
    th_point middle;
    double length, width; /* of its box (mm) */
} th_extent;

static th_extent extent_of(const th_ring *ring) {
    th_extent extent = {th_opening_middle(ring), 0, 0};

    for (size_t i = 0; i < ring->count; i++) {
        extent.length = fmax(extent.length, 2 * fabs(ring->points[i].x - extent.middle.x));
        extent.width = fmax(extent.width, 2 * fabs(ring->points[i].y - extent.middle.y));
    }
    return extent;
}

static double apart(th_point a, th_point b) {
    return hypot(a.x - b.x, a.y - b.y);
}

static bool bores(const th_cut *cut) {
    return (cut->operation == TH_HOLE || cut->operation == TH_DRILLED) && cut->through;
}

static double bore_of(const th_cut *cut) {
    return cut->operation == TH_HOLE ? cut->size.a : cut->cutter->row.diameter;
}

static const char *length_text(const th_comparing *c, double value) {
    char text[48];

    th_quantity_print(value, TH_LENGTH, (th_units)c->job->head.units, 3, text, sizeof text);
    return th_arena_print(&c->check->arena, "%s", text);
}

/* "opening.2 (4 mm at 20 mm, 10 mm)"; a named one by its size as written. */
static const char *opening_text(const th_comparing *c, const th_extent *extent) {
    const char *name = "the drawing's opening", *length, *width;
    const char *x = length_text(c, extent->middle.x), *y = length_text(c, extent->middle.y);
    bool round = fabs(extent->length - extent->width) <= MATCH;
    double size[2] = {extent->length, extent->width};

    for (size_t i = 0; i < c->job->opening_count; i++) {
        const th_part_opening *opening = &c->job->openings[i];
        for (size_t k = 0; k < opening->at.count; k++) {
            if (apart(opening->at.items[k], extent->middle) <= MATCH) {
                name = opening->section;
                size[0] = opening->size.a;
                size[1] = opening->size.b;
            }
        }
    }
    length = length_text(c, size[0]);
    width = length_text(c, size[1]);
    if (!length || !width || !x || !y) {
        return NULL;
    }
    return th_arena_print(&c->check->arena, "%s (%s%s%s at %s, %s)", name, length,
                          round ? "" : " x ", round ? "" : width, x, y);
}

static const th_ring *nearest_opening(const th_ground *ground, th_point at) {
    const th_ring *nearest = NULL;
    double least = INFINITY;

    for (size_t i = 0; i < ground->part->ring_count; i++) {
        const th_ring *ring = &ground->part->rings[i];
        double away = ring->hole ? apart(th_opening_middle(ring), at) : INFINITY;
        if (away < least) {
            least = away;
            nearest = ring;
        }
    }
    return nearest;
}

/* A hole that reaches into metal which the part is to keep: one line for a cut. */
static bool compare_hole(const th_comparing *c, const th_cut *cut) {
    const th_outline *part = c->ground->part;
    const char *size = length_text(c, bore_of(cut)), *x, *y, *text;
    const th_ring *nearest;
    th_extent extent;

    for (size_t i = 0; i < cut->at.count; i++) {
        th_point at = cut->at.items[i];
        bool inside = !th_outline_holds(part, at);
        if (inside && th_outline_distance(part, at, NULL) >= bore_of(cut) / 2 - MATCH) {
            continue;
        }
        nearest = nearest_opening(c->ground, at);
        if (!nearest) {
            return true;
        }
        extent = extent_of(nearest);
        x = length_text(c, at.x);
        y = length_text(c, at.y);
        text = opening_text(c, &extent);
        return (size && x && y && text &&
                th_lines_add(&c->check->cautions, &c->check->arena,
                             "%s bores %s at %s, %s, where the part has no such opening; the "
                             "nearest is %s",
                             cut->section, size, x, y, text)) ||
               th_fail_memory(c->ground->err);
    }
    return true;
}

static bool coincides(const th_cut *cut, th_point at, const th_extent *extent) {
    return apart(at, extent->middle) <= MATCH && fabs(bore_of(cut) - extent->length) <= MATCH &&
           fabs(bore_of(cut) - extent->width) <= MATCH;
}

/* The hole that is bored within an opening without making it; NULL: none, or one that does. */
static const th_cut *partly_bored(const th_job *job, const th_extent *extent) {
    const th_cut *partly = NULL;

    for (size_t k = 0; k < job->cut_count; k++) {
        const th_cut *cut = &job->cuts[k];
        for (size_t i = 0; bores(cut) && i < cut->at.count; i++) {
            th_point at = cut->at.items[i];
            if (coincides(cut, at, extent)) {
                return NULL;
            }
            if (fabs(at.x - extent->middle.x) + bore_of(cut) / 2 < extent->length / 2 + MATCH &&
                fabs(at.y - extent->middle.y) + bore_of(cut) / 2 < extent->width / 2 + MATCH) {
                partly = cut;
            }
        }
    }
    return partly;
}

/* An opening that stays smaller than it should: the outline's cutter does not fit into it, and what
 * bores there bores less. */
static bool compare_opening(const th_comparing *c, const th_ring *ring, const th_cut *outline) {
    th_extent extent = extent_of(ring);
    const th_cut *cut = partly_bored(c->job, &extent);
    const char *text, *size;
    bool fits;

    if (!cut) {
        return true;
    }
    if (!th_opening_fits(c->ground, ring, outline, &fits)) {
        return false;
    }
    if (fits) {
        return true;
    }
    text = opening_text(c, &extent);
    size = length_text(c, bore_of(cut));
    return (text && size &&
            th_lines_add(&c->check->cautions, &c->check->arena,
                         "%s is not made whole: %s bores %s there, and the cutter of %s is too "
                         "wide for it",
                         text, cut->section, size, outline->section)) ||
           th_fail_memory(c->ground->err);
}

static bool compare_all(const th_comparing *c) {
    const th_job *job = c->job;
    const th_outline *part = c->ground->part;
    const th_cut *outline = NULL;
    bool slots = false;

    for (size_t i = 0; i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        outline = cut->operation == TH_OUTLINE && !outline ? cut : outline;
        slots = slots || (cut->operation == TH_SLOT && cut->through);
        if (bores(cut) && !compare_hole(c, cut)) {
            return false;
        }
    }
    for (size_t i = 0; outline && !slots && i < part->ring_count; i++) {
        if (part->rings[i].hole && !compare_opening(c, &part->rings[i], outline)) {
            return false;
        }
    }
    return true;
}

bool th_openings_compared(const th_job *job, const th_judging *judging, th_check *check,
                          th_error *err) {
    th_arena arena = {NULL};
    th_ground ground;
    th_comparing comparing = {job, &ground, check};
    bool fine = th_ground_make(job, judging, &arena, &ground, err);

    if (fine && nearest_opening(&ground, (th_point){0, 0})) {
        fine = compare_all(&comparing);
    }
    th_arena_free(&arena);
    return fine;
}
