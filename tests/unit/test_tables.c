/* test_tables.c - rows, keys and jobs from entries. All values here are invented. */
#include "support/near.h"

#include "tackhold/tables.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Entries from a compact text: "section|key|value" lines. */
typedef struct {
    char *text;
    th_entry *items;
    size_t count;
} entry_list;

static entry_list entries_of(const char *text, const char *file, th_origin origin) {
    entry_list list = {malloc(strlen(text) + 1), NULL, 0};
    int line = 0;

    assert_non_null(list.text);
    strcpy(list.text, text);
    list.items = calloc(strlen(text) / 4 + 1, sizeof *list.items);
    for (char *row = strtok(list.text, "\n"); row; row = strtok(NULL, "\n")) {
        char *key = strchr(row, '|');
        char *value = key ? strchr(key + 1, '|') : NULL;
        line++;
        assert_non_null(value);
        *key++ = '\0';
        *value++ = '\0';
        list.items[list.count++] = (th_entry){row, key, value, file, line, origin};
    }
    return list;
}

static void entries_free(entry_list *list) {
    free(list->items);
    free(list->text);
}

static const char stock_text[] =
    "alloy|name|An invented alloy\nalloy|group|N\nalloy|kc11|800 MPa\nalloy|mc|0.25\n"
    "alloy|friction_angle|25 deg\nalloy|elastic_modulus|70 GPa\nalloy|poisson|0.33\n"
    "alloy|density|2700 kg/m3\nalloy|heat_capacity|900 J/kgK\nalloy|conductivity|170 W/mK\n"
    "alloy|heat_share|0.3\nalloy|smallest_chip|0.006 mm\nalloy|speed_low|100 m/min\n"
    "alloy|speed_high|300 m/min\nalloy|chip_load_per_diameter|0.006\nalloy|caution|sharp edges\n"
    "alloy|source|invented\nalloy|trust|estimate";

static const char tape_text[] =
    "crepe|name|An invented tape\ncrepe|thickness|0.13 mm\ncrepe|adhesive_thickness|0.035 mm\n"
    "crepe|shear_strength|130 kPa\ncrepe|lift_strength|60 kPa\ncrepe|peel|0.15 N/mm\n"
    "crepe|shear_travel|0.1 mm\ncrepe|lift_travel|0.2 mm\ncrepe|shear_modulus|50 kPa\n"
    "crepe|temperature_max|60 C\ncrepe|strength_hot|0.35\ncrepe|dry|1\ncrepe|mist|0.6\n"
    "crepe|water|0\ncrepe|oil|0.2\ncrepe|backing_shear|300 kPa\ncrepe|backing_lift|160 kPa\n"
    "crepe|conductivity|0.1 W/mK\ncrepe|load_time_exponent|0.2\ncrepe|spread|0.25\n"
    "crepe|source|invented\ncrepe|trust|estimate";

static const char glue_text[] =
    "thin|name|An invented glue\nthin|shear_strength|1 MPa\nthin|lift_strength|0.5 MPa\n"
    "thin|thickness|0.05 mm\nthin|temperature_max|80 C\nthin|strength_hot|0.5\n"
    "thin|handling_time|10 s\nthin|full_time|24 h\nthin|dry|1\nthin|mist|1\nthin|water|0.9\n"
    "thin|oil|1\nthin|conductivity|0.2 W/mK\nthin|source|invented\nthin|trust|estimate\n"
    "none|name|No glue\nnone|source|-\nnone|trust|practice";

static const char cutter_text[] =
    "mill|name|An invented cutter\nmill|kind|flat\nmill|diameter|6 mm\nmill|flutes|3\n"
    "mill|helix|30 deg\nmill|rake|5 deg\nmill|helix_pulls|up\nmill|corner_radius|0 mm\n"
    "mill|stickout|20 mm\nmill|runout|0.01 mm\nmill|edge_radius|0.006 mm\nmill|material|carbide\n"
    "mill|source|invented\nmill|trust|estimate";

static const char machine_text[] =
    "bench|name|An invented machine\nbench|spindle_power|500 W\nbench|speed_min|3000 rpm\n"
    "bench|speed_max|12000 rpm\nbench|feed_max|2000 mm/min\nbench|efficiency|0.8\n"
    "bench|peak_ratio|1.6\nbench|source|invented\nbench|trust|estimate";

static const char coolant_text[] = "dry|name|Dry\ndry|kind|dry\ndry|film_coefficient|10 W/m2K\n"
                                   "dry|source|invented\ndry|trust|estimate";

static const char plate_text[] =
    "skimmed-aluminium|name|A plate\nskimmed-aluminium|adhesion|1\n"
    "skimmed-aluminium|conductivity|170 W/mK\nskimmed-aluminium|density|2700 kg/m3\n"
    "skimmed-aluminium|heat_capacity|900 J/kgK\nskimmed-aluminium|source|invented\n"
    "skimmed-aluminium|trust|estimate";

