/* Tests of the loads along a program: the same cut as a job and as moves must give the same force
 * and the same hold factor by the area model within 2 %. Parts and programs are invented. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"
#include "support/moves.h"

/* ---- the same cut, twice
 * ------------------------------------------------------------------------- */

/* `bow` 0: flat. The cut's own time is that of the job, the bow's the wait on top. */
static void check_slot(double bow) {
    draft d = held_plate(80, 50, 4);
    const th_load_result *found;
    const th_stage *stage;
    answer a;
    bench b;

    if (bow > 0) {
        put_length(&d, "part", "bow", bow);
        put(&d, "hold", "wait", "12 h");
    }
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1);
    put_point(&d, "cut.1", "from", 20, 25);
    put_point(&d, "cut.1", "to", 62, 31);
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    run(&d, false, &a);
    stage = &a.check.stages[0];
    start(&b, a.job);
    hop(&b, 20, 25);
    feed(&b, 20, 25, -1);
    feed(&b, 62, 31, -1);
    found = end(&b);
    assert_near(found->peak_force, stage->in_plane_peak, 0.02, 0);
    assert_near(found->worst[0].power, stage->power, 0.02, 0);
    assert_near(found->hold_factor, stage->area_hold_factor, 0.02, 0);
    assert_near(found->worst[0].shear_peak, stage->area_shear_peak, 0.02, 0);
    assert_near(found->worst[0].lift_peak_traction, stage->area_lift_peak, 0.02, 0);
    assert_near(found->worst[0].bonded_area, stage->bonded_area, 0.001, 0);
    if (bow > 0) {
        assert_true(found->worst[0].held < 600);
        assert_true(stage->held < 600);
    }
    stop(&b);
    answer_free(&a);
}

static void test_slot(void **state) {
    (void)state;
    check_slot(0);
    check_slot(1e-6);
    check_slot(0.02);
    check_slot(0.15);
}

/* The last place of the slot by the flexible plate, against the job's own figures, which come from
 * finer grids. */
static void test_slot_on_plate(void **state) {
    draft d = held_plate(80, 50, 4);
    const th_stage *stage;
    answer a;
    bench b;
    (void)state;

    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1);
    put_point(&d, "cut.1", "from", 20, 25);
    put_point(&d, "cut.1", "to", 76, 25);
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    run(&d, false, &a);
    stage = &a.check.stages[0];
    start(&b, a.job);
    b.plate = true;
    b.plate_x = 75.5;
    hop(&b, 20, 25);
    feed(&b, 20, 25, -1);
    feed(&b, 76, 25, -1);
    end(&b);
    assert_false(b.plate);
    assert_near(stage->cutter_at.x, 76, 0, 0.1);
    assert_near(b.bent.hold_factor, stage->hold_factor, 0.05, 0);
    assert_near(b.bent.shear_peak, stage->shear_peak, 0.05, 0);
    assert_near(b.bent.lift_peak, stage->lift_peak_traction, 0.08, 0);
    stop(&b);
    answer_free(&a);
}

/* A slot widened by a pass of 1.5 mm beside it, climb and conventional. */
static void check_widening(bool climb) {
    draft d = held_plate(80, 50, 4);
    const th_load_result *found;
    const th_stage *stage;
    answer a;
    bench b;

    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 2);
    put_length(&d, "cut.1", "radial", 1.5);
    put(&d, "cut.1", "direction", climb ? "climb" : "conventional");
    put_point(&d, "cut.1", "from", 15, 20);
    put_point(&d, "cut.1", "to", 65, 20);
    put(&d, "cut.1", "chip_load", "0.04 mm/tooth");
    run(&d, false, &a);
    stage = &a.check.stages[0];
    start(&b, a.job);
    double y = climb ? 21.5 : 18.5;
    hop(&b, 9, y);
    go(&b, TH_MOVE_RAPID, 9, y, -2); /* a slot that is there already */
    go(&b, TH_MOVE_RAPID, 71, y, -2);
    hop(&b, 15, 20);
    go(&b, TH_MOVE_RAPID, 15, 20, -2);
    feed(&b, 65, 20, -2);
    found = end(&b);
    assert_near(found->peak_force, stage->in_plane_peak, 0.02, 0);
    assert_near(found->hold_factor, stage->area_hold_factor, 0.02, 0);
    stop(&b);
    answer_free(&a);
}

static void test_widening(void **state) {
    (void)state;
    check_widening(true);
    check_widening(false);
}

