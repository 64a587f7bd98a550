/* ini_scan.c - strict scan of INI text in memory. */
#include "scan.h"
#include "tackhold/files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LINE_MAX_BYTES = 900, KEYS_MAX = 2000, SECTIONS_MAX = 2000 };

typedef struct {
    const char *name;
    th_origin origin;
    th_ini *ini;
    size_t capacity;
    int line;
    const char *section; /* NULL before the first header */
    const char **sections;
    int *section_lines;
    size_t section_count;
    th_error *err;
} scanner;

static bool fail(const scanner *scan, const char *message) {
    return th_fail_at(scan->err, TH_BAD_SYNTAX, scan->name, scan->line, "%s", message);
}

/* A short piece of user text for a message, control characters as '?'. */
static const char *shown(const char *text, size_t size, char out[48]) {
    size_t n = 0;

    while (n < size && n < 40) {
        out[n] = ((unsigned char)text[n] < ' ' || text[n] == 127) ? '?' : text[n];
        n++;
    }
    while (n > 0 && n < size && ((unsigned char)text[n] & 0xC0) == 0x80) {
        n--; /* not in the middle of a character */
    }
    out[n] = '\0';
    return out;
}

static bool is_blank(char c) {
    return c == ' ' || c == '\t';
}

static void trim(const char **text, size_t *size) {
    while (*size > 0 && is_blank(**text)) {
        (*text)++;
        (*size)--;
    }
    while (*size > 0 && is_blank((*text)[*size - 1])) {
        (*size)--;
    }
}

static bool is_name(const char *text, size_t size) {
    for (size_t i = 0; i < size; i++) {
        char c = text[i];
        bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (!letter && !strchr("_.+-", c)) {
            return false;
        }
    }
    return size > 0;
}

/* Lower-case copy: names are compared without regard to case. */
static char *folded(scanner *scan, const char *text, size_t size) {
    char *copy = th_arena_copy(&scan->ini->arena, text, size);

    for (char *p = copy; p && *p; p++) {
        *p = (char)(*p >= 'A' && *p <= 'Z' ? *p - 'A' + 'a' : *p);
    }
    return copy;
}

/* ---- bytes of a line --------------------------------------------------------------------------
 */

/* C0 but the tab, DEL, and C1 (two bytes in UTF-8), which some terminals obey as well. */
static bool is_control(const unsigned char *text, size_t length) {
    return length == 1 ? (text[0] < ' ' && text[0] != '\t') || text[0] == 127
                       : text[0] == 0xC2 && text[1] < 0xA0;
}

static bool check_bytes(const scanner *scan, const char *line, size_t size) {
    char message[160];

    for (size_t i = 0; i < size;) {
        size_t n = th_scan_utf8((const unsigned char *)line + i, size - i);
        unsigned char c = (unsigned char)line[i];
        if (c == '\r') {
            return fail(scan, "a carriage return inside a line: save the file with Unix or "
                              "Windows line ends");
        }
        if (n == 0) {
            return fail(scan, "a byte that is not UTF-8: save the file as UTF-8 text");
        }
        if (is_control((const unsigned char *)line + i, n)) {
            snprintf(message, sizeof message,
                     "a control character (byte %u): this is no plain text file", c);
            return fail(scan, message);
        }
        i += n;
    }
    if (size > LINE_MAX_BYTES) {
        snprintf(message, sizeof message, "a line of %zu bytes; at most %d will do", size,
                 LINE_MAX_BYTES);
        return fail(scan, message);
    }
    while (size > 0 && is_blank(line[size - 1])) {
        size--; /* the loader joins lines at a backslash with blanks behind it, too */
    }
    if (size > 0 && line[size - 1] == '\\') {
        return fail(scan, "a backslash at the end of the line would swallow the next one; "
                          "take it away");
    }
    return true;
}

/* ---- sections ---------------------------------------------------------------------------------
 */

static bool scan_header(scanner *scan, const char *line, size_t size) {
    const char *close = memchr(line, ']', size);
    const char *name = line + 1;
    size_t length = close ? (size_t)(close - name) : 0;
    char message[220], text[48];

    if (!close) {
        return fail(scan, "a section header without ']'; write e.g. [part]");
    }
    if (close != line + size - 1) {
        return fail(scan, "text after ']': a section header stands alone on its line");
    }
    trim(&name, &length);
    if (!is_name(name, length)) {
        snprintf(message, sizeof message,
                 "[%s]: a section name is made of letters, digits, '_', '.', '+' and '-', e.g. "
                 "[cut.1]",
                 shown(name, length, text));
        return fail(scan, message);
    }
    if (scan->section_count >= SECTIONS_MAX) {
        return fail(scan, "more than 2,000 sections in one file");
    }
    scan->section = folded(scan, name, length);
    if (!scan->section) {
        return th_fail_memory(scan->err);
    }
    scan->sections[scan->section_count] = scan->section;
    scan->section_lines[scan->section_count] = scan->line;
    scan->section_count++;
    return true;
}

