/* test_odds_table.c - looking up in tables of hold factors: figures at and between nodes against
 * functions that the table has to follow exactly. All are invented. */
#include <math.h>
#include <string.h>

#include "../../src/advice/odds.h"
#include "support/draft.h"

enum { FORCES = 6, COVERAGES = 5, RUNOUTS = 4, NODES = FORCES * COVERAGES * RUNOUTS };
static const double forces[FORCES] = {-4, -2.5, -1, 0, 1.5, 3};
static const double coverages[COVERAGES] = {-3, -1.5, 0, 1, 2.5};
static const double runouts[RUNOUTS] = {-2, 0, 0.5, 3};

/* Some job; the table knows of it what its room is and what warmth takes. */
static draft some(void) {
    static const double force[3] = {10, 0, 0};
    draft d = plate(60, 40, 3);

    add_push(&d, "cut.1", force, 30, 20);
    return d;
}

static th_axis axis_of(const double *z, size_t count, bool smooth) {
    th_axis axis = {.count = count, .smooth = smooth};

    memcpy(axis.z, z, count * sizeof *z);
    return axis;
}

/* Straight from one node to the next of what is the square there; flat beyond them. */
static double square_between(const double *nodes, size_t count, double at) {
    at = fmin(fmax(at, nodes[0]), nodes[count - 1]);
    for (size_t i = 0; i + 1 < count; i++) {
        if (at <= nodes[i + 1]) {
            double a = nodes[i], b = nodes[i + 1];
            return (a * a * (b - at) + b * b * (at - a)) / (b - a);
        }
    }
    return (double)NAN;
}

static double inside(const double *nodes, size_t count, double at) {
    return fmin(fmax(at, nodes[0]), nodes[count - 1]);
}

/* Of the fourth degree, as five nodes fix it. */
static double curve(double x) {
    return 1 + x * (0.3 - x * (0.2 - x * (0.05 + x * 0.01)));
}

static void fill(double *values) {
    for (size_t f = 0; f < FORCES; f++) {
        for (size_t c = 0; c < COVERAGES; c++) {
            for (size_t r = 0; r < RUNOUTS; r++) {
                values[(f * COVERAGES + c) * RUNOUTS + r] =
                    forces[f] * forces[f] + curve(coverages[c]) + forces[f] * runouts[r] +
                    runouts[r] * runouts[r];
            }
        }
    }
}

static double looked_up(const th_response *r, const double *z) {
    th_lookup at;

    th_response_look(r, z, &at);
    return th_response_of(r, 0, &at, z);
}

/* Products of two straight axes stay such; the smooth one is its polynomial. */
static void the_table_is_its_functions(void **state) {
    double values[NODES], z[TH_ODDS_INPUTS] = {0};
    draft d = some();
    th_response r = {.job = built(&d), .scatter = {.force = 0.2}, .link_count = 1};
    dice rolled = {7};

    (void)state;
    fill(values);
    r.links[0] = (th_link){.layer = TH_LAYER_TABS, .values = values};
    r.axes[TH_AXIS_FORCE] = axis_of(forces, FORCES, false);
    r.axes[TH_AXIS_COVERAGE] = axis_of(coverages, COVERAGES, true);
    r.axes[TH_AXIS_RUNOUT] = axis_of(runouts, RUNOUTS, false);
    for (int i = 0; i < 2000; i++) {
        double f, c, t, expected;
        f = z[TH_ODDS_FORCE] = between(&rolled, -5, 5);
        c = z[TH_ODDS_COVERAGE] = between(&rolled, -4, 4);
        t = z[TH_ODDS_RUNOUT] = between(&rolled, -4, 4);
        expected = square_between(forces, FORCES, f) + curve(inside(coverages, COVERAGES, c)) +
                   inside(forces, FORCES, f) * inside(runouts, RUNOUTS, t) +
                   square_between(runouts, RUNOUTS, t);
        assert_near(looked_up(&r, z), expected - 0.2 * f, 1e-10, 1e-10);
    }
    th_job_free((th_job *)r.job);
}

