/* chance.c - the normal distribution and first-order reliability. */
#include <math.h>
#include <string.h>

#include "tackhold/advice.h"

double th_normal_below(double x) {
    return 0.5 * erfc(-x / sqrt(2));
}

/* Ratio of two polynomials of degree 7, lowest power first. */
static double ratio(const double *over, const double *under, double r) {
    double a = over[7], b = under[7];

    for (int i = 6; i >= 0; i--) {
        a = a * r + over[i];
        b = b * r + under[i];
    }
    return a / b;
}

double th_normal_quantile(double p) {
    /* AS 241, double precision: the middle, the tail, the far tail. */
    static const double middle[2][8] = {
        {3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3,
         1.3731693765509461125e4, 4.5921953931549871457e4, 6.7265770927008700853e4,
         3.3430575583588128105e4, 2.5090809287301226727e3},
        {1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
         2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4,
         5.2264952788528545610e3}};
    static const double tail[2][8] = {
        {1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0,
         3.64784832476320460504e0, 1.27045825245236838258e0, 2.41780725177450611770e-1,
         2.27238449892691845833e-2, 7.74545014278341407640e-4},
        {1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1,
         1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4,
         1.05075007164441684324e-9}};
    static const double far[2][8] = {
        {6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0,
         2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3,
         2.71155556874348757815e-5, 2.01033439929228813265e-7},
        {1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
         7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7,
         2.04426310338993978564e-15}};
    double q = p - 0.5, r;

    if (fabs(q) <= 0.425) {
        return q * ratio(middle[0], middle[1], 0.180625 - q * q);
    }
    r = sqrt(-log(q < 0 ? p : 1 - p));
    r = r <= 5 ? ratio(tail[0], tail[1], r - 1.6) : ratio(far[0], far[1], r - 5);
    return q < 0 ? -r : r;
}

/* ---- design point ---------------------------------------------------------------------------- */

enum { STEPS_MOST = 60, HALVINGS_MOST = 6 };

/* Of the central difference: narrow and in whole steps, then wide, which rounds off the corners of
 * a limit tabulated in straight pieces, and in small steps, or it would jump to and fro across
 * them. With each, how little the point must move in the end. */
static const struct {
    double difference, step, still;
} tries[] = {{1e-3, 1, 1e-4}, {0.3, 0.2, 0.01}};

#define SETTLED 1e-5

typedef struct {
    th_limit limit;
    void *context;
    int count;
    double difference, step, still;
} search;

static double dot(const search *s, const double *a, const double *b) {
    double sum = 0;

    for (int i = 0; i < s->count; i++) {
        sum += a[i] * b[i];
    }
    return sum;
}

static void gradient_of(const search *s, const double *u, double *gradient) {
    double moved[TH_RELIABILITY_MOST];

    memcpy(moved, u, (size_t)s->count * sizeof *moved);
    for (int i = 0; i < s->count; i++) {
        double above, below;
        moved[i] = u[i] + s->difference;
        above = s->limit(s->context, moved);
        moved[i] = u[i] - s->difference;
        below = s->limit(s->context, moved);
        moved[i] = u[i];
        gradient[i] = (above - below) / (2 * s->difference);
    }
}

/* Halve the step until the merit function |u|^2/2 + c |g| falls. */
static double take_step(const search *s, double *u, const double *target, double value,
                        double slope) {
    double weight = 2 * sqrt(fmax(dot(s, u, u), dot(s, target, target))) / slope + 1;
    double merit = dot(s, u, u) / 2 + weight * fabs(value), share = s->step, fresh = value;
    double next[TH_RELIABILITY_MOST];

    for (int halving = 0; halving <= HALVINGS_MOST; halving++, share /= 2) {
        for (int i = 0; i < s->count; i++) {
            next[i] = u[i] + share * (target[i] - u[i]);
        }
        fresh = s->limit(s->context, next);
        if (dot(s, next, next) / 2 + weight * fabs(fresh) < merit) {
            break;
        }
    }
    memcpy(u, next, (size_t)s->count * sizeof *u);
    return fresh;
}

/* The shares are those of the gradient at the design point. */
static void describe(const search *s, const double *u, const double *gradient, double start,
                     th_reliability *found) {
    double square = dot(s, gradient, gradient);

    found->beta = (start < 0 ? -1 : 1) * sqrt(dot(s, u, u));
    found->chance = th_normal_below(-found->beta);
    for (int i = 0; i < s->count; i++) {
        found->at[i] = u[i];
        found->share[i] = square > 0 ? gradient[i] * gradient[i] / square : 0;
    }
}

static th_reliability find(const search *s, const double *from) {
    double u[TH_RELIABILITY_MOST] = {0}, gradient[TH_RELIABILITY_MOST] = {0};
    double start = s->limit(s->context, u), value = start, scale = fmax(fabs(start), 1);
    th_reliability found = {.settled = false};

    if (from) {
        memcpy(u, from, (size_t)s->count * sizeof *u);
        value = s->limit(s->context, u);
    }
    for (int step = 0; step < STEPS_MOST && !found.settled; step++) {
        double target[TH_RELIABILITY_MOST] = {0}, before[TH_RELIABILITY_MOST] = {0};
        double square, along, moved = 0;
        gradient_of(s, u, gradient);
        square = dot(s, gradient, gradient);
        if (!(square > 0)) {
            break;
        }
        along = (dot(s, gradient, u) - value) / square;
        for (int i = 0; i < s->count; i++) {
            target[i] = along * gradient[i];
            before[i] = u[i];
        }
        value = take_step(s, u, target, value, sqrt(square));
        for (int i = 0; i < s->count; i++) {
            moved = fmax(moved, fabs(u[i] - before[i]));
        }
        found.settled = fabs(value) < fmax(SETTLED, s->still / 10) * scale && moved < s->still;
    }
    describe(s, u, gradient, start, &found);
    return found;
}

th_reliability th_reliability_of(th_limit limit, void *context, int count, const double *from) {
    th_reliability found = {.settled = false};

    for (size_t i = 0; i < sizeof tries / sizeof *tries && !found.settled; i++) {
        search s = {limit, context, count, tries[i].difference, tries[i].step, tries[i].still};
        found = find(&s, from);
    }
    return found;
}
