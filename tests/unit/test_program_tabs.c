/* Tests of tabs that a program leaves: what they tie is held by its own tape alone. Parts and
 * programs are invented. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/program.h"

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

typedef struct {
    char text[4000];
    size_t used;
} script;

static void say(script *s, const char *format, ...) {
    va_list list;

    va_start(list, format);
    s->used += (size_t)vsnprintf(s->text + s->used, sizeof s->text - s->used, format, list);
    va_end(list);
    assert_true(s->used < sizeof s->text);
}

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

static void run_it(const th_job *job, const char *text, size_t plates, th_run *run) {
    static const th_outline none;
    th_run_options options = {.job = job,
                              .outline = &none,
                              .reading = th_program_defaults(),
                              .plates = plates,
                              .cell = CELL};
    th_error err = {0};

    if (!th_run_program(text, strlen(text), &options, run, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
    assert_true(run->judged);
}

static bool lists(const th_lines *lines, const char *piece) {
    for (size_t i = 0; i < lines->count; i++) {
        if (strstr(lines->items[i], piece)) {
            return true;
        }
    }
    return false;
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
    run_it(a.job, tied.text, 12, &with);
    run_it(a.job, cut.text, 12, &without);
    assert_int_equal(with.held_back.count, 0);
    assert_true(lists(&with.defaults, "tabs bear nothing"));
    assert_false(lists(&without.defaults, "tabs bear nothing"));
    assert_int_equal(with.loose_count, 1);
    assert_int_equal(with.loose[0].kind, TH_PIECE_PART);
    assert_true(with.loose[0].tabs);
    assert_false(without.loose[0].tabs);
    assert_near(with.loose[0].area, 60 * 40, 0.003, 0);
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
    run_it(job, tied.text, 0, &on_tabs);
    run_it(job, whole.text, 0, &in_stock);
    size_t last = on_tabs.line_count - 1, alone = in_stock.line_count - 1;
    assert_true(on_tabs.lines[last].places && in_stock.lines[alone].places);
    assert_near((double)on_tabs.lines[last].force, (double)in_stock.lines[alone].force, 0.02, 0);
    /* 2400 mm2 hold instead of 8000 */
    assert_true(on_tabs.lines[last].area_factor < 0.6F * in_stock.lines[alone].area_factor);
    th_run_free(&on_tabs);
    th_run_free(&in_stock);

    outline(&tied, 3); /* the upper one milled to a third of its height, at the end */
    say(&tied, "G0 X24 Y43\nZ-1\nG1 Z-2.7 F200\nG1 X36 F900\nG0 Z5\nM30\n");
    run_it(job, tied.text, 0, &on_tabs);
    last = on_tabs.line_count - 1;
    assert_true(on_tabs.loose[0].tabs);
    assert_true(on_tabs.lines[last].places);
    assert_true(on_tabs.lines[last].force > 10);
    th_run_free(&on_tabs);
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
    run_it(job, s.text, 0, &run);
    assert_int_equal(run.loose_count, 0);
    assert_false(lists(&run.defaults, "tabs"));
    th_run_free(&run);

    begin(&s);
    say(&s, "G1 Z-3.2 F200\nG1 Y43 F900\nX63\nG0 Z5\nM30\n");
    run_it(job, s.text, 0, &run);
    assert_int_equal(run.loose_count, 0);
    assert_true(lists(&run.held_back, "taken as solid"));
    th_run_free(&run);

    begin(&s); /* the sheet is skimmed round the part, and the part cut off whole */
    say(&s, "G1 X-12 Y-12 Z-0.5 F900\nY52\nX72\nY-12\nX-12\nX-3 Y-3\n");
    ring(&s, -3.2, 0, 0);
    say(&s, "G0 Z5\nM30\n");
    run_it(job, s.text, 0, &run);
    assert_int_equal(run.loose_count, 1);
    assert_false(run.loose[0].tabs);
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
    run_it(job, s.text, 0, &run);
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

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_bond_alone),
        cmocka_unit_test(test_later_cuts),
        cmocka_unit_test(test_no_tabs),
        cmocka_unit_test(test_slug),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
