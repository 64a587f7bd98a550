/* picture_field.c - the load on the tape: bands of a colour, contour lines and their numbers. */
#include "picture_field.h"

#include <math.h>
#include <stdio.h>

#include "picture_contour.h"

/* From there on lines are drawn light (position in the palette). */
enum { DARK = 3 };

/* Points of a contour nearer than this are one (px). */
#define APART 1.5

/* The last band spans this factor at least. */
#define CLEAR 1.15

/* ---- scale ----------------------------------------------------------------------------------- */

/* What is shown as 1 where there is no strength to divide by. */
static double pressure_unit(th_units units, const char **name) {
    th_reading reading = {.value = 1e-3};

    *name = units == TH_INCH ? "psi" : "kPa";
    th_quantity_read(units == TH_INCH ? "1 psi" : "1 kPa", TH_PRESSURE, TH_MM, &reading, NULL);
    return reading.value;
}

/* The 1, 2 or 5 times a power of ten that comes next below a value. */
static double next_below(double value) {
    double ten = pow(10, floor(log10(value)));
    double digit = value / ten;

    return ten * (digit > 5.0001 ? 5 : digit > 2.0001 ? 2 : digit > 1.0001 ? 1 : 0.5);
}

/* Rising levels, the uppermost clearly below the largest load. */
static void levels_below(double top, th_field_scale *scale) {
    double level = top / CLEAR;

    if (!(top > 0)) {
        return;
    }
    scale->bands = TH_FIELD_BANDS;
    for (size_t k = TH_FIELD_BANDS - 1; k > 0; k--) {
        level = next_below(level);
        scale->levels[k - 1] = level;
    }
}

th_field_scale th_field_scale_of(const th_map_field *field, double least, th_units units) {
    th_field_scale scale = {.bands = 1, .unit = 1, .name = ""};

    if (!field->has_strength) {
        scale.unit = pressure_unit(units, &scale.name);
    }
    scale.end = fmax(field->largest, least);
    levels_below(scale.end / scale.unit, &scale);
    for (size_t k = 0; k + 1 < scale.bands; k++) {
        scale.levels[k] *= scale.unit;
    }
    return scale;
}

const char *th_field_fill(const th_field_scale *scale, size_t band) {
    static const char *const fills[TH_FIELD_BANDS] = {"#f8f3e4", "#ecd9ac", "#d2ae76",
                                                      "#a67b60", "#70505a", "#3a2a45"};

    return fills[scale->bands > 1 ? band : 0];
}

/* ---- numbers on lines ------------------------------------------------------------------------ */

void th_field_take(th_field_taken *taken, th_point middle, double wide, double high) {
    if (taken->count < TH_FIELD_TAKEN) {
        taken->boxes[taken->count++] =
            (th_box){middle.x - wide / 2, middle.y - high / 2, wide, high, 0, 0};
    }
}

static double gap(double a, double a_size, double b, double b_size) {
    return fmax(fmax(b - (a + a_size), a - (b + b_size)), 0);
}

double th_field_room(const th_field_taken *taken, const th_box *box) {
    double least = 1e3;

    for (size_t i = 0; i < taken->count; i++) {
        const th_box *other = &taken->boxes[i];
        least = fmin(least, hypot(gap(box->x, box->length, other->x, other->length),
                                  gap(box->y, box->width, other->y, other->width)));
    }
    return least;
}

typedef struct {
    th_svg *svg;
    const th_plan *plan;
    const th_map_piece *piece;
    th_field_taken *taken;
    double largest;    /* of the field */
    double wide, high; /* of the number */
    th_point first, start, last, best;
    size_t count; /* points of the loop at hand */
    double best_room;
} th_line;

/* Whether a number would stand on the bond altogether. */
static bool on_bond(const th_line *line, th_point at) {
    const th_plan *plan = line->plan;

    for (int k = 0; k < 5; k++) {
        double dx = k == 4 ? 0 : (k % 2 ? 0.5 : -0.5), dy = k == 4 ? 0 : (k / 2 ? 0.5 : -0.5);
        th_point px = {at.x + dx * line->wide, at.y + dy * line->high};
        th_point mm = {plan->box[0] + (px.x - plan->corner.x) / plan->scale,
                       plan->box[3] - (px.y - plan->corner.y) / plan->scale};
        if (!th_outline_holds(&line->piece->bonded, mm)) {
            return false;
        }
    }
    return true;
}

