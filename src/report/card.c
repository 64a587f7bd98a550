/* card.c - the card for the shop wall: one page of HTML that needs nothing else. */
#include "card.h"

#include <math.h>
#include <string.h>

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
            !put_picture(v, NULL, &svg, th_picture_limit(v->job, &limits->cuts[i], &svg, v->err))) {
            return false;
        }
    }
    for (size_t i = 0; i < limits->notes.count; i++) {
        th_doc_line(v->doc, "%s", limits->notes.items[i]);
    }
    return true;
}

/* ---- the hold -------------------------------------------------------------------------------- */

static const char *stock_words(const view *v) {
    const th_part *part = &v->job->part;
    const char *sheet = "", *copies = "";
    if (isfinite(part->sheet_length)) {
        sheet =
            th_words_print(v->doc, " out of a sheet %s x %s", q(v, part->sheet_length, TH_LENGTH),
                           q(v, part->sheet_width, TH_LENGTH));
    }
    if (part->copies.a * part->copies.b > 1) {
        copies = th_words_print(v->doc, "%d x ", part->copies.a * part->copies.b);
    }
    return th_words_print(v->doc, "%s; %s%s x %s x %s%s", part->stock->head.name, copies,
                          q(v, part->length, TH_LENGTH), q(v, part->width, TH_LENGTH),
                          q(v, part->thickness, TH_LENGTH), sheet);
}

static const char *hold_words(const view *v) {
    const th_hold *hold = &v->job->hold;
    if (hold->glue->absent) {
        return th_words_print(v->doc, "%s alone, no glue", hold->tape->head.name);
    }
    if (strcmp(hold->tape_id, hold->tape_below_id) == 0) {
        return th_words_print(v->doc, "%s on part and plate; between them %s",
                              hold->tape->head.name, hold->glue->head.name);
    }
    return th_words_print(v->doc, "%s on the part, %s on the plate; between them %s",
                          hold->tape->head.name, hold->tape_below->head.name,
                          hold->glue->head.name);
}

static void put_hold(const view *v) {
    const th_hold *hold = &v->job->hold;
    th_doc_begin(v->doc, "The hold");
    th_doc_pair(v->doc, "stock", "%s", stock_words(v));
    th_doc_pair(v->doc, "tape and glue", "%s", hold_words(v));
    th_doc_pair(v->doc, "plate", "%s, %s", hold->plate->head.name,
                q(v, hold->plate_thickness, TH_LENGTH));
    th_doc_pair(v->doc, "cooling", "%s", hold->coolant->head.name);
    th_doc_pair(v->doc, "wait", "%s from %s to cutting", q(v, hold->wait, TH_TIME),
                hold->glue->absent ? "sticking it down" : "gluing");
    th_doc_pair(v->doc, "machine", "%s", v->job->machine.head.name);
    const char *stops = th_words_stops(v->doc, v->job);
    if (stops != NULL) {
        th_doc_pair(v->doc, "stops", "%s", stops);
    }
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
static const char *remarks(const view *v, const th_cut *cut) {
    const char *text = cut->through ? "through" : "";
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
    }
    return text;
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
        push || drilled ? "-" : th_words_bare(v->doc, cut->radial, TH_LENGTH, v->units),
        push || drilled ? "-" : th_words_bare(v->doc, cut->axial, TH_LENGTH, v->units),
        push ? "-" : th_words_bare(v->doc, cut->depth, TH_LENGTH, v->units),
        passes > 0 ? th_words_number(v->doc, passes, 6) : "-",
        push ? "-" : th_words_number(v->doc, shown.minutes, 2),
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
        {"time", "min", true, false},
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
    if (strstr(turn->change, " + ") != NULL) {
        return "both together";
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
    const char *cells[] = {
        change_words(v, turn), factor(v, turn->hold_factor),
        th_words_print(v->doc, "x %s", th_words_number(v->doc, turn->time_ratio, 3)), typed};
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
        th_doc_line(v->doc, "%zu more: tackhold check --all.", check->turn_down_count - count);
    }
}

