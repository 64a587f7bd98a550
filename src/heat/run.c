/* run.c - a list of phases as a curve of temperature over time. */
#include "tackhold/heat.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

static bool sound(const th_heat_phase *phases, size_t count, double *total, th_error *err) {
    *total = 0;
    for (size_t i = 0; i < count; i++) {
        const th_heat_phase *p = &phases[i];

        if (!(isfinite(p->power) && p->power >= 0 && isfinite(p->seconds) && p->seconds >= 0)) {
            return th_fail(err, TH_BAD_RANGE, "phase %zu: %g W for %g s; both must be 0 or above",
                           i + 1, p->power, p->seconds);
        }
        *total += p->seconds;
    }
    return true;
}

/* Its share of the detail, one at least. The shares add up to no more than detail and count. */
static size_t pieces_of(const th_heat_phase *phase, double total, size_t detail) {
    double share = total > 0 ? floor((double)detail * (phase->seconds / total)) : 0;

    return 1 + (size_t)share;
}

static void add_point(th_heat_curve *curve, double seconds, th_lump_state state) {
    curve->points[curve->count].seconds = seconds;
    curve->points[curve->count].state = state;
    curve->count++;
}

bool th_heat_run(const th_lumps *lumps, const th_heat_course *course, th_heat_curve *curve,
                 th_error *err) {
    const th_heat_phase *phases = course->phases;
    size_t count = course->count, room = 0;
    th_lump_state start = course->start;
    double total, clock = 0;

    curve->points = NULL;
    curve->count = 0;
    curve->largest = start;
    if (!sound(phases, count, &total, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        room += pieces_of(&phases[i], total, course->detail);
    }
    if (room >= SIZE_MAX / sizeof *curve->points - 1 ||
        (curve->points = malloc((room + 1) * sizeof *curve->points)) == NULL) {
        return th_fail_memory(err);
    }
    add_point(curve, 0, start);
    for (size_t i = 0; i < count; i++) {
        size_t pieces = pieces_of(&phases[i], total, course->detail);
        th_lump_state end = start, high = start;

        for (size_t j = 1; j <= pieces; j++) {
            double t = phases[i].seconds * ((double)j / (double)pieces);

            end = th_lumps_step(lumps, start, phases[i].power, t, &high);
            add_point(curve, clock + t, end);
        }
        curve->largest.part = fmax(curve->largest.part, high.part);
        curve->largest.plate = fmax(curve->largest.plate, high.plate);
        clock += phases[i].seconds;
        start = end;
    }
    return true;
}

void th_heat_curve_free(th_heat_curve *curve) {
    if (curve != NULL) {
        free(curve->points);
        curve->points = NULL;
        curve->count = 0;
    }
}
