/* loads_local.c - how much warmer it gets right under the cutter than the part is as a whole: the
 * model of heat.h, and of a job's cuts, told from how the cutter stands in the stock. */
#include "loads.h"

#include <math.h>

#include <stdlib.h>
#include <string.h>

enum { RISES = 16384, RISES_USED = 8000, STRIP_LOOKS = 8 };

#define FINENESS 0.01      /* of heights, for the local rise kept (-) */
#define FULL_WIDTH 0.97    /* share of the diameter that has two walls */
#define MIDWAY 0.02        /* diameters from the middle of two walls that are in it still */
#define SMOOTH 0.002       /* what goes round turns by more a step (rad) */
#define SAME_CHORD 1.3     /* of one chord to the next, along what goes round */
#define AGES 0.2           /* logarithm of one age of a ramp to the next */
#define THIN_RIM 0.1       /* diameters: what is no wider takes no heat (as in advice: estimate) */
#define CUSP 0.1           /* diameters beyond the cutter that what chords leave is narrower than */
#define ROUND_AGAIN 0.3    /* diameters within which a path is still round a hole */
#define ARC_KNOWN 0.25     /* radii to which the ends of a full contact are known along the feed */
#define WALL_REACH 0.75    /* diameters from its axis where a wall is looked at */
#define NEAR 1.5           /* diameters within which a slot is still the same */
#define CLEARED_AGAIN 1.02 /* a cleared place's rise is found anew when something grew by it */
#define BORED_WHOLE 2.02   /* cutters, up to which a hole is bored whole */
#define SLIVERS 0.1        /* share of what a kerf sweeps that they are at most */
#define CORNER 4.0         /* what an edge on two sides makes of a source */
#define FILLED 0.5         /* share of its box that a place swept without a floor beside it fills */

/* ---- where it stands
 * ------------------------------------------------------------------------------- */

/* Height of the stock beside the cutter, `side` 1 left of the feed, -1 right, `beyond` its edge and
 * `ahead` along it; 0: none (mm). */
static double height_beyond(const th_loads *loads, const th_step *step, double side, double beyond,
                            double ahead) {
    th_height_map map = th_sweep_map(loads->sweep);
    double reach = side * (step->cutter->diameter / 2 + beyond + 1.5 * map.cell);
    double c = cos(step->heading), s = sin(step->heading);
    double column = (step->at[0] - reach * s + ahead * c - map.x0) / map.cell;
    double row = (step->at[1] + reach * c + ahead * s - map.y0) / map.cell;

    if (!(column >= 0 && row >= 0 && column < (double)map.columns && row < (double)map.rows)) {
        return 0;
    }
    return (double)map.heights[(size_t)row * map.columns + (size_t)column];
}

/* Right beside the cutter. */
static double height_beside(const th_loads *loads, const th_step *step, double side, double ahead) {
    return height_beyond(loads, step, side, 0, ahead);
}

/* A kerf that turns or ends in itself leaves slivers, which make no floor of it. */
static bool has_floor(const cleared_place *place) {
    return place->floored > SLIVERS * place->swept;
}

static bool belongs(const cleared_place *place, const th_step *step, double reach) {
    double box = (place->box[2] - place->box[0]) * (place->box[3] - place->box[1]);

    return place->seconds > 0 && step->at[0] > place->box[0] - reach &&
           step->at[0] < place->box[2] + reach && step->at[1] > place->box[1] - reach &&
           step->at[1] < place->box[3] + reach && (has_floor(place) || place->swept > FILLED * box);
}

/* Where it is open to two sides or more it is most of the piece, which warms as a whole. */
static bool open_to_sides(const th_loads *loads, const cleared_place *place) {
    int sides = 0;

    for (int i = 0; i < 2; i++) {
        sides += place->box[i] <= loads->bounds[i];
        sides += place->box[i + 2] >= loads->bounds[i + 2];
    }
    return sides >= 2;
}

/* A place as copy 1 of the part has it. */
static th_point in_copy(const th_part *part, const double at[2]) {
    th_point p = {at[0], at[1]};

    if (part->copies.a > 1) {
        p.x -= part->pitch.a * fmin(fmax(floor(p.x / part->pitch.a), 0), part->copies.a - 1);
    }
    if (part->copies.b > 1) {
        p.y -= part->pitch.b * fmin(fmax(floor(p.y / part->pitch.b), 0), part->copies.b - 1);
    }
    return p;
}

bool loads_in_part(const th_loads *loads, const double at[2]) {
    return th_outline_holds(&loads->part, in_copy(&loads->job->part, at));
}

/* The copy of the part that a wall is of, `side` as in height_beside; at a corner of the path it
 * may begin only further on, as in wall_height. It is looked at further in, where a rough pass
 * leaves something on it. 0: of none. */
