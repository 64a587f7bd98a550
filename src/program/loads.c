/* loads.c - the steps of a sweep, each held against the piece that it cuts. */
#include "loads.h"
#include "tabs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    LOG_MOST = 200000, /* steps that cut through, kept to be held again */
    ROUND = 24         /* places looked at round a cutter */
};

/* From a sharp corner of a path the stock's corner is this many radii away. */
#define CORNER_REACH 1.41421356237309504880
#define SKIN_ALONE 0.99 /* share of what a step takes */

/* ---- what is kept
 * -------------------------------------------------------------------------------- */

bool loads_room_for_line(th_loads *loads, size_t line, th_error *err) {
    if (line >= loads->line_capacity) {
        size_t capacity = loads->line_capacity ? loads->line_capacity : 1024;
        while (capacity <= line) {
            capacity *= 2;
        }
        float *list = realloc(loads->by_line, capacity * sizeof *list);
        if (!list) {
            return th_fail_memory(err);
        }
        loads->by_line = list;
        loads->line_capacity = capacity;
        loads->result.by_line = list;
    }
    for (; loads->result.line_count <= line; loads->result.line_count++) {
        loads->by_line[loads->result.line_count] = INFINITY;
    }
    return true;
}

static bool note_line(th_loads *loads, const th_step_load *load, th_error *err) {
    size_t line = load->line > 0 ? (size_t)load->line : 0;

    if (line >= LINES_MOST) {
        return true;
    }
    if (!loads_room_for_line(loads, line, err)) {
        return false;
    }
    loads->by_line[line] = fminf(loads->by_line[line], (float)load->hold_factor);
    return true;
}

static void keep_worst(th_load_result *result, const th_step_load *load) {
    size_t at = result->worst_count, i;

    for (i = 0; i < result->worst_count; i++) {
        if (result->worst[i].line == load->line) {
            at = i;
        }
    }
    if (at < result->worst_count && !(load->hold_factor < result->worst[at].hold_factor)) {
        return;
    }
    if (at == TH_WORST_LINES) {
        at--;
        if (!(load->hold_factor < result->worst[at].hold_factor)) {
            return;
        }
    }
    for (; at > 0 && result->worst[at - 1].hold_factor > load->hold_factor; at--) {
        result->worst[at] = result->worst[at - 1];
    }
    result->worst[at] = *load;
    if (at == result->worst_count) {
        result->worst_count++;
    }
}

static void keep_lowest(th_loose *loose, const th_step_load *load) {
    if (load->hold_factor < loose->hold_factor) {
        loose->hold_factor = load->hold_factor;
        loose->worst_line = load->line;
    }
}

/* A piece that is free is told with the least that it holds from then on. */
static void keep_lowest_of_piece(th_loads *loads, const th_step_load *load) {
    size_t piece = load->piece < 0 ? loads->piece_count : (size_t)load->piece;

    if (piece < loads->piece_count && loads->pieces[piece].loose) {
        keep_lowest(&loads->result.loose[loads->pieces[piece].loose - 1], load);
    }
}

static bool book(th_loads *loads, const th_step_load *load, th_error *err) {
    th_load_result *result = &loads->result;

    if (loads->each && !loads->each(loads->context, load, err)) {
        return false;
    }
    keep_lowest_of_piece(loads, load);
    result->peak_force = fmax(result->peak_force, load->in_plane_peak);
    result->peak_power = fmax(result->peak_power, load->power);
    if (!load->counts) {
        return true;
    }
    if (load->temperature > result->warmest) {
        result->warmest = load->temperature;
        result->warmest_line = load->line;
    }
    if (load->sway > result->sway) {
        result->sway = load->sway;
        result->sway_line = load->line;
    }
    result->hold_factor = fmin(result->hold_factor, load->hold_factor);
    keep_worst(result, load);
    return note_line(loads, load, err);
}

/* ---- what lies round a cutter
 * -------------------------------------------------------------------- */

