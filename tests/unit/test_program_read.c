/* test_program_read.c - programs in RS274/NGC become moves.
 *
 * "The report" is Kramer, Proctor, Messina: The NIST RS274NGC Interpreter - Version 3, NIST IR
 * 6556, 2000. Figures said to be the report's are printed there. */
#include "support/program.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- lines and numbers ---- */

/* The report: blanks may stand anywhere, case does not matter; both lines mean the same. */
static void test_blanks_and_case(void **state) {
    program_reading a, b;
    (void)state;
    read_good("g0x +0. 12 34y 7\nM2", NULL, &a);
    read_good("g0 x+0.1234 y7\nM2", NULL, &b);
    assert_int_equal(a.count, 1);
    assert_int_equal(b.count, 1);
    assert_move(&a, 0, TH_MOVE_RAPID, 0.1234, 7, 0);
    assert_true(a.moves[0].to[0] == 0.1234 && b.moves[0].to[0] == 0.1234);
    program_reading_free(&a);
    program_reading_free(&b);
}

static const struct {
    const char *text;
    double value;
} numbers[] = {
    {"X12.", 12},
    {"X.5", 0.5},
    {"X-.5", -0.5},
    {"X+5", 5},
    {"X-0", 0},
    {"X007.250", 7.25},
    {"x1\t2", 12},
    {"X0.1", 0.1},
    {"X123456.789012345678901234567890", 123456.789012345678901234567890},
    {"X0.0000000000000000000000001", 0},
    {"X2.2250738585072014", 2.2250738585072014},
    {"X-[1+2]", -3},
    {"X- SQRT[4]", -2},
};

static void test_numbers(void **state) {
    program_reading r;
    char text[120];
    (void)state;
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        snprintf(text, sizeof text, "G0 X1000 Y1000\n%s\nM2", numbers[i].text);
        read_good(text, NULL, &r);
        assert_int_equal(r.count, 2);
        assert_near(r.moves[1].to[0], numbers[i].value, 1e-15, 0);
        program_reading_free(&r);
    }
}

static void test_framing(void **state) {
    program_reading r;
    (void)state;
    read_good(
        "%\nO1000 (a part)\n/N10G0X1(no blanks)Y2;rest (of it\n\r\n N20 (MSG, hello) X3\n%\nG99\n",
        NULL, &r);
    assert_int_equal(r.count, 2);
    assert_move(&r, 1, TH_MOVE_RAPID, 3, 2, 0);
    assert_int_equal(r.moves[1].line, 5);
    assert_warned(&r, 6, false, "not read");
    assert_reading(&r, "begin with / are executed");
    assert_int_equal(r.report.lines, 6);
    program_reading_free(&r);

    read_good("\xEF\xBB\xBFG0 X1\r\nX2", NULL, &r);
    assert_int_equal(r.count, 2);
    assert_warned(&r, 2, false, "without M2");
    program_reading_free(&r);

    read_good("", NULL, &r);
    assert_int_equal(r.count, 0);
    program_reading_free(&r);
}

static void test_block_delete(void **state) {
    th_program_options o = starting_at(0, 0, 0);
    program_reading r;
    (void)state;
    o.block_delete = true;
    read_good("G0 X1\n/ X2\n/1 X3 !!\nX4\nM2", &o, &r);
    assert_int_equal(r.count, 2);
    assert_move(&r, 1, TH_MOVE_RAPID, 4, 0, 0);
    assert_reading(&r, "left out");
    program_reading_free(&r);
}

/* The report forbids ( in a comment; programs have it. */
static void test_nested_comments(void **state) {
    program_reading r;
    (void)state;
    read_good("G0 (a (b) c) X1 (d (e) Y2\nM2", NULL, &r);
    assert_move(&r, 0, TH_MOVE_RAPID, 1, 2, 0);
    assert_warned(&r, 1, false, "(a (b) c)");
    program_reading_free(&r);
}

/* ---- modes, units, feeds ---- */

static void test_units(void **state) {
    th_program_options o = starting_at(0, 0, 0);
    program_reading r;
    (void)state;
    read_good("G20 G1 X1 F10\nG21 X1 F300\nG0 Y1\nM2", NULL, &r);
    assert_move(&r, 0, TH_MOVE_LINE, 25.4, 0, 0);
    assert_near(r.moves[0].feed, 254, 1e-12, 0);
    assert_warned(&r, 1, true, "units");
    assert_move(&r, 1, TH_MOVE_LINE, 1, 0, 0);
    assert_near(r.moves[1].feed, 300, 1e-12, 0);
    assert_near(r.moves[2].feed, 0, 0, 0);
    program_reading_free(&r);

    o.feed_before_units = true;
    read_good("G20 G1 X1 F10\nM2", &o, &r);
    assert_near(r.moves[0].feed, 10, 1e-12, 0);
    program_reading_free(&r);

    o.units = TH_INCH;
    read_good("G1 X1 F10\nM2", &o, &r);
    assert_move(&r, 0, TH_MOVE_LINE, 25.4, 0, 0);
    assert_near(r.moves[0].feed, 254, 1e-12, 0);
    assert_warned(&r, 1, false, "inches");
    assert_int_equal(r.report.doubts, 0);
    program_reading_free(&r);
}

static void test_feeds(void **state) {
    program_reading r;
    (void)state;
    /* G93: one over the minutes. 5 mm in half a minute; a half circle of radius 5 likewise. */
    read_good("G21 G93 G1 X3 Y4 F2\nG3 X3 Y14 J5 F2\nG94 F100 G1 X0\nG95 S500 M3 F0.2 X1\nM2", NULL,
              &r);
    assert_near(r.moves[0].feed, 10, 1e-12, 0);
    assert_near(r.moves[1].feed, 2 * TH_PI * 5, 1e-12, 0);
    assert_near(r.moves[2].feed, 100, 1e-12, 0);
    assert_near(r.moves[3].feed, 100, 1e-12, 0);
    assert_near(r.report.feed_seconds, 60 * (0.5 + 0.5 + hypot(3, 0) / 100 + 0.01), 1e-12, 0);
    program_reading_free(&r);
}

static void test_spindle_tool_coolant(void **state) {
    program_reading r;
    (void)state;
    read_good("G21 G0 Z1\nT3 M6\nS8000 M3 M7 M8\nG1 Z0 F100\nM9 M4\nZ1\nM5 M0\nZ2\nM30", NULL, &r);
    assert_int_equal(r.moves[1].kind, TH_MOVE_STOP);
    assert_int_equal(r.moves[1].tool, 3);
    assert_int_equal(r.moves[2].coolant, 3);
    assert_int_equal(r.moves[2].spindle, 1);
    assert_near(r.moves[2].speed, 8000, 0, 0);
    assert_int_equal(r.moves[3].coolant, 0);
    assert_int_equal(r.moves[3].spindle, -1);
    assert_int_equal(r.moves[4].kind, TH_MOVE_STOP);
    assert_int_equal(r.moves[5].spindle, 0);
    assert_near(r.moves[5].speed, 0, 0, 0);
    assert_true(r.report.m_used[6] && r.report.m_used[30] && !r.report.m_used[2]);
    assert_int_equal(r.report.tool_count, 1);
    assert_int_equal(r.report.tools[0], 3);
    program_reading_free(&r);
}

