/* test_plate.c - the flexible plate on a layer of springs against closed forms and itself.
 *
 * Physics is compared with published results, named beside each number; loads, sizes and materials
 * are invented unless a source is named. */
#include "plate_system.h"

#include "support/near.h"
#include "support/plate_case.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Transverse shear so stiff that the plate is a thin one. */
static const double rigid = 1e4;

typedef struct {
    th_plate_mesh mesh;
    th_plate_model *model;
    th_plate_field field;
} th_case;

static void solve_sheet(th_case *c, const th_plate_sheet *sheet, const th_plate_load *loads,
                        size_t count, double per_length) {
    th_plate_options options = {.memory = 4e9, .per_length = per_length};
    th_plate_spot spots[8];
    th_error err = {0};

    for (size_t l = 0; l < count; l++) {
        spots[l] = loads[l].spot;
    }
    if (!th_plate_mesh_make(sheet, spots, count, &options, &c->mesh, &err) ||
        !th_plate_model_make(&c->mesh.grid, &options, &c->model, &err) ||
        !th_plate_solve(c->model, loads, count, &c->field, &err)) {
        fail_msg("%s", err.message);
    }
}

static void solve_grid(th_case *c, const th_plate_grid *grid, const th_plate_load *loads,
                       size_t count) {
    th_error err = {0};

    memset(c, 0, sizeof *c);
    if (!th_plate_model_make(grid, NULL, &c->model, &err) ||
        !th_plate_solve(c->model, loads, count, &c->field, &err)) {
        fail_msg("%s", err.message);
    }
}

static void done(th_case *c) {
    th_plate_field_free(&c->field);
    th_plate_model_free(c->model);
    th_plate_mesh_free(&c->mesh);
}

/* Deflection at the grid node nearest to (x, y). */
static double deflection(const th_case *c, double x, double y) {
    const th_plate_model *m = c->model;
    size_t i = th_grid_interval(m->xs, m->nx + 1, x + 1e-6);
    size_t j = th_grid_interval(m->ys, m->ny + 1, y + 1e-6);

    assert_near(m->xs[i], x, 0, 1e-5);
    assert_near(m->ys[j], y, 0, 1e-5);
    return c->field.displacement[5 * (j * (m->nx + 1) + i) + 2];
}

static double bending_stiffness(double e, double nu, double t) {
    return e * t * t * t / (12 * (1 - nu * nu));
}

/* What th_plate_assemble alone has made. */
static void free_assembled(th_plate_model *model) {
    free(model->matrix.start);
    free(model->matrix.row);
    free(model->matrix.value);
    free(model->matrix.grid);
    free(model->number);
    free(model->xs);
    free(model->ys);
    free(model->cells);
}

/* ---- plates on a bed ------------------------------------------------------------------------- */

/* Point load on an infinite plate: w = P/(8 sqrt(k D)) (Timoshenko and Woinowsky-Krieger, Theory of
 * Plates and Shells, ch. 8), profile w(r)/w(0) = -(4/pi) kei(r/l), here from SciPy's kei. */
static void infinite_plate(void **state) {
    static const double profile[][2] = {
        {0.5, 0.8551}, {1, 0.6303}, {1.5, 0.4220}, {2, 0.2577}, {3, 0.0651}};
    const double e = 70000, nu = 0.33, t = 1, kn = 5;
    double d = bending_stiffness(e, nu, t), l = pow(d / kn, 0.25), half = 10 * l;
    double lines[11];
    th_plate_sheet sheet = {-half, -half, half, half, t,    {e, nu, kn, 1e-6, rigid},
                            lines, NULL,  11,   0,    NULL, NULL,
                            NULL,  0,     1,    NULL};
    th_plate_load load = {.spot = {0, 0, 0.1 * l}, .fz = 100};
    double w0 = 100 / (8 * sqrt(kn * d));
    th_case c = {0};

    (void)state;
    for (int i = 0; i < 5; i++) {
        lines[2 * i] = -profile[i][0] * l;
        lines[2 * i + 1] = profile[i][0] * l;
    }
    lines[10] = 0;
    solve_sheet(&c, &sheet, &load, 1, 10);
    assert_near(deflection(&c, 0, 0), w0, 0.01, 0);
    assert_near(c.field.lift_peak, 100 / (8 * l * l), 0.01, 0);
    for (int i = 0; i < 5; i++) {
        assert_near(deflection(&c, profile[i][0] * l, 0) / w0, profile[i][1], 0, 0.01);
    }
    done(&c);
}

typedef struct {
    double corner, interior, edge;
} th_slab;

/* Huang, Pavement Analysis and Design, 2nd ed. 2004, examples 4.2 to 4.5: E 4e6 psi, thickness 10
 * in, Poisson 0.15, bed 100 pci, 10000 lb on a circle of radius 6 in. Units in and lb throughout.
 * A square of side c = 1.772 a has the circle's area; the slab has sides of 10 l. */
