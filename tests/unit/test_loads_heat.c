/* Tests of the warmth along a program: the tape gets as warm as by the job's model of the same cut,
 * from metals to plastics, small cutters to large. Parts and programs are invented. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/program.h"

#define ROOM 21.0
/* Highest rise of a wall by the heat that goes in, where one groove runs into another, 0.2 mm of 2
 * mm left: python3 tests/reference/groove_heat.py, NumPy 1.24.2 (K/W). */
#define CROSSED 1.61

/* ---- a program
 * ------------------------------------------------------------------------------------- */

typedef struct {
    th_loads *loads;
    th_sweep_tool tool;
    double at[3], feed, speed, deep; /* deep: as the job's cut goes (mm) */
    int line;
    double radial;            /* steps engaged more widely are left out; 0: none (mm) */
    double tape, part, local; /* highest of the others (C, C, K) */
    double power;             /* largest (W) */
    double per_watt; /* most local rise by power, of steps of half of `power` or more (K/W) */
} bench;

static bool take(void *context, const th_step_load *load, th_error *err) {
    bench *b = context;
    (void)err;

    if (!(b->radial > 0) || load->radial < 1.02 * b->radial) {
        b->tape = fmax(b->tape, load->temperature);
        b->part = fmax(b->part, load->part_temperature);
        b->local = fmax(b->local, load->local_rise);
        b->power = fmax(b->power, load->power);
    }
    if (load->power > b->power / 2) {
        b->per_watt = fmax(b->per_watt, load->local_rise / load->power);
    }
    return true;
}

static void start(bench *b, const th_job *job, double cell) {
    const th_job_cutter *cutter = &job->cutters[0];
    th_error err;

    *b = (bench){.tool = {-1, &cutter->row, cutter->wear},
                 .at = {0, 0, 20},
                 .feed = job->cuts[0].feed,
                 .speed = job->cuts[0].speed,
                 .deep = job->cuts[0].depth};
    th_load_setup setup = {
        .job = job, .tools = &b->tool, .tool_count = 1, .cell = cell, .each = take, .context = b};
    if (!th_loads_make(&setup, &b->loads, &err)) {
        fail_msg("%s", err.message);
    }
}

