/* picture_plan.c - the part from above. */
#include "picture_plan.h"

#include <math.h>
#include <stdio.h>

/* A line drawn may stray this far from the true one (px), and leave out so many points in a row. */
#define STRAYS 0.15
enum { SKIPPED_MOST = 40 };

/* Axis ticks are this far apart at least (px). */
#define TICK_APART 55.0

th_plan th_plan_fit(const double box[4], th_point corner, double most_wide, double most_high) {
    double wide = fmax(box[2] - box[0], 1e-3), high = fmax(box[3] - box[1], 1e-3);
    double scale = fmin(most_wide / wide, most_high / high);

    return (th_plan){{box[0], box[1], box[2], box[3]}, scale, corner, wide * scale, high * scale};
}

th_point th_plan_at(const th_plan *plan, th_point at) {
    return (th_point){plan->corner.x + (at.x - plan->box[0]) * plan->scale,
                      plan->corner.y + (plan->box[3] - at.y) * plan->scale};
}

static void take_in(double box[4], th_point at) {
    box[0] = fmin(box[0], at.x);
    box[1] = fmin(box[1], at.y);
    box[2] = fmax(box[2], at.x);
    box[3] = fmax(box[3], at.y);
}

void th_plan_bounds(const th_map *map, double box[4]) {
    if (!th_region_box(&map->stock, box)) {
        box[0] = box[1] = box[2] = box[3] = 0;
    }
    for (size_t i = 0; i < map->state_count; i++) {
        const th_map_state *state = &map->states[i];
        take_in(box, state->cutter_at);
        for (size_t k = 0; k < state->path_count; k++) {
            for (size_t p = 0; p < state->paths[k].count; p++) {
                take_in(box, state->paths[k].points[p]);
            }
        }
    }
}

/* ---- regions --------------------------------------------------------------------------------- */

static double off_chord(th_point a, th_point b, th_point at) {
    double dx = b.x - a.x, dy = b.y - a.y, length2 = dx * dx + dy * dy;
    double share = length2 > 0 ? ((at.x - a.x) * dx + (at.y - a.y) * dy) / length2 : 0;

    share = fmin(fmax(share, 0), 1);
    return hypot(at.x - a.x - share * dx, at.y - a.y - share * dy);
}

/* Whether a line may run straight from point `from` to point `to`. */
static bool straight(const th_plan *plan, const th_point *points, size_t from, size_t to) {
    th_point a = th_plan_at(plan, points[from]), b = th_plan_at(plan, points[to]);

    for (size_t i = from + 1; i < to; i++) {
        if (off_chord(a, b, th_plan_at(plan, points[i])) > STRAYS) {
            return false;
        }
    }
    return true;
}

void th_plan_trace(th_svg *svg, const th_plan *plan, const th_point *points, size_t count,
                   bool closed) {
    size_t last = 0;

    if (count == 0) {
        return;
    }
    th_svg_move(svg, th_plan_at(plan, points[0]));
    for (size_t i = 1; i < count; i++) {
        bool end = i + 1 == count;
        if (end || i - last >= SKIPPED_MOST || !straight(plan, points, last, i + 1)) {
            th_svg_to(svg, th_plan_at(plan, points[i]));
            last = i;
        }
    }
    if (closed) {
        th_svg_shut(svg);
    }
}

static void trace_rings(th_svg *svg, const th_plan *plan, const th_outline *region, bool outers,
                        bool holes) {
    for (size_t i = 0; i < region->ring_count; i++) {
        const th_ring *ring = &region->rings[i];
        if (ring->hole ? holes : outers) {
            th_plan_trace(svg, plan, ring->points, ring->count, true);
        }
    }
}

void th_plan_regions(th_svg *svg, const th_plan *plan, const th_outline *regions, size_t count,
                     const th_svg_paint *paint) {
    th_svg_trace(svg);
    for (size_t i = 0; i < count; i++) {
        trace_rings(svg, plan, &regions[i], true, true);
    }
    th_svg_draw(svg, paint);
}

void th_plan_region(th_svg *svg, const th_plan *plan, const th_outline *region,
                    const th_svg_paint *paint) {
    if (region->ring_count) {
        th_plan_regions(svg, plan, region, 1, paint);
    }
}

