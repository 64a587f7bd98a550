/* test_quantity.c - reading and printing numbers with units. */
#include "tackhold/quantity.h"

#include "support/comma.h"
#include "support/near.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROUNDS = 20000 };

#define MICRO "\xC2\xB5"
#define MU "\xCE\xBC"
#define DEGREE "\xC2\xB0"
#define SQUARE "\xC2\xB2"
#define CUBE "\xC2\xB3"
#define LBF (0.45359237 * 9.80665) /* N */

static th_reading read_ok(const char *text, th_kind kind, th_units units) {
    th_reading reading = {NAN, false};
    th_error err = {0};

    if (!th_quantity_read(text, kind, units, &reading, &err)) {
        fail_msg("%s as %s: %s", text, th_kind_name(kind), err.message);
    }
    return reading;
}

static double value_of(const char *text, th_kind kind) {
    return read_ok(text, kind, TH_UNITS_NAMED).value;
}

/* The message of a refusal, which must always name what was read and an example. */
static const char *refusal(const char *text, th_kind kind, th_units units) {
    static th_error err;
    th_reading reading = {0};

    err = (th_error){0};
    if (th_quantity_read(text, kind, units, &reading, &err)) {
        fail_msg("%s was read as %s %.17g", text, th_kind_name(kind), reading.value);
    }
    assert_int_equal(err.code, TH_BAD_VALUE);
    assert_int_equal(err.line, 0);
    assert_string_equal(err.file, "");
    assert_non_null(strstr(err.message, ", e.g. "));
    assert_non_null(strstr(err.message, th_kind_name(kind)));
    assert_false(th_quantity_read(text, kind, units, &reading, NULL));
    return err.message;
}

static void check_says(const char *message, const char *part, int line) {
    if (!strstr(message, part)) {
        print_error("\"%s\" does not say \"%s\"\n", message, part);
        _fail(__FILE__, line);
    }
}

#define assert_says(message, part) check_says(message, part, __LINE__)

/* Factors of NIST Special Publication 811 (2008), appendix B.8, in the publication's own SI units
 * and digits (recalled, the exact ones checked against their definitions); `si` turns the core
 * unit into that SI unit. Exact factors allow rounding only, the others half of their last digit.
 */
static void factors_of_nist_sp_811(void **state) {
    static const struct {
        const char *text;
        th_kind kind;
        double si, factor, half_digit;
    } rows[] = {
        {"1 in", TH_LENGTH, 1e-3, 2.54e-2, 0},                /* inch to m, exact */
        {"1 mil", TH_LENGTH, 1e-3, 2.54e-5, 0},               /* mil (0.001 in) to m, exact */
        {"1 um", TH_LENGTH, 1e-3, 1.0e-6, 0},                 /* micron to m, exact */
        {"1 in/min", TH_FEED, 1e-3 / 60, 2.54e-2 / 60, 0},    /* inch to m, minute to s, exact */
        {"1 ft/min", TH_SURFACE_SPEED, 1.0 / 60, 5.08e-3, 0}, /* ft/min to m/s, exact */
        {"1 lbf", TH_FORCE, 1, 4.448222, 0.5e-6},             /* pound-force to N */
        {"1 kgf", TH_FORCE, 1, 9.80665, 0},                   /* kilogram-force to N, exact */
        {"1 lbf/in", TH_LINE_FORCE, 1e3, 1.751268e2, 0.5e-4}, /* lbf/in to N/m */
        {"1 psi", TH_PRESSURE, 1e6, 6.894757e3, 0.5e-3},      /* psi to Pa */
        {"1 hp", TH_POWER, 1, 7.456999e2, 0.5e-4},            /* horsepower (550 ft lbf/s) to W */
        {"1 min", TH_TIME, 1, 6.0e1, 0},                      /* minute to s, exact */
        {"1 h", TH_TIME, 1, 3.6e3, 0},                        /* hour to s, exact */
        {"1 hr", TH_TIME, 1, 3.6e3, 0},
        {"1 Hrs", TH_TIME, 1, 3.6e3, 0},
        {"1 mins", TH_TIME, 1, 6.0e1, 0},
        {"1 sec", TH_TIME, 1, 1, 0},
        {"1 secs", TH_TIME, 1, 1, 0},
        {"1 inches", TH_LENGTH, 1, 25.4, 0},
        {"1 in2", TH_AREA, 1e-6, 6.4516e-4, 0},             /* square inch to m2, exact */
        {"1 lbf-in", TH_TORQUE, 1e-3, 1.129848e-1, 0.5e-7}, /* lbf in to N m */
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_near(value_of(rows[i].text, rows[i].kind) * rows[i].si, rows[i].factor, 1e-15,
                    rows[i].half_digit);
    }
    /* Degree Fahrenheit to degree Celsius, same appendix: t/C = (t/F - 32)/1.8; fixed points of
     * the two scales and the temperature where they meet. */
    assert_near(value_of("32 F", TH_TEMPERATURE), 0, 0, 0);
    assert_near(value_of("212 F", TH_TEMPERATURE), 100, 0, 0);
    assert_near(value_of("-40 F", TH_TEMPERATURE), -40, 0, 0);
    assert_near(value_of("73.4 F", TH_TEMPERATURE), (73.4 - 32) / 1.8, 1e-15, 0);
}

