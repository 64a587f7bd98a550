/* outline.c - what can be asked of a finished outline. */
#include "tackhold/plate.h"

#include <math.h>

void th_outline_free(th_outline *outline) {
    if (outline) {
        th_arena_free(&outline->arena);
        *outline = (th_outline){0};
    }
}

double th_ring_length(const th_ring *ring) {
    double sum = 0;

    for (size_t i = 0; i < ring->count; i++) {
        th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
        sum += hypot(b.x - a.x, b.y - a.y);
    }
    return sum;
}

size_t th_ring_longest(const th_ring *ring, double *length) {
    double longest = -1;
    size_t best = 0;

    for (size_t i = 0; i < ring->count; i++) {
        th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
        double here = hypot(b.x - a.x, b.y - a.y);
        if (here > longest) {
            longest = here;
            best = i;
        }
    }
    if (length) {
        *length = longest;
    }
    return best;
}

th_section th_outline_section(const th_outline *outline) {
    th_section sum = {0};

    for (size_t i = 0; i < outline->ring_count; i++) {
        const th_ring *ring = &outline->rings[i];
        sum =
            th_section_add(sum, th_section_polygon(ring->points, ring->count), ring->hole ? -1 : 1);
    }
    return sum;
}

/* An upward edge and a downward edge to the right of the point cancel; what is left is inside. Each
 * edge owns its lower end, so a ray through a corner counts once. */
bool th_outline_holds(const th_outline *outline, th_point p) {
    bool inside = false;

    for (size_t i = 0; i < outline->ring_count; i++) {
        const th_ring *ring = &outline->rings[i];
        th_point a = ring->points[ring->count - 1];
        for (size_t k = 0; k < ring->count; k++) {
            th_point b = ring->points[k];
            if ((a.y <= p.y) != (b.y <= p.y)) {
                double cross = (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
                inside = inside != ((cross > 0) == (b.y > a.y));
            }
            a = b;
        }
    }
    return inside;
}

static th_point nearest_on(th_point a, th_point b, th_point p) {
    double dx = b.x - a.x, dy = b.y - a.y;
    double square = dx * dx + dy * dy;
    double t = square > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / square : 0;

    t = fmax(0, fmin(1, t));
    return (th_point){a.x + t * dx, a.y + t * dy};
}

double th_outline_distance(const th_outline *outline, th_point p, th_point *nearest) {
    double least = INFINITY;

    for (size_t i = 0; i < outline->ring_count; i++) {
        const th_ring *ring = &outline->rings[i];
        th_point a = ring->points[ring->count - 1];
        for (size_t k = 0; k < ring->count; k++) {
            th_point at = nearest_on(a, ring->points[k], p);
            double dx = at.x - p.x, dy = at.y - p.y;
            if (dx * dx + dy * dy < least) {
                least = dx * dx + dy * dy;
                if (nearest) {
                    *nearest = at;
                }
            }
            a = ring->points[k];
        }
    }
    return sqrt(least);
}
