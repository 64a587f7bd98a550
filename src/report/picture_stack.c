/* picture_stack.c - part, tape, glue, plate and table from the side, with their heights. */
#include <math.h>
#include <stdio.h>

#include "card.h"
#include "picture.h"
#include "words.h"

/* Where things stand (px). The layers run from `left` to `right`, a through cut near their left
 * end, names right of it, heights beside them. */
typedef struct {
    double width, top, left, right, kerf_left, kerf_right, names, heights;
    double thickness;                /* room of a thickness before the name */
    double gap;                      /* least between two heights */
    double part, tape, plate, table; /* how high they are drawn */
    bool brief;                      /* half a page wide at most: ids for names, no heading */
} stack_room;

static const stack_room whole_page = {TH_SVG_WIDE, 62, 24, 462, 48,  78, 94,   508,
                                      94,          36, 84, 27,  112, 28, false};
static const stack_room half_page = {
    TH_STACK_HALF, 22, 2, 258, 12, 32, 40, 278, 74, 30, 38, 20, 56, 20, true};
static const stack_room phone = {TH_CHART_WIDE, 22, 2, 228, 8, 24, 30, 248, 74, 30, 38, 20, 56, 20,
                                 true};

#define CORNER 16.0 /* of the break that ends the layers */

enum { LAYERS_MOST = 6, MARKS_MOST = 6 };

/* A layer as it is drawn: its edges in the picture and its words. */
typedef struct {
    double top, bottom;
    const char *fill;
    const char *thick, *name; /* thick: "" where none is known */
} stack_layer;

/* A height that is named beside the layers. */
typedef struct {
    double y; /* of what it names (px) */
    const char *value, *name;
    bool strong;
} stack_mark;

typedef struct {
    const th_job *job;
    const th_check *check;
    const stack_room *room;
    th_units units;
    th_doc doc;
    stack_layer layers[LAYERS_MOST];
    size_t count;
    stack_mark marks[MARKS_MOST];
    size_t mark_count;
    double through; /* bottom of a through cut (px), NAN none */
    double bottom;  /* of the table (px) */
    double height;
} stack_picture;

/* ---- layers ---------------------------------------------------------------------------------- */

static const char *length_words(stack_picture *p, double value) {
    return th_words_quantity(&p->doc, value, TH_LENGTH, p->units);
}

/* Rounded where room is short. */
static const char *thick_words(stack_picture *p, double value) {
    return p->room->brief ? th_words_height(&p->doc, value, p->units) : length_words(p, value);
}

/* `thickness` NAN: none is known. */
static void add_layer(stack_picture *p, double high, const char *fill, const char *name,
                      double thickness) {
    double top = p->count ? p->layers[p->count - 1].bottom : p->room->top;
    const char *thick = isfinite(thickness) ? thick_words(p, thickness) : "";

    p->layers[p->count++] = (stack_layer){top, top + high, fill, thick, name};
}

static void add_mark(stack_picture *p, double y, double z, const char *name, bool strong) {
    const char *value = th_words_height(&p->doc, fabs(z) < 1e-9 ? 0 : z, p->units);

    p->marks[p->mark_count++] =
        (stack_mark){y, th_words_print(&p->doc, "Z %s", value), name, strong};
}

static const char *part_name(stack_picture *p) {
    if (p->room->brief) {
        return p->job->part.stock_id;
    }
    return th_words_print(&p->doc, "%s of %s",
                          isfinite(p->job->part.sheet_length) ? "sheet" : "part",
                          p->job->part.stock->head.name);
}

static const char *name_of(const stack_picture *p, const th_row_head *head, const char *id) {
    return p->room->brief ? id : head->name;
}

/* What remains of the plate is shown, whatever the depth of the cut is to its thickness. */
static void list_layers(stack_picture *p) {
    const th_hold *hold = &p->job->hold;
    const th_heights *h = &p->check->heights;
    const stack_room *r = p->room;

    add_layer(p, r->part, TH_FILL_METAL, part_name(p), p->job->part.thickness);
    add_layer(p, r->tape, TH_FILL_TAPE, name_of(p, &hold->tape->head, hold->tape_id),
              hold->tape->thickness);
    if (!hold->glue->absent) {
        add_layer(p, fmin(r->tape, 24), TH_FILL_GLUE, name_of(p, &hold->glue->head, hold->glue_id),
                  hold->glue->thickness);
    }
    if (hold->tape_below) {
        add_layer(p, r->tape, TH_FILL_TAPE,
                  name_of(p, &hold->tape_below->head, hold->tape_below_id),
                  hold->tape_below->thickness);
    }
    add_layer(p, r->plate, TH_FILL_PLATE, name_of(p, &hold->plate->head, hold->plate_id),
              hold->plate_thickness);
    add_layer(p, r->table, "#fff", "table of the machine", (double)NAN);
    p->bottom = p->layers[p->count - 1].bottom;
    p->through = (double)NAN;
    if (isfinite(h->through)) {
        double deep = fmin(fmax(h->into_plate / hold->plate_thickness, 0.12), 0.75);
        p->through = p->layers[p->count - 2].top +
                     deep * (p->layers[p->count - 2].bottom - p->layers[p->count - 2].top);
    }
}

