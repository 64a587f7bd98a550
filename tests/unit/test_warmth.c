/* test_warmth.c - heat of the cuts in the answer for a whole job. Jobs are invented; the physics of
 * the layer below is checked in test_heat.c. */
#include <math.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/heat.h"

static draft pocketed(void) {
    draft d = plate(60, 40, 6);

    add_cut(&d, "cut.1", "pocket", "flat-6mm-3");
    put(&d, "cut.1", "radial", "2");
    put(&d, "cut.1", "axial", "0.5");
    put(&d, "cut.1", "depth", "3");
    put(&d, "cut.1", "size", "40 x 20");
    put(&d, "cut.1", "at", "30,20");
    return d;
}

static double tape_temperature(const draft *d) {
    answer a;
    double temperature;

    run(d, false, &a);
    temperature = stage_of(&a, "cut.1", TH_PIECE_PART)->temperature;
    answer_free(&a);
    return temperature;
}

/* Energy is kept: the part's rise lies between that of part and sacrificial plate as one and that
 * of the part alone; rise = energy / (mass x heat capacity). Air takes little in a minute. */
static void energy_is_kept(void **state) {
    draft d = pocketed();
    const th_stage *s;
    const th_stock *stock;
    const th_plate *below;
    double energy, part, sink;
    answer a;

    (void)state;
    run(&d, false, &a);
    s = stage_of(&a, "cut.1", TH_PIECE_PART);
    stock = a.job->part.stock;
    below = a.job->hold.plate;
    energy = s->power * stock->heat_share * 60 * s->minutes;
    part = 1e-9 * stock->density * stock->heat_capacity * (60 * 40 * 6 - 40 * 20 * 3);
    sink = 1e-9 * below->density * below->heat_capacity * 60 * 40 * 12;
    assert_true(s->part_temperature - a.job->hold.room_temperature < energy / part);
    assert_true(s->part_temperature - a.job->hold.room_temperature > 0.9 * energy / (part + sink));
    answer_free(&a);
}

static void cooling_and_rest_cool(void **state) {
    draft d = pocketed();
    double dry = tape_temperature(&d), rested, flooded, faster;

    (void)state;
    put(&d, "cut.1", "rest", "60 s");
    rested = tape_temperature(&d);
    drop(&d, "cut.1", "rest");
    put(&d, "hold", "cooling", "flood");
    flooded = tape_temperature(&d);
    put(&d, "hold", "cooling", "dry");
    put(&d, "cutter.em", "wear", "1.6");
    faster = tape_temperature(&d);
    assert_true(dry > 22 && rested < dry - 0.2 && flooded < dry - 0.2 && faster > dry + 0.2);
}

/* Many passes with a rest after each warm the part as one more does that are as much lighter, to
 * the rise within a few of them: by themselves up to a hundred, taken together beyond. */
static void a_pass_more_is_little_warmth(void **state) {
    double last = NAN;

    (void)state;
    for (int passes = 97; passes <= 105; passes++) {
        draft d = pocketed();
        double rise;
        answer a;
        put(&d, "cut.1", "rest", "0.2 s");
        put_length(&d, "cut.1", "axial", 3.0 / passes + 1e-6);
        run(&d, false, &a);
        const th_stage *s = stage_of(&a, "cut.1", TH_PIECE_PART);
        assert_near(s->passes, passes, 0, 0);
        rise = s->part_temperature - a.job->hold.room_temperature;
        assert_near(rise, isnan(last) ? rise : last, 0.05, 0);
        last = rise;
        answer_free(&a);
    }
}

static void a_push_stays_cold(void **state) {
    const double force[3] = {10, 0, 5};
    draft d = plate(60, 40, 6);
    answer a;

    (void)state;
    add_push(&d, "cut.1", force, 30, 20);
    run(&d, false, &a);
    assert_near(stage_of(&a, "cut.1", TH_PIECE_PART)->temperature, a.job->hold.room_temperature, 0,
                1e-12);
    assert_near(stage_of(&a, "cut.1", TH_PIECE_PART)->local_rise, 0, 0, 0);
    answer_free(&a);
}

static void a_cut_finds_the_warmth_of_those_before(void **state) {
    draft one = pocketed(), two = pocketed();
    answer a, b;

    (void)state;
    add_cut(&two, "cut.2", "engrave", "flat-6mm-3");
    put(&two, "cut.2", "depth", "0.1");
    put(&two, "cut.2", "length", "20");
    put(&two, "cut.2", "at", "30,20 35,20");
    run(&one, false, &a);
    run(&two, false, &b);
    assert_near(stage_of(&b, "cut.1", TH_PIECE_PART)->temperature,
                stage_of(&a, "cut.1", TH_PIECE_PART)->temperature, 1e-12, 0);
    assert_true(stage_of(&b, "cut.2", TH_PIECE_PART)->part_temperature >
                a.job->hold.room_temperature + 0.2);
    answer_free(&a);
    answer_free(&b);
}

