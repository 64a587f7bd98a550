/* loads_late.c - parts that are cut into while they hang on what a later line takes off. */
#include "loads.h"
#include "sweep.h"
#include "tabs.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#define TIE 0.05  /* nearer than this, two copies are as near (mm) */
#define HANGS 0.5 /* more than this share of its outline is open round a part that hangs */
#define INNER 0.5 /* so far off a wall, one still sees whether it is that of a hole (mm) */
#define REACH 10  /* tabs are looked at no further from the part (mm) */
#define WIDEST 25 /* what ties a part along more of its outline is no tab (mm, estimate) */
#define SIDE 0.6  /* nor what ties it along more of its shorter side */
#define GAP 2     /* cells between sides of one tab, as walls are stairs */

/* ---- copies ----------------------------------------------------------------------------------
 */

/* Of a row of copies the nearest one, the first of two that are as near. */
static int nearest(double at, double size, double pitch, int count) {
    double by = count > 1 ? floor((at + 0.5 * (pitch - size) - TIE) / pitch) : 0;

    return (int)fmin(fmax(by, 0), count > 1 ? count - 1 : 0);
}

int loads_copy_near(const th_part *part, const double at[2]) {
    int columns = part->copies.a > 1 ? part->copies.a : 1;

    return nearest(at[0], part->length, part->pitch.a, part->copies.a) +
           columns * nearest(at[1], part->width, part->pitch.b, part->copies.b);
}

static th_point in_copy(const th_loads *loads, int copy, double x, double y) {
    th_point by = th_copy_offset(loads->job, copy + 1);

    return (th_point){x - by.x, y - by.y};
}

/* ---- cuts ------------------------------------------------------------------------------------
 */

static bool put_cut(th_loads *loads, int copy, th_error *err) {
    late_cuts *late = &loads->late;
    height_map *map = &loads->sweep->map;

    if (!height_map_watch(map)) {
        return th_fail_memory(err);
    }
    map->now += late->opened;
    late->opened = false;
    for (size_t i = late->count; i > 0 && late->cuts[i - 1].at == map->now; i--) {
        if (late->cuts[i - 1].copy == copy) {
            return true;
        }
    }
    if (late->count == late->capacity) {
        size_t capacity = late->capacity ? 2 * late->capacity : 64;
        late_cut *cuts = realloc(late->cuts, capacity * sizeof *cuts);
        if (!cuts) {
            return th_fail_memory(err);
        }
        late->cuts = cuts;
        late->capacity = capacity;
    }
    late->cuts[late->count++] = (late_cut){copy, map->now};
    return true;
}

bool loads_late_step(th_loads *loads, const th_step *step, th_error *err) {
    const th_part *part = &loads->job->part;
    int copy = loads_copy_near(part, step->at);
    th_point at = in_copy(loads, copy, step->at[0], step->at[1]);
    double reach = step->cutter->diameter / 2 + INNER; /* the path may be rounded */

    if (!loads->sheet) {
        return true;
    }
    if (step->low <= SKIN_JOINS && !loads_encloses(&loads->part, at)) {
        loads->late.opened = true;
        return true;
    }
    if (!loads->late.opened && loads->late.count == 0) {
        return true;
    }
    return at.x < -reach || at.y < -reach || at.x > part->length + reach ||
           at.y > part->width + reach || put_cut(loads, copy, err);
}

/* ---- a part that has come free ---------------------------------------------------------------
 */

/* Its outline, cell side by cell side. */
typedef struct {
    th_loads *loads;
    const height_map *map;
    size_t piece;
    int copy;
    size_t *open; /* of `counted` sides, how many each late cut was the first to find open; the last
                     number: none did */
    size_t counted;
    unsigned from; /* what was opened then, or later, ties it until then; 0: sides are counted */
    th_tabs late;  /* cells that ties began in, taken out one tie after the other */
    size_t *tie;   /* cells of one */
    size_t tie_most, tie_count;
} outline_walk;

static const long ways[4][2] = {{0, -1}, {0, 1}, {-1, 0}, {1, 0}};

static bool is_open(const outline_walk *walk, long row, long column) {
    const height_map *map = walk->map;

    return row >= 0 && column >= 0 && row < (long)map->rows && column < (long)map->columns &&
           !(map->heights[(size_t)row * map->columns + (size_t)column] >
             (float)walk->loads->sweep->setup.skin);
}

