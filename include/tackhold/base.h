/* base.h - what every layer stands on: status codes, the error record, memory, text.
 *
 * Conventions of the whole library (they hold in every header of include/tackhold/):
 *
 *   Names      types and functions start with th_, constants with TH_.
 *   Units      mm, N, MPa, W, deg C, s; spindle speed in rpm, feed in mm/min, surface speed in
 *              m/min, angles in degrees. Every struct field states its unit.
 *   Axes       job axes: origin at the part's lower left corner, x right, y back, z up from the
 *              bonded face. Force and moment are those acting on the part.
 *   Absent     an optional number that was not given is NAN; an optional text is NULL.
 *   Arguments  const inputs first, results last, then th_error *.
 *   Failure    a function that can fail returns false and fills the th_error it was given (which
 *              may be NULL); its results are then unspecified but safe to free.
 *   Ownership  th_x_free(x) releases what the matching function made and accepts NULL or a zeroed
 *              struct. Text and arrays inside a result belong to that result.
 *   Purity     base to program, and report, do no I/O, hold no global state, use no locale, never
 *              exit. Memory comes from malloc alone.
 */
#ifndef TACKHOLD_BASE_H
#define TACKHOLD_BASE_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

#define TH_VERSION "0.1.0"

#define TH_PI 3.14159265358979323846

#if defined(__GNUC__)
#define TH_PRINTF(text, first) __attribute__((format(printf, text, first)))
#else
#define TH_PRINTF(text, first)
#endif

/* The one list of status codes: name, text, exit code of the command line. */
#define TH_STATUS_LIST(X)                                                                          \
    X(TH_OK, "done", 0)                                                                            \
    X(TH_BAD_USAGE, "wrong usage", 2)                                                              \
    X(TH_BAD_FILE, "unreadable file", 2)                                                           \
    X(TH_BAD_SYNTAX, "bad syntax", 2)                                                              \
    X(TH_BAD_KEY, "unknown section or key", 2)                                                     \
    X(TH_BAD_VALUE, "value that cannot be read", 2)                                                \
    X(TH_BAD_RANGE, "value out of range", 2)                                                       \
    X(TH_MISSING, "missing value", 2)                                                              \
    X(TH_UNKNOWN_ROW, "unknown row of a table", 2)                                                 \
    X(TH_CONTRADICTION, "values that contradict each other", 2)                                    \
    X(TH_NOT_POSSIBLE, "more than the machine, cutter or plate can do", 2)                         \
    X(TH_NOT_WRITTEN, "file not written", 3)                                                       \
    X(TH_NO_MEMORY, "out of memory", 3)                                                            \
    X(TH_NOT_SOLVED, "computation failed", 3)

typedef enum {
#define TH_STATUS_NAME(name, text, code) name,
    TH_STATUS_LIST(TH_STATUS_NAME)
#undef TH_STATUS_NAME
} th_status;

/* Text of a status, never NULL. */
const char *th_status_text(th_status status);
/* Exit code that the command line gives for a status: 0, 2 or 3. */
int th_status_exit(th_status status);

/* Why a function failed. Owned by the caller; plain values, nothing to free. */
typedef struct {
    th_status code;
    int line;          /* 1-based line of file, 0 where no line applies */
    char file[256];    /* file as the user named it, "" where none applies */
    char message[768]; /* one sentence or two, without file and line */
} th_error;

/* Fill err (if not NULL) with a code and a formatted message; file and line are cleared.
 * Always returns false, so that a caller can `return th_fail(...)`. */
bool th_fail(th_error *err, th_status code, const char *format, ...) TH_PRINTF(3, 4);
/* The same, with the place in the user's file. file may be NULL. */
bool th_fail_at(th_error *err, th_status code, const char *file, int line, const char *format, ...)
    TH_PRINTF(5, 6);
/* Set file and line of an error that has none yet. Returns false. */
bool th_fail_place(th_error *err, const char *file, int line);
/* Out of memory. Returns false. */
bool th_fail_memory(th_error *err);

/* vsnprintf and snprintf of the library: whatever locale the host program has set, a decimal point
 * is a point. Conversions d i u x X o c s f F e E g G and %%; a number's width and precision are at
 * most 100. Bytes of %s are passed on unread. The length of the whole text, -1 for another
 * conversion. Every formatted text of the core is made by it. */
int th_vprint(char *text, size_t size, const char *format, va_list arguments) TH_PRINTF(3, 0);
int th_print(char *text, size_t size, const char *format, ...) TH_PRINTF(3, 4);

/* An arena: many small allocations that are released together. Zero it before first use. */
typedef struct th_block th_block;
typedef struct {
    th_block *first;
} th_arena;

/* Zeroed memory of `bytes` bytes, aligned for any type; NULL when there is none. */
void *th_arena_take(th_arena *arena, size_t bytes);
/* A zero-terminated copy of the first n bytes of text; NULL when there is no memory. */
char *th_arena_copy(th_arena *arena, const char *text, size_t n);
/* A formatted text in the arena; NULL when there is no memory. */
char *th_arena_print(th_arena *arena, const char *format, ...) TH_PRINTF(2, 3);
void th_arena_free(th_arena *arena);

/* Growing text. Zero it before first use. After a failed allocation `failed` stays set and
 * further additions do nothing, so that one check at the end is enough. */
typedef struct {
    char *data; /* zero-terminated once anything was added, else NULL */
    size_t size;
    size_t capacity;
    bool failed;
} th_text;

/* Add a text, the first n bytes of one, or a formatted one. No NULL. */
void th_text_put(th_text *text, const char *piece);
void th_text_put_n(th_text *text, const char *piece, size_t n);
void th_text_add(th_text *text, const char *format, ...) TH_PRINTF(2, 3);
void th_text_free(th_text *text);

/* A list of texts in an arena: cautions, defaults, notes. Zero it before first use. */
typedef struct {
    const char **items;
    size_t count, capacity;
    bool failed; /* an addition ran out of memory */
} th_lines;

/* Add a formatted text, unless the list already holds the same one. False when out of memory. */
bool th_lines_add(th_lines *lines, th_arena *arena, const char *format, ...) TH_PRINTF(3, 4);

/* The name nearest to `word` (fewest single-letter edits), or NULL if none is near enough to be
 * a likely slip (more than a third of the word's letters, and more than two). */
const char *th_nearest(const char *word, const char *const *names, size_t count);

/* The word that stands here for what people say: "cyanoacrylate" for "super glue", "inch" for
 * "Inches"; else `word` itself. It may stand in a list or in no list that is asked. */
const char *th_usual_word(const char *word);

enum { TH_MEANT_MOST = 3 };
/* Rows that `word`, or what it usually stands for, may mean, by id: the nearest one; else the first
 * of those that share most of its parts (three letters or digits at least; case apart, a slip in a
 * long one apart) with id or name.
 * `names` may be NULL. The number found. */
size_t th_meant(const char *word, const char *const *ids, const char *const *names, size_t count,
                const char *meant[TH_MEANT_MOST]);
/* a, b or c, each between two `quote`s. */
void th_meant_text(const char *const *meant, size_t count, const char *quote, char *text,
                   size_t size);

#ifdef __cplusplus
}
#endif
#endif
