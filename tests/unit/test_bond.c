/* test_bond.c - sections, area model, derating, hold factors. */
#include "tackhold/bond.h"

#include <math.h>
#include <string.h>

#include "support/near.h"

/* ---- plane sections -------------------------------------------------------------------------- */

/* Second moments about the centroid: xx is the integral of x^2. */
typedef struct {
    double cx, cy, xx, yy, xy;
} centred;

static centred centred_of(th_section s) {
    centred c = {s.sx / s.area, s.sy / s.area, 0, 0, 0};

    c.xx = s.sxx - s.area * c.cx * c.cx;
    c.yy = s.syy - s.area * c.cy * c.cy;
    c.xy = s.sxy - s.area * c.cx * c.cy;
    return c;
}

static void assert_same_section(th_section a, th_section b, double relative) {
    assert_near(a.area, b.area, relative, 1e-12);
    assert_near(a.sx, b.sx, relative, 1e-12);
    assert_near(a.sy, b.sy, relative, 1e-12);
    assert_near(a.sxx, b.sxx, relative, 1e-12);
    assert_near(a.syy, b.syy, relative, 1e-12);
    assert_near(a.sxy, b.sxy, relative, 1e-12);
}

/* Steel angle 4 x 3 x 1/2 in: area 3.25, Ix 5.05, y 1.33, Iy 2.42, x 0.827, least radius of
 * gyration 0.639, its axis at 28.5 deg (Mott, Machine Elements in Mechanical Design, 4th ed., Table
 * A16-1). */
static void angle_has_the_published_properties(void **state) {
    static const th_point angle[] = {{0, 0}, {3, 0}, {3, 0.5}, {0.5, 0.5}, {0.5, 4}, {0, 4}};
    th_section s = th_section_polygon(angle, 6);
    centred c = centred_of(s);
    double mean = (c.xx + c.yy) / 2;
    double radius = hypot((c.xx - c.yy) / 2, c.xy);
    (void)state;

    assert_near(s.area, 3.25, 0, 1e-12);
    assert_near(c.yy, 5.05, 0, 0.005);
    assert_near(c.xx, 2.42, 0, 0.005);
    assert_near(c.cy, 1.33, 0, 0.005);
    assert_near(c.cx, 0.827, 0, 0.0005);
    assert_near(sqrt((mean - radius) / s.area), 0.639, 0, 0.0005);
    assert_near(0.5 * atan2(-2 * c.xy, c.yy - c.xx) * 180 / TH_PI, 28.5, 0, 0.05);
    assert_true(c.xy < 0);
}

/* Right triangle of base b and height h: b h^3/36, b^3 h/36, -b^2 h^2/72 about the centroid (Gere,
 * Mechanics of Materials, appendix on plane areas); either way round, and far from the origin. */
static void triangle_has_its_closed_form(void **state) {
    static const th_point places[] = {{0, 0}, {300, -200}};
    double b = 6, h = 4;
    (void)state;

    for (size_t k = 0; k < 2; k++) {
        double x = places[k].x, y = places[k].y;
        th_point left_round[] = {{x, y}, {x + b, y}, {x, y + h}};
        th_point right_round[] = {{x, y + h}, {x + b, y}, {x, y}};
        th_section s = th_section_polygon(left_round, 3);
        centred c = centred_of(s);

        assert_near(s.area, b * h / 2, 1e-14, 0);
        assert_near(c.cx, x + b / 3, 1e-14, 0);
        assert_near(c.cy, y + h / 3, 1e-14, 0);
        assert_near(c.xx, b * b * b * h / 36, 0, 1e-8);
        assert_near(c.yy, b * h * h * h / 36, 0, 1e-8);
        assert_near(c.xy, -b * b * h * h / 72, 0, 1e-8);
        assert_same_section(th_section_polygon(right_round, 3), s, 1e-12);
    }
}

/* Area b h and b h^3/12 about the centroid; the four ways to name two opposite corners agree. */
static void rectangle_has_its_closed_form(void **state) {
    static const th_point outline[] = {{-3, 2}, {7, 2}, {7, 5}, {-3, 5}};
    th_section s = th_section_rectangle(-3, 2, 7, 5);
    centred c = centred_of(s);
    (void)state;

    assert_near(s.area, 30, 1e-14, 0);
    assert_near(c.cx, 2, 1e-14, 0);
    assert_near(c.cy, 3.5, 1e-14, 0);
    assert_near(c.xx, 1000.0 * 3 / 12, 1e-13, 0);
    assert_near(c.yy, 27.0 * 10 / 12, 1e-12, 0);
    assert_near(c.xy, 0, 0, 1e-11);
    assert_same_section(th_section_polygon(outline, 4), s, 1e-13);
    assert_same_section(th_section_rectangle(7, 5, -3, 2), s, 1e-14);
    assert_same_section(th_section_rectangle(-3, 5, 7, 2), s, 1e-14);
}

static double disc_error(size_t corners) {
    th_point points[512];
    th_section exact = th_section_disc(5, -3, 8);
    th_section s;

    for (size_t i = 0; i < corners; i++) {
        double angle = 2 * TH_PI * (double)i / (double)corners;

        points[i] = (th_point){5 + 4 * cos(angle), -3 + 4 * sin(angle)};
    }
    s = th_section_polygon(points, corners);
    return (centred_of(exact).xx - centred_of(s).xx) / centred_of(exact).xx;
}

/* Disc: pi d^4/64. An inscribed polygon of N corners falls short in proportion to 1/N^2: its second
 * moment is that of the disc times (N/2pi) sin(2pi/N) (2 + cos(2pi/N))/3, so 4 pi^2/(3 N^2) is
 * missing at first. */
static void polygon_converges_to_the_disc(void **state) {
    th_section disc = th_section_disc(5, -3, 8);
    (void)state;

    assert_near(disc.area, TH_PI * 16, 1e-14, 0);
    assert_near(centred_of(disc).xx, TH_PI * 4096 / 64, 1e-12, 0);
    assert_near(centred_of(disc).yy, TH_PI * 4096 / 64, 1e-12, 0);
    assert_near(centred_of(disc).xy, 0, 0, 1e-10);
    assert_near(disc_error(128) / disc_error(256), 4, 1e-3, 0);
    assert_near(disc_error(512), 4 * TH_PI * TH_PI / 3 / (512.0 * 512.0), 1e-3, 0);
}

/* A frame is the outer rectangle less the inner one: (B H^3 - b h^3)/12. */
static void sections_add_and_subtract(void **state) {
    th_section frame =
        th_section_add(th_section_rectangle(0, 0, 10, 6), th_section_rectangle(2, 1, 8, 5), -1);
    th_section strips = th_section_rectangle(0, 0, 10, 1);
    (void)state;

    strips = th_section_add(strips, th_section_rectangle(0, 5, 10, 6), 1);
    strips = th_section_add(strips, th_section_rectangle(0, 1, 2, 5), 1);
    strips = th_section_add(strips, th_section_rectangle(8, 1, 10, 5), 1);
    assert_same_section(frame, strips, 1e-13);
    assert_near(centred_of(frame).yy, (10 * 216 - 6 * 64) / 12.0, 1e-12, 0);
    assert_near(th_section_add(frame, frame, 0.5).area, 1.5 * frame.area, 1e-14, 0);
}

/* ---- area model ------------------------------------------------------------------------------ */

static const th_point one_corner[] = {{0, 0}};

static th_bonded bonded_of(th_section section) {
    th_bonded bonded;

    assert_true(th_bonded_of(section, 1, one_corner, 1, &bonded, NULL));
    return bonded;
}

