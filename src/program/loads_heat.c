/* loads_heat.c - how warm part and tape get along a program. */
#include "loads.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ISO 513's place for plastics and composites in th_stock.group. */
enum { GROUP_O = 6, ROUND = 24, RISES = 16384, RISES_USED = 8000 };

#define LEAST_LEFT 0.2 /* share of the thickness that a body is taken to have at least */
#define TILE 2.0       /* (mm) */
#define FINENESS 0.02  /* of heights, for the local rise kept (-) */

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

static bool plastic(const th_loads *loads) {
    return loads->job->part.stock->group == GROUP_O;
}

/* Two walls share the heat of a slot alike; a cut of up to half the cutter has one (estimate
 * between the two). */
static double share_of_wall(const th_step *step) {
    double over = step->engagement.radial / step->cutter->diameter - 0.5;

    return 1 - fmin(fmax(over, 0), 0.5);
}

/* In stock that is more than the body the other wall's heat goes elsewhere. */
static double share_of_body(const th_loads *loads, const th_step *step) {
    bool more = loads->body < 0.999 * th_outline_section(&loads->stock).area;

    return more ? share_of_wall(step) : 1;
}

bool loads_heat_start(th_loads *loads, th_error *err) {
    const th_hold *hold = &loads->job->hold;

    loads->warmth = (th_lump_state){hold->room_temperature, hold->room_temperature};
    loads->conductance = th_stack_conductance(hold->tape, hold->glue, hold->tape_below);
    loads->body =
        fmin(th_outline_section(&loads->part).area, th_outline_section(&loads->stock).area);
    loads->decay = decay_of(loads->job);
    loads->stack_at = NAN;
    loads->result.warmest = hold->room_temperature;
    loads->tile_columns = (size_t)((loads->bounds[2] - loads->bounds[0]) / TILE) + 1;
    loads->tile_rows = (size_t)((loads->bounds[3] - loads->bounds[1]) / TILE) + 1;
    loads->tiles = calloc(loads->tile_columns * loads->tile_rows, sizeof *loads->tiles);
    return loads->tiles ? true : th_fail_memory(err);
}

/* ---- lumps
 * ---------------------------------------------------------------------------------------- */

/* What is left of the thickness on an average. */
static double left_of(const th_loads *loads) {
    double lost = th_sweep_sums_of(loads->sweep).removed / th_outline_section(&loads->stock).area;
    double thick = loads->job->part.thickness;

    return fmax(thick - lost, LEAST_LEFT * thick);
}

