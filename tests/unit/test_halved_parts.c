/* test_halved_parts.c - a part cut right across before it is cut out: both halves are told, and
 * neither is waste before. Parts and programs are invented. */
#include <math.h>
#include <string.h>

#include "support/draft.h"
#include "support/script.h"

enum { LENGTH = 60, WIDTH = 40 };
#define CELL 0.1 /* (mm) */
#define EDGE 10.0
#define CUTTER 3.0
#define COVERAGE 0.9

static th_job *part_in_sheet(void) {
    draft d = plate(LENGTH, WIDTH, 1);

    put_number(&d, "hold", "coverage", COVERAGE, "");
    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 1);
    add_sheet(&d, LENGTH + 2 * EDGE, WIDTH + 2 * EDGE, EDGE, EDGE);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.6);
    put_length(&d, "cut.1", "radial", CUTTER);
    return built(&d);
}

static void write_program(script *s, double across) {
    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS10000 M3\nG0 Z5\nX%g Y-15\nZ-0.6\nG1 Y55 F400\nG0 Z-1.1\nG1 Y-15\n",
        across);
    say(s, "G0 Z5\nX-1.5 Y-15\n");
    for (int pass = 0; pass < 2; pass++) {
        say(s, "G0 Y-15\nZ%g\nG1 Y41.5 F400\nX61.5\nY-1.5\nX-1.5\nG0 Z5\n", pass ? -1.1 : -0.6);
    }
    say(s, "M30\n");
}

/* The one part of which the corner lies there; fails the test if there is none. */
static const th_loose *part_from(const th_run *run, double x) {
    const th_loose *found = NULL;

    for (size_t i = 0; i < run->loose_count; i++) {
        const th_loose *loose = &run->loose[i];
        if (loose->kind == TH_PIECE_PART && fabs(loose->stands[0] - x) < CELL) {
            assert_null(found);
            found = loose;
        }
    }
    assert_non_null(found);
    return found;
}

static void is_half(const th_loose *half, double x0, double x1) {
    assert_near(half->stands[1], 0, 0, CELL);
    assert_near(half->stands[2], x1, 0, CELL);
    assert_near(half->stands[3], WIDTH, 0, CELL);
    assert_near(half->area, COVERAGE * (x1 - x0) * WIDTH, 0,
                2 * COVERAGE * CELL * (LENGTH + WIDTH));
    assert_true(half->counts);
}

/* Wherever the line runs: as long as a fifth of the part lies beyond it, what it takes off is
 * stock, of the size that goes with its area. */
static void both_halves_are_told(void **state) {
    static const double places[] = {16, 20, 24.7, 29, 30, 31.3, 36, 42, 44};
    th_job *job = part_in_sheet();
    script s;

    (void)state;
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        double across = places[i];
        th_run run;
        write_program(&s, across);
        run_script(job, &s, 0, CELL, &run);
        is_half(part_from(&run, 0), 0, across - CUTTER / 2);
        is_half(part_from(&run, across + CUTTER / 2), across + CUTTER / 2, LENGTH);
        assert_int_equal(run.loose[0].line, 8);
        assert_int_equal(run.loose[0].kind, TH_PIECE_STOCK);
        const double *box = run.loose[0].stands;
        /* the end of the kerf is a half circle that stands on it still */
        assert_near((box[2] - box[0]) * (box[3] - box[1]), run.loose[0].area / COVERAGE, 0.05, 0);
        for (size_t k = 1; k < run.loose_count; k++) {
            assert_true(run.loose[k].line > 8);
        }
        th_run_free(&run);
    }
    th_job_free(job);
}

/* A path that runs wide by a tenth of the part leaves waste all the same. */
static void a_frame_may_have_some_of_the_part_in_it(void **state) {
    th_job *job = part_in_sheet();
    th_run run;
    script s = {.used = 0};
    int frames = 0;

    (void)state;
    say(&s, "G21 G90 G17\nS10000 M3\nG0 Z5\n");
    for (int pass = 0; pass < 2; pass++) {
        say(&s, "G0 X4.5 Y-15\nZ%g\nG1 Y41.5 F400\nX67.5\nY-1.5\nX4.5\nG0 Z5\n",
            pass ? -1.1 : -0.6);
    }
    say(&s, "M30\n");
    run_script(job, &s, 0, CELL, &run);
    for (size_t i = 0; i < run.loose_count; i++) {
        frames += run.loose[i].kind == TH_PIECE_FRAME;
        assert_int_not_equal(run.loose[i].kind, TH_PIECE_STOCK);
    }
    assert_true(frames > 0);
    th_run_free(&run);
    th_job_free(job);
}

/* ---- cut once more
 * ------------------------------------------------------------------------------- */

/* Slots across a part that has no sheet, the second across the first; gives the first one's last
 * line. */
static int write_slots(script *s, int slots) {
    int line = 0;

    *s = (script){.used = 0};
    say(s, "G21 G90 G17\nS10000 M3\nG0 Z5\n");
    for (int slot = 0; slot < slots; slot++) {
        for (int pass = 1; pass <= 3; pass++) {
            const char *way = slot ? "G0 X30 Y-3\nZ%g\nG1 Y43 F200\nG0 Z5\n"
                                   : "G0 X-3 Y20\nZ%g\nG1 X63 F400\nG0 Z5\n";
            say(s, way, pass < 3 ? -0.45 * pass : -1.05);
            line = slot ? line : line_now(s) - 2;
        }
    }
    say(s, "M30\n");
    return line;
}

/* The first was held by halves, whatever cuts them in two later: not by quarters, though its path
 * has these beside it in the end. */
static void a_cut_is_held_by_what_it_was_cut_in(void **state) {
    draft d = plate(LENGTH, WIDTH, 1);
    th_run once, twice;
    th_job *job;
    script s;
    int last;
    (void)state;

    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", 1);
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put_length(&d, "cut.1", "axial", 0.45);
    put_point(&d, "cut.1", "from", 0, 20);
    put_point(&d, "cut.1", "to", LENGTH, 20);
    job = built(&d);
    last = write_slots(&s, 1);
    run_script(job, &s, 0, CELL, &once);
    assert_int_equal(write_slots(&s, 2), last);
    run_script(job, &s, 0, CELL, &twice);
    assert_int_equal(once.loose_count, 2);
    assert_int_equal(twice.loose_count, 4);
    for (int line = 1; line <= last; line++) {
        double before = (double)once.lines[line].area_factor;
        if (isfinite(before)) {
            assert_near((double)twice.lines[line].area_factor, before, 1e-6, 0);
        }
    }
    th_run_free(&once);
    th_run_free(&twice);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cut_is_held_by_what_it_was_cut_in),
        cmocka_unit_test(both_halves_are_told),
        cmocka_unit_test(a_frame_may_have_some_of_the_part_in_it),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
