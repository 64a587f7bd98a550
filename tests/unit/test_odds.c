/* test_odds.c - the normal distribution, low-discrepancy points, first-order reliability, and the
 * chance that a job lets go. Jobs are invented. Recorded figures: tests/reference/odds.py. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "../../src/advice/odds.h"
#include "support/draft.h"
#include "tackhold/report.h"

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

/* ---- jobs ------------------------------------------------------------------------------------ */

#define NONE 1e-9

/* A push at the middle of a part, so strong that the hold factor becomes `factor`. */
static draft pushed(double factor) {
    double force[3] = {1000, 0, 0};
    draft d = plate(60, 40, 5);
    answer a;

    put(&d, "hold", "wait", "24 h");
    add_push(&d, "cut.1", force, 30, 20);
    run(&d, false, &a);
    force[0] *= a.check.hold_factor / factor;
    answer_free(&a);
    drop(&d, "cut.1", "force_x");
    put_number(&d, "cut.1", "force_x", force[0], "N");
    return d;
}

static th_odds odds_with(const draft *d, const th_odds_options *options) {
    static const th_check_options check = {.turn_downs = false};
    th_odds_options own = *options;
    th_job *job = built(d);
    th_odds odds;
    th_error err;

    own.check = &check;
    if (!th_odds_run(job, &own, &odds, &err)) {
        fail_msg("no odds: %s", err.message);
    }
    th_job_free(job);
    return odds;
}

/* Only strength and force scatter. */
static th_odds_options two_spreads(double strength, double force) {
    return (th_odds_options){.samples = 65536,
                             .spreads = {strength, strength, strength, force, NONE, NONE, NONE}};
}

static double log_deviation(double variation) {
    return sqrt(log(1 + variation * variation));
}

/* Chance that either of two faces of equal median and independent lognormal strength is overcome
 * by one lognormal force: Simpson's rule over the force. */
static double either_face(double factor, double strength, double force) {
    enum { STEPS = 4000 };
    double s = log_deviation(strength), f = log_deviation(force), sum = 0, h = 20.0 / STEPS;

    for (int i = 0; i <= STEPS; i++) {
        double z = -10 + i * h, weight = i == 0 || i == STEPS ? 1 : i % 2 ? 4 : 2;
        double one = th_normal_below((f * z - log(factor) - 1.6448536269514722 * s) / s);
        sum += weight * exp(-z * z / 2) / sqrt(2 * TH_PI) * (1 - (1 - one) * (1 - one));
    }
    return sum * h / 3;
}

static void a_chain_of_two_faces_is_integrated(void **state) {
    static const double factors[] = {0.7, 1.1, 2, 3.5};

    (void)state;
    for (size_t i = 0; i < sizeof factors / sizeof *factors; i++) {
        draft d = pushed(factors[i]);
        th_odds_options options = two_spreads(0.2, 0.15);
        th_odds odds = odds_with(&d, &options);
        double chance = either_face(factors[i], 0.2, 0.15);
        assert_near(odds.hold_factor, factors[i], 1e-6, 0);
        assert_true(odds.possible && odds.settled);
        assert_true(odds.low <= chance && chance <= odds.high);
        /* weights of a rare chance cost accuracy, never more than a few percent */
        assert_near(odds.chance, chance, 0.02, 0);
        assert_true(odds.first_order <= chance * 1.0001 &&
                    chance <= odds.first_order_most * 1.0001);
        th_odds_free(&odds);
    }
}

/* Mean of a standard normal below -beta, as a distance from 0: the inverse of Mills' ratio (Mills
 * 1926; closed form). */
static double mean_beyond(double beta) {
    return exp(-beta * beta / 2) / sqrt(2 * TH_PI) / th_normal_below(-beta);
}

/* Mean force, in standard deviations, where either of two alike faces is overcome: Simpson's rule.
 */
