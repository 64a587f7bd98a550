/* test_turn_list.c - more turn-downs than the list is for: the dearest goes, whichever came last,
 * and the last one is still made as mild as it may be; and which two changes are tried together.
 * The job and the costs are invented. */
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

/* Wherever in the list it stands. */
static void the_first_goes_where_it_is_the_dearest(void **state) {
    th_job *job = pushed(0.5);
    full f;

    (void)state;
    fill(&f, job);
    f.cost[0] = 5000;
    try_strongest(&f, 0);
    assert_near(f.cost[0], 5000, 0, 0);
    try_strongest(&f, 1);
    assert_int_equal(f.search.count, TH_TURN_DOWNS_MOST + 1);
    for (size_t i = 0; i < f.search.count; i++) {
        assert_true(f.cost[i] < 5000);
    }
    empty(&f);
    th_job_free(job);
}

/* ---- as mild as may be ------------------------------------------------------------------------
 */

enum { RUNGS = TH_RUNGS_MOST };

/* Pushes that fall evenly from so much to next to nothing (10 kN). */
static th_lever *lighter_pushes(full *f, double most) {
    const th_lever pattern = {.change = "push", .climbs = true, .from = most};
    th_lever *lever = th_lever_add(&f->search, &pattern);

    assert_non_null(lever);
    for (int left = RUNGS - 1; left > 0; left--) {
        double force = most * left / RUNGS;
        char value[32];
        snprintf(value, sizeof value, "%.9gN", 10000 * force);
        th_rung *rung = th_rung_add(&f->search, lever, force, NULL, 0);
        assert_true(rung && th_rung_set(&f->search, rung, "cut.1", "force_x", value));
    }
    return lever;
}

/* A hold factor is inversely as the push, which tells where to look: of as many values as there may
 * be the mildest that is enough is met within the few looks that are taken. */
static void a_power_of_the_value_is_followed(void **state) {
    static const double times[] = {2.9, 6.1, 11.7, 17.3, 21.7, 31, 38};
    const double force[3] = {9000, 0, 0};
    draft d = plate(60, 40, 6);
    th_turn_look look;
    th_lever *lever;
    th_job *job;
    full f;

    (void)state;
    add_push(&d, "cut.1", force, 30, 20);
    job = built(&d);
    fill(&f, job);
    assert_true(f.now.hold_factor > 0 && 40 * f.now.hold_factor < 1);
    f.search.quick = f.now.hold_factor;
    lever = lighter_pushes(&f, 0.9);
    for (size_t i = 0; i < sizeof times / sizeof *times; i++) {
        th_combo combo = {{lever, NULL}, {lever->count - 1, 0}, 1};
        double left;
        assert_true(th_search_look(&f.search, &combo, &look, NULL));
        assert_true(th_search_refine(&f.search, &combo, 0, 0, times[i] * f.now.hold_factor, &look));
        assert_true(look.hold_factor >= times[i] * f.now.hold_factor);
        left = lever->rungs[combo.rung[0]].to / 0.9 * RUNGS;
        assert_near(left, floor(RUNGS / times[i]), 1e-9, 0);
    }
    empty(&f);
    th_job_free(job);
}

/* ---- two at once ------------------------------------------------------------------------------
 */

/* A change of one value, of which a quick look showed so many times the hold factor asked for; 0:
 * none. `key` NULL: it changes nothing. */
static th_lever *one_value(full *f, const char *change, const char *section, const char *key,
                           const char *value, double shown) {
    const th_lever pattern = {.change = change, .from_text = "now"};
    th_lever *lever = th_lever_add(&f->search, &pattern);
    th_rung *rung;

    assert_non_null(lever);
    rung = th_rung_add(&f->search, lever, 0, change, 0);
    assert_true(rung && (!key || th_rung_set(&f->search, rung, section, key, value)));
    lever->seen = 1;
    lever->minutes = f->now.minutes;
    lever->hold_factor = lever->by_cut[0] = shown * f->search.job->head.asked_factor;
    return lever;
}