/* Table 8 of the report: whatever the order on the line, units and distance mode come before the
 * motion, the dwell before both, tool and spindle before the dwell, the stop last. */
static void test_order_of_execution(void **state) {
    program_reading r;
    (void)state;
    read_good("G0 X10\nM0 X1 G1 G91 G20 G4 P0.5 M3 M6 T2 S500 F5 M8\nM2", NULL, &r);
    assert_int_equal(r.count, 5);
    assert_int_equal(r.moves[1].kind, TH_MOVE_STOP);
    assert_int_equal(r.moves[1].tool, 2);
    assert_int_equal(r.moves[1].spindle, 0);
    assert_int_equal(r.moves[2].kind, TH_MOVE_DWELL);
    assert_near(r.moves[2].seconds, 0.5, 0, 0);
    assert_int_equal(r.moves[2].spindle, 1);
    assert_int_equal(r.moves[2].coolant, 2);
    assert_move(&r, 3, TH_MOVE_LINE, 10 + 25.4, 0, 0);
    assert_int_equal(r.moves[4].kind, TH_MOVE_STOP);
    program_reading_free(&r);
}

static void test_dwell_reading(void **state) {
    th_program_options o = starting_at(0, 0, 0);
    program_reading r;
    (void)state;
    o.dwell_in_ms = true;
    read_good("G4 P1500\nM2", &o, &r);
    assert_near(r.moves[0].seconds, 1.5, 1e-12, 0);
    assert_near(r.report.dwell_seconds, 1.5, 1e-12, 0);
    assert_reading(&r, "milliseconds");
    program_reading_free(&r);
}

/* Words without an effect here are accepted, and listed where something may depend on them. */
static void test_no_effect(void **state) {
    program_reading r;
    (void)state;
    read_good(
        "G0 G17 G40 G49 G80 G90 G94 G97 G15 G50 G69 G61\nG64 P0.05\nM48\nM49\nM64 P1\nM66 P0 L3 "
        "Q5\nG9 G1 X1 F10 H2\nM60\nM1\nM2",
        NULL, &r);
    assert_warned(&r, 5, false, "M64");
    assert_warned(&r, 6, false, "M66");
    assert_warned(&r, 7, false, "H2");
    assert_reading(&r, "G64 P");
    assert_int_equal(r.report.moves[TH_MOVE_STOP], 2);
    assert_int_equal(r.report.moves[TH_MOVE_LINE], 1);
    assert_int_equal(r.report.doubts, 0);
    program_reading_free(&r);
}

/* ---- arcs ---- */

static void test_report_arcs(void **state) {
    th_program_options o = starting_at(7, 7, 3);
    program_reading r;
    (void)state;
    /* The report, 3.5.3.2: centre (10, 11), radius 5. */
    read_good("G17 G2 x10 y16 i3 j4 z9 F100\nM2", &o, &r);
    assert_int_equal(r.count, 1);
    assert_arc(&r, 0, 10, 11, atan2(5, 0) - atan2(-4, -3) - 2 * TH_PI);
    assert_near(hypot(10 - 7, 11 - 7), 5, 1e-12, 0);
    assert_move(&r, 0, TH_MOVE_ARC, 10, 16, 9);
    program_reading_free(&r);
    /* Table 10 of the report: centre printed as (1.5, 7.8476), clockwise. */
    o = starting_at(3, 1, 0);
    read_good("g2 x0 r7.01 z0.5 F100\nM2", &o, &r);
    assert_near(r.moves[0].centre[0], 1.5, 0, 1e-9);
    assert_near(r.moves[0].centre[1], 7.8476, 0, 5e-5);
    assert_near(r.moves[0].sweep, -2 * asin(1.5 / 7.01), 1e-12, 0);
    program_reading_free(&r);
}

/* A quarter from (10, 0, 0) of the plane to (0, 10), radius 10 about its zero. */
static void test_planes(void **state) {
    static const char *const lines[] = {
        "G17 G0 X10 Y0 Z0\nG3 X0 Y10 Z5 I-10 F100\nM2",
        "G18 G0 Z10 X0 Y0\nG3 Z0 X10 Y5 K-10 F100\nM2",
        "G19 G0 Y10 Z0 X0\nG3 Y0 Z10 X5 J-10 F100\nM2",
    };
    program_reading r;
    (void)state;
    for (int plane = 0; plane < 3; plane++) {
        const th_move *m;
        read_good(lines[plane], NULL, &r);
        m = &r.moves[r.count - 1];
        assert_arc(&r, r.count - 1, 0, 0, TH_PI / 2);
        assert_int_equal(m->axes[2], 2 - plane);
        assert_int_equal((m->axes[0] + 1) % 3, m->axes[1]);
        assert_int_equal((m->axes[1] + 1) % 3, m->axes[2]);
        assert_near(m->to[m->axes[2]], 5, 1e-12, 0);
        /* Helix: quarter of 2 pi 10 and 5 along. */
        assert_near(r.report.feed_length, hypot(TH_PI * 5, 5), 1e-12, 0);
        assert_near(r.report.high[m->axes[0]], 10, 1e-12, 0);
        assert_near(r.report.low[m->axes[0]], 0, 0, 1e-12);
        program_reading_free(&r);
    }
}

/* One arc said four ways. */
static void test_arc_forms(void **state) {
    static const char *const ways[] = {
        "G3 X%.10f Y%.10f I%.10f J%.10f",
        "G91 G3 X%.10f Y%.10f I%.10f J%.10f",
        "G90.1 G3 X%.10f Y%.10f I%.10f J%.10f",
        "G3 X%.10f Y%.10f R%.10f",
    };
    const double start = 0.3, radius = 8, cx = 4, cy = -3;
    (void)state;
    for (double turn = 0.2; turn < 6.2; turn += 0.5) {
        double x0 = cx + radius * cos(start), y0 = cy + radius * sin(start);
        double x1 = cx + radius * cos(start + turn), y1 = cy + radius * sin(start + turn);
        double words[][4] = {{x1, y1, cx - x0, cy - y0},
                             {x1 - x0, y1 - y0, cx - x0, cy - y0},
                             {x1, y1, cx, cy},
                             {x1, y1, turn < TH_PI ? radius : -radius, 0}};
        th_program_options o = starting_at(x0, y0, 0);
        for (int way = 0; way < 4; way++) {
            char line[200], text[260];
            program_reading r;
            snprintf(line, sizeof line, ways[way], words[way][0], words[way][1], words[way][2],
                     words[way][3]);
            snprintf(text, sizeof text, "F100\n%s\nM2", line);
            read_good(text, &o, &r);
            assert_int_equal(r.count, 1);
            assert_near(r.moves[0].centre[0], cx, 0, 1e-6);
            assert_near(r.moves[0].centre[1], cy, 0, 1e-6);
            assert_near(r.moves[0].sweep, turn, 0, 1e-6);
            assert_near(r.report.feed_length, radius * turn, 1e-6, 0);
            program_reading_free(&r);
        }
    }
}

