/* What pull tests say: text, JSON, and the row of a table. */
#include <stdlib.h>
#include <string.h>

#include "tackhold/report.h"
#include "words.h"

#define PSI 0.006894757293168361 /* MPa */

enum { COMMENT_WIDTH = 100, COLUMNS = 8 };

/* ---- text ------------------------------------------------------------------------------------ */

/* Four digits without the unit: three would round a limit up by more than it is known. */
static const char *stress(th_doc *doc, double value, th_units units) {
    return th_words_number(doc, units == TH_INCH ? value / PSI : value * 1000, 4);
}

static void put_groups(th_doc *doc, const th_pull_result *r, th_units units) {
    const char *unit = units == TH_INCH ? "psi" : "kPa";
    const th_doc_column columns[COLUMNS] = {
        {"pulled in", NULL, false, false}, {"tests", NULL, true, false},
        {"mean", unit, true, false},       {"lowest", unit, true, false},
        {"scatter", "%", true, false},     {"k", NULL, true, false},
        {"limit", unit, true, false},      {"for a row", unit, true, false},
    };
    th_doc_columns(doc, columns, COLUMNS);
    for (int kind = 0; kind < TH_PULL_KINDS; kind++) {
        const th_pull_group *g = &r->groups[kind];
        if (g->count == 0) {
            continue;
        }
        const char *cells[COLUMNS] = {
            th_pull_kind_name((th_pull_kind)kind),
            th_words_print(doc, "%zu", g->count),
            stress(doc, g->mean, units),
            stress(doc, g->lowest, units),
            th_words_number(doc, 100 * g->scatter, 3),
            th_words_number(doc, g->k, 4),
            stress(doc, g->limit, units),
            stress(doc, g->strength, units),
        };
        th_doc_row(doc, cells);
    }
}

static void put_places(th_doc *doc, const th_pull_result *r) {
    th_doc_begin(doc, "failed at");
    for (int kind = 0; kind < TH_PULL_KINDS; kind++) {
        const th_pull_group *g = &r->groups[kind];
        const char *text = "";
        for (int i = 0; i < TH_PULLED_PLACES; i++) {
            if (g->places[i] > 0) {
                text = th_words_print(doc, "%s%s%s %zu", text, text[0] == '\0' ? "" : ", ",
                                      th_pull_place_name((th_pull_place)i), g->places[i]);
            }
        }
        if (g->count > 0) {
            th_doc_pair(doc, th_pull_kind_name((th_pull_kind)kind), "%s", text);
        }
    }
}

static void put_lines(th_doc *doc, const char *title, const th_lines *lines) {
    if (lines->count > 0) {
        th_doc_begin(doc, title);
    }
    for (size_t i = 0; i < lines->count; i++) {
        th_doc_pair(doc, "-", "%s", lines->items[i]);
    }
}

/* The keys of a row that tests can change. */
static const char *const changed[] = {
    "name",          "shear_strength", "lift_strength", "shear_travel", "lift_travel",
    "backing_shear", "backing_lift",   "spread",        "source",       "trust"};
enum { CHANGED = sizeof changed / sizeof *changed };

static const th_key *tape_key(const char *name) {
    const th_key_group *group = th_key_group_of("tape", false);
    for (size_t i = 0; i < group->count; i++) {
        if (strcmp(group->keys[i].name, name) == 0) {
            return &group->keys[i];
        }
    }
    return NULL;
}

static const char *printed(th_doc *doc, const th_key *key, const th_tape *row, th_units units) {
    th_text text = {0};
    th_key_print(key, row, units, &text);
    const char *value = th_words_print(doc, "%s", text.data == NULL ? "" : text.data);
    doc->failed = doc->failed || text.failed;
    th_text_free(&text);
    return value;
}

static void put_row(th_doc *doc, const th_pull_result *r, const th_pull_names *names,
                    th_units units) {
    if (r->like == NULL) {
        th_doc_begin(doc, "the row");
        th_doc_line(doc, "None is made: --like ID names the row that gives thickness, stiffness, "
                         "warmth and all else that pulling does not tell; -o ID then writes it.");
        return;
    }
    th_doc_begin(doc, names->path != NULL ? "the row, written" : "the row that -o ID would write");
    for (size_t i = 0; i < CHANGED; i++) {
        const th_key *key = tape_key(changed[i]);
        const char *mine = printed(doc, key, &r->row, units);
        bool number = key->form == TH_FORM_QUANTITY;
        const char *theirs = number ? printed(doc, key, r->like, units) : mine;
        if (number && strcmp(mine, theirs) != 0) {
            th_doc_pair(doc, key->name, "%s (%s: %s)", mine, r->like->head.id, theirs);
        } else {
            th_doc_pair(doc, key->name, "%s", mine);
        }
    }
    th_doc_pair(doc, "all else", "as %s (%s)", r->like->head.id,
                th_trust_name((th_trust)r->like->head.trust));
    th_doc_line(doc, "The strengths are those of the whole joint as you made and pulled it, "
                     "whichever layer failed. A job still lowers them for surface, preparation, "
                     "pressing, wait, warmth and cooling.");
}

bool th_report_pull(const th_pull_result *result, const th_pull_names *names, th_units units,
                    th_doc *doc, th_error *err) {
    units = units == TH_INCH ? TH_INCH : TH_MM;
    doc->title = th_words_print(doc, "own pull tests: %s", names->file);
    th_doc_begin(doc, NULL);
    th_doc_line(doc,
                "Limit: what %.4g %% of such joints reach, with %.4g %% confidence (log-normal: "
                "mean x exp(-k x deviation of the logarithms)).",
                100 * result->share, 100 * result->confidence);
    put_groups(doc, result, units);
    put_places(doc, result);
    put_lines(doc, "cautions", &result->cautions);
    put_lines(doc, "assumed", &result->defaults);
    put_row(doc, result, names, units);
    if (names->path != NULL) {
        th_doc_begin(doc, NULL);
        th_doc_line(doc, "wrote row %s to %s", names->id, names->path);
        th_doc_line(doc, "use it in a job: [hold] tape = %s", names->id);
    }
    return !doc->failed || th_fail_memory(err);
}

