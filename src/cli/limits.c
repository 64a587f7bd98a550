/* tackhold limits: how far the cuts of a job may be opened. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"
#include "tackhold/advice.h"
#include "tackhold/report.h"

static bool report(const th_job *job, const th_limits *limits, const th_options *options,
                   th_text *text, th_error *err) {
    if (options->json) {
        return th_report_limits_json(job, limits, text, err);
    }
    th_doc doc = {0};
    bool done = th_report_limits(job, limits, &doc, err) &&
                (options->tab ? th_doc_tab(&doc, text, err) : th_doc_text(&doc, text, err));
    th_doc_free(&doc);
    return done;
}

enum { SETTING = 200 };

static bool used_already(const th_job *job, const char *cutter) {
    for (size_t i = 0; i < job->cutter_count; i++) {
        if (strcmp(job->cutters[i].name, cutter) == 0 || strcmp(job->cutters[i].id, cutter) == 0) {
            return true;
        }
    }
    return false;
}

/* The job with another cutter in the place of all of its kind. */
static bool put_cutter(const th_job *job, const char *id, th_job **changed, th_error *err) {
    const th_cutter *row = th_tables_find(job->tables, TH_CUTTERS, id);
    char(*texts)[SETTING] = calloc(job->cutter_count + 1, sizeof *texts);
    const char **settings = calloc(job->cutter_count + 1, sizeof *settings);
    size_t count = 0;
    bool done = texts && settings ? true : th_fail_memory(err);

    for (size_t i = 0; done && row && i < job->cutter_count; i++) {
        if (job->cutters[i].row.kind == row->kind) {
            snprintf(texts[count], SETTING, "cutter.%.80s.id=%.80s", job->cutters[i].name, id);
            settings[count] = texts[count];
            count++;
        }
    }
    if (done && !row) {
        done = th_fail(err, TH_UNKNOWN_ROW,
                       "--cutter %.60s is neither a cutter of the job nor a row; `tackhold list "
                       "cutter' names them all",
                       id);
    } else if (done && count == 0) {
        done =
            th_fail(err, TH_BAD_USAGE, "--cutter %.60s: no cutter of the job is of its kind", id);
    }
    done = done && th_job_change(job, settings, count, changed, err);
    free(settings);
    free(texts);
    return done;
}

/* What has to be typed beside the pairs: they are those of the other cutter. */
static bool note_cutters(const th_job *own, const th_job *changed, th_limits *limits) {
    const char *typed = "", *gone = "", *id = "";

    for (size_t i = 0; typed && gone && i < own->cutter_count; i++) {
        if (strcmp(own->cutters[i].id, changed->cutters[i].id) != 0) {
            id = changed->cutters[i].id;
            gone = th_arena_print(&limits->arena, "%s%s%s (%s)", gone, gone[0] ? ", " : "",
                                  own->cutters[i].name, own->cutters[i].id);
            typed = th_arena_print(&limits->arena, "%s --set cutter.%s.id=%s", typed,
                                   own->cutters[i].name, id);
        }
    }
    return typed && gone &&
           th_lines_add(&limits->notes, &limits->arena,
                        "not the job's own cutter: %s stands in the place of %s; with every pair "
                        "above type it too:%s",
                        id, gone, typed);
}

static bool find_limits(const th_cli_job *opened, const th_options *options, th_text *text,
                        th_error *err) {
    bool other = options->cutter && !used_already(opened->job, options->cutter);
    th_job *changed = NULL;
    th_limits limits = {0};
    bool done = !other || put_cutter(opened->job, options->cutter, &changed, err);

    if (done) {
        const th_job *job = other ? changed : opened->job;
        done = th_limits_run(job, &opened->how, options->cutter, &limits, err) &&
               (!other || note_cutters(opened->job, job, &limits) || th_fail_memory(err)) &&
               report(job, &limits, options, text, err);
    }
    th_limits_free(&limits);
    th_job_free(changed);
    return done;
}

static int limit_job(const void *input) {
    const th_options *options = input;
    th_cli_job opened;
    th_text text = {0};
    th_error err = {0};
    bool done = th_cli_job_open(options->words[0], options, &opened, &err) &&
                find_limits(&opened, options, &text, &err);

    th_cli_job_close(&opened);
    if (!done) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    return th_cli_output(&text, TH_EXIT_DONE);
}

int th_verb_limits(int argc, char **argv) {
    static const struct argp_option own[] = {
        {"cutter", TH_OPTION_CUTTER, "NAME", 0,
         "Only the cuts with this cutter of the job; or the id of another row, to try it in the "
         "place of those of its kind",
         0},
        {"tab", TH_OPTION_TAB, NULL, 0, "Print the tables alone, cells separated by tabs", 0},
        {0},
    };
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_JSON | TH_TAKES_SET,
        .words_needed = 1,
        .words_most = 1,
        .needs = TH_JOB_NEEDED,
        .run = limit_job,
        .args_doc = "JOB",
        .doc = "For each milling cut of a job: the largest axial engagement at radial ones from 2 "
               "to 100 % of the diameter, what limits it, and the fastest pair that holds. JOB is "
               "a file, or - for standard input.\v"
               "Examples: tackhold limits examples/front-panel.ini\n"
               "          tackhold limits part.ini --cutter em --set job.asked_factor=3\n\n"
               "Exit codes: 0 done, whatever holds; 2 bad input, 3 failure.",
    };
    th_options options = {0};
    return th_cli_run(&verb, argc, argv, &options);
}
