/* test_program_corner.c - inward corners under cutter compensation: the tool's centre turns where
 * it is a radius from both moves. Expected places are plane geometry, worked out beside each. */
#include "support/program.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const th_program_tool tools[] = {{1, NAN, 1}, {2, NAN, 2}, {6, NAN, 6}};

static th_program_options from(double x, double y) {
    th_program_options o = starting_at(x, y, 0);

    o.tools = tools;
    o.tool_count = 3;
    return o;
}

static void assert_from(const program_reading *r, size_t index, double x, double y, double z) {
    const double *at = r->moves[index].from;

    assert_near(at[0], x, 0, 1e-9);
    assert_near(at[1], y, 0, 1e-9);
    assert_near(at[2], z, 0, 1e-9);
}

static void assert_joined(const program_reading *r) {
    for (size_t i = 1; i < r->count; i++) {
        assert_memory_equal(r->moves[i].from, r->moves[i - 1].to, sizeof r->moves[i].from);
    }
}

static bool has_reading(const program_reading *r, const char *piece) {
    for (size_t i = 0; i < r->report.readings.count; i++) {
        if (strstr(r->report.readings.items[i], piece)) {
            return true;
        }
    }
    return false;
}

/* ---- where the tool turns ---- */

/* A pocket of 40 by 30 from inside, radius 3: through the corners of the rectangle 3 farther in.
 * The way in from (10, 3) to the wall at (20, 0) touches it there: it runs along y = 3. */
static void test_pocket(void **state) {
    static const char *const texts[] = {
        "G21 F100 G41 D6 G1 X20 Y0\nX40\nY30\nX0\nY0\nX30\nG40\nG0 Z5\nM2",
        "G21 F100 G42 D6 G1 X20 Y0\nX40\nY-30\nX0\nY0\nX30\nG40\nG0 Z5\nM2"};
    (void)state;
    for (int i = 0; i < 2; i++) {
        double up = i == 0 ? 1 : -1;
        th_program_options o = from(10, 3 * up);
        program_reading r;
        read_good(texts[i], &o, &r);
        assert_move(&r, 0, TH_MOVE_LINE, 20, 3 * up, 0);
        assert_move(&r, 1, TH_MOVE_LINE, 37, 3 * up, 0);
        assert_move(&r, 2, TH_MOVE_LINE, 37, 27 * up, 0);
        assert_move(&r, 3, TH_MOVE_LINE, 3, 27 * up, 0);
        assert_move(&r, 4, TH_MOVE_LINE, 3, 3 * up, 0);
        assert_move(&r, 5, TH_MOVE_LINE, 30, 3 * up, 0);
        assert_int_equal(r.count, 7);
        for (int k = 0; k < 6; k++) {
            assert_int_equal(r.moves[k].line, k + 1);
        }
        assert_joined(&r);
        assert_near(r.report.feed_length, 10 + 17 + 24 + 34 + 24 + 27, 1e-12, 0);
        assert_reading(&r, "touches both moves (4, the first between lines 2 and 3)");
        program_reading_free(&r);
    }
}

/* Regular polygons of apothem 10 from inside: the way of the centre is one of apothem 7. */
static void test_polygons(void **state) {
    (void)state;
    for (int n = 3; n <= 60; n++) {
        double half = 10 * tan(TH_PI / n), s = 2 * half;
        th_program_options o = from(-9, -7);
        program_reading r;
        char text[6000], *put = text;
        put += sprintf(put, "G21 F100 G41 D6 G1 X0 Y-10\nG91 X%.12f\n", half);
        for (int k = 1; k < n; k++) {
            double angle = 2 * TH_PI * k / n;
            put += sprintf(put, "X%.12f Y%.12f\n", s * cos(angle), s * sin(angle));
        }
        sprintf(put, "X%.12f\nG40\nM2", half);
        read_good(text, &o, &r);
        assert_near(r.report.feed_length, 9 + 2 * n * 7 * tan(TH_PI / n), 0, 1e-8);
        assert_near(r.report.low[1], -7, 0, 1e-9);
        assert_near(r.moves[r.count - 1].to[0], 0, 0, 1e-8);
        assert_near(r.moves[r.count - 1].to[1], -7, 0, 1e-8);
        program_reading_free(&r);
    }
}

