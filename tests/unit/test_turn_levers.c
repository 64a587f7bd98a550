/* test_turn_levers.c - what is offered to change, and which values: each is taken by the job, none
 * is for the worse. Jobs are invented. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../../src/advice/turn_search.h"
#include "support/draft.h"

typedef struct {
    th_job *job;
    th_arena arena;
    th_check_options options;
    th_judgement now;
    th_error err;
    th_search search;
} offered;

/* Of all that is offered for the first cut, its heat, its cutter and, where `hold`, the hold. */
static void offer(const draft *d, bool hold, offered *o) {
    memset(o, 0, sizeof *o);
    o->job = built(d);
    o->search = (th_search){.job = o->job,
                            .judging = {.options = &o->options},
                            .now = &o->now,
                            .arena = &o->arena,
                            .err = &o->err};
    if (hold) {
        assert_true(th_work_begin(&o->search.judging));
        assert_true(th_judge(o->job, &o->search.judging, &o->arena, 0, &o->now, &o->err));
        assert_true(th_hold_levers(&o->search));
        th_work_end(&o->search.judging);
        return;
    }
    assert_true(th_cut_levers(&o->search, &o->job->cuts[0]));
    assert_true(th_heat_levers(&o->search, &o->job->cuts[0]));
    if (o->job->cutter_count) {
        assert_true(th_cutter_levers(&o->search, &o->job->cutters[0]));
    }
}

static void withdraw(offered *o) {
    th_arena_free(&o->search.own);
    th_arena_free(&o->arena);
    th_job_free(o->job);
}

/* The lever of a change whose values set the key; NULL where none has any. */
static const th_lever *lever_of(const offered *o, const char *change, const char *key) {
    for (size_t i = 0; i < o->search.lever_count; i++) {
        const th_lever *lever = o->search.levers[i];
        if (strcmp(lever->change, change) == 0 && lever->count > 0 &&
            strstr(lever->rungs[0].settings[0], key)) {
            return lever;
        }
    }
    return NULL;
}

/* The job with a value; fails the running test where it is refused. */
static th_job *with(const offered *o, const th_rung *rung) {
    th_error err = {TH_OK, 0, "", ""};
    th_job *job = NULL;

    if (!th_job_change(o->job, rung->settings, rung->count, &job, &err)) {
        fail_msg("%s: %s", rung->settings[0], err.message);
    }
    return job;
}

/* Each is taken, and gives what it says it does. */
static void expect_taken(const offered *o, const char *change, const char *key, size_t from) {
    const th_lever *lever = lever_of(o, change, key);
    double last;

    assert_non_null(lever);
    last = lever->from;
    for (size_t i = 0; i < lever->count; i++) {
        th_job *job = with(o, &lever->rungs[i]);
        double now;
        memcpy(&now, (const char *)&job->cuts[0] + from, sizeof now);
        assert_near(now, lever->rungs[i].to, 1e-9, 0);
        assert_true(now < last); /* the mildest first */
        last = now;
        th_job_free(job);
    }
    assert_true(lever->count > 5 && lever->cut == &o->job->cuts[0]);
}

#define EXPECT_TAKEN(o, change, key, member)                                                       \
    expect_taken((o), (change), (key), offsetof(th_cut, member))

/* ---- cuts -------------------------------------------------------------------------------------
 */

static draft cut_out(bool inch) {
    draft d = plate(80, 50, 4);

    add_sheet(&d, 140, 90, 30, 20);
    d.inch = inch;
    put(&d, "job", "units", inch ? "inch" : "mm");
    for (size_t i = 0; inch && i < d.count; i++) { /* what was put in mm */
        double mm = strtod(d.value[i], NULL);
        if (strcmp(d.section[i], "part") == 0 && strcmp(d.key[i], "stock") != 0) {
            snprintf(d.value[i], sizeof d.value[i], "%.17g", mm / 25.4);
        }
    }
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "radial", "3 mm");
    put(&d, "cut.1", "axial", "0.5 mm");
    put(&d, "cut.1", "last_axial", "0.7 mm");
    put(&d, "cut.1", "feed", "500 mm/min");
    put(&d, "cut.1", "last_feed", "400 mm/min");
    put(&d, "cut.1", "speed", "9000");
    return d;
}

static void an_outline_is_offered_lighter_passes(void **state) {
    (void)state;
    for (int inch = 0; inch < 2; inch++) {
        draft d = cut_out(inch);
        offered o;
        offer(&d, false, &o);
        EXPECT_TAKEN(&o, "axial", "cut.1.axial=", axial);
        EXPECT_TAKEN(&o, "chip_load", "cut.1.feed=", feed);
        EXPECT_TAKEN(&o, "last pass", "cut.1.last_axial=", last_axial);
        EXPECT_TAKEN(&o, "last pass", "cut.1.last_feed=", last_feed);
        EXPECT_TAKEN(&o, "speed", "cut.1.speed=", speed);
        assert_null(lever_of(&o, "radial", ""));
        assert_null(lever_of(&o, "finish", ""));
        assert_non_null(lever_of(&o, "direction", "cut.1.direction=conventional"));
        withdraw(&o);
    }
}

