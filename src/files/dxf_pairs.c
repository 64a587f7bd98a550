/* dxf_pairs.c - a DXF in pairs of lines. */
#include "dxf_pairs.h"
#include "scan.h"

#include <math.h>

static bool next_line(dxf_cursor *c, dxf_word *word) {
    const char *start = c->p, *stop;

    if (c->p >= c->end) {
        return false;
    }
    while (c->p < c->end && *c->p != '\n' && *c->p != '\r') {
        c->p++;
    }
    stop = c->p;
    if (c->p < c->end) {
        c->p += *c->p == '\r' && c->p + 1 < c->end && c->p[1] == '\n' ? 2 : 1;
    }
    c->line++;
    while (start < stop && th_scan_blank(*start)) {
        start++;
    }
    while (stop > start && th_scan_blank(stop[-1])) {
        stop--;
    }
    *word = (dxf_word){start, (size_t)(stop - start)};
    return true;
}

static bool is_code(dxf_word word, int *code) {
    size_t i = word.size > 0 && word.text[0] == '-' ? 1 : 0;
    int value = 0;

    if (word.size == i || word.size > 6) {
        return false;
    }
    for (; i < word.size; i++) {
        if (!th_scan_digit(word.text[i])) {
            return false;
        }
        value = 10 * value + (word.text[i] - '0');
    }
    *code = word.text[0] == '-' ? -value : value;
    return true;
}

dxf_found th_dxf_next(dxf_cursor *c, dxf_pair *pair) {
    dxf_word word;

    while (true) {
        dxf_cursor before = *c;
        pair->line = c->line;
        if (!next_line(c, &word)) {
            return DXF_END;
        }
        if (!is_code(word, &pair->code)) {
            const char *rest = word.text;
            bool blank = word.size == 0;
            for (; blank && rest < c->end; rest++) {
                blank = th_scan_blank(*rest);
            }
            *c = before;
            return blank ? DXF_END : DXF_BAD_CODE;
        }
        if (!next_line(c, &pair->value)) {
            *c = before;
            return DXF_NO_VALUE;
        }
        if (pair->code != 999) {
            return DXF_PAIR;
        }
    }
}

bool th_dxf_is(dxf_word word, const char *expected) {
    return th_scan_word(word.text, word.size, expected);
}

bool th_dxf_number(dxf_word word, double *value) {
    const char *p = word.text;
    const char *end = word.text + word.size;

    return th_scan_number(&p, end, value) && p == end && isfinite(*value);
}
