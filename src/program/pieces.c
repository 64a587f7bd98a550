/* pieces.c - connected pieces of the map, by runs of its rows. */
#include "pieces.h"

#include <math.h>
#include <stdlib.h>

enum { LABELS_MOST = 65535 };
#define NONE ((size_t)-1)

void run_list_free(run_list *list) {
    free(list->items);
    *list = (run_list){.items = NULL};
}

size_t run_list_root(const run_list *list, size_t run) {
    while (list->items[run].parent != run) {
        run = list->items[run].parent;
    }
    return run;
}

static size_t root_of(run_list *list, size_t run) {
    while (list->items[run].parent != run) {
        size_t up = list->items[run].parent;
        list->items[run].parent = list->items[up].parent;
        run = list->items[run].parent;
    }
    return run;
}

static void join(run_list *list, size_t a, size_t b) {
    size_t p = root_of(list, a), q = root_of(list, b);

    if (p < q) {
        list->items[q].parent = p;
    } else {
        list->items[p].parent = q;
    }
}

static bool put_run(run_list *list, long row, long first, long last) {
    if (list->count == list->capacity) {
        size_t capacity = list->capacity ? 2 * list->capacity : 1024;
        map_run *items = realloc(list->items, capacity * sizeof *items);
        if (!items) {
            return false;
        }
        list->items = items;
        list->capacity = capacity;
    }
    list->items[list->count] = (map_run){row, first, last, list->count, 0, NONE, false, false};
    list->count++;
    return true;
}

/* What a search is after: the metal that joins, or the tabs. */
typedef struct {
    const height_map *map;
    float skin;
    bool tabs;
} run_search;

static bool belongs(const run_search *search, size_t cell) {
    return search->map->heights[cell] > search->skin &&
           map_apart(search->map, cell) == search->tabs;
}

static bool scan_row(const run_search *search, const map_window *window, long row, run_list *list) {
    size_t start = (size_t)row * search->map->columns;

    for (long i = window->i0; i <= window->i1; i++) {
        long first = i;
        if (!belongs(search, start + (size_t)i)) {
            continue;
        }
        while (i + 1 <= window->i1 && belongs(search, start + (size_t)i + 1)) {
            i++;
        }
        if (!put_run(list, row, first, i)) {
            return false;
        }
    }
    return true;
}

/* Join the runs from `start` on, of one row, with those of the row before, from `above` to `start`.
 */
static void join_rows(run_list *list, size_t above, size_t start) {
    size_t k = above;

    for (size_t i = start; i < list->count; i++) {
        while (k < start && list->items[k].last < list->items[i].first) {
            k++;
        }
        for (size_t m = k; m < start && list->items[m].first <= list->items[i].last; m++) {
            join(list, m, i);
        }
    }
}

static bool at_border(const height_map *map, const map_window *window, const map_run *run) {
    return (run->first == window->i0 && run->first > 0) ||
           (run->last == window->i1 && run->last + 1 < (long)map->columns) ||
           (run->row == window->j0 && run->row > 0) ||
           (run->row == window->j1 && run->row + 1 < (long)map->rows);
}

static bool tab_at(const height_map *map, long row, long column) {
    size_t cell = (size_t)row * map->columns + (size_t)column;

    return row >= 0 && column >= 0 && row < (long)map->rows && column < (long)map->columns &&
           map_apart(map, cell) && map->heights[cell] > 0;
}

static bool beside_tab(const height_map *map, const map_run *run) {
    bool tied = tab_at(map, run->row, run->first - 1) || tab_at(map, run->row, run->last + 1);

    for (long i = run->first; i <= run->last && !tied; i++) {
        tied = tab_at(map, run->row - 1, i) || tab_at(map, run->row + 1, i);
    }
    return tied;
}

static void sum_up(const height_map *map, const map_window *window, run_list *list) {
    for (size_t i = 0; i < list->count; i++) {
        map_run *root = &list->items[root_of(list, i)];
        root->cells += (size_t)(list->items[i].last - list->items[i].first + 1);
        root->border = root->border || at_border(map, window, &list->items[i]);
        root->tied = root->tied || (map->apart && beside_tab(map, &list->items[i]));
    }
}

static bool find_runs(const run_search *search, const map_window *window, run_list *list) {
    size_t above = 0, start = 0;

    list->count = 0;
    for (long row = window->j0; row <= window->j1; row++) {
        if (!scan_row(search, window, row, list)) {
            return false;
        }
        join_rows(list, above, start);
        above = start;
        start = list->count;
    }
    sum_up(search->map, window, list);
    return true;
}

bool run_list_find(const height_map *map, const map_window *window, double skin, run_list *list) {
    run_search search = {map, (float)skin, false};

    return find_runs(&search, window, list);
}

bool run_list_find_apart(const height_map *map, double skin, run_list *list) {
    map_window all = {0, 0, (long)map->columns - 1, (long)map->rows - 1};
    run_search search = {map, (float)skin, true};

    return find_runs(&search, &all, list);
}

/* ---- whether something came apart -------------------------------------------------------------
 */

static bool comes_before(const map_run *a, const map_run *b) {
    return a->row != b->row ? a->row < b->row : a->last < b->first;
}

/* Root in `before` of each root in `after`. */
static void link_roots(const run_list *before, run_list *after) {
    size_t k = 0;

    for (size_t i = 0; i < after->count; i++) {
        size_t root = root_of(after, i);
        while (k < before->count && comes_before(&before->items[k], &after->items[i])) {
            k++;
        }
        if (k < before->count) {
            after->items[root].link = run_list_root(before, k);
        }
    }
}

