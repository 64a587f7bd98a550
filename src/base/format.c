/* format.c - printf that no locale of the host program reaches.
 *
 * The format is walked conversion by conversion and each is handed to snprintf by itself. Only
 * floating ones look at the locale, and there only at the decimal point. */
#include "tackhold/base.h"

#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

enum {
    NUMBER_ROOM = 512,  /* the largest double has 309 digits */
    MOST_FIGURES = 100, /* of a number's width and precision */
    MOST_BYTES = 100000000,
    SPEC_ROOM = 40
};

typedef enum { SIZE_INT, SIZE_LONG, SIZE_LONG_LONG, SIZE_Z, SIZE_T, SIZE_J } int_size;

/* Where the text goes, and the arguments still to be read. `length` counts what does not fit too.
 */
typedef struct {
    char *text;
    size_t size, length;
    va_list arguments;
    bool failed;
} printing;

/* One conversion, from its % to its letter. */
typedef struct {
    char flags[8];
    int width, precision; /* -1 where none is given */
    int_size size;
    char letter;
} conversion;

static void put(printing *p, const char *piece, size_t n) {
    if (p->length < p->size) {
        size_t room = p->size - p->length;
        memcpy(p->text + p->length, piece, n < room ? n : room);
    }
    p->length += n;
}

static const char *read_figures(printing *p, const char *at, int *figures) {
    int value = 0;

    if (*at == '*') {
        value = va_arg(p->arguments, int);
        at++;
    }
    while (*at >= '0' && *at <= '9') {
        value = value < MOST_BYTES ? 10 * value + (*at - '0') : value;
        at++;
    }
    *figures = value;
    return at;
}

static const char *read_size(const char *at, int_size *size) {
    static const struct {
        const char *word;
        int_size size;
    } words[] = {{"hh", SIZE_INT}, {"h", SIZE_INT}, {"ll", SIZE_LONG_LONG}, {"l", SIZE_LONG},
                 {"z", SIZE_Z},    {"t", SIZE_T},   {"j", SIZE_J}};

    *size = SIZE_INT;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        size_t n = strlen(words[i].word);
        if (strncmp(at, words[i].word, n) == 0) {
            *size = words[i].size;
            return at + n;
        }
    }
    return at;
}

/* `at` behind the %; gives the place behind the letter. */
static const char *read_conversion(printing *p, const char *at, conversion *c) {
    size_t flags = 0;

    *c = (conversion){.width = -1, .precision = -1};
    while (*at != '\0' && strchr("-+ #0", *at) && flags + 1 < sizeof c->flags) {
        c->flags[flags++] = *at++;
    }
    if (*at == '*' || (*at >= '1' && *at <= '9')) {
        at = read_figures(p, at, &c->width);
        if (c->width < 0) { /* as the standard has it: left, and that wide */
            c->flags[flags] = '-';
            c->width = c->width < -MOST_BYTES ? MOST_BYTES : -c->width;
        }
    }
    if (*at == '.') {
        at = read_figures(p, at + 1, &c->precision);
    }
    at = read_size(at, &c->size);
    c->letter = *at;
    return *at == '\0' ? at : at + 1;
}

static int bounded(int figures) {
    return figures > MOST_FIGURES ? MOST_FIGURES : figures;
}

static void write_spec(const conversion *c, const char *size, char *spec) {
    int n = snprintf(spec, SPEC_ROOM, "%%%s", c->flags);

    if (c->width >= 0) {
        n += snprintf(spec + n, SPEC_ROOM - (size_t)n, "%d", bounded(c->width));
    }
    if (c->precision >= 0) {
        n += snprintf(spec + n, SPEC_ROOM - (size_t)n, ".%d", bounded(c->precision));
    }
    snprintf(spec + n, SPEC_ROOM - (size_t)n, "%s%c", size, c->letter);
}

/* What a locale has for a decimal point, of one byte or more, becomes a point. */
static size_t plain_point(char *number) {
    char *to = number;
    bool inside = false;

    for (const char *from = number; *from != '\0'; from++) {
        bool usual = strchr("0123456789+- ", *from) || (*from >= 'a' && *from <= 'z') ||
                     (*from >= 'A' && *from <= 'Z');
        if (usual) {
            *to++ = *from;
        } else if (!inside) {
            *to++ = '.';
        }
        inside = !usual;
    }
    *to = '\0';
    return (size_t)(to - number);
}

