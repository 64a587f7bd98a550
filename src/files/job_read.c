/* job_read.c - where jobs and the shop's defaults lie on disk. */
#include "config.h"
#include "tackhold/files.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
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

static bool read_job(const char *path, const th_job_layers *on, const th_tables *tables,
                     th_job **job, th_error *err) {
    th_ini ini = {{NULL}, NULL, 0};
    bool fine = th_ini_read(path, TH_FROM_JOB, &ini, err) && th_job_of(&ini, on, tables, job, err);

    th_ini_free(&ini);
    return fine;
}

bool th_job_read(const char *path, const th_ini *shop, const char *const *settings, size_t count,
                 const th_tables *tables, th_job **job, th_error *err) {
    return read_job(path, &(th_job_layers){shop, settings, count, false}, tables, job, err);
}

bool th_job_read_bare(const char *path, const th_ini *shop, const char *const *settings,
                      size_t count, const th_tables *tables, th_job **job, th_error *err) {
    return read_job(path, &(th_job_layers){shop, settings, count, true}, tables, job, err);
}
