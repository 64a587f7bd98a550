/* plate_place.c - where traction is judged: at nodes, or at the edge that cuts their cells.
 *
 * In a cell that an edge cuts, the corner beyond the edge moves like a plate that is not there;
 * judged at it, a sliver would show the traction of a place up to a cell away. The edge within a
 * cell is taken for straight, across the gradient of the bonded fraction of the cells around, so
 * that it leaves the cell's own fraction on its inner side (Youngs 1982; Parker and Youngs 1992).
 */
#include "plate_system.h"

#include <math.h>
#include <stdlib.h>

/* A cell turned so that its material lies about the lower left corner: x, y from 0 to 1 from there,
 * material where mx x + my y <= reach. */
typedef struct {
    double mx, my, reach; /* mx + my = 1; 0 and 0: all of the cell */
    bool flip_x, flip_y;  /* the lower left corner is the right, upper one of the cell */
    double a, b;          /* sides of the cell (mm) */
} cut_cell;

/* Bonded fraction; 0 beyond the grid (where an index below 0 wraps to). */
static double bonded_at(const th_plate_model *m, size_t i, size_t j) {
    const th_plate_cell *cell;

    if (i >= m->nx || j >= m->ny) {
        return 0;
    }
    cell = &m->cells[j * m->nx + i];
    return th_plate_cell_solid(cell) ? cell->bonded : 0;
}

/* Neighbour before (step 0), itself (1) or neighbour after (2), of `count` cells. The grid is taken
 * to go on as it ends: its border is an edge without cutting any cell. */
static size_t beside(size_t i, size_t step, size_t count) {
    size_t next = i + step > 0 ? i + step - 1 : 0;

    return next < count ? next : count - 1;
}

/* Distance from the middle of the cell before interval i to that of the one after. */
static double span_of(const double *lines, size_t count, size_t i) {
    double own = lines[i + 1] - lines[i];
    double before = i > 0 ? lines[i] - lines[i - 1] : own;
    double after = i + 2 <= count ? lines[i + 2] - lines[i + 1] : own;

    return own + (before + after) / 2;
}

/* Reach that leaves `share` of the unit square inside. */
static double reach_of(double mx, double my, double share) {
    double least = fmin(mx, my), most = fmax(mx, my), corner = least / (2 * most);

    if (share <= corner) {
        return sqrt(2 * share * least * most);
    }
    if (share < 1 - corner) {
        return share * most + least / 2;
    }
    return 1 - sqrt(2 * (1 - share) * least * most);
}

static cut_cell cut_of(const th_plate_model *m, size_t i, size_t j) {
    double f[3][3], most = 0, east, north;
    cut_cell cut = {.a = m->xs[i + 1] - m->xs[i], .b = m->ys[j + 1] - m->ys[j]};

    for (size_t r = 0; r < 3; r++) {
        for (size_t c = 0; c < 3; c++) {
            f[r][c] = bonded_at(m, beside(i, c, m->nx), beside(j, r, m->ny));
            most = fmax(most, f[r][c]);
        }
    }
    if (!(f[1][1] < most * (1 - 1e-9))) {
        return cut;
    }
    east = f[0][2] + 2 * f[1][2] + f[2][2] - f[0][0] - 2 * f[1][0] - f[2][0];
    north = f[2][0] + 2 * f[2][1] + f[2][2] - f[0][0] - 2 * f[0][1] - f[0][2];
    east *= cut.a / span_of(m->xs, m->nx, i);
    north *= cut.b / span_of(m->ys, m->ny, j);
    if (fabs(east) + fabs(north) > 1e-6 * most) { /* else no edge is to be made out */
        cut.flip_x = east > 0;
        cut.flip_y = north > 0;
        cut.mx = fabs(east) / (fabs(east) + fabs(north));
        cut.my = 1 - cut.mx;
        cut.reach = reach_of(cut.mx, cut.my, f[1][1] / most);
    }
    return cut;
}

/* Nearest place of the material to corner (x, y), 0 or 1 each, in the turned cell; its distance. */
static double nearest(const cut_cell *cut, double x, double y, double at[2]) {
    double past = cut->mx * x + cut->my * y - cut->reach;
    double gx = cut->mx / (cut->a * cut->a), gy = cut->my / (cut->b * cut->b);

    at[0] = x;
    at[1] = y;
    if (cut->mx + cut->my <= 0 || past <= 1e-9) {
        return 0;
    }
    past /= cut->mx * gx + cut->my * gy;
    at[0] -= past * gx;
    at[1] -= past * gy;
    if (at[0] < 0) {
        at[0] = 0;
        at[1] = fmin(1, cut->reach / cut->my);
    } else if (at[1] < 0) {
        at[1] = 0;
        at[0] = fmin(1, cut->reach / cut->mx);
    }
    return hypot((at[0] - x) * cut->a, (at[1] - y) * cut->b);
}

static void settle(const th_plate_model *m, size_t i, size_t j, const double at[2],
                   th_plate_place *place) {
    double x = at[0], y = at[1];
    double shares[4] = {(1 - x) * (1 - y), x * (1 - y), x * y, (1 - x) * y};
    size_t corner[4];

    th_plate_corners(m, i, j, corner);
    for (int c = 0; c < 4; c++) {
        place->number[c] = m->number[corner[c]];
        place->share[c] = shares[c];
    }
    place->x = m->xs[i] + x * (m->xs[i + 1] - m->xs[i]);
    place->y = m->ys[j] + y * (m->ys[j + 1] - m->ys[j]);
}