/* The cell at the k-th of the places round it; false: off the map. */
static bool cell_beside(const th_height_map *map, const double at[3], double reach, int k,
                        size_t *cell) {
    double angle = 2 * TH_PI * k / ROUND;
    double column = (at[0] + reach * cos(angle) - map->x0) / map->cell;
    double row = (at[1] + reach * sin(angle) - map->y0) / map->cell;
    bool on = column >= 0 && row >= 0 && column < (double)map->columns && row < (double)map->rows;

    *cell = on ? (size_t)row * map->columns + (size_t)column : 0;
    return on;
}

/* ---- steps
 * --------------------------------------------------------------------------------------- */

static double wear_of(const th_loads *loads, const th_step *step) {
    double any = 1;

    for (size_t i = 0; i < loads->tool_count; i++) {
        if (loads->tools[i].number == step->tool) {
            return loads->tools[i].wear;
        }
        any = loads->tools[i].number == -1 ? loads->tools[i].wear : any;
    }
    return any;
}

static bool log_step(th_loads *loads, const opening_step *step, th_error *err) {
    loads->cuts++;
    if (loads->log_count == loads->log_capacity && loads->log_capacity < LOG_MOST) {
        size_t capacity = loads->log_capacity ? 2 * loads->log_capacity : 256;
        opening_step *log;
        capacity = capacity < LOG_MOST ? capacity : LOG_MOST;
        log = realloc(loads->log, capacity * sizeof *log);
        if (!log) {
            return th_fail_memory(err);
        }
        loads->log = log;
        loads->log_capacity = capacity;
    }
    if (loads->log_count == loads->log_capacity) {
        loads->log[loads->log_first] = *step;
        loads->log_first = (loads->log_first + 1) % loads->log_capacity;
        loads->result.passed_over++;
        return true;
    }
    loads->log[loads->log_count++] = *step;
    return true;
}

static double held_of(const th_job *job, double seconds) {
    return isnan(job->hold.cutting_time) ? seconds : job->hold.cutting_time;
}

/* Other pieces that a place has beside it, higher than `floor` (mm), each once; gives how many. */
static size_t pieces_beside(const th_loads *loads, const th_step *step, double floor,
                            size_t beside[ROUND]) {
    th_height_map map = th_sweep_map(loads->sweep);
    double reach = step->cutter->diameter / 2 * CORNER_REACH + 2 * map.cell;
    size_t count = 0;

    for (int k = 0; k < ROUND; k++) {
        size_t cell, i = 0;
        if (!cell_beside(&map, step->at, reach, k, &cell) || !((double)map.heights[cell] > floor) ||
            (int)map.pieces[cell] == step->piece) {
            continue;
        }
        while (i < count && beside[i] != map.pieces[cell]) {
            i++;
        }
        beside[i] = map.pieces[cell];
        count += i == count;
    }
    return count;
}

/* What else a step pulls at: other pieces that it cuts too, and all that is beside a tab or the
 * skin in a kerf, which are cut. */
static size_t pulls_at(const th_loads *loads, const th_step *step,
                       size_t pieces[ROUND + TH_STEP_ALSO]) {
    bool ties = step->of_tabs > 0 || step->of_skin > 0;
    size_t count = ties ? pieces_beside(loads, step, 0, pieces) : 0;

    for (int k = 0; k < TH_STEP_ALSO && step->also[k] >= 0; k++) {
        size_t i = 0;
        while (i < count && pieces[i] != (size_t)step->also[k]) {
            i++;
        }
        pieces[i] = (size_t)step->also[k];
        count += i == count;
    }
    return count;
}

/* Whether a cell is more than what a kerf beside the part has left. */
static bool is_no_rest(const th_loads *loads, size_t cell) {
    th_height_map map = th_sweep_map(loads->sweep);
    th_point at = th_map_sample(&map, cell % map.columns, cell / map.columns);

    return (double)map.heights[cell] > SKIN_JOINS || loads_in_part(loads, (double[2]){at.x, at.y});
}

/* What came out of an opening: the cut round it was made through the part, which was held then. */
static bool is_slug(const th_loads *loads, size_t piece) {
    return piece < loads->piece_count && loads->pieces[piece].known &&
           loads->pieces[piece].kind == TH_PIECE_SLUG;
}

