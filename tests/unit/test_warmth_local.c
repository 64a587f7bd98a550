/* test_warmth_local.c - how much warmer than its part the tape gets under the cutter, and how the
 * warm part outgrows the plate: by mirrored sources and closed forms. Jobs are invented. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "../../src/advice/warmth.h"
#include "support/draft.h"

typedef struct {
    th_job *job;
    th_check_options options;
    th_arena arena;
    th_judging judging;
    th_ground ground;
    th_error err;
} place;

static void stand(const draft *d, place *p) {
    memset(p, 0, sizeof *p);
    p->job = built(d);
    p->judging.options = &p->options;
    p->judging.shapes = th_shapes_new();
    assert_non_null(p->judging.shapes);
    assert_true(th_ground_make(p->job, &p->judging, &p->arena, &p->ground, &p->err));
}

static void leave(place *p) {
    th_shapes_free(p->judging.shapes);
    th_arena_free(&p->arena);
    th_job_free(p->job);
}

static double loss_of(const th_job *job) {
    return th_stack_conductance(job->hold.tape, job->hold.glue, job->hold.tape_below);
}

/* ---- drilling ---------------------------------------------------------------------------------
 */

#define SIDE 600.0 /* mm */

static draft drilled(double x, double y, const char *feed) {
    draft d = plate(SIDE, SIDE, 3);

    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put_point(&d, "cut.1", "at", x, y);
    put(&d, "cut.1", "speed", "3000");
    put(&d, "cut.1", "feed", feed);
    return d;
}

/* Of 10 W, and what they make where no edge is near: spread over the hole, or over what the bond
 * shares its load over. */
static double drilling_rise(const draft *d, double *alone, double *seconds) {
    th_warming_pass pass = {.power = 10, .max_chip = 0.03, .radial = 3, .axial = 3, .feed = 100};
    double rise, biot;
    place p;

    stand(d, &p);
    const th_cut *cut = &p.job->cuts[0];
    *seconds = th_duration_of(&p.ground, cut).cutting * 60 * th_warmth_in_metal(p.job, cut);
    th_heat_source source = {.stock = p.job->part.stock,
                             .thickness = 3,
                             .loss = loss_of(p.job),
                             .power = 10,
                             .seconds = *seconds,
                             .patch = fmax(3, p.ground.decay),
                             .strip = INFINITY};
    *alone = th_local_heat(&source).mean;
    rise = th_warmth_under(&p.ground, cut, &pass, 10, &biot);
    leave(&p);
    return rise;
}

/* Heat that has run for a few seconds knows nothing of edges a third of a metre away. */
static void edges_far_away_throw_nothing_back(void **state) {
    draft d = drilled(SIDE / 2, SIDE / 2, "60 mm/min");
    double alone, seconds, rise;

    (void)state;
    rise = drilling_rise(&d, &alone, &seconds);
    assert_true(seconds > 1 && seconds < 20);
    assert_near(rise, alone, 1e-9, 0);
}

/* One near edge is a source mirrored in it: q/(4 pi k t) E1(x), x = r^2/(4 a s) (Carslaw and
 * Jaeger, 10.3), of which exp(-x) ln(1 + 2/x)/2 and exp(-x) ln(1 + 1/x) are bounds (Abramowitz and
 * Stegun 5.1.20); the tape takes some of it. */
static void a_near_edge_is_a_mirrored_source(void **state) {
    static const char *const feeds[] = {"15 mm/min", "60 mm/min", "900 mm/min"};

    (void)state;
    for (int f = 0; f < 3; f++) {
        for (int side = 0; side < 4; side++) {
            double x = side == 0 ? 12 : side == 1 ? SIDE - 12 : SIDE / 2;
            double y = side == 2 ? 12 : side == 3 ? SIDE - 12 : SIDE / 2;
            draft d = drilled(x, y, feeds[f]);
            double alone, seconds, rise = drilling_rise(&d, &alone, &seconds);
            th_job *job = built(&d);
            const th_stock *stock = job->part.stock;
            double heat = stock->density * stock->heat_capacity * 1e-9;
            double k = stock->conductivity * 1e-3;
            double z = 24 * 24 / (4 * k / heat * seconds), scale = 10 / (4 * TH_PI * k * 3);
            double loss = loss_of(job);
            double kept = exp(-loss * seconds / (heat * 3));
            assert_true(rise - alone <= scale * exp(-z) * log1p(1 / z) * (1 + 1e-6) + 1e-9 * rise);
            assert_true(rise - alone >= scale * exp(-z) * log1p(2 / z) / 2 * kept - 1e-9 * rise);
            th_job_free(job);
        }
    }
}

