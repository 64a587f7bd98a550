/* outline_read.c - outlines from disk. */
#define _POSIX_C_SOURCE 200809L
#include "tackhold/files.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* The whole file, or NULL. One byte more than allowed is asked for, to see that there is no more.
 */
static char *read_whole(const char *path, size_t *size, th_error *err) {
    const size_t room = (size_t)TH_OUTLINE_SIZE_MAX + 1;
    FILE *file = fopen(path, "rb");
    char *text = file ? malloc(room) : NULL;
    bool read = false;

    if (!file) {
        (void)(errno == ENOMEM
                   ? th_fail_memory(err)
                   : th_fail_at(err, TH_BAD_FILE, path, 0, "the outline cannot be opened"));
        return NULL;
    }
    if (text) {
        *size = fread(text, 1, room, file);
        read = !ferror(file) && *size<room && * size> 0;
    }
    if (!text) {
        th_fail_memory(err);
    } else if (!read) {
        th_fail_at(err, TH_BAD_FILE, path, 0, "the outline %s",
                   ferror(file) ? "cannot be read"
                   : *size == 0 ? "is an empty file"
                                : "is larger than 4 MiB; draw it with fewer points");
    }
    fclose(file);
    if (!read) {
        free(text);
        return NULL;
    }
    return text;
}

bool th_outline_read(const char *path, th_outline *outline, th_error *err) {
    size_t size = 0;
    char *text = read_whole(path, &size, err);
    bool done = false;

    *outline = (th_outline){0};
    if (text) {
        done = th_outline_scan(text, size, path, outline, err);
    }
    free(text);
    return done;
}

typedef struct {
    const char *job_path;
} folder;

/* The path to open: a relative one starts from the folder of the job file. */
static const char *resolve(const char *name, const char *job_path, th_arena *arena) {
    const char *slash = strrchr(job_path, '/');

    if (name[0] == '/' || !slash || strcmp(job_path, "-") == 0) {
        return name;
    }
    return th_arena_print(arena, "%.*s/%s", (int)(slash - job_path), job_path, name);
}

static bool can_open(const char *path) {
    int fd = open(path, O_RDONLY | O_CLOEXEC);

    if (fd >= 0) {
        (void)close(fd);
    }
    return fd >= 0;
}

/* A file that is not there is a fault of the job; what is wrong in it, one of the file. */
static bool read_named(void *context, const th_entry *entry, th_outline *outline, th_error *err) {
    const folder *from = context;
    th_arena arena = {NULL};
    const char *path = resolve(entry->value, from->job_path, &arena);
    bool done = path || th_fail_memory(err);

    if (done && !can_open(path)) {
        done =
            th_fail_at(err, TH_BAD_FILE, entry->file, entry->line,
                       "[%s] %s = %.100s: the %s cannot be opened at %.200s; a path starts "
                       "from the folder of the job",
                       entry->section, entry->key, entry->value,
                       strcmp(entry->key, "taped") == 0 ? "drawing of the tape" : "outline", path);
    }
    done = done && th_outline_read(path, outline, err);
    th_arena_free(&arena);
    return done;
}

bool th_job_outlines_read(const th_job *job, const char *job_path, th_outline *part,
                          th_outline *taped, th_error *err) {
    folder from = {job_path};
    th_drawings drawings = {read_named, &from};
    return th_job_outlines_take(job, &drawings, part, taped, err);
}
