/* picture_limits.c - how far the cuts may be opened: axial against radial engagement. */
#include <math.h>
#include <string.h>

#include "card.h"
#include "limits.h"
#include "picture.h"
#include "words.h"

enum { LEFT = 50, RIGHT = 14, TOP = 44, LINE = 17, UNDER = 92 };
enum { PLOT_HIGH = 182, PLOT_LOW = 96 }; /* of the plot: in a picture alone, on the card */
enum { HEIGHT = TOP + PLOT_HIGH + UNDER };

/* Between two ticks at least: their labels have room (px). */
#define ACROSS_APART 30.0
#define UP_APART 17.0

typedef struct {
    const th_limit_cut *cut;
    th_units units;
    th_svg *svg;
    th_doc *words;    /* whose arena holds the texts */
    th_point at;      /* of the panel in the picture (px) */
    double plot;      /* height of the plot (px) */
    double radial[2]; /* ends of the axes (mm) */
    double axial[2];
} panel;

static double x_of(const panel *p, double radial) {
    double share = log(radial / p->radial[0]) / log(p->radial[1] / p->radial[0]);
    return p->at.x + LEFT + share * (TH_CHART_WIDE - LEFT - RIGHT);
}

/* The plot's lower edge. */
static double base_of(const panel *p) {
    return p->at.y + TOP + p->plot;
}

static double y_of(const panel *p, double axial) {
    double share = log(axial / p->axial[0]) / log(p->axial[1] / p->axial[0]);
    return base_of(p) - share * p->plot;
}

static const char *length(const panel *p, double value) {
    return th_words_quantity(p->words, value, TH_LENGTH, p->units);
}

static bool holds(const th_limit_point *point) {
    return point->axial > 0;
}

static bool any_holds(const th_limit_cut *cut) {
    for (size_t i = 0; i < cut->point_count; i++) {
        if (holds(&cut->points[i])) {
            return true;
        }
    }
    return false;
}

/* ---- axes ------------------------------------------------------------------------------------ */

static void widen(double range[2], double value) {
    range[0] = fmin(range[0], value);
    range[1] = fmax(range[1], value);
}

static void set_scales(panel *p) {
    const th_limit_cut *cut = p->cut;
    p->radial[0] = p->radial[1] = cut->cut->radial;
    p->axial[0] = p->axial[1] = cut->cut->axial;
    for (size_t i = 0; i < cut->point_count; i++) {
        const th_limit_point *point = &cut->points[i];
        widen(p->radial, point->radial);
        if (holds(point)) {
            widen(p->axial, point->axial);
            widen(p->axial, point->least);
        }
    }
    p->radial[0] /= p->radial[1] > 1.01 * p->radial[0] ? 1.12 : 2;
    p->radial[1] *= p->radial[0] > 0.4 * p->radial[1] ? 2 : 1.12;
    p->axial[0] /= 1.35;
    p->axial[1] *= 1.6;
}

/* Steps of a decade that leave room between their labels. */
static const double *decade_of(const double range[2], size_t *count) {
    static const double wide[] = {1, 2, 5};
    static const double usual[] = {1, 1.5, 2, 3, 5, 7};
    static const double fine[] = {1, 1.2, 1.4, 1.6, 1.8, 2, 2.5, 3, 3.5, 4, 5, 6, 7, 8, 9};
    double ratio = range[1] / range[0];
    *count = ratio > 10    ? sizeof wide / sizeof *wide
             : ratio > 2.5 ? sizeof usual / sizeof *usual
                           : sizeof fine / sizeof *fine;
    return ratio > 10 ? wide : ratio > 2.5 ? usual : fine;
}

static void put_tick(const panel *p, bool across, double value) {
    const th_svg_paint rule = {.stroke = TH_INK_FAINT, .width = 0.5};
    const th_svg_font below = {.size = TH_SVG_SMALL, .anchor = TH_SVG_MIDDLE, .fill = TH_INK_SOFT};
    const th_svg_font beside = {.size = TH_SVG_SMALL, .anchor = TH_SVG_RIGHT, .fill = TH_INK_SOFT};
    const char *label = th_words_number(p->words, p->units == TH_INCH ? value / 25.4 : value, 3);
    double left = p->at.x + LEFT, base = base_of(p);
    if (across) {
        double x = x_of(p, value);
        th_svg_line(p->svg, &rule, (th_point){x, base}, (th_point){x, base - p->plot});
        th_svg_words(p->svg, &below, (th_point){x, base + 15}, "%s", label);
    } else {
        double y = y_of(p, value);
        th_svg_line(p->svg, &rule, (th_point){left, y},
                    (th_point){p->at.x + TH_CHART_WIDE - RIGHT, y});
        th_svg_words(p->svg, &beside, (th_point){left - 5, y + 4}, "%s", label);
    }
}

