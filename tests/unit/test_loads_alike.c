/* Tests of the loads of faces, pockets, engravings and chamfers: the same cut as a job and as moves
 * must give the same force, and at the same place and feeding the same way the same hold factor by
 * the area model, within 2 %. Over the whole cut a program's factor is 98 % of a job's or more: a
 * job knows no path, so it looks at every place at the edge (an engraving at its own) in 16
 * directions of feed, with the axis on the very corner and the cut in full, where a path goes one
 * way or two and is half out of the stock at its corner. Parts and programs are invented. */
#include <math.h>
#include <stdlib.h>

#include "support/draft.h"
#include "support/moves.h"

/* Of a job's factor a program's is this much at least. */
#define LOWER 0.98

/* Passes side by side at an angle, the material that is left to the right of each: climb milling
 * of the whole plate, its first pass off the left corner. */
static void face(bench *b, double length, double width, double angle, double radial, double z) {
    double c = cos(angle), s = sin(angle), radius = b->tool.cutter->diameter / 2;
    double along[2] = {INFINITY, -INFINITY}, aside[2] = {INFINITY, -INFINITY};

    for (int i = 0; i < 4; i++) {
        double x = i % 2 ? length : 0, y = i / 2 ? width : 0;
        along[0] = fmin(along[0], x * c + y * s);
        along[1] = fmax(along[1], x * c + y * s);
        aside[0] = fmin(aside[0], y * c - x * s);
        aside[1] = fmax(aside[1], y * c - x * s);
    }
    for (double v = aside[1] + radius - radial; v > aside[0] - radius; v -= radial) {
        double u = along[0] - radius - 1, w = along[1] + radius + 1;
        hop(b, u * c - v * s, u * s + v * c);
        go(b, TH_MOVE_RAPID, u * c - v * s, u * s + v * c, z);
        feed(b, w * c - v * s, w * s + v * c, z);
    }
}

/* ---- a job's pass anywhere
 * ----------------------------------------------------------------------- */

typedef struct {
    const th_job *job;
    th_pass pass;
    double floor; /* of the pass (mm) */
} job_cut;

static job_cut cut_of(const th_job *job) {
    const th_cut *cut = &job->cuts[0];
    const th_job_cutter *cutter = &job->cutters[0];

    return (job_cut){.job = job,
                     .pass = {.stock = job->part.stock,
                              .cutter = &cutter->row,
                              .wear = cutter->wear,
                              .radial = cut->radial,
                              .axial = cut->axial,
                              .chip_load = cut->chip_load,
                              .speed = cut->speed,
                              .climb = cut->direction == TH_CLIMB,
                              .resolution = 1},
                     .floor = job->part.thickness - cut->axial};
}

/* Its corners stay the caller's. */
static th_bonded whole_plate(const th_job *job, th_point corners[4]) {
    double length = job->part.length, width = job->part.width;
    th_shape shape = {.kind = TH_SHAPE_RECTANGLE, .length = length, .width = width};
    th_bonded bonded;
    th_outline outline;
    th_error err;

    corners[0] = (th_point){0, 0};
    corners[1] = (th_point){length, 0};
    corners[2] = (th_point){length, width};
    corners[3] = (th_point){0, width};
    assert_true(th_shape_outline(&shape, 0, &outline, &err));
    assert_true(
        th_bonded_of(th_outline_section(&outline), job->hold.coverage, corners, 4, &bonded, &err));
    th_outline_free(&outline);
    return bonded;
}

