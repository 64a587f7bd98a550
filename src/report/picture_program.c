/* picture_program.c - what is stuck down while a program runs. */
#include "picture_program.h"

#include <math.h>
#include <stdio.h>

#include "picture_contour.h"
#include "picture_field.h"
#include "program_words.h"
#include "tackhold/advice.h"

#define LEFT 54.0       /* of the large plan: numbers of the axis beside it (px) */
#define MOST_WIDE 392.0 /* of it (px) */
#define MOST_HIGH 290.0
#define END_HIGH 130.0 /* of the small one, at most (px) */
#define APART 34.0     /* between both (px) */
#define LINE 15.0      /* of words (px) */
#define FIRST 17.0     /* of the heading (px) */
#define RIM 1.5        /* round the stock (mm) */
#define ZERO 5.0       /* radius of its mark (px) */
#define SKIN_HOLDS 0.2 /* metal no thicker joins nothing, as for the loads (mm) */
#define ZERO_AWAY 0.25 /* of the stock's longer side, up to which the picture reaches to it */

enum { KEYS_MOST = 9, WORDS_ROOM = 28 };

typedef enum {
    KEY_WORST,
    KEY_CUTTER,
    KEY_TAPE,
    KEY_GONE,
    KEY_THIN,
    KEY_BARE,
    KEY_PART,
    KEY_LOOSE,
    KEY_ZERO
} key_sign;

typedef struct {
    key_sign sign;
    const char *words;
} map_key;

typedef struct {
    const th_program_shown *shown;
    const th_run *run;
    th_units units;
    th_doc doc;                /* of words, and of what is drawn from */
    const th_bond_map *bond;   /* in the large plan */
    double level;              /* share of a cell from which it counts as standing */
    th_plan plan, end;         /* large and small; `end` of height 0: there is none */
    double right, right_width; /* of what stands beside the plan (px) */
    const char *heading, *lead;
    map_key keys[KEYS_MOST];
    size_t key_count;
    double key_top, end_top, height; /* (px) */
    th_field_taken taken;
} map_picture;

/* ---- marks ----------------------------------------------------------------------------------- */

void th_picture_badge(th_svg *svg, th_point middle, const char *sign, bool strong) {
    th_svg_paint ring = {.fill = strong ? TH_INK_RUST : "#fff", .stroke = TH_INK, .width = 1.2};
    th_svg_font font = {.size = TH_SVG_SMALL,
                        .anchor = TH_SVG_MIDDLE,
                        .bold = true,
                        .fill = strong ? "#fff" : TH_INK};

    th_svg_circle(svg, &ring, middle, TH_BADGE);
    th_svg_words(svg, &font, (th_point){middle.x, middle.y + 4}, "%s", sign);
}

/* ---- a map as shapes ------------------------------------------------------------------------- */

typedef struct {
    th_svg *svg;
    const th_plan *plan;
    th_point at[2]; /* the last two points; lines are drawn with the first of them */
    size_t count;
} tracer;

static void trace_point(void *context, th_point at, bool first) {
    tracer *t = context;
    th_point shown = th_plan_at(t->plan, at);

    if (first) {
        t->count = 0;
        th_svg_move(t->svg, shown);
        t->at[0] = shown;
        return;
    }
    if (t->count > 0) { /* the one in between goes where the line runs straight on */
        double dx = shown.x - t->at[0].x, dy = shown.y - t->at[0].y;
        double off = fabs(dx * (t->at[1].y - t->at[0].y) - dy * (t->at[1].x - t->at[0].x));
        if (off > 0.12 * hypot(dx, dy)) {
            th_svg_to(t->svg, t->at[1]);
            t->at[0] = t->at[1];
        }
    }
    t->at[1] = shown;
    t->count = 1;
}

static void trace_close(void *context) {
    tracer *t = context;

    if (t->count > 0) {
        th_svg_to(t->svg, t->at[1]);
    }
    th_svg_shut(t->svg);
}

