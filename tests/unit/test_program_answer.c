/* Tests of the answer for a program, and of lower feeds in its text. Parts and programs are
 * invented. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/program.h"

#define CELL 0.08 /* (mm) */

static draft taped(const char *thickness) {
    draft d = plate(60, 40, 3);

    put(&d, "part", "thickness", thickness);
    put(&d, "zero", "at", "0,0");
    put(&d, "zero", "top", thickness);
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put_length(&d, "cut.1", "axial", 1);
    put_point(&d, "cut.1", "from", 15, 20);
    put_point(&d, "cut.1", "to", 45, 20);
    put(&d, "cut.1", "speed", "8000 rpm");
    put(&d, "cut.1", "feed", "600 mm/min");
    return d;
}

static th_run_options options_for(const th_job *job, size_t plates) {
    static const th_outline none;

    return (th_run_options){.job = job,
                            .outline = &none,
                            .reading = th_program_defaults(),
                            .plates = plates,
                            .cell = CELL};
}

static void run_good(const th_job *job, const char *text, size_t plates, th_run *run) {
    th_run_options options = options_for(job, plates);
    th_error err = {0};

    if (!th_run_program(text, strlen(text), &options, run, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
}

static void run_bad(const th_job *job, const char *text, th_status code, int line) {
    th_run_options options = options_for(job, 0);
    th_error err = {0};
    th_run run;

    assert_false(th_run_program(text, strlen(text), &options, &run, &err));
    assert_int_equal(err.code, code);
    assert_int_equal(err.line, line);
}

/* ---- the answer ------------------------------------------------------------------------------ */

#define SLOT                                                                                       \
    "G21 G90 G17\n"                                                                                \
    "S8000 M3\n"                                                                                   \
    "G0 X15 Y20\nZ1\n"                                                                             \
    "G1 Z-1 F60 (down)\n"                                                                          \
    "X45 F600\n"                                                                                   \
    "G0 Z5\nM5\nM30\n"

/* The slot of the job by the area model, stiff as that is. */
static void test_same_as_job(void **state) {
    draft d = taped("3 mm");
    answer a;
    th_run run;
    (void)state;

    put(&d, "hold", "cutting_time", "60 s");
    run_taped(&d, NULL, &a);
    run_good(a.job, SLOT, 0, &run);
    assert_true(run.judged);
    assert_int_equal(run.worst[0].load.line, 6);
    assert_near(run.area_factor, a.check.stages[0].area_hold_factor, 0.02, 0);
    assert_near(run.peak_force, a.check.stages[0].in_plane_peak, 0.02, 0);
    assert_string_equal(run.worst[0].text, "X45 F600");
    assert_near(run.lowest, 2, 1e-9, 0);
    assert_int_equal(run.held_back.count, 1); /* its bending */
    assert_true(run.verdict != TH_HOLDS);
    th_run_free(&run);
    answer_free(&a);
}

/* A line that comes by level after level is asked where it is worst: as where every level has lines
 * of its own. */
static void test_asked_level(void **state) {
    static const char *const repeated = "G21 G90 G17\nS8000 M3\nG0 X15 Y20\nZ0\nM98 P7 L5\n"
                                        "G90 G0 Z5\nM30\n"
                                        "O7\nG91 G0 Z-0.15\nG90 G1 X45 F600\nG0 X15\nM99\n";
    char text[600] = "G21 G90 G17\nS8000 M3\nG0 X15 Y20\nZ0\n";
    draft d = taped("1 mm");
    th_run each, once;
    (void)state;

    put_length(&d, "cut.1", "axial", 0.5);
    th_job *job = built(&d);
    for (int level = 1; level <= 5; level++) {
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "G0 Z%.2f\nG1 X45 F600\nG0 X15\n", -0.15 * level);
    }
    strcat(text, "G0 Z5\nM30\n");
    run_good(job, repeated, 12, &once);
    run_good(job, text, 12, &each);
    assert_true(once.worst[0].asked && each.worst[0].asked);
    assert_near(once.worst[0].load.at[2], 0.25, 1e-9, 0);
    assert_near(each.worst[0].load.at[2], 0.25, 1e-9, 0);
    assert_near(once.worst[0].bent.hold_factor, each.worst[0].bent.hold_factor, 1e-9, 0);
    th_run_free(&once);
    th_run_free(&each);
    th_job_free(job);
}

static size_t cautions_with(const th_run *run, const char *piece) {
    size_t count = 0;

    for (size_t i = 0; i < run->cautions.count; i++) {
        count += strstr(run->cautions.items[i], piece) != NULL;
    }
    return count;
}

static bool says(const th_lines *lines, const char *piece) {
    for (size_t i = 0; i < lines->count; i++) {
        if (strstr(lines->items[i], piece)) {
            return true;
        }
    }
    return false;
}

/* Where a rapid comes from a height that nobody knows it comes down from above: into what stands
 * there, or where it is free as far as anyone can tell. */
static void test_rapids_from_anywhere(void **state) {
    static const struct {
        const char *text;
        int line; /* 0: none through material */
    } cases[] = {
        {"G21 G90 G17\nS8000 M3\nG0 X15 Y20\nG0 Z-0.2\nG1 X45 F300\nG0 Z5\nM30\n", 4},
        {"G21 G90 G17\nS8000 M3\nG0 Z-0.2\nG0 X15 Y20\nG1 X45 F300\nG0 Z5\nM30\n", 4},
        {"G21 G90 G17\nS8000 M3\nG0 X15 Y20 Z-0.2\nG1 X45 F300\nG0 Z5\nM30\n", 3},
        {"G21 G90 G17\nS8000 M3\nG0 X-9 Y20\nG0 Z-0.2\nG1 X45 F300\nG0 Z5\nM30\n", 0},
        {"G21 G90 G17\nS8000 M3\nG0 X15 Y20\nG0 Z1\nG1 Z-0.1 F60\nX45 F300\nG0 Z5\nM30\n", 0},
        {"G21 G90 G17\nS8000 M3\nG0 X-9 Y20\nG0 Z-0.2\nG1 X45 F300\nG28\nG0 X30 Y20 Z-0.2\n"
         "G1 X50 F300\nG0 Z5\nM30\n",
         0},
        {"G21 G90 G17\nS8000 M3\nG0 X-9 Y20\nG0 Z-0.2\nG1 X45 F300\nG28\nG0 X30 Y9 Z-0.2\n"
         "G1 X50 F300\nG0 Z5\nM30\n",
         7},
    };
    (void)state;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        draft d = taped("3 mm");
        th_job *job = built(&d);
        int line = 0;
        th_run run;
        run_good(job, cases[i].text, 2, &run);
        for (size_t k = 0; k < run.found_count; k++) {
            line = run.found[k].kind == TH_FOUND_RAPID && line == 0 ? run.found[k].line : line;
        }
        assert_int_equal(line, cases[i].line);
        th_run_free(&run);
        th_job_free(job);
    }
}