static void put_turn_downs(const view *v) {
    const th_check *check = v->check;
    const char *asked = factor(v, check->asked_factor);
    th_doc_begin(v->doc, "What to turn down");
    if (check->verdict == TH_HOLDS) {
        th_doc_line(v->doc, "Nothing: it holds as it stands.");
    } else if (!check->turn_downs_tried) {
        th_doc_line(v->doc, "Not searched here: tackhold check tells what reaches %s.", asked);
    } else if (check->turn_down_count == 0) {
        th_doc_line(v->doc, "No single change tried reaches %s, nor two%s.", asked,
                    check->best_step ? "; the best step" : "; none gains anything");
    } else if (strstr(check->turn_downs[0].change, " + ") != NULL) {
        th_doc_line(v->doc, "No single change reaches %s; these two together do.", asked);
    } else {
        th_doc_line(v->doc, "Any one of these makes it hold.");
    }
    if (check->turn_downs_tried && (check->turn_down_count > 0 || check->best_step != NULL)) {
        put_turn_table(v);
    }
    for (size_t i = 0; i < check->advice.count; i++) {
        th_doc_line(v->doc, "%s", check->advice.items[i]);
    }
    if (check->flips_if != NULL) {
        th_doc_line(v->doc, "The answer flips if %s.", check->flips_if);
    }
}

/* ---- trust ----------------------------------------------------------------------------------- */

static void put_sources(const view *v) {
    th_doc_begin(v->doc, "Figures and their trust");
    for (size_t i = 0; i < v->check->source_count; i++) {
        const th_source *source = &v->check->sources[i];
        th_doc_pair(v->doc,
                    th_words_print(v->doc, "%s.%s", th_table_name(source->table), source->row->id),
                    "%s: %s%s", th_trust_name((th_trust)source->row->trust), source->row->source,
                    source->row->origin == TH_FROM_SHOP ? " (your own tables)" : "");
    }
    th_doc_line(v->doc, "%s", TH_WORDS_TRUST);
}

static void put_list(const view *v, const char *title, const th_lines *lines) {
    const char *text = "";
    if (lines->count == 0) {
        return;
    }
    for (size_t i = 0; i < lines->count; i++) {
        text = th_words_print(v->doc, "%s%s%s", text, i > 0 ? "; " : "", lines->items[i]);
    }
    th_doc_begin(v->doc, title);
    th_doc_line(v->doc, "%s.", text);
}

/* What most moves the answer among what was taken for granted: paper has room for that alone. */
static bool counts(const char *line) {
    static const char *const keys[] = {
        ".speed = ", ".chip_load = ", ".feed = ",        ".wear = ",   ".pressed = ",
        ".wait = ",  ".coverage = ",  ".preparation = ", ".cooling = "};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        if (strstr(line, keys[i]) != NULL) {
            return true;
        }
    }
    return false;
}

enum { GRANTED_MOST = 12 };

static void put_granted(const view *v) {
    const th_lines *lines = &v->check->defaults;
    const char *text = "";
    size_t shown = 0;
    put_list(v, "Taken for granted", lines);
    for (size_t i = 0; i < lines->count && shown < GRANTED_MOST; i++) {
        if (counts(lines->items[i])) {
            text = th_words_print(v->doc, "%s%s%s", text, shown > 0 ? "; " : "", lines->items[i]);
            shown++;
        }
    }
    if (lines->count > 0) {
        th_doc_begin(v->doc, "Taken for granted, what counts");
        th_doc_line(v->doc, "%s%s%zu more, on screen.", text, shown > 0 ? "; " : "",
                    lines->count - shown);
    }
}

/* ---- the page -------------------------------------------------------------------------------- */

/* Sizes for a phone first, then for wider windows, then for paper. Inks are those of the
 * pictures. */
