/* outline_svg.c - the outline that an SVG shows. */
#include "svg.h"
#include "scan.h"
#include "tackhold/files.h"

#include <expat.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { DEEPEST = 256, WORD = 128 };
#define SVG_NAMESPACE "http://www.w3.org/2000/svg"
#define MM_PER_PX (25.4 / 96)

/* What an element inherits. */
typedef struct {
    th_affine affine;
    double width, height; /* of the viewport, for percentages (px) */
    bool fill, stroke, visible;
    int rule; /* th_fill_rule */
} level;

typedef struct {
    XML_Parser parser;
    th_path path;
    level levels[DEEPEST];
    size_t depth;
    size_t skipped; /* elements open inside a part that is not drawn, 0: none */
    bool in_style;
    th_text style;
} reader;

typedef struct {
    const char *name; /* without namespace */
    const char **attributes;
    const char *style; /* NULL: none */
} element;

/* ---- attributes and properties --------------------------------------------------------------- */

static const char *attribute(const element *e, const char *name) {
    for (size_t i = 0; e->attributes[i]; i += 2) {
        if (strcmp(e->attributes[i], name) == 0) {
            return e->attributes[i + 1];
        }
    }
    return NULL;
}

static void copy_trimmed(const char *p, const char *end, char word[WORD]) {
    size_t n;

    while (p < end && th_scan_blank(*p)) {
        p++;
    }
    while (end > p && th_scan_blank(end[-1])) {
        end--;
    }
    n = (size_t)(end - p) < WORD - 1 ? (size_t)(end - p) : WORD - 1;
    memcpy(word, p, n);
    word[n] = '\0';
}

/* The last declaration of a property in a style attribute. */
static bool styled(const char *style, const char *name, char word[WORD]) {
    bool found = false;

    while (style && *style != '\0') {
        const char *end = style + strcspn(style, ";");
        const char *colon = memchr(style, ':', (size_t)(end - style));
        const char *last = colon;
        while (style < end && th_scan_blank(*style)) {
            style++;
        }
        while (last && last > style && th_scan_blank(last[-1])) {
            last--;
        }
        if (last && last >= style && th_scan_word(style, (size_t)(last - style), name)) {
            const char *mark = memchr(colon, '!', (size_t)(end - colon));
            copy_trimmed(colon + 1, mark ? mark : end, word);
            found = true;
        }
        style = *end == ';' ? end + 1 : end;
    }
    return found;
}

/* A property: from the style attribute, else from the attribute of its name. */
static bool property(const element *e, const char *name, char word[WORD]) {
    const char *value;

    if (styled(e->style, name, word)) {
        return true;
    }
    value = attribute(e, name);
    if (value) {
        copy_trimmed(value, value + strlen(value), word);
    }
    return value != NULL;
}

static bool is(const char *given, const char *expected) {
    return th_scan_word(given, strlen(given), expected);
}

/* A length property in px; `missing` if it is not there. */
static double length(reader *r, const element *e, const char *name, double whole, double missing) {
    char word[WORD], shown[40];
    double px = 0;

    if (!property(e, name, word) || is(word, "auto")) {
        return missing;
    }
    if (!th_svg_length(word, whole, &px)) {
        th_path_fail(&r->path, TH_BAD_VALUE,
                     "%s of <%s> is \"%s\"; write a number with mm, cm, in, pt, pc, px, %% or no "
                     "unit, e.g. 12.5mm",
                     name, e->name, th_svg_shown(word, strlen(word), shown));
    }
    return px;
}

static double size_of(reader *r, const element *e, const char *name, double whole, double missing) {
    double px = length(r, e, name, whole, missing);

    if (px < 0) {
        th_path_fail(&r->path, TH_BAD_VALUE, "%s of <%s> is %g; it may not be negative", name,
                     e->name, px);
    }
    return px;
}

/* ---- what is inherited ----------------------------------------------------------------------- */

static void inherit_paint(const element *e, const char *name, bool *painted) {
    char word[WORD];

    if (property(e, name, word) && !is(word, "inherit")) {
        *painted = !is(word, "none") && !is(word, "transparent");
    }
}

