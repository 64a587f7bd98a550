/* sweep.c - moves split into short stretches. */
#include "sweep.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#define STEPS_PER_CUTTER 12
#define LEAST_STEP 0.05    /* (mm) */
#define LONGEST_OF_ARC 1.1 /* over the mean, as its radius may change by a rounding */
#define MARGIN 0.01        /* round the stock, within which moves are looked at (mm) */

/* ---- making ------------------------------------------------------------------------------------
 */

static double smallest_of(const th_sweep_setup *setup) {
    double least = setup->tools[0].cutter->diameter;

    for (size_t i = 1; i < setup->tool_count; i++) {
        least = fmin(least, setup->tools[i].cutter->diameter);
    }
    return least;
}

static bool check_tools(const th_sweep_setup *setup, th_error *err) {
    if (!setup->tool_count) {
        return th_fail(err, TH_MISSING, "no cutter is given");
    }
    for (size_t i = 0; i < setup->tool_count; i++) {
        double d = setup->tools[i].cutter->diameter;
        if (!(d > 0 && d <= 1000)) {
            return th_fail(err, TH_BAD_RANGE,
                           "the cutter of T%d has a diameter of %.6g mm: it must be above 0 and at "
                           "most 1000 mm",
                           setup->tools[i].number, d);
        }
    }
    for (int i = 0; i < 3; i++) {
        if (!(fabs(setup->zero[i]) <= TH_SWEEP_FAR)) {
            return th_fail(err, TH_BAD_RANGE, "the program's zero lies at %.6g mm: at most %g mm",
                           setup->zero[i], TH_SWEEP_FAR);
        }
    }
    return true;
}

static bool fill_sweep(th_sweep *sweep, th_error *err) {
    const th_sweep_setup *setup = &sweep->setup;
    const height_map *map = &sweep->map;

    sweep->shapes = malloc(setup->tool_count * sizeof *sweep->shapes);
    if (!sweep->shapes || !piece_list_start(map, &sweep->pieces)) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < setup->tool_count; i++) {
        sweep->shapes[i] = tool_shape_of(setup->tools[i].cutter);
    }
    double grain = smallest_of(setup) / 10 / map->cell;
    sweep->least = (size_t)fmax(grain * grain, 8);
    sweep->sums.lowest = sweep->sums.reached = sweep->sums.dived = INFINITY;
    sweep->box[0] = map->x0;
    sweep->box[1] = map->y0;
    sweep->box[2] = map->x0 + (double)map->columns * map->cell;
    sweep->box[3] = map->y0 + (double)map->rows * map->cell;
    return true;
}

bool th_sweep_make(const th_sweep_setup *setup, const th_sweep_sink *sink, th_sweep **sweep,
                   th_error *err) {
    *sweep = NULL;
    if (!check_tools(setup, err)) {
        return false;
    }
    *sweep = calloc(1, sizeof **sweep);
    if (!*sweep) {
        return th_fail_memory(err);
    }
    (*sweep)->setup = *setup;
    (*sweep)->sink = *sink;
    if (!height_map_make(setup, &(*sweep)->map, err) || !fill_sweep(*sweep, err)) {
        th_sweep_free(*sweep);
        *sweep = NULL;
        return false;
    }
    return true;
}

void th_sweep_free(th_sweep *sweep) {
    if (sweep) {
        height_map_free(&sweep->map);
        run_list_free(&sweep->before);
        run_list_free(&sweep->after);
        free(sweep->shapes);
        free(sweep->pieces.items);
        free(sweep->window.taken.items);
        free(sweep->rapid.items);
        free(sweep->found);
        free(sweep);
    }
}

/* ---- what a move may be ------------------------------------------------------------------------
 */

static bool refuse(const th_move *move, th_error *err, const char *what, double value,
                   const char *limit) {
    return th_fail_at(err, TH_BAD_RANGE, NULL, move->line, "%s is %.6g: %s", what, value, limit);
}

static double arc_radius(const th_move *move) {
    return hypot(move->from[move->axes[0]] - move->centre[0],
                 move->from[move->axes[1]] - move->centre[1]);
}

static double move_length(const th_move *move) {
    double dx = move->to[0] - move->from[0], dy = move->to[1] - move->from[1];
    double dz = move->to[2] - move->from[2];

    if (move->kind != TH_MOVE_ARC) {
        return sqrt(dx * dx + dy * dy + dz * dz);
    }
    return hypot(fabs(move->sweep) * arc_radius(move),
                 move->to[move->axes[2]] - move->from[move->axes[2]]);
}

