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

/* One place slides most and governs, another lifts most; both are told, wherever they are. */
static void what_lifts_most_need_not_govern(void **state) {
    static field f;
    th_wrench push = {10, 0, 0, 0, 0, 0};
    th_history history = {&push, NULL, 1, 0};
    th_stack stack = {.count = 1, .interfaces = {{.name = "x", .shear = 0.01, .lift = 10}}};
    th_plate_ask ask = {.stack = &stack, .history = &history, .load = TH_PEAK};

    (void)state;
    for (size_t c = 0; c < 3; c++) {
        for (size_t at = 0; at < counts[c]; at += counts[c] / 40) {
            size_t slides = counts[c] - 1 - at;
            th_grip grip;
            if (slides == at) {
                continue;
            }
            even(&f, counts[c]);
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

/* A couple that swings to and fro: what it makes of a place at its largest counts, though it makes
 * nothing of it on average. */
static void a_couple_that_swings_counts_at_its_largest(void **state) {
    static field f;
    th_wrench w[INSTANTS];
    th_history history = {w, NULL, INSTANTS, 0};
    th_stack stack = {.count = 1, .interfaces = {{.name = "x", .shear = 1, .lift = 0.5}}};
    th_plate_ask ask = {.stack = &stack, .history = &history, .load = TH_PEAK};

    (void)state;
    for (size_t u = TH_UNIT_MX; u <= TH_UNIT_MZ; u++) {
        for (size_t i = 0; i < INSTANTS; i++) {
            double couple = 200 * sin(2 * TH_PI * (double)i / INSTANTS);
            w[i] = (th_wrench){10,
                               0,
                               0,
                               u == TH_UNIT_MX ? couple : 0,
                               u == TH_UNIT_MY ? couple : 0,
                               u == TH_UNIT_MZ ? couple : 0};
        }
        for (size_t c = 0; c < 3; c++) {
            for (size_t s = 0; s < sizeof shares / sizeof *shares; s++) {
                size_t swings = shares[s] * (counts[c] - 1) / 100, rests = counts[c] / 2;
                th_grip grip;
                even(&f, counts[c]);
                f.unit[TH_UNIT_FX][3 * rests] = 0.04; /* 0.4 MPa, always */
                f.unit[u][3 * swings] = 0.003;        /* 0.6 MPa at most */
                f.unit[TH_UNIT_FX][3 * swings] = swings == rests ? 0.04 : 0;
                grip = th_grip_plate(&f.influence, &ask).grip;
                assert_near(grip.shear_peak, swings == rests ? 1 : 0.6, 1e-12, 0);
                assert_near(grip.at.x, f.x[swings], 0, 0);
                assert_near(grip.at.y, f.y[swings], 0, 0);
            }
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_lifts_most_need_not_govern),
        cmocka_unit_test(a_couple_that_swings_counts_at_its_largest),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
