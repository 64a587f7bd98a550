/* test_page.c - what the page asks of the core, as the page asks it: tables, drawings, questions
 * and faults, all as text in memory. Answers are held against the core asked directly. All jobs and
 * drawings are invented. Runs from the project's root. */
#define _GNU_SOURCE /* setenv */
#include "support/near.h"

#include "page.h"
#include "tackhold/files.h"
#include "tackhold/report.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static th_page *page;

static char *read_file(const char *path, size_t *size) {
    FILE *file = fopen(path, "rb");
    char *text = calloc(1, 1 << 20);

    assert_non_null(file);
    assert_non_null(text);
    *size = fread(text, 1, (1 << 20) - 1, file);
    assert_int_equal(fclose(file), 0);
    return text;
}

static int begin(void **state) {
    char path[64];

    (void)state;
    page = th_page_new();
    assert_non_null(page);
    for (int table = 0; table < TH_TABLE_COUNT; table++) {
        size_t size;
        snprintf(path, sizeof path, "materials/%s.ini", th_table_name((th_table)table));
        char *text = read_file(path, &size);
        assert_int_equal(th_page_table(page, table, text, size, 0), 0);
        free(text);
    }
    return 0;
}

static int end(void **state) {
    (void)state;
    th_page_free(page);
    return 0;
}

/* Short and thick: few elements, as the sanitizers look at each. */
static const char job_text[] =
    "[job]\ntitle = shim\nunits = mm\n[part]\nstock = al-6061-t6\nlength = 24\nwidth = 16\n"
    "thickness = 6\n[hold]\ntape = polyester-acrylic\nglue = ca-thin\ncooling = dry\n"
    "coverage = 0.9\n[machine]\nid = bench-mill\n[cutter.c]\nid = flat-3mm-2\n"
    "[cut.1]\noperation = slot\ncutter = c\naxial = 0.3\n";

static int ask(const char *what, const char *job, const char *settings) {
    return th_page_ask(page, what, job, strlen(job), settings);
}

static double number(const char *key) {
    const char *found = strstr(th_page_answer(page), key);

    assert_non_null(found);
    return strtod(found + strlen(key), NULL);
}

static bool says(const char *words) {
    assert_int_equal(strlen(th_page_answer(page)), th_page_answer_size(page));
    return strstr(th_page_answer(page), words) != NULL;
}

/* The hold factor of the text above by the core itself, `settings` on top. */
static double factor_of(const char *const *settings, size_t count) {
    th_tables *tables = NULL;
    th_job *job = NULL;
    th_check check = {0};
    th_error err;

    setenv("TACKHOLD_MATERIALS", "materials", 1);
    assert_true(th_tables_load(NULL, 0, &tables, &err));
    assert_true(
        th_job_scan(job_text, strlen(job_text), "job", NULL, settings, count, tables, &job, &err));
    assert_true(th_check_run(job, &(th_check_options){0}, &check, &err));
    double factor = check.hold_factor;
    th_check_free(&check);
    th_job_free(job);
    th_tables_free(tables);
    return factor;
}

static void verdict_is_that_of_the_core(void **state) {
    (void)state;
    int code = ask("verdict", job_text, "");
    double direct = factor_of(NULL, 0);

    assert_int_equal(code, direct >= 2 ? 0 : 1);
    assert_true(says("\"brief\": ") && says("\"full\": "));
    assert_near(number("\"estimate\": true, \"hold_factor\": "), direct, 1e-9, 0);
}

static void settings_lie_on_top_of_the_job(void **state) {
    static const char *const deeper[] = {"cut.1.axial=0.6", "hold.coverage=0.5"};

    (void)state;
    assert_true(ask("verdict", job_text, "cut.1.axial=0.6\nhold.coverage=0.5") <= 1);
    assert_near(number("\"estimate\": true, \"hold_factor\": "), factor_of(deeper, 2), 1e-9, 0);
}