void th_plan_clip(th_svg *svg, const th_plan *plan, const th_outline *region, const char *name) {
    th_svg_clip(svg, name);
    trace_rings(svg, plan, region, true, true);
    th_svg_clip_end(svg);
}

void th_plan_bare(th_svg *svg) {
    th_svg_pattern(svg, &(th_svg_hatch){"bare", "#fff", TH_INK_FAINT, 6, 0.8, -45});
}

bool th_plan_all_taped(const th_map_piece *piece) {
    return piece->bonded.ring_count && th_outline_section(&piece->bonded).area >=
                                           th_outline_section(&piece->region).area * (1 - 1e-6);
}

/* The rings round the piece judged stand out, those of its openings would only be in the way. */
static void draw_edge(th_svg *svg, const th_plan *plan, const th_map_piece *piece,
                      const th_plan_look *look) {
    static const th_svg_paint thin = {.stroke = TH_INK, .width = 0.9};
    th_svg_paint heavy = {.stroke = TH_INK, .width = look->line};

    if (!piece->judged) {
        th_plan_region(svg, plan, &piece->region, &thin);
        return;
    }
    th_svg_trace(svg);
    trace_rings(svg, plan, &piece->region, true, false);
    th_svg_draw(svg, &heavy);
    if (piece->region.ring_count > piece->region.outer_count) {
        th_svg_trace(svg);
        trace_rings(svg, plan, &piece->region, false, true);
        th_svg_draw(svg, &thin);
    }
}

static void draw_piece(th_svg *svg, const th_plan *plan, const th_map_piece *piece,
                       const th_plan_look *look) {
    bool whole = th_plan_all_taped(piece), edged = look->line > 0;
    char bare[64];
    th_svg_paint metal = {.fill = bare};
    th_svg_paint tape = {.fill = look->tape};

    snprintf(bare, sizeof bare, "url(#%s-bare)", svg->prefix);
    if (!look->edges && whole && edged && !piece->judged) { /* both at once */
        tape.stroke = TH_INK;
        tape.width = 0.9;
        edged = false;
    }
    if (!look->edges && !whole) {
        th_plan_region(svg, plan, &piece->region, &metal);
    }
    if (!look->edges) {
        th_plan_region(svg, plan, &piece->bonded, &tape);
    }
    if (edged) {
        draw_edge(svg, plan, piece, look);
    }
}

void th_plan_state(th_svg *svg, const th_plan *plan, const th_map_state *state,
                   const th_plan_look *look) {
    static const th_svg_paint thinned = {
        .stroke = TH_INK_SOFT, .width = 1, .dash = "1 2.5", .round = true};
    static const th_svg_paint under = {.stroke = "#fff", .width = 1.9};

    for (size_t i = 0; i < state->piece_count; i++) {
        draw_piece(svg, plan, &state->pieces[i], look);
    }
    for (size_t i = 0; i < state->floor_count; i++) {
        if (look->edges) { /* over the map */
            th_plan_region(svg, plan, &state->floors[i].region, &under);
        }
        th_plan_region(svg, plan, &state->floors[i].region, &thinned);
    }
}

static void draw_lines(th_svg *svg, const th_plan *plan, const th_map_state *state,
                       const th_svg_paint *paint) {
    th_svg_trace(svg);
    for (size_t i = 0; i < state->path_count; i++) {
        const th_map_path *path = &state->paths[i];
        if (path->count > 1) {
            th_plan_trace(svg, plan, path->points, path->count, path->closed);
        }
    }
    th_svg_draw(svg, paint);
}

void th_plan_path(th_svg *svg, const th_plan *plan, const th_map_state *state) {
    static const th_svg_paint under = {.stroke = "#fff", .width = 3.4};
    static const th_svg_paint line = {.stroke = TH_INK_BLUE, .width = 1.6, .dash = "7 4"};
    static const th_svg_paint place = {.fill = TH_INK_BLUE, .stroke = "#fff", .width = 1};
    bool lines = false;

    for (size_t i = 0; i < state->path_count; i++) {
        lines = lines || state->paths[i].count > 1;
        if (state->paths[i].count == 1) {
            th_svg_circle(svg, &place, th_plan_at(plan, state->paths[i].points[0]), 2.4);
        }
    }
    if (lines) {
        draw_lines(svg, plan, state, &under);
        draw_lines(svg, plan, state, &line);
    }
}

