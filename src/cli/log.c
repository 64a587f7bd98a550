/* tackhold log add, log show: what held and what did not. */
#define _POSIX_C_SOURCE 200809L

#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "cli.h"
#include "tackhold/report.h"

#ifndef PATH_MAX
#define PATH_MAX 4096
#endif

enum { OPTION_NOTE = 0x200, OPTION_TAPE, OPTION_OUTCOME, OPTION_LAST };

#define OUTCOMES "held, moved or let-go"

static int outcome_of(const char *word, struct argp_state *state) {
    int outcome = th_log_outcome_of(word);
    if (outcome < 0) {
        argp_error(state, "\"%.40s\" is no outcome; it is one of " OUTCOMES, word);
    }
    return outcome;
}

/* ---- what a log says of a job ---------------------------------------------------------------- */

/* The first message, and how many more there are. */
static void tell_faults(const th_log *log) {
    if (log->faults.count > 0) {
        fprintf(stderr, "tackhold: %s", log->faults.items[0]);
        if (log->skipped > 1) {
            fprintf(stderr, " (and %zu more: tackhold log show)", log->skipped - 1);
        }
        fputc('\n', stderr);
    }
}

const th_shop_record *th_cli_record(const th_job *job, const th_options *options,
                                    th_shop_record *record) {
    char path[PATH_MAX];
    th_log log = {0};
    th_error err = {0};
    bool any = false;

    if (options->no_shop || !th_log_path(path, sizeof path, NULL)) {
        return NULL;
    }
    if (th_log_read(path, &log, &err)) {
        tell_faults(&log);
        any = th_shop_record_of(log.items, log.count, job, record);
    } else {
        th_cli_fail(&err);
    }
    th_log_free(&log);
    return any ? record : NULL;
}

/* ---- add ------------------------------------------------------------------------------------- */

/* The common options come first: their parser is given the same address. */
typedef struct {
    th_options common;
    const char *note;
    int outcome;
} add_arguments;

static error_t parse_add(int key, char *argument, struct argp_state *state) {
    add_arguments *arguments = state->input;
    if (key == OPTION_NOTE) {
        if (strlen(argument) > TH_LOG_NOTE_MAX) {
            argp_error(state, "--note of %zu bytes is too long; at most %d", strlen(argument),
                       (int)TH_LOG_NOTE_MAX);
        }
        arguments->note = argument;
        return 0;
    }
    if (key == ARGP_KEY_END && arguments->common.word_count == 2) {
        arguments->outcome = outcome_of(arguments->common.words[1], state);
    }
    return th_options_parse(key, argument, state);
}

/* UTC, to the second. */
static bool print_now(char *text, size_t size, th_error *err) {
    time_t now = time(NULL);
    struct tm utc;
    return (gmtime_r(&now, &utc) != NULL &&
            strftime(text, size, "%Y-%m-%dT%H:%M:%SZ", &utc) == strlen("2026-01-31T14:05:09Z")) ||
           th_fail(err, TH_NOT_WRITTEN, "the clock tells no date that can be noted");
}

static bool note_job(const th_cli_job *opened, const add_arguments *arguments, th_text *text,
                     th_error *err) {
    char path[PATH_MAX], when[32];
    th_arena arena = {0};
    th_check check = {0};
    th_log_record record;
    th_doc doc = {0};
    bool done = th_log_path(path, sizeof path, err) &&
                th_check_run(opened->job, &opened->how, &check, err) &&
                print_now(when, sizeof when, err) &&
                th_log_record_of(opened->job, &check, (th_log_outcome)arguments->outcome, &arena,
                                 &record, err);
    if (done) {
        record.when = when;
        record.note = arguments->note == NULL ? "" : arguments->note;
        done = th_report_noted(&record, path, &doc, err) && th_doc_text(&doc, text, err) &&
               th_log_append(path, &record, err);
    }
    th_doc_free(&doc);
    th_check_free(&check);
    th_arena_free(&arena);
    return done;
}

static int add(const void *input) {
    const add_arguments *arguments = input;
    th_cli_job opened;
    th_text text = {0};
    th_error err = {0};
    bool done = th_cli_job_open(arguments->common.words[0], &arguments->common, &opened, &err) &&
                note_job(&opened, arguments, &text, &err);

    th_cli_job_close(&opened);
    if (!done) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    int code = th_cli_output(&text, TH_EXIT_DONE);
    if (code != TH_EXIT_DONE) {
        fputs("tackhold: the record is in the log all the same\n", stderr);
    }
    return code;
}

int th_verb_log_add(int argc, char **argv) {
    static const struct argp_option own[] = {
        {"note", OPTION_NOTE, "TEXT", 0, "What you saw, up to 1000 bytes", 0},
        {0},
    };
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_SET,
        .parser = parse_add,
        .words_needed = 2,
        .words_most = 2,
        .needs = "a job file, or - for standard input, and the outcome: " OUTCOMES,
        .run = add,
        .args_doc = "JOB held|moved|let-go",
        .doc =
            "Note in the shop's own log how a job that was run turned out: the part held, moved "
            "but stayed on, or let go. JOB is a file, or - for standard input.\v"
            "Example: tackhold log add part.ini let-go --note \"third pass, corner lifted\"\n\n"
            "The job is judged once more, as `check' does with the same options, and noted with "
            "it are verdict and hold factor, what governs, tape, glue, stock, cooling and the "
            "time (UTC). Give the --set that you ran with.\n\n"
            "The log is tackhold/log in XDG_DATA_HOME or ~/.local/share: one line a record, cells "
            "parted by tabs. It is locked while it is written, and a line that was cut short is "
            "kept and marked #torn. `check' counts in it how jobs like the one at hand held; that "
            "never changes a verdict.\n\n"
            "Exit codes: 0 noted, whatever the verdict; 2 bad input, 3 failure.",
    };
    add_arguments arguments = {0};
    return th_cli_run(&verb, argc, argv, &arguments);
}

