/* loads_trail.c - the heat that earlier passes have left along a kerf. */
#include "loads.h"

#include <math.h>
#include <stdlib.h>

#define TILE 2.0     /* at least (mm) */
#define TILES 250000 /* at most */
#define BACK 2.4     /* turn of a path that goes back the way it came (rad) */

bool loads_trail_start(th_loads *loads, th_error *err) {
    double wide = loads->bounds[2] - loads->bounds[0], deep = loads->bounds[3] - loads->bounds[1];

    loads->tile = fmax(TILE, sqrt(wide * deep / TILES));
    loads->tile_columns = (size_t)(wide / loads->tile) + 1;
    loads->tile_rows = (size_t)(deep / loads->tile) + 1;
    loads->tiles = calloc(loads->tile_columns * loads->tile_rows, sizeof *loads->tiles);
    return loads->tiles ? true : th_fail_memory(err);
}

/* ---- ramps ----------------------------------------------------------------------------------- */

static ramp_line *last_ramp(ramp_lines *ramps) {
    return &ramps->lines[ramps->count % RAMPS_KNOWN];
}

/* Whether a path goes on ahead from the step before: it neither leaps nor turns back. */
static bool goes_ahead(const th_loads *loads, const th_step *step) {
    double away = hypot(step->at[0] - loads->walked.x, step->at[1] - loads->walked.y);
    double turn = fabs(remainder(step->heading - loads->headed, 2 * TH_PI));

    return away < 2 * step->across + step->cutter->diameter / 2 && turn < BACK;
}

void loads_trail_walk(th_loads *loads, const th_step *step) {
    ramp_lines *ramps = &loads->ramps;
    bool ahead = goes_ahead(loads, step), sinks = step->down > 0;

    if (ramps->on && !(sinks && ahead)) {
        last_ramp(ramps)->open_ends += ahead;
        ramps->on = false;
    }
    if (sinks && !ramps->on) {
        ramps->count++;
        *last_ramp(ramps) = (ramp_line){0, ahead};
        ramps->on = true;
    }
    if (ramps->on) {
        last_ramp(ramps)->length += step->across;
    }
}

/* Of what an endless line leaves after so long, the share that one of this length does, at most: of
 * a line from l1 on one side to l2 on the other half of erf(l1/w) + erf(l2/w), w = sqrt(4 a age)
 * (Carslaw and Jaeger 1959, 10.3). */
static double ramp_share(const th_loads *loads, unsigned ramp, double age) {
    const ramp_lines *ramps = &loads->ramps;
    const th_stock *stock = loads->job->part.stock;
    double a = stock->conductivity / (stock->density * stock->heat_capacity) * 1e6; /* mm2/s */
    bool known = ramp > 0 && ramps->count - ramp < RAMPS_KNOWN;

    if (!known || (ramps->on && ramp == ramps->count)) {
        return 1;
    }
    const ramp_line *line = &ramps->lines[ramp % RAMPS_KNOWN];
    double reach = line->length / sqrt(4 * a * age);
    return line->open_ends == 2 ? 1 : line->open_ends == 1 ? (1 + erf(reach)) / 2 : erf(reach / 2);
}

/* ---- passes ---------------------------------------------------------------------------------- */

/* What counts: passes that are neither of this one nor deeper. */
typedef struct {
    const th_heat_source *source; /* this pass */
    double young;                 /* as young as this is of the same pass (s) */
    double above;                 /* (mm) */
} trail_of;

/* What is left of passes before this one, as the job's model has what one level leaves to the next;
 * as fast as this one (K). */
static double left_of(const th_loads *loads, const warm_tile *tile, const trail_of *trail) {
    th_heat_source pass = *trail->source;
    double speed = pass.feed / 60, sum = 0;

    for (int i = 0; i < tile->count; i++) {
        double age = fmax(loads->warm_seconds - (double)tile->at[i], 1e-6);
        if (age <= trail->young || !((double)tile->low[i] > trail->above)) {
            continue;
        }
        pass.power = (double)tile->heat[i] * speed;
        sum += ramp_share(loads, tile->ramp[i], age) *
               th_local_left(&pass, (double)tile->low[i], (double)tile->high[i], age * speed);
    }
    return sum;
}

static warm_tile *tile_at(const th_loads *loads, double column, double row) {
    bool inside = column >= 0 && row >= 0 && column < (double)loads->tile_columns &&
                  row < (double)loads->tile_rows;

    return inside ? &loads->tiles[(size_t)row * loads->tile_columns + (size_t)column] : NULL;
}

/* Two passes whose ages differ least become one of their mean age: of what is left, which goes with
 * the root of the age, that changes next to nothing. */