static int copy_beside(const th_loads *loads, const th_step *step, double side) {
    const th_part *part = &loads->job->part;
    double reach = side * WALL_REACH * step->cutter->diameter;
    double c = cos(step->heading), s = sin(step->heading);

    for (int i = -1; i <= 1; i++) {
        double ahead = i * step->cutter->diameter;
        double at[2] = {step->at[0] - reach * s + ahead * c, step->at[1] + reach * c + ahead * s};
        th_point p = in_copy(part, at);
        if (th_outline_holds(&loads->part, p)) {
            int column = part->copies.a > 1 ? (int)lround((at[0] - p.x) / part->pitch.a) : 0;
            int row = part->copies.b > 1 ? (int)lround((at[1] - p.y) / part->pitch.b) : 0;
            return 1 + column + row * (part->copies.a > 1 ? part->copies.a : 1);
        }
    }
    return 0;
}

/* Whether the walls on both sides of the feed are of two pieces, or will be: one of a part, the
 * other of the stock round it, of an opening, or of another part beyond the kerf. */
static bool walls_part(const th_loads *loads, const th_step *step) {
    return copy_beside(loads, step, 1) != copy_beside(loads, step, -1);
}

/* Whether the step goes on from the one before; where not, what was seen on that path is gone. */
static bool goes_on(th_loads *loads, const th_step *step) {
    double away = hypot(step->at[0] - loads->walked.x, step->at[1] - loads->walked.y);
    bool on = away < 2 * step->across + step->cutter->diameter / 2;

    if (!on) {
        loads->straight = INFINITY;
        loads->began = loads->warm_seconds - loads->paused;
        loads->walls[0].from = loads->walls[1].from = (th_point){NAN, NAN};
        loads->paused = 0;
    }
    loads->since += step->across;
    loads->walked = (th_point){step->at[0], step->at[1]};
    return on;
}

/* A path that goes on where the cutter went straight down has paused meanwhile. */
static void pause_path(th_loads *loads, double seconds) {
    if (loads->since > 0) {
        loads->paused = loads->since = 0;
    }
    loads->paused += seconds;
}

/* Whether the path goes round smoothly here, as along a circle or along chords of one. */
static bool goes_round(th_loads *loads, const th_step *step) {
    bool on = goes_on(loads, step);
    double turn = fabs(remainder(step->heading - loads->headed, 2 * TH_PI));

    loads->headed = step->heading;
    if (!on) {
        return true;
    }
    if (turn >= TH_SHARP) {
        loads->straight = INFINITY;
    } else if (turn > SMOOTH) {
        loads->chord = isfinite(loads->straight) ? loads->straight : 0;
        loads->straight = 0;
    }
    loads->straight += step->across;
    return turn > SMOOTH && turn < TH_SHARP ? true : loads->straight < SAME_CHORD * loads->chord;
}

/* A slot's ends, and the corners of the part that a kerf goes round; in an opening it goes round
 * what the opening's edge is. */
static bool has_corners(const th_loads *loads, const step_heat *heat) {
    if (heat->round != loads->sharp_part) {
        return !heat->round; /* inside and outside agree */
    }
    return loads_encloses(&loads->part, in_copy(&loads->job->part, heat->step->at))
               ? !heat->round
               : loads->sharp_part;
}

/* Of the part's outer edge. */
bool loads_sharp_part(const th_outline *part) {
    for (size_t r = 0; r < part->ring_count; r++) {
        if (!part->rings[r].hole && th_ring_sharp(&part->rings[r])) {
            return true;
        }
    }
    return false;
}

/* Left 0, right 1. */
static seen_wall *wall_at(th_loads *loads, double side) {
    return &loads->walls[side > 0 ? 0 : 1];
}

static bool seen_near(const th_step *step, const seen_wall *wall) {
    return hypot(step->at[0] - wall->from.x, step->at[1] - wall->from.y) <
           NEAR * step->cutter->diameter;
}

/* Where another kerf leads in or out or crosses, or chords leave a cusp, a wall that stood right
 * beside the path a moment ago is still the nearest that heat finds on that side. */
static double as_seen(th_loads *loads, const th_step *step, double side, double height) {
    const seen_wall *wall = wall_at(loads, side);

    return seen_near(step, wall) ? fmax(height, wall->height) : height;
}

static void look_beside(th_loads *loads, const th_step *step, double side, double stands) {
    seen_wall *wall = wall_at(loads, side);
    double height = fmax(height_beside(loads, step, side, 0),
                         height_beyond(loads, step, side, CUSP * step->cutter->diameter, 0));

    if (height >= stands &&
        (!seen_near(step, wall) || height >= wall->height - 0.01 * loads->job->part.thickness)) {
        *wall = (seen_wall){{step->at[0], step->at[1]}, height};
    }
}

/* A wall that stands at `here`: at a corner of the path it may begin only further on. */
static double wall_height(th_loads *loads, const th_step *step, double side, double here) {
    double diameter = step->cutter->diameter;

    return as_seen(loads, step, side,
                   fmax(here, fmax(height_beside(loads, step, side, diameter),
                                   height_beside(loads, step, side, -diameter))));
}

