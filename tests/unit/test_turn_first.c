/* test_turn_first.c - a hold that bears nothing, ruined by the coolant or too warm: another hold
 * and what the cuts need with it; and what warmth decides, told with the usual heat. Jobs are
 * invented. */
#include <math.h>
#include <string.h>

#include "support/draft.h"

static draft slotted(const char *tape, const char *glue, const char *cooling) {
    draft d = plate(80, 50, 3);

    put(&d, "hold", "tape", tape);
    put(&d, "hold", "glue", glue);
    put(&d, "hold", "cooling", cooling);
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "from", "20, 25");
    put(&d, "cut.1", "to", "60, 25");
    put(&d, "cut.1", "depth", "1");
    put(&d, "cut.1", "axial", "0.5");
    return d;
}

/* Two wide slots, each too hot for any tape in one pass. */
static draft heavy(const char *tape, const char *glue, const char *cooling) {
    draft d = slotted(tape, glue, cooling);

    put(&d, "cut.1", "depth", "2");
    put(&d, "cut.1", "axial", "2");
    add_cut(&d, "cut.2", "slot", "flat-6mm-3");
    put(&d, "cut.2", "from", "20, 10");
    put(&d, "cut.2", "to", "60, 10");
    put(&d, "cut.2", "depth", "2");
    put(&d, "cut.2", "axial", "2");
    return d;
}

static size_t changes_of(const th_turn_down *turn) {
    size_t count = 1;

    for (const char *more = turn->change; (more = strstr(more, " + ")); more += 3) {
        count++;
    }
    return count;
}

/* Each of the changes has its name, and what is typed back holds as it says. */
static void expect_as_typed(const answer *a, const th_turn_down *turn) {
    answer again;

    assert_null(strstr(turn->change, "+  +"));
    assert_true(turn->change[0] != ' ');
    for (size_t i = 1; i < turn->setting_count; i++) { /* no key twice */
        size_t key = strcspn(turn->settings[i], "=") + 1;
        for (size_t k = 0; k < i; k++) {
            assert_int_not_equal(strncmp(turn->settings[k], turn->settings[i], key), 0);
        }
    }
    type_back(a, turn, &again);
    answer_free(&again);
}

static bool sets(const th_turn_down *turn, const char *setting) {
    for (size_t i = 0; i < turn->setting_count; i++) {
        if (strncmp(turn->settings[i], setting, strlen(setting)) == 0) {
            return true;
        }
    }
    return false;
}

static void a_ruined_tape_comes_first(void **state) {
    draft d = heavy("painters-paper", "ca-medium", "flood");
    answer a;

    (void)state;
    run(&d, true, &a);
    assert_true(a.check.hold_factor == 0 && a.check.turn_down_count == 1);
    assert_true(changes_of(a.check.turn_downs) > 2);
    assert_true(sets(a.check.turn_downs, "hold.tape="));
    assert_true(sets(a.check.turn_downs, "cut.1."));
    assert_true(sets(a.check.turn_downs, "cut.2."));
    expect_as_typed(&a, a.check.turn_downs);
    answer_free(&a);
}

/* Of three cuts each has its own: all are named, and counted. */
static void three_cuts_are_three_changes(void **state) {
    draft d = heavy("painters-paper", "ca-medium", "flood");
    answer a;

    (void)state;
    add_cut(&d, "cut.3", "slot", "flat-6mm-3");
    put(&d, "cut.3", "from", "20, 40");
    put(&d, "cut.3", "to", "60, 40");
    put(&d, "cut.3", "depth", "2");
    put(&d, "cut.3", "axial", "2");
    run(&d, true, &a);
    assert_int_equal(a.check.turn_down_count, 1);
    assert_int_equal(changes_of(a.check.turn_downs), 4);
    expect_as_typed(&a, a.check.turn_downs);
    answer_free(&a);
}