static const char job_text[] =
    "job|title|A plate\njob|units|mm\npart|stock|alloy\npart|length|100\npart|width|60\n"
    "part|thickness|3\nhold|tape|crepe\nhold|glue|thin\nhold|cooling|dry\nhold|coverage|0.9\n"
    "machine|id|bench\ncutter.em|id|mill\ncut.1|operation|slot\ncut.1|cutter|em\n"
    "cut.1|axial|0.5";

static bool add(th_tables *tables, th_table table, const char *text, th_error *err) {
    entry_list list = entries_of(text, "rows.ini", TH_FROM_TABLE);
    bool fine = th_tables_add(tables, table, list.items, list.count, err);
    entries_free(&list);
    return fine;
}

static th_tables *tables_new(void) {
    th_tables *tables = th_tables_new();
    th_error err;

    assert_non_null(tables);
    assert_true(add(tables, TH_STOCKS, stock_text, &err));
    assert_true(add(tables, TH_TAPES, tape_text, &err));
    assert_true(add(tables, TH_GLUES, glue_text, &err));
    assert_true(add(tables, TH_CUTTERS, cutter_text, &err));
    assert_true(add(tables, TH_MACHINES, machine_text, &err));
    assert_true(add(tables, TH_COOLANTS, coolant_text, &err));
    assert_true(add(tables, TH_PLATES, plate_text, &err));
    return tables;
}

/* The base job with settings on top; NULL and the error when it is refused. */
static th_job *job_with(const th_tables *tables, const char *const *settings, size_t count,
                        th_error *err) {
    entry_list list = entries_of(job_text, "part.ini", TH_FROM_JOB);
    th_job *base = NULL, *changed = NULL;

    *err = (th_error){TH_OK, 0, "", ""};
    assert_true(th_job_build(list.items, list.count, tables, &base, err));
    entries_free(&list);
    if (!th_job_change(base, settings, count, &changed, err)) {
        changed = NULL;
    }
    th_job_free(base);
    return changed;
}

static void test_job_defaults(void **state) {
    th_tables *tables = tables_new();
    th_error err;
    th_job *job = job_with(tables, NULL, 0, &err);
    const th_cut *cut;

    (void)state;
    assert_non_null(job);
    cut = &job->cuts[0];
    assert_near(job->head.asked_factor, 2, 0, 0);
    assert_near(job->hold.wait, 3600, 0, 0);
    assert_near(job->hold.room_temperature, 21, 0, 1e-9);
    assert_near(cut->radial, 6, 0, 0);
    assert_near(cut->depth, 0.5, 0, 0);
    /* (100 + 300)/2 m/min on 6 mm is 10610 rpm, to the hundred below */
    assert_near(cut->speed, 10600, 0, 1e-9);
    assert_near(cut->chip_load, 0.036, 1e-12, 0);
    assert_near(cut->feed, 0.036 * 3 * 10600, 1e-12, 0);
    assert_near(job->stack_height, 0.13 + 0.05 + 0.13, 1e-12, 0);
    assert_ptr_equal(job->hold.tape_below, job->hold.tape);
    assert_true(job->defaults.count > 8);
    assert_near(cut->from.x, 0, 0, 0);
    assert_near(cut->to.x, 100, 0, 0);
    assert_near(cut->to.y, 30, 0, 0);
    th_job_free(job);
    th_tables_free(tables);
}

static void test_default_feed_stays_within_machine(void **state) {
    th_tables *tables = tables_new();
    th_error err;
    const char *set[] = {"machine.feed_max=600 mm/min"};
    th_job *job = job_with(tables, set, 1, &err);

    (void)state;
    assert_non_null(job);
    assert_near(job->cuts[0].feed, 600, 1e-12, 0);
    th_job_free(job);
    th_tables_free(tables);
}

static void test_inch_and_metric_agree(void **state) {
    th_tables *tables = tables_new();
    th_error err;
    const char *set[] = {"job.units=inch",     "part.length=100 mm",
                         "part.width=60mm",    "part.thickness=0.11811023622047244",
                         "cut.1.axial=0.5 mm", "cut.1.feed=20 in/min"};
    th_job *job = job_with(tables, set, 6, &err);

    (void)state;
    assert_non_null(job);
    assert_near(job->part.thickness, 3, 1e-12, 0);
    assert_near(job->cuts[0].feed, 508, 1e-12, 0);
    th_job_free(job);
    th_tables_free(tables);
}

