/* loads_heat.c - how warm part and tape get along a program. */
#include "loads.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ISO 513's place for plastics and composites in th_stock.group. */
enum { GROUP_O = 6 };

#define LEAST_LEFT 0.2 /* share of the thickness that a body is taken to have at least */
#define MOST_ALONE 10  /* times as warm: what is still smaller sheds its heat at once (estimate) */
#define ELSEWHERE 0.75 /* diameters that a path goes on within */
#define SOONEST 0.01   /* after which heat has entered the plate (s) */

static double spread(const th_plate *plate, double seconds) {
    double a = plate->conductivity / (plate->density * plate->heat_capacity) * 1e6; /* mm2/s */

    return sqrt(TH_PI * a * seconds) / 2;
}

/* Bending length of the stock on its tape: the bond shares its load over as much. */
static double decay_of(const th_job *job) {
    th_plate_sheet sheet = {.thickness = job->part.thickness,
                            .material = {.elastic_modulus = job->part.stock->elastic_modulus,
                                         .poisson = job->part.stock->poisson,
                                         .shear_scale = 1}};

    th_hold_stiffness(job->hold.tape, job->hold.tape_below, &sheet.material.kn, &sheet.material.ks);
    return th_plate_bending_length(&sheet);
}

bool loads_plastic(const th_loads *loads) {
    return loads->job->part.stock->group == GROUP_O;
}

bool loads_heat_start(th_loads *loads, th_error *err) {
    const th_hold *hold = &loads->job->hold;

    loads->warmth = (th_lump_state){hold->room_temperature, hold->room_temperature};
    loads->here = loads->warmth;
    loads->here_box[0] = INFINITY;
    loads->here_box[2] = -INFINITY;
    loads->conductance = th_stack_conductance(hold->tape, hold->glue, hold->tape_below);
    loads->body_most =
        fmin(th_outline_section(&loads->part).area, th_outline_section(&loads->stock).area);
    loads->body = loads->body_most;
    loads->decay = decay_of(loads->job);
    loads->stack_at = NAN;
    loads->result.warmest = hold->room_temperature;
    loads->sharp_part = loads_sharp_part(&loads->part);
    loads->plunged = loads->walked = loads->full_at = (th_point){NAN, NAN};
    loads->straight = INFINITY;
    for (int i = 0; i < 2; i++) {
        loads->walls[i].from = (th_point){NAN, NAN};
    }
    return loads_trail_start(loads, err);
}

/* ---- lumps
 * ---------------------------------------------------------------------------------------- */

/* What is left of the thickness on an average; kerfs beside the part take
 * nothing from it. */
static double left_of(const th_loads *loads) {
    double lost = loads->cleared_volume / th_outline_section(&loads->stock).area;
    double thick = loads->job->part.thickness;

    return fmax(thick - lost, LEAST_LEFT * thick);
}

static bool make_lumps(const th_loads *loads, double seconds, th_lumps *lumps) {
    const th_job *job = loads->job;
    double reach = spread(job->hold.plate, fmax(loads->warm_seconds + seconds, SOONEST));
    double bonded = loads->body * job->hold.coverage, wide = sqrt(bonded) + 2 * reach;
    double stock = th_outline_section(&loads->stock).area;
    th_lumps_input input = {.stock = job->part.stock,
                            .plate = job->hold.plate,
                            .coolant = job->hold.coolant,
                            .conductance = loads->conductance,
                            .volume = loads->body * left_of(loads),
                            .top_area = loads->body,
                            .bonded_area = bonded,
                            .plate_area = fmax(bonded, fmin(wide * wide, stock)),
                            .plate_thickness = fmin(job->hold.plate_thickness, reach),
                            .room = job->hold.room_temperature};

    return th_lumps_make(&input, lumps, NULL);
}

/* What was cut off leaves its heat behind: too warm by a little. */
static void shrink(th_lump_state *state, double room, double by) {
    state->part = room + (state->part - room) * by;
}

void loads_warm(th_loads *loads, double power, double seconds) {
    double left = left_of(loads), room = loads->job->hold.room_temperature;
    double by = loads->left > left ? loads->left / left : 1;
    th_lumps lumps;

    shrink(&loads->warmth, room, by);
    shrink(&loads->here, room, by);
    loads->left = left;
    if (!(seconds > 0) || !make_lumps(loads, seconds, &lumps)) {
        return;
    }
    loads->warmth = th_lumps_step(&lumps, loads->warmth, power, seconds, NULL);
    loads->here = th_lumps_step(&lumps, loads->here, power, seconds, NULL);
    loads->warm_seconds += seconds;
}

