/* page.c - one question of the page after another, answered by the core. */
#include "page.h"

#include <stdlib.h>
#include <string.h>

#include "tackhold/files.h"
#include "tackhold/report.h"

typedef struct th_page_drawing {
    struct th_page_drawing *next;
    char *name, *text, *events;
    size_t size;
} drawing;

/* As the command line's exit codes. */
enum { PAGE_DONE, PAGE_NOT_HELD, PAGE_BAD_INPUT, PAGE_FAILED };

typedef struct {
    const char *what, *job;
    size_t size;
    const char *settings;
    bool thin; /* pictures for a phone */
} question;

struct th_page {
    th_tables *tables;
    drawing *drawings;
    th_work
        *work; /* of judgements so far: a change of depth or feed costs little; NULL costs time */
    th_text answer;
};

/* The one page there is while a drawing is read: the parser that stands in for expat is given a
 * text and nothing else. */
static const th_page *drawing_from;

th_page *th_page_new(void) {
    th_page *page = calloc(1, sizeof *page);

    if (page != NULL) {
        page->tables = th_tables_new();
    }
    if (page != NULL && page->tables == NULL) {
        free(page);
        page = NULL;
    }
    if (page != NULL) {
        page->work = th_work_new();
    }
    return page;
}

static void free_drawing(drawing *old) {
    if (old != NULL) {
        free(old->name);
        free(old->text);
        free(old->events);
        free(old);
    }
}

void th_page_free(th_page *page) {
    if (page == NULL) {
        return;
    }
    while (page->drawings != NULL) {
        drawing *next = page->drawings->next;
        free_drawing(page->drawings);
        page->drawings = next;
    }
    th_tables_free(page->tables);
    th_work_free(page->work);
    th_text_free(&page->answer);
    free(page);
}

void *th_page_take(size_t bytes) {
    return malloc(bytes > 0 ? bytes : 1);
}

void th_page_give_back(void *memory) {
    free(memory);
}

const char *th_page_answer(const th_page *page) {
    return page->answer.data == NULL ? "" : page->answer.data;
}

size_t th_page_answer_size(const th_page *page) {
    return page->answer.size;
}

/* ---- answers --------------------------------------------------------------------------------- */

static int refuse(th_page *page, const th_error *err) {
    th_json json = {.text = &page->answer};

    th_text_free(&page->answer);
    th_json_object(&json);
    th_json_text(&json, "file", err->file);
    th_json_value(&json, "line", err->line);
    th_json_text(&json, "message", err->message);
    th_json_end(&json);
    return th_status_exit(err->code);
}

/* ---- tables and drawings --------------------------------------------------------------------- */

int th_page_table(th_page *page, int table, const char *text, size_t size, int own) {
    th_ini ini = {.items = NULL};
    th_error err = {.code = TH_BAD_USAGE};
    char name[32] = "";
    bool known = table >= 0 && table < TH_TABLE_COUNT;

    if (known) {
        th_print(name, sizeof name, "%s.ini", th_table_name((th_table)table));
    }
    bool done = known && th_ini_scan(text, size, name, TH_FROM_TABLE, &ini, &err);
    for (size_t i = 0; done && own != 0 && i < ini.count; i++) {
        ini.items[i].origin = TH_FROM_SHOP;
    }
    done = done && th_tables_add(page->tables, (th_table)table, ini.items, ini.count, &err);
    th_ini_free(&ini);
    return done ? PAGE_DONE : refuse(page, &err);
}

static char *copy(const char *text, size_t size) {
    char *fresh = malloc(size + 1);

    if (fresh != NULL) {
        memcpy(fresh, text, size);
        fresh[size] = '\0';
    }
    return fresh;
}

static drawing *find_drawing(const th_page *page, const char *name) {
    drawing *found = page->drawings;

    while (found != NULL && strcmp(found->name, name) != 0) {
        found = found->next;
    }
    return found;
}