static void test_full_circles(void **state) {
    program_reading r;
    (void)state;
    read_good("G21 F100\nG2 X0 Y0 I5\nG3 I-5\nG2 X0 I0 J-5 P3 Z-3\nG18 G3 X0 Z-3 I2.5\nM2", NULL,
              &r);
    assert_arc(&r, 0, 5, 0, -2 * TH_PI);
    assert_arc(&r, 1, -5, 0, 2 * TH_PI);
    assert_arc(&r, 2, 0, -5, -6 * TH_PI);
    assert_near(r.moves[2].to[2], -3, 0, 0);
    assert_arc(&r, 3, -3, 2.5, 2 * TH_PI);
    assert_near(r.report.low[0], -10, 1e-12, 0);
    assert_near(r.report.high[0], 10, 1e-12, 0);
    assert_near(r.report.low[1], -10, 1e-12, 0);
    assert_near(r.report.low[2], -5.5, 1e-12, 0);
    assert_reading(&r, "turns");
    assert_reading(&r, "whole circles");
    program_reading_free(&r);
}

/* The report refuses radii 0.002 mm apart. What rounding shows is a warning, more an error. */
static void test_arc_radii(void **state) {
    static const struct {
        const char *text;
        bool read, warned;
    } arcs[] = {
        {"G21 G3 X0 Y10.0019 I-10", true, false},
        {"G21 G3 X0 Y10.0021 I-10", true, true},
        {"G21 G3 X0 Y10.028 I-10", true, true},
        {"G21 G3 X0 Y10.029 I-10", false, false},
        {"G20 G3 X0 Y.39390 I-.393700787", true, false},
        {"G20 G3 X0 Y.3965 I-.393700787", true, true},
        {"G20 G3 X0 Y.3966 I-.393700787", false, false},
        {"G21 G3 X-10 Y0 R9.9992", true, false},
        {"G21 G3 X-10 Y0 R9.99", true, true},
        {"G21 G3 X-10 Y0 R9.98", false, false},
    };
    th_program_options o = starting_at(10, 0, 0);
    (void)state;
    for (size_t i = 0; i < sizeof arcs / sizeof *arcs; i++) {
        char text[120];
        program_reading r;
        snprintf(text, sizeof text, "F100\n%s\nM2", arcs[i].text);
        read_any(text, &o, &r);
        assert_int_equal(r.done, arcs[i].read);
        if (r.done) {
            assert_int_equal(r.report.warning_count > 0, arcs[i].warned);
        } else {
            assert_int_equal(r.err.line, 2);
        }
        assert_int_equal(r.report.doubts, 0);
        program_reading_free(&r);
    }
}

/* ---- cycles ---- */

/* The report, 3.5.16.3, example 1. */
static void test_report_g81(void **state) {
    th_program_options o = starting_at(1, 2, 3);
    program_reading r;
    (void)state;
    read_good("F100 G90 G81 G98 X4 Y5 Z1.5 R2.8\nM2", &o, &r);
    assert_int_equal(r.count, 4);
    assert_move(&r, 0, TH_MOVE_RAPID, 4, 5, 3);
    assert_move(&r, 1, TH_MOVE_RAPID, 4, 5, 2.8);
    assert_move(&r, 2, TH_MOVE_LINE, 4, 5, 1.5);
    assert_move(&r, 3, TH_MOVE_RAPID, 4, 5, 3);
    program_reading_free(&r);
}

/* The report, 3.5.16.3, example 2, and Table 10. */
static void test_report_g81_repeated(void **state) {
    th_program_options o = starting_at(1, 2, 3);
    program_reading r;
    (void)state;
    read_good("F100 G91 G81 G98 X4 Y5 Z-0.6 R1.8 L3\nM2", &o, &r);
    assert_int_equal(r.count, 10);
    assert_move(&r, 0, TH_MOVE_RAPID, 1, 2, 4.8);
    for (int i = 0; i < 3; i++) {
        size_t at = 1 + 3 * (size_t)i;
        double x = 5 + 4 * i, y = 7 + 5 * i;
        assert_move(&r, at, TH_MOVE_RAPID, x, y, 4.8);
        assert_move(&r, at + 1, TH_MOVE_LINE, x, y, 4.2);
        assert_move(&r, at + 2, TH_MOVE_RAPID, x, y, 4.8);
    }
    program_reading_free(&r);

    o = starting_at(30, 1, -0.5);
    read_good("F100 g91 g81 x3 y2 z-0.8 r1.5 l2\nM2", &o, &r);
    assert_move(&r, 0, TH_MOVE_RAPID, 30, 1, 1);
    assert_move(&r, 1, TH_MOVE_RAPID, 33, 3, 1);
    assert_move(&r, 2, TH_MOVE_LINE, 33, 3, 0.2);
    assert_move(&r, 4, TH_MOVE_RAPID, 36, 5, 1);
    assert_move(&r, 5, TH_MOVE_LINE, 36, 5, 0.2);
    assert_int_equal(r.count, 7);
    program_reading_free(&r);
}

/* R, Z, P, Q stay from hole to hole; G99 draws back to R, G98 to the height before the cycles. */
static void test_cycle_series(void **state) {
    program_reading r;
    (void)state;
    read_good("G21 G0 Z10\nG99 G82 X1 Y0 Z-2 R1 P0.25 F60\nX2\nG98 X3 Z-3\nG80\nG0 X0\nM2", NULL,
              &r);
    assert_move(&r, 5, TH_MOVE_RAPID, 1, 0, 1);
    assert_int_equal(r.moves[4].kind, TH_MOVE_DWELL);
    assert_move(&r, 6, TH_MOVE_RAPID, 2, 0, 1);
    assert_move(&r, 7, TH_MOVE_LINE, 2, 0, -2);
    assert_move(&r, 11, TH_MOVE_LINE, 3, 0, -3);
    assert_move(&r, 13, TH_MOVE_RAPID, 3, 0, 10);
    assert_near(r.report.dwell_seconds, 0.75, 1e-12, 0);
    assert_near(r.report.feed_length, 3 + 3 + 4, 1e-12, 0);
    program_reading_free(&r);
}

/* The report, 3.5.16.5: Q 2 from R 1 to -4 goes to -1, -3, -4, back each time to R (G83) or by
 * 0.010 in (G73), and down again to 0.010 in above the last depth. */
