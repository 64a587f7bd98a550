/* card.c - the card for the shop wall: one page of HTML that needs nothing else. */
#include "card.h"

#include <math.h>
#include <string.h>

#include "card_page.h"
#include "picture.h"
#include "words.h"

typedef struct {
    const th_card *card;
    const th_job *job;
    const th_check *check;
    th_units units;
    th_doc *doc;
    th_error *err;
} view;

static const char *q(const view *v, double value, th_kind kind) {
    return th_words_quantity(v->doc, value, kind, v->units);
}

static const char *factor(const view *v, double value) {
    return th_words_factor(v->doc, value, v->check->asked_factor);
}

/* ---- pictures -------------------------------------------------------------------------------- */

/* Put what was drawn into the document; false where it could not be drawn. */
static bool put_picture(const view *v, const char *caption, th_text *svg, bool drawn) {
    if (drawn) {
        th_doc_picture(v->doc, caption, svg);
    }
    th_text_free(svg);
    return drawn;
}

static bool put_part(const view *v) {
    th_text svg = {0};
    if (v->card->map == NULL) {
        return true;
    }
    th_doc_begin(v->doc, "The part from above");
    return put_picture(v, NULL, &svg,
                       th_picture_part_low(v->job, v->check, v->card->map, &svg, v->err));
}

static bool put_stack(const view *v) {
    th_text svg = {0};
    th_doc_begin(v->doc, "The stack");
    return put_picture(v, NULL, &svg, th_picture_stack_half(v->job, v->check, &svg, v->err));
}

static bool put_heat(const view *v) {
    th_text svg = {0};
    if (v->check->warm_count == 0) {
        return true;
    }
    th_doc_begin(v->doc, "Temperature");
    return put_picture(v, NULL, &svg,
                       th_picture_heat_wide(v->job, v->check, TH_CHART_WIDE, &svg, v->err));
}

static bool put_limits(const view *v) {
    const th_limits *limits = v->card->limits;
    if (limits == NULL || limits->cut_count == 0) {
        return true;
    }
    th_doc_begin(v->doc, "How far it may be opened");
    for (size_t i = 0; i < limits->cut_count; i++) {
        th_text svg = {0};
        if (limits->cuts[i].never == NULL &&
            !put_picture(
                v, NULL, &svg,
                th_picture_limit(v->job, &limits->cuts[i], v->card->screen, &svg, v->err))) {
            return false;
        }
    }
    for (size_t i = 0; i < limits->notes.count; i++) {
        th_doc_line(v->doc, "%s", limits->notes.items[i]);
    }
    return true;
}

/* ---- cuts ------------------------------------------------------------------------------------ */

enum { COLUMNS = 11 };

static const char *cutter_words(const view *v, const th_cut *cut) {
    return cut->cutter == NULL
               ? "-"
               : th_words_print(v->doc, "%s: %s", cut->cutter_name, cut->cutter->id);
}

static const char *push_words(const view *v, const th_cut *cut) {
    return th_words_print(v->doc, "x %s, y %s, z %s at %s for %s", q(v, cut->force_x, TH_FORCE),
                          q(v, cut->force_y, TH_FORCE), q(v, cut->force_z, TH_FORCE),
                          th_words_place(v->doc, (th_point){cut->at_x, cut->at_y}, v->units),
                          q(v, cut->seconds, TH_TIME));
}

/* What the numbers of the table do not say. */
/* Passes are counted in the metal. */
static const char *through_words(const view *v, const th_cut *cut) {
    double on = cut->depth - v->job->part.thickness;
    bool milled = cut->operation != TH_DRILLED && on > 0;

    if (!cut->through) {
        return "";
    }
    return milled ? th_words_print(v->doc, "through: the last pass goes %s on, through the tape",
                                   q(v, on, TH_LENGTH))
                  : "through";
}

static const char *remarks(const view *v, const th_cut *cut) {
    const char *text = through_words(v, cut);
    const char *comma = text[0] ? ", " : "";
    if (cut->operation == TH_OUTLINE && cut->tabs.count > 0) {
        text = th_words_print(v->doc, "%s%s%d tabs %s, %s high", text, comma, cut->tabs.count,
                              q(v, cut->tabs.length, TH_LENGTH), q(v, cut->tab_height, TH_LENGTH));
        comma = ", ";
    }
    if (cut->operation == TH_OUTLINE && isfinite(cut->skin)) {
        text = th_words_print(v->doc, "leaves a skin of %s", q(v, cut->skin, TH_LENGTH));
        comma = ", ";
    }
    if (cut->operation == TH_OUTLINE && cut->last_axial < cut->axial) {
        text = th_words_print(v->doc, "%s%slast pass %s", text, comma,
                              q(v, cut->last_axial, TH_LENGTH));
        comma = ", ";
    }
    if (cut->operation != TH_DRILLED) {
        text = th_words_print(v->doc, "%s%s%s", text, comma,
                              cut->direction == TH_CLIMB ? "climb" : "conventional");
        comma = ", ";
    }
    const char *gone = th_words_gone(v->doc, v->check, cut);
    return gone[0] == '\0' ? text : th_words_print(v->doc, "%s%s%s", text, comma, gone);
}

