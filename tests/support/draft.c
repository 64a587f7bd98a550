/* draft.c - jobs for tests, made from settings, and judged. */
#include "support/draft.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tackhold/files.h"

/* ---- jobs from settings -------------------------------------------------------------------------
 */

static th_tables *tables;

void put(draft *d, const char *section, const char *key, const char *value) {
    size_t i = 0;

    while (i < d->count && (strcmp(d->section[i], section) || strcmp(d->key[i], key))) {
        i++;
    }
    assert_true(i < DRAFT_MAX);
    d->count = i == d->count ? i + 1 : d->count;
    snprintf(d->section[i], sizeof d->section[i], "%s", section);
    snprintf(d->key[i], sizeof d->key[i], "%s", key);
    snprintf(d->value[i], sizeof d->value[i], "%s", value);
}

void drop(draft *d, const char *section, const char *key) {
    for (size_t i = 0; i < d->count; i++) {
        if (strcmp(d->section[i], section) == 0 && strcmp(d->key[i], key) == 0) {
            size_t last = --d->count;
            memmove(d->section[i], d->section[last], sizeof d->section[i]);
            memmove(d->key[i], d->key[last], sizeof d->key[i]);
            memmove(d->value[i], d->value[last], sizeof d->value[i]);
        }
    }
}

void put_number(draft *d, const char *section, const char *key, double value, const char *unit) {
    char text[TEXT_MAX];

    snprintf(text, sizeof text, "%.17g%s%s", value, *unit ? " " : "", unit);
    put(d, section, key, text);
}

/* A bare length, in the job's unit. */
void put_length(draft *d, const char *section, const char *key, double mm) {
    put_number(d, section, key, d->inch ? mm / 25.4 : mm, "");
}

void put_point(draft *d, const char *section, const char *key, double x, double y) {
    double unit = d->inch ? 25.4 : 1;
    char text[TEXT_MAX];

    snprintf(text, sizeof text, "%.17g,%.17g", x / unit, y / unit);
    put(d, section, key, text);
}

bool build(const draft *d, th_job **job, th_error *err) {
    th_entry entries[DRAFT_MAX];

    *err = (th_error){TH_OK, 0, "", ""};
    for (size_t i = 0; i < d->count; i++) {
        entries[i] =
            (th_entry){d->section[i], d->key[i], d->value[i], "job.ini", (int)i + 1, TH_FROM_JOB};
    }
    return th_job_build(entries, d->count, tables, job, err);
}

th_job *built(const draft *d) {
    th_error err;
    th_job *job = NULL;

    if (!build(d, &job, &err)) {
        fail_msg("job refused at line %d: %s", err.line, err.message);
    }
    return job;
}

static void judge_with(th_job *job, const th_check_options *options, answer *result) {
    th_error err = {TH_OK, 0, "", ""};

    result->job = job;
    if (!th_check_run(job, options, &result->check, &err)) {
        fail_msg("check failed at line %d: %s", err.line, err.message);
    }
}

void judge(th_job *job, bool turn_downs, answer *result) {
    th_check_options options = {.turn_downs = turn_downs};

    judge_with(job, &options, result);
}

void run(const draft *d, bool turn_downs, answer *result) {
    judge(built(d), turn_downs, result);
}

void run_taped(const draft *d, const th_outline *taped, answer *result) {
    th_check_options options = {.taped = taped};

    judge_with(built(d), &options, result);
}

void answer_free(answer *result) {
    th_check_free(&result->check);
    th_job_free(result->job);
}

/* A plate without a cut yet. */
draft plate(double length, double width, double thickness) {
    draft d = {.count = 0};

    put(&d, "job", "title", "Invented plate");
    put(&d, "job", "units", "mm");
    put(&d, "part", "stock", "al-6061-t6");
    put_length(&d, "part", "length", length);
    put_length(&d, "part", "width", width);
    put_length(&d, "part", "thickness", thickness);
    put(&d, "hold", "tape", "polyester-acrylic");
    put(&d, "hold", "glue", "ca-thin");
    put(&d, "hold", "cooling", "dry");
    put(&d, "hold", "coverage", "0.9");
    put(&d, "machine", "id", "bench-mill");
    return d;
}

