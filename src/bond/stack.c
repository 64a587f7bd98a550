/* stack.c - design strength of every interface between part and plate. */
#include "tackhold/bond.h"

#include <math.h>

/* Shares of strength by preparation of the surfaces and by pressing: estimates, in the order of
 * th_preparation and th_pressed. */
static const double preparation_share[] = {1.0, 0.9, 0.6};
static const double pressing_share[] = {1.0, 0.9, 0.7};

/* Tape wets its surface with the logarithm of time: half at 5 min, all at 24 h (estimate). */
static const double tape_half = 300, tape_full = 86400;
/* Glue: share that stands at 10 min (estimate). */
static const double glue_knee = 600, glue_knee_share = 0.6;
static const double reference_temperature = 23;
static const double shortest_load = 3;

/* A word that is not in the list earns nothing. */
static double share(const double *shares, size_t count, int word) {
    return word >= 0 && (size_t)word < count ? shares[word] : 0;
}

static double clamp_share(double value) {
    return value > 0 ? fmin(value, 1) : 0; /* also 0 for a NaN */
}

/* From a to b while the logarithm of t goes from that of t0 to that of t1. */
static double log_line(double t, double t0, double t1, double a, double b) {
    return a + (b - a) * log(t / t0) / log(t1 / t0);
}

static double tape_wait(double wait) {
    return wait > 0 ? clamp_share(log_line(wait, tape_half, tape_full, 0.5, 1)) : 0;
}

static double glue_wait(const th_glue *glue, double wait) {
    double start = fmax(glue->handling_time, 1e-3); /* zero has no logarithm */
    double full = glue->full_time;

    if (!(wait >= glue->handling_time)) {
        return 0;
    }
    if (wait >= full || start >= full) {
        return 1;
    }
    if (wait <= start) {
        return 0;
    }
    if (start >= glue_knee || full <= glue_knee) {
        return clamp_share(log_line(wait, start, full, 0, 1));
    }
    if (wait < glue_knee) {
        return clamp_share(log_line(wait, start, glue_knee, 0, glue_knee_share));
    }
    return clamp_share(log_line(wait, glue_knee, full, glue_knee_share, 1));
}

double th_time_factor(double seconds, double exponent) {
    if (seconds <= shortest_load) {
        return 1;
    }
    return pow(seconds / shortest_load, -exponent);
}

double th_temperature_factor(double celsius, double temperature_max, double strength_hot) {
    if (!(celsius <= temperature_max)) {
        return 0;
    }
    if (celsius <= reference_temperature) {
        return 1;
    }
    return pow(
        strength_hot,
        pow((celsius - reference_temperature) / (temperature_max - reference_temperature), 0.75));
}

static double by_cooling(int cooling, double dry, double mist, double water, double oil) {
    switch (cooling) {
    case TH_COOL_DRY:
        return dry;
    case TH_COOL_MIST:
        return mist;
    case TH_COOL_WATER:
        return water;
    case TH_COOL_OIL:
        return oil;
    default:
        return 0;
    }
}

static double tape_cooling(const th_tape *t, int cooling) {
    return by_cooling(cooling, t->dry, t->mist, t->water, t->oil);
}

static double tape_temperature(const th_tape *t, double celsius) {
    return th_temperature_factor(celsius, t->temperature_max, t->strength_hot);
}

/* Work the factors into the strengths. */
static th_interface derated(th_interface i) {
    const th_derating *d = &i.derating;
    double factor =
        d->temperature * d->cooling * d->preparation * d->adhesion * d->pressing * d->wait;

    i.shear *= factor;
    i.lift *= factor;
    return i;
}

/* Sticky face of a tape on a surface. `wet` is the surface's own factor for the cooling. */
static th_interface face_of(const th_hold_state *state, const th_tape *tape, const char *name,
                            double adhesion, double wet) {
    th_interface i = {.name = name,
                      .shear = tape->shear_strength,
                      .lift = tape->lift_strength,
                      .time_exponent = tape->load_time_exponent,
                      .row = &tape->head};

    i.derating.temperature = tape_temperature(tape, state->temperature);
    i.derating.cooling = tape_cooling(tape, state->cooling) * wet;
    i.derating.preparation =
        share(preparation_share, sizeof preparation_share / sizeof *preparation_share,
              state->preparation);
    i.derating.adhesion = adhesion;
    i.derating.pressing =
        share(pressing_share, sizeof pressing_share / sizeof *pressing_share, state->pressed);
    i.derating.wait = tape_wait(state->wait);
    return derated(i);
}

