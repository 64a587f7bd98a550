/* test_plate_cell.c - one cell of the plate, what a grid says of itself, where it puts anchors,
 * what its tables take, and how many grids an answer took: by hand. Sizes and materials are
 * invented. */
#include "plate_system.h"

#include "support/near.h"
#include "support/plate_case.h"

#include <malloc.h>
#include <math.h>
#include <stdlib.h>

static double energy(double k[TH_CELL_DOF][TH_CELL_DOF], const double d[TH_CELL_DOF]) {
    double sum = 0;

    for (int r = 0; r < TH_CELL_DOF; r++) {
        for (int c = 0; c < TH_CELL_DOF; c++) {
            sum += d[r] * k[r][c] * d[c] / 2;
        }
    }
    return sum;
}

/* Tilted without turning its normals a plate is sheared alone: (5/6) G t gamma^2/2 on each area, G
 * = E/(2 (1 + nu)) (Reissner 1945). */
static void sheared_alone(void **state) {
    const double gamma = 1e-3, e = 3000, nu = 0.4, t = 6, a = 2.5, b = 4;
    th_plate_material material = {e, nu, 0, 0, 1};
    th_plate_cell cell = {t, 0, 1};
    double k[TH_CELL_DOF][TH_CELL_DOF];

    (void)state;
    th_plate_element(&material, &cell, a, b, k);
    for (int axis = 0; axis < 2; axis++) {
        double d[TH_CELL_DOF] = {0};
        for (int n = 0; n < 4; n++) {
            double x = n == 1 || n == 2 ? a : 0, y = n >= 2 ? b : 0;
            d[TH_NODE_DOF * n + 2] = gamma * (axis ? y : x);
        }
        assert_near(energy(k, d), 5.0 / 6 * e / (2 * (1 + nu)) * t * gamma * gamma / 2 * a * b,
                    1e-12, 0);
    }
}

/* Stretched without bending, its middle plane shares one stress: E t eps^2/(2 (1 - nu^2)) where the
 * sides are held. */
static void stretched_alone(void **state) {
    const double eps = 2e-4, e = 70000, nu = 0.33, t = 3, a = 1.5, b = 2;
    th_plate_material material = {e, nu, 0, 0, 1};
    th_plate_cell cell = {t, 0, 1};
    double k[TH_CELL_DOF][TH_CELL_DOF], d[TH_CELL_DOF] = {0};

    (void)state;
    th_plate_element(&material, &cell, a, b, k);
    for (int n = 0; n < 4; n++) {
        d[TH_NODE_DOF * n] = n == 1 || n == 2 ? eps * a : 0;
    }
    assert_near(energy(k, d), e * t * eps * eps / (2 * (1 - nu * nu)) * a * b, 1e-12, 0);
}

/* What the nodes stand for is the bonded area, each no more than a quarter of the cells about it.
 */
static void nodes_share_the_bonded_area(void **state) {
    th_plate_grid grid = plate_case(12, 9);
    const th_plate_nodes *nodes;
    double cell = 60.0 / 12 * 40.0 / 9, bonded = 0, sum = 0;
    th_plate_model *model;
    th_error err = {0};

    (void)state;
    for (size_t c = 0; c < 12 * 9; c++) {
        bonded += th_plate_cell_solid(&grid.cells[c]) ? grid.cells[c].bonded * cell : 0;
    }
    assert_true(th_plate_model_make(&grid, NULL, &model, &err));
    nodes = th_plate_model_nodes(model);
    for (size_t n = 0; n < nodes->count; n++) {
        assert_true(nodes->area[n] > 0 && nodes->area[n] <= cell);
        sum += nodes->area[n];
    }
    assert_near(sum, bonded, 1e-12, 0);
    th_plate_model_free(model);
    plate_case_free(&grid);
}

/* Far more cells than memory can hold are refused before any of them is looked at. */
static void a_grid_beyond_counting_is_refused(void **state) {
    const size_t sides[][2] = {{SIZE_MAX, 1}, {1, SIZE_MAX}, {SIZE_MAX, SIZE_MAX}, {5000000, 5}};
    double lines[2] = {0, 1};
    th_plate_cell cell = {1, 1, 1};

    (void)state;
    for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
        th_plate_grid grid = {.nx = sides[i][0],
                              .ny = sides[i][1],
                              .xs = lines,
                              .ys = lines,
                              .cells = &cell,
                              .material = {70000, 0.33, 0.08, 0.16, 1}};
        th_plate_model *model;
        th_error err = {0};
        assert_false(th_plate_model_make(&grid, NULL, &model, &err));
        assert_int_equal(err.code, TH_NOT_POSSIBLE);
        assert_null(model);
    }
}

/* ---- anchors ----------------------------------------------------------------------------------
 */

/* A share of the last column of cells; and of all beyond a place nothing. */
typedef struct {
    double last, until;
} rim;

