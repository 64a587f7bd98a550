/* fine_zones.c - slices of a step split, with arcs that follow their neighbours. */
#include "fine_zones.h"

#include <math.h>

enum { PARTS = TH_ZONES_MAX / TH_STEP_ZONES };

#define LEAST_ARC 1e-4    /* that cuts anything (rad) */
#define LEAST_RADIUS 1e-6 /* (mm) */

static double middle_of(const th_zone *zone) {
    return 0.5 * (zone->low + zone->high);
}

/* Where an end of an arc lies, across the feed; + left (mm). */
static double place_of(const tool_shape *shape, const th_zone *zone, int arc, bool exit) {
    double angle = exit ? zone->arcs[arc].exit : zone->arcs[arc].entry;

    return tool_radius(shape, middle_of(zone)) * cos(angle);
}

static bool at_edge(const th_zone *zone, int arc, bool exit) {
    return exit ? zone->arcs[arc].exit >= TH_PI : zone->arcs[arc].entry <= 0;
}

/* The neighbour that an end of an arc follows; NULL: none that is like it. */
static const th_zone *follows(const th_engagement *e, int at, int by, int arc, bool exit) {
    const th_zone *zone = &e->zones[at], *other;

    if (at + by < 0 || at + by >= e->zone_count) {
        return NULL;
    }
    other = &e->zones[at + by];
    bool touches = by > 0 ? other->low <= zone->high * (1 + 1e-9) + 1e-9
                          : other->high >= zone->low * (1 - 1e-9) - 1e-9;
    return touches && other->arc_count == zone->arc_count && !at_edge(other, arc, exit) ? other
                                                                                        : NULL;
}

/* How an end of an arc moves with height (-). */
static double slope_of(const tool_shape *shape, const th_engagement *e, int at, int arc,
                       bool exit) {
    const th_zone *zone = &e->zones[at];
    const th_zone *below = follows(e, at, -1, arc, exit), *above = follows(e, at, 1, arc, exit);

    below = below ? below : zone;
    above = above ? above : zone;
    if (at_edge(zone, arc, exit) || below == above) {
        return 0;
    }
    return (place_of(shape, above, arc, exit) - place_of(shape, below, arc, exit)) /
           (middle_of(above) - middle_of(below));
}

/* An arc of a zone at a height of it. */
static th_arc arc_at(const tool_shape *shape, const th_engagement *e, int at, int arc, double z) {
    const th_zone *zone = &e->zones[at];
    double by = z - middle_of(zone), radius = fmax(tool_radius(shape, z), LEAST_RADIUS);
    double ends[2];

    for (int exit = 0; exit < 2; exit++) {
        double place = place_of(shape, zone, arc, exit) + by * slope_of(shape, e, at, arc, exit);
        ends[exit] =
            at_edge(zone, arc, exit) ? (exit ? TH_PI : 0) : acos(fmin(fmax(place / radius, -1), 1));
    }
    return (th_arc){fmin(ends[0], ends[1]), ends[1]};
}

static th_arc between(const th_arc *a, const th_arc *b) {
    return (th_arc){0.5 * (a->entry + b->entry), 0.5 * (a->exit + b->exit)};
}

/* An arc begins no sooner than the one before it ends. */
static void begin_at(th_arc *arc, double before) {
    arc->entry = fmax(arc->entry, before);
    arc->exit = fmax(arc->exit, arc->entry);
}

/* One part of a zone; arcs that have shrunk to nothing are left out, and of those that run into one
 * another the second is what the first leaves of it. */
static void put_part(const tool_shape *shape, const th_engagement *e, int at, int k,
                     fine_zones *fine) {
    const th_zone *zone = &e->zones[at];
    double high = (zone->high - zone->low) / PARTS, before = 0;
    th_zone part = {.low = k ? zone->low + k * high : zone->low,
                    .high = k + 1 < PARTS ? zone->low + (k + 1) * high : zone->high};
    th_zone_slant slant = {.low = {{0, 0}}};

    for (int arc = 0; arc < zone->arc_count; arc++) {
        th_arc low = arc_at(shape, e, at, arc, part.low);
        th_arc up = arc_at(shape, e, at, arc, part.high), middle = between(&low, &up);
        if (middle.entry < before) {
            begin_at(&low, before);
            begin_at(&up, before);
            middle = between(&low, &up);
        }
        if (middle.exit - middle.entry > LEAST_ARC) {
            slant.low[part.arc_count] = low;
            slant.high[part.arc_count] = up;
            part.arcs[part.arc_count++] = middle;
            before = middle.exit;
        }
    }
    if (part.arc_count > 0) {
        fine->slants[fine->count] = slant;
        fine->zones[fine->count++] = part;
    }
}

static void put_whole(const th_zone *zone, fine_zones *fine) {
    for (int arc = 0; arc < zone->arc_count; arc++) {
        fine->slants[fine->count].low[arc] = fine->slants[fine->count].high[arc] = zone->arcs[arc];
    }
    fine->zones[fine->count++] = *zone;
}

void fine_zones_of(const tool_shape *shape, const th_engagement *engagement, fine_zones *fine) {
    fine->count = 0;
    for (int i = 0; i < engagement->zone_count; i++) {
        if (middle_of(&engagement->zones[i]) >= shape->rise) {
            put_whole(&engagement->zones[i], fine);
            continue;
        }
        for (int k = 0; k < PARTS; k++) {
            put_part(shape, engagement, i, k, fine);
        }
    }
}
