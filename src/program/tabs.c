/* tabs.c - which metal of a finished sweep is tabs. */
#include "tabs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define THINNED 0.98 /* share of the height around below which metal is thinned */
#define SPREAD 2     /* cells round a tab that count as it, as other maps have other samples */

/* Heights of the metal outside the parts are counted in shares of the thickness, at so many places;
 * it stands at a height that this share of it has, in two neighbouring shares together. */
enum { SHARES = 100, LOOKS = 40000 };
#define STANDS 0.25

typedef struct {
    height_map map;                 /* the sweep's, with what may be tabs apart */
    run_list joined, thin;          /* pieces without it, and itself */
    size_t *tab_sides, *open_sides; /* cells beside, by root of `joined` */
    size_t *largest;                /* roots of `joined`, by label */
    bool *kept;                     /* by root of `thin` */
} tab_work;

/* Metal outside the parts of one share of the thickness. */
typedef struct {
    size_t count;
    float least; /* (mm) */
} height_share;

static void set_bit(unsigned char *bits, size_t cell) {
    bits[cell / 8] = (unsigned char)(bits[cell / 8] | 1 << cell % 8);
}

/* ---- what may be tabs ------------------------------------------------------------------------ */

static bool outside(const tab_search *search, const height_map *map, size_t cell) {
    size_t row = cell / map->columns, column = cell % map->columns;

    return !search->in_part(search->context, map_x(map, column, row), map_y(map, column, row));
}

/* Gives how many places were counted. */
static size_t count_heights(const tab_search *search, const height_map *map,
                            height_share shares[SHARES]) {
    size_t cells = map->columns * map->rows, every = cells / LOOKS + 1, count = 0;
    float skin = (float)search->sweep->setup.skin;

    for (size_t cell = 0; cell < cells; cell += every) {
        float height = map->heights[cell];
        if (height > skin && outside(search, map, cell)) {
            size_t at = (size_t)((double)height / map->thickness * SHARES);
            height_share *share = &shares[at < SHARES ? at : SHARES - 1];
            share->least = share->count++ ? fminf(share->least, height) : height;
            count++;
        }
    }
    return count;
}

/* A sheet may have been faced as a whole, or in part: the lowest height at which much of what is
 * round the parts stands. */
static double height_around(const tab_search *search, const height_map *map) {
    height_share shares[SHARES] = {{0, 0}};
    size_t all = count_heights(search, map, shares);

    for (size_t i = 0; i + 1 < SHARES && all > 0; i++) {
        if ((double)(shares[i].count + shares[i + 1].count) >= STANDS * (double)all) {
            return shares[i].count ? (double)shares[i].least : (double)shares[i + 1].least;
        }
    }
    return map->thickness;
}