/* Bowed stock: the index is straight over the force, its logarithm is not. */
static void loads_are_straight_over_the_force(void **state) {
    const double spread = 0.3;
    double values[FORCES], z[TH_ODDS_INPUTS] = {0};
    draft d = some();
    th_response r = {.job = built(&d), .scatter = {.force = spread}, .link_count = 1};

    (void)state;
    for (size_t f = 0; f < FORCES; f++) {
        double force = exp(spread * forces[f]);
        values[f] = log(force / (0.2 + 0.3 * force));
    }
    r.links[0] = (th_link){.layer = TH_LAYER_TABS, .values = values};
    r.axes[TH_AXIS_FORCE] = axis_of(forces, FORCES, false);
    r.axes[TH_AXIS_FORCE].load = true;
    r.axes[TH_AXIS_COVERAGE] = r.axes[TH_AXIS_RUNOUT] = (th_axis){.count = 1};
    for (double f = -4; f <= 3; f += 0.1) {
        z[TH_ODDS_FORCE] = f;
        assert_near(looked_up(&r, z), -log(0.2 + 0.3 * exp(spread * f)), 1e-12, 1e-12);
    }
    th_job_free((th_job *)r.job);
}

/* A bow that lifts all the time and a push that lifts on top of it: over the force the index is
 * straight, and the first look between the nodes shows that no more are needed. */
static void a_straight_load_needs_no_finer_table(void **state) {
    static const double force[3] = {0, 0, 20};
    th_check_options options = {.turn_downs = false};
    th_judging judging = {.options = &options};
    draft d = plate(60, 40, 3);
    th_arena arena = {NULL};
    th_judgement judgement;
    th_error err;

    (void)state;
    put(&d, "part", "bow", "0.05");
    put(&d, "hold", "tape", "film");
    add_push(&d, "cut.1", force, 30, 20);
    th_response r = {.job = built(&d), .scatter = {.strength = {0.1, 0.1, 0.1}, .force = 0.2}};
    assert_true(th_work_begin(&judging));
    assert_true(th_judge(r.job, &judging, &arena, 0, &judgement, &err));
    assert_true(judgement.standing_lift > 0 && judgement.hold_factor > 0);
    assert_true(th_response_make(&r, &judging, &judgement, &arena, &err));
    assert_true(r.axes[TH_AXIS_FORCE].load);
    assert_int_equal(r.axes[TH_AXIS_FORCE].count, 5); /* middle, ends, and once between them */
    th_work_end(&judging);
    th_arena_free(&arena);
    th_job_free((th_job *)r.job);
}

/* What a strength and the tape's warmth do comes on top, and warmth rises with force. */
static void strength_and_heat_come_on_top(void **state) {
    double value = 0.7, rise = 12, z[TH_ODDS_INPUTS] = {0};
    draft d = some();
    th_response r = {.scatter = {.strength = {0.1, 0.15, 0.2}, .force = 0.25, .warmth = 3},
                     .link_count = 1,
                     .warmest = 60};
    double force, celsius;

    (void)state;
    put(&d, "hold", "tape", "film-tender"); /* 0.3 of it left at 60 C */
    r.job = built(&d);
    for (int a = 0; a < TH_AXES; a++) {
        r.axes[a] = (th_axis){.count = 1};
    }
    z[TH_ODDS_PART_FACE] = -0.5;
    z[TH_ODDS_PLATE_FACE] = 1.25;
    z[TH_ODDS_INSIDE] = 0.75;
    z[TH_ODDS_FORCE] = 0.8;
    z[TH_ODDS_WARMTH] = 1.5;
    force = exp(0.25 * 0.8);
    celsius = r.job->hold.room_temperature + 3 * 1.5 + rise * force;
    for (int layer = 0; layer <= TH_LAYER_INSIDE; layer++) {
        static const double moved[] = {-0.5, 1.25, 0.75};
        r.links[0] = (th_link){.layer = (th_layer)layer, .values = &value, .rise = rise};
        assert_near(looked_up(&r, z),
                    value - 0.25 * 0.8 +
                        r.scatter.strength[layer] * (1.6448536269514722 + moved[layer]) +
                        log(th_temperature_factor(celsius, 60, 0.3)),
                    1e-12, 0);
    }
    r.links[0] = (th_link){.layer = TH_LAYER_HEAT, .rises = &rise};
    assert_true(looked_up(&r, z) > 0); /* cooler than it stands, then as warm */
    z[TH_ODDS_WARMTH] = (60 - r.job->hold.room_temperature - rise * force) / 3;
    assert_near(looked_up(&r, z), 0, 0, 1e-12);
    z[TH_ODDS_WARMTH] += 0.01;
    assert_true(looked_up(&r, z) < 0);
    th_job_free((th_job *)r.job);
}

