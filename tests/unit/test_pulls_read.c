/* test_pulls_read.c - tables of pull tests, and a row put into the user's own tables. */
#define _GNU_SOURCE /* mkdtemp, setenv */
#include "support/near.h"

#include "tackhold/files.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* ---- reading ----------------------------------------------------------------------------------
 */

#define HEAD "area,force,kind,failure\n"
#define ROW "625 mm2,120 N,shear,glue\n"

static th_pulls read_good(const char *text) {
    th_pulls pulls = {{NULL}, NULL, 0};
    th_error err = {TH_OK, 0, "", ""};

    if (!th_pulls_scan(text, strlen(text), "t.csv", &pulls, &err)) {
        fail_msg("line %d: %s", err.line, err.message);
    }
    return pulls;
}

static void expect_one(const char *text, double area, double force) {
    th_pulls pulls = read_good(text);

    assert_int_equal(pulls.count, 1);
    assert_near(pulls.items[0].area, area, 1e-12, 0);
    assert_near(pulls.items[0].force, force, 1e-12, 0);
    assert_int_equal(pulls.items[0].kind, TH_PULL_SHEAR);
    assert_int_equal(pulls.items[0].place, TH_PULLED_GLUE);
    th_pulls_free(&pulls);
}

/* The same test in every way it may be written. */
static void test_forms(void **state) {
    (void)state;
    expect_one(HEAD ROW, 625, 120);
    expect_one("area;force;kind;failure\n625 mm2;120 N;shear;glue\n", 625, 120);
    expect_one("area\tforce\tkind\tfailure\n625 mm2\t120 N\tshear\tglue\n", 625, 120);
    expect_one("\xEF\xBB\xBF" HEAD ROW, 625, 120);
    expect_one("area,force,kind,failure\r\n625 mm2,120 N,shear,glue\r\n", 625, 120);
    expect_one(HEAD "625 mm2,120 N,shear,glue", 625, 120);
    expect_one("# invented\n\n" HEAD "\n# one\n" ROW ",,,\n \n", 625, 120);
    expect_one("\"area\",\"force\",kind,failure\n\"625 mm2\" , \"120 N\",\"shear\",glue\n", 625,
               120);
    expect_one("Area [mm2],Force [N],Direction,Failed\n625,120,Shear,Glue\n", 625, 120);
    expect_one("area (mm2),force (N),kind,failure\n625,120,shear,glue\n", 625, 120);
    expect_one("failure,kind,force,area\nglue,shear,120 N,625 mm2\n", 625, 120);
    expect_one(HEAD "25 mm x 25 mm,120 N,shear,glue\n", 625, 120);
    expect_one("length,width,force,kind,failure\n25 mm,2.5 cm,120 N,shear,glue\n", 625, 120);
    expect_one("length [mm],width [mm],force,kind,failure\n25,25,120 N,shear,glue\n", 625, 120);
    expect_one("area,force [lbf],kind,failure\n1 in2,10,shear,glue\n", 645.16, 44.4822161526050);
    expect_one("area,force,kind,failure\n\"1 in x 1/2 in\",12 kgf,shear,glue\n", 322.58, 117.6798);
    expect_one("area,force,kind,failure\n1\" x 1/2\",12 kgf,shear,glue\n", 322.58, 117.6798);
    expect_one("area,force,kind,failure,note\n625 mm2,120 N,shear,glue,\"a \"\"b\"\", c\"\n", 625,
               120);
}

static void test_all_columns(void **state) {
    th_pulls pulls = read_good("area,force,kind,failure,temperature,cooling,hold,date,note\n"
                               "625 mm2,120 N,lift,backing,73.4 F,water,2 min,2026-01-31,x\n"
                               "625 mm2,130 N,lift,tape-plate,,,,,\n");

    (void)state;
    assert_int_equal(pulls.count, 2);
    assert_int_equal(pulls.items[0].line, 2);
    assert_int_equal(pulls.items[0].kind, TH_PULL_LIFT);
    assert_int_equal(pulls.items[0].place, TH_PULLED_BACKING);
    assert_near(pulls.items[0].temperature, 23, 1e-12, 0);
    assert_int_equal(pulls.items[0].cooling, TH_COOL_WATER);
    assert_near(pulls.items[0].hold, 120, 1e-12, 0);
    assert_string_equal(pulls.items[0].date, "2026-01-31");
    assert_int_equal(pulls.items[1].line, 3);
    assert_true(isnan(pulls.items[1].temperature) && isnan(pulls.items[1].hold));
    assert_int_equal(pulls.items[1].cooling, -1);
    assert_null(pulls.items[1].date);
    th_pulls_free(&pulls);
}