static double mean_force(double factor, double strength, double force) {
    enum { STEPS = 4000 };
    double s = log_deviation(strength), f = log_deviation(force), sum = 0, over = 0;

    for (int i = 0; i <= STEPS; i++) {
        double z = -10 + i * 20.0 / STEPS, weight = i == 0 || i == STEPS ? 1 : i % 2 ? 4 : 2;
        double one = th_normal_below((f * z - log(factor) - 1.6448536269514722 * s) / s);
        weight *= exp(-z * z / 2) * (1 - (1 - one) * (1 - one));
        over += weight * z;
        sum += weight;
    }
    return over / sum;
}

/* Faces that are alike let go at the same strength, whatever the seed and however rare it is: what
 * a face's own strength is on average where it fails is the mean of a normal beyond a plane. */
static void alike_faces_let_go_alike(void **state) {
    static const double factors[] = {0.3, 0.5, 1.1, 2, 3.5};
    double s = log_deviation(0.2), f = log_deviation(0.15);

    (void)state;
    for (size_t i = 0; i < sizeof factors / sizeof *factors; i++) {
        draft d = pushed(factors[i]);
        th_odds_options options = two_spreads(0.2, 0.15);
        double beta = (log(factors[i]) + 1.6448536269514722 * s) / hypot(s, f);
        double along = mean_beyond(beta) * s / hypot(s, f);
        for (options.seed = 1; options.seed <= 4; options.seed++) {
            th_odds odds = odds_with(&d, &options);
            const th_odds_input *part = &odds.inputs[TH_ODDS_PART_FACE];
            const th_odds_input *plate = &odds.inputs[TH_ODDS_PLATE_FACE];
            assert_near(part->middle, exp(1.6448536269514722 * s), 1e-12, 0);
            assert_near(part->decides, exp(s * (1.6448536269514722 - along)), 0.004, 0);
            assert_near(plate->decides, part->decides, 0.004, 0);
            assert_near(odds.inputs[TH_ODDS_FORCE].decides,
                        exp(f * mean_force(factors[i], 0.2, 0.15)), 0.004, 0);
            assert_near(plate->share, part->share, 0.03, 0);
            assert_near(odds.inputs[TH_ODDS_FORCE].share, f * f / (s * s + f * f), 0.03, 0);
            /* too strong to let go before the job is sure to */
            assert_true(isnan(odds.inputs[TH_ODDS_INSIDE].decides) || factors[i] < 1);
            th_odds_free(&odds);
        }
    }
}

/* A part that holds badly, so that one link is left: lognormal against lognormal is a plane. */
static void one_link_is_exact(void **state) {
    draft d = pushed(1.6);
    th_odds_options options = two_spreads(0.25, 0.2);
    double s = log_deviation(0.25), f = log_deviation(0.2), factor, beta;
    th_odds odds;

    (void)state;
    put(&d, "part", "stock", "acetal");
    odds = odds_with(&d, &options);
    factor = odds.hold_factor;
    assert_true(factor < 0.7); /* acetal holds 0.3 as well */
    th_odds_free(&odds);
    put(&d, "hold", "tape", "double-film-acrylic");
    put(&d, "hold", "glue", "none");
    odds = odds_with(&d, &options);
    factor = odds.hold_factor;
    assert_int_equal(odds.links, 1);
    beta = (log(factor) + 1.6448536269514722 * s) / hypot(s, f);
    assert_near(odds.beta, beta, 1e-6, 1e-9);
    assert_near(odds.first_order, th_normal_below(-beta), 1e-6, 0);
    assert_true(odds.low <= th_normal_below(-beta) && th_normal_below(-beta) <= odds.high);
    assert_near(odds.inputs[TH_ODDS_PART_FACE].share, s * s / (s * s + f * f), 0.01, 0);
    assert_near(odds.inputs[TH_ODDS_FORCE].share, f * f / (s * s + f * f), 0.01, 0);
    assert_near(log(odds.inputs[TH_ODDS_PART_FACE].decides),
                s * (1.6448536269514722 - mean_beyond(beta) * s / hypot(s, f)), 0, 0.003);
    assert_near(log(odds.inputs[TH_ODDS_FORCE].decides), f * mean_beyond(beta) * f / hypot(s, f), 0,
                0.003);
    assert_true(isnan(odds.inputs[TH_ODDS_PLATE_FACE].decides));
    th_odds_free(&odds);
}