/* ---- values ------------------------------------------------------------------------------------
 */

/* Why a value in quotes cannot be taken, NULL if it can. */
static const char *refuse_quoted(const char *value, size_t size) {
    const char *close = size < 2 ? NULL : memchr(value + 1, value[0], size - 1);

    if (memchr(value, '\\', size)) {
        return "a backslash in quotes is not understood; leave it out";
    }
    if (!close) {
        return "a quote is opened and not closed; close it, or leave it out";
    }
    if (close != value + size - 1) {
        return "there is text after the closing quote; put all of the value in quotes";
    }
    if (size == 2) {
        return "there is nothing between the quotes";
    }
    return memchr(value + 1, '"', size - 2) ? "quotes within quotes are not understood" : NULL;
}

/* Why a value cannot be taken; NULL if it can, and then its quotes are off. A quotation mark may
 * end a bare value: it is the sign for inches. */
static const char *read_value(const char **value, size_t *size) {
    const char *why;

    if (*size == 0) {
        return "the value is missing after '='";
    }
    if (**value == '"' || **value == '\'') {
        why = refuse_quoted(*value, *size);
        (*value)++;
        *size -= 2;
        return why;
    }
    if (memchr(*value, ';', *size) || memchr(*value, '#', *size)) {
        return "';' or '#' in a value: put a comment on a line of its own, or the text in quotes";
    }
    return NULL;
}

static bool scan_key(scanner *scan, const char *line, size_t size) {
    const char *equals = memchr(line, '=', size);
    const char *key = line, *value, *typed, *why;
    size_t key_size, value_size, typed_size;
    th_entry *entry = &scan->ini->items[scan->ini->count];
    char message[400], name[48], text[48];

    if (!equals) {
        snprintf(message, sizeof message, "\"%s\" is neither a [section] nor KEY = VALUE",
                 shown(line, size, text));
        return fail(scan, message);
    }
    key_size = (size_t)(equals - line);
    value = equals + 1;
    value_size = size - key_size - 1;
    trim(&key, &key_size);
    trim(&value, &value_size);
    if (!is_name(key, key_size)) {
        snprintf(message, sizeof message,
                 "\"%s\" is no name of a key: use letters, digits, '_', '.', '+' and '-' without "
                 "blanks, e.g. "
                 "thickness = 3 mm",
                 shown(key, key_size, text));
        return fail(scan, message);
    }
    if (!scan->section) {
        return fail(scan, "a key before the first section; start with e.g. [job]");
    }
    typed = value;
    typed_size = value_size;
    why = read_value(&value, &value_size);
    if (why) {
        snprintf(message, sizeof message, "[%.40s] %s = %s: %s", scan->section,
                 shown(key, key_size, name), shown(typed, typed_size, text), why);
        return fail(scan, message);
    }
    if (scan->ini->count >= KEYS_MAX) {
        return fail(scan, "more than 2,000 keys in one file");
    }
    *entry = (th_entry){scan->section,
                        folded(scan, key, key_size),
                        th_arena_copy(&scan->ini->arena, value, value_size),
                        scan->name,
                        scan->line,
                        scan->origin};
    scan->ini->count++;
    return (entry->key && entry->value) || th_fail_memory(scan->err);
}

/* ---- duplicates ---------------------------------------------------------------------------------
 */

static int compare_entries(const void *a, const void *b) {
    const th_entry *const *x = a, *const *y = b;
    int order = strcmp((*x)->section, (*y)->section);

    order = order ? order : strcmp((*x)->key, (*y)->key);
    return order ? order : (*x)->line - (*y)->line;
}

static bool check_duplicate_keys(scanner *scan) {
    size_t count = scan->ini->count;
    const th_entry **sorted = th_arena_take(&scan->ini->arena, (count + 1) * sizeof *sorted);

    if (!sorted) {
        return th_fail_memory(scan->err);
    }
    for (size_t i = 0; i < count; i++) {
        sorted[i] = &scan->ini->items[i];
    }
    qsort(sorted, count, sizeof *sorted, compare_entries);
    for (size_t i = 1; i < count; i++) {
        if (strcmp(sorted[i - 1]->section, sorted[i]->section) == 0 &&
            strcmp(sorted[i - 1]->key, sorted[i]->key) == 0) {
            return th_fail_at(scan->err, TH_BAD_SYNTAX, scan->name, sorted[i]->line,
                              "[%s] %s stands twice; the first is on line %d", sorted[i]->section,
                              sorted[i]->key, sorted[i - 1]->line);
        }
    }
    return true;
}

typedef struct {
    const char *name;
    int line;
} section_place;

static int compare_sections(const void *a, const void *b) {
    const section_place *x = a, *y = b;
    int order = strcmp(x->name, y->name);
    return order ? order : x->line - y->line;
}