/* Every unit that a user may type. The expected values follow from the definitions: 25.4 mm,
 * 0.3048 m, 0.45359237 kg times 9.80665 m/s2, 550 ft lbf/s, and decimal prefixes. */
static const struct {
    const char *unit;
    th_kind kind;
    double of_two; /* what 2 of it are in the core unit */
} usable_units[] = {
    {"mm", TH_LENGTH, 2},
    {"cm", TH_LENGTH, 20},
    {"m", TH_LENGTH, 2000},
    {"um", TH_LENGTH, 0.002},
    {MICRO "m", TH_LENGTH, 0.002},
    {MU "m", TH_LENGTH, 0.002},
    {"in", TH_LENGTH, 50.8},
    {"IN", TH_LENGTH, 50.8},
    {"inch", TH_LENGTH, 50.8},
    {"\"", TH_LENGTH, 50.8},
    {"thou", TH_LENGTH, 0.0508},
    {"mil", TH_LENGTH, 0.0508},
    {"rpm", TH_SPINDLE_SPEED, 2},
    {"RPM", TH_SPINDLE_SPEED, 2},
    {"rev/min", TH_SPINDLE_SPEED, 2},
    {"mm/min", TH_FEED, 2},
    {"m/min", TH_FEED, 2000},
    {"in/min", TH_FEED, 50.8},
    {"inch/min", TH_FEED, 50.8},
    {"ipm", TH_FEED, 50.8},
    {"IPM", TH_FEED, 50.8},
    {"m/min", TH_SURFACE_SPEED, 2},
    {"sfm", TH_SURFACE_SPEED, 0.6096},
    {"SFM", TH_SURFACE_SPEED, 0.6096},
    {"ft/min", TH_SURFACE_SPEED, 0.6096},
    {"N", TH_FORCE, 2},
    {"kN", TH_FORCE, 2000},
    {"lbf", TH_FORCE, 2 * LBF},
    {"kgf", TH_FORCE, 19.6133},
    {"N/mm", TH_LINE_FORCE, 2},
    {"N/cm", TH_LINE_FORCE, 0.2},
    {"lbf/in", TH_LINE_FORCE, 2 * LBF / 25.4},
    {"Pa", TH_PRESSURE, 2e-6},
    {"kPa", TH_PRESSURE, 0.002},
    {"MPa", TH_PRESSURE, 2},
    {"GPa", TH_PRESSURE, 2000},
    {"N/mm2", TH_PRESSURE, 2},
    {"N/mm^2", TH_PRESSURE, 2},
    {"N/mm" SQUARE, TH_PRESSURE, 2},
    {"psi", TH_PRESSURE, 2 * LBF / 645.16},
    {"PSI", TH_PRESSURE, 2 * LBF / 645.16},
    {"W", TH_POWER, 2},
    {"kW", TH_POWER, 2000},
    {"hp", TH_POWER, 1100 * 0.3048 * LBF},
    {"HP", TH_POWER, 1100 * 0.3048 * LBF},
    {"C", TH_TEMPERATURE, 2},
    {"degC", TH_TEMPERATURE, 2},
    {DEGREE "C", TH_TEMPERATURE, 2},
    {"F", TH_TEMPERATURE, -30 / 1.8},
    {"degF", TH_TEMPERATURE, -30 / 1.8},
    {DEGREE "F", TH_TEMPERATURE, -30 / 1.8},
    {"s", TH_TIME, 2},
    {"min", TH_TIME, 120},
    {"h", TH_TIME, 7200},
    {"g", TH_MASS, 2},
    {"kg", TH_MASS, 2000},
    {"kg/m3", TH_DENSITY, 2},
    {"kg/m^3", TH_DENSITY, 2},
    {"kg/m" CUBE, TH_DENSITY, 2},
    {"J/kgK", TH_HEAT_CAPACITY, 2},
    {"J/(kg K)", TH_HEAT_CAPACITY, 2},
    {"W/mK", TH_CONDUCTIVITY, 2},
    {"W/(m K)", TH_CONDUCTIVITY, 2},
    {"W/m2K", TH_FILM, 2},
    {"W/m^2K", TH_FILM, 2},
    {"W/(m2 K)", TH_FILM, 2},
    {"W/(m^2 K)", TH_FILM, 2},
    {"deg", TH_ANGLE, 2},
    {DEGREE, TH_ANGLE, 2},
    {"%", TH_RATIO, 0.02},
    {"mm2", TH_AREA, 2},
    {"mm^2", TH_AREA, 2},
    {"mm" SQUARE, TH_AREA, 2},
    {"in2", TH_AREA, 1290.32},
    {"in^2", TH_AREA, 1290.32},
    {"Nmm", TH_TORQUE, 2},
    {"Nm", TH_TORQUE, 2000},
    {"lbf-in", TH_TORQUE, 2 * LBF * 25.4},
    {"in-lbf", TH_TORQUE, 2 * LBF * 25.4},
};

