/* Writers of a document: plain text and tab-separated lines. */
#include <stdio.h>
#include <string.h>

#include "tackhold/report.h"
#include "utf8.h"

/* ---- wrapped text ---------------------------------------------------------------------------- */

typedef struct {
    const char *start;
    size_t bytes;
} piece;

static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

/* A word of digits and marks only, which therefore belongs to the word after it. */
static bool is_number(piece word) {
    bool digit = false;
    for (size_t i = 0; i < word.bytes; i++) {
        char c = word.start[i];
        if (c >= '0' && c <= '9') {
            digit = true;
        } else if (strchr("+-./(", c) == NULL) {
            return false;
        }
    }
    return digit;
}

static bool word_at(const char *text, piece *word) {
    while (is_blank(*text)) {
        text++;
    }
    word->start = text;
    while (*text != '\0' && !is_blank(*text)) {
        text++;
    }
    word->bytes = (size_t)(text - word->start);
    return word->bytes > 0;
}

/* Whether a word holds on to the one after it: a number to its unit, x or y to its place, "--set"
 * to its setting, an open quotation mark to what it quotes. */
static bool binds(piece word, bool *quoted) {
    for (size_t i = 0; i < word.bytes; i++) {
        *quoted = word.start[i] == '"' ? !*quoted : *quoted;
    }
    bool axis = word.bytes == 1 && (word.start[0] == 'x' || word.start[0] == 'y');
    return *quoted || axis || is_number(word) ||
           (word.bytes == 5 && memcmp(word.start, "--set", 5) == 0);
}

/* The next unbreakable stretch of words. */
static bool stretch_at(const char *text, piece *stretch) {
    piece word;
    if (!word_at(text, &word)) {
        return false;
    }
    *stretch = word;
    bool quoted = false;
    while (binds(word, &quoted) && word_at(word.start + word.bytes, &word)) {
        stretch->bytes = (size_t)(word.start + word.bytes - stretch->start);
    }
    return true;
}

/* The bytes of `text` that make at most `width` characters. */
static size_t fitting(const char *text, size_t bytes, size_t width) {
    size_t i = 0;
    while (i < bytes && width > 0) {
        size_t length = th_utf8_length(text + i);
        i += length == 0 ? 1 : length;
        width--;
    }
    return i < bytes ? i : bytes;
}

/* The first line of `text` in `width` columns; *rest is where the next one starts. */
static piece line_of(const char *text, size_t width, const char **rest) {
    piece line = {text, 0};
    piece next;
    const char *from = text;
    while (stretch_at(from, &next)) {
        const char *start = line.bytes == 0 ? next.start : line.start;
        size_t bytes = (size_t)(next.start + next.bytes - start);
        if (th_utf8_width(start, bytes) > width) {
            break;
        }
        line = (piece){start, bytes};
        from = next.start + next.bytes;
    }
    if (line.bytes == 0 && stretch_at(text, &next)) {
        piece word;
        word_at(next.start, &word);
        bool typed = memchr(word.start, '=', word.bytes) != NULL ||
                     memchr(word.start, '/', word.bytes) != NULL;
        size_t bytes = typed ? word.bytes : fitting(word.start, word.bytes, width);
        line = (piece){word.start, bytes};
        from = word.start + bytes;
    }
    while (is_blank(*from)) {
        from++;
    }
    *rest = from;
    return line;
}

/* Characters as they are, runs of blanks kept, controls and stray bytes as '?'. */
static void put_clean(th_text *out, piece line) {
    for (size_t i = 0; i < line.bytes;) {
        size_t length = th_utf8_length(line.start + i);
        unsigned char c = (unsigned char)line.start[i];
        bool c1 = length == 2 && c == 0xc2 && (unsigned char)line.start[i + 1] < 0xa0;
        if (length == 0 || c < 0x20 || c == 0x7f || c1) { /* some terminals obey C1 as well */
            th_text_put(out, is_blank((char)c) ? " " : "?");
            length = c1 ? 2 : 1;
        } else {
            th_text_put_n(out, line.start + i, length);
        }
        i += length;
    }
}

