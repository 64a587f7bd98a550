/* units.c - kinds, and the one table of units.
 *
 * Factors: A. Thompson, B. N. Taylor, Guide for the Use of the International System of Units,
 * NIST Special Publication 811 (2008), appendix B. All are exact by definition; products are
 * computed by the compiler from the exact ones. */
#include "units.h"

#include <string.h>

#define INCH 25.4           /* mm, exact */
#define FOOT 0.3048         /* m, exact */
#define LBF 4.4482216152605 /* N, exact: 0.45359237 kg times 9.80665 m/s2 */
#define KGF 9.80665         /* N, exact */
#define SQUARE_INCH (INCH * INCH)
#define LBF_INCH (LBF * INCH)

/* UTF-8, spelt in bytes so that the source stays ASCII. */
#define DEGREE "\xC2\xB0"
#define MICRO "\xC2\xB5"
#define GREEK_MU "\xCE\xBC"
#define SQUARED "\xC2\xB2"
#define CUBED "\xC2\xB3"

typedef struct {
    const char *name, *core, *units;
} kind_row;

static const kind_row kinds[] = {
#define KIND_ROW(name, text, core, units) {text, core, units},
    TH_KIND_LIST(KIND_ROW)
#undef KIND_ROW
};

static const th_unit table[] = {
    /* symbol, kind, factor, divisor, offset, any case, per revolution */
    {"mm", TH_LENGTH, 1, 1, 0, false, false},
    {"cm", TH_LENGTH, 10, 1, 0, false, false},
    {"m", TH_LENGTH, 1000, 1, 0, false, false},
    {"um", TH_LENGTH, 1, 1000, 0, false, false},
    {MICRO "m", TH_LENGTH, 1, 1000, 0, false, false},
    {GREEK_MU "m", TH_LENGTH, 1, 1000, 0, false, false},
    {"in", TH_LENGTH, INCH, 1, 0, true, false},
    {"inch", TH_LENGTH, INCH, 1, 0, true, false},
    {"inches", TH_LENGTH, INCH, 1, 0, true, false},
    {"\"", TH_LENGTH, INCH, 1, 0, false, false},
    {"thou", TH_LENGTH, INCH, 1000, 0, true, false},
    {"mil", TH_LENGTH, INCH, 1000, 0, true, false},

    {"rpm", TH_SPINDLE_SPEED, 1, 1, 0, true, false},
    {"rev/min", TH_SPINDLE_SPEED, 1, 1, 0, false, false},

    {"mm/min", TH_FEED, 1, 1, 0, false, false},
    {"m/min", TH_FEED, 1000, 1, 0, false, false},
    {"in/min", TH_FEED, INCH, 1, 0, true, false},
    {"inch/min", TH_FEED, INCH, 1, 0, true, false},
    {"ipm", TH_FEED, INCH, 1, 0, true, false},

    {"m/min", TH_SURFACE_SPEED, 1, 1, 0, false, false},
    {"sfm", TH_SURFACE_SPEED, FOOT, 1, 0, true, false},
    {"ft/min", TH_SURFACE_SPEED, FOOT, 1, 0, true, false},

    {"mm/tooth", TH_CHIP_LOAD, 1, 1, 0, false, false},
    {"in/tooth", TH_CHIP_LOAD, INCH, 1, 0, true, false},
    {"inch/tooth", TH_CHIP_LOAD, INCH, 1, 0, true, false},
    {"thou/tooth", TH_CHIP_LOAD, INCH, 1000, 0, true, false},
    {"mil/tooth", TH_CHIP_LOAD, INCH, 1000, 0, true, false},
    {"mm/rev", TH_CHIP_LOAD, 1, 1, 0, false, true},
    {"in/rev", TH_CHIP_LOAD, INCH, 1, 0, true, true},
    {"inch/rev", TH_CHIP_LOAD, INCH, 1, 0, true, true},
    {"thou/rev", TH_CHIP_LOAD, INCH, 1000, 0, true, true},
    /* A plain length is the chip of one tooth: what a chip load is unless said otherwise. */
    {"mm", TH_CHIP_LOAD, 1, 1, 0, false, false},
    {"in", TH_CHIP_LOAD, INCH, 1, 0, true, false},
    {"inch", TH_CHIP_LOAD, INCH, 1, 0, true, false},
    {"\"", TH_CHIP_LOAD, INCH, 1, 0, false, false},
    {"thou", TH_CHIP_LOAD, INCH, 1000, 0, true, false},
    {"mil", TH_CHIP_LOAD, INCH, 1000, 0, true, false},

    {"N", TH_FORCE, 1, 1, 0, false, false},
    {"kN", TH_FORCE, 1000, 1, 0, false, false},
    {"lbf", TH_FORCE, LBF, 1, 0, true, false},
    {"kgf", TH_FORCE, KGF, 1, 0, true, false},

    {"N/mm", TH_LINE_FORCE, 1, 1, 0, false, false},
    {"N/cm", TH_LINE_FORCE, 1, 10, 0, false, false},
    {"lbf/in", TH_LINE_FORCE, LBF, INCH, 0, true, false},

    {"MPa", TH_PRESSURE, 1, 1, 0, false, false},
    {"Pa", TH_PRESSURE, 1, 1e6, 0, false, false},
    {"kPa", TH_PRESSURE, 1, 1000, 0, false, false},
    {"GPa", TH_PRESSURE, 1000, 1, 0, false, false},
    {"N/mm2", TH_PRESSURE, 1, 1, 0, false, false},
    {"N/mm^2", TH_PRESSURE, 1, 1, 0, false, false},
    {"N/mm" SQUARED, TH_PRESSURE, 1, 1, 0, false, false},
    {"psi", TH_PRESSURE, LBF, SQUARE_INCH, 0, true, false},

    {"W", TH_POWER, 1, 1, 0, false, false},
    {"kW", TH_POWER, 1000, 1, 0, false, false},
    {"hp", TH_POWER, 550 * FOOT *LBF, 1, 0, true, false}, /* 550 foot pounds-force a second */

    {"C", TH_TEMPERATURE, 1, 1, 0, false, false},
    {"degC", TH_TEMPERATURE, 1, 1, 0, false, false},
    {DEGREE "C", TH_TEMPERATURE, 1, 1, 0, false, false},
    {"F", TH_TEMPERATURE, 5, 9, 32, false, false},
    {"degF", TH_TEMPERATURE, 5, 9, 32, false, false},
    {DEGREE "F", TH_TEMPERATURE, 5, 9, 32, false, false},

    {"s", TH_TIME, 1, 1, 0, false, false},
    {"min", TH_TIME, 60, 1, 0, false, false},
    {"h", TH_TIME, 3600, 1, 0, false, false},
    {"sec", TH_TIME, 1, 1, 0, true, false},
    {"secs", TH_TIME, 1, 1, 0, true, false},
    {"mins", TH_TIME, 60, 1, 0, true, false},
    {"hr", TH_TIME, 3600, 1, 0, true, false},
    {"hrs", TH_TIME, 3600, 1, 0, true, false},

    {"g", TH_MASS, 1, 1, 0, false, false},
    {"kg", TH_MASS, 1000, 1, 0, false, false},

    {"kg/m3", TH_DENSITY, 1, 1, 0, false, false},
    {"kg/m^3", TH_DENSITY, 1, 1, 0, false, false},
    {"kg/m" CUBED, TH_DENSITY, 1, 1, 0, false, false},

    {"J/kgK", TH_HEAT_CAPACITY, 1, 1, 0, false, false},
    {"J/(kg K)", TH_HEAT_CAPACITY, 1, 1, 0, false, false},

    {"W/mK", TH_CONDUCTIVITY, 1, 1, 0, false, false},
    {"W/(m K)", TH_CONDUCTIVITY, 1, 1, 0, false, false},

    {"W/m2K", TH_FILM, 1, 1, 0, false, false},
    {"W/m^2K", TH_FILM, 1, 1, 0, false, false},
    {"W/(m2 K)", TH_FILM, 1, 1, 0, false, false},
    {"W/(m^2 K)", TH_FILM, 1, 1, 0, false, false},

    {"1/K", TH_EXPANSION, 1, 1, 0, false, false},

    {"deg", TH_ANGLE, 1, 1, 0, true, false},
    {DEGREE, TH_ANGLE, 1, 1, 0, false, false},

    {"%", TH_RATIO, 1, 100, 0, false, false},

    {"mm2", TH_AREA, 1, 1, 0, false, false},
    {"mm^2", TH_AREA, 1, 1, 0, false, false},
    {"mm" SQUARED, TH_AREA, 1, 1, 0, false, false},
    {"in2", TH_AREA, SQUARE_INCH, 1, 0, true, false},
    {"in^2", TH_AREA, SQUARE_INCH, 1, 0, true, false},

    {"Nmm", TH_TORQUE, 1, 1, 0, false, false},
    {"Nm", TH_TORQUE, 1000, 1, 0, false, false},
    {"lbf-in", TH_TORQUE, LBF_INCH, 1, 0, true, false},
    {"in-lbf", TH_TORQUE, LBF_INCH, 1, 0, true, false},
};

