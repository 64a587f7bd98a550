/* test_slices.c - what is left of heat that entered at some height: slices of the thickness. */
#include <math.h>

#include "support/near.h"
#include "tackhold/heat.h"

/* Heat equation and mean are linear: what slices of equal height leave, each by itself, is on
 * average what all of them leave together, however thin they are and however little of the upper
 * ones' heat has come down. No coolant, a plastic, far enough behind for no floor to bound it. */
static void slices_add_up(void **state) {
    static const struct {
        int parts;
        double age; /* Fourier number by which the modes left out have died away */
    } cases[] = {{2, 0.03}, {3, 0.03}, {10, 0.03}, {20, 0.008}, {50, 0.008}};
    const th_stock plastic = {.density = 1180, .heat_capacity = 1470, .conductivity = 0.19};
    th_heat_source source = {.stock = &plastic,
                             .thickness = 3,
                             .power = 1,
                             .feed = 1200,
                             .seconds = INFINITY,
                             .patch = 6,
                             .strip = INFINITY};
    double a = 0.19e-3 / (1180 * 1470 * 1e-9);

    (void)state;
    for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
        for (int i = 0; i < 8; i++) {
            double behind = 20 * ldexp(cases[c].age, i) * 9 / a, sum = 0;
            for (int k = 0; k < cases[c].parts; k++) {
                double high = 3.0 * (k + 1) / cases[c].parts;
                sum += th_local_left(&source, 3.0 * k / cases[c].parts, high, behind);
            }
            assert_near(sum / cases[c].parts, th_local_left(&source, 0, 3, behind), 1e-6, 0);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slices_add_up),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
