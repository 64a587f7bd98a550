/* fuzz_tables.c - no table of rows may crash the reader, hang it or make it use memory without
 * bound. In rows that it accepts every figure lies within the bounds of its key, nothing required
 * is absent, and a row is found again by its id. The first byte says which table it is taken for.
 */
#include "sound.h"

#include "tackhold/files.h"
#include "tackhold/tables.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const void *field(const th_key *key, const void *row) {
    return (const char *)row + key->offset;
}

static void check_number(const th_key *key, double value) {
    bool given = !isnan(value);

    insist(given || !(key->flags & TH_KEY_REQUIRED));
    insist(!given || ((key->flags & TH_KEY_ABOVE) ? value > key->least : value >= key->least));
    insist(!given || value <= key->greatest);
}

static void check_row(th_table table, const th_row_head *row) {
    const th_key_group *group = th_key_group_of(th_table_name(table), false);

    insist(group && row->id && row->id[0] != '\0');
    for (size_t i = 0; i < group->count; i++) {
        const th_key *key = &group->keys[i];
        if (key->form == TH_FORM_QUANTITY && (key->flags & TH_KEY_REQUIRED)) {
            check_number(key, *(const double *)field(key, row));
        } else if (key->form == TH_FORM_COUNT) {
            check_number(key, *(const int *)field(key, row));
        } else if (key->form == TH_FORM_TEXT && (key->flags & TH_KEY_REQUIRED)) {
            insist(*(const char *const *)field(key, row) != NULL);
        }
    }
}

static void check_tables(const th_tables *tables, th_table table) {
    for (size_t i = 0; i < th_tables_count(tables, table); i++) {
        const th_row_head *row = th_tables_row(tables, table, i);
        insist(row && th_tables_find(tables, table, row->id) == row);
        check_row(table, row);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    th_ini ini = {{NULL}, NULL, 0};
    th_error err = {0};
    th_table table = size > 0 ? (th_table)(data[0] % TH_TABLE_COUNT) : TH_STOCKS;
    const char *text = size > 0 ? (const char *)data + 1 : "";
    th_tables *tables = th_tables_new();

    insist(tables);
    if (th_ini_scan(text, size > 0 ? size - 1 : 0, "fuzz.ini", TH_FROM_TABLE, &ini, &err) &&
        th_tables_add(tables, table, ini.items, ini.count, &err)) {
        check_tables(tables, table);
    } else {
        insist(err.code != TH_OK && err.message[0] != '\0' && strcmp(err.file, "fuzz.ini") == 0);
    }
    th_tables_free(tables);
    th_ini_free(&ini);
    return 0;
}
