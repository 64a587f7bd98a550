/* key_read.c - reading the text of one key into its field, and printing it back. */
#include "keys.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { WORD_MAX = 64, WORDS_MOST = 16, PIECE_MAX = 120, PLACES_MAX = 10000 };

static void *field(const th_key *key, void *row) {
    return (char *)row + key->offset;
}

static const void *const_field(const th_key *key, const void *row) {
    return (const char *)row + key->offset;
}

/* ---- words ---------------------------------------------------------------------------------- */

/* Position of the word [text, text + n) in a blank-separated list, or -1. */
static int word_position(const char *words, const char *text, size_t n) {
    int position = 0;

    while (*words) {
        size_t length = strcspn(words, " ");
        if (length == n && memcmp(words, text, n) == 0) {
            return position;
        }
        words += length;
        words += strspn(words, " ");
        position++;
    }
    return -1;
}

/* The word at a position, copied; "" when there is none. */
static void word_at(const char *words, int position, char *text, size_t size) {
    text[0] = '\0';
    while (position > 0 && *words) {
        words += strcspn(words, " ");
        words += strspn(words, " ");
        position--;
    }
    if (position == 0) {
        snprintf(text, size, "%.*s", (int)strcspn(words, " "), words);
    }
}

/* A word that the text begins, or that is a slip away, is the one that was meant. */
static bool refuse_word(const th_key *key, const char *text, th_error *err) {
    char names[WORDS_MOST][WORD_MAX];
    const char *list[WORDS_MOST], *near = NULL;
    const char *usual = th_usual_word(text), *said = NULL;
    size_t count = 0, typed = strlen(text);

    for (; count < WORDS_MOST; count++) {
        word_at(key->words, (int)count, names[count], WORD_MAX);
        if (names[count][0] == '\0') {
            break;
        }
        list[count] = names[count];
        said = strcmp(list[count], usual) == 0 ? list[count] : said;
        near = !near && typed >= 2 && strncmp(list[count], text, typed) == 0 ? list[count] : near;
    }
    near = said ? said : near ? near : th_nearest(text, list, count);
    return th_fail(err, TH_BAD_VALUE, "is none of: %s%s%s%s", key->words,
                   near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
}

static bool read_word(const th_key *key, const char *text, int *value, th_error *err) {
    int position = word_position(key->words, text, strlen(text));

    if (position < 0) {
        return refuse_word(key, text, err);
    }
    *value = position;
    return true;
}

static bool read_flags(const th_key *key, const char *text, int *value, th_error *err) {
    int flags = 0;

    text += strspn(text, " \t");
    do {
        size_t n = strcspn(text, " \t,");
        int position = word_position(key->words, text, n);
        if (position < 0) {
            return th_fail(err, TH_BAD_VALUE, "\"%.*s\" is none of: %s", (int)n, text, key->words);
        }
        flags |= 1 << position;
        text += n;
        text += strspn(text, " \t,");
    } while (*text);
    *value = flags;
    return true;
}

/* ---- numbers -------------------------------------------------------------------------------- */

static void print_bound(const th_key *key, double value, th_units units, char *text, size_t size) {
    th_kind kind = (th_kind)key->kind;
    bool in_inches = kind == TH_LENGTH || kind == TH_FEED || kind == TH_CHIP_LOAD;
    char number[40];

    if (units == TH_INCH && in_inches && key->form != TH_FORM_COUNTS) {
        th_quantity_print(value, kind, TH_INCH, 4, text, size);
        return;
    }
    th_number_print(value, 6, number, sizeof number);
    if (key->form == TH_FORM_COUNTS || key->form == TH_FORM_COUNT || kind == TH_RATIO) {
        snprintf(text, size, "%s", number);
    } else {
        snprintf(text, size, "%s %s", number, th_kind_unit(kind));
    }
}

static bool within(const th_key *key, double value) {
    bool low = (key->flags & TH_KEY_ABOVE) ? value <= key->least : value < key->least;

    return !low && value <= key->greatest;
}

/* A length without a unit that would fit in the other one. */
static const char *unit_hint(const th_key *key, const char *text, double value, th_units units) {
    bool bare = text[strspn(text, "0123456789.+-/ \t")] == '\0';

    if (key->kind == TH_RATIO && key->greatest == 1 && within(key, value / 100) &&
        !strchr(text, '%')) {
        return "; percent take their sign, e.g. 90 %";
    }
    if (key->kind != TH_LENGTH || !bare) {
        return "";
    }
    if (units == TH_INCH) {
        return within(key, value / 25.4)   ? "; units = inch in [job]: a bare length is in inches"
               : within(key, value / 1000) ? "; a bare length is in inches: write thousandths as "
                                             "in 62 thou"
                                           : "";
    }
    return units == TH_MM && within(key, value * 25.4)
               ? "; units = mm in [job]: a bare length is in mm"
               : "";
}

static bool check_bounds(const th_key *key, const char *text, double value, th_units units,
                         th_error *err) {
    char least[60], greatest[60];

    if (within(key, value)) {
        return true;
    }
    print_bound(key, key->least, units, least, sizeof least);
    print_bound(key, key->greatest, units, greatest, sizeof greatest);
    return th_fail(err, TH_BAD_RANGE, "must be %s %s and at most %s%s%s",
                   (key->flags & TH_KEY_ABOVE) ? "above" : "at least", least, greatest,
                   key->kind == TH_RATIO && key->greatest == 1 ? " (100 %)" : "",
                   unit_hint(key, text, value, units));
}

static bool read_number(const th_key *key, const char *text, th_units units, th_reading *reading,
                        th_error *err) {
    return th_quantity_read(text, (th_kind)key->kind, units, reading, err) &&
           check_bounds(key, text, reading->value, units, err);
}

/* Copy the next piece of a list up to a separator that is in `stops`; false if it is too long. */
static bool next_piece(const char **text, const char *stops, char piece[PIECE_MAX]) {
    size_t n = strcspn(*text, stops);

    if (n >= PIECE_MAX) {
        return false;
    }
    memcpy(piece, *text, n);
    piece[n] = '\0';
    *text += n;
    return true;
}

/* Split "A x B" at the cross; returns false when there is none. Either side may be blank-padded. */
static bool split_cross(const char *text, char a[PIECE_MAX], char b[PIECE_MAX]) {
    const char *cross = strpbrk(text, "xX,");
    size_t n;

    if (strlen(text) >= PIECE_MAX || cross == NULL) {
        return false;
    }
    n = (size_t)(cross - text);
    memcpy(a, text, n);
    a[n] = '\0';
    memcpy(b, cross + 1, strlen(cross + 1) + 1);
    return true;
}

/* Two numbers with nothing but a blank between them, neither of them part of a fraction. */
static bool two_numbers(const char *text) {
    size_t first = strspn(text, "0123456789.+-");
    size_t blank = strspn(text + first, " \t");

    return first > 0 && blank > 0 && strchr(text, '/') == NULL &&
           strspn(text + first + blank, "0123456789.+-") > 0;
}

static bool read_point(const th_key *key, const char *text, th_units units, th_point *point,
                       th_error *err) {
    char x[PIECE_MAX], y[PIECE_MAX];
    const char *rest = text;
    th_reading reading;

    if (!next_piece(&rest, ",", x) || *rest != ',') {
        return th_fail(err, TH_BAD_VALUE,
                       "needs a pair x,y with a comma between the two, e.g. 5,10");
    }
    rest++;
    if (!next_piece(&rest, ",", y) || *rest) {
        return th_fail(err, TH_BAD_VALUE, "needs pairs of two numbers x,y, e.g. 5,10");
    }
    if (!read_number(key, x, units, &reading, err)) {
        return false;
    }
    point->x = reading.value;
    if (!read_number(key, y, units, &reading, err)) {
        return false;
    }
    point->y = reading.value;
    return true;
}

/* True where the blank at text[n] stands between two pairs: not after a comma, not before one, and
 * not between a number and its unit. */
static bool separates(const char *text, size_t n) {
    const char *next = text + n;
    size_t before = n;

    if (text[n] != ' ' && text[n] != '\t') {
        return false;
    }
    while (before > 0 && (text[before - 1] == ' ' || text[before - 1] == '\t')) {
        before--;
    }
    next += strspn(next, " \t");
    return !(before > 0 && text[before - 1] == ',') &&
           (*next == '\0' || strchr("0123456789+-.", *next) != NULL);
}

static bool read_points(const th_key *key, const char *text, th_units units, th_arena *arena,
                        th_points *points, th_error *err) {
    size_t capacity = 1 + strlen(text) / 4;

    points->count = 0;
    points->items = th_arena_take(arena, capacity * sizeof *points->items);
    if (!points->items) {
        return th_fail_memory(err);
    }
    while (*text) {
        char piece[2 * PIECE_MAX];
        size_t n = 0;
        while (text[n] && !separates(text, n)) {
            n++;
        }
        if (n >= sizeof piece || points->count >= capacity || points->count >= PLACES_MAX) {
            return th_fail(err, TH_BAD_VALUE, "needs pairs x,y separated by blanks, e.g. 5,5 15,5");
        }
        memcpy(piece, text, n);
        piece[n] = '\0';
        if (!read_point(key, piece, units, &points->items[points->count], err)) {
            return false;
        }
        points->count++;
        text += n;
        text += strspn(text, " \t");
    }
    return true;
}

static bool read_size(const th_key *key, const char *text, th_units units, th_size *size,
                      th_error *err) {
    char a[PIECE_MAX], b[PIECE_MAX];
    th_reading reading;

    size->single = !split_cross(text, a, b);
    if (size->single && two_numbers(text)) {
        size_t first = strcspn(text, " \t");
        const char *second = text + first + strspn(text + first, " \t");
        return th_fail(err, TH_BAD_VALUE, "two numbers need an x between them, e.g. %.*s x %.40s",
                       (int)(first < 40 ? first : 40), text, second);
    }
    if (!read_number(key, size->single ? text : a, units, &reading, err)) {
        return false;
    }
    size->a = size->b = reading.value;
    if (!size->single) {
        if (!read_number(key, b, units, &reading, err)) {
            return false;
        }
        size->b = reading.value;
    }
    return true;
}

static bool read_counts(const th_key *key, const char *text, th_counts *counts, th_error *err) {
    char a[PIECE_MAX], b[PIECE_MAX];
    th_reading reading;

    if (!split_cross(text, a, b)) {
        return th_fail(err, TH_BAD_VALUE, "needs two whole numbers, e.g. 4 x 3");
    }
    if (!read_number(key, a, TH_MM, &reading, err)) {
        return false;
    }
    counts->a = (int)reading.value;
    if (!read_number(key, b, TH_MM, &reading, err)) {
        return false;
    }
    counts->b = (int)reading.value;
    return true;
}

static bool read_count_length(const th_key *key, const char *text, th_units units,
                              th_count_length *value, th_error *err) {
    char a[PIECE_MAX], b[PIECE_MAX];
    th_reading reading;

    if (!split_cross(text, a, b)) {
        return th_fail(err, TH_BAD_VALUE, "needs a number and a length, e.g. 6 x 4 mm");
    }
    if (!th_quantity_read(a, TH_COUNT, units, &reading, err)) {
        return false;
    }
    if (reading.value < 1 || reading.value > 1000) {
        return th_fail(err, TH_BAD_RANGE, "the number must be 1 to 1000, e.g. 6 x 4 mm");
    }
    value->count = (int)reading.value;
    if (!read_number(key, b, units, &reading, err)) {
        return false;
    }
    value->length = reading.value;
    return true;
}

bool th_key_read(const th_key *key, const char *text, th_units units, th_arena *arena, void *row,
                 th_error *err) {
    void *at = field(key, row);
    th_reading reading;

    if (text[strspn(text, " \t")] == '\0') {
        return th_fail(err, TH_BAD_VALUE, "the value is missing");
    }
    switch (key->form) {
    case TH_FORM_QUANTITY:
        if (!read_number(key, text, units, &reading, err)) {
            return false;
        }
        *(double *)at = reading.value;
        return true;
    case TH_FORM_COUNT:
        if (!read_number(key, text, units, &reading, err)) {
            return false;
        }
        *(int *)at = (int)reading.value;
        return true;
    case TH_FORM_CHIP:
        return read_number(key, text, units, (th_reading *)at, err);
    case TH_FORM_WORD:
        return read_word(key, text, (int *)at, err);
    case TH_FORM_FLAGS:
        return read_flags(key, text, (int *)at, err);
    case TH_FORM_TEXT:
    case TH_FORM_ROW:
        *(const char **)at = th_arena_copy(arena, text, strlen(text));
        return *(const char **)at ? true : th_fail_memory(err);
    case TH_FORM_POINT:
        return read_point(key, text, units, (th_point *)at, err);
    case TH_FORM_POINTS:
        return read_points(key, text, units, arena, (th_points *)at, err);
    case TH_FORM_SIZE:
        return read_size(key, text, units, (th_size *)at, err);
    case TH_FORM_COUNTS:
        return read_counts(key, text, (th_counts *)at, err);
    case TH_FORM_COUNT_LENGTH:
        return read_count_length(key, text, units, (th_count_length *)at, err);
    }
    return th_fail(err, TH_NOT_SOLVED, "unknown form of key %s", key->name);
}

bool th_key_reset(const th_key *key, th_arena *arena, void *row, th_error *err) {
    void *at = field(key, row);

    if (key->initial) {
        return th_key_read(key, key->initial, TH_UNITS_NAMED, arena, row, err);
    }
    switch (key->form) {
    case TH_FORM_QUANTITY:
        *(double *)at = (double)NAN;
        break;
    case TH_FORM_COUNT:
    case TH_FORM_FLAGS:
        *(int *)at = 0;
        break;
    case TH_FORM_WORD:
        *(int *)at = -1;
        break;
    case TH_FORM_CHIP:
        *(th_reading *)at = (th_reading){(double)NAN, false};
        break;
    case TH_FORM_TEXT:
    case TH_FORM_ROW:
        *(const char **)at = NULL;
        break;
    case TH_FORM_POINT:
        *(th_point *)at = (th_point){(double)NAN, (double)NAN};
        break;
    case TH_FORM_POINTS:
        *(th_points *)at = (th_points){NULL, 0};
        break;
    case TH_FORM_SIZE:
        *(th_size *)at = (th_size){(double)NAN, (double)NAN, false};
        break;
    case TH_FORM_COUNTS:
        *(th_counts *)at = (th_counts){0, 0};
        break;
    case TH_FORM_COUNT_LENGTH:
        *(th_count_length *)at = (th_count_length){0, (double)NAN};
        break;
    }
    return true;
}

/* ---- errors --------------------------------------------------------------------------------- */

/* Copy user text for a message: control characters as '?', cut at a sensible length. */
static void quote(const char *value, char *text, size_t size) {
    size_t n = 0;

    while (value[n] && n + 4 < size) {
        text[n] = (value[n] > 0 && value[n] < ' ') ? '?' : value[n];
        n++;
    }
    text[n] = '\0';
    if (value[n]) {
        memcpy(text + n, "...", 4);
    }
}

bool th_entry_fail(const th_entry *entry, th_error *err, th_status code, const char *format, ...) {
    char message[600], value[64];
    va_list arguments;

    va_start(arguments, format);
    th_vprint(message, sizeof message, format, arguments);
    va_end(arguments);
    quote(entry->value, value, sizeof value);
    return th_fail_at(err, code, entry->file, entry->line, "[%s] %s = %s: %s", entry->section,
                      entry->key, value, message);
}

bool th_entry_read(const th_entry *entry, const th_key *key, th_units units, th_arena *arena,
                   void *row, th_error *err) {
    th_error inner = {TH_OK, 0, "", ""};

    if (th_key_read(key, entry->value, units, arena, row, &inner)) {
        return true;
    }
    return th_entry_fail(entry, err, inner.code, "%s", inner.message);
}

/* The section of a job that a key which stands in another one belongs into; NULL: none. */
static const char *home_of(const th_entry *entry) {
    static const char *const numbered[][2] = {
        {"cut", "cut.1"}, {"cutter", "cutter.NAME"}, {"opening", "opening.1"}};
    size_t count;
    const th_key_group *groups = th_job_groups(&count);

    for (size_t g = 0; g < count; g++) {
        if (!th_key_find(&groups[g], entry->key)) {
            continue;
        }
        for (size_t i = 0; i < sizeof numbered / sizeof numbered[0]; i++) {
            if (strcmp(groups[g].section, numbered[i][0]) == 0) {
                return numbered[i][1];
            }
        }
        return groups[g].section;
    }
    return NULL;
}

/* What else a key is called at the machine; NULL: nothing that the list knows. */
static const char *other_name(const char *text, const char *const *names, size_t count) {
    static const char *const said[][2] = {
        {"doc", "axial"},       {"ap", "axial"},       {"woc", "radial"}, {"ae", "radial"},
        {"stepover", "radial"}, {"stepdown", "axial"}, {"rpm", "speed"},  {"depth", "axial"}};

    for (size_t i = 0; i < sizeof said / sizeof said[0]; i++) {
        for (size_t k = 0; k < count && strcmp(text, said[i][0]) == 0; k++) {
            if (strcmp(names[k], said[i][1]) == 0) {
                return names[k];
            }
        }
    }
    return NULL;
}

bool th_unknown_key(const th_entry *entry, const th_key_group *const *groups, size_t count,
                    th_error *err) {
    const char *names[160];
    size_t total = 0;
    const char *near, *home = groups[0]->job || count > 1 ? home_of(entry) : NULL;

    for (size_t g = 0; g < count; g++) {
        for (size_t i = 0; i < groups[g]->count && total < 160; i++) {
            names[total++] = groups[g]->keys[i].name;
        }
    }
    if (home) {
        bool line = entry->origin == TH_FROM_JOB;
        return th_fail_at(err, TH_BAD_KEY, entry->file, entry->line,
                          "[%s] has no key \"%s\"; it belongs into [%s]%s", entry->section,
                          entry->key, home, line ? ": is that line missing above it?" : "");
    }
    near = other_name(entry->key, names, total);
    near = near ? near : th_nearest(entry->key, names, total);
    if (near) {
        return th_fail_at(err, TH_BAD_KEY, entry->file, entry->line,
                          "[%s] has no key \"%s\"; did you mean \"%s\"?", entry->section,
                          entry->key, near);
    }
    return th_fail_at(err, TH_BAD_KEY, entry->file, entry->line,
                      "[%s] has no key \"%s\"; the keys are listed by: tackhold show %s",
                      entry->section, entry->key, groups[0]->section);
}

/* ---- words about a key ----------------------------------------------------------------------- */

void th_key_form_text(const th_key *key, th_units units, th_text *text) {
    char least[60], greatest[60];

    switch (key->form) {
    case TH_FORM_WORD:
        th_text_add(text, "one of: %s", key->words);
        break;
    case TH_FORM_FLAGS:
        th_text_add(text, "any of: %s", key->words);
        break;
    case TH_FORM_TEXT:
        th_text_put(text, "text");
        break;
    case TH_FORM_ROW:
        th_text_add(text, "id of a row of %s.ini", th_table_name((th_table)key->kind));
        break;
    default:
        print_bound(key, key->least, units, least, sizeof least);
        print_bound(key, key->greatest, units, greatest, sizeof greatest);
        th_text_add(text, "%s, %s %s to %s", th_kind_name((th_kind)key->kind),
                    (key->flags & TH_KEY_ABOVE) ? "above" : "from", least, greatest);
        break;
    }
}

void th_key_describe(const th_key *key, th_units units, th_text *text) {
    th_key_form_text(key, units, text);
    if (key->flags & TH_KEY_REQUIRED) {
        th_text_put(text, ", required");
    } else if (key->initial) {
        th_text_add(text, ", default %s", key->initial);
    } else {
        th_text_put(text, ", optional");
    }
}

/* Converted figures are no more exact than that. */
static int print_digits(th_units units) {
    return units == TH_INCH ? 4 : 9;
}

static void print_length(double value, th_units units, th_text *text) {
    char number[60];

    th_quantity_print(value, TH_LENGTH, units, 9, number, sizeof number);
    th_text_put(text, number);
}

static void print_flags(const th_key *key, int flags, th_text *text) {
    const char *gap = "";

    for (int i = 0; i < 31; i++) {
        if (flags & (1 << i)) {
            char word[WORD_MAX];
            word_at(key->words, i, word, sizeof word);
            th_text_add(text, "%s%s", gap, word);
            gap = " ";
        }
    }
}

/* A size of one number reads back as one: a hole takes no other. */
static void print_size(const th_size *size, th_units units, th_text *text) {
    print_length(size->a, units, text);
    if (!size->single) {
        th_text_put(text, " x ");
        print_length(size->b, units, text);
    }
}

/* Per tooth and per turn differ by the number of teeth, so the unit stays the one that was typed.
 */
static void print_chip(const th_reading *reading, th_units units, th_text *text) {
    char number[80];
    size_t size;

    th_quantity_print(reading->value, TH_CHIP_LOAD, units, print_digits(units), number,
                      sizeof number);
    size = strcspn(number, "/");
    th_text_put_n(text, number, size);
    th_text_put(text, reading->per_rev ? "/rev" : number + size);
}

static bool is_absent(const th_key *key, const void *at) {
    switch (key->form) {
    case TH_FORM_QUANTITY:
        return isnan(*(const double *)at);
    case TH_FORM_CHIP:
        return isnan(((const th_reading *)at)->value);
    case TH_FORM_WORD:
        return *(const int *)at < 0;
    case TH_FORM_TEXT:
    case TH_FORM_ROW:
        return !*(const char *const *)at;
    case TH_FORM_POINT:
        return isnan(((const th_point *)at)->x);
    case TH_FORM_SIZE:
        return isnan(((const th_size *)at)->a);
    case TH_FORM_COUNTS:
        return ((const th_counts *)at)->a == 0;
    case TH_FORM_COUNT_LENGTH:
        return ((const th_count_length *)at)->count == 0;
    default:
        return false;
    }
}

void th_key_print(const th_key *key, const void *row, th_units units, th_text *text) {
    const void *at = const_field(key, row);
    char number[80];

    if (is_absent(key, at)) {
        th_text_put(text, ""); /* a text all the same, not NULL */
        return;
    }
    switch (key->form) {
    case TH_FORM_QUANTITY:
        th_quantity_print(*(const double *)at, (th_kind)key->kind, units, print_digits(units),
                          number, sizeof number);
        th_text_put(text, number);
        break;
    case TH_FORM_CHIP:
        print_chip(at, units, text);
        break;
    case TH_FORM_COUNT:
        th_text_add(text, "%d", *(const int *)at);
        break;
    case TH_FORM_WORD:
        word_at(key->words, *(const int *)at, number, sizeof number);
        th_text_put(text, number);
        break;
    case TH_FORM_FLAGS:
        print_flags(key, *(const int *)at, text);
        break;
    case TH_FORM_TEXT:
    case TH_FORM_ROW:
        th_text_put(text, *(const char *const *)at);
        break;
    case TH_FORM_POINT:
        print_length(((const th_point *)at)->x, units, text);
        th_text_put(text, ", ");
        print_length(((const th_point *)at)->y, units, text);
        break;
    case TH_FORM_SIZE:
        print_size(at, units, text);
        break;
    case TH_FORM_COUNTS:
        th_text_add(text, "%d x %d", ((const th_counts *)at)->a, ((const th_counts *)at)->b);
        break;
    case TH_FORM_COUNT_LENGTH:
        th_text_add(text, "%d x ", ((const th_count_length *)at)->count);
        print_length(((const th_count_length *)at)->length, units, text);
        break;
    case TH_FORM_POINTS:
        th_text_add(text, "%zu places", ((const th_points *)at)->count);
        break;
    }
}