static void try_number(th_line *line, th_point at) {
    th_box box = {at.x - line->wide / 2, at.y - line->high / 2, line->wide, line->high, 0, 0};
    double room = th_field_room(line->taken, &box);

    if (room > line->best_room && on_bond(line, at)) {
        line->best_room = room;
        line->best = at;
    }
}

static th_point halfway(th_point a, th_point b) {
    return (th_point){(a.x + b.x) / 2, (a.y + b.y) / 2};
}

/* A smooth line: it touches the polygon of its points at the middles of their sides. */
static void add_point(void *context, th_point at, bool first) {
    th_line *line = context;
    th_point px = th_plan_at(line->plan, at);

    if (first) {
        line->first = line->last = px;
        line->count = 1;
        return;
    }
    if (hypot(px.x - line->last.x, px.y - line->last.y) < APART) {
        return;
    }
    if (line->count == 1) {
        line->start = halfway(line->first, px);
        th_svg_move(line->svg, line->start);
    } else {
        th_svg_bend(line->svg, line->last, halfway(line->last, px));
    }
    line->count++;
    line->last = px;
    try_number(line, px);
}

static void shut(void *context) {
    th_line *line = context;

    if (line->count > 1) {
        th_svg_bend(line->svg, line->last, halfway(line->last, line->first));
        th_svg_bend(line->svg, line->first, line->start);
        th_svg_shut(line->svg);
    }
}

static void number_text(const th_field_scale *scale, double level, char *text, size_t size) {
    th_number_print(level / scale->unit, 2, text, size);
}

/* ---- lines ----------------------------------------------------------------------------------- */

/* One contour, and where its number would stand best. */
static th_line contour(th_svg *svg, const th_plan *plan, const th_map_piece *piece,
                       th_field_taken *taken) {
    return (th_line){
        .svg = svg, .plan = plan, .piece = piece, .taken = taken, .high = 13, .best_room = 10};
}

/* A number that found its place. */
typedef struct {
    th_point at;
    char text[24];
} th_number;

static void draw_level(th_line *line, th_contour *grid, double level, const th_svg_paint *paint) {
    th_contour_sink sink = {add_point, shut, line};

    th_svg_trace(line->svg);
    th_contour_trace(grid, level, &sink);
    th_svg_draw(line->svg, paint);
}

/* Bands upwards from the lowest, each with its line; returns how many numbers found a place. */
static size_t draw_bands(th_line *pattern, th_contour *grid, const th_field_scale *scale,
                         th_number *numbers) {
    size_t count = 0;

    for (size_t k = 1; k < scale->bands && scale->levels[k - 1] < pattern->largest; k++) {
        th_svg_paint paint = {.fill = th_field_fill(scale, k),
                              .stroke = k >= DARK ? "#fff" : TH_INK_SOFT,
                              .width = 0.8};
        th_line line = *pattern;
        th_number *number = &numbers[count];
        number_text(scale, scale->levels[k - 1], number->text, sizeof number->text);
        line.wide = th_svg_width(number->text, TH_SVG_SMALL, false) + 4;
        draw_level(&line, grid, scale->levels[k - 1], &paint);
        if (line.best_room > pattern->best_room) {
            number->at = line.best;
            th_field_take(pattern->taken, line.best, line.wide, line.high);
            count++;
        }
    }
    return count;
}

/* Where the load equals the strength. */
static void draw_limit(th_line *pattern, th_contour *grid) {
    static const th_svg_paint under = {.stroke = "#fff", .width = 5},
                              line = {.stroke = TH_INK, .width = 2.4, .dash = "2 3"};
    th_line first = *pattern, second = *pattern;

    draw_level(&first, grid, 1, &under);
    draw_level(&second, grid, 1, &line);
}

static const th_map_piece *judged(const th_map_state *state) {
    for (size_t i = 0; i < state->piece_count; i++) {
        if (state->pieces[i].judged) {
            return &state->pieces[i];
        }
    }
    return NULL;
}

