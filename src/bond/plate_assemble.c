/* plate_assemble.c - from a grid of cells to the stiffness matrix of the whole plate. */
#include "plate_system.h"

#include <limits.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Neighbours of a node that come later in the order of solution: at most four. */
typedef struct {
    int number[4];
    int count;
} th_later;

void *th_plate_take(size_t count, size_t size) {
    if (count > SIZE_MAX / size) {
        return NULL;
    }
    size_t bytes = count * size;
    return malloc(bytes ? bytes : 1);
}

static void *copy_of(const void *from, size_t count, size_t size) {
    void *to = th_plate_take(count, size);

    return to ? memcpy(to, from, count * size) : NULL;
}

static bool rising(const double *lines, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(lines[i]) || (i && !(lines[i] > lines[i - 1]))) {
            return false;
        }
    }
    return true;
}

static bool cell_sane(const th_plate_cell *cell) {
    return cell->thickness >= 0 && isfinite(cell->thickness) && cell->filled >= 0 &&
           cell->filled <= 1 && cell->bonded >= 0 && cell->bonded <= 1;
}

static bool check_material(const th_plate_material *m, th_error *err) {
    if (m->elastic_modulus > 0 && m->poisson >= 0 && m->poisson < 0.5 && m->kn >= 0 && m->ks >= 0 &&
        m->shear_scale > 0 && isfinite(m->elastic_modulus) && isfinite(m->kn) && isfinite(m->ks) &&
        isfinite(m->shear_scale)) {
        return true;
    }
    return th_fail(err, TH_BAD_RANGE,
                   "a plate of modulus %.4g MPa and Poisson's ratio %.4g on springs of %.4g and "
                   "%.4g N/mm3: the modulus must be above 0, the ratio from 0 to 0.5, the springs "
                   "not negative",
                   m->elastic_modulus, m->poisson, m->kn, m->ks);
}

static bool check_grid(const th_plate_grid *grid, th_error *err) {
    if (!grid->nx || !grid->ny || grid->nx > INT_MAX / 4 || grid->ny > INT_MAX / 4 ||
        (double)(grid->nx + 1) * (double)(grid->ny + 1) * TH_NODE_DOF * 25 > INT_MAX) {
        return th_fail(err, TH_NOT_POSSIBLE,
                       "a plate model of %zu x %zu cells: at least 1 and at most about 17 million",
                       grid->nx, grid->ny);
    }
    if (!rising(grid->xs, grid->nx + 1) || !rising(grid->ys, grid->ny + 1)) {
        return th_fail(err, TH_BAD_RANGE, "the lines of the plate's grid do not rise");
    }
    for (size_t c = 0; c < grid->nx * grid->ny; c++) {
        if (!cell_sane(&grid->cells[c])) {
            return th_fail(err, TH_BAD_RANGE,
                           "cell %zu of the plate's grid: thickness %.4g, bonded %.4g, filled %.4g",
                           c, grid->cells[c].thickness, grid->cells[c].bonded,
                           grid->cells[c].filled);
        }
    }
    for (size_t s = 0; s < grid->spring_count; s++) {
        if (grid->springs[s].node >= (grid->nx + 1) * (grid->ny + 1)) {
            return th_fail(err, TH_BAD_RANGE, "spring %zu is at no node of the plate's grid", s);
        }
    }
    return check_material(&grid->material, err);
}

void th_plate_corners(const th_plate_model *model, size_t i, size_t j, size_t corner[4]) {
    size_t row = model->nx + 1;

    corner[0] = j * row + i;
    corner[1] = corner[0] + 1;
    corner[2] = corner[1] + row;
    corner[3] = corner[0] + row;
}

/* Along the shorter side first: a narrow profile. */
static void number_nodes(th_plate_model *model) {
    size_t row = model->nx + 1, nodes = row * (model->ny + 1);
    bool along_x = model->nx <= model->ny;
    size_t fast = along_x ? row : model->ny + 1;

    for (size_t n = 0; n < nodes; n++) {
        model->number[n] = -1;
    }
    for (size_t j = 0; j < model->ny; j++) {
        for (size_t i = 0; i < model->nx; i++) {
            size_t corner[4];

            th_plate_corners(model, i, j, corner);
            for (int c = 0; c < 4 && th_plate_cell_solid(&model->cells[j * model->nx + i]); c++) {
                model->number[corner[c]] = 0;
            }
        }
    }
    for (size_t n = 0; n < nodes; n++) {
        size_t at = along_x ? n : (n % fast) * row + n / fast;

        if (model->number[at] >= 0) {
            model->number[at] = model->node_count++;
        }
    }
}

static void note_later(const th_plate_model *model, size_t i, size_t j, th_later *later) {
    static const int step[8][2] = {{-1, -1}, {0, -1}, {1, -1}, {-1, 0},
                                   {1, 0},   {-1, 1}, {0, 1},  {1, 1}};
    size_t row = model->nx + 1;
    int own = model->number[j * row + i];

    later->count = 0;
    for (int s = 0; s < 8; s++) {
        size_t a = i + (size_t)step[s][0],
               b = j + (size_t)step[s][1]; /* wraps below 0: too large */
        int other, at;

        if (a > model->nx || b > model->ny || (other = model->number[b * row + a]) <= own) {
            continue;
        }
        for (at = later->count++; at > 0 && later->number[at - 1] > other; at--) {
            later->number[at] = later->number[at - 1];
        }
        later->number[at] = other;
    }
}

