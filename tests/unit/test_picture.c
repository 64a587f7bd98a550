/* test_picture.c - the pictures of part and stack as SVG: well formed, readable, sound. Jobs are
 * invented. */
#include <expat.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/report.h"

/* ---- what a picture holds -------------------------------------------------------------------- */

enum { IDS_MOST = 64, WORDS_MOST = 400, BANDS_MOST = 16 };

typedef struct {
    double x, y, size;
    char fill[16], words[256], anchor[16];
    bool halo;
} text_mark;

typedef struct {
    const char *prefix;
    char ids[IDS_MOST][64];
    size_t id_count;
    text_mark texts[WORDS_MOST];
    size_t text_count;
    double bands[BANDS_MOST]; /* luminance of the fills of the scale, in order */
    size_t band_count;
    double width, height;
    bool in_text, titled, described, labelled, image;
    size_t depth, marks;
} seen;

static const char *value_of(const char **attributes, const char *name) {
    for (size_t i = 0; attributes[i]; i += 2) {
        if (strcmp(attributes[i], name) == 0) {
            return attributes[i + 1];
        }
    }
    return NULL;
}

static double number_of(const char **attributes, const char *name) {
    const char *value = value_of(attributes, name);
    char *end;
    double number = value ? strtod(value, &end) : 0;

    assert_true(!value || (*end == '\0' && isfinite(number)));
    return number;
}

static double channel(const char *digits) {
    char two[3] = {digits[0], digits[1], '\0'};
    double c = (double)strtol(two, NULL, 16) / 255;

    return c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
}

/* Relative luminance (WCAG 2.1). */
static double luminance(const char *colour) {
    char full[8];

    if (strlen(colour) == 4) {
        snprintf(full, sizeof full, "#%c%c%c%c%c%c", colour[1], colour[1], colour[2], colour[2],
                 colour[3], colour[3]);
        colour = full;
    }
    assert_int_equal(strlen(colour), 7);
    return 0.2126 * channel(colour + 1) + 0.7152 * channel(colour + 3) +
           0.0722 * channel(colour + 5);
}

/* Contrast ratio (WCAG 2.1). */
static double contrast(const char *a, const char *b) {
    double p = luminance(a), q = luminance(b);

    return (fmax(p, q) + 0.05) / (fmin(p, q) + 0.05);
}

static void take_id(seen *s, const char *id) {
    size_t length = strlen(s->prefix);

    assert_true(strncmp(id, s->prefix, length) == 0 && id[length] == '-');
    for (size_t i = 0; i < s->id_count; i++) {
        assert_string_not_equal(s->ids[i], id);
    }
    assert_true(s->id_count < IDS_MOST);
    snprintf(s->ids[s->id_count++], sizeof s->ids[0], "%s", id);
}

static void take_text(seen *s, const char **attributes) {
    text_mark *text = &s->texts[s->text_count++];
    const char *fill = value_of(attributes, "fill"), *anchor = value_of(attributes, "text-anchor");

    assert_true(s->text_count <= WORDS_MOST);
    *text = (text_mark){.x = number_of(attributes, "x"),
                        .y = number_of(attributes, "y"),
                        .size = number_of(attributes, "font-size"),
                        .halo = value_of(attributes, "paint-order") != NULL};
    snprintf(text->fill, sizeof text->fill, "%s", fill);
    snprintf(text->anchor, sizeof text->anchor, "%s", anchor ? anchor : "start");
    s->in_text = true;
}