/* Cell that holds a place, on its border if need be; false where there is no material. */
static bool cell_of(const th_plate_model *m, th_point at, size_t *ci, size_t *cj) {
    double near = 1e-9 * (m->xs[m->nx] - m->xs[0] + m->ys[m->ny] - m->ys[0]);

    for (int k = 0; k < 4; k++) {
        double x = at.x + (k % 2 ? near : -near), y = at.y + (k / 2 ? near : -near);

        *ci = th_grid_interval(m->xs, m->nx, x);
        *cj = th_grid_interval(m->ys, m->ny, y);
        if (th_plate_cell_solid(&m->cells[*cj * m->nx + *ci])) {
            return at.x >= m->xs[0] - near && at.x <= m->xs[m->nx] + near &&
                   at.y >= m->ys[0] - near && at.y <= m->ys[m->ny] + near;
        }
    }
    return false;
}

/* Is there a cell without any edge in it beside the node? */
static bool full_beside(const th_plate_model *m, size_t node) {
    size_t i = node % (m->nx + 1), j = node / (m->nx + 1);

    for (size_t k = 0; k < 4; k++) {
        size_t ci = i - k % 2, cj = j - k / 2;
        cut_cell cut;

        if (bonded_at(m, ci, cj) > 0) {
            cut = cut_of(m, ci, cj);
            if (cut.mx + cut.my <= 0) {
                return true;
            }
        }
    }
    return false;
}

/* The sharpest corner of the material in a box, if its edge turns by over 20 degrees there. */
static bool find_tip(const th_outline *edge, const double box[4], th_point *tip) {
    double most = sin(20 * TH_PI / 180);
    bool found = false;

    for (size_t r = 0; r < edge->ring_count; r++) {
        const th_ring *ring = &edge->rings[r];

        for (size_t k = 0; k < ring->count; k++) {
            th_point b = ring->points[k], a, c;
            double along, across, turn;

            if (b.x < box[0] || b.y < box[1] || b.x > box[2] || b.y > box[3]) {
                continue;
            }
            a = ring->points[k ? k - 1 : ring->count - 1];
            c = ring->points[k + 1 < ring->count ? k + 1 : 0];
            along = (b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y);
            across = (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
            turn = across / hypot(along, across); /* material lies to the left */
            turn = along < 0 && turn > 0 ? 2 - turn : turn;
            if (turn > most) {
                most = turn;
                *tip = b;
                found = true;
            }
        }
    }
    return found;
}

/* The nearest place of a known edge, or the corner that its cells hold; false if it does not fit
 * the cells. */
static bool place_on(const th_plate_model *m, const th_outline *edge, size_t node,
                     th_plate_place *place) {
    size_t i = node % (m->nx + 1), j = node / (m->nx + 1);
    double box[4] = {m->xs[i ? i - 1 : 0], m->ys[j ? j - 1 : 0], m->xs[i < m->nx ? i + 1 : i],
                     m->ys[j < m->ny ? j + 1 : j]};
    th_point at = {place->x, place->y};
    double in_cell[2];

    if (full_beside(m, node) || th_outline_holds(edge, at)) {
        return true;
    }
    if (!find_tip(edge, box, &at)) {
        th_outline_distance(edge, at, &at);
    }
    if (!cell_of(m, at, &i, &j)) {
        return false;
    }
    in_cell[0] = fmin(1, fmax(0, (at.x - m->xs[i]) / (m->xs[i + 1] - m->xs[i])));
    in_cell[1] = fmin(1, fmax(0, (at.y - m->ys[j]) / (m->ys[j + 1] - m->ys[j])));
    settle(m, i, j, in_cell, place);
    return true;
}

/* The nearest place of an edge made out from the cells around. */
static th_plate_place place_by_cells(const th_plate_model *model, size_t node,
                                     th_plate_place on_node) {
    size_t i = node % (model->nx + 1), j = node / (model->nx + 1);
    th_plate_place place = on_node;
    double least = INFINITY;

    for (size_t k = 0; k < 4; k++) {
        size_t ci = i - k % 2, cj = j - k / 2; /* the node is its left or right, ... corner */
        double at[2], away;
        cut_cell cut;

        if (!(bonded_at(model, ci, cj) > 0)) {
            continue;
        }
        cut = cut_of(model, ci, cj);
        away = nearest(&cut, (double)((k % 2) ^ cut.flip_x), (double)((k / 2) ^ cut.flip_y), at);
        if (away <= 0) {
            return on_node;
        }
        if (away < least) {
            least = away;
            at[0] = cut.flip_x ? 1 - at[0] : at[0];
            at[1] = cut.flip_y ? 1 - at[1] : at[1];
            settle(model, ci, cj, at, &place);
        }
    }
    return place;
}

th_plate_place th_plate_place_of(const th_plate_model *model, const th_outline *edge, size_t node) {
    size_t row = model->nx + 1;
    th_plate_place place = {.number = {model->number[node], 0, 0, 0},
                            .share = {1, 0, 0, 0},
                            .x = model->xs[node % row],
                            .y = model->ys[node / row]};

    if (edge && place_on(model, edge, node, &place)) {
        return place;
    }
    return place_by_cells(model, node, place);
}