static bool check_axes(const th_move *move, th_error *err) {
    bool seen[3] = {false, false, false};

    for (int i = 0; i < 3; i++) {
        int axis = move->axes[i];
        if (axis < 0 || axis > 2 || seen[axis]) {
            return refuse(move, err, "an axis of the arc's plane", axis,
                          "it must be 0, 1 and 2, each once");
        }
        seen[axis] = true;
    }
    for (int i = 0; i < 2; i++) {
        if (!(fabs(move->centre[i]) <= 2 * TH_SWEEP_FAR)) {
            return refuse(move, err, "the arc's centre", move->centre[i], "out of reach");
        }
    }
    return isfinite(move->sweep) ? true
                                 : refuse(move, err, "the arc's angle", move->sweep, "no number");
}

static bool check_move(const th_move *move, th_error *err) {
    for (int i = 0; i < 3; i++) {
        if (!(fabs(move->from[i]) <= TH_SWEEP_FAR)) {
            return refuse(move, err, "where the move begins", move->from[i], "beyond 100 m");
        }
        if (!(fabs(move->to[i]) <= TH_SWEEP_FAR)) {
            return refuse(move, err, "where the move ends", move->to[i], "beyond 100 m");
        }
    }
    if (move->kind == TH_MOVE_ARC && !check_axes(move, err)) {
        return false;
    }
    if (!(move_length(move) <= TH_SWEEP_LONG)) {
        return refuse(move, err, "the length of the move", move_length(move), "above 10 km");
    }
    if (move->kind != TH_MOVE_RAPID && !(move->feed > 0 && isfinite(move->feed))) {
        return refuse(move, err, "the feed", move->feed, "it must be above 0 mm/min");
    }
    if (!isfinite(move->speed)) {
        return refuse(move, err, "the spindle speed", move->speed, "no number");
    }
    return true;
}

/* ---- splitting ---------------------------------------------------------------------------------
 */

/* A move in the job's axes. */
typedef struct {
    const th_move *move;
    const th_sweep_tool *tool;
    const tool_shape *shape;
    double from[3], to[3];
    double step;  /* longest stretch (mm) */
    double reach; /* of cutter or shank, from the axis (mm) */
} job_move;

bool sweep_wide_shank(const th_cutter *cutter) {
    return cutter->shank > cutter->diameter * (1 + 1e-6);
}

static bool take_stretch(th_sweep *sweep, const job_move *m, stretch_of_path *way, th_error *err) {
    const double *at = sweep->at;
    sweep_piece piece = {.move = m->move, .tool = m->tool};

    way->shape = m->shape;
    way->cleared = sweep->at_shape == m->shape && at[0] == way->from[0] && at[1] == way->from[1] &&
                   at[2] == way->from[2] && way->to[2] >= way->from[2];
    piece.way = *way;
    piece.length = hypot(stretch_across(way), way->to[2] - way->from[2]);
    if (!(piece.length > 0)) { /* too short for a double: what lies there the next one takes */
        return true;
    }
    if (!sweep_stretch(sweep, &piece, err)) {
        return false;
    }
    sweep->at_shape = m->shape;
    memcpy(sweep->at, way->to, sizeof sweep->at);
    return true;
}

/* Share of a straight move from which, and to which, the cutter may touch the stock. */
static bool share_at_stock(const th_sweep *sweep, const job_move *m, double share[2]) {
    double reach = m->reach + MARGIN;
    double low[3] = {sweep->box[0] - reach, sweep->box[1] - reach, -INFINITY};
    double high[3] = {sweep->box[2] + reach, sweep->box[3] + reach, sweep->setup.thickness};

    share[0] = 0;
    share[1] = 1;
    for (int i = 0; i < 3; i++) {
        double way = m->to[i] - m->from[i];
        if (way == 0) {
            if (m->from[i] < low[i] || m->from[i] > high[i]) {
                return false;
            }
            continue;
        }
        double a = (low[i] - m->from[i]) / way, b = (high[i] - m->from[i]) / way;
        share[0] = fmax(share[0], fmin(a, b));
        share[1] = fmin(share[1], fmax(a, b));
    }
    return share[0] < share[1];
}

static void point_at(const job_move *m, double share, double at[3]) {
    for (int i = 0; i < 3; i++) {
        at[i] = share >= 1 ? m->to[i] : m->from[i] + share * (m->to[i] - m->from[i]);
    }
}

