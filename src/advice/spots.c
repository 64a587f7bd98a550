/* spots.c - where the cutter may stand, and which way it then feeds. */
#include "judge.h"

#include <math.h>
#include <stdlib.h>

/* Directions are sampled; the nearest sample is at most 7.5 deg (a bored hole) or 11 deg (a pocket,
 * a face, an engraving) from the worst one, which understates the load by at most 1 or 2 %. */
enum { ROUND_PLACES = 24, HEADINGS = 16, POCKET_SIDE = 4 };

/* Of the places along a path these are looked at: corners, an even spread, and the places that have
 * least of the bond round them, such as narrow webs and tongues. */
enum { CORNERS_MOST = 40, SPREAD_PLACES = 12, WEAK_PLACES = 12 };

/* Places tried along a path, at most; and how far it may turn from one to the next. */
#define PATH_PLACES 160
enum { SLOT_STEPS = 400, SLOT_COPIES = 12 };
#define PATH_TURN (30 * TH_PI / 180)

/* Rounding of points must not decide where equal pieces of an arc add up to just that. */
#define TURN_SLACK 1e-3
#define LENGTH_SLACK 1e-6

/* Of many places all alike these are looked at: the outermost and the least supported ones. */
enum { PLACES_ALL = 8, PLACES_WEAK = 8 };

/* How many times its distance from the edges the axis may stand off a corner: 1.41 at a right
 * angle. */
#define SHARPEST 1.45

typedef struct {
    th_ground const *ground;
    const th_bond_state *state;
    const th_cut *cut;
    th_spots *spots;
    size_t room;
    bool failed;
    bool unlike;  /* copies have to be looked at one by one */
    th_near near; /* of the state's region */
} th_listing;

static void add(th_listing *list, th_point at, double heading) {
    th_spots *spots = list->spots;

    if (spots->count == list->room) {
        size_t room = list->room ? 2 * list->room : 128;
        th_spot *more = th_arena_take(list->ground->arena, room * sizeof *more);
        if (!more) {
            list->failed = true;
            return;
        }
        for (size_t i = 0; i < spots->count; i++) {
            more[i] = spots->items[i];
        }
        spots->items = more;
        list->room = room;
    }
    spots->items[spots->count++] = (th_spot){at, heading};
}

static void add_all_headings(th_listing *list, th_point at) {
    for (int i = 0; i < HEADINGS; i++) {
        add(list, at, 2 * TH_PI * i / HEADINGS);
    }
}

/* ---- which places of many -------------------------------------------------------------------- */

/* Share of a disc of the plate's decay length that is material on tape: what a load in its middle
 * leans on. */
static double support(const th_listing *list, th_point at) {
    static const double radii[] = {0.3, 0.65, 1};
    const th_outline *taped = list->ground->taped;
    double decay = list->ground->decay;
    double box[4] = {at.x - decay, at.y - decay, at.x + decay, at.y + decay};
    th_outline local = th_near_rings(&list->near, box);
    int held = 0, all = 0;

    for (size_t r = 0; r < sizeof radii / sizeof radii[0]; r++) {
        for (int i = 0; i < 12; i++, all++) {
            double angle = 2 * TH_PI * (i + 0.5) / 12, reach = radii[r] * decay;
            th_point there = {at.x + reach * cos(angle), at.y + reach * sin(angle)};
            held += th_outline_holds(&local, there) && (!taped || th_outline_holds(taped, there));
        }
    }
    return (double)held / all;
}

typedef struct {
    th_point at;
    double support;
    bool taken;
} th_place;

/* Outermost in each of 16 directions. */
static void take_outermost(th_place *places, size_t count) {
    for (int i = 0; i < HEADINGS; i++) {
        double c = cos(2 * TH_PI * i / HEADINGS), s = sin(2 * TH_PI * i / HEADINGS);
        size_t best = 0;
        for (size_t k = 1; k < count; k++) {
            if (c * places[k].at.x + s * places[k].at.y >
                c * places[best].at.x + s * places[best].at.y + 1e-9) {
                best = k;
            }
        }
        places[best].taken = true;
    }
}

