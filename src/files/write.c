/* write.c - a whole file or nothing. */
#define _GNU_SOURCE /* mkstemp, fsync */
#include "place.h"
#include "signals.h"
#include "tackhold/files.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bool fail(th_error *err, const char *path, const char *reason) {
    return th_fail_at(err, TH_NOT_WRITTEN, path, 0, "not written: %s", reason);
}

static mode_t usual_mode(void) {
    mode_t mask = umask(0);
    umask(mask);
    return (mode_t)(0666 & ~mask);
}

/* Give the temporary its name. Without `replace` an existing file must stay: a rename told so fails
 * where the name is taken, and so does a hard link, for file systems that know no such rename. */
static bool publish(const char *temporary, const char *path, bool replace, th_error *err) {
    if (replace) {
        return rename(temporary, path) == 0 || fail(err, path, strerror(errno));
    }
    if (renameat2(AT_FDCWD, temporary, AT_FDCWD, path, RENAME_NOREPLACE) == 0) {
        return true;
    }
    if (errno != EEXIST && link(temporary, path) == 0) {
        unlink(temporary);
        return true;
    }
    if (errno == EEXIST || access(path, F_OK) == 0) { /* the latter without hard links */
        return fail(err, path, "it exists already");
    }
    return rename(temporary, path) == 0 || fail(err, path, strerror(errno));
}

typedef struct {
    const char *path;
    char *temporary; /* a template for its name */
    const char *text;
    size_t size;
    mode_t mode;
    bool replace;
} whole_file;

static bool write_whole(const whole_file *w, th_error *err) {
    int fd = mkstemp(w->temporary);
    bool fine;

    if (fd < 0 && errno == ENOENT) {
        return th_fail_at(err, TH_BAD_FILE, w->path, 0,
                          "not written: there is no folder of that name to write into; make it "
                          "first, or name another place");
    }
    if (fd < 0) {
        return fail(err, w->path, strerror(errno));
    }
    fine = (fchmod(fd, w->mode) == 0 && th_write_all(fd, w->text, w->size) && fsync(fd) == 0) ||
           fail(err, w->path, strerror(errno));
    if (close(fd) != 0 && fine) {
        fine = fail(err, w->path, strerror(errno));
    }
    fine = fine && publish(w->temporary, w->path, w->replace, err);
    if (!fine) {
        unlink(w->temporary);
    }
    return fine;
}

bool th_file_write(const char *path, const char *text, size_t size, bool replace, th_error *err) {
    char temporary[PATH_MAX];
    int n = snprintf(temporary, sizeof temporary, "%s.XXXXXX", path);
    struct stat info;
    mode_t mode = usual_mode();
    th_signals signals;
    bool fine;

    if (n < 0 || (size_t)n >= sizeof temporary) {
        return fail(err, path, "its name is too long");
    }
    if (!replace && access(path, F_OK) == 0) {
        return fail(err, path, "it exists already");
    }
    if (stat(path, &info) == 0 && !S_ISREG(info.st_mode)) {
        /* the rename would put a file in the place of a device or a pipe */
        return fail(err, path, S_ISDIR(info.st_mode) ? "it is a directory" : "it is no plain file");
    }
    if (replace && stat(path, &info) == 0) {
        mode = info.st_mode & 0777; /* as private as the file that it takes the place of */
    }
    const whole_file whole = {path, temporary, text, size, mode, replace};
    th_signals_keep(&signals);
    fine = write_whole(&whole, err);
    th_signals_release(&signals);
    if (fine) {
        th_flush_directory(path);
    }
    return fine;
}
