/* Tests of what a run keeps for whoever draws it, and of its card. Parts and programs are
 * invented; areas are those of the shapes that the cutter sweeps. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/report.h"

#define CELL 0.08 /* (mm) */

/* ---- the strip ------------------------------------------------------------------------------- */

static double plain_least(const th_line_load *lines, size_t count, int from, int to) {
    double least = INFINITY;

    for (int i = from; i <= to; i++) {
        if ((size_t)i < count && (double)lines[i].hold_factor < least) {
            least = (double)lines[i].hold_factor;
        }
    }
    return least;
}

/* Every line in one bin, in order, bins alike and not more than allowed, the least kept. */
static void check_strip(size_t count, int last, size_t most, dice *r) {
    th_line_load *lines = calloc(count, sizeof *lines);
    th_strip_bin *bins = malloc(most * sizeof *bins);
    int next = 1;

    for (size_t i = 0; i < count; i++) {
        lines[i].hold_factor = roll(r) < 0.3 ? INFINITY : (float)between(r, 0, 30);
    }
    size_t made = th_strip_of(lines, count, last, bins, most);
    int each = bins[0].to_line;
    assert_true(made >= 1 && made <= most);
    assert_true((double)(each - 1) * (double)most < last);
    for (size_t k = 0; k < made; k++) {
        double least = plain_least(lines, count, bins[k].from_line, bins[k].to_line);
        assert_int_equal(bins[k].from_line, next);
        assert_true(k + 1 == made || bins[k].to_line - bins[k].from_line + 1 == each);
        assert_true(isinf(least) ? isinf(bins[k].hold_factor) : bins[k].hold_factor <= least);
        assert_true(isinf(least) || bins[k].hold_factor >= least);
        assert_true(isinf(least) ? bins[k].worst_line == 0
                                 : (double)lines[bins[k].worst_line].hold_factor <= least);
        next = bins[k].to_line + 1;
    }
    assert_int_equal(next, last + 1);
    free(bins);
    free(lines);
}

static void test_strip(void **state) {
    static const int lasts[] = {1, 2, 59, 60, 61, 119, 120, 121, 1234, 100001};
    dice r = {7};
    (void)state;

    for (size_t i = 0; i < sizeof lasts / sizeof *lasts; i++) {
        check_strip((size_t)lasts[i] + 1, lasts[i], 60, &r);
        check_strip((size_t)lasts[i] / 2 + 1, lasts[i], 60, &r); /* the rest cuts nothing */
        check_strip((size_t)lasts[i] + 1, lasts[i], 1, &r);
    }
}

static void test_strip_of_nothing(void **state) {
    th_strip_bin bin;
    (void)state;

    assert_int_equal(th_strip_of(NULL, 0, 0, &bin, 1), 0);
    assert_int_equal(th_strip_of(NULL, 0, 9, &bin, 0), 0);
    assert_int_equal(th_strip_of(NULL, 0, 9, &bin, 1), 1);
    assert_true(isinf(bin.hold_factor));
    assert_int_equal(bin.to_line, 9);
}

/* ---- runs ------------------------------------------------------------------------------------ */

static draft taped(double thickness) {
    draft d = plate(60, 40, thickness);

    put(&d, "zero", "at", "0,0");
    put_length(&d, "zero", "top", thickness);
    add_cut(&d, "cut.1", "slot", "flat-6mm-3"); /* not looked at */
    put_length(&d, "cut.1", "axial", 0.1);
    return d;
}

