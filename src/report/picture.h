/* picture.h - inside report/: a small writer of SVG (SVG 1.1), and what the pictures share.
 *
 * Lengths are px of the picture's own view box, y down; a picture 680 px wide shown across the 180
 * mm between the margins of an A4 page shows 1 px as 1/96 in, so a text of 11 px is 8.25 points
 * there. No style sheet and no script: what a mark looks like stands on it, so that several
 * pictures in one page cannot touch one another.
 */
#ifndef TACKHOLD_REPORT_PICTURE_H
#define TACKHOLD_REPORT_PICTURE_H

#include "tackhold/report.h"

enum { TH_SVG_WIDE = 680 }; /* of a picture that fills the page's width (px) */
#define TH_SVG_TEXT 13.0    /* usual size of text (px) */
#define TH_SVG_SMALL 11.5   /* least size of text (px) */
#define TH_SVG_HEADING 15.0 /* (px) */

/* Inks: contrast against white in brackets (WCAG 2.1: text 4.5, strokes 3). */
#define TH_INK "#1b1b1b"        /* (17) text, main lines */
#define TH_INK_SOFT "#4a4a4a"   /* (8.9) text beside, axes */
#define TH_INK_FAINT "#767676"  /* (4.5) lines that stand back */
#define TH_INK_BLUE "#0b4f8a"   /* (8.4) the cutter and what it does */
#define TH_INK_RUST "#8a3200"   /* (8.6) the one mark that must be found */
#define TH_FILL_METAL "#d9dde1" /* behind text in TH_INK */
#define TH_FILL_TAPE "#f0dfb2"
#define TH_FILL_GLUE "#b9cfe4"
#define TH_FILL_PLATE "#ebe7e0"

typedef struct {
    th_text *text;
    const char *prefix; /* of every id */
    bool drawn;         /* the path that is open has points */
    bool failed;        /* a coordinate was no number, or a group was not closed */
    int depth;          /* open groups */
} th_svg;

typedef struct {
    const char *prefix; /* letters, digits, '-': "part" gives ids "part-title" ... */
    double width, height;
    const char *title; /* short; escaped */
    const char *about; /* what a reader who cannot see it must know; escaped */
} th_svg_head;

/* Text for SVG and HTML alike, attributes too: marks escaped, what is no UTF-8 becomes U+FFFD,
 * control characters '?'. NULL is none. */
void th_svg_escape(th_text *text, const char *words);

/* A whole <svg> element, usable as a file and inside HTML. th_svg_end: errors TH_NO_MEMORY,
 * TH_NOT_SOLVED where a coordinate was no number. */
th_svg th_svg_begin(th_text *text, const th_svg_head *head);
bool th_svg_end(th_svg *svg, th_error *err);

/* How a mark looks: NULL is none; a width of 0 is 1 px. */
typedef struct {
    const char *fill, *stroke;
    double width;
    const char *dash; /* "4 3" */
    bool round;       /* ends and joints of lines */
} th_svg_paint;

/* A group; `label`, if not NULL, becomes its <title>. */
void th_svg_open(th_svg *svg, const char *label);
void th_svg_close(th_svg *svg);

void th_svg_line(th_svg *svg, const th_svg_paint *paint, th_point from, th_point to);
void th_svg_box(th_svg *svg, const th_svg_paint *paint, const th_box *box); /* x, y upper left */
void th_svg_circle(th_svg *svg, const th_svg_paint *paint, th_point centre, double radius);
/* An arrow whose tip is `to`; in the ink of the stroke. */
void th_svg_arrow(th_svg *svg, const th_svg_paint *paint, th_point from, th_point to);

/* A path, filled by the even-odd rule. */
void th_svg_trace(th_svg *svg);
void th_svg_move(th_svg *svg, th_point to);
void th_svg_to(th_svg *svg, th_point to);
void th_svg_bend(th_svg *svg, th_point control, th_point to); /* quadratic */
void th_svg_shut(th_svg *svg);                                /* closes the subpath */
void th_svg_draw(th_svg *svg, const th_svg_paint *paint);

/* A clip of the points in between, named "PREFIX-name", and a group that it cuts. */
void th_svg_clip(th_svg *svg, const char *name);
void th_svg_clip_end(th_svg *svg);
void th_svg_open_clipped(th_svg *svg, const char *name);

/* A pattern of lines `gap` px apart, named "PREFIX-name", for fills "url(#PREFIX-name)". */
typedef struct {
    const char *name, *ground, *stroke; /* ground NULL: transparent */
    double gap, width, turn;            /* turn: of the lines from the horizontal (deg) */
} th_svg_hatch;
void th_svg_pattern(th_svg *svg, const th_svg_hatch *hatch);

typedef enum { TH_SVG_LEFT, TH_SVG_MIDDLE, TH_SVG_RIGHT } th_svg_anchor;
typedef struct {
    double size;      /* px; 0: TH_SVG_TEXT */
    int anchor;       /* th_svg_anchor: which end of the text stands at its place */
    const char *fill; /* NULL: TH_INK */
    bool bold;
    bool halo;   /* a rim of white round the letters, for text over marks */
    double turn; /* clockwise (deg) */
} th_svg_font;
/* The baseline stands at `at`. Escaped; what is no UTF-8 becomes U+FFFD, control characters '?'. */
void th_svg_words(th_svg *svg, const th_svg_font *font, th_point at, const char *format, ...)
    TH_PRINTF(4, 5);
/* How wide a text gets at most, in the wider of the usual sans-serif faces (px). */
double th_svg_width(const char *text, double size, bool bold);
/* As many of its first bytes as fit into `room` px: whole words if there is one, whole characters.
 */
size_t th_svg_fit(const char *text, double size, double room);

/* Lines of a text broken to `room`: how many, and written from the baseline `at` on, `step` apart.
 */
size_t th_svg_lines(const char *text, double size, double room);
void th_svg_paragraph(th_svg *svg, const th_svg_font *font, th_point at, double room, double step,
                      const char *text);

/* Moves places (px, rising) apart to at least `gap` from one another, each as little as that takes,
 * all of them between `least` and `most` if they fit. */
void th_svg_spread(double *places, size_t count, double gap, const double bounds[2]);

/* Round values 1, 2 or 5 x 10^n for an axis from `from` to `to`, about `most` of them: the step. */
double th_svg_step(double from, double to, int most);

#endif
