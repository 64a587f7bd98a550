/* shapes.c - every region that judging a job comes by, each worked out once.
 *
 * Equal regions are one pointer, so that what is made from them is known by the pointers it was
 * made from. */
#include "judge.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef enum { DRAWN, OVERLAID, GROWN, PIECE } th_making;

typedef struct th_shape_entry th_shape_entry;
struct th_shape_entry {
    th_outline outline;
    th_making making;
    const th_outline *from, *with;
    double number; /* overlay, distance, or which piece */
    size_t count;  /* of pieces, with the first of them */
    th_shape_entry *next;
};

struct th_shapes {
    th_shape_entry *first;
};

th_shapes *th_shapes_new(void) {
    return calloc(1, sizeof(th_shapes));
}

void th_shapes_free(th_shapes *shapes) {
    while (shapes && shapes->first) {
        th_shape_entry *next = shapes->first->next;
        th_outline_free(&shapes->first->outline);
        free(shapes->first);
        shapes->first = next;
    }
    free(shapes);
}

static th_shape_entry *known(const th_shapes *shapes, const th_shape_entry *like) {
    for (th_shape_entry *e = shapes->first; e; e = e->next) {
        if (e->making == like->making && e->from == like->from && e->with == like->with &&
            e->number == like->number) {
            return e;
        }
    }
    return NULL;
}

/* Keep an entry; the outline moves in. */
static const th_outline *shelve(th_shapes *shapes, const th_shape_entry *like, th_outline *outline,
                                th_error *err) {
    th_shape_entry *entry = malloc(sizeof *entry);

    if (!entry) {
        th_outline_free(outline);
        th_fail_memory(err);
        return NULL;
    }
    *entry = *like;
    entry->outline = *outline;
    entry->next = shapes->first;
    *outline = (th_outline){0};
    shapes->first = entry;
    return &entry->outline;
}

static bool same_rings(const th_outline *a, const th_outline *b) {
    if (a->ring_count != b->ring_count || a->point_count != b->point_count) {
        return false;
    }
    for (size_t i = 0; i < a->ring_count; i++) {
        const th_ring *p = &a->rings[i], *q = &b->rings[i];
        if (p->count != q->count || p->hole != q->hole ||
            memcmp(p->points, q->points, p->count * sizeof *p->points) != 0) {
            return false;
        }
    }
    return true;
}

const th_outline *th_shapes_drawn(th_shapes *shapes, th_outline *outline, th_error *err) {
    for (th_shape_entry *e = shapes->first; e; e = e->next) {
        if (e->making == DRAWN && same_rings(&e->outline, outline)) {
            th_outline_free(outline);
            return &e->outline;
        }
    }
    return shelve(shapes, &(th_shape_entry){.making = DRAWN}, outline, err);
}

const th_outline *th_shapes_overlaid(th_shapes *shapes, const th_outline *a, const th_outline *b,
                                     th_overlay how, th_error *err) {
    th_shape_entry like = {.making = OVERLAID, .from = a, .with = b, .number = how};
    th_shape_entry *entry = known(shapes, &like);
    th_outline made = {0};

    if (entry) {
        return &entry->outline;
    }
    return th_region_overlay(a, b, how, &made, err) ? shelve(shapes, &like, &made, err) : NULL;
}

const th_outline *th_shapes_grown(th_shapes *shapes, const th_outline *of, double distance,
                                  th_error *err) {
    th_shape_entry like = {.making = GROWN, .from = of, .number = distance};
    th_shape_entry *entry = known(shapes, &like);
    th_outline made = {0};

    if (entry) {
        return &entry->outline;
    }
    return th_region_grown(of, distance, 0, &made, err) ? shelve(shapes, &like, &made, err) : NULL;
}

static bool find_pieces(th_shapes *shapes, const th_outline *of, size_t *count, th_error *err) {
    th_pieces pieces = {0};
    bool fine = th_region_pieces(of, &pieces, err);

    *count = pieces.count;
    for (size_t i = 0; fine && i < pieces.count; i++) {
        th_shape_entry like = {
            .making = PIECE, .from = of, .number = (double)i, .count = pieces.count};
        fine = shelve(shapes, &like, &pieces.items[i], err) != NULL;
    }
    if (fine && pieces.count == 0) { /* to be known as empty next time */
        th_outline none = {0};
        fine = shelve(shapes, &(th_shape_entry){.making = PIECE, .from = of}, &none, err) != NULL;
    }
    th_pieces_free(&pieces);
    return fine;
}

bool th_shapes_pieces(th_shapes *shapes, const th_outline *of, size_t *count, th_error *err) {
    th_shape_entry *entry = known(shapes, &(th_shape_entry){.making = PIECE, .from = of});

    if (entry) {
        *count = entry->count;
        return true;
    }
    return find_pieces(shapes, of, count, err);
}

const th_outline *th_shapes_piece(const th_shapes *shapes, const th_outline *of, size_t which) {
    return &known(shapes, &(th_shape_entry){.making = PIECE, .from = of, .number = (double)which})
                ->outline;
}
