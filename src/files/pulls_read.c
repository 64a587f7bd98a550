/* pulls_read.c - pull tests from a table with columns parted by commas, semicolons or tabs. */
#include "scan.h"
#include "slurp.h"
#include "tackhold/files.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CELLS_MAX = 32, CELL_MAX = 200, ROWS_MAX = TH_PULL_KINDS * TH_PULLS_MAX };

typedef enum {
    COLUMN_AREA,
    COLUMN_LENGTH,
    COLUMN_WIDTH,
    COLUMN_FORCE,
    COLUMN_KIND,
    COLUMN_FAILURE,
    COLUMN_TEMPERATURE,
    COLUMN_COOLING,
    COLUMN_HOLD,
    COLUMN_DATE,
    COLUMN_NOTE,
    COLUMNS
} column;

static const struct {
    const char *name;
    int quantity; /* th_kind, -1 for words */
    const char *example;
    double least, greatest;
    const char *bounds;
} columns[COLUMNS] = {
    [COLUMN_AREA] = {"area", TH_AREA, "625 mm2", 1, 1e6, "1 mm2 to 1 m2"},
    [COLUMN_LENGTH] = {"length", TH_LENGTH, "25 mm", 1, 1000, "1 mm to 1 m"},
    [COLUMN_WIDTH] = {"width", TH_LENGTH, "25 mm", 1, 1000, "1 mm to 1 m"},
    [COLUMN_FORCE] = {"force", TH_FORCE, "120 N", 0.01, 1e6, "0.01 N to 1000 kN"},
    [COLUMN_KIND] = {"kind", -1, "shear", 0, 0, ""},
    [COLUMN_FAILURE] = {"failure", -1, "part-tape", 0, 0, ""},
    [COLUMN_TEMPERATURE] = {"temperature", TH_TEMPERATURE, "23 C", -50, 300, "-50 C to 300 C"},
    [COLUMN_COOLING] = {"cooling", -1, "dry", 0, 0, ""},
    [COLUMN_HOLD] = {"hold", TH_TIME, "3 s", 0.1, 1e6, "0.1 s to 1000000 s"},
    [COLUMN_DATE] = {"date", -1, "2026-01-31", 0, 0, ""},
    [COLUMN_NOTE] = {"note", -1, "", 0, 0, ""},
};

/* Other names that people give to columns. */
static const struct {
    const char *name;
    int column;
} also[] = {{"direction", COLUMN_KIND}, {"failed", COLUMN_FAILURE}, {"failed at", COLUMN_FAILURE},
            {"hold time", COLUMN_HOLD}, {"held", COLUMN_HOLD},      {"notes", COLUMN_NOTE}};

typedef struct {
    char text[CELL_MAX];
} cell;

typedef struct {
    const char *name; /* of the file */
    const char *p, *end;
    int line;
    char separator; /* 0 until the head was seen */
    cell cells[CELLS_MAX];
    size_t count;           /* cells of the line read last */
    int column[CELLS_MAX];  /* what stands in each */
    cell unit[CELLS_MAX];   /* named in the head, "" none */
    size_t width;           /* columns of the head */
    int place_of[COLUMNS];  /* cell of a column, -1 */
    const char *separators; /* for the message: what parts the cells */
} reader;

static bool fault(const reader *r, th_error *err, th_status code, const char *message) {
    return th_fail_at(err, code, r->name, r->line, "%s", message);
}

/* ---- lines and cells --------------------------------------------------------------------------
 */

/* The next line without its end; carriage returns only before a line feed. False at the end. */
static bool next_line(reader *r, const char **from, const char **to) {
    if (r->p >= r->end) {
        return false;
    }
    const char *feed = memchr(r->p, '\n', (size_t)(r->end - r->p));
    *from = r->p;
    *to = feed ? feed : r->end;
    r->p = feed ? feed + 1 : r->end;
    r->line++;
    if (*to > *from && (*to)[-1] == '\r') {
        (*to)--;
    }
    return true;
}