void add_push(draft *d, const char *section, const double force[3], double x, double y) {
    put(d, section, "operation", "push");
    put_number(d, section, "force_x", force[0], "N");
    put_number(d, section, "force_y", force[1], "N");
    put_number(d, section, "force_z", force[2], "N");
    put_length(d, section, "at_x", x);
    put_length(d, section, "at_y", y);
    put_length(d, section, "patch", 5);
}

void add_cut(draft *d, const char *section, const char *operation, const char *cutter) {
    put(d, "cutter.em", "id", cutter);
    put(d, section, "operation", operation);
    put(d, section, "cutter", "em");
}

void add_sheet(draft *d, double length, double width, double x, double y) {
    put_length(d, "part", "sheet_length", length);
    put_length(d, "part", "sheet_width", width);
    put_length(d, "part", "sheet_x", x);
    put_length(d, "part", "sheet_y", y);
}

/* ---- answers -----------------------------------------------------------------------------------
 */

static const th_stage *find_stage(const answer *a, const char *section, th_piece_kind piece) {
    for (size_t i = 0; i < a->check.stage_count; i++) {
        const th_stage *stage = &a->check.stages[i];
        if (stage->piece == piece && strcmp(stage->cut->section, section) == 0) {
            return stage;
        }
    }
    return NULL;
}

const th_stage *stage_of(const answer *a, const char *section, th_piece_kind piece) {
    const th_stage *stage = find_stage(a, section, piece);

    if (!stage) {
        fail_msg("no stage of %s on the %s", section, th_piece_name(piece));
    }
    return stage;
}

bool has_stage(const answer *a, const char *section, th_piece_kind piece) {
    return find_stage(a, section, piece) != NULL;
}

th_tables *draft_tables(void) {
    return tables;
}

/* ---- rows of our own ----------------------------------------------------------------------------
 */

void add_rows(th_table table, const char *text) {
    char copy[2000];
    th_entry entries[64];
    th_error err = {TH_OK, 0, "", ""};
    size_t count = 0;

    assert_true(strlen(text) < sizeof copy);
    strcpy(copy, text);
    for (char *line = strtok(copy, "\n"); line; line = strtok(NULL, "\n")) {
        char *key = strchr(line, '|'), *value = strchr(key + 1, '|');
        *key++ = *value++ = '\0';
        entries[count] = (th_entry){line, key, value, "own.ini", (int)count + 1, TH_FROM_TABLE};
        count++;
    }
    if (!th_tables_add(tables, table, entries, count, &err)) {
        fail_msg("row refused: %s", err.message);
    }
}

static const char linear_stock[] =
    "linear|name|Alloy with coefficients\nlinear|group|N\nlinear|kc11|800 MPa\nlinear|mc|0.25\n"
    "linear|ktc|790 MPa\nlinear|krc|310 MPa\nlinear|kac|170 MPa\nlinear|kte|13 N/mm\n"
    "linear|kre|17 N/mm\nlinear|kae|2.5 N/mm\nlinear|friction_angle|25 deg\n"
    "linear|elastic_modulus|70 GPa\nlinear|poisson|0.33\nlinear|density|2700 kg/m3\n"
    "linear|heat_capacity|900 J/kgK\nlinear|conductivity|170 W/mK\nlinear|heat_share|0.3\n"
    "linear|smallest_chip|0.005 mm\nlinear|speed_low|100 m/min\nlinear|speed_high|500 m/min\n"
    "linear|chip_load_per_diameter|0.006\nlinear|caution|none\nlinear|source|invented\n"
    "linear|trust|estimate";