/* What is kept from one question to the next changes no figure. */
static void answers_do_not_hang_on_earlier_ones(void **state) {
    static const char *const changes[] = {
        "", "cut.1.axial=0.6", "part.thickness=5", "hold.tape=painters-paper", "part.length=26",
        ""};
    double factors[sizeof changes / sizeof changes[0]];
    size_t count = sizeof changes / sizeof changes[0];

    for (size_t i = 0; i < count; i++) {
        assert_true(ask("verdict", job_text, changes[i]) <= 1);
        factors[i] = number("\"estimate\": true, \"hold_factor\": ");
    }
    for (size_t i = 0; i < count; i++) {
        end(state);
        begin(state);
        assert_true(ask("verdict", job_text, changes[i]) <= 1);
        assert_true(number("\"estimate\": true, \"hold_factor\": ") == factors[i]);
    }
    assert_true(factors[0] == factors[count - 1] && factors[0] != factors[1]);
}

/* For a phone the same figures with narrower pictures. */
static void pictures_for_a_phone(void **state) {
    (void)state;
    int code = ask("verdict", job_text, "");
    double factor = number("\"estimate\": true, \"hold_factor\": ");

    assert_true(says("viewBox=\\\"0 0 680 "));
    assert_int_equal(ask("verdict thin", job_text, ""), code);
    assert_true(number("\"estimate\": true, \"hold_factor\": ") == factor);
    assert_true(says("\"part\": ") && says("\"stack\": ") && says("\"heat\": "));
    assert_true(says("viewBox=\\\"0 0 340 "));
    assert_false(says("viewBox=\\\"0 0 680 "));
}

/* The stiff block cannot be worse than the part that bends. */
static void first_look_is_above_the_verdict(void **state) {
    (void)state;
    assert_true(ask("rigid", job_text, "") <= 1);
    double stiff = number("\"estimate\": true, \"hold_factor\": ");
    assert_false(says("\"brief\""));
    assert_true(ask("verdict", job_text, "") <= 1);
    assert_true(stiff >= number("\"estimate\": true, \"hold_factor\": "));
}

static void no_words_of_the_command_line(void **state) {
    (void)state;
    assert_int_equal(ask("check", job_text, "cut.1.axial=1.5\nhold.coverage=0.1"), 1);
    assert_true(says("\"turn_downs\""));
    assert_false(says("--set"));
    assert_false(says("--all"));
    assert_int_equal(ask("tape", job_text, ""), 0);
    assert_true(says("\"choices\"") && says("\"report\""));
    assert_false(says("--all"));
    assert_int_equal(ask("limits thin", job_text, "cut.1.axial=0.02\ncut.1.radial=0.06"), 0);
    assert_true(says("\"fastest\"") && says("\"label\": \"set\""));
    assert_false(says("--set"));
}

/* The picture says it: what print in one width of letter lines up is a muddle on a page. */
static void limits_have_no_chart_of_letters(void **state) {
    (void)state;
    assert_int_equal(ask("limits", job_text, ""), 0);
    assert_true(says("<svg") && says("\"limited by\"") && says("axial to"));
    assert_false(says("{\"text\": \" ") || says("   "));
}

static void faults_name_their_line(void **state) {
    char text[sizeof job_text + 8];

    (void)state;
    snprintf(text, sizeof text, "%s", job_text);
    memcpy(strstr(text, "= 24"), "= ab", 4);
    assert_int_equal(ask("rigid", text, ""), 2);
    assert_true(says("\"line\": 6") && says("[part] length = ab"));
    assert_int_equal(ask("rigid", "", ""), 2);
    assert_int_equal(ask("rigid", job_text, "no setting"), 2);
    assert_int_equal(ask("cook", job_text, ""), 2);
    assert_int_equal(ask("", "", ""), 2);
    assert_int_equal(ask("list", "", ""), 2);
    assert_int_equal(ask("list no-such-table", "", ""), 2);
    assert_int_equal(ask("show tape no-such-tape", "", ""), 2);
    assert_int_equal(ask("convert 5 part nothing mm 1", "", ""), 2);
    assert_int_equal(ask("keys nothing", "", ""), 2);
}

