/* report.h - text and JSON from the results of the layers above; computes nothing.
 *
 * A report is built once as a neutral document (sections of lines, label and value pairs, and
 * tables) and then written by small writers. JSON is written straight from the results, always
 * metric.
 */
#ifndef TACKHOLD_REPORT_H
#define TACKHOLD_REPORT_H

#include "tackhold/base.h"
#include "tackhold/tables.h"
#include "tackhold/advice.h"
#include "tackhold/program.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- document -------------------------------------------------------------------------------- */

typedef struct {
    const char *title; /* of the column */
    const char *unit;  /* second line of the head, NULL none */
    bool right;        /* numbers stand at the right */
    bool wraps;        /* broken over several lines when the table is too wide */
} th_doc_column;

typedef struct {
    const th_doc_column *columns;
    size_t column_count;
    const char **cells; /* row by row */
    size_t row_count, row_capacity;
} th_doc_table;

typedef enum { TH_DOC_LINE, TH_DOC_PAIR, TH_DOC_TABLE, TH_DOC_STEP, TH_DOC_PICTURE } th_doc_kind;

typedef struct {
    th_doc_kind kind;
    const char *label; /* of a pair, which lists items where it is "-"; of a step; of a picture */
    const char *text;  /* all but tables; of a picture its <svg> element */
    th_doc_table table;
} th_doc_block;

typedef struct {
    const char *title; /* NULL none */
    th_doc_block *blocks;
    size_t count, capacity;
} th_doc_section;

/* Zero it before first use. All text lives in the arena. After a failed allocation `failed` stays
 * set and further additions do nothing. */
typedef struct {
    th_arena arena;
    const char *title; /* NULL none */
    th_doc_section *sections;
    size_t count, capacity;
    bool failed;
    /* Set before it is filled: for a screen that scrolls, shows pictures and applies settings at a
     * tap, so nothing is left out for want of lines, and there are neither words of the command
     * line nor charts made of letters. */
    bool screen;
} th_doc;

/* Start a section; add a line, or a label with its text, to the one begun last. */
void th_doc_begin(th_doc *doc, const char *section_title); /* NULL: a section without title */
void th_doc_line(th_doc *doc, const char *format, ...) TH_PRINTF(2, 3);
void th_doc_pair(th_doc *doc, const char *label, const char *format, ...) TH_PRINTF(3, 4);
/* One step of a numbered list: those that follow one another are counted from 1. */
void th_doc_step(th_doc *doc, const char *label, const char *format, ...) TH_PRINTF(3, 4);
/* A picture with a caption (NULL none); `svg` is trusted to be one <svg> element and copied. */
void th_doc_picture(th_doc *doc, const char *caption, const th_text *svg);
/* Start a table in the current section; `columns` are copied, their texts must outlive the doc. */
void th_doc_columns(th_doc *doc, const th_doc_column *columns, size_t count);
/* One row of the table begun last: as many cells as columns, copied; NULL is an empty cell. */
void th_doc_row(th_doc *doc, const char *const *cells);
void th_doc_free(th_doc *doc);

/* ---- writers --------------------------------------------------------------------------------- */

enum {
    TH_TEXT_WIDTH = 80, /* columns */
    TH_TEXT_LINES = 24  /* of a report that was not asked for in full */
};

/* Plain text, TH_TEXT_WIDTH columns wide, pictures left out. Breaks between words only, never
 * between a number and the word after it (its unit); a word longer than the line stands whole if it
 * holds '=' or '/' (it may have to be typed back), else it is cut into lines. Control characters
 * become '?'. */
bool th_doc_text(const th_doc *doc, th_text *text, th_error *err);

/* Parts of an HTML page: a <section> each, its id the title in small letters and '-'. Text is
 * escaped, headings are <h2>, labels terms of a <dl>, tables have scopes, pictures are figures. */
bool th_doc_html(const th_doc *doc, th_text *text, th_error *err);

/* The same as tab-separated lines: tables only, one head line each. */
bool th_doc_tab(const th_doc *doc, th_text *text, th_error *err);

/* The same as JSON: {"title", "sections": [{"title", "blocks": [{"text"} (a line), {"label",
 * "text"} (a pair), {"columns": [{"title", "unit", "right"}], "rows": [[cell]]} (a table)]}]}; for
 * a reader that lays it out itself. */
bool th_doc_json(const th_doc *doc, th_text *text, th_error *err);

/* Streaming JSON. Zero it and set `text` before use; values are separated as JSON wants them. */
enum { TH_JSON_DEPTH = 16 };
typedef struct {
    th_text *text;
    char closers[TH_JSON_DEPTH];
    bool filled[TH_JSON_DEPTH]; /* this level holds a value already */
    size_t depth;
    bool after_key;
    bool failed; /* misuse: nested too deep, closed too often */
} th_json;

