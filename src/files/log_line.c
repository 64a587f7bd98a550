/* log_line.c - one record of the shop's own log as a line, and back. One table has every cell. */
#include "log_line.h"
#include "scan.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

typedef enum { FORM_TEXT, FORM_NUMBER, FORM_WHEN, FORM_WORD } form;

static int verdict_of(const char *word) {
    for (int i = TH_HOLDS; i <= TH_LETS_GO; i++) {
        if (strcmp(word, th_verdict_name((th_verdict)i)) == 0) {
            return i;
        }
    }
    return -1;
}

static int trust_of(const char *word) {
    return strcmp(word, "estimate") == 0 ? 1 : strcmp(word, "published") == 0 ? 0 : -1;
}

static const char *outcome_name(int value) {
    return th_log_outcome_name((th_log_outcome)value);
}

static const char *verdict_name(int value) {
    return th_verdict_name((th_verdict)value);
}

static const char *trust_name(int value) {
    return value ? "estimate" : "published";
}

static const char *cooling_name(int value) {
    return th_pull_cooling_name((th_coolant_kind)value);
}

typedef struct {
    const char *name;
    form form;
    size_t offset; /* of the field in its record */
    int (*of)(const char *word);
    const char *(*word)(int value);
    double least, greatest; /* of a number; NAN for the least: it may be missing, or below 0 */
} cell;

#define AT(field) offsetof(th_log_record, field)
#define TEXT(name, field)                                                                          \
    { name, FORM_TEXT, AT(field), NULL, NULL, 0, 0 }
#define NUMBER(name, field, least, greatest)                                                       \
    { name, FORM_NUMBER, AT(field), NULL, NULL, least, greatest }
#define WORD(name, field, of, word)                                                                \
    { name, FORM_WORD, AT(field), of, word, 0, 0 }

/* In the order of the line, between its format and its end. Other cells are another format. */
static const cell cells[] = {
    {"time", FORM_WHEN, AT(when), NULL, NULL, 0, 0},
    WORD("outcome", outcome, th_log_outcome_of, outcome_name),
    TEXT("title", title),
    WORD("verdict", verdict, verdict_of, verdict_name),
    NUMBER("hold_factor", hold_factor, 0, 1000),
    NUMBER("asked_factor", asked_factor, 0, 1000),
    WORD("trust", estimate, trust_of, trust_name),
    TEXT("stage", stage),
    TEXT("piece", piece),
    TEXT("way", way),
    TEXT("load", load),
    TEXT("interface", interface),
    TEXT("stock", stock),
    TEXT("tape", tape),
    TEXT("tape_below", tape_below),
    TEXT("glue", glue),
    TEXT("cooling", cooling),
    WORD("cooling_kind", cooling_kind, th_pull_cooling_of, cooling_name),
    TEXT("plate", plate),
    TEXT("preparation", preparation),
    TEXT("machine", machine),
    TEXT("cutter", cutter),
    NUMBER("coverage", coverage, 0, 1),
    NUMBER("wait_s", wait, 0, 1e12),
    NUMBER("bonded_mm2", area, NAN, 1e12),
    NUMBER("tape_C", temperature, NAN, 1e6),
    NUMBER("minutes", minutes, NAN, 1e12),
    TEXT("program", program),
    TEXT("note", note),
};
enum { CELLS = sizeof cells / sizeof *cells };

void th_log_head(th_text *text) {
    th_text_put(text, "# format");
    for (size_t i = 0; i < CELLS; i++) {
        th_text_add(text, "\t%s", cells[i].name);
    }
    th_text_put(text, "\t" TH_LOG_END "\n");
}

/* ---- writing ----------------------------------------------------------------------------------
 */

static bool is_control(const unsigned char *text, size_t n) {
    return text[0] < 0x20 || text[0] == 0x7F || (n == 2 && text[0] == 0xC2 && text[1] < 0xA0);
}

static void put_bytes(th_text *line, const unsigned char *bytes, size_t n) {
    for (size_t i = 0; i < n; i++) {
        th_text_add(line, "\\x%02X", bytes[i]);
    }
}

static void put_escaped(th_text *line, const char *text) {
    static const char letters[] = "\t\n\r\\";
    const unsigned char *p = (const unsigned char *)text;
    size_t left = strlen(text), n;

    for (; left > 0; p += n, left -= n) {
        const char *letter = strchr(letters, p[0]);
        n = th_scan_utf8(p, left);
        bool plain = n > 0 && !is_control(p, n);
        n = n == 0 ? 1 : n;
        if (letter) {
            th_text_add(line, "\\%c", "tnr\\"[letter - letters]);
        } else if (plain) {
            th_text_put_n(line, (const char *)p, n);
        } else {
            put_bytes(line, p, n);
        }
    }
}

static void put_number(th_text *line, double value) {
    char text[64];

    if (isfinite(value)) {
        th_quantity_write(value, TH_RATIO, TH_MM, text, sizeof text);
        th_text_put(line, text);
    }
}

void th_log_line(const th_log_record *record, th_text *text) {
    th_text_add(text, "%d", TH_LOG_FORMAT);
    for (size_t i = 0; i < CELLS; i++) {
        const char *field = (const char *)record + cells[i].offset;
        th_text_put(text, "\t");
        if (cells[i].form == FORM_NUMBER) {
            put_number(text, *(const double *)(const void *)field);
        } else if (cells[i].form == FORM_WORD) {
            th_text_put(text, cells[i].word(*(const int *)(const void *)field));
        } else {
            const char *value = *(const char *const *)(const void *)field;
            put_escaped(text, value ? value : "");
        }
    }
    th_text_put(text, "\t" TH_LOG_END "\n");
}

/* ---- reading ----------------------------------------------------------------------------------
 */

