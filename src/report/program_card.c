/* program_card.c - the card of a program: which line holds least, where, and what to change. */
#include <math.h>
#include <string.h>

#include "card.h"
#include "card_page.h"
#include "picture_program.h"
#include "program_words.h"

typedef th_program_view view;

enum { FOUND_SHOWN = 12, READ_LENGTH = sizeof "read: " - 1, LONG_LISTS = 8 };

static const char *q(const view *v, double value, th_kind kind) {
    return th_words_quantity(v->doc, value, kind, v->units);
}

static const char *bare(const view *v, double value, th_kind kind) {
    return th_words_bare(v->doc, value, kind, v->units);
}

static const char *factor(const view *v, double value) {
    return th_words_factor(v->doc, value, v->run->asked_factor);
}

static const char *unit_of(const view *v) {
    return v->units == TH_INCH ? "in" : "mm";
}

/* A line's own words, without what it is set in by. */
static const char *said(const th_worst_line *line) {
    return line->text + strspn(line->text, " ");
}

/* ---- head ------------------------------------------------------------------------------------ */

static const char *worst_words(const view *v) {
    const th_worst_line *worst = &v->run->worst[0];
    const double *at = worst->load.at;

    return v->run->worst_count == 0
               ? NULL
               : th_words_print(v->doc, "Weakest: line %d of %s, \"%s\": %s, cutter at %s.",
                                worst->load.line, v->shown->file, said(worst),
                                th_program_why(v, worst),
                                th_words_place(v->doc, (th_point){at[0], at[1]}, v->units));
}

static const char *held_back_words(const view *v) {
    const char *text = "No better than unproven, as";

    for (size_t i = 0; i < v->run->held_back.count; i++) {
        text =
            th_words_print(v->doc, "%s%s %s", text, i > 0 ? ";" : "", v->run->held_back.items[i]);
    }
    return v->run->held_back.count > 0 ? th_words_print(v->doc, "%s.", text) : NULL;
}

static const char *title_of(const view *v) {
    const char *title = v->shown->job->head.title;

    return th_words_print(v->doc, "%s: %s", title ? title : "Untitled job", v->shown->file);
}

/* More than two pages hold in the usual size. */
static bool is_long(const th_run *run) {
    return run->cautions.count + run->loose_count + run->found_count >= LONG_LISTS;
}

static void put_top(const view *v, th_text *text) {
    static const char *const orders[] = {
        [TH_HOLDS] = NULL,
        [TH_UNPROVEN] = "Not proven by these figures: change something before you cut.",
        [TH_LETS_GO] = "Do not cut this as it stands: change something first.",
    };
    const th_run *run = v->run;
    const th_card_head head = {
        .title = title_of(v),
        .verdict = run->verdict,
        .answer = th_program_verdict(v, run),
        .lines = {orders[run->verdict], held_back_words(v), worst_words(v),
                  run->short_lines == 0
                      ? NULL
                      : th_words_print(v->doc, "%zu %s below the asked factor.", run->short_lines,
                                       run->short_lines == 1 ? "line is" : "lines are")},
        .is_long = is_long(run)};

    th_card_top(&head, v->doc, text);
}

/* ---- pictures -------------------------------------------------------------------------------- */

static bool put_picture(const view *v, th_text *svg, bool drawn) {
    if (drawn) {
        th_doc_picture(v->doc, NULL, svg);
    }
    th_text_free(svg);
    return drawn;
}

static bool put_map(const view *v, th_error *err) {
    th_text svg = {0};

    if (!v->run->mapped) {
        return true;
    }
    th_doc_begin(v->doc, "Map of the tape");
    return put_picture(v, &svg, th_picture_program_map(v->shown, &svg, err));
}

static bool put_strip(const view *v, th_error *err) {
    th_text svg = {0};

    if (v->run->strip_count == 0) {
        return true;
    }
    th_doc_begin(v->doc, "Hold factor by line");
    return put_picture(v, &svg, th_picture_program_strip(v->shown, &svg, err));
}

/* ---- tables ---------------------------------------------------------------------------------- */

static void put_worst_row(const view *v, size_t i) {
    const th_worst_line *line = &v->run->worst[i];
    const th_step_load *load = &line->load;
    const char *change = th_program_change(v, line);
    const char *cells[] = {
        th_words_print(v->doc, "%zu", i + 1),
        th_words_print(v->doc, "%d", load->line),
        said(line),
        factor(v, line->hold_factor),
        th_program_force(v, load),
        load->radial > 0 ? bare(v, load->radial, TH_LENGTH) : "-",
        load->high > load->low ? bare(v, load->high - load->low, TH_LENGTH) : "-",
        bare(v, load->at[0], TH_LENGTH),
        bare(v, load->at[1], TH_LENGTH),
        th_words_print(v->doc, "%s%s%s", th_program_why(v, line), change[0] ? "; " : "", change)};

    th_doc_row(v->doc, cells);
}

