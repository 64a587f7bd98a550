/* test_grip_many.c - the plate's worst place among very many: none that matters is passed over. By
 * what each place is made to show. */
#include <math.h>
#include <string.h>

#include "support/near.h"
#include "tackhold/bond.h"

enum { PLACES = 9000, INSTANTS = 24 };

typedef struct {
    double x[PLACES], y[PLACES], area[PLACES], unit[TH_UNITS][3 * PLACES];
    size_t node[PLACES];
    th_plate_nodes nodes;
    th_plate_influence influence;
} field;

/* Places that no load reaches. */
static void even(field *f, size_t count) {
    memset(f->unit, 0, sizeof f->unit);
    f->nodes =
        (th_plate_nodes){.count = count, .x = f->x, .y = f->y, .area = f->area, .node = f->node};
    f->influence = (th_plate_influence){.nodes = &f->nodes, .place = {50, 50, 3}};
    for (size_t u = 0; u < TH_UNITS; u++) {
        f->influence.unit[u] = f->unit[u];
    }
    for (size_t n = 0; n < count; n++) {
        f->x[n] = (double)(n % 100);
        f->y[n] = (double)(n / 100);
        f->area[n] = 1;
        f->node[n] = n;
    }
}

static const size_t counts[] = {40, 700, PLACES};
static const size_t shares[] = {0, 5, 11, 30, 33, 60, 77, 98, 100}; /* % of the way, by number */

/* One place slides most and governs, another lifts most; both are told, wherever they are and
 * however long it lasts. */
static void what_lifts_most_need_not_govern(void **state) {
    static field f;
    th_wrench push = {10, 0, 0, 0, 0, 0};
    double weight = 1;
    th_history history = {&push, &weight, 1, 0};
    th_stack stack = {
        .count = 1, .interfaces = {{.name = "x", .shear = 0.01, .lift = 10, .time_exponent = 0.2}}};
    th_plate_ask ask = {.stack = &stack, .history = &history, .seconds = 3};

    (void)state;
    for (size_t c = 0; c < 6; c++) {
        size_t count = counts[c / 2];
        ask.load = c % 2 ? TH_SUSTAINED : TH_PEAK;
        for (size_t at = 0; at < count; at += count / 40) {
            size_t slides = count - 1 - at;
            th_grip grip;
            if (slides == at) {
                continue;
            }
            even(&f, count);
            f.unit[TH_UNIT_FX][3 * slides] = 0.002;
            f.unit[TH_UNIT_FX][3 * at + 2] = 0.001;
            grip = th_grip_plate(&f.influence, &ask).grip;
            assert_near(grip.index, 0.02 / 0.01, 1e-12, 0);
            assert_near(grip.at.x, f.x[slides], 0, 0);
            assert_near(grip.at.y, f.y[slides], 0, 0);
            assert_near(grip.lift_peak, 0.01, 1e-12, 0);
        }
    }
}

static void set_component(th_wrench *w, size_t unit, double to) {
    double *all[TH_UNITS] = {&w->fx, &w->fy, &w->fz, &w->mx, &w->my, &w->mz};

    *all[unit] = to;
}

/* A force or a couple that swings to and fro: what it makes of a place at its largest counts,
 * though it makes nothing of it on average and hardly more than another place bears nearly always,
 * which looks worse: once, when it is at rest otherwise, another load comes there. */