/* Along y = 0 to a half circle of radius 5 about (5, 0) that stands in the way, and on: radius 1
 * turns at y = 1 on the circle of radius 6, at 5 -+ sqrt(36 - 1). */
static void test_line_and_arc(void **state) {
    th_program_options o = from(-20, 1);
    program_reading r;
    (void)state;
    read_good("G21 F100 G41 D2 G1 X-10 Y0\nX0\nG2 X10 Z-2 I5\nG1 X20 Z-3\nG40\nM2", &o, &r);
    assert_move(&r, 1, TH_MOVE_LINE, 5 - sqrt(35), 1, 0);
    assert_move(&r, 2, TH_MOVE_ARC, 5 + sqrt(35), 1, -2);
    assert_arc(&r, 2, 5, 0, -(TH_PI - 2 * asin(1.0 / 6)));
    assert_move(&r, 3, TH_MOVE_LINE, 20, 1, -3);
    assert_from(&r, 3, 5 + sqrt(35), 1, -2);
    assert_int_equal(r.count, 4);
    assert_reading(&r, "(2, the first between lines 2 and 3)");
    program_reading_free(&r);
    /* The same half circle hollow, radius 5 about (0, 0) above its diameter: inside it the centre
     * runs on radius 4, and turns at y = 1, x = -+ sqrt(16 - 1). */
    o = from(-1, 1);
    read_good("G21 F100 G41 D2 G1 X0 Y0\nX5\nG3 X-5 I-5\nG1 X0\nG40\nM2", &o, &r);
    assert_move(&r, 1, TH_MOVE_LINE, sqrt(15), 1, 0);
    assert_move(&r, 2, TH_MOVE_ARC, -sqrt(15), 1, 0);
    assert_arc(&r, 2, 0, 0, TH_PI - 2 * asin(0.25));
    assert_move(&r, 3, TH_MOVE_LINE, 0, 1, 0);
    program_reading_free(&r);
}

/* From inside the hollow circle along y = 0 to its wall and three quarters round: of the two places
 * where y = 1 meets the circle of radius 4, both on both ways, the one at the corner. */
static void test_two_crossings(void **state) {
    th_program_options o = from(-6, 1);
    program_reading r;
    (void)state;
    read_good("G21 F100 G41 D2 G1 X-4.9 Y0\nX5\nG3 X0 Y-5 I-5\nG40\nM2", &o, &r);
    assert_move(&r, 1, TH_MOVE_LINE, sqrt(15), 1, 0);
    assert_arc(&r, 2, 0, 0, 1.5 * TH_PI - asin(0.25));
    assert_int_equal(r.count, 3);
    program_reading_free(&r);
}

/* The same wall, left outwards where the tool already stands when it meets it, at asin(1/4):
 * nothing of the arc remains, and the tool goes round the edge from there. */
static void test_arc_used_up(void **state) {
    double turn = asin(0.25), x = cos(turn), y = sin(turn);
    th_program_options o = from(-1, 1);
    program_reading r;
    char text[200];
    (void)state;
    snprintf(text, sizeof text,
             "G21 F100 G41 D2 G1 X0 Y0\nX5\nG3 X%.15f Y%.15f I-5\nG1 X%.15f Y%.15f\nG40\nM2", 5 * x,
             5 * y, 9 * x, 9 * y);
    read_good(text, &o, &r);
    assert_move(&r, 1, TH_MOVE_LINE, sqrt(15), 1, 0);
    assert_arc(&r, r.count - 2, 5 * x, 5 * y, -TH_PI / 2);
    assert_move(&r, r.count - 1, TH_MOVE_LINE, 9 * x - y, 9 * y + x, 0);
    assert_true(r.count <= 5); /* with or without a step of rounding before the edge */
    assert_joined(&r);
    program_reading_free(&r);
}

