/* tackhold pull: from a table of the user's own pull tests to a row of the tape table. */
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "tackhold/report.h"

#ifndef PATH_MAX
#define PATH_MAX 4096
#endif

enum { OPTION_SHARE = 0x200, OPTION_CONFIDENCE, OPTION_LIKE, OPTION_REPLACE, OPTION_HOW_TO };

/* The shared options come first: their parser sees only them. */
typedef struct {
    th_options shared;
    const char *share, *confidence; /* as typed, NULL: the default */
    const char *like, *id;
    bool replace, how_to;
} pull_options;

#define USUAL 0.95

static const char how_to[] =
    "A pull test with a luggage scale\n"
    "\n"
    "What you need: a luggage scale that keeps the peak (to 50 kg or 100 lb), a\n"
    "clamp on a solid bench, strips and blocks of the metal you cut, your tape,\n"
    "your glue.\n"
    "\n"
    "Coupon for shear. Two flat strips at least 3 mm (1/8 in) thick and 25 mm (1\n"
    "in) wide, a hole for the hook in one. Stick them together over 25 mm x 25 mm\n"
    "with the very stack of a job: tape on both, glue between (a double-sided tape\n"
    "without). For a strong tape 25 mm x 12.5 mm, so that the scale can break it.\n"
    "Shim the clamp so that the pull lies in the plane of the tape; out of line it\n"
    "peels.\n"
    "Coupon for lift. The same stack between a stiff block, at least 12 mm (1/2 in)\n"
    "thick, and the plate; the hook in the middle of the block, so that it does not\n"
    "tilt.\n"
    "\n"
    "Make it as you make a part: same cleaning and scuffing, same pressing, same\n"
    "wait. A joint is one test: never stick the same tape down twice.\n"
    "\n"
    "Pull. Shear along the strip, lift square to the plate. Slowly: come up to the\n"
    "load over some 3 to 15 s, never with a jerk. Read the peak. Note how long the\n"
    "load was on, the temperature, whether wet, and where it came apart: part-tape,\n"
    "backing, tape-glue, glue or tape-plate. Note the area that really stuck.\n"
    "\n"
    "How many. At least 5 of each kind, better 10: with few, the limit must allow\n"
    "for what the next one may do. Keep weak ones; strike out only a test that went\n"
    "wrong.\n"
    "\n"
    "Safety. It lets go at once: wear glasses, stand clear of the line of pull,\n"
    "keep the face and hands away, and tie block, strip and scale with a slack\n"
    "tether.\n"
    "\n"
    "Then write the table (`tackhold pull --help' shows one) and let it be judged:\n"
    "  tackhold pull tests.csv --like crepe-masking\n";

/* ---- options --------------------------------------------------------------------------------- */

static error_t parse(int key, char *argument, struct argp_state *state) {
    pull_options *options = state->input;
    switch (key) {
    case OPTION_SHARE:
        options->share = argument;
        return 0;
    case OPTION_CONFIDENCE:
        options->confidence = argument;
        return 0;
    case OPTION_LIKE:
        options->like = argument;
        return 0;
    case 'o':
        options->id = argument;
        return 0;
    case OPTION_REPLACE:
        options->replace = true;
        return 0;
    case OPTION_HOW_TO:
        options->how_to = true;
        options->shared.words_needed = 0;
        return 0;
    default:
        return th_options_parse(key, argument, state);
    }
}

static bool read_ratio(const char *option, const char *text, double *value, th_error *err) {
    th_reading reading = {.value = USUAL};
    th_error inner = {0};
    if (text != NULL && !th_quantity_read(text, TH_RATIO, TH_UNITS_NAMED, &reading, &inner)) {
        return th_fail(err, TH_BAD_USAGE, "%s %.60s: %s", option, text, inner.message);
    }
    if (reading.value > 0.999 && reading.value < 0.999 * (1 + 1e-12)) {
        reading.value = 0.999; /* 99.9 % */
    }
    if (reading.value >= 50 && reading.value <= 99.9) {
        return th_fail(err, TH_BAD_USAGE, "%s %.60s: a percentage has its sign: %.60s%%", option,
                       text, text);
    }
    if (!(reading.value >= 0.5 && reading.value <= 0.999)) {
        return th_fail(err, TH_BAD_USAGE, "%s %.60s: out of bounds: 50 %% to 99.9 %%, e.g. 95%%",
                       option, text);
    }
    *value = reading.value;
    return true;
}

