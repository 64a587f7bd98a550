/* test_limits_many.c - the fastest pairs of many cuts set at once: as they hold when all of them
 * are typed. Jobs are invented. */
#include <math.h>
#include <stdio.h>

#include "support/bounded.h"

enum { MANY = 8 };

static const char *section_of(int i, char text[16]) {
    snprintf(text, 16, "cut.%d", i + 1);
    return text;
}

static draft grooves(void) {
    draft d = grooved("0.1");
    char section[16];

    put(&d, "job", "asked_factor", "1");
    for (int i = 1; i < MANY; i++) {
        section_of(i, section);
        put(&d, section, "operation", "slot");
        put(&d, section, "cutter", "em");
        put(&d, section, "axial", "0.1");
        put(&d, section, "depth", "0.6");
        put(&d, section, "speed", "12000");
    }
    return d;
}

/* Each has a pair of its own. */
static void all_pairs_are_set(void **state) {
    static const th_check_options options = {.turn_downs = false};
    draft d = grooves();
    th_job *job = built(&d);
    th_judging judging = {.options = &options};
    th_error err = {TH_OK, 0, "", ""};
    bool fails[MANY] = {false};
    th_limit_cut cuts[MANY] = {{.cut = NULL}};
    th_limits limits = {.cuts = cuts, .cut_count = MANY, .asked_factor = 1};
    th_bounded bounds[MANY];
    char section[16];
    answer a;

    (void)state;
    assert_true(th_work_begin(&judging));
    for (int i = 0; i < MANY; i++) {
        double axial = 0.05 + 0.01 * i;
        bounds[i] = (th_bounded){.job = job,
                                 .cut = &job->cuts[i],
                                 .which = (size_t)i,
                                 .own = judging,
                                 .whole = judging,
                                 .fails_anyway = fails,
                                 .arena = &limits.arena,
                                 .err = &err};
        cuts[i] = (th_limit_cut){.cut = &job->cuts[i],
                                 .possible = true,
                                 .first_strip = (double)NAN,
                                 .fastest = {.radial = 3, .axial = axial}};
        put_length(&d, section_of(i, section), "axial", axial);
    }
    assert_true(th_limit_together(bounds, &limits));
    run(&d, false, &a);
    assert_true(limits.together.any);
    assert_near(limits.together.hold_factor, a.check.hold_factor, 1e-9, 0);
    assert_near(limits.together.minutes, a.check.minutes, 1e-9, 0);
    answer_free(&a);
    th_work_end(&judging);
    th_limits_free(&limits);
    th_job_free(job);
}

/* A light groove and fine engraving, which hold by far. */
static draft groove_and_engraving(void) {
    draft d = grooved("0.05");

    put(&d, "job", "asked_factor", "1");
    put(&d, "cut.1", "depth", "0.2");
    put(&d, "cut.2", "operation", "engrave");
    put(&d, "cut.2", "cutter", "point");
    put(&d, "cutter.point", "id", "point-3mm-60");
    put(&d, "cut.2", "depth", "0.1");
    put(&d, "cut.2", "length", "60");
    put(&d, "cut.2", "at", "45,30");
    put(&d, "cut.2", "speed", "12000");
    return d;
}

/* Of two pairs the engraved one, which no lighter pass helps, is far too deep: it takes the job's
 * own depth, and the groove before it keeps its pair. */
static void the_pair_that_fails_gives_way(void **state) {
    static const th_check_options options = {.turn_downs = false};
    static const double axials[2] = {0.1, 2.5};
    draft d = groove_and_engraving(), deeper = d;
    th_job *job;
    th_judging judging = {.options = &options};
    th_error err = {TH_OK, 0, "", ""};
    bool fails[2] = {false};
    th_limit_cut cuts[2] = {{.cut = NULL}};
    th_limits limits = {.cuts = cuts, .cut_count = 2};
    th_bounded bounds[2];
    th_ground ground;

    (void)state;
    put_length(&deeper, "cut.2", "depth", axials[1]);
    limits.asked_factor = sqrt(factor_of(&d, "cut.2") * factor_of(&deeper, "cut.2"));
    put_number(&d, "job", "asked_factor", limits.asked_factor, "");
    job = built(&d);
    assert_true(th_work_begin(&judging));
    assert_true(th_ground_make(job, &judging, &limits.arena, &ground, &err));
    for (int i = 0; i < 2; i++) {
        bounds[i] = (th_bounded){.job = job,
                                 .cut = &job->cuts[i],
                                 .which = (size_t)i,
                                 .own = judging,
                                 .whole = judging,
                                 .ground = &ground,
                                 .fails_anyway = fails,
                                 .first_laps = fails,
                                 .arena = &limits.arena,
                                 .err = &err};
        cuts[i] = (th_limit_cut){.cut = &job->cuts[i],
                                 .possible = true,
                                 .own_holds = true,
                                 .lap_holds = true,
                                 .own_bond_holds = true,
                                 .first_strip = (double)NAN,
                                 .fastest = {.radial = job->cuts[i].radial, .axial = axials[i]}};
    }
    assert_true(th_limit_together(bounds, &limits));
    assert_true(limits.together.any);
    assert_true(limits.together.hold_factor >= limits.asked_factor);
    assert_near(cuts[0].fastest.axial, axials[0], 1e-9, 0);
    assert_near(cuts[1].fastest.axial, job->cuts[1].axial, 1e-9, 0);
    th_work_end(&judging);
    th_limits_free(&limits);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_pairs_are_set),
        cmocka_unit_test(the_pair_that_fails_gives_way),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