static void test_places(void **state) {
    th_tables *tables = tables_new();
    th_error err;
    const char *set[] = {
        "cut.2.operation=hole",        "cut.2.cutter=em",  "cut.2.axial=0.5",    "cut.2.size=8",
        "cut.2.at=10,10 20 mm, 40 mm", "cut.2.grid=2 x 1", "cut.2.pitch=30 x 20"};
    th_job *job = job_with(tables, set, 7, &err);

    (void)state;
    if (!job) {
        fail_msg("%s", err.message);
        return;
    }
    assert_int_equal(job->cut_count, 2);
    assert_int_equal(job->cuts[1].at.count, 4);
    assert_near(job->cuts[1].at.items[1].x, 40, 0, 1e-9);
    assert_near(job->cuts[1].at.items[2].y, 40, 0, 1e-9);
    assert_true(job->cuts[1].through);
    assert_near(job->cuts[1].depth, 3 + 0.31 + 0.2, 1e-12, 0);
    th_job_free(job);
    th_tables_free(tables);
}

static void test_chip_load_per_revolution(void **state) {
    th_tables *tables = tables_new();
    th_error err;
    const char *set[] = {"cut.1.chip_load=0.06 mm/rev"};
    th_job *job = job_with(tables, set, 1, &err);

    (void)state;
    assert_non_null(job);
    assert_near(job->cuts[0].chip_load, 0.02, 1e-12, 0);
    th_job_free(job);
    th_tables_free(tables);
}

static void test_shop_defaults(void **state) {
    th_tables *tables = tables_new();
    entry_list shop = entries_of("hold|wait|3 h\nmachine|peak_ratio|1.4\nhold|preparation|scuffed",
                                 "shop.ini", TH_FROM_SHOP);
    entry_list list = entries_of(job_text, "part.ini", TH_FROM_JOB);
    th_entry all[64];
    th_job *job = NULL;
    th_error err;
    bool listed = false;

    (void)state;
    memcpy(all, shop.items, shop.count * sizeof *all);
    memcpy(all + shop.count, list.items, list.count * sizeof *all);
    assert_true(th_job_build(all, shop.count + list.count, tables, &job, &err));
    assert_near(job->hold.wait, 10800, 0, 0);
    assert_int_equal(job->hold.preparation, 0);
    /* the job names its machine, so an override meant for the shop's own one falls away */
    assert_near(job->machine.peak_ratio, 1.6, 0, 0);
    for (size_t i = 0; i < job->defaults.count; i++) {
        listed = listed || strstr(job->defaults.items[i], "hold.wait = 3 h (shop.ini)") != NULL;
    }
    assert_true(listed);
    th_job_free(job);
    entries_free(&shop);
    entries_free(&list);
    th_tables_free(tables);
}

typedef struct {
    const char *set[6];
    th_status code;
    const char *message;
} refusal;

