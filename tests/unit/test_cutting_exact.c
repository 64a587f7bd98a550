/* test_cutting_exact.c - forces where they can be had otherwise: in closed form, by plain sums over
 * slices of the edge, at a finer resolution. Cutters and stocks are invented but for 7075-T6. */
#include <math.h>
#include <string.h>

#include "../../src/cutting/load.h"
#include "../../src/cutting/profile.h"
#include "../../src/cutting/ranges.h"
#include "support/near.h"

#define DEGREE (TH_PI / 180)

/* 7075-T6, carbide, dry: Chinese Journal of Mechanical Engineering 2021, "Milling Force Model for
 * Aviation Aluminum Alloy", table 5. */
static const th_stock aluminium = {
    .ktc = 767.01, .krc = 168.8, .kac = 222, .kte = 27.7, .kre = 26.6, .kae = 0.7};

static th_cutter cutter_of(int kind, double diameter, int flutes, double helix) {
    return (th_cutter){.kind = kind,
                       .diameter = diameter,
                       .flutes = flutes,
                       .helix = helix,
                       .helix_pulls = helix > 0 ? TH_UP : TH_STRAIGHT,
                       .tip_angle = NAN};
}

static th_pass pass_of(const th_cutter *cutter, double radial, double axial, double chip_load) {
    return (th_pass){.stock = &aluminium,
                     .cutter = cutter,
                     .wear = 1,
                     .radial = radial,
                     .axial = axial,
                     .chip_load = chip_load,
                     .speed = 10000,
                     .resolution = 1};
}

static th_turn run(const th_pass *pass) {
    th_turn turn;
    th_error err;

    if (!th_turn_run(pass, &turn, &err)) {
        fail_msg("%s", err.message);
    }
    return turn;
}

/* ---- shapes ---------------------------------------------------------------------------------- */

/* A disc that ends at the wall, and the tip of a ball, which is no disc, whatever lies behind it.
 */
static void what_does_not_reach_the_stock_is_not_engaged(void **state) {
    static const double discs[][2] = {{3, 3}, {3, 4}, {0, 0}, {0, 1}, {0, -1}, {NAN, 1}};

    (void)state;
    for (size_t i = 0; i < sizeof discs / sizeof *discs; i++) {
        for (int climb = 0; climb < 2; climb++) {
            th_arc arc = {1, 2};
            assert_false(th_engaged_arc(discs[i][0], discs[i][1], climb, &arc));
            assert_true(arc.exit == arc.entry);
        }
    }
}

/* From the tip to a height: stretches follow each other without a gap or a step, and their edges
 * are as long as a quarter of a circle, a slant, a straight line. */
static void an_outline_has_no_gap(void **state) {
    static const struct {
        int kind, below, above; /* stretches up to 1 mm and up to 6 mm */
        double low, high;       /* length of edge up to there (mm) */
    } rows[] = {{TH_FLAT, 1, 1, 1, 6},
                {TH_BALL, 1, 2, 4 * 0.722734247813416, 2 * TH_PI + 2}, /* acos(3/4) */
                {TH_BULL, 1, 2, 1.5 * 1.230959417340775, 0.75 * TH_PI + 4.5},
                {TH_CHAMFER, 1, 2, 1.414213562373095, 3 * 1.414213562373095 + 3}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        th_cutter cutter = cutter_of(rows[i].kind, 8, 2, 0);
        stretch parts[2 * MOST_STRETCHES];
        double at = 0, r = -1;
        cutter.corner_radius = 1.5;
        cutter.tip_flat = 2;
        cutter.tip_angle = 90;
        for (int high = 0; high < 2; high++) {
            int count = th_profile_stretches(&cutter, 0, high ? 6 : 1, parts);
            double length = 0;
            assert_int_equal(count, high ? rows[i].above : rows[i].below);
            for (int k = 0; k < count; k++) {
                profile_point from = th_stretch_point(&parts[k], parts[k].from);
                profile_point to = th_stretch_point(&parts[k], parts[k].to);
                assert_near(from.z, k ? at : 0, 1e-12, 1e-12);
                assert_near(from.r, k ? r : from.r, 1e-12, 1e-12);
                at = to.z;
                r = to.r;
                length += th_stretch_length(&parts[k], parts[k].from, parts[k].to);
            }
            assert_near(at, high ? 6 : 1, 1e-12, 0);
            assert_near(th_profile_radius(&cutter, at), r, 1e-12, 0);
            assert_near(length, high ? rows[i].high : rows[i].low, 1e-12, 0);
        }
    }
}