static void send(bench *b, const th_move *move) {
    th_error err;

    memcpy(b->at, move->to, sizeof b->at);
    if (!th_loads_move(b->loads, move, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
}

static th_move move_to(bench *b, th_move_kind kind, double x, double y, double z) {
    return (th_move){.kind = kind,
                     .line = ++b->line,
                     .from = {b->at[0], b->at[1], b->at[2]},
                     .to = {x, y, z},
                     .axes = {0, 1, 2},
                     .feed = kind == TH_MOVE_RAPID ? 0 : b->feed,
                     .speed = b->speed,
                     .spindle = 1,
                     .tool = 1};
}

static void feed(bench *b, double x, double y, double z) {
    th_move move = move_to(b, TH_MOVE_LINE, x, y, z);

    send(b, &move);
}

static void rapid(bench *b, double x, double y, double z) {
    th_move move = move_to(b, TH_MOVE_RAPID, x, y, z);

    send(b, &move);
}

/* Down at rapid, so that there is no plunge, which a job's cut has not either. */
static void go_to(bench *b, double x, double y, double z) {
    rapid(b, b->at[0], b->at[1], 20);
    rapid(b, x, y, 20);
    rapid(b, x, y, z);
}

/* ---- cuts
 * ------------------------------------------------------------------------------------------ */

typedef enum { SLOT, OUTLINE, POCKET, FACE, DRILL } cut_kind;

typedef struct {
    cut_kind kind;
    const char *stock, *cutter;
    double diameter, thickness, axial, radial, chip_load;
    int levels;
    double cell;
    bool open; /* a slot from edge to edge */
    bool fro;  /* and to and fro */
} warm_case;

enum { ROWS = 20 };

static draft draft_of(const warm_case *c) {
    static const char *const names[] = {"slot", "outline", "pocket", "facing", "drill"};
    bool face = c->kind == FACE;
    draft d = plate(face ? 80 * c->diameter : 80, face ? ROWS * c->radial : 50, c->thickness);

    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", c->thickness);
    put(&d, "part", "stock", c->stock);
    add_cut(&d, "cut.1", face ? "face" : names[c->kind], c->cutter);
    put_number(&d, "cut.1", "chip_load", c->chip_load, "mm/tooth");
    if (c->kind == DRILL) {
        put_point(&d, "cut.1", "at", 40, 25);
        return d;
    }
    put_length(&d, "cut.1", "axial", c->axial);
    put_length(&d, "cut.1", "radial", c->radial);
    if (c->kind == SLOT) {
        put_point(&d, "cut.1", "from", c->open ? 0 : 20, 25);
        put_point(&d, "cut.1", "to", c->open ? 80 : 62, 25);
    }
    if (c->kind == SLOT || c->kind == POCKET) {
        put_length(&d, "cut.1", "depth", c->levels * c->axial);
    }
    if (c->kind == POCKET) {
        put_point(&d, "cut.1", "at", 40, 25);
        put(&d, "cut.1", "size", "36 mm x 24 mm");
    }
    if (c->kind == OUTLINE) {
        add_sheet(&d, 120, 90, 20, 20);
    }
    return d;
}

static void ring(bench *b, double r, double z) {
    go_to(b, -r, -r, z);
    feed(b, -r, 50 + r, z);
    feed(b, 80 + r, 50 + r, z);
    feed(b, 80 + r, -r, z);
    feed(b, -r, -r, z);
}

/* Rows, all the same way, y rising; the first one has been cleared where it is `open`. */
static void rows(bench *b, const double x[2], const double y[2], double step, double z, bool open) {
    for (double at = y[0]; at < y[1] + step - 1e-9; at += step) {
        go_to(b, x[0], fmin(at, y[1]), z);
        if (open && at == y[0]) {
            rapid(b, x[1], at, z);
        } else {
            feed(b, x[1], fmin(at, y[1]), z);
        }
    }
}

/* From edge to edge it runs in and out. */
static void slot_level(bench *b, const warm_case *c, int level, double z) {
    double out = c->open ? 0.8 * c->diameter : 0;
    double ends[2] = {c->open ? -out : 20, c->open ? 80 + out : 62};
    int first = c->fro && level % 2 == 0;

    go_to(b, ends[first], 25, z);
    feed(b, ends[1 - first], 25, z);
}

static void run_level(bench *b, const warm_case *c, int level) {
    double r = c->diameter / 2, z = -c->axial * level;
    double pocket_x[2] = {22 + r, 58 - r}, pocket_y[2] = {13 + r, 37 - r};
    double face_x[2] = {-r, 80 * c->diameter + r};
    double face_y[2] = {c->radial - r, ROWS * c->radial - r};

    switch (c->kind) {
    case SLOT:
        slot_level(b, c, level, z);
        break;
    case OUTLINE:
        ring(b, r, level == c->levels ? -c->thickness - 0.2 : z);
        break;
    case POCKET:
        rows(b, pocket_x, pocket_y, c->radial, z, true);
        break;
    case FACE:
        rows(b, face_x, face_y, c->radial, z, false);
        break;
    case DRILL:
        rapid(b, 40, 25, 20);
        feed(b, 40, 25, -b->deep);
        break;
    }
}

static void assert_in(double value, double low, double high) {
    if (!(value >= low && value <= high)) {
        fail_msg("%g is not from %g to %g", value, low, high);
    }
}

/* The warmest stage, and the program. */
static void compare(const warm_case *c, double low, double high) {
    draft d = draft_of(c);
    const th_stage *stage;
    th_error err;
    answer a;
    bench b;

    run(&d, false, &a);
    stage = &a.check.stages[0];
    for (size_t i = 1; i < a.check.stage_count; i++) {
        stage = a.check.stages[i].temperature > stage->temperature ? &a.check.stages[i] : stage;
    }
    start(&b, a.job, c->cell);
    b.radial = c->radial;
    for (int level = 1; level <= c->levels; level++) {
        run_level(&b, c, level);
    }
    if (!th_loads_end(b.loads, &err)) {
        fail_msg("%s", err.message);
    }
    double ratio = (b.tape - ROOM) / (stage->temperature - ROOM);
    if (!(ratio >= low && ratio <= high)) {
        fail_msg("kind %d, %s, %s: %.2f K, by the job %.2f K", (int)c->kind, c->stock, c->cutter,
                 b.tape - ROOM, stage->temperature - ROOM);
    }
    if (stage->local_rise > 1 && c->fro) {
        assert_in(b.local / stage->local_rise, low, high);
    } else if (stage->local_rise > 1 && c->kind == DRILL) {
        assert_in(b.local / stage->local_rise, 0.95, 1.15);
    } else if (stage->local_rise > 1 && c->kind != POCKET) {
        assert_near(b.local, stage->local_rise, 0.05, 0);
    }
    th_loads_free(b.loads);
    answer_free(&a);
}

static const char *const stocks[] = {"al-6061-t6", "steel-mild", "brass", "acrylic", "acetal"};

typedef struct {
    const char *id;
    double diameter, chip_load;
} warm_cutter;
static const warm_cutter cutters[] = {
    {"flat-6mm-3", 6, 0.03}, {"flat-3mm-2", 3, 0.012}, {"flat-12mm-3", 12, 0.03}};

enum { STOCKS = sizeof stocks / sizeof *stocks, CUTTERS = sizeof cutters / sizeof *cutters };

static warm_case case_of(cut_kind kind, int stock, int cutter) {
    const warm_cutter *c = &cutters[cutter];
    bool floor = kind == POCKET || kind == FACE;

    return (warm_case){.kind = kind,
                       .stock = stocks[stock],
                       .cutter = kind == DRILL ? "drill-3mm" : c->id,
                       .diameter = c->diameter,
                       .thickness = 5,
                       .axial = c->diameter / 6,
                       .radial = floor ? 0.3 * c->diameter : c->diameter,
                       .chip_load = c->chip_load,
                       .levels = 1};
}

static void test_slots(void **state) {
    (void)state;
    for (int i = 0; i < STOCKS * CUTTERS; i++) {
        warm_case c = case_of(SLOT, i / CUTTERS, i % CUTTERS);
        compare(&c, 0.98, 1.05);
        c.levels = 2; /* on what the first left behind */
        compare(&c, 0.98, 1.05);
    }
}

/* Ever thinner webs, from an edge of the stock to the other: one has both walls there too, as soon
 * as it cuts. */
static void test_slots_over_edges(void **state) {
    (void)state;
    for (int i = 0; i < 3 * 6; i++) {
        warm_case c = case_of(SLOT, i % 3, 1);
        c.thickness = 1.6;
        c.axial = 0.25;
        c.levels = 1 + i / 3;
        c.open = true;
        compare(&c, 0.98, 1.05);
    }
}

/* Where it has turned, the pass before is younger than a job's, which goes one way; a plastic,
 * which hardly spreads it, shows that most. */
static void test_slots_to_and_fro(void **state) {
    (void)state;
    for (int i = 0; i < 2 * STOCKS; i++) {
        warm_case c = case_of(SLOT, i % STOCKS, 1);
        c.levels = 3;
        c.fro = true;
        c.thickness = i < STOCKS ? 1.6 : 3;
        compare(&c, 0.98, i % STOCKS < 3 ? 1.33 : 1.67);
    }
}

/* What the passes leave is thin in the end, and its corners are no less a kerf. */
static void test_outlines_of_seven_passes(void **state) {
    (void)state;
    for (int i = 0; i < 3; i++) {
        warm_case c = case_of(OUTLINE, i, 1);
        c.thickness = 1.6;
        c.axial = 1.6 / 7;
        c.levels = 7;
        compare(&c, 0.98, 1.05);
    }
}

static void test_outlines(void **state) {
    (void)state;
    for (int i = 0; i < STOCKS; i++) {
        warm_case c = case_of(OUTLINE, i, i % CUTTERS);
        c.thickness = 3;
        c.axial = 1.5;
        c.levels = 2;
        compare(&c, 0.98, 1.05);
        c.cell = 0.15; /* whatever the map is like */
        compare(&c, 0.98, 1.05);
    }
}

/* The heat of the first strips of a plastic, which hardly spreads, counts on their own area. */
static void test_pockets(void **state) {
    (void)state;
    for (int i = 0; i < STOCKS; i++) {
        warm_case c = case_of(POCKET, i, 0);
        c.levels = 1 + i % 2;
        compare(&c, 0.98, i < 3 ? 1.05 : 1.3);
    }
}

/* The job takes the overrun of a row, 1 in 81 here, and its run in and out for cutting. */
static void test_faces(void **state) {
    (void)state;
    for (int i = 0; i < STOCKS; i++) {
        warm_case c = case_of(FACE, i, 0);
        compare(&c, 0.96, 1.05);
    }
}

static void test_drills(void **state) {
    (void)state;
    for (int i = 0; i < STOCKS; i++) {
        warm_case c = case_of(DRILL, i, 1);
        c.radial = 0;
        compare(&c, 0.98, 1.15); /* the whole torque while the point alone is in the metal */
    }
}

/* A slot both of whose walls stay with the part, or with a slug that is not cut loose yet, gives it
 * all of its heat, however much larger the sheet is. */
static void test_walls_of_one_piece(void **state) {
    (void)state;
    for (int opening = 0; opening < 2; opening++) {
        warm_case c = case_of(SLOT, 0, 0);
        draft d = draft_of(&c);
        answer a;
        bench b;

        add_sheet(&d, 160, 120, 20, 20);
        if (opening) {
            put_point(&d, "opening.1", "at", 41, 25);
            put(&d, "opening.1", "size", "60 mm x 20 mm");
        }
        run(&d, false, &a);
        start(&b, a.job, 0);
        run_level(&b, &c, 1);
        assert_near(b.part - ROOM, a.check.stages[0].part_temperature - ROOM, 0.05, 0);
        assert_true(b.part - ROOM > 0.2);
        th_loads_free(b.loads);
        answer_free(&a);
    }
}

/* Down a ramp and back at its depth, as `deep`: what both put into the kerf cannot make its walls
 * warmer than all of it spread over the contact alone, thrown back four times as at a corner,
 * through the thickness: it comes from above, and the tape gets less. */
static void return_of(double deep, double *rise, double *bound) {
    warm_case c = case_of(SLOT, 3, 0);
    double heat = 0, per_volume;
    draft d;
    answer a;
    bench b;

    c.thickness = 3;
    c.axial = deep;
    d = draft_of(&c);
    run(&d, false, &a);
    start(&b, a.job, 0);
    go_to(&b, 20, 25, 0);
    feed(&b, 60, 25, -deep);
    heat = TH_HEAT_SHARE_RUBBING * b.power;
    feed(&b, 20, 25, -deep);
    heat += TH_HEAT_SHARE_RUBBING * b.power; /* no less than the return's own */
    per_volume = a.job->part.stock->density * a.job->part.stock->heat_capacity * 1e-9;
    *bound = 4 * 0.5 * heat / (b.feed / 60) / (per_volume * c.thickness * c.diameter);
    *rise = b.local;
    th_loads_free(b.loads);
    answer_free(&a);
}

static void test_returns(void **state) {
    double rise, bound;

    (void)state;
    for (double deep = 0.1; deep < 1.3; deep *= 1.5) {
        return_of(deep, &rise, &bound);
        assert_true(rise > 0 && rise < bound);
    }
}

/* The groove of a round end has two walls at its corners and ends as all along it: the same rise of
 * the same power, but for what is narrower there. */
static void test_grooves_of_round_ends(void **state) {
    static const char *const ids[] = {"ball-6mm-2", "ball-3mm-2", "bull-6mm-3"};

    (void)state;
    for (int i = 0; i < 3; i++) {
        double r = i == 1 ? 1.5 : 3, step = r / 8;
        warm_case c = case_of(OUTLINE, 0, 0);
        draft d;
        answer a;
        bench b;
        c.cutter = ids[i];
        c.axial = step;
        c.radial = 2 * r;
        c.thickness = 4;
        d = draft_of(&c);
        run(&d, false, &a);
        start(&b, a.job, 0);
        for (int level = 1; level <= 4; level++) {
            double along;
            go_to(&b, 20, -r, -level * step);
            b.power = b.per_watt = 0;
            feed(&b, 40, -r, -level * step);
            along = b.per_watt;
            go_to(&b, -r, -r, -level * step);
            feed(&b, 60, -r, -level * step);
            feed(&b, 60, 30, -level * step);
            feed(&b, -r, 30, -level * step);
            print_message("%s, level %d: %.3f K/W, at most %.3f\n", ids[i], level, along,
                          b.per_watt);
            assert_true(along > 0 && b.per_watt < 1.5 * along);
        }
        th_loads_free(b.loads);
        answer_free(&a);
    }
}

/* Level by level a round end cuts slivers of the walls that the levels above have left, now of one
 * and now of the other: neither they nor a groove that crosses its own make one wall get the heat
 * of both, or hide what the level above has left. The sheet is 2 mm thick, its part begins at x =
 * 0, y = 0. */
static void test_fine_levels_of_round_ends(void **state) {
    static const char *const ids[] = {"bull-6mm-3", "ball-6mm-2"};

    (void)state;
    for (int i = 0; i < 2; i++) {
        warm_case c = case_of(OUTLINE, 0, 0);
        double half = c.diameter / 2, before = 0;
        draft d;
        answer a;
        bench b;
        c.cutter = ids[i];
        c.radial = c.diameter;
        c.thickness = 2;
        c.axial = 0.1;
        c.chip_load = i ? 0.03 : 0.025 / 3; /* neither rubs */
        d = draft_of(&c);
        run(&d, false, &a);
        start(&b, a.job, 0);
        for (int level = 1; level <= 18; level++) {
            double z = -c.axial * level, crossing;
            go_to(&b, -half, -18, z);
            b.power = b.per_watt = 0;
            feed(&b, -half, 2.5 * half, z);
            crossing = b.per_watt;
            b.power = b.per_watt = 0;
            feed(&b, -half, 6 * half, z);
            print_message("%s, level %d: %.3f K/W, in the crossing %.3f\n", ids[i], level,
                          b.per_watt, crossing);
            assert_true(level == 1 || crossing > 0.3 * CROSSED);
            assert_true(crossing < 1.3 * b.per_watt && b.per_watt < 1.2 * crossing);
            assert_true(b.per_watt > before); /* what each leaves adds up */
            before = b.per_watt;
            go_to(&b, 6 * half, -half, z);
            feed(&b, -half, -half, z);
        }
        th_loads_free(b.loads);
        answer_free(&a);
    }
}

/* One pass along a slot over a place where the cutter has ramped down a moment ago, or not: its
 * highest local rise, what the ramp brought in (J), and how long ago that is (s). */
static double over_a_ramp(double length, double *joule, double *ago, double *spreads) {
    warm_case c = case_of(SLOT, 0, 0);
    draft d;
    answer a;
    bench b;

    c.thickness = 2;
    c.axial = 0.4;
    d = draft_of(&c);
    run(&d, false, &a);
    start(&b, a.job, 0);
    if (length > 0) {
        go_to(&b, 40 + length, 25, 0);
        feed(&b, 40, 25, -0.4);
        *joule = TH_HEAT_SHARE_RUBBING * b.power * hypot(length, 0.4) / (b.feed / 60);
    }
    go_to(&b, 5, 8, -0.1); /* elsewhere, a while */
    feed(&b, 75, 8, -0.1);
    go_to(&b, 25, 25, -0.4);
    b.local = 0;
    feed(&b, 60, 25, -0.4);
    const th_stock *stock = a.job->part.stock;
    *ago = (75 - 5 + 40 - 25 - c.diameter) / (b.feed / 60);
    *spreads = 4 * TH_PI * stock->conductivity * 1e-3 * c.thickness; /* W/K */
    th_loads_free(b.loads);
    answer_free(&a);
    return b.local;
}

/* A ramp is short: all that it brought in at one place is a line source in a plate, q/(4 pi k t s)
 * after s seconds (Carslaw and Jaeger 1959, 10.3), thrown back by two edges four times as much. */
static void test_short_ramps(void **state) {
    static const double lengths[] = {2, 4, 8};

    (void)state;
    for (int i = 0; i < 3; i++) {
        double joule = 0, ago, spreads, alone = over_a_ramp(0, &joule, &ago, &spreads);
        double rise = over_a_ramp(lengths[i], &joule, &ago, &spreads);
        print_message("ramp of %g mm: %.2f K more, at most %.2f\n", lengths[i], rise - alone,
                      4 * joule / (spreads * ago));
        assert_true(alone > 0 && rise >= alone);
        assert_true(rise - alone <= 4 * joule / (spreads * ago));
    }
}

/* Two laps of an outline that begin at one place, the cutter going down for the second as fast as
 * told; of the second the highest local rise. */
static double second_lap(double down, double shift) {
    warm_case c = case_of(OUTLINE, 3, 1);
    double lap, rise;
    draft d;
    answer a;
    bench b;

    c.thickness = 0.8;
    c.axial = 0.4;
    c.levels = 2;
    d = draft_of(&c);
    run(&d, false, &a);
    start(&b, a.job, 0);
    lap = b.feed;
    for (int level = 1; level <= 2; level++) {
        double z = level == 1 ? -0.4 : -1.3, at = 20 + shift, r = c.diameter / 2;
        if (level == 1) {
            go_to(&b, at, -r, z);
        } else {
            b.local = 0;
            b.feed = down;
            feed(&b, at, -r, z);
            b.feed = lap;
        }
        feed(&b, 80 + r, -r, z);
        feed(&b, 80 + r, 50 + r, z);
        feed(&b, -r, 50 + r, z);
        feed(&b, -r, -r, z);
        feed(&b, at, -r, z);
    }
    rise = b.local;
    th_loads_free(b.loads);
    answer_free(&a);
    return rise;
}

/* Two lanes that overlap, in laps level by level: what stands between them is cut by the next lane
 * and is no wall. The job's model has both walls whole. Too warm, on the safe side: lanes that turn
 * sharply are taken for kerfs with corners, which throw back as much again, and little more. */
static void narrow_opening(double wide, const char *size) {
    warm_case c = case_of(OUTLINE, 0, 0);
    double by = (wide - c.diameter) / 2, most = 0;
    draft d;
    answer a;
    bench b;

    c.thickness = 2;
    c.axial = 0.25;
    c.levels = 8;
    d = draft_of(&c);
    put_point(&d, "opening.1", "at", 40, 25);
    put(&d, "opening.1", "size", size);
    run(&d, false, &a);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        most = fmax(most, a.check.stages[i].temperature);
    }
    start(&b, a.job, 0);
    for (int level = 1; level <= 8; level++) {
        double z = level == 8 ? -2.2 : -0.25 * level;
        go_to(&b, 33, 25 - by, z);
        feed(&b, 47, 25 - by, z);
        feed(&b, 47, 25 + by, z);
        feed(&b, 33, 25 + by, z);
        feed(&b, 33, 25 - by, z);
    }
    assert_in((b.tape - ROOM) / (most - ROOM), 0.98, 2.3);
    th_loads_free(b.loads);
    answer_free(&a);
}

static void test_narrow_openings(void **state) {
    (void)state;
    narrow_opening(8.5, "20 mm x 8.5 mm");
    narrow_opening(11.5, "20 mm x 11.5 mm");
}

/* While the cutter goes straight down heat only goes: by superposition no lap gets warmer by its
 * pause. */
static void test_pauses(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        double quick = second_lap(600, 0.5 * i), slow = second_lap(20, 0.5 * i);
        assert_true(quick > 1);
        assert_true(slow < 1.005 * quick);
    }
}

