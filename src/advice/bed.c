/* bed.c - a piece on its tape as a flexible plate, and influence tables that outlive a judgement.
 */
#include "judge.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* What the tables may take together (bytes). */
#define CACHE_BYTES 3e8

/* Elements grow from this far of a spot on (bending lengths). */
#define NEAR 0.3

/* Elements along a piece whose outer edge cuts through them, at 5 to a decay length. */
#define EDGE_CELLS 20

/* Straight edges closer than this share of a decay length are one grid line. */
#define LINE_GAP 0.04

enum { LINES_MAX = 48 };

/* ---- cache ----------------------------------------------------------------------------------- */

typedef struct th_kept th_kept;
struct th_kept {
    double *key;
    size_t key_count;
    th_plate_table *table;
    th_kept *next; /* used longer ago */
};

struct th_plate_cache {
    th_kept *first;
};

th_plate_cache *th_plate_cache_new(void) {
    return calloc(1, sizeof(th_plate_cache));
}

static void free_kept(th_kept *kept) {
    if (kept) {
        th_plate_table_free(kept->table);
        free(kept->key);
        free(kept);
    }
}

void th_plate_cache_free(th_plate_cache *cache) {
    while (cache && cache->first) {
        th_kept *next = cache->first->next;
        free_kept(cache->first);
        cache->first = next;
    }
    free(cache);
}

/* Everything a table depends on, as numbers. */
typedef struct {
    double *items;
    size_t count, room;
    bool failed;
} th_key_list;

static void note(th_key_list *key, const double *items, size_t count) {
    if (key->failed || key->count + count > key->room) {
        size_t room = 2 * (key->count + count) + 64;
        double *more = key->failed ? NULL : realloc(key->items, room * sizeof *more);
        if (!more) {
            key->failed = true;
            return;
        }
        key->items = more;
        key->room = room;
    }
    memcpy(key->items + key->count, items, count * sizeof *items);
    key->count += count;
}

/* Equal regions are one. */
static void note_region(th_key_list *key, const th_outline *region) {
    note(key, &(double){(double)(uintptr_t)region}, 1);
}

/* Take the table of a key out of the list. */
static th_kept *take_kept(th_plate_cache *cache, const th_key_list *key) {
    for (th_kept **at = &cache->first; *at; at = &(*at)->next) {
        th_kept *kept = *at;
        if (kept->key_count == key->count &&
            memcmp(kept->key, key->items, key->count * sizeof *key->items) == 0) {
            *at = kept->next;
            return kept;
        }
    }
    return NULL;
}

/* The newest comes first; what no longer fits is forgotten. */
static void put_first(th_plate_cache *cache, th_kept *kept) {
    double bytes = 0;

    kept->next = cache->first;
    cache->first = kept;
    for (th_kept *k = cache->first; k; k = k->next) {
        bytes += (double)th_plate_table_bytes(k->table) + 8 * (double)k->key_count;
        while (k->next && bytes + (double)th_plate_table_bytes(k->next->table) > CACHE_BYTES) {
            th_kept *old = k->next;
            k->next = old->next;
            free_kept(old);
        }
    }
}

/* ---- the sheet ------------------------------------------------------------------------------- */

static th_plate_material material_of(const th_ground *ground) {
    const th_stock *stock = ground->job->part.stock;
    th_plate_material material = {
        .elastic_modulus = stock->elastic_modulus, .poisson = stock->poisson, .shear_scale = 1};

    th_hold_stiffness(ground->job->hold.tape, ground->job->hold.tape_below, &material.kn,
                      &material.ks);
    return material;
}

/* Compliance of a cell adds up over what it holds: a groove that crosses it is a hinge, however
 * little of the cell it takes. */
typedef struct {
    const th_bed *bed;
    double *sum;   /* of share / thickness^3 */
    double *share; /* thinned */
} th_thinning;

static bool thin(const th_thinning *work, const th_floor *floor, const th_grid_lines *lines,
                 th_error *err) {
    th_cells cells = {0};
    bool fine = th_cells_of(floor->region, lines, &cells, err);

    for (size_t c = 0; fine && c < cells.columns * cells.rows; c++) {
        double share = fmin(cells.covered[c], 1);
        work->sum[c] += share / (floor->thickness * floor->thickness * floor->thickness);
        work->share[c] += share;
    }
    th_cells_free(&cells);
    return fine;
}