/* What runs is not what the job says: its verdict is none of the program's. */
static void test_coolant(void **state) {
    static const struct {
        const char *cooling, *on, *told; /* told: NULL nothing */
    } cases[] = {
        {"dry", "", NULL},
        {"air", "", NULL},
        {"air", "M8", "cuts with coolant on, and the job says air"},
        {"flood", "M8", NULL},
        {"flood", "M7 M8", NULL},
        {"neat-oil", "M8", NULL},
        {"flood", "", "line 6 cuts with coolant off, and the job says flood: put M8"},
        {"neat-oil", "", "line 6 cuts with coolant off, and the job says neat-oil: put M8"},
        {"flood", "M7", "line 6 cuts with M7 alone on, and the job says flood, which is M8"},
        {"mist", "M7", NULL},
        {"mist", "", "line 6 cuts with coolant off, and the job says mist: put M7"},
        {"mist", "M8", "line 6 cuts with M8 on, and the job says mist, which is M7"},
        {"mist", "M7 M8", "or write M7 alone"},
    };
    (void)state;

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        draft d = taped("3 mm");
        char text[200];
        th_run run;
        put(&d, "hold", "cooling", cases[i].cooling);
        th_job *job = built(&d);
        snprintf(text, sizeof text,
                 "G21 G90 G17\nS8000 M3 %s\nG0 X15 Y20\nZ3.5\nG1 Z0 F60\nG1 Z-0.05\n"
                 "X45 F300\nG0 Z5\nM30\n",
                 cases[i].on);
        run_good(job, text, 2, &run);
        assert_int_equal(run.held_back.count, cases[i].told ? 1 : 0);
        if (cases[i].told) {
            assert_true(says(&run.held_back, cases[i].told));
            assert_true(run.verdict != TH_HOLDS);
        }
        th_run_free(&run);
        th_job_free(job);
    }
}

