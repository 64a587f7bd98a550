/* state.c - what is bonded at one moment, piece by piece. */
#include "judge.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Pieces smaller than this are swarf (mm2). */
#define LEAST_PIECE 1.0

/* ---- small helpers --------------------------------------------------------------------------- */

static bool boxes_meet(const th_outline *a, const th_outline *b) {
    double p[4], q[4];

    return th_region_box(a, p) && th_region_box(b, q) && p[0] <= q[2] && q[0] <= p[2] &&
           p[1] <= q[3] && q[1] <= p[3];
}

/* Area that two regions share; false when that cannot be told. */
static bool shared(th_ground *ground, const th_outline *a, const th_outline *b, double *area) {
    const th_outline *both;

    *area = 0;
    if (!boxes_meet(a, b)) {
        return true;
    }
    both = th_shapes_overlaid(ground->shapes, a, b, TH_INTERSECTION, ground->err);
    if (both) {
        *area = th_outline_section(both).area;
    }
    return both != NULL;
}

/* A point just inside the region: beside the middle of its longest edge. */
static th_point inner_point(const th_outline *region) {
    th_point best = {0, 0};
    double longest = 0;

    for (size_t r = 0; r < region->ring_count; r++) {
        const th_ring *ring = &region->rings[r];
        for (size_t i = 0; i < ring->count; i++) {
            th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
            double length = hypot(b.x - a.x, b.y - a.y);
            if (length > longest) {
                longest = length;
                best = (th_point){(a.x + b.x) / 2 - 1e-3 * (b.y - a.y) / length,
                                  (a.y + b.y) / 2 + 1e-3 * (b.x - a.x) / length};
            }
        }
    }
    return best;
}

static bool in_some_copy(const th_ground *ground, const th_outline *of, th_point at) {
    for (int copy = 1; copy <= ground->copies; copy++) {
        th_point by = th_copy_offset(ground->job, copy);
        if (th_outline_holds(of, (th_point){at.x - by.x, at.y - by.y})) {
            return true;
        }
    }
    return false;
}

/* ---- one piece ------------------------------------------------------------------------------- */

static int nearest_copy(const th_ground *ground, const double box[4]) {
    th_point middle = {(box[0] + box[2]) / 2, (box[1] + box[3]) / 2};
    double least = INFINITY;
    int nearest = 1;

    for (int copy = 1; copy <= ground->copies; copy++) {
        th_point by = th_copy_offset(ground->job, copy);
        double away = hypot(middle.x - by.x - ground->job->part.length / 2,
                            middle.y - by.y - ground->job->part.width / 2);
        if (away < least) {
            least = away;
            nearest = copy;
        }
    }
    return nearest;
}

static bool classify(th_ground *ground, const th_bond_state *state, th_piece *piece) {
    th_point inside = inner_point(piece->region);
    double area = th_outline_section(piece->region).area, common;

    piece->kind = TH_PIECE_PART;
    piece->copy = 1;
    if ((state->away && th_outline_holds(state->away, inside)) ||
        (ground->sheet && in_some_copy(ground, ground->filled, inside) &&
         !in_some_copy(ground, ground->part, inside))) {
        piece->kind = TH_PIECE_SLUG;
        piece->copy = nearest_copy(ground, piece->box);
    } else if (ground->sheet) {
        if (!shared(ground, piece->region, ground->parts, &common)) {
            return false;
        }
        piece->kind = common < LEAST_PIECE          ? TH_PIECE_FRAME
                      : area - common < LEAST_PIECE ? TH_PIECE_PART
                                                    : TH_PIECE_STOCK;
        piece->copy = piece->kind == TH_PIECE_PART ? nearest_copy(ground, piece->box) : 0;
    }
    return true;
}

static bool hull_of(th_ground *ground, const th_outline *region, const th_point **hull,
                    size_t *count) {
    th_point *corners = th_arena_take(ground->arena, (region->point_count + 1) * sizeof *corners);
    th_point *work = malloc((2 * region->point_count + 2) * sizeof *work);
    bool fine = corners && work;

    if (fine) {
        *count = th_region_hull(region, corners, work);
        *hull = corners;
    }
    free(work);
    return fine || th_fail_memory(ground->err);
}

