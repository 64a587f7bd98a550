/* test_program_bad.c - what a program may not say: refused with line, word and what would be taken.
 */
#include "support/program.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const struct {
    const char *text;
    int line;
    const char *piece;
} bad[] = {
    /* ---- words ---- */
    {"G0 X1\nG66 X2", 2, "G66 is not read"},
    {"G5.1", 1, "G5.1 is not read"},
    {"G-1", 1, "G-1 is not read"},
    {"G1.05", 1, "is not read"},
    {"G68 X0", 1, "Taken are"},
    {"G0 M10", 1, "M10 is not read"},
    {"M3.5", 1, "is not read"},
    {"M1000", 1, "is not read"},
    {"G0 A90", 1, "only the axes X, Y, Z"},
    {"G0 U1", 1, "only the axes"},
    {"G0 X1 N20", 1, "stands first"},
    {"#1=3\nIF [#1 EQ 3] GOTO 10", 2, "another dialect"},
    {"goto 10", 1, "O-words"},
    {"N5 WHILE [#1 LT 3] DO1", 1, "another dialect"},
    {"END1", 1, "another dialect"},
    {"G81 X1 Y1 Z-1 R1 F100 K3", 1, "repeated by L"},
    {"N G0", 1, "digits"},
    {"N1234567890 G0", 1, "digits"},
    {"G0 X1 \x01", 1, "a byte (1)"},
    {"G0 X1 @", 1, "a word belongs"},
    {"G0 X1 $", 1, "a word belongs"},
    {"G0 X1 *71", 1, "a word belongs"},
    {"G0 X1,5", 1, "\",5\""},
    {"G0 Xa", 1, "\"a\" is read where a value belongs"},
    {"G0 XABC[1]", 1, "ABC"},
    {"G0 X1 X2", 1, "another X"},
    {"G0 X1 (open", 1, "is not closed"},
    {"G0 X1 )", 1, "a word belongs"},
    {"G1 X1\nIF [#1 EQ 1] GOTO 10", 1, "F"},
    {"% G0 X1", 1, "the line should end"},
    {"X1 Y\xC3\xA4", 1, "\xC3\xA4"},
    {"X1 Y\xFF", 1, "?"},
    /* ---- groups ---- */
    {"G0 G1 X1", 1, "another G word"},
    {"G17 G18", 1, "exclude each other"},
    {"G90 G91", 1, "exclude each other"},
    {"G20 G21", 1, "exclude each other"},
    {"G54 G55", 1, "exclude each other"},
    {"G4 P1 G28", 1, "exclude each other"},
    {"M3 M5", 1, "another M word"},
    {"M8 M9", 1, "another M word"},
    {"M7 M9", 1, "another M word"},
    {"M9 M7", 1, "another M word"},
    {"M2 M30", 1, "another M word"},
    {"M98 P1 M99", 1, "another M word"},
    {"G80 G81 X1 Z0 R1", 1, "one ends what the other begins"},
    /* ---- words that nothing takes ---- */
    {"G0 X1 P2", 1, "P2 has no meaning"},
    {"G1 X1 F10 I2", 1, "I2 has no meaning"},
    {"G0 X1 R2", 1, "R2 has no meaning"},
    {"G0 X1 Q2", 1, "Q2 has no meaning"},
    {"G0 X1 L2", 1, "L2 has no meaning"},
    {"G0 X1 E2", 1, "E2 has no meaning"},
    {"G0 X1e400", 1, "\"1e400\": numbers have no exponent"},
    {"G0 X1.5E-3 Y2.e+2", 1, "\"2.e+2\": numbers have no exponent"},
    {"G0 X[2e3]", 1, "\"2e3\": numbers have no exponent"},
    {"G0 X[2 EE 3]", 1, "where an operator"},
    {"R2", 1, "no meaning"},
    /* ---- motion ---- */
    {"X1", 1, "without a motion"},
    {"G80\nY1", 2, "Y1 without a motion"},
    {"G1 G28 X1", 1, "want its X, Y, Z"},
    {"G1 G92 X1", 1, "want its X, Y, Z"},
    {"G0 G10 L2 P1 X1", 1, "want its X, Y, Z"},
    {"G1 X1", 1, "F belongs before it"},
    {"G1 X1 F0", 1, "F belongs before it"},
    {"F-1", 1, "F-1"},
    {"F1000000000", 1, "feeds from 0"},
    {"S-1", 1, "S-1"},
    {"S10000000", 1, "spindle speeds"},
    {"T1.5", 1, "T1.5"},
    {"T-1", 1, "T-1"},
    {"T100000", 1, "name a tool"},
    {"G0 X1000001", 1, "more than 1e+06 mm"},
    {"G20 G0 X40000", 1, "more than 39370.1 in"},
    {"G91 G0 X900000\nX900000", 2, "more than 1e+06 mm"},
    {"G93 G1 X1 F2\nX2", 2, "G93 asks for F"},
    {"F100\nG93 G1 X1", 2, "G93 asks for F"},
    {"F100 G1 X1\nG93 X2 F1\nG94 X3", 3, "F belongs"},
    {"G95 G1 X1 F0.1", 1, "spindle stands"},
    {"G95 S100 M3 M5\nG1 X1 F0.1", 1, "another M word"},
    {"G95 S100 G1 X1 F0.1", 1, "spindle stands"},
    {"G53 G1 X1 F10 G91", 1, "G91"},
    {"G53 G2 X1 I1 F10", 1, "G0 and G1 alone"},
    {"G4", 1, "G4 P0.5"},
    {"G4 P-1", 1, "a dwell"},
    {"G4 P10000000", 1, "a dwell"},
    /* ---- arcs ---- */
    {"F10 G2 X1", 1, "centre"},
    {"F10 G2 X1 I1 R1", 1, "both R and I"},
    {"F10 G2 X0 R1", 1, "no centre"},
    {"F10 G2 Z1 R1", 1, "its end is missing"},
    {"F10 G2 X1 R0", 1, "R0"},
    {"F10 G2 X3 R1", 1, "wider than the diameter"},
    {"F10 G2 X1 K1", 1, "K does not belong"},
    {"F10 G18 G2 X1 J1", 1, "J does not belong"},
    {"F10 G19 G2 Y1 I1", 1, "I does not belong"},
    {"F10 G2 X3 I1", 1, "two radii"},
    {"F10 G2 X1 Y1 I0 J0", 1, "no radius"},
    {"F10 G2 X1 I1", 1, "no radius"},
    {"F10 G90.1 G2 X2 I1", 1, "J is missing"},
    {"F10 G2 X2 I1 P0", 1, "turns"},
    {"F10 G2 X2 I1 P1.5", 1, "turns"},
    {"F10 G2 X2 I1 P20000", 1, "turns"},
    {"F10 G2 X0.5 R900000000", 1, "more than 1e+06 mm"},
    {"G2 X2 I1", 1, "F belongs"},
    /* ---- cycles ---- */
    {"F10 G81", 1, "names no axis"},
    {"F10 G81 X1 Z-1", 1, "R, the height"},
    {"F10 G81 X1 R1", 1, "Z, the bottom"},
    {"F10 G81 X1 Z2 R1", 1, "below the bottom"},
    {"F10 G81 X1 Z-1 R1 L0", 1, "how often"},
    {"F10 G81 X1 Z-1 R1 L1.5", 1, "how often"},
    {"G81 X1 Z-1 R1", 1, "F belongs"},
    {"F10 G82 X1 Z-1 R1 P-1", 1, "P, the dwell"},
    {"F10 G83 X1 Z-1 R1", 1, "Q, the depth"},
    {"F10 G73 X1 Z-1 R1 Q0", 1, "Q, the depth"},
    {"F10 G84 X1 Z-1 R1", 1, "M3 belongs"},
    {"F10 G86 X1 Z-1 R1 P1", 1, "M3 belongs"},
    {"S1 M3 F10 G87 X1 Z-1 R1", 1, "I, J and K"},
    {"S1 M3 F10 G87 X1 Z-1 R1 I1 J1 K-2", 1, "below the bottom"},
    {"G10 L2 P1 Z0\nG53 G0 Z9999999 Y1", 2,
     "is refused"}, /* where Y of the machine is, is not known */
    {"S1 M3 F10 G87 X1 Z-1 R1 I9999999 J1 K0", 1, "is refused"},
    {"S1 M3 F10 G87 X1 Z-1 R1 I1 J1 K9999999", 1, "is refused"},
    {"F10 G81 X1 Z-1 R1\nG82 X2 P1", 2, "R, the height"},
    {"F10 G81 X1 Z-1 R1\nG80\nG81 X2", 3, "R, the height"},
    {"G93 F10 G81 X1 Z-1 R1", 1, "G93"},
    {"F10 G81 X1000001 Z-1 R1", 1, "more than 1e+06 mm"},
    {"F10 G81 X1 Z-1000001 R1", 1, "more than 1e+06 mm"},
    {"F10 G91 G81 X400000 Z-1 R1 L3", 1, "more than 1e+06 mm"},
    /* ---- zeros, tools ---- */
    {"G10", 1, "L2 and L20"},
    {"G10 L1 P1 X1", 1, "L2 and L20"},
    {"G10 L2 X1", 1, "takes P"},
    {"G10 L2 P10 X1", 1, "takes P"},
    {"G10 L2 P1 R30", 1, "turned"},
    {"G92", 1, "no axis"},
    {"G0 X1\nG55 X1", 2, "zero of G55"},
    {"G54\nG55 G0 X1\nG54 X1", 3, "zero that is given is that of G55"},
    {"G54\nG10 L2 P2 X1\nG55 G0 X1\nG54 X1", 4, "zero of G54 lies along X"},
    {"G54\nG10 L2 P1 X1\nG10 L2 P2 X9\nG55 G0 X1\nY1", 5, "zero of G55 lies along Y"},
    {"G0 X1\nG59.2 Z1", 2, "zero of G59.2 lies along Z"},
    {"G0 X1\nG10 L2 P1 X5\nX1", 3, "zero of G54"},
    {"G0 X1\nG55 F10 G81 X1 Z-1 R1", 2, "zero of G55 lies along Z"},
    {"G0 X1\nG55 F10 G91 G90.1 G2 X1 I1 J0", 2, "zero of G55 lies along X"},
    {"G0 X1\nG55 G92 X1", 2, "zero of G55"},
    {"G43 H1.5", 1, "H1.5"},
    {"G41 G1 X1 F10", 1, "diameter is not known"},
    {"G41 D5 G1 X1 F10", 1, "diameter is not known"},
    {"G41.1 G1 X1 F10", 1, "diameter is not known"},
    {"G41.1 D-6", 1, "0 to 2000"},
    {"G41.1 D3000", 1, "0 to 2000"},
    {"G18 G41.1 D6", 1, "G17 alone"},
    {"G41.1 D1\nG42.1 D1", 2, "on already"},
    {"G41.1 D1\nG18", 2, "plane changes"},
    {"G41.1 D1\nG93", 2, "G93"},
    {"G93 G41.1 D1", 1, "G93"},
    {"G41.1 D1\nG20", 2, "units change"},
    {"G41.1 D1\nG55", 2, "coordinate system changes"},
    {"G41.1 D1\nG53 G0 X1", 2, "G53"},
    {"G41.1 D1\nG28", 2, "G28"},
    {"G41.1 D1\nG30", 2, "G30"},
    {"G41.1 D1\nG92 X1", 2, "G92"},
    {"G41.1 D1\nG10 L2 P1 X1", 2, "G10"},
    {"G41.1 D1 F1\nG81 X1 Z-1 R1", 2, "G40"},
    {"G0 X1\rX2\r", 0, "CR"},
};

