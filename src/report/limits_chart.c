/* The chart of limits: radial engagement to the right, axial upwards in equal ratios. */
#include <math.h>
#include <string.h>

#include "limits.h"
#include "words.h"

enum {
    ROWS = 10,
    CELL = 4,
    COLUMNS_MOST = 16,
    LINE_ROOM = CELL * COLUMNS_MOST + 1,
    LABEL_LEAST = 6,
    LINE_MOST = 80,
    INCH_DECIMALS = 4,
    INCH_DECIMALS_MOST = 7
};

/* Rows closer than this ratio would say nothing. */
#define LEAST_STEP 1.08

/* Radial engagements no farther apart are the same. */
#define SAME_RADIAL 1e-4

static const struct {
    char letter;
    const char *words;
} limiters[TH_LIMITERS] = {
    [TH_BY_BOND] = {'B', "bond"},
    [TH_BY_SPINDLE_POWER] = {'P', "spindle power"},
    [TH_BY_SPINDLE_TORQUE] = {'T', "spindle torque"},
    [TH_BY_DEFLECTION] = {'D', "deflection"},
    [TH_BY_BREAKAGE] = {'K', "breakage"},
    [TH_BY_CHIP] = {'C', "chip too thin"},
    [TH_BY_HEAT] = {'H', "heat"},
    [TH_BY_SWAY] = {'S', "sway"},
    [TH_BY_FLUTE_LENGTH] = {'F', "flute length"},
    [TH_BY_PLATE_THICKNESS] = {'W', "whole depth"},
    [TH_BY_HELIX] = {'A', "helix angle"},
};

const char *th_limits_words(th_limiter limiter) {
    return limiters[limiter].words;
}

char th_limits_letter(th_limiter limiter) {
    return limiters[limiter].letter;
}

typedef struct {
    const th_limit_cut *cut;
    double level[ROWS]; /* falling (mm); as the label says, so that a mark is true of the label */
    const char *label[ROWS];
    int width; /* of the widest label */
} chart;

static void set_levels(chart *c) {
    double high = c->cut->cut->axial, low = high;

    for (size_t i = 0; i < c->cut->point_count; i++) {
        double axial = c->cut->points[i].axial;
        high = fmax(high, axial);
        low = axial > 0 ? fmin(low, axial) : low;
    }
    double step = fmax(pow(high / low, 1.0 / (ROWS - 3)), LEAST_STEP);
    for (int i = 0; i < ROWS; i++) {
        c->level[i] = high * pow(step, 1 - i);
    }
}

static double level_below(double value, double scale) {
    return floor(value * scale * (1 + 1e-9)) / scale;
}

/* As many decimals as keep the rows apart, the same throughout, as they are read off a dial. */
static int inch_decimals(const chart *c) {
    int decimals = c->level[ROWS - 1] < 0.001 * 25.4 ? INCH_DECIMALS + 1 : INCH_DECIMALS;

    for (int i = 1; i < ROWS && decimals < INCH_DECIMALS_MOST; i++) {
        double scale = pow(10, decimals);
        if (level_below(c->level[i] / 25.4, scale) >= level_below(c->level[i - 1] / 25.4, scale)) {
            decimals++;
            i = 0;
        }
    }
    return decimals;
}

/* Levels rounded down to what their labels can say. */
static void set_labels(th_doc *doc, chart *c, th_units units) {
    int decimals = inch_decimals(c);

    c->width = LABEL_LEAST;
    for (int i = 0; i < ROWS; i++) {
        double unit = units == TH_INCH ? 25.4 : 1, shown = c->level[i] / unit;
        shown = level_below(shown, units == TH_INCH ? pow(10, decimals)
                                                    : pow(10, 2 - floor(log10(shown))));
        c->level[i] = shown * unit;
        c->label[i] = units == TH_INCH ? th_words_print(doc, "%.*f", decimals, shown)
                                       : th_words_number(doc, shown, 3);
        int length = (int)strlen(c->label[i]);
        c->width = length > c->width ? length : c->width;
    }
}

/* The next row at or below an axial engagement. */
static int row_below(const chart *c, double axial) {
    int row = 0;

    while (row + 1 < ROWS && c->level[row] > axial * (1 + 1e-9)) {
        row++;
    }
    return row;
}

/* What holds stands in a row that it reaches, what does not in one that it is no deeper than. */
static int row_of_stated(const chart *c) {
    double axial = c->cut->cut->axial;
    int row = row_below(c, axial);

    return c->cut->own_holds || row == 0 || c->level[row] >= axial * (1 - 1e-9) ? row : row - 1;
}

