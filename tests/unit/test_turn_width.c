/* test_turn_width.c - changes of cuts that begin wider than they state, judged at full width too:
 * against the same job stated so. Jobs are invented. */
#include <math.h>

#include "../../src/advice/turn_search.h"
#include "support/draft.h"

enum { CUTS = 2 };

/* A pocket with a stepover, and a groove beside it. */
static draft pocketed(const char *radial) {
    draft d = plate(90, 60, 6);

    put(&d, "part", "stock", "linear");
    put(&d, "hold", "tape", "film");
    add_cut(&d, "cut.1", "pocket", "flat-3mm-2");
    put(&d, "cut.1", "at", "30,30");
    put(&d, "cut.1", "size", "30 x 20");
    put(&d, "cut.1", "depth", "0.5");
    put(&d, "cut.1", "axial", "0.5");
    put(&d, "cut.1", "radial", radial);
    put(&d, "cut.1", "speed", "12000");
    put(&d, "cut.1", "chip_load", "0.02 mm/tooth");
    put(&d, "cut.2", "operation", "slot");
    put(&d, "cut.2", "cutter", "em");
    put(&d, "cut.2", "axial", "0.05");
    put(&d, "cut.2", "depth", "0.05");
    put(&d, "cut.2", "speed", "12000");
    put(&d, "cut.2", "chip_load", "0.02 mm/tooth");
    put(&d, "cut.2", "from", "70,10");
    put(&d, "cut.2", "to", "70,50");
    return d;
}

/* Of the pocket, which is weaker than the groove. */
static double factor_of(const draft *d) {
    double factor;
    answer a;

    run(d, false, &a);
    factor = a.check.hold_factor;
    answer_free(&a);
    return factor;
}

/* The first of the cuts begins so: what it comes to at full width counts, and only where it is
 * looked for. */
static void what_begins_wider_is_judged_at_full_width(void **state) {
    draft stated = pocketed("0.3"), full = pocketed("3");
    double narrow = factor_of(&stated), wide = factor_of(&full);
    th_job *job = built(&stated);

    (void)state;
    assert_true(narrow > 1.3 * wide);
    for (int i = 0; i < 2; i++) {
        static const th_check_options options = {.turn_downs = false};
        const th_combo none = {.count = 0};
        bool wider[CUTS] = {i == 1, false};
        double by_cut[CUTS];
        th_error err = {TH_OK, 0, "", ""};
        th_arena arena = {NULL};
        th_judgement now;
        th_outturn outturn;
        th_search search = {.job = job,
                            .judging = {.options = &options},
                            .now = &now,
                            .by_cut = by_cut,
                            .wider = wider,
                            .err = &err};
        assert_true(th_work_begin(&search.judging));
        assert_true(th_judge(job, &search.judging, &arena, 0, &now, &err));
        assert_true(th_search_judge(&search, &none, job, &outturn, &err));
        assert_near(outturn.hold_factor, narrow, 1e-6, 0);
        assert_near(outturn.kept, i ? wide : narrow, 0.01, 0);
        assert_near(by_cut[0], i ? wide : narrow, 0.01, 0);
        assert_true(by_cut[1] > narrow);
        th_work_end(&search.judging);
        th_arena_free(&arena);
    }
    th_job_free(job);
}

/* Those alone that begin so are put at the full width of their cutter. */
static void what_begins_wider_is_widened(void **state) {
    draft d = pocketed("0.3");

    (void)state;
    for (int i = 0; i < 4; i++) {
        bool wider[CUTS] = {i == 1, i == 2};
        th_job *job = built(&d);
        th_search search = {.job = job, .wider = i == 3 ? NULL : wider};
        assert_int_equal(th_search_widen(&search, job),
                         i == 1); /* the groove is as wide as it is */
        assert_near(job->cuts[0].radial, i == 1 ? 3 : 0.3, 1e-12, 0);
        assert_near(job->cuts[1].radial, 3, 1e-12, 0);
        th_job_free(job);
    }
}

/* A push has no cutter whose width it could be put at: it stays as it is, however marked. */
static void a_push_is_as_wide_as_it_is(void **state) {
    static const double force[3] = {60, 0, 0};
    static const th_check_options options = {.turn_downs = false};
    const th_combo none = {.count = 0};
    draft d = plate(60, 40, 6);
    bool wider[1] = {true};
    double by_cut[1];
    th_error err = {TH_OK, 0, "", ""};
    th_arena arena = {NULL};
    th_judgement now;
    th_outturn outturn;
    th_job *job;

    (void)state;
    add_push(&d, "cut.1", force, 30, 20);
    job = built(&d);
    th_search search = {.job = job,
                        .judging = {.options = &options},
                        .now = &now,
                        .by_cut = by_cut,
                        .wider = wider,
                        .err = &err};
    assert_false(th_search_widen(&search, job));
    assert_true(isnan(job->cuts[0].radial));
    assert_true(th_work_begin(&search.judging));
    assert_true(th_judge(job, &search.judging, &arena, 0, &now, &err));
    assert_true(th_search_judge(&search, &none, job, &outturn, &err));
    assert_near(outturn.kept, factor_of(&d), 1e-6, 0);
    assert_near(by_cut[0], outturn.kept, 1e-12, 0);
    th_work_end(&search.judging);
    th_arena_free(&arena);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_begins_wider_is_judged_at_full_width),
        cmocka_unit_test(what_begins_wider_is_widened),
        cmocka_unit_test(a_push_is_as_wide_as_it_is),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
