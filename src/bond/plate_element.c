/* plate_element.c - stiffness of one rectangular cell: four-node Mindlin plate whose reference
 * plane is its bottom face, on a layer of springs. */
#include "plate_system.h"

#include <math.h>
#include <string.h>

enum { PLANE_DOF = 8 };

/* Signs of a corner's natural coordinates, counter-clockwise from the lower left. */
static const double corner_s[4] = {-1, 1, 1, -1};
static const double corner_t[4] = {-1, -1, 1, 1};

bool th_plate_cell_solid(const th_plate_cell *cell) {
    return cell->thickness > 0 && cell->filled > 0;
}

/* Strains (xx, yy, xy) from the corner values (px, py) of a plane vector field. */
static void plane_strains(double s, double t, double a, double b, double rows[3][PLANE_DOF]) {
    for (size_t n = 0; n < 4; n++) {
        double dx = 0.25 * corner_s[n] * (1 + t * corner_t[n]) * 2 / a;
        double dy = 0.25 * corner_t[n] * (1 + s * corner_s[n]) * 2 / b;

        rows[0][2 * n] = dx;
        rows[0][2 * n + 1] = 0;
        rows[1][2 * n] = 0;
        rows[1][2 * n + 1] = dy;
        rows[2][2 * n] = dy;
        rows[2][2 * n + 1] = dx;
    }
}

/* Integral over the cell of strains' Q strains: plane stress of unit thickness (2 x 2 Gauss). */
static void plane_stiffness(const th_plate_material *material, double a, double b,
                            double k[PLANE_DOF][PLANE_DOF]) {
    const double point = 1 / sqrt(3.0);
    double nu = material->poisson;
    double q = material->elastic_modulus / (1 - nu * nu), g = q * (1 - nu) / 2;

    memset(k, 0, sizeof(double) * PLANE_DOF * PLANE_DOF);
    for (int p = 0; p < 4; p++) {
        double e[3][PLANE_DOF];

        plane_strains(corner_s[p] * point, corner_t[p] * point, a, b, e);
        for (int r = 0; r < PLANE_DOF; r++) {
            double xx = q * (e[0][r] + nu * e[1][r]), yy = q * (e[1][r] + nu * e[0][r]);
            double xy = g * e[2][r];

            for (int c = 0; c < PLANE_DOF; c++) {
                k[r][c] += (xx * e[0][c] + yy * e[1][c] + xy * e[2][c]) * a * b / 4;
            }
        }
    }
}

/* Membrane, bending and their coupling share one integral, as u, v and tx, ty are interpolated
 * alike: A = Q t, B = Q t^2/2, D = Q t^3/3 about the bottom face. */
static void add_plane(const th_plate_material *material, double t, double a, double b,
                      double k[TH_CELL_DOF][TH_CELL_DOF]) {
    double plane[PLANE_DOF][PLANE_DOF];

    plane_stiffness(material, a, b, plane);
    for (int r = 0; r < PLANE_DOF; r++) {
        int u = TH_NODE_DOF * (r / 2) + r % 2;

        for (int c = 0; c < PLANE_DOF; c++) {
            int v = TH_NODE_DOF * (c / 2) + c % 2;

            k[u][v] += t * plane[r][c];
            k[u][v + 3] += t * t / 2 * plane[r][c];
            k[u + 3][v] += t * t / 2 * plane[r][c];
            k[u + 3][v + 3] += t * t * t / 3 * plane[r][c];
        }
    }
}

/* Transverse shear at the middle of an edge from corner m to corner n: (w_n - w_m)/length plus the
 * mean slope. `slope` is 3 (tx) or 4 (ty). */
static void edge_shear(int m, int n, double length, int slope, double row[TH_CELL_DOF]) {
    memset(row, 0, sizeof(double) * TH_CELL_DOF);
    row[TH_NODE_DOF * m + 2] = -1 / length;
    row[TH_NODE_DOF * n + 2] = 1 / length;
    row[TH_NODE_DOF * m + slope] = 0.5;
    row[TH_NODE_DOF * n + slope] = 0.5;
}

/* The shear strain varies linearly between its values at two opposite edges, so that its square
 * integrates to (p^2 + p q + q^2)/3. */
static void add_shear_pair(const double p[TH_CELL_DOF], const double q[TH_CELL_DOF],
                           double stiffness, double k[TH_CELL_DOF][TH_CELL_DOF]) {
    for (int r = 0; r < TH_CELL_DOF; r++) {
        double own = stiffness * (p[r] / 3 + q[r] / 6), far = stiffness * (p[r] / 6 + q[r] / 3);

        for (int c = 0; c < TH_CELL_DOF; c++) {
            k[r][c] += own * p[c] + far * q[c];
        }
    }
}

static void add_shear(const th_plate_material *material, double t, double a, double b,
                      double k[TH_CELL_DOF][TH_CELL_DOF]) {
    double g = material->elastic_modulus / (2 * (1 + material->poisson));
    double stiffness = 5.0 / 6 * g * t * material->shear_scale * a * b;
    double p[TH_CELL_DOF], q[TH_CELL_DOF];

    edge_shear(0, 1, a, 3, p);
    edge_shear(3, 2, a, 3, q);
    add_shear_pair(p, q, stiffness, k);
    edge_shear(0, 3, b, 4, p);
    edge_shear(1, 2, b, 4, q);
    add_shear_pair(p, q, stiffness, k);
}

static void add_tape(const th_plate_material *material, double area,
                     double k[TH_CELL_DOF][TH_CELL_DOF]) {
    /* integral of N_m N_n over the rectangle, by how many edges lie between the corners */
    static const double share[3] = {4.0 / 36, 2.0 / 36, 1.0 / 36};

    for (size_t m = 0; m < 4; m++) {
        for (size_t n = 0; n < 4; n++) {
            size_t apart = (m + 4 - n) % 4;
            double s = area * share[apart == 3 ? 1 : apart];

            k[TH_NODE_DOF * m][TH_NODE_DOF * n] += material->ks * s;
            k[TH_NODE_DOF * m + 1][TH_NODE_DOF * n + 1] += material->ks * s;
            k[TH_NODE_DOF * m + 2][TH_NODE_DOF * n + 2] += material->kn * s;
        }
    }
}

void th_plate_element(const th_plate_material *material, const th_plate_cell *cell, double a,
                      double b, double k[TH_CELL_DOF][TH_CELL_DOF]) {
    /* A cell cut by the outline is as stiff as the share of it that is material; the floor keeps
     * slivers from losing their digits against their neighbours. */
    double filled = fmax(cell->filled, 1e-4);

    memset(k, 0, sizeof(double) * TH_CELL_DOF * TH_CELL_DOF);
    add_plane(material, cell->thickness, a, b, k);
    add_shear(material, cell->thickness, a, b, k);
    for (int r = 0; r < TH_CELL_DOF; r++) {
        for (int c = 0; c < TH_CELL_DOF; c++) {
            k[r][c] *= filled;
        }
    }
    add_tape(material, cell->bonded * a * b, k);
}
