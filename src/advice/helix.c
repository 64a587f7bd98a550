/* helix.c - how steeply the cutter goes in. */
#include "helix.h"

#include <math.h>

enum { GROUP_N = 3, GROUP_O = 6 };

double th_helix_steepest(const th_job *job) {
    int group = job->part.stock->group;

    return group == GROUP_N || group == GROUP_O ? 5 : 3;
}

static double slope(const th_job *job) {
    return tan(th_helix_steepest(job) * TH_PI / 180);
}

/* Once round, for the cutter's middle. */
static double one_turn(const th_cut *cut) {
    return TH_PI * (cut->size.a - cut->cutter->row.diameter);
}

/* How far it goes down in a turn: no farther than the depth. */
static double down(const th_cut *cut) {
    return fmin(cut->axial, cut->depth);
}

double th_ramp_length(const th_job *job, const th_cut *cut) {
    return down(cut) / slope(job);
}

double th_helix_angle(const th_cut *cut) {
    return atan2(down(cut), one_turn(cut)) * 180 / TH_PI;
}

double th_helix_deepest(const th_job *job, const th_cut *cut) {
    return one_turn(cut) * slope(job);
}

/* The wider side over the cutter's diameter. */
static double room(const th_cut *cut) {
    double wide = cut->size.single ? cut->size.a : fmax(cut->size.a, cut->size.b);

    return wide / cut->cutter->row.diameter;
}

/* Two digits, rounded down: what is printed is still flat enough. */
static void print_below(double length, th_units units, char *text, size_t size) {
    double unit = units == TH_INCH ? 25.4 : 1;
    double scale = length > 0 ? pow(10, 1 - floor(log10(length / unit))) : 1;

    th_quantity_print(floor(length / unit * scale * (1 + 1e-9)) / scale * unit, TH_LENGTH, units, 2,
                      text, size);
}

const char *th_helix_words(const th_job *job, const th_cut *cut, th_arena *arena, bool *failed) {
    th_units units = (th_units)job->head.units;
    bool hole = cut->operation == TH_HOLE;
    bool steep = hole && th_helix_angle(cut) > th_helix_steepest(job) * (1 + 1e-9);
    bool tight = (hole || cut->operation == TH_POCKET) && room(cut) < TH_HELIX_ROOM * (1 - 1e-9);
    const char *place = hole ? "hole" : "pocket", *text, *remedy;
    char deep[48], flat[48], most[48];

    *failed = false;
    if (!steep && !tight) {
        return NULL;
    }
    print_below(room(cut) / TH_HELIX_ROOM * cut->cutter->row.diameter, units, most, sizeof most);
    th_quantity_print(down(cut), TH_LENGTH, units, 3, deep, sizeof deep);
    print_below(th_helix_deepest(job, cut), units, flat, sizeof flat);
    remedy = hole ? "take a smaller cutter, or drill it" : "take a smaller cutter";
    text = !steep ? th_arena_print(arena,
                                   "the %s is hardly wider than its cutter: chips jam in it and "
                                   "cut again; %s (up to %s)",
                                   place, remedy, most)
                  : th_arena_print(arena,
                                   "%s: %s a turn goes in on a helix of %.0f degrees, %s; its time "
                                   "is counted at %.0f degrees, %s a turn; %s",
                                   tight ? "the hole is hardly larger than its cutter"
                                         : "the hole leaves its cutter little room",
                                   deep, th_helix_angle(cut),
                                   th_helix_angle(cut) > 30 ? "as good as a plunge" : "too steep",
                                   th_helix_steepest(job), flat,
                                   tight ? remedy : "turn axial down to that");
    *failed = !text;
    return text;
}