/* An empty drawing of that name, hung into the page. */
static drawing *new_drawing(th_page *page, const char *name) {
    drawing *fresh = calloc(1, sizeof *fresh);

    if (fresh == NULL || (fresh->name = copy(name, strlen(name))) == NULL) {
        free(fresh);
        return NULL;
    }
    fresh->next = page->drawings;
    page->drawings = fresh;
    return fresh;
}

int th_page_file(th_page *page, const char *name, const char *text, size_t size,
                 const char *events) {
    drawing *place = find_drawing(page, name);
    char *new_text = copy(text, size), *new_events = copy(events, strlen(events));

    if (place == NULL && new_text != NULL && new_events != NULL) { /* none is hung in empty */
        place = new_drawing(page, name);
    }
    if (place == NULL || new_text == NULL || new_events == NULL) {
        th_error err;
        free(new_text);
        free(new_events);
        th_fail_memory(&err);
        return refuse(page, &err);
    }
    free(place->text);
    free(place->events);
    place->text = new_text;
    place->events = new_events;
    place->size = size;
    return PAGE_DONE;
}

const char *th_page_events(const char *text) {
    const drawing *found = drawing_from == NULL ? NULL : drawing_from->drawings;

    while (found != NULL && found->text != text) {
        found = found->next;
    }
    return found == NULL ? NULL : found->events;
}

static bool read_drawing(void *context, const th_entry *entry, th_outline *outline, th_error *err) {
    const th_page *page = context;
    const drawing *found = find_drawing(page, entry->value);

    if (found == NULL) {
        return th_fail_at(err, TH_BAD_FILE, entry->file, entry->line,
                          "[%s] %s = %.100s: open that file too, an SVG or a DXF", entry->section,
                          entry->key, entry->value);
    }
    drawing_from = page;
    bool done = th_outline_scan(found->text, found->size, found->name, outline, err);
    drawing_from = NULL;
    return done;
}

/* ---- jobs ------------------------------------------------------------------------------------ */

/* A job with what it stands on. */
typedef struct {
    th_job *job;
    th_outline part, taped;
    th_check_options how;
    bool thin; /* pictures for a phone */
} opened;

enum { MOST_SETTINGS = 64 };

/* Cut settings at their line ends. */
static size_t split(char *lines, const char **settings) {
    size_t count = 0;

    for (char *line = lines; line != NULL && *line != '\0' && count < MOST_SETTINGS;) {
        char *end = strchr(line, '\n');
        settings[count++] = line;
        if (end != NULL) {
            *end = '\0';
        }
        line = end == NULL ? NULL : end + 1;
    }
    return count;
}

static bool open_job(th_page *page, const question *asked, opened *it, th_error *err) {
    const char *settings[MOST_SETTINGS];
    char *lines = copy(asked->settings, strlen(asked->settings));
    th_drawings drawings = {read_drawing, page};

    *it = (opened){.how = {.outline = &it->part, .taped = &it->taped, .work = page->work},
                   .thin = asked->thin};
    bool done = lines != NULL || th_fail_memory(err);
    done = done &&
           th_job_scan(asked->job, asked->size, "job", NULL, settings, split(lines, settings),
                       page->tables, &it->job, err) &&
           th_job_outlines_take(it->job, &drawings, &it->part, &it->taped, err);
    free(lines);
    return done;
}

static void close_job(opened *it) {
    th_outline_free(&it->part);
    th_outline_free(&it->taped);
    th_job_free(it->job);
}

/* ---- questions about a job ------------------------------------------------------------------- */

/* A field that holds a document. */
static bool put_doc(const char *name, const th_doc *doc, bool built, th_text *text, th_error *err) {
    th_text_add(text, ", \"%s\": ", name);
    return built && th_doc_json(doc, text, err);
}

static bool put_report(const opened *it, const th_check *check, const char *name, bool all,
                       th_text *text, th_error *err) {
    th_doc doc = {.screen = true};
    bool done = put_doc(name, &doc, th_report_check(it->job, check, all, &doc, err), text, err);

    th_doc_free(&doc);
    return done;
}

