/* odds.c - chance of letting go, from what scatters. */
#include <math.h>
#include <string.h>

#include "cautions.h"
#include "odds.h"

/* Independent randomisations, and Student's t of their mean at 95 % (15 degrees of freedom). */
enum { RANDOMISATIONS = 16 };
#define STUDENT 2.1314

/* Places that samples are drawn round: the middle, and where links let go. */
enum { CENTRES_MOST = 6 };
#define MIDDLE_SHARE 0.1 /* of the samples round the middle, where others are drawn elsewhere */
#define RARE 1.0         /* beta from which samples are drawn where links let go */
#define APART 0.7        /* closer centres are one */
#define HELD_LEAST 100   /* samples that hold before their direction tells of shares */
#define TOLD_LEAST 25    /* as many samples, by their weights, before their mean is told */
#define TOLD_SHARE 1e-3  /* of those that let go */
#define NO_SAMPLE 3.69   /* 95 % bound of a count of which none was seen (Clopper and Pearson) */

static const struct {
    const char *name, *law, *source;
    double spread;
} usual[TH_ODDS_INPUTS] = {
    {"tape on the part", "lognormal", NULL, 0},
    {"tape on the plate", "lognormal", NULL, 0},
    {"backing and glue", "lognormal", NULL, 0},
    /* 0.1 of the model's coefficients and 0.13 of the peak ratio, measured from 1.1 to 1.9 */
    {"cutting force", "lognormal",
     "model within 20 % of measured forces at 95 % (ASME MSEC 2009, statistical variation of "
     "machining forces), and the scatter of the peak ratio",
     0.2},
    {"coverage", "log-odds normal", "how evenly glue and tape are laid", 0.5},
    {"runout", "lognormal", "how cutters sit in a collet", 0.3},
    {"warmth", "normal", "room, and what the cut adds unevenly", 3},
};

/* ---- laws ------------------------------------------------------------------------------------ */

/* Standard deviation of the logarithm from the coefficient of variation. */
static double log_deviation(double variation) {
    return sqrt(log1p(variation * variation));
}

static const th_tape *tape_of(const th_job *job, int input) {
    const th_tape *above = job->hold.tape;
    const th_tape *below = job->hold.tape_below ? job->hold.tape_below : above;

    return input == TH_ODDS_PART_FACE       ? above
           : input == TH_ODDS_PLATE_FACE    ? below
           : above->spread >= below->spread ? above
                                            : below;
}

static void set_inputs(const th_job *job, const th_odds_options *options, th_odds *odds) {
    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        th_odds_input *input = &odds->inputs[i];
        *input = (th_odds_input){.name = usual[i].name,
                                 .law = usual[i].law,
                                 .middle = 1,
                                 .spread = usual[i].spread,
                                 .source = usual[i].source,
                                 .trust = TH_ESTIMATE};
        if (i <= TH_ODDS_INSIDE) {
            const th_tape *tape = tape_of(job, i);
            input->spread = tape->spread;
            input->source = tape->head.source;
            input->trust = tape->head.trust;
        }
        if (options->spreads[i] > 0) {
            input->spread = options->spreads[i];
            input->source = "as asked";
        }
    }
}

/* Full coverage as stated is as good as it gets; the middle stays a little below. */
#define COVERAGE_MOST 0.98

static th_scatter scatter_of(const th_job *job, const th_odds *odds) {
    double coverage = fmin(job->hold.coverage, COVERAGE_MOST);
    th_scatter scatter = {.force = log_deviation(odds->inputs[TH_ODDS_FORCE].spread),
                          .runout = log_deviation(odds->inputs[TH_ODDS_RUNOUT].spread),
                          .coverage = odds->inputs[TH_ODDS_COVERAGE].spread,
                          .odds = log(coverage / (1 - coverage)),
                          .warmth = odds->inputs[TH_ODDS_WARMTH].spread};

    for (int i = 0; i <= TH_ODDS_INSIDE; i++) {
        scatter.strength[i] = log_deviation(odds->inputs[i].spread);
    }
    return scatter;
}

