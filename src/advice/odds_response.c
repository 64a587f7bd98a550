/* odds_response.c - the hold factor of a job, tabulated over what scatters.
 *
 * A hold factor is the least of many: a minimum of smooth functions that is not smooth. So each
 * stage is tabulated by itself, once for each layer of the hold with the other layers made too
 * strong to matter. Strength then enters exactly; so do forces, but for bowed stock.
 *
 * What warmth takes depends on room, force, coverage and runout at once, so the table knows none of
 * it: it holds hold factors that warmth takes nothing from, and by how much the tape gets warmer
 * than the room, which is in proportion to force. The rest is worked out at every look. */
#include <math.h>
#include <string.h>

#include "odds.h"

/* Strength of a layer that must not govern, as a logarithm. */
#define TOO_STRONG 6.9

/* Links this much stronger than the weakest add nothing worth counting, and so many standard
 * deviations of the ratio of two strengths. */
#define FAR 2.0
#define FAR_DEVIATIONS 3.0

#define REACH 4.0       /* of the table, standard deviations */
#define STRAIGHT 0.0015 /* error that a straight line may have within */
#define MIDDLING 2.5    /* so many standard deviations; beyond it more */
#define STRAIGHT_FAR 0.01
#define NARROWEST                                                                                  \
    0.03 /* interval worth halving: where a tooth leaves the cut there is a corner                 \
          */
#define IN_PROPORTION 1e-3 /* forces: error of taking the hold factor as inverse to them */
#define WANTED 0.005       /* error of the whole table */
#define CHEAP_WANTED 0.001 /* the same where a finer axis of coverage is all that it takes */
#define HELD_OUT_REACH 2.5
#define HOT 2.5 /* so many standard deviations warmer and stronger, other links may be weakest */
#define TOO_WARM 6.0 /* as many do not make it too warm: heat is left out */
#define COOL 20.0    /* below the room: where heat is reckoned from (K) */

enum { HELD_OUT = 4, HELD_OUT_BOWED = 40, TABLE_MOST = 400, TAB_DOUBLINGS = 3 };

/* Values of the links at one place. */
typedef struct {
    double value[TH_LINKS_MOST], rise[TH_LINKS_MOST];
} reading;

/* A link that might be kept, in the middle. */
typedef struct {
    th_link link;
    double value; /* logarithm of its hold factor, strengths of the rows, nothing lost to warmth */
    double above; /* logarithm of its hold factor over that of the weakest, cold or hot */
} candidate;

typedef struct {
    th_response *response;
    th_judging judging;
    th_arena *arena;
    th_error *err;
    double hold_factor;         /* of the job as it stands */
    double rise;                /* largest of its stages that count (K) */
    double far;                 /* times as strong as the weakest: left out */
    const th_judgement *stated; /* the job as it stands */
    candidate *candidates;
    size_t candidate_count;
    bool wanted[TH_LAYERS]; /* layers with links of their own judgement */
    bool alike;             /* the face on the plate follows from that on the part */
    double plate_over_part; /* logarithm of their ratio */
    double bond_over_tabs;  /* logarithm of what the bond is raised by to see tabs break */
    reading middle;
    reading along[TH_AXES][TH_AXIS_MOST];
    th_load_line lines[TH_LINKS_MOST]; /* where forces have an axis */
    reading *plane; /* over force and runout, every second deviation of force judged, coverage in
                       the middle; NULL: not judged */
} maker;

/* ---- judging --------------------------------------------------------------------------------- */

/* Judge the job with a change. */
static bool judge(maker *m, const th_change *change, th_arena *arena, th_judgement *judgement) {
    th_variant *variant = th_arena_take(arena, sizeof *variant);
    th_judging judging = m->judging;

    if (!variant || !th_variant_make(m->response->job, change, arena, variant)) {
        return th_fail_memory(m->err);
    }
    judging.quick = false;
    judging.factors_only = true;
    judging.skip = NULL;
    if (judging.options->progress) {
        judging.options->progress(judging.options->context);
    }
    return th_judge(&variant->job, &judging, arena, 0, judgement, m->err);
}

/* Tabs earn the better of bond with them and bond alone, so a bond too strong to matter would hide
 * them: there it is made only as strong as lets them break first. */
static void isolate(const maker *m, th_layer layer, th_change *change) {
    change->lasting = true;
    for (int other = 0; other < TH_LAYERS; other++) {
        change->strength[other] = other == (int)layer      ? 0
                                  : layer == TH_LAYER_TABS ? m->bond_over_tabs
                                                           : TOO_STRONG;
    }
}

/* Which links one judgement of a layer tells of. */
static bool told_by(const maker *m, const th_link *link, th_layer layer) {
    return link->layer == layer || link->layer == TH_LAYER_HEAT ||
           (m->alike && link->layer == TH_LAYER_PLATE && layer == TH_LAYER_PART);
}