static void opened(void *context, const char *name, const char **attributes) {
    seen *s = context;
    const char *id = value_of(attributes, "id"), *d = value_of(attributes, "d");

    if (s->depth++ == 0) {
        assert_string_equal(name, "svg");
        assert_string_equal(value_of(attributes, "xmlns"), "http://www.w3.org/2000/svg");
        assert_int_equal(
            sscanf(value_of(attributes, "viewBox"), "0 0 %lf %lf", &s->width, &s->height), 2);
        s->image = strcmp(value_of(attributes, "role"), "img") == 0;
        s->labelled = value_of(attributes, "aria-labelledby") != NULL;
    }
    if (id) {
        take_id(s, id);
    }
    s->titled = s->titled || (strcmp(name, "title") == 0 && s->depth == 2);
    s->described = s->described || (strcmp(name, "desc") == 0 && s->depth == 2);
    if (strcmp(name, "text") == 0) {
        take_text(s, attributes);
    }
    if (d) {
        assert_int_equal(strspn(d, "MLQHZ-0123456789. "), strlen(d));
    }
    if (strcmp(name, "rect") == 0 && strcmp(s->prefix, "part") == 0 &&
        number_of(attributes, "height") > 12.5 && number_of(attributes, "height") < 13.5) {
        assert_true(s->band_count < BANDS_MOST);
        s->bands[s->band_count++] = luminance(value_of(attributes, "fill"));
    }
    s->marks++;
}

static void closed(void *context, const char *name) {
    seen *s = context;

    s->depth--;
    s->in_text = s->in_text && strcmp(name, "text") != 0;
}

static void letters(void *context, const char *words, int count) {
    seen *s = context;

    if (s->in_text) {
        text_mark *text = &s->texts[s->text_count - 1];
        size_t length = strlen(text->words);
        snprintf(text->words + length, sizeof text->words - length, "%.*s", count, words);
    }
}

static seen *parsed(const th_text *svg, const char *prefix) {
    seen *s = calloc(1, sizeof *s);
    XML_Parser parser = XML_ParserCreate("UTF-8");

    assert_non_null(s);
    assert_non_null(parser);
    s->prefix = prefix;
    XML_SetUserData(parser, s);
    XML_SetElementHandler(parser, opened, closed);
    XML_SetCharacterDataHandler(parser, letters);
    if (XML_Parse(parser, svg->data, (int)svg->size, 1) != XML_STATUS_OK) {
        fail_msg("line %d: %s", (int)XML_GetCurrentLineNumber(parser),
                 XML_ErrorString(XML_GetErrorCode(parser)));
    }
    XML_ParserFree(parser);
    return s;
}

static bool says(const seen *s, const char *words) {
    for (size_t i = 0; i < s->text_count; i++) {
        if (strstr(s->texts[i].words, words)) {
            return true;
        }
    }
    return false;
}

/* ---- making them ----------------------------------------------------------------------------- */

typedef struct {
    th_text part, stack;
} pictures;

static void draw_with(const draft *d, const th_outline *taped, pictures *made) {
    th_check_options options = {.taped = taped};
    th_error err = {0};
    th_map map;
    answer a;

    run_taped(d, taped, &a);
    *made = (pictures){{0}, {0}};
    if (!th_map_run(a.job, &options, &a.check, &map, &err) ||
        !th_picture_part(a.job, &a.check, &map, &made->part, &err) ||
        !th_picture_stack(a.job, &a.check, &made->stack, &err)) {
        fail_msg("no picture: %s", err.message);
    }
    th_map_free(&map);
    answer_free(&a);
}

static void draw(const draft *d, pictures *made) {
    draw_with(d, NULL, made);
}

static void free_pictures(pictures *made) {
    th_text_free(&made->part);
    th_text_free(&made->stack);
}

static void add_outline(draft *d, const char *section) {
    add_cut(d, section, "outline", "flat-3mm-2");
    put(d, section, "radial", "3");
    put(d, section, "axial", "0.3");
}

static draft sheet_job(void) {
    draft d = plate(60, 40, 2);

    add_sheet(&d, 90, 70, 15, 15);
    add_outline(&d, "cut.1");
    return d;
}

static draft slot_job(double length, double width) {
    draft d = plate(length, width, 3);

    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.3");
    return d;
}

static draft many_copies(void) {
    draft d = plate(15, 12, 2);

    put(&d, "part", "copies", "4 x 3");
    put(&d, "part", "pitch", "22 x 20");
    put(&d, "part", "corner_radius", "3");
    add_sheet(&d, 100, 75, 10, 10);
    add_outline(&d, "cut.1");
    return d;
}

