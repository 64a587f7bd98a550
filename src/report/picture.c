/* picture.c - the writer of SVG that the pictures share. */
#include "picture.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "utf8.h"

/* How much wider bold type is. */
#define BOLD 1.12

/* ---- numbers and text ------------------------------------------------------------------------ */

/* Hundredths of a px at most; written from whole numbers, so that no locale has a say. `finest`: 1,
 * or 10 for tenths. */
static void put_rounded(th_svg *svg, double value, int finest) {
    char text[32];
    long long hundredths;
    bool below;
    int last;

    if (!isfinite(value) || fabs(value) > 1e6) {
        svg->failed = true;
        value = 0;
    }
    hundredths = llround(value * 100 / finest) * finest;
    below = hundredths < 0;
    hundredths = below ? -hundredths : hundredths;
    last = snprintf(text, sizeof text, "%s%lld.%02d", below ? "-" : "", hundredths / 100,
                    (int)(hundredths % 100));
    while (text[last - 1] == '0') {
        text[--last] = '\0';
    }
    if (text[last - 1] == '.') {
        text[--last] = '\0';
    }
    th_text_put(svg->text, text);
}

static void put_number(th_svg *svg, double value) {
    put_rounded(svg, value, 1);
}

static void put_attribute(th_svg *svg, const char *name, double value) {
    th_text_add(svg->text, " %s=\"", name);
    put_number(svg, value);
    th_text_put(svg->text, "\"");
}

/* Places: a tenth of a px is less than the eye tells. */
static void put_pair(th_svg *svg, double x, double y) {
    put_rounded(svg, x, 10);
    th_text_put(svg->text, " ");
    put_rounded(svg, y, 10);
}

/* U+FFFE and U+FFFF are UTF-8 but no characters of XML. */
static bool no_character(const char *text) {
    return memcmp(text, "\xEF\xBF\xBE", 3) == 0 || memcmp(text, "\xEF\xBF\xBF", 3) == 0;
}

static void put_ascii(th_text *text, char byte) {
    static const char *const names[][2] = {
        {"&", "&amp;"}, {"<", "&lt;"}, {">", "&gt;"}, {"\"", "&quot;"}};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        if (names[i][0][0] == byte) {
            th_text_put(text, names[i][1]);
            return;
        }
    }
    th_text_put_n(text, (unsigned char)byte < 0x20 || byte == 0x7f ? "?" : &byte, 1);
}

void th_svg_escape(th_text *text, const char *words) {
    while (words && *words) {
        size_t length = th_utf8_length(words);
        if (length == 1) {
            put_ascii(text, *words);
        } else if (length == 0 || (length == 3 && no_character(words))) {
            th_text_put(text, "\xEF\xBF\xBD"); /* U+FFFD */
        } else {
            th_text_put_n(text, words, length);
        }
        words += length == 0 ? 1 : length;
    }
}

/* ---- the whole ------------------------------------------------------------------------------- */

