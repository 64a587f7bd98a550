/* plate_solve.c - factor a grid, solve for loads, tables of influence. */
#include "plate_system.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Spots solved together: 24 right-hand sides. The solver reads its factor once for all of them;
 * more gain nothing, as their memory costs more than the reading. */
enum { BLOCK_SPOTS = 4 };

static const double default_memory = 1.5e9;

/* ---- the model ------------------------------------------------------------------------------- */

/* Bonded area that each grid node stands for: a quarter of each cell it touches, which integrates
 * a bilinear traction over a rectangle exactly. */
static double *node_areas(const th_plate_grid *grid) {
    double *area = calloc((grid->nx + 1) * (grid->ny + 1), sizeof *area);

    for (size_t c = 0; area && c < grid->nx * grid->ny; c++) {
        size_t i = c % grid->nx, j = c / grid->nx, low = j * (grid->nx + 1) + i;
        double quarter = grid->cells[c].bonded * (grid->xs[i + 1] - grid->xs[i]) *
                         (grid->ys[j + 1] - grid->ys[j]) / 4;

        if (th_plate_cell_solid(&grid->cells[c])) {
            area[low] += quarter;
            area[low + 1] += quarter;
            area[low + grid->nx + 1] += quarter;
            area[low + grid->nx + 2] += quarter;
        }
    }
    return area;
}

static bool list_nodes(th_plate_model *model, const th_plate_grid *grid, th_error *err) {
    size_t grid_nodes = (model->nx + 1) * (model->ny + 1), count = 0;
    double *area = node_areas(grid);
    double *x = th_plate_take(3 * grid_nodes, sizeof *x);
    size_t *node = th_plate_take(grid_nodes, sizeof *node);
    th_plate_place *places = th_plate_take(grid_nodes, sizeof *places);

    /* the model frees what it holds, whatever comes */
    model->nodes = (th_plate_nodes){.x = x, .node = node};
    model->places = places;
    if (!area || !x || !node || !places) {
        free(area);
        return th_fail_memory(err);
    }
    for (size_t n = 0; n < grid_nodes; n++) {
        if (area[n] > 0) {
            places[count] = th_plate_place_of(model, grid->edge, n);
            x[count] = places[count].x;
            x[grid_nodes + count] = places[count].y;
            x[2 * grid_nodes + count] = area[n];
            node[count++] = n;
        }
    }
    free(area);
    model->nodes = (th_plate_nodes){count,     x,         x + grid_nodes, x + 2 * grid_nodes, node,
                                    model->xs, model->ys, model->nx + 1,  model->ny + 1};
    return true;
}

static bool list_springs(th_plate_model *model, const th_plate_grid *grid, th_error *err) {
    model->spring_nodes = th_plate_take(grid->spring_count, sizeof *model->spring_nodes);
    if (!model->spring_nodes) {
        return th_fail_memory(err);
    }
    model->spring_count = grid->spring_count;
    for (size_t s = 0; s < grid->spring_count; s++) {
        model->spring_nodes[s] = grid->springs[s].node;
    }
    return true;
}

size_t th_plate_count_nodes(const th_plate_grid *grid) {
    size_t row = grid->nx + 1, count = 0;

    for (size_t n = 0; n < row * (grid->ny + 1); n++) {
        bool bonded = false;

        for (size_t k = 0; k < 4; k++) { /* what wraps below 0 is too large */
            size_t i = n % row - k % 2, j = n / row - k / 2;

            if (i < grid->nx && j < grid->ny) {
                const th_plate_cell *cell = &grid->cells[j * grid->nx + i];

                bonded = bonded || (th_plate_cell_solid(cell) && cell->bonded > 0);
            }
        }
        count += bonded;
    }
    return count;
}

bool th_plate_model_make(const th_plate_grid *grid, const th_plate_options *options,
                         th_plate_model **model, th_error *err) {
    th_plate_model *made = calloc(1, sizeof *made);
    double memory = options && options->memory > 0 ? options->memory : default_memory;
    th_solver_kind kind = options ? options->solver : TH_SOLVER_DEFAULT;

    *model = NULL;
    if (!made) {
        return th_fail_memory(err);
    }
    if (!th_plate_assemble(grid, made, err) || !list_nodes(made, grid, err) ||
        !list_springs(made, grid, err) ||
        !th_linear_factor(&made->matrix, kind, memory, &made->solver, err)) {
        th_plate_model_free(made);
        return false;
    }
    *model = made;
    return true;
}

void th_plate_model_free(th_plate_model *model) {
    if (!model) {
        return;
    }
    th_linear_free(model->solver);
    free(model->matrix.start);
    free(model->matrix.row);
    free(model->matrix.value);
    free(model->matrix.grid);
    free(model->number);
    free(model->xs);
    free(model->ys);
    free(model->cells);
    free((void *)model->nodes.x);
    free((void *)model->nodes.node);
    free(model->places);
    free(model->spring_nodes);
    free(model);
}

