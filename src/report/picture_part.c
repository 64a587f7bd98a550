/* picture_part.c - the part from above: how hard the tape is loaded, and what is still stuck down.
 */
#include <math.h>
#include <stdio.h>

#include "card.h"
#include "picture_field.h"
#include "picture_stages.h"

#define LEFT 62.0       /* of the large picture: numbers of the axis beside it (px) */
#define RIGHT 22.0      /* (px) */
#define MOST_HIGH 360.0 /* of it (px) */
#define OVER 26.0       /* kept free above it, for a mark that stands out (px) */
#define HELD "url(#part-held)"
#define LINE 17.0 /* of words (px) */
#define PUSH 46.0 /* length of the arrow of force (px) */

/* With the stages beside the plan. */
#define LOW_LEFT 54.0
#define LOW_WIDE 340.0
#define LOW_HIGH 178.0
#define LOW_LINE 16.0
#define LINE_KEY 15.0
#define LOW_BAR 46.0    /* from the plan's lower edge to the bar (px) */
#define LOW_LEAST 226.0 /* of plan and bar, or of what stands beside them (px) */

/* One under the other, on a phone. */
#define THIN_LEFT 54.0
#define THIN_RIGHT 16.0
#define THIN_HIGH 300.0

enum { KEYS_MOST = 8, MARK_ROOM = 36 /* beside a bar, for the figure of its mark */ };

typedef enum { WHOLE, LOW, THIN } part_layout; /* of a page, of one that carries more, a phone's */

/* One line of the key: a sign and what it says. */
typedef enum {
    KEY_WORST,
    KEY_FORCE,
    KEY_CUTTER,
    KEY_PULL,
    KEY_LIMIT,
    KEY_TAPE,
    KEY_BARE,
    KEY_TAB,
    KEY_SMALL
} key_sign;
typedef struct {
    key_sign sign;
    const char *words;
} part_key;

typedef struct {
    const th_job *job;
    const th_check *check;
    const th_map *map;
    const th_stage *stage;     /* that governs */
    const th_map_state *state; /* its */
    part_layout layout;
    double width; /* (px) */
    th_units units;
    th_doc doc; /* of words */
    th_field_scale scale;
    th_plan plan;
    th_stage_row row;
    const char *heading, *lead; /* what is shown, and what it says */
    part_key keys[KEYS_MOST];
    size_t key_count;
    double plan_top, bar_top, key_top, stages_top, height; /* (px) */
    double line;                                           /* of words (px) */
} part_picture;

/* ---- words ----------------------------------------------------------------------------------- */

static const char *loaded(part_picture *p, double index) {
    const th_map_field *field = &p->map->field;

    return field->has_strength
               ? th_words_print(&p->doc, "%s of its strength", th_words_number(&p->doc, index, 2))
               : th_words_quantity(&p->doc, index, TH_PRESSURE, p->units);
}

/* How the load is meant, and by which model. */
static const char *model_words(part_picture *p) {
    const th_map_field *field = &p->map->field;

    return th_words_print(
        &p->doc, "%s; %s",
        field->load == TH_PEAK
            ? "Peak load, at its worst angle of the cutter"
            : th_words_print(&p->doc, "Sustained load, held %s",
                             th_words_quantity(&p->doc, p->stage->held, TH_TIME, p->units)),
        field->by_plate ? "the part bends as a plate on its tape"
                        : "the part is too short to bend");
}

/* Where grids never settled quite, the hold factor has something on top. */
static const char *on_top(part_picture *p) {
    double more = 1 / (p->map->field.largest * p->check->hold_factor) - 1;

    return more > 0.005
               ? th_words_print(&p->doc, " (with %.0f %% on top that the grid leaves open)",
                                ceil(100 * more))
               : "";
}

