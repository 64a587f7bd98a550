/* tabs.h - inside program/: metal left standing in a kerf, that ties pieces together. */
#ifndef TACKHOLD_PROGRAM_TABS_H
#define TACKHOLD_PROGRAM_TABS_H

#include "sweep.h"

/* Tabs of a finished sweep: metal thinned beside the parts (`in_part` says of a place whether it is
 * in one), without which a piece would be loose that has more of a cut right through round it than
 * of such metal. Without bits where there are none; else the caller frees them. */
typedef struct {
    const th_sweep *sweep;
    bool (*in_part)(const void *context, double x, double y);
    const void *context;
} tab_search;

bool tabs_find(const tab_search *search, th_tabs *tabs, th_error *err);

/* The grid of a map, no tab on it yet. */
bool tabs_make(const height_map *map, th_tabs *tabs, th_error *err);
/* A cell of the map, and those round it, as other maps have other samples. */
void tabs_put(th_tabs *tabs, long row, long first, long last);
/* The cell alone; whether it was one, and it is none any more. */
void tabs_set(th_tabs *tabs, long row, long column);
bool tabs_take(th_tabs *tabs, long row, long column);
/* Those of a grid alike; `more` may be without bits. */
bool tabs_add(th_tabs *tabs, const th_tabs *more, th_error *err);

/* What a tab ties a piece to is looked for no further from it (mm). */
#define TABS_REACH 15

/* Whether something of a piece stands, and no tab ties it to any other; `work` takes the runs that
 * are looked at. False: no memory. */
bool tabs_none_tie(const th_sweep *sweep, size_t piece, run_list *work, bool *alone);

#endif
