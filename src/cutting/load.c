#include <math.h>

#include "load.h"

static const double turn = 2.0 * TH_PI;

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

/* The edge over one slab: its angle at both ends, whole turns off, and that of its lowest point. */
typedef struct {
    const slab *item;
    double low, high;
    double sin_tip, cos_tip;
} edge_piece;

/* The angle of the edge is that of its lowest point less the lag. */
static void add_place(const cut_model *model, const tooth *one, const edge_piece *edge,
                      const edge_place *at, th_sample *sample) {
    const edge_line *line = &model->line;
    double s = edge->sin_tip * at->cos_lag - edge->cos_tip * at->sin_lag;
    double c = edge->cos_tip * at->cos_lag + edge->sin_tip * at->sin_lag;
    double h = tooth_chip(one, s) * at->sin_kappa;

    if (!(h > 0.0)) {
        return;
    }
    double u = edge_line_u(line, h);
    double ft = (line->cut[0] * u + line->edge[0]) * at->length;
    double fr = (line->cut[1] * u + line->edge[1]) * at->length;
    double fa = (line->cut[2] * u + line->edge[2]) * at->length;

    fa = model->down ? -fa : fa;
    double outward = fr * at->sin_kappa + fa * at->cos_kappa;
    double up = fa * at->sin_kappa - fr * at->cos_kappa;
    double fx = ft * c + outward * s;
    double fy = outward * c - ft * s;

    sample->fx += fx;
    sample->fy += fy;
    sample->fz += up;
    sample->mz -= at->r * ft;
    sample->px += at->z * fx;
    sample->py += at->z * fy;
    sample->qx += at->r * s * up;
    sample->qy += at->r * c * up;
}

static void add_span(const cut_model *model, const tooth *one, const edge_piece *edge, span part,
                     th_sample *sample) {
    edge_place some[2];
    const edge_place *places = edge->item->whole;

    if (!(part.end > part.start)) {
        return;
    }
    if (part.start > 0.0 || part.end < 1.0) {
        th_slab_places(edge->item, part.start, part.end, some);
        places = some;
    }
    add_place(model, one, edge, &places[0], sample);
    add_place(model, one, edge, &places[1], sample);
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

/* Angle of the lowest point of a tooth's edge. */
typedef struct {
    double angle, sine, cosine;
} edge_tip;

static void add_slab(const cut_model *model, const tooth *one, const slab *item,
                     const edge_tip *tip, th_sample *sample) {
    double least = tip->angle - item->lag_most;
    double shift = turn * floor(least / turn);

    if (least - shift > TH_PI) {
        shift += turn; /* only an edge that runs over the end of the turn can still be in the cut */
    }
    edge_piece edge = {item, tip->angle - shift - item->lag.c[0],
                       tip->angle - shift - item->lag_end, tip->sine, tip->cosine};

    if ((edge.low <= item->entry[0] && edge.high <= item->entry[1]) ||
        (edge.low >= item->exit[0] && edge.high >= item->exit[1])) {
        return; /* not in the cut */
    }
    add_pieces(model, one, &edge, engaged_span(item, one, edge.low, edge.high), sample);
}

void th_load_add_tooth(const cut_model *model, const tooth *one, th_sample *sample) {
    const slab_list *slabs = &model->slabs;
    edge_tip tip = {.angle = sample->angle - one->behind};
    double after = tip.angle - slabs->tip_first;

    if (one->least_sine >= 1.0 ||
        after - turn * floor(after / turn) > slabs->tip_last - slabs->tip_first) {
        return;
    }
    tip.sine = sin(tip.angle);
    tip.cosine = cos(tip.angle);
    for (size_t i = 0; i < slabs->count; i++) {
        add_slab(model, one, &slabs->items[i], &tip, sample);
    }
}

th_sample th_load_at(const cut_model *model, double angle) {
    th_sample sample = {.angle = angle};

    for (int j = 0; j < model->teeth.count; j++) {
        th_load_add_tooth(model, &model->teeth.items[j], &sample);
    }
    return sample;
}
