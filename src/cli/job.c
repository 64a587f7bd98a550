/* A job with all that it stands on, as the verbs take it from the command line. */
#define _POSIX_C_SOURCE 200809L

#include <math.h>
#include <stdio.h>
#include <unistd.h>

#include "cli.h"

static void show_progress(void *context) {
    th_patience *patience = context;
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    double passed = (double)(now.tv_sec - patience->start.tv_sec) +
                    1e-9 * (double)(now.tv_nsec - patience->start.tv_nsec);
    if (passed > patience->told + 1 && isatty(STDERR_FILENO)) {
        fprintf(stderr, "\rtackhold: working it out, %.0f s", floor(passed));
        patience->told = floor(passed);
    }
}

void th_patience_begin(th_patience *patience) {
    patience->told = 0;
    clock_gettime(CLOCK_MONOTONIC, &patience->start);
}

void th_patience_end(const th_patience *patience) {
    if (patience->told > 0) {
        fputs("\r                                     \r", stderr);
    }
}

bool th_cli_job_open(const char *path, const th_options *options, th_cli_job *opened,
                     th_error *err) {
    bool (*read)(const char *, const th_ini *, const char *const *, size_t, const th_tables *,
                 th_job **, th_error *) = options->bare ? th_job_read_bare : th_job_read;

    *opened = (th_cli_job){.job = NULL};
    th_cli_keep_heap();
    th_patience_begin(&opened->patience);
    opened->how = (th_check_options){.outline = &opened->outline,
                                     .taped = &opened->taped,
                                     .progress = show_progress,
                                     .context = &opened->patience};
    return th_cli_has_plate_room(err) && th_options_tables(options, &opened->tables, err) &&
           (options->no_shop || th_shop_read(&opened->shop, err)) &&
           read(path, options->no_shop ? NULL : &opened->shop, options->settings,
                options->setting_count, opened->tables, &opened->job, err) &&
           th_job_outlines_read(opened->job, path, &opened->outline, &opened->taped, err);
}

void th_cli_job_close(th_cli_job *opened) {
    th_patience_end(&opened->patience);
    th_outline_free(&opened->outline);
    th_outline_free(&opened->taped);
    th_job_free(opened->job);
    th_ini_free(&opened->shop);
    th_tables_free(opened->tables);
}
