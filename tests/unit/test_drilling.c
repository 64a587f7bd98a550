/* test_drilling.c - pecking, its time and duty, and the caution about thin sheet. Jobs are
 * invented. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/cutting.h"

/* The rule walked move by move. */
static void walk(const th_pecking *p, double *cutting, double *away, int *outs) {
    double at = 0;

    *cutting = *away = 0;
    *outs = 0;
    while (at < p->depth - 1e-9) {
        double next = fmin(at + p->peck, p->depth);

        *cutting += (next - at) / p->feed;
        at = next;
        if (at < p->depth - 1e-9) {
            double top = 1.0, back = at - 0.5; /* depths below the top: out at -1 */

            *away += (at + top) / p->rapid + (top + back) / p->rapid + 0.5 / p->feed;
            *outs += 1;
        }
    }
}

static void pecking_follows_its_moves(void **state) {
    static const double depths[] = {0.4, 3.37, 10, 25};
    static const double pecks[] = {0.1, 0.5, 1, 2.5, 3.37, 10};

    (void)state;
    for (int i = 0; i < 4 * 6; i++) {
        th_pecking p = {depths[i % 4], pecks[i / 4], 150, 2000};
        double cutting, away;
        int outs;

        walk(&p, &cutting, &away, &outs);
        assert_near(th_peck_outs(&p), outs, 0, 0);
        assert_near(th_peck_away(&p), away, 1e-12, 1e-15);
        assert_near(th_peck_duty(&p), cutting / (cutting + away), 1e-12, 0);
    }
}

/* 10 mm deep in pecks of 2.5 mm, 100 mm/min, rapid 1000 mm/min, by hand: out at 2.5, 5 and 7.5 mm;
 * up 3.5 + 6 + 8.5 = 18 mm, down 16.5 mm at rapid, 1.5 mm at feed: 0.0345 + 0.015 min away, 0.1 min
 * cutting. */
static void pecking_by_hand(void **state) {
    th_pecking p = {10, 2.5, 100, 1000};

    (void)state;
    assert_near(th_peck_outs(&p), 3, 0, 0);
    assert_near(th_peck_away(&p), 0.0495, 1e-12, 0);
    assert_near(th_peck_duty(&p), 0.1 / 0.1495, 1e-12, 0);
    p.rapid = INFINITY;
    assert_near(th_peck_duty(&p), 0.1 / 0.115, 1e-12, 0);
    p.peck = 10;
    assert_near(th_peck_duty(&p), 1, 0, 0);
    p.peck = NAN;
    assert_near(th_peck_outs(&p), 0, 0, 0);
    assert_near(th_peck_away(&p), 0, 0, 0);
    assert_near(th_peck_duty(&p), 1, 0, 0);
}

static void the_point_is_as_high_as_its_angle_says(void **state) {
    th_cutter drill = {.kind = TH_DRILL, .diameter = 10, .tip_angle = 118};

    (void)state;
    /* usual rule of the trade: 0.3 diameters at 118 deg; geometry: half of cot 59 deg */
    assert_near(th_drill_point(&drill), 3.0, 0.01, 0);
    drill.tip_angle = 90;
    assert_near(th_drill_point(&drill), 5, 1e-12, 0);
    drill.tip_angle = 180;
    assert_near(th_drill_point(&drill), 0, 0, 1e-12);
}

/* ---- in a job -------------------------------------------------------------------------------- */

static draft drilled(double thickness) {
    draft d = plate(60, 40, thickness);

    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put(&d, "cut.1", "at", "20,20 30,20 40,20");
    put(&d, "cut.1", "feed", "300 mm/min");
    return d;
}

/* Time goes up by the moves out of the cut, at the machine's fastest feed; the time the tape is
 * loaded, the load and the hold do not. */
