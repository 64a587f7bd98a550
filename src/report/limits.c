/* How far the cuts of a job may be opened: chart, fastest pair, table. */
#include <math.h>
#include <string.h>

#include "limits.h"
#include "words.h"

typedef struct {
    const th_job *job;
    const th_limits *limits;
    th_units units;
    th_doc *doc;
} view;

/* What is typed reads back as what was judged. */
enum { TYPED_DIGITS = 12 };

static const char *setting(th_doc *doc, const th_cut *cut, const char *key, double value,
                           th_units units) {
    bool inch = units == TH_INCH;

    return th_words_print(doc, "%s.%s=%s%s", cut->section, key,
                          th_words_number(doc, inch ? value / 25.4 : value, TYPED_DIGITS),
                          inch ? "in" : "mm");
}

/* What the job states with more digits than are typed is left as it is. */
static bool is_short(double value, th_units units) {
    double n = value / (units == TH_INCH ? 25.4e-4 : 1e-3);

    return fabs(n - nearbyint(n)) < 1e-5;
}

size_t th_limits_settings(th_doc *doc, const th_limit_cut *cut, th_units units,
                          const char *settings[3]) {
    const th_cut *of = cut->cut;
    double radial = cut->fastest.radial;
    size_t count = 0;

    if (of->operation == TH_ENGRAVE || of->operation == TH_CHAMFERING) {
        return 0;
    }
    if ((!cut->radial_fixed && is_short(radial, units)) ||
        fabs(radial - of->radial) > 1e-5 * of->radial) {
        settings[count++] = setting(doc, of, "radial", radial, units);
    }
    settings[count++] = setting(doc, of, "axial", cut->fastest.axial, units);
    if (cut->depth_follows) {
        settings[count++] = setting(doc, of, "depth", of->depth, units);
    }
    return count;
}

/* The job's own engagement as it states it, near enough. */
enum { STATED_DIGITS = 6 };

/* ---- lines ------------------------------------------------------------------------------------
 */

/* A length in the job's unit, rounded to so many digits: what is printed still holds. */
static double rounded(const view *v, double value, int digits, bool up) {
    double unit = v->units == TH_INCH ? 25.4 : 1, shown = value / unit;
    double scale = shown > 0 ? pow(10, digits - 1 - floor(log10(shown))) : 1;

    return (up ? ceil(shown * scale * (1 - 1e-9)) : floor(shown * scale * (1 + 1e-9))) / scale;
}

static const char *below(const view *v, double value) {
    return th_words_number(v->doc, rounded(v, value, 3, false), 3);
}

/* Both ends of a range rounded inwards, with as many digits as that takes. */
static void print_range(const view *v, const th_limit_point *p, const char **to,
                        const char **from) {
    int digits = 3;

    while (digits < 6 && rounded(v, p->least, digits, true) > rounded(v, p->axial, digits, false)) {
        digits++;
    }
    double high = rounded(v, p->axial, digits, false);
    *to = th_words_number(v->doc, high, digits);
    *from = th_words_number(v->doc, fmin(rounded(v, p->least, digits, true), high), digits);
}

/* A length rounded down to so many digits, with its unit. */
static const char *length(const view *v, double value, int digits) {
    return th_words_print(v->doc, "%s %s",
                          th_words_number(v->doc, rounded(v, value, digits, false), digits),
                          v->units == TH_INCH ? "in" : "mm");
}

/* Whether the form of the cutter gives the width: the job has no radial engagement then. */
static bool shaped(const th_limit_cut *cut) {
    return cut->cut->operation == TH_ENGRAVE || cut->cut->operation == TH_CHAMFERING;
}

static bool of_bond(th_limiter limiter) {
    return limiter == TH_BY_BOND || limiter == TH_BY_HEAT;
}

/* An engagement of the job's, and how it fares. */
typedef struct {
    const char *name;
    double radial;
    bool holds;
    th_limiter limiter;
} stated;

