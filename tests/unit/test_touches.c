/* test_touches.c - heights at which an edge only touches the border of its arc: found where plain
 * geometry has them, and nowhere else. Cutters are invented. */
#include <math.h>

#include "../../src/cutting/arc.h"
#include "../../src/cutting/slabs.h"
#include "support/near.h"

enum { FINE = 4000 };

typedef struct {
    th_cutter cutter;
    th_pass pass;
    double lead; /* (rad/mm) */
    double wall; /* of the stock, from the axis (mm) */
} edge;

static void start(edge *e, double helix, double radial, double axial, bool climb) {
    e->cutter = (th_cutter){.kind = TH_BALL,
                            .diameter = 6,
                            .flutes = 2,
                            .helix = helix,
                            .helix_pulls = TH_UP,
                            .tip_angle = NAN};
    e->pass = (th_pass){.cutter = &e->cutter,
                        .wear = 1,
                        .radial = radial,
                        .axial = axial,
                        .chip_load = 0.02,
                        .climb = climb,
                        .speed = 10000,
                        .resolution = 1};
    e->wall = sqrt(axial * (6 - axial)) - radial; /* the widest disc reaches so far in */
    e->lead = tan(helix * TH_PI / 180) / 3;
}

/* Angles of a tooth's lowest point at which the disc at a height enters and leaves its arc. */
static bool tips(const edge *e, double z, double of[2]) {
    double r = sqrt(z * (6 - z));
    th_arc arc = {0, 0};

    if (!th_engaged_arc(r, e->wall, e->pass.climb, &arc)) {
        return false;
    }
    of[0] = arc.entry + e->lead * z;
    of[1] = arc.exit + e->lead * z;
    return true;
}

/* Heights at which either turns back; how many. */
static int turns_of(const edge *e, double turns[4]) {
    double before[2] = {NAN, NAN}, here[2] = {NAN, NAN};
    int count = 0;

    for (int i = 0; i <= FINE; i++) {
        double after[2];
        if (!tips(e, e->pass.axial * i / FINE, after)) {
            continue;
        }
        for (int k = 0; k < 2; k++) {
            if ((here[k] - before[k]) * (after[k] - here[k]) < 0) {
                assert_true(count < 4);
                turns[count++] = e->pass.axial * (i - 1) / FINE;
            }
            before[k] = here[k];
            here[k] = after[k];
        }
    }
    return count;
}

/* How far the event nearest to a height's lag is from it. */
static double nearest_event(const slab_list *list, double lag) {
    double nearest = INFINITY;

    for (size_t i = 0; i < list->event_count; i++) {
        nearest = fmin(nearest, fabs(list->events[i].lag - lag));
    }
    return nearest;
}

static double thickest_slab(const slab_list *list) {
    double most = 0;

    for (size_t i = 0; i < list->count; i++) {
        most = fmax(most, fabs(list->items[i].lag_end - list->items[i].lag.c[0]));
    }
    return most;
}

/* A ball's arc widens with height while its helix lags: the two may balance at some height. Of
 * other events there are those of both ends. */
static void an_edge_touches_where_it_turns_back(void **state) {
    int seen[2] = {0, 0};

    (void)state;
    for (int i = 0; i < 180; i++) {
        double turns[4], helix = 5 + 10 * (i % 6), radial = 0.2 + 0.5 * (i / 6 % 4);
        slab_list list;
        th_error err;
        edge e;
        int count;
        start(&e, helix, radial, 0.55 + 0.6 * (i / 24 % 4), i >= 90);
        count = turns_of(&e, turns);
        if (e.wall < 0 || (count && turns[0] > 0.9 * e.pass.axial)) {
            continue; /* within the last slab it is that end */
        }
        assert_true(th_slabs_build(&e.pass, &list, &err));
        assert_int_equal(list.event_count, 2 + count);
        assert_true(!count ||
                    nearest_event(&list, e.lead * turns[0]) <= 1.01 * thickest_slab(&list));
        seen[count > 0]++;
        th_slabs_free(&list);
    }
    assert_true(seen[0] > 20 && seen[1] > 20);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_edge_touches_where_it_turns_back),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
