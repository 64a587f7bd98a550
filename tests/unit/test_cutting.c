/* Tests of the cutting layer. Stocks and cutters are invented unless a publication is named. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "support/near.h"
#include "tackhold/cutting.h"

#define DEGREE (TH_PI / 180.0)

/* ---- helpers -------------------------------------------------------------------------------- */

static th_stock linear_stock(double ktc, double krc, double kac) {
    th_stock stock = {.ktc = ktc, .krc = krc, .kac = kac, .kte = 0, .kre = 0, .kae = 0};

    return stock;
}

static th_stock kienzle_stock(double kc11, double mc) {
    th_stock stock = {.kc11 = kc11,
                      .mc = mc,
                      .ktc = NAN,
                      .krc = NAN,
                      .kac = NAN,
                      .kte = NAN,
                      .kre = NAN,
                      .kae = NAN,
                      .friction_angle = 25,
                      .edge_chip = 0.06};

    return stock;
}

/* 7075-T6, carbide, dry: Chinese Journal of Mechanical Engineering 2021, "Milling Force Model for
 * Aviation Aluminum Alloy", table 5. */
static th_stock al_7075(void) {
    th_stock stock = linear_stock(767.01, 168.8, 222);

    stock.kte = 27.7;
    stock.kre = 26.6;
    stock.kae = 0.7;
    return stock;
}

static th_cutter flat_cutter(double diameter, int flutes, double helix) {
    th_cutter cutter = {.kind = TH_FLAT,
                        .diameter = diameter,
                        .flutes = flutes,
                        .helix = helix,
                        .helix_pulls = helix > 0 ? TH_UP : TH_STRAIGHT,
                        .tip_angle = NAN};

    return cutter;
}

static th_pass pass_of(const th_stock *stock, const th_cutter *cutter, double radial,
                       double axial) {
    th_pass pass = {.stock = stock,
                    .cutter = cutter,
                    .wear = 1,
                    .radial = radial,
                    .axial = axial,
                    .chip_load = 0.03,
                    .speed = 10000,
                    .climb = true,
                    .resolution = 1};

    return pass;
}

static th_turn run(const th_pass *pass) {
    th_turn turn;
    th_error err;

    if (!th_turn_run(pass, &turn, &err)) {
        fail_msg("%s", err.message);
    }
    return turn;
}

typedef struct {
    uint64_t state;
} dice;

static double roll(dice *from, double least, double most) {
    from->state = from->state * 6364136223846793005u + 1442695040888963407u;
    return least + (most - least) * (double)(from->state >> 11) / 9007199254740992.0;
}

/* ---- force per width ------------------------------------------------------------------------ */

static void specific_force_follows_the_table(void **state) {
    /* kc1.1 and mc: VDI 3323 groups as printed in the ISCAR turning catalogue 2017, p. 558: wrought
     * aluminium hardened, non-alloy steel 190 HB, austenitic stainless steel. */
    static const double rows[3][2] = {{800, 0.25}, {1500, 0.22}, {2150, 0.20}};
    th_cutter cutter = flat_cutter(6, 3, 0);

    (void)state;
    for (int i = 0; i < 3; i++) {
        th_stock stock = kienzle_stock(rows[i][0], rows[i][1]);
        th_edge_force edge = th_edge_force_of(&stock, &cutter, 1);

        assert_near(th_specific_force(&edge, 1.0), rows[i][0], 1e-12, 0);
        for (double h = 0.001; h < 1; h *= 1.1) {
            double power_law = rows[i][0] * pow(h, -rows[i][1]);

            if (h >= 0.06) {
                assert_near(th_specific_force(&edge, h), power_law, 1e-12, 0);
            } else {
                assert_true(th_specific_force(&edge, h) > power_law);
            }
        }
    }
}

static void force_is_smooth_at_edge_chip(void **state) {
    th_stock stock = kienzle_stock(1500, 0.22);
    th_cutter cutter = flat_cutter(6, 3, 30);
    th_edge_force edge = th_edge_force_of(&stock, &cutter, 1.3);
    double a[3], b[3], c[3], d = 1e-6;

    (void)state;
    th_edge_force_at(&edge, 0.06 - d, a);
    th_edge_force_at(&edge, 0.06, b);
    th_edge_force_at(&edge, 0.06 + d, c);
    for (int i = 0; i < 3; i++) {
        assert_near(c[i] - b[i], b[i] - a[i], 1e-4, 0);
        /* tangent to Kienzle's curve: slope kc1.1 (1 - mc) h^-mc */
        double slope = 1.3 * 1500 * 0.78 * pow(0.06, -0.22);

        assert_near((c[0] - a[0]) / (2 * d), slope, 1e-5, 0);
    }
    th_edge_force_at(&edge, 1e-12, a);
    assert_near(a[0], 1.3 * 1500 * 0.22 * pow(0.06, 0.78), 1e-9, 0);
    th_edge_force_at(&edge, 0, a);
    assert_true(a[0] == 0 && a[1] == 0 && a[2] == 0);
    th_edge_force_at(&edge, -0.01, a);
    assert_true(a[0] == 0 && a[1] == 0 && a[2] == 0);
}

static void rake_and_wear_scale_the_force(void **state) {
    /* 1.5 % a degree of rake: Universite de Lille, Les efforts de coupe: fraisage. */
    th_stock stock = kienzle_stock(800, 0.25), given = al_7075();
    th_cutter cutter = flat_cutter(6, 3, 30);
    double plain[3], force[3];

    (void)state;
    th_edge_force edge = th_edge_force_of(&stock, &cutter, 1);
    th_edge_force_at(&edge, 0.1, plain);
    cutter.rake = 12;
    edge = th_edge_force_of(&stock, &cutter, 1);
    th_edge_force_at(&edge, 0.1, force);
    assert_near(force[0], plain[0], 1e-12, 0);
    assert_near(force[1], plain[1], 1e-12, 0);
    cutter.rake = -6;
    edge = th_edge_force_of(&stock, &cutter, 1);
    th_edge_force_at(&edge, 0.1, force);
    assert_near(force[0], 1.09 * plain[0], 1e-12, 0);
    edge = th_edge_force_of(&stock, &cutter, 1.6);
    th_edge_force_at(&edge, 0.1, force);
    assert_near(force[0], 1.6 * 1.09 * plain[0], 1e-12, 0);
    edge = th_edge_force_of(&given, &cutter, 1.3);
    th_edge_force_at(&edge, 0.02, force);
    assert_near(force[0], 1.3 * (767.01 * 0.02 + 27.7), 1e-12, 0);
    assert_near(force[1], 1.3 * (168.8 * 0.02 + 26.6), 1e-12, 0);
    assert_near(force[2], 1.3 * (222 * 0.02 + 0.7), 1e-12, 0);
}

/* Radial and axial over tangential force of oblique cutting from the forces on the rake face: a
 * normal force 1 and a friction force along the chip flow, which leans as the edge does. */