/* What a drill removes is its hole: 22 mm wide, and as deep as it is fed in a minute. */
static void a_drill_removes_its_hole(void **state) {
    th_cutter drill = cutter_of(TH_DRILL, 22, 2, 30);
    th_drilling drilling = {&aluminium, &drill, 1, 0.075, 2894};
    th_drill_load load;
    th_error err;

    (void)state;
    drill.tip_angle = 140;
    assert_true(th_drill_run(&drilling, &load, &err));
    assert_near(load.removal, TH_PI * 11 * 11 * (2 * 0.075 * 2894), 1e-12, 0);
    /* ISCAR rotating tools catalogue 2017, p. 601 */
    assert_near(load.removal / 1000, 165, 0, 0.5);
}

/* ---- forces ---------------------------------------------------------------------------------- */

/* A straight-fluted ball buried to its middle: a quarter circle of edge of radius R, the chip fz
 * sin(phi) sin(kappa), its radial force along the radius of the ball. Over it the integral of
 * sin(kappa) is 1, of its square pi/4, of sin(kappa) cos(kappa) 1/2, of cos(kappa) 1. */
static void a_straight_ball_in_a_slot_has_a_closed_form(void **state) {
    th_cutter ball = cutter_of(TH_BALL, 6, 1, 0);
    th_pass pass = pass_of(&ball, 6, 3, 0.05);
    const th_stock *k = &aluminium;
    th_turn turn = run(&pass);

    (void)state;
    for (size_t i = 0; i < turn.count; i++) {
        const th_sample *got = &turn.samples[i];
        double s = sin(got->angle), c = cos(got->angle), fz = 0.05 * s, r = 3;
        bool in = s > 1e-4;
        double ft = r * (k->ktc * fz + k->kte * TH_PI / 2);
        double out = r * (k->krc * fz * TH_PI / 4 + k->kre);
        double up = -r * (k->krc * fz / 2 + k->kre);
        if (fabs(s) < 1e-4) {
            continue; /* the tooth comes in or goes out */
        }
        assert_near(got->fx, in ? ft * c + out * s : 0, 1e-6, 1e-5);
        assert_near(got->fy, in ? out * c - ft * s : 0, 1e-6, 1e-5);
        assert_near(got->fz, in ? up : 0, 1e-6, 1e-9);
    }
    th_turn_free(&turn);
}

/* Chip of tooth j as of Kline and DeVor 1983, the runout's direction given. */
static double plain_chip(const th_pass *pass, int j, double sine, double psi) {
    int n = pass->cutter->flutes;
    double h = INFINITY, tir = pass->cutter->runout;

    for (int m = 1; m <= n; m++) {
        double step = cos(2 * TH_PI * j / n + psi) - cos(2 * TH_PI * (j - m) / n + psi);
        h = fmin(h, m * pass->chip_load * sine + tir / 2 * step);
    }
    return h;
}

/* Forces of a flat cutter, its edges in so many slices; the stock lies to the left, and to the
 * right in climb milling. */
