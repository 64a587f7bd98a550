/* tackhold odds: chance of letting go. */
#define _POSIX_C_SOURCE 200809L

#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "tackhold/advice.h"
#include "tackhold/report.h"

enum { OPTION_SAMPLES = 0x300, OPTION_SEED };

#define SAMPLES_MOST 1e9

/* The common options come first: their parser is given the same address. */
typedef struct {
    th_options common;
    double samples;
    unsigned long long seed;
} odds_arguments;

static void take_samples(odds_arguments *arguments, const char *text, struct argp_state *state) {
    char *end;
    double n = strtod(text, &end);

    if (end == text || *end != '\0' || text[strspn(text, "0123456789.eE+")] != '\0' ||
        !(n >= 1 && n <= SAMPLES_MOST)) {
        argp_error(state, "--samples takes a number from 1 to 1e9, e.g. 1e6, not \"%.40s\"", text);
    }
    arguments->samples = n;
}

static void take_seed(odds_arguments *arguments, const char *text, struct argp_state *state) {
    char *end;

    errno = 0;
    arguments->seed = strtoull(text, &end, 10);
    if (strspn(text, "0123456789") != strlen(text) || end == text || errno != 0 ||
        arguments->seed == 0 || arguments->seed > 1ull << 53) {
        argp_error(state, "--seed takes a whole number from 1 to 2^53, not \"%.40s\"", text);
    }
}

static error_t parse(int key, char *argument, struct argp_state *state) {
    switch (key) {
    case OPTION_SAMPLES:
        take_samples(state->input, argument, state);
        return 0;
    case OPTION_SEED:
        take_seed(state->input, argument, state);
        return 0;
    default:
        return th_options_parse(key, argument, state);
    }
}

static bool report(const th_job *job, const th_odds *odds, bool json, th_text *text,
                   th_error *err) {
    th_doc doc = {0};
    bool done;

    if (json) {
        return th_report_odds_json(job, odds, text, err);
    }
    done = th_report_odds(job, odds, &doc, err) && th_doc_text(&doc, text, err);
    th_doc_free(&doc);
    return done;
}

static int run(const void *input) {
    const odds_arguments *arguments = input;
    const th_options *options = &arguments->common;
    th_cli_job opened;
    th_odds odds = {0};
    th_text text = {0};
    th_error err = {0};
    bool done = th_cli_job_open(options->words[0], options, &opened, &err);

    if (done) {
        const th_odds_options how = {
            .samples = arguments->samples, .seed = arguments->seed, .check = &opened.how};
        done = th_odds_run(opened.job, &how, &odds, &err) &&
               report(opened.job, &odds, options->json, &text, &err);
    }
    th_odds_free(&odds);
    th_cli_job_close(&opened);
    if (!done) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    return th_cli_output(&text, TH_EXIT_DONE);
}

int th_verb_odds(int argc, char **argv) {
    static const struct argp_option own[] = {
        {"samples", OPTION_SAMPLES, "N", 0, "Samples to draw at least (default 262144)", 0},
        {"seed", OPTION_SEED, "N", 0, "Other random numbers; the same seed repeats (default 1)", 0},
        {0},
    };
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_JSON | TH_TAKES_SET,
        .parser = parse,
        .words_needed = 1,
        .words_most = 1,
        .needs = TH_JOB_NEEDED,
        .run = run,
        .args_doc = "JOB",
        .doc =
            "Chance that the part lets go, from the scatter of tape strength, forces, coverage, "
            "runout and warmth, and which of them decides. It does not replace the hold factor: "
            "workmanship, oil, bubbles and chatter are not in it. JOB is a file, or - for standard "
            "input.\v"
            "Examples: tackhold odds examples/clock-dial.ini\n"
            "          tackhold odds examples/clock-dial.ini --set cut.2.axial=0.3mm --samples "
            "1e6\n\n"
            "Exit codes: 0 done, whatever the odds; 2 bad input, 3 failure.",
    };
    odds_arguments arguments = {0};
    return th_cli_run(&verb, argc, argv, &arguments);
}