/* The warmest stage that counts. */
static size_t warmest_of(const th_judgement *judgement) {
    size_t warmest = judgement->governs;

    for (size_t i = 0; i < judgement->count; i++) {
        const th_stage *stage = &judgement->stages[i];
        if (stage->counts && stage->temperature > judgement->stages[warmest].temperature) {
            warmest = i;
        }
    }
    return warmest;
}

/* The weakest stage of a cut and a kind of piece. */
static size_t stage_of(const th_judgement *judgement, const char *section, th_piece_kind piece) {
    size_t found = judgement->count;

    for (size_t i = 0; i < judgement->count; i++) {
        const th_stage *stage = &judgement->stages[i];
        if (stage->piece == piece && strcmp(stage->cut->section, section) == 0 &&
            (found == judgement->count ||
             stage->hold_factor < judgement->stages[found].hold_factor)) {
            found = i;
        }
    }
    return found;
}

/* The job judged with one layer alone, in a room that is `warmer`, with forces of `force`. */
typedef struct {
    const th_judgement *judgement;
    const th_change *change;
    th_layer layer;
} judged_layer;

static bool read_link(const maker *m, const judged_layer *of, size_t i, reading *at) {
    const th_link *link = &m->response->links[i];
    const th_judgement *judgement = of->judgement;
    const th_change *change = of->change;
    bool heat = link->layer == TH_LAYER_HEAT;
    size_t at_stage =
        heat ? warmest_of(judgement) : stage_of(judgement, link->section, link->piece);
    const th_stage *stage = &judgement->stages[at_stage];
    double offset = heat || link->layer == of->layer ? 0 : m->plate_over_part;
    double room = m->response->job->hold.room_temperature + change->warmer;

    if (at_stage == judgement->count || !(stage->hold_factor > 0)) {
        return th_fail(m->err, TH_NOT_SOLVED, "a stage of the job loses its hold with its scatter");
    }
    at->rise[i] = (stage->temperature - room) / exp(change->force);
    at->value[i] = heat ? 0 : log(stage->hold_factor) + change->force + offset;
    return true;
}

static bool read_layer(maker *m, th_layer layer, th_change *change, reading *at) {
    th_response *r = m->response;
    th_arena arena = {NULL};
    th_judgement judgement;
    bool fine;

    isolate(m, layer, change);
    fine = judge(m, change, &arena, &judgement);
    for (size_t i = 0; fine && i < r->link_count; i++) {
        fine = !told_by(m, &r->links[i], layer) ||
               read_link(m, &(judged_layer){&judgement, change, layer}, i, at);
    }
    r->judgements += fine;
    th_arena_free(&arena);
    return fine;
}

static bool read_at(maker *m, const double *z, reading *at) {
    th_change change = th_scatter_change(&m->response->scatter, z);

    for (int layer = 0; layer < TH_LAYERS; layer++) {
        if (m->wanted[layer] && !read_layer(m, (th_layer)layer, &change, at)) {
            return false;
        }
    }
    return true;
}

/* ---- links ----------------------------------------------------------------------------------- */

/* A strength without what warmth takes. */
static double cold(const th_interface *i, double strength) {
    return i->derating.temperature > 0 ? strength / i->derating.temperature : 0;
}

/* Faces of equal ratio of strengths and equal loss with time give indices in proportion. */
static void compare_faces(maker *m, const th_stack *stack) {
    const th_interface *part = &stack->interfaces[0], *plate = &stack->interfaces[stack->count - 1];
    double shear = cold(plate, plate->shear) / cold(part, part->shear);
    double lift = cold(plate, plate->lift) / cold(part, part->lift);

    m->alike = fabs(shear - lift) < 1e-9 * shear &&
               fabs(part->time_exponent - plate->time_exponent) < 1e-12;
    m->plate_over_part = log(shear);
}

static void offer_stages(maker *m, const th_judgement *judgement, th_layer layer) {
    double room = m->response->job->hold.room_temperature;

    for (size_t i = 0; i < judgement->count; i++) {
        const th_stage *stage = &judgement->stages[i];
        const char *section = stage->cut->section;
        candidate fresh = {.link = {.section = section,
                                    .piece = stage->piece,
                                    .stage = stage_of(m->stated, section, stage->piece),
                                    .layer = layer}};
        if (!stage->counts || (layer == TH_LAYER_TABS && !th_stage_by_tabs(stage)) ||
            stage_of(judgement, section, stage->piece) != i ||
            fresh.link.stage == m->stated->count) {
            continue;
        }
        fresh.link.rise = stage->temperature - room;
        fresh.value = log(stage->hold_factor);
        m->candidates[m->candidate_count++] = fresh;
        if (m->alike && layer == TH_LAYER_PART) {
            fresh.link.layer = TH_LAYER_PLATE;
            fresh.value += m->plate_over_part;
            m->candidates[m->candidate_count++] = fresh;
        }
    }
}

static bool layer_links(maker *m, th_layer layer, const th_change *middle) {
    th_change change = *middle;
    th_arena arena = {NULL};
    th_judgement judgement;
    bool fine;

    isolate(m, layer, &change);
    fine = judge(m, &change, &arena, &judgement);
    if (fine) {
        offer_stages(m, &judgement, layer);
        m->response->judgements++;
    }
    th_arena_free(&arena);
    return fine;
}

