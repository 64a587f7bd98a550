/* tackhold program: which line of a program tears the part off. */
#define _POSIX_C_SOURCE 200809L

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli.h"
#include "output.h"
#include "tackhold/program.h"
#include "tackhold/report.h"

enum {
    OPTION_SLOW_TO = 0x500,
    OPTION_WORST,
    OPTION_M98,
    OPTION_ARC_CENTRE,
    OPTION_BLOCK_DELETE,
    OPTION_UNITS,
    OPTION_DWELL_MS,
    OPTION_STIFF,
    OPTION_CARD,
    OPTION_LOWER_FEEDS,
    OPTION_INWARD_CORNERS
};

enum { PLATES = 60 }; /* steps that the plate is asked at */

/* The common options come first: their parser is given the same address. */
typedef struct {
    th_options common;
    const char *slow_to;
    const char *card; /* NULL: none */
    size_t worst;
    bool units_said, stiff, lower_feeds, count_in_p, absolute, block_delete, inch, dwell_ms;
    bool refuse_inward;
} program_arguments;

static void choose(bool *flag, const char *argument, const char *no, const char *yes,
                   const char *option, struct argp_state *state) {
    if (strcmp(argument, yes) != 0 && strcmp(argument, no) != 0) {
        argp_error(state, "--%s %.40s: write %s or %s", option, argument, no, yes);
    }
    *flag = strcmp(argument, yes) == 0;
}

static void take_worst(program_arguments *arguments, const char *text, struct argp_state *state) {
    char *end;
    long count = strtol(text, &end, 10);

    if (*text == '\0' || *end != '\0' || count < 1 || count > TH_RUN_WORST_MOST) {
        argp_error(state, "--worst %.40s: a number from 1 to %d", text, TH_RUN_WORST_MOST);
    }
    arguments->worst = (size_t)count;
}

/* Standard output takes the card in place of the report. */
static bool card_only(const program_arguments *arguments) {
    return arguments->card && strcmp(arguments->card, "-") == 0;
}

/* The name of a file to write. */
static const char *file_name(const char *argument, const char *option, struct argp_state *state) {
    if (argument[0] == '\0') {
        argp_error(state, "--%s needs the name of a file", option);
    }
    return argument;
}

static error_t parse(int key, char *argument, struct argp_state *state) {
    program_arguments *arguments = state->input;

    switch (key) {
    case OPTION_SLOW_TO:
        arguments->slow_to = file_name(argument, "slow-to", state);
        return 0;
    case OPTION_CARD:
        arguments->card = file_name(argument, "card", state);
        return 0;
    case OPTION_WORST:
        take_worst(arguments, argument, state);
        return 0;
    case OPTION_M98:
        choose(&arguments->count_in_p, argument, "l", "p", "m98", state);
        return 0;
    case OPTION_ARC_CENTRE:
        choose(&arguments->absolute, argument, "relative", "absolute", "arc-centre", state);
        return 0;
    case OPTION_INWARD_CORNERS:
        choose(&arguments->refuse_inward, argument, "cross", "refuse", "inward-corners", state);
        return 0;
    case OPTION_BLOCK_DELETE:
        arguments->block_delete = true;
        return 0;
    case OPTION_UNITS:
        choose(&arguments->inch, argument, "mm", "inch", "units", state);
        arguments->units_said = true;
        return 0;
    case OPTION_DWELL_MS:
        arguments->dwell_ms = true;
        return 0;
    case OPTION_STIFF:
        arguments->stiff = true;
        return 0;
    case OPTION_LOWER_FEEDS:
        arguments->lower_feeds = true;
        return 0;
    case ARGP_KEY_INIT:
        arguments->common.bare = true;
        return 0;
    case ARGP_KEY_END:
        if (arguments->common.word_count == 2 && strcmp(arguments->common.words[0], "-") == 0 &&
            strcmp(arguments->common.words[1], "-") == 0) {
            argp_error(state, "standard input can be the job or the program, not both");
        }
        if (card_only(arguments) && (arguments->common.json || arguments->common.tab)) {
            argp_error(state, "--card - writes the card to standard output: without --json, --tab");
        }
        return th_options_parse(key, argument, state);
    default:
        return th_options_parse(key, argument, state);
    }
}

/* ---- progress -------------------------------------------------------------------------------- */

typedef struct {
    struct timespec start;
    double shown; /* seconds at which it was last shown; 0: never */
} meter;

static double passed(const meter *m) {
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - m->start.tv_sec) + 1e-9 * (double)(now.tv_nsec - m->start.tv_nsec);
}

