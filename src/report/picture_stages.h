/* picture_stages.h - inside report/: what is still stuck down, moment by moment, side by side. */
#ifndef TACKHOLD_REPORT_PICTURE_STAGES_H
#define TACKHOLD_REPORT_PICTURE_STAGES_H

#include "picture_plan.h"
#include "words.h"

enum { TH_STAGES_MOST = TH_MAP_STATES };

/* The row of small pictures under the large one. */
typedef struct {
    const th_job *job;
    const th_check *check;
    const th_map *map;
    th_doc *doc;   /* of words */
    double box[4]; /* shown (mm) */
    double left, width;
    bool low;                     /* beside the large picture: no words but those under each */
    size_t which[TH_STAGES_MOST]; /* of the map's states, in order of time */
    size_t count;
} th_stage_row;

/* All states; or as many as fit into `high` px, the one that governs last of all, as the large
 * picture shows it, and of the others those that hold least. */
void th_stages_all(th_stage_row *row);
void th_stages_fit(th_stage_row *row, double high);

/* Height of all of it, its heading included (px); 0 where there is only one state. */
double th_stages_height(const th_stage_row *row);
void th_stages_draw(th_svg *svg, const th_stage_row *row, double top);

#endif