static void what_swings_counts_at_its_largest(void **state) {
    static field f;
    th_wrench w[INSTANTS];
    th_history history = {w, NULL, INSTANTS, 0};
    th_stack stack = {.count = 1, .interfaces = {{.name = "x", .shear = 1, .lift = 0.5}}};
    th_plate_ask ask = {.stack = &stack, .history = &history, .load = TH_PEAK};

    (void)state;
    for (size_t u = 0; u < TH_UNITS; u++) {
        size_t always = (u + 1) % TH_UNITS, once = (u + 2) % TH_UNITS;
        for (size_t i = 0; i < INSTANTS; i++) {
            w[i] = (th_wrench){0};
            set_component(&w[i], i == INSTANTS / 2 ? once : always, 10);
            set_component(&w[i], u, 200 * sin(2 * TH_PI * (double)i / INSTANTS));
        }
        for (size_t c = 0; c < 3; c++) {
            for (size_t s = 0; s < sizeof shares / sizeof *shares; s++) {
                size_t swings = shares[s] * (counts[c] - 1) / 100, rests = counts[c] / 2;
                th_grip grip;
                even(&f, counts[c]);
                f.unit[always][3 * rests] = 0.058; /* 0.58 MPa, but once */
                f.unit[once][3 * rests + 1] = 0.03;
                f.unit[u][3 * swings] = 0.003; /* 0.6 MPa at most */
                f.unit[always][3 * swings] = swings == rests ? 0.058 : 0;
                grip = th_grip_plate(&f.influence, &ask).grip;
                assert_near(grip.shear_peak, swings == rests ? 1.18 : 0.6, 1e-12, 0);
                assert_near(grip.at.x, f.x[swings], 0, 0);
                assert_near(grip.at.y, f.y[swings], 0, 0);
            }
        }
    }
}

/* Of places that are loaded alike the first counts, whatever the rest of the load makes of the
 * others and however large it is: what a place cannot exceed is not rounded to less than it bears.
 */
static void of_places_loaded_alike_the_first_counts(void **state) {
    enum { LESS = 1, FIRST = 3, LATER = 35 };
    static field f;
    th_wrench w[2] = {{7, 0, 0, 0, 0, 0}, {0, 7, 0, 0, 0, 0}};
    th_history history = {w, NULL, 2, 0};
    th_stack stack = {.count = 1, .interfaces = {{.name = "x", .shear = 0.3, .lift = 0.3}}};
    th_plate_ask ask = {.stack = &stack, .history = &history, .load = TH_PEAK};

    (void)state;
    for (int i = 0; i < 100; i++) {
        size_t axis = (size_t)i % 2, along = axis ? TH_UNIT_FY : TH_UNIT_FX;
        double unit = 0.01 * pow(1.087, i);
        th_grip grip;
        even(&f, 40);
        f.unit[along][3 * LESS + axis] = unit / 2;
        f.unit[along][3 * FIRST + axis] = unit;
        f.unit[TH_UNIT_FX][3 * LATER] = unit;
        f.unit[TH_UNIT_FY][3 * LATER + 1] = unit; /* as much one instant later, never both */
        grip = th_grip_plate(&f.influence, &ask).grip;
        assert_near(grip.index, 7 * unit / 0.3, 1e-12, 0);
        assert_near(grip.at.x, f.x[FIRST], 0, 0);
    }
}

/* Four places at the corners of a square, as stiff as a rigid part: a force through the middle
 * slides it and a couple twists it, whatever its size and wherever its origin lies. */
static void the_way_is_that_of_any_size(void **state) {
    static const double sizes[] = {1e-3, 0.1, 1, 40}; /* side of each bonded place (mm) */
    static field f;
    th_wrench w;
    th_history history = {&w, NULL, 1, 0};
    th_stack stack = {.count = 1, .interfaces = {{.name = "x", .shear = 0.3, .lift = 0.3}}};
    th_plate_ask ask = {.stack = &stack, .history = &history, .load = TH_PEAK};

    (void)state;
    for (size_t s = 0; s < sizeof sizes / sizeof *sizes; s++) {
        double half = 2 * sizes[s], area = sizes[s] * sizes[s];
        double middle[2] = {25 * sizes[s], -31 * sizes[s]};
        even(&f, 4);
        f.influence.place = (th_plate_spot){middle[0], middle[1], sizes[s]};
        for (size_t n = 0; n < 4; n++) {
            double dx = n % 2 ? half : -half, dy = n / 2 ? half : -half;
            f.x[n] = middle[0] + dx;
            f.y[n] = middle[1] + dy;
            f.area[n] = area;
            f.unit[TH_UNIT_FX][3 * n] = f.unit[TH_UNIT_FY][3 * n + 1] = 1 / (4 * area);
            f.unit[TH_UNIT_MZ][3 * n] = -dy / (8 * area * half * half);
            f.unit[TH_UNIT_MZ][3 * n + 1] = dx / (8 * area * half * half);
        }
        w = (th_wrench){area, 0, 0, 0, 0, 0};
        assert_int_equal(th_grip_plate(&f.influence, &ask).grip.way, TH_SLIDE);
        w = (th_wrench){0, area, 0, 0, 0, 0};
        assert_int_equal(th_grip_plate(&f.influence, &ask).grip.way, TH_SLIDE);
        w = (th_wrench){0, 0, 0, 0, 0, area * half};
        assert_int_equal(th_grip_plate(&f.influence, &ask).grip.way, TH_TWIST);
    }
}

