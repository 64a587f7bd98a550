/* read.c - strict reading of numbers with units.
 *
 * The grammar is checked here, letter by letter. strtod then gets the digits without a decimal
 * point ("12.5e-3" as "125e-4"), which every locale reads alike. */
#include "units.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    LONGEST = 120, /* letters of a quantity */
    ECHO = 40,     /* characters of the user's text that a message repeats */
    ECHO_ROOM = 4 * ECHO + 8,
    FRACTION_DIGITS = 7, /* so that whole * below + above is exact in a double */
    LARGEST_EXPONENT = 99999
};

typedef struct {
    const char *text; /* the text without blanks at its ends */
    const char *rest; /* after the number and the blanks behind it */
    size_t number_length;
    double number;
    th_kind kind;
    th_units units; /* of the job */
    th_error *err;
} reader;

/* A value as one would type it in the units of the job. */
static const char *example_in(th_kind kind, th_units units) {
    static const char *const examples[TH_KIND_COUNT] = {
        [TH_LENGTH] = "12.5 mm",
        [TH_SPINDLE_SPEED] = "10000 rpm",
        [TH_FEED] = "600 mm/min",
        [TH_SURFACE_SPEED] = "150 m/min",
        [TH_CHIP_LOAD] = "0.02 mm/tooth",
        [TH_FORCE] = "20 N",
        [TH_LINE_FORCE] = "0.25 N/mm",
        [TH_PRESSURE] = "80 kPa",
        [TH_POWER] = "400 W",
        [TH_TEMPERATURE] = "23 C",
        [TH_TIME] = "30 min",
        [TH_MASS] = "50 g",
        [TH_DENSITY] = "2700 kg/m3",
        [TH_HEAT_CAPACITY] = "900 J/kgK",
        [TH_CONDUCTIVITY] = "160 W/mK",
        [TH_FILM] = "20 W/m2K",
        [TH_EXPANSION] = "23e-6 1/K",
        [TH_ANGLE] = "30 deg",
        [TH_RATIO] = "80%",
        [TH_COUNT] = "3",
        [TH_AREA] = "600 mm2",
        [TH_TORQUE] = "250 Nmm",
    };
    static const char *const inch[TH_KIND_COUNT] = {
        [TH_LENGTH] = "0.5 in",         [TH_FEED] = "24 in/min",
        [TH_SURFACE_SPEED] = "500 sfm", [TH_CHIP_LOAD] = "0.001 in/tooth",
        [TH_FORCE] = "5 lbf",           [TH_LINE_FORCE] = "1.5 lbf/in",
        [TH_PRESSURE] = "12 psi",       [TH_POWER] = "0.5 hp",
        [TH_TEMPERATURE] = "73 F",
    };
    return units == TH_INCH && inch[kind] ? inch[kind] : examples[kind];
}

static const char *example_of(const reader *r) {
    return example_in(r->kind, r->units);
}

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

static bool is_blank(char c) {
    return c == ' ' || c == '\t';
}

static const char *skip_blanks(const char *p) {
    while (is_blank(*p)) {
        p++;
    }
    return p;
}

static size_t count_digits(const char *p) {
    size_t n = 0;

    while (is_digit(p[n])) {
        n++;
    }
    return n;
}

/* Bytes of the printable character at p, 0 for what a terminal must not be sent: control
 * characters (C0, DEL, C1) and bytes that are not UTF-8. */
static size_t printable_length(const char *p) {
    const unsigned char *b = (const unsigned char *)p;
    size_t length = 1;

    if (b[0] < 0x80) {
        return b[0] >= 0x20 && b[0] != 0x7F ? 1 : 0;
    }
    if (b[0] < 0xC2 || b[0] > 0xF4 || (b[0] == 0xC2 && b[1] < 0xA0)) {
        return 0;
    }
    length += b[0] >= 0xF0 ? 3U : b[0] >= 0xE0 ? 2U : 1U;
    for (size_t i = 1; i < length; i++) {
        if ((b[i] & 0xC0) != 0x80) {
            return 0;
        }
    }
    return length;
}

/* The user's text as a message may repeat it: at most ECHO characters, nothing unprintable. */
static void echo(const char *text, char *safe) {
    int shown = 0;

    while (*text != '\0' && shown < ECHO) {
        size_t length = printable_length(text);
        if (length == 0) {
            *safe++ = '?';
            text++;
        } else {
            memcpy(safe, text, length);
            safe += length;
            text += length;
        }
        shown++;
    }
    memcpy(safe, *text == '\0' ? "" : "...", *text == '\0' ? 1 : 4);
}

