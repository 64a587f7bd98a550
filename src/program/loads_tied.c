/* loads_tied.c - pieces that hang on tabs until a later line cuts those. */
#include "loads.h"
#include "sweep.h"
#include "tabs.h"

static bool near(const th_step *step, const double box[4]) {
    return step->at[0] > box[0] - TABS_REACH && step->at[0] < box[2] + TABS_REACH &&
           step->at[1] > box[1] - TABS_REACH && step->at[1] < box[3] + TABS_REACH;
}

bool loads_tied(th_loads *loads, size_t piece, bool *tied, th_error *err) {
    bool alone = true;

    *tied = false;
    if (loads->sweep->map.apart && !tabs_none_tie(loads->sweep, piece, &loads->joined, &alone)) {
        return th_fail_memory(err);
    }
    *tied = !alone;
    return true;
}

bool loads_tied_step(th_loads *loads, const th_step *step, th_error *err) {
    if (!(step->of_tabs > 0) || step->low > SKIN_JOINS) {
        return true;
    }
    for (size_t i = 0; i < loads->result.loose_count; i++) {
        th_loose *loose = &loads->result.loose[i];
        bool tied;
        if (!loose->tabs || loose->tabs_line > 0 || !near(step, loose->box)) {
            continue;
        }
        if (!loads_tied(loads, (size_t)loose->piece, &tied, err)) {
            return false;
        }
        loose->tabs_line = tied ? 0 : step->line;
    }
    return true;
}
