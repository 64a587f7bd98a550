/* alike.c - pieces that are one another moved, with all that holds them. */
#include "judge.h"

#include <math.h>

/* Corners that lie no further apart are one (mm); regions are rounded to 2 nm. */
#define SAME_PLACE 1e-4

/* Shares smaller than this are rounding (mm2). */
#define NO_AREA 1e-3

static bool same_place(th_point a, th_point b, th_point by) {
    return fabs(b.x - a.x - by.x) <= SAME_PLACE && fabs(b.y - a.y - by.y) <= SAME_PLACE;
}

/* Whichever corner either ring begins with. */
static bool same_ring(const th_ring *a, const th_ring *b, th_point by) {
    size_t count = a->count, start = 0;

    if (count != b->count || a->hole != b->hole) {
        return false;
    }
    while (start < count && !same_place(a->points[0], b->points[start], by)) {
        start++;
    }
    for (size_t i = 0; i < count && start < count; i++) {
        if (!same_place(a->points[i], b->points[(start + i) % count], by)) {
            return false;
        }
    }
    return start < count || count == 0;
}

bool th_region_same(const th_outline *a, const th_outline *b, th_point by) {
    if (a->ring_count != b->ring_count) {
        return false;
    }
    for (size_t r = 0; r < a->ring_count; r++) {
        bool found = same_ring(&a->rings[r], &b->rings[r], by);
        for (size_t k = 0; !found && k < b->ring_count; k++) {
            found = same_ring(&a->rings[r], &b->rings[k], by);
        }
        if (!found) {
            return false;
        }
    }
    return true;
}

static bool same_anchors(const th_piece *a, const th_piece *b, th_point by) {
    if (a->anchor_count != b->anchor_count ||
        (a->anchor_count && !(a->anchors_hold == b->anchors_hold))) {
        return false;
    }
    for (size_t i = 0; i < a->anchor_count; i++) {
        if (!same_place((th_point){a->anchors[i].x, a->anchors[i].y},
                        (th_point){b->anchors[i].x, b->anchors[i].y}, by)) {
            return false;
        }
    }
    return true;
}

/* Every floor has to lie in both at the same place: it is one region for all copies of its cut. */
static bool same_floors(const th_ground *ground, const th_piece *a, const th_piece *b, th_point by,
                        bool *same) {
    *same = a->floor_count == b->floor_count;
    for (size_t i = 0; *same && i < a->floor_count; i++) {
        const th_outline *in_a, *in_b;
        bool little;
        in_a = th_shapes_overlaid(ground->shapes, a->region, a->floors[i].region, TH_INTERSECTION,
                                  ground->err);
        in_b = th_shapes_overlaid(ground->shapes, b->region, b->floors[i].region, TH_INTERSECTION,
                                  ground->err);
        if (!in_a || !in_b) {
            return false;
        }
        little = th_outline_section(in_a).area < NO_AREA && th_outline_section(in_b).area < NO_AREA;
        *same = a->floors[i].thickness == b->floors[i].thickness &&
                (little || th_region_same(in_a, in_b, by));
    }
    return true;
}

bool th_pieces_alike(const th_ground *ground, const th_piece *a, const th_piece *b, th_point by,
                     bool *alike) {
    *alike = a->kind == b->kind && a->held == b->held && a->finest == b->finest &&
             th_region_same(a->region, b->region, by) &&
             (!ground->taped || th_region_same(a->taped, b->taped, by)) && same_anchors(a, b, by);
    return !*alike || same_floors(ground, a, b, by, alike);
}

/* The next piece from `at` on that belongs to a copy. */
static size_t next_of(const th_bond_state *state, int copy, size_t at) {
    while (at < state->piece_count && state->pieces[at].copy != copy) {
        at++;
    }
    return at;
}

bool th_copies_alike(const th_ground *ground, const th_bond_state *state, int a, int b,
                     bool *alike) {
    th_point from = th_copy_offset(ground->job, a), to = th_copy_offset(ground->job, b);
    th_point by = {to.x - from.x, to.y - from.y};
    int more = 0; /* pieces of b than of a */

    *alike = true;
    for (size_t k = next_of(state, b, 0); k < state->piece_count; k = next_of(state, b, k + 1)) {
        more++;
    }
    for (size_t i = next_of(state, a, 0); i < state->piece_count; i = next_of(state, a, i + 1)) {
        bool found = false;
        for (size_t k = next_of(state, b, 0); !found && k < state->piece_count;
             k = next_of(state, b, k + 1)) {
            if (!th_pieces_alike(ground, &state->pieces[i], &state->pieces[k], by, &found)) {
                return false;
            }
        }
        more--;
        if (!found) {
            *alike = false;
            return true;
        }
    }
    *alike = more == 0;
    return true;
}

bool th_copies_unlike(const th_ground *ground, const th_bond_state *state, bool *unlike) {
    *unlike = ground->taped && ground->copies > 1;
    for (int copy = 2; !*unlike && copy <= ground->copies && state->freed > 1; copy++) {
        bool alike;
        if (!th_copies_alike(ground, state, 1, copy, &alike)) {
            return false;
        }
        *unlike = !alike;
    }
    return true;
}