/* ---- show ------------------------------------------------------------------------------------ */

typedef struct {
    th_options common;
    th_log_filter filter;
    bool outcome_given;
} show_arguments;

static size_t count_of(const char *text, struct argp_state *state) {
    if (strspn(text, "0123456789") != strlen(text) || strlen(text) > 9 || strlen(text) == 0 ||
        strtoul(text, NULL, 10) == 0) {
        argp_error(state, "--last takes a whole number from 1, e.g. 10, not \"%.40s\"", text);
    }
    return strtoul(text, NULL, 10);
}

static error_t parse_show(int key, char *argument, struct argp_state *state) {
    show_arguments *arguments = state->input;
    switch (key) {
    case OPTION_TAPE:
        arguments->filter.tape = argument;
        return 0;
    case OPTION_OUTCOME:
        arguments->filter.outcome = outcome_of(argument, state);
        arguments->outcome_given = true;
        return 0;
    case OPTION_LAST:
        arguments->filter.last = count_of(argument, state);
        return 0;
    default:
        return th_options_parse(key, argument, state);
    }
}

static bool report(const th_log_shown *shown, const th_options *options, th_text *text,
                   th_error *err) {
    if (options->json) {
        return th_report_log_json(shown, text, err);
    }
    th_doc doc = {0};
    bool done = th_report_log(shown, options->tab, &doc, err) &&
                (options->tab ? th_doc_tab(&doc, text, err) : th_doc_text(&doc, text, err));
    th_doc_free(&doc);
    return done;
}

static bool report_chosen(const th_log *log, const char *path, const show_arguments *arguments,
                          th_text *text, th_error *err) {
    th_log_filter filter = arguments->filter;
    const th_log_record **chosen = calloc(log->count + 1, sizeof *chosen);
    if (chosen == NULL) {
        return th_fail_memory(err);
    }
    filter.outcome = arguments->outcome_given ? filter.outcome : -1;
    th_log_shown shown = {.path = path,
                          .records = chosen,
                          .count = th_log_select(log->items, log->count, &filter, chosen),
                          .all = log->count,
                          .skipped = log->skipped,
                          .torn = log->torn};
    bool done = report(&shown, &arguments->common, text, err);
    free(chosen);
    return done;
}

/* What was left out, by file and line, as far as messages were kept; the report has the counts. */
static void tell_left_out(const th_log *log, const char *path) {
    for (size_t i = 0; i < log->faults.count; i++) {
        fprintf(stderr, "tackhold: %s\n", log->faults.items[i]);
    }
    for (size_t i = 0; i < log->torn && i < TH_LOG_FAULTS_MAX; i++) {
        fprintf(stderr, "tackhold: %s:%zu: cut short while it was written; left out\n", path,
                log->torn_lines[i]);
    }
}

static int show(const void *input) {
    const show_arguments *arguments = input;
    char path[PATH_MAX];
    th_log log = {0};
    th_text text = {0};
    th_error err = {0};
    bool done = th_log_path(path, sizeof path, &err) && th_log_read(path, &log, &err) &&
                report_chosen(&log, path, arguments, &text, &err);
    int code;

    if (done) {
        tell_left_out(&log, path);
        code = th_cli_output(&text, TH_EXIT_DONE);
    } else {
        th_text_free(&text);
        code = th_cli_fail(&err);
    }
    th_log_free(&log);
    return code;
}

int th_verb_log_show(int argc, char **argv) {
    static const struct argp_option own[] = {
        {"tape", OPTION_TAPE, "ID", 0, "Only records with this tape, on the part or below", 0},
        {"outcome", OPTION_OUTCOME, "held|moved|let-go", 0, "Only records with this outcome", 0},
        {"last", OPTION_LAST, "N", 0, "Only the last N of them", 0},
        {"tab", TH_OPTION_TAB, NULL, 0, "Print tab-separated columns, more of them", 0},
        {0},
    };
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_JSON,
        .parser = parse_show,
        .run = show,
        .args_doc = "",
        .doc =
            "Show the shop's own log: the jobs that were noted, and how they turned out.\v"
            "Examples: tackhold log show --tape crepe-masking --last 10\n"
            "          tackhold log show --outcome let-go --json\n\n"
            "Times are UTC. Hold factors are those of the day, by the tables of the day. A line "
            "of the log that cannot be understood is told on standard error, left out and kept in "
            "the file.\n\n"
            "Exit codes: 0 done, 2 bad input, 3 failure.",
    };
    show_arguments arguments = {0};
    return th_cli_run(&verb, argc, argv, &arguments);
}
