/* job_lines.h - lines of jobs, made up from the table of keys: a mutation that gets past the names
 * of keys and units, which a change of single bytes seldom does. */
#ifndef FUZZ_JOB_LINES_H
#define FUZZ_JOB_LINES_H

#include "tackhold/tables.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>

size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t room);
size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t room, unsigned seed);

/* Numerical Recipes' linear congruential generator; its high bits are the better ones. */
static inline unsigned dice(unsigned *state, size_t sides) {
    *state = *state * 1664525u + 1013904223u;
    return (unsigned)((*state >> 8) % sides);
}

static inline double some_number(const th_key *key, unsigned *state) {
    double share = dice(state, 1000) / 999.0;

    switch (dice(state, 7)) {
    case 0:
        return key->least;
    case 1:
        return key->greatest;
    case 2:
        return key->least + (key->greatest - key->least) * share;
    case 3:
        return key->greatest + (key->greatest - key->least) * share * share;
    case 4:
        return key->least - (key->greatest - key->least) * share * share;
    default: /* most bounds are far wider than what is usual */
        return 50 * share * share * share;
    }
}

static inline void put_number(const th_key *key, unsigned *state, th_text *line) {
    static const char *const gaps[] = {"", " ", "e0 ", "0", "/2 "};
    char text[80];
    size_t number;

    th_quantity_write(some_number(key, state), (th_kind)key->kind, dice(state, 3) ? TH_MM : TH_INCH,
                      text, sizeof text);
    if (dice(state, 4)) {
        th_text_put(line, text);
        return;
    }
    number = strcspn(text, " ");
    th_text_put_n(line, text, number);
    th_text_put(line, gaps[dice(state, 5)]);
    th_text_put(line, dice(state, 2) ? "" : text + number);
}

static inline void put_word(const char *words, unsigned *state, th_text *line) {
    for (unsigned skip = dice(state, 10); skip > 0 && strchr(words, ' '); skip--) {
        words = strchr(words, ' ') + 1;
    }
    th_text_put_n(line, words, strcspn(words, " "));
}

static inline void put_row(const th_key *key, const th_tables *tables, unsigned *state,
                           th_text *line) {
    size_t count = th_tables_count(tables, (th_table)key->kind);
    const th_row_head *head =
        th_tables_row(tables, (th_table)key->kind, dice(state, count ? count : 1));

    th_text_put(line, head ? head->id : "none");
}

static inline void put_value(const th_key *key, const th_tables *tables, unsigned *state,
                             th_text *line) {
    switch (key->form) {
    case TH_FORM_WORD:
    case TH_FORM_FLAGS:
        put_word(key->words, state, line);
        break;
    case TH_FORM_ROW:
        put_row(key, tables, state, line);
        break;
    case TH_FORM_TEXT:
        th_text_put(line, dice(state, 2) ? "a" : "b");
        break;
    case TH_FORM_QUANTITY:
    case TH_FORM_CHIP:
    case TH_FORM_COUNT:
        put_number(key, state, line);
        break;
    case TH_FORM_COUNTS:
    case TH_FORM_COUNT_LENGTH:
        th_text_add(line, "%u x ", dice(state, 12));
        put_number(key, state, line);
        break;
    default:
        for (unsigned more = dice(state, 4); more > 0; more--) {
            put_number(key, state, line);
            th_text_put(line, more % 2 ? " " : ",");
        }
        put_number(key, state, line);
        th_text_put(line, key->form == TH_FORM_SIZE ? "x" : ",");
        put_number(key, state, line);
        break;
    }
}

/* Where the line begins that sets a key, or else some line at all. */
static inline size_t line_of(const uint8_t *data, size_t size, const char *name, size_t somewhere) {
    size_t length = strlen(name), start = 0, some = 0;

    for (size_t i = 0; i < size; i++) {
        if (i > 0 && data[i - 1] == '\n') {
            start = i;
            some = i <= somewhere ? i : some;
        }
        if (i == start && size - i > length && memcmp(data + i, name, length) == 0 &&
            (data[i + length] == ' ' || data[i + length] == '=') && i >= somewhere) {
            return i;
        }
    }
    return some;
}

/* Put the line over the one that begins at `at`, or before it. */
static inline size_t splice(uint8_t *data, size_t size, size_t room, size_t at, bool over,
                            const th_text *line) {
    const uint8_t *end = over ? memchr(data + at, '\n', size - at) : data + at;
    size_t rest = end ? (size_t)(end - data) + over : size;

    if (line->failed || at + line->size + (size - rest) > room) {
        return size;
    }
    memmove(data + at + line->size, data + rest, size - rest);
    memcpy(data + at, line->data, line->size);
    return at + line->size + (size - rest);
}

/* A line of some section's key, over the line that has it now or among the others. */
static inline size_t put_line(uint8_t *data, size_t size, size_t room, const th_tables *tables,
                              unsigned state) {
    size_t count;
    const th_key_group *groups = th_job_groups(&count);
    const th_key_group *group = &groups[dice(&state, count)];
    const th_key *key = &group->keys[dice(&state, group->count)];
    th_text line = {0};
    size_t at = line_of(data, size, key->name, size ? dice(&state, size) : 0);
    bool over = dice(&state, 3) > 0;

    if (dice(&state, 12) == 0) {
        th_text_add(&line, "[%s.%u]\n", group->section, dice(&state, 4));
        over = false;
    } else {
        th_text_add(&line, "%s = ", key->name);
        put_value(key, tables, &state, &line);
        th_text_put(&line, "\n");
    }
    size = splice(data, size, room, at, over, &line);
    th_text_free(&line);
    return size;
}

#endif