static th_slab huang_slab(void) {
    const double e = 4e6, nu = 0.15, k = 100, h = 10, a = 6;
    double l = pow(bending_stiffness(e, nu, h) / k, 0.25), c = 1.772 * a, side = 10 * l;
    th_plate_sheet sheet = {0,    0,    side, side, h,    {e, nu, k, 1e-3, rigid},
                            NULL, NULL, 0,    0,    NULL, NULL,
                            NULL, 0,    1,    NULL};
    double at[3][2] = {{c / 2, c / 2}, {side / 2, side / 2}, {side / 2, c / 2}};
    double w[3];

    assert_near(l, 42.97, 1e-3, 0);
    for (int i = 0; i < 3; i++) {
        th_plate_load load = {.spot = {at[i][0], at[i][1], c}, .fz = 10000};
        th_case run = {0};

        solve_sheet(&run, &sheet, &load, 1, 10);
        w[i] = deflection(&run, i == 0 ? 0 : side / 2, i == 1 ? side / 2 : 0);
        done(&run);
    }
    return (th_slab){w[0], w[1], w[2]};
}

static void slabs_of_huang(void **state) {
    th_slab slab = huang_slab();

    (void)state;
    print_message("corner %.5f in (Ioannides 0.0560, Westergaard 0.0502), interior %.6f (0.0067), "
                  "edge %.5f (circle 0.0207, semicircle 0.0222)\n",
                  slab.corner, slab.interior, slab.edge);
    assert_near(slab.corner, 0.0560, 0.03, 0);     /* example 4.2, Ioannides and others 1985 */
    assert_near(slab.interior, 0.006699, 0.03, 0); /* example 4.3, printed 0.0067 */
    assert_true(slab.edge > 0.0207 && slab.edge < 0.0222); /* example 4.4 */
}

/* ---- beams on a bed -------------------------------------------------------------------------- */

/* A narrow strip along x, one cell wide; Poisson 0 makes it a beam. */
enum { STRIP_CELLS = 600 };
static const double strip_width = 0.05;

static void solve_strip(th_case *c, double length, double thickness, th_plate_material material,
                        const th_plate_load *load) {
    double *xs = plate_case_lines(STRIP_CELLS, length), ys[2] = {0, strip_width};
    th_plate_cell *cells = plate_case_cells(STRIP_CELLS, thickness, 1);
    th_plate_grid grid = {STRIP_CELLS, 1, xs, ys, cells, material, NULL, 0, NULL};

    solve_grid(c, &grid, load, 1);
    free(xs);
    free(cells);
}

/* End force and end moment on a long beam: w = 2 P b/k and w = 2 M b^2/k with b = (k/4EI)^(1/4)
 * (Hetenyi, Beams on Elastic Foundation, 1946), P and M per unit width. */
static void beam_end(void **state) {
    const double e = 70000, t = 2, kn = 2;
    double ei = e * t * t * t / 12, beta = pow(kn / (4 * ei), 0.25);
    th_plate_material material = {e, 0, kn, 1e-7, rigid};
    th_plate_load load = {.spot = {0, strip_width / 2, strip_width}, .fz = 10 * strip_width};
    th_case c;

    (void)state;
    solve_strip(&c, 12 * pow(ei / kn, 0.25), t, material, &load);
    assert_near(deflection(&c, 0, 0), 2 * 10 * beta / kn, 0.01, 0);
    assert_near(deflection(&c, 0, strip_width), 2 * 10 * beta / kn, 0.01, 0);
    done(&c);
    /* a pull in the plane at a great height is a moment: 50 N mm/mm with next to no force */
    load.fz = 0;
    load.fx = 1e-6 * strip_width;
    load.z = 1e6 * 50;
    solve_strip(&c, 12 * pow(ei / kn, 0.25), t, material, &load);
    assert_near(deflection(&c, 0, 0), 2 * 50 * beta * beta / kn, 0.01, 0);
    done(&c);
}

/* A bond lets go where its springs have stored the peel energy: M = sqrt(2 D peel) at the edge of a
 * long strip when kn = strength^2/(2 peel) (Kaelble 1960; Lenci 2001), and that times
 * strength/sqrt(2 peel kn) for any other kn. D per unit width, Poisson 0. */
static void strip_lets_go(void **state) {
    const double e = 3000, t = 1, strength = 0.3, peel = 0.2;
    double d = e * t * t * t / 12, own = strength * strength / (2 * peel);
    double kns[3] = {own, 4 * own, 0.25 * own};

    (void)state;
    for (int i = 0; i < 3; i++) {
        th_plate_load load = {
            .spot = {0, strip_width / 2, strip_width}, .z = 1e6, .fx = 1e-6 * strip_width};
        double wanted = sqrt(2 * d * peel) * strength / sqrt(2 * peel * kns[i]);
        th_case c;

        solve_strip(&c, 12 * pow(d / kns[i], 0.25), t, (th_plate_material){e, 0, kns[i], 1e-9, 1},
                    &load);
        assert_near(strength / c.field.lift_peak, wanted, 0.01, 0);
        done(&c);
    }
}

/* With both springs at work the edge stores what the strip's bending gives: lift^2/(2 kn) +
 * shear^2/(2 ks) = M^2/(2 D), the free strip bending about its middle plane (J integral: Rice
 * 1968). This ties the reference plane at the bottom to the energy. */