static th_interface backing_of(const th_hold_state *state, const th_tape *tape) {
    th_interface i = {.name = "tape backing",
                      .shear = tape->backing_shear,
                      .lift = tape->backing_lift,
                      .time_exponent = tape->load_time_exponent,
                      .derating = {1, 1, 1, 1, 1, 1},
                      .row = &tape->head};

    i.derating.temperature = tape_temperature(tape, state->temperature);
    i.derating.cooling = tape_cooling(tape, state->cooling);
    return derated(i);
}

static th_interface glue_of(const th_hold_state *state) {
    const th_glue *g = state->glue;
    th_interface i = {.name = "glue",
                      .shear = g->shear_strength,
                      .lift = g->lift_strength,
                      .time_exponent = 0,
                      .derating = {1, 1, 1, 1, 1, 1},
                      .row = &g->head};

    i.derating.temperature =
        th_temperature_factor(state->temperature, g->temperature_max, g->strength_hot);
    i.derating.cooling = by_cooling(state->cooling, g->dry, g->mist, g->water, g->oil);
    i.derating.wait = glue_wait(g, state->wait);
    return derated(i);
}

/* Which row limits a joint: the one whose factors fail, else the one of lower strength. */
static bool glue_limits(const th_derating *glue, double glue_shear, const th_derating *backing,
                        double backing_shear) {
    if (glue->temperature <= 0 || backing->temperature <= 0) {
        return glue->temperature <= backing->temperature;
    }
    if (glue->wait <= 0) {
        return true;
    }
    if (glue->cooling <= 0 || backing->cooling <= 0) {
        return glue->cooling <= backing->cooling;
    }
    return glue_shear * glue->temperature * glue->cooling <=
           backing_shear * backing->temperature * backing->cooling;
}

/* Glue on the back of a tape: the lower of glue and backing in each respect. */
static th_interface joint_of(const th_hold_state *state, const th_tape *tape, const char *name) {
    th_interface glue = glue_of(state), backing = backing_of(state, tape);
    const th_glue *g = state->glue;
    th_interface i = {.name = name,
                      .shear = fmin(g->shear_strength, tape->backing_shear),
                      .lift = fmin(g->lift_strength, tape->backing_lift),
                      .time_exponent = tape->load_time_exponent,
                      .derating = {1, 1, 1, 1, 1, 1},
                      .row = &tape->head};

    i.derating.temperature = fmin(glue.derating.temperature, backing.derating.temperature);
    i.derating.cooling = fmin(glue.derating.cooling, backing.derating.cooling);
    i.derating.wait = glue.derating.wait;
    if (glue_limits(&glue.derating, g->shear_strength, &backing.derating, tape->backing_shear)) {
        i.row = &g->head;
    }
    return derated(i);
}

static bool fails_by(const th_interface *i, th_unusable cause) {
    const th_derating *d = &i->derating;

    switch (cause) {
    case TH_TOO_WARM:
        return !(d->temperature > 0);
    case TH_NOT_SET:
        return !(d->wait > 0);
    case TH_NOT_FOR_COOLING:
        return !(d->cooling > 0);
    case TH_NO_ADHESION: /* whatever else leaves no strength */
        return !(i->shear > 0 && i->lift > 0);
    case TH_USABLE:
        break;
    }
    return false;
}

static void find_culprit(th_stack *stack) {
    /* what no lighter cut mends comes first */
    static const th_unusable causes[] = {TH_NOT_FOR_COOLING, TH_NOT_SET, TH_TOO_WARM,
                                         TH_NO_ADHESION};

    for (size_t c = 0; c < sizeof causes / sizeof *causes; c++) {
        for (size_t i = 0; i < stack->count; i++) {
            if (fails_by(&stack->interfaces[i], causes[c])) {
                stack->unusable = causes[c];
                stack->culprit = i;
                return;
            }
        }
    }
}

th_stack th_stack_of(const th_hold_state *state) {
    const th_tape *above = state->above;
    const th_tape *below = state->below != NULL ? state->below : above;
    double wet = state->cooling == TH_COOL_DRY ? 1 : state->plate->wet;
    th_stack stack = {.unusable = TH_USABLE};
    th_interface *next = stack.interfaces;

    *next++ = face_of(state, above, "part to tape", state->adhesion, 1);
    *next++ = backing_of(state, above);
    if (state->glue != NULL && !state->glue->absent) {
        *next++ = joint_of(state, above, "tape to glue");
        *next++ = glue_of(state);
        *next++ = joint_of(state, below, "glue to tape");
        *next++ = backing_of(state, below);
    }
    *next = face_of(state, below, "tape to plate", state->plate->adhesion, wet);
    if (!(wet > 0) && tape_cooling(below, state->cooling) > 0) {
        next->row = &state->plate->head; /* not the tape is what coolant ruins */
    }
    next++;
    stack.count = (size_t)(next - stack.interfaces);
    find_culprit(&stack);
    return stack;
}