/* Moment = r x F. */
static void wrench_is_the_cross_product(void **state) {
    th_wrench w = th_wrench_of(2, 3, 5, 7, 11, 13, 17);
    (void)state;

    assert_near(w.fx, 2, 0, 0);
    assert_near(w.fy, 3, 0, 0);
    assert_near(w.fz, 5, 0, 0);
    assert_near(w.mx, 11 * 5 - 13 * 3, 0, 0);
    assert_near(w.my, 13 * 2 - 7 * 5, 0, 0);
    assert_near(w.mz, 7 * 3 - 11 * 2 + 17, 0, 0);
}

/* Four bolts at +-75, +-60 mm, 16 kN down, 6800 N m: primary shear 4 kN, secondary 17.7 kN,
 * resultants 21.0 and 14.8 kN (Shigley, Mechanical Engineering Design, 9th ed., Example 8-7,
 * printed to three digits). The bolts are discs too small to have a twist of their own. */
static void bolt_group_of_four(void **state) {
    static const th_point bolts[] = {{75, 60}, {75, -60}, {-75, -60}, {-75, 60}};
    static const double resultant[] = {21.0, 21.0, 14.8, 14.8};
    th_section group = {0};
    th_bonded bonded;
    th_wrench wrench = th_wrench_of(0, -16e3, 0, 425, 0, 0, 0);
    (void)state;

    for (size_t i = 0; i < 4; i++) {
        group = th_section_add(group, th_section_disc(bolts[i].x, bolts[i].y, 0.5), 1);
    }
    bonded = bonded_of(group);
    for (size_t i = 0; i < 4; i++) {
        th_traction t = th_area_traction(&bonded, &wrench, bolts[i]);
        double bolt = group.area / 4 / 1000; /* MPa to kN */

        assert_near(t.direct * bolt, 4, 1e-12, 0);
        assert_near(t.turn * bolt, 17.7, 0, 0.05);
        assert_near(t.shear * bolt, resultant[i], 0, 0.05);
    }
}

/* Six bolts of two sizes, weighted by area; force -10000 at (0.3, 0) and 12000 clockwise: centroid
 * (2.6, 2.4), sum of A r^2 10.193, loads 2493, 1210, 1220, 2507, 1165, 1451 (R. Abbott, Analysis
 * and Design of Composite and Metallic Flight Vehicle Structures, AA-SM-004). Places are stretched
 * a thousandfold, and the moment with them, so that the bolts count as points. */
static void bolt_group_of_two_sizes(void **state) {
    static const double x[] = {1, -1, -1, 1, 0, 10}, y[] = {1, 1, -1, 5, 5, 2};
    static const double diameter[] = {0.375, 0.25, 0.25, 0.375, 0.25, 0.375};
    static const double load[] = {2493, 1210, 1220, 2507, 1165, 1451};
    th_section group = {0};
    th_bonded bonded;
    th_wrench wrench = th_wrench_of(0, -1e4, 0, 300, 0, 0, -12000e3);
    (void)state;

    for (size_t i = 0; i < 6; i++) {
        group = th_section_add(group, th_section_disc(1e3 * x[i], 1e3 * y[i], diameter[i]), 1);
    }
    bonded = bonded_of(group);
    assert_near(bonded.cx / 1e3, 2.6, 0, 0.05);
    assert_near(bonded.cy / 1e3, 2.4, 0, 0.05);
    assert_near((bonded.ixx + bonded.iyy) / 1e6, 10.193, 0, 0.0005);
    for (size_t i = 0; i < 6; i++) {
        th_point at = {1e3 * x[i], 1e3 * y[i]};
        double area = th_section_disc(0, 0, diameter[i]).area;

        assert_near(th_area_traction(&bonded, &wrench, at).shear * area, load[i], 0, 1);
    }
}

/* Throat of a weld at which the shear is 100 MPa, from welds as strips of a thin width. */
static double throat_for_100(const th_bonded *bonded, const th_wrench *wrench, th_point at,
                             double width) {
    return th_area_traction(bonded, wrench, at).shear * width / 100;
}

/* Two welds of 50 mm, 50 mm apart, 7.5 kN at 125 mm: throat 4.5389 mm. C of 50, 100 and 50 mm, 60
 * kN at 150 mm from the open ends: centroid 12.5 mm, J 385416.7 mm3, throat 20.186 mm (Bhandari,
 * Introduction to Machine Design, Examples 8.9 and 8.10; 100 MPa in shear). */
static void weld_groups(void **state) {
    double w = 1e-4, h = w / 2;
    th_section pair = th_section_add(th_section_rectangle(-25, 25 - h, 25, 25 + h),
                                     th_section_rectangle(-25, -25 - h, 25, -25 + h), 1);
    th_section c = th_section_add(th_section_rectangle(0, 50 - h, 50, 50 + h),
                                  th_section_rectangle(0, -50 - h, 50, -50 + h), 1);
    th_wrench pull = th_wrench_of(0, -7500, 0, 125, 0, 0, 0);
    th_bonded bonded = bonded_of(pair);
    (void)state;

    assert_near(throat_for_100(&bonded, &pull, (th_point){25, 25}, w), 4.5389, 0, 0.00005);
    assert_near(throat_for_100(&bonded, &pull, (th_point){25, -25}, w), 4.5389, 0, 0.00005);

    c = th_section_add(c, th_section_rectangle(-h, -50, h, 50), 1);
    bonded = bonded_of(c);
    pull = th_wrench_of(0, -60e3, 0, 200, 0, 0, 0);
    assert_near(bonded.cx, 12.5, 0, 1e-4);
    assert_near((bonded.ixx + bonded.iyy) / w, 385416.7, 0, 0.5);
    assert_near(throat_for_100(&bonded, &pull, (th_point){50, 50}, w), 20.186, 0, 0.0005);
}

/* A normal force at a sixth of the length leaves the far edge without traction and doubles the mean
 * at the near one; beyond the sixth the far edge changes sign (kern of a rectangle). */
static void kern_of_a_rectangle(void **state) {
    th_bonded bonded = bonded_of(th_section_rectangle(20, 10, 80, 40));
    th_point near_edge = {80, 25}, far_edge = {20, 25};
    double mean = 90.0 / (60 * 30);
    th_wrench kern = th_wrench_of(0, 0, 90, 50 + 10, 25, 0, 0);
    th_wrench beyond = th_wrench_of(0, 0, 90, 50 + 11, 25, 0, 0);
    th_wrench within = th_wrench_of(0, 0, 90, 50 + 9, 25, 0, 0);
    th_wrench back = th_wrench_of(0, 0, 90, 50, 25 + 5, 0, 0);
    (void)state;

    assert_near(th_area_traction(&bonded, &kern, far_edge).lift, 0, 0, 1e-15);
    assert_near(th_area_traction(&bonded, &kern, near_edge).lift, 2 * mean, 1e-13, 0);
    assert_near(th_area_traction(&bonded, &beyond, far_edge).lift, -0.1 * mean, 1e-12, 0);
    assert_near(th_area_traction(&bonded, &within, far_edge).lift, 0.1 * mean, 1e-12, 0);
    assert_near(th_area_traction(&bonded, &back, (th_point){50, 10}).lift, 0, 0, 1e-15);
    assert_near(th_area_traction(&bonded, &back, (th_point){50, 40}).lift, 2 * mean, 1e-13, 0);
    assert_near(th_area_traction(&bonded, &kern, near_edge).shear, 0, 0, 0);
}

/* Z of 100 mm height, flanges 80 mm, 12 mm thick throughout, 1.5 kN m about the axis along the
 * flanges: Iy 3.25e6, Iz 4.18e6, Iyz 2.87e6 mm4 and +13.87 MPa at the flange's end, from rounded
 * principal values (Beer and Johnston, Mechanics of Materials, sample problem on unsymmetric
 * bending; memory, its moments of inertia recomputed). */
