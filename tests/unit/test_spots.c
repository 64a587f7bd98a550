/* test_spots.c - where the cutter may stand, by geometry. Jobs are invented. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

enum { LENGTH = 80, WIDTH = 50, HEADINGS = 16 };
#define TOOL 3.0 /* mm */

typedef struct {
    th_job *job;
    th_check_options options;
    th_arena arena;
    th_judging judging;
    th_ground ground;
    th_error err;
    th_spots spots; /* of the last cut, before any */
} found;

/* `outline` NULL: a rectangle; `copy` 0: all. */
static void find(const draft *d, const th_outline *outline, int copy, found *f) {
    const th_bond_state *state;

    memset(f, 0, sizeof *f);
    f->job = built(d);
    f->options.outline = outline;
    f->judging.options = &f->options;
    f->judging.shapes = th_shapes_new();
    assert_non_null(f->judging.shapes);
    assert_true(th_ground_make(f->job, &f->judging, &f->arena, &f->ground, &f->err));
    state = th_state_start(&f->ground);
    assert_non_null(state);
    assert_true(
        th_spots_of(&f->ground, state, &f->job->cuts[f->job->cut_count - 1], copy, &f->spots));
    assert_true(f->spots.count > 0);
}

static void lose(found *f) {
    th_shapes_free(f->judging.shapes);
    th_arena_free(&f->arena);
    th_job_free(f->job);
}

static bool same_angle(double a, double b) {
    return cos(a - b) > 1 - 1e-12;
}

/* How many stand at a place; with `heading`: those that go there. */
static size_t standing(const found *f, double x, double y, const double *heading) {
    size_t count = 0;

    for (size_t i = 0; i < f->spots.count; i++) {
        const th_spot *s = &f->spots.items[i];
        count += hypot(s->at.x - x, s->at.y - y) < 1e-9 &&
                 (!heading || same_angle(s->heading, *heading));
    }
    return count;
}

/* Every heading once, evenly spread. */
static void expect_any_way(const found *f, double x, double y) {
    assert_int_equal(standing(f, x, y, NULL), HEADINGS);
    for (int i = 0; i < HEADINGS; i++) {
        double heading = 2 * TH_PI * i / HEADINGS;
        assert_int_equal(standing(f, x, y, &heading), 1);
    }
}

static draft cut(const char *operation) {
    draft d = plate(LENGTH, WIDTH, 3);

    add_cut(&d, "cut.1", operation, "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.3");
    return d;
}

/* ---- at places --------------------------------------------------------------------------------
 */

/* Round its hole at half the room it has, along the wall; climbing it goes counterclockwise. */
static void a_hole_is_gone_round(void **state) {
    (void)state;
    for (int climb = 0; climb < 2; climb++) {
        draft d = cut("hole");
        found f;
        put(&d, "cut.1", "at", "30,20");
        put(&d, "cut.1", "size", "11");
        put(&d, "cut.1", "direction", climb ? "climb" : "conventional");
        find(&d, NULL, 0, &f);
        assert_int_equal(f.spots.count, 24);
        for (int i = 0; i < 24; i++) {
            double angle = TH_PI / 12 * i, heading = angle + (climb ? 1 : -1) * TH_PI / 2;
            assert_int_equal(standing(&f, 30 + 4 * cos(angle), 20 + 4 * sin(angle), &heading), 1);
        }
        lose(&f);
    }
}

static void a_pocket_is_gone_over(void **state) {
    draft d = cut("pocket");
    found f;

    (void)state;
    put(&d, "cut.1", "depth", "1");
    put(&d, "cut.1", "radial", "1.5");
    put(&d, "cut.1", "at", "30,20");
    put(&d, "cut.1", "size", "23 x 15");
    find(&d, NULL, 0, &f);
    assert_int_equal(f.spots.count, 25 * HEADINGS);
    for (int i = 0; i <= 4; i++) {
        for (int k = 0; k <= 4; k++) {
            expect_any_way(&f, 20 + 5.0 * i, 14 + 3.0 * k);
        }
    }
    lose(&f);
    put(&d, "cut.1", "size", "11");
    find(&d, NULL, 0, &f);
    assert_int_equal(f.spots.count, 25 * HEADINGS);
    expect_any_way(&f, 30, 20);
    for (int i = 0; i < 24; i++) {
        expect_any_way(&f, 30 + 4 * cos(TH_PI / 12 * i), 20 + 4 * sin(TH_PI / 12 * i));
    }
    lose(&f);
}

