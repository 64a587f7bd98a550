/* loads_grip.c - one step held against one piece by the area model. */
#include "loads.h"

#include <math.h>
#include <stdlib.h>

/* Stands in for a stack without strength, so that tractions can still be shown. */
static const th_stack unit_stack = {.interfaces = {{.name = "", .shear = 1, .lift = 1}},
                                    .count = 1};

/* ---- wrenches
 * ------------------------------------------------------------------------------------ */

/* Stops stand against the stock, and hold the pieces that still reach its sides. */
static int stops_on(const th_loads *loads, size_t piece, th_piece_kind kind) {
    static const int sides[4] = {TH_STOP_LEFT, TH_STOP_FRONT, TH_STOP_RIGHT, TH_STOP_BACK};
    const double *box = th_sweep_piece_at(loads->sweep, piece)->box;
    double cell = th_sweep_map(loads->sweep).cell;
    int reached = 0;

    for (int i = 0; i < 4; i++) {
        reached |= fabs(box[i] - loads->bounds[i]) < 2 * cell ? sides[i] : 0;
    }
    return kind == TH_PIECE_STOCK || (kind == TH_PIECE_PART && !loads->sheet)
               ? loads->job->hold.stops & reached
               : 0;
}

static bool make_room(th_loads *loads, size_t count, th_error *err) {
    th_wrench *wrenches;
    double *weights;

    if (count <= loads->wrench_capacity) {
        return true;
    }
    wrenches = realloc(loads->wrenches, count * sizeof *wrenches);
    if (wrenches) {
        loads->wrenches = wrenches;
    }
    weights = realloc(loads->weights, count * sizeof *weights);
    if (weights) {
        loads->weights = weights;
    }
    if (!wrenches || !weights) {
        return th_fail_memory(err);
    }
    loads->wrench_capacity = count;
    return true;
}

void loads_wrenches(th_loads *loads, const grip_case *one, double ratio) {
    for (size_t i = 0; i < one->force->count; i++) {
        loads->wrenches[i] = th_wrench_under(&one->at, &one->force->samples[i], ratio);
        loads->weights[i] = one->force->samples[i].weight;
        if (one->stops) {
            th_wrench_lean(one->stops, &one->bonded, &loads->wrenches[i]);
        }
    }
}

/* ---- grips
 * --------------------------------------------------------------------------------------- */

static void keep(const grip_case *one, const th_grip *grip, th_load_kind kind, th_step_load *load) {
    load->load = kind;
    load->way = grip->way;
    load->bond_at = grip->at;
    load->interface = one->stack->interfaces[grip->interface].name;
    load->hold_factor = th_hold_factor(grip->index);
}

/* The sustained load is the peak one without its ratio, against what time leaves. */
static bool sustained_matters(const th_loads *loads, const grip_case *one) {
    double weakest = 1;

    for (size_t i = 0; i < one->stack->count; i++) {
        weakest = fmin(weakest, th_time_factor(one->held, one->stack->interfaces[i].time_exponent));
    }
    return one->at.pressing != 0 || one->standing_lift > 0 ||
           loads->job->machine.peak_ratio * weakest < 1;
}

static double sway_of(const th_loads *loads, const grip_case *one) {
    const th_wrench *hard = &loads->wrenches[one->force->hardest];
    th_wrench plane = {hard->fx, hard->fy, 0, 0, 0, hard->mz};
    th_point at = {one->at.x, one->at.y};

    return th_area_traction(&one->bonded, &plane, at).shear / loads->sway_stiffness;
}

static void hold_it(th_loads *loads, const grip_case *one, th_step_load *load) {
    th_history history = {loads->wrenches, loads->weights, one->force->count, one->standing_lift};
    double ratio = loads->job->machine.peak_ratio;
    th_grip peak, sustained;

    loads_wrenches(loads, one, ratio);
    peak = th_grip_peak(&one->bonded, one->stack, &history);
    load->sway = sway_of(loads, one);
    load->shear_peak = peak.shear_peak;
    load->lift_peak_traction = peak.lift_peak;
    load->peak_factor = load->sustained_factor = th_hold_factor(peak.index);
    keep(one, &peak, TH_PEAK, load);
    if (sustained_matters(loads, one)) {
        loads_wrenches(loads, one, 1);
        history.standing_lift = th_standing_aged(loads->job, one->standing_lift, one->held);
        sustained = th_grip_sustained(&one->bonded, one->stack, &history, one->held, 0);
        load->sustained_factor = th_hold_factor(sustained.index);
        if (sustained.index > peak.index || isnan(sustained.index)) {
            keep(one, &sustained, TH_SUSTAINED, load);
        }
    }
    if (loads->stack.unusable != TH_USABLE) {
        load->hold_factor = load->peak_factor = load->sustained_factor = 0;
        load->way = th_unusable_way(loads->stack.unusable);
        load->interface = loads->stack.interfaces[loads->stack.culprit].name;
    }
}

/* ---- a step
 * -------------------------------------------------------------------------------------- */

