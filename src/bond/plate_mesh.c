/* plate_mesh.c - grids that are fine where the load is and coarse elsewhere. */
#include "plate_system.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double default_per_length = 5, default_reach = 1;
/* ln 1.3: sizes that grow so much per length differ by at most 1.3 from one to the next */
static const double growth = 0.26;
static const double most_cells = 4e6;
/* Cells across a part whose edge cuts them: what their tape resists a tilt with is then right to
 * half a per cent. */
static const double edge_cells = 40;

/* Wanted element size along one axis. */
typedef struct {
    const double *spots; /* sorted coordinates of the spots */
    size_t count;
    double at_spot; /* size at the patch */
    double fine;    /* size within reach of a spot */
    double reach;   /* (mm) */
    double most;    /* largest size */
    double scale;   /* all sizes are multiplied by it */
    double ceiling; /* no size is above it, whatever the scale */
} th_sizing;

/* Lines that must be there. */
typedef struct {
    const double *lines;
    size_t line_count;
    const th_plate_anchor *anchors;
    size_t anchor_count;
    int axis; /* 0 for x */
} th_musts;

/* Growing list of lines. */
typedef struct {
    double *at;
    size_t count, capacity;
} th_line_list;

double th_plate_bending_length(const th_plate_sheet *sheet) {
    const th_plate_material *m = &sheet->material;
    double t = sheet->thickness;
    double d = m->elastic_modulus * t * t * t / (12 * (1 - m->poisson * m->poisson));

    return pow(d / m->kn, 0.25);
}

double th_plate_shear_length(const th_plate_sheet *sheet) {
    return sqrt(sheet->material.elastic_modulus * sheet->thickness / sheet->material.ks);
}

static double size_at(const th_sizing *s, double x) {
    double away = INFINITY, size;

    if (s->count) {
        size_t low = th_grid_interval(s->spots, s->count, x);

        away = fabs(x - s->spots[low]);
        if (low + 1 < s->count) {
            away = fmin(away, fabs(x - s->spots[low + 1]));
        }
    }
    size = fmin(s->at_spot + growth * away, s->fine + growth * fmax(0, away - s->reach));
    return fmin(s->scale * fmin(size, s->most), s->ceiling);
}

static bool add_line(th_line_list *list, double x, th_error *err) {
    if (list->count == list->capacity) {
        size_t capacity = list->capacity ? 2 * list->capacity : 64;
        double *more = realloc(list->at, capacity * sizeof *more);

        if (!more) {
            return th_fail_memory(err);
        }
        list->at = more;
        list->capacity = capacity;
    }
    list->at[list->count++] = x;
    return true;
}

/* Elements that [a, b] asks for: integral of dx / size. With `lines`, the lines inside are added so
 * that each takes the same share of it. */
static bool march(const th_sizing *sizing, const double ends[2], double total, th_line_list *lines,
                  double *sum, th_error *err) {
    double share = lines ? total / fmax(1, ceil(total - 1e-9)) : 0;
    double x = ends[0], next = share;

    *sum = 0;
    while (x < ends[1]) {
        double step = fmin(size_at(sizing, x) / 8, ends[1] - x);
        double part = step / size_at(sizing, x + step / 2);

        if (lines && *sum + part >= next && next < total - share / 2) {
            step *= fmin(1, fmax(0, (next - *sum) / part));
            *sum = next;
            next += share;
            if (!add_line(lines, x + step, err)) {
                return false;
            }
        } else {
            *sum += part;
        }
        if (x + step >= ends[1] || !(ends[1] - x - step > 1e-12 * (ends[1] - ends[0]))) {
            return true;
        }
        x += step;
    }
    return true;
}

