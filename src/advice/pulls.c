/* pulls.c - what pull tests say: groups, limits, and the tape row they make. */
#include "tackhold/advice.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SHORT_TIME 3.0   /* strengths of a row are those at 3 s (s) */
#define TEST_WARMTH 23.0 /* and at 23 C */
#define WARMTH_NEAR 2.0  /* differences that a shop's thermometer does not settle (K) */
#define HOLD_NEAR 2.0    /* longest over shortest hold that still counts as alike (-) */
#define FEW 5
#define EVEN 0.05          /* a scatter that tape hardly reaches (-) */
#define MUCH_ABOVE 2.0     /* of the row that it is compared with (-) */
#define OUTLIER_SIDE 0.025 /* chance on either side that a sound set is pointed at (-) */

/* ---- words ------------------------------------------------------------------------------------
 */

static const char *const kind_names[TH_PULL_KINDS] = {"shear", "lift"};
static const char *const place_names[TH_PULLED_PLACES] = {"part-tape", "backing", "tape-glue",
                                                          "glue", "tape-plate"};
enum { COOLINGS = 4 };
static const char *const cooling_names[COOLINGS] = {"dry", "mist", "water", "oil"};

static int position_of(const char *word, const char *const *names, int count) {
    for (int i = 0; i < count; i++) {
        if (strcmp(word, names[i]) == 0) {
            return i;
        }
    }
    return -1;
}

const char *th_pull_kind_name(th_pull_kind kind) {
    return kind_names[kind];
}

int th_pull_kind_of(const char *word) {
    return position_of(word, kind_names, TH_PULL_KINDS);
}

const char *th_pull_place_name(th_pull_place place) {
    return place_names[place];
}

int th_pull_place_of(const char *word) {
    return position_of(word, place_names, TH_PULLED_PLACES);
}

const char *th_pull_cooling_name(th_coolant_kind cooling) {
    return cooling_names[cooling];
}

int th_pull_cooling_of(const char *word) {
    return position_of(word, cooling_names, COOLINGS);
}

/* ---- one kind of test -------------------------------------------------------------------------
 */

typedef struct {
    const th_pull *pulls;
    size_t count;
    int kind;
} selection;

/* What was noted beside the force, over the tests of one kind. */
typedef struct {
    size_t no_warmth, no_cooling, no_hold, longer;
    double coldest, warmest, shortest, longest; /* NAN: never noted */
    bool cooled[COOLINGS];
} conditions;

static double stress_of(const th_pull *pull) {
    return pull->force / pull->area;
}

/* Mean and deviation of the logarithms, in two passes: the second needs a good mean. */
static void measure(const selection *of, th_pull_group *group, double *log_mean) {
    double sum = 0, squares = 0;

    group->lowest = INFINITY;
    for (size_t i = 0; i < of->count; i++) {
        if (of->pulls[i].kind == of->kind) {
            double stress = stress_of(&of->pulls[i]);
            sum += log(stress);
            group->count++;
            group->lowest = fmin(group->lowest, stress);
            group->highest = fmax(group->highest, stress);
            group->places[of->pulls[i].place]++;
        }
    }
    *log_mean = sum / (double)group->count;
    for (size_t i = 0; i < of->count; i++) {
        if (of->pulls[i].kind == of->kind) {
            double apart = log(stress_of(&of->pulls[i])) - *log_mean;
            squares += apart * apart;
        }
    }
    group->mean = exp(*log_mean);
    group->log_deviation = group->count > 1 ? sqrt(squares / (double)(group->count - 1)) : 0;
    group->scatter = sqrt(expm1(group->log_deviation * group->log_deviation));
}

/* The test that lies furthest from the mean, if too far for chance. */
static void find_outlier(const selection *of, double log_mean, th_pull_group *group) {
    double most = th_outlier_limit((int)group->count, OUTLIER_SIDE) * group->log_deviation;

    for (size_t i = 0; i < of->count; i++) {
        double stress = stress_of(&of->pulls[i]), apart = log(stress) - log_mean;
        if (of->pulls[i].kind == of->kind && fabs(apart) > most) {
            most = fabs(apart);
            group->outlier_line = of->pulls[i].line;
            group->outlier = stress;
            group->outlier_low = apart < 0;
        }
    }
}

