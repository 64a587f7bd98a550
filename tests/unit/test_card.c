/* test_card.c - the card for the shop wall, its pictures, and the HTML writer. Jobs are invented;
 * what a card must say follows from the job and the check it is made of. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/report.h"

/* ---- helpers --------------------------------------------------------------------------------- */

static draft panel(void) {
    draft d = plate(60, 40, 3);

    put(&d, "hold", "wait", "7 h");
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.05");
    put(&d, "cut.1", "depth", "1");
    return d;
}

static draft cut_out(void) {
    draft d = plate(50, 35, 2);

    add_sheet(&d, 90, 75, 20, 20);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.2");
    put(&d, "cut.1", "radial", "3");
    return d;
}

/* The card of a job without map and limits; free it. */
static char *card_of(const draft *d, answer *a) {
    th_text text = {0};
    th_error err = {TH_OK, 0, "", ""};

    run(d, false, a);
    const th_card card = {.job = a->job, .check = &a->check};
    if (!th_report_card(&card, &text, &err)) {
        fail_msg("%s", err.message);
    }
    return text.data;
}

static void assert_has(const char *text, const char *piece) {
    if (!strstr(text, piece)) {
        fail_msg("\"%s\" is missing", piece);
    }
}

static void assert_lacks(const char *text, const char *piece) {
    if (strstr(text, piece)) {
        fail_msg("\"%s\" stands there", piece);
    }
}

/* No number that is none. */
static void assert_numbers(const char *text) {
    char *lower = malloc(strlen(text) + 1);

    for (size_t i = 0; i <= strlen(text); i++) {
        lower[i] = (char)tolower((unsigned char)text[i]);
    }
    for (const char *at = lower; (at = strstr(at, "nan")) != NULL; at++) {
        assert_true(isalpha((unsigned char)at[3]) ||
                    (at > lower && isalpha((unsigned char)at[-1])));
    }
    assert_lacks(lower, "-inf");
    assert_lacks(lower, "\"inf");
    assert_lacks(lower, " inf ");
    free(lower);
}

enum { DEPTH = 40, NAME = 16 };

/* Every element that is opened is closed in its turn; <meta> has no end. */
static void assert_nested(const char *text) {
    char open[DEPTH][NAME];
    size_t depth = 0;

    for (const char *at = strchr(text, '<'); at; at = strchr(at + 1, '<')) {
        bool closes = at[1] == '/';
        const char *name = at + 1 + closes, *end = strchr(at, '>');
        size_t length = strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789");
        assert_non_null(end);
        if (length == 0 || length >= NAME || end[-1] == '/' || strncmp(name, "meta", 4) == 0) {
            continue; /* <!DOCTYPE>, <?xml?>, empty elements */
        }
        if (closes) {
            assert_true(depth > 0);
            depth--;
            assert_int_equal(strlen(open[depth]), length);
            assert_memory_equal(open[depth], name, length);
        } else {
            assert_true(depth < DEPTH);
            memcpy(open[depth], name, length);
            open[depth++][length] = '\0';
        }
    }
    assert_int_equal(depth, 0);
}

/* ---- the writer of HTML ---------------------------------------------------------------------- */