/* A NUL inside a job ends nothing. */
static void bytes_count_not_the_end_of_a_string(void **state) {
    static const char text[] = "[job]\ntitle = a\0b\n";

    (void)state;
    assert_int_equal(th_page_ask(page, "rigid", text, sizeof text - 1, ""), 2);
    assert_true(says("\"line\": 2"));
}

static void values_in_other_units(void **state) {
    static const struct {
        const char *asked, *expected;
    } cases[] = {
        {"convert 5 part length mm 25.4", "1"},
        {"convert 5 part length inch 1/8", "3.175"},
        {"convert 5 part length mm 25.4 mm", "1 in"},
        {"convert 5 cut feed mm 254", "10"},
        {"convert 5 cut chip_load inch 0.001 in/tooth", "0.0254 mm/tooth"},
        {"convert 5 cut at mm 25.4,50.8 0,12.7", "1,2 0,0.5"},
        {"convert 5 cut size inch 2 x 1", "50.8 x 25.4"},
        {"convert 5 part stock mm al-6061-t6", "al-6061-t6"},
        {"convert 5 hold coverage mm 0.9", "0.9"},
        {"convert 5 job title mm 25.4", "25.4"},
        {"convert 5 part length mm not a number", "not a number"},
        /* no more digits than bring back what was typed (25.4 mm to the inch, exact) */
        {"convert 5 part length mm 0.3", "0.011811"},
        {"convert 5 part length inch 0.011811", "0.3"},
        {"convert 5 part length mm 160", "6.2992"},
        {"convert 5 part length inch 3/32", "2.38125"},
        {"convert 5 part length mm 12.345", "0.48602"},
        {"convert 5 part length inch 0.48602", "12.345"},
        {"convert 7 part length mm 0.3", "0.011811024"},
        {"convert 5 cut at mm 0.3,160", "0.011811,6.2992"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        assert_int_equal(ask(cases[i].asked, "", ""), 0);
        assert_string_equal(th_page_answer(page), cases[i].expected);
    }
}

static void rows_in_the_units_of_the_job(void **state) {
    (void)state;
    assert_int_equal(ask("row tape coated-crepe mm", "", ""), 0);
    assert_true(says("0.254 mm") && says("70 C"));
    assert_int_equal(ask("row tape coated-crepe inch", "", ""), 0);
    assert_true(says("0.01 in") && says("158 F"));
    assert_int_equal(ask("row tape no-such-tape mm", "", ""), 2);
    assert_int_equal(ask("row glove ca-thin mm", "", ""), 2);
}

/* Tapes whose figures lie at the edge of what a row may say must stay on its right side. */
static void rows_as_text_to_begin_from(void **state) {
    static const char *const tapes[] = {"coated-crepe", "polyester-acrylic", "foam-acrylic",
                                        "carpet-tape"};
    char asked[64], text[2048];

    (void)state;
    assert_int_equal(ask("text tape coated-crepe mm", "", ""), 0);
    assert_true(says("thickness = 0.254 mm\n") && says("temperature_max = 70 C\n"));
    assert_false(says("source") || says("trust") || says("name"));
    for (size_t i = 0; i < sizeof tapes / sizeof tapes[0]; i++) {
        snprintf(asked, sizeof asked, "text tape %s inch", tapes[i]);
        assert_int_equal(ask(asked, "", ""), 0);
        assert_true(says(" in\n") && says(" psi\n") && says(" F\n") && says(" lbf/in\n"));
        assert_false(says(" mm\n") || says("Pa\n") || says(" C\n"));
        snprintf(text, sizeof text, "[own-%zu]\nname = a\n%ssource = a\ntrust = estimate\n", i,
                 th_page_answer(page));
        assert_int_equal(th_page_table(page, TH_TAPES, text, strlen(text), 1), 0);
    }
    assert_int_equal(ask("text glue none inch", "", ""), 0);
    assert_string_equal(th_page_answer(page), "");
    assert_int_equal(ask("text tape no-such-tape inch", "", ""), 2);
    assert_int_equal(ask("text glove ca-thin inch", "", ""), 2);
}

/* 1.96 is not told as 2.0. */
static void factors_are_told_from_below(void **state) {
    char told[32];

    (void)state;
    assert_true(ask("rigid", job_text, "") <= 1);
    double factor = number("\"estimate\": true, \"hold_factor\": ");
    th_hold_factor_print(factor, 2, told, sizeof told);
    assert_true(atof(told) <= factor && atof(told) > 0.9 * factor);
    assert_near(number("\"said\": {\"hold_factor\": \""), atof(told), 1e-12, 0);
    assert_near(number("\"asked_factor\": \""), 2, 1e-12, 0);
}

static void rows_of_ones_own(void **state) {
    static const char row[] = "[own-film]\nname = film of the shop\nlike = nothing\n";
    static const char plate[] =
        "[own-plate]\nname = board\nadhesion = 0.5\nconductivity = 0.3 W/mK\n"
        "density = 1400 kg/m3\nheat_capacity = 1500 J/kgK\nsource = invented\ntrust = estimate\n";

    (void)state;
    assert_int_equal(th_page_table(page, TH_TAPES, row, sizeof row - 1, 1), 2);
    assert_true(says("\"line\": "));
    assert_int_equal(th_page_table(page, TH_TABLE_COUNT, row, sizeof row - 1, 1), 2);
    assert_int_equal(th_page_table(page, -1, row, sizeof row - 1, 1), 2);
    assert_int_equal(th_page_table(page, TH_PLATES, plate, sizeof plate - 1, 1), 0);
    assert_int_equal(ask("list plate", "", ""), 0);
    assert_true(says("own-plate") && says("\"own\": true"));
    assert_true(ask("verdict", job_text, "hold.plate=own-plate") <= 1);
}

/* ---- drawings -------------------------------------------------------------------------------- */

#define SVG_NAME "http://www.w3.org/2000/svg|"

static const char svg[] = "<svg/>"; /* its events say what is in it */
static const char events[] = "S\x1f"
                             "0\x1f" SVG_NAME "svg\x1f"
                             "width\x1f"
                             "24mm\x1f"
                             "height\x1f"
                             "16mm\x1f"
                             "viewBox\x1f"
                             "0 0 24 16\x1e"
                             "S\x1f"
                             "0\x1f" SVG_NAME "rect\x1f"
                             "width\x1f"
                             "24\x1f"
                             "height\x1f"
                             "16\x1e"
                             "E\x1f" SVG_NAME "rect\x1e"
                             "T\x1f"
                             "\n\x1e"
                             "E\x1f" SVG_NAME "svg\x1e";
static const char outline[] = "part.outline=a.svg";

static int give(const char *text, const char *found) {
    return th_page_file(page, "a.svg", text, strlen(text), found);
}

static void drawing_from_the_events_of_a_parser(void **state) {
    (void)state;
    assert_int_equal(ask("verdict", job_text, outline), 2);
    assert_true(says("a.svg") && says("open that file too"));
    assert_int_equal(give(svg, events), 0);
    assert_true(ask("verdict", job_text, outline) <= 1);
    /* a rectangle is a rectangle, drawn or not */
    assert_near(number("\"estimate\": true, \"hold_factor\": "), factor_of(NULL, 0), 1e-9, 0);
}

static void drawings_that_are_none(void **state) {
    static const char *const bad[] = {
        "",
        "\x1e",
        "X\x1f"
        "0\x1e",
        "X\x1e",
        "S\x1e",
        "E\x1e",
        "T\x1e",
        "D\x1e",
        "S\x1f"
        "0\x1e",
        "S\x1f"
        "0\x1f" SVG_NAME "svg\x1f"
        "width\x1e",
        "D\x1f"
        "1\x1e",
        "Q",
        "S\x1f"
        "0\x1f" SVG_NAME "svg",
    };

    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        assert_int_equal(give(svg, bad[i]), 0);
        assert_int_equal(ask("rigid", job_text, outline), 2);
        assert_true(th_page_answer_size(page) > 20);
    }
    assert_int_equal(give(svg, events), 0); /* the last of a name counts */
    assert_true(ask("rigid", job_text, outline) <= 1);
}