static th_sample plain_load(const th_pass *pass, double angle, double psi, int slices) {
    const th_stock *k = pass->stock;
    int n = pass->cutter->flutes;
    double r = pass->cutter->diameter / 2, dz = pass->axial / slices;
    double lead = tan(pass->cutter->helix * DEGREE) / r;
    th_sample sum = {.angle = angle};

    for (int i = 0; i < n * slices; i++) {
        double phi = angle - 2 * TH_PI * (i % n) / n - lead * dz * (i / n + 0.5);
        double s = sin(phi), c = cos(phi);
        bool in = s > 0 && r * (pass->climb ? -c : c) > r - pass->radial;
        double h = in ? plain_chip(pass, i % n, s, psi) : 0;
        if (h > 0) {
            double ft = (k->ktc * h + k->kte) * dz, fr = (k->krc * h + k->kre) * dz;
            sum.fx += ft * c + fr * s;
            sum.fy += fr * c - ft * s;
            sum.fz += lead > 0 ? (k->kac * h + k->kae) * dz : 0;
        }
    }
    return sum;
}

/* With runout the chip of a tooth bends where another tooth's cut begins to be met: helical edges,
 * along which that happens somewhere, against many slices. */
static void a_chip_that_bends_along_the_edge_is_summed_well(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6, 3, 45);
    th_pass pass = pass_of(&cutter, 6, 4, 0.05);
    th_edge_force edge = th_edge_force_of(&aluminium, &cutter, 1);
    cut_model model = {.line = th_edge_line_of(&edge)};
    th_error err;

    (void)state;
    cutter.runout = 0.03;
    assert_true(th_slabs_build(&pass, &model.slabs, &err));
    for (int i = 0; i < 40; i++) {
        double psi = 2 * TH_PI * i / 40, angle = 2 * TH_PI * (i * 7 % 40 + 0.3) / 40;
        th_sample want = plain_load(&pass, angle, psi, 4000), got;
        th_teeth_set(&model.teeth, &pass, psi);
        got = th_load_at(&model, angle);
        assert_near(got.fx, want.fx, 0, 0.04); /* of some 400 N */
        assert_near(got.fy, want.fy, 0, 0.04);
        assert_near(got.fz, want.fz, 0, 0.04);
    }
    th_slabs_free(&model.slabs);
}

/* A straight flute in a zone whose border runs straight across its height, either way: at each
 * angle of the tooth it cuts over that share of the height where its border is not reached yet. */
static void a_slanted_border_cuts_a_share_of_the_height(void **state) {
    const double early = 0.6, late = 2.4, height = 3;
    th_cutter cutter = cutter_of(TH_FLAT, 6, 1, 0);
    th_pass pass = pass_of(&cutter, 6, height, 0.05);
    const th_stock *k = &aluminium;

    (void)state;
    for (int up = 0; up < 2; up++) {
        th_zone_slant slant = {.low[0] = {0, up ? early : late}, .high[0] = {0, up ? late : early}};
        th_zone zone = {0.5, 0.5 + height, {{0, (early + late) / 2}}, 1};
        th_turn turn;
        pass.zones = &zone;
        pass.slants = &slant;
        pass.zone_count = 1;
        turn = run(&pass);
        for (size_t i = 0; i < turn.count; i++) {
            const th_sample *got = &turn.samples[i];
            double turned = fmod(got->angle, 2 * TH_PI), s = sin(turned), c = cos(turned);
            double share = fmin(fmax((late - turned) / (late - early), 0), 1);
            double ft = (k->ktc * 0.05 * s + k->kte) * height * share;
            double fr = (k->krc * 0.05 * s + k->kre) * height * share;
            if (turned > 0.01 && turned < 2 * TH_PI - 0.01) {
                assert_near(got->fx, ft * c + fr * s, 1e-9, 1e-6);
                assert_near(got->fy, fr * c - ft * s, 1e-9, 1e-6);
            }
        }
        th_turn_free(&turn);
    }
}

/* However many slabs a helix parts a zone into, its border is one straight line over all of them,
 * on either side of its arc. */
