/* test_small_rules.c - small rules of the advice, each by itself: which entry counts, whose shank
 * rubs, where a proof pull is hooked, in what unit a turn-down is typed. Jobs are invented. */
#include <math.h>
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

/* Of a key the entry of the latest origin, and there the last one; of a section its first. */
static void the_latest_entry_counts(void **state) {
    static const th_entry entries[] = {
        {"cut.1", "feed", "1", "job.ini", 1, TH_FROM_JOB},
        {"cut.1", "axial", "2", "job.ini", 2, TH_FROM_JOB},
        {"cut.1", "feed", "3", "shop.ini", 3, TH_FROM_SHOP},
        {"cut.1", "axial", "4", "--set", 0, TH_FROM_SET},
        {"cut.1", "axial", "5", "--set", 0, TH_FROM_SET},
        {"cut.2", "feed", "6", "job.ini", 6, TH_FROM_JOB},
    };
    th_job job = {.entries = entries, .entry_count = sizeof entries / sizeof *entries};

    (void)state;
    assert_string_equal(th_entry_of(&job, "cut.1", "feed")->value, "1");
    assert_string_equal(th_entry_of(&job, "cut.1", "axial")->value, "5");
    assert_string_equal(th_entry_of(&job, "cut.1", NULL)->value, "1");
    assert_string_equal(th_entry_of(&job, "cut.2", NULL)->value, "6");
    assert_null(th_entry_of(&job, "cut.2", "axial"));
}

/* A shank wider than its flutes rubs where walls stand beside a cut deeper than they reach. */
static void a_wide_shank_rubs_on_walls(void **state) {
    static const struct {
        th_operation operation;
        bool walls;
    } cases[] = {{TH_SLOT, true},        {TH_POCKET, true},  {TH_OUTLINE, true},
                 {TH_HOLE, true},        {TH_FACING, false}, {TH_PUSH, false},
                 {TH_CHAMFERING, false}, {TH_ENGRAVE, false}};
    th_job_cutter cutter = {.row = {.diameter = 2, .shank = 3, .flute_length = 4}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        th_cut cut = {.operation = (int)cases[i].operation, .cutter = &cutter, .depth = 5};
        assert_int_equal(th_shank_rubs(&cut), cases[i].walls);
        cut.depth = 4;
        assert_false(th_shank_rubs(&cut));
        cut.depth = 5;
        cutter.row.shank = 2;
        assert_false(th_shank_rubs(&cut));
        cutter.row.shank = 3;
        cut.cutter = NULL;
        assert_false(th_shank_rubs(&cut));
    }
}

/* A sideways pull is hooked at the edge of the stock that it pulls off, which in a sheet is not
 * that of the part. */
static void a_pull_is_hooked_at_the_edge_of_the_stock(void **state) {
    static const double forces[][3] = {{-60, 0, 0}, {60, 0, 0}, {0, -60, 0}, {0, 60, 0}};
    static const double edges[] = {-20, 70, -20, 70}; /* left, right, front, back */

    (void)state;
    for (int i = 0; i < 4; i++) {
        bool along_x = i < 2;
        draft d = along_x ? plate(50, 30, 5) : plate(30, 50, 5);
        answer a;
        add_sheet(&d, along_x ? 90 : 58, along_x ? 58 : 90, along_x ? 20 : 12, along_x ? 12 : 20);
        add_push(&d, "cut.1", forces[i], along_x ? 25 : 15, along_x ? 15 : 25);
        run(&d, false, &a);
        const th_proof_pull *pull = &a.check.proof;
        assert_true(pull->possible);
        assert_true(pull->force[along_x ? 0 : 1] * forces[i][along_x ? 0 : 1] > 0);
        assert_near(along_x ? pull->at.x : pull->at.y, edges[i], 0, 1e-9);
        assert_near(along_x ? pull->at.y : pull->at.x, 15, 0, 1e-9);
        answer_free(&a);
    }
}

/* In inches, as long as these are no longer to type than millimetres. */
static void a_turn_down_is_typed_in_the_unit_of_the_job(void **state) {
    draft d = plate(60, 40, 3);
    size_t lengths = 0;
    answer a;

    (void)state;
    put(&d, "job", "units", "inch");
    d.inch = true;
    put_length(&d, "part", "length", 60);
    put_length(&d, "part", "width", 40);
    put_length(&d, "part", "thickness", 3);
    put(&d, "job", "asked_factor", "9");
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1);
    put_point(&d, "cut.1", "from", 15, 20);
    put_point(&d, "cut.1", "to", 45, 20);
    run(&d, true, &a);
    for (size_t i = 0; i < a.check.turn_down_count; i++) {
        const th_turn_down *turn = &a.check.turn_downs[i];
        for (size_t k = 0; k < turn->setting_count; k++) {
            lengths += strstr(turn->settings[k], ".depth=") != NULL;
            assert_null(strstr(turn->settings[k], "mm"));
        }
    }
    assert_true(lengths > 0);
    answer_free(&a);
}

/* What a cut is warned of, in however many pieces it works, is told once. */
static void a_cut_is_warned_of_once(void **state) {
    static const char *const operations[] = {"drill", "outline", "outline"};
    static const char *const words[] = {"a drill grabs", "a skin of", "the pass above leaves"};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = plate(50, 30, 5);
        size_t told = 0, stages = 0;
        answer a;
        add_sheet(&d, 90, 58, 20, 12);
        add_cut(&d, "cut.1", operations[i], i == 0 ? "drill-3mm" : "flat-6mm-3");
        if (i == 0) {
            put_point(&d, "cut.1", "at", 25, 15);
        } else {
            put_length(&d, "cut.1", "axial", 1);
            put_length(&d, "cut.1", "radial", 6);
            put_length(&d, "cut.1", i == 1 ? "skin" : "last_axial", 0.3);
        }
        run(&d, false, &a);
        for (size_t k = 0; k < a.check.stage_count; k++) {
            stages += strcmp(a.check.stages[k].cut->section, "cut.1") == 0;
        }
        for (size_t k = 0; k < a.check.cautions.count; k++) {
            told += strstr(a.check.cautions.items[k], words[i]) != NULL;
        }
        assert_int_equal(told, 1);
        assert_true(i < 2 || stages > 1);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_latest_entry_counts),
        cmocka_unit_test(a_wide_shank_rubs_on_walls),
        cmocka_unit_test(a_pull_is_hooked_at_the_edge_of_the_stock),
        cmocka_unit_test(a_turn_down_is_typed_in_the_unit_of_the_job),
        cmocka_unit_test(a_cut_is_warned_of_once),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