static void drawings_are_judged_alone(void **state) {
    (void)state;
    assert_int_equal(ask("drawing a.svg", "", ""), 2);
    assert_true(says("no such drawing: a.svg"));
    assert_int_equal(give(svg, "X\x1f"
                               "0\x1e"),
                     0);
    assert_int_equal(ask("drawing a.svg", "", ""), 2);
    assert_int_equal(give(svg, events), 0);
    assert_int_equal(ask("drawing a.svg", "", ""), 0);
    assert_near(number("\"length\": "), 24, 1e-9, 0);
    assert_near(number("\"width\": "), 16, 1e-9, 0);
    assert_int_equal(th_page_file(page, "my part.svg", svg, strlen(svg), events), 0);
    assert_int_equal(ask("drawing my part.svg", "", ""), 0);
}

static void drawing_in_dxf(void **state) {
    static const char dxf[] = "0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n90\n4\n70\n1\n10\n0\n20\n0\n"
                              "10\n24\n20\n0\n10\n24\n20\n"
                              "16\n10\n0\n20\n16\n0\nENDSEC\n0\nEOF\n";

    (void)state;
    assert_int_equal(give(dxf, ""), 0);
    assert_true(ask("verdict", job_text, outline) <= 1);
    assert_near(number("\"estimate\": true, \"hold_factor\": "), factor_of(NULL, 0), 1e-9, 0);
}