static void every_unit(void **state) {
    char text[64];

    (void)state;
    for (size_t i = 0; i < sizeof usable_units / sizeof usable_units[0]; i++) {
        snprintf(text, sizeof text, "2 %s", usable_units[i].unit);
        assert_near(value_of(text, usable_units[i].kind), usable_units[i].of_two, 4e-16, 0);
        snprintf(text, sizeof text, "  2.0%s\t", usable_units[i].unit);
        assert_near(value_of(text, usable_units[i].kind), usable_units[i].of_two, 4e-16, 0);
    }
    assert_near(value_of("23e-6 1/K", TH_EXPANSION), 23e-6, 0, 0);
    assert_near(value_of("1 1/K", TH_EXPANSION), 1, 0, 0);
}

static void chip_loads_per_tooth_and_per_turn(void **state) {
    static const struct {
        const char *text;
        double value;
        bool per_rev;
    } rows[] = {
        {"0.02 mm/tooth", 0.02, false},
        {"0.001 in/tooth", 0.0254, false},
        {"0.001 inch/tooth", 0.0254, false},
        {"1 thou/tooth", 0.0254, false},
        {"1 mil/tooth", 0.0254, false},
        {"0.06 mm/rev", 0.06, true},
        {"0.003 in/rev", 0.0762, true},
        {"0.003 inch/rev", 0.0762, true},
        {"3 thou/rev", 0.0762, true},
        {"0.02 mm", 0.02, false},
        {"0.001 in", 0.0254, false},
        {"0.001 inch", 0.0254, false},
        {"0.001\"", 0.0254, false},
        {"1 thou", 0.0254, false},
        {"1 mil", 0.0254, false},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        th_reading reading = read_ok(rows[i].text, TH_CHIP_LOAD, TH_MM);
        assert_near(reading.value, rows[i].value, 4e-16, 0);
        assert_int_equal(reading.per_rev, rows[i].per_rev);
    }
    assert_says(refusal("0.02", TH_CHIP_LOAD, TH_MM), "mm/tooth, in/tooth");
    assert_says(refusal("0.02", TH_CHIP_LOAD, TH_INCH), "e.g. 0.001 in/tooth");
    assert_says(refusal("0.02", TH_CHIP_LOAD, TH_MM), "e.g. 0.02 mm/tooth");
}

static void numbers_are_decimal(void **state) {
    static const struct {
        const char *text;
        double value;
    } rows[] = {
        {"1", 1},
        {"1.5", 1.5},
        {".5", 0.5},
        {"5.", 5},
        {"+2", 2},
        {"-2.25", -2.25},
        {"2e-3", 0.002},
        {"2E3", 2000},
        {"1.25e+2", 125},
        {"  7\t", 7},
        {"007", 7},
        {"0.1", 0.1},
        {"1.7976931348623157e308", DBL_MAX},
        {"2.2250738585072014e-308", DBL_MIN},
        {"0.30000000000000004", 0.1 + 0.2},
        {"123456789.987654321", 123456789.987654321},
        {"0e999999999999", 0},
        {"0.000e-999999999999", 0},
        {"1000000e-6", 1},
        {"0.000001e6", 1},
    };
    double zero = value_of("-0", TH_RATIO);

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double value = value_of(rows[i].text, TH_RATIO);
        assert_memory_equal(&value, &rows[i].value, sizeof value);
    }
    assert_true(zero == 0 && !signbit(zero));
    zero = value_of("-0.0 mm", TH_LENGTH);
    assert_true(zero == 0 && !signbit(zero));
    /* A unit that starts like an exponent is none, and digits are no part of a unit. */
    assert_says(refusal("2e", TH_RATIO, TH_MM), "e is no unit of it");
    assert_says(refusal("2e-", TH_RATIO, TH_MM), "e- is no unit of it");
    assert_says(refusal("23e-61/K", TH_EXPANSION, TH_MM), "/K is no unit of it");
}

static void lengths_may_be_fractions(void **state) {
    static const struct {
        const char *text;
        double value;
    } rows[] = {
        {"1/4 in", 6.35},       {"1/4in", 6.35},       {"3/32\"", 2.38125},   {"1-1/4 in", 31.75},
        {"-1/4 in", -6.35},     {"-1-1/4 in", -31.75}, {"+1/8 inch", 3.175},  {"5/4 in", 31.75},
        {"1/2 mm", 0.5},        {" 0/4 in ", 0},       {"1/3 m", 1000.0 / 3}, {"0-1/2 in", 12.7},
        {"13/64 in", 5.159375},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_near(value_of(rows[i].text, TH_LENGTH), rows[i].value, 4e-16, 0);
    }
    assert_near(read_ok("1/4", TH_LENGTH, TH_INCH).value, 6.35, 4e-16, 0);
    assert_near(read_ok("1-1/4", TH_LENGTH, TH_INCH).value, 31.75, 4e-16, 0);
    assert_near(read_ok("1/4", TH_LENGTH, TH_MM).value, 0.25, 0, 0);
    refusal("1/4", TH_LENGTH, TH_UNITS_NAMED);

    assert_says(refusal("1/0", TH_LENGTH, TH_INCH), "divides by zero");
    assert_says(refusal("1-1/00 in", TH_LENGTH, TH_INCH), "divides by zero");
    assert_says(refusal("0/0 in", TH_LENGTH, TH_INCH), "divides by zero");
    /* A mixed number whose fraction is 1 or more is taken for a slip. */
    assert_says(refusal("1-5/4 in", TH_LENGTH, TH_INCH), "must be below 1");
    assert_says(refusal("1-4/4 in", TH_LENGTH, TH_INCH), "must be below 1");
    assert_says(refusal("1 1/4 in", TH_LENGTH, TH_INCH), "e.g. 1-1/4 in");
    assert_says(refusal("12345678/3 in", TH_LENGTH, TH_INCH), "at most 7 digits");
    assert_says(refusal("1/4 m/min", TH_FEED, TH_MM), "fractions are for lengths only");
    assert_says(refusal("1/4", TH_RATIO, TH_MM), "fractions are for lengths only");
    refusal("1/", TH_LENGTH, TH_INCH);
    refusal("/4 in", TH_LENGTH, TH_INCH);
    refusal("1--1/4 in", TH_LENGTH, TH_INCH);
    refusal("1/-4 in", TH_LENGTH, TH_INCH);
    refusal("1/4/2 in", TH_LENGTH, TH_INCH);
    refusal("1/4.5 in", TH_LENGTH, TH_INCH);
    refusal("1.5/4 in", TH_LENGTH, TH_INCH);
    refusal("1-1 in", TH_LENGTH, TH_INCH);
    refusal("1 - 1/4 in", TH_LENGTH, TH_INCH);
}