/* The weakest of those not taken yet. */
static void take_weakest(th_place *places, size_t count, int most) {
    for (int taken = 0; taken < most; taken++) {
        size_t best = count;
        for (size_t k = 0; k < count; k++) {
            if (!places[k].taken && (best == count || places[k].support < places[best].support)) {
                best = k;
            }
        }
        if (best == count) {
            return;
        }
        places[best].taken = true;
    }
}

/* The places of a cut that are looked at, in all the copies that lie outermost; where copies are
 * unlike, in all of them. */
static th_place *places_of(th_listing *list, size_t *count) {
    const th_ground *ground = list->ground;
    const th_cut *cut = list->cut;
    int columns = ground->job->part.copies.a > 0 ? ground->job->part.copies.a : 1;
    int corners[4] = {1, columns, ground->copies - columns + 1, ground->copies};
    bool each = list->unlike && list->state->freed > 1; /* of its own piece */
    bool outermost = ground->copies > 4 && !list->unlike;
    size_t copies = outermost ? 4 : (size_t)ground->copies, used = 0;
    th_place *places = th_arena_take(ground->arena, (cut->at.count * copies + 1) * sizeof *places);
    size_t group; /* of places that are chosen from */

    *count = cut->at.count * copies;
    for (size_t c = 0; places && c < copies; c++) {
        th_point by = th_copy_offset(ground->job, outermost ? corners[c] : (int)c + 1);
        for (size_t i = 0; i < cut->at.count; i++) {
            th_point at = {cut->at.items[i].x + by.x, cut->at.items[i].y + by.y};
            bool few = *count <= PLACES_ALL || (each && cut->at.count <= PLACES_ALL);
            places[used++] = (th_place){at, few ? 0 : support(list, at), few};
        }
    }
    group = each ? cut->at.count : *count;
    for (size_t first = 0; places && group > PLACES_ALL && first < *count; first += group) {
        take_outermost(places + first, group);
        take_weakest(places + first, group, PLACES_WEAK);
    }
    return places;
}

/* ---- one operation --------------------------------------------------------------------------- */

/* A place along a slot, if there is anything to cut. */
typedef struct {
    th_place place;
    bool cuts;
} th_step;

/* The slot's path in steps of a quarter of a decay length. */
static th_step *slot_steps(th_listing *list, th_point by, size_t *count) {
    const th_cut *cut = list->cut;
    const th_outline *region = list->state->region;
    double dx = cut->to.x - cut->from.x, dy = cut->to.y - cut->from.y;
    double steps = ceil(4 * hypot(dx, dy) / list->ground->decay);
    th_step *path;

    *count = (size_t)fmin(fmax(steps, 8), SLOT_STEPS) + 1;
    path = th_arena_take(list->ground->arena, *count * sizeof *path);
    for (size_t i = 0; path && i < *count; i++) {
        double share = (double)i / (double)(*count - 1);
        th_point at = {cut->from.x + share * dx + by.x, cut->from.y + share * dy + by.y};
        bool inside = th_outline_holds(region, at);
        path[i].cuts = inside || th_outline_distance(region, at, NULL) <=
                                     cut->cutter->row.diameter / 2 + TH_LEAST_WEB;
        path[i].place = (th_place){at, path[i].cuts ? support(list, at) : 2, !path[i].cuts};
    }
    return path;
}

/* Both ends and the middle of every stretch that cuts, an even spread, and the least supported
 * places. */
static void slot_spots(th_listing *list, th_point by) {
    const th_cut *cut = list->cut;
    double heading = atan2(cut->to.y - cut->from.y, cut->to.x - cut->from.x);
    size_t count, first = 0;
    th_step *path = slot_steps(list, by, &count);
    th_place *places = th_arena_take(list->ground->arena, (count + 1) * sizeof *places);

    if (!path || !places) {
        list->failed = true;
        return;
    }
    for (size_t i = 0; i < count; i++) {
        bool begins = path[i].cuts && (i == 0 || !path[i - 1].cuts);
        bool ends = path[i].cuts && (i + 1 == count || !path[i + 1].cuts);
        first = begins ? i : first;
        places[i] = path[i].place;
        places[i].taken = places[i].taken || begins || ends || i % (count / SPREAD_PLACES + 1) == 0;
        if (ends) {
            places[(first + i) / 2].taken = true;
        }
    }
    take_weakest(places, count, WEAK_PLACES);
    for (size_t i = 0; i < count; i++) {
        if (path[i].cuts && places[i].taken) {
            add(list, places[i].at, heading);
        }
    }
}

