/* test_program_flow.c - expressions, parameters, subprograms, conditions, loops of a program.
 *
 * "The report" is NIST IR 6556 (Kramer, Proctor, Messina 2000). */
#include "support/program.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- expressions ---- */

/* The report's program of expressions (appendix C.2): each line and the X that its comment
 * promises. `round` and the signs of FIX and FUP are printed so. */
static const struct {
    const char *words;
    double x, slack;
} expressions[] = {
    {"x [1 + 2]", 3, 0},
    {"x [1 - 2]", -1, 0},
    {"x [1 --3]", 4, 0},
    {"x [2/5]", 0.40, 0},
    {"x [3.0 * 5]", 15, 0},
    {"x [0 OR 0]", 0, 0},
    {"x [0 OR 1]", 1, 0},
    {"x [2 or 2]", 1, 0},
    {"x [0 AND 0]", 0, 0},
    {"x [0 AND 1]", 0, 0},
    {"x [2 and 2]", 1, 0},
    {"x [0 XOR 0]", 0, 0},
    {"x [0 XOR 1]", 1, 0},
    {"x [2 xor 2]", 0, 0},
    {"x [15 MOD 4.0]", 3, 0},
    {"x [1 + 2 * 3 - 4 / 5]", 6.2, 0},
    {"x sin[30]", 0.5, 0},
    {"x cos[0.0]", 1.0, 0},
    {"x tan[60.0]", 1.7321, 5e-5},
    {"x sqrt[3]", 1.7321, 5e-5},
    {"x atan[1.7321]/[1.0]", 60.0, 1e-3},
    {"x asin[1.0]", 90.0, 0},
    {"x acos[0.707107]", 45.0, 5e-5},
    {"x abs[20.0]", 20, 0},
    {"x abs[-1.23]", 1.23, 0},
    {"x round[-0.499]", 0, 0},
    {"x round[-0.5001]", -1.0, 0},
    {"x round[2.444]", 2, 0},
    {"x round[9.975]", 10, 0},
    {"x fix[-0.499]", -1.0, 0},
    {"x fix[-0.5001]", -1.0, 0},
    {"x fix[2.444]", 2, 0},
    {"x fix[9.975]", 9, 0},
    {"x fup[-0.499]", 0.0, 0},
    {"x fup[-0.5001]", 0.0, 0},
    {"x fup[2.444]", 3, 0},
    {"x fup[9.975]", 10, 0},
    {"x exp[2.3026]", 10, 5e-4},
    {"x ln[10.0]", 2.3026, 5e-5},
    {"x [2 ** 3.0] #1=2.0", 8.0, 0},
    {"##1 = 0.375", NAN, 0},
    {"x #2 #3=7.0", 0.375, 0},
    {"#3=5.0 x #3", 7, 0},
    {"x #3 #3=1.1", 5, 0},
    /* The report gives no figure for this one: by hand, asin(0.131...) = 7.54 over
     * (atan2(34.43, -18) = 117.6) squared. */
    {"x [2 + asin[1/2.1+-0.345] / [atan[fix[4.4] * 2.1 * sqrt[16.8]] /[-18]]**2]", 2.0005, 5e-5},
    {"x sqrt[3**2 + 4**2]", 5.0, 0},
    /* In the report's text. */
    {"x [2.0 / 3 * 1.5 - 5.5 / 11.0]", 0.5, 0},
    {"x fix[-2.8]", -3, 0},
    {"x fup[-2.8]", -2, 0},
    {"#3=15", NAN, 0},
    {"#3=6 x#3", 15, 0},
    {"x [#1+2]", 4, 0},
    /* #1+2 means (#1)+2. */
    {"x [##1+2]", 2.375, 0},
    /* Ours. */
    {"x [2 ** 3 ** 2]", 64, 0},
    {"x [-2 ** 2]", 4, 0},
    {"x [2 * [3 + 4] MOD 5]", 4, 0},
    {"x [-1 MOD 4]", 3, 0},
    {"x [1 + 1 EQ 2]", 1, 0},
    {"x [1 LT 2 AND 2 LE 2]", 1, 0},
    {"x [3 GT 2 XOR 3 GE 4]", 1, 0},
    {"x [3 NE 3]", 0, 0},
    {"x atan[-1]/[0]", -90, 0},
    {"x - # 1", -2, 0},
    {"x exists[#<no>]", 0, 0},
    {"#<Yes No>=1", NAN, 0},
    {"x exists[#<yesno>]", 1, 0},
    {"x [#<YESNO> + exists[#1]]", 2, 0},
};

