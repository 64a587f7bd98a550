/* rows.c - the tables as a set of checked rows. */
#include "keys.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
    void **rows; /* each starts with its th_row_head */
    size_t count, capacity;
} row_list;

struct th_tables {
    th_arena arena;
    row_list lists[TH_TABLE_COUNT];
};

static const char *const table_names[TH_TABLE_COUNT] = {"stock",   "tape",    "glue", "cutter",
                                                        "machine", "coolant", "plate"};

static const size_t row_sizes[TH_TABLE_COUNT] = {
    sizeof(th_stock),   sizeof(th_tape),    sizeof(th_glue), sizeof(th_cutter),
    sizeof(th_machine), sizeof(th_coolant), sizeof(th_plate)};

size_t th_row_size(th_table table) {
    return row_sizes[table];
}

const char *th_table_name(th_table table) {
    return table_names[table];
}

int th_table_of(const char *name) {
    for (int i = 0; i < TH_TABLE_COUNT; i++) {
        if (strcmp(table_names[i], name) == 0) {
            return i;
        }
    }
    return -1;
}

const char *th_trust_name(th_trust trust) {
    static const char *const names[] = {"measured", "published", "practice", "memory", "estimate"};
    return names[trust];
}

bool th_trust_weak(th_trust trust) {
    return trust != TH_MEASURED && trust != TH_PUBLISHED;
}

th_tables *th_tables_new(void) {
    return calloc(1, sizeof(th_tables));
}

void th_tables_free(th_tables *tables) {
    if (tables) {
        for (int i = 0; i < TH_TABLE_COUNT; i++) {
            free(tables->lists[i].rows);
        }
        th_arena_free(&tables->arena);
        free(tables);
    }
}

size_t th_tables_count(const th_tables *tables, th_table table) {
    return tables->lists[table].count;
}

const void *th_tables_row(const th_tables *tables, th_table table, size_t position) {
    const row_list *list = &tables->lists[table];
    return position < list->count ? list->rows[position] : NULL;
}

static size_t find(const row_list *list, const char *id) {
    for (size_t i = 0; i < list->count; i++) {
        if (strcmp(((const th_row_head *)list->rows[i])->id, id) == 0) {
            return i;
        }
    }
    return list->count;
}

const void *th_tables_find(const th_tables *tables, th_table table, const char *id) {
    return th_tables_row(tables, table, find(&tables->lists[table], id));
}

/* ---- checks across the keys of a row ----------------------------------------------------------
 */

static bool check_stock(const th_stock *stock, th_error *err) {
    const double six[] = {stock->ktc, stock->krc, stock->kac, stock->kte, stock->kre, stock->kae};
    int given = 0;

    for (int i = 0; i < 6; i++) {
        given += !isnan(six[i]);
    }
    if (given != 0 && given != 6) {
        return th_fail(err, TH_CONTRADICTION,
                       "give all six of ktc, krc, kac, kte, kre and kae, or none of them");
    }
    if (stock->speed_low > stock->speed_high) {
        return th_fail(err, TH_CONTRADICTION, "speed_low is above speed_high");
    }
    return true;
}

static bool check_tape(const th_tape *tape, th_error *err) {
    double most = 2 * tape->peel / tape->lift_strength;

    if (tape->lift_travel > most * (1 + 1e-9)) {
        return th_fail(err, TH_CONTRADICTION,
                       "lift_travel = %.4g mm would store more energy than peeling needs; at most "
                       "2 peel / lift_strength = %.4g mm",
                       tape->lift_travel, most);
    }
    if (tape->adhesive_thickness > tape->thickness) {
        return th_fail(err, TH_CONTRADICTION, "adhesive_thickness is above thickness");
    }
    return true;
}

static bool check_cutter(const th_cutter *cutter, th_error *err) {
    bool cone = cutter->kind == TH_CHAMFER || cutter->kind == TH_POINT || cutter->kind == TH_DRILL;

    if (cone && isnan(cutter->tip_angle)) {
        return th_fail(err, TH_MISSING, "this kind of cutter needs tip_angle, e.g. 90 deg");
    }
    if (cutter->kind != TH_DRILL && cone && cutter->tip_angle >= 175) {
        return th_fail(err, TH_BAD_RANGE, "tip_angle must be below 175 deg for this kind");
    }
    if (cutter->kind == TH_BULL &&
        !(cutter->corner_radius > 0 && cutter->corner_radius <= cutter->diameter / 2)) {
        return th_fail(err, TH_CONTRADICTION,
                       "a bull cutter needs a corner_radius above 0 up to half its diameter");
    }
    if (cutter->tip_flat >= cutter->diameter) {
        return th_fail(err, TH_CONTRADICTION, "tip_flat must be below the diameter");
    }
    if (cutter->helix_pulls == TH_STRAIGHT && cutter->helix > 0) {
        return th_fail(err, TH_CONTRADICTION, "helix_pulls = straight goes with helix = 0 deg");
    }
    if (cutter->flute_length > cutter->stickout) {
        return th_fail(err, TH_CONTRADICTION, "flute_length is above stickout");
    }
    return true;
}