/* Warm tape: the factor of temperature enters, flat below 23 C and steep above. */
static void warmth_is_integrated(void **state) {
    enum { STEPS = 2000 };
    draft d = pushed(1.3);
    th_odds_options options = two_spreads(0.2, NONE);
    double s = log_deviation(0.2), sum = 0, h = 16.0 / STEPS;
    th_odds odds;

    (void)state;
    options.spreads[TH_ODDS_WARMTH] = 4;
    options.samples = 262144;
    odds = odds_with(&d, &options);
    for (int i = 0; i <= STEPS; i++) {
        double z = -8 + i * h, weight = i == 0 || i == STEPS ? 1 : i % 2 ? 4 : 2;
        double factor = 1.3 * th_temperature_factor(21 + 4 * z, 100, 0.165);
        double one = th_normal_below((-log(factor) - 1.6448536269514722 * s) / s);
        sum += weight * exp(-z * z / 2) / sqrt(2 * TH_PI) * (1 - (1 - one) * (1 - one));
    }
    assert_near(odds.chance, sum * h / 3, 0.01, 0);
    assert_true(odds.inputs[TH_ODDS_WARMTH].share > 0.1);
    th_odds_free(&odds);
}

/* A groove whose own heat brings the glue (80 C at most) near what it stands. */
static draft grooved(const char *speed) {
    draft d = plate(70, 50, 2);

    put(&d, "hold", "wait", "24 h");
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.4");
    put(&d, "cut.1", "speed", speed);
    return d;
}

/* What a check says of it. */
typedef struct {
    double factor, rise; /* hold factor, tape above the room (K) */
} warmed;

static warmed check_of(const draft *d) {
    answer a;
    warmed found;

    run(d, false, &a);
    found.factor = a.check.hold_factor;
    found.rise = stage_of(&a, "cut.1", TH_PIECE_PART)->temperature - 21;
    answer_free(&a);
    return found;
}

/* Spreads of the jobs that are warmed by their cut. */
#define OF_STRENGTH 0.2
#define OF_FORCE 0.3
#define OF_ROOM 6.0

/* Chance that either face lets go or the glue gets too warm, at a force: Simpson's rule over the
 * room up to where it is too warm. The film keeps 0.165 of its strength at 100 C. */
static double warm_or_weak(const warmed *job, double force, double warmest) {
    enum { STEPS = 400 };
    double s = log_deviation(OF_STRENGTH), rise = job->rise * force, sum = 0;
    double lasting = job->factor / th_temperature_factor(21 + job->rise, 100, 0.165);
    double end = fmin((warmest - rise - 21) / OF_ROOM, 8), h = (end + 8) / STEPS;

    if (end < -8) {
        return 1;
    }
    for (int i = 0; i <= STEPS; i++) {
        double z = -8 + i * h, weight = i == 0 || i == STEPS ? 1 : i % 2 ? 4 : 2;
        double left = th_temperature_factor(21 + OF_ROOM * z + rise, 100, 0.165);
        double median = log(lasting * left / force) + 1.6448536269514722 * s;
        double one = th_normal_below(-median / s);
        sum += weight * exp(-z * z / 2) / sqrt(2 * TH_PI) * (1 - (1 - one) * (1 - one));
    }
    return sum * h / 3 + th_normal_below(-end);
}

static double warmed_chance(const warmed *job, double warmest) {
    enum { STEPS = 2000 };
    double f = log_deviation(OF_FORCE), sum = 0, h = 16.0 / STEPS;

    for (int i = 0; i <= STEPS; i++) {
        double z = -8 + i * h, weight = i == 0 || i == STEPS ? 1 : i % 2 ? 4 : 2;
        sum += weight * exp(-z * z / 2) / sqrt(2 * TH_PI) * warm_or_weak(job, exp(f * z), warmest);
    }
    return sum * h / 3;
}