static void test_expressions(void **state) {
    (void)state;
    char text[8000] = "G21 G1 X1000 F20\n", *put = text + strlen(text);
    program_reading r;
    size_t count = sizeof expressions / sizeof *expressions, at = 1;
    for (size_t i = 0; i < count; i++) {
        put += sprintf(put, isnan(expressions[i].x) ? "%s\n" : "%s\nX1000\n", expressions[i].words);
    }
    sprintf(put, "M2\n");
    read_good(text, NULL, &r);
    for (size_t i = 0; i < count; i++) {
        if (!isnan(expressions[i].x)) {
            assert_near(r.moves[at].to[0], expressions[i].x, 1e-12, expressions[i].slack + 1e-12);
            at += 2;
        }
    }
    assert_int_equal(r.count, at);
    assert_int_equal(r.report.doubts, 0);
    program_reading_free(&r);
}

static void test_bad_expressions(void **state) {
    static const struct {
        const char *words, *piece;
    } bad[] = {
        {"X[1", "] is missing"},
        {"X[1 #2]", "an operator"},
        {"X[1 +]", "where a value belongs"},
        {"X[]", "where a value belongs"},
        {"X[1/0]", "by zero"},
        {"X[1 MOD 0]", "by zero"},
        {"X[[-8]**0.5]", "no value"},
        {"X[0**-1]", "no value"},
        {"XSQRT[-1]", "SQRT[-1]"},
        {"XLN[0]", "LN[0]"},
        {"XASIN[1.1]", "-1 to 1"},
        {"XACOS[-2]", "-1 to 1"},
        {"XEXP[1000]", "EXP"},
        {"XATAN[1]", "two values"},
        {"XATAN[0]/[0]", "no value"},
        {"XATAN[1]/2", "[ ]"},
        {"XSIN 30", "[ ]"},
        {"XFOO[1]", "FOO"},
        {"X[10 ** 20]", "**"},
        {"X[1e3]", "no exponent"},
        {"X#", "the line ends"},
        {"X#[1.5]", "whole numbers"},
        {"X#6000", "1 to 5602"},
        {"X#<depth>", "#<depth>"},
        {"X#<depth", "ends with >"},
        {"X#<>", "no name"},
        {"X#<a+b>", "is no name"},
        {"#1", "= is missing"},
        {"#0=1", "#0"},
        {"#1=", "the line ends"},
        {"#5221=3", "machine keeps"},
        {"XEXISTS[1]", "EXISTS"},
        {"X999999999999999999", "too large"},
        {"X.", "where a value belongs"},
        {"X", "the line ends"},
        {"X+", "where a value belongs"},
        {"X1..2", "where a word belongs"},
    };
    char deep[400] = "G0 X";
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        char text[120];
        snprintf(text, sizeof text, "G21 G1 F10\n%s\nM2", bad[i].words);
        read_bad(text, NULL, 2, bad[i].piece);
    }
    memset(deep + 4, '[', 100);
    read_bad(deep, NULL, 1, "inside each other");
    memset(deep + 4, '#', 100);
    read_bad(deep, NULL, 1, "# after #");
    memset(deep + 4, '-', 100);
    read_bad(deep, NULL, 1, "where a value belongs");
    for (int i = 0; i < 100; i++) {
        memcpy(deep + 4 + 3 * i, "ABS", 3);
    }
    read_bad(deep, NULL, 1, "[ ]");
}

