/* plate_export.c - writes the stiffness matrix, load and answer of a test case for another solver.
 *
 * plate_export NX NY: first n and the count of entries of the lower triangle, then "row column
 * value" each, then "load answer" for each unknown. */
#include "plate_system.h"

#include "support/plate_case.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

static void write_load(const th_plate_model *model, double *sum) {
    for (int l = 0; l < 2; l++) {
        const th_plate_load *p = &plate_case_loads[l];
        double factor[TH_UNITS] = {p->fx, p->fy, p->fz, -p->z * p->fy, p->z * p->fx, p->mz};
        th_unit_loads units;

        if (!th_plate_unit_loads(model, &p->spot, &units, NULL)) {
            exit(3);
        }
        for (size_t k = 0; k < units.count; k++) {
            for (int u = 0; units.unknown[k] >= 0 && u < TH_UNITS; u++) {
                sum[units.unknown[k]] += factor[u] * units.value[k][u];
            }
        }
        th_plate_unit_loads_free(&units);
    }
}

static void write_case(const th_plate_model *model, const th_plate_field *field) {
    const th_symmetric *m = &model->matrix;
    double *load = calloc((size_t)m->n, sizeof *load), *answer = calloc((size_t)m->n, sizeof *load);

    if (!load || !answer) {
        exit(3);
    }
    write_load(model, load);
    for (size_t n = 0; n < (model->nx + 1) * (model->ny + 1); n++) {
        for (size_t k = 0; model->number[n] >= 0 && k < 5; k++) {
            answer[5 * (size_t)model->number[n] + k] = field->displacement[5 * n + k];
        }
    }
    printf("%d %d\n", m->n, m->start[m->n]);
    for (int j = 0; j < m->n; j++) {
        for (int p = m->start[j]; p < m->start[j + 1]; p++) {
            printf("%d %d %.17g\n", m->row[p], j, m->value[p]);
        }
    }
    for (int i = 0; i < m->n; i++) {
        printf("%.17g %.17g\n", load[i], answer[i]);
    }
    free(load);
    free(answer);
}

int main(int argc, char **argv) {
    uintmax_t nx = argc == 3 ? strtoumax(argv[1], NULL, 10) : 0;
    uintmax_t ny = argc == 3 ? strtoumax(argv[2], NULL, 10) : 0;
    th_plate_grid grid;
    th_plate_model *model;
    th_plate_field field;
    th_error err;

    if (nx < 10 || ny < 10 || nx > 1000 || ny > 1000) {
        fprintf(stderr, "usage: plate_export NX NY (10 to 1000 cells)\n");
        return 2;
    }
    grid = plate_case(nx, ny);
    if (!th_plate_model_make(&grid, NULL, &model, &err) ||
        !th_plate_solve(model, plate_case_loads, 2, &field, &err)) {
        fprintf(stderr, "plate_export: %s\n", err.message);
        return 3;
    }
    write_case(model, &field);
    th_plate_field_free(&field);
    th_plate_model_free(model);
    plate_case_free(&grid);
    return 0;
}
