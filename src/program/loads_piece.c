/* loads_piece.c - what kind a piece is, and where its bonded area ends. */
#include "loads.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Samples of a piece looked at to tell its kind, at least, and of each part in it; its corners are
 * found again when this share of its area is gone. */
enum { LOOKS = 1000, LOOKS_A_PART = 20 };
#define AREA_GONE 0.02
#define GOLDEN 0.6180339887498949 /* of a turn: no turns of it come near one another soon */

/* A piece with more of a copy of the part in it than this, and not that alone, is stock still: a
 * copy may be cut across before it is cut out (estimate: a path that runs wide of a part by so much
 * leaves less). */
#define COPY_IN_IT 0.2
#define PART_IN_IT 0.5
#define PART_ALONE 1.5

/* What is cut free amid a copy of the part, so far off its edge and no wider than some cutters, is
 * waste of an opening and not the part, as long as no more of the copy has gone that way than this
 * share (estimate: nobody takes a twentieth of an outline for the whole, and the bond that is left
 * is hardly less). */
#define CORES_MOST 0.05
#define CORE_WIDE 4.0 /* diameters of the cutter: what is larger may be what is made (estimate) */
#define RIM 0.5       /* (mm) */

/* ---- kinds
 * --------------------------------------------------------------------------------------- */

typedef struct {
    size_t looked, inside, enclosed; /* in the part; in the part without its openings */
    double each;                     /* area that one stands for (mm2) */
    int copy;
    size_t *in_copies, most; /* in every copy of the part; in the one with most */
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
        count->copy = copy;
        if (th_outline_holds(&loads->part, local)) {
            size_t in_this = ++count->in_copies[copy - 1];
            count->inside++;
            count->most = in_this > count->most ? in_this : count->most;
        }
    }
}

/* One of every so many, never at the same place of them twice: steps of one length would fall into
 * step with the rows. */
static bool is_looked_at(size_t seen, size_t every) {
    size_t time = seen / every;
    double turns = (double)time * GOLDEN;

    return seen % every == (size_t)((double)every * (turns - floor(turns)));
}

/* Counts where it stands higher than `floor` (mm); `count` has room for every copy, all 0. */
static void count_above(const th_loads *loads, size_t piece, double floor, kind_count *count) {
    th_height_map map = th_sweep_map(loads->sweep);
    double area = th_sweep_piece_at(loads->sweep, piece)->bonded.area;
    double apart = fmin(area / LOOKS, loads->part_area / LOOKS_A_PART);
    size_t every = (size_t)(apart / (map.cell * map.cell)) + 1, seen = 0;

    count->each = (double)every * map.cell * map.cell;
    for (size_t k = 0; k < map.columns * map.rows; k++) {
        if ((double)map.heights[k] > floor && map.pieces[k] == piece &&
            is_looked_at(seen++, every)) {
            look_at(loads, th_map_sample(&map, k % map.columns, k / map.columns), count);
        }
    }
}

/* What a kerf has left at its bottom is none of it, unless all of it is as thin. */
static bool count_kind(const th_loads *loads, size_t piece, kind_count *count, th_error *err) {
    const th_part *part = &loads->job->part;
    size_t copies = (size_t)(part->copies.a > 1 ? part->copies.a : 1) *
                    (size_t)(part->copies.b > 1 ? part->copies.b : 1);

    *count = (kind_count){.in_copies = calloc(copies, sizeof *count->in_copies)};
    if (!count->in_copies) {
        return th_fail_memory(err);
    }
    count_above(loads, piece, SKIN_JOINS, count);
    if (count->looked == 0) {
        count_above(loads, piece, 0, count);
    }
    free(count->in_copies);
    count->in_copies = NULL;
    return true;
}

/* Whether a piece has the part all round it. */
static bool amid(const th_loads *loads, size_t piece, int copy) {
    const double *box = th_sweep_piece_at(loads->sweep, piece)->box;
    th_point by = th_copy_offset(loads->job, copy);
    double wide = (box[2] - box[0]) / 2 + RIM, deep = (box[3] - box[1]) / 2 + RIM;
    bool all = true;

    for (int i = -1; i <= 1; i++) {
        for (int k = -1; k <= 1; k++) {
            all = all &&
                  loads_encloses(&loads->part, (th_point){(box[0] + box[2]) / 2 - by.x + i * wide,
                                                          (box[1] + box[3]) / 2 - by.y + k * deep});
        }
    }
    return all;
}

/* What has gone from a copy, in openings that the job does not tell of (mm2). */
static double cores_of(const th_loads *loads, int copy) {
    double sum = 0;

    for (size_t i = 0; i < loads->piece_count; i++) {
        sum += loads->pieces[i].copy == copy ? loads->pieces[i].core : 0;
    }
    return sum;
}

