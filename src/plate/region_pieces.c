/* region_pieces.c - the connected pieces of a region, each by itself. */
#include "region.h"

#include <stdlib.h>

/* One ring; an outer ring also counts what belongs to its piece. */
typedef struct part part;
struct part {
    th_ring ring;
    double area, net; /* of the ring; of the piece without its holes (mm2) */
    double box[4];
    part *outer; /* of a hole: the ring around it */
    size_t ring_count, point_count;
    th_outline *piece;
    th_point *room; /* for the points of the piece still to come */
};

typedef struct {
    part *parts;   /* of all rings */
    part **outers; /* those that are not holes */
    size_t count, outer_count;
} sorter;

static part measured(const th_ring *ring) {
    part p = {.ring = *ring, .ring_count = 1, .point_count = ring->count};
    th_outline one = {.rings = &p.ring, .ring_count = 1};

    p.net = p.area = th_section_polygon(ring->points, ring->count).area;
    th_region_box(&one, p.box);
    return p;
}

/* The middle of the longest edge: rings touch at points, so no other ring runs through it. */
static th_point middle_of(const th_ring *ring) {
    size_t i = th_ring_longest(ring, NULL);
    th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];

    return (th_point){(a.x + b.x) / 2, (a.y + b.y) / 2};
}

static bool holds(part *p, th_point at) {
    th_outline one = {.rings = &p->ring, .ring_count = 1};

    return at.x >= p->box[0] && at.y >= p->box[1] && at.x <= p->box[2] && at.y <= p->box[3] &&
           th_outline_holds(&one, at);
}

/* Largest first; of one size in the order of the region. */
static int by_area(const void *a, const void *b) {
    const part *p = *(part *const *)a, *q = *(part *const *)b;

    if (p->area != q->area) {
        return p->area > q->area ? -1 : 1;
    }
    return (p > q) - (p < q);
}

static int by_net(const void *a, const void *b) {
    const part *p = *(part *const *)a, *q = *(part *const *)b;

    if (p->net != q->net) {
        return p->net > q->net ? -1 : 1;
    }
    return (p > q) - (p < q);
}

/* The smallest outer ring around a hole. */
static part *around(const sorter *s, const th_ring *hole) {
    th_point at = middle_of(hole);

    for (size_t i = s->outer_count; i-- > 0;) {
        if (holds(s->outers[i], at)) {
            return s->outers[i];
        }
    }
    return NULL;
}

static void sort_rings(sorter *s, const th_outline *region) {
    for (size_t i = 0; i < region->ring_count; i++) {
        s->parts[i] = measured(&region->rings[i]);
        if (!region->rings[i].hole) {
            s->outers[s->outer_count++] = &s->parts[i];
        }
    }
    qsort(s->outers, s->outer_count, sizeof(part *), by_area);
    for (size_t i = 0; i < region->ring_count; i++) {
        part *outer = s->parts[i].ring.hole ? around(s, &s->parts[i].ring) : NULL;
        s->parts[i].outer = outer;
        if (outer) {
            outer->net -= s->parts[i].area;
            outer->ring_count++;
            outer->point_count += s->parts[i].point_count;
        }
    }
    qsort(s->outers, s->outer_count, sizeof(part *), by_net);
}

static void add_ring(part *outer, const th_ring *ring) {
    th_outline *piece = outer->piece;

    piece->rings[piece->ring_count++] = (th_ring){outer->room, ring->count, ring->hole, ring->line};
    for (size_t i = 0; i < ring->count; i++) {
        *outer->room++ = ring->points[i];
    }
    piece->point_count += ring->count;
}

static bool begin_piece(part *outer, th_outline *piece) {
    piece->rings = th_arena_take(&piece->arena, outer->ring_count * sizeof *piece->rings);
    outer->room = th_arena_take(&piece->arena, outer->point_count * sizeof *outer->room);
    outer->piece = piece;
    if (!piece->rings || !outer->room) {
        return false;
    }
    piece->outer_count = 1;
    piece->length = outer->box[2] - outer->box[0];
    piece->width = outer->box[3] - outer->box[1];
    add_ring(outer, &outer->ring);
    return true;
}

static bool fill_pieces(const sorter *s, th_pieces *pieces) {
    for (; pieces->count < s->outer_count; pieces->count++) {
        if (!begin_piece(s->outers[pieces->count], &pieces->items[pieces->count])) {
            pieces->count++; /* so that it is freed */
            return false;
        }
    }
    for (size_t i = 0; i < s->count; i++) {
        if (s->parts[i].outer) {
            add_ring(s->parts[i].outer, &s->parts[i].ring);
        }
    }
    return true;
}

bool th_region_pieces(const th_outline *region, th_pieces *pieces, th_error *err) {
    sorter s = {.count = region->ring_count};
    bool done = false;

    *pieces = (th_pieces){0};
    s.parts = malloc((s.count + 1) * sizeof *s.parts);
    s.outers = malloc((s.count + 1) * sizeof(part *));
    pieces->items = calloc(s.count + 1, sizeof *pieces->items);
    if (s.parts && s.outers && pieces->items) {
        sort_rings(&s, region);
        done = fill_pieces(&s, pieces);
    }
    free(s.parts);
    free(s.outers);
    if (!done) {
        th_pieces_free(pieces);
        return th_fail_memory(err);
    }
    return true;
}

void th_pieces_free(th_pieces *pieces) {
    if (!pieces) {
        return;
    }
    for (size_t i = 0; i < pieces->count; i++) {
        th_outline_free(&pieces->items[i]);
    }
    free(pieces->items);
    *pieces = (th_pieces){0};
}
