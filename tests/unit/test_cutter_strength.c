/* Tests of the cutter as a beam and of the spindle's torque. Cutters are invented. */
#include <math.h>

#include "support/near.h"
#include "tackhold/cutting.h"

#define CARBIDE 580000.0 /* modulus (MPa) */
#define STEEL 210000.0

static th_cutter cutter_of(double diameter, double stickout, double flutes, double shank) {
    th_cutter cutter = {.kind = TH_FLAT,
                        .diameter = diameter,
                        .flutes = 2,
                        .stickout = stickout,
                        .flute_length = flutes,
                        .shank = shank,
                        .material = TH_CARBIDE};

    return cutter;
}

/* Second moment of a round bar, pi d^4/64. */
static double moment_of(double d) {
    return TH_PI * pow(d, 4) / 64;
}

/* F L^3/(3 E I) with the equivalent diameter 0.8 D of Kops and Vo, "Determination of the equivalent
 * diameter of an end mill based on its compliance", CIRP Annals 39/1, 1990 (abstract: about 80 % of
 * the cutter's diameter for two and four flutes). */
static void fluted_all_along_it_is_a_cantilever(void **state) {
    th_cutter cutter = cutter_of(6, 22, 22, 6);

    (void)state;
    assert_near(th_cutter_deflection(&cutter, 40),
                40 * pow(22, 3) / (3 * CARBIDE * moment_of(0.8 * 6)), 1e-12, 0);
    cutter.flute_length = NAN; /* a row may leave it out */
    assert_near(th_cutter_deflection(&cutter, 40), 40 * pow(22, 3) / (3 * CARBIDE * moment_of(4.8)),
                1e-12, 0);
    cutter.material = TH_HSS;
    assert_near(th_cutter_deflection(&cutter, 40), 40 * pow(22, 3) / (3 * STEEL * moment_of(4.8)),
                1e-12, 0);
}

/* The tip moves by the integral of M x/(E I) along the beam (unit-load theorem), here by Simpson's
 * rule, exact for the cubic. */
static double by_unit_load(double force, double from, double to, double d) {
    double middle = (from + to) / 2, ei = CARBIDE * moment_of(d);

    return force * (to - from) / 6 * (from * from + 4 * middle * middle + to * to) / ei;
}

static void two_lengths_add_up(void **state) {
    th_cutter thick = cutter_of(3, 20, 8, 6), thin = cutter_of(6, 30, 12, 4);
    double whole;

    (void)state;
    assert_near(th_cutter_deflection(&thick, 25),
                by_unit_load(25, 0, 8, 2.4) + by_unit_load(25, 8, 20, 6), 1e-12, 0);
    assert_near(th_cutter_deflection(&thin, 25),
                by_unit_load(25, 0, 12, 4.8) + by_unit_load(25, 12, 30, 4), 1e-12, 0);
    whole = th_cutter_deflection(&thick, 25);
    thick.shank = 1e3; /* rigid behind the flutes, which still turn with their lever */
    assert_near(th_cutter_deflection(&thick, 25), by_unit_load(25, 0, 8, 2.4), 1e-6, 0);
    assert_true(th_cutter_deflection(&thick, 25) < whole);
}

/* 32 M/(pi d^3) in bending, 16 T/(pi d^3) in torsion: both closed forms of a round bar. */
static void stress_is_that_of_a_round_bar(void **state) {
    th_cutter cutter = cutter_of(5, 30, 10, 10);

    (void)state;
    /* 0.8 D = 4 at the end of the flutes, lever 10; 10 at the clamping, lever 30 */
    assert_near(th_cutter_stress(&cutter, 100, 0), 32 * 1000 / (TH_PI * 64), 1e-12, 0);
    assert_near(th_cutter_stress(&cutter, 0, 500), 16 * 500 / (TH_PI * 64), 1e-12, 0);
    cutter.shank = 4;
    assert_near(th_cutter_stress(&cutter, 100, 0), 32 * 3000 / (TH_PI * 64), 1e-12, 0);
    assert_true(th_cutter_stress(&cutter, 100, 500) > th_cutter_stress(&cutter, 100, 0));
    assert_true(th_cutter_stress(&cutter, 100, 500) <
                th_cutter_stress(&cutter, 100, 0) + th_cutter_stress(&cutter, 0, 500));
    assert_true(th_cutter_strength(&cutter) >= 900 && th_cutter_strength(&cutter) <= 2000);
}

/* T = 9549.3 P/n with P in kW and n in rpm, the machine handbooks' form. */
static void torque_comes_from_power(void **state) {
    (void)state;
    assert_near(th_torque_of(1000, 9549.3), 1000, 1e-5, 0);
    assert_near(th_torque_of(250, 12000), 1000 * 9549.3 * 0.25 / 12000, 1e-5, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fluted_all_along_it_is_a_cantilever),
        cmocka_unit_test(two_lengths_add_up),
        cmocka_unit_test(stress_is_that_of_a_round_bar),
        cmocka_unit_test(torque_comes_from_power),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