/* Two bulges of radius 4.5, 8 apart: radius 0.5 runs on circles of radius 5, which meet 3 above the
 * line of their centres. A lens of two arcs of radius 6, 8 apart, from inside with radius 1: the
 * same circles. */
static void test_arc_and_arc(void **state) {
    th_program_options o = from(-15, 5);
    program_reading r;
    char text[300];
    double meet = sqrt(4.5 * 4.5 - 16), tip = sqrt(20), turn = atan2(3, 4);
    (void)state;
    snprintf(text, sizeof text,
             "G21 F100 G41 D1 G1 X-5 Y4.5\nX-4\nG2 X0 Y%.12f J-4.5\nG2 X4 Y4.5 I4 J%.12f\nG40\nM2",
             meet, -meet);
    read_good(text, &o, &r);
    assert_move(&r, 2, TH_MOVE_ARC, 0, 3, 0);
    assert_arc(&r, 2, -4, 0, turn - TH_PI / 2);
    assert_move(&r, 3, TH_MOVE_ARC, 4, 5, 0);
    assert_arc(&r, 3, 4, 0, turn - TH_PI / 2);
    assert_int_equal(r.count, 4);
    program_reading_free(&r);
    o = from(1, -10);
    snprintf(text, sizeof text,
             "G21 F100 G41 D2 G1 X2 Y0\nG3 X0 Y%.12f I-6\nX0 Y%.12f I4 J%.12f\nX2 Y0 I-4 "
             "J%.12f\nG40\nM2",
             tip, -tip, -tip, tip);
    read_good(text, &o, &r);
    assert_arc(&r, 1, -4, 0, turn);
    assert_move(&r, 1, TH_MOVE_ARC, 0, 3, 0);
    assert_arc(&r, 2, 4, 0, 2 * turn);
    assert_move(&r, 2, TH_MOVE_ARC, 0, -3, 0);
    assert_arc(&r, 3, -4, 0, turn);
    assert_move(&r, 3, TH_MOVE_ARC, 1, 0, 0);
    program_reading_free(&r);
}

/* Three turns and a quarter down a round wall of radius 5, entered from a flat: the corner takes
 * its part of the first turn, asin(1/4) on radius 4, and no whole one. */
static void test_turns(void **state) {
    th_program_options o = from(-1, 1);
    program_reading r;
    (void)state;
    read_good("G21 F100 G41 D2 G1 X0 Y0\nX5\nG3 X0 Y5 Z-4 I-5 P4\nG40\nM2", &o, &r);
    assert_move(&r, 2, TH_MOVE_ARC, 0, 4, -4);
    assert_arc(&r, 2, 0, 0, 6.5 * TH_PI - asin(0.25));
    program_reading_free(&r);
}

/* ---- the way in and out ---- */

/* Square onto an outside wall x = 10 from (2, 20), radius 1.5: the way in runs to the left of the
 * programmed line by asin(1.5 / 8), and meets x = 8.5 at 6.5 tan of that. */