/* Both passes at once, where either alone would not do. */
static void both_passes_may_be_lighter(void **state) {
    draft d = cut_out(false);
    size_t both = 0;
    offered o;

    (void)state;
    offer(&d, false, &o);
    for (size_t i = 0; i < o.search.lever_count; i++) {
        const th_lever *lever = o.search.levers[i];
        for (size_t k = 0; k < lever->count && lever->rungs[0].count == 2; k++) {
            th_job *job;
            if (strcmp(lever->change, "axial") != 0) {
                continue;
            }
            job = with(&o, &lever->rungs[k]);
            assert_near(job->cuts[0].axial, lever->rungs[k].to, 1e-9, 0);
            assert_near(job->cuts[0].last_axial, lever->rungs[k].to, 1e-9, 0);
            both++;
            th_job_free(job);
        }
    }
    assert_true(both > 5);
    withdraw(&o);
    drop(&d, "cut.1", "last_axial"); /* follows axial by itself */
    offer(&d, false, &o);
    assert_int_equal(lever_of(&o, "axial", "cut.1.axial=")->rungs[0].count, 1);
    withdraw(&o);
}

/* A skin that holds, in round figures, never more than half of the part, and time to take it off
 * where there was none. */
static void a_skin_is_offered_where_there_is_room(void **state) {
    static const struct {
        const char *thickness, *skin;
        double first, most;
        size_t count;
    } cases[] = {{"4", NULL, 0.4, 2, 5},
                 {"3.9", NULL, 0.4, 1.2, 4},
                 {"1", NULL, 0.4, 0.5, 2},
                 {"0.7", NULL, 0, 0, 0},
                 {"4", "0.5", 0.8, 2, 3}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        draft d = cut_out(false);
        const th_lever *lever;
        offered o;
        put(&d, "part", "thickness", cases[i].thickness);
        drop(&d, "cut.1", "last_axial");
        if (cases[i].skin) {
            put(&d, "cut.1", "skin", cases[i].skin);
            drop(&d, "cut.1", "last_feed");
        }
        offer(&d, false, &o);
        lever = lever_of(&o, "skin", "cut.1.skin=");
        assert_int_equal(lever ? lever->count : 0, cases[i].count);
        for (size_t k = 0; k < cases[i].count; k++) {
            th_job *job = with(&o, &lever->rungs[k]);
            assert_near(job->cuts[0].skin, lever->rungs[k].to, 1e-9, 0);
            assert_true(k == 0 || lever->rungs[k].to > lever->rungs[k - 1].to);
            assert_near(lever->rungs[k].extra, cases[i].skin ? 0 : TH_SKIN_OFF, 0, 0);
            th_job_free(job);
        }
        if (lever) {
            assert_near(lever->rungs[0].to, cases[i].first, 1e-9, 0);
            assert_near(lever->rungs[lever->count - 1].to, cases[i].most, 1e-9, 0);
        }
        withdraw(&o);
    }
}

/* More metal than there is now, no higher than the part, cut off by hand where there were none. */
static void tabs_are_offered_that_hold_more(void **state) {
    static const char *const now[] = {NULL, "4x5mm"};
    size_t counts[2] = {0};

    (void)state;
    for (int i = 0; i < 4; i++) {
        draft d = cut_out(i >= 2);
        const th_lever *lever;
        double least;
        offered o;
        if (now[i % 2]) {
            put(&d, "cut.1", "tabs", now[i % 2]);
            put(&d, "cut.1", "tab_height", "2 mm");
        }
        offer(&d, false, &o);
        assert_true(!lever_of(&o, "skin", "") == (i % 2 == 1));
        lever = lever_of(&o, "tabs", "cut.1.tabs=");
        assert_non_null(lever);
        least = i % 2 ? 4 * 5 * 2 : 0;
        assert_near(lever->from, least, 1e-9, 0);
        for (size_t k = 0; k < lever->count; k++) {
            th_job *job = with(&o, &lever->rungs[k]);
            const th_cut *cut = &job->cuts[0];
            double metal = cut->tabs.count * cut->tabs.length * cut->tab_height;
            assert_true(metal > least && cut->tab_height > 1 && cut->tab_height <= 3);
            assert_near(metal, lever->rungs[k].to, 1e-3, 0);
            assert_near(lever->rungs[k].extra, i % 2 ? 0 : TH_SKIN_OFF, 0, 0);
            least = metal;
            th_job_free(job);
        }
        counts[i % 2] = lever->count;
        withdraw(&o);
    }
    assert_true(counts[0] == 6 && counts[1] < 6);
}

/* The same tabs in either unit, to the twentieth that round numbers differ by. */
static void tabs_are_as_wide_in_inches(void **state) {
    const th_lever *lever[2];
    offered o[2];

    (void)state;
    for (int inch = 0; inch < 2; inch++) {
        draft d = cut_out(inch);
        offer(&d, false, &o[inch]);
        lever[inch] = lever_of(&o[inch], "tabs", "cut.1.tabs=");
        assert_non_null(lever[inch]);
    }
    assert_int_equal(lever[0]->count, lever[1]->count);
    for (size_t k = 0; k < lever[0]->count; k++) {
        th_job *mm = with(&o[0], &lever[0]->rungs[k]), *inch = with(&o[1], &lever[1]->rungs[k]);
        assert_int_equal(inch->cuts[0].tabs.count, mm->cuts[0].tabs.count);
        assert_near(inch->cuts[0].tabs.length, mm->cuts[0].tabs.length, 0.055, 0);
        assert_near(inch->cuts[0].tab_height, mm->cuts[0].tab_height, 0.055, 0);
        th_job_free(mm);
        th_job_free(inch);
    }
    withdraw(&o[0]);
    withdraw(&o[1]);
}