/* What the job's own pass would hold at a place, feeding that way (deg). */
static double by_job(const job_cut *cut, double x, double y, double heading) {
    th_point corners[4];
    th_bonded bonded = whole_plate(cut->job, corners);
    th_stack stack = th_job_stack(cut->job, cut->job->hold.room_temperature);
    double turned = heading * TH_PI / 180, index = 0;
    th_stance at = {x, y, cut->floor - cut->pass.base, cos(turned), sin(turned), 0};
    th_turn turn;
    th_error err;

    assert_true(th_turn_run(&cut->pass, &turn, &err));
    th_wrench *wrenches = malloc(turn.count * sizeof *wrenches);
    double *weights = malloc(turn.count * sizeof *weights);
    assert_true(wrenches && weights);
    th_history history = {wrenches, weights, turn.count, 0};
    for (int sustained = 0; sustained < 2; sustained++) {
        for (size_t i = 0; i < turn.count; i++) {
            double ratio = sustained ? 1 : cut->job->machine.peak_ratio;
            wrenches[i] = th_wrench_under(&at, &turn.samples[i], ratio);
            weights[i] = turn.samples[i].weight;
        }
        th_grip grip =
            sustained ? th_grip_sustained(&bonded, &stack, &history, cut->job->hold.cutting_time, 0)
                      : th_grip_peak(&bonded, &stack, &history);
        index = fmax(index, grip.index);
    }
    free(weights);
    free(wrenches);
    th_turn_free(&turn);
    return th_hold_factor(index);
}

/* The step that holds least of those engaged as the job has it. */
static const th_step_load *worst_alike(const bench *b, const th_stage *stage) {
    const th_step_load *worst = NULL;

    for (size_t i = 0; i < b->count; i++) {
        const th_step_load *step = &b->steps[i];
        if (fabs(step->in_plane_peak / stage->in_plane_peak - 1) < 0.02 &&
            fabs(step->power / stage->power - 1) < 0.02 &&
            (!worst || step->hold_factor < worst->hold_factor)) {
            worst = step;
        }
    }
    assert_non_null(worst);
    return worst;
}

/* A program's steps against the stage of the same cut. */
static void check_alike(const bench *b, const job_cut *cut, const th_stage *stage) {
    const th_step_load *worst = worst_alike(b, stage);

    assert_near(by_job(cut, stage->cutter_at.x, stage->cutter_at.y, stage->heading),
                stage->area_hold_factor, 0.002, 0);
    assert_near(worst->max_chip, stage->max_chip, 0.02, 0);
    assert_near(worst->hold_factor, by_job(cut, worst->at[0], worst->at[1], worst->heading), 0.02,
                0);
    assert_true(worst->hold_factor > 0.998 * stage->area_hold_factor);
    assert_true(th_loads_result(b->loads)->hold_factor > LOWER * stage->area_hold_factor);
}

/* ---- cuts
 * ---------------------------------------------------------------------------------------- */

/* Down the rows along x and y, and the way that the job finds worst: one way or the other the
 * factor differs by a tenth. */
static void test_face(void **state) {
    draft d = held_plate(80, 50, 4);
    double least = INFINITY, most = 0;
    answer a;
    bench b;
    (void)state;

    add_cut(&d, "cut.1", "face", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 0.4);
    put_length(&d, "cut.1", "radial", 3);
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    run(&d, false, &a);
    const th_stage *stage = &a.check.stages[0];
    job_cut cut = cut_of(a.job);
    double headings[] = {0, 45, 90, stage->heading};
    for (int i = 0; i < 4; i++) {
        start(&b, a.job);
        face(&b, 80, 50, headings[i] * TH_PI / 180, 3, -0.4);
        double found = end(&b)->hold_factor;
        assert_near(th_loads_result(b.loads)->peak_force, stage->in_plane_peak, 0.02, 0);
        check_alike(&b, &cut, stage);
        assert_true(found > 0.99 * stage->area_hold_factor);
        least = fmin(least, found);
        most = fmax(most, found);
        stop(&b);
    }
    assert_near(least, stage->area_hold_factor, 0.02, 0); /* the job's own way */
    assert_true(most > 1.08 * least);
    answer_free(&a);
}

/* Rings outwards, climbing; in its corners the program is engaged more fully than the job, which
 * takes radial as it stands, and holds less than on the straights. */
static void test_pocket(void **state) {
    draft d = ring_pocket();
    answer a;
    bench b;
    (void)state;

    run(&d, false, &a);
    job_cut cut = cut_of(a.job);
    start(&b, a.job);
    mill_ring_pocket(&b);
    const th_load_result *found = end(&b);
    check_alike(&b, &cut, &a.check.stages[0]);
    assert_true(found->hold_factor < worst_alike(&b, &a.check.stages[0])->hold_factor);
    stop(&b);
    answer_free(&a);
}

