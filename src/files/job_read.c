/* job_read.c - a job file with the shop's defaults below it and settings on top. */
#include "config.h"
#include "tackhold/files.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#ifndef PATH_MAX
#define PATH_MAX 4096
#endif

/* The base directory that `variable` names, which must be absolute, or the usual one. */
static bool own_path(const char *variable, const char *usual, const char *name, char *path,
                     size_t size) {
    const char *base = getenv(variable);
    const char *home = getenv("HOME");
    int n = -1;

    if (base && base[0] == '/') {
        n = snprintf(path, size, "%s/tackhold/%s", base, name);
    } else if (home && *home) {
        n = snprintf(path, size, "%s/%s/tackhold/%s", home, usual, name);
    }
    return n >= 0 && (size_t)n < size;
}

bool th_config_path(const char *name, char *path, size_t size) {
    return own_path("XDG_CONFIG_HOME", ".config", name, path, size);
}

bool th_data_path(const char *name, char *path, size_t size) {
    return own_path("XDG_DATA_HOME", ".local/share", name, path, size);
}

bool th_shop_read(th_ini *ini, th_error *err) {
    char path[PATH_MAX];
    struct stat info;

    if (!th_config_path("shop.ini", path, sizeof path) ||
        (stat(path, &info) != 0 && (errno == ENOENT || errno == ENOTDIR))) {
        return true;
    }
    return th_ini_read(path, TH_FROM_SHOP, ini, err);
}

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

bool th_job_read(const char *path, const th_ini *shop, const char *const *settings, size_t count,
                 const th_tables *tables, th_job **job, th_error *err) {
    th_ini ini = {{NULL}, NULL, 0};
    th_entry *all = NULL;
    size_t total = 0;
    bool fine = th_ini_read(path, TH_FROM_JOB, &ini, err);

    if (fine) {
        all = gather(shop, &ini, settings, count, &ini.arena, &total, err);
        fine = all && th_job_build(all, total, tables, job, err);
    }
    free(all);
    th_ini_free(&ini);
    return fine;
}
