/* test_stages.c - which pieces a job makes, what is bonded under each, and how they are judged.
 * Jobs are invented; areas are closed forms. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "support/draft.h"

/* Edges are rounded to 2 nm: 1.42 nm along an edge of `length` mm is all an area can be off. */
#define assert_area(actual, expected, length)                                                      \
    assert_near(actual, expected, 1e-12, 1.42e-6 * (length))

/* Length x width grown by a distance all round (Steiner). */
static double grown_area(double length, double width, double by) {
    return length * width + 2 * (length + width) * by + TH_PI * by * by;
}

/* Round corners of a grown shape are tangents up to 0.01 mm outside the arc: what is left outside
 * of `count` shapes grown by `by` is at most that much smaller. */
static void expect_frame(double bonded, double area, int count, double by) {
    assert_true(bonded <= 0.9 * area + 1e-3);
    assert_true(bonded >= 0.9 * (area - count * 0.01 * 2 * TH_PI * by) - 1e-3);
}

static const double nudge[3] = {1, 0, 0};

static void add_outline(draft *d, const char *section, const char *cutter) {
    add_cut(d, section, "outline", cutter);
    put(d, section, "radial", "3");
    put(d, section, "axial", "0.5");
    put(d, "hold", "cutting_time", "20 s");
}

/* ---- pieces ---------------------------------------------------------------------------------- */

/* A part with a round opening, cut out of a sheet by a cutter of 6 mm. */
static void an_outline_makes_part_frame_and_slug(void **state) {
    static const struct {
        const char *opening;
        double size;
        bool fits, slug;
    } cases[] = {{"20", 20, true, true}, /* a slug of 8 mm */
                 {"14", 14, true, true}, /* of 2 mm, 3.1 mm2 */
                 {"13", 13, true, false} /* of 1 mm, 0.8 mm2: swarf */,
                 {"12", 12, true, false},
                 {"7", 7, true, false},
                 {"5", 5, false, false}}; /* too narrow for the cutter: bored by another cut */

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        draft d = plate(60, 40, 3);
        double size = cases[i].size, hole = cases[i].fits ? TH_PI * size * size / 4 : 0;
        answer a;
        add_sheet(&d, 90, 70, 15, 15);
        put(&d, "opening.1", "at", "30,20");
        put(&d, "opening.1", "size", cases[i].opening);
        add_outline(&d, "cut.1", "flat-6mm-3");
        run(&d, false, &a);
        assert_near(stage_of(&a, "cut.1", TH_PIECE_STOCK)->bonded_area, 0.9 * 6300, 1e-12, 0);
        assert_area(stage_of(&a, "cut.1", TH_PIECE_PART)->bonded_area, 0.9 * (2400 - hole),
                    TH_PI * size);
        expect_frame(stage_of(&a, "cut.1", TH_PIECE_FRAME)->bonded_area,
                     6300 - grown_area(60, 40, 6), 1, 6);
        assert_int_equal(has_stage(&a, "cut.1", TH_PIECE_SLUG), cases[i].slug);
        if (cases[i].slug) {
            double left = TH_PI * (size - 12) * (size - 12) / 4;
            double slug = stage_of(&a, "cut.1", TH_PIECE_SLUG)->bonded_area;
            /* shrunk arcs are flattened once more, to 0.01 mm */
            assert_near(slug, 0.9 * left, 0, 0.9 * 0.02 * TH_PI * (size - 12));
        }
        answer_free(&a);
    }
}

