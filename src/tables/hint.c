/* hint.c - what an id that is no row may have meant. */
#include "tackhold/tables.h"

#include <stdio.h>
#include <stdlib.h>

/* A table of no more rows is listed where nothing is like the word. */
enum { FEW = 6 };

bool th_tables_hint(const th_tables *tables, th_table table, const char *word, const char *quote,
                    char hint[TH_HINT]) {
    size_t count = th_tables_count(tables, table), found;
    const char **ids = calloc(2 * count + 1, sizeof *ids);
    const char *meant[TH_MEANT_MOST];
    char text[TH_HINT - 32];

    hint[0] = '\0';
    if (!ids) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        const th_row_head *head = th_tables_row(tables, table, i);
        ids[i] = head->id;
        ids[count + i] = head->name;
    }
    found = th_meant(word, ids, ids + count, count, meant);
    if (found > 0) {
        th_meant_text(meant, found, quote, text, sizeof text);
        snprintf(hint, TH_HINT, "did you mean %s?", text);
    } else if (count > 0 && count <= FEW) {
        th_meant_text(ids, count, "", text, sizeof text);
        snprintf(hint, TH_HINT, "write %s", text);
    }
    free(ids);
    return true;
}