/* Raise the bond, as warm as it is, until tabs break first somewhere, if they do within reach. */
static bool tab_links(maker *m, const th_change *middle) {
    const th_job *job = m->response->job;
    double celsius = job->hold.room_temperature + m->rise;
    size_t before = m->candidate_count;

    for (int d = 1; d <= TAB_DOUBLINGS && m->candidate_count == before; d++) {
        m->bond_over_tabs = d * log(2) + th_layer_warmth(job, TH_LAYER_INSIDE, celsius);
        if (!layer_links(m, TH_LAYER_TABS, middle)) {
            return false;
        }
    }
    return true;
}

static double value_at(const th_response *r, const candidate *c, double room, double force) {
    double celsius = fmin(room + c->link.rise * force, r->warmest);

    return c->value + th_layer_warmth(r->job, c->link.layer, celsius);
}

/* Of candidates, in the middle and where it is hot, how far each lies above the weakest. */
static void rank_candidates(maker *m) {
    const th_response *r = m->response;

    for (int hot = 0; hot < 2; hot++) {
        double room = r->job->hold.room_temperature + hot * HOT * r->scatter.warmth;
        double force = exp(hot * HOT * r->scatter.force), least = INFINITY;
        for (size_t i = 0; i < m->candidate_count; i++) {
            least = fmin(least, value_at(r, &m->candidates[i], room, force));
        }
        for (size_t i = 0; i < m->candidate_count; i++) {
            candidate *c = &m->candidates[i];
            double above = value_at(r, c, room, force) - least;
            c->above = hot ? fmin(c->above, above) : above;
        }
    }
}

/* Where it would be too warm within reach. */
static void add_heat(maker *m, const th_judgement *judgement) {
    th_response *r = m->response;
    double room = r->job->hold.room_temperature + TOO_WARM * r->scatter.warmth;
    size_t warmest = warmest_of(judgement);

    if (room + m->rise * exp(TOO_WARM * r->scatter.force) > r->warmest) {
        r->links[r->link_count++] = (th_link){.section = judgement->stages[warmest].cut->section,
                                              .piece = judgement->stages[warmest].piece,
                                              .stage = warmest,
                                              .layer = TH_LAYER_HEAT};
    }
}

/* Strengths that scatter widely change places. */
static double far_off(const th_scatter *scatter) {
    double most = 0;

    for (int i = 0; i < TH_LAYERS; i++) {
        for (int k = 0; k < i; k++) {
            most = fmax(most, hypot(scatter->strength[i], scatter->strength[k]));
        }
    }
    return fmax(FAR, exp(FAR_DEVIATIONS * most));
}

/* The weakest first; the last place is kept for heat. */
static void take_links(maker *m) {
    th_response *r = m->response;

    while (r->link_count < TH_LINKS_MOST - 1) {
        candidate *next = NULL;
        for (size_t i = 0; i < m->candidate_count; i++) {
            candidate *c = &m->candidates[i];
            next = !next || c->above < next->above ? c : next;
        }
        if (!next || !(next->above <= log(m->far))) {
            break;
        }
        r->links[r->link_count++] = next->link;
        m->wanted[m->alike && next->link.layer == TH_LAYER_PLATE ? TH_LAYER_PART
                                                                 : next->link.layer] = true;
        next->above = INFINITY;
    }
}

static bool find_links(maker *m, const th_judgement *judgement) {
    static const double middle[TH_ODDS_INPUTS] = {0};
    th_response *r = m->response;
    th_change change = th_scatter_change(&r->scatter, middle);

    m->candidates =
        th_arena_take(m->arena, (TH_LAYERS + 1) * judgement->count * sizeof *m->candidates);
    if (!m->candidates) {
        return th_fail_memory(m->err);
    }
    for (int layer = 0; layer < TH_LAYERS; layer++) {
        if (layer == TH_LAYER_TABS || (layer == TH_LAYER_PLATE && m->alike)) {
            continue;
        }
        if (!layer_links(m, (th_layer)layer, &change)) {
            return false;
        }
    }
    if (th_any_tabs(r->job) && !tab_links(m, &change)) {
        return false;
    }
    rank_candidates(m);
    take_links(m);
    add_heat(m, judgement);
    return true;
}

/* ---- one answer ------------------------------------------------------------------------------ */

/* What the table says of a link. */
typedef struct {
    double value, rise;
} figure;

static double answer(const th_response *r, const th_link *link, figure found, const th_lookup *at,
                     const double *z) {
    double celsius = at->room + found.rise * at->force;
    double cool = r->job->hold.room_temperature - COOL;

    if (link->layer == TH_LAYER_HEAT) {
        return log((r->warmest - cool) / fmax(celsius - cool, 1));
    }
    return found.value - r->scatter.force * z[TH_ODDS_FORCE] +
           th_scatter_strength(&r->scatter, link->layer, z) +
           th_layer_warmth(r->job, link->layer, celsius);
}