static bool fill_rim(void *context, const th_grid_lines *lines, th_plate_cell *cells,
                     th_error *err) {
    const rim *r = context;
    size_t columns = lines->x_count - 1;

    (void)err;
    for (size_t c = 0; c < columns * (lines->y_count - 1); c++) {
        size_t i = c % columns;
        bool gone = lines->xs[i + 1] > r->until;
        double share = gone ? 0 : i + 1 == columns ? r->last : 1;
        cells[c] = (th_plate_cell){share > 0 ? cells[c].thickness : 0, share, share};
    }
    return true;
}

/* The grid line, counted from the right, that an anchor at the right edge sits on; and how far off
 * that is. All lengths `scale` times as large, thickness and springs to go with them: the same
 * part in other units. */
static size_t line_of_anchor(const rim *r, double scale, double *off) {
    th_plate_anchor anchor = {30 * scale, 12 * scale, {100, 100, 100}, 1, 1};
    th_plate_sheet sheet = {.x1 = 30 * scale,
                            .y1 = 24 * scale,
                            .thickness = 2 * scale,
                            .material = {70000, 0.33, 8 / scale, 16 / scale, 1},
                            .fill = fill_rim,
                            .context = (void *)r,
                            .anchors = &anchor,
                            .anchor_count = 1,
                            .coverage = 1};
    th_plate_spot spot = {15 * scale, 12 * scale, 3 * scale};
    th_plate_mesh mesh;
    th_error err = {0};
    size_t line;

    assert_true(th_plate_mesh_make(&sheet, &spot, 1, NULL, &mesh, &err));
    line = mesh.springs[0].node % (mesh.grid.nx + 1);
    *off = (anchor.x - mesh.xs[line]) / scale;
    line = mesh.grid.nx - line;
    th_plate_mesh_free(&mesh);
    return line;
}

/* It sits on metal, however far that is. */
static void an_anchor_beside_the_metal_finds_it(void **state) {
    double off;

    (void)state;
    for (int gap = 2; gap < 25; gap += 7) {
        double until = 30 - gap;
        rim r = {1, until};
        assert_true(line_of_anchor(&r, 1, &off) > 0);
        assert_true(off >= 30 - until && off < 30 - until + 4);
    }
}

/* A cell nearly empty holds nothing, one half full does; where between is no matter of units. */
static void an_anchor_finds_a_well_filled_cell(void **state) {
    double off;

    (void)state;
    for (int share = 0; share <= 10; share++) {
        rim r = {share ? 0.1 * share : 1e-3, INFINITY};
        size_t line = line_of_anchor(&r, 1, &off);
        assert_true(share > 0 || line == 1);
        assert_true(share < 5 || line == 0);
        assert_int_equal(line_of_anchor(&r, 0.02, &off), line);
        assert_int_equal(line_of_anchor(&r, 50, &off), line);
    }
}

/* ---- tables -----------------------------------------------------------------------------------
 */

/* Of each spot what it keeps is counted: its record, its numbers, and where they are. */
static void a_table_knows_what_it_takes(void **state) {
    enum { SPOTS = 1500 };
    static th_plate_spot spots[SPOTS];
    th_plate_sheet sheet = {
        .x1 = 8, .y1 = 6, .thickness = 2, .material = {70000, 0.33, 8, 16, 1}, .coverage = 1};
    th_plate_options options = {.per_length = 2};
    size_t least = 0;
    th_plate_table *table;
    th_error err = {0};

    (void)state;
    assert_true(th_plate_table_make(&sheet, spots, 0, &options, &table, &err));
    assert_true(th_plate_table_bytes(table) < 2000);
    assert_null(th_plate_table_at(table, 0));
    th_plate_table_free(table);
    for (int s = 0; s < SPOTS; s++) {
        spots[s] = (th_plate_spot){4, 3, 2};
    }
    assert_true(th_plate_table_make(&sheet, spots, SPOTS, &options, &table, &err));
    for (size_t s = 0; s < SPOTS; s++) {
        least += sizeof(th_plate_influence) + sizeof(double *) +
                 3 * TH_UNITS * sizeof(double) * th_plate_table_at(table, s)->nodes->count;
    }
    assert_true(th_plate_table_bytes(table) >= least);
    assert_true(th_plate_table_bytes(table) - least < 10000);
    th_plate_table_free(table);
}

/* Each grid is 1.5 times finer than the one before: how fine the last is tells how many there were,
 * two at least, or there is no change to tell. */
