#include "edge_line.h"

#define DEGREE (TH_PI / 180.0)

static const double rake_gain = 0.015; /* share of kc a degree of negative rake */
static const double least_radial_cut = 0.7, least_radial_edge = 1.2;
static const double least_axial = 0.45; /* of the tangential force, at 30 deg helix */

static bool is_straight(const th_cutter *cutter) {
    return cutter->helix_pulls == TH_STRAIGHT || cutter->helix <= 0.0;
}

/* Oblique-cutting ratios of the radial and axial to the tangential force, chip flow equal to the
 * inclination (Altintas, Manufacturing Automation, ch. 2). The shear plane cancels out of them. */
static void oblique_ratios(const th_stock *stock, const th_cutter *cutter, double *radial,
                           double *axial) {
    double tilt = is_straight(cutter) ? 0.0 : cutter->helix * DEGREE;
    double rake = fmin(cutter->rake, 0.0) * DEGREE;
    double friction = atan(tan(stock->friction_angle * DEGREE) * cos(tilt));
    double along = cos(friction - rake);
    double slip = tan(tilt) * sin(friction);
    double tangential = along + tan(tilt) * slip;

    *radial = sin(friction - rake) / (cos(tilt) * tangential);
    *axial = (along * tan(tilt) - slip) / tangential;
}

static void set_explicit(th_edge_force *edge, const th_stock *stock, double wear) {
    edge->explicit_form = true;
    edge->ktc = wear * stock->ktc;
    edge->krc = wear * stock->krc;
    edge->kac = wear * stock->kac;
    edge->edge = wear * stock->kte;
    edge->kre = wear * stock->kre;
    edge->kae = wear * stock->kae;
}

static void set_kienzle(th_edge_force *edge, const th_stock *stock, const th_cutter *cutter,
                        double wear) {
    double radial = 0.0, axial = 0.0;
    double blunt = 1.0 - rake_gain * fmin(cutter->rake, 0.0);

    oblique_ratios(stock, cutter, &radial, &axial);
    edge->kc11 = stock->kc11 * blunt * wear;
    edge->mc = stock->mc;
    edge->edge_chip = stock->edge_chip > 0.0 ? stock->edge_chip : 0.0;
    edge->edge = edge->kc11 * edge->mc * pow(edge->edge_chip, 1.0 - edge->mc);
    edge->radial_cut = fmax(radial, least_radial_cut);
    edge->radial_edge = fmax(radial, least_radial_edge);
    edge->axial_ratio = fmax(axial, least_axial * tan(cutter->helix * DEGREE) / tan(30.0 * DEGREE));
}

th_edge_force th_edge_force_of(const th_stock *stock, const th_cutter *cutter, double wear) {
    th_edge_force edge = {0};

    if (isfinite(stock->ktc)) {
        set_explicit(&edge, stock, wear);
    } else {
        set_kienzle(&edge, stock, cutter, wear);
    }
    if (is_straight(cutter)) {
        edge.kac = 0.0;
        edge.kae = 0.0;
        edge.axial_ratio = 0.0;
    }
    return edge;
}

static edge_line linear_line(const th_edge_force *edge) {
    edge_line line = {.tangent = 1.0,
                      .edge_chip = INFINITY,
                      .cut = {edge->ktc, edge->krc, edge->kac},
                      .edge = {edge->edge, edge->kre, edge->kae}};
    return line;
}

edge_line th_edge_line_of(const th_edge_force *edge) {
    if (edge->explicit_form) {
        return linear_line(edge);
    }
    edge_line line = {
        .edge_chip = edge->edge_chip,
        .kc11 = edge->kc11,
        .power = 1.0 - edge->mc,
        .rest = edge->edge,
        .cut = {1.0, edge->radial_cut, edge->axial_ratio},
        .edge = {edge->edge, edge->radial_edge * edge->edge, edge->axial_ratio * edge->edge}};

    if (edge->edge_chip > 0.0) {
        line.tangent = edge->kc11 * (1.0 - edge->mc) * pow(edge->edge_chip, -edge->mc);
    }
    return line;
}

void th_edge_force_at(const th_edge_force *edge, double h, double force[3]) {
    force[0] = force[1] = force[2] = 0.0;
    if (!(h > 0.0)) {
        return;
    }
    edge_line line = th_edge_line_of(edge);
    double u = edge_line_u(&line, h);

    for (int i = 0; i < 3; i++) {
        force[i] = line.cut[i] * u + line.edge[i];
    }
}

double th_specific_force(const th_edge_force *edge, double h) {
    double force[3];

    th_edge_force_at(edge, h, force);
    return h > 0.0 ? force[0] / h : 0.0;
}
