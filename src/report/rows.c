/* Rows of the tables, and the keys that describe them, as text and JSON. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rows.h"
#include "tackhold/report.h"
#include "words.h"

/* ---- one value ------------------------------------------------------------------------------- */

static th_units shown_units(th_units units) {
    return units == TH_INCH ? TH_INCH : TH_MM;
}

/* A key's value in a row, printed into the document's arena. */
static const char *value_of(th_doc *doc, const th_key *key, const void *row, th_units units) {
    th_text text = {0};
    th_key_print(key, row, shown_units(units), &text);
    const char *value = th_words_print(doc, "%s", text.data == NULL ? "" : text.data);
    doc->failed = doc->failed || text.failed;
    th_text_free(&text);
    return value;
}

static const th_key *key_of(const th_key_group *group, const char *name) {
    for (size_t i = 0; group != NULL && i < group->count; i++) {
        if (strcmp(group->keys[i].name, name) == 0) {
            return &group->keys[i];
        }
    }
    return NULL;
}

static const th_key_group *table_group(th_table table) {
    return th_key_group_of(th_table_name(table), false);
}

/* ---- list ------------------------------------------------------------------------------------ */

enum { TELLING = 3 };

typedef struct {
    const char *key;
    const char *title;
} telling;

/* The keys of each table that tell rows apart beside the name; few, to leave the name its room. */
static const telling tellings[TH_TABLE_COUNT][TELLING] = {
    [TH_STOCKS] = {{"kc11", "kc1.1"}, {"adhesion", "adhesion"}},
    [TH_TAPES] = {{"shear_strength", "shear"}, {"temperature_max", "to"}, {"water", "wet"}},
    [TH_GLUES] = {{"shear_strength", "shear"}, {"temperature_max", "to"}, {"full_time", "full"}},
    [TH_CUTTERS] = {{"diameter", "diameter"}, {"helix_pulls", "pulls"}},
    [TH_MACHINES] = {{"spindle_power", "power"}, {"speed_max", "speed to"}},
    [TH_COOLANTS] = {{"kind", "kind"}, {"film_coefficient", "film"}},
    [TH_PLATES] = {{"adhesion", "adhesion"}, {"wet", "wet"}},
};

static void put_row(th_doc *doc, th_table table, const void *row, th_units units) {
    const th_row_head *head = row;
    const char *cells[TELLING + 3] = {head->id, head->name};
    bool absent = table == TH_GLUES && ((const th_glue *)row)->absent;
    size_t count = 2;
    for (size_t i = 0; i < TELLING && tellings[table][i].key != NULL; i++) {
        const th_key *key = key_of(table_group(table), tellings[table][i].key);
        cells[count++] = key == NULL || absent ? "" : value_of(doc, key, row, units);
    }
    cells[count] = th_words_print(doc, "%s%s", th_trust_name((th_trust)head->trust),
                                  head->origin == TH_FROM_SHOP ? ", own" : "");
    th_doc_row(doc, cells);
}

bool th_report_list(const th_tables *tables, th_table table, th_units units, th_doc *doc,
                    th_error *err) {
    th_doc_column columns[TELLING + 3] = {{"id", NULL, false, false}, {"name", NULL, false, true}};
    size_t count = 2;
    for (size_t i = 0; i < TELLING && tellings[table][i].key != NULL; i++) {
        bool word = strcmp(tellings[table][i].key, "kind") == 0 ||
                    strcmp(tellings[table][i].key, "helix_pulls") == 0;
        columns[count++] = (th_doc_column){tellings[table][i].title, NULL, !word, false};
    }
    columns[count++] = (th_doc_column){"trust", NULL, false, false};
    th_doc_columns(doc, columns, count);
    for (size_t i = 0; i < th_tables_count(tables, table); i++) {
        put_row(doc, table, th_tables_row(tables, table, i), units);
    }
    return !doc->failed || th_fail_memory(err);
}

/* ---- show ------------------------------------------------------------------------------------ */