/* None of these is a length. */
static const char *const no_lengths[] = {
    "",
    " ",
    "\t",
    "mm",
    "e5",
    ".",
    "-",
    "+",
    "--1",
    "+-1",
    "- 1",
    "-.",
    ".e1",
    "1..2",
    "1.2.3",
    "nan",
    "NaN mm",
    "inf",
    "-inf mm",
    "infinity",
    "0x10",
    "0x1p3 mm",
    "1_000",
    "1'000",
    "1 000",
    "1,5",
    "1,5 mm",
    ",5",
    "1,000.5",
    "1.000,5",
    "1,2,3 mm",
    "5 5",
    "5 mm 3",
    "5 mm mm",
    "5 mm;",
    "5mmx",
    "5 m m",
    "5 m/ min",
    "(5)",
    "5 (mm)",
    "1e999",
    "-1e999 mm",
    "1e-400",
    "4e-320",
    "1e308 m",
    "1e-307 um",
    "\"5\"",
    "five",
    "5\n",
    "5 mm\n",
    ("\xE2\x88\x92"
     "5"),
    "5\xC2\xA0mm",
    "\xFF",
    "1e5.5",
    "1e+-5",
    "$5",
};

static void bad_numbers_are_refused(void **state) {

    (void)state;
    for (size_t i = 0; i < sizeof no_lengths / sizeof no_lengths[0]; i++) {
        refusal(no_lengths[i], TH_LENGTH, TH_MM);
    }
    for (int kind = 0; kind < TH_KIND_COUNT; kind++) {
        refusal("", (th_kind)kind, TH_MM);
        refusal(NULL, (th_kind)kind, TH_MM);
        refusal("nan", (th_kind)kind, TH_MM);
        refusal("1e999", (th_kind)kind, TH_MM);
        refusal("5 furlong", (th_kind)kind, TH_MM);
    }
}

static void messages_name_the_cure(void **state) {
    th_error err;
    th_reading reading;

    (void)state;
    assert_string_equal(refusal("12,5 mm", TH_LENGTH, TH_MM),
                        "\"12,5 mm\" is not a length: write the decimal point as '.', "
                        "e.g. 12.5 mm");
    assert_string_equal(refusal("5", TH_PRESSURE, TH_MM),
                        "\"5\" needs a unit of stress: Pa, kPa, MPa, GPa, N/mm2, psi, "
                        "e.g. 80 kPa");
    assert_says(refusal("1,000.5 mm", TH_LENGTH, TH_MM), "leave out commas");
    assert_says(refusal("1,5", TH_FORCE, TH_MM), "leave out commas, e.g. 20 N");
    /* No number ahead of three digits: nothing to ask about. */
    assert_says(refusal("x0,435(16636 in", TH_LENGTH, TH_MM), "leave out commas");
    assert_says(refusal("\",120 N", TH_FORCE, TH_MM), "leave out commas");
    assert_says(refusal(",120 mm", TH_LENGTH, TH_MM), "e.g. .120 mm");
    assert_says(refusal("-,120 mm", TH_LENGTH, TH_MM), "e.g. -.120 mm");
    assert_says(refusal("-1,120 mm", TH_LENGTH, TH_MM), "-1120 or -1.12?");
    assert_says(refusal("0x10", TH_LENGTH, TH_MM), "hexadecimal");
    assert_says(refusal("5 psi", TH_LENGTH, TH_MM), "psi is a unit of stress; write mm, cm");
    assert_says(refusal("5 MM", TH_LENGTH, TH_MM), "e.g. 5 mm");
    assert_says(refusal("5 mpa", TH_PRESSURE, TH_MM), "e.g. 5 MPa");
    assert_says(refusal("5 mm/min", TH_SURFACE_SPEED, TH_MM), "is a unit of feed rate");
    assert_says(refusal("2.5", TH_COUNT, TH_MM), "is not a count: it must be a whole number");
    assert_says(refusal("2 mm", TH_COUNT, TH_MM), "a count stands alone");
    assert_says(refusal("x", TH_ANGLE, TH_MM), "is not an angle");
    assert_says(refusal("1e999", TH_COUNT, TH_MM), "too large");
    assert_says(refusal("1e-999 mm", TH_LENGTH, TH_MM), "too near to zero");
    /* Also where the offset of the scale would hide it. */
    assert_says(refusal("1e-320 F", TH_TEMPERATURE, TH_MM), "too near to zero");
    assert_says(refusal("1e99999999999999999999999999 N", TH_FORCE, TH_MM), "too large");
    assert_says(refusal("1e-99999999999999999999999999 N", TH_FORCE, TH_MM), "too near to zero");
    assert_false(th_quantity_read("5", (th_kind)TH_KIND_COUNT, TH_MM, &reading, &err));
    assert_false(th_quantity_read("5", (th_kind)-1, TH_MM, &reading, &err));
    assert_int_equal(err.code, TH_BAD_VALUE);
}