static void put_worst(const view *v) {
    const char *unit = unit_of(v);
    const th_doc_column columns[] = {
        {"no.", NULL, true, false},
        {"line", NULL, true, false},
        {"what it says", NULL, false, true},
        {"hold factor", NULL, true, false},
        {"force", th_words_unit(v->doc, 1, TH_FORCE, v->units), true, false},
        {"wide", unit, true, false},
        {"deep", unit, true, false},
        {"x", unit, true, false},
        {"y", unit, true, false},
        {v->run->short_lines > 0 && v->shown->slow ? "reason; what to change" : "reason", NULL,
         false, true}};

    if (v->run->worst_count == 0) {
        return;
    }
    th_doc_begin(v->doc, "Worst lines");
    th_doc_columns(v->doc, columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < v->run->worst_count && i < TH_MAP_WORST; i++) {
        put_worst_row(v, i);
    }
    th_doc_line(v->doc, "Wide and deep are what the cutter engages there, x and y where it stands, "
                        "from the part's lower left corner. The force is the larger of push in the "
                        "plane and lift.");
    if (th_program_any_freeing(v->run)) {
        th_doc_line(v->doc, "%s", TH_PROGRAM_AS_IF_FREE);
    }
}

static void put_loose_row(const view *v, size_t i) {
    const th_loose *loose = &v->run->loose[i];
    const char letter[2] = {(char)('A' + i), '\0'};
    const char *tabs = !loose->tabs ? ""
                       : loose->tabs_line > 0
                           ? th_words_print(v->doc, ", on tabs until line %d", loose->tabs_line)
                           : ", on tabs";
    const char *cells[] = {
        th_words_print(v->doc, "%s", letter),
        th_words_print(v->doc, "%d", loose->line),
        th_words_print(v->doc, "%s%s", th_piece_name(loose->kind), tabs),
        th_words_print(v->doc, "%s x %s", th_program_length(v, loose->stands[2] - loose->stands[0]),
                       th_program_length(v, loose->stands[3] - loose->stands[1])),
        th_program_length(v, loose->stands[0]),
        th_program_length(v, loose->stands[1]),
        bare(v, loose->area, TH_AREA),
        isfinite(loose->hold_factor) ? th_words_print(v->doc, "%s%s", factor(v, loose->hold_factor),
                                                      loose->counts ? "" : " if stiff")
                                     : "nothing cuts beside it",
        loose->counts ? "must stay" : "may go"};

    th_doc_row(v->doc, cells);
}

static void put_loose(const view *v) {
    const char *unit = unit_of(v);
    const th_run *run = v->run;
    const th_doc_column columns[] = {
        {"piece", NULL, false, false},
        {"set free by line", NULL, true, false},
        {"what it is", NULL, false, false},
        {"size", unit, true, false},
        {"from x", unit, true, false},
        {"y", unit, true, false},
        {"bonded", th_words_unit(v->doc, 1, TH_AREA, v->units), true, false},
        {"hold factor", NULL, true, false},
        {"by the job", NULL, false, false}};
    size_t shown = run->loose_count < TH_LOOSE_SHOWN ? run->loose_count : TH_LOOSE_SHOWN;

    if (run->loose_count == 0) {
        return;
    }
    th_doc_begin(v->doc, "Pieces set free");
    th_doc_columns(v->doc, columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < shown; i++) {
        put_loose_row(v, i);
    }
    if (shown < run->loose_count) {
        th_doc_line(v->doc, "%zu more: tackhold program --all.", run->loose_count - shown);
    }
}

static const char *cutter_of(const th_job *job, int tool) {
    for (size_t i = 0; i < job->tool_count; i++) {
        if (job->tools[i].number == tool) {
            return job->tools[i].cutter->id;
        }
    }
    return job->tool_count == 0 && job->cutter_count == 1 ? job->cutters[0].id : "?";
}

/* Where a drill's holes are, the first of them. */
static const char *holes_words(const view *v, const th_tool_use *use) {
    size_t named = use->holes < TH_HOLES_NAMED ? use->holes : TH_HOLES_NAMED;
    const char *text = "";

    for (size_t i = 0; i < named; i++) {
        text = th_words_print(v->doc, "%s%s%s,%s", text, i ? " " : "",
                              bare(v, use->places[i].x, TH_LENGTH),
                              bare(v, use->places[i].y, TH_LENGTH));
    }
    return use->holes > named ? th_words_print(v->doc, "%s and %zu more", text, use->holes - named)
                              : text;
}

