/* test_odds_warm.c - tables of hold factors where inputs act on each other: forces on what runout
 * does, warmth on which layer is the weakest; against fresh judgements of the job. Jobs are
 * invented. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "../../src/advice/odds.h"
#include "support/odds_case.h"

/* A glue that keeps three tenths of its strength at 80 C. */
static const char tender_glue[] = "tender-glue|name|Tender glue\n"
                                  "tender-glue|shear_strength|0.3 MPa\n"
                                  "tender-glue|lift_strength|0.3 MPa\n"
                                  "tender-glue|temperature_max|80 C\n"
                                  "tender-glue|strength_hot|0.3\n"
                                  "tender-glue|handling_time|20 s\n"
                                  "tender-glue|full_time|24 h\n"
                                  "tender-glue|thickness|0.05 mm\n"
                                  "tender-glue|conductivity|0.1 W/mK\n"
                                  "tender-glue|dry|1\n"
                                  "tender-glue|mist|1\n"
                                  "tender-glue|water|1\n"
                                  "tender-glue|oil|1\n"
                                  "tender-glue|source|invented\n"
                                  "tender-glue|trust|estimate\n";

static int set_up_tender(void **state) {
    int failed = set_up_warm(state);

    add_rows(TH_GLUES, tender_glue);
    return failed;
}

/* How far the table of a job is off fresh judgements, at the worst; the layers in it, as bits. */
static double off_by(const draft *d, const th_scatter *scatter, unsigned *layers) {
    static const th_check_options options = {.turn_downs = false};
    th_judging judging = {.options = &options};
    th_arena arena = {NULL};
    th_response r = {.job = built(d), .scatter = *scatter};
    th_judgement judgement;
    th_error err;

    assert_true(th_work_begin(&judging));
    assert_true(th_judge(r.job, &judging, &arena, 0, &judgement, &err));
    if (!th_response_make(&r, &judging, &judgement, &arena, &err)) {
        fail_msg("%s", err.message);
    }
    *layers = 0;
    for (size_t i = 0; i < r.link_count; i++) {
        *layers |= 1u << r.links[i].layer;
    }
    th_work_end(&judging);
    th_arena_free(&arena);
    th_job_free((th_job *)r.job);
    return r.error;
}

/* Bowed stock, where forces do not scale, under a cutter whose runout makes one tooth cut most:
 * each by itself misses it by 8 %, both together by less than half of that. */
static void forces_and_runout_act_on_each_other(void **state) {
    const th_scatter scatter = {
        .strength = {0.2, 0.2, 0.2}, .force = 0.35, .runout = 0.5, .warmth = 3};
    draft d = odds_grooved("5000");
    unsigned layers;

    (void)state;
    put(&d, "part", "bow", "0.15");
    put(&d, "cutter.em", "runout", "0.01 mm");
    put(&d, "cut.1", "axial", "0.6");
    put(&d, "cut.1", "chip_load", "0.01 mm/tooth");
    assert_true(off_by(&d, &scatter, &layers) < 0.04);
}

/* In a cool room the glue is twice as strong as the tape, which heat takes nothing from; where it
 * is hot the glue goes first. */
static void a_glue_that_heat_weakens_is_in_the_table(void **state) {
    static const char *const rooms[] = {"20 C", "60 C"};
    const th_scatter scatter = {.strength = {0.05, 0.05, 0.05}, .force = 0.05, .warmth = 0.5};

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = odds_pushed(1.8);
        unsigned layers;
        put(&d, "hold", "tape", "film");
        put(&d, "hold", "glue", "tender-glue");
        put(&d, "hold", "wait", "24 h");
        put(&d, "hold", "room_temperature", rooms[i]);
        assert_true(off_by(&d, &scatter, &layers) < 0.001);
        assert_int_equal(layers >> TH_LAYER_INSIDE & 1, i);
    }
}

/* By how much the table misses the job judged anew at a place, as logarithms of the hold factor. */
static double missed_at(const th_response *r, const th_judging *judging, const double *z) {
    th_change change = th_scatter_change(&r->scatter, z);
    th_arena arena = {NULL};
    double hold = INFINITY, off;
    th_judgement fresh;
    th_variant variant;
    th_lookup lookup;
    th_error err;

    th_response_look(r, z, &lookup);
    for (size_t i = 0; i < r->link_count; i++) {
        if (r->links[i].layer != TH_LAYER_HEAT) {
            hold = fmin(hold, th_response_of(r, i, &lookup, z));
        }
    }
    assert_true(th_variant_make(r->job, &change, &arena, &variant));
    assert_true(th_judge(&variant.job, judging, &arena, 0, &fresh, &err));
    assert_true(fresh.hold_factor > 0);
    off = fabs(hold - log(fresh.hold_factor));
    th_arena_free(&arena);
    return off;
}

/* Most of what scatters so widely is too warm, where there is no hold factor to compare. The table
 * is made as fine as it has to be all the same: in a cool room it misses the job, judged anew with
 * little force and much and on either side of the runout, by no more than half a percent. */
