/* test_each_copy.c - copies of a part: when each has to be looked at, where, and which of them a
 * slug belongs to. Jobs are invented. */
#include <math.h>
#include <stdio.h>

#include "support/bounded.h"

/* Parts of 60 x 40 mm in a sheet, one above the other, cut free one by one; then holes. */
static draft column_of(const char *copies, const char *at) {
    draft d = plate(60, 40, 3);

    add_sheet(&d, 120, 200, 30, 20);
    put(&d, "part", "copies", copies);
    put(&d, "part", "pitch", "80 x 60");
    add_cut(&d, "cut.1", "outline", "flat-3mm-2");
    put(&d, "cut.1", "radial", "3");
    put(&d, "cut.1", "axial", "0.2");
    put(&d, "cut.2", "operation", "hole");
    put(&d, "cut.2", "cutter", "em");
    put(&d, "cut.2", "axial", "0.2");
    put(&d, "cut.2", "size", "8");
    put(&d, "cut.2", "at", at);
    put(&d, "cut.2", "through", "yes");
    return d;
}

static bool unlike(const bounded *at, const th_bond_state *now) {
    bool found;

    assert_non_null(now);
    assert_true(th_copies_unlike(&at->ground, now, &found));
    return found;
}

/* One part alone is like itself, and so are those that an outline has cut out of an even sheet; as
 * long as only one is out there is nothing to compare. */
static void copies_of_an_even_sheet_are_alike(void **state) {
    static const char *const copies[] = {"1 x 1", "1 x 2"};

    (void)state;
    for (int i = 0; i < 2; i++) {
        draft d = column_of(copies[i], "30,20");
        const th_bond_state *now;
        bounded at;
        bounded_begin(&d, 0, &at);
        now = th_state_start(&at.ground);
        assert_false(unlike(&at, now));
        for (int copy = 1; copy <= i + 1; copy++) {
            now = th_state_opened(&at.ground, now, &at.job->cuts[0], copy, copy);
            assert_false(unlike(&at, now));
        }
        bounded_end(&at);
    }
}

static bool stands_at(const th_spots *spots, double x, double y, double within) {
    for (size_t i = 0; i < spots->count; i++) {
        if (hypot(spots->items[i].at.x - x, spots->items[i].at.y - y) < within) {
            return true;
        }
    }
    return false;
}

/* Tape under half of the second of two parts that are free: eight places in each are few enough to
 * be looked at, every one. */
static void few_places_are_looked_at_in_each_copy(void **state) {
    const th_box box = {0, 0, 60, 80, 0, 0};
    draft d = column_of("1 x 2", "6,20 12,20 18,20 24,20 30,20 36,20 42,20 48,20");
    th_path path = th_path_new(0);
    th_outline taped = {0};
    const th_bond_state *now;
    th_spots spots;
    bounded at;

    (void)state;
    th_path_shape(&path, TH_NONZERO, 0);
    th_path_box(&path, &box);
    assert_true(th_region_of_path(&path, &taped, NULL));
    th_path_free(&path);
    bounded_begin(&d, 1, &at);
    at.ground.taped = &taped;
    now = th_state_opened(&at.ground, th_state_start(&at.ground), &at.job->cuts[0], 1, 2);
    assert_true(unlike(&at, now));
    assert_true(th_spots_of(&at.ground, now, at.b.cut, 0, &spots));
    for (int copy = 0; copy < 2; copy++) {
        for (int i = 1; i <= 8; i++) {
            assert_true(stands_at(&spots, 6 * i, 20 + 60 * copy, 2.6));
        }
    }
    bounded_end(&at);
    th_outline_free(&taped);
}

/* What is bored out beside a disc, of the corner that its box leaves over, is not of the disc and
 * goes with the one that is nearest. */
static void a_slug_belongs_to_the_nearest_copy(void **state) {
    static const char *const copies[] = {"1 x 2", "2 x 1"};

    (void)state;
    for (int across = 0; across < 2; across++) {
        draft d = column_of(copies[across], "4,4");
        const th_bond_state *now;
        int seen[3] = {0, 0, 0};
        bounded at;
        put(&d, "part", "shape", "disc");
        put(&d, "part", "width", "60");
        put(&d, "part", "pitch", "80 x 80");
        put(&d, "part", "sheet_length", "240");
        bounded_begin(&d, 1, &at);
        now = th_state_after(&at.ground, th_state_start(&at.ground), at.b.cut);
        assert_non_null(now);
        for (size_t i = 0; i < now->piece_count; i++) {
            const th_piece *piece = &now->pieces[i];
            if (piece->kind == TH_PIECE_SLUG) {
                double along = piece->box[across ? 0 : 1];
                assert_int_equal(piece->copy, along < 40 ? 1 : 2);
                seen[piece->copy]++;
            }
        }
        assert_true(seen[1] == 1 && seen[2] == 1);
        bounded_end(&at);
    }
}

