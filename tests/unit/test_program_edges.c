/* Tests of parts whose edge is the stock's, or round which everything is milled away: they come
 * free though little or nothing comes off. Parts and programs are invented. */
#include <math.h>
#include <string.h>

#include "support/draft.h"
#include "support/script.h"

#define CELL 0.1 /* (mm) */

/* A part of 60 x 40 mm in a sheet that reaches so far beyond it. */
static draft in_sheet(double left, double front, double right, double back, const char *cutter) {
    draft d = plate(60, 40, 2);

    put(&d, "hold", "cutting_time", "60 s");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 2);
    add_sheet(&d, 60 + left + right, 40 + front + back, left, front);
    add_cut(&d, "cut.1", "outline", cutter);
    put_length(&d, "cut.1", "axial", 1);
    put_length(&d, "cut.1", "radial", 3);
    put(&d, "cut.1", "speed", "10000 rpm");
    put(&d, "cut.1", "feed", "900 mm/min");
    return d;
}

static void begin(script *s) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS10000 M3\nG0 Z5\n");
}

/* From one place to another, through the stock in two passes; gives the line that goes through. */
static int through(script *s, double x0, double y0, double x1, double y1) {
    for (int pass = 0; pass < 2; pass++) {
        say(s, "G0 Z5\nX%g Y%g\nZ1\nG1 Z%g F200\n", x0, y0, pass ? -2.2 : -1.0);
        say(s, "G1 X%g Y%g F900\n", x1, y1);
    }
    return line_now(s) - 1;
}

/* Round the part, `off` from it, from its front left corner. */
static void lap(script *s, double off, double z) {
    say(s, "G0 Z5\nX%g Y%g\nZ1\nG1 Z%g F200\nG1 Y%g F900\n", -off, -off, z, 40 + off);
    say(s, "X%g\nY%g\nX%g\n", 60 + off, -off, -off);
}

static void finish(const th_job *job, script *s, th_run *run) {
    say(s, "G0 Z5\nM30\n");
    run_script(job, s, 0, CELL, run);
    assert_false(lists(&run->held_back, "never comes free"));
}

/* The one part among what came free. */
static const th_loose *part_of(const th_run *run) {
    const th_loose *part = NULL;

    for (size_t i = 0; i < run->loose_count; i++) {
        assert_true(run->loose[i].kind != TH_PIECE_STOCK);
        if (run->loose[i].kind == TH_PIECE_PART) {
            assert_null(part);
            part = &run->loose[i];
        }
    }
    assert_non_null(part);
    return part;
}

static void is_whole(const th_loose *part, double coverage) {
    static const double box[] = {0, 0, 60, 40};

    for (int i = 0; i < 4; i++) {
        assert_near(part->stands[i], box[i], 0, 0.15);
    }
    assert_near(part->area, 60 * 40 * coverage, 0.01, 0);
}

/* A bar as wide as the part: slots across it. From the end of a bar one slot is enough. */
static void test_bar(void **state) {
    (void)state;

    for (int slots = 1; slots <= 2; slots++) {
        for (int longer = 0; longer < 2; longer++) {
            draft d = in_sheet(slots > 1 ? 10 : 0, 0, longer ? 90 : 10, 0, "flat-3mm-2");
            th_job *job = built(&d);
            script s;
            th_run run;
            begin(&s);
            if (slots > 1) {
                through(&s, -1.5, -3, -1.5, 43);
            }
            int line = through(&s, 61.5, -3, 61.5, 43);
            finish(job, &s, &run);
            const th_loose *part = part_of(&run);
            assert_int_equal(part->line, line);
            assert_int_equal(run.loose_count, slots + 1);
            is_whole(part, job->hold.coverage);
            assert_true(isfinite(part->hold_factor));
            th_run_free(&run);
            th_job_free(job);
        }
    }
}

/* A corner of the sheet, and an end that is its whole front. */
static void test_corner(void **state) {
    (void)state;

    for (int sides = 2; sides <= 3; sides++) {
        draft d = in_sheet(sides > 2 ? 10 : 0, 0, 10, 20, "flat-3mm-2");
        th_job *job = built(&d);
        script s;
        th_run run;
        begin(&s);
        if (sides > 2) {
            through(&s, -1.5, -3, -1.5, 41.5);
        }
        through(&s, sides > 2 ? -1.5 : -3, 41.5, 61.5, 41.5);
        through(&s, 61.5, 41.5, 61.5, -3);
        finish(job, &s, &run);
        is_whole(part_of(&run), job->hold.coverage);
        assert_int_equal(run.loose_count, 2);
        th_run_free(&run);
        th_job_free(job);
    }
}

