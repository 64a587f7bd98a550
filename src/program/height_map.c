/* height_map.c - laying out the samples and finding those in the stock. */
#include "height_map.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static const double golden = 0.61803398874989484820;

#define LEAST_CELL 0.02   /* (mm) */
#define USUAL_CELL 0.2    /* (mm) */
#define GREATEST_CELL 2.0 /* (mm) */
#define CELLS_PER_CUTTER 150
#define USUAL_MEMORY 200e6 /* (bytes) */
#define MOST_CELLS 4e9
#define GREATEST_BOX 2100.0 /* (mm) */

double map_share(size_t i) {
    double x = golden * (double)i;

    return x - floor(x);
}

/* ---- size ------------------------------------------------------------------------------------ */

static double smallest_cutter(const th_sweep_setup *setup) {
    double least = INFINITY;

    for (size_t i = 0; i < setup->tool_count; i++) {
        least = fmin(least, setup->tools[i].cutter->diameter);
    }
    return least;
}

static bool choose_cell(const th_sweep_setup *setup, const double box[4], double *cell,
                        th_error *err) {
    double memory = setup->memory > 0 ? setup->memory : USUAL_MEMORY;
    double countable = (double)(SIZE_MAX / 2 / sizeof(float)); /* where size_t has 32 bits */
    double most =
        fmin(memory / (sizeof(float) + sizeof(unsigned short)), fmin(MOST_CELLS, countable));
    double usual = smallest_cutter(setup) / CELLS_PER_CUTTER;
    double area = (box[2] - box[0]) * (box[3] - box[1]);

    *cell = setup->cell > 0 ? setup->cell : fmin(fmax(usual, LEAST_CELL), USUAL_CELL);
    *cell = fmax(*cell, sqrt(area / most) * 1.001);
    if (*cell > GREATEST_CELL) {
        return th_fail(err, TH_NOT_POSSIBLE,
                       "a map of %.6g x %.6g mm in %.3g MB has cells of %.3g mm: allow more memory "
                       "(at most %g mm)",
                       box[2] - box[0], box[3] - box[1], memory / 1e6, *cell, GREATEST_CELL);
    }
    return true;
}

static bool find_box(const th_sweep_setup *setup, double box[4], th_error *err) {
    if (!setup->stock) {
        memcpy(box, setup->box, 4 * sizeof *box);
    } else if (!th_region_box(setup->stock, box)) {
        return th_fail(err, TH_BAD_RANGE, "the outline of the stock is empty");
    }
    double length = box[2] - box[0], width = box[3] - box[1];
    if (!(length > 0 && width > 0 && length <= GREATEST_BOX && width <= GREATEST_BOX)) {
        return th_fail(err, TH_BAD_RANGE,
                       "the stock is %.6g x %.6g mm: each must be above 0 and at most %g mm",
                       length, width, GREATEST_BOX);
    }
    if (!(setup->thickness > 0 && setup->thickness <= 1000)) {
        return th_fail(err, TH_BAD_RANGE,
                       "the stock is %.6g mm thick: it must be above 0 and at most 1000 mm",
                       setup->thickness);
    }
    return true;
}

/* ---- samples in an outline --------------------------------------------------------------------
 */

typedef struct {
    th_point a, b;
} edge;

/* The edges of an outline that a row of cells may need. */
typedef struct {
    edge *all;
    size_t count;
    const edge **near; /* that reach into the row in hand */
    size_t near_count;
    bool *touched; /* cells of the row that an edge runs through */
    bool *inside;  /* samples of the row that lie in the outline */
} edge_list;

static bool list_edges(const th_outline *outline, size_t columns, edge_list *list) {
    size_t n = outline->point_count;

    list->all = malloc(n * sizeof *list->all);
    list->near = malloc(n * sizeof *list->near);
    list->touched = malloc(columns * sizeof *list->touched);
    list->inside = malloc(columns * sizeof *list->inside);
    list->count = 0;
    if (!list->all || !list->near || !list->touched || !list->inside) {
        return false;
    }
    for (size_t r = 0; r < outline->ring_count; r++) {
        const th_ring *ring = &outline->rings[r];
        for (size_t k = 0; k < ring->count; k++) {
            list->all[list->count++] = (edge){ring->points[k], ring->points[(k + 1) % ring->count]};
        }
    }
    return true;
}