/* The example of every kind must itself be readable. */
static void examples_work(void **state) {
    char empty[] = "";

    (void)state;
    for (int kind = 0; kind < TH_KIND_COUNT; kind++) {
        const char *example = strstr(refusal(empty, (th_kind)kind, TH_MM), ", e.g. ") + 7;
        char copy[64];
        snprintf(copy, sizeof copy, "%s", example);
        read_ok(copy, (th_kind)kind, TH_UNITS_NAMED);
    }
}

/* The units that messages offer must be the units that are read. */
static void offered_units_work(void **state) {
    int tried = 0;

    (void)state;
    for (int kind = 0; kind < TH_KIND_COUNT; kind++) {
        char units[128], text[64];
        if (kind == TH_RATIO || kind == TH_COUNT) {
            continue;
        }
        snprintf(units, sizeof units, "%s", th_kind_units((th_kind)kind));
        units[strcspn(units, "(")] = '\0';
        for (char *unit = strtok(units, ", "); unit; unit = strtok(NULL, ", ")) {
            snprintf(text, sizeof text, "3 %s", unit);
            read_ok(text, (th_kind)kind, TH_UNITS_NAMED);
            tried++;
        }
        snprintf(text, sizeof text, "3 %s", th_kind_unit((th_kind)kind));
        assert_near(value_of(text, (th_kind)kind), 3, 0, 0);
    }
    assert_true(tried > 50);
    assert_string_equal(th_kind_name((th_kind)99), "");
    assert_string_equal(th_kind_unit((th_kind)99), "");
    assert_string_equal(th_kind_units((th_kind)99), "");
}

static void echoes_are_short_and_printable(void **state) {
    char text[400];
    const char *said;

    (void)state;
    said = refusal("5 \x1B[31m\a\x7F\xC2\x9B\xFF", TH_LENGTH, TH_MM);
    assert_says(said, "\"5 ?[31m");
    for (const char *p = said; *p != '\0'; p++) {
        assert_true((unsigned char)*p >= 0x20 && (unsigned char)*p < 0x7F);
    }
    assert_says(refusal("5 \xE2\x82\xAC", TH_LENGTH, TH_MM), "\"5 \xE2\x82\xAC\"");
    assert_says(refusal("5\t,\t6", TH_LENGTH, TH_MM), "\"5?,?6\"");

    memset(text, 'a', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    said = refusal(text, TH_LENGTH, TH_MM);
    assert_says(said, "longer than 120");
    assert_says(said, "\"aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa...\"");

    /* 120 letters are read, 121 are not; blanks around them do not count. */
    memset(text, '0', sizeof text);
    text[1] = '.';
    text[119] = '1';
    text[120] = '\0';
    assert_near(value_of(text, TH_RATIO), 1e-118, 0, 0);
    memcpy(text + 120, "   ", 4);
    assert_near(value_of(text, TH_RATIO), 1e-118, 0, 0);
    memcpy(text + 120, "1", 2);
    assert_says(refusal(text, TH_RATIO, TH_MM), "longer than 120");
    /* A long number is not repeated in the example. */
    memset(text, '1', 60);
    text[60] = '\0';
    assert_says(refusal(text, TH_FORCE, TH_MM), "e.g. 20 N");
}

static void bare_numbers(void **state) {
    (void)state;
    for (int units = TH_MM; units <= TH_UNITS_NAMED; units++) {
        for (int kind = 0; kind < TH_KIND_COUNT; kind++) {
            bool by_units = kind == TH_LENGTH || kind == TH_FEED;
            bool plain = kind == TH_SPINDLE_SPEED || kind == TH_ANGLE || kind == TH_RATIO ||
                         kind == TH_COUNT;
            if (plain || (by_units && units != TH_UNITS_NAMED)) {
                double expected = by_units && units == TH_INCH ? 76.2 : 3;
                assert_near(read_ok("3", (th_kind)kind, (th_units)units).value, expected, 4e-16, 0);
            } else {
                assert_says(refusal("3", (th_kind)kind, (th_units)units), "needs a unit");
                assert_says(refusal("0", (th_kind)kind, (th_units)units), "needs a unit");
            }
        }
    }
    assert_near(value_of("4.0", TH_COUNT), 4, 0, 0);
    assert_near(value_of("-3", TH_COUNT), -3, 0, 0);
    assert_near(value_of("0.5", TH_RATIO), 0.5, 0, 0);
    assert_near(value_of("50%", TH_RATIO), 0.5, 0, 0);
}

/* A unit is read by the kinds it belongs to and by no other. */
static void units_of_another_kind_are_refused(void **state) {
    (void)state;
    for (int kind = 0; kind < TH_KIND_COUNT; kind++) {
        for (int other = 0; other < TH_KIND_COUNT; other++) {
            char text[64];
            if (kind == other || *th_kind_unit((th_kind)other) == '\0') {
                continue;
            }
            if (kind == TH_CHIP_LOAD && other == TH_LENGTH) {
                continue; /* a plain length is the chip of one tooth */
            }
            if (kind == TH_FEED && other == TH_SURFACE_SPEED) {
                continue; /* m/min is either, and means what the kind says */
            }
            snprintf(text, sizeof text, "3 %s", th_kind_unit((th_kind)other));
            refusal(text, (th_kind)kind, TH_MM);
        }
    }
    assert_near(value_of("3 m/min", TH_FEED), 3000, 0, 0);
    assert_near(value_of("3 m/min", TH_SURFACE_SPEED), 3, 0, 0);
}

/* splitmix64 (Steele, Lea, Flood 2014): the same numbers on every machine. */
static uint64_t next_random(uint64_t *seed) {
    uint64_t z = (*seed += 0x9E3779B97F4A7C15U);

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31);
}