/* The lower of two walls; of a hole's the outer one, as inside little may be left. */
static double stands_beside(th_loads *loads, const step_heat *heat, double left, double right,
                            double least) {
    double lower = INFINITY;

    if (heat->bores) {
        return fmax(fmax(left, right), heat->high);
    }
    lower = left >= least ? wall_height(loads, heat->step, 1, left) : lower;
    lower = right >= least ? fmin(lower, wall_height(loads, heat->step, -1, right)) : lower;
    return isfinite(lower) ? fmax(lower, heat->high) : heat->high;
}

/* Width of the contact. On a ramp the end of the cutter takes the most, and its side a sliver: as
 * wide as what was taken is over its height. */
static double contact_width(const th_step *step) {
    const th_engagement *e = &step->engagement;
    double wide = e->radial;

    if (step->down > 0 && step->across > 0 && e->height > 0) {
        wide = fmax(wide, fmin(step->removed / (step->across * e->height), step->cutter->diameter));
    }
    return wide;
}

static bool round_end(const th_step *step) {
    return step->cutter->kind == TH_BALL || step->cutter->kind == TH_BULL;
}

/* How far left of the feed the middle of a slice's contact lies, in radii. */
static double slice_left(const th_zone *zone) {
    return 0.5 * (cos(zone->arcs[0].entry) + cos(zone->arcs[zone->arc_count - 1].exit));
}

static double slice_width(const th_zone *zone) {
    double wide = 0;

    for (int i = 0; i < zone->arc_count; i++) {
        wide += cos(zone->arcs[i].entry) - cos(zone->arcs[i].exit);
    }
    return wide;
}

/* The slice that tells where the contact ends: the highest. High up in the round of an end there is
 * but a sliver of what the level above has left, now on one side and now on the other; there it is
 * the widest. NULL: none. */
static const th_zone *contact_slice(const th_step *step) {
    const th_engagement *e = &step->engagement;

    if (e->zone_count == 0) {
        return NULL;
    }
    const th_zone *slice = &e->zones[e->zone_count - 1];
    for (int i = e->zone_count - 2; i >= 0 && round_end(step); i--) {
        slice = slice_width(&e->zones[i]) > slice_width(slice) ? &e->zones[i] : slice;
    }
    return slice;
}

/* How far left of the feed the middle of the contact lies; of a round end's, slices count by what
 * they take (mm). */
static double contact_left(const th_step *step) {
    const th_engagement *e = &step->engagement;
    const th_zone *top = contact_slice(step);
    double sum = 0, all = 0;

    if (!top || !(step->across > 0)) {
        return 0;
    }
    for (int i = 0; i < e->zone_count && round_end(step); i++) {
        double area = slice_width(&e->zones[i]) * (e->zones[i].high - e->zones[i].low);
        sum += area * slice_left(&e->zones[i]);
        all += area;
    }
    return step->cutter->diameter / 2 * (all > 0 ? sum / all : slice_left(top));
}

/* In a groove of its own: as wide as the cutter, or midway between two walls where its end is round
 * and not as wide. */
static bool grooves(const th_step *step) {
    double diameter = step->cutter->diameter;

    return contact_width(step) > FULL_WIDTH * diameter ||
           (round_end(step) && fabs(contact_left(step)) < MIDWAY * diameter);
}

/* Where it grooves, and where such a groove turns or crosses another. */
static bool near_groove(th_loads *loads, const th_step *step) {
    if (grooves(step)) {
        loads->full_at = (th_point){step->at[0], step->at[1]};
    }
    return hypot(step->at[0] - loads->full_at.x, step->at[1] - loads->full_at.y) <
           NEAR * step->cutter->diameter;
}

/* Two walls share the heat of a full slot alike, and where it turns or crosses another, and of any
 * cut midway between them; a cut of half the cutter along one has that one (estimate between the
 * two). */
static double wall_share(th_loads *loads, const th_step *step) {
    return near_groove(loads, step)
               ? 0.5
               : 0.5 + fmin(fabs(contact_left(step)) / (step->cutter->diameter / 2), 0.5);
}

/* What stands beside the cut is a wall from here on. High up in its own groove a round end takes
 * but slivers: there it is half of what is taken over its width, so that what another such groove
 * that it turns into or crosses has left of this level stands beside it, as beside a flat end. */
static double least_wall(th_loads *loads, const step_heat *heat) {
    double whole = heat->high - 0.01 * loads->job->part.thickness - 1e-3;

    return round_end(heat->step) && near_groove(loads, heat->step)
               ? fmin(whole, heat->low + heat->takes / 2)
               : whole;
}

/* How far ahead of the axis the contact ends, left or right of the feed, at most. Over an edge of
 * the stock or out of a corner of the path the walls begin there, and not beside the axis (mm). */
static double contact_ahead(const th_loads *loads, const th_step *step, double side) {
    const th_zone *slice = contact_slice(step);
    double cell = th_sweep_map(loads->sweep).cell;

    if (!slice) {
        return 0;
    }
    return step->cutter->diameter / 2 *
               (sin(side > 0 ? slice->arcs[0].entry : slice->arcs[slice->arc_count - 1].exit) +
                ARC_KNOWN) +
           step->across / 2 + 1.5 * cell;
}

