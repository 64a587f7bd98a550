/* tackhold show: one row of a table, or the keys of a table or a job. */
#include <stdlib.h>

#include "cli.h"
#include "tackhold/report.h"

static bool show_keys(const th_options *options, th_text *text, th_error *err) {
    return options->json
               ? th_report_keys_json(options->words[0], text, err)
               : th_report_keys(options->words[0], options->inch ? TH_INCH : TH_MM, text, err);
}

static bool report_row(const th_tables *tables, th_table table, const th_options *options,
                       th_text *text, th_error *err) {
    if (options->json) {
        return th_report_show_json(tables, table, options->words[1], text, err);
    }
    th_doc doc = {0};
    bool done = th_report_show(tables, table, options->words[1], options->inch ? TH_INCH : TH_MM,
                               &doc, err) &&
                th_doc_text(&doc, text, err);
    th_doc_free(&doc);
    return done;
}

static bool show_row(const th_options *options, th_text *text, th_error *err) {
    th_table table;
    th_tables *tables = NULL;
    bool done = th_cli_table("show", options->words[0], &table, err) &&
                th_options_tables(options, &tables, err) &&
                report_row(tables, table, options, text, err);
    th_tables_free(tables);
    return done;
}

static int show(const void *input) {
    const th_options *options = input;
    th_text text = {0};
    th_error err = {0};
    bool done =
        options->word_count == 1 ? show_keys(options, &text, &err) : show_row(options, &text, &err);
    if (!done) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    return th_cli_output(&text, TH_EXIT_DONE);
}

int th_verb_show(int argc, char **argv) {
    static const th_cli_verb verb = {
        .takes = TH_TAKES_INCH | TH_TAKES_JSON,
        .words_needed = 1,
        .words_most = 2,
        .needs = "a table or a section, e.g. tape or cut",
        .run = show,
        .args_doc = "KIND [ID]",
        .doc = "Show one row of a table with source and trust, or, without ID, the keys that its "
               "rows take. KIND is stock, tape, glue, cutter, machine, coolant or plate; `job' and "
               "the sections of a job (part, hold, cut, ...) have keys too.\v"
               "Examples: tackhold show tape crepe-masking\n"
               "          tackhold show job\n\nTrust: measured (your own pull test), published "
               "(read in the source named), practice "
               "(common use, no source), memory (recalled from the source, not re-read), estimate "
               "(worked out; the table says how).",
    };
    th_options options = {0};
    return th_cli_run(&verb, argc, argv, &options);
}
