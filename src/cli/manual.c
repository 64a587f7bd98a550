/* The manual page, and the words for the shell's completion: from the table of verbs, what each
 * verb says of itself, and the table of keys. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "tackhold/report.h"

/* When the texts of the page last changed. */
#define DATE "November 26, 2026"

static bool is_option(const struct argp_option *option) {
    return option->name != NULL || option->key != 0;
}

static bool has_letter(const struct argp_option *option) {
    return option->key > ' ' && option->key < 0x7F;
}

/* ---- a verb ---------------------------------------------------------------------------------- */

/* " Ar JOB", or " Op Ar ID" for a word in brackets. */
static void put_arguments(const char *arguments, th_text *text) {
    while (*arguments != '\0') {
        size_t n = strcspn(arguments, " ");
        bool bracket = n > 2 && arguments[0] == '[' && arguments[n - 1] == ']';
        char word[64];
        snprintf(word, sizeof word, "%.*s", (int)(bracket ? n - 2 : n), arguments + bracket);
        th_text_put(text, bracket ? ".Op Ar " : ".Ar ");
        th_manual_word(word, text);
        th_text_put(text, "\n");
        arguments += n + strspn(arguments + n, " ");
    }
}

static void put_option(const struct argp_option *option, th_text *text) {
    th_text_put(text, ".It");
    if (has_letter(option)) {
        th_text_add(text, " Fl %c", option->key);
        if (option->arg != NULL) {
            th_text_put(text, " Ar ");
            th_manual_word(option->arg, text);
        }
        th_text_put(text, option->name == NULL ? "" : " ,");
    }
    if (option->name != NULL) {
        th_text_add(text, " Fl -%s", option->name);
        if (option->arg != NULL) {
            th_text_put(text, " Ns = Ns Ar ");
            th_manual_word(option->arg, text);
        }
    }
    th_text_put(text, "\n");
    th_manual_text(option->doc == NULL ? "" : option->doc, text);
}

void th_describe_mdoc(const th_cli_verb *verb, const struct argp_option *options, const char *name,
                      th_text *text) {
    const char *more = strchr(verb->doc, '\v');
    size_t first = more == NULL ? strlen(verb->doc) : (size_t)(more - verb->doc);
    char *doc = calloc(first + 1, 1);
    if (doc == NULL) {
        text->failed = true;
        return;
    }
    memcpy(doc, verb->doc, first);
    th_text_put(text, ".Ss ");
    th_manual_word(name, text);
    th_text_add(text, "\n.Nm\n.Cm %s\n.Op Ar option ...\n", name + strcspn(name, " ") + 1);
    put_arguments(verb->args_doc, text);
    th_text_put(text, ".Pp\n");
    th_manual_text(doc, text);
    th_text_put(text, ".Bl -tag -width Ds\n");
    for (size_t i = 0; is_option(&options[i]); i++) {
        put_option(&options[i], text);
    }
    th_text_put(text, ".El\n");
    if (more != NULL && more[1] != '\0') {
        th_text_put(text, ".Pp\n");
        th_manual_text(more + 1, text);
    }
    free(doc);
}

void th_describe_words(const th_cli_verb *verb, const struct argp_option *options, th_text *text) {
    th_text_add(text, "%s\n", verb->args_doc);
    for (size_t i = 0; is_option(&options[i]); i++) {
        const struct argp_option *option = &options[i];
        const char *gap = option->arg == NULL ? "" : " ", *arg = option->arg ? option->arg : "";
        if (option->name != NULL) {
            th_text_add(text, "--%s%s%s\n", option->name, gap, arg);
        }
        if (has_letter(option)) {
            th_text_add(text, "-%c%s%s\n", option->key, gap, arg);
        }
    }
    th_text_put(text, "--help\n");
}

/* ---- the whole ------------------------------------------------------------------------------- */

static void put_head(const th_cli_entry *verbs, size_t count, th_text *text) {
    th_text_put(text, ".\\\" Made by tackhold --mdoc from its tables of verbs and keys.\n"
                      ".Dd " DATE "\n.Dt TACKHOLD 1\n.Os\n.Sh NAME\n.Nm tackhold\n"
                      ".Nd does a thin plate on tape and glue stay put under a cut\n"
                      ".Sh SYNOPSIS\n");
    for (size_t i = 0; i < count; i++) {
        th_text_add(text, ".Nm\n.Cm %s\n.Op Ar option ...\n", verbs[i].name);
        put_arguments(verbs[i].arguments, text);
    }
    th_text_put(text, ".Nm\n.Op Fl -help | Fl -version\n.Sh DESCRIPTION\n");
    th_manual_text(
        "tackhold tells whether a thin plate that is held with tape and superglue stays put under "
        "a cut, by how much, what gives first, and what to turn down when it will not hold. A job "
        "is a text file that names the part, how it is held, the machine, the cutters and the "
        "cuts.\n\n"
        "HOLDS means a hold factor at or above the asked one (2.0 unless the job says otherwise), "
        "UNPROVEN one between 1 and that, LETS GO one below 1: it lets go on weak but real tape. "
        "Most figures of the tables are estimates until you have pulled your own tape off.\n\n"
        "A part that lets go is thrown. Wear eye protection, close the guard, stand clear of the "
        "plane of the cutter; heed the machine's manual, the safety data sheets of glue, solvent "
        "and coolant, and local rules. Superglue and solvent fumes want air, laminate dust wants "
        "extraction, magnesium and titanium chips burn.",
        text);
    th_text_put(text, ".Sh VERBS\n");
    th_manual_text("Options may follow the words.", text);
}

