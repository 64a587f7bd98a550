/* answer_steps.c - the steps of a run as they come by: the worst of every line and kind of place,
 * and what the flexible plate makes of them. */
#include "answer.h"
#include "sweep.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* An edge reaches this many diameters of the cutter in, or this share of the piece. */
#define EDGE_DIAMETERS 1.5
#define SMALL 0.3 /* share of the box of a part, below which a piece is hardly the part itself */
#define EDGE_SHARE 0.15

/* From one class of thickness to the next, and the power of the thickness by which traction grows
 * under a small patch. */
#define THINNER 1.5
#define GROWS 1.5

/* How far a step may be in plan from where it was noted (mm), or as a share of its way; and in
 * height, beside what it sinks itself (mm). */
#define MEETING 0.3
#define REACHES 0.55
#define SAME_LEVEL 0.01

/* How far the bonded area of its piece may be from what was noted, as a share of it. */
#define ALIKE 0.1

/* A step that holds so many times more than was noted hardly cuts: the load is another. */
#define IDLE 3

/* ---- kinds of places -------------------------------------------------------------------------
 */

/* Whether x lies at one of two ends. */
static bool at_end(double x, double low, double high, double reach) {
    double in = fmax(reach, EDGE_SHARE * (high - low));

    return x < low + in || x > high - in;
}

/* What came out of the part says nothing of the part, though it may count as one. */
static int bends_like(const answer *a, th_piece_kind kind, double area) {
    const th_part *part = &a->options->job->part;
    bool small = area < SMALL * part->length * part->width;

    return kind == TH_PIECE_PART && small ? TH_PIECE_SLUG : (int)kind;
}

/* What is left below a step, as a class: each THINNER times as thin as the one before, and the last
 * one for what is cut through, which pushes at a wall and no floor. */
static int thickness_class(const answer *a, const th_step_load *load) {
    double thinner = a->options->job->part.thickness / load->low;

    if (load->low <= SKIN_JOINS) {
        return THICKNESSES - 1;
    }
    return (int)fmin(fmax(log(thinner) / log(THINNER), 0), THICKNESSES - 2);
}

/* The bending of a floor goes by its thickness. */
static double bends_to(const answer *a, const th_step_load *load) {
    bool floor = load->chip_load > 0 && load->low > SKIN_JOINS;
    double thick = a->options->job->part.thickness;

    return load->hold_factor * (floor ? pow(fmin(load->low / thick, 1), GROWS) : 1);
}

static int place_of(const answer *a, const th_step_load *load) {
    const th_sweep_piece *piece = th_sweep_piece_at(th_loads_sweep(a->loads), (size_t)load->piece);
    double reach = EDGE_DIAMETERS * fmax(load->radial, 1);
    int zone = 0, kind = (int)load->kind;

    if (piece) {
        zone = at_end(load->at[0], piece->box[0], piece->box[2], reach) +
               at_end(load->at[1], piece->box[1], piece->box[3], reach);
    }
    kind = piece ? bends_like(a, load->kind, piece->bonded.area) : kind;
    return load->chip_load > 0 ? (kind * 3 + zone) * THICKNESSES + thickness_class(a, load)
                               : PLACES_DOWN + kind * 3 + zone;
}

/* ---- lines -----------------------------------------------------------------------------------
 */

static bool room_for_line(answer *a, size_t line, th_error *err) {
    th_run *run = a->run;

    if (line >= a->line_capacity) {
        size_t capacity = a->line_capacity ? a->line_capacity : 1024;
        while (capacity <= line) {
            capacity *= 2;
        }
        th_line_load *lines = realloc(run->lines, capacity * sizeof *lines);
        if (!lines) {
            return th_fail_memory(err);
        }
        run->lines = lines;
        a->line_capacity = capacity;
    }
    for (; run->line_count <= line; run->line_count++) {
        run->lines[run->line_count] =
            (th_line_load){.area_factor = INFINITY, .hold_factor = INFINITY};
    }
    return true;
}

static bool plunges(const answer *a, const th_step_load *load) {
    const th_cutter *cutter = answer_cutter_of(a->loads, load->tool);

    return !(load->chip_load > 0) && cutter && cutter->kind != TH_DRILL;
}

/* A line keeps its worst step by the area model; with the bending in it another may be worst, so
 * what it holds in each cell is kept too. */
