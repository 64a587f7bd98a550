/* work.c - what judgements have worked out, kept from one call to the next. */
#include <stdlib.h>

#include "judge.h"

struct th_work {
    th_shapes *shapes; /* whose addresses the keys of the cache hold: they stay together */
    th_plate_cache *cache;
};

th_work *th_work_new(void) {
    th_work *work = calloc(1, sizeof *work);

    if (work) {
        work->shapes = th_shapes_new();
        work->cache = th_plate_cache_new();
    }
    if (work && !(work->shapes && work->cache)) {
        th_work_free(work);
        work = NULL;
    }
    return work;
}

void th_work_free(th_work *work) {
    if (work) {
        th_plate_cache_free(work->cache);
        th_shapes_free(work->shapes);
        free(work);
    }
}

bool th_work_begin(th_judging *judging) {
    const th_work *kept = judging->options->work;

    if (!judging->shapes) {
        judging->shapes = kept ? kept->shapes : th_shapes_new();
    }
    judging->cache = kept ? kept->cache : th_plate_cache_new();
    return judging->shapes && judging->cache;
}

void th_work_end(const th_judging *judging) {
    if (!judging->options->work) {
        th_plate_cache_free(judging->cache);
        th_shapes_free(judging->shapes);
    }
}
