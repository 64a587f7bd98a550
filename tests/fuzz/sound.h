/* sound.h - what holds for every outline that a reader accepts, and for every refusal. */
#ifndef FUZZ_SOUND_H
#define FUZZ_SOUND_H

#include "tackhold/files.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

/* As assert, whatever NDEBUG says. */
#define insist(holds) ((holds) ? (void)0 : insisted(#holds, __FILE__, __LINE__))

static inline void insisted(const char *what, const char *file, int line) {
    fprintf(stderr, "%s:%d: does not hold: %s\n", file, line, what);
    abort();
}

/* The cells of a coarse grid over the box hold the whole outline. */
static inline void check_cells(const th_outline *outline) {
    double xs[8], ys[8], area = 0, whole = th_outline_section(outline).area;
    double sliver = 1e-6 * (outline->length + outline->width); /* an edge may turn back by 1 nm */
    th_grid_lines lines = {xs, ys, 8, 8};
    th_cells cells;

    for (int i = 0; i < 8; i++) {
        xs[i] = outline->length * i / 7;
        ys[i] = outline->width * i / 7;
    }
    insist(th_cells_of(outline, &lines, &cells, NULL));
    for (size_t i = 0; i < 49; i++) {
        insist(cells.sections[i].area >= 0 && cells.covered[i] >= 0 && cells.covered[i] <= 1);
        area += cells.sections[i].area;
    }
    insist(fabs(area - whole) <= 1e-9 * (whole + 1e-3 * outline->length * outline->width) + sliver);
    th_cells_free(&cells);
}

static inline void check_sound(bool done, const th_outline *outline, const th_error *err) {
    double slack = 0.2;

    if (!done) {
        insist(err->code != TH_OK && err->message[0] != '\0' && err->file[0] != '\0');
        return;
    }
    insist(outline->outer_count >= 1 && outline->outer_count <= outline->ring_count);
    insist(outline->length > TH_OUTLINE_LEAST - slack && outline->width > TH_OUTLINE_LEAST - slack);
    insist(outline->length <= TH_OUTLINE_GREATEST + slack);
    insist(outline->width <= TH_OUTLINE_GREATEST + slack);
    insist(outline->point_count <= TH_OUTLINE_POINTS_MAX);
    insist(th_outline_section(outline).area > 0);
    check_cells(outline);
}

#endif