static void the_curve_runs_through_the_job(void **state) {
    draft d = pocketed();
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_true(a.check.warm_count > 10);
    assert_near(a.check.warm[0].seconds, 0, 0, 0);
    assert_near(a.check.warm[0].part, a.job->hold.room_temperature, 0, 1e-9);
    for (size_t i = 1; i < a.check.warm_count; i++) {
        assert_true(a.check.warm[i].seconds >= a.check.warm[i - 1].seconds);
        assert_true(a.check.warm[i].tape >= a.check.warm[i].part);
    }
    assert_near(a.check.warm[a.check.warm_count - 1].seconds, 60 * a.check.minutes, 1e-6, 0);
    answer_free(&a);
}

static void too_warm_lets_go_and_says_so(void **state) {
    draft d = pocketed();
    bool said = false;
    answer a;

    (void)state;
    put(&d, "part", "stock", "steel-mild");
    put(&d, "cut.1", "axial", "2");
    put(&d, "cut.1", "radial", "5");
    put(&d, "hold", "tape", "pvc-film");
    put(&d, "hold", "room_temperature", "40 C");
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_LETS_GO);
    assert_near(a.check.hold_factor, 0, 0, 0);
    assert_int_equal(a.check.stages[a.check.governs].way, TH_HEAT);
    for (size_t i = 0; i < a.check.cautions.count; i++) {
        said = said || strstr(a.check.cautions.items[i], "too warm to hold") != NULL;
    }
    assert_true(said);
    answer_free(&a);
}

/* A plate as thick as it likes cannot be warmer at the tape for a sharper cutter or slower spindle
 * at the same chip load. */
static void less_power_is_never_warmer(void **state) {
    draft d = pocketed();
    double full, half;

    (void)state;
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    put(&d, "cut.1", "speed", "10000");
    full = tape_temperature(&d);
    put(&d, "cut.1", "speed", "5000");
    half = tape_temperature(&d);
    assert_true(half <= full + 1e-9);
}

/* How much an outline in a sheet warms the part beyond the room, the sheet's left border so far
 * from it (K). */
static double rise_in_sheet(double rim) {
    draft d = plate(60, 40, 3);
    double rise;
    answer a;

    add_sheet(&d, 84, 64, rim, 12);
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put_length(&d, "cut.1", "radial", 6);
    put_length(&d, "cut.1", "axial", 0.5);
    run(&d, false, &a);
    rise = stage_of(&a, "cut.1", TH_PIECE_PART)->part_temperature - a.job->hold.room_temperature;
    answer_free(&a);
    return rise;
}

/* Of a kerf's heat the frame takes half, in a model that is linear in it; a frame that is milled
 * away on the way takes none. */
static void no_frame_takes_no_heat(void **state) {
    double framed = rise_in_sheet(12);

    (void)state;
    assert_true(framed > 1);
    assert_near(rise_in_sheet(8), framed, 1e-9, 0);
    assert_near(rise_in_sheet(6), 2 * framed, 1e-9, 0);
}

/* ---- other ways of working it out -------------------------------------------------------------
 */

/* A board is warm on top and cold below: one temperature for the depth that heat reaches stands for
 * it; it came out at 0.969 of the layers. Rise of 3 mm of aluminium that takes up 1 W/cm2 for 123
 * s, and the board of 12 or 18 mm under it in 300 layers: python3 tests/reference/kerf_heat.py,
 * SciPy 1.10.1. */
static void board_against_its_layers(void **state) {
    static const char *const boards[] = {"12", "18"};
    static const double layered[] = {104.919, 104.920};

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = plate(100, 60, 3);
        const th_stage *s;
        double into, rise;
        answer a;

        put(&d, "hold", "plate", "sealed-board");
        put(&d, "hold", "plate_thickness", boards[i]);
        put(&d, "hold", "coverage", "1");
        add_cut(&d, "cut.1", "face", "flat-6mm-3");
        put(&d, "cut.1", "radial", "3");
        put(&d, "cut.1", "axial", "0.02");
        put(&d, "cut.1", "feed", "1034");
        run(&d, false, &a);
        s = stage_of(&a, "cut.1", TH_PIECE_PART);
        assert_near(60 * s->minutes, 123, 0.01, 0);
        into = s->power * th_heat_share(a.job->part.stock, s->max_chip, false) / (100 * 60);
        rise = (s->part_temperature - a.job->hold.room_temperature) / (layered[i] * into / 0.01);
        assert_true(rise > 0.95 && rise < 1.15);
        answer_free(&a);
    }
}

static double part_rise(const draft *d) {
    answer a;
    double rise;

    run(d, false, &a);
    rise = stage_of(&a, "cut.1", TH_PIECE_PART)->part_temperature - a.job->hold.room_temperature;
    answer_free(&a);
    return rise;
}

/* A slot that does not part the plate has both its walls in the part. */
static void a_blind_slot_keeps_its_heat(void **state) {
    draft d = plate(60, 40, 4);
    double full, nearly;

    (void)state;
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "depth", "1.5");
    put(&d, "cut.1", "chip_load", "0.012 mm/tooth");
    full = part_rise(&d);
    put(&d, "cut.1", "radial", "2.94");
    nearly = part_rise(&d);
    assert_true(nearly > 0.05 && full >= 0.9 * nearly);
}