static void set_warmth(const th_response *r, const double *z, th_lookup *at) {
    at->room = r->job->hold.room_temperature + r->scatter.warmth * z[TH_ODDS_WARMTH];
    at->force = exp(r->scatter.force * z[TH_ODDS_FORCE]);
}

/* ---- axes ------------------------------------------------------------------------------------ */

static const int axis_input[TH_AXES] = {TH_ODDS_FORCE, TH_ODDS_COVERAGE, TH_ODDS_RUNOUT};

static double log_force(const th_response *r, size_t node) {
    return r->scatter.force * r->axes[TH_AXIS_FORCE].z[node];
}

/* A link half way from a node of an axis to the next but one, as a table without the node between
 * them has it. */
static double value_between(const maker *m, int axis, size_t node, size_t link) {
    const reading *a = &m->along[axis][node], *c = &m->along[axis][node + 2];
    const th_response *r = m->response;
    double low, middle, high, share, index;

    if (!r->axes[axis].load) {
        return (a->value[link] + c->value[link]) / 2;
    }
    low = log_force(r, node);
    middle = log_force(r, node + 1);
    high = log_force(r, node + 2);
    share = (exp(middle) - exp(low)) / (exp(high) - exp(low));
    index = (1 - share) * exp(low - a->value[link]) + share * exp(high - c->value[link]);
    return middle - log(index);
}

/* By how much the table would be off at the node after one without it, where it is warmer than
 * usual. */
static double largest_gap(const maker *m, int axis, size_t node) {
    static const double warm[TH_ODDS_INPUTS] = {[TH_ODDS_FORCE] = 1, [TH_ODDS_WARMTH] = 1};
    const reading *a = &m->along[axis][node], *b = a + 1, *c = a + 2;
    const th_response *r = m->response;
    th_lookup at;
    double gap = 0;

    set_warmth(r, warm, &at);
    for (size_t i = 0; i < r->link_count; i++) {
        figure real = {b->value[i], b->rise[i]};
        figure line = {value_between(m, axis, node, i), (a->rise[i] + c->rise[i]) / 2};
        gap = fmax(gap, fabs(answer(r, &r->links[i], real, &at, warm) -
                             answer(r, &r->links[i], line, &at, warm)));
    }
    return gap;
}

static bool read_along(maker *m, int axis, double z, reading *at) {
    double place[TH_ODDS_INPUTS] = {0};

    place[axis_input[axis]] = z;
    return read_at(m, place, at);
}

static void start_axis(maker *m, int axis, bool smooth) {
    m->response->axes[axis] = (th_axis){.count = 1, .smooth = smooth};
    m->along[axis][0] = m->middle;
}

/* A node more, in its order. */
static bool add_node(maker *m, int axis, double z) {
    th_axis *a = &m->response->axes[axis];
    size_t place = a->count;
    reading fresh;

    if (!read_along(m, axis, z, &fresh)) {
        return false;
    }
    while (place > 0 && a->z[place - 1] > z) {
        a->z[place] = a->z[place - 1];
        m->along[axis][place] = m->along[axis][place - 1];
        place--;
    }
    a->z[place] = z;
    m->along[axis][place] = fresh;
    a->count++;
    return true;
}

static bool add_pair(maker *m, int axis, double z) {
    return add_node(m, axis, -z) && add_node(m, axis, z);
}

/* Straight pieces, halved where they are not straight enough: a tooth that runout lifts out of the
 * cut altogether leaves a corner in the curve. */
static bool refine_axis(maker *m, int axis) {
    th_axis *a = &m->response->axes[axis];
    size_t i = 0;

    while (i + 1 < a->count && a->count < TH_AXIS_MOST) {
        double low = a->z[i], high = a->z[i + 1], middle = (low + high) / 2, gap;
        if (high - low < 2 * NARROWEST) {
            i++;
            continue;
        }
        if (!add_node(m, axis, middle)) {
            return false;
        }
        gap = largest_gap(m, axis, i);
        if (gap <= (fabs(middle) < MIDDLING ? STRAIGHT : STRAIGHT_FAR)) {
            i += 2;
        }
    }
    return true;
}

static bool any_runout(const th_job *job) {
    for (size_t i = 0; i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        if (cut->cutter && cut->operation != TH_DRILLED && cut->cutter->row.runout > 0) {
            return true;
        }
    }
    return false;
}

/* Whether hold factors fall, and the tape gets warmer, in proportion as forces rise. */
static bool in_proportion(maker *m, bool *yes) {
    reading stronger;
    const th_response *r = m->response;

    *yes = true;
    if (!read_along(m, TH_AXIS_FORCE, 2, &stronger)) {
        return false;
    }
    for (size_t i = 0; i < r->link_count; i++) {
        *yes =
            *yes && fabs(stronger.value[i] - m->middle.value[i]) < IN_PROPORTION &&
            fabs(stronger.rise[i] - m->middle.rise[i]) < IN_PROPORTION * fmax(m->middle.rise[i], 1);
    }
    return true;
}

