/* plate_refine.c - finer and finer grids until the governing traction stands still. */
#include "plate_system.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_GRIDS = 8 };

static const double step = 1.5;

static void note_peaks(const th_plate_model *model, const th_plate_field *field,
                       th_plate_answer *answer) {
    const th_plate_nodes *nodes = th_plate_model_nodes(model);

    answer->shear_peak = field->shear_peak;
    answer->lift_peak = field->lift_peak;
    if (nodes->count) {
        answer->shear_x = nodes->x[field->shear_at];
        answer->shear_y = nodes->y[field->shear_at];
        answer->lift_x = nodes->x[field->lift_at];
        answer->lift_y = nodes->y[field->lift_at];
    }
}

typedef struct {
    const th_plate_sheet *sheet;
    const th_plate_load *loads;
    th_plate_spot *spots; /* of the loads */
    size_t count;
    th_plate_options options;
} th_refined;

/* Peaks on one grid, of the fineness that the answer asks for. */
static bool solve_once(th_refined *what, th_plate_answer *answer, th_error *err) {
    th_plate_mesh mesh;
    th_plate_model *model = NULL;
    th_plate_field field = {0};
    bool fine;

    what->options.per_length = answer->per_length;
    if (!th_plate_mesh_make(what->sheet, what->spots, what->count, &what->options, &mesh, err)) {
        return false;
    }
    fine = th_plate_model_make(&mesh.grid, &what->options, &model, err) &&
           th_plate_solve(model, what->loads, what->count, &field, err);
    if (fine) {
        note_peaks(model, &field, answer);
    }
    th_plate_field_free(&field);
    th_plate_model_free(model);
    th_plate_mesh_free(&mesh);
    return fine;
}

/* Relative move of one peak; one that is next to nothing beside the other is left out. */
static double moved(double before, double now, double other) {
    return now > 1e-3 * other ? fabs(now - before) / now : 0;
}

static bool refine(th_refined *what, th_plate_answer *answer, th_error *err) {
    double tolerance = what->options.tolerance > 0 ? what->options.tolerance : 0.01;
    bool first = what->options.per_length > 0;
    th_plate_answer last = {.per_length = first ? what->options.per_length : 5, .steps = 1};

    if (!solve_once(what, &last, err)) {
        return false;
    }
    while (last.steps < MOST_GRIDS) {
        th_plate_answer now = last;

        now.per_length *= step;
        now.steps++;
        if (!solve_once(what, &now, err)) {
            return false;
        }
        now.change = fmax(moved(last.lift_peak, now.lift_peak, now.shear_peak),
                          moved(last.shear_peak, now.shear_peak, now.lift_peak));
        *answer = last = now;
        if (now.change < tolerance) {
            return true;
        }
    }
    return th_fail(err, TH_NOT_SOLVED, "after %zu grids the traction still moves by %.2g of itself",
                   last.steps, last.change);
}

bool th_plate_refine(const th_plate_sheet *sheet, const th_plate_load *loads, size_t count,
                     const th_plate_options *options, th_plate_answer *answer, th_error *err) {
    th_refined what = {sheet, loads, th_plate_take(count, sizeof *what.spots), count, {0}};
    bool fine;

    memset(answer, 0, sizeof *answer);
    if (!what.spots) {
        return th_fail_memory(err);
    }
    for (size_t l = 0; l < count; l++) {
        what.spots[l] = loads[l].spot;
    }
    if (options) {
        what.options = *options;
    }
    fine = refine(&what, answer, err);
    free(what.spots);
    return fine;
}