/* More force is more heat: the cut lowers its own bond, and may make it too warm. */
static void a_cut_that_warms_its_bond_is_integrated(void **state) {
    static const char *const speeds[] = {"5000", "15000"};

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = grooved(speeds[i]);
        warmed job = check_of(&d);
        double chance = warmed_chance(&job, 80);
        th_odds_options options = two_spreads(OF_STRENGTH, OF_FORCE);
        th_odds odds;
        options.spreads[TH_ODDS_WARMTH] = OF_ROOM;
        options.samples = 262144;
        odds = odds_with(&d, &options);
        print_message("%.0f K above the room: %.4f lets go, integrated %.4f\n", job.rise,
                      odds.chance, chance);
        assert_true(job.rise > 10);
        assert_near(odds.chance, chance, 0.01, 0);
        assert_true(odds.settled);
        th_odds_free(&odds);
    }
}

/* Large and well held, on tape that stands little: heat is all that lets go. */
static void heat_alone_is_a_plane_of_its_own(void **state) {
    draft d = grooved("18000");
    th_odds_options options = {.samples = 262144};
    double s = log_deviation(OF_FORCE), beta, high;
    warmed job;
    th_odds odds;

    (void)state;
    put(&d, "hold", "tape", "pvc-film"); /* 50 C at most */
    put_length(&d, "part", "length", 200);
    put_length(&d, "part", "width", 150);
    put_length(&d, "part", "thickness", 5);
    job = check_of(&d);
    options = two_spreads(0.01, OF_FORCE);
    odds = odds_with(&d, &options);
    beta = log((50 - 21) / job.rise) / s;
    high = 1.1 * th_normal_below(-beta);
    assert_true(job.factor > 4);
    assert_string_equal(odds.where, "too warm");
    assert_true(odds.settled);
    assert_near(odds.beta, beta, 1e-3, 0);
    assert_near(odds.first_order, th_normal_below(-beta), 0.01, 0);
    assert_true(odds.chance > 0.97 * th_normal_below(-beta) && odds.chance < high);
    assert_true(odds.inputs[TH_ODDS_FORCE].share > 0.9);
    th_odds_free(&odds);
}

/* Twenty seeds: an interval of 95 % holds the truth in all but one or two. */
static void intervals_hold_the_truth(void **state) {
    draft d = pushed(1.5);
    th_odds_options options = two_spreads(0.2, 0.2);
    double chance = either_face(1.5, 0.2, 0.2);
    int inside = 0;

    (void)state;
    options.samples = 2048;
    for (unsigned long long seed = 1; seed <= 20; seed++) {
        th_odds odds;
        options.seed = seed;
        odds = odds_with(&d, &options);
        inside += odds.low <= chance && chance <= odds.high;
        th_odds_free(&odds);
    }
    print_message("%d of 20 intervals hold the chance\n", inside);
    assert_true(inside >= 17);
}

static void the_same_seed_repeats(void **state) {
    draft d = pushed(1.5);
    th_odds_options options = {.samples = 8192, .seed = 5};
    th_odds a = odds_with(&d, &options), b = odds_with(&d, &options), c;

    (void)state;
    options.seed = 6;
    c = odds_with(&d, &options);
    assert_true(a.chance == b.chance && a.low == b.low && a.high == b.high);
    assert_true(a.chance != c.chance);
    assert_near(a.chance, c.chance, 0.1, 0);
    th_odds_free(&a);
    th_odds_free(&b);
    th_odds_free(&c);
}

static double chance_of(const draft *d, const th_odds_options *options) {
    th_odds odds = odds_with(d, options);
    double chance = odds.chance;

    th_odds_free(&odds);
    return chance;
}