/* Whether a cutter has the piece beside it, and something else that this may come off. */
static void see_beside(const th_loads *loads, const th_step *step, size_t piece, bool *here,
                       bool *other) {
    th_height_map map = th_sweep_map(loads->sweep);
    const double *box = th_sweep_piece_at(loads->sweep, piece)->box;
    double reach = step->cutter->diameter / 2 * CORNER_REACH + 2 * map.cell;

    *here = *other = false;
    if (step->at[0] < box[0] - reach || step->at[0] > box[2] + reach ||
        step->at[1] < box[1] - reach || step->at[1] > box[3] + reach) {
        return;
    }
    for (int k = 0; k < ROUND; k++) {
        size_t cell;
        if (cell_beside(&map, step->at, reach, k, &cell) && map.heights[cell] > 0) {
            bool own = map.pieces[cell] == piece;
            *here = *here || (own && is_no_rest(loads, cell));
            *other = *other || (!own && !is_slug(loads, map.pieces[cell]));
        }
    }
}

/* What a step pulls at first: what it cuts. But what a kerf has left counts to one of the pieces
 * that came apart there, also where a way leads off that has another on both its sides, or what is
 * left of that. */
static size_t cuts_at(const th_loads *loads, const th_step *step) {
    size_t beside[ROUND];
    bool here, other;

    if (!(step->of_skin > SKIN_ALONE * step->removed)) {
        return (size_t)step->piece;
    }
    see_beside(loads, step, (size_t)step->piece, &here, &other);
    if (!here && (pieces_beside(loads, step, SKIN_JOINS, beside) > 0 ||
                  pieces_beside(loads, step, 0, beside) > 0)) {
        return beside[0];
    }
    return (size_t)step->piece;
}

static bool hold_others(th_loads *loads, const load_case *one, th_error *err) {
    size_t pieces[ROUND + TH_STEP_ALSO];
    size_t count = pulls_at(loads, one->step, pieces);

    for (size_t i = 0; i < count; i++) {
        load_case other = *one;
        th_step_load load;
        other.piece = pieces[i];
        if (pieces[i] == one->piece) {
            continue;
        }
        if (!loads_hold(loads, &other, &load, err) || !book(loads, &load, err)) {
            return th_fail_place(err, NULL, one->step->line);
        }
    }
    return true;
}

static bool take_step(void *context, const th_step *step, th_error *err) {
    th_loads *loads = context;
    const th_job *job = loads->job;
    double seconds = th_sweep_sums_of(loads->sweep).cutting;
    opening_step opening = {
        loads->cuts, *step, wear_of(loads, step), held_of(job, seconds), {.tape = 0}};
    load_case one = {step, opening.wear, opening.held, &opening.warmth, 0, false};
    th_step_load load;

    loads_stock_stands(loads, step->line);
    if (step->piece < 0 || !(step->speed > 0) || step->spindle <= 0) {
        return true; /* the sweep has a finding for it: backwards a cutter does not cut */
    }
    one.piece = cuts_at(loads, step);
    if (!loads_warmth(loads, &one, &opening.warmth, err) || !loads_hold(loads, &one, &load, err)) {
        return th_fail_place(err, NULL, step->line);
    }
    return book(loads, &load, err) && hold_others(loads, &one, err) &&
           loads_share(loads, step, err) && loads_late_step(loads, step, err) &&
           loads_tied_step(loads, step, err) &&
           (!(step->low <= SKIN_JOINS) || log_step(loads, &opening, err));
}

/* ---- pieces
 * -------------------------------------------------------------------------------------- */

static bool cut_between(const th_loads *loads, const th_step *step, size_t piece) {
    bool here, other;

    see_beside(loads, step, piece, &here, &other);
    return here && other;
}