static void test_pecks(void **state) {
    static const double depths[] = {-1, -3, -4};
    program_reading r;
    (void)state;
    for (int full = 0; full < 2; full++) {
        int seen = 0;
        double fed = 0;
        read_good(full ? "G21 G0 Z5\nG83 X1 Z-4 R1 Q2 F60\nM2"
                       : "G21 G0 Z5\nG73 X1 Z-4 R1 Q2 F60\nM2",
                  NULL, &r);
        for (size_t i = 0; i < r.count; i++) {
            if (r.moves[i].kind == TH_MOVE_LINE) {
                assert_near(r.moves[i].to[2], depths[seen], 0, 1e-12);
                assert_near(r.moves[i].from[2], seen ? depths[seen - 1] + 0.254 : 1, 0, 1e-12);
                assert_near(r.moves[i + 1].to[2],
                            seen == 2 ? 5
                            : full    ? 1
                                      : depths[seen] + 0.254,
                            0, 1e-12);
                fed += fabs(r.moves[i].to[2] - r.moves[i].from[2]);
                seen++;
            }
        }
        assert_int_equal(seen, 3);
        assert_near(fed, 5 + 2 * 0.254, 1e-12, 0);
        assert_near(r.report.feed_length, fed, 1e-12, 0);
        program_reading_free(&r);
    }
}

static void test_boring(void **state) {
    program_reading r;
    (void)state;
    /* G85 out at feed; G89 with a dwell; G86 with the spindle stopped; G88 with a stop by hand. */
    read_good(
        "G21 S100 M3 F60 G0 Z5\nG85 X1 Z-2 R1\nG89 X2 Z-2 R1 P1\nG86 X3 Z-2 R1 P1\nG88 X4 Z-2 R1 "
        "P1\nG84 X5 Z-2 R1\nM2",
        NULL, &r);
    assert_move(&r, 3, TH_MOVE_LINE, 1, 0, -2);
    assert_move(&r, 4, TH_MOVE_LINE, 1, 0, 5);
    assert_int_equal(r.moves[8].kind, TH_MOVE_DWELL);
    assert_move(&r, 9, TH_MOVE_LINE, 2, 0, 5);
    assert_int_equal(r.moves[13].kind, TH_MOVE_DWELL);
    assert_move(&r, 14, TH_MOVE_RAPID, 3, 0, 5);
    assert_int_equal(r.moves[14].spindle, 0);
    assert_int_equal(r.moves[17].spindle, 1);
    assert_int_equal(r.moves[19].kind, TH_MOVE_STOP);
    assert_int_equal(r.moves[20].spindle, 0);
    /* Tapping: in clockwise, out to R counterclockwise. */
    assert_move(&r, 23, TH_MOVE_LINE, 5, 0, -2);
    assert_int_equal(r.moves[23].spindle, 1);
    assert_move(&r, 24, TH_MOVE_LINE, 5, 0, 1);
    assert_int_equal(r.moves[24].spindle, -1);
    assert_int_equal(r.moves[25].spindle, 1);
    assert_int_equal(r.count, 26);
    program_reading_free(&r);
}

/* The report, 3.5.16.9: in aside and still, up to K turning, out aside. */
static void test_back_boring(void **state) {
    static const double heights[] = {5, 5, -9, -9, -6, -9, -9, 5, 5};
    static const double xs[] = {0, 8, 8, 10, 10, 10, 8, 8, 10};
    program_reading r;
    size_t at = 0;
    (void)state;
    read_good("G21 S100 M3 F60 G0 Z5\nG87 X10 Z-9 R5 I-2 J0 K-6\nM2", NULL, &r);
    for (size_t i = 0; i < r.count; i++) {
        const th_move *m = &r.moves[i];
        if (i == 1) { /* over the hole */
            assert_move(&r, 1, TH_MOVE_RAPID, 10, 0, 5);
            continue;
        }
        assert_near(m->to[0], xs[at], 0, 1e-12);
        assert_near(m->to[2], heights[at], 0, 1e-12);
        at++;
    }
    assert_int_equal(at, 9);
    assert_int_equal(r.moves[3].spindle, 0);
    assert_int_equal(r.moves[5].spindle, 1);
    assert_int_equal(r.moves[7].spindle, 0);
    assert_near(r.report.feed_length, 6, 1e-12, 0);
    program_reading_free(&r);
}

static void test_cycle_planes(void **state) {
    program_reading r;
    (void)state;
    read_good("G21 F60 G18\nG0 Y5\nG81 X1 Z2 Y-3 R1\nM2", NULL, &r);
    assert_move(&r, 1, TH_MOVE_RAPID, 1, 5, 2);
    assert_move(&r, 2, TH_MOVE_RAPID, 1, 1, 2);
    assert_move(&r, 3, TH_MOVE_LINE, 1, -3, 2);
    assert_move(&r, 4, TH_MOVE_RAPID, 1, 5, 2);
    program_reading_free(&r);
}

/* ---- zeros ---- */

static void test_systems(void **state) {
    program_reading r;
    (void)state;
    /* G55 lies 100, 50 from G54 by what the program itself says of both. */
    read_good(
        "G21 G10 L2 P1 X10 Y20 Z0\nG10 L2 P2 X110 Y70 Z-5\nG54 G0 X1 Y1 Z1\nG55 X1 Y1 Z1\nG54 X1 "
        "Y1 Z1\nG10 L2 P0 X11\nX1\nM2",
        NULL, &r);
    assert_move(&r, 0, TH_MOVE_RAPID, 1, 1, 1);
    assert_move(&r, 1, TH_MOVE_RAPID, 101, 51, -4);
    assert_move(&r, 2, TH_MOVE_RAPID, 1, 1, 1);
    assert_move(&r, 3, TH_MOVE_RAPID, 2, 1, 1);
    program_reading_free(&r);
    /* The first system in use is that of the moves, whichever it is. */
    read_good("G21 G59.3 G0 X1\nX2\nM2", NULL, &r);
    assert_move(&r, 1, TH_MOVE_RAPID, 2, 0, 0);
    assert_null(r.report.zero_of);
    program_reading_free(&r);
}

/* The zero is that of the system called first, in whichever the program moves first. */
static void test_system_called_first(void **state) {
    static const char *const heads[] = {"G21 G54\nG10 L2 P1 X5 Y0 Z0\nG10 L2 P2 X5 Y20 Z0\n",
                                        "G21\nG10 L2 P1 X5 Y0 Z0\nG10 L2 P2 X5 Y20 Z0\nG54\nG55\n"};
    program_reading r;
    char text[200];
    (void)state;

    for (int i = 0; i < 2; i++) {
        for (int other = 0; other < 2; other++) { /* both orders of the same moves */
            snprintf(text, sizeof text, "%s%s G0 X1 Y1 Z1\n%s X1 Y1 Z1\nM2", heads[i],
                     other ? "G55" : "G54", other ? "G54" : "G55");
            read_good(text, NULL, &r);
            assert_move(&r, other ? 1 : 0, TH_MOVE_RAPID, 1, 1, 1);
            assert_move(&r, other ? 0 : 1, TH_MOVE_RAPID, 1, 21, 1);
            assert_string_equal(r.report.zero_of, "G54");
            program_reading_free(&r);
        }
    }
    read_good("G21 G55\nG10 L2 P1 X0 Y0 Z0\nG10 L2 P2 X9 Y0 Z0\nG54 G0 X1 Y1 Z1\nM2", NULL, &r);
    assert_move(&r, 0, TH_MOVE_RAPID, -8, 1, 1);
    assert_string_equal(r.report.zero_of, "G55");
    program_reading_free(&r);
    /* Nothing relates the two: the one that it moves in is the only one that matters. */
    read_good("G21 G54\nG55 G0 X1 Y1 Z1\nM2", NULL, &r);
    assert_move(&r, 0, TH_MOVE_RAPID, 1, 1, 1);
    assert_string_equal(r.report.zero_of, "G55");
    program_reading_free(&r);
}

