/* print.c - writing quantities for machines (exact) and for people (rounded). */
#include "units.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    MOST_DIGITS = 17, /* tell any two doubles apart */
    NUMBER_ROOM = 48, /* sign, point, 17 digits and the zeros or exponent around them */
    QUANTITY_ROOM = 64
};

/* A finite number rounded to some significant digits: sign, digits d1 d2 d3..., and the power of
 * ten of d1. Trailing zeros are left off. */
typedef struct {
    bool negative;
    char digits[MOST_DIGITS + 1];
    int count;
    int exponent;
} rounded;

/* Only digits are taken from what snprintf makes, so the locale's decimal point, which may be
 * more than one byte, does not matter. */
static rounded round_to(double value, int digits) {
    rounded r = {.negative = value < 0};
    char raw[NUMBER_ROOM];
    const char *p = raw;

    snprintf(raw, sizeof raw, "%.*e", digits - 1, fabs(value));
    for (; *p != '\0' && *p != 'e'; p++) {
        if (*p >= '0' && *p <= '9' && r.count < MOST_DIGITS) {
            r.digits[r.count++] = *p;
        }
    }
    r.exponent = *p == 'e' ? (int)strtol(p + 1, NULL, 10) : 0;
    while (r.count > 1 && r.digits[r.count - 1] == '0') {
        r.count--;
    }
    r.digits[r.count] = '\0';
    return r;
}

static void put_zeros(char **p, int count) {
    for (; count > 0; count--) {
        *(*p)++ = '0';
    }
}

static void put_digits(char **p, const char *digits, int count) {
    memcpy(*p, digits, (size_t)count);
    *p += count;
}

static void lay_out_fixed(const rounded *r, char *text) {
    char *p = text;
    int whole = r->exponent + 1; /* digits before the point */

    if (r->negative) {
        *p++ = '-';
    }
    if (whole <= 0) {
        put_digits(&p, "0.", 2);
        put_zeros(&p, -whole);
        put_digits(&p, r->digits, r->count);
    } else if (r->count <= whole) {
        put_digits(&p, r->digits, r->count);
        put_zeros(&p, whole - r->count);
    } else {
        put_digits(&p, r->digits, whole);
        *p++ = '.';
        put_digits(&p, r->digits + whole, r->count - whole);
    }
    *p = '\0';
}

static void lay_out_exponent(const rounded *r, char *text) {
    snprintf(text, NUMBER_ROOM, "%s%c%s%se%d", r->negative ? "-" : "", r->digits[0],
             r->count > 1 ? "." : "", r->digits + 1, r->exponent);
}

/* Half a number misleads more than none: what does not fit is left out whole. */
static void hand_over(const char *made, char *text, size_t size) {
    size_t length = strlen(made);

    if (length < size) {
        memcpy(text, made, length + 1);
    } else if (size > 0) {
        text[0] = '\0';
    }
}

void th_number_print(double value, int digits, char *text, size_t size) {
    char made[NUMBER_ROOM];
    rounded r;

    if (!isfinite(value)) {
        hand_over("-", text, size);
        return;
    }
    r = round_to(value, digits < 1 ? 1 : digits > MOST_DIGITS ? MOST_DIGITS : digits);
    if (r.exponent < -4 || r.exponent > 7 || (r.exponent == 7 && strcmp(r.digits, "1") != 0)) {
        lay_out_exponent(&r, made);
    } else {
        lay_out_fixed(&r, made);
    }
    hand_over(made, text, size);
}

static void join(const char *number, const char *unit, char *made) {
    snprintf(made, QUANTITY_ROOM, "%s%s%s", number, *unit != '\0' ? " " : "", unit);
}

/* The range within which no exponent is shorter to read than one, as %g has it. */
static void make_exact(double typed, int digits, const char *unit, char *made) {
    char number[NUMBER_ROOM];
    rounded r = round_to(typed, digits);

    if (r.exponent < -4 || r.exponent >= digits) {
        lay_out_exponent(&r, number);
    } else {
        lay_out_fixed(&r, number);
    }
    join(number, unit, made);
}