/* Value of an input, z standard deviations from its middle. */
static double input_at(const th_response *r, int input, double z) {
    double place[TH_ODDS_INPUTS] = {0};
    th_change change;

    place[input] = z;
    change = th_scatter_change(&r->scatter, place);
    switch (input) {
    case TH_ODDS_FORCE:
        return exp(change.force);
    case TH_ODDS_COVERAGE:
        return change.coverage;
    case TH_ODDS_RUNOUT:
        return change.runout;
    case TH_ODDS_WARMTH:
        return r->job->hold.room_temperature + change.warmer;
    default:
        return exp(change.strength[input]);
    }
}

/* ---- first order ----------------------------------------------------------------------------- */

typedef struct {
    const th_response *response;
    size_t link;
} link_limit;

static double limit_of(void *context, const double *z) {
    const link_limit *l = context;
    th_lookup lookup;

    th_response_look(l->response, z, &lookup);
    return th_response_of(l->response, l->link, &lookup, z);
}

typedef struct {
    th_reliability links[TH_LINKS_MOST];
    size_t worst;
} first_order;

/* Warmth takes nothing below a point and much just above it, so one search starts warm. */
static th_reliability design_point(const th_response *r, size_t link) {
    static const double warm[TH_ODDS_INPUTS] = {[TH_ODDS_WARMTH] = 1.5};
    link_limit limit = {r, link};
    th_reliability plain = th_reliability_of(limit_of, &limit, TH_ODDS_INPUTS, NULL);
    th_reliability other = th_reliability_of(limit_of, &limit, TH_ODDS_INPUTS, warm);

    return other.settled && other.beta < plain.beta ? other : plain;
}

static first_order first_order_of(const th_response *r) {
    first_order f = {.worst = 0};

    for (size_t i = 0; i < r->link_count; i++) {
        f.links[i] = design_point(r, i);
        f.worst = f.links[i].beta < f.links[f.worst].beta ? i : f.worst;
    }
    return f;
}

static void take_first_order(const th_response *r, const first_order *f, th_odds *odds) {
    const th_reliability *worst = &f->links[f->worst];
    double none = 0; /* logarithm of the chance that no link lets go, all independent */

    for (size_t i = 0; i < r->link_count; i++) {
        none += log1p(-fmin(f->links[i].chance, 1 - 1e-16));
    }
    odds->first_order = worst->chance;
    odds->first_order_most = -expm1(none);
    odds->beta = worst->beta;
    odds->settled = worst->settled;
}

/* ---- sampling -------------------------------------------------------------------------------- */

/* Samples are drawn from a mixture of unit normals round several centres and weighted by the
 * density that they should have had over the one they had (importance sampling round design points:
 * Melchers 1989). */
typedef struct {
    double at[CENTRES_MOST][TH_ODDS_INPUTS];
    double share[CENTRES_MOST], half_square[CENTRES_MOST];
    size_t count;
} mixture;

static bool apart(const mixture *m, const double *at) {
    for (size_t c = 0; c < m->count; c++) {
        double square = 0;
        for (int i = 0; i < TH_ODDS_INPUTS; i++) {
            square += (at[i] - m->at[c][i]) * (at[i] - m->at[c][i]);
        }
        if (square < APART * APART) {
            return false;
        }
    }
    return true;
}

static void add_centre(mixture *m, const double *at, double share) {
    memcpy(m->at[m->count], at, sizeof m->at[0]);
    m->half_square[m->count] = 0;
    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        m->half_square[m->count] += at[i] * at[i] / 2;
    }
    m->share[m->count++] = share;
}

