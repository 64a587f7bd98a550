/* test_repeats.c - copies of a part freed by single slots: that one has been cut out whole tells
 * nothing of another with a corner elsewhere. Jobs are invented. */
#include <math.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

enum { LENGTH = 40, WIDTH = 25, PITCH = 80, ROUND = 4, SLOTS = 6 };
#define TOOL 3.0
#define OUT 1.2    /* of metal left beside the part, at most (mm) */
#define LOWER 15.0 /* so much nearer the middle than the corner (mm) */
#define OVER 0.1   /* slots run past their corners (mm) */

/* A slot to whose left lies what runs from a to b. */
static void add_slot(draft *d, int number, th_point a, th_point b) {
    double length = hypot(b.x - a.x, b.y - a.y);
    double c = (b.x - a.x) / length, s = (b.y - a.y) / length;
    char section[] = "cut.1";

    section[4] = (char)('1' + number);
    add_cut(d, section, "slot", "flat-3mm-2");
    put_point(d, section, "from", a.x - c * OVER + s * TOOL / 2, a.y - s * OVER - c * TOOL / 2);
    put_point(d, section, "to", b.x + c * OVER + s * TOOL / 2, b.y + s * OVER - c * TOOL / 2);
    put(d, section, "axial", "0.5");
    put(d, section, "through", "yes");
}

/* Four slots round the part, of which those next to one corner come last, and two that meet in
 * another place than that corner: out beside the part, but with less metal in all. */
static draft cut_round(int corner) {
    const th_point at[ROUND] = {{0, 0}, {LENGTH, 0}, {LENGTH, WIDTH}, {0, WIDTH}};
    th_point whole = at[corner], odd = whole;
    draft d = plate(LENGTH, WIDTH, 2);

    add_sheet(&d, 2 * PITCH + 30, 80, 30, 25);
    put(&d, "part", "copies", "2 x 1");
    put(&d, "part", "pitch", "80 x 60");
    odd.x += whole.x > 0 ? OUT : -OUT;
    odd.y += whole.y > 0 ? -LOWER : LOWER;
    for (int i = 0; i < ROUND; i++) {
        add_slot(&d, i, at[(corner + 1 + i) % ROUND], at[(corner + 2 + i) % ROUND]);
    }
    add_slot(&d, ROUND, at[(corner + 3) % ROUND], odd);
    add_slot(&d, ROUND + 1, odd, at[(corner + 1) % ROUND]);
    return d;
}

/* Pieces that are the part, where the slots next to the corner are moved to the copy beside that of
 * the job, `by` this way, and those to the other place as far the other way: either cuts one copy.
 */
static int parts_of(const draft *d, double by) {
    th_check_options options = {.turn_downs = false};
    th_judging judging = {.options = &options, .shapes = th_shapes_new()};
    th_job *job = built(d);
    th_arena arena = {NULL};
    const th_bond_state *state;
    th_ground ground;
    th_error err;
    int parts = 0;

    assert_non_null(judging.shapes);
    assert_true(th_ground_make(job, &judging, &arena, &ground, &err));
    for (int i = 2; i < SLOTS; i++) { /* farther from the part than a job may have them */
        job->cuts[i].from.x += i < ROUND ? by : -by;
        job->cuts[i].to.x += i < ROUND ? by : -by;
    }
    state = th_state_start(&ground);
    for (int i = 0; i < SLOTS; i++) {
        assert_non_null(state);
        state = th_state_opened(&ground, state, &job->cuts[i], 1, 2);
    }
    assert_non_null(state);
    for (size_t i = 0; i < state->piece_count; i++) {
        parts += state->pieces[i].kind == TH_PIECE_PART;
    }
    th_shapes_free(judging.shapes);
    th_arena_free(&arena);
    th_job_free(job);
    return parts;
}

/* The copy with metal beside it is no part, whichever corner has it and whichever copy. */
static void one_corner_tells_copies_apart(void **state) {
    (void)state;
    for (int corner = 0; corner < ROUND; corner++) {
        for (int first = 0; first < 2; first++) {
            draft d = cut_round(corner);
            assert_int_equal(parts_of(&d, first ? -PITCH : PITCH), 1);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_corner_tells_copies_apart),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