/* Each one inside the other; without a limit a long line would use up the stack. */
static void test_deep_exists(void **state) {
    char deep[400] = "G0 X";
    (void)state;

    for (int i = 0; i < 45; i++) {
        memcpy(deep + 4 + 8 * i, "EXISTS[#", 8);
    }
    read_bad(deep, NULL, 1, "# after #");
}

static void test_parameters(void **state) {
    th_program_options o = starting_at(1, 2, 3);
    program_reading r;
    (void)state;
    read_good("G20 G55 G0 X#5420 Y[#5421+1] Z[#5220]\nT4 M6\nX#5400\nG21 X#500\nM2", &o, &r);
    /* Before the first move the place in the program's coordinates is not known. */
    assert_warned(&r, 1, true, "#5420");
    assert_warned(&r, 4, true, "#500 is read before");
    /* Values are read before the words of the line take effect: G54 still. */
    assert_move(&r, 0, TH_MOVE_RAPID, 0, 25.4, 25.4);
    assert_near(r.moves[2].to[0], 4 * 25.4, 1e-12, 0);
    program_reading_free(&r);
    o.tools = (const th_program_tool[]){{4, 50, 6}};
    o.tool_count = 1;
    read_good("G21 T4 M6 G43 H4\nG0 X#5410 Y#5403\nM2", &o, &r);
    assert_move(&r, 1, TH_MOVE_RAPID, 6, 50, 3);
    assert_int_equal(r.report.doubts, 0);
    program_reading_free(&r);
    read_good("G21 G0 X7\nG92 X1\nX[#5420+1]\nX[#5211]\nM2", NULL, &r);
    assert_move(&r, 1, TH_MOVE_RAPID, 8, 0, 0);
    assert_move(&r, 2, TH_MOVE_RAPID, 12, 0, 0);
    program_reading_free(&r);
}

/* ---- subprograms ---- */

static void test_m98(void **state) {
    th_program_options o = starting_at(0, 0, 0);
    program_reading r;
    (void)state;
    read_good(
        "%\nO1 (main)\nG21 G91 G0 X1\nM98 P0020 L3\nX100\nM98 P30\nM30\nO20\nX10 M98 P30\nM99\n"
        "O0030 (inner)\nY1\nM99\n%",
        NULL, &r);
    assert_int_equal(r.count, 9);
    assert_move(&r, 6, TH_MOVE_RAPID, 31, 3, 0);
    assert_move(&r, 7, TH_MOVE_RAPID, 131, 3, 0);
    assert_move(&r, 8, TH_MOVE_RAPID, 131, 4, 0);
    assert_int_equal(r.moves[8].line, 12);
    assert_reading(&r, "L says how often");
    program_reading_free(&r);

    o.m98 = TH_M98_COUNT_IN_P;
    read_good("G21 G91 G0\nM98 P30020\nM98 P20\nM30\n:20\nX10\nM99", &o, &r);
    assert_move(&r, 3, TH_MOVE_RAPID, 40, 0, 0);
    assert_reading(&r, "last four digits");
    program_reading_free(&r);
    read_bad("M98 P20 L2\nM30\nO20\nM99", &o, 1, "with L");
    read_bad("M98 P30020\nM30\nO20\nM99", NULL, 1, "--m98=p");
    /* Where the label is there, five digits are a name like another. */
    read_good("G91 G0\nM98 P30020\nM30\nO30020\nX1\nM99", NULL, &r);
    assert_int_equal(r.count, 1);
    program_reading_free(&r);
}

