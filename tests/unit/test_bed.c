/* test_bed.c - the grid that is laid over a piece: nothing but edges and loads asks for a line.
 * Jobs are invented. */
#include <math.h>
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

/* Elements on either side of the middle of a sheet that is loaded there. Where in it the part will
 * lie is no matter. */
static void expect_alike(double x, double y) {
    const double length = 101.3, width = 80.7;
    th_check_options options = {.taped = NULL};
    th_judging judging = {.options = &options};
    draft d = plate(40, 30, 2);
    th_arena arena = {NULL};
    const th_bond_state *start;
    const th_plate_table *table;
    const th_plate_nodes *nodes;
    th_ground ground;
    th_error err = {0};
    th_job *job;

    add_sheet(&d, length, width, x, y);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "radial", "3");
    job = built(&d);
    assert_true(th_work_begin(&judging));
    assert_true(th_ground_make(job, &judging, &arena, &ground, &err));
    start = th_state_start(&ground);
    assert_non_null(start);
    th_plate_spot spot = {length / 2 - x, width / 2 - y, 3};
    assert_true(th_bed_table(&(th_bed){.ground = &ground, .piece = &start->pieces[0]}, &spot, 1, 3,
                             judging.cache, &table, &err));
    nodes = th_plate_table_at(table, 0)->nodes;
    for (int axis = 0; axis < 2; axis++) {
        const double *lines = axis ? nodes->ys : nodes->xs;
        size_t count = axis ? nodes->y_count : nodes->x_count;
        double from = axis ? -y : -x, whole = axis ? width : length;
        assert_near(lines[0], from, 0, 1e-5);
        assert_near(lines[count - 1], from + whole, 0, 1e-5);
        for (size_t i = 0; i < count; i++) {
            assert_near(lines[i], 2 * from + whole - lines[count - 1 - i], 0, 0.1);
        }
    }
    th_work_end(&judging);
    th_arena_free(&arena);
    th_job_free(job);
}

static void a_sheet_is_alike_on_either_side(void **state) {
    (void)state;
    expect_alike(23.7, 17.9);
    expect_alike(50.65, 40.35);
}

/* The widest element of a part of 60 mm with the cutter in its middle, three elements to a decay
 * length there (mm). `outline` NULL: a rectangle. */
static double widest_of(const th_outline *outline) {
    th_check_options options = {.outline = outline};
    th_judging judging = {.options = &options};
    draft d = plate(60, outline ? 60 : 40, 2);
    th_arena arena = {NULL};
    th_plate_spot spot = {30, outline ? 30 : 20, 3};
    const th_plate_table *table;
    const th_plate_nodes *nodes;
    const th_bond_state *start;
    th_ground ground;
    th_error err = {0};
    double widest = 0;
    th_job *job;

    if (outline) {
        put(&d, "part", "outline", "shape.svg");
    }
    add_push(&d, "cut.1", (const double[]){10, 0, 0}, 30, 20);
    job = built(&d);
    assert_true(th_work_begin(&judging));
    assert_true(th_ground_make(job, &judging, &arena, &ground, &err));
    start = th_state_start(&ground);
    assert_non_null(start);
    assert_true(th_bed_table(&(th_bed){.ground = &ground, .piece = &start->pieces[0]}, &spot, 1, 3,
                             judging.cache, &table, &err));
    nodes = th_plate_table_at(table, 0)->nodes;
    for (size_t i = 1; i < nodes->x_count; i++) {
        widest = fmax(widest, nodes->xs[i] - nodes->xs[i - 1]);
    }
    th_work_end(&judging);
    th_arena_free(&arena);
    th_job_free(job);
    return widest;
}

/* Lines follow straight edges, and a round opening is no matter far from it; a round part has its
 * edge everywhere, and small elements all along. */
static void only_a_round_edge_is_fine_all_along(void **state) {
    th_outline disc, opened;
    double round, straight, beside;

    (void)state;
    for (int i = 0; i < 2; i++) {
        th_path path = th_path_new(1e-3);
        th_path_shape(&path, TH_NONZERO, 0);
        if (i == 0) {
            th_path_ellipse(&path, (th_point){30, 30}, 30, 30);
        } else {
            th_path_box(&path, &(th_box){0, 0, 60, 60, 0, 0});
            th_path_shape(&path, TH_NONZERO, 0);
            th_path_ellipse(&path, (th_point){12, 12}, 4, 4);
        }
        assert_true(th_path_finish(&path, i ? &opened : &disc, NULL));
        th_path_free(&path);
    }
    round = widest_of(&disc);
    straight = widest_of(NULL);
    beside = widest_of(&opened);
    assert_true(straight > 1.5 * round && beside > 1.5 * round);
    th_outline_free(&disc);
    th_outline_free(&opened);
}