static void strip_energy(void **state) {
    const double e = 70000, t = 2, kn = 0.3, ks = 50, moment = 40;
    double d = e * t * t * t / 12;
    th_plate_load load = {
        .spot = {0, strip_width / 2, strip_width}, .z = 1e6 * moment, .fx = 1e-6 * strip_width};
    double lift, shear;
    th_case c;

    (void)state;
    solve_strip(&c, 12 * pow(d / kn, 0.25), t, (th_plate_material){e, 0, kn, ks, 1}, &load);
    lift = c.field.lift_peak;
    shear = c.field.shear_peak;
    assert_true(shear > 0.5 * lift); /* both take part */
    assert_near(lift * lift / (2 * kn) + shear * shear / (2 * ks), moment * moment / (2 * d), 0.01,
                0);
    done(&c);
}

/* McGuire, Gallagher, Ziemian, Matrix Structural Analysis, 2nd ed., example 4.15: I 128.5 in4, E
 * 29000 ksi, 240 in long, 15 springs of 22.5 kip/in every 15 in, held at both ends, 40 kip in the
 * middle: moment 547 kip in. The moment follows from the springs' forces by statics. */
static void beam_on_springs(void **state) {
    enum { CELLS = 480, EVERY = 30 };
    double thickness = cbrt(12 * 128.5), reaction, moment;
    double *xs = plate_case_lines(CELLS, 240), ys[2] = {0, 1};
    th_plate_cell *cells = plate_case_cells(CELLS, thickness, 0);
    th_plate_spring springs[34] = {{0}};
    th_plate_load load = {.spot = {120, 0.5, 1}, .fz = 40};
    th_plate_grid grid = {CELLS, 1, xs, ys, cells, {29000, 0, 0, 0, rigid}, springs, 34, NULL};
    th_case c;

    (void)state;
    for (size_t s = 0; s < 34; s++) {
        size_t at = s / 2;
        double k = at == 0 || at == 16 ? 1e9 : 22.5;

        springs[s] = (th_plate_spring){s % 2 * (CELLS + 1) + at * EVERY, {1, 1, k / 2, 0, 0}};
    }
    solve_grid(&c, &grid, &load, 1);
    reaction = 1e9 * deflection(&c, 0, 0);
    moment = reaction * 120;
    for (int at = 1; at < 8; at++) {
        moment += 22.5 * deflection(&c, 15.0 * at, 0) * (120 - 15.0 * at);
    }
    assert_near(fabs(moment), 547, 0.01, 0);
    done(&c);
    free(xs);
    free(cells);
}

/* Infinite beam: y = P b/(2 k) (Hetenyi), in the example's figures 0.2375 in. Here as a bed. */
static void infinite_beam(void **state) {
    double width = 1, t = cbrt(12 * 128.5), k = 1.5, beta = pow(k / (4 * 29000 * 128.5), 0.25);
    double *xs = plate_case_lines(STRIP_CELLS, 16 / beta), ys[2] = {0, width};
    th_plate_cell *cells = plate_case_cells(STRIP_CELLS, t, 1);
    th_plate_load load = {.spot = {8 / beta, 0.5, 1}, .fz = 40};
    th_plate_grid grid = {STRIP_CELLS, 1, xs, ys, cells, {29000, 0, k, 1e-6, rigid}, NULL, 0, NULL};
    th_case c;

    (void)state;
    solve_grid(&c, &grid, &load, 1);
    assert_near(deflection(&c, 8 / beta, 0), 0.2375, 0.01, 0);
    done(&c);
    free(xs);
    free(cells);
}

/* ---- in its plane ---------------------------------------------------------------------------- */

/* Volkersen 1938 for a strip on a rigid base: peak/mean = x coth x with x = L sqrt(ks/(E t)). The
 * lap of two equal aluminium sheets of 2 mm, adhesive 1 GPa and 0.2 mm, overlap 25 mm has the same
 * x = 3.3408 and 3.34915. Springs on the slopes keep the strip from bending. */
static void shear_lag(void **state) {
    enum { CELLS = 250 };
    const double e = 70000, t = 2, length = 25;
    double x = 0.26726 * length / 2, ks = x * x * e * t / (length * length);
    double *xs = plate_case_lines(CELLS, length), ys[2] = {0, strip_width};
    th_plate_cell *cells = plate_case_cells(CELLS, t, 1);
    th_plate_spring springs[2 * (CELLS + 1)];
    th_plate_load load = {.spot = {0, strip_width / 2, strip_width}, .fx = 100 * strip_width};
    th_plate_grid grid = {CELLS,           1,   xs, ys, cells, {e, 0, 1, ks, 1}, springs,
                          2 * (CELLS + 1), NULL};
    th_case c;

    (void)state;
    for (size_t s = 0; s < 2 * (CELLS + 1); s++) {
        springs[s] = (th_plate_spring){s, {0, 0, 0, 1e8, 1e8}};
    }
    solve_grid(&c, &grid, &load, 1);
    assert_near(c.field.shear_peak / (100 / length), 3.34915, 0.01, 0);
    done(&c);
    free(xs);
    free(cells);
}