/* What the frame's tape bears is no matter where the frame may go. */
static double tape_of(const th_loads *loads, const load_case *one, th_piece_kind kind) {
    bool parts = kind == TH_PIECE_PART || kind == TH_PIECE_STOCK;

    return parts && loads->job->head.offcuts == TH_MAY_GO ? one->warmth->parts : one->warmth->tape;
}

static void describe(const th_loads *loads, const load_case *one, const piece_state *piece,
                     const step_force *force, th_step_load *load) {
    const th_step *step = one->step;
    const th_engagement *e = &step->engagement;

    *load = (th_step_load){.line = step->line,
                           .tool = step->tool,
                           .coolant = step->coolant,
                           .at = {step->at[0], step->at[1], step->at[2]},
                           .heading = step->heading * 180 / TH_PI,
                           .radial = e->radial,
                           .in_plane_peak = force->in_plane_peak,
                           .lift_peak = force->lift_peak,
                           .torque_peak = force->torque_peak,
                           .power = force->work * step->speed,
                           .max_chip = force->max_chip,
                           .held = one->held,
                           .temperature = tape_of(loads, one, piece->kind),
                           .part_temperature = one->warmth->part,
                           .local_rise = one->warmth->local,
                           .piece = (int)one->piece,
                           .kind = piece->kind,
                           .counts = piece->counts,
                           .freeing = one->freeing};
    load->low = fmax(step->at[2] + (e->zone_count ? e->zones[0].low : 0), 0);
    load->high = fmin(step->at[2] + e->height, loads->job->part.thickness);
    load->high = fmax(load->high, load->low);
}

static force_question question_of(const th_loads *loads, const load_case *one) {
    const th_step *step = one->step;
    double turns = step->speed > 0 && step->seconds > 0 ? step->seconds / 60 * step->speed : 0;
    double teeth = turns * step->cutter->flutes;
    bool through = step->opened > 0 || (step->of_tabs > 0 && step->low <= 0);

    return (force_question){.stock = loads->job->part.stock,
                            .step = step,
                            .wear = one->wear,
                            .chip_load = teeth > 0 ? step->across / teeth : 0,
                            .sink = teeth > 0 ? fmax(step->down, 0) / teeth : 0,
                            .lifts = through && !(step->across > 0) ? one->warmth->lifts : 0};
}

static void nothing_holds(const th_loads *loads, th_step_load *load) {
    load->hold_factor = load->peak_factor = load->sustained_factor = 0;
    load->way = TH_LIFT;
    load->interface = loads->stack.interfaces[0].name;
    load->bond_at = (th_point){load->at[0], load->at[1]};
}

const step_force *loads_force(th_loads *loads, const load_case *one, double *chip_load,
                              th_error *err) {
    force_question ask = question_of(loads, one);

    *chip_load = ask.chip_load;
    return force_of(&loads->forces, &ask, err);
}

/* Strength at the next tenth of a degree up. */
static void set_stack(th_loads *loads, double celsius) {
    double at = celsius < 1000 ? ceil(10 * celsius) / 10 : 1000;

    if (loads->stack_at != at) {
        loads->stack_at = at;
        loads->stack = th_job_stack(loads->job, at);
    }
}

bool loads_hold(th_loads *loads, const load_case *one, th_step_load *load, th_error *err) {
    const th_job *job = loads->job;
    const th_sweep_piece *about = th_sweep_piece_at(loads->sweep, one->piece);
    const piece_state *piece;
    const step_force *force;
    double chip_load;
    th_bonded bonded;

    if (!loads_piece(loads, one->piece, &piece, err) ||
        !(force = loads_force(loads, one, &chip_load, err)) ||
        !make_room(loads, force->count, err)) {
        return false;
    }
    loads->last.force = NULL;
    loads->across = one->step->across;
    loads->sinks = one->step->down;
    loads->diameter = one->step->cutter->diameter;
    describe(loads, one, piece, force, load);
    load->chip_load = chip_load;
    set_stack(loads, load->temperature);
    if (!th_bonded_of(about->bonded, job->hold.coverage, piece->corners, piece->corner_count,
                      &bonded, NULL)) {
        nothing_holds(loads, load);
        return true;
    }
    load->bonded_area = bonded.area;
    loads->last =
        (grip_case){.force = force,
                    .bonded = bonded,
                    .stack = loads->stack.unusable == TH_USABLE ? &loads->stack : &unit_stack,
                    .at = {one->step->at[0], one->step->at[1], one->step->at[2],
                           cos(one->step->heading), sin(one->step->heading),
                           one->step->cutter->helix_pulls == TH_DOWN ? TH_PRESSING_SHARE : 0},
                    .stops = stops_on(loads, one->piece, piece->kind),
                    .standing_lift = th_standing_lift(job, loads->bowed_over, about->box),
                    .held = one->held,
                    .piece = one->piece,
                    .diameter = one->step->cutter->diameter,
                    .drills = !(one->step->across > 0),
                    .opens = one->step->low <= SKIN_JOINS};
    hold_it(loads, &loads->last, load);
    return true;
}