static bool check_options(const pull_options *options, th_error *err) {
    const char *allowed = "abcdefghijklmnopqrstuvwxyz0123456789-.";
    const char *id = options->id;
    if (id == NULL) {
        return !options->replace ||
               th_fail(err, TH_BAD_USAGE, "--replace goes with -o ID, the row to replace");
    }
    if (id[0] == '\0' || strlen(id) > 60 || id[strspn(id, allowed)] != '\0') {
        return th_fail(err, TH_BAD_USAGE,
                       "-o %.60s cannot be the id of a row: use a to z, 0 to 9, '-' and '.', at "
                       "most 60 of them, e.g. my-masking",
                       id);
    }
    return options->like != NULL ||
           th_fail(err, TH_BAD_USAGE,
                   "-o needs --like ID: the row that gives thickness, stiffness, warmth and all "
                   "else that pulling does not tell; `tackhold list tape' names them");
}

/* ---- rows ------------------------------------------------------------------------------------ */

static bool find_like(const th_tables *tables, const char *id, const th_tape **like,
                      th_error *err) {
    *like = id == NULL ? NULL : th_tables_find(tables, TH_TAPES, id);
    if (id == NULL || *like != NULL) {
        return true;
    }
    char hint[TH_HINT];
    if (!th_tables_hint(tables, TH_TAPES, id, "", hint)) {
        return th_fail_memory(err);
    }
    return th_fail(err, TH_UNKNOWN_ROW, "--like: there is no tape \"%.60s\"; %s", id,
                   hint[0] == '\0' ? "`tackhold list tape' names them all" : hint);
}

/* A row of that name, shipped or own, would be hidden by the new one. */
static bool check_free(const th_tables *tables, const pull_options *options, th_error *err) {
    if (options->replace || th_tables_find(tables, TH_TAPES, options->id) == NULL) {
        return true;
    }
    return th_fail(err, TH_BAD_USAGE,
                   "there is a tape %s already; choose another id, or --replace it", options->id);
}

static bool write_row(const th_pull_result *result, const pull_options *options, char *path,
                      th_error *err) {
    th_text row = {0};
    bool done = th_report_pull_row(result, options->id, &row, err) &&
                th_own_row_write(&(th_own_row){TH_TAPES, options->id, row.data, options->replace},
                                 path, PATH_MAX, err);
    th_text_free(&row);
    return done;
}

/* ---- the verb -------------------------------------------------------------------------------- */

static bool report(const th_pull_result *result, const th_pull_names *names,
                   const th_options *options, th_text *text, th_error *err) {
    if (options->json) {
        return th_report_pull_json(result, names, text, err);
    }
    th_doc doc = {0};
    bool done = th_report_pull(result, names, options->inch ? TH_INCH : TH_MM, &doc, err) &&
                (options->tab ? th_doc_tab(&doc, text, err) : th_doc_text(&doc, text, err));
    th_doc_free(&doc);
    return done;
}

static bool judge(const pull_options *options, const th_tables *tables, const th_pulls *pulls,
                  th_text *text, th_error *err) {
    const char *file = options->shared.words[0];
    char path[PATH_MAX];
    th_pull_names names = {strcmp(file, "-") == 0 ? "standard input" : file, options->id, NULL};
    th_pull_options how = {.units = options->shared.inch ? TH_INCH : TH_MM};
    th_pull_result result = {0};
    bool done = read_ratio("--share", options->share, &how.share, err) &&
                read_ratio("--confidence", options->confidence, &how.confidence, err) &&
                find_like(tables, options->like, &how.like, err) &&
                (options->id == NULL || check_free(tables, options, err));
    if (done && !th_pulls_judge(pulls->items, pulls->count, &how, &result, err)) {
        done = th_fail_place(err, names.file, 0);
    }
    if (done && options->id != NULL) {
        done = write_row(&result, options, path, err);
        names.path = path;
    }
    done = done && report(&result, &names, &options->shared, text, err);
    th_pull_result_free(&result);
    return done;
}