/* Switched on over the work and before the cut is in time; off between the cuts does not matter. */
static void test_coolant_in_time(void **state) {
    static const char *const text = "G21 G90 G17\nS8000 M3\nG0 X15 Y20\nG1 Z1 F600\nM8\n"
                                    "G1 Z-0.05 F60\nX45 F300\nG0 Z5\nM9\nG1 X15 F900\nM30\n";
    draft d = taped("3 mm");
    th_run run;
    (void)state;

    put(&d, "hold", "cooling", "flood");
    th_job *job = built(&d);
    run_good(job, text, 2, &run);
    assert_int_equal(run.held_back.count, 0);
    th_run_free(&run);
    th_job_free(job);
}

/* One cutter without [tool.N] serves one tool, whatever its number. */
static void test_one_cutter(void **state) {
    static const char *const text = "G21 G90 G17\nT%d M6\nS8000 M3\nG0 X15 Y20\nZ1\n"
                                    "G1 Z-0.05 F60\nX45 F300\nG0 Z5\nT%d M6\nS8000 M3\n"
                                    "G0 X15 Y10\nZ1\nG1 Z-0.05 F60\nX45 F300\nG0 Z5\n"
                                    "T9 M6\nM30\n"; /* put in, and cuts nothing */
    (void)state;

    for (int told = 0; told < 2; told++) {
        for (int second = 1; second <= 2; second++) {
            draft d = taped("3 mm");
            char program[300];
            th_run run;
            if (told) {
                put(&d, "tool.1", "cutter", "em");
                put(&d, "tool.2", "cutter", "em");
            }
            th_job *job = built(&d);
            snprintf(program, sizeof program, text, 1, second);
            run_good(job, program, 2, &run);
            bool doubt = !told && second == 2;
            assert_int_equal(says(&run.held_back, "line 6 cuts with T1 and line 13 with T2"),
                             doubt);
            assert_int_equal(says(&run.held_back, "write [tool.2] with cutter = NAME"), doubt);
            assert_true(run.hold_factor > run.asked_factor);
            assert_int_equal(run.verdict, doubt ? TH_UNPROVEN : TH_HOLDS);
            th_run_free(&run);
            th_job_free(job);
        }
    }
}

/* Two cuts in two systems are the same work in either order, and whose zero is given is told. */
static void test_two_systems(void **state) {
    static const char *const heads = "G21 G90 G17 G54\nS8000 M3\nG10 L2 P1 X0 Y0 Z0\n"
                                     "G10 L2 P2 X0 Y10 Z0\n";
    static const char *const cut = "G0 X15 Y20\nZ1\nG1 Z-0.3 F60\nX45 F300\nG0 Z5\n";
    double removed[2];
    (void)state;

    for (int order = 0; order < 2; order++) {
        draft d = taped("3 mm");
        th_job *job = built(&d);
        char text[400];
        th_run run;
        snprintf(text, sizeof text, "%s%s\n%s%s\n%sM30\n", heads, order ? "G55" : "G54", cut,
                 order ? "G54" : "G55", cut);
        run_good(job, text, 0, &run);
        removed[order] = run.removed;
        assert_true(says(&run.defaults, "[zero] is taken as the zero of G54"));
        th_run_free(&run);
        run_good(job, SLOT, 0, &run);
        assert_false(says(&run.defaults, "[zero]"));
        th_run_free(&run);
        th_job_free(job);
    }
    assert_near(removed[1], removed[0], 1e-3, 0);
    /* two slots of 30 mm, 6 wide, 0.3 deep, with round ends */
    assert_near(removed[0], 2 * 0.3 * (30 * 6 + 9 * TH_PI), 0.01, 0);
}

/* What is bored out of the part counts as part until the job tells of the hole. */
static void test_untold_hole(void **state) {
    static const char *const text = "G21 G90 G17\nS8000 M3\nG0 X20 Y20 Z1\nG1 Z-0.1 F60\n"
                                    "G3 I10 F400\nG1 Z-1.05 F60\nG3 I10 F400\nG0 Z5\nM30\n";
    th_run run;
    (void)state;

    for (int told = 0; told < 2; told++) {
        draft d = taped("1 mm");
        put_length(&d, "cut.1", "axial", 0.5);
        add_sheet(&d, 64, 44, 2, 2);
        put_point(&d, "opening.1", "at", told ? 30 : 6, told ? 20 : 6);
        put(&d, "opening.1", "size", told ? "26" : "2");
        th_job *job = built(&d);
        run_good(job, text, 0, &run);
        assert_int_equal(run.loose_count, 1);
        assert_true(isfinite(run.warmest)); /* straight down beside a wide bore, too */
        assert_int_equal(run.loose[0].kind, told ? TH_PIECE_SLUG : TH_PIECE_PART);
        assert_int_equal(cautions_with(&run, "line 7 frees a piece of"), !told);
        assert_int_equal(cautions_with(&run, "the part that the job does not tell of, and"), !told);
        assert_int_equal(cautions_with(&run, "an [opening.N] there makes it a slug"), !told);
        for (size_t i = 0; i < run.line_count; i++) {
            assert_true(run.lines[i].high >= run.lines[i].low);
        }
        th_run_free(&run);
        th_job_free(job);
    }
}