/* Round a part, counterclockwise outside is conventional, clockwise climb. */
static void ring(bench *b, double x0, double y0, double x1, double y1, double z) {
    go(b, TH_MOVE_RAPID, x0, y0, z); /* the job's cut has no plunge */
    feed(b, x0, y1, z);
    feed(b, x1, y1, z);
    feed(b, x1, y0, z);
    feed(b, x0, y0, z);
}

/* Lowest factor of the steps on one kind of piece whose cut begins above a height. */
static double least_of(const bench *b, th_piece_kind kind, double above) {
    double least = INFINITY;

    for (size_t i = 0; i < b->count; i++) {
        if (b->steps[i].kind == kind && b->steps[i].low > above - 0.01) {
            least = fmin(least, b->steps[i].hold_factor);
        }
    }
    return least;
}

static void test_outline(void **state) {
    draft d = held_plate(60, 40, 3);
    const th_load_result *found;
    const th_stage *stage;
    answer a;
    bench b;
    (void)state;

    add_sheet(&d, 100, 80, 20, 20);
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1);
    put_length(&d, "cut.1", "radial", 6);
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    run(&d, false, &a);
    start(&b, a.job);
    hop(&b, -3, -3);
    ring(&b, -3, -3, 63, 43, -1);
    ring(&b, -3, -3, 63, 43, -2);
    ring(&b, -3, -3, 63, 43, -3.2);
    found = end(&b);
    stage = stage_of(&a, "cut.1", TH_PIECE_PART);
    assert_near(found->peak_force, stage->in_plane_peak, 0.02, 0);
    assert_near(found->hold_factor, stage->area_hold_factor, 0.02, 0);
    assert_int_equal(found->loose_count, 2); /* and the frame, which is the larger one */
    assert_int_equal(found->loose[1].kind, TH_PIECE_FRAME);
    assert_int_equal(found->loose[1].line, b.line);
    assert_int_equal(found->loose[0].kind, TH_PIECE_PART);
    assert_int_equal(found->loose[0].copy, 1);
    assert_int_equal(found->loose[0].line, b.line);
    assert_near(found->loose[0].hold_factor, stage->area_hold_factor, 0.02, 0);
    assert_near(found->loose[0].area, 60 * 40 * a.job->hold.coverage, 0.002, 0);
    for (int i = 0; i < 4; i++) {
        double edge = i == 2 ? 60 : i == 3 ? 40 : 0;
        assert_near(found->loose[0].stands[i], edge, 0, 0.3);
    }
    assert_int_equal(found->worst[0].kind, TH_PIECE_PART);
    assert_true(found->worst[0].freeing);
    assert_near((double)found->by_line[found->worst[0].line], found->hold_factor, 1e-6, 0);
    /* before the part is free it is the sheet that holds */
    assert_near(least_of(&b, TH_PIECE_STOCK, 2), a.check.stages[0].area_hold_factor, 0.02, 0);
    stop(&b);
    answer_free(&a);
}

/* Rings outwards, climbing: on the straights the engagement is that of the job. */
static void test_pocket(void **state) {
    size_t compared = 0;
    double force = 0, power = 0;
    draft d = ring_pocket();
    const th_load_result *found;
    const th_stage *stage;
    answer a;
    bench b;
    (void)state;

    run(&d, false, &a);
    stage = &a.check.stages[0];
    start(&b, a.job);
    mill_ring_pocket(&b);
    found = end(&b);
    for (size_t i = 0; i < b.count; i++) {
        const th_step_load *step = &b.steps[i];
        bool side = fabs(step->at[0] - 40) < 9 && fabs(fabs(step->at[1] - 30) - 10) < 0.01;
        bool end_of = fabs(step->at[1] - 30) < 3.5 && fabs(fabs(step->at[0] - 40) - 16) < 0.01;
        if (side || end_of) {
            assert_near(step->in_plane_peak, stage->in_plane_peak, 0.03, 0);
            assert_near(step->max_chip, stage->max_chip, 0.03, 0);
            force += step->in_plane_peak;
            power += step->power;
            compared++;
        }
    }
    assert_true(compared > 60);
    assert_true(found->peak_force > stage->in_plane_peak); /* in the corners */
    assert_near(force / (double)compared, stage->in_plane_peak, 0.01, 0);
    assert_near(power / (double)compared, stage->power, 0.01, 0);
    stop(&b);
    answer_free(&a);
}