/* Fewer revolutions with the same chip: feeds that are stated fall with them. */
static void feeds_follow_the_speed(void **state) {
    draft d = cut_out(false);
    const th_lever *lever;
    offered o;

    (void)state;
    offer(&d, false, &o);
    lever = lever_of(&o, "speed", "cut.1.speed=");
    for (size_t k = 0; k < lever->count; k++) {
        th_job *job = with(&o, &lever->rungs[k]);
        assert_near(job->cuts[0].feed / job->cuts[0].speed, 500.0 / 9000, 0.01, 0);
        assert_near(job->cuts[0].last_feed / job->cuts[0].speed, 400.0 / 9000, 0.01, 0);
        assert_true(job->cuts[0].speed >= job->machine.speed_min * (1 - 1e-9));
        th_job_free(job);
    }
    withdraw(&o);
}

static void longer_rests_are_offered(void **state) {
    static const char *const rests[] = {NULL, "20 s", "30 min"};
    static const size_t counts[] = {15, 10, 0};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = cut_out(false);
        const th_lever *lever;
        double last = i == 1 ? 20 : 0;
        offered o;
        if (rests[i]) {
            put(&d, "cut.1", "rest", rests[i]);
        }
        offer(&d, false, &o);
        lever = lever_of(&o, "rest", "cut.1.rest=");
        assert_int_equal(lever ? lever->count : 0, counts[i]);
        for (size_t k = 0; k < counts[i]; k++) {
            th_job *job = with(&o, &lever->rungs[k]);
            assert_near(job->cuts[0].rest, lever->rungs[k].to, 1e-9, 0);
            assert_true(job->cuts[0].rest > last);
            /* two minutes and more are whole ones */
            assert_true(job->cuts[0].rest < 120 || fabs(remainder(job->cuts[0].rest, 60)) < 1e-9);
            last = job->cuts[0].rest;
            th_job_free(job);
        }
        withdraw(&o);
    }
}

/* What an operation takes, and what would change the part is not offered. */
static void each_operation_is_offered_its_own(void **state) {
    static const struct {
        const char *operation, *cutter;
        const char *offered, *not ;
    } cases[] = {{"slot", "flat-3mm-2", "axial", "radial"},
                 {"face", "flat-3mm-2", "radial", "skin"},
                 {"pocket", "flat-3mm-2", "finish", "radial"},
                 {"engrave", "flat-3mm-2", "direction", "axial"},
                 {"drill", "drill-3mm", "chip_load", "direction"},
                 {"hole", "flat-3mm-2", "axial", "tabs"}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        draft d = plate(80, 50, 4);
        offered o;
        add_cut(&d, "cut.1", cases[i].operation, cases[i].cutter);
        put(&d, "cut.1", "speed", "9000");
        if (strcmp(cases[i].operation, "face") == 0 || strcmp(cases[i].operation, "pocket") == 0) {
            put(&d, "cut.1", "radial", "2");
        }
        if (i == 2 || i == 4 || i == 5) {
            put(&d, "cut.1", "at", "40,25");
        }
        if (i == 2 || i == 5) {
            put(&d, "cut.1", "size", i == 2 ? "30 x 20" : "12");
        }
        if (i == 2) {
            put(&d, "cut.1", "finish", "0.5");
        }
        if (i == 3) {
            put(&d, "cut.1", "length", "60");
        }
        if (i == 2 || i == 3) {
            put(&d, "cut.1", "depth", "0.5");
        }
        if (i != 3 && i != 4) {
            put(&d, "cut.1", "axial", "0.5");
        }
        offer(&d, false, &o);
        assert_non_null(lever_of(&o, cases[i].offered, "cut.1."));
        assert_null(lever_of(&o, cases[i].not, "cut.1."));
        withdraw(&o);
    }
}

static double lowest(const th_lever *lever) {
    return lever->rungs[lever->count - 1].to;
}