static conditions conditions_of(const selection *of) {
    conditions c = {.coldest = NAN, .warmest = NAN, .shortest = NAN, .longest = NAN};

    for (size_t i = 0; i < of->count; i++) {
        const th_pull *pull = &of->pulls[i];
        if (pull->kind != of->kind) {
            continue;
        }
        c.no_warmth += isnan(pull->temperature) ? 1 : 0;
        c.no_cooling += pull->cooling < 0 ? 1 : 0;
        c.no_hold += isnan(pull->hold) ? 1 : 0;
        c.longer += pull->hold > SHORT_TIME ? 1 : 0;
        c.coldest = fmin(c.coldest, pull->temperature); /* fmin passes NAN over */
        c.warmest = fmax(c.warmest, pull->temperature);
        c.shortest = fmin(c.shortest, pull->hold);
        c.longest = fmax(c.longest, pull->hold);
        if (pull->cooling >= 0) {
            c.cooled[pull->cooling] = true;
        }
    }
    return c;
}

/* Four digits, never more than the value: a whole number over a power of ten, so that it is the
 * very double that its decimal text reads back to. */
static double rounded_down(double value) {
    if (!(value > 1e-300)) {
        return 0;
    }
    int decimals = 3 - (int)floor(log10(value));
    double power = pow(10, abs(decimals));
    double whole = decimals < 0 ? value / power : value * power;

    whole = floor(whole * (1 + 1e-12)); /* 0.13 x 1e4 may fall short of 1300 by a rounding */
    return decimals < 0 ? whole * power : whole / power;
}

static bool judge_group(const selection *of, th_pull_result *result, const conditions *c,
                        th_error *err) {
    th_pull_group *group = &result->groups[of->kind];
    double log_mean = 0;

    measure(of, group, &log_mean);
    if (group->count < TH_PULLS_MIN) {
        return th_fail(err, TH_MISSING,
                       "one %s test tells nothing of the scatter: a limit takes at least 2 of a "
                       "kind, and 10 make a good one",
                       kind_names[of->kind]);
    }
    if (group->count > TH_PULLS_MAX) {
        return th_fail(err, TH_BAD_RANGE, "%zu %s tests; at most %d of a kind", group->count,
                       kind_names[of->kind], TH_PULLS_MAX);
    }
    if (!th_tolerance_factor((int)group->count, result->share, result->confidence, &group->k,
                             err)) {
        return false;
    }
    group->limit = exp(log_mean - group->k * group->log_deviation);
    group->short_hold = 1;
    if (result->like != NULL && c->shortest < SHORT_TIME) {
        group->short_hold = pow(c->shortest / SHORT_TIME, result->like->load_time_exponent);
    }
    group->strength = rounded_down(group->limit * group->short_hold);
    if (!(isfinite(group->mean) && isfinite(group->scatter) && group->strength > 1e-9)) {
        return th_fail(err, TH_BAD_RANGE,
                       "the %s tests scatter so widely that no strength is left; pull more, and "
                       "look for a slip in area or force",
                       kind_names[of->kind]);
    }
    find_outlier(of, log_mean, group);
    return true;
}

/* ---- cautions ---------------------------------------------------------------------------------
 */

#define KPA 1000.0

typedef struct {
    th_pull_result *result;
    const th_pull_group *group;
    const conditions *c;
    const char *name; /* of the kind */
} view;

/* In the units that were asked for; "" when out of memory. */
static const char *shown(const view *v, double value, th_kind kind, int digits) {
    char text[48];
    const char *kept;

    th_quantity_print(value, kind, v->result->units, digits, text, sizeof text);
    kept = th_arena_print(&v->result->arena, "%s", text);
    v->result->cautions.failed = v->result->cautions.failed || !kept;
    return kept ? kept : "";
}

static const char *stress(const view *v, double value) {
    return shown(v, value, TH_PRESSURE, 3);
}

