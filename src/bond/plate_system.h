/* plate_system.h - inside of the plate model: element stiffness, assembled matrix, patch loads. */
#ifndef TACKHOLD_PLATE_SYSTEM_H
#define TACKHOLD_PLATE_SYSTEM_H

#include "linear_solver.h"
#include "tackhold/bond.h"

/* Unknowns of a node, and of the four-node element: node n (counter-clockwise from the lower left
 * corner), unknown k at 5 n + k. */
enum { TH_NODE_DOF = 5, TH_CELL_DOF = 20 };

/* Stiffness of one cell of sides a along x and b along y: plate and tape. */
void th_plate_element(const th_plate_material *material, const th_plate_cell *cell, double a,
                      double b, double k[TH_CELL_DOF][TH_CELL_DOF]);

/* Does the cell carry anything? */
bool th_plate_cell_solid(const th_plate_cell *cell);

struct th_plate_model {
    size_t nx, ny;
    double *xs, *ys;
    th_plate_cell *cells;
    th_plate_material material;
    int *number;    /* grid node -> place in the order of solution, -1 without material */
    int node_count; /* with material */
    th_symmetric matrix;
    th_linear *solver;
    th_plate_nodes nodes; /* bonded nodes */
};

/* Number the nodes and assemble, without factoring. */
bool th_plate_assemble(const th_plate_grid *grid, th_plate_model *model, th_error *err);

/* The four grid nodes of cell (i, j), counter-clockwise. */
void th_plate_corners(const th_plate_model *model, size_t i, size_t j, size_t corner[4]);

/* The unit loads of one spot on the unknowns that its patch touches. */
typedef struct {
    size_t count;              /* of unknowns */
    int *unknown;              /* -1 at a node without material, where every value is 0 */
    double (*value)[TH_UNITS]; /* of each unit load */
} th_unit_loads;

bool th_plate_unit_loads(const th_plate_model *model, const th_plate_spot *spot,
                         th_unit_loads *loads, th_error *err);
void th_plate_unit_loads_free(th_unit_loads *loads);

/* First grid interval that can reach up to x: largest i < count with lines[i] <= x, else 0. */
size_t th_plate_interval(const double *lines, size_t count, double x);

/* malloc(count x size), NULL on overflow; count 0 gives one element. */
void *th_plate_take(size_t count, size_t size);

#endif