static bool thin_cells(const th_bed *bed, const th_grid_lines *lines, th_plate_cell *cells,
                       th_error *err) {
    size_t count = (lines->x_count - 1) * (lines->y_count - 1);
    double t = bed->ground->job->part.thickness;
    th_thinning work = {bed, calloc(2 * count + 1, sizeof(double)), NULL};
    bool fine = work.sum || th_fail_memory(err);

    work.share = work.sum ? work.sum + count : NULL;
    for (size_t i = 0; fine && i < bed->piece->floor_count; i++) {
        fine = thin(&work, &bed->piece->floors[i], lines, err);
    }
    for (size_t c = 0; fine && c < count; c++) {
        double most = fmax(work.share[c], 1); /* roundings */
        double whole = fmax(1 - work.share[c], 0) / (t * t * t);
        cells[c].thickness = work.share[c] > 0 ? cbrt(1 / (work.sum[c] / most + whole)) : t;
    }
    free(work.sum);
    return fine;
}

static bool fill(void *context, const th_grid_lines *lines, th_plate_cell *cells, th_error *err) {
    const th_bed *bed = context;
    size_t count = (lines->x_count - 1) * (lines->y_count - 1);
    double coverage = bed->ground->job->hold.coverage;
    bool apart = bed->piece->taped != bed->piece->region;
    th_cells material = {0}, tape = {0};
    bool fine = th_cells_of(bed->piece->region, lines, &material, err) &&
                (!apart || th_cells_of(bed->piece->taped, lines, &tape, err));

    for (size_t c = 0; fine && c < count; c++) {
        double filled = fmin(fmax(material.covered[c], 0), 1);
        double taped = apart ? fmin(fmax(tape.covered[c], 0), 1) : filled;
        cells[c].filled = filled > 1e-9 ? filled : 0;
        cells[c].bonded = filled > 1e-9 ? coverage * taped : 0;
    }
    th_cells_free(&material);
    th_cells_free(&tape);
    return fine && (bed->piece->floor_count == 0 || thin_cells(bed, lines, cells, err));
}

/* Straight edges along an axis become grid lines, the longest first. */
typedef struct {
    double at, length;
} th_edge;

typedef struct {
    th_edge items[LINES_MAX];
    size_t count;
} th_edges;

static void note_edge(th_edges *edges, double at, double length, double gap) {
    size_t shortest = 0;

    for (size_t i = 0; i < edges->count; i++) {
        if (fabs(edges->items[i].at - at) < gap) {
            if (edges->items[i].length < length) {
                edges->items[i] = (th_edge){at, length};
            }
            return;
        }
        shortest = edges->items[i].length < edges->items[shortest].length ? i : shortest;
    }
    if (edges->count < LINES_MAX) {
        edges->items[edges->count++] = (th_edge){at, length};
    } else if (edges->items[shortest].length < length) {
        edges->items[shortest] = (th_edge){at, length};
    }
}

static void note_edges(const th_outline *region, double gap, th_edges edges[2]) {
    for (size_t r = 0; r < region->ring_count; r++) {
        const th_ring *ring = &region->rings[r];
        for (size_t i = 0; i < ring->count; i++) {
            th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
            double dx = fabs(b.x - a.x), dy = fabs(b.y - a.y);
            if (dx < 1e-6 && dy > gap) {
                note_edge(&edges[0], a.x, dy, gap);
            } else if (dy < 1e-6 && dx > gap) {
                note_edge(&edges[1], a.y, dx, gap);
            }
        }
    }
}

static size_t list_lines(const th_edges *edges, double lines[LINES_MAX]) {
    for (size_t i = 0; i < edges->count; i++) {
        lines[i] = edges->items[i].at;
    }
    return edges->count;
}

/* Lines of the edges of material, tape and floors. */
static void set_lines(const th_bed *bed, double gap, double lines[2][LINES_MAX], size_t count[2]) {
    th_edges edges[2] = {{.count = 0}, {.count = 0}};

    note_edges(bed->piece->region, gap, edges);
    if (bed->piece->taped != bed->piece->region) {
        note_edges(bed->piece->taped, gap, edges);
    }
    for (size_t i = 0; i < bed->piece->floor_count; i++) {
        note_edges(bed->piece->floors[i].region, gap, edges);
    }
    for (int axis = 0; axis < 2; axis++) {
        count[axis] = list_lines(&edges[axis], lines[axis]);
    }
}