/* Steps of two digits, down to where the chip gets too thin to be one, and no farther. */
static void nothing_is_offered_that_rubs(void **state) {
    draft d = cut_out(false), face = plate(80, 50, 4), thinned;
    double smallest, feed, width, chip;
    offered o;

    (void)state;
    offer(&d, false, &o);
    smallest = o.job->part.stock->smallest_chip;
    feed = smallest * 2 * 9000;
    assert_true(lowest(lever_of(&o, "chip_load", "cut.1.feed=")) >= feed * (1 - 1e-9));
    assert_true(lowest(lever_of(&o, "chip_load", "cut.1.feed=")) < 1.1 * feed);
    assert_true(lowest(lever_of(&o, "last pass", "cut.1.last_feed=")) >= feed * (1 - 1e-9));
    assert_true(lowest(lever_of(&o, "last pass", "cut.1.last_feed=")) < 1.1 * feed);
    assert_near(lowest(lever_of(&o, "axial", "cut.1.axial=")), TH_SHALLOWEST, 1e-9, 0);
    withdraw(&o);
    add_cut(&face, "cut.1", "face", "flat-3mm-2");
    put(&face, "cut.1", "axial", "0.5");
    put(&face, "cut.1", "speed", "9000");
    put_number(&face, "cut.1", "chip_load", 2 * smallest, "mm/tooth");
    thinned = face;
    put(&face, "cut.1", "radial", "1.5");
    offer(&face, false, &o);
    chip = lowest(lever_of(&o, "chip_load", "cut.1.chip_load="));
    assert_true(chip >= smallest * (1 - 1e-9) && chip < 1.1 * smallest);
    /* thickest chip of an arc e deep of a circle D wide: f 2 sqrt(e / D (1 - e / D)) */
    width = lowest(lever_of(&o, "radial", "cut.1.radial=")) / 3;
    assert_true(4 * sqrt(width * (1 - width)) >= 1 - 1e-9);
    width -= 0.01 / 3; /* the next step */
    assert_true(4 * sqrt(width * (1 - width)) < 1);
    withdraw(&o);
    put(&thinned, "cut.1", "radial", "1.5"); /* thick chips: two hundredths of the diameter */
    put_number(&thinned, "cut.1", "chip_load", 10 * smallest, "mm/tooth");
    offer(&thinned, false, &o);
    assert_near(lowest(lever_of(&o, "radial", "cut.1.radial=")), 0.06, 1e-9, 0);
    withdraw(&o);
}

/* A slot whose depth follows from its passes keeps it when they get lighter. */
static void lighter_passes_go_as_deep(void **state) {
    draft d = plate(80, 50, 4);
    const th_lever *lever;
    offered o;

    (void)state;
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.75");
    offer(&d, false, &o);
    lever = lever_of(&o, "axial", "cut.1.axial=");
    assert_non_null(lever);
    for (size_t k = 0; k < lever->count; k++) {
        th_job *job = with(&o, &lever->rungs[k]);
        assert_near(job->cuts[0].depth, o.job->cuts[0].depth, 1e-12, 0);
        th_job_free(job);
    }
    withdraw(&o);
}

/* ---- cutters ----------------------------------------------------------------------------------
 */

static bool same_width(const th_job *a, const th_job *b) {
    return fabs(a->cutters[0].row.diameter - b->cutters[0].row.diameter) <
           0.006 * b->cutters[0].row.diameter;
}

/* Smaller ones that cut the same part, fewer teeth of the same size, flutes that do not lift, a new
 * edge: each as it says, at what changing it costs. */
static void another_cutter_is_what_it_says(void **state) {
    draft d = cut_out(false);
    size_t seen[4] = {0};
    offered o;

    (void)state;
    put(&d, "cutter.em", "id", "flat-6mm-3");
    put(&d, "cutter.em", "wear", "1.5");
    put(&d, "cut.1", "radial", "6");
    put(&d, "cut.1", "feed", "300 mm/min");
    offer(&d, false, &o);
    for (size_t i = 0; i < o.search.lever_count; i++) {
        static const char *const changes[] = {"smaller cutter", "fewer flutes", "helix", "wear"};
        const th_lever *lever = o.search.levers[i];
        double last = 6;
        for (size_t k = 0; k < lever->count; k++) {
            const th_job_cutter *was = &o.job->cutters[0], *is;
            th_job *job;
            size_t c = 0;
            while (c < 4 && strcmp(lever->change, changes[c]) != 0) {
                c++;
            }
            if (c == 4) {
                continue;
            }
            job = with(&o, &lever->rungs[k]);
            is = &job->cutters[0];
            seen[c]++;
            assert_near(lever->rungs[k].extra, TH_CUTTER_CHANGE, 0, 0);
            assert_true(is->row.kind == was->row.kind);
            assert_true(c == 0 ? is->row.diameter < 0.995 * last : same_width(job, o.job));
            assert_true(c != 0 || is->row.diameter >= 6.0 / 5);
            assert_true(c != 0 || job->cuts[0].radial <= is->row.diameter * (1 + 1e-9));
            assert_true(c != 1 || is->row.flutes < was->row.flutes);
            assert_true(c != 2 || is->row.helix_pulls != TH_UP);
            assert_true(c != 3 || is->wear <= 1);
            last = is->row.diameter;
            th_job_free(job);
        }
    }
    assert_true(seen[0] > 1 && seen[1] > 0 && seen[2] == 2 && seen[3] == 1);
    withdraw(&o);
    put(&d, "cut.2", "operation", "slot"); /* as wide as its cutter: a smaller one cuts another */
    put(&d, "cut.2", "cutter", "em");
    put(&d, "cut.2", "axial", "0.5");
    put(&d, "cut.2", "speed", "9000");
    offer(&d, false, &o);
    assert_null(lever_of(&o, "smaller cutter", ""));
    withdraw(&o);
}

/* The widest row that is narrower by more than rounding and otherwise alike. */
static const th_cutter *widest_below(const th_job *job, const th_cutter *now, double below) {
    const th_cutter *widest = NULL;

    for (size_t i = 0; i < th_tables_count(job->tables, TH_CUTTERS); i++) {
        const th_cutter *row = th_tables_row(job->tables, TH_CUTTERS, i);
        bool like = row->kind == now->kind && row->helix_pulls == now->helix_pulls &&
                    row->material == now->material && row->diameter < 0.995 * below;
        widest = like && (!widest || row->diameter > widest->diameter) ? row : widest;
    }
    return widest;
}

