/* job_places.c - where cuts and openings lie. */
#include "job.h"

#include <math.h>
#include <string.h>

enum { PLACES_MAX = 10000 };

bool th_inside(const th_job *job, th_point place, double half_x, double half_y) {
    double slack = 1e-6;
    return place.x - half_x >= -slack && place.x + half_x <= job->part.length + slack &&
           place.y - half_y >= -slack && place.y + half_y <= job->part.width + slack;
}

static size_t add_circle(const th_count_length *circle, th_point centre, th_point *places) {
    int count = circle ? circle->count : 0;

    if (count == 0) {
        places[0] = centre;
        return 1;
    }
    for (int i = 0; i < count; i++) {
        double angle = 2 * TH_PI * i / count;
        places[i] = (th_point){centre.x + circle->length / 2 * cos(angle),
                               centre.y + circle->length / 2 * sin(angle)};
    }
    return (size_t)count;
}

static bool check_grid(th_builder *builder, const th_laying *laying) {
    if (!laying->grid->a && !isnan(laying->pitch->a)) {
        return th_builder_fail(builder, laying->section, "pitch", TH_MISSING,
                               "a pitch needs its grid, e.g. grid = 3 x 2");
    }
    if (laying->grid->a * laying->grid->b > 1 && isnan(laying->pitch->a)) {
        return th_builder_fail(builder, laying->section, "grid", TH_MISSING,
                               "a grid needs its pitch, e.g. pitch = 24 mm x 19 mm");
    }
    return true;
}

/* Places laid out so far: a few lines could ask for millions, each to be judged against all. */
static size_t places_so_far(const th_job *job) {
    size_t count = 0;

    for (size_t i = 0; i < job->opening_count; i++) {
        count += job->openings[i].at.count;
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        count += job->cuts[i].at.count;
    }
    return count;
}

bool th_places_lay(th_builder *builder, const th_laying *laying) {
    size_t columns = laying->grid->a ? (size_t)laying->grid->a : 1;
    size_t rows = laying->grid->b ? (size_t)laying->grid->b : 1;
    size_t ring = laying->circle && laying->circle->count ? (size_t)laying->circle->count : 1;
    double wanted = (double)laying->at->count * (double)columns * (double)rows * (double)ring;
    th_points places = {NULL, 0};

    if (!check_grid(builder, laying)) {
        return false;
    }
    if (wanted > PLACES_MAX - (double)places_so_far(builder->job)) {
        return th_builder_fail(builder, laying->section, "at", TH_BAD_RANGE,
                               "more than 10,000 places in the whole job");
    }
    places.items = th_arena_take(&builder->job->arena, ((size_t)wanted + 1) * sizeof *places.items);
    if (!places.items) {
        return th_fail_memory(builder->err);
    }
    for (size_t i = 0; i < laying->at->count * columns * rows; i++) {
        th_point place = laying->at->items[i / (columns * rows)];
        size_t step = i % (columns * rows), row = step / columns;
        place.x += columns > 1 ? (double)(step % columns) * laying->pitch->a : 0;
        place.y += rows > 1 ? (double)row * laying->pitch->b : 0;
        places.count += add_circle(laying->circle, place, places.items + places.count);
    }
    *laying->at = places;
    return true;
}

bool th_places_check(th_builder *builder, const char *section, const th_points *at, double half_x,
                     double half_y) {
    const th_part *part = &builder->job->part;

    for (size_t i = 0; i < at->count; i++) {
        if (!th_inside(builder->job, at->items[i], half_x, half_y)) {
            return th_builder_fail(builder, section, "at", TH_CONTRADICTION,
                                   "the place %s, %s reaches beyond the part of %s x %s",
                                   th_builder_length(builder, at->items[i].x).text,
                                   th_builder_length(builder, at->items[i].y).text,
                                   th_builder_length(builder, part->length).text,
                                   th_builder_length(builder, part->width).text);
        }
    }
    return true;
}

/* ---- of cuts --------------------------------------------------------------------------------- */

