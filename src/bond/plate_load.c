/* plate_load.c - consistent nodal loads of forces spread over a square patch. */
#include "plate_system.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { GROWTHS = 8 };
static const double least_share = 0.05;

/* The patch cut to one cell. */
typedef struct {
    double x0, x1, y0, y1;
    double weight; /* share of the cell that is material */
    size_t i, j;
} th_piece;

/* Area, centroid and polar second moment of the loaded material. */
typedef struct {
    double area, cx, cy, polar;
} th_loaded;

typedef struct {
    const th_plate_model *model;
    const th_plate_spot *spot;
    th_loaded loaded;
    size_t i0, i1, j0, j1; /* cells under the patch, i1 and j1 not among them */
    th_unit_loads *loads;
} th_spread;

typedef void (*th_piece_action)(th_spread *spread, const th_piece *piece);

/* Cells that the patch reaches, whether they hold material or not. */
static void find_cells(th_spread *spread) {
    const th_plate_model *m = spread->model;
    double half = spread->spot->patch / 2, x = spread->spot->x, y = spread->spot->y;

    spread->i0 = th_grid_interval(m->xs, m->nx, x - half);
    spread->j0 = th_grid_interval(m->ys, m->ny, y - half);
    for (spread->i1 = spread->i0; spread->i1 < m->nx && m->xs[spread->i1] < x + half;) {
        spread->i1++;
    }
    for (spread->j1 = spread->j0; spread->j1 < m->ny && m->ys[spread->j1] < y + half;) {
        spread->j1++;
    }
}

static void each_piece(th_spread *spread, th_piece_action action) {
    const th_plate_model *m = spread->model;
    double half = spread->spot->patch / 2, x = spread->spot->x, y = spread->spot->y;

    for (size_t j = spread->j0; j < spread->j1; j++) {
        for (size_t i = spread->i0; i < spread->i1; i++) {
            const th_plate_cell *cell = &m->cells[j * m->nx + i];
            th_piece piece = {.weight = cell->filled, .i = i, .j = j};

            piece.x0 = fmax(x - half, m->xs[i]);
            piece.x1 = fmin(x + half, m->xs[i + 1]);
            piece.y0 = fmax(y - half, m->ys[j]);
            piece.y1 = fmin(y + half, m->ys[j + 1]);
            if (th_plate_cell_solid(cell) && piece.x1 > piece.x0 && piece.y1 > piece.y0) {
                action(spread, &piece);
            }
        }
    }
}

static void add_area(th_spread *spread, const th_piece *p) {
    double area = (p->x1 - p->x0) * (p->y1 - p->y0) * p->weight;

    spread->loaded.area += area;
    spread->loaded.cx += area * (p->x0 + p->x1) / 2;
    spread->loaded.cy += area * (p->y0 + p->y1) / 2;
}

static void add_polar(th_spread *spread, const th_piece *p) {
    double a = p->x1 - p->x0, b = p->y1 - p->y0;
    double dx = (p->x0 + p->x1) / 2 - spread->loaded.cx;
    double dy = (p->y0 + p->y1) / 2 - spread->loaded.cy;

    spread->loaded.polar += a * b * p->weight * (dx * dx + dy * dy + (a * a + b * b) / 12);
}

/* Loads of density at one point, times its share of the area, on a node with shape value `share`.
 * Forces act uniformly, the couple about z as a turning field about the centroid. What the shift of
 * the centroid from the spot adds to each unit load is taken back by spread couples. */
static void add_point(const th_spread *s, double (*value)[TH_UNITS], const double at[2],
                      double share) {
    double dx = s->loaded.cx - s->spot->x, dy = s->loaded.cy - s->spot->y;
    double mean = share / s->loaded.area;
    double turn_u = -share * (at[1] - s->loaded.cy) / s->loaded.polar;
    double turn_v = share * (at[0] - s->loaded.cx) / s->loaded.polar;

    value[0][TH_UNIT_FX] += mean + dy * turn_u;
    value[1][TH_UNIT_FX] += dy * turn_v;
    value[0][TH_UNIT_FY] -= dx * turn_u;
    value[1][TH_UNIT_FY] += mean - dx * turn_v;
    value[2][TH_UNIT_FZ] += mean;
    value[3][TH_UNIT_FZ] += dx * mean;
    value[4][TH_UNIT_FZ] += dy * mean;
    value[4][TH_UNIT_MX] -= mean;
    value[3][TH_UNIT_MY] += mean;
    value[0][TH_UNIT_MZ] += turn_u;
    value[1][TH_UNIT_MZ] += turn_v;
}