/* Mark the cells of a row that an edge runs through, and their neighbours. */
static void touch(const height_map *map, double low, const edge *e, bool *touched) {
    double high = low + map->cell, from = 0, to = 1, rise = e->b.y - e->a.y;

    if (rise != 0) {
        double s = (low - e->a.y) / rise, t = (high - e->a.y) / rise;
        from = fmax(from, fmin(s, t));
        to = fmin(to, fmax(s, t));
    }
    double p = e->a.x + from * (e->b.x - e->a.x), q = e->a.x + to * (e->b.x - e->a.x);
    double first = floor((fmin(p, q) - map->x0) / map->cell) - 1;
    double last = floor((fmax(p, q) - map->x0) / map->cell) + 1;

    first = fmax(first, 0); /* tape may reach beyond the stock */
    last = fmin(last, (double)map->columns - 1);
    for (size_t i = (size_t)first; (double)i <= last; i++) {
        touched[i] = true;
    }
}

static bool holds(const edge_list *list, double x, double y) {
    bool inside = false;

    for (size_t k = 0; k < list->near_count; k++) {
        const edge *e = list->near[k];
        if ((e->a.y > y) != (e->b.y > y) &&
            x < e->a.x + (y - e->a.y) / (e->b.y - e->a.y) * (e->b.x - e->a.x)) {
            inside = !inside;
        }
    }
    return inside;
}

/* Between cells that edges run through a row does not change sides. */
static void find_inside(const height_map *map, edge_list *list, size_t row) {
    double low = map->y0 + (double)row * map->cell;
    bool inside = false, known = false;

    memset(list->touched, 0, map->columns * sizeof *list->touched);
    list->near_count = 0;
    for (size_t k = 0; k < list->count; k++) {
        const edge *e = &list->all[k];
        if (fmin(e->a.y, e->b.y) <= low + map->cell && fmax(e->a.y, e->b.y) >= low) {
            list->near[list->near_count++] = e;
            touch(map, low, e, list->touched);
        }
    }
    for (size_t i = 0; i < map->columns; i++) {
        if (list->touched[i] || !known) {
            inside = holds(list, map_x(map, i, row), map_y(map, i, row));
        }
        known = !list->touched[i];
        list->inside[i] = inside;
    }
}

/* Stock where the outline is, or, of one that says where tape is, marks where it is not. */
static bool fill_outline(height_map *map, const th_outline *outline, bool tape) {
    edge_list list;
    bool done = list_edges(outline, map->columns, &list);

    for (size_t row = 0; row < map->rows && done; row++) {
        find_inside(map, &list, row);
        for (size_t i = 0; i < map->columns; i++) {
            size_t cell = row * map->columns + i;
            if (!tape) {
                map->heights[cell] = list.inside[i] ? (float)map->thickness : 0;
            } else if (!list.inside[i]) {
                map->bare[cell / 8] = (unsigned char)(map->bare[cell / 8] | 1 << cell % 8);
            }
        }
    }
    free(list.inside);
    free(list.all);
    free(list.near);
    free(list.touched);
    return done;
}

static void fill_box(height_map *map, const double box[4]) {
    for (size_t row = 0; row < map->rows; row++) {
        for (size_t i = 0; i < map->columns; i++) {
            double x = map_x(map, i, row), y = map_y(map, i, row);
            bool inside = x >= box[0] && x <= box[2] && y >= box[1] && y <= box[3];
            map->heights[row * map->columns + i] = inside ? (float)map->thickness : 0;
        }
    }
}

/* ---- the map ----------------------------------------------------------------------------------
 */

static bool take_memory(height_map *map) {
    size_t cells = map->columns * map->rows;

    map->heights = malloc(cells * sizeof *map->heights);
    map->labels = calloc(cells, sizeof *map->labels);
    map->shift_x = malloc(map->rows * sizeof *map->shift_x);
    map->shift_y = malloc(map->columns * sizeof *map->shift_y);
    if (!map->heights || !map->labels || !map->shift_x || !map->shift_y) {
        return false;
    }
    for (size_t j = 0; j < map->rows; j++) {
        map->shift_x[j] = map_share(j);
    }
    for (size_t i = 0; i < map->columns; i++) {
        map->shift_y[i] = i ? 1 - map_share(i) : 0;
    }
    return true;
}