static bool make_axes(maker *m) {
    bool proportional;

    start_axis(m, TH_AXIS_FORCE, false);
    start_axis(m, TH_AXIS_COVERAGE, true);
    start_axis(m, TH_AXIS_RUNOUT, false);
    if (!in_proportion(m, &proportional)) {
        return false;
    }
    m->response->axes[TH_AXIS_FORCE].load = !proportional;
    if (!proportional && !(add_pair(m, TH_AXIS_FORCE, REACH) && refine_axis(m, TH_AXIS_FORCE))) {
        return false;
    }
    if (any_runout(m->response->job) && m->response->scatter.runout > 0 &&
        !(add_pair(m, TH_AXIS_RUNOUT, REACH) && refine_axis(m, TH_AXIS_RUNOUT))) {
        return false;
    }
    return m->response->scatter.coverage <= 0 || add_pair(m, TH_AXIS_COVERAGE, REACH);
}

/* ---- the table ------------------------------------------------------------------------------- */

static size_t nodes_of(const th_response *r) {
    return r->axes[0].count * r->axes[1].count * r->axes[2].count;
}

static bool make_room(maker *m) {
    th_response *r = m->response;

    for (size_t i = 0; i < r->link_count; i++) {
        th_link *link = &r->links[i];
        link->values = th_arena_take(m->arena, nodes_of(r) * sizeof *link->values);
        link->rises = th_arena_take(m->arena, nodes_of(r) * sizeof *link->rises);
        link->rise = m->middle.rise[i];
        if (!link->values || !link->rises) {
            return th_fail_memory(m->err);
        }
    }
    return true;
}

static void keep_reading(th_response *r, size_t node, const reading *at) {
    for (size_t i = 0; i < r->link_count; i++) {
        r->links[i].values[node] = at->value[i];
        r->links[i].rises[node] = at->rise[i];
    }
}

/* What an input does by itself comes on top: to hold factor and rise as a factor. */
static void add_input(const maker *m, int axis, size_t node, reading *sum) {
    const reading *at = &m->along[axis][node], *middle = &m->middle;

    for (size_t i = 0; i < m->response->link_count; i++) {
        sum->value[i] += at->value[i] - middle->value[i];
        sum->rise[i] *= middle->rise[i] > 0 ? at->rise[i] / middle->rise[i] : 1;
    }
}

static void set_lines(maker *m) {
    const th_axis *axis = &m->response->axes[TH_AXIS_FORCE];

    for (size_t i = 0; i < m->response->link_count; i++) {
        th_load_line *line = &m->lines[i];
        line->count = axis->count;
        for (size_t n = 0; n < axis->count; n++) {
            double force = log_force(m->response, n);
            line->load[n] = exp(force);
            line->index[n] = exp(force - m->along[TH_AXIS_FORCE][n].value[i]);
        }
    }
}

/* With a bow: runout and coverage act as the factor on the load that does by itself what they do,
 * and these factors on each other. */
static void add_loads(const maker *m, const size_t *node, reading *sum) {
    const reading *runout = &m->along[TH_AXIS_RUNOUT][node[TH_AXIS_RUNOUT]];
    const reading *coverage = &m->along[TH_AXIS_COVERAGE][node[TH_AXIS_COVERAGE]];
    double force = log_force(m->response, node[TH_AXIS_FORCE]);

    for (size_t i = 0; i < m->response->link_count; i++) {
        const th_load_line *line = &m->lines[i];
        double load = m->plane ? th_load_of(line, exp(force - sum->value[i]), exp(force))
                               : exp(force) * th_load_of(line, exp(-runout->value[i]), 1);
        load *= th_load_of(line, exp(-coverage->value[i]), 1);
        sum->value[i] = force - log(th_load_index(line, load));
    }
}

static reading sum_of(const maker *m, const size_t *node) {
    size_t runouts = m->response->axes[TH_AXIS_RUNOUT].count;
    reading sum = m->middle, loads;

    if (m->plane) {
        sum = m->plane[node[TH_AXIS_FORCE] * runouts + node[TH_AXIS_RUNOUT]];
    } else {
        add_input(m, TH_AXIS_FORCE, node[TH_AXIS_FORCE], &sum);
        add_input(m, TH_AXIS_RUNOUT, node[TH_AXIS_RUNOUT], &sum);
    }
    loads = sum;
    add_input(m, TH_AXIS_COVERAGE, node[TH_AXIS_COVERAGE], &sum);
    if (m->response->axes[TH_AXIS_FORCE].load) {
        add_loads(m, node, &loads);
        memcpy(sum.value, loads.value, sizeof sum.value);
    }
    return sum;
}

/* A node on one of the axes has been judged already. */
static bool off_axis(const th_response *r, const size_t *node) {
    int away = 0;

    for (int axis = 0; axis < TH_AXES; axis++) {
        away += fabs(r->axes[axis].z[node[axis]]) > 1e-9;
    }
    return away > 1;
}

