/* tackhold check: judge a job. */
#define _DEFAULT_SOURCE

#include <malloc.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <time.h>
#include <unistd.h>

#include "cli.h"
#include "tackhold/advice.h"
#include "tackhold/report.h"

static bool report(const th_job *job, const th_check *check, const th_options *options,
                   th_text *text, th_error *err) {
    if (options->json) {
        return th_report_check_json(job, check, text, err);
    }
    th_doc doc = {0};
    bool done =
        th_report_check(job, check, options->all, &doc, err) && th_doc_text(&doc, text, err);
    th_doc_free(&doc);
    return done;
}

/* What takes over a second says so on a terminal. */
typedef struct {
    struct timespec start;
    bool shown;
} th_patience;

static void show_progress(void *context) {
    th_patience *patience = context;
    struct timespec now;
    double passed;
    clock_gettime(CLOCK_MONOTONIC, &now);
    passed = (double)(now.tv_sec - patience->start.tv_sec) +
             1e-9 * (double)(now.tv_nsec - patience->start.tv_nsec);
    if (!patience->shown && passed > 1 && isatty(STDERR_FILENO)) {
        fputs("tackhold: working it out ...", stderr);
        patience->shown = true;
    }
}

static void clear_progress(const th_patience *patience) {
    if (patience->shown) {
        fputs("\r                                            \r", stderr);
    }
}

/* The plate takes and gives back the same few megabytes again and again: they stay with us, and in
 * large pages where there are any, as much of the time would go into fetching small ones. */
static void keep_memory(void) {
    enum { MEGABYTE = 1 << 20, AHEAD = 48 * MEGABYTE, LARGE_PAGE = 2 * MEGABYTE };
    uintptr_t first, end;
    void *volatile block; /* or the compiler sees that nothing comes of it */

    mallopt(M_MMAP_THRESHOLD, 32 * MEGABYTE);
    mallopt(M_TRIM_THRESHOLD, 1024 * MEGABYTE);
    mallopt(M_TOP_PAD, AHEAD);
    block = malloc(LARGE_PAGE); /* the heap now reaches ahead */
    first = ((uintptr_t)block / LARGE_PAGE + 1) * LARGE_PAGE;
    end = (uintptr_t)sbrk(0) / LARGE_PAGE * LARGE_PAGE;
    free(block);
    if (first < end && end - first <= 2 * AHEAD) { /* else it lies elsewhere */
        (void)madvise((void *)first, end - first, MADV_HUGEPAGE);
    }
}

static int judge(const th_job *job, const char *path, const th_options *options, th_text *text,
                 th_error *err) {
    th_check check = {0};
    th_outline outline = {0}, taped = {0};
    th_patience patience = {.shown = false};
    const th_check_options how = {.turn_downs = true,
                                  .outline = &outline,
                                  .taped = &taped,
                                  .progress = show_progress,
                                  .context = &patience};
    int code = TH_EXIT_DONE;
    bool done;

    keep_memory();
    clock_gettime(CLOCK_MONOTONIC, &patience.start);
    done = th_job_outlines_read(job, path, &outline, &taped, err) &&
           th_check_run(job, &how, &check, err);
    clear_progress(&patience);
    if (!done || !report(job, &check, options, text, err)) {
        code = th_status_exit(err->code);
    } else if (check.verdict != TH_HOLDS) {
        code = TH_EXIT_NOT_HELD;
    }
    th_check_free(&check);
    th_outline_free(&outline);
    th_outline_free(&taped);
    return code;
}

int th_check_report(const char *path, const th_options *options, const th_tables *tables,
                    th_text *text, th_error *err) {
    th_ini shop = {0};
    th_job *job = NULL;
    int code;
    if ((!options->no_shop && !th_shop_read(&shop, err)) ||
        !th_job_read(path, options->no_shop ? NULL : &shop, options->settings,
                     options->setting_count, tables, &job, err)) {
        code = th_status_exit(err->code);
    } else {
        code = judge(job, path, options, text, err);
    }
    th_job_free(job);
    th_ini_free(&shop);
    return code;
}

static int check_job(const th_options *options) {
    th_tables *tables = NULL;
    th_text text = {0};
    th_error err = {0};
    int code;
    if (!th_options_tables(options, &tables, &err)) {
        code = th_status_exit(err.code);
    } else {
        code = th_check_report(options->words[0], options, tables, &text, &err);
    }
    th_tables_free(tables);
    if (code == TH_EXIT_BAD_INPUT || code == TH_EXIT_FAILED) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    return th_cli_output(&text, code);
}

int th_verb_check(int argc, char **argv) {
    static const struct argp_option table[] = {
        {"all", TH_OPTION_ALL, NULL, 0, "Print everything: every stage, factor and source", 0},
        {"json", TH_OPTION_JSON, NULL, 0, "Print JSON, always metric", 0},
        {"set", TH_OPTION_SET, "SECTION.KEY=VALUE", 0, "Set one value over the job's; repeatable",
         0},
        {"tables", TH_OPTION_TABLES, "DIR", 0,
         "Add tables from a directory, after those of TACKHOLD_TABLES; repeatable", 0},
        {"no-shop", TH_OPTION_NO_SHOP, NULL, 0, "Leave the defaults of shop.ini out", 0},
        {0},
    };
    static const struct argp argp = {
        .options = table,
        .parser = th_options_parse,
        .args_doc = "JOB",
        .doc = "Tell whether the part stays put under the cuts of a job, and what to turn down if "
               "it does not. JOB is a file, or - for standard input.\v"
               "Example: tackhold check examples/clock-dial.ini --set cut.2.axial=0.3mm\n\n"
               "--all counts the stages from 1; governs.stage in the JSON is the place in its list "
               "of stages, which counts from 0.\n\n"
               "Exit codes: 0 holds, 1 does not hold, 2 bad input, 3 failure.",
    };
    th_options options = {
        .words_needed = 1, .words_most = 1, .needs = "a job file, or - for standard input"};
    th_error err;
    int code;
    if (!th_options_init(&options, argc, &err)) {
        code = th_cli_fail(&err);
    } else {
        if (argp_parse(&argp, argc, argv, 0, NULL, &options) != 0) {
            th_fail_memory(&err);
            return th_cli_fail(&err);
        }
        code = check_job(&options);
    }
    th_options_free(&options);
    return code;
}