static th_job *run_draft(const draft *d, const char *text, bool maps, th_run *run) {
    static const th_outline none;
    th_job *job = built(d);
    const th_run_options options = {
        .job = job, .outline = &none, .reading = th_program_defaults(), .cell = CELL, .maps = maps};
    th_error err = {0};

    if (!th_run_program(text, strlen(text), &options, run, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
    return job;
}

static void end(th_job *job, th_run *run) {
    th_run_free(run);
    th_job_free(job);
}

static double area_of(const th_bond_map *map, const unsigned char *shares) {
    double sum = 0;

    for (size_t n = 0; n < map->columns * map->rows; n++) {
        sum += shares[n] / 255.0;
    }
    return sum * map->cell * map->cell;
}

/* Area that a flat cutter of 6 mm leaves behind over a straight way. */
static double slot_area(double length) {
    return 6 * length + acos(-1) * 9;
}

/* Two slots: the first is fed faster, so the worst moment sees only that one. */
#define SLOTS                                                                                      \
    "G21 G90\nS8000 M3\nG0 X15 Y10\nZ1\nG1 Z-1 F60\nX45 F900\nG0 Z5\n"                             \
    "X15 Y30\nG1 Z-0.5 F60\nX45 F200\nG0 Z5\nM30\n"

static void test_maps(void **state) {
    draft d = taped(3);
    th_run run;
    (void)state;

    th_job *job = run_draft(&d, SLOTS, true, &run);
    assert_true(run.mapped);
    assert_int_equal(run.worst[0].load.line, 6);
    assert_true(run.at_end.columns <= TH_BOND_MAP_SIDE && run.at_end.rows <= TH_BOND_MAP_SIDE);
    assert_near(run.at_end.area, job->hold.coverage * 60 * 40, 1e-3, 0);
    assert_near(run.at_end.thinnest, 2, 1e-6, 0);
    assert_near(area_of(&run.at_end, run.at_end.thinned), 2 * slot_area(30), 0.01, 0);
    assert_near(area_of(&run.at_end, run.at_end.stands), 60 * 40, 0.005, 0);
    /* the worst step lies somewhere on the first slot, and the second is not there yet */
    double then = area_of(&run.at_worst, run.at_worst.thinned);
    assert_true(then > slot_area(0) * 0.98 && then < slot_area(30) * 1.01);
    /* by its place, which is the middle of a step; steps are up to a third of the cutter long */
    assert_near(then, slot_area(run.worst[0].load.at[0] - 15), 0.02, 6 * 2);
    assert_int_equal(run.strip_count, 12);
    assert_true(run.strip[5].hold_factor <= run.hold_factor * (1 + 1e-6));
    assert_true(isinf(run.strip[0].hold_factor));
    end(job, &run);
}

/* A slot through all of it holds nothing; a coarse map still covers a large sheet. */
static void test_map_cut_through(void **state) {
    draft d = taped(0.5);
    th_run run;
    (void)state;

    th_job *job = run_draft(
        &d, "G21 G90\nS8000 M3\nG0 X15 Y20\nZ1\nG1 Z-0.55 F60\nX45 F200\nG0 Z5\nM30\n", true, &run);
    assert_near(run.at_end.area, job->hold.coverage * (60 * 40 - slot_area(30)), 0.002, 0);
    assert_near(job->hold.coverage * area_of(&run.at_end, run.at_end.held), run.at_end.area, 0.005,
                0);
    assert_true(isinf(run.at_end.thinnest));
    end(job, &run);
}

static void test_loose_place(void **state) {
    draft d = taped(0.5);
    th_run run;
    (void)state;

    th_job *job = run_draft(&d,
                            "G21 G90\nS8000 M3\nG0 X15 Y10\nZ1\nG1 Z-0.55 F60\nX45 F200\nY30\nX15\n"
                            "Y10\nG0 Z5\nM30\n",
                            true, &run);
    assert_int_equal(run.loose_count, 1);
    /* what is left of it lies from 18 to 42 and from 13 to 27: the middle line is 7 mm inside */
    assert_true(run.loose_at[0].x > 24 && run.loose_at[0].x < 36);
    assert_near(run.loose_at[0].y, 20, 0, 0.3);
    end(job, &run);
}

static void test_no_maps(void **state) {
    draft d = taped(3);
    th_run run;
    (void)state;

    th_job *job = run_draft(&d, SLOTS, false, &run);
    assert_false(run.mapped);
    assert_int_equal(run.at_end.columns, 0);
    assert_int_equal(run.strip_count, 12);
    end(job, &run);
}

/* ---- the card -------------------------------------------------------------------------------- */

static void assert_has(const char *text, const char *piece) {
    if (!strstr(text, piece)) {
        fail_msg("\"%s\" is missing", piece);
    }
}

static char *card_of(const th_job *job, const th_run *run) {
    const th_program_shown shown = {.job = job, .file = "a<b.nc", .run = run};
    th_text text = {0};
    th_error err = {0};

    if (!th_report_program_card(&shown, &text, &err)) {
        fail_msg("%s", err.message);
    }
    return text.data;
}

static void test_card(void **state) {
    draft d = taped(3);
    th_run run;
    (void)state;

    th_job *job = run_draft(&d, SLOTS, true, &run);
    char *card = card_of(job, &run);
    assert_has(card, "<!DOCTYPE html>");
    assert_has(card, "a&lt;b.nc");
    assert_has(card, "id=\"map-of-the-tape\"");
    assert_has(card, "id=\"hold-factor-by-line\"");
    assert_has(card, "<td>X45 F900</td>");
    assert_has(card, "thinned, 2 mm left");
    assert_has(card, "taken as stiff");
    assert_null(strstr(card, "a<b"));
    assert_null(strstr(card, "<script"));
    free(card);
    end(job, &run);
}

static void test_card_in_inches(void **state) {
    draft d = taped(3);
    th_run run;
    (void)state;

    d.inch = true;
    put(&d, "job", "units", "inch");
    put(&d, "part", "length", "60 mm");
    put(&d, "part", "width", "40 mm");
    put(&d, "part", "thickness", "3 mm");
    put(&d, "zero", "top", "3 mm");
    th_job *job = run_draft(&d, SLOTS, true, &run);
    char *card = card_of(job, &run);
    assert_has(card, "thinned, 0.0787 in left");
    assert_has(card, "<small>lbf</small>");
    assert_null(strstr(card, " mm<"));
    free(card);
    end(job, &run);
}

/* Without maps, and where nothing is cut. */
static void test_card_of_little(void **state) {
    draft d = taped(3);
    th_run run;
    (void)state;

    th_job *job = run_draft(&d, SLOTS, false, &run);
    char *card = card_of(job, &run);
    assert_null(strstr(card, "id=\"map-of-the-tape\""));
    free(card);
    end(job, &run);
    job = run_draft(&d, "G21 G90\nS8000 M3\nG0 X15 Y10 Z1\nG1 X20 F100\nM30\n", true, &run);
    card = card_of(job, &run);
    assert_has(card, "nothing that must stay is cut");
    assert_has(card, "When the program is through");
    assert_int_equal(run.at_worst.columns, 0);
    free(card);
    end(job, &run);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_strip),          cmocka_unit_test(test_strip_of_nothing),
        cmocka_unit_test(test_maps),           cmocka_unit_test(test_map_cut_through),
        cmocka_unit_test(test_loose_place),    cmocka_unit_test(test_no_maps),
        cmocka_unit_test(test_card),           cmocka_unit_test(test_card_in_inches),
        cmocka_unit_test(test_card_of_little),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