/* Shares as a field with a rim of nothing round it. False: out of memory. */
static bool field_of(th_arena *arena, const th_bond_map *map, const unsigned char *shares,
                     th_map_field *field) {
    size_t columns = map->columns + 2, rows = map->rows + 2;

    *field = (th_map_field){.xs = th_arena_take(arena, columns * sizeof(double)),
                            .ys = th_arena_take(arena, rows * sizeof(double)),
                            .x_count = columns,
                            .y_count = rows,
                            .index = th_arena_take(arena, columns * rows * sizeof(double))};
    if (!field->xs || !field->ys || !field->index) {
        return false;
    }
    for (size_t i = 0; i < columns; i++) {
        field->xs[i] = map->x0 + ((double)i - 0.5) * map->cell;
    }
    for (size_t j = 0; j < rows; j++) {
        field->ys[j] = map->y0 + ((double)j - 0.5) * map->cell;
    }
    for (size_t n = 0; n < columns * rows; n++) {
        size_t i = n % columns, j = n / columns;
        bool inside = i > 0 && j > 0 && i + 1 < columns && j + 1 < rows;
        field->index[n] = inside ? shares[(j - 1) * map->columns + i - 1] / 255.0 : 0;
    }
    return true;
}

static bool holds_any(const th_bond_map *map, const unsigned char *shares, double level) {
    for (size_t n = 0; n < map->columns * map->rows; n++) {
        if (shares[n] / 255.0 >= level) {
            return true;
        }
    }
    return false;
}

/* What lies at or above the level, painted. */
static void draw_shares(th_svg *svg, map_picture *p, const th_plan *plan, const th_bond_map *map,
                        const unsigned char *shares, const th_svg_paint *paint) {
    tracer t = {.svg = svg, .plan = plan};
    const th_contour_sink sink = {trace_point, trace_close, &t};
    th_map_field field;
    th_contour contour;

    if (!holds_any(map, shares, p->level)) {
        return;
    }
    if (!field_of(&p->doc.arena, map, shares, &field) ||
        !th_contour_make(&p->doc.arena, &field, map->cell, &contour)) {
        p->doc.failed = true;
        return;
    }
    th_svg_trace(svg);
    th_contour_trace(&contour, p->level, &sink);
    th_svg_draw(svg, paint);
}

/* Whether metal stands anywhere without tape under it. */
static bool any_bare(const th_bond_map *map) {
    for (size_t n = 0; n < map->columns * map->rows; n++) {
        if (map->stands[n] > map->held[n] + 128) {
            return true;
        }
    }
    return false;
}

static void draw_map(th_svg *svg, map_picture *p, const th_plan *plan, const th_bond_map *map) {
    static const th_svg_paint was = {.fill = "#fff", .stroke = TH_INK_FAINT, .width = 0.7},
                              tape = {.fill = TH_FILL_TAPE},
                              edge = {.stroke = TH_INK, .width = 0.9};
    char bare[48], thin[48];
    const th_svg_paint metal = {.fill = bare};
    const th_svg_paint thinned = {.fill = thin, .stroke = TH_INK_SOFT, .width = 0.8};

    snprintf(bare, sizeof bare, "url(#%s-bare)", svg->prefix);
    snprintf(thin, sizeof thin, "url(#%s-thin)", svg->prefix);
    th_plan_region(svg, plan, &p->run->stock, &was);
    if (any_bare(map)) {
        draw_shares(svg, p, plan, map, map->stands, &metal);
    }
    draw_shares(svg, p, plan, map, map->held, &tape);
    draw_shares(svg, p, plan, map, map->thinned, &thinned);
    draw_shares(svg, p, plan, map, map->stands, &edge);
}

/* The job's own edge of every copy. */
static void draw_parts(th_svg *svg, map_picture *p, const th_plan *plan) {
    static const th_svg_paint under = {.stroke = "#fff", .width = 2.2};
    static const th_svg_paint edge = {.stroke = TH_INK_BLUE, .width = 1.1, .dash = "6 3"};
    const th_part *part = &p->shown->job->part;
    int copies = part->copies.a * part->copies.b;

    for (int copy = 1; copy <= copies || copy == 1; copy++) {
        th_point by = th_copy_offset(p->shown->job, copy);
        th_plan moved = *plan;
        moved.box[0] -= by.x;
        moved.box[1] -= by.y;
        moved.box[2] -= by.x;
        moved.box[3] -= by.y;
        th_plan_region(svg, &moved, &p->run->part, &under);
        th_plan_region(svg, &moved, &p->run->part, &edge);
    }
}

/* ---- numbers and letters --------------------------------------------------------------------- */

static size_t worst_shown(const map_picture *p) {
    return p->run->worst_count < TH_MAP_WORST ? p->run->worst_count : TH_MAP_WORST;
}

