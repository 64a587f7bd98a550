/* tackhold list: the rows of a table. */
#include <stdlib.h>

#include "cli.h"
#include "tackhold/report.h"

static bool report(const th_tables *tables, th_table table, const th_options *options,
                   th_text *text, th_error *err) {
    if (options->json) {
        return th_report_list_json(tables, table, text, err);
    }
    th_doc doc = {0};
    bool done = th_report_list(tables, table, options->inch ? TH_INCH : TH_MM, &doc, err) &&
                (options->tab ? th_doc_tab(&doc, text, err) : th_doc_text(&doc, text, err));
    th_doc_free(&doc);
    return done;
}

static int list_rows(const void *input) {
    const th_options *options = input;
    th_table table;
    th_tables *tables = NULL;
    th_text text = {0};
    th_error err = {0};
    bool done = th_cli_table("list", options->words[0], &table, &err) &&
                th_options_tables(options, &tables, &err) &&
                report(tables, table, options, &text, &err);
    th_tables_free(tables);
    if (!done) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    return th_cli_output(&text, TH_EXIT_DONE);
}

int th_verb_list(int argc, char **argv) {
    static const struct argp_option own[] = {
        {"json", TH_OPTION_JSON, NULL, 0, "Print JSON with every value, always metric", 0},
        {0},
    };
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_INCH | TH_TAKES_TAB,
        .words_needed = 1,
        .words_most = 1,
        .needs = "a table: stock, tape, glue, cutter, machine, coolant or plate",
        .run = list_rows,
        .args_doc = "KIND",
        .doc = "List the rows of a table. KIND is stock, tape, glue, cutter, machine, coolant or "
               "plate.\vExample: tackhold list tape\n\nTrust: measured (your own pull test), "
               "published (read in the source named), practice "
               "(common use, no source), memory (recalled from the source, not re-read), estimate "
               "(worked out; the table says how).",
    };
    th_options options = {0};
    return th_cli_run(&verb, argc, argv, &options);
}
