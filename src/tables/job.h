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
    bool bare;        /* it may have no cut */
    th_error *err;
} th_builder;

/* Row that [section] key names; NULL after an error. */
const void *th_builder_row(th_builder *builder, const char *section, const char *key,
                           th_table table, const char *id);

/* Error at the entry of [section] key, or at the section when the key was not given. */
bool th_builder_fail(th_builder *builder, const char *section, const char *key, th_status code,
                     const char *format, ...) TH_PRINTF(5, 6);
bool th_builder_given(const th_builder *builder, const char *section, const char *key);

/* A length for a message, in the job's unit; `least` rounds up, so that what it says will do. */
typedef struct {
    char text[40];
} th_length_text;
th_length_text th_builder_length(const th_builder *builder, double value);
th_length_text th_builder_least(const th_builder *builder, double value);

#define TH_DEFAULT(builder, ...)                                                                   \
    (th_lines_add(&(builder)->job->defaults, &(builder)->job->arena, __VA_ARGS__) ||               \
     th_fail_memory((builder)->err))
#define TH_CAUTION(builder, ...)                                                                   \
    (th_lines_add(&(builder)->job->cautions, &(builder)->job->arena, __VA_ARGS__) ||               \
     th_fail_memory((builder)->err))

/* Whether what reaches half_x, half_y from a place lies in the box of the part. */
bool th_inside(const th_job *job, th_point place, double half_x, double half_y);

/* Places of a section, to be laid out in a grid (and on circles) round each one given. */
typedef struct {
    const char *section;
    th_points *at;
    const th_counts *grid;
    const th_size *pitch;
    const th_count_length *circle; /* may be NULL */
} th_laying;
bool th_places_lay(th_builder *builder, const th_laying *laying);
bool th_places_check(th_builder *builder, const char *section, const th_points *at, double half_x,
                     double half_y);
bool th_cut_places(th_builder *builder, th_cut *cut);

/* Rows, derived values and checks across keys of [part], one [opening.N], [hold] and one [cut.N];
 * sheet and copies of the part come last, for they depend on the cuts. */
bool th_part_complete(th_builder *builder);
bool th_opening_complete(th_builder *builder, th_part_opening *opening);
bool th_hold_complete(th_builder *builder);
bool th_cut_complete(th_builder *builder, th_cut *cut);
bool th_sheet_complete(th_builder *builder);

#endif
