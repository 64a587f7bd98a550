/* The answer for a program: which line holds least, and what to change. */
#include <math.h>
#include <string.h>

#include "tackhold/report.h"
#include "words.h"

enum { LOOSE_SHOWN = 8, FOUND_SHOWN = 8, SLOWED_SHOWN = 10, CAUTIONS_SHOWN = 6 };

typedef struct {
    const th_program_shown *shown;
    const th_run *run;
    th_units units;
    bool all;
    th_doc *doc;
} view;

static const char *q(const view *v, double value, th_kind kind) {
    return th_words_quantity(v->doc, value, kind, v->units);
}

static const char *bare(const view *v, double value, th_kind kind) {
    return th_words_bare(v->doc, value, kind, v->units);
}

static const char *factor(const view *v, double value) {
    return th_words_factor(v->doc, value, v->run->asked_factor);
}

static const char *number(const view *v, double value) {
    return th_words_number(v->doc, value, 4);
}

/* ---- answer ---------------------------------------------------------------------------------- */

static const char *verdict_words(const view *v, const th_run *run) {
    static const char *const verdicts[] = {"HOLDS", "UNPROVEN", "LETS GO"};

    if (!isfinite(run->hold_factor)) {
        return th_words_print(v->doc, "%s  nothing that must stay is cut", verdicts[run->verdict]);
    }
    return th_words_print(v->doc, "%s  hold factor %s, asked %s%s", verdicts[run->verdict],
                          factor(v, run->hold_factor), number(v, run->asked_factor),
                          run->estimate ? " (an estimate)" : "");
}

static const char *times(const view *v, double seconds) {
    return q(v, seconds, TH_TIME);
}

static void put_model(const view *v) {
    const th_run *run = v->run;

    if (!isfinite(run->hold_factor)) {
        return;
    }
    if (run->plates_asked == 0) {
        th_doc_pair(v->doc, "model",
                    "the part is taken as stiff: a rigid plate on its bonded area, at every step");
        return;
    }
    th_doc_pair(v->doc, "model",
                "stiff, on its bonded area, it is %s; the plate that bends, asked at %zu of the "
                "worst steps, holds up to %s times less, and that counts",
                factor(v, run->area_factor), run->plates_asked, number(v, run->bending));
}

static void put_answer(const view *v) {
    const th_run *run = v->run;

    th_doc_begin(v->doc, NULL);
    th_doc_line(v->doc, "%s", verdict_words(v, run));
    for (size_t i = 0; i < run->held_back.count; i++) {
        th_doc_pair(v->doc, "no better, as", "%s", run->held_back.items[i]);
    }
    if (run->worst_count > 0) {
        const th_worst_line *worst = &run->worst[0];
        th_doc_pair(v->doc, "worst line", "%d: %s", worst->load.line, worst->text);
    }
    put_model(v);
    if (run->short_lines > 0) {
        th_doc_pair(v->doc, "too weak", "%zu %s below the asked factor", run->short_lines,
                    run->short_lines == 1 ? "line is" : "lines are");
    }
}

/* ---- worst lines ----------------------------------------------------------------------------- */

static const char *why(const view *v, const th_worst_line *line) {
    const th_step_load *load = &line->load;
    const char *way = th_words_way(line->asked ? line->bent.way : load->way);
    const char *moment = load->freeing                ? ", set free here"
                         : !(load->chip_load > 0)     ? ", straight down"
                         : load->load == TH_SUSTAINED ? ", in the long run"
                                                      : "";

    return load->hold_factor > 0
               ? th_words_print(v->doc, "%s %s%s", th_piece_name(load->kind), way, moment)
               : th_words_print(v->doc, "%s%s", way, moment);
}

