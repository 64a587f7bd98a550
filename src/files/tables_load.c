/* tables_load.c - where the tables lie, and reading them. */
#define _GNU_SOURCE
#include "config.h"
#include "tackhold/files.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#ifndef TH_DATADIR
#define TH_DATADIR "/usr/local/share/tackhold"
#endif

static bool is_file(const char *path) {
    struct stat info;
    return stat(path, &info) == 0 && !S_ISDIR(info.st_mode);
}

/* Whether anything stands there, readable or not. */
static bool is_there(const char *path) {
    struct stat info;
    return stat(path, &info) == 0 || (errno != ENOENT && errno != ENOTDIR);
}

static bool is_directory(const char *path) {
    struct stat info;
    return stat(path, &info) == 0 && S_ISDIR(info.st_mode);
}

/* False when the path does not fit. */
static bool join(char *path, size_t size, const char *in, const char *name) {
    int n = snprintf(path, size, "%s/%s", in, name);
    return n > 0 && (size_t)n < size;
}

static bool holds_tables(const char *directory) {
    char path[PATH_MAX];
    return join(path, sizeof path, directory, "stock.ini") && is_file(path);
}

/* Directory of the running program, "" when it cannot be told. */
static void program_directory(char *directory, size_t size) {
    ssize_t n = readlink("/proc/self/exe", directory, size - 1);
    char *slash;

    directory[n > 0 ? n : 0] = '\0';
    slash = strrchr(directory, '/');
    if (slash) {
        *slash = '\0';
    }
}

/* The shipped tables: named by the environment, in a build tree, or installed. */
static bool find_shipped(char *directory, size_t size, th_error *err) {
    static const char *const near[] = {"../materials", "../../materials",
                                       "../share/tackhold/materials"};
    const char *named = getenv("TACKHOLD_MATERIALS");
    char program[PATH_MAX];

    if (named && *named) {
        snprintf(directory, size, "%s", named);
        return holds_tables(directory) ||
               th_fail_at(err, TH_BAD_FILE, named, 0,
                          "TACKHOLD_MATERIALS names this directory, but it holds no stock.ini");
    }
    program_directory(program, sizeof program);
    for (size_t i = 0; i < sizeof near / sizeof near[0]; i++) {
        if (join(directory, size, program, near[i]) && holds_tables(directory)) {
            return true;
        }
    }
    snprintf(directory, size, "%s", TH_DATADIR "/materials");
    return holds_tables(directory) ||
           th_fail(err, TH_BAD_FILE,
                   "the materials tables are not to be found beside the program nor in "
                   "%s/materials; set TACKHOLD_MATERIALS to their directory",
                   TH_DATADIR);
}

/* Read what a directory holds; `found` counts the files. */
static bool load_directory(const char *directory, th_origin origin, th_tables *tables, int *found,
                           th_error *err) {
    for (int table = 0; table < TH_TABLE_COUNT; table++) {
        char path[PATH_MAX], name[32];
        th_ini ini = {{NULL}, NULL, 0};
        bool fine;
        snprintf(name, sizeof name, "%s.ini", th_table_name((th_table)table));
        if (!join(path, sizeof path, directory, name) || !is_there(path)) {
            continue;
        }
        (*found)++;
        fine = th_ini_read(path, TH_FROM_TABLE, &ini, err);
        for (size_t i = 0; fine && i < ini.count; i++) {
            ini.items[i].origin = origin; /* read as strictly as any table all the same */
        }
        fine = fine && th_tables_add(tables, (th_table)table, ini.items, ini.count, err);
        th_ini_free(&ini);
        if (!fine) {
            return false;
        }
    }
    return true;
}

static bool load_named(const char *directory, th_tables *tables, th_error *err) {
    int found = 0;

    if (!is_directory(directory)) {
        return th_fail_at(err, TH_BAD_FILE, directory, 0,
                          "no such directory of tables; --tables and TACKHOLD_TABLES name one");
    }
    if (!load_directory(directory, TH_FROM_TABLE, tables, &found, err)) {
        return false;
    }
    return found > 0 ||
           th_fail_at(err, TH_BAD_FILE, directory, 0,
                      "holds none of stock.ini, tape.ini, glue.ini, cutter.ini, machine.ini, "
                      "coolant.ini and plate.ini");
}

/* The user's own tables: there need not be any. */
static bool load_own(th_tables *tables, th_error *err) {
    char own[PATH_MAX];
    int found = 0;

    return !th_config_path("tables", own, sizeof own) || !is_directory(own) ||
           load_directory(own, TH_FROM_SHOP, tables, &found, err);
}

static bool load_all(const char *const *directories, size_t count, bool own, th_tables *tables,
                     th_error *err) {
    char shipped[PATH_MAX];
    int found = 0;

    if (!find_shipped(shipped, sizeof shipped, err) ||
        !load_directory(shipped, TH_FROM_TABLE, tables, &found, err)) {
        return false;
    }
    if (own && !load_own(tables, err)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        if (!load_named(directories[i], tables, err)) {
            return false;
        }
    }
    return true;
}

static bool load(const char *const *directories, size_t count, bool own, th_tables **tables,
                 th_error *err) {
    th_tables *fresh = th_tables_new();

    if (!fresh) {
        return th_fail_memory(err);
    }
    if (!load_all(directories, count, own, fresh, err)) {
        th_tables_free(fresh);
        return false;
    }
    *tables = fresh;
    return true;
}

bool th_tables_load(const char *const *directories, size_t count, th_tables **tables,
                    th_error *err) {
    return load(directories, count, false, tables, err);
}

bool th_tables_load_own(const char *const *directories, size_t count, th_tables **tables,
                        th_error *err) {
    return load(directories, count, true, tables, err);
}