/* Tape under the middle of each part; of the last one under two edges, which a rigid part could
 * tilt less on. */
static void tape_under(int count, bool across, th_outline *taped) {
    th_path path = th_path_new(0);

    for (int i = 0; i < count; i++) {
        double x = across ? 80 * i : 0, y = across ? 0 : 60 * i;
        const th_box middle = {x, y + 6, 60, 28, 0, 0}, low = {x, y, 60, 13, 0, 0},
                     high = {x, y + 27, 60, 13, 0, 0};
        th_path_shape(&path, TH_NONZERO, 0);
        th_path_box(&path, i + 1 < count ? &middle : &low);
        if (i + 1 == count) {
            th_path_shape(&path, TH_NONZERO, 0);
            th_path_box(&path, &high);
        }
    }
    assert_true(th_region_of_path(&path, taped, NULL));
    th_path_free(&path);
}

/* Of a hole in the middle of each part, in a row of them or a column; the copy that is weakest. */
static double hold_of(int count, bool across, int *weakest) {
    char copies[24];
    th_outline taped = {0};
    th_judgement judgement;
    const th_stage *governs;
    double hold_factor;
    bounded at;
    draft d;

    snprintf(copies, sizeof copies, across ? "%d x 1" : "1 x %d", count);
    d = column_of(copies, "30,20");
    put(&d, "hold", "cutting_time", "60 s");
    put(&d, "part", "thickness", "0.6");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.2", "axial", "0.1");
    put_length(&d, "part", "sheet_length", across ? 80 * count + 60 : 120);
    put_length(&d, "part", "sheet_width", across ? 80 : 60 * count + 40);
    tape_under(count, across, &taped);
    bounded_begin(&d, 1, &at);
    at.options.taped = &taped;
    assert_true(th_judge(at.job, &at.b.own, &at.arena, 0, &judgement, &at.err));
    governs = &judgement.stages[judgement.governs];
    assert_int_equal(governs->piece, TH_PIECE_PART);
    *weakest = governs->copy;
    hold_factor = governs->hold_factor;
    bounded_end(&at);
    th_outline_free(&taped);
    return hold_factor;
}

/* Many parts that are one another moved, and one that is not, thin enough to lift between its
 * strips of tape, though the area model has it hold better: it governs as it does beside a single
 * other one. */
static void no_copy_is_lost_among_many_alike(void **state) {
    (void)state;
    for (int across = 0; across < 2; across++) {
        int weakest;
        double beside_one = hold_of(2, across, &weakest);
        assert_int_equal(weakest, 2);
        assert_near(hold_of(11, across, &weakest), beside_one, 1e-9, 0);
        assert_int_equal(weakest, 11);
    }
}

/* Each part cut in two: halves of one size may lie in any order among all pieces. */
static void parts_in_halves_are_alike(void **state) {
    draft d = column_of("1 x 2", "30,20");
    const th_bond_state *now;
    th_piece *pieces;
    bounded at;
    bool alike;

    (void)state;
    put(&d, "cut.2", "operation", "slot");
    drop(&d, "cut.2", "size");
    drop(&d, "cut.2", "at");
    put(&d, "cut.2", "from", "30,-1");
    put(&d, "cut.2", "to", "30,41");
    bounded_begin(&d, 1, &at);
    now = th_state_opened(&at.ground, th_state_start(&at.ground), &at.job->cuts[0], 1, 2);
    now = th_state_after(&at.ground, now, at.b.cut);
    assert_non_null(now);
    pieces = now->pieces;
    assert_int_equal(now->piece_count, 5); /* the frame before them */
    for (int order = 0; order < 2; order++) {
        const th_piece second = pieces[2];
        assert_true(th_copies_alike(&at.ground, now, 1, 2, &alike) && alike);
        assert_true(th_copies_alike(&at.ground, now, 2, 1, &alike) && alike);
        pieces[2] = pieces[3]; /* both of one copy, then both of the other */
        pieces[3] = second;
        assert_int_equal(pieces[1].copy == pieces[2].copy, !order);
    }
    bounded_end(&at);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(copies_of_an_even_sheet_are_alike),
        cmocka_unit_test(few_places_are_looked_at_in_each_copy),
        cmocka_unit_test(a_slug_belongs_to_the_nearest_copy),
        cmocka_unit_test(no_copy_is_lost_among_many_alike),
        cmocka_unit_test(parts_in_halves_are_alike),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
