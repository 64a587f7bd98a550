/* plate_case.h - an invented part for tests: a pocket, a hole, a loose corner, cut cells. */
#ifndef TACKHOLD_TESTS_PLATE_CASE_H
#define TACKHOLD_TESTS_PLATE_CASE_H

#include "tackhold/bond.h"

/* 60 x 40 mm aluminium, 3 mm thick, 1.2 mm in a pocket. Free with plate_case_free. */
th_plate_grid plate_case(size_t nx, size_t ny);
void plate_case_free(const th_plate_grid *grid);

/* Loads near a corner and cut by another. */
extern const th_plate_load plate_case_loads[2];

/* Equal lines from 0 to length; equal cells. Free with free. */
double *plate_case_lines(size_t cells, double length);
th_plate_cell *plate_case_cells(size_t count, double thickness, double bonded);

#endif
