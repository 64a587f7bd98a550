/* fuzz_pulls.c - no table of pull tests may crash the reader or make it use memory without bound.
 * In one that it accepts every figure lies within its bounds, and the row made of it is never
 * better than the tests, nor stores more energy than its peel energy. */
#include "sound.h"

#include "tackhold/files.h"

#include <math.h>
#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Invented. */
static const th_tape like = {
    .head = {"like", "invented tape", "invented", TH_ESTIMATE, TH_FROM_TABLE},
    .sides = 1,
    .shear_strength = 0.130,
    .lift_strength = 0.060,
    .peel = 0.15,
    .shear_travel = 0.8,
    .lift_travel = 1.73,
    .temperature_max = 60,
    .strength_hot = 0.355,
    .backing_shear = 0.3,
    .backing_lift = 0.16,
    .load_time_exponent = 0.2,
    .spread = 0.25,
};

static void check_pull(const th_pull *pull) {
    insist(pull->line > 0);
    insist(pull->kind >= 0 && pull->kind < TH_PULL_KINDS);
    insist(pull->place >= 0 && pull->place < TH_PULLED_PLACES);
    insist(pull->area >= 1 && pull->area <= 1e6);
    insist(pull->force >= 0.01 && pull->force <= 1e6);
    insist(isnan(pull->temperature) || (pull->temperature >= -50 && pull->temperature <= 300));
    insist(isnan(pull->hold) || (pull->hold >= 0.1 && pull->hold <= 1e6));
    insist(pull->cooling >= -1 && pull->cooling <= TH_COOL_OIL);
}

static void check_result(const th_pull_result *r) {
    for (int kind = 0; kind < TH_PULL_KINDS; kind++) {
        const th_pull_group *g = &r->groups[kind];
        if (g->count > 0) {
            insist(g->limit <= g->mean * (1 + 1e-12) && g->strength <= g->limit * (1 + 1e-12));
            insist(g->short_hold > 0 && g->short_hold <= 1 && g->strength > 0);
        }
    }
    insist(r->row.lift_travel * r->row.lift_strength <= 2 * like.peel * (1 + 1e-9));
    insist(r->row.shear_travel * r->row.shear_strength <= 2 * like.peel * (1 + 1e-9));
    insist(r->row.shear_travel > 0 && r->row.lift_travel > 0);
    insist(r->row.spread >= 0 && r->row.spread <= 2);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    th_pulls pulls = {0};
    th_pull_result result = {0};
    th_pull_options options = {0.95, 0.95, &like, TH_MM};
    if (th_pulls_scan((const char *)data, size, "table", &pulls, NULL)) {
        for (size_t i = 0; i < pulls.count; i++) {
            check_pull(&pulls.items[i]);
        }
        if (th_pulls_judge(pulls.items, pulls.count, &options, &result, NULL)) {
            check_result(&result);
        }
    }
    th_pull_result_free(&result);
    th_pulls_free(&pulls);
    return 0;
}
