/* step.c - stretches taken off the map and put together to steps. */
#include "sweep.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A step is sent on when it is this share of the longest stretch and its side took this many
 * samples, so that their number says something; or when it is this much longer, or turns by more
 * than this. */
#define ENOUGH_LENGTH 0.5
#define MOST_LENGTH 3
#define ENOUGH_SAMPLES 400
#define MOST_HEADING (TH_PI / 6)
#define CRESCENT 0.5 /* area, of the cutter's radius squared; a full one beside a wall has 0.43 */
/* Round a stretch, in which it is looked at whether stock comes apart (cells). */
enum { AROUND = 4 };

/* ---- findings -----------------------------------------------------------------------------------
 */

/* Stock may reach so far over the flutes, as a share of their length. */
#define OVER_FLUTES 0.01

/* Whether a rapid goes on straight down: its steps are then as deep as all of them. */
static bool goes_down(const th_found *known, const th_found *fresh) {
    return fresh->kind == TH_FOUND_RAPID &&
           hypot(fresh->at[0] - known->at[0], fresh->at[1] - known->at[1]) < 1e-6;
}

bool sweep_found(th_sweep *sweep, const th_found *fresh, th_error *err) {
    for (size_t i = sweep->found_count; i > 0 && i + 4 > sweep->found_count; i--) {
        th_found *known = &sweep->found[i - 1];
        if (known->kind == fresh->kind && known->line == fresh->line) {
            double before = goes_down(known, fresh) ? known->depth : 0;
            *known = before + fresh->depth > known->depth ? *fresh : *known;
            known->depth = fmax(known->depth, before + fresh->depth);
            return true;
        }
    }
    if (sweep->found_count == TH_FOUND_MOST) {
        return true;
    }
    if (sweep->found_count == sweep->found_capacity) {
        size_t capacity = sweep->found_capacity ? 2 * sweep->found_capacity : 16;
        th_found *list = realloc(sweep->found, capacity * sizeof *list);
        if (!list) {
            return th_fail_memory(err);
        }
        sweep->found = list;
        sweep->found_capacity = capacity;
    }
    sweep->found[sweep->found_count++] = *fresh;
    return true;
}

static bool found(th_sweep *sweep, th_found_kind kind, const sweep_piece *piece, double depth,
                  th_error *err) {
    th_found fresh = {kind, piece->move->line, {0}, depth};

    memcpy(fresh.at, piece->way.to, sizeof fresh.at);
    return sweep_found(sweep, &fresh, err);
}

static bool look_at_flutes(th_sweep *sweep, const th_step *step, th_error *err) {
    double over = step->engagement.height - step->cutter->flute_length;
    th_found fresh = {TH_FOUND_FLUTES, step->line, {step->at[0], step->at[1], step->at[2]}, over};

    return !(over > OVER_FLUTES * step->cutter->flute_length) || sweep_found(sweep, &fresh, err);
}

/* A shank that is wider than what the flutes cut, behind them, in what stands. It may scrape a
 * wall as a rapid may. */
static bool look_at_shank(th_sweep *sweep, const sweep_piece *piece, th_error *err) {
    const th_cutter *cutter = piece->tool->cutter;
    double radius = fmax(cutter->shank / 2 - TH_SWEEP_RAPID_SCRAPE, cutter->diameter / 2);
    tool_shape shank = {radius, radius, 0, 0, 0};
    stretch_of_path way = piece->way;

    way.from[2] += cutter->flute_length;
    way.to[2] += cutter->flute_length;
    if (!sweep_wide_shank(cutter) || !(fmin(way.from[2], way.to[2]) < sweep->setup.thickness)) {
        return true;
    }
    way.shape = &shank;
    way.cleared = false;
    double over = stretch_meets(&sweep->map, &way);
    return !(over > OVER_FLUTES * cutter->flute_length) ||
           found(sweep, TH_FOUND_SHANK, piece, over, err);
}

/* How much deeper in the sacrificial plate than any move over the stock before (mm): 0 not at all.
 */
static double in_plate(const th_sweep *sweep, double low) {
    double deep = fmin(sweep->setup.plate_top, sweep->sums.lowest) - low;

    return deep > TH_SWEEP_RAPID_TOUCH ? deep : 0;
}

/* Whether a line was told to take more than the plate. */
static bool told(const th_sweep *sweep, th_found_kind kind, int line) {
    const th_found *last = sweep->found_count ? &sweep->found[sweep->found_count - 1] : NULL;

    return last && last->kind == kind && last->line == line &&
           last->depth > sweep->setup.plate_top - last->at[2] + 1e-9;
}