/* What a node holds; `judged`: by a judgement of its own. */
static bool find_node(maker *m, const size_t *node, bool judged, reading *at) {
    const th_response *r = m->response;
    double z[TH_ODDS_INPUTS] = {0};

    *at = sum_of(m, node);
    for (int axis = 0; axis < TH_AXES; axis++) {
        z[axis_input[axis]] = r->axes[axis].z[node[axis]];
    }
    return !judged || !off_axis(r, node) || read_at(m, z, at);
}

/* Fill the table; `each`: by a judgement of every node. */
static bool fill_table(maker *m, bool each) {
    th_response *r = m->response;
    size_t node[TH_AXES], place = 0;
    reading at;

    if (!make_room(m)) {
        return false;
    }
    if (r->axes[TH_AXIS_FORCE].load) {
        set_lines(m);
    }
    for (node[0] = 0; node[0] < r->axes[0].count; node[0]++) {
        for (node[1] = 0; node[1] < r->axes[1].count; node[1]++) {
            for (node[2] = 0; node[2] < r->axes[2].count; node[2]++, place++) {
                if (!find_node(m, node, each, &at)) {
                    return false;
                }
                keep_reading(r, place, &at);
            }
        }
    }
    return true;
}

/* By what a reading says that the load is multiplied at a force. */
static double load_factor(const maker *m, size_t link, size_t force, const reading *at) {
    double log_of = log_force(m->response, force);

    return th_load_of(&m->lines[link], exp(log_of - at->value[link]), exp(log_of)) / exp(log_of);
}

/* Of three forces, what a runout does at the middle one from what it does at the others. */
static reading between(const maker *m, const size_t *forces, const reading *low,
                       const reading *high) {
    const double *z = m->response->axes[TH_AXIS_FORCE].z;
    double share = (z[forces[1]] - z[forces[0]]) / (z[forces[2]] - z[forces[0]]);
    double force = log_force(m->response, forces[1]);
    reading at = *low;

    for (size_t i = 0; i < m->response->link_count; i++) {
        double factor = (1 - share) * log(load_factor(m, i, forces[0], low)) +
                        share * log(load_factor(m, i, forces[2], high));
        at.value[i] = force - log(th_load_index(&m->lines[i], exp(force + factor)));
        at.rise[i] = (1 - share) * low->rise[i] + share * high->rise[i];
    }
    return at;
}

/* Forces that are judged with every runout: every second deviation, and all that are so light that
 * a bow has much of the load. */
static bool in_plane(const th_axis *forces, size_t node) {
    return forces->z[node] < 0 || fabs(remainder(forces->z[node], REACH / 2)) < 1e-9;
}

static bool judge_row(maker *m, size_t *node, reading *row) {
    th_response *r = m->response;

    for (size_t i = 0; i < r->axes[TH_AXIS_RUNOUT].count; i++) {
        node[TH_AXIS_RUNOUT] = i;
        if (!find_node(m, node, true, &row[i])) {
            return false;
        }
    }
    return true;
}

/* Rows of forces between those that are judged. */
static void fill_rows(const maker *m, reading *plane) {
    const th_axis *axis = &m->response->axes[TH_AXIS_FORCE];
    size_t runouts = m->response->axes[TH_AXIS_RUNOUT].count, forces[3] = {0, 0, 0};

    for (size_t f = 0; f < axis->count; f++) {
        if (in_plane(axis, f)) {
            forces[0] = f;
            continue;
        }
        forces[1] = forces[2] = f;
        while (!in_plane(axis, forces[2])) {
            forces[2]++;
        }
        for (size_t i = 0; i < runouts; i++) {
            plane[f * runouts + i] = between(m, forces, &plane[forces[0] * runouts + i],
                                             &plane[forces[2] * runouts + i]);
        }
    }
}

/* Forces that do not scale and teeth that runout favours act on each other. */
static bool judge_plane(maker *m) {
    th_response *r = m->response;
    const th_axis *forces = &r->axes[TH_AXIS_FORCE];
    size_t runouts = r->axes[TH_AXIS_RUNOUT].count, node[TH_AXES] = {0};
    reading *plane = th_arena_take(m->arena, forces->count * runouts * sizeof *plane);

    if (!plane) {
        return th_fail_memory(m->err);
    }
    while (fabs(r->axes[TH_AXIS_COVERAGE].z[node[TH_AXIS_COVERAGE]]) > 1e-9) {
        node[TH_AXIS_COVERAGE]++;
    }
    for (size_t f = 0; f < forces->count; f++) {
        node[TH_AXIS_FORCE] = f;
        if (in_plane(forces, f) && !judge_row(m, node, &plane[f * runouts])) {
            return false;
        }
    }
    fill_rows(m, plane);
    m->plane = plane;
    return true;
}

/* ---- looking up ------------------------------------------------------------------------------ */

static void look_smooth(const th_axis *axis, double z, double *share) {
    for (size_t i = 0; i < axis->count; i++) {
        share[i] = 1;
        for (size_t k = 0; k < axis->count; k++) {
            share[i] *= k == i ? 1 : (z - axis->z[k]) / (axis->z[i] - axis->z[k]);
        }
    }
}