static const char *lead_words(part_picture *p) {
    const th_map_field *field = &p->map->field;
    const char *factor = th_words_factor(&p->doc, p->check->hold_factor, p->check->asked_factor);
    const char *piece = th_words_piece(&p->doc, p->job, p->stage);
    const char *model = p->layout == LOW ? "" : th_words_print(&p->doc, " %s.", model_words(p));

    if (!field->known) {
        return th_words_print(&p->doc, "No tape lies under %s: nothing holds it. Hold factor %s.",
                              piece, factor);
    }
    if (!field->has_strength) {
        return th_words_print(&p->doc,
                              "The hold has no strength: %s. Shown is the load alone, shear and "
                              "pull together.%s",
                              th_words_failure(&p->doc, p->job, p->stage), model);
    }
    if (!field->by_tape) {
        return th_words_print(&p->doc,
                              "What gives first is not the tape shown but %s: hold factor %s. The "
                              "tape under %s bears up to %s.%s",
                              p->stage->interface, factor, piece, loaded(p, field->largest), model);
    }
    return th_words_print(
        &p->doc,
        "Load on the tape over its strength, up to %s at the ring: hold factor %s "
        "is 1 over that%s.%s",
        th_words_number(&p->doc, field->largest, 2), factor, on_top(p), model);
}

static const char *force_words(part_picture *p) {
    const double *f = p->map->field.force;
    const char *side = th_words_quantity(&p->doc, hypot(f[0], f[1]), TH_FORCE, p->units);
    const char *up = th_words_quantity(&p->doc, fabs(f[2]), TH_FORCE, p->units);

    return fabs(f[2]) > 1e-6 * hypot(f[0], f[1])
               ? th_words_print(&p->doc, "push on the part: %s sideways, %s %s", side, up,
                                f[2] > 0 ? "up" : "down")
               : th_words_print(&p->doc, "push on the part: %s sideways", side);
}

/* What is not worth the name is not called a proof: th_words_proof tells it in full. */
static const char *pull_words(part_picture *p) {
    const th_proof_pull *pull = &p->check->proof;
    double side = hypot(pull->force[0], pull->force[1]);
    double share = pull->safe ? 1 : pull->covers;
    const char *name = share >= 1 ? "proof pull before cutting"
                       : share < 0.5
                           ? "pull that does not prove the cut"
                           : th_words_print(&p->doc, "pull that proves %.0f %% of the cut's load",
                                            floor(100 * share));

    return th_words_print(
        &p->doc, "%s: %s %s", name,
        th_words_quantity(&p->doc, hypot(side, pull->force[2]), TH_FORCE, p->units),
        side > 0 ? "sideways" : "straight up");
}

static void add_key(part_picture *p, key_sign sign, const char *words) {
    if (p->key_count < KEYS_MOST) {
        p->keys[p->key_count++] = (part_key){sign, words};
    }
}

/* Whether any piece has tape beside the one judged, or metal without tape. */
static void look_for_pieces(const th_map_state *state, bool *taped, bool *bare) {
    *taped = *bare = false;
    for (size_t i = 0; i < state->piece_count; i++) {
        const th_map_piece *piece = &state->pieces[i];
        *taped = *taped || (!piece->judged && piece->bonded.ring_count > 0);
        *bare = *bare || !th_plan_all_taped(piece);
    }
}

static void list_keys(part_picture *p) {
    const th_map_field *field = &p->map->field;
    bool taped, bare, push = p->stage->cut->operation == TH_PUSH;

    look_for_pieces(p->state, &taped, &bare);
    if (field->known) {
        add_key(p, KEY_WORST,
                th_words_print(&p->doc, "worst place: %s",
                               th_words_place(&p->doc, field->worst, p->units)));
        if (hypot(field->force[0], field->force[1]) > 0) {
            add_key(p, KEY_FORCE, force_words(p));
        }
    }
    add_key(p, KEY_CUTTER,
            push ? "place of the push" : "the cutter then; dashes: where its axis runs");
    if (field->known && field->has_strength && field->largest > 1) {
        add_key(p, KEY_LIMIT, "load = strength here; on the dark side it exceeds it");
    }
    if (p->check->proof.possible && p->check->proof.limit != TH_PROOF_USELESS) {
        add_key(p, KEY_PULL, pull_words(p));
    }
    if (p->state->tab_count) {
        add_key(p, KEY_TAB, "tab");
    }
    if (taped) {
        add_key(p, KEY_TAPE, "other pieces, on tape");
    }
    if (bare) {
        add_key(p, KEY_BARE, "metal without tape");
    }
    if (p->row.low && p->row.count > 0) {
        add_key(p, KEY_SMALL, "small: tinted on tape, white cut away, heavy edge the piece judged");
    }
}

