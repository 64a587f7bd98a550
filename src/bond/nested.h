/* nested.h - order of elimination by nested dissection (George 1973) of the grid that a matrix
 * stands on, as a tree of fronts. */
#ifndef TACKHOLD_NESTED_H
#define TACKHOLD_NESTED_H

#include "blocks.h"
#include "linear_solver.h"

/* Columns that are eliminated together, in an order in which each front follows those it takes
 * from. Columns are filled up to whole panels, so that places run past the unknowns. */
typedef struct {
    int first; /* place of its first column */
    int own;   /* columns, whole panels */
    int below; /* rows further down that it reaches */
    int *row;  /* their places, rising */
    int parent;
} th_nested_front;

typedef struct {
    int n;      /* unknowns */
    int padded; /* places */
    int count;  /* of fronts */
    th_nested_front *front;
    int *place; /* of an unknown */
    /* the matrix in the order of elimination: lower triangle by columns */
    int *start;
    int *row;
    double *value;
} th_nested_tree;

/* Errors: TH_NOT_SOLVED where the grid joins more than neighbours; TH_NO_MEMORY. The tree is to be
 * freed in any case. */
bool th_nested_make(const th_symmetric *matrix, th_nested_tree *tree, th_error *err);
void th_nested_free(th_nested_tree *tree);

#endif
