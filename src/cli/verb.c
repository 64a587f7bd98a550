/* What every verb does the same way: collect options and words, run, release.
 *
 * To add a verb:
 *   1. src/cli/NAME.c: a function th_verb_NAME(argc, argv) that fills a th_cli_verb and returns
 *      th_cli_run(). Its `run` gets what was collected and returns the exit code; it ends in
 *      th_cli_output() or th_cli_fail().
 *   2. Options of its own: a table of struct argp_option that ends with {0}; a struct that begins
 *      with th_options for their values; a parser that takes them, calls argp_error() for a bad
 *      value (which prints and exits with 2), and hands every other key to th_options_parse().
 *      Without any, `own` and `parser` stay NULL and the struct is th_options itself.
 *   3. Options that other verbs have too come by `takes`; --tables and --no-shop always do. Where
 *      the usual text of one does not fit, leave its flag out and put it into `own` with its
 *      TH_OPTION_ key.
 *   4. Declare it in cli.h, add it to `verbs` in main.c, and name it in tests/cli/run.sh, where the
 *      help of each verb is tried. Manual page and completion follow by themselves; in args_doc
 *      and for the arguments of options JOB, FILE, DIR, KIND, ID and words with `|' between tell
 *      the completion what to offer. */
#include <stdlib.h>
#include <string.h>

#include "cli.h"

static const struct {
    unsigned flag; /* 0: every verb takes it */
    struct argp_option option;
} usual[] = {
    {TH_TAKES_INCH, {"inch", TH_OPTION_INCH, NULL, 0, "Print inch units", 0}},
    {TH_TAKES_JSON, {"json", TH_OPTION_JSON, NULL, 0, "Print JSON, always metric", 0}},
    {TH_TAKES_TAB, {"tab", TH_OPTION_TAB, NULL, 0, "Print tab-separated columns", 0}},
    {TH_TAKES_SET,
     {"set", TH_OPTION_SET, "SECTION.KEY=VALUE", 0, "Set one value over the job's; repeatable", 0}},
    {0,
     {"tables", TH_OPTION_TABLES, "DIR", 0,
      "Add tables from a directory, after those of TACKHOLD_TABLES; repeatable", 0}},
    {0,
     {"no-shop", TH_OPTION_NO_SHOP, NULL, 0,
      "Leave out what is your own: shop.ini, tables and what the log says", 0}},
};
enum { USUAL = sizeof usual / sizeof *usual };

/* The verb's own options and the usual ones it takes, closed by zeros; NULL: no memory. */
static struct argp_option *join_options(const th_cli_verb *verb) {
    static const struct argp_option none = {0};
    const struct argp_option *own = verb->own == NULL ? &none : verb->own;
    size_t count = 0;

    while (own[count].name != NULL || own[count].key != 0) {
        count++;
    }
    struct argp_option *all = calloc(count + USUAL + 1, sizeof *all);
    for (size_t i = 0; all != NULL && i < count; i++) {
        all[i] = own[i];
    }
    for (size_t i = 0; all != NULL && i < USUAL; i++) {
        if (usual[i].flag == 0 || (usual[i].flag & verb->takes) != 0) {
            all[count++] = usual[i].option;
        }
    }
    return all;
}

/* What is wrong in the arguments, and --help, leaves from within argp_parse by exit(): then what
 * was collected goes with the process. All else comes back here. */
static bool collect(const th_cli_verb *verb, int argc, char **argv, void *input, th_error *err) {
    struct argp_option *all = join_options(verb);
    const struct argp argp = {.options = all,
                              .parser = verb->parser == NULL ? th_options_parse : verb->parser,
                              .args_doc = verb->args_doc,
                              .doc = verb->doc};
    bool done = all != NULL && argp_parse(&argp, argc, argv, 0, NULL, input) == 0;

    free(all);
    return done || th_fail_memory(err); /* nothing else makes a parser of ours return */
}

/* What the manual page or the shell's completion asks for; -1: neither does. */
static int describe(const th_cli_verb *verb, int argc, char **argv) {
    bool mdoc = argc == 2 && strcmp(argv[1], TH_OPTION_MDOC) == 0;
    if (!mdoc && !(argc == 2 && strcmp(argv[1], TH_OPTION_WORDS) == 0)) {
        return -1;
    }
    th_text text = {0};
    th_error err;
    struct argp_option *all = join_options(verb);
    if (all != NULL && mdoc) {
        th_describe_mdoc(verb, all, argv[0], &text);
    } else if (all != NULL) {
        th_describe_words(verb, all, &text);
    }
    bool done = all != NULL && !text.failed;
    free(all);
    if (done) {
        return th_cli_output(&text, TH_EXIT_DONE);
    }
    th_text_free(&text);
    th_fail_memory(&err);
    return th_cli_fail(&err);
}

int th_cli_run(const th_cli_verb *verb, int argc, char **argv, void *input) {
    th_options *options = input;
    th_error err = {0};
    int described = describe(verb, argc, argv);

    if (described >= 0) {
        return described;
    }
    options->words_needed = verb->words_needed;
    options->words_most = verb->words_most;
    options->needs = verb->needs;
    int code = th_cli_has_room(&err) && th_options_init(options, argc, &err) &&
                       collect(verb, argc, argv, input, &err)
                   ? verb->run(input)
                   : th_cli_fail(&err);
    th_options_free(options);
    return code;
}