static const void *found_row(const th_tables *tables, th_table table, const char *id,
                             th_error *err) {
    const void *row = th_tables_find(tables, table, id);
    if (row != NULL) {
        return row;
    }
    char hint[TH_HINT];
    if (!th_tables_hint(tables, table, id, "", hint)) {
        th_fail_memory(err);
        return NULL;
    }
    const char *name = th_table_name(table);
    if (hint[0] != '\0') {
        th_fail(err, TH_UNKNOWN_ROW, "there is no %s \"%.60s\"; %s", name, id, hint);
    } else {
        th_fail(err, TH_UNKNOWN_ROW, "there is no %s \"%.60s\"; `tackhold list %s` names them all",
                name, id, name);
    }
    return NULL;
}

bool th_report_show(const th_tables *tables, th_table table, const char *id, th_units units,
                    th_doc *doc, th_error *err) {
    const th_row_head *row = found_row(tables, table, id, err);
    if (row == NULL) {
        return false;
    }
    const th_key_group *group = table_group(table);
    bool absent = table == TH_GLUES && ((const th_glue *)(const void *)row)->absent;
    doc->title = th_words_print(doc, "%s %s", th_table_name(table), row->id);
    th_doc_begin(doc, NULL);
    for (size_t i = 0; i < group->count; i++) {
        const th_key *key = &group->keys[i];
        bool numeric = key->form == TH_FORM_QUANTITY || key->form == TH_FORM_COUNT;
        const char *value = absent && numeric ? "" : value_of(doc, key, row, units);
        if (value[0] != '\0') {
            th_doc_pair(doc, key->name, "%s", value);
        }
    }
    if (row->origin == TH_FROM_SHOP) {
        th_doc_pair(doc, "kept in", "your own tables, tackhold/tables in the configuration");
    }
    return !doc->failed || th_fail_memory(err);
}

/* ---- JSON ------------------------------------------------------------------------------------ */

/* A key's value: numbers in the core unit, all else as text. */
static void put_value(th_json *json, const th_key *key, const void *row, bool absent) {
    const void *field = (const char *)row + key->offset;
    const char *unit = key->form == TH_FORM_QUANTITY ? th_kind_unit((th_kind)key->kind) : "";
    th_json_object(json);
    th_json_text(json, "key", key->name);
    th_json_key(json, "value");
    if (absent && (key->form == TH_FORM_QUANTITY || key->form == TH_FORM_COUNT)) {
        th_json_null(json);
    } else if (key->form == TH_FORM_QUANTITY) {
        th_json_number(json, *(const double *)field);
    } else if (key->form == TH_FORM_COUNT) {
        th_json_number(json, *(const int *)field);
    } else {
        th_text text = {0};
        th_key_print(key, row, TH_MM, &text);
        th_json_string(json, text.data);
        json->failed = json->failed || text.failed;
        th_text_free(&text);
    }
    th_json_text(json, "unit", unit[0] == '\0' ? NULL : unit);
    th_json_end(json);
}

static void put_row_json(th_json *json, th_table table, const void *row) {
    const th_row_head *head = row;
    const th_key_group *group = table_group(table);
    bool absent = table == TH_GLUES && ((const th_glue *)row)->absent;
    th_json_object(json);
    th_json_text(json, "id", head->id);
    th_json_text(json, "name", head->name);
    th_json_text(json, "source", head->source);
    th_json_text(json, "trust", th_trust_name((th_trust)head->trust));
    th_json_flag(json, "own", head->origin == TH_FROM_SHOP);
    th_json_key(json, "values");
    th_json_array(json);
    for (size_t i = 0; i < group->count; i++) {
        const char *name = group->keys[i].name;
        if (strcmp(name, "name") != 0 && strcmp(name, "source") != 0 &&
            strcmp(name, "trust") != 0) {
            put_value(json, &group->keys[i], row, absent);
        }
    }
    th_json_end(json);
    th_json_end(json);
}

static void rows_begin(th_json *json, th_table table) {
    th_json_object(json);
    th_json_text(json, "tackhold", TH_VERSION);
    th_json_text(json, "table", th_table_name(table));
    th_json_key(json, "rows");
    th_json_array(json);
}

static bool json_ends(th_json *json, th_error *err) {
    th_json_end(json);
    th_json_end(json);
    th_text_put(json->text, "\n");
    return !(json->failed || json->text->failed) || th_fail_memory(err);
}