static void put_ticks(const panel *p, bool across) {
    double unit = p->units == TH_INCH ? 25.4 : 1, last = NAN;
    const double *ends = across ? p->radial : p->axial;
    const double range[2] = {ends[0] / unit, ends[1] / unit};
    size_t count;
    const double *steps = decade_of(range, &count);
    double least = floor(log10(range[0]));
    for (int decade = 0; pow(10, least + decade) <= range[1]; decade++) {
        for (size_t i = 0; i < count; i++) {
            double value = steps[i] * pow(10, least + decade) * unit;
            double place = across ? x_of(p, value) : y_of(p, value);
            bool room = !(fabs(place - last) < (across ? ACROSS_APART : UP_APART));
            if (value >= ends[0] && value <= ends[1] && room) {
                put_tick(p, across, value);
                last = place;
            }
        }
    }
}

static void put_axes(const panel *p) {
    const th_svg_font font = {.size = TH_SVG_SMALL, .fill = TH_INK_SOFT};
    const char *unit = p->units == TH_INCH ? "in" : "mm";
    const th_box box = {.x = p->at.x + LEFT,
                        .y = p->at.y + TOP,
                        .length = TH_CHART_WIDE - LEFT - RIGHT,
                        .width = p->plot};
    th_svg_font right = font;
    right.anchor = TH_SVG_RIGHT;
    put_ticks(p, true);
    put_ticks(p, false);
    th_svg_box(p->svg, &(th_svg_paint){.stroke = TH_INK_SOFT}, &box);
    th_svg_words(p->svg, &font, (th_point){p->at.x + 4, p->at.y + TOP - 8},
                 "axial (depth of a pass), %s", unit);
    th_svg_words(p->svg, &right, (th_point){box.x + box.length, box.y + p->plot + 31},
                 "radial (stepover), %s", unit);
}

/* ---- the region ------------------------------------------------------------------------------ */

/* Position behind the points from `first` on that hold. */
static size_t run_of(const th_limit_cut *cut, size_t first) {
    size_t end = first;
    while (end < cut->point_count && holds(&cut->points[end])) {
        end++;
    }
    return end;
}

/* A lone point is as wide as a bar. */
static double side_of(const th_limit_cut *cut, size_t first, size_t end) {
    (void)cut;
    return end - first == 1 ? 7 : 0;
}

static void put_region(const panel *p, size_t first, size_t end) {
    const th_limit_point *points = p->cut->points;
    double side = side_of(p->cut, first, end);
    th_svg_trace(p->svg);
    for (size_t i = first; i < end; i++) {
        double x = x_of(p, points[i].radial) - side;
        if (i == first) {
            th_svg_move(p->svg, (th_point){x, y_of(p, points[i].axial)});
        } else {
            th_svg_to(p->svg, (th_point){x, y_of(p, points[i].axial)});
        }
    }
    if (side > 0) {
        double x = x_of(p, points[first].radial) + side;
        th_svg_to(p->svg, (th_point){x, y_of(p, points[first].axial)});
    }
    for (size_t i = end; i > first; i--) {
        double x = x_of(p, points[i - 1].radial) + side;
        th_svg_to(p->svg, (th_point){x, y_of(p, points[i - 1].least)});
    }
    if (side > 0) {
        double x = x_of(p, points[first].radial) - side;
        th_svg_to(p->svg, (th_point){x, y_of(p, points[first].least)});
    }
    th_svg_shut(p->svg);
    th_svg_draw(p->svg, &(th_svg_paint){.fill = TH_FILL_METAL, .stroke = TH_INK, .width = 1});
}

