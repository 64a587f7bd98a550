/* test_map.c - the map of a check: regions, cutter's path, the field of load over strength. Jobs
 * are invented; expected figures are closed forms, the check's own, or follow from the shapes. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"

/* Overlays round to 2 nm. */
#define ROUNDS 1e-6

static void map_of(const answer *a, const th_outline *taped, th_map *map) {
    th_check_options options = {.taped = taped};
    th_error err = {0};

    if (!th_map_run(a->job, &options, &a->check, map, &err)) {
        fail_msg("no map: %s", err.message);
    }
}

static void run_map(const draft *d, answer *a, th_map *map) {
    run(d, false, a);
    map_of(a, NULL, map);
}

static void free_both(answer *a, th_map *map) {
    th_map_free(map);
    answer_free(a);
}

static const th_stage *governing(const answer *a) {
    return &a->check.stages[a->check.governs];
}

static const th_map_state *state_of(const th_map *map) {
    return &map->states[map->governs];
}

static const th_map_piece *judged(const th_map_state *state) {
    const th_map_piece *found = NULL;

    for (size_t i = 0; i < state->piece_count; i++) {
        if (state->pieces[i].judged) {
            assert_null(found);
            found = &state->pieces[i];
        }
    }
    assert_non_null(found);
    return found;
}

static void add_outline(draft *d, const char *section) {
    add_cut(d, section, "outline", "flat-3mm-2");
    put(d, section, "radial", "3");
    put(d, section, "axial", "0.3");
}

/* ---- jobs ------------------------------------------------------------------------------------ */

static draft pushed(double length, double width, double thickness, const double force[3], double x,
                    double y) {
    draft d = plate(length, width, thickness);

    add_push(&d, "cut.1", force, x, y);
    return d;
}

static draft sheet_job(void) {
    draft d = plate(60, 40, 2);

    add_sheet(&d, 90, 70, 15, 15);
    add_outline(&d, "cut.1");
    return d;
}

static draft slot_job(void) {
    draft d = plate(100, 50, 3);

    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.3");
    return d;
}

static draft drill_job(void) {
    draft d = plate(50, 30, 2);

    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put(&d, "cut.1", "at", "6,6 44,24");
    return d;
}

static draft pocket_job(void) {
    draft d = plate(80, 50, 4);

    add_cut(&d, "cut.1", "pocket", "flat-6mm-3");
    put(&d, "cut.1", "radial", "1");
    put(&d, "cut.1", "axial", "0.4");
    put(&d, "cut.1", "depth", "2");
    put(&d, "cut.1", "at", "40,25");
    put(&d, "cut.1", "size", "40 x 20");
    return d;
}

/* ---- the field ------------------------------------------------------------------------------- */

/* 1 over the largest index is the hold factor, with what the search puts on top where grids never
 * settled. */
static void the_largest_load_is_one_over_the_hold_factor(void **state) {
    static const double side[3] = {20, 5, 4}, brief[3] = {0, 30, 0};
    draft jobs[] = {pushed(120, 60, 2, side, 110, 10),
                    pushed(60, 40, 5, brief, 30, 20),
                    sheet_job(),
                    slot_job(),
                    drill_job(),
                    pocket_job()};

    (void)state;
    put(&jobs[1], "cut.1", "seconds", "600 s");
    for (size_t i = 0; i < sizeof jobs / sizeof *jobs; i++) {
        answer a;
        th_map map;
        run_map(&jobs[i], &a, &map);
        const th_stage *stage = governing(&a);
        assert_true(map.field.known && map.field.by_plate && map.field.by_tape);
        assert_true(map.field.has_strength);
        assert_near(map.field.largest * (1 + 2 * stage->unsettled) * stage->hold_factor, 1, 1e-9,
                    0);
        assert_near(map.field.worst.x, stage->at.x, 0, 2e-5);
        assert_near(map.field.worst.y, stage->at.y, 0, 2e-5);
        assert_true(map.field.load == stage->load);
        free_both(&a, &map);
    }
}