static void html_is_escaped_and_grouped(void **state) {
    static const th_doc_column columns[] = {{"a<b", NULL, false, false}, {"n", "mm", true, false}};
    const char *cells[] = {"x & y", "3"};
    th_doc doc = {0};
    th_text text = {0}, plain = {0};

    (void)state;
    th_doc_begin(&doc, "A Title, 2");
    th_doc_pair(&doc, "key", "%s", "\"<i>\"\x01\xff");
    th_doc_pair(&doc, "-", "item");
    th_doc_step(&doc, "One.", "first");
    th_doc_step(&doc, "Two.", "second");
    th_doc_columns(&doc, columns, 2);
    th_doc_row(&doc, cells);
    th_doc_line(&doc, "end");
    assert_true(th_doc_html(&doc, &text, NULL));
    assert_has(text.data, "<section id=\"a-title--2\">\n<h2>A Title, 2</h2>");
    assert_has(text.data, "<dl>\n<div><dt>key</dt><dd>&quot;&lt;i&gt;&quot;?\xEF\xBF\xBD</dd></div>"
                          "\n</dl>\n<ul>\n<li>item</li>\n</ul>\n<ol>\n<li><strong>One.</strong> "
                          "first</li>\n<li><strong>Two.</strong> second</li>\n</ol>\n<div");
    assert_has(text.data, "<th scope=\"col\">a&lt;b</th><th scope=\"col\" class=\"number\">n "
                          "<small>mm</small></th>");
    assert_has(text.data, "<th scope=\"row\">x &amp; y</th><td class=\"number\">3</td>");
    assert_has(text.data, "<p>end</p>");
    assert_nested(text.data);
    assert_true(th_doc_text(&doc, &plain, NULL));
    assert_has(plain.data, "1.  One.\n    first\n2.  Two.\n    second\n");
    th_text_free(&text);
    th_text_free(&plain);
    th_doc_free(&doc);
}

static void picture_that_failed_fails_the_document(void **state) {
    th_doc doc = {0};
    const th_text broken = {.failed = true};
    th_error err;

    (void)state;
    th_doc_picture(&doc, NULL, &broken);
    assert_false(th_doc_html(&doc, &(th_text){0}, &err));
    assert_int_equal(err.code, TH_NO_MEMORY);
    th_doc_free(&doc);
}

/* ---- the card -------------------------------------------------------------------------------- */

static void card_has_every_section(void **state) {
    static const char *const ids[] = {
        "the-hold", "the-stack", "cautions",          "not-checked", "taken-for-granted",
        "steps",    "cuts",      "what-to-turn-down", "temperature", "figures-and-their-trust"};
    draft d = panel();
    answer a = {0};
    char *card = card_of(&d, &a), id[60];

    (void)state;
    assert_int_equal(a.check.verdict, TH_HOLDS);
    for (size_t i = 0; i < sizeof ids / sizeof *ids; i++) {
        snprintf(id, sizeof id, "<section id=\"%s\">", ids[i]);
        assert_has(card, id);
    }
    assert_has(card, "<strong>HOLDS</strong>");
    assert_has(card, "<html lang=\"en\">");
    assert_has(card, "default-src 'none'");
    assert_lacks(card, "<script");
    assert_lacks(card, "http-equiv=\"refresh\"");
    assert_lacks(card, "@import");
    assert_lacks(card, "url(http");
    assert_nested(card);
    assert_numbers(card);
    free(card);
    answer_free(&a);
}

/* A page has no command line to type at. */
static void on_screen_nothing_is_typed(void **state) {
    static const char *const words[] = {"--set", "--all", "tackhold check", "tackhold limits"};
    static char advised[] = "each cut has to be turned down by itself: --set cut.1.axial=0.1mm "
                            "--set cut.2.axial=0.2mm; `tackhold limits JOB' finds the fastest";
    const char *lines[] = {advised};
    draft d = panel();
    th_check_options how = {.turn_downs = true};
    th_error err = {TH_OK, 0, "", ""};
    th_limits limits;
    answer a;
    (void)state;
    put(&d, "cut.1", "axial", "0.8");
    run(&d, true, &a);
    assert_true(a.check.verdict != TH_HOLDS && a.check.turn_down_count > 0);
    assert_true(th_limits_sketch(a.job, &how, &a.job->cuts[0], &limits, &err));
    a.check.advice = (th_lines){.items = lines, .count = 1};
    for (int screen = 0; screen < 4; screen++) {
        th_text text = {0};
        const th_card card = {a.job, &a.check, &limits, NULL, screen % 2 == 1};
        a.check.turn_downs_tried = screen < 2;
        assert_true(th_report_card(&card, &text, &err));
        for (size_t i = 0; screen % 2 == 1 && i < sizeof words / sizeof *words; i++) {
            assert_lacks(text.data, words[i]);
        }
        assert_has(text.data,
                   screen % 2 == 1 ? "the limits have the fastest" : "tackhold limits JOB");
        th_text_free(&text);
    }
    th_limits_free(&limits);
    answer_free(&a);
}