static void test_square_way_in(void **state) {
    th_program_options o = from(2, 20);
    double up = 6.5 * tan(asin(1.5 / 8));
    program_reading r;
    (void)state;
    read_good("G21 F100 G41.1 D3 G1 X10 Y20\nY30\nG40\nM2", &o, &r);
    assert_move(&r, 0, TH_MOVE_LINE, 8.5, 20 + up, 0);
    assert_move(&r, 1, TH_MOVE_LINE, 8.5, 30, 0);
    assert_int_equal(r.count, 2);
    program_reading_free(&r);
    read_good("G21 F100 G42.1 D3 G1 X10 Y20\nY10\nG40 X2\nM2", &o, &r);
    assert_move(&r, 0, TH_MOVE_LINE, 8.5, 20 - up, 0);
    assert_move(&r, 1, TH_MOVE_LINE, 8.5, 10, 0); /* the last move goes to its end */
    assert_move(&r, 2, TH_MOVE_LINE, 2, 10, 0);
    program_reading_free(&r);
    /* A way in by an arc of radius 8 about (0, 0) to (8, 0), then to the centre: the tool, inside
     * with radius 1, runs on radius 7 and turns at y = -1. */
    o = from(0, -7);
    read_good("G21 F100 G41.1 D2\nG3 X8 Y0 R8\nG1 X0\nG40\nM2", &o, &r);
    assert_move(&r, 0, TH_MOVE_ARC, sqrt(48), -1, 0);
    assert_arc(&r, 0, 0, 0, TH_PI / 2 - asin(1.0 / 7));
    assert_move(&r, 1, TH_MOVE_LINE, 0, -1, 0);
    program_reading_free(&r);
}

/* ---- what stands between two moves ---- */

static void test_between(void **state) {
    static const int lines[] = {3, 4, 5, 7};
    th_program_options o = from(10, 3);
    program_reading r;
    (void)state;
    read_good("G21 F100 G41 D6 G1 X20 Y0\nX40 Z-1 F200\nM0\nG1 Z-2 F50\nG4 P1.5\nS900 M3 M8\n"
              "G0 Z-3\nY30 F300\nG1 X30\nG40\nM2",
              &o, &r);
    assert_move(&r, 1, TH_MOVE_LINE, 37, 3, -1);
    assert_move(&r, 2, TH_MOVE_STOP, 37, 3, -1);
    assert_move(&r, 3, TH_MOVE_LINE, 37, 3, -2);
    assert_move(&r, 4, TH_MOVE_DWELL, 37, 3, -2);
    assert_move(&r, 5, TH_MOVE_RAPID, 37, 3, -3);
    assert_move(&r, 6, TH_MOVE_RAPID, 37, 27, -3);
    assert_move(&r, 7, TH_MOVE_LINE, 30, 27, -3);
    assert_int_equal(r.count, 8);
    assert_joined(&r);
    for (int i = 0; i < 4; i++) {
        assert_int_equal(r.moves[2 + i].line, lines[i]);
    }
    assert_near(r.moves[1].feed, 200, 0, 0);
    assert_near(r.moves[3].feed, 50, 0, 0);
    assert_int_equal(r.moves[4].spindle, 0);
    assert_near(r.moves[4].seconds, 1.5, 0, 0);
    assert_int_equal(r.moves[5].spindle, 1);
    assert_near(r.report.feed_length, 10 + hypot(17, 1) + 1 + 7, 1e-12, 0);
    assert_reading(&r, "(2, the first between lines 2 and 8)");
    program_reading_free(&r);
}

/* All that is held back comes out where compensation or the program ends. */
static void test_ends(void **state) {
    static const char *const ends[] = {"M2", "M30", "%", "", "G40\nM2", "M1\nM2"};
    th_program_options o = from(10, 3);
    (void)state;
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        program_reading r;
        char text[100];
        snprintf(text, sizeof text, "G21 F100 G41 D6 G1 X20 Y0\nX40\nY30\nZ-1\n%s", ends[i]);
        read_good(text, &o, &r);
        assert_int_equal(r.count, i == 5 ? 5 : 4);
        assert_move(&r, 2, TH_MOVE_LINE, 37, 30, 0);
        assert_move(&r, 3, TH_MOVE_LINE, 37, 30, -1);
        assert_int_equal(r.report.moves[TH_MOVE_LINE], 4);
        program_reading_free(&r);
    }
}

