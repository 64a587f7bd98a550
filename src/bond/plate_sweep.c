/* plate_sweep.c - many spots on a large sheet, window by window. */
#include "plate_system.h"

#include <math.h>
#include <stdlib.h>

/* Side of a window in bending lengths: fewer windows against smaller grids. */
static const double window_lengths = 12;

typedef struct {
    long column, row;
    size_t spot;
} th_placed;

/* Turns the index within a window into that of the caller's list. */
typedef struct {
    const th_placed *placed;
    th_plate_sink sink;
} th_forward;

static int by_window(const void *a, const void *b) {
    const th_placed *p = a, *q = b;

    if (p->row != q->row) {
        return p->row < q->row ? -1 : 1;
    }
    if (p->column != q->column) {
        return p->column < q->column ? -1 : 1;
    }
    return (p->spot > q->spot) - (p->spot < q->spot);
}

static bool forward(void *context, const th_plate_influence *influence, th_error *err) {
    const th_forward *f = context;
    th_plate_influence renamed = *influence;

    renamed.spot = f->placed[influence->spot].spot;
    return f->sink.take(f->sink.context, &renamed, err);
}

static long window_of(double x, double low, double side) {
    return (long)fmin(1e9, fmax(-1e9, floor((x - low) / side)));
}

static bool solve_window(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                         const th_plate_options *options, th_forward *to, th_error *err) {
    th_plate_sink sink = {forward, to};
    th_plate_mesh mesh;
    th_plate_model *model = NULL;
    bool fine;

    if (!th_plate_mesh_make(sheet, spots, count, options, &mesh, err)) {
        return false;
    }
    fine = th_plate_model_make(&mesh.grid, options, &model, err) &&
           th_plate_model_influence(model, spots, count, sink, err);
    th_plate_model_free(model);
    th_plate_mesh_free(&mesh);
    return fine;
}

static bool same_window(const th_placed *a, const th_placed *b) {
    return a->row == b->row && a->column == b->column;
}

/* Windows of equal size that cover the sheet, near the wanted side. */
static double window_side(double extent, double wanted) {
    return extent / fmax(1, floor(extent / wanted + 0.5));
}

static void place(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                  th_placed *placed) {
    double wanted = window_lengths * th_plate_bending_length(sheet);
    double a = window_side(sheet->x1 - sheet->x0, wanted);
    double b = window_side(sheet->y1 - sheet->y0, wanted);

    for (size_t s = 0; s < count; s++) {
        placed[s] = (th_placed){window_of(spots[s].x, sheet->x0, a),
                                window_of(spots[s].y, sheet->y0, b), s};
    }
    qsort(placed, count, sizeof *placed, by_window);
}

bool th_plate_sweep(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                    const th_plate_options *options, th_plate_sink sink, th_error *err) {
    th_placed *placed = th_plate_take(count, sizeof *placed);
    th_plate_spot *own = th_plate_take(count, sizeof *own);
    bool fine = placed && own;
    size_t end;

    if (!fine) {
        th_fail_memory(err);
    } else {
        place(sheet, spots, count, placed);
    }
    for (size_t first = 0; fine && first < count; first = end) {
        th_forward to = {placed + first, sink};

        for (end = first; end < count && same_window(&placed[first], &placed[end]); end++) {
            own[end] = spots[placed[end].spot];
        }
        fine = solve_window(sheet, own + first, end - first, options, &to, err);
    }
    free(placed);
    free(own);
    return fine;
}
