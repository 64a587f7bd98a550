/* corner.c - small questions to grid lines and rings. */
#include <math.h>

#include "tackhold/plate.h"

size_t th_grid_interval(const double *lines, size_t count, double x) {
    size_t low = 0, high = count;

    while (high - low > 1) {
        size_t middle = (low + high) / 2;

        if (lines[middle] <= x) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

bool th_ring_sharp(const th_ring *ring) {
    for (size_t i = 0; i < ring->count; i++) {
        th_point a = ring->points[(i + ring->count - 1) % ring->count], b = ring->points[i],
                 c = ring->points[(i + 1) % ring->count];
        double ux = b.x - a.x, uy = b.y - a.y, vx = c.x - b.x, vy = c.y - b.y;
        if (fabs(atan2(ux * vy - uy * vx, ux * vx + uy * vy)) > TH_SHARP) {
            return true;
        }
    }
    return false;
}