static void put_worst(const view *v) {
    const char *unit = v->units == TH_INCH ? "in" : "mm";
    const char *force = th_words_unit(v->doc, 1, TH_FORCE, v->units);
    const th_doc_column columns[] = {{"line", NULL, true, false},   {"hold", "factor", true, false},
                                     {"force", force, true, false}, {"wide", unit, true, false},
                                     {"deep", unit, true, false},   {"x", unit, true, false},
                                     {"y", unit, true, false},      {"reason", NULL, false, true}};

    if (v->run->worst_count == 0) {
        return;
    }
    th_doc_begin(v->doc, NULL);
    th_doc_columns(v->doc, columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < v->run->worst_count; i++) {
        const th_worst_line *line = &v->run->worst[i];
        const th_step_load *load = &line->load;
        const char *cells[] = {th_words_print(v->doc, "%d", load->line),
                               factor(v, line->hold_factor),
                               bare(v, load->in_plane_peak, TH_FORCE),
                               bare(v, load->radial, TH_LENGTH),
                               load->high > load->low ? bare(v, load->high - load->low, TH_LENGTH)
                                                      : "-",
                               bare(v, load->at[0], TH_LENGTH),
                               bare(v, load->at[1], TH_LENGTH),
                               why(v, line)};
        th_doc_row(v->doc, cells);
    }
}

static const th_slow_line *slow_line(const th_slow *slow, int line) {
    for (size_t i = 0; slow && i < slow->count; i++) {
        if (slow->lines[i].line == line) {
            return &slow->lines[i];
        }
    }
    return NULL;
}

static const char *change_words(const view *v, const th_worst_line *line) {
    const th_slow_line *slow = slow_line(v->shown->slow, line->load.line);

    if (line->hold_factor >= v->run->asked_factor) {
        return "";
    }
    if (!v->shown->slow) {
        return " - --slow-to FILE works out a feed";
    }
    if (!slow) {
        return "";
    }
    if (slow->why_not) {
        return th_words_print(v->doc, " - less depth or width, or more hold; feed: %s",
                              slow->why_not);
    }
    return th_words_print(v->doc, " - feed %s instead of %s: %s", q(v, slow->to, TH_FEED),
                          bare(v, slow->from, TH_FEED), factor(v, slow->hold_factor));
}

static void put_texts(const view *v) {
    if (v->run->worst_count == 0) {
        return;
    }
    th_doc_begin(v->doc,
                 v->run->short_lines > 0 ? "what they say, what to change" : "what they say");
    for (size_t i = 0; i < v->run->worst_count; i++) {
        const th_worst_line *line = &v->run->worst[i];
        th_doc_pair(v->doc, th_words_print(v->doc, "%d", line->load.line), "%s%s", line->text,
                    change_words(v, line));
    }
}

/* ---- pieces, findings ------------------------------------------------------------------------ */

static void put_loose(const view *v) {
    const th_run *run = v->run;
    size_t shown = v->all || run->loose_count < LOOSE_SHOWN ? run->loose_count : LOOSE_SHOWN;

    if (run->loose_count == 0) {
        return;
    }
    th_doc_begin(v->doc, "pieces set free");
    for (size_t i = 0; i < shown; i++) {
        const th_loose *loose = &run->loose[i];
        const char *holds =
            isfinite(loose->hold_factor)
                ? th_words_print(v->doc, "hold factor %s", factor(v, loose->hold_factor))
                : "nothing cuts beside it";
        const char *must = loose->counts ? "" : ", may go";
        th_doc_pair(v->doc, th_words_print(v->doc, "line %d", loose->line),
                    "%s, %s x %s from x %s, y %s, %s bonded: %s%s", th_piece_name(loose->kind),
                    bare(v, loose->box[2] - loose->box[0], TH_LENGTH),
                    q(v, loose->box[3] - loose->box[1], TH_LENGTH),
                    bare(v, loose->box[0], TH_LENGTH), bare(v, loose->box[1], TH_LENGTH),
                    q(v, loose->area, TH_AREA), holds, must);
    }
    if (shown < run->loose_count) {
        th_doc_line(v->doc, "%zu more with --all", run->loose_count - shown);
    }
}