/* Log-odds of coverage are normal, forces and runout lognormal, warmth normal. */
static void what_scatters_follows_its_law(void **state) {
    static const th_scatter scatter = {.strength = {0.1, 0.2, 0.3},
                                       .force = 0.4,
                                       .runout = 0.5,
                                       .coverage = 0.6,
                                       .odds = 0.7,
                                       .warmth = 8};
    double z[TH_ODDS_INPUTS];

    (void)state;
    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        z[i] = 0.5 * i - 1.25;
    }
    th_change change = th_scatter_change(&scatter, z);
    assert_near(change.force, 0.4 * z[TH_ODDS_FORCE], 1e-14, 0);
    assert_near(log(change.runout), 0.5 * z[TH_ODDS_RUNOUT], 1e-14, 0);
    assert_near(log(change.coverage / (1 - change.coverage)), 0.7 + 0.6 * z[TH_ODDS_COVERAGE],
                1e-13, 0);
    assert_near(change.warmer, 8 * z[TH_ODDS_WARMTH], 1e-14, 0);
    for (int i = 0; i <= TH_LAYER_INSIDE; i++) { /* 5 % lie below the row's */
        assert_near(th_normal_below((0 - change.strength[i]) / scatter.strength[i] + z[i]), 0.05,
                    1e-12, 0);
    }
    assert_true(change.strength[TH_LAYER_TABS] == 0); /* metal */
}

/* ---- certainty --------------------------------------------------------------------------------
 */

/* What a bad job comes to with all that scatters far on its good side. */
static th_certainty best_of(const draft *d, const th_scatter *scatter) {
    th_check_options options = {.turn_downs = false};
    th_judging judging = {.options = &options};
    th_job *job = built(d);
    th_arena arena = {NULL};
    th_judgement judgement;
    th_certainty found;
    th_error err;

    assert_true(th_work_begin(&judging));
    assert_true(th_judge(job, &judging, &arena, 0, &judgement, &err));
    assert_true(th_odds_certain(job, scatter, &judging, &judgement, &found, &err));
    th_work_end(&judging);
    th_arena_free(&arena);
    th_job_free(job);
    return found;
}

/* Each input helps where it is the only one that scatters. */
static void the_good_side_is_the_better_one(void **state) {
    const double odds = log(0.002 / (1 - 0.002));
    th_scatter none = {.odds = odds}, alone[5];
    draft d = plate(60, 40, 3);
    double base;

    (void)state;
    put(&d, "hold", "tape", "film-tender"); /* 60 C at most: cooler is better */
    put(&d, "hold", "room_temperature", "45 C");
    put(&d, "hold", "coverage", "0.002");
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.5");
    put(&d, "cut.1", "speed", "3000");
    put(&d, "cutter.em", "runout", "0.02 mm");
    for (int i = 0; i < 5; i++) {
        alone[i] = none;
    }
    for (int i = 0; i < 3; i++) { /* the weakest layer decides: all three */
        alone[0].strength[i] = 0.1;
    }
    alone[1].force = 0.1;
    alone[2].runout = 0.3;
    alone[3].coverage = 0.2;
    alone[4].warmth = 3;
    base = best_of(&d, &none).hold_factor;
    assert_true(base > 0 && base < 0.05);
    for (int i = 0; i < 5; i++) {
        assert_true(best_of(&d, &alone[i]).hold_factor > 1.01 * base);
    }
    /* strengths from their 5 % points on, forces from where they are */
    assert_near(best_of(&d, &alone[0]).hold_factor / base, exp(0.1 * (1.6448536269514722 + 5.2)),
                0.01, 0);
}