static bool check_bytes(const reader *r, const char *from, const char *to, th_error *err) {
    for (; from < to; from++) {
        unsigned char c = (unsigned char)*from;
        if ((c < 32 && c != '\t') || c == 127) {
            return th_fail_at(err, TH_BAD_SYNTAX, r->name, r->line,
                              "a control character (byte %u); save the table as text: CSV, UTF-8",
                              c);
        }
    }
    return true;
}

static const char *skip_blanks(const reader *r, const char *p, const char *to) {
    while (p < to && (*p == ' ' || (*p == '\t' && r->separator != '\t'))) {
        p++;
    }
    return p;
}

/* A cell in quotes, which a doubled quote stands for itself in; p is behind the first one. */
static bool quoted_cell(reader *r, const char **p, const char *to, cell *out, th_error *err) {
    size_t n = 0;

    for (;; (*p)++) {
        if (*p == to) {
            return fault(r, err, TH_BAD_SYNTAX, "a quote is opened and not closed in this line");
        }
        if (**p == '"' && (*p + 1 == to || (*p)[1] != '"')) {
            break;
        }
        *p += **p == '"';
        if (n + 1 == CELL_MAX) {
            return fault(r, err, TH_BAD_SYNTAX, "a cell of more than 199 characters");
        }
        out->text[n++] = **p;
    }
    out->text[n] = '\0';
    *p = skip_blanks(r, *p + 1, to);
    if (*p < to && **p != r->separator) {
        return fault(r, err, TH_BAD_SYNTAX,
                     "text behind a closing quote; a quote within quotes is written twice");
    }
    return true;
}

static bool plain_cell(reader *r, const char **p, const char *to, cell *out, th_error *err) {
    const char *from = *p;

    while (*p < to && **p != r->separator) {
        (*p)++;
    }
    const char *last = *p;
    while (last > from && (last[-1] == ' ' || last[-1] == '\t')) {
        last--;
    }
    if (last - from >= CELL_MAX) {
        return fault(r, err, TH_BAD_SYNTAX, "a cell of more than 199 characters");
    }
    memcpy(out->text, from, (size_t)(last - from));
    out->text[last - from] = '\0';
    return true;
}

static bool split(reader *r, const char *from, const char *to, th_error *err) {
    const char *p = from;

    for (r->count = 0;; p++) {
        if (r->count == CELLS_MAX) {
            return fault(r, err, TH_BAD_SYNTAX, "more than 32 columns");
        }
        p = skip_blanks(r, p, to);
        cell *out = &r->cells[r->count++];
        bool quoted = p < to && *p == '"';
        p += quoted;
        if (!(quoted ? quoted_cell(r, &p, to, out, err) : plain_cell(r, &p, to, out, err))) {
            return false;
        }
        if (p == to) {
            return true;
        }
    }
}

/* The next line that is neither empty nor a comment; false with err->code TH_OK at the end. */
static bool next_written(reader *r, const char **from, const char **to, th_error *err) {
    while (next_line(r, from, to)) {
        const char *first = *from;
        if (!check_bytes(r, *from, *to, err)) {
            return false;
        }
        while (first < *to && (*first == ' ' || *first == '\t')) {
            first++;
        }
        if (first < *to && *first != '#') {
            return true;
        }
    }
    err->code = TH_OK;
    return false;
}

/* ---- the head ---------------------------------------------------------------------------------
 */

/* What parts the columns: the one of the three that stands in the head outside quotes. */
static bool find_separator(reader *r, const char *from, const char *to, th_error *err) {
    static const char known[] = {',', ';', '\t'};
    size_t seen[sizeof known] = {0}, kinds = 0;
    bool quoted = false;

    for (const char *p = from; p < to; p++) {
        quoted = quoted != (*p == '"');
        for (size_t i = 0; i < sizeof known && !quoted; i++) {
            seen[i] += *p == known[i] ? 1 : 0;
        }
    }
    for (size_t i = 0; i < sizeof known; i++) {
        kinds += seen[i] > 0 ? 1 : 0;
        r->separator = seen[i] > 0 ? known[i] : r->separator;
    }
    if (kinds != 1) {
        return fault(r, err, TH_BAD_SYNTAX,
                     kinds == 0
                         ? "the first line names no columns, parted by commas, semicolons or "
                           "tabs, such as: area,force,kind,failure"
                         : "the first line has more than one of comma, semicolon and tab; "
                           "part its columns by one of them");
    }
    r->separators = r->separator == ',' ? "comma" : r->separator == ';' ? "semicolon" : "tab";
    return true;
}