/* A corner between a move in a subprogram and one after it; each keeps its line. */
static void test_called(void **state) {
    th_program_options o = from(10, 3);
    program_reading r;
    (void)state;
    read_good("G21 F100 G41 D6 G1 X20 Y0\no1 sub\nX40\nY30\no1 endsub\no1 call\nX0\nG40\nM2", &o,
              &r);
    assert_move(&r, 1, TH_MOVE_LINE, 37, 3, 0);
    assert_move(&r, 2, TH_MOVE_LINE, 37, 27, 0);
    assert_move(&r, 3, TH_MOVE_LINE, 0, 27, 0);
    assert_int_equal(r.moves[2].line, 4);
    assert_int_equal(r.moves[3].line, 7);
    assert_reading(&r, "(2, the first between lines 3 and 4)");
    program_reading_free(&r);
}

/* So many moves along z are held back, no more; outward it does not matter. */
static void test_too_much_between(void **state) {
    th_program_options o = from(10, 3);
    program_reading r;
    char text[300];
    static const char frame[] = "G21 F100 G41 D6 G1 X20 Y0\nX40\no1 repeat [%d]\nG91 Z-0.01\no1 "
                                "endrepeat\nG90 Y%d\nG40\nM2";
    (void)state;
    snprintf(text, sizeof text, frame, 63, 30);
    read_good(text, &o, &r);
    assert_int_equal(r.count, 66);
    assert_move(&r, 1, TH_MOVE_LINE, 37, 3, 0);
    assert_move(&r, 64, TH_MOVE_LINE, 37, 3, -0.63);
    assert_joined(&r);
    program_reading_free(&r);
    snprintf(text, sizeof text, frame, 64, 30);
    read_bad(text, &o, 6, "whose first move, of line 2, is more than 63 moves ago");
    snprintf(text, sizeof text, frame, 200, -30);
    read_good(text, &o, &r);
    assert_int_equal(r.count, 204);
    assert_joined(&r);
    program_reading_free(&r);
}

/* ---- a tool that does not fit ---- */

static void test_slot(void **state) {
    th_program_options o = from(10, 3);
    program_reading r;
    (void)state;
    /* As wide as the tool: up to its end and back, with no move across. */
    read_good("G21 F100 G41 D6 G1 X20 Y0\nX40\nY6\nX0\nG40\nM2", &o, &r);
    assert_move(&r, 1, TH_MOVE_LINE, 37, 3, 0);
    assert_move(&r, 2, TH_MOVE_LINE, 0, 3, 0);
    assert_int_equal(r.count, 3);
    assert_joined(&r);
    program_reading_free(&r);
    /* 5 wide: of the end wall 3 are gone at its beginning, 2 are left, 3 asked. */
    read_bad("G21 F100 G41 D6 G1 X20 Y0\nX40\nY5\nX0\nG40\nM2", &o, 4,
             "of lines 3 and 4, into which a tool of 3 mm radius does not fit: the move of line 3 "
             "is too short, as the corner takes 3 mm off the way of the tool's centre, which has "
             "2 mm there");
    read_bad("G21 F100 G41 D6 G1 X20 Y0\nX40\nY2\nX0\nG40\nM2", &o, 3,
             "of lines 2 and 3, into which a tool of 3 mm radius does not fit: the move of line 3 "
             "is too short, as the corner takes 3 mm off the way of the tool's centre, which has "
             "2 mm there");
    read_bad("G21 F100 G41 D6 G1 X20 Y0\nX22\nY30\nG40\nM2", &o, 3, "the move of line 2 is too");
    /* The way in, 10 long, before a sharp corner: 3 / tan(8.53 deg) = 20.0. */
    read_bad("G21 F100 G41 D6 G1 X20 Y0\nX0 Y3\nG40\nM2", &o, 2, "the move of line 1 is too");
    /* In inches, where the program is. */
    o = from(254, 3);
    read_bad("G20 F10 G41.1 D0.25 G1 X20 Y0\nX22\nY0.1\nM2", &o, 3,
             "a tool of 0.125 in radius does not fit: the move of line 3 is too short, as the "
             "corner takes 0.125 in");
}

