/* stretch.c - the exact region that a cutter sweeps on a short way, sample by sample. */
#include "stretch.h"

#include <math.h>
#include <stdlib.h>

typedef enum { LEVEL, RAMP, LEVEL_ARC, HELIX } course;

/* A stretch with what all its samples ask for. */
typedef struct {
    const stretch_of_path *way;
    course course;
    double across;                     /* length in plan (mm) */
    double ux, uy;                     /* along a straight one */
    double middle_x, middle_y, reach2; /* no sample beyond is touched */
    double radius2;                    /* of the cutter, squared */
    double floor;                      /* lowest that the cutter comes (mm) */
    double base;                       /* what lies below was taken by the end */
    double turned;                     /* size of the turn (rad) */
    double *met;                       /* not NULL: nothing is taken, but the most in height told */
} view;

double stretch_across(const stretch_of_path *way) {
    return way->arc ? fabs(way->turn) * way->radius
                    : hypot(way->to[0] - way->from[0], way->to[1] - way->from[1]);
}

double stretch_heading(const stretch_of_path *way) {
    if (way->arc) {
        double at = way->start + 0.5 * way->turn + (way->turn > 0 ? 0.5 : -0.5) * TH_PI;
        return remainder(at, 2 * TH_PI);
    }
    return atan2(way->to[1] - way->from[1], way->to[0] - way->from[0]);
}

void stretch_middle(const stretch_of_path *way, double at[3]) {
    for (int i = 0; i < 3; i++) {
        at[i] = 0.5 * (way->from[i] + way->to[i]);
    }
    if (way->arc) {
        at[0] = way->centre[0] + way->radius * cos(way->start + 0.5 * way->turn);
        at[1] = way->centre[1] + way->radius * sin(way->start + 0.5 * way->turn);
    }
}

static view view_of(const stretch_of_path *way) {
    double across = stretch_across(way), middle[3];
    bool level = way->to[2] == way->from[2] || across <= 0;
    double radius = way->shape->radius;
    view v = {.way = way, .across = across, .radius2 = radius * radius};

    v.course = way->arc ? (level ? LEVEL_ARC : HELIX) : (level ? LEVEL : RAMP);
    v.floor = fmin(way->from[2], way->to[2]);
    v.base = across > 0 ? way->from[2] : INFINITY;
    v.turned = fabs(way->turn);
    if (across > 0 && !way->arc) {
        v.ux = (way->to[0] - way->from[0]) / across;
        v.uy = (way->to[1] - way->from[1]) / across;
    }
    stretch_middle(way, middle);
    v.middle_x = middle[0];
    v.middle_y = middle[1];
    v.reach2 = (radius + 0.5 * across) * (radius + 0.5 * across) * (1 + 1e-12);
    return v;
}

/* ---- one sample --------------------------------------------------------------------------------
 */

typedef struct {
    double height; /* the lowest that the cutter is there; INFINITY: it does not get there (mm) */
    double across; /* see taken_sample */
} touch;

static double surface(const view *v, double square) {
    if (square > v->radius2) {
        return INFINITY;
    }
    return v->way->shape->flat >= v->way->shape->radius ? 0
                                                        : tool_height(v->way->shape, sqrt(square));
}

static touch touch_straight(const view *v, double x, double y) {
    double dx = x - v->way->from[0], dy = y - v->way->from[1];
    double along = dx * v->ux + dy * v->uy, aside = v->ux * dy - v->uy * dx;
    touch t = {.across = aside};

    if (v->course == RAMP) {
        tool_pass pass = {along, aside, v->across, (v->way->to[2] - v->way->from[2]) / v->across};
        t.height = v->way->from[2] + tool_lowest(v->way->shape, &pass);
    } else {
        double past = along - fmin(fmax(along, 0), v->across);
        double square = v->across > 0 ? past * past + aside * aside : dx * dx + dy * dy;
        t.height = v->floor + surface(v, square);
    }
    return t;
}

/* Share of a turn, within half a turn of the middle of the stretch. */
static double turned_to(const view *v, double dx, double dy) {
    double turned = atan2(dy, dx) - v->way->start;

    turned = v->way->turn < 0 ? -turned : turned;
    return 0.5 * v->turned + remainder(turned - 0.5 * v->turned, 2 * TH_PI);
}

/* Of a flat cutter on a helix: the furthest (or earliest) place of the stretch from which it
 * reaches a sample; below 0: none. */
