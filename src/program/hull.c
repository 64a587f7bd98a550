/* hull.c - convex hull of a piece's bonded samples. */
#include "sweep.h"

#include <stdlib.h>

static int by_place(const void *a, const void *b) {
    const th_point *p = a, *q = b;

    if (p->x != q->x) {
        return p->x < q->x ? -1 : 1;
    }
    return (p->y > q->y) - (p->y < q->y);
}

static double turn(th_point a, th_point b, th_point c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

/* The least and greatest sample in x of every row of the piece. */
static size_t list_ends(const height_map *map, size_t piece, th_point *points) {
    size_t count = 0;

    for (size_t row = 0; row < map->rows; row++) {
        const unsigned short *labels = &map->labels[row * map->columns];
        size_t first = map->columns, last = 0;
        for (size_t i = 0; i < map->columns; i++) {
            if (labels[i] == piece && map_bears(map, row * map->columns + i)) {
                first = i < first ? i : first;
                last = i;
            }
        }
        if (first < map->columns) {
            points[count++] = (th_point){map_x(map, first, row), map_y(map, first, row)};
            points[count++] = (th_point){map_x(map, last, row), map_y(map, last, row)};
        }
    }
    return count;
}

/* Monotone chain (Andrew 1979) over sorted points; `hull` has room for twice as many. */
static size_t chain(const th_point *points, size_t count, th_point *hull) {
    size_t n = 0, lower;

    for (size_t i = 0; i < count; i++) {
        while (n >= 2 && turn(hull[n - 2], hull[n - 1], points[i]) <= 0) {
            n--;
        }
        hull[n++] = points[i];
    }
    lower = n + 1;
    for (size_t i = count - 1; i-- > 0;) {
        while (n >= lower && turn(hull[n - 2], hull[n - 1], points[i]) <= 0) {
            n--;
        }
        hull[n++] = points[i];
    }
    return n > 1 ? n - 1 : n;
}

bool th_sweep_hull(const th_sweep *sweep, size_t piece, th_point **corners, size_t *count,
                   th_error *err) {
    size_t most = 2 * sweep->map.rows;
    th_point *points = malloc(most * sizeof *points);

    *count = 0;
    *corners = malloc((2 * most + 1) * sizeof **corners);
    if (!points || !*corners) {
        free(points);
        free(*corners);
        *corners = NULL;
        return th_fail_memory(err);
    }
    size_t ends = list_ends(&sweep->map, piece, points);
    if (ends) {
        qsort(points, ends, sizeof *points, by_place);
        *count = chain(points, ends, *corners);
    }
    free(points);
    return true;
}