/* ---- the element ----------------------------------------------------------------------------- */

/* Constant curvature on an uneven grid: no force at inner nodes, and exactly the energy of the
 * plate bent about its middle plane. */
static void patch_test(void **state) {
    double xs[4] = {0, 1.1, 3.7, 5}, ys[4] = {0, 2.3, 2.9, 4};
    const double e = 70000, nu = 0.33, t = 0.8, a = 1e-3, b = -2e-3, twist = 0.7e-3;
    th_plate_cell *cells = plate_case_cells(9, t, 0);
    th_plate_grid grid = {3, 3, xs, ys, cells, {e, nu, 0, 0, 1}, NULL, 0, NULL};
    th_plate_model model = {0};
    double d[80], force[80], work = 0, largest = 0, wanted;
    th_error err;

    (void)state;
    assert_true(th_plate_assemble(&grid, &model, &err));
    for (size_t n = 0; n < 16; n++) {
        double x = xs[n % 4], y = ys[n / 4], sx = a * x + twist * y, sy = b * y + twist * x;
        double values[5] = {t / 2 * sx, t / 2 * sy, a * x * x / 2 + b * y * y / 2 + twist * x * y,
                            -sx, -sy};

        memcpy(d + 5 * model.number[n], values, sizeof values);
    }
    th_symmetric_times(&model.matrix, d, force);
    for (size_t n = 0; n < 80; n++) {
        work += d[n] * force[n] / 2;
        largest = fmax(largest, fabs(force[n]));
    }
    for (size_t n = 0; n < 16; n++) {
        for (int k = 0; k < 5 && n % 4 % 3 && n / 4 % 3; k++) {
            assert_near(force[5 * model.number[n] + k], 0, 0, 1e-10 * largest);
        }
    }
    wanted = bending_stiffness(e, nu, t) / 2 * 20 *
             (a * a + b * b + 2 * nu * a * b + 2 * (1 - nu) * twist * twist);
    assert_near(work, wanted, 1e-9, 0);
    free_assembled(&model);
    free(cells);
}

/* Square plate with clamped edges (Timoshenko and Woinowsky-Krieger, table 35 and art. 44): w =
 * 0.00126 q a^4/D under uniform load, 0.00560 P a^2/D under a point load in the middle. */
static void clamped_plate(void **state) {
    enum { CELLS = 48, NODES = (CELLS + 1) * (CELLS + 1) };
    const double e = 70000, nu = 0.3, t = 1, side = 100;
    double *xs = plate_case_lines(CELLS, side), d = bending_stiffness(e, nu, t);
    th_plate_cell *cells = plate_case_cells(CELLS * CELLS, t, 0);
    th_plate_spring *springs = calloc(NODES, sizeof *springs);
    th_plate_load uniform = {.spot = {50, 50, 100}, .fz = 100};
    th_plate_load point = {.spot = {50, 50, 0.5}, .fz = 10};
    th_plate_grid grid = {CELLS, CELLS, xs, xs, cells, {e, nu, 0, 0, rigid}, springs, NODES, NULL};
    th_case c;

    (void)state;
    for (size_t n = 0; n < NODES; n++) {
        bool edge = n % (CELLS + 1) % CELLS == 0 || n / (CELLS + 1) % CELLS == 0;
        double k = edge ? 1e11 : 0;

        springs[n] = (th_plate_spring){n, {k, k, k, k, k}};
    }
    solve_grid(&c, &grid, &uniform, 1);
    assert_near(deflection(&c, 50, 50) * d / (100 * side * side), 0.00126, 0.01, 0);
    done(&c);
    solve_grid(&c, &grid, &point, 1);
    assert_near(deflection(&c, 50, 50) * d / (10 * side * side), 0.00560, 0.01, 0);
    done(&c);
    free(springs);
    free(xs);
    free(cells);
}

/* ---- agreement ------------------------------------------------------------------------------- */

/* The tape carries the loads. Of the motion of the nodes themselves: tractions of cut cells are
 * judged beside them. */
static void equilibrium(void **state) {
    th_plate_grid grid = plate_case(36, 25);
    const th_plate_nodes *nodes;
    double sum[6] = {0}, want[6] = {0};
    th_case c;

    (void)state;
    solve_grid(&c, &grid, plate_case_loads, 2);
    nodes = th_plate_model_nodes(c.model);
    for (size_t n = 0; n < nodes->count; n++) {
        const double *moved = c.field.displacement + 5 * nodes->node[n];

        sum[0] += nodes->area[n] * grid.material.ks * moved[0];
        sum[1] += nodes->area[n] * grid.material.ks * moved[1];
        sum[2] += nodes->area[n] * grid.material.kn * moved[2];
    }
    for (int l = 0; l < 2; l++) {
        want[0] += plate_case_loads[l].fx;
        want[1] += plate_case_loads[l].fy;
        want[2] += plate_case_loads[l].fz;
    }
    for (int k = 0; k < 3; k++) {
        assert_near(sum[k], want[k], 1e-9, 1e-9);
    }
    done(&c);
    plate_case_free(&grid);
}

