/* plate_case.c - an invented part for tests. */
#include "support/plate_case.h"

#include <stdlib.h>

/* Equal lines from 0 to length. */
double *plate_case_lines(size_t cells, double length) {
    double *lines = malloc((cells + 1) * sizeof *lines);

    for (size_t i = 0; i <= cells; i++) {
        lines[i] = length * (double)i / (double)cells;
    }
    return lines;
}

th_plate_cell *plate_case_cells(size_t count, double thickness, double bonded) {
    th_plate_cell *cells = malloc(count * sizeof *cells);

    for (size_t c = 0; c < count; c++) {
        cells[c] = (th_plate_cell){thickness, bonded, 1};
    }
    return cells;
}

/* A plate with a pocket, a hole, an unbonded corner and cells that are partly material. */
th_plate_grid plate_case(size_t nx, size_t ny) {
    th_plate_cell *cells = plate_case_cells(nx * ny, 3, 0.8);
    th_plate_grid grid = {nx,
                          ny,
                          plate_case_lines(nx, 60),
                          plate_case_lines(ny, 40),
                          cells,
                          {70000, 0.33, 0.3, 1.1, 1},
                          NULL,
                          0,
                          NULL};

    for (size_t c = 0; c < nx * ny; c++) {
        size_t i = c % nx, j = c / nx;

        cells[c].thickness = i > nx / 2 && j > ny / 3 ? 1.2 : 3;
        if (i > nx / 4 && i < nx / 3 && j > ny / 2 && j < ny - 2) {
            cells[c] = (th_plate_cell){0, 0, 0};
        } else if (i < 2 && j < 2) {
            cells[c].bonded = 0;
        } else if (j + 1 == ny) {
            cells[c].bonded = 0.4;
            cells[c].filled = 0.5;
        }
    }
    return grid;
}

const th_plate_load plate_case_loads[2] = {
    {.spot = {58, 38, 3}, .z = 3, .fx = 20, .fy = -7, .fz = 11, .mz = 35},
    {.spot = {60, 0, 4}, .z = 1.2, .fx = -3, .fy = 9, .fz = -2, .mz = 0},
};

void plate_case_free(const th_plate_grid *grid) {
    free((void *)grid->xs);
    free((void *)grid->ys);
    free((void *)grid->cells);
}