static void inherit_rule(reader *r, const element *e, level *l) {
    char word[WORD], shown[40];

    if (!property(e, "fill-rule", word) || is(word, "inherit")) {
        return;
    }
    if (is(word, "evenodd")) {
        l->rule = TH_EVENODD;
    } else if (is(word, "nonzero")) {
        l->rule = TH_NONZERO;
    } else {
        th_path_fail(&r->path, TH_BAD_VALUE, "fill-rule is \"%s\"; write nonzero or evenodd",
                     th_svg_shown(word, strlen(word), shown));
    }
}

/* What would change the shape in ways that are not followed here. */
static void refuse_reshaping(reader *r, const element *e) {
    static const char *const anywhere[] = {"clip-path", "mask", "transform-origin"};
    static const char *const in_style[] = {"transform", "rotate", "scale", "translate", "d"};
    char word[WORD];

    for (size_t i = 0; i < sizeof anywhere / sizeof *anywhere; i++) {
        if (property(e, anywhere[i], word) && !is(word, "none")) {
            th_path_fail(&r->path, TH_BAD_VALUE,
                         "%s of <%s> is not followed; apply it to the path and remove it",
                         anywhere[i], e->name);
        }
    }
    for (size_t i = 0; i < sizeof in_style / sizeof *in_style; i++) {
        if (styled(e->style, in_style[i], word) && !is(word, "none")) {
            th_path_fail(&r->path, TH_BAD_VALUE,
                         "%s in the style of <%s> is not followed; write it as an attribute",
                         in_style[i], e->name);
        }
    }
}

static level inherit(reader *r, const element *e) {
    level l = r->levels[r->depth - 1];
    const char *transform = attribute(e, "transform");
    char word[WORD], shown[40];
    th_affine m;

    inherit_paint(e, "fill", &l.fill);
    inherit_paint(e, "stroke", &l.stroke);
    inherit_rule(r, e, &l);
    if (property(e, "visibility", word) && !is(word, "inherit")) {
        l.visible = is(word, "visible");
    }
    refuse_reshaping(r, e);
    if (transform) {
        if (th_svg_transform(transform, &m)) {
            l.affine = th_affine_of(l.affine, m);
        } else {
            th_path_fail(&r->path, TH_BAD_SYNTAX,
                         "transform \"%s\" cannot be read; write e.g. translate(10 5) rotate(30)",
                         th_svg_shown(transform, strlen(transform), shown));
        }
    }
    return l;
}

/* ---- svg elements: viewport and view box ----------------------------------------------------- */

typedef struct {
    double x, y, width, height;
} frame;

static bool view_box(reader *r, const element *e, frame *box) {
    const char *text = attribute(e, "viewBox");
    svg_text t;

    if (!text) {
        return false;
    }
    t = th_svg_text_of(text);
    th_svg_blanks(&t);
    if (!th_svg_number(&t, &box->x) || !th_svg_number(&t, &box->y) ||
        !th_svg_number(&t, &box->width) || !th_svg_number(&t, &box->height) || t.p != t.end ||
        !(box->width > 0) || !(box->height > 0) || !isfinite(box->width) ||
        !isfinite(box->height)) {
        char shown[40];
        th_path_fail(&r->path, TH_BAD_VALUE,
                     "viewBox is \"%s\"; write x y width height, the last two above 0",
                     th_svg_shown(text, strlen(text), shown));
        return false;
    }
    return true;
}

/* Share of the spare room along one axis that goes before the picture, from "xMidYMid" and the
 * like. */
static double aligned(const char *text, char axis) {
    for (const char *p = text; *p != '\0'; p++) {
        if (*p == axis && strncmp(p + 1, "Min", 3) == 0) {
            return 0;
        }
        if (*p == axis && strncmp(p + 1, "Max", 3) == 0) {
            return 1;
        }
    }
    return 0.5;
}

static th_affine fit(const element *e, frame box, frame port) {
    const char *ratio = attribute(e, "preserveAspectRatio");
    double sx = port.width / box.width, sy = port.height / box.height;
    double ax = ratio ? aligned(ratio, 'x') : 0.5, ay = ratio ? aligned(ratio, 'Y') : 0.5;

    if (!ratio || !strstr(ratio, "none")) {
        sx = sy = ratio && strstr(ratio, "slice") ? fmax(sx, sy) : fmin(sx, sy);
    }
    return (th_affine){.a = sx,
                       .d = sy,
                       .e = port.x - box.x * sx + ax * (port.width - box.width * sx),
                       .f = port.y - box.y * sy + ay * (port.height - box.height * sy)};
}

