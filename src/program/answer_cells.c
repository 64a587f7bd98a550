/* answer_cells.c - where a program cuts, in cells of the stock: the worst step of each, and at
 * which of them the plate is asked. */
#include "answer.h"
#include "loads.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define WIDE 0.75 /* bending lengths that a cell is wide */
enum { ALONG = 48, FIRST = 256, WAYS = 8, QUARTERS = 4 };

/* What holds so many times the asked factor if stiff is not asked, but for the worst of its kind;
 * the plate has been seen to hold up to nine times less. */
#define AMPLE 12

/* How many times more the plate may take off where it was not asked than where it was; and what, of
 * the asked factor, holds whatever that is. */
#define UNSURE 1.6
#define PLENTY 2

/* ---- cells ------------------------------------------------------------------------------------
 */

static size_t slot_of(const place_cells *cells, const place_cell *cell) {
    size_t slots = 2 * cells->capacity;
    unsigned long long key =
        (unsigned long long)cell->place * 0x9E3779B97F4A7C15ULL ^
        (unsigned long long)cell->across * 0xC2B2AE3D27D4EB4FULL ^
        (unsigned long long)cell->up * 0x165667B19E3779F9ULL ^
        (unsigned long long)(QUARTERS * cell->open + cell->toward) * 0x27D4EB2F165667C5ULL;
    size_t slot = (size_t)((key ^ key >> 29) % slots);

    for (; cells->at[slot]; slot = (slot + 1) % slots) {
        const place_cell *found = &cells->items[cells->at[slot] - 1];
        if (found->place == cell->place && found->across == cell->across && found->up == cell->up &&
            found->open == cell->open && found->toward == cell->toward) {
            break;
        }
    }
    return slot;
}

static bool grow(place_cells *cells, th_error *err) {
    size_t capacity = cells->capacity ? 2 * cells->capacity : FIRST;
    place_cell *items = realloc(cells->items, capacity * sizeof *items);
    size_t *at;

    if (!items) {
        return th_fail_memory(err);
    }
    cells->items = items;
    at = calloc(2 * capacity, sizeof *at);
    if (!at) {
        return th_fail_memory(err);
    }
    free(cells->at);
    cells->at = at;
    cells->capacity = capacity;
    for (size_t i = 0; i < cells->count; i++) {
        at[slot_of(cells, &items[i])] = i + 1;
    }
    return true;
}

static double side_of(const th_loads *loads) {
    const double *box = loads->bounds;
    double longest = fmax(box[2] - box[0], box[3] - box[1]);

    return fmax(WIDE * loads->decay, longest / ALONG);
}

/* Where it is open all along, as amid a slot whose ends are cut, the part bends far more. */
static int open_ways(const th_loads *loads, const double at[3]) {
    static const double ways[WAYS][2] = {{1, 0},  {0.7, 0.7},   {0, 1},  {-0.7, 0.7},
                                         {-1, 0}, {-0.7, -0.7}, {0, -1}, {0.7, -0.7}};
    th_height_map map = th_sweep_map(loads->sweep);
    double reach = fmax(loads->diameter, loads->decay / 2);
    int open = 0;

    for (int k = 0; k < WAYS; k++) {
        double column = (at[0] + reach * ways[k][0] - map.x0) / map.cell;
        double row = (at[1] + reach * ways[k][1] - map.y0) / map.cell;
        bool on = column >= 0 && row >= 0 && column < (double)map.columns && row < (double)map.rows;
        open +=
            on && !(map.heights[(size_t)row * map.columns + (size_t)column] > (float)SKIN_JOINS);
    }
    return open;
}

/* At a corner of the path the line that leads there and the one that leads away load the part in
 * different directions, and what the one bends it says nothing of the other. */
static int quarter_of(const th_step_load *load) {
    long quarter = lround(load->heading / 90);

    return (int)((quarter % QUARTERS + QUARTERS) % QUARTERS);
}

bool answer_cells_note(answer *a, int place, place_step *step, th_error *err) {
    place_cells *cells = &a->cells;
    const double *at = step->load.at, *box = a->loads->bounds;
    size_t slot;

    if (cells->count == cells->capacity && !grow(cells, err)) {
        return false;
    }
    cells->side = side_of(a->loads);
    place_cell cell = {.place = place,
                       .across = (long)floor((at[0] - box[0]) / cells->side),
                       .up = (long)floor((at[1] - box[1]) / cells->side),
                       .open = open_ways(a->loads, at),
                       .toward = quarter_of(&step->load)};
    slot = slot_of(cells, &cell);
    bool fresh = !cells->at[slot];
    if (fresh) {
        cells->items[cells->count++] = cell;
        cells->at[slot] = cells->count;
    }
    step->cell = cells->at[slot] - 1;
    place_cell *found = &cells->items[step->cell];
    if (fresh || step->bent < found->worst.bent) {
        found->worst = *step;
    }
    if (fresh || step->load.hold_factor < found->least.load.hold_factor) {
        found->least = *step;
    }
    return true;
}

