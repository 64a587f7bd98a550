/* test_advised.c - what an answer advises and warns of: turn-downs, cautions, the pull by hand.
 * Jobs and the rows added to the shipped tables are invented. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"

static size_t cautions_with(const answer *a, const char *words) {
    size_t count = 0;

    for (size_t i = 0; i < a->check.cautions.count; i++) {
        count += strstr(a->check.cautions.items[i], words) != NULL;
    }
    return count;
}

static size_t place_of_caution(const answer *a, const char *words) {
    for (size_t i = 0; i < a->check.cautions.count; i++) {
        if (strstr(a->check.cautions.items[i], words)) {
            return i;
        }
    }
    fail_msg("no caution says: %s", words);
    return 0;
}

/* A part cut out of a sheet by an outline of `axial`, its frame 10 mm wide. */
static draft cut_out(const char *cutter, const char *axial) {
    draft d = plate(100, 60, 3);

    add_sheet(&d, 132, 92, 16, 16);
    add_cut(&d, "cut.1", "outline", cutter);
    put_length(&d, "cut.1", "radial", 6);
    put(&d, "cut.1", "axial", axial);
    return d;
}

/* The turn-down of a kind, typed back: it must hold. */
static const th_turn_down *found(const answer *a, const char *change) {
    for (size_t i = 0; i < a->check.turn_down_count; i++) {
        const th_turn_down *turn = &a->check.turn_downs[i];
        if (strcmp(turn->change, change) == 0) {
            th_error err = {TH_OK, 0, "", ""};
            answer again;
            th_job *job = NULL;
            assert_true(th_job_change(a->job, turn->settings, turn->setting_count, &job, &err));
            judge(job, false, &again);
            assert_true(again.check.hold_factor >= a->check.asked_factor);
            assert_near(turn->hold_factor, again.check.hold_factor, 1e-9, 0);
            answer_free(&again);
            return turn;
        }
    }
    return NULL;
}

/* ---- turn-downs ------------------------------------------------------------------------------ */

/* Stock, part and frame all fail: it is one cut all the same, and much lighter passes restore it.
 */
static void a_frame_that_must_stay_gets_lighter_passes(void **state) {
    draft d = cut_out("flat-6mm-3", "0.8");
    const th_turn_down *turn;
    size_t failing = 0;
    answer a;

    (void)state;
    put(&d, "job", "offcuts", "must-stay");
    put(&d, "hold", "tape", "crepe-masking");
    run(&d, true, &a);
    assert_int_equal(a.check.verdict, TH_LETS_GO);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        failing += a.check.stages[i].hold_factor < 2;
    }
    assert_true(failing > 1);
    turn = found(&a, "axial");
    assert_non_null(turn);
    assert_true(turn->to < 0.1 * turn->from && turn->to >= 0.001 * (1 - 1e-9));
    answer_free(&a);
}

/* Both the passes and the last one are too heavy: neither alone is enough, both together are. */
static void a_last_pass_is_lightened_along(void **state) {
    draft d = cut_out("flat-6mm-3", "0.8");
    const th_turn_down *turn;
    answer a;

    (void)state;
    put(&d, "hold", "tape", "crepe-masking");
    put(&d, "cut.1", "last_axial", "0.8");
    run(&d, true, &a);
    turn = found(&a, "axial");
    assert_non_null(turn);
    assert_int_equal(turn->setting_count, 2);
    assert_int_equal(strncmp(turn->settings[1], "cut.1.last_axial=", 17), 0);
    assert_string_equal(turn->settings[0] + 12, turn->settings[1] + 17);
    answer_free(&a);
}

static void another_cutter_is_named_by_its_row(void **state) {
    draft d = plate(100, 60, 3);
    const th_turn_down *turn;
    answer a;

    (void)state;
    put(&d, "hold", "tape", "crepe-masking");
    add_cut(&d, "cut.1", "slot", "flat-6mm-2");
    put(&d, "cut.1", "axial", "0.2");
    run(&d, true, &a);
    assert_true(a.check.verdict != TH_HOLDS);
    turn = found(&a, "helix");
    assert_non_null(turn);
    assert_int_equal(turn->setting_count, 1);
    assert_int_equal(strncmp(turn->settings[0], "cutter.em.id=flat-6mm-2-", 24), 0);
    assert_string_equal(turn->from_text, "flat-6mm-2");
    assert_string_equal(turn->to_text, turn->settings[0] + 13);
    answer_free(&a);
}

