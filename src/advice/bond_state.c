/* bond_state.c - how through cuts shrink the bond. */
#include "judge.h"

#include <math.h>
#include <string.h>

static void set_bounds(th_bond_state *state, double x0, double y0, double x1, double y1) {
    state->bounds[0] = x0;
    state->bounds[1] = y0;
    state->bounds[2] = x1;
    state->bounds[3] = y1;
    state->corners[0] = (th_point){x0, y0};
    state->corners[1] = (th_point){x1, y0};
    state->corners[2] = (th_point){x1, y1};
    state->corners[3] = (th_point){x0, y1};
}

void th_bond_state_start(const th_job *job, th_bond_state *state) {
    const th_part *part = &job->part;

    *state = (th_bond_state){.freed = isnan(part->sheet_length)};
    if (state->freed) {
        set_bounds(state, 0, 0, part->length, part->width);
    } else {
        set_bounds(state, -part->sheet_x, -part->sheet_y, part->sheet_length - part->sheet_x,
                   part->sheet_width - part->sheet_y);
    }
}

/* Keep the side of the line value(p) <= 0 of a convex polygon (Sutherland and Hodgman 1974). */
static size_t clip_half(const th_point *in, size_t count, double nx, double ny, double offset,
                        th_point *out) {
    size_t used = 0;

    for (size_t i = 0; i < count; i++) {
        th_point a = in[i], b = in[(i + 1) % count];
        double va = nx * a.x + ny * a.y - offset, vb = nx * b.x + ny * b.y - offset;
        if (va <= 0) {
            out[used++] = a;
        }
        if ((va < 0 && vb > 0) || (va > 0 && vb < 0)) {
            double t = va / (va - vb);
            out[used++] = (th_point){a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
        }
    }
    return used;
}

/* Part of a convex quadrilateral inside a rectangle, as a section. */
static th_section clipped(const th_point quad[4], const double bounds[4]) {
    th_point a[16], b[16];
    size_t count = clip_half(quad, 4, -1, 0, -bounds[0], a);

    count = clip_half(a, count, 1, 0, bounds[2], b);
    count = clip_half(b, count, 0, -1, -bounds[1], a);
    count = clip_half(a, count, 0, 1, bounds[3], b);
    return count >= 3 ? th_section_polygon(b, count) : (th_section){0};
}

/* The kerf of a through slot, with square ends (a little more than the round ones). */
static void cut_slot(const th_job *job, const th_cut *cut, th_bond_state *state) {
    double half = cut->cutter->row.diameter / 2;
    double length = hypot(cut->to.x - cut->from.x, cut->to.y - cut->from.y);
    double ux = (cut->to.x - cut->from.x) / length, uy = (cut->to.y - cut->from.y) / length;
    th_point a = {cut->from.x - half * ux, cut->from.y - half * uy};
    th_point b = {cut->to.x + half * ux, cut->to.y + half * uy};
    th_point quad[4] = {{a.x + half * uy, a.y - half * ux},
                        {b.x + half * uy, b.y - half * ux},
                        {b.x - half * uy, b.y + half * ux},
                        {a.x - half * uy, a.y + half * ux}};
    double part[4] = {0, 0, job->part.length, job->part.width};

    state->gone_part = th_section_add(state->gone_part, clipped(quad, part), 1);
    state->gone_stock = th_section_add(state->gone_stock, clipped(quad, state->bounds), 1);
}

static void cut_discs(const th_cut *cut, double diameter, th_bond_state *state) {
    for (size_t i = 0; i < cut->at.count; i++) {
        th_section disc = th_section_disc(cut->at.items[i].x, cut->at.items[i].y, diameter);
        state->gone_part = th_section_add(state->gone_part, disc, 1);
        state->gone_stock = th_section_add(state->gone_stock, disc, 1);
    }
}

bool th_cut_opens(const th_job *job, const th_cut *cut) {
    bool may = cut->operation == TH_SLOT || cut->operation == TH_HOLE ||
               cut->operation == TH_DRILLED || cut->operation == TH_OUTLINE;
    return may && (cut->through || job->part.thickness - cut->depth < TH_SKIN_COUNTS);
}

void th_bond_state_cut(const th_job *job, const th_cut *cut, th_bond_state *state) {
    if (!th_cut_opens(job, cut)) {
        return;
    }
    switch (cut->operation) {
    case TH_SLOT:
        cut_slot(job, cut, state);
        break;
    case TH_HOLE:
        cut_discs(cut, cut->size.a, state);
        break;
    case TH_DRILLED:
        cut_discs(cut, cut->cutter->row.diameter, state);
        break;
    case TH_OUTLINE:
        state->freed = state->outlined = true;
        set_bounds(state, 0, 0, job->part.length, job->part.width);
        break;
    default:
        break;
    }
}

bool th_bond_state_bonded(const th_job *job, const th_bond_state *state, th_bonded *bonded,
                          th_error *err) {
    th_section whole = th_section_rectangle(state->bounds[0], state->bounds[1], state->bounds[2],
                                            state->bounds[3]);
    th_section left =
        th_section_add(whole, state->freed ? state->gone_part : state->gone_stock, -1);

    if (left.area < 0.01 * whole.area) {
        return th_fail(err, TH_NOT_POSSIBLE,
                       "the through cuts leave almost nothing of the part's bonded area");
    }
    return th_bonded_of(left, job->hold.coverage, state->corners, 4, bonded, err);
}
