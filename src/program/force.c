/* force.c - the force of one step, computed once for all steps alike. */
#include "force.h"
#include "fine_zones.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SLOTS = 8192, SLOTS_USED = 3000 };

#define FINENESS 0.005 /* of chip loads (-) */
#define DISH 2.0       /* of an end mill's bottom teeth (deg; practice: 1 to 3) */

static double rounded(double x) {
    return x > 0 ? exp(rint(log(x) / FINENESS) * FINENESS) : 0;
}

static unsigned long long mixed(unsigned long long key, double value) {
    unsigned long long bits;

    memcpy(&bits, &value, sizeof bits);
    key = (key ^ bits) * 1099511628211ULL;
    return key ^ key >> 31;
}

static unsigned long long key_of(const force_question *ask) {
    unsigned long long key = ask->step->engagement.key;

    key = mixed(key, (double)ask->step->tool);
    key = mixed(key, ask->chip_load);
    key = mixed(key, ask->sink);
    key = mixed(key, ask->lifts);
    return key ? key : 1;
}

static void empty_slots(force_table *table) {
    for (size_t i = 0; table->slots && i < SLOTS; i++) {
        free(table->slots[i].samples);
    }
    if (table->slots) {
        memset(table->slots, 0, SLOTS * sizeof *table->slots);
    }
    table->used = 0;
}

void force_table_free(force_table *table) {
    empty_slots(table);
    free(table->slots);
    *table = (force_table){.slots = NULL};
}

/* ---- the end of the cutter
 * ----------------------------------------------------------------------- */

/* As a drill, whose lips take `chip` at a time although `sink` goes down for each. */
static bool lips_at(const force_question *ask, double chip, th_drill_load *load, th_error *err) {
    th_cutter drill = *ask->step->cutter;
    th_drilling drilling = {ask->stock, &drill, ask->wear, chip, ask->step->speed};
    double share = ask->sink / chip;

    if (drill.kind != TH_DRILL) { /* a flat end cuts like one with a straight point */
        drill.kind = TH_DRILL;
        drill.tip_angle = 180;
    }
    if (!th_drill_run(&drilling, load, err)) {
        return false;
    }
    load->torque *= share;
    load->power *= share;
    load->breakthrough_lift *= share;
    return true;
}

/* The teeth of an end mill's bottom: energy by volume, at the chip that a tooth takes. What is
 * thinner than the smallest chip stays for a tooth behind, so the energy stays that of the smallest
 * chip. On a ramp no steeper than the teeth are dished the corners, which run ahead, take it all,
 * in chips as of the side; on a steeper one their share. */
static bool bottom_load(const force_question *ask, th_drill_load *load, th_error *err) {
    double least = fmax(ask->sink, ask->stock->smallest_chip);
    double side = fmax(least, 2 / TH_PI * ask->chip_load);
    double teeth = fmin(ask->chip_load * tan(DISH * TH_PI / 180) / ask->sink, 1);
    th_drill_load corners;

    if (!lips_at(ask, least, load, err) || !lips_at(ask, side, &corners, err)) {
        return false;
    }
    load->torque += teeth * (corners.torque - load->torque);
    load->power += teeth * (corners.power - load->power);
    load->chip = ask->sink;
    return true;
}

static bool end_load(const force_question *ask, th_drill_load *load, th_error *err) {
    const th_cutter *cutter = ask->step->cutter;
    bool fine;

    *load = (th_drill_load){0};
    if (!(ask->step->engagement.end_area > 0 && ask->sink > 0)) {
        return true;
    }
    fine =
        cutter->kind == TH_DRILL ? lips_at(ask, ask->sink, load, err) : bottom_load(ask, load, err);
    if (!fine || ask->lifts > 0) {
        load->breakthrough_lift *= ask->lifts;
        return fine; /* for a moment all at once */
    }
    load->breakthrough_lift = 0;
    double share =
        ask->step->engagement.end_area / (TH_PI * cutter->diameter * cutter->diameter / 4);
    load->torque *= fmin(share, 1);
    load->power *= fmin(share, 1);
    return true;
}

/* ---- a turn
 * -------------------------------------------------------------------------------------- */