static bool take_line(th_sweep *sweep, const job_move *m, th_error *err) {
    double share[2], length = 0;
    stretch_of_path way = {.arc = false};

    if (!share_at_stock(sweep, m, share)) {
        return true;
    }
    for (int i = 0; i < 3; i++) {
        length += (m->to[i] - m->from[i]) * (m->to[i] - m->from[i]);
    }
    length = sqrt(length) * (share[1] - share[0]);
    double count = fmax(ceil(length / m->step - 1e-9), 1);
    point_at(m, share[0], way.to);
    for (int64_t k = 1; (double)k <= count; k++) {
        memcpy(way.from, way.to, sizeof way.from);
        point_at(m, share[0] + (share[1] - share[0]) * (double)k / count, way.to);
        if (!take_stretch(sweep, m, &way, err)) {
            return false;
        }
    }
    return true;
}

/* Whether a stretch or arc around a place may touch the stock. */
static bool near_stock(const th_sweep *sweep, const double low[3], const double high[3],
                       double reach) {
    return high[0] + reach >= sweep->box[0] && low[0] - reach <= sweep->box[2] &&
           high[1] + reach >= sweep->box[1] && low[1] - reach <= sweep->box[3] &&
           low[2] <= sweep->setup.thickness;
}

/* The place at an angle of an arc (job axes); share of the move 0 to 1. */
static void arc_at(const th_sweep *sweep, const job_move *m, double share, double at[3]) {
    const th_move *move = m->move;
    int a = move->axes[0], b = move->axes[1], c = move->axes[2];
    double start = atan2(move->from[b] - move->centre[1], move->from[a] - move->centre[0]);
    double radius = arc_radius(move);
    double end = hypot(move->to[a] - move->centre[0], move->to[b] - move->centre[1]);
    double angle = start + share * move->sweep;

    radius += share * (end - radius); /* ends rounded to a few decimals */
    at[a] = move->centre[0] + radius * cos(angle) + sweep->setup.zero[a];
    at[b] = move->centre[1] + radius * sin(angle) + sweep->setup.zero[b];
    at[c] = move->from[c] + share * (move->to[c] - move->from[c]) + sweep->setup.zero[c];
}

/* In plan, an arc about its centre; else a chord. */
static void shape_stretch(const th_sweep *sweep, const job_move *m, double from, double to,
                          stretch_of_path *way) {
    const th_move *move = m->move;

    arc_at(sweep, m, from, way->from);
    arc_at(sweep, m, to, way->to);
    if (!way->arc) {
        return;
    }
    double x = move->centre[0] + sweep->setup.zero[0], y = move->centre[1] + sweep->setup.zero[1];
    double dx = way->from[0] - x, dy = way->from[1] - y;
    way->centre[0] = x;
    way->centre[1] = y;
    way->radius = hypot(dx, dy);
    way->start = atan2(dy, dx);
    way->turn = move->sweep * (to - from);
}

static double arc_steps(const job_move *m, bool chords) {
    double turn = fabs(m->move->sweep), radius = arc_radius(m->move);
    double count = fmax(move_length(m->move) / m->step, turn / STRETCH_TURN);

    if (chords && radius > 0) {
        count = fmax(count, turn * sqrt(radius / (8 * TH_SWEEP_CHORD)));
    }
    return fmax(ceil(count - 1e-9), 1);
}

/* How far a place is from the stock at least (mm). */
static double off_stock(const th_sweep *sweep, const double at[3]) {
    double x = fmax(sweep->box[0] - at[0], at[0] - sweep->box[2]);
    double y = fmax(sweep->box[1] - at[1], at[1] - sweep->box[3]);

    return fmax(fmax(x, y), at[2] - sweep->setup.thickness);
}

/* Steps of an arc, from the k-th on, that do not get to the stock: none is longer than `each`. */
static double steps_off(const th_sweep *sweep, const job_move *m, double share, double each) {
    double at[3] = {0}, reach = m->reach + m->step + MARGIN;

    arc_at(sweep, m, share, at);
    return fmax(floor((off_stock(sweep, at) - reach) / each) - 1, 0);
}

