/* cli.h - what the verbs of the command line share. */
#ifndef TACKHOLD_CLI_CLI_H
#define TACKHOLD_CLI_CLI_H

#include <argp.h>
#include <time.h>

#include "tackhold/advice.h"
#include "tackhold/base.h"
#include "tackhold/files.h"
#include "tackhold/tables.h"

/* Exit codes; bad input and own failures come from th_status_exit. */
enum { TH_EXIT_DONE = 0, TH_EXIT_NOT_HELD = 1, TH_EXIT_BAD_INPUT = 2, TH_EXIT_FAILED = 3 };

/* A verb gets its own arguments, argv[0] being "tackhold VERB", and returns the exit code. */
int th_verb_check(int argc, char **argv);
int th_verb_limits(int argc, char **argv);
int th_verb_new(int argc, char **argv);
int th_verb_list(int argc, char **argv);
int th_verb_show(int argc, char **argv);
int th_verb_tape(int argc, char **argv);
int th_verb_odds(int argc, char **argv);
int th_verb_pull(int argc, char **argv);
int th_verb_card(int argc, char **argv);
int th_verb_program(int argc, char **argv);
int th_verb_picture(int argc, char **argv);
int th_verb_log_add(int argc, char **argv);
int th_verb_log_show(int argc, char **argv);

/* A row of the table of verbs; a name may be of two words. */
typedef struct {
    const char *name, *arguments, *summary;
    int (*run)(int argc, char **argv);
} th_cli_entry;

/* Options that several verbs take. Zero it; th_cli_run does the rest. */
typedef struct {
    bool json, all, no_shop, tab, inch, force;
    bool bare; /* the job may have no cut: they stand in a program */
    const char **settings; /* SECTION.KEY=VALUE, as given */
    size_t setting_count;
    const char **tables; /* directories, those of TACKHOLD_TABLES first */
    size_t table_count;
    char *environment; /* holds the text of TACKHOLD_TABLES, cut up */
    const char *words[2];
    size_t word_count, words_needed, words_most;
    const char *cutter; /* NULL: not given */
    const char *needs;  /* what the needed words are, for a message */
} th_options;

bool th_options_init(th_options *options, int argc, th_error *err);
void th_options_free(th_options *options);

/* Short names; the long ones stand in the option tables. */
enum {
    TH_OPTION_SET = 's',
    TH_OPTION_TABLES = 't',
    TH_OPTION_JSON = 'j',
    TH_OPTION_ALL = 'a',
    TH_OPTION_NO_SHOP = 0x100,
    TH_OPTION_TAB,
    TH_OPTION_INCH,
    TH_OPTION_FORCE,
    TH_OPTION_CUTTER
};
/* Parser for argp: fills th_options given as input, and its words. */
error_t th_options_parse(int key, char *argument, struct argp_state *state);

/* Usual options that a verb takes, or'ed; --tables and --no-shop come with every verb. */
enum {
    TH_TAKES_SET = 1u << 0,
    TH_TAKES_JSON = 1u << 1,
    TH_TAKES_TAB = 1u << 2,
    TH_TAKES_INCH = 1u << 3
};
#define TH_JOB_NEEDED "a job file, or - for standard input"

/* A verb as th_cli_run takes it; how to add one stands at the head of verb.c. */
typedef struct {
    const char *args_doc, *doc;    /* of the help text */
    const struct argp_option *own; /* closed by {0}; NULL: none beside the usual ones */
    unsigned takes;                /* TH_TAKES_... */
    argp_parser_t parser;          /* hands on to th_options_parse; NULL: that one alone */
    size_t words_needed, words_most;
    const char *needs;                 /* what the needed words are, for a message */
    int (*run)(const void *collected); /* gives the exit code */
} th_cli_verb;

/* Collect the arguments into `collected`, a zeroed struct that is or begins with th_options; run
 * the verb on it; release. The exit code. --help and wrong usage leave by exit(). */
int th_cli_run(const th_cli_verb *verb, int argc, char **argv, void *input);

/* For the manual page and the shell's completion, neither of them in the help text: a verb that
 * gets the one word --mdoc or --words describes itself, and tackhold itself all of it. */
#define TH_OPTION_MDOC "--mdoc"
#define TH_OPTION_WORDS "--words"
void th_describe_mdoc(const th_cli_verb *verb, const struct argp_option *options, const char *name,
                      th_text *text);
/* The words that a verb takes on the first line, then one option a line with its argument. */
void th_describe_words(const th_cli_verb *verb, const struct argp_option *options, th_text *text);
/* The whole manual page, or the names of the verbs, on standard output; the exit code. */
int th_cli_manual(const th_cli_entry *verbs, size_t count);
int th_cli_words(const th_cli_entry *verbs, size_t count);

/* The table that a word names; an error that says which there are, or which `verb` may have meant.
 */
bool th_cli_table(const char *verb, const char *word, th_table *table, th_error *err);

/* The tables: shipped, the user's own unless --no-shop is given, then those of `tables`. */
bool th_options_tables(const th_options *options, th_tables **tables, th_error *err);

/* What takes over a second says how long it has taken, where standard error is a terminal. */
typedef struct {
    struct timespec start;
    double told; /* seconds that it said last; 0: nothing yet */
} th_patience;
void th_patience_begin(th_patience *patience);
void th_patience_end(const th_patience *patience);

/* The job at `path` with tables, shop defaults and drawings, and how to judge it
 * (progress included). Stays where it is; close it whether it opened or not. */
typedef struct {
    th_tables *tables;
    th_ini shop;
    th_job *job;
    th_outline outline, taped;
    th_patience patience;
    th_check_options how;
} th_cli_job;
bool th_cli_job_open(const char *path, const th_options *options, th_cli_job *opened,
                     th_error *err);
void th_cli_job_close(th_cli_job *opened);

/* Before work on plates: keeps freed memory, asks for large pages. Results do not depend on it. */
void th_cli_keep_heap(void);
/* Before argp, which does not look whether it gets memory: is there some? */
bool th_cli_has_room(th_error *err);
/* Before work on plates: are there the addresses that the libraries take without looking? */
bool th_cli_has_plate_room(th_error *err);

/* What the shop's own log says of jobs like this one; NULL where it says nothing, or --no-shop is
 * given. What is wrong with the log is told on standard error and stops nothing. */
const th_shop_record *th_cli_record(const th_job *job, const th_options *options,
                                    th_shop_record *record);

/* "tackhold: FILE:LINE: message" on standard error; returns the exit code for it. */
int th_cli_fail(const th_error *err);
/* Print a finished text on standard output and free it; `code`, or 3 if it cannot be written. */
int th_cli_output(th_text *text, int code);

/* Check the job at `path` and add the report to `text`; the exit code, with the error if it is 2
 * or 3. */
int th_check_report(const char *path, const th_options *options, th_text *text, th_error *err);

#endif
