/* spots.c - where the cutter may stand, and which way it then feeds. */
#include "judge.h"

#include <math.h>
#include <stdlib.h>

/* Directions are sampled; the nearest sample is at most 7.5 deg (a bored hole) or 11 deg (a pocket,
 * a face, an engraving) from the worst one, which understates the load by at most 1 or 2 %. */
enum { ROUND_PLACES = 24, HEADINGS = 16 };

static th_point clip(th_point at, const double bounds[4]) {
    return (th_point){fmin(fmax(at.x, bounds[0]), bounds[2]),
                      fmin(fmax(at.y, bounds[1]), bounds[3])};
}

static void add(th_spots *spots, th_point at, double heading) {
    spots->items[spots->count++] = (th_spot){at, heading};
}

static void add_all_headings(th_spots *spots, th_point at) {
    for (int i = 0; i < HEADINGS; i++) {
        add(spots, at, 2 * TH_PI * i / HEADINGS);
    }
}

/* ---- hull of the places ---------------------------------------------------------------------- */

static int compare_points(const void *a, const void *b) {
    const th_point *p = a, *q = b;
    return p->x != q->x ? (p->x > q->x) - (p->x < q->x) : (p->y > q->y) - (p->y < q->y);
}

static double turn(th_point a, th_point b, th_point c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

/* Corners of the convex hull (Andrew's monotone chain), in place of `points`; at most `count`. */
static size_t hull(th_point *points, size_t count, th_point *work) {
    size_t used = 0, lower;

    qsort(points, count, sizeof *points, compare_points);
    for (size_t i = 0; i < count; i++) {
        while (used >= 2 && turn(work[used - 2], work[used - 1], points[i]) <= 0) {
            used--;
        }
        work[used++] = points[i];
    }
    lower = used + 1;
    for (size_t i = count - 1; i-- > 0;) {
        while (used >= lower && turn(work[used - 2], work[used - 1], points[i]) <= 0) {
            used--;
        }
        work[used++] = points[i];
    }
    used = used > 1 ? used - 1 : used;
    for (size_t i = 0; i < used; i++) {
        points[i] = work[i];
    }
    return used;
}

/* Extreme ones among the job's places, copied. */
static size_t extreme_places(const th_cut *cut, th_arena *arena, th_point **places) {
    th_point *work = th_arena_take(arena, (2 * cut->at.count + 2) * sizeof *work);
    th_point *copies = th_arena_take(arena, (cut->at.count + 1) * sizeof *copies);

    *places = copies;
    if (!work || !copies) {
        return 0;
    }
    for (size_t i = 0; i < cut->at.count; i++) {
        copies[i] = cut->at.items[i];
    }
    return hull(copies, cut->at.count, work);
}

/* ---- one operation --------------------------------------------------------------------------- */

static void slot_spots(const th_cut *cut, const double bounds[4], th_spots *spots) {
    double heading = atan2(cut->to.y - cut->from.y, cut->to.x - cut->from.x);

    add(spots, clip(cut->from, bounds), heading);
    add(spots, clip(cut->to, bounds), heading);
}

static void face_spots(const double bounds[4], th_spots *spots) {
    for (int i = 0; i < 4; i++) {
        th_point corner = {bounds[i & 1 ? 2 : 0], bounds[i & 2 ? 3 : 1]};
        add_all_headings(spots, corner);
    }
}

/* Round the rectangle of the part at a distance; climb milling keeps the part to the right. */
static void edge_spots(const th_job *job, double distance, bool climb, th_spots *spots) {
    double x0 = -distance, y0 = -distance;
    double x1 = job->part.length + distance, y1 = job->part.width + distance;
    th_point corners[4] = {{x0, y0}, {x0, y1}, {x1, y1}, {x1, y0}}; /* clockwise */

    for (int i = 0; i < 4; i++) {
        th_point a = corners[i], b = corners[(i + 1) % 4];
        double heading = climb ? atan2(b.y - a.y, b.x - a.x) : atan2(a.y - b.y, a.x - b.x);
        add(spots, a, heading);
        add(spots, b, heading);
    }
}

/* The cutter's centre in a rectangular or round pocket. */
static void pocket_spots(const th_cut *cut, th_point place, th_spots *spots) {
    double half_x = (cut->size.a - cut->cutter->row.diameter) / 2;
    double half_y = (cut->size.b - cut->cutter->row.diameter) / 2;

    for (int i = 0; !cut->size.single && i < 4; i++) {
        th_point corner = {place.x + (i & 1 ? half_x : -half_x),
                           place.y + (i & 2 ? half_y : -half_y)};
        add_all_headings(spots, corner);
    }
    for (int i = 0; cut->size.single && i < ROUND_PLACES; i++) {
        double angle = 2 * TH_PI * i / ROUND_PLACES;
        th_point rim = {place.x + half_x * cos(angle), place.y + half_x * sin(angle)};
        add_all_headings(spots, rim);
    }
}

/* Inside a hole climb milling runs counterclockwise. */
static void hole_spots(const th_cut *cut, th_point place, th_spots *spots) {
    double radius = (cut->size.a - cut->cutter->row.diameter) / 2;
    double sense = cut->direction == TH_CLIMB ? 1 : -1;

    for (int i = 0; i < ROUND_PLACES; i++) {
        double angle = 2 * TH_PI * i / ROUND_PLACES;
        th_point at = {place.x + radius * cos(angle), place.y + radius * sin(angle)};
        add(spots, at, angle + sense * TH_PI / 2);
    }
}

static void place_spots(const th_cut *cut, const th_point *places, size_t count, th_spots *spots) {
    for (size_t i = 0; i < count; i++) {
        switch (cut->operation) {
        case TH_POCKET:
            pocket_spots(cut, places[i], spots);
            break;
        case TH_HOLE:
            hole_spots(cut, places[i], spots);
            break;
        case TH_ENGRAVE:
            add_all_headings(spots, places[i]);
            break;
        default: /* drilled: no heading */
            add(spots, places[i], 0);
            break;
        }
    }
}

/* How far outside the part's edge the cutter's axis runs when it breaks the edge. */
static double chamfer_distance(const th_cut *cut) {
    const th_cutter *cutter = &cut->cutter->row;
    double half = tan(cutter->tip_angle / 2 * TH_PI / 180);
    double cone = (cutter->diameter - cutter->tip_flat) / 2 / half;

    return cutter->tip_flat / 2 + fmax(cone - cut->axial, 0) / 2 * half;
}

bool th_spots_of(const th_job *job, const th_cut *cut, const double bounds[4], th_arena *arena,
                 th_spots *spots) {
    size_t most = 8 + 4 * HEADINGS + (cut->at.count + 1) * ROUND_PLACES * HEADINGS;
    bool climb = cut->direction == TH_CLIMB;
    th_point *places = NULL;
    size_t count = 0;

    if (cut->at.count) {
        count = extreme_places(cut, arena, &places);
        if (count == 0) {
            return false;
        }
        most = (count + 1) * ROUND_PLACES * HEADINGS;
    }
    spots->count = 0;
    spots->items = th_arena_take(arena, most * sizeof *spots->items);
    if (!spots->items) {
        return false;
    }
    switch (cut->operation) {
    case TH_SLOT:
        slot_spots(cut, bounds, spots);
        break;
    case TH_FACING:
        face_spots(bounds, spots);
        break;
    case TH_OUTLINE:
        edge_spots(job, cut->cutter->row.diameter / 2, climb, spots);
        break;
    case TH_CHAMFERING:
        edge_spots(job, chamfer_distance(cut), climb, spots);
        break;
    default:
        place_spots(cut, places, count, spots);
        break;
    }
    return true;
}
