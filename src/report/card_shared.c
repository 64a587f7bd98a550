/* card_shared.c - sections that all cards have. */
#include <math.h>
#include <string.h>

#include "card.h"
#include "words.h"

typedef struct {
    const th_job *job;
    th_doc *doc;
    th_units units;
} hold_view;

static const char *q(const hold_view *v, double value, th_kind kind) {
    return th_words_quantity(v->doc, value, kind, v->units);
}

/* ---- the hold -------------------------------------------------------------------------------- */

static const char *stock_words(const hold_view *v) {
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

static const char *hold_words(const hold_view *v) {
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

void th_card_hold(const th_job *job, th_doc *doc) {
    const hold_view view = {job, doc, (th_units)job->head.units}, *v = &view;
    const th_hold *hold = &job->hold;
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

/* ---- trust ----------------------------------------------------------------------------------- */

void th_card_sources(const th_source *sources, size_t count, th_doc *doc) {
    th_doc_begin(doc, "Figures and their trust");
    for (size_t i = 0; i < count; i++) {
        const th_source *source = &sources[i];
        th_doc_pair(doc,
                    th_words_print(doc, "%s.%s", th_table_name(source->table), source->row->id),
                    "%s: %s%s", th_trust_name((th_trust)source->row->trust), source->row->source,
                    source->row->origin == TH_FROM_SHOP ? " (your own tables)" : "");
    }
    th_doc_line(doc, "%s", TH_WORDS_TRUST);
}

void th_card_list(const char *title, const th_lines *lines, th_doc *doc) {
    const char *text = "";
    if (lines->count == 0) {
        return;
    }
    for (size_t i = 0; i < lines->count; i++) {
        text = th_words_print(doc, "%s%s%s", text, i > 0 ? "; " : "", lines->items[i]);
    }
    th_doc_begin(doc, title);
    th_doc_line(doc, "%s.", text);
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

void th_card_granted(const th_lines *lines, th_doc *doc) {
    const char *text = "";
    size_t shown = 0;
    for (size_t i = 0; i < lines->count && shown < GRANTED_MOST; i++) {
        if (counts(lines->items[i])) {
            text = th_words_print(doc, "%s%s%s", text, shown > 0 ? "; " : "", lines->items[i]);
            shown++;
        }
    }
    if (lines->count > 0) {
        th_doc_begin(doc, "Taken for granted, what counts");
        th_doc_line(doc, "%s%s%zu more, on screen.", text, shown > 0 ? "; " : "",
                    lines->count - shown);
    }
}