static void pecking_costs_time_only(void **state) {
    draft d = drilled(10);
    answer plain, pecked;

    (void)state;
    put(&d, "machine", "feed_max", "1500 mm/min");
    run(&d, false, &plain);
    put(&d, "cut.1", "peck", "1.5");
    run(&d, false, &pecked);

    th_pecking p = {pecked.job->cuts[0].depth, 1.5, 300, 1500};
    const th_stage *s = &plain.check.stages[0], *t = &pecked.check.stages[0];
    double cutting, away;
    int outs;

    walk(&p, &cutting, &away, &outs);
    assert_true(outs == 7); /* 10 mm, the tape and a point of 0.9 mm, 1.5 mm at a time */
    assert_near(plain.check.minutes, 3 * cutting, 1e-9, 0);
    assert_near(pecked.check.minutes, 3 * (cutting + away), 1e-9, 0);
    assert_near(t->minutes, 3 * (cutting + away), 1e-9, 0);
    assert_near(t->held, s->held, 1e-12, 0);
    assert_near(t->hold_factor, s->hold_factor, 1e-12, 0);
    assert_near(t->lift_peak, s->lift_peak, 1e-12, 0);
    answer_free(&plain);
    answer_free(&pecked);
}

static int count_cautions(const answer *a, const char *words) {
    int found = 0;

    for (size_t i = 0; i < a->check.cautions.count; i++) {
        found += strstr(a->check.cautions.items[i], words) != NULL;
    }
    return found;
}

/* Point 0.90 mm high (118 deg), half the diameter 1.5 mm. */
static void thin_sheet_is_cautioned(void **state) {
    static const struct {
        double thickness;
        const char *through, *says;
    } cases[] = {{0.85, "yes", "before the full diameter cuts"},
                 {0.95, "yes", "before the full diameter is guided"},
                 {1.45, "yes", "under 1.5 mm, half its drill's diameter"},
                 {1.55, "yes", "grabs as it breaks through"},
                 {1.45, "no", NULL}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        draft d = drilled(cases[i].thickness);
        char lift[60];
        answer a;

        put(&d, "cut.1", "through", cases[i].through);
        if (!cases[i].says) {
            put(&d, "cut.1", "depth", "0.5");
        }
        run(&d, false, &a);
        assert_int_equal(count_cautions(&a, "grabs"), cases[i].says != NULL);
        assert_int_equal(count_cautions(&a, "thin sheet"), cases[i].says && i < 3);
        assert_int_equal(count_cautions(&a, "end mill"), cases[i].says && i < 3);
        if (cases[i].says) {
            assert_int_equal(count_cautions(&a, cases[i].says), 1);
            /* two digits of the breakthrough's figure */
            double force = a.check.stages[0].lift_peak;
            assert_true(force > 10 && force < 99);
            snprintf(lift, sizeof lift, "lifts with about %.0f N", force);
            assert_int_equal(count_cautions(&a, lift), 1);
        }
        answer_free(&a);
    }
}

/* Holes that run into one another free a slug, so the drill works on two pieces: one caution. */
static void one_caution_a_cut(void **state) {
    draft d = plate(100, 60, 1);
    answer a;

    (void)state;
    add_sheet(&d, 130, 90, 15, 15);
    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put(&d, "cut.1", "at", "50,30");
    put(&d, "cut.1", "circle", "60 x 50"); /* 2.6 mm apart */
    run(&d, false, &a);
    assert_true(a.check.stage_count > 1);
    assert_int_equal(count_cautions(&a, "thin sheet"), 1);
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pecking_follows_its_moves),
        cmocka_unit_test(pecking_by_hand),
        cmocka_unit_test(the_point_is_as_high_as_its_angle_says),
        cmocka_unit_test(pecking_costs_time_only),
        cmocka_unit_test(thin_sheet_is_cautioned),
        cmocka_unit_test(one_caution_a_cut),
    };

    return cmocka_run_group_tests_name("drilling", tests, set_up, tear_down);
}
