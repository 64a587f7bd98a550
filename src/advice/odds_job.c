/* odds_job.c - copies of a job whose strengths, forces, coverage, runout and warmth differ. */
#include <math.h>
#include <string.h>

#include "odds.h"

static void scale(double *value, double factor) {
    *value *= factor; /* NAN, not given, stays NAN */
}

static void change_forces(th_variant *v, double factor) {
    th_stock *stock = &v->stock;

    scale(&stock->kc11, factor);
    scale(&stock->ktc, factor);
    scale(&stock->krc, factor);
    scale(&stock->kac, factor);
    scale(&stock->kte, factor);
    scale(&stock->kre, factor);
    scale(&stock->kae, factor);
    for (size_t i = 0; i < v->job.cut_count; i++) {
        scale(&v->job.cuts[i].force_x, factor);
        scale(&v->job.cuts[i].force_y, factor);
        scale(&v->job.cuts[i].force_z, factor);
    }
}

static void change_tape(th_tape *tape, double inside) {
    scale(&tape->backing_shear, inside);
    scale(&tape->backing_lift, inside);
}

/* Through what multiplies strength alone: the springs of the tape stay those of its row. */
static void change_strengths(th_variant *v, const double *strength) {
    double inside = exp(strength[TH_LAYER_INSIDE]);

    scale(&v->stock.adhesion, exp(strength[TH_LAYER_PART]));
    scale(&v->plate.adhesion, exp(strength[TH_LAYER_PLATE]));
    scale(&v->stock.ultimate, exp(strength[TH_LAYER_TABS]));
    change_tape(&v->above, inside);
    change_tape(&v->below, inside);
    scale(&v->glue.shear_strength, inside);
    scale(&v->glue.lift_strength, inside);
}

/* As if no temperature took strength from any layer. */
static void keep_strength(th_variant *v) {
    const double never = 1e6;

    v->above.strength_hot = v->below.strength_hot = v->glue.strength_hot = 1;
    v->above.temperature_max = v->below.temperature_max = v->glue.temperature_max = never;
}

static bool copy_cuts(const th_job *job, th_arena *arena, th_job *copy) {
    copy->cuts = th_arena_take(arena, (job->cut_count + 1) * sizeof *copy->cuts);
    copy->cutters = th_arena_take(arena, (job->cutter_count + 1) * sizeof *copy->cutters);
    if (!copy->cuts || !copy->cutters) {
        return false;
    }
    memcpy(copy->cuts, job->cuts, job->cut_count * sizeof *copy->cuts);
    if (job->cutter_count > 0) {
        memcpy(copy->cutters, job->cutters, job->cutter_count * sizeof *copy->cutters);
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        if (copy->cuts[i].cutter) {
            copy->cuts[i].cutter = &copy->cutters[job->cuts[i].cutter - job->cutters];
        }
    }
    return true;
}

bool th_variant_make(const th_job *job, const th_change *change, th_arena *arena,
                     th_variant *variant) {
    const th_hold *hold = &job->hold;
    th_hold *own = &variant->job.hold;

    *variant = (th_variant){.job = *job,
                            .stock = *job->part.stock,
                            .above = *hold->tape,
                            .below = hold->tape_below ? *hold->tape_below : *hold->tape,
                            .glue = *hold->glue,
                            .plate = *hold->plate};
    if (!copy_cuts(job, arena, &variant->job)) {
        return false;
    }
    variant->job.part.stock = &variant->stock;
    own->tape = &variant->above;
    own->tape_below = hold->tape_below ? &variant->below : NULL;
    own->glue = &variant->glue;
    own->plate = &variant->plate;
    own->coverage = change->coverage;
    own->room_temperature += change->warmer;
    for (size_t i = 0; i < job->cutter_count; i++) {
        scale(&variant->job.cutters[i].row.runout, change->runout);
    }
    change_forces(variant, exp(change->force));
    change_strengths(variant, change->strength);
    if (change->lasting) {
        keep_strength(variant);
    }
    return true;
}

/* ---- warmth ---------------------------------------------------------------------------------- */

static const th_tape *tape_below(const th_hold *hold) {
    return hold->tape_below ? hold->tape_below : hold->tape;
}

static double warmth_of(double celsius, double temperature_max, double strength_hot) {
    return th_temperature_factor(fmin(celsius, temperature_max), temperature_max, strength_hot);
}

/* Inside, joints of tape and glue are never stronger than either, and take the lower. */
double th_layer_warmth(const th_job *job, th_layer layer, double celsius) {
    const th_hold *hold = &job->hold;
    const th_tape *above = hold->tape, *below = tape_below(hold);
    double factor = 1;

    if (layer == TH_LAYER_PART || layer == TH_LAYER_INSIDE) {
        factor = warmth_of(celsius, above->temperature_max, above->strength_hot);
    }
    if (layer == TH_LAYER_PLATE || (layer == TH_LAYER_INSIDE && below != above)) {
        factor = fmin(factor, warmth_of(celsius, below->temperature_max, below->strength_hot));
    }
    if (layer == TH_LAYER_INSIDE && !hold->glue->absent) {
        factor =
            fmin(factor, warmth_of(celsius, hold->glue->temperature_max, hold->glue->strength_hot));
    }
    return log(factor);
}

/* ---- laws ------------------------------------------------------------------------------------ */

double th_scatter_strength(const th_scatter *scatter, th_layer layer, const double *z) {
    static const int inputs[] = {TH_ODDS_PART_FACE, TH_ODDS_PLATE_FACE, TH_ODDS_INSIDE};

    return layer >= TH_LAYER_TABS ? 0
                                  : scatter->strength[layer] * (TH_FIVE_PERCENT + z[inputs[layer]]);
}

double th_scatter_coverage(const th_scatter *scatter, double z) {
    return 1 / (1 + exp(-(scatter->odds + scatter->coverage * z)));
}

th_change th_scatter_change(const th_scatter *scatter, const double *z) {
    th_change change = {.force = scatter->force * z[TH_ODDS_FORCE],
                        .coverage = th_scatter_coverage(scatter, z[TH_ODDS_COVERAGE]),
                        .runout = exp(scatter->runout * z[TH_ODDS_RUNOUT]),
                        .warmer = scatter->warmth * z[TH_ODDS_WARMTH]};

    for (int layer = 0; layer < TH_LAYERS; layer++) {
        change.strength[layer] = th_scatter_strength(scatter, (th_layer)layer, z);
    }
    return change;
}