static void show_progress(void *context, double share) {
    meter *m = context;
    double now = passed(m);

    if (now > 1 && now > m->shown + 0.2 && isatty(STDERR_FILENO)) {
        fprintf(stderr, "\rtackhold: running the program ... %3.0f %%", 100 * share);
        m->shown = now;
    }
}

static void end_progress(const meter *m) {
    if (m->shown > 0) {
        fputs("\r                                            \r", stderr);
    }
}

/* ---- the run --------------------------------------------------------------------------------- */

/* All that one call of the verb holds. */
typedef struct {
    const program_arguments *arguments;
    const char *job_name, *name; /* as shown in messages */
    th_cli_job opened;
    char *text;
    size_t size;
    meter progress;
    th_run_options how;
    th_run run;
    th_slow slow;
    bool slowed;
} work;

static th_run_options options_of(work *w) {
    const program_arguments *a = w->arguments;
    th_run_options how = {.job = w->opened.job,
                          .outline = &w->opened.outline,
                          .taped = w->opened.taped.ring_count > 0 ? &w->opened.taped : NULL,
                          .reading = th_program_defaults(),
                          .worst = a->worst,
                          .plates = a->stiff ? 0 : PLATES,
                          .progress = show_progress,
                          .context = &w->progress};

    how.reading.m98 = a->count_in_p ? TH_M98_COUNT_IN_P : TH_M98_L;
    how.reading.arc_centre_absolute = a->absolute;
    how.reading.inward = a->refuse_inward ? TH_INWARD_REFUSE : TH_INWARD_CROSS;
    how.reading.block_delete = a->block_delete;
    how.reading.units = a->inch ? TH_INCH : TH_MM;
    /* millimetres are the default of the language; a job in inches makes it a wrong guess */
    how.reading.units_guessed = !a->units_said;
    how.reading.units_in_doubt = !a->units_said && w->opened.job->head.units == TH_INCH;
    how.reading.dwell_in_ms = a->dwell_ms;
    return how;
}

/* What is wrong with the program names its file and line; all else is of the job. */
static bool place(const work *w, th_error *err) {
    if (err->file[0] == '\0' && err->code != TH_NO_MEMORY) {
        snprintf(err->file, sizeof err->file, "%.255s", err->line > 0 ? w->name : w->job_name);
    }
    return false;
}

static bool same_file(const char *a, const char *b) {
    struct stat x, y;

    return stat(a, &x) == 0 && stat(b, &y) == 0 && x.st_dev == y.st_dev && x.st_ino == y.st_ino;
}

/* What is read, or written to already, is not written over. */
static bool is_apart(const work *w, const char *option, const char *to, th_error *err) {
    for (size_t i = 0; i < w->arguments->common.word_count; i++) {
        if (same_file(to, w->arguments->common.words[i])) {
            return th_fail_at(err, TH_BAD_USAGE, to, 0, "is what is read; %s takes another name",
                              option);
        }
    }
    return true;
}

static bool may_write_slowed(const work *w, th_error *err) {
    const char *to = w->arguments->slow_to;

    return !to || (is_apart(w, "--slow-to", to, err) &&
                   (w->arguments->common.force || access(to, F_OK) != 0 ||
                    th_fail_at(err, TH_BAD_USAGE, to, 0,
                               "exists already: give --slow-to another name, or --force to replace "
                               "it")));
}

static bool may_write_card(const work *w, th_error *err) {
    const th_output_options page = {
        .path = w->arguments->card, .kind = "page", .mark = "<!DOCTYPE html>", .option = "--card"};
    const char *slowed = w->arguments->slow_to;

    if (!page.path) {
        return true;
    }
    if (slowed && (strcmp(slowed, page.path) == 0 || same_file(slowed, page.path))) {
        return th_fail_at(err, TH_BAD_USAGE, page.path, 0,
                          "--card and --slow-to cannot be the same file");
    }
    return is_apart(w, "--card", page.path, err) && th_output_fits(&page, err);
}

/* Each line in doubt, and why there is no verdict. */
static bool no_verdict(const work *w, th_error *err) {
    const th_program_report *reading = &w->run.reading;

    for (size_t i = 0; i < reading->warning_count; i++) {
        if (reading->warnings[i].doubt) {
            fprintf(stderr, "tackhold: %s:%d: %s\n", w->name, reading->warnings[i].line,
                    reading->warnings[i].text);
        }
    }
    return th_fail_at(
        err, TH_CONTRADICTION, w->name, 0,
        "no verdict: what the program means is in doubt at %zu %s, named above; make "
        "them plain, or say by an option how the machine reads them (tackhold program "
        "--help)",
        reading->doubts, reading->doubts == 1 ? "place" : "places");
}