static void rake_face_ratios(double friction, double rake, double tilt, double ratios[2]) {
    double drag = tan(friction);
    double across = cos(rake) + drag * cos(tilt) * sin(rake);
    double out = drag * cos(tilt) * cos(rake) - sin(rake);
    double along = drag * sin(tilt);
    double tangential = across * cos(tilt) + along * sin(tilt);

    ratios[0] = out / tangential;
    ratios[1] = (across * sin(tilt) - along * cos(tilt)) / tangential;
}

static void ratios_are_those_of_oblique_cutting(void **state) {
    th_stock stock = kienzle_stock(1000, 0.2);
    th_cutter cutter = flat_cutter(6, 3, 30);
    double want[2], force[3];

    (void)state;
    /* Ti-6Al-4V, rake 0, 30 deg: friction angle 19.1 deg (Budak, Altintas, Armarego 1996, from
     * memory), Ktc 1775, Krc 559, Kac 652 MPa by its shear data; checks the helper. */
    rake_face_ratios(19.1 * DEGREE, 0, 30 * DEGREE, want);
    assert_near(want[0], 559.0 / 1775.0, 1e-3, 0);
    assert_near(want[1], 652.0 / 1775.0, 1e-3, 0);
    stock.friction_angle = 50;
    for (double rake = -20; rake <= 10; rake += 5) {
        for (double helix = 10; helix <= 60; helix += 10) {
            cutter.rake = rake;
            cutter.helix = helix;
            rake_face_ratios(50 * DEGREE, fmin(rake, 0) * DEGREE, helix * DEGREE, want);
            th_edge_force edge = th_edge_force_of(&stock, &cutter, 1);

            th_edge_force_at(&edge, 0.3, force);
            double cut = force[0] - edge.edge;
            double floor_axial = 0.45 * tan(helix * DEGREE) / tan(30 * DEGREE);

            assert_near(force[1], fmax(want[0], 0.7) * cut + fmax(want[0], 1.2) * edge.edge, 1e-9,
                        0);
            assert_near(force[2], fmax(want[1], floor_axial) * force[0], 1e-9, 0);
        }
    }
    /* A straight edge: Merchant 1945, Fr/Ft = tan(friction - rake). */
    cutter = flat_cutter(6, 3, 0);
    cutter.rake = -5;
    th_edge_force edge = th_edge_force_of(&stock, &cutter, 1);

    th_edge_force_at(&edge, 0.3, force);
    assert_near(force[1] / force[0], tan(55 * DEGREE), 1e-9, 0);
    assert_true(force[2] == 0);
}

/* ---- chip geometry -------------------------------------------------------------------------- */

static void engagement_angles(void **state) {
    /* Palbit general catalogue, p. 128: ae/D 5 % 26 deg, 10 % 37 deg, 100 % 180 deg. */
    static const double rows[3][2] = {{0.05, 26}, {0.10, 37}, {1.0, 180}};
    th_arc arc;

    (void)state;
    for (int i = 0; i < 3; i++) {
        double wall = 5 - 10 * rows[i][0];

        assert_true(th_engaged_arc(5, wall, false, &arc));
        assert_true(arc.entry == 0);
        assert_near(arc.exit / DEGREE, rows[i][1], 0, 0.5);
        assert_true(th_engaged_arc(5, wall, true, &arc));
        assert_near(arc.exit, TH_PI, 1e-15, 0);
        assert_near(180 - arc.entry / DEGREE, rows[i][1], 0, 0.5);
    }
    assert_false(th_engaged_arc(5, 5, true, &arc));
    assert_false(th_engaged_arc(2, 3, false, &arc));
    assert_false(th_engaged_arc(0, -1, false, &arc));
    assert_false(th_engaged_arc(5, NAN, false, &arc));
    assert_true(arc.entry == 0 && arc.exit == 0);
    assert_true(th_engaged_arc(2, -3, false, &arc));
    assert_near(arc.exit - arc.entry, TH_PI, 1e-15, 0);
}

static void mean_chip_of_face_milling(void **state) {
    /* Universite de Lille, Les efforts de coupe: fraisage: mean chip (mm) of a face mill, centred
     * on the work, for ar/D 0.1 to 0.7 (rows) and fz 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8 mm. Two
     * digits printed, hence 0.005; the entering angle of 75 deg is inferred, hence 2 %. */
    static const double feeds[7] = {0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8};
    static const double table[7][7] = {
        {0.10, 0.19, 0.29, 0.38, 0.48, 0.58, 0.77}, {0.10, 0.19, 0.29, 0.38, 0.48, 0.57, 0.76},
        {0.09, 0.19, 0.28, 0.38, 0.47, 0.56, 0.75}, {0.09, 0.19, 0.28, 0.37, 0.47, 0.56, 0.74},
        {0.09, 0.18, 0.28, 0.37, 0.46, 0.55, 0.74}, {0.09, 0.18, 0.27, 0.36, 0.44, 0.53, 0.71},
        {0.09, 0.17, 0.26, 0.35, 0.43, 0.51, 0.70}};

    (void)state;
    for (int i = 0; i < 7; i++) {
        double half = asin(0.1 * (i + 1));
        th_arc arc = {TH_PI / 2 - half, TH_PI / 2 + half};

        for (int j = 0; j < 7; j++) {
            assert_near(th_mean_chip(feeds[j] * sin(75 * DEGREE), arc), table[i][j], 0.02, 0.005);
        }
    }
    assert_true(th_mean_chip(0.1, (th_arc){1, 1}) == 0);
}

static void chip_thinning(void **state) {
    /* Dormer Pramet milling catalogue 2021-22, p. 114: feed factors for ae/D. */
    static const double rows[8][2] = {{0.05, 2.29}, {0.10, 1.67}, {0.15, 1.40}, {0.20, 1.25},
                                      {0.25, 1.15}, {0.30, 1.09}, {0.40, 1.02}, {0.50, 1.00}};
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(10, 3, 30);

    (void)state;
    for (int i = 0; i < 8; i++) {
        th_pass pass = pass_of(&stock, &cutter, 10 * rows[i][0], 1);
        th_turn turn = run(&pass);

        assert_near(pass.chip_load / turn.max_chip, rows[i][1], 0, 0.006);
        th_turn_free(&turn);
    }
}

/* ---- mean forces ---------------------------------------------------------------------------- */

/* Altintas, Manufacturing Automation, mean end-milling forces, zero runout, any helix; signs turned
 * from the tool to the part. */
static void closed_means(const th_pass *pass, double means[3]) {
    const th_stock *k = pass->stock;
    double r = pass->cutter->diameter / 2, width = acos(1 - pass->radial / r);
    double ends[2] = {pass->climb ? TH_PI - width : 0, pass->climb ? TH_PI : width};
    double n = pass->cutter->flutes, a = pass->axial, c = pass->chip_load;
    bool straight = pass->cutter->helix_pulls == TH_STRAIGHT;

    means[0] = means[1] = means[2] = 0;
    for (int i = 0; i < 2; i++) {
        double p = ends[i], sign = i == 1 ? 1 : -1;
        double cut = n * a * c / (8 * TH_PI), edge = n * a / (2 * TH_PI);
        double x = cut * (k->ktc * cos(2 * p) - k->krc * (2 * p - sin(2 * p))) +
                   edge * (-k->kte * sin(p) + k->kre * cos(p));
        double y = cut * (k->ktc * (2 * p - sin(2 * p)) + k->krc * cos(2 * p)) -
                   edge * (k->kte * cos(p) + k->kre * sin(p));
        double z = edge * (-k->kac * c * cos(p) + k->kae * p);

        means[0] -= sign * x;
        means[1] -= sign * y;
        means[2] += straight ? 0 : sign * z;
    }
}