bool th_report_list_json(const th_tables *tables, th_table table, th_text *text, th_error *err) {
    th_json json = {.text = text};
    rows_begin(&json, table);
    for (size_t i = 0; i < th_tables_count(tables, table); i++) {
        put_row_json(&json, table, th_tables_row(tables, table, i));
    }
    return json_ends(&json, err);
}

bool th_report_show_json(const th_tables *tables, th_table table, const char *id, th_text *text,
                         th_error *err) {
    const void *row = found_row(tables, table, id, err);
    if (row == NULL) {
        return false;
    }
    th_json json = {.text = text};
    rows_begin(&json, table);
    put_row_json(&json, table, row);
    return json_ends(&json, err);
}

/* ---- keys ------------------------------------------------------------------------------------ */

/* The groups a word stands for: a table, a whole job, or one section of a job; a name that a table
 * and a section share means the table. */
static const th_key_group *groups_of(const char *section, size_t *count, th_error *err) {
    if (strcmp(section, "job") == 0) {
        return th_job_groups(count);
    }
    *count = 1;
    const th_key_group *group = th_key_group_of(section, false);
    group = group == NULL ? th_key_group_of(section, true) : group;
    if (group == NULL) {
        static const char *const known[] = {"stock",   "tape",  "glue", "cutter", "machine",
                                            "coolant", "plate", "job",  "part",   "opening",
                                            "hold",    "cut",   "zero", "tool"};
        const char *near = th_nearest(section, known, sizeof known / sizeof *known);
        th_fail(err, TH_BAD_USAGE, "there is no table or section \"%.60s\"; %s%s%s", section,
                near == NULL ? "known are stock, tape, glue, cutter, machine, coolant and plate; "
                               "job, part, opening, hold, cut, zero and tool"
                             : "did you mean ",
                near == NULL ? "" : near, near == NULL ? "" : "?");
    }
    return group;
}

/* Operations of a set, by name. */
static void put_operations(th_text *text, unsigned set) {
    const char *gap = "";
    for (int i = TH_SLOT; i <= TH_PUSH; i++) {
        if (set & (1u << i)) {
            th_text_add(text, "%s%s", gap, th_operation_name((th_operation)i));
            gap = ", ";
        }
    }
}

/* One comment, broken between words so that it fits a screen. */
static void put_folded(th_text *text, const char *line) {
    const char *more = "#                        ";
    size_t room = TH_TEXT_WIDTH;
    while (strlen(line) > room) {
        size_t n = room;
        while (n > strlen(more) && line[n] != ' ') {
            n--;
        }
        n = line[n] == ' ' ? n : strcspn(line, " ");
        th_text_add(text, "%.*s\n%s", (int)n, line, more);
        line += n + (line[n] == ' ');
        room = TH_TEXT_WIDTH - strlen(more);
    }
    th_text_add(text, "%s\n", line);
}

void th_rows_bounds(const th_key_group *group, const th_key *key, th_units units, th_text *text) {
    th_key_describe(key, units, text);
    unsigned all = (2u << TH_PUSH) - 1;
    bool cut = group->job && strcmp(group->section, "cut") == 0;
    if (cut && (key->taken_by & all) != all) {
        unsigned optional = key->taken_by & ~key->needed_by & all;
        if (key->needed_by != 0) {
            th_text_put(text, "; needed by ");
            put_operations(text, key->needed_by & all);
        }
        if (optional != 0) {
            th_text_put(text, "; taken by ");
            put_operations(text, optional);
        }
    }
}

static void add_key(th_text *text, const th_key_group *group, const th_key *key, th_units units) {
    th_text_add(text, "# %-22s %s (", key->name, key->help);
    th_rows_bounds(group, key, units, text);
    th_text_put(text, ")");
}

static void put_key(th_text *text, const th_key_group *group, const th_key *key, th_units units) {
    th_text line = {0};
    add_key(&line, group, key, units);
    put_folded(text, line.data == NULL ? "" : line.data);
    text->failed = text->failed || line.failed;
    th_text_free(&line);
}

/* The section of a job that shares its name with a table: it names a row and may override it. */
static const th_key_group *section_beside(const th_key_group *groups, const char *word) {
    return groups->job ? NULL : th_key_group_of(word, true);
}

