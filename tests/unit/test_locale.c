/* test_locale.c - texts are the same whatever locale the host program has set. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/comma.h"
#include "support/draft.h"
#include "tackhold/report.h"

static void add_doc(th_doc *doc, bool fine, th_text *text, const th_error *err) {
    th_error second;

    if (!fine || !th_doc_text(doc, text, &second)) {
        fail_msg("%s", err->message);
    }
    th_doc_free(doc);
}

static void add_check(const th_job *job, th_text *text) {
    th_check_options how = {.turn_downs = true};
    th_error err = {TH_OK, 0, "", ""};
    th_check check;
    th_doc doc = {0};
    th_card card = {.job = job, .check = &check};

    assert_true(th_check_run(job, &how, &check, &err));
    add_doc(&doc, th_report_check(job, &check, true, &doc, &err), text, &err);
    assert_true(th_report_check_json(job, &check, text, &err));
    assert_true(th_report_card(&card, text, &err));
    th_check_free(&check);
}

static void add_odds(const th_job *job, th_text *text) {
    th_check_options plain = {.turn_downs = false};
    th_odds_options how = {.check = &plain, .samples = 1024, .seed = 1};
    th_error err = {TH_OK, 0, "", ""};
    th_odds odds;
    th_doc doc = {0};

    assert_true(th_odds_run(job, &how, &odds, &err));
    add_doc(&doc, th_report_odds(job, &odds, &doc, &err), text, &err);
    th_odds_free(&odds);
}

static void add_limits(const th_job *job, th_text *text) {
    th_check_options how = {.turn_downs = false};
    th_error err = {TH_OK, 0, "", ""};
    th_limits limits;
    th_doc doc = {0};

    assert_true(th_limits_run(job, &how, NULL, &limits, &err));
    add_doc(&doc, th_report_limits(job, &limits, &doc, &err), text, &err);
    th_limits_free(&limits);
}

static void add_choices(const th_job *job, th_text *text) {
    th_check_options how = {.turn_downs = false};
    th_error err = {TH_OK, 0, "", ""};
    th_hold_choices choices;
    th_doc doc = {0};

    assert_true(th_hold_choices_find(job, &how, TH_EVERY_TAPE, &choices, &err));
    add_doc(&doc, th_report_choices(job, &choices, true, &doc, &err), text, &err);
    th_hold_choices_free(&choices);
}

/* A slot that warms the part, on tape that heat takes much of; set 90 s before the cut. */
static void add_everything(th_text *text) {
    draft d = plate(60, 40, 3);
    th_job *job;

    put(&d, "hold", "wait", "7.5 min");
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.35");
    put(&d, "cut.1", "depth", "1.5");
    job = built(&d);
    add_check(job, text);
    add_odds(job, text);
    add_limits(job, text);
    add_choices(job, text);
    th_job_free(job);
}

static void answers_have_points(void **state) {
    th_text plain = {0}, comma_text = {0};

    (void)state;
    add_everything(&plain);
    comma();
    add_everything(&comma_text);
    no_comma();
    assert_string_equal(plain.data, comma_text.data);
    th_text_free(&plain);
    th_text_free(&comma_text);
}

/* ---- the printing itself --------------------------------------------------------------------- */

#define SAME(...)                                                                                  \
    do {                                                                                           \
        char by_libc[400], ours[400];                                                              \
        int length = snprintf(by_libc, sizeof by_libc, __VA_ARGS__);                               \
        assert_int_equal(th_print(ours, sizeof ours, __VA_ARGS__), length);                        \
        assert_string_equal(ours, by_libc);                                                        \
    } while (0)

/* ISO C 7.21.6.1, as the C library has it. */
static void conversions_are_those_of_c(void **state) {
    (void)state;
    SAME("%s", "plain");
    SAME("[%5s|%-5s|%.2s|%*s|%-*s|%.*s]", "ab", "cd", "efg", 4, "h", 4, "i", 1, "jk");
    SAME("[%*s|%.*s]", -4, "h", -1, "whole");
    SAME("%d %i %5d %-5d| %05d %+d % d %.3d", 1, -2, 3, 4, 5, 6, 7, 8);
    SAME("%ld %lld %zu %td %hd %hhd %jd", -1L, -2LL, (size_t)3, (ptrdiff_t)-4, 5, 6, (intmax_t)7);
    SAME("%u %lu %llu %x %X %#x %o", 4000000000u, 1ul, 18446744073709551615ull, 255u, 255u, 255u,
         8u);
    SAME("%c%c %3c|%-3c| 100 %%", 'a', 'b', 'c', 'd');
    SAME("%f %.0f %.1f %8.3f %-8.2f| %+.2f %08.2f", 1.5, 2.5, -0.05, 3.14159, 2.0, 1.0, -1.25);
    SAME("%g %.3g %.10g %G %e %.2E %#g", 1e-5, 123456.0, 0.1, 1e20, 12345.678, 1e-300, 1.0);
    SAME("%g %f %.*f %*.*f", (double)INFINITY, (double)NAN, 2, 1.005, 9, 1, 0.25);
    SAME("%.3f", 1e300);
}

static void what_does_not_fit_is_cut_but_counted(void **state) {
    char small[6] = "-----", none = '-';

    (void)state;
    assert_int_equal(th_print(small, sizeof small, "%.2f %s", 12.5, "long"), 10);
    assert_string_equal(small, "12.50");
    assert_int_equal(th_print(NULL, 0, "%s %d", "ab", 12), 5);
    assert_int_equal(th_print(&none, 1, "%d", 12), 2);
    assert_int_equal(none, '\0');
}

static void points_are_points(void **state) {
    char text[120];
    th_error err;
    th_text grown = {0};
    th_arena arena = {NULL};

    (void)state;
    comma();
    th_print(text, sizeof text, "%.1f, %g; %.3e, %8.2f|%-8.1f|, %s %d", 0.5, 0.25, 1234.5, -1.5,
             2.5, "1,5", 1000);
    assert_string_equal(text, "0.5, 0.25; 1.234e+03,    -1.50|2.5     |, 1,5 1000");
    th_fail(&err, TH_BAD_RANGE, "%g mm", 2.5);
    assert_string_equal(err.message, "2.5 mm");
    th_text_add(&grown, "%.2f", 1.25);
    assert_string_equal(grown.data, "1.25");
    assert_string_equal(th_arena_print(&arena, "%.1f", 7.5), "7.5");
    no_comma();
    th_text_free(&grown);
    th_arena_free(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(conversions_are_those_of_c),
        cmocka_unit_test(what_does_not_fit_is_cut_but_counted),
        cmocka_unit_test(points_are_points),
        cmocka_unit_test_setup_teardown(answers_have_points, set_up_warm, tear_down),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
