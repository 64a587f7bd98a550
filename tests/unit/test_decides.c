/* test_decides.c - what decides an answer and what is told of it: margins of a pass, the pass that
 * governs, forces at which the answer would be another, the line for the log, the cut that a chart
 * is worth, why nothing at all would hold. Jobs are invented. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/bounded.h"
#include "support/odds_case.h"

/* At full width the thickest chip is the chip load: 0.02 mm, four times what the stock asks for. */
static void a_chip_has_its_margin(void **state) {
    draft d = grooved("0.3");
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_near(stage_of(&a, "cut.1", TH_PIECE_PART)->chip_margin, 4, 1e-6, 0);
    answer_free(&a);
}

/* Light passes and a heavy lap: it goes down to the skin, and no deeper. */
static void the_finishing_lap_ends_at_the_skin(void **state) {
    draft d = plate(60, 40, 4);
    const th_stage *stage;
    th_pass pass;
    th_turn turn;
    th_error err;
    answer a;

    (void)state;
    add_sheet(&d, 100, 80, 20, 20);
    add_cut(&d, "cut.1", "outline", "flat-6mm-2-straight");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.1", "radial", "6");
    put(&d, "cut.1", "finish", "1");
    put(&d, "cut.1", "skin", "0.8");
    run(&d, false, &a);
    stage = &a.check.stages[a.check.governs];
    assert_non_null(strstr(stage->name, "finishing lap"));
    pass = th_pass_of(a.job, stage->cut, 1, 4 - 0.8, stage->cut->last_chip_load);
    assert_true(th_turn_run(&pass, &turn, &err));
    assert_near(stage->in_plane_peak, turn.in_plane_peak, 1e-9, 0);
    th_turn_free(&turn);
    answer_free(&a);
}

/* A push warms nothing and index is in proportion to it: at the share that is told it holds, at a
 * hundredth more it does not. */
static void the_forces_that_it_holds_are_told(void **state) {
    draft d = odds_pushed(0.597);
    double force, share;
    const char *text;
    answer a;

    (void)state;
    put(&d, "job", "asked_factor", "1.5"); /* 39.8 % */
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_LETS_GO);
    text = strstr(a.check.flips_if, "the forces come down to ");
    assert_non_null(text);
    share = strtod(text + strlen("the forces come down to "), NULL) / 100;
    force = a.job->cuts[0].force_x;
    answer_free(&a);
    for (int i = 0; i < 2; i++) {
        put_number(&d, "cut.1", "force_x", force * (share + 0.01 * i), "N");
        run(&d, false, &a);
        assert_int_equal(a.check.verdict == TH_HOLDS, i == 0);
        answer_free(&a);
    }
}

/* The stage that governs, by its cut; of an answer without any nothing is told. */
static void what_governs_is_noted(void **state) {
    draft d = grooved("0.3");
    th_log_record record;
    th_arena arena = {NULL};
    th_error err = {TH_OK, 0, "", ""};
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_true(th_log_record_of(a.job, &a.check, TH_HELD, &arena, &record, &err));
    assert_string_equal(record.stage, "cut.1 slot, first pass");
    assert_string_equal(record.piece, "part");
    assert_string_equal(record.cutter, "flat-3mm-2");
    a.check.governs = a.check.stage_count;
    assert_true(th_log_record_of(a.job, &a.check, TH_HELD, &arena, &record, &err));
    assert_string_equal(record.stage, "");
    th_arena_free(&arena);
    answer_free(&a);
}

/* Pushes and drills have no engagement to open: of the other cuts it is the one that decides, or
 * the weakest. */
static void a_chart_is_of_a_cut_that_can_be_opened(void **state) {
    const th_cut push = {.operation = TH_PUSH}, drill = {.operation = TH_DRILLED};
    const th_cut slot = {.operation = TH_SLOT}, pocket = {.operation = TH_POCKET};
    th_stage stages[] = {{.cut = &drill, .counts = true, .hold_factor = 0.5},
                         {.cut = &pocket, .counts = true, .hold_factor = 3},
                         {.cut = &slot, .counts = true, .hold_factor = 2},
                         {.cut = &push, .counts = true, .hold_factor = 0.4},
                         {.cut = &pocket, .hold_factor = 1}};
    th_check check = {.stages = stages, .stage_count = 5, .governs = 3};

    (void)state;
    assert_ptr_equal(th_limits_worth(&check), &slot);
    check.governs = 0;
    assert_ptr_equal(th_limits_worth(&check), &slot);
    check.governs = 1;
    assert_ptr_equal(th_limits_worth(&check), &pocket);
    check.governs = 0;
    check.stage_count = 1;
    assert_null(th_limits_worth(&check));
    stages[0].cut = &push;
    assert_null(th_limits_worth(&check));
}

/* Whatever is cut, no tape sticks to it: that is told, of the tape above. Where it is the coolant
 * or the wait that is told, and a hold that is only too weak has nothing of the kind. */
