#include <math.h>
#include <stdlib.h>

#include "ranges.h"
#include "load.h"
#include "profile.h"
#include "runout.h"

static const double full_turn = 2.0 * TH_PI;
static const double base_step = 3.0 * TH_PI / 180.0;
static const double fading_step = 1.5 * TH_PI / 180.0; /* where the load fades in and out */
static const double window_looks = 24.0;
static const double beside_jump = 1e-6; /* how far before and after a jump (rad) */
static const double same_angle = 1e-9;  /* (rad) */

enum { MOST_CORNERS = 2 * MOST_RUNS };

typedef struct {
    double *angles;
    size_t count;
    double period; /* one tooth pitch, or the turn with runout (rad) */
} angle_list;

static int compare_angles(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static void put_angle(angle_list *list, double angle) {
    double wrapped = angle - list->period * floor(angle / list->period);

    list->angles[list->count++] = wrapped < list->period ? wrapped : 0.0;
}

/* The load of straight flutes jumps there; otherwise it only bends. */
static void put_event(angle_list *list, double angle, bool jump) {
    if (!jump) {
        put_angle(list, angle);
        return;
    }
    put_angle(list, angle - beside_jump);
    put_angle(list, angle + beside_jump);
}

/* All of a straight flute passes at once where the chip of its tooth bends. */
static void put_bends(angle_list *list, const tooth *one) {
    for (int i = 0; i + 1 < one->lines; i++) {
        put_angle(list, one->behind + one->bend[i]);
        put_angle(list, one->behind + TH_PI - one->bend[i]);
    }
}

/* Heights at which the border of the arc crosses the angle where a tooth begins or ends to cut: its
 * load begins there instead of at an end of the edge. */
static void put_corners(angle_list *list, const slab_list *slabs, const tooth *one) {
    int left = MOST_CORNERS;

    for (size_t i = 0; i < slabs->count && left > 0; i++) {
        const slab *item = &slabs->items[i];
        double begin[2] = {item->exit[0] - one->from, item->exit[1] - one->from};
        double end[2] = {item->entry[0] - one->to, item->entry[1] - one->to};
        const double *gap = begin[0] * begin[1] < 0.0 ? begin : end;

        if (gap[0] * gap[1] < 0.0) {
            double lag = curve_at(&item->lag, gap[0] / (gap[0] - gap[1]));

            put_angle(list, one->behind + lag + (gap == begin ? one->from : one->to));
            left--;
        }
    }
}

static void put_events(angle_list *list, const cut_model *model, int teeth) {
    const slab_list *slabs = &model->slabs;

    for (int j = 0; j < teeth; j++) {
        const tooth *one = &model->teeth.items[j];

        if (!slabs->lagging) {
            put_bends(list, one);
        }
        if (slabs->fading) {
            put_corners(list, slabs, one);
        }
        for (size_t i = 0; i < slabs->event_count; i++) {
            const slab_event *event = &slabs->events[i];
            double entry = fmax(event->entry, one->from), exit = fmin(event->exit, one->to);

            if (exit >= entry) {
                put_event(list, entry + event->lag + one->behind, !slabs->lagging);
                put_event(list, exit + event->lag + one->behind, !slabs->lagging);
            }
        }
    }
}

/* Where a tooth is in the cut for a small angle only, or its load fades in and out, a few more
 * looks, closer at both ends. */
static void put_window(angle_list *list, const cut_model *model, int teeth, double resolution) {
    double first = 0.0, last = 0.0;

    th_slabs_window(&model->slabs, &first, &last);
    double looks = ceil(window_looks * resolution);

    if (last - first >= (model->slabs.fading ? full_turn : looks * base_step / resolution)) {
        return;
    }
    for (int j = 0; j < teeth; j++) {
        for (int i = 1; i < (int)looks; i++) {
            double share = 0.5 - 0.5 * cos(TH_PI * i / looks);

            put_angle(list, first + share * (last - first) + model->teeth.items[j].behind);
        }
    }
}

/* Angles that are the same, and those between the two sides of a jump, where the load is neither
 * the one nor the other. */
static void drop_repeated(angle_list *list) {
    size_t kept = 0;

    for (size_t i = 0; i < list->count; i++) {
        if (kept > 1 && list->angles[i] - list->angles[kept - 2] < 3.0 * beside_jump &&
            list->angles[i] - list->angles[kept - 1] > same_angle) {
            kept--;
        }
        if (kept == 0 || list->angles[i] - list->angles[kept - 1] > same_angle) {
            list->angles[kept++] = list->angles[i];
        }
    }
    list->count = kept;
}

/* No more angles a tooth than this: its events on both sides of a jump, its window, its bends and
 * corners. */
static size_t angles_of_tooth(const cut_model *model, double resolution) {
    return 4 * model->slabs.event_count + (size_t)ceil(window_looks * resolution) +
           (size_t)2 * MOST_FLUTES + MOST_CORNERS;
}

static bool list_angles(const cut_model *model, double resolution, angle_list *list) {
    int teeth = model->teeth.even ? 1 : model->teeth.count;

    list->period = model->teeth.even ? full_turn / model->teeth.count : full_turn;
    double step = model->slabs.fading ? fading_step : base_step;
    size_t steps = (size_t)ceil(list->period / step * resolution - 1e-9);
    size_t most = steps + angles_of_tooth(model, resolution) * (size_t)teeth;

    list->count = 0;
    list->angles = malloc((most + 1) * sizeof *list->angles);
    if (list->angles == NULL) {
        return false;
    }
    for (size_t i = 0; i < steps; i++) {
        put_angle(list, list->period * ((double)i + 0.5) / (double)steps);
    }
    put_events(list, model, teeth);
    put_window(list, model, teeth, resolution);
    qsort(list->angles, list->count, sizeof *list->angles, compare_angles);
    drop_repeated(list);
    return true;
}

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
    turn->samples = malloc((turn->count + 1) * sizeof *turn->samples);
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
    bool done = list_angles(model, pass->resolution, &list) && fill_samples(model, &list, turn);

    free(list.angles);
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