static void test_m98_ends(void **state) {
    program_reading r;
    (void)state;
    read_bad("M98", NULL, 1, "as P");
    read_bad("M98 P1", NULL, 1, "not in this file");
    read_bad("M98 P1 L0\nM2\nO1\nM99", NULL, 1, "how often");
    read_bad("M98 P1\nM2\nO1\nM98 P1\nM99", NULL, 4, "at most 20");
    read_bad("M98 P1\nM2\nO1\nX1 G0", NULL, 4, "M99 is missing");
    read_bad("M98 P1\nM2\nO1\nM30", NULL, 4, "inside a subprogram");
    read_bad("G0 X1\nM98 P1\nM2\nO1\nX2\nO2\nM99", NULL, 6, "M99 is missing");
    read_bad("M99 P10", NULL, 1, "jump");
    read_good("G0 X1\nM99\nX2", NULL, &r);
    assert_int_equal(r.count, 1);
    assert_warned(&r, 2, false, "M99");
    program_reading_free(&r);
    read_bad("O1\nG0 X1\nO2\nX2\nM99", NULL, 3, "runs into O2");
    read_bad("G0 X1\nO2\nX2\nM30", NULL, 2, "M2 or M30 is missing");
}

static void test_o_subs(void **state) {
    program_reading r;
    (void)state;
    read_good("G21 G0\n"
              "o<hole> sub\n"
              "  X#1 Y#2\n"
              "  #<depth> = [#3 * 2]\n"
              "  #1 = 99\n"
              "  o10 if [#3 EQ 7]\n"
              "    o<HO LE> return [5]\n"
              "  o10 endif\n"
              "  Z#<depth>\n"
              "o<hole> endsub [#2]\n"
              "#1 = 50\n"
              "#<depth> = 0.5\n"
              "o<hole> call [1] [2] [-3]\n"
              "X#1 Y#<_value>\n"
              "o<hole> call [3] [4] [7]\n"
              "X[#1+1] Y#<_value> Z#<depth>\n"
              "M2\n",
              NULL, &r);
    assert_int_equal(r.count, 5);
    assert_move(&r, 0, TH_MOVE_RAPID, 1, 2, 0);
    assert_move(&r, 1, TH_MOVE_RAPID, 1, 2, -6);
    assert_move(&r, 2, TH_MOVE_RAPID, 50, 2, -6);
    assert_move(&r, 3, TH_MOVE_RAPID, 3, 4, -6);
    assert_move(&r, 4, TH_MOVE_RAPID, 51, 5, 0.5);
    program_reading_free(&r);
    read_bad("o1 call", NULL, 1, "not in this file");
    read_bad("o1 endsub", NULL, 1, "not called");
    read_bad("o1 sub\nG0 X1\nM2", NULL, 1, "no endsub");
    read_bad("o1 sub\no1 call\no1 endsub\no1 call", NULL, 2, "at most 20");
    read_bad("o1 sub\nG0 X1 M99\no1 endsub\no1 call", NULL, 2, "endsub or return");
    read_bad("o1 sub\nX#<a> G0\no1 endsub\n#<a>=1\no1 call", NULL, 2, "#<a>");
    /* A name of one call is gone in the next of the same depth. */
    read_bad("o1 sub\n#<a>=1\no1 endsub\no2 sub\nG0 X#<a>\no2 endsub\no1 call\no2 call", NULL, 5,
             "#<a>");
    read_bad("o1 call [1] 2\no1 sub\no1 endsub", NULL, 1, "line should end");
}

/* ---- conditions and loops ---- */

static void test_conditions(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        static const double where[] = {10, 20, 30, 40};
        char text[400];
        program_reading r;
        snprintf(
            text, sizeof text,
            "G21 G0\n#1=%d\no1 if [#1 EQ 0]\nX10\no1 elseif [#1 EQ 1]\nX20\no1 elseif [#1 EQ 2]\n"
            "X30\no1 else\nX40\no1 endif\nY1\nM2",
            i);
        read_good(text, NULL, &r);
        assert_int_equal(r.count, 2);
        assert_move(&r, 0, TH_MOVE_RAPID, where[i], 0, 0);
        program_reading_free(&r);
    }
    read_bad("o1 if [0]\nM2", NULL, 1, "no endif");
    read_bad("o1 if\no1 endif", NULL, 1, "expression in [ ]");
    read_bad("o1 else\no1 endif", NULL, 1, "no if");
    read_bad("G0 X1\no1 endif", NULL, 2, "no if");
    read_bad("o1 fi [1]", NULL, 1, "fi");
    read_bad("o[1] if [1]", NULL, 1, "after O");
}