/* Width or height of the whole drawing; 0 when the file does not say. */
static double page_side(reader *r, const element *e, const char *name) {
    char word[WORD];

    if (property(e, name, word) && strchr(word, '%')) {
        return 0;
    }
    return size_of(r, e, name, 0, 0);
}

static frame page(reader *r, const element *e, const frame *box) {
    frame port = {0, 0, page_side(r, e, "width"), page_side(r, e, "height")};

    if (box && port.width == 0 && port.height == 0) {
        port.width = box->width;
        port.height = box->height;
    } else if (box && port.width == 0) {
        port.width = port.height * box->width / box->height;
    } else if (box && port.height == 0) {
        port.height = port.width * box->height / box->width;
    }
    return port;
}

static void enter_svg(reader *r, const element *e, level *l, bool outermost) {
    frame box = {0}, port;
    bool boxed = view_box(r, e, &box);

    if (outermost) {
        port = page(r, e, boxed ? &box : NULL);
    } else {
        port.x = length(r, e, "x", l->width, 0);
        port.y = length(r, e, "y", l->height, 0);
        port.width = size_of(r, e, "width", l->width, l->width);
        port.height = size_of(r, e, "height", l->height, l->height);
    }
    if (boxed && port.width > 0 && port.height > 0) {
        l->affine = th_affine_of(l->affine, fit(e, box, port));
        l->width = box.width;
        l->height = box.height;
    } else {
        l->affine = th_affine_of(l->affine, (th_affine){1, 0, 0, 1, port.x, port.y});
        l->width = port.width;
        l->height = port.height;
    }
}

/* ---- shapes ---------------------------------------------------------------------------------- */

static void draw_rect(reader *r, const element *e, const level *l) {
    th_box box = {.x = length(r, e, "x", l->width, 0), .y = length(r, e, "y", l->height, 0)};

    box.length = size_of(r, e, "width", l->width, 0);
    box.width = size_of(r, e, "height", l->height, 0);
    box.rx = size_of(r, e, "rx", l->width, NAN);
    box.ry = size_of(r, e, "ry", l->height, NAN);
    box.rx = isnan(box.rx) ? (isnan(box.ry) ? 0 : box.ry) : box.rx;
    box.ry = isnan(box.ry) ? box.rx : box.ry;
    if (box.length > 0 && box.width > 0) {
        th_path_box(&r->path, &box);
    }
}

static void draw_ellipse(reader *r, const element *e, const level *l) {
    th_point centre = {length(r, e, "cx", l->width, 0), length(r, e, "cy", l->height, 0)};
    double rx, ry;

    if (strcmp(e->name, "circle") == 0) {
        double diagonal = sqrt((l->width * l->width + l->height * l->height) / 2);
        rx = ry = size_of(r, e, "r", diagonal, 0);
    } else {
        rx = size_of(r, e, "rx", l->width, NAN);
        ry = size_of(r, e, "ry", l->height, NAN);
        rx = isnan(rx) ? ry : rx;
        ry = isnan(ry) ? rx : ry;
    }
    if (rx > 0 && ry > 0) {
        th_path_ellipse(&r->path, centre, rx, ry);
    }
}

static void draw_line(reader *r, const element *e, const level *l) {
    th_point from = {length(r, e, "x1", l->width, 0), length(r, e, "y1", l->height, 0)};
    th_point to = {length(r, e, "x2", l->width, 0), length(r, e, "y2", l->height, 0)};

    /* A line has nothing to fill, so only its stroke is seen. */
    if (l->stroke) {
        th_path_move(&r->path, from);
        th_path_line(&r->path, to);
    }
}

static void draw_polyline(reader *r, const element *e, const level *l) {
    const char *points = attribute(e, "points");

    (void)l;
    if (points) {
        th_svg_points(points, strcmp(e->name, "polygon") == 0, &r->path);
    }
}

static void draw_path(reader *r, const element *e, const level *l) {
    const char *d = attribute(e, "d");

    (void)l;
    if (d) {
        th_svg_path(d, &r->path);
    }
}