/* Tape under the left half alone, and half of that cut away. */
static void test_taped(void **state) {
    draft d = held_plate(80, 50, 4);
    th_shape half = {.kind = TH_SHAPE_RECTANGLE, .length = 40, .width = 50};
    const th_sweep_piece *stock;
    th_outline taped;
    th_error err;
    bench b;
    (void)state;

    assert_true(th_shape_outline(&half, 0, &taped, &err));
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1);
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    th_job *job = built(&d);
    start_taped(&b, job, &taped);
    stock = th_sweep_piece_at(th_loads_sweep(b.loads), 0);
    assert_near(stock->bonded.area, 40 * 50, 1e-3, 0);
    hop(&b, -5, 25);
    go(&b, TH_MOVE_RAPID, -5, 25, -4.2);
    feed(&b, 75, 25, -4.2);
    end(&b);
    assert_near(stock->bonded.area, 40 * 50 - 6 * 40, 1e-3, 0);
    assert_near(stock->bonded.sx / stock->bonded.area, 20, 1e-3, 0);
    stop(&b);
    th_job_free(job);
    th_outline_free(&taped);
}

/* A drill: thrust earns nothing, torque twists, and as it breaks through it lifts. */
static void test_drill(void **state) {
    draft d = held_plate(80, 50, 4);
    const th_load_result *found;
    const th_stage *stage;
    answer a;
    bench b;
    th_error err;
    (void)state;

    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put_point(&d, "cut.1", "at", 15, 12);
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    run(&d, false, &a);
    stage = &a.check.stages[0];
    start(&b, a.job);
    hop(&b, 15, 12);
    feed(&b, 15, 12, -5.5);
    found = end(&b);
    assert_near(found->worst[0].torque_peak, stage->torque_peak, 0.02, 0);
    assert_near(found->worst[0].lift_peak, stage->lift_peak, 0.02, 0);
    assert_near(found->hold_factor, stage->area_hold_factor, 0.02, 0);
    hop(&b, -5, 30);
    th_move move = {.kind = TH_MOVE_LINE,
                    .line = 99,
                    .from = {-5, 30, -1},
                    .to = {40, 30, -1},
                    .axes = {0, 1, 2},
                    .feed = 100,
                    .speed = 5000,
                    .spindle = 1,
                    .tool = 1};
    assert_false(th_loads_move(b.loads, &move, &err));
    assert_int_equal(err.code, TH_NOT_POSSIBLE);
    assert_int_equal(err.line, 99);
    stop(&b);
    answer_free(&a);
}

/* An end mill straight down: power is the specific force at the smallest chip times what is taken
 * away; and it lifts where it goes through, half as much through 0.15 mm and not through less than
 * half a skin. */
static void test_plunge(void **state) {
    draft d = held_plate(80, 50, 4);
    double power = 0, lift[3] = {0, 0, 0};
    bench b;
    (void)state;

    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1);
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    th_job *job = built(&d);
    const th_stock *stock = job->part.stock;
    th_edge_force edge = th_edge_force_of(stock, &job->cutters[0].row, job->cutters[0].wear);
    start(&b, job);
    b.feed = 60;
    hop(&b, 15, 12);
    feed(&b, 15, 12, -4.2);
    hop(&b, 60, 40);
    go(&b, TH_MOVE_RAPID, 60, 40, -3.91);
    feed(&b, 60, 40, -4.2);
    hop(&b, 35, 40);
    go(&b, TH_MOVE_RAPID, 35, 40, -3.85);
    feed(&b, 35, 40, -4.2);
    end(&b);
    for (size_t i = 0; i < b.count; i++) {
        int which = b.steps[i].at[0] > 50 ? 2 : b.steps[i].at[0] > 25 ? 1 : 0;
        power = which ? power : fmax(power, b.steps[i].power);
        lift[which] = fmax(lift[which], b.steps[i].lift_peak);
    }
    assert_true(60 / b.speed / 3 < stock->smallest_chip);
    assert_near(power, th_specific_force(&edge, stock->smallest_chip) * TH_PI * 9 * 1e-3, 0.02, 0);
    assert_true(lift[0] > 1);
    assert_near(lift[1], lift[0] / 2, 0.03, 0);
    assert_near(lift[2], 0, 0, 1e-9);
    stop(&b);
    th_job_free(job);
}