/* The middle, and the likeliest design points; the nearest first. */
static mixture mixture_of(const th_response *r, const first_order *f) {
    static const double middle[TH_ODDS_INPUTS] = {0};
    bool taken[TH_LINKS_MOST] = {false};
    double sum = 0;
    mixture m = {.count = 0};

    add_centre(&m, middle, 1);
    if (f->links[f->worst].beta < RARE) {
        return m;
    }
    m.share[0] = MIDDLE_SHARE;
    for (size_t round = 0; round < r->link_count && m.count < CENTRES_MOST; round++) {
        size_t next = TH_LINKS_MOST;
        for (size_t l = 0; l < r->link_count; l++) {
            if (!taken[l] && (next == TH_LINKS_MOST || f->links[l].beta < f->links[next].beta)) {
                next = l;
            }
        }
        if (next == TH_LINKS_MOST) {
            break;
        }
        taken[next] = true;
        if (apart(&m, f->links[next].at)) {
            /* half by chance, half alike: what first order underrates is drawn too */
            double ratio = exp((pow(f->links[f->worst].beta, 2) - pow(f->links[next].beta, 2)) / 2);
            add_centre(&m, f->links[next].at, 0.5 * ratio + 0.1);
            sum += m.share[m.count - 1];
        }
    }
    for (size_t c = 1; c < m.count; c++) {
        m.share[c] *= (1 - MIDDLE_SHARE) / sum;
    }
    return m;
}

static size_t centre_of(const mixture *m, double p) {
    size_t c = 0;

    while (c + 1 < m->count && p >= m->share[c]) {
        p -= m->share[c++];
    }
    return c;
}

static double weight_of(const mixture *m, const double *z) {
    double density = 0;

    if (m->count == 1) {
        return 1;
    }
    for (size_t c = 0; c < m->count; c++) {
        double along = -m->half_square[c];
        for (int i = 0; i < TH_ODDS_INPUTS; i++) {
            along += z[i] * m->at[c][i];
        }
        density += m->share[c] * exp(along);
    }
    return 1 / density;
}

/* Chance by one randomisation, as tabulated and with the hold factor off by the table's error. */
typedef struct {
    double below, plain, above;
} count_of;

/* Weights of some of the samples, and where those stand. */
typedef struct {
    double weight, square, z[TH_ODDS_INPUTS]; /* sums; square: of weights */
} standing;

typedef struct {
    standing all, gone;             /* every sample; those that let go */
    standing layers[TH_LAYERS + 1]; /* in which a link of the layer lets go, first or not */
    standing links[TH_LINKS_MOST];  /* in which the link lets go, first or not */
    double first[TH_LINKS_MOST];    /* weight of those in which it is the first */
} tally;

static void note(standing *s, const double *z, double weight) {
    s->weight += weight;
    s->square += weight * weight;
    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        s->z[i] += weight * z[i];
    }
}

static void note_gone(const th_response *r, const double *factors, size_t first, const double *z,
                      double weight, tally *t) {
    bool layers[TH_LAYERS + 1] = {false};

    for (size_t l = 0; l < r->link_count; l++) {
        if (factors[l] < 0) {
            note(&t->links[l], z, weight);
            layers[r->links[l].layer] = true;
        }
    }
    for (int layer = 0; layer <= TH_LAYERS; layer++) {
        if (layers[layer]) {
            note(&t->layers[layer], z, weight);
        }
    }
    note(&t->gone, z, weight);
    t->first[first] += weight;
}

/* Logarithms of the hold factors of all links; the lowest is returned. */
static size_t look_at_all(const th_response *r, const double *z, double *factors) {
    size_t least = 0;
    th_lookup lookup;

    th_response_look(r, z, &lookup);
    for (size_t i = 0; i < r->link_count; i++) {
        factors[i] = th_response_of(r, i, &lookup, z);
        least = factors[i] < factors[least] ? i : least;
    }
    return least;
}

static count_of sample(const th_response *r, const mixture *m, unsigned long long n,
                       th_sobol *sobol, tally *t) {
    double point[TH_ODDS_INPUTS + 1], z[TH_ODDS_INPUTS], factors[TH_LINKS_MOST];
    count_of sum = {0, 0, 0};

    for (unsigned long long k = 0; k < n; k++) {
        size_t centre, first;
        double weight;
        th_sobol_next(sobol, point);
        centre = centre_of(m, point[TH_ODDS_INPUTS]);
        for (int i = 0; i < TH_ODDS_INPUTS; i++) {
            z[i] = m->at[centre][i] + th_normal_quantile(point[i]);
        }
        first = look_at_all(r, z, factors);
        weight = weight_of(m, z);
        note(&t->all, z, weight);
        sum.above += factors[first] < r->error ? weight : 0;
        sum.below += factors[first] < -r->error ? weight : 0;
        if (factors[first] < 0) {
            sum.plain += weight;
            note_gone(r, factors, first, z, weight, t);
        }
    }
    return (count_of){sum.below / (double)n, sum.plain / (double)n, sum.above / (double)n};
}

