/* tabs.c - which metal of a finished sweep is tabs. */
#include "tabs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define THINNED 0.98 /* share of the thickness below which metal was cut into */
#define SPREAD 2     /* cells round a tab that count as it, as other maps have other samples */
#define NONE ((size_t)-1)

typedef struct {
    height_map map;                 /* the sweep's, with what may be tabs apart */
    run_list joined, thin;          /* pieces without it, and itself */
    size_t *tab_sides, *open_sides; /* cells beside, by root of `joined` */
    size_t *largest;                /* roots of `joined`, by label */
    bool *kept;                     /* by root of `thin` */
} tab_work;

static void set_bit(unsigned char *bits, size_t cell) {
    bits[cell / 8] = (unsigned char)(bits[cell / 8] | 1 << cell % 8);
}

/* ---- what may be tabs ------------------------------------------------------------------------ */

static bool mark_thinned(const tab_search *search, tab_work *w) {
    height_map *map = &w->map;
    float high = (float)(THINNED * map->thickness), skin = (float)search->sweep->setup.skin;
    bool any = false;

    for (size_t row = 0; row < map->rows; row++) {
        for (size_t i = 0; i < map->columns; i++) {
            size_t cell = row * map->columns + i;
            float height = map->heights[cell];
            if (height > skin && height < high &&
                !search->in_part(search->context, map_x(map, i, row), map_y(map, i, row))) {
                set_bit(map->apart, cell);
                any = true;
            }
        }
    }
    return any;
}

static bool find_runs(const tab_search *search, tab_work *w) {
    height_map *map = &w->map;
    map_window all = {0, 0, (long)map->columns - 1, (long)map->rows - 1};
    double skin = search->sweep->setup.skin;

    return run_list_find(map, &all, skin, &w->joined) && run_list_find_apart(map, skin, &w->thin);
}

/* ---- which of it are ------------------------------------------------------------------------- */

/* What lies beside a cell of a piece. */
static void count_side(tab_work *w, size_t root, long row, long column) {
    const height_map *map = &w->map;

    if (row < 0 || column < 0 || row >= (long)map->rows || column >= (long)map->columns) {
        return;
    }
    size_t cell = (size_t)row * map->columns + (size_t)column;
    if (map_apart(map, cell)) {
        w->tab_sides[root]++;
    } else {
        w->open_sides[root] += !(map->heights[cell] > 0);
    }
}

static void count_sides(tab_work *w) {
    for (size_t k = 0; k < w->joined.count; k++) {
        const map_run *run = &w->joined.items[k];
        size_t root = run_list_root(&w->joined, k);
        count_side(w, root, run->row, run->first - 1);
        count_side(w, root, run->row, run->last + 1);
        for (long i = run->first; i <= run->last; i++) {
            count_side(w, root, run->row - 1, i);
            count_side(w, root, run->row + 1, i);
        }
    }
}

static int by_place(const void *a, const void *b) {
    const map_run *x = a, *y = b;

    if (x->row != y->row) {
        return x->row < y->row ? -1 : 1;
    }
    return (x->first > y->last) - (x->last < y->first);
}

static void keep_at(tab_work *w, long row, long column) {
    map_run here = {.row = row, .first = column, .last = column};
    const map_run *run =
        bsearch(&here, w->thin.items, w->thin.count, sizeof *w->thin.items, by_place);

    if (run) {
        w->kept[run_list_root(&w->thin, (size_t)(run - w->thin.items))] = true;
    }
}

/* The largest of what is one piece as it is does not come loose from it. */
static bool largest(const tab_work *w, size_t root) {
    const map_run *run = &w->joined.items[root];
    size_t cell = (size_t)run->row * w->map.columns + (size_t)run->first;

    return w->largest[w->map.labels[cell]] == root;
}

static void keep_tabs(const tab_search *search, tab_work *w) {
    count_sides(w);
    for (size_t k = 0; k < w->joined.count; k++) {
        const map_run *run = &w->joined.items[k];
        size_t root = run_list_root(&w->joined, k);
        if (!w->tab_sides[root] || w->tab_sides[root] >= w->open_sides[root] ||
            w->joined.items[root].cells < search->sweep->least || largest(w, root)) {
            continue;
        }
        keep_at(w, run->row, run->first - 1);
        keep_at(w, run->row, run->last + 1);
        for (long i = run->first; i <= run->last; i++) {
            keep_at(w, run->row - 1, i);
            keep_at(w, run->row + 1, i);
        }
    }
}