static const char *article(th_kind kind) {
    return strchr("aeiou", th_kind_name(kind)[0]) ? "an" : "a";
}

/* The common shape of the messages: what was read, what is wrong with it, what would work. */
static bool refuse(const reader *r, const char *why, const char *example) {
    char read[ECHO_ROOM];

    echo(r->text, read);
    return th_fail(r->err, TH_BAD_VALUE, "\"%s\" is not %s %s: %s, e.g. %s", read, article(r->kind),
                   th_kind_name(r->kind), why, example);
}

static bool refuse_plain(const reader *r, const char *what) {
    char why[200];

    snprintf(why, sizeof why, "%s; write %s", what, th_kind_units(r->kind));
    return refuse(r, why, example_of(r));
}

/* Digits and exponent of a decimal number without its point. */
typedef struct {
    char digits[LONGEST + 16];
    size_t count;
    long exponent;
    bool zero;
} decimal;

static const char *scan_digits(const char *p, decimal *d) {
    while (is_digit(*p)) {
        d->zero = d->zero && *p == '0';
        d->digits[d->count++] = *p++;
    }
    return p;
}

/* The exponent is part of the number only if digits follow the e. */
static const char *scan_exponent(const char *p, decimal *d) {
    const char *q = p + 1;
    bool negative = false;
    long exponent = 0;

    if (*p != 'e' && *p != 'E') {
        return p;
    }
    if (*q == '+' || *q == '-') {
        negative = *q == '-';
        q++;
    }
    if (!is_digit(*q)) {
        return p;
    }
    for (; is_digit(*q); q++) {
        exponent = exponent < LARGEST_EXPONENT ? 10 * exponent + (*q - '0') : exponent;
    }
    d->exponent += negative ? -exponent : exponent;
    return q;
}

static bool refuse_number(const reader *r) {
    return refuse_plain(r, *r->text == '\0' ? "nothing was given"
                                            : "it does not start with a decimal number");
}

/* Too large, or so small that digits would be lost. */
static bool refuse_range(const reader *r, bool large) {
    return refuse(r,
                  large ? "the number is too large to be held" : "the number is too near to zero",
                  example_of(r));
}

static bool read_decimal(reader *r) {
    decimal d = {.zero = true};
    const char *p = r->text;
    bool negative = *p == '-';
    size_t whole;

    p += *p == '+' || *p == '-' ? 1 : 0;
    p = scan_digits(p, &d);
    whole = d.count;
    if (*p == '.') {
        p = scan_digits(p + 1, &d);
    }
    if (d.count == 0) {
        return refuse_number(r);
    }
    d.exponent = -(long)(d.count - whole);
    p = scan_exponent(p, &d);
    snprintf(d.digits + d.count, sizeof d.digits - d.count, "e%ld", d.exponent);
    r->number = strtod(d.digits, NULL);
    if (isinf(r->number) || (!d.zero && r->number < DBL_MIN)) {
        return refuse_range(r, isinf(r->number));
    }
    r->number = negative ? -r->number : r->number;
    r->number_length = (size_t)(p - r->text);
    r->rest = skip_blanks(p);
    return true;
}

/* Where a fraction (1/4) or a mixed number (1-1/4) stands: the lengths of its digits. */
typedef struct {
    const char *whole, *above, *below;
    size_t whole_digits, above_digits, below_digits;
} fraction;

static bool find_fraction(const char *p, fraction *f) {
    *f = (fraction){0};
    p += *p == '+' || *p == '-' ? 1 : 0;
    f->above = p;
    f->above_digits = count_digits(p);
    p += f->above_digits;
    if (f->above_digits > 0 && *p == '-') {
        f->whole = f->above;
        f->whole_digits = f->above_digits;
        f->above = ++p;
        f->above_digits = count_digits(p);
        p += f->above_digits;
    }
    if (*p != '/' || f->above_digits == 0) {
        return false;
    }
    f->below = p + 1;
    f->below_digits = count_digits(f->below);
    return f->below_digits > 0;
}

static double whole_number(const char *digits, size_t count) {
    double value = 0;

    for (size_t i = 0; i < count; i++) {
        value = 10 * value + (digits[i] - '0');
    }
    return value;
}

