/* moves.c - programs made move by move. */
#include "support/moves.h"

#include <stdlib.h>
#include <string.h>

static bool take(void *context, const th_step_load *load, th_error *err) {
    bench *b = context;

    if (b->plate && load->chip_load > 0 && load->at[0] > b->plate_x) {
        b->plate = false;
        if (!th_loads_plate(b->loads, &b->bent, err)) {
            return false;
        }
    }
    if (b->count < STEPS_MOST) {
        b->steps[b->count++] = *load;
    }
    return true;
}

void start_taped(bench *b, const th_job *job, const th_outline *taped) {
    const th_job_cutter *cutter = &job->cutters[0];
    const th_cut *cut = &job->cuts[0];
    th_error err;

    *b = (bench){.tool = {-1, &cutter->row, cutter->wear},
                 .at = {0, 0, 20},
                 .feed = cut->feed,
                 .speed = cut->speed,
                 .steps = malloc(STEPS_MOST * sizeof *b->steps)};
    assert_non_null(b->steps);
    th_load_setup setup = {
        .job = job, .tools = &b->tool, .tool_count = 1, .taped = taped, .each = take, .context = b};
    if (!th_loads_make(&setup, &b->loads, &err)) {
        fail_msg("%s", err.message);
    }
}

void start(bench *b, const th_job *job) {
    start_taped(b, job, NULL);
}

void stop(bench *b) {
    th_loads_free(b->loads);
    free(b->steps);
}

void go(bench *b, th_move_kind kind, double x, double y, double z) {
    th_move move = {.kind = kind,
                    .line = ++b->line,
                    .from = {b->at[0], b->at[1], b->at[2]},
                    .to = {x, y, z},
                    .axes = {0, 1, 2},
                    .feed = kind == TH_MOVE_RAPID ? 0 : b->feed,
                    .speed = b->speed,
                    .spindle = 1,
                    .tool = 1};
    th_error err;

    memcpy(b->at, move.to, sizeof b->at);
    if (!th_loads_move(b->loads, &move, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
}

void hop(bench *b, double x, double y) {
    go(b, TH_MOVE_RAPID, b->at[0], b->at[1], 20);
    go(b, TH_MOVE_RAPID, x, y, 20);
    go(b, TH_MOVE_RAPID, x, y, 1);
}

void feed(bench *b, double x, double y, double z) {
    go(b, TH_MOVE_LINE, x, y, z);
}

const th_load_result *end(bench *b) {
    th_error err;

    if (!th_loads_end(b->loads, &err)) {
        fail_msg("%s", err.message);
    }
    return th_loads_result(b->loads);
}

draft held_plate(double length, double width, double thickness) {
    draft d = plate(length, width, thickness);

    put(&d, "hold", "cutting_time", "120 s");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", thickness);
    return d;
}

draft ring_pocket(void) {
    draft d = held_plate(80, 60, 5);

    add_cut(&d, "cut.1", "pocket", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1.5);
    put_length(&d, "cut.1", "radial", 2);
    put_length(&d, "cut.1", "depth", 1.5);
    put_point(&d, "cut.1", "at", 40, 30);
    put(&d, "cut.1", "size", "38 mm x 26 mm");
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    return d;
}

void mill_ring_pocket(bench *b) {
    hop(b, 34, 30);
    feed(b, 34, 30, -1.5);
    feed(b, 46, 30, -1.5);
    for (int i = 1; i <= 5; i++) { /* counterclockwise inside is climb */
        double dx = 6 + 2 * i, dy = 2 * i;
        feed(b, 40 - dx, 30 - dy, -1.5);
        feed(b, 40 + dx, 30 - dy, -1.5);
        feed(b, 40 + dx, 30 + dy, -1.5);
        feed(b, 40 - dx, 30 + dy, -1.5);
        feed(b, 40 - dx, 30 - dy, -1.5);
    }
}