/* A field that holds a picture, a page or any text that was made; it is freed. */
static bool put_text(const char *name, th_text *made, bool done, th_text *text) {
    th_json json = {.text = text, .after_key = true};

    th_text_add(text, ", \"%s\": ", name);
    if (done) {
        th_json_string(&json, made->data);
    }
    th_text_free(made);
    return done;
}

static bool put_part(const opened *it, const th_check *check, const th_map *map, th_text *text,
                     th_error *err) {
    th_text part = {0};
    bool done = map->state_count == 0 || (it->thin ? th_picture_part_thin : th_picture_part)(
                                             it->job, check, map, &part, err);

    return put_text("part", &part, done, text);
}

static bool put_pictures(const opened *it, const th_check_options *how, th_check *check,
                         th_text *text, th_error *err) {
    th_map map = {.arena = {NULL}};
    th_text stack = {0}, heat = {0};
    bool done =
        th_map_run(it->job, how, check, &map, err) && put_part(it, check, &map, text, err) &&
        put_text("stack", &stack,
                 (it->thin ? th_picture_stack_thin : th_picture_stack)(it->job, check, &stack, err),
                 text) &&
        put_text("heat", &heat,
                 (it->thin ? th_picture_heat_thin : th_picture_heat)(it->job, check, &heat, err),
                 text);

    th_map_free(&map);
    return done;
}

/* A hold factor as people are told it, rounded down and never across a limit. */
static void put_factor(const th_check *check, double factor, th_text *text) {
    char printed[48];

    th_hold_factor_print(factor, check->asked_factor, printed, sizeof printed);
    th_text_add(text, "\"%s\"", printed);
}

/* How far the part sways with each that lets it sway too far; "" of the others. */
static void put_sways(const th_check *check, th_units units, th_text *text) {
    th_text_put(text, "], \"sways\": [");
    for (size_t i = 0; i < check->turn_down_count; i++) {
        const th_turn_down *turn = &check->turn_downs[i];
        char printed[48] = "";
        if (turn->sways) {
            th_quantity_print(turn->sway, TH_LENGTH, units, 2, printed, sizeof printed);
        }
        th_text_add(text, "%s\"%s\"", i == 0 ? "" : ", ", printed);
    }
}

static void put_said(const th_check *check, th_units units, th_text *text) {
    th_text_put(text, ", \"said\": {\"hold_factor\": ");
    put_factor(check, check->hold_factor, text);
    th_text_put(text, ", \"asked_factor\": ");
    put_factor(check, check->asked_factor, text);
    th_text_put(text, ", \"turn_downs\": [");
    for (size_t i = 0; i < check->turn_down_count; i++) {
        th_text_put(text, i == 0 ? "" : ", ");
        put_factor(check, check->turn_downs[i].hold_factor, text);
    }
    put_sways(check, units, text);
    th_text_put(text, "]}");
}

static bool put_check(const opened *it, const th_check_options *how, th_check *check, th_text *text,
                      th_error *err) {
    th_text_put(text, "{\"check\": ");
    bool done = th_report_check_json(it->job, check, text, err) &&
                (how->rigid || (put_report(it, check, "brief", false, text, err) &&
                                put_report(it, check, "full", true, text, err) &&
                                put_pictures(it, how, check, text, err)));
    put_said(check, (th_units)it->job->head.units, text);
    th_text_put(text, "}");
    return done;
}

/* Whether that is the first word of a question. */
static bool asks(const char *what, const char *verb) {
    size_t length = strcspn(what, " ");

    return strlen(verb) == length && memcmp(what, verb, length) == 0;
}

static int ask_check(const opened *it, const char *what, th_text *text, th_error *err) {
    th_check check = {0};
    th_check_options how = it->how;
    int code = PAGE_DONE;

    how.rigid = asks(what, "rigid");
    how.turn_downs = !how.rigid && !asks(what, "verdict");
    if (!th_check_run(it->job, &how, &check, err) || !put_check(it, &how, &check, text, err)) {
        code = th_status_exit(err->code);
    } else if (check.verdict != TH_HOLDS) {
        code = PAGE_NOT_HELD;
    }
    th_check_free(&check);
    return code;
}