static void a_hold_that_never_holds_says_why(void **state) {
    static const struct {
        const char *stock, *tape, *cooling, *wait, *never;
    } cases[] = {
        {"slick", "film", "dry", "24 h", "film does not stick to this surface"},
        {"linear", "painters-paper", "flood", "24 h",
         "painters-paper is not to be used with this cooling"},
        {"linear", "film", "dry", "1 s", "ca-thin has not set yet: wait longer"},
        {"linear", "film", "dry", "24 h", NULL},
    };

    (void)state;
    add_rows(TH_STOCKS,
             "slick|name|Nothing sticks to it\nslick|group|N\nslick|kc11|800 MPa\nslick|mc|0.25\n"
             "slick|friction_angle|25 deg\nslick|elastic_modulus|70 GPa\nslick|poisson|0.33\n"
             "slick|density|2700 kg/m3\nslick|heat_capacity|900 J/kgK\n"
             "slick|conductivity|170 W/mK\nslick|heat_share|0.3\nslick|smallest_chip|0.005 mm\n"
             "slick|adhesion|0\nslick|speed_low|100 m/min\nslick|speed_high|500 m/min\n"
             "slick|chip_load_per_diameter|0.006\nslick|caution|none\nslick|source|invented\n"
             "slick|trust|estimate");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        static const th_check_options options = {.turn_downs = false};
        draft d = grooved("0.3");
        th_error err;
        th_job *job;
        th_limits limits;
        put(&d, "part", "stock", cases[i].stock);
        put(&d, "hold", "tape", cases[i].tape);
        put(&d, "hold", "cooling", cases[i].cooling);
        put(&d, "hold", "wait", cases[i].wait);
        put(&d, "job", "asked_factor", "20");
        job = built(&d);
        assert_true(th_limits_run(job, &options, NULL, &limits, &err));
        if (cases[i].never) {
            assert_non_null(limits.cuts[0].never);
            assert_string_equal(limits.cuts[0].never, cases[i].never);
        } else {
            assert_null(limits.cuts[0].never);
        }
        th_limits_free(&limits);
        th_job_free(job);
    }
}

/* Limits of one cut tell which of the others fail as stated: all of them, however far they do. */
static void every_cut_that_fails_anyway_is_noted(void **state) {
    static const th_check_options options = {.turn_downs = false};
    draft d = two_grooves();
    bool told = false;
    th_limits limits;
    th_error err;
    th_job *job;

    (void)state;
    put(&d, "hold", "coverage", "0.1");
    put(&d, "cutter.own", "id", "flat-3mm-2");
    put(&d, "cut.1", "cutter", "own");
    put(&d, "cut.1", "depth", "0.3");
    put(&d, "cut.1", "axial", "0.05");
    for (size_t i = 0, count = d.count; i < count; i++) { /* another one beside the second */
        if (strcmp(d.section[i], "cut.2") == 0) {
            put(&d, "cut.3", d.key[i], d.value[i]);
        }
    }
    put(&d, "cut.3", "from", "20,50");
    put(&d, "cut.3", "to", "60,50");
    assert_true(factor_of(&d, "cut.1") > 2);
    assert_true(factor_of(&d, "cut.2") < 1 && factor_of(&d, "cut.3") < 1);
    job = built(&d);
    assert_true(th_limits_run(job, &options, "own", &limits, &err));
    for (size_t i = 0; i < limits.notes.count; i++) {
        told = told || strstr(limits.notes.items[i], "cut.2, cut.3 do not hold as stated");
    }
    assert_true(told);
    th_limits_free(&limits);
    th_job_free(job);
}

/* Records of a tape on either face, and of how it went. */
static void records_are_chosen_by_tape(void **state) {
    const th_log_record records[] = {{.tape = "a", .tape_below = "b", .outcome = TH_HELD},
                                     {.tape = "b", .tape_below = "", .outcome = TH_LET_GO},
                                     {.tape = "c", .tape_below = "a", .outcome = TH_HELD}};
    const struct {
        const char *tape;
        size_t count, first;
    } cases[] = {{NULL, 3, 0}, {"a", 2, 0}, {"b", 2, 0}, {"c", 1, 2}, {"d", 0, 0}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const th_log_filter filter = {cases[i].tape, -1, 0};
        const th_log_record *chosen[3];
        assert_int_equal(th_log_select(records, 3, &filter, chosen), cases[i].count);
        assert_true(!cases[i].count || chosen[0] == &records[cases[i].first]);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_chip_has_its_margin),
        cmocka_unit_test(the_finishing_lap_ends_at_the_skin),
        cmocka_unit_test(the_forces_that_it_holds_are_told),
        cmocka_unit_test(what_governs_is_noted),
        cmocka_unit_test(a_chart_is_of_a_cut_that_can_be_opened),
        cmocka_unit_test(a_hold_that_never_holds_says_why),
        cmocka_unit_test(every_cut_that_fails_anyway_is_noted),
        cmocka_unit_test(records_are_chosen_by_tape),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