/* 1.4 times the hold and 0.8 of the force: 1.75 times as good, where 1.56 are asked for. */
static void two_that_do_together(full *f, double coverage, double push) {
    one_value(f, "coverage", "hold", "coverage", "0.7", coverage);
    one_value(f, "push", "cut.1", "force_x", "48N", push);
}

/* What no look has shown anything of goes with nothing, though with it the hold would be ample. */
static void only_what_was_seen_is_paired(void **state) {
    th_job *job = pushed(0.5);
    th_lever *unseen;
    full f;

    (void)state;
    fill(&f, job);
    f.search.count = 0;
    f.by_cut[0][0] = f.now.hold_factor;
    two_that_do_together(&f, 0.9, 0.8);
    f.search.levers[1]->rungs[0].extra = 5; /* the other one would be cheaper */
    unseen = one_value(&f, "skin", "cut.1", "force_y", "0N", 0.9);
    unseen->seen = 0;
    assert_true(th_rung_set(&f.search, &unseen->rungs[0], "hold", "wait", "24h"));
    assert_true(th_rung_set(&f.search, &unseen->rungs[0], "cut.1", "force_x", "10N"));
    assert_true(th_pairs_find(&f.search));
    assert_int_equal(f.search.count, 1);
    assert_string_equal(f.list[0].change, "coverage + push");
    empty(&f);
    th_job_free(job);
}

/* With no hold at all to begin with: a change that alone gives some goes first, though pairs of
 * others that give none are cheaper, and more than are looked at. */
static void what_gives_some_hold_alone_goes_first(void **state) {
    enum { NOTHING = 8 };
    th_job *job = pushed(0.5);
    full f;

    (void)state;
    fill(&f, job);
    f.search.count = 0;
    f.by_cut[0][0] = 0;
    two_that_do_together(&f, 0.5, 0.5);
    f.search.levers[0]->rungs[0].extra = f.search.levers[1]->rungs[0].extra = 100;
    for (int i = 0; i < NOTHING; i++) {
        one_value(&f, "nothing", NULL, NULL, NULL, 0);
    }
    assert_true(th_pairs_find(&f.search));
    assert_int_equal(f.search.count, 1);
    assert_string_equal(f.list[0].change, "coverage + push");
    empty(&f);
    th_job_free(job);
}

/* A change of several values, the mildest first, each at its own cost. */
static th_lever *values(full *f, const char *change, const char *section, const char *key,
                        const char *unit, const double *to, const double *extra) {
    const th_lever pattern = {.change = change,
                              .climbs = true,
                              .kind = TH_RATIO,
                              .from = to[0],
                              .minutes = f->now.minutes};
    th_lever *lever = th_lever_add(&f->search, &pattern);

    assert_non_null(lever);
    for (int i = 0; i < 3; i++) {
        char value[16];
        snprintf(value, sizeof value, "%g%s", to[i], unit);
        th_rung *rung = th_rung_add(&f->search, lever, to[i], NULL, extra[i]);
        assert_true(rung && th_rung_set(&f->search, rung, section, key, value));
    }
    lever->seen = 1;
    lever->best = 2;
    lever->hold_factor = lever->by_cut[0] = 0.95 * f->search.job->head.asked_factor;
    return lever;
}

/* Made mild first, the coverage leaves the push its strongest value, which is dear; the push made
 * mild first is cheap at any coverage. Whichever is listed first, the cheap one comes out. */
static void a_pair_is_made_mild_in_the_cheaper_order(void **state) {
    static const double shares[] = {0.6, 0.7, 0.8}, forces[] = {54, 48, 42};
    static const double none[] = {0, 0, 0}, dear[] = {1, 10, 100};
    th_job *job = pushed(0.5);

    (void)state;
    for (int i = 0; i < 2; i++) {
        full f;
        fill(&f, job);
        f.search.count = 0;
        f.by_cut[0][0] = f.now.hold_factor;
        for (int k = 0; k < 2; k++) {
            if (i == k) {
                values(&f, "coverage", "hold", "coverage", "", shares, none);
            } else {
                values(&f, "push", "cut.1", "force_x", "N", forces, dear);
            }
        }
        assert_true(th_pairs_find(&f.search));
        assert_true(f.search.count > 0);
        assert_near(f.cost[0], 1, 1e-9, 0);
        empty(&f);
    }
    th_job_free(job);
}