static void put_groups(th_text *text, const th_key_group *groups, size_t count, th_units units,
                       const char *gap) {
    for (size_t i = 0; i < count; i++) {
        if (groups[i].job) {
            th_text_add(text, "%s# [%s]  %s\n", gap, groups[i].section, groups[i].help);
            gap = "#\n";
        }
        for (size_t k = 0; k < groups[i].count; k++) {
            put_key(text, &groups[i], &groups[i].keys[k], units);
        }
    }
}

bool th_report_keys(const char *section, th_units units, th_text *text, th_error *err) {
    size_t count;
    const th_key_group *groups = groups_of(section, &count, err);
    if (groups == NULL) {
        return false;
    }
    put_groups(text, groups, count, shown_units(units), "");
    const th_key_group *beside = section_beside(groups, section);
    if (beside != NULL) {
        put_groups(text, beside, 1, shown_units(units), "#\n");
    }
    return !text->failed || th_fail_memory(err);
}

/* Names of the bits that are set, from the words of the key that numbers operations. */
static void put_bits(th_json *json, const char *name, unsigned bits) {
    const char *word = key_of(th_key_group_of("cut", true), "operation")->words;

    th_json_key(json, name);
    th_json_array(json);
    for (unsigned bit = 0; *word != '\0'; bit++) {
        size_t length = strcspn(word, " ");
        char text[32];
        if (bits >> bit & 1 && length < sizeof text) {
            memcpy(text, word, length);
            text[length] = '\0';
            th_json_string(json, text);
        }
        word += length + strspn(word + length, " ");
    }
    th_json_end(json);
}

/* What the value is: a form, and the kind of quantity or the table of the row it names. */
static void put_form(th_json *json, const th_key *key) {
    static const char *const forms[] = {"quantity", "count", "word",     "flags",
                                        "text",     "row",   "quantity", "point",
                                        "points",   "size",  "counts",   "count x size"};
    bool numbers = key->form != TH_FORM_WORD && key->form != TH_FORM_FLAGS &&
                   key->form != TH_FORM_TEXT && key->form != TH_FORM_ROW;

    th_json_text(json, "form", forms[key->form]);
    th_json_text(json, "kind",
                 key->form == TH_FORM_ROW ? th_table_name((th_table)key->kind)
                 : numbers                ? th_kind_name((th_kind)key->kind)
                                          : NULL);
    th_json_value(json, "least", numbers ? key->least : (double)NAN);
    th_json_value(json, "greatest", numbers ? key->greatest : (double)NAN);
}

static void put_key_json(th_json *json, const char *section, const th_key *key) {
    th_text bounds = {0};
    th_key_describe(key, TH_MM, &bounds);
    th_json_object(json);
    th_json_text(json, "section", section);
    th_json_text(json, "key", key->name);
    th_json_text(json, "help", key->help);
    th_json_text(json, "bounds", bounds.data);
    th_json_flag(json, "required", (key->flags & TH_KEY_REQUIRED) != 0);
    th_json_text(json, "default", key->initial);
    th_json_text(json, "words", key->words);
    put_form(json, key);
    put_bits(json, "needed_by", key->needed_by);
    put_bits(json, "taken_by", key->taken_by);
    th_json_end(json);
    json->failed = json->failed || bounds.failed;
    th_text_free(&bounds);
}

bool th_report_keys_json(const char *section, th_text *text, th_error *err) {
    size_t count;
    const th_key_group *groups = groups_of(section, &count, err);
    if (groups == NULL) {
        return false;
    }
    th_json json = {.text = text};
    th_json_object(&json);
    th_json_text(&json, "tackhold", TH_VERSION);
    th_json_key(&json, "keys");
    th_json_array(&json);
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < groups[i].count; k++) {
            put_key_json(&json, groups[i].section, &groups[i].keys[k]);
        }
    }
    const th_key_group *beside = section_beside(groups, section);
    for (size_t k = 0; beside != NULL && k < beside->count; k++) {
        put_key_json(&json, beside->section, &beside->keys[k]);
    }
    return json_ends(&json, err);
}