static bool note_line(answer *a, const place_step *step, th_error *err) {
    const th_step_load *load = &step->load;
    size_t line = load->line > 0 ? (size_t)load->line : 0;
    th_line_load *kept;

    if (line >= LINES_MOST) {
        return true;
    }
    if (!room_for_line(a, line, err) || !answer_visit(a, line, step, err)) {
        return false;
    }
    kept = &a->run->lines[line];
    if ((float)load->hold_factor < kept->area_factor) {
        *kept = (th_line_load){.area_factor = (float)load->hold_factor,
                               .hold_factor = (float)load->hold_factor,
                               .force = (float)fmax(load->in_plane_peak, load->lift_peak),
                               .radial = (float)load->radial,
                               .low = (float)load->low,
                               .high = (float)load->high,
                               .max_chip = (float)load->max_chip,
                               .temperature = (float)load->temperature,
                               .plunges = plunges(a, load)};
        for (int i = 0; i < 3; i++) {
            kept->at[i] = (float)load->at[i];
        }
    }
    return true;
}

static void keep_worst(place_list *list, size_t most, const place_step *step) {
    size_t at = list->count;

    if (at == most && !(step->bent < list->steps[at - 1].bent)) {
        return;
    }
    for (size_t i = 0; i < list->count; i++) {
        at = list->steps[i].load.line == step->load.line ? i : at;
    }
    if (at < list->count && !(step->bent < list->steps[at].bent)) {
        return;
    }
    list->count += at == list->count && at < most;
    at = at < list->count ? at : list->count - 1;
    for (; at > 0 && list->steps[at - 1].bent > step->bent; at--) {
        list->steps[at] = list->steps[at - 1];
    }
    list->steps[at] = *step;
}

bool answer_note(void *context, const th_step_load *load, th_error *err) {
    answer *a = context;
    int place;

    answer_tell(a);
    note_tool(a, load);
    if (!load->counts) {
        return true;
    }
    note_round(a, load);
    place = place_of(a, load);
    if (!a->places[place].steps) {
        a->places[place].steps =
            th_arena_take(&a->run->arena, a->kept_most * sizeof *a->places[place].steps);
    }
    if (!a->places[place].steps) {
        return th_fail_memory(err);
    }
    place_step step = {.load = *load, .bent = bends_to(a, load)};
    if (!answer_cells_note(a, place, &step, err)) {
        return false;
    }
    keep_worst(&a->places[place], a->kept_most, &step);
    return note_line(a, &step, err);
}

/* ---- the plate -------------------------------------------------------------------------------
 */

/* Where the plate has no answer (a sliver, no tape below) the place is left to the others. */
static bool ask_plate(answer *a, place_step *step, const th_step_load *now, th_error *err) {
    th_error inner = {0};

    step->asked = th_loads_plate(a->loads, &step->answer, &inner);
    if (!step->asked && inner.code == TH_NO_MEMORY) {
        return th_fail_memory(err);
    }
    step->ratio = !step->asked || !(now->hold_factor > 0) ? 1
                  : step->answer.hold_factor > 0
                      ? fmax(now->hold_factor / step->answer.hold_factor, 1)
                      : INFINITY;
    a->run->plates_asked += step->asked;
    return true;
}

/* Whether a step is of a line. One that is too short for a step of its own here, where steps are
 * longer, is told as another: what is cut now tells of which, and what is held again later has been
 * told so before. */
static bool is_of(const th_loads *loads, const th_step_load *load, int line) {
    const step_window *window = &loads->sweep->window;
    bool found = load->line == line;

    for (int i = 0; i < window->line_count && !load->freeing; i++) {
        found = found || window->lines[i].line == line;
    }
    return found ||
           (line > 0 && (size_t)line < loads->shared_count && loads->shared[line].of == load->line);
}

/* The step that was noted, on a map of other cells, where steps may be longer. A line may come by
 * at many levels: only the one that was noted will do. A piece may come off a step later there, and
 * what the whole of it bends is nothing to what is left. */
