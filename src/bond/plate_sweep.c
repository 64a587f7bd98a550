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
    const size_t *order;
    th_plate_sink sink;
} th_forward;

typedef struct {
    const th_plate_options *options;
    th_plate_sink sink;
} th_solving;

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

    renamed.spot = f->order[influence->spot];
    return f->sink.take(f->sink.context, &renamed, err);
}

static long window_of(double x, double low, double side) {
    return (long)fmin(1e9, fmax(-1e9, floor((x - low) / side)));
}

static bool solve_window(void *context, const th_plate_window *window, th_error *err) {
    const th_solving *solving = context;
    th_forward to = {window->order, solving->sink};
    th_plate_model *model = NULL;
    bool fine = th_plate_model_make(&window->mesh->grid, solving->options, &model, err) &&
                th_plate_model_influence(model, window->spots, window->count,
                                         (th_plate_sink){forward, &to}, err);

    th_plate_model_free(model);
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

bool th_plate_each_window(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                          const th_plate_options *options,
                          bool (*action)(void *context, const th_plate_window *window,
                                         th_error *err),
                          void *context, th_error *err) {
    th_placed *placed = th_plate_take(count, sizeof *placed);
    th_plate_spot *own = th_plate_take(count, sizeof *own);
    size_t *order = th_plate_take(count, sizeof *order), end;
    bool fine = placed && own && order;

    if (!fine) {
        th_fail_memory(err);
    } else {
        place(sheet, spots, count, placed);
    }
    for (size_t first = 0; fine && first < count; first = end) {
        th_plate_mesh mesh;

        for (end = first; end < count && same_window(&placed[first], &placed[end]); end++) {
            order[end] = placed[end].spot;
            own[end] = spots[order[end]];
        }
        fine = th_plate_mesh_make(sheet, own + first, end - first, options, &mesh, err);
        if (fine) {
            th_plate_window window = {&mesh, own + first, order + first, end - first};

            fine = action(context, &window, err);
            th_plate_mesh_free(&mesh);
        }
    }
    free(placed);
    free(own);
    free(order);
    return fine;
}

bool th_plate_sweep(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                    const th_plate_options *options, th_plate_sink sink, th_error *err) {
    th_solving solving = {options, sink};

    return th_plate_each_window(sheet, spots, count, options, solve_window, &solving, err);
}
