/* picture_stages.c - small pictures of the bond, one a state. */
#include "picture_stages.h"

#include <math.h>

#define APART 14.0      /* between two pictures (px) */
#define MOST_HIGH 120.0 /* of one (px) */
#define HEADING 35.0    /* what stands over them beside the words that explain it (px) */
#define LINE 14.5       /* of the words under one (px) */

/* Beside the large picture. */
#define LOW_WIDE 142.0 /* of one at least (px) */
#define LOW_HIGH 62.0
#define LOW_HEADING 22.0

static const th_map_state *state_of(const th_stage_row *row, size_t i) {
    return &row->map->states[row->which[i]];
}

static size_t columns(const th_stage_row *row) {
    double wide = row->box[2] - row->box[0], high = row->box[3] - row->box[1];

    if (row->low) {
        return (size_t)fmax(floor((row->width + APART) / (LOW_WIDE + APART)), 1);
    }
    if (row->width < TH_SVG_WIDE / 2.0) {
        return wide > 4 * high ? 1 : 2;
    }
    return wide > 4 * high ? 2 : row->count <= 3 ? 3 : 4;
}

static double cell_width(const th_stage_row *row) {
    double count = (double)columns(row);

    return (row->width - (count - 1) * APART) / count;
}

static th_plan plan_at(const th_stage_row *row, th_point corner) {
    return th_plan_fit(row->box, corner, cell_width(row) - 8, row->low ? LOW_HIGH : MOST_HIGH);
}

static const char *caption(const th_stage_row *row, const th_map_state *state) {
    const th_stage *stage = &row->check->stages[state->stage];

    return th_words_print(row->doc, "%s: %s", th_words_stage(row->doc, stage),
                          th_words_piece(row->doc, row->job, stage));
}

/* The second line is bold. */
static const char *factor_words(const th_stage_row *row, const th_map_state *state) {
    const th_stage *stage = &row->check->stages[state->stage];

    return th_words_print(row->doc, "hold factor %s%s",
                          th_words_factor(row->doc, stage->hold_factor, row->check->asked_factor),
                          state->stage == row->check->governs ? ", the weakest"
                          : stage->counts                     ? ""
                                                              : " (need not stay)");
}

static size_t caption_lines(const th_stage_row *row, const th_map_state *state) {
    return th_svg_lines(caption(row, state), TH_SVG_SMALL, cell_width(row)) +
           th_svg_lines(factor_words(row, state), TH_SVG_SMALL * 1.12, cell_width(row));
}

static double cell_height(const th_stage_row *row) {
    th_plan plan = plan_at(row, (th_point){0, 0});
    size_t most = 0;

    for (size_t i = 0; i < row->count; i++) {
        size_t lines = caption_lines(row, state_of(row, i));
        most = lines > most ? lines : most;
    }
    return plan.height + (row->low ? 18 : 24) + (double)most * LINE + 6;
}

static const char *explained(const th_stage_row *row) {
    const char *more = row->map->left_out
                           ? th_words_print(row->doc, " %zu states that hold better are left out.",
                                            row->map->left_out)
                           : "";

    return th_words_print(row->doc,
                          "Tinted: on tape. Hatched slantwise: no tape under it. White: cut away. "
                          "Heavy edge: the piece judged. Dotted: thinned. Dashes and "
                          "ring: the cutter.%s",
                          more);
}

static double heading_height(const th_stage_row *row) {
    return row->low
               ? LOW_HEADING
               : HEADING + LINE * (double)th_svg_lines(explained(row), TH_SVG_SMALL, row->width);
}

double th_stages_height(const th_stage_row *row) {
    size_t across = columns(row);
    size_t rows = (row->count + across - 1) / across;

    return row->count < (row->low ? 1 : 2) ? 0
                                           : heading_height(row) + (double)rows * cell_height(row);
}

void th_stages_all(th_stage_row *row) {
    for (row->count = 0; row->count < row->map->state_count && row->count < TH_STAGES_MOST;
         row->count++) {
        row->which[row->count] = row->count;
    }
}

/* Which of those in the row can best be spared. */
static size_t spared(const th_stage_row *row) {
    size_t most = 0;

    for (size_t i = 0; i < row->count; i++) {
        double factor = row->check->stages[state_of(row, i)->stage].hold_factor;
        if (row->which[i] == row->map->governs) {
            return i;
        }
        most = factor > row->check->stages[state_of(row, most)->stage].hold_factor ? i : most;
    }
    return most;
}

void th_stages_fit(th_stage_row *row, double high) {
    row->low = true;
    th_stages_all(row);
    while (row->count > 1 && th_stages_height(row) > high) {
        size_t gone = spared(row);
        for (row->count--; gone < row->count; gone++) {
            row->which[gone] = row->which[gone + 1];
        }
    }
    row->count = row->map->state_count > 1 ? row->count : 0;
}

static void draw_words(th_svg *svg, const th_stage_row *row, const th_map_state *state,
                       th_point at) {
    static const th_svg_font font = {.size = TH_SVG_SMALL},
                             strong = {.size = TH_SVG_SMALL, .bold = true};
    const char *words = caption(row, state);
    size_t lines = th_svg_lines(words, TH_SVG_SMALL, cell_width(row));

    th_svg_paragraph(svg, &font, at, cell_width(row), LINE, words);
    at.y += (double)lines * LINE;
    th_svg_paragraph(svg, &strong, at, cell_width(row), LINE, factor_words(row, state));
}

static void draw_state(th_svg *svg, const th_stage_row *row, const th_map_state *state,
                       th_point corner) {
    static const th_plan_look look = {.tape = TH_FILL_TAPE, .line = 2.4};
    const th_cut *cut = row->check->stages[state->stage].cut;
    th_plan plan = plan_at(row, (th_point){corner.x + 4, corner.y + 4});

    th_svg_open(svg, caption(row, state));
    th_plan_state(svg, &plan, state, &look);
    th_plan_path(svg, &plan, state);
    th_plan_tabs(svg, &plan, state);
    th_plan_cutter(svg, &plan, state->cutter_at, cut->cutter ? cut->cutter->row.diameter : 0);
    draw_words(svg, row, state,
               (th_point){corner.x, corner.y + plan.height + (row->low ? 18 : 24)});
    th_svg_close(svg);
}

void th_stages_draw(th_svg *svg, const th_stage_row *row, double top) {
    static const th_svg_font heading = {.size = TH_SVG_HEADING, .bold = true};
    static const th_svg_font low = {.size = TH_SVG_TEXT, .bold = true};
    static const th_svg_font beside = {.size = TH_SVG_SMALL, .fill = TH_INK_SOFT};
    double over = heading_height(row);
    size_t across = columns(row);

    th_svg_words(svg, row->low ? &low : &heading, (th_point){row->left, top + (row->low ? 10 : 16)},
                 "What is still stuck down");
    if (!row->low) {
        th_svg_paragraph(svg, &beside, (th_point){row->left, top + 34}, row->width, LINE,
                         explained(row));
    }
    for (size_t i = 0; i < row->count; i++) {
        size_t below = i / across;
        th_point corner = {row->left + (double)(i % across) * (cell_width(row) + APART),
                           top + over + (double)below * cell_height(row)};
        draw_state(svg, row, state_of(row, i), corner);
    }
}