static draft inch_job(void) {
    draft d = {.count = 0};

    d = plate(0, 0, 0);
    d.inch = true;
    put(&d, "job", "units", "inch");
    put(&d, "part", "length", "4");
    put(&d, "part", "width", "2");
    put(&d, "part", "thickness", "1/8");
    add_cut(&d, "cut.1", "slot", "flat-1-4in-3");
    put(&d, "cut.1", "axial", "0.01");
    return d;
}

static draft push_job(void) {
    static const double side[3] = {20, 5, 4};
    draft d = plate(80, 40, 3);

    add_push(&d, "cut.1", side, 70, 10);
    return d;
}

static draft weak_job(void) {
    draft d = slot_job(100, 50);

    put(&d, "hold", "tape", "painters-paper");
    put(&d, "hold", "cooling", "flood");
    return d;
}

static draft tabs_job(void) {
    draft d = sheet_job();

    put(&d, "cut.1", "tabs", "4 x 3 mm");
    put(&d, "cut.1", "tab_height", "1 mm");
    return d;
}

static draft tiny_job(void) {
    static const double up[3] = {0, 0, 3};
    draft d = plate(6, 5, 5);

    add_push(&d, "cut.1", up, 4, 2);
    put(&d, "cut.1", "patch", "1");
    return d;
}

typedef draft maker(void);

static draft narrow_job(void) {
    return slot_job(200, 10);
}

static maker *const makers[] = {sheet_job, narrow_job, many_copies, inch_job,
                                push_job,  weak_job,   tabs_job,    tiny_job};
enum { MAKERS = sizeof makers / sizeof *makers };

/* ---- what every picture owes ----------------------------------------------------------------- */

static void sound(const th_text *svg, const char *prefix, double most_bytes) {
    seen *s = parsed(svg, prefix);

    assert_true(s->image && s->titled && s->described && s->labelled);
    assert_true((double)svg->size < most_bytes);
    assert_near(s->width, 680, 1e-12, 0);
    assert_true(s->height > 50 && s->height < 1400);
    assert_null(strstr(svg->data, "nan"));
    assert_null(strstr(svg->data, "inf\""));
    assert_null(strstr(svg->data, "<style"));
    assert_null(strstr(svg->data, "<script"));
    assert_true(s->text_count > 3);
    for (size_t i = 0; i < s->text_count; i++) {
        const text_mark *t = &s->texts[i];
        double wide = (double)strlen(t->words) * t->size * 0.45; /* at least */
        double left = strcmp(t->anchor, "end") == 0      ? t->x - wide
                      : strcmp(t->anchor, "middle") == 0 ? t->x - wide / 2
                                                         : t->x;
        assert_true(t->size >= 11);
        assert_true(t->y > 0 && t->y <= s->height);
        assert_true(left >= -1 && left + wide <= s->width + 1);
        assert_true(contrast(t->fill, "#ffffff") >= 4.5);
    }
    free(s);
}

static void pictures_are_sound(void **state) {
    (void)state;
    for (size_t i = 0; i < MAKERS; i++) {
        draft d = makers[i]();
        pictures made;
        draw(&d, &made);
        sound(&made.part, "part", 150e3);
        sound(&made.stack, "stack", 9e3);
        free_pictures(&made);
    }
}

/* Text on a fill of the stack has at least the contrast that text needs; it has a rim of white,
 * too. */
static void text_is_readable_on_its_fill(void **state) {
    static const char *const fills[] = {"#d9dde1", "#f0dfb2", "#b9cfe4", "#ebe7e0"};
    draft d = sheet_job();
    pictures made;

    (void)state;
    draw(&d, &made);
    for (size_t i = 0; i < sizeof fills / sizeof *fills; i++) {
        assert_non_null(strstr(made.stack.data, fills[i]));
        assert_true(contrast("#1b1b1b", fills[i]) >= 4.5);
        assert_true(contrast("#0b4f8a", fills[i]) >= 4.5);
    }
    free_pictures(&made);
}