static const char *warmth(const view *v, double celsius) {
    return shown(v, celsius, TH_TEMPERATURE, 3);
}

#define CAUTION(v, ...) th_lines_add(&(v)->result->cautions, &(v)->result->arena, __VA_ARGS__)

static void caution_number(const view *v) {
    const th_pull_group *g = v->group;
    double k = 0;

    if (g->count < FEW &&
        th_tolerance_factor(10, v->result->share, v->result->confidence, &k, NULL)) {
        CAUTION(v,
                "%s: only %zu tests, so k = %.3g; 10 tests of the same mean and scatter would have "
                "k = %.3g and a limit of %s instead of %s",
                v->name, g->count, g->k, k, stress(v, g->mean * exp(-k * g->log_deviation)),
                stress(v, g->limit));
    }
    if (g->scatter < EVEN) {
        CAUTION(
            v,
            "%s: a scatter of %.2g %% is less than tape shows; were the joints made one by one, "
            "and does the scale read finely enough?",
            v->name, 100 * g->scatter);
    }
    if (g->outlier_line > 0) {
        CAUTION(v,
                "%s: line %d lies apart (%s): look at that joint. It is kept%s; strike it "
                "out only for a known fault of the test",
                v->name, g->outlier_line, stress(v, g->outlier),
                g->outlier_low ? ", a weak joint is a finding" : "");
    }
}

static void caution_places(const view *v) {
    const th_pull_group *g = v->group;
    size_t at = 0, glued = g->places[TH_PULLED_TAPE_GLUE] + g->places[TH_PULLED_GLUE];

    for (int i = 0; i < TH_PULLED_PLACES; i++) {
        at += g->places[i] > 0;
    }
    if (at > 1) {
        CAUTION(v,
                "%s: failed in %zu different places: the limit is that of the weakest mixture, not "
                "of one layer",
                v->name, at);
    }
    if (glued > 0) {
        CAUTION(v,
                "%s: %zu of %zu failed at the glue: the tape can do at least as much, how much "
                "more these tests do not show",
                v->name, glued, g->count);
    }
}

static void caution_warmth(const view *v) {
    const conditions *c = v->c;
    const th_tape *like = v->result->like;
    const char *test = warmth(v, TEST_WARMTH);

    if (c->warmest - c->coldest > WARMTH_NEAR) {
        CAUTION(v, "%s: pulled at %s to %s: the limit is that of the mixture", v->name,
                warmth(v, c->coldest), warmth(v, c->warmest));
    }
    if (c->warmest > TEST_WARMTH + WARMTH_NEAR) {
        CAUTION(v,
                "%s: pulled at up to %s, warmer than the %s of a row: nothing is raised for that, "
                "and a warm job lowers the row once more",
                v->name, warmth(v, c->warmest), test);
    }
    if (c->coldest < TEST_WARMTH - WARMTH_NEAR && like == NULL) {
        CAUTION(
            v,
            "%s: pulled at %s, colder than the %s of a row: tape is stronger cold, so the limit "
            "may be too high at %s",
            v->name, warmth(v, c->coldest), test, test);
    } else if (c->coldest < TEST_WARMTH - WARMTH_NEAR) {
        /* the curve of warmth, turned about 23 C: what cooling by as much may have added */
        double x = (TEST_WARMTH - c->coldest) / (like->temperature_max - TEST_WARMTH);
        CAUTION(
            v,
            "%s: pulled at %s, colder than the %s of a row: tape is stronger cold, at %s it may "
            "hold %.2g %% less. Pull it at %s or ask for a higher factor",
            v->name, warmth(v, c->coldest), test, test,
            100 * (1 - pow(like->strength_hot, pow(x, 0.75))), test);
    }
}