static bool is_piece(const outline_walk *walk, long row, long column) {
    const height_map *map = walk->map;
    size_t cell = (size_t)row * map->columns + (size_t)column;

    return row >= 0 && column >= 0 && row < (long)map->rows && column < (long)map->columns &&
           map->labels[cell] == walk->piece && map->heights[cell] > 0;
}

/* At the first late cut that finds it open. */
static void count_side(outline_walk *walk, unsigned opened) {
    const late_cuts *late = &walk->loads->late;
    size_t low = 0, high = late->count;

    walk->counted++;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (opened < late->cuts[middle].at) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    walk->open[low]++;
}

/* When the kerf before a wall was opened: a little off it, as at the mouth of a slot into the part
 * what is right beside the wall may be the slot's. */
static unsigned opened_before(const outline_walk *walk, const long at[2], const long way[2]) {
    const height_map *map = walk->map;
    long off = (long)(INNER / map->cell);
    long row = at[0] + off * way[0], column = at[1] + off * way[1];

    return is_open(walk, row, column) ? map->opened[(size_t)row * map->columns + (size_t)column]
                                      : map->opened[(size_t)at[0] * map->columns + (size_t)at[1]];
}

static void take_side(outline_walk *walk, long row, long column, const long way[2]) {
    const height_map *map = walk->map;
    const long at[2] = {row + way[0], column + way[1]};

    if (!is_open(walk, at[0], at[1])) {
        return;
    }
    th_point there = in_copy(walk->loads, walk->copy,
                             map_x(map, (size_t)column, (size_t)row) + (double)way[1] * INNER,
                             map_y(map, (size_t)column, (size_t)row) + (double)way[0] * INNER);
    if (loads_encloses(&walk->loads->part, there)) {
        return;
    }
    if (!walk->from) {
        count_side(walk, opened_before(walk, at, way));
    } else if (opened_before(walk, at, way) >= walk->from) {
        tabs_set(&walk->late, at[0], at[1]);
        walk->tie_most++;
    }
}

static map_window window_of(const outline_walk *walk) {
    const double *box = th_sweep_piece_at(walk->loads->sweep, walk->piece)->box;

    return map_window_of(walk->map, box[0], box[1], box[2], box[3]);
}

static void walk_round(outline_walk *walk) {
    map_window window = window_of(walk);

    for (long row = window.j0; row <= window.j1; row++) {
        for (long i = window.i0; i <= window.i1; i++) {
            for (size_t k = 0; k < 4 && is_piece(walk, row, i); k++) {
                take_side(walk, row, i, ways[k]);
            }
        }
    }
}

/* The cuts into it after more than its share was open and before all was: `first` and those up to
 * `end`, of its copy alone. */
typedef struct {
    size_t first, end;
} late_range;

static late_range late_cuts_of(const outline_walk *walk) {
    const late_cuts *late = &walk->loads->late;
    late_range range = {late->count, late->count};
    size_t open = 0;

    for (size_t i = 0; i < late->count; i++) {
        open += walk->open[i];
        if (open < walk->counted && (double)open > HANGS * (double)walk->counted) {
            range.first = i < range.first ? i : range.first;
            range.end = i + 1;
        }
    }
    return range;
}

/* ---- what tied it ----------------------------------------------------------------------------
 */

/* What was taken off late, from the part outwards. */
static void put_side(const outline_walk *walk, long row, long column, const long way[2]) {
    const height_map *map = walk->map;
    long most = (long)(REACH / map->cell);

    for (long k = 0; k < most && is_open(walk, row, column) &&
                     map->opened[(size_t)row * map->columns + (size_t)column] >= walk->from;
         k++) {
        tabs_put(&walk->loads->late.tabs, row, column, column);
        row += way[0];
        column += way[1];
    }
}

/* All that is connected with a cell, out of `late`. */
static void take_tie(outline_walk *walk, long row, long column) {
    size_t columns = walk->map->columns;

    walk->tie_count = 0;
    if (tabs_take(&walk->late, row, column)) {
        walk->tie[walk->tie_count++] = (size_t)row * columns + (size_t)column;
    }
    for (size_t i = 0; i < walk->tie_count; i++) {
        long at[2] = {(long)(walk->tie[i] / columns), (long)(walk->tie[i] % columns)};
        for (long j = at[0] - GAP; j <= at[0] + GAP; j++) {
            for (long k = at[1] - GAP; k <= at[1] + GAP; k++) {
                if (tabs_take(&walk->late, j, k)) {
                    walk->tie[walk->tie_count++] = (size_t)j * columns + (size_t)k;
                }
            }
        }
    }
}