/* Where the move ends should be where the next one begins. */
static bool take_arc(th_sweep *sweep, const job_move *m, th_error *err) {
    const th_move *move = m->move;
    bool flat = m->shape->flat >= m->shape->radius;
    bool plan = move->axes[2] == 2, level = move->from[2] == move->to[2];
    bool chords = !plan || (!level && !flat);
    double count = arc_steps(m, chords);
    double each = move_length(move) / count * LONGEST_OF_ARC;

    for (int64_t k = 0; (double)k < count; k++) {
        stretch_of_path way = {.arc = !chords};
        double low[3], high[3];
        k += each > 0 ? (int64_t)fmin(steps_off(sweep, m, (double)k / count, each), count) : 0;
        if ((double)k >= count) {
            break;
        }
        shape_stretch(sweep, m, (double)k / count, (double)(k + 1) / count, &way);
        for (int i = 0; i < 3; i++) {
            low[i] = fmin(way.from[i], way.to[i]);
            high[i] = fmax(way.from[i], way.to[i]);
        }
        if (near_stock(sweep, low, high, m->reach + m->step + MARGIN) &&
            !take_stretch(sweep, m, &way, err)) {
            return false;
        }
    }
    return true;
}

static bool arc_away(const th_sweep *sweep, const job_move *m) {
    const th_move *move = m->move;
    int a = move->axes[0], b = move->axes[1];
    double radius = arc_radius(move);
    double low[3], high[3];

    for (int i = 0; i < 3; i++) {
        low[i] = fmin(m->from[i], m->to[i]);
        high[i] = fmax(m->from[i], m->to[i]);
    }
    low[a] = fmin(low[a], move->centre[0] + sweep->setup.zero[a] - radius);
    high[a] = fmax(high[a], move->centre[0] + sweep->setup.zero[a] + radius);
    low[b] = fmin(low[b], move->centre[1] + sweep->setup.zero[b] - radius);
    high[b] = fmax(high[b], move->centre[1] + sweep->setup.zero[b] + radius);
    return !near_stock(sweep, low, high, m->reach + MARGIN);
}

/* ---- moves --------------------------------------------------------------------------------------
 */

static const th_sweep_tool *tool_of(const th_sweep *sweep, int number) {
    const th_sweep_tool *any = NULL;

    for (size_t i = 0; i < sweep->setup.tool_count; i++) {
        const th_sweep_tool *tool = &sweep->setup.tools[i];
        if (tool->number == number) {
            return tool;
        }
        any = tool->number == -1 ? tool : any;
    }
    return any;
}

static void pass_time(th_sweep *sweep, const th_move *move) {
    double speed = move->kind == TH_MOVE_RAPID ? sweep->setup.rapid : move->feed;

    if (speed > 0) {
        sweep->sums.seconds += move_length(move) / speed * 60;
    }
}

static bool stand(th_sweep *sweep, const th_move *move, th_error *err) {
    if (!(move->seconds >= 0 && isfinite(move->seconds))) {
        return refuse(move, err, "the dwell", move->seconds, "it must be a time from 0 s on");
    }
    sweep->sums.seconds += move->seconds;
    return sweep_flush(sweep, err) &&
           (!sweep->sink.stands || sweep->sink.stands(sweep->sink.context, move, err));
}

/* A cutter that is not known can do nothing but move above the stock. */
static bool without_tool(const th_sweep *sweep, const th_move *move, th_error *err) {
    double low = fmin(move->from[2], move->to[2]) + sweep->setup.zero[2];
    bool above = move->kind != TH_MOVE_ARC && low >= sweep->setup.thickness;

    if (above || move->kind == TH_MOVE_RAPID) {
        return true;
    }
    if (move->tool == 0) {
        return th_fail_at(err, TH_MISSING, NULL, move->line,
                          "what is in the spindle here is not known (T0, or no M6 before): begin "
                          "with T and M6, or add [tool.0] with cutter = NAME");
    }
    return th_fail_at(err, TH_MISSING, NULL, move->line,
                      "T%d cuts here, and no cutter is given for it: add [tool.%d] with cutter = "
                      "NAME",
                      move->tool, move->tool);
}

static bool in_stock(th_sweep *sweep, const job_move *m, th_error *err) {
    if (m->move->kind != TH_MOVE_ARC) {
        return take_line(sweep, m, err);
    }
    return arc_away(sweep, m) || take_arc(sweep, m, err);
}

/* A rapid over a way that nobody knows, and that ends in the stock, has come down into it at best.
 */