/* A rim narrower than the cutter leaves nothing, and the last lap is held as if the part had been
 * free. Holes made before are not. */
static void test_rim(void **state) {
    (void)state;

    for (int margin = 1; margin <= 3; margin++) { /* of a cutter of 3 mm */
        draft d = in_sheet(margin, margin, margin, margin, "flat-3mm-2");
        th_job *job = built(&d);
        script s;
        th_run run;
        begin(&s);
        say(&s, "X30 Y20\nZ1\nG1 Z-2.2 F60\nX31\n");
        int drilled = line_now(&s) - 1;
        lap(&s, 1.5, -1);
        lap(&s, 1.5, -2.2);
        int last = line_now(&s) - 1;
        finish(job, &s, &run);
        const th_loose *part = part_of(&run);
        for (int i = 0; i < 4; i++) {
            assert_near(part->stands[i], i < 2 ? 0 : i < 3 ? 60 : 40, 0, 0.15);
        }
        assert_int_equal(part->line, last);
        assert_true(part->worst_line > drilled && part->worst_line <= last);
        assert_near(part->hold_factor, run.area_factor, 0.01, 0);
        th_run_free(&run);
        th_job_free(job);
    }
}

/* What a finishing lap leaves is told, also where it takes more than it should. */
static void test_finished(void **state) {
    static const double offs[] = {1.5, 1.0};
    draft d = in_sheet(10, 10, 10, 10, "flat-3mm-2");
    th_job *job = built(&d);
    (void)state;

    for (int i = 0; i < 2; i++) {
        double into = 1.5 - offs[i];
        script s;
        th_run run;
        begin(&s);
        lap(&s, 1.8, -1);
        lap(&s, 1.8, -2.2);
        lap(&s, offs[i], -2.2);
        finish(job, &s, &run);
        const th_loose *part = part_of(&run);
        assert_near(part->stands[0], into, 0, 0.15);
        assert_near(part->stands[1], into, 0, 0.15);
        assert_near(part->stands[2], 60 - into, 0, 0.15);
        assert_near(part->stands[3], 40 - into, 0, 0.15);
        assert_int_equal(lists(&run.cautions, "the program cuts into it"), into > 0);
        th_run_free(&run);
    }
    th_job_free(job);
}

/* Of lines from one on. */
static double lowest_from(const th_run *run, int line) {
    double least = INFINITY;

    for (size_t i = (size_t)line; i < run->line_count; i++) {
        least = fmin(least, (double)run->lines[i].area_factor);
    }
    return least;
}

/* A lap through the skin that an earlier one left pulls at the part too, however large the frame
 * is that the skin was part of. */
static void test_skin_lap(void **state) {
    double least[2];
    (void)state;

    for (int i = 0; i < 2; i++) {
        double margin = i ? 30 : 8;
        draft d = in_sheet(margin, margin, margin, margin, "flat-3mm-2");
        th_job *job = built(&d);
        script s;
        th_run run;
        begin(&s);
        lap(&s, 1.5, -1);
        lap(&s, 1.5, -1.85);
        int last = line_now(&s);
        lap(&s, 1.5, -2.2);
        finish(job, &s, &run);
        least[i] = lowest_from(&run, last);
        assert_true(isfinite(least[i]));
        assert_true(part_of(&run)->line < last);
        th_run_free(&run);
        th_job_free(job);
    }
    assert_near(least[0], least[1], 0.02, 0);
}

/* A cutter in a kerf between two pieces takes some of both: each bears it. */
static void test_both_walls(void **state) {
    draft d = in_sheet(30, 30, 30, 30, "flat-3mm-2");
    th_job *job = built(&d);
    script s;
    th_run run;
    (void)state;

    put(&d, "cutter.wide", "id", "flat-6mm-3");
    put(&d, "tool.1", "cutter", "em");
    put(&d, "tool.2", "cutter", "wide");
    th_job_free(job);
    job = built(&d);
    begin(&s);
    say(&s, "T1 M6\nS10000 M3\n");
    lap(&s, 3, -1);
    lap(&s, 3, -2.2); /* leaves the part 1.5 mm larger */
    say(&s, "G0 Z5\nT2 M6\nS10000 M3\n");
    int wide = line_now(&s);
    lap(&s, 3.6, -2.2); /* 0.9 mm off the wall of the part, 2.1 off that of the frame */
    finish(job, &s, &run);
    assert_true(isfinite(lowest_from(&run, wide)));
    assert_int_equal(part_of(&run)->worst_line >= wide, 1);
    th_run_free(&run);
    th_job_free(job);
}