static void test_systems_by_options(void **state) {
    th_program_options o = starting_at(0, 0, 0);
    program_reading r;
    (void)state;
    o.systems[0][0] = o.systems[0][1] = o.systems[0][2] = 0;
    o.systems[3][0] = 40;
    o.systems[3][1] = -5;
    o.systems[3][2] = 0;
    for (int a = 0; a < 3; a++) {
        o.machine_zero[a] = 200 + a;
    }
    read_good("G21 G57 G0 X1 Y1\nG53 X-1 Y-2 Z-3\nG53 G1 X0 F100\nM2", &o, &r);
    assert_move(&r, 0, TH_MOVE_RAPID, 41, -4, 0);
    assert_move(&r, 1, TH_MOVE_RAPID, 199, 199, 199);
    assert_move(&r, 2, TH_MOVE_LINE, 200, 199, 199);
    program_reading_free(&r);
}

static void test_set_by_position(void **state) {
    th_program_options o = th_program_defaults();
    program_reading r;
    (void)state;
    read_good(
        "G21 G0 X10 Y20 Z3\nG10 L20 P0 X0 Y5\nX1 Y6\nG92 X0 Z1\nX1 Z2\nG92.2\nX3\nG92.3\nX3\nG92.1 "
        "\nX5\nM2",
        NULL, &r);
    assert_move(&r, 1, TH_MOVE_RAPID, 11, 21, 3);
    assert_move(&r, 2, TH_MOVE_RAPID, 12, 21, 4);
    assert_move(&r, 3, TH_MOVE_RAPID, 13, 21, 4);
    assert_move(&r, 4, TH_MOVE_RAPID, 14, 21, 4);
    assert_move(&r, 5, TH_MOVE_RAPID, 15, 21, 4);
    program_reading_free(&r);
    /* At the start, where nobody knows the place, either of them declares the zero of the work. */
    read_good("G21 G92 X0 Y0 Z10\nG0 X5\nG1 Z-1 F100\nM2", &o, &r);
    assert_move(&r, 0, TH_MOVE_RAPID, 5, 0, 10);
    assert_move(&r, 1, TH_MOVE_LINE, 5, 0, -1);
    assert_reading(&r, "zero of the work");
    program_reading_free(&r);
    read_good("G21 G10 L20 P1 X0 Y0 Z10\nG0 X5\nM2", &o, &r);
    assert_move(&r, 0, TH_MOVE_RAPID, 5, 0, 10);
    program_reading_free(&r);
    read_bad("G92 X0\nG0 X1\nG92.1\nX2\nM2", &o, 4, "not known");
}

static void test_home(void **state) {
    th_program_options o = starting_at(0, 0, 0);
    program_reading r;
    (void)state;
    for (int a = 0; a < 3; a++) {
        o.home[0][a] = 100 + a;
        o.home[1][a] = -100 - a;
    }
    read_good("G21 G0 X1 Y1\nG91 G28 Z5\nG30\nG90 G28 X2 Y2 Z2\nM2", &o, &r);
    assert_move(&r, 1, TH_MOVE_RAPID, 1, 1, 5);
    assert_move(&r, 2, TH_MOVE_RAPID, 1, 1, 102);
    assert_move(&r, 3, TH_MOVE_RAPID, -100, -101, -102);
    assert_move(&r, 4, TH_MOVE_RAPID, 2, 2, 2);
    assert_move(&r, 5, TH_MOVE_RAPID, 100, 101, 102);
    assert_reading(&r, "axes that they name");
    program_reading_free(&r);
    o.start[2] = NAN; /* up from nobody knows where */
    read_good("G21 G0 G91 G28 Z0\nG90 Z50\nM2", &o, &r);
    assert_int_equal(r.count, 1);
    assert_move(&r, 0, TH_MOVE_RAPID, 0, 0, 50);
    assert_near(r.moves[0].from[2], 102, 0, 0);
    program_reading_free(&r);
    /* Where they lead is not known: the tool is out of sight until it is sent somewhere. */
    read_good("G21 G0 X1 Y1 Z5\nG91 G28 Z0\nG28 X0 Y0\nG90 X9 Y9\nZ4\nG1 Z3 F100\nG53 G0 Z0\nM2",
              NULL, &r);
    assert_int_equal(r.count, 2);
    assert_move(&r, 1, TH_MOVE_LINE, 9, 9, 3);
    assert_near(r.moves[1].from[2], 4, 0, 0);
    assert_warned(&r, 2, false, "not known");
    assert_warned(&r, 7, false, "not known");
    assert_int_equal(r.report.doubts, 0);
    program_reading_free(&r);
    read_good("G21 G0 X1 Y1 Z5\nG28 X1\nM2", NULL, &r);
    assert_warned(&r, 2, true, "sideways");
    program_reading_free(&r);
}

static void test_unknown_start(void **state) {
    th_program_options o = th_program_defaults();
    program_reading r;
    (void)state;
    /* Out of sight a stop and a dwell are counted. */
    read_good("G21 M0\nG4 P2\nG0 X1 Y1 Z1\nM2", &o, &r);
    assert_int_equal(r.count, 0);
    assert_int_equal(r.report.moves[TH_MOVE_STOP], 1);
    assert_near(r.report.dwell_seconds, 2, 0, 0);
    program_reading_free(&r);
    /* G10 L20 makes the place of the tool known in the system that it sets, no other. */
    read_good("G21 G10 L20 P2 X1 Y1 Z1\nG55 G0 X2\nM2", &o, &r);
    assert_int_equal(r.count, 1);
    assert_near(r.moves[0].from[0], 1, 0, 0);
    assert_move(&r, 0, TH_MOVE_RAPID, 2, 1, 1);
    program_reading_free(&r);
    read_bad("G10 L20 P2 X1\nG54 G0 X1", &o, 2, "zero of G54");
    read_bad("G0 X1\nG10 L20 P2 X1 Y1\nG55 X1\nY1", &o, 4, "zero of G55 lies along Y");
    read_good("G21 G0 Z5\nX1 Y1\nZ1\nG1 X2 F100\nM2", &o, &r);
    assert_int_equal(r.count, 2);
    assert_move(&r, 0, TH_MOVE_RAPID, 1, 1, 1);
    assert_near(r.moves[0].from[2], 5, 0, 0);
    assert_int_equal(r.report.doubts, 0);
    program_reading_free(&r);
    read_good("G21 G0 X1 Y1\nG1 Z-1 F100\nX5\nM2", &o, &r);
    assert_warned(&r, 2, true, "not known");
    assert_move(&r, 0, TH_MOVE_LINE, 5, 1, -1);
    program_reading_free(&r);
    read_bad("G91 G0 X1\n", &o, 1, "G91");
    read_bad("G0 X1 Y1\nG2 X2 I1 F10", &o, 2, "not known");
    read_bad("G0 X1 Y1\nG81 X2 Z-1 R1 F10", &o, 2, "not known");
}

