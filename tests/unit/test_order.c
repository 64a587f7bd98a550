/* test_order.c - an outline that comes too early, heights for the machine, sway and creep. Jobs are
 * invented. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "support/draft.h"

/* ---- order ----------------------------------------------------------------------------------- */

/* Part of 40 x 30 x 4 out of a sheet; `outline` and `pocket` are their sections. */
static draft freed_and_pocketed(const char *outline, const char *pocket) {
    draft d = plate(40, 30, 4);

    put(&d, "hold", "tape", "film");
    put(&d, "hold", "cutting_time", "60 s");
    add_sheet(&d, 90, 80, 25, 25);
    add_cut(&d, outline, "outline", "flat-6mm-3");
    put(&d, outline, "radial", "2");
    put(&d, outline, "axial", "0.1");
    add_cut(&d, pocket, "pocket", "flat-6mm-3");
    put(&d, pocket, "radial", "4");
    put(&d, pocket, "axial", "0.6");
    put(&d, pocket, "depth", "2");
    put(&d, pocket, "size", "20 x 15");
    put(&d, pocket, "at", "20,15");
    return d;
}

static bool cautioned(const answer *a, const char *words) {
    for (size_t i = 0; i < a->check.cautions.count; i++) {
        if (strstr(a->check.cautions.items[i], words)) {
            return true;
        }
    }
    return false;
}

static void an_early_outline_is_cautioned(void **state) {
    draft early = freed_and_pocketed("cut.1", "cut.2"), late = freed_and_pocketed("cut.2", "cut.1");
    char figure[60];
    answer a, b;

    (void)state;
    run(&early, false, &a);
    run(&late, false, &b);
    assert_int_equal(stage_of(&a, "cut.2", TH_PIECE_PART)->piece, TH_PIECE_PART);
    assert_int_equal(stage_of(&b, "cut.1", TH_PIECE_STOCK)->piece, TH_PIECE_STOCK);
    assert_non_null(a.check.order.cut);
    assert_ptr_equal(a.check.order.cut, &a.job->cuts[0]);
    assert_near(a.check.order.hold_factor, a.check.hold_factor, 0, 0);
    assert_near(a.check.order.moved_hold_factor, b.check.hold_factor, 1e-9, 0);
    assert_true(b.check.hold_factor > 1.2 * a.check.hold_factor);
    assert_true(cautioned(&a, "cut.1 frees the part before other cuts are done"));
    th_number_print(floor(a.check.hold_factor * 100) / 100, 3, figure, sizeof figure);
    assert_true(cautioned(&a, figure));
    th_number_print(floor(b.check.hold_factor * 100) / 100, 3, figure, sizeof figure);
    assert_true(cautioned(&a, figure));
    assert_null(b.check.order.cut);
    assert_false(cautioned(&b, "frees the part before"));
    answer_free(&a);
    answer_free(&b);
}

/* Nothing is freed: a skin, a part that is the stock itself, only edges to break afterwards. */
static void an_outline_that_frees_nothing_early_is_not(void **state) {
    static const char *const sheet[] = {"sheet_length", "sheet_width", "sheet_x", "sheet_y"};
    draft skin = freed_and_pocketed("cut.1", "cut.2"), blank = skin, edges = skin;
    const draft *const jobs[] = {&skin, &blank, &edges};

    (void)state;
    put(&skin, "cut.1", "skin", "0.3");
    for (int i = 0; i < 4; i++) {
        drop(&blank, "part", sheet[i]);
    }
    for (int i = 0; i < 7; i++) {
        static const char *const keys[] = {"operation", "cutter", "radial", "axial",
                                           "depth",     "size",   "at"};
        drop(&edges, "cut.2", keys[i]);
    }
    put(&edges, "cutter.v", "id", "chamfer-6mm-90");
    put(&edges, "cut.2", "operation", "chamfer");
    put(&edges, "cut.2", "cutter", "v");
    put(&edges, "cut.2", "width", "0.3");
    for (int i = 0; i < 3; i++) {
        answer a;
        run(jobs[i], false, &a);
        assert_null(a.check.order.cut);
        assert_false(cautioned(&a, "frees the part before"));
        answer_free(&a);
    }
}