/* ---- JSON ------------------------------------------------------------------------------------ */

static void put_group_json(th_json *json, int kind, const th_pull_group *g) {
    th_json_object(json);
    th_json_text(json, "kind", th_pull_kind_name((th_pull_kind)kind));
    th_json_value(json, "tests", (double)g->count);
    th_json_value(json, "mean_kPa", g->mean * 1000);
    th_json_value(json, "lowest_kPa", g->lowest * 1000);
    th_json_value(json, "highest_kPa", g->highest * 1000);
    th_json_value(json, "log_deviation", g->log_deviation);
    th_json_value(json, "scatter", g->scatter);
    th_json_value(json, "k", g->k);
    th_json_value(json, "limit_kPa", g->limit * 1000);
    th_json_value(json, "short_hold", g->short_hold);
    th_json_value(json, "strength_kPa", g->strength * 1000);
    th_json_key(json, "failures");
    th_json_object(json);
    for (int i = 0; i < TH_PULLED_PLACES; i++) {
        th_json_value(json, th_pull_place_name((th_pull_place)i), (double)g->places[i]);
    }
    th_json_end(json);
    th_json_key(json, "outlier_line");
    if (g->outlier_line > 0) {
        th_json_number(json, g->outlier_line);
    } else {
        th_json_null(json);
    }
    th_json_end(json);
}

static void put_row_json(th_json *json, const th_pull_result *r, const char *id) {
    th_json_key(json, "row");
    if (r->like == NULL) {
        th_json_null(json);
        return;
    }
    th_json_object(json);
    th_json_text(json, "id", id);
    th_json_text(json, "like", r->like->head.id);
    th_json_text(json, "name", r->row.head.name);
    th_json_text(json, "source", r->row.head.source);
    th_json_text(json, "trust", th_trust_name((th_trust)r->row.head.trust));
    th_json_value(json, "shear_strength_kPa", r->row.shear_strength * 1000);
    th_json_value(json, "lift_strength_kPa", r->row.lift_strength * 1000);
    th_json_value(json, "shear_travel_mm", r->row.shear_travel);
    th_json_value(json, "lift_travel_mm", r->row.lift_travel);
    th_json_value(json, "backing_shear_kPa", r->row.backing_shear * 1000);
    th_json_value(json, "backing_lift_kPa", r->row.backing_lift * 1000);
    th_json_value(json, "spread", r->row.spread);
    th_json_end(json);
}

bool th_report_pull_json(const th_pull_result *result, const th_pull_names *names, th_text *text,
                         th_error *err) {
    th_json json = {.text = text};
    th_json_object(&json);
    th_json_text(&json, "tackhold", TH_VERSION);
    th_json_text(&json, "file", names->file);
    th_json_value(&json, "share", result->share);
    th_json_value(&json, "confidence", result->confidence);
    th_json_key(&json, "groups");
    th_json_array(&json);
    for (int kind = 0; kind < TH_PULL_KINDS; kind++) {
        if (result->groups[kind].count > 0) {
            put_group_json(&json, kind, &result->groups[kind]);
        }
    }
    th_json_end(&json);
    put_row_json(&json, result, names->id);
    th_json_text(&json, "written", names->path);
    th_json_lines(&json, "cautions", &result->cautions);
    th_json_lines(&json, "defaults", &result->defaults);
    th_json_end(&json);
    th_text_put(text, "\n");
    return !(json.failed || text->failed) || th_fail_memory(err);
}

/* ---- the row as text ------------------------------------------------------------------------- */

/* Comment lines of at most COMMENT_WIDTH columns, broken between words. */
static void put_comment(th_text *text, const char *words) {
    size_t column = 0;

    while (*words != '\0') {
        size_t n = strcspn(words, " ");
        if (column == 0 || column + 1 + n > COMMENT_WIDTH) {
            th_text_put(text, column == 0 ? "#" : "\n#");
            column = 1;
        }
        th_text_put(text, " ");
        th_text_put_n(text, words, n);
        column += n + 1;
        words += n;
        words += *words == ' ';
    }
    th_text_put(text, column == 0 ? "" : "\n");
}

static void put_key(th_text *text, const th_key *key, const th_tape *row) {
    const char *field = (const char *)row + key->offset;
    char number[80];

    if (key->form == TH_FORM_QUANTITY) {
        th_quantity_write(*(const double *)(const void *)field, (th_kind)key->kind, TH_MM, number,
                          sizeof number);
        th_text_add(text, "%s = %s\n", key->name, number);
        return;
    }
    th_text_add(text, "%s = ", key->name);
    th_key_print(key, row, TH_MM, text);
    th_text_put(text, "\n");
}

bool th_report_pull_row(const th_pull_result *result, const char *id, th_text *text,
                        th_error *err) {
    const th_key_group *group = th_key_group_of("tape", false);

    for (size_t i = 0; i < result->reasons.count; i++) {
        put_comment(text, result->reasons.items[i]);
    }
    th_text_add(text, "[%s]\n", id);
    for (size_t i = 0; i < group->count; i++) {
        put_key(text, &group->keys[i], &result->row);
    }
    return !text->failed || th_fail_memory(err);
}