static const refusal refusals[] = {
    {{"part.stock=aloy"}, TH_UNKNOWN_ROW, "did you mean \"alloy\""},
    {{"part.lenght=5"}, TH_BAD_KEY, "did you mean \"length\""},
    {{"parts.length=5"}, TH_BAD_KEY, "did you mean [part]"},
    {{"cut.1.radial=7"}, TH_NOT_POSSIBLE, "diameter of 6 mm"},
    {{"cut.1.axial=21", "part.thickness=30"}, TH_NOT_POSSIBLE, "flute length of 20 mm"},
    {{"cut.1.axial=14", "cut.1.through=yes"}, TH_NOT_POSSIBLE, "sacrificial plate"},
    {{"cut.1.speed=20000"}, TH_NOT_POSSIBLE, "3000 to 12000 rpm"},
    {{"cut.1.feed=2001"}, TH_NOT_POSSIBLE, "beyond the machine"},
    {{"cut.1.chip_load=0.1 mm/tooth", "cut.1.speed=12000"}, TH_NOT_POSSIBLE, "beyond the machine"},
    {{"cut.1.feed=500", "cut.1.chip_load=0.02 mm/tooth"}, TH_CONTRADICTION, "not both"},
    {{"cut.1.cutter=drill"}, TH_MISSING, "no section [cutter.drill]"},
    {{"cut.1.axial=3.5"}, TH_NOT_POSSIBLE, "reaches through"},
    {{"cut.1.axial=1,5"}, TH_BAD_VALUE, "point"},
    {{"cut.1.axial=0"}, TH_BAD_RANGE, "above 0"},
    {{"cut.1.axial=3 N"}, TH_BAD_VALUE, "length"},
    {{"hold.coverage=120 %"}, TH_BAD_RANGE, "at most 1"},
    {{"hold.coverage=0"}, TH_BAD_RANGE, "above 0"},
    {{"hold.preparation=oily"}, TH_NOT_POSSIBLE, "degrease"},
    {{"hold.glue=none"}, TH_CONTRADICTION, "double-sided"},
    {{"hold.below=10"}, TH_NOT_POSSIBLE, "plate_left"},
    {{"part.thickness=51"}, TH_BAD_RANGE, "at most 50 mm"},
    {{"part.length=0.5"}, TH_BAD_RANGE, "at least 1 mm"},
    {{"job.asked_factor=0.9"}, TH_BAD_RANGE, "at least 1"},
    {{"job.units=inches"}, TH_BAD_VALUE, "mm inch"},
    {{"part.sheet_length=120"}, TH_CONTRADICTION, "both sheet_length"},
    {{"part.sheet_length=90", "part.sheet_width=90"}, TH_CONTRADICTION, "beyond its sheet"},
    {{"part.sheet_x=1"}, TH_CONTRADICTION, "no sheet"},
    {{"cut.1.operation=slit"}, TH_BAD_VALUE, "slot face pocket"},
    {{"cut.1.size=5"}, TH_CONTRADICTION, "slot takes no size"},
    {{"cut.1.operation=outline"}, TH_MISSING, "needs the key radial"},
    {{"cut.1.operation=drill", "cut.1.at=5,5"}, TH_CONTRADICTION, "takes no axial"},
    {{"cut.2.operation=hole", "cut.2.cutter=em", "cut.2.axial=0.5", "cut.2.at=2,2", "cut.2.size=8"},
     TH_CONTRADICTION,
     "beyond the part"},
    {{"cut.2.operation=push", "cut.2.force_x=0 N", "cut.2.force_y=0 N", "cut.2.force_z=0 N",
      "cut.2.at_x=5"},
     TH_MISSING,
     "at_y"},
    {{"cut.0.operation=slot"}, TH_BAD_KEY, "no section"},
    {{"cutter.em.helix=90 deg"}, TH_BAD_RANGE, "at most 75 deg"},
    {{"cutter.em.kind=bull"}, TH_CONTRADICTION, "corner_radius"},
    {{"machine.speed_min=20000"}, TH_CONTRADICTION, "speed_min"},
    {{"part.outline=shape.svg", "part.corner_radius=2"}, TH_CONTRADICTION, "leave corner_radius"},
    {{"part.outline=shape.svg", "opening.1.at=5,5", "opening.1.size=3"},
     TH_CONTRADICTION,
     "leave [opening.1] out"},
    {{"openings.1.at=5,5"}, TH_BAD_KEY, "did you mean [opening.1]"},
    {{"cut.1.operation=outline", "cut.1.radial=6", "cut.1.tabs=4 x 5", "part.sheet_length=140",
      "part.sheet_width=100"},
     TH_MISSING,
     "the row alloy of stock.ini has no ultimate"},
    {{"hold.plate_thickness=5", "hold.below=5.5", "hold.plate_left=0.1"},
     TH_NOT_POSSIBLE,
     "would reach the table"},
    {{"nonsense"}, TH_BAD_USAGE, "SECTION.KEY=VALUE"},
    {{"cut.1.axial="}, TH_BAD_USAGE, "missing"},
};

static void test_refusals(void **state) {
    th_tables *tables = tables_new();
    size_t count = sizeof refusals / sizeof refusals[0];

    (void)state;
    assert_true(count >= 40);
    for (size_t i = 0; i < count; i++) {
        size_t settings = 0;
        th_error err;
        th_job *job;
        while (settings < 6 && refusals[i].set[settings]) {
            settings++;
        }
        job = job_with(tables, refusals[i].set, settings, &err);
        if (job || err.code != refusals[i].code || !strstr(err.message, refusals[i].message)) {
            fail_msg("%s: %s (%s): %s", refusals[i].set[0], job ? "accepted" : "refused",
                     th_status_text(err.code), err.message);
        }
        th_job_free(job);
    }
    th_tables_free(tables);
}

typedef struct {
    th_table table;
    const char *text;    /* of a whole row */
    const char *find;    /* replaced ... */
    const char *replace; /* ... by this */
    const char *message;
} bad_row;