/* Quick looks that are taken to see too little choose values that are too mild: judged whole those
 * fail, and stronger ones are tried, the strongest of all where it must be so. If they are taken to
 * see too much, the values are too strong, and are made milder. A push is held by as much more as
 * is covered more and as it is less. */
static void what_quick_looks_mistake_is_put_right(void **state) {
    static const double shares[] = {0.6, 0.7, 0.8}, forces[] = {48, 42, 36}, none[] = {0, 0, 0};
    static const struct {
        double asked, optimism; /* times what it holds by; most: 1.6 / 0.7 */
        const char *enough;
    } cases[] = {{1.56, 0.7, "hold.coverage=0.6"},
                 {2.02, 0.7, "hold.coverage=0.8"},
                 {1.56, 1.3, "hold.coverage=0.6"}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        th_job *job = pushed(0.5);
        full f;
        job->head.asked_factor *= cases[i].asked / 1.56;
        fill(&f, job);
        f.search.count = 0;
        f.search.optimism = cases[i].optimism;
        f.by_cut[0][0] = f.now.hold_factor;
        values(&f, "coverage", "hold", "coverage", "", shares, none);
        /* as if the last were seen to hold less */
        values(&f, "push", "cut.1", "force_x", "N", forces, none)->best = 1;
        assert_true(th_pairs_find(&f.search));
        assert_int_equal(f.search.count, 1);
        assert_string_equal(f.list[0].settings[0], cases[i].enough);
        assert_string_equal(f.list[0].settings[1], "cut.1.force_x=42N");
        empty(&f);
        th_job_free(job);
    }
}

/* ---- another hold first -----------------------------------------------------------------------
 */

/* A change to a hold as good as the job's own, told from others by its title alone, of which a
 * quick look showed so many times what is asked of two cuts. */
static th_lever *add_hold(full *f, const char *kind, const char *title, const double shown[2]) {
    th_lever *lever = one_value(f, kind, "job", "title", title, 0);

    lever->by_cut[0] = shown[0] * f->search.job->head.asked_factor;
    lever->by_cut[1] = shown[1] * f->search.job->head.asked_factor;
    return lever;
}

/* Of two cuts, one of which is held by next to nothing and one is not. */
static draft two_unlike(void) {
    const double force[3] = {1, 0, 0};
    draft d = plate(60, 40, 6);
    double unit;
    answer a;

    put(&d, "hold", "coverage", "0.5");
    add_push(&d, "cut.1", (const double[]){60, 0, 0}, 30, 20);
    add_push(&d, "cut.2", force, 30, 20);
    run(&d, false, &a);
    unit = a.check.hold_factor;
    answer_free(&a);
    put_number(&d, "job", "asked_factor", fmin(1.56 * unit, 20), "");
    return d;
}

/* The more cuts hold the less is left to do; where as many do, the more they hold by. */
static void the_hold_that_leaves_least_is_tried(void **state) {
    static const struct {
        double one[2], other[2];
    } cases[] = {{{1, 0.1}, {0.9, 0.9}}, {{0.5, 0.9}, {0.6, 0.6}}, {{1, 0.6}, {0.5, 3}}};
    draft d = two_unlike();

    (void)state;
    for (size_t i = 0; i < 6; i++) {
        bool first = i % 2 == 0; /* of the two that are listed */
        th_job *job = built(&d);
        full f;
        fill(&f, job);
        f.search.count = 0;
        f.now.hold_factor = 0;
        add_hold(&f, "tape", first ? "better" : "worse",
                 first ? cases[i / 2].one : cases[i / 2].other);
        add_hold(&f, "tape", first ? "worse" : "better",
                 first ? cases[i / 2].other : cases[i / 2].one);
        assert_true(th_first_find(&f.search));
        assert_int_equal(f.search.count, 1);
        assert_string_equal(f.list[0].settings[0], "job.title=better");
        empty(&f);
        th_job_free(job);
    }
}