/* Height of the stock beside the cut (mm). */
static double wall_beside(const th_loads *loads, const th_step *step, double side) {
    return fmax(height_beside(loads, step, side, 0),
                height_beside(loads, step, side, contact_ahead(loads, step, side)));
}

/* Whether a floor as deep as the cut lies on that side, wider than a kerf that the path came along:
 * a place that is being cleared, in whose corners the contact reaches to either side. */
static bool floor_beside(th_loads *loads, const step_heat *heat, double side) {
    const th_step *step = heat->step;
    double tolerance = 0.01 * loads->job->part.thickness + 1e-3;
    double back = -step->cutter->diameter - 1.5 * th_sweep_map(loads->sweep).cell;

    if (seen_near(step, wall_at(loads, side))) {
        return false;
    }
    for (int i = 0; i < 2; i++) {
        double height = height_beside(loads, step, side, i * back);
        if (!(height > SKIN_JOINS) || height > heat->low + tolerance) {
            return false;
        }
    }
    return true;
}

/* Whether the cutter leads into or out of a kerf on that side, or crosses one: a wall stood there a
 * moment ago, and beyond what is open now, no wider than the cutter, one stands still. */
static bool across_kerf(const th_loads *loads, const step_heat *heat, int side, double stands) {
    const seen_wall *wall = &loads->walls[side > 0 ? 0 : 1];

    return seen_near(heat->step, wall) && wall->height >= stands &&
           height_beyond(loads, heat->step, side, heat->step->cutter->diameter, 0) >= stands;
}

/* Two walls no higher than the cut, in the floor of a place that is closed round. */
static bool clears_on(const th_loads *loads, const step_heat *heat) {
    double tolerance = 0.01 * loads->job->part.thickness + 1e-3;
    const cleared_place *place = &loads->cleared;

    return heat->two_walls && heat->kind == CUT_KERF && heat->low > SKIN_JOINS &&
           heat->stands <= heat->high + tolerance && belongs(place, heat->step, 0) &&
           has_floor(place) && !open_to_sides(loads, place);
}

/* A strip of waste, narrower than the cutter and no higher than the cut, is what the next lane of a
 * wider kerf takes: the wall of that side is the one behind it. */
static double past_strip(const th_loads *loads, const step_heat *heat, double side) {
    const th_step *step = heat->step;
    double tolerance = 0.01 * loads->job->part.thickness + 1e-3;
    double wall = wall_beside(loads, step, side), diameter = step->cutter->diameter;
    double reach = side * (diameter / 2 + 2 * th_sweep_map(loads->sweep).cell);
    double strip[2] = {step->at[0] - reach * sin(step->heading),
                       step->at[1] + reach * cos(step->heading)};

    if (wall < heat->high - tolerance || wall > heat->high + tolerance + fmax(step->down, 0) ||
        loads_in_part(loads, strip)) {
        return wall;
    }
    for (int i = 1; i <= STRIP_LOOKS; i++) {
        double behind = height_beyond(loads, step, side, diameter * i / STRIP_LOOKS, 0);
        if (behind > wall + tolerance) {
            return behind;
        }
    }
    return wall;
}

/* Whether hardly anything stands on that side, and then nothing, as at the rim of a sheet that was
 * sized tight: that is no wall that takes heat. */
static bool thin_rim(const th_loads *loads, const step_heat *heat, double side) {
    double wide = THIN_RIM * heat->step->cutter->diameter;

    return loads->sheet && copy_beside(loads, heat->step, side) == 0 &&
           height_beyond(loads, heat->step, side, wide, 0) <= SKIN_JOINS &&
           height_beyond(loads, heat->step, side, wide, heat->step->cutter->diameter) <=
               SKIN_JOINS &&
           height_beyond(loads, heat->step, side, wide, -heat->step->cutter->diameter) <=
               SKIN_JOINS;
}

/* Whether a wall comes or was on a side that is open here; where the other stands higher, what is
 * no higher than the cut is a strip of it. */
static bool comes_later(th_loads *loads, const step_heat *heat, double side, double here,
                        double other) {
    double tolerance = 0.01 * loads->job->part.thickness + 1e-3;
    double wall = wall_height(loads, heat->step, side, here);

    return wall >= heat->high - tolerance &&
           (wall > heat->high + tolerance + fmax(heat->step->down, 0) || other <= wall + tolerance);
}