static bool look_for_faults(th_sweep *sweep, const sweep_piece *piece, double removed, double depth,
                            th_error *err) {
    const th_move *move = piece->move;
    double low = fmin(piece->way.from[2], piece->way.to[2]), plate = in_plate(sweep, low);
    bool took = removed > 0 || plate > 0;

    if (low < sweep->setup.table && sweep->setup.table < 0 &&
        !found(sweep, TH_FOUND_TABLE, piece, sweep->setup.table - low, err)) {
        return false;
    }
    if (!(removed > 0)) { /* what has gone through the stock is told by that */
        depth = told(sweep, TH_FOUND_RAPID, move->line) ? 0 : plate;
    }
    if (move->kind == TH_MOVE_RAPID) {
        return depth <= TH_SWEEP_RAPID_TOUCH || found(sweep, TH_FOUND_RAPID, piece, depth, err);
    }
    if (took && (move->spindle == 0 || !(move->speed > 0))) {
        return found(sweep, TH_FOUND_STOPPED, piece, depth, err);
    }
    return !took || move->spindle > 0 || found(sweep, TH_FOUND_BACKWARDS, piece, depth, err);
}

/* ---- steps --------------------------------------------------------------------------------------
 */

static void choose_piece(step_window *window) {
    double most = 0;

    window->step.piece = -1;
    for (int i = 0; i < window->taken.piece_count; i++) {
        if (window->taken.pieces[i].removed > most) {
            most = window->taken.pieces[i].removed;
            window->step.piece = window->taken.pieces[i].label;
        }
    }
}

/* What is cut less than that only grazes. */
#define GRAZES 0.05

static void choose_others(step_window *window) {
    int count = 0;

    for (int i = 0; i < TH_STEP_ALSO; i++) {
        window->step.also[i] = -1;
    }
    for (int i = 0; i < window->taken.piece_count && count < TH_STEP_ALSO; i++) {
        if (window->taken.pieces[i].label != window->step.piece &&
            window->taken.pieces[i].removed > GRAZES * window->taken.removed) {
            window->step.also[count++] = window->taken.pieces[i].label;
        }
    }
}

static void finish_step(const th_sweep *sweep, step_window *window) {
    th_step *step = &window->step;
    engaged_step engaged = {window->shape, step->across, step->down, sweep->map.cell};

    for (int i = 0; i < 3; i++) {
        step->at[i] = window->weight[i] / step->length;
    }
    step->heading = step->across > 0 ? atan2(window->ahead_y, window->ahead_x) : 0;
    step->removed = window->taken.removed;
    step->of_tabs = window->taken.of_tabs;
    step->of_skin = window->taken.of_skin;
    step->opened = (double)window->taken.opened * sweep->map.cell * sweep->map.cell;
    step->feed = step->seconds > 0 ? step->length / step->seconds * 60 : 0;
    choose_piece(window);
    choose_others(window);
    engagement_find(&engaged, &window->taken, &window->memory, &step->engagement);
}

static void empty(taken *list) {
    *list = (taken){.items = list->items, .capacity = list->capacity};
}

bool sweep_flush(th_sweep *sweep, th_error *err) {
    step_window *window = &sweep->window;
    bool took = window->open && window->taken.removed > 0;

    window->open = false;
    if (took) {
        finish_step(sweep, window);
        sweep->sums.steps++;
        sweep->sums.cutting += window->step.seconds;
    }
    empty(&window->taken);
    return !took ||
           (look_at_flutes(sweep, &window->step, err) &&
            (!sweep->sink.step || sweep->sink.step(sweep->sink.context, &window->step, err)));
}

static void start_step(step_window *window, const sweep_piece *piece) {
    const th_move *move = piece->move;

    window->open = true;
    if (window->shape != piece->way.shape) {
        window->memory.steps = 0;
    }
    window->shape = piece->way.shape;
    window->ahead_x = window->ahead_y = window->most = 0;
    window->line_count = 0;
    memset(window->weight, 0, sizeof window->weight);
    window->step = (th_step){.line = move->line,
                             .tool = move->tool,
                             .cutter = piece->tool->cutter,
                             .low = INFINITY,
                             .speed = move->speed,
                             .spindle = move->spindle,
                             .coolant = move->coolant,
                             .piece = -1};
}