static void test_refused(void **state) {
    draft d = held_plate(80, 50, 4);
    th_load_setup setup = {.tool_count = 1};
    th_sweep_tool tool = {.number = -1};
    th_loads *loads;
    th_error err;
    (void)state;

    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1);
    drop(&d, "zero", "at");
    drop(&d, "zero", "top");
    th_job *job = built(&d);
    tool.cutter = &job->cutters[0].row;
    setup.job = job;
    setup.tools = &tool;
    assert_false(th_loads_make(&setup, &loads, &err));
    assert_int_equal(err.code, TH_MISSING);
    assert_non_null(strstr(err.message, "[zero]"));
    assert_null(loads);
    th_job_free(job);
    th_loads_free(NULL);
}

/* ---- a bored hole
 * ------------------------------------------------------------------------------------------ */

enum { BORE_SLICES = 12 };
#define BORE_PITCH 1.0
#define BORE_PATH 1.5   /* radius (mm) */
#define BORE_CUTTER 3.0 /* radius (mm) */

/* Angle from the left of the feed at which a turn of the helix begins to take what stands up to
 * `share` of the pitch. The cutter covers a place once a turn, for as long as it lies within the
 * angle a of the cutter's own place seen from the hole's middle; from leaving it to coming back the
 * helix sinks by (1 - a / pi) of its pitch. */
static double bore_entry(double share) {
    double a = TH_PI * (1 - share);
    double out = BORE_PATH * cos(a) +
                 sqrt(BORE_CUTTER * BORE_CUTTER - BORE_PATH * BORE_PATH * sin(a) * sin(a));

    return TH_PI - atan2(out * sin(a), out * cos(a) - BORE_PATH);
}

/* The side of the cutter in the bore, by that wedge: largest force in the plane, and power (N, W).
 */
static void bore_side(const th_job *job, double chip_load, double speed, double *force,
                      double *power) {
    th_zone zones[BORE_SLICES];
    th_pass pass = {.stock = job->part.stock,
                    .cutter = &job->cutters[0].row,
                    .wear = job->cutters[0].wear,
                    .chip_load = chip_load,
                    .speed = speed,
                    .resolution = 1,
                    .zones = zones,
                    .zone_count = BORE_SLICES};
    th_turn turn;
    th_error err;

    for (int i = 0; i < BORE_SLICES; i++) {
        zones[i] = (th_zone){.low = BORE_PITCH * i / BORE_SLICES,
                             .high = BORE_PITCH * (i + 1) / BORE_SLICES,
                             .arc_count = 1};
        zones[i].arcs[0] = (th_arc){bore_entry((i + 0.5) / BORE_SLICES), TH_PI};
    }
    if (!th_turn_run(&pass, &turn, &err)) {
        fail_msg("%s", err.message);
    }
    *force = 0;
    for (size_t i = 0; i < turn.count; i++) {
        *force = fmax(*force, hypot(turn.samples[i].fx, turn.samples[i].fy));
    }
    *power = turn.power;
    th_turn_free(&turn);
}

static void bore_turn(bench *b, double sinks) {
    th_move move = {.kind = TH_MOVE_ARC,
                    .line = ++b->line,
                    .from = {b->at[0], b->at[1], b->at[2]},
                    .to = {b->at[0], b->at[1], b->at[2] - sinks},
                    .centre = {b->at[0] - BORE_PATH, b->at[1]},
                    .axes = {0, 1, 2},
                    .sweep = 2 * TH_PI,
                    .feed = b->feed,
                    .speed = b->speed,
                    .spindle = 1,
                    .tool = 1};
    th_error err;

    memcpy(b->at, move.to, sizeof b->at);
    if (!th_loads_move(b->loads, &move, &err)) {
        fail_msg("%s", err.message);
    }
}

/* A helix takes a wedge, its pitch high at the wall of the hole and nothing at the inner side,
 * where the job takes a full slot as high as the pitch. What the end takes beneath it costs between
 * the energy of chips as of the side and that of the smallest. */
