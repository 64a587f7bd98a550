/* Tests of the sweep: what a cutter takes off the stock, how it stands in it, what comes loose.
 * Closed forms are derived beside each test; cutters and stocks are invented. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "support/near.h"
#include "tackhold/program.h"

/* ---- helpers ------------------------------------------------------------------------------------
 */

static th_cutter cutter_of(th_cutter_kind kind, double diameter) {
    return (th_cutter){.kind = (int)kind,
                       .diameter = diameter,
                       .flutes = 3,
                       .helix = 30,
                       .corner_radius = kind == TH_BULL ? 1 : 0,
                       .flute_length = 3.5,
                       .tip_flat = NAN,
                       .tip_angle = kind == TH_DRILL ? 118 : 90};
}

enum { STEPS_MOST = 20000, LOOSE_MOST = 64 };

/* Under the sanitizers fewer samples and cases: each takes many times as long, and what
 * they look for shows in any of them. */
#ifdef __SANITIZE_ADDRESS__
enum { ROWS_APART = 17, KINDS_APART = 2, WALLS_APART = 13, TURNS_APART = 3 };
#else
enum { ROWS_APART = 11, KINDS_APART = 1, WALLS_APART = 1, TURNS_APART = 1 };
#endif

typedef struct {
    th_sweep *sweep;
    th_step *steps;
    size_t step_count;
    th_sweep_piece loose[LOOSE_MOST];
    size_t loose_count;
    size_t stands;
    double at[3];
    int line;
    double feed, speed;
    int spindle, tool;
} bench;

static bool take_step(void *context, const th_step *step, th_error *err) {
    bench *b = context;

    (void)err;
    if (b->step_count < STEPS_MOST) {
        b->steps[b->step_count++] = *step;
    }
    return true;
}

static bool take_loose(void *context, int piece, const th_sweep_piece *about, th_error *err) {
    bench *b = context;

    (void)err;
    assert_true(piece > 0);
    if (b->loose_count < LOOSE_MOST) {
        b->loose[b->loose_count++] = *about;
    }
    return true;
}

static bool take_stand(void *context, const th_move *move, th_error *err) {
    (void)move;
    (void)err;
    ((bench *)context)->stands++;
    return true;
}

static void start(bench *b, const th_sweep_setup *setup) {
    th_sweep_sink sink = {take_step, take_loose, take_stand, b};
    th_error err;

    *b = (bench){.at = {0, 0, 50}, .feed = 600, .speed = 12000, .spindle = 1, .tool = 1};
    b->steps = malloc(STEPS_MOST * sizeof *b->steps);
    assert_non_null(b->steps);
    if (!th_sweep_make(setup, &sink, &b->sweep, &err)) {
        fail_msg("%s", err.message);
    }
}

static void stop(bench *b) {
    th_sweep_free(b->sweep);
    free(b->steps);
}

/* A plate 60 x 40 x 5 mm and one cutter for every number. */
static th_sweep_setup plate_of(th_sweep_tool *tool, const th_cutter *cutter) {
    *tool = (th_sweep_tool){.number = -1, .cutter = cutter};
    return (th_sweep_setup){.box = {0, 0, 60, 40},
                            .thickness = 5,
                            .plate_top = -0.3,
                            .table = -12.3,
                            .tools = tool,
                            .tool_count = 1,
                            .skin = 0.05};
}

static th_move move_of(bench *b, th_move_kind kind, double x, double y, double z) {
    th_move move = {.kind = kind,
                    .line = ++b->line,
                    .from = {b->at[0], b->at[1], b->at[2]},
                    .to = {x, y, z},
                    .axes = {0, 1, 2},
                    .feed = kind == TH_MOVE_RAPID ? 0 : b->feed,
                    .speed = b->speed,
                    .spindle = b->spindle,
                    .tool = b->tool};

    memcpy(b->at, move.to, sizeof b->at);
    return move;
}