/* Right through, the drill's point stands below the bonded face at the end. */
static void test_drilled_heights(void **state) {
    draft d = taped("1 mm");
    th_run run;
    (void)state;

    add_cut(&d, "cut.1", "drill", "drill-3mm");
    drop(&d, "cut.1", "axial");
    drop(&d, "cut.1", "from");
    drop(&d, "cut.1", "to");
    put_point(&d, "cut.1", "at", 30, 20);
    th_job *job = built(&d);
    run_good(job, "G21 G90 G17\nS8000 M3\nG0 X30 Y20 Z1\nG1 Z-1.9 F200\nG0 Z5\nM30\n", 0, &run);
    assert_true(run.worst_count > 0);
    assert_true(run.worst[0].load.high >= run.worst[0].load.low);
    assert_true(run.lines[4].high >= run.lines[4].low);
    assert_true(run.lines[4].low >= 0);
    th_run_free(&run);
    th_job_free(job);
}

/* The cautions of a drill that breaks through, as a job's drilling has them. */
static void test_thin_drilling(void **state) {
    static const char *const sheets[] = {"1 mm", "3 mm"};
    (void)state;

    for (int thick = 0; thick < 2; thick++) {
        draft d = taped(sheets[thick]);
        th_run run;
        answer a;
        add_cut(&d, "cut.1", "drill", "drill-3mm");
        drop(&d, "cut.1", "axial");
        drop(&d, "cut.1", "from");
        drop(&d, "cut.1", "to");
        put_point(&d, "cut.1", "at", 30, 20);
        run_taped(&d, NULL, &a);
        run_good(a.job,
                 thick ? "G21 G90 G17\nS8000 M3\nG0 X30 Y20 Z1\nG1 Z-4.2 F200\nG0 Z5\nM30\n"
                       : "G21 G90 G17\nS8000 M3\nG0 X30 Y20 Z1\nG1 Z-2.2 F200\nG0 Z5\nM30\n",
                 0, &run);
        assert_int_equal(cautions_with(&run, "line 4 drills thin sheet"), !thick);
        assert_int_equal(cautions_with(&run, "line 4: a drill grabs"), thick);
        size_t same = 0;
        for (size_t i = 0; i < a.check.cautions.count; i++) {
            same += strstr(a.check.cautions.items[i],
                           thick ? "a drill grabs" : "drills thin sheet") != NULL;
        }
        assert_int_equal(same, 1);
        th_run_free(&run);
        answer_free(&a);
    }
}

/* The plate that bends never holds more, and is asked. */
static void test_bending(void **state) {
    draft d = taped("3 mm");
    th_job *job = built(&d);
    th_run run;
    (void)state;

    run_good(job, SLOT, 12, &run);
    assert_true(run.plates_asked > 0);
    assert_true(run.bending >= 1);
    assert_true(run.hold_factor <= run.area_factor);
    assert_int_equal(run.held_back.count, 0);
    for (size_t i = 1; i < run.worst_count; i++) {
        assert_true(run.worst[i - 1].hold_factor <= run.worst[i].hold_factor);
    }
    assert_near((double)run.lines[6].hold_factor, run.hold_factor, 1e-6, 0);
    assert_true(isinf(run.lines[3].area_factor));
    th_run_free(&run);
    th_job_free(job);
}

typedef struct {
    size_t calls;
    double last;
} heard;

static void hear(void *context, double share) {
    heard *t = context;

    assert_true(share >= t->last && share <= 1);
    t->last = share;
    t->calls++;
}

/* However few its moves, a program that takes a while tells how far it is. */
static void test_progress(void **state) {
    draft d = taped("3 mm");
    th_job *job = built(&d);
    heard t = {0, 0};
    th_run_options options = options_for(job, 12);
    th_error err = {0};
    th_run run;
    (void)state;

    options.progress = hear;
    options.context = &t;
    options.maps = true;
    assert_true(th_run_program(SLOT, strlen(SLOT), &options, &run, &err));
    assert_true(t.calls >= 3);
    assert_true(t.last > 0.5);
    th_run_free(&run);
    th_job_free(job);
}