static th_point worst_at(const map_picture *p, size_t i) {
    const double *at = p->run->worst[i].load.at;

    return th_plan_at(&p->plan, (th_point){at[0], at[1]});
}

/* Near the place, where nothing stands yet. */
static th_point free_place(const map_picture *p, th_point at) {
    static const double ways[8][2] = {{0.8, -0.6}, {-0.8, -0.6}, {0.8, 0.6}, {-0.8, 0.6},
                                      {0, -1},     {0, 1},       {1, 0},     {-1, 0}};
    th_point best = {at.x + 14, at.y - 12};

    for (int away = 17; away < 90; away += 12) {
        for (size_t k = 0; k < 8; k++) {
            th_point middle = {at.x + away * ways[k][0], at.y + away * ways[k][1]};
            th_box box = {
                middle.x - TH_BADGE, middle.y - TH_BADGE, 2 * TH_BADGE, 2 * TH_BADGE, 0, 0};
            bool within = middle.x > p->plan.corner.x - 4 &&
                          middle.x < p->plan.corner.x + p->plan.width + 14 &&
                          middle.y > p->plan.corner.y - 12 &&
                          middle.y < p->plan.corner.y + p->plan.height - TH_BADGE;
            if (within && th_field_room(&p->taken, &box) > 1) {
                return middle;
            }
        }
    }
    return best;
}

static void draw_worst(th_svg *svg, map_picture *p) {
    static const th_svg_paint under = {.stroke = "#fff", .width = 3},
                              lead = {.stroke = TH_INK, .width = 1},
                              dot = {.fill = TH_INK, .stroke = "#fff", .width = 1};
    th_point badges[TH_MAP_WORST];
    size_t count = worst_shown(p);
    char number[12];

    for (size_t i = 0; i < count; i++) {
        th_field_take(&p->taken, worst_at(p, i), 8, 8);
    }
    for (size_t i = 0; i < count; i++) {
        badges[i] = free_place(p, worst_at(p, i));
        th_field_take(&p->taken, badges[i], 2 * TH_BADGE, 2 * TH_BADGE);
        th_svg_line(svg, &under, worst_at(p, i), badges[i]);
        th_svg_line(svg, &lead, worst_at(p, i), badges[i]);
    }
    for (size_t i = 0; i < count; i++) {
        th_svg_circle(svg, &dot, worst_at(p, i), 3);
    }
    for (size_t i = count; i-- > 0;) {
        snprintf(number, sizeof number, "%d", (int)i + 1);
        th_picture_badge(svg, badges[i], number, i == 0);
    }
}

/* The program's zero: a ring with a cross right through it. */
static void zero_mark(th_svg *svg, th_point at) {
    static const th_svg_paint under = {.stroke = "#fff", .width = 4.4},
                              ring = {.stroke = TH_INK, .width = 1.8};

    for (int pass = 0; pass < 2; pass++) {
        const th_svg_paint *paint = pass ? &ring : &under;
        th_svg_circle(svg, paint, at, ZERO);
        th_svg_line(svg, paint, (th_point){at.x - 1.7 * ZERO, at.y},
                    (th_point){at.x + 1.7 * ZERO, at.y});
        th_svg_line(svg, paint, (th_point){at.x, at.y - 1.7 * ZERO},
                    (th_point){at.x, at.y + 1.7 * ZERO});
    }
}

static bool zero_drawn(const map_picture *p) {
    th_point zero = p->shown->job->zero.at;
    const double *box = p->plan.box;

    return zero.x >= box[0] && zero.x <= box[2] && zero.y >= box[1] && zero.y <= box[3];
}

static void draw_zero(th_svg *svg, map_picture *p) {
    static const th_svg_font font = {.size = TH_SVG_SMALL, .bold = true, .halo = true};
    static const double ways[4][2] = {{14, -8}, {-46, -8}, {14, 18}, {-46, 18}};
    th_point at = th_plan_at(&p->plan, p->shown->job->zero.at), words = {at.x + 14, at.y - 8};

    if (!zero_drawn(p)) {
        return;
    }
    zero_mark(svg, at);
    th_field_take(&p->taken, at, 4 * ZERO, 4 * ZERO);
    for (int i = 0; i < 4; i++) {
        th_box box = {at.x + ways[i][0], at.y + ways[i][1] - 10, 34, 13, 0, 0};
        bool within = box.x > p->plan.corner.x && box.x + 34 < p->plan.corner.x + p->plan.width &&
                      box.y > p->plan.corner.y && box.y + 13 < p->plan.corner.y + p->plan.height;
        if (within && th_field_room(&p->taken, &box) > 1) {
            words = (th_point){box.x, box.y + 10};
            break;
        }
    }
    th_field_take(&p->taken, (th_point){words.x + 17, words.y - 4}, 34, 13);
    th_svg_words(svg, &font, words, "X0 Y0");
}

