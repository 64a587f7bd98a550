/* program_read.c - the text of a program from disk. */
#define _POSIX_C_SOURCE 200809L
#include "tackhold/files.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { FIRST_ROOM = 1 << 16 };

static bool refuse(th_error *err, const char *name, const char *reason) {
    return th_fail_at(err, TH_BAD_FILE, name, 0, "%s", reason);
}

static int open_program(const char *path, const char *name, th_error *err) {
    struct stat info;
    int fd = strcmp(path, "-") == 0 ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC);

    if (fd < 0) {
        refuse(err, name, errno == ENOENT ? "there is no such file" : strerror(errno));
        return -1;
    }
    if (fstat(fd, &info) == 0 && S_ISDIR(info.st_mode)) {
        refuse(err, name, "is a directory; name the program in it");
    } else if (S_ISREG(info.st_mode) && info.st_size > TH_PROGRAM_FILE_MAX) {
        refuse(err, name, "is larger than 256 MiB");
    } else {
        return fd;
    }
    if (fd != STDIN_FILENO) {
        close(fd);
    }
    return -1;
}

static bool grow(char **text, size_t *room, th_error *err) {
    char *more = realloc(*text, 2 * *room);

    if (!more) {
        return th_fail_memory(err);
    }
    *text = more;
    *room *= 2;
    return true;
}

static bool read_whole(int fd, const char *name, char **text, size_t *size, th_error *err) {
    size_t room = FIRST_ROOM;

    *size = 0;
    *text = malloc(room);
    if (!*text) {
        return th_fail_memory(err);
    }
    for (;;) {
        ssize_t n = read(fd, *text + *size, room - *size);
        if (n == 0) {
            return true;
        }
        if (n < 0 && errno != EINTR) {
            return refuse(err, name, strerror(errno));
        }
        *size += n < 0 ? 0 : (size_t)n;
        if (*size > TH_PROGRAM_FILE_MAX) {
            return refuse(err, name, "is larger than 256 MiB");
        }
        if (*size == room && !grow(text, &room, err)) {
            return false;
        }
    }
}

static bool begins(const char *text, size_t size, const char *mark, size_t length) {
    return size >= length && memcmp(text, mark, length) == 0;
}

static bool is_text(const char *name, const char *text, size_t size, th_error *err) {
    if (size == 0) {
        return refuse(err, name, "is empty");
    }
    if (begins(text, size, "\xFF\xFE", 2) || begins(text, size, "\xFE\xFF", 2)) {
        return refuse(err, name, "is in UTF-16; save the program as plain text");
    }
    if (memchr(text, '\0', size) || begins(text, size, "PK\x03\x04", 4) ||
        begins(text, size, "%PDF", 4) || begins(text, size, "\x1F\x8B", 2)) {
        return refuse(err, name, "is no text; name the program as the machine runs it");
    }
    return true;
}

char *th_program_slurp(const char *path, size_t *size, th_error *err) {
    const char *name = strcmp(path, "-") == 0 ? "standard input" : path;
    char *text = NULL;
    int fd = open_program(path, name, err);
    bool fine;

    if (fd < 0) {
        return NULL;
    }
    fine = read_whole(fd, name, &text, size, err) && is_text(name, text, *size, err);
    if (fd != STDIN_FILENO) {
        close(fd);
    }
    if (!fine) {
        free(text);
        return NULL;
    }
    return text;
}