/* Bored or cut around, a circle of 40 mm is the same kerf to the wall beside it. */
static void a_bored_hole_is_as_warm_as_a_disc(void **state) {
    draft hole = plate(80, 80, 2), disc = plate(40, 40, 2);
    draft *both[] = {&hole, &disc};
    double rise[2];

    (void)state;
    put(&disc, "part", "shape", "disc");
    add_sheet(&disc, 80, 80, 20, 20);
    add_cut(&disc, "cut.1", "outline", "flat-3mm-2");
    put(&disc, "cut.1", "radial", "3");
    add_cut(&hole, "cut.1", "hole", "flat-3mm-2");
    put(&hole, "cut.1", "size", "40");
    put(&hole, "cut.1", "at", "40,40");
    for (int i = 0; i < 2; i++) {
        answer a;

        put(both[i], "cut.1", "axial", "0.3");
        put(both[i], "cut.1", "chip_load", "0.012 mm/tooth");
        run(both[i], false, &a);
        rise[i] = stage_of(&a, "cut.1", TH_PIECE_PART)->local_rise;
        answer_free(&a);
    }
    assert_true(rise[1] > 0.5 && rise[0] >= 0.8 * rise[1]);
}

/* ---- what shops do daily (practice) -----------------------------------------------------------
 */

static void drilling_thin_aluminium_stays_cool(void **state) {
    draft d = plate(80, 80, 2);
    double temperature;

    (void)state;
    put(&d, "hold", "tape", "painters-paper");
    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put(&d, "cut.1", "at", "40,40");
    temperature = tape_temperature(&d);
    assert_true(temperature > 22 && temperature < 60);
}

static void a_narrow_pocket_in_acrylic_stays_usable(void **state) {
    draft d = plate(80, 80, 4);
    const th_stage *s;
    answer a;

    (void)state;
    put(&d, "part", "stock", "acrylic");
    put(&d, "hold", "tape", "double-film-acrylic");
    put(&d, "hold", "glue", "none");
    add_cut(&d, "cut.1", "pocket", "flat-3mm-1");
    put(&d, "cut.1", "radial", "1.2");
    put(&d, "cut.1", "axial", "0.5");
    put(&d, "cut.1", "depth", "2");
    put(&d, "cut.1", "at", "40,40");
    put(&d, "cut.1", "size", "70 x 5");
    run(&d, false, &a);
    s = stage_of(&a, "cut.1", TH_PIECE_PART);
    assert_true(s->temperature > 22 && s->temperature < a.job->hold.tape->temperature_max);
    assert_true(a.check.verdict != TH_LETS_GO && s->way != TH_HEAT);
    answer_free(&a);
}

/* A finishing lap takes all of the height at once: the tape gets as warm as under that lap alone,
 * cut as an outline of its own, but for what goes into the part as a whole. */
static void a_finishing_lap_warms_by_itself(void **state) {
    double rise[2];

    (void)state;
    for (int alone = 0; alone < 2; alone++) {
        draft d = plate(60, 40, 2);
        answer a;
        add_sheet(&d, 90, 70, 15, 15);
        add_cut(&d, "cut.1", "outline", "flat-3mm-2");
        put_length(&d, "cut.1", "radial", alone ? 0.3 : 3);
        put_length(&d, "cut.1", "axial", alone ? 2 : 0.1);
        put(&d, "cut.1", "feed", "300 mm/min");
        put(&d, "cut.1", "speed", "12000");
        if (!alone) {
            put_length(&d, "cut.1", "finish", 0.3);
        }
        run(&d, false, &a);
        rise[alone] = a.check.stages[0].temperature - a.check.stages[0].part_temperature;
        answer_free(&a);
    }
    assert_true(rise[1] > 20);
    assert_true(rise[0] >= rise[1] * (1 - 1e-6));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_finishing_lap_warms_by_itself),
        cmocka_unit_test(energy_is_kept),
        cmocka_unit_test(cooling_and_rest_cool),
        cmocka_unit_test(a_pass_more_is_little_warmth),
        cmocka_unit_test(a_push_stays_cold),
        cmocka_unit_test(a_cut_finds_the_warmth_of_those_before),
        cmocka_unit_test(the_curve_runs_through_the_job),
        cmocka_unit_test(too_warm_lets_go_and_says_so),
        cmocka_unit_test(less_power_is_never_warmer),
        cmocka_unit_test(no_frame_takes_no_heat),
        cmocka_unit_test(board_against_its_layers),
        cmocka_unit_test(a_blind_slot_keeps_its_heat),
        cmocka_unit_test(a_bored_hole_is_as_warm_as_a_disc),
        cmocka_unit_test(drilling_thin_aluminium_stays_cool),
        cmocka_unit_test(a_narrow_pocket_in_acrylic_stays_usable),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
