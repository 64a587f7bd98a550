/* doc_json.c - a document as JSON: sections of blocks, for a reader that lays it out itself. */
#include "tackhold/report.h"

static void put_table(th_json *json, const th_doc_table *table) {
    th_json_key(json, "columns");
    th_json_array(json);
    for (size_t i = 0; i < table->column_count; i++) {
        th_json_object(json);
        th_json_text(json, "title", table->columns[i].title);
        th_json_text(json, "unit", table->columns[i].unit);
        th_json_flag(json, "right", table->columns[i].right);
        th_json_end(json);
    }
    th_json_end(json);
    th_json_key(json, "rows");
    th_json_array(json);
    for (size_t r = 0; r < table->row_count; r++) {
        th_json_array(json);
        for (size_t i = 0; i < table->column_count; i++) {
            th_json_string(json, table->cells[r * table->column_count + i]);
        }
        th_json_end(json);
    }
    th_json_end(json);
}

static void put_block(th_json *json, const th_doc_block *block) {
    th_json_object(json);
    if (block->kind == TH_DOC_TABLE) {
        put_table(json, &block->table);
    } else {
        if (block->kind == TH_DOC_PAIR) {
            th_json_text(json, "label", block->label);
        }
        th_json_text(json, "text", block->text);
    }
    th_json_end(json);
}

bool th_doc_json(const th_doc *doc, th_text *text, th_error *err) {
    th_json json = {.text = text};

    if (doc->failed) {
        return th_fail_memory(err);
    }
    th_json_object(&json);
    th_json_text(&json, "title", doc->title);
    th_json_key(&json, "sections");
    th_json_array(&json);
    for (size_t s = 0; s < doc->count; s++) {
        th_json_object(&json);
        th_json_text(&json, "title", doc->sections[s].title);
        th_json_key(&json, "blocks");
        th_json_array(&json);
        for (size_t i = 0; i < doc->sections[s].count; i++) {
            put_block(&json, &doc->sections[s].blocks[i]);
        }
        th_json_end(&json);
        th_json_end(&json);
    }
    th_json_end(&json);
    th_json_end(&json);
    return (!text->failed && !json.failed) || th_fail_memory(err);
}
