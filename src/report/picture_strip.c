/* picture_strip.c - the hold factor of a program by line number. */
#include <math.h>
#include <stdio.h>

#include "picture_program.h"
#include "program_words.h"

#define LEFT 66.0   /* of the plot (px) */
#define RIGHT 10.0  /* (px) */
#define TOP 40.0    /* of the plot: words above it (px) */
#define HIGH 128.0  /* of the plot (px) */
#define BADGES 24.0 /* from the plot down to the middle of the numbers (px) */
#define TICKS 52.0  /* down to the line numbers (px) */
#define FOOT 58.0   /* down to the end (px) */
#define LEAST 1.5   /* of a bar (px) */

#define SPAN 5.0   /* from the asked factor up to the end of the scale, and down */
#define LOWEST 0.5 /* the scale goes down to there at least */

enum { TICKS_MOST = 9 };

typedef struct {
    const th_program_shown *shown;
    const th_run *run;
    th_doc doc;       /* of words */
    double low, high; /* of the scale */
    int last;         /* line */
    size_t worst;     /* lines numbered */
} strip_picture;

/* ---- scales ---------------------------------------------------------------------------------- */

/* Equal ratios are equally far apart. */
static double height_of(const strip_picture *p, double factor) {
    double within = fmin(fmax(factor, p->low), p->high);

    return TOP + HIGH * log(p->high / within) / log(p->high / p->low);
}

/* Left edge of a line's column. */
static double place_of(const strip_picture *p, int line) {
    return LEFT + (TH_SVG_WIDE - LEFT - RIGHT) * (line - 1) / (double)p->last;
}

/* ---- bars ------------------------------------------------------------------------------------ */

typedef enum { LETS_GO, SHORT_OF_IT, HOLDS, BAR_KINDS } bar_kind;

static bar_kind kind_of(const strip_picture *p, double factor) {
    return factor < 1 ? LETS_GO : factor < p->run->asked_factor ? SHORT_OF_IT : HOLDS;
}

static void trace_bar(th_svg *svg, const strip_picture *p, const th_strip_bin *bin) {
    double from = place_of(p, bin->from_line), to = place_of(p, bin->to_line + 1);
    double asked = height_of(p, p->run->asked_factor), end = height_of(p, bin->hold_factor);
    double gap = to - from > 5 ? 1 : 0;

    end = bin->hold_factor < p->run->asked_factor ? fmax(end, asked + LEAST)
                                                  : fmin(end, asked - LEAST);
    th_svg_move(svg, (th_point){from, asked});
    th_svg_to(svg, (th_point){from, end});
    th_svg_to(svg, (th_point){to - gap, end});
    th_svg_to(svg, (th_point){to - gap, asked});
    th_svg_shut(svg);
}

static void draw_bars(th_svg *svg, const strip_picture *p, bar_kind kind) {
    static const th_svg_paint paints[BAR_KINDS] = {
        [LETS_GO] = {.fill = TH_INK_RUST},
        [SHORT_OF_IT] = {.fill = "url(#strip-short)", .stroke = TH_INK_RUST, .width = 0.8},
        [HOLDS] = {.fill = TH_INK_FAINT}};
    size_t count = 0;

    for (size_t i = 0; i < p->run->strip_count; i++) {
        const th_strip_bin *bin = &p->run->strip[i];
        if (!isfinite(bin->hold_factor) || kind_of(p, bin->hold_factor) != kind) {
            continue;
        }
        if (count++ == 0) {
            th_svg_trace(svg);
        }
        trace_bar(svg, p, bin);
    }
    if (count > 0) {
        th_svg_draw(svg, &paints[kind]);
    }
}

/* ---- axes ------------------------------------------------------------------------------------ */

