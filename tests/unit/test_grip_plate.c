/* test_grip_plate.c - the index of a flexible plate against brute force, the rigid part, statics
 * and closed forms. Rows, loads, shapes and sizes are invented. */
#include "tackhold/bond.h"

#include "support/near.h"
#include "support/plate_case.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { INSTANTS = 160, NODES = 700, ANCHORS = 3, CASES = 300 };

/* Transverse shear so stiff that the plate is a thin one. */
static const double rigid = 1e4;

/* ---- seeded numbers (splitmix64: Steele, Lea, Flood, OOPSLA 2014) ---------------------------- */

static uint64_t mix;

static double between(double low, double high) {
    uint64_t z = mix += 0x9E3779B97F4A7C15u;

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return low + (high - low) * (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

static size_t pick(size_t count) {
    return (size_t)between(0, (double)count);
}

/* ---- stacks and histories -------------------------------------------------------------------- */

static th_stack random_stack(void) {
    static const double exponents[] = {0, 0.2, 0.1, 0.25, 0.5, 1, 0.137, 0.03, 1.3};
    th_stack stack = {.count = 1 + pick(5), .unusable = TH_USABLE};

    for (size_t i = 0; i < stack.count; i++) {
        stack.interfaces[i] = (th_interface){.name = "invented",
                                             .shear = between(0.05, 1),
                                             .lift = between(0.02, 1),
                                             .time_exponent = exponents[pick(9)]};
    }
    return stack;
}

/* A turn of a cutter: force and couples of a tooth that comes and goes, or just anything. */
static void random_history(th_wrench *w, double *weights, size_t count, th_history *history) {
    double total = 0, teeth = 1 + (double)pick(4), up = between(-1, 1), height = between(0, 10);
    bool anything = pick(3) == 0;

    for (size_t i = 0; i < count; i++) {
        double turn = 2 * TH_PI * (double)i / (double)count;
        double bite = fmax(0, sin(teeth * turn)) * 50;

        w[i] = (th_wrench){bite * cos(turn), bite * sin(turn), bite * up, 0, 0, between(-5, 5)};
        w[i].mx = -height * w[i].fy + w[i].fz;
        w[i].my = height * w[i].fx;
        if (anything) {
            w[i] = (th_wrench){between(-60, 60),   between(-60, 60),   between(-60, 30),
                               between(-300, 300), between(-300, 300), between(-300, 300)};
        }
        weights[i] = between(0.01, 1);
        total += weights[i];
    }
    for (size_t i = 0; i < count; i++) {
        weights[i] /= total;
    }
    *history = (th_history){w, weights, count, pick(2) ? between(0, 0.1) : 0};
}

/* ---- the index from the plain definition, nothing passed over -------------------------------- */

static void traction_of(const th_plate_influence *influence, size_t node, const th_history *h,
                        size_t instant, double out[3]) {
    const th_wrench *w = &h->wrenches[instant];
    const double load[TH_UNITS] = {w->fx, w->fy, w->fz, w->mx, w->my, w->mz};

    for (size_t a = 0; a < 3; a++) {
        out[a] = a == 2 ? h->standing_lift : 0;
        for (size_t u = 0; u < TH_UNITS; u++) {
            out[a] += load[u] * influence->unit[u][3 * node + a];
        }
    }
}

static double plain_at(const th_plate_influence *influence, const th_plate_ask *ask, size_t node,
                       size_t interface) {
    const th_interface *i = &ask->stack->interfaces[interface];
    bool mean = ask->load == TH_SUSTAINED && i->time_exponent > 0;
    double left = ask->load == TH_SUSTAINED ? th_time_factor(ask->seconds, i->time_exponent) : 1;
    double largest = 0, sum = 0;

    for (size_t k = 0; k < ask->history->count; k++) {
        double t[3];

        traction_of(influence, node, ask->history, k, t);
        largest = fmax(largest, th_index(t[2], hypot(t[0], t[1]), left * i->lift, left * i->shear));
    }
    for (size_t k = 0; mean && largest > 0 && k < ask->history->count; k++) {
        double t[3];

        traction_of(influence, node, ask->history, k, t);
        sum += ask->history->weights[k] *
               pow(th_index(t[2], hypot(t[0], t[1]), left * i->lift, left * i->shear) / largest,
                   1 / i->time_exponent);
    }
    return mean && largest > 0 ? largest * pow(sum, i->time_exponent) : largest;
}

static double plain_index(const th_plate_influence *influence, const th_plate_ask *ask) {
    double index = 0;

    for (size_t n = 0; n < influence->nodes->count; n++) {
        for (size_t i = 0; i < ask->stack->count; i++) {
            index = fmax(index, plain_at(influence, ask, n, i));
        }
    }
    return index;
}

static double plain_share(const th_plate_influence *influence, const th_plate_ask *ask) {
    double most = 0;

    for (size_t a = 0; a < ask->anchor_count; a++) {
        const th_plate_anchor *anchor = &ask->anchors[a];

        for (size_t k = 0; k < ask->history->count; k++) {
            const th_wrench *w = &ask->history->wrenches[k];
            const double load[TH_UNITS] = {w->fx, w->fy, w->fz, w->mx, w->my, w->mz};
            double f[3] = {0, 0, 0};

            for (size_t u = 0; u < TH_UNITS; u++) {
                for (size_t x = 0; x < 3; x++) {
                    f[x] += anchor->k[x] * influence->anchor[u][3 * a + x] * load[u];
                }
            }
            most = fmax(most, hypot(f[0], f[1]) / anchor->bears + fabs(f[2]) / anchor->bears_lift);
        }
    }
    return most;
}

static void assert_plain_tractions(const th_plate_influence *influence, const th_plate_ask *ask,
                                   const th_grip *grip) {
    double shear = 0, lift = 0;

    for (size_t n = 0; n < influence->nodes->count; n++) {
        for (size_t k = 0; k < ask->history->count; k++) {
            double t[3];

            traction_of(influence, n, ask->history, k, t);
            shear = fmax(shear, hypot(t[0], t[1]));
            lift = fmax(lift, t[2]);
        }
    }
    assert_near(grip->shear_peak, shear, 1e-11, 0);
    assert_near(grip->lift_peak, lift, 1e-11, 1e-15);
}

/* The named place, interface and instant are where it happens. */
static void assert_plain(const th_plate_influence *influence, th_plate_ask *ask) {
    const th_plate_nodes *nodes = influence->nodes;
    th_plate_grip got = th_grip_plate(influence, ask);
    double index = plain_index(influence, ask), there = -1;
    th_grip whole;

    assert_near(got.grip.index, index, 1e-11, 0);
    assert_true(got.grip.interface < ask->stack->count);
    assert_true(got.grip.instant < ask->history->count);
    for (size_t n = 0; n < nodes->count; n++) {
        if (nodes->x[n] == got.grip.at.x && nodes->y[n] == got.grip.at.y) {
            there = fmax(there, plain_at(influence, ask, n, got.grip.interface));
        }
    }
    assert_near(there, index, 1e-11, 0);
    assert_plain_tractions(influence, ask, &got.grip);
    assert_near(got.anchor_index, plain_share(influence, ask), 1e-12, 0);

    ask->enough = index * between(0.7, 1.3);
    ask->shear_seen = got.grip.shear_peak * between(0.7, 1.3);
    ask->lift_seen = got.grip.lift_peak * between(0.7, 1.3);
    whole = got.grip;
    got = th_grip_plate(influence, ask);
    assert_near(fmax(got.grip.shear_peak, ask->shear_seen), fmax(whole.shear_peak, ask->shear_seen),
                0, 0);
    assert_near(fmax(got.grip.lift_peak, ask->lift_seen), fmax(whole.lift_peak, ask->lift_seen), 0,
                0);
    if (index > ask->enough) {
        assert_near(got.grip.index, index, 1e-11, 0);
    } else {
        assert_true(got.grip.index <= index * (1 + 1e-11));
    }
    ask->enough = ask->shear_seen = ask->lift_seen = 0;
}

/* ---- influence of nothing in particular ------------------------------------------------------ */

typedef struct {
    double x[NODES], y[NODES], area[NODES], unit[TH_UNITS][3 * NODES],
        anchor[TH_UNITS][3 * ANCHORS];
    size_t node[NODES];
    th_plate_nodes nodes;
    th_plate_influence influence;
    th_plate_anchor anchors[ANCHORS];
} invented;

/* Fades away from a spot as tractions do. */
static void invent(invented *v) {
    size_t count = pick(2) ? 1 + pick(30) : 1 + pick(NODES);
    double reach = between(5, 200);

    v->nodes =
        (th_plate_nodes){.count = count, .x = v->x, .y = v->y, .area = v->area, .node = v->node};
    v->influence = (th_plate_influence){.nodes = &v->nodes, .place = {50, 50, 3}};
    for (size_t n = 0; n < count; n++) {
        double fade;

        v->x[n] = between(0, 100);
        v->y[n] = between(0, 100);
        v->area[n] = between(0.1, 5);
        v->node[n] = n;
        fade = exp(-hypot(v->x[n] - 50, v->y[n] - 50) / reach);
        for (size_t u = 0; u < TH_UNITS; u++) {
            for (size_t a = 0; a < 3; a++) {
                v->unit[u][3 * n + a] = fade * between(-1, 1) * (u < 3 ? 0.01 : 0.001);
            }
        }
    }
    for (size_t u = 0; u < TH_UNITS; u++) {
        v->influence.unit[u] = v->unit[u];
        v->influence.anchor[u] = v->anchor[u];
        for (size_t a = 0; a < 3 * ANCHORS; a++) {
            v->anchor[u][a] = between(-1e-4, 1e-4);
        }
    }
    for (size_t a = 0; a < ANCHORS; a++) {
        v->anchors[a] = (th_plate_anchor){.k = {between(1, 9), between(1, 9), between(1, 9)},
                                          .bears = between(1, 100),
                                          .bears_lift = between(1, 100)};
    }
}

static void equals_brute_force(void **state) {
    static invented v;
    static th_wrench wrenches[INSTANTS];
    static double weights[INSTANTS];
    th_history history;

    (void)state;
    mix = 31;
    for (size_t k = 0; k < CASES; k++) {
        th_stack stack = random_stack();
        th_plate_ask ask = {.stack = &stack,
                            .history = &history,
                            .load = pick(2) ? TH_PEAK : TH_SUSTAINED,
                            .seconds = exp(between(0, 9)),
                            .anchors = v.anchors,
                            .anchor_count = ANCHORS};

        invent(&v);
        random_history(wrenches, weights, 1 + pick(INSTANTS), &history);
        assert_plain(&v.influence, &ask);
    }
}

/* No load, no nodes, and what is not a number. */
static void odd_histories(void **state) {
    static invented v;
    th_wrench w[3] = {{0}};
    double weights[3] = {0.2, 0.3, 0.5};
    th_history history = {w, weights, 3, 0};
    th_stack stack = random_stack();
    th_plate_ask ask = {.stack = &stack, .history = &history, .seconds = 60};

    (void)state;
    mix = 5;
    invent(&v);
    for (int load = TH_PEAK; load <= TH_SUSTAINED; load++) {
        ask.load = (th_load_kind)load;
        memset(w, 0, sizeof w);
        history.standing_lift = 0;
        assert_near(th_grip_plate(&v.influence, &ask).grip.index, 0, 0, 0);
        history.standing_lift = 0.05;
        assert_plain(&v.influence, &ask);
        assert_near(th_grip_plate(&v.influence, &ask).grip.lift_peak, 0.05, 0, 0);
        w[1].fy = NAN;
        assert_true(isnan(th_grip_plate(&v.influence, &ask).grip.index));
        w[1].fy = INFINITY;
        assert_true(!(fabs(th_grip_plate(&v.influence, &ask).grip.index) < 1e300));
        v.nodes.count = 0;
        assert_near(th_grip_plate(&v.influence, &ask).grip.index, 0, 0, 0);
        v.nodes.count = 1;
    }
}

/* ---- shapes ---------------------------------------------------------------------------------- */

/* A part of any outline, tape under all of it. */
typedef struct {
    th_outline outline;
    th_point hull[400]; /* its corners, for the area model */
    size_t hull_count;
    th_plate_sheet sheet;
} shaped;

static bool fill_outline(void *context, const th_grid_lines *lines, th_plate_cell *cells,
                         th_error *err) {
    th_cells covered;

    if (!th_cells_of(context, lines, &covered, err)) {
        return false;
    }
    for (size_t c = 0; c < covered.columns * covered.rows; c++) {
        cells[c].bonded *= covered.covered[c];
        cells[c].filled = covered.covered[c];
    }
    th_cells_free(&covered);
    return true;
}

/* Rings: an outer one, then a hole if hole_count > 0. The box must start at the origin. */
static void shape(shaped *s, const th_point *ring, size_t count, const th_point *hole,
                  size_t hole_count) {
    th_path path = th_path_new(0);
    th_error err = {0};

    th_path_polygon(&path, ring, count);
    if (hole_count) {
        th_path_polygon(&path, hole, hole_count);
    }
    if (!th_path_finish(&path, &s->outline, &err)) {
        fail_msg("%s", err.message);
    }
    th_path_free(&path);
    memcpy(s->hull, ring, count * sizeof *ring);
    s->hull_count = count;
    s->sheet = (th_plate_sheet){.x1 = s->outline.length,
                                .y1 = s->outline.width,
                                .thickness = 3,
                                .material = {70000, 0.33, 0.08, 0.16, 1},
                                .fill = fill_outline,
                                .context = &s->outline,
                                .coverage = 1,
                                .edge = &s->outline};
}

static size_t ring_of(th_point *ring, size_t count, double radius, th_point centre) {
    for (size_t i = 0; i < count; i++) {
        double angle = 2 * TH_PI * (double)i / (double)count;

        ring[i] = (th_point){centre.x + radius * cos(angle), centre.y + radius * sin(angle)};
    }
    return count;
}

enum { DISC, TRIANGLE, TURNED, WITH_HOLE, RECTANGLE, SHAPES };

static void make_shape(shaped *s, int which) {
    static const th_point triangle[] = {{0, 0}, {70, 0}, {20, 55}};
    static const th_point turned[] = {{20, 0}, {80, 30}, {60, 70}, {0, 40}};
    static const th_point box[] = {{0, 0}, {80, 0}, {80, 50}, {0, 50}};
    th_point ring[180], hole[60];

    switch (which) {
    case DISC:
        shape(s, ring, ring_of(ring, 180, 30, (th_point){30, 30}), NULL, 0);
        break;
    case TRIANGLE:
        shape(s, triangle, 3, NULL, 0);
        break;
    case TURNED:
        shape(s, turned, 4, NULL, 0);
        break;
    case WITH_HOLE:
        shape(s, box, 4, hole, ring_of(hole, 60, 15, (th_point){50, 22}));
        break;
    default:
        shape(s, box, 4, NULL, 0);
        break;
    }
}

/* ---- one load: the index is that of the field ------------------------------------------------ */

static bool make_table(const th_plate_sheet *sheet, const th_plate_spot *spots, size_t count,
                       const th_plate_options *options, th_plate_table **table) {
    th_error err = {0};

    if (!th_plate_table_make(sheet, spots, count, options, table, &err)) {
        fail_msg("%s", err.message);
    }
    return true;
}

/* Keeps the traction of one spot's unit loads under one wrench. */
typedef struct {
    const th_plate_ask *ask;
    th_plate_grip grip;
    double *tractions; /* 3 for each node */
} taken;

static bool take(void *context, const th_plate_influence *influence, th_error *err) {
    taken *t = context;

    (void)err;
    t->grip = th_grip_plate(influence, t->ask);
    t->tractions = malloc(3 * influence->nodes->count * sizeof(double));
    for (size_t n = 0; n < influence->nodes->count; n++) {
        traction_of(influence, n, t->ask->history, 0, t->tractions + 3 * n);
    }
    return true;
}

static void one_load_equals_the_field(void **state) {
    th_plate_grid grid = plate_case(30, 20);
    th_stack stack = {.count = 1, .interfaces = {{.name = "x", .shear = 0.3, .lift = 0.2}}};
    th_plate_model *model;

    (void)state;
    assert_true(th_plate_model_make(&grid, NULL, &model, NULL));
    for (int l = 0; l < 2; l++) {
        const th_plate_load *load = &plate_case_loads[l];
        th_wrench w = {load->fx,           load->fy, load->fz, -load->z * load->fy,
                       load->z * load->fx, load->mz};
        th_history history = {&w, NULL, 1, 0};
        th_plate_ask ask = {.stack = &stack, .history = &history, .load = TH_PEAK};
        taken t = {.ask = &ask};
        th_plate_field field;
        double largest = 0, index = 0;

        assert_true(
            th_plate_model_influence(model, &load->spot, 1, (th_plate_sink){take, &t}, NULL));
        assert_true(th_plate_solve(model, load, 1, &field, NULL));
        for (size_t n = 0; n < field.count; n++) {
            double shear = hypot(field.shear_x[n], field.shear_y[n]);

            largest = fmax(largest, fmax(shear, fabs(field.lift[n])));
            index = fmax(index, th_index(field.lift[n], shear, 0.2, 0.3));
        }
        for (size_t n = 0; n < field.count; n++) {
            assert_near(t.tractions[3 * n], field.shear_x[n], 1e-9, 1e-9 * largest);
            assert_near(t.tractions[3 * n + 1], field.shear_y[n], 1e-9, 1e-9 * largest);
            assert_near(t.tractions[3 * n + 2], field.lift[n], 1e-9, 1e-9 * largest);
        }
        assert_near(t.grip.grip.index, index, 1e-9, 0);
        assert_near(t.grip.grip.shear_peak, field.shear_peak, 1e-9, 0);
        assert_near(t.grip.grip.lift_peak, field.lift_peak, 1e-9, 0);
        assert_near(t.grip.anchor_index, 0, 0, 0);
        free(t.tractions);
        th_plate_field_free(&field);
    }
    th_plate_model_free(model);
    plate_case_free(&grid);
}

/* ---- rigid limit ----------------------------------------------------------------------------- */

/* The same loads about the origin. */
static void about_origin(const th_wrench *from, size_t count, const th_plate_spot *spot,
                         th_wrench *to) {
    for (size_t i = 0; i < count; i++) {
        th_wrench moved =
            th_wrench_of(from[i].fx, from[i].fy, from[i].fz, spot->x, spot->y, 0, from[i].mz);

        moved.mx += from[i].mx;
        moved.my += from[i].my;
        to[i] = moved;
    }
}

/* Places well within, at and beyond the rim of every shape. */
static const th_plate_spot rim_spots[] = {{32, 20, 4}, {20, 1, 3}, {30, 35, 6}};

enum { RIM_SPOTS = sizeof rim_spots / sizeof *rim_spots };

/* Largest normal traction of the area model, pressing counted. */
static double normal_of(const th_bonded *bonded, const th_history *history) {
    double most = 0;

    for (size_t c = 0; c < bonded->corner_count; c++) {
        for (size_t i = 0; i < history->count; i++) {
            most = fmax(
                most,
                fabs(th_area_traction(bonded, &history->wrenches[i], bonded->corners[c]).lift));
        }
    }
    return most;
}

/* Is the largest part of the index so by more than 2 %? */
static bool clear_way(const th_bonded *bonded, const th_interface *i, const th_history *history,
                      const th_grip *grip) {
    th_traction t = th_area_traction(bonded, &history->wrenches[grip->instant], grip->at);
    double pull = (t.lift + history->standing_lift) / i->lift, slide = t.shear / i->shear;

    return fabs(pull - slide) > 0.02 * slide && fabs(t.turn - t.direct) > 0.02 * t.direct;
}

static void assert_rigid(const shaped *s, const th_plate_table *table, size_t at, th_plate_ask *ask,
                         long *named) {
    static th_wrench moved[INSTANTS];
    th_history there = *ask->history;
    double sustained, peak;
    th_bonded bonded;
    th_plate_grip grip;
    th_grip area;

    assert_true(
        th_bonded_of(th_outline_section(&s->outline), 1, s->hull, s->hull_count, &bonded, NULL));
    about_origin(ask->history->wrenches, there.count, &rim_spots[at], moved);
    there.wrenches = moved;
    ask->load = TH_PEAK;
    area = th_grip_peak(&bonded, ask->stack, &there);
    grip = th_grip_plate(th_plate_table_at(table, at), ask);
    peak = grip.grip.index;
    assert_near(peak, area.index, 0.005, 0);
    assert_near(grip.grip.shear_peak, area.shear_peak, 0.005, 0);
    assert_near(grip.grip.lift_peak, area.lift_peak, 0, 0.005 * normal_of(&bonded, &there) + 1e-8);
    if (clear_way(&bonded, &ask->stack->interfaces[area.interface], &there, &area) &&
        grip.grip.interface == area.interface && grip.grip.instant == area.instant &&
        hypot(grip.grip.at.x - area.at.x, grip.grip.at.y - area.at.y) < 1e-6) {
        assert_int_equal(grip.grip.way, area.way);
        (*named)++;
    }
    ask->load = TH_SUSTAINED;
    sustained = th_grip_plate(th_plate_table_at(table, at), ask).grip.index;
    assert_near(sustained, th_grip_sustained(&bonded, ask->stack, &there, ask->seconds, 0).index,
                0.005, 0);
}

/* A plate of huge modulus is the rigid part. */
static void stiff_plate_is_the_area_model(void **state) {
    static th_wrench wrenches[INSTANTS];
    static double weights[INSTANTS];
    long named = 0;

    (void)state;
    mix = 77;
    for (int which = 0; which < SHAPES; which++) {
        shaped s;
        th_plate_table *table;

        make_shape(&s, which);
        s.sheet.material.elastic_modulus = 7e10;
        make_table(&s.sheet, rim_spots, RIM_SPOTS, NULL, &table);
        for (size_t k = 0; k < 60; k++) {
            th_stack stack = random_stack();
            th_history history;
            th_plate_ask ask = {
                .stack = &stack, .history = &history, .seconds = exp(between(0, 9))};

            random_history(wrenches, weights, 1 + pick(INSTANTS), &history);
            assert_rigid(&s, table, k % RIM_SPOTS, &ask, &named);
        }
        th_plate_table_free(table);
        th_outline_free(&s.outline);
    }
    assert_true(named > 60);
}

/* Force through the centroid slides, force past it twists, as in the area model. */
static void names_the_way(void **state) {
    th_stack stack = {.count = 1, .interfaces = {{.name = "x", .shear = 0.3, .lift = 0.2}}};
    th_plate_spot spots[2] = {{40, 25, 4}, {78, 25, 4}};
    th_wrench push = {0, 20, 0, 0, 0, 0}, pull = {0, 0, 20, 0, 0, 0};
    th_history history = {&push, NULL, 1, 0};
    th_plate_ask ask = {.stack = &stack, .history = &history, .load = TH_PEAK};
    th_plate_table *table;
    shaped s;

    (void)state;
    make_shape(&s, RECTANGLE);
    s.sheet.material.elastic_modulus = 7e10;
    make_table(&s.sheet, spots, 2, NULL, &table);
    assert_int_equal(th_grip_plate(th_plate_table_at(table, 0), &ask).grip.way, TH_SLIDE);
    assert_int_equal(th_grip_plate(th_plate_table_at(table, 1), &ask).grip.way, TH_TWIST);
    history.wrenches = &pull;
    assert_int_equal(th_grip_plate(th_plate_table_at(table, 1), &ask).grip.way, TH_LIFT);
    th_plate_table_free(table);
    th_outline_free(&s.outline);
}

/* ---- worse never looks better ---------------------------------------------------------------- */

static void scale_history(th_wrench *w, size_t count, double factor) {
    for (size_t i = 0; i < count; i++) {
        w[i] = (th_wrench){factor * w[i].fx, factor * w[i].fy, factor * w[i].fz,
                           factor * w[i].mx, factor * w[i].my, factor * w[i].mz};
    }
}

static void worse_never_lowers_the_index(void **state) {
    static th_wrench wrenches[INSTANTS];
    static double weights[INSTANTS];
    th_plate_spot spots[3] = {{5, 6, 3}, {30, 20, 3}, {58, 39, 3}};
    th_plate_sheet sheet = {.x1 = 60,
                            .y1 = 40,
                            .thickness = 2,
                            .material = {20000, 0.33, 0.08, 0.16, 1},
                            .coverage = 1};
    th_plate_options options = {.per_length = 3};
    th_plate_table *table[4];
    long rose[3] = {0};

    (void)state;
    mix = 12;
    for (int c = 0; c < 4; c++) {
        sheet.coverage = 1 - 0.25 * c;
        make_table(&sheet, spots, 3, &options, &table[c]);
    }
    for (size_t k = 0; k < CASES; k++) {
        th_stack stack = random_stack();
        th_history history;
        th_plate_ask ask = {.stack = &stack,
                            .history = &history,
                            .load = pick(2) ? TH_PEAK : TH_SUSTAINED,
                            .seconds = exp(between(0, 9))};
        double before, after;
        size_t c = pick(3);

        random_history(wrenches, weights, 1 + pick(INSTANTS), &history);
        /* what stands does not grow with the load, and pressing takes from it */
        history.standing_lift = 0;
        before = th_grip_plate(th_plate_table_at(table[c], k % 3), &ask).grip.index;
        after = th_grip_plate(th_plate_table_at(table[c + 1], k % 3), &ask).grip.index;
        assert_true(after >= before * (1 - 1e-9));
        rose[0] += after > before;
        scale_history(wrenches, history.count, between(1, 2));
        before = after;
        after = th_grip_plate(th_plate_table_at(table[c + 1], k % 3), &ask).grip.index;
        assert_true(after >= before);
        rose[1] += after > before;
        for (size_t i = 0; i < stack.count; i++) {
            stack.interfaces[i].shear *= between(0.5, 1);
            stack.interfaces[i].lift *= between(0.5, 1);
        }
        before = after;
        after = th_grip_plate(th_plate_table_at(table[c + 1], k % 3), &ask).grip.index;
        assert_true(after >= before);
        rose[2] += after > before;
    }
    for (int i = 0; i < 3; i++) {
        assert_true(rose[i] > CASES / 2);
    }
    for (int c = 0; c < 4; c++) {
        th_plate_table_free(table[c]);
    }
}

/* ---- tables ---------------------------------------------------------------------------------- */

static bool compare(void *context, const th_plate_influence *influence, th_error *err) {
    const th_plate_influence *kept = th_plate_table_at(context, influence->spot);
    size_t count = influence->nodes->count;

    (void)err;
    assert_int_equal(kept->spot, influence->spot);
    assert_int_equal(kept->nodes->count, count);
    assert_memory_equal(&kept->place, &influence->place, sizeof kept->place);
    assert_memory_equal(kept->give, influence->give, sizeof kept->give);
    assert_memory_equal(kept->nodes->x, influence->nodes->x, count * sizeof(double));
    assert_memory_equal(kept->nodes->y, influence->nodes->y, count * sizeof(double));
    assert_memory_equal(kept->nodes->area, influence->nodes->area, count * sizeof(double));
    assert_memory_equal(kept->nodes->node, influence->nodes->node, count * sizeof(size_t));
    for (int u = 0; u < TH_UNITS; u++) {
        assert_memory_equal(kept->unit[u], influence->unit[u], 3 * count * sizeof(double));
        assert_memory_equal(kept->anchor[u], influence->anchor[u], 6 * sizeof(double));
    }
    return true;
}

static void table_is_the_sweep(void **state) {
    th_plate_anchor anchors[2] = {{90, 0, {400, 300, 200}, 1, 1}, {3, 50, {100, 500, 600}, 1, 1}};
    th_plate_sheet sheet = {.x1 = 90,
                            .y1 = 50,
                            .thickness = 0.5,
                            .material = {3000, 0.35, 0.3, 1, 1},
                            .coverage = 1,
                            .anchors = anchors,
                            .anchor_count = 2};
    th_plate_options options = {.per_length = 2}, tight = {.per_length = 2, .memory = 1e6};
    th_plate_spot spots[12];
    th_plate_table *table;
    th_error err = {0};
    size_t least = 0;

    (void)state;
    for (int s = 0; s < 12; s++) {
        spots[s] = (th_plate_spot){(s * 37) % 90, (s * 23) % 50, 2};
    }
    make_table(&sheet, spots, 12, &options, &table);
    assert_true(th_plate_sweep(&sheet, spots, 12, &options, (th_plate_sink){compare, table}, &err));
    for (size_t s = 0; s < 12; s++) {
        least += sizeof(double) * 18 * (th_plate_table_at(table, s)->nodes->count + 2);
    }
    assert_true(th_plate_table_bytes(table) > least);
    assert_true((double)th_plate_table_bytes(table) < 1.2 * (double)least);
    assert_null(th_plate_table_at(table, 12));
    th_plate_table_free(table);

    assert_false(th_plate_table_make(&sheet, spots, 12, &tight, &table, &err));
    assert_int_equal(err.code, TH_NOT_POSSIBLE);
    assert_non_null(strstr(err.message, "MB"));
    assert_null(table);
    tight.memory = (double)least * 1.2; /* the table alone fits */
    assert_false(th_plate_table_make(&sheet, spots, 12, &tight, &table, &err));
    assert_int_equal(err.code, TH_NOT_POSSIBLE);
    th_plate_table_free(NULL);
}

/* ---- anchors --------------------------------------------------------------------------------- */

/* Next to no tape: two anchors carry a rigid part by statics. A force on the line that joins them
 * is shared by the lever rule; across the line likewise; a torque goes to a couple. */
static void anchors_carry_by_statics(void **state) {
    th_plate_anchor anchors[2] = {{10, 20, {1000, 1000, 1000}, 40, 25},
                                  {50, 20, {1000, 1000, 1000}, 40, 25}};
    th_plate_sheet sheet = {.x1 = 60,
                            .y1 = 40,
                            .thickness = 6,
                            .material = {2e8, 0.3, 1e-7, 1e-7, 1},
                            .coverage = 1,
                            .anchors = anchors,
                            .anchor_count = 2};
    th_plate_spot spot = {20, 20, 2};
    th_stack stack = {.count = 1, .interfaces = {{.name = "x", .shear = 0.3, .lift = 0.2}}};
    th_wrench w = {16, 12, 20, 0, 0, 80};
    th_history history = {&w, NULL, 1, 0};
    th_plate_ask ask = {.stack = &stack,
                        .history = &history,
                        .load = TH_PEAK,
                        .anchors = anchors,
                        .anchor_count = 2};
    const double load[TH_UNITS] = {16, 12, 20, 0, 0, 80};
    /* y: 12 N at 10 of 40 mm, and 80 N mm over 40 mm */
    const double want[2][3] = {{8, 9 - 2, 15}, {8, 3 + 2, 5}};
    const th_plate_influence *influence;
    th_plate_table *table;

    (void)state;
    make_table(&sheet, &spot, 1, NULL, &table);
    influence = th_plate_table_at(table, 0);
    for (size_t a = 0; a < 2; a++) {
        for (size_t x = 0; x < 3; x++) {
            double force = 0;

            for (size_t u = 0; u < TH_UNITS; u++) {
                force += load[u] * anchors[a].k[x] * influence->anchor[u][3 * a + x];
            }
            assert_near(force, want[a][x], 0.005, 0);
        }
    }
    assert_near(th_grip_plate(influence, &ask).anchor_index, hypot(8, 7) / 40 + 15.0 / 25, 0.005,
                0);
    w.fz = -20; /* a bridge breaks downwards too */
    assert_near(th_grip_plate(influence, &ask).anchor_index, hypot(8, 7) / 40 + 15.0 / 25, 0.005,
                0);
    th_plate_table_free(table);
}

/* On a curved rim an anchor finds solid material. */
static void anchor_on_a_rim(void **state) {
    th_plate_anchor anchors[3];
    th_plate_spot spot = {30, 30, 3};
    double sum = 0, turn = 40 * TH_PI / 180;
    th_plate_table *table;
    shaped s;

    (void)state;
    make_shape(&s, DISC);
    for (size_t a = 0; a < 3; a++) {
        double angle = turn + 2 * TH_PI * (double)a / 3;

        anchors[a] =
            (th_plate_anchor){30 + 30 * cos(angle), 30 + 30 * sin(angle), {500, 500, 500}, 1, 1};
    }
    s.sheet.anchors = anchors;
    s.sheet.anchor_count = 3;
    s.sheet.material = (th_plate_material){2e8, 0.3, 1e-7, 1e-7, 1};
    make_table(&s.sheet, &spot, 1, NULL, &table);
    for (size_t a = 0; a < 3; a++) {
        double motion = th_plate_table_at(table, 0)->anchor[TH_UNIT_FZ][3 * a + 2];

        assert_near(500 * motion, 1.0 / 3, 0.05, 0);
        sum += 500 * motion;
    }
    assert_near(sum, 1, 0.005, 0);
    th_plate_table_free(table);
    th_outline_free(&s.outline);
}

/* ---- stiffness of the hold ------------------------------------------------------------------- */

static void springs_by_hand(void **state) {
    th_tape above = {.sides = 1,
                     .adhesive_thickness = 0.05,
                     .shear_modulus = 0.1,
                     .shear_strength = 0.3,
                     .shear_travel = 0.6,
                     .lift_strength = 0.2,
                     .lift_travel = 2};
    th_tape below = {.sides = 1,
                     .adhesive_thickness = 0.04,
                     .shear_modulus = 0.08,
                     .shear_strength = 0.2,
                     .shear_travel = 0.5,
                     .lift_strength = 0.3,
                     .lift_travel = 1.5};
    th_tape both = above;
    double kn, ks;

    (void)state;
    both.sides = 2;
    th_hold_stiffness(&above, &below, &kn, &ks);
    assert_near(kn, 0.2, 1e-12, 0); /* of the lower tape */
    assert_near(ks, 0.5, 1e-12, 0); /* of the upper one */
    th_hold_stiffness(&above, NULL, &kn, &ks);
    assert_near(kn, 0.1, 1e-12, 0);
    assert_near(ks, 0.5, 1e-12, 0);
    /* 0.1/0.05 = 2 and 0.08/0.04 = 2 N/mm3 in series */
    assert_near(th_hold_sway_stiffness(&above, &below), 1, 1e-12, 0);
    assert_near(th_hold_sway_stiffness(&above, NULL), 2, 1e-12, 0);
    /* one layer on either face */
    assert_near(th_hold_sway_stiffness(&both, NULL), 1, 1e-12, 0);
}

/* ---- bow ------------------------------------------------------------------------------------- */

/* Hetenyi, Beams on Elastic Foundation (1946), ch. II: the end of a long beam under an end moment
 * M0 bears on its bed with p = 2 M0 beta^2, beta = (k/(4 D))^(1/4) per width (memory). */
static void bow_by_hetenyi(void **state) {
    th_plate_material material = {70000, 0.33, 0.08, 0.16, 1};
    double t = 1.5, bow = 0.4, length = 300;
    double d = 70000 * t * t * t / 12 / (1 - 0.33 * 0.33);
    double m0 = d / (length * length / (8 * bow)), beta = pow(0.08 / (4 * d), 0.25);

    (void)state;
    assert_near(th_bow_lift(&material, t, bow, length, 1e4), 2 * m0 * beta * beta, 1e-12, 0);
    assert_near(th_bow_lift(&material, t, -bow, length, 1e4), 2 * m0 * beta * beta, 1e-12, 0);
}

/* A strip without Poisson's ratio, 12 bending lengths long, with M0 on a short patch at each end:
 * traction at one end under both couples. The patch spreads its couple over a twentieth of a
 * bending length and the element is a Mindlin one: within 3 %. */
static void bow_by_the_plate(void **state) {
    th_plate_sheet sheet = {
        .thickness = 1.5, .material = {70000, 0, 0.08, 1e-9, rigid}, .coverage = 1};
    double bow = 0.4, length = 300, bend = th_plate_bending_length(&sheet), side = bend / 20;
    double m0 = 70000 * pow(1.5, 3) / 12 * 8 * bow / (length * length);
    th_plate_load ends[2] = {{.spot = {side / 2, side / 2, side}},
                             {.spot = {12 * bend - side / 2, side / 2, side}}};
    th_wrench couple = {0, 0, 0, 0, m0 * side, 0};
    th_history history = {&couple, NULL, 1, 0};
    th_stack stack = {.count = 1, .interfaces = {{.name = "x", .shear = 1, .lift = 1}}};
    th_plate_ask ask = {.stack = &stack, .history = &history, .load = TH_PEAK};

    (void)state;
    sheet.x1 = 12 * bend;
    sheet.y1 = side;
    for (int e = 0; e < 2; e++) {
        th_plate_table *table;
        th_grip grip;

        couple.my = e ? -m0 * side : m0 * side; /* lifts the end it acts on */
        make_table(&sheet, &ends[e].spot, 1, NULL, &table);
        grip = th_grip_plate(th_plate_table_at(table, 0), &ask).grip;
        assert_near(grip.lift_peak, th_bow_lift(&sheet.material, 1.5, bow, length, 12 * bend), 0.03,
                    0);
        assert_near(grip.at.x, e ? sheet.x1 : 0, 0, 1e-9);
        th_plate_table_free(table);
    }
}

/* ---- slivers --------------------------------------------------------------------------------- */

/* A part that is a strip wider than `length` by next to nothing: its last column of cells is filled
 * to `sliver`. */
static void solve_sliver(double sliver, double x, th_plate_field *field, double *reach) {
    enum { NX = 31, NY = 20 };
    double *xs = plate_case_lines(NX, 62), *ys = plate_case_lines(NY, 40);
    th_plate_cell *cells = plate_case_cells((size_t)NX * NY, 3, 1);
    th_plate_load load = {.spot = {x, 39, 3}, .z = 3, .fx = 20, .fy = 5, .fz = 12};
    th_plate_grid grid = {.nx = NX,
                          .ny = NY,
                          .xs = xs,
                          .ys = ys,
                          .cells = cells,
                          .material = {70000, 0.33, 0.08, 0.16, 1}};
    th_plate_model *model;
    th_error err = {0};

    for (size_t j = 0; j < NY; j++) {
        cells[j * NX + NX - 1] = (th_plate_cell){sliver > 0 ? 3 : 0, sliver, sliver};
    }
    if (!th_plate_model_make(&grid, NULL, &model, &err) ||
        !th_plate_solve(model, &load, 1, field, &err)) {
        fail_msg("%s", err.message);
    }
    *reach = 0;
    for (size_t n = 0; n < field->count; n++) {
        *reach = fmax(*reach, th_plate_model_nodes(model)->x[n]);
    }
    th_plate_model_free(model);
    free(xs);
    free(ys);
    free(cells);
}

/* Thinner and thinner slivers end in none at all, their tractions off by less than their own share,
 * and no place beyond the material is judged. The load lies on whole cells, or mostly on the
 * sliver. */
static void slivers_fade_away(void **state) {
    static const double fractions[] = {0.1, 1e-2, 1e-3, 1e-5, 1e-7, 1e-9};
    (void)state;

    for (int at = 0; at < 2; at++) {
        th_plate_field without;
        double x = at ? 61.45 : 59, reach;

        solve_sliver(0, x, &without, &reach);
        assert_near(reach, 60, 0, 1e-9);
        for (int f = 0; f < 6; f++) {
            double off = 0.1 * fractions[f] + 2e-6;
            th_plate_field with;

            solve_sliver(fractions[f], x, &with, &reach);
            assert_near(reach, 60 + 2 * fractions[f], 0, 1e-9);
            assert_near(with.lift_peak, without.lift_peak, off, 0);
            assert_near(with.shear_peak, without.shear_peak, off, 0);
            th_plate_field_free(&with);
        }
        th_plate_field_free(&without);
    }
}

/* Wholly on slivers: the load is taken by what is there, and stays where it is (the patch grows).
 */
static void load_on_a_sliver_alone(void **state) {
    (void)state;

    for (int f = 1; f <= 9; f += 2) {
        th_plate_field on, beside;
        double reach;

        solve_sliver(pow(10, -f), 61.4, &on, &reach);
        solve_sliver(pow(10, -f), 60.4, &beside, &reach);
        assert_true(isfinite(on.lift_peak) && isfinite(on.shear_peak));
        assert_near(on.lift_peak, beside.lift_peak, 0.1, 0);
        assert_near(on.shear_peak, beside.shear_peak, 0.1, 0);
        th_plate_field_free(&on);
        th_plate_field_free(&beside);
    }
}

static th_grip grip_of_disc(bool edge, double per_length) {
    double turn = 27 * TH_PI / 180;
    th_plate_spot spot = {30 + 29 * cos(turn), 30 + 29 * sin(turn), 3};
    th_stack stack = {.count = 1, .interfaces = {{.name = "x", .shear = 0.3, .lift = 0.2}}};
    th_wrench w = {14, 9, 12, 20, 30, 25};
    th_history history = {&w, NULL, 1, 0};
    th_plate_ask ask = {.stack = &stack, .history = &history, .load = TH_PEAK};
    th_plate_options options = {.per_length = per_length};
    th_plate_table *table;
    th_grip grip;
    shaped s;

    make_shape(&s, DISC);
    s.sheet.edge = edge ? &s.outline : NULL;
    s.sheet.thickness = 1;
    make_table(&s.sheet, &spot, 1, &options, &table);
    grip = th_grip_plate(th_plate_table_at(table, 0), &ask).grip;
    th_plate_table_free(table);
    th_outline_free(&s.outline);
    return grip;
}

/* A load on the rim of a disc: governing tractions at the rim, coarse to fine, within 1.5 % where
 * the edge is known and within 3 % where it is made out from the cells. */
static void disc_converges(void **state) {
    th_grip finest = grip_of_disc(true, 12);

    (void)state;
    for (int edge = 0; edge < 2; edge++) {
        for (int f = 0; f < 3; f++) {
            th_grip grip = grip_of_disc(edge, 3 * pow(1.5, f));

            assert_near(grip.index, finest.index, edge ? 0.015 : 0.03, 0);
            assert_near(grip.shear_peak, finest.shear_peak, edge ? 0.015 : 0.03, 0);
            assert_near(grip.lift_peak, finest.lift_peak, edge ? 0.015 : 0.03, 0);
            assert_near(hypot(grip.at.x - 30, grip.at.y - 30), 30, 0, 0.05);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(equals_brute_force),
        cmocka_unit_test(odd_histories),
        cmocka_unit_test(one_load_equals_the_field),
        cmocka_unit_test(stiff_plate_is_the_area_model),
        cmocka_unit_test(names_the_way),
        cmocka_unit_test(worse_never_lowers_the_index),
        cmocka_unit_test(table_is_the_sweep),
        cmocka_unit_test(anchors_carry_by_statics),
        cmocka_unit_test(anchor_on_a_rim),
        cmocka_unit_test(springs_by_hand),
        cmocka_unit_test(bow_by_hetenyi),
        cmocka_unit_test(bow_by_the_plate),
        cmocka_unit_test(slivers_fade_away),
        cmocka_unit_test(load_on_a_sliver_alone),
        cmocka_unit_test(disc_converges),
    };

    return cmocka_run_group_tests_name("grip_plate", tests, NULL, NULL);
}