static bool enough(const map_run *root, const least_cells *least) {
    return root->cells >= (root->tied ? least->tied : least->any);
}

static bool counts(const run_list *list, size_t run, const least_cells *least) {
    const map_run *r = &list->items[run];

    return r->parent == run && r->link != NONE && (r->border || enough(r, least));
}

bool run_list_parted(const run_list *before, run_list *after, const least_cells *least) {
    link_roots(before, after);
    for (size_t i = 0; i < after->count; i++) {
        for (size_t k = i + 1; k < after->count && counts(after, i, least); k++) {
            if (counts(after, k, least) && after->items[k].link == after->items[i].link) {
                return true;
            }
        }
    }
    return false;
}

/* ---- pieces ------------------------------------------------------------------------------------
 */

static bool put_piece(piece_list *pieces, const th_sweep_piece *piece) {
    if (pieces->count == pieces->capacity) {
        size_t capacity = pieces->capacity ? 2 * pieces->capacity : 16;
        th_sweep_piece *items = realloc(pieces->items, capacity * sizeof *items);
        if (!items) {
            return false;
        }
        pieces->items = items;
        pieces->capacity = capacity;
    }
    pieces->items[pieces->count++] = *piece;
    return true;
}

static th_sweep_piece no_piece(int from, int line) {
    return (th_sweep_piece){
        .box = {INFINITY, INFINITY, -INFINITY, -INFINITY}, .from = from, .line = line};
}

static void add_cell(const height_map *map, size_t column, size_t row, th_sweep_piece *piece) {
    double x = map_x(map, column, row), y = map_y(map, column, row);

    if (map_bears(map, row * map->columns + column)) {
        map_add_sample(map, x, y, 1, &piece->bonded);
    }
    piece->box[0] = fmin(piece->box[0], x);
    piece->box[1] = fmin(piece->box[1], y);
    piece->box[2] = fmax(piece->box[2], x);
    piece->box[3] = fmax(piece->box[3], y);
}

void piece_list_measure(const height_map *map, piece_list *pieces) {
    for (size_t i = 0; i < pieces->count; i++) {
        th_sweep_piece empty = no_piece(pieces->items[i].from, pieces->items[i].line);
        pieces->items[i] = empty;
    }
    for (size_t row = 0; row < map->rows; row++) {
        for (size_t i = 0; i < map->columns; i++) {
            size_t cell = row * map->columns + i;
            if (map->heights[cell] > 0) {
                add_cell(map, i, row, &pieces->items[map->labels[cell]]);
            }
        }
    }
}

bool piece_list_start(const height_map *map, piece_list *pieces) {
    th_sweep_piece whole = no_piece(-1, 0);

    if (!put_piece(pieces, &whole)) {
        return false;
    }
    piece_list_measure(map, pieces);
    return true;
}

size_t *run_list_largest(const height_map *map, const run_list *list, size_t labels) {
    size_t *largest = malloc(labels * sizeof *largest);

    for (size_t i = 0; largest && i < labels; i++) {
        largest[i] = NONE;
    }
    for (size_t i = 0; largest && i < list->count; i++) {
        const map_run *run = &list->items[i];
        size_t label = map->labels[(size_t)run->row * map->columns + (size_t)run->first];
        if (run->parent == i &&
            (largest[label] == NONE || run->cells > list->items[largest[label]].cells)) {
            largest[label] = i;
        }
    }
    return largest;
}

/* Give the cells of a run to the piece `label`. */
static void move_run(height_map *map, const map_run *run, size_t label, piece_list *pieces) {
    for (long i = run->first; i <= run->last; i++) {
        size_t cell = (size_t)run->row * map->columns + (size_t)i;
        double x = map_x(map, (size_t)i, (size_t)run->row);
        double y = map_y(map, (size_t)i, (size_t)run->row);
        if (map_bears(map, cell)) {
            map_add_sample(map, x, y, -1, &pieces->items[map->labels[cell]].bonded);
        }
        add_cell(map, (size_t)i, (size_t)run->row, &pieces->items[label]);
        map->labels[cell] = (unsigned short)label;
    }
}

/* The new pieces are numbered at their roots as they will be. */
bool piece_list_find(const height_map *map, const piece_search *search, const piece_list *pieces,
                     run_list *work, size_t *count) {
    map_window all = {0, 0, (long)map->columns - 1, (long)map->rows - 1};
    size_t *largest;

    *count = 0;
    if (!run_list_find(map, &all, search->skin, work)) {
        return false;
    }
    largest = run_list_largest(map, work, pieces->count); /* it keeps its label */
    if (!largest) {
        return false;
    }
    for (size_t i = 0; i < work->count; i++) {
        map_run *run = &work->items[i];
        size_t label = map->labels[(size_t)run->row * map->columns + (size_t)run->first];
        if (run->parent == i && largest[label] != i && enough(run, &search->least) &&
            pieces->count + *count < LABELS_MOST) {
            run->link = pieces->count + (*count)++;
        }
    }
    free(largest);
    return true;
}

bool piece_list_take(height_map *map, int line, run_list *found, piece_list *pieces) {
    for (size_t i = 0; i < found->count; i++) {
        const map_run *run = &found->items[i];
        size_t label = map->labels[(size_t)run->row * map->columns + (size_t)run->first];
        th_sweep_piece fresh = no_piece((int)label, line);
        if (run->link != NONE && !put_piece(pieces, &fresh)) {
            return false;
        }
    }
    for (size_t i = 0; i < found->count; i++) {
        size_t root = root_of(found, i);
        if (found->items[root].link != NONE) {
            move_run(map, &found->items[i], found->items[root].link, pieces);
        }
    }
    return true;
}