static void see_walls(th_loads *loads, step_heat *heat) {
    const th_step *step = heat->step;
    bool rim_left = thin_rim(loads, heat, 1), rim_right = thin_rim(loads, heat, -1);
    double left = rim_left ? 0 : past_strip(loads, heat, 1);
    double right = rim_right ? 0 : past_strip(loads, heat, -1);
    double stands = least_wall(loads, heat);
    bool at_left = left >= stands, at_right = right >= stands;
    bool through = (at_left && right <= SKIN_JOINS) || (at_right && left <= SKIN_JOINS);

    look_beside(loads, step, 1, stands);
    look_beside(loads, step, -1, stands);
    if (through && heat->low <= SKIN_JOINS) { /* at a corner the other wall comes later */
        at_left = at_left || (!rim_left && comes_later(loads, heat, 1, left, right));
        at_right = at_right || (!rim_right && comes_later(loads, heat, -1, right, left));
    }
    if (at_left != at_right && !through) {
        at_left = at_left || (!rim_left && across_kerf(loads, heat, 1, stands));
        at_right = at_right || (!rim_right && across_kerf(loads, heat, -1, stands));
    }
    heat->two_walls = at_left && at_right;
    if (heat->two_walls && contact_width(step) < FULL_WIDTH * step->cutter->diameter) {
        heat->two_walls = !floor_beside(loads, heat, 1) && !floor_beside(loads, heat, -1);
    }
    heat->kind = heat->two_walls || through ? CUT_KERF : CUT_FLOOR;
    if (heat->two_walls && step->cutter->kind == TH_POINT) {
        heat->kind = CUT_FLOOR; /* a groove in the face keeps no heat in */
    }
    heat->stands = heat->kind == CUT_FLOOR
                       ? heat->high
                       : stands_beside(loads, heat, at_left ? fmax(left, stands) : left,
                                       at_right ? fmax(right, stands) : right, stands);
    heat->of_wall = heat->kind == CUT_KERF && heat->two_walls ? wall_share(loads, step) : 1;
    heat->on_floor = clears_on(loads, heat);
}

void loads_see_cut(th_loads *loads, step_heat *heat) {
    const th_step *step = heat->step;
    double thick = loads->job->part.thickness;
    const th_engagement *e = &step->engagement;

    heat->low = fmax(step->at[2], 0);
    heat->high = fmin(fmax(step->at[2] + e->height, heat->low + 1e-3), thick);
    heat->low = fmin(heat->low, heat->high - 1e-3);
    heat->takes = heat->high - heat->low;
    if (round_end(step) && step->across > 0 && e->radial > 0) {
        heat->takes = fmin(heat->takes, step->removed / (step->across * contact_width(step)));
    }
    heat->of_wall = heat->of_body = 1;
    heat->bores = !(step->across > 0);
    if (heat->bores) {
        heat->kind = CUT_SPOT;
        heat->stands = thick;
        pause_path(loads, step->seconds);
        return;
    }
    loads_trail_walk(loads, step);
    heat->round = goes_round(loads, step);
    heat->bores =
        step->down > step->across ||
        (heat->round &&
         (step->down > 0 || belongs(&loads->spot, step, ROUND_AGAIN * step->cutter->diameter)));
    see_walls(loads, heat);
    heat->sharp = heat->kind == CUT_KERF && has_corners(loads, heat);
    /* Only where the other wall is of another piece does its heat go elsewhere. */
    if (heat->of_wall < 1 && loads->body < 0.999 * th_outline_section(&loads->stock).area &&
        !loads_in_part(loads, step->at) && walls_part(loads, step)) {
        heat->of_body = heat->of_wall;
    }
}

/* ---- what is kept
 * ---------------------------------------------------------------------------------- */

static unsigned long long mixed(unsigned long long key, double value) {
    unsigned long long bits;
    double rounded = value > 0 ? rint(log(value) / FINENESS) : -1e9;

    memcpy(&bits, &rounded, sizeof bits);
    key = (key ^ bits) * 1099511628211ULL;
    return key ^ key >> 31;
}

static bool room_for_rises(th_loads *loads, th_error *err) {
    if (!loads->rises && !(loads->rises = calloc(RISES, sizeof *loads->rises))) {
        return th_fail_memory(err);
    }
    if (loads->rises_used >= RISES_USED) {
        memset(loads->rises, 0, RISES * sizeof *loads->rises);
        loads->rises_used = 0;
    }
    return true;
}

/* ---- a pass
 * ---------------------------------------------------------------------------------------- */

static double patch_of(const th_loads *loads, double contact) {
    return loads_plastic(loads) ? fmax(contact, loads->decay) : contact;
}

static double contact_of(const step_heat *heat) {
    double diameter = heat->step->cutter->diameter, wide = contact_width(heat->step);

    wide = wide > 0 ? wide : diameter;
    return heat->of_wall == 0.5 ? fmax(wide, FULL_WIDTH * diameter) : wide;
}

/* A ramp is hardly ever long enough to be as warm as one without end, above all a steep one, which
 * is slow in plan. The next larger of few ages, as these are kept. */
static double on_for(const th_loads *loads, const th_step *step) {
    double age = loads->warm_seconds - loads->began;

    return step->down > 0 && age > 0 ? exp(ceil(log(age) / AGES) * AGES) : INFINITY;
}

/* Of one W on one wall. */
static th_heat_source source_of(const th_loads *loads, const step_heat *heat) {
    const th_step *step = heat->step;

    return (th_heat_source){.stock = loads->job->part.stock,
                            .thickness = heat->stands,
                            .loss = loads->conductance,
                            .power = heat->of_wall,
                            .feed = step->feed * step->across / step->length,
                            .seconds = on_for(loads, step),
                            .patch = patch_of(loads, contact_of(heat)),
                            .strip = INFINITY};
}

