/* answer_maps.c - the stock as the worst step leaves it and as it is at the end, in few cells. */
#include "answer.h"
#include "loads.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define COARSER 2.5       /* cells than those of the loads, at least */
#define CELLS_A_CUTTER 24 /* across the smallest cutter, at least */
#define SAMPLES_A_CELL 2  /* of the sweep across a cell of the map, at least */

/* A step of this sweep stands for the worst one where it is no further from it than this, and then
 * only where it comes nearer than the one before by so much (mm). */
#define MEETS 3.0
#define NEARER 0.05

/* As far apart as a piece that another line set free counts (mm). */
#define OTHER_LINE 20.0

#define THINNED 0.01 /* taken off at least, to count as thinned (mm) */

typedef struct {
    answer *a;
    th_sweep *sweep;
    double nearest; /* distance from the worst step so far (mm) */
} map_work;

/* ---- down to few cells -----------------------------------------------------------------------
 */

static size_t parts(size_t count, size_t each) {
    return (count + each - 1) / each;
}

static bool make_map(const th_height_map *from, th_arena *arena, th_bond_map *map) {
    size_t longer = from->columns > from->rows ? from->columns : from->rows;
    size_t each = parts(longer, TH_BOND_MAP_SIDE), count;

    *map = (th_bond_map){.columns = parts(from->columns, each),
                         .rows = parts(from->rows, each),
                         .x0 = from->x0,
                         .y0 = from->y0,
                         .cell = (double)each * from->cell};
    count = map->columns * map->rows;
    map->stands = th_arena_take(arena, count);
    map->held = th_arena_take(arena, count);
    map->thinned = th_arena_take(arena, count);
    return map->stands && map->held && map->thinned;
}

/* Samples of one cell. */
typedef struct {
    size_t stands, held, thinned;
    double left; /* height of the thinned, added (mm) */
} samples;

static samples count_samples(const th_height_map *from, double thickness, const size_t corner[2],
                             size_t each) {
    samples sum = {0, 0, 0, 0};

    for (size_t j = corner[1]; j < corner[1] + each && j < from->rows; j++) {
        for (size_t i = corner[0]; i < corner[0] + each && i < from->columns; i++) {
            size_t cell = j * from->columns + i;
            double height = (double)from->heights[cell];
            bool thin = height > 0 && height < thickness - THINNED;
            sum.stands += height > 0;
            sum.held += height > 0 && th_map_taped(from, cell);
            sum.thinned += thin;
            sum.left += thin ? height : 0;
        }
    }
    return sum;
}

static unsigned char share(size_t count, size_t all) {
    return (unsigned char)((count * 255 + all / 2) / all);
}

static void fill_map(const th_height_map *from, const th_job *job, th_bond_map *map) {
    size_t each = (size_t)llround(map->cell / from->cell), held = 0;

    map->thinnest = INFINITY;
    for (size_t n = 0; n < map->columns * map->rows; n++) {
        const size_t corner[2] = {n % map->columns * each, n / map->columns * each};
        samples sum = count_samples(from, job->part.thickness, corner, each);
        map->stands[n] = share(sum.stands, each * each);
        map->held[n] = share(sum.held, each * each);
        map->thinned[n] = share(sum.thinned, each * each);
        held += sum.held;
        if (2 * sum.thinned > each * each) { /* no rim of a cone that runs out to nothing */
            map->thinnest = fmin(map->thinnest, sum.left / (double)sum.thinned);
        }
    }
    map->area = (double)held * from->cell * from->cell * job->hold.coverage;
}

static bool take_map(const map_work *w, th_bond_map *map, th_error *err) {
    th_height_map now = th_sweep_map(w->sweep);

    if (map->columns == 0 && !make_map(&now, &w->a->run->arena, map)) {
        return th_fail_memory(err);
    }
    fill_map(&now, w->a->options->job, map);
    return true;
}

/* ---- the worst step --------------------------------------------------------------------------
 */

static bool look_at_step(void *context, const th_step *step, th_error *err) {
    map_work *w = context;
    const th_run *run = w->a->run;
    const th_step_load *worst;
    double x, y, z, away;

    answer_tell(w->a);
    if (run->worst_count == 0 || run->worst[0].load.line != step->line) {
        return true;
    }
    worst = &run->worst[0].load;
    x = step->at[0] - worst->at[0];
    y = step->at[1] - worst->at[1];
    z = step->at[2] - worst->at[2];
    away = sqrt(x * x + y * y + z * z);
    if (!(away < w->nearest - NEARER)) {
        return true;
    }
    w->nearest = away;
    return take_map(w, &w->a->run->at_worst, err);
}

