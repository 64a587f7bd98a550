/* keys.c - the one description of every key: rows of the materials tables. */
#include "keys.h"

#include <string.h>

#define REQUIRED TH_KEY_REQUIRED
#define ABOVE TH_KEY_ABOVE
#define NEEDED (TH_KEY_REQUIRED | TH_KEY_ABOVE)

/* A quantity of a row: struct, field, kind, flags, least, greatest, default, help. */
#define QUANTITY(type, field, kind, flags, least, greatest, initial, help)                         \
    {                                                                                              \
#field, TH_FORM_QUANTITY, kind, flags, least, greatest, initial, NULL, help,               \
            offsetof(type, field), 0, 0                                                            \
    }
#define COUNT(type, field, flags, least, greatest, initial, help)                                  \
    {                                                                                              \
#field, TH_FORM_COUNT, TH_COUNT, flags, least, greatest, initial, NULL, help,              \
            offsetof(type, field), 0, 0                                                            \
    }
#define WORD(type, field, flags, initial, words, help)                                             \
    { #field, TH_FORM_WORD, 0, flags, 0, 0, initial, words, help, offsetof(type, field), 0, 0 }
#define TEXT(type, name, field, flags, help)                                                       \
    { name, TH_FORM_TEXT, 0, flags, 0, 0, NULL, NULL, help, offsetof(type, field), 0, 0 }

#define HEAD(type) TEXT(type, "name", head.name, REQUIRED, "what it is, in plain words")
#define TAIL(type)                                                                                 \
    TEXT(type, "source", head.source, REQUIRED, "where the figures come from"), {                  \
        "trust", TH_FORM_WORD, 0, REQUIRED, 0, 0, NULL, TH_TRUST_WORDS,                            \
            "how far they can be trusted; the weakest governing one marks an answer as an "        \
            "estimate",                                                                            \
            offsetof(type, head.trust), 0, 0                                                       \
    }
#define FACTOR(type, field, help) QUANTITY(type, field, TH_RATIO, REQUIRED, 0, 1, NULL, help)

static const th_key stock_keys[] = {
    HEAD(th_stock),
    WORD(th_stock, group, REQUIRED, NULL, "P M K N S H O",
         "ISO 513 letter of the material group; O for plastics and composites"),
    QUANTITY(th_stock, kc11, TH_PRESSURE, NEEDED, 0, 20000, NULL,
             "specific cutting force at 1 mm chip thickness and 1 mm width, rake 0, sharp edge"),
    QUANTITY(th_stock, mc, TH_RATIO, REQUIRED, 0, 0.6, NULL,
             "exponent: specific force = kc11 x chip^-mc"),
    QUANTITY(th_stock, ktc, TH_PRESSURE, ABOVE, 0, 20000, NULL,
             "tangential cutting coefficient; all six of ktc to kae, or none"),
    QUANTITY(th_stock, krc, TH_PRESSURE, 0, 0, 20000, NULL, "radial cutting coefficient"),
    QUANTITY(th_stock, kac, TH_PRESSURE, 0, 0, 20000, NULL, "axial cutting coefficient"),
    QUANTITY(th_stock, kte, TH_LINE_FORCE, 0, 0, 1000, NULL, "tangential edge coefficient"),
    QUANTITY(th_stock, kre, TH_LINE_FORCE, 0, 0, 1000, NULL, "radial edge coefficient"),
    QUANTITY(th_stock, kae, TH_LINE_FORCE, 0, 0, 1000, NULL, "axial edge coefficient"),
    QUANTITY(th_stock, friction_angle, TH_ANGLE, NEEDED, 0, 60, NULL, "of the chip on the rake"),
    QUANTITY(th_stock, elastic_modulus, TH_PRESSURE, NEEDED, 0, 1e6, NULL, "Young's modulus"),
    QUANTITY(th_stock, poisson, TH_RATIO, NEEDED, 0, 0.499, NULL, "Poisson's ratio"),
    QUANTITY(th_stock, density, TH_DENSITY, NEEDED, 0, 30000, NULL, "density"),
    QUANTITY(th_stock, heat_capacity, TH_HEAT_CAPACITY, NEEDED, 0, 10000, NULL, "heat capacity"),
    QUANTITY(th_stock, conductivity, TH_CONDUCTIVITY, NEEDED, 0, 2000, NULL, "heat conductivity"),
    QUANTITY(th_stock, heat_share, TH_RATIO, NEEDED, 0, 1, NULL,
             "share of the cutting power that warms the part (upper value)"),
    QUANTITY(th_stock, smallest_chip, TH_LENGTH, NEEDED, 0, 1, NULL,
             "chip thickness below which the edge rubs instead of cutting"),
    QUANTITY(th_stock, edge_chip, TH_LENGTH, ABOVE, 0, 1, "0.06 mm",
             "chip thickness below which the force follows the tangent and keeps an edge part"),
    QUANTITY(th_stock, adhesion, TH_RATIO, 0, 0, 1, "1",
             "factor on the tape's hold on this surface"),
    QUANTITY(th_stock, expansion, TH_EXPANSION, 0, 0, 1e-3, NULL, "heat expansion"),
    QUANTITY(th_stock, speed_low, TH_SURFACE_SPEED, NEEDED, 0, 5000, NULL,
             "lowest usual surface speed, carbide"),
    QUANTITY(th_stock, speed_high, TH_SURFACE_SPEED, NEEDED, 0, 5000, NULL,
             "highest usual surface speed, carbide"),
    QUANTITY(th_stock, chip_load_per_diameter, TH_RATIO, NEEDED, 0, 0.2, NULL,
             "usual chip load over the cutter's diameter"),
    QUANTITY(th_stock, ultimate, TH_PRESSURE, ABOVE, 0, 5000, NULL, "tensile strength"),
    TEXT(th_stock, "caution", caution, REQUIRED, "what hurts when cutting it"),
    TAIL(th_stock),
};

static const th_key tape_keys[] = {
    HEAD(th_tape),
    COUNT(th_tape, sides, 0, 1, 2, "1", "sticky faces"),
    QUANTITY(th_tape, thickness, TH_LENGTH, NEEDED, 0, 10, NULL, "backing and adhesive"),
    QUANTITY(th_tape, adhesive_thickness, TH_LENGTH, NEEDED, 0, 10, NULL, "one adhesive layer"),
    QUANTITY(th_tape, shear_strength, TH_PRESSURE, NEEDED, 0, 100, NULL,
             "lower-bound strength in shear, 3 s at 23 C on a prepared surface"),
    QUANTITY(th_tape, lift_strength, TH_PRESSURE, NEEDED, 0, 100, NULL,
             "lower-bound strength against being pulled off, same basis"),
    QUANTITY(th_tape, peel, TH_LINE_FORCE, NEEDED, 0, 100, NULL, "peel energy per area"),
    QUANTITY(th_tape, shear_travel, TH_LENGTH, NEEDED, 0, 10, NULL,
             "sideways travel at shear_strength: stiffness is strength over travel"),
    QUANTITY(th_tape, lift_travel, TH_LENGTH, NEEDED, 0, 10, NULL,
             "opening at lift_strength; at most 2 peel / lift_strength"),
    QUANTITY(th_tape, shear_modulus, TH_PRESSURE, NEEDED, 0, 1e5, NULL,
             "small-strain shear modulus of the adhesive"),
    QUANTITY(th_tape, temperature_max, TH_TEMPERATURE, REQUIRED, 30, 500, NULL,
             "above it the tape does not hold"),
    QUANTITY(th_tape, strength_hot, TH_RATIO, NEEDED, 0, 1, NULL,
             "share of strength left at temperature_max"),
    FACTOR(th_tape, dry, "factor cut dry; 0: not to be used"),
    FACTOR(th_tape, mist, "factor under mist"),
    FACTOR(th_tape, water, "factor under water-based coolant"),
    FACTOR(th_tape, oil, "factor under neat oil"),
    QUANTITY(th_tape, backing_shear, TH_PRESSURE, NEEDED, 0, 100, NULL,
             "strength inside the backing, shear"),
    QUANTITY(th_tape, backing_lift, TH_PRESSURE, NEEDED, 0, 100, NULL,
             "strength inside the backing, pulled off"),
    QUANTITY(th_tape, conductivity, TH_CONDUCTIVITY, NEEDED, 0, 100, NULL, "heat conductivity"),
    QUANTITY(th_tape, load_time_exponent, TH_RATIO, REQUIRED, 0, 1, NULL,
             "n: strength under a load held t is (t / 3 s)^-n of the short-time one"),
    QUANTITY(th_tape, spread, TH_RATIO, REQUIRED, 0, 2, NULL, "coefficient of variation"),
    TAIL(th_tape),
};

static const th_key glue_keys[] = {
    HEAD(th_glue),
    QUANTITY(th_glue, shear_strength, TH_PRESSURE, NEEDED, 0, 100, NULL,
             "lower-bound strength in shear between tape backings, 3 s at 23 C, full cure"),
    QUANTITY(th_glue, lift_strength, TH_PRESSURE, NEEDED, 0, 100, NULL,
             "lower-bound strength against being pulled off"),
    QUANTITY(th_glue, thickness, TH_LENGTH, NEEDED, 0, 5, NULL, "of the glue line"),
    QUANTITY(th_glue, temperature_max, TH_TEMPERATURE, REQUIRED, 30, 500, NULL,
             "above it the glue does not hold"),
    QUANTITY(th_glue, strength_hot, TH_RATIO, NEEDED, 0, 1, NULL,
             "share of strength left at temperature_max"),
    QUANTITY(th_glue, handling_time, TH_TIME, NEEDED, 0, 1e6, NULL, "no strength before it"),
    QUANTITY(th_glue, full_time, TH_TIME, NEEDED, 0, 3e6, NULL, "full strength from then on"),
    FACTOR(th_glue, dry, "factor cut dry; 0: not to be used"),
    FACTOR(th_glue, mist, "factor under mist"),
    FACTOR(th_glue, water, "factor under water-based coolant"),
    FACTOR(th_glue, oil, "factor under neat oil"),
    QUANTITY(th_glue, conductivity, TH_CONDUCTIVITY, NEEDED, 0, 100, NULL, "heat conductivity"),
    TAIL(th_glue),
};

static const th_key cutter_keys[] = {
    HEAD(th_cutter),
    WORD(th_cutter, kind, REQUIRED, NULL, "flat ball bull chamfer point face drill", "shape"),
    QUANTITY(th_cutter, diameter, TH_LENGTH, NEEDED, 0, 100, NULL, "cutting diameter"),
    COUNT(th_cutter, flutes, REQUIRED, 1, 20, NULL, "cutting edges; lips of a drill"),
    QUANTITY(th_cutter, helix, TH_ANGLE, REQUIRED, 0, 75, NULL, "helix angle"),
    QUANTITY(th_cutter, rake, TH_ANGLE, REQUIRED, -45, 45, NULL, "radial rake"),
    WORD(th_cutter, helix_pulls, REQUIRED, NULL, "up down straight",
         "where the flutes pull: up lifts the part, down presses it"),
    QUANTITY(th_cutter, corner_radius, TH_LENGTH, REQUIRED, 0, 50, NULL,
             "of a bull cutter; 0 otherwise"),
    QUANTITY(th_cutter, stickout, TH_LENGTH, NEEDED, 0, 500, NULL, "length out of the holder"),
    QUANTITY(th_cutter, flute_length, TH_LENGTH, ABOVE, 0, 500, NULL,
             "usable length of flute; without it the stickout"),
    QUANTITY(th_cutter, shank, TH_LENGTH, ABOVE, 0, 100, NULL,
             "shank diameter; without it the cutting diameter"),
    QUANTITY(th_cutter, tip_flat, TH_LENGTH, 0, 0, 50, "0 mm",
             "diameter of the flat at the tip of a chamfer or point cutter"),
    QUANTITY(th_cutter, runout, TH_LENGTH, REQUIRED, 0, 1, NULL,
             "total indicated runout at the edge"),
    QUANTITY(th_cutter, edge_radius, TH_LENGTH, NEEDED, 0, 1, NULL, "of the cutting edge"),
    QUANTITY(th_cutter, tip_angle, TH_ANGLE, ABOVE, 0, 180, NULL,
             "included angle of a chamfer or point cutter or a drill"),
    WORD(th_cutter, material, REQUIRED, NULL, "carbide hss", "of the cutting edge"),
    TAIL(th_cutter),
};

static const th_key machine_keys[] = {
    HEAD(th_machine),
    QUANTITY(th_machine, spindle_power, TH_POWER, NEEDED, 0, 1e6, NULL, "at the motor"),
    QUANTITY(th_machine, speed_min, TH_SPINDLE_SPEED, NEEDED, 0, 3e5, NULL, "slowest"),
    QUANTITY(th_machine, speed_max, TH_SPINDLE_SPEED, NEEDED, 0, 3e5, NULL, "fastest"),
    QUANTITY(th_machine, feed_max, TH_FEED, NEEDED, 0, 1e6, NULL, "fastest cutting feed"),
    QUANTITY(th_machine, efficiency, TH_RATIO, NEEDED, 0, 1, NULL, "motor to cutter"),
    QUANTITY(th_machine, peak_ratio, TH_RATIO, REQUIRED, 1, 5, NULL,
             "measured peak force over the rigid one: 1.3 stiff to 2.0 loose"),
    QUANTITY(th_machine, spindle_torque, TH_TORQUE, ABOVE, 0, 1e7, NULL,
             "most the spindle gives at the cutter; without it only its power limits"),
    TAIL(th_machine),
};

static const th_key coolant_keys[] = {
    HEAD(th_coolant),
    WORD(th_coolant, kind, REQUIRED, NULL, "dry mist water oil", "which factor of tape and glue"),
    QUANTITY(th_coolant, film_coefficient, TH_FILM, NEEDED, 0, 1e5, NULL,
             "heat taken off the top of the part"),
    TAIL(th_coolant),
};

static const th_key plate_keys[] = {
    HEAD(th_plate),
    FACTOR(th_plate, adhesion, "factor on the tape's hold on this surface"),
    QUANTITY(th_plate, wet, TH_RATIO, 0, 0, 1, "1", "factor when not cut dry; 0: not to be used"),
    QUANTITY(th_plate, conductivity, TH_CONDUCTIVITY, NEEDED, 0, 2000, NULL, "heat conductivity"),
    QUANTITY(th_plate, density, TH_DENSITY, NEEDED, 0, 30000, NULL, "density"),
    QUANTITY(th_plate, heat_capacity, TH_HEAT_CAPACITY, NEEDED, 0, 10000, NULL, "heat capacity"),
    QUANTITY(th_plate, expansion, TH_EXPANSION, 0, 0, 1e-3, NULL, "heat expansion"),
    TAIL(th_plate),
};

#define ROWS(name, help)                                                                           \
    { #name, false, help, name##_keys, sizeof name##_keys / sizeof name##_keys[0] }

/* In the order of th_table, so that a table's number finds its keys. */
static const th_key_group row_groups[TH_TABLE_COUNT] = {
    ROWS(stock, "what the part is cut from"),
    ROWS(tape, "tape classes"),
    ROWS(glue, "glue between the two backings"),
    ROWS(cutter, "cutters"),
    ROWS(machine, "machine classes"),
    ROWS(coolant, "cooling"),
    ROWS(plate, "sacrificial plates"),
};

const th_key_group *th_row_group(th_table table) {
    return &row_groups[table];
}

const th_key_group *th_key_group_of(const char *section, bool job) {
    size_t count;
    const th_key_group *groups = job ? th_job_groups(&count) : row_groups;

    if (!job) {
        count = TH_TABLE_COUNT;
    }
    for (size_t i = 0; i < count; i++) {
        if (strcmp(groups[i].section, section) == 0) {
            return &groups[i];
        }
    }
    return NULL;
}

const th_key *th_key_find(const th_key_group *group, const char *name) {
    for (size_t i = 0; i < group->count; i++) {
        if (strcmp(group->keys[i].name, name) == 0) {
            return &group->keys[i];
        }
    }
    return NULL;
}