static void test_engrave(void **state) {
    draft d = held_plate(60, 40, 2);
    answer a;
    bench b;
    (void)state;

    add_cut(&d, "cut.1", "engrave", "point-3mm-60");
    put_length(&d, "cut.1", "depth", 0.2);
    put_length(&d, "cut.1", "length", 100);
    put_point(&d, "cut.1", "at", 50, 32);
    run(&d, false, &a);
    const th_stage *stage = &a.check.stages[0];
    job_cut cut = cut_of(a.job);
    double turned = stage->heading * TH_PI / 180;
    start(&b, a.job);
    double x = 50 - 5 * cos(turned), y = 32 - 5 * sin(turned);
    hop(&b, x, y);
    go(&b, TH_MOVE_RAPID, x, y, -0.2); /* the job has no plunge */
    feed(&b, 50, 32, -0.2);
    const th_load_result *found = end(&b);
    assert_near(found->peak_force, stage->in_plane_peak, 0.02, 0);
    assert_near(found->hold_factor, stage->area_hold_factor, 0.02, 0);
    check_alike(&b, &cut, stage);
    stop(&b);
    answer_free(&a);
}

/* Round the part with the middle of the cone's edge at the part's edge, clockwise: climb. */
static void test_chamfer(void **state) {
    draft d = held_plate(60, 40, 4);
    answer a;
    bench b;
    (void)state;

    add_cut(&d, "cut.1", "chamfer", "chamfer-6mm-90");
    put_length(&d, "cut.1", "width", 0.5);
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    run(&d, false, &a);
    const th_stage *stage = &a.check.stages[0];
    job_cut cut = cut_of(a.job);
    cut.pass.radial = 6;
    cut.pass.chamfer_width = 0.5;
    cut.pass.base = 1.2;              /* half of what the cone is higher: (2.9 mm - 0.5 mm) / 2 */
    double off = 1.3, z = -0.5 - 1.2; /* its radius there, flat of 0.2 mm and all */
    start(&b, a.job);
    hop(&b, -off, -off);
    go(&b, TH_MOVE_RAPID, -off, -off, z);
    feed(&b, -off, 40 + off, z);
    feed(&b, 60 + off, 40 + off, z);
    feed(&b, 60 + off, -off, z);
    feed(&b, -off, -off, z);
    assert_near(end(&b)->peak_force, stage->in_plane_peak, 0.02, 0);
    check_alike(&b, &cut, stage);
    stop(&b);
    answer_free(&a);
}

/* A level slot of a ball or a bull cutter, half round at every height. */
static void test_round_ends(void **state) {
    static const char *const cutters[] = {"ball-6mm-2", "ball-3mm-2", "bull-6mm-3"};
    (void)state;

    for (int i = 0; i < 3; i++) {
        draft d = held_plate(80, 50, 4);
        answer a;
        bench b;
        add_cut(&d, "cut.1", "slot", cutters[i]);
        put_length(&d, "cut.1", "axial", 0.8);
        put_point(&d, "cut.1", "from", 20, 25);
        put_point(&d, "cut.1", "to", 62, 31);
        run(&d, false, &a);
        const th_stage *stage = &a.check.stages[0];
        start(&b, a.job);
        hop(&b, 20, 25);
        go(&b, TH_MOVE_RAPID, 20, 25, -0.8);
        feed(&b, 62, 31, -0.8);
        const th_load_result *found = end(&b);
        assert_near(found->peak_force, stage->in_plane_peak, 0.02, 0);
        assert_near(found->worst[0].power, stage->power, 0.02, 0);
        assert_near(found->worst[0].lift_peak, stage->lift_peak, 0.02, 0);
        assert_near(found->hold_factor, stage->area_hold_factor, 0.02, 0);
        stop(&b);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_face),       cmocka_unit_test(test_pocket),
        cmocka_unit_test(test_engrave),    cmocka_unit_test(test_chamfer),
        cmocka_unit_test(test_round_ends),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