static void give(bench *b, const th_move *move) {
    th_error err;

    if (!th_sweep_move(b->sweep, move, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
}

static void rapid(bench *b, double x, double y, double z) {
    th_move move = move_of(b, TH_MOVE_RAPID, x, y, z);

    give(b, &move);
}

/* Up, and over there. */
static void hop(bench *b, double x, double y) {
    rapid(b, b->at[0], b->at[1], 20);
    rapid(b, x, y, 20);
    rapid(b, x, y, 6);
}

static void feed(bench *b, double x, double y, double z) {
    th_move move = move_of(b, TH_MOVE_LINE, x, y, z);

    give(b, &move);
}

/* An arc in plan about (x, y) by an angle, ending at height z. */
static void arc(bench *b, double x, double y, double sweep, double z) {
    double dx = b->at[0] - x, dy = b->at[1] - y, c = cos(sweep), s = sin(sweep);
    th_move move = move_of(b, TH_MOVE_ARC, x + c * dx - s * dy, y + s * dx + c * dy, z);

    move.centre[0] = x;
    move.centre[1] = y;
    move.sweep = sweep;
    give(b, &move);
}

static void end(bench *b) {
    th_error err;

    assert_true(th_sweep_end(b->sweep, &err));
}

static double removed(const bench *b) {
    return th_sweep_sums_of(b->sweep).removed;
}

static double cell_of(const bench *b) {
    return th_sweep_map(b->sweep).cell;
}

/* Error of an area with that much wall, by counting: half a cell^2 a mm, and some for corners. */
static double area_error(const bench *b, double wall) {
    return cell_of(b) * cell_of(b) * (4 + 0.5 * wall);
}

/* ---- volume
 * -------------------------------------------------------------------------------------- */

static void test_slot_volume(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    bench b;
    (void)state;

    for (int i = 0; i < 10; i += TURNS_APART) {
        double y = 20 + 0.0137 * i, exact = 60 * 6 * 2;
        start(&b, &setup);
        assert_near(cell_of(&b), 0.04, 1e-9, 0);
        rapid(&b, -10, y, 3);
        feed(&b, 70, y, 3);
        end(&b);
        assert_near(removed(&b), exact, 0, 2 * area_error(&b, 120));
        stop(&b);
    }
}

static void test_closed_slot_volume(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    bench b;
    (void)state;

    for (int i = 0; i < 12; i += TURNS_APART) {
        double angle = 2 * TH_PI * i / 12 + 0.01, c = cos(angle), s = sin(angle);
        double exact = 1.5 * (24 * 6 + TH_PI * 9);
        start(&b, &setup);
        rapid(&b, 30 - 12 * c, 20 - 12 * s, 6);
        feed(&b, 30 - 12 * c, 20 - 12 * s, 3.5);
        feed(&b, 30 + 12 * c, 20 + 12 * s, 3.5);
        end(&b);
        assert_near(removed(&b), exact, 0, 1.5 * area_error(&b, 70));
        stop(&b);
    }
}

/* Full circle of a flat cutter: a ring as wide as the cutter; a bore where the path is narrower. */
static void test_circle_volume(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    bench b;
    (void)state;

    for (double radius = 1; radius < 14; radius += 1.3) {
        double inner = fmax(radius - 3, 0);
        double exact = 2 * TH_PI * ((radius + 3) * (radius + 3) - inner * inner);
        start(&b, &setup);
        rapid(&b, 30.011 + radius, 20.003, 6);
        feed(&b, 30.011 + radius, 20.003, 3);
        arc(&b, 30.011, 20.003, radius > 7 ? -2 * TH_PI : 2 * TH_PI, 3);
        end(&b);
        assert_near(removed(&b), exact, 0, 2 * area_error(&b, 2 * TH_PI * (radius + 3 + inner)));
        stop(&b);
    }
}

/* Down a ramp of slope k and length L the bottom at x is as deep as the cutter is where it leaves
 * x, k min(x + w, L) with half chord w; over the cutter's width k (L^2 R + pi R^2 L). */
static void test_ramp_volume(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    bench b;
    (void)state;

    for (int i = 0; i < 8; i += TURNS_APART) {
        double angle = 0.2 + TH_PI * i / 4, c = cos(angle), s = sin(angle);
        double length = 20, k = 0.1, exact = k * (length * length * 3 + TH_PI * 9 * length);
        start(&b, &setup);
        rapid(&b, 30 - 10 * c, 20 - 10 * s, 5);
        feed(&b, 30 + 10 * c, 20 + 10 * s, 3);
        end(&b);
        assert_near(removed(&b), exact, 0, 2 * area_error(&b, 50));
        stop(&b);
    }
}

/* A helix that sinks by `depth` on a path narrower than the cutter, and a circle at its bottom. */
static void test_helix_volume(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, 32.01, 20, 5);
    arc(&b, 30.01, 20, 6 * TH_PI, 2.5);
    arc(&b, 30.01, 20, 2 * TH_PI, 2.5);
    end(&b);
    assert_near(removed(&b), 2.5 * TH_PI * 25, 0, 2.5 * area_error(&b, 32));
    stop(&b);
}

/* Rows side by side: a pocket with corners as round as the cutter. */
static void test_pocket_volume(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    double exact = 2 * (30 * 18 - (4 - TH_PI) * 9);
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, 18.003, 14.001, 6);
    feed(&b, 18.003, 14.001, 3);
    for (int row = 0; row <= 4; row++) {
        double y = 14.001 + 3 * row;
        feed(&b, row % 2 ? 42.003 : 18.003, y, 3);
        feed(&b, row % 2 ? 18.003 : 42.003, y, 3);
    }
    end(&b);
    feed(&b, 42.003, 14.001, 3);
    feed(&b, 18.003, 14.001, 3);
    feed(&b, 18.003, 26.001, 3);
    end(&b);
    assert_near(removed(&b), exact, 0, 2 * area_error(&b, 96));
    stop(&b);
}

/* Arcs of 90 m radius, seventeen times round, that cross the plate: what lies far from it costs
 * nothing. */
static void test_huge_arcs(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    clock_t begun = clock();
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, 30, -60, 8);
    rapid(&b, 30, -60, 2);
    for (int i = 0; i < 30; i++) {
        th_move move = move_of(&b, TH_MOVE_ARC, 30, -60, 2);
        move.centre[0] = 30 - 90e3;
        move.centre[1] = -60;
        move.sweep = 17 * 2 * TH_PI;
        give(&b, &move);
    }
    end(&b);
    assert_near(removed(&b), 40 * 6 * 3, 0, 3 * area_error(&b, 80));
    assert_true((double)(clock() - begun) / CLOCKS_PER_SEC < 20); /* 600 million stretches */
    stop(&b);
}