static void fold(char *text) {
    for (; *text; text++) {
        *text = *text >= 'A' && *text <= 'Z' ? (char)(*text - 'A' + 'a') : *text;
    }
}

/* Cut "force [N]" or "force (N)" into the column's name and its unit. */
static bool cut_unit(const reader *r, char *name, char *unit, th_error *err) {
    char *open = strpbrk(name, "[(");
    size_t n = strlen(name);

    unit[0] = '\0';
    if (!open) {
        return true;
    }
    if (name[n - 1] != (*open == '[' ? ']' : ')') || open + 2 >= name + n) {
        return th_fail_at(err, TH_BAD_SYNTAX, r->name, r->line,
                          "column \"%.60s\": a unit stands in brackets behind the name, such as "
                          "force [N]",
                          name);
    }
    name[n - 1] = '\0';
    snprintf(unit, CELL_MAX, "%s", open + 1);
    *open = '\0';
    while (open > name && open[-1] == ' ') {
        *--open = '\0';
    }
    return true;
}

static bool unknown_column(const reader *r, const char *name, th_error *err) {
    const char *names[COLUMNS];

    for (int i = 0; i < COLUMNS; i++) {
        names[i] = columns[i].name;
    }
    const char *nearest = th_nearest(name, names, COLUMNS);
    return th_fail_at(err, TH_BAD_KEY, r->name, r->line, "there is no column \"%.60s\"; %s%s%s",
                      name,
                      nearest ? "did you mean " : "known are area (or length and width), force, ",
                      nearest ? nearest : "kind, failure, temperature, cooling, hold, date, note",
                      nearest ? "?" : "");
}

/* What a scale is marked with means a force: the unit to write; "" for any other. */
static const char *force_of_mass(int quantity, const char *unit) {
    static const char *const marks[][2] = {{"kg", "kgf"},    {"kgs", "kgf"}, {"kilo", "kgf"},
                                           {"kilos", "kgf"}, {"kp", "kgf"},  {"lb", "lbf"},
                                           {"lbs", "lbf"}};

    for (size_t i = 0; quantity == TH_FORCE && i < sizeof marks / sizeof *marks; i++) {
        if (strcmp(unit, marks[i][0]) == 0) {
            return marks[i][1];
        }
    }
    return "";
}

/* A unit in the head must suit its column. */
static bool check_unit(const reader *r, int which, const char *unit, th_error *err) {
    char text[CELL_MAX + 4];
    th_reading reading;
    th_error inner = {TH_OK, 0, "", ""};
    const char *means = force_of_mass(columns[which].quantity, unit);

    if (unit[0] == '\0') {
        return true;
    }
    if (columns[which].quantity < 0) {
        return th_fail_at(err, TH_BAD_VALUE, r->name, r->line, "column %s takes no unit",
                          columns[which].name);
    }
    snprintf(text, sizeof text, "1 %s", unit);
    if (!th_quantity_read(text, (th_kind)columns[which].quantity, TH_UNITS_NAMED, &reading,
                          &inner)) {
        return th_fail_at(
            err, TH_BAD_VALUE, r->name, r->line,
            "column %s: \"%.60s\" is no unit for it; it takes %s%s%s", columns[which].name, unit,
            th_kind_units((th_kind)columns[which].quantity), means[0] ? "; write " : "", means);
    }
    return true;
}

static bool read_column(reader *r, size_t at, th_error *err) {
    char *name = r->cells[at].text;

    if (!cut_unit(r, name, r->unit[at].text, err)) {
        return false;
    }
    fold(name);
    r->column[at] = -1;
    for (int i = 0; i < COLUMNS; i++) {
        r->column[at] = strcmp(name, columns[i].name) == 0 ? i : r->column[at];
    }
    for (size_t i = 0; i < sizeof also / sizeof *also; i++) {
        r->column[at] = strcmp(name, also[i].name) == 0 ? also[i].column : r->column[at];
    }
    if (r->column[at] < 0) {
        return unknown_column(r, name, err);
    }
    if (r->place_of[r->column[at]] >= 0) {
        return th_fail_at(err, TH_BAD_KEY, r->name, r->line, "column %s stands there twice", name);
    }
    r->place_of[r->column[at]] = (int)at;
    return check_unit(r, r->column[at], r->unit[at].text, err);
}

