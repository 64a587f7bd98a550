/* tackhold new: a few plain questions, a commented job file, and a first check of it. */
#define _POSIX_C_SOURCE 200809L

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "ask.h"
#include "cli.h"

enum { ROWS_MAX = 200 };

/* What the questions gave, as text for the file. */
typedef struct {
    th_asker asker;
    const th_tables *tables;
    const th_ini *shop; /* the shop's defaults are the defaults of the questions */
    const char *title;
    const char *row[TH_TABLE_COUNT]; /* ids */
    const char *size[TH_LENGTHS_MAX];
    const char *sheet[TH_LENGTHS_MAX]; /* NULL where nothing is cut out of one */
    th_operation operation;
    const char *radial,
        *axial; /* NULL where the operation has none; axial is the depth or width too */
} interview;

/* ---- questions ------------------------------------------------------------------------------- */

/* What the shop's defaults say of a key, else `usual`. */
static const char *shop_or(const interview *in, const char *section, const char *key,
                           const char *usual) {
    for (size_t i = 0; i < in->shop->count; i++) {
        const th_entry *entry = &in->shop->items[i];
        if (strcmp(entry->section, section) == 0 && strcmp(entry->key, key) == 0) {
            return entry->value;
        }
    }
    return usual;
}

static bool ask_units(interview *in, th_error *err) {
    static const char *const ids[] = {"mm", "inch"};
    th_choice choice = {.ids = ids, .count = 2};
    choice.initial = strcmp(shop_or(in, "job", "units", "mm"), "inch") == 0;
    size_t position;
    if (!th_ask_choice(&in->asker, "Inch or metric?", &choice, &position, err)) {
        return false;
    }
    in->asker.units = position == 0 ? TH_MM : TH_INCH;
    return true;
}

/* Ask for a row of a table; `usual` is the default where it exists. */
static bool ask_row(interview *in, th_table table, const char *question, const char *usual,
                    th_error *err) {
    const char *ids[ROWS_MAX], *names[ROWS_MAX];
    th_choice choice = {.ids = ids, .names = names};
    size_t count = th_tables_count(in->tables, table);
    for (size_t i = 0; i < count && i < ROWS_MAX; i++) {
        const th_row_head *head = th_tables_row(in->tables, table, i);
        ids[i] = head->id;
        names[i] = head->name;
        choice.initial = strcmp(head->id, usual) == 0 ? i : choice.initial;
        choice.count = i + 1;
    }
    if (choice.count == 0) {
        return th_fail(err, TH_UNKNOWN_ROW, "the table of %ss is empty", th_table_name(table));
    }
    size_t position;
    if (!th_ask_choice(&in->asker, question, &choice, &position, err)) {
        return false;
    }
    in->row[table] = ids[position];
    return true;
}

/* A single-sided tape needs glue: asked again until there is one. */
static bool ask_glue(interview *in, const th_tape *tape, const char *usual, th_error *err) {
    for (;;) {
        if (!ask_row(in, TH_GLUES, "Which glue between the two tapes?", usual, err)) {
            return false;
        }
        if (tape == NULL || tape->sides != 1 || strcmp(in->row[TH_GLUES], "none") != 0) {
            return true;
        }
        th_fail(err, TH_CONTRADICTION,
                "a single-sided tape needs glue; without glue choose a double-sided tape");
        if (!in->asker.patient) {
            return false;
        }
        fprintf(stderr, "  %s\n", err->message);
    }
}

static bool ask_hold(interview *in, th_error *err) {
    if (!ask_row(in, TH_TAPES, "Which tape holds it?",
                 shop_or(in, "hold", "tape", "polyester-acrylic"), err)) {
        return false;
    }
    const th_tape *tape = th_tables_find(in->tables, TH_TAPES, in->row[TH_TAPES]);
    const char *glue = tape != NULL && tape->sides == 2 ? "none" : "ca-thin";
    if (tape != NULL && tape->sides == 2) {
        in->row[TH_GLUES] = "none"; /* it sticks to part and plate by itself */
    } else if (!ask_glue(in, tape, shop_or(in, "hold", "glue", glue), err)) {
        return false;
    }
    return ask_row(in, TH_COOLANTS, "How is it cooled?", shop_or(in, "hold", "cooling", "dry"),
                   err);
}