static void flatter_stock_is_a_turn_down(void **state) {
    draft d = plate(120, 80, 3);
    double push[3] = {40, 0, 0};
    const th_turn_down *turn;
    answer flat, a;

    (void)state;
    add_push(&d, "cut.1", push, 60, 40);
    run(&d, false, &flat);
    assert_true(flat.check.hold_factor > 2.5);
    put(&d, "part", "bow", "0.5");
    run(&d, true, &a);
    assert_true(a.check.verdict != TH_HOLDS);
    turn = found(&a, "bow");
    assert_non_null(turn);
    assert_int_equal(strncmp(turn->settings[0], "part.bow=", 9), 0);
    assert_true(turn->to > 0 && turn->to < turn->from);
    answer_free(&flat);
    answer_free(&a);
}

/* A row with a name of some length comes back whole. */
static void long_settings_come_back_whole(void **state) {
    static char id[151];
    static const char *const keys[][2] = {{"name", "Strong film"},
                                          {"thickness", "0.01 mm"},
                                          {"adhesive_thickness", "0.005 mm"},
                                          {"shear_strength", "5 MPa"},
                                          {"lift_strength", "5 MPa"},
                                          {"peel", "5 N/mm"},
                                          {"shear_travel", "0.8 mm"},
                                          {"lift_travel", "1 mm"},
                                          {"shear_modulus", "50 kPa"},
                                          {"temperature_max", "70 C"},
                                          {"strength_hot", "0.3"},
                                          {"dry", "1"},
                                          {"mist", "0.8"},
                                          {"water", "0.7"},
                                          {"oil", "0.5"},
                                          {"backing_shear", "9 MPa"},
                                          {"backing_lift", "9 MPa"},
                                          {"conductivity", "0.1 W/mK"},
                                          {"load_time_exponent", "0"},
                                          {"spread", "0.2"},
                                          {"source", "invented"},
                                          {"trust", "estimate"}};
    enum { KEYS = sizeof keys / sizeof keys[0] };
    th_entry entries[KEYS];
    th_error err;
    draft d = plate(60, 40, 3);
    double push[3] = {400, 0, 0};
    const th_turn_down *turn;
    answer a;

    (void)state;
    memset(id, 'z', sizeof id - 1);
    for (int i = 0; i < KEYS; i++) {
        entries[i] = (th_entry){id, keys[i][0], keys[i][1], "own.ini", i + 1, TH_FROM_TABLE};
    }
    assert_true(th_tables_add(draft_tables(), TH_TAPES, entries, KEYS, &err));
    put(&d, "hold", "wait", "24 h");
    add_push(&d, "cut.1", push, 30, 20);
    run(&d, true, &a);
    turn = found(&a, "tape");
    assert_non_null(turn);
    assert_string_equal(turn->settings[0] + strlen("hold.tape="), id);
    answer_free(&a);
}

/* A tape unfit for the cooling holds nothing: the thinnest fit one that is enough is found. */
static void an_unfit_tape_is_replaced(void **state) {
    draft d = plate(80, 50, 3);
    const th_turn_down *turn;
    answer a;

    (void)state;
    put(&d, "hold", "tape", "painters-paper");
    put(&d, "hold", "cooling", "flood");
    put(&d, "hold", "wait", "24 h");
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.1");
    run(&d, true, &a);
    assert_near(a.check.hold_factor, 0, 0, 0);
    turn = found(&a, "tape");
    assert_non_null(turn);
    answer_free(&a);
}

/* ---- cautions -------------------------------------------------------------------------------- */