static void test_tool_length(void **state) {
    static const th_program_tool tools[] = {{1, 50, 6}, {2, 60, 3}, {3, NAN, NAN}};
    th_program_options o = starting_at(0, 0, 10);
    program_reading r;
    (void)state;
    o.tools = tools;
    o.tool_count = 3;
    read_good("G21 T1 M6\nG43 H1 G0 Z5\nG1 Z-1 F100\nG0 Z5\nG49\nM2", &o, &r);
    assert_move(&r, 2, TH_MOVE_LINE, 0, 0, -1);
    assert_int_equal(r.report.doubts, 0);
    program_reading_free(&r);
    /* The offset of a tool 10 mm longer: the spindle stands 10 mm too high, so does the tip. */
    read_good("G21 T1 M6\nG43 H2 G0 Z5\nM2", &o, &r);
    assert_move(&r, 1, TH_MOVE_RAPID, 0, 0, 15);
    assert_warned(&r, 2, true, "10 mm");
    program_reading_free(&r);
    read_bad("T1 M6\nG43 H3 G0 Z5\n", &o, 2, "lengths");
    read_bad("T1 M6\nG43 H1 G0 Z5\nT2 M6\nG1 Z0 F100", &o, 4, "G43 H2");
    read_good("G21 T1 M6\nG43 G0 Z5\nG49\nG1 Z0 F100\nM2", &o, &r);
    assert_warned(&r, 4, true, "G49");
    program_reading_free(&r);
}

/* ---- cutter compensation ---- */

static const th_program_tool unit_tool[] = {{1, NAN, 1}, {6, NAN, 6}};

static th_program_options with_tools(double x, double y) {
    th_program_options o = starting_at(x, y, 0);

    o.tools = unit_tool;
    o.tool_count = 2;
    return o;
}

/* Table 12 of the report, tool of diameter 1: from (1.5, 4) round the triangle with rounded
 * corners. The way to (1.5, 4), by a straight entry here and without one below, is ours. */
static const char report_contour[] =
    "G2 X3 Y2 J-1\nG1 Y-1\nG2 X2 Y-2 I-1\nG1 X-2\nG2 X-2.6 Y-0.2 J1\n"
    "G1 X1.4 Y2.8\nG2 X2 Y3 I0.6 J-0.8\nG40\nM2";

static void check_report_contour(const program_reading *r, size_t at) {
    assert_move(r, at, TH_MOVE_ARC, 2, 3.5, 0);
    assert_near(r->moves[at].from[0], 1.5, 0, 1e-9);
    assert_near(r->moves[at].from[1], 4, 0, 1e-9);
    assert_arc(r, at, 2, 4, TH_PI / 2);
    assert_move(r, at + 1, TH_MOVE_ARC, 3.5, 2, 0);
    assert_arc(r, at + 1, 2, 2, -TH_PI / 2);
    assert_move(r, at + 2, TH_MOVE_LINE, 3.5, -1, 0);
    assert_move(r, at + 3, TH_MOVE_ARC, 2, -2.5, 0);
    assert_arc(r, at + 3, 2, -1, -TH_PI / 2);
    assert_move(r, at + 4, TH_MOVE_LINE, -2, -2.5, 0);
    assert_move(r, at + 5, TH_MOVE_ARC, -2.9, 0.2, 0);
    assert_move(r, at + 6, TH_MOVE_LINE, 1.1, 3.2, 0);
    assert_move(r, at + 7, TH_MOVE_ARC, 2, 3.5, 0);
    assert_int_equal(r->count, at + 8);
}

static void test_report_compensation(void **state) {
    th_program_options o = with_tools(1.5, 6);
    program_reading r;
    char text[400];
    (void)state;
    snprintf(text, sizeof text, "T1 M6 F100\nG41 G1 X1 Y4\nG3 X2 Y3 I1\n%s", report_contour);
    read_good(text, &o, &r);
    assert_move(&r, 1, TH_MOVE_LINE, 1.5, 4, 0);
    check_report_contour(&r, 2);
    program_reading_free(&r);
    /* The entry on the arc itself. */
    o = with_tools(1.5, 4);
    snprintf(text, sizeof text, "G21 F100 G41 D1\nG3 X2 Y3 I0.5\n%s", report_contour);
    read_good(text, &o, &r);
    check_report_contour(&r, 0);
    program_reading_free(&r);
    snprintf(text, sizeof text, "G21 F100 G41.1 D1\nG3 X2 Y3 R1\n%s", report_contour);
    read_good(text, &o, &r);
    check_report_contour(&r, 0);
    program_reading_free(&r);
}

/* The report's first example: a triangle, tool of diameter 1 on the left. The entry ends where the
 * line from the start touches the tool's circle about (2, 2); each corner gets an arc. */
static void test_report_triangle(void **state) {
    th_program_options o = with_tools(2.5, 6);
    program_reading r;
    (void)state;
    read_good("G21 F100 G41 D1 G1 X2 Y2\nY-1\nX-2\nX2 Y2\nG40\nG1 X9 Y9\nM2", &o, &r);
    assert_move(&r, 0, TH_MOVE_LINE, 2.5, 2, 0);
    assert_move(&r, 1, TH_MOVE_LINE, 2.5, -1, 0);
    assert_move(&r, 2, TH_MOVE_ARC, 2, -1.5, 0);
    assert_arc(&r, 2, 2, -1, -TH_PI / 2);
    assert_move(&r, 3, TH_MOVE_LINE, -2, -1.5, 0);
    assert_move(&r, 4, TH_MOVE_ARC, -2.3, -0.6, 0); /* normal (-3, 4)/5 times 0.5 */
    assert_move(&r, 5, TH_MOVE_LINE, 1.7, 2.4, 0);
    assert_move(&r, 6, TH_MOVE_LINE, 9, 9, 0);
    assert_int_equal(r.count, 7);
    program_reading_free(&r);
}