/* No crossing exceeds the largest, one reaches it, and all of the bond is covered. */
static void the_field_covers_the_bond(void **state) {
    draft jobs[] = {sheet_job(), slot_job(), pocket_job()};

    (void)state;
    for (size_t i = 0; i < sizeof jobs / sizeof *jobs; i++) {
        answer a;
        th_map map;
        double most = -1, box[4];
        run_map(&jobs[i], &a, &map);
        const th_map_field *f = &map.field;
        const th_outline *bonded = &judged(state_of(&map))->bonded;
        for (size_t n = 0; n < f->x_count * f->y_count; n++) {
            th_point at = {f->xs[n % f->x_count], f->ys[n / f->x_count]};
            assert_true(isnan(f->index[n]) || (isfinite(f->index[n]) && f->index[n] >= 0));
            most = fmax(most, f->index[n]); /* passes over NAN */
            assert_true(isfinite(f->index[n]) || !th_outline_holds(bonded, at) ||
                        th_outline_distance(bonded, at, NULL) < 1e-6);
        }
        assert_near(most, f->largest, 1e-12, 0);
        assert_true(th_region_box(bonded, box));
        assert_near(f->xs[0], box[0], 0, ROUNDS);
        assert_near(f->xs[f->x_count - 1], box[2], 0, ROUNDS);
        assert_near(f->ys[0], box[1], 0, ROUNDS);
        assert_near(f->ys[f->y_count - 1], box[3], 0, ROUNDS);
        free_both(&a, &map);
    }
}

/* A part too short to bend under a pull upwards beside its middle: lift = F/A + F ex x/Iy
 * + F ey y/Ix, the elastic method for a rectangle. */
static void a_rigid_part_follows_the_closed_form(void **state) {
    static const double up[3] = {0, 0, 3};
    const double l = 6, w = 5, ex = 1, ey = -0.5, coverage = 0.9;
    draft d = pushed(l, w, 5, up, l / 2 + ex, w / 2 + ey);
    double area = l * w * coverage, iy = l * l * l * w / 12 * coverage;
    double ix = w * w * w * l / 12 * coverage;
    answer a;
    th_map map;

    (void)state;
    put(&d, "cut.1", "patch", "1");
    put(&d, "cut.1", "seconds", "3 s");
    run_map(&d, &a, &map);
    const th_map_field *f = &map.field;
    assert_true(f->known && !f->by_plate && f->by_tape);
    for (size_t n = 0; n < f->x_count * f->y_count; n++) {
        double x = f->xs[n % f->x_count] - l / 2, y = f->ys[n / f->x_count] - w / 2;
        double lift = 3 / area + 3 * ex * x / iy + 3 * ey * y / ix;
        assert_near(f->index[n], fmax(lift, 0) / governing(&a)->design_lift, 1e-9, 1e-12);
    }
    assert_near(f->largest * a.check.hold_factor, 1, 1e-9, 0);
    assert_near(f->force[2], 3, 1e-12, 0);
    assert_near(f->xs[0], 0, 0, ROUNDS);
    assert_near(f->xs[f->x_count - 1], l, 0, ROUNDS);
    assert_near(f->ys[0], 0, 0, ROUNDS);
    assert_near(f->ys[f->y_count - 1], w, 0, ROUNDS);
    free_both(&a, &map);
}

static void the_force_is_the_one_that_pushes(void **state) {
    static const double force[3] = {12, -7, 3};
    draft d = pushed(80, 40, 3, force, 60, 10);
    answer a;
    th_map map;

    (void)state;
    run_map(&d, &a, &map);
    for (int k = 0; k < 3; k++) {
        assert_near(map.field.force[k], force[k], 1e-12, 0);
    }
    assert_near(state_of(&map)->cutter_at.x, 60, 1e-9, 0);
    free_both(&a, &map);
}

/* Paper tape in water has no strength: the load itself is shown. */
static void without_strength_the_traction_is_shown(void **state) {
    draft d = slot_job();
    answer a;
    th_map map;

    (void)state;
    put(&d, "hold", "tape", "painters-paper");
    put(&d, "hold", "cooling", "flood");
    run_map(&d, &a, &map);
    const th_stage *stage = governing(&a);
    assert_near(a.check.hold_factor, 0, 0, 0);
    assert_true(map.field.known && !map.field.has_strength);
    assert_true(map.field.largest >= fmax(stage->shear_peak, stage->lift_peak_traction) * 0.98);
    assert_true(map.field.largest <= hypot(stage->shear_peak, stage->lift_peak_traction) * 1.02);
    free_both(&a, &map);
}