static const bad_row bad_rows[] = {
    {TH_STOCKS, stock_text, "poisson|0.33", "poisson|0.6", "at most 0.499"},
    {TH_STOCKS, stock_text, "kc11|800 MPa", "kc11|-800 MPa", "above 0"},
    {TH_STOCKS, stock_text, "kc11|800 MPa", "kc11|800", "unit"},
    {TH_STOCKS, stock_text, "alloy|mc|0.25\n", "", "has no mc"},
    {TH_STOCKS, stock_text, "alloy|mc|0.25", "alloy|mc|0.25\nalloy|ktc|700 MPa", "all six"},
    {TH_STOCKS, stock_text, "speed_low|100", "speed_low|400", "speed_low is above"},
    {TH_STOCKS, stock_text, "trust|estimate", "trust|sure", "measured published"},
    {TH_TAPES, tape_text, "strength_hot|0.35", "strength_hot|1.2", "at most 1"},
    {TH_TAPES, tape_text, "lift_travel|0.2 mm", "lift_travel|6 mm", "more energy"},
    {TH_TAPES, tape_text, "shear_strength|130 kPa", "shear_strength|0 kPa", "above 0"},
    {TH_TAPES, tape_text, "thickness|0.13 mm", "thickness|0.13", "unit"},
    {TH_CUTTERS, cutter_text, "helix|30 deg", "helix|90 deg", "at most 75"},
    {TH_CUTTERS, cutter_text, "helix_pulls|up", "helix_pulls|straight", "helix = 0"},
    {TH_CUTTERS, cutter_text, "kind|flat", "kind|drill", "tip_angle"},
    {TH_GLUES, glue_text, "handling_time|10 s", "handling_time|48 h", "above full_time"},
    {TH_GLUES, glue_text, "none|name|No glue", "none|name|No glue\nnone|thickness|1 mm",
     "stands for no glue"},
};

static void test_bad_rows(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof bad_rows / sizeof bad_rows[0]; i++) {
        const bad_row *bad = &bad_rows[i];
        const char *place = strstr(bad->text, bad->find);
        th_tables *tables = th_tables_new();
        th_error err = {TH_OK, 0, "", ""};
        char text[4000];

        assert_non_null(place);
        snprintf(text, sizeof text, "%.*s%s%s", (int)(place - bad->text), bad->text, bad->replace,
                 place + strlen(bad->find));
        if (add(tables, bad->table, text, &err) || !strstr(err.message, bad->message) ||
            strcmp(err.file, "rows.ini") != 0 || err.line < 1) {
            fail_msg("%s: %s:%d: %s", bad->replace, err.file, err.line, err.message);
        }
        assert_int_equal(th_tables_count(tables, bad->table), 0);
        th_tables_free(tables);
    }
}

/* Fill the job's struct with a pattern by way of another job: no field may keep what it had. Here:
 * every key of every group either is required, has a default, or reads back as absent. */
static void test_key_table_is_whole(void **state) {
    size_t groups = 0, keys = 0;
    const th_key_group *group = th_job_groups(&groups);

    (void)state;
    assert_int_equal(groups, 9);
    for (size_t g = 0; g < groups + TH_TABLE_COUNT; g++) {
        const th_key_group *one =
            g < groups ? &group[g] : th_key_group_of(th_table_name((th_table)(g - groups)), false);
        assert_non_null(one);
        for (size_t i = 0; i < one->count; i++) {
            const th_key *key = &one->keys[i];
            th_text text = {NULL, 0, 0, false};
            keys++;
            assert_true(strlen(key->help) > 3);
            th_key_describe(key, TH_MM, &text);
            assert_true(text.size > 3);
            th_text_free(&text);
            for (size_t j = 0; j < i; j++) {
                assert_string_not_equal(one->keys[j].name, key->name);
            }
            if (key->form == TH_FORM_QUANTITY) {
                assert_true(key->least < key->greatest);
            }
        }
    }
    assert_true(keys > 150);
}

/* ---- shapes, openings, copies, tabs ---------------------------------------------------------- */

/* A job that must be good. */
static th_job *good_job(const th_tables *tables, const char *const *settings, size_t count) {
    th_error err;
    th_job *job = job_with(tables, settings, count, &err);

    if (!job) {
        fail_msg("%s: %s", settings[0], err.message);
    }
    return job;
}

#define GOOD_JOB(tables, ...)                                                                      \
    good_job(tables, (const char *[]){__VA_ARGS__},                                                \
             sizeof(const char *[]){__VA_ARGS__} / sizeof(const char *))

static bool lists(const th_lines *lines, const char *text) {
    for (size_t i = 0; i < lines->count; i++) {
        if (strstr(lines->items[i], text)) {
            return true;
        }
    }
    return false;
}

static void test_shapes(void **state) {
    th_tables *tables = tables_new();
    th_job *job = GOOD_JOB(tables, "part.corner_radius=30");

    (void)state;
    assert_int_equal(job->part.shape, TH_RECTANGLE);
    assert_near(job->part.corner_radius, 30, 0, 0);
    assert_false(lists(&job->defaults, "part.shape"));
    th_job_free(job);

    job = GOOD_JOB(tables, "job.units=inch", "part.shape=disc", "part.length=3.937 in",
                   "part.width=100 mm", "part.thickness=3 mm", "cut.1.axial=0.5 mm");
    assert_int_equal(job->part.shape, TH_ROUND);
    assert_near(job->part.corner_radius, 0, 0, 0);
    th_job_free(job);

    job = GOOD_JOB(tables, "part.shape=polygon", "part.points=0,0 100 mm,0 0,60 mm");
    assert_int_equal(job->part.shape, TH_POLYGON);
    assert_int_equal(job->part.points.count, 3);
    assert_near(job->part.points.items[1].x, 100, 0, 0);
    assert_near(job->part.points.items[2].y, 60, 0, 0);
    th_job_free(job);

    job = GOOD_JOB(tables, "part.outline=shape.svg");
    assert_string_equal(job->part.outline, "shape.svg");
    assert_int_equal(job->part.shape, TH_RECTANGLE);
    assert_int_equal(job->opening_count, 0);
    th_job_free(job);
    th_tables_free(tables);
}

