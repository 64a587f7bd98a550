/* edge_line.h - the force per width of edge, prepared for the inner loop of the turn. */
#ifndef TACKHOLD_CUTTING_EDGE_LINE_H
#define TACKHOLD_CUTTING_EDGE_LINE_H

#include <math.h>

#include "tackhold/cutting.h"

/* Each part of the force is cut[i] * u + edge[i]; u is the chip thickness itself in the linear-edge
 * form and the tangential cutting part in the Kienzle form. */
typedef struct {
    double tangent;     /* du/dh below edge_chip */
    double edge_chip;   /* infinite in the linear-edge form (mm) */
    double kc11, power; /* u = kc11 h^power - rest above edge_chip */
    double rest;
    double cut[3], edge[3]; /* tangential, radial, axial */
} edge_line;

static inline double edge_line_u(const edge_line *line, double h) {
    if (h < line->edge_chip) {
        return line->tangent * h;
    }
    return line->kc11 * pow(h, line->power) - line->rest;
}

edge_line th_edge_line_of(const th_edge_force *edge);

#endif