static void put_engagement(const view *v, const th_limit_cut *cut, const stated *as) {
    const char *width =
        shaped(cut) ? ""
                    : th_words_print(v->doc, "radial %s, ", length(v, as->radial, STATED_DIGITS));

    th_doc_pair(v->doc, as->name, "%saxial %s: %s%s", width,
                length(v, cut->cut->axial, STATED_DIGITS),
                as->holds                                      ? "holds"
                : cut->idle                                    ? "not judged: "
                : !of_bond(as->limiter) && cut->own_bond_holds ? "over a limit: "
                : of_bond(as->limiter)                         ? "does not hold: "
                                                               : "does not hold; over a limit: ",
                as->holds   ? ""
                : cut->idle ? cut->never
                            : th_limits_words(as->limiter));
}

static void put_stated(const view *v, const th_limit_cut *cut) {
    stated own = {"as stated", cut->cut->radial, cut->own_holds, cut->own_limiter};
    stated lap = {"first lap", cut->points[0].radial, cut->lap_holds, cut->lap_limiter};

    put_engagement(v, cut, &own);
    if (cut->first_lap && !cut->idle && lap.radial > own.radial * (1 + 1e-5)) {
        put_engagement(v, cut, &lap);
    }
}

/* The one engagement of a hole is too deep for its helix, however shallow. */
static bool by_helix(const th_limit_cut *cut) {
    return cut->point_count == 1 && !(cut->points[0].axial > 0) &&
           cut->points[0].limiter == TH_BY_HELIX;
}

/* The table leaves the pass that frees as the job has it. */
static const char *beside_last(const view *v, const th_cut *cut) {
    bool own = cut->operation == TH_OUTLINE && fabs(cut->last_axial - cut->axial) > 1e-9;

    return own ? th_words_print(v->doc, " beside a last pass of %s (last_axial)",
                                length(v, cut->last_axial, STATED_DIGITS))
               : "";
}

static void put_fastest(const view *v, const th_limit_cut *cut) {
    const th_limit_point *p = &cut->fastest;
    const char *settings[3], *typed = "";

    if (cut->idle) {
        return;
    }
    if (!cut->possible && by_helix(cut)) {
        th_doc_pair(v->doc, "fastest",
                    "none: the hole leaves no room for a helix that is flat enough; drill it, or "
                    "take a smaller cutter");
        return;
    }
    if (!cut->possible) {
        th_doc_pair(v->doc, "fastest", "none holds%s%s%s",
                    cut->never ? "" : beside_last(v, cut->cut), cut->never ? ": " : "",
                    cut->never       ? cut->never
                    : cut->given_up  ? " together with those of the other cuts"
                    : v->doc->screen ? "; the answer tells what to turn down"
                                     : "; tackhold check tells what to turn down");
        return;
    }
    const char *width =
        shaped(cut) ? "" : th_words_print(v->doc, "radial %s, ", length(v, p->radial, 3));
    th_doc_pair(v->doc, "fastest", "%saxial %s: %s %s, %s, hold factor %s; %s, %s", width,
                length(v, p->axial, 3), th_words_number(v->doc, p->passes, 6),
                p->passes > 1 ? "passes" : "pass",
                th_words_quantity(v->doc, p->minutes * 60, TH_TIME, v->units),
                th_words_factor(v->doc, p->hold_factor, v->limits->asked_factor),
                th_words_quantity(v->doc, cut->cut->speed, TH_SPINDLE_SPEED, v->units),
                th_words_quantity(v->doc, cut->cut->feed, TH_FEED, v->units));
    size_t count = th_limits_settings(v->doc, cut, v->units, settings);
    for (size_t i = 0; i < count; i++) {
        typed = th_words_print(v->doc, "%s%s%s%s", typed, i ? " " : "",
                               v->doc->screen ? "" : "--set ", settings[i]);
    }
    if (count) {
        th_doc_pair(v->doc, v->doc->screen ? "set" : "type", "%s", typed);
    }
}