/* A letter beside the part is cut at its edge; a drill stands where it stands, going nowhere. */
static void letters_and_drillings_have_their_place(void **state) {
    draft d = cut("engrave"), drilled = plate(LENGTH, WIDTH, 3);
    found f;

    (void)state;
    drop(&d, "cut.1", "axial");
    put(&d, "cut.1", "depth", "0.2");
    put(&d, "cut.1", "length", "30");
    put(&d, "cut.1", "at", "70,20");
    find(&d, NULL, 0, &f);
    expect_any_way(&f, 70, 20);
    lose(&f);
    add_cut(&drilled, "cut.1", "drill", "drill-3mm");
    put(&drilled, "cut.1", "at", "10,10 70,40");
    find(&drilled, NULL, 0, &f);
    assert_int_equal(f.spots.count, 2);
    assert_true(standing(&f, 10, 10, NULL) == 1 && standing(&f, 70, 40, NULL) == 1);
    lose(&f);
}

/* Of copies those at the corners of their rows; of a field of holes those at its corners too. */
static void the_outermost_of_many_are_looked_at(void **state) {
    draft d = plate(30, 20, 3), field = plate(LENGTH, WIDTH, 3);
    found f;

    (void)state;
    add_sheet(&d, 400, 300, 20, 20);
    put(&d, "part", "copies", "5 x 4");
    put(&d, "part", "pitch", "50 x 40");
    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put(&d, "cut.1", "at", "10,5");
    find(&d, NULL, 0, &f);
    assert_int_equal(f.spots.count, 4);
    for (int c = 0; c < 4; c++) {
        assert_int_equal(standing(&f, 10 + 200 * (c % 2), 5 + 120 * (c / 2), NULL), 1);
    }
    lose(&f);
    add_cut(&field, "cut.1", "drill", "drill-3mm");
    put(&field, "cut.1", "at", "10,10");
    put(&field, "cut.1", "grid", "7 x 5");
    put(&field, "cut.1", "pitch", "10 x 7");
    find(&field, NULL, 0, &f);
    assert_true(f.spots.count >= 4 && f.spots.count < 35);
    for (int c = 0; c < 4; c++) {
        assert_int_equal(standing(&f, 10 + 60 * (c % 2), 10 + 28 * (c / 2), NULL), 1);
    }
    lose(&f);
}

/* Of a cluster with a ring of eight about it the ring is looked at whole, far from any edge. */
static void the_outermost_any_way_are_looked_at(void **state) {
    static const double ring[8][2] = {{95, 75}, {89, 89}, {75, 95}, {61, 89},
                                      {55, 75}, {61, 61}, {75, 55}, {89, 61}};
    draft d = plate(150, 150, 1);
    found f;

    (void)state;
    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put(&d, "cut.1", "at",
        "70,70 75,70 80,70 70,75 75,75 80,75 70,80 75,80 80,80 "
        "95,75 89,89 75,95 61,89 55,75 61,61 75,55 89,61");
    find(&d, NULL, 0, &f);
    assert_true(f.spots.count < 17);
    for (int i = 0; i < 8; i++) {
        assert_int_equal(standing(&f, ring[i][0], ring[i][1], NULL), 1);
    }
    lose(&f);
}

/* Decay length of plates so thick. */
static double decay_of(double thickness) {
    draft d = plate(LENGTH, WIDTH, thickness);
    double decay;
    found f;

    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put(&d, "cut.1", "at", "10,10");
    find(&d, NULL, 0, &f);
    decay = f.ground.decay;
    lose(&f);
    return decay;
}

/* A square of `side` with a round opening. */
static void pierced(double side, th_point at, double radius, th_outline *outline) {
    th_path path = th_path_new(0);

    th_path_shape(&path, TH_NONZERO, 0);
    th_path_box(&path, &(th_box){0, 0, side, side, 0, 0});
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_ellipse(&path, at, radius, radius);
    assert_true(th_path_finish(&path, outline, NULL));
    th_path_free(&path);
}

/* Nine places in the middle of a ring of eight: the ring is outermost, and of the nine all but one
 * are looked at. They lean on nothing but solid metal, so it is the last - unless there is an
 * opening within a decay length of it, near by or far, on one of the rays that are felt for it. One
 * farther away takes nothing from it. */