/* Every third from all bit patterns of normal doubles, every third within what jobs hold, every
 * third a short decimal. */
static double random_value(uint64_t *seed, int i) {
    uint64_t bits = next_random(seed);
    double value;

    if (i % 3 == 0) {
        memcpy(&value, &bits, sizeof value);
        return isnormal(value) ? value : 0;
    }
    if (i % 3 == 1) {
        return ldexp((double)(int64_t)bits, -63 + (int)(next_random(seed) % 40) - 20);
    }
    return (double)(int64_t)(bits % 200001) / 1000 - 100;
}

static void write_then_read_is_exact(void **state) {
    uint64_t seed = 20080301;
    int in_inches = 0;

    (void)state;
    for (int kind = 0; kind < TH_KIND_COUNT; kind++) {
        for (int units = TH_MM; units <= TH_UNITS_NAMED; units++) {
            for (int i = 0; i < ROUNDS; i++) {
                double value = random_value(&seed, i);
                th_reading reading = {NAN, true};
                char text[64];
                if (kind == TH_COUNT) {
                    value = floor(value);
                }
                th_quantity_write(value, (th_kind)kind, (th_units)units, text, sizeof text);
                if (!th_quantity_read(text, (th_kind)kind, TH_UNITS_NAMED, &reading, NULL) ||
                    memcmp(&reading.value, &value, sizeof value) != 0 || reading.per_rev) {
                    fail_msg("%.17g %s was written as %s", value, th_kind_name((th_kind)kind),
                             text);
                }
                in_inches += strstr(text, " in") ? 1 : 0;
            }
        }
    }
    print_message("%d of %d inch texts are in inches\n", in_inches, 3 * ROUNDS);
    assert_true(in_inches > 3 * ROUNDS / 2);
}

/* Anything may be typed: a text is refused with a message, or read as a finite number that
 * writing and reading again gives back. */
static void random_texts_are_read_or_refused(void **state) {
    static const char letters[] = "0123456789012345.-+eE/,% \t\"mincfMPaNlbrKJkgW()^\xC2\xB0\x01";
    uint64_t seed = 811;
    int accepted = 0;

    (void)state;
    for (int i = 0; i < 10 * ROUNDS; i++) {
        th_kind kind = (th_kind)(next_random(&seed) % TH_KIND_COUNT);
        size_t length = (size_t)(next_random(&seed) % (i % 50 == 0 ? 140 : 7));
        th_reading reading = {NAN, false}, again = {NAN, false};
        th_error err = {0};
        char text[160], written[64];
        for (size_t n = 0; n < length; n++) {
            text[n] = letters[next_random(&seed) % (sizeof letters - 1)];
        }
        text[length] = '\0';
        if (!th_quantity_read(text, kind, TH_INCH, &reading, &err)) {
            assert_true(err.code == TH_BAD_VALUE && err.message[0] != '\0');
            continue;
        }
        accepted++;
        assert_true(isfinite(reading.value));
        th_quantity_write(reading.value, kind, TH_INCH, written, sizeof written);
        assert_true(th_quantity_read(written, kind, TH_UNITS_NAMED, &again, NULL));
        assert_memory_equal(&again.value, &reading.value, sizeof reading.value);
    }
    print_message("%d of %d random texts were quantities\n", accepted, 10 * ROUNDS);
    assert_true(accepted > 1000);
}