typedef void draw_function(reader *r, const element *e, const level *l);

static draw_function *shape_named(const char *name) {
    static const struct {
        const char *name;
        draw_function *draw;
    } shapes[] = {
        {"rect", draw_rect}, {"circle", draw_ellipse},    {"ellipse", draw_ellipse},
        {"line", draw_line}, {"polyline", draw_polyline}, {"polygon", draw_polyline},
        {"path", draw_path},
    };

    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        if (strcmp(name, shapes[i].name) == 0) {
            return shapes[i].draw;
        }
    }
    return NULL;
}

/* With a stroke alone every line is seen, so every ring of the element is an edge. */
static void draw(reader *r, const element *e, const level *l, draw_function *shape) {
    if (l->visible && (l->fill || l->stroke)) {
        th_path_shape(&r->path, l->fill ? (th_fill_rule)l->rule : TH_EVENODD, r->path.line);
        r->path.affine = l->affine;
        shape(r, e, l);
    }
}

/* ---- elements -------------------------------------------------------------------------------- */

static bool listed(const char *name, const char *const *names) {
    for (size_t i = 0; names[i]; i++) {
        if (strcmp(name, names[i]) == 0) {
            return true;
        }
    }
    return false;
}

static bool refuse_element(reader *r, const char *name) {
    static const char *const refused[] = {"use",    "text",  "image", "foreignObject",
                                          "switch", "video", NULL};

    if (!listed(name, refused)) {
        return false;
    }
    if (strcmp(name, "use") == 0) {
        th_path_fail(&r->path, TH_BAD_VALUE,
                     "<use> is not followed; replace clones by copies of the path itself");
    } else {
        th_path_fail(&r->path, TH_BAD_VALUE,
                     "<%s> is not an outline; turn it into a path or remove it", name);
    }
    return true;
}

static void enter(reader *r, const element *e) {
    static const char *const groups[] = {"g", "a", "svg", NULL};
    draw_function *shape = shape_named(e->name);
    bool group = listed(e->name, groups);
    char word[WORD];
    level l;

    if ((property(e, "display", word) && is(word, "none")) || (!group && !shape)) {
        r->in_style = strcmp(e->name, "style") == 0;
        r->skipped = r->in_style || !refuse_element(r, e->name) ? 1 : 0;
        return;
    }
    if (r->depth == DEEPEST) {
        th_path_fail(&r->path, TH_BAD_RANGE, "elements lie more than %d deep in one another",
                     DEEPEST - 1);
        return;
    }
    l = inherit(r, e);
    if (strcmp(e->name, "svg") == 0) {
        enter_svg(r, e, &l, r->depth == 1);
    }
    if (shape && !r->path.failed) {
        draw(r, e, &l, shape);
    }
    r->levels[r->depth++] = l;
}

static void stop_if_failed(reader *r) {
    if (r->path.failed) {
        XML_StopParser(r->parser, XML_FALSE);
    }
}

static void XMLCALL on_start(void *user, const XML_Char *name, const XML_Char **attributes) {
    reader *r = user;
    const char *bar = strrchr(name, '|');
    bool foreign = bar && ((size_t)(bar - name) != strlen(SVG_NAMESPACE) ||
                           strncmp(name, SVG_NAMESPACE, strlen(SVG_NAMESPACE)) != 0);
    element e = {.name = bar ? bar + 1 : name, .attributes = attributes};

    if (r->path.failed) {
        return;
    }
    if (r->skipped > 0) {
        r->skipped++;
        return;
    }
    r->path.line = (int)XML_GetCurrentLineNumber(r->parser);
    e.style = attribute(&e, "style");
    if (r->depth == 1 && (foreign || strcmp(e.name, "svg") != 0)) {
        th_path_fail(&r->path, TH_BAD_SYNTAX, "this is no SVG: its first element is not <svg>");
    } else if (foreign) {
        r->skipped = 1;
    } else {
        enter(r, &e);
    }
    stop_if_failed(r);
}

static bool mentions(const char *text, const char *word) {
    size_t n = strlen(word), size = strlen(text);

    for (size_t i = 0; i + n <= size; i++) {
        if (th_scan_word(text + i, n, word)) {
            return true;
        }
    }
    return false;
}

