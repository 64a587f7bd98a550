/* error.c - filling the error record. */
#include "tackhold/base.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Length of the UTF-8 sequence that a first byte announces; 1 for anything that is not one. */
static size_t sequence_length(unsigned char first) {
    if (first >= 0xF0 && first <= 0xF4) {
        return 4;
    }
    if (first >= 0xE0) {
        return first < 0xF0 ? 3 : 1;
    }
    return first >= 0xC2 ? 2 : 1;
}

/* Cut off a last sequence that lost its end when the text was shortened. */
static void drop_partial_sequence(char *text) {
    size_t size = strlen(text);
    size_t back = 1;

    while (back <= 3 && back <= size) {
        unsigned char byte = (unsigned char)text[size - back];
        if ((byte & 0xC0) != 0x80) {
            if (sequence_length(byte) > back) {
                text[size - back] = '\0';
            }
            return;
        }
        back++;
    }
}

static void copy_cut(char *target, size_t room, const char *source) {
    size_t size = strlen(source);

    if (size < room) {
        memcpy(target, source, size + 1);
        return;
    }
    memcpy(target, source, room - 1);
    target[room - 1] = '\0';
    drop_partial_sequence(target);
}

/* The arguments may point into *err (a caller that wraps an earlier message), so everything is
 * made in locals before the record is touched. */
static void fill(th_error *err, th_status code, const char *file, int line, const char *format,
                 va_list arguments) {
    char message[sizeof err->message];
    char place[sizeof err->file];
    int length = th_vprint(message, sizeof message, format, arguments);

    if (length < 0) {
        copy_cut(message, sizeof message, th_status_text(code));
    } else if ((size_t)length >= sizeof message) {
        drop_partial_sequence(message);
    }
    copy_cut(place, sizeof place, file ? file : "");
    err->code = code;
    err->line = line;
    copy_cut(err->file, sizeof err->file, place);
    copy_cut(err->message, sizeof err->message, message);
}

bool th_fail(th_error *err, th_status code, const char *format, ...) {
    va_list arguments;

    if (err) {
        va_start(arguments, format);
        fill(err, code, NULL, 0, format, arguments);
        va_end(arguments);
    }
    return false;
}

bool th_fail_at(th_error *err, th_status code, const char *file, int line, const char *format,
                ...) {
    va_list arguments;

    if (err) {
        va_start(arguments, format);
        fill(err, code, file, line, format, arguments);
        va_end(arguments);
    }
    return false;
}

/* A line belongs to the file it was found in, so a record that names a file is left alone. */
bool th_fail_place(th_error *err, const char *file, int line) {
    if (err && err->file[0] == '\0') {
        copy_cut(err->file, sizeof err->file, file ? file : "");
        if (err->line == 0) {
            err->line = line;
        }
    }
    return false;
}

bool th_fail_memory(th_error *err) {
    return th_fail(err, TH_NO_MEMORY, "%s", th_status_text(TH_NO_MEMORY));
}