static void check_means(const th_turn *turn, const double want[3], double tolerance) {
    double size = sqrt(want[0] * want[0] + want[1] * want[1] + want[2] * want[2]);

    assert_near(turn->x_mean, want[0], 0, tolerance * size);
    assert_near(turn->y_mean, want[1], 0, tolerance * size);
    assert_near(turn->z_mean, want[2], 0, tolerance * size);
}

static void means_equal_the_closed_form(void **state) {
    static const double shares[] = {0.005, 0.02, 0.1, 0.3, 0.5, 0.77, 1.0};
    static const double helices[] = {0, 10, 30, 45, 60};
    static const double heights[] = {0.02, 0.3, 2.5};
    th_stock stock = al_7075();
    double want[3];

    (void)state;
    for (int flutes = 1; flutes <= 6; flutes++) {
        for (int i = 0; i < 7 * 5 * 3 * 2; i++) {
            th_cutter cutter = flat_cutter(6, flutes, helices[i / 7 % 5]);
            th_pass pass = pass_of(&stock, &cutter, 6 * shares[i % 7], 6 * heights[i / 35 % 3]);

            pass.climb = i >= 105;
            closed_means(&pass, want);
            th_turn turn = run(&pass);

            check_means(&turn, want, 1e-3);
            th_turn_free(&turn);
        }
    }
}

/* A light pass of a ball loads the part however shallow it is, and the more the wider it cuts. */
static void shallow_ball_cuts(void **state) {
    static const double widths[3] = {0.05, 0.3, 1.0};
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 2, 30);
    double last = 0;

    (void)state;
    cutter.kind = TH_BALL;
    for (int i = 0; i < 3; i++) {
        th_pass pass = pass_of(&stock, &cutter, widths[i], 0.1);
        th_turn turn = run(&pass);

        assert_true(turn.in_plane_peak > last);
        last = turn.in_plane_peak;
        th_turn_free(&turn);
    }
}

static void means_of_ball_and_cone(void **state) {
    /* python3 tests/reference/cutting_ball.py (SciPy 1.10.1, scipy.integrate.quad). */
    static const double want[4][3] = {{34.08821687, -54, -51.36386453},
                                      {15.13313595, -55.94826367, -42.9146359},
                                      {21.29580358, 9.686365542, -2.955410461},
                                      {-5.658292738, -16.34995263, -7.59870164}};
    /* the wall lies at the widest disc's radius less the radial engagement: the ball is sqrt(6.75)
     * wide 1.5 mm above its tip, the cone 2.5 mm 2 mm above its flat; walls at -3 or beyond, -1, 2
     * and 1 mm */
    static const double radial[4] = {6, 3.598076211353316, 1, 1.5}, axial[4] = {1.5, 1.5, 3, 2};
    static const double feed[4] = {0.04, 0.04, 0.02, 0.03};
    th_stock stock = linear_stock(800, 300, 200);

    (void)state;
    stock.kte = 15;
    stock.kre = 20;
    stock.kae = 3;
    for (int i = 0; i < 4; i++) {
        th_cutter cutter = flat_cutter(6, i == 2 ? 3 : 2, 30);
        th_pass pass = pass_of(&stock, &cutter, radial[i], axial[i]);

        cutter.kind = i == 3 ? TH_POINT : TH_BALL;
        cutter.tip_flat = 1;
        cutter.tip_angle = 90;
        pass.chip_load = feed[i];
        pass.climb = i != 2;
        th_turn turn = run(&pass);

        check_means(&turn, want[i], 1e-3);
        th_turn_free(&turn);
    }
}

/* Slots measured with a dynamometer: leekunhwee, ForceCalculation, measured slot series 2018.
 * 25 mm, 2 flutes, 45 deg, 3 mm deep, 6000 rpm; coefficients published with it. Columns: feed per
 * tooth, mean normal, feed and axial force (N), median over the turns of the in-plane peak (N). */
static void measured_slots(void **state) {
    static const double rows[5][5] = {{0.025, 63.0, 39.8, 55.7, 245},
                                      {0.050, 107.1, 60.1, 70.9, 409},
                                      {0.075, 137.7, 71.6, 82.6, 496},
                                      {0.100, 171.3, 76.8, 85.2, 569},
                                      {0.125, 210.7, 78.5, 83.5, 759}};
    th_stock stock = linear_stock(958.8599, 250.8633, 146.3614);
    th_cutter cutter = flat_cutter(25, 2, 45);

    (void)state;
    stock.kte = 15.7580;
    stock.kre = 19.4337;
    stock.kae = 18.2075;
    for (int i = 0; i < 5; i++) {
        th_pass pass = pass_of(&stock, &cutter, 25, 3);

        pass.chip_load = rows[i][0];
        pass.speed = 6000;
        th_turn turn = run(&pass);
        double want[3];

        closed_means(&pass, want);
        check_means(&turn, want, 1e-3);
        assert_near(-turn.y_mean, rows[i][1], 0.05, 0);
        assert_near(turn.x_mean, rows[i][2], 0.17, 0);
        assert_near(turn.z_mean, rows[i][3], 0.11, 0);
        /* the machine's peak ratio for the loosest class covers what was measured */
        assert_true(2.0 * turn.in_plane_peak >= rows[i][4]);
        assert_true(1.4 * turn.in_plane_peak <= rows[i][4]);
        th_turn_free(&turn);
    }
}

/* ---- power ---------------------------------------------------------------------------------- */

static void slot_power_el_hofy(void **state) {
    /* El-Hofy, Fundamentals of Machining Processes, p. 189: slot, 30 mm, 8 teeth, 4 mm deep, 0.1 mm
     * a tooth, 150 rpm, ks 1000 MPa: mean tangential force 1019 N, 0.24 kW. */
    th_stock stock = linear_stock(1000, 0, 0);
    th_cutter cutter = flat_cutter(30, 8, 0);
    th_pass pass = pass_of(&stock, &cutter, 30, 4);

    (void)state;
    pass.chip_load = 0.1;
    pass.speed = 150;
    th_turn turn = run(&pass);
    double edge_speed = TH_PI * 30 * 150 / 60 / 1000;

    assert_near(turn.power / edge_speed, 1019, 0, 1.0);
    assert_near(turn.power / 1000, 0.24, 0, 0.002);
    assert_near(turn.removal, 30 * 4 * 120, 1e-12, 0);
    th_turn_free(&turn);
}