/* ---- regions --------------------------------------------------------------------------------- */

static double area_of(const th_outline *region) {
    return region->ring_count ? th_outline_section(region).area : 0;
}

/* What is left and what is gone make up the stock; what is judged has the stage's bonded area. */
static void regions_have_the_areas_of_the_check(void **state) {
    draft jobs[] = {sheet_job(), slot_job(), drill_job(), pocket_job()};

    (void)state;
    put(&jobs[0], "part", "copies", "1 x 1");
    for (size_t i = 0; i < sizeof jobs / sizeof *jobs; i++) {
        answer a;
        th_map map;
        run_map(&jobs[i], &a, &map);
        for (size_t k = 0; k < map.state_count; k++) {
            const th_map_state *s = &map.states[k];
            const th_stage *stage = &a.check.stages[s->stage];
            double metal = area_of(&s->gone);
            for (size_t p = 0; p < s->piece_count; p++) {
                metal += area_of(&s->pieces[p].region);
            }
            assert_near(metal, area_of(&map.stock), ROUNDS, 0);
            assert_near(area_of(&judged(s)->bonded) * 0.9, stage->bonded_area, ROUNDS, 0);
            assert_near(judged(s)->area, stage->bonded_area, 1e-12, 0);
            assert_true(judged(s)->kind == stage->piece);
        }
        free_both(&a, &map);
    }
}

static void a_freed_part_lies_in_its_frame(void **state) {
    draft d = sheet_job();
    answer a;
    th_map map;

    (void)state;
    run_map(&d, &a, &map);
    const th_map_state *last = &map.states[map.state_count - 1];
    assert_int_equal(last->piece_count, 2);
    assert_near(area_of(&map.parts[0]), 60 * 40, ROUNDS, 0);
    /* kerf: 3 mm beside every edge, rounded at the corners by tangents that stray from the arc by
     * up to 0.01 mm, outwards */
    assert_true(area_of(&last->gone) >= 2 * 3 * (60 + 40) + TH_PI * 9 - 1e-3);
    assert_true(area_of(&last->gone) <= 2 * 3 * (60 + 40) + TH_PI * 9 + 0.01 * 2 * TH_PI * 3);
    /* the axis runs half of that outside */
    assert_int_equal(last->path_count, 1);
    assert_true(last->paths[0].closed);
    double least = INFINITY;
    for (size_t i = 0; i < last->paths[0].count; i++) {
        double away = th_outline_distance(&map.parts[0], last->paths[0].points[i], NULL);
        assert_near(away, 1.5, 0, 0.011);
        least = fmin(least, last->paths[0].points[i].x);
    }
    assert_near(least, -1.5, 0, ROUNDS);
    free_both(&a, &map);
}

static void a_pocket_is_a_floor(void **state) {
    draft d = pocket_job();
    answer a;
    th_map map;

    (void)state;
    add_push(&d, "cut.2", (const double[3]){0, 0, 1}, 40, 25);
    run_map(&d, &a, &map);
    const th_map_state *first = &map.states[0], *last = &map.states[map.state_count - 1];
    assert_int_equal(last->floor_count, 1);
    assert_near(last->floors[0].thickness, 2, 1e-12, 0);
    assert_near(area_of(&last->floors[0].region), 40 * 20 - (4 - TH_PI) * 9, 1e-3, 0);
    assert_int_equal(first->path_count, 1); /* half a cutter inside the walls */
    for (size_t i = 0; i < first->paths[0].count; i++) {
        th_point at = first->paths[0].points[i];
        assert_near(fmax(fabs(at.x - 40) - 17, fabs(at.y - 25) - 7), 0, 0, 0.02);
    }
    free_both(&a, &map);
}