static bool any_such_row(const th_job *job, const th_cutter *like, double diameter, int flutes) {
    for (size_t i = 0; i < th_tables_count(job->tables, TH_CUTTERS); i++) {
        const th_cutter *row = th_tables_row(job->tables, TH_CUTTERS, i);
        if (row->kind == like->kind && row->helix_pulls == like->helix_pulls &&
            row->material == like->material && row->flutes == flutes &&
            fabs(row->diameter - diameter) < 0.005 * diameter) {
            return true;
        }
    }
    return false;
}

/* From size to size none is passed over, and each comes with as many flutes as there are now where
 * the table has such a row. */
static void smaller_cutters_come_in_the_next_size(void **state) {
    static const char *const ids[] = {"flat-8mm-3", "flat-6mm-2", "flat-6mm-3"};
    static const char *const widths[] = {"8", "6", "6"};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = cut_out(false);
        const th_lever *lever;
        double last;
        offered o;
        put(&d, "cutter.em", "id", ids[i]);
        put(&d, "cut.1", "radial", widths[i]);
        put(&d, "cut.1", "feed", "100 mm/min");
        drop(&d, "cut.1", "last_feed");
        offer(&d, false, &o);
        lever = lever_of(&o, "smaller cutter", "");
        assert_non_null(lever);
        last = o.job->cutters[0].row.diameter;
        for (size_t k = 0; k < lever->count; k++) {
            th_job *job = with(&o, &lever->rungs[k]);
            const th_cutter *now = &o.job->cutters[0].row, *is = &job->cutters[0].row;
            assert_near(is->diameter, widest_below(o.job, now, last)->diameter, 0.005, 0);
            assert_true(is->flutes == now->flutes ||
                        !any_such_row(o.job, now, is->diameter, now->flutes));
            last = is->diameter;
            th_job_free(job);
        }
        assert_true(lever->count > 2);
        withdraw(&o);
    }
}

/* A chip load that another cutter's cut states, too thick for small ones, is no matter to this
 * one, whose own chip load follows from its size; stated, it is. */
static void what_another_cutter_states_is_no_matter(void **state) {
    size_t offers[3];

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = plate(80, 50, 4);
        const th_lever *lever;
        offered o;
        add_cut(&d, "cut.1", "pocket", "flat-6mm-2");
        put(&d, "cut.1", "at", "40,25");
        put(&d, "cut.1", "size", "30 x 20");
        put(&d, "cut.1", "depth", "1");
        put(&d, "cut.1", "radial", "1");
        put(&d, "cut.1", "axial", "0.5");
        put(&d, "cut.2", "operation", "slot");
        put(&d, "cut.2", "cutter", "wide");
        put(&d, "cutter.wide", "id", "flat-8mm-3");
        put(&d, "cut.2", "axial", "0.5");
        put(&d, "cut.1", "speed", "6000");
        put(&d, "cut.2", "speed", "6000");
        if (i > 0) {
            put(&d, i == 1 ? "cut.2" : "cut.1", "chip_load", "0.12 mm/tooth");
        }
        offer(&d, false, &o);
        lever = lever_of(&o, "smaller cutter", "");
        offers[i] = lever ? lever->count : 0;
        withdraw(&o);
    }
    assert_true(offers[0] > 2);
    assert_int_equal(offers[1], offers[0]);
    assert_true(offers[2] < offers[0]);
}

/* What the table has is named rather than described: each of its rows of the same size with fewer
 * teeth, from the most of them down, and one whose flutes do not lift, whatever its teeth. */
static void rows_of_the_table_are_named(void **state) {
    draft d = cut_out(false);
    const th_lever *fewer;
    size_t listed = 0;
    offered o;

    (void)state;
    put(&d, "cutter.em", "id", "flat-6mm-4");
    put(&d, "cut.1", "radial", "6");
    put(&d, "cut.1", "feed", "300 mm/min");
    offer(&d, false, &o);
    fewer = lever_of(&o, "fewer flutes", "cutter.em.id=");
    assert_non_null(fewer);
    for (int flutes = 3; flutes >= 1; flutes--) {
        if (any_such_row(o.job, &o.job->cutters[0].row, 6, flutes)) {
            th_job *job;
            assert_true(listed < fewer->count);
            job = with(&o, &fewer->rungs[listed++]);
            assert_int_equal(job->cutters[0].row.flutes, flutes);
            assert_true(same_width(job, o.job));
            th_job_free(job);
        }
    }
    assert_true(listed > 1);
    assert_int_equal(fewer->count, listed);
    assert_non_null(lever_of(&o, "helix", "cutter.em.id=flat-6mm-2-straight"));
    assert_non_null(lever_of(&o, "helix", "cutter.em.id=flat-6mm-2-down"));
    withdraw(&o);
}