/* The part's own sides, or the stock's where the cutter is beside it: how far from the cutter. */
static void distances(const th_loads *loads, const th_step *step, double away[4]) {
    const th_part *part = &loads->job->part;
    double left = contact_left(step);
    double at[2] = {step->at[0] - left * sin(step->heading),
                    step->at[1] + left * cos(step->heading)};
    th_point p = in_copy(part, at);
    bool in = p.x >= 0 && p.y >= 0 && p.x <= part->length && p.y <= part->width;
    double box[4] = {0, 0, part->length, part->width};
    bool frame = !in && loads->sheet;

    away[0] = fmax(frame ? at[0] - loads->bounds[0] : p.x - box[0], 0);
    away[1] = fmax(frame ? loads->bounds[2] - at[0] : box[2] - p.x, 0);
    away[2] = fmax(frame ? at[1] - loads->bounds[1] : p.y - box[1], 0);
    away[3] = fmax(frame ? loads->bounds[3] - at[1] : box[3] - p.y, 0);
}

/* Edges of the piece that the contact reaches. */
static int edges_near(const double away[4], double half) {
    return (fmin(away[0], away[1]) < half) + (fmin(away[2], away[3]) < half);
}

/* What sides further off throw back: sources mirrored at them and at their corners; no more than
 * can have got there since it began (E1 of the instantaneous source; E1(x) < exp(-x) ln(1 + 1/x),
 * Abramowitz and Stegun 5.1.20) (K). */
static double thrown_back(const th_heat_source *source, const double away[4]) {
    double wide[3] = {0, 2 * away[0], 2 * away[1]}, deep[3] = {0, 2 * away[2], 2 * away[3]};
    double k = source->stock->conductivity * 1e-3, sum = 0;
    double a = k / (source->stock->density * source->stock->heat_capacity * 1e-9);

    for (int i = 1; i < 9; i++) {
        double far = fmax(hypot(wide[i % 3], deep[i / 3]), source->patch / 2);
        double steady = th_line_source(source, 0, far);
        if (isfinite(source->seconds)) {
            double x = far * far / (4 * a * source->seconds);
            steady = fmin(steady, source->power / (4 * TH_PI * k * source->thickness) * exp(-x) *
                                      log1p(1 / x));
        }
        sum += steady;
    }
    return sum;
}

/* A corner counts where heat spreads far enough to see both of its edges. */
static int edges_seen(th_heat_source source, const step_heat *heat, int edges) {
    source.power = 0; /* its reach alone */
    return edges == 2 && !(th_local_heat(&source).reach > contact_of(heat) / 2) ? 1 : edges;
}

/* A kerf is an edge, at its corners two. */
static double pass_rise(th_heat_source *source, const step_heat *heat, int edges) {
    int walls;

    source->edges = edges_seen(*source, heat, edges);
    walls = heat->kind == CUT_KERF && source->edges == 2 ? 4 : 2;
    return fmin(th_local_at_bond(source, heat->low, heat->high),
                walls * th_local_under_floor(source, heat->low));
}

/* The rise of a pass per watt that goes in, without what further sides throw back. */
static bool find_rise(th_loads *loads, const step_heat *heat, int edges, double *rise,
                      th_error *err) {
    const th_step *step = heat->step;
    th_heat_source source = source_of(loads, heat);
    unsigned long long key = mixed(step->engagement.key, source.feed);
    size_t at;

    if (!room_for_rises(loads, err)) {
        return false;
    }
    key = mixed(mixed(mixed(key, heat->stands), heat->low), heat->high);
    key = mixed(mixed(key, step->cutter->diameter), heat->of_wall);
    key = mixed(key, isfinite(source.seconds) ? source.seconds : 0);
    key = mixed(key, 1 + edges + 4 * (heat->kind == CUT_KERF));
    key = key ? key : 1;
    at = (size_t)(key % RISES);
    while (loads->rises[at].key && loads->rises[at].key != key) {
        at = (at + 1) % RISES;
    }
    if (!loads->rises[at].key) {
        loads->rises[at] = (kept_rise){key, pass_rise(&source, heat, edges)};
        loads->rises_used++;
    }
    *rise = loads->rises[at].rise;
    return true;
}

/* ---- places that are cleared
 * ----------------------------------------------------------------------- */

static void add_to_place(cleared_place *place, const step_heat *heat, bool floor, double reach) {
    const th_step *step = heat->step;
    double radius = step->cutter->diameter / 2;

    if (!belongs(place, step, reach)) {
        *place = (cleared_place){.box = {INFINITY, INFINITY, -INFINITY, -INFINITY},
                                 .swept = 4 * radius * radius};
    }
    for (int i = 0; i < 2; i++) {
        place->box[i] = fmin(place->box[i], step->at[i] - radius);
        place->box[i + 2] = fmax(place->box[i + 2], step->at[i] + radius);
    }
    place->swept += step->across * step->engagement.radial;
    place->floored += floor ? step->across * step->engagement.radial : 0;
    place->seconds += step->seconds;
    place->joule += heat->into * step->seconds;
}