static bool come_down(th_sweep *sweep, const job_move *to, th_error *err) {
    th_move rapid = *to->move;
    job_move down = *to;

    if (!(to->from[2] < sweep->setup.thickness)) {
        return true;
    }
    rapid.kind = TH_MOVE_RAPID;
    rapid.line = to->move->arrives;
    rapid.feed = 0;
    down.move = &rapid;
    memcpy(down.from, to->from, sizeof down.from);
    memcpy(down.to, to->from, sizeof down.to);
    down.from[2] = sweep->setup.thickness + 1;
    return in_stock(sweep, &down, err) || th_fail_place(err, NULL, rapid.line);
}

/* The table lies beside the stock, too. */
static bool reach_down(th_sweep *sweep, const th_move *move, th_error *err) {
    bool ends = move->to[2] < move->from[2];
    bool leads_out = move->to[2] > move->from[2] && move->arrives == 0; /* told by what led in */
    const double *at = ends ? move->to : move->from;
    double low = at[2] + sweep->setup.zero[2];
    th_found fresh = {TH_FOUND_TABLE,
                      move->line,
                      {at[0] + sweep->setup.zero[0], at[1] + sweep->setup.zero[1], low},
                      sweep->setup.table - low};

    if (low < sweep->sums.reached) {
        sweep->sums.reached = low;
        sweep->sums.reached_line = move->line;
    }
    if (move->kind == TH_MOVE_RAPID && !leads_out && low < sweep->sums.dived) {
        sweep->sums.dived = low;
        sweep->sums.dived_line = move->line;
    }
    return !(sweep->setup.table < 0 && fresh.depth > 0) || leads_out ||
           sweep_found(sweep, &fresh, err);
}

bool th_sweep_move(void *context, const th_move *move, th_error *err) {
    th_sweep *sweep = context;
    job_move m = {.move = move};

    if (move->kind == TH_MOVE_DWELL || move->kind == TH_MOVE_STOP) {
        return stand(sweep, move, err);
    }
    if (!check_move(move, err)) {
        return false;
    }
    pass_time(sweep, move);
    if (!reach_down(sweep, move, err)) {
        return false;
    }
    m.tool = tool_of(sweep, move->tool);
    if (!m.tool) {
        return without_tool(sweep, move, err);
    }
    m.shape = &sweep->shapes[m.tool - sweep->setup.tools];
    m.step = sweep->setup.step > 0 ? sweep->setup.step : 2 * m.shape->radius / STEPS_PER_CUTTER;
    m.step = fmax(m.step, LEAST_STEP);
    m.reach = sweep_wide_shank(m.tool->cutter) ? m.tool->cutter->shank / 2 : m.shape->radius;
    for (int i = 0; i < 3; i++) {
        m.from[i] = move->from[i] + sweep->setup.zero[i];
        m.to[i] = move->to[i] + sweep->setup.zero[i];
    }
    if (move->arrives > 0 && !come_down(sweep, &m, err)) {
        return false;
    }
    if (!in_stock(sweep, &m, err)) {
        return th_fail_place(err, NULL, move->line);
    }
    return true;
}

bool th_sweep_end(th_sweep *sweep, th_error *err) {
    if (!sweep_flush(sweep, err)) {
        return false;
    }
    piece_list_measure(&sweep->map, &sweep->pieces);
    return true;
}

/* ---- what is left -------------------------------------------------------------------------------
 */

th_height_map th_sweep_map(const th_sweep *sweep) {
    const height_map *map = &sweep->map;

    return (th_height_map){map->columns, map->rows, map->x0,
                           map->y0,      map->cell, map->heights,
                           map->labels,  map->bare, height_map_bytes(map)};
}

bool th_map_taped(const th_height_map *map, size_t cell) {
    return !map->bare || !(map->bare[cell / 8] >> cell % 8 & 1);
}

th_point th_map_sample(const th_height_map *map, size_t column, size_t row) {
    return (th_point){map->x0 + ((double)column + map_share(row)) * map->cell,
                      map->y0 + ((double)row + (column ? 1 - map_share(column) : 0)) * map->cell};
}

size_t th_sweep_piece_count(const th_sweep *sweep) {
    return sweep->pieces.count;
}

const th_sweep_piece *th_sweep_piece_at(const th_sweep *sweep, size_t piece) {
    return piece < sweep->pieces.count ? &sweep->pieces.items[piece] : NULL;
}

th_sweep_sums th_sweep_sums_of(const th_sweep *sweep) {
    return sweep->sums;
}

const th_found *th_sweep_found(const th_sweep *sweep, size_t *count) {
    *count = sweep->found_count;
    return sweep->found;
}