static int pull(const void *input) {
    const pull_options *options = input;
    th_text text = {0};
    th_pulls pulls = {0};
    th_tables *tables = NULL;
    th_error err = {0};
    if (options->how_to) {
        th_text_put(&text, how_to);
        if (text.failed) {
            th_fail_memory(&err);
            return th_cli_fail(&err);
        }
        return th_cli_output(&text, TH_EXIT_DONE);
    }
    bool done = check_options(options, &err) &&
                th_pulls_read(options->shared.words[0], &pulls, &err) &&
                th_options_tables(&options->shared, &tables, &err) &&
                judge(options, tables, &pulls, &text, &err);
    th_tables_free(tables);
    th_pulls_free(&pulls);
    if (!done) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    return th_cli_output(&text, TH_EXIT_DONE);
}

static const struct argp_option own[] = {
    {"share", OPTION_SHARE, "PERCENT", 0,
     "Share of all such joints that reach the limit, 50% to 99.9% (default 95%)", 0},
    {"confidence", OPTION_CONFIDENCE, "PERCENT", 0,
     "Confidence that they do, 50% to 99.9% (default 95%)", 0},
    {"like", OPTION_LIKE, "ID", 0,
     "Tape row to compare with, and to take all else from: thickness, stiffness, warmth, ...", 0},
    {NULL, 'o', "ID", 0, "Write the row under this id into your own tables; needs --like", 0},
    {"replace", OPTION_REPLACE, NULL, 0, "With -o: replace the row where the id is taken", 0},
    {"how-to", OPTION_HOW_TO, NULL, 0, "Tell how to make and pull the test joints", 0},
    {"tab", TH_OPTION_TAB, NULL, 0, "Print the limits as tab-separated columns", 0},
    {0},
};

static const char doc[] =
    "Turn the results of your own pull tests into strengths, and into a row of the tape table. "
    "FILE.csv is a table as a spreadsheet saves it, - is standard input.\v"
    "Example: tackhold pull examples/pull-tests.csv --like crepe-masking -o my-masking\n\n"
    "A table (CSV: columns parted by commas, semicolons or tabs, decimal point, UTF-8):\n\n"
    "  area [mm2],force [N],kind,failure,temperature [C],cooling,hold [s],date\n"
    "  625,182,shear,part-tape,22,dry,8,2026-01-31\n"
    "  625,171,shear,backing,22,dry,7,2026-01-31\n"
    "  625,196,shear,part-tape,23,dry,9,2026-01-31\n"
    "  625,88.5,lift,part-tape,22,dry,6,2026-01-31\n"
    "  625,97,lift,part-tape,22,dry,6,2026-01-31\n\n"
    "Units stand in the head, as here, or in every cell (`182 N', `41 lbf', `18.6 kgf', "
    "`25 mm x 25 mm', `1 in2', `72 F'); a scale in kg reads kgf, one in lb lbf.\n\n"
    "  area         that was stuck; or two columns, length and width\n"
    "  force        at which it let go, the peak of the scale\n"
    "  kind         shear (along the tape) or lift (square to it)\n"
    "  failure      part-tape, backing, tape-glue, glue or tape-plate\n"
    "  temperature  of the joint; left out: taken as 23 C, with a note\n"
    "  cooling      dry, mist, water or oil; left out: taken as dry\n"
    "  hold         seconds the load was on until it let go; left out: taken as 3 s\n"
    "  date         year-month-day, for the source of the row\n"
    "  note         whatever you like; it is not read\n\n"
    "Area, force, kind and failure are needed; `direction' is another head for kind. Empty lines "
    "and lines that start with # are passed over. 2 to 1000 tests of a kind; one kind "
    "alone will do, the other is then that of --like, never raised, and the row is no more trusted "
    "than that one.\n\n"
    "The row goes to tackhold/tables/tape.ini in XDG_CONFIG_HOME or ~/.config, which every "
    "command reads after the shipped tables and before those of TACKHOLD_TABLES and --tables. "
    "--replace replaces the row with the comment lines right above it; the rest of the file stays "
    "as it is.\n\n"
    "Exit codes: 0 done, 2 bad input, 3 failure.";

int th_verb_pull(int argc, char **argv) {
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_INCH | TH_TAKES_JSON,
        .parser = parse,
        .words_needed = 1,
        .words_most = 1,
        .needs = "a table of pull tests, or --how-to",
        .run = pull,
        .args_doc = "FILE.csv",
        .doc = doc,
    };
    pull_options options = {0};
    return th_cli_run(&verb, argc, argv, &options);
}