/* What a cutter of this kind can do. */
static bool suits(const th_cutter *cutter, th_operation operation) {
    switch ((th_cutter_kind)cutter->kind) {
    case TH_DRILL:
        return operation == TH_DRILLED;
    case TH_FACE:
        return operation == TH_FACING;
    case TH_CHAMFER:
    case TH_POINT:
        return operation == TH_ENGRAVE || operation == TH_CHAMFERING;
    case TH_FLAT:
    case TH_BALL:
    case TH_BULL:
        break;
    }
    return operation != TH_DRILLED && operation != TH_CHAMFERING && operation != TH_PUSH;
}

static bool ask_operation(interview *in, const th_cutter *cutter, th_error *err) {
    const char *ids[TH_PUSH + 1];
    th_operation operations[TH_PUSH + 1];
    th_choice choice = {.ids = ids};
    for (int i = TH_SLOT; i <= TH_PUSH; i++) {
        if (suits(cutter, (th_operation)i)) {
            operations[choice.count] = (th_operation)i;
            ids[choice.count++] = th_operation_name((th_operation)i);
        }
    }
    size_t position;
    if (!th_ask_choice(&in->asker,
                       choice.count == 1 ? "What is cut? (such a cutter does only this)"
                                         : "What is cut?",
                       &choice, &position, err)) {
        return false;
    }
    in->operation = operations[position];
    return true;
}

/* A length as a default: short, with its unit. */
static const char *length_text(const interview *in, double value) {
    char text[48];
    th_quantity_print(value, TH_LENGTH, in->asker.units, 3, text, sizeof text);
    return th_arena_print(in->asker.arena, "%s", text);
}

static double length_of(const interview *in, const char *text) {
    th_reading reading = {0};
    th_quantity_read(text, TH_LENGTH, in->asker.units, &reading, NULL);
    return reading.value;
}

static bool ask_engagement(interview *in, const th_cutter *cutter, th_error *err) {
    if (in->operation == TH_DRILLED) {
        return true;
    }
    double thickness = length_of(in, in->size[2]);
    double axial = fmin(cutter->diameter / 48, thickness / 4); /* light: what warm tape stands */
    /* a slot is as wide as its cutter, and so is the first lap round a part in a sheet */
    bool full = in->operation == TH_SLOT || in->operation == TH_OUTLINE;
    double radial = full ? cutter->diameter : cutter->diameter / 2;
    bool both =
        in->operation != TH_HOLE && in->operation != TH_ENGRAVE && in->operation != TH_CHAMFERING;
    const char *question = both ? "Radial x axial engagement (stepover x depth of cut)"
                           : in->operation == TH_CHAMFERING ? "Width of the chamfer"
                           : in->operation == TH_ENGRAVE    ? "Depth of the engraving"
                                                            : "Axial engagement (depth a turn)";
    const char *first = length_text(in, both ? radial : axial), *second = length_text(in, axial);
    const char *initial = both ? th_arena_print(in->asker.arena, "%s x %s", first, second) : first;
    const char *lengths[TH_LENGTHS_MAX];
    if (first == NULL || second == NULL || initial == NULL) {
        return th_fail_memory(err);
    }
    if (!th_ask_lengths(&in->asker, question, initial, both ? 2 : 1, lengths, err)) {
        return false;
    }
    in->radial = both ? lengths[0] : NULL;
    in->axial = lengths[both ? 1 : 0];
    return true;
}

/* By the range of the keys that they go to. */
static bool check_size(const interview *in, th_error *err) {
    static const char *const names[] = {"length", "width", "thickness"};
    const th_key_group *group = th_key_group_of("part", true);

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const th_key *key = group->keys;
        while (strcmp(key->name, names[i]) != 0) {
            key++;
        }
        if (length_of(in, in->size[i]) > key->greatest) {
            const char *most = length_text(in, key->greatest);
            return most == NULL ? th_fail_memory(err)
                                : th_fail(err, TH_BAD_RANGE, "%s %s: it must be at most %s",
                                          key->name, in->size[i], most);
        }
    }
    return true;
}

static bool ask_lengths_of_part(interview *in, th_error *err) {
    return th_ask_lengths(&in->asker, "Length x width x thickness of the part",
                          in->asker.units == TH_MM ? "100 mm x 60 mm x 3 mm"
                                                   : "4 in x 2.5 in x 1/8 in",
                          3, in->size, err);
}