/* A bored hole of at most twice the cutter's diameter leaves no slug. */
static void a_wide_hole_leaves_a_slug(void **state) {
    static const double sizes[] = {8, 12, 15, 24};

    (void)state;
    for (int i = 0; i < 4; i++) {
        draft d = plate(60, 40, 3);
        double size = sizes[i], slug = fmax(size - 12, 0);
        answer a;
        add_cut(&d, "cut.1", "hole", "flat-6mm-3");
        put(&d, "cut.1", "axial", "0.5");
        put_length(&d, "cut.1", "size", size);
        put(&d, "cut.1", "at", "25,20");
        run(&d, false, &a);
        assert_area(stage_of(&a, "cut.1", TH_PIECE_PART)->bonded_area,
                    0.9 * (2400 - TH_PI * size * size / 4), TH_PI * size);
        assert_int_equal(has_stage(&a, "cut.1", TH_PIECE_SLUG), size > 12);
        if (size > 12) {
            const th_stage *s = stage_of(&a, "cut.1", TH_PIECE_SLUG);
            assert_area(s->bonded_area, 0.9 * TH_PI * slug * slug / 4, TH_PI * slug);
            assert_false(s->counts);
            assert_near(stage_of(&a, "cut.1", TH_PIECE_PART)->offcut_margin, s->hold_factor, 1e-12,
                        0);
        }
        answer_free(&a);
    }
}

/* Bonded area under a push at a place, after the cuts before it. */
static double area_at(const draft *d, double x, double y) {
    draft pushed = *d;
    double area;
    answer a;

    add_push(&pushed, "cut.9", nudge, x, y);
    run(&pushed, false, &a);
    area = a.check.stages[a.check.stage_count - 1].bonded_area;
    answer_free(&a);
    return area;
}

/* A slot of 6 mm up to a web before the far edge: from 0.3 mm the web holds. */
static void a_thin_web_is_none(void **state) {
    static const double webs[] = {0.4, 0.2, 0.05};
    double kerf, found;

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = plate(30, 20, 0.5);
        double end = 20 - webs[i] - 3;
        add_cut(&d, "cut.1", "slot", "flat-6mm-3");
        put(&d, "cut.1", "axial", "0.1");
        put(&d, "cut.1", "through", "yes");
        put(&d, "cut.1", "from", "15,-5");
        put_point(&d, "cut.1", "to", 15, end);
        kerf = 6 * end + 4.5 * TH_PI;
        found = area_at(&d, 5, 10);
        if (webs[i] > 0.3) {
            assert_area(found, 0.9 * (600 - kerf), 2 * end + 3 * TH_PI);
        } else { /* half; webs under 0.3 mm, 1.3 mm either way at most, may be missing */
            assert_true(found <= 0.9 * ((600 - kerf) / 2 + 1e-3));
            assert_true(found >= 0.9 * ((600 - kerf) / 2 - 1.31 * 0.3));
        }
    }
}

/* ---- shapes of the part ---------------------------------------------------------------------- */

static void parts_have_their_shapes_area(void **state) {
    draft disc = plate(50, 50, 3), rounded = plate(60, 40, 3), polygon = plate(60, 40, 3);
    draft opened = rounded;

    (void)state;
    put(&disc, "part", "shape", "disc");
    assert_area(area_at(&disc, 25, 25), 0.9 * TH_PI * 625, TH_PI * 50);
    put(&rounded, "part", "corner_radius", "8");
    assert_area(area_at(&rounded, 25, 25), 0.9 * (2400 - (4 - TH_PI) * 64), TH_PI * 16);
    put(&polygon, "part", "shape", "polygon");
    put(&polygon, "part", "points", "0,0 60,0 60,10 20,40 0,40");
    /* less the triangle of 40 x 30 */
    assert_area(area_at(&polygon, 10, 10), 0.9 * (2400 - 600), 50);
    put(&opened, "opening.1", "at", "20,20");
    put(&opened, "opening.1", "size", "20 x 6");
    put(&opened, "opening.1", "angle", "30 deg");
    put(&opened, "opening.2", "at", "40,10");
    put(&opened, "opening.2", "size", "5");
    put(&opened, "opening.2", "grid", "2 x 3");
    put(&opened, "opening.2", "pitch", "10 x 10");
    assert_area(area_at(&opened, 2, 2), 0.9 * (2400 - 14 * 6 - 9 * TH_PI - 6 * 6.25 * TH_PI),
                28 + 6 * TH_PI + 30 * TH_PI);
}

