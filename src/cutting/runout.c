#include <math.h>

#include "angles.h"
#include "arc.h"
#include "runout.h"

enum { DIRECTIONS = 12, HALVINGS = 4, LOOKS = 8 };

/* Relative; directions and teeth that differ by less are alike, and the first of them is taken:
 * rounding must not choose among those that symmetry makes equal. */
#define ALIKE 1e-9

static int fullest_tooth(const cut_model *model, double *chip) {
    double sine = th_arc_most_sine(&model->slabs.top_arc);
    int fullest = 0;

    *chip = 0.0;
    for (int j = 0; j < model->teeth.count; j++) {
        double h = tooth_chip(&model->teeth.items[j], sine) * model->slabs.top_sine;

        if (h > *chip * (1.0 + ALIKE)) {
            *chip = h;
            fullest = j;
        }
    }
    return fullest;
}

double th_runout_max_chip(const cut_model *model) {
    double chip = 0.0;

    (void)fullest_tooth(model, &chip);
    return chip;
}

static double in_plane_at(const cut_model *model, double angle) {
    th_sample sample = th_load_at(model, angle);

    return hypot(sample.fx, sample.fy);
}

/* Largest in-plane force while the tooth with the largest chip passes through the cut, and where
 * any tooth comes in or goes out: two that are in together for a moment may load the part most. */
static double peak_toward(cut_model *model, const th_pass *pass, double psi, angle_list *events) {
    double chip = 0.0, peak = 0.0;
    double first = 0.0, last = 0.0;

    th_teeth_set(&model->teeth, pass, psi);
    const tooth *fullest = &model->teeth.items[fullest_tooth(model, &chip)];

    th_slabs_window(&model->slabs, &first, &last);
    last = fmin(last, first + 2.0 * TH_PI);
    for (int i = 0; i < LOOKS; i++) {
        double angle = first + (last - first) * (i + 0.5) / LOOKS + fullest->behind;

        peak = fmax(peak, in_plane_at(model, angle));
    }
    th_angles_events(events, model);
    for (size_t i = 0; i < events->count; i++) {
        peak = fmax(peak, in_plane_at(model, events->angles[i]));
    }
    return peak;
}

/* The load repeats, teeth renumbered, when the direction turns by a tooth pitch. It may fall off
 * steeply beside its largest, where a tooth drops out of the cut: the step is halved round it. */
static void seek_worst(cut_model *model, const th_pass *pass, angle_list *events) {
    double pitch = 2.0 * TH_PI / pass->cutter->flutes, most = 0.0, worst = 0.0;

    for (int i = 0; i < DIRECTIONS; i++) {
        double peak = peak_toward(model, pass, pitch * i / DIRECTIONS, events);

        if (peak > most * (1.0 + ALIKE)) {
            most = peak;
            worst = pitch * i / DIRECTIONS;
        }
    }
    double step = pitch / DIRECTIONS;

    for (int i = 0; i < HALVINGS; i++) {
        double from = worst;

        step /= 2.0;
        for (int side = -1; side <= 1; side += 2) {
            double peak = peak_toward(model, pass, from + side * step, events);

            if (peak > most * (1.0 + ALIKE)) {
                most = peak;
                worst = from + side * step;
            }
        }
    }
    th_teeth_set(&model->teeth, pass, worst);
}

bool th_runout_set_worst(cut_model *model, const th_pass *pass, th_error *err) {
    angle_list events = {0};
    th_pass coarse = *pass;

    th_teeth_set(&model->teeth, pass, 0.0);
    if (model->teeth.even) {
        return true;
    }
    coarse.resolution = 0.5;
    if (!th_slabs_build(&coarse, &model->slabs, err)) {
        return false;
    }
    bool room = th_angles_start(&events, model, coarse.resolution);

    if (room) {
        seek_worst(model, pass, &events);
    }
    th_angles_free(&events);
    th_slabs_free(&model->slabs);
    return room || th_fail_memory(err);
}