static void strips_of_tape_are_shown_as_they_lie(void **state) {
    draft d = slot_job();
    th_outline taped = {0};
    th_path path = th_path_new(0);
    answer a;
    th_map map;
    size_t off = 0;

    (void)state;
    th_path_box(&path, &(th_box){0, 0, 100, 15, 0, 0});
    th_path_box(&path, &(th_box){0, 35, 100, 15, 0, 0});
    assert_true(th_region_of_path(&path, &taped, NULL));
    th_path_free(&path);
    run_taped(&d, &taped, &a);
    map_of(&a, &taped, &map);
    assert_near(area_of(&map.taped), 2 * 1500, ROUNDS, 0);
    assert_near(area_of(&judged(state_of(&map))->bonded), 2 * 1500, ROUNDS, 0);
    for (size_t n = 0; n < map.field.x_count * map.field.y_count; n++) {
        double y = map.field.ys[n / map.field.x_count];
        bool between = y > 15 + 1e-6 && y < 35 - 1e-6;
        assert_true(!between || isnan(map.field.index[n]));
        off += between;
    }
    assert_true(off > 0);
    free_both(&a, &map);
    th_outline_free(&taped);
}

static void a_piece_without_tape_has_no_field(void **state) {
    draft d = sheet_job();
    th_outline taped = {0};
    th_path path = th_path_new(0);
    answer a;
    th_map map;

    (void)state;
    th_path_box(&path, &(th_box){-15, -15, 90, 10, 0, 0}); /* beside the part */
    assert_true(th_region_of_path(&path, &taped, NULL));
    th_path_free(&path);
    run_taped(&d, &taped, &a);
    map_of(&a, &taped, &map);
    assert_near(a.check.hold_factor, 0, 0, 0);
    assert_false(map.field.known);
    assert_int_equal(judged(state_of(&map))->bonded.ring_count, 0);
    free_both(&a, &map);
    th_outline_free(&taped);
}

static void tabs_are_shown_and_may_govern(void **state) {
    draft d = sheet_job();
    answer a;
    th_map map;
    bool seen = false;

    (void)state;
    put(&d, "cut.1", "tabs", "4 x 3 mm");
    put(&d, "cut.1", "tab_height", "1 mm");
    run_map(&d, &a, &map);
    for (size_t k = 0; k < map.state_count; k++) {
        const th_map_state *s = &map.states[k];
        bool part = a.check.stages[s->stage].piece == TH_PIECE_PART;
        assert_int_equal(s->tab_count, part ? 4 : 0);
        for (size_t i = 0; i < s->tab_count; i++) {
            assert_near(th_outline_distance(&map.parts[0], s->tabs[i], NULL), 0, 0, 1e-5);
        }
        seen = seen || part;
    }
    assert_true(seen);
    free_both(&a, &map);
}

/* A frame that is hardly held: what gives is not the tape under the part. */
static void a_frame_that_governs_is_told(void **state) {
    draft d = sheet_job();
    answer a;
    th_map map;

    (void)state;
    put(&d, "part", "sheet_length", "70");
    put(&d, "part", "sheet_width", "50");
    put(&d, "part", "sheet_x", "5");
    put(&d, "part", "sheet_y", "5");
    put(&d, "cut.1", "tabs", "4 x 6 mm");
    put(&d, "cut.1", "tab_height", "2 mm");
    run_map(&d, &a, &map);
    bool tape = strstr(governing(&a)->interface, "tabs") == NULL &&
                strstr(governing(&a)->interface, "frame") == NULL;
    assert_true(map.field.by_tape == tape);
    assert_true(isfinite(map.field.largest));
    free_both(&a, &map);
}

/* ---- states ---------------------------------------------------------------------------------- */

static void no_more_states_than_one_can_look_at(void **state) {
    draft d = plate(120, 60, 2);
    answer a;
    th_map map;

    (void)state;
    for (int i = 0; i < 12; i++) {
        char section[16], at[32];
        snprintf(section, sizeof section, "cut.%d", i + 1);
        snprintf(at, sizeof at, "%d,%d", 10 + 20 * (i % 6), i < 6 ? 15 : 45);
        add_cut(&d, section, "drill", "drill-3mm");
        put(&d, section, "at", at);
    }
    run_map(&d, &a, &map);
    assert_int_equal(map.state_count, TH_MAP_STATES);
    assert_int_equal(map.left_out, 12 - TH_MAP_STATES);
    assert_int_equal(map.states[map.governs].stage, a.check.governs);
    for (size_t k = 1; k < map.state_count; k++) {
        assert_true(map.states[k].stage > map.states[k - 1].stage);
    }
    for (size_t i = 0, k = 0; i < a.check.stage_count; i++) { /* those left out hold better */
        bool shown = k < map.state_count && map.states[k].stage == i;
        k += shown;
        for (size_t n = 0; !shown && n < map.state_count; n++) {
            assert_true(a.check.stages[i].hold_factor >=
                        a.check.stages[map.states[n].stage].hold_factor);
        }
    }
    free_both(&a, &map);
}

