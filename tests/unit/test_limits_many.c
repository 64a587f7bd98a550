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

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_pairs_are_set),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