/* ---- layout ---------------------------------------------------------------------------------- */

#define KEY_LEFT 24.0  /* of the first of two (px) */
#define KEY_ROOM 328.0 /* of the words of one of two in a row (px) */

static bool key_long(const part_key *key) {
    return th_svg_width(key->words, TH_SVG_SMALL, false) > KEY_ROOM - 34;
}

/* Where key i stands: two in a row where both are short. */
static th_point key_place(const part_picture *p, size_t which, double *bottom) {
    double y = p->key_top, x = KEY_LEFT;
    th_point at = {x, y};

    for (size_t i = 0; i < p->key_count; i++) {
        bool wide = key_long(&p->keys[i]);
        if (wide && x > KEY_LEFT) {
            x = KEY_LEFT;
            y += LINE + 2;
        }
        if (i == which) {
            at = (th_point){x, y};
        }
        if (wide || x > KEY_LEFT) {
            x = KEY_LEFT;
            y += LINE + 2;
        } else {
            x = KEY_LEFT + KEY_ROOM;
        }
    }
    *bottom = x > KEY_LEFT ? y + LINE + 2 : y;
    return at;
}

/* Words of a key beside the plan, broken to the room there. */
static double low_key_room(const part_picture *p) {
    return p->row.width - 28;
}

static double low_key_high(const part_picture *p, const part_key *key) {
    return LINE_KEY * (double)th_svg_lines(key->words, TH_SVG_SMALL, low_key_room(p)) + 4;
}

static double low_keys_high(const part_picture *p) {
    double high = 0;

    for (size_t i = 0; i < p->key_count; i++) {
        high += low_key_high(p, &p->keys[i]);
    }
    return high;
}

/* Plan and bar to the left; states and key to the right of them. */
static void lay_out_low(part_picture *p) {
    double words = p->width - 4, left_high, keys;

    p->line = LOW_LINE;
    p->plan_top = LOW_LINE * (double)(th_svg_lines(p->heading, TH_SVG_TEXT * 1.12, words) +
                                      th_svg_lines(p->lead, TH_SVG_SMALL, words)) +
                  14;
    p->stages_top = p->plan_top;
    p->plan = th_plan_fit(p->row.box, (th_point){LOW_LEFT, p->plan_top}, LOW_WIDE, LOW_HIGH);
    p->plan.corner.y += p->plan.height < 70 ? OVER : 0; /* the mark stands over it */
    p->row.left = LOW_LEFT + fmax(p->plan.width, 220) + 34;
    p->row.width = p->width - 4 - p->row.left;
    p->row.low = true;
    p->row.count = p->map->state_count > 1; /* whether the key tells of them */
    list_keys(p);
    keys = low_keys_high(p);
    p->bar_top = p->plan.corner.y + p->plan.height + (p->map->field.known ? LOW_BAR : 0);
    left_high = p->bar_top + 32 - p->stages_top;
    th_stages_fit(&p->row, fmax(left_high, LOW_LEAST) - keys);
    p->key_top = p->stages_top + th_stages_height(&p->row) + 12;
    p->height = fmax(p->bar_top + 32, p->key_top + keys - 8);
}

static void lay_out(part_picture *p) {
    double wide = p->width - LEFT - RIGHT, bottom;
    double words = p->width - 24;
    th_plan plan;

    p->line = LINE;
    th_stages_all(&p->row);
    list_keys(p);
    p->plan_top = 10 +
                  LINE * (double)(th_svg_lines(p->heading, TH_SVG_HEADING * 1.12, words) +
                                  th_svg_lines(p->lead, TH_SVG_TEXT, words)) +
                  OVER;
    plan = th_plan_fit(p->row.box, (th_point){LEFT, p->plan_top}, wide, MOST_HIGH);
    plan.corner.x += (wide - plan.width) / 2;
    p->plan = plan;
    p->bar_top = p->plan_top + plan.height + 58;
    p->key_top = p->bar_top + (p->map->field.known ? 50 : -20);
    key_place(p, KEYS_MOST, &bottom);
    p->stages_top = bottom + 8;
    p->height = p->stages_top + th_stages_height(&p->row) + 4;
}