/* Where tape is under the piece, and the area model's figures of it. */
static bool set_bond(th_ground *ground, th_piece *piece) {
    const th_point *corners = NULL;
    size_t corner_count = 0;

    piece->taped = piece->region;
    if (ground->taped) {
        piece->taped = th_shapes_overlaid(ground->shapes, piece->region, ground->taped,
                                          TH_INTERSECTION, ground->err);
        if (!piece->taped) {
            return false;
        }
    }
    if (!hull_of(ground, piece->region, &piece->hull, &piece->hull_count) ||
        !hull_of(ground, piece->taped, &corners, &corner_count)) {
        return false;
    }
    piece->held = th_outline_section(piece->taped).area > 0.01;
    return !piece->held ||
           th_bonded_of(th_outline_section(piece->taped), ground->job->hold.coverage, corners,
                        corner_count, &piece->bonded, ground->err);
}

static bool set_floors(th_ground *ground, const th_bond_state *state, th_piece *piece) {
    piece->thinnest = ground->job->part.thickness;
    piece->floors = state->floors;
    piece->floor_count = state->floor_count;
    for (size_t i = 0; i < state->floor_count; i++) {
        double area;
        if (state->floors[i].groove || state->floors[i].thickness >= piece->thinnest) {
            continue;
        }
        if (!shared(ground, piece->region, state->floors[i].region, &area)) {
            return false;
        }
        if (area > LEAST_PIECE) {
            piece->thinnest = state->floors[i].thickness;
        }
    }
    return true;
}

/* The largest piece that is not a part or a slug; NULL: none. */
static const th_piece *frame_of(const th_bond_state *state) {
    for (size_t i = 0; i < state->piece_count; i++) {
        if (state->pieces[i].kind == TH_PIECE_FRAME || state->pieces[i].kind == TH_PIECE_STOCK) {
            return &state->pieces[i];
        }
    }
    return NULL;
}

/* Tabs hold the part itself; those of another copy lie as those of the first do. */
static bool set_anchors(th_ground *ground, const th_bond_state *state, th_piece *piece) {
    th_point by = th_copy_offset(ground->job, piece->copy > 0 ? piece->copy : 1);
    th_plate_anchor *anchors;

    if (piece->kind != TH_PIECE_PART || !state->anchor_count) {
        return true;
    }
    anchors = th_arena_take(ground->arena, state->anchor_count * sizeof *anchors);
    if (!anchors) {
        return th_fail_memory(ground->err);
    }
    for (size_t i = 0; i < state->anchor_count; i++) {
        anchors[i] = state->anchors[i];
        anchors[i].x += by.x;
        anchors[i].y += by.y;
    }
    piece->anchors = anchors;
    piece->anchor_count = state->anchor_count;
    piece->anchors_hold = state->anchors_hold;
    return true;
}

static bool describe(th_ground *ground, const th_bond_state *state, const th_outline *region,
                     th_piece *piece) {
    *piece = (th_piece){.region = region, .finest = state->finest};
    return th_region_box(region, piece->box) && classify(ground, state, piece) &&
           set_bond(ground, piece) && set_floors(ground, state, piece) &&
           set_anchors(ground, state, piece);
}

/* ---- all pieces ------------------------------------------------------------------------------ */

/* A region whose thin webs are gone, grown back to its edges. */
static const th_outline *restored(th_ground *ground, const th_outline *core,
                                  const th_outline *whole) {
    const th_outline *wide =
        th_shapes_grown(ground->shapes, core, TH_LEAST_WEB / 2 + 1e-3, ground->err);

    return wide ? th_shapes_overlaid(ground->shapes, wide, whole, TH_INTERSECTION, ground->err)
                : NULL;
}

typedef struct {
    const th_outline **items;
    size_t count;
} th_found;

/* One connected piece: none where it is nowhere wider than a web that counts, as it is, or its
 * parts where only such webs join them. */
static bool split(th_ground *ground, const th_outline *whole, const th_outline *core, size_t cores,
                  th_found *found) {
    size_t first = found->count, inside = 0;
    bool crumbs = false;

    if (th_outline_section(whole).area < LEAST_PIECE) {
        return true;
    }
    for (size_t i = 0; i < cores; i++) {
        const th_outline *part = th_shapes_piece(ground->shapes, core, i);
        if (!th_outline_holds(whole, inner_point(part))) {
            continue;
        }
        if (th_outline_section(part).area < LEAST_PIECE) {
            crumbs = true; /* too little left to stand alone, but not nothing */
            continue;
        }
        found->items[found->count++] = part;
        inside++;
    }
    if (inside == 0 && crumbs) {
        found->items[found->count++] = whole;
    }
    if (inside == 1) {
        found->items[first] = whole;
    }
    for (size_t i = 0; inside > 1 && i < inside; i++) {
        found->items[first + i] = restored(ground, found->items[first + i], whole);
        if (!found->items[first + i]) {
            return false;
        }
    }
    return true;
}

