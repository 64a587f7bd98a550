/* job.h - inside tables/: a job while it is being built. */
#ifndef TACKHOLD_TABLES_JOB_H
#define TACKHOLD_TABLES_JOB_H

#include "keys.h"

/* The entries that count, sorted by section and key. */
typedef struct {
    const th_entry *const *items;
    size_t count;
} th_merged;

/* The entry of a key; with key NULL the first entry of the section; NULL if there is none. */
const th_entry *th_merged_find(const th_merged *merged, const char *section, const char *key);

typedef struct {
    th_job *job;
    th_merged merged;
    th_units units;
    const char *file; /* of the job, for errors that have no line */
    th_error *err;
} th_builder;

/* Row that [section] key names; NULL after an error. */
const void *th_builder_row(th_builder *builder, const char *section, const char *key,
                           th_table table, const char *id);

/* Rows, derived values and checks across keys of [part], [hold] and one [cut.N]. */
bool th_part_complete(th_builder *builder);
bool th_hold_complete(th_builder *builder);
bool th_cut_complete(th_builder *builder, th_cut *cut);

#endif