/* Resultant of each unit load's values at one node, about a point from which the node lies (x, y).
 */
static void add_resultant(double (*f)[TH_UNITS], double x, double y,
                          double sum[TH_UNITS][TH_UNITS]) {
    for (int u = 0; u < TH_UNITS; u++) {
        sum[u][0] += f[0][u];
        sum[u][1] += f[1][u];
        sum[u][2] += f[2][u];
        sum[u][3] += y * f[2][u] - f[4][u];
        sum[u][4] += -x * f[2][u] + f[3][u];
        sum[u][5] += x * f[1][u] - y * f[0][u];
    }
}

/* Unit loads have the resultant they claim, wherever the patch is cut: force and moment sums of the
 * nodal loads about the spot. */
static void resultants(void **state) {
    th_plate_grid grid = plate_case(36, 25);
    th_plate_spot spots[4] = {{30, 5, 3}, {60, 40, 3}, {0.1, 20, 5}, {17, 24, 6}};
    th_plate_model model = {0};
    th_error err;

    (void)state;
    assert_true(th_plate_assemble(&grid, &model, &err));
    for (int s = 0; s < 4; s++) {
        double sum[TH_UNITS][TH_UNITS] = {{0}};
        th_unit_loads loads;

        assert_true(th_plate_unit_loads(&model, &spots[s], &loads, &err));
        for (size_t n = 0; n < 37 * 26; n++) {
            double x = grid.xs[n % 37] - spots[s].x, y = grid.ys[n / 37] - spots[s].y;

            for (size_t k = 0; k < loads.count; k++) {
                if (model.number[n] >= 0 && loads.unknown[k] == 5 * model.number[n]) {
                    add_resultant(loads.value + k, x, y, sum);
                }
            }
        }
        for (int u = 0; u < TH_UNITS; u++) {
            for (int k = 0; k < TH_UNITS; k++) {
                assert_near(sum[u][k], k == u, 0, 1e-11);
            }
        }
        th_plate_unit_loads_free(&loads);
    }
    free_assembled(&model);
    plate_case_free(&grid);
}

/* So stiff a plate that it moves as a whole: F/A, and z F/W at the edges. */
static void rigid_limit(void **state) {
    const double force = 50, z = 4, a = 40, b = 25;
    double *xs = plate_case_lines(20, a), *ys = plate_case_lines(14, b);
    th_plate_cell *cells = plate_case_cells(280, 3, 1);
    th_plate_load load = {.spot = {20, 12.5, 4}, .z = z, .fx = force};
    th_plate_load twist = {.spot = {20, 12.5, 4}, .mz = 1000};
    th_plate_grid grid = {20, 14, xs, ys, cells, {7e10, 0.33, 0.3, 1.1, 1}, NULL, 0, NULL};
    double polar = a * b * (a * a + b * b) / 12;
    th_case c;

    (void)state;
    solve_grid(&c, &grid, &load, 1);
    assert_near(c.field.shear_peak, force / (a * b), 0.005, 0);
    assert_near(c.field.lift_peak, force * z / (b * a * a / 6), 0.005, 0);
    done(&c);
    solve_grid(&c, &grid, &twist, 1);
    assert_near(c.field.shear_peak, 1000 * hypot(a, b) / 2 / polar, 0.005, 0);
    done(&c);
    free(xs);
    free(ys);
    free(cells);
}

static void agree_on(const th_plate_grid *grid) {
    th_plate_options options[3] = {{.solver = TH_SOLVER_BANDWIDTH},
                                   {.solver = TH_SOLVER_DISSECTION},
                                   {.solver = TH_SOLVER_SUPERNODAL}};
    th_plate_model *model[3];
    th_plate_field field[3];
    double worst = 0, most = 0;
    th_error err = {0};

    for (int i = 0; i < 3; i++) {
        assert_true(th_plate_model_make(grid, &options[i], &model[i], &err));
        assert_true(th_plate_solve(model[i], plate_case_loads, 2, &field[i], &err));
    }
    for (size_t n = 0; n < 5 * (grid->nx + 1) * (grid->ny + 1); n++) {
        for (int i = 1; i < 3; i++) {
            worst = fmax(worst, fabs(field[0].displacement[n] - field[i].displacement[n]));
        }
        most = fmax(most, fabs(field[0].displacement[n]));
    }
    assert_true(most > 0);
    assert_near(worst / most, 0, 0, 1e-9);
    for (int i = 0; i < 3; i++) {
        th_plate_field_free(&field[i]);
        th_plate_model_free(model[i]);
    }
}

/* A whole plate; one of two pieces, with a window in one of them; one that is a single front or
 * nearly; one a cell wide. */