static double mean_of(const double *values, double *error) {
    double sum = 0, square = 0;

    for (int i = 0; i < RANDOMISATIONS; i++) {
        sum += values[i] / RANDOMISATIONS;
    }
    for (int i = 0; i < RANDOMISATIONS; i++) {
        square += (values[i] - sum) * (values[i] - sum);
    }
    *error = STUDENT * sqrt(square / (RANDOMISATIONS - 1) / RANDOMISATIONS);
    return sum;
}

static void set_interval(const count_of *counts, double drawn, th_odds *odds) {
    double below[RANDOMISATIONS], plain[RANDOMISATIONS], above[RANDOMISATIONS], error;

    for (int i = 0; i < RANDOMISATIONS; i++) {
        below[i] = counts[i].below;
        plain[i] = counts[i].plain;
        above[i] = counts[i].above;
    }
    odds->chance = mean_of(plain, &error);
    odds->low = mean_of(below, &error);
    odds->low = fmax(odds->low - error, 0);
    odds->high = mean_of(above, &error);
    odds->high = odds->high > 0 ? fmin(odds->high + error, 1) : NO_SAMPLE / drawn;
    odds->low = odds->low < 1 ? odds->low : 1 - NO_SAMPLE / drawn;
}

/* Layer whose strength an input is; TH_LAYERS: of none. */
static th_layer layer_of(int input) {
    return input == TH_ODDS_PART_FACE    ? TH_LAYER_PART
           : input == TH_ODDS_PLATE_FACE ? TH_LAYER_PLATE
           : input == TH_ODDS_INSIDE     ? TH_LAYER_INSIDE
                                         : TH_LAYERS;
}

/* Shares of one link: the direction in which the samples lie that it lets go in, or, the fewer,
 * those that it does not, by what is left of the mean of all, which lies in the middle. Both are
 * alpha^2 where its limit is a plane. False: first order tells more. */
static bool shares_of(const tally *t, size_t link, double *share) {
    const standing *gone = &t->links[link];
    bool mostly = gone->weight > t->all.weight / 2;
    double square = 0;

    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        double z = mostly ? t->all.z[i] - gone->z[i] : gone->z[i];
        share[i] = z * z;
        square += share[i];
    }
    for (int i = 0; i < TH_ODDS_INPUTS && square > 0; i++) {
        share[i] /= square;
    }
    return square > 0 && (!mostly || t->all.weight - gone->weight >= HELD_LEAST);
}

/* Over the links, as often as each is the first to let go; by first order where no sample does. */
static void share_inputs(const th_response *r, const first_order *f, const tally *t,
                         th_odds *odds) {
    double sum = 0, share[TH_ODDS_INPUTS];

    for (size_t l = 0; l < r->link_count; l++) {
        double weight = t->gone.weight > 0 ? t->first[l] : f->links[l].chance;
        const double *of_link = shares_of(t, l, share) ? share : f->links[l].share;
        for (int i = 0; i < TH_ODDS_INPUTS; i++) {
            odds->inputs[i].share += weight * of_link[i];
            sum += weight * of_link[i];
        }
    }
    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        odds->inputs[i].share /= sum;
    }
}

/* Where an input stands as the job lets go; a strength: as its own layer does. */
static void place_inputs(const th_response *r, const tally *t, th_odds *odds) {
    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        th_layer layer = layer_of(i);
        const standing *s = layer < TH_LAYERS ? &t->layers[layer] : &t->gone;
        bool told = s->weight > 0 && s->weight >= TOLD_SHARE * t->gone.weight &&
                    s->weight * s->weight >= TOLD_LEAST * s->square;
        odds->inputs[i].middle = input_at(r, i, 0);
        odds->inputs[i].decides = told ? input_at(r, i, s->z[i] / s->weight) : (double)NAN;
    }
}

