/* duration.c - passes, path and minutes of an operation. */
#include "helix.h"

#include <math.h>

static double steps(double whole, double step) {
    return fmax(1, ceil(whole / step - 1e-9));
}

static double pocket_wall(const th_cut *cut, double diameter) {
    double a = cut->size.a - diameter, b = cut->size.b - diameter;
    return cut->size.single ? TH_PI * a : 2 * (a + b);
}

/* Length of one level of a pocket: strips of the stepover, at least once along the wall. */
static double pocket_path(const th_cut *cut, double diameter) {
    double a = cut->size.a - diameter, b = cut->size.b - diameter;
    double wall = pocket_wall(cut, diameter);
    double inner = cut->size.single ? TH_PI * a * a / 4 / cut->radial
                                    : a * (steps(fmax(b, 1e-9), cut->radial) + 1);

    return fmax(inner, wall);
}

/* Whether a cut before this one has bored the opening whole. */
static bool bored_before(const th_job *job, const th_cut *cut, const th_ring *ring) {
    th_point middle = th_opening_middle(ring);
    double round = th_ring_length(ring) - 2 * TH_PI * TH_SHAPE_MATCH;

    for (size_t n = 0; n < job->cut_count && job->cuts[n].number != cut->number; n++) {
        const th_cut *c = &job->cuts[n];
        double bore = c->operation == TH_HOLE      ? c->size.a
                      : c->operation == TH_DRILLED ? c->cutter->row.diameter
                                                   : 0;
        for (size_t i = 0; c->through && TH_PI * bore >= round && i < c->at.count; i++) {
            if (hypot(c->at.items[i].x - middle.x, c->at.items[i].y - middle.y) <= TH_SHAPE_MATCH) {
                return true;
            }
        }
    }
    return false;
}

/* Once round every copy at a distance, with square corners, and inside its openings. */
static double rounds(const th_ground *ground, const th_cut *cut, double distance, bool openings) {
    double sum = 0;

    for (size_t i = 0; i < ground->part->ring_count; i++) {
        const th_ring *ring = &ground->part->rings[i];
        if (!ring->hole) {
            sum += th_ring_length(ring) + 8 * distance;
        } else if (openings && !bored_before(ground->job, cut, ring)) {
            sum += fmax(th_ring_length(ring) - 2 * TH_PI * distance, 0);
        }
    }
    return sum * ground->copies;
}

/* Minutes in which the drill is out of its holes for the chips. The machine's fastest feed stands
 * for its rapid, which no row gives. */
static double pecking_away(const th_job *job, const th_cut *cut, double places) {
    th_pecking pecking = {cut->depth, cut->peck, cut->feed, job->machine.feed_max};

    return cut->operation == TH_DRILLED ? places * th_peck_away(&pecking) : 0;
}

/* Where there is too little room to go down on the way, the ramp comes first. */
static double pocket_level(const th_job *job, const th_cut *cut, double diameter) {
    double path = pocket_path(cut, diameter), ramp = th_ramp_length(job, cut);

    return ramp > path ? path + ramp : path;
}

/* Every turn goes down but the last, which levels the ground: one turn with another. */
static double hole_level(const th_job *job, const th_cut *cut, double diameter, double levels) {
    double turn = TH_PI * (cut->size.a - diameter);

    return (fmax(turn, th_ramp_length(job, cut)) * (levels - 1) + turn) / levels;
}

th_duration th_duration_of(const th_ground *ground, const th_cut *cut) {
    const th_job *job = ground->job;
    double diameter = cut->cutter ? cut->cutter->row.diameter : 0;
    double places = (double)cut->at.count * ground->copies;
    double path = 0, last = 0; /* one pass at feed; the freeing pass at last_feed (mm) */
    double above;              /* metal over what the freeing pass takes (mm) */
    double levels = 1, rows = 1;
    th_duration duration = {0, 0, 0};

    switch (cut->operation) {
    case TH_SLOT:
        levels = steps(cut->depth, cut->axial);
        path = hypot(cut->to.x - cut->from.x, cut->to.y - cut->from.y) * ground->copies;
        break;
    case TH_FACING:
        levels = steps(cut->depth, cut->axial);
        rows = steps(isnan(job->part.sheet_width) ? job->part.width : job->part.sheet_width,
                     cut->radial);
        path =
            (isnan(job->part.sheet_length) ? job->part.length : job->part.sheet_length) + diameter;
        break;
    case TH_POCKET:
        levels = steps(cut->depth, cut->axial);
        path = pocket_level(job, cut, diameter) * places;
        last = isnan(cut->finish) ? 0 : pocket_wall(cut, diameter) * places;
        break;
    case TH_OUTLINE:
        above = fmin(cut->depth, job->part.thickness) - cut->last_axial;
        levels = above > 1e-9 ? steps(above, cut->axial) : 0;
        path = rounds(ground, cut, diameter / 2, ground->sheet);
        last = path * (isnan(cut->finish) ? 1 : 2);
        break;
    case TH_HOLE:
        levels = steps(cut->depth, cut->axial) + 1;
        path = hole_level(job, cut, diameter, levels) * places;
        break;
    case TH_DRILLED:
        path = cut->depth * places;
        break;
    case TH_ENGRAVE:
        path = cut->length * ground->copies;
        break;
    case TH_CHAMFERING:
        path = rounds(ground, cut, 0, false);
        break;
    default:
        return duration;
    }
    duration.passes = levels * rows + (last > 0);
    duration.cutting = path * levels * rows / cut->feed + last / fmax(cut->last_feed, 1e-9);
    duration.minutes = duration.cutting + pecking_away(job, cut, places);
    if (!isnan(cut->rest)) {
        duration.minutes += cut->rest / 60 * (duration.passes - 1);
    }
    return duration;
}
