/* html.c - writer of a document as parts of an HTML page. */
#include <string.h>

#include "picture.h"
#include "tackhold/report.h"

/* The title in small letters, everything else '-'. */
static void put_name(th_text *out, const char *title) {
    for (const char *c = title; *c != '\0'; c++) {
        bool upper = *c >= 'A' && *c <= 'Z', lower = *c >= 'a' && *c <= 'z';
        char letter = upper ? (char)(*c - 'A' + 'a') : *c;
        bool plain = upper || lower || (*c >= '0' && *c <= '9');
        th_text_put_n(out, plain ? &letter : "-", 1);
    }
}

static void put_element(th_text *out, const char *name, const char *text) {
    th_text_add(out, "<%s>", name);
    th_svg_escape(out, text);
    th_text_add(out, "</%s>", name);
}

/* ---- tables ---------------------------------------------------------------------------------- */

static const char *side(const th_doc_column *column) {
    return column->right ? " class=\"number\"" : "";
}

static void put_head(th_text *out, const th_doc_table *table) {
    th_text_put(out, "<thead><tr>");
    for (size_t c = 0; c < table->column_count; c++) {
        const th_doc_column *column = &table->columns[c];
        th_text_add(out, "<th scope=\"col\"%s>", side(column));
        th_svg_escape(out, column->title);
        if (column->unit != NULL) {
            th_text_put(out, " ");
            put_element(out, "small", column->unit);
        }
        th_text_put(out, "</th>");
    }
    th_text_put(out, "</tr></thead>\n");
}

static void put_row(th_text *out, const th_doc_table *table, size_t row) {
    th_text_put(out, "<tr>");
    for (size_t c = 0; c < table->column_count; c++) {
        const char *name = c == 0 ? "th" : "td";
        th_text_add(out, "<%s%s%s>", name, c == 0 ? " scope=\"row\"" : "",
                    side(&table->columns[c]));
        th_svg_escape(out, table->cells[row * table->column_count + c]);
        th_text_add(out, "</%s>", name);
    }
    th_text_put(out, "</tr>\n");
}

/* Wider than a phone: it scrolls by itself, by keys too. */
static void put_table(th_text *out, const th_doc_table *table, const char *title) {
    th_text_put(out, "<div class=\"wide\" role=\"region\" tabindex=\"0\" aria-label=\"");
    th_svg_escape(out, title == NULL ? "table" : title);
    th_text_put(out, "\"><table>\n");
    put_head(out, table);
    th_text_put(out, "<tbody>\n");
    for (size_t r = 0; r < table->row_count; r++) {
        put_row(out, table, r);
    }
    th_text_put(out, "</tbody></table></div>\n");
}

/* ---- lists ----------------------------------------------------------------------------------- */

typedef enum { NO_LIST, TERMS, ITEMS, STEPS } list_kind;

static list_kind list_of(const th_doc_block *block) {
    bool item = block->kind == TH_DOC_PAIR && strcmp(block->label, "-") == 0;
    return block->kind == TH_DOC_STEP   ? STEPS
           : item                       ? ITEMS
           : block->kind == TH_DOC_PAIR ? TERMS
                                        : NO_LIST;
}

static void change_list(th_text *out, list_kind from, list_kind to) {
    static const char *const opens[] = {"", "<dl>\n", "<ul>\n", "<ol>\n"};
    static const char *const closes[] = {"", "</dl>\n", "</ul>\n", "</ol>\n"};
    if (from != to) {
        th_text_put(out, closes[from]);
        th_text_put(out, opens[to]);
    }
}

static void put_list_block(th_text *out, const th_doc_block *block) {
    list_kind kind = list_of(block);
    if (kind == TERMS) {
        th_text_put(out, "<div>");
        put_element(out, "dt", block->label);
        put_element(out, "dd", block->text);
        th_text_put(out, "</div>\n");
        return;
    }
    th_text_put(out, "<li>");
    if (kind == STEPS) {
        put_element(out, "strong", block->label);
        th_text_put(out, " ");
    }
    th_svg_escape(out, block->text);
    th_text_put(out, "</li>\n");
}

/* ---- sections -------------------------------------------------------------------------------- */

static void put_picture(th_text *out, const th_doc_block *block) {
    th_text_put(out, "<figure tabindex=\"0\">\n"); /* it may scroll: by keys too */
    th_text_put(out, block->text);
    if (block->label != NULL) {
        put_element(out, "figcaption", block->label);
    }
    th_text_put(out, "</figure>\n");
}

static void put_block(th_text *out, const th_doc_section *section, const th_doc_block *block) {
    if (list_of(block) != NO_LIST) {
        put_list_block(out, block);
    } else if (block->kind == TH_DOC_TABLE) {
        put_table(out, &block->table, section->title);
    } else if (block->kind == TH_DOC_PICTURE) {
        put_picture(out, block);
    } else {
        put_element(out, "p", block->text);
        th_text_put(out, "\n");
    }
}

static void put_section(th_text *out, const th_doc_section *section) {
    list_kind list = NO_LIST;
    th_text_put(out, "<section");
    if (section->title != NULL) {
        th_text_put(out, " id=\"");
        put_name(out, section->title);
        th_text_put(out, "\">\n");
        put_element(out, "h2", section->title);
    } else {
        th_text_put(out, ">");
    }
    th_text_put(out, "\n");
    for (size_t i = 0; i < section->count; i++) {
        list_kind next = list_of(&section->blocks[i]);
        change_list(out, list, next);
        list = next;
        put_block(out, section, &section->blocks[i]);
    }
    change_list(out, list, NO_LIST);
    th_text_put(out, "</section>\n");
}

bool th_doc_html(const th_doc *doc, th_text *text, th_error *err) {
    if (doc->failed) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < doc->count; i++) {
        put_section(text, &doc->sections[i]);
    }
    return !text->failed || th_fail_memory(err);
}