static void face_milling_power(void **state) {
    /* Mitsubishi Materials, cutting power for face milling: ap 2, ae 80, feed 280 mm/min, D 250 mm,
     * 12 teeth, 101.91 rpm, Kc 1800 MPa, efficiency 0.8: 1.68 kW. */
    th_stock stock = linear_stock(1800, 900, 300);
    th_cutter cutter = flat_cutter(250, 12, 10);
    th_pass pass = pass_of(&stock, &cutter, 80, 2);

    (void)state;
    cutter.kind = TH_FACE;
    pass.speed = 101.91;
    pass.chip_load = 280 / (12 * 101.91);
    th_turn turn = run(&pass);

    assert_near(turn.power / 0.8 / 1000, 1.68, 0, 0.005);
    th_turn_free(&turn);
    /* Toolfab, technical information: width 3 in, depth 0.2 in, 42 in/min, 1.56 in3/min per hp:
     * 16.2 hp. Cutter (4 in, 6 teeth, 500 rpm) invented: it must not matter. */
    double horsepower = 745.69987, inch = 25.4;

    stock = linear_stock(horsepower * 60 * 1000 / (1.56 * inch * inch * inch), 0, 0);
    cutter = flat_cutter(4 * inch, 6, 20);
    pass = pass_of(&stock, &cutter, 3 * inch, 0.2 * inch);
    pass.speed = 500;
    pass.chip_load = 42 * inch / (6 * 500);
    turn = run(&pass);
    assert_near(turn.power / horsepower, 16.2, 0, 0.07);
    th_turn_free(&turn);
}

/* Chip is conserved: with a purely proportional force the power is Ktc x removal, however the
 * runout shares the chip between the teeth, even where teeth miss. */
static void runout_conserves_the_chip(void **state) {
    th_stock stock = linear_stock(1000, 400, 200);

    (void)state;
    for (int i = 0; i < 96; i++) {
        th_cutter cutter = flat_cutter(6, 1 + i % 6, i / 6 % 2 == 0 ? 0 : 35);
        th_pass pass = pass_of(&stock, &cutter, i / 12 % 2 == 0 ? 6 : 1.1, 2);

        cutter.runout = 0.015 * (i / 24);
        th_turn turn = run(&pass);

        assert_near(turn.power, 1000 * turn.removal / 60 / 1000, 1e-3, 0);
        th_turn_free(&turn);
    }
}

/* ---- against sums over thin slices ---------------------------------------------------------- */

enum { SLICES = 1200 };

/* Radius and sine of the entering angle at height z. */
static void outline(const th_cutter *cutter, double z, double *r, double *sine) {
    double most = cutter->diameter / 2;
    double corner = cutter->kind == TH_BALL ? most : cutter->corner_radius;

    *r = most;
    *sine = 1;
    if ((cutter->kind == TH_BALL || cutter->kind == TH_BULL) && z < corner) {
        double part = sqrt(corner * corner - (corner - z) * (corner - z));

        *r = most - corner + part;
        *sine = part / corner;
    } else if (cutter->kind == TH_CHAMFER) {
        double cone = cutter->tip_flat / 2 + z * tan(cutter->tip_angle / 2 * DEGREE);

        if (cone < most) {
            *r = cone;
            *sine = cos(cutter->tip_angle / 2 * DEGREE);
        }
    }
}

static bool in_the_cut(const th_pass *pass, double phi, double z, double r) {
    double y = r * cos(phi), s = (z - pass->base) / pass->axial;
    double widest, sine, wall;

    outline(pass->cutter, pass->base + pass->axial, &widest, &sine);
    wall = widest - pass->radial;
    if (pass->chamfer_width > 0) {
        wall = r - pass->chamfer_width * s;
    }
    return sin(phi) > 0 && (pass->climb ? -y : y) > wall;
}

static void add_slice(const th_pass *pass, double phi, double z, double dz, th_sample *sum) {
    const th_stock *k = pass->stock;
    double r, sine, s = sin(phi), c = cos(phi);

    outline(pass->cutter, z, &r, &sine);
    if (!in_the_cut(pass, phi, z, r)) {
        return;
    }
    double h = pass->chip_load * s * sine, width = dz / sine;
    double cosine = sqrt(1 - sine * sine);
    double down = pass->cutter->helix_pulls == TH_DOWN ? -1 : 1;
    double ft = (k->ktc * h + k->kte) * width, fr = (k->krc * h + k->kre) * width;
    double fa = pass->cutter->helix_pulls == TH_STRAIGHT ? 0 : down * (k->kac * h + k->kae) * width;
    double out = fr * sine + fa * cosine, up = fa * sine - fr * cosine;
    double fx = ft * c + out * s, fy = -ft * s + out * c, x = r * s, y = r * c;

    sum->fx += fx;
    sum->fy += fy;
    sum->fz += up;
    sum->mz += x * fy - y * fx;
    sum->px += z * fx;
    sum->py += z * fy;
    sum->qx += x * up;
    sum->qy += y * up;
}

static th_sample slice_sum(const th_pass *pass, double angle) {
    const th_cutter *cutter = pass->cutter;
    double lead = tan(cutter->helix * DEGREE) / (cutter->diameter / 2);
    th_sample sum = {.angle = angle};

    lead = cutter->helix_pulls == TH_UP ? -lead : cutter->helix_pulls == TH_DOWN ? lead : 0;
    for (int j = 0; j < cutter->flutes; j++) {
        for (int i = 0; i < SLICES; i++) {
            double a = (double)i / SLICES, b = (double)(i + 1) / SLICES;
            double z = pass->base + pass->axial * (a + b) * (a + b) / 4;
            double phi = angle - 2 * TH_PI * j / cutter->flutes + lead * z;

            add_slice(pass, phi, z, pass->axial * (b * b - a * a), &sum);
        }
    }
    return sum;
}

/* The eight loads of a sample, moments over the cutter's radius or the height they act at. */
static void loads_of(const th_sample *sample, double r, double high, double loads[8]) {
    const double all[8] = {sample->fx,        sample->fy,        sample->fz,     sample->mz / r,
                           sample->px / high, sample->py / high, sample->qx / r, sample->qy / r};

    memcpy(loads, all, sizeof all);
}

/* Where an edge comes into the cut tangentially its load begins like a square root of the angle, so
 * that 0.1 deg of angle is allowed besides 0.4 % of the peak. */
static void check_samples(const th_pass *pass) {
    th_turn turn = run(pass);
    double r = pass->cutter->diameter / 2, high = pass->base + pass->axial;

    for (size_t i = 3; i < turn.count; i += 11) {
        double got[8], want[3][8];

        loads_of(&turn.samples[i], r, high, got);
        for (int side = 0; side < 3; side++) {
            th_sample sum = slice_sum(pass, turn.samples[i].angle + 0.1 * (side - 1) * DEGREE);

            loads_of(&sum, r, high, want[side]);
        }
        for (int k = 0; k < 8; k++) {
            double steep = fabs(want[2][k] - want[0][k]);

            assert_near(got[k], want[1][k], 0, 4e-3 * turn.in_plane_peak + steep);
        }
    }
    th_turn_free(&turn);
}

