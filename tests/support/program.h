/* program.h - programs read in tests: what moves they give. */
#ifndef TACKHOLD_TESTS_PROGRAM_H
#define TACKHOLD_TESTS_PROGRAM_H

#include "support/near.h"
#include "tackhold/program.h"

enum { MOVES_KEPT = 400 };

typedef struct {
    bool done;
    th_error err;
    th_move moves[MOVES_KEPT];
    size_t count; /* of all moves, those not kept too */
    th_program_report report;
} program_reading;

/* Options with the tool standing at a known place. */
th_program_options starting_at(double x, double y, double z);
/* Reads, and checks what holds for any program: each move begins where the last one ended, the
 * report's counts are those of the moves. */
void read_any(const char *text, const th_program_options *options, program_reading *result);
/* The same for a program that must be accepted. From 0, 0, 0 where options is NULL. */
void read_good(const char *text, const th_program_options *options, program_reading *result);
/* Refused at a line, with a message that contains `piece`. */
void read_bad(const char *text, const th_program_options *options, int line, const char *piece);
/* The one warning of that line, which contains `piece`. */
void assert_warned(const program_reading *result, int line, bool doubt, const char *piece);
void assert_reading(const program_reading *result, const char *piece);
void assert_move(const program_reading *result, size_t index, th_move_kind kind, double x, double y,
                 double z);
void assert_arc(const program_reading *result, size_t index, double first, double second,
                double sweep);
void program_reading_free(program_reading *result);

#endif