static bool put_limits_picture(const opened *it, const th_limits *limits, th_text *text,
                               th_error *err) {
    th_check check = {0};
    th_text picture = {0};
    bool done = it->thin ? th_picture_limits_thin(it->job, limits, &picture, err)
                         : th_picture_limits(it->job, &check, limits, &picture, err);

    return put_text("picture", &picture, done, text);
}

static bool ask_limits(const opened *it, th_text *text, th_error *err) {
    th_limits limits = {.cuts = NULL};
    th_doc doc = {.screen = true};

    th_text_put(text, "{\"limits\": ");
    bool done = th_limits_run(it->job, &it->how, NULL, &limits, err) &&
                th_report_limits_json(it->job, &limits, text, err) &&
                put_doc("report", &doc, th_report_limits(it->job, &limits, &doc, err), text, err) &&
                put_limits_picture(it, &limits, text, err);
    th_text_put(text, "}");
    th_doc_free(&doc);
    th_limits_free(&limits);
    return done;
}

static bool ask_card(const opened *it, th_text *text, th_error *err) {
    th_check_options how = it->how;
    th_check check = {0};
    th_limits limits = {.cuts = NULL};
    th_map map = {.arena = {NULL}};
    th_text html = {0};

    how.turn_downs = true;
    bool done =
        th_check_run(it->job, &how, &check, err) && th_map_run(it->job, &how, &check, &map, err);
    const th_cut *cut = done ? th_limits_worth(&check) : NULL;
    done = done && (cut == NULL || th_limits_sketch(it->job, &how, cut, &limits, err));
    const th_card card = {it->job, &check, &limits, map.state_count > 0 ? &map : NULL, true};
    done = done && th_report_card(&card, &html, err);
    th_text_put(text, "{\"made\": true");
    done = put_text("html", &html, done, text);
    th_text_put(text, "}");
    th_map_free(&map);
    th_limits_free(&limits);
    th_check_free(&check);
    return done;
}

static bool ask_tape(const opened *it, th_text *text, th_error *err) {
    th_hold_choices choices = {.items = NULL};
    th_doc doc = {.screen = true};

    th_text_put(text, "{\"tape\": ");
    bool done =
        th_hold_choices_find(it->job, &it->how, TH_EVERY_TAPE, &choices, err) &&
        th_report_choices_json(it->job, &choices, text, err) &&
        put_doc("report", &doc, th_report_choices(it->job, &choices, true, &doc, err), text, err);
    th_text_put(text, "}");
    th_doc_free(&doc);
    th_hold_choices_free(&choices);
    return done;
}

static int ask_about(th_page *page, const question *asked, th_error *err) {
    opened it;
    int code;

    if (!open_job(page, asked, &it, err)) {
        code = th_status_exit(err->code);
    } else if (asks(asked->what, "limits")) {
        code = ask_limits(&it, &page->answer, err) ? PAGE_DONE : th_status_exit(err->code);
    } else if (asks(asked->what, "tape")) {
        code = ask_tape(&it, &page->answer, err) ? PAGE_DONE : th_status_exit(err->code);
    } else if (asks(asked->what, "card")) {
        code = ask_card(&it, &page->answer, err) ? PAGE_DONE : th_status_exit(err->code);
    } else {
        code = ask_check(&it, asked->what, &page->answer, err);
    }
    close_job(&it);
    return code;
}

/* ---- questions about tables and values ------------------------------------------------------- */

static bool table_named(const char *name, th_table *table, th_error *err) {
    int found = th_table_of(name);

    *table = (th_table)found;
    return found >= 0 || th_fail(err, TH_BAD_USAGE, "no such table: %.40s", name);
}