static void caution_cooling(const view *v) {
    const char *wet = NULL;
    int kinds = 0;

    for (int i = 0; i < COOLINGS; i++) {
        kinds += v->c->cooled[i];
        wet = i > 0 && v->c->cooled[i] ? cooling_names[i] : wet;
    }
    if (kinds > 1) {
        CAUTION(v, "%s: pulled with different cooling: the limit is that of the mixture", v->name);
    }
    if (wet != NULL) {
        CAUTION(v,
                "%s: some were pulled under %s: nothing is raised for that, and the row's factor "
                "for the cooling of a job comes on top",
                v->name, wet);
    }
}

static void caution_hold(const view *v) {
    const conditions *c = v->c;

    if (c->longest > HOLD_NEAR * c->shortest) {
        CAUTION(v, "%s: held for %.3g s to %.3g s: the limit is that of the mixture", v->name,
                c->shortest, c->longest);
    }
    if (c->shortest < SHORT_TIME && v->result->like != NULL) {
        CAUTION(
            v,
            "%s: held for as little as %.3g s: a row's strength is that at 3 s, so the limit is "
            "lowered by (t / 3 s)^%.3g = %.3g",
            v->name, c->shortest, v->result->like->load_time_exponent, v->group->short_hold);
    } else if (c->shortest < SHORT_TIME) {
        CAUTION(v,
                "%s: held for as little as %.3g s: a row's strength is that at 3 s; the limit is "
                "too high for a row until --like names the tape whose rule lowers it",
                v->name, c->shortest);
    }
}

/* What was taken as it stands, and what was taken for what was not noted. */
static void list_defaults(const view *v) {
    const conditions *c = v->c;
    size_t n = v->group->count;
    th_lines *lines = &v->result->defaults;
    th_arena *arena = &v->result->arena;

    if (c->no_warmth > 0) {
        th_lines_add(lines, arena, "%s: temperature not noted in %zu of %zu: taken as %s", v->name,
                     c->no_warmth, n, warmth(v, TEST_WARMTH));
    }
    if (c->no_cooling > 0) {
        th_lines_add(lines, arena, "%s: cooling not noted in %zu of %zu: taken as dry", v->name,
                     c->no_cooling, n);
    }
    if (c->no_hold > 0) {
        th_lines_add(lines, arena, "%s: hold not noted in %zu of %zu: taken as 3 s", v->name,
                     c->no_hold, n);
    }
    if (c->longer > 0) {
        th_lines_add(
            lines, arena,
            "%s: %zu of %zu held longer than the 3 s of a row: taken as they are, a longer "
            "hold raises nothing",
            v->name, c->longer, n);
    }
}

/* ---- the row ----------------------------------------------------------------------------------
 */

#define REASON(r, ...) th_lines_add(&(r)->reasons, &(r)->arena, __VA_ARGS__)

/* "part-tape 8, backing 2". */
static const char *places_text(th_pull_result *r, const th_pull_group *g) {
    const char *text = "";

    for (int i = 0; i < TH_PULLED_PLACES && text != NULL; i++) {
        if (g->places[i] > 0) {
            text = th_arena_print(&r->arena, "%s%s%s %zu", text, *text ? ", " : "", place_names[i],
                                  g->places[i]);
        }
    }
    return text == NULL ? "" : text;
}

static void reason_of_group(th_pull_result *r, int kind) {
    const th_pull_group *g = &r->groups[kind];

    if (g->count > 0) {
        REASON(r,
               "%s: %zu tests, mean %.4g kPa, lowest %.4g kPa, scatter %.3g %%, k = %.4g, limit "
               "%.4g kPa; failed at: %s.",
               kind_names[kind], g->count, g->mean * KPA, g->lowest * KPA, 100 * g->scatter, g->k,
               g->limit * KPA, places_text(r, g));
    }
    if (g->count > 0 && g->short_hold < 1) {
        REASON(r, "%s: lowered by %.3g for pulls shorter than 3 s.", kind_names[kind],
               g->short_hold);
    }
}

/* The travel that keeps the spring of `like`; less where the spring would then store more energy
 * than peeling needs. */