static void a_slanted_border_runs_straight_through_all_slabs(void **state) {
    const th_arc low = {0.4, 2.9}, high = {1.3, 2.1};
    const double height = 3;
    th_cutter cutter = cutter_of(TH_FLAT, 6, 2, 45);
    th_pass pass = pass_of(&cutter, 6, height, 0.05);
    th_zone zone = {0, height, {{0.85, 2.5}}, 1};
    th_zone_slant slant = {.low[0] = low, .high[0] = high};
    slab_list slabs = {0};
    th_error err;

    (void)state;
    pass.zones = &zone;
    pass.slants = &slant;
    pass.zone_count = 1;
    assert_true(th_slabs_build(&pass, &slabs, &err));
    assert_true(slabs.count > 2);
    for (size_t i = 0; i < slabs.count; i++) {
        const slab *item = &slabs.items[i];
        for (int end = 0; end < 2; end++) {
            double z = height * (double)(i + (size_t)end) / (double)slabs.count;
            assert_near(curve_at(&item->z, end), z, 1e-9, 1e-9);
            assert_near(item->entry[end], low.entry + z / height * (high.entry - low.entry), 1e-9,
                        0);
            assert_near(item->exit[end], low.exit + z / height * (high.exit - low.exit), 1e-9, 0);
        }
    }
    th_slabs_free(&slabs);
}

/* ---- one turn -------------------------------------------------------------------------------- */

/* A straight-fluted ball always presses down, and where a tooth enters just as the one before it
 * leaves, at whatever angle, there is always one that does. */
static void teeth_that_hand_over_leave_no_gap(void **state) {
    th_cutter ball = cutter_of(TH_BALL, 6, 4, 0);
    th_zone zone = {.low = 0.5, .high = 1.5, .arc_count = 1};
    th_pass pass = pass_of(&ball, 6, 1, 0.05);

    (void)state;
    pass.zones = &zone;
    pass.zone_count = 1;
    for (int i = 2; i < 180; i++) {
        double entry = i * DEGREE / 2;
        th_turn turn;
        zone.arcs[0] = (th_arc){entry, entry + TH_PI / 2};
        turn = run(&pass);
        assert_true(turn.lift_peak < -1);
        th_turn_free(&turn);
    }
}

/* Teeth that for runout begin to cut amid their arc, whose border leans: the power is that of a run
 * with eight times the angles, where every look at the edge is closer. Of the cones that is at the
 * very tip, in the first of the slices that the edge is parted into. */
static void where_a_tooth_begins_to_cut_is_not_missed(void **state) {
    static const struct {
        int kind;
        double diameter;
        int flutes;
        double helix, runout, radial, axial, chip_load;
    } rows[] = {{TH_BALL, 7.43, 4, 30, 0.01283, 0.1018, 0.1627, 0.0618},
                {TH_BALL, 14.9, 5, 10, 0.00466, 0.4115, 0.6437, 0.0545},
                {TH_BALL, 2.78, 2, 30, 0.02792, 0.1067, 0.0786, 0.0663},
                {TH_CHAMFER, 3.13, 4, 30.1, 0.0028, 0.0101, 0.0126, 0.0984},
                {TH_CHAMFER, 12.9, 4, 9.4, 0.0095, 0.0999, 0.2645, 0.0929},
                {TH_CHAMFER, 10.27, 5, 42.1, 0.0013, 0.0327, 0.0389, 0.0319}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        th_cutter cutter = cutter_of(rows[i].kind, rows[i].diameter, rows[i].flutes, rows[i].helix);
        th_pass pass = pass_of(&cutter, rows[i].radial, rows[i].axial, rows[i].chip_load);
        th_turn turn, fine;
        cutter.runout = rows[i].runout;
        if (rows[i].kind == TH_CHAMFER) {
            cutter.tip_angle = 90;
            cutter.tip_flat = 0.2;
        }
        turn = run(&pass);
        pass.resolution = 8;
        fine = run(&pass);
        assert_near(turn.power, fine.power, 0.002, 0);
        th_turn_free(&turn);
        th_turn_free(&fine);
    }
}

