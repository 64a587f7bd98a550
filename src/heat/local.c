/* local.c - the rise under a source that moves through a thin plate. */
#include "local.h"

#include <math.h>

#include "units.h"

/* The source in mm, s, J. */
typedef struct {
    double diffusivity; /* k / (rho c) (mm2/s) */
    double speed;       /* (mm/s) */
    double fading;      /* loss / (rho c t): how fast the faces drain it (1/s) */
    double warming;     /* power / (rho c t) (K mm2/s) */
    double half;        /* of the patch (mm) */
    double near;        /* weight of the patch across the feed: the source and its mirror images */
    double row;         /* of the heat spread over the strip (1/mm) */
} path;

static path path_of(const th_heat_source *source) {
    double heat = source->stock->density * source->stock->heat_capacity * PER_MM3;
    double sheet = heat * source->thickness;
    double corner = source->edges >= 2 ? 2 : 1;
    path p;

    p.diffusivity = source->stock->conductivity * PER_MM / heat;
    p.speed = source->feed / 60;
    p.fading = source->loss / sheet;
    p.warming = source->power / sheet;
    p.half = 0.5 * source->patch;
    p.near = source->edges >= 1 ? 2 * corner : 1;
    p.row = corner / source->strip;
    return p;
}

/* Rates of decay along the feed and all round: v / 2a, sqrt((v / 2a)^2 + h / (k t)) (1/mm). */
static double drift_rate(const path *p) {
    return 0.5 * p->speed / p->diffusivity;
}

static double round_rate(const path *p) {
    return hypot(drift_rate(p), sqrt(p->fading / p->diffusivity));
}

double th_line_source(const th_heat_source *source, double x, double y) {
    path p = path_of(source);
    double r = hypot(x, y), rate = round_rate(&p);

    return p.warming / (2 * TH_PI * p.diffusivity) * exp(-drift_rate(&p) * x - rate * r) *
           th_scaled_k0(rate * r);
}

/* What is left of a unit of heat spread over the patch `age` = s^2 ago, at x on its middle line,
 * times 2 s for the step in s instead of time: the root makes the integrand smooth at 0. */
static double remains(const path *p, double x, double s) {
    double age = s * s, width = 2 * sqrt(p->diffusivity) * s;
    double low = (x + p->speed * age - p->half) / width;
    double high = (x + p->speed * age + p->half) / width;
    /* Of two error functions close to 1 the complements keep their digits. */
    double along = low > 0 ? erfc(low) - erfc(high) : erf(high) - erf(low);
    double across = p->near * erf(p->half / width) / (2 * p->half) + p->row;

    return 2 * s * exp(-p->fading * age) * along / (4 * p->half) * across;
}

/* Gauss-Legendre rule of ten points, half of it (Abramowitz and Stegun, table 25.4). */
static double panel(const path *p, double x, double from, double to) {
    static const double place[5] = {0.148874338981631211, 0.433395394129247191,
                                    0.679409568299024406, 0.865063366688984511,
                                    0.973906528517171720};
    static const double weight[5] = {0.295524224714752870, 0.269266719309996355,
                                     0.219086362515982044, 0.149451349150580593,
                                     0.066671344308688138};
    double middle = 0.5 * (from + to), half = 0.5 * (to - from), sum = 0;

    for (int i = 0; i < 5; i++) {
        sum += weight[i] *
               (remains(p, x, middle - half * place[i]) + remains(p, x, middle + half * place[i]));
    }
    return half * sum;
}

/* A part of the integral, with what one panel makes of it. */
typedef struct {
    double from, to, sum;
} part;

/* Halve until the halves agree with the whole; their own error is far below the difference. */
static double settled(const path *p, double x, part whole, double allowed, int depth) {
    double middle = 0.5 * (whole.from + whole.to);
    part left = {whole.from, middle, panel(p, x, whole.from, middle)};
    part right = {middle, whole.to, panel(p, x, middle, whole.to)};

    if (depth <= 0 || fabs(left.sum + right.sum - whole.sum) <= allowed) {
        return left.sum + right.sum;
    }
    return settled(p, x, left, allowed, depth - 1) + settled(p, x, right, allowed, depth - 1);
}

