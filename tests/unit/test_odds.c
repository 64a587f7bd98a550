/* test_odds.c - the chance that a job lets go. Jobs are invented. Recorded figures:
 * tests/reference/odds.py. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "../../src/advice/odds.h"
#include "support/odds_case.h"
#include "tackhold/report.h"

/* ---- jobs ------------------------------------------------------------------------------------ */

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
        draft d = odds_pushed(factors[i]);
        th_odds_options options = odds_two_spreads(0.2, 0.15);
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
        draft d = odds_pushed(factors[i]);
        th_odds_options options = odds_two_spreads(0.2, 0.15);
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
    draft d = odds_pushed(1.6);
    th_odds_options options = odds_two_spreads(0.25, 0.2);
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
    draft d = odds_pushed(1.3);
    th_odds_options options = odds_two_spreads(0.2, NONE);
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
        draft d = odds_grooved(speeds[i]);
        warmed job = check_of(&d);
        double chance = warmed_chance(&job, 80);
        th_odds_options options = odds_two_spreads(OF_STRENGTH, OF_FORCE);
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
    draft d = odds_grooved("18000");
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
    options = odds_two_spreads(0.01, OF_FORCE);
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
    draft d = odds_pushed(1.5);
    th_odds_options options = odds_two_spreads(0.2, 0.2);
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
    draft d = odds_pushed(1.5);
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

/* The faces alike, the bond next to nothing: no scatter makes it hold. */
static void a_hopeless_job_is_told_so(void **state) {
    static const char *const coverages[] = {"1e-9", "1e-6"};

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = odds_grooved("5000");
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
    draft d = odds_pushed(3);
    th_odds_options options = odds_two_spreads(0.01, 0.01);
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
        draft d = odds_pushed(2);
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
    draft d = odds_pushed(2);
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
        cmocka_unit_test(a_chain_of_two_faces_is_integrated),
        cmocka_unit_test(alike_faces_let_go_alike),
        cmocka_unit_test(one_link_is_exact),
        cmocka_unit_test(warmth_is_integrated),
        cmocka_unit_test(a_cut_that_warms_its_bond_is_integrated),
        cmocka_unit_test(heat_alone_is_a_plane_of_its_own),
        cmocka_unit_test(intervals_hold_the_truth),
        cmocka_unit_test(the_same_seed_repeats),
        cmocka_unit_test(a_hold_without_strength_has_no_odds),
        cmocka_unit_test(what_is_never_seen_is_bounded),
        cmocka_unit_test(a_hopeless_job_is_told_so),
        cmocka_unit_test(samples_beyond_reason_are_refused),
        cmocka_unit_test(chances_are_no_finer_than_known),
    };
    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