static const char style[] =
    ":root{color-scheme:light}"
    "*{box-sizing:border-box}"
    "body{margin:0 auto;max-width:58rem;padding:.75rem;background:#fff;color:#1b1b1b;"
    "font:1rem/1.45 sans-serif}"
    "h1{font-size:1.5rem;line-height:1.2;margin:.2rem 0 .6rem}"
    "h2{font-size:1.1rem;line-height:1.2;margin:0 0 .4rem;border-bottom:2px solid #1b1b1b;"
    "padding-bottom:.15rem}"
    "p{margin:.3rem 0}"
    "section{margin:1.1rem 0}"
    ".verdict{display:flex;gap:.8rem;align-items:center;border:3px solid #1b1b1b;padding:.6rem}"
    ".verdict svg{flex:none}"
    ".verdict strong{font-size:1.7rem;line-height:1.1;letter-spacing:.02em}"
    ".verdict p{margin:.15rem 0}"
    "dl{margin:0}"
    "dl div{margin:.25rem 0}"
    "dt{font-weight:bold}"
    "dd{margin:0}"
    "ol,ul{margin:0;padding-left:1.5rem}"
    "li{margin:.35rem 0}"
    "figure{margin:0;overflow-x:auto}"
    "figure svg{display:block}"
    "figcaption,small{color:#4a4a4a}"
    "small{font-weight:normal}"
    ".wide{overflow-x:auto}"
    "table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}"
    "th,td{text-align:left;vertical-align:top;padding:.25rem .45rem;border-bottom:1px solid "
    "#767676}"
    "th.number,td.number{text-align:right}"
    "thead th{vertical-align:bottom;border-bottom:2px solid #1b1b1b}"
    "tbody th{white-space:nowrap}"
    "footer{border-top:2px solid #1b1b1b;margin-top:1.2rem;padding-top:.5rem}"
    "#taken-for-granted--what-counts{display:none}"
    "#cuts td:nth-child(2){white-space:nowrap}"
    "@media screen and (max-width:48rem){"
    "#the-part-from-above svg{min-width:36rem}"
    "}"
    "@media print,(min-width:48rem){"
    "main{display:grid;grid-template-columns:repeat(10,1fr);column-gap:1.2rem}"
    "section{grid-column:1/-1}"
    "#the-hold{grid-column:span 6}"
    "#the-stack{grid-column:span 4}"
    "#the-part-from-above{grid-column:1/-1}"
    "#cautions{grid-column:1/7;grid-row:span 2}"
    "#taken-for-granted,#not-checked{grid-column:7/-1}"
    "#how-far-it-may-be-opened,#temperature{grid-column:span 5}"
    "dl div{display:grid;grid-template-columns:7rem 1fr;gap:.5rem}"
    "#figures-and-their-trust dl div{grid-template-columns:13rem 1fr}"
    "}"
    "@page{size:auto;margin:8mm 9mm}"
    "@media print{"
    "body{max-width:none;padding:0;font-size:8.2pt;line-height:1.22}"
    "main{column-gap:5mm}"
    "section{margin:.5mm 0}"
    "h1{font-size:15pt;margin:0 0 .6mm}"
    "h2{font-size:10.5pt;margin:0 0 .6mm;padding:0;border-bottom-width:1px;break-after:avoid}"
    "p{margin:.5mm 0}"
    "small{font-size:8pt}"
    ".verdict{padding:.8mm 3mm;gap:4mm;border-width:2px;font-size:10pt}"
    ".verdict strong{font-size:22pt}"
    ".verdict p{margin:.2mm 0}"
    ".verdict p:nth-child(-n+2){display:inline-block;margin-right:5mm}"
    "section svg,figure,li,tr,dl div,footer{break-inside:avoid}"
    ".wide,figure{overflow:visible}"
    "li{margin:.3mm 0}"
    "ul{padding-left:4mm}"
    "ol{padding-left:7mm}"
    "dl div{grid-template-columns:20mm 1fr;gap:1mm;margin:.3mm 0}"
    "main{grid-template-rows:auto auto 1fr}"
    "#the-hold,#taken-for-granted--what-counts,#not-checked{grid-column:1/6}"
    "#the-stack{grid-column:6/-1;grid-row:1/4}"
    "#the-hold{grid-row:1}"
    "#not-checked{grid-row:2}"
    "#taken-for-granted--what-counts{grid-row:3}"
    "#the-part-from-above,#cautions{grid-column:1/-1;grid-row:auto}"
    "#cautions ul{columns:2;column-gap:5mm}"
    "#taken-for-granted{display:none}"
    "#taken-for-granted--what-counts{display:block}"
    "#steps,#steps--once-it-holds{font-size:9.5pt}"
    "#figures-and-their-trust dl{columns:3;column-gap:4mm}"
    "#figures-and-their-trust dl div{display:block}"
    "#figures-and-their-trust dt,#figures-and-their-trust dd{display:inline}"
    "#figures-and-their-trust dt{margin-right:.6em}"
    "#figures-and-their-trust{font-size:7.5pt;line-height:1.2}"
    "th,td{padding:.3mm 1.2mm}"
    "footer{margin-top:1mm;padding-top:1mm;border-width:1px}"
    "body.long{font-size:8pt;line-height:1.14}"
    ".long .verdict{font-size:9pt}"
    ".long ol{font-size:9pt}"
    ".long li,.long dl div,.long p{margin:0}"
    ".long dl{line-height:1.1}"
    "}";