void answer_cells_forget(answer *a) {
    a->cells.count = 0;
    if (a->cells.at) {
        memset(a->cells.at, 0, 2 * a->cells.capacity * sizeof *a->cells.at);
    }
}

void answer_cells_free(answer *a) {
    free(a->cells.items);
    free(a->cells.at);
    a->cells = (place_cells){.items = NULL};
}

/* ---- where the plate is asked -----------------------------------------------------------------
 */

/* Equal ones by their lines and kinds of pieces, so that every qsort puts them alike. */
static int by_bent(const void *a, const void *b) {
    const place_step *const *x = a, *const *y = b;
    const th_step_load *p = &(*x)->load, *q = &(*y)->load;

    if ((*x)->bent != (*y)->bent) {
        return (*x)->bent > (*y)->bent ? 1 : -1;
    }
    if (p->line != q->line) {
        return p->line > q->line ? 1 : -1;
    }
    return p->kind != q->kind ? (p->kind > q->kind) - (p->kind < q->kind)
                              : ((*x)->cell > (*y)->cell) - ((*x)->cell < (*y)->cell);
}

/* One of each kind of place comes first, in each quarter. Gives how many these are. */
static size_t put_first(const answer *a, place_step **steps, size_t count) {
    bool seen[PLACE_KINDS][QUARTERS] = {{false}};
    size_t firsts = 0;

    for (size_t i = 0; i < count; i++) {
        place_step *step = steps[i];
        const place_cell *cell = &a->cells.items[step->cell];
        if (!seen[cell->place][cell->toward]) {
            seen[cell->place][cell->toward] = true;
            memmove(steps + firsts + 1, steps + firsts, (i - firsts) * sizeof *steps);
            steps[firsts++] = step;
        }
    }
    return firsts;
}

bool answer_choose(answer *a, th_error *err) {
    double ample = AMPLE * a->run->asked_factor;
    size_t most = a->options->plates, count = 0, firsts;

    a->ask_count = 0;
    a->asks = th_arena_take(&a->run->arena, (a->cells.count + 1) * sizeof(place_step *));
    if (!a->asks) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < a->cells.count; i++) {
        a->asks[count++] = &a->cells.items[i].worst;
    }
    qsort(a->asks, count, sizeof *a->asks, by_bent);
    firsts = put_first(a, a->asks, count);
    for (size_t i = 0; i < count && i < most && (i < firsts || a->asks[i]->bent < ample); i++) {
        a->ask_count++;
    }
    return true;
}

/* The most that the plate took off where it was asked, by kind of place and of any; gives the least
 * that was told. */
static double told_so_far(const answer *a, double most[PLACE_KINDS + 1]) {
    double least = INFINITY;

    for (int place = 0; place <= PLACE_KINDS; place++) {
        most[place] = 0;
    }
    for (size_t i = 0; i < a->cells.count; i++) {
        const place_cell *cell = &a->cells.items[i];
        const place_step *step = &cell->worst;
        if (step->asked) {
            most[cell->place] = fmax(most[cell->place], step->ratio);
            most[PLACE_KINDS] = fmax(most[PLACE_KINDS], step->ratio);
            least = fmin(least, step->load.hold_factor / step->ratio);
        }
    }
    return least;
}

bool answer_choose_again(answer *a, th_error *err) {
    double most[PLACE_KINDS + 1], least = told_so_far(a, most);
    double open = UNSURE * fmin(least, PLENTY * a->run->asked_factor);
    size_t count = 0;

    a->ask_count = a->met = 0;
    a->asks = th_arena_take(&a->run->arena, (a->cells.count + 1) * sizeof(place_step *));
    if (!a->asks) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < a->cells.count; i++) {
        place_cell *cell = &a->cells.items[i];
        double off = most[cell->place] > 0 ? most[cell->place] : most[PLACE_KINDS];
        cell->worst.bent = cell->worst.load.hold_factor / fmax(off, 1);
        if (!cell->worst.met && cell->worst.bent < open) {
            a->asks[count++] = &cell->worst;
        }
    }
    qsort(a->asks, count, sizeof *a->asks, by_bent);
    a->ask_count = count < a->options->plates / 2 ? count : a->options->plates / 2;
    return true;
}