/* All of it one under the other. */
static void lay_out_thin(part_picture *p) {
    double wide = p->width - THIN_LEFT - THIN_RIGHT, words = p->width - 4;

    p->line = LOW_LINE;
    p->row.left = 2;
    p->row.width = words;
    th_stages_all(&p->row);
    list_keys(p);
    p->plan_top = LOW_LINE * (double)(th_svg_lines(p->heading, TH_SVG_TEXT * 1.12, words) +
                                      th_svg_lines(p->lead, TH_SVG_SMALL, words)) +
                  14;
    p->plan = th_plan_fit(p->row.box, (th_point){THIN_LEFT, p->plan_top}, wide, THIN_HIGH);
    p->plan.corner.y += p->plan.height < 70 ? OVER : 0; /* the mark stands over it */
    p->bar_top = p->plan.corner.y + p->plan.height + (p->map->field.known ? LOW_BAR : 0);
    p->key_top = p->bar_top + 46;
    p->stages_top = p->key_top + low_keys_high(p) + 8;
    p->height = p->stages_top + (p->row.count > 1 ? th_stages_height(&p->row) : -8);
}

/* Where tabs or frame give first, colours are in proportion to what that asks: a tape that is
 * hardly loaded looks so. */
static double governed_elsewhere(const part_picture *p) {
    const th_map_field *field = &p->map->field;

    return field->known && !field->by_tape && p->check->hold_factor > 0 ? 1 / p->check->hold_factor
                                                                        : 0;
}

static bool open_picture(part_picture *p) {
    p->units = (th_units)p->job->head.units;
    p->stage = &p->check->stages[p->check->governs];
    p->state = &p->map->states[p->map->governs];
    p->scale = th_field_scale_of(&p->map->field, governed_elsewhere(p), p->units);
    p->heading = th_words_print(&p->doc, "Load on the tape at its worst moment: %s, %s",
                                th_words_stage(&p->doc, p->stage),
                                th_words_piece(&p->doc, p->job, p->stage));
    p->lead = lead_words(p);
    p->row = (th_stage_row){.job = p->job,
                            .check = p->check,
                            .map = p->map,
                            .doc = &p->doc,
                            .left = 12,
                            .width = p->width - 24};
    th_plan_bounds(p->map, p->row.box);
    if (p->layout == LOW) {
        lay_out_low(p);
    } else if (p->layout == THIN) {
        lay_out_thin(p);
    } else {
        lay_out(p);
    }
    return !p->doc.failed;
}

/* ---- marks ----------------------------------------------------------------------------------- */

static void draw_ring(th_svg *svg, th_point at) {
    static const th_svg_paint under = {.stroke = "#fff", .width = 6};
    static const th_svg_paint ring = {.stroke = TH_INK_RUST, .width = 2.6};

    th_svg_circle(svg, &under, at, 9);
    th_svg_circle(svg, &ring, at, 9);
}

static void draw_push(th_svg *svg, th_point from, th_point to) {
    static const th_svg_paint under = {.stroke = "#fff", .width = 5.5};
    static const th_svg_paint arrow = {.stroke = TH_INK, .width = 3};

    double length = hypot(to.x - from.x, to.y - from.y);
    th_point beyond = {to.x + 3.5 * (to.x - from.x) / length,
                       to.y + 3.5 * (to.y - from.y) / length};

    th_svg_arrow(svg, &under, from, beyond);
    th_svg_arrow(svg, &arrow, from, to);
}

static void draw_pull(th_svg *svg, th_point at) {
    static const th_svg_paint sign = {.fill = "#fff", .stroke = TH_INK, .width = 1.8};

    th_svg_trace(svg);
    th_svg_move(svg, (th_point){at.x, at.y - 6});
    th_svg_to(svg, (th_point){at.x + 6, at.y});
    th_svg_to(svg, (th_point){at.x, at.y + 6});
    th_svg_to(svg, (th_point){at.x - 6, at.y});
    th_svg_shut(svg);
    th_svg_draw(svg, &sign);
}