/* A level pass of a ball: the segment of its circle, over the length of the plate. */
static void test_ball_volume(void **state) {
    th_cutter cutter = cutter_of(TH_BALL, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    bench b;
    (void)state;

    for (double deep = 0.25; deep < 3.1; deep += 0.55) {
        double left = 3 - deep;
        double segment = 9 * acos(left / 3) - left * sqrt(2 * 3 * deep - deep * deep);
        start(&b, &setup);
        rapid(&b, -10, 20.013, 5 - deep);
        feed(&b, 70, 20.013, 5 - deep);
        end(&b);
        assert_near(removed(&b), 60 * segment, 0, deep * area_error(&b, 120));
        stop(&b);
    }
}

/* A drill: its cone and the cylinder over it. */
static void test_drill_volume(void **state) {
    th_cutter cutter = cutter_of(TH_DRILL, 4);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    double point = 2 / tan(59 * TH_PI / 180), exact = TH_PI * 4 * (4 - point * 2 / 3);
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, 30.01, 20, 6);
    feed(&b, 30.01, 20, 1);
    end(&b);
    assert_near(removed(&b), exact, 0, 4 * area_error(&b, 13));
    assert_int_equal(b.steps[b.step_count - 1].engagement.zone_count, 0);
    assert_near(b.steps[b.step_count - 1].engagement.end_area, TH_PI * 4, 0.02, 0);
    assert_near(b.steps[b.step_count - 1].across, 0, 0, 0);
    stop(&b);
}

/* ---- the swept region against ever so many places on the way
 * --------------------------------------- */

static double surface(const th_cutter *cutter, double r) {
    double radius = cutter->diameter / 2, out;

    if (r > radius) {
        return INFINITY;
    }
    switch (cutter->kind) {
    case TH_BALL:
        return radius - sqrt(radius * radius - r * r);
    case TH_BULL:
        out = r - (radius - cutter->corner_radius);
        return out <= 0 ? 0
                        : cutter->corner_radius -
                              sqrt(cutter->corner_radius * cutter->corner_radius - out * out);
    case TH_CHAMFER:
    case TH_POINT:
    case TH_DRILL:
        out = r - (isnan(cutter->tip_flat) ? 0 : cutter->tip_flat / 2);
        return out <= 0 ? 0 : out / tan(cutter->tip_angle * TH_PI / 360);
    default:
        return 0;
    }
}

/* The place on a move at a share of it. */
static void place_of(const th_move *move, double share, double at[3]) {
    int a = move->axes[0], b = move->axes[1], c = move->axes[2];
    double dx = move->from[a] - move->centre[0], dy = move->from[b] - move->centre[1];
    double cosine = cos(share * move->sweep), sine = sin(share * move->sweep);

    for (int i = 0; i < 3; i++) {
        at[i] = move->from[i] + share * (move->to[i] - move->from[i]);
    }
    if (move->kind == TH_MOVE_ARC) {
        at[a] = move->centre[0] + cosine * dx - sine * dy;
        at[b] = move->centre[1] + sine * dx + cosine * dy;
        at[c] = move->from[c] + share * (move->to[c] - move->from[c]);
    }
}

static double lowest_of(const th_cutter *cutter, const th_move *move, th_point place, int looks) {
    double lowest = 5, at[3];

    for (int i = 0; i <= looks; i++) {
        place_of(move, (double)i / looks, at);
        lowest = fmin(lowest, at[2] + surface(cutter, hypot(place.x - at[0], place.y - at[1])));
    }
    return fmax(lowest, 0);
}

/* Every so many samples; where the side of the cutter passes by one, looks may miss it. */
static void compare_region(bench *b, const th_cutter *cutter, const th_move *move, double slack) {
    th_height_map map = th_sweep_map(b->sweep);
    size_t differ = 0, looked = 0, over = 0;
    double worst = 0;

    for (size_t row = 5; row < map.rows; row += ROWS_APART) {
        for (size_t i = row % 7; i < map.columns; i += 7) {
            double height = (double)map.heights[row * map.columns + i];
            double brute = lowest_of(cutter, move, th_map_sample(&map, i, row), 2000);
            looked += brute < 5 || height < 5;
            differ += fabs(height - brute) > 0.02;
            worst = fmax(worst, fabs(height - brute) > 0.02 ? 0 : fabs(height - brute));
            over += height > brute + slack;
        }
    }
    assert_true(looked > 80);
    assert_true(differ * 300 < looked);
    assert_true(over * (slack > 1e-3 ? 100 : looked + 1) <= looked); /* chords: steep walls */
}

static void test_swept_region(void **state) {
    static const th_cutter_kind kinds[] = {TH_FLAT,    TH_BALL,  TH_BULL,
                                           TH_CHAMFER, TH_POINT, TH_DRILL};
    (void)state;

    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k += KINDS_APART) {
        th_cutter cutter = cutter_of(kinds[k], 8);
        th_sweep_tool tool;
        th_sweep_setup setup = plate_of(&tool, &cutter);
        cutter.tip_flat = kinds[k] == TH_CHAMFER ? 1.5 : NAN;
        for (int way = 0; way < 6; way++) {
            /* level, gentle and steep, down and up, straight; then arcs in the three planes */
            static const double drop[] = {0, -1.5, 3.4};
            bench b;
            start(&b, &setup);
            b.at[0] = 12.3;
            b.at[1] = 11.7;
            b.at[2] = way == 2 ? 0.8 : 4.2;
            th_move move = move_of(&b, TH_MOVE_LINE, 44, 27, b.at[2] + (way < 3 ? drop[way] : -1));
            if (way >= 3) {
                move.kind = TH_MOVE_ARC;
                move.axes[0] = way == 5 ? 1 : 0;
                move.axes[1] = way == 3 ? 1 : 2;
                move.axes[2] = way == 3 ? 2 : way == 4 ? 1 : 0;
                move.centre[0] = way == 5 ? 20 : 30;
                move.centre[1] = way == 3 ? 20 : 12;
                move.sweep = way == 3 ? 4.1 : 1.6;
                move.from[0] = 22;
                move.from[1] = 17;
                move.from[2] = way == 3 ? 4 : way == 4 ? 3 : 4;
                double at[3];
                move.to[0] = way == 5 ? 40 : 30;
                move.to[1] = way == 4 ? 25 : 20;
                move.to[2] = 2;
                place_of(&move, 1, at);
                memcpy(move.to, at, sizeof at);
            }
            give(&b, &move);
            compare_region(&b, &cutter, &move,
                           way < 3 || (way == 3 && kinds[k] == TH_FLAT) ? 2e-6 : 0.01);
            stop(&b);
        }
    }
}