/* The upper edge, with a dot where it was worked out. */
static void put_edge(const panel *p, size_t first, size_t end) {
    const th_svg_paint line = {.stroke = TH_INK, .width = 2.5, .round = true};
    const th_limit_point *points = p->cut->points;
    double side = side_of(p->cut, first, end);
    th_svg_trace(p->svg);
    th_svg_move(p->svg,
                (th_point){x_of(p, points[first].radial) - side, y_of(p, points[first].axial)});
    for (size_t i = first; i < end; i++) {
        th_svg_to(p->svg, (th_point){x_of(p, points[i].radial) + side, y_of(p, points[i].axial)});
    }
    th_svg_draw(p->svg, &line);
    for (size_t i = first; i < end; i++) {
        th_point at = {x_of(p, points[i].radial), y_of(p, points[i].axial)};
        th_svg_circle(p->svg, &(th_svg_paint){.fill = TH_INK}, at, 2.5);
    }
}

/* ---- what limits ----------------------------------------------------------------------------- */

static double edge_of(const panel *p, const th_limit_point *point) {
    return holds(point) ? y_of(p, point->axial) : base_of(p) - 4;
}

/* Over the points from `first` to before `end`, which one thing limits: its name where there is
 * room for it, else its letter. */
static void put_limiter(const panel *p, size_t first, size_t end, bool only) {
    const th_limit_point *points = p->cut->points;
    th_limiter limiter = points[first].limiter;
    const char *name = th_limits_words(limiter);
    double left = x_of(p, points[first].radial), right = x_of(p, points[end - 1].radial);
    double wide = th_svg_width(name, TH_SVG_SMALL, true), top = INFINITY;
    double least = p->at.x + LEFT + 3, most = p->at.x + TH_CHART_WIDE - RIGHT - 3;
    bool room = only || wide < right - left + 16;
    double half = room ? wide / 2 : 5, middle = (left + right) / 2;
    middle = fmin(fmax(middle, least + half), most - half);
    for (size_t i = 0; i < p->cut->point_count; i++) {
        double x = x_of(p, points[i].radial);
        bool under = (i >= first && i < end) || fabs(x - middle) < half;
        top = under && fabs(x - middle) < half + 12 ? fmin(top, edge_of(p, &points[i])) : top;
    }
    top = isfinite(top) ? top : edge_of(p, &points[(first + end - 1) / 2]);
    const th_svg_font font = {
        .size = TH_SVG_SMALL, .anchor = TH_SVG_MIDDLE, .bold = true, .halo = true};
    if (only && end - first == 1) { /* beside the bar, clear of the job's own mark */
        th_svg_words(p->svg, &(th_svg_font){.size = TH_SVG_SMALL, .bold = true, .halo = true},
                     (th_point){left + 16, top + 16}, "%s", name);
    } else if (room) {
        th_svg_words(p->svg, &font, (th_point){middle, top - 9}, "%s", name);
    } else {
        th_svg_words(p->svg, &font, (th_point){middle, top - 9}, "%c", th_limits_letter(limiter));
    }
}

static void put_limiters(const panel *p, size_t from, size_t to) {
    const th_limit_point *points = p->cut->points;
    for (size_t i = from; i < to;) {
        size_t end = i;
        while (end < to && points[end].limiter == points[i].limiter) {
            end++;
        }
        put_limiter(p, i, end, i == 0 && end == p->cut->point_count);
        i = end;
    }
}

/* Where nothing holds: a cross on the axis. */
static void put_none(const panel *p, const th_limit_point *point) {
    const th_svg_paint line = {.stroke = TH_INK, .width = 1.5};
    double x = x_of(p, point->radial), y = base_of(p);
    th_svg_line(p->svg, &line, (th_point){x - 4, y - 4}, (th_point){x + 4, y + 4});
    th_svg_line(p->svg, &line, (th_point){x - 4, y + 4}, (th_point){x + 4, y - 4});
}

static void put_runs(const panel *p) {
    const th_limit_cut *cut = p->cut;
    for (size_t i = 0; i < cut->point_count;) {
        size_t end = run_of(cut, i);
        if (end == i) {
            put_none(p, &cut->points[i++]);
            continue;
        }
        put_region(p, i, end);
        put_edge(p, i, end);
        i = end;
    }
    put_limiters(p, 0, cut->point_count);
}

/* ---- marks ----------------------------------------------------------------------------------- */