static bool within(const th_plan *plan, th_point at) {
    return at.x >= plan->corner.x && at.x <= plan->corner.x + plan->width &&
           at.y >= plan->corner.y && at.y <= plan->corner.y + plan->height;
}

/* From the cutter away, or arriving at it where that would leave the picture; false: no force to
 * the side. */
static bool force_line(const part_picture *p, th_point *from, th_point *to) {
    const double *f = p->map->field.force;
    double size = hypot(f[0], f[1]);

    *from = th_plan_at(&p->plan, p->state->cutter_at);
    if (!(size > 0)) {
        return false;
    }
    *to = (th_point){from->x + PUSH * f[0] / size, from->y - PUSH * f[1] / size};
    if (!within(&p->plan, *to)) {
        th_point tip = *from;
        *from = (th_point){2 * tip.x - to->x, 2 * tip.y - to->y};
        *to = tip;
    }
    return true;
}

/* Beside the ring, where most is free; over a picture that is too low for that. */
static void draw_label(th_svg *svg, part_picture *p, th_point ring, th_field_taken *taken) {
    const th_plan *plan = &p->plan;
    const char *words = th_words_print(&p->doc, "worst: %s",
                                       p->map->field.has_strength
                                           ? th_words_number(&p->doc, p->map->field.largest, 2)
                                           : loaded(p, p->map->field.largest));
    th_svg_font font = {.bold = true, .fill = TH_INK_RUST, .halo = true};
    double wide = th_svg_width(words, TH_SVG_TEXT, true), most = -INFINITY;
    double left = fmax(fmin(ring.x + 16, p->width - 4 - wide), 4); /* where none of them fits */
    th_box best = {left, ring.y + 13, wide, 18, 0, 0};
    static const double steps[5] = {0, -18, 18, -36, 36};

    for (int k = 0; k < 10; k++) {
        th_box box = {
            k % 2 ? ring.x - 16 - wide : ring.x + 16, ring.y - 9 + steps[k / 2], wide, 18, 0, 0};
        double room;
        box.y = plan->height < 70 ? plan->corner.y - 26 : box.y;
        room = th_field_room(taken, &box);
        room = room > 0 ? fmin(room, 20) : -40; /* no mark is written over */
        room += within(plan, (th_point){box.x, box.y}) ? 30 : 0;
        room += within(plan, (th_point){box.x + wide, box.y + 18}) ? 30 : 0;
        if (box.x > 4 && box.x + wide < p->width - 4 && room > most) {
            most = room;
            best = box;
        }
    }
    th_field_take(taken, (th_point){best.x + wide / 2, best.y + 9}, wide, 18);
    th_svg_words(svg, &font, (th_point){best.x, best.y + 13}, "%s", words);
}

static void draw_key(th_svg *svg, const part_key *key, th_point at, double room) {
    static const th_svg_font font = {.size = TH_SVG_SMALL};
    static const th_svg_paint cutter = {.stroke = TH_INK_BLUE, .width = 2},
                              tape = {.fill = HELD, .stroke = TH_INK, .width = 0.9},
                              small = {.fill = TH_FILL_TAPE, .stroke = TH_INK, .width = 2},
                              limit = {.stroke = TH_INK, .width = 2.4, .dash = "2 3"};
    char bare[64];
    th_svg_paint hatched = {.fill = bare, .stroke = TH_INK, .width = 0.9};
    th_point middle = {at.x + 10, at.y - 4};
    th_box swatch = {at.x, at.y - 10, 20, 12, 0, 0};

    snprintf(bare, sizeof bare, "url(#%s-bare)", svg->prefix);
    switch (key->sign) {
    case KEY_WORST:
        draw_ring(svg, middle);
        break;
    case KEY_FORCE:
        draw_push(svg, (th_point){at.x - 2, middle.y}, (th_point){at.x + 21, middle.y});
        break;
    case KEY_CUTTER:
        th_svg_circle(svg, &cutter, middle, 6);
        break;
    case KEY_PULL:
        draw_pull(svg, middle);
        break;
    case KEY_TAB:
        th_plan_tab(svg, middle);
        break;
    case KEY_SMALL:
        th_svg_box(svg, &small, &swatch);
        break;
    case KEY_LIMIT:
        th_svg_line(svg, &limit, (th_point){at.x, middle.y}, (th_point){at.x + 20, middle.y});
        break;
    default:
        th_svg_box(svg, key->sign == KEY_TAPE ? &tape : &hatched, &swatch);
        break;
    }
    th_svg_paragraph(svg, &font, (th_point){at.x + 28, at.y}, room, LINE_KEY, key->words);
}

