/* plate_table.c - influence of many spots, kept. */
#include "plate_system.h"

#include <stdlib.h>
#include <string.h>

static const double default_memory = 1.5e9;

/* Nodes of one window's grid. */
typedef struct {
    th_plate_nodes nodes;
    double *places; /* x, y, area, and the grid's lines */
    size_t *node;
} kept_nodes;

struct th_plate_table {
    th_plate_influence *items; /* spot by spot */
    double **values;           /* tractions and motions of each */
    kept_nodes *windows;
    size_t count, window_count, window_room, bytes;
};

/* What a table will take. */
typedef struct {
    size_t windows, bytes;
    size_t anchors;
} size_up;

typedef struct {
    th_plate_table *table;
    th_plate_options options;
    size_t anchors;
} filling;

static size_t values_of(size_t nodes, size_t anchors) {
    return (size_t)3 * TH_UNITS * (nodes + anchors);
}

static size_t nodes_bytes(size_t nodes, size_t lines) {
    return nodes * (3 * sizeof(double) + sizeof(size_t)) + lines * sizeof(double) +
           sizeof(kept_nodes);
}

static bool count_window(void *context, const th_plate_window *window, th_error *err) {
    size_up *up = context;
    const th_plate_grid *grid = &window->mesh->grid;
    size_t nodes = th_plate_count_nodes(grid);

    (void)err;
    up->windows++;
    up->bytes += nodes_bytes(nodes, grid->nx + grid->ny + 2) +
                 window->count * values_of(nodes, up->anchors) * sizeof(double);
    return true;
}

static void *copied(const void *from, size_t count, size_t size) {
    void *to = th_plate_take(count, size);

    return to ? memcpy(to, from, count * size) : NULL;
}

/* Spots come window by window, so that the first one that brings new nodes opens one. */
static bool same_nodes(const th_plate_nodes *a, const th_plate_nodes *b) {
    return a->count == b->count && !memcmp(a->x, b->x, a->count * sizeof *a->x) &&
           !memcmp(a->y, b->y, a->count * sizeof *a->y) &&
           !memcmp(a->area, b->area, a->count * sizeof *a->area) &&
           !memcmp(a->node, b->node, a->count * sizeof *a->node);
}

static bool keep_nodes(th_plate_table *table, const th_plate_nodes *nodes, th_error *err) {
    size_t count = nodes->count, columns = nodes->x_count, rows = nodes->y_count;
    kept_nodes *kept = &table->windows[table->window_count];
    double *lines;

    if (table->window_count == table->window_room) {
        return th_fail(err, TH_NOT_SOLVED, "the plate came in more windows than were laid out");
    }
    kept->places = th_plate_take(3 * count + columns + rows, sizeof *kept->places);
    kept->node = copied(nodes->node, count, sizeof *kept->node);
    table->window_count++;
    if (!kept->places || !kept->node) {
        return th_fail_memory(err);
    }
    memcpy(kept->places, nodes->x, count * sizeof *nodes->x);
    memcpy(kept->places + count, nodes->y, count * sizeof *nodes->y);
    memcpy(kept->places + 2 * count, nodes->area, count * sizeof *nodes->area);
    lines = kept->places + 3 * count;
    memcpy(lines, nodes->xs, columns * sizeof *lines);
    memcpy(lines + columns, nodes->ys, rows * sizeof *lines);
    kept->nodes =
        (th_plate_nodes){count,      kept->places, kept->places + count, kept->places + 2 * count,
                         kept->node, lines,        lines + columns,      columns,
                         rows};
    return true;
}

static bool keep_spot(void *context, const th_plate_influence *influence, th_error *err) {
    const filling *f = context;
    th_plate_table *table = f->table;
    th_plate_influence *item = &table->items[influence->spot];
    size_t tractions = 3 * influence->nodes->count, motions = 3 * f->anchors;
    double *next = th_plate_take(values_of(influence->nodes->count, f->anchors), sizeof *next);

    table->values[influence->spot] = next;
    if (!next) {
        return th_fail_memory(err);
    }
    if ((!table->window_count ||
         !same_nodes(&table->windows[table->window_count - 1].nodes, influence->nodes)) &&
        !keep_nodes(table, influence->nodes, err)) {
        return false;
    }
    *item = *influence;
    item->nodes = &table->windows[table->window_count - 1].nodes;
    for (int u = 0; u < TH_UNITS; u++) {
        item->unit[u] = memcpy(next, influence->unit[u], tractions * sizeof *next);
        next += tractions;
        if (motions) {
            item->anchor[u] = memcpy(next, influence->anchor[u], motions * sizeof *next);
            next += motions;
        }
    }
    return true;
}

static th_plate_table *new_table(size_t count, const size_up *up) {
    th_plate_table *table = calloc(1, sizeof *table);

    if (!table) {
        return NULL;
    }
    table->count = count;
    table->bytes = up->bytes;
    table->window_room = up->windows;
    table->items = calloc(count + 1, sizeof *table->items);
    table->values = calloc(count + 1, sizeof *table->values);
    table->windows = calloc(up->windows + 1, sizeof *table->windows);
    if (!table->items || !table->values || !table->windows) {
        th_plate_table_free(table);
        return NULL;
    }
    return table;
}

/* The solver may have what the table leaves. */
static bool share_memory(const size_up *up, size_t count, th_plate_options *options,
                         th_error *err) {
    double memory = options->memory > 0 ? options->memory : default_memory;
    double left = memory - (double)up->bytes;

    if (!(left > 0)) {
        return th_fail(err, TH_NOT_POSSIBLE,
                       "the traction of %zu places of the cut on a fine grid takes %.3g MB without "
                       "the solver, more than the %.3g MB allowed: a coarser grid or fewer places "
                       "are wanted",
                       count, (double)up->bytes / 1e6, memory / 1e6);
    }
    options->memory = left;
    return true;
}

bool th_plate_table_make(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                         const th_plate_options *options, th_plate_table **table, th_error *err) {
    size_up up = {.anchors = sheet->anchor_count,
                  .bytes = sizeof(th_plate_table) +
                           (count + 1) * (sizeof(th_plate_influence) + sizeof(double *))};
    filling f = {.anchors = sheet->anchor_count};

    *table = NULL;
    if (options) {
        f.options = *options;
    }
    if (!th_plate_each_window(sheet, spots, count, options, count_window, &up, err) ||
        !share_memory(&up, count, &f.options, err)) {
        return false;
    }
    f.table = new_table(count, &up);
    if (!f.table) {
        return th_fail_memory(err);
    }
    if (!th_plate_sweep(sheet, spots, count, &f.options, (th_plate_sink){keep_spot, &f}, err)) {
        th_plate_table_free(f.table);
        return false;
    }
    *table = f.table;
    return true;
}

void th_plate_table_free(th_plate_table *table) {
    if (!table) {
        return;
    }
    for (size_t s = 0; table->values && s < table->count; s++) {
        free(table->values[s]);
    }
    for (size_t w = 0; w < table->window_count; w++) {
        free(table->windows[w].places);
        free(table->windows[w].node);
    }
    free(table->items);
    free(table->values);
    free(table->windows);
    free(table);
}

const th_plate_influence *th_plate_table_at(const th_plate_table *table, size_t spot) {
    return spot < table->count ? &table->items[spot] : NULL;
}

size_t th_plate_table_bytes(const th_plate_table *table) {
    return table->bytes;
}