/* ---- however the path is written
 * ----------------------------------------------------------------------------- */

/* Round a centre by an angle, as an arc or, where `chord` is more than 0, along chords of about
 * that length. */
static void turn(bench *b, double x, double y, double angle, double chord) {
    double r = hypot(b->at[0] - x, b->at[1] - y), z = b->at[2];
    double begin = atan2(b->at[1] - y, b->at[0] - x);
    int count = chord > 0 ? (int)ceil(r * fabs(angle) / chord) : 1;

    for (int i = 1; i <= count; i++) {
        double at = begin + angle * i / count;
        th_move move =
            move_to(b, chord > 0 ? TH_MOVE_LINE : TH_MOVE_ARC, x + r * cos(at), y + r * sin(at), z);
        move.centre[0] = x;
        move.centre[1] = y;
        move.sweep = angle;
        send(b, &move);
    }
}

/* How a rounded outline is cut out of a sheet: the arcs of its corners as chords, and led in and
 * out on arcs. */
typedef struct {
    double chord;
    bool led;
    bool through;  /* or all but a skin */
    double radial; /* of the job's cut; the program's is full (mm) */
} written;

static void round_outline(bench *b, const written *as, double z) {
    const double quarter = -TH_PI / 2, start = as->led ? 24 : 18;

    go_to(b, as->led ? -14 : -1.5, as->led ? 19.5 : start, z);
    if (as->led) {
        feed(b, -6, 19.5, z);
        turn(b, -6, 24, TH_PI / 2, as->chord);
    }
    feed(b, -1.5, 30, z);
    turn(b, 6, 30, quarter, as->chord);
    feed(b, 44, 37.5, z);
    turn(b, 44, 30, quarter, as->chord);
    feed(b, 51.5, 6, z);
    turn(b, 44, 6, quarter, as->chord);
    feed(b, 6, -1.5, z);
    turn(b, 6, 6, quarter, as->chord);
    feed(b, -1.5, start, z);
    if (as->led) {
        turn(b, -6, 24, TH_PI / 2, as->chord);
        feed(b, -14, 24, z);
    }
}

