/* test_tabs.c - the bridges that tie a part to its frame: where they lie, what they bear, and what
 * a stage tells of them. By geometry and the formulas of beams; jobs are invented. */
#include <math.h>
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

enum { LENGTH = 60, WIDTH = 40, TABS = 6 };
#define TAB_LENGTH 3.0
#define TAB_HEIGHT 0.8
#define TOOL 3.0

typedef struct {
    th_job *job;
    th_check_options options;
    th_arena arena;
    th_judging judging;
    th_ground ground;
    th_error err;
    const th_bond_state *tied;
} bridged;

static draft tabbed(void) {
    draft d = plate(LENGTH, WIDTH, 2);

    add_sheet(&d, 120, 90, 30, 25);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "0.3");
    put(&d, "cut.1", "tabs", "6 x 3 mm");
    put(&d, "cut.1", "tab_height", "0.8 mm");
    return d;
}

/* The state once the outline has gone round, with its tabs. */
static void tie(const draft *d, bridged *b) {
    const th_bond_state *start, *freed;

    memset(b, 0, sizeof *b);
    b->job = built(d);
    b->judging.options = &b->options;
    b->judging.shapes = th_shapes_new();
    assert_non_null(b->judging.shapes);
    assert_true(th_ground_make(b->job, &b->judging, &b->arena, &b->ground, &b->err));
    start = th_state_start(&b->ground);
    assert_non_null(start);
    freed = th_state_opened(&b->ground, start, &b->job->cuts[0], 1, 1);
    assert_non_null(freed);
    b->tied = th_state_tied(&b->ground, freed, &b->job->cuts[0], 2.5, th_ground_stock(&b->ground));
    assert_non_null(b->tied);
}

static void lose(bridged *b) {
    th_shapes_free(b->judging.shapes);
    th_arena_free(&b->arena);
    th_job_free(b->job);
}

/* The side of the plate that a place lies on: its normal outwards. */
static th_point outward(th_point at) {
    return fabs(at.x) < 1e-6            ? (th_point){-1, 0}
           : fabs(at.x - LENGTH) < 1e-6 ? (th_point){1, 0}
           : fabs(at.y) < 1e-6          ? (th_point){0, -1}
                                        : (th_point){0, 1};
}

/* The metal of each reaches across the kerf and half as far into the part, as wide as it is long
 * along the edge; counterclockwise. */
static void each_lies_across_its_edge(void **state) {
    draft d = tabbed();
    bridged b;

    (void)state;
    tie(&d, &b);
    assert_int_equal(b.tied->tab_count, TABS);
    for (size_t t = 0; t < TABS; t++) {
        const th_tab *tab = &b.tied->tabs[t];
        th_point n = outward((th_point){tab->anchor.x, tab->anchor.y});
        double twice = 0;
        assert_near(
            th_outline_distance(b.ground.part, (th_point){tab->anchor.x, tab->anchor.y}, NULL), 0,
            0, 1e-6);
        for (int i = 0; i < 4; i++) {
            th_point c = tab->corners[i], next = tab->corners[(i + 1) % 4];
            double x = c.x - tab->anchor.x, y = c.y - tab->anchor.y;
            double out = x * n.x + y * n.y, along = y * n.x - x * n.y;
            assert_near(out, out > 0 ? TOOL : -TOOL / 2, 1e-9, 0);
            assert_near(fabs(along), TAB_LENGTH / 2, 1e-9, 0);
            twice += c.x * next.y - next.x * c.y;
        }
        assert_near(twice / 2, TAB_LENGTH * 1.5 * TOOL, 1e-9, 0);
        assert_near(tab->height, TAB_HEIGHT, 1e-12, 0);
    }
    lose(&b);
}

/* By its length along the edge they are evenly spread. */
static void they_are_evenly_spread(void **state) {
    double step = 2.0 * (LENGTH + WIDTH) / TABS;
    draft d = tabbed();
    double first = NAN;
    bridged b;

    (void)state;
    tie(&d, &b);
    for (size_t t = 0; t < TABS; t++) {
        double x = b.tied->tabs[t].anchor.x, y = b.tied->tabs[t].anchor.y;
        th_point n = outward((th_point){x, y});
        double way = n.y < 0   ? x
                     : n.x > 0 ? LENGTH + y
                     : n.y > 0 ? LENGTH + WIDTH + LENGTH - x
                               : 2 * LENGTH + 2 * WIDTH - y;
        double steps;
        first = t ? first : way;
        steps = (way - first) / step - (double)t;
        assert_near(steps - TABS * nearbyint(steps / TABS), 0, 0, 1e-6);
    }
    lose(&b);
}

