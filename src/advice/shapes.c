/* shapes.c - every region that judging a job comes by, each worked out once.
 *
 * Equal regions are one pointer, so that what is made from them is known by the pointers it was
 * made from. */
#include "judge.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

typedef enum { DRAWN, OVERLAID, GROWN, PIECE, NOTED } th_making;

typedef struct th_shape_entry th_shape_entry;
struct th_shape_entry {
    th_outline outline;
    th_making making;
    const th_outline *from, *with;
    double number; /* overlay, distance, which piece, or a digest of what was drawn */
    size_t count;  /* of pieces, with the first of them; what was noted */
    th_shape_entry *next;
};

/* Entries in lists by a digest of what they were made from. */
struct th_shapes {
    th_shape_entry **lists;
    size_t list_count, count;
};

enum { FIRST_LISTS = 64 };

th_shapes *th_shapes_new(void) {
    return calloc(1, sizeof(th_shapes));
}

void th_shapes_free(th_shapes *shapes) {
    for (size_t i = 0; shapes && i < shapes->list_count; i++) {
        while (shapes->lists[i]) {
            th_shape_entry *next = shapes->lists[i]->next;
            th_outline_free(&shapes->lists[i]->outline);
            free(shapes->lists[i]);
            shapes->lists[i] = next;
        }
    }
    if (shapes) {
        free(shapes->lists);
    }
    free(shapes);
}

/* FNV-1a (Fowler, Noll, Vo), from 32-bit word to word. */
static uint32_t digest(uint32_t sum, const void *items, size_t size) {
    const unsigned char *bytes = items;

    for (size_t i = 0; i < size; i++) {
        sum = (sum ^ bytes[i]) * 16777619u;
    }
    return sum;
}

static size_t list_of(const th_shapes *shapes, const th_shape_entry *like) {
    uint32_t sum = digest(2166136261u, &like->making, sizeof like->making);

    sum = digest(sum, &like->from, sizeof like->from);
    sum = digest(sum, &like->with, sizeof like->with);
    sum = digest(sum, &like->number, sizeof like->number);
    return sum % shapes->list_count;
}

static bool alike(const th_shape_entry *a, const th_shape_entry *b) {
    return a->making == b->making && a->from == b->from && a->with == b->with &&
           a->number == b->number;
}

static th_shape_entry *known(const th_shapes *shapes, const th_shape_entry *like) {
    th_shape_entry *entry = shapes->list_count ? shapes->lists[list_of(shapes, like)] : NULL;

    while (entry && !alike(entry, like)) {
        entry = entry->next;
    }
    return entry;
}

/* Lists stay short: there are as many of them as entries. */
static bool make_room(th_shapes *shapes) {
    th_shapes more = {.list_count = shapes->list_count ? 4 * shapes->list_count : FIRST_LISTS};

    if (shapes->count < shapes->list_count) {
        return true;
    }
    more.lists = calloc(more.list_count, sizeof(th_shape_entry *));
    if (!more.lists) {
        return false;
    }
    for (size_t i = 0; i < shapes->list_count; i++) {
        for (th_shape_entry *e = shapes->lists[i], *next; e; e = next) {
            size_t list = list_of(&more, e);
            next = e->next;
            e->next = more.lists[list];
            more.lists[list] = e;
        }
    }
    free(shapes->lists);
    shapes->lists = more.lists;
    shapes->list_count = more.list_count;
    return true;
}

/* Keep an entry; the outline moves in. */
static const th_outline *shelve(th_shapes *shapes, const th_shape_entry *like, th_outline *outline,
                                th_error *err) {
    th_shape_entry *entry = make_room(shapes) ? malloc(sizeof *entry) : NULL;
    th_shape_entry **list;

    if (!entry) {
        th_outline_free(outline);
        th_fail_memory(err);
        return NULL;
    }
    list = &shapes->lists[list_of(shapes, like)];
    *entry = *like;
    entry->outline = *outline;
    entry->next = *list;
    *outline = (th_outline){0};
    *list = entry;
    shapes->count++;
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
    th_shape_entry like = {.making = DRAWN};
    uint32_t sum = 2166136261u;

    for (size_t i = 0; i < outline->ring_count; i++) {
        sum = digest(sum, outline->rings[i].points,
                     outline->rings[i].count * sizeof *outline->rings[i].points);
    }
    like.number = sum;
    for (th_shape_entry *e = known(shapes, &like); e; e = e->next) {
        if (alike(e, &like) && same_rings(&e->outline, outline)) {
            th_outline_free(outline);
            return &e->outline;
        }
    }
    return shelve(shapes, &like, outline, err);
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

/* The first comes last: where it is known, all are. */
static bool find_pieces(th_shapes *shapes, const th_outline *of, size_t *count, th_error *err) {
    th_pieces pieces = {0};
    bool fine = th_region_pieces(of, &pieces, err);

    *count = fine ? pieces.count : 0;
    for (size_t left = *count; fine && left > 0; left--) {
        th_shape_entry like = {
            .making = PIECE, .from = of, .number = (double)(left - 1), .count = pieces.count};
        fine = known(shapes, &like) || shelve(shapes, &like, &pieces.items[left - 1], err) != NULL;
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
    const th_shape_entry *entry =
        known(shapes, &(th_shape_entry){.making = PIECE, .from = of, .number = (double)which});

    return entry ? &entry->outline : NULL;
}

bool th_shapes_noted(const th_shapes *shapes, const th_outline *of, const th_outline *with,
                     size_t *value) {
    const th_shape_entry *entry =
        known(shapes, &(th_shape_entry){.making = NOTED, .from = of, .with = with});

    *value = entry ? entry->count : 0;
    return entry != NULL;
}

bool th_shapes_note(th_shapes *shapes, const th_outline *of, const th_outline *with, size_t value,
                    th_error *err) {
    th_outline none = {0};

    return shelve(shapes,
                  &(th_shape_entry){.making = NOTED, .from = of, .with = with, .count = value},
                  &none, err) != NULL;
}
