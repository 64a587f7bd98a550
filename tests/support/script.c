/* script.c - see script.h. */
#include "support/script.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void say(script *s, const char *format, ...) {
    va_list list;

    va_start(list, format);
    s->used += (size_t)vsnprintf(s->text + s->used, sizeof s->text - s->used, format, list);
    va_end(list);
    assert_true(s->used < sizeof s->text);
}

int line_now(const script *s) {
    int count = 1;

    for (const char *p = s->text; *p; p++) {
        count += *p == '\n';
    }
    return count;
}

/* The first of the worst lines has the hold factor of the whole, and each that of its line. */
static void check_worst(const th_run *run) {
    for (size_t i = 0; i < run->worst_count; i++) {
        double here = run->worst[i].hold_factor;
        assert_near(here, (double)run->lines[run->worst[i].load.line].hold_factor, 1e-6, 0);
        assert_true(i == 0 || here >= run->worst[i - 1].hold_factor);
    }
    if (run->worst_count > 0) {
        assert_near(run->worst[0].hold_factor, run->hold_factor, 1e-6, 0);
    }
}

void run_script(const th_job *job, const script *s, size_t plates, double cell, th_run *run) {
    static const th_outline none;
    th_run_options options = {.job = job,
                              .outline = &none,
                              .reading = th_program_defaults(),
                              .plates = plates,
                              .cell = cell};
    th_error err = {0};

    if (!th_run_program(s->text, s->used, &options, run, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
    assert_true(run->judged);
    check_worst(run);
}

bool lists(const th_lines *lines, const char *piece) {
    for (size_t i = 0; i < lines->count; i++) {
        if (strstr(lines->items[i], piece)) {
            return true;
        }
    }
    return false;
}