static void run_samples(const th_response *r, const first_order *f, double wanted, th_odds *odds) {
    mixture m = mixture_of(r, f);
    tally t = {.all = {.weight = 0}};
    count_of counts[RANDOMISATIONS];
    unsigned long long n = 16;

    while ((double)n * RANDOMISATIONS < wanted) {
        n *= 2;
    }
    for (unsigned i = 0; i < RANDOMISATIONS; i++) {
        th_sobol sobol;
        th_sobol_start(&sobol, TH_ODDS_INPUTS + 1, odds->seed, i);
        counts[i] = sample(r, &m, n, &sobol, &t);
    }
    odds->samples = (double)n * RANDOMISATIONS;
    odds->randomisations = RANDOMISATIONS;
    set_interval(counts, odds->samples * m.share[0], odds);
    share_inputs(r, f, &t, odds);
    place_inputs(r, &t, odds);
}

/* ---- words ----------------------------------------------------------------------------------- */

static const char *why_none(th_odds *odds, const th_stage *stage) {
    const char *reason = stage->way == TH_HEAT       ? "too warm"
                         : stage->way == TH_WAIT     ? "not set yet"
                         : stage->way == TH_COOLING  ? "not to be used with this cooling"
                         : stage->way == TH_ADHESION ? "without strength on this surface"
                                                     : "not there: no tape lies under the piece";

    return th_arena_print(&odds->arena, "%s: %s is %s", stage->cut->section,
                          stage->interface ? stage->interface : "the bond", reason);
}

static const char *why_certain(th_odds *odds, const th_certainty *certain) {
    return th_arena_print(&odds->arena,
                          "certain to let go, by this model: even with all that scatters %.1f "
                          "standard deviations to the good the hold factor is about %.2g",
                          certain->deviations, certain->hold_factor);
}

const char *th_table_off(double error, th_arena *arena, bool *off) {
    char percent[40];

    *off = !(error <= TH_TABLE_OFF);
    th_number_print(100 * error, 2, percent, sizeof percent);
    return *off
               ? th_arena_print(arena,
                                "the table that they would be drawn from misses fresh judgements "
                                "by %s %% of the hold factor; 2 %% is the most that tells anything",
                                percent)
               : NULL;
}

static const char *const layer_names[TH_LAYERS + 1] = {"tape on the part", "tape on the plate",
                                                       "backing and glue", "tabs", "too warm"};

static bool add_lines(th_odds *odds) {
    static const char *const assumed[] = {
        "a strength in the tables is the point that 5 % fall below; its middle follows by the "
        "spread",
        "strength is one figure a layer; part, plate and inside scatter independently, the less "
        "favourable way",
        "forces and peak ratio are in the middle as tabulated, though they are upper figures",
        "what a cut adds to the room's warmth grows with its force"};
    static const char *const left_out[] = {
        "workmanship: bubbles, grit, a lifted edge, tape laid badly",
        "oil or fingerprints under the tape", "chatter, a chipped or wrong cutter, a crash",
        "how much of the heat goes into the part, and how well tape and air take it away",
        "errors of the model itself"};

    for (size_t i = 0; i < sizeof assumed / sizeof *assumed; i++) {
        if (!th_lines_add(&odds->assumed, &odds->arena, "%s", assumed[i])) {
            return false;
        }
    }
    for (size_t i = 0; i < sizeof left_out / sizeof *left_out; i++) {
        if (!th_lines_add(&odds->left_out, &odds->arena, "%s", left_out[i])) {
            return false;
        }
    }
    return true;
}

/* ---- the whole ------------------------------------------------------------------------------- */