/* Column 5 a + k of the lower triangle: own unknowns from k on, then those of later neighbours. */
static bool lay_out(th_plate_model *model, th_later *later, th_error *err) {
    th_symmetric *m = &model->matrix;
    int at = 0, entries = 0;

    m->n = TH_NODE_DOF * model->node_count;
    for (int a = 0; a < model->node_count; a++) {
        entries += 15 + 25 * later[a].count;
    }
    m->start = th_plate_take((size_t)m->n + 1, sizeof *m->start);
    m->row = th_plate_take((size_t)entries, sizeof *m->row);
    m->value = calloc((size_t)entries + 1, sizeof *m->value);
    if (!m->start || !m->row || !m->value) {
        return th_fail_memory(err);
    }
    for (int column = 0; column < m->n; column++) {
        int a = column / TH_NODE_DOF;

        m->start[column] = at;
        for (int k = column; k < TH_NODE_DOF * (a + 1); k++) {
            m->row[at++] = k;
        }
        for (int s = 0; s < TH_NODE_DOF * later[a].count; s++) {
            m->row[at++] = TH_NODE_DOF * later[a].number[s / TH_NODE_DOF] + s % TH_NODE_DOF;
        }
    }
    m->start[m->n] = at;
    return true;
}

/* Place of (row unknown l of node b, column unknown k of node a), b not before a. */
static int place_of(const th_plate_model *model, const th_later *later, const int at[4]) {
    int a = at[0], k = at[1], b = at[2], l = at[3], slot = 0;
    int start = model->matrix.start[TH_NODE_DOF * a + k];

    if (a == b) {
        return start + l - k;
    }
    while (later[a].number[slot] != b) {
        slot++;
    }
    return start + TH_NODE_DOF - k + TH_NODE_DOF * slot + l;
}

static void add_cell(th_plate_model *model, const th_later *later, size_t i, size_t j) {
    double k[TH_CELL_DOF][TH_CELL_DOF];
    size_t corner[4];

    th_plate_element(&model->material, &model->cells[j * model->nx + i],
                     model->xs[i + 1] - model->xs[i], model->ys[j + 1] - model->ys[j], k);
    th_plate_corners(model, i, j, corner);
    for (int r = 0; r < TH_CELL_DOF; r++) {
        int b = model->number[corner[r / TH_NODE_DOF]], l = r % TH_NODE_DOF;

        for (int c = 0; c < TH_CELL_DOF; c++) {
            int at[4] = {model->number[corner[c / TH_NODE_DOF]], c % TH_NODE_DOF, b, l};

            if (at[2] > at[0] || (at[2] == at[0] && l >= at[1])) {
                model->matrix.value[place_of(model, later, at)] += k[r][c];
            }
        }
    }
}

static void add_springs(th_plate_model *model, const th_plate_grid *grid) {
    for (size_t s = 0; s < grid->spring_count; s++) {
        int a = model->number[grid->springs[s].node];

        for (int k = 0; a >= 0 && k < TH_NODE_DOF; k++) {
            model->matrix.value[model->matrix.start[TH_NODE_DOF * a + k]] += grid->springs[s].k[k];
        }
    }
}

static bool note_places(th_plate_model *model, th_error *err) {
    size_t row = model->nx + 1;
    int *place = th_plate_take(2 * (size_t)model->matrix.n, sizeof *place);

    model->matrix.grid = place;
    if (!place) {
        return th_fail_memory(err);
    }
    for (size_t n = 0; n < row * (model->ny + 1); n++) {
        for (int k = 0; k < TH_NODE_DOF && model->number[n] >= 0; k++) {
            int *of = place + 2 * ((size_t)TH_NODE_DOF * (size_t)model->number[n] + (size_t)k);
            of[0] = (int)(n % row);
            of[1] = (int)(n / row);
        }
    }
    return true;
}

static bool fill_matrix(th_plate_model *model, const th_plate_grid *grid, th_error *err) {
    th_later *later = calloc((size_t)model->node_count + 1, sizeof *later);

    if (!later) {
        return th_fail_memory(err);
    }
    for (size_t n = 0; n < (model->nx + 1) * (model->ny + 1); n++) {
        if (model->number[n] >= 0) {
            note_later(model, n % (model->nx + 1), n / (model->nx + 1), &later[model->number[n]]);
        }
    }
    if (!lay_out(model, later, err) || !note_places(model, err)) {
        free(later);
        return false;
    }
    for (size_t c = 0; c < model->nx * model->ny; c++) {
        if (th_plate_cell_solid(&model->cells[c])) {
            add_cell(model, later, c % model->nx, c / model->nx);
        }
    }
    add_springs(model, grid);
    free(later);
    return true;
}

bool th_plate_assemble(const th_plate_grid *grid, th_plate_model *model, th_error *err) {
    size_t nodes;

    if (!check_grid(grid, err)) {
        return false;
    }
    nodes = (grid->nx + 1) * (grid->ny + 1);
    model->nx = grid->nx;
    model->ny = grid->ny;
    model->material = grid->material;
    model->xs = copy_of(grid->xs, grid->nx + 1, sizeof *grid->xs);
    model->ys = copy_of(grid->ys, grid->ny + 1, sizeof *grid->ys);
    model->cells = copy_of(grid->cells, grid->nx * grid->ny, sizeof *grid->cells);
    model->number = th_plate_take(nodes, sizeof *model->number);
    if (!model->xs || !model->ys || !model->cells || !model->number) {
        return th_fail_memory(err);
    }
    number_nodes(model);
    if (!model->node_count) {
        return th_fail(err, TH_BAD_RANGE, "the plate's grid holds no material");
    }
    return fill_matrix(model, grid, err);
}