/* ---- engagement
 * -------------------------------------------------------------------------------------- */

/* One step in the middle of a path. */
static const th_step *middle_step(const bench *b) {
    return &b->steps[b->step_count / 2];
}

static void test_slot_engagement(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    bench b;
    (void)state;

    for (int i = 0; i < 8; i += TURNS_APART) {
        double angle = 0.1 + TH_PI * i / 4, c = cos(angle), s = sin(angle);
        const th_engagement *e;
        start(&b, &setup);
        rapid(&b, 30 - 10 * c, 20 - 10 * s, 6);
        feed(&b, 30 - 10 * c, 20 - 10 * s, 3.2);
        b.step_count = 0;
        feed(&b, 30 + 10 * c, 20 + 10 * s, 3.2);
        end(&b);
        e = &middle_step(&b)->engagement;
        assert_int_equal(e->zone_count, 1);
        assert_int_equal(e->zones[0].arc_count, 1);
        assert_near(e->zones[0].arcs[0].entry, 0, 0, 0);
        assert_near(e->zones[0].arcs[0].exit, TH_PI, 1e-12, 0);
        assert_near(e->zones[0].low, 0, 0, 0);
        assert_near(e->zones[0].high, 1.8, 0.0026, 0);
        assert_near(remainder(middle_step(&b)->heading - angle, 2 * TH_PI), 0, 0, 1e-9);
        for (size_t k = 1; k < b.step_count; k++) {
            assert_true(b.steps[k].engagement.key == b.steps[0].engagement.key);
        }
        stop(&b);
    }
}

/* Along a straight wall the arc is acos(1 - ae/R) wide, on the side where the stock lies. */
static void check_wall(double radial, double angle, bool climb, double worst[2]) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    double c = cos(angle), s = sin(angle), side = climb ? -1 : 1;
    double x = 30 - s * side * radial, y = 20 + c * side * radial;
    double arc_wide = acos(1 - radial / 3);
    bench b;

    start(&b, &setup);
    rapid(&b, 30 - 14 * c, 20 - 14 * s, 6);
    feed(&b, 30 - 14 * c, 20 - 14 * s, 3);
    feed(&b, 30 + 14 * c, 20 + 14 * s, 3);
    hop(&b, x - 10 * c, y - 10 * s);
    feed(&b, x - 10 * c, y - 10 * s, 3);
    b.step_count = 0;
    feed(&b, x + 10 * c, y + 10 * s, 3);
    end(&b);
    assert_true(b.step_count >= 13);
    for (size_t k = 1; k + 1 < b.step_count; k++) {
        const th_engagement *e = &b.steps[k].engagement;
        assert_int_equal(e->zone_count, 1);
        assert_int_equal(e->zones[0].arc_count, 1);
        assert_near(e->zones[0].high, 2, 0.0026, 0);
        const th_arc *found = &e->zones[0].arcs[0];
        double off = fabs(e->radial - radial);
        worst[k > 5] = fmax(worst[k > 5], off);
        assert_near(climb ? found->exit : found->entry, climb ? TH_PI : 0, 0, 1e-12);
        assert_near(found->exit - found->entry, arc_wide, 0.0026, 1.1 * off / (3 * sin(arc_wide)));
    }
    stop(&b);
}

static void test_wall_engagement(void **state) {
    double worst[2] = {0}; /* of first steps, and of those that are averaged */
    (void)state;

    for (int i = 0; i < 240; i += WALLS_APART) {
        double radial = 0.15 + 5.7 * (i * 7 % 240) / 240, angle = 2 * TH_PI * (i * 11 % 240) / 240;
        check_wall(radial, i % 4 ? angle : TH_PI / 4 * (i / 4), i % 2 == 0, worst);
    }
    assert_true(worst[0] < 1.5 * 0.04); /* cells */
    assert_true(worst[1] < 0.5 * 0.04);
}

/* Into the corner of a pocket, a wall of width ae on the right and one straight ahead: where that
 * is q ahead of the axis the arc reaches from asin(q/R) to 180 deg. */
