/* tackhold tape: every tape and glue for a job. */
#include <string.h>

#include "cli.h"
#include "tackhold/report.h"

enum { OPTION_ONLY = 0x200 };

/* The common options come first: their parser is given the same address. */
typedef struct {
    th_options common;
    th_tapes_shown shown;
} tape_arguments;

static error_t parse(int key, char *argument, struct argp_state *state) {
    tape_arguments *arguments = state->input;
    if (key != OPTION_ONLY) {
        return th_options_parse(key, argument, state);
    }
    if (strcmp(argument, "dry") != 0 && strcmp(argument, "coolant") != 0) {
        argp_error(state, "--only takes dry or coolant, not \"%.40s\"", argument);
    }
    arguments->shown = strcmp(argument, "dry") == 0 ? TH_DRY_TAPES : TH_COOLANT_TAPES;
    return 0;
}

static bool report(const th_job *job, const th_hold_choices *choices, const th_options *options,
                   th_text *text, th_error *err) {
    if (options->json) {
        return th_report_choices_json(job, choices, text, err);
    }
    th_doc doc = {0};
    bool done = th_report_choices(job, choices, options->all, &doc, err) &&
                (options->tab ? th_doc_tab(&doc, text, err) : th_doc_text(&doc, text, err));
    th_doc_free(&doc);
    return done;
}

static int rank_tapes(const void *input) {
    const tape_arguments *arguments = input;
    th_cli_job opened;
    th_hold_choices choices = {0};
    th_text text = {0};
    th_error err = {0};
    bool done = th_cli_job_open(arguments->common.words[0], &arguments->common, &opened, &err) &&
                th_hold_choices_find(opened.job, &opened.how, arguments->shown, &choices, &err) &&
                report(opened.job, &choices, &arguments->common, &text, &err);
    th_hold_choices_free(&choices);
    th_cli_job_close(&opened);
    if (!done) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    return th_cli_output(&text, TH_EXIT_DONE);
}

int th_verb_tape(int argc, char **argv) {
    static const struct argp_option own[] = {
        {"all", TH_OPTION_ALL, NULL, 0,
         "Print every pair of tape and glue, not the best glue alone", 0},
        {"only", OPTION_ONLY, "dry|coolant", 0,
         "Only tapes that water ruins, or only those that stand it", 0},
        {0},
    };
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_JSON | TH_TAKES_TAB | TH_TAKES_SET,
        .parser = parse,
        .words_needed = 1,
        .words_most = 1,
        .needs = TH_JOB_NEEDED,
        .run = rank_tapes,
        .args_doc = "JOB",
        .doc =
            "Hold the cuts of a job against every tape and glue of the tables, in the job's own "
            "cooling and wait, the best first; those that cannot be used say why. JOB is a file, "
            "or - for standard input.\v"
            "Examples: tackhold tape examples/gearbox-spacer.ini\n"
            "          tackhold tape examples/clock-dial.ini --only dry --all\n\n"
            "Exit codes: 0 done, 2 bad input, 3 failure.",
    };
    tape_arguments arguments = {0};
    return th_cli_run(&verb, argc, argv, &arguments);
}