static double helix_reach(const view *v, double d, double turned, bool last) {
    double radius = v->way->radius, best = -1;
    double cosine = (radius * radius + d * d - v->radius2) / (2 * radius * d);
    double half = d > 0 && cosine > -1 ? acos(fmin(cosine, 1)) : TH_PI;

    if (cosine > 1 && d > 0) {
        return -1;
    }
    for (int lap = -1; lap <= 1; lap++) {
        double middle = turned + lap * 2 * TH_PI;
        double low = fmax(middle - half, 0), high = fmin(middle + half, v->turned);
        if (low <= high) {
            double at = last ? high : low;
            best = best < 0 || (last ? at > best : at < best) ? at : best;
        }
    }
    return best;
}

static touch touch_arc(const view *v, double x, double y) {
    const stretch_of_path *way = v->way;
    double dx = x - way->centre[0], dy = y - way->centre[1];
    double d = hypot(dx, dy), turned = turned_to(v, dx, dy);
    bool flat = way->shape->flat >= way->shape->radius;
    double left = flat ? (way->radius * way->radius + v->radius2 - d * d) / (2 * way->radius)
                       : way->radius - d;
    touch t = {INFINITY, way->turn > 0 ? left : -left};

    if (v->course == HELIX) {
        bool sinks = way->to[2] < way->from[2];
        double at = helix_reach(v, d, turned, sinks);
        if (at >= 0) {
            t.height = way->from[2] + (way->to[2] - way->from[2]) * at / v->turned;
        }
    } else {
        double missed = turned - fmin(fmax(turned, 0), v->turned);
        double s = sin(0.5 * missed);
        double square = (d - way->radius) * (d - way->radius) + 4 * d * way->radius * s * s;
        t.height = v->floor + surface(v, square);
    }
    return t;
}

/* ---- taking ------------------------------------------------------------------------------------
 */

static void count_piece(taken *into, int label, double removed) {
    int i = 0;

    while (i < into->piece_count && into->pieces[i].label != label) {
        i++;
    }
    if (i == into->piece_count) {
        if (i == STRETCH_PIECES) {
            return;
        }
        into->pieces[into->piece_count].label = label;
        into->pieces[into->piece_count++].removed = 0;
    }
    into->pieces[i].removed += removed;
}

static bool make_room(taken *into) {
    size_t capacity = into->capacity ? 2 * into->capacity : 4096;
    taken_sample *items = realloc(into->items, capacity * sizeof *items);

    if (!items) {
        into->failed = true;
        return false;
    }
    into->items = items;
    into->capacity = capacity;
    return true;
}

static void put_side(taken *into, double across, double low, double high) {
    if (into->count == into->capacity && !make_room(into)) {
        return;
    }
    into->items[into->count++] = (taken_sample){(float)across, (float)low, (float)high};
}

static void take(const stretch_ground *ground, const view *v, size_t cell, th_point at,
                 const touch *t, taken *into) {
    height_map *map = ground->map;
    double high = (double)map->heights[cell], low = fmax(t->height, 0);
    double area = map->cell * map->cell, removed = area * (high - low);
    double kept; /* as the map has it: where that bears now it is taken off later */

    map->heights[cell] = (float)low;
    kept = (double)map->heights[cell];
    into->removed += removed;
    into->of_tabs += map_apart(map, cell) ? removed : 0;
    into->of_skin += high <= ground->skin ? removed : 0;
    into->depth = fmax(into->depth, high - low);
    if (into->piece_count && into->pieces[0].label == map->labels[cell]) {
        into->pieces[0].removed += removed;
    } else {
        count_piece(into, map->labels[cell], removed);
    }
    if (high > v->base) {
        put_side(into, t->across, fmax(low - v->base, 0), high - v->base);
    }
    if (low < v->base) {
        into->end += area * (fmin(high, v->base) - low);
    }
    into->opened += low <= 0 && !map_bare(map, cell);
    if (high > map->bears && kept <= map->bears && !map_bare(map, cell)) {
        map_add_sample(map, at.x, at.y, -1, &ground->pieces[map->labels[cell]].bonded);
    }
    if (high > ground->skin && low <= ground->skin) {
        into->parted++;
        if (map->opened) {
            map->opened[cell] = map->now;
        }
    }
}

