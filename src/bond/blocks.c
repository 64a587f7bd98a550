/* blocks.c - arithmetic on blocks of 4 x 4 and on panels, runs of columns of four rows. */
#include "blocks.h"

#include <math.h>
#include <string.h>

void th_block_subtract(double *restrict target, const double *restrict a, const double *restrict b,
                       size_t columns) {
    double sum[BLOCK] = {0};

    for (size_t k = 0; k < columns; k++, a += SIDE, b += SIDE) {
        for (int c = 0; c < SIDE; c++) {
            for (int r = 0; r < SIDE; r++) {
                sum[SIDE * c + r] += a[r] * b[c];
            }
        }
    }
    for (int i = 0; i < BLOCK; i++) {
        target[i] -= sum[i];
    }
}

void th_block_divide(double *target, const double *pivot) {
    for (int c = 0; c < SIDE; c++) {
        for (int k = 0; k < c; k++) {
            for (int r = 0; r < SIDE; r++) {
                target[SIDE * c + r] -= target[SIDE * k + r] * pivot[SIDE * k + c];
            }
        }
        for (int r = 0; r < SIDE; r++) {
            target[SIDE * c + r] /= pivot[SIDE * c + c];
        }
    }
}

bool th_block_factor(double *block, const double *diagonal) {
    for (int c = 0; c < SIDE; c++) {
        for (int k = 0; k < c; k++) {
            for (int r = c; r < SIDE; r++) {
                block[SIDE * c + r] -= block[SIDE * k + r] * block[SIDE * k + c];
            }
        }
        if (!(block[SIDE * c + c] > 1e-14 * diagonal[c])) {
            return false;
        }
        double root = sqrt(block[SIDE * c + c]);
        for (int r = c; r < SIDE; r++) {
            block[SIDE * c + r] /= root;
        }
    }
    return true;
}

void th_block_multiply(double *restrict sum, const double *restrict a, const double *restrict x,
                       size_t columns) {
    double s[BLOCK] = {0};

    for (size_t k = 0; k < columns; k++, a += SIDE, x += SIDE) {
        for (int c = 0; c < SIDE; c++) {
            for (int r = 0; r < SIDE; r++) {
                s[SIDE * c + r] += a[r] * x[c];
            }
        }
    }
    memcpy(sum, s, sizeof s);
}

void th_block_take_away(double *restrict x, const double *restrict a, const double *restrict mine,
                        size_t columns) {
    double m[BLOCK];

    memcpy(m, mine, sizeof m);
    for (size_t k = 0; k < columns; k++, a += SIDE, x += SIDE) {
        for (int c = 0; c < SIDE; c++) {
            x[c] -=
                a[0] * m[c] + a[1] * m[SIDE + c] + a[2] * m[2 * SIDE + c] + a[3] * m[3 * SIDE + c];
        }
    }
}

void th_block_forward(double *mine, const double *sum, const double *own) {
    for (int r = 0; r < SIDE; r++) {
        for (int c = 0; c < SIDE; c++) {
            double value = mine[SIDE * r + c] - sum[SIDE * c + r];
            for (int k = 0; k < r; k++) {
                value -= own[SIDE * k + r] * mine[SIDE * k + c];
            }
            mine[SIDE * r + c] = value / own[SIDE * r + r];
        }
    }
}

void th_block_backward(double *mine, const double *own) {
    for (int r = SIDE - 1; r >= 0; r--) {
        for (int c = 0; c < SIDE; c++) {
            double value = mine[SIDE * r + c];
            for (int k = r + 1; k < SIDE; k++) {
                value -= own[SIDE * r + k] * mine[SIDE * k + c];
            }
            mine[SIDE * r + c] = value / own[SIDE * r + r];
        }
    }
}
