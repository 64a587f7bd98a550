/* page.h - what the browser page asks of the core, as functions that WebAssembly can export.
 *
 * Text goes in and comes out as UTF-8 in memory that th_page_take gives. A page holds the tables,
 * the drawings it was handed, and the last answer; nothing else is kept between questions.
 */
#ifndef PAGE_PAGE_H
#define PAGE_PAGE_H

#include <stdbool.h>
#include <stddef.h>

typedef struct th_page th_page;

/* NULL when out of memory. */
th_page *th_page_new(void);
void th_page_free(th_page *page);

/* Memory for text to hand over; freed by th_page_give_back. */
void *th_page_take(size_t bytes);
void th_page_give_back(void *memory);

/* Rows of a table from the text of a file (stock.ini ...). Shipped ones first; `own` marks the
 * user's. 0, or a status with the error as answer. */
int th_page_table(th_page *page, int table, const char *text, size_t size, int own);
/* A drawing that jobs may name; of an SVG also the events of the browser's parser (xml_events.c),
 * "" else. One of the same name is replaced. */
int th_page_file(th_page *page, const char *name, const char *text, size_t size,
                 const char *events);

/* Ask. `settings` are as --set takes them, a line each. `what` is about the job, and answered with
 * the JSON of the command line and documents (th_doc_json) for a screen:
 *   "rigid"    {"check"} by the area model alone, for a first look
 *   "verdict"  {"check", "brief", "full", "part", "stack", "heat"}, nothing searched
 *   "check"    the same with turn-downs
 *   "limits"   {"limits", "report", "picture"}
 *   "tape"     {"tape", "report"}
 *   "card"     {"html"}
 * ("verdict thin" ... with pictures for a phone); the first three also with "said", the hold
 * factors as people are told them. Or about the tables, the job left empty: "keys SECTION",
 * "list KIND", "show KIND ID" as the verbs of the command line; "row KIND ID mm|inch" a row as a
 * document; "text KIND ID mm|inch" its keys as a table's file has them, without name, source and
 * trust; "drawing NAME" {"length", "width"} (mm) of a drawing that was handed over;
 * "convert DIGITS SECTION KEY mm|inch TEXT" a value of those units in the other ones, with as few
 * digits as bring back what was typed, to that many digits at least.
 * Gives the exit code of the command line; of an error the answer is {"file", "line", "message"}.
 */
int th_page_ask(th_page *page, const char *what, const char *job, size_t size,
                const char *settings);
/* The last answer, zero-terminated, and its bytes. */
const char *th_page_answer(const th_page *page);
size_t th_page_answer_size(const th_page *page);

/* inside page/: events of a drawing that is being read; NULL for unknown text */
const char *th_page_events(const char *text);

#endif