/* A plate on its tape: flat on it, half on it, or tilted off. */
static const char *const shapes[] = {
    [TH_HOLDS] = "<path d=\"M6 22h52v14H6z\"/><path d=\"M6 38h52v6H6z\" fill=\"none\" "
                 "stroke=\"#1b1b1b\" stroke-width=\"2\"/>",
    [TH_UNPROVEN] = "<path d=\"M6 22h52v14H6z\" fill=\"none\" stroke=\"#1b1b1b\" "
                    "stroke-width=\"3\" stroke-dasharray=\"7 4\"/><path d=\"M6 40h22v6H6zM36 "
                    "40h22v6H36z\" fill=\"none\" stroke=\"#1b1b1b\" stroke-width=\"2\"/>",
    [TH_LETS_GO] = "<path d=\"M10 22 56 2l5 12-46 20z\"/><path d=\"M6 42h52v6H6z\" fill=\"none\" "
                   "stroke=\"#1b1b1b\" stroke-width=\"2\"/>",
};

static void put_paragraph(th_text *text, const char *words) {
    th_text_put(text, "<p>");
    th_svg_escape(text, words);
    th_text_put(text, "</p>\n");
}

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

static void put_verdict(const view *v, th_text *text) {
    static const char *const orders[] = {
        [TH_HOLDS] = "",
        [TH_UNPROVEN] = "Not proven by these figures: turn something down before you cut.",
        [TH_LETS_GO] = "Do not cut this as it stands: turn something down first.",
    };
    th_verdict verdict = v->check->verdict;
    const char *answer = th_words_answer(v->doc, v->check);
    const char *gap = strstr(answer, "  ");
    size_t word = gap == NULL ? strlen(answer) : (size_t)(gap - answer);
    th_text_put(text,
                "<div class=\"verdict\"><svg viewBox=\"0 0 64 52\" width=\"64\" height=\"52\" "
                "fill=\"#1b1b1b\" aria-hidden=\"true\">");
    th_text_add(text, "%s</svg>\n<div><p><strong>", shapes[verdict]);
    th_svg_escape(text, th_words_print(v->doc, "%.*s", (int)word, answer));
    th_text_put(text, "</strong></p>\n");
    put_paragraph(text, answer + word + strspn(answer + word, " "));
    if (orders[verdict][0] != '\0') {
        put_paragraph(text, orders[verdict]);
    }
    put_paragraph(text, weakest(v));
    put_paragraph(text, TH_WORDS_SAFETY);
    th_text_put(text, "</div></div>\n");
}

/* More than two pages hold in the usual size. */
static bool is_long(const view *v) {
    return v->job->cut_count >= 4 || v->check->cautions.count >= 6;
}

static void put_top(const view *v, th_text *text) {
    const char *title = v->job->head.title == NULL ? "Untitled job" : v->job->head.title;
    th_text_put(text, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                      "style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'\">\n"
                      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                      "<title>");
    th_svg_escape(text, title);
    th_text_put(text, " - tackhold</title>\n<style>");
    th_text_put(text, style);
    th_text_put(text, "</style>\n</head>\n<body");
    th_text_put(text, is_long(v) ? " class=\"long\">" : ">");
    th_text_put(text, "\n<header>\n<h1>");
    th_svg_escape(text, title);
    th_text_put(text, "</h1>\n");
    put_verdict(v, text);
    th_text_put(text, "</header>\n<main>\n");
}

/* What came of it, to be ticked with a pen. */
static const char foot[] =
    "</main>\n<footer>\n<p>What came of it: &#9744; held &#9744; moved &#9744; let go, at pass "
    "______ on ____________ by ____________</p>\n<p><small>tackhold " TH_VERSION
    ". A statement about the figures named here, most of them estimates until you have pulled your "
    "own tape off.</small></p>\n</footer>\n</body>\n</html>\n";

static bool build(const view *v) {
    put_hold(v);
    bool drawn = put_stack(v) && put_part(v);
    th_card_cautions(v->card, v->doc);
    put_list(v, "Not checked", &v->check->not_checked);
    put_granted(v);
    th_card_steps(v->card, v->doc);
    put_cuts(v);
    put_turn_downs(v);
    drawn = drawn && put_limits(v) && put_heat(v);
    put_sources(v);
    return drawn;
}

bool th_report_card(const th_card *card, th_text *text, th_error *err) {
    th_doc doc = {0};
    view v = {card, card->job, card->check, (th_units)card->job->head.units, &doc, err};
    put_top(&v, text);
    bool fine = build(&v) && th_doc_html(&doc, text, err);
    th_text_put(text, foot);
    fine = fine && (!(text->failed || doc.failed) || th_fail_memory(err));
    th_doc_free(&doc);
    return fine;
}
