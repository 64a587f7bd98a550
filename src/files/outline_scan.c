/* outline_scan.c - an outline from text, whichever of the two kinds it is. */
#include "scan.h"
#include "tackhold/files.h"

#include <string.h>

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
    p += th_scan_mark(text, size);
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

bool th_outline_scan(const char *text, size_t size, const char *name, th_outline *outline,
                     th_error *err) {
    *outline = (th_outline){0};
    switch (kind_of(text, size, name)) {
    case KIND_SVG:
        return th_outline_svg(text, size, name, outline, err);
    case KIND_DXF:
        return th_outline_dxf(text, size, name, outline, err);
    default:
        return th_fail_at(err, TH_BAD_FILE, name, 0, "an outline must be an SVG or an ASCII DXF");
    }
}