/* The next word, cut off where it ends; "" where there is none. */
static char *next_word(char **rest) {
    char *word = *rest + strspn(*rest, " ");
    size_t length = strcspn(word, " ");

    *rest = word + length;
    if (**rest != '\0') {
        *(*rest)++ = '\0';
    }
    return word;
}

/* No figure of a job is known to more digits. */
enum { MOST_DIGITS = 10, FRACTION_DIGITS = 5 };

typedef struct {
    const th_key *key;
    th_units from, to;
    int digits;  /* that must come back at least */
    bool single; /* a value by itself; else one of a list of lengths */
} conversion;

/* Significant digits of a number as it was typed; of a fraction those of the finest usual one. */
static int digits_of(const char *text) {
    int digits = 0, zeros = 0;
    bool point = false;

    for (; *text != '\0' && *text != ' '; text++) {
        if (*text == '/') {
            return FRACTION_DIGITS;
        }
        point = point || *text == '.';
        if (*text == '0') {
            zeros +=
                digits > 0 ? 1 : 0; /* leading ones say nothing, trailing ones of 100 neither */
        } else if (*text > '0' && *text <= '9') {
            digits += zeros + 1;
            zeros = 0;
        }
    }
    digits += point ? zeros : 0;
    return digits < 1 ? 1 : digits > MOST_DIGITS ? MOST_DIGITS : digits;
}

/* A value in units, without the unit where `bare`. */
static void print_value(double value, const conversion *c, th_units units, int digits, bool bare,
                        char printed[80]) {
    if (c->single) {
        th_quantity_print(value, (th_kind)c->key->kind, units, digits, printed, 80);
        if (bare) {
            printed[strcspn(printed, " ")] = '\0';
        }
    } else {
        th_number_print(value / (units == TH_INCH ? 25.4 : 1), digits, printed, 80);
    }
}

/* One value in the other units; bare where it was, and as it stands where it is none. It gets as
 * few digits as bring back what was typed, and as many digits of it as are asked. */
static void put_converted(const char *text, const conversion *c, th_text *answer) {
    th_kind kind = (th_kind)c->key->kind;
    th_reading reading, named, back;
    th_error err;
    char printed[80], was[80], again[80];
    int typed = digits_of(text), exact = typed > c->digits ? typed : c->digits;

    if (!th_quantity_read(text, kind, c->from, &reading, &err) || reading.per_rev) {
        th_text_put(answer, text);
        return;
    }
    bool bare = !c->single || !th_quantity_read(text, kind, TH_UNITS_NAMED, &named, &err);
    print_value(reading.value, c, c->from, exact, true, was);
    for (int digits = 1; digits <= MOST_DIGITS; digits++) {
        print_value(reading.value, c, c->to, digits, bare, printed);
        if (th_quantity_read(printed, kind, c->to, &back, &err)) {
            print_value(back.value, c, c->from, exact, true, again);
            if (strcmp(was, again) == 0) {
                break;
            }
        }
    }
    th_text_put(answer, printed);
}

/* Piece by piece where it is a list. */
static void put_all_converted(char *text, const conversion *c, th_text *answer) {
    while (*text != '\0') {
        size_t length = c->single ? strlen(text) : strcspn(text, " ,x");
        char after = text[length];

        text[length] = '\0';
        if (length > 0) {
            put_converted(text, c, answer);
        }
        text += length;
        if (after != '\0') {
            th_text_put_n(answer, &after, 1);
            text++;
        }
    }
}

static const th_key *key_named(const char *section, const char *name) {
    const th_key_group *group = th_key_group_of(section, true);

    for (size_t i = 0; group != NULL && i < group->count; i++) {
        if (strcmp(group->keys[i].name, name) == 0) {
            return &group->keys[i];
        }
    }
    return NULL;
}