static void expect_bad(const char *text, int line, th_status code, const char *fragment) {
    th_pulls pulls = {{NULL}, NULL, 0};
    th_error err = {TH_OK, 0, "", ""};

    assert_false(th_pulls_scan(text, strlen(text), "t.csv", &pulls, &err));
    if (err.line != line || err.code != code || !strstr(err.message, fragment)) {
        fail_msg("line %d, code %d: %s\nexpected line %d, code %d: %s\nof: %s", err.line, err.code,
                 err.message, line, code, fragment, text);
    }
    assert_string_equal(err.file, "t.csv");
    assert_false(th_pulls_scan(text, strlen(text), "t.csv", &pulls, NULL));
    th_pulls_free(&pulls);
}

static void test_bad_form(void **state) {
    static const char wide[] = "\xFF\xFE"
                               "a";

    (void)state;
    expect_bad("", 0, TH_BAD_SYNTAX, "there is nothing in it");
    expect_bad("# only\n\n", 0, TH_BAD_SYNTAX, "there is nothing in it");
    expect_bad(wide, 1, TH_BAD_SYNTAX, "UTF-16");
    expect_bad(HEAD "\x01", 2, TH_BAD_SYNTAX, "a control character (byte 1)");
    expect_bad("area,force,kind,failure\r625 mm2,1 N,shear,glue\r", 1, TH_BAD_SYNTAX,
               "a control character (byte 13)");
    expect_bad("area force\n", 1, TH_BAD_SYNTAX, "names no columns");
    expect_bad("area,force;kind,failure\n", 1, TH_BAD_SYNTAX, "more than one of");
    expect_bad(HEAD "\"625 mm2,120 N,shear,glue\n", 2, TH_BAD_SYNTAX, "not closed");
    expect_bad(HEAD "\"625\" mm2,120 N,shear,glue\n", 2, TH_BAD_SYNTAX, "behind a closing quote");
    expect_bad(HEAD ROW "625 mm2,120 N,shear\n", 3, TH_BAD_SYNTAX, "3 cells where the head has 4");
    expect_bad(HEAD "625 mm2,120,5 N,shear,glue\n", 2, TH_BAD_SYNTAX, "write 12.5, not 12,5");
    expect_bad(HEAD, 1, TH_MISSING, "there is no test");
}

static void test_bad_head(void **state) {
    (void)state;
    expect_bad("area,farce,kind,failure\n" ROW, 1, TH_BAD_KEY, "did you mean force?");
    expect_bad("area,force,kind,failure,colour of the sky\n" ROW, 1, TH_BAD_KEY, "known are area");
    expect_bad("area,force,kind,failure,force\n" ROW, 1, TH_BAD_KEY, "twice");
    expect_bad("area,kind,failure\n" ROW, 1, TH_MISSING, "no column force");
    expect_bad("force,kind,failure\n" ROW, 1, TH_MISSING, "nor length and width");
    expect_bad("length,force,kind,failure\n" ROW, 1, TH_MISSING, "nor length and width");
    expect_bad("area,width,force,kind,failure\n" ROW, 1, TH_CONTRADICTION, "not both");
    expect_bad("area [N],force,kind,failure\n" ROW, 1, TH_BAD_VALUE, "it takes mm2, in2");
    expect_bad("area [mm2,force,kind,failure\n" ROW, 1, TH_BAD_SYNTAX, "in brackets");
    expect_bad("area [],force,kind,failure\n" ROW, 1, TH_BAD_SYNTAX, "in brackets");
    expect_bad("area,force,kind [N],failure\n" ROW, 1, TH_BAD_VALUE, "takes no unit");
}