void th_plan_cutter(th_svg *svg, const th_plan *plan, th_point at, double diameter) {
    static const th_svg_paint under = {.stroke = "#fff", .width = 4};
    static const th_svg_paint rim = {.stroke = TH_INK_BLUE, .width = 2};
    static const th_svg_paint middle = {.fill = TH_INK_BLUE};
    double radius = fmax(diameter / 2 * plan->scale, 3.5);

    th_svg_circle(svg, &under, th_plan_at(plan, at), radius);
    th_svg_circle(svg, &rim, th_plan_at(plan, at), radius);
    th_svg_circle(svg, &middle, th_plan_at(plan, at), 1.6);
}

void th_plan_tabs(th_svg *svg, const th_plan *plan, const th_map_state *state) {
    for (size_t i = 0; i < state->tab_count; i++) {
        th_plan_tab(svg, th_plan_at(plan, state->tabs[i]));
    }
}

void th_plan_tab(th_svg *svg, th_point at) {
    static const th_svg_paint tab = {.fill = TH_INK, .stroke = "#fff", .width = 1.2};

    th_svg_box(svg, &tab, &(th_box){at.x - 4, at.y - 4, 8, 8, 0, 0});
}

/* ---- axes ------------------------------------------------------------------------------------ */

static void tick(th_svg *svg, const th_plan *plan, double value, double unit, bool across) {
    static const th_svg_paint mark = {.stroke = TH_INK_SOFT};
    th_point at = th_plan_at(plan, (th_point){value * unit, value * unit}), from, to, words;
    th_svg_font font = {.size = TH_SVG_SMALL, .fill = TH_INK_SOFT};
    char text[48];

    th_number_print(fabs(value) < 1e-9 ? 0 : value, 6, text, sizeof text);
    if (across) {
        double y = plan->corner.y + plan->height + 6;
        from = (th_point){at.x, y};
        to = (th_point){at.x, y + 5};
        words = (th_point){at.x, y + 17};
        font.anchor = TH_SVG_MIDDLE;
    } else {
        double x = plan->corner.x - 6;
        from = (th_point){x, at.y};
        to = (th_point){x - 5, at.y};
        words = (th_point){x - 8, at.y + 4};
        font.anchor = TH_SVG_RIGHT;
    }
    th_svg_line(svg, &mark, from, to);
    th_svg_words(svg, &font, words, "%s", text);
}

static void ticks(th_svg *svg, const th_plan *plan, double unit, double step, bool across) {
    double low = plan->box[across ? 0 : 1] / unit, high = plan->box[across ? 2 : 3] / unit;

    for (double k = ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; k++) {
        tick(svg, plan, k * step, unit, across);
    }
}

void th_plan_axes(th_svg *svg, const th_plan *plan, th_units units) {
    static const th_svg_paint line = {.stroke = TH_INK_SOFT};
    th_svg_font font = {.size = TH_SVG_SMALL, .fill = TH_INK_SOFT};
    double unit = units == TH_INCH ? 25.4 : 1;
    double longer = fmax(plan->width, plan->height);
    double range = fmax(plan->box[2] - plan->box[0], plan->box[3] - plan->box[1]) / unit;
    double step = th_svg_step(0, range, (int)fmax(longer / TICK_APART, 2));
    double x0 = plan->corner.x - 6, y0 = plan->corner.y + plan->height + 6;

    th_svg_line(svg, &line, (th_point){plan->corner.x, y0},
                (th_point){plan->corner.x + plan->width, y0});
    th_svg_line(svg, &line, (th_point){x0, plan->corner.y},
                (th_point){x0, plan->corner.y + plan->height});
    ticks(svg, plan, unit, step, true);
    ticks(svg, plan, unit, step, false);
    th_svg_words(svg, &font, (th_point){x0 - 40, y0 + 17}, "%s", units == TH_INCH ? "in" : "mm");
}
