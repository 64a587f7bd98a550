/* random_job.c - invented rows and jobs from seeded numbers. */
#include "support/random_job.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { STOCKS = 10, TAPES = 8, DOUBLE_TAPES = 4, GLUES = 4 };

static size_t roll_below(dice *r, size_t count) {
    size_t k = (size_t)(roll(r) * (double)count);

    return k < count ? k : count - 1;
}

/* Spread evenly over the decades. */
static double between_logs(dice *r, double low, double high) {
    return exp(between(r, log(low), log(high)));
}

static const char *pick(dice *r, const char *const *words, size_t count) {
    return words[roll_below(r, count)];
}

#define PICK(r, words) pick((r), (words), sizeof(words) / sizeof(words)[0])

/* ---- rows --------------------------------------------------------------------------------------
 */

/* Text of one row. */
typedef struct {
    char id[24], text[1900];
    size_t used;
} row_text;

static row_text row_of(const char *kind, size_t number, const char *suffix) {
    row_text row = {.used = 0};

    snprintf(row.id, sizeof row.id, "%s-%zu%s", kind, number, suffix);
    return row;
}

static void row_word(row_text *row, const char *key, const char *value) {
    row->used += (size_t)snprintf(row->text + row->used, sizeof row->text - row->used, "%s|%s|%s\n",
                                  row->id, key, value);
    assert_true(row->used < sizeof row->text);
}

static void row_number(row_text *row, const char *key, double value, const char *unit) {
    char text[60];

    snprintf(text, sizeof text, "%.17g%s%s", value, *unit ? " " : "", unit);
    row_word(row, key, text);
}

static void row_end(row_text *row, th_table table) {
    row_word(row, "source", "invented");
    row_word(row, "trust", "estimate");
    add_rows(table, row->text);
}

/* All six coefficients, or the two of a power law. */
static void stock_forces(dice *r, row_text *row, double share, bool six) {
    double ktc = between_logs(r, 100, 1800), kte = between_logs(r, 1, 25);

    row_number(row, "kc11", share * between_logs(r, 100, 1800), "MPa");
    row_number(row, "mc", between(r, 0.05, 0.4), "");
    row_number(row, "edge_chip", between(r, 0.02, 0.08), "mm");
    if (!six) {
        return;
    }
    row_number(row, "ktc", share * ktc, "MPa");
    row_number(row, "krc", share * ktc * between(r, 0.2, 0.7), "MPa");
    row_number(row, "kac", share * ktc * between(r, 0.05, 0.4), "MPa");
    row_number(row, "kte", share * kte, "N/mm");
    row_number(row, "kre", share * kte * between(r, 0.8, 1.6), "N/mm");
    row_number(row, "kae", share * kte * between(r, 0, 0.4), "N/mm");
}

static void add_stock(dice r, size_t number, const char *suffix, double share) {
    row_text row = row_of("stock", number, suffix);
    double slow = between(&r, 30, 200);

    row_word(&row, "name", "Invented stock");
    row_word(&row, "group", "N");
    row_word(&row, "caution", "none");
    stock_forces(&r, &row, share, number % 2 == 1);
    row_number(&row, "friction_angle", between(&r, 10, 45), "deg");
    row_number(&row, "elastic_modulus", between_logs(&r, 2, 210), "GPa");
    row_number(&row, "poisson", between(&r, 0.2, 0.42), "");
    row_number(&row, "density", between(&r, 1100, 8900), "kg/m3");
    row_number(&row, "heat_capacity", between(&r, 380, 1600), "J/kgK");
    row_number(&row, "conductivity", between_logs(&r, 0.2, 380), "W/mK");
    row_number(&row, "heat_share", between(&r, 0.1, 0.5), "");
    row_number(&row, "smallest_chip", between(&r, 0.002, 0.02), "mm");
    row_number(&row, "speed_low", slow, "m/min");
    row_number(&row, "speed_high", slow * between(&r, 1.5, 4), "m/min");
    row_number(&row, "chip_load_per_diameter", between(&r, 0.003, 0.012), "");
    row_number(&row, "adhesion", between(&r, 0.3, 1), "");
    row_number(&row, "ultimate", between(&r, 40, 700), "MPa");
    row_end(&row, TH_STOCKS);
}