/* A level with its line; at the ends of the scale what lies beyond is drawn too. */
static void draw_level(th_svg *svg, strip_picture *p, double factor) {
    static const th_svg_paint faint = {.stroke = TH_INK_FAINT, .width = 0.6},
                              one = {.stroke = TH_INK, .width = 1.4, .dash = "5 3"};
    static const th_svg_font font = {
        .size = TH_SVG_SMALL, .anchor = TH_SVG_RIGHT, .fill = TH_INK_SOFT};
    double y = height_of(p, factor);
    const char *beyond = factor >= p->high ? ">" : factor <= p->low ? "<" : "";

    th_svg_line(svg, fabs(factor - 1) < 1e-9 ? &one : &faint, (th_point){LEFT - 4, y},
                (th_point){TH_SVG_WIDE - RIGHT, y});
    th_svg_words(svg, &font, (th_point){LEFT - 8, y + 4}, "%s%s", beyond,
                 th_words_number(&p->doc, factor, 3));
}

static void draw_levels(th_svg *svg, strip_picture *p) {
    static const double levels[] = {0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100};
    double asked = height_of(p, p->run->asked_factor);

    for (size_t i = 0; i < sizeof levels / sizeof *levels; i++) {
        double y = height_of(p, levels[i]);
        bool inside = levels[i] > p->low * 1.0001 && levels[i] < p->high * 0.9999;
        if (inside && fabs(y - asked) > 12 && y > TOP + 12 && y < TOP + HIGH - 12) {
            draw_level(svg, p, levels[i]);
        }
    }
    draw_level(svg, p, p->low);
    draw_level(svg, p, p->high);
}

static void draw_asked(th_svg *svg, strip_picture *p) {
    static const th_svg_paint line = {.stroke = TH_INK, .width = 2};
    static const th_svg_font font = {.size = TH_SVG_SMALL, .anchor = TH_SVG_RIGHT, .bold = true};
    double y = height_of(p, p->run->asked_factor);

    th_svg_line(svg, &line, (th_point){LEFT - 4, y}, (th_point){TH_SVG_WIDE - RIGHT, y});
    th_svg_words(svg, &font, (th_point){LEFT - 8, y + 4}, "asked %s",
                 th_words_number(&p->doc, p->run->asked_factor, 3));
}

static void draw_lines(th_svg *svg, const strip_picture *p) {
    static const th_svg_paint mark = {.stroke = TH_INK_SOFT};
    th_svg_font font = {.size = TH_SVG_SMALL, .anchor = TH_SVG_MIDDLE, .fill = TH_INK_SOFT};
    double y = TOP + HIGH, step = fmax(th_svg_step(0, p->last, TICKS_MOST), 1);

    for (int line = 1; line <= p->last;
         line = line == 1 && step > 1 ? (int)step : line + (int)step) {
        double x = (place_of(p, line) + place_of(p, line + 1)) / 2;
        th_svg_line(svg, &mark, (th_point){x, y}, (th_point){x, y + 5});
        th_svg_words(svg, &font, (th_point){x, y + TICKS}, "%d", line);
    }
    font.anchor = TH_SVG_RIGHT;
    th_svg_words(svg, &font, (th_point){LEFT - 14, y + TICKS}, "line");
}

/* ---- the worst lines ------------------------------------------------------------------------- */

typedef struct {
    size_t number; /* in the table, from 1 */
    double x;
} mark;

/* Left to right. */
static size_t marks_of(const strip_picture *p, mark *marks) {
    for (size_t i = 0; i < p->worst; i++) {
        int line = p->run->worst[i].load.line;
        mark next = {i + 1, (place_of(p, line) + place_of(p, line + 1)) / 2};
        size_t at = i;
        for (; at > 0 && marks[at - 1].x > next.x; at--) {
            marks[at] = marks[at - 1];
        }
        marks[at] = next;
    }
    return p->worst;
}

