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

bool th_near_make(th_arena *arena, const th_outline *of, th_near *near) {
    *near = (th_near){of, th_arena_take(arena, (of->ring_count + 1) * sizeof *near->boxes),
                      th_arena_take(arena, (of->ring_count + 1) * sizeof *near->rings)};
    if (!near->boxes || !near->rings) {
        return false;
    }
    for (size_t i = 0; i < of->ring_count; i++) {
        th_outline one = {.rings = &of->rings[i], .ring_count = 1};
        th_region_box(&one, near->boxes[i].side);
    }
    return true;
}

th_outline th_near_rings(const th_near *near, const double box[4]) {
    th_outline local = {.rings = near->rings};

    for (size_t i = 0; i < near->of->ring_count; i++) {
        const double *side = near->boxes[i].side;
        if (side[0] <= box[2] && box[0] <= side[2] && side[1] <= box[3] && box[1] <= side[3]) {
            local.rings[local.ring_count++] = near->of->rings[i];
            local.outer_count += !near->of->rings[i].hole;
            local.point_count += near->of->rings[i].count;
        }
    }
    return local;
}

/* A point just inside the region: beside the middle of its longest edge. */
static th_point inner_point(const th_outline *region) {
    th_point best = {0, 0};
    double longest = 0;

    for (size_t r = 0; r < region->ring_count; r++) {
        const th_ring *ring = &region->rings[r];
        double length;
        size_t i = th_ring_longest(ring, &length);
        if (length > longest) {
            th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
            longest = length;
            best = (th_point){(a.x + b.x) / 2 - 1e-3 * (b.y - a.y) / length,
                              (a.y + b.y) / 2 + 1e-3 * (b.x - a.x) / length};
        }
    }
    return best;
}

static bool in_box(const double box[4], th_point at) {
    return at.x >= box[0] && at.y >= box[1] && at.x <= box[2] && at.y <= box[3];
}