/* Nobody said where an engraving lies: at the outermost places of the shape, all on the part. */
static void test_engraving_a_shape(void **state) {
    th_tables *tables = tables_new();
    th_job *job = GOOD_JOB(tables, "part.shape=disc", "part.width=100", "cut.2.operation=engrave",
                           "cut.2.cutter=em", "cut.2.depth=0.2", "cut.2.length=50");

    (void)state;
    assert_int_equal(job->cuts[1].at.count, 4);
    for (size_t i = 0; i < 4; i++) {
        th_point at = job->cuts[1].at.items[i];
        assert_near(hypot(at.x - 50, at.y - 50), 50, 1e-12, 0);
    }
    assert_true(lists(&job->defaults, "cut.2.at = the edge of the part"));
    th_job_free(job);

    job = GOOD_JOB(tables, "part.shape=polygon", "part.points=-0.05,0 100.05,0 0,60",
                   "cut.2.operation=engrave", "cut.2.cutter=em", "cut.2.depth=0.2",
                   "cut.2.length=50");
    assert_int_equal(job->cuts[1].at.count, 3);
    assert_near(job->cuts[1].at.items[0].x, 0, 0, 0);
    assert_near(job->cuts[1].at.items[1].x, 100, 0, 0);
    th_job_free(job);

    job = GOOD_JOB(tables, "part.corner_radius=10", "cut.2.operation=engrave", "cut.2.cutter=em",
                   "cut.2.depth=0.2", "cut.2.length=50");
    assert_near(hypot(job->cuts[1].at.items[0].x - 10, job->cuts[1].at.items[0].y - 10), 10, 1e-12,
                0);
    th_job_free(job);
    th_tables_free(tables);
}

static void test_openings(void **state) {
    th_tables *tables = tables_new();
    th_job *job = GOOD_JOB(tables, "opening.10.at=70,20", "opening.10.size=24 x 6",
                           "opening.10.angle=90 deg", "opening.2.at=10,10", "opening.2.size=4",
                           "opening.2.grid=3 x 2", "opening.2.pitch=40 x 20",
                           "opening.3.at=1/2 in,3/4 in", "opening.3.size=1/4 in x 1/8 in");
    const char *change[] = {"opening.2.size=5", "opening.2.grid=2 x 2"};
    th_job *changed = NULL;
    th_error err;

    (void)state;
    assert_int_equal(job->opening_count, 3);
    assert_int_equal(job->openings[0].number, 2);
    assert_string_equal(job->openings[2].section, "opening.10");
    assert_int_equal(job->openings[0].at.count, 6);
    assert_near(job->openings[0].at.items[2].x, 90, 0, 1e-12);
    assert_near(job->openings[0].at.items[5].y, 30, 0, 1e-12);
    assert_true(job->openings[0].size.single);
    assert_near(job->openings[0].angle, 0, 0, 0);
    assert_near(job->openings[1].at.items[0].x, 12.7, 1e-12, 0);
    assert_near(job->openings[1].size.b, 3.175, 1e-12, 0);
    assert_near(job->openings[2].angle, 90, 0, 0);
    assert_true(lists(&job->defaults, "opening.3.angle = 0 deg"));
    assert_false(lists(&job->defaults, "opening.2.angle"));
    assert_false(lists(&job->defaults, "opening.10.angle"));

    assert_true(th_job_change(job, change, 2, &changed, &err));
    assert_int_equal(changed->opening_count, 3);
    assert_int_equal(changed->openings[0].at.count, 4);
    assert_near(changed->openings[0].size.a, 5, 0, 0);
    assert_int_equal(job->openings[0].at.count, 6);
    th_job_free(changed);
    th_job_free(job);
    th_tables_free(tables);
}

/* A slot of 24 x 6 at 30 deg spans 9 cos 30 + 3 = 10.794 mm to either side along x, 9 sin 30 + 3 =
 * 7.5 mm along y. */