static void put_found(const view *v) {
    static const char *const words[] = {"rapid through material", "reaches the table",
                                        "spindle stopped", "spindle runs backwards",
                                        "deeper than the flutes"};
    const th_run *run = v->run;
    size_t shown = v->all || run->found_count < FOUND_SHOWN ? run->found_count : FOUND_SHOWN;

    if (run->found_count == 0) {
        return;
    }
    th_doc_begin(v->doc, "found");
    for (size_t i = 0; i < shown; i++) {
        const th_found *found = &run->found[i];
        th_doc_pair(v->doc, th_words_print(v->doc, "line %d", found->line),
                    "%s, %s deep at x %s, y %s", words[found->kind], q(v, found->depth, TH_LENGTH),
                    bare(v, found->at[0], TH_LENGTH), bare(v, found->at[1], TH_LENGTH));
    }
    if (shown < run->found_count) {
        th_doc_line(v->doc, "%zu more with --all", run->found_count - shown);
    }
}

/* ---- the rest -------------------------------------------------------------------------------- */

static void put_depth(const view *v) {
    const th_run *run = v->run;

    if (!isfinite(run->lowest)) {
        return;
    }
    const char *deep =
        run->lowest >= run->plate_top
            ? "the sacrificial plate is not cut"
            : th_words_print(v->doc, "%s into the sacrificial plate, %s of it left",
                             th_words_height(v->doc, run->plate_top - run->lowest, v->units),
                             th_words_height(v->doc, run->lowest - run->table, v->units));
    th_doc_pair(v->doc, "deepest", "line %d, %s from the bonded face: %s", run->lowest_line,
                th_words_height(v->doc, run->lowest, v->units), deep);
}

static void put_lines(const view *v, const char *label, const th_lines *lines, size_t most) {
    size_t shown = v->all || lines->count < most ? lines->count : most;

    for (size_t i = 0; i < shown; i++) {
        th_doc_pair(v->doc, label, "%s%s", lines->items[i],
                    i + 1 == shown && shown < lines->count
                        ? th_words_print(v->doc, " (%zu more with --all)", lines->count - shown)
                        : "");
    }
}

static void put_sources(const view *v) {
    th_doc_begin(v->doc, "sources");
    for (size_t i = 0; i < v->run->source_count; i++) {
        const th_source *source = &v->run->sources[i];
        th_doc_pair(v->doc,
                    th_words_print(v->doc, "%s.%s", th_table_name(source->table), source->row->id),
                    "%s: %s", th_trust_name((th_trust)source->row->trust), source->row->source);
    }
    th_doc_line(v->doc, "%s", TH_WORDS_TRUST);
}

static void put_rest(const view *v) {
    const th_run *run = v->run;

    th_doc_begin(v->doc, NULL);
    put_depth(v);
    th_doc_pair(v->doc, "time", "%s, of it %s in the cut; %zu steps, map of %s",
                times(v, run->seconds), times(v, run->cutting), run->steps,
                q(v, run->cell, TH_LENGTH));
    if (run->steps > 0) {
        th_doc_pair(v->doc, "most", "force %s, power %s, sway %s, tape %s warm",
                    q(v, run->peak_force, TH_FORCE), q(v, run->peak_power, TH_POWER),
                    q(v, run->sway, TH_LENGTH), q(v, run->warmest, TH_TEMPERATURE));
    }
    if (v->all) {
        put_lines(v, "assumed", &run->defaults, 0);
        put_lines(v, "unchecked", &run->not_checked, 0);
        put_sources(v);
        th_doc_begin(v->doc, NULL);
    } else {
        th_doc_pair(v->doc, "assumed", "%s", th_words_list(v->doc, &run->defaults, 3));
        th_doc_pair(v->doc, "unchecked", "%s", th_words_list(v->doc, &run->not_checked, 7));
    }
    put_lines(v, "caution", &run->cautions, CAUTIONS_SHOWN);
    th_doc_pair(v->doc, "safety", "%s", TH_WORDS_SAFETY);
}

/* ---- the slowed program ---------------------------------------------------------------------- */

