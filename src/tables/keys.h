/* keys.h - inside tables/: the key table and the reading of one key. */
#ifndef TACKHOLD_TABLES_KEYS_H
#define TACKHOLD_TABLES_KEYS_H

#include "tackhold/tables.h"

#define TH_TRUST_WORDS "measured published practice memory estimate"

/* Keys of the rows of a table. */
const th_key_group *th_row_group(th_table table);
const th_key *th_key_find(const th_key_group *group, const char *name);

/* Read `text` into the key's field of `row`. `units` says what bare lengths are in. Bounds are
 * checked. Errors have no file and line. */
bool th_key_read(const th_key *key, const char *text, th_units units, th_arena *arena, void *row,
                 th_error *err);

/* What a key takes: its kind and bounds, or its words. */
void th_key_form_text(const th_key *key, th_units units, th_text *text);

/* Set the field to its default, or to absent. */
bool th_key_reset(const th_key *key, th_arena *arena, void *row, th_error *err);

/* Read one entry into its key's field; errors carry the entry's place, section and key. */
bool th_entry_read(const th_entry *entry, const th_key *key, th_units units, th_arena *arena,
                   void *row, th_error *err);

/* Error of an entry: "[section] key = value: message". */
bool th_entry_fail(const th_entry *entry, th_error *err, th_status code, const char *format, ...)
    TH_PRINTF(4, 5);

/* "there is no key X in [section]; did you mean Y?" */
bool th_unknown_key(const th_entry *entry, const th_key_group *const *groups, size_t count,
                    th_error *err);

/* A row whose parts contradict each other; errors name what and why. */
bool th_row_check(th_table table, const void *row, th_error *err);

/* Size of a row struct. */
size_t th_row_size(th_table table);

#endif