static void samples_equal_slice_sums(void **state) {
    static const int kinds[] = {TH_FLAT, TH_BALL, TH_BULL, TH_CHAMFER};
    th_stock stock = al_7075();

    (void)state;
    for (int i = 0; i < 24; i++) {
        th_cutter cutter = flat_cutter(8, 1 + i % 3, 30);
        th_pass pass = pass_of(&stock, &cutter, i % 5 == 0 ? 8 : 3.3, i % 2 == 0 ? 2.2 : 7);

        cutter.kind = kinds[i % 4];
        cutter.corner_radius = cutter.kind == TH_BULL ? 1.5 : 0;
        cutter.tip_flat = 1;
        cutter.tip_angle = 90;
        cutter.helix_pulls = i / 4 % 2 == 0 ? TH_UP : TH_DOWN;
        pass.climb = i / 8 % 2 == 0;
        pass.base = i % 3 == 0 ? 0.7 : 0;
        pass.chamfer_width = cutter.kind == TH_CHAMFER && i % 8 == 3 ? 1.8 : 0;
        check_samples(&pass);
    }
}

/* ---- runout --------------------------------------------------------------------------------- */

/* Largest in-plane force of a flat cutter for one direction of the runout, by plain sums (chip by
 * Kline and DeVor 1983). */
static double plain_peak(const th_pass *pass, double psi) {
    const th_cutter *cutter = pass->cutter;
    const th_stock *k = pass->stock;
    int n = cutter->flutes;
    double peak = 0, radius[8];

    for (int j = 0; j < n; j++) {
        radius[j] = cutter->runout / 2 * cos(2 * TH_PI * j / n + psi);
    }
    for (int step = 0; step < 240; step++) {
        double fx = 0, fy = 0;

        for (int i = 0; i < n * 40; i++) {
            int j = i % n;
            double z = pass->axial * (i / n + 0.5) / 40, h = 1e9;
            double phi = 1.5 * DEGREE * step - 2 * TH_PI * j / n -
                         z * tan(cutter->helix * DEGREE) / (cutter->diameter / 2);
            double s = sin(phi), c = cos(phi);

            for (int m = 1; m <= n; m++) {
                h = fmin(h, m * pass->chip_load * s + radius[j] - radius[(j - m + n) % n]);
            }
            if (h > 0 && in_the_cut(pass, phi, z, cutter->diameter / 2)) {
                double ft = (k->ktc * h + k->kte) * pass->axial / 40;
                double fr = (k->krc * h + k->kre) * pass->axial / 40;

                fx += ft * c + fr * s;
                fy += -ft * s + fr * c;
            }
        }
        peak = fmax(peak, hypot(fx, fy));
    }
    return peak;
}

static void runout_takes_the_worst_direction(void **state) {
    th_stock stock = al_7075();

    (void)state;
    for (int i = 0; i < 12; i++) {
        th_cutter cutter = flat_cutter(6, 2 + i % 4, 30);
        th_pass pass = pass_of(&stock, &cutter, i % 3 == 0 ? 6 : 1.0 + i % 3, 1 + i % 2 * 4);
        double worst = 0;

        cutter.runout = i < 6 ? 0.012 : 0.05;
        for (int step = 0; step < 90; step++) {
            worst = fmax(worst, plain_peak(&pass, 4 * DEGREE * step));
        }
        th_turn turn = run(&pass);

        assert_near(turn.in_plane_peak, worst, 0.01, 0);
        th_turn_free(&turn);
    }
}

static void runout_thickens_the_chip(void **state) {
    /* Two radii TIR apart: 2 teeth, the worse takes fz + TIR until it takes all of 2 fz. */
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 2, 30);
    th_pass pass = pass_of(&stock, &cutter, 6, 1);

    (void)state;
    cutter.runout = 0.02;
    th_turn turn = run(&pass);
    assert_near(turn.max_chip, 0.05, 5e-3, 0);
    th_turn_free(&turn);
    cutter.runout = 0.08;
    turn = run(&pass);
    assert_near(turn.max_chip, 0.06, 1e-9, 0);
    th_turn_free(&turn);
    cutter.flutes = 1;
    turn = run(&pass);
    assert_near(turn.max_chip, 0.03, 1e-12, 0);
    th_turn_free(&turn);
}

/* Full width: the thickest chip is the feed of a tooth across its edge, which leans. */
static void a_leaning_edge_thins_the_chip(void **state) {
    static const double depths[] = {0.1, 0.5, 1.5, 3};
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 2, 0);

    (void)state;
    for (size_t i = 0; i < sizeof depths / sizeof *depths; i++) {
        double share = 1 - depths[i] / 3;
        th_pass pass = pass_of(&stock, &cutter, 6, depths[i]);
        th_turn turn;
        cutter.kind = TH_BALL;
        turn = run(&pass);
        assert_near(turn.max_chip, 0.03 * sqrt(1 - share * share), 1e-9, 0);
        th_turn_free(&turn);
        cutter.kind = TH_CHAMFER;
        cutter.tip_angle = 60;
        turn = run(&pass);
        assert_near(turn.max_chip, 0.03 * cos(TH_PI / 6), 1e-9,
                    0); /* half of 60 deg off the axis */
        th_turn_free(&turn);
    }
}

/* ---- convergence ---------------------------------------------------------------------------- */

static th_cutter random_cutter(dice *from) {
    static const int kinds[] = {TH_FLAT, TH_BALL, TH_BULL, TH_CHAMFER, TH_POINT, TH_FACE};
    static const double helices[] = {0, 10, 30, 45};
    th_cutter cutter =
        flat_cutter(roll(from, 1, 25), (int)roll(from, 1, 6.99), helices[(int)roll(from, 0, 3.99)]);

    cutter.kind = kinds[(int)roll(from, 0, 5.99)];
    cutter.corner_radius = cutter.kind == TH_BULL ? cutter.diameter * roll(from, 0.02, 0.5) : 0;
    cutter.tip_angle = roll(from, 30, 150);
    cutter.tip_flat = cutter.diameter * fmax(roll(from, -0.3, 0.3), 0);
    cutter.runout = fmax(roll(from, -0.03, 0.03), 0);
    if (cutter.helix > 0 && roll(from, 0, 1) < 0.5) {
        cutter.helix_pulls = TH_DOWN;
    }
    return cutter;
}

static th_pass random_pass(dice *from, const th_stock *stock, const th_cutter *cutter) {
    double shares[] = {1, 0.5, roll(from, 0.005, 1), roll(from, 0.005, 0.1)};
    th_pass pass = pass_of(stock, cutter, cutter->diameter * shares[(int)roll(from, 0, 3.99)],
                           cutter->diameter * exp(roll(from, -4, 0.7)));

    pass.chip_load = exp(roll(from, log(0.003), log(0.2)));
    pass.climb = roll(from, 0, 1) < 0.5;
    return pass;
}