/* The span of s: up to the age of the source, or to where the rest is below exp(-60). */
static double oldest(const path *p, double seconds) {
    double rate = p->fading + 0.5 * p->speed * drift_rate(p);
    double lead = p->half * p->speed / p->diffusivity; /* the patch's own length, in the exponent */

    return rate > 0 ? fmin(seconds, (60 + lead) / rate) : seconds;
}

enum { MOST_BORDERS = 72 };

/* Panels double from the shortest time that matters, so that none is passed over. */
static int doubling(const path *p, double last, double *ends) {
    double scale = fmin(last, p->half * p->half / p->diffusivity);
    int count = 0;

    if (p->speed > 0) {
        scale = fmin(scale, fmin(p->half / p->speed, p->diffusivity / (p->speed * p->speed)));
    }
    for (double end = 0.25 * sqrt(scale); end < sqrt(last) && count < MOST_BORDERS - 4; end *= 2) {
        ends[count++] = end;
    }
    ends[count++] = sqrt(last);
    return count;
}

/* Put one more border among the rising ones, if it lies inside. */
static int insert(double *ends, int count, double end) {
    int i = count;

    if (!(end > 0 && end < ends[count - 1])) {
        return count;
    }
    for (; i > 0 && ends[i - 1] > end; i--) {
        ends[i] = ends[i - 1];
    }
    ends[i] = end;
    return count + 1;
}

/* At a fast feed the integrand steps down within a thin layer, at the age at which the patch's
 * front passed x. Borders fence it in; halving alone could step over it. */
static int fence(const path *p, double x, double *ends, int count) {
    double way = p->half - x, middle = sqrt(way / p->speed);
    double layer = 6 * middle * sqrt(p->diffusivity * way / p->speed) / way;

    if (!(p->speed > 0)) {
        return count;
    }
    count = insert(ends, count, middle - layer);
    count = insert(ends, count, middle);
    return insert(ends, count, middle + layer);
}

static double rise_at(const path *p, double x, double seconds) {
    double last = oldest(p, seconds);
    double ends[MOST_BORDERS], coarse[MOST_BORDERS], total = 0, sum = 0;
    int count;

    if (!isfinite(last)) {
        return INFINITY;
    }
    count = fence(p, x, ends, doubling(p, last, ends));
    for (int i = 0; i < count; i++) {
        coarse[i] = panel(p, x, i > 0 ? ends[i - 1] : 0, ends[i]);
        total += coarse[i];
    }
    for (int i = 0; i < count; i++) {
        part whole = {i > 0 ? ends[i - 1] : 0, ends[i], coarse[i]};
        sum += settled(p, x, whole, 1e-11 * total, 30);
    }
    return p->warming * sum;
}

th_local_rise th_local_heat(const th_heat_source *source) {
    path p = path_of(source);
    th_local_rise rise;

    rise.biot = source->loss * source->thickness / (source->stock->conductivity * PER_MM);
    rise.reach = p.half + 1 / round_rate(&p);
    rise.mean = rise.hottest = source->power > 0 ? rise_at(&p, 0, source->seconds) : 0;
    if (!(p.speed > 0 && rise.mean > 0 && isfinite(rise.mean))) {
        return rise;
    }
    /* The hottest place lies between the middle and the trailing edge, nearer to that the faster
     * the feed: looked for ever closer to it, which finds it to 2 %. */
    for (int i = 1; i <= 8; i++) {
        double x = i < 8 ? p.half * (ldexp(1, -i) - 1) : -p.half;

        rise.hottest = fmax(rise.hottest, rise_at(&p, x, source->seconds));
    }
    return rise;
}
