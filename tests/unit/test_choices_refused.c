/* test_choices_refused.c - a tape that the job cannot take is a choice as well, with what is in its
 * way. Jobs are invented. */
#include <string.h>

#include "support/draft.h"

/* A slot through in one pass, as deep as thick tape allows: on thin tape it would reach into what
 * has to be left of the plate. */
static draft deep_slot(void) {
    draft d = plate(80, 50, 4);

    put(&d, "hold", "tape", "foam-acrylic");
    put(&d, "hold", "glue", "none");
    put(&d, "hold", "plate_thickness", "3.5");
    put(&d, "hold", "plate_left", "3");
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "5.2"); /* of 4 + 1 + 0.5; 0.1 mm of tape leave 4.6 */
    put(&d, "cut.1", "through", "yes");
    return d;
}

/* A slot through in nearly a million passes: through thick tape it goes deeper, and takes more. */
static draft slow_slot(void) {
    draft d = plate(80, 50, 4);

    put(&d, "hold", "tape", "double-film-acrylic");
    put(&d, "hold", "glue", "none");
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.0048 um"); /* of 4 + 0.1 + 0.5; 1 mm of tape makes 5.5 */
    put(&d, "cut.1", "through", "yes");
    return d;
}

/* The job holds by its own tape, and `tape` is refused for `why`. */
static void expect_refused(const draft *d, const char *tape, const char *why) {
    const th_check_options options = {.turn_downs = false};
    th_hold_choices choices;
    th_job *job = built(d);
    int own = 0, refused = 0;
    th_error err;

    if (!th_hold_choices_find(job, &options, TH_EVERY_TAPE, &choices, &err)) {
        fail_msg("%s", err.message);
    }
    for (size_t i = 0; i < choices.count; i++) {
        const th_hold_choice *choice = &choices.items[i];
        if (strcmp(choice->tape->head.id, tape) == 0) {
            assert_false(choice->usable);
            assert_non_null(strstr(choice->why, why));
            refused++;
        }
        own += choice->own;
    }
    assert_int_equal(own, 1);
    assert_int_equal(refused, 1);
    th_hold_choices_free(&choices);
    th_job_free(job);
}

/* By the reader of the job. */
static void a_tape_too_thin_says_why(void **state) {
    draft d = deep_slot();

    (void)state;
    expect_refused(&d, "double-film-acrylic", "plate_left");
}

/* By the judge of its cuts. */
static void a_tape_too_thick_says_why(void **state) {
    draft d = slow_slot();

    (void)state;
    expect_refused(&d, "foam-acrylic", "over a million passes");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tape_too_thin_says_why),
        cmocka_unit_test(a_tape_too_thick_says_why),
    };

    return cmocka_run_group_tests(tests, set_up, tear_down);
}