static void test_corner_engagement(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    th_point points[] = {{0, 0}, {60, 0}, {60, 40}, {40.3, 40}, {40.3, 17.8}, {0, 17.8}};
    th_shape shape = {
        .kind = TH_SHAPE_POLYGON, .length = 60, .width = 40, .points = points, .point_count = 6};
    th_outline outline;
    th_error err;
    int seen = 0, apart = 0;
    bench b;
    (void)state;

    assert_true(th_shape_outline(&shape, 0, &outline, &err));
    setup.stock = &outline;
    setup.step = 0.25;
    start(&b, &setup);
    rapid(&b, -8, 20, 3);
    feed(&b, 40, 20, 3); /* ae: 17.8 - 17 = 0.8 mm */
    end(&b);
    for (size_t k = 0; k < b.step_count; k++) {
        const th_engagement *e = &b.steps[k].engagement;
        double q = 40.3 - b.steps[k].at[0], wall = TH_PI - acos(1 - 0.8 / 3);
        if (b.steps[k].at[0] > 5 && q > 3.3) { /* the wall alone */
            assert_near(e->zones[0].arcs[0].entry, wall, 0, 0.05);
        } else if (q < 2.95 && q > 0.95 && TH_PI - asin(q / 3) >= wall + 0.1) { /* both, joined */
            assert_int_equal(e->zones[0].arc_count, 1);
            assert_near(e->zones[0].arcs[0].entry, asin(q / 3), 0, 0.08);
            assert_near(e->zones[0].arcs[0].exit, TH_PI, 1e-12, 0);
            seen++;
        } else if (q < 2.9 && q > 2.5) { /* ahead and right, apart */
            assert_int_equal(e->zones[0].arc_count, 2);
            assert_near(e->zones[0].arcs[0].entry, asin(q / 3), 0, 0.08);
            assert_near(e->zones[0].arcs[0].exit, TH_PI - asin(q / 3), 0, 0.08);
            assert_near(e->zones[0].arcs[1].entry, wall, 0, 0.08);
            apart++;
        }
    }
    assert_true(seen >= 3 && apart >= 1);
    stop(&b);
    th_outline_free(&outline);
}

/* Two depths of stock in front of the cutter: two slices. And a cut through: the slice begins over
 * the lowest point. */
static void test_stepped_engagement(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    const th_engagement *e;
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, -5, 22.01, 3.5);
    feed(&b, 65, 22.01, 3.5); /* floor at 3.5 for y above 19.01 */
    hop(&b, -5, 20.01);
    rapid(&b, -5, 20.01, -0.4);
    b.step_count = 0;
    feed(&b, 65, 20.01, -0.4);
    end(&b);
    e = &middle_step(&b)->engagement;
    assert_int_equal(e->zone_count, 2);
    assert_near(e->zones[0].low, 0.4, 0.0026, 0);
    assert_near(e->zones[0].high, 3.9, 0.004, 0);
    assert_near(e->zones[0].arcs[0].exit - e->zones[0].arcs[0].entry, TH_PI, 1e-12, 0);
    assert_near(e->zones[1].high, 5.4, 0.004, 0);
    assert_near(e->zones[1].arcs[0].entry, acos(-1.0 / 3), 0, 0.01);
    assert_near(e->zones[1].arcs[0].exit, TH_PI, 1e-12, 0);
    assert_near(middle_step(&b)->opened, 6 * middle_step(&b)->across, 0.02, 0);
    stop(&b);
}

/* Steps along the straight groove of a ball, in what it left one level above, engage alike. That
 * counting on a map errs must not make each of them another engagement, with a force of its own. */
static void test_steady_engagement(void **state) {
    th_cutter cutter = cutter_of(TH_BALL, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    (void)state;

    for (int levels = 1; levels <= 6; levels++) {
        int others = 0;
        bench b;
        start(&b, &setup);
        for (int i = 1; i <= levels; i++) {
            hop(&b, -5, 20.01);
            rapid(&b, -5, 20.01, 5 - 0.7 * i);
            b.step_count = 0;
            feed(&b, 65, 20.01, 5 - 0.7 * i);
        }
        end(&b);
        for (size_t i = b.step_count / 4; i + 1 < 3 * b.step_count / 4; i++) {
            others += b.steps[i].engagement.key != b.steps[i + 1].engagement.key;
        }
        print_message("level %d: %d changes in %zu steps\n", levels, others, b.step_count / 2);
        assert_true(others * 10 < (int)b.step_count / 2);
        stop(&b);
    }
}

/* A level slot of a ball is engaged half round at every height up to its depth. */
static void test_ball_engagement(void **state) {
    th_cutter cutter = cutter_of(TH_BALL, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    const th_engagement *e;
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, -5, 20.01, 3.7);
    feed(&b, 65, 20.01, 3.7);
    end(&b);
    e = &middle_step(&b)->engagement;
    assert_true(e->zone_count >= 1);
    assert_near(e->height, 1.3, 0.01, 0);
    for (int i = 1; i < e->zone_count; i++) {
        assert_near(e->zones[i].arcs[0].exit - e->zones[i].arcs[0].entry, TH_PI, 1e-9, 0);
    }
    assert_near(e->radial, 2 * sqrt(2 * 3 * 1.3 - 1.3 * 1.3), 0.03, 0);
    stop(&b);
}

/* A ramp: its end cuts the whole disc but for what its own floor has left; its side the slot. */
static void test_ramp_engagement(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    const th_step *step;
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, 15.01, 20, 5);
    feed(&b, 45.01, 20, 3.5);
    end(&b);
    step = middle_step(&b);
    assert_near(step->engagement.end_area, TH_PI * 9, 0.03, 0);
    assert_near(step->down / step->across, 0.05, 1e-9, 0);
    assert_near(step->engagement.zones[0].arcs[0].exit - step->engagement.zones[0].arcs[0].entry,
                TH_PI, 1e-9, 0);
    assert_near(step->engagement.height, 5 - step->at[2] - step->down / 2, 0.004, 0);
    stop(&b);
}

