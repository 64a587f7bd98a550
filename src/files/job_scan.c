/* job_scan.c - a job with the shop's defaults below it and settings on top. */
#include "tackhold/files.h"

#include <stdlib.h>
#include <string.h>

/* Entries of all origins in one array. */
static th_entry *gather(const th_ini *shop, const th_ini *job, const char *const *settings,
                        size_t count, th_arena *arena, size_t *total, th_error *err) {
    size_t from_shop = shop ? shop->count : 0;
    th_entry *all = malloc((from_shop + job->count + count + 1) * sizeof *all);

    if (!all) {
        th_fail_memory(err);
        return NULL;
    }
    if (from_shop) {
        memcpy(all, shop->items, from_shop * sizeof *all);
    }
    memcpy(all + from_shop, job->items, job->count * sizeof *all);
    *total = from_shop + job->count;
    for (size_t i = 0; i < count; i++) {
        if (!th_setting_read(settings[i], arena, &all[*total], err)) {
            free(all);
            return NULL;
        }
        (*total)++;
    }
    return all;
}

bool th_job_of(th_ini *ini, const th_job_layers *on, const th_tables *tables, th_job **job,
               th_error *err) {
    size_t total = 0;
    th_entry *all = gather(on->shop, ini, on->settings, on->count, &ini->arena, &total, err);
    bool fine = all && (on->bare ? th_job_build_bare(all, total, tables, job, err)
                                 : th_job_build(all, total, tables, job, err));

    free(all);
    return fine;
}

bool th_job_scan(const char *text, size_t size, const char *name, const th_ini *shop,
                 const char *const *settings, size_t count, const th_tables *tables, th_job **job,
                 th_error *err) {
    th_ini ini = {{NULL}, NULL, 0};
    const th_job_layers on = {shop, settings, count, false};
    bool fine = th_ini_scan(text, size, name, TH_FROM_JOB, &ini, err) &&
                th_job_of(&ini, &on, tables, job, err);

    th_ini_free(&ini);
    return fine;
}