static void put_stated(const panel *p, th_point at) {
    const th_svg_paint ring = {.fill = "#fff", .stroke = TH_INK_RUST, .width = 2.5};
    const th_svg_paint line = {.stroke = TH_INK_RUST, .width = 2};
    th_svg_circle(p->svg, &ring, at, 6);
    th_svg_line(p->svg, &line, (th_point){at.x - 10, at.y}, (th_point){at.x + 10, at.y});
    th_svg_line(p->svg, &line, (th_point){at.x, at.y - 10}, (th_point){at.x, at.y + 10});
}

static void put_fastest(const panel *p, th_point at) {
    th_svg_trace(p->svg);
    th_svg_move(p->svg, (th_point){at.x, at.y - 7});
    th_svg_to(p->svg, (th_point){at.x + 7, at.y});
    th_svg_to(p->svg, (th_point){at.x, at.y + 7});
    th_svg_to(p->svg, (th_point){at.x - 7, at.y});
    th_svg_shut(p->svg);
    th_svg_draw(p->svg, &(th_svg_paint){.fill = TH_INK_BLUE, .stroke = "#fff", .width = 1});
}

static const char *stated_words(const panel *p) {
    const th_limit_cut *cut = p->cut;
    return th_words_print(p->words, "as stated: %s x %s, %s%s", length(p, cut->cut->radial),
                          length(p, cut->cut->axial), cut->own_holds ? "holds" : "over: ",
                          cut->own_holds ? "" : th_limits_words(cut->own_limiter));
}

static const char *sketched_words(const panel *p) {
    return p->words->screen ? "to about 5 %, this cut alone; exact: its limits"
                            : "to about 5 %, this cut alone; exact: tackhold limits";
}

static const char *fastest_words(const panel *p) {
    const th_limit_point *fastest = &p->cut->fastest;
    if (!p->cut->possible) {
        return !any_holds(p->cut) ? "no engagement holds"
               : p->cut->sketched ? sketched_words(p)
                                  : "no pair with the job's depth holds";
    }
    return th_words_print(p->words, "fastest: %s x %s, %s", length(p, fastest->radial),
                          length(p, fastest->axial),
                          th_words_quantity(p->words, fastest->minutes * 60, TH_TIME, p->units));
}

/* The letters that stand in the chart; one line holds them, the commonest things that limit. */
static const char *letter_words(const panel *p) {
    const char *text = "";
    bool used[TH_LIMITERS] = {false};
    size_t kinds = 0;
    for (size_t i = 0; i < p->cut->point_count; i++) {
        kinds += !used[p->cut->points[i].limiter];
        used[p->cut->points[i].limiter] = true;
    }
    for (int i = 0; i < TH_LIMITERS && kinds > 1; i++) {
        if (used[i]) {
            text = th_words_print(p->words, "%s%s%c %s", text, text[0] ? ", " : "",
                                  th_limits_letter((th_limiter)i), th_limits_words((th_limiter)i));
        }
    }
    return text;
}

static void put_legend(const panel *p) {
    const th_svg_font font = {.size = TH_SVG_SMALL};
    double x = p->at.x + 16, y = base_of(p) + 31 + LINE;
    put_stated(p, (th_point){x, y - 4});
    th_svg_words(p->svg, &font, (th_point){x + 16, y}, "%s", stated_words(p));
    y += LINE;
    if (p->cut->possible) {
        put_fastest(p, (th_point){x, y - 4});
    }
    th_svg_words(p->svg, &font, (th_point){x + 16, y}, "%s", fastest_words(p));
    y += LINE;
    th_svg_words(p->svg, &font, (th_point){x + 16, y}, "%s", letter_words(p));
}

static void put_panel(panel *p) {
    const th_cut *cut = p->cut->cut;
    const th_svg_font font = {.size = TH_SVG_TEXT, .bold = true};
    set_scales(p);
    th_svg_open(p->svg, NULL);
    th_svg_words(p->svg, &font, (th_point){p->at.x + 4, p->at.y + 16}, "%s %s, cutter %s",
                 cut->section, th_operation_name((th_operation)cut->operation),
                 th_words_clip(p->words, cut->cutter->id, 20));
    put_axes(p);
    put_runs(p);
    if (p->cut->possible) {
        put_fastest(p, (th_point){x_of(p, fmax(p->cut->fastest.radial, p->radial[0])),
                                  y_of(p, fmax(p->cut->fastest.axial, p->axial[0]))});
    }
    put_stated(p, (th_point){x_of(p, cut->radial), y_of(p, cut->axial)});
    put_legend(p);
    th_svg_close(p->svg);
}