/* Rise under the cutter, and as the job has it. */
static double round_rise(const written *as, double *by_job) {
    draft d = plate(50, 36, 2);
    answer a;
    bench b;
    double rise;

    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 2);
    put_length(&d, "part", "corner_radius", 6);
    add_sheet(&d, 70, 56, 15, 10);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.25);
    put_length(&d, "cut.1", "radial", as->radial);
    put_number(&d, "cut.1", "chip_load", 0.0167, "mm/tooth");
    run(&d, false, &a);
    *by_job = 0;
    for (size_t i = 0; i < a.check.stage_count; i++) {
        *by_job = fmax(*by_job, a.check.stages[i].local_rise);
    }
    start(&b, a.job, 0);
    for (int level = 1; level <= (as->through ? 8 : 7); level++) {
        round_outline(&b, as, level == 8 ? -2.3 : -0.25 * level);
    }
    rise = b.local;
    th_loads_free(b.loads);
    answer_free(&a);
    return rise;
}

/* Chords leave cusps in the wall, a lead-out opens it, and neither makes a floor of the kerf. Where
 * a lead goes off it cuts half its width along one wall, and gets as warm as a job's cut of that.
 */
static void test_outlines_as_written(void **state) {
    static const double chords[] = {1, 1.5, 2, 2.5, 3, 3.5};
    written as = {0, false, false, 3};
    double by_job, round = round_rise(&as, &by_job), whole, led;

    (void)state;
    assert_true(round > 1);
    for (size_t i = 0; i < sizeof chords / sizeof *chords; i++) {
        as.chord = chords[i];
        assert_near(round_rise(&as, &by_job), round, 0.03, 0);
    }
    as = (written){0, false, true, 3};
    whole = round_rise(&as, &by_job);
    assert_in(whole / by_job, 0.98, 1.05);
    as.led = true;
    as.radial = 1.5;
    led = round_rise(&as, &by_job);
    assert_in(led, 0.98 * whole, 1.05 * by_job);
}