/* One that is in no table: the same with fewer teeth, one after the other, and straight ones. */
static void a_described_cutter_is_described_anew(void **state) {
    draft d = cut_out(false);
    const th_lever *fewer, *helix;
    offered o;

    (void)state;
    put(&d, "cutter.em", "diameter", "2.7 mm");
    put(&d, "cutter.em", "flutes", "4");
    put(&d, "cut.1", "radial", "2.7");
    put(&d, "cut.1", "feed", "600 mm/min");
    offer(&d, false, &o);
    fewer = lever_of(&o, "fewer flutes", "cutter.em.flutes=");
    assert_non_null(fewer);
    assert_int_equal(fewer->count, 3);
    for (int k = 0; k < 3; k++) {
        th_job *job = with(&o, &fewer->rungs[k]);
        assert_int_equal(job->cutters[0].row.flutes, 3 - k);
        assert_near(job->cutters[0].row.diameter, 2.7, 1e-9, 0);
        th_job_free(job);
    }
    helix = lever_of(&o, "helix", "cutter.em.helix_pulls=straight");
    assert_non_null(helix);
    for (size_t k = 0; k < helix->count; k++) {
        th_job *job = with(&o, &helix->rungs[k]);
        assert_int_equal(job->cutters[0].row.helix_pulls, TH_STRAIGHT);
        assert_true(fabs(job->cutters[0].row.helix) < 1e-12);
        th_job_free(job);
    }
    assert_non_null(lever_of(&o, "helix", "cutter.em.helix_pulls=down"));
    withdraw(&o);
}

/* ---- the hold ---------------------------------------------------------------------------------
 */

static draft held(void) {
    draft d = plate(80, 50, 4);

    put(&d, "hold", "coverage", "0.83");
    put(&d, "hold", "wait", "1 h");
    put(&d, "hold", "preparation", "as-is");
    put(&d, "hold", "pressed", "hand");
    put(&d, "hold", "stops", "left");
    put(&d, "part", "bow", "0.3");
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "3");
    put_number(&d, "job", "asked_factor", 20, "");
    return d;
}

/* How much of it there is, for better holds more. */
static double quality(const th_job *job, const char *change) {
    return strcmp(change, "coverage") == 0      ? job->hold.coverage
           : strcmp(change, "wait") == 0        ? job->hold.wait
           : strcmp(change, "preparation") == 0 ? -job->hold.preparation
           : strcmp(change, "pressing") == 0    ? -job->hold.pressed
           : strcmp(change, "bow") == 0         ? -job->part.bow
                                                : (double)NAN;
}

/* Where tape lets go of the plate another plate is offered, each of them better to stick on. */
static void another_plate_is_offered_where_tape_lets_go_of_it(void **state) {
    static const char *const plates[] = {"raw-board", "plastic"};
    draft d = held();

    (void)state;
    for (int i = 0; i < 2; i++) {
        const th_plate *now;
        const th_lever *lever;
        offered o;
        put(&d, "hold", "plate", plates[i]);
        offer(&d, true, &o);
        assert_string_equal(o.now.stages[o.now.governs].interface, "tape to plate");
        now = o.job->hold.plate;
        lever = lever_of(&o, "plate", "hold.plate=");
        assert_non_null(lever);
        for (size_t k = 0; k < lever->count; k++) {
            th_job *job = with(&o, &lever->rungs[k]);
            assert_true(job->hold.plate->adhesion > now->adhesion);
            th_job_free(job);
        }
        withdraw(&o);
    }
}

/* More of what holds, none twice, each at its price. */
static void a_better_hold_is_better(void **state) {
    static const struct {
        const char *change;
        size_t count;
        double extra; /* of the first */
    } cases[] = {{"coverage", 4, TH_TAPE_CHANGE},
                 {"wait", 5, 60},
                 {"preparation", 2, TH_TAPE_CHANGE},
                 {"pressing", 2, TH_TAPE_CHANGE}};
    draft d = held();
    offered o;

    (void)state;
    offer(&d, true, &o);
    for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
        size_t count = 0;
        for (size_t i = 0; i < o.search.lever_count; i++) {
            const th_lever *lever = o.search.levers[i];
            if (strcmp(lever->change, cases[c].change) != 0) {
                continue;
            }
            for (size_t k = 0; k < lever->count; k++, count++) {
                th_job *job = with(&o, &lever->rungs[k]);
                assert_true(quality(job, lever->change) > quality(o.job, lever->change));
                assert_true(count > 0 || fabs(lever->rungs[k].extra - cases[c].extra) < 1e-9);
                th_job_free(job);
            }
        }
        assert_int_equal(count, cases[c].count);
    }
    withdraw(&o);
}

/* From one hour that a shop has to the next: what is left of them, up to a whole day. */
static void a_wait_goes_up_to_a_day(void **state) {
    static const double hours[] = {0.25, 0.5, 1, 2, 4, 8, 12, 24};
    enum { HOURS = sizeof hours / sizeof *hours };

    (void)state;
    for (size_t now = 4; now < HOURS; now++) {
        draft d = held();
        const th_lever *lever;
        offered o;
        put_number(&d, "hold", "wait", hours[now], "h");
        offer(&d, true, &o);
        lever = lever_of(&o, "wait", "hold.wait=");
        assert_int_equal(lever ? lever->count : 0, HOURS - 1 - now);
        for (size_t k = 0; lever && k < lever->count; k++) {
            th_job *job = with(&o, &lever->rungs[k]);
            assert_near(job->hold.wait / 3600, hours[now + 1 + k], 1e-12, 0);
            assert_near(lever->rungs[k].to, hours[now + 1 + k], 1e-12, 0);
            th_job_free(job);
        }
        withdraw(&o);
    }
}

