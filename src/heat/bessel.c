/* bessel.c - the modified Bessel function K0, by quadrature. */
#include <math.h>

#include "local.h"

/* exp(x) K0(x) is the integral of exp(-x (cosh u - 1)) over u from 0 (Abramowitz and Stegun
 * 9.6.24). The trapezoidal rule converges exponentially on it: the step keeps its error below
 * 1e-15 for the wide integrand of a small x as for the bell of a large one. */
double th_scaled_k0(double x) {
    double step = fmin(0.25, 0.7 / sqrt(x));
    double sum = 0.5;

    if (!(x > 0)) {
        return x == 0 ? INFINITY : NAN;
    }
    for (int i = 1;; i++) {
        double half = sinh(0.5 * step * i); /* cosh u - 1 = 2 sinh(u / 2)^2 */
        double drop = 2 * x * half * half;

        if (!(drop < 45)) {
            return sum * step;
        }
        sum += exp(-drop);
    }
}

double th_bessel_k0(double x) {
    return exp(-x) * th_scaled_k0(x);
}
