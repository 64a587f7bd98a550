/* program_words.h - inside report/: what the text and the card of a program both say. */
#ifndef TACKHOLD_REPORT_PROGRAM_WORDS_H
#define TACKHOLD_REPORT_PROGRAM_WORDS_H

#include "words.h"

typedef struct {
    const th_program_shown *shown;
    const th_run *run;
    th_units units;
    bool all;
    th_doc *doc;
} th_program_view;

/* "HOLDS  hold factor 2.1, asked 2.0". */
const char *th_program_verdict(const th_program_view *view, const th_run *run);
/* By which model the hold factor was found. */
const char *th_program_model(const th_program_view *view);
/* Why a line holds no more: what gives, and when. */
const char *th_program_why(const th_program_view *view, const th_worst_line *line);
/* What to change in it; "" where it holds, or where that was not looked for. */
const char *th_program_change(const th_program_view *view, const th_worst_line *line);
/* Why lower feeds are not written. */
const char *th_program_unwritten(const th_slow *slow);
/* "rapid through material". */
const char *th_program_found(th_found_kind kind);
/* How deep the cutter goes. */
const char *th_program_deepest(const th_program_view *view);

/* The largest force of a step, in the plane or lifting, as a bare number. */
const char *th_program_force(const th_program_view *view, const th_step_load *load);
/* How warm the tape gets, and in which line. */
const char *th_program_warmest(const th_program_view *view);
/* A length without its unit, no finer than a dial shows. */
const char *th_program_length(const th_program_view *view, double value);
/* Whether one of the worst lines is told as if what it cuts were free, and what that means. */
bool th_program_any_freeing(const th_run *run);
#define TH_PROGRAM_AS_IF_FREE \
    "As if free: a later line cuts the rest of the way round, so this one is held by what will be " \
    "left then"
/* How far the part sways at most, no finer than a dial shows. */
const char *th_program_sway(const th_program_view *view);

/* Characters of one strip of hold factors: below 1, below the asked factor, not below, nothing cut.
 */
#define TH_STRIP_SIGNS "#+o."
/* The strip as one line of at most `most` characters, all lines of the text in order, each
 * character the lowest of as many bins; `lines` gets how many lines one stands for. */
const char *th_program_strip(const th_program_view *view, size_t most, int *lines);

#endif