/* A wall has the width that the job says; narrower ones in the table may well be quicker. */
static void put_width(const view *v, const th_limit_cut *cut) {
    bool wall = cut->cut->operation == TH_OUTLINE || cut->cut->operation == TH_SLOT;
    double quickest = INFINITY;
    for (size_t i = 0; i < cut->point_count; i++) {
        const th_limit_point *p = &cut->points[i];
        quickest = p->axial > 0 ? fmin(quickest, p->minutes) : quickest;
    }
    if (wall && cut->possible && quickest < 0.99 * cut->fastest.minutes) {
        th_doc_pair(v->doc, "width",
                    "quicker rows below are for a narrower cut than the %s there is to take: for "
                    "what another cut leaves on the wall",
                    length(v, cut->fastest.radial, 3));
    }
}

/* Wider rows may be quicker. */
static void put_strips(const view *v, const th_limit_cut *cut) {
    const th_limit_point *widest = &cut->points[cut->point_count - 1];
    bool strips = cut->cut->operation == TH_POCKET || cut->cut->operation == TH_FACING;
    double most = TH_STRIPS_MEET * cut->cut->cutter->row.diameter;

    if (strips && cut->possible && widest->axial > 0 && widest->radial > most &&
        widest->minutes < 0.99 * cut->fastest.minutes) {
        th_doc_pair(v->doc, "strips",
                    "wider than %s they may leave slivers between them where the cutter runs out "
                    "or bends",
                    length(v, most, 3));
    }
}

/* Deeper rows are for what a first strip has opened. */
static void put_first_strip(const view *v, const th_limit_cut *cut) {
    double deepest = 0;

    for (size_t i = 0; i < cut->point_count; i++) {
        deepest = fmax(deepest, cut->points[i].axial);
    }
    if (deepest > cut->first_strip * (1 + 1e-3)) {
        th_doc_pair(v->doc, "first strip",
                    cut->first_strip > 0
                        ? "of each level, as wide as the cutter: axial %s at most; deeper rows "
                          "hold only beside what is open"
                        : "of each level, as wide as the cutter: holds at no axial; the rows hold "
                          "only beside what is open",
                    length(v, cut->first_strip, 3));
    }
}

/* Some cuts fail as they are, so the job does with every other cut at its fastest. */
static void put_still_failing(const view *v) {
    const th_limits *limits = v->limits;
    const th_lines *aside = &limits->together.aside;
    bool lets_go = limits->together.job_factor < 1;
    const char *cuts = th_words_list(v->doc, aside, aside->count);
    const char *then = th_words_factor(v->doc, limits->together.job_factor, limits->asked_factor);

    if (limits->together.job_factor >= limits->asked_factor) {
        th_doc_pair(v->doc, "together",
                    "the job holds (%s), but keeps no reserve of heat: %s; "
                    "%s for the job",
                    then, cuts,
                    th_words_quantity(v->doc, limits->together.minutes * 60, TH_TIME, v->units));
        return;
    }
    th_doc_pair(v->doc, "together",
                "the job still %s (%s): %s; the fastest pairs of the other cuts hold beside it "
                "(%s), %s for the job",
                lets_go ? "lets go" : "does not hold", then, cuts,
                th_words_factor(v->doc, limits->together.hold_factor, limits->asked_factor),
                th_words_quantity(v->doc, limits->together.minutes * 60, TH_TIME, v->units));
}