static void look_straight(const th_axis *axis, double z, size_t *first, double *share) {
    size_t low = 0, high = axis->count - 1;

    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (axis->z[middle] <= z) {
            low = middle;
        } else {
            high = middle;
        }
    }
    *first = low;
    share[1] = (z - axis->z[low]) / (axis->z[high] - axis->z[low]);
    share[0] = 1 - share[1];
}

/* Straight over the force itself. */
static void look_load(const th_response *r, double z, th_lookup *l) {
    double *share = l->share[TH_AXIS_FORCE];
    double low, high;

    l->logs[0] = log_force(r, l->first[TH_AXIS_FORCE]);
    l->logs[1] = log_force(r, l->first[TH_AXIS_FORCE] + 1);
    l->logs[2] = r->scatter.force * z;
    low = exp(l->logs[0]);
    high = exp(l->logs[1]);
    share[1] = (exp(l->logs[2]) - low) / (high - low);
    share[0] = 1 - share[1];
}

void th_response_look(const th_response *response, const double *z, th_lookup *lookup) {
    set_warmth(response, z, lookup);
    for (int a = 0; a < TH_AXES; a++) {
        const th_axis *axis = &response->axes[a];
        double at = fmin(fmax(z[axis_input[a]], axis->z[0]), axis->z[axis->count - 1]);
        lookup->first[a] = 0;
        lookup->count[a] = axis->smooth || axis->count < 2 ? axis->count : 2;
        lookup->share[a][0] = 1;
        if (axis->smooth) {
            look_smooth(axis, at, lookup->share[a]);
        } else if (axis->count > 1) {
            look_straight(axis, at, &lookup->first[a], lookup->share[a]);
        }
        if (axis->load) {
            look_load(response, at, lookup);
        }
    }
}

/* Over coverage and runout, at one force. */
static double look_across(const th_response *r, const th_lookup *l, size_t force,
                          const double *values) {
    double sum = 0;

    for (size_t j = 0; j < l->count[TH_AXIS_COVERAGE]; j++) {
        size_t row = (force * r->axes[TH_AXIS_COVERAGE].count + j) * r->axes[TH_AXIS_RUNOUT].count +
                     l->first[TH_AXIS_RUNOUT];
        double part = 0;
        for (size_t k = 0; k < l->count[TH_AXIS_RUNOUT]; k++) {
            part += l->share[TH_AXIS_RUNOUT][k] * values[row + k];
        }
        sum += l->share[TH_AXIS_COVERAGE][j] * part;
    }
    return sum;
}

static double look_up(const th_response *r, const th_lookup *l, const double *values) {
    double sum = 0;

    for (size_t i = 0; i < l->count[TH_AXIS_FORCE]; i++) {
        sum += l->share[TH_AXIS_FORCE][i] * look_across(r, l, l->first[TH_AXIS_FORCE] + i, values);
    }
    return sum;
}

static double look_up_value(const th_response *r, const th_lookup *l, const double *values) {
    double index = 0;

    if (!r->axes[TH_AXIS_FORCE].load) {
        return look_up(r, l, values);
    }
    for (size_t i = 0; i < 2; i++) {
        index += l->share[TH_AXIS_FORCE][i] *
                 exp(l->logs[i] - look_across(r, l, l->first[TH_AXIS_FORCE] + i, values));
    }
    return l->logs[2] - log(index);
}

double th_response_of(const th_response *response, size_t link, const th_lookup *lookup,
                      const double *z) {
    const th_link *l = &response->links[link];
    figure found = {l->layer == TH_LAYER_HEAT ? 0 : look_up_value(response, lookup, l->values),
                    l->rises ? look_up(response, lookup, l->rises) : l->rise};

    return answer(response, l, found, lookup, z);
}

/* ---- checking -------------------------------------------------------------------------------- */

/* What lets go first, and whether it is too warm. */
typedef struct {
    double hold, heat; /* logarithms; INFINITY: no such link */
} found_at;

static found_at tabulated(const th_response *r, const double *z) {
    found_at found = {INFINITY, INFINITY};
    th_lookup lookup;

    th_response_look(r, z, &lookup);
    for (size_t i = 0; i < r->link_count; i++) {
        double value = th_response_of(r, i, &lookup, z);
        if (r->links[i].layer == TH_LAYER_HEAT) {
            found.heat = value;
        } else {
            found.hold = fmin(found.hold, value);
        }
    }
    return found;
}

/* Judged places off the nodes, to measure the table by. */
typedef struct {
    int count;
    double z[HELD_OUT_BOWED][TH_ODDS_INPUTS];
    found_at fresh[HELD_OUT_BOWED];
} held_out;

/* Two places share a coverage, which is what takes time. Where it would be too warm they move to
 * where it is not: there hold factors are to be compared. Where force has an axis, stock is bowed;
 * what its bow and the force do to each other a few places may all miss, so there are more of them,
 * as far out as what scatters is on an average. */