static bool hold_one_again(th_loads *loads, const opening_step *entry, size_t piece,
                           th_step_load *load, th_error *err) {
    load_case one = {&entry->step, entry->wear, entry->held, &entry->warmth, piece, true};
    const piece_state *state;
    step_warmth warmth;

    if (!loads_piece(loads, piece, &state, err)) {
        return false;
    }
    if (state->counts) {
        warmth = loads_warmth_alone(loads, &entry->warmth,
                                    th_sweep_piece_at(loads->sweep, piece)->bonded.area);
        one.warmth = &warmth;
    }
    return loads_hold(loads, &one, load, err) && book(loads, load, err);
}

/* What cut a piece free was held by all of it then, though it is cut in two later. 0: it was not
 * free. */
static size_t cuts_before(const th_loads *loads, size_t piece) {
    return piece < loads->piece_count && loads->pieces[piece].loose ? loads->pieces[piece].cuts : 0;
}

/* Whether a third piece stands beside a step: it may have been between that and one of the two, as
 * where a later cut crosses it. */
static bool third_beside(const th_loads *loads, const th_step *step, const int pair[2]) {
    th_height_map map = th_sweep_map(loads->sweep);
    double reach = step->cutter->diameter / 2 * CORNER_REACH + 2 * map.cell;

    for (int k = 0; k < ROUND; k++) {
        size_t cell;
        if (cell_beside(&map, step->at, reach, k, &cell) &&
            (double)map.heights[cell] > SKIN_JOINS && (int)map.pieces[cell] != pair[0] &&
            (int)map.pieces[cell] != pair[1]) {
            return true;
        }
    }
    return false;
}

/* Which steps cut a piece off another. */
typedef struct {
    int pair[2]; /* the piece, and the rest that it came off */
    size_t from; /* the first that may have */
    bool alone;  /* of a rest that was free before: but those with a third piece beside */
} cut_off;

static bool cuts_off(const th_loads *loads, const opening_step *entry, const cut_off *one) {
    bool after = entry->number >= one->from;

    return after && cut_between(loads, &entry->step, (size_t)one->pair[0]) &&
           (one->from == 0 || cut_between(loads, &entry->step, (size_t)one->pair[1])) &&
           !(one->alone && third_beside(loads, &entry->step, one->pair));
}

static cut_off cut_off_of(const th_loads *loads, const th_loose *loose, const th_loose *rest) {
    cut_off one = {{loose->piece, rest->piece}, cuts_before(loads, (size_t)rest->piece), false};

    one.alone = one.from > 0;
    for (size_t i = 0; i < loads->log_count && one.alone; i++) {
        if (cuts_off(loads, &loads->log[i], &one)) {
            return one;
        }
    }
    one.alone = false; /* strips so narrow that a third is beside all along */
    return one;
}

/* The steps that cut it free, as if it had been free: on it, and on the rest that it came off. */
static bool hold_again(th_loads *loads, th_loose *loose, th_loose *rest, th_error *err) {
    cut_off one = cut_off_of(loads, loose, rest);

    for (size_t i = 0; i < loads->log_count; i++) {
        const opening_step *entry = &loads->log[i];
        th_step_load load;
        if (!cuts_off(loads, entry, &one)) {
            continue;
        }
        bool beside_rest = cut_between(loads, &entry->step, (size_t)rest->piece);
        if (beside_rest) { /* not round another copy */
            if (!hold_one_again(loads, entry, (size_t)rest->piece, &load, err)) {
                return th_fail_place(err, NULL, entry->step.line);
            }
            keep_lowest(rest, &load);
        }
        if (!hold_one_again(loads, entry, (size_t)loose->piece, &load, err)) {
            return th_fail_place(err, NULL, entry->step.line);
        }
        keep_lowest(loose, &load);
    }
    return true;
}

static bool put_loose(th_loads *loads, const th_loose *loose, th_error *err) {
    th_load_result *result = &loads->result;

    if (result->loose_count == loads->loose_capacity) {
        size_t capacity = loads->loose_capacity ? 2 * loads->loose_capacity : 16;
        th_loose *list = realloc(result->loose, capacity * sizeof *list);
        if (!list) {
            return th_fail_memory(err);
        }
        result->loose = list;
        loads->loose_capacity = capacity;
    }
    result->loose[result->loose_count++] = *loose;
    loads->pieces[loose->piece].loose = result->loose_count;
    loads->pieces[loose->piece].cuts = loads->cuts;
    return true;
}