static void draw_marks(th_svg *svg, const strip_picture *p) {
    static const th_svg_paint lead = {.stroke = TH_INK, .width = 1};
    static const th_svg_paint down = {.stroke = TH_INK_SOFT, .width = 0.8, .dash = "1 3"};
    const double ends[2] = {LEFT + TH_BADGE, TH_SVG_WIDE - RIGHT - TH_BADGE};
    mark marks[TH_MAP_WORST];
    double xs[TH_MAP_WORST];
    size_t count = marks_of(p, marks);
    char number[8];

    for (size_t i = 0; i < count; i++) {
        xs[i] = marks[i].x;
    }
    th_svg_spread(xs, count, 2 * TH_BADGE + 3, ends);
    for (size_t i = 0; i < count; i++) {
        double factor = p->run->worst[marks[i].number - 1].hold_factor;
        double from = fmax(height_of(p, factor), height_of(p, p->run->asked_factor));
        th_svg_line(svg, &down, (th_point){marks[i].x, from}, (th_point){marks[i].x, TOP + HIGH});
        th_svg_line(svg, &lead, (th_point){marks[i].x, TOP + HIGH},
                    (th_point){xs[i], TOP + HIGH + BADGES - TH_BADGE});
    }
    for (size_t i = 0; i < count; i++) {
        snprintf(number, sizeof number, "%zu", marks[i].number);
        th_picture_badge(svg, (th_point){xs[i], TOP + HIGH + BADGES}, number, marks[i].number == 1);
    }
}

/* ---- the picture ----------------------------------------------------------------------------- */

static void draw_head(th_svg *svg, const char *lead) {
    static const th_svg_font font = {.size = TH_SVG_SMALL, .fill = TH_INK_SOFT};

    th_svg_paragraph(svg, &font, (th_point){4, 12}, TH_SVG_WIDE - 8, 15, lead);
}

static const char *lead_words(strip_picture *p) {
    int each = p->run->strip[0].to_line;
    const char *bars =
        each == 1 ? "A bar for each line"
                  : th_words_print(&p->doc, "A bar for every %d lines, the worst of them", each);

    return th_words_print(
        &p->doc,
        "%s: up from the asked factor where it holds more, down where it holds "
        "less; below the dashed line at 1 it lets go. No bar: nothing is cut that "
        "must stay. The scale is one of equal ratios.",
        bars);
}

static const char *about_words(strip_picture *p) {
    const th_run *run = p->run;
    const char *worst =
        run->worst_count == 0
            ? ""
            : th_words_print(&p->doc, " The lowest is %s at line %d.",
                             th_words_factor(&p->doc, run->hold_factor, run->asked_factor),
                             run->worst[0].load.line);

    return th_words_print(
        &p->doc, "Bars from line 1 to line %d; %zu lines below the asked factor of %s.%s", p->last,
        run->short_lines, th_words_number(&p->doc, run->asked_factor, 3), worst);
}

bool th_picture_program_strip(const th_program_shown *shown, th_text *text, th_error *err) {
    const th_run *run = shown->run;
    strip_picture p = {.shown = shown,
                       .run = run,
                       .low = fmin(run->asked_factor / SPAN, LOWEST),
                       .high = run->asked_factor * SPAN,
                       .worst = run->worst_count < TH_MAP_WORST ? run->worst_count : TH_MAP_WORST};
    bool fine;

    if (run->strip_count == 0) {
        return th_fail(err, TH_BAD_USAGE, "the run has no lines");
    }
    p.last = run->strip[run->strip_count - 1].to_line;
    const th_svg_head head = {"strip", TH_SVG_WIDE, TOP + HIGH + FOOT, "Hold factor by line",
                              about_words(&p)};
    th_svg svg = th_svg_begin(text, &head);
    th_svg_pattern(&svg, &(th_svg_hatch){"short", "#fff", TH_INK_RUST, 4, 1.4, -45});
    draw_head(&svg, lead_words(&p));
    draw_levels(&svg, &p);
    for (bar_kind kind = 0; kind < BAR_KINDS; kind++) {
        draw_bars(&svg, &p, kind);
    }
    draw_asked(&svg, &p);
    draw_lines(&svg, &p);
    draw_marks(&svg, &p);
    fine = th_svg_end(&svg, err) && (!p.doc.failed || th_fail_memory(err));
    th_doc_free(&p.doc);
    return fine;
}