const th_plate_nodes *th_plate_model_nodes(const th_plate_model *model) {
    return &model->nodes;
}

/* Traction (shear x, y, lift) at bonded node n from a vector of unknowns. */
static void traction_at(const th_plate_model *model, size_t n, const double *unknowns,
                        double traction[3]) {
    const th_plate_place *place = &model->places[n];
    int corners = place->share[0] < 1 ? 4 : 1;

    traction[0] = traction[1] = traction[2] = 0;
    for (int c = 0; c < corners; c++) {
        const double *d = unknowns + TH_NODE_DOF * (size_t)place->number[c];

        traction[0] += place->share[c] * model->material.ks * d[0];
        traction[1] += place->share[c] * model->material.ks * d[1];
        traction[2] += place->share[c] * model->material.kn * d[2];
    }
}

/* ---- loads together -------------------------------------------------------------------------- */

static bool add_load(const th_plate_model *model, const th_plate_load *load, double *sum,
                     th_error *err) {
    double factor[TH_UNITS] = {load->fx,           load->fy, load->fz, -load->z * load->fy,
                               load->z * load->fx, load->mz};
    th_unit_loads units;

    if (!th_plate_unit_loads(model, &load->spot, &units, err)) {
        return false;
    }
    for (size_t k = 0; k < units.count; k++) {
        for (int u = 0; units.unknown[k] >= 0 && u < TH_UNITS; u++) {
            sum[units.unknown[k]] += factor[u] * units.value[k][u];
        }
    }
    th_plate_unit_loads_free(&units);
    return true;
}

static bool make_field(const th_plate_model *model, const double *unknowns, th_plate_field *field,
                       th_error *err) {
    size_t count = model->nodes.count, grid_nodes = (model->nx + 1) * (model->ny + 1);

    memset(field, 0, sizeof *field);
    field->count = count;
    field->shear_x = th_plate_take(3 * count, sizeof(double));
    field->displacement = calloc(TH_NODE_DOF * grid_nodes, sizeof(double));
    if (!field->shear_x || !field->displacement) {
        th_plate_field_free(field);
        return th_fail_memory(err);
    }
    field->shear_y = field->shear_x + count;
    field->lift = field->shear_x + 2 * count;
    for (size_t n = 0; n < count; n++) {
        double t[3], shear;

        traction_at(model, n, unknowns, t);
        field->shear_x[n] = t[0];
        field->shear_y[n] = t[1];
        field->lift[n] = t[2];
        shear = hypot(t[0], t[1]);
        if (shear > field->shear_peak) {
            field->shear_peak = shear;
            field->shear_at = n;
        }
        if (t[2] > field->lift_peak) {
            field->lift_peak = t[2];
            field->lift_at = n;
        }
    }
    for (size_t n = 0; n < grid_nodes; n++) {
        if (model->number[n] >= 0) {
            memcpy(field->displacement + TH_NODE_DOF * n,
                   unknowns + TH_NODE_DOF * (size_t)model->number[n], TH_NODE_DOF * sizeof(double));
        }
    }
    return true;
}

/* Once more for what the first answer leaves over: an answer good to the last digits where a stiff
 * plate on soft springs costs some. */
static bool solve_polished(const th_plate_model *model, double *load, double *answer,
                           th_error *err) {
    size_t n = (size_t)model->matrix.n;
    double *product = answer + n;

    memcpy(answer, load, n * sizeof *answer);
    if (!th_linear_solve(model->solver, answer, 1, err)) {
        return false;
    }
    th_symmetric_times(&model->matrix, answer, product);
    for (size_t i = 0; i < n; i++) {
        load[i] -= product[i];
    }
    if (!th_linear_solve(model->solver, load, 1, err)) {
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        answer[i] += load[i];
    }
    return true;
}

bool th_plate_solve(const th_plate_model *model, const th_plate_load *loads, size_t count,
                    th_plate_field *field, th_error *err) {
    size_t n = (size_t)model->matrix.n;
    double *sum = calloc(3 * n, sizeof *sum); /* load, answer, product */
    bool fine = sum != NULL;

    memset(field, 0, sizeof *field);
    if (!sum) {
        return th_fail_memory(err);
    }
    for (size_t l = 0; fine && l < count; l++) {
        fine = add_load(model, &loads[l], sum, err);
    }
    fine =
        fine && solve_polished(model, sum, sum + n, err) && make_field(model, sum + n, field, err);
    free(sum);
    return fine;
}

void th_plate_field_free(th_plate_field *field) {
    if (field) {
        free(field->shear_x);
        free(field->displacement);
        memset(field, 0, sizeof *field);
    }
}