static double passes_of(const th_check *check, const th_cut *cut) {
    double passes = 0;
    for (size_t i = 0; i < check->stage_count; i++) {
        passes += check->stages[i].cut == cut ? fmax(check->stages[i].passes, 0) : 0;
    }
    return passes;
}

static void put_cut(const view *v, const th_cut *cut) {
    th_words_cut shown = th_words_cut_of(v->check, cut);
    bool push = cut->operation == TH_PUSH, drilled = cut->operation == TH_DRILLED;
    bool shaped = cut->operation == TH_ENGRAVE || cut->operation == TH_CHAMFERING;
    double passes = passes_of(v->check, cut);
    if (shown.stage == NULL) {
        return;
    }
    const char *cells[COLUMNS] = {
        th_words_print(v->doc, "%s %s", cut->section,
                       th_operation_name((th_operation)cut->operation)),
        cutter_words(v, cut),
        push ? "-" : th_words_number(v->doc, cut->speed, 5),
        push ? "-" : th_words_bare(v->doc, cut->feed, TH_FEED, v->units),
        push || drilled || shaped ? "-" : th_words_bare(v->doc, cut->radial, TH_LENGTH, v->units),
        push || drilled ? "-" : th_words_bare(v->doc, cut->axial, TH_LENGTH, v->units),
        push ? "-" : th_words_bare(v->doc, cut->depth, TH_LENGTH, v->units),
        passes > 0 ? th_words_number(v->doc, passes, 6) : "-",
        push ? "-" : th_words_minutes(v->doc, shown.minutes),
        factor(v, shown.stage->hold_factor),
        push ? push_words(v, cut) : remarks(v, cut),
    };
    th_doc_row(v->doc, cells);
}

static void put_cuts(const view *v) {
    const char *unit = v->units == TH_INCH ? "in" : "mm";
    const th_doc_column columns[COLUMNS] = {
        {"cut", NULL, false, false},
        {"cutter", NULL, false, false},
        {"speed", "rpm", true, false},
        {"feed", th_words_unit(v->doc, 100, TH_FEED, v->units), true, false},
        {"stepover", unit, true, false},
        {"depth of a pass", unit, true, false},
        {"whole depth", unit, true, false},
        {"passes", NULL, true, false},
        {"time", NULL, true, false},
        {"hold factor", NULL, true, false},
        {"remarks", NULL, false, true},
    };
    th_doc_begin(v->doc, "Cuts");
    th_doc_columns(v->doc, columns, COLUMNS);
    for (size_t i = 0; i < v->job->cut_count; i++) {
        put_cut(v, &v->job->cuts[i]);
    }
    if (v->check->minutes > 0) {
        th_doc_line(v->doc, "%s of cutting in all, changing cutters left out.",
                    q(v, 60 * v->check->minutes, TH_TIME));
    }
}

/* ---- what to turn down ----------------------------------------------------------------------- */

static const char *change_words(const view *v, const th_turn_down *turn) {
    const char *what = turn->cut == NULL
                           ? turn->change
                           : th_words_print(v->doc, "%s %s", turn->cut->section, turn->change);
    size_t changes = th_words_changes(turn);
    if (changes > 1) {
        return changes == 2 ? "both together" : "all together";
    }
    if (turn->words && (turn->from_text == NULL || turn->to_text == NULL)) {
        return what;
    }
    const char *from = turn->words            ? turn->from_text
                       : isfinite(turn->from) ? q(v, turn->from, (th_kind)turn->kind)
                                              : "none";
    const char *to = turn->words ? turn->to_text : q(v, turn->to, (th_kind)turn->kind);
    return th_words_print(v->doc, "%s: %s to %s", what, from, to);
}

static void put_turn_down(const view *v, const th_turn_down *turn) {
    const char *typed = "";
    for (size_t i = 0; i < turn->setting_count; i++) {
        typed = th_words_print(v->doc, "%s%s%s", typed, i > 0 ? " " : "",
                               th_words_setting(v->doc, turn->settings[i]));
    }
    const char *slow = th_words_slow(v->doc, v->check, turn);
    const char *sways = th_words_sways(v->doc, turn, v->units);
    const char *cells[] = {
        change_words(v, turn), factor(v, turn->hold_factor),
        th_words_print(v->doc, "x %s%s%s%s%s", th_words_number(v->doc, turn->time_ratio, 3),
                       slow[0] == '\0' ? "" : ", ", slow, sways[0] == '\0' ? "" : ", ", sways),
        typed};
    th_doc_row(v->doc, cells);
}

enum { TURNS_MOST = 4 };

static void put_turn_table(const view *v) {
    const th_check *check = v->check;
    const th_doc_column columns[] = {{"change", NULL, false, false},
                                     {"hold factor", NULL, true, false},
                                     {"time", NULL, true, false},
                                     {"to type", NULL, false, true}};
    size_t count = check->turn_down_count < TURNS_MOST ? check->turn_down_count : TURNS_MOST;
    th_doc_columns(v->doc, columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < count; i++) {
        put_turn_down(v, &check->turn_downs[i]);
    }
    if (check->turn_down_count == 0) {
        put_turn_down(v, check->best_step);
    }
    if (count < check->turn_down_count) {
        th_doc_line(v->doc, "%zu more%s.", check->turn_down_count - count,
                    v->doc->screen ? ", on screen" : ": tackhold check --all");
    }
}