static void what_is_too_weak_to_help_is_said(void **state) {
    draft skin = cut_out("flat-6mm-3", "0.3"), tabs = skin, plain = skin;
    answer a;

    (void)state;
    put(&skin, "cut.1", "skin", "0.15");
    run(&skin, false, &a);
    assert_int_equal(cautions_with(&a, "a skin of 0.15 mm is too weak to count"), 1);
    assert_int_equal(cautions_with(&a, "leave 0.4 mm or more"), 1);
    answer_free(&a);
    put(&skin, "cut.1", "skin", "0.4"); /* twice what counts */
    run(&skin, false, &a);
    assert_int_equal(cautions_with(&a, "a skin of"), 0);
    answer_free(&a);
    put(&tabs, "cut.1", "tabs", "4 x 0.2 mm");
    put(&tabs, "cut.1", "tab_height", "0.1 mm");
    run(&tabs, false, &a);
    assert_int_equal(cautions_with(&a, "the tabs add nothing"), 1);
    /* 290 MPa in shear by von Mises over 0.2 mm x 0.1 mm */
    assert_near(a.job->part.stock->ultimate, 290, 0, 0);
    assert_int_equal(cautions_with(&a, "a tab shears at 3.3 N"), 1);
    answer_free(&a);
    run(&plain, false, &a);
    assert_int_equal(cautions_with(&a, "tabs add"), 0);
    answer_free(&a);
}

/* The same job whose bare lengths are inches: those that were put in millimetres say so. */
static void in_inches(draft *d) {
    static const char *const keys[] = {"length",       "width",       "thickness",
                                       "sheet_length", "sheet_width", "sheet_x",
                                       "sheet_y",      "radial",      "axial"};

    for (size_t i = 0; i < d->count; i++) {
        for (size_t k = 0; k < sizeof keys / sizeof keys[0]; k++) {
            if (strcmp(d->key[i], keys[k]) == 0) {
                strcat(d->value[i], " mm");
            }
        }
    }
    put(d, "job", "units", "inch");
}

/* Why tabs are left out is what the figures show: they stand already in the pass above a last metal
 * that is too thin to count, unless they are no higher than it. */
static void tabs_count_above_a_thin_last_pass(void **state) {
    draft d = cut_out("flat-6mm-3", "0.1"), low = d, plain = d;
    double bare;
    answer a;

    (void)state;
    run(&plain, false, &a);
    bare = a.check.hold_factor;
    answer_free(&a);
    put(&d, "cut.1", "tabs", "4 x 6 mm");
    put(&d, "cut.1", "tab_height", "1.5 mm");
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a, "the tabs add nothing"), 0);
    assert_true(a.check.hold_factor > 1.1 * bare);
    answer_free(&a);
    put(&low, "cut.1", "tabs", "4 x 6 mm");
    put(&low, "cut.1", "tab_height", "0.1 mm");
    run(&low, false, &a);
    assert_int_equal(cautions_with(&a, "0.1 mm high, they are not there yet in the pass above"), 1);
    assert_int_equal(cautions_with(&a, "a tab shears"), 0);
    assert_near(a.check.hold_factor, bare, 1e-9, 0);
    answer_free(&a);
}

/* Beside the edge where a skin counts no more: how true the depth must be is said, and in inches
 * the skin to leave is one that passes. */
static void a_skin_near_the_edge_is_told_so(void **state) {
    draft d = cut_out("flat-6mm-3", "0.3");
    answer a;

    (void)state;
    put(&d, "cut.1", "skin", "0.3");
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a, "a skin of 0.3 mm that comes out under 0.2 mm is as good as "
                                       "cut through: hold its depth within 0.1 mm over the whole "
                                       "sheet, or leave 0.4 mm"),
                     1);
    answer_free(&a);
    put(&d, "cut.1", "skin", "0.012");
    in_inches(&d);
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a, "under 0.008 in is as good"), 1);
    assert_int_equal(cautions_with(&a, "or leave 0.016 in"), 1);
    answer_free(&a);
    put(&d, "cut.1", "skin", "0.016");
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a, "a skin of"), 0);
    answer_free(&a);
}

/* A light last pass under heavier ones: what those leave has to be more than an unsure depth. */
static void a_thin_last_pass_is_told_so(void **state) {
    draft d = cut_out("flat-6mm-3", "0.6");
    answer a;

    (void)state;
    put(&d, "cut.1", "last_axial", "0.25");
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a, "leaves under 0.2 mm instead of 0.25 mm, it is through"), 1);
    answer_free(&a);
    put(&d, "cut.1", "last_axial", "0.4");
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a, "it is through"), 0);
    answer_free(&a);
    put(&d, "cut.1", "axial", "0.25"); /* no heavier above it */
    put(&d, "cut.1", "last_axial", "0.25");
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a, "it is through"), 0);
    answer_free(&a);
}