static bool check_duplicate_sections(scanner *scan) {
    size_t count = scan->section_count;
    section_place *sorted = th_arena_take(&scan->ini->arena, (count + 1) * sizeof *sorted);

    if (!sorted) {
        return th_fail_memory(scan->err);
    }
    for (size_t i = 0; i < count; i++) {
        sorted[i] = (section_place){scan->sections[i], scan->section_lines[i]};
    }
    qsort(sorted, count, sizeof *sorted, compare_sections);
    for (size_t i = 1; i < count; i++) {
        if (strcmp(sorted[i - 1].name, sorted[i].name) == 0) {
            return th_fail_at(scan->err, TH_BAD_SYNTAX, scan->name, sorted[i].line,
                              "the section [%s] stands twice; the first is on line %d",
                              sorted[i].name, sorted[i - 1].line);
        }
    }
    return true;
}

/* Nobody behind the scan sees a section without keys: a cut whose keys were all commented out would
 * pass unjudged. In the shop's defaults it is harmless. */
static bool check_empty_sections(const scanner *scan) {
    size_t at = 0;

    for (size_t i = 0; i < scan->section_count && scan->origin != TH_FROM_SHOP; i++) {
        size_t first = at;
        while (at < scan->ini->count && scan->ini->items[at].section == scan->sections[i]) {
            at++;
        }
        if (at == first) {
            return th_fail_at(scan->err, TH_BAD_SYNTAX, scan->name, scan->section_lines[i],
                              "the section [%.60s] holds no keys; give it some, or take it out",
                              scan->sections[i]);
        }
    }
    return true;
}

/* ---- the whole ----------------------------------------------------------------------------------
 */

static bool scan_line(scanner *scan, const char *line, size_t size) {
    if (size > 0 && line[size - 1] == '\r') {
        size--;
    }
    if (!check_bytes(scan, line, size)) {
        return false;
    }
    trim(&line, &size);
    if (size == 0 || line[0] == '#' || line[0] == ';') {
        return true;
    }
    return line[0] == '[' ? scan_header(scan, line, size) : scan_key(scan, line, size);
}

/* Lines bound keys and sections alike, and so do the most that are taken: without the latter a file
 * of empty lines would claim sixty times its size. */
static bool reserve(scanner *scan, const char *text, size_t size) {
    enum { ENOUGH = (KEYS_MAX > SECTIONS_MAX ? KEYS_MAX : SECTIONS_MAX) + 1 };
    size_t lines = 2;

    for (size_t i = 0; i < size && lines < ENOUGH; i++) {
        lines += text[i] == '\n';
    }
    scan->ini->items = th_arena_take(&scan->ini->arena, lines * sizeof *scan->ini->items);
    scan->sections = th_arena_take(&scan->ini->arena, lines * sizeof *scan->sections);
    scan->section_lines = th_arena_take(&scan->ini->arena, lines * sizeof *scan->section_lines);
    return (scan->ini->items && scan->sections && scan->section_lines) || th_fail_memory(scan->err);
}

/* An SVG begins with a '<', an ASCII DXF with the number of a group on a line of its own. */
static bool is_drawing(const char *text, size_t size) {
    const char *line = text;
    size_t length;

    trim(&line, &size);
    if (size > 0 && line[0] == '<') {
        return true;
    }
    for (length = 0; length < size && line[length] >= '0' && line[length] <= '9';) {
        length++;
    }
    return length > 0 && length < size && (line[length] == '\n' || line[length] == '\r');
}

bool th_ini_scan(const char *text, size_t size, const char *name, th_origin origin, th_ini *ini,
                 th_error *err) {
    scanner scan = {.origin = origin, .ini = ini, .line = 1, .err = err};
    size_t at = 0, mark = th_scan_mark(text, size);

    scan.name = th_arena_copy(&ini->arena, name, strlen(name));
    if (!scan.name) {
        return th_fail_memory(err);
    }
    if (size > TH_FILE_SIZE_MAX) {
        return th_fail_at(err, TH_BAD_SYNTAX, name, 0, "larger than 1 MiB");
    }
    text += mark;
    size -= mark;
    if (is_drawing(text, size)) {
        return fail(&scan, "this is a drawing, no job: name it in a job, as outline = FILE in "
                           "[part] or taped = FILE in [hold]");
    }
    if (!reserve(&scan, text, size)) {
        return false;
    }
    while (at < size) {
        const char *end = memchr(text + at, '\n', size - at);
        size_t length = end ? (size_t)(end - (text + at)) : size - at;
        if (!scan_line(&scan, text + at, length)) {
            return false;
        }
        at += length + 1;
        scan.line++;
    }
    if (ini->count == 0 && origin != TH_FROM_SHOP) {
        return th_fail_at(err, TH_BAD_SYNTAX, name, 0, "the file holds no keys");
    }
    return check_duplicate_sections(&scan) && check_duplicate_keys(&scan) &&
           check_empty_sections(&scan);
}

void th_ini_free(th_ini *ini) {
    if (ini) {
        th_arena_free(&ini->arena);
        *ini = (th_ini){{NULL}, NULL, 0};
    }
}