th_svg th_svg_begin(th_text *text, const th_svg_head *head) {
    th_svg svg = {.text = text, .prefix = head->prefix};

    th_text_put(text, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 ");
    put_pair(&svg, head->width, head->height);
    th_text_put(text, "\"");
    put_attribute(&svg, "width", head->width);
    put_attribute(&svg, "height", head->height);
    th_text_add(text,
                " role=\"img\" aria-labelledby=\"%s-title %s-about\" font-family=\"sans-serif\" "
                "style=\"max-width:100%%;height:auto\">\n<title id=\"%s-title\">",
                head->prefix, head->prefix, head->prefix);
    th_svg_escape(text, head->title);
    th_text_add(text, "</title>\n<desc id=\"%s-about\">", head->prefix);
    th_svg_escape(text, head->about);
    th_text_put(text, "</desc>\n<rect");
    put_attribute(&svg, "width", head->width);
    put_attribute(&svg, "height", head->height);
    th_text_put(text, " fill=\"#fff\"/>\n");
    return svg;
}

bool th_svg_end(th_svg *svg, th_error *err) {
    th_text_put(svg->text, "</svg>\n");
    if (svg->text->failed) {
        return th_fail_memory(err);
    }
    if (svg->failed || svg->depth != 0) {
        return th_fail(err, TH_NOT_SOLVED, "a picture has a coordinate that is not a number");
    }
    return true;
}

void th_svg_open(th_svg *svg, const char *label) {
    th_text_put(svg->text, "<g>");
    if (label) {
        th_text_put(svg->text, "<title>");
        th_svg_escape(svg->text, label);
        th_text_put(svg->text, "</title>");
    }
    th_text_put(svg->text, "\n");
    svg->depth++;
}

void th_svg_close(th_svg *svg) {
    th_text_put(svg->text, "</g>\n");
    svg->depth--;
}

/* ---- marks ----------------------------------------------------------------------------------- */

static void put_paint(th_svg *svg, const th_svg_paint *paint) {
    th_text_add(svg->text, " fill=\"%s\"", paint->fill ? paint->fill : "none");
    if (paint->stroke) {
        th_text_add(svg->text, " stroke=\"%s\"", paint->stroke);
        if (paint->width > 0) {
            put_attribute(svg, "stroke-width", paint->width);
        }
        if (paint->dash) {
            th_text_add(svg->text, " stroke-dasharray=\"%s\"", paint->dash);
        }
        if (paint->round) {
            th_text_put(svg->text, " stroke-linecap=\"round\" stroke-linejoin=\"round\"");
        }
    }
    th_text_put(svg->text, "/>\n");
}

void th_svg_line(th_svg *svg, const th_svg_paint *paint, th_point from, th_point to) {
    th_svg_trace(svg);
    th_svg_move(svg, from);
    th_svg_to(svg, to);
    th_svg_draw(svg, paint);
}

void th_svg_box(th_svg *svg, const th_svg_paint *paint, const th_box *box) {
    th_text_put(svg->text, "<rect");
    put_attribute(svg, "x", box->x);
    put_attribute(svg, "y", box->y);
    put_attribute(svg, "width", box->length);
    put_attribute(svg, "height", box->width);
    if (box->rx > 0) {
        put_attribute(svg, "rx", box->rx);
    }
    put_paint(svg, paint);
}

void th_svg_circle(th_svg *svg, const th_svg_paint *paint, th_point centre, double radius) {
    th_text_put(svg->text, "<circle");
    put_attribute(svg, "cx", centre.x);
    put_attribute(svg, "cy", centre.y);
    put_attribute(svg, "r", radius);
    put_paint(svg, paint);
}

void th_svg_arrow(th_svg *svg, const th_svg_paint *paint, th_point from, th_point to) {
    double length = hypot(to.x - from.x, to.y - from.y);
    double tip = fmin(5 + 2 * fmax(paint->width, 1), length);
    th_svg_paint head = {.fill = paint->stroke};
    th_point along, neck;

    if (!(length > 0)) {
        return;
    }
    along = (th_point){(to.x - from.x) / length, (to.y - from.y) / length};
    neck = (th_point){to.x - tip * along.x, to.y - tip * along.y};
    th_svg_line(svg, paint, from, neck);
    th_svg_trace(svg);
    th_svg_move(svg, to);
    th_svg_to(svg, (th_point){neck.x - 0.4 * tip * along.y, neck.y + 0.4 * tip * along.x});
    th_svg_to(svg, (th_point){neck.x + 0.4 * tip * along.y, neck.y - 0.4 * tip * along.x});
    th_svg_shut(svg);
    th_svg_draw(svg, &head);
}

void th_svg_trace(th_svg *svg) {
    th_text_put(svg->text, "<path fill-rule=\"evenodd\" d=\"");
    svg->drawn = false;
}

void th_svg_move(th_svg *svg, th_point to) {
    th_text_put(svg->text, "M");
    put_pair(svg, to.x, to.y);
    svg->drawn = true;
}

void th_svg_to(th_svg *svg, th_point to) {
    svg->failed = svg->failed || !svg->drawn;
    th_text_put(svg->text, "L");
    put_pair(svg, to.x, to.y);
}

void th_svg_bend(th_svg *svg, th_point control, th_point to) {
    svg->failed = svg->failed || !svg->drawn;
    th_text_put(svg->text, "Q");
    put_pair(svg, control.x, control.y);
    th_text_put(svg->text, " ");
    put_pair(svg, to.x, to.y);
}

void th_svg_shut(th_svg *svg) {
    th_text_put(svg->text, "Z");
}

void th_svg_draw(th_svg *svg, const th_svg_paint *paint) {
    th_text_put(svg->text, "\"");
    put_paint(svg, paint);
}

void th_svg_clip(th_svg *svg, const char *name) {
    th_text_add(svg->text, "<clipPath id=\"%s-%s\"><path clip-rule=\"evenodd\" d=\"", svg->prefix,
                name);
    svg->drawn = false;
}

void th_svg_clip_end(th_svg *svg) {
    th_text_put(svg->text, "\"/></clipPath>\n");
}

void th_svg_open_clipped(th_svg *svg, const char *name) {
    th_text_add(svg->text, "<g clip-path=\"url(#%s-%s)\">\n", svg->prefix, name);
    svg->depth++;
}

void th_svg_pattern(th_svg *svg, const th_svg_hatch *hatch) {
    th_text_add(svg->text, "<pattern id=\"%s-%s\" patternUnits=\"userSpaceOnUse\"", svg->prefix,
                hatch->name);
    put_attribute(svg, "width", hatch->gap);
    put_attribute(svg, "height", hatch->gap);
    th_text_put(svg->text, " patternTransform=\"rotate(");
    put_number(svg, hatch->turn);
    th_text_put(svg->text, ")\">");
    if (hatch->ground) {
        th_text_put(svg->text, "<rect");
        put_attribute(svg, "width", hatch->gap);
        put_attribute(svg, "height", hatch->gap);
        th_text_add(svg->text, " fill=\"%s\"/>", hatch->ground);
    }
    th_text_put(svg->text, "<path d=\"M0 ");
    put_number(svg, hatch->gap / 2);
    th_text_put(svg->text, "H");
    put_number(svg, hatch->gap);
    th_text_add(svg->text, "\" stroke=\"%s\"", hatch->stroke);
    put_attribute(svg, "stroke-width", hatch->width);
    th_text_put(svg->text, "/></pattern>\n");
}

/* ---- words ----------------------------------------------------------------------------------- */

static void put_words(th_svg *svg, const th_svg_font *font, th_point at, const char *words) {
    static const char *const anchors[] = {NULL, "middle", "end"};

    th_text_put(svg->text, "<text");
    put_attribute(svg, "x", at.x);
    put_attribute(svg, "y", at.y);
    put_attribute(svg, "font-size", font->size > 0 ? font->size : TH_SVG_TEXT);
    if (anchors[font->anchor]) {
        th_text_add(svg->text, " text-anchor=\"%s\"", anchors[font->anchor]);
    }
    th_text_add(svg->text, " fill=\"%s\"", font->fill ? font->fill : TH_INK);
    if (font->bold) {
        th_text_put(svg->text, " font-weight=\"bold\"");
    }
    if (font->halo) {
        th_text_put(svg->text, " stroke=\"#fff\" stroke-width=\"4\" stroke-linejoin=\"round\" "
                               "paint-order=\"stroke\"");
    }
    if (font->turn < 0 || font->turn > 0) {
        th_text_put(svg->text, " transform=\"rotate(");
        put_number(svg, font->turn);
        th_text_put(svg->text, " ");
        put_pair(svg, at.x, at.y);
        th_text_put(svg->text, ")\"");
    }
    th_text_put(svg->text, ">");
    th_svg_escape(svg->text, words);
    th_text_put(svg->text, "</text>\n");
}

void th_svg_words(th_svg *svg, const th_svg_font *font, th_point at, const char *format, ...) {
    char brief[256], *words = brief;
    va_list arguments;
    int length;

    va_start(arguments, format);
    length = th_vprint(brief, sizeof brief, format, arguments);
    va_end(arguments);
    if (length >= (int)sizeof brief) {
        words = malloc((size_t)length + 1);
    }
    if (length < 0 || !words) {
        svg->text->failed = true;
        return;
    }
    if (words != brief) {
        va_start(arguments, format);
        th_vprint(words, (size_t)length + 1, format, arguments);
        va_end(arguments);
    }
    put_words(svg, font, at, words);
    if (words != brief) {
        free(words);
    }
}

/* Advance of a character over the size of the type: upper values of the usual faces. */
static double advance(const char *at, size_t length) {
    if (length != 1) {
        return length == 3 ? 1.0 : 0.68; /* three bytes: wide scripts among them */
    }
    if (strchr("iljI.,:;'|! ", *at)) {
        return 0.33;
    }
    if (strchr("tfr()[]-/", *at)) {
        return 0.42;
    }
    if (strchr("mwMW%@", *at)) {
        return 1.0;
    }
    return *at >= 'A' && *at <= 'Z' ? 0.74 : 0.61;
}

double th_svg_width(const char *text, double size, bool bold) {
    double width = 0;

    while (*text) {
        size_t length = th_utf8_length(text);
        length = length ? length : 1;
        width += advance(text, length);
        text += length;
    }
    return width * size * (bold ? BOLD : 1);
}

size_t th_svg_fit(const char *text, double size, double room) {
    size_t fits = 0, word = 0;
    double width = 0;

    while (text[fits]) {
        size_t length = th_utf8_length(text + fits);
        length = length ? length : 1;
        width += advance(text + fits, length) * size;
        if (width > room) {
            return word ? word : fits;
        }
        if (text[fits] == ' ') {
            word = fits;
        }
        fits += length;
    }
    return fits;
}

size_t th_svg_lines(const char *text, double size, double room) {
    size_t lines = 0;

    while (*text) {
        size_t fits = th_svg_fit(text, size, room);
        text += fits ? fits : 1;
        text += *text == ' ';
        lines++;
    }
    return lines;
}

void th_svg_paragraph(th_svg *svg, const th_svg_font *font, th_point at, double room, double step,
                      const char *text) {
    double size = (font->size > 0 ? font->size : TH_SVG_TEXT) * (font->bold ? BOLD : 1);

    while (*text) {
        size_t fits = th_svg_fit(text, size, room);
        fits = fits ? fits : 1;
        th_svg_words(svg, font, at, "%.*s", (int)fits, text);
        text += fits;
        text += *text == ' ';
        at.y += step;
    }
}

/* ---- places and scales ----------------------------------------------------------------------- */

/* Pool of neighbours that push one another: the mean of what its members want stays its mean. */
void th_svg_spread(double *places, size_t count, double gap, const double bounds[2]) {
    double excess;

    for (size_t round = 0; round < 200; round++) {
        bool moved = false;
        for (size_t i = 1; i < count; i++) {
            double lack = gap - (places[i] - places[i - 1]);
            if (lack > 1e-6) {
                places[i - 1] -= lack / 2;
                places[i] += lack / 2;
                moved = true;
            }
        }
        if (!moved) {
            break;
        }
    }
    for (size_t i = 0; i < count; i++) { /* whatever is still too near, and the lower bound */
        places[i] = fmax(places[i], i ? places[i - 1] + gap : bounds[0]);
    }
    excess = count ? places[count - 1] - bounds[1] : 0;
    for (size_t i = count; excess > 0 && i > 0; i--) {
        double most = i == count ? bounds[1] : places[i] - gap;
        places[i - 1] = fmin(places[i - 1], most);
    }
}

double th_svg_step(double from, double to, int most) {
    double raw = (to - from) / (most > 0 ? most : 1), unit;

    if (!(raw > 0) || !isfinite(raw)) {
        return 1;
    }
    unit = pow(10, floor(log10(raw)));
    return raw <= 1.0001 * unit   ? unit
           : raw <= 2.0001 * unit ? 2 * unit
           : raw <= 5.0001 * unit ? 5 * unit
                                  : 10 * unit;
}