static bool in_some_copy(const th_ground *ground, const th_outline *of, th_point at) {
    double box[4];

    th_region_box(of, box);
    for (int copy = 1; copy <= ground->copies; copy++) {
        th_point by = th_copy_offset(ground->job, copy);
        th_point there = {at.x - by.x, at.y - by.y};
        if (in_box(box, there) && th_outline_holds(of, there)) {
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

/* The copy that a place lies in, else the one whose middle is nearest to that of the box. */
static int copy_at(const th_ground *ground, th_point at, const double box[4]) {
    double side[4];

    th_region_box(ground->filled, side);
    for (int copy = 1; copy <= ground->copies; copy++) {
        th_point by = th_copy_offset(ground->job, copy);
        th_point there = {at.x - by.x, at.y - by.y};
        if (in_box(side, there) && th_outline_holds(ground->filled, there)) {
            return copy;
        }
    }
    return nearest_copy(ground, box);
}

static bool boxes_touch(const double a[4], const double b[4], th_point by) {
    return a[0] <= b[2] + by.x && b[0] + by.x <= a[2] && a[1] <= b[3] + by.y && b[1] + by.y <= a[3];
}

/* Area that a piece shares with one copy of the part: only its rings near the copy matter. */
static bool shared_with_copy(th_ground *ground, const th_near *near, int copy, double *area) {
    const th_outline *filled = th_ground_filled(ground, copy);
    th_outline both = {0}, local;
    double box[4];

    *area = 0;
    if (!filled) {
        return false;
    }
    th_region_box(filled, box);
    local = th_near_rings(near, box);
    if (!th_region_overlay(&local, filled, TH_INTERSECTION, &both, ground->err)) {
        return false;
    }
    *area = th_outline_section(&both).area;
    th_outline_free(&both);
    return true;
}

/* Area that a piece shares with the parts, copy by copy: to overlay every piece with all of them
 * would take the square of their number. Not to the end once it is plain that there is enough of it
 * and enough besides. */
static bool shared_with_parts(th_ground *ground, const th_piece *piece, double area,
                              double *common) {
    double whole = th_outline_section(ground->filled).area, box[4], here;
    th_near near;
    int met = 0;

    *common = 0;
    if (!th_near_make(ground->arena, piece->region, &near)) {
        return th_fail_memory(ground->err);
    }
    th_region_box(ground->filled, box);
    for (int copy = 1; copy <= ground->copies; copy++) {
        met += boxes_touch(piece->box, box, th_copy_offset(ground->job, copy));
    }
    for (int copy = 1; copy <= ground->copies; copy++) {
        if (*common >= LEAST_PIECE && area - met * whole >= LEAST_PIECE) {
            break;
        }
        if (!boxes_touch(piece->box, box, th_copy_offset(ground->job, copy))) {
            continue;
        }
        if (!shared_with_copy(ground, &near, copy, &here)) {
            return false;
        }
        *common += here;
    }
    return true;
}

/* Whether a piece is another one moved from copy to copy. */
static bool repeats(const th_ground *ground, const th_piece *a, const th_piece *b) {
    th_point from = th_copy_offset(ground->job, nearest_copy(ground, a->box));
    th_point to = th_copy_offset(ground->job, nearest_copy(ground, b->box));

    if (a->region->ring_count != b->region->ring_count) {
        return false;
    }
    for (size_t r = 0; r < a->region->ring_count; r++) {
        const th_ring *p = &a->region->rings[r], *q = &b->region->rings[r];
        for (size_t i = 0; i < p->count && p->count == q->count; i++) {
            if (!(fabs(q->points[i].x - p->points[i].x - (to.x - from.x)) < 1e-4 &&
                  fabs(q->points[i].y - p->points[i].y - (to.y - from.y)) < 1e-4)) {
                return false;
            }
        }
        if (p->count != q->count) {
            return false;
        }
    }
    return true;
}

/* `before`: the piece described before this one, NULL none. */
static bool find_kind(th_ground *ground, const th_piece *before, th_piece *piece) {
    double area = th_outline_section(piece->region).area, common;
    size_t noted;

    if (th_shapes_noted(ground->shapes, piece->region, ground->parts, &noted)) {
        piece->kind = (th_piece_kind)noted;
        return true;
    }
    if (before && before->kind == TH_PIECE_PART && repeats(ground, before, piece)) {
        piece->kind = TH_PIECE_PART;
    } else if (!shared_with_parts(ground, piece, area, &common)) {
        return false;
    } else {
        piece->kind = common < LEAST_PIECE          ? TH_PIECE_FRAME
                      : area - common < LEAST_PIECE ? TH_PIECE_PART
                                                    : TH_PIECE_STOCK;
    }
    return th_shapes_note(ground->shapes, piece->region, ground->parts, piece->kind, ground->err);
}

static bool classify(th_ground *ground, const th_bond_state *state, const th_piece *before,
                     th_piece *piece) {
    th_point inside = inner_point(piece->region);

    piece->kind = TH_PIECE_PART;
    piece->copy = 1;
    if ((state->away && th_outline_holds(state->away, inside)) ||
        (ground->sheet && in_some_copy(ground, ground->filled, inside) &&
         !in_some_copy(ground, ground->part, inside))) {
        piece->kind = TH_PIECE_SLUG;
        piece->copy = copy_at(ground, inside, piece->box);
    } else if (ground->sheet) {
        if (!find_kind(ground, before, piece)) {
            return false;
        }
        piece->copy = piece->kind == TH_PIECE_PART ? copy_at(ground, inside, piece->box) : 0;
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

/* Whether all the metal of a tab is still there. */
static bool tab_whole(th_ground *ground, const th_near *stock, const th_tab *tab, th_point by,
                      bool *whole) {
    th_point corners[4];
    th_ring ring = {.points = corners, .count = 4};
    th_outline place = {.rings = &ring, .ring_count = 1, .outer_count = 1, .point_count = 4};
    th_outline both = {0}, local;
    double box[4];

    for (int i = 0; i < 4; i++) {
        corners[i] = (th_point){tab->corners[i].x + by.x, tab->corners[i].y + by.y};
    }
    th_region_box(&place, box);
    local = th_near_rings(stock, box);
    if (!th_region_overlay(&place, &local, TH_INTERSECTION, &both, ground->err)) {
        return false;
    }
    *whole = th_outline_section(&both).area >= th_outline_section(&place).area - 1e-3;
    th_outline_free(&both);
    return true;
}

/* Tabs hold the part itself; those of another copy lie as those of the first do. */
static bool set_anchors(th_ground *ground, const th_bond_state *state, th_piece *piece) {
    th_point by = th_copy_offset(ground->job, piece->copy > 0 ? piece->copy : 1);
    th_plate_anchor *anchors;
    size_t count = 0;
    th_near stock;

    if (piece->kind != TH_PIECE_PART || !state->tab_count) {
        return true;
    }
    anchors = th_arena_take(ground->arena, state->tab_count * sizeof *anchors);
    if (!anchors || !th_near_make(ground->arena, state->tab_stock, &stock)) {
        return th_fail_memory(ground->err);
    }
    for (size_t i = 0; i < state->tab_count; i++) {
        bool whole;
        if (!tab_whole(ground, &stock, &state->tabs[i], by, &whole)) {
            return false;
        }
        if (whole) {
            anchors[count] = state->tabs[i].anchor;
            anchors[count].x += by.x;
            anchors[count++].y += by.y;
        }
    }
    piece->anchors = count ? anchors : NULL;
    piece->anchor_count = count;
    piece->anchors_hold = state->anchors_hold;
    return true;
}

static bool describe(th_ground *ground, const th_bond_state *state, const th_outline *region,
                     const th_piece *before, th_piece *piece) {
    *piece = (th_piece){.region = region, .finest = state->finest};
    if (!th_region_box(region, piece->box)) {
        return th_fail(ground->err, TH_NOT_SOLVED, "a piece of what is stuck down has no outline");
    }
    return classify(ground, state, before, piece) && set_bond(ground, piece) &&
           set_floors(ground, state, piece) && set_anchors(ground, state, piece);
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

/* A piece without its thin webs. */
typedef struct {
    const th_outline *region;
    th_point inside;
    double area;
} th_core;

typedef struct {
    th_core *items;
    size_t count;
} th_cores;

static bool list_cores(th_ground *ground, const th_outline *core, th_cores *cores) {
    if (!th_shapes_pieces(ground->shapes, core, &cores->count, ground->err)) {
        return false;
    }
    cores->items = th_arena_take(ground->arena, (cores->count + 1) * sizeof *cores->items);
    for (size_t i = 0; cores->items && i < cores->count; i++) {
        const th_outline *region = th_shapes_piece(ground->shapes, core, i);
        if (!region) {
            return th_fail_memory(ground->err);
        }
        cores->items[i] = (th_core){region, inner_point(region), th_outline_section(region).area};
    }
    return cores->items || th_fail_memory(ground->err);
}

/* One connected piece: none where it is nowhere wider than a web that counts, as it is, or its
 * parts where only such webs join them. */
static bool split(th_ground *ground, const th_outline *whole, const th_cores *cores,
                  th_found *found) {
    size_t first = found->count, inside = 0;
    bool crumbs = false;
    double box[4];

    if (!th_region_box(whole, box) || th_outline_section(whole).area < LEAST_PIECE) {
        return true;
    }
    for (size_t i = 0; i < cores->count; i++) {
        const th_core *core = &cores->items[i];
        if (!in_box(box, core->inside) || !th_outline_holds(whole, core->inside)) {
            continue;
        }
        if (core->area < LEAST_PIECE) {
            crumbs = true; /* too little left to stand alone, but not nothing */
            continue;
        }
        found->items[found->count++] = core->region;
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
    th_cores cores;
    size_t wholes;

    *found = (th_found){NULL, 0};
    if (!core || !th_shapes_pieces(ground->shapes, region, &wholes, ground->err) ||
        !list_cores(ground, core, &cores)) {
        return false;
    }
    found->items = th_arena_take(ground->arena, (cores.count + 1) * sizeof *found->items);
    if (!found->items) {
        return th_fail_memory(ground->err);
    }
    for (size_t i = 0; i < wholes; i++) {
        const th_outline *whole = th_shapes_piece(ground->shapes, region, i);
        if (!whole) {
            return th_fail_memory(ground->err);
        }
        if (!split(ground, whole, &cores, found)) {
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
        if (!describe(ground, state, found.items[i], i ? &state->pieces[i - 1] : NULL,
                      &state->pieces[i])) {
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

/* What is gone is no tab any more. */
static bool saw_tabs(th_ground *ground, const th_outline *gone, th_bond_state *state) {
    if (state->tab_count) {
        state->tab_stock =
            th_shapes_overlaid(ground->shapes, state->tab_stock, gone, TH_DIFFERENCE, ground->err);
    }
    return !state->tab_count || state->tab_stock;
}

const th_bond_state *th_state_opened(th_ground *ground, const th_bond_state *before,
                                     const th_cut *cut, int first, int last) {
    th_bond_state *state = copied(ground, before);
    const th_outline *kerf = state ? th_kerf_of(ground, cut, first, last) : NULL;

    if (!kerf || !saw_tabs(ground, kerf, state)) {
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
    bool sawn; /* below the top of the tabs */

    if (!state || !floors) {
        th_fail_memory(ground->err);
        return NULL;
    }
    sawn = state->tab_count && floor.thickness < state->tabs[0].height;
    if (!lay_floors(ground, before, floor, floors) ||
        (sawn && !saw_tabs(ground, floor.region, state))) {
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
        if (!set_floors(ground, state, &state->pieces[i]) ||
            (sawn && !set_anchors(ground, state, &state->pieces[i]))) {
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

/* A tab that starts at a place of the part's edge, which runs along `along`. */
static th_tab bridge(const th_job *job, const th_cut *cut, th_point at, th_point along) {
    double half = cut->tabs.length / 2, span = cut->cutter->row.diameter;
    const double corners[4][2] = {
        {-half, span}, {half, span}, {half, -span / 2}, {-half, -span / 2}};
    th_tab tab = {.anchor = tab_of(job, cut, at), .height = cut->tab_height};

    for (int i = 0; i < 4; i++) { /* outside is to the right */
        tab.corners[i] = (th_point){at.x + corners[i][0] * along.x + corners[i][1] * along.y,
                                    at.y + corners[i][0] * along.y - corners[i][1] * along.x};
    }
    return tab;
}

/* Evenly spread round the outer edge, by its length. */
static th_tab *tabs_of(th_ground *ground, const th_cut *cut) {
    const th_ring *ring = &ground->filled->rings[0];
    size_t count = (size_t)cut->tabs.count, placed = 0;
    th_tab *tabs = th_arena_take(ground->arena, count * sizeof *tabs);
    double whole = th_ring_length(ring), done = 0;

    for (size_t i = 0; tabs && i < ring->count; i++) {
        th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
        double length = hypot(b.x - a.x, b.y - a.y);
        for (double next = ((double)placed + 0.5) / (double)count * whole;
             placed < count && next <= done + length;
             next = ((double)placed + 0.5) / (double)count * whole) {
            double share = (next - done) / length;
            th_point at = {a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
            th_point along = {(b.x - a.x) / length, (b.y - a.y) / length};
            tabs[placed++] = bridge(ground->job, cut, at, along);
        }
        done += length;
    }
    return tabs;
}

const th_bond_state *th_state_tied(th_ground *ground, const th_bond_state *before,
                                   const th_cut *cut, double hold, const th_outline *stock) {
    th_bond_state *state = copied(ground, before);
    th_tab *tabs = state ? tabs_of(ground, cut) : NULL;
    th_piece *pieces =
        tabs ? th_arena_take(ground->arena, (before->piece_count + 1) * sizeof *pieces) : NULL;

    if (!pieces) {
        th_fail_memory(ground->err);
        return NULL;
    }
    state->tabs = tabs;
    state->tab_count = (size_t)cut->tabs.count;
    state->tab_stock = stock;
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