typedef struct {
    double psi, angle, peak;
} worst_case;

/* How closely directions of the runout, angles and heights are looked at. */
typedef struct {
    int directions, looks, slices;
} closeness;

/* The largest in-plane force within so much of a direction of the runout and of an angle. */
static worst_case worst_about(const th_pass *pass, worst_case at, double psi, double angle,
                              closeness by) {
    worst_case worst = {at.psi, at.angle, 0};

    for (int i = 0; i < by.looks * by.directions; i++) {
        double to = at.psi + psi * (2 * (i % by.directions) + 1 - by.directions) / by.directions;
        double turned = at.angle + angle * (2 * (i / by.directions) + 1 - by.looks) / by.looks;
        th_sample sum = plain_load(pass, turned, to, by.slices);
        double peak = hypot(sum.fx, sum.fy);
        worst = peak > worst.peak ? (worst_case){to, turned, peak} : worst;
    }
    return worst;
}

/* Of all directions of the runout the one with the largest peak is taken: by plain sums, looked for
 * all around, then twice closer. In the first cut the worst lies between the directions first
 * tried, in the second two teeth take the same chip; in those of straight flutes two teeth are in
 * the cut together for a degree, in the third and fourth of them the peak falls off where one drops
 * out; in the last two of all it is a narrow one, of the last it lies where one tooth stands out
 * most. */
static void the_direction_taken_is_the_worst(void **state) {
    static const struct {
        int flutes;
        double helix, runout, radial, axial, chip_load;
        closeness by[3];
        double within;
    } rows[] = {
        {4, 30, 0.039, 0.4, 1.7, 0.036, {{24, 180, 60}, {24, 24, 400}, {24, 24, 800}}, 0.0015},
        {5, 41, 0.017, 2.2, 1.5, 0.020, {{24, 180, 60}, {24, 24, 400}, {24, 24, 800}}, 0.0015},
        {4, 27, 0.037, 3.8, 0.3, 0.007, {{24, 180, 60}, {24, 24, 400}, {24, 24, 800}}, 0.0015},
        {5, 0, 0.0172, 2.141, 1.5, 0.0272, {{96, 1440, 1}, {24, 48, 1}, {24, 48, 1}}, 0.005},
        {6, 0, 0.0155, 1.629, 1.5, 0.0058, {{96, 1440, 1}, {24, 48, 1}, {24, 48, 1}}, 0.005},
        {4, 0, 0.0354, 3.747, 1.093, 0.0078, {{96, 1440, 1}, {24, 48, 1}, {24, 48, 1}}, 0.005},
        {5, 0, 0.045, 2.44, 0.857, 0.0107, {{96, 1440, 1}, {24, 48, 1}, {24, 48, 1}}, 0.005},
        {6, 0, 0.026, 5.45, 0.9, 0.005, {{96, 1440, 1}, {24, 48, 1}, {24, 48, 1}}, 0.005},
        {4, 0, 0.047, 4.31, 0.4, 0.020, {{96, 1440, 1}, {24, 48, 1}, {24, 48, 1}}, 0.005},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int n = rows[i].flutes;
        th_cutter cutter = cutter_of(TH_FLAT, 6, n, rows[i].helix);
        th_pass pass = pass_of(&cutter, rows[i].radial, rows[i].axial, rows[i].chip_load);
        worst_case worst = {0, 0, 0};
        th_turn turn;
        cutter.runout = rows[i].runout;
        pass.climb = rows[i].helix == 0;
        worst = worst_about(&pass, worst, TH_PI / n, TH_PI, rows[i].by[0]);
        worst = worst_about(&pass, worst, TH_PI / n / 12, TH_PI / 90, rows[i].by[1]);
        worst = worst_about(&pass, worst, TH_PI / n / 144, TH_PI / 1080, rows[i].by[2]);
        turn = run(&pass);
        assert_near(turn.in_plane_peak, worst.peak, rows[i].within, 0);
        th_turn_free(&turn);
    }
}

