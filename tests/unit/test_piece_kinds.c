/* test_piece_kinds.c - which of the pieces that cuts make is the part: also where the longest edge
 * of it is that of an opening. Jobs are invented. */
#include "support/draft.h"

#define RADIUS 30.0

/* A disc with an opening of four sides, one of them longer than any other edge, turned by so many
 * quarters. */
static void opened_disc(int quarters, th_outline *outline) {
    static const double corners[4][2] = {{-10, -12}, {6, -4}, {6, 4}, {-10, 12}};
    double c = quarters % 2 ? 0 : 1 - quarters, s = quarters % 2 ? 2 - quarters : 0;
    th_path path = th_path_new(1e-3);
    th_point at[4];

    th_path_shape(&path, TH_NONZERO, 0);
    th_path_ellipse(&path, (th_point){RADIUS, RADIUS}, RADIUS, RADIUS);
    th_path_shape(&path, TH_NONZERO, 0);
    for (int i = 0; i < 4; i++) {
        at[i] = (th_point){RADIUS + c * corners[i][0] - s * corners[i][1],
                           RADIUS + s * corners[i][0] + c * corners[i][1]};
    }
    th_path_polygon(&path, at, 4);
    assert_true(th_path_finish(&path, outline, NULL));
    th_path_free(&path);
}

/* The part is what has the tape of all its own area under it, whichever way the long side runs. */
static void the_long_side_may_be_that_of_an_opening(void **state) {
    const double own = TH_PI * RADIUS * RADIUS - 16 * (24 + 8) / 2.0;

    (void)state;
    for (int quarters = 0; quarters < 4; quarters++) {
        draft d = plate(2 * RADIUS, 2 * RADIUS, 3);
        th_outline outline = {0};
        th_check_options options = {.outline = &outline};
        th_check check;
        th_error err;
        int parts = 0;
        th_job *job;
        opened_disc(quarters, &outline);
        put(&d, "part", "outline", "shape.svg");
        put(&d, "hold", "coverage", "1");
        add_sheet(&d, 100, 100, 20, 20);
        add_cut(&d, "cut.1", "outline", "flat-3mm-2");
        put(&d, "cut.1", "radial", "3");
        put(&d, "cut.1", "axial", "0.5");
        put(&d, "cut.1", "last_axial", "0.5");
        job = built(&d);
        assert_true(th_check_run(job, &options, &check, &err));
        for (size_t i = 0; i < check.stage_count; i++) {
            if (check.stages[i].piece == TH_PIECE_PART) {
                assert_near(check.stages[i].bonded_area, own, 1e-3, 0);
                parts++;
            }
        }
        assert_int_equal(parts, 1);
        th_check_free(&check);
        th_job_free(job);
        th_outline_free(&outline);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_long_side_may_be_that_of_an_opening),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