/* One pitch says all where the teeth are alike. */
static size_t period_of(const th_turn *turn, const th_cutter *cutter) {
    size_t flutes = (size_t)cutter->flutes;

    return cutter->runout > 0 || turn->count % flutes ? turn->count : turn->count / flutes;
}

static bool copy_turn(const th_turn *turn, const th_cutter *cutter, step_force *force,
                      th_error *err) {
    double share = 0;

    force->count = period_of(turn, cutter);
    force->samples = malloc(force->count * sizeof *force->samples);
    if (!force->samples) {
        return th_fail_memory(err);
    }
    memcpy(force->samples, turn->samples, force->count * sizeof *force->samples);
    for (size_t i = 0; i < force->count; i++) {
        share += force->samples[i].weight;
    }
    for (size_t i = 0; i < force->count; i++) {
        force->samples[i].weight /= share;
    }
    force->max_chip = turn->max_chip;
    return true;
}

static bool no_turn(step_force *force, th_error *err) {
    force->count = 1;
    force->samples = calloc(1, sizeof *force->samples);
    if (!force->samples) {
        return th_fail_memory(err);
    }
    force->samples[0].weight = 1;
    return true;
}

static bool side_force(const force_question *ask, step_force *force, th_error *err) {
    const th_step *step = ask->step;
    tool_shape shape = tool_shape_of(step->cutter);
    fine_zones fine;
    th_pass pass = {.stock = ask->stock,
                    .cutter = step->cutter,
                    .wear = ask->wear,
                    .chip_load = ask->chip_load,
                    .speed = step->speed,
                    .resolution = 1,
                    .zones = fine.zones,
                    .slants = fine.slants};
    th_turn turn;

    fine_zones_of(&shape, &step->engagement, &fine);
    pass.zone_count = fine.count;
    if (!pass.zone_count || !(pass.chip_load > 0)) {
        return no_turn(force, err);
    }
    if (step->cutter->kind == TH_DRILL) {
        return th_fail(
            err, TH_NOT_POSSIBLE,
            "T%d is a drill and is fed sideways through the stock: give T%d an end mill, "
            "or feed straight down",
            step->tool, step->tool);
    }
    bool done = th_turn_run(&pass, &turn, err) && copy_turn(&turn, step->cutter, force, err);
    force->work = done ? turn.power / step->speed : 0;
    th_turn_free(&turn);
    return done;
}

static bool fill_force(const force_question *ask, step_force *force, th_error *err) {
    th_drill_load end;

    if (!side_force(ask, force, err) || !end_load(ask, &end, err)) {
        return false;
    }
    force->work += end.power / ask->step->speed;
    force->max_chip = fmax(force->max_chip, end.chip);
    force->lift_peak = -INFINITY;
    for (size_t i = 0; i < force->count; i++) {
        th_sample *sample = &force->samples[i];
        double plane = hypot(sample->fx, sample->fy);
        sample->mz -= end.torque;
        sample->fz += end.breakthrough_lift;
        if (plane > force->in_plane_peak) {
            force->in_plane_peak = plane;
            force->hardest = i;
        }
        force->lift_peak = fmax(force->lift_peak, sample->fz);
        force->torque_peak = fmax(force->torque_peak, fabs(sample->mz));
    }
    return true;
}

const step_force *force_of(force_table *table, const force_question *asked, th_error *err) {
    force_question ask = *asked;
    unsigned long long key;
    size_t at;

    ask.chip_load = rounded(ask.chip_load);
    ask.sink = rounded(ask.sink);
    key = key_of(&ask);
    if (table->used >= SLOTS_USED) {
        empty_slots(table);
    }
    if (!table->slots && !(table->slots = calloc(SLOTS, sizeof *table->slots))) {
        th_fail_memory(err);
        return NULL;
    }
    at = (size_t)(key % SLOTS);
    while (table->slots[at].key && table->slots[at].key != key) {
        at = (at + 1) % SLOTS;
    }
    if (!table->slots[at].key) {
        step_force fresh = {.key = key};
        if (!fill_force(&ask, &fresh, err)) {
            free(fresh.samples);
            return NULL;
        }
        table->slots[at] = fresh;
        table->used++;
        table->made++;
    }
    return &table->slots[at];
}