static void test_loops(void **state) {
    program_reading r;
    (void)state;
    read_good("G21 G0 G91\n"
              "#1=0\n"
              "o1 while [#1 LT 5]\n"
              "  #1=[#1+1]\n"
              "  o2 if [#1 EQ 2]\n"
              "    o1 continue\n"
              "  o2 endif\n"
              "  o3 if [#1 EQ 4]\n"
              "    o1 break\n"
              "  o3 endif\n"
              "  X1\n" /* twice: 1 and 3 */
              "o1 endwhile\n"
              "o4 do\n"
              "  Y1\n"
              "  #1=[#1+1]\n"
              "o4 while [#1 LT 6]\n" /* from 4: twice */
              "o5 repeat [3]\n"
              "  o6 repeat [2]\n"
              "    Z1\n"
              "  o6 endrepeat\n"
              "o5 endrepeat\n"
              "o7 repeat [0]\n"
              "  Z100\n"
              "o7 endrepeat\n"
              "o8 while [0]\n"
              "  Z100\n"
              "o8 endwhile\n"
              "M2",
              NULL, &r);
    assert_int_equal(r.count, 2 + 2 + 6);
    assert_move(&r, 9, TH_MOVE_RAPID, 2, 2, 6);
    program_reading_free(&r);
}

static void test_do_loops(void **state) {
    program_reading r;
    (void)state;
    read_good("G21 G0 G91\n"
              "#1=0\n"
              "o1 do\n"
              "  #1=[#1+1]\n"
              "  o2 if [#1 EQ 2]\n"
              "    o1 continue\n"
              "  o2 endif\n"
              "  X1\n" /* all but the second of four */
              "o1 while [#1 LT 4]\n"
              "o3 do\n"
              "  Y1\n"
              "  o3 break\n"
              "o3 while [1]\n"
              "M2",
              NULL, &r);
    assert_int_equal(r.count, 4);
    assert_move(&r, 3, TH_MOVE_RAPID, 3, 1, 0);
    program_reading_free(&r);
}

/* A loop in a subprogram that returns from its middle is left. */
static void test_return_from_loop(void **state) {
    program_reading r;
    (void)state;
    read_good("G21 G0 G91\no1 sub\no2 repeat [10]\nX1\no3 if [#1 GT 0]\no1 return\no3 endif\no2 "
              "endrepeat\n"
              "o1 endsub\no4 repeat [3]\no1 call [1]\no4 endrepeat\no1 call [0]\nM2",
              NULL, &r);
    assert_int_equal(r.count, 13);
    program_reading_free(&r);
}

/* Going on with an outer loop leaves those inside it, however often. */
static void test_continue_outer(void **state) {
    program_reading r;
    (void)state;
    read_good("G21 G0 G91\no1 repeat [100]\no2 repeat [5]\nX1\no1 continue\no2 endrepeat\n"
              "o1 endrepeat\nM2",
              NULL, &r);
    assert_int_equal(r.count, 100);
    program_reading_free(&r);
}

static void test_bad_loops(void **state) {
    (void)state;
    read_bad("o1 endwhile", NULL, 1, "not open");
    read_bad("o1 break", NULL, 1, "not open");
    read_bad("o1 repeat [2]\no1 endwhile\n", NULL, 2, "not open");
    read_bad("o1 while [0]\nM2", NULL, 1, "no endwhile");
    read_bad("o1 repeat [1.5]\no1 endrepeat", NULL, 1, "whole number");
    read_bad("o1 repeat [2]\nG0 X1", NULL, 2, "inside a loop");
    read_bad("o1 do\no1 break\nM2", NULL, 2, "no while");
}