static double roll(unsigned long long *seed, double low, double high) {
    *seed = *seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return low + (high - low) * (double)(*seed >> 11) / 9007199254740992.0;
}

/* What a history does at its peaks is what the worst of its instants does alone, however small the
 * bonded area is and wherever it lies: none that matters is passed over. */
static void a_peak_is_that_of_one_instant(void **state) {
    enum { JOBS = 3000 };
    static const double outwards[4][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
    unsigned long long seed = 5;
    th_wrench w[5 * INSTANTS];
    th_stack stack = {.count = 2,
                      .interfaces = {{.name = "x", .shear = 0.3, .lift = 0.5},
                                     {.name = "y", .shear = 0.4, .lift = 0.2}}};

    (void)state;
    for (int job = 0; job < JOBS; job++) {
        double a = pow(10, roll(&seed, -2, 2)), b = a * roll(&seed, 0.2, 1), most[3] = {0, 0, 0};
        double cx = 3 * a * roll(&seed, -1, 1), cy = 3 * a * roll(&seed, -1, 1);
        double swing = roll(&seed, 0, 1);
        th_history history = {w, NULL, sizeof w / sizeof *w, 0};
        th_point corners[4];
        th_bonded bonded = {.area = a * b,
                            .cx = cx,
                            .cy = cy,
                            .ixx = a * b * b * b / 12,
                            .iyy = b * a * a * a / 12,
                            .corners = corners,
                            .corner_count = 4};
        th_grip all;
        for (int i = 0; i < 4; i++) {
            corners[i] = (th_point){cx + outwards[i][0] * a / 2, cy + outwards[i][1] * b / 2};
        }
        for (size_t k = 0; k < history.count; k++) {
            double side = a * b * swing, arm = a * side * roll(&seed, 0, 1);
            w[k] = (th_wrench){roll(&seed, -side, side),   roll(&seed, -side, side),
                               a * b * roll(&seed, -1, 1), roll(&seed, -arm, arm),
                               roll(&seed, -arm, arm),     roll(&seed, -arm, arm)};
        }
        all = th_grip_peak(&bonded, &stack, &history);
        for (size_t k = 0; k < history.count; k++) {
            th_history one = {w + k, NULL, 1, 0};
            th_grip grip = th_grip_peak(&bonded, &stack, &one);
            most[0] = fmax(most[0], grip.index);
            most[1] = fmax(most[1], grip.lift_peak);
            most[2] = fmax(most[2], grip.shear_peak);
        }
        assert_near(all.index, most[0], 1e-12, 0);
        assert_near(all.lift_peak, most[1], 1e-12, 0);
        assert_near(all.shear_peak, most[2], 1e-12, 0);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_lifts_most_need_not_govern),
        cmocka_unit_test(what_swings_counts_at_its_largest),
        cmocka_unit_test(of_places_loaded_alike_the_first_counts),
        cmocka_unit_test(the_way_is_that_of_any_size),
        cmocka_unit_test(a_peak_is_that_of_one_instant),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