/* What was typed in inches with a few digits is written as it was typed. */
static void inches_come_back_as_typed(void **state) {
    char typed[64], text[64];

    (void)state;
    for (int i = 1; i <= ROUNDS; i++) {
        int width = snprintf(typed, sizeof typed, "%d.%04d", i / 10000, i % 10000);
        while (typed[width - 1] == '0' || typed[width - 1] == '.') {
            bool point = typed[--width] == '.';
            typed[width] = '\0';
            if (point) {
                break;
            }
        }
        snprintf(typed + width, sizeof typed - (size_t)width, " in");
        th_quantity_write(value_of(typed, TH_LENGTH), TH_LENGTH, TH_INCH, text, sizeof text);
        assert_string_equal(text, typed);
    }
}

static void written_texts(void **state) {
    static const struct {
        double value;
        th_kind kind;
        th_units units;
        const char *text;
    } rows[] = {
        {0.5, TH_LENGTH, TH_MM, "0.5 mm"},
        {6.35, TH_LENGTH, TH_INCH, "0.25 in"},
        {6.35, TH_LENGTH, TH_UNITS_NAMED, "6.35 mm"},
        {0.1, TH_LENGTH, TH_MM, "0.1 mm"},
        {0.1 + 0.2, TH_LENGTH, TH_MM, "0.30000000000000004 mm"},
        {762, TH_FEED, TH_INCH, "30 in/min"},
        {600, TH_FEED, TH_MM, "600 mm/min"},
        {0.0254, TH_CHIP_LOAD, TH_INCH, "0.001 in/tooth"},
        {0.02, TH_CHIP_LOAD, TH_MM, "0.02 mm/tooth"},
        {12000, TH_SPINDLE_SPEED, TH_INCH, "12000 rpm"},
        {0.08, TH_PRESSURE, TH_INCH, "0.08 MPa"},
        {-12.25, TH_TEMPERATURE, TH_MM, "-12.25 C"},
        {0.9, TH_RATIO, TH_MM, "0.9"},
        {3, TH_COUNT, TH_INCH, "3"},
        {-0.0, TH_LENGTH, TH_MM, "0 mm"},
        {2.3e-5, TH_EXPANSION, TH_MM, "2.3e-5 1/K"},
        {1e20, TH_FORCE, TH_MM, "1e20 N"},
        {-DBL_MAX, TH_FORCE, TH_MM, "-1.7976931348623157e308 N"},
        {NAN, TH_FORCE, TH_MM, "-"},
        {-INFINITY, TH_LENGTH, TH_INCH, "-"},
    };
    char text[64], tight[8];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        th_quantity_write(rows[i].value, rows[i].kind, rows[i].units, text, sizeof text);
        assert_string_equal(text, rows[i].text);
    }
    /* No room: nothing, rather than a number without its end. */
    th_quantity_write(123456, TH_LENGTH, TH_MM, tight, sizeof tight);
    assert_string_equal(tight, "");
    th_quantity_write(1234, TH_LENGTH, TH_MM, tight, sizeof tight);
    assert_string_equal(tight, "1234 mm");
    tight[0] = 'x';
    th_quantity_write(5, TH_LENGTH, TH_MM, tight, 0);
    assert_int_equal(tight[0], 'x');
}

static void printed_numbers(void **state) {
    static const struct {
        double value;
        int digits;
        const char *text;
    } rows[] = {
        {0, 3, "0"},
        {-0.0, 3, "0"},
        {1, 3, "1"},
        {1.5, 3, "1.5"},
        {-2.5004, 4, "-2.5"},
        {3.14159265, 4, "3.142"},
        {0.1 + 0.2, 6, "0.3"},
        {123456, 3, "123000"},
        {999.96, 4, "1000"},
        {0.0001, 3, "0.0001"},
        {0.000123456, 4, "0.0001235"},
        {0.00009996, 3, "0.0001"},
        {0.0000123, 3, "1.23e-5"},
        {9999999, 7, "9999999"},
        {9999999, 3, "10000000"},
        {1e7, 3, "10000000"},
        {1.25e7, 3, "1.25e7"},
        {-6.02e23, 3, "-6.02e23"},
        {2e100, 1, "2e100"},
        {1.0 / 3, 40, "0.33333333333333331"},
        {1.0 / 3, 0, "0.3"},
        {NAN, 3, "-"},
        {INFINITY, 3, "-"},
        {-INFINITY, 3, "-"},
    };
    char text[64], tight[4];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        th_number_print(rows[i].value, rows[i].digits, text, sizeof text);
        assert_string_equal(text, rows[i].text);
    }
    th_number_print(1234, 4, tight, sizeof tight);
    assert_string_equal(tight, "");
    th_number_print(123, 4, tight, sizeof tight);
    assert_string_equal(tight, "123");
}