static void test_slots_reach(void **state) {
    th_tables *tables = tables_new();
    th_error err;
    const char *set[] = {"opening.1.size=24 x 6", "opening.1.angle=30 deg",
                         "opening.1.at=10.795,7.5"};
    const char *off[] = {"opening.1.at=10.794,7.5", "opening.1.at=10.795,7.49"};
    th_job *job = good_job(tables, set, 3);

    (void)state;
    th_job_free(job);
    for (int i = 0; i < 2; i++) {
        set[2] = off[i];
        assert_null(job_with(tables, set, 3, &err));
        assert_non_null(strstr(err.message, "beyond the part"));
    }
    th_tables_free(tables);
}

static void test_copies(void **state) {
    th_tables *tables = tables_new();
    th_job *job = GOOD_JOB(tables, "job.title=One");

    (void)state;
    assert_int_equal(job->part.copies.a, 1);
    assert_int_equal(job->part.copies.b, 1);
    th_job_free(job);

    job = GOOD_JOB(tables, "part.copies=1 x 1");
    assert_int_equal(job->part.copies.a, 1);
    assert_true(isnan(job->part.sheet_x));
    th_job_free(job);

    /* 2 x 2 of 100 x 60 at 110 x 70 span 210 x 130 */
    job = GOOD_JOB(tables, "part.copies=2 x 2", "part.pitch=110 x 70", "part.sheet_length=300",
                   "part.sheet_width=200");
    assert_near(job->part.sheet_x, 45, 1e-12, 0);
    assert_near(job->part.sheet_y, 35, 1e-12, 0);
    assert_true(lists(&job->defaults, "part.sheet_x = 45 mm"));
    th_job_free(job);

    /* one row needs no room along y, and fits a sheet exactly */
    job = GOOD_JOB(tables, "part.copies=3 x 1", "part.pitch=100", "part.sheet_length=300",
                   "part.sheet_width=60");
    assert_near(job->part.sheet_x, 0, 0, 1e-12);
    assert_near(job->part.sheet_y, 0, 0, 1e-12);
    th_job_free(job);
    th_tables_free(tables);
}

/* The pitch that a refusal names is one that works, in either unit. */
static void test_least_pitch_works(void **state) {
    static const char *const units[] = {"job.units=mm", "job.units=inch"};
    th_tables *tables = tables_new();

    (void)state;
    for (int i = 0; i < 2; i++) {
        const char *set[12] = {units[i],
                               "part.length=101.23456 mm",
                               "part.width=60 mm",
                               "part.thickness=3 mm",
                               "cut.1.operation=outline",
                               "cut.1.radial=6 mm",
                               "cut.1.axial=0.5 mm",
                               "part.sheet_length=600 mm",
                               "part.sheet_width=300 mm",
                               "part.copies=3 x 2",
                               "part.pitch=107.2 mm x 66 mm"};
        char pitch[120];
        th_error err;
        th_job *job;

        assert_null(job_with(tables, set, 11, &err));
        assert_non_null(strstr(err.message, "at least "));
        snprintf(pitch, sizeof pitch, "part.pitch=%s", strstr(err.message, "at least ") + 9);
        set[10] = pitch;
        job = good_job(tables, set, 11);
        assert_true(job->part.pitch.a >= 107.23456 - 1e-9 && job->part.pitch.a < 107.25);
        assert_true(job->part.pitch.b >= 66 - 1e-9 && job->part.pitch.b < 66.01);
        th_job_free(job);
    }
    th_tables_free(tables);
}

static void test_tabs(void **state) {
    th_tables *tables = tables_new();
    char stock[2000];
    th_error err;
    const char *set[] = {"part.sheet_length=140",    "part.sheet_width=100",
                         "cut.1.operation=outline",  "cut.1.radial=6",
                         "cut.1.tabs=25 x 1/4 in",   "cut.1.axial=0.5",
                         "cut.1.last_axial=0.75 mm", "part.thickness=3"};
    th_job *job;

    (void)state;
    snprintf(stock, sizeof stock, "%s\nalloy|ultimate|290 MPa", stock_text);
    assert_true(add(tables, TH_STOCKS, stock, &err));
    job = good_job(tables, set, 8);
    assert_int_equal(job->cuts[0].tabs.count, 25);
    assert_near(job->cuts[0].tabs.length, 6.35, 1e-12, 0);
    assert_near(job->cuts[0].tab_height, 0.75, 1e-12, 0);
    assert_true(lists(&job->defaults, "cut.1.tab_height = 0.75 mm"));
    assert_true(job->cuts[0].through);
    th_job_free(job);

    set[6] = "cut.1.last_axial=3.5 mm"; /* through the tape: the tab is no higher than the part */
    job = good_job(tables, set, 8);
    assert_near(job->cuts[0].tab_height, 3, 1e-12, 0);
    th_job_free(job);

    set[6] = "cut.1.tab_height=3";
    job = good_job(tables, set, 8);
    assert_near(job->cuts[0].tab_height, 3, 1e-12, 0);
    assert_false(lists(&job->defaults, "tab_height"));
    th_job_free(job);

    set[4] = "cut.1.tabs=2 x 100"; /* as wide as the part is long */
    job = good_job(tables, set, 8);
    th_job_free(job);
    th_tables_free(tables);
}

