/* picture_heat.c - how warm part, plate and tape get over the time of the job. */
#include <math.h>
#include <string.h>

#include "card.h"
#include "picture.h"
#include "words.h"

enum { HIGH = 262, LOW = 188 }; /* alone, on the card */
enum { LEFT = 46, RIGHT = 52, TOP = 34, BOTTOM = 64, BAND = 16, CURVES = 3 };

typedef struct {
    const th_job *job;
    const th_check *check;
    th_units units;
    th_svg *svg;
    th_doc words; /* whose arena holds the texts */
    double width, height;
    double low, high; /* of the axis, in the unit that is shown */
    double seconds;   /* of the whole */
} chart;

typedef enum { PLATE, PART, TAPE } curve;

static double shown(const chart *c, double celsius) {
    return c->units == TH_INCH ? 1.8 * celsius + 32 : celsius;
}

static double value_of(const th_warm_point *point, curve which) {
    return which == TAPE ? point->tape : which == PART ? point->part : point->plate;
}

static double x_of(const chart *c, double seconds) {
    double share = c->seconds > 0 ? seconds / c->seconds : 0;
    return LEFT + share * (c->width - LEFT - RIGHT);
}

/* What is hotter than the axis goes is drawn at its top. */
static double y_of(const chart *c, double celsius) {
    double share = isfinite(celsius) ? (shown(c, celsius) - c->low) / (c->high - c->low) : 1;
    return c->height - BOTTOM - fmin(share, 1) * (c->height - TOP - BOTTOM);
}

double th_card_warmest(const th_job *job, const char **whose) {
    const th_hold *hold = &job->hold;
    double most = hold->tape->temperature_max;
    *whose = "tape";
    if (hold->tape_below != NULL && hold->tape_below->temperature_max < most) {
        most = hold->tape_below->temperature_max;
        *whose = "lower tape";
    }
    if (!hold->glue->absent && hold->glue->temperature_max < most) {
        most = hold->glue->temperature_max;
        *whose = "glue";
    }
    return most;
}

/* ---- axes ------------------------------------------------------------------------------------ */

static double hottest(const th_check *check) {
    double most = -INFINITY;
    for (size_t i = 0; i < check->warm_count; i++) {
        double tape = check->warm[i].tape;
        most = isfinite(tape) ? fmax(most, tape) : most;
        most = fmax(most, fmax(check->warm[i].part, check->warm[i].plate));
    }
    return most;
}

/* From the room to a little above limit and curves; what is far above the limit runs off the top.
 */
static void set_scale(chart *c) {
    const char *whose;
    double limit = th_card_warmest(c->job, &whose), room = c->job->hold.room_temperature;
    double top = fmin(fmax(hottest(c->check), limit), room + 2.2 * fmax(limit - room, 20));
    double step = th_svg_step(shown(c, room), shown(c, top), 5);
    c->low = floor(shown(c, room) / step) * step;
    c->high = (floor(shown(c, top) / step) + 1) * step;
    c->seconds = c->check->warm[c->check->warm_count - 1].seconds;
}

static void put_temperatures(const chart *c) {
    const th_svg_paint rule = {.stroke = TH_INK_FAINT, .width = 0.5};
    const th_svg_font font = {.size = TH_SVG_SMALL, .anchor = TH_SVG_RIGHT, .fill = TH_INK_SOFT};
    double step = th_svg_step(c->low, c->high, c->height < HIGH ? 4 : 6);
    double first = ceil(c->low / step - 1e-9);
    for (int i = 0; (first + i) * step <= c->high * (1 + 1e-9); i++) {
        double t = (first + i) * step;
        double share = (t - c->low) / (c->high - c->low);
        double y = c->height - BOTTOM - share * (c->height - TOP - BOTTOM);
        th_svg_line(c->svg, &rule, (th_point){LEFT, y}, (th_point){c->width - RIGHT, y});
        th_svg_words(c->svg, &font, (th_point){LEFT - 6, y + 4}, "%.0f", t);
    }
    th_svg_words(c->svg, &(th_svg_font){.size = TH_SVG_SMALL, .fill = TH_INK_SOFT},
                 (th_point){8, TOP - 16}, "\302\260%s", c->units == TH_INCH ? "F" : "C");
}

