/* test_turn_advice.c - what no setting can say: other holding, and a finishing lap that is better
 * left out; against the sums that it is told by. And which cuts the search for changes passes over.
 * Jobs are invented. */
#include <stdio.h>
#include <string.h>

#include "../../src/advice/cautions.h"
#include "../../src/advice/turn_search.h"
#include "support/draft.h"

typedef struct {
    th_job *job;
    th_arena arena;
    th_check_options options;
    th_judgement now;
    th_error err;
    th_search search;
    th_turn_downs found;
} advised;

/* `enough`: there are turn-downs; else none holds any cut. */
static void advise(const draft *d, bool enough, advised *a) {
    th_turn_reach none;

    memset(a, 0, sizeof *a);
    a->job = built(d);
    a->search = (th_search){.job = a->job,
                            .judging = {.options = &a->options},
                            .now = &a->now,
                            .arena = &a->arena,
                            .err = &a->err};
    none = (th_turn_reach){.cut = &a->job->cuts[0]};
    assert_true(th_work_begin(&a->search.judging));
    assert_true(th_judge(a->job, &a->search.judging, &a->arena, 0, &a->now, &a->err));
    assert_true(th_turn_advice(&a->search, enough ? NULL : &none, enough ? 0 : 1, &a->found));
    th_work_end(&a->search.judging);
}

static void dismiss(advised *a) {
    th_arena_free(&a->search.own);
    th_arena_free(&a->arena);
    th_job_free(a->job);
}

static bool says(const advised *a, const char *words) {
    for (size_t i = 0; i < a->found.advice.count; i++) {
        if (strstr(a->found.advice.items[i], words)) {
            return true;
        }
    }
    return false;
}

/* 0.07 MPa under the whole part, however much of it the tape covers, gives 0.07 x 60 x 40 = 168 N
 * that press it down, and 0.2 of that against a push. */
static void vacuum_is_told_where_it_does(void **state) {
    static const double coverages[] = {0.05, 0.3, 1};
    const double bears = 0.2 * 0.07 * 60 * 40;

    (void)state;
    for (int c = 0; c < 3; c++) {
        for (int i = 0; i < 2; i++) {
            const double force[3] = {(i ? 1.02 : 0.98) * bears / 2, 0, 0};
            draft d = plate(60, 40, 6);
            advised a;
            add_push(&d, "cut.1", force, 30, 20);
            put_number(&d, "hold", "coverage", coverages[c], "");
            put_number(&d, "job", "asked_factor", 2, "");
            advise(&d, false, &a);
            assert_true(says(&a, "hold it by clamps at the edge"));
            assert_int_equal(says(&a, "a vacuum plate"), i == 0);
            dismiss(&a);
        }
    }
}

/* The hold factor that is told is that of the job without the lap. */
static void a_lap_left_out_gives_what_is_told(void **state) {
    draft d = plate(90, 60, 6);
    char words[80], factor[40];
    advised a;
    answer with, without;

    (void)state;
    put(&d, "part", "stock", "linear");
    add_cut(&d, "cut.1", "pocket", "flat-6mm-3");
    put(&d, "cut.1", "at", "45,30");
    put(&d, "cut.1", "size", "50 x 30");
    put(&d, "cut.1", "axial", "0.4");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "speed", "12000");
    put(&d, "cut.1", "chip_load", "0.02 mm/tooth");
    put(&d, "cut.1", "depth", "4");
    put_number(&d, "job", "asked_factor", 1, "");
    run(&d, false, &without);
    put(&d, "cut.1", "finish", "1");
    run(&d, false, &with);
    assert_true(without.check.hold_factor > 2 * with.check.hold_factor);
    put_number(&d, "job", "asked_factor", 1.5 * with.check.hold_factor, "");
    advise(&d, true, &a);
    th_factor_below(without.check.hold_factor, factor, sizeof factor);
    snprintf(words, sizeof words, "(hold factor %s without it)", factor);
    assert_true(says(&a, words));
    dismiss(&a);
    answer_free(&with);
    answer_free(&without);
}

