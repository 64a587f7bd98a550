/* log_append.c - one more record for the shop's own log: whole or not at all, nothing lost. */
#define _GNU_SOURCE
#include "log_file.h"
#include "log_line.h"
#include "place.h"
#include "signals.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

/* A record is far shorter: a longer last line is none. */
enum { TAIL_MAX = 64 * 1024 };

static bool fail(th_error *err, const char *path, const char *reason) {
    return th_fail_at(err, TH_NOT_WRITTEN, path, 0, "the log was not written: %s", reason);
}

/* ---- lock -------------------------------------------------------------------------------------
 */

bool th_log_hold(int fd, bool to_write) {
    const struct timespec while_waiting = {0, 10000000};
    int how = (to_write ? LOCK_EX : LOCK_SH) | LOCK_NB;

    for (int i = 0; i < 1000; i++) {
        if (flock(fd, how) == 0) {
            return true;
        }
        if (errno != EWOULDBLOCK && errno != EINTR) {
            return true;
        }
        nanosleep(&while_waiting, NULL);
    }
    return false;
}

/* Open to append, not in the place of a standard stream that is closed: what is meant for that
 * would go into the log. -1 with errno on failure. */
static int open_log(const char *path) {
    int fd = open(path, O_RDWR | O_APPEND | O_CREAT | O_CLOEXEC | O_NONBLOCK | O_NOCTTY, 0666);

    if (fd >= 0 && fd <= STDERR_FILENO) {
        int higher = fcntl(fd, F_DUPFD_CLOEXEC, STDERR_FILENO + 1);
        int reason = errno;
        close(fd);
        errno = reason;
        fd = higher;
    }
    return fd;
}

/* An editor may have put another file in its place while the lock was waited for. */
static bool still_there(int fd, const char *path) {
    struct stat own, named;

    return fstat(fd, &own) == 0 && stat(path, &named) == 0 && own.st_dev == named.st_dev &&
           own.st_ino == named.st_ino;
}

static int hold_log(const char *path, th_error *err) {
    for (int i = 0; i < 10; i++) {
        struct stat info;
        int fd = open_log(path);
        if (fd < 0 || fstat(fd, &info) != 0 || !S_ISREG(info.st_mode)) {
            fail(err, path, fd < 0 ? strerror(errno) : "it is no plain file");
        } else if (!th_log_hold(fd, true)) {
            fail(err, path, "another program has kept it locked for 10 s");
        } else if (still_there(fd, path)) {
            return fd;
        } else {
            close(fd);
            continue;
        }
        if (fd >= 0) {
            close(fd);
        }
        return -1;
    }
    fail(err, path, "it is replaced again and again");
    return -1;
}

/* ---- the last line ----------------------------------------------------------------------------
 */

/* Whether a last line without newline is all there, as the reader takes it. */
static bool is_whole(const char *line, size_t n, th_error *err, bool *whole) {
    th_arena arena = {NULL};
    th_log_record record;
    char why[TH_LOG_WHY] = "";

    n -= n > 0 && line[n - 1] == '\r'; /* of an editor */
    *whole = n == 0 || line[0] == '#' || th_log_parse(line, n, &arena, &record, why);
    th_arena_free(&arena);
    return *whole || why[0] != '\0' || th_fail_memory(err);
}

/* What ends the last line, where it has no end: nothing of it is taken out. */
static bool end_last_line(int fd, const char *path, off_t size, th_text *text, th_error *err) {
    size_t n = size < TAIL_MAX ? (size_t)size : TAIL_MAX;
    char *tail = malloc(n + 1);
    bool whole = false, fine = true;

    if (!tail) {
        return th_fail_memory(err);
    }
    if (pread(fd, tail, n, size - (off_t)n) != (ssize_t)n) {
        free(tail);
        return fail(err, path, "its last line cannot be read");
    }
    if (tail[n - 1] != '\n') {
        const char *newline = memrchr(tail, '\n', n);
        const char *line = newline ? newline + 1 : tail;
        if (newline || (off_t)n == size) {
            fine = is_whole(line, (size_t)(tail + n - line), err, &whole);
        }
        th_text_put(text, whole ? "\n" : "\t" TH_LOG_TORN "\n");
    }
    free(tail);
    return fine;
}

/* ---- the record -------------------------------------------------------------------------------
 */

/* Append to a file that is held; failing that it is cut back to the length it had. */
static bool append(int fd, const char *path, const th_log_record *record, th_error *err) {
    th_text text = {NULL, 0, 0, false};
    struct stat info;
    bool fine = fstat(fd, &info) == 0 || fail(err, path, strerror(errno));

    if (fine && info.st_size > 0) {
        fine = end_last_line(fd, path, info.st_size, &text, err);
    } else if (fine) {
        th_log_head(&text);
    }
    th_log_line(record, &text);
    fine = fine && (!text.failed || th_fail_memory(err));
    if (fine && info.st_size + (off_t)text.size > TH_LOG_SIZE_MAX) {
        fine = fail(err, path, "it would exceed 64 MiB; move it aside");
    }
    if (fine && !(th_write_all(fd, text.data, text.size) && fsync(fd) == 0)) {
        fine = fail(err, path, strerror(errno));
        if (ftruncate(fd, info.st_size) == 0) {
            (void)fsync(fd);
        }
    }
    th_text_free(&text);
    return fine;
}

bool th_log_append(const char *path, const th_log_record *record, th_error *err) {
    if (record->note && strlen(record->note) > TH_LOG_NOTE_MAX) {
        return th_fail(err, TH_BAD_RANGE, "a note of %zu bytes is too long; at most %d",
                       strlen(record->note), (int)TH_LOG_NOTE_MAX);
    }
    if (!th_make_way(path, err)) {
        return false;
    }
    int fd = hold_log(path, err);
    if (fd < 0) {
        return false;
    }
    th_signals signals;
    th_signals_keep(&signals);
    bool fine = append(fd, path, record, err);
    th_signals_release(&signals);
    if (close(fd) != 0 && fine) { /* which lets go of it */
        fine = fail(err, path, strerror(errno));
    }
    if (fine) {
        th_flush_directory(path);
    }
    return fine;
}