/* What a push straight down at a place near a corner, and what one at the opposite corner, does
 * right there, of a plate whose middle may be a thin floor; and the bonded area of all its nodes.
 */
static void corners_of(bool floored, double area[2], double give[2]) {
    th_check_options options = {.taped = NULL};
    th_judging judging = {.options = &options};
    draft d = plate(60, 40, 4);
    th_arena arena = {NULL};
    const th_bond_state *state;
    th_ground ground;
    th_error err = {0};
    th_job *job;

    add_push(&d, "cut.1", (const double[]){10, 0, 0}, 30, 20);
    put(&d, "hold", "coverage", "0.8");
    job = built(&d);
    assert_true(th_work_begin(&judging));
    assert_true(th_ground_make(job, &judging, &arena, &ground, &err));
    state = th_state_start(&ground);
    if (floored) {
        const th_outline *floor =
            th_shapes_grown(ground.shapes, state->pieces[0].region, -12, &err);
        state = th_state_thinned(&ground, state, (th_floor){floor, 0.6, false});
    }
    assert_non_null(state);
    for (int i = 0; i < 2; i++) {
        th_plate_spot spot = {i ? 59 : 1, i ? 39 : 1, 2};
        const th_plate_influence *at;
        const th_plate_table *table;
        assert_true(th_bed_table(&(th_bed){.ground = &ground, .piece = &state->pieces[0]}, &spot, 1,
                                 3, judging.cache, &table, &err));
        at = th_plate_table_at(table, 0);
        give[i] = at->give[TH_UNIT_FZ][TH_UNIT_FZ];
        area[i] = 0;
        for (size_t n = 0; n < at->nodes->count; n++) {
            area[i] += at->nodes->area[n];
        }
    }
    th_work_end(&judging);
    th_arena_free(&arena);
    th_job_free(job);
}

/* All of the plate is filled, bonded and as thick as it is, its first corner as its last. */
static void every_corner_is_as_the_others(void **state) {
    (void)state;
    for (int floored = 0; floored < 2; floored++) {
        double area[2], give[2];
        corners_of(floored, area, give);
        assert_near(area[0], 60 * 40 * 0.8, 1e-6, 0);
        assert_near(area[1], 60 * 40 * 0.8, 1e-6, 0);
        assert_near(give[0], give[1], 1e-5, 0);
    }
}

/* A disc fills no corner of its box: bonded is its own area, wherever the cutter is. */
static void a_disc_has_no_corners(void **state) {
    th_check_options options = {.taped = NULL};
    th_judging judging = {.options = &options};
    draft d = plate(60, 60, 2);
    th_arena arena = {NULL};
    const th_bond_state *start;
    th_ground ground;
    th_outline disc;
    th_error err = {0};
    th_path path = th_path_new(1e-3);
    th_job *job;

    (void)state;
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_ellipse(&path, (th_point){30, 30}, 30, 30);
    assert_true(th_path_finish(&path, &disc, NULL));
    th_path_free(&path);
    options.outline = &disc;
    put(&d, "part", "outline", "shape.svg");
    put(&d, "hold", "coverage", "0.8");
    add_push(&d, "cut.1", (const double[]){10, 0, 0}, 30, 20);
    job = built(&d);
    assert_true(th_work_begin(&judging));
    assert_true(th_ground_make(job, &judging, &arena, &ground, &err));
    start = th_state_start(&ground);
    assert_non_null(start);
    for (int i = 0; i < 4; i++) {
        th_plate_spot spot = {30 + 27 * cos(TH_PI / 4 + i * TH_PI / 2),
                              30 + 27 * sin(TH_PI / 4 + i * TH_PI / 2), 3};
        const th_plate_nodes *nodes;
        const th_plate_table *table;
        double area = 0;
        assert_true(th_bed_table(&(th_bed){.ground = &ground, .piece = &start->pieces[0]}, &spot, 1,
                                 1, judging.cache, &table, &err));
        nodes = th_plate_table_at(table, 0)->nodes;
        for (size_t n = 0; n < nodes->count; n++) {
            area += nodes->area[n];
        }
        assert_near(area, 0.8 * TH_PI * 900, 1e-6, 0);
    }
    th_work_end(&judging);
    th_arena_free(&arena);
    th_job_free(job);
    th_outline_free(&disc);
}

