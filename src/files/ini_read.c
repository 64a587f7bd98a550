/* ini_read.c - an INI file from disk: our strict scan first, then iniparser. */
#define _GNU_SOURCE /* memfd_create */
#include "place.h"
#include "scan.h"
#include "slurp.h"
#include "tackhold/files.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <iniparser/iniparser.h>

static bool fail_file(th_error *err, const char *name, const char *reason) {
    return th_fail_at(err, TH_BAD_FILE, name, 0, "%s", reason);
}

/* ---- bytes -------------------------------------------------------------------------------------
 */

static int open_input(const char *path, const char *name, th_error *err) {
    struct stat info;
    int fd;

    if (strcmp(path, "-") == 0) {
        return STDIN_FILENO;
    }
    if (stat(path, &info) != 0) {
        fail_file(err, name, errno == ENOENT ? "there is no such file" : strerror(errno));
        return -1;
    }
    if (S_ISDIR(info.st_mode)) {
        fail_file(err, name, "is a directory; name the file in it");
        return -1;
    }
    if (!S_ISREG(info.st_mode) && !S_ISFIFO(info.st_mode)) {
        fail_file(err, name, "is neither a plain file nor a pipe");
        return -1;
    }
    if (S_ISREG(info.st_mode) && info.st_size > TH_FILE_SIZE_MAX) {
        fail_file(err, name, "is larger than 1 MiB");
        return -1;
    }
    fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0) {
        fail_file(err, name, strerror(errno));
    }
    return fd;
}

/* At most one byte more than allowed, so that too much is seen. */
static bool read_all(int fd, char *buffer, size_t most, size_t *size) {
    *size = 0;
    while (*size < most) {
        ssize_t n = read(fd, buffer + *size, most - *size);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n < 0) {
            return false;
        }
        if (n == 0) {
            break;
        }
        *size += (size_t)n;
    }
    return true;
}

char *th_file_slurp(const char *path, const char *name, bool may_be_empty, size_t *size,
                    th_error *err) {
    size_t most = (size_t)TH_FILE_SIZE_MAX + 1;
    char *buffer = malloc(most);
    int fd = buffer ? open_input(path, name, err) : -1;
    bool fine = false;

    if (!buffer) {
        th_fail_memory(err);
        return NULL;
    }
    if (fd >= 0) {
        fine = read_all(fd, buffer, most, size) || fail_file(err, name, strerror(errno));
        if (fd != STDIN_FILENO) {
            close(fd);
        }
    }
    if (fine && *size == 0 && !may_be_empty) {
        fine = fail_file(err, name, "is empty");
    }
    if (fine && *size > TH_FILE_SIZE_MAX) {
        fine = fail_file(err, name, "is larger than 1 MiB");
    }
    if (!fine) {
        free(buffer);
        return NULL;
    }
    return buffer;
}

/* ---- iniparser ----------------------------------------------------------------------------------
 */

static int ignore_message(const char *format, ...) {
    (void)format;
    return 0;
}

/* iniparser does not look whether it got the memory for its lists. So as much as it may need is
 * asked for first, and given back to be at hand. */
static bool has_room(const th_ini *ini, th_error *err) {
    size_t need = 65536; /* the file's buffer, and lists at their first size */

    for (size_t i = 0; i < ini->count; i++) {
        const th_entry *entry = &ini->items[i];
        need += 2 * strlen(entry->section) + strlen(entry->key) + strlen(entry->value) + 256;
    }
    void *volatile block = malloc(need); /* or the compiler sees that nothing comes of it */
    bool there = block != NULL;
    free(block);
    return there || th_fail_memory(err);
}

/* iniparser only loads from a path: hand it the very bytes that were scanned. A last line of one
 * character without a line end would be lost, so one is added. */
static dictionary *load(const char *text, size_t size, const char *name, th_error *err) {
    char path[64];
    dictionary *loaded = NULL;
    int fd = memfd_create("tackhold", MFD_CLOEXEC);

    if (fd < 0 || !th_write_all(fd, text, size) || !th_write_all(fd, "\n", 1)) {
        th_fail_at(err, TH_NO_MEMORY, name, 0,
                   "cannot be handed to the INI library: no room in memory for a file");
        if (fd >= 0) {
            close(fd);
        }
        return NULL;
    }
    snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
    iniparser_set_error_callback(ignore_message);
    errno = 0;
    loaded = iniparser_load(path);
    if (errno == ENOMEM) { /* it then gives a part of the file without a word */
        iniparser_freedict(loaded);
        loaded = NULL;
        th_fail_memory(err);
    } else if (!loaded) {
        th_fail_at(err, TH_BAD_SYNTAX, name, 0, "the INI library cannot read it");
    }
    close(fd);
    return loaded;
}

/* iniparser must give the keys that were scanned, no more, and their very values. Out of memory, it
 * gives what it had by then without a word. */
static bool compare(const th_ini *ini, dictionary *loaded, const char *name, th_error *err) {
    int keys = loaded->n - iniparser_getnsec(loaded);

    for (size_t i = 0; i < ini->count; i++) {
        const th_entry *entry = &ini->items[i];
        char key[2000];
        const char *value;
        snprintf(key, sizeof key, "%s:%s", entry->section, entry->key);
        value = iniparser_getstring(loaded, key, NULL);
        if (!value || strcmp(value, entry->value) != 0) {
            return th_fail_at(err, TH_BAD_SYNTAX, name, entry->line,
                              "[%s] %s reads differently to the INI library (\"%.40s\"); write the "
                              "value in a simpler way",
                              entry->section, entry->key, value ? value : "nothing");
        }
    }
    if (keys < 0 || (size_t)keys != ini->count) {
        return th_fail_at(err, TH_BAD_SYNTAX, name, 0,
                          "the INI library finds %d keys in it where there are %zu", keys,
                          ini->count);
    }
    return true;
}

bool th_ini_read(const char *path, th_origin origin, th_ini *ini, th_error *err) {
    const char *name = strcmp(path, "-") == 0 ? "standard input" : path;
    size_t size = 0;
    char *text = th_file_slurp(path, name, origin == TH_FROM_SHOP, &size, err);
    dictionary *loaded;
    bool fine;

    if (!text) {
        return false;
    }
    fine = th_ini_scan(text, size, name, origin, ini, err);
    if (fine) {
        size_t mark = th_scan_mark(text, size); /* iniparser would take it for text */
        loaded = has_room(ini, err) ? load(text + mark, size - mark, name, err) : NULL;
        fine = loaded && compare(ini, loaded, name, err);
        if (loaded) {
            iniparser_freedict(loaded);
        }
    }
    free(text);
    return fine;
}