/* Open an object or an array. */
void th_json_object(th_json *json);
void th_json_array(th_json *json);
void th_json_end(th_json *json); /* closes the object or array opened last */
void th_json_key(th_json *json, const char *key);
/* Text is escaped; bytes that are not UTF-8 become U+FFFD; NULL is null. */
void th_json_string(th_json *json, const char *value);
/* Fewest digits, at least 12 if needed, that read back to exactly `value`; NAN and infinity are
 * null. */
void th_json_number(th_json *json, double value);
/* true, false; null. */
void th_json_bool(th_json *json, bool value);
void th_json_null(th_json *json);
/* A key with its value. */
void th_json_text(th_json *json, const char *key, const char *value);
void th_json_value(th_json *json, const char *key, double value);
void th_json_flag(th_json *json, const char *key, bool value);
void th_json_lines(th_json *json, const char *key, const th_lines *lines);

/* ---- reports --------------------------------------------------------------------------------- */

/* All of them fill a document, or add to a text, of the caller's. Errors: TH_NO_MEMORY, and what
 * stands at each. */

/* A hold factor for people: two significant digits, rounded down; more digits where two would put
 * it on another side of `asked` or of 1 than it is. */
void th_hold_factor_print(double factor, double asked, char *text, size_t size);

/* The answer, in the job's units. Without `all` it fits TH_TEXT_LINES lines of plain text; for a
 * screen it then has no turn-downs and no lists, which are in the JSON. */
bool th_report_check(const th_job *job, const th_check *check, bool all, th_doc *doc,
                     th_error *err);
/* What changed against the job before (check->before) and what each change alone does; stands
 * before the answer. Without `all` the changes that do most. Where that job cannot be judged, why
 * (check->before_refused); `jobs` is not read then. */
bool th_report_before(const th_compared *jobs, const th_check *check, bool all, th_doc *doc,
                      th_error *err);
/* The same as JSON, turn-downs, comparison and record included. */
bool th_report_check_json(const th_job *job, const th_check *check, th_text *text, th_error *err);

/* Which tape and glue: the best glue for each tape, or with `all` every pair. */
bool th_report_choices(const th_job *job, const th_hold_choices *choices, bool all, th_doc *doc,
                       th_error *err);
/* Every pair, whatever is shown as text. */
bool th_report_choices_json(const th_job *job, const th_hold_choices *choices, th_text *text,
                            th_error *err);

/* How far each cut may be opened: a chart of axial against radial engagement, the fastest pair, and
 * the figures as a table. */
bool th_report_limits(const th_job *job, const th_limits *limits, th_doc *doc, th_error *err);
/* The same as JSON. */
bool th_report_limits_json(const th_job *job, const th_limits *limits, th_text *text,
                           th_error *err);

/* ---- pictures and the card ---------------------------------------------------------------------
 */

/* Each is one <svg> element, a file of its own and fit for a page, with a title and a description
 * for those who cannot see it. Errors: TH_NO_MEMORY, TH_NOT_SOLVED. */

/* The part from above: load over strength of the tape at the worst moment, as a map with contour
 * lines, and what is still stuck down at each moment. `map` of that check; TH_BAD_USAGE without. */
bool th_picture_part(const th_job *job, const th_check *check, const th_map *map, th_text *text,
                     th_error *err);
/* The layers from the side, thin ones drawn thicker, with their heights from the top of the stock.
 */
bool th_picture_stack(const th_job *job, const th_check *check, th_text *text, th_error *err);
/* A panel for each cut of the limits: axial against radial engagement, both in equal ratios; the
 * region that holds, what ends it, the job's own engagement and the fastest pair. */
bool th_picture_limits(const th_job *job, const th_check *check, const th_limits *limits,
                       th_text *text, th_error *err);
/* Part, plate and tape (under the cutter) over time, the limit of the hold, the cuts. */
bool th_picture_heat(const th_job *job, const th_check *check, th_text *text, th_error *err);

/* The same for a phone: 340 px wide with type as large, one thing under the other. */
bool th_picture_part_thin(const th_job *job, const th_check *check, const th_map *map,
                          th_text *text, th_error *err);
bool th_picture_stack_thin(const th_job *job, const th_check *check, th_text *text, th_error *err);
bool th_picture_limits_thin(const th_job *job, const th_limits *limits, th_text *text,
                            th_error *err);
bool th_picture_heat_thin(const th_job *job, const th_check *check, th_text *text, th_error *err);

/* ---- programs ---------------------------------------------------------------------------------
 */