/* A round opening has no corners, no more so along chords; each level goes on from the one above.
 */
static void test_round_openings(void **state) {
    double rise[2];

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = plate(60, 50, 2);
        answer a;
        bench b;

        put(&d, "zero", "at", "0,0");
        put_length(&d, "zero", "top", 2);
        add_cut(&d, "cut.1", "outline", "flat-3mm-2");
        put_length(&d, "cut.1", "axial", 0.4);
        put_length(&d, "cut.1", "radial", 3);
        put_number(&d, "cut.1", "chip_load", 0.0167, "mm/tooth");
        put_point(&d, "opening.1", "at", 30, 25);
        put_length(&d, "opening.1", "size", 28);
        add_sheet(&d, 90, 80, 15, 15);
        run(&d, false, &a);
        start(&b, a.job, 0);
        go_to(&b, 42.5, 25, 0);
        for (int level = 1; level <= 4; level++) {
            rapid(&b, 42.5, 25, -0.4 * level);
            turn(&b, 30, 25, 2 * TH_PI, i ? 3 : 0);
            b.local = level == 1 ? 0 : b.local;
        }
        rise[i] = b.local;
        th_loads_free(b.loads);
        answer_free(&a);
    }
    assert_true(rise[0] > 1);
    assert_near(rise[1], rise[0], 0.05, 0);
}