/* A wedge of 2 asin(1/4) between two radii of a wall round (0, 0), of which radius 1 just reaches
 * the round end, of radius 5: nothing is left of the arc but what it sinks. */
static void test_wedge(void **state) {
    double turn = asin(0.25), x = 5 * cos(2 * turn), y = 5 * sin(2 * turn);
    (void)state;
    for (int sinks = 0; sinks < 2; sinks++) {
        th_program_options o = from(-1, 1);
        program_reading r;
        char text[200];
        snprintf(text, sizeof text,
                 "G21 F100 G41 D2 G1 X0 Y0\nX5\nG3 X%.12f Y%.12f Z-%d I-5\nG1 X0 Y0\nG40\nM2", x, y,
                 sinks);
        read_good(text, &o, &r);
        assert_move(&r, 1, TH_MOVE_LINE, sqrt(15), 1, 0);
        if (sinks) {
            assert_move(&r, 2, TH_MOVE_LINE, sqrt(15), 1, -1);
        }
        assert_move(&r, 2 + (size_t)sinks, TH_MOVE_LINE, sin(2 * turn), -cos(2 * turn), -sinks);
        assert_int_equal(r.count, 3 + sinks);
        assert_joined(&r);
        program_reading_free(&r);
    }
}

/* The ways do not meet: y = 3 and the circle of radius 1 that a tool of radius 3 runs on inside one
 * of radius 4 about (-4, 0). */
static void test_apart(void **state) {
    th_program_options o = from(-30, 3);
    (void)state;
    read_bad("G21 F100 G41 D6 G1 X-20 Y0\nX0\nG3 X-4 Y4 I-4\nG40\nM2", &o, 3,
             "of lines 2 and 3, into which a tool of 3 mm radius does not fit: the ways of its "
             "centre beside the two moves do not meet there");
    read_bad("G21 F100 G41 D6 G1 X-20 Y0\nX0\nG3 X-4 Y0 R2\nG40\nM2", &o, 3, "inward arc");
    /* Radii that differ by rounding, 0.01 and 0.03, with a tool between the two. */
    read_bad("G21 F100 G41.1 D0.058 G1 X-20 Y0\nX0\nG3 X-0.04 Y0 I-0.01\nG40\nM2", &o, 3,
             "inward arc");
}

static void test_refuse(void **state) {
    th_program_options o = from(10, 3);
    program_reading r;
    (void)state;
    o.inward = TH_INWARD_REFUSE;
    read_bad("G21 F100 G41 D6 G1 X20 Y0\nX40\nY30\nG40\nM2", &o, 3, "inward corner");
    read_bad("G21 F100 G41 D6 G1 X20 Y0\nX40\nG3 X30 Y10 R10\nG40\nM2", &o, 3, "inward corner");
    read_good("G21 F100 G41 D6 G1 X20 Y0\nX40\nY-30\nG40\nM2", &o, &r);
    assert_false(has_reading(&r, "inward"));
    program_reading_free(&r);
    o.inward = (th_inward_reading)7;
    read_bad("M2", &o, 0, "inward corners crossed or refused");
}

/* ---- any contour ---- */

enum { CORNERS = 12 };

typedef struct {
    double x[CORNERS], y[CORNERS];
} contour;

static unsigned draw(unsigned long long *seed, unsigned below) {
    *seed = *seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return (unsigned)(*seed >> 33) % below;
}

/* Places on a grid; no two moves so nearly in line that the corner counts as rounding. */
static void draw_contour(unsigned long long *seed, contour *c) {
    double heading = 0;

    c->x[0] = c->y[0] = 0;
    for (int i = 1; i < CORNERS;) {
        double x = draw(seed, 41), y = draw(seed, 41), next, turn;
        x -= 20;
        y -= 20;
        next = atan2(y - c->y[i - 1], x - c->x[i - 1]);
        turn = fabs(remainder(next - heading, 2 * TH_PI));
        if ((x == c->x[i - 1] && y == c->y[i - 1]) || (i > 1 && turn > 1e-9 && turn < 0.02)) {
            continue;
        }
        heading = next;
        c->x[i] = x;
        c->y[i++] = y;
    }
}

