/* The neutral document: sections of lines, pairs and tables. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "tackhold/report.h"

/* Room for one more item of `size` bytes in an arena-held array; NULL when out of memory. */
static void *grown(th_arena *arena, void *items, size_t count, size_t *capacity, size_t size) {
    if (count < *capacity) {
        return items;
    }
    size_t wanted = *capacity == 0 ? 8 : 2 * *capacity;
    void *larger = th_arena_take(arena, wanted * size);
    if (larger == NULL) {
        return NULL;
    }
    if (count > 0) {
        memcpy(larger, items, count * size);
    }
    *capacity = wanted;
    return larger;
}

static char *printed(th_arena *arena, const char *format, va_list list) {
    va_list again;
    va_copy(again, list);
    int length = th_vprint(NULL, 0, format, again);
    va_end(again);
    if (length < 0) {
        return NULL;
    }
    char *text = th_arena_take(arena, (size_t)length + 1);
    if (text != NULL) {
        th_vprint(text, (size_t)length + 1, format, list);
    }
    return text;
}

void th_doc_begin(th_doc *doc, const char *section_title) {
    if (doc->failed) {
        return;
    }
    th_doc_section *sections =
        grown(&doc->arena, doc->sections, doc->count, &doc->capacity, sizeof *doc->sections);
    if (sections == NULL) {
        doc->failed = true;
        return;
    }
    doc->sections = sections;
    doc->sections[doc->count++] = (th_doc_section){.title = section_title};
}

static th_doc_block *add_block(th_doc *doc, th_doc_kind kind) {
    if (!doc->failed && doc->count == 0) {
        th_doc_begin(doc, NULL);
    }
    if (doc->failed) {
        return NULL;
    }
    th_doc_section *section = &doc->sections[doc->count - 1];
    th_doc_block *blocks = grown(&doc->arena, section->blocks, section->count, &section->capacity,
                                 sizeof *section->blocks);
    if (blocks == NULL) {
        doc->failed = true;
        return NULL;
    }
    section->blocks = blocks;
    th_doc_block *block = &blocks[section->count++];
    *block = (th_doc_block){.kind = kind};
    return block;
}

void th_doc_line(th_doc *doc, const char *format, ...) {
    th_doc_block *block = add_block(doc, TH_DOC_LINE);
    if (block == NULL) {
        return;
    }
    va_list list;
    va_start(list, format);
    block->text = printed(&doc->arena, format, list);
    va_end(list);
    doc->failed = block->text == NULL;
}

static void add_labelled(th_doc *doc, th_doc_kind kind, const char *label, const char *text) {
    th_doc_block *block = text == NULL ? NULL : add_block(doc, kind);
    if (block == NULL) {
        doc->failed = true;
        return;
    }
    block->text = text;
    block->label = label == NULL ? NULL : th_arena_copy(&doc->arena, label, strlen(label));
    doc->failed = label != NULL && block->label == NULL;
}

void th_doc_pair(th_doc *doc, const char *label, const char *format, ...) {
    va_list list;
    va_start(list, format);
    add_labelled(doc, TH_DOC_PAIR, label, printed(&doc->arena, format, list));
    va_end(list);
}

void th_doc_step(th_doc *doc, const char *label, const char *format, ...) {
    va_list list;
    va_start(list, format);
    add_labelled(doc, TH_DOC_STEP, label, printed(&doc->arena, format, list));
    va_end(list);
}

void th_doc_picture(th_doc *doc, const char *caption, const th_text *svg) {
    bool drawn = !svg->failed && svg->size > 0;
    add_labelled(doc, TH_DOC_PICTURE, caption,
                 drawn ? th_arena_copy(&doc->arena, svg->data, svg->size) : NULL);
}

void th_doc_columns(th_doc *doc, const th_doc_column *columns, size_t count) {
    th_doc_block *block = add_block(doc, TH_DOC_TABLE);
    if (block == NULL) {
        return;
    }
    th_doc_column *copy = th_arena_take(&doc->arena, count * sizeof *copy);
    if (copy == NULL) {
        doc->failed = true;
        return;
    }
    memcpy(copy, columns, count * sizeof *copy);
    block->table = (th_doc_table){.columns = copy, .column_count = count};
}

/* The table begun last in the current section, or NULL. */
static th_doc_table *last_table(th_doc *doc) {
    if (doc->failed || doc->count == 0) {
        return NULL;
    }
    th_doc_section *section = &doc->sections[doc->count - 1];
    for (size_t i = section->count; i > 0; i--) {
        if (section->blocks[i - 1].kind == TH_DOC_TABLE) {
            return &section->blocks[i - 1].table;
        }
    }
    return NULL;
}

void th_doc_row(th_doc *doc, const char *const *cells) {
    th_doc_table *table = last_table(doc);
    if (table == NULL) {
        return;
    }
    const char **all = grown(&doc->arena, (void *)table->cells, table->row_count,
                             &table->row_capacity, table->column_count * sizeof *all);
    if (all == NULL) {
        doc->failed = true;
        return;
    }
    table->cells = all;
    for (size_t i = 0; i < table->column_count; i++) {
        const char *cell = cells[i] == NULL ? "" : cells[i];
        char *copy = th_arena_copy(&doc->arena, cell, strlen(cell));
        if (copy == NULL) {
            doc->failed = true;
            return;
        }
        all[table->row_count * table->column_count + i] = copy;
    }
    table->row_count++;
}

void th_doc_free(th_doc *doc) {
    if (doc != NULL) {
        th_arena_free(&doc->arena);
        *doc = (th_doc){0};
    }
}
