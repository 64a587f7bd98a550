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

/* Whether a piece has a tab beside it. */
bool tabs_beside(const th_sweep *sweep, size_t piece);

#endif