/* ---- places of loose pieces ------------------------------------------------------------------
 */

/* A rectangle of the map, and how far each cell of it lies inside a piece (cells, the longer of
 * both ways), a rim of nothing round it. */
typedef struct {
    size_t i0, j0, columns, rows;
    unsigned short *inside;
} piece_window;

static unsigned short nearest_of(const unsigned short *at, const ptrdiff_t *steps) {
    unsigned short least = at[steps[0]];

    for (int k = 1; k < 4; k++) {
        least = at[steps[k]] < least ? at[steps[k]] : least;
    }
    return (unsigned short)(least + (least < 65535));
}

/* Chessboard distances in two passes (Rosenfeld and Pfaltz 1966). */
static void measure_inside(piece_window *window) {
    ptrdiff_t wide = (ptrdiff_t)window->columns + 2;
    const ptrdiff_t before[4] = {-1, -wide, -wide - 1, -wide + 1};
    const ptrdiff_t after[4] = {1, wide, wide + 1, wide - 1};

    for (size_t n = 0; n < window->columns * window->rows; n++) {
        unsigned short *at =
            &window->inside[(n / window->columns + 1) * (size_t)wide + n % window->columns + 1];
        *at = *at ? nearest_of(at, before) : 0;
    }
    for (size_t n = window->columns * window->rows; n-- > 0;) {
        unsigned short *at =
            &window->inside[(n / window->columns + 1) * (size_t)wide + n % window->columns + 1];
        unsigned short least = *at ? nearest_of(at, after) : 0;
        *at = least < *at ? least : *at;
    }
}

static piece_window window_of(const th_height_map *map, const double box[4]) {
    double i0 = floor((box[0] - map->x0) / map->cell) - 1;
    double j0 = floor((box[1] - map->y0) / map->cell) - 1;
    double i1 = ceil((box[2] - map->x0) / map->cell) + 1;
    double j1 = ceil((box[3] - map->y0) / map->cell) + 1;
    piece_window window = {(size_t)fmax(i0, 0), (size_t)fmax(j0, 0), 0, 0, NULL};

    i1 = fmin(i1, (double)map->columns);
    j1 = fmin(j1, (double)map->rows);
    window.columns = i1 > (double)window.i0 ? (size_t)i1 - window.i0 : 0;
    window.rows = j1 > (double)window.j0 ? (size_t)j1 - window.j0 : 0;
    return window;
}

static bool place_inside(const th_sweep *sweep, size_t piece, th_point *at, th_error *err) {
    th_height_map now = th_sweep_map(sweep);
    const th_height_map *map = &now;
    piece_window window = window_of(map, th_sweep_piece_at(sweep, piece)->box);
    size_t wide = window.columns + 2;
    unsigned short most = 0;

    window.inside = calloc(wide * (window.rows + 2), sizeof *window.inside);
    if (!window.inside) {
        return th_fail_memory(err);
    }
    for (size_t n = 0; n < window.columns * window.rows; n++) {
        size_t i = n % window.columns, j = n / window.columns;
        size_t cell = (window.j0 + j) * map->columns + window.i0 + i;
        window.inside[(j + 1) * wide + i + 1] =
            map->pieces[cell] == piece && map->heights[cell] > 0 ? 1 : 0;
    }
    measure_inside(&window);
    for (size_t n = 0; n < window.columns * window.rows; n++) {
        size_t i = n % window.columns, j = n / window.columns;
        if (window.inside[(j + 1) * wide + i + 1] > most) {
            most = window.inside[(j + 1) * wide + i + 1];
            *at = th_map_sample(map, window.i0 + i, window.j0 + j);
        }
    }
    free(window.inside);
    return true;
}

/* How far two boxes are from one another (mm). */
static double apart(const double a[4], const double b[4]) {
    return fabs(a[0] - b[0]) + fabs(a[1] - b[1]) + fabs(a[2] - b[2]) + fabs(a[3] - b[3]);
}

enum { NO_PIECE = -1 };