/* A tape with all strengths times `share`, creeping with `exponent`. */
static void add_tape(const char *id, double share, double exponent) {
    static const char *const same[][2] = {{"name", "Film tape"},
                                          {"thickness", "0.08 mm"},
                                          {"adhesive_thickness", "0.03 mm"},
                                          {"peel", "0.2 N/mm"},
                                          {"shear_travel", "0.8 mm"},
                                          {"lift_travel", "1 mm"},
                                          {"shear_modulus", "50 kPa"},
                                          {"temperature_max", NULL},
                                          {"strength_hot", NULL},
                                          {"dry", "1"},
                                          {"mist", "0.8"},
                                          {"water", "0.7"},
                                          {"oil", "0.5"},
                                          {"conductivity", "0.1 W/mK"},
                                          {"spread", "0.2"},
                                          {"source", "invented"},
                                          {"trust", "estimate"}};
    char text[1500] = "";
    size_t used = 0;

    bool tender = strcmp(id, "film-tender") == 0;

    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
        bool share_left = strcmp(same[i][0], "strength_hot") == 0;
        const char *value = same[i][1]   ? same[i][1]
                            : share_left ? (tender ? "0.3" : "1")
                                         : (tender ? "60 C" : "500 C");
        used +=
            (size_t)snprintf(text + used, sizeof text - used, "%s|%s|%s\n", id, same[i][0], value);
    }
    used += (size_t)snprintf(text + used, sizeof text - used,
                             "%s|shear_strength|%.17g MPa\n%s|lift_strength|%.17g MPa\n", id,
                             0.2 * share, id, 0.1 * share);
    used += (size_t)snprintf(text + used, sizeof text - used,
                             "%s|backing_shear|%.17g MPa\n%s|backing_lift|%.17g MPa\n", id,
                             0.4 * share, id, 0.25 * share);
    used += (size_t)snprintf(text + used, sizeof text - used, "%s|load_time_exponent|%.17g", id,
                             exponent);
    assert_true(used < sizeof text);
    add_rows(TH_TAPES, text);
}

/* Where the program finds no tables beside itself, those of the working directory. */
static bool load_here(void) {
    tables = th_tables_new();
    for (int table = 0; tables && table < TH_TABLE_COUNT; table++) {
        th_ini ini = {{NULL}, NULL, 0};
        char path[60];
        bool fine;

        snprintf(path, sizeof path, "materials/%s.ini", th_table_name((th_table)table));
        fine = th_ini_read(path, TH_FROM_TABLE, &ini, NULL) &&
               th_tables_add(tables, (th_table)table, ini.items, ini.count, NULL);
        th_ini_free(&ini);
        if (!fine) {
            return false;
        }
    }
    return tables != NULL;
}

/* The same rows of one table with a hold that no heat weakens. */
static bool unmoved_by_heat(th_table table) {
    th_ini ini = {{NULL}, NULL, 0};
    char path[60];
    bool fine;

    snprintf(path, sizeof path, "materials/%s.ini", th_table_name(table));
    fine = th_ini_read(path, TH_FROM_TABLE, &ini, NULL);
    for (size_t i = 0; fine && i < ini.count; i++) {
        if (strcmp(ini.items[i].key, "strength_hot") == 0) {
            ini.items[i].value = "1";
        } else if (strcmp(ini.items[i].key, "temperature_max") == 0) {
            ini.items[i].value = "500 C";
        }
    }
    fine = fine && th_tables_add(tables, table, ini.items, ini.count, NULL);
    th_ini_free(&ini);
    return fine;
}

int set_up(void **state) {
    return set_up_warm(state) == 0 && unmoved_by_heat(TH_TAPES) && unmoved_by_heat(TH_GLUES) ? 0
                                                                                             : -1;
}

int set_up_warm(void **state) {
    (void)state;
    if (!th_tables_load(NULL, 0, &tables, NULL) && !load_here()) {
        return -1;
    }
    add_rows(TH_STOCKS, linear_stock);
    add_tape("film", 1, 0.2);
    add_tape("film-weak", 0.8, 0.2);
    add_tape("film-lasting", 1, 0);
    add_tape("film-tender", 1, 0.2);
    return 0;
}

int tear_down(void **state) {
    (void)state;
    th_tables_free(tables);
    return 0;
}

/* ---- numbers ----------------------------------------------------------------------------------
 */

/* Knuth, The Art of Computer Programming, vol. 2: multiplier of MMIX. */
double roll(dice *r) {
    r->state = r->state * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(r->state >> 11) / 9007199254740992.0;
}

double between(dice *r, double low, double high) {
    return low + (high - low) * roll(r);
}

void type_back(const answer *a, const th_turn_down *turn, answer *then) {
    th_error err = {TH_OK, 0, "", ""};
    th_job *job = NULL;

    assert_true(turn->setting_count >= 1);
    if (!th_job_change(a->job, turn->settings, turn->setting_count, &job, &err)) {
        fail_msg("%s: %s", turn->settings[0], err.message);
    }
    judge(job, false, then);
    assert_int_equal(then->check.verdict, TH_HOLDS);
    assert_near(turn->hold_factor, then->check.hold_factor, 1e-12, 0);
    assert_near(turn->time_ratio, a->check.minutes > 0 ? then->check.minutes / a->check.minutes : 1,
                1e-12, 0);
}