/* Of four kinds, whichever promises most of them: where the job refuses that, the next one. Both
 * cuts are left below what is asked, so it is the sum that decides. */
static void the_next_best_kind_comes_next(void **state) {
    static const char *const kinds[] = {"tape", "plate", "cooling", "glue"};
    static const char *const titles[] = {"best", "second", "third", "last"};
    draft d = two_unlike();

    (void)state;
    for (int i = 0; i < 4 * 4 * 4 * 4; i++) {
        const int rank[4] = {i / 64, i / 16 % 4, i / 4 % 4, i % 4};
        bool taken[4] = {false};
        th_job *job;
        full f;
        for (int k = 0; k < 4; k++) {
            taken[rank[k]] = true;
        }
        if (!(taken[0] && taken[1] && taken[2] && taken[3])) {
            continue; /* two kinds of one rank */
        }
        job = built(&d);
        fill(&f, job);
        f.search.count = 0;
        f.now.hold_factor = 0;
        for (int k = 0; k < 4; k++) {
            const double shown[2] = {0.9 - 0.2 * rank[k], 0.8};
            th_lever *lever = add_hold(&f, kinds[k], titles[rank[k]], shown);
            if (rank[k] == 0) {
                assert_true(
                    th_rung_set(&f.search, &lever->rungs[0], "hold", "coverage", "nonsense"));
            }
        }
        assert_true(th_first_find(&f.search));
        assert_int_equal(f.search.count, 1);
        assert_string_equal(f.list[0].settings[0], "job.title=second");
        empty(&f);
        th_job_free(job);
    }
}

/* Where one change alone is enough, and neither takes long nor makes the part sway, no two are
 * tried together, and no other tapes for them beside the best; where none is, they are. */
static void two_are_tried_where_one_is_not_enough(void **state) {
    static const double asked[] = {1.5, 2.5}; /* times what it holds by */
    static const double force[3] = {60, 0, 0};

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = plate(60, 40, 6);
        th_turn_down cheapest;
        int tapes = 0;
        th_job *job;
        bool found;
        answer a;
        full f;
        put(&d, "hold", "tape", "film");
        put(&d, "hold", "coverage", "0.98");
        add_push(&d, "cut.1", force, 30, 20);
        run(&d, false, &a);
        put_number(&d, "job", "asked_factor", a.check.hold_factor * asked[i], "");
        answer_free(&a);
        job = built(&d);
        fill(&f, job);
        f.search.count = 0;
        assert_true(th_turn_downs_within(&f.search, &cheapest, &found));
        assert_true(found && f.search.count == 1);
        assert_int_equal(strchr(cheapest.change, '+') != NULL, i);
        for (size_t k = 0; k < f.search.lever_count; k++) {
            tapes += strcmp(f.search.levers[k]->change, "tape") == 0;
        }
        assert_true(i ? tapes > 1 : tapes == 1);
        empty(&f);
        th_job_free(job);
    }
}

/* ---- what looks pass over ---------------------------------------------------------------------
 */

/* Two grooves in a part, and the outline that leaves it on tabs. */
static draft tabbed(void) {
    static const char *const sections[] = {"cut.1", "cut.2", "cut.3"};
    draft d = plate(60, 40, 3);

    add_sheet(&d, 100, 80, 20, 20);
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.2", "operation", "slot");
    put(&d, "cut.2", "cutter", "em");
    put(&d, "cut.3", "operation", "outline");
    put(&d, "cut.3", "cutter", "em");
    put(&d, "cut.3", "radial", "3");
    put(&d, "cut.3", "tabs", "4 x 6");
    put(&d, "cut.3", "tab_height", "2");
    for (int i = 0; i < 3; i++) {
        put(&d, sections[i], "axial", i ? "0.1" : "0.6");
        put(&d, sections[i], "speed", "12000");
        put(&d, sections[i], "chip_load", "0.02 mm/tooth");
        if (i < 2) {
            put(&d, sections[i], "depth", i ? "0.1" : "0.6");
            put_point(&d, sections[i], "from", 10, i ? 28 : 12);
            put_point(&d, sections[i], "to", 50, i ? 28 : 12);
        }
    }
    return d;
}