static bool ask_size(interview *in, th_error *err) {
    while (ask_lengths_of_part(in, err)) {
        if (check_size(in, err)) {
            return true;
        }
        if (!in->asker.patient || err->code == TH_NO_MEMORY) {
            return false;
        }
        fprintf(stderr, "  %s\n", err->message);
    }
    return false;
}

/* Left round the part where nobody says how much. */
static double margin_of(const interview *in) {
    return in->asker.units == TH_MM ? 20 : 25.4;
}

/* What an outline is cut from: its frame has to hold too. */
static bool ask_sheet(interview *in, th_error *err) {
    const char *length, *width, *initial;

    in->sheet[0] = in->sheet[1] = NULL;
    if (in->operation != TH_OUTLINE) {
        return true;
    }
    length = length_text(in, length_of(in, in->size[0]) + 2 * margin_of(in));
    width = length_text(in, length_of(in, in->size[1]) + 2 * margin_of(in));
    initial = length == NULL || width == NULL
                  ? NULL
                  : th_arena_print(in->asker.arena, "%s x %s", length, width);
    if (initial == NULL) {
        return th_fail_memory(err);
    }
    return th_ask_lengths(&in->asker,
                          "Length x width of the sheet that it is cut from, the part in its middle",
                          initial, 2, in->sheet, err);
}

/* Cutter, operation and engagement: which of them is at fault shows only together. */
static bool ask_cut(interview *in, th_error *err) {
    if (!ask_row(in, TH_CUTTERS, "Which cutter?",
                 in->asker.units == TH_MM ? "flat-6mm-3" : "flat-1-4in-3", err)) {
        return false;
    }
    const th_cutter *cutter = th_tables_find(in->tables, TH_CUTTERS, in->row[TH_CUTTERS]);
    return ask_operation(in, cutter, err) && ask_engagement(in, cutter, err) && ask_sheet(in, err);
}

static bool ask_all(interview *in, th_error *err) {
    if (!ask_units(in, err) ||
        !ask_row(in, TH_STOCKS, "What is the part cut from?", "al-6061-t6", err) ||
        !ask_size(in, err) || !ask_hold(in, err) ||
        !ask_row(in, TH_MACHINES, "Which machine comes nearest?",
                 shop_or(in, "machine", "id", "bench-mill"), err)) {
        return false;
    }
    return ask_cut(in, err);
}

/* ---- the file -------------------------------------------------------------------------------- */

static void put_section(th_text *text, const char *group, const char *name) {
    const th_key_group *keys = th_key_group_of(group, true);
    th_text_add(text, "\n# %s\n[%s]\n", keys == NULL ? "" : keys->help, name);
}

/* "key = value" under the help of its key. */
static void put_key(th_text *text, const char *group, const char *name, const char *value) {
    const th_key_group *keys = th_key_group_of(group, true);
    for (size_t i = 0; keys != NULL && i < keys->count; i++) {
        if (strcmp(keys->keys[i].name, name) == 0) {
            th_text_add(text, "# %s\n", keys->keys[i].help);
        }
    }
    th_text_add(text, "%s = %s\n", name, value);
}

static void put_place(const interview *in, th_text *text) {
    const char *x = length_text(in, length_of(in, in->size[0]) / 2);
    const char *y = length_text(in, length_of(in, in->size[1]) / 2);
    const char *at = x == NULL || y == NULL ? NULL : th_arena_print(in->asker.arena, "%s,%s", x, y);
    put_key(text, "cut", "at", at == NULL ? "" : at);
    text->failed = text->failed || at == NULL;
}

/* What an operation needs beyond its engagement, laid out in the middle of the part. */
static void put_shape(const interview *in, const th_cutter *cutter, th_text *text) {
    const char *a = length_text(in, length_of(in, in->size[0]) / 2);
    const char *b = length_text(in, length_of(in, in->size[1]) / 2);
    const char *bore = length_text(in, 2 * cutter->diameter);
    if (a == NULL || b == NULL || bore == NULL) {
        text->failed = true;
        return;
    }
    if (in->operation == TH_POCKET || in->operation == TH_HOLE || in->operation == TH_DRILLED) {
        put_place(in, text);
    }
    if (in->operation == TH_POCKET) {
        const char *size = th_arena_print(in->asker.arena, "%s x %s", a, b);
        put_key(text, "cut", "size", size == NULL ? "" : size);
        put_key(text, "cut", "depth", in->axial);
    } else if (in->operation == TH_HOLE) {
        put_key(text, "cut", "size", bore);
    } else if (in->operation == TH_ENGRAVE) {
        put_key(text, "cut", "length", a);
    }
}