/* Tape and plate, where the coolant takes both. */
static void what_is_ruined_is_named(void **state) {
    draft d = slotted("painters-paper", "ca-medium", "flood");
    bool tape = false, plate = false;
    answer a;

    (void)state;
    put(&d, "hold", "plate", "raw-board");
    run(&d, false, &a);
    for (size_t i = 0; i < a.check.cautions.count; i++) {
        const char *text = a.check.cautions.items[i];
        tape = tape || strstr(text, "painters-paper is not to be used with this cooling");
        plate = plate || strstr(text, "no tape stays on the plate raw-board when it is wet");
    }
    assert_true(tape && plate);
    answer_free(&a);
}

static bool cautions_of(const draft *d, const char *words) {
    bool found = false;
    answer a;

    run(d, false, &a);
    assert_true(a.check.stages[a.check.governs].way == TH_HEAT);
    for (size_t i = 0; i < a.check.cautions.count; i++) {
        found = found || strstr(a.check.cautions.items[i], words);
    }
    answer_free(&a);
    return found;
}

/* A rest is no cure of what gets warm under the cutter alone; it is where the whole part does. */
static void cures_are_those_that_cool(void **state) {
    draft local = slotted("painters-paper", "ca-medium", "dry"), whole;

    (void)state;
    put(&local, "cut.1", "depth", "2");
    put(&local, "cut.1", "axial", "2");
    assert_true(cautions_of(&local, "mostly right under the cutter: cut lighter, fewer"));
    assert_false(cautions_of(&local, "rest between passes"));
    whole = local; /* a small part, cut over and over */
    put(&whole, "part", "length", "20");
    put(&whole, "part", "width", "16");
    put(&whole, "cut.1", "from", "0, 8");
    put(&whole, "cut.1", "to", "20, 8");
    put(&whole, "cut.1", "axial", "0.1");
    assert_true(cautions_of(&whole, "rest between passes"));
}

/* Raw board that the coolant swells: another plate is enough for a light cut. */
static void a_ruined_plate_is_changed(void **state) {
    draft d = slotted("polyester-acrylic", "ca-medium", "flood");
    bool plate = false;
    answer a;

    (void)state;
    put(&d, "hold", "plate", "raw-board");
    put(&d, "cut.1", "axial", "0.05");
    run(&d, true, &a);
    assert_true(a.check.hold_factor == 0);
    for (size_t i = 0; i < a.check.turn_down_count; i++) {
        const th_turn_down *turn = &a.check.turn_downs[i];
        expect_as_typed(&a, turn);
        plate = plate || (strcmp(turn->change, "plate") == 0 && sets(turn, "hold.plate="));
    }
    assert_true(plate);
    answer_free(&a);
}

/* Nothing is asked of the plate where it is not what lets go. */
static void a_sound_plate_is_left(void **state) {
    draft d = heavy("painters-paper", "ca-medium", "flood");
    answer a;

    (void)state;
    put(&d, "hold", "plate", "plastic");
    run(&d, true, &a);
    assert_true(a.check.turn_down_count > 0);
    for (size_t i = 0; i < a.check.turn_down_count; i++) {
        assert_false(sets(&a.check.turn_downs[i], "hold.plate="));
    }
    answer_free(&a);
}

/* The heat equation is linear: half of the power is half of the rise over a room in which all
 * begins (Carslaw and Jaeger, Conduction of Heat in Solids, 1.6). */
static void usual_heat_is_half_of_the_rise(void **state) {
    draft d = slotted("painters-paper", "ca-medium", "dry");
    const th_stage *worst;
    double room;
    answer a;

    (void)state;
    put(&d, "cut.1", "axial", "1");
    run(&d, false, &a);
    worst = &a.check.stages[a.check.governs];
    room = a.job->hold.room_temperature;
    assert_true(a.check.verdict != TH_HOLDS && worst->derating.temperature < 0.9);
    assert_near(a.check.usual_heat.share, a.job->part.stock->heat_share / 2, 1e-12, 0);
    assert_near(a.check.usual_heat.temperature - room, (worst->temperature - room) / 2, 1e-9, 0);
    assert_true(a.check.usual_heat.hold_factor >= a.check.hold_factor);
    answer_free(&a);
}