/* ---- a step
 * --------------------------------------------------------------------------------------- */

/* A thin web has hardly a wall that a flute could lift by. Half a skin has none (estimate). */
static double lift_share(th_loads *loads, const th_step *step) {
    double d = step->cutter->diameter, deep = step->removed / (TH_PI * d * d / 4);
    th_point at = {step->at[0], step->at[1]};

    if (step->across > 0) {
        loads->plunged_deep = 0;
        return 1;
    }
    if (hypot(at.x - loads->plunged.x, at.y - loads->plunged.y) > 0.01 * d) {
        loads->plunged_deep = 0;
    }
    loads->plunged = at;
    loads->plunged_deep += deep;
    return fmin(fmax(2 * loads->plunged_deep / SKIN_JOINS - 1, 0), 1);
}

/* What has come off keeps its own heat; a slug that is milled away leaves its to the part. */
static bool see_body(th_loads *loads, size_t piece, th_error *err) {
    double area = th_sweep_piece_at(loads->sweep, piece)->bonded.area;
    const piece_state *state;

    if (!loads_piece(loads, piece, &state, err)) {
        return false;
    }
    if ((state->kind == TH_PIECE_PART || state->kind == TH_PIECE_STOCK) && area > 0) {
        loads->body = fmin(loads->body_most, area);
    }
    return true;
}

/* Where it goes on beyond what it has been round here, it begins elsewhere: a slot beside the last
 * one, the outline after a pocket. Back where it was before is elsewhere too. */
static void see_here(th_loads *loads, const th_step *step) {
    double *box = loads->here_box, reach = ELSEWHERE * step->cutter->diameter;
    double room = loads->job->hold.room_temperature;
    bool on = step->at[0] > box[0] - reach && step->at[0] < box[2] + reach &&
              step->at[1] > box[1] - reach && step->at[1] < box[3] + reach;

    if (!on) {
        loads->here = (th_lump_state){room, room};
    }
    for (int i = 0; i < 2; i++) {
        box[i] = on ? fmin(box[i], step->at[i]) : step->at[i];
        box[i + 2] = on ? fmax(box[i + 2], step->at[i]) : step->at[i];
    }
}

/* A plastic conducts so badly that part and cutter hardly share their heat: but what other cuts
 * have brought before is all over it. */
static double under(const th_loads *loads, const step_warmth *warmth, double rise) {
    double room = loads->job->hold.room_temperature;

    return loads_plastic(loads) ? fmax(warmth->part, room + warmth->elsewhere + rise)
                                : warmth->part + rise;
}

bool loads_warmth(th_loads *loads, const load_case *one, step_warmth *warmth, th_error *err) {
    const th_stock *stock = loads->job->part.stock;
    double chip_load, before = loads->warmth.part;
    step_heat heat = {.step = one->step};
    const step_force *force;

    if (!see_body(loads, one->piece, err)) {
        return false;
    }
    warmth->lifts = lift_share(loads, one->step);
    force = loads_force(loads, one, &chip_load, err);
    if (!force) {
        return false;
    }
    heat.into = force->work * one->step->speed *
                th_heat_share(stock, force->max_chip, !(one->step->across > 0));
    loads_see_cut(loads, &heat);
    if (heat.kind == CUT_FLOOR || (heat.two_walls && heat.of_body == 1)) {
        loads->cleared_volume += one->step->removed;
    }
    see_here(loads, one->step);
    loads_warm(loads, heat.into * heat.of_body, one->step->seconds);
    warmth->elsewhere = fmax(loads->warmth.part - loads->here.part, 0);
    warmth->body = loads->body;
    warmth->of_body = heat.of_wall / heat.of_body;
    warmth->part = fmax(loads->warmth.part, before);
    if (!loads_local(loads, &heat, &warmth->local, err)) {
        return false;
    }
    warmth->tape = under(loads, warmth, warmth->local);
    warmth->parts = under(loads, warmth, loads_local_in_part(loads, &heat, warmth->local));
    return true;
}

step_warmth loads_warmth_alone(const th_loads *loads, const step_warmth *warmth, double area) {
    double room = loads->job->hold.room_temperature;
    double more = area > 0 ? fmax(warmth->of_body * warmth->body / area, 1) : 1;
    step_warmth alone = *warmth;

    more = fmin(more, MOST_ALONE);
    alone.part = room + more * (warmth->part - room);
    alone.tape = fmax(warmth->tape, under(loads, &alone, warmth->local));
    alone.parts = fmax(warmth->parts, warmth->parts + alone.part - warmth->part);
    return alone;
}