static bool meets(const answer *a, const place_step *step, const th_step_load *load) {
    const th_step_load *noted = &step->load;
    double away = hypot(noted->at[0] - load->at[0], noted->at[1] - load->at[1]);

    return !step->met && noted->freeing == load->freeing && noted->kind == load->kind &&
           away < fmax(MEETING, REACHES * a->loads->across) &&
           fabs(noted->at[2] - load->at[2]) < SAME_LEVEL + 0.5 * fabs(a->loads->sinks) &&
           fabs(noted->bonded_area - load->bonded_area) < ALIKE * noted->bonded_area &&
           load->hold_factor <= IDLE * noted->hold_factor && is_of(a->loads, load, noted->line);
}

bool answer_ask(void *context, const th_step_load *load, th_error *err) {
    answer *a = context;

    for (size_t i = 0; i < a->ask_count; i++) {
        if (meets(a, a->asks[i], load)) {
            a->asks[i]->met = true;
            a->met++;
            answer_tell_now(a);
            if (!ask_plate(a, a->asks[i], load, err)) {
                return false;
            }
        }
    }
    if (a->met == a->ask_count) {
        a->stopped = true;
        return th_fail(err, TH_BAD_USAGE, "all steps are asked");
    }
    return true;
}

/* ---- what bending makes of it ----------------------------------------------------------------
 */

/* Of a thickness that was not asked, by the others of its place: a thinner floor bends more, and a
 * thicker one by the power of its thickness less. INFINITY: none was asked. */
static double bending_beside(const place_list *list, int at) {
    double found = INFINITY;

    for (int i = 0; i + 1 < THICKNESSES && at + 1 < THICKNESSES; i++) {
        double over = i < at ? pow(THINNER, GROWS * (at - i)) : 1;
        found = list[i].bending > 0 ? fmin(found, list[i].bending * over) : found;
    }
    return found;
}

static double set_asked(answer *a) {
    double most = 1;

    for (size_t i = 0; i < a->cells.count; i++) {
        const place_cell *cell = &a->cells.items[i];
        place_list *list = &a->places[cell->place];
        list->bending = cell->worst.asked ? fmax(list->bending, cell->worst.ratio) : list->bending;
        most = fmax(most, list->bending);
    }
    return most;
}

/* Kind of the piece of a kind of place. */
static int piece_of(int place) {
    return place < PLACES_DOWN ? place / (3 * THICKNESSES) : (place - PLACES_DOWN) / 3;
}

/* Where nothing like it was asked: the most of such pieces, or of any. */
static double bending_of_others(const answer *a, int place, double most) {
    double found = 0;

    for (int other = 0; other < PLACE_KINDS; other++) {
        found = piece_of(other) == piece_of(place) ? fmax(found, a->places[other].bending) : found;
    }
    return found > 0 ? found : most;
}

static void set_bending(answer *a) {
    double most = set_asked(a), guessed[PLACE_KINDS];

    for (int place = 0; place < PLACE_KINDS; place++) {
        int at = place % THICKNESSES;
        guessed[place] =
            place < PLACES_DOWN ? bending_beside(&a->places[place - at], at) : INFINITY;
        guessed[place] =
            isfinite(guessed[place]) ? guessed[place] : bending_of_others(a, place, most);
    }
    for (int place = 0; place < PLACE_KINDS; place++) {
        a->places[place].bending =
            a->places[place].bending > 0 ? a->places[place].bending : guessed[place];
    }
    a->run->bending = a->run->plates_asked > 0 ? most : (double)NAN;
}

/* In a cell: as it was told there, where the plate was asked in it. */
static double bent_factor(const answer *a, size_t cell, double hold_factor) {
    const place_cell *in = &a->cells.items[cell];

    return hold_factor / (in->worst.asked ? in->worst.ratio : a->places[in->place].bending);
}

/* A line among the worst, and what the step that it is told by holds itself. */
typedef struct {
    th_worst_line line;
    double own;
} ranked_line;

typedef struct {
    ranked_line *lines; /* the lowest hold factor first */
    size_t count, most;
} ranking;

/* Each line once, by the step that holds least. */
static void rank_line(ranking *r, const ranked_line *one) {
    size_t at = r->count;

    for (size_t k = 0; k < r->count; k++) {
        at = r->lines[k].line.load.line == one->line.load.line ? k : at;
    }
    if (at < r->count) { /* its place stays, as the factor is that of the line */
        r->lines[at] = one->own < r->lines[at].own ? *one : r->lines[at];
        return;
    }
    if (at == r->most && !(one->line.hold_factor < r->lines[at - 1].line.hold_factor)) {
        return;
    }
    r->count += r->count < r->most;
    at = r->count - 1;
    for (; at > 0 && r->lines[at - 1].line.hold_factor > one->line.hold_factor; at--) {
        r->lines[at] = r->lines[at - 1];
    }
    r->lines[at] = *one;
}