/* Forces that come down by enough, or not. */
static void only_what_cannot_hold_is_certain(void **state) {
    const double force[3] = {1000, 0, 0};
    draft d = plate(60, 40, 5);
    th_scatter scatter = {.odds = log(0.9 / 0.1)};
    double factor;
    answer a;

    (void)state;
    add_push(&d, "cut.1", force, 30, 20);
    run(&d, false, &a);
    factor = a.check.hold_factor;
    answer_free(&a);
    put_number(&d, "cut.1", "force_x", 1000 * factor / 0.04, "N"); /* 0.04 */
    scatter.force = log(0.5 / 0.04) / 5.2 * 0.98; /* not quite to 0.5, where all may yet be well */
    assert_true(best_of(&d, &scatter).lets_go);
    scatter.force *= 1.04;
    assert_false(best_of(&d, &scatter).lets_go);
    scatter.force = 0;
    put_number(&d, "cut.1", "force_x", 1000 * factor / 0.06, "N"); /* too near to be sure */
    assert_false(best_of(&d, &scatter).lets_go);
}

/* ---- loads ------------------------------------------------------------------------------------
 */

/* Convex, with a corner, and its inverse. */
static void a_load_and_its_index_are_each_other_s_inverse(void **state) {
    static const th_load_line line = {{0.4, 1, 1.6, 3}, {0.5, 0.8, 1.4, 4.2}, 4};

    (void)state;
    for (size_t i = 0; i < line.count; i++) {
        assert_near(th_load_index(&line, line.load[i]), line.index[i], 1e-14, 0);
    }
    assert_near(th_load_index(&line, 0.7), 0.65, 1e-14, 0); /* half way */
    assert_near(th_load_index(&line, 2.3), 2.8, 1e-14, 0);
    assert_near(th_load_index(&line, 0.2), 0.4, 1e-14, 0); /* beyond the ends as before them */
    assert_near(th_load_index(&line, 4), 6.2, 1e-14, 0);
    for (double load = 0.1; load < 5; load += 0.13) {
        assert_near(th_load_of(&line, th_load_index(&line, load), 99), load, 1e-12, 0);
    }
    assert_true(th_load_index(&line, -5) > 0 && th_load_of(&line, 0.01, 99) > 0);
}

/* Where the bow alone counts no index tells its load. */
static void a_flat_line_tells_no_load(void **state) {
    static const th_load_line flat = {{0.5, 1, 2}, {0.6, 0.6, 1.2}, 3};

    (void)state;
    assert_near(th_load_of(&flat, 0.3, 7), 7, 0, 0);
    assert_near(th_load_of(&flat, 0.9, 7), 1.5, 1e-14, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_table_is_its_functions),
        cmocka_unit_test(loads_are_straight_over_the_force),
        cmocka_unit_test(a_straight_load_needs_no_finer_table),
        cmocka_unit_test(strength_and_heat_come_on_top),
        cmocka_unit_test(what_scatters_follows_its_law),
        cmocka_unit_test(the_good_side_is_the_better_one),
        cmocka_unit_test(only_what_cannot_hold_is_certain),
        cmocka_unit_test(a_load_and_its_index_are_each_other_s_inverse),
        cmocka_unit_test(a_flat_line_tells_no_load),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
