/* test_turn_list.c - more turn-downs than the list is for: the dearest goes, whichever came last,
 * and the last one is still made as mild as it may be. The job and the costs are invented. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "../../src/advice/turn_search.h"
#include "support/draft.h"

/* A search whose list is full already, of changes that cost 100, 101, ... min. */
typedef struct {
    th_search search;
    th_arena arena, judged;
    th_judgement now;
    th_check_options options;
    th_error err;
    bool flags[3][4];
    double by_cut[2][4];
    th_turn_down list[TH_TURN_DOWNS_MOST + 1];
    double cost[TH_TURN_DOWNS_MOST + 1];
} full;

static void fill(full *f, const th_job *job) {
    memset(f, 0, sizeof *f);
    f->search = (th_search){.job = job,
                            .judging = {.options = &f->options,
                                        .shapes = th_shapes_new(),
                                        .cache = th_plate_cache_new()},
                            .now = &f->now,
                            .arena = &f->arena,
                            .err = &f->err,
                            .far = f->flags[0],
                            .holds = f->flags[1],
                            .skip = f->flags[2],
                            .before = f->by_cut[0],
                            .by_cut = f->by_cut[1],
                            .optimism = 1,
                            .list = f->list,
                            .cost = f->cost,
                            .count = TH_TURN_DOWNS_MOST};
    assert_non_null(f->search.judging.shapes);
    assert_non_null(f->search.judging.cache);
    assert_true(th_judge(job, &f->search.judging, &f->judged, 0, &f->now, &f->err));
    for (size_t i = 0; i < TH_TURN_DOWNS_MOST; i++) {
        f->list[i].change = "invented";
        f->cost[i] = 100 + (double)i;
    }
}

static void empty(full *f) {
    th_plate_cache_free(f->search.judging.cache);
    th_shapes_free(f->search.judging.shapes);
    th_arena_free(&f->search.own);
    th_arena_free(&f->arena);
    th_arena_free(&f->judged);
}

/* A lever of coverage: 0.6, 0.65, ... 1, for a job that needs some of it. */
static th_lever *coverage(full *f, double extra) {
    const th_lever pattern = {.change = "coverage",
                              .climbs = true,
                              .kind = TH_RATIO,
                              .from = f->search.job->hold.coverage};
    th_lever *lever = th_lever_add(&f->search, &pattern);

    assert_non_null(lever);
    for (int i = 0; i < 9; i++) {
        char value[16];
        snprintf(value, sizeof value, "%g", 0.6 + 0.05 * i);
        th_rung *rung = th_rung_add(&f->search, lever, 0.6 + 0.05 * i, NULL, extra);
        assert_true(rung && th_rung_set(&f->search, rung, "hold", "coverage", value));
    }
    return lever;
}

static th_job *pushed(double coverage_now) {
    const double force[3] = {60, 0, 0};
    draft d = plate(60, 40, 6);
    answer a;
    double unit;

    add_push(&d, "cut.1", force, 30, 20);
    put_number(&d, "hold", "coverage", coverage_now, "");
    run(&d, false, &a);
    unit = a.check.hold_factor / coverage_now; /* a push in the plane: nearly in proportion */
    answer_free(&a);
    put_number(&d, "job", "asked_factor", fmin(0.78 * unit, 20), "");
    return built(&d);
}

static bool listed(const full *f, const char *change) {
    for (size_t i = 0; i < f->search.count; i++) {
        if (strcmp(f->list[i].change, change) == 0) {
            return true;
        }
    }
    return false;
}

static void try_strongest(full *f, double extra) {
    th_lever *lever = coverage(f, extra);
    th_combo combo = {{lever, NULL}, {lever->count - 1, 0}, 1};
    bool kept;
    double ratio;

    assert_true(th_search_confirm(&f->search, &combo, false, &kept, &ratio));
    assert_true(kept);
    assert_true(th_search_relax(&f->search, &combo, 0, 0, 8));
}

/* One that costs nothing takes the place of the dearest, as mild as it may be. */
static void a_cheaper_one_is_not_lost(void **state) {
    th_job *job = pushed(0.5);
    full f;

    (void)state;
    fill(&f, job);
    try_strongest(&f, 0);
    assert_int_equal(f.search.count, TH_TURN_DOWNS_MOST + 1);
    assert_string_equal(f.list[TH_TURN_DOWNS_MOST].settings[0], "hold.coverage=0.8");
    try_strongest(&f, 1);
    assert_int_equal(f.search.count, TH_TURN_DOWNS_MOST + 1);
    assert_near(f.cost[TH_TURN_DOWNS_MOST - 1], 0, 0,
                1e-9); /* moved up: the one of 163 min is gone */
    assert_near(f.cost[TH_TURN_DOWNS_MOST], 1, 0, 1e-9);
    assert_near(f.cost[TH_TURN_DOWNS_MOST - 2], 162, 0, 1e-9);
    empty(&f);
    th_job_free(job);
}

/* A dearer one than all of them is the first to go. */
static void the_dearest_goes(void **state) {
    th_job *job = pushed(0.5);
    full f;

    (void)state;
    fill(&f, job);
    try_strongest(&f, 1000);
    assert_true(listed(&f, "coverage"));
    f.cost[0] = 0; /* tells the first one from the rest */
    try_strongest(&f, 500);
    assert_int_equal(f.search.count, TH_TURN_DOWNS_MOST + 1);
    assert_near(f.cost[0], 0, 0, 0);
    assert_near(f.cost[TH_TURN_DOWNS_MOST], 500, 0, 1e-9);
    assert_near(f.cost[TH_TURN_DOWNS_MOST - 1], 163, 0, 1e-9);
    empty(&f);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cheaper_one_is_not_lost),
        cmocka_unit_test(the_dearest_goes),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