/* One slot between two copies goes through beside both. */
static void test_shared_slot(void **state) {
    (void)state;

    for (int rim = 0; rim < 2; rim++) {
        draft d = in_sheet(0, 0, 63 + 3 * rim, 0, "flat-3mm-2");
        script s;
        th_run run;
        put(&d, "part", "copies", "2 x 1");
        put(&d, "part", "pitch", "63 mm x 60 mm");
        th_job *job = built(&d);
        begin(&s);
        through(&s, 61.5, -3, 61.5, 43);
        say(&s, "G0 Z5\nM30\n");
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(lists(&run.held_back, "copy 2 of the part, which never comes free"), rim);
        assert_false(lists(&run.cautions, "cut through beside"));
        assert_int_equal(run.loose_count, rim ? 1 : 2);
        for (size_t i = 0; i < run.loose_count; i++) {
            const th_loose *loose = &run.loose[i];
            assert_int_equal(loose->kind, TH_PIECE_PART);
            assert_near(loose->stands[2] - loose->stands[0], 60, 0, 0.2);
            assert_near(loose->stands[3] - loose->stands[1], 40, 0, 0.2);
        }
        th_run_free(&run);
        th_job_free(job);
    }
}

/* Slots across both ways: a piece of several copies is told with all of it, each copy by itself. */
static void test_grid(void **state) {
    draft d = in_sheet(0, 0, 63, 43, "flat-3mm-2");
    script s;
    th_run run;
    size_t parts = 0;
    (void)state;

    put(&d, "part", "copies", "2 x 2");
    put(&d, "part", "pitch", "63 mm x 43 mm");
    th_job *job = built(&d);
    begin(&s);
    through(&s, 61.5, -3, 61.5, 90);
    through(&s, -3, 41.5, 130, 41.5);
    finish(job, &s, &run);
    for (size_t i = 0; i < run.loose_count; i++) {
        const th_loose *loose = &run.loose[i];
        double deep = loose->kind == TH_PIECE_PART ? 40 : 83;
        assert_near(loose->stands[2] - loose->stands[0], 60, 0, 0.2);
        assert_near(loose->stands[3] - loose->stands[1], deep, 0, 0.2);
        parts += loose->kind == TH_PIECE_PART;
    }
    assert_int_equal(parts, 4);
    th_run_free(&run);
    th_job_free(job);
}

/* A slug that comes out later does not make the part any larger. */
static void test_slug_later(void **state) {
    draft d = in_sheet(10, 10, 10, 10, "flat-3mm-2");
    script s;
    th_run run;
    (void)state;

    put_point(&d, "opening.1", "at", 30, 20);
    put(&d, "opening.1", "size", "14 x 14");
    th_job *job = built(&d);
    begin(&s);
    lap(&s, 1.5, -1);
    lap(&s, 1.5, -2.2);
    say(&s, "G0 Z5\nX24.5 Y14.5\nZ1\nG1 Z-2.2 F60\nX35.5 F600\nY25.5\nX24.5\nY14.5\n");
    finish(job, &s, &run);
    is_whole(part_of(&run), job->hold.coverage);
    th_run_free(&run);
    th_job_free(job);
}

/* M7 blows the air of a job that blows air; the mist of a dry one it may be, and M8 floods both. */
static void test_air(void **state) {
    static const struct {
        const char *cooling, *word;
        bool held_back, told;
    } cases[] = {{"air", "M7", false, true},
                 {"air", "M8", true, false},
                 {"dry", "M7", true, false},
                 {"air", "M9", false, false}};
    (void)state;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        draft d = in_sheet(10, 10, 10, 10, "flat-3mm-2");
        script s;
        th_run run;
        put(&d, "hold", "cooling", cases[i].cooling);
        th_job *job = built(&d);
        begin(&s);
        say(&s, "%s\nX10 Y20\nZ1\nG1 Z-0.2 F60\nX31 F900\n", cases[i].word);
        finish(job, &s, &run);
        assert_int_equal(lists(&run.held_back, "with coolant on"), cases[i].held_back);
        assert_int_equal(lists(&run.defaults, "M7 is taken as the air"), cases[i].told);
        th_run_free(&run);
        th_job_free(job);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_bar),        cmocka_unit_test(test_corner),
        cmocka_unit_test(test_rim),        cmocka_unit_test(test_finished),
        cmocka_unit_test(test_air),        cmocka_unit_test(test_skin_lap),
        cmocka_unit_test(test_both_walls), cmocka_unit_test(test_shared_slot),
        cmocka_unit_test(test_grid),       cmocka_unit_test(test_slug_later),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