/* A stock a hundred thousand times as soft is cut by as much smaller forces, in the same worst
 * direction: none is too small to be the worst. */
static void the_worst_direction_is_the_same_in_any_stock(void **state) {
    th_stock soft = aluminium;

    (void)state;
    soft.ktc *= 1e-5, soft.krc *= 1e-5, soft.kac *= 1e-5;
    soft.kte *= 1e-5, soft.kre *= 1e-5, soft.kae *= 1e-5;
    for (int n = 2; n < 6; n++) {
        th_cutter cutter = cutter_of(TH_FLAT, 6, n, 30);
        th_pass pass = pass_of(&cutter, 0.4, 1.7, 0.036);
        th_turn hard, light;
        cutter.runout = 0.039;
        hard = run(&pass);
        pass.stock = &soft;
        light = run(&pass);
        assert_true(light.in_plane_peak < 0.1);
        assert_near(1e5 * light.in_plane_peak, hard.in_plane_peak, 1e-6, 0);
        th_turn_free(&light);
        th_turn_free(&hard);
    }
}

/* The lowest point of a tooth is on its way from where it meets the stock to where the last of the
 * edge above leaves it: the arc of the cut, acos(1 - a_e/R), and the lag of the edge,
 * a_p tan(helix)/R. Outside of that the tooth adds nothing: with all of the turn looked at the load
 * is the same. */
static void a_tooth_cuts_within_its_arc_and_lag_alone(void **state) {
    static const double helices[] = {0, 15, 40}, radials[] = {0.3, 2, 6};

    (void)state;
    for (int i = 0; i < 9; i++) {
        double radial = radials[i / 3], axial = 2, helix = helices[i % 3];
        double expected = acos(1 - radial / 3) + axial * tan(helix * DEGREE) / 3;
        th_cutter cutter = cutter_of(TH_FLAT, 6, 3, helix);
        th_pass pass = pass_of(&cutter, radial, axial, 0.05);
        th_edge_force edge = th_edge_force_of(&aluminium, &cutter, 1);
        cut_model model = {.line = th_edge_line_of(&edge)}, whole;
        th_error err;
        assert_true(th_slabs_build(&pass, &model.slabs, &err));
        th_teeth_set(&model.teeth, &pass, 0);
        assert_near(model.slabs.tip_last - model.slabs.tip_first, expected, 1e-3, 1e-6);
        whole = model;
        whole.slabs.tip_first = 0;
        whole.slabs.tip_last = 4 * TH_PI;
        for (int k = 0; k < 720; k++) {
            th_sample some = th_load_at(&model, 0.5 * k * DEGREE);
            th_sample all = th_load_at(&whole, 0.5 * k * DEGREE);
            assert_near(some.fx, all.fx, 0, 1e-12);
            assert_near(some.fy, all.fy, 0, 1e-12);
        }
        th_slabs_free(&model.slabs);
    }
}

/* A quarter to 64 times as fine as is normal, both ends included. */
static void a_resolution_has_its_bounds(void **state) {
    static const double good[] = {0.25, 1, 64}, bad[] = {0.2499, 64.01, 0, NAN};
    th_cutter cutter = cutter_of(TH_FLAT, 6, 3, 30);
    th_pass pass = pass_of(&cutter, 3, 1, 0.05);
    th_error err;

    (void)state;
    for (int i = 0; i < 3; i++) {
        pass.resolution = good[i];
        assert_true(th_check_pass(&pass, &err));
    }
    for (int i = 0; i < 4; i++) {
        pass.resolution = bad[i];
        assert_false(th_check_pass(&pass, &err));
        assert_int_equal(err.code, TH_BAD_RANGE);
        assert_non_null(strstr(err.message, "resolution"));
    }
}

/* Each tooth of a helix is in a thin cut for a small angle only, and none of that is missed: over
 * the turn a tooth does the work of its arc at every height, the chip fz sin(phi) in it. */