static void put_tool_row(const view *v, const th_tool_use *use) {
    const char *holes = "-";

    if (use->holes > 0) {
        const char *how = use->through == use->holes ? " through"
                          : use->through > 0 ? th_words_print(v->doc, ", %zu through", use->through)
                                             : ", none through";
        holes = th_words_print(v->doc, "%zu%s", use->holes, how);
    }
    const char *cells[] = {
        use->tool > 0 ? th_words_print(v->doc, "T%d", use->tool) : "-",
        cutter_of(v->shown->job, use->tool),
        bare(v, use->cutter->diameter, TH_LENGTH),
        use->first_line == use->last_line
            ? th_words_print(v->doc, "%d", use->first_line)
            : th_words_print(v->doc, "%d to %d", use->first_line, use->last_line),
        bare(v, v->shown->job->part.thickness - use->lowest, TH_LENGTH),
        holes,
        use->holes > 0 ? holes_words(v, use) : "-"};

    th_doc_row(v->doc, cells);
}

static void put_tool_table(const view *v) {
    const char *unit = unit_of(v);
    const th_doc_column columns[] = {
        {"tool", NULL, false, false},         {"cutter", NULL, false, false},
        {"diameter", unit, true, false},      {"cuts in lines", NULL, false, false},
        {"metal down to", unit, true, false}, {"holes drilled", NULL, false, false},
        {"at x,y", unit, false, true}};

    if (v->run->tool_count == 0) {
        return;
    }
    th_doc_begin(v->doc, "Cutters and holes");
    th_doc_columns(v->doc, columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < v->run->tool_count; i++) {
        put_tool_row(v, &v->run->tools[i]);
    }
}

/* ---- words ----------------------------------------------------------------------------------- */

static void put_found(const view *v) {
    const th_run *run = v->run;
    size_t shown = run->found_count < FOUND_SHOWN ? run->found_count : FOUND_SHOWN;

    if (run->found_count == 0) {
        return;
    }
    th_doc_begin(v->doc, "Found in the program");
    for (size_t i = 0; i < shown; i++) {
        const th_found *found = &run->found[i];
        th_doc_pair(v->doc, th_words_print(v->doc, "line %d", found->line), "%s, %s deep at %s",
                    th_program_found(found->kind), q(v, found->depth, TH_LENGTH),
                    th_words_place(v->doc, (th_point){found->at[0], found->at[1]}, v->units));
    }
    if (shown < run->found_count) {
        th_doc_line(v->doc, "%zu more: tackhold program --all.", run->found_count - shown);
    }
}

static void put_figures(const view *v) {
    const th_run *run = v->run;

    th_doc_begin(v->doc, "Depth and time");
    if (isfinite(run->lowest)) {
        th_doc_pair(v->doc, "deepest", "%s", th_program_deepest(v));
    }
    th_doc_pair(v->doc, "time", "%s, of it %s in the cut; changing cutters left out",
                q(v, run->seconds, TH_TIME), q(v, run->cutting, TH_TIME));
    if (run->steps > 0) {
        if (run->peak_force > 0) {
            th_doc_pair(v->doc, "force", "%s at most, in the plane",
                        q(v, run->peak_force, TH_FORCE));
        }
        th_doc_pair(v->doc, "power", "%s at most, at the cutter", q(v, run->peak_power, TH_POWER));
        th_doc_pair(v->doc, "sway", "%s at most", th_program_sway(v));
        th_doc_pair(v->doc, "tape", "%s at most", th_program_warmest(v));
    }
    if (isfinite(run->hold_factor)) {
        th_doc_pair(v->doc, "model", "%s", th_program_model(v));
    }
}

static size_t unsaved(const th_slow *slow) {
    size_t count = 0;

    for (size_t i = 0; i < slow->count; i++) {
        count += slow->lines[i].why_not != NULL;
    }
    return count;
}

static void put_lower_feeds(const view *v, const th_slow *slow) {
    size_t lost = unsaved(slow);

    if (slow->changed > 0) {
        const char *after = th_program_verdict(v, &slow->after);
        const char *gap = strstr(after, "  ");
        th_doc_line(v->doc, "With lower feeds in %zu %s: %.*s, %s; %s instead of %s.",
                    slow->changed, slow->changed == 1 ? "line" : "lines",
                    gap ? (int)(gap - after) : 0, after, gap ? gap + 2 : after,
                    q(v, slow->after.seconds, TH_TIME), q(v, v->run->seconds, TH_TIME));
        if (v->shown->slow_written) {
            th_doc_line(v->doc, "They are written to %s.", v->shown->slow_to);
        } else if (v->shown->slow_to || slow->after.verdict == TH_LETS_GO) {
            th_doc_line(v->doc, "They are not written%s.", th_program_unwritten(slow));
        } else {
            th_doc_line(v->doc, "tackhold program with --slow-to FILE writes them.");
        }
    }
    if (lost > 0) {
        th_doc_line(v->doc,
                    "%zu %s not saved by a lower feed: less depth or width there, or more hold.",
                    lost, lost == 1 ? "line is" : "lines are");
    }
}