static th_loose loose_of(const th_loads *loads, int piece, int line) {
    const th_sweep_piece *about = th_sweep_piece_at(loads->sweep, (size_t)piece);
    th_loose loose = {.piece = piece,
                      .from = about->from,
                      .line = line,
                      .area = about->bonded.area * loads->job->hold.coverage,
                      .hold_factor = INFINITY};

    memcpy(loose.box, about->box, sizeof loose.box);
    memcpy(loose.stands, about->box, sizeof loose.stands);
    return loose;
}

static bool tell_loose(th_loads *loads, th_loose *loose, th_error *err) {
    const piece_state *state;

    if (!loads_piece(loads, (size_t)loose->piece, &state, err) ||
        !loads_tied(loads, (size_t)loose->piece, &loose->tabs, err)) {
        return false;
    }
    loose->kind = state->kind;
    loose->copy = state->copy;
    loose->counts = state->counts;
    loose->untold = state->core > 0;
    return (loose->kind != TH_PIECE_PART ||
            loads_late_free(loads, (size_t)loose->piece, loose->copy, err)) &&
           put_loose(loads, loose, err);
}

/* Its box is that of all it was; the corners of its bond are as it is now. */
static void box_of_bond(const piece_state *state, double box[4]) {
    for (size_t i = 0; i < state->corner_count; i++) {
        th_point p = state->corners[i];
        box[0] = i == 0 ? p.x : fmin(box[0], p.x);
        box[1] = i == 0 ? p.y : fmin(box[1], p.y);
        box[2] = i == 0 ? p.x : fmax(box[2], p.x);
        box[3] = i == 0 ? p.y : fmax(box[3], p.y);
    }
}

/* What a piece was before another came off it, and that other one. */
typedef struct {
    th_piece_kind kind, off_kind;
    double off[4]; /* its box (mm) */
} rest_before;

/* Whether what is left lies all round a piece: that was a hole in it. */
static bool round_it(const double box[4], const double piece[4]) {
    return box[0] < piece[0] && box[1] < piece[1] && box[2] > piece[2] && box[3] > piece[3];
}

/* What a piece came off is as free as that piece once it is no stock any more, as no part is in it
 * that is still to be cut out; and where a part that is no piece of its own yet was cut in two. */
static bool tell_rest(th_loads *loads, th_loose *rest, const rest_before *was, th_error *err) {
    const piece_state *state;
    bool turned, halved;

    if (!loads_piece(loads, (size_t)rest->piece, &state, err)) {
        return false;
    }
    box_of_bond(state, rest->box);
    turned = state->kind != TH_PIECE_STOCK && state->kind != was->kind &&
             (was->kind == TH_PIECE_STOCK || was->kind == TH_PIECE_PART);
    halved = was->kind == TH_PIECE_PART && state->kind == TH_PIECE_PART && !state->loose &&
             was->off_kind == TH_PIECE_PART && !round_it(rest->box, was->off);
    return !(turned || halved) || tell_loose(loads, rest, err);
}

static bool take_loose(void *context, int piece, const th_sweep_piece *about, th_error *err) {
    th_loads *loads = context;
    th_loose loose = loose_of(loads, piece, about->line);
    th_loose rest = loose_of(loads, about->from, about->line);
    rest_before was = {.kind = loads->sheet ? TH_PIECE_STOCK : TH_PIECE_PART};

    if ((size_t)about->from < loads->piece_count) {
        piece_state *from = &loads->pieces[about->from];
        was.kind = from->known ? from->kind : was.kind;
        from->known = false;
    }
    if (!hold_again(loads, &loose, &rest, err) || !tell_loose(loads, &loose, err)) {
        return false;
    }
    was.off_kind = loose.kind;
    memcpy(was.off, loose.box, sizeof was.off);
    return tell_rest(loads, &rest, &was, err);
}