static void test_bad_cells(void **state) {
    (void)state;
    expect_bad(HEAD ",120 N,shear,glue\n", 2, TH_MISSING, "column area is empty");
    expect_bad(HEAD "625 mm2,120 N,,glue\n", 2, TH_MISSING, "column kind is empty");
    expect_bad(HEAD "625 mm2,120 N,shear,\n", 2, TH_MISSING, "column failure is empty");
    expect_bad(HEAD "625,120 N,shear,glue\n", 2, TH_BAD_VALUE, "needs a unit of area");
    expect_bad(HEAD "625 mm2,120,shear,glue\n", 2, TH_BAD_VALUE, "needs a unit of force");
    expect_bad(HEAD "625 mm2,12 kg,shear,glue\n", 2, TH_BAD_VALUE, "write N, lbf, kgf");
    expect_bad(HEAD "625 mm2,\"12,5 N\",shear,glue\n", 2, TH_BAD_VALUE, "no decimal point here");
    expect_bad("area;force [N];kind;failure\n625 mm2;12,5;shear;glue\n", 2, TH_BAD_VALUE,
               "no decimal point here");
    expect_bad("area,force [N],kind,failure\n625 mm2,12 N,shear,glue\n", 2, TH_CONTRADICTION,
               "the head names a unit already");
    expect_bad(HEAD "625 mm2,0 N,shear,glue\n", 2, TH_BAD_RANGE, "0.01 N to 1000 kN");
    expect_bad(HEAD "625 mm2,-5 N,shear,glue\n", 2, TH_BAD_RANGE, "out of bounds");
    expect_bad(HEAD "625 mm2,nan N,shear,glue\n", 2, TH_BAD_VALUE, "column force");
    expect_bad(HEAD "25 x 25,12 N,shear,glue\n", 2, TH_BAD_VALUE, "25 mm x 25 mm");
    expect_bad(HEAD "-25 mm x -25 mm,12 N,shear,glue\n", 2, TH_BAD_VALUE, "25 mm x 25 mm");
    expect_bad(HEAD "625 mm2,12 N,peel,glue\n", 2, TH_BAD_VALUE, "one of: shear, lift");
    expect_bad(HEAD "625 mm2,12 N,shear,floor\n", 2, TH_BAD_VALUE, "one of: part-tape");
    expect_bad("area,force,kind,failure,cooling\n625 mm2,12 N,shear,glue,flood\n", 2, TH_BAD_VALUE,
               "one of: dry, mist, water, oil");
    expect_bad("area,force,kind,failure,hold\n625 mm2,12 N,shear,glue,0 s\n", 2, TH_BAD_RANGE,
               "0.1 s to");
    expect_bad("area,force,kind,failure,temperature\n625 mm2,12 N,shear,glue,23\n", 2, TH_BAD_VALUE,
               "needs a unit of temperature");
    expect_bad("area,force,kind,failure,date\n625 mm2,12 N,shear,glue,31.1.2026\n", 2, TH_BAD_VALUE,
               "such as 2026-01-31");
    expect_bad("area,force,kind,failure,date\n625 mm2,12 N,shear,glue,2026-13-01\n", 2,
               TH_BAD_VALUE, "such as 2026-01-31");
}

static void test_too_much(void **state) {
    th_text text = {NULL, 0, 0, false};

    (void)state;
    th_text_put(&text, HEAD);
    for (int i = 0; i < 2001; i++) {
        th_text_put(&text, ROW);
    }
    expect_bad(text.data, 2002, TH_BAD_RANGE, "more than 2000 tests");
    th_text_free(&text);
    for (int i = 0; i < 33; i++) {
        th_text_put(&text, "note,");
    }
    expect_bad(text.data, 1, TH_BAD_SYNTAX, "more than 32 columns");
    th_text_free(&text);
    th_text_put(&text, HEAD);
    for (int i = 0; i < 200; i++) {
        th_text_put(&text, "9");
    }
    expect_bad(text.data, 2, TH_BAD_SYNTAX, "more than 199 characters");
    th_text_free(&text);
}

/* ---- own rows ---------------------------------------------------------------------------------
 */

static char home[] = "/tmp/tackhold-own-XXXXXX";
static char tape_path[200];

static char *contents(void) {
    static char text[4000];
    FILE *file = fopen(tape_path, "rb");

    assert_non_null(file);
    text[fread(text, 1, sizeof text - 1, file)] = '\0';
    fclose(file);
    return text;
}

static void put_contents(const char *text) {
    FILE *file = fopen(tape_path, "wb");

    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, strlen(text), file), strlen(text));
    fclose(file);
}

/* Invented rows of the coolant table: three keys make a whole one. */
#define KEYS(name)                                                                                 \
    "name = " name                                                                                 \
    "\nkind = dry\nfilm_coefficient = 15 W/m2K\nsource = invented\ntrust = estimate\n"

static bool write_row(const char *id, const char *section, bool replace, th_error *err) {
    char path[4096];

    *err = (th_error){TH_OK, 0, "", ""};
    return th_own_row_write(&(th_own_row){TH_COOLANTS, id, section, replace}, path, sizeof path,
                            err);
}