static bool mark_thinned(const tab_search *search, tab_work *w) {
    height_map *map = &w->map;
    float high = (float)(THINNED * height_around(search, map));
    float skin = (float)search->sweep->setup.skin;
    bool any = false;

    for (size_t row = 0; row < map->rows; row++) {
        for (size_t i = 0; i < map->columns; i++) {
            size_t cell = row * map->columns + i;
            float height = map->heights[cell];
            if (height > skin && height < high && outside(search, map, cell)) {
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

/* A tab is less than what it ties. */
static void keep_at(tab_work *w, long row, long column, size_t tied) {
    map_run here = {.row = row, .first = column, .last = column};
    const map_run *run =
        bsearch(&here, w->thin.items, w->thin.count, sizeof *w->thin.items, by_place);

    if (run) {
        size_t root = run_list_root(&w->thin, (size_t)(run - w->thin.items));
        w->kept[root] = w->kept[root] || w->thin.items[root].cells < tied;
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
        size_t tied = w->joined.items[root].cells;
        keep_at(w, run->row, run->first - 1, tied);
        keep_at(w, run->row, run->last + 1, tied);
        for (long i = run->first; i <= run->last; i++) {
            keep_at(w, run->row - 1, i, tied);
            keep_at(w, run->row + 1, i, tied);
        }
    }
}

/* ---- the map of them ------------------------------------------------------------------------- */

static th_tabs grid_of(const height_map *map) {
    return (th_tabs){map->columns, map->rows, map->x0, map->y0, map->cell, NULL};
}

bool tabs_make(const height_map *map, th_tabs *tabs, th_error *err) {
    *tabs = grid_of(map);
    tabs->bits = calloc(map->columns * map->rows / 8 + 1, 1);
    return tabs->bits || th_fail_memory(err);
}

static bool on_grid(const th_tabs *tabs, long row, long column) {
    return row >= 0 && column >= 0 && row < (long)tabs->rows && column < (long)tabs->columns;
}

void tabs_set(th_tabs *tabs, long row, long column) {
    if (on_grid(tabs, row, column)) {
        set_bit(tabs->bits, (size_t)row * tabs->columns + (size_t)column);
    }
}

void tabs_put(th_tabs *tabs, long row, long first, long last) {
    for (long j = row - SPREAD; j <= row + SPREAD; j++) {
        for (long i = first - SPREAD; i <= last + SPREAD; i++) {
            tabs_set(tabs, j, i);
        }
    }
}

bool tabs_take(th_tabs *tabs, long row, long column) {
    size_t cell = (size_t)row * tabs->columns + (size_t)column;

    if (!on_grid(tabs, row, column) || !(tabs->bits[cell / 8] >> cell % 8 & 1)) {
        return false;
    }
    tabs->bits[cell / 8] = (unsigned char)(tabs->bits[cell / 8] & ~(1U << cell % 8));
    return true;
}

bool tabs_add(th_tabs *tabs, const th_tabs *more, th_error *err) {
    size_t bytes = more->columns * more->rows / 8 + 1;

    if (!more->bits) {
        return true;
    }
    if (!tabs->bits) {
        *tabs = *more;
        tabs->bits = calloc(bytes, 1);
    }
    for (size_t i = 0; tabs->bits && i < bytes; i++) {
        tabs->bits[i] = (unsigned char)(tabs->bits[i] | more->bits[i]);
    }
    return tabs->bits || th_fail_memory(err);
}

static bool put_tabs(tab_work *w, th_tabs *tabs) {
    bool any = false;

    if (!tabs_make(&w->map, tabs, NULL)) {
        return false;
    }
    for (size_t k = 0; k < w->thin.count; k++) {
        const map_run *run = &w->thin.items[k];
        if (w->kept[run_list_root(&w->thin, k)]) {
            tabs_put(tabs, run->row, run->first, run->last);
            any = true;
        }
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

    *tabs = grid_of(map);
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

/* Cells of the piece and of others, tabs left out, in what is joined when tabs join: by root. */
typedef struct {
    size_t own, other;
} joined_cells;

static void count_run(const height_map *map, const map_run *run, size_t piece, joined_cells *sum) {
    for (long i = run->first; i <= run->last; i++) {
        size_t cell = (size_t)run->row * map->columns + (size_t)i;
        bool metal = !map_apart(map, cell);
        sum->own += metal && map->labels[cell] == piece;
        sum->other += metal && map->labels[cell] != piece;
    }
}

/* Crumbs in a kerf are nothing that a tab ties to. */
static bool stands_alone(const th_sweep *sweep, const run_list *list, const joined_cells *sums) {
    bool stands = false;

    for (size_t k = 0; k < list->count; k++) {
        bool own = sums[k].own >= sweep->least;
        if (own && sums[k].other >= sweep->least) {
            return false;
        }
        stands = stands || own;
    }
    return stands;
}

bool tabs_none_tie(const th_sweep *sweep, size_t piece, run_list *work, bool *alone) {
    const double *box = th_sweep_piece_at(sweep, piece)->box;
    height_map joining = sweep->map;
    map_window window = map_window_of(&joining, box[0] - TABS_REACH, box[1] - TABS_REACH,
                                      box[2] + TABS_REACH, box[3] + TABS_REACH);
    joined_cells *sums;

    joining.apart = NULL;
    if (!run_list_find(&joining, &window, sweep->setup.skin, work)) {
        return false;
    }
    sums = calloc(work->count + 1, sizeof *sums);
    if (!sums) {
        return false;
    }
    for (size_t k = 0; k < work->count; k++) {
        count_run(&sweep->map, &work->items[k], piece, &sums[run_list_root(work, k)]);
    }
    *alone = stands_alone(sweep, work, sums);
    free(sums);
    return true;
}