static void list_marks(stack_picture *p) {
    const th_heights *h = &p->check->heights;
    const stack_layer *plate = &p->layers[p->count - 2];

    bool brief = p->room->brief;

    add_mark(p, p->layers[0].top, 0, brief ? "work zero" : "work zero, top of the stock", true);
    add_mark(p, p->layers[0].bottom, -h->top, "bonded face", false);
    add_mark(p, plate->top, h->plate_top - h->top, brief ? "plate" : "top of the sacrificial plate",
             false);
    if (isfinite(p->through)) {
        add_mark(p, p->through, h->through - h->top,
                 brief ? "through cuts" : "through cuts down to here", true);
    }
    add_mark(p, plate->bottom, h->table - h->top, "table", false);
}

/* ---- drawing --------------------------------------------------------------------------------- */

/* The layers end in a broken edge: they go on. */
static double broken(const stack_picture *p, double y) {
    return p->room->right - CORNER / 2 + CORNER / 2 * sin(y * 0.11);
}

/* Over two lines where the layer is high enough, else cut short. */
static void draw_name(th_svg *svg, const stack_layer *layer, th_point at, double room) {
    static const th_svg_font font = {.size = TH_SVG_SMALL, .halo = true};
    size_t fits = th_svg_fit(layer->name, TH_SVG_SMALL, room);

    if (layer->bottom - layer->top > 60) {
        th_svg_paragraph(svg, &font, at, room, 15, layer->name);
    } else {
        th_svg_words(svg, &font, at, "%.*s%s", (int)fits, layer->name,
                     layer->name[fits] ? " ..." : "");
    }
}

static void draw_layer(th_svg *svg, const stack_picture *p, size_t which) {
    const stack_layer *layer = &p->layers[which];
    const stack_room *r = p->room;
    bool table = which + 1 == p->count;
    char hatch[64];
    th_svg_paint paint = {.fill = table ? hatch : layer->fill, .stroke = TH_INK, .width = 1};
    static const th_svg_font strong = {.halo = true, .bold = true};
    double base = (layer->top + layer->bottom) / 2 + 4.5, wide;

    base -= r->brief && layer->bottom - layer->top > 50 && isfinite(p->through) ? 12 : 0;

    snprintf(hatch, sizeof hatch, "url(#%s-table)", svg->prefix);
    th_svg_trace(svg);
    th_svg_move(svg, (th_point){r->left, layer->top});
    for (int i = 0; layer->top + 5 * i < layer->bottom; i++) {
        double y = layer->top + 5 * i;
        th_svg_to(svg, (th_point){broken(p, y), y});
    }
    th_svg_to(svg, (th_point){broken(p, layer->bottom), layer->bottom});
    th_svg_to(svg, (th_point){r->left, layer->bottom});
    th_svg_shut(svg);
    th_svg_draw(svg, &paint);
    th_svg_words(svg, &strong, (th_point){r->names, base}, "%s", layer->thick);
    wide = layer->thick[0] ? r->thickness : 0;
    draw_name(svg, layer, (th_point){r->names + wide, base},
              r->right - CORNER - r->names - wide - 4);
}

/* A slot through part and tape into the plate. */
static void draw_kerf(th_svg *svg, const stack_picture *p) {
    static const th_svg_paint gone = {.fill = "#fff"};
    static const th_svg_paint wall = {.stroke = TH_INK, .width = 1.6};
    static const th_svg_paint reach = {.stroke = TH_INK_SOFT, .dash = "4 3"};
    const stack_room *r = p->room;
    th_box box = {
        r->kerf_left, r->top - 1, r->kerf_right - r->kerf_left, p->through - r->top + 1, 0, 0};

    if (!isfinite(p->through)) {
        return;
    }
    th_svg_box(svg, &gone, &box);
    th_svg_trace(svg);
    th_svg_move(svg, (th_point){r->kerf_left, r->top});
    th_svg_to(svg, (th_point){r->kerf_left, p->through});
    th_svg_to(svg, (th_point){r->kerf_right, p->through});
    th_svg_to(svg, (th_point){r->kerf_right, r->top});
    th_svg_draw(svg, &wall);
    th_svg_line(svg, &reach, (th_point){r->kerf_right, p->through},
                (th_point){broken(p, p->through), p->through});
}

/* How much of the plate is left, as a measure under the kerf. */
static void draw_left(th_svg *svg, stack_picture *p) {
    const stack_layer *plate = &p->layers[p->count - 2];
    static const th_svg_paint arrow = {.stroke = TH_INK_BLUE, .width = 1.6};
    static const th_svg_font font = {.bold = true, .fill = TH_INK_BLUE, .halo = true};
    double x = (p->room->kerf_left + p->room->kerf_right) / 2,
           middle = (p->through + plate->bottom) / 2;

    if (!isfinite(p->through)) {
        return;
    }
    th_svg_arrow(svg, &arrow, (th_point){x, middle}, (th_point){x, p->through + 1});
    th_svg_arrow(svg, &arrow, (th_point){x, middle}, (th_point){x, plate->bottom - 1});
    th_svg_words(svg, &font, (th_point){p->room->names, plate->bottom - (p->room->brief ? 7 : 10)},
                 "%s of the plate left",
                 th_words_height(&p->doc, p->check->heights.plate_left, p->units));
}

