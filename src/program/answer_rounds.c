/* answer_rounds.c - copies of the part that are milled beside: whether they come free, and how thin
 * a skin holds them. */
#include "answer.h"
#include "loads.h"

#include <math.h>

/* Of a tab some is left to the part as far as the kerf is wide, or a little further (cutters). */
#define BEYOND 1.25

/* Of the area of the part, up to which a piece is no more than that. */
#define CRUMBS 1.02

bool answer_rounds_make(answer *a, th_error *err) {
    const th_part *part = &a->options->job->part;

    a->copies = (size_t)(part->copies.a > 1 ? part->copies.a : 1) *
                (size_t)(part->copies.b > 1 ? part->copies.b : 1);
    a->rounds = th_arena_take(&a->run->arena, a->copies * sizeof *a->rounds);
    for (size_t i = 0; a->rounds && i < a->copies; i++) {
        a->rounds[i] = (copy_round){.line = 0};
    }
    return a->rounds || th_fail_memory(err);
}

static bool in_box(const th_job *job, int copy, const double at[2]) {
    th_point by = th_copy_offset(job, copy + 1);
    double x = at[0] - by.x, y = at[1] - by.y;

    return x >= 0 && y >= 0 && x <= job->part.length && y <= job->part.width;
}

/* Whether a cutter there leaves a wall of the copy. */
static bool along_copy(const answer *a, int copy, const double at[2]) {
    const th_part *part = &a->options->job->part;
    th_point by = th_copy_offset(a->options->job, copy + 1);
    double reach = 0.5 * BEYOND * a->loads->diameter;

    return at[0] > by.x - reach && at[1] > by.y - reach && at[0] < by.x + part->length + reach &&
           at[1] < by.y + part->width + reach;
}

static void note_skin(const answer *a, int copy, const th_step_load *load) {
    copy_round *round = &a->rounds[copy];
    double out = fmax(CUT_OUT * a->options->job->part.thickness, SKIN_SURE);

    if (load->low < out * (1 - 1e-9) && along_copy(a, copy, load->at) &&
        (!round->thin_line || load->low < round->thin)) {
        round->thin_line = load->line;
        round->thin = load->low;
    }
}

bool skin_in_doubt(double thick) {
    return thick < SKIN_SURE * (1 - 1e-9);
}

static void note_beside(const answer *a, int copy, const th_step_load *load) {
    copy_round *round = &a->rounds[copy];
    double across = a->loads->diameter;

    if (!(load->low < SKIN_JOINS)) {
        note_skin(a, copy, load);
        return;
    }
    round->across = round->line ? fmin(round->across, across) : across;
    round->line = round->line ? round->line : load->line;
}

/* Of the copy that is nearest, and of those beside it whose wall the cutter leaves too. */
void note_round(answer *a, const th_step_load *load) {
    const th_job *job = a->options->job;
    int columns = job->part.copies.a > 1 ? job->part.copies.a : 1;
    int near = loads_copy_near(&job->part, load->at), column = near % columns;

    if (isnan(job->part.sheet_length) || !(load->radial > 0) || in_box(job, near, load->at)) {
        return;
    }
    for (int i = -1; i <= 1; i++) {
        for (int k = -1; k <= 1; k++) {
            int copy = near + i * columns + k;
            bool on =
                copy >= 0 && (size_t)copy < a->copies && column + k >= 0 && column + k < columns;
            if (copy == near || (on && along_copy(a, copy, load->at))) {
                note_beside(a, copy, load);
            }
        }
    }
}

const copy_round *answer_thin_skin(const answer *a) {
    const copy_round *found = NULL;

    for (size_t i = 0; i < a->copies; i++) {
        const copy_round *round = &a->rounds[i];
        if (!round->line && round->thin_line && (!found || round->thin < found->thin)) {
            found = round;
        }
    }
    return found;
}

/* Whether nothing of a piece stands beyond what was milled beside a copy. */
static bool within(const answer *a, size_t copy, const double box[4]) {
    const th_part *part = &a->options->job->part;
    th_point by = th_copy_offset(a->options->job, (int)copy + 1);
    double reach = BEYOND * a->rounds[copy].across + 2 * a->run->cell;

    return box[0] > by.x - reach && box[1] > by.y - reach && box[2] < by.x + part->length + reach &&
           box[3] < by.y + part->width + reach;
}

/* A piece of the part that reaches beyond the kerf is still joined to something. The piece that was
 * the stock may be a part in the end. */
bool answer_rounds_end(answer *a, th_error *err) {
    const th_sweep *sweep = th_loads_sweep(a->loads);

    for (size_t i = 0; i < th_sweep_piece_count(sweep); i++) {
        const th_sweep_piece *piece = th_sweep_piece_at(sweep, i);
        const piece_state *state;
        if (!(piece->bonded.area > 0)) {
            continue;
        }
        if (!loads_piece(a->loads, i, &state, err)) {
            return false;
        }
        if (state->kind == TH_PIECE_PART && state->copy > 0 && (size_t)state->copy <= a->copies) {
            size_t copy = (size_t)state->copy - 1;
            /* crumbs of what a column was may lie farther off */
            bool alone = piece->bonded.area < CRUMBS * a->loads->part_area;
            a->rounds[copy].free = a->rounds[copy].free || alone || within(a, copy, piece->box);
        }
    }
    return true;
}
