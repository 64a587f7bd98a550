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

/* Distance from a point to a segment. */
static double point_gap(th_point p, th_point a, th_point b) {
    double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
    double t = square > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / square : 0;

    t = fmin(fmax(t, 0), 1);
    return hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

static double side(th_point a, th_point b, th_point p) {
    return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

/* Distance between two segments, 0 where they cross. */
static double segment_gap(th_point a, th_point b, th_point c, th_point d) {
    if (side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0) {
        return 0;
    }
    return fmin(fmin(point_gap(a, c, d), point_gap(b, c, d)),
                fmin(point_gap(c, a, b), point_gap(d, a, b)));
}

enum { LEFT = 1, RIGHT = 2, FRONT = 4, BACK = 8 };

static int edges_at(const th_job *job, th_point at, double reach) {
    return (at.x - reach <= 0 ? LEFT : 0) | (at.x + reach >= job->part.length ? RIGHT : 0) |
           (at.y - reach <= 0 ? FRONT : 0) | (at.y + reach >= job->part.width ? BACK : 0);
}

/* Ends of a slot that run into an edge; one that runs along an edge only trims it. */
static int edge_contacts(const th_job *job, const th_cut *slot, double half) {
    int from = edges_at(job, slot->from, half), to = edges_at(job, slot->to, half);
    return from & to ? 0 : (from != 0) + (to != 0);
}

/* Edges and openings that a slot runs into; another slot counts twice, as the two may close a ring
 * with more. */
static int slot_contacts(const th_job *job, const th_cut *slot) {
    double half = slot->cutter->row.diameter / 2;
    int contacts = edge_contacts(job, slot, half);

    for (const th_cut *cut = job->cuts; cut < job->cuts + job->cut_count; cut++) {
        if (cut == slot || !cut->through || !cut->cutter) {
            continue;
        }
        if (cut->operation == TH_SLOT && segment_gap(slot->from, slot->to, cut->from, cut->to) <=
                                             half + cut->cutter->row.diameter / 2) {
            contacts += 2;
        }
        for (size_t i = 0; i < cut->at.count; i++) {
            double bore = cut->operation == TH_HOLE ? cut->size.a : cut->cutter->row.diameter;
            contacts += point_gap(cut->at.items[i], slot->from, slot->to) <= half + bore / 2;
        }
    }
    return contacts;
}

/* The kerf of a through slot, with square ends (a little more than the round ones). A slot that
 * touches edges or other openings at two places may cut a piece free, which is judged only for an
 * outline: it is refused rather than passed over. */
static bool cut_slot(const th_job *job, const th_cut *cut, th_bond_state *state, th_error *err) {
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

    if (slot_contacts(job, cut) >= 2) {
        const th_entry *entry = th_entry_of(job, cut->section, NULL);
        return th_fail_at(
            err, TH_NOT_POSSIBLE, entry ? entry->file : NULL, entry ? entry->line : 0,
            "[%s] is a through slot that runs into edges or other through cuts at two "
            "places and may cut a piece free; describe each piece as a job of its own",
            cut->section);
    }
    state->gone_part = th_section_add(state->gone_part, clipped(quad, part), 1);
    state->gone_stock = th_section_add(state->gone_stock, clipped(quad, state->bounds), 1);
    return true;
}

static void cut_discs(const th_cut *cut, double diameter, th_bond_state *state) {
    for (size_t i = 0; i < cut->at.count; i++) {
        th_section disc = th_section_disc(cut->at.items[i].x, cut->at.items[i].y, diameter);
        state->gone_part = th_section_add(state->gone_part, disc, 1);
        state->gone_stock = th_section_add(state->gone_stock, disc, 1);
    }
}

bool th_bond_state_cut(const th_job *job, const th_cut *cut, th_bond_state *state, th_error *err) {
    if (!cut->through) {
        return true;
    }
    switch (cut->operation) {
    case TH_SLOT:
        return cut_slot(job, cut, state, err);
    case TH_HOLE:
        cut_discs(cut, cut->size.a, state);
        return true;
    case TH_DRILLED:
        cut_discs(cut, cut->cutter->row.diameter, state);
        return true;
    case TH_OUTLINE:
        state->freed = true;
        set_bounds(state, 0, 0, job->part.length, job->part.width);
        return true;
    default:
        return true;
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