static void hold_out(const th_response *r, held_out *held) {
    th_sobol sobol;
    double point[TH_ODDS_INPUTS];

    th_sobol_start(&sobol, TH_ODDS_INPUTS, 20, 0);
    held->count = r->axes[TH_AXIS_FORCE].count > 1 ? HELD_OUT_BOWED : HELD_OUT;
    for (int i = 0; i < held->count; i++) {
        double *z = held->z[i];
        th_sobol_next(&sobol, point);
        for (int d = 0; d < TH_ODDS_INPUTS; d++) {
            z[d] = (i < HELD_OUT ? HELD_OUT_REACH : sqrt(3.0)) * (2 * point[d] - 1);
        }
        z[TH_ODDS_COVERAGE] = held->z[i & ~1][TH_ODDS_COVERAGE];
        for (int n = 0; n < 10 && tabulated(r, z).heat < 0.01; n++) {
            z[TH_ODDS_FORCE] -= 0.25;
            z[TH_ODDS_WARMTH] -= 0.25;
        }
    }
}

/* The whole job at a place, with no layer set aside and all that warmth takes. */
static bool judge_fresh(maker *m, const double *z, found_at *fresh) {
    const th_response *r = m->response;
    th_change change = th_scatter_change(&r->scatter, z);
    th_arena arena = {NULL};
    th_judgement judgement;
    bool fine = judge(m, &change, &arena, &judgement);

    if (fine) {
        double cool = r->job->hold.room_temperature - COOL;
        double celsius = judgement.stages[warmest_of(&judgement)].temperature;
        *fresh =
            (found_at){log(judgement.hold_factor), log((r->warmest - cool) / (celsius - cool))};
        m->response->checks++;
    }
    th_arena_free(&arena);
    return fine;
}

/* A hold that is too warm has no hold factor to compare, only its heat. */
static void measure(th_response *r, const held_out *held) {
    r->error = 0;
    for (int i = 0; i < held->count; i++) {
        found_at found = tabulated(r, held->z[i]), fresh = held->fresh[i];
        if (isfinite(fresh.hold)) {
            r->error = fmax(r->error, fabs(found.hold - fresh.hold));
        }
        if (isfinite(found.heat)) {
            r->error = fmax(r->error, fabs(found.heat - fresh.heat));
        }
    }
}

/* Whether judging every force with every runout may help and can be paid. */
static bool plane_pays(const th_response *r) {
    return r->axes[TH_AXIS_FORCE].count > 1 && r->axes[TH_AXIS_RUNOUT].count > 1;
}

/* A finer coverage axis, forces with runouts, then every node judged, as long as that is asked for
 * and can be paid. */
static bool improve(maker *m, const held_out *held) {
    th_response *r = m->response;

    measure(r, held);
    if (r->error > CHEAP_WANTED && r->axes[TH_AXIS_COVERAGE].count > 1) {
        if (!add_pair(m, TH_AXIS_COVERAGE, REACH / 2) || !fill_table(m, false)) {
            return false;
        }
        measure(r, held);
    }
    if (r->error > WANTED && plane_pays(r)) {
        if (!judge_plane(m) || !fill_table(m, false)) {
            return false;
        }
        measure(r, held);
    }
    if (r->error > WANTED && nodes_of(r) <= TABLE_MOST) {
        if (!fill_table(m, true)) {
            return false;
        }
        measure(r, held);
    }
    return true;
}

/* A rise that never moves need not be looked up. */
static void settle_rises(th_response *r) {
    for (size_t i = 0; i < r->link_count; i++) {
        th_link *link = &r->links[i];
        bool moves = false;
        for (size_t n = 0; n < nodes_of(r); n++) {
            moves = moves || fabs(link->rises[n] - link->rise) > 0.01;
        }
        link->rises = moves ? link->rises : NULL;
    }
}

bool th_response_make(th_response *response, const th_judging *judging,
                      const th_judgement *judgement, th_arena *arena, th_error *err) {
    static const double middle[TH_ODDS_INPUTS] = {0};
    maker *m = th_arena_take(arena, sizeof *m);
    held_out *held = th_arena_take(arena, sizeof *held);

    if (!m || !held) {
        return th_fail_memory(err);
    }
    *m = (maker){.response = response,
                 .judging = *judging,
                 .arena = arena,
                 .err = err,
                 .hold_factor = judgement->hold_factor,
                 .stated = judgement};
    m->rise =
        judgement->stages[warmest_of(judgement)].temperature - response->job->hold.room_temperature;
    response->warmest = th_hold_warmest(response->job);
    m->far = far_off(&response->scatter);
    compare_faces(m, &judgement->stack);
    if (!find_links(m, judgement) || !read_at(m, middle, &m->middle) || !make_axes(m) ||
        !fill_table(m, false)) {
        return false;
    }
    hold_out(response, held);
    for (int i = 0; i < held->count; i++) {
        if (!judge_fresh(m, held->z[i], &held->fresh[i])) {
            return false;
        }
    }
    if (!improve(m, held)) {
        return false;
    }
    settle_rises(response);
    return true;
}
