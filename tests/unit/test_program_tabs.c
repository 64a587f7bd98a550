/* Tests of tabs that a program leaves, and of parts that never come free: what tabs tie is held by
 * its own tape alone. Parts and programs are invented. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "support/draft.h"
#include "support/script.h"

#define CELL 0.08 /* (mm) */

static draft in_sheet(void) {
    draft d = plate(60, 40, 3);

    put(&d, "hold", "cutting_time", "60 s");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 3);
    add_sheet(&d, 100, 80, 20, 20);
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1);
    put_length(&d, "cut.1", "radial", 6);
    put(&d, "cut.1", "speed", "10000 rpm");
    put(&d, "cut.1", "feed", "900 mm/min");
    return d;
}

/* ---- programs -------------------------------------------------------------------------------- */

/* Along x at depth z, lifted to `over` for a bridge of `wide` (0: none) amid the way. */
static void side(script *s, double to, double middle, double wide, double z, double over) {
    double way = to > middle ? 1 : -1, half = wide / 2 + 3;

    if (wide > 0) {
        say(s, "G1 X%g F900\nG0 Z%g\nG1 X%g\nZ%g F200\n", middle - way * half, over,
            middle + way * half, z);
    }
    say(s, "G1 X%g F900\n", to);
}

/* Clockwise round the part, with a bridge on both long sides. */
static void ring(script *s, double z, double wide, double over) {
    say(s, "G1 Z%g F200\nG1 Y43 F900\n", z);
    side(s, 63, 30, wide, z, over);
    say(s, "Y-3\n");
    side(s, -3, 30, wide, z, over);
}

static void begin(script *s) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS10000 M3\nG0 Z5\nX-3 Y-3\nZ1\n");
}

static void outline(script *s, double wide) {
    begin(s);
    ring(s, -1, 0, 0);
    ring(s, -2, 0, 0);
    ring(s, -3.2, wide, -2.2);
    say(s, "G0 Z5\n");
}

static int lines_of(const script *s) {
    int count = 0;

    for (const char *p = s->text; *p; p++) {
        count += *p == '\n';
    }
    return count;
}

/* ---- what they tie --------------------------------------------------------------------------- */

/* The part on two bridges is held as it is without any; its job, which lets them bear, holds no
 * less. */
static void test_bond_alone(void **state) {
    draft d = in_sheet();
    script tied, cut;
    th_run with, without;
    answer a;
    (void)state;

    outline(&tied, 3);
    outline(&cut, 0);
    say(&tied, "M30\n");
    say(&cut, "M30\n");
    put(&d, "cut.1", "tabs", "2 x 3");
    run(&d, false, &a);
    run_script(a.job, &tied, 12, CELL, &with);
    run_script(a.job, &cut, 12, CELL, &without);
    assert_int_equal(with.held_back.count, 0);
    assert_true(lists(&with.defaults, "tabs bear nothing"));
    assert_false(lists(&without.defaults, "tabs bear nothing"));
    assert_int_equal(with.loose_count, 2);
    assert_int_equal(without.loose_count, 2);
    assert_int_equal(with.loose[1].kind, TH_PIECE_FRAME);
    assert_true(with.loose[1].tabs);
    /* the kerf is as wide as the cutter, and round at the four corners of the frame */
    assert_near(without.loose[1].area,
                (100 * 80 - 72 * 52 + (4 - TH_PI) * 3 * 3) * a.job->hold.coverage, 0.002, 0);
    assert_true(isfinite(without.loose[1].hold_factor) && without.loose[1].worst_line > 0);
    assert_int_equal(with.loose[0].kind, TH_PIECE_PART);
    assert_true(with.loose[0].tabs);
    assert_false(without.loose[0].tabs);
    assert_near(with.loose[0].area, 60 * 40 * a.job->hold.coverage, 0.003, 0);
    assert_near(with.loose[0].hold_factor, without.loose[0].hold_factor, 0.02, 0);
    assert_near(with.area_factor, without.area_factor, 0.02, 0);
    assert_true(with.plates_asked > 0);
    assert_near(with.hold_factor, without.hold_factor, 0.05, 0); /* other places are asked */
    const th_stage *stage = stage_of(&a, "cut.1", TH_PIECE_PART);
    assert_true(with.area_factor < 1.02 * stage->area_hold_factor);
    th_run_free(&with);
    th_run_free(&without);
    answer_free(&a);
}