/* The entry keeps the tool tangent: its end is a radius from the point, square to the way there. */
static void test_entry(void **state) {
    (void)state;
    for (double angle = 0; angle < 6.3; angle += 0.7) {
        double x = 10 * cos(angle), y = 10 * sin(angle);
        th_program_options o = with_tools(x, y);
        for (int side = 1; side >= -1; side -= 2) {
            program_reading r;
            const double *d;
            read_good(side > 0 ? "G21 F100 G41 D6 G1 X0 Y0\nM2" : "G21 F100 G42 D6 G1 X0 Y0\nM2",
                      &o, &r);
            d = r.moves[0].to;
            assert_near(hypot(d[0], d[1]), 3, 1e-12, 0);
            assert_near(d[0] * (x - d[0]) + d[1] * (y - d[1]), 0, 0, 1e-9);
            /* On its side of the way from start to point. */
            assert_true(side * (-x * d[1] + y * d[0]) > 0);
            program_reading_free(&r);
        }
    }
}

/* Inside a rectangle of 40 by 20 with corners of radius 5, tool of radius 3: corners of radius 2
 * and the same sides, after a quarter of radius 2 to enter. */
static void test_compensated_length(void **state) {
    th_program_options o = with_tools(18, 5);
    program_reading r;
    (void)state;
    read_good("G21 F100 G41 D6\nG3 X20 Y0 I2\nG1 X35\nG3 X40 Y5 J5\nG1 Y15\nG3 X35 Y20 I-5\nG1 X5\n"
              "G3 X0 Y15 J-5\nG1 Y5\nG3 X5 Y0 I5\nG1 X20\nG40\nM2",
              &o, &r);
    assert_near(r.report.feed_length, TH_PI + 4 * TH_PI + 80, 1e-12, 0);
    assert_near(r.report.high[0], 37, 1e-12, 0);
    assert_near(r.report.low[0], 3, 1e-12, 0);
    assert_near(r.report.high[1], 17, 1e-12, 0);
    program_reading_free(&r);
}

static void test_compensated_circle(void **state) {
    th_program_options o = with_tools(4, 0);
    program_reading r;
    (void)state;
    read_good("G21 F100 G41 D6\nG3 X10 Y0 R4.5\nG3 X10 Y0 I-10\nG40\nM2", &o, &r);
    assert_arc(&r, 0, 5.5, 0, TH_PI);
    assert_arc(&r, 1, 0, 0, 2 * TH_PI);
    assert_move(&r, 1, TH_MOVE_ARC, 7, 0, 0);
    assert_int_equal(r.count, 2);
    program_reading_free(&r);
    /* A way in that is off by less than the report's slack of 0.01 rad, outward or inward, still
     * gives a whole turn. */
    o = with_tools(7, -20);
    for (int side = 0; side < 2; side++) {
        read_good(side ? "G21 F100 G41 D6 G1 X10.02 Y-5\nX10 Y0\nG3 X10 Y0 I-10\nG40\nM2"
                       : "G21 F100 G41 D6 G1 X9.98 Y-5\nX10 Y0\nG3 X10 Y0 I-10\nG40\nM2",
                  &o, &r);
        assert_near(r.moves[r.count - 1].sweep, 2 * TH_PI, 1e-9, 0);
        assert_move(&r, r.count - 1, TH_MOVE_ARC, 7, 0, 0);
        assert_int_equal(r.moves[r.count - 2].kind, side ? TH_MOVE_ARC : TH_MOVE_LINE);
        program_reading_free(&r);
    }
}

static void test_compensation_corners(void **state) {
    th_program_options o = with_tools(-20, 0);
    program_reading r;
    (void)state;
    /* Depth between contour moves leaves the centre where it is; rapids cut no corner arc. */
    read_good("G21 F100 G42 D6 G1 X0 Y0\nX10\nZ-1\nY10\nG0 X0\nG40\nM2", &o, &r);
    assert_move(&r, 2, TH_MOVE_LINE, 10, -3, 0);
    assert_move(&r, 3, TH_MOVE_LINE, 10, -3, -1);
    assert_arc(&r, 4, 10, 0, TH_PI / 2);
    assert_move(&r, 5, TH_MOVE_LINE, 13, 10, -1);
    assert_move(&r, 6, TH_MOVE_RAPID, 0, 13, -1);
    program_reading_free(&r);
    read_good("F100 G41 D6 G1 X0 Y0\nX10\nX-10\nY-10\nG40\nM2", &o, &r);
    assert_move(&r, 4, TH_MOVE_LINE, -7, -3, 0);
    program_reading_free(&r);
    o.inward = TH_INWARD_REFUSE; /* as the report asks */
    read_bad("F100 G41 D6 G1 X0 Y0\nX10\nX-10\nY-10\nG40\nM2", &o, 4, "inward corner");
    o.inward = TH_INWARD_CROSS;
    read_bad("F100 G41 D6 G1 X0 Y0\nX1\nG3 X3 Y2 R2\nM2", &o, 3, "inward arc");
    read_bad("F100 G41 D6 G1 X-18 Y0", &o, 1, "begins");
    read_bad("F100 G41 D6\nG3 X-18 Y0 R1", &o, 2, "begins");
    read_bad("F100 G41 D6\nG3 X0 Y0 I10", &o, 2, "begins");
    read_bad("F100 G41 D6\nG3 X20 Y0 R12", &o, 2, "begins");
    o.start[0] = NAN;
    read_bad("F100 G41 D6\nG1 X20 Y0", &o, 2, "not known");
}

/* ---- bounds ---- */

static void test_large(void **state) {
    enum { LINES = 300000 };
    char *text = malloc(24 * LINES), *put = text;
    program_reading *r = malloc(sizeof *r);
    (void)state;
    assert_non_null(text);
    assert_non_null(r);
    put += sprintf(put, "G21 G1 F600\n");
    for (int i = 0; i < LINES; i++) {
        put += sprintf(put, "X%d.%03d Y%d\n", i % 97, i % 1000, i % 89);
    }
    sprintf(put, "M2\n");
    read_good(text, NULL, r);
    assert_int_equal(r->report.lines, LINES + 2);
    assert_true(r->count > LINES - 10 && r->count <= LINES);
    program_reading_free(r);
    free(r);
    free(text);
}

static bool refuse(void *context, const th_move *move, th_error *err) {
    int *left = context;

    (void)move;
    return --*left > 0 || th_fail(err, TH_NOT_SOLVED, "enough");
}

static void test_sink_stops(void **state) {
    const char text[] = "G0 X1\nX2\nX3\n";
    th_program_options o = starting_at(0, 0, 0);
    th_program_report report;
    th_error err;
    int left = 2;
    (void)state;
    assert_false(th_program_read(text, sizeof text - 1, &o, refuse, &left, &report, &err));
    assert_int_equal(err.line, 2);
    assert_string_equal(err.message, "enough");
    assert_int_equal(report.moves[TH_MOVE_RAPID], 2);
    th_program_report_free(&report);
    left = 1;
    assert_false(th_program_read(text, sizeof text - 1, &o, refuse, &left, &report, NULL));
    th_program_report_free(&report);
    th_program_report_free(NULL);
}

