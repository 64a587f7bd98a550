/* test_sites.c - where the load of a cutter enters the plate: beside a wall on a patch just within
 * it, whichever side of the part. By geometry; jobs are invented. */
#include <math.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

enum { LENGTH = 60, WIDTH = 40 };

/* Round a corner the cutter stands off it along the diagonal; elsewhere straight off the edge. The
 * patch is as far within as half of it is wide. */
static size_t expect_within(const struct th_scene *scene) {
    for (size_t i = 0; i < scene->site_count; i++) {
        const th_plate_spot *s = &scene->sites[i];
        double beside = fmin(s->x, LENGTH - s->x), above = fmin(s->y, WIDTH - s->y);
        double within = fmax(beside, above) < s->patch ? hypot(beside, above) : fmin(beside, above);
        assert_true(beside > 0 && above > 0);
        assert_near(within, s->patch / 2, 0, 1e-5);
    }
    return scene->site_count;
}

static void beside_a_wall_the_patch_lies_within_it(void **state) {
    static const char *const ways[] = {"climb", "conventional"};
    size_t seen = 0;

    (void)state;
    for (int w = 0; w < 2; w++) {
        for (int sheet = 0; sheet < 2; sheet++) {
            draft d = plate(LENGTH, WIDTH, 2);
            answer a;
            add_cut(&d, "cut.1", "outline", "flat-6mm-3");
            put(&d, "cut.1", "direction", ways[w]);
            put(&d, "cut.1", "axial", "0.2");
            put(&d, "cut.1", "radial", sheet ? "6" : "1");
            if (sheet) {
                add_sheet(&d, 120, 100, 30, 30);
            }
            run(&d, false, &a);
            for (size_t i = 0; i < a.check.stage_count; i++) {
                const th_stage *s = &a.check.stages[i];
                if (s->scene && s->scene->held && s->piece != TH_PIECE_FRAME) {
                    seen += expect_within(s->scene);
                }
            }
            answer_free(&a);
        }
    }
    assert_true(seen >= 6);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(beside_a_wall_the_patch_lies_within_it),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