/* What a cutter takes that goes round the part (mm2): more beside it is not cut off yet. */
static double kerf_round(const th_loads *loads) {
    const th_part *part = &loads->job->part;
    double wide = 2 * loads->diameter;

    return (part->length + wide) * (part->width + wide) - part->length * part->width;
}

/* Whether a place lies in a copy of the part or right beside it. */
static bool near_part(const th_loads *loads, th_point at) {
    int copy = loads_copy_near(&loads->job->part, (double[2]){at.x, at.y}) + 1;
    th_point by = th_copy_offset(loads->job, copy);

    for (int i = -1; i <= 1; i++) {
        for (int k = -1; k <= 1; k++) {
            if (loads_encloses(&loads->part,
                               (th_point){at.x - by.x + i * RIM, at.y - by.y + k * RIM})) {
                return true;
            }
        }
    }
    return false;
}

/* Whether it stands at a border of the sheet beside the parts, whose own edge that may be. */
static bool at_border(const th_loads *loads, size_t piece) {
    th_height_map map = th_sweep_map(loads->sweep);
    size_t wide = map.columns, all = 2 * (map.columns + map.rows), count = 0;

    for (size_t k = 0; k < all; k++) {
        size_t along = k / 2 < wide ? k / 2 : k / 2 - wide;
        size_t column = k / 2 < wide ? along : k % 2 * (wide - 1);
        size_t row = k / 2 < wide ? k % 2 * (map.rows - 1) : along;
        size_t cell = row * wide + column;
        if ((double)map.heights[cell] > SKIN_JOINS && map.pieces[cell] == piece &&
            !near_part(loads, th_map_sample(&map, column, row)) &&
            (double)++count * map.cell > TH_CRUMB) {
            return true;
        }
    }
    return false;
}

/* With parts in it, and more than them. */
static bool still_stock(const th_loads *loads, size_t piece, const kind_count *count) {
    bool within = 2 * count->enclosed > count->looked;
    double parts = (double)count->inside * count->each / loads->part_area;
    double most = (double)count->most * count->each / loads->part_area;
    double beside = (double)(count->looked - count->enclosed) * count->each;

    return loads->sheet &&
           (parts > (within ? PART_ALONE : PART_IN_IT) ||
            (most > COPY_IN_IT && (beside > kerf_round(loads) || at_border(loads, piece))));
}

static bool as_small_as_a_core(const th_loads *loads, size_t piece) {
    const double *box = th_sweep_piece_at(loads->sweep, piece)->box;

    return fmax(box[2] - box[0], box[3] - box[1]) <= CORE_WIDE * loads->diameter;
}

/* The part, or waste of an opening in it. */
static void set_part(const th_loads *loads, size_t piece, const kind_count *count,
                     piece_state *state) {
    double area = (double)count->looked * count->each;
    bool few = area + cores_of(loads, count->copy) <= CORES_MOST * loads->part_area;

    state->kind = TH_PIECE_PART;
    state->copy = count->copy;
    if (piece > 0 && few && as_small_as_a_core(loads, piece) && amid(loads, piece, count->copy)) {
        state->kind = TH_PIECE_SLUG;
        state->core = area;
    }
}

/* The stock as it was is stock, or the part where there is no sheet, and so is what has parts in it
 * that are not cut out yet; what comes off it is told by where most of it lies. */
static bool set_kind(const th_loads *loads, size_t piece, piece_state *state, th_error *err) {
    kind_count count = {0};

    if (!count_kind(loads, piece, &count, err)) {
        return false;
    }
    bool whole = piece == 0 && th_sweep_piece_count(loads->sweep) == 1;
    bool most = 2 * count.inside > count.looked, within = 2 * count.enclosed > count.looked;
    double parts = (double)count.inside * count.each / loads->part_area;
    state->copy = 0;
    state->core = 0;
    if (whole && !loads->sheet) {
        state->kind = TH_PIECE_PART;
    } else if (still_stock(loads, piece, &count) || (whole && !(parts > PART_IN_IT))) {
        state->kind = TH_PIECE_STOCK;
    } else if (most || parts > PART_IN_IT) { /* its openings may be in it still */
        set_part(loads, piece, &count, state);
    } else {
        state->kind = within ? TH_PIECE_SLUG : TH_PIECE_FRAME;
    }
    state->counts = state->kind == TH_PIECE_PART || state->kind == TH_PIECE_STOCK ||
                    loads->job->head.offcuts == TH_MUST_STAY;
    return true;
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
        if (!set_kind(loads, piece, state, err)) {
            return false;
        }
        state->known = true;
    }
    return find_corners(loads, piece, state, err);
}