static bool read_fraction(reader *r, const fraction *f) {
    double whole, above, below;

    if (r->kind != TH_LENGTH) {
        return refuse_plain(r, "fractions are for lengths only, use decimals here");
    }
    if (f->whole_digits > FRACTION_DIGITS || f->above_digits > FRACTION_DIGITS ||
        f->below_digits > FRACTION_DIGITS) {
        return refuse(r, "a fraction may have at most 7 digits in each place", "1-1/4 in");
    }
    whole = whole_number(f->whole, f->whole_digits);
    above = whole_number(f->above, f->above_digits);
    below = whole_number(f->below, f->below_digits);
    if (below == 0) {
        return refuse(r, "the fraction divides by zero", "1/4 in");
    }
    /* A whole with more than a whole behind it is more likely a slip than meant. */
    if (f->whole && above >= below) {
        return refuse(r, "the fraction behind a whole number must be below 1", "1-1/4 in");
    }
    r->number = (whole * below + above) / below;
    r->number = *r->text == '-' ? -r->number : r->number;
    r->number_length = (size_t)(f->below + f->below_digits - r->text);
    r->rest = skip_blanks(f->below + f->below_digits);
    return true;
}

/* The number as typed, with another unit: an example that is known to be near what was meant.
 * Falls back to the kind's own example where the number is too long to repeat. */
static void example_with(const reader *r, const char *unit, char *example, size_t size) {
    if (r->number_length <= ECHO / 2) {
        snprintf(example, size, "%.*s %s", (int)r->number_length, r->text, unit);
    } else {
        snprintf(example, size, "%s", example_of(r));
    }
}

/* The unit of a number that stands alone; NULL where it is taken as it stands. Only where the
 * trade leaves the unit out, or there is none. */
static bool read_bare(const reader *r, th_units units, const th_unit **unit) {
    char example[80], read[ECHO_ROOM];
    bool by_units = r->kind == TH_LENGTH || r->kind == TH_FEED;

    *unit = NULL;
    if (by_units && (units == TH_MM || units == TH_INCH)) {
        const char *inch = r->kind == TH_LENGTH ? "in" : "in/min";
        *unit = th_unit_find(r->kind, units == TH_INCH ? inch : th_kind_unit(r->kind));
        return true;
    }
    if (r->kind == TH_SPINDLE_SPEED || r->kind == TH_ANGLE || r->kind == TH_RATIO ||
        r->kind == TH_COUNT) {
        return true;
    }
    echo(r->text, read);
    snprintf(example, sizeof example, "%s", example_of(r));
    return th_fail(r->err, TH_BAD_VALUE, "\"%s\" needs a unit of %s: %s, e.g. %s", read,
                   th_kind_name(r->kind), th_kind_units(r->kind), example);
}

static const char *kind_with_unit(const char *symbol) {
    for (int kind = 0; kind < TH_KIND_COUNT; kind++) {
        if (th_unit_find((th_kind)kind, symbol)) {
            return th_kind_name((th_kind)kind);
        }
    }
    return NULL;
}

/* Text behind the number that is no unit of this kind. */
static bool refuse_unit(const reader *r) {
    const th_unit *near = th_unit_find_any_case(r->kind, r->rest);
    const char *other = kind_with_unit(r->rest);
    char unit[ECHO_ROOM], why[400], example[80];

    echo(r->rest, unit);
    if (near) {
        example_with(r, near->symbol, example, sizeof example);
        snprintf(why, sizeof why, "capitals matter in %s, write %s", unit, near->symbol);
        return refuse(r, why, example);
    }
    if ((r->rest[0] == 'x' || r->rest[0] == 'X') && r->number == 0) {
        return refuse_plain(r, "hexadecimal is not read");
    }
    if (is_digit(r->rest[0]) && r->kind == TH_LENGTH) {
        return refuse(r, "leave no blank inside the number", "1-1/4 in");
    }
    if (r->kind == TH_COUNT) {
        return refuse_plain(r, "a count stands alone");
    }
    if (r->kind == TH_FORCE && strcmp(r->rest, "kg") == 0) { /* what a scale is marked with */
        snprintf(why, sizeof why, "kg is a unit of mass; write N, lbf, kgf: here kgf");
    } else if (other) {
        snprintf(why, sizeof why, "%s is a unit of %s; write %s", unit, other,
                 th_kind_units(r->kind));
    } else {
        snprintf(why, sizeof why, "%s is no unit of it; write %s", unit, th_kind_units(r->kind));
    }
    return refuse(r, why, example_of(r));
}