static void memory_of_texts(void **state) {
    (void)state;
    void *none = th_page_take(0), *some = th_page_take(100);

    assert_non_null(none);
    assert_non_null(some);
    memset(some, 1, 100);
    th_page_give_back(none);
    th_page_give_back(some);
    th_page_give_back(NULL);
    th_page_free(NULL);
    assert_string_equal(th_page_answer(page), "");
    assert_int_equal(th_page_answer_size(page), 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(verdict_is_that_of_the_core, begin, end),
        cmocka_unit_test_setup_teardown(settings_lie_on_top_of_the_job, begin, end),
        cmocka_unit_test_setup_teardown(answers_do_not_hang_on_earlier_ones, begin, end),
        cmocka_unit_test_setup_teardown(pictures_for_a_phone, begin, end),
        cmocka_unit_test_setup_teardown(first_look_is_above_the_verdict, begin, end),
        cmocka_unit_test_setup_teardown(no_words_of_the_command_line, begin, end),
        cmocka_unit_test_setup_teardown(faults_name_their_line, begin, end),
        cmocka_unit_test_setup_teardown(bytes_count_not_the_end_of_a_string, begin, end),
        cmocka_unit_test_setup_teardown(values_in_other_units, begin, end),
        cmocka_unit_test_setup_teardown(rows_in_the_units_of_the_job, begin, end),
        cmocka_unit_test_setup_teardown(rows_as_text_to_begin_from, begin, end),
        cmocka_unit_test_setup_teardown(limits_have_no_chart_of_letters, begin, end),
        cmocka_unit_test_setup_teardown(drawings_are_judged_alone, begin, end),
        cmocka_unit_test_setup_teardown(factors_are_told_from_below, begin, end),
        cmocka_unit_test_setup_teardown(rows_of_ones_own, begin, end),
        cmocka_unit_test_setup_teardown(drawing_from_the_events_of_a_parser, begin, end),
        cmocka_unit_test_setup_teardown(drawings_that_are_none, begin, end),
        cmocka_unit_test_setup_teardown(drawing_in_dxf, begin, end),
        cmocka_unit_test_setup_teardown(memory_of_texts, begin, end),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