/* Short moves add up to steps of the same engagement. */
static void test_short_moves(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, -5, 22.01, 3.5);
    feed(&b, 65, 22.01, 3.5);
    hop(&b, 10, 20.01);
    feed(&b, 10, 20.01, 3.5);
    b.step_count = 0;
    for (int i = 1; i <= 1000; i++) {
        feed(&b, 10 + 0.03 * i, 20.01, 3.5);
    }
    end(&b);
    assert_in_range(b.step_count, 30, 125);
    double total = 0, worst = 0;
    for (size_t k = 0; k < b.step_count; k++) {
        total += b.steps[k].across;
        worst = fmax(worst, fabs(b.steps[k].engagement.radial - 2));
        assert_near(b.steps[k].seconds, b.steps[k].length / 10, 1e-9, 0);
    }
    assert_near(total, 30, 1e-9, 0);
    assert_true(worst < 1.5 * cell_of(&b));
    stop(&b);
}

/* A wider cutter where a narrower one stood, and a move that leads nowhere: no step of no length;
 * the next move takes what stands there. By area: a disc of 6 mm and a rectangle of 6 x 10 mm, 2
 * deep. */
static void test_move_of_no_length(void **state) {
    th_cutter narrow = cutter_of(TH_FLAT, 3), wide = cutter_of(TH_FLAT, 6);
    th_sweep_tool tools[2] = {{.number = 1, .cutter = &narrow}, {.number = 2, .cutter = &wide}};
    th_sweep_setup setup = plate_of(&tools[0], &narrow);
    double before;
    bench b;

    (void)state;
    tools[0].number = 1;
    setup.tools = tools;
    setup.tool_count = 2;
    start(&b, &setup);
    rapid(&b, 20, 20, 10);
    feed(&b, 20, 20, 3);
    before = removed(&b);
    b.tool = 2;
    feed(&b, 20, 20, 3);
    assert_near(removed(&b), before, 1e-12, 0);
    feed(&b, 30, 20, 3);
    end(&b);
    assert_near(removed(&b), 2 * (TH_PI * 9 + 60), 0.01, 0);
    for (size_t i = 0; i < b.step_count; i++) {
        assert_true(b.steps[i].length > 0 && isfinite(b.steps[i].at[0]));
    }
    stop(&b);
}

/* ---- pieces
 * -------------------------------------------------------------------------------------------- */

static void frame_cut(bench *b, double z) {
    feed(b, 47.01, 7.02, z);
    feed(b, 47.01, 33.02, z);
    feed(b, 13.01, 33.02, z);
    feed(b, 13.01, 7.02, z);
}

static void test_part_comes_loose(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    const th_sweep_piece *part, *frame;
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, 13.01, 7.02, 6);
    feed(&b, 13.01, 7.02, 2);
    frame_cut(&b, 2);
    assert_int_equal(b.loose_count, 0);
    feed(&b, 13.01, 7.02, -0.2);
    frame_cut(&b, -0.2);
    end(&b);
    assert_int_equal(b.loose_count, 1);
    assert_int_equal(b.loose[0].line, b.line);
    assert_int_equal(th_sweep_piece_count(b.sweep), 2);
    frame = th_sweep_piece_at(b.sweep, 0);
    part = th_sweep_piece_at(b.sweep, 1);
    assert_null(th_sweep_piece_at(b.sweep, 2));
    if (part->bonded.area > frame->bonded.area) {
        const th_sweep_piece *other = part;
        part = frame;
        frame = other;
    }
    /* inside 28 x 20, outside 60 x 40 less 40 x 32 with corners of 3 mm */
    assert_near(part->bonded.area, 28 * 20, 0, area_error(&b, 96));
    assert_near(frame->bonded.area, 60 * 40 - 40 * 32 + (4 - TH_PI) * 9, 0, area_error(&b, 144));
    assert_near(part->bonded.sx / part->bonded.area, 30.01, 0, 0.01);
    assert_near(part->bonded.sy / part->bonded.area, 20.02, 0, 0.01);
    assert_near(part->box[0], 16.01, 0, 0.06);
    assert_near(part->box[2], 44.01, 0, 0.06);
    assert_near(part->box[3], 30.02, 0, 0.06);
    stop(&b);
}

/* Through cuts that part nothing: an open C, and a pocket with a skin left. */
static void test_nothing_comes_loose(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, 13.01, 7.02, 6);
    feed(&b, 13.01, 7.02, -0.2);
    feed(&b, 47.01, 7.02, -0.2);
    feed(&b, 47.01, 33.02, -0.2);
    feed(&b, 13.01, 33.02, -0.2);
    feed(&b, 13.01, 13.2, -0.2); /* 0.18 mm of it stay */
    end(&b);
    assert_int_equal(b.loose_count, 0);
    stop(&b);

    /* a skin joins nothing, so what it lies on holds nothing: all but 6 mm round 34 x 26 mm */
    double kerf = 40 * 32 - (4 - TH_PI) * 9 - 28 * 20;
    start(&b, &setup);
    rapid(&b, 13.01, 7.02, 6);
    feed(&b, 13.01, 7.02, 0.2);
    frame_cut(&b, 0.2); /* thicker than the skin that joins nothing */
    end(&b);
    assert_int_equal(b.loose_count, 0);
    feed(&b, 13.01, 7.02, 0.04);
    frame_cut(&b, 0.04);
    end(&b);
    assert_int_equal(b.loose_count, 1);
    assert_near(th_sweep_piece_at(b.sweep, 0)->bonded.area +
                    th_sweep_piece_at(b.sweep, 1)->bonded.area,
                2400 - kerf, 1e-3, 0);
    stop(&b);
}

