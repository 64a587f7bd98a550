/* answer_visits.c - in which cells the lines of a program cut. */
#include "answer.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST = 1024 };

static size_t slot_of(const line_visits *visits, unsigned line, unsigned cell) {
    size_t slots = 2 * visits->capacity;
    unsigned long long key = line * 0x9E3779B97F4A7C15ULL ^ cell * 0xC2B2AE3D27D4EB4FULL;
    size_t slot = (size_t)((key ^ key >> 29) % slots);

    for (; visits->at[slot]; slot = (slot + 1) % slots) {
        const line_visit *found = &visits->items[visits->at[slot] - 1];
        if (found->line == line && found->cell == cell) {
            break;
        }
    }
    return slot;
}

static bool grow(line_visits *visits, th_error *err) {
    size_t capacity = visits->capacity ? 2 * visits->capacity : FIRST;
    line_visit *items =
        capacity < UINT_MAX ? realloc(visits->items, capacity * sizeof *items) : NULL;
    unsigned *at;

    if (!items) {
        return th_fail_memory(err);
    }
    visits->items = items;
    at = calloc(2 * capacity, sizeof *at);
    if (!at) {
        return th_fail_memory(err);
    }
    free(visits->at);
    visits->at = at;
    visits->capacity = capacity;
    for (size_t i = 0; i < visits->count; i++) {
        at[slot_of(visits, items[i].line, items[i].cell)] = (unsigned)i + 1;
    }
    return true;
}

bool answer_visit(answer *a, size_t line, const place_step *step, th_error *err) {
    line_visits *visits = &a->visits;
    float *least;
    size_t slot;

    if (visits->count == visits->capacity && !grow(visits, err)) {
        return false;
    }
    slot = slot_of(visits, (unsigned)line, (unsigned)step->cell);
    if (!visits->at[slot]) {
        visits->items[visits->count++] =
            (line_visit){(unsigned)line, (unsigned)step->cell, INFINITY};
        visits->at[slot] = (unsigned)visits->count;
    }
    least = &visits->items[visits->at[slot] - 1].least;
    *least = fminf(*least, (float)step->load.hold_factor);
    return true;
}

void answer_visits_forget(answer *a) {
    a->visits.count = 0;
    if (a->visits.at) {
        memset(a->visits.at, 0, 2 * a->visits.capacity * sizeof *a->visits.at);
    }
}

void answer_visits_free(answer *a) {
    free(a->visits.items);
    free(a->visits.at);
    a->visits = (line_visits){.items = NULL};
}