/* Steps of the scale differ by lightness alone, so that they do in grey and to colour-blind eyes.
 */
static void bands_get_darker_step_by_step(void **state) {
    draft d = sheet_job();
    pictures made;

    (void)state;
    draw(&d, &made);
    seen *s = parsed(&made.part, "part");
    assert_int_equal(s->band_count, 6);
    for (size_t k = 1; k < s->band_count; k++) {
        assert_true((s->bands[k - 1] + 0.05) / (s->bands[k] + 0.05) > 1.2);
    }
    free(s);
    free_pictures(&made);
}

static void titles_are_escaped(void **state) {
    draft d = slot_job(60, 30);
    pictures made;

    (void)state;
    put(&d, "job", "title", "A <b>&\"bad\"> title");
    draw(&d, &made);
    assert_non_null(strstr(made.part.data, "A &lt;b&gt;&amp;&quot;bad&quot;&gt; title"));
    assert_non_null(strstr(made.stack.data, "A &lt;b&gt;&amp;&quot;bad&quot;&gt; title"));
    assert_null(strstr(made.part.data, "<b>"));
    free(parsed(&made.part, "part"));
    free(parsed(&made.stack, "stack"));
    free_pictures(&made);
}

/* ---- what they say --------------------------------------------------------------------------- */

static void the_part_says_what_the_check_found(void **state) {
    draft d = sheet_job();
    pictures made;
    char factor[48], words[128];
    answer a;

    (void)state;
    draw(&d, &made);
    run(&d, false, &a);
    th_hold_factor_print(a.check.hold_factor, a.check.asked_factor, factor, sizeof factor);
    seen *s = parsed(&made.part, "part");
    snprintf(words, sizeof words, "hold factor %s, the weakest", factor);
    assert_true(says(s, words));
    assert_true(says(s, "worst:"));
    assert_true(says(s, "worst place: x"));
    assert_true(says(s, "push on the part"));
    assert_true(says(s, "other pieces, on tape"));
    assert_true(says(s, "mm"));
    for (size_t i = 0; i < s->text_count; i++) {
        assert_string_not_equal(s->texts[i].words, "metal without tape");
    }
    free(s);
    answer_free(&a);
    free_pictures(&made);
}

static void a_load_above_the_strength_is_bounded(void **state) {
    static const double hard[3] = {0, 0, 400};
    draft d = plate(80, 40, 3);
    pictures made;

    (void)state;
    add_push(&d, "cut.1", hard, 70, 10);
    draw(&d, &made);
    seen *s = parsed(&made.part, "part");
    assert_true(says(s, "on the dark side it exceeds it"));
    free(s);
    free_pictures(&made);
}

static void a_hold_without_strength_is_told(void **state) {
    draft d = weak_job();
    pictures made;

    (void)state;
    draw(&d, &made);
    seen *s = parsed(&made.part, "part");
    assert_true(says(s, "The hold has no strength"));
    assert_true(says(s, "in kPa"));
    free(s);
    free_pictures(&made);
}

static void inches_are_inches(void **state) {
    draft d = inch_job();
    pictures made;

    (void)state;
    draw(&d, &made);
    seen *part = parsed(&made.part, "part"), *stack = parsed(&made.stack, "stack");
    assert_true(says(part, "in"));
    assert_true(says(part, "lbf sideways"));
    assert_false(says(part, " mm"));
    assert_true(says(stack, "Z -0.125 in"));
    assert_false(says(stack, " mm"));
    free(part);
    free(stack);
    free_pictures(&made);
}

static void missing_tape_is_hatched(void **state) {
    draft d = slot_job(100, 50);
    th_outline taped = {0};
    th_path path = th_path_new(0);
    pictures made;

    (void)state;
    th_path_box(&path, &(th_box){0, 0, 100, 15, 0, 0});
    th_path_box(&path, &(th_box){0, 35, 100, 15, 0, 0});
    assert_true(th_region_of_path(&path, &taped, NULL));
    th_path_free(&path);
    draw_with(&d, &taped, &made);
    seen *s = parsed(&made.part, "part");
    assert_true(says(s, "metal without tape"));
    free(s);
    sound(&made.part, "part", 150e3);
    free_pictures(&made);
    th_outline_free(&taped);
}