/* -Wformat-nonliteral is not asked for: the specs are made here of checked pieces. */
static void put_floating(printing *p, const conversion *c) {
    char spec[SPEC_ROOM], number[NUMBER_ROOM];

    write_spec(c, "", spec);
    snprintf(number, sizeof number, spec, va_arg(p->arguments, double));
    put(p, number, plain_point(number));
}

static intmax_t take_signed(printing *p, int_size size) {
    switch (size) {
    case SIZE_LONG:
        return va_arg(p->arguments, long);
    case SIZE_LONG_LONG:
        return va_arg(p->arguments, long long);
    case SIZE_Z:
    case SIZE_T:
        return va_arg(p->arguments, ptrdiff_t);
    case SIZE_J:
        return va_arg(p->arguments, intmax_t);
    default:
        return va_arg(p->arguments, int);
    }
}

static uintmax_t take_unsigned(printing *p, int_size size) {
    switch (size) {
    case SIZE_LONG:
        return va_arg(p->arguments, unsigned long);
    case SIZE_LONG_LONG:
        return va_arg(p->arguments, unsigned long long);
    case SIZE_Z:
    case SIZE_T:
        return va_arg(p->arguments, size_t);
    case SIZE_J:
        return va_arg(p->arguments, uintmax_t);
    default:
        return va_arg(p->arguments, unsigned);
    }
}

static void put_whole(printing *p, const conversion *c) {
    char spec[SPEC_ROOM], number[NUMBER_ROOM];

    write_spec(c, "j", spec);
    if (c->letter == 'd' || c->letter == 'i') {
        snprintf(number, sizeof number, spec, take_signed(p, c->size));
    } else {
        snprintf(number, sizeof number, spec, take_unsigned(p, c->size));
    }
    put(p, number, strlen(number));
}

static void put_padding(printing *p, const conversion *c, size_t length) {
    for (; c->width > 0 && length < (size_t)c->width; length++) {
        put(p, " ", 1);
    }
}

/* Bytes are passed on as they are: what is no letter of the locale's alphabet is text all the same.
 */
static void put_string(printing *p, const conversion *c) {
    const char *text = va_arg(p->arguments, const char *);
    size_t most = c->precision >= 0 ? (size_t)c->precision : SIZE_MAX, n = 0;

    text = text ? text : "(null)";
    while (n < most && text[n] != '\0') {
        n++;
    }
    if (!strchr(c->flags, '-')) {
        put_padding(p, c, n);
    }
    put(p, text, n);
    if (strchr(c->flags, '-')) {
        put_padding(p, c, n);
    }
}

static void put_character(printing *p, const conversion *c) {
    char letter = (char)va_arg(p->arguments, int);

    if (!strchr(c->flags, '-')) {
        put_padding(p, c, 1);
    }
    put(p, &letter, 1);
    if (strchr(c->flags, '-')) {
        put_padding(p, c, 1);
    }
}

static void put_conversion(printing *p, const conversion *c) {
    if (c->letter != '\0' && strchr("fFeEgG", c->letter)) {
        put_floating(p, c);
    } else if (c->letter != '\0' && strchr("diuxXo", c->letter)) {
        put_whole(p, c);
    } else if (c->letter == 's') {
        put_string(p, c);
    } else if (c->letter == 'c') {
        put_character(p, c);
    } else if (c->letter == '%') {
        put(p, "%", 1);
    } else {
        p->failed = true;
    }
}

int th_vprint(char *text, size_t size, const char *format, va_list arguments) {
    printing p = {.text = text, .size = size};
    conversion c;

    va_copy(p.arguments, arguments);
    while (*format != '\0' && !p.failed) {
        size_t plain = strcspn(format, "%");
        put(&p, format, plain);
        format += plain;
        if (*format == '%') {
            format = read_conversion(&p, format + 1, &c);
            put_conversion(&p, &c);
        }
    }
    va_end(p.arguments);
    if (size > 0) {
        text[p.length < size ? p.length : size - 1] = '\0';
    }
    return p.failed || p.length > INT32_MAX ? -1 : (int)p.length;
}

int th_print(char *text, size_t size, const char *format, ...) {
    va_list arguments;
    int length;

    va_start(arguments, format);
    length = th_vprint(text, size, format, arguments);
    va_end(arguments);
    return length;
}