/* "DIGITS SECTION KEY mm|inch TEXT" */
static bool convert(char *words, th_text *answer, th_error *err) {
    int digits = atoi(next_word(&words));
    char *section = next_word(&words), *name = next_word(&words);
    th_units from = strcmp(next_word(&words), "inch") == 0 ? TH_INCH : TH_MM;
    const th_key *key = key_named(section, name);

    if (key == NULL) {
        return th_fail(err, TH_BAD_KEY, "no such key: %.40s.%.40s", section, name);
    }
    bool lengths = key->kind == TH_LENGTH || key->kind == TH_FEED || key->kind == TH_CHIP_LOAD;
    if (!lengths || key->form == TH_FORM_ROW || key->form == TH_FORM_TEXT ||
        key->form == TH_FORM_WORD || key->form == TH_FORM_FLAGS ||
        key->form == TH_FORM_COUNT_LENGTH) {
        th_text_put(answer, words);
    } else {
        conversion c = {key, from, from == TH_INCH ? TH_MM : TH_INCH,
                        digits < 1             ? 1
                        : digits > MOST_DIGITS ? MOST_DIGITS
                                               : digits,
                        key->form == TH_FORM_QUANTITY || key->form == TH_FORM_CHIP};
        put_all_converted(words, &c, answer);
    }
    return true;
}

/* "ID mm|inch": one row for people, in their units. */
static bool put_row(th_page *page, th_table table, char *words, th_error *err) {
    th_doc doc = {.screen = true};
    char *id = next_word(&words);
    th_units units = strcmp(next_word(&words), "inch") == 0 ? TH_INCH : TH_MM;
    bool done = th_report_show(page->tables, table, id, units, &doc, err) &&
                th_doc_json(&doc, &page->answer, err);

    th_doc_free(&doc);
    return done;
}

/* Digits of inch figures in a row to begin from: few, unless it would not be taken with so few. */
static const int row_digits[] = {5, 6, 7, 10};

/* The keys of a row but its name, its source and its trust, as a table's file has them. */
static void put_keys(const th_key_group *group, const void *row, bool absent, th_units units,
                     int digits, th_text *text) {
    for (size_t i = 0; i < group->count; i++) {
        const th_key *key = &group->keys[i];
        bool number = key->form == TH_FORM_QUANTITY || key->form == TH_FORM_COUNT;
        bool rounded = key->form == TH_FORM_QUANTITY && units == TH_INCH;
        char printed[80] = "";
        th_text value = {0};

        if (rounded) {
            th_quantity_print(*(const double *)(const void *)((const char *)row + key->offset),
                              (th_kind)key->kind, units, digits, printed, sizeof printed);
        }
        th_key_print(key, row, units, &value);
        bool told = value.data != NULL && value.data[0] != '\0' && !(absent && number) &&
                    strcmp(key->name, "name") != 0 && strcmp(key->name, "source") != 0 &&
                    strcmp(key->name, "trust") != 0;
        if (told) {
            th_text_add(text, "%s = %s\n", key->name, rounded ? printed : value.data);
        }
        text->failed = text->failed || value.failed;
        th_text_free(&value);
    }
}

/* Whether the core takes a row of these keys. */
static bool is_taken(th_table table, const char *keys) {
    static const char head[] = "[a]\nname = a\nsource = a\ntrust = estimate\n";
    th_text text = {0};
    th_ini ini = {.items = NULL};
    th_tables *alone = th_tables_new();
    th_error err;

    th_text_add(&text, "%s%s", head, keys == NULL ? "" : keys);
    bool done = alone != NULL && !text.failed &&
                th_ini_scan(text.data, text.size, "a.ini", TH_FROM_TABLE, &ini, &err) &&
                th_tables_add(alone, table, ini.items, ini.count, &err);
    th_ini_free(&ini);
    th_tables_free(alone);
    th_text_free(&text);
    return done;
}

/* "ID mm|inch": one row as text to begin one's own from, in the units of the job. Limits that
 * figures of a row set each other, rounding may just break: then with more digits. */
