/* scan.c - numbers and letters in text.
 *
 * Up to 19 digits are kept as a whole number, further ones only count; strtod then gets digits and
 * exponent without a decimal point, which every locale reads alike. */
#include "scan.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DIGITS = 19, LARGEST_EXPONENT = 9999 };

bool th_scan_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f';
}

bool th_scan_digit(char c) {
    return c >= '0' && c <= '9';
}

char th_scan_lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

size_t th_scan_utf8(const unsigned char *text, size_t left) {
    size_t n = text[0] < 0x80   ? 1
               : text[0] < 0xC2 ? 0
               : text[0] < 0xE0 ? 2
               : text[0] < 0xF0 ? 3
               : text[0] < 0xF5 ? 4
                                : 0;

    if (n == 0 || n > left) {
        return 0;
    }
    for (size_t i = 1; i < n; i++) {
        if ((text[i] & 0xC0) != 0x80) {
            return 0;
        }
    }
    if ((text[0] == 0xE0 && text[1] < 0xA0) || (text[0] == 0xED && text[1] > 0x9F) ||
        (text[0] == 0xF0 && text[1] < 0x90) || (text[0] == 0xF4 && text[1] > 0x8F)) {
        return 0;
    }
    return n;
}

size_t th_scan_mark(const char *text, size_t size) {
    return size >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
}

bool th_scan_word(const char *text, size_t n, const char *word) {
    for (size_t i = 0; i < n; i++) {
        if (word[i] == '\0' || th_scan_lower(text[i]) != th_scan_lower(word[i])) {
            return false;
        }
    }
    return word[n] == '\0';
}

typedef struct {
    uint64_t whole;
    int kept;     /* significant digits in `whole` */
    int exponent; /* of ten */
    bool any;
} digits;

static const char *scan_digits(const char *p, const char *end, bool behind_point, digits *d) {
    for (; p < end && th_scan_digit(*p); p++) {
        d->any = true;
        if (d->kept < DIGITS) {
            d->whole = 10 * d->whole + (uint64_t)(*p - '0');
            d->kept += d->whole > 0;
            d->exponent -= behind_point && d->exponent > -LARGEST_EXPONENT;
        } else {
            d->exponent += !behind_point && d->exponent < LARGEST_EXPONENT;
        }
    }
    return p;
}

/* The exponent is part of the number only if digits follow the e ("1em" is one em). */
static const char *scan_exponent(const char *p, const char *end, digits *d) {
    const char *q = p + 1;
    bool negative = q < end && *q == '-';
    int exponent = 0;

    q += q < end && (*q == '-' || *q == '+');
    if (p >= end || (*p != 'e' && *p != 'E') || q >= end || !th_scan_digit(*q)) {
        return p;
    }
    for (; q < end && th_scan_digit(*q); q++) {
        exponent = exponent < LARGEST_EXPONENT ? 10 * exponent + (*q - '0') : exponent;
    }
    d->exponent += negative ? -exponent : exponent;
    return q;
}

static double value_of(const digits *d) {
    static const double powers[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                    1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                    1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    char text[64];

    if (d->whole == 0) {
        return 0;
    }
    /* Both factors are exact, so the result is rounded once. */
    if (d->whole < (1ULL << 53) && d->exponent >= -22 && d->exponent <= 22) {
        return d->exponent < 0 ? (double)d->whole / powers[-d->exponent]
                               : (double)d->whole * powers[d->exponent];
    }
    snprintf(text, sizeof text, "%llue%d", (unsigned long long)d->whole, d->exponent);
    return strtod(text, NULL);
}

bool th_scan_number(const char **text, const char *end, double *value) {
    const char *p = *text;
    bool negative = p < end && *p == '-';
    digits d = {0};

    p += p < end && (*p == '-' || *p == '+');
    p = scan_digits(p, end, false, &d);
    if (p < end && *p == '.') {
        const char *behind = scan_digits(p + 1, end, true, &d);
        /* "5." is a number, "." is none. */
        p = d.any ? behind : p;
    }
    if (!d.any) {
        return false;
    }
    p = scan_exponent(p, end, &d);
    *value = negative ? -value_of(&d) : value_of(&d);
    *text = p;
    return true;
}