static size_t loose_shown(const map_picture *p) {
    return p->run->loose_count < TH_LOOSE_SHOWN ? p->run->loose_count : TH_LOOSE_SHOWN;
}

static void draw_loose(th_svg *svg, const map_picture *p, const th_plan *plan) {
    static const th_svg_font font = {
        .size = TH_SVG_SMALL, .anchor = TH_SVG_MIDDLE, .bold = true, .halo = true};

    for (size_t i = 0; i < loose_shown(p); i++) {
        th_point at = p->run->loose_at[i];
        if (isfinite(at.x)) {
            at = th_plan_at(plan, at);
            th_svg_words(svg, &font, (th_point){at.x, at.y + 4}, "%c", (char)('A' + i));
        }
    }
}

/* ---- words ----------------------------------------------------------------------------------- */

static const th_cutter *cutter_of(const map_picture *p) {
    const th_job *job = p->shown->job;
    int tool = p->run->worst_count > 0 ? p->run->worst[0].load.tool : 0;

    for (size_t i = 0; i < job->tool_count; i++) {
        if (job->tools[i].number == tool) {
            return &job->tools[i].cutter->row;
        }
    }
    return job->tool_count == 0 && job->cutter_count == 1 ? &job->cutters[0].row : NULL;
}

static void set_words(map_picture *p) {
    const th_run *run = p->run;
    const char *area = th_words_quantity(&p->doc, p->bond->area, TH_AREA, p->units);

    if (run->worst_count == 0) {
        p->heading = "When the program is through";
        p->lead = th_words_print(&p->doc, "%s are bonded.", area);
        return;
    }
    const th_worst_line *worst = &run->worst[0];
    p->heading = th_words_print(&p->doc, "As line %d leaves it, the worst moment: hold factor %s",
                                worst->load.line,
                                th_words_factor(&p->doc, worst->hold_factor, run->asked_factor));
    p->lead = th_words_print(&p->doc, "%s are bonded then, %s when the program is through.", area,
                             th_words_quantity(&p->doc, run->at_end.area, TH_AREA, p->units));
}

static void add_key(map_picture *p, key_sign sign, const char *words) {
    if (p->key_count < KEYS_MOST) {
        p->keys[p->key_count++] = (map_key){sign, words};
    }
}

static void list_keys(map_picture *p) {
    const th_run *run = p->run;
    double thinnest = fmin(p->bond->thinnest, run->at_end.thinnest);

    if (worst_shown(p) > 0) {
        add_key(p, KEY_WORST, "the worst lines, numbered as in their table");
        if (cutter_of(p)) {
            add_key(p, KEY_CUTTER, "the cutter at 1");
        }
    }
    add_key(p, KEY_ZERO,
            zero_drawn(p)
                ? "X0 Y0 of the program"
                : th_words_print(&p->doc, "X0 Y0 of the program lies off the map, at %s",
                                 th_words_place(&p->doc, p->shown->job->zero.at, p->units)));
    add_key(p, KEY_TAPE, "stuck down");
    add_key(p, KEY_GONE, "cut through");
    if (isfinite(thinnest)) {
        add_key(p, KEY_THIN,
                th_words_print(&p->doc, "thinned, %s left at the least%s",
                               th_words_height(&p->doc, thinnest, p->units),
                               thinnest >= SKIN_HOLDS ? ""
                               : p->units == TH_INCH  ? "; less than 0.008 in counts as cut through"
                                                     : "; less than 0.2 mm counts as cut through"));
    }
    if (any_bare(p->bond)) {
        add_key(p, KEY_BARE, "metal without tape");
    }
    add_key(p, KEY_PART, "edge of the part, by the job");
    if (loose_shown(p) > 0) {
        add_key(p, KEY_LOOSE, "pieces set free, as in their table");
    }
}

/* ---- layout ---------------------------------------------------------------------------------- */

