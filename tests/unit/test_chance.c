/* test_chance.c - the normal distribution, low-discrepancy points and first-order reliability,
 * against figures and laws from outside. */
#include <math.h>

#include "support/near.h"
#include "tackhold/advice.h"

/* ---- normal distribution --------------------------------------------------------------------- */

static void quantiles_are_those_of_scipy(void **state) {
    /* scipy.special.ndtri */
    static const double known[][2] = {{1e-300, -37.0470962993612},  {1e-20, -9.262340089798409},
                                      {1e-09, -5.9978070150076865}, {0.0001, -3.7190164854556804},
                                      {0.01, -2.3263478740408408},  {0.05, -1.6448536269514729},
                                      {0.3, -0.5244005127080409},   {0.5, 0.0},
                                      {0.9, 1.2815515655446004},    {0.975, 1.959963984540054},
                                      {0.9999, 3.719016485455709}};

    (void)state;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        assert_near(th_normal_quantile(known[i][0]), known[i][1], 1e-14, 1e-15);
    }
}

static void areas_are_those_of_the_tables(void **state) {
    /* P(x): Abramowitz and Stegun 1964, table 26.1 (read from memory, agreed with SciPy) */
    static const double known[][2] = {{0.5, 0.691462461274013},
                                      {1.0, 0.841344746068543},
                                      {2.0, 0.977249868051821},
                                      {3.0, 0.998650101968370}};

    (void)state;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        assert_near(th_normal_below(known[i][0]), known[i][1], 1e-14, 0);
        assert_near(th_normal_below(-known[i][0]), 1 - known[i][1], 1e-12, 0);
    }
    for (double x = -8; x < 8; x += 0.0371) {
        double p = th_normal_below(x);
        assert_near(th_normal_quantile(p), x, 1e-13, x > 0 ? 1e-15 / exp(-x * x / 2) : 1e-14);
    }
}

/* ---- points ---------------------------------------------------------------------------------- */

enum { DIMENSIONS = TH_SOBOL_MOST };

static void plain_points_are_those_of_joe_and_kuo(void **state) {
    /* by scipy.stats.qmc.Sobol, which has the same direction numbers; times 2^32 */
    static const unsigned known[16][DIMENSIONS] = {
        {0u, 0u, 0u, 0u, 0u, 0u, 0u, 0u},
        {2147483648u, 2147483648u, 2147483648u, 2147483648u, 2147483648u, 2147483648u, 2147483648u,
         2147483648u},
        {3221225472u, 1073741824u, 1073741824u, 1073741824u, 3221225472u, 3221225472u, 1073741824u,
         3221225472u},
        {1073741824u, 3221225472u, 3221225472u, 3221225472u, 1073741824u, 1073741824u, 3221225472u,
         1073741824u},
        {1610612736u, 1610612736u, 2684354560u, 3758096384u, 1610612736u, 536870912u, 1610612736u,
         3758096384u},
        {3758096384u, 3758096384u, 536870912u, 1610612736u, 3758096384u, 2684354560u, 3758096384u,
         1610612736u},
        {2684354560u, 536870912u, 3758096384u, 2684354560u, 2684354560u, 3758096384u, 536870912u,
         536870912u},
        {536870912u, 2684354560u, 1610612736u, 536870912u, 536870912u, 1610612736u, 2684354560u,
         2684354560u},
        {805306368u, 1342177280u, 4026531840u, 1879048192u, 2415919104u, 1342177280u, 1879048192u,
         4026531840u},
        {2952790016u, 3489660928u, 1879048192u, 4026531840u, 268435456u, 3489660928u, 4026531840u,
         1879048192u},
        {4026531840u, 268435456u, 2952790016u, 805306368u, 1342177280u, 2415919104u, 805306368u,
         805306368u},
        {1879048192u, 2415919104u, 805306368u, 2952790016u, 3489660928u, 268435456u, 2952790016u,
         2952790016u},
        {1342177280u, 805306368u, 1342177280u, 2415919104u, 4026531840u, 1879048192u, 268435456u,
         268435456u},
        {3489660928u, 2952790016u, 3489660928u, 268435456u, 1879048192u, 4026531840u, 2415919104u,
         2415919104u},
        {2415919104u, 1879048192u, 268435456u, 3489660928u, 805306368u, 2952790016u, 1342177280u,
         3489660928u},
        {268435456u, 4026531840u, 2415919104u, 1342177280u, 2952790016u, 805306368u, 3489660928u,
         1342177280u}};
    th_sobol sobol;
    double point[DIMENSIONS];

    (void)state;
    th_sobol_start(&sobol, DIMENSIONS, 0, 0);
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        th_sobol_next(&sobol, point);
        for (int d = 0; d < DIMENSIONS; d++) {
            assert_near(point[d] * 4294967296.0, known[i][d] + 0.5, 1e-15, 0);
        }
    }
}