static void row_cooling(dice *r, row_text *row) {
    row_number(row, "dry", between(r, 0.8, 1), "");
    row_number(row, "mist", between(r, 0.5, 1), "");
    row_number(row, "water", between(r, 0.2, 1), "");
    row_number(row, "oil", between(r, 0.2, 1), "");
}

static void add_film(dice r, const char *kind, size_t number, const char *suffix, double share) {
    row_text row = row_of(kind, number, suffix);
    double shear = between_logs(&r, 0.1, 1.2), lift = between_logs(&r, 0.06, 0.8);
    double peel = between_logs(&r, 0.1, 1);
    /* not beyond what peeling has energy for */
    double travel = fmin(between(&r, 0.2, 0.95) * 2 * peel / lift, 4);

    row_word(&row, "name", "Invented tape");
    row_word(&row, "sides", strcmp(kind, "tape") == 0 ? "1" : "2");
    row_number(&row, "thickness", between(&r, 0.05, 0.25), "mm");
    row_number(&row, "adhesive_thickness", between(&r, 0.02, 0.06), "mm");
    row_number(&row, "shear_strength", share * shear, "MPa");
    row_number(&row, "lift_strength", share * lift, "MPa");
    row_number(&row, "peel", peel, "N/mm");
    row_number(&row, "shear_travel", share * between_logs(&r, 0.1, 2), "mm");
    row_number(&row, "lift_travel", share * travel, "mm");
    row_number(&row, "shear_modulus", between_logs(&r, 20, 300), "kPa");
    row_number(&row, "temperature_max", between(&r, 50, 150), "C");
    row_number(&row, "strength_hot", between(&r, 0.1, 0.6), "");
    row_cooling(&r, &row);
    row_number(&row, "backing_shear", share * shear * between_logs(&r, 0.7, 5), "MPa");
    row_number(&row, "backing_lift", share * lift * between_logs(&r, 0.7, 5), "MPa");
    row_number(&row, "conductivity", between(&r, 0.05, 0.3), "W/mK");
    row_number(&row, "load_time_exponent", number % 4 == 0 ? 0 : between(&r, 0.02, 0.3), "");
    row_number(&row, "spread", between(&r, 0.05, 0.3), "");
    row_end(&row, TH_TAPES);
}

static void add_glue(dice r, size_t number, const char *suffix, double share) {
    row_text row = row_of("glue", number, suffix);
    double lift = between_logs(&r, 0.2, 5);

    row_word(&row, "name", "Invented glue");
    row_number(&row, "shear_strength", share * between_logs(&r, 0.4, 8), "MPa");
    row_number(&row, "lift_strength", share * lift, "MPa");
    row_number(&row, "thickness", between(&r, 0.02, 0.15), "mm");
    row_number(&row, "temperature_max", between(&r, 60, 120), "C");
    row_number(&row, "strength_hot", between(&r, 0.1, 0.6), "");
    row_number(&row, "handling_time", between(&r, 10, 400), "s");
    row_number(&row, "full_time", between_logs(&r, 3600, 90000), "s");
    row_cooling(&r, &row);
    row_number(&row, "conductivity", between(&r, 0.1, 0.4), "W/mK");
    row_end(&row, TH_GLUES);
}

/* The dice are handed over by value, so that a twin is made of the same numbers. */
static void add_pair(dice *r, const char *kind, size_t number) {
    dice same = {r->state ^ 0x9e3779b97f4a7c15ULL}; /* a stream of its own */
    double share = between(r, 0.6, 0.99);

    if (strcmp(kind, "stock") == 0) {
        add_stock(same, number, "", 1);
        add_stock(same, number, "-hard", 1 / share);
    } else if (strcmp(kind, "glue") == 0) {
        add_glue(same, number, "", 1);
        add_glue(same, number, "-weak", share);
    } else {
        add_film(same, kind, number, "", 1);
        add_film(same, kind, number, "-weak", share);
    }
}