static void put_change(const view *v) {
    const th_run *run = v->run;

    th_doc_begin(v->doc, "What to change");
    if (run->verdict == TH_HOLDS) {
        th_doc_line(v->doc, "Nothing: it holds as it stands.");
        return;
    }
    if (run->short_lines == 0) {
        th_doc_line(v->doc, "The hold factor is enough; what holds the verdict back stands above.");
        return;
    }
    if (v->shown->slow) {
        put_lower_feeds(v, v->shown->slow);
    } else {
        th_doc_line(v->doc, "Lower feeds were not looked for: --lower-feeds does.");
    }
}

static void put_tools(const view *v) {
    const th_program_report *reading = &v->run->reading;
    const char *text = "";

    for (size_t i = 0; i < reading->tool_count; i++) {
        text = th_words_print(v->doc, "%s%sT%d %s", text, i > 0 ? ", " : "", reading->tools[i],
                              cutter_of(v->shown->job, reading->tools[i]));
    }
    if (reading->tool_count == 0 && v->shown->job->cutter_count == 1) {
        text = v->shown->job->cutters[0].id;
    }
    if (text[0] != '\0') {
        th_doc_pair(v->doc, "cutters", "%s", text);
    }
}

/* Of the assumptions those of the reader alone, or all others. */
static th_lines chosen(const view *v, bool read) {
    const th_lines *all = &v->run->defaults;
    th_lines some = {0};

    some.items = th_arena_take(&v->doc->arena, (all->count + 1) * sizeof *some.items);
    if (!some.items) {
        v->doc->failed = true;
        return some;
    }
    for (size_t i = 0; i < all->count; i++) {
        if ((strncmp(all->items[i], "read: ", READ_LENGTH) == 0) == read) {
            some.items[some.count++] = all->items[i] + (read ? READ_LENGTH : 0);
        }
    }
    return some;
}

static void put_reading(const view *v) {
    const th_program_report *reading = &v->run->reading;
    const th_zero *zero = &v->shown->job->zero;
    const th_lines readings = chosen(v, true);

    th_doc_begin(v->doc, "How the program was read");
    th_doc_pair(v->doc, "program", "%s, %d lines; %lld executed, repeats counted", v->shown->file,
                reading->lines, reading->blocks);
    put_tools(v);
    th_doc_pair(v->doc, "its zero", "at %s of the part, %s above the bonded face",
                th_words_place(v->doc, zero->at, v->units),
                th_words_height(v->doc, zero->top, v->units));
    for (size_t i = 0; i < readings.count; i++) {
        th_doc_pair(v->doc, "read as", "%s", readings.items[i]);
    }
    if (readings.count == 0) {
        th_doc_pair(v->doc, "read as", "all machines read it, as far as is known");
    }
}

static void put_cautions(const view *v) {
    const th_lines *cautions = &v->run->cautions;

    if (cautions->count == 0) {
        return;
    }
    th_doc_begin(v->doc, "Cautions");
    for (size_t i = 0; i < cautions->count; i++) {
        th_doc_pair(v->doc, "-", "%s", cautions->items[i]);
    }
}

/* ---- the page -------------------------------------------------------------------------------- */

static bool build(const view *v, th_error *err) {
    const th_lines granted = chosen(v, false);

    th_card_hold(v->shown->job, v->doc);
    put_figures(v);
    bool drawn = put_map(v, err) && put_strip(v, err);
    put_worst(v);
    put_change(v);
    put_tool_table(v);
    put_loose(v);
    put_found(v);
    put_cautions(v);
    th_card_list("What is not checked", &v->run->not_checked, v->doc);
    put_reading(v);
    th_card_list("What was taken for granted", &granted, v->doc);
    th_card_sources(v->run->sources, v->run->source_count, v->doc);
    return drawn;
}

bool th_report_program_card(const th_program_shown *shown, th_text *text, th_error *err) {
    th_doc doc = {0};
    const view v = {shown, shown->run, (th_units)shown->job->head.units, true, &doc};

    put_top(&v, text);
    bool fine = build(&v, err) && th_doc_html(&doc, text, err);
    th_card_foot("at line", text);
    fine = fine && (!(text->failed || doc.failed) || th_fail_memory(err));
    th_doc_free(&doc);
    return fine;
}