/* Judged by itself, a row of that share gives the same, and is told no other. */
static void usual_heat_is_that_of_a_row(void **state) {
    static const char cool[] =
        "cool|name|As linear, less heat\ncool|group|N\ncool|kc11|800 MPa\ncool|mc|0.25\n"
        "cool|ktc|790 MPa\ncool|krc|310 MPa\ncool|kac|170 MPa\ncool|kte|13 N/mm\n"
        "cool|kre|17 N/mm\ncool|kae|2.5 N/mm\ncool|friction_angle|25 deg\n"
        "cool|elastic_modulus|70 GPa\ncool|poisson|0.33\ncool|density|2700 kg/m3\n"
        "cool|heat_capacity|900 J/kgK\ncool|conductivity|170 W/mK\ncool|heat_share|0.15\n"
        "cool|smallest_chip|0.005 mm\ncool|speed_low|100 m/min\ncool|speed_high|500 m/min\n"
        "cool|chip_load_per_diameter|0.006\ncool|caution|none\ncool|source|invented\n"
        "cool|trust|estimate";
    draft d = slotted("painters-paper", "ca-medium", "dry");
    answer a, half;

    (void)state;
    add_rows(TH_STOCKS, cool);
    put(&d, "cut.1", "axial", "1");
    put(&d, "part", "stock", "linear");
    run(&d, false, &a);
    assert_true(a.check.usual_heat.share > 0);
    put(&d, "part", "stock", "cool");
    run(&d, false, &half);
    assert_true(half.check.hold_factor > a.check.hold_factor);
    assert_true(half.check.usual_heat.share == 0);
    assert_near(a.check.usual_heat.hold_factor, half.check.hold_factor, 1e-12, 0);
    answer_free(&a);
    answer_free(&half);
}

/* An edge that rubs keeps its half of the power, and nothing is told that would not change. */
static void of_a_cut_that_rubs_nothing_is_told(void **state) {
    draft d = slotted("painters-paper", "ca-medium", "dry");
    answer a;

    (void)state;
    put(&d, "cut.1", "axial", "1");
    put(&d, "cut.1", "chip_load", "0.001 mm/tooth");
    run(&d, false, &a);
    assert_true(a.check.stages[a.check.governs].chip_margin < 1);
    assert_true(a.check.stages[a.check.governs].derating.temperature < 0.9);
    assert_true(a.check.usual_heat.share == 0);
    answer_free(&a);
}

static void where_warmth_decides_nothing_it_is_not_told(void **state) {
    draft light = slotted("polyester-acrylic", "ca-medium", "dry");
    draft plastic = heavy("painters-paper", "ca-medium", "dry");
    answer a;

    (void)state;
    put(&light, "cut.1", "axial", "0.1");
    run(&light, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    assert_true(a.check.usual_heat.share == 0);
    answer_free(&a);
    put(&plastic, "part", "stock", "acrylic");
    run(&plastic, false, &a);
    assert_int_equal(a.check.verdict, TH_LETS_GO);
    assert_true(a.check.stages[a.check.governs].derating.temperature < 0.9);
    assert_true(a.check.usual_heat.share == 0); /* of plastics no usual share is known */
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_ruined_tape_comes_first),
        cmocka_unit_test(three_cuts_are_three_changes),
        cmocka_unit_test(what_is_ruined_is_named),
        cmocka_unit_test(cures_are_those_that_cool),
        cmocka_unit_test(a_ruined_plate_is_changed),
        cmocka_unit_test(a_sound_plate_is_left),
        cmocka_unit_test(usual_heat_is_half_of_the_rise),
        cmocka_unit_test(usual_heat_is_that_of_a_row),
        cmocka_unit_test(of_a_cut_that_rubs_nothing_is_told),
        cmocka_unit_test(where_warmth_decides_nothing_it_is_not_told),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