static void what_leans_on_less_is_looked_at(void **state) {
    static const double openings[][2] = {/* middle and radius, in decay lengths */
                                         {0.25, 0.09}, {0.58, 0.12}, {0.92, 0.12},
                                         {1.25, 0.2},  {1.6, 0.2},   {1.95, 0.2}};
    const double side = 150, decay = decay_of(0.3), apart = round(2.6 * decay);
    const th_point last = {side / 2 + apart, side / 2 + apart};

    (void)state;
    for (size_t i = 0; i < sizeof openings / sizeof *openings; i++) {
        const double away = openings[i][0] * decay, ray = TH_PI / 12;
        draft d = plate(side, side, 0.3);
        char at[TEXT_MAX] = "";
        th_outline outline;
        found f;
        for (int k = 0; k < 17; k++) {
            double around = k < 8 ? k * TH_PI / 4 : 0, out = k < 8 ? 7.5 * decay : 0;
            double x = out * cos(around) + (k < 8 ? 0 : apart * ((k - 8) % 3 - 1));
            double y = out * sin(around) + (k < 8 ? 0 : apart * ((k - 8) / 3 - 1));
            snprintf(at + strlen(at), sizeof at - strlen(at), "%s%.0f,%.0f", k ? " " : "",
                     side / 2 + x, side / 2 + y);
        }
        pierced(side, (th_point){last.x + away * cos(ray), last.y + away * sin(ray)},
                openings[i][1] * decay, &outline);
        put(&d, "part", "outline", "shape.svg");
        add_cut(&d, "cut.1", "drill", "drill-3mm");
        put(&d, "cut.1", "at", at);
        find(&d, &outline, 0, &f);
        assert_int_equal(f.spots.count, 16);
        assert_int_equal(standing(&f, last.x, last.y, NULL), openings[i][0] < 1);
        th_outline_free(&outline);
        lose(&f);
    }
}

/* Which of many are looked at does not depend on which way is called x. */
static void either_axis_is_the_same(void **state) {
    dice r = {20261127};

    (void)state;
    for (int i = 0; i < 12; i++) {
        draft d = plate(100, 100, 1), turned = d;
        char at[TEXT_MAX] = "", swapped[TEXT_MAX] = "";
        size_t seen = 0;
        found f, g;
        for (int k = 0; k < 24; k++) {
            int x = (int)between(&r, 3, 97), y = (int)between(&r, 3, 97);
            snprintf(at + strlen(at), sizeof at - strlen(at), " %d,%d", x, y);
            snprintf(swapped + strlen(swapped), sizeof swapped - strlen(swapped), " %d,%d", y, x);
        }
        add_cut(&d, "cut.1", "drill", "drill-3mm");
        add_cut(&turned, "cut.1", "drill", "drill-3mm");
        put(&d, "cut.1", "at", at + 1);
        put(&turned, "cut.1", "at", swapped + 1);
        find(&d, NULL, 0, &f);
        find(&turned, NULL, 0, &g);
        assert_true(f.spots.count < 24);
        for (size_t k = 0; k < f.spots.count; k++) {
            seen += standing(&g, f.spots.items[k].at.y, f.spots.items[k].at.x, NULL);
        }
        assert_true(seen == f.spots.count && seen == g.spots.count);
        lose(&f);
        lose(&g);
    }
}

/* ---- along paths ------------------------------------------------------------------------------
 */

/* From where it meets metal to where it leaves it, and not where it cuts air. */
static void a_slot_is_followed_where_it_cuts(void **state) {
    const double heading = atan2(30, 40);
    draft d = cut("slot");
    found f;
    size_t inside = 0;

    (void)state;
    put(&d, "cut.1", "from", "20,10");
    put(&d, "cut.1", "to", "60,40");
    find(&d, NULL, 0, &f);
    assert_true(standing(&f, 20, 10, &heading) == 1 && standing(&f, 60, 40, &heading) == 1);
    assert_int_equal(standing(&f, 40, 25, &heading), 1);
    assert_true(f.spots.count >= 8);
    lose(&f);
    put(&d, "cut.1", "from", "-2.9,25");
    put(&d, "cut.1", "to", "82.9,25");
    find(&d, NULL, 0, &f);
    for (size_t i = 0; i < f.spots.count; i++) {
        th_point at = f.spots.items[i].at;
        double reach = TOOL / 2 + TH_LEAST_WEB;
        assert_near(at.y, 25, 1e-12, 0);
        assert_true(same_angle(f.spots.items[i].heading, 0));
        assert_true(at.x >= -reach - 1e-9 && at.x <= LENGTH + reach + 1e-9);
        inside += at.x > 5 && at.x < LENGTH - 5;
    }
    assert_true(inside >= 3);
    lose(&f);
}