static bool find_pieces(th_ground *ground, const th_outline *region, th_found *found) {
    const th_outline *core =
        th_shapes_grown(ground->shapes, region, -TH_LEAST_WEB / 2, ground->err);
    size_t wholes, cores;

    *found = (th_found){NULL, 0};
    if (!core || !th_shapes_pieces(ground->shapes, region, &wholes, ground->err) ||
        !th_shapes_pieces(ground->shapes, core, &cores, ground->err)) {
        return false;
    }
    found->items = th_arena_take(ground->arena, (cores + 1) * sizeof *found->items);
    if (!found->items) {
        return th_fail_memory(ground->err);
    }
    for (size_t i = 0; i < wholes; i++) {
        if (!split(ground, th_shapes_piece(ground->shapes, region, i), core, cores, found)) {
            return false;
        }
    }
    return true;
}

static bool set_pieces(th_ground *ground, th_bond_state *state) {
    th_found found;

    if (!find_pieces(ground, state->region, &found)) {
        return false;
    }
    state->piece_count = found.count;
    state->pieces = th_arena_take(ground->arena, (state->piece_count + 1) * sizeof *state->pieces);
    if (!state->pieces) {
        return th_fail_memory(ground->err);
    }
    for (size_t i = 0; i < state->piece_count; i++) {
        if (!describe(ground, state, found.items[i], &state->pieces[i])) {
            return false;
        }
    }
    for (size_t i = 0; i < state->piece_count; i++) {
        state->pieces[i].tied_to = frame_of(state);
    }
    return true;
}

static th_bond_state *copied(th_ground *ground, const th_bond_state *before) {
    th_bond_state *state = th_arena_take(ground->arena, sizeof *state);

    if (!state) {
        th_fail_memory(ground->err);
    } else {
        *state = *before;
    }
    return state;
}

/* ---- states ---------------------------------------------------------------------------------- */

const th_bond_state *th_state_start(th_ground *ground) {
    th_bond_state none = {.freed = ground->sheet ? 0 : ground->copies};
    th_bond_state *state = copied(ground, &none);

    if (!state) {
        return NULL;
    }
    state->region = th_ground_stock(ground);
    return state->region && set_pieces(ground, state) ? state : NULL;
}

static bool slanted(const th_cut *cut) {
    return cut->operation == TH_SLOT && fabs(cut->to.x - cut->from.x) > 1e-6 &&
           fabs(cut->to.y - cut->from.y) > 1e-6;
}

const th_bond_state *th_state_opened(th_ground *ground, const th_bond_state *before,
                                     const th_cut *cut, int first, int last) {
    th_bond_state *state = copied(ground, before);
    const th_outline *kerf = state ? th_kerf_of(ground, cut, first, last) : NULL;

    if (!kerf) {
        return NULL;
    }
    state->region =
        th_shapes_overlaid(ground->shapes, before->region, kerf, TH_DIFFERENCE, ground->err);
    if (slanted(cut)) {
        double width = cut->cutter->row.diameter;
        state->finest = state->finest > 0 ? fmin(state->finest, width) : width;
    }
    if (cut->operation == TH_OUTLINE) {
        state->freed = last;
        state->outlined = true;
    }
    if (cut->operation == TH_HOLE) {
        const th_outline *inside = th_bored_by(ground, cut);
        state->away = !inside || !before->away ? inside
                                               : th_shapes_overlaid(ground->shapes, before->away,
                                                                    inside, TH_UNION, ground->err);
        if (!state->away) {
            return NULL;
        }
    }
    return state->region && set_pieces(ground, state) ? state : NULL;
}

/* Floors do not overlap: where two meet the thinner one stays. */
static bool lay_floors(th_ground *ground, const th_bond_state *before, th_floor added,
                       th_floor *floors) {
    for (size_t i = 0; i < before->floor_count; i++) {
        floors[i] = before->floors[i];
        if (!boxes_meet(floors[i].region, added.region)) {
            continue;
        }
        if (floors[i].thickness > added.thickness) {
            floors[i].region = th_shapes_overlaid(ground->shapes, floors[i].region, added.region,
                                                  TH_DIFFERENCE, ground->err);
        } else {
            added.region = th_shapes_overlaid(ground->shapes, added.region, floors[i].region,
                                              TH_DIFFERENCE, ground->err);
        }
        if (!floors[i].region || !added.region) {
            return false;
        }
    }
    floors[before->floor_count] = added;
    return true;
}