/* Of one kind so many warnings are kept; the others are counted, their doubt too. */
static void test_warnings_bounded(void **state) {
    program_reading r;
    char text[2000] = "", *put = text;
    (void)state;
    for (int i = 0; i < 60; i++) {
        put += sprintf(put, "G0 X#%d\n", 100 + i);
    }
    sprintf(put, "M2");
    read_good(text, NULL, &r);
    assert_int_equal(r.report.warning_count, TH_PROGRAM_WARNINGS_MAX + 1); /* and no G21 */
    assert_int_equal(r.report.left_off, 40);
    assert_int_equal(r.report.doubts, 60);
    program_reading_free(&r);
}

/* NIST IR 6556, 3.6.3: a tool change stops the spindle; M3 on its line turns it on again. */
static void test_change_stops(void **state) {
    program_reading r;
    (void)state;

    read_good("G21 G90 S900 M3 F10\nG1 X1\nT2 M6\nG1 X2\nT3 M6 M3\nG1 X3\nM2", NULL, &r);
    for (size_t i = 0, cuts = 0; i < r.count; i++) {
        if (r.moves[i].kind == TH_MOVE_LINE) {
            assert_int_equal(r.moves[i].spindle, cuts == 1 ? 0 : 1);
            cuts++;
        }
    }
    assert_reading(&r, "M6 stops the spindle");
    assert_warned(&r, 4, false, "by M6 in line 3: M3 belongs after M6");
    assert_int_equal(r.report.warning_count, 1);
    program_reading_free(&r);
}

/* A T word ahead of its M6 is usual; one that no M6 follows may have lost it where feeds come. */
static void test_tool_waits(void **state) {
    program_reading r;
    (void)state;

    read_good("G21 G90 T1 M6 S900 M3 F10\nG1 X1\nT2\nG1 X2\nM2", NULL, &r);
    assert_warned(&r, 5, false, "T2 in line 3 is never put into the spindle");
    assert_warned(&r, 5, false, "those of the tool before");
    program_reading_free(&r);
    read_good("G21 G90 T2 S900 M3 F10\nG1 X1\nM2", NULL, &r);
    assert_warned(&r, 3, false, "T2 in line 1 is never put into the spindle");
    assert_warned(&r, 3, false, "what is in the spindle at the start");
    program_reading_free(&r);
    read_good("G21 G90 T1 M6 S900 M3 F10\nG1 X1\nT2\nG1 X2\nM6 M3\nG1 X3\nT1\nM2", NULL, &r);
    assert_int_equal(r.report.warning_count, 0); /* the first tool again, for the next part */
    program_reading_free(&r);
}

/* A cycle's own words may be the first place that is known, all but the height. */
static void test_cycle_first(void **state) {
    th_program_options o = th_program_defaults();
    program_reading r;
    (void)state;

    for (int a = 0; a < 3; a++) {
        o.start[a] = NAN;
    }
    read_good("G21 G90 G17\nG0 Z5\nG98 G81 X7 Y6 Z-2.5 R1 F150\nX9\nG80\nM2\n", &o, &r);
    assert_move(&r, 0, TH_MOVE_RAPID, 7, 6, 1);
    assert_move(&r, 1, TH_MOVE_LINE, 7, 6, -2.5);
    assert_move(&r, 2, TH_MOVE_RAPID, 7, 6, 5);
    assert_move(&r, 3, TH_MOVE_RAPID, 9, 6, 5);
    program_reading_free(&r);
    read_bad("G21 G90 G17\nG0 Z5\nG81 X7 Z-2.5 R1 F150", &o, 3, "a place that is not known");
    read_bad("G21 G90 G17\nG0 Z5\nG91 G81 X7 Y6 Z-2.5 R1 F150", &o, 3, "not known");
    read_bad("G21 G90 G17\nG81 X7 Y6 Z-2.5 R1 F150", &o, 2, "not known");
}

/* Lengths in what is said of a program are in its own unit, a machine's setting in both. */
static void test_units_of_texts(void **state) {
    program_reading r;
    (void)state;

    read_good("G20 G90 F10\nG99 G83 X1 Y1 Z-0.5 R0.1 Q0.1\n", NULL, &r);
    assert_reading(&r, "0.010 in (0.254 mm) of the last depth");
    program_reading_free(&r);
    read_good("G21 G90 F100\nG99 G83 X1 Y1 Z-5 R1 Q1\n", NULL, &r);
    assert_reading(&r, "0.010 in (0.254 mm) of the last depth");
    program_reading_free(&r);
    read_good("G20 G90 G17 F10\nG0 X0 Y0\nG2 X1.0005 Y0 I0.5 J0\n", NULL, &r);
    assert_warned(&r, 3, false, "0.50000 in against");
    program_reading_free(&r);
    read_bad("G20 F10\nG0 X0 Y0\nG2 X1 Y0.5 I0.5 J0\n", NULL, 3, " in apart is no rounding");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_blanks_and_case),
        cmocka_unit_test(test_numbers),
        cmocka_unit_test(test_framing),
        cmocka_unit_test(test_block_delete),
        cmocka_unit_test(test_nested_comments),
        cmocka_unit_test(test_units),
        cmocka_unit_test(test_feeds),
        cmocka_unit_test(test_spindle_tool_coolant),
        cmocka_unit_test(test_order_of_execution),
        cmocka_unit_test(test_dwell_reading),
        cmocka_unit_test(test_no_effect),
        cmocka_unit_test(test_report_arcs),
        cmocka_unit_test(test_planes),
        cmocka_unit_test(test_arc_forms),
        cmocka_unit_test(test_full_circles),
        cmocka_unit_test(test_arc_radii),
        cmocka_unit_test(test_report_g81),
        cmocka_unit_test(test_report_g81_repeated),
        cmocka_unit_test(test_cycle_series),
        cmocka_unit_test(test_pecks),
        cmocka_unit_test(test_boring),
        cmocka_unit_test(test_back_boring),
        cmocka_unit_test(test_cycle_planes),
        cmocka_unit_test(test_systems),
        cmocka_unit_test(test_system_called_first),
        cmocka_unit_test(test_systems_by_options),
        cmocka_unit_test(test_set_by_position),
        cmocka_unit_test(test_home),
        cmocka_unit_test(test_unknown_start),
        cmocka_unit_test(test_tool_length),
        cmocka_unit_test(test_report_compensation),
        cmocka_unit_test(test_report_triangle),
        cmocka_unit_test(test_entry),
        cmocka_unit_test(test_compensated_length),
        cmocka_unit_test(test_compensated_circle),
        cmocka_unit_test(test_compensation_corners),
        cmocka_unit_test(test_large),
        cmocka_unit_test(test_sink_stops),
        cmocka_unit_test(test_warnings_bounded),
        cmocka_unit_test(test_units_of_texts),
        cmocka_unit_test(test_cycle_first),
        cmocka_unit_test(test_change_stops),
        cmocka_unit_test(test_tool_waits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