/* A groove that fails, one that holds, and an outline that holds by its tabs: of these the groove
 * that holds may be passed over, and not the outline, for what it leaves others lean on. */
static void a_tabbed_outline_is_not_passed_over(void **state) {
    const bool holds[] = {false, true, false};
    draft d = tabbed();
    double weak = INFINITY, others = INFINITY;
    th_turn_down cheapest;
    bool found;
    th_job *job;
    full f;
    answer a;

    (void)state;
    run(&d, false, &a);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        const th_stage *stage = &a.check.stages[i];
        double *least = stage->cut == &a.job->cuts[0] ? &weak : &others;
        *least = stage->counts ? fmin(*least, stage->hold_factor) : *least;
    }
    answer_free(&a);
    assert_true(weak * 1.1 < others);
    put_number(&d, "job", "asked_factor", sqrt(weak * others), "");
    job = built(&d);
    fill(&f, job);
    f.search.count = 0;
    assert_true(th_turn_downs_within(&f.search, &cheapest, &found));
    assert_true(found);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(f.search.holds[i], holds[i]);
    }
    empty(&f);
    th_job_free(job);
}

/* ---- one value and another ---------------------------------------------------------------------
 */

/* Two pushes, of which the second one is the weaker by far. */
static th_job *two_pushes(void) {
    const double light[3] = {20, 0, 0}, heavy[3] = {60, 0, 0};
    draft d = plate(60, 40, 6);

    add_push(&d, "cut.1", light, 30, 20);
    add_push(&d, "cut.2", heavy, 30, 20);
    put(&d, "job", "asked_factor", "20");
    return built(&d);
}

/* Of values that leave the weakest cut as it is the one is best that does more for the others. */
static void what_does_more_for_the_others_is_better(void **state) {
    static const char *const forces[] = {"50N", "30N", "40N"};
    const th_lever pattern = {.change = "tape", .from_text = "now"};
    th_job *job = two_pushes();
    th_turn_look look;
    th_lever *lever;
    size_t at;
    full f;

    (void)state;
    fill(&f, job);
    lever = th_lever_add(&f.search, &pattern);
    assert_non_null(lever);
    for (int i = 0; i < 3; i++) {
        th_rung *rung = th_rung_add(&f.search, lever, 0, forces[i], 0);
        assert_true(rung && th_rung_set(&f.search, rung, "cut.1", "force_x", forces[i]));
    }
    assert_true(th_search_probe(&f.search, lever, INFINITY, &at, &look));
    assert_int_equal(lever->seen, 3);
    assert_int_equal(lever->best, 1);
    for (size_t k = 0; k < lever->other_count; k++) { /* each with what it was seen to do */
        th_combo combo = {{lever, NULL}, {lever->others[k].rung, 0}, 1};
        double by_cut[2];
        assert_true(th_search_look(&f.search, &combo, &look, by_cut));
        for (int i = 0; i < 2; i++) {
            assert_near(lever->others[k].by_cut[i], by_cut[i], 1e-12, 0);
        }
    }
    assert_true(lever->other_count > 1);
    empty(&f);
    th_job_free(job);
}

/* A push in the plane is held by about as much as is covered: where that law says a value is the
 * mildest, one look there and one below it are enough. */
static void the_mildest_is_found_where_the_law_has_it(void **state) {
    th_job *job = pushed(0.5);
    th_combo combo = {{NULL, NULL}, {0, 0}, 1};
    double ratio;
    bool kept;
    full f;

    (void)state;
    job->head.asked_factor *= 0.68 / 0.78;
    fill(&f, job);
    combo.lever[0] = coverage(&f, 0);
    combo.rung[0] = combo.lever[0]->count - 1;
    assert_true(th_search_confirm(&f.search, &combo, false, &kept, &ratio));
    assert_true(th_search_relax(&f.search, &combo, 0, 0, 2));
    assert_near(combo.lever[0]->rungs[combo.rung[0]].to, 0.7, 1e-9, 0);
    empty(&f);
    th_job_free(job);
}