/* What the pairs of several cuts come to. */
static void put_together(const view *v) {
    const th_limits *limits = v->limits;
    const th_lines *aside = &limits->together.aside;

    if (!limits->together.any || v->job->cut_count < 2) {
        return;
    }
    if (aside->count > 0) {
        put_still_failing(v);
        return;
    }
    th_doc_pair(v->doc, "together", "%s: hold factor %s, %s for the job",
                limits->cut_count > 1 ? "all fastest pairs set at once hold"
                                      : "the fastest pair and the other cuts hold",
                th_words_factor(v->doc, limits->together.hold_factor, limits->asked_factor),
                th_words_quantity(v->doc, limits->together.minutes * 60, TH_TIME, v->units));
}

/* ---- table ------------------------------------------------------------------------------------
 */

static bool any_holds(const th_limit_cut *cut) {
    for (size_t i = 0; i < cut->point_count; i++) {
        if (cut->points[i].axial > 0) {
            return true;
        }
    }
    return false;
}

/* Nothing holds, everywhere for the same reason: rows of zeros would say no more than one. */
static bool all_alike(const th_limit_cut *cut) {
    for (size_t i = 1; i < cut->point_count; i++) {
        if (cut->points[i].limiter != cut->points[0].limiter) {
            return false;
        }
    }
    return cut->point_count > 1 && !any_holds(cut);
}

static void put_point(const view *v, const th_limit_cut *cut, const th_limit_point *p) {
    const char *to = "0", *from = "-";
    bool none = !(p->axial > 0);

    if (!none) {
        print_range(v, p, &to, &from);
    }
    const char *cells[] = {shaped(cut) ? "-" : below(v, p->radial),
                           to,
                           from,
                           th_limits_words(p->limiter),
                           none ? "-" : th_words_number(v->doc, p->passes, 6),
                           none ? "-" : th_words_minutes(v->doc, p->minutes),
                           none ? "-"
                                : th_words_factor(v->doc, p->hold_factor, v->limits->asked_factor)};
    th_doc_row(v->doc, cells);
}

static void put_table(const view *v, const th_limit_cut *cut) {
    const char *unit = v->units == TH_INCH ? "in" : "mm";
    const th_doc_column columns[] = {
        {"radial", unit, true, false},  {"axial to", unit, true, false},
        {"from", unit, true, false},    {"limited by", NULL, false, false},
        {"passes", NULL, true, false},  {"time", NULL, true, false},
        {"hold", "factor", true, false}};

    th_doc_columns(v->doc, columns, sizeof columns / sizeof columns[0]);
    if (all_alike(cut)) {
        const char *cells[] = {"any", "0", "-", th_limits_words(cut->points[0].limiter),
                               "-",   "-", "-"};
        th_doc_row(v->doc, cells);
        return;
    }
    for (size_t i = 0; i < cut->point_count; i++) {
        put_point(v, cut, &cut->points[i]);
    }
}

bool th_report_limits(const th_job *job, const th_limits *limits, th_doc *doc, th_error *err) {
    view v = {job, limits, (th_units)job->head.units, doc};

    for (size_t i = 0; i < limits->cut_count; i++) {
        const th_limit_cut *cut = &limits->cuts[i];
        th_doc_begin(doc, th_words_print(doc, "%s %s, cutter %s", cut->cut->section,
                                         th_operation_name((th_operation)cut->cut->operation),
                                         cut->cut->cutter->id));
        put_stated(&v, cut);
        put_fastest(&v, cut);
        put_width(&v, cut);
        put_first_strip(&v, cut);
        put_strips(&v, cut);
        th_doc_begin(doc, NULL);
        if (!doc->screen && cut->point_count > 1 && any_holds(cut)) {
            th_limits_chart(doc, cut, v.units);
            th_doc_begin(doc, NULL);
        }
        put_table(&v, cut);
    }
    th_doc_begin(doc, NULL);
    if (limits->cut_count == 0) {
        th_doc_line(doc, "no milling cut: nothing to open");
    }
    put_together(&v);
    for (size_t i = 0; i < limits->notes.count; i++) {
        th_doc_line(doc, "%s", limits->notes.items[i]);
    }
    return !doc->failed || th_fail_memory(err);
}
