/* strip.c - the hold factor of many lines in few bins. */
#include "tackhold/program.h"

#include <math.h>

static th_strip_bin bin_of(const th_line_load *lines, size_t line_count, size_t from, size_t to) {
    th_strip_bin bin = {.from_line = (int)from, .to_line = (int)to, .hold_factor = INFINITY};

    for (size_t i = from; i <= to && i < line_count; i++) {
        if ((double)lines[i].hold_factor < bin.hold_factor) {
            bin.hold_factor = (double)lines[i].hold_factor;
            bin.worst_line = (int)i;
        }
    }
    return bin;
}

size_t th_strip_of(const th_line_load *lines, size_t line_count, int last, th_strip_bin *bins,
                   size_t most) {
    size_t all = last > 0 ? (size_t)last : 0, each, count = 0;

    if (all == 0 || most == 0) {
        return 0;
    }
    each = (all + most - 1) / most;
    for (size_t from = 1; from <= all; from += each) {
        size_t to = all - from < each ? all : from + each - 1;
        bins[count++] = bin_of(lines, line_count, from, to);
    }
    return count;
}