static void every_copy_is_there(void **state) {
    draft d = plate(15, 12, 2);
    answer a;
    th_map map;

    (void)state;
    put(&d, "part", "copies", "3 x 2");
    put(&d, "part", "pitch", "22 x 20");
    add_sheet(&d, 80, 60, 10, 10);
    add_outline(&d, "cut.1");
    run_map(&d, &a, &map);
    assert_int_equal(map.part_count, 6);
    for (size_t i = 0; i < 6; i++) {
        double box[4];
        assert_true(th_region_box(&map.parts[i], box));
        assert_near(box[0], (double)(i % 3) * 22, 0, ROUNDS);
        assert_near(box[1], (double)(i / 3) * 20, 0, ROUNDS);
    }
    const th_map_state *s = state_of(&map);
    double low = INFINITY; /* the path goes round the copy at hand */
    for (size_t i = 0; i < s->paths[0].count; i++) {
        low = fmin(low, s->paths[0].points[i].x);
    }
    assert_near(low, ((governing(&a)->copy - 1) % 3) * 22 - 1.5, 0, ROUNDS);
    free_both(&a, &map);
}

static void a_check_without_stages_is_refused(void **state) {
    draft d = slot_job();
    th_check_options options = {.taped = NULL};
    th_check none = {.stage_count = 0};
    th_map map;
    th_error err = {0};
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_false(th_map_run(a.job, &options, &none, &map, &err));
    assert_int_equal(err.code, TH_BAD_USAGE);
    th_map_free(&map);
    th_map_free(NULL);
    answer_free(&a);
}

/* Of a part that is taken to be rigid the field goes from edge to edge of the piece, wherever the
 * job's zero is, and its largest value lies at a corner: it is linear over the bond. */
static void a_rigid_field_spans_the_piece(void **state) {
    static const double force[3] = {20, 5, 4};
    th_check_options options = {.rigid = true};
    draft d = plate(60, 40, 2);
    th_error err = {0};
    double largest = 0;
    answer a;
    th_map map;

    (void)state;
    add_sheet(&d, 90, 70, 11, 23);
    add_push(&d, "cut.1", force, 50, 10);
    a.job = built(&d);
    assert_true(th_check_run(a.job, &options, &a.check, &err));
    assert_true(th_map_run(a.job, &options, &a.check, &map, &err));
    assert_near(map.field.xs[0], -11, 0, ROUNDS);
    assert_near(map.field.xs[map.field.x_count - 1], 90 - 11, 0, ROUNDS);
    assert_near(map.field.ys[0], -23, 0, ROUNDS);
    assert_near(map.field.ys[map.field.y_count - 1], 70 - 23, 0, ROUNDS);
    for (size_t n = 0; n < map.field.x_count * map.field.y_count; n++) {
        largest = fmax(largest, map.field.index[n]);
    }
    assert_near(largest, 1 / a.check.hold_factor, 1e-9, 0);
    free_both(&a, &map);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_largest_load_is_one_over_the_hold_factor),
        cmocka_unit_test(the_field_covers_the_bond),
        cmocka_unit_test(a_rigid_part_follows_the_closed_form),
        cmocka_unit_test(the_force_is_the_one_that_pushes),
        cmocka_unit_test(without_strength_the_traction_is_shown),
        cmocka_unit_test(regions_have_the_areas_of_the_check),
        cmocka_unit_test(a_freed_part_lies_in_its_frame),
        cmocka_unit_test(a_pocket_is_a_floor),
        cmocka_unit_test(strips_of_tape_are_shown_as_they_lie),
        cmocka_unit_test(a_piece_without_tape_has_no_field),
        cmocka_unit_test(tabs_are_shown_and_may_govern),
        cmocka_unit_test(a_frame_that_governs_is_told),
        cmocka_unit_test(no_more_states_than_one_can_look_at),
        cmocka_unit_test(every_copy_is_there),
        cmocka_unit_test(a_check_without_stages_is_refused),
        cmocka_unit_test(a_rigid_field_spans_the_piece),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