static void test_slugs_and_halves(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, 23.01, 20, 6);
    feed(&b, 23.01, 20, 5);
    arc(&b, 15.01, 20, 8 * TH_PI, -0.2);
    assert_int_equal(b.loose_count, 0); /* the last turn leaves a ramp */
    arc(&b, 15.01, 20, 2 * TH_PI, -0.2);
    end(&b);
    assert_int_equal(b.loose_count, 1); /* a slug of 10 mm */
    assert_near(th_sweep_piece_at(b.sweep, 1)->bonded.area, TH_PI * 25, 0, area_error(&b, 31));
    hop(&b, 40, -5);
    rapid(&b, 40, -5, -0.2);
    feed(&b, 40, 45, -0.2);
    end(&b);
    assert_int_equal(b.loose_count, 2);
    assert_near(th_sweep_piece_at(b.sweep, 2)->bonded.area, 17 * 40, 0, area_error(&b, 114));
    assert_int_equal(b.loose[1].from, 0);
    assert_true(th_sweep_sums_of(b.sweep).labellings < 20);
    stop(&b);
}

static void test_hull_and_outline(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 3);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    th_shape shape = {.kind = TH_SHAPE_DISC, .length = 40};
    th_point *corners;
    size_t count;
    th_outline outline;
    th_error err;
    bench b;
    (void)state;

    assert_true(th_shape_outline(&shape, 0, &outline, &err));
    setup.stock = &outline;
    start(&b, &setup);
    assert_near(th_sweep_piece_at(b.sweep, 0)->bonded.area, TH_PI * 400, 0, area_error(&b, 126));
    assert_near(th_sweep_piece_at(b.sweep, 0)->bonded.sxx, th_outline_section(&outline).sxx, 1e-4,
                0);
    assert_true(th_sweep_hull(b.sweep, 0, &corners, &count, &err));
    assert_in_range(count, 40, 4000);
    assert_near(th_section_polygon(corners, count).area, TH_PI * 400, 0, 126 * cell_of(&b) / 2);
    free(corners);
    assert_true(th_sweep_hull(b.sweep, 7, &corners, &count, &err));
    assert_int_equal(count, 0);
    free(corners);
    stop(&b);
    th_outline_free(&outline);
}

/* ---- findings
 * -------------------------------------------------------------------------------------------- */

static void test_findings(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    const th_found *found;
    size_t count;
    bench b;
    (void)state;

    start(&b, &setup);
    rapid(&b, 10, 10, 6);
    rapid(&b, 30, 10, 6);
    rapid(&b, 30, 10, 5);
    feed(&b, 30, 10, 3.5);
    rapid(&b, 30, 10, 6); /* out of its own hole */
    rapid(&b, 30, 10, 3.5);
    th_sweep_found(b.sweep, &count);
    assert_int_equal(count, 0);
    rapid(&b, 45, 10, 3.5); /* line 7, through the wall */
    rapid(&b, 45, 10, 6);
    rapid(&b, 45, 10, -13); /* line 9, down into the table */
    b.at[2] = 6;
    b.spindle = 0;
    feed(&b, 10, 30, 3);
    b.spindle = -1;
    feed(&b, 20, 30, 3);
    end(&b);
    hop(&b, -5, 35);
    b.spindle = 1;
    rapid(&b, -5, 35, 1);
    feed(&b, 10, 35, 1); /* line 14: 4 mm deep */
    end(&b);
    found = th_sweep_found(b.sweep, &count);
    assert_int_equal(count, 6);
    assert_int_equal(found[5].kind, TH_FOUND_FLUTES);
    assert_near(found[5].depth, 0.5, 0, 0.02);
    assert_int_equal(found[0].kind, TH_FOUND_RAPID);
    assert_int_equal(found[0].line, 7);
    assert_near(found[0].depth, 1.5, 1e-6, 0);
    assert_int_equal(found[1].line, 9);
    assert_int_equal(found[2].line, 9);
    assert_near(found[1].kind == TH_FOUND_TABLE ? found[1].depth : found[2].depth, 0.7, 1e-6, 0);
    /* straight down, all the way through what stood there */
    assert_near(found[1].kind == TH_FOUND_RAPID ? found[1].depth : found[2].depth, 3.5, 1e-6, 0);
    assert_int_equal(found[3].kind, TH_FOUND_STOPPED);
    assert_int_equal(found[4].kind, TH_FOUND_BACKWARDS);
    stop(&b);
}

/* Back in a kerf whose path was rounded a rapid scrapes the wall, by 0.02 mm at most; further over
 * it goes through what stands. */
static void a_rapid_may_scrape_its_own_wall(void **state) {
    static const int kinds[] = {TH_FLAT, TH_BALL, TH_BULL, TH_CHAMFER};

    (void)state;
    for (int i = 0; i < 8; i++) {
        th_cutter cutter = cutter_of(kinds[i / 2], 6);
        th_sweep_tool tool;
        th_sweep_setup setup = plate_of(&tool, &cutter);
        double over = i % 2 ? 0.06 : 0.014, aside[2] = {-0.6 * over, 0.8 * over};
        const th_found *found;
        size_t count;
        bench b;

        cutter.corner_radius = 1;
        cutter.tip_flat = 0;
        cutter.tip_angle = 90;
        start(&b, &setup);
        rapid(&b, 20, 10, 6);
        feed(&b, 20, 10, 4.9);
        feed(&b, 60, 40, 4.9);
        rapid(&b, 60 + aside[0], 40 + aside[1], 4.9);
        rapid(&b, 20 + aside[0], 10 + aside[1], 4.9);
        found = th_sweep_found(b.sweep, &count);
        assert_int_equal(count > 0, i % 2); /* the way over there may fall between samples */
        if (count > 0) {
            assert_int_equal(found[count - 1].kind, TH_FOUND_RAPID);
            assert_int_equal(found[count - 1].line, b.line);
            assert_true(found[count - 1].depth > 0.001 && found[count - 1].depth <= 0.1 + 1e-6);
        }
        stop(&b);
    }
}