/* ---- what one look and one judgement say -------------------------------------------------------
 */

/* Of two cuts that hold as they are that one is looked at which a change touches; with no change
 * both are. */
static void a_look_passes_over_what_a_change_leaves_be(void **state) {
    const th_lever pattern = {.change = "push", .from_text = "now"};
    th_job *job = two_pushes();

    (void)state;
    for (int touched = 0; touched < 3; touched++) {
        th_combo combo = {{NULL, NULL}, {0, 0}, touched < 2 ? 1 : 0};
        th_turn_look look;
        double by_cut[2];
        full f;
        fill(&f, job);
        f.flags[1][0] = f.flags[1][1] = true;
        combo.lever[0] = th_lever_add(&f.search, &pattern);
        th_rung *rung = th_rung_add(&f.search, f.search.levers[0], 0, "10 N", 0);
        assert_true(rung &&
                    th_rung_set(&f.search, rung, touched ? "cut.2" : "cut.1", "force_x", "10N"));
        assert_true(th_search_look(&f.search, &combo, &look, by_cut));
        for (int i = 0; i < 2; i++) {
            bool over = touched < 2 && i != touched;
            assert_int_equal(f.search.skip[i], over);
            assert_int_equal(isinf(by_cut[i]), over);
        }
        empty(&f);
    }
    th_job_free(job);
}

/* A change that is not enough for the only cut fails by no other; the quick look at a push in the
 * plane is near the whole model. */
static void what_is_not_enough_is_told_by_its_own_cut(void **state) {
    th_job *job = pushed(0.5);
    th_combo combo = {{NULL, NULL}, {0, 0}, 1};
    double ratio;
    bool kept;
    full f;

    (void)state;
    fill(&f, job);
    combo.lever[0] = coverage(&f, 0); /* at 0.6; 0.78 are asked for */
    assert_true(th_search_confirm(&f.search, &combo, false, &kept, &ratio));
    assert_false(kept);
    assert_false(f.search.others);
    assert_near(ratio, 1, 0.1, 0);
    empty(&f);
    th_job_free(job);
}

/* As warm as the cuts are nothing is known of a pair but what a tape leaves: with it goes what
 * lightens the cut that holds least then, and no other. */
static void a_tape_goes_with_a_lighter_worst_cut(void **state) {
    const double force[3] = {60, 0, 0};

    (void)state;
    for (int worst = 0; worst < 2; worst++) {
        draft d = plate(60, 40, 6);
        double unit;
        answer a;
        full f;
        put(&d, "hold", "coverage", "0.5");
        add_push(&d, "cut.1", force, 30, 20);
        add_push(&d, "cut.2", force, 30, 20);
        put_number(&d, worst ? "cut.1" : "cut.2", "force_x", 20, "N");
        run(&d, false, &a);
        unit = a.check.hold_factor;
        answer_free(&a);
        put_number(&d, "job", "asked_factor", 1.56 * unit, "");
        th_job *job = built(&d);
        fill(&f, job);
        f.search.count = 0;
        f.by_cut[0][0] = f.by_cut[0][1] = f.now.hold_factor;
        th_lever *tape = one_value(&f, "tape", "hold", "coverage", "0.7", 0);
        for (int i = 0; i < 2; i++) {
            th_lever *push = one_value(&f, "push", i ? "cut.2" : "cut.1", "force_x",
                                       i == worst ? "48N" : "18N", 0);
            push->cut = &job->cuts[i];
            push->climbs = true;
            push->by_cut[1] = 0;
        }
        tape->by_cut[worst] = 0.1 * job->head.asked_factor;
        tape->by_cut[1 - worst] = 0.2 * job->head.asked_factor;
        assert_true(th_pairs_find(&f.search));
        assert_int_equal(f.search.count, 1);
        assert_string_equal(f.list[0].settings[1],
                            worst ? "cut.2.force_x=48N" : "cut.1.force_x=48N");
        empty(&f);
        th_job_free(job);
    }
}

/* ---- a change for each cut ---------------------------------------------------------------------
 */

