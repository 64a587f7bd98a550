/* place.c - the directory that a file of the user's own lies in. */
#define _GNU_SOURCE
#include "place.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

bool th_make_way(const char *path, th_error *err) {
    char way[PATH_MAX];

    snprintf(way, sizeof way, "%s", path);
    for (char *slash = strchr(way + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        if (mkdir(way, 0700) != 0 && errno != EEXIST) { /* private, as configuration is to be */
            return th_fail_at(err, TH_NOT_WRITTEN, path, 0, "not written: %s cannot be made: %s",
                              way, strerror(errno));
        }
        *slash = '/';
    }
    return true;
}

void th_flush_directory(const char *path) {
    char directory[PATH_MAX];
    char *slash;
    int fd;

    snprintf(directory, sizeof directory, "%s", path);
    slash = strrchr(directory, '/');
    if (slash) {
        slash[slash == directory] = '\0';
    } else {
        snprintf(directory, sizeof directory, ".");
    }
    fd = open(directory, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd >= 0) {
        (void)fsync(fd);
        close(fd);
    }
}

bool th_write_all(int fd, const char *text, size_t size) {
    while (size > 0) {
        ssize_t n = write(fd, text, size);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n <= 0) {
            return false;
        }
        text += n;
        size -= (size_t)n;
    }
    return true;
}