static bool read_trimmed(reader *r, th_units units, th_reading *reading) {
    const th_unit *unit;
    fraction f;
    double value;

    if (!(find_fraction(r->text, &f) ? read_fraction(r, &f) : read_decimal(r))) {
        return false;
    }
    if (*r->rest == '\0') {
        if (!read_bare(r, units, &unit)) {
            return false;
        }
    } else {
        unit = th_unit_find(r->kind, r->rest);
        if (!unit) {
            return refuse_unit(r);
        }
    }
    value = unit ? th_unit_to_core(unit, r->number) : r->number;
    if (isinf(value) || (value != 0 && fabs(value) < DBL_MIN)) {
        return refuse_range(r, isinf(value));
    }
    if (r->kind == TH_COUNT && value != floor(value)) {
        return refuse(r, "it must be a whole number", example_of(r));
    }
    reading->value = value == 0 ? 0.0 : value; /* -0 reads as 0 */
    reading->per_rev = unit && unit->per_rev;
    return true;
}

/* Digits alone before the comma, three after it and no more: it may part thousands as well. */
static bool thousands(const char *text, const char *comma) {
    size_t sign = strspn(text, "+-"), digits = strspn(text + sign, "0123456789");

    return digits > 0 && text + sign + digits == comma && strspn(comma + 1, "0123456789") == 3 &&
           comma[4] != '.';
}

/* `pointed`: the text with a point for the comma. The number both ways. */
static bool ask_thousands(const reader *r, const char *pointed) {
    size_t size = strspn(pointed, "+-0123456789."), point = strcspn(pointed, ".");
    char ask[2 * ECHO + 80], whole[ECHO + 1], part[ECHO + 1];

    snprintf(part, sizeof part, "%.*s", (int)size, pointed);
    snprintf(whole, sizeof whole, "%.*s%s", (int)point, pointed, part + point + 1);
    for (size_t end = strlen(part); end > point + 2 && part[end - 1] == '0'; end--) {
        part[end - 1] = '\0';
    }
    snprintf(ask, sizeof ask, "%s or %s? Write the decimal point as '.' and no other comma", whole,
             part);
    return refuse(r, ask, whole);
}

/* A comma where the decimal point belongs, if putting the point there makes a good quantity;
 * else (12,500.0) the comma stays unexplained and the advice is general. */
static bool refuse_comma(const reader *r, th_units units) {
    char changed[LONGEST + 1], example[ECHO_ROOM];
    reader second = {.text = changed, .kind = r->kind};
    th_reading ignored;
    size_t length = strlen(r->text);
    char *comma;

    memcpy(changed, r->text, length + 1);
    comma = strchr(changed, ',');
    if (comma) {
        *comma = '.';
    }
    if (thousands(r->text, strchr(r->text, ',')) && length <= ECHO && !strchr(changed, ',')) {
        return ask_thousands(r, changed);
    }
    if (length <= ECHO && !strchr(changed, ',') && read_trimmed(&second, units, &ignored)) {
        echo(changed, example);
        return refuse(r, "write the decimal point as '.'", example);
    }
    return refuse(r, "write the decimal point as '.' and leave out commas", example_of(r));
}

bool th_quantity_read(const char *text, th_kind kind, th_units units, th_reading *reading,
                      th_error *err) {
    char trimmed[LONGEST + 1];
    reader r = {.kind = kind, .units = units, .err = err};
    size_t length;

    if ((size_t)kind >= TH_KIND_COUNT) {
        return th_fail(err, TH_BAD_VALUE, "unknown kind of quantity");
    }
    r.text = skip_blanks(text ? text : "");
    length = strlen(r.text);
    while (length > 0 && is_blank(r.text[length - 1])) {
        length--;
    }
    if (length > LONGEST) {
        return refuse(&r, "it is longer than 120 characters", example_of(&r));
    }
    memcpy(trimmed, r.text, length);
    trimmed[length] = '\0';
    r.text = trimmed;
    if (strchr(trimmed, ',')) {
        return refuse_comma(&r, units);
    }
    return read_trimmed(&r, units, reading);
}