/* Two cuts at half of what is asked, each with pushes that fall by twentieths: together at half of
 * the force they hold, and at a tenth more they do not. */
static void a_set_is_as_mild_as_it_may_be(void **state) {
    const double force[3] = {60, 0, 0};
    draft d = plate(60, 40, 6);
    th_turn_reach reach[2];
    th_turn_set set;
    th_job *job;
    answer a;
    full f;

    (void)state;
    add_push(&d, "cut.1", force, 30, 20);
    add_push(&d, "cut.2", force, 30, 20);
    run(&d, false, &a);
    put_number(&d, "job", "asked_factor", 1.99 * a.check.hold_factor, "");
    answer_free(&a);
    job = built(&d);
    fill(&f, job);
    for (int i = 0; i < 2; i++) {
        const th_lever pattern = {
            .change = "push", .cut = &job->cuts[i], .climbs = true, .from = 60};
        th_lever *lever = th_lever_add(&f.search, &pattern);
        assert_non_null(lever);
        for (int k = 0; k < 20; k++) {
            char value[16];
            snprintf(value, sizeof value, "%dN", 60 - 3 * k);
            th_rung *rung = th_rung_add(&f.search, lever, 60 - 3 * k, NULL, 0);
            assert_true(rung &&
                        th_rung_set(&f.search, rung, job->cuts[i].section, "force_x", value));
        }
        lever->best = 19;
        reach[i] = (th_turn_reach){&job->cuts[i], "push", lever};
    }
    assert_true(th_turn_set_find(&f.search, reach, 2, &set));
    assert_non_null(set.settings);
    assert_int_equal(set.setting_count, 2);
    assert_string_equal(set.settings[0], "cut.1.force_x=30N");
    assert_string_equal(set.settings[1], "cut.2.force_x=30N");
    assert_near(set.outturn.hold_factor, 2 / 1.99 * job->head.asked_factor, 1e-3, 0);
    empty(&f);
    th_job_free(job);
}

/* One that goes up from the present value, once and at its strongest: also where there is but one.
 */
static void the_strongest_is_looked_at_once(void **state) {
    th_job *job = pushed(0.5);

    (void)state;
    for (size_t rungs = 1; rungs <= 9; rungs += 4) {
        for (int reached = 0; reached < 2; reached++) {
            th_turn_look look;
            th_lever *lever;
            size_t at;
            full f;
            fill(&f, job);
            lever = coverage(&f, 0);
            lever->count = rungs;
            assert_true(th_search_probe(&f.search, lever, reached ? 1e-3 : 1e6, &at, &look));
            assert_int_equal(at, reached ? rungs - 1 : rungs);
            assert_int_equal(lever->seen, 1);
            assert_int_equal(lever->best, rungs - 1);
            assert_true(lever->hold_factor > 0);
            empty(&f);
        }
    }
    th_job_free(job);
}

/* Where nothing is enough the change that gains most is told, and gains what it says. */
static void the_best_step_gains(void **state) {
    const double pull[3] = {0, 0, 60};
    draft d = plate(30, 20, 4);
    const th_turn_down *step;
    th_job *job = NULL;
    th_error err = {0};
    answer a, then;

    (void)state;
    put(&d, "job", "asked_factor", "20");
    put(&d, "hold", "coverage", "0.5");
    add_push(&d, "cut.1", pull, 15, 10);
    run(&d, true, &a);
    step = a.check.best_step;
    assert_int_equal(a.check.turn_down_count, 0);
    assert_non_null(step);
    assert_true(step->hold_factor > a.check.hold_factor);
    assert_true(th_job_change(a.job, step->settings, step->setting_count, &job, &err));
    judge(job, false, &then);
    assert_near(then.check.hold_factor, step->hold_factor, 1e-6, 0);
    answer_free(&then);
    answer_free(&a);
}

/* A pull is held by what is covered: a part of which a tenth is taped holds ten times as much when
 * it is taped all over. No other change does that much for it. */