/* More force always, more spread of force while the middle holds, more spread of strength while
 * what lets go lies below the lower bound, which stays where it is. */
static void worse_is_never_better(void **state) {
    double last = 0;

    (void)state;
    for (double factor = 4; factor > 0.5; factor *= 0.8) {
        draft d = pushed(factor);
        th_odds_options options = {.samples = 16384};
        double chance = chance_of(&d, &options);
        assert_true(chance > last);
        last = chance;
    }
    for (int input = 0; input <= TH_ODDS_WARMTH; input++) {
        draft d = pushed(1.8);
        bool three = input < TH_ODDS_FORCE,
             matters = input < TH_ODDS_COVERAGE || input == TH_ODDS_WARMTH;
        last = 0;
        for (int step = 1; step <= 4; step++) {
            th_odds_options options = {.samples = 65536};
            double chance;
            for (int i = 0; i < (three ? TH_ODDS_FORCE : 1); i++) {
                options.spreads[three ? i : input] = (input == TH_ODDS_WARMTH     ? 2
                                                      : input == TH_ODDS_COVERAGE ? 0.2
                                                                                  : 0.1) *
                                                     step;
            }
            chance = chance_of(&d, &options);
            assert_true(matters ? chance > last : chance >= last * 0.98);
            last = chance;
        }
        input += three ? TH_ODDS_FORCE - 1 : 0;
    }
}

/* A cut that warms its own bond, all inputs scattering; the faster, the nearer to too warm. */
static void the_table_of_a_warmed_job_answers_like_fresh_judgements(void **state) {
    static const char *const speeds[] = {"3000", "9000", "15000"};
    double last = 0;

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = grooved(speeds[i]);
        th_odds_options options = {.samples = 1024};
        th_odds odds = odds_with(&d, &options);
        print_message("%s rpm: table off by %.3g\n", speeds[i], odds.response_error);
        assert_int_equal(odds.checks, 4);
        assert_true(odds.response_error < 0.005);
        assert_true(odds.chance > last && odds.settled);
        assert_true(odds.low <= odds.chance && odds.chance <= odds.high);
        last = odds.chance;
        th_odds_free(&odds);
    }
}

/* Cuts whose hold factor has corners in runout, and bowed stock, where forces do not scale. */
static void the_table_answers_like_fresh_judgements(void **state) {
    static const char *const bows[] = {"0.1", "0.4", "1.5"};
    draft milled = plate(70, 50, 2), true_cutter, bowed;
    th_odds_options options = {.samples = 1024};
    th_odds odds;

    (void)state;
    put(&milled, "hold", "tape", "film");
    put(&milled, "hold", "wait", "24 h");
    add_cut(&milled, "cut.1", "slot", "flat-3mm-2");
    put(&milled, "cut.1", "axial", "0.4");
    put(&milled, "cut.1", "speed", "5000"); /* or the glue gets too warm */
    true_cutter = milled; /* so true that both teeth cut, and no drill: runout counts */
    put(&milled, "cutter.twist", "id", "drill-3mm");
    put(&milled, "cut.2", "operation", "drill");
    put(&milled, "cut.2", "cutter", "twist");
    put(&milled, "cut.2", "at", "10,10");
    put(&milled, "cut.2", "speed", "3000");
    odds = odds_with(&milled, &options);
    print_message("milled: table off by %.3g\n", odds.response_error);
    assert_int_equal(odds.checks, 4);
    assert_true(odds.response_error < 0.005);
    th_odds_free(&odds);
    put(&true_cutter, "cutter.em", "runout", "0.003 mm");
    options.samples = 65536;
    odds = odds_with(&true_cutter, &options);
    print_message("runout shared by two teeth: table off by %.3g, share %.3g\n",
                  odds.response_error, odds.inputs[TH_ODDS_RUNOUT].share);
    assert_true(odds.response_error < 0.005);
    assert_true(odds.inputs[TH_ODDS_RUNOUT].share > 1e-3);
    th_odds_free(&odds);
    options.samples = 1024;
    for (size_t i = 0; i < sizeof bows / sizeof *bows; i++) {
        bowed = milled;
        put(&bowed, "part", "bow", bows[i]);
        odds = odds_with(&bowed, &options);
        print_message("bowed by %s mm: table off by %.3g, %zu judgements\n", bows[i],
                      odds.response_error, odds.judgements);
        assert_true(odds.response_error < 0.005);
        th_odds_free(&odds);
    }
}