/* The next column at or below a radial engagement. */
static size_t column_below(const chart *c, double radial) {
    size_t column = 0;

    while (column + 1 < c->cut->point_count &&
           c->cut->points[column + 1].radial <= radial * (1 + SAME_RADIAL)) {
        column++;
    }
    return column;
}

/* The column nearest to one. */
static size_t column_of(const chart *c, double radial) {
    size_t best = 0;

    for (size_t i = 1; i < c->cut->point_count; i++) {
        double now = fabs(c->cut->points[best].radial - radial);
        best = fabs(c->cut->points[i].radial - radial) < now ? i : best;
    }
    return best;
}

/* '.' where it holds, the letter of what limits it in the row above, blank beyond. */
static char mark(const chart *c, int row, const th_limit_point *p) {
    bool holds = p->axial > 0 && c->level[row] <= p->axial * (1 + 1e-9) &&
                 c->level[row] >= p->least * (1 - 1e-9);
    bool below = row + 1 == ROWS || c->level[row + 1] <= p->axial * (1 + 1e-9);

    if (holds) {
        return '.';
    }
    return below && c->level[row] > p->axial ? th_limits_letter(p->limiter) : ' ';
}

static void put_row(th_doc *doc, const chart *c, int row) {
    const th_limit_cut *cut = c->cut;
    char line[LINE_ROOM];

    memset(line, ' ', sizeof line);
    line[CELL * cut->point_count] = '\0';
    for (size_t i = 0; i < cut->point_count; i++) {
        line[CELL * i + CELL - 1] = mark(c, row, &cut->points[i]);
    }
    if (cut->possible && row == row_below(c, cut->fastest.axial)) {
        line[CELL * column_below(c, cut->fastest.radial) + CELL - 1] = '*';
    }
    if (row == row_of_stated(c)) {
        line[CELL * column_of(c, cut->cut->radial) + CELL - 1] = '@';
    }
    th_doc_line(doc, "%-*s |%s", c->width, c->label[row], line);
}

static void put_axis(th_doc *doc, const chart *c, th_units units) {
    const th_limit_cut *cut = c->cut;
    double diameter = cut->cut->cutter->row.diameter;
    const char *shares = "";
    char line[LINE_ROOM];

    memset(line, '-', sizeof line);
    line[CELL * cut->point_count] = '\0';
    th_doc_line(doc, "%.*s+%s", c->width + 1, "----------------", line);
    for (size_t i = 0; i < cut->point_count; i++) {
        double share = floor(100 * cut->points[i].radial / diameter * (1 + SAME_RADIAL));
        shares = th_words_print(doc, "%s%*s", shares, CELL, th_words_number(doc, share, 3));
    }
    const char *of =
        th_words_print(doc, "%% of %s", th_words_quantity(doc, diameter, TH_LENGTH, units));
    if (c->width + 4 + CELL * (int)cut->point_count + (int)strlen(of) > LINE_MOST) {
        th_doc_line(doc, "%-*s%s", c->width + 2, "radial,", shares);
        th_doc_line(doc, "%s", of);
    } else {
        th_doc_line(doc, "%-*s%s  %s", c->width + 2, "radial", shares, of);
    }
}

static void put_legend(th_doc *doc, const chart *c) {
    const char *legend = ".  holds    @  as stated    *  fastest";
    bool used[TH_LIMITERS] = {false};

    for (size_t i = 0; i < c->cut->point_count; i++) {
        used[c->cut->points[i].limiter] = true;
    }
    for (int i = 0; i < TH_LIMITERS; i++) {
        const char *one =
            used[i] ? th_words_print(doc, "%c  %s", limiters[i].letter, limiters[i].words) : "";
        bool full = strlen(legend) + 4 + strlen(one) > TH_TEXT_WIDTH;
        if (used[i] && full) { /* between two letters, never between a letter and its words */
            th_doc_line(doc, "%s", legend);
        }
        legend = !used[i] ? legend : full ? one : th_words_print(doc, "%s    %s", legend, one);
    }
    th_doc_line(doc, "%s", legend);
}

void th_limits_chart(th_doc *doc, const th_limit_cut *cut, th_units units) {
    chart c = {.cut = cut};

    if (cut->point_count > COLUMNS_MOST) {
        return;
    }
    set_levels(&c);
    set_labels(doc, &c, units);
    th_doc_line(doc, "axial, %s", units == TH_INCH ? "in" : "mm");
    for (int row = 0; row < ROWS; row++) {
        put_row(doc, &c, row);
    }
    put_axis(doc, &c, units);
    put_legend(doc, &c);
}