/* Stops are added to those that are there. */
static void stops_come_on_top(void **state) {
    static const char *const stops[] = {NULL, "left", "left front"};
    static const size_t counts[] = {10, 6, 3};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = held();
        const th_lever *lever;
        offered o;
        drop(&d, "hold", "stops");
        if (stops[i]) {
            put(&d, "hold", "stops", stops[i]);
        }
        offer(&d, true, &o);
        lever = lever_of(&o, "stops", "hold.stops=");
        assert_non_null(lever);
        for (size_t k = 0; k < lever->count; k++) {
            th_job *job = with(&o, &lever->rungs[k]);
            assert_int_equal(job->hold.stops & o.job->hold.stops, o.job->hold.stops);
            assert_true(job->hold.stops != o.job->hold.stops);
            assert_near(lever->rungs[k].extra, TH_STOPS_SET, 0, 0);
            th_job_free(job);
        }
        assert_int_equal(lever->count, counts[i]);
        withdraw(&o);
    }
}

/* From flood to whatever wets less, each row of the table once; from dry to none. */
static void drier_cooling_is_offered(void **state) {
    static const char *const from[] = {"flood", "mist", "dry"};

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = held();
        size_t dry = 0, offered_dry = 0;
        offered o;
        put(&d, "hold", "cooling", from[i]);
        offer(&d, true, &o);
        for (size_t k = 0; k < th_tables_count(o.job->tables, TH_COOLANTS); k++) {
            const th_coolant *row = th_tables_row(o.job->tables, TH_COOLANTS, k);
            dry += i < 2 && row != o.job->hold.coolant &&
                   (row->kind == TH_COOL_DRY || row->kind == TH_COOL_MIST);
        }
        for (size_t k = 0; k < o.search.lever_count; k++) {
            const th_lever *lever = o.search.levers[k];
            if (strcmp(lever->change, "cooling") == 0) {
                th_job *job = with(&o, &lever->rungs[0]);
                assert_true(job->hold.coolant->kind == TH_COOL_DRY ||
                            job->hold.coolant->kind == TH_COOL_MIST);
                offered_dry++;
                th_job_free(job);
            }
        }
        assert_int_equal(offered_dry, dry);
        assert_true(i == 2 ? dry == 0 : dry > 1);
        withdraw(&o);
    }
}

/* A slot through, in one pass, as deep as thick tape allows: on thin tape that pass would reach
 * into what has to be left of the plate. Such tapes are passed over, and all else is still offered.
 */
static void a_tape_that_the_job_does_not_take_is_passed_over(void **state) {
    const char *thin = "hold.tape=double-film-acrylic";
    draft d = held();
    th_error err = {TH_OK, 0, "", ""};
    th_job *job = NULL;
    offered o;

    (void)state;
    put(&d, "hold", "tape", "foam-acrylic");
    put(&d, "hold", "glue", "none");
    put(&d, "hold", "plate_thickness", "3.5");
    put(&d, "hold", "plate_left", "3");
    put(&d, "cut.1", "through", "yes");
    put(&d, "cut.1", "axial", "5.2"); /* of 4 + 1 + 0.5; 0.1 mm of tape leave 4.6 */
    offer(&d, true, &o);
    assert_false(th_job_change(o.job, &thin, 1, &job, &err));
    assert_int_equal(err.code, TH_NOT_POSSIBLE);
    for (size_t i = 0; i < o.search.lever_count; i++) {
        const th_lever *lever = o.search.levers[i];
        for (size_t k = 0; k < lever->count; k++) {
            th_job_free(with(&o, &lever->rungs[k]));
        }
    }
    assert_non_null(lever_of(&o, "preparation", "hold.preparation="));
    withdraw(&o);
}

/* Another cutter and taping anew add up; taping anew is done once, for whatever it is. */
static void what_changes_cost_adds_up(void **state) {
    th_rung cutter = {.extra = TH_CUTTER_CHANGE}, tape = {.extra = TH_TAPE_CHANGE};
    th_rung stops = {.extra = TH_STOPS_SET};
    th_lever a = {.rungs = &cutter}, b = {.rungs = &tape}, c = {.rungs = &stops};

    (void)state;
    assert_near(th_combo_extra(&(th_combo){{&a, NULL}, {0, 0}, 1}), TH_CUTTER_CHANGE, 0, 0);
    assert_near(th_combo_extra(&(th_combo){{&b, NULL}, {0, 0}, 1}), TH_TAPE_CHANGE, 0, 0);
    assert_near(th_combo_extra(&(th_combo){{&a, &b}, {0, 0}, 2}), TH_CUTTER_CHANGE + TH_TAPE_CHANGE,
                0, 0);
    assert_near(th_combo_extra(&(th_combo){{&b, &b}, {0, 0}, 2}), TH_TAPE_CHANGE, 0, 0);
    assert_near(th_combo_extra(&(th_combo){{&c, &b}, {0, 0}, 2}), TH_STOPS_SET + TH_TAPE_CHANGE, 0,
                0);
}

/* A cut that breaks its cutter now and still does is no worse off, but for a cutter that was chosen
 * anew: that one must not break. */