static void an_untaped_frame_is_told_so(void **state) {
    draft d = cut_out("flat-6mm-3", "0.3");
    th_path path = th_path_new(0);
    th_outline taped = {0};
    answer a;

    (void)state;
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_box(&path, &(th_box){0, 0, 100, 60, 0, 0});
    assert_true(th_region_of_path(&path, &taped, NULL));
    th_path_free(&path);
    run_taped(&d, &taped, &a);
    assert_int_equal(cautions_with(&a, "the frame comes loose: no tape lies under it"), 1);
    assert_int_equal(cautions_with(&a, "may come loose"), 0);
    answer_free(&a);
    th_outline_free(&taped);
}

/* Long slender cutters in two cuts: one line for both, behind what comes loose. */
static void springing_cutters_share_a_line(void **state) {
    draft d = cut_out("flat-3mm-2", "0.3");
    answer a;

    (void)state;
    put(&d, "cutter.em", "stickout", "40 mm");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.2", "operation", "hole");
    put(&d, "cut.2", "cutter", "em");
    put(&d, "cut.2", "axial", "0.3");
    put(&d, "cut.2", "at", "50,30");
    put(&d, "cut.2", "size", "12");
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a, "springs"), 1);
    assert_int_equal(cautions_with(&a, "cut.1, cut.2: the cutter springs"), 1);
    assert_true(place_of_caution(&a, "the slug lets go") < place_of_caution(&a, "springs"));
    answer_free(&a);
}

/* The gravest first: what is not as stated, what may fly, what moves, what merely shows on the
 * part, and last what is true of the stock whatever is cut. */
static void cautions_stand_in_order(void **state) {
    static const char *const order[] = {"first lap",          "the slug lets go", "the part sways",
                                        "the cutter springs", "helix of",         "aluminium 6061"};
    draft d = cut_out("flat-3mm-2", "0.3");
    answer a;

    (void)state;
    put(&d, "job", "sway_limit", "0.0001 mm");
    put(&d, "cut.1", "radial", "1");
    put(&d, "cutter.em", "stickout", "40 mm");
    put(&d, "cut.2", "operation", "hole");
    put(&d, "cut.2", "cutter", "em");
    put(&d, "cut.2", "axial", "0.3");
    put(&d, "cut.2", "at", "50,30");
    put(&d, "cut.2", "size", "12");
    put(&d, "cut.3", "operation", "hole");
    put(&d, "cut.3", "cutter", "em");
    put(&d, "cut.3", "axial", "0.3");
    put(&d, "cut.3", "at", "20,30");
    put(&d, "cut.3", "size", "3.1");
    run(&d, false, &a);
    for (size_t i = 1; i < sizeof order / sizeof order[0]; i++) {
        assert_true(place_of_caution(&a, order[i - 1]) < place_of_caution(&a, order[i]));
    }
    answer_free(&a);
}

static void holes_are_held_against_openings(void **state) {
    draft d = cut_out("flat-6mm-3", "0.3");
    answer a;

    (void)state;
    put(&d, "opening.1", "at", "30,30");
    put(&d, "opening.1", "size", "5");
    put(&d, "cutter.small", "id", "flat-3mm-2");
    put(&d, "cut.2", "operation", "hole");
    put(&d, "cut.2", "cutter", "small");
    put(&d, "cut.2", "axial", "0.3");
    put(&d, "cut.2", "at", "30,30");
    put(&d, "cut.2", "size", "5");
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a, "opening.1"), 0);
    answer_free(&a);
    put(&d, "cut.2", "at", "31,30");
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a,
                                   "cut.2 bores 5 mm at 31 mm, 30 mm, where the part has no such "
                                   "opening; the nearest is opening.1 (5 mm at 30 mm, 30 mm)"),
                     1);
    answer_free(&a);
    put(&d, "cut.2", "at", "30,30");
    put(&d, "cut.2", "size", "4");
    run(&d, false, &a);
    assert_int_equal(cautions_with(&a, "opening.1 (5 mm at 30 mm, 30 mm) is not made whole: cut.2 "
                                       "bores 4 mm there"),
                     1);
    answer_free(&a);
}

/* ---- the pull by hand ------------------------------------------------------------------------ */

static double size_of(const th_proof_pull *pull) {
    return hypot(hypot(pull->force[0], pull->force[1]), pull->force[2]);
}