static double travel_of(th_pull_result *r, int kind, double strength, double like_strength,
                        double like_travel) {
    double stiffness = like_strength / like_travel;
    double kept = strength / stiffness, most = 2 * r->like->peel / strength;

    if (kept > most) {
        REASON(r,
               "%s_travel: at the stiffness of %s the joint would store more energy than its peel "
               "energy, so the spring is stiffer: 2 peel / strength.",
               kind_names[kind], r->like->head.id);
        return rounded_down(most);
    }
    REASON(r, "%s_travel = strength / %.4g N/mm3, the stiffness of %s.", kind_names[kind],
           stiffness, r->like->head.id);
    return rounded_down(kept);
}

static void set_backing(th_pull_result *r, int kind, double *backing) {
    const th_pull_group *g = &r->groups[kind];
    view v = {r, g, NULL, kind_names[kind]};

    if (g->places[TH_PULLED_BACKING] > 0) {
        *backing = g->strength;
        REASON(r, "backing_%s from the tests: %zu of %zu failed there.", kind_names[kind],
               g->places[TH_PULLED_BACKING], g->count);
    } else if (g->count > 0 && *backing < g->strength) {
        CAUTION(&v,
                "%s: the backing of %s (%s) is kept, as no test failed there; it is below the "
                "tests and will govern",
                v.name, r->like->head.id, stress(&v, *backing));
    }
}

/* The strength of a kind: tested, or that of `like`, lowered with the other kind. */
static double strength_of(th_pull_result *r, int kind, double like_strength, double other_ratio) {
    const th_pull_group *g = &r->groups[kind];
    view v = {r, g, NULL, kind_names[kind]};

    if (g->count > 0) {
        if (g->strength > MUCH_ABOVE * like_strength) {
            CAUTION(&v,
                    "%s: %s is %.2g times that of %s (%s): check areas, units and the scale before "
                    "you trust it",
                    v.name, stress(&v, g->strength), g->strength / like_strength, r->like->head.id,
                    stress(&v, like_strength));
        }
        return g->strength;
    }
    double strength = other_ratio < 1 ? rounded_down(like_strength * other_ratio) : like_strength;
    CAUTION(&v, "%s was not tested: %s, that of %s%s; the row is no more trusted than that one",
            v.name, stress(&v, strength), r->like->head.id,
            other_ratio < 1 ? " lowered as the tests lower the other" : "");
    REASON(r, "%s_strength is not tested: from %s%s.", v.name, r->like->head.id,
           other_ratio < 1 ? ", lowered in the same ratio as the other" : "");
    return strength;
}

/* INI values take no ';' and '#', nor quotes inside. */
static void make_plain(char *text) {
    for (; text != NULL && *text != '\0'; text++) {
        if (strchr(";#\"\\", *text) != NULL) {
            *text = ',';
        }
    }
}

/* "2026-01-03 to 2026-02-01", "on 2026-01-03", or "date not noted". */
static const char *dates_of(th_pull_result *r, const th_pull *pulls, size_t count) {
    const char *first = NULL, *last = NULL;

    for (size_t i = 0; i < count; i++) {
        const char *date = pulls[i].date;
        if (date != NULL) {
            first = first == NULL || strcmp(date, first) < 0 ? date : first;
            last = last == NULL || strcmp(date, last) > 0 ? date : last;
        }
    }
    if (first == NULL) {
        return "date not noted";
    }
    return strcmp(first, last) == 0 ? first : th_arena_print(&r->arena, "%s to %s", first, last);
}

static bool set_texts(th_pull_result *r, const th_pull *pulls, size_t count, th_error *err) {
    const char *own = ", own pull tests";
    size_t n = strlen(r->like->head.name), m = strlen(own);
    bool named = n >= m && strcmp(r->like->head.name + n - m, own) == 0;
    const char *dates = dates_of(r, pulls, count);
    char *name = th_arena_print(&r->arena, "%s%s", r->like->head.name, named ? "" : own);
    char *source = NULL;

    if (dates != NULL) {
        source = th_arena_print(
            &r->arena, "own pull tests, n = %zu in shear and %zu in lift, %s, other figures as %s",
            r->groups[TH_PULL_SHEAR].count, r->groups[TH_PULL_LIFT].count, dates, r->like->head.id);
    }
    make_plain(name);
    make_plain(source);
    r->row.head.name = name;
    r->row.head.source = source;
    return (name != NULL && source != NULL) || th_fail_memory(err);
}