static void test_bad(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        read_bad(bad[i].text, NULL, bad[i].line, bad[i].piece);
    }
}

/* What may mean two things is read, and put in doubt. */
static void test_doubt(void **state) {
    program_reading r;
    (void)state;
    read_good("G21 G0 X1\nT1\nT2\nM6\nM6\nM3\n%\nG0 X5\n", NULL, &r);
    assert_warned(&r, 3, true, "T1 was never");
    assert_warned(&r, 6, false, "without a speed");
    assert_warned(&r, 7, true, "no % on its first line");
    program_reading_free(&r);
    read_good("G21 G82 X1 Z-1 R0 F10\nG83 X2 Z-1 R0 Q1 P2\nG81 X3 Z-1 R0 Q2 P0\nG2 X4 I.5 K0\nM2",
              NULL, &r);
    assert_warned(&r, 1, false, "G82 without P");
    assert_warned(&r, 2, false, "P2 has no effect in G83");
    assert_warned(&r, 3, false, "Q2 has no effect in G81");
    assert_int_equal(r.report.doubts, 0);
    program_reading_free(&r);
    read_good("G21 M6\nM2", NULL, &r);
    assert_warned(&r, 1, true, "before any T");
    program_reading_free(&r);
}

static void test_long_line(void **state) {
    char text[400] = "G0 X1 (";
    program_reading r;
    (void)state;
    memset(text + 7, 'a', 300);
    memcpy(text + 307, ")\nM2", 5);
    read_good(text, NULL, &r);
    assert_warned(&r, 1, false, "256");
    program_reading_free(&r);
}