static int by_value(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

/* Adds a line unless it is off the box or near one that is there. */
static bool offer_line(th_line_list *fixed, const double box[2], double x, double near,
                       th_error *err) {
    for (size_t f = 0; f < fixed->count; f++) {
        if (!(fabs(x - fixed->at[f]) > near)) {
            return true;
        }
    }
    return !(x > box[0] && x < box[1]) || add_line(fixed, x, err);
}

/* Lines that must be there, then anchors and spots that are not too close to one of them. */
static bool fix_lines(const th_sizing *sizing, const double box[2], const th_musts *musts,
                      th_line_list *fixed, th_error *err) {
    size_t kept = 0;
    bool fine = add_line(fixed, box[0], err) && add_line(fixed, box[1], err);

    for (size_t m = 0; fine && m < musts->line_count; m++) {
        double x = musts->lines[m];

        fine = !(x > box[0] && x < box[1]) || add_line(fixed, x, err);
    }
    for (size_t a = 0; fine && a < musts->anchor_count; a++) {
        double x = musts->axis ? musts->anchors[a].y : musts->anchors[a].x;

        fine = offer_line(fixed, box, x, 0.1 * size_at(sizing, x), err);
    }
    for (size_t s = 0; fine && s < sizing->count; s++) {
        fine =
            offer_line(fixed, box, sizing->spots[s], 0.4 * size_at(sizing, sizing->spots[s]), err);
    }
    if (!fine) {
        return false;
    }
    qsort(fixed->at, fixed->count, sizeof *fixed->at, by_value);
    for (size_t f = 1; f < fixed->count; f++) {
        if (fixed->at[f] - fixed->at[kept] > 1e-9 * (box[1] - box[0])) {
            fixed->at[++kept] = fixed->at[f];
        }
    }
    fixed->at[kept] = box[1];
    fixed->count = kept + 1;
    return true;
}

static bool make_lines(const th_sizing *sizing, const th_line_list *fixed, th_line_list *lines,
                       th_error *err) {
    for (size_t f = 0; f + 1 < fixed->count; f++) {
        double total, done;

        if (!add_line(lines, fixed->at[f], err) ||
            !march(sizing, fixed->at + f, 0, NULL, &total, err) ||
            !march(sizing, fixed->at + f, total, lines, &done, err)) {
            return false;
        }
        if ((double)lines->count > most_cells) {
            return th_fail(err, TH_NOT_POSSIBLE,
                           "the plate's grid would need over %.0f lines: a coarser one is wanted",
                           most_cells);
        }
    }
    return add_line(lines, fixed->at[fixed->count - 1], err);
}

static bool check_sheet(const th_plate_sheet *sheet, th_error *err) {
    const th_plate_material *m = &sheet->material;

    if (!(sheet->x1 > sheet->x0) || !(sheet->y1 > sheet->y0) || !(sheet->thickness > 0) ||
        !(m->elastic_modulus > 0) || !(m->kn > 0) || !(m->ks > 0) || !(m->poisson < 0.5) ||
        !isfinite(sheet->x1 - sheet->x0) || !isfinite(sheet->y1 - sheet->y0)) {
        return th_fail(err, TH_BAD_RANGE,
                       "a plate %.4g x %.4g x %.4g mm of modulus %.4g MPa on springs of %.4g and "
                       "%.4g N/mm3: all must be above 0",
                       sheet->x1 - sheet->x0, sheet->y1 - sheet->y0, sheet->thickness,
                       m->elastic_modulus, m->kn, m->ks);
    }
    return true;
}

static th_sizing sizing_of(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                           const th_plate_options *options) {
    double bend = th_plate_bending_length(sheet), slide = th_plate_shear_length(sheet);
    double patch = INFINITY;
    bool per_length = options && options->per_length > 0, reach = options && options->reach > 0;
    th_sizing sizing = {0};

    for (size_t s = 0; s < count; s++) {
        patch = fmin(patch, spots[s].patch);
    }
    sizing.fine = fmin(bend, slide) / default_per_length;
    /* plate theory has no detail finer than a part of the thickness */
    sizing.at_spot = fmin(sizing.fine, fmax(patch / 2, sheet->thickness / 4));
    sizing.reach = (reach ? options->reach : default_reach) * bend;
    sizing.most = fmax(sizing.fine, slide / 3);
    sizing.scale = per_length ? default_per_length / options->per_length : 1;
    sizing.ceiling = options && options->most > 0 ? options->most : INFINITY;
    return sizing;
}

/* Lines along one axis; `axis` 0 for x. */
static bool lay_axis(const th_plate_sheet *sheet, th_sizing sizing, int axis, th_line_list *lines,
                     th_error *err) {
    double box[2] = {axis ? sheet->y0 : sheet->x0, axis ? sheet->y1 : sheet->x1};
    th_musts musts = {axis ? sheet->lines_y : sheet->lines_x,
                      axis ? sheet->line_y_count : sheet->line_x_count, sheet->anchors,
                      sheet->anchor_count, axis};
    th_line_list fixed = {0};
    bool fine;

    sizing.most = fmin(sizing.most,
                       (box[1] - box[0]) / (sheet->edge && isinf(sizing.ceiling) ? edge_cells : 2));
    fine = fix_lines(&sizing, box, &musts, &fixed, err) && make_lines(&sizing, &fixed, lines, err);
    free(fixed.at);
    return fine;
}

static bool fill_cells(const th_plate_sheet *sheet, th_plate_mesh *mesh, th_error *err) {
    size_t nx = mesh->grid.nx, ny = mesh->grid.ny;

    if ((double)nx * (double)ny > most_cells) {
        return th_fail(err, TH_NOT_POSSIBLE,
                       "the plate's grid would need %.3g cells, over %.3g: about %.1f GB",
                       (double)nx * (double)ny, most_cells, 6e3 * (double)nx * (double)ny / 1e9);
    }
    mesh->cells = th_plate_take(nx * ny, sizeof *mesh->cells);
    if (!mesh->cells) {
        return th_fail_memory(err);
    }
    for (size_t c = 0; c < nx * ny; c++) {
        mesh->cells[c] = (th_plate_cell){sheet->thickness, sheet->coverage, 1};
    }
    if (sheet->fill) {
        th_grid_lines lines = {mesh->xs, mesh->ys, nx + 1, ny + 1};

        if (!sheet->fill(sheet->context, &lines, mesh->cells, err)) {
            return false;
        }
    }
    mesh->grid.xs = mesh->xs;
    mesh->grid.ys = mesh->ys;
    mesh->grid.cells = mesh->cells;
    mesh->grid.material = sheet->material;
    mesh->grid.edge = sheet->edge;
    return true;
}

/* Distance to a node; one without a well filled cell about it counts as a cell further off: a
 * sliver holds nothing. Infinite without material. */
static double distance_to(const th_plate_mesh *mesh, size_t node, const th_plate_anchor *anchor) {
    size_t row = mesh->grid.nx + 1, i = node % row, j = node / row;
    double fullest = 0, size = 0;

    for (size_t k = 0; k < 4; k++) { /* what wraps below 0 is too large */
        size_t ci = i - k % 2, cj = j - k / 2;

        if (ci < mesh->grid.nx && cj < mesh->grid.ny) {
            const th_plate_cell *cell = &mesh->cells[cj * mesh->grid.nx + ci];

            fullest = th_plate_cell_solid(cell) ? fmax(fullest, cell->filled) : fullest;
            size =
                fmax(size, hypot(mesh->xs[ci + 1] - mesh->xs[ci], mesh->ys[cj + 1] - mesh->ys[cj]));
        }
    }
    return fullest > 0 ? hypot(mesh->xs[i] - anchor->x, mesh->ys[j] - anchor->y) +
                             size * fmax(0, 1 - 2 * fullest)
                       : (double)INFINITY;
}

static bool set_springs(const th_plate_sheet *sheet, th_plate_mesh *mesh, th_error *err) {
    size_t nodes = (mesh->grid.nx + 1) * (mesh->grid.ny + 1);

    if (!sheet->anchor_count) {
        return true;
    }
    mesh->springs = calloc(sheet->anchor_count, sizeof *mesh->springs);
    if (!mesh->springs) {
        return th_fail_memory(err);
    }
    mesh->grid.springs = mesh->springs;
    mesh->grid.spring_count = sheet->anchor_count;
    for (size_t a = 0; a < sheet->anchor_count; a++) {
        const th_plate_anchor *anchor = &sheet->anchors[a];
        double nearest = INFINITY;

        for (size_t n = 0; n < nodes; n++) {
            double away = distance_to(mesh, n, anchor);

            if (away < nearest) {
                nearest = away;
                mesh->springs[a].node = n;
            }
        }
        memcpy(mesh->springs[a].k, anchor->k, sizeof anchor->k);
    }
    return true;
}

bool th_plate_mesh_make(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                        const th_plate_options *options, th_plate_mesh *mesh, th_error *err) {
    double *sorted = th_plate_take(count, sizeof *sorted);
    th_line_list lines[2] = {{0}};
    bool fine = check_sheet(sheet, err);

    memset(mesh, 0, sizeof *mesh);
    if (!sorted) {
        return th_fail_memory(err);
    }
    for (int axis = 0; fine && axis < 2; axis++) {
        th_sizing sizing = sizing_of(sheet, spots, count, options);

        for (size_t s = 0; s < count; s++) {
            sorted[s] = axis ? spots[s].y : spots[s].x;
        }
        qsort(sorted, count, sizeof *sorted, by_value);
        sizing.spots = sorted;
        sizing.count = count;
        fine = lay_axis(sheet, sizing, axis, &lines[axis], err);
    }
    free(sorted);
    mesh->xs = lines[0].at;
    mesh->ys = lines[1].at;
    if (fine) {
        mesh->grid.nx = lines[0].count - 1;
        mesh->grid.ny = lines[1].count - 1;
        fine = fill_cells(sheet, mesh, err) && set_springs(sheet, mesh, err);
    }
    if (!fine) {
        th_plate_mesh_free(mesh);
    }
    return fine;
}

void th_plate_mesh_free(th_plate_mesh *mesh) {
    if (mesh) {
        free(mesh->xs);
        free(mesh->ys);
        free(mesh->cells);
        free(mesh->springs);
        memset(mesh, 0, sizeof *mesh);
    }
}