/* The axis runs half a tool outside, the metal to its right when it climbs; corners are taken along
 * either edge. */
static void an_edge_is_gone_round(void **state) {
    (void)state;
    for (int climb = 0; climb < 2; climb++) {
        draft d = cut("outline");
        found f;
        put(&d, "cut.1", "radial", "3");
        put(&d, "cut.1", "direction", climb ? "climb" : "conventional");
        find(&d, NULL, 1, &f);
        for (size_t i = 0; i < f.spots.count; i++) {
            const th_spot *s = &f.spots.items[i];
            double side = climb ? 1 : -1, c = cos(s->heading), n = sin(s->heading);
            th_point wall = {s->at.x + side * n * TOOL / 2, s->at.y - side * c * TOOL / 2};
            assert_true(fabs(wall.x) < 1e-9 || fabs(wall.x - LENGTH) < 1e-9 ||
                        fabs(wall.y) < 1e-9 || fabs(wall.y - WIDTH) < 1e-9);
            assert_false(s->at.x > -1 && s->at.x < LENGTH + 1 && s->at.y > -1 &&
                         s->at.y < WIDTH + 1);
        }
        for (int c = 0; c < 4; c++) {
            double x = c % 2 ? LENGTH + TOOL / 2 : -TOOL / 2;
            double y = c / 2 ? WIDTH + TOOL / 2 : -TOOL / 2;
            assert_int_equal(standing(&f, x, y, NULL), 2);
        }
        assert_true(f.spots.count >= 8 + 4); /* between corners too */
        lose(&f);
    }
}

/* Round a corner sharper than a right angle it keeps nearer than its edges would have it. */
static void a_sharp_corner_is_gone_round_closely(void **state) {
    const double height = 60 * sqrt(3) / 2;
    th_point corners[] = {{0, 0}, {60, 0}, {30, 60 * sqrt(3) / 2}};
    draft d = plate(60, 1, 3);
    th_path path = th_path_new(0);
    th_outline triangle;
    size_t sharp = 0;
    found f;

    (void)state;
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_polygon(&path, corners, 3);
    assert_true(th_path_finish(&path, &triangle, NULL));
    th_path_free(&path);
    put_length(&d, "part", "width", height);
    put(&d, "part", "outline", "shape.svg");
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "radial", "3");
    find(&d, &triangle, 1, &f);
    for (size_t i = 0; i < f.spots.count; i++) {
        double away = th_outline_distance(&triangle, f.spots.items[i].at, NULL);
        bool corner = away > TOOL / 2 * 1.001;
        assert_false(th_outline_holds(&triangle, f.spots.items[i].at));
        assert_near(away, TOOL / 2 * (corner ? 1.45 : 1), 1e-9, 0);
        sharp += corner;
    }
    assert_int_equal(sharp, 6);
    lose(&f);
    th_outline_free(&triangle);
}

/* A sheet's openings are milled on their inside, but for those that were bored before; a curve is
 * looked at all round. */
static void openings_are_gone_round_inside(void **state) {
    th_path path = th_path_new(0);
    th_outline outline;

    (void)state;
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_box(&path, &(th_box){0, 0, LENGTH, WIDTH, 0, 0});
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_ellipse(&path, (th_point){30, 25}, 10, 10);
    assert_true(th_path_finish(&path, &outline, NULL));
    th_path_free(&path);
    for (int i = 0; i < 4; i++) { /* open; bored; bored too small; no sheet */
        draft d = plate(LENGTH, WIDTH, 3);
        size_t inside = 0, quarters[4] = {0};
        found f;
        put(&d, "part", "outline", "shape.svg");
        if (i < 3) {
            add_sheet(&d, 140, 90, 30, 20);
        }
        if (i == 1 || i == 2) {
            add_cut(&d, "cut.1", "hole", "flat-3mm-2");
            put(&d, "cut.1", "at", "30,25");
            put(&d, "cut.1", "size", i == 1 ? "20" : "18");
            put(&d, "cut.1", "axial", "0.3");
        }
        add_cut(&d, "cut.2", "outline", "flat-3mm-2");
        put(&d, "cut.2", "axial", "0.3");
        put(&d, "cut.2", "radial", "3");
        find(&d, &outline, 1, &f);
        for (size_t k = 0; k < f.spots.count; k++) {
            th_point at = f.spots.items[k].at;
            double away = hypot(at.x - 30, at.y - 25);
            if (away < 15) {
                assert_near(away, 10 - TOOL / 2, 0.01, 0);
                quarters[(at.x > 30) + 2 * (at.y > 25)]++;
                inside++;
            }
        }
        assert_int_equal(inside > 0, i == 0 || i == 2);
        for (int q = 0; q < 4 && inside; q++) {
            assert_true(quarters[q] >= 2);
        }
        lose(&f);
    }
    th_outline_free(&outline);
}