static void card_escapes_what_the_user_wrote(void **state) {
    draft d = panel();
    answer a = {0};

    (void)state;
    put(&d, "job", "title", "Panel </title><script>alert(1)</script> & \"co\"");
    char *card = card_of(&d, &a);
    assert_lacks(card, "<script");
    assert_has(card, "<h1>Panel &lt;/title&gt;&lt;script&gt;alert(1)&lt;/script&gt; &amp; "
                     "&quot;co&quot;</h1>");
    assert_nested(card);
    free(card);
    answer_free(&a);
}

/* A kilogram weighs 9.80665 N (3rd CGPM 1901), a pound-force is 4.4482216152605 N. */
static void steps_follow_the_job(void **state) {
    draft d = panel();
    answer a = {0};
    char *card = card_of(&d, &a), reading[80], kilograms[24], pounds[24];
    const double *f = a.check.proof.force;
    double newton = sqrt(f[0] * f[0] + f[1] * f[1] + f[2] * f[2]);

    (void)state;
    assert_true(a.check.proof.possible);
    th_number_print(newton / 9.80665, 3, kilograms, sizeof kilograms);
    th_number_print(newton / 4.4482216152605, 3, pounds, sizeof pounds);
    snprintf(reading, sizeof reading, "there reads %s kg, or %s lb", kilograms, pounds);
    assert_has(card, reading);
    assert_has(card, "7 h from gluing to the first cut");
    assert_has(card, "polyester-acrylic (0.08 mm), strips side by side");
    assert_has(card, "Superglue: fumes");
    assert_has(card, "acetone, which softens superglue");
    assert_lacks(card, "Coolant (");
    assert_has(card, a.job->part.stock->caution);
    free(card);
    answer_free(&a);
}

static void steps_of_another_hold(void **state) {
    draft d = panel();
    answer a = {0};

    (void)state;
    put(&d, "part", "stock", "acrylic");
    put(&d, "hold", "tape", "double-film-acrylic");
    put(&d, "hold", "glue", "none");
    put(&d, "hold", "cooling", "flood");
    put(&d, "hold", "preparation", "as-is");
    put(&d, "hold", "pressed", "hand");
    char *card = card_of(&d, &a);
    assert_lacks(card, "<strong>Glue.</strong>");
    assert_lacks(card, "Superglue");
    assert_lacks(card, "which softens superglue");
    assert_has(card, "no heat gun, no acetone");
    assert_has(card, "from setting it down to the first cut");
    assert_has(card, "Peel the liner");
    assert_has(card, "as it is, not cleaned");
    free(card);
    answer_free(&a);
}

static void what_lets_go_is_not_to_be_cut(void **state) {
    draft d = panel();
    answer a = {0};

    (void)state;
    put(&d, "hold", "tape", "painters-paper");
    put(&d, "hold", "cooling", "flood");
    char *card = card_of(&d, &a);
    assert_int_equal(a.check.verdict, TH_LETS_GO);
    assert_has(card, "<strong>LETS GO</strong>");
    assert_has(card, "Do not cut this as it stands");
    assert_has(card, "<section id=\"steps--once-it-holds\">");
    assert_has(card, "tackhold check tells what reaches 2.0");
    assert_has(card, "Coolant (");
    assert_has(card, "None: no pull can prove it");
    assert_lacks(card, "spring scale");
    free(card);
    answer_free(&a);
}

static void a_push_has_no_work_zero(void **state) {
    draft d = plate(60, 40, 3);
    answer a = {0};

    (void)state;
    add_push(&d, "cut.1", (const double[]){3, 0, 1}, 30, 20);
    char *card = card_of(&d, &a);
    assert_lacks(card, "Work zero.");
    assert_lacks(card, "<section id=\"temperature\">");
    assert_has(card, "x 3 N, y 0 N, z 1 N at x 30 mm, y 20 mm for 3 s");
    assert_nested(card);
    assert_numbers(card);
    free(card);
    answer_free(&a);
}

