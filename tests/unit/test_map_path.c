/* test_map_path.c - the way of the cutter as the map of a check draws it: by the job's own places.
 * Jobs are invented. */
#include <math.h>
#include <string.h>

#include "support/draft.h"

static void map_of(const draft *d, answer *a, th_map *map) {
    th_check_options options = {.taped = NULL};
    th_error err = {0};

    run(d, false, a);
    if (!th_map_run(a->job, &options, &a->check, map, &err)) {
        fail_msg("no map: %s", err.message);
    }
}

static void lose(answer *a, th_map *map) {
    th_map_free(map);
    answer_free(a);
}

static void expect_point(th_point at, double x, double y) {
    assert_near(at.x, x, 0, 1e-9);
    assert_near(at.y, y, 0, 1e-9);
}

static draft part(void) {
    return plate(24, 16, 2);
}

/* Two of the part, the second one to the right. */
static draft pair(void) {
    draft d = part();

    add_sheet(&d, 80, 40, 10, 10);
    put(&d, "part", "copies", "2 x 1");
    put(&d, "part", "pitch", "30 x 20");
    return d;
}

/* From its beginning to its end, in every copy. */
static void a_slot_is_a_line(void **state) {
    draft d = pair();
    const th_map_state *s;
    answer a;
    th_map map;

    (void)state;
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.2");
    put(&d, "cut.1", "from", "4,5");
    put(&d, "cut.1", "to", "20,11");
    map_of(&d, &a, &map);
    s = &map.states[map.governs];
    assert_int_equal(s->path_count, 2);
    for (size_t i = 0; i < 2; i++) {
        assert_int_equal(s->paths[i].count, 2);
        expect_point(s->paths[i].points[0], 4 + 30.0 * (double)i, 5);
        expect_point(s->paths[i].points[1], 20 + 30.0 * (double)i, 11);
    }
    lose(&a, &map);
}

/* Each hole is a place, copy after copy. */
static void drillings_are_places(void **state) {
    draft d = pair();
    const th_map_state *s;
    answer a;
    th_map map;

    (void)state;
    add_cut(&d, "cut.1", "drill", "drill-2mm");
    put(&d, "cut.1", "at", "5,4 12,8 19,12");
    map_of(&d, &a, &map);
    s = &map.states[map.governs];
    assert_int_equal(s->path_count, 6);
    for (size_t i = 0; i < 6; i++) {
        assert_int_equal(s->paths[i].count, 1);
        expect_point(s->paths[i].points[0], 5 + 7.0 * (double)(i % 3) + 30.0 * (double)(i / 3),
                     4 + 4.0 * (double)(i % 3));
    }
    lose(&a, &map);
}

/* A push has the one place at which it pushes, whatever there is of the part. */
static void a_push_is_one_place(void **state) {
    static const double force[3] = {3, 1, 2};
    draft d = pair();
    const th_map_state *s;
    answer a;
    th_map map;

    (void)state;
    add_push(&d, "cut.1", force, 7, 9);
    map_of(&d, &a, &map);
    s = &map.states[map.governs];
    assert_int_equal(s->path_count, 1);
    assert_int_equal(s->paths[0].count, 1);
    expect_point(s->paths[0].points[0], 7, 9);
    lose(&a, &map);
}

/* A hole that its cutter hardly turns in is drawn as a place; one with room as the way round. */
static void a_wide_hole_is_gone_round(void **state) {
    static const double sizes[2] = {3.08, 9};

    (void)state;
    for (int wide = 0; wide < 2; wide++) {
        draft d = part();
        const th_map_state *s;
        answer a;
        th_map map;
        add_cut(&d, "cut.1", "hole", "flat-3mm-2");
        put(&d, "cut.1", "axial", "0.1");
        put_length(&d, "cut.1", "size", sizes[wide]);
        put(&d, "cut.1", "at", "11,7");
        map_of(&d, &a, &map);
        s = &map.states[map.governs];
        assert_int_equal(s->path_count, 1);
        assert_int_equal(s->paths[0].closed, wide);
        if (!wide) {
            assert_int_equal(s->paths[0].count, 1);
            expect_point(s->paths[0].points[0], 11, 7);
        }
        for (size_t i = 0; wide && i < s->paths[0].count; i++) {
            th_point p = s->paths[0].points[i];
            assert_near(hypot(p.x - 11, p.y - 7), 3, 0.01, 0);
        }
        lose(&a, &map);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_slot_is_a_line),
        cmocka_unit_test(drillings_are_places),
        cmocka_unit_test(a_push_is_one_place),
        cmocka_unit_test(a_wide_hole_is_gone_round),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
