/* quantity.h - numbers with units: strict reading and printing, inch and metric.
 *
 * Takes text, gives a double in the unit that the core holds (and back). Conversion factors are
 * the exact ones of NIST SP 811 (2008), appendix B, where they are exact.
 */
#ifndef TACKHOLD_QUANTITY_H
#define TACKHOLD_QUANTITY_H

#include "tackhold/base.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Kinds of quantity: name, core unit, and the units a user may type (for messages). */
#define TH_KIND_LIST(X)                                                                            \
    X(TH_LENGTH, "length", "mm", "mm, cm, m, um, in, \", thou (1/4 in and 1-1/4 in too)")          \
    X(TH_SPINDLE_SPEED, "spindle speed", "rpm", "rpm")                                             \
    X(TH_FEED, "feed rate", "mm/min", "mm/min, in/min, ipm, m/min")                                \
    X(TH_SURFACE_SPEED, "surface speed", "m/min", "m/min, sfm")                                    \
    X(TH_CHIP_LOAD, "chip load", "mm/tooth", "mm/tooth, in/tooth, mm/rev, in/rev")                 \
    X(TH_FORCE, "force", "N", "N, lbf, kgf")                                                       \
    X(TH_LINE_FORCE, "force per width", "N/mm", "N/mm, N/cm, lbf/in")                              \
    X(TH_PRESSURE, "stress", "MPa", "Pa, kPa, MPa, GPa, N/mm2, psi")                               \
    X(TH_POWER, "power", "W", "W, kW, hp")                                                         \
    X(TH_TEMPERATURE, "temperature", "C", "C, degC, F, degF")                                      \
    X(TH_TIME, "time", "s", "s, min, h")                                                           \
    X(TH_MASS, "mass", "g", "g, kg")                                                               \
    X(TH_DENSITY, "density", "kg/m3", "kg/m3")                                                     \
    X(TH_HEAT_CAPACITY, "heat capacity", "J/kgK", "J/kgK")                                         \
    X(TH_CONDUCTIVITY, "conductivity", "W/mK", "W/mK")                                             \
    X(TH_FILM, "film coefficient", "W/m2K", "W/m2K")                                               \
    X(TH_EXPANSION, "expansion", "1/K", "1/K")                                                     \
    X(TH_ANGLE, "angle", "deg", "deg")                                                             \
    X(TH_RATIO, "ratio", "", "a plain number or %")                                                \
    X(TH_COUNT, "count", "", "a whole number")                                                     \
    X(TH_AREA, "area", "mm2", "mm2, in2")                                                          \
    X(TH_TORQUE, "torque", "Nmm", "Nmm, Nm, lbf-in")

typedef enum {
#define TH_KIND_NAME(name, text, core, units) name,
    TH_KIND_LIST(TH_KIND_NAME)
#undef TH_KIND_NAME
        TH_KIND_COUNT
} th_kind;

/* Which unit a bare length or feed is in, and in which units reports print. */
typedef enum {
    TH_MM,
    TH_INCH,
    TH_UNITS_NAMED /* tables: a length or feed must name its unit */
} th_units;

typedef struct {
    double value; /* in the core unit of the kind */
    bool per_rev; /* TH_CHIP_LOAD only: typed per revolution; divide by the number of teeth */
} th_reading;

/* Name of a kind, its core unit ("" for plain numbers), and the units a user may type. */
const char *th_kind_name(th_kind kind);
const char *th_kind_unit(th_kind kind);
const char *th_kind_units(th_kind kind);

/* Read a quantity: an optional sign, a decimal number (1, 1.5, .5, 2e-3), then an optional unit
 * with or without a blank before it. Lengths may be fractions (1/4, 1-1/4). The whole text must be
 * consumed, blanks at either end excepted. Refused: comma decimals, hexadecimal, nan, inf,
 * trailing text, a unit of another kind, a number beyond the range of double, a count that is not
 * whole. Bare numbers: TH_LENGTH and TH_FEED are in `units` (refused for TH_UNITS_NAMED), speeds
 * in rpm, angles in degrees, ratios and counts as they stand; any other kind refuses a bare number
 * and the message names the units that would do. Errors: TH_BAD_VALUE. */
bool th_quantity_read(const char *text, th_kind kind, th_units units, th_reading *reading,
                      th_error *err);

/* The text that reads back to exactly `value` (round trip), with unit, in the core unit of the
 * kind, or in inches (in, in/min, in/tooth) for TH_INCH where those exist. */
void th_quantity_write(double value, th_kind kind, th_units units, char *text, size_t size);

/* For people: `digits` significant digits, with unit, no exponent between 1e-4 and 1e7, trailing
 * zeros kept off. Picks the unit a machinist would: stresses in kPa (psi for TH_INCH), forces in N
 * (lbf), moments in Nm (lbf-in), power in W (hp), temperature in C (F), time in s below 2 min, min
 * below 2 h, then h. Absent (NAN) prints as "-". */
void th_quantity_print(double value, th_kind kind, th_units units, int digits, char *text,
                       size_t size);

/* A plain number with `digits` significant digits, '.' as decimal point in every locale, no
 * exponent between 1e-4 and 1e7, trailing zeros kept off. NAN and infinity print as "-". */
void th_number_print(double value, int digits, char *text, size_t size);

#ifdef __cplusplus
}
#endif
#endif