static bool make_lumps(const th_loads *loads, th_lumps *lumps) {
    const th_job *job = loads->job;
    double reach = spread(job->hold.plate, loads->warm_seconds + 1);
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

void loads_warm(th_loads *loads, double power, double seconds) {
    th_lumps lumps;

    if (!(seconds > 0) || !make_lumps(loads, &lumps)) {
        return;
    }
    loads->warmth = th_lumps_step(&lumps, loads->warmth, power, seconds, NULL);
    loads->warm_seconds += seconds;
}

/* ---- under the cutter
 * ----------------------------------------------------------------------------- */

/* Mean height of what stands round the cutter, that the heat spreads in (mm). */
static double stands_round(const th_loads *loads, const th_step *step) {
    th_height_map map = th_sweep_map(loads->sweep);
    double reach = step->cutter->diameter / 2 + 2 * map.cell, sum = 0;
    double least = step->at[2] + step->engagement.height;
    int count = 0;

    for (int k = 0; k < ROUND; k++) {
        double angle = 2 * TH_PI * k / ROUND;
        double column = (step->at[0] + reach * cos(angle) - map.x0) / map.cell;
        double row = (step->at[1] + reach * sin(angle) - map.y0) / map.cell;
        if (column >= 0 && row >= 0 && column < (double)map.columns && row < (double)map.rows) {
            double height = (double)map.heights[(size_t)row * map.columns + (size_t)column];
            sum += height;
            count += height > 0;
        }
    }
    return count ? fmax(sum / count, least) : least;
}

/* Edges throw heat back: the wall that the cutter leaves, and a corner where heat gets round it. */
static double rise_of(const th_loads *loads, const load_case *one, double stands) {
    const th_job *job = loads->job;
    const th_step *step = one->step;
    const th_engagement *e = &step->engagement;
    double wide = e->radial > 0 ? e->radial : step->cutter->diameter;
    double low = fmax(step->at[2], 0);
    double high = fmin(fmax(step->at[2] + e->height, low + 1e-3), job->part.thickness);
    bool spot = !(step->across > 0);
    th_heat_source source = {.stock = job->part.stock,
                             .thickness = fmax(stands, high),
                             .loss = loads->conductance,
                             .power = share_of_wall(step),
                             .feed = spot ? 0 : step->feed * step->across / step->length,
                             .seconds = INFINITY,
                             .patch = spot || plastic(loads) ? fmax(wide, loads->decay) : wide,
                             .strip = INFINITY};

    if (spot) { /* it stands where it drills, while it drills */
        source.seconds = step->seconds;
        source.thickness = job->part.thickness;
        return th_local_heat(&source).mean;
    }
    source.edges = th_local_heat(&source).reach > wide / 2 ? 2 : 1;
    low = fmin(low, high - 1e-3);
    return fmin(th_local_at_bond(&source, fmax(low, 0), high),
                (source.edges == 2 ? 4 : 2) * th_local_under_floor(&source, fmax(low, 0)));
}

static unsigned long long mixed(unsigned long long key, double value) {
    unsigned long long bits;
    double rounded = value > 0 ? rint(log(value) / FINENESS) : -1e9;

    memcpy(&bits, &rounded, sizeof bits);
    key = (key ^ bits) * 1099511628211ULL;
    return key ^ key >> 31;
}

static bool room_for_rises(th_loads *loads, th_error *err) {
    if (!loads->rises && !(loads->rises = calloc(RISES, sizeof *loads->rises))) {
        return th_fail_memory(err);
    }
    if (loads->rises_used >= RISES_USED) {
        memset(loads->rises, 0, RISES * sizeof *loads->rises);
        loads->rises_used = 0;
    }
    return true;
}

/* The rise per watt that goes in. */
static bool find_rise(th_loads *loads, const load_case *one, double *rise, th_error *err) {
    const th_step *step = one->step;
    unsigned long long key = mixed(step->engagement.key, step->feed);
    double stands = stands_round(loads, step);
    size_t at;

    if (!room_for_rises(loads, err)) {
        return false;
    }
    key = mixed(mixed(mixed(mixed(key, stands), fmax(step->at[2], 0)), step->across / step->length),
                step->cutter->diameter);
    key = step->across > 0 ? key : mixed(key, step->seconds);
    key = key ? key : 1;
    at = (size_t)(key % RISES);
    while (loads->rises[at].key && loads->rises[at].key != key) {
        at = (at + 1) % RISES;
    }
    if (!loads->rises[at].key) {
        loads->rises[at] = (kept_rise){key, rise_of(loads, one, stands)};
        loads->rises_used++;
    }
    *rise = loads->rises[at].rise;
    return true;
}

/* ---- what earlier passes left here
 * ------------------------------------------------------------------ */

/* Heat per volume and degree (J/mm3K), and how fast it spreads (mm2/s). */
static double heat_of(const th_stock *stock) {
    return stock->density * stock->heat_capacity * 1e-9;
}

/* What is left of the heat that went into a tile, some of it lost to the tape (J/mm). */
static double heat_left(const th_loads *loads, const warm_tile *tile) {
    double time = loads->warm_seconds - (double)tile->at;
    double deep = heat_of(loads->job->part.stock) * loads->job->part.thickness;

    return (double)tile->heat * exp(-loads->conductance * time / deep);
}

/* A line of heat in a plate of one temperature through its thickness, E'/(rho c t sqrt(4 pi a t))
 * on the line (Carslaw and Jaeger, 10.3); a corner throws it back again once it has spread to it.
 */
static double rise_left(const th_loads *loads, const warm_tile *tile, double width) {
    const th_stock *stock = loads->job->part.stock;
    double a = stock->conductivity * 1e-3 / heat_of(stock);
    double wide = sqrt(4 * TH_PI * a * (loads->warm_seconds - (double)tile->at));

    return (wide > width / 2 ? 2 : 1) * heat_left(loads, tile) /
           (heat_of(stock) * loads->job->part.thickness) / wide;
}

static warm_tile *tile_at(const th_loads *loads, double column, double row) {
    bool inside = column >= 0 && row >= 0 && column < (double)loads->tile_columns &&
                  row < (double)loads->tile_rows;

    return inside ? &loads->tiles[(size_t)row * loads->tile_columns + (size_t)column] : NULL;
}

/* The most that earlier passes have left round the cutter's axis; this one leaves `heat`. Passes
 * that follow one another on a tile count as one heat from the last of them on: too warm by a
 * little. */
static double left_behind(th_loads *loads, const th_step *step, double heat) {
    double column = floor((step->at[0] - loads->bounds[0]) / TILE);
    double row = floor((step->at[1] - loads->bounds[1]) / TILE), most = 0;
    double same_pass = step->seconds / step->length * (4 * step->cutter->diameter);
    double width = fmax(step->engagement.radial, TILE);
    warm_tile *own = tile_at(loads, column, row);

    for (double j = row - 1; j <= row + 1; j++) {
        for (double i = column - 1; i <= column + 1; i++) {
            const warm_tile *tile = tile_at(loads, i, j);
            if (tile && tile->heat > 0 && loads->warm_seconds - (double)tile->at > same_pass) {
                most = fmax(most, rise_left(loads, tile, width));
            }
        }
    }
    if (own) {
        bool same = loads->warm_seconds - (double)own->at <= same_pass;
        double before = heat_left(loads, own);
        own->heat = (float)(same ? fmax(before, heat) : before + heat);
        own->at = (float)loads->warm_seconds;
    }
    return most;
}

bool loads_warmth(th_loads *loads, const load_case *one, step_warmth *warmth, th_error *err) {
    const th_stock *stock = loads->job->part.stock;
    double chip_load, rise, before = loads->warmth.part;
    const step_force *force = loads_force(loads, one, &chip_load, err);
    double into;

    if (!force || !find_rise(loads, one, &rise, err)) {
        return false;
    }
    into = force->work * one->step->speed *
           th_heat_share(stock, force->max_chip, !(one->step->across > 0));
    loads_warm(loads, into * share_of_body(loads, one->step), one->step->seconds);
    warmth->part = fmax(loads->warmth.part, before);
    warmth->local = into > 0 ? into * rise : 0;
    if (one->step->across > 0) { /* the wall throws it back once */
        warmth->local += left_behind(loads, one->step,
                                     2 * share_of_wall(one->step) * into * one->step->seconds /
                                         one->step->across);
    }
    /* A plastic conducts so badly that part and cutter hardly share their heat. */
    warmth->tape = plastic(loads)
                       ? fmax(warmth->part, loads->job->hold.room_temperature + warmth->local)
                       : warmth->part + warmth->local;
    return true;
}