static void solvers_agree(void **state) {
    static const size_t sizes[4][2] = {{30, 44}, {31, 23}, {4, 3}, {40, 1}};

    (void)state;
    for (int i = 0; i < 4; i++) {
        size_t nx = sizes[i][0], ny = sizes[i][1];
        th_plate_grid grid = plate_case(nx, ny);

        for (size_t c = 0; i == 1 && c < nx * ny; c++) {
            size_t x = c % nx, y = c / nx;
            bool window = x > 18 && x < 24 && y > 8 && y < 16;

            if (x == 12 || window) {
                ((th_plate_cell *)grid.cells)[c].thickness = 0;
            }
        }
        agree_on(&grid);
        plate_case_free(&grid);
    }
}

/* Largest displacement of each kind by SciPy 1.10.1's sparse LU on the exported matrix: recorded
 * from `tests/reference/plate_scipy.py build/plate_export`. */
static void answers_of_scipy(void **state) {
    static const struct {
        size_t nx, ny;
        double largest[5];
    } cases[3] = {
        {36,
         25,
         {0.0199773175952859, 0.0118962318061916, 0.203539529995957, 0.00592852483257217,
          0.0106630163257731}},
        {30,
         44,
         {0.0196804949671017, 0.0117077966877789, 0.197762300562946, 0.00568195604576367,
          0.0101901543474541}},
        {90,
         60,
         {0.0195838729889086, 0.0116827311762986, 0.196709814594744, 0.00553742314355525,
          0.0102190935958125}},
    };

    (void)state;
    for (int i = 0; i < 3; i++) {
        th_plate_grid grid = plate_case(cases[i].nx, cases[i].ny);
        th_case c;

        solve_grid(&c, &grid, plate_case_loads, 2);
        for (size_t k = 0; k < 5; k++) {
            double largest = 0;

            for (size_t n = 0; n < (grid.nx + 1) * (grid.ny + 1); n++) {
                largest = fmax(largest, fabs(c.field.displacement[5 * n + k]));
            }
            assert_near(largest, cases[i].largest[k], 1e-9, 0);
        }
        done(&c);
        plate_case_free(&grid);
    }
}

/* ---- influence ------------------------------------------------------------------------------- */

typedef struct {
    size_t seen;
    double z; /* height of the load (mm) */
    double lift_peak[9], shear_peak[9], asymmetry;
} th_gathered;

static bool gather(void *context, const th_plate_influence *f, th_error *err) {
    th_gathered *g = context;
    const th_plate_load *p = &plate_case_loads[0];
    double factor[TH_UNITS] = {p->fx, p->fy, p->fz, -g->z * p->fy, g->z * p->fx, p->mz};

    (void)err;
    g->seen++;
    for (size_t n = 0; n < f->nodes->count; n++) {
        double t[3] = {0, 0, 0};

        for (int u = 0; u < TH_UNITS; u++) {
            for (int k = 0; k < 3; k++) {
                t[k] += factor[u] * f->unit[u][3 * n + (size_t)k];
            }
        }
        g->lift_peak[f->spot] = fmax(g->lift_peak[f->spot], t[2]);
        g->shear_peak[f->spot] = fmax(g->shear_peak[f->spot], hypot(t[0], t[1]));
    }
    for (int a = 0; a < TH_UNITS; a++) {
        for (int b = 0; b < a; b++) {
            g->asymmetry = fmax(g->asymmetry, fabs(f->give[a][b] - f->give[b][a]) /
                                                  sqrt(f->give[a][a] * f->give[b][b]));
        }
    }
    return true;
}

/* The table gives what a solution of the load gives, and is symmetric (Betti). */
static void influence_table(void **state) {
    th_plate_grid grid = plate_case(36, 25);
    th_plate_spot spots[9];
    th_gathered gathered = {.z = plate_case_loads[0].z};
    th_plate_sink sink = {gather, &gathered};
    th_plate_model *model;
    th_error err = {0};

    (void)state;
    for (int s = 0; s < 9; s++) {
        spots[s] = (th_plate_spot){2 + 6.5 * s, 3 + 4.0 * s, 3};
    }
    assert_true(th_plate_model_make(&grid, NULL, &model, &err));
    assert_true(th_plate_model_influence(model, spots, 9, sink, &err));
    assert_int_equal(gathered.seen, 9);
    assert_near(gathered.asymmetry, 0, 0, 1e-9);
    for (int s = 0; s < 9; s++) {
        th_plate_load load = plate_case_loads[0];
        th_plate_field field;

        load.spot = spots[s];
        assert_true(th_plate_solve(model, &load, 1, &field, &err));
        assert_near(gathered.lift_peak[s], field.lift_peak, 1e-9, 0);
        assert_near(gathered.shear_peak[s], field.shear_peak, 1e-9, 0);
        th_plate_field_free(&field);
    }
    th_plate_model_free(model);
    plate_case_free(&grid);
}

