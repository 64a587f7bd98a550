/* outline_read.c - an outline from a file, whichever of the two kinds it is. */
#include "scan.h"
#include "tackhold/files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The whole file, or NULL. One byte more than allowed is asked for, to see that there is no more.
 */
static char *read_whole(const char *path, size_t *size, th_error *err) {
    const size_t room = (size_t)TH_OUTLINE_SIZE_MAX + 1;
    FILE *file = fopen(path, "rb");
    char *text = file ? malloc(room) : NULL;
    bool read = false;

    if (!file) {
        th_fail_at(err, TH_BAD_FILE, path, 0, "the outline cannot be opened");
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

typedef enum { KIND_UNKNOWN, KIND_SVG, KIND_DXF } kind;

static bool named(const char *path, const char *ending) {
    size_t n = strlen(path), m = strlen(ending);

    return n > m && th_scan_word(path + n - m, m, ending);
}

/* XML begins with '<', in UTF-16 behind a byte order mark; a DXF with a group code, 0 or 999. */
static kind kind_of(const char *text, size_t size, const char *path) {
    const char *p = text, *end = text + size;

    if (size >= 2 && (memcmp(p, "\xFF\xFE", 2) == 0 || memcmp(p, "\xFE\xFF", 2) == 0)) {
        return KIND_SVG;
    }
    if (size >= 3 && memcmp(p, "\xEF\xBB\xBF", 3) == 0) {
        p += 3;
    }
    while (p < end && th_scan_blank(*p)) {
        p++;
    }
    if (p < end && *p == '<') {
        return KIND_SVG;
    }
    if (p < end && (*p == '0' || *p == '9')) {
        return KIND_DXF;
    }
    if (named(path, ".svg")) {
        return KIND_SVG;
    }
    return named(path, ".dxf") ? KIND_DXF : KIND_UNKNOWN;
}

bool th_outline_read(const char *path, th_outline *outline, th_error *err) {
    size_t size = 0;
    char *text = read_whole(path, &size, err);
    bool done = false;

    *outline = (th_outline){0};
    if (!text) {
        return false;
    }
    switch (kind_of(text, size, path)) {
    case KIND_SVG:
        done = th_outline_svg(text, size, path, outline, err);
        break;
    case KIND_DXF:
        done = th_outline_dxf(text, size, path, outline, err);
        break;
    default:
        th_fail_at(err, TH_BAD_FILE, path, 0, "an outline must be an SVG or an ASCII DXF");
    }
    free(text);
    return done;
}