/* A program that still lets go is not written, nor one that holds less. */
static bool worth_writing(const work *w) {
    return w->arguments->slow_to && w->slow.changed > 0 && w->slow.after.verdict != TH_LETS_GO &&
           w->slow.after.hold_factor >= w->run.hold_factor;
}

static bool write_slowed(const work *w, th_error *err) {
    return !worth_writing(w) || th_file_write(w->arguments->slow_to, w->slow.text.data,
                                              w->slow.text.size, w->arguments->common.force, err);
}

/* What the file is not good for, or why there is none. */
static void warn_of_slowed(const work *w) {
    const th_run *after = &w->slow.after;
    const char *to = w->arguments->slow_to;

    if (!to || w->slow.changed == 0 || after->verdict == TH_HOLDS) {
        return;
    }
    const char *outcome = worth_writing(w) ? "written, but it is unproven"
                          : after->verdict == TH_LETS_GO
                              ? "not written, as with lower feeds it still lets go"
                              : "not written, as with lower feeds it holds no better";
    if (after->hold_factor >= after->asked_factor && after->held_back.count > 0) {
        fprintf(stderr, "tackhold: %s: %s: %s\n", to, outcome, after->held_back.items[0]);
        return;
    }
    fprintf(stderr, "tackhold: %s: %s: line %d has hold factor %.3g of %.3g asked\n", to, outcome,
            after->worst_count > 0 ? after->worst[0].load.line : 0,
            floor(after->hold_factor * 100) / 100, after->asked_factor);
}

static bool wants_slow(const work *w) {
    return w->arguments->slow_to || (w->arguments->lower_feeds && w->run.short_lines > 0);
}

static bool run_it(work *w, th_error *err) {
    const th_options *options = &w->arguments->common;

    if (!may_write_slowed(w, err) || !may_write_card(w, err) ||
        !th_cli_job_open(options->words[0], options, &w->opened, err)) {
        return false;
    }
    w->text = th_program_slurp(options->words[1], &w->size, err);
    if (!w->text) {
        return false;
    }
    w->how = options_of(w);
    w->how.maps = w->arguments->card != NULL;
    if (!th_run_program(w->text, w->size, &w->how, &w->run, err)) {
        return place(w, err);
    }
    if (!w->run.judged) {
        return no_verdict(w, err);
    }
    w->how.maps = false; /* of the program as it is alone */
    if (wants_slow(w)) {
        w->slowed = th_slow_find(w->text, w->size, &w->how, &w->run, &w->slow, err);
        return w->slowed || place(w, err);
    }
    return true;
}

/* ---- what is printed ------------------------------------------------------------------------- */

static bool put_report(const work *w, const th_program_shown *shown, th_text *text, th_error *err) {
    const th_options *options = &w->arguments->common;
    th_doc doc = {0};
    bool done;

    if (options->json) {
        return th_report_program_json(shown, text, err);
    }
    done = options->tab
               ? th_report_program_lines(shown, &doc, err) && th_doc_tab(&doc, text, err)
               : th_report_program(shown, options->all, &doc, err) && th_doc_text(&doc, text, err);
    th_doc_free(&doc);
    return done;
}

/* The card goes to its file, or takes the place of the report. Files are written when all texts
 * are made. */
static bool report(const work *w, th_text *text, th_error *err) {
    const th_program_shown shown = {
        w->opened.job,         w->name,         &w->run, w->slowed ? &w->slow : NULL,
        w->arguments->slow_to, worth_writing(w)};
    th_text card = {0};
    bool done;

    if (card_only(w->arguments)) {
        return th_report_program_card(&shown, text, err) && write_slowed(w, err);
    }
    done =
        put_report(w, &shown, text, err) &&
        (!w->arguments->card || th_report_program_card(&shown, &card, err)) &&
        write_slowed(w, err) &&
        (!w->arguments->card || th_file_write(w->arguments->card, card.data, card.size, true, err));
    th_text_free(&card);
    return done;
}

/* With --slow-to the program that was written answers. */
static int code_of(const work *w) {
    th_verdict verdict = worth_writing(w) ? w->slow.after.verdict : w->run.verdict;

    return verdict == TH_HOLDS ? TH_EXIT_DONE : TH_EXIT_NOT_HELD;
}

static const char *shown_name(const char *path) {
    return strcmp(path, "-") == 0 ? "standard input" : path;
}

