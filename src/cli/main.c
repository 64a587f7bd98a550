/* tackhold: the command line. Finds the verb and hands over. */
#define _POSIX_C_SOURCE 200809L

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli.h"

const char *argp_program_version = "tackhold " TH_VERSION;

static const struct {
    const char *name, *arguments, *summary;
    int (*run)(int argc, char **argv);
} verbs[] = {
    {"check", "JOB", "tell whether the part stays put under the cuts of a job", th_verb_check},
    {"tape", "JOB", "every tape and glue for a job, the best first", th_verb_tape},
    {"limits", "JOB", "how far its cuts may be opened, the fastest pair", th_verb_limits},
    {"odds", "JOB", "chance of letting go, from all that scatters", th_verb_odds},
    {"pull", "FILE.csv", "make a row of the tape table of your own pull tests", th_verb_pull},
    {"new", "[FILE]", "ask a few questions, write a job and check it", th_verb_new},
    {"list", "KIND", "the rows of a table: stock, tape, glue, cutter, ...", th_verb_list},
    {"show", "KIND [ID]", "one row of a table, or the keys that a table or a job takes",
     th_verb_show},
};
enum { VERBS = sizeof verbs / sizeof *verbs };

/* The verbs, as the end of the help text. argp frees what this returns. */
static char *help_text(int key, const char *text, void *input) {
    (void)input;
    if (key != ARGP_KEY_HELP_POST_DOC) {
        return (char *)(size_t)text;
    }
    th_text list = {0};
    th_text_put(&list, "Verbs:\n");
    for (size_t i = 0; i < VERBS; i++) {
        th_text_add(&list, "  %s %-*s %s\n", verbs[i].name, (int)(15 - strlen(verbs[i].name)),
                    verbs[i].arguments, verbs[i].summary);
    }
    th_text_put(&list, "\n`tackhold VERB --help' tells more. A first try: tackhold new\n\n"
                       "Exit codes: 0 holds or done, 1 does not hold, 2 bad input, 3 failure.");
    return list.failed ? NULL : list.data;
}

typedef struct {
    int position; /* of the verb among the arguments; 0 while there is none */
} verb_place;

static error_t parse(int key, char *argument, struct argp_state *state) {
    verb_place *place = state->input;
    switch (key) {
    case ARGP_KEY_ARG:
        (void)argument;
        place->position = state->next - 1;
        state->next = state->argc; /* the rest belongs to the verb */
        return 0;
    case ARGP_KEY_NO_ARGS:
        argp_error(state, "a verb is missing");
        return 0;
    default:
        return ARGP_ERR_UNKNOWN;
    }
}

/* --help and --version leave through exit(); what they could not write must not pass as done. */
static void check_output(void) {
    if (fflush(stdout) != 0 || ferror(stdout)) {
        _exit(TH_EXIT_FAILED);
    }
}

static int run_verb(int argc, char **argv, int position) {
    for (size_t i = 0; i < VERBS; i++) {
        if (strcmp(argv[position], verbs[i].name) == 0) {
            char name[32];
            snprintf(name, sizeof name, "tackhold %s", verbs[i].name);
            argv[position] = name;
            return verbs[i].run(argc - position, argv + position);
        }
    }
    const char *names[VERBS];
    for (size_t i = 0; i < VERBS; i++) {
        names[i] = verbs[i].name;
    }
    const char *nearest = th_nearest(argv[position], names, VERBS);
    th_error err;
    th_fail(&err, TH_BAD_USAGE, "there is no verb \"%.60s\"; %s%s%s", argv[position],
            nearest == NULL ? "`tackhold --help' lists them" : "did you mean ",
            nearest == NULL ? "" : nearest, nearest == NULL ? "" : "?");
    return th_cli_fail(&err);
}

int main(int argc, char **argv) {
    signal(SIGPIPE, SIG_IGN); /* a closed pipe is a write error, answered with exit code 3 */
    argp_err_exit_status = TH_EXIT_BAD_INPUT;
    atexit(check_output);
    const struct argp argp = {
        .parser = parse,
        .args_doc = "VERB [ARGUMENT...]",
        .doc =
            "Tells whether a thin plate that is held with tape and glue stays put under a cut.\v",
        .help_filter = help_text,
    };
    char program[] = "tackhold";
    if (argc > 0) {
        argv[0] = program;
    }
    verb_place place = {0};
    if (argp_parse(&argp, argc, argv, ARGP_IN_ORDER, NULL, &place) != 0) {
        th_error err;
        th_fail_memory(&err);
        return th_cli_fail(&err);
    }
    return place.position == 0 ? TH_EXIT_BAD_INPUT : run_verb(argc, argv, place.position);
}