/* A cone of 45 degrees: the middle of what it cuts is as far out as it is up from its tip. */
static void a_chamfer_stands_beside_the_edge(void **state) {
    draft d = plate(LENGTH, WIDTH, 3);
    const th_cutter *cutter;
    double out;
    found f;

    (void)state;
    add_cut(&d, "cut.1", "chamfer", "chamfer-6mm-90");
    put(&d, "cut.1", "width", "0.4");
    find(&d, NULL, 0, &f);
    cutter = &f.job->cuts[0].cutter->row;
    out = cutter->tip_flat / 2 + ((cutter->diameter - cutter->tip_flat) / 2 - 0.4) / 2;
    for (size_t i = 0; i < f.spots.count; i++) {
        th_point at = f.spots.items[i].at;
        double away = fmax(fmax(-at.x, at.x - LENGTH), fmax(-at.y, at.y - WIDTH));
        assert_near(away, out, 1e-9, 0);
    }
    lose(&f);
}

/* Over the edges of the piece, any way. */
static void a_face_is_looked_at_along_its_edges(void **state) {
    draft d = cut("face");
    found f;

    (void)state;
    put(&d, "cut.1", "radial", "2");
    find(&d, NULL, 0, &f);
    assert_true(f.spots.count % HEADINGS == 0);
    for (int c = 0; c < 4; c++) {
        expect_any_way(&f, c % 2 ? LENGTH : 0, c / 2 ? WIDTH : 0);
    }
    for (size_t i = 0; i < f.spots.count; i++) {
        th_point at = f.spots.items[i].at;
        assert_near(fmin(fmin(at.x, LENGTH - at.x), fmin(at.y, WIDTH - at.y)), 0, 0, 1e-9);
    }
    lose(&f);
}

/* Ends, middle, an even dozen and the dozen least supported, not each step of a long slot. */
static void few_places_of_a_long_slot_are_looked_at(void **state) {
    static const double ways[][2] = {{70, 25}, {10, 45}, {70, 45}};

    (void)state;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        draft d = plate(LENGTH, WIDTH, 0.3);
        const double heading = atan2(ways[i][1] - 5, ways[i][0] - 10);
        found f;
        add_cut(&d, "cut.1", "slot", "flat-3mm-2");
        put(&d, "cut.1", "axial", "0.1");
        put(&d, "cut.1", "depth", "0.1");
        put(&d, "cut.1", "from", "10,5");
        put_point(&d, "cut.1", "to", ways[i][0], ways[i][1]);
        find(&d, NULL, 0, &f);
        assert_int_equal(standing(&f, 10, 5, &heading), 1);
        assert_int_equal(standing(&f, ways[i][0], ways[i][1], &heading), 1);
        assert_true(f.spots.count >= 12 && f.spots.count <= 3 + 12 + 12);
        lose(&f);
    }
}

/* Along y = 25 from one x to another over an opening, in steps of a quarter
 * of a decay length: the ends and the middle of each stretch that is cut are looked at however much
 * they lean on, and every so many of the steps for an even dozen. Beside these it is the dozen that
 * lean on least, so all are told by their number. */