static void put_blanks(th_text *out, size_t count) {
    for (size_t i = 0; i < count; i++) {
        th_text_put_n(out, " ", 1);
    }
}

/* `text` wrapped from column `indent` on; the first line continues what stands there already. */
static void put_wrapped(th_text *out, const char *text, size_t indent) {
    const char *rest = text;
    bool first = true;
    do {
        piece line = line_of(rest, TH_TEXT_WIDTH - indent, &rest);
        if (!first) {
            put_blanks(out, indent);
        }
        put_clean(out, line);
        th_text_put(out, "\n");
        first = false;
    } while (*rest != '\0');
}

/* ---- tables ---------------------------------------------------------------------------------- */

enum { COLUMNS_MAX = 16, GAP = 2, NARROWEST = 8 };

static size_t width_of(const char *text) {
    return text == NULL ? 0 : th_utf8_width(text, strlen(text));
}

static size_t wider(size_t a, size_t b) {
    return a > b ? a : b;
}

/* Width of each column; the wrapping one shrinks until the table fits. */
static void table_widths(const th_doc_table *table, size_t widths[COLUMNS_MAX]) {
    size_t total = 0, wraps = table->column_count;
    for (size_t c = 0; c < table->column_count; c++) {
        const th_doc_column *column = &table->columns[c];
        widths[c] = wider(width_of(column->title), width_of(column->unit));
        for (size_t r = 0; r < table->row_count; r++) {
            widths[c] = wider(widths[c], width_of(table->cells[r * table->column_count + c]));
        }
        total += widths[c] + (c > 0 ? GAP : 0);
        wraps = column->wraps ? c : wraps;
    }
    if (total > TH_TEXT_WIDTH && wraps < table->column_count) {
        size_t over = total - TH_TEXT_WIDTH;
        size_t now = widths[wraps];
        widths[wraps] = now > over + NARROWEST ? now - over : NARROWEST;
    }
}

/* One line of cells; what a wrapping cell has left over is put back into cells. */
static bool put_cells(th_text *out, const th_doc_table *table, const char **cells,
                      const size_t widths[COLUMNS_MAX]) {
    bool more = false;
    size_t owed = 0; /* blanks owed before the next text, so that no line ends in blanks */
    for (size_t c = 0; c < table->column_count; c++) {
        const char *cell = cells[c] == NULL ? "" : cells[c];
        const char *rest = "";
        piece part = {cell, strlen(cell)};
        if (table->columns[c].wraps) {
            part = line_of(cell, widths[c], &rest);
        }
        size_t width = th_utf8_width(part.start, part.bytes);
        size_t spare = widths[c] > width ? widths[c] - width : 0;
        bool right = table->columns[c].right;
        if (part.bytes > 0) {
            put_blanks(out, owed + (right ? spare : 0));
            put_clean(out, part);
            owed = right ? 0 : spare;
        } else {
            owed += widths[c];
        }
        owed += GAP;
        cells[c] = rest;
        more = more || *rest != '\0';
    }
    th_text_put(out, "\n");
    return more;
}

static void put_table(th_text *out, const th_doc_table *table) {
    if (table->column_count == 0 || table->column_count > COLUMNS_MAX) {
        return;
    }
    size_t widths[COLUMNS_MAX];
    table_widths(table, widths);
    const char *cells[COLUMNS_MAX];
    bool units = false;
    for (size_t c = 0; c < table->column_count; c++) {
        cells[c] = table->columns[c].title;
        units = units || table->columns[c].unit != NULL;
    }
    put_cells(out, table, cells, widths);
    if (units) {
        for (size_t c = 0; c < table->column_count; c++) {
            cells[c] = table->columns[c].unit;
        }
        put_cells(out, table, cells, widths);
    }
    for (size_t r = 0; r < table->row_count; r++) {
        memcpy(cells, table->cells + r * table->column_count, table->column_count * sizeof *cells);
        while (put_cells(out, table, cells, widths)) {
        }
    }
}

/* ---- whole documents ------------------------------------------------------------------------- */

enum { LABEL_WIDEST = 28 };

