#include <math.h>

#include "load.h"

static const double turn = 2.0 * TH_PI;

/* Two-point Gauss rule on 0 to 1. */
static const double gauss_place[2] = {0.21132486540518711775, 0.78867513459481288225};

typedef struct {
    double start, end; /* share of the slab that is in the chip */
} span;

/* A value a at t = 0 and b at t = 1, with `bend` t^2 in it. */
typedef struct {
    double a, b, bend;
} course;

/* Where a course that changes its sign from 0 to 1 is zero. */
static double zero_of(const course *value) {
    double rise = value->b - value->a - value->bend;
    double root = sqrt(fmax(rise * rise - 4.0 * value->bend * value->a, 0.0));

    if (value->a == 0.0) {
        return 0.0;
    }
    return 2.0 * value->a / (-rise + (value->a > 0.0 ? root : -root));
}

/* Keep the part of the span where the value is positive. */
static void keep_positive(span *part, course value) {
    if (value.a >= 0.0 && value.b >= 0.0 && (value.a > 0.0 || value.b > 0.0)) {
        return;
    }
    if (value.a <= 0.0 && value.b <= 0.0) {
        part->end = -1.0;
        return;
    }
    if (value.a < 0.0) {
        part->start = fmax(part->start, zero_of(&value));
    } else {
        part->end = fmin(part->end, zero_of(&value));
    }
}

static span engaged_span(const slab *item, const tooth *one, double low, double high) {
    span part = {0.0, 1.0};
    double bend = item->lag_bend;

    keep_positive(&part, (course){low - item->entry[0], high - item->entry[1], -bend});
    keep_positive(&part, (course){item->exit[0] - low, item->exit[1] - high, bend});
    if (one->least_sine > 0.0) {
        keep_positive(&part, (course){low - one->from, high - one->from, -bend});
        keep_positive(&part, (course){one->to - low, one->to - high, bend});
    }
    return part;
}

/* One Gauss point: `phi` the angle of the edge, `length` the edge that the point stands for. */
typedef struct {
    double t, phi, length;
} edge_point;

static void add_point(const cut_model *model, const tooth *one, const slab *item,
                      const edge_point *at, th_sample *sample) {
    const edge_line *line = &model->line;
    double s = sin(at->phi), c = cos(at->phi);
    double sine = curve_at(&item->sin_kappa, at->t);
    double cosine = curve_at(&item->cos_kappa, at->t);
    double h = tooth_chip(one, s) * sine;

    if (!(h > 0.0)) {
        return;
    }
    double u = edge_line_u(line, h);
    double ft = (line->cut[0] * u + line->edge[0]) * at->length;
    double fr = (line->cut[1] * u + line->edge[1]) * at->length;
    double fa = (line->cut[2] * u + line->edge[2]) * at->length;

    fa = model->down ? -fa : fa;
    double outward = fr * sine + fa * cosine;
    double up = fa * sine - fr * cosine;
    double fx = ft * c + outward * s;
    double fy = outward * c - ft * s;
    double z = curve_at(&item->z, at->t), r = curve_at(&item->r, at->t);

    sample->fx += fx;
    sample->fy += fy;
    sample->fz += up;
    sample->mz -= r * ft;
    sample->px += z * fx;
    sample->py += z * fy;
    sample->qx += r * s * up;
    sample->qy += r * c * up;
}

/* The edge over one slab: its angle at both ends and that of its lowest point, whole turns off. */
typedef struct {
    const slab *item;
    double low, high;
    double tip;
} edge_piece;

static void add_span(const cut_model *model, const tooth *one, const edge_piece *edge, span part,
                     th_sample *sample) {
    double share = part.end - part.start;

    if (!(share > 0.0)) {
        return;
    }
    for (int i = 0; i < 2; i++) {
        double t = part.start + share * gauss_place[i];
        edge_point at = {t, edge->tip - curve_at(&edge->item->lag, t),
                         curve_at(&edge->item->rate, t) * share / 2.0};

        add_point(model, one, edge->item, &at, sample);
    }
}

static int put_cut(double *cuts, int count, double cut, const span *part) {
    int i = count;

    if (!(cut > part->start && cut < part->end)) {
        return count;
    }
    for (; i > 0 && cuts[i - 1] > cut; i--) {
        cuts[i] = cuts[i - 1];
    }
    cuts[i] = cut;
    return count + 1;
}

/* The span in pieces at whose ends the chip bends, so that the Gauss rule sees it smooth. */
static void add_pieces(const cut_model *model, const tooth *one, const edge_piece *edge, span part,
                       th_sample *sample) {
    double cuts[2 * MOST_FLUTES];
    double sweep = edge->high - edge->low;
    int count = 0;

    for (int i = 0; i + 1 < one->lines && sweep != 0.0; i++) {
        count = put_cut(cuts, count, (one->bend[i] - edge->low) / sweep, &part);
        count = put_cut(cuts, count, (TH_PI - one->bend[i] - edge->low) / sweep, &part);
    }
    for (int i = 0; i < count; i++) {
        add_span(model, one, edge, (span){part.start, cuts[i]}, sample);
        part.start = cuts[i];
    }
    add_span(model, one, edge, part, sample);
}

static void add_slab(const cut_model *model, const tooth *one, const slab *item, double tip,
                     th_sample *sample) {
    double least = tip - item->lag_most;
    double shift = turn * floor(least / turn);

    if (least - shift > TH_PI) {
        shift += turn; /* only an edge that runs over the end of the turn can still be in the cut */
    }
    edge_piece edge = {item, tip - shift - item->lag.c[0], tip - shift - item->lag_end,
                       tip - shift};

    if ((edge.low <= item->entry[0] && edge.high <= item->entry[1]) ||
        (edge.low >= item->exit[0] && edge.high >= item->exit[1])) {
        return; /* not in the cut */
    }
    add_pieces(model, one, &edge, engaged_span(item, one, edge.low, edge.high), sample);
}

void th_load_add_tooth(const cut_model *model, const tooth *one, th_sample *sample) {
    const slab_list *slabs = &model->slabs;
    double tip = sample->angle - one->behind;
    double after = tip - slabs->tip_first;

    if (one->least_sine >= 1.0 ||
        after - turn * floor(after / turn) > slabs->tip_last - slabs->tip_first) {
        return;
    }
    for (size_t i = 0; i < slabs->count; i++) {
        add_slab(model, one, &slabs->items[i], tip, sample);
    }
}

th_sample th_load_at(const cut_model *model, double angle) {
    th_sample sample = {.angle = angle};

    for (int j = 0; j < model->teeth.count; j++) {
        th_load_add_tooth(model, &model->teeth.items[j], &sample);
    }
    return sample;
}