static void make_room(const th_loads *loads, warm_tile *tile) {
    int at = 0;
    double least = INFINITY;

    for (int i = 0; i + 1 < tile->count; i++) {
        double older = loads->warm_seconds - (double)tile->at[i] + 1e-6;
        double ratio = older / (loads->warm_seconds - (double)tile->at[i + 1] + 1e-6);
        if (ratio < least) {
            least = ratio;
            at = i;
        }
    }
    float sum = tile->heat[at] + tile->heat[at + 1];
    tile->at[at] += sum > 0 ? (tile->at[at + 1] - tile->at[at]) * (tile->heat[at + 1] / sum) : 0;
    tile->heat[at] = sum;
    tile->low[at] = fminf(tile->low[at], tile->low[at + 1]);
    tile->high[at] = fmaxf(tile->high[at], tile->high[at + 1]);
    tile->ramp[at] = tile->ramp[at] == tile->ramp[at + 1] ? tile->ramp[at] : 0;
    tile->count--;
    for (int i = at + 1; i < tile->count; i++) {
        tile->heat[i] = tile->heat[i + 1];
        tile->at[i] = tile->at[i + 1];
        tile->low[i] = tile->low[i + 1];
        tile->high[i] = tile->high[i + 1];
        tile->ramp[i] = tile->ramp[i + 1];
    }
}

static void leave(const th_loads *loads, warm_tile *tile, const step_heat *by, double heat,
                  bool same) {
    float now = (float)loads->warm_seconds;
    unsigned ramp = loads->ramps.on ? loads->ramps.count : 0;

    if (same && tile->count > 0) {
        int last = tile->count - 1;
        tile->heat[last] = fmaxf(tile->heat[last], (float)heat);
        tile->at[last] += 0.5F * (now - tile->touched); /* half way over the tile */
        tile->ramp[last] = tile->ramp[last] == ramp ? ramp : 0;
    } else {
        if (tile->count == TILE_PASSES) {
            make_room(loads, tile);
        }
        tile->heat[tile->count] = (float)heat;
        tile->low[tile->count] = (float)by->low;
        tile->high[tile->count] = (float)by->high;
        tile->ramp[tile->count] = ramp;
        tile->at[tile->count++] = now;
    }
    tile->touched = now;
}

/* In a tile, or in one beside it, where a pass went over the border. */
static double left_at(const th_loads *loads, double column, double row, const trail_of *trail) {
    const warm_tile *own = tile_at(loads, column, row);
    double most = own ? left_of(loads, own, trail) : 0;

    for (double k = 0; k < 9 && !(most > 0); k++) {
        const warm_tile *tile = tile_at(loads, column - 1 + fmod(k, 3), row - 1 + floor(k / 3));
        most = tile ? left_of(loads, tile, trail) : 0;
    }
    return most;
}

/* The most round a place: where a kerf ends a pass has cut its last some way before. */
static double left_round(const th_loads *loads, double column, double row, double reach,
                         const trail_of *trail) {
    int tiles = (int)ceil(reach / loads->tile);
    double most = 0;

    for (int j = -tiles; j <= tiles; j++) {
        for (int i = -tiles; i <= tiles; i++) {
            const warm_tile *tile = tile_at(loads, column + i, row + j);
            most = tile ? fmax(most, left_of(loads, tile, trail)) : most;
        }
    }
    return most;
}

/* Where a path pauses and goes on, what it has left of itself right before is in the rise of one
 * that goes on and on, and in a pause heat only goes. */
static double pause_in(const th_loads *loads, double along) {
    return loads->since <= along ? loads->paused : 0;
}

double loads_trail(th_loads *loads, const step_heat *heat, const th_heat_source *source) {
    const th_step *step = heat->step;
    double column = floor((step->at[0] - loads->bounds[0]) / loads->tile);
    double row = floor((step->at[1] - loads->bounds[1]) / loads->tile), most;
    bool down = !(step->across > 0);
    double pace = down ? 0 : step->seconds / step->across; /* (s/mm) */
    double along = 4 * loads->tile + step->across;         /* of one pass (mm) */
    /* Touched no longer ago than it takes from one tile to the next: the same pass. Beside a pass
     * at the same depth it is another strip of a face; through the stock it is not. Straight down
     * no trail is left, and all is of passes before. */
    trail_of trail = {source, down ? step->seconds / 2 : pace * along + pause_in(loads, along),
                      heat->low <= SKIN_JOINS ? -1 : heat->low + 0.1 * heat->takes};
    warm_tile *own = tile_at(loads, column, row);

    if (step->low > loads->job->part.thickness || !(heat->into > 0)) {
        return 0;
    }
    most = down ? left_round(loads, column, row, step->cutter->diameter, &trail)
                : left_at(loads, column, row, &trail);
    if (own && !down) {
        bool same = loads->warm_seconds - (double)own->touched <= pace * along;
        leave(loads, own, heat, heat->of_wall * heat->into * pace, same);
    }
    return most;
}
