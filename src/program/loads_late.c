/* loads_late.c - parts that are cut into while they hang on what a later line takes off. */
#include "loads.h"
#include "sweep.h"
#include "tabs.h"

#include <math.h>
#include <stdlib.h>

#define TIE 0.05  /* nearer than this, two copies are as near (mm) */
#define HANGS 0.5 /* more than this share of its outline is open round a part that hangs */
#define INNER 0.5 /* so far off a wall, one still sees whether it is that of a hole (mm) */
#define REACH 10  /* tabs are looked at no further from the part (mm) */

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
    double reach = step->cutter->diameter / 2;

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
                     number: none did; NULL: tabs are put */
    size_t counted;
    unsigned from; /* what was opened then, or later, is tabs */
    th_tabs *tabs;
} outline_walk;

static bool is_open(const outline_walk *walk, long row, long column) {
    const height_map *map = walk->map;

    return row >= 0 && column >= 0 && row < (long)map->rows && column < (long)map->columns &&
           !(map->heights[(size_t)row * map->columns + (size_t)column] >
             (float)walk->loads->sweep->setup.skin);
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

/* What was taken off late, from the part outwards. */
static void put_side(outline_walk *walk, const long at[2], const long way[2]) {
    long most = (long)(REACH / walk->map->cell), row = at[0], column = at[1];

    for (long k = 0;
         k < most && is_open(walk, row, column) &&
         walk->map->opened[(size_t)row * walk->map->columns + (size_t)column] >= walk->from;
         k++) {
        tabs_put(walk->tabs, row, column, column);
        row += way[0];
        column += way[1];
    }
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
    if (walk->open) {
        count_side(walk, map->opened[(size_t)at[0] * map->columns + (size_t)at[1]]);
    } else {
        put_side(walk, at, way);
    }
}

static void walk_round(outline_walk *walk) {
    static const long ways[4][2] = {{0, -1}, {0, 1}, {-1, 0}, {1, 0}};
    const height_map *map = walk->map;
    const double *box = th_sweep_piece_at(walk->loads->sweep, walk->piece)->box;
    map_window window = map_window_of(map, box[0], box[1], box[2], box[3]);

    for (long row = window.j0; row <= window.j1; row++) {
        for (long i = window.i0; i <= window.i1; i++) {
            size_t cell = (size_t)row * map->columns + (size_t)i;
            for (size_t k = 0; k < 4 && map->labels[cell] == walk->piece && map->heights[cell] > 0;
                 k++) {
                take_side(walk, row, i, ways[k]);
            }
        }
    }
}

/* The first cut into it after more than its share was open. 0: none. */
static unsigned first_late(const outline_walk *walk) {
    const late_cuts *late = &walk->loads->late;
    size_t open = 0;

    for (size_t i = 0; i < late->count; i++) {
        open += walk->open[i];
        if (late->cuts[i].copy == walk->copy && open < walk->counted &&
            (double)open > HANGS * (double)walk->counted) {
            return late->cuts[i].at;
        }
    }
    return 0;
}

bool loads_late_free(th_loads *loads, size_t piece, int copy, th_error *err) {
    outline_walk walk = {
        .loads = loads, .map = &loads->sweep->map, .piece = piece, .copy = copy - 1};

    if (copy < 1 || loads->late.count == 0) {
        return true;
    }
    walk.open = calloc(loads->late.count + 1, sizeof *walk.open);
    if (!walk.open) {
        return th_fail_memory(err);
    }
    walk_round(&walk);
    walk.from = first_late(&walk);
    free(walk.open);
    walk.open = NULL;
    walk.tabs = &loads->late.tabs;
    if (!walk.from) {
        return true;
    }
    if (!walk.tabs->bits && !tabs_make(walk.map, walk.tabs, err)) {
        return false;
    }
    walk_round(&walk);
    return true;
}