static void test_bow(void **state) {
    th_tables *tables = tables_new();
    th_job *job = GOOD_JOB(tables, "part.bow=1");

    (void)state;
    assert_near(job->part.bow, 1, 0, 0);
    assert_false(lists(&job->cautions, "straighten"));
    th_job_free(job);
    job = GOOD_JOB(tables, "part.bow=0.05 in");
    assert_near(job->part.bow, 1.27, 1e-12, 0);
    assert_true(lists(&job->cautions, "bent by 1.27 mm, more than 1 % of its 100 mm"));
    th_job_free(job);
    job = GOOD_JOB(tables, "part.bow=1.27", "part.sheet_length=130", "part.sheet_width=80");
    assert_false(lists(&job->cautions, "straighten"));
    th_job_free(job);
    th_tables_free(tables);
}

static void test_tape_drawing(void **state) {
    th_tables *tables = tables_new();
    th_job *job = GOOD_JOB(tables, "hold.taped=strips.dxf");

    (void)state;
    assert_string_equal(job->hold.taped, "strips.dxf");
    assert_near(job->hold.taped_at.x, 0, 0, 0);
    assert_near(job->hold.taped_at.y, 0, 0, 0);
    assert_true(lists(&job->defaults, "hold.taped_at = 0, 0"));
    th_job_free(job);
    job = GOOD_JOB(tables, "hold.taped=strips.dxf", "hold.taped_at=-5, 1/2 in");
    assert_near(job->hold.taped_at.x, -5, 0, 0);
    assert_near(job->hold.taped_at.y, 12.7, 1e-12, 0);
    th_job_free(job);
    job = GOOD_JOB(tables, "job.sway_limit=0.05", "job.offcuts=must-stay");
    assert_near(job->head.sway_limit, 0.05, 0, 0);
    assert_int_equal(job->head.offcuts, TH_MUST_STAY);
    assert_false(lists(&job->defaults, "taped_at"));
    th_job_free(job);
    th_tables_free(tables);
}

static void test_replacing_a_row(void **state) {
    th_tables *tables = tables_new();
    char text[2000];
    th_error err;
    const char *place = strstr(machine_text, "500 W");

    (void)state;
    snprintf(text, sizeof text, "%.*s900 W%s", (int)(place - machine_text), machine_text,
             place + 5);
    assert_true(add(tables, TH_MACHINES, text, &err));
    assert_int_equal(th_tables_count(tables, TH_MACHINES), 1);
    assert_near(((const th_machine *)th_tables_find(tables, TH_MACHINES, "bench"))->spindle_power,
                900, 0, 0);
    th_tables_free(tables);
}

static void test_setting(void **state) {
    th_arena arena = {NULL};
    th_entry entry;
    th_error err;

    (void)state;
    assert_true(th_setting_read("Cut.1.Axial = 0.5mm", &arena, &entry, &err));
    assert_string_equal(entry.section, "cut.1");
    assert_string_equal(entry.key, "axial");
    assert_string_equal(entry.value, "0.5mm");
    assert_true(th_setting_read("part.stock=a.b=c", &arena, &entry, &err));
    assert_string_equal(entry.section, "part");
    assert_string_equal(entry.value, "a.b=c");
    assert_false(th_setting_read("axial=3", &arena, &entry, &err));
    assert_false(th_setting_read(".axial=3", &arena, &entry, &err));
    th_arena_free(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_job_defaults),
        cmocka_unit_test(test_default_feed_stays_within_machine),
        cmocka_unit_test(test_inch_and_metric_agree),
        cmocka_unit_test(test_places),
        cmocka_unit_test(test_chip_load_per_revolution),
        cmocka_unit_test(test_shop_defaults),
        cmocka_unit_test(test_refusals),
        cmocka_unit_test(test_bad_rows),
        cmocka_unit_test(test_key_table_is_whole),
        cmocka_unit_test(test_shapes),
        cmocka_unit_test(test_engraving_a_shape),
        cmocka_unit_test(test_openings),
        cmocka_unit_test(test_slots_reach),
        cmocka_unit_test(test_copies),
        cmocka_unit_test(test_least_pitch_works),
        cmocka_unit_test(test_tabs),
        cmocka_unit_test(test_bow),
        cmocka_unit_test(test_tape_drawing),
        cmocka_unit_test(test_replacing_a_row),
        cmocka_unit_test(test_setting),
    };
    return cmocka_run_group_tests_name("tables", tests, NULL, NULL);
}