static void doubling_the_resolution_changes_little(void **state) {
    th_stock stock = kienzle_stock(900, 0.25);
    dice from = {20};
    int runs = 0;

    (void)state;
    while (runs < 1500) {
        th_cutter cutter = random_cutter(&from);
        th_pass pass = random_pass(&from, &stock, &cutter);
        th_turn turn, fine;
        double weight = 0;

        if (!th_turn_run(&pass, &turn, NULL)) {
            continue; /* a ball or a point that does not reach the stock */
        }
        pass.resolution = 2;
        fine = run(&pass);
        assert_near(turn.in_plane_peak, fine.in_plane_peak, 0.005, 0);
        assert_near(turn.torque_peak, fine.torque_peak, 0.005, 0);
        assert_near(turn.power, fine.power, 0.005, 0);
        for (size_t i = 0; i < turn.count; i++) {
            weight += turn.samples[i].weight;
            assert_true(turn.samples[i].weight > 0);
            assert_true(i == 0 || turn.samples[i].angle > turn.samples[i - 1].angle);
        }
        assert_near(weight, 1, 1e-12, 0);
        th_turn_free(&turn);
        th_turn_free(&fine);
        runs++;
    }
}

/* ---- properties ----------------------------------------------------------------------------- */

static void more_wear_and_harder_stock_pull_more(void **state) {
    dice from = {3};

    (void)state;
    for (int i = 0; i < 100; i++) {
        th_stock soft = kienzle_stock(roll(&from, 300, 2000), roll(&from, 0.1, 0.4)), hard = soft;
        th_cutter cutter = flat_cutter(roll(&from, 1, 20), 1 + i % 4, i % 2 * 30);
        th_pass pass = pass_of(&soft, &cutter, cutter.diameter * roll(&from, 0.05, 1),
                               cutter.diameter * roll(&from, 0.05, 1));

        hard.kc11 *= 1.1;
        th_turn plain = run(&pass);
        pass.wear = 1.3;
        th_turn worn = run(&pass);
        pass.stock = &hard;
        th_turn harder = run(&pass);

        assert_near(worn.in_plane_peak, 1.3 * plain.in_plane_peak, 1e-9, 0);
        assert_near(worn.torque_peak, 1.3 * plain.torque_peak, 1e-9, 0);
        assert_true(harder.in_plane_peak > worn.in_plane_peak);
        assert_true(harder.lift_peak >= worn.lift_peak);
        th_turn_free(&plain);
        th_turn_free(&worn);
        th_turn_free(&harder);
    }
}

static void helix_decides_lift(void **state) {
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 3, 30);
    th_pass pass = pass_of(&stock, &cutter, 3, 2);

    (void)state;
    th_turn up = run(&pass);
    cutter.helix_pulls = TH_DOWN;
    th_turn down = run(&pass);
    cutter.helix_pulls = TH_STRAIGHT;
    th_turn straight = run(&pass);

    assert_true(up.z_mean > 0 && up.lift_peak > up.z_mean);
    assert_near(down.z_mean, -up.z_mean, 1e-3, 0);
    assert_true(down.lift_peak <= 0);
    for (size_t i = 0; i < straight.count; i++) {
        assert_true(straight.samples[i].fz == 0);
    }
    th_turn_free(&up);
    th_turn_free(&down);
    th_turn_free(&straight);
}

static void climb_mirrors_conventional(void **state) {
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 3, 0);
    th_pass pass = pass_of(&stock, &cutter, 1.2, 2);

    (void)state;
    th_turn climb = run(&pass);
    pass.climb = false;
    th_turn conventional = run(&pass);

    /* the edge sees the same chip, so the same force; climb pushes the part towards the cutter's
     * path, conventional along the feed */
    assert_near(climb.in_plane_peak, conventional.in_plane_peak, 1e-6, 0);
    assert_near(climb.power, conventional.power, 1e-3, 0);
    assert_true(climb.x_mean < 0 && conventional.x_mean > 0);
    th_turn_free(&climb);
    th_turn_free(&conventional);
}

static void chamfer_removes_a_triangle(void **state) {
    th_stock stock = linear_stock(1000, 300, 100);
    th_cutter cutter = flat_cutter(8, 4, 0);
    th_pass pass = pass_of(&stock, &cutter, 0.5, 0.5);

    (void)state;
    cutter.kind = TH_CHAMFER;
    cutter.tip_angle = 90;
    cutter.tip_flat = 1;
    pass.chamfer_width = 0.5;
    pass.base = 0.6;
    th_turn turn = run(&pass);

    assert_near(turn.removal, 0.5 * 0.5 * 0.5 * 0.03 * 4 * 10000, 1e-12, 0);
    /* proportional force: power is Ktc x removal here too */
    assert_near(turn.power, 1000 * turn.removal / 60 / 1000, 3e-3, 0);
    assert_true(turn.z_mean < 0); /* a sloped edge presses */
    th_turn_free(&turn);
}

/* ---- drilling ------------------------------------------------------------------------------- */

static th_cutter drill_of(double diameter, double tip_angle) {
    th_cutter drill = flat_cutter(diameter, 2, 30);

    drill.kind = TH_DRILL;
    drill.tip_angle = tip_angle;
    return drill;
}

static void drilling_worked_example(void **state) {
    /* ISCAR rotating tools catalogue 2017, p. 601: 22 mm, 0.15 mm/rev, kc 2200 MPa, sin k = 1, 2894
     * rpm, efficiency 0.75: 20 Nm, 2286 N, 165 cm3/min, 8.06 kW at the motor. */
    th_stock stock = linear_stock(2200, 0, 0);
    th_cutter drill = drill_of(22, 180);
    th_drilling drilling = {&stock, &drill, 1, 0.075, 2894};
    th_drill_load load;

    (void)state;
    assert_true(th_drill_run(&drilling, &load, NULL));
    assert_near(load.torque / 1000, 20, 0, 0.05);
    /* their thrust has no chisel edge: 0.63 f kc D/2; ours is an upper value */
    assert_near(load.thrust / 2286, 1.449, 0, 1e-3);
    assert_near(load.removal / 1000, 165, 0, 0.5);
    assert_near(load.power / 0.75 / 1000, 8.06, 0, 0.01);
    assert_near(load.chip, 0.075, 1e-12, 0);
}

/* Machinery's Handbook, 31st ed., pp. 1152-1153, standard point (A 1.085, B 1.355, J 0.030): thrust
 * 0.05 Kd Ff FT B + 0.007 Kd D^2 J (N) over torque Kd Ff FM A/40000 (Nm), with the feed and
 * diameter factors that its tables 8 and 9 print. Ours, one figure, lies up to 28 % above. */
static void drilling_thrust_of_the_handbook(void **state) {
    static const struct {
        double diameter, feed, feed_factor, thrust_factor, torque_factor, over;
    } rows[] = {{3.2, 0.05, 0.091, 2.54, 8.12, 1.284},
                {6.4, 0.10, 0.158, 4.42, 28.26, 1.236},
                {11, 0.20, 0.276, 6.81, 74.90, 1.218},
                {22, 0.20, 0.276, 11.86, 260.8, 1.002}};
    th_stock stock = kienzle_stock(800, 0.25);

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double d = rows[i].diameter;
        double thrust =
            0.05 * rows[i].feed_factor * rows[i].thrust_factor * 1.355 + 0.007 * d * d * 0.030;
        double torque = rows[i].feed_factor * rows[i].torque_factor * 1.085 / 40000 * 1000;
        th_cutter drill = drill_of(d, 118);
        th_drilling drilling = {&stock, &drill, 1, rows[i].feed / 2, 1000};
        th_drill_load load;

        assert_true(th_drill_run(&drilling, &load, NULL));
        assert_near(load.thrust / load.torque / (thrust / torque), rows[i].over, 0, 2e-3);
    }
}

