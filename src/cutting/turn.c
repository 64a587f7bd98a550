#include <math.h>
#include <stdlib.h>

#include "angles.h"
#include "ranges.h"
#include "profile.h"
#include "runout.h"

static const double full_turn = 2.0 * TH_PI;

/* Trapezoid rule on a closed turn. */
static double weight_of(const angle_list *list, size_t i) {
    double before = i > 0 ? list->angles[i - 1] : list->angles[list->count - 1] - list->period;
    double after = i + 1 < list->count ? list->angles[i + 1] : list->angles[0] + list->period;

    return 0.5 * (after - before) / full_turn;
}

/* With all teeth alike one pitch is computed and repeated. */
static bool fill_samples(const cut_model *model, const angle_list *list, th_turn *turn) {
    size_t repeats = model->teeth.even ? (size_t)model->teeth.count : 1;

    turn->count = list->count * repeats;
    turn->samples = calloc(turn->count + 1, sizeof *turn->samples);
    if (turn->samples == NULL) {
        return false;
    }
    for (size_t i = 0; i < list->count; i++) {
        turn->samples[i] = th_load_at(model, list->angles[i]);
        turn->samples[i].weight = weight_of(list, i);
    }
    for (size_t i = list->count; i < turn->count; i++) {
        turn->samples[i] = turn->samples[i - list->count];
        turn->samples[i].angle += list->period;
    }
    return true;
}

/* Section of the chip of all zones (mm2). */
static double section_of(const th_pass *pass) {
    double width = pass->chamfer_width > 0.0 ? 0.5 * pass->chamfer_width : pass->radial;
    double section = 0.0;

    if (pass->zones == NULL) {
        return width * pass->axial;
    }
    for (int i = 0; i < pass->zone_count; i++) {
        const th_zone *zone = &pass->zones[i];
        double r = th_profile_radius(pass->cutter, 0.5 * (zone->low + zone->high));

        for (int k = 0; k < zone->arc_count; k++) {
            section +=
                (zone->high - zone->low) * r * (cos(zone->arcs[k].entry) - cos(zone->arcs[k].exit));
        }
    }
    return section;
}

static void sum_up(const th_pass *pass, const cut_model *model, th_turn *turn) {
    double torque = 0.0;
    double feed = pass->chip_load * pass->cutter->flutes * pass->speed;

    turn->lift_peak = -INFINITY;
    for (size_t i = 0; i < turn->count; i++) {
        const th_sample *sample = &turn->samples[i];

        turn->x_mean += sample->weight * sample->fx;
        turn->y_mean += sample->weight * sample->fy;
        turn->z_mean += sample->weight * sample->fz;
        torque -= sample->weight * sample->mz;
        turn->in_plane_peak = fmax(turn->in_plane_peak, hypot(sample->fx, sample->fy));
        turn->lift_peak = fmax(turn->lift_peak, sample->fz);
        turn->torque_peak = fmax(turn->torque_peak, fabs(sample->mz));
    }
    turn->power = torque * full_turn * pass->speed / 60.0 / 1000.0;
    turn->mean_chip = th_mean_chip(pass->chip_load, model->slabs.top_arc);
    turn->max_chip = th_runout_max_chip(model);
    turn->removal = section_of(pass) * feed;
}

static bool run_model(cut_model *model, const th_pass *pass, th_turn *turn, th_error *err) {
    angle_list list = {0};
    th_edge_force edge = th_edge_force_of(pass->stock, pass->cutter, pass->wear);

    model->line = th_edge_line_of(&edge);
    model->down = pass->cutter->helix_pulls == TH_DOWN;
    if (!th_runout_set_worst(model, pass, err) || !th_slabs_build(pass, &model->slabs, err)) {
        return false;
    }
    bool done = th_angles_start(&list, model, pass->resolution);

    if (done) {
        th_angles_turn(&list, model, pass->resolution);
        done = fill_samples(model, &list, turn);
    }
    th_angles_free(&list);
    if (!done) {
        return th_fail_memory(err);
    }
    sum_up(pass, model, turn);
    return true;
}

bool th_turn_run(const th_pass *pass, th_turn *turn, th_error *err) {
    cut_model model = {0};

    *turn = (th_turn){0};
    if (!th_check_pass(pass, err)) {
        return false;
    }
    bool done = run_model(&model, pass, turn, err);

    th_slabs_free(&model.slabs);
    return done;
}

void th_turn_free(th_turn *turn) {
    if (turn != NULL) {
        free(turn->samples);
        turn->samples = NULL;
        turn->count = 0;
    }
}