/* ---- heights --------------------------------------------------------------------------------- */

static void heights_are_sums_of_layers(void **state) {
    const th_glue *glue = th_tables_find(draft_tables(), TH_GLUES, "ca-thin");
    double stack = 2 * 0.08 + glue->thickness, push[3] = {1, 0, 0};
    draft d = plate(60, 40, 4);
    const th_heights *h;
    answer a;

    (void)state;
    put(&d, "hold", "tape", "film"); /* 0.08 mm */
    put(&d, "hold", "plate_thickness", "15 mm");
    put(&d, "hold", "below", "0.35 mm");
    add_push(&d, "cut.1", push, 10, 10);
    run(&d, false, &a);
    h = &a.check.heights;
    assert_near(h->top, 4, 0, 0);
    assert_near(h->stack, stack, 1e-12, 0);
    assert_near(h->plate_top, -stack, 1e-12, 0);
    assert_near(h->plate_left, 15, 1e-12, 0);
    assert_near(h->table, -stack - 15, 1e-12, 0);
    assert_true(isnan(h->through) && isnan(h->into_plate));
    answer_free(&a);
    add_cut(&d, "cut.2", "hole", "flat-6mm-3");
    put(&d, "cut.2", "axial", "0.3");
    put(&d, "cut.2", "size", "10");
    put(&d, "cut.2", "at", "30,20");
    run(&d, false, &a);
    h = &a.check.heights;
    assert_near(h->through, -stack - 0.35, 1e-12, 0);
    assert_near(h->into_plate, 0.35, 1e-12, 0);
    assert_near(h->plate_left, 15 - 0.35, 1e-12, 0);
    answer_free(&a);
}

/* ---- sway and creep -------------------------------------------------------------------------- */

/* Shear spring of two layers of `film`: 50 kPa over 0.03 mm each, in series (N/mm3). */
static const double spring = 0.05 / 0.03 / 2;

static void sway_is_shear_over_the_spring_of_the_tape(void **state) {
    double side[3] = {45, -20, 0}, area = 0.9 * 2400, force = hypot(45, 20);
    double polar = area * (60 * 60 + 40 * 40) / 12, torque, sx, sy;
    draft d = plate(60, 40, 4);
    answer a;

    (void)state;
    put(&d, "hold", "tape", "film");
    add_push(&d, "cut.1", side, 30, 20);
    run(&d, false, &a);
    assert_near(a.check.stages[0].sway, force / area / spring, 1e-12, 0);
    assert_near(a.check.stages[0].creep, 0, 0, 0); /* 3 s */
    answer_free(&a);
    /* Off the middle the twist adds, at the place that is pushed. */
    add_push(&d, "cut.1", side, 50, 30);
    torque = 20 * side[1] - 10 * side[0];
    sx = side[0] / area - torque * 10 / polar;
    sy = side[1] / area + torque * 20 / polar;
    run(&d, false, &a);
    assert_near(a.check.stages[0].sway, hypot(sx, sy) / spring, 1e-12, 0);
    answer_free(&a);
}

/* What weakens as (t/3 s)^-0.2 gives way as (t/3 s)^0.2, less what springs back. */
static void creep_grows_with_time(void **state) {
    static const double times[] = {1, 3, 4, 60, 3600, 1e5};
    double side[3] = {30, 0, 0}, last = 0;

    (void)state;
    for (int i = 0; i < 6; i++) {
        draft d = plate(60, 40, 4);
        answer a;
        put(&d, "hold", "tape", "film");
        add_push(&d, "cut.1", side, 30, 20);
        put_number(&d, "cut.1", "seconds", times[i], "s");
        run(&d, false, &a);
        assert_near(a.check.stages[0].creep,
                    30 / (0.9 * 2400) / spring * (pow(fmax(times[i] / 3, 1), 0.2) - 1), 1e-9,
                    1e-15);
        assert_true(i < 2 || a.check.stages[0].creep > last);
        last = a.check.stages[0].creep;
        answer_free(&a);
        put(&d, "hold", "tape", "film-lasting");
        run(&d, false, &a);
        assert_near(a.check.stages[0].creep, 0, 0, 0);
        answer_free(&a);
    }
}