static th_line_load *line_of(const answer *a, const place_step *step) {
    size_t line = step->load.line > 0 ? (size_t)step->load.line : 0;

    return line < a->run->line_count ? &a->run->lines[line] : NULL;
}

static void rank_step(const answer *a, const place_step *step, ranking *r) {
    const th_line_load *line = line_of(a, step);
    double own = bent_factor(a, step->cell, step->load.hold_factor);
    ranked_line one = {{.load = step->load,
                        .hold_factor = line ? fmin((double)line->hold_factor, own) : own,
                        .asked = step->asked,
                        .bent = step->answer,
                        .text = ""},
                       own};

    rank_line(r, &one);
}

static bool rank_worst(answer *a, th_error *err) {
    ranking r = {th_arena_take(&a->run->arena, a->worst_most * sizeof *r.lines), 0, a->worst_most};

    if (!r.lines) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < a->cells.count; i++) { /* of steps as low, one that was asked */
        rank_step(a, &a->cells.items[i].worst, &r);
    }
    for (size_t i = 0; i < a->cells.count; i++) {
        rank_step(a, &a->cells.items[i].least, &r);
    }
    for (int place = 0; place < PLACE_KINDS; place++) {
        for (size_t i = 0; i < a->places[place].count; i++) {
            rank_step(a, &a->places[place].steps[i], &r);
        }
    }
    for (size_t i = 0; i < r.count; i++) {
        a->run->worst[i] = r.lines[i].line;
    }
    a->run->worst_count = r.count;
    return true;
}

/* One figure for a line: the least that it holds in any of the cells that it was in. */
static void bend_lines(const answer *a) {
    for (size_t i = 0; i < a->run->line_count; i++) {
        a->run->lines[i].hold_factor = a->run->lines[i].area_factor;
    }
    for (size_t i = 0; i < a->visits.count; i++) {
        const line_visit *visit = &a->visits.items[i];
        float *least = &a->run->lines[visit->line].hold_factor;
        *least = fminf(*least, (float)bent_factor(a, visit->cell, (double)visit->least));
    }
}

/* A line too short for a step of its own is told as the one that its step is told of. */
static bool tell_shared(answer *a, th_error *err) {
    const shared_line *shared = a->shared;
    size_t told = a->run->line_count, last = 0;

    for (size_t line = 0; line < a->shared_count; line++) {
        last = shared[line].of ? line : last;
    }
    if (last >= told && !room_for_line(a, last, err)) {
        return false;
    }
    for (size_t line = 0; line <= last && last > 0; line++) {
        size_t of = (size_t)shared[line].of;
        if (of > 0 && of < told && isinf(a->run->lines[line].area_factor)) {
            a->run->lines[line] = a->run->lines[of];
        }
    }
    return true;
}

/* What must stay is told with the bending of the line that it holds least in. The line's own figure
 * may be that of another piece. */
static void bend_loose(const th_run *run, th_loose *loose) {
    size_t line = (size_t)loose->worst_line;

    if (loose->counts && loose->worst_line > 0 && line < run->line_count &&
        run->lines[line].area_factor > 0) {
        loose->hold_factor *=
            fmin((double)(run->lines[line].hold_factor / run->lines[line].area_factor), 1);
    }
}

bool answer_bend(answer *a, th_error *err) {
    th_run *run = a->run;

    set_bending(a);
    bend_lines(a);
    if (!rank_worst(a, err) || !tell_shared(a, err)) {
        return false;
    }
    for (size_t i = 0; i < run->line_count; i++) {
        run->hold_factor = fmin(run->hold_factor, (double)run->lines[i].hold_factor);
        run->short_lines += isfinite(run->lines[i].area_factor) &&
                            (double)run->lines[i].hold_factor < run->asked_factor;
    }
    for (size_t i = 0; i < run->loose_count; i++) {
        bend_loose(run, &run->loose[i]);
    }
    return true;
}