static void bending_of_a_z_section(void **state) {
    static const th_point outline[] = {{-74, -50}, {6, -50}, {6, 38},   {74, 38},
                                       {74, 50},   {-6, 50}, {-6, -38}, {-74, -38}};
    th_bonded bonded = bonded_of(th_section_polygon(outline, 8));
    th_wrench bend = {.mx = -1.5e6};
    (void)state;

    assert_near(bonded.iyy, 3.25e6, 0, 0.005e6);
    assert_near(bonded.ixx, 4.18e6, 0, 0.005e6);
    assert_near(bonded.ixy, 2.87e6, 0, 0.005e6);
    /* 28.68 - 14.81: an angle rounded to 0.1 deg moves the difference by up to 0.12. */
    assert_near(th_area_traction(&bonded, &bend, (th_point){74, 50}).lift, 13.87, 0, 0.12);
}

/* An L bent about any axis: resolve the moment along the principal axes u and v, then
 * M_u v/I_u - M_v u/I_v (Timoshenko, Strength of Materials, part 1, unsymmetrical bending). */
static void bending_of_an_l_by_principal_axes(void **state) {
    static const th_point angle[] = {{10, 20}, {40, 20}, {40, 25}, {15, 25}, {15, 60}, {10, 60}};
    th_section s = th_section_polygon(angle, 6);
    th_bonded bonded = bonded_of(s);
    centred c = centred_of(s);
    double turned = 0.5 * atan2(2 * c.xy, c.xx - c.yy); /* of the axis of the largest x^2 */
    double co = cos(turned), si = sin(turned);
    double iv = c.xx * co * co + c.yy * si * si + 2 * c.xy * co * si;
    double iu = c.xx + c.yy - iv;
    (void)state;

    for (int k = 0; k < 12; k++) {
        double mx = 500 * cos(k * TH_PI / 6), my = 500 * sin(k * TH_PI / 6);
        double mu = mx * co + my * si, mv = my * co - mx * si;
        th_wrench bend = {.mx = mx, .my = my};

        for (size_t i = 0; i < 6; i++) {
            double x = angle[i].x - c.cx, y = angle[i].y - c.cy;
            double u = x * co + y * si, v = y * co - x * si;

            assert_near(th_area_traction(&bonded, &bend, angle[i]).lift, mu * v / iu - mv * u / iv,
                        1e-10, 1e-12);
        }
    }
    assert_true(fabs(c.xy) > 0.1 * c.xx);
}

/* A push at a height presses the leading edge and lifts the trailing one: F z (L/2)/(W L^3/12). */
static void push_at_a_height_lifts_the_trailing_edge(void **state) {
    th_bonded bonded = bonded_of(th_section_rectangle(0, 0, 60, 30));
    th_wrench push = th_wrench_of(40, 0, 0, 30, 15, 6, 0);
    th_wrench push_back = th_wrench_of(0, 40, 0, 30, 15, 6, 0);
    double along = 40.0 * 6 * 30 / (30.0 * 216000 / 12),
           across = 40.0 * 6 * 15 / (60.0 * 27000 / 12);
    (void)state;

    assert_near(th_area_traction(&bonded, &push, (th_point){0, 15}).lift, along, 1e-12, 0);
    assert_near(th_area_traction(&bonded, &push, (th_point){60, 15}).lift, -along, 1e-12, 0);
    assert_near(th_area_traction(&bonded, &push_back, (th_point){30, 0}).lift, across, 1e-12, 0);
    assert_near(th_area_traction(&bonded, &push_back, (th_point){30, 30}).lift, -across, 1e-12, 0);
    assert_near(th_area_traction(&bonded, &push, (th_point){0, 15}).shear, 40.0 / 1800, 1e-13, 0);
}