/* What a program was run for; all of it borrowed. */
typedef struct {
    const th_job *job;
    const char *file;    /* of the program, as shown */
    const th_run *run;   /* judged */
    const th_slow *slow; /* NULL: no lower feeds were looked for */
    const char *slow_to; /* the file that they were to be written to, NULL none */
    bool slow_written;   /* and were */
} th_program_shown;
/* The answer for a program in the job's units; without `all` the lines that hold least alone. */
bool th_report_program(const th_program_shown *shown, bool all, th_doc *doc, th_error *err);
/* One row for each line that cuts what must stay; too wide for a screen: for th_doc_tab. */
bool th_report_program_lines(const th_program_shown *shown, th_doc *doc, th_error *err);
/* The same as JSON. */
bool th_report_program_json(const th_program_shown *shown, th_text *text, th_error *err);
/* The card of a program: one HTML page as that of a job, with the map of the tape and the hold
 * factor by line. `run` with its maps; without them there is none in the card. */
bool th_report_program_card(const th_program_shown *shown, th_text *text, th_error *err);

/* What the card is made of; all of it borrowed. */
typedef struct {
    const th_job *job;
    const th_check *check;
    const th_limits *limits; /* NULL or empty: no chart of engagement */
    const th_map *map;       /* NULL: no traction in the picture of the part */
    bool screen;             /* without the words of the command line: for a page that has none */
} th_card;

/* The card for the shop wall: one HTML page with its style and pictures inside, no script, nothing
 * loaded from elsewhere. */
bool th_report_card(const th_card *card, th_text *text, th_error *err);

/* Rows of a table: id, name, telling columns, trust. TH_UNITS_NAMED counts as millimetres. */
bool th_report_list(const th_tables *tables, th_table table, th_units units, th_doc *doc,
                    th_error *err);
/* Every row with every key; always metric. */
bool th_report_list_json(const th_tables *tables, th_table table, th_text *text, th_error *err);

/* One row: every key with its value, source, trust. Errors: TH_UNKNOWN_ROW. */
bool th_report_show(const th_tables *tables, th_table table, const char *id, th_units units,
                    th_doc *doc, th_error *err);
/* The same as JSON; always metric. */
bool th_report_show_json(const th_tables *tables, th_table table, const char *id, th_text *text,
                         th_error *err);

/* The keys of a section as comment lines "# key  help (bounds, default, units)": of a table
 * ("tape"), of a job's section, or of a whole job ("job"), bounds in `units`. Errors: TH_BAD_USAGE
 * for an unknown section. */
bool th_report_keys(const char *section, th_units units, th_text *text, th_error *err);
/* The same as JSON. */
bool th_report_keys_json(const char *section, th_text *text, th_error *err);

/* ---- manual page ----------------------------------------------------------------------------- */

/* Pieces of a manual page in the mdoc language, for whoever writes one.
 *
 * Running text as the help texts have it: paragraphs apart by an empty line; a line that begins
 * with a blank, and what follows "Example: ", stands as typed. */
void th_manual_text(const char *prose, th_text *page);
/* One argument of a macro, whatever it holds. */
void th_manual_word(const char *word, th_text *page);
/* The keys of a job and of the tables, a subsection each, from the one table of keys. */
void th_manual_job_keys(th_text *page);
void th_manual_table_keys(th_text *page);

/* ---- the shop's own log ---------------------------------------------------------------------- */

/* Records of the log, those that were chosen of all it holds. */
typedef struct {
    const char *path;
    const th_log_record *const *records;
    size_t count, all;
    size_t skipped, torn; /* lines that were left out */
} th_log_shown;
/* As a table; `full` with every telling cell, too wide for a screen: for th_doc_tab. */
bool th_report_log(const th_log_shown *log, bool full, th_doc *doc, th_error *err);
/* The same as JSON, every cell. */
bool th_report_log_json(const th_log_shown *log, th_text *text, th_error *err);
/* What was just noted, one line. */
bool th_report_noted(const th_log_record *record, const char *path, th_doc *doc, th_error *err);

/* ---- odds ------------------------------------------------------------------------------------ */

/* A chance for people, no finer than its interval: "0.31 % (about 1 in 320)", "under 1 in a
 * million, by this model". */
void th_chance_print(double chance, double low, double high, char *text, size_t size);
/* The odds beside the hold factor, and what decides them; as JSON too. */
bool th_report_odds(const th_job *job, const th_odds *odds, th_doc *doc, th_error *err);
bool th_report_odds_json(const th_job *job, const th_odds *odds, th_text *text, th_error *err);

/* What pull tests say, and the row they make. `file` is what was read; id is the row's and `path`
 * the file it was written to, NULL where nothing was. */
typedef struct {
    const char *file, *id, *path;
} th_pull_names;
/* What the tests give, kind by kind, and the row, as text and as JSON. */
bool th_report_pull(const th_pull_result *result, const th_pull_names *names, th_units units,
                    th_doc *doc, th_error *err);
bool th_report_pull_json(const th_pull_result *result, const th_pull_names *names, th_text *text,
                         th_error *err);
/* The row as a section of tape.ini, the reasoning in comment lines above it. */
bool th_report_pull_row(const th_pull_result *result, const char *id, th_text *text, th_error *err);

#ifdef __cplusplus
}
#endif
#endif
