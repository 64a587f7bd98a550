/* sweep.h - inside program/: the state of a sweep. */
#ifndef TACKHOLD_PROGRAM_SWEEP_H
#define TACKHOLD_PROGRAM_SWEEP_H

#include "engagement.h"
#include "pieces.h"

/* Lines of the program that one step can be of. */
enum { STEP_LINES = 64 };
typedef struct {
    int line;
    double removed; /* (mm3) */
} step_line;

/* Short stretches that are put together to one step. */
typedef struct {
    bool open;
    th_step step; /* places and times as they add up */
    const tool_shape *shape;
    double ahead_x, ahead_y;     /* ways in plan, added */
    double weight[3];            /* places times lengths, added */
    double most;                 /* of one stretch (mm3) */
    step_line lines[STEP_LINES]; /* that removed something, as they come */
    int line_count;
    taken taken;
    engagement_memory memory; /* of the steps before, as long as they go on without a gap */
} step_window;

struct th_sweep {
    th_sweep_setup setup;
    th_sweep_sink sink;
    height_map map;
    tool_shape *shapes; /* by tool of the setup */
    piece_list pieces;
    run_list before, after;
    step_window window;
    taken rapid; /* what rapids take */
    th_found *found;
    size_t found_count, found_capacity;
    th_sweep_sums sums;
    size_t least; /* cells of the smallest piece */
    double box[4];
    const tool_shape *at_shape; /* of the cutter that stands at `at`, NULL: unknown */
    double at[3];
};

/* One stretch of a move. */
typedef struct {
    const th_move *move;
    const th_sweep_tool *tool;
    stretch_of_path way;
    double length; /* (mm) */
} sweep_piece;

/* step.c: take a stretch off the map, and put it to the steps. */
bool sweep_stretch(th_sweep *sweep, const sweep_piece *piece, th_error *err);
/* Whether the shank is wider than what the flutes cut. */
bool sweep_wide_shank(const th_cutter *cutter);
/* Keep what was found, once for each line and kind. */
bool sweep_found(th_sweep *sweep, const th_found *fresh, th_error *err);
/* Send the step in hand to the sink. */
bool sweep_flush(th_sweep *sweep, th_error *err);

#endif
