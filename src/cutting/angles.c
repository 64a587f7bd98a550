#include <math.h>
#include <stdlib.h>

#include "angles.h"

static const double full_turn = 2.0 * TH_PI;
static const double base_step = 3.0 * TH_PI / 180.0;
static const double fading_step = 1.5 * TH_PI / 180.0; /* where the load fades in and out */
static const double window_looks = 24.0;
static const double beside_jump = 1e-6; /* how far before and after a jump (rad) */
static const double same_angle = 1e-9;  /* (rad) */

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
    for (size_t i = 0; i < slabs->count; i++) {
        const slab *item = &slabs->items[i];
        double begin[2] = {item->exit[0] - one->from, item->exit[1] - one->from};
        double end[2] = {item->entry[0] - one->to, item->entry[1] - one->to};
        const double *gap = begin[0] * begin[1] < 0.0 ? begin : end;

        if (gap[0] * gap[1] < 0.0) {
            double lag = curve_at(&item->lag, gap[0] / (gap[0] - gap[1]));

            put_angle(list, one->behind + lag + (gap == begin ? one->from : one->to));
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
           (size_t)2 * MOST_FLUTES + model->slabs.count;
}

bool th_angles_start(angle_list *list, const cut_model *model, double resolution) {
    size_t teeth = (size_t)model->teeth.count;
    size_t steps = (size_t)ceil(full_turn / fading_step * resolution);

    list->count = 0;
    list->angles =
        malloc((steps + angles_of_tooth(model, resolution) * teeth + 1) * sizeof *list->angles);
    return list->angles != NULL;
}

void th_angles_events(angle_list *list, const cut_model *model) {
    list->period = full_turn;
    list->count = 0;
    put_events(list, model, model->teeth.count);
}

void th_angles_turn(angle_list *list, const cut_model *model, double resolution) {
    int teeth = model->teeth.even ? 1 : model->teeth.count;

    list->period = model->teeth.even ? full_turn / model->teeth.count : full_turn;
    double step = model->slabs.fading ? fading_step : base_step;
    size_t steps = (size_t)ceil(list->period / step * resolution - 1e-9);

    list->count = 0;
    for (size_t i = 0; i < steps; i++) {
        put_angle(list, list->period * ((double)i + 0.5) / (double)steps);
    }
    put_events(list, model, teeth);
    put_window(list, model, teeth, resolution);
    qsort(list->angles, list->count, sizeof *list->angles, compare_angles);
    drop_repeated(list);
}

void th_angles_free(angle_list *list) {
    free(list->angles);
    *list = (angle_list){0};
}