/* ---- round an edge ----------------------------------------------------------------------------
 */

/* One pass round a part with corners or without, metal left under it. */
static double lap_rise(const char *stock, bool round, double under) {
    th_warming_pass pass = {
        .power = 20, .max_chip = 0.03, .radial = 1.5, .axial = 0.5, .under = under, .feed = 3000};
    draft d = plate(60, 60, 12);
    double rise, biot;
    place p;

    put(&d, "part", "stock", stock);
    put(&d, "part", "shape", round ? "disc" : "rectangle");
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put(&d, "cut.1", "radial", "1.5");
    put(&d, "cut.1", "axial", "13");
    stand(&d, &p);
    assert_near(th_duration_of(&p.ground, &p.job->cuts[0]).passes, 1, 0, 0);
    rise = th_warmth_under(&p.ground, &p.job->cuts[0], &pass, 20, &biot);
    leave(&p);
    return rise;
}

/* At a corner there are two edges, each of which mirrors what the other does: twice the rise of one
 * edge, whether the tape is right below, or so far that heat spreads on its way there. */
static void a_corner_doubles_what_an_edge_does(void **state) {
    static const double unders[] = {0, 0.3, 1, 3, 6, 9};
    static const char *const stocks[] = {"al-6061-t6", "stainless-304"};

    int warm = 0;

    (void)state;
    for (int s = 0; s < 2; s++) {
        for (size_t i = 0; i < sizeof unders / sizeof *unders; i++) {
            double straight = lap_rise(stocks[s], true, unders[i]);
            double corner = lap_rise(stocks[s], false, unders[i]);
            assert_near(corner, 2 * straight, 1e-9, 0);
            warm += straight > 0;
        }
    }
    assert_true(warm >= 10);
}

/* ---- pockets ----------------------------------------------------------------------------------
 */

/* Of 10 W in a wide plate, in a pass whose cut ends at its upper side. */
static double middle_rise(const draft *d, place *p) {
    th_warming_pass pass = {
        .power = 10, .max_chip = 0.03, .radial = 3, .axial = 1, .under = 2, .feed = 300};
    double biot;

    stand(d, p);
    return th_warmth_under(&p->ground, &p->job->cuts[0], &pass, 10, &biot);
}

/* A square of side b in a plate that loses heat through its face: P/(rho c t b^2) times the
 * integral of exp(-h s/(rho c t)) erf(b/(4 sqrt(a s)))^2 over the time s (Carslaw and Jaeger,
 * Conduction of Heat in Solids, 10.2 and 10.3), here with s = r^2. */
static double square_rise(const place *p, double side, double seconds) {
    enum { STEPS = 20000 };
    const th_stock *stock = p->job->part.stock;
    double heat = stock->density * stock->heat_capacity * 1e-9;
    double a = stock->conductivity * 1e-3 / heat, sheet = heat * 3, sum = 0;
    double step = sqrt(seconds) / STEPS;

    for (int i = 0; i < STEPS; i++) {
        double r = (i + 0.5) * step, wide = erf(side / (4 * sqrt(a) * r));
        sum += 2 * r * step * exp(-loss_of(p->job) / sheet * r * r) * wide * wide;
    }
    return 10 / (sheet * side * side) * sum;
}

/* What the passes of a pocket bring side by side is a square as large as it, which stays where it
 * is: that much more than the same pass of a cut that follows a line. */
