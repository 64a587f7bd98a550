/* test_lower_feeds.c - which lines lower feeds are looked for in: those that fall short, and not
 * such as hold all the time. Parts and programs are invented. */
#include <string.h>

#include "support/draft.h"
#include "support/script.h"

enum { LAST_SHORT = 10, NEXT_LINE = 8 };

/* Grooves across a plate; two of them fast, the others all alike. */
static void grooves(script *s) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS8000 M3\nG0 X-5 Y8 Z-0.3\nG1 X165 F1500\nG0 Y16\nG1 X-5\n");
    for (int i = 0; i < 4; i++) {
        say(s, "G0 Y%d\nG1 X%d F1300\n", 24 + 8 * i, i % 2 == 0 ? 165 : -5);
    }
    say(s, "G0 Z5\nM30\n");
}

static th_job *with_asked(double asked) {
    draft d = plate(160, 120, 3);

    put(&d, "hold", "tape", "double-film-acrylic");
    put(&d, "hold", "glue", "none");
    put(&d, "hold", "cooling", "mist");
    put(&d, "hold", "wait", "24 h");
    put(&d, "hold", "coverage", "0.95");
    put(&d, "machine", "id", "small-vertical-mill");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 3);
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cutter.em", "wear", "1");
    put_length(&d, "cut.1", "axial", 1);
    put_point(&d, "cut.1", "from", 15, 20);
    put_point(&d, "cut.1", "to", 45, 20);
    put_number(&d, "job", "asked_factor", asked, "");
    return built(&d);
}

static void take_run(const th_job *job, const script *s, th_run_options *options, th_run *run) {
    static const th_outline none;
    th_error err = {0};

    *options = (th_run_options){.job = job, .outline = &none, .reading = th_program_defaults()};
    options->cell = 0.1;
    if (!th_run_program(s->text, s->used, options, run, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
}

/* Trials of lower feeds take longer, and what holds by little falls short in them: at the feeds
 * that come out it does not. */
static void only_what_falls_short_is_slowed(void **state) {
    static const double shares[] = {0.1, 0.2, 0.3};
    th_run_options options;
    script s;
    th_run first;
    th_job *job = with_asked(1);

    (void)state;
    grooves(&s);
    take_run(job, &s, &options, &first);
    double low = (double)first.lines[LAST_SHORT].hold_factor;
    double high = (double)first.lines[NEXT_LINE].hold_factor;
    assert_true(high > 1.005 * low);
    th_run_free(&first);
    th_job_free(job);
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
        th_error err = {0};
        th_run run;
        th_slow slow;
        job = with_asked(low + shares[i] * (high - low));
        take_run(job, &s, &options, &run);
        assert_true(th_slow_find(s.text, s.used, &options, &run, &slow, &err));
        assert_int_equal(slow.changed, 3);
        assert_int_equal(slow.count, run.short_lines);
        for (size_t k = 0; k < slow.count; k++) {
            const th_slow_line *line = &slow.lines[k];
            assert_true((double)run.lines[line->line].hold_factor < run.asked_factor);
            assert_true(line->hold_factor >= run.asked_factor);
        }
        assert_int_equal(slow.after.short_lines, 0);
        th_slow_free(&slow);
        th_run_free(&run);
        th_job_free(job);
    }
}

/* An end mill fed straight down rubs at any feed; where it gets the tape too warm a slower one
 * gives the heat time to spread. */
static void a_plunge_may_go_slower(void **state) {
    draft d = plate(90, 70, 1);
    script s = {.used = 0};
    th_run_options options;
    th_error err = {0};
    th_run run;
    th_slow slow;
    int last = 0;

    (void)state;
    add_sheet(&d, 130, 110, 20, 20);
    put(&d, "hold", "tape", "polyester-silicone");
    put(&d, "hold", "glue", "ca-thin");
    put(&d, "hold", "room_temperature", "29 C");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 1);
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put(&d, "cutter.em", "helix", "0 deg");
    put(&d, "cutter.em", "helix_pulls", "straight");
    put_length(&d, "cut.1", "radial", 6);
    put_length(&d, "cut.1", "axial", 0.2);
    th_job *job = built(&d);
    say(&s, "G21 G90 G17\nS10000 M3\nG0 Z5\nX-3 Y-3\nG1 Z0 F300\n");
    for (int level = 1; level <= 5; level++) {
        last = line_now(&s);
        say(&s, "Z%g F150\nX93 F600\nY73\nX-3\nY-3\n", level < 5 ? -0.2 * level : -1.1);
    }
    say(&s, "G0 Z5\nM30\n");
    take_run(job, &s, &options, &run);
    assert_int_equal(run.short_lines, 1);
    assert_true((double)run.lines[last].hold_factor < 1);
    assert_true(th_slow_find(s.text, s.used, &options, &run, &slow, &err));
    assert_int_equal(slow.count, 1);
    assert_int_equal(slow.lines[0].line, last);
    assert_true(slow.lines[0].to > 0 && slow.lines[0].to < 150);
    assert_int_equal(slow.after.short_lines, 0);
    th_slow_free(&slow);
    th_run_free(&run);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_what_falls_short_is_slowed),
        cmocka_unit_test(a_plunge_may_go_slower),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