/* What a cut left as thin beside itself bends as what it left under it: a plate that is alike is
 * solved once. */
static void plates_alike_are_solved_once(void **state) {
    const th_plate_table *tables[2];
    th_check_options options = {.taped = NULL};
    th_judging judging = {.options = &options};
    const th_plate_spot spot = {30, 20, 2};
    draft d = plate(60, 40, 4);
    th_arena arena = {NULL};
    const th_bond_state *start;
    th_ground ground;
    th_error err = {0};
    th_job *job;

    (void)state;
    add_push(&d, "cut.1", (const double[]){10, 0, 0}, 30, 20);
    job = built(&d);
    assert_true(th_work_begin(&judging));
    assert_true(th_ground_make(job, &judging, &arena, &ground, &err));
    start = th_state_start(&ground);
    assert_non_null(start);
    for (int beside = 0; beside < 2; beside++) {
        const th_outline *inner =
            th_shapes_grown(ground.shapes, start->pieces[0].region, -15, &err);
        const th_outline *outer = th_shapes_grown(ground.shapes, start->pieces[0].region, -8, &err);
        const th_bond_state *now =
            th_state_thinned(&ground, start, (th_floor){outer, 0.9, beside == 1});
        now = th_state_thinned(&ground, now, (th_floor){inner, 0.5, false});
        assert_non_null(now);
        assert_near(now->pieces[0].thinnest, 0.5, 0, 0);
        assert_true(th_bed_table(&(th_bed){.ground = &ground, .piece = &now->pieces[0]}, &spot, 1,
                                 2, judging.cache, &tables[beside], &err));
    }
    assert_ptr_equal(tables[0], tables[1]);
    th_work_end(&judging);
    th_arena_free(&arena);
    th_job_free(job);
}

/* A floor that is milled deeper is another plate, kept apart from the one before, whichever of two
 * it is and though the other is deeper still. */
static void a_deeper_floor_is_another_plate(void **state) {
    const th_plate_table *table;
    th_check_options options = {.taped = NULL};
    th_judging judging = {.options = &options};
    const th_plate_spot spot = {30, 20, 2};
    draft d = plate(60, 40, 4);
    th_arena arena = {NULL};
    const th_bond_state *start;
    const th_outline *outer, *inner;
    th_ground ground;
    th_error err = {0};
    double give[3];
    th_job *job;

    (void)state;
    add_push(&d, "cut.1", (const double[]){10, 0, 0}, 30, 20);
    job = built(&d);
    assert_true(th_work_begin(&judging));
    assert_true(th_ground_make(job, &judging, &arena, &ground, &err));
    start = th_state_start(&ground);
    outer = th_shapes_grown(ground.shapes, start->pieces[0].region, -6, &err);
    inner = th_shapes_grown(ground.shapes, start->pieces[0].region, -15, &err);
    for (int i = 0; i < 3; i++) {
        const th_bond_state *now =
            th_state_thinned(&ground, start, (th_floor){outer, i == 1 ? 1 : 2, false});
        now = th_state_thinned(&ground, now, (th_floor){inner, 0.5, false});
        now = th_state_thinned(&ground, now, (th_floor){inner, i == 2 ? 0.45 : 0.5, false});
        assert_non_null(now);
        assert_true(th_bed_table(&(th_bed){.ground = &ground, .piece = &now->pieces[0]}, &spot, 1,
                                 2, judging.cache, &table, &err));
        give[i] = th_plate_table_at(table, 0)->give[TH_UNIT_FZ][TH_UNIT_FZ];
    }
    assert_true(give[1] > 1.0001 * give[0] && give[2] > 1.0001 * give[0]);
    th_work_end(&judging);
    th_arena_free(&arena);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sheet_is_alike_on_either_side),
        cmocka_unit_test(only_a_round_edge_is_fine_all_along),
        cmocka_unit_test(every_corner_is_as_the_others),
        cmocka_unit_test(a_disc_has_no_corners),
        cmocka_unit_test(plates_alike_are_solved_once),
        cmocka_unit_test(a_deeper_floor_is_another_plate),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