static void the_best_step_is_the_greatest(void **state) {
    const double pull[3] = {0, 0, 600};
    draft d = plate(30, 20, 4);
    const th_turn_down *step;
    answer a;

    (void)state;
    put(&d, "job", "asked_factor", "20");
    put(&d, "hold", "coverage", "0.1");
    add_push(&d, "cut.1", pull, 15, 10);
    run(&d, true, &a);
    step = a.check.best_step;
    assert_int_equal(a.check.turn_down_count, 0);
    assert_non_null(step);
    assert_string_equal(step->settings[0], "hold.coverage=1");
    assert_near(step->hold_factor, 10 * a.check.hold_factor, 0.02, 0);
    answer_free(&a);
}

/* Of a job that fails by so little that any better coolant mends it, and of so many coolants that
 * with all other changes there are more than the list is for: it is full, each of its changes is
 * another one, has the value that it sets, and is as good as it says. */
static void a_full_list_is_whole(void **state) {
    enum { COOLANTS = TH_TURN_DOWNS_MOST - 12 };
    draft d = plate(60, 40, 2);
    answer a;

    (void)state;
    for (int i = 0; i < COOLANTS; i++) {
        char text[256];
        snprintf(text, sizeof text,
                 "bath-%d|name|bath %d\nbath-%d|kind|dry\nbath-%d|film_coefficient|%d W/m2K\n"
                 "bath-%d|source|invented\nbath-%d|trust|estimate",
                 i, i, i, i, 2000 + 50 * i, i, i);
        add_rows(TH_COOLANTS, text);
    }
    put(&d, "hold", "tape", "film-tender");
    put(&d, "hold", "cooling", "dry");
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.05");
    put(&d, "cut.1", "depth", "0.5");
    put(&d, "cut.1", "from", "10,20");
    put(&d, "cut.1", "to", "50,20");
    run(&d, false, &a);
    put_number(&d, "job", "asked_factor", 1.01 * a.check.hold_factor, "");
    answer_free(&a);
    run(&d, true, &a);
    assert_int_equal(a.check.turn_down_count, TH_TURN_DOWNS_MOST);
    for (size_t i = 0; i < a.check.turn_down_count; i++) {
        const th_turn_down *turn = &a.check.turn_downs[i];
        const char *value = strchr(turn->settings[0], '=');
        answer then;
        assert_true(!turn->to_text || strcmp(value + 1, turn->to_text) == 0);
        for (size_t k = 0; k < i; k++) {
            assert_string_not_equal(turn->settings[0], a.check.turn_downs[k].settings[0]);
        }
        if (i % 9 == 0) {
            type_back(&a, turn, &then);
            answer_free(&then);
        }
    }
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cheaper_one_is_not_lost),
        cmocka_unit_test(the_dearest_goes),
        cmocka_unit_test(the_first_goes_where_it_is_the_dearest),
        cmocka_unit_test(a_power_of_the_value_is_followed),
        cmocka_unit_test(two_are_tried_where_one_is_not_enough),
        cmocka_unit_test(only_what_was_seen_is_paired),
        cmocka_unit_test(what_gives_some_hold_alone_goes_first),
        cmocka_unit_test(a_pair_is_made_mild_in_the_cheaper_order),
        cmocka_unit_test(what_quick_looks_mistake_is_put_right),
        cmocka_unit_test(the_hold_that_leaves_least_is_tried),
        cmocka_unit_test(the_next_best_kind_comes_next),
        cmocka_unit_test(a_tabbed_outline_is_not_passed_over),
        cmocka_unit_test(what_does_more_for_the_others_is_better),
        cmocka_unit_test(the_mildest_is_found_where_the_law_has_it),
        cmocka_unit_test(a_look_passes_over_what_a_change_leaves_be),
        cmocka_unit_test(what_is_not_enough_is_told_by_its_own_cut),
        cmocka_unit_test(a_tape_goes_with_a_lighter_worst_cut),
        cmocka_unit_test(a_set_is_as_mild_as_it_may_be),
        cmocka_unit_test(the_strongest_is_looked_at_once),
        cmocka_unit_test(the_best_step_gains),
        cmocka_unit_test(the_best_step_is_the_greatest),
        cmocka_unit_test(a_full_list_is_whole), /* the last: its coolants stay */
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