/* A beam built in at both ends, one of which gives way: 12 E I/L^3 bent, G A/(1.2 L) sheared, one
 * after the other; it breaks sheared off or bent at its ends (Young, Roark's Formulas, ch. 8). */
static void each_bears_as_a_beam_does(void **state) {
    double w = TAB_LENGTH, h = TAB_HEIGHT, span = TOOL;
    double flat = h * w * w * w / 12, upright = w * h * h * h / 12;
    const th_piece *part = NULL;
    draft d = tabbed();
    bridged b;

    (void)state;
    tie(&d, &b);
    const th_stock *stock = b.job->part.stock;
    double e = stock->elastic_modulus, g = e / (2 * (1 + stock->poisson));
    double sheared = 1.2 * span / (g * w * h), off = w * h * stock->ultimate / sqrt(3);
    for (size_t i = 0; i < b.tied->piece_count; i++) {
        const th_piece *piece = &b.tied->pieces[i];
        assert_int_equal(piece->anchor_count, piece->kind == TH_PIECE_PART ? TABS : 0);
        part = piece->kind == TH_PIECE_PART ? piece : part;
    }
    assert_non_null(part);
    assert_near(part->anchors_hold, 2.5, 0, 0);
    for (size_t t = 0; t < TABS; t++) {
        const th_plate_anchor *a = &part->anchors[t];
        double along = sheared + span * span * span / (12 * e * flat);
        double up = sheared + span * span * span / (12 * e * upright);
        /* a moment of F L/2 at the root */
        assert_near(a->k[0], 1 / along, 1e-12, 0);
        assert_near(a->k[1], 1 / along, 1e-12, 0);
        assert_near(a->k[2], 1 / up, 1e-12, 0);
        assert_near(a->bears, fmin(off, stock->ultimate * flat / (w / 2) / (span / 2)), 1e-12, 0);
        assert_near(a->bears_lift, fmin(off, stock->ultimate * upright / (h / 2) / (span / 2)),
                    1e-12, 0);
    }
    lose(&b);
}

/* Where tabs help the part holds by the lesser of what tape and tabs bear together and what the
 * frame does, whether either is enough or not; a stage tells both. */
static void a_stage_tells_what_they_add(void **state) {
    (void)state;
    for (int light = 0; light < 2; light++) {
        draft d = tabbed();
        const th_stage *part;
        answer a;
        put(&d, "part", "length", "20");
        put(&d, "part", "width", "15");
        put(&d, "hold", "tape", "film");
        put(&d, "cut.1", "axial", light ? "0.05" : "1");
        run(&d, false, &a);
        part = stage_of(&a, "cut.1", TH_PIECE_PART);
        assert_true(light ? part->hold_factor > 1 : part->hold_factor < 1);
        assert_true(part->tied_factor > part->alone_factor);
        assert_near(part->hold_factor, fmin(part->tied_factor, part->frame_factor), 1e-12, 0);
        /* the row that the strength comes from: tabs are of the stock */
        assert_true(th_stage_by_tabs(part));
        assert_string_equal(part->row->id, a.job->part.stock->head.id);
        assert_string_equal(stage_of(&a, "cut.1", TH_PIECE_STOCK)->row->id, "film");
        answer_free(&a);
    }
}

/* Metal too thin to count has left the part to its tabs before the last pass goes round: a single
 * one holds it there too, and two hold it better. */
static void each_tab_helps_above_the_last_metal(void **state) {
    static const char *const tabs[] = {NULL, "1 x 3 mm", "2 x 3 mm"};
    double before = 0;

    (void)state;
    for (int i = 0; i < 3; i++) {
        draft d = tabbed();
        double factor;
        answer a;
        put(&d, "cut.1", "last_axial", "0.05");
        if (tabs[i]) {
            put(&d, "cut.1", "tabs", tabs[i]);
        } else {
            drop(&d, "cut.1", "tabs");
            drop(&d, "cut.1", "tab_height");
        }
        run(&d, false, &a);
        factor = stage_of(&a, "cut.1", TH_PIECE_PART)->hold_factor;
        assert_true(factor > 1.05 * before);
        before = factor;
        answer_free(&a);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_lies_across_its_edge),
        cmocka_unit_test(they_are_evenly_spread),
        cmocka_unit_test(each_bears_as_a_beam_does),
        cmocka_unit_test(a_stage_tells_what_they_add),
        cmocka_unit_test(each_tab_helps_above_the_last_metal),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