static void drilling_lift_and_chip(void **state) {
    th_stock stock = kienzle_stock(800, 0.25);
    th_cutter drill = drill_of(6, 118);
    th_drilling drilling = {&stock, &drill, 1, 0.1, 3000};
    th_drill_load load, worn;

    (void)state;
    assert_true(th_drill_run(&drilling, &load, NULL));
    double lean = sin(59 * DEGREE), kc = 800 * pow(0.1 * lean, -0.25);

    assert_near(load.chip, 0.1 * lean, 1e-12, 0);
    assert_near(load.torque, 0.2 * kc * 36 / 8, 1e-12, 0);
    assert_near(load.breakthrough_lift, 2 * load.torque / 6 * tan(30 * DEGREE), 1e-12, 0);
    drilling.wear = 1.6;
    assert_true(th_drill_run(&drilling, &worn, NULL));
    assert_near(worn.thrust, 1.6 * load.thrust, 1e-12, 0);
    drill.helix_pulls = TH_STRAIGHT;
    assert_true(th_drill_run(&drilling, &load, NULL));
    assert_true(load.breakthrough_lift == 0);
    drill.helix_pulls = TH_DOWN;
    assert_true(th_drill_run(&drilling, &load, NULL));
    assert_true(load.breakthrough_lift == 0);
}

/* ---- refusals ------------------------------------------------------------------------------- */

static void refuse(const th_pass *pass, const char *name, const char *value) {
    th_turn turn;
    th_error err = {0};

    assert_false(th_turn_run(pass, &turn, &err));
    th_turn_free(&turn);
    assert_int_equal(err.code, TH_BAD_RANGE);
    if (strstr(err.message, name) == NULL || strstr(err.message, value) == NULL) {
        fail_msg("\"%s\" does not name \"%s\" and \"%s\"", err.message, name, value);
    }
    assert_false(th_turn_run(pass, &turn, NULL));
    th_turn_free(&turn);
}

static void passes_out_of_range_are_refused(void **state) {
    static const double bad[] = {0, -1, NAN, INFINITY};
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 3, 30);
    const th_pass good = pass_of(&stock, &cutter, 3, 1);

    (void)state;
    for (int i = 0; i < 4; i++) {
        th_pass pass = good;
        double *fields[] = {&pass.radial, &pass.axial,      &pass.chip_load,
                            &pass.speed,  &pass.resolution, &pass.wear};
        const char *names[] = {"radial", "axial", "chip_load", "speed", "resolution", "wear"};

        for (int j = 0; j < 6; j++) {
            pass = good;
            *fields[j] = bad[i];
            refuse(&pass, names[j], i == 1 ? "-1" : "");
        }
    }
    th_pass pass = good;
    pass.radial = 7;
    refuse(&pass, "radial", "at most 6 mm");
    pass = good;
    pass.base = -0.5;
    refuse(&pass, "base", "-0.5");
    pass = good;
    pass.chamfer_width = -2;
    refuse(&pass, "chamfer_width", "-2");
    pass.chamfer_width = 8;
    refuse(&pass, "chamfer_width", "at most 6 mm");
}

static void cutters_out_of_range_are_refused(void **state) {
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 3, 30);
    th_pass pass = pass_of(&stock, &cutter, 1, 0.1);

    (void)state;
    cutter.kind = TH_DRILL;
    refuse(&pass, "drill", "flat, ball");
    cutter.kind = TH_BULL;
    cutter.corner_radius = 4;
    refuse(&pass, "corner_radius", "to 3 mm");
    cutter.kind = TH_POINT;
    refuse(&pass, "tip_angle", "nan");
    cutter.tip_angle = 60;
    cutter.tip_flat = 9;
    refuse(&pass, "tip_flat", "9 mm");
    cutter.kind = TH_FLAT;
    cutter.flutes = 0;
    refuse(&pass, "flutes", "from 1");
    cutter.flutes = 3;
    cutter.runout = NAN;
    refuse(&pass, "runout", "nan");
    cutter.runout = 0;
    stock.kre = NAN;
    refuse(&pass, "kre", "all six");
}

static void drilling_out_of_range_is_refused(void **state) {
    th_stock stock = al_7075();
    th_cutter drill = drill_of(6, 118), mill = flat_cutter(6, 3, 30);
    th_drilling drilling = {&stock, &mill, 1, 0.1, 3000};
    th_drill_load load;
    th_error err;

    (void)state;
    assert_false(th_drill_run(&drilling, &load, &err));
    assert_non_null(strstr(err.message, "drill"));
    drilling.cutter = &drill;
    drilling.chip_load = 0;
    assert_false(th_drill_run(&drilling, &load, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    assert_non_null(strstr(err.message, "chip_load is 0"));
    drilling.chip_load = 0.1;
    drill.tip_angle = NAN;
    assert_false(th_drill_run(&drilling, &load, NULL));
}

/* ---- zones ---------------------------------------------------------------------------------- */

/* A pass along a wall, said by its arc, and by the same arc in slices. */
static void test_zones_of_a_wall(void **state) {
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 3, 40);
    th_pass wall = pass_of(&stock, &cutter, 1.5, 2);
    double wide = acos(1 - 1.5 / 3);
    th_zone zones[3];
    (void)state;

    for (int pieces = 1; pieces <= 3; pieces += 2) {
        for (int runout = 0; runout < 2; runout++) {
            cutter.runout = runout ? 0.015 : 0;
            th_turn by_wall = run(&wall);
            for (int i = 0; i < pieces; i++) {
                zones[i] =
                    (th_zone){2.0 * i / pieces, 2.0 * (i + 1) / pieces, {{TH_PI - wide, TH_PI}}, 1};
            }
            th_pass by_zones = wall;
            by_zones.radial = by_zones.axial = NAN;
            by_zones.zones = zones;
            by_zones.zone_count = pieces;
            th_turn turn = run(&by_zones);
            assert_near(turn.in_plane_peak, by_wall.in_plane_peak, pieces > 1 ? 1e-3 : 1e-12, 0);
            assert_near(turn.x_mean, by_wall.x_mean, 1e-3, 0);
            assert_near(turn.y_mean, by_wall.y_mean, 1e-3, 0);
            assert_near(turn.z_mean, by_wall.z_mean, 1e-3, 0);
            assert_near(turn.power, by_wall.power, 1e-3, 0);
            assert_near(turn.removal, by_wall.removal, 1e-9, 0);
            assert_near(turn.max_chip, by_wall.max_chip, 1e-9, 0);
            th_turn_free(&turn);
            th_turn_free(&by_wall);
        }
    }
}

/* The next level of a round end in its own groove: a layer of its width, and slivers at one side or
 * both of what the level above has left, up to where its side stands upright. The thickest chip is
 * where the layer ends and the edge leans least; a sliver counts as far forward as it reaches. */
static void test_chips_in_a_groove(void **state) {
    static const double slivers[] = {0.2, 0.6, 1.2}; /* (rad) */
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 2, 0);
    double corner = 0.5, level = 0.1, lean = 1 - level / corner;

    (void)state;
    cutter.kind = TH_BULL;
    cutter.corner_radius = corner;
    for (int i = 0; i < 3; i++) {
        double a = slivers[i], chip = 0.03 * fmax(sqrt(1 - lean * lean), sin(a));
        th_zone sides[3] = {{level, corner, {{0, a}}, 1},
                            {level, corner, {{TH_PI - a, TH_PI}}, 1},
                            {level, corner, {{0, a}, {TH_PI - a, TH_PI}}, 2}};
        for (int k = 0; k < 3; k++) {
            th_zone zones[2] = {{0, level, {{0, TH_PI}}, 1}, sides[k]};
            th_pass pass = pass_of(&stock, &cutter, NAN, NAN);
            pass.zones = zones;
            pass.zone_count = 2;
            th_turn turn = run(&pass);
            assert_near(turn.max_chip, chip, 1e-9, 0);
            th_turn_free(&turn);
        }
    }
}