/* ---- refusals
 * -------------------------------------------------------------------------------------------- */

static void refused(bench *b, th_move move, th_status code) {
    th_error err = {.code = TH_OK};

    move.line = 4711;
    assert_false(th_sweep_move(b->sweep, &move, &err));
    assert_int_equal(err.code, code);
    assert_int_equal(err.line, 4711);
    assert_true(strlen(err.message) > 10);
}

static void test_refused_moves(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup setup = plate_of(&tool, &cutter);
    static const double bad[] = {NAN, INFINITY, -INFINITY, 1e6, 1e300};
    bench b;
    (void)state;

    tool.number = 1;
    start(&b, &setup);
    th_move good = move_of(&b, TH_MOVE_ARC, 10, 0, 4);
    good.centre[0] = 5;
    good.sweep = TH_PI;
    give(&b, &good);
    for (size_t k = 0; k < sizeof bad / sizeof *bad; k++) {
        for (int i = 0; i < 3; i++) {
            th_move move = good;
            move.from[i] = bad[k];
            refused(&b, move, TH_BAD_RANGE);
            move = good;
            move.to[i] = bad[k];
            refused(&b, move, TH_BAD_RANGE);
        }
        th_move move = good;
        move.centre[0] = bad[k];
        refused(&b, move, TH_BAD_RANGE);
        move = good;
        move.sweep = bad[k] * 10;
        refused(&b, move, TH_BAD_RANGE);
        move = good;
        move.feed = -bad[k];
        if (isinf(bad[k]) || isnan(bad[k]) || bad[k] > 0) {
            refused(&b, move, TH_BAD_RANGE);
        }
    }
    th_move move = good;
    move.feed = 0;
    refused(&b, move, TH_BAD_RANGE);
    move = good;
    move.axes[1] = 0;
    refused(&b, move, TH_BAD_RANGE);
    move = good;
    move.axes[1] = 7;
    refused(&b, move, TH_BAD_RANGE);
    move = good;
    move.kind = TH_MOVE_LINE;
    move.tool = 2;
    refused(&b, move, TH_MISSING);
    move.kind = TH_MOVE_DWELL;
    move.seconds = NAN;
    refused(&b, move, TH_BAD_RANGE);
    move.seconds = 3;
    give(&b, &move);
    assert_int_equal(b.stands, 1);
    stop(&b);
}

static void test_refused_setups(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6);
    th_sweep_tool tool;
    th_sweep_setup good = plate_of(&tool, &cutter), bad;
    th_sweep_sink sink = {NULL, NULL, NULL, NULL};
    th_sweep *sweep;
    th_error err;
    (void)state;

    bad = good;
    bad.box[2] = NAN;
    assert_false(th_sweep_make(&bad, &sink, &sweep, &err));
    assert_null(sweep);
    bad = good;
    bad.box[2] = 5000;
    assert_false(th_sweep_make(&bad, &sink, &sweep, &err));
    bad = good;
    bad.thickness = 0;
    assert_false(th_sweep_make(&bad, &sink, &sweep, &err));
    bad = good;
    bad.tool_count = 0;
    assert_false(th_sweep_make(&bad, &sink, &sweep, &err));
    assert_int_equal(err.code, TH_MISSING);
    bad = good;
    bad.zero[1] = NAN;
    assert_false(th_sweep_make(&bad, &sink, &sweep, &err));
    bad = good;
    bad.memory = 1000;
    assert_false(th_sweep_make(&bad, &sink, &sweep, &err));
    assert_int_equal(err.code, TH_NOT_POSSIBLE);
    bad = good;
    bad.memory = 600000; /* 0.155 mm: still fine */
    assert_true(th_sweep_make(&bad, &sink, &sweep, &err));
    assert_true(th_sweep_map(sweep).bytes < 620000);
    th_sweep_free(sweep);
    th_sweep_free(NULL);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_slot_volume),
        cmocka_unit_test(test_closed_slot_volume),
        cmocka_unit_test(test_circle_volume),
        cmocka_unit_test(test_ramp_volume),
        cmocka_unit_test(test_helix_volume),
        cmocka_unit_test(test_pocket_volume),
        cmocka_unit_test(test_huge_arcs),
        cmocka_unit_test(test_ball_volume),
        cmocka_unit_test(test_drill_volume),
        cmocka_unit_test(test_swept_region),
        cmocka_unit_test(test_slot_engagement),
        cmocka_unit_test(test_wall_engagement),
        cmocka_unit_test(test_corner_engagement),
        cmocka_unit_test(test_stepped_engagement),
        cmocka_unit_test(test_ball_engagement),
        cmocka_unit_test(test_steady_engagement),
        cmocka_unit_test(test_ramp_engagement),
        cmocka_unit_test(test_short_moves),
        cmocka_unit_test(test_move_of_no_length),
        cmocka_unit_test(test_part_comes_loose),
        cmocka_unit_test(test_nothing_comes_loose),
        cmocka_unit_test(test_slugs_and_halves),
        cmocka_unit_test(test_hull_and_outline),
        cmocka_unit_test(test_findings),
        cmocka_unit_test(a_rapid_may_scrape_its_own_wall),
        cmocka_unit_test(test_refused_moves),
        cmocka_unit_test(test_refused_setups),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