static void put_times(chart *c) {
    const th_svg_paint tick = {.stroke = TH_INK_SOFT};
    const th_svg_font font = {.size = TH_SVG_SMALL, .anchor = TH_SVG_MIDDLE, .fill = TH_INK_SOFT};
    double unit = c->seconds < 120 ? 1 : 60, most = c->seconds / unit;
    double step = th_svg_step(0, most, 5), base = c->height - BOTTOM + BAND;
    for (int i = 0; i * step <= most * (1 + 1e-9); i++) {
        double t = i * step;
        double x = x_of(c, t * unit);
        th_svg_line(c->svg, &tick, (th_point){x, base}, (th_point){x, base + 4});
        th_svg_words(c->svg, &font, (th_point){x, base + 17}, "%s",
                     th_words_number(&c->words, t, 3));
    }
    th_svg_words(c->svg, &font, (th_point){x_of(c, c->seconds / 2), c->height - 12},
                 "%s of cutting%s, changing cutters left out", unit > 1 ? "minutes" : "seconds",
                 c->job->part.copies.a * c->job->part.copies.b > 1 ? " the first copy" : "");
}

/* ---- what is drawn --------------------------------------------------------------------------- */

/* The cuts as a band under the chart: one box each, its name where there is room. */
static void put_cuts(const chart *c) {
    const th_check *check = c->check;
    for (size_t i = 0; i < check->warm_count;) {
        size_t end = i;
        while (end + 1 < check->warm_count && check->warm[end + 1].cut == check->warm[i].cut) {
            end++;
        }
        double from = x_of(c, check->warm[i].seconds), to = x_of(c, check->warm[end].seconds);
        const char *name = check->warm[i].cut == NULL ? "" : check->warm[i].cut->section;
        const th_box box = {.x = from, .y = c->height - BOTTOM, .length = to - from, .width = BAND};
        th_svg_box(c->svg, &(th_svg_paint){.fill = TH_FILL_METAL, .stroke = TH_INK_SOFT}, &box);
        if (th_svg_width(name, TH_SVG_SMALL, false) < to - from - 2) {
            th_svg_words(c->svg, &(th_svg_font){.size = TH_SVG_SMALL, .anchor = TH_SVG_MIDDLE},
                         (th_point){(from + to) / 2, c->height - BOTTOM + 12}, "%s", name);
        }
        i = end + 1;
    }
}

static void put_limit(chart *c) {
    const th_svg_paint line = {.stroke = TH_INK_RUST, .width = 2, .dash = "7 4"};
    const char *whose;
    double limit = th_card_warmest(c->job, &whose), y = y_of(c, limit);
    th_svg_line(c->svg, &line, (th_point){LEFT, y}, (th_point){c->width - RIGHT, y});
    th_svg_words(c->svg, &(th_svg_font){.size = TH_SVG_SMALL, .fill = TH_INK_RUST, .halo = true},
                 (th_point){LEFT + 4, y - 5}, "%s: nothing holds above %s", whose,
                 th_words_quantity(&c->words, limit, TH_TEMPERATURE, c->units));
}

static void put_curve(const chart *c, curve which) {
    static const th_svg_paint paints[CURVES] = {
        [PLATE] = {.stroke = TH_INK_SOFT, .width = 1.5, .dash = "3 3", .round = true},
        [PART] = {.stroke = TH_INK_BLUE, .width = 2, .round = true},
        [TAPE] = {.stroke = TH_INK, .width = 2.5, .round = true},
    };
    th_svg_trace(c->svg);
    for (size_t i = 0; i < c->check->warm_count; i++) {
        const th_warm_point *point = &c->check->warm[i];
        th_point at = {x_of(c, point->seconds), y_of(c, value_of(point, which))};
        if (i == 0) {
            th_svg_move(c->svg, at);
        } else {
            th_svg_to(c->svg, at);
        }
    }
    th_svg_draw(c->svg, &paints[which]);
}