/* From corner to corner of its box (mm). */
static double tie_wide(const outline_walk *walk) {
    size_t columns = walk->map->columns, low[2] = {SIZE_MAX, SIZE_MAX}, high[2] = {0, 0};

    for (size_t i = 0; i < walk->tie_count; i++) {
        const size_t at[2] = {walk->tie[i] / columns, walk->tie[i] % columns};
        for (int k = 0; k < 2; k++) {
            low[k] = at[k] < low[k] ? at[k] : low[k];
            high[k] = at[k] > high[k] ? at[k] : high[k];
        }
    }
    return walk->tie_count
               ? walk->map->cell * hypot((double)(high[0] - low[0]), (double)(high[1] - low[1]))
               : 0;
}

typedef void (*tie_sink)(const outline_walk *walk, void *context);

/* Every tie that is left from a moment on. */
static bool walk_ties(outline_walk *walk, unsigned from, tie_sink sink, void *context) {
    map_window window = window_of(walk);

    walk->from = from;
    walk->tie_most = 0;
    walk_round(walk);
    walk->tie = calloc(walk->tie_most + 1, sizeof *walk->tie);
    if (!walk->tie) {
        return false;
    }
    for (long row = window.j0 - 1; row <= window.j1 + 1; row++) {
        for (long column = window.i0 - 1; column <= window.i1 + 1; column++) {
            take_tie(walk, row, column);
            if (walk->tie_count > 0) {
                sink(walk, context);
            }
        }
    }
    free(walk->tie);
    return true;
}

static void widest(const outline_walk *walk, void *context) {
    double *wide = context;

    *wide = fmax(*wide, tie_wide(walk));
}

static void put_tie(const outline_walk *walk, void *context) {
    size_t columns = walk->map->columns;
    (void)context;

    for (size_t i = 0; i < walk->tie_count; i++) {
        long row = (long)(walk->tie[i] / columns), column = (long)(walk->tie[i] % columns);
        for (size_t k = 0; k < 4; k++) {
            if (is_piece(walk, row - ways[k][0], column - ways[k][1])) {
                put_side(walk, row, column, ways[k]);
            }
        }
    }
}

static double widest_tab(const th_part *part) {
    return fmin(WIDEST, SIDE * fmin(part->length, part->width));
}

/* The first cut from which on no tie is wider than a tab; ties only grow less. */
static bool first_on_tabs(outline_walk *walk, late_range *range) {
    size_t low = range->first, high = range->end;

    while (low < high) {
        size_t middle = (low + high) / 2;
        double wide = 0;
        if (!walk_ties(walk, walk->loads->late.cuts[middle].at, widest, &wide)) {
            return false;
        }
        if (wide <= widest_tab(&walk->loads->job->part)) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    range->first = low;
    while (range->first < range->end && walk->loads->late.cuts[range->first].copy != walk->copy) {
        range->first++;
    }
    return true;
}

static bool put_late(outline_walk *walk, late_range range) {
    th_tabs *tabs = &walk->loads->late.tabs;

    if (!tabs_make(walk->map, &walk->late, NULL) || !first_on_tabs(walk, &range)) {
        return false;
    }
    return range.first == range.end ||
           ((tabs->bits || tabs_make(walk->map, tabs, NULL)) &&
            walk_ties(walk, walk->loads->late.cuts[range.first].at, put_tie, NULL));
}

bool loads_late_free(th_loads *loads, size_t piece, int copy, th_error *err) {
    outline_walk walk = {
        .loads = loads, .map = &loads->sweep->map, .piece = piece, .copy = copy - 1};
    late_range range;
    bool done;

    if (copy < 1 || loads->late.count == 0) {
        return true;
    }
    walk.open = calloc(loads->late.count + 1, sizeof *walk.open);
    if (!walk.open) {
        return th_fail_memory(err);
    }
    walk_round(&walk);
    range = late_cuts_of(&walk);
    free(walk.open);
    done = range.first == range.end || put_late(&walk, range);
    th_tabs_free(&walk.late);
    return done || th_fail_memory(err);
}