const th_bond_state *th_state_thinned(th_ground *ground, const th_bond_state *before,
                                      th_floor floor) {
    th_bond_state *state = copied(ground, before);
    th_floor *floors = th_arena_take(ground->arena, (before->floor_count + 1) * sizeof *floors);

    if (!state || !floors) {
        th_fail_memory(ground->err);
        return NULL;
    }
    if (!lay_floors(ground, before, floor, floors)) {
        return NULL;
    }
    state->floors = floors;
    state->floor_count = before->floor_count + 1;
    state->pieces = th_arena_take(ground->arena, (state->piece_count + 1) * sizeof *state->pieces);
    if (!state->pieces) {
        th_fail_memory(ground->err);
        return NULL;
    }
    for (size_t i = 0; i < state->piece_count; i++) {
        state->pieces[i] = before->pieces[i];
        if (!set_floors(ground, state, &state->pieces[i])) {
            return NULL;
        }
    }
    return state;
}

/* A bridge across the kerf: a beam built in at both ends, bent up or along the edge, and sheared;
 * the softer and weaker of its two directions in the plane stands for both. Strength by shear (von
 * Mises) and by first yield in bending, sigma = 3 F span/(width x height^2). */
static th_plate_anchor tab_of(const th_job *job, const th_cut *cut, th_point at) {
    const th_stock *stock = job->part.stock;
    double w = cut->tabs.length, h = cut->tab_height, span = cut->cutter->row.diameter;
    double e = stock->elastic_modulus, g = e / (2 * (1 + stock->poisson));
    double shear = g * w * h / (1.2 * span), cube = span * span * span;
    double along = 1 / (1 / shear + cube / (e * h * w * w * w));
    double up = 1 / (1 / shear + cube / (e * w * h * h * h));
    double sheared = stock->ultimate / sqrt(3.0) * w * h;

    return (th_plate_anchor){at.x,
                             at.y,
                             {along, along, up},
                             fmin(sheared, stock->ultimate * h * w * w / (3 * span)),
                             fmin(sheared, stock->ultimate * w * h * h / (3 * span))};
}

/* Evenly spread round the outer edge, by its length. */
static th_plate_anchor *tabs_of(th_ground *ground, const th_cut *cut) {
    const th_ring *ring = &ground->filled->rings[0];
    size_t count = (size_t)cut->tabs.count, placed = 0;
    th_plate_anchor *anchors = th_arena_take(ground->arena, count * sizeof *anchors);
    double whole = 0, done = 0;

    for (size_t i = 0; i < ring->count; i++) {
        th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
        whole += hypot(b.x - a.x, b.y - a.y);
    }
    for (size_t i = 0; anchors && i < ring->count; i++) {
        th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
        double length = hypot(b.x - a.x, b.y - a.y);
        for (double next = ((double)placed + 0.5) / (double)count * whole;
             placed < count && next <= done + length;
             next = ((double)placed + 0.5) / (double)count * whole) {
            double share = (next - done) / length;
            th_point at = {a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
            anchors[placed++] = tab_of(ground->job, cut, at);
        }
        done += length;
    }
    return anchors;
}

const th_bond_state *th_state_tied(th_ground *ground, const th_bond_state *before,
                                   const th_cut *cut, double hold) {
    th_bond_state *state = copied(ground, before);
    th_plate_anchor *anchors = state ? tabs_of(ground, cut) : NULL;
    th_piece *pieces =
        anchors ? th_arena_take(ground->arena, (before->piece_count + 1) * sizeof *pieces) : NULL;

    if (!pieces) {
        th_fail_memory(ground->err);
        return NULL;
    }
    state->anchors = anchors;
    state->anchor_count = (size_t)cut->tabs.count;
    state->anchors_hold = hold;
    state->pieces = pieces;
    for (size_t i = 0; i < state->piece_count; i++) {
        pieces[i] = before->pieces[i];
        if (!set_anchors(ground, state, &pieces[i])) {
            return NULL;
        }
        pieces[i].tied_to = frame_of(before);
    }
    return state;
}

const th_bond_state *th_state_after(th_ground *ground, const th_bond_state *before,
                                    const th_cut *cut) {
    const th_outline *region;
    double left = ground->job->part.thickness - cut->depth;

    if (cut->operation == TH_PUSH) {
        return before;
    }
    if (th_cut_opens(ground->job, cut)) {
        return th_state_opened(ground, before, cut, 1, ground->copies);
    }
    if (!th_thinned_by(ground, cut, &region)) {
        return NULL;
    }
    return region ? th_state_thinned(ground, before,
                                     (th_floor){region, left, cut->operation == TH_OUTLINE})
                  : before;
}