/* A groove that does not hold, a light one, and an outline as light whose tabs later cuts lean on:
 * what is far from failing, and leaves none, need not be looked at with each change. */
static void quick_looks_pass_over_what_is_far_from_failing(void **state) {
    draft d = plate(60, 40, 3);
    th_turn_down cheapest;
    advised s;
    bool found;

    (void)state;
    put(&d, "hold", "coverage", "0.2");
    put(&d, "hold", "wait", "24 h");
    put(&d, "job", "asked_factor", "1");
    add_sheet(&d, 120, 100, 30, 30);
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "2");
    put(&d, "cut.1", "from", "10, 10");
    put(&d, "cut.1", "to", "50, 10");
    add_cut(&d, "cut.2", "slot", "flat-3mm-2");
    put(&d, "cut.2", "axial", "0.05");
    put(&d, "cut.2", "from", "10, 30");
    put(&d, "cut.2", "to", "50, 30");
    add_cut(&d, "cut.3", "outline", "flat-3mm-2");
    put(&d, "cut.3", "axial", "0.05");
    put(&d, "cut.3", "radial", "3");
    put(&d, "cut.3", "tabs", "4 x 4");
    put(&d, "cut.3", "tab_height", "1");
    memset(&s, 0, sizeof s);
    s.job = built(&d);
    s.search = (th_search){.job = s.job,
                           .judging = {.options = &s.options},
                           .now = &s.now,
                           .arena = &s.arena,
                           .err = &s.err};
    assert_true(th_work_begin(&s.search.judging));
    assert_true(th_judge(s.job, &s.search.judging, &s.arena, 0, &s.now, &s.err));
    assert_true(s.now.hold_factor > 0 && s.now.hold_factor < 1);
    for (size_t i = 0; i < s.now.count; i++) {
        assert_true(s.now.stages[i].cut == &s.job->cuts[0] || s.now.stages[i].hold_factor > 5);
    }
    assert_true(th_turn_downs_within(&s.search, &cheapest, &found));
    for (int i = 0; i < 3; i++) {
        assert_int_equal(s.search.far[i], i == 1);
    }
    th_work_end(&s.search.judging);
    dismiss(&s);
}

/* Of the cuts that no change holds three are named, and how many there are besides where there are
 * more. */
static void three_cuts_are_named_the_rest_counted(void **state) {
    const double force[3] = {5, 0, 0};

    (void)state;
    for (int cuts = 1; cuts <= 6; cuts++) {
        th_turn_reach none[6];
        char section[24], more[24];
        draft d = plate(60, 40, 3);
        advised a;
        for (int i = 1; i <= cuts + 1; i++) { /* one more that holds */
            snprintf(section, sizeof section, "cut.%d", i);
            add_push(&d, section, force, 30, 20);
        }
        advise(&d, true, &a);
        for (int i = 0; i < cuts; i++) {
            none[i] = (th_turn_reach){.cut = &a.job->cuts[i]};
        }
        assert_true(th_turn_advice(&a.search, none, (size_t)cuts, &a.found));
        snprintf(more, sizeof more, " and %d more: ", cuts - 3);
        assert_true(says(&a, "the other cuts hold"));
        assert_int_equal(says(&a, "cut.3 push"), cuts >= 3);
        assert_false(says(&a, "cut.4 push"));
        assert_int_equal(says(&a, more), cuts > 3);
        assert_int_equal(says(&a, " more: "), cuts > 3);
        dismiss(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(vacuum_is_told_where_it_does),
        cmocka_unit_test(a_lap_left_out_gives_what_is_told),
        cmocka_unit_test(quick_looks_pass_over_what_is_far_from_failing),
        cmocka_unit_test(three_cuts_are_named_the_rest_counted),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