static void nothing_is_drawn_without_tape(void **state) {
    draft d = sheet_job();
    th_outline taped = {0};
    th_path path = th_path_new(0);
    pictures made;

    (void)state;
    th_path_box(&path, &(th_box){-15, -15, 90, 10, 0, 0}); /* beside the part */
    assert_true(th_region_of_path(&path, &taped, NULL));
    th_path_free(&path);
    draw_with(&d, &taped, &made);
    seen *s = parsed(&made.part, "part");
    assert_true(says(s, "No tape lies under"));
    assert_int_equal(s->band_count, 0);
    free(s);
    sound(&made.part, "part", 150e3);
    free_pictures(&made);
    th_outline_free(&taped);
}

/* Heights from work zero: top 0, bonded face below it by the thickness, plate below that by the
 * stack of tape and glue; labels keep apart. */
static void the_stack_has_its_heights(void **state) {
    draft d = sheet_job();
    pictures made;
    char words[128], number[48];
    double last = -100;
    size_t heights = 0;
    answer a;

    (void)state;
    draw(&d, &made);
    run(&d, false, &a);
    seen *s = parsed(&made.stack, "stack");
    assert_true(says(s, "Z 0 mm"));
    assert_true(says(s, "Z -2 mm"));
    th_number_print(-2 - a.job->stack_height, 6, number, sizeof number);
    snprintf(words, sizeof words, "Z %s mm", number);
    assert_true(says(s, words));
    th_number_print(a.check.heights.plate_left, 6, number, sizeof number);
    snprintf(words, sizeof words, "%s mm of the plate left", number);
    assert_true(says(s, words));
    assert_true(says(s, "Not to scale"));
    for (size_t i = 0; i < s->text_count; i++) {
        if (strncmp(s->texts[i].words, "Z ", 2) == 0) {
            assert_true(s->texts[i].y - last >= 28); /* two lines each */
            last = s->texts[i].y;
            heights++;
        }
    }
    assert_int_equal(heights, 5);
    free(s);
    answer_free(&a);
    free_pictures(&made);
}

static void without_a_through_cut_none_is_shown(void **state) {
    draft d = slot_job(60, 30);
    pictures made;

    (void)state;
    draw(&d, &made);
    seen *s = parsed(&made.stack, "stack");
    assert_false(says(s, "through cuts"));
    assert_false(says(s, "of the plate left"));
    free(s);
    free_pictures(&made);
}

static void a_picture_needs_its_map(void **state) {
    draft d = slot_job(60, 30);
    th_map none = {.state_count = 0};
    th_text text = {0};
    th_error err = {0};
    answer a;

    (void)state;
    run(&d, false, &a);
    assert_false(th_picture_part(a.job, &a.check, &none, &text, &err));
    assert_int_equal(err.code, TH_BAD_USAGE);
    assert_false(th_picture_part(a.job, &a.check, NULL, &text, &err));
    th_text_free(&text);
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pictures_are_sound),
        cmocka_unit_test(text_is_readable_on_its_fill),
        cmocka_unit_test(bands_get_darker_step_by_step),
        cmocka_unit_test(titles_are_escaped),
        cmocka_unit_test(the_part_says_what_the_check_found),
        cmocka_unit_test(a_load_above_the_strength_is_bounded),
        cmocka_unit_test(a_hold_without_strength_is_told),
        cmocka_unit_test(inches_are_inches),
        cmocka_unit_test(missing_tape_is_hatched),
        cmocka_unit_test(nothing_is_drawn_without_tape),
        cmocka_unit_test(the_stack_has_its_heights),
        cmocka_unit_test(without_a_through_cut_none_is_shown),
        cmocka_unit_test(a_picture_needs_its_map),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