/* ---- bounds ---- */

static void test_bounds(void **state) {
    th_program_options o = starting_at(0, 0, 0);
    program_reading r;
    char text[4000] = "", *put = text;
    (void)state;
    o.blocks_max = 1000;
    read_bad("o1 while [1]\nG0 X1\no1 endwhile", &o, 2, "more than 1000 lines");
    read_bad("o1 repeat [1000000000]\no1 endrepeat", &o, 2, "more than 1000 lines");
    read_bad("G0 Z1\nG91 G81 X1 Z-1 R0 F10 L1000000000", &o, 2, "more than 1000 lines");
    read_bad("M98 P1 L1000000000\nM2\nO1\nM99", &o, 4, "more than 1000 lines");
    read_bad("G0 Z1\nG83 X1 Z-1 R0 Q0.0000001 F10", &o, 2, "pecks");
    read_bad("G0 Z1\nG83 X1 Z-1 R0 Q0.0001 F10", &o, 2, "more than 1000 lines");
    o.calls_max = 3;
    read_bad("o1 sub\no1 call\no1 endsub\no1 call", &o, 2, "at most 3");
    for (int i = 0; i < 65; i++) {
        put += sprintf(put, "o%d repeat [2]\n", i);
    }
    read_bad(text, NULL, 65, "at most 64");
    put =
        text + sprintf(text, "#1=0\no1 while [#1 LT 2000]\n#[#1+100]=1 #1=[#1+1]\no1 endwhile\nM2");
    read_good(text, NULL, &r);
    program_reading_free(&r);
    put = text + sprintf(text, "o1 call");
    for (int i = 0; i < 31; i++) {
        put += sprintf(put, " [%d]", i);
    }
    sprintf(put, "\no1 sub\no1 endsub");
    read_bad(text, NULL, 1, "at most 30 values");
    for (put = text; put < text + 3000;) {
        put += sprintf(put, "#1=1 ");
    }
    read_bad(text, NULL, 1, "more than 50");
}

static void test_named_bounds(void **state) {
    char *text = test_malloc(40000), *put = text;
    (void)state;
    for (int i = 0; i <= 1000; i++) {
        put += sprintf(put, "#<name%d>=1\n", i);
    }
    read_bad(text, NULL, 1001, "1000 at a time");
    memset(text, 'a', 200);
    memcpy(text, "#<", 2);
    memcpy(text + 198, ">=1", 4);
    read_bad(text, NULL, 1, "longer than 60");
    for (put = text, *put = '\0'; put < text + 4000;) {
        put += sprintf(put, "T%d M6\n", (int)(put - text));
    }
    read_bad(text, NULL, 257, "more than 256 different tools");
    test_free(text);
}

static void test_bad_options(void **state) {
    th_program_options o = th_program_defaults();
    (void)state;
    o.blocks_max = 0;
    read_bad("G0 X1", &o, 0, "options");
    o = th_program_defaults();
    o.calls_max = 101;
    read_bad("G0 X1", &o, 0, "options");
    o = th_program_defaults();
    o.tool_count = 1;
    read_bad("G0 X1", &o, 0, "options");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_expressions),  cmocka_unit_test(test_bad_expressions),
        cmocka_unit_test(test_deep_exists),  cmocka_unit_test(test_parameters),
        cmocka_unit_test(test_m98),          cmocka_unit_test(test_m98_ends),
        cmocka_unit_test(test_o_subs),       cmocka_unit_test(test_conditions),
        cmocka_unit_test(test_loops),        cmocka_unit_test(test_return_from_loop),
        cmocka_unit_test(test_do_loops),     cmocka_unit_test(test_continue_outer),
        cmocka_unit_test(test_bad_loops),    cmocka_unit_test(test_bounds),
        cmocka_unit_test(test_named_bounds), cmocka_unit_test(test_bad_options),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
