/* The odds as text. */
#include "odds.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "words.h"

/* ---- one chance ------------------------------------------------------------------------------ */

double th_chance_unit(double chance, double low, double high) {
    double least = fmax(fmin(chance, 1 - chance), TH_CHANCE_LEAST / 10);
    double unit = pow(10, floor(log10(least))), shown = th_chance_round(chance, unit);

    return shown < low || shown > high || shown >= 1 ? unit / 10 : unit;
}

double th_chance_round(double chance, double unit) {
    /* over the power of ten, not times its inverse: the nearest number to what is written */
    return unit < 1 ? nearbyint(chance / unit) / nearbyint(1 / unit) : nearbyint(chance);
}

double th_chance_outward(double chance, bool up) {
    double unit;

    if (!(chance > 0) || chance >= 1) {
        return chance;
    }
    unit = pow(10, floor(log10(fmin(chance, fmax(1 - chance, 1e-12)))) - 1);
    return fmin(
        (up ? ceil(chance / unit - 1e-9) : floor(chance / unit + 1e-9)) / nearbyint(1 / unit), 1);
}

static void print_percent(double chance, double unit, char *text, size_t size) {
    int digits = (int)fmax(0, -nearbyint(log10(unit)) - 2);

    th_print(text, size, "%.*f %%", digits, 100 * th_chance_round(chance, unit));
}

static void print_outward(double chance, bool up, char *text, size_t size) {
    double least = fmin(chance, 1 - chance);
    double unit = least > 0 ? pow(10, floor(log10(least)) - 1) : 1;

    print_percent(th_chance_outward(chance, up), unit, text, size);
}

void th_chance_print(double chance, double low, double high, char *text, size_t size) {
    double unit = th_chance_unit(chance, low, high), shown = th_chance_round(chance, unit);
    char percent[40], other[40];

    if (!(chance >= 0)) {
        snprintf(text, size, "-");
    } else if (high < TH_CHANCE_LEAST) {
        snprintf(text, size, "under 1 in a million, by this model");
    } else if (low > 1 - TH_CHANCE_LEAST) {
        snprintf(text, size, "nearly certain, by this model");
    } else if (chance < TH_CHANCE_LEAST || shown <= 0) {
        print_outward(high, true, percent, sizeof percent);
        snprintf(text, size, "at most %s", percent);
    } else if (shown >= 1) {
        print_outward(low, false, percent, sizeof percent);
        snprintf(text, size, "over %s", percent);
    } else {
        print_percent(chance, unit, percent, sizeof percent);
        th_number_print(1 / shown, shown < 2 * unit ? 1 : 2, other, sizeof other);
        snprintf(text, size, shown < 0.2 ? "%s (about 1 in %s)" : "%s", percent, other);
    }
}

/* ---- the report ------------------------------------------------------------------------------ */

typedef struct {
    th_doc *doc;
    const th_job *job;
    const th_odds *odds;
    th_units units;
} view;

static const char *value_of(const view *v, int input, double value) {
    if (isnan(value)) {
        return "-";
    }
    if (input == TH_ODDS_WARMTH) {
        return th_words_quantity(v->doc, value, TH_TEMPERATURE, v->units);
    }
    return input == TH_ODDS_COVERAGE
               ? th_words_print(v->doc, "%s %%", th_words_number(v->doc, 100 * value, 2))
               : th_words_print(v->doc, "x %.2f", value);
}

static const char *spread_of(const view *v, int input) {
    double spread = v->odds->inputs[input].spread;

    if (input == TH_ODDS_WARMTH) {
        bool inch = v->units == TH_INCH;
        return th_words_print(v->doc, "%s %s",
                              th_words_number(v->doc, inch ? 1.8 * spread : spread, 2),
                              inch ? "F" : "C");
    }
    return th_words_number(v->doc, spread, 2);
}

static void put_inputs(const view *v) {
    static const th_doc_column columns[] = {
        {"what scatters", NULL, false, false}, {"as", NULL, false, false},
        {"middle", NULL, true, false},         {"spread", NULL, true, false},
        {"lets go at", NULL, true, false},     {"share", NULL, true, false}};

    th_doc_begin(v->doc, NULL);
    th_doc_columns(v->doc, columns, sizeof columns / sizeof *columns);
    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        const th_odds_input *input = &v->odds->inputs[i];
        const char *cells[] = {input->name,
                               input->law,
                               value_of(v, i, input->middle),
                               spread_of(v, i),
                               value_of(v, i, input->decides),
                               th_words_print(v->doc, "%.0f %%", 100 * input->share)};
        th_doc_row(v->doc, cells);
    }
}