static bool check_columns(const reader *r, th_error *err) {
    static const column needed[] = {COLUMN_FORCE, COLUMN_KIND, COLUMN_FAILURE};
    bool area = r->place_of[COLUMN_AREA] >= 0, length = r->place_of[COLUMN_LENGTH] >= 0,
         width = r->place_of[COLUMN_WIDTH] >= 0;

    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++) {
        if (r->place_of[needed[i]] < 0) {
            return th_fail_at(
                err, TH_MISSING, r->name, r->line,
                "there is no column %s; needed are area (or length and width), force, "
                "kind and failure",
                columns[needed[i]].name);
        }
    }
    if (area ? length || width : !length || !width) {
        return fault(r, err, area ? TH_CONTRADICTION : TH_MISSING,
                     area ? "give area, or length and width, not both"
                          : "there is no column area, nor length and width in its place");
    }
    return true;
}

static bool read_head(reader *r, th_error *err) {
    const char *from, *to;
    th_error inner = {TH_OK, 0, "", ""};

    if (!next_written(r, &from, &to, &inner)) {
        return inner.code != TH_OK
                   ? th_fail_at(err, inner.code, inner.file, inner.line, "%s", inner.message)
                   : th_fail_at(err, TH_BAD_SYNTAX, r->name, 0,
                                "there is nothing in it; it begins with the names of the columns, "
                                "such as: area,force,kind,failure");
    }
    if (!find_separator(r, from, to, err) || !split(r, from, to, err)) {
        return false;
    }
    for (int i = 0; i < COLUMNS; i++) {
        r->place_of[i] = -1;
    }
    r->width = r->count;
    for (size_t i = 0; i < r->width; i++) {
        if (!read_column(r, i, err)) {
            return false;
        }
    }
    return check_columns(r, err);
}

/* ---- a test -----------------------------------------------------------------------------------
 */

/* "line 7, column force = "12,5": message". */
static bool cell_fault(const reader *r, column which, th_error *err, th_status code,
                       const char *message) {
    return th_fail_at(err, code, r->name, r->line, "column %s = \"%.60s\": %s", columns[which].name,
                      r->cells[r->place_of[which]].text, message);
}

static const char *cell_of(const reader *r, column which) {
    return r->place_of[which] < 0 ? "" : r->cells[r->place_of[which]].text;
}

static bool missing(const reader *r, column which, th_error *err) {
    return th_fail_at(err, TH_MISSING, r->name, r->line, "column %s is empty; write such as %s",
                      columns[which].name, columns[which].example);
}

static bool has_comma(const char *text) {
    const char *comma = strchr(text, ',');

    return comma && comma > text && comma[-1] >= '0' && comma[-1] <= '9' && comma[1] >= '0' &&
           comma[1] <= '9';
}

/* A cell as a quantity; without a unit of its own it has the one of the head. */
static bool quantity_text(const reader *r, column which, const char *text, double *value,
                          th_error *err) {
    const char *unit = r->unit[r->place_of[which]].text;
    char whole[2 * CELL_MAX];
    th_reading reading = {0, false};
    th_error inner = {TH_OK, 0, "", ""};
    th_kind kind = (th_kind)columns[which].quantity;

    if (has_comma(text)) {
        return cell_fault(r, which, err, TH_BAD_VALUE,
                          "a comma is no decimal point here; write 12.5, not 12,5");
    }
    snprintf(whole, sizeof whole, "%s %s", text, unit);
    if (!th_quantity_read(whole, kind, TH_UNITS_NAMED, &reading, &inner)) {
        if (unit[0] != '\0' && th_quantity_read(text, kind, TH_UNITS_NAMED, &reading, NULL)) {
            return cell_fault(r, which, err, TH_CONTRADICTION,
                              "the head names a unit already; leave one of the two out");
        }
        return cell_fault(r, which, err, TH_BAD_VALUE, inner.message);
    }
    *value = reading.value;
    return true;
}

