/* log_read.c - the shop's own log from disk. */
#define _GNU_SOURCE
#include "config.h"
#include "log_file.h"
#include "log_line.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

void th_log_free(th_log *log) {
    if (log) {
        th_arena_free(&log->arena);
        free(log->items);
        *log = (th_log){.items = NULL};
    }
}

bool th_log_path(char *path, size_t size, th_error *err) {
    return th_data_path("log", path, size) ||
           th_fail(err, TH_BAD_FILE,
                   "there is no place for the log: neither XDG_DATA_HOME nor HOME names one");
}

/* ---- text -------------------------------------------------------------------------------------
 */

typedef struct {
    const char *name;
    th_log *log;
    size_t capacity;
    int line;
} reader;

static bool make_room(reader *r) {
    if (r->log->count < r->capacity) {
        return true;
    }
    size_t capacity = r->capacity ? 2 * r->capacity : 64;
    th_log_record *items = realloc(r->log->items, capacity * sizeof *items);
    if (items) {
        r->log->items = items;
        r->capacity = capacity;
    }
    return items != NULL;
}

static bool note_fault(reader *r, const char *why) {
    return r->log->skipped++ >= TH_LOG_FAULTS_MAX ||
           th_lines_add(&r->log->faults, &r->log->arena, "%s:%d: %s; left out", r->name, r->line,
                        why);
}

static bool note_torn(reader *r) {
    if (r->log->torn < TH_LOG_FAULTS_MAX) {
        r->log->torn_lines[r->log->torn] = (size_t)r->line;
    }
    r->log->torn++;
    return true;
}

/* A line without its newline; `ended`: it had one. False when out of memory. */
static bool read_line(reader *r, const char *text, size_t n, bool ended) {
    char why[TH_LOG_WHY];

    n -= n > 0 && text[n - 1] == '\r'; /* of an editor */
    if (n == 0 || text[0] == '#') {
        return true;
    }
    if (th_log_ends_in(text, n, TH_LOG_TORN)) {
        return note_torn(r);
    }
    if (!make_room(r)) {
        return false;
    }
    if (th_log_parse(text, n, &r->log->arena, &r->log->items[r->log->count], why)) {
        r->log->items[r->log->count++].line = r->line;
        return true;
    }
    return why[0] != '\0' && (ended ? note_fault(r, why) : note_torn(r));
}

bool th_log_scan(const char *text, size_t size, const char *name, th_log *log, th_error *err) {
    reader r = {.name = name, .log = log};
    const char *end = text + size;

    for (const char *p = text; p < end;) {
        const char *newline = memchr(p, '\n', (size_t)(end - p));
        const char *to = newline ? newline : end;
        r.line++;
        if (!read_line(&r, p, (size_t)(to - p), newline != NULL)) {
            return th_fail_memory(err);
        }
        p = to + 1;
    }
    return true;
}

/* ---- file -------------------------------------------------------------------------------------
 */

static bool fail_file(th_error *err, const char *path, const char *reason) {
    return th_fail_at(err, TH_BAD_FILE, path, 0, "the log cannot be read: %s", reason);
}

static bool read_all(int fd, char *text, size_t size, size_t *got) {
    for (*got = 0; *got < size;) {
        ssize_t n = read(fd, text + *got, size - *got);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n <= 0) {
            return n == 0;
        }
        *got += (size_t)n;
    }
    return true;
}

static bool read_file(int fd, const char *path, th_log *log, th_error *err) {
    struct stat info;
    size_t size = 0;

    if (fstat(fd, &info) != 0) {
        return fail_file(err, path, strerror(errno));
    }
    if (!S_ISREG(info.st_mode)) {
        return fail_file(err, path, "it is no plain file");
    }
    if (info.st_size > TH_LOG_SIZE_MAX) {
        return fail_file(err, path, "it is larger than 64 MiB; move it aside");
    }
    char *text = malloc((size_t)info.st_size + 1);
    if (!text) {
        return th_fail_memory(err);
    }
    bool fine =
        read_all(fd, text, (size_t)info.st_size, &size) || fail_file(err, path, strerror(errno));
    fine = fine && th_log_scan(text, size, path, log, err);
    free(text);
    return fine;
}

bool th_log_read(const char *path, th_log *log, th_error *err) {
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);

    if (fd < 0) {
        return errno == ENOENT || errno == ENOTDIR || fail_file(err, path, strerror(errno));
    }
    (void)th_log_hold(fd, false); /* what cannot be locked is read all the same */
    bool fine = read_file(fd, path, log, err);
    close(fd);
    return fine;
}