/* With pictures of everything: small enough to send about. */
static void whole_card_is_small(void **state) {
    draft d = cut_out();
    th_check_options how = {.work = th_work_new()};
    th_job *job = built(&d);
    th_check check = {0};
    th_map map = {0};
    th_limits limits = {0};
    th_text text = {0};
    th_error err = {TH_OK, 0, "", ""};

    (void)state;
    assert_true(th_check_run(job, &how, &check, &err));
    assert_true(th_map_run(job, &how, &check, &map, &err));
    assert_true(th_limits_sketch(job, &how, &job->cuts[0], &limits, &err));
    const th_card card = {job, &check, &limits, &map, false};
    assert_true(th_report_card(&card, &text, &err));
    assert_has(text.data, "<section id=\"the-part-from-above\">");
    assert_has(text.data, "<section id=\"how-far-it-may-be-opened\">");
    assert_true(text.size < 400000);
    assert_nested(text.data);
    assert_numbers(text.data);
    th_text_free(&text);
    th_limits_free(&limits);
    th_map_free(&map);
    th_check_free(&check);
    th_work_free(how.work);
    th_job_free(job);
}

/* ---- temperature ----------------------------------------------------------------------------- */

/* The number before the text that starts with `label`: attribute y of its <text>. */
static double y_of(const char *svg, const char *label) {
    char closing[60];
    snprintf(closing, sizeof closing, ">%s", label);
    const char *at = strstr(svg, closing), *y = NULL;
    assert_non_null(at);
    for (const char *seek = svg; (seek = strstr(seek, "<text")) != NULL && seek < at; seek++) {
        y = strstr(seek, " y=\"");
    }
    assert_non_null(y);
    return strtod(y + 4, NULL);
}

/* The line of the limit lies where the axis has its temperature. */
static void limit_of_the_hold_is_to_scale(void **state) {
    draft d = panel();
    answer a = {0};
    th_text text = {0};
    th_error err;

    (void)state;
    run(&d, false, &a);
    th_check *check = &a.check;
    assert_true(check->warm_count > 2);
    assert_true(th_picture_heat(a.job, check, &text, &err));
    double a_line = y_of(text.data, "glue: nothing holds above 80 C") + 5; /* 5 px over the line */
    double low = y_of(text.data, "40<") - 4, high = y_of(text.data, "60<") - 4; /* 4 px below it */
    assert_near(40 + 20 * (low - a_line) / (low - high), 80, 0, 0.2);
    assert_nested(text.data);
    assert_numbers(text.data);
    th_text_free(&text);
    answer_free(&a);
}

static void heat_without_bounds_is_drawn_at_the_top(void **state) {
    draft d = panel();
    answer a = {0};
    th_text text = {0};
    th_error err;

    (void)state;
    run(&d, false, &a);
    a.check.warm[1].tape = INFINITY;
    assert_true(th_picture_heat(a.job, &a.check, &text, &err));
    assert_numbers(text.data);
    th_text_free(&text);
    a.check.warm_count = 0;
    assert_true(th_picture_heat(a.job, &a.check, &text, &err));
    assert_has(text.data, "Nothing is cut, so nothing gets warm.");
    th_text_free(&text);
    answer_free(&a);
}

/* ---- limits ---------------------------------------------------------------------------------- */

static const th_limit_point *at_radial(const th_limits *limits, double radial) {
    const th_limit_cut *cut = &limits->cuts[0];

    for (size_t i = 0; i < cut->point_count; i++) {
        if (fabs(cut->points[i].radial - radial) < 1e-6) {
            return &cut->points[i];
        }
    }
    return NULL;
}