static void put_turn_downs(const view *v) {
    const th_check *check = v->check;
    const char *asked = factor(v, check->asked_factor);
    size_t changes = check->turn_down_count > 0 ? th_words_changes(&check->turn_downs[0]) : 0;
    th_doc_begin(v->doc, "What to turn down");
    if (check->verdict == TH_HOLDS) {
        th_doc_line(v->doc, "Nothing: it holds as it stands.");
    } else if (!check->turn_downs_tried) {
        th_doc_line(v->doc, "Not searched here: %s tells what reaches %s.",
                    v->doc->screen ? "the answer" : "tackhold check", asked);
    } else if (check->turn_down_count == 0) {
        th_doc_line(v->doc, "No single change tried reaches %s, nor two%s.", asked,
                    check->best_step ? "; the best step" : "; none gains anything");
    } else if (changes > 2) {
        th_doc_line(v->doc, "No one or two changes reach %s; these together do.", asked);
    } else if (changes == 2 && th_words_singles(check)) {
        th_doc_line(v->doc, "Two changes together make it hold, or one that takes long or sways.");
    } else if (changes == 2) {
        th_doc_line(v->doc, "No single change reaches %s; these two together do.", asked);
    } else {
        th_doc_line(v->doc, check->turn_down_count == 1 ? "This makes it hold."
                                                        : "Any one of these makes it hold.");
    }
    if (check->turn_downs_tried && (check->turn_down_count > 0 || check->best_step != NULL)) {
        put_turn_table(v);
    }
    for (size_t i = 0; i < check->advice.count; i++) {
        th_doc_line(v->doc, "%s", th_words_advice(v->doc, check->advice.items[i]));
    }
    if (check->flips_if != NULL) {
        th_doc_line(v->doc, "The answer flips if %s.", check->flips_if);
    }
}

/* ---- the page -------------------------------------------------------------------------------- */

static const char *weakest(const view *v) {
    const th_stage *stage = th_words_governing(v->check);
    if (stage == NULL) {
        return "";
    }
    const char *cutter = th_words_place(v->doc, stage->cutter_at, v->units);
    const char *text = th_words_print(v->doc, "Weakest: %s: %s", th_words_stage(v->doc, stage),
                                      th_words_failure(v->doc, v->job, stage));
    bool push = stage->cut != NULL && stage->cut->operation == TH_PUSH;
    return cutter[0] == '\0' || stage->hold_factor <= 0
               ? th_words_print(v->doc, "%s.", text)
               : th_words_print(v->doc, "%s, %s at %s.", text, push ? "pushed" : "cutter", cutter);
}

/* More than two pages hold in the usual size. */
static bool is_long(const view *v) {
    return v->job->cut_count >= 4 || v->check->cautions.count >= 6;
}

/* A verdict that would be another at full width says so beside it. */
static const char *full_width(const view *v) {
    const char *note = th_words_full_width(v->check);

    return note == NULL ? NULL : th_words_print(v->doc, "Full width: %s.", note);
}

static void put_top(const view *v, th_text *text) {
    static const char *const orders[] = {
        [TH_HOLDS] = NULL,
        [TH_UNPROVEN] = "Not proven by these figures: turn something down before you cut.",
        [TH_LETS_GO] = "Do not cut this as it stands: turn something down first.",
    };
    const char *title = v->job->head.title;
    const th_card_head head = {.title = title == NULL ? "Untitled job" : title,
                               .verdict = v->check->verdict,
                               .answer = th_words_answer(v->doc, v->check),
                               .lines = {orders[v->check->verdict], weakest(v), full_width(v)},
                               .is_long = is_long(v)};
    th_card_top(&head, v->doc, text);
}

static bool build(const view *v) {
    th_card_hold(v->job, v->doc);
    bool drawn = put_stack(v) && put_part(v);
    th_card_cautions(v->card, v->doc);
    th_card_list("Not checked", &v->check->not_checked, v->doc);
    th_card_list("Taken for granted", &v->check->defaults, v->doc);
    th_card_granted(&v->check->defaults, v->doc);
    th_card_steps(v->card, v->doc);
    put_cuts(v);
    put_turn_downs(v);
    drawn = drawn && put_limits(v) && put_heat(v);
    th_card_sources(v->check->sources, v->check->source_count, v->doc);
    return drawn;
}

bool th_report_card(const th_card *card, th_text *text, th_error *err) {
    th_doc doc = {.screen = card->screen};
    view v = {card, card->job, card->check, (th_units)card->job->head.units, &doc, err};
    put_top(&v, text);
    bool fine = build(&v) && th_doc_html(&doc, text, err);
    th_card_foot("at pass", text);
    fine = fine && (!(text->failed || doc.failed) || th_fail_memory(err));
    th_doc_free(&doc);
    return fine;
}