/* What is cut into the part on its bridges, and the bridges cut off, pull at its tape alone. */
static void test_later_cuts(void **state) {
    draft d = in_sheet();
    th_job *job = built(&d);
    script tied, whole;
    th_run on_tabs, in_stock;
    (void)state;

    outline(&tied, 3);
    say(&tied, "G0 X10 Y36\nZ1\nG1 Z-2 F100\nG1 X50 F900\nG0 Z5\nM30\n");
    begin(&whole);
    say(&whole, "G0 X10 Y36\nZ1\nG1 Z-2 F100\nG1 X50 F900\nG0 Z5\nM30\n");
    run_script(job, &tied, 0, CELL, &on_tabs);
    run_script(job, &whole, 0, CELL, &in_stock);
    size_t last = on_tabs.line_count - 1, alone = in_stock.line_count - 1;
    assert_true(isfinite(on_tabs.lines[last].area_factor) &&
                isfinite(in_stock.lines[alone].area_factor));
    assert_near((double)on_tabs.lines[last].force, (double)in_stock.lines[alone].force, 0.02, 0);
    /* 2400 mm2 hold instead of 8000 */
    assert_true(on_tabs.lines[last].area_factor < 0.6F * in_stock.lines[alone].area_factor);
    th_run_free(&on_tabs);
    th_run_free(&in_stock);

    outline(&tied, 3); /* the upper one milled to a third of its height, at the end */
    say(&tied, "G0 X24 Y43\nZ-1\nG1 Z-2.7 F200\nG1 X36 F900\nG0 Z5\nM30\n");
    run_script(job, &tied, 0, CELL, &on_tabs);
    last = on_tabs.line_count - 1;
    assert_true(on_tabs.loose[0].tabs);
    assert_true(isfinite(on_tabs.lines[last].area_factor));
    assert_true(on_tabs.lines[last].force > 10);
    th_run_free(&on_tabs);
    th_job_free(job);
}

/* A bridge taken down to z in two passes; gives the line of the last. */
static int cut_bridge(script *s, double y, double z) {
    say(s, "G0 Z5\nX24 Y%g\nZ-1\nG1 Z-2.5 F200\nX36 F900\nZ%g F200\nX24 F900\n", y, z);
    return line_now(s) - 1;
}

/* The line that cuts the last bridge is told, of the part and of the frame; not one that leaves
 * enough to tie, nor a finishing pass after it. */
static void test_cut_off(void **state) {
    draft d = in_sheet();
    th_job *job = built(&d);
    script s;
    th_run run;
    int last = 0;
    (void)state;

    for (int through = 0; through <= 2; through++) { /* bridges cut off */
        outline(&s, 3);
        cut_bridge(&s, 43.0002, through > 0 ? -3.2 : -2.7); /* as inches may be rounded */
        last = cut_bridge(&s, -3.0002, through > 1 ? -3.2 : -2.7);
        say(&s, "G0 Z5\nX-3 Y-3\nZ1\n");
        ring(&s, -2.5, 0, 0);
        say(&s, "G0 Z5\nM30\n");
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(run.loose_count, 2);
        for (size_t i = 0; i < 2; i++) {
            assert_true(run.loose[i].tabs);
            assert_int_equal(run.loose[i].tabs_line, through > 1 ? last : 0);
        }
        assert_int_equal(run.loose[0].kind, TH_PIECE_PART);
        th_run_free(&run);
    }
    th_job_free(job);
}

/* Of a part cut into on its bridges a thin cutter leaves stubs of those, which tie it to nothing.
 */