static bool same_line(const step_window *window, int line) {
    return window->line_count > 0 && window->lines[window->line_count - 1].line == line;
}

/* Whether a stretch cannot be part of the step in hand. */
static bool differs(const step_window *window, const sweep_piece *piece) {
    const th_step *step = &window->step;
    const th_move *move = piece->move;
    bool sinking = !(stretch_across(&piece->way) > 0);
    double turn;

    if ((window->line_count == STEP_LINES && !same_line(window, move->line)) ||
        step->tool != move->tool || step->speed != move->speed || step->spindle != move->spindle ||
        step->coolant != move->coolant || window->shape != piece->way.shape ||
        sinking != !(step->across > 0) ||
        fabs(step->length / step->seconds * 60 - move->feed) > 1e-6 * move->feed) {
        return true;
    }
    turn = sinking ? 0 : stretch_heading(&piece->way) - atan2(window->ahead_y, window->ahead_x);
    return fabs(remainder(turn, 2 * TH_PI)) > MOST_HEADING;
}

static void add_line(step_window *window, int line, double removed) {
    if (!(removed > 0)) {
        return;
    }
    if (!same_line(window, line)) {
        window->lines[window->line_count++] = (step_line){line, 0};
    }
    window->lines[window->line_count - 1].removed += removed;
}

static void add_to_step(step_window *window, const sweep_piece *piece, double removed) {
    double across = stretch_across(&piece->way), middle[3];
    double heading = across > 0 ? stretch_heading(&piece->way) : 0;
    th_step *step = &window->step;

    stretch_middle(&piece->way, middle);
    for (int i = 0; i < 3; i++) {
        window->weight[i] += middle[i] * piece->length;
    }
    window->ahead_x += across * cos(heading);
    window->ahead_y += across * sin(heading);
    step->low = fmin(step->low, fmin(piece->way.from[2], piece->way.to[2]));
    step->length += piece->length;
    step->across += across;
    step->down += piece->way.from[2] - piece->way.to[2];
    step->seconds += piece->length / piece->move->feed * 60;
    add_line(window, piece->move->line, removed);
    if (removed > window->most) {
        window->most = removed;
        step->line = piece->move->line;
    }
}

/* ---- pieces -------------------------------------------------------------------------------------
 */

static map_window around(const height_map *map, const stretch_of_path *way) {
    map_window w = stretch_window(map, way);

    if (w.i0 > w.i1 || w.j0 > w.j1) {
        return w;
    }
    w.i0 = w.i0 > AROUND ? w.i0 - AROUND : 0;
    w.j0 = w.j0 > AROUND ? w.j0 - AROUND : 0;
    w.i1 = w.i1 + AROUND < (long)map->columns ? w.i1 + AROUND : (long)map->columns - 1;
    w.j1 = w.j1 + AROUND < (long)map->rows ? w.j1 + AROUND : (long)map->rows - 1;
    return w;
}

/* The pieces that a line has set free, after the step that did it: that one was held by all of what
 * they came off. */
static bool tell_loose(th_sweep *sweep, int line, const least_cells *least, th_error *err) {
    piece_search search = {sweep->setup.skin, *least};
    size_t first = sweep->pieces.count, count;

    sweep->sums.labellings++;
    if (!piece_list_find(&sweep->map, &search, &sweep->pieces, &sweep->after, &count)) {
        return th_fail_memory(err);
    }
    if (count == 0) {
        return true;
    }
    if (!sweep_flush(sweep, err)) {
        return false;
    }
    if (!piece_list_take(&sweep->map, line, &sweep->after, &sweep->pieces)) {
        return th_fail_memory(err);
    }
    for (size_t i = first; i < sweep->pieces.count && sweep->sink.loose; i++) {
        if (!sweep->sink.loose(sweep->sink.context, (int)i, &sweep->pieces.items[i], err)) {
            return false;
        }
    }
    return true;
}

/* Between a tab and the round end of the cut a crescent stands free before it is cut, too. */
static least_cells least_piece(const th_sweep *sweep, const sweep_piece *piece) {
    double cells = piece->way.shape->radius / sweep->map.cell;

    return (least_cells){sweep->least,
                         (size_t)fmax(CRESCENT * cells * cells, (double)sweep->least)};
}