/* ---- the whole ------------------------------------------------------------------------------- */

static const char *about_cut(const panel *p) {
    const th_limit_cut *cut = p->cut;
    const char *text = th_words_print(p->words, "%s %s, %s; %s.", cut->cut->section,
                                      th_operation_name((th_operation)cut->cut->operation),
                                      stated_words(p), fastest_words(p));
    if (cut->never != NULL) {
        return th_words_print(p->words, "%s Nothing holds: %s.", text, cut->never);
    }
    for (size_t i = 0; i < cut->point_count; i++) {
        const th_limit_point *point = &cut->points[i];
        const char *most = holds(point) ? length(p, point->axial) : "none";
        text = th_words_print(p->words, "%s Radial %s: axial to %s, limited by %s.", text,
                              length(p, point->radial), most, th_limits_words(point->limiter));
    }
    return text;
}

bool th_picture_limit(const th_job *job, const th_limit_cut *cut, bool screen, th_text *text,
                      th_error *err) {
    th_doc words = {.screen = screen};
    panel p = {.cut = cut, .units = (th_units)job->head.units, .words = &words, .plot = PLOT_LOW};
    const th_svg_head head = {
        .prefix = th_words_print(&words, "limit-%d", cut->cut->number),
        .width = TH_CHART_WIDE,
        .height = TOP + PLOT_LOW + UNDER - (letter_words(&p)[0] ? 0 : LINE),
        .title = th_words_print(&words, "How far %s may be opened", cut->cut->section),
        .about = about_cut(&p)};
    th_svg svg = th_svg_begin(text, &head);
    p.svg = &svg;
    put_panel(&p);
    bool fine = th_svg_end(&svg, err) && (!words.failed || th_fail_memory(err));
    th_doc_free(&words);
    return fine;
}

/* `across`: panels side by side. */
static void put_panels(panel *p, const th_limits *limits, size_t across) {
    for (size_t i = 0; i < limits->cut_count; i++) {
        p->cut = &limits->cuts[i];
        size_t row = i / across;
        p->at = (th_point){(double)(i % across * TH_CHART_WIDE), (double)(row * HEIGHT)};
        put_panel(p);
    }
    if (limits->cut_count == 0) {
        th_svg_words(p->svg, &(th_svg_font){0}, (th_point){8, 24},
                     "No milling cut: nothing to open.");
    }
}

static bool draw_limits(const th_job *job, const th_limits *limits, size_t across, th_text *text,
                        th_error *err) {
    th_doc words = {0};
    panel p = {.units = (th_units)job->head.units, .words = &words, .plot = PLOT_HIGH};
    const char *about = limits->cut_count == 0 ? "No milling cut: nothing to open." : "";
    size_t rows = (limits->cut_count + across - 1) / across;
    for (size_t i = 0; i < limits->cut_count; i++) {
        p.cut = &limits->cuts[i];
        about = th_words_print(&words, "%s%s%s", about, i > 0 ? " " : "", about_cut(&p));
    }
    const th_svg_head head = {.prefix = "limits",
                              .width =
                                  limits->cut_count > 1 && across > 1 ? TH_SVG_WIDE : TH_CHART_WIDE,
                              .height = rows > 0 ? (double)rows * HEIGHT : 40,
                              .title = "How far the cuts may be opened",
                              .about = about};
    th_svg svg = th_svg_begin(text, &head);
    p.svg = &svg;
    put_panels(&p, limits, across);
    bool fine = th_svg_end(&svg, err) && (!words.failed || th_fail_memory(err));
    th_doc_free(&words);
    return fine;
}

bool th_picture_limits(const th_job *job, const th_check *check, const th_limits *limits,
                       th_text *text, th_error *err) {
    (void)check;
    return draw_limits(job, limits, 2, text, err);
}

bool th_picture_limits_thin(const th_job *job, const th_limits *limits, th_text *text,
                            th_error *err) {
    return draw_limits(job, limits, 1, text, err);
}