static void a_cutter_chosen_anew_must_not_break(void **state) {
    static const char *const changes[] = {"axial", "smaller cutter"};
    const char *const settings[] = {"cut.1.axial=0.1mm", "cutter.em.id=flat-2mm-2"};
    draft d = cut_out(false);
    th_job *job = built(&d);
    th_stage breaks = {.cut = &job->cuts[0], .chip_margin = 2, .breakage_margin = 0.9};
    th_stage whole = breaks;
    th_judgement before = {.stages = &breaks, .count = 1}, after = before;
    th_search search = {.job = job, .now = &before};

    (void)state;
    whole.breakage_margin = 1.1;
    for (int i = 0; i < 2; i++) {
        th_rung rung = {.settings = {settings[i]}, .count = 1};
        th_lever lever = {.change = changes[i], .rungs = &rung};
        th_combo alone = {{&lever, NULL}, {0, 0}, 1};
        before.stages = &breaks;
        assert_int_equal(th_search_worse(&search, &alone, &after), i == 1);
        before.stages = &whole;
        assert_true(th_search_worse(&search, &alone, &after));
        assert_false(th_search_worse(&search, &alone, &before));
    }
    th_job_free(job);
}

/* The worst stage is too warm for every tape, whatever it is; of a stronger one the coolest that
 * fails has its use, once lighter passes have mended the other. */
static void a_stronger_tape_is_offered_for_what_is_cool(void **state) {
    draft d = held();

    (void)state;
    put(&d, "hold", "tape", "film-weak");
    for (int i = 0; i < 2; i++) {
        th_stage stages[2] = {{.way = TH_HEAT, .counts = true, .temperature = 2000},
                              {.way = TH_SLIDE, .counts = true, .temperature = i ? 2000 : 30}};
        offered o;
        memset(&o, 0, sizeof o);
        o.job = built(&d);
        stages[0].hold_factor = 0.01;
        stages[1].hold_factor = 0.9 * o.job->head.asked_factor;
        stages[0].cut = stages[1].cut = &o.job->cuts[0];
        o.now = (th_judgement){.stages = stages, .count = 2, .hold_factor = 0.01};
        o.search = (th_search){.job = o.job,
                               .judging = {.options = &o.options},
                               .now = &o.now,
                               .arena = &o.arena,
                               .err = &o.err};
        assert_true(th_hold_levers(&o.search));
        assert_int_equal(lever_of(&o, "tape", "hold.tape=") != NULL, i == 0);
        withdraw(&o);
    }
}

/* Where little is missing, each glue of the tables but the present one, as a value of one change at
 * the price of taping anew; none at all is no glue. */
static void every_other_glue_is_offered(void **state) {
    const double force[3] = {100, 0, 0};
    draft d = plate(60, 40, 5);
    const th_lever *lever;
    size_t others = 0;
    offered o;
    answer a;

    (void)state;
    put(&d, "hold", "wait", "24 h");
    add_push(&d, "cut.1", force, 30, 20);
    run(&d, false, &a);
    put_number(&d, "job", "asked_factor", 1.1 * a.check.hold_factor, "");
    answer_free(&a);
    offer(&d, true, &o);
    lever = lever_of(&o, "glue", "hold.glue=");
    assert_non_null(lever);
    for (size_t i = 0; i < th_tables_count(o.job->tables, TH_GLUES); i++) {
        const th_glue *glue = th_tables_row(o.job->tables, TH_GLUES, i);
        th_job *job;
        if (glue == o.job->hold.glue || glue->absent) {
            continue;
        }
        assert_true(others < lever->count);
        job = with(&o, &lever->rungs[others]);
        assert_string_equal(job->hold.glue->head.id, glue->head.id);
        assert_near(lever->rungs[others++].extra, TH_TAPE_CHANGE, 0, 0);
        th_job_free(job);
    }
    assert_true(others > 1 && others == lever->count);
    withdraw(&o);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_outline_is_offered_lighter_passes),
        cmocka_unit_test(both_passes_may_be_lighter),
        cmocka_unit_test(a_skin_is_offered_where_there_is_room),
        cmocka_unit_test(tabs_are_offered_that_hold_more),
        cmocka_unit_test(tabs_are_as_wide_in_inches),
        cmocka_unit_test(what_another_cutter_states_is_no_matter),
        cmocka_unit_test(another_plate_is_offered_where_tape_lets_go_of_it),
        cmocka_unit_test(feeds_follow_the_speed),
        cmocka_unit_test(longer_rests_are_offered),
        cmocka_unit_test(each_operation_is_offered_its_own),
        cmocka_unit_test(lighter_passes_go_as_deep),
        cmocka_unit_test(another_cutter_is_what_it_says),
        cmocka_unit_test(nothing_is_offered_that_rubs),
        cmocka_unit_test(rows_of_the_table_are_named),
        cmocka_unit_test(a_described_cutter_is_described_anew),
        cmocka_unit_test(a_better_hold_is_better),
        cmocka_unit_test(a_wait_goes_up_to_a_day),
        cmocka_unit_test(stops_come_on_top),
        cmocka_unit_test(smaller_cutters_come_in_the_next_size),
        cmocka_unit_test(drier_cooling_is_offered),
        cmocka_unit_test(a_tape_that_the_job_does_not_take_is_passed_over),
        cmocka_unit_test(what_changes_cost_adds_up),
        cmocka_unit_test(a_cutter_chosen_anew_must_not_break),
        cmocka_unit_test(a_stronger_tape_is_offered_for_what_is_cool),
        cmocka_unit_test(every_other_glue_is_offered),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