static void a_short_window_is_looked_at_closely(void **state) {
    static const double helices[] = {20, 40}, radials[] = {0.01, 0.03, 0.06, 0.1};

    (void)state;
    for (int i = 0; i < 8; i++) {
        th_cutter cutter = cutter_of(TH_FLAT, 6, 2, helices[i % 2]);
        double radial = radials[i / 2], arc = acos(1 - radial / 3);
        th_pass pass = pass_of(&cutter, radial, 0.3, 0.05);
        double work = 2 * 0.3 * 3 * (aluminium.ktc * 0.05 * radial / 3 + aluminium.kte * arc);
        th_turn turn = run(&pass);
        assert_near(turn.power, work * 10000 / 60 / 1000, 2e-5, 0);
        th_turn_free(&turn);
    }
}

/* Metal is removed at the section of all arcs of all zones: r dphi wide each, seen along the feed
 * (cos(entry) - cos(exit)) r. Half a turn is the whole cutter. */
static void zones_remove_their_section(void **state) {
    th_cutter cutter = cutter_of(TH_FLAT, 6, 3, 30);
    th_zone zones[2] = {{0, 0.5, {{0, TH_PI}}, 1},
                        {0.5, 2, {{0, TH_PI / 3}, {TH_PI / 2, TH_PI}}, 2}};
    th_pass pass = pass_of(&cutter, NAN, NAN, 0.04);
    th_turn turn;

    (void)state;
    pass.zones = zones;
    pass.zone_count = 2;
    turn = run(&pass);
    assert_near(turn.removal, (0.5 * 6 + 1.5 * (1.5 + 3)) * 0.04 * 3 * 10000, 1e-12, 0);
    th_turn_free(&turn);
}

/* A helix that pushes down is the one that pulls up, seen in a mirror on the table: the forces in
 * its plane are as large, and what lifted pushes. */
static void a_helix_that_pushes_is_a_mirrored_one(void **state) {
    (void)state;
    for (int i = 0; i < 24; i++) {
        th_cutter cutter = cutter_of(TH_FLAT, 6, 1 + i % 4, 15 + i);
        th_pass pass = pass_of(&cutter, i % 3 ? 0.3 * (1 + i % 3) : 6, 0.5 + 0.3 * i, 0.05);
        th_turn up, down;
        pass.climb = i % 2;
        cutter.runout = i % 5 ? 0 : 0.02;
        up = run(&pass);
        cutter.helix_pulls = TH_DOWN;
        down = run(&pass);
        assert_near(down.power, up.power, 2e-3, 0);
        assert_near(down.x_mean, up.x_mean, 2e-3, 1e-3);
        assert_near(down.y_mean, up.y_mean, 2e-3, 1e-3);
        assert_near(down.z_mean, -up.z_mean, 2e-3, 0);
        th_turn_free(&up);
        th_turn_free(&down);
    }
}

/* Nor where the border leans in a zone alone, whose load fades in and out for that: whether teeth
 * come to it or leave by it, and whichever of its ends they meet first. */
static void where_a_tooth_begins_is_not_missed_in_a_leaning_zone(void **state) {
    static const struct {
        int flutes;
        double helix, runout, chip_load, low, high, axial; /* arc at the lower, upper end (rad) */
        bool left;
    } rows[] = {{4, 7, 0.010, 0.008, 0.60, 0.02, 0.3, true},
                {4, 11, 0.013, 0.009, 0.15, 1.47, 0.4, true},
                {5, 3, 0.034, 0.005, 0.95, 1.41, 0.2, false},
                {5, 7, 0.031, 0.034, 0.62, 0.02, 0.5, false}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        th_cutter cutter = cutter_of(TH_FLAT, 6, rows[i].flutes, rows[i].helix);
        th_pass pass = pass_of(&cutter, NAN, NAN, rows[i].chip_load);
        double low = rows[i].low, high = rows[i].high;
        th_zone zone = {0, rows[i].axial, {{0, (low + high) / 2}}, 1};
        th_zone_slant slant = {.low[0] = {0, low}, .high[0] = {0, high}};
        th_turn turn, fine;
        if (!rows[i].left) {
            zone.arcs[0] = (th_arc){TH_PI - (low + high) / 2, TH_PI};
            slant.low[0] = (th_arc){TH_PI - low, TH_PI};
            slant.high[0] = (th_arc){TH_PI - high, TH_PI};
        }
        cutter.runout = rows[i].runout;
        pass.zones = &zone;
        pass.slants = &slant;
        pass.zone_count = 1;
        turn = run(&pass);
        pass.resolution = 8;
        fine = run(&pass);
        assert_near(turn.power, fine.power, 0.001, 0);
        th_turn_free(&turn);
        th_turn_free(&fine);
    }
}

