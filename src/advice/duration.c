/* duration.c - passes, path and minutes of an operation. */
#include "judge.h"

#include <math.h>
#include <string.h>

const th_entry *th_entry_of(const th_job *job, const char *section, const char *key) {
    for (size_t i = 0; i < job->entry_count; i++) {
        if (strcmp(job->entries[i].section, section) == 0 &&
            (!key || strcmp(job->entries[i].key, key) == 0)) {
            return &job->entries[i];
        }
    }
    return NULL;
}

static double steps(double whole, double step) {
    return fmax(1, ceil(whole / step - 1e-9));
}

static double pocket_wall(const th_cut *cut) {
    double diameter = cut->cutter->row.diameter;
    double a = cut->size.a - diameter, b = cut->size.b - diameter;
    return cut->size.single ? TH_PI * a : 2 * (a + b);
}

/* Length of one level of a pocket: strips of the stepover, at least once along the wall. */
static double pocket_path(const th_cut *cut) {
    double diameter = cut->cutter->row.diameter;
    double a = cut->size.a - diameter, b = cut->size.b - diameter;
    double wall = pocket_wall(cut);
    double inner = cut->size.single ? TH_PI * a * a / 4 / cut->radial
                                    : a * (steps(fmax(b, 1e-9), cut->radial) + 1);

    return fmax(inner, wall);
}

static double rounds(const th_job *job, double distance) {
    return 2 * (job->part.length + job->part.width + 4 * distance);
}

th_duration th_duration_of(const th_job *job, const th_cut *cut) {
    double diameter = cut->cutter ? cut->cutter->row.diameter : 0;
    double places = (double)cut->at.count;
    double path = 0, last = 0; /* one pass at feed; the freeing pass at last_feed (mm) */
    double above;              /* metal over what the freeing pass takes (mm) */
    double levels = 1, rows = 1;
    th_duration duration = {0, 0, 0};

    switch (cut->operation) {
    case TH_SLOT:
        levels = steps(cut->depth, cut->axial);
        path = hypot(cut->to.x - cut->from.x, cut->to.y - cut->from.y);
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
        path = pocket_path(cut) * places;
        last = isnan(cut->finish) ? 0 : pocket_wall(cut) * places;
        break;
    case TH_OUTLINE:
        above = fmin(cut->depth, job->part.thickness) - cut->last_axial;
        levels = above > 1e-9 ? steps(above, cut->axial) : 0;
        path = rounds(job, diameter / 2);
        last = path * (isnan(cut->finish) ? 1 : 2);
        break;
    case TH_HOLE:
        levels = steps(cut->depth, cut->axial) + 1;
        path = TH_PI * (cut->size.a - diameter) * places;
        break;
    case TH_DRILLED:
        path = cut->depth * places;
        break;
    case TH_ENGRAVE:
        path = cut->length;
        break;
    case TH_CHAMFERING:
        path = rounds(job, 0);
        break;
    default:
        return duration;
    }
    duration.passes = levels * rows + (last > 0);
    duration.cutting = path * levels * rows / cut->feed + last / fmax(cut->last_feed, 1e-9);
    duration.minutes = duration.cutting;
    if (!isnan(cut->rest)) {
        duration.minutes += cut->rest / 60 * (duration.passes - 1);
    }
    return duration;
}