static void test_stubs(void **state) {
    draft d = in_sheet();
    script s;
    th_run run;
    int last = 0;
    (void)state;

    put(&d, "cutter.thin", "id", "flat-2mm-2");
    put(&d, "tool.1", "cutter", "em");
    put(&d, "tool.2", "cutter", "thin");
    th_job *job = built(&d);
    begin(&s);
    say(&s, "T1 M6\nS10000 M3\n");
    ring(&s, -1, 0, 0);
    ring(&s, -2, 0, 0);
    ring(&s, -3.2, 5, -2.2);
    say(&s, "G0 Z5\nX20 Y20\nZ1\nG1 Z-1 F100\nX40 F600\nG0 Z5\nT2 M6\nS10000 M3\n");
    for (int stubs = 1; stubs >= 0; stubs--) { /* at 42 to 44 of 40 to 46, then what they left */
        for (int under = 0; under < 2; under++) {
            say(&s, "G0 Z5\nX26 Y%g\nZ-1\n", under ? (stubs ? -3.0 : -1.0) : stubs ? 43.0 : 41.0);
            say(&s, "G1 Z-2.5 F100\nX34 F300\nZ-3.2 F100\nX26 F300\n");
            last = stubs ? line_now(&s) - 1 : last;
        }
    }
    say(&s, "G0 Z5\nM30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_in_range(run.loose_count, 2, 4); /* crumbs of the stubs may be among them */
    assert_int_equal(run.loose[0].kind, TH_PIECE_PART);
    assert_true(run.loose[0].tabs && run.loose[1].tabs);
    assert_int_equal(run.loose[0].tabs_line, last);
    assert_int_equal(run.loose[1].tabs_line, last);
    th_run_free(&run);
    th_job_free(job);
}

/* A skin all round, or a side that is not cut at all, are no tabs: it stays one with the sheet. */
static void test_no_tabs(void **state) {
    draft d = in_sheet();
    th_job *job = built(&d);
    script s;
    th_run run;
    (void)state;

    begin(&s);
    ring(&s, -1, 0, 0);
    ring(&s, -2.6, 0, 0);
    say(&s, "G0 Z5\nM30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_int_equal(run.loose_count, 0);
    assert_false(lists(&run.defaults, "tabs"));
    th_run_free(&run);

    begin(&s);
    say(&s, "G1 Z-3.2 F200\nG1 Y43 F900\nX63\nG0 Z5\nM30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_int_equal(run.loose_count, 0);
    assert_true(lists(&run.held_back, "taken as solid"));
    th_run_free(&run);

    begin(&s); /* the sheet is skimmed round the part, and the part cut off whole */
    say(&s, "G1 X-12 Y-12 Z-0.5 F900\nY52\nX72\nY-12\nX-12\nX-3 Y-3\n");
    ring(&s, -3.2, 0, 0);
    say(&s, "G0 Z5\nM30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_int_equal(run.loose_count, 2);
    assert_int_equal(run.loose[1].kind, TH_PIECE_FRAME);
    assert_false(run.loose[0].tabs || run.loose[1].tabs);
    assert_false(lists(&run.defaults, "tabs"));
    th_run_free(&run);
    th_job_free(job);
}

/* A slug on tabs neither holds the part nor comes loose. */
static void test_slug(void **state) {
    draft d = in_sheet();
    script s;
    th_run run;
    (void)state;

    put_point(&d, "opening.1", "at", 30, 20);
    put(&d, "opening.1", "size", "30 x 20");
    th_job *job = built(&d);
    begin(&s);
    say(&s, "G0 X18 Y13\nG1 Z-3.2 F200\nX25.5 F900\nG0 Z-2\nG1 X34.5\nZ-3.2 F200\nX42 F900\nY27\n"
            "X34.5\nG0 Z-2\nG1 X25.5\nZ-3.2 F200\nX18 F900\nY13\nG0 Z5\nM30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_int_equal(run.loose_count, 1);
    assert_int_equal(run.loose[0].kind, TH_PIECE_SLUG);
    assert_true(run.loose[0].tabs);
    assert_false(run.loose[0].counts);
    if (run.loose[0].hold_factor < run.asked_factor) {
        assert_true(lists(&run.cautions, "hangs on its tabs"));
    }
    th_run_free(&run);
    th_job_free(job);
}

/* ---- what never comes free ------------------------------------------------------------------- */

static draft two_in_sheet(void) {
    draft d = in_sheet();

    add_sheet(&d, 180, 80, 20, 20);
    put(&d, "part", "copies", "2 x 1");
    put(&d, "part", "pitch", "75 mm x 60 mm");
    return d;
}

/* Round the copy whose corner lies at x, as `ring`. */
static void ring_at(script *s, double x, double z, double wide, double over) {
    say(s, "G0 Z5\nX%g Y-3\nZ1\nG1 Z%g F200\nY43 F900\n", x - 3, z);
    side(s, x + 63, x + 30, wide, z, over);
    say(s, "Y-3\n");
    side(s, x - 3, x + 30, wide, z, over);
}

static void outline_at(script *s, double x, double wide, double over) {
    ring_at(s, x, -1, over > 0 ? wide : 0, over);
    ring_at(s, x, -2, over > 0 ? wide : 0, over);
    ring_at(s, x, -3.2, wide, over);
    say(s, "G0 Z5\n");
}

/* A copy that is still joined holds the verdict back, whatever else has come loose. */
static void test_each_copy(void **state) {
    draft d = two_in_sheet();
    th_job *job = built(&d);
    (void)state;

    for (int tied = 0; tied <= 2;
         tied++) { /* 0: none, or the copy on bridges as thick as the sheet */
        script s;
        th_run run;
        begin(&s);
        outline_at(&s, 0, tied == 1 ? 3 : 0, 1);
        outline_at(&s, 75, tied == 2 ? 3 : 0, 1);
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(run.loose_count, tied ? 1 : 3); /* the frame when no copy is in it */
        assert_int_equal(run.loose[run.loose_count - 1].kind,
                         tied ? TH_PIECE_PART : TH_PIECE_FRAME);
        assert_int_equal(lists(&run.held_back, "beside copy 1 of the part, which never"),
                         tied == 1);
        assert_int_equal(lists(&run.held_back, "beside copy 2 of the part, which never"),
                         tied == 2);
        th_run_free(&run);
    }
    th_job_free(job);
}

/* A strip with a copy on it comes off as stock, and is told again when it is frame alone. */
static void test_told_again(void **state) {
    draft d = two_in_sheet();
    th_job *job = built(&d);
    script s;
    th_run run;
    (void)state;

    begin(&s);
    say(&s, "G0 Z5\nX67.5 Y-40\nZ1\nG1 Z-3.2 F200\nY90 F900\nG0 Z5\nX-3 Y-3\nZ1\n");
    int halves = line_now(&s) - 5;
    outline_at(&s, 75, 0, 1);
    int first = line_now(&s) - 1;
    outline_at(&s, 0, 0, 1);
    say(&s, "M30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_int_equal(run.loose_count, 5);
    assert_int_equal(run.loose[0].kind, TH_PIECE_STOCK);
    assert_in_range(run.loose[0].line, halves - 1, halves + 1);
    size_t frames = 0, parts = 0;
    for (size_t i = 1; i < run.loose_count; i++) {
        frames += run.loose[i].kind == TH_PIECE_FRAME;
        parts += run.loose[i].kind == TH_PIECE_PART;
    }
    assert_int_equal(frames, 2);
    assert_int_equal(parts, 2);
    assert_true(run.loose[2].line <= first && run.loose[3].line > first);
    th_run_free(&run);
    th_job_free(job);
}

/* A skin that a depth a little deep goes through is told, where the part hangs on it; and one that
 * does not let go of it at all, but a step in the sheet is none. */
static void test_thin_skin(void **state) {
    static const struct {
        double depth;
        bool through, told, stays;
    } cases[] = {{-2.75, false, true, false},
                 {-2.6, false, false, true},
                 {-1.4, false, false, false},
                 {-2.75, true, false, false}};
    draft d = in_sheet();
    th_job *job = built(&d);
    (void)state;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        script s;
        th_run run;
        begin(&s);
        ring(&s, -1, 0, 0);
        ring(&s, cases[i].depth, 0, 0);
        if (cases[i].through) {
            ring(&s, -3.2, 0, 0);
        }
        say(&s, "G0 Z5\nX75 Y-10\nZ1\nG1 Z-2.75 F200\nY40 F900\nG0 Z5\nM30\n"); /* in the sheet */
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(lists(&run.cautions, "leaves a skin of 0.25 mm round the part: where it "
                                              "comes out under 0.2 mm"),
                         cases[i].told);
        assert_int_equal(lists(&run.cautions, "leaves a skin"), cases[i].told);
        assert_int_equal(lists(&run.cautions, "and leaves 0.4 mm: the part stays in its sheet"),
                         cases[i].stays);
        assert_int_equal(lists(&run.cautions, "stays in its sheet"), cases[i].stays);
        th_run_free(&run);
    }
    th_job_free(job);
}

/* A strip of the sheet that comes off frees no part; all the sheet round it cut away in two does.
 */
static void test_strip_off(void **state) {
    draft d = in_sheet();
    th_job *job = built(&d);
    script s;
    th_run run;
    (void)state;

    begin(&s);
    outline_at(&s, 0, 3, 1);
    say(&s, "G0 X75 Y-30\nZ1\nG1 Z-3.2 F200\nY70 F900\nG0 Z5\nM30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_int_equal(run.loose_count, 1);
    assert_int_equal(run.loose[0].kind, TH_PIECE_FRAME);
    assert_true(lists(&run.held_back, "beside the part, which never comes free"));
    th_run_free(&run);
    th_job_free(job);

    add_sheet(&d, 76, 56, 8, 8); /* the part is more than what comes off it */
    job = built(&d);
    begin(&s);
    outline_at(&s, 0, 0, 0);
    say(&s, "M30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_int_equal(run.loose_count, 2);
    assert_int_equal(run.loose[0].kind, TH_PIECE_FRAME);
    assert_int_equal(run.loose[1].kind, TH_PIECE_PART);
    assert_int_equal(run.loose[1].line, run.loose[0].line);
    assert_near(run.loose[1].area, 60 * 40 * job->hold.coverage, 0.01, 0);
    assert_near(run.loose[1].box[2] - run.loose[1].box[0], 60, 0, 0.3);
    for (int i = 0; i < 4; i++) { /* without the kerf */
        double edge = i == 2 ? 60 : i == 3 ? 40 : 0;
        assert_near(run.loose[1].stands[i], edge, 0, 1.01 * run.cell);
    }
    assert_near(run.loose[1].hold_factor, run.area_factor, 0.001, 0);
    assert_false(lists(&run.held_back, "never comes free"));
    th_run_free(&run);
    th_job_free(job);
}

/* ---- a sheet that is faced ------------------------------------------------------------------- */

/* From x0 to x1 all over the sheet. */
static void face(script *s, double x0, double x1, double z) {
    for (double y = -20; y <= 64; y += 4) {
        say(s, "G0 Z5\nX%g Y%g\nZ%g\nG1 X%g F150\n", x0, y, z, x1);
    }
    say(s, "G0 Z5\nX-3 Y-3\nZ1\n");
}

/* Facing takes no tab away, and makes none of what stands. */
static void test_faced(void **state) {
    static const double ends[][2] = {{-30, 90}, {-30, 30}, {-30, -14}, {30, 90}};
    draft d = in_sheet();
    th_job *job = built(&d);
    script s;
    th_run plain, run;
    (void)state;

    outline(&s, 3);
    say(&s, "M30\n");
    run_script(job, &s, 0, CELL, &plain);
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        begin(&s);
        face(&s, ends[i][0], ends[i][1], -0.3);
        outline_at(&s, 0, 3, -2.2);
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(run.loose_count, 2);
        assert_int_equal(run.loose[1].kind, TH_PIECE_FRAME);
        assert_int_equal(run.loose[0].kind, TH_PIECE_PART);
        assert_true(run.loose[0].tabs);
        assert_near(run.loose[0].area, 60 * 40 * job->hold.coverage, 0.003, 0);
        assert_near(run.loose[0].hold_factor, plain.loose[0].hold_factor, 0.02, 0);
        assert_near(run.area_factor, plain.area_factor, 0.02, 0);
        /* the facing itself pulls at all the sheet */
        assert_true((double)run.lines[10].area_factor > 5 * run.area_factor);
        th_run_free(&run);
    }
    th_run_free(&plain);
    th_job_free(job);
}

static void test_faced_copies(void **state) {
    draft d = two_in_sheet();
    th_job *job = built(&d);
    (void)state;

    for (int unlike = 0; unlike < 2; unlike++) { /* both on tabs, or the second alone */
        script s;
        th_run run;
        begin(&s);
        face(&s, -30, 170, -0.3);
        outline_at(&s, 0, unlike ? 0 : 3, -2.2);
        outline_at(&s, 75, 3, -2.2);
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(run.loose_count, 3);
        assert_int_equal(run.loose[2].kind, TH_PIECE_FRAME);
        for (size_t i = 0; i < 2; i++) {
            assert_int_equal(run.loose[i].kind, TH_PIECE_PART);
            assert_int_equal(run.loose[i].tabs, i == 1 || !unlike);
            assert_near(run.loose[i].area, 60 * 40 * job->hold.coverage, 0.003, 0);
        }
        assert_near(run.loose[0].hold_factor, run.loose[1].hold_factor, 0.02, 0);
        assert_false(lists(&run.held_back, "never comes free"));
        th_run_free(&run);
    }
    th_job_free(job);
}

/* ---- what tabs elsewhere leave alone --------------------------------------------------------- */

/* A slug smaller than the crescents beside a tab comes loose whether there are tabs or not. */
static void test_small_slug(void **state) {
    draft d = in_sheet();
    float factors[2];
    (void)state;

    put_point(&d, "opening.1", "at", 30, 20);
    put(&d, "opening.1", "size", "13.8 x 13.8");
    put(&d, "job", "offcuts", "must-stay");
    th_job *job = built(&d);
    for (int tied = 0; tied < 2; tied++) {
        script s;
        th_run run;
        size_t slugs = 0;
        begin(&s);
        say(&s, "G0 X26.1 Y20\nG1 Z-3.2 F200\nG2 I3.9 F900\nG0 Z5\nX-3 Y-3\nZ1\n");
        int line = lines_of(&s) - 3;
        outline_at(&s, 0, tied ? 3 : 0, -2.2);
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &run);
        for (size_t i = 0; i < run.loose_count; i++) {
            slugs += run.loose[i].kind == TH_PIECE_SLUG;
        }
        assert_int_equal(slugs, 1);
        assert_true(run.loose[0].area < 0.5 * 3 * 3);
        factors[tied] = run.lines[line].area_factor;
        th_run_free(&run);
    }
    assert_near((double)factors[1], (double)factors[0], 1e-6, 0);
    th_job_free(job);
}

/* Round the part by a cutter of 3 mm, over a tab on two sides in the last pass, or over none. */
static void outline_narrow(script *s, bool tied) {
    say(s, "G0 X-1.5 Y-1.5\nZ0.5\n");
    for (int pass = 1; pass <= 4; pass++) {
        double z = pass < 4 ? -0.8 * pass : -3.2;
        bool over = tied && pass == 4;
        say(s, "G1 Z%g F100\nY41.5 F600\nX28\n", z);
        say(s, over ? "Z-2.4\nX32\nZ-3.2 F100\nF600\n" : "X32\n");
        say(s, "X61.5\nY-1.5\nX32\n");
        say(s, over ? "Z-2.4\nX28\nZ-3.2 F100\nF600\n" : "X28\n");
        say(s, "X-1.5\n");
    }
    say(s, "G0 Z5\nM30\n");
}

/* What goes round one copy is nothing that the other has to bear, though the frame between them
 * comes off it in the end. */
static void test_copies_bear_their_own(void **state) {
    draft d = two_in_sheet();
    double alone = 0;
    (void)state;

    add_sheet(&d, 151, 56, 8, 8); /* the frame is less than a copy */
    th_job *job = built(&d);
    for (int both = 0; both < 2; both++) {
        script s;
        th_run run;
        begin(&s);
        outline_at(&s, 0, 0, 0);
        int second = line_now(&s);
        outline_at(&s, both ? 75 : 0, 0, 0);
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &run);
        for (size_t i = 0; i < run.loose_count; i++) {
            const th_loose *loose = &run.loose[i];
            if (loose->kind == TH_PIECE_PART && loose->copy == 1) {
                alone = both ? alone : loose->hold_factor;
                assert_near(loose->hold_factor, alone, 0.01, 0);
            } else if (loose->kind == TH_PIECE_PART) {
                assert_true(loose->worst_line > second);
                assert_near(loose->hold_factor, alone, 0.1, 0);
            }
        }
        assert_int_equal(run.loose_count, both ? 3 : 1);
        th_run_free(&run);
    }
    th_job_free(job);
}

/* Tabs are none of what still joins a part to the sheet, however fine the map. */
static void test_tabs_on_fine_maps(void **state) {
    static const double cells[] = {0.09, 0.06, 0.05};
    draft d = in_sheet();
    script s;
    (void)state;

    put(&d, "cutter.em", "id", "flat-3mm-2");
    put_length(&d, "cut.1", "radial", 3);
    put_length(&d, "cut.1", "axial", 0.8);
    add_sheet(&d, 76, 56, 8, 8); /* the frame comes off the part */
    th_job *job = built(&d);
    begin(&s);
    outline_narrow(&s, true);
    for (int i = 0; i < 3; i++) {
        th_run run;
        run_script(job, &s, 0, cells[i], &run);
        assert_true(lists(&run.defaults, "tabs bear nothing"));
        assert_false(lists(&run.held_back, "never comes free"));
        th_run_free(&run);
    }
    th_job_free(job);
}

/* The last stretch before the corner where the kerf began is a tongue of the pass before, which the
 * plate does not count to the part that hangs on its tabs: it holds as well as without them. */
static void test_last_stretch(void **state) {
    draft d = in_sheet();
    double factors[2];
    (void)state;

    put(&d, "cutter.em", "id", "flat-3mm-2");
    put_length(&d, "cut.1", "radial", 3);
    put_length(&d, "cut.1", "axial", 0.8);
    add_sheet(&d, 76, 56, 8, 8);
    th_job *job = built(&d);
    for (int tied = 0; tied < 2; tied++) {
        script s;
        th_run run;
        begin(&s);
        outline_narrow(&s, tied == 1);
        run_script(job, &s, 12, 0.04, &run);
        assert_true(run.plates_asked > 0);
        factors[tied] = run.hold_factor;
        for (size_t i = 0; i < run.loose_count; i++) {
            const double *box = run.loose[i].stands;
            if (run.loose[i].kind == TH_PIECE_PART) {
                assert_near(box[2] - box[0], 60, 0.003, 0);
                assert_near(box[3] - box[1], 40, 0.003, 0);
            }
        }
        th_run_free(&run);
    }
    assert_near(factors[1], factors[0], 0.1, 0);
    th_job_free(job);
}

/* ---- tabs that go in the end ----------------------------------------------------------------- */

/* A slot into the part; gives its line. */
static int slot_in(script *s, double x) {
    say(s, "G0 Z5\nX%g Y36\nZ1\nG1 Z-2 F100\nX%g F900\n", x + 10, x + 50);
    int line = lines_of(s);
    say(s, "G0 Z5\n");
    return line;
}

static void cut_off(script *s) {
    say(s, "G0 X22 Y43\nZ1\nG1 Z-3.2 F100\nX38 F300\nG0 Z5\n"
           "X22 Y-3\nZ1\nG1 Z-3.2 F100\nX38 F300\nG0 Z5\n");
}

/* A part that is cut into between is held as where its tabs stay, of whatever thickness they are.
 */
static void test_late(void **state) {
    draft d = in_sheet();
    th_job *job = built(&d);
    script s;
    th_run stays, goes;
    (void)state;

    outline(&s, 3);
    int line = slot_in(&s, 0);
    say(&s, "M30\n");
    run_script(job, &s, 0, CELL, &stays);
    double alone = (double)stays.lines[line].area_factor;
    th_run_free(&stays);
    for (int full = 0; full < 2; full++) {
        begin(&s);
        outline_at(&s, 0, 3, full ? 1 : -2.2);
        line = slot_in(&s, 0);
        cut_off(&s);
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &goes);
        assert_near((double)goes.lines[line].area_factor, alone, 0.03, 0);
        assert_int_equal(goes.loose_count, 2);
        assert_int_equal(goes.loose[1].kind, TH_PIECE_FRAME);
        assert_int_equal(goes.loose[0].kind, TH_PIECE_PART);
        assert_near(goes.loose[0].area, 60 * 40 * job->hold.coverage, 0.01, 0);
        assert_true(lists(&goes.defaults, "tabs bear nothing"));
        assert_false(lists(&goes.held_back, "never comes free"));
        th_run_free(&goes);
    }
    th_job_free(job);
}

/* Nor does it matter whether the part comes off the frame, or a narrow frame off the part. */
static void test_late_in_narrow_frame(void **state) {
    double alone[2];
    (void)state;

    for (int goes = 0; goes < 2; goes++) {
        draft d = in_sheet();
        script s;
        th_run run;
        add_sheet(&d, 76, 56, 8, 8);
        th_job *job = built(&d);
        begin(&s);
        outline_at(&s, 0, 3, goes ? 1 : -2.2);
        int line = slot_in(&s, 0);
        if (goes) {
            cut_off(&s);
        }
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &run);
        alone[goes] = (double)run.lines[line].area_factor;
        th_run_free(&run);
        th_job_free(job);
    }
    assert_near(alone[1], alone[0], 0.03, 0);
}

/* Nothing hangs where a part is cut into first and cut out then, whatever was cut out before it;
 * nor where most of its outline still stands. */
static void test_not_late(void **state) {
    static const char *const openings[] = {"opening.1", "opening.2", "opening.3"};
    draft d = two_in_sheet();
    script s, first;
    th_run run, whole;
    (void)state;

    for (int i = 0; i < 3; i++) { /* openings, whose rims are longer than the outline */
        put_point(&d, openings[i], "at", 10.5 + 19.5 * i, 16);
        put(&d, openings[i], "size", "30 x 18");
        put(&d, openings[i], "angle", "90 deg");
    }
    th_job *job = built(&d);
    begin(&s);
    begin(&first);
    outline_at(&s, 0, 0, 0);
    for (int i = 0; i < 2; i++) {
        script *of = i ? &first : &s;
        for (int k = 0; k < 3; k++) {
            double x = 75 + 10.5 + 19.5 * k;
            say(of,
                "G0 X%g Y10\nZ1\nG1 Z-3.2 F200\nY22 F900\nG2 X%g R6\nG1 Y10\nG2 X%g R6\nG0 Z5\n",
                x - 6, x + 6, x - 6);
        }
    }
    int line = slot_in(&s, 75), same = slot_in(&first, 75);
    outline_at(&s, 75, 0, 0);
    say(&s, "M30\n");
    say(&first, "M30\n");
    run_script(job, &s, 0, CELL, &run);
    run_script(job, &first, 0, CELL, &whole);
    assert_false(lists(&run.defaults, "tabs"));
    assert_int_equal(run.held_back.count, 1); /* stiff */
    assert_true(isfinite(run.lines[line].area_factor));
    /* the copy cut out before is gone from the sheet */
    assert_true(run.lines[line].area_factor > 0.5F * whole.lines[same].area_factor);
    th_run_free(&run);
    th_run_free(&whole);

    begin(&s); /* a third of the outline */
    say(&s, "G1 Z-3.2 F200\nG1 Y43 F900\nX20\nG0 Z5\n");
    slot_in(&s, 0);
    say(&s, "G0 X-3 Y-3\nZ1\n");
    outline_at(&s, 0, 0, 0);
    say(&s, "M30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_false(lists(&run.defaults, "tabs"));
    th_run_free(&run);
    th_job_free(job);
}

/* Cut out by four cuts right across the sheet, a part is free with the last of them, not but for
 * tabs with the first: whole sides are none. */
static void test_straight_across(void **state) {
    draft d = in_sheet();
    th_job *job = built(&d);
    size_t parts = 0;
    int last = 0;
    script s;
    th_run run;
    (void)state;

    begin(&s);
    for (int side = 0; side < 4; side++) {
        for (int pass = 1; pass <= 3; pass++) {
            double z = pass < 3 ? -pass : -3.2, at = side % 2 ? (side > 1 ? 63 : 43) : -3;
            say(&s,
                side > 1 ? "G0 X%g Y-30\nG1 Z%g F900\nY70\nG0 Z5\n"
                         : "G0 Y%g X-30\nG1 Z%g F900\nX90\nG0 Z5\n",
                at, z);
            last = lines_of(&s) - 1;
        }
    }
    say(&s, "M30\n");
    run_script(job, &s, 0, CELL, &run);
    assert_false(lists(&run.defaults, "tabs"));
    for (size_t i = 0; i < run.loose_count; i++) {
        if (run.loose[i].kind == TH_PIECE_PART) {
            assert_int_equal(run.loose[i].line, last);
            assert_near(run.loose[i].area, 60 * 40 * job->hold.coverage, 0.01, 0);
            parts++;
        }
    }
    assert_int_equal(parts, 1);
    th_run_free(&run);
    th_job_free(job);
}

/* Two by two small copies, parted by cuts right across their sheet: x first, y then from below or
 * from above. */
static void parted(const th_job *job, bool above, th_run *run) {
    static const double across[] = {-3, 23, 49}, up[] = {-3, 18, 39};
    script s;

    begin(&s);
    for (int i = 0; i < 6; i++) {
        for (int pass = 1; pass <= 2; pass++) {
            double z = pass < 2 ? -1 : -2.2;
            if (i < 3) {
                say(&s, "G0 X%g Y-25\nG1 Z%g F500\nY65\nG0 Z5\n", across[i], z);
            } else {
                say(&s, "G0 X-25 Y%g\nG1 Z%g F500\nX75\nG0 Z5\n", up[above ? 5 - i : i - 3], z);
            }
        }
    }
    say(&s, "M30\n");
    run_script(job, &s, 0, CELL, run);
}

/* In whatever order, each copy comes free once, whole, and no side of it is a tab. */
static void test_parted_copies(void **state) {
    draft d = plate(20, 15, 2);
    (void)state;

    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 2);
    add_sheet(&d, 80, 70, 15, 15);
    put(&d, "part", "copies", "2 x 2");
    put(&d, "part", "pitch", "26 mm x 21 mm");
    add_cut(&d, "cut.1", "outline", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1);
    put_length(&d, "cut.1", "radial", 6);
    th_job *job = built(&d);
    for (int above = 0; above < 2; above++) {
        size_t parts = 0;
        th_run run;
        parted(job, above, &run);
        assert_false(lists(&run.defaults, "tabs"));
        assert_false(lists(&run.held_back, "never comes free"));
        for (size_t i = 0; i < run.loose_count; i++) {
            const th_loose *loose = &run.loose[i];
            assert_false(loose->tabs);
            parts += loose->kind == TH_PIECE_PART &&
                     fabs(loose->area - 20 * 15 * job->hold.coverage) < 3;
        }
        assert_int_equal(parts, 4);
        th_run_free(&run);
    }
    th_job_free(job);
}

/* Of all lines up to one. */
static double lowest_to(const th_run *run, int line) {
    double least = INFINITY;

    for (size_t i = 0; i <= (size_t)line && i < run->line_count; i++) {
        least = fmin(least, (double)run->lines[i].area_factor);
    }
    return least;
}

/* A free part that is cut in two later bore the cut round it as a whole. */
static void test_cut_in_two(void **state) {
    draft d = in_sheet();
    th_job *job = built(&d);
    double least[2];
    (void)state;

    for (int halved = 0; halved < 2; halved++) {
        script s;
        th_run run;
        outline(&s, 0);
        int line = lines_of(&s);
        for (int pass = 1; halved && pass <= 3; pass++) {
            say(&s, "G0 X20 Y-3\nG1 Z%g F200\nX35 Y43 F900\nG0 Z5\n", pass < 3 ? -pass : -3.2);
        }
        say(&s, "M30\n");
        run_script(job, &s, 0, CELL, &run);
        assert_int_equal(run.loose_count, halved ? 3 : 2);
        assert_false(lists(&run.defaults, "tabs"));
        least[halved] = lowest_to(&run, line);
        for (size_t i = 0; i < 2; i++) { /* as it came off, though half of it does later */
            const th_loose *loose = &run.loose[i];
            assert_true(loose->kind != TH_PIECE_PART || loose->stands[2] - loose->stands[0] > 59);
        }
        assert_true(!halved || run.hold_factor < least[1]);
        assert_int_equal(lists(&run.cautions, "cuts into it"), halved);
        th_run_free(&run);
    }
    assert_near(least[1], least[0], 0.01, 0);
    th_job_free(job);
}

/* ---- progress -------------------------------------------------------------------------------- */

static void look_back(void *context, double share) {
    double *last = context;

    assert_true(share >= *last && share <= 1);
    *last = share;
}

static void test_progress(void **state) {
    static const th_outline none;
    draft d = in_sheet();
    th_job *job = built(&d);
    double last = 0;
    script s;
    th_run run;
    th_error err = {0};
    (void)state;

    outline(&s, 3);
    say(&s, "M30\n");
    th_run_options options = {.job = job,
                              .outline = &none,
                              .reading = th_program_defaults(),
                              .plates = 4,
                              .cell = CELL,
                              .progress = look_back,
                              .context = &last};
    assert_true(th_run_program(s.text, s.used, &options, &run, &err));
    assert_true(last > 0.5);
    th_run_free(&run);
    th_job_free(job);
}

/* A line to y and z, in so many parts. */
static void part_by_part(script *s, int parts, double from[2], double y, double z) {
    for (int i = 1; i <= parts; i++) {
        say(s, "Y%.4f Z%.4f\n", from[0] + (y - from[0]) * i / parts,
            from[1] + (z - from[1]) * i / parts);
    }
    from[0] = y;
    from[1] = z;
}

/* The warmest that the tape gets where a thin part is cut out in four laps, the last two on ramps
 * over a tab in its left side, each ramp in so many parts. */
static double warmest_on_ramps(const th_job *job, int parts) {
    static const double levels[] = {-0.2, -0.4, -0.58, -0.74};
    script s = {.used = 0};
    double warmest;
    th_run run;

    say(&s, "G21 G90 G17\nS2500 M3 M7\nG0 X61.5 Y-1.5\nZ1\n");
    for (int i = 0; i < 4; i++) {
        double at[2] = {51.5, levels[i]}, top = fmax(levels[i], -0.4);
        say(&s, "G1 Z%g F60\nY51.5 F600\nX-1.5\n", levels[i]);
        part_by_part(&s, parts, at, 28.5, levels[i]);
        part_by_part(&s, parts, at, 27.5, top);
        part_by_part(&s, parts, at, 22.5, top);
        part_by_part(&s, parts, at, 21.5, levels[i]);
        say(&s, "Y-1.5\nX61.5\n");
    }
    say(&s, "G0 Z5\nM30\n");
    run_script(job, &s, 0, 0.02, &run);
    warmest = run.warmest;
    th_run_free(&run);
    return warmest;
}

/* Down a ramp it is the end of the cutter that takes the most: no sliver that its side takes in one
 * part of the ramp warms the tape as if all its heat went in there. */
static void test_ramps_in_parts(void **state) {
    draft d = plate(60, 50, 0.8);
    double whole;
    th_job *job;

    (void)state;
    put(&d, "hold", "cutting_time", "60 s");
    put(&d, "hold", "cooling", "mist");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 0.8);
    add_sheet(&d, 72, 62, 6, 6);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.2);
    put_length(&d, "cut.1", "radial", 3);
    put(&d, "cut.1", "speed", "2500 rpm");
    put(&d, "cut.1", "feed", "600 mm/min");
    job = built(&d);
    whole = warmest_on_ramps(job, 1);
    for (int parts = 2; parts <= 3; parts++) {
        assert_near(warmest_on_ramps(job, parts) - 21, whole - 21, 0.05, 0);
    }
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_bond_alone),   cmocka_unit_test(test_later_cuts),
        cmocka_unit_test(test_cut_off),      cmocka_unit_test(test_stubs),
        cmocka_unit_test(test_no_tabs),      cmocka_unit_test(test_slug),
        cmocka_unit_test(test_each_copy),    cmocka_unit_test(test_strip_off),
        cmocka_unit_test(test_faced),        cmocka_unit_test(test_faced_copies),
        cmocka_unit_test(test_small_slug),   cmocka_unit_test(test_tabs_on_fine_maps),
        cmocka_unit_test(test_last_stretch), cmocka_unit_test(test_copies_bear_their_own),
        cmocka_unit_test(test_told_again),   cmocka_unit_test(test_thin_skin),
        cmocka_unit_test(test_late),         cmocka_unit_test(test_late_in_narrow_frame),
        cmocka_unit_test(test_not_late),     cmocka_unit_test(test_straight_across),
        cmocka_unit_test(test_cut_in_two),   cmocka_unit_test(test_parted_copies),
        cmocka_unit_test(test_progress),     cmocka_unit_test(test_ramps_in_parts),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