static void put_cut(const interview *in, th_text *text) {
    const th_cutter *cutter = th_tables_find(in->tables, TH_CUTTERS, in->row[TH_CUTTERS]);
    put_section(text, "cut", "cut.1");
    put_key(text, "cut", "operation", th_operation_name(in->operation));
    put_key(text, "cut", "cutter", "first");
    if (in->radial != NULL) {
        put_key(text, "cut", "radial", in->radial);
    }
    if (in->axial != NULL) {
        const char *key = in->operation == TH_ENGRAVE      ? "depth"
                          : in->operation == TH_CHAMFERING ? "width"
                                                           : "axial";
        put_key(text, "cut", key, in->axial);
    }
    put_shape(in, cutter, text);
}

/* The sheet that was asked for, and the part's corner in it. */
static void put_asked_sheet(const interview *in, th_text *text) {
    static const char *const sizes[] = {"sheet_length", "sheet_width"};
    static const char *const corners[] = {"sheet_x", "sheet_y"};

    for (int i = 0; i < 2; i++) {
        put_key(text, "part", sizes[i], in->sheet[i]);
    }
    for (int i = 0; i < 2; i++) {
        double left = length_of(in, in->sheet[i]) - length_of(in, in->size[i]);
        char corner[60];
        th_quantity_print(fmax(left / 2, 0), TH_LENGTH, in->asker.units, 5, corner, sizeof corner);
        put_key(text, "part", corners[i], corner);
    }
}

/* Most parts are cut out of something larger: the keys for it stand ready. */
static void put_sheet(const interview *in, th_text *text) {
    double margin = margin_of(in);
    const char *length = length_text(in, length_of(in, in->size[0]) + 2 * margin);
    const char *width = length_text(in, length_of(in, in->size[1]) + 2 * margin);
    const char *corner = length_text(in, margin);

    if (length == NULL || width == NULL || corner == NULL) {
        text->failed = true;
        return;
    }
    th_text_add(text,
                "# The stock is the part itself. If it is cut out of a larger sheet, take off the\n"
                "# four # below; give the sheet's size, and where in it the part's corner lies:\n"
                "#sheet_length = %s\n#sheet_width = %s\n#sheet_x = %s\n#sheet_y = %s\n",
                length, width, corner, corner);
}

static void put_job(const interview *in, const char *name, th_text *text) {
    th_text_add(text,
                "# A job for tackhold: will the part stay put?\n"
                "# Check it with: tackhold check %s\n"
                "# Every key there is: tackhold show job\n",
                name);
    put_section(text, "job", "job");
    put_key(text, "job", "title", in->title);
    put_key(text, "job", "units", in->asker.units == TH_MM ? "mm" : "inch");
    put_section(text, "part", "part");
    put_key(text, "part", "stock", in->row[TH_STOCKS]);
    put_key(text, "part", "length", in->size[0]);
    put_key(text, "part", "width", in->size[1]);
    put_key(text, "part", "thickness", in->size[2]);
    if (in->sheet[0] != NULL) {
        put_asked_sheet(in, text);
    } else {
        put_sheet(in, text);
    }
    put_section(text, "hold", "hold");
    put_key(text, "hold", "tape", in->row[TH_TAPES]);
    put_key(text, "hold", "glue", in->row[TH_GLUES]);
    put_key(text, "hold", "cooling", in->row[TH_COOLANTS]);
    put_key(text, "hold", "coverage", shop_or(in, "hold", "coverage", "0.95"));
    put_section(text, "machine", "machine");
    put_key(text, "machine", "id", in->row[TH_MACHINES]);
    put_section(text, "cutter", "cutter.first");
    put_key(text, "cutter", "id", in->row[TH_CUTTERS]);
    put_cut(in, text);
}

/* The file's stem, kept to letters that a value may hold. */
static const char *title_of(th_arena *arena, const char *path) {
    const char *slash = strrchr(path, '/');
    const char *stem = slash == NULL ? path : slash + 1;
    const char *dot = strrchr(stem, '.');
    size_t n = dot == NULL || dot == stem ? strlen(stem) : (size_t)(dot - stem);
    char *title = th_arena_copy(arena, stem, n);
    for (size_t i = 0; title != NULL && i < n; i++) {
        unsigned char c = (unsigned char)title[i];
        bool plain = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
        title[i] = plain || c == '-' || c == '_' || c == '.' ? title[i] : '-';
    }
    return title != NULL && n > 0 ? title : title == NULL ? NULL : "part";
}