static bool work_out(const th_job *job, const th_odds_options *options, const th_judging *judging,
                     const th_judgement *judgement, th_odds *odds, th_error *err) {
    th_response *r = th_arena_take(&odds->arena, sizeof *r);
    const th_stage *stage;
    first_order f;
    bool off;

    if (!r) {
        return th_fail_memory(err);
    }
    *r = (th_response){.job = job, .scatter = scatter_of(job, odds)};
    if (!th_response_make(r, judging, judgement, &odds->arena, err)) {
        return false;
    }
    if (r->link_count == 0) {
        return th_fail(err, TH_NOT_SOLVED, "no stage of the job gives a table for the odds");
    }
    odds->response_error = r->error;
    odds->judgements = r->judgements;
    odds->checks = r->checks;
    odds->links = r->link_count;
    odds->why = th_table_off(r->error, &odds->arena, &off);
    if (off) {
        odds->possible = false;
        return odds->why || th_fail_memory(err);
    }
    f = first_order_of(r);
    take_first_order(r, &f, odds);
    stage = &judgement->stages[r->links[f.worst].stage];
    odds->where = layer_names[r->links[f.worst].layer];
    odds->weakest = th_arena_print(&odds->arena, "%s %s", stage->cut->section, stage->name);
    run_samples(r, &f, options->samples > 0 ? options->samples : 262144, odds);
    return odds->weakest || th_fail_memory(err);
}

/* The odds are those of the cuts as stated. */
static bool add_full_width(const th_job *job, const th_judging *judging, th_odds *odds,
                           th_error *err) {
    double least;
    char below[40];

    if (!th_full_width_least(job, judging, &least, err)) {
        return false;
    }
    if (!(least < fmax(odds->hold_factor, odds->asked_factor))) {
        return true;
    }
    th_factor_below(least, below, sizeof below);
    return th_lines_add(&odds->left_out, &odds->arena,
                        "that first laps out of a sheet and the first strips of a pocket are as "
                        "wide as the cutter: hold factor %s there",
                        below) ||
           th_fail_memory(err);
}

static bool run_with(const th_job *job, const th_odds_options *options, const th_judging *judging,
                     th_odds *odds, th_error *err) {
    th_judging first = *judging;
    th_judgement judgement;
    th_scatter scatter;
    th_certainty certain;

    if (!th_judge(job, &first, &odds->arena, 0, &judgement, err)) {
        return false;
    }
    odds->hold_factor = judgement.hold_factor;
    odds->verdict = th_verdict_of(odds->hold_factor, odds->asked_factor);
    odds->possible = odds->hold_factor > 0;
    set_inputs(job, options, odds);
    if (!add_lines(odds)) {
        return th_fail_memory(err);
    }
    if (!add_full_width(job, judging, odds, err)) {
        return false;
    }
    if (!odds->possible) {
        odds->why = why_none(odds, &judgement.stages[judgement.governs]);
        return odds->why || th_fail_memory(err);
    }
    scatter = scatter_of(job, odds);
    if (!th_odds_certain(job, &scatter, judging, &judgement, &certain, err)) {
        return false;
    }
    if (certain.lets_go) {
        odds->possible = false;
        odds->why = why_certain(odds, &certain);
        return odds->why || th_fail_memory(err);
    }
    return work_out(job, options, judging, &judgement, odds, err);
}

bool th_odds_run(const th_job *job, const th_odds_options *options, th_odds *odds, th_error *err) {
    th_judging judging = {
        .options = options->check, .shapes = th_shapes_new(), .cache = th_plate_cache_new()};
    bool fine = options->samples >= 0 && options->samples <= 1e9;

    *odds = (th_odds){.asked_factor = job->head.asked_factor,
                      .seed = options->seed ? options->seed : 1,
                      .chance = (double)NAN,
                      .low = (double)NAN,
                      .high = (double)NAN,
                      .first_order = (double)NAN,
                      .first_order_most = (double)NAN,
                      .beta = (double)NAN};
    if (!fine) {
        th_fail(err, TH_BAD_RANGE, "samples must lie between 1 and 1e9");
    } else {
        fine = judging.shapes && judging.cache ? run_with(job, options, &judging, odds, err)
                                               : th_fail_memory(err);
    }
    th_plate_cache_free(judging.cache);
    th_shapes_free(judging.shapes);
    if (!fine) {
        th_odds_free(odds);
    }
    return fine;
}

void th_odds_free(th_odds *odds) {
    if (odds) {
        th_arena_free(&odds->arena);
        *odds = (th_odds){0};
    }
}