/* A rounded part of a sheet: what is left round it is grown by the radius as well. */
static void a_round_part_leaves_a_round_hole_in_its_frame(void **state) {
    draft d = plate(40, 40, 3);
    answer a;

    (void)state;
    put(&d, "part", "shape", "disc");
    add_sheet(&d, 80, 70, 20, 15);
    add_outline(&d, "cut.1", "flat-6mm-3");
    run(&d, false, &a);
    assert_area(stage_of(&a, "cut.1", TH_PIECE_PART)->bonded_area, 0.9 * TH_PI * 400, TH_PI * 40);
    assert_near(stage_of(&a, "cut.1", TH_PIECE_FRAME)->bonded_area, 0.9 * (5600 - TH_PI * 26 * 26),
                0, 0.9 * 0.02 * TH_PI * 52);
    answer_free(&a);
}

/* However small, a part that is cut free is judged: 1.44 mm2 hold nothing. */
static void a_tiny_part_is_judged(void **state) {
    draft d = plate(1.2, 1.2, 3);
    const th_stage *part;
    answer a;

    (void)state;
    add_sheet(&d, 60, 50, 20, 15);
    add_outline(&d, "cut.1", "flat-6mm-3");
    run(&d, false, &a);
    part = stage_of(&a, "cut.1", TH_PIECE_PART);
    assert_non_null(part);
    assert_near(part->bonded_area, 0.9 * 1.44, 1e-4, 0);
    assert_true(part->hold_factor < 1);
    assert_near(a.check.hold_factor, part->hold_factor, 0, 0);
    answer_free(&a);
}

/* ---- copies ---------------------------------------------------------------------------------- */

