/* ask.h - one plain question on standard error, one answer line from standard input. */
#ifndef TACKHOLD_CLI_ASK_H
#define TACKHOLD_CLI_ASK_H

#include "tackhold/base.h"
#include "tackhold/quantity.h"
#include "tackhold/tables.h"

typedef struct {
    th_arena *arena;
    bool patient; /* a person answers: ask again after a bad answer */
    th_units units;
} th_asker;

/* Accept or refuse an answer; a refusal says why in err. */
typedef bool (*th_judge)(const th_asker *asker, const void *with, const char *answer,
                         th_error *err);

/* The answer, or `initial` for an empty line, in the asker's arena. Errors: TH_BAD_FILE at the end
 * of input, whatever `judge` refuses when nobody is there to ask again. */
bool th_ask(const th_asker *asker, const char *question, const char *initial, th_judge judge,
            const void *with, const char **answer, th_error *err);

/* Offer the choices by number and name; gives the position chosen. */
typedef struct {
    const char *const *ids;   /* what a person may type */
    const char *const *names; /* what it is; NULL: the ids say it */
    size_t count;
    size_t initial; /* position of the default */
} th_choice;
bool th_ask_choice(const th_asker *asker, const char *question, const th_choice *choice,
                   size_t *position, th_error *err);

/* Up to three lengths "a x b x c"; gives them as text, each above 0. */
enum { TH_LENGTHS_MAX = 3 };
bool th_ask_lengths(const th_asker *asker, const char *question, const char *initial, size_t count,
                    const char *lengths[TH_LENGTHS_MAX], th_error *err);

#endif