/* Style sheets are not applied, so one that decides what is seen or how it lies is refused. "none"
 * takes away fill, stroke or display. */
static void check_style_sheet(reader *r) {
    static const char *const deciding[] = {"none", "display", "visibility", "fill-rule",
                                           "clip", "mask",    "transform",  "transparent"};

    for (size_t i = 0; r->style.data && i < sizeof deciding / sizeof *deciding; i++) {
        if (mentions(r->style.data, deciding[i])) {
            th_path_fail(&r->path, TH_BAD_VALUE,
                         "the style sheet says \"%s\", but style sheets are not applied; save the "
                         "drawing with attributes instead of a style sheet",
                         deciding[i]);
        }
    }
    if (r->style.failed) {
        th_path_fail(&r->path, TH_NO_MEMORY, "%s", th_status_text(TH_NO_MEMORY));
    }
    th_text_free(&r->style);
    r->in_style = false;
}

static void XMLCALL on_end(void *user, const XML_Char *name) {
    reader *r = user;

    (void)name;
    if (r->path.failed) {
        return;
    }
    if (r->skipped > 0) {
        r->skipped--;
        if (r->in_style && r->skipped == 0) {
            check_style_sheet(r);
            stop_if_failed(r);
        }
    } else {
        r->depth--;
    }
}

static void XMLCALL on_text(void *user, const XML_Char *text, int size) {
    reader *r = user;

    if (r->in_style) {
        th_text_put_n(&r->style, text, (size_t)size);
    }
}

/* Entities and default attributes declared in the file could blow it up without bound. */
static void XMLCALL on_doctype(void *user, const XML_Char *name, const XML_Char *system,
                               const XML_Char *public, int internal) {
    reader *r = user;

    (void)name;
    (void)system;
    (void)public;
    if (internal) {
        r->path.line = (int)XML_GetCurrentLineNumber(r->parser);
        th_path_fail(&r->path, TH_BAD_VALUE,
                     "the document type declares entities or defaults of its own, which is not "
                     "followed; save the drawing as plain SVG");
        stop_if_failed(r);
    }
}

static bool parse(reader *r, const char *text, size_t size) {
    XML_SetUserData(r->parser, r);
    XML_SetElementHandler(r->parser, on_start, on_end);
    XML_SetCharacterDataHandler(r->parser, on_text);
    XML_SetStartDoctypeDeclHandler(r->parser, on_doctype);
    if (XML_Parse(r->parser, text, (int)size, XML_TRUE) == XML_STATUS_OK || r->path.failed) {
        return !r->path.failed;
    }
    r->path.line = (int)XML_GetCurrentLineNumber(r->parser);
    if (XML_GetErrorCode(r->parser) == XML_ERROR_NO_MEMORY) {
        th_path_fail(&r->path, TH_NO_MEMORY, "%s", th_status_text(TH_NO_MEMORY));
    }
    th_path_fail(&r->path, TH_BAD_SYNTAX, "the SVG cannot be read: %s",
                 XML_ErrorString(XML_GetErrorCode(r->parser)));
    return false;
}

bool th_outline_svg(const char *text, size_t size, const char *name, th_outline *outline,
                    th_error *err) {
    reader r = {.path = th_path_new(0), .depth = 1};
    bool done;

    *outline = (th_outline){0};
    if (size > TH_OUTLINE_SIZE_MAX) {
        return th_fail_at(err, TH_BAD_FILE, name, 0, "the file is larger than %d MiB",
                          TH_OUTLINE_SIZE_MAX / (1024 * 1024));
    }
    /* y is turned over: on the screen it runs down, on the machine away from the operator. */
    r.levels[0] = (level){.affine = {MM_PER_PX, 0, 0, -MM_PER_PX, 0, 0},
                          .fill = true,
                          .visible = true,
                          .rule = TH_NONZERO};
    r.parser = XML_ParserCreateNS(NULL, '|');
    if (!r.parser) {
        return th_fail_memory(err);
    }
    parse(&r, text, size);
    done = th_path_finish(&r.path, outline, err) || th_fail_place(err, name, 0);
    XML_ParserFree(r.parser);
    th_text_free(&r.style);
    th_path_free(&r.path);
    return done;
}
