/* Tests of the slices of a step, split. Arcs are invented. */
#include <math.h>

#include "fine_zones.h"
#include "support/near.h"

/* Slices of a ball nose of 6 mm with two arcs each, from 1 mm up, 0.3 mm high. */
static th_engagement two_arcs(const double ends[3][4]) {
    th_engagement e = {.zone_count = 3};

    for (int i = 0; i < 3; i++) {
        e.zones[i] = (th_zone){.low = 1 + 0.3 * i,
                               .high = 1.3 + 0.3 * i,
                               .arc_count = 2,
                               .arcs = {{ends[i][0], ends[i][1]}, {ends[i][2], ends[i][3]}}};
    }
    return e;
}

static double swept(const th_zone *zones, int count) {
    double sum = 0;

    for (int i = 0; i < count; i++) {
        for (int k = 0; k < zones[i].arc_count; k++) {
            sum +=
                (zones[i].arcs[k].exit - zones[i].arcs[k].entry) * (zones[i].high - zones[i].low);
        }
    }
    return sum;
}

/* Arcs that come so near that their parts would run into one another keep what they cut, and stay
 * apart. */
static void test_near_arcs(void **state) {
    static const double ends[][3][4] = {
        {{0.3, 1.50, 1.56, 2.9}, {0.3, 1.2, 1.9, 2.9}, {0.3, 1.1, 2.0, 2.9}},
        {{0.3, 1.1, 2.0, 2.9}, {0.3, 1.2, 1.9, 2.9}, {0.3, 1.50, 1.56, 2.9}},
        {{0.3, 1.2, 1.9, 2.9}, {0.3, 1.2, 1.9, 2.9}, {0.3, 1.2, 1.9, 2.9}},
    };
    th_cutter ball = {.diameter = 6, .corner_radius = 3, .kind = TH_BALL};
    tool_shape shape = tool_shape_of(&ball);
    (void)state;

    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        th_engagement e = two_arcs(ends[i]);
        fine_zones fine;
        fine_zones_of(&shape, &e, &fine);
        assert_near(swept(fine.zones, fine.count), swept(e.zones, 3), 0.02, 0);
        for (int k = 0; k < fine.count; k++) {
            const th_zone *zone = &fine.zones[k];
            assert_true(zone->arc_count < 2 || zone->arcs[1].entry >= zone->arcs[0].exit);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_near_arcs)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