/* Strengths that scatter widely change places, so that a layer far above the weakest counts too;
 * and where the hold factor bends with coverage the table is made finer, though it is good enough
 * as it is. */
static void the_table_follows_wide_scatter(void **state) {
    th_odds_options options = {.samples = 1024, .spreads = {0.4, 0.4, 0.4}};
    draft d = pushed(1.8);
    th_odds odds = odds_with(&d, &options);

    (void)state;
    print_message("strengths spread by 0.4: table off by %.3g, %zu links\n", odds.response_error,
                  odds.links);
    assert_true(odds.possible && odds.links > 2);
    assert_true(odds.response_error < 0.001);
    th_odds_free(&odds);
}

/* A table that misses its fresh judgements tells no odds. */
static void a_table_far_off_tells_nothing(void **state) {
    th_arena arena = {NULL};
    const char *why;
    bool off;

    (void)state;
    assert_null(th_table_off(0, &arena, &off));
    assert_false(off);
    assert_null(th_table_off(0.02, &arena, &off));
    assert_false(off);
    why = th_table_off(0.0213, &arena, &off);
    assert_true(off);
    assert_non_null(strstr(why, "misses fresh judgements by 2.1 % of the hold factor"));
    assert_non_null(th_table_off((double)NAN, &arena, &off));
    assert_true(off);
    th_arena_free(&arena);
}

/* A skin round copies in bowed stock: which copy is the weakest changes with the forces, and with
 * it how many stages are told. */
static void stages_may_come_and_go(void **state) {
    draft d = plate(30, 30, 1.2);
    th_odds_options options = {.samples = 1024};
    th_odds odds;

    (void)state;
    put(&d, "part", "sheet_length", "190");
    put(&d, "part", "sheet_width", "150");
    put(&d, "part", "copies", "4 x 3");
    put(&d, "part", "pitch", "41 x 41");
    put(&d, "part", "bow", "0.2");
    put(&d, "hold", "wait", "12 h");
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "0.25");
    put(&d, "cut.1", "skin", "0.3");
    odds = odds_with(&d, &options);
    assert_true(odds.possible);
    assert_true(odds.response_error < 0.01);
    th_odds_free(&odds);
}

/* The faces alike, the bond next to nothing: no scatter makes it hold. */
static void a_hopeless_job_is_told_so(void **state) {
    static const char *const coverages[] = {"1e-9", "1e-6"};

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = grooved("5000");
        th_odds_options options = {.samples = 1024};
        th_odds odds;
        put(&d, "hold", "coverage", coverages[i]);
        odds = odds_with(&d, &options);
        assert_false(odds.possible);
        assert_true(odds.hold_factor > 0 && odds.hold_factor < 1e-3);
        assert_int_equal(odds.verdict, TH_LETS_GO);
        assert_non_null(strstr(odds.why, "certain to let go"));
        th_odds_free(&odds);
    }
}

/* Next to no scatter: nothing lets go. Of none seen among N plain samples all that follows is a
 * chance under 3 / N, with 95 % (rule of three); those drawn elsewhere tell nothing of it. */
static void what_is_never_seen_is_bounded(void **state) {
    draft d = pushed(3);
    th_odds_options options = two_spreads(0.01, 0.01);
    th_odds odds = odds_with(&d, &options);

    (void)state;
    assert_true(odds.chance == 0 && odds.low == 0);
    assert_true(odds.high > 3 / odds.samples && odds.high < 0.001);
    th_odds_free(&odds);
}