static bool fill_tabs(height_map *map, const th_tabs *tabs) {
    map->apart = calloc(map->columns * map->rows / 8 + 1, 1);
    for (size_t row = 0; map->apart && row < map->rows; row++) {
        for (size_t i = 0; i < map->columns; i++) {
            size_t cell = row * map->columns + i;
            if (th_tabs_at(tabs, map_x(map, i, row), map_y(map, i, row))) {
                map->apart[cell / 8] = (unsigned char)(map->apart[cell / 8] | 1 << cell % 8);
            }
        }
    }
    return map->apart != NULL;
}

bool height_map_make(const th_sweep_setup *setup, height_map *map, th_error *err) {
    double box[4];

    *map = (height_map){.thickness = setup->thickness,
                        .bears = setup->thickness > setup->skin ? setup->skin : 0};
    if (!find_box(setup, box, err) || !choose_cell(setup, box, &map->cell, err)) {
        return false;
    }
    map->x0 = box[0];
    map->y0 = box[1];
    map->columns = (size_t)fmax(ceil((box[2] - box[0]) / map->cell - 1e-9), 1);
    map->rows = (size_t)fmax(ceil((box[3] - box[1]) / map->cell - 1e-9), 1);
    if (!take_memory(map)) {
        return th_fail_memory(err);
    }
    if (!setup->stock) {
        fill_box(map, box);
    } else if (!fill_outline(map, setup->stock, false)) {
        return th_fail_memory(err);
    }
    if (setup->taped) {
        map->bare = calloc(map->columns * map->rows / 8 + 1, 1);
        if (!map->bare || !fill_outline(map, setup->taped, true)) {
            return th_fail_memory(err);
        }
    }
    return !setup->tabs || !setup->tabs->bits || fill_tabs(map, setup->tabs) || th_fail_memory(err);
}

void height_map_free(height_map *map) {
    free(map->heights);
    free(map->labels);
    free(map->bare);
    free(map->apart);
    free(map->opened);
    free(map->shift_x);
    free(map->shift_y);
    *map = (height_map){.columns = 0};
}

bool height_map_watch(height_map *map) {
    if (!map->opened) {
        map->opened = calloc(map->columns * map->rows, sizeof *map->opened);
    }
    return map->opened != NULL;
}

size_t height_map_bytes(const height_map *map) {
    return map->columns * map->rows * (sizeof *map->heights + sizeof *map->labels) +
           map->rows * sizeof *map->shift_x + map->columns * sizeof *map->shift_y;
}

static long cell_of(double at, size_t count, bool up) {
    double cell = up ? at + 1 : at - 1; /* a sample may lie anywhere in its cell */

    return (long)fmin(fmax(floor(cell), -1), (double)count);
}

map_window map_window_of(const height_map *map, double x0, double y0, double x1, double y1) {
    map_window window = {cell_of((x0 - map->x0) / map->cell, map->columns, false),
                         cell_of((y0 - map->y0) / map->cell, map->rows, false),
                         cell_of((x1 - map->x0) / map->cell, map->columns, true),
                         cell_of((y1 - map->y0) / map->cell, map->rows, true)};

    window.i0 = window.i0 < 0 ? 0 : window.i0;
    window.j0 = window.j0 < 0 ? 0 : window.j0;
    window.i1 = window.i1 < (long)map->columns ? window.i1 : (long)map->columns - 1;
    window.j1 = window.j1 < (long)map->rows ? window.j1 : (long)map->rows - 1;
    return window;
}

void map_add_sample(const height_map *map, double x, double y, double factor, th_section *section) {
    double area = factor * map->cell * map->cell;

    section->area += area;
    section->sx += area * x;
    section->sy += area * y;
    section->sxx += area * x * x;
    section->syy += area * y * y;
    section->sxy += area * x * y;
}