static void test_strikes(void **state) {
    draft d = taped("3 mm");
    th_run run;
    (void)state;

    put(&d, "job", "asked_factor", "1");
    th_job *job = built(&d);
    run_good(job, "G21 G90\nS8000 M3\nG0 X15 Y20 Z1\nG1 Z-0.1 F60\nG0 X45\nZ5\nM30\n", 12, &run);
    assert_true(run.found_count > 0);
    assert_int_equal(run.found[0].line, 5);
    assert_true(run.verdict != TH_HOLDS);
    assert_non_null(strstr(run.held_back.items[0], "rapid"));
    th_run_free(&run);
    th_job_free(job);
}

static void test_doubt(void **state) {
    draft d = taped("3 mm");
    th_job *job = built(&d);
    th_run run;
    (void)state;

    run_good(job, "G21 G90\nM6\nS8000 M3\nG0 X15 Y20 Z1\nG1 Z-1 F60\nM30\n", 0, &run);
    assert_false(run.judged);
    assert_int_equal(run.verdict, TH_UNPROVEN);
    assert_true(run.reading.doubts > 0);
    th_run_free(&run);
    th_job_free(job);
}

static void test_refused(void **state) {
    draft d = taped("3 mm"), two = d, other = d, bare = d;
    th_job *job = built(&d);
    (void)state;

    run_bad(job, "G0 X1\nQQ\n", TH_BAD_SYNTAX, 2);
    th_job_free(job);
    drop(&bare, "zero", "at");
    drop(&bare, "zero", "top");
    job = built(&bare);
    run_bad(job, SLOT, TH_MISSING, 0);
    th_job_free(job);
    put(&two, "cutter.more", "id", "drill-3mm");
    job = built(&two);
    run_bad(job, SLOT, TH_MISSING, 0);
    th_job_free(job);
    put(&other, "tool.3", "cutter", "em");
    job = built(&other);
    assert_int_equal(job->tool_count, 1);
    assert_near(job->tools[0].diameter, 6, 1e-12, 0);
    run_bad(job, "G21 G90\nT2 M6\nS8000 M3\nG0 X15 Y20 Z1\nG1 Z-1 F60\nM30\n", TH_MISSING, 5);
    th_job_free(job);
}

static void test_tool_keys(void **state) {
    draft d = taped("3 mm"), wrong = d;
    th_error err = {0};
    th_job *job;
    (void)state;

    put(&wrong, "tool.1", "cutter", "nobody");
    assert_false(build(&wrong, &job, &err));
    assert_int_equal(err.code, TH_CONTRADICTION);
    assert_non_null(strstr(err.message, "nobody"));
    put(&d, "tool.1", "cutter", "em");
    put(&d, "tool.1", "diameter", "5.9 mm");
    job = built(&d);
    assert_near(job->tools[0].diameter, 5.9, 1e-12, 0);
    assert_true(isnan(job->tools[0].length));
    th_job_free(job);
}

/* ---- lower feeds ----------------------------------------------------------------------------- */