static void draw_mark(th_svg *svg, const stack_picture *p, const stack_mark *mark, double y) {
    double heights = p->room->heights, elbow = p->room->brief ? p->room->right + 5 : 0;
    th_svg_paint line = {.stroke = TH_INK_SOFT, .width = mark->strong ? 1.6 : 1};
    th_svg_font value = {.size = TH_SVG_TEXT, .bold = true};
    static const th_svg_font name = {.size = TH_SVG_SMALL, .fill = TH_INK_SOFT};
    double start = broken(p, mark->y) + 3;

    th_svg_trace(svg);
    th_svg_move(svg, (th_point){start, mark->y});
    th_svg_to(svg, (th_point){elbow > 0 ? elbow : start + 12, mark->y});
    th_svg_to(svg, (th_point){heights - (elbow > 0 ? 5 : 16), y - 4});
    th_svg_to(svg, (th_point){heights - (elbow > 0 ? 3 : 6), y - 4});
    th_svg_draw(svg, &line);
    th_svg_words(svg, &value, (th_point){heights, y}, "%s", mark->value);
    th_svg_words(svg, &name, (th_point){heights, y + 14}, "%s", mark->name);
}

static void draw_marks(th_svg *svg, const stack_picture *p) {
    const double bounds[2] = {p->room->top + (p->room->brief ? -6 : 4), p->bottom - 12};
    double places[MARKS_MOST];

    for (size_t i = 0; i < p->mark_count; i++) {
        places[i] = p->marks[i].y + 4;
    }
    th_svg_spread(places, p->mark_count, p->room->gap, bounds);
    for (size_t i = 0; i < p->mark_count; i++) {
        draw_mark(svg, p, &p->marks[i], places[i]);
    }
}

static const char *about_words(stack_picture *p) {
    const char *words = "From the top:";

    for (size_t i = 0; i < p->count; i++) {
        const stack_layer *layer = &p->layers[i];
        words = th_words_print(&p->doc, "%s%s %s%s%s", words, i ? ";" : "", layer->name,
                               layer->thick[0] ? ", " : "", layer->thick);
    }
    words = th_words_print(&p->doc, "%s. Heights from work zero at the top of the stock:", words);
    for (size_t i = 0; i < p->mark_count; i++) {
        words = th_words_print(&p->doc, "%s%s %s %s", words, i ? ";" : "", p->marks[i].name,
                               p->marks[i].value);
    }
    return th_words_print(&p->doc, "%s.", words);
}

static bool draw(stack_picture *p, th_text *text, th_error *err) {
    static const th_svg_font heading = {.size = TH_SVG_HEADING, .bold = true};
    static const th_svg_font beside = {.size = TH_SVG_SMALL, .fill = TH_INK_SOFT};
    th_svg_head head = {"stack", p->room->width, p->height, NULL, NULL};
    th_svg svg;

    head.title = th_words_print(&p->doc, "%s: the stack from the side", p->job->head.title);
    head.about = about_words(p);
    svg = th_svg_begin(text, &head);
    th_svg_pattern(&svg, &(th_svg_hatch){"table", "#fff", TH_INK_FAINT, 7, 1, 45});
    if (p->room->brief) {
        th_svg_words(&svg, &beside, (th_point){2, 12}, "Not to scale");
    } else {
        th_svg_words(&svg, &heading, (th_point){12, 22}, "The stack from the side");
        th_svg_words(&svg, &beside, (th_point){12, 40},
                     "Not to scale: tape and glue are drawn far thicker than they are. Z from work "
                     "zero, the top of the stock.");
    }
    for (size_t i = 0; i < p->count; i++) {
        draw_layer(&svg, p, i);
    }
    draw_kerf(&svg, p);
    draw_left(&svg, p);
    draw_marks(&svg, p);
    return p->doc.failed ? th_fail_memory(err) : th_svg_end(&svg, err);
}

static bool draw_stack(stack_picture *p, th_text *text, th_error *err) {
    bool fine;

    p->units = (th_units)p->job->head.units;
    list_layers(p);
    list_marks(p);
    p->height = p->bottom + (p->room->brief ? 4 : 14);
    fine = draw(p, text, err);
    th_doc_free(&p->doc);
    return fine;
}

bool th_picture_stack(const th_job *job, const th_check *check, th_text *text, th_error *err) {
    stack_picture p = {.job = job, .check = check, .room = &whole_page};
    return draw_stack(&p, text, err);
}

bool th_picture_stack_half(const th_job *job, const th_check *check, th_text *text, th_error *err) {
    stack_picture p = {.job = job, .check = check, .room = &half_page};
    return draw_stack(&p, text, err);
}

bool th_picture_stack_thin(const th_job *job, const th_check *check, th_text *text, th_error *err) {
    stack_picture p = {.job = job, .check = check, .room = &phone};
    return draw_stack(&p, text, err);
}