/* ---- the map of them ------------------------------------------------------------------------- */

static void put_round(const height_map *map, const map_run *run, unsigned char *bits) {
    for (long row = run->row - SPREAD; row <= run->row + SPREAD; row++) {
        for (long i = run->first - SPREAD; i <= run->last + SPREAD; i++) {
            if (row >= 0 && i >= 0 && row < (long)map->rows && i < (long)map->columns) {
                set_bit(bits, (size_t)row * map->columns + (size_t)i);
            }
        }
    }
}

static bool put_tabs(tab_work *w, th_tabs *tabs) {
    const height_map *map = &w->map;
    bool any = false;

    tabs->bits = calloc(map->columns * map->rows / 8 + 1, 1);
    for (size_t k = 0; tabs->bits && k < w->thin.count; k++) {
        if (w->kept[run_list_root(&w->thin, k)]) {
            put_round(map, &w->thin.items[k], tabs->bits);
            any = true;
        }
    }
    if (!tabs->bits) {
        return false;
    }
    if (!any) {
        th_tabs_free(tabs);
    }
    return true;
}

static bool work_out(const tab_search *search, tab_work *w, th_tabs *tabs) {
    if (!mark_thinned(search, w)) {
        return true;
    }
    if (!find_runs(search, w)) {
        return false;
    }
    w->tab_sides = calloc(w->joined.count + 1, sizeof *w->tab_sides);
    w->open_sides = calloc(w->joined.count + 1, sizeof *w->open_sides);
    w->largest = run_list_largest(&w->map, &w->joined, search->sweep->pieces.count);
    w->kept = calloc(w->thin.count + 1, sizeof *w->kept);
    if (!w->tab_sides || !w->open_sides || !w->largest || !w->kept) {
        return false;
    }
    keep_tabs(search, w);
    return put_tabs(w, tabs);
}

bool tabs_find(const tab_search *search, th_tabs *tabs, th_error *err) {
    const height_map *map = &search->sweep->map;
    tab_work w = {.map = *map};
    bool done;

    *tabs = (th_tabs){map->columns, map->rows, map->x0, map->y0, map->cell, NULL};
    w.map.apart = calloc(map->columns * map->rows / 8 + 1, 1);
    done = w.map.apart && work_out(search, &w, tabs);
    free(w.map.apart);
    free(w.tab_sides);
    free(w.open_sides);
    free(w.largest);
    free(w.kept);
    run_list_free(&w.joined);
    run_list_free(&w.thin);
    return done || th_fail_memory(err);
}

void th_tabs_free(th_tabs *tabs) {
    free(tabs->bits);
    tabs->bits = NULL;
}

bool th_tabs_at(const th_tabs *tabs, double x, double y) {
    double column = floor((x - tabs->x0) / tabs->cell), row = floor((y - tabs->y0) / tabs->cell);

    if (!tabs->bits ||
        !(column >= 0 && row >= 0 && column < (double)tabs->columns && row < (double)tabs->rows)) {
        return false;
    }
    size_t cell = (size_t)row * tabs->columns + (size_t)column;
    return tabs->bits[cell / 8] >> cell % 8 & 1;
}

/* ---- a piece --------------------------------------------------------------------------------- */

static bool is_tab(const height_map *map, size_t cell) {
    return map_apart(map, cell) && map->heights[cell] > 0;
}

bool tabs_beside(const th_sweep *sweep, size_t piece) {
    const height_map *map = &sweep->map;

    for (size_t row = 0; map->apart && row < map->rows; row++) {
        for (size_t i = 0; i < map->columns; i++) {
            size_t cell = row * map->columns + i;
            if (!(map->heights[cell] > 0) || map->labels[cell] != piece || is_tab(map, cell)) {
                continue;
            }
            if ((i > 0 && is_tab(map, cell - 1)) ||
                (i + 1 < map->columns && is_tab(map, cell + 1)) ||
                (row > 0 && is_tab(map, cell - map->columns)) ||
                (row + 1 < map->rows && is_tab(map, cell + map->columns))) {
                return true;
            }
        }
    }
    return false;
}