/* ---- influence ------------------------------------------------------------------------------- */

typedef struct {
    const th_plate_model *model;
    th_unit_loads loads[BLOCK_SPOTS];
    double *columns;   /* TH_UNITS vectors for each spot of a block: loads, then answers */
    double *tractions; /* of one spot */
    double *anchors;   /* motion of the springs' nodes, of one spot */
} th_block_work;

/* Work of unit load a on the answer to unit load b. */
static void fill_give(const th_unit_loads *loads, const double *answers, size_t n,
                      double give[TH_UNITS][TH_UNITS]) {
    memset(give, 0, sizeof(double) * TH_UNITS * TH_UNITS);
    for (size_t k = 0; k < loads->count; k++) {
        for (size_t a = 0; loads->unknown[k] >= 0 && a < TH_UNITS; a++) {
            for (size_t b = 0; b < TH_UNITS; b++) {
                give[a][b] += loads->value[k][a] * answers[b * n + (size_t)loads->unknown[k]];
            }
        }
    }
}

/* Motion of the nodes that springs hold; none at a node without material. */
static void fill_anchors(const th_plate_model *model, const double *unknowns, double *motion) {
    for (size_t s = 0; s < model->spring_count; s++) {
        int number = model->number[model->spring_nodes[s]];

        for (size_t k = 0; k < 3; k++) {
            motion[3 * s + k] = number < 0 ? 0 : unknowns[TH_NODE_DOF * (size_t)number + k];
        }
    }
}

static void hand_over(const th_block_work *work, size_t in_block, th_plate_influence *influence) {
    const th_plate_model *model = work->model;
    size_t n = (size_t)model->matrix.n, count = model->nodes.count;
    const double *answers = work->columns + in_block * TH_UNITS * n;

    influence->nodes = &model->nodes;
    for (size_t u = 0; u < TH_UNITS; u++) {
        double *traction = work->tractions + 3 * count * u;

        for (size_t k = 0; k < count; k++) {
            traction_at(model, k, answers + u * n, traction + 3 * k);
        }
        influence->unit[u] = traction;
        if (model->spring_count) {
            double *anchor = work->anchors + 3 * model->spring_count * u;

            fill_anchors(model, answers + u * n, anchor);
            influence->anchor[u] = anchor;
        }
    }
    fill_give(&work->loads[in_block], answers, n, influence->give);
}

static void free_loads(th_block_work *work) {
    for (size_t s = 0; s < BLOCK_SPOTS; s++) {
        th_plate_unit_loads_free(&work->loads[s]);
    }
}

static bool solve_block(th_block_work *work, const th_plate_spot *spots, size_t count,
                        th_error *err) {
    size_t n = (size_t)work->model->matrix.n;

    free_loads(work);
    memset(work->columns, 0, TH_UNITS * n * count * sizeof(double));
    for (size_t s = 0; s < count; s++) {
        th_unit_loads *loads = &work->loads[s];

        if (!th_plate_unit_loads(work->model, &spots[s], loads, err)) {
            return false;
        }
        for (size_t k = 0; k < loads->count; k++) {
            for (size_t u = 0; loads->unknown[k] >= 0 && u < TH_UNITS; u++) {
                work->columns[(s * TH_UNITS + u) * n + (size_t)loads->unknown[k]] =
                    loads->value[k][u];
            }
        }
    }
    return th_linear_solve(work->model->solver, work->columns, TH_UNITS * count, err);
}

bool th_plate_model_influence(const th_plate_model *model, const th_plate_spot *spots, size_t count,
                              th_plate_sink sink, th_error *err) {
    size_t n = (size_t)model->matrix.n, block = count < BLOCK_SPOTS ? count : BLOCK_SPOTS;
    th_block_work work = {.model = model};
    bool fine;

    work.columns = th_plate_take(TH_UNITS * block * n, sizeof(double));
    work.tractions = th_plate_take(TH_UNITS * model->nodes.count * 3, sizeof(double));
    work.anchors = th_plate_take(TH_UNITS * model->spring_count * 3, sizeof(double));
    fine = work.columns && work.tractions && work.anchors;
    if (!fine) {
        th_fail_memory(err);
    }
    for (size_t first = 0; fine && first < count; first += block) {
        size_t here = count - first < block ? count - first : block;

        fine = solve_block(&work, spots + first, here, err);
        for (size_t s = 0; fine && s < here; s++) {
            th_plate_influence influence = {.spot = first + s, .place = spots[first + s]};

            hand_over(&work, s, &influence);
            fine = sink.take(sink.context, &influence, err);
        }
    }
    free_loads(&work);
    free(work.columns);
    free(work.tractions);
    free(work.anchors);
    return fine;
}
