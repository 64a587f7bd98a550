/* program_words.c - what the text and the card of a program both say. */
#include "program_words.h"

#include <math.h>
#include <string.h>

typedef th_program_view view;

/* Nobody says how large the plate is. */
#define TO_STOCK " (the plate is taken to reach as far as the stock)"

static const char *q(const view *v, double value, th_kind kind) {
    return th_words_quantity(v->doc, value, kind, v->units);
}

static const char *factor(const view *v, double value) {
    return th_words_factor(v->doc, value, v->run->asked_factor);
}

const char *th_program_verdict(const view *v, const th_run *run) {
    static const char *const verdicts[] = {"HOLDS", "UNPROVEN", "LETS GO"};

    if (!isfinite(run->hold_factor)) {
        return th_words_print(v->doc, "%s  nothing that must stay is cut", verdicts[run->verdict]);
    }
    return th_words_print(v->doc, "%s  hold factor %s, asked %s%s", verdicts[run->verdict],
                          factor(v, run->hold_factor), factor(v, run->asked_factor),
                          run->estimate ? " (an estimate)" : "");
}

const char *th_program_model(const view *v) {
    const th_run *run = v->run;

    const char *times = th_words_number(v->doc, run->bending, 2);
    const char *less = strcmp(times, "1") == 0
                           ? "as much"
                           : th_words_print(v->doc, "up to %s times less, and that counts", times);

    if (run->plates_asked == 0) {
        return "the part is taken as stiff: a rigid plate on its bonded area, at every step";
    }
    return th_words_print(v->doc,
                          "stiff, on its bonded area, it is %s; the plate that bends, asked at %zu "
                          "of the worst steps, holds %s",
                          factor(v, run->area_factor), run->plates_asked, less);
}

const char *th_program_why(const view *v, const th_worst_line *line) {
    const th_step_load *load = &line->load;
    bool bends = line->asked && load->hold_factor > 0; /* of no strength the plate knows no cause */
    const char *way = th_words_way(bends ? line->bent.way : load->way);
    const char *moment = load->freeing                ? ", as if free"
                         : !(load->chip_load > 0)     ? ", straight down"
                         : load->load == TH_SUSTAINED ? ", over time"
                                                      : "";

    const char *of = load->hold_factor > 0 ? " " : ": ";

    return !(load->hold_factor > 0) && load->way != TH_HEAT
               ? th_words_print(v->doc, "%s%s", way, moment)
               : th_words_print(v->doc, "%s%s%s%s", th_piece_name(load->kind), of, way, moment);
}

static const th_slow_line *slow_line(const th_slow *slow, int line) {
    for (size_t i = 0; slow && i < slow->count; i++) {
        if (slow->lines[i].line == line) {
            return &slow->lines[i];
        }
    }
    return NULL;
}

/* The worst line before it whose feed is kept for the same reason; 0: none. */
static int told_before(const view *v, const th_worst_line *line, const char *why_not) {
    for (const th_worst_line *one = v->run->worst; one < line; one++) {
        const th_slow_line *slow = slow_line(v->shown->slow, one->load.line);
        if (slow && slow->why_not && strcmp(slow->why_not, why_not) == 0) {
            return one->load.line;
        }
    }
    return 0;
}

const char *th_program_change(const view *v, const th_worst_line *line) {
    const th_slow_line *slow = slow_line(v->shown->slow, line->load.line);

    if (line->hold_factor >= v->run->asked_factor) {
        return "";
    }
    if (!slow) { /* not looked for, or of no use there */
        return "";
    }
    if (slow->why_not) {
        int like = told_before(v, line, slow->why_not);
        return like > 0 ? th_words_print(v->doc, "as line %d", like)
                        : th_words_print(v->doc, "less depth or width, or more hold; slower: %s",
                                         slow->why_not);
    }
    return th_words_print(v->doc, "feed %s instead of %s: %s%s", q(v, slow->to, TH_FEED),
                          th_words_bare(v->doc, slow->from, TH_FEED, v->units),
                          factor(v, slow->hold_factor),
                          slow->hold_factor < v->run->asked_factor ? ", still short" : "");
}