/* 2^m points have one in each cell of 2^-m of every coordinate, and one in each elementary box of
 * the first two, which scrambling must keep (Owen 1995). */
static void scrambling_keeps_the_net(void **state) {
    enum { M = 10, N = 1 << M };

    (void)state;
    for (unsigned stream = 0; stream < 4; stream++) {
        bool line[DIMENSIONS][N] = {{false}}, box[M + 1][N] = {{false}};
        double point[DIMENSIONS];
        th_sobol sobol;
        th_sobol_start(&sobol, DIMENSIONS, 7, stream);
        for (int i = 0; i < N; i++) {
            th_sobol_next(&sobol, point);
            for (int d = 0; d < DIMENSIONS; d++) {
                int cell = (int)(point[d] * N);
                assert_true(point[d] > 0 && point[d] < 1);
                assert_false(line[d][cell]);
                line[d][cell] = true;
            }
            for (int k = 0; k <= M; k++) {
                int x = (int)(point[0] * (1 << k)), y = (int)(point[1] * (1 << (M - k)));
                assert_false(box[k][x * (1 << (M - k)) + y]);
                box[k][x * (1 << (M - k)) + y] = true;
            }
        }
    }
}

/* Root mean square error over streams of a product of exponentials whose integral is 1. */
static double integral_error(int n) {
    enum { STREAMS = 24, USED = 5 };
    double square = 0;

    for (unsigned stream = 0; stream < STREAMS; stream++) {
        double point[USED], sum = 0;
        th_sobol sobol;
        th_sobol_start(&sobol, USED, 3, stream);
        for (int i = 0; i < n; i++) {
            double product = 1;
            th_sobol_next(&sobol, point);
            for (int d = 0; d < USED; d++) {
                product *= exp(point[d]) / (exp(1) - 1);
            }
            sum += product / n;
        }
        square += (sum - 1) * (sum - 1) / STREAMS;
    }
    return sqrt(square);
}

/* Random points would fall with the power -0.5. */
static void integrals_converge_faster_than_by_chance(void **state) {
    enum { FIRST = 5, LAST = 13 };
    double x = 0, y = 0, xx = 0, xy = 0, count = LAST - FIRST + 1, slope;

    (void)state;
    for (int m = FIRST; m <= LAST; m++) {
        double u = m * log(2), v = log(integral_error(1 << m));
        x += u / count;
        y += v / count;
        xx += u * u / count;
        xy += u * v / count;
    }
    slope = (xy - x * y) / (xx - x * x);
    print_message("slope of the integral's error: %.2f\n", slope);
    assert_true(slope < -0.7);
}

/* ---- first-order reliability ----------------------------------------------------------------- */

typedef struct {
    double at_zero, slope[4];
} plane;

static double plane_at(void *context, const double *u) {
    const plane *p = context;
    double sum = p->at_zero;

    for (int i = 0; i < 4; i++) {
        sum += p->slope[i] * u[i];
    }
    return sum;
}

static void a_plane_has_its_exact_answer(void **state) {
    plane cases[] = {{3, {1, -2, 0.5, 0}}, {-1, {0.3, 0.1, 0, 2}}, {1e-3, {1e-3, 0, 0, -2e-3}}};

    (void)state;
    for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
        th_reliability found = th_reliability_of(plane_at, &cases[c], 4, NULL);
        double square = 0;
        for (int i = 0; i < 4; i++) {
            square += cases[c].slope[i] * cases[c].slope[i];
        }
        assert_true(found.settled);
        assert_near(found.beta, cases[c].at_zero / sqrt(square), 1e-9, 0);
        assert_near(found.chance, th_normal_below(-cases[c].at_zero / sqrt(square)), 1e-8, 0);
        for (int i = 0; i < 4; i++) {
            assert_near(found.share[i], cases[c].slope[i] * cases[c].slope[i] / square, 1e-9,
                        1e-12);
        }
    }
}

