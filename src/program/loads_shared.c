/* loads_shared.c - lines shorter than a step, which is told of one of them. */
#include "loads.h"
#include "sweep.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool make_room(th_loads *loads, size_t line) {
    size_t count = loads->shared_count ? loads->shared_count : 1024;
    shared_line *list;

    if (line < loads->shared_count) {
        return true;
    }
    while (count <= line) {
        count *= 2;
    }
    list = realloc(loads->shared, count * sizeof *list);
    if (!list) {
        return false;
    }
    memset(list + loads->shared_count, 0, (count - loads->shared_count) * sizeof *list);
    loads->shared = list;
    loads->shared_count = count;
    return true;
}

/* Whether a line has cut what must stay. */
static bool told(const th_loads *loads, int line) {
    return line > 0 && (size_t)line < loads->result.line_count && isfinite(loads->by_line[line]);
}

bool loads_share(th_loads *loads, const th_step *step, th_error *err) {
    const step_window *window = &loads->sweep->window;

    if (!told(loads, step->line)) {
        return true;
    }
    for (int i = 0; i < window->line_count; i++) {
        const step_line *one = &window->lines[i];
        if (one->line <= 0 || one->line == step->line || one->line >= LINES_MOST) {
            continue;
        }
        if (!make_room(loads, (size_t)one->line)) {
            return th_fail_memory(err);
        }
        if ((float)one->removed > loads->shared[one->line].removed) {
            loads->shared[one->line] = (shared_line){step->line, (float)one->removed};
        }
    }
    return true;
}

bool loads_tell_shared(th_loads *loads, th_error *err) {
    for (size_t line = 0; line < loads->shared_count; line++) {
        const shared_line *shared = &loads->shared[line];
        if (!shared->of || told(loads, (int)line)) {
            continue;
        }
        if (!loads_room_for_line(loads, line, err)) {
            return false;
        }
        loads->by_line[line] = loads->by_line[shared->of];
    }
    return true;
}