/* Largest peaks of nine spots swept at some fineness, and of each spot. */
static th_gathered sweep_nine(double per_length) {
    th_plate_sheet sheet = {
        0, 0, 90, 50, 0.5, {3000, 0.35, 0.3, 1, 1}, NULL, NULL, 0, 0, NULL, NULL, NULL, 0, 1, NULL};
    th_plate_options options = {.per_length = per_length};
    th_gathered gathered = {.z = 0.5};
    th_plate_sink sink = {gather, &gathered};
    th_plate_spot spots[9];
    th_error err = {0};

    for (int s = 0; s < 9; s++) {
        spots[s] = (th_plate_spot){1.5 + 43.5 * (s % 3), 1.5 + 23.5 * (s / 3), 3};
    }
    if (!th_plate_sweep(&sheet, spots, 9, &options, sink, &err)) {
        fail_msg("%s", err.message);
    }
    assert_int_equal(gathered.seen, 9);
    return gathered;
}

static double largest_of(const double values[9]) {
    double most = 0;

    for (int s = 0; s < 9; s++) {
        most = fmax(most, values[s]);
    }
    return most;
}

/* Against a far finer grid: the governing peaks keep within 1 %
 * at the usual fineness; those of every spot, where the shear of force and couple may all but
 * cancel, at 8 elements per decay length. */
static void sweep_in_windows(void **state) {
    th_gathered usual = sweep_nine(5), closer = sweep_nine(8), exact = sweep_nine(20);

    (void)state;
    assert_near(largest_of(usual.lift_peak), largest_of(exact.lift_peak), 0.01, 0);
    assert_near(largest_of(usual.shear_peak), largest_of(exact.shear_peak), 0.01, 0);
    for (int s = 0; s < 9; s++) {
        assert_near(closer.lift_peak[s], exact.lift_peak[s], 0.01, 0);
        assert_near(closer.shear_peak[s], exact.shear_peak[s], 0.01, 0);
    }
}

/* The last change bounds the error (at first order twice the change) against a far finer grid. */
static void refinement(void **state) {
    th_plate_sheet sheet = {
        0, 0, 100, 60, 3, {70000, 0.33, 0.3, 1, 1}, NULL, NULL, 0, 0, NULL, NULL, NULL, 0, 1, NULL};
    th_plate_load load = {.spot = {97, 57, 6}, .z = 3, .fx = 30, .fz = 10};
    th_plate_answer answer;
    th_error err = {0};
    th_case c = {0};

    (void)state;
    assert_true(th_plate_refine(&sheet, &load, 1, NULL, &answer, &err));
    assert_true(answer.change < 0.01);
    assert_true(answer.steps >= 2);
    solve_sheet(&c, &sheet, &load, 1, 30);
    assert_near(answer.lift_peak, c.field.lift_peak, 2 * answer.change, 0);
    assert_near(answer.shear_peak, c.field.shear_peak, 2 * answer.change, 0);
    assert_near(answer.lift_x, 100, 0, 1e-9);
    assert_near(answer.lift_y, 60, 0, 1e-9);
    done(&c);
}

/* Lines rise, reach from edge to edge, pass through the spot and the lines asked for, and grow by
 * no more than 1.3. */
static void grid_lines(void **state) {
    double step = 31;
    th_plate_sheet sheet = {-5,    0,    300, 200, 0.5,  {3000, 0.35, 0.3, 1, 1},
                            &step, NULL, 1,   0,   NULL, NULL,
                            NULL,  0,    1,   NULL};
    th_plate_spot spot = {120, 80, 2};
    double fine = th_plate_bending_length(&sheet) / 5;
    bool through_step = false, through_spot = false;
    th_plate_mesh mesh;
    th_error err;

    (void)state;
    assert_true(th_plate_mesh_make(&sheet, &spot, 1, NULL, &mesh, &err));
    assert_near(mesh.xs[0], -5, 0, 0);
    assert_near(mesh.xs[mesh.grid.nx], 300, 0, 0);
    for (size_t i = 0; i < mesh.grid.nx; i++) {
        double size = mesh.xs[i + 1] - mesh.xs[i];

        assert_true(size > 0);
        through_step = through_step || mesh.xs[i] == 31;
        through_spot = through_spot || mesh.xs[i] == 120;
        if (fabs(mesh.xs[i] - 120) < 2) {
            assert_true(size < 1.01 * fine);
        }
        if (i && mesh.xs[i] != 31) {
            double before = mesh.xs[i] - mesh.xs[i - 1];

            assert_true(size < 1.35 * before && before < 1.35 * size);
        }
    }
    assert_true(through_step && through_spot);
    th_plate_mesh_free(&mesh);
}

/* Lines asked for that differ from an edge, or from each other, by rounding alone make no cell of
 * their own: the grid is that of the one line that is another. */
static void lines_but_for_rounding_the_same_are_one(void **state) {
    static const double one[] = {31}, more[] = {1e-12, 31, 31 + 1e-12, 300 - 1e-12};
    th_plate_sheet sheet = {.x1 = 300, .y1 = 200, .thickness = 0.5, .coverage = 1};
    th_plate_spot spot = {120, 80, 2};
    th_plate_mesh alone, mesh;
    th_error err;

    (void)state;
    sheet.material = (th_plate_material){3000, 0.35, 0.3, 1, 1};
    sheet.lines_x = one;
    sheet.line_x_count = 1;
    assert_true(th_plate_mesh_make(&sheet, &spot, 1, NULL, &alone, &err));
    sheet.lines_x = more;
    sheet.line_x_count = sizeof more / sizeof *more;
    assert_true(th_plate_mesh_make(&sheet, &spot, 1, NULL, &mesh, &err));
    assert_int_equal(mesh.grid.nx, alone.grid.nx);
    for (size_t i = 0; i <= mesh.grid.nx; i++) {
        assert_near(mesh.xs[i], alone.xs[i], 0, 1e-9);
    }
    th_plate_mesh_free(&mesh);
    th_plate_mesh_free(&alone);
}