/* One corner of a ring: where the cutter's axis stands when it runs along the edges that meet
 * there, at a distance outside the material; round a sharp corner it keeps nearer. */
static void corner_spots(th_listing *list, th_point at, const th_point along[2], double distance,
                         bool both) {
    bool climb = list->cut->direction == TH_CLIMB;
    double nx = along[0].y + along[1].y, ny = -along[0].x - along[1].x;
    double meet = 1 + along[0].x * along[1].x + along[0].y * along[1].y;
    double scale = distance / fmax(meet, hypot(nx, ny) / SHARPEST);
    th_point axis = {at.x + scale * nx, at.y + scale * ny};

    for (int i = 0; i < (both ? 2 : 1); i++) {
        /* the material lies to the left of a ring; climb milling keeps it to the right */
        double sign = climb ? -1 : 1;
        add(list, axis, atan2(sign * along[i].y, sign * along[i].x));
    }
}

static th_point direction(th_point a, th_point b) {
    double length = hypot(b.x - a.x, b.y - a.y);

    return (th_point){(b.x - a.x) / length, (b.y - a.y) / length};
}

/* A place on a ring, and the directions of the edges that meet there. */
typedef struct {
    th_place place;
    th_point along[2];
    bool sharp;
} th_station;

typedef struct {
    th_station *items;
    size_t count, room;
} th_stations;

static void station(th_listing *list, th_stations *stations, th_point at, const th_point along[2],
                    bool sharp) {
    if (stations->count < stations->room) {
        stations->items[stations->count++] =
            (th_station){{at, support(list, at), false}, {along[0], along[1]}, sharp};
    }
}

/* Every corner of a ring, and places between, half a decay length of the plate or a 160th of the
 * way apart, nearer where the path turns. */
static th_stations walk(th_listing *list, const th_ring *ring, th_point by) {
    const double corner = cos(20 * TH_PI / 180);
    double apart = fmax(th_ring_length(ring) / PATH_PLACES, list->ground->decay / 2);
    double since = INFINITY, turned = 0;
    th_stations stations = {NULL, 0, ring->count + PATH_PLACES + 1};

    stations.items = th_arena_take(list->ground->arena, stations.room * sizeof *stations.items);
    if (!stations.items) {
        list->failed = true;
        return stations;
    }
    for (size_t i = 0; i < ring->count; i++) {
        th_point before = ring->points[(i + ring->count - 1) % ring->count];
        th_point at = ring->points[i], next = ring->points[(i + 1) % ring->count];
        th_point along[2] = {direction(before, at), direction(at, next)};
        double length = hypot(next.x - at.x, next.y - at.y);
        double turn = along[0].x * along[1].x + along[0].y * along[1].y;
        double across = along[0].x * along[1].y - along[0].y * along[1].x;
        double steps = floor(length / apart + LENGTH_SLACK);

        turned += fabs(atan2(across, turn));
        if (turn < corner || since >= apart * (1 - LENGTH_SLACK) ||
            turned > PATH_TURN + TURN_SLACK) {
            station(list, &stations, (th_point){at.x + by.x, at.y + by.y}, along, turn < corner);
            since = turned = 0;
        }
        for (int k = 1; k < steps; k++) {
            th_point place = {at.x + k / steps * (next.x - at.x) + by.x,
                              at.y + k / steps * (next.y - at.y) + by.y};
            const th_point straight[2] = {along[1], along[1]};
            station(list, &stations, place, straight, false);
        }
        since += length;
    }
    return stations;
}

