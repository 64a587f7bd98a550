/* hold.c - the least program on the library: is a job safe, and how far from letting go?
 *
 *     cc hold.c $(pkg-config --cflags --libs tackhold) -o hold
 *     ./hold bracket.ini
 *
 * C and C++ alike. Ends as the command line does: 0 holds, 1 does not, 2 bad input, 3 its own
 * failure. */
#include <stdio.h>

#include <tackhold/advice.h>
#include <tackhold/files.h>

/* What a judgement stands on. All of it must outlive the check. */
typedef struct {
    th_tables *tables;
    th_job *job;
    th_outline part, taped; /* drawings that the job names */
} job_read;

static bool read_job(const char *path, job_read *made, th_error *err) {
    return th_tables_load(NULL, 0, &made->tables, err) &&
           th_job_read(path, NULL, NULL, 0, made->tables, &made->job, err) &&
           th_job_outlines_read(made->job, path, &made->part, &made->taped, err);
}

static void free_job(job_read *made) {
    th_outline_free(&made->part);
    th_outline_free(&made->taped);
    th_job_free(made->job);
    th_tables_free(made->tables);
}

static void complain(const th_error *err) {
    if (err->file[0] != '\0') {
        fprintf(stderr, "%s:%d: ", err->file, err->line);
    }
    fprintf(stderr, "%s\n", err->message);
}

int main(int count, char **words) {
    static job_read made;            /* all zero */
    static th_check_options options; /* no search for turn-downs */
    static th_check check;
    static th_error err;
    int status = 2;

    if (count != 2) {
        fprintf(stderr, "usage: hold JOB\n");
        return status;
    }
    options.outline = &made.part;
    options.taped = &made.taped;
    if (read_job(words[1], &made, &err) && th_check_run(made.job, &options, &check, &err)) {
        printf("%s: hold factor %.3f, asked %.3f%s\n", th_verdict_name(check.verdict),
               check.hold_factor, check.asked_factor,
               check.estimate ? " (rests on estimates)" : "");
        for (size_t i = 0; i < check.cautions.count; i++) {
            printf("caution: %s\n", check.cautions.items[i]);
        }
        status = check.verdict == TH_HOLDS ? 0 : 1;
    } else {
        complain(&err);
        status = th_status_exit(err.code);
    }
    th_check_free(&check);
    free_job(&made);
    return status;
}