static bool in_bounds(const reader *r, column which, double value, th_error *err) {
    char message[120];

    if (value >= columns[which].least && value <= columns[which].greatest) {
        return true;
    }
    snprintf(message, sizeof message, "out of bounds: %s", columns[which].bounds);
    return cell_fault(r, which, err, TH_BAD_RANGE, message);
}

/* A needed quantity, or NAN for an empty cell of another. */
static bool quantity(const reader *r, column which, bool needed, double *value, th_error *err) {
    const char *text = cell_of(r, which);

    *value = NAN;
    if (text[0] == '\0') {
        return !needed || missing(r, which, err);
    }
    return quantity_text(r, which, text, value, err) && in_bounds(r, which, *value, err);
}

/* An area as such, or as "25 mm x 25 mm". */
static bool read_area(const reader *r, double *area, th_error *err) {
    double length, width;

    if (r->place_of[COLUMN_AREA] < 0) {
        *area = NAN;
        if (!quantity(r, COLUMN_LENGTH, true, &length, err) ||
            !quantity(r, COLUMN_WIDTH, true, &width, err)) {
            return false;
        }
        *area = length * width;
        return true;
    }
    const char *text = cell_of(r, COLUMN_AREA), *cross = strchr(text, 'x');
    if (!cross) {
        return quantity(r, COLUMN_AREA, true, area, err);
    }
    char first[CELL_MAX];
    th_reading a, b;
    snprintf(first, sizeof first, "%.*s", (int)(cross - text), text);
    if (r->unit[r->place_of[COLUMN_AREA]].text[0] != '\0' ||
        !th_quantity_read(first, TH_LENGTH, TH_UNITS_NAMED, &a, NULL) ||
        !th_quantity_read(cross + 1, TH_LENGTH, TH_UNITS_NAMED, &b, NULL) || a.value <= 0) {
        return cell_fault(r, COLUMN_AREA, err, TH_BAD_VALUE,
                          "cannot be read as length x width; write such as 25 mm x 25 mm, under a "
                          "head without a unit");
    }
    *area = a.value * b.value;
    return in_bounds(r, COLUMN_AREA, *area, err);
}

static bool word(const reader *r, column which, int (*position)(const char *), const char *known,
                 int *value, th_error *err) {
    char text[CELL_MAX], message[120];

    snprintf(text, sizeof text, "%s", cell_of(r, which));
    fold(text);
    *value = position(text);
    if (*value >= 0) {
        return true;
    }
    snprintf(message, sizeof message, "one of: %s", known);
    return cell_fault(r, which, err, TH_BAD_VALUE, message);
}

static bool read_words(const reader *r, th_pull *pull, th_error *err) {
    pull->cooling = -1;
    if (cell_of(r, COLUMN_KIND)[0] == '\0') {
        return missing(r, COLUMN_KIND, err);
    }
    if (cell_of(r, COLUMN_FAILURE)[0] == '\0') {
        return missing(r, COLUMN_FAILURE, err);
    }
    return word(r, COLUMN_KIND, th_pull_kind_of, "shear, lift", &pull->kind, err) &&
           word(r, COLUMN_FAILURE, th_pull_place_of,
                "part-tape, backing, tape-glue, glue, tape-plate", &pull->place, err) &&
           (cell_of(r, COLUMN_COOLING)[0] == '\0' ||
            word(r, COLUMN_COOLING, th_pull_cooling_of, "dry, mist, water, oil", &pull->cooling,
                 err));
}

/* YYYY-MM-DD: the one way to write a date that sorts and that nobody misreads. */
static bool read_date(const reader *r, th_arena *arena, th_pull *pull, th_error *err) {
    static const char form[] = "dddd-dd-dd";
    const char *text = cell_of(r, COLUMN_DATE);
    size_t i = 0;

    if (text[0] == '\0') {
        return true;
    }
    while (form[i] && (form[i] == 'd' ? text[i] >= '0' && text[i] <= '9' : text[i] == form[i])) {
        i++;
    }
    int month = i == 10 ? (text[5] - '0') * 10 + text[6] - '0' : 0;
    int day = i == 10 ? (text[8] - '0') * 10 + text[9] - '0' : 0;
    if (text[i] != '\0' || month < 1 || month > 12 || day < 1 || day > 31) {
        return cell_fault(r, COLUMN_DATE, err, TH_BAD_VALUE,
                          "a date is year, month and day, such as 2026-01-31");
    }
    pull->date = th_arena_copy(arena, text, 10);
    return pull->date || th_fail_memory(err);
}

