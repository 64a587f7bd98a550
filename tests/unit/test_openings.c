/* test_openings.c - what is told of holes: bored beside an opening of the part, which one, by the
 * size that it has; hardly wider than their cutter. Jobs are invented. */
#include <stdio.h>
#include <string.h>

#include "support/draft.h"

static size_t told(const draft *d, const char *caution) {
    size_t found = 0;
    answer a;

    run(d, false, &a);
    for (size_t i = 0; i < a.check.cautions.count; i++) {
        found += strstr(a.check.cautions.items[i], caution) != NULL;
    }
    answer_free(&a);
    return found;
}

/* A hole drilled 3 mm beside one opening of those that the part has. */
static void expect_named(const char *size, const char *named) {
    draft d = plate(40, 30, 2);
    char caution[200];

    put(&d, "opening.1", "at", "20,12");
    put(&d, "opening.1", "size", size);
    put(&d, "opening.2", "at", "8,24");
    put(&d, "opening.2", "size", "5");
    add_cut(&d, "cut.1", "drill", "drill-1mm");
    put(&d, "cut.1", "at", "23,12");
    snprintf(caution, sizeof caution,
             "cut.1 bores 1 mm at 23 mm, 12 mm, where the part has no such opening; the nearest is "
             "opening.1 (%s at 20 mm, 12 mm)",
             named);
    assert_int_equal(told(&d, caution), 1);
}

static void the_nearest_is_named_by_its_size(void **state) {
    (void)state;
    expect_named("4", "4 mm");
    expect_named("0.8", "0.8 mm");
    expect_named("1.2", "1.2 mm");
}

/* With a fifth of a millimetre to go round in chips have no way out. */
static void a_hole_as_wide_as_its_cutter_is_told_of(void **state) {
    draft d = plate(40, 30, 2);

    (void)state;
    add_cut(&d, "cut.1", "hole", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "cut.1", "at", "10,12");
    put(&d, "cut.1", "size", "8");
    assert_int_equal(told(&d, "hardly"), 0);
    put(&d, "cut.1", "size", "3.2");
    assert_int_equal(told(&d, "cut.1: the hole is hardly larger than its cutter"), 1);
}

/* Longer than wide, as written. */
static void a_slot_is_named_by_both_of_its_sizes(void **state) {
    (void)state;
    expect_named("4 x 1.5", "4 mm x 1.5 mm");
    expect_named("6 x 3", "6 mm x 3 mm");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_nearest_is_named_by_its_size),
        cmocka_unit_test(a_hole_as_wide_as_its_cutter_is_told_of),
        cmocka_unit_test(a_slot_is_named_by_both_of_its_sizes),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