/* Whether the cutter was beside a piece, and not in the part. */
static bool cut_round(const th_loads *loads, const th_step *step, size_t piece) {
    const th_part *part = &loads->job->part;
    th_point by = th_copy_offset(loads->job, loads_copy_near(part, step->at) + 1);
    bool here, other;

    see_beside(loads, step, piece, &here, &other);
    return here &&
           !loads_encloses(&loads->part, (th_point){step->at[0] - by.x, step->at[1] - by.y});
}

/* A piece told as stock, with some of the kerf still on it, that is a part in the end. */
static bool tell_again(th_loads *loads, const th_loose *now, th_error *err) {
    const piece_state *state = &loads->pieces[now->piece];
    th_loose *loose = &loads->result.loose[state->loose - 1];

    loose->kind = state->kind;
    loose->copy = state->copy;
    loose->counts = state->counts;
    loose->area = now->area;
    if (now->hold_factor < loose->hold_factor) {
        loose->hold_factor = now->hold_factor;
        loose->worst_line = now->worst_line;
    }
    return loads_late_free(loads, (size_t)loose->piece, loose->copy, err);
}

/* Whether it was told before, and nothing but waste came off it since. */
static bool told_whole(const th_loads *loads, size_t piece) {
    size_t told = loads->pieces[piece].loose;

    for (size_t i = told; told > 0 && i < loads->result.loose_count; i++) {
        const th_loose *later = &loads->result.loose[i];
        if (loads_came_off(&loads->result, told - 1, later) &&
            (later->kind == TH_PIECE_PART || later->kind == TH_PIECE_STOCK)) {
            return false;
        }
    }
    return told > 0;
}

/* What is the part alone in the end, though it never came off anything or had more on it then, as
 * what was round it was milled away: the steps that did that are held as if it had been free. */
static bool tell_left(th_loads *loads, size_t piece, th_error *err) {
    th_loose loose = loose_of(loads, (int)piece, 0);
    size_t last = 0;

    for (size_t i = 0; i < loads->log_count; i++) {
        const opening_step *entry = &loads->log[i];
        th_step_load load;
        if (!cut_round(loads, &entry->step, piece)) {
            continue;
        }
        if (!hold_one_again(loads, entry, piece, &load, err)) {
            return th_fail_place(err, NULL, entry->step.line);
        }
        keep_lowest(&loose, &load);
        if (entry->number >= last) {
            last = entry->number;
            loose.line = entry->step.line;
        }
    }
    if (loose.line == 0) {
        return true;
    }
    return told_whole(loads, piece) ? tell_again(loads, &loose, err)
                                    : tell_loose(loads, &loose, err);
}

static bool left_alone(th_loads *loads, th_error *err) {
    for (size_t i = 0; loads->sheet && i < th_sweep_piece_count(loads->sweep); i++) {
        const piece_state *state;
        if (i >= loads->piece_count || loads->pieces[i].kind != TH_PIECE_STOCK ||
            !(th_sweep_piece_at(loads->sweep, i)->bonded.area > 0)) {
            continue;
        }
        loads->pieces[i].known = false;
        if (!loads_piece(loads, i, &state, err) ||
            (state->kind == TH_PIECE_PART && !tell_left(loads, i, err))) {
            return false;
        }
    }
    return true;
}

static bool stand(void *context, const th_move *move, th_error *err) {
    (void)err;
    loads_warm((th_loads *)context, 0, move->seconds);
    return true;
}

/* ---- making
 * -------------------------------------------------------------------------------------- */