/* x1^3 + x2^3 - 18, normal, means 10 and 9.9, deviations 5: a case on which the plain iteration
 * jumps to and fro (Santosh et al. 2006, from memory). */
static double cubic(void *context, const double *u) {
    (void)context;
    return pow(10 + 5 * u[0], 3) + pow(9.9 + 5 * u[1], 3) - 18;
}

static double exponential(void *context, const double *u) {
    (void)context;
    return exp(0.2 * u[0] + 1.4) - u[1];
}

static void curved_limits_agree_with_an_optimiser(void **state) {
    th_reliability found = th_reliability_of(cubic, NULL, 2, NULL);

    (void)state;
    /* scipy.optimize.minimize, SLSQP */
    assert_true(found.settled);
    assert_near(found.beta, 2.2259881187888966, 1e-4, 0);
    found = th_reliability_of(exponential, NULL, 2, NULL);
    assert_true(found.settled);
    assert_near(found.beta, 3.3496945839469636, 1e-5, 0);
    assert_near(found.at[0], -1.67976718, 1e-3, 0);
    assert_near(found.at[1], 2.89807454, 1e-3, 0);
}

/* Straight pieces that meet in a valley: the nearest point lies in the corner. */
static double cornered(void *context, const double *u) {
    (void)context;
    return 3 - u[0] - fmin(u[1], 1);
}

static void a_corner_is_no_trap(void **state) {
    th_reliability found = th_reliability_of(cornered, NULL, 2, NULL);

    (void)state;
    assert_true(found.settled);
    assert_near(found.beta, sqrt(5), 0.02, 0); /* (2, 1) */
}

/* It jumps over 0 by so much on either side: there is no point where it is 0. */
static double jumping(void *context, const double *u) {
    return 3 - u[0] + copysign(*(const double *)context, 3 - u[0]);
}

static void a_jump_settles_nothing(void **state) {
    double jumps[] = {0, 0.02, 0.1};

    (void)state;
    for (size_t i = 0; i < sizeof jumps / sizeof *jumps; i++) {
        th_reliability found = th_reliability_of(jumping, &jumps[i], 1, NULL);
        assert_int_equal(found.settled, jumps[i] <= 0);
        assert_near(found.beta, 3, 0.05, 0);
    }
}

/* Flat where the search begins and steep where it ends: the first steps go far too wide. It is 0 at
 * 3 whatever its steepness. */
static double flat_then_steep(void *context, const double *u) {
    return 1 - exp(*(const double *)context * (u[0] - 3));
}

static void a_flat_start_is_no_trap(void **state) {
    (void)state;
    for (int i = 0; i <= 6; i++) {
        double steepness = 0.5 + 0.35 * i;
        th_reliability found = th_reliability_of(flat_then_steep, &steepness, 1, NULL);
        assert_true(found.settled);
        assert_near(found.beta, 3, 1e-5, 0);
    }
}

/* A limit that is known to a thousandth only, and nowhere 0: the nearest point is found to about
 * as much. */
static double rounded(void *context, const double *u) {
    const double step = *(const double *)context;

    return (floor((3 - u[0] - 0.7 * u[1]) / step) + 0.5) * step;
}

static void a_limit_known_to_some_digits_settles(void **state) {
    double steps[] = {1e-3, 5e-4, 2e-4};

    (void)state;
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        th_reliability found = th_reliability_of(rounded, &steps[i], 2, NULL);
        assert_true(found.settled);
        assert_near(found.beta, 3 / sqrt(1.49), 0.01, 0);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantiles_are_those_of_scipy),
        cmocka_unit_test(areas_are_those_of_the_tables),
        cmocka_unit_test(plain_points_are_those_of_joe_and_kuo),
        cmocka_unit_test(scrambling_keeps_the_net),
        cmocka_unit_test(integrals_converge_faster_than_by_chance),
        cmocka_unit_test(a_plane_has_its_exact_answer),
        cmocka_unit_test(curved_limits_agree_with_an_optimiser),
        cmocka_unit_test(a_corner_is_no_trap),
        cmocka_unit_test(a_jump_settles_nothing),
        cmocka_unit_test(a_flat_start_is_no_trap),
        cmocka_unit_test(a_limit_known_to_some_digits_settles),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
