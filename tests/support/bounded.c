/* bounded.c - one cut of a job as the search for limits sees it, and jobs to look at so. */
#include "support/bounded.h"

#include <math.h>
#include <string.h>

void bounded_begin(const draft *d, size_t which, bounded *at) {
    th_judging judging = {.options = &at->options};

    memset(at, 0, sizeof *at);
    at->job = built(d);
    assert_true(th_work_begin(&judging));
    assert_true(th_ground_make(at->job, &judging, &at->arena, &at->ground, &at->err));
    at->b = (th_bounded){.job = at->job,
                         .cut = &at->job->cuts[which],
                         .which = which,
                         .own = judging,
                         .whole = judging,
                         .ground = &at->ground,
                         .fails_anyway = at->fails,
                         .first_laps = at->laps,
                         .arena = &at->arena,
                         .err = &at->err};
    for (size_t i = 0; i < CUTS; i++) {
        at->others[i] = i != which;
    }
    at->b.own.skip = at->others;
    at->b.own.skip_always = true;
    at->b.whole.factors_only = isnan(at->job->head.sway_limit);
}

void bounded_end(bounded *at) {
    th_work_end(&at->b.own);
    th_arena_free(&at->arena);
    th_job_free(at->job);
}

draft grooved(const char *axial) {
    draft d = plate(90, 60, 6);

    put(&d, "part", "stock", "linear");
    put(&d, "machine", "spindle_power", "20000 W");
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cutter.em", "runout", "0 mm");
    put(&d, "cut.1", "axial", axial);
    put(&d, "cut.1", "speed", "12000");
    put(&d, "cut.1", "chip_load", "0.02 mm/tooth");
    put(&d, "cut.1", "depth", "2.9");
    return d;
}

draft two_grooves(void) {
    draft d = grooved("0.3");

    put(&d, "cut.1", "depth", "0.6");
    put(&d, "cut.2", "operation", "slot");
    put(&d, "cut.2", "cutter", "em");
    put(&d, "cut.2", "axial", "0.5");
    put(&d, "cut.2", "depth", "1");
    put(&d, "cut.2", "speed", "12000");
    put(&d, "cut.2", "chip_load", "0.02 mm/tooth");
    put(&d, "cut.2", "from", "20,10");
    put(&d, "cut.2", "to", "60,10");
    return d;
}

double factor_of(const draft *d, const char *section) {
    answer a;
    double factor = INFINITY;

    run(d, false, &a);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        const th_stage *stage = &a.check.stages[i];
        if (stage->counts && strcmp(stage->cut->section, section) == 0) {
            factor = fmin(factor, stage->hold_factor);
        }
    }
    answer_free(&a);
    return factor;
}