static size_t lines_with(const th_plate_options *options) {
    th_plate_sheet sheet = {.x1 = 300, .y1 = 200, .thickness = 0.5, .coverage = 1};
    th_plate_spot spot = {120, 80, 2};
    th_plate_mesh mesh;
    th_error err;
    size_t lines;

    sheet.material = (th_plate_material){3000, 0.35, 0.3, 1, 1};
    assert_true(th_plate_mesh_make(&sheet, &spot, 1, options, &mesh, &err));
    lines = mesh.grid.nx + mesh.grid.ny;
    th_plate_mesh_free(&mesh);
    return lines;
}

/* Where elements begin to grow away from a spot, and how many fit in a decay length, is told by
 * either option alone; 0 stands for the default, as no options do. */
static void each_option_is_one_of_its_own(void **state) {
    const th_plate_options none = {.per_length = 0}, wider = {.reach = 6}, usual = {.reach = 1};
    const th_plate_options finer = {.per_length = 10}, five = {.per_length = 5};
    size_t lines = lines_with(NULL);

    (void)state;
    assert_int_equal(lines_with(&none), lines);
    assert_int_equal(lines_with(&usual), lines);
    assert_int_equal(lines_with(&five), lines);
    assert_true(lines_with(&wider) > lines + 10);
    assert_true(lines_with(&finer) > lines * 3 / 2);
}

/* ---- refusals -------------------------------------------------------------------------------- */

static void refusals(void **state) {
    th_plate_grid grid = plate_case(30, 20);
    th_plate_cell *cells = (th_plate_cell *)grid.cells;
    th_plate_options tight = {.memory = 1e5},
                     banded = {.solver = TH_SOLVER_BANDWIDTH, .memory = 1e5},
                     dissected = {.solver = TH_SOLVER_DISSECTION, .memory = 1e5};
    th_plate_load outside = {.spot = {80, 10, 3}, .fz = 1};
    th_plate_model *model = NULL;
    th_plate_field field;
    th_error err = {0};

    (void)state;
    assert_false(th_plate_model_make(&grid, &tight, &model, &err));
    assert_int_equal(err.code, TH_NOT_POSSIBLE);
    assert_non_null(strstr(err.message, "GB"));
    assert_false(th_plate_model_make(&grid, &banded, &model, &err));
    assert_int_equal(err.code, TH_NOT_POSSIBLE);
    assert_false(th_plate_model_make(&grid, &dissected, &model, &err));
    assert_int_equal(err.code, TH_NOT_POSSIBLE);
    assert_null(model);
    assert_true(th_plate_model_make(&grid, NULL, &model, &err));
    assert_false(th_plate_solve(model, &outside, 1, &field, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    assert_non_null(strstr(err.message, "80,10"));
    th_plate_model_free(model);
    for (size_t c = 0; c < 600; c++) {
        cells[c].bonded = 0;
    }
    for (int kind = TH_SOLVER_SUPERNODAL; kind <= TH_SOLVER_DISSECTION; kind++) {
        th_plate_options options = {.solver = (th_solver_kind)kind};

        assert_false(th_plate_model_make(&grid, &options, &model, &err));
        assert_int_equal(err.code, TH_BAD_RANGE);
        assert_null(model);
    }
    cells[7].thickness = NAN;
    assert_false(th_plate_model_make(&grid, NULL, &model, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    th_plate_model_free(NULL);
    plate_case_free(&grid);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(infinite_plate),
        cmocka_unit_test(slabs_of_huang),
        cmocka_unit_test(beam_end),
        cmocka_unit_test(strip_lets_go),
        cmocka_unit_test(strip_energy),
        cmocka_unit_test(beam_on_springs),
        cmocka_unit_test(infinite_beam),
        cmocka_unit_test(shear_lag),
        cmocka_unit_test(patch_test),
        cmocka_unit_test(clamped_plate),
        cmocka_unit_test(equilibrium),
        cmocka_unit_test(resultants),
        cmocka_unit_test(rigid_limit),
        cmocka_unit_test(solvers_agree),
        cmocka_unit_test(influence_table),
        cmocka_unit_test(sweep_in_windows),
        cmocka_unit_test(refinement),
        cmocka_unit_test(grid_lines),
        cmocka_unit_test(lines_but_for_rounding_the_same_are_one),
        cmocka_unit_test(refusals),
        cmocka_unit_test(answers_of_scipy),
        cmocka_unit_test(each_option_is_one_of_its_own),
    };

    return cmocka_run_group_tests_name("plate", tests, NULL, NULL);
}