static size_t widest_label(const th_doc_section *section) {
    size_t widest = 0;
    for (size_t i = 0; i < section->count; i++) {
        if (section->blocks[i].kind == TH_DOC_PAIR) {
            widest = wider(widest, width_of(section->blocks[i].label));
        }
    }
    return widest;
}

/* Column at which the values of a section's pairs start; sections without a title read as one
 * list and share it. */
static size_t value_column(const th_doc *doc, const th_doc_section *section) {
    size_t widest = widest_label(section);
    for (size_t i = 0; i < doc->count && section->title == NULL; i++) {
        if (doc->sections[i].title == NULL) {
            widest = wider(widest, widest_label(&doc->sections[i]));
        }
    }
    return (widest < LABEL_WIDEST ? widest : LABEL_WIDEST) + GAP;
}

static void put_pair(th_text *out, const th_doc_block *block, size_t column) {
    size_t width = width_of(block->label);
    put_clean(out, (piece){block->label, strlen(block->label)});
    if (width + GAP > column) {
        th_text_put(out, "\n");
        width = 0;
    }
    put_blanks(out, column - width);
    put_wrapped(out, block->text, column);
}

/* "12. label", the text below it. */
static void put_step(th_text *out, const th_doc_block *block, size_t number) {
    enum { COLUMN = 4 };
    char head[24];
    int width = snprintf(head, sizeof head, "%zu.", number);
    th_text_put(out, head);
    put_blanks(out, width < COLUMN ? (size_t)(COLUMN - width) : 1);
    put_wrapped(out, block->label, COLUMN);
    put_blanks(out, COLUMN);
    put_wrapped(out, block->text, COLUMN);
}

static void put_section(th_text *out, const th_doc *doc, const th_doc_section *section) {
    if (section->title != NULL) {
        put_wrapped(out, section->title, 0);
    }
    size_t column = value_column(doc, section), step = 0;
    for (size_t i = 0; i < section->count; i++) {
        const th_doc_block *block = &section->blocks[i];
        step = block->kind == TH_DOC_STEP ? step + 1 : 0;
        if (block->kind == TH_DOC_PICTURE) {
            continue;
        }
        if (step > 0) {
            put_step(out, block, step);
        } else if (block->kind == TH_DOC_TABLE) {
            put_table(out, &block->table);
        } else if (block->kind == TH_DOC_PAIR) {
            put_pair(out, block, column);
        } else {
            put_wrapped(out, block->text, 0);
        }
    }
}

bool th_doc_text(const th_doc *doc, th_text *text, th_error *err) {
    if (doc->failed) {
        return th_fail_memory(err); /* some of its texts may be missing */
    }
    if (doc->title != NULL) {
        put_wrapped(text, doc->title, 0);
    }
    for (size_t i = 0; i < doc->count; i++) {
        if (i > 0 || doc->title != NULL) {
            th_text_put(text, "\n");
        }
        put_section(text, doc, &doc->sections[i]);
    }
    return !(doc->failed || text->failed) || th_fail_memory(err);
}

static void put_tab_line(th_text *out, const char *const *cells, size_t count) {
    for (size_t c = 0; c < count; c++) {
        th_text_put(out, c > 0 ? "\t" : "");
        put_clean(out, (piece){cells[c], strlen(cells[c])});
    }
    th_text_put(out, "\n");
}

bool th_doc_tab(const th_doc *doc, th_text *text, th_error *err) {
    if (doc->failed) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < doc->count; i++) {
        for (size_t k = 0; k < doc->sections[i].count; k++) {
            const th_doc_block *block = &doc->sections[i].blocks[k];
            const th_doc_table *table = &block->table;
            if (block->kind != TH_DOC_TABLE || table->column_count > COLUMNS_MAX) {
                continue;
            }
            const char *head[COLUMNS_MAX];
            for (size_t c = 0; c < table->column_count; c++) {
                head[c] = table->columns[c].title;
            }
            put_tab_line(text, head, table->column_count);
            for (size_t r = 0; r < table->row_count; r++) {
                put_tab_line(text, table->cells + r * table->column_count, table->column_count);
            }
        }
    }
    return !(doc->failed || text->failed) || th_fail_memory(err);
}