/* Any part of a program is read or refused, and whatever byte is put into it. */
static void test_damaged(void **state) {
    static const char text[] =
        "%\nO1\nG21 G90 G17\nT1 M6\nG0 X1 Y1 Z5\n#1=[2*sin[30]] #<a>=#1\nG1 Z-1 F100\nG41.1 D1 X5\n"
        "G2 X6 Y0 J-1\nG40\nG83 X1 Z-4 R1 Q2\nG80\nM98 P2 L2\no3 repeat [2]\nG91 X#<a>\no3 "
        "endrepeat\n"
        "G10 L2 P2 X5\nG92 X0\n(MSG, (x))\nM30\nO2\nY1\nM99\n%\n";
    static const char bytes[] = "\0\n([#<%;/-.9XGOoM\xFF";
    char changed[sizeof text];
    int refused = 0;
    (void)state;
    for (size_t n = 0; n < sizeof text; n++) {
        program_reading r;
        memcpy(changed, text, n);
        changed[n] = '\0';
        read_any(changed, NULL, &r);
        assert_true(r.done || r.err.message[0] != '\0');
        program_reading_free(&r);
        for (size_t i = 1; i < sizeof bytes - 1 && n < sizeof text - 1; i++) {
            memcpy(changed, text, sizeof text);
            changed[n] = bytes[i];
            read_any(changed, NULL, &r);
            refused += !r.done;
            program_reading_free(&r);
        }
    }
    assert_true(refused > 1000);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_bad),
        cmocka_unit_test(test_doubt),
        cmocka_unit_test(test_long_line),
        cmocka_unit_test(test_damaged),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