/* The inch column follows from 25.4 mm, 4.448222 N, 6.894757 kPa and 745.6999 W (NIST SP 811). */
static const struct {
    double value;
    th_kind kind;
    int digits;
    const char *metric, *inch;
} printed[] = {
    {12.7, TH_LENGTH, 4, "12.7 mm", "0.5 in"},
    {10000, TH_SPINDLE_SPEED, 4, "10000 rpm", "10000 rpm"},
    {762, TH_FEED, 4, "762 mm/min", "30 in/min"},
    {152.4, TH_SURFACE_SPEED, 4, "152.4 m/min", "500 sfm"},
    {0.0254, TH_CHIP_LOAD, 3, "0.0254 mm/tooth", "0.001 in/tooth"},
    {44.48222, TH_FORCE, 4, "44.48 N", "10 lbf"},
    {0.25, TH_LINE_FORCE, 3, "0.25 N/mm", "1.43 lbf/in"},
    {0.06894757, TH_PRESSURE, 3, "68.9 kPa", "10 psi"},
    {1.5, TH_PRESSURE, 3, "1500 kPa", "218 psi"},
    {0, TH_PRESSURE, 3, "0 kPa", "0 psi"},
    {700, TH_PRESSURE, 3, "700 MPa", "102000 psi"},
    {69000, TH_PRESSURE, 3, "69 GPa", "10000000 psi"},
    {745.6999, TH_POWER, 4, "745.7 W", "1 hp"},
    {23, TH_TEMPERATURE, 3, "23 C", "73.4 F"},
    {-40, TH_TEMPERATURE, 3, "-40 C", "-40 F"},
    {119, TH_TIME, 3, "119 s", "119 s"},
    {120, TH_TIME, 3, "2 min", "2 min"},
    {7199, TH_TIME, 3, "120 min", "120 min"},
    {7200, TH_TIME, 3, "2 h", "2 h"},
    {250, TH_MASS, 3, "250 g", "250 g"},
    {2700, TH_DENSITY, 3, "2700 kg/m3", "2700 kg/m3"},
    {896, TH_HEAT_CAPACITY, 3, "896 J/kgK", "896 J/kgK"},
    {167, TH_CONDUCTIVITY, 3, "167 W/mK", "167 W/mK"},
    {20, TH_FILM, 3, "20 W/m2K", "20 W/m2K"},
    {23.6e-6, TH_EXPANSION, 3, "2.36e-5 1/K", "2.36e-5 1/K"},
    {30, TH_ANGLE, 3, "30 deg", "30 deg"},
    {0.85, TH_RATIO, 3, "0.85", "0.85"},
    {4, TH_COUNT, 3, "4", "4"},
    {645.16, TH_AREA, 4, "645.2 mm2", "1 in2"},
    {1129.848, TH_TORQUE, 4, "1.13 Nm", "10 lbf-in"},
    {NAN, TH_FORCE, 3, "-", "-"},
    {NAN, TH_TIME, 3, "-", "-"},
    {INFINITY, TH_PRESSURE, 3, "-", "-"},
};

static void printed_quantities(void **state) {
    char text[64];

    (void)state;
    for (size_t i = 0; i < sizeof printed / sizeof printed[0]; i++) {
        th_quantity_print(printed[i].value, printed[i].kind, TH_MM, printed[i].digits, text,
                          sizeof text);
        assert_string_equal(text, printed[i].metric);
        th_quantity_print(printed[i].value, printed[i].kind, TH_UNITS_NAMED, printed[i].digits,
                          text, sizeof text);
        assert_string_equal(text, printed[i].metric);
        th_quantity_print(printed[i].value, printed[i].kind, TH_INCH, printed[i].digits, text,
                          sizeof text);
        assert_string_equal(text, printed[i].inch);
    }
}

/* A host program may have set a locale with a decimal comma. */
static void a_comma_locale_changes_nothing(void **state) {
    char text[64];

    (void)state;
    comma();
    assert_near(value_of("12.5 mm", TH_LENGTH), 12.5, 0, 0);
    assert_near(value_of("1.25e-3 in", TH_LENGTH), 0.03175, 4e-16, 0);
    assert_says(refusal("12,5 mm", TH_LENGTH, TH_MM), "e.g. 12.5 mm");
    refusal("12,5", TH_RATIO, TH_MM);
    th_quantity_write(0.1 + 0.2, TH_LENGTH, TH_MM, text, sizeof text);
    assert_string_equal(text, "0.30000000000000004 mm");
    th_quantity_write(3.175, TH_LENGTH, TH_INCH, text, sizeof text);
    assert_string_equal(text, "0.125 in");
    th_quantity_print(0.0685, TH_PRESSURE, TH_MM, 4, text, sizeof text);
    assert_string_equal(text, "68.5 kPa");
    th_number_print(1.25e-9, 3, text, sizeof text);
    assert_string_equal(text, "1.25e-9");
    no_comma();
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(factors_of_nist_sp_811),
        cmocka_unit_test(every_unit),
        cmocka_unit_test(chip_loads_per_tooth_and_per_turn),
        cmocka_unit_test(numbers_are_decimal),
        cmocka_unit_test(lengths_may_be_fractions),
        cmocka_unit_test(bad_numbers_are_refused),
        cmocka_unit_test(messages_name_the_cure),
        cmocka_unit_test(examples_work),
        cmocka_unit_test(offered_units_work),
        cmocka_unit_test(echoes_are_short_and_printable),
        cmocka_unit_test(bare_numbers),
        cmocka_unit_test(units_of_another_kind_are_refused),
        cmocka_unit_test(write_then_read_is_exact),
        cmocka_unit_test(random_texts_are_read_or_refused),
        cmocka_unit_test(inches_come_back_as_typed),
        cmocka_unit_test(written_texts),
        cmocka_unit_test(printed_numbers),
        cmocka_unit_test(printed_quantities),
        cmocka_unit_test(a_comma_locale_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