static void put_slowed_lines(const view *v, bool changed) {
    const th_slow *slow = v->shown->slow;
    size_t shown = 0, all = 0;

    for (size_t i = 0; i < slow->count; i++) {
        const th_slow_line *line = &slow->lines[i];
        if ((line->why_not == NULL) != changed || (++all > SLOWED_SHOWN && !v->all)) {
            continue;
        }
        shown++;
        const char *label = th_words_print(v->doc, "line %d", line->line);
        if (changed) {
            th_doc_pair(v->doc, label, "%s instead of %s: hold factor %s", q(v, line->to, TH_FEED),
                        bare(v, line->from, TH_FEED), factor(v, line->hold_factor));
        } else {
            th_doc_pair(v->doc, label, "not saved, hold factor %s: %s",
                        factor(v, line->hold_factor), line->why_not);
        }
    }
    if (shown < all) {
        th_doc_line(v->doc, "%zu more with --all", all - shown);
    }
}

static void put_slowed(const view *v) {
    const th_slow *slow = v->shown->slow;

    if (!slow || !v->shown->slow_to) {
        return;
    }
    th_doc_begin(v->doc, "slowed program");
    if (slow->changed == 0) {
        th_doc_line(v->doc, slow->count == 0 ? "no line asks for it: nothing was written"
                                             : "no line is saved by its feed: nothing was written");
    } else {
        th_doc_line(v->doc, "%s", verdict_words(v, &slow->after));
        th_doc_pair(v->doc, "written", "%s: %zu of %zu lines slowed; %s instead of %s",
                    v->shown->slow_to, slow->changed, slow->count, times(v, slow->after.seconds),
                    times(v, v->run->seconds));
    }
    put_slowed_lines(v, false);
    put_slowed_lines(v, true);
}

bool th_report_program(const th_program_shown *shown, bool all, th_doc *doc, th_error *err) {
    view v = {shown, shown->run, (th_units)shown->job->head.units, all, doc};

    put_answer(&v);
    put_found(&v);
    put_worst(&v);
    put_texts(&v);
    put_loose(&v);
    put_rest(&v);
    put_slowed(&v);
    return !doc->failed || th_fail_memory(err);
}

/* ---- line by line ---------------------------------------------------------------------------- */

bool th_report_program_lines(const th_program_shown *shown, th_doc *doc, th_error *err) {
    view v = {shown, shown->run, (th_units)shown->job->head.units, true, doc};
    const char *unit = v.units == TH_INCH ? "in" : "mm";
    const th_doc_column columns[] = {
        {"line", NULL, true, false},
        {"hold factor", NULL, true, false},
        {"stiff", NULL, true, false},
        {"force", th_words_unit(doc, 1, TH_FORCE, v.units), true, false},
        {"wide", unit, true, false},
        {"low", unit, true, false},
        {"high", unit, true, false},
        {"chip", unit, true, false},
        {"x", unit, true, false},
        {"y", unit, true, false},
        {"z", unit, true, false}};

    th_doc_begin(doc, NULL);
    th_doc_columns(doc, columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < v.run->line_count && !doc->failed; i++) {
        const th_line_load *line = &v.run->lines[i];
        if (line->places == 0) {
            continue;
        }
        const char *cells[] = {th_words_print(doc, "%zu", i),
                               number(&v, (double)line->hold_factor),
                               number(&v, (double)line->area_factor),
                               bare(&v, (double)line->force, TH_FORCE),
                               bare(&v, (double)line->radial, TH_LENGTH),
                               bare(&v, (double)line->low, TH_LENGTH),
                               bare(&v, (double)line->high, TH_LENGTH),
                               bare(&v, (double)line->max_chip, TH_LENGTH),
                               bare(&v, (double)line->at[0], TH_LENGTH),
                               bare(&v, (double)line->at[1], TH_LENGTH),
                               bare(&v, (double)line->at[2], TH_LENGTH)};
        th_doc_row(doc, cells);
    }
    return !doc->failed || th_fail_memory(err);
}
