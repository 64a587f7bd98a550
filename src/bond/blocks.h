/* blocks.h - arithmetic of a Cholesky factor by blocks of 4 x 4.
 *
 * Four rows together are a panel: its columns follow each other, four numbers each. A block is four
 * columns of a panel. Right-hand sides lie four together, row by row. */
#ifndef TACKHOLD_BLOCKS_H
#define TACKHOLD_BLOCKS_H

#include <stdbool.h>
#include <stddef.h>

enum { SIDE = 4, BLOCK = SIDE * SIDE };

/* target -= a b', over so many columns of two panels. */
void th_block_subtract(double *restrict target, const double *restrict a, const double *restrict b,
                       size_t columns);
/* target = target L^-T, with L the lower triangle of `pivot`. */
void th_block_divide(double *target, const double *pivot);
/* The lower triangle of a block becomes its factor. A pivot that has lost twelve digits of its
 * diagonal means a motion nothing resists: false. */
bool th_block_factor(double *block, const double *diagonal);

/* sum = a x over so many columns of a panel: sum[SIDE * c + r] for right-hand side c, row r. */
void th_block_multiply(double *restrict sum, const double *restrict a, const double *restrict x,
                       size_t columns);
/* x -= a' mine, over so many columns of a panel. */
void th_block_take_away(double *restrict x, const double *restrict a, const double *restrict mine,
                        size_t columns);
/* mine = L^-1 (mine - sum), with `sum` as th_block_multiply leaves it; mine = L^-T mine. */
void th_block_forward(double *mine, const double *sum, const double *own);
void th_block_backward(double *mine, const double *own);

#endif