void random_rows(dice *r) {
    for (size_t i = 0; i < STOCKS; i++) {
        add_pair(r, "stock", i);
    }
    for (size_t i = 0; i < TAPES + DOUBLE_TAPES; i++) {
        add_pair(r, i < TAPES ? "tape" : "double", i);
    }
    for (size_t i = 0; i < GLUES; i++) {
        add_pair(r, "glue", i);
    }
}

/* ---- jobs --------------------------------------------------------------------------------------
 */

typedef struct {
    dice *r;
    draft *d;
    double length, width, thickness, diameter;
} setting;

static void put_row(draft *d, const char *section, const char *key, const char *kind,
                    size_t number) {
    char id[24];

    snprintf(id, sizeof id, "%s-%zu", kind, number);
    put(d, section, key, id);
}

static void random_hold(const setting *s) {
    static const char *const coolants[] = {"dry", "dry", "mist", "flood", "neat-oil"};
    static const char *const preparations[] = {"scuffed", "wiped", "as-is"};
    static const char *const pressings[] = {"weight", "roller", "hand"};
    static const char *const plates[] = {"skimmed-aluminium", "ground-steel", "sealed-board"};
    dice *r = s->r;

    if (roll(r) < 0.75) {
        put_row(s->d, "hold", "tape", "tape", roll_below(r, TAPES));
        put_row(s->d, "hold", "tape_below", "tape", roll_below(r, TAPES));
        put_row(s->d, "hold", "glue", "glue", roll_below(r, GLUES));
    } else {
        put_row(s->d, "hold", "tape", "double", TAPES + roll_below(r, DOUBLE_TAPES));
        put(s->d, "hold", "glue", "none");
    }
    put(s->d, "hold", "cooling", PICK(r, coolants));
    put(s->d, "hold", "preparation", PICK(r, preparations));
    put(s->d, "hold", "pressed", PICK(r, pressings));
    put(s->d, "hold", "plate", PICK(r, plates));
    put_number(s->d, "hold", "coverage", between(r, 0.2, 1), "");
    put_number(s->d, "hold", "wait", between_logs(r, 600, 2e5), "s");
    put_number(s->d, "hold", "room_temperature", between(r, 12, 35), "C");
}

static const char *base_cutter(dice *r, const char *operation) {
    /* round noses take the force model ten times as long */
    static const char *const flat[] = {"flat-6mm-3",      "flat-6mm-3",          "flat-6mm-3",
                                       "flat-6mm-2-down", "flat-6mm-2-straight", "flat-6mm-4-hss"};
    static const char *const round[] = {"bull-6mm-3", "ball-6mm-2"};
    static const char *const cones[] = {"chamfer-6mm-90", "chamfer-10mm-60", "point-3mm-60"};

    if (strcmp(operation, "drill") == 0) {
        return "drill-3mm";
    }
    if (strcmp(operation, "chamfer") == 0) {
        return PICK(r, cones);
    }
    if (strcmp(operation, "engrave") == 0 && roll(r) < 0.1) {
        return PICK(r, cones);
    }
    return roll(r) < 0.88 ? PICK(r, flat) : PICK(r, round);
}

/* A row of the tables with figures of its own. */
static void random_cutter(setting *s, const char *operation) {
    const char *id = base_cutter(s->r, operation);
    const th_cutter *row = th_tables_find(draft_tables(), TH_CUTTERS, id);
    bool cone = row->kind == TH_CHAMFER || row->kind == TH_POINT;
    double diameter = between(s->r, 1.5, 12), wear = between(s->r, 1, 1.6);
    double helix = between(s->r, 15, 50), rake = between(s->r, -8, 12), runout = roll(s->r);
    size_t flutes = 1 + roll_below(s->r, 4);
    char text[20];

    s->diameter = cone ? row->diameter : diameter;
    put(s->d, "cutter.em", "id", id);
    put_number(s->d, "cutter.em", "wear", wear, "");
    put_number(s->d, "cutter.em", "rake", rake, "deg");
    put_length(s->d, "cutter.em", "runout", runout < 0.2 ? 0 : 0.04 * runout);
    if (cone) {
        return;
    }
    put_length(s->d, "cutter.em", "diameter", diameter);
    put_length(s->d, "cutter.em", "stickout", diameter * 5);
    put_length(s->d, "cutter.em", "flute_length", diameter * 4);
    if (row->kind == TH_BULL) {
        put_length(s->d, "cutter.em", "corner_radius", diameter * 0.12);
    }
    if (row->kind != TH_DRILL) {
        snprintf(text, sizeof text, "%zu", flutes);
        put(s->d, "cutter.em", "flutes", text);
        put_number(s->d, "cutter.em", "helix", row->helix_pulls == TH_STRAIGHT ? 0 : helix, "deg");
    }
}