static void a_job_often_too_warm_gets_a_fine_table(void **state) {
    static const th_check_options options = {.turn_downs = false};
    static const double forces[] = {-1.1, 0, 1.1}, runouts[] = {-1.3, 1.3};
    th_judging judging = {.options = &options};
    th_arena arena = {NULL};
    draft d = odds_grooved("7600");
    th_response r = {
        .scatter = {.strength = {0.6, 0.6, 0.6}, .force = 0.47, .runout = 0.95, .warmth = 9.5}};
    th_judgement judgement;
    th_error err;

    (void)state;
    put(&d, "part", "bow", "0.96");
    put(&d, "cut.1", "axial", "0.54");
    r.job = built(&d);
    assert_true(th_work_begin(&judging));
    assert_true(th_judge(r.job, &judging, &arena, 0, &judgement, &err));
    assert_true(th_response_make(&r, &judging, &judgement, &arena, &err));
    for (int i = 0; i < 6; i++) {
        const double z[TH_ODDS_INPUTS] = {[TH_ODDS_FORCE] = forces[i % 3],
                                          [TH_ODDS_RUNOUT] = runouts[i / 3],
                                          [TH_ODDS_WARMTH] = -2};
        assert_true(missed_at(&r, &judging, z) < 0.005);
    }
    th_work_end(&judging);
    th_arena_free(&arena);
    th_job_free((th_job *)r.job);
}

/* So many samples are taken, rounded up to a power of two for each of 16 streams of 16 at least;
 * asked for none there are 262144. */
static void samples_are_as_many_as_asked(void **state) {
    static const double asked[][2] = {{0, 262144}, {1, 256}, {256, 256}, {257, 512}, {5000, 8192}};
    const draft d = odds_pushed(1.2);

    (void)state;
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        th_odds_options options = odds_two_spreads(NONE, 0.3);
        th_odds odds;
        options.samples = asked[i][0];
        odds = odds_with(&d, &options);
        assert_near(odds.samples, asked[i][1], 0, 0);
        th_odds_free(&odds);
    }
}

static int falling(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;

    return (x < y) - (x > y);
}

/* Where forces alone scatter those samples let go whose force is the largest: how many of each
 * stream follows from how many there are. The interval is Student's of sixteen means at 95 %: 2.131
 * standard errors (Student 1908; t with 15 degrees of freedom in any table). */
static void the_interval_is_student_s(void **state) {
    enum { STREAMS = 16, EACH = 16, ALL = STREAMS * EACH };
    const draft d = odds_pushed(1.1);

    (void)state;
    for (unsigned long long seed = 1; seed <= 4; seed++) {
        th_odds_options options = odds_two_spreads(NONE, 0.3);
        double force[ALL], ranked[ALL], square = 0, error;
        th_odds odds;
        size_t gone;
        options.samples = ALL;
        options.seed = seed;
        odds = odds_with(&d, &options);
        gone = (size_t)(odds.chance * ALL + 0.5);
        assert_near(odds.chance * ALL, (double)gone, 1e-9, 0);
        assert_true(gone > 40 && gone < 216);
        for (unsigned i = 0; i < STREAMS; i++) {
            th_sobol sobol;
            th_sobol_start(&sobol, TH_ODDS_INPUTS + 1, seed, i);
            for (int k = 0; k < EACH; k++) {
                double point[TH_ODDS_INPUTS + 1];
                th_sobol_next(&sobol, point);
                force[i * EACH + (unsigned)k] = point[TH_ODDS_FORCE];
            }
        }
        memcpy(ranked, force, sizeof ranked);
        qsort(ranked, ALL, sizeof *ranked, falling);
        for (int i = 0; i < STREAMS; i++) {
            double off = -odds.chance;
            for (int k = 0; k < EACH; k++) {
                off += force[i * EACH + k] >= ranked[gone - 1] ? 1.0 / EACH : 0;
            }
            square += off * off;
        }
        error = 2.131 * sqrt(square / (STREAMS - 1) / STREAMS);
        assert_near(odds.chance - odds.low, error, 1e-3, 0);
        assert_near(odds.high - odds.chance, error, 1e-3, 0);
        th_odds_free(&odds);
    }
}

/* A cut warms a glue that heat weakens. As the job stands it is far stronger than the faces of the
 * tape; in a warm room, with forces that heat more, it goes first, and is in the table for that. */
static void what_heat_makes_the_weakest_is_in_the_table(void **state) {
    static const th_scatter scatter = {
        .strength = {0.1, 0.1, 0.1}, .force = 0.08, .runout = 0.15, .warmth = 1.6};
    draft d = odds_grooved("16500");
    unsigned layers;

    (void)state;
    put(&d, "hold", "tape", "film");
    put(&d, "hold", "glue", "tender-glue");
    put(&d, "part", "bow", "0.05");
    put(&d, "cut.1", "axial", "0.26");
    put(&d, "cutter.em", "runout", "0.01 mm");
    assert_true(off_by(&d, &scatter, &layers) < 0.005);
    assert_true(layers >> TH_LAYER_INSIDE & 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(forces_and_runout_act_on_each_other),
        cmocka_unit_test(a_glue_that_heat_weakens_is_in_the_table),
        cmocka_unit_test(what_heat_makes_the_weakest_is_in_the_table),
        cmocka_unit_test(a_job_often_too_warm_gets_a_fine_table),
        cmocka_unit_test(samples_are_as_many_as_asked),
        cmocka_unit_test(the_interval_is_student_s),
    };

    return cmocka_run_group_tests(tests, set_up_tender, tear_down);
}