/* The centre of the tool keeps its radius from the line that each move follows, forwards. */
static void check_beside(const program_reading *r, const contour *c, int side, double radius) {
    for (size_t i = 0; i < r->count; i++) {
        const th_move *m = &r->moves[i];
        int k = m->line - 2; /* of the corner it leads to */
        double dx, dy, length;
        if (m->kind != TH_MOVE_LINE || k < 1) {
            continue;
        }
        dx = c->x[k] - c->x[k - 1];
        dy = c->y[k] - c->y[k - 1];
        length = hypot(dx, dy);
        for (int end = 0; end < 2; end++) {
            const double *at = end ? m->to : m->from;
            double off = (dx * (at[1] - c->y[k]) - dy * (at[0] - c->x[k])) / length;
            /* After a way in nearly in line the corner counts as rounding, up to 0.01 rad. */
            assert_near(off, side * radius, 0, k == 1 && !end ? 5e-5 * radius : 1e-8);
        }
        assert_true((m->to[0] - m->from[0]) * dx + (m->to[1] - m->from[1]) * dy > -1e-5);
    }
}

static void write_contour(const contour *c, int side, double radius, char *put) {
    put += sprintf(put, "G21 G90 F100\nG4%d.1 D%g G1 X0 Y0\n", side > 0 ? 1 : 2, 2 * radius);
    for (int i = 1; i < CORNERS; i++) {
        put += sprintf(put, "X%g Y%g\n", c->x[i], c->y[i]);
    }
    strcpy(put, "G40\nM2");
}

/* Random contours: beside every line at the tool's radius; and where the standard takes all
 * corners too the moves are the same. */
static void test_any(void **state) {
    unsigned long long seed = 1;
    int crossed = 0, same = 0;
    (void)state;
    for (int run = 0; run < 20000; run++) {
        th_program_options o = from(-30, draw(&seed, 41));
        double radius = 0.05 * (1 + draw(&seed, 20));
        int side = draw(&seed, 2) ? 1 : -1;
        program_reading a, b;
        char text[600];
        contour c;
        draw_contour(&seed, &c);
        write_contour(&c, side, radius, text);
        read_any(text, &o, &a);
        o.inward = TH_INWARD_REFUSE;
        read_any(text, &o, &b);
        if (a.done) {
            check_beside(&a, &c, side, radius);
            assert_joined(&a);
            crossed += has_reading(&a, "touches both");
        } else {
            assert_non_null(strstr(a.err.message, "does not fit"));
            assert_false(b.done);
        }
        if (b.done) {
            assert_int_equal(a.count, b.count);
            assert_memory_equal(a.moves, b.moves, a.count * sizeof *a.moves);
            same++;
        }
        program_reading_free(&a);
        program_reading_free(&b);
    }
    assert_true(crossed > 5000 && same > 5);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_pocket),       cmocka_unit_test(test_polygons),
        cmocka_unit_test(test_line_and_arc), cmocka_unit_test(test_arc_and_arc),
        cmocka_unit_test(test_turns),        cmocka_unit_test(test_two_crossings),
        cmocka_unit_test(test_arc_used_up),  cmocka_unit_test(test_square_way_in),
        cmocka_unit_test(test_between),      cmocka_unit_test(test_ends),
        cmocka_unit_test(test_called),       cmocka_unit_test(test_too_much_between),
        cmocka_unit_test(test_slot),         cmocka_unit_test(test_wedge),
        cmocka_unit_test(test_apart),        cmocka_unit_test(test_refuse),
        cmocka_unit_test(test_any),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