static void a_hold_without_strength_has_no_odds(void **state) {
    static const char *const settings[][3] = {{"hold", "cooling", "flood"},
                                              {"hold", "wait", "10 s"},
                                              {"hold", "room_temperature", "58 C"}};
    static const char *const reasons[] = {"cooling", "not set", "too warm"};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = pushed(2);
        th_odds_options options = {.samples = 1024};
        th_odds odds;
        put(&d, "hold", "tape", i == 2 ? "pvc-film" : "painters-paper");
        put(&d, settings[i][0], settings[i][1], settings[i][2]);
        odds = odds_with(&d, &options);
        assert_false(odds.possible);
        assert_true(isnan(odds.chance));
        assert_non_null(strstr(odds.why, reasons[i]));
        assert_near(odds.hold_factor, 0, 0, 0);
        th_odds_free(&odds);
    }
}

static void samples_beyond_reason_are_refused(void **state) {
    static const double bad[] = {-1, 2e9, NAN};
    static const th_check_options check = {.turn_downs = false};
    draft d = pushed(2);
    th_job *job = built(&d);

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        th_odds_options options = {.samples = bad[i], .check = &check};
        th_odds odds;
        th_error err;
        assert_false(th_odds_run(job, &options, &odds, &err));
        assert_int_equal(err.code, TH_BAD_RANGE);
    }
    th_job_free(job);
}

/* ---- print ----------------------------------------------------------------------------------- */

static void chances_are_no_finer_than_known(void **state) {
    static const struct {
        double chance, low, high;
        const char *text;
    } cases[] = {
        {0.046, 0.044, 0.048, "4.6 % (about 1 in 22)"},
        {0.046, 0.03, 0.06, "5 % (about 1 in 20)"},
        {0.1146, 0.11, 0.12, "11 % (about 1 in 9.1)"},
        {0.00312345, 0.0031234, 0.0031235, "0.31 % (about 1 in 320)"},
        {0.5234, 0.52, 0.53, "52 %"},
        {0.99912, 0.9990, 0.9993, "99.91 %"},
        {2e-8, 1e-8, 3e-8, "under 1 in a million, by this model"},
        {4e-7, 1e-7, 3.41e-6, "at most 0.00035 %"},
        {0, 0, 2.1e-4, "at most 0.021 %"},
        {1, 0.9987, 1, "over 99.87 %"},
        {1, 0.99999999, 1, "nearly certain, by this model"},
        {NAN, NAN, NAN, "-"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[80];
        th_chance_print(cases[i].chance, cases[i].low, cases[i].high, text, sizeof text);
        assert_string_equal(text, cases[i].text);
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
        cmocka_unit_test(a_chain_of_two_faces_is_integrated),
        cmocka_unit_test(alike_faces_let_go_alike),
        cmocka_unit_test(one_link_is_exact),
        cmocka_unit_test(warmth_is_integrated),
        cmocka_unit_test(a_cut_that_warms_its_bond_is_integrated),
        cmocka_unit_test(heat_alone_is_a_plane_of_its_own),
        cmocka_unit_test(intervals_hold_the_truth),
        cmocka_unit_test(the_same_seed_repeats),
        cmocka_unit_test(worse_is_never_better),
        cmocka_unit_test(the_table_of_a_warmed_job_answers_like_fresh_judgements),
        cmocka_unit_test(the_table_answers_like_fresh_judgements),
        cmocka_unit_test(the_table_follows_wide_scatter),
        cmocka_unit_test(a_table_far_off_tells_nothing),
        cmocka_unit_test(stages_may_come_and_go),
        cmocka_unit_test(a_hold_without_strength_has_no_odds),
        cmocka_unit_test(what_is_never_seen_is_bounded),
        cmocka_unit_test(a_hopeless_job_is_told_so),
        cmocka_unit_test(samples_beyond_reason_are_refused),
        cmocka_unit_test(chances_are_no_finer_than_known),
    };
    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