static bool look_for_pieces(th_sweep *sweep, const map_window *window, const sweep_piece *piece,
                            th_error *err) {
    least_cells least = least_piece(sweep, piece);

    if (!run_list_find(&sweep->map, window, sweep->setup.skin, &sweep->after)) {
        return th_fail_memory(err);
    }
    return !run_list_parted(&sweep->before, &sweep->after, &least) ||
           tell_loose(sweep, piece->move->line, &least, err);
}

/* ---- a stretch ----------------------------------------------------------------------------------
 */

static bool long_enough(const th_sweep *sweep, const step_window *window) {
    double step = sweep->setup.step > 0 ? sweep->setup.step : window->shape->radius / 6;

    step *= 1 - 1e-6;
    return window->step.length >= MOST_LENGTH * step ||
           (window->step.length >= ENOUGH_LENGTH * step &&
            (window->taken.count >= ENOUGH_SAMPLES || !(window->step.across > 0)));
}

/* Take the stretch off the map; what it took goes to `into`. */
static bool cut(th_sweep *sweep, const sweep_piece *piece, taken *into, th_error *err) {
    stretch_ground ground = {&sweep->map, sweep->setup.skin, sweep->pieces.items};

    stretch_cut(&ground, &piece->way, into);
    return into->failed ? th_fail_memory(err) : true;
}

static bool book(th_sweep *sweep, const sweep_piece *piece, double removed, double depth,
                 th_error *err) {
    double low = fmin(piece->way.from[2], piece->way.to[2]);

    sweep->sums.removed += removed;
    if (!look_for_faults(sweep, piece, removed, depth, err) || !look_at_shank(sweep, piece, err)) {
        return false;
    }
    /* Below the stock it goes into tape and plate, whether stock is left above them or not. */
    if ((removed > 0 || low < 0) && low < sweep->sums.lowest) {
        sweep->sums.lowest = low;
        sweep->sums.lowest_line = piece->move->line;
    }
    return true;
}

/* To the step in hand, or to a new one. */
static bool put_to_step(th_sweep *sweep, const sweep_piece *piece, th_error *err) {
    step_window *window = &sweep->window;
    double before = window->taken.removed;

    if (!window->open) {
        start_step(window, piece);
    }
    if (!cut(sweep, piece, &window->taken, err) ||
        !book(sweep, piece, window->taken.removed - before, window->taken.depth, err)) {
        return false;
    }
    add_to_step(window, piece, window->taken.removed - before);
    if (!(window->taken.removed > 0)) {
        window->memory.steps = 0;
        window->open = false;
        empty(&window->taken);
    }
    return true;
}

/* How deep a rapid goes into what stands. Back in its own kerf it may scrape a wall, as both paths
 * are rounded: that is none of it. */
static double rapid_depth(th_sweep *sweep, const sweep_piece *piece) {
    stretch_of_path way = piece->way;
    double by = fmin(TH_SWEEP_RAPID_SCRAPE, 0.5 * way.shape->radius);
    tool_shape drawn = tool_drawn_in(way.shape, by);

    way.shape = &drawn;
    return stretch_meets(&sweep->map, &way);
}

static bool take_rapid(th_sweep *sweep, const sweep_piece *piece, th_error *err) {
    double depth = rapid_depth(sweep, piece);

    empty(&sweep->rapid);
    return sweep_flush(sweep, err) && cut(sweep, piece, &sweep->rapid, err) &&
           book(sweep, piece, sweep->rapid.removed, depth, err);
}

bool sweep_stretch(th_sweep *sweep, const sweep_piece *piece, th_error *err) {
    bool rapid = piece->move->kind == TH_MOVE_RAPID;
    bool deep = fmin(piece->way.from[2], piece->way.to[2]) <= sweep->setup.skin;
    map_window window = around(&sweep->map, &piece->way);
    size_t parted;

    if (!rapid && sweep->window.open && differs(&sweep->window, piece) &&
        !sweep_flush(sweep, err)) {
        return false;
    }
    if (deep && !run_list_find(&sweep->map, &window, sweep->setup.skin, &sweep->before)) {
        return th_fail_memory(err);
    }
    parted = rapid ? 0 : sweep->window.taken.parted;
    if (!(rapid ? take_rapid(sweep, piece, err) : put_to_step(sweep, piece, err))) {
        return false;
    }
    parted = (rapid ? sweep->rapid.parted : sweep->window.taken.parted) - parted;
    if (deep && parted && !look_for_pieces(sweep, &window, piece, err)) {
        return false;
    }
    return !sweep->window.open || !long_enough(sweep, &sweep->window) || sweep_flush(sweep, err);
}