static void grids_are_counted(void **state) {
    th_plate_sheet sheet = {.x1 = 40, .y1 = 30, .thickness = 3, .coverage = 1};
    th_plate_load load = {.spot = {37, 27, 6}, .z = 3, .fx = 30, .fz = 10};
    static const double tolerances[] = {10, 1e-4};

    (void)state;
    sheet.material = (th_plate_material){70000, 0.33, 0.3, 1, 1};
    for (int i = 0; i < 2; i++) {
        th_plate_options options = {.per_length = 1, .tolerance = tolerances[i]};
        th_plate_answer answer;
        th_error err;
        assert_true(th_plate_refine(&sheet, &load, 1, &options, &answer, &err));
        assert_true(i == 0 ? answer.steps == 2 : answer.steps > 2);
        assert_near(answer.per_length, pow(1.5, (double)answer.steps - 1), 1e-12, 0);
    }
}

/* A cell that is more than full or less than empty is refused, whatever else is sound. */
static void a_cell_that_cannot_be_is_refused(void **state) {
    static const double lines[] = {0, 1, 2};
    static const th_plate_cell wrong[] = {{-1, 1, 1},        {NAN, 1, 1},     {INFINITY, 1, 1},
                                          {2, -0.1, 1},      {2, 1.5, 1},     {2, NAN, 1},
                                          {2, 1, -0.1},      {2, 1, 1.5},     {2, 1, NAN},
                                          {2, -INFINITY, 1}, {2, 1, INFINITY}};

    (void)state;
    for (size_t i = 0; i <= sizeof wrong / sizeof *wrong; i++) {
        th_plate_cell cells[4] = {{2, 1, 1}, {2, 1, 1}, {2, 1, 1}, {2, 1, 1}};
        th_plate_grid grid = {.xs = lines,
                              .ys = lines,
                              .nx = 2,
                              .ny = 2,
                              .cells = cells,
                              .material = {70000, 0.33, 8, 16, 1}};
        bool sound = i == sizeof wrong / sizeof *wrong;
        th_plate_model *model = NULL;
        th_error err = {0};
        if (!sound) {
            cells[i % 4] = wrong[i];
        }
        assert_int_equal(th_plate_model_make(&grid, NULL, &model, &err), sound);
        assert_int_equal(err.code, sound ? TH_OK : TH_BAD_RANGE);
        th_plate_model_free(model);
    }
}

/* A line beside cells that are less than half full counts as further off, by up to a cell: the line
 * behind it is taken where that is near. */
static void half_full_is_well_filled(void **state) {
    const double before_last = 29.8;

    (void)state;
    for (int share = 1; share <= 10; share++) {
        rim r = {0.1 * share, INFINITY};
        th_plate_anchor anchor = {30, 12, {100, 100, 100}, 1, 1};
        th_plate_sheet sheet = {.x1 = 30,
                                .y1 = 24,
                                .thickness = 2,
                                .material = {70000, 0.33, 8, 16, 1},
                                .fill = fill_rim,
                                .context = &r,
                                .anchors = &anchor,
                                .anchor_count = 1,
                                .lines_x = &before_last,
                                .line_x_count = 1,
                                .coverage = 1};
        th_plate_spot spot = {15, 12, 3};
        th_plate_mesh mesh;
        th_error err = {0};
        assert_true(th_plate_mesh_make(&sheet, &spot, 1, NULL, &mesh, &err));
        assert_near(mesh.xs[mesh.grid.nx - 1], before_last, 1e-12, 0);
        assert_int_equal(mesh.grid.nx - mesh.springs[0].node % (mesh.grid.nx + 1), share < 5);
        th_plate_mesh_free(&mesh);
    }
}

/* What a table took it gives back: no more is taken after many of them than after a few. */
static void nothing_is_kept_of_a_table(void **state) {
    th_plate_sheet sheet = {
        .x1 = 8, .y1 = 6, .thickness = 2, .material = {70000, 0.33, 8, 16, 1}, .coverage = 1};
    th_plate_options options = {.per_length = 2};
    const th_plate_spot spots[] = {{4, 3, 2}, {5, 3, 2}, {2, 1, 2}};
    size_t few = 0, many;

    (void)state;
    for (int i = 0; i < 60; i++) {
        th_plate_table *table;
        th_error err = {0};
        assert_true(th_plate_table_make(&sheet, spots, 3, &options, &table, &err));
        th_plate_table_free(table);
        few = i == 9 ? mallinfo2().uordblks : few;
    }
    many = mallinfo2().uordblks;
    assert_true(many < few + 50 * 100); /* each block of its own is larger than that */
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sheared_alone),
        cmocka_unit_test(stretched_alone),
        cmocka_unit_test(nodes_share_the_bonded_area),
        cmocka_unit_test(a_grid_beyond_counting_is_refused),
        cmocka_unit_test(an_anchor_beside_the_metal_finds_it),
        cmocka_unit_test(an_anchor_finds_a_well_filled_cell),
        cmocka_unit_test(a_table_knows_what_it_takes),
        cmocka_unit_test(grids_are_counted),
        cmocka_unit_test(a_cell_that_cannot_be_is_refused),
        cmocka_unit_test(half_full_is_well_filled),
        cmocka_unit_test(nothing_is_kept_of_a_table),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
