/* loads_piece.c - what kind a piece is, and where its bonded area ends. */
#include "loads.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Samples of a piece looked at to tell its kind, at least, and of each part in it; its corners are
 * found again when this share of its area is gone. */
enum { LOOKS = 300, LOOKS_A_PART = 20 };
#define AREA_GONE 0.02

/* A piece with more of the part in it than this, and not that alone, is stock still. */
#define PART_IN_IT 0.5
#define PART_ALONE 1.5

/* ---- kinds
 * --------------------------------------------------------------------------------------- */

typedef struct {
    size_t looked, inside, enclosed; /* in the part; in the part without its openings */
    double each;                     /* area that one stands for (mm2) */
    int copy;
} kind_count;

bool loads_encloses(const th_outline *part, th_point at) {
    th_outline outer = *part;

    for (size_t i = 0; i < part->ring_count; i++) {
        outer.rings = &part->rings[i];
        outer.ring_count = 1;
        if (!part->rings[i].hole && th_outline_holds(&outer, at)) {
            return true;
        }
    }
    return false;
}

/* Copies lie beside one another, their boxes too. */
static void look_at(const th_loads *loads, th_point at, kind_count *count) {
    const double place[2] = {at.x, at.y};
    int copy = loads_copy_near(&loads->job->part, place) + 1;
    th_point by = th_copy_offset(loads->job, copy);
    th_point local = {at.x - by.x, at.y - by.y};

    count->looked++;
    if (loads_encloses(&loads->part, local)) {
        count->enclosed++;
        count->inside += th_outline_holds(&loads->part, local);
        count->copy = copy;
    }
}

static kind_count count_kind(const th_loads *loads, size_t piece) {
    th_height_map map = th_sweep_map(loads->sweep);
    double area = th_sweep_piece_at(loads->sweep, piece)->bonded.area;
    double apart = fmin(area / LOOKS, loads->part_area / LOOKS_A_PART);
    size_t every = (size_t)(apart / (map.cell * map.cell)) + 1, seen = 0;
    kind_count count = {.each = (double)every * map.cell * map.cell};

    for (size_t k = 0; k < map.columns * map.rows; k++) {
        if (map.heights[k] > 0 && map.pieces[k] == piece && seen++ % every == 0) {
            look_at(loads, th_map_sample(&map, k % map.columns, k / map.columns), &count);
        }
    }
    return count;
}

/* The stock as it was is stock, or the part where there is no sheet, and so is what has parts in it
 * that are not cut out yet; what comes off it is told by where most of it lies. */
static void set_kind(const th_loads *loads, size_t piece, piece_state *state) {
    kind_count count = count_kind(loads, piece);
    bool whole = piece == 0 && th_sweep_piece_count(loads->sweep) == 1;
    bool most = 2 * count.inside > count.looked, within = 2 * count.enclosed > count.looked;
    double parts = (double)count.inside * count.each / loads->part_area;

    state->copy = 0;
    if (whole) {
        state->kind = loads->sheet ? TH_PIECE_STOCK : TH_PIECE_PART;
    } else if (loads->sheet && parts > (within ? PART_ALONE : PART_IN_IT)) {
        state->kind = TH_PIECE_STOCK;
    } else if (most || parts > PART_IN_IT) { /* its openings may be in it still */
        state->kind = TH_PIECE_PART;
        state->copy = count.copy;
    } else {
        state->kind = within ? TH_PIECE_SLUG : TH_PIECE_FRAME;
    }
    state->counts = state->kind == TH_PIECE_PART || state->kind == TH_PIECE_STOCK ||
                    loads->job->head.offcuts == TH_MUST_STAY;
}

/* ---- corners
 * ------------------------------------------------------------------------------------- */

static double off_line(th_point a, th_point b, th_point p) {
    double length = hypot(b.x - a.x, b.y - a.y);

    return length > 0 ? fabs((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / length
                      : hypot(p.x - a.x, p.y - a.y);
}

/* Corners that stand out by less than the samples are apart are none. */
static size_t plain_corners(th_point *corners, size_t count, double least) {
    bool dropped = true;

    while (dropped && count > 4) {
        size_t kept = 0;
        dropped = false;
        for (size_t i = 0; i < count; i++) {
            th_point before = corners[kept ? kept - 1 : count - 1];
            if (!dropped && off_line(before, corners[(i + 1) % count], corners[i]) < least) {
                dropped = true;
            } else {
                corners[kept++] = corners[i];
            }
        }
        count = kept;
    }
    return count;
}

static bool find_corners(th_loads *loads, size_t piece, piece_state *state, th_error *err) {
    free(state->corners);
    state->corners = NULL;
    if (!th_sweep_hull(loads->sweep, piece, &state->corners, &state->corner_count, err)) {
        return false;
    }
    state->corner_count =
        plain_corners(state->corners, state->corner_count, th_sweep_map(loads->sweep).cell);
    state->area = th_sweep_piece_at(loads->sweep, piece)->bonded.area;
    return true;
}

static bool make_room(th_loads *loads, size_t count, th_error *err) {
    piece_state *states;

    if (count <= loads->piece_count) {
        return true;
    }
    states = realloc(loads->pieces, count * sizeof *states);
    if (!states) {
        return th_fail_memory(err);
    }
    memset(states + loads->piece_count, 0, (count - loads->piece_count) * sizeof *states);
    loads->pieces = states;
    loads->piece_count = count;
    return true;
}

bool loads_piece(th_loads *loads, size_t piece, const piece_state **found, th_error *err) {
    double area = th_sweep_piece_at(loads->sweep, piece)->bonded.area;
    piece_state *state;

    if (!make_room(loads, piece + 1, err)) {
        return false;
    }
    state = &loads->pieces[piece];
    *found = state;
    if (state->known && area >= state->area * (1 - AREA_GONE)) {
        return true;
    }
    if (!state->known) {
        set_kind(loads, piece, state);
        state->known = true;
    }
    return find_corners(loads, piece, state, err);
}