/* Mark the stations that are looked at. */
static void choose_stations(th_listing *list, th_stations *stations) {
    size_t spread = stations->count / SPREAD_PLACES + 1;
    th_place *places = th_arena_take(list->ground->arena, (stations->count + 1) * sizeof *places);
    int corners = 0;

    if (!places) {
        list->failed = true;
        return;
    }
    for (size_t i = 0; i < stations->count; i++) {
        th_station *s = &stations->items[i];
        bool corner = s->sharp && corners < CORNERS_MOST;
        corners += corner;
        places[i] = s->place;
        places[i].taken = corner || i % spread == 0;
    }
    take_outermost(places, stations->count);
    take_weakest(places, stations->count, WEAK_PLACES);
    for (size_t i = 0; i < stations->count; i++) {
        stations->items[i].place.taken = places[i].taken;
    }
}

static void ring_spots(th_listing *list, const th_ring *ring, th_point by, double distance) {
    th_stations stations = walk(list, ring, by);

    choose_stations(list, &stations);
    for (size_t i = 0; stations.items && i < stations.count; i++) {
        const th_station *s = &stations.items[i];
        if (s->place.taken) {
            corner_spots(list, s->place.at, s->along, distance, s->sharp);
        }
    }
}

/* A face is cut everywhere: at the edges of every piece it may tear most. */
static void face_spots(th_listing *list) {
    const th_outline *region = list->state->region;

    for (size_t r = 0; r < region->ring_count; r++) {
        th_stations stations = walk(list, &region->rings[r], (th_point){0, 0});
        choose_stations(list, &stations);
        for (size_t i = 0; stations.items && i < stations.count; i++) {
            if (stations.items[i].place.taken) {
                add_all_headings(list, stations.items[i].place.at);
            }
        }
    }
}

/* How far a ring reaches from a place. */
static double ring_reaches(const th_ring *ring, th_point from) {
    double away = 0;

    for (size_t i = 0; i < ring->count; i++) {
        away = fmax(away, hypot(ring->points[i].x - from.x, ring->points[i].y - from.y));
    }
    return away;
}

/* Whether a hole bored or drilled through before has taken all of an opening: a lap in it cuts
 * nothing. */
static bool bored_away(const th_ground *ground, const th_ring *ring, const th_cut *lap) {
    const th_job *job = ground->job;

    for (size_t c = 0; c < job->cut_count && job->cuts[c].number < lap->number; c++) {
        const th_cut *cut = &job->cuts[c];
        bool bores = cut->operation == TH_HOLE || cut->operation == TH_DRILLED;
        for (size_t i = 0; bores && cut->through && i < cut->at.count; i++) {
            bool milled = cut->operation == TH_HOLE;
            double radius = (milled ? cut->size.a : cut->cutter->row.diameter) / 2;
            if (ring_reaches(ring, cut->at.items[i]) <= radius + TH_SHAPE_MATCH) {
                return true;
            }
        }
    }
    return false;
}

static void edge_spots(th_listing *list, int copy, double distance, bool openings) {
    const th_ground *ground = list->ground;

    for (size_t i = 0; i < ground->part->ring_count; i++) {
        const th_ring *ring = &ground->part->rings[i];
        if (!ring->hole || (openings && !bored_away(ground, ring, list->cut))) {
            ring_spots(list, ring, th_copy_offset(ground->job, copy), distance);
        }
    }
}

/* The cutter's centre in a rectangular or round pocket: its corners are the worst for a rigid part,
 * the middle of a wall and of the floor for a flexible one. */
static void pocket_spots(th_listing *list, th_point place) {
    const th_cut *cut = list->cut;
    double half_x = (cut->size.a - cut->cutter->row.diameter) / 2;
    double half_y = (cut->size.b - cut->cutter->row.diameter) / 2;

    for (int i = 0; !cut->size.single && i <= POCKET_SIDE; i++) {
        for (int k = 0; k <= POCKET_SIDE; k++) {
            th_point at = {place.x + half_x * (-1 + 2.0 * i / POCKET_SIDE),
                           place.y + half_y * (-1 + 2.0 * k / POCKET_SIDE)};
            add_all_headings(list, at);
        }
    }
    if (cut->size.single) {
        add_all_headings(list, place);
    }
    for (int i = 0; cut->size.single && i < ROUND_PLACES; i++) {
        double angle = 2 * TH_PI * i / ROUND_PLACES;
        th_point rim = {place.x + half_x * cos(angle), place.y + half_x * sin(angle)};
        add_all_headings(list, rim);
    }
}

