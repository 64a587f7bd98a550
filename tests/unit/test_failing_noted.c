/* test_failing_noted.c - limits of a job of which some cuts do not hold as they stand: they are
 * named, once, in the order of the job, and no cut that holds is. Jobs are invented. */
#include <string.h>

#include "support/draft.h"

enum { CUTS = 3 };

/* Short slots far from each other, each as deep as it is to fail or to hold; by a cutter each. */
static draft slots(const bool fails[CUTS]) {
    draft d = plate(90, 60, 4);

    put(&d, "hold", "tape", "film");
    for (int i = 0; i < CUTS; i++) {
        char section[] = "cut.1", cutter[] = "cutter.a";
        section[4] = (char)('1' + i);
        cutter[7] = (char)('a' + i);
        put(&d, cutter, "id", "flat-3mm-2");
        put(&d, section, "operation", "slot");
        put(&d, section, "cutter", cutter + 7);
        put_point(&d, section, "from", 20 + 25 * i, 25);
        put_point(&d, section, "to", 20 + 25 * i, 35);
        put(&d, section, "axial", fails[i] ? "3" : "0.05");
    }
    return d;
}

/* What the limits of the first cutter say of cuts that fail; NULL: nothing. */
static const char *told(const th_limits *limits) {
    const char *found = NULL;

    for (size_t i = 0; i < limits->notes.count; i++) {
        const char *line = limits->notes.items[i];
        if (strstr(line, "hold as stated")) {
            assert_null(found);
            found = line;
        }
    }
    return found;
}

static void those_that_fail_are_named(void **state) {
    static const th_check_options options = {.turn_downs = false};
    static const struct {
        bool fails[CUTS];
        const char *begins;
    } cases[] = {{{false, false, false}, NULL},
                 {{false, true, false}, "cut.2 does not hold as stated"},
                 {{false, false, true}, "cut.3 does not hold as stated"},
                 {{false, true, true}, "cut.2, cut.3 do not hold as stated"}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        draft d = slots(cases[i].fails);
        th_job *job = built(&d);
        th_limits limits;
        const char *line;
        th_error err;
        assert_true(th_limits_run(job, &options, "a", &limits, &err));
        assert_int_equal(limits.cut_count, 1);
        line = told(&limits);
        assert_int_equal(line != NULL, cases[i].begins != NULL);
        assert_true(!line || strncmp(line, cases[i].begins, strlen(cases[i].begins)) == 0);
        th_limits_free(&limits);
        th_job_free(job);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(those_that_fail_are_named),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