static void put_first_order(const view *v) {
    const th_odds *o = v->odds;
    double digits = 0.01 * fmin(o->first_order, 1 - o->first_order); /* two, at most */
    char chance[80];

    th_chance_print(o->first_order, o->first_order - digits, o->first_order + digits, chance,
                    sizeof chance);
    th_doc_pair(v->doc, "first order", "beta %s%s, %s: %s, %s, alone",
                th_words_number(v->doc, o->beta, 2), o->settled ? "" : " (did not settle)", chance,
                o->weakest, o->where);
}

/* More than that is not what the hold factor seems to say. */
#define MUCH 0.01

static void put_mind(const view *v) {
    if (strcmp(v->odds->where, "too warm") == 0) {
        th_doc_pair(v->doc, "mind",
                    "that is a lot for a job that holds: it is so near to its limit of heat that "
                    "a warmer day or a blunter cutter takes all its strength at once, which no "
                    "hold factor shows; cut lighter, or take what stands more heat");
        return;
    }
    th_doc_pair(v->doc, "mind",
                "that is a lot for a job that holds: %s has less reserve than the hold factor "
                "tells",
                v->odds->where);
}

static void put_odds(const view *v) {
    const th_odds *o = v->odds;
    char chance[80], low[40], high[40];

    th_chance_print(o->chance, o->low, o->high, chance, sizeof chance);
    th_doc_pair(v->doc, "lets go", "%s", chance);
    if (o->high >= TH_CHANCE_LEAST && o->low <= 1 - TH_CHANCE_LEAST) {
        print_outward(o->low, false, low, sizeof low);
        print_outward(o->high, true, high, sizeof high);
        th_doc_pair(v->doc, "interval", "%s to %s (95 %%, of sampling and table, not of the model)",
                    o->low >= TH_CHANCE_LEAST ? low : "0", high);
    }
    put_first_order(v);
}

static void put_list(const view *v, const char *label, const th_lines *lines) {
    th_doc_pair(v->doc, label, "%s", th_words_list(v->doc, lines, lines->count));
}

static void put_method(const view *v) {
    const th_odds *o = v->odds;

    th_doc_pair(v->doc, "method", "%.0f samples (%d times scrambled Sobol points, seed %llu)",
                o->samples, o->randomisations, o->seed);
    th_doc_pair(v->doc, "table",
                "%zu stages and layers, %zu judgements; off by %s %% at most over %zu fresh ones",
                o->links, o->judgements, th_words_number(v->doc, 100 * o->response_error, 2),
                o->checks);
}

/* Whether an input's spread comes from the same place as that of one before it. */
static bool told_before(const th_odds *o, int input) {
    for (int i = 0; i < input && i <= TH_ODDS_INSIDE; i++) {
        if (strcmp(o->inputs[i].source, o->inputs[input].source) == 0) {
            return true;
        }
    }
    return false;
}

static void put_spreads(const view *v) {
    const th_odds *o = v->odds;
    const char *text = "";

    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        const th_odds_input *input = &o->inputs[i];
        if (!told_before(o, i)) {
            text = th_words_print(v->doc, "%s%s%s: %s (%s)", text, i > 0 ? "; " : "", input->name,
                                  input->source, th_trust_name((th_trust)input->trust));
        }
    }
    th_doc_pair(v->doc, "spreads", "%s", text);
}

static void build(const view *v) {
    static const char *const shouts[] = {"HOLDS", "UNPROVEN", "LETS GO"};
    const th_odds *o = v->odds;

    th_doc_line(v->doc, "%s  hold factor %s, asked %s%s", shouts[o->verdict],
                th_words_factor(v->doc, o->hold_factor, o->asked_factor),
                th_words_factor(v->doc, o->asked_factor, o->asked_factor),
                o->possible ? ": this decides, the odds below do not" : "");
    if (!o->possible) {
        th_doc_pair(v->doc, "lets go", "no odds: %s", o->why);
        th_doc_pair(v->doc, "safety", "%s", TH_WORDS_SAFETY);
        return;
    }
    put_odds(v);
    if (o->verdict == TH_HOLDS && o->chance > MUCH) {
        put_mind(v);
    }
    put_list(v, "not in it", &o->left_out);
    put_inputs(v);
    th_doc_begin(v->doc, NULL);
    put_list(v, "assumed", &o->assumed);
    put_spreads(v);
    put_method(v);
    th_doc_pair(v->doc, "safety", "%s", TH_WORDS_SAFETY);
}

bool th_report_odds(const th_job *job, const th_odds *odds, th_doc *doc, th_error *err) {
    view v = {doc, job, odds, (th_units)job->head.units};

    build(&v);
    return !doc->failed || th_fail_memory(err);
}