/* Nor is it along a border that leans to and fro over eight zones, in the last of them, which is
 * the highest. */
static void where_a_tooth_begins_is_not_missed_in_any_zone(void **state) {
    enum { ZONES = 8 };
    static const struct {
        int flutes;
        double helix, runout, chip_load, middle, lean, last;
    } rows[] = {{4, 5, 0.024, 0.025, 0.22, 0.18, 1.1}, {2, 8, 0.008, 0.026, 0.37, 0.22, 0.5}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        th_cutter cutter = cutter_of(TH_FLAT, 6, rows[i].flutes, rows[i].helix);
        th_pass pass = pass_of(&cutter, NAN, NAN, rows[i].chip_load);
        double entry = TH_PI - rows[i].middle, lean = rows[i].lean, height = 0;
        th_zone_slant slants[ZONES];
        th_zone zones[ZONES];
        th_turn turn, fine;
        cutter.runout = rows[i].runout;
        for (int k = 0; k < ZONES; k++, lean = -lean) {
            double top = height + (k + 1 < ZONES ? 0.05 : rows[i].last);
            zones[k] = (th_zone){height, top, {{entry, TH_PI}}, 1};
            slants[k].low[0] = (th_arc){entry + lean, TH_PI};
            slants[k].high[0] = (th_arc){entry - lean, TH_PI};
            height = top;
        }
        pass.zones = zones;
        pass.slants = slants;
        pass.zone_count = ZONES;
        turn = run(&pass);
        pass.resolution = 8;
        fine = run(&pass);
        assert_near(turn.power, fine.power, 0.001, 0);
        th_turn_free(&turn);
        th_turn_free(&fine);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_does_not_reach_the_stock_is_not_engaged),
        cmocka_unit_test(an_outline_has_no_gap),
        cmocka_unit_test(a_drill_removes_its_hole),
        cmocka_unit_test(a_straight_ball_in_a_slot_has_a_closed_form),
        cmocka_unit_test(a_chip_that_bends_along_the_edge_is_summed_well),
        cmocka_unit_test(a_slanted_border_cuts_a_share_of_the_height),
        cmocka_unit_test(a_slanted_border_runs_straight_through_all_slabs),
        cmocka_unit_test(teeth_that_hand_over_leave_no_gap),
        cmocka_unit_test(where_a_tooth_begins_to_cut_is_not_missed),
        cmocka_unit_test(the_direction_taken_is_the_worst),
        cmocka_unit_test(the_worst_direction_is_the_same_in_any_stock),
        cmocka_unit_test(a_tooth_cuts_within_its_arc_and_lag_alone),
        cmocka_unit_test(a_resolution_has_its_bounds),
        cmocka_unit_test(a_short_window_is_looked_at_closely),
        cmocka_unit_test(zones_remove_their_section),
        cmocka_unit_test(a_helix_that_pushes_is_a_mirrored_one),
        cmocka_unit_test(where_a_tooth_begins_is_not_missed_in_a_leaning_zone),
        cmocka_unit_test(where_a_tooth_begins_is_not_missed_in_any_zone),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
