/* tackhold: the command line. Finds the verb and hands over. */
#define _DEFAULT_SOURCE /* on_exit */

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli.h"

const char *argp_program_version = "tackhold " TH_VERSION;

static const th_cli_entry verbs[] = {
    {"check", "JOB", "tell whether the part stays put under the cuts of a job", th_verb_check},
    {"tape", "JOB", "every tape and glue for a job, the best first", th_verb_tape},
    {"limits", "JOB", "how far its cuts may be opened, the fastest pair", th_verb_limits},
    {"odds", "JOB", "chance of letting go, from all that scatters", th_verb_odds},
    {"program", "JOB FILE", "tell which line of a program tears the part off", th_verb_program},
    {"card", "JOB", "the card for the shop wall: one page to print", th_verb_card},
    {"picture", "JOB", "one picture of a job: part, stack, limits or heat", th_verb_picture},
    {"pull", "FILE.csv", "make a row of the tape table of your own pull tests", th_verb_pull},
    {"log add", "JOB HOW", "note how a job turned out: held, moved or let-go", th_verb_log_add},
    {"log show", "", "the jobs that were noted, and how they turned out", th_verb_log_show},
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
        return (char *)text;
    }
    th_text list = {0};
    th_text_put(&list, "Verbs:\n");
    for (size_t i = 0; i < VERBS; i++) {
        th_text_add(&list, "  %s %-*s %s\n", verbs[i].name, (int)(15 - strlen(verbs[i].name)),
                    verbs[i].arguments, verbs[i].summary);
    }
    th_text_put(&list, "\n`tackhold VERB --help' tells more. A first try: tackhold new\n"
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

static bool finished; /* main came to its end */

/* --help and --version leave through exit(); what they could not write must not pass as done. A
 * library that runs out of memory (libgomp) leaves so with 1, which would mean "does not hold". */
static void check_exit(int status, void *context) {
    static const char message[] = "tackhold: out of memory\n";
    (void)context;
    if (status == EXIT_FAILURE && !finished) {
        (void)!write(STDERR_FILENO, message, sizeof message - 1);
        _exit(TH_EXIT_FAILED);
    }
    if (fflush(stdout) != 0 || ferror(stdout)) {
        _exit(TH_EXIT_FAILED);
    }
}

/* How many of the arguments name the verb: 1, 2 for one of two words, 0 where they do not. */
static int words_that_name(const char *verb, int argc, char **argv) {
    size_t first = strcspn(verb, " ");
    bool starts = strlen(argv[0]) == first && strncmp(argv[0], verb, first) == 0;
    if (verb[first] == '\0') {
        return starts ? 1 : 0;
    }
    return starts && argc > 1 && strcmp(argv[1], verb + first + 1) == 0 ? 2 : 0;
}

static bool asks_help(const char *word) {
    return word != NULL && (strcmp(word, "--help") == 0 || strcmp(word, "-?") == 0);
}

/* The verbs of two words that begin with this one, as a list or as its help. */
static size_t put_verbs_of(const char *word, bool help, th_text *list) {
    size_t length = strlen(word), count = 0;
    for (size_t i = 0; i < VERBS; i++) {
        if (strncmp(verbs[i].name, word, length) != 0 || verbs[i].name[length] != ' ') {
            continue;
        }
        const char *before = help ? (count == 0 ? "Usage: " : "  or:  ") : count == 0 ? "" : ", ";
        th_text_add(list, "%stackhold %s%s%s", before, verbs[i].name,
                    verbs[i].arguments[0] == '\0' ? "" : " ", verbs[i].arguments);
        if (help) {
            th_text_add(list, "\n       %s; `tackhold %s --help' tells more\n", verbs[i].summary,
                        verbs[i].name);
        }
        count++;
    }
    return count;
}

/* The first word of a verb of two, alone or with something else behind it. */
static int explain_first_word(const char *word, const char *next) {
    th_text list = {0};
    bool help = asks_help(next);
    size_t count = put_verbs_of(word, help, &list);
    if (count == 0 && !list.failed) {
        th_text_free(&list);
        return -1;
    }
    if (!list.failed && help) {
        return th_cli_output(&list, TH_EXIT_DONE);
    }
    th_error err;
    if (list.failed) {
        th_fail_memory(&err);
    } else {
        th_fail(&err, TH_BAD_USAGE, "%s takes one more word: %s", word, list.data);
    }
    th_text_free(&list);
    return th_cli_fail(&err);
}

static int no_such_verb(const char *word) {
    const char *names[VERBS];
    for (size_t i = 0; i < VERBS; i++) {
        names[i] = verbs[i].name;
    }
    const char *nearest = th_nearest(word, names, VERBS);
    th_error err;
    th_fail(&err, TH_BAD_USAGE, "there is no verb \"%.60s\"; %s%s%s", word,
            nearest == NULL ? "`tackhold --help' lists them" : "did you mean ",
            nearest == NULL ? "" : nearest, nearest == NULL ? "" : "?");
    return th_cli_fail(&err);
}

static int run_verb(int argc, char **argv) {
    for (size_t i = 0; i < VERBS; i++) {
        int words = words_that_name(verbs[i].name, argc, argv);
        if (words > 0) {
            char name[32];
            snprintf(name, sizeof name, "tackhold %s", verbs[i].name);
            argv[words - 1] = name;
            return verbs[i].run(argc - words + 1, argv + words - 1);
        }
    }
    int code = explain_first_word(argv[0], argc > 1 ? argv[1] : NULL);
    return code >= 0 ? code : no_such_verb(argv[0]);
}

static int run(int argc, char **argv) {
    const struct argp argp = {
        .parser = parse,
        .args_doc = "VERB [ARGUMENT...]",
        .doc = "Tells whether a thin plate held with tape and glue stays put under a cut.\v",
        .help_filter = help_text,
    };
    if (argc == 2 && strcmp(argv[1], TH_OPTION_MDOC) == 0) {
        return th_cli_manual(verbs, VERBS);
    }
    if (argc == 2 && strcmp(argv[1], TH_OPTION_WORDS) == 0) {
        return th_cli_words(verbs, VERBS);
    }
    verb_place place = {0};
    th_error err;
    if (!th_cli_has_room(&err)) {
        return th_cli_fail(&err);
    }
    if (argp_parse(&argp, argc, argv, ARGP_IN_ORDER, NULL, &place) != 0) {
        th_fail_memory(&err);
        return th_cli_fail(&err);
    }
    return place.position == 0 ? TH_EXIT_BAD_INPUT
                               : run_verb(argc - place.position, argv + place.position);
}

int main(int argc, char **argv) {
    char program[] = "tackhold";
    signal(SIGPIPE, SIG_IGN); /* a closed pipe is a write error, answered with exit code 3 */
    signal(SIGXFSZ, SIG_IGN); /* and so is a file that must not grow */
    argp_err_exit_status = TH_EXIT_BAD_INPUT;
    on_exit(check_exit, NULL);
    if (argc > 0) {
        argv[0] = program;
    }
    int code = run(argc, argv);
    finished = true;
    return code;
}