static void sway_beyond_the_limit_is_cautioned(void **state) {
    double side[3] = {45, -20, 0}, sway = hypot(45, 20) / (0.9 * 2400) / spring;
    draft d = plate(60, 40, 4);

    (void)state;
    put(&d, "hold", "tape", "film");
    add_push(&d, "cut.1", side, 30, 20);
    for (int i = 0; i < 2; i++) {
        answer a;
        put_length(&d, "job", "sway_limit", i ? sway * 0.999 : sway * 1.001);
        run(&d, false, &a);
        assert_int_equal(cautioned(&a, "sways"), i);
        answer_free(&a);
    }
}

/* Of two pushes beyond the limit the one that moves most comes first, though it is the second. */
static void the_cut_that_sways_most_is_told_first(void **state) {
    double side[3] = {20, 0, 0}, more[3] = {45, 0, 0};
    draft d = plate(60, 40, 4);
    answer a;

    (void)state;
    put(&d, "hold", "tape", "film");
    put(&d, "job", "sway_limit", "0.001 mm");
    add_push(&d, "cut.1", side, 30, 20);
    add_push(&d, "cut.2", more, 30, 20);
    run(&d, false, &a);
    assert_true(cautioned(&a, "cut.1: the part sways"));
    for (size_t i = 0; i < a.check.cautions.count; i++) {
        if (strstr(a.check.cautions.items[i], "sways")) {
            assert_int_equal(strncmp(a.check.cautions.items[i], "cut.2: ", 7), 0);
            assert_int_equal(strncmp(a.check.cautions.items[i + 1], "cut.1: ", 7), 0);
            break;
        }
    }
    answer_free(&a);
}

/* Where the job states no limit: one line, for the cut that moves most, beyond 0.1 mm. */
static void a_part_that_springs_is_cautioned_unasked(void **state) {
    static const char *const tapes[] = {"double-film-acrylic", "foam-acrylic"};

    (void)state;
    for (int soft = 0; soft < 2; soft++) {
        draft d = plate(60, 40, 4);
        double most = 0;
        answer a;
        put(&d, "hold", "tape", tapes[soft]);
        put(&d, "hold", "glue", "none");
        for (int i = 1; i <= 2; i++) {
            char section[16];
            snprintf(section, sizeof section, "cut.%d", i);
            add_cut(&d, section, "pocket", "flat-6mm-3");
            put(&d, section, "radial", "3");
            put(&d, section, "axial", i == 1 ? "0.1" : "0.2");
            put(&d, section, "depth", "0.2");
            put(&d, section, "size", "20 x 10");
            put(&d, section, "at", "30,20");
        }
        run(&d, false, &a);
        for (size_t i = 0; i < a.check.stage_count; i++) {
            const th_stage *stage = &a.check.stages[i];
            most = stage->counts ? fmax(most, fmax(stage->sway, stage->creep)) : most;
        }
        print_message("  %s: %.3f mm, hold factor %.2f\n", tapes[soft], most, a.check.hold_factor);
        assert_int_equal(most > TH_SWAY_PRACTICE, soft);
        assert_true(a.check.verdict != TH_LETS_GO);
        assert_int_equal(cautioned(&a, "sideways on its tape"), soft);
        assert_int_equal(cautioned(&a, "cut.2: the part springs"), soft);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_early_outline_is_cautioned),
        cmocka_unit_test(an_outline_that_frees_nothing_early_is_not),
        cmocka_unit_test(heights_are_sums_of_layers),
        cmocka_unit_test(sway_is_shear_over_the_spring_of_the_tape),
        cmocka_unit_test(creep_grows_with_time),
        cmocka_unit_test(sway_beyond_the_limit_is_cautioned),
        cmocka_unit_test(the_cut_that_sways_most_is_told_first),
        cmocka_unit_test(a_part_that_springs_is_cautioned_unasked),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