/* What its passes bring side by side, as one source that stands (K); `least` side of the patch. */
static double place_rise(const th_loads *loads, cleared_place *place, double stands, double least) {
    double side = sqrt((place->box[2] - place->box[0]) * (place->box[3] - place->box[1]));
    double now[3] = {fmax(side, least), stands, place->seconds};
    bool again = !(place->rise > 0);

    for (int i = 0; i < 3; i++) {
        again = again || now[i] > place->kept_for[i] * CLEARED_AGAIN ||
                now[i] * CLEARED_AGAIN < place->kept_for[i];
    }
    if (again) {
        th_heat_source source = {.stock = loads->job->part.stock,
                                 .thickness = stands,
                                 .loss = loads->conductance,
                                 .power = 1,
                                 .seconds = place->seconds,
                                 .patch = now[0],
                                 .strip = INFINITY};
        memcpy(place->kept_for, now, sizeof now);
        place->rise = th_local_heat(&source).mean;
    }
    return place->joule / place->seconds * place->rise;
}

static double floor_rise(const th_loads *loads, cleared_place *place, const step_heat *heat) {
    return !has_floor(place) || open_to_sides(loads, place)
               ? 0
               : place_rise(loads, place, heat->high, patch_of(loads, 0));
}

/* What visits before this one have left: each an instantaneous line source in the whole thickness,
 * taken to have come when it ended, and mirrored at the sides (Carslaw and Jaeger 1959, 10.3) (K).
 */
static double visits_left(const th_loads *loads, const double away[4]) {
    const spot_visits *visits = &loads->visits;
    const th_stock *stock = loads->job->part.stock;
    double wide[3] = {0, 2 * away[0], 2 * away[1]}, deep[3] = {0, 2 * away[2], 2 * away[3]};
    double k = stock->conductivity * 1e-3, sum = 0;
    double a = k / (stock->density * stock->heat_capacity * 1e-9);

    for (int v = 0; v < visits->count; v++) {
        double age = fmax(loads->warm_seconds - visits->ended[v], 1e-6), seen = 0;
        for (int i = 0; i < 9; i++) {
            double far = hypot(wide[i % 3], deep[i / 3]);
            seen += exp(-far * far / (4 * a * age));
        }
        sum += visits->joule[v] * seen / (4 * TH_PI * k * loads->job->part.thickness * age);
    }
    return sum;
}

/* What a place of no floor has brought since it began, and its sides throw back (K). */
static double place_in_plate(const th_loads *loads, cleared_place *place, const double away[4]) {
    double thick = loads->job->part.thickness;
    double rise = place_rise(loads, place, thick, loads->decay);
    th_heat_source source = {.stock = loads->job->part.stock,
                             .thickness = thick,
                             .loss = loads->conductance,
                             .power = place->joule / place->seconds,
                             .seconds = place->seconds,
                             .patch = place->kept_for[0],
                             .strip = INFINITY};

    return rise + thrown_back(&source, away);
}

/* The heat of a spot so small that the bond shares its load over more than it. Two bounds: as if
 * all visits had followed on each other, and what is left of those before on top of this one. */
static double spot_rise(th_loads *loads, const step_heat *heat) {
    double away[4], as_one;

    distances(loads, heat->step, away);
    as_one = place_in_plate(loads, &loads->spot, away);
    return loads->visits.count == 0 ? as_one
                                    : fmin(as_one, place_in_plate(loads, &loads->visit, away) +
                                                       visits_left(loads, away));
}

/* The two oldest become one that is as young as the younger: no cooler than they are. */
static void end_visit(th_loads *loads) {
    spot_visits *visits = &loads->visits;

    if (visits->count == SPOT_VISITS) {
        visits->joule[1] += visits->joule[0];
        visits->count--;
        memmove(visits->joule, visits->joule + 1, SPOT_VISITS * sizeof(double) - sizeof(double));
        memmove(visits->ended, visits->ended + 1, SPOT_VISITS * sizeof(double) - sizeof(double));
    }
    visits->joule[visits->count] = loads->visit.joule;
    visits->ended[visits->count++] = loads->visit_ended;
    loads->visit.seconds = 0;
}

/* A spot that it goes back to, after longer than it was there, has cooled in between. */
static void add_to_spot(th_loads *loads, const step_heat *heat) {
    double diameter = heat->step->cutter->diameter;
    double reach = heat->kind == CUT_SPOT ? 0.1 * diameter : diameter;
    double began = loads->warm_seconds - heat->step->seconds;

    if (!belongs(&loads->spot, heat->step, reach)) {
        loads->visit.seconds = 0;
        loads->visits.count = 0;
    } else if (began - loads->visit_ended > loads->visit.seconds) {
        end_visit(loads);
    }
    add_to_place(&loads->spot, heat, true, reach);
    add_to_place(&loads->visit, heat, true, INFINITY);
    /* a hole has a floor from its first step on */
    loads->spot.floored = loads->visit.floored = INFINITY;
    loads->visit_ended = loads->warm_seconds;
}

/* ---- a step
 * ---------------------------------------------------------------------------------------- */

/* Leaves nothing in its middle. */
static bool narrow(const cleared_place *place, double diameter) {
    return fmax(place->box[2] - place->box[0], place->box[3] - place->box[1]) <
           BORED_WHOLE * diameter;
}