static void test_new_row(void **state) {
    th_error err;
    th_tables *tables = NULL;

    (void)state;
    assert_true(write_row("a", "# first\n[a]\n" KEYS("one"), false, &err));
    assert_non_null(strstr(contents(), "\n\n# first\n[a]\n" KEYS("one")));
    /* wherever the test was built: it runs from the top of the tree */
    assert_int_equal(setenv("TACKHOLD_MATERIALS", "materials", 0), 0);
    assert_true(th_tables_load_own(NULL, 0, &tables, &err));
    const th_coolant *row = th_tables_find(tables, TH_COOLANTS, "a");
    assert_non_null(row);
    assert_int_equal(row->head.origin, TH_FROM_SHOP);
    row = th_tables_find(tables, TH_COOLANTS, "dry");
    assert_int_equal(row->head.origin, TH_FROM_TABLE);
    th_tables_free(tables);
    assert_true(th_tables_load(NULL, 0, &tables, &err));
    assert_null(th_tables_find(tables, TH_COOLANTS, "a"));
    th_tables_free(tables);
}

/* All but the row itself stays, byte for byte: odd blanks, CRLF, comments of others. */
static void test_replaced_row(void **state) {
    static const char head[] = "# head of the file\n\n";
    static const char first[] = "# of a\n[a]\n" KEYS("one") "# still a\n";
    static const char other[] = "\n# of b\n[b]\n" KEYS("two") "  # the end\n";
    char all[1000], expected[2000];
    th_error err;

    (void)state;
    snprintf(all, sizeof all, "%s%s%s", head, first, other);
    put_contents(all);
    assert_false(write_row("a", "[a]\n" KEYS("new"), false, &err));
    assert_int_equal(err.code, TH_BAD_USAGE);
    assert_string_equal(contents(), all);
    assert_true(write_row("a", "# new\n[a]\n" KEYS("new"), true, &err));
    snprintf(expected, sizeof expected, "%s%s%s%s", head, "# new\n[a]\n" KEYS("new"), "# still a\n",
             other);
    assert_string_equal(contents(), expected);
    put_contents(all);
    assert_true(write_row("b", "[b]\n" KEYS("new"), true, &err));
    snprintf(expected, sizeof expected, "%s%s\n%s%s", head, first, "[b]\n" KEYS("new"),
             "  # the end\n");
    assert_string_equal(contents(), expected);
    put_contents(all);
    assert_true(write_row("c", "[c]\n" KEYS("new"), true, &err));
    snprintf(expected, sizeof expected, "%s\n%s", all, "[c]\n" KEYS("new"));
    assert_string_equal(contents(), expected);
}

static void test_no_last_line_end(void **state) {
    th_error err;

    (void)state;
    put_contents("[B]\r\nname = x\r\nkind = dry\r\nfilm_coefficient = 15 W/m2K\r\nsource = s\r\n"
                 "trust = estimate");
    assert_true(write_row("c", "[c]\n" KEYS("new"), false, &err));
    assert_string_equal(contents(),
                        "[B]\r\nname = x\r\nkind = dry\r\nfilm_coefficient = 15 W/m2K\r\n"
                        "source = s\r\ntrust = estimate\n\n[c]\n" KEYS("new"));
    assert_false(write_row("b", "[b]\n" KEYS("new"), false, &err)); /* whatever its case */
    assert_true(write_row("b", "[b]\n" KEYS("new"), true, &err));
    assert_string_equal(contents(), "[b]\n" KEYS("new") "\n[c]\n" KEYS("new"));
}

/* A mark that an editor put in front is no part of the first header, and stays. */
static void test_mark_before_a_row(void **state) {
    static const char mark[] = "\xEF\xBB\xBF";
    char all[1000], expected[1000];
    th_error err;

    (void)state;
    snprintf(all, sizeof all, "%s[a]\n%s", mark, KEYS("one"));
    put_contents(all);
    assert_false(write_row("a", "[a]\n" KEYS("new"), false, &err));
    assert_int_equal(err.code, TH_BAD_USAGE);
    assert_true(write_row("a", "[a]\n" KEYS("new"), true, &err));
    snprintf(expected, sizeof expected, "%s[a]\n%s", mark, KEYS("new"));
    assert_string_equal(contents(), expected);
}