/* The piece of this sweep that is the loose one of the loads, as maps of other cells may number
 * them otherwise, and see them come loose a line before or after. What was the stock at first has
 * no line, and only what is about as large is taken for it. */
static int same_piece(const th_sweep *sweep, const th_loose *loose, const int *used,
                      size_t used_count) {
    double least = INFINITY;
    int found = NO_PIECE, count = (int)th_sweep_piece_count(sweep);

    for (int i = 0; i < count; i++) {
        const th_sweep_piece *piece = th_sweep_piece_at(sweep, (size_t)i);
        double away = apart(piece->box, loose->box);
        bool taken = i == 0 && loose->piece != 0 && !(away < OTHER_LINE);
        for (size_t k = 0; k < used_count; k++) {
            taken = taken || used[k] == i;
        }
        away += piece->line == loose->line || loose->piece + i == 0 ? 0 : OTHER_LINE;
        if (!taken && away < least) {
            least = away;
            found = i;
        }
    }
    return found;
}

/* Whether it is told again further on, as something else. */
static bool told_again(const th_run *run, size_t loose) {
    for (size_t i = loose + 1; i < run->loose_count; i++) {
        if (run->loose[i].piece == run->loose[loose].piece) {
            return true;
        }
    }
    return false;
}

static bool place_loose(const map_work *w, th_error *err) {
    th_run *run = w->a->run;
    th_point *places = th_arena_take(&run->arena, TH_LOOSE_SHOWN * sizeof *places);
    int used[TH_LOOSE_SHOWN];

    if (!places) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < run->loose_count && i < TH_LOOSE_SHOWN; i++) {
        places[i] = (th_point){(double)NAN, (double)NAN};
        used[i] = told_again(run, i) ? NO_PIECE : same_piece(w->sweep, &run->loose[i], used, i);
        if (used[i] != NO_PIECE && !place_inside(w->sweep, (size_t)used[i], &places[i], err)) {
            return false;
        }
    }
    run->loose_at = places;
    return true;
}

/* ---- the sweep -------------------------------------------------------------------------------
 */

static double cell_for(const answer *a, const answer_tools *tools, const double box[4]) {
    double longer = fmax(box[2] - box[0], box[3] - box[1]), smallest = INFINITY;

    for (size_t i = 0; i < tools->cutter_count; i++) {
        smallest = fmin(smallest, tools->cutters[i].cutter->diameter);
    }
    return fmax(COARSER * a->run->cell,
                fmin(longer / (SAMPLES_A_CELL * TH_BOND_MAP_SIDE), smallest / CELLS_A_CUTTER));
}

static bool make_sweep(map_work *w, const answer_tools *tools, th_error *err) {
    const th_run_options *o = w->a->options;
    const th_job *job = o->job;
    th_run *run = w->a->run;
    double box[4];

    if (!th_part_region(job, o->outline, &run->part, err) ||
        !th_stock_region(job, o->outline, &run->stock, err)) {
        return false;
    }
    if (!th_region_box(&run->stock, box)) {
        return th_fail(err, TH_BAD_RANGE, "the outline of the stock is empty");
    }
    th_sweep_setup setup = {.stock = &run->stock,
                            .taped = o->taped,
                            .thickness = job->part.thickness,
                            .plate_top = run->plate_top,
                            .table = run->table,
                            .zero = {job->zero.at.x, job->zero.at.y, job->zero.top},
                            .tools = tools->cutters,
                            .tool_count = tools->cutter_count,
                            .cell = cell_for(w->a, tools, box),
                            .memory = o->memory,
                            .step = o->step,
                            .skin = SKIN_JOINS,
                            .tabs = &w->a->tabs};
    th_sweep_sink sink = {.step = look_at_step, .context = w};
    return th_sweep_make(&setup, &sink, &w->sweep, err);
}

bool answer_maps(answer *a, const answer_material *on, th_error *err) {
    map_work w = {.a = a, .nearest = MEETS};
    th_program_report again = {0};
    bool fine =
        make_sweep(&w, &on->tools, err) &&
        th_program_read(on->text, on->size, &on->reading, th_sweep_move, w.sweep, &again, err) &&
        th_sweep_end(w.sweep, err) && take_map(&w, &a->run->at_end, err) && place_loose(&w, err);

    a->run->mapped = fine;
    th_program_report_free(&again);
    th_sweep_free(w.sweep);
    return fine;
}