static bool floor_local(th_loads *loads, const step_heat *heat, double *rise, th_error *err) {
    th_heat_source source = source_of(loads, heat);
    double away[4], unit;
    int edges;

    distances(loads, heat->step, away);
    edges = edges_near(away, source.patch / 2);
    if (!find_rise(loads, heat, edges, &unit, err)) {
        return false;
    }
    if (edges == 0) {
        unit += thrown_back(&source, away);
        unit = fmin(unit, 2 * th_local_under_floor(&source, heat->low));
    }
    *rise = heat->into * unit;
    return true;
}

/* What earlier passes left spreads in the whole thickness by now. */
static bool kerf_local(th_loads *loads, const step_heat *heat, double *rise, th_error *err) {
    th_heat_source source = source_of(loads, heat);

    if (!find_rise(loads, heat, heat->sharp ? 2 : 1, rise, err)) {
        return false;
    }
    source.thickness = loads->job->part.thickness;
    source.edges = edges_seen(source, heat, heat->sharp ? 2 : 1);
    loads->left_there = loads_trail(loads, heat, &source);
    *rise = heat->into * *rise + loads->left_there;
    if (heat->bores) {
        *rise = fmax(*rise, spot_rise(loads, heat));
    }
    return true;
}

/* A full cut in a floor: one of those that clear the place, or else a slot of its own, which the
 * job's model lets spread in the whole thickness. */
static bool on_floor_local(th_loads *loads, const step_heat *heat, double *rise, th_error *err) {
    step_heat floor = *heat, kerf = *heat;
    double clearing;

    floor.kind = CUT_FLOOR;
    floor.stands = heat->high;
    floor.of_wall = 1;
    kerf.stands = loads->job->part.thickness;
    if (!floor_local(loads, &floor, &clearing, err) || !kerf_local(loads, &kerf, rise, err)) {
        return false;
    }
    *rise = heat->of_wall == 0.5 ? *rise : 0; /* not by both walls: along the edge of the floor */
    *rise = fmax(*rise, clearing + floor_rise(loads, &loads->cleared, &floor));
    return true;
}

/* What passes before have left where the cutter goes straight down, in the whole thickness: it
 * hardly goes by how fast the source is taken to have moved, and slower is warmer. */
static double found_there(th_loads *loads, const step_heat *heat) {
    th_heat_source source = source_of(loads, heat);

    if (heat->step->across > 0) {
        return 0;
    }
    source.feed = 60 * heat->step->cutter->diameter;
    source.thickness = loads->job->part.thickness;
    source.edges = edges_seen(source, heat, heat->sharp ? 2 : 1);
    return loads_trail(loads, heat, &source);
}

bool loads_local(th_loads *loads, const step_heat *heat, double *rise, th_error *err) {
    double reach = heat->step->cutter->diameter;

    *rise = loads->left_there = 0;
    if (!(heat->into > 0)) {
        return true;
    }
    if (heat->kind == CUT_SPOT && !narrow(&loads->spot, reach)) {
        loads->spot.seconds = 0; /* straight down beside what was bored before: a spot of its own */
    }
    if (heat->bores) {
        add_to_spot(loads, heat);
    }
    if (heat->bores &&
        narrow(&loads->spot, reach)) { /* it stands where it drills, while it drills */
        loads->left_there = found_there(loads, heat);
        *rise = spot_rise(loads, heat) + loads->left_there;
        return true;
    }
    add_to_place(&loads->cleared, heat, heat->kind == CUT_FLOOR, reach);
    if (heat->kind == CUT_FLOOR) {
        if (!floor_local(loads, heat, rise, err)) {
            return false;
        }
        *rise += floor_rise(loads, &loads->cleared, heat);
        return true;
    }
    return heat->on_floor ? on_floor_local(loads, heat, rise, err)
                          : kerf_local(loads, heat, rise, err);
}

/* How far a place is beyond the box of the copy of the part that is nearest (mm); 0: in it. */
static double beyond_parts(const th_loads *loads, const double at[2]) {
    const th_part *part = &loads->job->part;
    th_point by = th_copy_offset(loads->job, loads_copy_near(part, at) + 1);
    double x = at[0] - by.x, y = at[1] - by.y;

    return hypot(fmax(fmax(-x, x - part->length), 0), fmax(fmax(-y, y - part->width), 0));
}

/* All that goes in now, where the cutter is nearest, from a source that comes from there and is
 * thrown back by both edges at a corner of the sheet; and no more of what was left than is there.
 */
double loads_local_in_part(const th_loads *loads, const step_heat *heat, double rise) {
    double away = beyond_parts(loads, heat->step->at) - heat->step->cutter->diameter / 2;
    th_heat_source source = source_of(loads, heat);

    if (!(away > 0) || !loads->sheet) {
        return rise;
    }
    source.thickness = loads->left > 0 ? loads->left : loads->job->part.thickness;
    source.power = CORNER * heat->into;
    return fmin(rise, th_line_source(&source, -away, 0) + loads->left_there);
}