static draft copies_of(int columns, int rows) {
    draft d = plate(20, 15, 3);
    char text[20];

    put(&d, "hold", "tape", "film");
    add_sheet(&d, 100, 60, 10, 10);
    snprintf(text, sizeof text, "%d x %d", columns, rows);
    if (columns * rows > 1) {
        put(&d, "part", "copies", text);
        put(&d, "part", "pitch", "30 x 25");
    }
    add_outline(&d, "cut.1", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.2");
    return d;
}

/* One after the other: before the last its stock has lost all the others, and the frame has lost
 * all. Freed parts are alike. */
static void copies_are_freed_in_turn(void **state) {
    draft one = copies_of(1, 1), six = copies_of(3, 2);
    const double grown = grown_area(20, 15, 3);
    const th_stage *stock, *part, *alone;
    answer a, b;

    (void)state;
    run(&one, false, &a);
    run(&six, false, &b);
    stock = stage_of(&b, "cut.1", TH_PIECE_STOCK);
    part = stage_of(&b, "cut.1", TH_PIECE_PART);
    alone = stage_of(&a, "cut.1", TH_PIECE_PART);
    assert_int_equal(stock->copy, 6); /* the stock only gets less, so the last turn is the worst */
    expect_frame(stock->bonded_area, 6000 - 5 * grown, 5, 3);
    assert_int_equal(part->copy, 6);
    assert_near(part->bonded_area, 0.9 * 300, 1e-9, 0);
    expect_frame(stage_of(&b, "cut.1", TH_PIECE_FRAME)->bonded_area, 6000 - 6 * grown, 6, 3);
    expect_frame(stage_of(&a, "cut.1", TH_PIECE_FRAME)->bonded_area, 6000 - grown, 1, 3);
    assert_true(stock->hold_factor < stage_of(&a, "cut.1", TH_PIECE_STOCK)->hold_factor);
    assert_near(part->area_hold_factor, alone->area_hold_factor, 1e-6, 0);
    assert_near(part->hold_factor, alone->hold_factor, 1e-4, 0); /* moved by 2 nm roundings */
    assert_near(part->shear_peak, alone->shear_peak, 1e-4, 0);
    answer_free(&a);
    answer_free(&b);
}

static void a_skin_keeps_every_copy(void **state) {
    draft d = copies_of(3, 2);
    answer a;

    (void)state;
    put(&d, "cut.1", "skin", "0.25");
    add_push(&d, "cut.2", nudge, 5, 5);
    run(&d, false, &a);
    for (size_t i = 0; i < a.check.stage_count; i++) {
        assert_int_equal(a.check.stages[i].piece, TH_PIECE_STOCK);
        assert_near(a.check.stages[i].bonded_area, 0.9 * 6000, 1e-12, 0);
    }
    answer_free(&a);
}

/* ---- tabs ------------------------------------------------------------------------------------ */

static void tabs_hold_as_the_frame_does_at_best(void **state) {
    /* narrow enough to give, up to far stronger than the bond */
    static const char *const widths[] = {NULL, "2 x 0.3 mm", "2 x 1 mm", "4 x 3 mm", "4 x 8 mm"};
    double last = 0;

    (void)state;
    for (int i = 0; i < 5; i++) {
        draft d = copies_of(1, 1);
        const th_stage *part, *frame;
        answer a;
        if (widths[i]) {
            put(&d, "cut.1", "tabs", widths[i]);
            put(&d, "cut.1", "tab_height", i < 3 ? "0.2" : "1");
        }
        run(&d, false, &a);
        part = stage_of(&a, "cut.1", TH_PIECE_PART);
        frame = stage_of(&a, "cut.1", TH_PIECE_FRAME);
        assert_true(frame->hold_factor > 10 * part->area_hold_factor); /* else nothing is told */
        assert_true(part->hold_factor <= frame->hold_factor * (1 + 1e-9));
        assert_true(part->hold_factor >= last * (1 - 1e-9));
        last = part->hold_factor;
        if (i == 4) {
            assert_near(part->hold_factor, frame->hold_factor, 1e-9, 0);
        }
        answer_free(&a);
    }
}

/* ---- offcuts --------------------------------------------------------------------------------- */

static void slugs_count_where_they_must_stay(void **state) {
    draft d = plate(80, 60, 4);
    const th_stage *slug;
    answer may, must;

    (void)state;
    put(&d, "hold", "tape", "film");
    add_cut(&d, "cut.1", "hole", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "size", "20");
    put(&d, "cut.1", "at", "40,30");
    run(&d, false, &may);
    put(&d, "job", "offcuts", "must-stay");
    run(&d, false, &must);
    slug = stage_of(&may, "cut.1", TH_PIECE_SLUG);
    assert_true(slug->hold_factor < 0.5 * may.check.hold_factor);
    assert_near(may.check.hold_factor, stage_of(&may, "cut.1", TH_PIECE_PART)->hold_factor, 0, 0);
    assert_false(slug->counts);
    assert_true(stage_of(&must, "cut.1", TH_PIECE_SLUG)->counts);
    assert_near(must.check.hold_factor, slug->hold_factor, 1e-9, 0);
    assert_int_equal(must.check.stages[must.check.governs].piece, TH_PIECE_SLUG);
    assert_true(must.check.verdict >= may.check.verdict);
    answer_free(&may);
    answer_free(&must);
}

static void the_frame_counts_where_it_must_stay(void **state) {
    draft d = copies_of(3, 2);
    answer may, must;

    (void)state;
    put(&d, "cut.1", "tabs", "4 x 8 mm");
    put(&d, "cut.1", "tab_height", "1");
    run(&d, false, &may);
    put(&d, "job", "offcuts", "must-stay");
    run(&d, false, &must);
    assert_false(stage_of(&may, "cut.1", TH_PIECE_FRAME)->counts);
    assert_true(stage_of(&must, "cut.1", TH_PIECE_FRAME)->counts);
    assert_true(must.check.hold_factor <=
                stage_of(&may, "cut.1", TH_PIECE_FRAME)->hold_factor * (1 + 1e-9));
    answer_free(&may);
    answer_free(&must);
}

/* The slug of a bored hole is a disc: a part of that shape under the same push. */
static void a_slug_is_judged_as_a_disc_would_be(void **state) {
    static const double pushes[][5] = {{12, 5, 8, 0, 0}, {0, 0, 15, 4, 2}, {-9, 14, 0, -3, 5}};

    (void)state;
    for (int i = 0; i < 3; i++) {
        const double *p = pushes[i];
        draft bored = plate(80, 60, 2), disc = plate(18, 18, 2);
        const th_stage *s, *t;
        answer a, b;
        put(&bored, "hold", "tape", "film");
        put(&disc, "hold", "tape", "film");
        put(&disc, "part", "shape", "disc");
        add_cut(&bored, "cut.1", "hole", "flat-6mm-3");
        put(&bored, "cut.1", "axial", "0.5");
        put(&bored, "cut.1", "size", "30");
        put(&bored, "cut.1", "at", "40,30");
        add_push(&bored, "cut.2", p, 40 + p[3], 30 + p[4]);
        add_push(&disc, "cut.1", p, 9 + p[3], 9 + p[4]);
        run(&bored, false, &a);
        run(&disc, false, &b);
        s = stage_of(&a, "cut.2", TH_PIECE_SLUG);
        t = &b.check.stages[0];
        assert_near(s->bonded_area, t->bonded_area, 0, 0.9 * 0.02 * TH_PI * 18);
        assert_near(s->area_hold_factor, t->area_hold_factor, 2e-3, 0); /* arcs flattened apart */
        assert_near(s->hold_factor, t->hold_factor, 1e-2, 0);           /* and grids */
        answer_free(&a);
        answer_free(&b);
    }
}

/* ---- metal left over --------------------------------------------------------------------------
 */

/* A skin, or metal above a last pass, from 0.2 mm on carries something; less than 0.4 mm may be off
 * by as much. */
static void thin_metal_is_told_of(void **state) {
    static const char *const words[] = {"is too weak to count", "is as good as cut through",
                                        "the pass above leaves under 0.2 mm"};
    static const struct {
        const char *key, *value;
        int said; /* -1: none of them */
    } cases[] = {{"skin", "0.15", 0},       {"skin", "0.25", 1},       {"skin", "0.4", -1},
                 {"last_axial", "0.1", -1}, {"last_axial", "0.25", 2}, {"last_axial", "0.4", -1},
                 {"last_axial", "0.5", -1}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        draft d = plate(50, 30, 3);
        answer a;
        add_sheet(&d, 90, 70, 20, 20);
        add_outline(&d, "cut.1", "flat-3mm-2");
        put(&d, "cut.1", cases[i].key, cases[i].value);
        run(&d, false, &a);
        for (int w = 0; w < 3; w++) {
            int count = 0;
            for (size_t k = 0; k < a.check.cautions.count; k++) {
                count += strstr(a.check.cautions.items[k], words[w]) != NULL;
            }
            assert_int_equal(count, w == cases[i].said);
        }
        answer_free(&a);
    }
}

/* Edge stops take force and leave none to it: soft stock that leans on them holds about as well as
 * it does alone, whichever edges they stand at. */
static void stops_do_no_harm(void **state) {
    static const char *const stops[] = {"left", "front", "left right front back"};
    draft d = plate(190, 60, 6);
    answer a;

    (void)state;
    put(&d, "part", "stock", "polycarbonate");
    put(&d, "hold", "tape", "double-film-acrylic");
    put(&d, "hold", "glue", "none");
    add_cut(&d, "cut.1", "face", "flat-4mm-3");
    put_length(&d, "cut.1", "axial", 0.15);
    put_length(&d, "cut.1", "radial", 1.6);
    run(&d, false, &a);
    double alone = a.check.hold_factor;
    answer_free(&a);
    for (size_t i = 0; i < sizeof stops / sizeof *stops; i++) {
        put(&d, "hold", "stops", stops[i]);
        run(&d, false, &a);
        assert_true(a.check.hold_factor > 0.9 * alone);
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stops_do_no_harm),
        cmocka_unit_test(an_outline_makes_part_frame_and_slug),
        cmocka_unit_test(a_tiny_part_is_judged),
        cmocka_unit_test(a_wide_hole_leaves_a_slug),
        cmocka_unit_test(a_thin_web_is_none),
        cmocka_unit_test(parts_have_their_shapes_area),
        cmocka_unit_test(a_round_part_leaves_a_round_hole_in_its_frame),
        cmocka_unit_test(copies_are_freed_in_turn),
        cmocka_unit_test(a_skin_keeps_every_copy),
        cmocka_unit_test(tabs_hold_as_the_frame_does_at_best),
        cmocka_unit_test(slugs_count_where_they_must_stay),
        cmocka_unit_test(the_frame_counts_where_it_must_stay),
        cmocka_unit_test(a_slug_is_judged_as_a_disc_would_be),
        cmocka_unit_test(thin_metal_is_told_of),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