typedef struct {
    const char *p;
    size_t n;
} span;

static int digit_of(char c) {
    return c >= '0' && c <= '9' ? c - '0' : c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

/* The byte that an escape stands for; `used` gets its length. 0 where it is none. */
static char escaped(span rest, size_t *used) {
    static const char letters[] = "t\tn\nr\r\\\\";

    *used = 2;
    for (size_t i = 0; rest.n >= 2 && i + 1 < sizeof letters; i += 2) {
        if (rest.p[1] == letters[i]) {
            return letters[i + 1];
        }
    }
    *used = 4;
    if (rest.n < 4 || rest.p[1] != 'x' || digit_of(rest.p[2]) < 0 || digit_of(rest.p[3]) < 0) {
        return '\0';
    }
    return (char)(unsigned char)(16 * digit_of(rest.p[2]) + digit_of(rest.p[3]));
}

/* Text of a cell; false for an escape or a control character that no writer of ours makes. */
static bool unescape(span text, char *into) {
    for (size_t i = 0; i < text.n; into++) {
        size_t used = 1;
        *into = text.p[i];
        if (*into == '\\') {
            *into = escaped((span){text.p + i, text.n - i}, &used);
        } else if ((unsigned char)*into < 0x20 || *into == 0x7F) {
            return false;
        }
        if (*into == '\0') {
            return false;
        }
        i += used;
    }
    *into = '\0';
    return true;
}

static int number_at(const char *text, int digits) {
    int value = 0;

    for (int i = 0; i < digits; i++) {
        value = 10 * value + text[i] - '0';
    }
    return value;
}

/* "2026-01-31T14:05:09Z", a day that exists. */
static bool is_when(const char *text) {
    static const char shape[] = "dddd-dd-ddTdd:dd:ddZ";
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    size_t i = 0;

    while (shape[i] && (shape[i] == 'd' ? th_scan_digit(text[i]) : text[i] == shape[i])) {
        i++;
    }
    if (shape[i] != '\0' || text[i] != '\0') {
        return false;
    }
    int year = number_at(text, 4), month = number_at(text + 5, 2), day = number_at(text + 8, 2);
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    if (month < 1 || month > 12 || day < 1 || day > days[month - 1] + (month == 2 && leap)) {
        return false;
    }
    return number_at(text + 11, 2) < 24 && number_at(text + 14, 2) < 60 &&
           number_at(text + 17, 2) <= 60; /* a leap second */
}

static bool read_number(const char *text, const cell *of, double *value) {
    const char *end = text + strlen(text), *p = text;

    *value = NAN;
    if (*text == '\0') {
        return isnan(of->least); /* such a figure may be missing, and below 0 */
    }
    return th_scan_number(&p, end, value) && p == end && *value <= of->greatest &&
           (isnan(of->least) ? *value >= -of->greatest : *value >= of->least);
}

static bool read_cell(const cell *of, const char *text, th_log_record *record) {
    char *field = (char *)record + of->offset;

    if (of->form == FORM_NUMBER) {
        return read_number(text, of, (double *)(void *)field);
    }
    if (of->form == FORM_WORD) {
        int value = of->of(text);
        *(int *)(void *)field = value;
        return value >= 0;
    }
    *(const char **)(void *)field = text;
    return of->form == FORM_TEXT || is_when(text);
}

/* Cut a line at its tabs, at most `most` cells. */
static size_t cut_cells(const char *text, size_t n, span *found, size_t most) {
    size_t count = 0;

    for (const char *p = text, *end = text + n; count < most; count++) {
        const char *tab = memchr(p, '\t', (size_t)(end - p));
        found[count] = (span){p, (size_t)((tab ? tab : end) - p)};
        if (!tab) {
            return count + 1;
        }
        p = tab + 1;
    }
    return count;
}

static bool is_word(span text, const char *word) {
    return text.n == strlen(word) && memcmp(text.p, word, text.n) == 0;
}

bool th_log_ends_in(const char *text, size_t n, const char *word) {
    size_t length = strlen(word);

    return n > length && text[n - length - 1] == '\t' &&
           memcmp(text + n - length, word, length) == 0;
}

static bool read_cells(const span *found, th_arena *arena, th_log_record *record,
                       char why[TH_LOG_WHY]) {
    for (size_t i = 0; i < CELLS; i++) {
        char *text = th_arena_take(arena, found[i].n + 1);
        if (!text) {
            why[0] = '\0';
            return false;
        }
        if (!unescape(found[i], text) || !read_cell(&cells[i], text, record)) {
            snprintf(why, TH_LOG_WHY, "cell %zu, %s, cannot be understood", i + 2, cells[i].name);
            return false;
        }
    }
    return true;
}

bool th_log_parse(const char *text, size_t n, th_arena *arena, th_log_record *record,
                  char why[TH_LOG_WHY]) {
    enum { ALL = CELLS + 2 };
    char format[16];
    span found[ALL + 1];
    size_t count = cut_cells(text, n, found, ALL + 1);

    snprintf(format, sizeof format, "%d", TH_LOG_FORMAT);
    if (!is_word(found[0], format)) {
        snprintf(why, TH_LOG_WHY, "no record of format %s; of a later program, or not of this one",
                 format);
        return false;
    }
    if (count != ALL) {
        snprintf(why, TH_LOG_WHY, "%s%zu cells instead of %d", count > ALL ? "over " : "",
                 count > ALL ? (size_t)ALL : count, (int)ALL);
        return false;
    }
    if (!is_word(found[ALL - 1], TH_LOG_END)) {
        snprintf(why, TH_LOG_WHY, "its last cell is not \"%s\"", TH_LOG_END);
        return false;
    }
    *record = (th_log_record){.line = 0};
    return read_cells(found + 1, arena, record, why);
}