bool th_row_check(th_table table, const void *row, th_error *err) {
    switch (table) {
    case TH_STOCKS:
        return check_stock(row, err);
    case TH_TAPES:
        return check_tape(row, err);
    case TH_GLUES:
        if (((const th_glue *)row)->handling_time > ((const th_glue *)row)->full_time) {
            return th_fail(err, TH_CONTRADICTION, "handling_time is above full_time");
        }
        return true;
    case TH_CUTTERS:
        return check_cutter(row, err);
    case TH_MACHINES:
        if (((const th_machine *)row)->speed_min > ((const th_machine *)row)->speed_max) {
            return th_fail(err, TH_CONTRADICTION, "speed_min is above speed_max");
        }
        return true;
    default:
        return true;
    }
}

/* ---- adding rows ------------------------------------------------------------------------------
 */

/* The row `none` of the glues says that there is no glue: only head keys may stand there. */
static bool is_no_glue(th_table table, const char *id) {
    return table == TH_GLUES && strcmp(id, "none") == 0;
}

static bool needed(const th_key *key, bool head_only) {
    bool head = strcmp(key->name, "name") == 0 || strcmp(key->name, "source") == 0 ||
                strcmp(key->name, "trust") == 0;
    return (key->flags & TH_KEY_REQUIRED) && (head || !head_only);
}

static bool check_id(const th_entry *entry, th_error *err) {
    const char *allowed = "abcdefghijklmnopqrstuvwxyz0123456789-.";

    if (entry->section[strspn(entry->section, allowed)] == '\0') {
        return true;
    }
    return th_fail_at(err, TH_BAD_KEY, entry->file, entry->line,
                      "[%s] cannot be the id of a row: use a to z, 0 to 9, '-' and '.'",
                      entry->section);
}

/* Read the entries [first, last) of one section into a new row. */
static bool read_row(th_tables *tables, th_table table, const th_entry *first, const th_entry *last,
                     void **result, th_error *err) {
    const th_key_group *group = th_row_group(table);
    bool head_only = is_no_glue(table, first->section);
    bool seen[64] = {false};
    void *row = th_arena_take(&tables->arena, row_sizes[table]);
    th_error inner = {TH_OK, 0, "", ""};

    if (!row) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < group->count; i++) {
        if (!th_key_reset(&group->keys[i], &tables->arena, row, err)) {
            return false;
        }
    }
    for (const th_entry *entry = first; entry < last; entry++) {
        const th_key *key = th_key_find(group, entry->key);
        if (!key) {
            return th_unknown_key(entry, &group, 1, err);
        }
        if (head_only && !needed(key, true)) {
            return th_entry_fail(
                entry, err, TH_CONTRADICTION,
                "the row none stands for no glue and takes name, source and trust");
        }
        if (!th_entry_read(entry, key, TH_UNITS_NAMED, &tables->arena, row, err)) {
            return false;
        }
        seen[key - group->keys] = true;
    }
    for (size_t i = 0; i < group->count; i++) {
        if (needed(&group->keys[i], head_only) && !seen[i]) {
            th_text how = {NULL, 0, 0, false};
            th_key_describe(&group->keys[i], TH_MM, &how);
            th_fail_at(err, TH_MISSING, first->file, first->line,
                       "[%s] has no %s (%s: %s); a row must be whole", first->section,
                       group->keys[i].name, group->keys[i].help, how.data ? how.data : "");
            th_text_free(&how);
            return false;
        }
    }
    if (!th_row_check(table, row, &inner)) {
        return th_fail_at(err, inner.code, first->file, first->line, "[%s]: %s", first->section,
                          inner.message);
    }
    if (head_only) {
        ((th_glue *)row)->absent = true;
    }
    ((th_row_head *)row)->id =
        th_arena_copy(&tables->arena, first->section, strlen(first->section));
    ((th_row_head *)row)->origin = (int)first->origin;
    *result = row;
    return ((th_row_head *)row)->id ? true : th_fail_memory(err);
}

static bool reserve(row_list *list, size_t more, th_error *err) {
    if (list->count + more > list->capacity) {
        size_t capacity = 2 * (list->count + more);
        void **rows = realloc(list->rows, capacity * sizeof *rows);
        if (!rows) {
            return th_fail_memory(err);
        }
        list->rows = rows;
        list->capacity = capacity;
    }
    return true;
}

/* One past the last entry of the section that starts at `first`. */
static size_t section_end(const th_entry *entries, size_t count, size_t first) {
    size_t last = first;

    while (last < count && strcmp(entries[last].section, entries[first].section) == 0) {
        last++;
    }
    return last;
}

bool th_tables_add(th_tables *tables, th_table table, const th_entry *entries, size_t count,
                   th_error *err) {
    row_list *list = &tables->lists[table];
    void **fresh = calloc(count + 1, sizeof *fresh);
    size_t made = 0;
    bool fine = fresh && reserve(list, count, err);

    if (!fresh) {
        return th_fail_memory(err);
    }
    for (size_t first = 0; fine && first < count;) {
        size_t last = section_end(entries, count, first);
        fine = check_id(&entries[first], err) &&
               read_row(tables, table, entries + first, entries + last, &fresh[made], err);
        made += fine;
        first = last;
    }
    for (size_t i = 0; fine && i < made; i++) {
        size_t position = find(list, ((const th_row_head *)fresh[i])->id);
        list->rows[position] = fresh[i];
        list->count += position == list->count;
    }
    free(fresh);
    return fine;
}