static void test_bore(void **state) {
    draft d = held_plate(80, 50, 4);
    double climb = BORE_PITCH / hypot(BORE_PITCH, 2 * TH_PI * BORE_PATH),
           flat = sqrt(1 - climb * climb);
    double force, side, found = 0, power = 0;
    size_t count = 0;
    answer a;
    bench b;
    (void)state;

    add_cut(&d, "cut.1", "hole", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", BORE_PITCH);
    put_point(&d, "cut.1", "at", 40, 25);
    put_length(&d, "cut.1", "size", 2 * (BORE_PATH + BORE_CUTTER));
    put(&d, "cut.1", "through", "no");
    put_length(&d, "cut.1", "depth", 3.5);
    put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
    run(&d, false, &a);
    start(&b, a.job);
    hop(&b, 40 + BORE_PATH, 25);
    go(&b, TH_MOVE_RAPID, 40 + BORE_PATH, 25, 0);
    for (int i = 0; i < 3; i++) {
        bore_turn(&b, BORE_PITCH);
    }
    end(&b);
    for (size_t i = 0; i < b.count; i++) {
        if (b.steps[i].at[2] < 4 - 1.2 * BORE_PITCH && b.steps[i].at[2] > 4 - 2.8 * BORE_PITCH) {
            found += b.steps[i].in_plane_peak;
            power += b.steps[i].power;
            count++;
        }
    }
    assert_true(count > 20);
    found /= (double)count;
    power /= (double)count;
    bore_side(a.job, b.feed * flat / b.speed / 3, b.speed, &force, &side);
    assert_near(found, force, 0.03, 0);
    assert_true(found < a.check.stages[0].in_plane_peak);
    assert_true(found > 0.6 * a.check.stages[0].in_plane_peak);

    const th_stock *stock = a.job->part.stock;
    th_edge_force edge = th_edge_force_of(stock, &a.job->cutters[0].row, a.job->cutters[0].wear);
    double sunk = TH_PI * BORE_CUTTER * BORE_CUTTER * b.feed * climb; /* by the end (mm3/min) */
    double energy = (power - side) / sunk * 60e3;                     /* (MPa) */
    assert_true(energy > th_specific_force(&edge, 2 / TH_PI * 0.03));
    assert_true(energy < th_specific_force(&edge, stock->smallest_chip));
    stop(&b);
    answer_free(&a);
}

/* With tapes that mind warmth; more in test_loads_heat.c. */
static void test_warmth(void **state) {
    (void)state;
    for (int kind = 0; kind < 2; kind++) {
        draft d = held_plate(60, 40, 3);
        const th_load_result *found;
        answer a;
        bench b;
        add_sheet(&d, 100, 80, 20, 20);
        add_cut(&d, "cut.1", "outline", "flat-6mm-3");
        put(&d, "part", "stock", kind ? "acrylic" : "al-6061-t6");
        put_length(&d, "cut.1", "axial", 1);
        put_length(&d, "cut.1", "radial", 6);
        put(&d, "cut.1", "chip_load", "0.03 mm/tooth");
        run(&d, false, &a);
        start(&b, a.job);
        hop(&b, -3, -3);
        ring(&b, -3, -3, 63, 43, -1);
        ring(&b, -3, -3, 63, 43, -2);
        ring(&b, -3, -3, 63, 43, -3.2);
        found = end(&b);
        const th_stage *stage = stage_of(&a, "cut.1", TH_PIECE_PART);
        double part = 0, local = 0;
        size_t straight = 0;
        for (size_t i = 0; i < b.count; i++) {
            const th_step_load *step = &b.steps[i];
            part = fmax(part, step->part_temperature);
            if (step->low < 0.01 && step->at[0] > 10 && step->at[0] < 50) { /* last pass */
                local += step->local_rise;
                straight++;
            }
            double tape = kind ? fmax(step->part_temperature, 21 + step->local_rise)
                               : step->part_temperature + step->local_rise;
            /* and what the plunges have brought to the part */
            assert_near(step->temperature, tape, 1e-12, kind ? 0.05 : 0);
            assert_true(step->temperature > tape - 1e-9);
        }
        assert_near(part - 21, stage->part_temperature - 21, 0.06, 0);
        assert_near(local / (double)straight, stage->local_rise, 0.02, 0);
        assert_near(found->hold_factor, 0, 0, 0); /* both are too warm */
        assert_near(stage->area_hold_factor, 0, 0, 0);
        stop(&b);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_slot),    cmocka_unit_test(test_widening),
        cmocka_unit_test(test_outline), cmocka_unit_test(test_pocket),
        cmocka_unit_test(test_taped),   cmocka_unit_test(test_drill),
        cmocka_unit_test(test_refused), cmocka_unit_test(test_slot_on_plate),
        cmocka_unit_test(test_plunge),  cmocka_unit_test(test_bore),
    };
    const struct CMUnitTest warm[] = {cmocka_unit_test(test_warmth)};
    int failed = cmocka_run_group_tests(tests, set_up, tear_down);

    return failed + cmocka_run_group_tests(warm, set_up_warm, tear_down);
}