/* Two Gauss points a side integrate shape function times turning field exactly. */
static void add_loads(th_spread *spread, const th_piece *p) {
    const th_plate_model *m = spread->model;
    double a = m->xs[p->i + 1] - m->xs[p->i], b = m->ys[p->j + 1] - m->ys[p->j];
    double quarter = (p->x1 - p->x0) * (p->y1 - p->y0) * p->weight / 4;
    size_t row = spread->i1 - spread->i0 + 1, low = (p->j - spread->j0) * row + p->i - spread->i0;
    size_t corner[4] = {low, low + 1, low + 1 + row, low + row};

    for (int g = 0; g < 4; g++) {
        double s = (g % 2 ? 0.5 : -0.5) / sqrt(3.0), t = (g / 2 ? 0.5 : -0.5) / sqrt(3.0);
        double at[2] = {(p->x0 + p->x1) / 2 + s * (p->x1 - p->x0),
                        (p->y0 + p->y1) / 2 + t * (p->y1 - p->y0)};
        double x = (at[0] - m->xs[p->i]) / a, y = (at[1] - m->ys[p->j]) / b;
        double shape[4] = {(1 - x) * (1 - y), x * (1 - y), x * y, (1 - x) * y};

        for (int c = 0; c < 4; c++) {
            add_point(spread, spread->loads->value + TH_NODE_DOF * corner[c], at,
                      quarter * shape[c]);
        }
    }
}

static bool take_loads(th_spread *spread, th_error *err) {
    const th_plate_model *m = spread->model;
    size_t row = spread->i1 - spread->i0 + 1, nodes = row * (spread->j1 - spread->j0 + 1);
    th_unit_loads *loads = spread->loads;

    loads->count = TH_NODE_DOF * nodes;
    loads->unknown = th_plate_take(loads->count, sizeof *loads->unknown);
    loads->value = calloc(loads->count, sizeof *loads->value);
    if (!loads->unknown || !loads->value) {
        th_plate_unit_loads_free(loads);
        return th_fail_memory(err);
    }
    for (size_t u = 0; u < loads->count; u++) {
        size_t local = u / TH_NODE_DOF;
        size_t node = (spread->j0 + local / row) * (m->nx + 1) + spread->i0 + local % row;
        int number = m->number[node];

        loads->unknown[u] = number < 0 ? -1 : TH_NODE_DOF * number + (int)(u % TH_NODE_DOF);
    }
    return true;
}

/* Slivers alone cannot take a load: a patch on next to no material grows about its place until a
 * twentieth of it is material. The resultant stays where it is. */
static bool find_material(th_spread *spread, th_plate_spot *grown) {
    double side = grown->patch;

    spread->spot = grown;
    for (int tries = 0; tries <= GROWTHS; tries++) {
        spread->loaded = (th_loaded){0, 0, 0, 0};
        find_cells(spread);
        each_piece(spread, add_area);
        if (!(spread->loaded.area > 1e-9 * side * side)) {
            return false;
        }
        if (spread->loaded.area >= least_share * grown->patch * grown->patch) {
            break;
        }
        grown->patch *= tries < GROWTHS ? 1.5 : 1;
    }
    spread->loaded.cx /= spread->loaded.area;
    spread->loaded.cy /= spread->loaded.area;
    return true;
}

bool th_plate_unit_loads(const th_plate_model *model, const th_plate_spot *spot,
                         th_unit_loads *loads, th_error *err) {
    th_spread spread = {.model = model, .loads = loads};
    th_plate_spot grown = *spot;

    memset(loads, 0, sizeof *loads);
    if (!(spot->patch > 0) || !isfinite(spot->patch) || !isfinite(spot->x) || !isfinite(spot->y)) {
        return th_fail(err, TH_BAD_RANGE, "a load at %.4g,%.4g mm on a patch of %.4g mm", spot->x,
                       spot->y, spot->patch);
    }
    if (!find_material(&spread, &grown)) {
        return th_fail(err, TH_BAD_RANGE,
                       "a load at %.4g,%.4g mm on a patch of %.4g mm touches no material", spot->x,
                       spot->y, spot->patch);
    }
    if (!take_loads(&spread, err)) {
        return false;
    }
    each_piece(&spread, add_polar);
    each_piece(&spread, add_loads);
    return true;
}

void th_plate_unit_loads_free(th_unit_loads *loads) {
    free(loads->unknown);
    free(loads->value);
    memset(loads, 0, sizeof *loads);
}