static void random_push(const setting *s) {
    double size = between_logs(s->r, 1, 100), turn = between(s->r, 0, 2 * TH_PI);
    double rise = between(s->r, -0.5, 1);
    double force[3] = {size * cos(turn), size * sin(turn), size * rise};

    add_push(s->d, "cut.1", force, s->length * between(s->r, 0.05, 0.95),
             s->width * between(s->r, 0.05, 0.95));
}

static void random_opening_cut(const setting *s, bool pocket) {
    double size = s->diameter * between(s->r, 1.1, 1.8);

    put_point(s->d, "cut.1", "at", s->length * between(s->r, 0.2, 0.8),
              s->width * between(s->r, 0.2, 0.8));
    put_length(s->d, "cut.1", "size", size);
    if (pocket) {
        put_length(s->d, "cut.1", "radial", s->diameter * between(s->r, 0.05, 1));
        put_length(s->d, "cut.1", "depth", s->thickness * between(s->r, 0.3, 0.8));
    }
}

static void random_slot(const setting *s) {
    put_length(s->d, "cut.1", "radial", s->diameter * between(s->r, 0.1, 1));
    put_point(s->d, "cut.1", "from", s->length * roll(s->r), s->width * between(s->r, 0, 0.4));
    put_point(s->d, "cut.1", "to", s->length * roll(s->r), s->width * between(s->r, 0.6, 1));
}

/* What each operation needs beside its cutter. */
static void random_shape(const setting *s, const char *operation) {
    if (strcmp(operation, "slot") == 0) {
        random_slot(s);
    } else if (strcmp(operation, "pocket") == 0 || strcmp(operation, "hole") == 0) {
        random_opening_cut(s, *operation == 'p');
    } else if (strcmp(operation, "drill") == 0) {
        put_point(s->d, "cut.1", "at", s->length * between(s->r, 0.15, 0.85),
                  s->width * between(s->r, 0.15, 0.85));
    } else if (strcmp(operation, "engrave") == 0) {
        put_length(s->d, "cut.1", "depth", fmin(s->thickness * between(s->r, 0.03, 0.3), 1.2));
        put_length(s->d, "cut.1", "length", between(s->r, 10, 300));
    } else if (strcmp(operation, "chamfer") == 0) {
        put_length(s->d, "cut.1", "width", s->diameter * between(s->r, 0.03, 0.12));
    } else {
        put_length(s->d, "cut.1", "radial", s->diameter * between(s->r, 0.05, 1));
    }
}

static void random_cut(setting *s) {
    static const char *const operations[] = {"slot", "face",  "pocket",  "outline", "outline",
                                             "hole", "drill", "engrave", "chamfer", "push"};
    const char *operation = PICK(s->r, operations);
    double axial = s->thickness * between_logs(s->r, 0.01, 0.5);
    double chip = between_logs(s->r, 0.004, 0.08);
    bool climb = roll(s->r) < 0.5;

    if (strcmp(operation, "push") == 0) {
        random_push(s);
        return;
    }
    put(s->d, "cut.1", "operation", operation);
    put(s->d, "cut.1", "cutter", "em");
    random_cutter(s, operation);
    random_shape(s, operation);
    if (strcmp(operation, "drill") && strcmp(operation, "engrave") &&
        strcmp(operation, "chamfer")) {
        put_length(s->d, "cut.1", "axial", axial);
    }
    put_number(s->d, "cut.1", "chip_load", s->d->inch ? chip / 25.4 : chip,
               s->d->inch ? "in/tooth" : "mm/tooth");
    put_number(s->d, "cut.1", "speed", floor(between(s->r, 3000, 12000)), "rpm");
    if (strcmp(operation, "drill")) {
        put(s->d, "cut.1", "direction", climb ? "climb" : "conventional");
    }
}