/* Coverage divides traction, and bonded areas that cannot carry are refused. */
static void bonded_area_takes_coverage_and_refuses_nothing_left(void **state) {
    static const th_point angle[] = {{0, 0}, {60, 0}, {60, 10}, {10, 10}, {10, 40}, {0, 40}};
    th_section s = th_section_polygon(angle, 6);
    static const th_point line[] = {{0, 0}, {10, 10}, {20, 20}};
    th_wrench w = th_wrench_of(20, -7, 30, 12, 8, 3, 90);
    th_point at = {60, 0};
    th_bonded whole = bonded_of(s), half;
    th_error err;
    (void)state;

    assert_true(th_bonded_of(s, 0.5, one_corner, 1, &half, &err));
    assert_ptr_equal(half.corners, one_corner);
    assert_int_equal(half.corner_count, 1);
    assert_near(half.area, (600 + 300) / 2.0, 1e-13, 0);
    assert_near(th_area_traction(&half, &w, at).lift, 2 * th_area_traction(&whole, &w, at).lift,
                1e-12, 0);
    assert_near(th_area_traction(&half, &w, at).shear, 2 * th_area_traction(&whole, &w, at).shear,
                1e-12, 0);
    static const double bad_coverage[] = {0, -0.1, 1.0001, NAN};
    for (size_t i = 0; i < 4; i++) {
        assert_false(th_bonded_of(s, bad_coverage[i], one_corner, 1, &half, &err));
        assert_int_equal(err.code, TH_BAD_RANGE);
    }
    assert_false(th_bonded_of(th_section_add(s, s, -1), 1, one_corner, 1, &half, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    assert_false(th_bonded_of(th_section_add(s, s, -2), 1, one_corner, 1, &half, &err));
    assert_false(th_bonded_of(th_section_polygon(line, 3), 1, one_corner, 1, &half, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    assert_false(th_bonded_of((th_section){10, 0, 0, 100, 0, 0}, 1, one_corner, 1, &half, &err));
    assert_false(th_bonded_of(s, 1, NULL, 0, &half, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
}

/* ---- strength: rows invented for the tests ----------------------------------------------------
 */

typedef struct {
    th_tape above, below;
    th_glue glue;
    th_plate plate;
    th_hold_state state;
} hold;

static void set_hold(hold *h) {
    *h = (hold){
        .above = {.head = {.id = "above"},
                  .sides = 1,
                  .shear_strength = 0.20,
                  .lift_strength = 0.10,
                  .temperature_max = 83,
                  .strength_hot = 0.5,
                  .dry = 1,
                  .mist = 0.8,
                  .water = 0.7,
                  .oil = 0.6,
                  .backing_shear = 0.5,
                  .backing_lift = 0.3,
                  .load_time_exponent = 0.2},
        .glue = {.head = {.id = "glue"},
                 .shear_strength = 1.0,
                 .lift_strength = 0.2,
                 .temperature_max = 103,
                 .strength_hot = 0.4,
                 .handling_time = 60,
                 .full_time = 86400,
                 .dry = 1,
                 .mist = 0.85,
                 .water = 0.5,
                 .oil = 0.9},
        .plate = {.head = {.id = "plate"}, .adhesion = 1, .wet = 0.75},
    };
    h->below = h->above;
    h->below.head.id = "below";
    h->below.shear_strength = 0.24;
    h->below.load_time_exponent = 0.1;
    h->state = (th_hold_state){.above = &h->above,
                               .below = &h->below,
                               .glue = &h->glue,
                               .plate = &h->plate,
                               .adhesion = 1,
                               .cooling = TH_COOL_DRY,
                               .preparation = TH_SCUFFED,
                               .pressed = TH_WEIGHT,
                               .wait = 86400,
                               .temperature = 20};
}

static void assert_interface(const th_interface *i, const char *name, double shear, double lift,
                             double exponent) {
    assert_string_equal(i->name, name);
    assert_near(i->shear, shear, 1e-12, 0);
    assert_near(i->lift, lift, 1e-12, 0);
    assert_near(i->time_exponent, exponent, 0, 0);
}

static void glued_stack_has_seven_interfaces(void **state) {
    hold h;
    th_stack s;
    (void)state;

    set_hold(&h);
    s = th_stack_of(&h.state);
    assert_int_equal(s.count, 7);
    assert_int_equal(s.unusable, TH_USABLE);
    assert_interface(&s.interfaces[0], "part to tape", 0.20, 0.10, 0.2);
    assert_interface(&s.interfaces[1], "tape backing", 0.5, 0.3, 0.2);
    assert_interface(&s.interfaces[2], "tape to glue", 0.5, 0.2, 0.2);
    assert_interface(&s.interfaces[3], "glue", 1.0, 0.2, 0);
    assert_interface(&s.interfaces[4], "glue to tape", 0.5, 0.2, 0.1);
    assert_interface(&s.interfaces[5], "tape backing", 0.5, 0.3, 0.1);
    assert_interface(&s.interfaces[6], "tape to plate", 0.24, 0.10, 0.1);
    assert_ptr_equal(s.interfaces[0].row, &h.above.head);
    assert_ptr_equal(s.interfaces[2].row, &h.above.head);
    assert_ptr_equal(s.interfaces[3].row, &h.glue.head);
    assert_ptr_equal(s.interfaces[4].row, &h.below.head);
    assert_ptr_equal(s.interfaces[6].row, &h.below.head);
    h.state.below = NULL; /* the same tape again */
    s = th_stack_of(&h.state);
    assert_interface(&s.interfaces[6], "tape to plate", 0.20, 0.10, 0.2);
}

static void double_sided_tape_has_three_interfaces(void **state) {
    hold h;
    th_stack s;
    (void)state;

    set_hold(&h);
    h.glue = (th_glue){.absent = true};
    h.state.below = NULL;
    h.state.adhesion = 0.5;
    for (int k = 0; k < 2; k++) {
        s = th_stack_of(&h.state);
        assert_int_equal(s.count, 3);
        assert_int_equal(s.unusable, TH_USABLE);
        assert_interface(&s.interfaces[0], "part to tape", 0.10, 0.05, 0.2);
        assert_interface(&s.interfaces[1], "tape backing", 0.5, 0.3, 0.2);
        assert_interface(&s.interfaces[2], "tape to plate", 0.20, 0.10, 0.2);
        h.state.glue = NULL;
    }
}

/* One factor at a time: which interfaces it reaches, and its value there. */
static void assert_share(const hold *h, const double factors[7]) {
    hold plain;
    th_stack s = th_stack_of(&h->state), full;

    set_hold(&plain);
    full = th_stack_of(&plain.state);
    for (size_t i = 0; i < 7; i++) {
        const th_derating *d = &s.interfaces[i].derating;

        assert_near(s.interfaces[i].shear, factors[i] * full.interfaces[i].shear, 1e-12, 0);
        assert_near(s.interfaces[i].lift, factors[i] * full.interfaces[i].lift, 1e-12, 0);
        assert_near(d->temperature * d->cooling * d->preparation * d->adhesion * d->pressing *
                        d->wait,
                    factors[i], 1e-12, 0);
    }
}

static void surfaces_preparation_and_pressing(void **state) {
    hold h;
    (void)state;

    set_hold(&h);
    assert_share(&h, (double[]){1, 1, 1, 1, 1, 1, 1});
    h.state.preparation = TH_WIPED;
    assert_share(&h, (double[]){0.9, 1, 1, 1, 1, 1, 0.9});
    assert_near(th_stack_of(&h.state).interfaces[0].derating.preparation, 0.9, 0, 0);
    h.state.preparation = TH_AS_IS;
    assert_share(&h, (double[]){0.6, 1, 1, 1, 1, 1, 0.6});
    h.state.preparation = TH_SCUFFED;
    h.state.pressed = TH_ROLLER;
    assert_share(&h, (double[]){0.9, 1, 1, 1, 1, 1, 0.9});
    assert_near(th_stack_of(&h.state).interfaces[6].derating.pressing, 0.9, 0, 0);
    h.state.pressed = TH_HAND;
    assert_share(&h, (double[]){0.7, 1, 1, 1, 1, 1, 0.7});
    h.state.pressed = TH_WEIGHT;
    h.state.adhesion = 0.3;
    h.plate.adhesion = 0.8;
    assert_share(&h, (double[]){0.3, 1, 1, 1, 1, 1, 0.8});
    h.state.preparation = TH_WIPED;
    h.state.pressed = TH_ROLLER;
    assert_share(&h, (double[]){0.243, 1, 1, 1, 1, 1, 0.648});
}

/* Tape: 0.5 at 5 min, 1 at 24 h, ln(12)/ln(288) of the second half at 1 h. Glue: 0.6 at 10 min, 1
 * at full_time, straight in ln(t) between. */
static void waiting(void **state) {
    double at_hour = 0.5 + 0.5 * log(12) / log(288);
    double glue_hour = 0.6 + 0.4 * log(6) / log(144);
    double glue_5min = 0.6 * log(5) / log(10);
    hold h;
    (void)state;

    set_hold(&h);
    h.state.wait = 300;
    assert_share(&h, (double[]){0.5, 1, glue_5min, glue_5min, glue_5min, 1, 0.5});
    h.state.wait = 600;
    assert_near(th_stack_of(&h.state).interfaces[3].derating.wait, 0.6, 1e-14, 0);
    h.state.wait = 599.999999;
    assert_near(th_stack_of(&h.state).interfaces[3].derating.wait, 0.6, 1e-8, 0);
    h.state.wait = 3600;
    assert_share(&h, (double[]){at_hour, 1, glue_hour, glue_hour, glue_hour, 1, at_hour});
    h.state.wait = 86400;
    assert_share(&h, (double[]){1, 1, 1, 1, 1, 1, 1});
    h.state.wait = 1e7;
    assert_share(&h, (double[]){1, 1, 1, 1, 1, 1, 1});
}

/* Glues whose times do not straddle 10 min. */
static void waiting_for_other_glues(void **state) {
    hold h;
    (void)state;

    set_hold(&h);
    h.glue.handling_time = 1200;
    h.state.wait = 1200 * sqrt(72.0); /* half way in ln(t) to 24 h */
    assert_near(th_stack_of(&h.state).interfaces[3].derating.wait, 0.5, 1e-12, 0);
    h.glue.handling_time = 10;
    h.glue.full_time = 400;
    h.state.wait = 10 * sqrt(40.0);
    assert_near(th_stack_of(&h.state).interfaces[3].derating.wait, 0.5, 1e-12, 0);
    h.state.wait = 400;
    assert_near(th_stack_of(&h.state).interfaces[3].derating.wait, 1, 0, 0);
    h.glue.handling_time = h.glue.full_time = 500; /* a step */
    h.state.wait = 499;
    assert_int_equal(th_stack_of(&h.state).unusable, TH_NOT_SET);
    h.state.wait = 500;
    assert_int_equal(th_stack_of(&h.state).unusable, TH_USABLE);
    assert_near(th_stack_of(&h.state).interfaces[3].derating.wait, 1, 0, 0);
}

/* f = strength_hot^(x^0.75): x = 1/16 gives the power 1/8, x = 1/256 gives 1/64. */
static void temperature_curve(void **state) {
    (void)state;

    assert_near(th_temperature_factor(-10, 83, 0.5), 1, 0, 0);
    assert_near(th_temperature_factor(23, 83, 0.5), 1, 0, 0);
    assert_near(th_temperature_factor(23 + 160.0 / 256, 183, 0.5), pow(0.5, 1.0 / 64), 1e-13, 0);
    assert_near(th_temperature_factor(33, 183, 0.5), pow(0.5, 0.125), 1e-14, 0);
    assert_near(th_temperature_factor(83, 83, 0.5), 0.5, 1e-15, 0);
    assert_near(th_temperature_factor(83.0001, 83, 0.5), 0, 0, 0);
    assert_near(th_temperature_factor(NAN, 83, 0.5), 0, 0, 0);
    assert_near(th_temperature_factor(21, 20, 0.5), 0, 0, 0);
    assert_near(th_temperature_factor(20, 20, 0.5), 1, 0, 0);
}

/* Each layer by its own row, joints by the lower of the two. */
static void temperature_by_layer(void **state) {
    double tape = pow(0.5, pow(30.0 / 60, 0.75)), glue = pow(0.4, pow(30.0 / 180, 0.75));
    hold h;
    (void)state;

    set_hold(&h);
    h.state.temperature = 53;
    h.glue.temperature_max = 203;
    assert_true(tape < glue);
    assert_share(&h, (double[]){tape, tape, tape, glue, tape, tape, tape});
    h.glue.temperature_max = 63;
    glue = pow(0.4, pow(30.0 / 40, 0.75));
    assert_true(glue < tape);
    assert_share(&h, (double[]){tape, tape, glue, glue, glue, tape, tape});
}

static void cooling_by_layer(void **state) {
    hold h;
    (void)state;

    set_hold(&h);
    h.below.mist = 0.9;
    h.state.cooling = TH_COOL_MIST; /* glue 0.85 */
    assert_share(&h, (double[]){0.8, 0.8, 0.8, 0.85, 0.85, 0.9, 0.9 * 0.75});
    h.state.cooling = TH_COOL_WATER; /* glue 0.5 */
    assert_share(&h, (double[]){0.7, 0.7, 0.5, 0.5, 0.5, 0.7, 0.7 * 0.75});
    h.state.cooling = TH_COOL_OIL; /* glue 0.9 */
    assert_share(&h, (double[]){0.6, 0.6, 0.6, 0.9, 0.6, 0.6, 0.6 * 0.75});
}

/* Strength of a joint: the lower figure in shear and in lift, each on its own. */
static void joint_takes_the_lower(void **state) {
    hold h;
    th_stack s;
    (void)state;

    set_hold(&h);
    h.glue.shear_strength = 0.4;
    h.glue.lift_strength = 0.35;
    s = th_stack_of(&h.state);
    assert_interface(&s.interfaces[2], "tape to glue", 0.4, 0.3, 0.2);
    assert_ptr_equal(s.interfaces[2].row, &h.glue.head);
    h.below.backing_shear = 0.1;
    s = th_stack_of(&h.state);
    assert_interface(&s.interfaces[4], "glue to tape", 0.1, 0.3, 0.1);
    assert_ptr_equal(s.interfaces[4].row, &h.below.head);
}

static void assert_unusable(const hold *h, th_unusable why, size_t culprit) {
    th_stack s = th_stack_of(&h->state);

    assert_int_equal(s.unusable, why);
    assert_int_equal(s.culprit, culprit);
}

static void unusable_when_too_warm_or_not_set(void **state) {
    hold h;
    (void)state;

    set_hold(&h);
    h.state.temperature = 83.5;
    assert_unusable(&h, TH_TOO_WARM, 0);
    h.above.temperature_max = 200;
    h.below.temperature_max = 200;
    assert_unusable(&h, TH_USABLE, 0);
    h.state.temperature = 110; /* the glue gives up */
    assert_unusable(&h, TH_TOO_WARM, 2);
    assert_ptr_equal(th_stack_of(&h.state).interfaces[2].row, &h.glue.head);

    set_hold(&h);
    h.below.temperature_max = 30;
    h.state.temperature = 40;
    assert_unusable(&h, TH_TOO_WARM, 4);
    assert_ptr_equal(th_stack_of(&h.state).interfaces[4].row, &h.below.head);

    set_hold(&h);
    h.state.wait = 59.9;
    assert_unusable(&h, TH_NOT_SET, 2);
    assert_ptr_equal(th_stack_of(&h.state).interfaces[2].row, &h.glue.head);
    h.state.wait = 60; /* the curve starts at nothing */
    assert_unusable(&h, TH_NOT_SET, 2);
    h.state.wait = 61;
    assert_unusable(&h, TH_USABLE, 0);
    h.state.wait = 0;
    assert_unusable(&h, TH_NOT_SET, 0);
    h.state.wait = NAN;
    assert_unusable(&h, TH_NOT_SET, 0);
}

static void unusable_for_cooling_or_adhesion(void **state) {
    hold h;
    (void)state;

    set_hold(&h);
    h.state.cooling = TH_COOL_WATER;
    h.below.water = 0;
    assert_unusable(&h, TH_NOT_FOR_COOLING, 4);
    h.below.water = 1;
    h.plate.wet = 0;
    assert_unusable(&h, TH_NOT_FOR_COOLING, 6);
    assert_ptr_equal(th_stack_of(&h.state).interfaces[6].row, &h.plate.head);
    h.below.water = 0;
    assert_ptr_equal(th_stack_of(&h.state).interfaces[6].row, &h.below.head);
    h.below.water = 1;
    h.state.cooling = TH_COOL_DRY;
    assert_unusable(&h, TH_USABLE, 0);
    h.state.cooling = 9;
    assert_unusable(&h, TH_NOT_FOR_COOLING, 0);

    set_hold(&h);
    h.plate.adhesion = 0;
    assert_unusable(&h, TH_NO_ADHESION, 6);
    h.state.adhesion = 0;
    assert_unusable(&h, TH_NO_ADHESION, 0);
    set_hold(&h);
    h.state.preparation = 3; /* none of the known ones */
    assert_unusable(&h, TH_NO_ADHESION, 0);
    set_hold(&h);
    h.state.pressed = -1;
    assert_unusable(&h, TH_NO_ADHESION, 0);
}

/* Too warm, not set, not for the cooling, no adhesion. */
static void first_reason_is_reported(void **state) {
    hold h;
    (void)state;

    set_hold(&h);
    h.state.adhesion = 0;
    h.state.wait = 10;
    h.state.cooling = TH_COOL_OIL;
    h.plate.wet = 0;
    h.glue.temperature_max = 40;
    h.state.temperature = 50;
    assert_unusable(&h, TH_NOT_FOR_COOLING, 6);
    h.plate.wet = 1;
    assert_unusable(&h, TH_NOT_SET, 2);
    h.state.wait = 3600;
    assert_unusable(&h, TH_TOO_WARM, 2);
    h.state.temperature = 20;
    assert_unusable(&h, TH_NO_ADHESION, 0);
    assert_int_equal(th_unusable_way(TH_TOO_WARM), TH_HEAT);
    assert_int_equal(th_unusable_way(TH_NOT_SET), TH_WAIT);
    assert_int_equal(th_unusable_way(TH_NOT_FOR_COOLING), TH_COOLING);
    assert_int_equal(th_unusable_way(TH_NO_ADHESION), TH_ADHESION);
}

/* Design stresses of foam tape, 85 kPa for a gust of 3 s and 1.7 kPa for ever, taken as 30 years
 * (the pair of a published design guide for panels on foam tape): an exponent of 0.20. */
static void time_factor(void **state) {
    double thirty_years = 30 * 365.25 * 86400;
    (void)state;

    assert_near(log(85 / 1.7) / log(thirty_years / 3), 0.20, 0, 0.0005);
    assert_near(85 * th_time_factor(thirty_years, 0.20), 1.7, 0, 0.005);
    assert_near(th_time_factor(3, 0.20), 1, 0, 0);
    assert_near(th_time_factor(0.5, 0.20), 1, 0, 0);
    assert_near(th_time_factor(96, 0.20), 0.5, 1e-14, 0); /* 32^-0.2 */
    assert_near(th_time_factor(1e6, 0), 1, 0, 0);
}

/* ---- hold factor ----------------------------------------------------------------------------- */

/* Quadratic interaction (Brewer and Lagace, J. Composite Materials 22, 1988): 3-4-5 and limits. */
static void index_is_the_quadratic_interaction(void **state) {
    (void)state;

    assert_near(th_index(0.03, 0.08, 0.10, 0.20), 0.5, 1e-14, 0);
    assert_near(th_index(0.10, 0, 0.10, 0.20), 1, 1e-15, 0);
    assert_near(th_index(0, 0.20, 0.10, 0.20), 1, 1e-15, 0);
    assert_near(th_index(-5, 0.08, 0.10, 0.20), 0.4, 1e-14, 0);
    assert_near(th_hold_factor(0.5), 2, 0, 0);
    assert_near(th_hold_factor(4), 0.25, 0, 0);
    assert_near(th_hold_factor(0), 1000, 0, 0);
    assert_near(th_hold_factor(0.0005), 1000, 0, 0);
    assert_near(th_hold_factor(0.002), 500, 1e-14, 0);
    assert_near(th_hold_factor(NAN), 0, 0, 0);
    assert_near(th_hold_factor(INFINITY), 0, 0, 0);
    assert_string_equal(th_way_name(TH_SLIDE), "slide");
    assert_string_equal(th_way_name(TH_LIFT), "lift");
    assert_string_equal(th_way_name(TH_TWIST), "twist");
    assert_string_equal(th_way_name(TH_HEAT), "heat");
    assert_string_equal(th_way_name(TH_WAIT), "wait");
    assert_string_equal(th_way_name(TH_COOLING), "cooling");
    assert_string_equal(th_way_name(TH_ADHESION), "adhesion");
}

static const th_point box[] = {{0, 0}, {60, 0}, {60, 30}, {0, 30}};

static th_bonded box_bonded(void) {
    th_bonded bonded;

    assert_true(th_bonded_of(th_section_rectangle(0, 0, 60, 30), 1, box, 4, &bonded, NULL));
    return bonded;
}

static th_stack single(double shear, double lift, double exponent) {
    th_stack s = {.count = 1};

    s.interfaces[0] = (th_interface){.name = "x", .shear = shear, .lift = lift};
    s.interfaces[0].time_exponent = exponent;
    return s;
}

/* A push in the plane through the middle of the box: no twist, no tilt. */
static th_wrench push_of(double force) {
    return th_wrench_of(force, 0, 0, 30, 15, 0, 0);
}

/* The way, place, instant and largest tractions of loads simple enough for a hand sum. */
static void grip_names_way_place_and_instant(void **state) {
    th_bonded bonded = box_bonded();
    th_stack s = single(0.2, 0.1, 0.2);
    th_wrench w[3] = {push_of(0), push_of(90), push_of(36)};
    th_history h = {w, NULL, 3, 0};
    th_grip g = th_grip_peak(&bonded, &s, &h);
    double far = hypot(30, 15), polar = 60.0 * 30 * (3600 + 900) / 12;
    (void)state;

    assert_int_equal(g.way, TH_SLIDE);
    assert_int_equal(g.instant, 1);
    assert_near(g.index, 90.0 / 1800 / 0.2, 1e-13, 0);
    assert_near(g.shear_peak, 0.05, 1e-13, 0);
    assert_near(g.lift_peak, 0, 0, 0);
    w[2] = (th_wrench){.mz = -2000};
    g = th_grip_peak(&bonded, &s, &h);
    assert_int_equal(g.way, TH_TWIST);
    assert_int_equal(g.instant, 2);
    assert_near(g.index, 2000 * far / polar / 0.2, 1e-13, 0);
    w[2] = th_wrench_of(0, 0, 50, 60, 30, 0, 0); /* mean x (1 + 3 + 3) at the corner */
    g = th_grip_peak(&bonded, &s, &h);
    assert_int_equal(g.way, TH_LIFT);
    assert_near(g.at.x, 60, 0, 0);
    assert_near(g.at.y, 30, 0, 0);
    assert_near(g.index, 7 * 50.0 / 1800 / 0.1, 1e-12, 0);
    assert_near(g.lift_peak, 7 * 50.0 / 1800, 1e-12, 0);
    assert_near(g.shear_peak, 0.05, 1e-13, 0);
    w[1] = w[2] =
        th_wrench_of(0, 0, -500, 30, 15, 0, 0); /* pressing earns nothing and costs nothing */
    g = th_grip_peak(&bonded, &s, &h);
    assert_near(g.index, 0, 0, 0);
    assert_int_equal(g.way, TH_SLIDE);
    h.count = 0;
    assert_near(th_grip_peak(&bonded, &s, &h).index, 0, 0, 0);
}

/* A load that is there for a share d of the turn: (d I^(1/n))^n = d^n I; a steady one: I. */
static void sustained_mean_of_a_square_wave(void **state) {
    static const double exponents[] = {0.01, 0.1, 0.2, 0.5, 1};
    th_bonded bonded = box_bonded();
    th_wrench w[4] = {push_of(90), push_of(90), push_of(0), push_of(0)};
    double weights[4] = {0.1, 0.15, 0.35, 0.4};
    th_history h = {w, weights, 4, 0};
    (void)state;

    for (size_t i = 0; i < 5; i++) {
        double n = exponents[i];
        th_stack s = single(0.2, 0.1, n);
        double left = pow(1000.0 / 3, -n);

        assert_near(th_grip_sustained(&bonded, &s, &h, 3, 0).index, pow(0.25, n) * 0.25, 1e-12, 0);
        assert_near(th_grip_sustained(&bonded, &s, &h, 1000, 0).index, pow(0.25, n) * 0.25 / left,
                    1e-12, 0);
        w[2] = w[3] = w[0];
        assert_near(th_grip_sustained(&bonded, &s, &h, 3, 0).index, 0.25, 1e-12, 0);
        w[2] = w[3] = push_of(0);
    }
}

/* n = 0: no averaging, no loss with time. */
static void sustained_without_exponent_is_the_largest(void **state) {
    th_bonded bonded = box_bonded();
    th_wrench w[3] = {{.fx = 20, .fz = 10}, {.fx = 90, .mz = 500, .my = 900}, {.fy = -40}};
    double weights[3] = {0.5, 0.1, 0.4};
    th_history h = {w, weights, 3, 0};
    th_stack s = single(0.2, 0.1, 0);
    th_grip sustained = th_grip_sustained(&bonded, &s, &h, 1e5, 0);
    th_grip peak = th_grip_peak(&bonded, &s, &h);
    (void)state;

    assert_near(sustained.index, peak.index, 1e-14, 0);
    assert_int_equal(sustained.instant, 1);
    assert_int_equal(sustained.way, peak.way);
    assert_true(peak.index > 0.3);
}

/* Equal interfaces: the one nearer the part. A smaller exponent weighs more under a load that comes
 * and goes, even against a slightly lower strength. */
static void ties_and_exponents(void **state) {
    th_bonded bonded = box_bonded();
    th_wrench w[2] = {push_of(90), push_of(0)};
    double weights[2] = {0.1, 0.9};
    th_history h = {w, weights, 2, 0};
    th_stack s = {.count = 3};
    (void)state;

    for (size_t i = 0; i < 3; i++) {
        s.interfaces[i] = single(0.2, 0.1, 0.2).interfaces[0];
    }
    assert_int_equal(th_grip_peak(&bonded, &s, &h).interface, 0);
    assert_int_equal(th_grip_sustained(&bonded, &s, &h, 60, 0).interface, 0);
    /* Two that do not dominate each other, level to the last bit where lift equals shear. */
    s = (th_stack){.count = 2};
    w[0] = th_wrench_of(90, 0, 90, 30, 15, 0, 0);
    for (size_t k = 0; k < 2; k++) {
        s.interfaces[k] = single(0.2, 0.1, 0.2).interfaces[0];
        s.interfaces[1 - k] = single(0.1, 0.2, 0.2).interfaces[0];
        assert_int_equal(th_grip_peak(&bonded, &s, &h).interface, 0);
        assert_int_equal(th_grip_sustained(&bonded, &s, &h, 60, 0).interface, 0);
    }
    w[0] =
        th_wrench_of(120, 0, 90, 30, 15, 0, 0); /* now the one weak in shear, wherever it stands */
    assert_int_equal(th_grip_peak(&bonded, &s, &h).interface, 0);
    s.interfaces[1] = s.interfaces[0];
    s.interfaces[0] = single(0.2, 0.1, 0.2).interfaces[0];
    assert_int_equal(th_grip_peak(&bonded, &s, &h).interface, 1);
    w[0] = push_of(90);
    s = (th_stack){.count = 2};
    s.interfaces[0] = single(0.2, 0.1, 0.2).interfaces[0];
    s.interfaces[1] = single(0.22, 0.11, 0).interfaces[0];
    assert_int_equal(th_grip_peak(&bonded, &s, &h).interface, 0);
    assert_int_equal(th_grip_sustained(&bonded, &s, &h, 3, 0).interface, 1);
    assert_near(th_grip_sustained(&bonded, &s, &h, 3, 0).index, 0.05 / 0.22, 1e-12, 0);
}

/* What cannot be computed must not look safe. */
static void nan_in_the_load_is_kept(void **state) {
    th_bonded bonded = box_bonded();
    th_wrench w[3] = {{.fx = 20}, {.fx = NAN}, {.fx = 30}};
    double weights[3] = {0.3, 0.3, 0.4};
    th_history h = {w, weights, 3, 0};
    th_stack s = single(0.2, 0.1, 0.2);
    (void)state;

    assert_near(th_hold_factor(th_grip_peak(&bonded, &s, &h).index), 0, 0, 0);
    assert_near(th_hold_factor(th_grip_sustained(&bonded, &s, &h, 60, 0.9).index), 0, 0, 0);
    w[1] = (th_wrench){.fz = NAN};
    assert_near(th_hold_factor(th_grip_peak(&bonded, &s, &h).index), 0, 0, 0);
}

/* ---- properties, over seeded cases ----------------------------------------------------------- */

enum { CASES = 20000, INSTANTS = 5 };

static uint64_t seed;

/* xorshift64* (Vigna 2016). */
static double between(double low, double high) {
    seed ^= seed >> 12;
    seed ^= seed << 25;
    seed ^= seed >> 27;
    return low + (high - low) * (double)((seed * 2685821657736338717u) >> 11) / 9007199254740992.0;
}

static int pick(int count) {
    return (int)between(0, count);
}

typedef struct {
    hold hold;
    th_section section;
    th_point corners[4];
    double coverage, seconds;
    th_wrench wrenches[INSTANTS];
    double weights[INSTANTS];
    th_history history;
} scene;

static void random_tape(th_tape *t) {
    static const double usual[] = {0, 0.1, 0.2, 0.25, 0.5, 1};

    *t = (th_tape){.shear_strength = between(0.05, 1),
                   .lift_strength = between(0.02, 1),
                   .temperature_max = between(40, 150),
                   .strength_hot = between(0.1, 1),
                   .dry = 1,
                   .mist = between(0.3, 1),
                   .water = between(0.3, 1),
                   .oil = between(0.3, 1),
                   .backing_shear = between(0.05, 1),
                   .backing_lift = between(0.02, 1),
                   .load_time_exponent = pick(2) ? between(0.01, 0.4) : usual[pick(6)]};
}

static void random_scene(scene *s) {
    hold *h = &s->hold;
    double x = between(-50, 50), y = between(-50, 50), a = between(5, 120), b = between(5, 120);
    double total = 0;

    random_tape(&h->above);
    random_tape(&h->below);
    h->glue = (th_glue){.absent = pick(3) == 0,
                        .shear_strength = between(0.05, 2),
                        .lift_strength = between(0.02, 2),
                        .temperature_max = between(40, 150),
                        .strength_hot = between(0.1, 1),
                        .handling_time = pick(2) ? between(1, 2000) : between(1, 100),
                        .full_time = between(100, 1e5),
                        .dry = 1,
                        .mist = between(0.3, 1),
                        .water = between(0.3, 1),
                        .oil = between(0.3, 1)};
    h->plate = (th_plate){.adhesion = between(0.2, 1), .wet = between(0.2, 1)};
    h->state = (th_hold_state){&h->above, &h->below, &h->glue, &h->plate,           between(0.2, 1),
                               pick(4),   pick(3),   pick(3),  exp(between(0, 12)), between(5, 70)};
    s->section = th_section_rectangle(x, y, x + a, y + b);
    s->corners[0] = (th_point){x, y};
    s->corners[1] = (th_point){x + a, y};
    s->corners[2] = (th_point){x + a, y + b};
    s->corners[3] = (th_point){x, y + b};
    s->coverage = between(0.2, 1);
    s->seconds = exp(between(0, 9));
    for (size_t i = 0; i < INSTANTS; i++) {
        s->wrenches[i] =
            th_wrench_of(between(-60, 60), between(-60, 60), between(-30, 20), x + between(0, a),
                         y + between(0, b), between(0, 10), between(-200, 200));
        s->weights[i] = between(0.01, 1);
        total += s->weights[i];
    }
    for (size_t i = 0; i < INSTANTS; i++) {
        s->weights[i] /= total;
    }
    s->history = (th_history){s->wrenches, s->weights, INSTANTS, 0};
}

typedef struct {
    double peak, sustained;
} factors;

static factors hold_factors(scene *s) {
    th_stack stack = th_stack_of(&s->hold.state);
    factors f = {0, 0};
    th_bonded bonded;

    assert_true(th_bonded_of(s->section, s->coverage, s->corners, 4, &bonded, NULL));
    if (stack.unusable == TH_USABLE) {
        f.peak = th_hold_factor(th_grip_peak(&bonded, &stack, &s->history).index);
        f.sustained =
            th_hold_factor(th_grip_sustained(&bonded, &stack, &s->history, s->seconds, 0).index);
    }
    return f;
}

static void scale_strengths(hold *h, double factor) {
    double *strengths[] = {&h->above.shear_strength, &h->above.lift_strength,
                           &h->above.backing_shear,  &h->above.backing_lift,
                           &h->below.shear_strength, &h->below.lift_strength,
                           &h->below.backing_shear,  &h->below.backing_lift,
                           &h->glue.shear_strength,  &h->glue.lift_strength};

    for (size_t i = 0; i < sizeof strengths / sizeof *strengths; i++) {
        /* All, or some of them. */
        *strengths[i] *= pick(2) ? factor : 1;
    }
}

/* Make one thing worse; false if that leaves the peak load as it is. */
static bool worsen(scene *s, int what) {
    switch (what) {
    case 0: {
        double more = between(1, 3);

        for (size_t i = 0; i < INSTANTS; i++) {
            th_wrench *w = &s->wrenches[i];

            *w = (th_wrench){more * w->fx, more * w->fy, more * w->fz,
                             more * w->mx, more * w->my, more * w->mz};
        }
        return true;
    }
    case 1:
        scale_strengths(&s->hold, between(0.3, 1));
        return true;
    case 2:
        s->hold.state.temperature += between(0, 40);
        return true;
    case 3:
        s->coverage *= between(0.3, 1);
        return true;
    case 4:
        s->hold.state.wait *= between(0.1, 1);
        return true;
    case 5:
        s->hold.state.adhesion *= between(0.3, 1);
        return true;
    default:
        s->seconds *= between(1, 100);
        return false;
    }
}

static void hold_factor_never_rises_when_things_get_worse(void **state) {
    long usable = 0, fell[7] = {0};
    (void)state;

    seed = 20240229;
    for (int k = 0; k < CASES; k++) {
        int what = k % 7;
        scene s;
        factors before, after;

        random_scene(&s);
        s.hold.state.below = s.hold.glue.absent ? NULL : &s.hold.below;
        before = hold_factors(&s);
        bool peak_moves = worsen(&s, what);
        after = hold_factors(&s);
        usable += before.peak > 0;
        fell[what] += after.sustained < before.sustained;
        if (after.peak > before.peak * (1 + 1e-12) ||
            after.sustained > before.sustained * (1 + 1e-12)) {
            fail_msg("case %d, change %d: %.17g %.17g to %.17g %.17g", k, what, before.peak,
                     before.sustained, after.peak, after.sustained);
        }
        if (!peak_moves) {
            assert_near(after.peak, before.peak, 0, 0);
        }
    }
    assert_true(usable > CASES / 2);
    for (size_t i = 0; i < 7; i++) {
        assert_true(fell[i] > CASES / 7 / 4); /* the property says something */
    }
}

/* Every interface, corner and instant with nothing passed over, from the plain definitions. */
static double index_at(const th_bonded *bonded, const th_interface *i, const th_history *h,
                       th_point at, double seconds, bool sustained) {
    double left = sustained ? th_time_factor(seconds, i->time_exponent) : 1;
    double largest = 0, sum = 0;

    for (size_t k = 0; k < h->count; k++) {
        th_traction t = th_area_traction(bonded, &h->wrenches[k], at);
        double index = th_index(t.lift, t.shear, left * i->lift, left * i->shear);

        largest = fmax(largest, index);
        if (sustained && i->time_exponent > 0) {
            sum += h->weights[k] * pow(index, 1 / i->time_exponent);
        }
    }
    return sustained && i->time_exponent > 0 ? pow(sum, i->time_exponent) : largest;
}

static double index_of(const th_bonded *bonded, const th_interface *i, const th_history *h,
                       double seconds, bool sustained) {
    double index = 0;

    for (size_t c = 0; c < bonded->corner_count; c++) {
        index = fmax(index, index_at(bonded, i, h, bonded->corners[c], seconds, sustained));
    }
    return index;
}

static void assert_grip(const th_grip *grip, const th_bonded *bonded, const th_stack *stack,
                        const th_history *h, double seconds, bool sustained) {
    double largest = 0;

    for (size_t i = 0; i < stack->count; i++) {
        largest = fmax(largest, index_of(bonded, &stack->interfaces[i], h, seconds, sustained));
    }
    assert_near(grip->index, largest, 1e-11, 0);
    assert_true(grip->interface < stack->count);
    /* The named place is where it happens. */
    assert_near(
        index_at(bonded, &stack->interfaces[grip->interface], h, grip->at, seconds, sustained),
        largest, 1e-11, 0);
}

static void nothing_passed_over_ever_governs(void **state) {
    long counted = 0, reached = 0;
    (void)state;

    seed = 777;
    for (int k = 0; k < CASES / 4; k++) {
        scene s;
        th_stack stack;
        th_bonded bonded;
        th_grip grip, bounded;
        double enough;

        random_scene(&s);
        s.hold.state.wait += 3000;
        stack = th_stack_of(&s.hold.state);
        if (stack.unusable != TH_USABLE) {
            continue;
        }
        counted++;
        assert_true(th_bonded_of(s.section, s.coverage, s.corners, 4, &bonded, NULL));
        grip = th_grip_peak(&bonded, &stack, &s.history);
        assert_grip(&grip, &bonded, &stack, &s.history, 0, false);
        grip = th_grip_sustained(&bonded, &stack, &s.history, s.seconds, 0);
        assert_grip(&grip, &bonded, &stack, &s.history, s.seconds, true);
        enough = grip.index * between(0.7, 1.3);
        bounded = th_grip_sustained(&bonded, &stack, &s.history, s.seconds, enough);
        if (grip.index >= enough) {
            reached++;
            assert_near(bounded.index, grip.index, 0, 0);
            assert_int_equal(bounded.interface, grip.interface);
            assert_near(bounded.at.x, grip.at.x, 0, 0);
            assert_near(bounded.at.y, grip.at.y, 0, 0);
        } else {
            assert_true(bounded.index < enough);
        }
        assert_near(bounded.shear_peak, grip.shear_peak, 0, 0);
        assert_near(bounded.lift_peak, grip.lift_peak, 0, 0);
    }
    assert_true(counted > 1000);
    assert_true(reached > 400);
}

/* Where the origin lies makes no difference to the traction. */
static void shift_of_the_origin_changes_nothing(void **state) {
    (void)state;

    seed = 4242;
    for (int k = 0; k < CASES; k++) {
        th_point p[5], q[5];
        double dx = between(-300, 300), dy = between(-300, 300);
        double f[3] = {between(-60, 60), between(-60, 60), between(-30, 30)};
        double x = between(0, 50), y = between(0, 50), z = between(0, 10);
        double torque = between(-300, 300);
        size_t count = 3 + (size_t)pick(3);
        double start = between(0, 6);
        th_wrench here = th_wrench_of(f[0], f[1], f[2], x, y, z, torque);
        th_wrench there = th_wrench_of(f[0], f[1], f[2], x + dx, y + dy, z, torque);
        th_bonded a, b;

        for (size_t i = 0; i < count; i++) {
            double angle = start + 2 * TH_PI * ((double)i + between(-0.2, 0.2)) / (double)count;

            p[i] = (th_point){25 + 20 * cos(angle), 25 + 30 * sin(angle)};
            q[i] = (th_point){p[i].x + dx, p[i].y + dy};
        }
        assert_true(th_bonded_of(th_section_polygon(p, count), 1, p, count, &a, NULL));
        assert_true(th_bonded_of(th_section_polygon(q, count), 1, q, count, &b, NULL));
        for (size_t i = 0; i < count; i++) {
            th_traction s = th_area_traction(&a, &here, p[i]);
            th_traction t = th_area_traction(&b, &there, q[i]);

            assert_near(t.lift, s.lift, 1e-9, 1e-9);
            assert_near(t.shear, s.shear, 1e-9, 1e-9);
            assert_near(t.direct, s.direct, 1e-9, 0);
            assert_near(t.turn, s.turn, 1e-9, 1e-9);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(angle_has_the_published_properties),
        cmocka_unit_test(triangle_has_its_closed_form),
        cmocka_unit_test(rectangle_has_its_closed_form),
        cmocka_unit_test(polygon_converges_to_the_disc),
        cmocka_unit_test(sections_add_and_subtract),
        cmocka_unit_test(wrench_is_the_cross_product),
        cmocka_unit_test(bolt_group_of_four),
        cmocka_unit_test(bolt_group_of_two_sizes),
        cmocka_unit_test(weld_groups),
        cmocka_unit_test(kern_of_a_rectangle),
        cmocka_unit_test(bending_of_a_z_section),
        cmocka_unit_test(bending_of_an_l_by_principal_axes),
        cmocka_unit_test(push_at_a_height_lifts_the_trailing_edge),
        cmocka_unit_test(bonded_area_takes_coverage_and_refuses_nothing_left),
        cmocka_unit_test(glued_stack_has_seven_interfaces),
        cmocka_unit_test(double_sided_tape_has_three_interfaces),
        cmocka_unit_test(surfaces_preparation_and_pressing),
        cmocka_unit_test(waiting),
        cmocka_unit_test(waiting_for_other_glues),
        cmocka_unit_test(temperature_curve),
        cmocka_unit_test(temperature_by_layer),
        cmocka_unit_test(cooling_by_layer),
        cmocka_unit_test(joint_takes_the_lower),
        cmocka_unit_test(unusable_when_too_warm_or_not_set),
        cmocka_unit_test(unusable_for_cooling_or_adhesion),
        cmocka_unit_test(first_reason_is_reported),
        cmocka_unit_test(time_factor),
        cmocka_unit_test(index_is_the_quadratic_interaction),
        cmocka_unit_test(grip_names_way_place_and_instant),
        cmocka_unit_test(sustained_mean_of_a_square_wave),
        cmocka_unit_test(sustained_without_exponent_is_the_largest),
        cmocka_unit_test(ties_and_exponents),
        cmocka_unit_test(nan_in_the_load_is_kept),
        cmocka_unit_test(hold_factor_never_rises_when_things_get_worse),
        cmocka_unit_test(nothing_passed_over_ever_governs),
        cmocka_unit_test(shift_of_the_origin_changes_nothing),
    };

    return cmocka_run_group_tests_name("bond", tests, NULL, NULL);
}