static void a_pocket_is_a_square_that_stands_still(void **state) {
    static const char *const stocks[] = {"acrylic", "stainless-304"};

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft line = plate(SIDE, SIDE, 3), d;
        double alone, rise, side;
        place p;
        put(&line, "part", "stock", stocks[i]);
        d = line;
        add_cut(&line, "cut.1", "engrave", "flat-3mm-2");
        put(&line, "cut.1", "length", "200");
        put(&line, "cut.1", "at", "300,300");
        put(&line, "cut.1", "depth", "1");
        alone = middle_rise(&line, &p);
        leave(&p);
        add_cut(&d, "cut.1", "pocket", "flat-3mm-2");
        put(&d, "cut.1", "radial", "1.5");
        put(&d, "cut.1", "axial", "0.1");
        put(&d, "cut.1", "depth", "1");
        put(&d, "cut.1", "at", "300,300");
        put(&d, "cut.1", "size", "16 x 9"); /* as large as 12 x 12 */
        put(&d, "cut.1", "feed", "100 mm/min");
        rise = middle_rise(&d, &p);
        side = i == 0 ? fmax(12, p.ground.decay) : 12;
        assert_near(rise - alone,
                    square_rise(&p, side, th_duration_of(&p.ground, &p.job->cuts[0]).cutting * 60),
                    1e-7, 0);
        leave(&p);
    }
}

/* The last of passes of 1 mm along a slot of 20 mm, and what is `left` by those before it: each a
 * level higher, and the length of the slot longer ago. Half the heat goes into either wall. */
static double slot_rise(const char *depth, double *passes, double *left) {
    th_warming_pass pass = {.power = 20, .max_chip = 0.03, .radial = 3, .axial = 1, .feed = 300};
    draft d = plate(SIDE, SIDE, 3);
    double rise, biot;
    place p;

    put(&d, "part", "stock", "stainless-304");
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "from", "290,300");
    put(&d, "cut.1", "to", "310,300");
    put(&d, "cut.1", "axial", "1");
    put(&d, "cut.1", "depth", depth);
    put(&d, "cut.1", "feed", "300 mm/min");
    stand(&d, &p);
    *passes = th_duration_of(&p.ground, &p.job->cuts[0]).passes;
    rise = th_warmth_under(&p.ground, &p.job->cuts[0], &pass, 20, &biot);
    th_heat_source wall = {.stock = p.job->part.stock,
                           .thickness = 3,
                           .loss = loss_of(p.job),
                           .power = 10,
                           .seconds = INFINITY,
                           .strip = INFINITY,
                           .patch = 3,
                           .feed = 300,
                           .edges = 2};
    *left = 0;
    for (int n = 1; n < *passes; n++) {
        *left += th_local_left(&wall, n, n + 1, 20.0 * n);
    }
    leave(&p);
    return rise;
}

static void passes_before_are_a_slots_length_behind(void **state) {
    static const char *const depths[] = {"0.9", "1.9", "2.9"};
    double alone = 0;

    (void)state;
    for (int i = 0; i < 3; i++) {
        double passes, left, rise = slot_rise(depths[i], &passes, &left);
        assert_near(passes, i + 1, 0, 0);
        alone = i ? alone : rise;
        assert_near(rise, alone + left, 1e-9, 0);
    }
}

/* Many thin levels in thick stock: each brings little, all of them much. What a slot gets warmer by
 * for having them is all that each of them left, however long its heat is on its way. */