/* Inside a hole climb milling runs counterclockwise. */
static void hole_spots(th_listing *list, th_point place) {
    double radius = (list->cut->size.a - list->cut->cutter->row.diameter) / 2;
    double sense = list->cut->direction == TH_CLIMB ? 1 : -1;

    for (int i = 0; i < ROUND_PLACES; i++) {
        double angle = 2 * TH_PI * i / ROUND_PLACES;
        th_point at = {place.x + radius * cos(angle), place.y + radius * sin(angle)};
        add(list, at, angle + sense * TH_PI / 2);
    }
}

/* A letter may be cut anywhere near its place; one off the material is moved onto it. */
static void engrave_spots(th_listing *list, th_point place) {
    th_point nearest = place;

    if (!th_outline_holds(list->state->region, place)) {
        th_outline_distance(list->state->region, place, &nearest);
        place = nearest;
    }
    add_all_headings(list, place);
}

static void place_spots(th_listing *list) {
    size_t count;
    th_place *places = places_of(list, &count);

    list->failed = list->failed || !places;
    for (size_t i = 0; places && i < count; i++) {
        if (!places[i].taken) {
            continue;
        }
        switch (list->cut->operation) {
        case TH_POCKET:
            pocket_spots(list, places[i].at);
            break;
        case TH_HOLE:
            hole_spots(list, places[i].at);
            break;
        case TH_ENGRAVE:
            engrave_spots(list, places[i].at);
            break;
        default: /* drilled: no heading */
            add(list, places[i].at, 0);
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

bool th_spots_of(const th_ground *ground, const th_bond_state *state, const th_cut *cut, int copy,
                 th_spots *spots) {
    th_listing list = {.ground = ground, .state = state, .cut = cut, .spots = spots};
    int first = copy ? copy : 1, last;

    *spots = (th_spots){NULL, 0};
    if (!th_near_make(ground->arena, state->region, &list.near)) {
        return th_fail_memory(ground->err);
    }
    if (copy == 0 && !th_copies_unlike(ground, state, &list.unlike)) {
        return false;
    }
    switch (cut->operation) {
    case TH_SLOT:
        for (int c = 1; c <= ground->copies; c++) {
            /* the first rows and the last */
            if (c <= SLOT_COPIES || c == ground->copies || list.unlike) {
                slot_spots(&list, th_copy_offset(ground->job, c));
            }
        }
        break;
    case TH_FACING:
        face_spots(&list);
        break;
    case TH_OUTLINE:
        edge_spots(&list, copy, cut->cutter->row.diameter / 2, ground->sheet);
        break;
    case TH_CHAMFERING:
        last = list.unlike ? ground->copies : first;
        for (int c = first; c <= last; c++) {
            edge_spots(&list, c, chamfer_distance(cut), false);
        }
        break;
    case TH_PUSH:
        add(&list, (th_point){cut->at_x, cut->at_y}, 0);
        break;
    default:
        place_spots(&list);
        break;
    }
    return !list.failed || th_fail_memory(ground->err);
}

static bool near_box(const double box[4], th_point at, double reach) {
    return at.x > box[0] - reach && at.x < box[2] + reach && at.y > box[1] - reach &&
           at.y < box[3] + reach;
}

bool th_spots_on(const th_ground *ground, const th_piece *piece, const th_cut *cut,
                 const th_spots *all, th_spots *spots) {
    double reach = TH_LEAST_WEB + (cut->cutter ? cut->cutter->row.diameter * 0.75 : 0);
    size_t near = 0;

    *spots = (th_spots){NULL, 0};
    for (size_t i = 0; i < all->count; i++) {
        near += near_box(piece->box, all->items[i].at, reach);
    }
    if (near == 0) {
        return true;
    }
    spots->items = th_arena_take(ground->arena, near * sizeof *spots->items);
    if (!spots->items) {
        return th_fail_memory(ground->err);
    }
    for (size_t i = 0; i < all->count; i++) {
        th_point at = all->items[i].at;
        if (near_box(piece->box, at, reach) &&
            (th_outline_holds(piece->region, at) ||
             th_outline_distance(piece->region, at, NULL) <= reach)) {
            spots->items[spots->count++] = all->items[i];
        }
    }
    return true;
}