static void cut_cells(const stretch_ground *ground, const view *v, size_t row, long i0, long i1,
                      taken *into) {
    const height_map *map = ground->map;
    const float *heights = &map->heights[row * map->columns];
    float floor = (float)fmax(v->floor, 0);
    double x0 = map->x0 + map->shift_x[row] * map->cell;
    double y0 = map->y0 + (double)row * map->cell;

    for (long i = i0; i <= i1; i++) {
        if (heights[i] <= floor) {
            continue;
        }
        th_point at = {x0 + (double)i * map->cell, y0 + map->shift_y[i] * map->cell};
        double dx = at.x - v->middle_x, dy = at.y - v->middle_y;
        if (dx * dx + dy * dy > v->reach2) {
            continue;
        }
        touch t = v->way->arc ? touch_arc(v, at.x, at.y) : touch_straight(v, at.x, at.y);
        if (t.height < (double)heights[i] && v->met) {
            *v->met = fmax(*v->met, (double)heights[i] - fmax(t.height, 0));
        } else if (t.height < (double)heights[i]) {
            take(ground, v, row * map->columns + (size_t)i, at, &t, into);
        }
    }
}

/* ---- rows --------------------------------------------------------------------------------------
 */

static void box_of(const stretch_of_path *way, double box[4]) {
    double radius = way->shape->radius, bulge = 0;

    if (way->arc) {
        bulge = way->radius * (1 - cos(0.5 * way->turn));
    }
    for (int k = 0; k < 2; k++) {
        box[k] = fmin(way->from[k], way->to[k]) - radius - bulge;
        box[k + 2] = fmax(way->from[k], way->to[k]) + radius + bulge;
    }
}

map_window stretch_window(const height_map *map, const stretch_of_path *way) {
    double box[4];

    box_of(way, box);
    return map_window_of(map, box[0], box[1], box[2], box[3]);
}

/* Half width of a disc of that radius at a distance from its middle; below 0: none. */
static double half_chord(double radius, double off) {
    double square = radius * radius - off * off;

    return square >= 0 ? sqrt(square) : -1;
}

/* Cells of a row that the flat end has already left nothing in; none where first is above last. */
static void spared(const height_map *map, const stretch_of_path *way, size_t row, long *first,
                   long *last) {
    double low = map->y0 + (double)row * map->cell - way->from[1];
    double off = fmax(fabs(low), fabs(low + map->cell));
    double half = way->cleared ? half_chord(way->shape->flat, off) : -1;

    *first = 0;
    *last = -1;
    if (half > 0) {
        double at = (way->from[0] - map->x0) / map->cell, wide = half / map->cell;
        *first = (long)fmax(ceil(at - wide + 1e-6), 0);
        *last = (long)floor(at + wide - 1e-6) - 1;
    }
}

static void cut_row(const stretch_ground *ground, const view *v, const map_window *window,
                    size_t row, taken *into) {
    const height_map *map = ground->map;
    const stretch_of_path *way = v->way;
    double low = map->y0 + (double)row * map->cell, high = low + map->cell;
    double nearest = fmin(fmax(v->middle_y, low), high);
    double half = half_chord(sqrt(v->reach2), nearest - v->middle_y);
    map_window span;
    long first, last;

    if (half < 0) {
        return;
    }
    span = map_window_of(map, v->middle_x - half, low, v->middle_x + half, low);
    span.i0 = span.i0 > window->i0 ? span.i0 : window->i0;
    span.i1 = span.i1 < window->i1 ? span.i1 : window->i1;
    spared(map, way, row, &first, &last);
    if (first > last) {
        cut_cells(ground, v, row, span.i0, span.i1, into);
        return;
    }
    cut_cells(ground, v, row, span.i0, first - 1 < span.i1 ? first - 1 : span.i1, into);
    cut_cells(ground, v, row, last + 1 > span.i0 ? last + 1 : span.i0, span.i1, into);
}

static void cut_rows(const stretch_ground *ground, const view *v, taken *into) {
    map_window window = stretch_window(ground->map, v->way);

    for (long row = window.j0; row <= window.j1 && !into->failed; row++) {
        cut_row(ground, v, &window, (size_t)row, into);
    }
}

void stretch_cut(const stretch_ground *ground, const stretch_of_path *way, taken *into) {
    view v = view_of(way);

    cut_rows(ground, &v, into);
}

double stretch_meets(height_map *map, const stretch_of_path *way) {
    stretch_ground ground = {map, 0, NULL};
    taken none = {0};
    double met = 0;
    view v = view_of(way);

    v.met = &met;
    cut_rows(&ground, &v, &none);
    return met;
}
