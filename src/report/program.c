/* The answer for a program: which line holds least, and what to change. */
#include <math.h>
#include <string.h>

#include "tackhold/report.h"
#include "program_words.h"

enum { STRIP_LEAST = 4, STRIP_MOST = 56 };
enum { LOOSE_SHOWN = 8, FOUND_SHOWN = 8, SLOWED_SHOWN = 10, CAUTIONS_SHOWN = 6 };

typedef th_program_view view;

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

static const char *times(const view *v, double seconds) {
    return q(v, seconds, TH_TIME);
}

static void put_model(const view *v) {
    if (isfinite(v->run->hold_factor)) {
        th_doc_pair(v->doc, "model", "%s", th_program_model(v));
    }
}

/* All lines in one row of signs, where there are enough to make a picture. */
static void put_strip(const view *v) {
    int each;

    if (v->run->strip_count < STRIP_LEAST || v->run->worst_count == 0) {
        return;
    }
    const char *strip = th_program_strip(v, STRIP_MOST, &each);
    const th_strip_bin *last = &v->run->strip[v->run->strip_count - 1];
    th_doc_pair(v->doc, "by line", "1 %s %d", strip, last->to_line);
    const char *weak = v->run->asked_factor > 1
                           ? th_words_print(v->doc, ", + below %s", number(v, v->run->asked_factor))
                           : "";
    th_doc_pair(v->doc, "", "# below 1%s, o holds, . nothing cut%s", weak,
                each > 1 ? th_words_print(v->doc, "; the worst of %d lines a sign", each) : "");
}

static void put_answer(const view *v) {
    const th_run *run = v->run;

    th_doc_begin(v->doc, NULL);
    th_doc_line(v->doc, "%s", th_program_verdict(v, run));
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
    put_strip(v);
}

/* ---- worst lines ----------------------------------------------------------------------------- */

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
    th_doc_begin(v->doc, "weakest lines, the weakest first");
    th_doc_columns(v->doc, columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < v->run->worst_count; i++) {
        const th_worst_line *line = &v->run->worst[i];
        const th_step_load *load = &line->load;
        const char *cells[] = {th_words_print(v->doc, "%d", load->line),
                               factor(v, line->hold_factor),
                               th_program_force(v, load),
                               load->radial > 0 ? bare(v, load->radial, TH_LENGTH) : "-",
                               load->high > load->low ? bare(v, load->high - load->low, TH_LENGTH)
                                                      : "-",
                               bare(v, load->at[0], TH_LENGTH),
                               bare(v, load->at[1], TH_LENGTH),
                               th_program_why(v, line)};
        th_doc_row(v->doc, cells);
    }
    if (th_program_any_freeing(v->run)) {
        th_doc_line(v->doc, "%s", TH_PROGRAM_AS_IF_FREE);
    }
}

static void put_texts(const view *v) {
    if (v->run->worst_count == 0) {
        return;
    }
    bool changes = v->run->short_lines > 0 && v->shown->slow;
    th_doc_begin(v->doc, changes ? "what they say, what to change" : "what they say");
    for (size_t i = 0; i < v->run->worst_count; i++) {
        const th_worst_line *line = &v->run->worst[i];
        const char *change = th_program_change(v, line);
        th_doc_pair(v->doc, th_words_print(v->doc, "%d", line->load.line), "%s%s%s", line->text,
                    change[0] ? " - " : "", change);
    }
    if (v->run->short_lines > 0 && !v->shown->slow) {
        th_doc_line(v->doc, "To change: --lower-feeds looks for %s",
                    v->run->short_lines == 1 ? "a feed that holds it" : "feeds that hold them");
    }
}

/* ---- pieces, findings ------------------------------------------------------------------------ */

static void put_piece(const view *v, const th_loose *loose) {
    const char *holds =
        isfinite(loose->hold_factor)
            ? th_words_print(v->doc, "hold factor %s%s", factor(v, loose->hold_factor),
                             loose->counts ? "" : " if stiff") /* the plate is not asked */
            : "nothing cuts beside it";
    const char *must = loose->counts ? "" : ", may go";
    const char *tabs =
        !loose->tabs ? ""
        : loose->tabs_line > 0
            ? th_words_print(v->doc, " but for tabs that line %d cuts off", loose->tabs_line)
            : " but for its tabs";

    th_doc_pair(v->doc, th_words_print(v->doc, "line %d", loose->line),
                "%s%s, %s x %s %s from x %s, y %s, %s bonded: %s%s", th_piece_name(loose->kind),
                tabs, th_program_length(v, loose->stands[2] - loose->stands[0]),
                th_program_length(v, loose->stands[3] - loose->stands[1]),
                v->units == TH_INCH ? "in" : "mm", th_program_length(v, loose->stands[0]),
                th_program_length(v, loose->stands[1]), q(v, loose->area, TH_AREA), holds, must);
}