static const kind_row *row_of(th_kind kind) {
    static const kind_row none = {"", "", ""};
    size_t index = (size_t)kind;

    return index < sizeof kinds / sizeof kinds[0] ? &kinds[index] : &none;
}

const char *th_kind_name(th_kind kind) {
    return row_of(kind)->name;
}

const char *th_kind_unit(th_kind kind) {
    return row_of(kind)->core;
}

const char *th_kind_units(th_kind kind) {
    return row_of(kind)->units;
}

/* tolower() follows the host's locale; unit symbols are ASCII letters. */
static char lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool same_but_case(const char *a, const char *b) {
    while (*a != '\0' && lower(*a) == lower(*b)) {
        a++;
        b++;
    }
    return *a == *b;
}

const th_unit *th_unit_find(th_kind kind, const char *symbol) {
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        const th_unit *unit = &table[i];
        if (unit->kind == kind && (unit->any_case ? same_but_case(unit->symbol, symbol)
                                                  : strcmp(unit->symbol, symbol) == 0)) {
            return unit;
        }
    }
    return NULL;
}

const th_unit *th_unit_find_any_case(th_kind kind, const char *symbol) {
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        if (table[i].kind == kind && same_but_case(table[i].symbol, symbol)) {
            return &table[i];
        }
    }
    return NULL;
}

double th_unit_to_core(const th_unit *unit, double typed) {
    return (typed - unit->offset) * unit->factor / unit->divisor;
}

double th_unit_from_core(const th_unit *unit, double core) {
    return core * unit->divisor / unit->factor + unit->offset;
}
