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
    LINE_MOST = 80
};

/* Rows closer than this ratio would say nothing. */
#define LEAST_STEP 1.08

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
};

const char *th_limits_words(th_limiter limiter) {
    return limiters[limiter].words;
}

char th_limits_letter(th_limiter limiter) {
    return limiters[limiter].letter;
}

typedef struct {
    const th_limit_cut *cut;
    double level[ROWS]; /* falling (mm) */
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

/* Inches with the same number of decimals throughout, as they are read off a dial. */
static void set_labels(th_doc *doc, chart *c, th_units units) {
    int decimals = c->level[ROWS - 1] < 0.001 * 25.4 ? 5 : 4;

    c->width = LABEL_LEAST;
    for (int i = 0; i < ROWS; i++) {
        c->label[i] = units == TH_INCH ? th_words_print(doc, "%.*f", decimals, c->level[i] / 25.4)
                                       : th_words_bare(doc, c->level[i], TH_LENGTH, units);
        if (units != TH_INCH && strlen(c->label[i]) > LABEL_LEAST) {
            c->label[i] = th_words_number(doc, c->level[i], 2);
        }
        int length = (int)strlen(c->label[i]);
        c->width = length > c->width ? length : c->width;
    }
}

/* The row nearest to an axial engagement, and the column nearest to a radial one. */
static int row_of(const chart *c, double axial) {
    int best = 0;

    for (int i = 1; i < ROWS; i++) {
        best = fabs(log(c->level[i] / axial)) < fabs(log(c->level[best] / axial)) ? i : best;
    }
    return best;
}

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
    if (cut->possible && row == row_of(c, cut->fastest.axial)) {
        line[CELL * column_of(c, cut->fastest.radial) + CELL - 1] = '*';
    }
    if (row == row_of(c, cut->cut->axial)) {
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
        double share = nearbyint(100 * cut->points[i].radial / diameter);
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
        if (used[i]) {
            legend =
                th_words_print(doc, "%s    %c  %s", legend, limiters[i].letter, limiters[i].words);
        }
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