/* ---- the verb -------------------------------------------------------------------------------- */

/* A job that could not be read back is refused before anything is written. */
static bool try_job(const th_text *file, const char *path, const th_tables *tables, th_error *err) {
    th_ini ini = {0};
    th_job *job = NULL;
    bool good = th_ini_scan(file->data, file->size, path, TH_FROM_JOB, &ini, err) &&
                th_job_build(ini.items, ini.count, tables, &job, err);
    th_job_free(job);
    th_ini_free(&ini);
    return good;
}

/* The question whose answer the job cannot take, by the section that the message begins with. */
static bool ask_again(interview *in, th_error *err) {
    char fault[sizeof err->message];

    snprintf(fault, sizeof fault, "%s", err->message);
    fprintf(stderr, "\n  %s\nAll other answers are kept; once more:\n", fault);
    if (strncmp(fault, "[part]", 6) == 0) {
        return ask_size(in, err) && ask_sheet(in, err);
    }
    return strncmp(fault, "[hold]", 6) == 0 ? ask_hold(in, err) : ask_cut(in, err);
}

/* Answers that make a job; where a person gives them, the one at fault is asked for again. */
static bool settle_job(interview *in, const char *path, th_text *file, th_error *err) {
    for (;;) {
        put_job(in, path, file);
        if (file->failed) {
            return th_fail_memory(err);
        }
        if (try_job(file, path, in->tables, err)) {
            return true;
        }
        if (!in->asker.patient || th_status_exit(err->code) != TH_EXIT_BAD_INPUT) {
            return false;
        }
        th_text_free(file);
        *file = (th_text){0};
        if (!ask_again(in, err)) {
            return false;
        }
    }
}

static bool make_file(interview *in, const char *path, bool replace, th_error *err) {
    if (!replace && access(path, F_OK) == 0) {
        return th_fail_at(err, TH_BAD_USAGE, path, 0, "exists already; --force replaces it");
    }
    in->title = title_of(in->asker.arena, path);
    if (in->title == NULL) {
        return th_fail_memory(err);
    }
    if (!ask_all(in, err)) {
        return false;
    }
    th_text file = {0};
    bool done =
        settle_job(in, path, &file, err) && th_file_write(path, file.data, file.size, replace, err);
    th_text_free(&file);
    return done;
}

static int new_job(const void *input) {
    const th_options *options = input;
    const char *path = options->word_count == 0 ? "part.ini" : options->words[0];
    th_arena arena = {0};
    th_tables *tables = NULL;
    th_text text = {0};
    th_error err = {0};
    int code;
    th_ini shop = {0};
    interview in = {.asker = {&arena, isatty(STDIN_FILENO) == 1, TH_MM}, .shop = &shop};
    if (!th_options_tables(options, &tables, &err) ||
        (!options->no_shop && !th_shop_read(&shop, &err))) {
        code = th_status_exit(err.code);
    } else {
        in.tables = tables;
        if (!make_file(&in, path, options->force, &err)) {
            code = th_status_exit(err.code);
        } else {
            th_text_add(&text, "wrote %s\n%s\n", path,
                        in.sheet[0] != NULL ? ""
                                            : "The stock is the part itself; [part] says how to "
                                              "cut it out of a larger sheet.\n");
            code = th_check_report(path, options, &text, &err);
        }
    }
    th_tables_free(tables);
    th_ini_free(&shop);
    th_arena_free(&arena);
    if (code == TH_EXIT_BAD_INPUT || code == TH_EXIT_FAILED) {
        th_text_free(&text);
        return th_cli_fail(&err);
    }
    return th_cli_output(&text, code);
}

int th_verb_new(int argc, char **argv) {
    static const struct argp_option own[] = {
        {"force", TH_OPTION_FORCE, NULL, 0, "Replace a file that exists", 0},
        {0},
    };
    static const th_cli_verb verb = {
        .own = own,
        .words_most = 1,
        .run = new_job,
        .args_doc = "[FILE]",
        .doc = "Ask a few questions, write a job file with comments (part.ini unless FILE is "
               "given) and check it. An empty answer takes the default in brackets.\v"
               "Example: tackhold new bracket.ini",
    };
    th_options options = {0};
    return th_cli_run(&verb, argc, argv, &options);
}
