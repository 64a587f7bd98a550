/* tolerance.c - the factor of a one-sided tolerance limit, exactly, by quadrature.
 *
 * The limit mean - k s of n normal readings lies below the share's quantile with the asked
 * confidence when P(t' <= k sqrt n) = confidence, t' being noncentral t with n - 1 degrees of
 * freedom and noncentrality z sqrt n, z the share's normal quantile (NIST/SEMATECH e-Handbook of
 * Statistical Methods, 7.2.6.3; ISO 16269-6). Written over the density f of s / sigma, it is
 *     P = integral of Phi(sqrt n (k s - z)) f(s) ds,
 * all of it positive, so nothing cancels and no digit is lost. In x = ln s the integrand is smooth
 * and dies away at both ends, where the plain trapezoid rule is about as good as any can be.
 */
#include "tackhold/advice.h"

#include <math.h>

enum { READINGS_MIN = 2, READINGS_MAX = TH_PULLS_MAX };

#define SHARE_MIN 0.5
#define SHARE_MAX 0.999
#define LOG_NEGLIGIBLE 43.0 /* exp(-43) is below the last digit of a double */

/* Chance that a standard normal variable exceeds x. */
static double above(double x) {
    return 0.5 * erfc(x * 0.70710678118654752440);
}

/* The x above which the chance is `tail`, 0 < tail <= 0.5. */
static double normal_quantile(double tail) {
    double low = 0, high = 40;

    for (int i = 0; i < 100 && high - low > 1e-16 * high; i++) {
        double middle = 0.5 * (low + high);
        if (above(middle) > tail) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return 0.5 * (low + high);
}

/* ln Gamma(half / 2) by its recurrence: lgamma would write a global of the C library. */
static double log_gamma_half(int half) {
    double sum = half % 2 == 0 ? 0 : 0.57236494292470008707; /* ln sqrt(pi) */

    for (int i = half % 2 == 0 ? 2 : 1; i < half; i += 2) {
        sum += log(0.5 * i);
    }
    return sum;
}

typedef struct {
    double root; /* sqrt n */
    double z;    /* normal quantile of the share */
    double freedom;
    double scale; /* log of the density's constant factor */
    double step;  /* of ln s */
} quadrature;

static quadrature quadrature_of(int n, double z) {
    quadrature q = {.root = sqrt(n), .z = z, .freedom = n - 1};

    q.scale = log(2.0) + 0.5 * q.freedom * log(0.5 * q.freedom) - log_gamma_half(n - 1);
    /* Phi rises within 1 / (root z) of ln s, the density within 1 / sqrt(2 freedom). */
    q.step = 0.2 / (q.root * (z + 1.0) + 3.0);
    return q;
}

/* Log of the density over ln s. */
static double log_density(const quadrature *q, double x) {
    return q->scale + q->freedom * (x - 0.5 * exp(2 * x));
}

/* The chance that the limit with factor k lies above the quantile: 1 - confidence. */
static double chance_of_miss(const quadrature *q, double k) {
    double top = log_density(q, 0), sum = 0;

    for (int side = -1; side <= 1; side += 2) {
        for (int i = side < 0 ? 1 : 0;; i++) {
            double x = side * i * q->step, log_f = log_density(q, x);
            if (log_f < top - LOG_NEGLIGIBLE) {
                break;
            }
            sum += exp(log_f) * above(q->root * (k * exp(x) - q->z));
        }
    }
    return sum * q->step;
}

/* The k whose chance of a miss is `miss`; z and miss are such that it is not below 0. */
static double factor_of(int n, double z, double miss) {
    quadrature q = quadrature_of(n, z);
    double low = 0, high = 1;

    while (chance_of_miss(&q, high) > miss) {
        low = high;
        high *= 2;
    }
    for (int i = 0; i < 100 && high - low > 1e-14 * high; i++) {
        double middle = 0.5 * (low + high);
        if (chance_of_miss(&q, middle) > miss) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return high;
}

bool th_tolerance_factor(int n, double share, double confidence, double *k, th_error *err) {
    if (n < READINGS_MIN || n > READINGS_MAX) {
        return th_fail(err, TH_BAD_RANGE, "%d readings: a limit takes %d to %d of them", n,
                       READINGS_MIN, READINGS_MAX);
    }
    if (!(share >= SHARE_MIN && share <= SHARE_MAX)) {
        return th_fail(err, TH_BAD_RANGE, "a share of %.6g is out of bounds: 50 %% to 99.9 %%",
                       share);
    }
    if (!(confidence >= SHARE_MIN && confidence <= SHARE_MAX)) {
        return th_fail(err, TH_BAD_RANGE, "a confidence of %.6g is out of bounds: 50 %% to 99.9 %%",
                       confidence);
    }
    *k = factor_of(n, normal_quantile(1 - share), 1 - confidence);
    return true;
}

double th_outlier_limit(int n, double significance) {
    if (n < 3 || n > READINGS_MAX || !(significance > 0 && significance < 1)) {
        return INFINITY; /* of two readings neither lies apart */
    }
    /* Student's t is the noncentral one with z = 0; k sqrt n is its quantile. */
    double t = factor_of(n - 1, 0, significance / n) * sqrt(n - 1.0);
    return (n - 1) / sqrt(n) * sqrt(t * t / (n - 2 + t * t));
}