/* A wide strong bond: nobody pulls so hard, and what the pull shows is said. */
static void nobody_pulls_more_than_a_hand_can(void **state) {
    draft d = plate(300, 200, 12);
    double push[3] = {3000, 0, 0};
    answer a;

    (void)state;
    put(&d, "hold", "wait", "24 h");
    add_push(&d, "cut.1", push, 150, 100);
    run(&d, false, &a);
    assert_true(a.check.proof.possible);
    assert_false(a.check.proof.safe);
    assert_near(size_of(&a.check.proof), 250, 1e-9, 0);
    assert_true(a.check.proof.load_share < 0.5);
    assert_true(a.check.proof.limit == TH_PROOF_HAND || a.check.proof.limit == TH_PROOF_USELESS);
    assert_true(a.check.proof.covers > 0 && a.check.proof.covers < 1.25);
    answer_free(&a);
}

/* Where the tabs govern, the pull is sized by the bond that is there before cutting. */
static void tabs_are_no_part_of_the_proof(void **state) {
    draft d = cut_out("flat-6mm-3", "0.3");
    double worst = INFINITY;
    answer a;

    (void)state;
    put(&d, "cut.1", "tabs", "4 x 2 mm");
    put(&d, "cut.1", "tab_height", "1 mm");
    run(&d, false, &a);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        const th_stage *stage = &a.check.stages[i];
        bool tied =
            strcmp(stage->interface, "tabs") == 0 || strncmp(stage->interface, "the frame", 9) == 0;
        worst = tied ? worst : fmin(worst, stage->peak_factor);
    }
    assert_true(isfinite(worst) && a.check.proof.possible);
    if (a.check.proof.safe) {
        assert_true(a.check.proof.load_share >= 1.25 / worst * (1 - 1e-9));
    }
    assert_true(a.check.proof.load_share <= 0.5 * (1 + 1e-9));
    answer_free(&a);
}

/* A loose piece that the figures say goes is not told as one that may. */
static void a_piece_that_lets_go_is_told_plainly(void **state) {
    static const char *const sizes[] = {"16", "30", "38", "46", "54"};
    size_t goes = 0, may = 0;

    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        draft d = plate(90, 60, 4);
        const th_stage *slug;
        answer a;
        add_cut(&d, "cut.1", "hole", "flat-3mm-2");
        put(&d, "hold", "tape", "film");
        put(&d, "cut.1", "axial", "0.1");
        put(&d, "cut.1", "size", sizes[i]);
        put(&d, "cut.1", "at", "45,30");
        run(&d, false, &a);
        slug = stage_of(&a, "cut.1", TH_PIECE_SLUG);
        assert_false(slug->counts);
        bool low = slug->hold_factor < 1, fair = !low && slug->hold_factor < 2;
        assert_int_equal(cautions_with(&a, "cut.1: the slug lets go ("), low);
        assert_int_equal(cautions_with(&a, "cut.1: the slug may come loose ("), fair);
        goes += low;
        may += fair;
        answer_free(&a);
    }
    assert_true(goes > 0 && may > 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_piece_that_lets_go_is_told_plainly),
        cmocka_unit_test(a_frame_that_must_stay_gets_lighter_passes),
        cmocka_unit_test(a_last_pass_is_lightened_along),
        cmocka_unit_test(another_cutter_is_named_by_its_row),
        cmocka_unit_test(flatter_stock_is_a_turn_down),
        cmocka_unit_test(an_unfit_tape_is_replaced),
        cmocka_unit_test(what_is_too_weak_to_help_is_said),
        cmocka_unit_test(a_skin_near_the_edge_is_told_so),
        cmocka_unit_test(a_thin_last_pass_is_told_so),
        cmocka_unit_test(tabs_count_above_a_thin_last_pass),
        cmocka_unit_test(cautions_stand_in_order),
        cmocka_unit_test(an_untaped_frame_is_told_so),
        cmocka_unit_test(springing_cutters_share_a_line),
        cmocka_unit_test(holes_are_held_against_openings),
        cmocka_unit_test(nobody_pulls_more_than_a_hand_can),
        cmocka_unit_test(tabs_are_no_part_of_the_proof),
        cmocka_unit_test(
            long_settings_come_back_whole), /* last: its row is in every later search */
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