static void a_long_tail_is_not_cut_off(void **state) {
    static const struct {
        const char *stock;
        double thickness, axial, depth, length, feed, under;
    } cases[] = {{"stainless-304", 10, 0.05, 9.95, 20, 300, 0},
                 {"stainless-304", 12, 0.03, 11.97, 20, 3000, 0},
                 {"stainless-304", 6, 0.02, 5.9, 40, 600, 0},
                 {"stainless-304", 12, 0.1, 4, 2, 3000,
                  8}, /* far above the tape: the oldest brings the most */
                 {"stainless-304", 10, 0.1, 6, 8, 1500, 4},
                 {"acrylic", 8, 0.02, 0.7, 2, 100, 7.2}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double axial = cases[i].axial, thickness = cases[i].thickness, rise[2], biot, left = 0;
        double passes = ceil(cases[i].depth / axial - 1e-9);
        for (int k = 0; k < 2; k++) {
            th_warming_pass pass = {.power = 20,
                                    .max_chip = 0.03,
                                    .radial = 3,
                                    .axial = axial,
                                    .feed = cases[i].feed,
                                    .under = cases[i].under};
            draft d = plate(SIDE, SIDE, thickness);
            place p;
            put(&d, "part", "stock", cases[i].stock);
            add_cut(&d, "cut.1", "slot", "flat-3mm-2");
            put(&d, "cutter.em", "stickout", "15");
            put_point(&d, "cut.1", "from", 280, 300);
            put_point(&d, "cut.1", "to", 280 + cases[i].length, 300);
            put_length(&d, "cut.1", "axial", axial);
            put_length(&d, "cut.1", "depth", k ? cases[i].depth : axial);
            put_number(&d, "cut.1", "feed", cases[i].feed, "mm/min");
            stand(&d, &p);
            rise[k] = th_warmth_under(&p.ground, &p.job->cuts[0], &pass, 20, &biot);
            th_heat_source wall = {
                .stock = p.job->part.stock,
                .thickness = thickness,
                .loss = loss_of(p.job),
                .power = 10,
                .seconds = INFINITY,
                .strip = INFINITY,
                .patch = th_warmth_plastic(p.job->part.stock) ? fmax(3, p.ground.decay) : 3,
                .feed = cases[i].feed,
                .edges = 2};
            for (int n = 1; k && n < passes; n++) {
                double low = fmin(cases[i].under + n * axial, thickness - axial);
                left += th_local_left(&wall, low, low + axial, cases[i].length * n);
            }
            leave(&p);
        }
        assert_true(left > 0.05);
        assert_near(rise[1] - rise[0], left, 2e-3, 0);
    }
}

/* ---- in an answer ------------------------------------------------------------------------------
 */

/* The tape gives on from the plate below, still as cold as the room: a part grows over it by half
 * its diagonal times expansion times rise, and by that at its corners. */
static void a_warm_part_outgrows_its_plate(void **state) {
    static const double sides[][2] = {{300, 160}, {160, 300}};

    (void)state;
    for (int i = 0; i < 2; i++) {
        double length = sides[i][0], width = sides[i][1], slip = NAN;
        draft d = plate(length, width, 5);
        answer a;
        put(&d, "part", "stock", "acrylic");
        put(&d, "hold", "tape", "painters-paper");
        add_cut(&d, "cut.1", "pocket", "flat-10mm-3");
        put(&d, "cut.1", "radial", "6");
        put(&d, "cut.1", "axial", "1");
        put(&d, "cut.1", "depth", "3");
        put(&d, "cut.1", "feed", "200 mm/min");
        put_point(&d, "cut.1", "at", length / 2, width / 2);
        put(&d, "cut.1", "size", i ? "140 x 280" : "280 x 140");
        run(&d, false, &a);
        for (size_t k = 0; k < a.check.cautions.count; k++) {
            const char *told = strstr(a.check.cautions.items[k], "plate by up to ");
            slip = told ? strtod(told + strlen("plate by up to "), NULL) : slip;
        }
        double rise = a.check.stages[0].part_temperature - a.job->hold.room_temperature;
        assert_near(slip, hypot(length, width) / 2 * a.job->part.stock->expansion * rise, 0, 6e-4);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(edges_far_away_throw_nothing_back),
        cmocka_unit_test(a_near_edge_is_a_mirrored_source),
        cmocka_unit_test(a_corner_doubles_what_an_edge_does),
        cmocka_unit_test(a_pocket_is_a_square_that_stands_still),
        cmocka_unit_test(passes_before_are_a_slots_length_behind),
        cmocka_unit_test(a_long_tail_is_not_cut_off),
        cmocka_unit_test(a_warm_part_outgrows_its_plate),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