static draft random_base(dice *r, double longest, bool inch) {
    draft d = {.inch = inch};
    double length = between(r, 8, longest);
    setting s = {r, &d, length, between(r, 8, fmin(longest, 2 * length)), between_logs(r, 0.8, 10),
                 0};

    put(&d, "job", "title", "Invented plate");
    put(&d, "job", "units", inch ? "inch" : "mm");
    put_number(&d, "job", "asked_factor", between(r, 1.2, 3), "");
    put_row(&d, "part", "stock", "stock", roll_below(r, STOCKS));
    put_length(&d, "part", "length", s.length);
    put_length(&d, "part", "width", s.width);
    put_length(&d, "part", "thickness", s.thickness);
    put(&d, "machine", "id", "bench-mill");
    put(&d, "machine", "feed_max", "20 m/min");
    put_number(&d, "machine", "peak_ratio", between(r, 1, 2), "");
    random_hold(&s);
    random_cut(&s);
    return d;
}

draft random_single(dice *r, double longest, bool inch) {
    draft d = random_base(r, longest, inch);

    put_number(&d, "hold", "cutting_time", between_logs(r, 1, 5000), "s");
    return d;
}

/* A sheet round the part, wide enough for the cutter. */
static void random_sheet(dice *r, draft *d, const th_job *job) {
    const th_part *part = &job->part;
    double left = between(r, 1, 15), front = between(r, 1, 15);

    add_sheet(d, part->length + left + between(r, 1, 15), part->width + front + between(r, 1, 15),
              left, front);
}

static void random_opening(dice *r, draft *d, const th_job *job) {
    double size = between(r, 0.1, 0.3) * fmin(job->part.length, job->part.width);

    put_point(d, "opening.1", "at", job->part.length * between(r, 0.35, 0.65),
              job->part.width * between(r, 0.35, 0.65));
    put_length(d, "opening.1", "size", size);
}

/* Extras of a whole job, some of which its operation does not go with. */
draft random_draft(dice *r, double longest, bool inch) {
    draft d = random_base(r, longest, inch);
    const char *operation = setting_of(&d, "cut.1", "operation");
    dice extras = *r; /* as many numbers whatever the job */
    th_job *job = NULL;
    th_error err;

    roll(r);
    if (!build(&d, &job, &err)) {
        return d;
    }
    if (roll(&extras) < (strcmp(operation, "outline") == 0 ? 0.7 : 0.2)) {
        random_sheet(&extras, &d, job);
    }
    if (roll(&extras) < 0.15) {
        random_opening(&extras, &d, job);
    }
    if (roll(&extras) < 0.15) {
        put_length(&d, "part", "bow", between_logs(&extras, 0.01, 0.3));
    }
    if (roll(&extras) < 0.2) {
        put(&d, "hold", "stops", roll(&extras) < 0.5 ? "left front" : "back");
    }
    if (roll(&extras) < 0.15) {
        put(&d, "job", "offcuts", "must-stay");
    }
    if (roll(&extras) < 0.5) {
        put_number(&d, "hold", "cutting_time", between_logs(&extras, 1, 5000), "s");
    }
    th_job_free(job);
    return d;
}

const char *setting_of(const draft *d, const char *section, const char *key) {
    for (size_t i = 0; i < d->count; i++) {
        if (strcmp(d->section[i], section) == 0 && strcmp(d->key[i], key) == 0) {
            return d->value[i];
        }
    }
    return NULL;
}

static bool first_of_section(const draft *d, size_t which) {
    for (size_t i = 0; i < which; i++) {
        if (strcmp(d->section[i], d->section[which]) == 0) {
            return false;
        }
    }
    return true;
}

void show_draft(const draft *d) {
    for (size_t i = 0; i < d->count; i++) {
        if (!first_of_section(d, i)) {
            continue;
        }
        print_error("[%s]\n", d->section[i]);
        for (size_t k = i; k < d->count; k++) {
            if (strcmp(d->section[i], d->section[k]) == 0) {
                print_error("%s = %s\n", d->key[k], d->value[k]);
            }
        }
    }
}
