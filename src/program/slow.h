/* slow.h - inside program/: which feeds to bring down, and the text with them. */
#ifndef TACKHOLD_PROGRAM_SLOW_H
#define TACKHOLD_PROGRAM_SLOW_H

#include "tackhold/program.h"

/* One line of the text. */
typedef struct {
    double feed;         /* as programmed (mm/min); 0: it makes no move at feed */
    size_t at, length;   /* of the number behind its F, in bytes of the text; length 0: none */
    size_t code_end;     /* behind its last word, before a comment */
    float scale;         /* of its feed; 1: left as it is */
    double least;        /* scale at which its chip is the stock's smallest; 0: not known */
    bool odd;            /* its F is no plain number */
    bool own;            /* it has an F */
    bool varies;         /* it runs at different feeds */
    bool put;            /* it needs an F of its own */
    bool searched;       /* a lower feed was looked for */
    const char *why_not; /* its feed cannot be changed; NULL: it can */
} slow_text_line;

typedef struct {
    const char *text;
    size_t size;
    const th_program_options *reading; /* tools filled in */
    slow_text_line *lines;             /* from 1 on */
    size_t count;                      /* lines + 1 */
    size_t *with_f;                    /* lines with an F before this one */
    bool inch;
    const char *unfit; /* why no feed of this program is changed; NULL */
} slow_program;

bool slow_program_scan(slow_program *program, th_error *err);
void slow_program_free(slow_program *program);
/* Feeds of all lines. */
bool slow_program_trace(slow_program *program, th_error *err);
/* Where an F must be put in for the scales; lines where that is not plain get their scale back and
 * a reason. */
bool slow_program_settle(slow_program *program, th_error *err);
/* The feed of a line as it will be written (mm/min). */
double slow_feed(const slow_program *program, size_t at);
/* The changed text. Read again it must make the same moves, at the feeds meant. */
bool slow_program_write(const slow_program *program, th_text *text, th_error *err);
bool slow_program_same(const slow_program *program, const th_text *text, th_error *err);

#endif