static bool check_size(th_builder *builder, th_cut *cut) {
    double diameter = cut->cutter->row.diameter;

    if (cut->operation == TH_HOLE && !cut->size.single) {
        return th_builder_fail(builder, cut->section, "size", TH_BAD_VALUE,
                               "a hole is round: give its diameter, e.g. size = 8 mm");
    }
    if (cut->operation == TH_HOLE && cut->size.a < diameter * (1 + 1e-6)) {
        return th_builder_fail(
            builder, cut->section, "size", TH_CONTRADICTION,
            "a bored hole must be wider than its cutter; take a smaller cutter or drill");
    }
    if (cut->operation == TH_POCKET && fmin(cut->size.a, cut->size.b) < diameter * (1 - 1e-9)) {
        return th_builder_fail(builder, cut->section, "size", TH_CONTRADICTION,
                               "the pocket is narrower than its cutter of %s; take a smaller one",
                               th_builder_length(builder, diameter).text);
    }
    return true;
}

static bool set_slot_ends(th_builder *builder, th_cut *cut) {
    const th_part *part = &builder->job->part;
    double reach = cut->cutter->row.diameter;
    th_point *ends[] = {&cut->from, &cut->to};
    const char *const keys[] = {"from", "to"};

    for (int i = 0; i < 2; i++) {
        if (isnan(ends[i]->x)) {
            *ends[i] = (th_point){i ? part->length : 0, part->width / 2};
            if (!TH_DEFAULT(builder, "%s.%s = middle of the %s edge", cut->section, keys[i],
                            i ? "right" : "left")) {
                return false;
            }
        }
        if (!th_inside(builder->job, *ends[i], -reach, -reach)) {
            return th_builder_fail(builder, cut->section, keys[i], TH_CONTRADICTION,
                                   "lies more than a cutter's diameter off the part");
        }
    }
    if (hypot(cut->to.x - cut->from.x, cut->to.y - cut->from.y) < 1e-6) {
        return th_builder_fail(builder, cut->section, "to", TH_CONTRADICTION,
                               "the slot starts and ends at the same place");
    }
    return true;
}

/* The places furthest out, as far as the job itself says the shape; `corners` has room for 4. */
static th_points extreme_places(const th_part *part, th_point corners[4]) {
    double x = part->length, y = part->width;
    double in = part->corner_radius * (1 - sqrt(0.5)); /* a round corner's middle, from the sharp */
    const th_point rectangle[4] = {{in, in}, {x - in, in}, {x - in, y - in}, {in, y - in}};
    const th_point disc[4] = {{x / 2, 0}, {x, y / 2}, {x / 2, y}, {0, y / 2}};

    if (part->shape == TH_POLYGON) {
        return part->points;
    }
    memcpy(corners, part->shape == TH_ROUND ? disc : rectangle, sizeof rectangle);
    return (th_points){corners, 4};
}

/* Nobody said where: the corners are the worst places. */
static bool engrave_corners(th_builder *builder, th_cut *cut) {
    const th_part *part = &builder->job->part;
    th_point corners[4];
    th_points places = extreme_places(part, corners);

    cut->at.items = th_arena_take(&builder->job->arena, places.count * sizeof *places.items);
    if (!cut->at.items) {
        return th_fail_memory(builder->err);
    }
    for (size_t i = 0; i < places.count; i++) { /* a polygon may stray a little from its box */
        cut->at.items[i] = (th_point){fmin(fmax(places.items[i].x, 0), part->length),
                                      fmin(fmax(places.items[i].y, 0), part->width)};
    }
    cut->at.count = places.count;
    return TH_DEFAULT(builder, "%s.at = the %s of the part", cut->section,
                      part->shape == TH_ROUND ? "edge" : "corners");
}

bool th_cut_places(th_builder *builder, th_cut *cut) {
    bool sized = cut->operation == TH_POCKET || cut->operation == TH_HOLE;
    const th_laying laying = {cut->section, &cut->at, &cut->grid, &cut->pitch, &cut->circle};

    if (cut->operation == TH_SLOT) {
        return set_slot_ends(builder, cut);
    }
    if (cut->operation == TH_ENGRAVE && cut->at.count == 0 && !engrave_corners(builder, cut)) {
        return false;
    }
    if (cut->at.count == 0) {
        return true;
    }
    return check_size(builder, cut) && th_places_lay(builder, &laying) &&
           th_places_check(builder, cut->section, &cut->at, sized ? cut->size.a / 2 : 0,
                           sized ? cut->size.b / 2 : 0);
}