static double key_high(const map_picture *p, const map_key *key) {
    return LINE * (double)th_svg_lines(key->words, TH_SVG_SMALL, p->right_width - WORDS_ROOM) + 4;
}

/* Grow the picture to where the program's zero lies, if that is not far off. */
static void reach_zero(const map_picture *p, double box[4]) {
    th_point zero = p->shown->job->zero.at;
    double away = ZERO_AWAY * fmax(box[2] - box[0], box[3] - box[1]);

    if (zero.x > box[0] - away && zero.x < box[2] + away && zero.y > box[1] - away &&
        zero.y < box[3] + away) {
        box[0] = fmin(box[0], zero.x);
        box[1] = fmin(box[1], zero.y);
        box[2] = fmax(box[2], zero.x);
        box[3] = fmax(box[3], zero.y);
    }
}

static void bounds(const map_picture *p, bool places, double box[4]) {
    if (!th_region_box(&p->run->stock, box)) {
        box[0] = box[1] = box[2] = box[3] = 0;
    }
    for (size_t i = 0; places && i < worst_shown(p); i++) {
        const double *at = p->run->worst[i].load.at;
        box[0] = fmin(box[0], at[0]);
        box[1] = fmin(box[1], at[1]);
        box[2] = fmax(box[2], at[0]);
        box[3] = fmax(box[3], at[1]);
    }
    if (places) {
        reach_zero(p, box);
    }
    box[0] -= RIM;
    box[1] -= RIM;
    box[2] += RIM;
    box[3] += RIM;
}

static void lay_out(map_picture *p) {
    double box[4], words = TH_SVG_WIDE - 8, top, under;

    bounds(p, true, box);
    top = FIRST * (double)th_svg_lines(p->heading, TH_SVG_TEXT * 1.12, words) +
          LINE * (double)th_svg_lines(p->lead, TH_SVG_SMALL, words) + 18;
    p->plan = th_plan_fit(box, (th_point){LEFT, top}, MOST_WIDE, MOST_HIGH);
    p->right = LEFT + p->plan.width + APART;
    p->right_width = TH_SVG_WIDE - 4 - p->right;
    under = top;
    if (p->run->worst_count > 0) {
        bounds(p, false, box);
        p->end_top = top + 4;
        p->end = th_plan_fit(box, (th_point){p->right, p->end_top + 10},
                             fmin(p->right_width, MOST_WIDE), END_HIGH);
        under = p->end_top + 10 + p->end.height + 14;
    }
    list_keys(p);
    p->key_top = under + 14;
    for (size_t i = 0; i < p->key_count; i++) {
        under += key_high(p, &p->keys[i]);
    }
    p->height = fmax(under + 14, top + p->plan.height + 32);
}

/* ---- the key --------------------------------------------------------------------------------- */

static void draw_swatch(th_svg *svg, key_sign sign, th_point at) {
    char fill[48];
    th_svg_paint paint = {.fill = sign == KEY_TAPE   ? TH_FILL_TAPE
                                  : sign == KEY_GONE ? "#fff"
                                                     : fill,
                          .stroke = sign == KEY_GONE ? TH_INK_FAINT : TH_INK,
                          .width = 0.9};
    th_box swatch = {at.x, at.y - 10, 20, 12, 0, 0};

    snprintf(fill, sizeof fill, "url(#%s-%s)", svg->prefix, sign == KEY_THIN ? "thin" : "bare");
    if (sign == KEY_THIN) {
        static const th_svg_paint under = {.fill = TH_FILL_TAPE};
        th_svg_box(svg, &under, &swatch);
    }
    th_svg_box(svg, &paint, &swatch);
}

static void draw_key(th_svg *svg, const map_picture *p, const map_key *key, th_point at) {
    static const th_svg_font font = {.size = TH_SVG_SMALL},
                             letter = {.size = TH_SVG_SMALL, .bold = true};
    static const th_svg_paint cutter = {.stroke = TH_INK_BLUE, .width = 2},
                              part = {.stroke = TH_INK_BLUE, .width = 1.1, .dash = "6 3"};
    th_point middle = {at.x + 10, at.y - 4};

    switch (key->sign) {
    case KEY_WORST:
        th_picture_badge(svg, middle, "1", true);
        break;
    case KEY_CUTTER:
        th_svg_circle(svg, &cutter, middle, 6);
        break;
    case KEY_ZERO:
        zero_mark(svg, middle);
        break;
    case KEY_PART:
        th_svg_line(svg, &part, (th_point){at.x, middle.y}, (th_point){at.x + 20, middle.y});
        break;
    case KEY_LOOSE:
        th_svg_words(svg, &letter, (th_point){at.x + 1, at.y}, "A B");
        break;
    default:
        draw_swatch(svg, key->sign, at);
        break;
    }
    th_svg_paragraph(svg, &font, (th_point){at.x + WORDS_ROOM, at.y}, p->right_width - WORDS_ROOM,
                     LINE, key->words);
}

