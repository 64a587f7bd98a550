/* test_state_after.c - what is left after whole cuts, which of it is what, and what of it tells how
 * wide a cut begins. Jobs are invented; areas are closed forms. */
#include <math.h>
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

enum { ALL = 6 };

typedef struct {
    th_check_options options;
    th_judging judging;
    th_job *job;
    th_arena arena;
    th_ground ground;
    th_error err;
} site;

/* `outline` NULL: a rectangle. */
static void open_drawn(const draft *d, const th_outline *outline, site *s) {
    memset(s, 0, sizeof *s);
    s->options.outline = outline;
    s->judging.options = &s->options;
    s->job = built(d);
    assert_true(th_work_begin(&s->judging));
    assert_true(th_ground_make(s->job, &s->judging, &s->arena, &s->ground, &s->err));
}

static void open_site(const draft *d, site *s) {
    open_drawn(d, NULL, s);
}

static void close_site(site *s) {
    th_work_end(&s->judging);
    th_arena_free(&s->arena);
    th_job_free(s->job);
}

/* Six parts of 40 x 30 mm with an opening of 16 mm, out of one sheet by a cutter of 3 mm. */
static draft six_opened(void) {
    draft d = plate(40, 30, 2);

    put(&d, "opening.1", "at", "12,15");
    put(&d, "opening.1", "size", "16");
    put(&d, "part", "copies", "3 x 2");
    put(&d, "part", "pitch", "50 x 45");
    add_sheet(&d, 180, 115, 20, 20);
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.2");
    put(&d, "cut.1", "radial", "3");
    return d;
}

/* The kerf runs round each part, its corners round, and round within each opening, where a slug of
 * 10 mm is left. Round corners are tangents up to 0.01 mm outside their arcs. */
static void an_outline_frees_every_copy_and_its_slug(void **state) {
    const double round = 2 * (40 + 30) * 3 + TH_PI * 9, within = TH_PI * (64 - 25);
    draft d = six_opened();
    const th_bond_state *start, *after;
    int found[TH_PIECE_SLUG + 1][ALL + 1] = {{0}};
    site s;

    (void)state;
    open_site(&d, &s);
    start = th_state_start(&s.ground);
    after = start ? th_state_after(&s.ground, start, &s.job->cuts[0]) : NULL;
    assert_non_null(after);
    assert_int_equal(after->freed, ALL);
    assert_near(th_outline_section(after->region).area, 180 * 115 - ALL * (round + within), 0,
                ALL * 0.01 * 2 * TH_PI * (3 + 8 + 5));
    for (size_t i = 0; i < after->piece_count; i++) {
        found[after->pieces[i].kind][after->pieces[i].copy]++;
    }
    assert_int_equal(after->piece_count, 2 * ALL + 1);
    for (int copy = 1; copy <= ALL; copy++) {
        assert_int_equal(found[TH_PIECE_PART][copy], 1);
        assert_int_equal(found[TH_PIECE_SLUG][copy], 1);
    }
    close_site(&s);
}

/* Without a sheet the first lap of an outline is as wide as it states, and out of one as wide as
 * its cutter; a pocket begins so in any case, a slot never does. */
static void narrow_cuts_begin_wider(void **state) {
    static const char *const outlines[] = {"0.5", "3"};

    (void)state;
    for (int i = 0; i < 4; i++) {
        bool sheet = i / 2 == 0, narrow = i % 2 == 0, *full;
        draft d = six_opened();
        site s;
        if (!sheet) {
            d = plate(40, 30, 2);
            add_cut(&d, "cut.1", "outline", "flat-3mm-2");
            put(&d, "cut.1", "axial", "0.2");
        }
        put(&d, "cut.1", "radial", outlines[i % 2]);
        put(&d, "cut.2", "operation", "pocket");
        put(&d, "cut.2", "cutter", "em");
        put(&d, "cut.2", "axial", "0.2");
        put(&d, "cut.2", "depth", "0.4");
        put(&d, "cut.2", "radial", outlines[i % 2]);
        put(&d, "cut.2", "at", "32,15");
        put(&d, "cut.2", "size", "10 x 10");
        put(&d, "cut.3", "operation", "slot");
        put(&d, "cut.3", "cutter", "em");
        put(&d, "cut.3", "axial", "0.2");
        put(&d, "cut.3", "depth", "0.2");
        put(&d, "cut.3", "from", "10,3");
        put(&d, "cut.3", "to", "30,3");
        open_site(&d, &s);
        assert_true(th_begin_wider(s.job, &s.judging, &s.arena, &full, &s.err));
        assert_int_equal(full[0], sheet && narrow);
        assert_int_equal(full[1], narrow);
        assert_false(full[2]);
        close_site(&s);
    }
}

/* Of two that heat leaves nothing the warmer one has more to tell, and of two as warm the one that
 * is asked about; else the one that holds less, whatever its warmth. */
static void the_warmest_of_what_holds_nothing_is_told(void **state) {
    const th_stage cool = {.hold_factor = 0, .way = TH_HEAT, .temperature = 60};
    const th_stage warm = {.hold_factor = 0, .way = TH_HEAT, .temperature = 80};
    const th_stage weak = {.hold_factor = 0.5, .way = TH_HEAT, .temperature = 30};
    const th_stage strong = {.hold_factor = 2, .way = TH_HEAT, .temperature = 50};

    (void)state;
    assert_true(th_stage_weaker(&warm, &cool));
    assert_false(th_stage_weaker(&cool, &warm));
    assert_true(th_stage_weaker(&warm, &warm));
    assert_true(th_stage_weaker(&weak, &strong));
    assert_false(th_stage_weaker(&strong, &weak));
    assert_true(th_stage_weaker(&cool, &weak));
    assert_false(th_stage_weaker(&weak, &weak));
}

