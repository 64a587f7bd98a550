/* test_job_outlines.c - the drawings that a job names: where they are looked for, and what they
 * must agree with. All jobs and drawings are invented. Runs from the project's root. */
#define _GNU_SOURCE /* nftw, realpath, setenv */
#include "support/near.h"

#include "tackhold/files.h"

#include <ftw.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char root[PATH_MAX], work[64];
static th_tables *tables;

static int begin_all(void **state) {
    th_error err;

    (void)state;
    setenv("TACKHOLD_MATERIALS", "materials", 1);
    return getcwd(root, sizeof root) && th_tables_load(NULL, 0, &tables, &err) ? 0 : -1;
}

static int end_all(void **state) {
    (void)state;
    th_tables_free(tables);
    return 0;
}

static int remove_one(const char *path, const struct stat *info, int kind, struct FTW *place) {
    (void)info;
    (void)kind;
    (void)place;
    return remove(path);
}

/* Every test starts in an empty folder, which is the working directory, with a folder `jobs`. */
static int begin(void **state) {
    (void)state;
    strcpy(work, "/tmp/test-outlines-XXXXXX");
    return mkdtemp(work) && chdir(work) == 0 && mkdir("jobs", 0755) == 0 ? 0 : -1;
}

static int end(void **state) {
    (void)state;
    return chdir(root) == 0 ? nftw(work, remove_one, 16, FTW_DEPTH | FTW_PHYS) : -1;
}