/* ---- the picture ----------------------------------------------------------------------------- */

static void draw_head(th_svg *svg, const map_picture *p) {
    static const th_svg_font heading = {.bold = true},
                             lead = {.size = TH_SVG_SMALL, .fill = TH_INK_SOFT};
    double words = TH_SVG_WIDE - 8, y = 12;

    th_svg_paragraph(svg, &heading, (th_point){4, y}, words, FIRST, p->heading);
    y += FIRST * (double)th_svg_lines(p->heading, TH_SVG_TEXT * 1.12, words);
    th_svg_paragraph(svg, &lead, (th_point){4, y}, words, LINE, p->lead);
}

static void draw_large(th_svg *svg, map_picture *p) {
    const th_cutter *cutter = cutter_of(p);

    th_svg_open(svg, p->heading);
    draw_map(svg, p, &p->plan, p->bond);
    draw_parts(svg, p, &p->plan);
    if (p->run->worst_count > 0 && cutter) {
        const double *at = p->run->worst[0].load.at;
        th_plan_cutter(svg, &p->plan, (th_point){at[0], at[1]}, cutter->diameter);
    }
    draw_zero(svg, p);
    draw_worst(svg, p);
    th_plan_axes(svg, &p->plan, p->units);
    th_svg_close(svg);
}

static void draw_end(th_svg *svg, map_picture *p) {
    static const th_svg_font heading = {.size = TH_SVG_SMALL, .bold = true};

    if (p->run->worst_count == 0) {
        draw_loose(svg, p, &p->plan);
        return;
    }
    th_svg_open(svg, "When the program is through");
    th_svg_words(svg, &heading, (th_point){p->right, p->end_top}, "When the program is through");
    draw_map(svg, p, &p->end, &p->run->at_end);
    draw_loose(svg, p, &p->end);
    th_svg_close(svg);
}

static void draw_all(th_svg *svg, map_picture *p) {
    th_point at = {p->right, p->key_top};

    th_plan_bare(svg);
    th_svg_pattern(svg, &(th_svg_hatch){"thin", NULL, TH_INK_SOFT, 4, 0.7, 0});
    draw_head(svg, p);
    draw_large(svg, p);
    draw_end(svg, p);
    for (size_t i = 0; i < p->key_count; i++) {
        draw_key(svg, p, &p->keys[i], at);
        at.y += key_high(p, &p->keys[i]);
    }
}

static double level_of(const map_picture *p) {
    double smallest = INFINITY, across;

    for (size_t i = 0; i < p->shown->job->cutter_count; i++) {
        smallest = fmin(smallest, p->shown->job->cutters[i].row.diameter);
    }
    across = fmin(smallest / p->bond->cell, 2); /* a kerf narrower than cells is to be seen */
    return 1 - 0.25 * across;
}

bool th_picture_program_map(const th_program_shown *shown, th_text *text, th_error *err) {
    map_picture p = {.shown = shown, .run = shown->run, .units = (th_units)shown->job->head.units};
    bool fine;

    if (!p.run->mapped) {
        return th_fail(err, TH_BAD_USAGE, "the run kept no maps");
    }
    p.bond = p.run->at_worst.columns > 0 ? &p.run->at_worst : &p.run->at_end;
    p.level = level_of(&p);
    set_words(&p);
    lay_out(&p);
    const char *about = th_words_print(
        &p.doc,
        "%s. %s The part from above, what is stuck down tinted, what is cut through white; "
        "the places of the %zu worst lines are numbered as in their table.",
        p.heading, p.lead, worst_shown(&p));
    th_svg svg =
        th_svg_begin(text, &(th_svg_head){"tape", TH_SVG_WIDE, p.height, "Map of the tape", about});
    draw_all(&svg, &p);
    fine = th_svg_end(&svg, err) && (!p.doc.failed || th_fail_memory(err));
    th_doc_free(&p.doc);
    return fine;
}