/* Runs it stiff, asks for `asked` and slows. */
static th_job *slowed(const char *text, double asked, th_run *run, th_slow *slow) {
    draft d = taped("3 mm");
    th_run_options options;
    th_error err = {0};

    put_number(&d, "job", "asked_factor", asked, "");
    th_job *job = built(&d);
    options = options_for(job, 0);
    run_good(job, text, 0, run);
    if (!th_slow_find(text, strlen(text), &options, run, slow, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
    return job;
}

static double holds_at(const char *text) {
    draft d = taped("3 mm");
    th_job *job = built(&d);
    th_run run;

    run_good(job, text, 0, &run);
    double factor = run.hold_factor;
    th_run_free(&run);
    th_job_free(job);
    return factor;
}

static void done(th_job *job, th_run *run, th_slow *slow) {
    th_slow_free(slow);
    th_run_free(run);
    th_job_free(job);
}

/* Line 8 is too fast; its feed comes down, that of line 9 is put back. */
#define FAST                                                                                       \
    "%\r\n(F900 in a comment stays)\r\n"                                                           \
    "G21 G90 G17\r\n"                                                                              \
    "S8000 M3\r\n"                                                                                 \
    "G0 X15 Y12 Z1\r\n"                                                                            \
    "G1 Z-0.15 F60\r\n"                                                                            \
    "X45 F300\r\n"                                                                                 \
    "y28f1500;fast\r\n"                                                                            \
    "G1 X15 (as fast)\r\n"                                                                         \
    "G0 Z5\r\nM30\r\n%\r\n"

static void test_slow_down(void **state) {
    double first = holds_at(FAST),
           slow_one = holds_at("G21 G90\nS8000 M3\nG0 X15 Y12 Z1\n"
                               "G1 Z-0.15 F60\nX45 F300\nY28 F300\nX15\nM30\n");
    double asked = first + 0.5 * (slow_one - first);
    th_slow slow;
    th_run run;
    (void)state;

    assert_true(slow_one > 1.05 * first);
    th_job *job = slowed(FAST, asked, &run, &slow);
    assert_true(slow.changed >= 1);
    assert_true(slow.after.hold_factor >= asked);
    assert_non_null(strstr(slow.text.data, "%\r\n(F900 in a comment stays)\r\n"));
    assert_non_null(strstr(slow.text.data, "X45 F300\r\n"));
    assert_null(strstr(slow.text.data, "f1500;fast"));
    assert_non_null(strstr(slow.text.data, ";fast\r\n"));
    assert_non_null(strstr(slow.text.data, "(as fast)\r\nG0 Z5\r\nM30\r\n%\r\n"));
    for (size_t i = 0; i < slow.count; i++) {
        assert_true(slow.lines[i].to < slow.lines[i].from || slow.lines[i].why_not);
    }
    done(job, &run, &slow);
}

/* Nothing to do. */
static void test_slow_nothing(void **state) {
    th_slow slow;
    th_run run;
    (void)state;

    th_job *job = slowed(FAST, 1, &run, &slow);
    assert_int_equal(run.short_lines, 0);
    assert_int_equal(slow.count, 0);
    assert_int_equal(slow.changed, 0);
    assert_int_equal(slow.after.worst_count, 0);
    done(job, &run, &slow);
}

/* Where a change would not be plain, or no feed is enough, the line stays and is told. */
static void check_kept(const char *text, const char *why) {
    th_slow slow;
    th_run run;

    th_job *job = slowed(text, 20, &run, &slow);
    assert_true(run.short_lines > 0);
    for (size_t i = 0; i < slow.count; i++) { /* straight down it may go slower */
        assert_true(slow.lines[i].why_not || run.lines[slow.lines[i].line].plunges);
    }
    assert_true(slow.count > 0 && slow.lines[slow.count - 1].why_not);
    assert_non_null(strstr(slow.lines[slow.count - 1].why_not, why));
    done(job, &run, &slow);
}

static void test_slow_not_plain(void **state) {
    (void)state;
    check_kept("G21 G90\nS8000 M3\nG0 X15 Y20 Z1\nG1 Z0 F60\n#1=600\nG93\nX45 Z-1 F20\nG94\nM30\n",
               "G93");
    check_kept("G21 G90\nS8000 M3\nG0 X15 Y20 Z1\nG20\nG21\nG1 Z-1 F60\nX45 F600\nM30\n", "inch");
    check_kept(SLOT, "chip");
}

/* An expression is no plain number. */
static void test_slow_expression(void **state) {
    const char *text = "G21 G90\nS8000 M3\nG0 X15 Y20 Z1\nG1 Z-0.15 F60\n#1=1500\nX45 F#1\nM30\n";
    double first = holds_at(text);
    th_slow slow;
    th_run run;
    bool told = false;
    (void)state;

    th_job *job = slowed(text, 1.1 * first, &run, &slow);
    for (size_t i = 0; i < slow.count; i++) {
        told = told || (slow.lines[i].line == 6 && slow.lines[i].why_not &&
                        strstr(slow.lines[i].why_not, "plain number"));
    }
    assert_true(told);
    done(job, &run, &slow);
}

/* A subprogram without F runs at the feed of who calls it: two of them are not to be told apart. */
static void test_slow_varying(void **state) {
    const char *text = "G21 G90\nS8000 M3\nO1 SUB\nG1 X45\nO1 ENDSUB\n"
                       "G0 X-5 Y12 Z1\nG1 Z-0.1 F300\nO1 CALL\n"
                       "G0 Z1\nX-5 Y28\nG1 Z-0.1 F1500\nO1 CALL\nM30\n";
    double first = holds_at(text);
    th_slow slow;
    th_run run;
    (void)state;

    th_job *job = slowed(text, 1.1 * first, &run, &slow);
    assert_int_equal(slow.changed, 0);
    assert_int_equal(slow.count, 1);
    assert_int_equal(slow.lines[0].line, 4);
    assert_non_null(strstr(slow.lines[0].why_not, "different feeds"));
    done(job, &run, &slow);
}

/* One feed of a loop is changed once, and holds for every turn of it; here in inches. */
static void test_slow_loop(void **state) {
    const char *text = "G20 G90\nS8000 M3\nG0 X-0.2 Y0.4 Z0.1\nO1 REPEAT [2]\n"
                       "G1 Z-0.006 F12\nX1.6 F60. (both ways)\nG91 Y0.4\nG90 Y0.4 X-0.2\n"
                       "O1 ENDREPEAT\nG0 Z0.1\nM30\n";
    double first = holds_at(text);
    th_slow slow;
    th_run run;
    (void)state;

    th_job *job = slowed(text, 1.1 * first, &run, &slow);
    assert_true(slow.changed > 0);
    assert_true(slow.after.hold_factor >= 1.1 * first);
    assert_null(strstr(slow.text.data, "F60."));
    assert_non_null(strstr(slow.text.data, " (both ways)\n"));
    assert_true(slow.lines[0].from > 1000); /* mm/min */
    done(job, &run, &slow);
}

static double held_at_feed(double feed) {
    char text[200];

    snprintf(text, sizeof text, "G21 G90\nS8000 M3\nG0 X-5 Y12 Z-0.15\nG1 X45 F%.9g\nM30\n", feed);
    return holds_at(text);
}

/* Where the feed that would do lies at the stock's smallest chip, rounding does not take it below;
 * where it lies beneath, the line stays. */
static void test_slow_smallest_chip(void **state) {
    static const char *const text = "G21 G90\nS8000 M3\nG0 X-5 Y12 Z-0.15\nG1 X45 F1500\nM30\n";
    draft d = taped("3 mm");
    th_job *plain = built(&d);
    double smallest = plain->part.stock->smallest_chip;
    th_slow slow;
    th_run run;
    (void)state;

    run_good(plain, text, 0, &run);
    double least = 1500 * smallest / (double)run.lines[4].max_chip;
    th_run_free(&run);
    th_job_free(plain);

    th_job *job = slowed(text, held_at_feed(1.01 * least), &run, &slow);
    assert_int_equal(slow.count, 1);
    if (slow.changed) {
        assert_true(slow.lines[0].to >= 0.995 * least);
        assert_true((double)slow.after.lines[4].max_chip >= 0.99 * smallest);
    }
    done(job, &run, &slow);
    job = slowed(text, held_at_feed(0.98 * least), &run, &slow);
    assert_int_equal(slow.changed, 0);
    assert_non_null(strstr(slow.lines[0].why_not, "smallest chip"));
    done(job, &run, &slow);
    for (int i = 0; i < 12; i++) { /* wherever two digits would end */
        job = slowed(text, held_at_feed((1.02 + 0.015 * i) * least), &run, &slow);
        for (size_t k = 0; slow.changed && k < slow.count; k++) {
            assert_true(slow.lines[k].to >= 0.995 * least);
        }
        const char *feed = slow.changed ? strstr(slow.text.data, "X45 F") : NULL;
        assert_true(!feed || strspn(feed + 5, "0123456789.") <= 5); /* four digits at most */
        done(job, &run, &slow);
    }
}

/* The language has no exponents, however small a feed. */
static void test_slow_no_exponent(void **state) {
    static const char *const slowest = "G21 G90\nS0.0005 M3\nG0 X-5 Y12 Z-0.01\nG1 X45 F0.00009\n"
                                       "M30\n";
    double asked = 1.2 * holds_at(slowest);
    th_slow slow;
    th_run run;
    (void)state;

    th_job *job = slowed(slowest, asked, &run, &slow);
    assert_int_equal(slow.changed, 1);
    assert_non_null(strstr(slow.text.data, "X45 F0.0000"));
    assert_null(strchr(slow.text.data, 'e'));
    done(job, &run, &slow);
}

/* The lines that the answer counts are those that it shows below the asked factor. */
static void test_short_lines(void **state) {
    draft d = taped("1 mm");
    th_run run;
    (void)state;

    put(&d, "job", "asked_factor", "6");
    put_length(&d, "cut.1", "axial", 0.5);
    th_job *job = built(&d);
    run_good(job, FAST, 12, &run);
    size_t below = 0;
    double least = INFINITY;
    for (size_t i = 0; i < run.line_count; i++) {
        below += isfinite(run.lines[i].area_factor) &&
                 (double)run.lines[i].hold_factor < run.asked_factor;
        least = fmin(least, (double)run.lines[i].hold_factor);
    }
    assert_int_equal(run.short_lines, below);
    assert_near(run.hold_factor, least, 1e-12, 0);
    th_run_free(&run);
    th_job_free(job);
}

/* Each cutter's lines and depth; a drill's holes, a pecked one counted once, and which are through.
 */
static void test_tools_told(void **state) {
    static const char *const text =
        "G21 G90 G17\nS8000 M3\nG0 X0 Y0 Z5\n"
        "G99 G83 X10 Y10 Z-2.2 R1 Q0.4 F200\nX20\nX30 Z-0.5\nG80\nM30\n";
    draft d = taped("1 mm");
    th_run run;
    (void)state;

    add_cut(&d, "cut.1", "drill", "drill-3mm");
    drop(&d, "cut.1", "axial");
    drop(&d, "cut.1", "from");
    drop(&d, "cut.1", "to");
    put_point(&d, "cut.1", "at", 30, 20);
    th_job *job = built(&d);
    run_good(job, text, 0, &run);
    assert_int_equal(run.tool_count, 1);
    assert_int_equal(run.tools[0].first_line, 4);
    assert_int_equal(run.tools[0].last_line, 6);
    assert_int_equal(run.tools[0].holes, 3);
    assert_int_equal(run.tools[0].through, 2);
    assert_near(run.tools[0].cutter->diameter, 3, 1e-12, 0);
    for (int i = 0; i < 3; i++) {
        assert_near(run.tools[0].places[i].x, 10 + 10 * i, 0, 1e-6);
        assert_near(run.tools[0].places[i].y, 10, 0, 1e-6);
    }
    th_run_free(&run);
    th_job_free(job);
    d = taped("3 mm");
    job = built(&d);
    run_good(job, SLOT, 0, &run);
    assert_int_equal(run.tool_count, 1);
    assert_int_equal(run.tools[0].holes, 0);
    assert_near(run.tools[0].lowest, 2, 1e-6, 0);
    th_run_free(&run);
    th_job_free(job);
}

/* Weakest first, whatever the bending of each kind of place does to the order. */
static void test_weakest_first(void **state) {
    char text[2500] = "G21 G90\nS8000 M3\n";
    draft d = taped("1 mm");
    th_run run;
    (void)state;

    put_length(&d, "cut.1", "axial", 0.5);
    th_job *job = built(&d);
    for (int i = 0; i < 12; i++) { /* across, and along an edge or amid alone, by turns */
        size_t used = strlen(text);
        bool across = i % 2 == 0;
        snprintf(text + used, sizeof text - used, "G0 X%d Y%d Z1\nG0 Z%.2f\nG1 X%d F%d\nG0 Z1\n",
                 across ? -4 : 20, 3 + 3 * i, -0.1 - 0.03 * (i % 5), across ? 64 : 40,
                 500 + 40 * i);
    }
    strcat(text, "M30\n");
    run_good(job, text, 12, &run);
    assert_int_equal(run.worst_count, 10);
    for (size_t i = 1; i < run.worst_count; i++) {
        assert_true(run.worst[i - 1].hold_factor <= run.worst[i].hold_factor);
    }
    assert_near(run.worst[0].hold_factor, run.hold_factor, 1e-6, 0);
    th_run_free(&run);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_same_as_job),
        cmocka_unit_test(test_bending),
        cmocka_unit_test(test_asked_level),
        cmocka_unit_test(test_coolant),
        cmocka_unit_test(test_rapids_from_anywhere),
        cmocka_unit_test(test_coolant_in_time),
        cmocka_unit_test(test_one_cutter),
        cmocka_unit_test(test_two_systems),
        cmocka_unit_test(test_untold_hole),
        cmocka_unit_test(test_drilled_heights),
        cmocka_unit_test(test_strikes),
        cmocka_unit_test(test_doubt),
        cmocka_unit_test(test_refused),
        cmocka_unit_test(test_tool_keys),
        cmocka_unit_test(test_slow_down),
        cmocka_unit_test(test_slow_nothing),
        cmocka_unit_test(test_slow_not_plain),
        cmocka_unit_test(test_slow_expression),
        cmocka_unit_test(test_slow_varying),
        cmocka_unit_test(test_slow_loop),
        cmocka_unit_test(test_slow_smallest_chip),
        cmocka_unit_test(test_slow_no_exponent),
        cmocka_unit_test(test_short_lines),
        cmocka_unit_test(test_progress),
        cmocka_unit_test(test_thin_drilling),
        cmocka_unit_test(test_weakest_first),
        cmocka_unit_test(test_tools_told),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