static void open_slotted(const char *from, const char *to, site *s) {
    draft d = plate(60, 40, 2);

    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.4");
    put(&d, "cut.1", "through", "yes");
    put(&d, "cut.1", "from", from);
    put(&d, "cut.1", "to", to);
    open_site(&d, s);
}

static const th_bond_state *after_first(site *s) {
    const th_bond_state *start = th_state_start(&s->ground);

    return start ? th_state_after(&s->ground, start, &s->job->cuts[0]) : NULL;
}

/* A slot but for 0.2 mm at its round end makes two pieces of the part, each of which ends where the
 * part does, and which part no material is lost between. */
static void pieces_of_a_thin_web_keep_their_edges(void **state) {
    const double slot = 6 * 36.8 + TH_PI * 9 / 2;
    const th_bond_state *after;
    double area = 0;
    site s;

    (void)state;
    open_slotted("30,-5", "30,36.8", &s);
    after = after_first(&s);
    assert_non_null(after);
    assert_int_equal(after->piece_count, 2);
    for (size_t i = 0; i < 2; i++) {
        const double *box = after->pieces[i].box;
        bool left = box[0] < 10;
        assert_near(left ? box[0] : box[2], left ? 0 : 60, 0, 1e-5);
        assert_near(box[1], 0, 0, 1e-5);
        assert_near(box[3], 40, 0, 1e-5);
        area += th_outline_section(after->pieces[i].region).area;
    }
    /* gone is no more than the web where it is thinner than one that counts */
    assert_true(area <= 60 * 40 - slot + 0.3 && area > 60 * 40 - slot - 0.3 * 2);
    close_site(&s);
}

/* Two squares joined by a straight web of 0.2 mm: no piece reaches farther into it than a disc as
 * wide as the least web that counts does, which leans on both corners of its mouth. The disc rounds
 * the corners of the squares as well. */
static void a_web_that_does_not_count_is_of_no_piece(void **state) {
    const double side = 20, web = 0.2, y = (side - web) / 2;
    const double into = (TH_LEAST_WEB - sqrt(TH_LEAST_WEB * TH_LEAST_WEB - web * web)) / 2;
    const double rounded = (4 - TH_PI) * TH_LEAST_WEB * TH_LEAST_WEB / 4;
    th_point corners[] = {{0, 0},
                          {side, 0},
                          {side, y},
                          {side + 3, y},
                          {side + 3, 0},
                          {2 * side + 3, 0},
                          {2 * side + 3, side},
                          {side + 3, side},
                          {side + 3, y + web},
                          {side, y + web},
                          {side, side},
                          {0, side}};
    draft d = plate(2 * side + 3, side, 2);
    th_path path = th_path_new(0);
    const th_bond_state *start;
    th_outline outline;
    site s;

    (void)state;
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_polygon(&path, corners, sizeof corners / sizeof *corners);
    assert_true(th_path_finish(&path, &outline, NULL));
    th_path_free(&path);
    put(&d, "part", "outline", "shape.svg");
    add_cut(&d, "cut.1", "drill", "drill-3mm");
    put(&d, "cut.1", "at", "10,10");
    open_drawn(&d, &outline, &s);
    start = th_state_start(&s.ground);
    assert_non_null(start);
    assert_int_equal(start->piece_count, 2);
    for (size_t i = 0; i < 2; i++) {
        const double *box = start->pieces[i].box;
        bool left = box[0] < side;
        assert_near(left ? box[0] : box[2], left ? 0 : 2 * side + 3, 0, 1e-5);
        assert_near(left ? box[2] - side : side + 3 - box[0], into, 0, 0.01);
        assert_near(th_outline_section(start->pieces[i].region).area, side * side, 0, rounded);
    }
    close_site(&s);
    th_outline_free(&outline);
}

/* A kerf along an axis follows grid lines; only one askew asks for small elements, as small as it
 * is wide. */
static void only_a_kerf_askew_asks_for_small_elements(void **state) {
    static const char *const ways[][2] = {
        {"10,20", "50,20"}, {"30,10", "30,30"}, {"10,10", "50,30"}, {"50,10", "10,30"}};
    draft d = six_opened();
    site s;

    (void)state;
    for (int i = 0; i < 4; i++) {
        const th_bond_state *after;
        open_slotted(ways[i][0], ways[i][1], &s);
        after = after_first(&s);
        assert_non_null(after);
        assert_near(after->finest, i < 2 ? 0 : 6, 1e-12, 0);
        close_site(&s);
    }
    open_site(&d, &s);
    assert_non_null(after_first(&s));
    assert_near(after_first(&s)->finest, 0, 0, 0);
    close_site(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_outline_frees_every_copy_and_its_slug),
        cmocka_unit_test(narrow_cuts_begin_wider),
        cmocka_unit_test(the_warmest_of_what_holds_nothing_is_told),
        cmocka_unit_test(pieces_of_a_thin_web_keep_their_edges),
        cmocka_unit_test(a_web_that_does_not_count_is_of_no_piece),
        cmocka_unit_test(only_a_kerf_askew_asks_for_small_elements),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
