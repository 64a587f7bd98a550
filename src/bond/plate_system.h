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

/* Where traction is judged: at a node, number[0] alone, or within a cell, shares of its corners. */
typedef struct {
    int number[4]; /* in the order of solution */
    double share[4];
    double x, y; /* (mm) */
} th_plate_place;

struct th_plate_model {
    size_t nx, ny;
    double *xs, *ys;
    th_plate_cell *cells;
    th_plate_material material;
    int *number;    /* grid node -> place in the order of solution, -1 without material */
    int node_count; /* with material */
    th_symmetric matrix;
    th_linear *solver;
    th_plate_nodes nodes;   /* bonded nodes */
    th_plate_place *places; /* of the bonded nodes */
    size_t *spring_nodes;   /* grid nodes */
    size_t spring_count;
};

/* Number the nodes and assemble, without factoring. */
bool th_plate_assemble(const th_plate_grid *grid, th_plate_model *model, th_error *err);

/* The four grid nodes of cell (i, j), counter-clockwise. */
void th_plate_corners(const th_plate_model *model, size_t i, size_t j, size_t corner[4]);

/* Where the traction of a grid node with bonded cells around it is judged. */
th_plate_place th_plate_place_of(const th_plate_model *model, const th_outline *edge, size_t node);

/* The unit loads of one spot on the unknowns that its patch touches. */
typedef struct {
    size_t count;              /* of unknowns */
    int *unknown;              /* -1 at a node without material, where every value is 0 */
    double (*value)[TH_UNITS]; /* of each unit load */
} th_unit_loads;

bool th_plate_unit_loads(const th_plate_model *model, const th_plate_spot *spot,
                         th_unit_loads *loads, th_error *err);
void th_plate_unit_loads_free(th_unit_loads *loads);

/* Nodes at which a grid's traction is judged. */
size_t th_plate_count_nodes(const th_plate_grid *grid);

/* Spots of one window of a sweep, the grid made for them, and their places in the caller's list. */
typedef struct {
    const th_plate_mesh *mesh;
    const th_plate_spot *spots;
    const size_t *order;
    size_t count;
} th_plate_window;

/* Lays out one window of a sweep after the other. */
bool th_plate_each_window(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                          const th_plate_options *options,
                          bool (*action)(void *context, const th_plate_window *window,
                                         th_error *err),
                          void *context, th_error *err);

/* malloc(count x size), NULL on overflow; count 0 gives one element. */
void *th_plate_take(size_t count, size_t size);

#endif