static double ratio_of(const th_pull_group *group, double like_strength) {
    return group->count > 0 ? group->strength / like_strength : 1;
}

static bool make_row(th_pull_result *r, const th_pull *pulls, size_t count, th_error *err) {
    const th_tape *like = r->like;
    const th_pull_group *shear = &r->groups[TH_PULL_SHEAR], *lift = &r->groups[TH_PULL_LIFT];
    bool both = shear->count > 0 && lift->count > 0;

    r->row = *like;
    r->row.head = (th_row_head){.trust = both ? TH_MEASURED : like->head.trust};
    REASON(
        r,
        "Own pull tests: what %.4g %% of such joints reach, with %.4g %% confidence; log-normal, "
        "one-sided tolerance limit.",
        100 * r->share, 100 * r->confidence);
    reason_of_group(r, TH_PULL_SHEAR);
    reason_of_group(r, TH_PULL_LIFT);
    REASON(r, "The strengths are those of the whole joint as it was made and pulled, whichever "
              "layer failed: preparation, surface, pressing, wait and cooling of a job still lower "
              "them.");
    r->row.shear_strength =
        strength_of(r, TH_PULL_SHEAR, like->shear_strength, ratio_of(lift, like->lift_strength));
    r->row.lift_strength =
        strength_of(r, TH_PULL_LIFT, like->lift_strength, ratio_of(shear, like->shear_strength));
    r->row.shear_travel = travel_of(r, TH_PULL_SHEAR, r->row.shear_strength, like->shear_strength,
                                    like->shear_travel);
    r->row.lift_travel =
        travel_of(r, TH_PULL_LIFT, r->row.lift_strength, like->lift_strength, like->lift_travel);
    set_backing(r, TH_PULL_SHEAR, &r->row.backing_shear);
    set_backing(r, TH_PULL_LIFT, &r->row.backing_lift);
    double spread = fmax(shear->scatter, lift->scatter);
    r->row.spread = both ? spread : fmax(spread, like->spread);
    r->row.spread = fmin(ceil(r->row.spread * 1000) / 1000, 2);
    REASON(r, "Every other figure is that of %s.", like->head.id);
    return set_texts(r, pulls, count, err);
}

/* ---- all of it --------------------------------------------------------------------------------
 */

static bool judge_kinds(const th_pull *pulls, size_t count, th_pull_result *result, th_error *err) {
    for (int kind = 0; kind < TH_PULL_KINDS; kind++) {
        selection of = {pulls, count, kind};
        bool any = false;
        for (size_t i = 0; i < count; i++) {
            any = any || pulls[i].kind == kind;
        }
        if (!any) {
            continue;
        }
        conditions c = conditions_of(&of);
        if (!judge_group(&of, result, &c, err)) {
            return false;
        }
        view v = {result, &result->groups[kind], &c, kind_names[kind]};
        caution_number(&v);
        caution_places(&v);
        caution_warmth(&v);
        caution_cooling(&v);
        caution_hold(&v);
        list_defaults(&v);
    }
    return true;
}

bool th_pulls_judge(const th_pull *pulls, size_t count, const th_pull_options *options,
                    th_pull_result *result, th_error *err) {
    *result = (th_pull_result){.share = options->share,
                               .confidence = options->confidence,
                               .like = options->like,
                               .units = options->units};
    if (count == 0) {
        return th_fail(err, TH_MISSING, "there is no test");
    }
    if (!judge_kinds(pulls, count, result, err) ||
        (result->like != NULL && !make_row(result, pulls, count, err))) {
        return false;
    }
    return !(result->cautions.failed || result->reasons.failed || result->defaults.failed) ||
           th_fail_memory(err);
}

void th_pull_result_free(th_pull_result *result) {
    if (result != NULL) {
        th_arena_free(&result->arena);
        *result = (th_pull_result){0};
    }
}