static bool read_pull(const reader *r, th_arena *arena, th_pull *pull, th_error *err) {
    *pull = (th_pull){.line = r->line};
    return read_area(r, &pull->area, err) && quantity(r, COLUMN_FORCE, true, &pull->force, err) &&
           read_words(r, pull, err) &&
           quantity(r, COLUMN_TEMPERATURE, false, &pull->temperature, err) &&
           quantity(r, COLUMN_HOLD, false, &pull->hold, err) && read_date(r, arena, pull, err);
}

/* ---- the file ---------------------------------------------------------------------------------
 */

static bool check_width(const reader *r, th_error *err) {
    if (r->count == r->width) {
        return true;
    }
    return th_fail_at(err, TH_BAD_SYNTAX, r->name, r->line,
                      "%zu cells where the head has %zu columns parted by a %s%s", r->count,
                      r->width, r->separators,
                      r->separator == ',' && r->count > r->width
                          ? "; a comma is no decimal point here: write 12.5, not 12,5"
                          : "");
}

static bool is_empty(const reader *r) {
    for (size_t i = 0; i < r->count; i++) {
        if (r->cells[i].text[0] != '\0') {
            return false;
        }
    }
    return true;
}

static bool read_rows(reader *r, th_pulls *pulls, th_error *err) {
    const char *from, *to;
    th_error inner = {TH_OK, 0, "", ""};

    while (next_written(r, &from, &to, &inner)) {
        if (!split(r, from, to, err)) {
            return false;
        }
        if (is_empty(r)) {
            continue; /* spreadsheets leave such lines at the end */
        }
        if (pulls->count == ROWS_MAX) {
            return fault(r, err, TH_BAD_RANGE, "more than 2000 tests");
        }
        if (!check_width(r, err) ||
            !read_pull(r, &pulls->arena, &pulls->items[pulls->count], err)) {
            return false;
        }
        pulls->count++;
    }
    if (inner.code != TH_OK) {
        return th_fail_at(err, inner.code, inner.file, inner.line, "%s", inner.message);
    }
    return pulls->count > 0 || th_fail_at(err, TH_MISSING, r->name, r->line,
                                          "there is no test below the names of the columns");
}

bool th_pulls_scan(const char *text, size_t size, const char *name, th_pulls *pulls,
                   th_error *err) {
    reader *r = calloc(1, sizeof *r);

    pulls->items = th_arena_take(&pulls->arena, ROWS_MAX * sizeof *pulls->items);
    if (!r || !pulls->items) {
        free(r);
        return th_fail_memory(err);
    }
    r->name = name;
    r->p = text + th_scan_mark(text, size);
    r->end = text + size;
    bool fine =
        (size < 2 || (memcmp(text, "\xFF\xFE", 2) != 0 && memcmp(text, "\xFE\xFF", 2) != 0) ||
         th_fail_at(err, TH_BAD_SYNTAX, name, 1,
                    "is in UTF-16; save the table as text: CSV, UTF-8")) &&
        read_head(r, err) && read_rows(r, pulls, err);
    free(r);
    return fine;
}

bool th_pulls_read(const char *path, th_pulls *pulls, th_error *err) {
    const char *name = strcmp(path, "-") == 0 ? "standard input" : path;
    size_t size = 0;
    char *text = th_file_slurp(path, name, false, &size, err);
    bool fine = text && th_pulls_scan(text, size, name, pulls, err);

    free(text);
    return fine;
}

void th_pulls_free(th_pulls *pulls) {
    if (pulls) {
        th_arena_free(&pulls->arena);
        *pulls = (th_pulls){{NULL}, NULL, 0};
    }
}