/* Blanks inside the brackets, which the reader passes over. */
static void test_blanks_in_brackets(void **state) {
    static const char *const heads[] = {"[ a ]\n", "  [a\t]\r\n", "[\tA]\n"};
    char all[1000], expected[1000];
    th_error err;

    (void)state;
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
        snprintf(all, sizeof all, "# of a\n%s%s\n[ b ]\n%s", heads[i], KEYS("one"), KEYS("two"));
        put_contents(all);
        assert_false(write_row("a", "[a]\n" KEYS("new"), false, &err));
        assert_int_equal(err.code, TH_BAD_USAGE);
        assert_non_null(strstr(err.message, "--replace"));
        assert_string_equal(contents(), all);
        assert_true(write_row("a", "[a]\n" KEYS("new"), true, &err));
        snprintf(expected, sizeof expected, "[a]\n%s\n[ b ]\n%s", KEYS("new"), KEYS("two"));
        assert_string_equal(contents(), expected);
    }
}

/* What is wrong before stays as it is. */
static void test_kept_on_failure(void **state) {
    th_error err;

    (void)state;
    put_contents("[a]\nname = broken\n");
    assert_false(write_row("b", "[b]\n" KEYS("new"), false, &err));
    assert_int_equal(err.code, TH_MISSING);
    assert_string_equal(err.file, tape_path);
    assert_string_equal(contents(), "[a]\nname = broken\n");
    put_contents("[a]\n" KEYS("one"));
    assert_false(write_row("b", "[b]\nname = no row\n", false, &err));
    assert_string_equal(contents(), "[a]\n" KEYS("one"));
}

static void test_link_stays(void **state) {
    char target[220];
    struct stat info;
    th_error err;

    (void)state;
    snprintf(target, sizeof target, "%s/elsewhere.ini", home);
    put_contents("[a]\n" KEYS("one"));
    assert_int_equal(rename(tape_path, target), 0);
    assert_int_equal(symlink(target, tape_path), 0);
    assert_true(write_row("a", "[a]\n" KEYS("new"), true, &err));
    assert_int_equal(lstat(tape_path, &info), 0);
    assert_true(S_ISLNK(info.st_mode));
    assert_string_equal(contents(), "[a]\n" KEYS("new"));
    assert_int_equal(unlink(tape_path), 0);
    assert_int_equal(unlink(target), 0);
}

static void test_nowhere(void **state) {
    char file[220];
    th_error err;

    (void)state;
    unsetenv("XDG_CONFIG_HOME");
    unsetenv("HOME");
    assert_false(write_row("a", "[a]\n" KEYS("one"), false, &err));
    assert_int_equal(err.code, TH_NOT_WRITTEN);
    snprintf(file, sizeof file, "%s/tackhold/tables", home); /* a file where a directory must go */
    assert_int_equal(rmdir(file), 0);
    FILE *blocking = fopen(file, "wb");
    assert_non_null(blocking);
    fclose(blocking);
    setenv("XDG_CONFIG_HOME", home, 1);
    assert_false(write_row("a", "[a]\n" KEYS("one"), false, &err));
    assert_int_equal(err.code, TH_NOT_WRITTEN);
    assert_int_equal(unlink(file), 0);
}

static int make_home(void **state) {
    (void)state;
    if (!mkdtemp(home)) {
        return 1;
    }
    snprintf(tape_path, sizeof tape_path, "%s/tackhold/tables/coolant.ini", home);
    return setenv("XDG_CONFIG_HOME", home, 1);
}

static int remove_home(void **state) {
    char path[220];

    (void)state;
    unlink(tape_path);
    snprintf(path, sizeof path, "%s/tackhold/tables", home);
    rmdir(path);
    snprintf(path, sizeof path, "%s/tackhold", home);
    return rmdir(path) | rmdir(home);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_forms),
        cmocka_unit_test(test_all_columns),
        cmocka_unit_test(test_bad_form),
        cmocka_unit_test(test_bad_head),
        cmocka_unit_test(test_bad_cells),
        cmocka_unit_test(test_too_much),
        cmocka_unit_test(test_new_row),
        cmocka_unit_test(test_replaced_row),
        cmocka_unit_test(test_no_last_line_end),
        cmocka_unit_test(test_mark_before_a_row),
        cmocka_unit_test(test_blanks_in_brackets),
        cmocka_unit_test(test_kept_on_failure),
        cmocka_unit_test(test_link_stays),
        cmocka_unit_test(test_nowhere),
    };

    return cmocka_run_group_tests(tests, make_home, remove_home);
}
