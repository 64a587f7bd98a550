/* odds_load.c - the index of bowed stock over the load of the cut.
 *
 * What the bow pulls stands whatever the cut does, so the index is not in proportion to force. It
 * is the largest of many, each the length of a vector that grows straight with force: convex, and
 * straight where one of its parts outweighs the others. */
#include <math.h>

#include "odds.h"

/* A piece that rises less than this with load tells no load. */
#define FLAT 1e-3
#define LEAST_LOAD 0.05

static size_t piece_at(const double *nodes, size_t count, double at) {
    size_t piece = 0;

    while (piece + 2 < count && nodes[piece + 1] <= at) {
        piece++;
    }
    return piece;
}

/* Beyond the ends as the outermost pieces go on, on no account to 0. */
double th_load_index(const th_load_line *line, double load) {
    size_t p = piece_at(line->load, line->count, load);
    double share = (load - line->load[p]) / (line->load[p + 1] - line->load[p]);
    double index = line->index[p] + share * (line->index[p + 1] - line->index[p]);

    return fmax(index, line->index[p] * LEAST_LOAD);
}

double th_load_of(const th_load_line *line, double index, double otherwise) {
    size_t p = piece_at(line->index, line->count, index);
    double rise = line->index[p + 1] - line->index[p];
    double run = line->load[p + 1] - line->load[p];

    if (!(rise > FLAT * run * line->index[p])) {
        return otherwise;
    }
    return fmax(line->load[p] + (index - line->index[p]) / rise * run, LEAST_LOAD);
}