static void put(const char *path, const char *text) {
    FILE *file = fopen(path, "w");

    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static const char svg_head[] =
    "<svg xmlns='http://www.w3.org/2000/svg' width='200mm' height='200mm' viewBox='0 0 200 200'>\n";

static void put_svg(const char *path, const char *drawing) {
    char text[1000];

    snprintf(text, sizeof text, "%s%s</svg>\n", svg_head, drawing);
    put(path, text);
}

/* A push on a plate of 60 x 40; `more` goes into [part] from line 9 on, `hold` into [hold]. */
static void put_job(const char *path, const char *units, const char *more, const char *hold) {
    char text[1000];

    snprintf(text, sizeof text,
             "[job]\ntitle = Invented plate\nunits = %s\n"
             "[part]\nstock = al-6061-t6\nlength = 60 mm\nwidth = 40 mm\nthickness = 3 mm\n%s"
             "[hold]\ntape = crepe-masking\nglue = ca-thin\ncooling = dry\ncoverage = 0.95\n%s"
             "[machine]\nid = bench-mill\n"
             "[cut.1]\noperation = push\nforce_x = 20 N\nforce_y = 0 N\nforce_z = 5 N\n"
             "at_x = 30 mm\nat_y = 20 mm\npatch = 5 mm\n",
             units, more, hold);
    put(path, text);
}

typedef struct {
    th_job *job;
    th_outline part, taped;
    th_error err;
    bool read;
} drawings;

static drawings read_job(const char *path, const char *const *settings, size_t count) {
    drawings d = {0};

    if (!th_job_read(path, NULL, settings, count, tables, &d.job, &d.err)) {
        fail_msg("%s:%d: %s", d.err.file, d.err.line, d.err.message);
    }
    d.read = th_job_outlines_read(d.job, path, &d.part, &d.taped, &d.err);
    return d;
}

static void drawings_free(drawings *d) {
    th_outline_free(&d->part);
    th_outline_free(&d->taped);
    th_job_free(d->job);
}

static void expect_read(const drawings *d) {
    if (!d->read) {
        fail_msg("%s:%d: %s", d->err.file, d->err.line, d->err.message);
    }
}

static void expect_refused(const drawings *d, const char *file, int line, const char *fragment) {
    if (d->read || strcmp(d->err.file, file) != 0 || d->err.line != line ||
        !strstr(d->err.message, fragment)) {
        fail_msg("%s, %s:%d: %s", d->read ? "read" : "refused", d->err.file, d->err.line,
                 d->err.message);
    }
    assert_int_equal(th_status_exit(d->err.code), 2);
}

/* What is wrong in the drawing of the tape is said of the tape. */
static void faults_name_the_tape(void **state) {
    drawings d;

    (void)state;
    put_job("jobs/a.ini", "mm", "", "taped = strips.svg\n");
    put_svg("jobs/strips.svg", "<rect width='60' height='25'/>\n"
                               "<rect y='20' width='60' height='20'/>");
    d = read_job("jobs/a.ini", NULL, 0);
    expect_refused(&d, "jobs/strips.svg", 3,
                   "the drawing of the tape: two strips overlap or touch, draw them as one shape");
    drawings_free(&d);
    put_job("jobs/a.ini", "mm", "", "taped = none.svg\n");
    d = read_job("jobs/a.ini", NULL, 0);
    expect_refused(&d, "jobs/a.ini", 14, "the drawing of the tape cannot be opened");
    drawings_free(&d);
}

/* A drawing given as the job itself. */
static void a_drawing_is_no_job(void **state) {
    const char *files[] = {"jobs/a.svg", "jobs/a.dxf"};
    th_job *job = NULL;
    th_error err;

    (void)state;
    put_svg(files[0], "<rect width='60' height='40'/>");
    put(files[1], "  0\nSECTION\n  2\nENTITIES\n");
    for (size_t i = 0; i < 2; i++) {
        assert_false(th_job_read(files[i], NULL, NULL, 0, tables, &job, &err));
        assert_non_null(strstr(err.message, "this is a drawing, no job"));
    }
}

/* ---- where they are looked for --------------------------------------------------------------- */

static void nothing_named_stays_empty(void **state) {
    drawings d;

    (void)state;
    put_job("jobs/a.ini", "mm", "", "");
    d = read_job("jobs/a.ini", NULL, 0);
    expect_read(&d);
    assert_int_equal(d.part.ring_count, 0);
    assert_int_equal(d.taped.ring_count, 0);
    drawings_free(&d);
}

/* The plate of 60 x 40 with a hole of 10 x 10. */
static const char framed[] = "<path fill-rule='evenodd' d='M20 30h60v40h-60z M40 40h10v10h-10z'/>";

static void paths_start_at_the_job(void **state) {
    const char *moved[] = {"part.outline=other.svg"};
    char absolute[PATH_MAX + 30];
    const char *full[] = {absolute};
    drawings d;

    (void)state;
    put_job("jobs/a.ini", "mm", "outline = shape.svg\n", "");
    put_svg("jobs/shape.svg", framed);
    put_svg("jobs/other.svg", "<rect width='60' height='40'/>");
    d = read_job("jobs/a.ini", NULL, 0);
    expect_read(&d);
    assert_int_equal(d.part.ring_count, 2);
    assert_near(th_outline_section(&d.part).area, 2300, 1e-9, 0);
    drawings_free(&d);

    /* --set names a file beside the job too */
    d = read_job("jobs/a.ini", moved, 1);
    expect_read(&d);
    assert_near(th_outline_section(&d.part).area, 2400, 1e-9, 0);
    drawings_free(&d);

    /* an absolute path is taken as it is */
    put_svg("far.svg", "<path d='M0 0h60v40z'/>");
    snprintf(absolute, sizeof absolute, "part.outline=%s/far.svg", work);
    d = read_job("jobs/a.ini", full, 1);
    expect_read(&d);
    assert_near(th_outline_section(&d.part).area, 1200, 1e-9, 0);
    drawings_free(&d);

    /* the job in the working directory itself */
    assert_int_equal(chdir("jobs"), 0);
    d = read_job("a.ini", NULL, 0);
    expect_read(&d);
    drawings_free(&d);
}

/* A job from standard input has no folder. */
static void paths_of_a_piped_job(void **state) {
    th_outline part, taped;
    drawings d;
    th_error err;

    (void)state;
    put_job("jobs/a.ini", "mm", "outline = shape.svg\n", "");
    put_svg("jobs/shape.svg", framed);
    d = read_job("jobs/a.ini", NULL, 0);
    expect_read(&d);
    assert_false(th_job_outlines_read(d.job, "-", &part, &taped, &err));
    assert_non_null(strstr(err.message, "cannot be opened at shape.svg"));
    put_svg("shape.svg", framed);
    assert_true(th_job_outlines_read(d.job, "-", &part, &taped, &err));
    th_outline_free(&part);
    th_outline_free(&taped);
    drawings_free(&d);
}

/* A job that was changed afterwards reads what it then names. */
static void changed_jobs(void **state) {
    const char *change[] = {"part.outline=other.svg"};
    th_job *changed = NULL;
    th_outline part, taped;
    drawings d;
    th_error err;

    (void)state;
    put_job("jobs/a.ini", "mm", "outline = shape.svg\n", "");
    put_svg("jobs/shape.svg", framed);
    put_svg("jobs/other.svg", "<rect width='60' height='40'/>");
    d = read_job("jobs/a.ini", NULL, 0);
    expect_read(&d);
    assert_true(th_job_change(d.job, change, 1, &changed, &err));
    assert_true(th_job_outlines_read(changed, "jobs/a.ini", &part, &taped, &err));
    assert_near(th_outline_section(&part).area, 2400, 1e-9, 0);
    th_outline_free(&part);
    th_outline_free(&taped);
    th_job_free(changed);
    drawings_free(&d);
}

/* ---- what they must agree with --------------------------------------------------------------- */

static void size_must_match(void **state) {
    const char *set[] = {"part.outline=wide.svg"};
    drawings d;

    (void)state;
    put_job("jobs/a.ini", "mm", "outline = near.svg\n", "");
    put_job("jobs/b.ini", "inch", "outline = wide.svg\n", "");
    put_svg("jobs/near.svg", "<rect width='60.099' height='39.901'/>");
    put_svg("jobs/wide.svg", "<rect width='60' height='40.11'/>");
    d = read_job("jobs/a.ini", NULL, 0);
    expect_read(&d);
    drawings_free(&d);
    d = read_job("jobs/b.ini", NULL, 0);
    expect_refused(&d, "jobs/b.ini", 9,
                   "[part] outline = wide.svg: the drawing is 2.3622 in x 1.5791 in, length and "
                   "width say 2.3622 in x 1.5748 in");
    drawings_free(&d);
    d = read_job("jobs/a.ini", set, 1);
    expect_refused(&d, "--set", 0, "the drawing is 60 mm x 40.11 mm");
    drawings_free(&d);
}

static void part_is_one_piece(void **state) {
    drawings d;

    (void)state;
    put_job("jobs/a.ini", "mm", "outline = two.svg\n", "");
    put_svg("jobs/two.svg", "<rect width='25' height='40'/><rect x='35' width='25' height='40'/>");
    d = read_job("jobs/a.ini", NULL, 0);
    expect_refused(&d, "jobs/a.ini", 9, "draws 2 separate pieces");
    drawings_free(&d);
}

static void tape_of_strips(void **state) {
    drawings d;
    th_section section;

    (void)state;
    put_job("jobs/a.ini", "mm", "", "taped = strips.svg\ntaped_at = 5, -2\n");
    put_svg("jobs/strips.svg",
            "<rect x='50' y='50' width='10' height='44'/><rect x='70' y='50' width='20' "
            "height='44'/>");
    d = read_job("jobs/a.ini", NULL, 0);
    expect_read(&d);
    assert_int_equal(d.taped.outer_count, 2);
    /* 10 x 44 from (5, -2) and 20 x 44 from (25, -2) */
    section = th_outline_section(&d.taped);
    assert_near(section.area, 1320, 1e-9, 0);
    assert_near(section.sx, 440 * 10 + 880 * 35, 1e-9, 0);
    assert_near(section.sy, 1320 * 20, 1e-9, 0);
    assert_near(d.taped.length, 40, 1e-9, 0);
    drawings_free(&d);
}

static void faults_name_the_drawing(void **state) {
    const char *set[] = {"part.outline=open.svg"};
    drawings d;

    (void)state;
    put_job("jobs/a.ini", "mm", "outline = none.svg\n", "");
    put_job("jobs/b.ini", "mm", "", "taped = none.dxf\n");
    put_svg("jobs/open.svg", "<path fill='none' stroke='black' d='M0 0h60v40h-60'/>\n");
    d = read_job("jobs/a.ini", NULL, 0);
    expect_refused(&d, "jobs/a.ini", 9, "[part] outline = none.svg: the outline cannot be opened");
    drawings_free(&d);
    d = read_job("jobs/b.ini", NULL, 0);
    expect_refused(&d, "jobs/b.ini", 14,
                   "[hold] taped = none.dxf: the drawing of the tape cannot be opened");
    drawings_free(&d);
    d = read_job("jobs/a.ini", set, 1);
    expect_refused(&d, "jobs/open.svg", 2, "open");
    drawings_free(&d);
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, begin, end)

int main(void) {
    const struct CMUnitTest tests[] = {
        IN_FOLDER(faults_name_the_tape),
        IN_FOLDER(a_drawing_is_no_job),
        IN_FOLDER(nothing_named_stays_empty),
        IN_FOLDER(paths_start_at_the_job),
        IN_FOLDER(paths_of_a_piped_job),
        IN_FOLDER(changed_jobs),
        IN_FOLDER(size_must_match),
        IN_FOLDER(part_is_one_piece),
        IN_FOLDER(tape_of_strips),
        IN_FOLDER(faults_name_the_drawing),
    };
    return cmocka_run_group_tests_name("job outlines", tests, begin_all, end_all);
}