static void draw_keys(th_svg *svg, const part_picture *p) {
    double bottom;
    th_point at = {p->row.left, p->key_top};

    for (size_t i = 0; i < p->key_count; i++) {
        if (p->layout != WHOLE) {
            draw_key(svg, &p->keys[i], at, low_key_room(p));
            at.y += low_key_high(p, &p->keys[i]);
        } else {
            draw_key(svg, &p->keys[i], key_place(p, i, &bottom), p->width);
        }
    }
}

/* ---- the picture ----------------------------------------------------------------------------- */

static void draw_parts(th_svg *svg, const part_picture *p) {
    static const th_svg_paint under = {.stroke = "#fff", .width = 1.9};
    static const th_svg_paint edge = {.stroke = TH_INK_SOFT, .width = 0.9, .dash = "4 2"};

    th_plan_regions(svg, &p->plan, p->map->parts, p->map->part_count, &under);
    th_plan_regions(svg, &p->plan, p->map->parts, p->map->part_count, &edge);
}

/* The field lies on the metal, under all lines. */
static bool draw_large(th_svg *svg, part_picture *p) {
    const th_map_field *field = &p->map->field;
    const th_cutter *cutter = p->stage->cut->cutter ? &p->stage->cut->cutter->row : NULL;
    th_point ring = th_plan_at(&p->plan, field->worst);
    th_point tool = th_plan_at(&p->plan, p->state->cutter_at);
    static const th_plan_look under = {.tape = HELD},
                              over = {.tape = "none", .line = 2, .edges = true};
    th_field_taken taken = {.count = 0};
    th_text label = {0};
    th_point from, to;
    th_svg later = *svg;

    later.text = &label; /* placed before the numbers of the lines, drawn over them */
    th_field_take(&taken, ring, 26, 26);
    th_field_take(&taken, tool, 24, 24);
    if (field->known && force_line(p, &from, &to)) {
        th_field_take(&taken, (th_point){(from.x + to.x) / 2, (from.y + to.y) / 2},
                      fabs(from.x - to.x) + 8, fabs(from.y - to.y) + 8);
    }
    if (field->known) {
        draw_label(&later, p, ring, &taken);
    }
    th_plan_state(svg, &p->plan, p->state, &under);
    if (!th_field_draw(&(th_field_sheets){svg, &later}, &p->plan, p->map, &p->scale, &taken)) {
        th_text_free(&label);
        return false;
    }
    draw_parts(svg, p);
    th_plan_state(svg, &p->plan, p->state, &over);
    th_plan_path(svg, &p->plan, p->state);
    th_plan_tabs(svg, &p->plan, p->state);
    th_plan_cutter(svg, &p->plan, p->state->cutter_at, cutter ? cutter->diameter : 0);
    if (p->check->proof.possible && p->check->proof.limit != TH_PROOF_USELESS) {
        draw_pull(svg, th_plan_at(&p->plan, p->check->proof.at));
    }
    if (field->known) {
        if (force_line(p, &from, &to)) {
            draw_push(svg, from, to);
        }
        draw_ring(svg, ring);
        th_text_put(svg->text, label.data ? label.data : "");
    }
    svg->text->failed = svg->text->failed || label.failed;
    svg->failed = svg->failed || later.failed;
    th_text_free(&label);
    return true;
}

