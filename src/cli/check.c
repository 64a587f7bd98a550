/* tackhold check: judge a job. */
#include <stdio.h>
#include <string.h>

#include "cli.h"
#include "tackhold/report.h"

enum { OPTION_BEFORE = 0x200 };

/* The common options come first: their parser is given the same address. */
typedef struct {
    th_options common;
    const char *before; /* file of the job before; NULL: none */
} check_arguments;

static error_t parse(int key, char *argument, struct argp_state *state) {
    check_arguments *arguments = state->input;
    if (key == OPTION_BEFORE) {
        if (arguments->before != NULL) {
            argp_error(state, "--before stands twice; a job is compared with one other");
        }
        arguments->before = argument;
        return 0;
    }
    if (key == ARGP_KEY_END && arguments->before != NULL && arguments->common.word_count > 0 &&
        strcmp(arguments->before, "-") == 0 && strcmp(arguments->common.words[0], "-") == 0) {
        argp_error(state, "standard input can be one of the two jobs, not both");
    }
    return th_options_parse(key, argument, state);
}

static bool add_doc(const th_doc *doc, bool done, th_text *text, th_error *err) {
    return done && th_doc_text(doc, text, err);
}

static bool report(const th_check *check, const th_compared *jobs, const th_options *options,
                   th_text *text, th_error *err) {
    if (options->json) {
        return th_report_check_json(jobs->now, check, text, err);
    }
    th_doc doc = {0}, first = {0};
    bool done = true;
    if (check->before != NULL || check->before_refused != NULL) {
        done = add_doc(&first, th_report_before(jobs, check, options->all, &first, err), text, err);
        th_text_put(text, "\n");
    }
    done = done &&
           add_doc(&doc, th_report_check(jobs->now, check, options->all, &doc, err), text, err);
    th_doc_free(&first);
    th_doc_free(&doc);
    return done;
}

/* The job to compare with. */
typedef struct {
    th_cli_job opened;
    char refused[1100]; /* why it cannot be judged; "": nothing is known against it */
} job_before;

static void refuse(job_before *before, const th_error *err) {
    if (err->file[0] != '\0' && err->line > 0) {
        snprintf(before->refused, sizeof before->refused, "%s:%d: %s", err->file, err->line,
                 err->message);
    } else {
        snprintf(before->refused, sizeof before->refused, "%s%s%s", err->file,
                 err->file[0] == '\0' ? "" : ": ", err->message);
    }
}

/* That the job before cannot be judged is an answer too. */
static bool compare(th_compared *jobs, job_before *before, th_check *check,
                    th_comparison *comparison, th_error *err) {
    if (before->refused[0] == '\0' && th_compare(jobs, comparison, err)) {
        check->before = comparison;
        return true;
    }
    if (before->refused[0] == '\0') {
        if (th_status_exit(err->code) != TH_EXIT_BAD_INPUT) {
            return false;
        }
        refuse(before, err);
    }
    check->before_refused = before->refused;
    return true;
}

/* `before` NULL: nothing is compared. */
static int judge(const th_cli_job *opened, job_before *before, const th_options *options,
                 th_text *text, th_error *err) {
    th_check check = {0};
    th_comparison comparison = {0};
    th_shop_record record;
    th_check_options how = opened->how, old = before == NULL ? how : before->opened.how;
    int code = TH_EXIT_DONE;

    how.turn_downs = true;
    old.context = how.context; /* one notice for both */
    bool done = th_check_run(opened->job, &how, &check, err);
    check.record = done ? th_cli_record(opened->job, options, &record) : NULL;
    th_compared jobs = {.now = opened->job, .now_options = &how, .before_options = &old};
    if (done && before != NULL) {
        jobs.before = before->opened.job;
        jobs.now_factor = check.hold_factor;
        jobs.units = options->json ? TH_MM : (th_units)opened->job->head.units;
        done = compare(&jobs, before, &check, &comparison, err);
    }
    if (!done || !report(&check, &jobs, options, text, err)) {
        code = th_status_exit(err->code);
    } else if (check.verdict != TH_HOLDS) {
        code = TH_EXIT_NOT_HELD;
    }
    th_comparison_free(&comparison);
    th_check_free(&check);
    return code;
}

int th_check_report(const char *path, const th_options *options, th_text *text, th_error *err) {
    th_cli_job opened;
    int code = th_cli_job_open(path, options, &opened, err)
                   ? judge(&opened, NULL, options, text, err)
                   : th_status_exit(err->code);

    th_cli_job_close(&opened);
    return code;
}

/* Settings are of the job, not of the one before. What the other job's file says must be readable;
 * whether it can be is another matter. */
static int compare_jobs(const check_arguments *arguments, th_text *text, th_error *err) {
    th_cli_job opened;
    job_before before = {.refused = ""};
    th_options plain = arguments->common;
    int code = TH_EXIT_DONE;

    plain.setting_count = 0;
    if (!th_cli_job_open(arguments->common.words[0], &arguments->common, &opened, err)) {
        th_cli_job_close(&opened);
        return th_status_exit(err->code);
    }
    if (!th_cli_job_open(arguments->before, &plain, &before.opened, err)) {
        if (err->code == TH_CONTRADICTION || err->code == TH_NOT_POSSIBLE) {
            refuse(&before, err);
        } else {
            code = th_status_exit(err->code);
        }
    }
    if (code == TH_EXIT_DONE) {
        code = judge(&opened, &before, &arguments->common, text, err);
    }
    th_cli_job_close(&before.opened);
    th_cli_job_close(&opened);
    return code;
}

static int check_job(const void *input) {
    const check_arguments *arguments = input;
    const th_options *options = &arguments->common;
    th_text text = {0};
    th_error err = {0};
    int code = arguments->before != NULL ? compare_jobs(arguments, &text, &err)
                                         : th_check_report(options->words[0], options, &text, &err);
    if (code == TH_EXIT_BAD_INPUT || code == TH_EXIT_FAILED) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    return th_cli_output(&text, code);
}

int th_verb_check(int argc, char **argv) {
    static const struct argp_option own[] = {
        {"all", TH_OPTION_ALL, NULL, 0, "Print everything: every stage, factor and source", 0},
        {"before", OPTION_BEFORE, "JOB2", 0,
         "Tell first what changed against this job, and what each change alone does", 0},
        {0},
    };
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_JSON | TH_TAKES_SET,
        .parser = parse,
        .words_needed = 1,
        .words_most = 1,
        .needs = TH_JOB_NEEDED,
        .run = check_job,
        .args_doc = "JOB",
        .doc =
            "Tell whether the part stays put under the cuts of a job, and what to turn down if "
            "it does not. JOB is a file, or - for standard input.\v"
            "Example: tackhold check examples/clock-dial.ini --set cut.2.axial=0.3mm\n\n"
            "--before JOB2 lists every value that differs from the job before (a file, or -; the "
            "same file with --set on JOB alone does), judges JOB2 with each change alone, 16 at "
            "most, and says what is left as interaction. The exit code stays that of JOB.\n\n"
            "--all counts the stages from 1; governs.stage in the JSON is the place in its list "
            "of stages, which counts from 0.\n\n"
            "`own record' counts in the shop's log (tackhold log add) how jobs with the same "
            "tapes, "
            "glue and kind of cooling held, and the hold factors of those that moved or let go. "
            "It changes no verdict; --no-shop leaves it out.\n\n"
            "Exit codes: 0 holds, 1 does not hold, 2 bad input, 3 failure.",
    };
    check_arguments arguments = {0};
    return th_cli_run(&verb, argc, argv, &arguments);
}
