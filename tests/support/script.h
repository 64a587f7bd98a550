/* script.h - programs that tests write line by line, and run whole on a job. */
#ifndef TACKHOLD_TESTS_SCRIPT_H
#define TACKHOLD_TESTS_SCRIPT_H

#include "support/near.h"
#include "tackhold/program.h"

/* What is written so far; begins as (script){.used = 0}. */
typedef struct {
    char text[20000];
    size_t used;
} script;

/* Whether one of the lines has that in it. */
bool lists(const th_lines *lines, const char *piece);
void say(script *s, const char *format, ...);
/* The line that is written next. */
int line_now(const script *s);
/* On a map of that cell (mm), the plate asked at so many steps at most. Fails the running test
 * where the program is refused or gets no verdict. */
void run_script(const th_job *job, const script *s, size_t plates, double cell, th_run *run);

#endif