/* Names at the right ends of the curves, moved apart. */
static void put_names(const chart *c) {
    static const struct {
        curve which;
        const char *name, *ink;
    } names[CURVES] = {
        {TAPE, "tape", TH_INK}, {PART, "part", TH_INK_BLUE}, {PLATE, "plate", TH_INK_SOFT}};
    const th_warm_point *last = &c->check->warm[c->check->warm_count - 1];
    double places[CURVES];
    for (int i = 0; i < CURVES; i++) { /* warmest first, so that places rise */
        places[i] = y_of(c, value_of(last, names[i].which)) + 4;
        places[i] = i > 0 ? fmax(places[i], places[i - 1]) : places[i];
    }
    th_svg_spread(places, CURVES, 14, (const double[2]){TOP, c->height - BOTTOM});
    for (int i = 0; i < CURVES; i++) {
        th_svg_words(c->svg,
                     &(th_svg_font){.size = TH_SVG_SMALL, .fill = names[i].ink, .bold = true},
                     (th_point){c->width - RIGHT + 6, places[i]}, "%s", names[i].name);
    }
}

/* ---- the whole ------------------------------------------------------------------------------- */

static const char *about(chart *c) {
    const th_check *check = c->check;
    const char *whose;
    double limit = th_card_warmest(c->job, &whose);
    double part = -INFINITY, plate = -INFINITY;
    if (check->warm_count == 0) {
        return "Nothing is cut, so nothing gets warm.";
    }
    for (size_t i = 0; i < check->warm_count; i++) {
        part = fmax(part, check->warm[i].part);
        plate = fmax(plate, check->warm[i].plate);
    }
    return th_words_print(&c->words,
                          "Over %s of cutting the tape under the cutter gets %s warm at most, the "
                          "part as a whole %s, "
                          "the plate %s. Above %s the %s holds nothing.",
                          th_words_quantity(&c->words, c->seconds, TH_TIME, c->units),
                          th_words_quantity(&c->words, hottest(check), TH_TEMPERATURE, c->units),
                          th_words_quantity(&c->words, part, TH_TEMPERATURE, c->units),
                          th_words_quantity(&c->words, plate, TH_TEMPERATURE, c->units),
                          th_words_quantity(&c->words, limit, TH_TEMPERATURE, c->units), whose);
}

static void put_chart(chart *c) {
    const th_svg_paint frame = {.stroke = TH_INK_SOFT};
    const th_box box = {
        .x = LEFT, .y = TOP, .length = c->width - LEFT - RIGHT, .width = c->height - TOP - BOTTOM};
    put_temperatures(c);
    put_times(c);
    put_cuts(c);
    th_svg_box(c->svg, &frame, &box);
    put_curve(c, PLATE);
    put_curve(c, PART);
    put_curve(c, TAPE);
    put_limit(c);
    put_names(c);
}

bool th_picture_heat_wide(const th_job *job, const th_check *check, double width, th_text *text,
                          th_error *err) {
    chart c = {.job = job, .check = check, .units = (th_units)job->head.units, .width = width};
    c.height = width < TH_SVG_WIDE ? LOW : HIGH;
    bool drawn = check->warm_count > 0;
    if (drawn) {
        set_scale(&c);
    }
    th_svg_head head = {.prefix = "heat",
                        .width = width,
                        .height = drawn ? c.height : 40,
                        .title = "Temperature over time",
                        .about = about(&c)};
    th_svg svg = th_svg_begin(text, &head);
    c.svg = &svg;
    if (drawn) {
        put_chart(&c);
    } else {
        th_svg_words(&svg, &(th_svg_font){0}, (th_point){8, 24}, "%s", head.about);
    }
    bool fine = th_svg_end(&svg, err) && (!c.words.failed || th_fail_memory(err));
    th_doc_free(&c.words);
    return fine;
}

bool th_picture_heat(const th_job *job, const th_check *check, th_text *text, th_error *err) {
    return th_picture_heat_wide(job, check, TH_SVG_WIDE, text, err);
}

bool th_picture_heat_thin(const th_job *job, const th_check *check, th_text *text, th_error *err) {
    return th_picture_heat_wide(job, check, TH_CHART_WIDE, text, err);
}