static void put_job(th_text *text) {
    th_text_put(text, ".Sh JOB FILES\n");
    th_manual_text(
        "Sections in square brackets, a key and its value a line, comments on lines of their own "
        "after #. Lengths and feeds without a unit are in the units of the job, speeds in rpm, "
        "angles in degrees; all else names its unit. Lists are separated by blanks, pairs by a "
        "comma. 0,0 is the part's lower left corner seen from above, z is up from the bonded "
        "face. A section [machine] or [cutter.NAME] may override any key of its row.",
        text);
    th_manual_job_keys(text);
    th_text_put(text, ".Sh TABLES\n");
    th_manual_text(
        "One section a row, its name the id of the row. Every quantity names its unit. Rows are "
        "read in this order, later ones in the place of earlier ones with the same id: shipped, "
        "your own, those of TACKHOLD_TABLES, those of --tables.",
        text);
    th_manual_table_keys(text);
}

static void put_item(const char *macro, const char *word, const char *prose, th_text *text) {
    th_text_add(text, ".It %s ", macro);
    th_manual_word(word, text);
    th_text_put(text, "\n");
    th_manual_text(prose, text);
}

static void put_surroundings(th_text *text) {
    th_text_put(text, ".Sh ENVIRONMENT\n.Bl -tag -width Ds\n");
    put_item("Ev", "TACKHOLD_TABLES", "Directories with further tables, colons between them.",
             text);
    put_item("Ev", "TACKHOLD_MATERIALS",
             "The directory of the shipped tables, where it is not found.", text);
    put_item("Ev", "XDG_CONFIG_HOME", "Where your own configuration lies; ~/.config without it.",
             text);
    put_item("Ev", "XDG_DATA_HOME", "Where the log lies; ~/.local/share without it.", text);
    th_text_put(text, ".El\n.Sh FILES\n.Bl -tag -width Ds\n");
    put_item("Pa", "~/.config/tackhold/shop.ini",
             "What never changes in your shop: defaults for the sections hold, machine, "
             "cutter.NAME and job.",
             text);
    put_item("Pa", "~/.config/tackhold/tables",
             "Rows of your own, in files named as the shipped ones (tape.ini and so on).", text);
    put_item("Pa", "~/.local/share/tackhold/log",
             "How jobs turned out: one line a record, cells parted by tabs, the first line names "
             "them.",
             text);
    th_text_put(text, ".El\n.Sh EXIT STATUS\n.Bl -tag -width Ds\n");
    put_item("Li", "0", "Holds, or done.", text);
    put_item("Li", "1", "Does not hold: unproven or lets go.", text);
    put_item("Li", "2",
             "Bad input or wrong usage: a message on standard error, nothing on standard output.",
             text);
    put_item("Li", "3", "The program's own failure.", text);
    th_text_put(text, ".El\n");
}

/* tests/torture holds the program to it. */
static void put_memory(th_text *text) {
    th_text_put(text, ".Sh MEMORY\n");
    th_manual_text("No input makes a verb take memory without bound: what is too large is refused. "
                   "The most that was held by any input tried, with a margin:",
                   text);
    th_text_put(text, ".Bl -tag -width Ds\n");
    put_item("Li", "list, show, pull", "50 MB, and ten times the size of tables of your own.",
             text);
    put_item("Li", "check, tape, limits, odds, card, picture, new, log add", "300 MB.", text);
    put_item("Li", "program",
             "500 MB, most of it the map of the stock, and five times the size of the program.",
             text);
    put_item("Li", "log show", "500 MB, for the largest log, of 64 MB.", text);
    th_text_put(text, ".El\n");
    th_manual_text("Of addresses (ulimit -v) a job wants 400 MB. Out of memory, tackhold says so "
                   "and ends with 3; what it was to write is then "
                   "as it was before.",
                   text);
}

/* Prints and empties the text. */
static int flush(th_text *text) {
    if (!text->failed) {
        return th_cli_output(text, TH_EXIT_DONE);
    }
    th_error err;
    th_text_free(text);
    th_fail_memory(&err);
    return th_cli_fail(&err);
}

int th_cli_manual(const th_cli_entry *verbs, size_t count) {
    th_text text = {0};
    put_head(verbs, count, &text);
    int code = flush(&text);
    for (size_t i = 0; code == TH_EXIT_DONE && i < count; i++) {
        char name[48], option[] = TH_OPTION_MDOC;
        char *argv[] = {name, option, NULL};
        snprintf(name, sizeof name, "tackhold %s", verbs[i].name);
        code = verbs[i].run(2, argv);
    }
    if (code == TH_EXIT_DONE) {
        put_job(&text);
        put_surroundings(&text);
        put_memory(&text);
        code = flush(&text);
    }
    return code;
}

int th_cli_words(const th_cli_entry *verbs, size_t count) {
    th_text text = {0};
    for (size_t i = 0; i < count; i++) {
        th_text_add(&text, "%s\n", verbs[i].name);
    }
    return flush(&text);
}