static void put_loose(const view *v) {
    const th_run *run = v->run;
    size_t shown = 0, crumbs = 0;

    if (run->loose_count == 0) {
        return;
    }
    th_doc_begin(v->doc, "pieces set free");
    for (size_t i = 0; i < run->loose_count; i++) {
        const th_loose *loose = &run->loose[i];
        if (!v->all && !loose->counts && th_loose_is_crumb(loose)) {
            crumbs++;
        } else if (v->all || shown < LOOSE_SHOWN) {
            put_piece(v, loose);
            shown++;
        }
    }
    if (shown + crumbs < run->loose_count) {
        th_doc_line(v->doc, "%zu more with --all", run->loose_count - shown - crumbs);
    }
    if (crumbs > 0) {
        th_doc_line(v->doc, "%zu crumb%s narrower than %s left out; --all has %s", crumbs,
                    crumbs > 1 ? "s" : "", q(v, TH_CRUMB, TH_LENGTH), crumbs > 1 ? "them" : "it");
    }
}

static void put_found(const view *v) {
    const th_run *run = v->run;
    size_t shown = v->all || run->found_count < FOUND_SHOWN ? run->found_count : FOUND_SHOWN;

    if (run->found_count == 0) {
        return;
    }
    th_doc_begin(v->doc, "found");
    for (size_t i = 0; i < shown; i++) {
        const th_found *found = &run->found[i];
        th_doc_pair(v->doc, th_words_print(v->doc, "line %d", found->line),
                    "%s, %s deep at x %s, y %s", th_program_found(found->kind),
                    q(v, found->depth, TH_LENGTH), bare(v, found->at[0], TH_LENGTH),
                    bare(v, found->at[1], TH_LENGTH));
    }
    if (shown < run->found_count) {
        th_doc_line(v->doc, "%zu more with --all", run->found_count - shown);
    }
}

/* ---- the rest -------------------------------------------------------------------------------- */

static void put_depth(const view *v) {
    if (isfinite(v->run->lowest)) {
        th_doc_pair(v->doc, "deepest", "%s", th_program_deepest(v));
    }
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
        const char *force = run->peak_force > 0 ? th_words_print(v->doc, "force %s in the plane, ",
                                                                 q(v, run->peak_force, TH_FORCE))
                                                : "";
        th_doc_pair(v->doc, "most", "%spower %s, sway %s, tape %s", force,
                    q(v, run->peak_power, TH_POWER), th_program_sway(v), th_program_warmest(v));
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

static void put_saved(const view *v) {
    const th_slow *slow = v->shown->slow;
    size_t all = 0;

    for (size_t i = 0; i < slow->count; i++) {
        const th_slow_line *line = &slow->lines[i];
        if (!line->why_not && (++all <= SLOWED_SHOWN || v->all)) {
            th_doc_pair(v->doc, th_words_print(v->doc, "line %d", line->line),
                        "%s instead of %s: hold factor %s", q(v, line->to, TH_FEED),
                        bare(v, line->from, TH_FEED), factor(v, line->hold_factor));
        }
    }
    if (all > SLOWED_SHOWN && !v->all) {
        th_doc_line(v->doc, "%zu more with --all", all - SLOWED_SHOWN);
    }
}

/* How many lines one row tells of, from the i-th on: one after the other, alike in all. */
static size_t alike(const view *v, size_t i) {
    const th_slow *slow = v->shown->slow;
    const th_slow_line *first = &slow->lines[i];
    size_t k = i + 1;

    while (k < slow->count && slow->lines[k].why_not &&
           strcmp(slow->lines[k].why_not, first->why_not) == 0 &&
           strcmp(factor(v, slow->lines[k].hold_factor), factor(v, first->hold_factor)) == 0) {
        k++;
    }
    return k - i;
}

static void put_unsaved(const view *v) {
    const th_slow *slow = v->shown->slow;
    size_t rows = 0, left = 0;

    for (size_t i = 0, count; i < slow->count; i += count) {
        const th_slow_line *line = &slow->lines[i];
        count = line->why_not ? alike(v, i) : 1;
        if (!line->why_not) {
            continue;
        }
        if (++rows > SLOWED_SHOWN && !v->all) {
            left += count;
            continue;
        }
        const char *label = count == 1 ? th_words_print(v->doc, "line %d", line->line)
                                       : th_words_print(v->doc, "lines %d to %d", line->line,
                                                        slow->lines[i + count - 1].line);
        th_doc_pair(v->doc, label, "%snot saved, hold factor %s: %s",
                    count > 2 ? th_words_print(v->doc, "%zu ", count) : "",
                    factor(v, line->hold_factor), line->why_not);
    }
    if (left > 0) {
        th_doc_line(v->doc, "%zu more with --all", left);
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
        const char *how = !v->shown->slow_written           ? th_program_unwritten(slow)
                          : slow->after.verdict == TH_HOLDS ? ""
                                                            : " (NOT TO BE RUN AS IT IS)";
        th_doc_line(v->doc, "%s", th_program_verdict(v, &slow->after));
        th_doc_pair(v->doc, v->shown->slow_written ? "written" : "not written",
                    "%s%s: %zu of %zu lines slowed; %s instead of %s", v->shown->slow_to, how,
                    slow->changed, slow->count, times(v, slow->after.seconds),
                    times(v, v->run->seconds));
    }
    put_unsaved(v);
    put_saved(v);
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
        if (isinf(line->area_factor)) {
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