/* Without runout the loads of arcs apart add up: a slot is its first third, its middle and its
 * last. Mean forces of the arcs are those of the closed form for zero helix anyway; here it is
 * their sum. */
static void test_zones_add_up(void **state) {
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(8, 2, 30);
    th_zone whole = {0, 1.5, {{0, TH_PI}}, 1};
    th_zone outer = {0, 1.5, {{0, 1}, {2, TH_PI}}, 2}, inner = {0, 1.5, {{1, 2}}, 1};
    th_pass pass = pass_of(&stock, &cutter, NAN, NAN);
    (void)state;

    pass.zone_count = 1;
    pass.resolution = 4;
    pass.zones = &whole;
    th_turn all = run(&pass);
    pass.zones = &outer;
    th_turn a = run(&pass);
    pass.zones = &inner;
    th_turn b = run(&pass);
    assert_near(a.x_mean + b.x_mean, all.x_mean, 1e-3, 0);
    assert_near(a.y_mean + b.y_mean, all.y_mean, 1e-3, 0);
    assert_near(a.z_mean + b.z_mean, all.z_mean, 1e-3, 0);
    assert_near(a.power + b.power, all.power, 1e-3, 0);
    assert_near(a.removal + b.removal, all.removal, 1e-9, 0);
    th_turn_free(&all);
    th_turn_free(&a);
    th_turn_free(&b);
}

/* The arc of a ball changes with height; a dozen slices of one arc each come within 8 % of it, on
 * the high side, as the lowest of them begins with all its width. */
static void test_zones_of_a_ball(void **state) {
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 2, 30);
    th_zone zones[12];
    (void)state;

    cutter.kind = TH_BALL;
    th_pass wall = pass_of(&stock, &cutter, 1.2, 1);
    double side = sqrt(9 - 4) - 1.2; /* of the widest disc, 1 mm up, less the radial */
    int count = 0;
    for (int i = 0; i < 12; i++) {
        double low = i / 12.0, high = (i + 1) / 12.0, middle = 0.5 * (low + high);
        double r = sqrt(9 - (3 - middle) * (3 - middle));
        if (r > side) {
            zones[count++] = (th_zone){low, high, {{TH_PI - acos(side / r), TH_PI}}, 1};
        }
    }
    th_turn by_wall = run(&wall);
    wall.zones = zones;
    wall.zone_count = count;
    th_turn turn = run(&wall);
    assert_near(turn.in_plane_peak, by_wall.in_plane_peak, 0.08, 0);
    assert_true(turn.in_plane_peak > by_wall.in_plane_peak);
    assert_near(turn.power, by_wall.power, 0.08, 0);
    th_turn_free(&turn);
    th_turn_free(&by_wall);
}

static void test_zones_refused(void **state) {
    th_stock stock = al_7075();
    th_cutter cutter = flat_cutter(6, 3, 40);
    th_pass pass = pass_of(&stock, &cutter, 1, 1);
    const th_zone bad[] = {{1, 1, {{0, 1}}, 1},        {-1, 1, {{0, 1}}, 1},  {0, NAN, {{0, 1}}, 1},
                           {0, 1, {{0, 1}}, 0},        {0, 1, {{0, 1}}, 4},   {0, 1, {{2, 1}}, 1},
                           {0, 1, {{0, 4}}, 1},        {0, 1, {{NAN, 1}}, 1}, {0, 1e6, {{0, 1}}, 1},
                           {0, 1, {{0, 2}, {1, 3}}, 2}};
    th_turn turn;
    th_error err;
    (void)state;

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        pass.zones = &bad[i];
        pass.zone_count = 1;
        assert_false(th_turn_run(&pass, &turn, &err));
        assert_int_equal(err.code, TH_BAD_RANGE);
    }
    pass.zone_count = 0;
    assert_false(th_turn_run(&pass, &turn, &err));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(specific_force_follows_the_table),
        cmocka_unit_test(force_is_smooth_at_edge_chip),
        cmocka_unit_test(rake_and_wear_scale_the_force),
        cmocka_unit_test(ratios_are_those_of_oblique_cutting),
        cmocka_unit_test(engagement_angles),
        cmocka_unit_test(mean_chip_of_face_milling),
        cmocka_unit_test(chip_thinning),
        cmocka_unit_test(means_equal_the_closed_form),
        cmocka_unit_test(shallow_ball_cuts),
        cmocka_unit_test(means_of_ball_and_cone),
        cmocka_unit_test(measured_slots),
        cmocka_unit_test(slot_power_el_hofy),
        cmocka_unit_test(face_milling_power),
        cmocka_unit_test(runout_conserves_the_chip),
        cmocka_unit_test(samples_equal_slice_sums),
        cmocka_unit_test(runout_takes_the_worst_direction),
        cmocka_unit_test(runout_thickens_the_chip),
        cmocka_unit_test(a_leaning_edge_thins_the_chip),
        cmocka_unit_test(doubling_the_resolution_changes_little),
        cmocka_unit_test(more_wear_and_harder_stock_pull_more),
        cmocka_unit_test(helix_decides_lift),
        cmocka_unit_test(climb_mirrors_conventional),
        cmocka_unit_test(chamfer_removes_a_triangle),
        cmocka_unit_test(drilling_worked_example),
        cmocka_unit_test(drilling_thrust_of_the_handbook),
        cmocka_unit_test(drilling_lift_and_chip),
        cmocka_unit_test(passes_out_of_range_are_refused),
        cmocka_unit_test(cutters_out_of_range_are_refused),
        cmocka_unit_test(drilling_out_of_range_is_refused),
        cmocka_unit_test(test_zones_of_a_wall),
        cmocka_unit_test(test_chips_in_a_groove),
        cmocka_unit_test(test_zones_add_up),
        cmocka_unit_test(test_zones_of_a_ball),
        cmocka_unit_test(test_zones_refused),
    };

    return cmocka_run_group_tests_name("cutting", tests, NULL, NULL);
}