static bool make_sweep(th_loads *loads, const th_load_setup *setup, th_error *err) {
    const th_job *job = setup->job;
    th_sweep_sink sink = {take_step, take_loose, stand, loads};
    th_sweep_setup sweep = {.stock = &loads->stock,
                            .taped = setup->taped,
                            .thickness = job->part.thickness,
                            .plate_top = -job->stack_height,
                            .table = -job->stack_height - job->hold.plate_thickness,
                            .zero = {job->zero.at.x, job->zero.at.y, job->zero.top},
                            .tools = setup->tools,
                            .tool_count = setup->tool_count,
                            .cell = setup->cell,
                            .memory = setup->memory,
                            .step = setup->step,
                            .skin = SKIN_JOINS,
                            .tabs = setup->tabs};

    if (job->hold.taped && !setup->taped) {
        return th_fail(err, TH_MISSING, "the outline %s was not read", job->hold.taped);
    }
    if (!job->zero.given) {
        return th_fail(err, TH_MISSING,
                       "the job has no [zero]: where the program's zero lies is not known. Write "
                       "[zero] with at = X,Y and top = Z");
    }
    return th_sweep_make(&sweep, &sink, &loads->sweep, err);
}

static bool fill_loads(th_loads *loads, const th_load_setup *setup, th_error *err) {
    const th_job *job = setup->job;

    loads->job = job;
    loads->tools = setup->tools;
    loads->tool_count = setup->tool_count;
    loads->goes = setup->goes;
    loads->sheet = !isnan(job->part.sheet_length);
    loads->each = setup->each;
    loads->context = setup->context;
    loads->result.hold_factor = INFINITY;
    loads->sway_stiffness = th_hold_sway_stiffness(job->hold.tape, job->hold.tape_below);
    if (!th_part_region(job, setup->outline, &loads->part, err) ||
        !th_stock_region(job, setup->outline, &loads->stock, err)) {
        return false;
    }
    if (!th_region_box(&loads->stock, loads->bounds)) {
        return th_fail(err, TH_BAD_RANGE, "the outline of the stock is empty");
    }
    loads->part_area = th_outline_section(&loads->part).area;
    loads->bowed_over =
        fmax(loads->bounds[2] - loads->bounds[0], loads->bounds[3] - loads->bounds[1]);
    return loads_heat_start(loads, err) && make_sweep(loads, setup, err);
}

bool th_loads_make(const th_load_setup *setup, th_loads **loads, th_error *err) {
    *loads = calloc(1, sizeof **loads);
    if (!*loads) {
        return th_fail_memory(err);
    }
    if (!fill_loads(*loads, setup, err)) {
        th_loads_free(*loads);
        *loads = NULL;
        return false;
    }
    return true;
}

void th_loads_free(th_loads *loads) {
    if (!loads) {
        return;
    }
    for (size_t i = 0; i < loads->piece_count; i++) {
        free(loads->pieces[i].corners);
    }
    th_sweep_free(loads->sweep);
    th_outline_free(&loads->part);
    th_outline_free(&loads->stock);
    force_table_free(&loads->forces);
    free(loads->rises);
    free(loads->tiles);
    free(loads->pieces);
    free(loads->log);
    run_list_free(&loads->joined);
    free(loads->shared);
    free(loads->late.cuts);
    th_tabs_free(&loads->late.tabs);
    free(loads->wrenches);
    free(loads->weights);
    free(loads->by_line);
    free(loads->result.loose);
    free(loads);
}

bool th_loads_move(void *context, const th_move *move, th_error *err) {
    return th_sweep_move(((th_loads *)context)->sweep, move, err);
}

bool th_loads_end(th_loads *loads, th_error *err) {
    return th_sweep_end(loads->sweep, err) && left_alone(loads, err) && loads_extents(loads, err) &&
           loads_tell_shared(loads, err);
}

static bool in_part(const void *context, double x, double y) {
    double at[2] = {x, y};

    return loads_in_part(context, at);
}

bool th_loads_tabs(const th_loads *loads, th_tabs *tabs, th_error *err) {
    tab_search search = {loads->sweep, in_part, loads};

    *tabs = (th_tabs){.bits = NULL};
    return !loads->sheet || ((loads->sweep->map.apart || tabs_find(&search, tabs, err)) &&
                             tabs_add(tabs, &loads->late.tabs, err));
}

const th_sweep *th_loads_sweep(const th_loads *loads) {
    return loads->sweep;
}

const th_load_result *th_loads_result(th_loads *loads) {
    loads->result.turns = loads->forces.made;
    return &loads->result;
}