static bool expect_slot(double from, double to, const th_box *opening, double decay) {
    const double reach = TOOL / 2 + TH_LEAST_WEB, heading = 0, y = WIDTH / 2.0;
    const size_t count = (size_t)ceil(4 * (to - from) / decay) + 1, spread = count / 12 + 1;
    draft d = plate(LENGTH, WIDTH, 0.2);
    th_path path = th_path_new(0);
    bool cuts[100] = {false}, kept[100] = {false};
    size_t first = 0, expected = 0, all = 0;
    th_outline outline;
    found f;

    assert_true(count < 100);
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_box(&path, &(th_box){0, 0, LENGTH, WIDTH, 0, 0});
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_box(&path, opening);
    assert_true(th_path_finish(&path, &outline, NULL));
    th_path_free(&path);
    put(&d, "part", "outline", "shape.svg");
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.1", "depth", "0.1");
    put_point(&d, "cut.1", "from", from, y);
    put_point(&d, "cut.1", "to", to, y);
    find(&d, &outline, 0, &f);
    for (size_t i = 0; i < count; i++) {
        double x = from + (to - from) * (double)i / (double)(count - 1);
        cuts[i] = x >= -reach && x <= LENGTH + reach &&
                  (x <= opening->x + reach || x >= opening->x + opening->length - reach);
        kept[i] = cuts[i] && i % spread == 0;
    }
    for (size_t i = 0; i < count; i++) {
        first = cuts[i] && (i == 0 || !cuts[i - 1]) ? i : first;
        if (cuts[i] && !cuts[i + 1]) {
            kept[first] = kept[(first + i) / 2] = kept[i] = true;
        }
    }
    for (size_t i = 0; i < count; i++) {
        double x = from + (to - from) * (double)i / (double)(count - 1);
        size_t here = standing(&f, x, y, &heading);
        assert_true(here == 1 || (here == 0 && !kept[i]));
        expected += kept[i];
        all += cuts[i];
    }
    assert_int_equal(f.spots.count, all < expected + 12 ? all : expected + 12);
    th_outline_free(&outline);
    lose(&f);
    return all > expected + 12;
}

static void what_a_slot_cuts_is_looked_at_from_end_to_end(void **state) {
    const double decay = decay_of(0.2);
    int choices = 0;

    (void)state;
    for (int i = 0; i < 12; i++) {
        th_box opening = {30.07 + i, 5, 10 + 0.5 * i, WIDTH - 10, 0, 0};
        choices += expect_slot(5, 66 + i, &opening, decay);
        choices += expect_slot(5 + 0.5 * i, 82.9, &opening, decay); /* out into the air */
        choices += expect_slot(-2.9, 70 + 0.5 * i, &opening, decay);
        /* no farther than into the opening */
        choices += expect_slot(5, opening.x + opening.length - 3, &opening, decay);
        choices += expect_slot(opening.x + 3, 76, &opening, decay);
    }
    assert_true(choices > 30);
}

/* Of a plate so soft that half a decay length is less than a 160th of its edge all round, places
 * along the edge are just that 160th apart: here 4 mm, with one on each corner. */
static void places_on_an_edge_are_a_160th_of_it_apart(void **state) {
    draft d = plate(160, 160, 0.3);
    found f;

    (void)state;
    assert_true(decay_of(0.3) / 2 < 4);
    add_cut(&d, "cut.1", "face", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.1", "radial", "2");
    find(&d, NULL, 0, &f);
    for (size_t i = 0; i < f.spots.count; i++) {
        th_point at = f.spots.items[i].at;
        assert_near(remainder(at.x, 4), 0, 0, 1e-9);
        assert_near(remainder(at.y, 4), 0, 0, 1e-9);
    }
    lose(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_hole_is_gone_round),
        cmocka_unit_test(a_pocket_is_gone_over),
        cmocka_unit_test(letters_and_drillings_have_their_place),
        cmocka_unit_test(the_outermost_of_many_are_looked_at),
        cmocka_unit_test(the_outermost_any_way_are_looked_at),
        cmocka_unit_test(what_leans_on_less_is_looked_at),
        cmocka_unit_test(either_axis_is_the_same),
        cmocka_unit_test(a_slot_is_followed_where_it_cuts),
        cmocka_unit_test(an_edge_is_gone_round),
        cmocka_unit_test(a_sharp_corner_is_gone_round_closely),
        cmocka_unit_test(openings_are_gone_round_inside),
        cmocka_unit_test(a_chamfer_stands_beside_the_edge),
        cmocka_unit_test(a_face_is_looked_at_along_its_edges),
        cmocka_unit_test(few_places_of_a_long_slot_are_looked_at),
        cmocka_unit_test(what_a_slot_cuts_is_looked_at_from_end_to_end),
        cmocka_unit_test(places_on_an_edge_are_a_160th_of_it_apart),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