/* Rings outwards, all four corners of each of them sharp: nowhere warmer than by the job at the
 * full width, as the corners are cut, and no cooler than at the rings' own width. */
static void test_ring_pockets(void **state) {
    double by_job[2];

    (void)state;
    for (int wide = 0; wide < 2; wide++) {
        draft d = plate(100, 60, 1.5);
        answer a;
        bench b;

        put(&d, "zero", "at", "0,0");
        put_length(&d, "zero", "top", 1.5);
        add_cut(&d, "cut.1", "pocket", "flat-3mm-2");
        put_point(&d, "cut.1", "at", 30, 22);
        put(&d, "cut.1", "size", "34 mm x 26 mm");
        put_length(&d, "cut.1", "axial", 0.25);
        put_length(&d, "cut.1", "radial", wide ? 3 : 1.5);
        put_length(&d, "cut.1", "depth", 1.25);
        put_number(&d, "cut.1", "chip_load", 0.0167, "mm/tooth");
        run(&d, false, &a);
        by_job[wide] = 0;
        for (size_t i = 0; i < a.check.stage_count; i++) {
            by_job[wide] = fmax(by_job[wide], a.check.stages[i].temperature - ROOM);
        }
        start(&b, a.job, 0);
        for (int level = 1; wide && level <= 5; level++) {
            go_to(&b, 26, 22, -0.25 * level);
            feed(&b, 34, 22, -0.25 * level);
            for (int ring = 1; ring <= 8; ring++) {
                double x = 4 + 11.5 * ring / 8, y = 11.5 * ring / 8, z = -0.25 * level;
                feed(&b, 30 + x, 22 - y, z);
                feed(&b, 30 + x, 22 + y, z);
                feed(&b, 30 - x, 22 + y, z);
                feed(&b, 30 - x, 22 - y, z);
                feed(&b, 30 + x, 22 - y, z);
            }
        }
        if (wide) {
            assert_in(b.tape - ROOM, 0.98 * by_job[0], 1.05 * by_job[1]);
        }
        th_loads_free(b.loads);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_slots_over_edges),
        cmocka_unit_test(test_slots_to_and_fro),
        cmocka_unit_test(test_outlines_of_seven_passes),
        cmocka_unit_test(test_returns),
        cmocka_unit_test(test_short_ramps),
        cmocka_unit_test(test_grooves_of_round_ends),
        cmocka_unit_test(test_fine_levels_of_round_ends),
        cmocka_unit_test(test_pauses),
        cmocka_unit_test(test_narrow_openings),
        cmocka_unit_test(test_slots),
        cmocka_unit_test(test_outlines),
        cmocka_unit_test(test_pockets),
        cmocka_unit_test(test_faces),
        cmocka_unit_test(test_drills),
        cmocka_unit_test(test_walls_of_one_piece),
        cmocka_unit_test(test_outlines_as_written),
        cmocka_unit_test(test_round_openings),
        cmocka_unit_test(test_ring_pockets),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