static bool put_row_text(th_page *page, th_table table, char *words, th_error *err) {
    char *id = next_word(&words);
    th_units units = strcmp(next_word(&words), "inch") == 0 ? TH_INCH : TH_MM;
    const void *row = th_tables_find(page->tables, table, id);

    if (row == NULL) {
        return th_fail(err, TH_UNKNOWN_ROW, "no such row: %.60s", id);
    }
    const th_key_group *group = th_key_group_of(th_table_name(table), false);
    bool absent = table == TH_GLUES && ((const th_glue *)row)->absent;
    for (size_t i = 0; i < sizeof row_digits / sizeof *row_digits; i++) {
        th_text_free(&page->answer);
        put_keys(group, row, absent, units, row_digits[i], &page->answer);
        if (is_taken(table, page->answer.data)) {
            break;
        }
    }
    return !page->answer.failed || th_fail_memory(err);
}

/* "NAME": whether it can be drawn, and how large it is. */
static bool judge_drawing(th_page *page, const char *name, th_error *err) {
    const drawing *found = find_drawing(page, name);
    th_outline outline = {.arena = {NULL}};
    th_json json = {.text = &page->answer};

    if (found == NULL) {
        return th_fail(err, TH_BAD_USAGE, "no such drawing: %.100s", name);
    }
    drawing_from = page;
    bool done = th_outline_scan(found->text, found->size, found->name, &outline, err);
    drawing_from = NULL;
    if (done) {
        th_json_object(&json);
        th_json_value(&json, "length", outline.length);
        th_json_value(&json, "width", outline.width);
        th_json_end(&json);
    }
    th_outline_free(&outline);
    return done;
}

static bool ask_plain(th_page *page, char *words, th_error *err) {
    char *verb = next_word(&words);
    th_table table;

    if (strcmp(verb, "keys") == 0) {
        return th_report_keys_json(next_word(&words), &page->answer, err);
    }
    if (strcmp(verb, "list") == 0) {
        return table_named(next_word(&words), &table, err) &&
               th_report_list_json(page->tables, table, &page->answer, err);
    }
    if (strcmp(verb, "show") == 0) {
        return table_named(next_word(&words), &table, err) &&
               th_report_show_json(page->tables, table, next_word(&words), &page->answer, err);
    }
    if (strcmp(verb, "row") == 0) {
        return table_named(next_word(&words), &table, err) && put_row(page, table, words, err);
    }
    if (strcmp(verb, "text") == 0) {
        return table_named(next_word(&words), &table, err) && put_row_text(page, table, words, err);
    }
    if (strcmp(verb, "drawing") == 0) {
        return judge_drawing(page, words, err);
    }
    if (strcmp(verb, "convert") == 0) {
        return convert(words, &page->answer, err);
    }
    return th_fail(err, TH_BAD_USAGE, "no such question: %.40s", verb);
}

static int ask_of_tables(th_page *page, const char *what, th_error *err) {
    char *words = copy(what, strlen(what));
    bool done = words != NULL ? ask_plain(page, words, err) : th_fail_memory(err);

    free(words);
    return done ? PAGE_DONE : th_status_exit(err->code);
}

/* ---- asking ---------------------------------------------------------------------------------- */

static bool about_job(const char *what) {
    static const char *const verbs[] = {"rigid", "verdict", "check", "limits", "tape", "card"};

    for (size_t i = 0; i < sizeof verbs / sizeof verbs[0]; i++) {
        if (asks(what, verbs[i])) {
            return true;
        }
    }
    return false;
}

int th_page_ask(th_page *page, const char *what, const char *job, size_t size,
                const char *settings) {
    th_error err = {.code = TH_OK};
    question asked = {what, job, size, settings, strstr(what, " thin") != NULL};

    th_text_free(&page->answer);
    int code = about_job(what) ? ask_about(page, &asked, &err) : ask_of_tables(page, what, &err);
    if (page->answer.failed && code < PAGE_BAD_INPUT) {
        th_fail_memory(&err);
        code = PAGE_FAILED;
    }
    return code < PAGE_BAD_INPUT ? code : refuse(page, &err);
}
