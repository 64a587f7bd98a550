/* test_usual_heat.c - whose share of heat is put beside the usual one: a metal's that nobody has
 * measured. Jobs are invented. */
#include "support/draft.h"

/* Aluminium-like, taking 0.3 of the power as heat. */
static void add_stock(const char *id, const char *trust) {
    static const char *const same[][2] = {{"name", "Alloy"},
                                          {"group", "N"},
                                          {"kc11", "800 MPa"},
                                          {"mc", "0.25"},
                                          {"friction_angle", "25 deg"},
                                          {"elastic_modulus", "70 GPa"},
                                          {"poisson", "0.33"},
                                          {"density", "2700 kg/m3"},
                                          {"heat_capacity", "900 J/kgK"},
                                          {"conductivity", "170 W/mK"},
                                          {"heat_share", "0.3"},
                                          {"smallest_chip", "0.005 mm"},
                                          {"speed_low", "100 m/min"},
                                          {"speed_high", "500 m/min"},
                                          {"chip_load_per_diameter", "0.006"},
                                          {"caution", "none"},
                                          {"source", "invented"}};
    enum { COUNT = sizeof same / sizeof *same };
    th_entry entries[COUNT + 1];
    th_error err = {TH_OK, 0, "", ""};

    for (int i = 0; i < COUNT; i++) {
        entries[i] = (th_entry){id, same[i][0], same[i][1], "own.ini", i + 1, TH_FROM_TABLE};
    }
    entries[COUNT] = (th_entry){id, "trust", trust, "own.ini", COUNT + 1, TH_FROM_TABLE};
    if (!th_tables_add(draft_tables(), TH_STOCKS, entries, COUNT + 1, &err)) {
        fail_msg("row refused: %s", err.message);
    }
}

/* What the row says is taken as it is where it was measured, however high. */
static void a_measured_share_is_believed(void **state) {
    static const char *const trusts[] = {"estimate", "measured"};

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = plate(80, 50, 3);
        const th_stage *worst;
        answer a;
        add_stock(trusts[i], trusts[i]);
        put(&d, "part", "stock", trusts[i]);
        put(&d, "hold", "tape", "painters-paper");
        put(&d, "hold", "glue", "ca-medium");
        add_cut(&d, "cut.1", "slot", "flat-6mm-3");
        put(&d, "cut.1", "from", "20, 25");
        put(&d, "cut.1", "to", "60, 25");
        put(&d, "cut.1", "depth", "1");
        put(&d, "cut.1", "axial", "1");
        run(&d, false, &a);
        worst = &a.check.stages[a.check.governs];
        assert_true(a.check.verdict != TH_HOLDS && worst->derating.temperature < 0.9);
        assert_int_equal(a.check.usual_heat.share > 0, i == 0);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_measured_share_is_believed),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