const char *th_program_unwritten(const th_slow *slow) {
    return slow->after.verdict == TH_LETS_GO ? ", as it would still let go"
                                             : ", as it would hold no better";
}

const char *th_program_found(th_found_kind kind) {
    static const char *const words[] = {"rapid through material", "reaches the table",
                                        "spindle stopped",        "spindle runs backwards",
                                        "deeper than the flutes", "shank in the stock"};

    return words[kind];
}

/* Less is the rounding of a sum (mm). */
#define GRAZED 1e-6

const char *th_program_deepest(const view *v) {
    const th_run *run = v->run;
    double left = run->lowest - run->table;
    const char *deep = "the sacrificial plate is not cut";

    if (left < 0) {
        deep =
            th_words_print(v->doc, "through the sacrificial plate and %s into the table" TO_STOCK,
                           th_words_height(v->doc, -left, v->units));
    } else if (run->lowest < run->plate_top - GRAZED) {
        deep = th_words_print(v->doc, "%s into the sacrificial plate, %s of it left" TO_STOCK,
                              th_words_height(v->doc, run->plate_top - run->lowest, v->units),
                              th_words_height(v->doc, left, v->units));
    }
    return th_words_print(v->doc, "line %d, %s from the bonded face: %s", run->lowest_line,
                          th_words_height(v->doc, run->lowest, v->units), deep);
}

const char *th_program_force(const view *v, const th_step_load *load) {
    return th_words_bare(v->doc, fmax(load->in_plane_peak, load->lift_peak), TH_FORCE, v->units);
}

const char *th_program_sway(const view *v) {
    double dial = v->units == TH_INCH ? 0.0001 * 25.4 : 0.01;

    return v->run->sway < dial
               ? th_words_print(v->doc, "under %s", th_words_height(v->doc, dial, v->units))
               : th_words_height(v->doc, v->run->sway, v->units);
}

const char *th_program_warmest(const view *v) {
    const th_run *run = v->run;
    const char *where =
        run->warmest_line > 0 ? th_words_print(v->doc, " in line %d", run->warmest_line) : "";

    return th_words_print(v->doc, "%s%s%s", run->warmest > TH_TOLD_WARMEST ? "over " : "",
                          q(v, fmin(run->warmest, TH_TOLD_WARMEST), TH_TEMPERATURE), where);
}

const char *th_program_length(const view *v, double value) {
    double dial = v->units == TH_INCH ? 0.0005 * 25.4 : 0.01, told = dial * round(value / dial);
    const char *text = th_words_height(v->doc, told, v->units);

    return fabs(value) < dial / 2 ? "0"
                                  : th_words_print(v->doc, "%.*s", (int)strcspn(text, " "), text);
}

bool th_program_any_freeing(const th_run *run) {
    for (size_t i = 0; i < run->worst_count; i++) {
        if (run->worst[i].load.freeing && run->worst[i].load.hold_factor > 0) {
            return true;
        }
    }
    return false;
}

static char sign_of(const th_run *run, double hold_factor) {
    return hold_factor < 1                   ? TH_STRIP_SIGNS[0]
           : hold_factor < run->asked_factor ? TH_STRIP_SIGNS[1]
           : isfinite(hold_factor)           ? TH_STRIP_SIGNS[2]
                                             : TH_STRIP_SIGNS[3];
}

const char *th_program_strip(const view *v, size_t most, int *lines) {
    const th_run *run = v->run;
    size_t each = most > 0 ? (run->strip_count + most - 1) / most : 0;
    char *text = each > 0 ? th_arena_take(&v->doc->arena, most + 1) : NULL;
    size_t length = 0;

    *lines = 0;
    if (!text) {
        v->doc->failed = v->doc->failed || each > 0;
        return "";
    }
    for (size_t from = 0; from < run->strip_count; from += each) {
        double least = INFINITY;
        for (size_t i = from; i < from + each && i < run->strip_count; i++) {
            least = fmin(least, run->strip[i].hold_factor);
        }
        text[length++] = sign_of(run, least);
    }
    text[length] = '\0';
    *lines = (int)each * (run->strip[0].to_line - run->strip[0].from_line + 1);
    return text;
}