bool th_field_draw(const th_field_sheets *sheets, const th_plan *plan, const th_map *map,
                   const th_field_scale *scale, th_field_taken *taken) {
    th_svg *svg = sheets->under;
    const th_map_piece *piece = judged(&map->states[map->governs]);
    th_svg_font font = {.size = TH_SVG_SMALL, .anchor = TH_SVG_MIDDLE, .halo = true};
    th_svg_paint ground = {.fill = th_field_fill(scale, 0)};
    th_number numbers[TH_FIELD_BANDS];
    th_arena arena = {NULL};
    th_contour grid;
    th_line pattern;
    size_t count;

    if (!piece || !map->field.known) {
        return true;
    }
    if (!th_contour_make(&arena, &map->field, 4 / plan->scale, &grid)) {
        th_arena_free(&arena);
        return false;
    }
    th_plan_clip(svg, plan, &piece->bonded, "bond");
    th_svg_open_clipped(svg, "bond");
    th_plan_region(svg, plan, &piece->bonded, &ground);
    pattern = contour(svg, plan, piece, taken);
    pattern.largest = map->field.largest;
    count = draw_bands(&pattern, &grid, scale, numbers);
    if (map->field.has_strength && map->field.largest > 1) {
        draw_limit(&pattern, &grid);
    }
    th_svg_close(svg);
    for (size_t i = 0; i < count; i++) {
        th_point at = {numbers[i].at.x, numbers[i].at.y + 4};
        th_svg_words(sheets->over, &font, at, "%s", numbers[i].text);
    }
    th_arena_free(&arena);
    return true;
}

/* ---- the bar --------------------------------------------------------------------------------- */

/* The worst place; its number stands behind the bar. */
static void mark(th_svg *svg, const th_box *bar, double share, const char *words) {
    static const th_svg_paint under = {.stroke = "#fff", .width = 4.5};
    static const th_svg_paint ring = {.stroke = TH_INK_RUST, .width = 2.2};
    static const th_svg_font font = {.size = TH_SVG_SMALL, .bold = true, .fill = TH_INK_RUST};
    double end = bar->x + bar->length, x = bar->x + share * bar->length;

    th_svg_circle(svg, &under, (th_point){x, bar->y + bar->width / 2}, 6);
    th_svg_circle(svg, &ring, (th_point){x, bar->y + bar->width / 2}, 6);
    th_svg_words(svg, &font, (th_point){end + 11, bar->y + bar->width / 2 + 4}, "%s", words);
}

/* Where a load stands on the bar, as a share of it: even steps from level to level. */
static double place_on(const th_field_scale *scale, double load) {
    size_t band = 0;
    double low, high, share;

    while (band + 1 < scale->bands && load >= scale->levels[band]) {
        band++;
    }
    low = band ? scale->levels[band - 1] : 0;
    high = band + 1 < scale->bands ? scale->levels[band] : scale->end;
    share = low > 0 ? log(load / low) / log(high / low) : load / high;
    return ((double)band + fmin(fmax(share, 0), 1)) / (double)scale->bands;
}

void th_field_bar(th_svg *svg, const th_field_scale *scale, const th_map_field *field,
                  const th_box *bar) {
    static const th_svg_paint limit = {.stroke = TH_INK, .width = 2.4, .dash = "2 3"};
    static const th_svg_paint under = {.stroke = "#fff", .width = 5};
    static const th_svg_font font = {.size = TH_SVG_SMALL, .anchor = TH_SVG_MIDDLE};
    double each = bar->length / (double)scale->bands;
    char text[48];

    for (size_t k = 0; k < scale->bands; k++) {
        th_box band = {bar->x + (double)k * each, bar->y, each, bar->width, 0, 0};
        th_svg_paint paint = {.fill = th_field_fill(scale, k), .stroke = TH_INK_SOFT, .width = 0.8};
        th_svg_box(svg, &paint, &band);
        number_text(scale, k ? scale->levels[k - 1] : 0, text, sizeof text);
        th_svg_words(svg, &font, (th_point){band.x, bar->y + bar->width + 13}, "%s", text);
    }
    if (scale->end > field->largest) {
        number_text(scale, scale->end, text, sizeof text);
        th_svg_words(svg, &font, (th_point){bar->x + bar->length, bar->y + bar->width + 13}, "%s",
                     text);
    }
    if (field->has_strength && field->largest > 1) {
        double x = bar->x + bar->length * place_on(scale, 1);
        th_point top = {x, bar->y - 4}, bottom = {x, bar->y + bar->width + 3};
        th_svg_line(svg, &under, top, bottom);
        th_svg_line(svg, &limit, top, bottom);
    }
    th_number_print(field->largest / scale->unit, field->has_strength ? 2 : 3, text, sizeof text);
    mark(svg, bar, place_on(scale, field->largest), text);
}