/* Whether grid lines can follow the outer edges (`holes`: or those of openings) exactly. */
static bool rectilinear(const th_outline *region, bool holes) {
    for (size_t r = 0; r < region->ring_count; r++) {
        const th_ring *ring = &region->rings[r];
        for (size_t i = 0; ring->hole == holes && i < ring->count; i++) {
            th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
            if (fabs(a.x - b.x) > 1e-6 && fabs(a.y - b.y) > 1e-6) {
                return false;
            }
        }
    }
    return true;
}

/* Largest element (mm): a curved outer edge asks for a fine grid all along, openings do not. */
static double most_of(const th_bed *bed, double per_length) {
    const double *box = bed->piece->box;

    double side = fmax(box[2] - box[0], box[3] - box[1]);
    double most = rectilinear(bed->piece->taped, false) ? side : side / EDGE_CELLS * 5 / per_length;

    return bed->piece->finest > 0 ? fmin(bed->piece->finest, most) : most;
}

static th_plate_sheet sheet_of(const th_bed *bed) {
    const double *box = bed->piece->box;
    bool exact = rectilinear(bed->piece->taped, false) && rectilinear(bed->piece->taped, true);

    return (th_plate_sheet){.x0 = box[0],
                            .y0 = box[1],
                            .x1 = box[2],
                            .y1 = box[3],
                            .thickness = bed->piece->thinnest,
                            .material = material_of(bed->ground),
                            .fill = fill,
                            .context = (void *)bed,
                            .edge = exact ? NULL : bed->piece->taped,
                            .anchors = bed->anchors,
                            .anchor_count = bed->anchor_count,
                            .coverage = bed->ground->job->hold.coverage};
}

double th_bed_length(const th_bed *bed) {
    th_plate_sheet sheet = sheet_of(bed);

    return fmin(th_plate_bending_length(&sheet), th_plate_shear_length(&sheet));
}

/* ---- tables ---------------------------------------------------------------------------------- */

static void note_bed(th_key_list *key, const th_bed *bed, const th_plate_sheet *sheet) {
    const th_plate_material *m = &sheet->material;

    note(key,
         (const double[]){m->elastic_modulus, m->poisson, m->kn, m->ks, sheet->coverage,
                          sheet->thickness, bed->ground->job->part.thickness, bed->piece->finest},
         8);
    note_region(key, bed->piece->region);
    if (bed->piece->taped != bed->piece->region) {
        note_region(key, bed->piece->taped);
    }
    for (size_t i = 0; i < bed->piece->floor_count; i++) {
        note(key, &bed->piece->floors[i].thickness, 1);
        note_region(key, bed->piece->floors[i].region);
    }
    for (size_t i = 0; i < bed->anchor_count; i++) {
        const th_plate_anchor *a = &bed->anchors[i];
        note(key, (const double[]){a->x, a->y, a->k[0], a->k[1], a->k[2]}, 5);
    }
}

static bool make_table(const th_bed *bed, th_plate_sheet *sheet, const th_plate_spot *spots,
                       size_t count, double per_length, th_plate_table **table, th_error *err) {
    double lines[2][LINES_MAX];
    size_t line_count[2];
    th_plate_options options = {
        .per_length = per_length, .most = most_of(bed, per_length), .reach = NEAR};

    set_lines(bed, LINE_GAP * th_bed_length(bed), lines, line_count);
    sheet->lines_x = lines[0];
    sheet->lines_y = lines[1];
    sheet->line_x_count = line_count[0];
    sheet->line_y_count = line_count[1];
    return th_plate_table_make(sheet, spots, count, &options, table, err);
}

bool th_bed_table(const th_bed *bed, const th_plate_spot *spots, size_t count, double per_length,
                  th_plate_cache *cache, const th_plate_table **table, th_error *err) {
    th_plate_sheet sheet = sheet_of(bed);
    th_key_list key = {0};
    th_kept *kept;

    note(&key, &per_length, 1);
    for (size_t i = 0; i < count; i++) {
        note(&key, (const double[]){spots[i].x, spots[i].y, spots[i].patch}, 3);
    }
    note_bed(&key, bed, &sheet);
    if (key.failed) {
        free(key.items);
        return th_fail_memory(err);
    }
    kept = take_kept(cache, &key);
    if (kept) {
        free(key.items);
    } else {
        kept = calloc(1, sizeof *kept);
        if (!kept) {
            free(key.items);
            return th_fail_memory(err);
        }
        if (!make_table(bed, &sheet, spots, count, per_length, &kept->table, err)) {
            free(key.items);
            free(kept);
            return false;
        }
        kept->key = key.items;
        kept->key_count = key.count;
    }
    put_first(cache, kept);
    *table = kept->table;
    return true;
}