/* Never beyond what the full search finds, and at most 7 % short of it. */
static void sketch_lies_within_the_limits(void **state) {
    draft d = panel();
    const th_check_options how = {.work = th_work_new()}, plain = {.work = NULL};
    th_job *job = built(&d);
    th_limits sketch = {0}, whole = {0};
    th_error err;
    size_t compared = 0;

    (void)state;
    assert_true(th_limits_sketch(job, &how, &job->cuts[0], &sketch, &err));
    assert_true(th_limits_run(job, &plain, NULL, &whole, &err));
    assert_int_equal(sketch.cut_count, 1);
    assert_true(sketch.cuts[0].sketched && !sketch.cuts[0].possible && !whole.cuts[0].sketched);
    for (size_t i = 0; i < sketch.cuts[0].point_count; i++) {
        const th_limit_point *p = &sketch.cuts[0].points[i], *q = at_radial(&whole, p->radial);
        if (!q) {
            continue;
        }
        assert_true(p->axial <= q->axial * 1.013);
        assert_true(p->axial >= q->axial * 0.93);
        assert_int_equal(p->limiter, q->limiter);
        compared++;
    }
    assert_true(compared >= 3);
    th_limits_free(&sketch);
    th_limits_free(&whole);
    th_work_free(how.work);
    th_job_free(job);
}

static void limits_are_drawn(void **state) {
    draft d = panel();
    const th_check_options plain = {.work = NULL};
    answer a = {0};
    th_limits limits = {0};
    th_text text = {0};
    th_error err;

    (void)state;
    run(&d, false, &a);
    assert_true(th_limits_run(a.job, &plain, NULL, &limits, &err));
    assert_true(th_picture_limits(a.job, &a.check, &limits, &text, &err));
    assert_has(text.data, "as stated: 6 mm x 0.05 mm, holds");
    assert_has(text.data, "fastest: ");
    assert_has(text.data, "Radial 0.12 mm: axial to ");
    assert_nested(text.data);
    assert_numbers(text.data);
    th_text_free(&text);
    limits.cut_count = 0;
    assert_true(th_picture_limits(a.job, &a.check, &limits, &text, &err));
    assert_has(text.data, "nothing to open");
    th_text_free(&text);
    th_limits_free(&limits);
    answer_free(&a);
}

/* What is kept between calls changes no figure. */
static void work_changes_nothing(void **state) {
    draft d = cut_out();
    th_check_options how = {.turn_downs = false};
    th_job *job = built(&d);
    th_check fresh = {0}, first = {0}, second = {0};
    th_error err;

    (void)state;
    assert_true(th_check_run(job, &how, &fresh, &err));
    how.work = th_work_new();
    assert_true(th_check_run(job, &how, &first, &err));
    assert_true(th_check_run(job, &how, &second, &err));
    assert_int_equal(fresh.stage_count, second.stage_count);
    for (size_t i = 0; i < fresh.stage_count; i++) {
        assert_near(first.stages[i].hold_factor, fresh.stages[i].hold_factor, 0, 0);
        assert_near(second.stages[i].hold_factor, fresh.stages[i].hold_factor, 0, 0);
        assert_near(second.stages[i].sway, fresh.stages[i].sway, 0, 0);
    }
    th_check_free(&first);
    th_check_free(&second);
    th_check_free(&fresh);
    th_work_free(how.work);
    th_job_free(job);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(html_is_escaped_and_grouped),
        cmocka_unit_test(picture_that_failed_fails_the_document),
        cmocka_unit_test(card_has_every_section),
        cmocka_unit_test(on_screen_nothing_is_typed),
        cmocka_unit_test(card_escapes_what_the_user_wrote),
        cmocka_unit_test(steps_follow_the_job),
        cmocka_unit_test(steps_of_another_hold),
        cmocka_unit_test(what_lets_go_is_not_to_be_cut),
        cmocka_unit_test(a_push_has_no_work_zero),
        cmocka_unit_test(whole_card_is_small),
        cmocka_unit_test(limit_of_the_hold_is_to_scale),
        cmocka_unit_test(heat_without_bounds_is_drawn_at_the_top),
        cmocka_unit_test(sketch_lies_within_the_limits),
        cmocka_unit_test(limits_are_drawn),
        cmocka_unit_test(work_changes_nothing),
    };
    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