static void draw_bar(th_svg *svg, const part_picture *p) {
    th_box bar = {LEFT, p->bar_top, 330, 13, 0, 0};
    th_svg_font font = {.size = TH_SVG_SMALL};
    double x = bar.x + bar.length + 76;
    bool strength = p->map->field.has_strength;

    if (p->layout != WHOLE) {
        bar.x = p->layout == LOW ? LOW_LEFT : THIN_LEFT;
        bar.length = fmin(fmax(p->plan.width, 220), p->width - bar.x - MARK_ROOM) - 24;
        th_field_bar(svg, &p->scale, &p->map->field, &bar);
        th_svg_words(svg, &font, (th_point){bar.x, bar.y - 7}, "%s%s",
                     strength ? "load over strength of the tape; at 1 it lets go"
                              : "load on the tape in ",
                     strength ? "" : p->scale.name);
        return;
    }
    th_field_bar(svg, &p->scale, &p->map->field, &bar);
    th_svg_words(svg, &font, (th_point){x, bar.y + 2}, "%s",
                 strength ? "load over strength of the tape" : "load on the tape");
    th_svg_words(svg, &font, (th_point){x, bar.y + 18}, "%s%s",
                 strength ? "1 and more: it lets go" : "in ", strength ? "" : p->scale.name);
}

static bool draw(part_picture *p, th_text *text, th_error *err) {
    bool whole = p->layout == WHOLE;
    double words = p->width - (whole ? 24 : 4), left = whole ? 12 : 2;
    const th_svg_font heading = {.size = whole ? TH_SVG_HEADING : TH_SVG_TEXT, .bold = true};
    const th_svg_font lead = {.size = whole ? TH_SVG_TEXT : TH_SVG_SMALL};
    double first_base = whole ? 22 : 12;
    th_svg_head head = {"part", p->width, p->height, NULL, NULL};
    size_t first = th_svg_lines(p->heading, heading.size * 1.12, words);
    th_svg svg;

    head.title = th_words_print(&p->doc, "%s: the part from above", p->job->head.title);
    head.about = th_words_print(&p->doc, "%s. %s", p->heading, p->lead);
    svg = th_svg_begin(text, &head);
    th_plan_bare(&svg);
    th_svg_pattern(&svg, &(th_svg_hatch){"held", "#e6ebef", "#9aa5af", 6, 0.8, 0});
    th_svg_paragraph(&svg, &heading, (th_point){left, first_base}, words, p->line, p->heading);
    th_svg_paragraph(&svg, &lead, (th_point){left, first_base + (double)first * p->line + 3}, words,
                     p->line, p->lead);
    if (!draw_large(&svg, p)) {
        return th_fail_memory(err);
    }
    th_plan_axes(&svg, &p->plan, p->units);
    if (p->map->field.known) {
        draw_bar(&svg, p);
    }
    draw_keys(&svg, p);
    if (p->row.count > (p->layout == LOW ? 0 : 1)) {
        th_stages_draw(&svg, &p->row, p->stages_top);
    }
    return p->doc.failed ? th_fail_memory(err) : th_svg_end(&svg, err);
}

static bool draw_part(part_picture *p, th_text *text, th_error *err) {
    bool fine;

    if (!p->map || !p->map->state_count || p->check->governs >= p->check->stage_count) {
        return th_fail(err, TH_BAD_USAGE, "there is no stage to draw");
    }
    fine = open_picture(p) ? draw(p, text, err) : th_fail_memory(err);
    th_doc_free(&p->doc);
    return fine;
}

bool th_picture_part(const th_job *job, const th_check *check, const th_map *map, th_text *text,
                     th_error *err) {
    part_picture p = {.job = job, .check = check, .map = map, .width = TH_SVG_WIDE};
    return draw_part(&p, text, err);
}

bool th_picture_part_low(const th_job *job, const th_check *check, const th_map *map, th_text *text,
                         th_error *err) {
    part_picture p = {.job = job, .check = check, .map = map, .layout = LOW, .width = TH_SVG_WIDE};
    return draw_part(&p, text, err);
}

bool th_picture_part_thin(const th_job *job, const th_check *check, const th_map *map,
                          th_text *text, th_error *err) {
    part_picture p = {
        .job = job, .check = check, .map = map, .layout = THIN, .width = TH_CHART_WIDE};
    return draw_part(&p, text, err);
}