static bool reads_back(const char *made, th_kind kind, double value) {
    th_reading reading;

    return th_quantity_read(made, kind, TH_UNITS_NAMED, &reading, NULL) && reading.value == value;
}

/* The shortest text of 15 to 17 digits that reads back to the value. */
static bool write_shortest(double value, double typed, th_kind kind, const char *unit, char *made) {
    for (int digits = MOST_DIGITS - 2; digits <= MOST_DIGITS; digits++) {
        make_exact(typed, digits, unit, made);
        if (reads_back(made, kind, value)) {
            return true;
        }
    }
    return false;
}

/* In inches where reading gives back the very same mm. Doubles are about as dense in inches as
 * in mm, so for a part of all values no inch text does. */
static bool write_inches(double value, th_kind kind, char *made) {
    const char *symbol = kind == TH_LENGTH      ? "in"
                         : kind == TH_FEED      ? "in/min"
                         : kind == TH_CHIP_LOAD ? "in/tooth"
                                                : NULL;
    double typed, above, below;

    if (!symbol) {
        return false;
    }
    typed = th_unit_from_core(th_unit_find(kind, symbol), value);
    if (write_shortest(value, typed, kind, symbol, made)) {
        return true;
    }
    above = below = typed;
    for (int step = 0; step < 2; step++) {
        above = nextafter(above, INFINITY);
        below = nextafter(below, -INFINITY);
        if (write_shortest(value, above, kind, symbol, made) ||
            write_shortest(value, below, kind, symbol, made)) {
            return true;
        }
    }
    return false;
}

/* Denormal values, which reading refuses, are written all the same. */
void th_quantity_write(double value, th_kind kind, th_units units, char *text, size_t size) {
    char made[QUANTITY_ROOM];

    if (!isfinite(value)) {
        hand_over("-", text, size);
        return;
    }
    value = value == 0 ? 0.0 : value;
    if (units != TH_INCH || !write_inches(value, kind, made)) {
        write_shortest(value, value, kind, th_kind_unit(kind), made);
    }
    hand_over(made, text, size);
}

static const char *time_unit(double seconds) {
    if (fabs(seconds) < 120) {
        return "s";
    }
    return fabs(seconds) < 7200 ? "min" : "h";
}

/* kPa is the scale of tape; strength and stiffness of stock, in the thousands of MPa, are not
 * readable in it. */
static const char *stress_unit(double stress) {
    if (fabs(stress) < 10) {
        return "kPa";
    }
    return fabs(stress) < 10000 ? "MPa" : "GPa";
}

static const char *print_unit(double value, th_kind kind, bool inch) {
    switch (kind) {
    case TH_LENGTH:
        return inch ? "in" : "mm";
    case TH_FEED:
        return inch ? "in/min" : "mm/min";
    case TH_SURFACE_SPEED:
        return inch ? "sfm" : "m/min";
    case TH_CHIP_LOAD:
        return inch ? "in/tooth" : "mm/tooth";
    case TH_FORCE:
        return inch ? "lbf" : "N";
    case TH_LINE_FORCE:
        return inch ? "lbf/in" : "N/mm";
    case TH_PRESSURE:
        return inch ? "psi" : stress_unit(value);
    case TH_POWER:
        return inch ? "hp" : "W";
    case TH_TEMPERATURE:
        return inch ? "F" : "C";
    case TH_TIME:
        return time_unit(value);
    case TH_AREA:
        return inch ? "in2" : "mm2";
    case TH_TORQUE:
        return inch ? "lbf-in" : "Nm";
    default:
        return th_kind_unit(kind);
    }
}

void th_quantity_print(double value, th_kind kind, th_units units, int digits, char *text,
                       size_t size) {
    const char *symbol = print_unit(value, kind, units == TH_INCH);
    const th_unit *unit = th_unit_find(kind, symbol);
    double shown = unit ? th_unit_from_core(unit, value) : value;
    char number[NUMBER_ROOM], made[QUANTITY_ROOM];

    if (!isfinite(shown)) {
        hand_over("-", text, size);
        return;
    }
    th_number_print(shown, digits, number, sizeof number);
    join(number, symbol, made);
    hand_over(made, text, size);
}
