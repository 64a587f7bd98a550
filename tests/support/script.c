/* script.c - see script.h. */
#include "support/script.h"

#include <stdarg.h>
#include <stdio.h>

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
}