static int run_program(const void *input) {
    const program_arguments *arguments = input;
    th_text text = {0};
    th_error err = {0};
    work w = {.arguments = arguments,
              .job_name = shown_name(arguments->common.words[0]),
              .name = shown_name(arguments->common.words[1])};
    int code;

    clock_gettime(CLOCK_MONOTONIC, &w.progress.start);
    bool done = run_it(&w, &err);
    end_progress(&w.progress);
    done = done && report(&w, &text, &err);
    code = done ? code_of(&w) : th_status_exit(err.code);
    if (done && w.slowed) {
        warn_of_slowed(&w);
    }
    th_slow_free(&w.slow);
    th_run_free(&w.run);
    free(w.text);
    th_cli_job_close(&w.opened);
    if (!done) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    return th_cli_output(&text, code);
}

/* ---- the verb ---------------------------------------------------------------------------------
 */

static const struct argp_option own[] = {
    {"all", TH_OPTION_ALL, NULL, 0, "Print everything: pieces, findings, sources", 0},
    {"worst", OPTION_WORST, "N", 0, "Tell the N worst lines, at most 100: 10", 0},
    {"lower-feeds", OPTION_LOWER_FEEDS, NULL, 0,
     "Work out how far feeds must come down to restore the asked factor, which runs the program "
     "some ten times",
     0},
    {"slow-to", OPTION_SLOW_TO, "FILE", 0,
     "Write the program with feeds lowered where that restores the asked factor", 0},
    {"card", OPTION_CARD, "FILE.html", 0,
     "Write the card too: a page with map and worst lines; - for standard output", 0},
    {"force", TH_OPTION_FORCE, NULL, 0, "Let --slow-to replace a file", 0},
    {"units", OPTION_UNITS, "mm|inch", 0,
     "Unit until the program says G20 or G21; unsaid: mm, and no better than UNPROVEN", 0},
    {"m98", OPTION_M98, "l|p", 0, "How often M98 calls: its L (l), or in front in P (p): l", 0},
    {"arc-centre", OPTION_ARC_CENTRE, "relative|absolute", 0,
     "I, J, K until G90.1 or G91.1: relative", 0},
    {"inward-corners", OPTION_INWARD_CORNERS, "cross|refuse", 0,
     "Inward corners under G41 and G42: turned where the tool touches both moves (cross), or "
     "refused: cross",
     0},
    {"block-delete", OPTION_BLOCK_DELETE, NULL, 0, "Leave out lines that begin with /", 0},
    {"dwell-ms", OPTION_DWELL_MS, NULL, 0, "P of G4 is in milliseconds, not seconds", 0},
    {"stiff", OPTION_STIFF, NULL, 0, "Leave out the bending of the part: faster, unproven", 0},
    {0},
};

static const char help[] =
    "Tell whether the part stays put under the program in FILE (RS-274, ISO 6983), which "
    "line is worst, and what to change. The job says stock, hold and machine; its [cut.N] "
    "are not looked at and may be missing. It needs [zero], where the program's zero lies, "
    "and [tool.N] with cutter = NAME for each T, or one cutter where one T cuts. Of several "
    "coordinate systems (G54 to G59.3) [zero] is that of the one that the program calls first.\v"
    "Example: tackhold program examples/cover-plate.ini examples/cover-plate.ngc\n\n"
    "The cutter is swept through the stock move by move; at every step the force is held "
    "against what is still stuck down, the part taken as stiff, and at the worst steps the "
    "plate that bends is asked too. A rapid through material, a cut into the table or with "
    "the spindle stopped is told by its line, and the program then is at best unproven; so it is "
    "where a cut runs without the coolant that the job says (M7 for mist, M8 for what floods).\n\n"
    "--lower-feeds tells for each line that falls short a feed that is enough, where there is "
    "one. --slow-to writes them: it changes F words, or puts one in, and nothing else; the result "
    "is read and run again, and not written where it still lets go. Lines that no feed saves are "
    "told.\n\n"
    "--card writes one HTML page to print or to look at: the map of what is stuck down with the "
    "worst lines on it, the hold factor by line, what comes loose, and how the program was read. "
    "It needs no network and no script; a card that is there is replaced.\n\n"
    "--tab prints one row for every line that cuts what must stay.\n\n"
    "Exit codes: 0 holds (with --slow-to: what was written holds), 1 does not hold, 2 bad "
    "input, or the program's meaning is in doubt and there is no verdict; 3 failure.";

int th_verb_program(int argc, char **argv) {
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_JSON | TH_TAKES_SET | TH_TAKES_TAB,
        .parser = parse,
        .words_needed = 2,
        .words_most = 2,
        .needs = "a job file and a program, one of them may be - for standard input",
        .run = run_program,
        .args_doc = "JOB FILE",
        .doc = help,
    };
    program_arguments arguments = {.slow_to = NULL};
    return th_cli_run(&verb, argc, argv, &arguments);
}
