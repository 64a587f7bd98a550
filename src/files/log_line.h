/* log_line.h - one line of the shop's own log. */
#ifndef FILES_LOG_LINE_H
#define FILES_LOG_LINE_H

#include "tackhold/files.h"

/* Last cell of a whole record, and of a line that was cut short. */
#define TH_LOG_END "end"
#define TH_LOG_TORN "#torn"

/* The comment that begins a log: the names of the cells, with its newline. */
void th_log_head(th_text *text);

/* Whether the n bytes end in a cell of that word. */
bool th_log_ends_in(const char *text, size_t n, const char *word);

/* Read a line of n bytes, without its newline. False where it is no whole record, `why` says why;
 * out of memory: false and `why` empty. */
enum { TH_LOG_WHY = 120 };
bool th_log_parse(const char *text, size_t n, th_arena *arena, th_log_record *record,
                  char why[TH_LOG_WHY]);

#endif
