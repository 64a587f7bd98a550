/* tackhold card: the card for the shop wall. */
#include "cli.h"
#include "output.h"
#include "tackhold/advice.h"
#include "tackhold/report.h"

static bool write_card(const th_cli_job *opened, th_text *text, th_error *err) {
    const th_job *job = opened->job;
    th_check_options how = opened->how;
    th_check check = {0};
    th_limits limits = {0};
    th_map map = {0};

    how.turn_downs = true;
    how.work = th_work_new(); /* NULL costs time alone */
    bool done = th_check_run(job, &how, &check, err) && th_map_run(job, &how, &check, &map, err);
    const th_cut *cut = done ? th_limits_worth(&check) : NULL;
    done = done && (cut == NULL || th_limits_sketch(job, &how, cut, &limits, err));
    const th_card card = {job, &check, &limits, map.state_count > 0 ? &map : NULL, false};
    done = done && th_report_card(&card, text, err);
    th_map_free(&map);
    th_limits_free(&limits);
    th_check_free(&check);
    th_work_free(how.work);
    return done;
}

static int card(const void *input) {
    const th_output_options *options = input;
    const char *path = options->common.words[0];
    th_cli_job opened;
    th_text text = {0};
    th_error err = {0};
    bool done = th_output_fits(options, &err);

    if (done) {
        done = th_cli_job_open(path, &options->common, &opened, &err) &&
               write_card(&opened, &text, &err);
        th_cli_job_close(&opened);
    }
    return th_output_put(options, done, &text, &err);
}

int th_verb_card(int argc, char **argv) {
    static const struct argp_option own[] = {
        {NULL, 'o', "FILE", 0,
         "Write to this file, - for standard output; a card there is replaced", 0},
        {0},
    };
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_SET,
        .parser = th_output_parse,
        .words_needed = 1,
        .words_most = 1,
        .needs = TH_JOB_NEEDED,
        .run = card,
        .args_doc = "JOB -o FILE.html",
        .doc =
            "Write the card for the shop wall: one HTML page to print or to look at, with the "
            "verdict, pictures of part and stack, the steps from a clean plate to getting the part "
            "off flat, the table of cuts, cautions and sources. It needs no network and no script. "
            "JOB is a file, or - for standard input.\v"
            "Examples: tackhold card examples/bracket.ini -o bracket.html\n"
            "          tackhold card part.ini --set cut.1.axial=0.3mm -o part.html\n\n"
            "Exit codes: 0 done, whatever the verdict on the card; 2 bad input, 3 failure.",
    };
    th_output_options options = {.kind = "page", .mark = "<!DOCTYPE html>"};
    return th_cli_run(&verb, argc, argv, &options);
}
