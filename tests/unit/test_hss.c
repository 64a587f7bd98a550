/* test_hss.c - the speed that a cutter of high-speed steel runs at by default. */
#include <math.h>
#include <string.h>

#include "support/draft.h"

static draft slotted(const char *stock, const char *material) {
    draft d = plate(60, 40, 3);

    put(&d, "part", "stock", stock);
    put(&d, "machine", "speed_max", "60000 rpm");
    put(&d, "machine", "speed_min", "100 rpm");
    add_cut(&d, "cut.1", "slot", "flat-10mm-3");
    put(&d, "cutter.em", "material", material);
    put(&d, "cut.1", "axial", "0.2");
    return d;
}

/* Surface speed by default (m/min). */
static double surface_of(const char *stock, const char *material) {
    draft d = slotted(stock, material);
    put(&d, "cutter.em", "id", "flat-3mm-2"); /* small: its speed is rounded down by little */
    th_job *job = built(&d);
    const th_cut *cut = &job->cuts[0];
    double surface = cut->speed * TH_PI * cut->cutter->row.diameter / 1000;

    th_job_free(job);
    return surface;
}

static bool told(const draft *d, const char *words, bool caution) {
    th_job *job = built(d);
    const th_lines *lines = caution ? &job->cautions : &job->defaults;
    bool found = false;

    for (size_t i = 0; i < lines->count; i++) {
        found = found || strstr(lines->items[i], words);
    }
    th_job_free(job);
    return found;
}

/* Milling with high-speed steel: Carvill, Mechanical Engineer's Data Handbook (1994), 100 m/min in
 * aluminium alloy, 60 in copper, 35 in bronze, 45 in hard brass, 28 in low-carbon steel, 20 in cast
 * iron. A third of the rows' middle meets the first three within a sixth and runs above the
 * others by a half to three quarters, which is recorded here; half of it missed them all. */
static void handbook_speeds_against_the_default(void **state) {
    static const struct {
        const char *stock;
        double printed, ratio; /* (m/min); of the default over it (-) */
    } rows[] = {{"al-6061-t6", 100, 1.08}, {"copper", 60, 0.917},    {"bronze", 35, 1.14},
                {"brass", 45, 1.48},       {"steel-mild", 28, 1.55}, {"cast-iron-grey", 20, 1.75}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double surface = surface_of(rows[i].stock, "hss");
        /* the speed is rounded down to a step of 100 rpm */
        assert_near(surface / rows[i].printed, rows[i].ratio, 0.03, 0);
    }
}

static void a_third_of_carbide(void **state) {
    static const char *const stocks[] = {"al-6061-t6", "brass", "stainless-304", "acrylic"};

    (void)state;
    for (size_t i = 0; i < sizeof stocks / sizeof stocks[0]; i++) {
        double step = 100 * TH_PI * 3 / 1000; /* one step of the speed, as a surface speed */
        assert_near(surface_of(stocks[i], "hss"), surface_of(stocks[i], "carbide") / 3, 0, step);
    }
}

static void the_reason_is_listed(void **state) {
    draft hss = slotted("al-6061-t6", "hss"), carbide = slotted("al-6061-t6", "carbide");

    (void)state;
    assert_true(told(&hss, "cut.1.speed = 3400 rpm (hss: a third of", false));
    assert_false(told(&carbide, "hss", false));
    put(&hss, "machine", "speed_max", "3000 rpm"); /* the machine decides */
    assert_true(told(&hss, "cut.1.speed = 3000 rpm", false));
    assert_false(told(&hss, "a third of", false));
    put(&hss, "machine", "speed_max", "60000 rpm");
    put(&hss, "cut.1", "speed", "8000 rpm"); /* 251 m/min: usual for carbide, not for this */
    put(&carbide, "cut.1", "speed", "8000 rpm");
    assert_true(told(&hss, "outside the usual 50 m/min to 167 m/min", true));
    assert_false(told(&carbide, "outside the usual", true));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(handbook_speeds_against_the_default),
        cmocka_unit_test(a_third_of_carbide),
        cmocka_unit_test(the_reason_is_listed),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
