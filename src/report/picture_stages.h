/* picture_stages.h - inside report/: what is still stuck down, moment by moment, side by side. */
#ifndef TACKHOLD_REPORT_PICTURE_STAGES_H
#define TACKHOLD_REPORT_PICTURE_STAGES_H

#include "picture_plan.h"
#include "words.h"

/* The row of small pictures under the large one. */
typedef struct {
    const th_job *job;
    const th_check *check;
    const th_map *map;
    th_doc *doc;   /* of words */
    double box[4]; /* shown (mm) */
    double left, width;
} th_stage_row;

/* Height of all of it, its heading included (px); 0 where there is only one state. */
double th_stages_height(const th_stage_row *row);
void th_stages_draw(th_svg *svg, const th_stage_row *row, double top);

#endif
