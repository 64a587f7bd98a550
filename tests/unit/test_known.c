/* test_known.c - what is known of a cut while another one is changed: it is passed over as long as
 * it surely holds and stays cool. Jobs are invented. */
#include <math.h>
#include <string.h>

#include "../../src/advice/judge.h"
#include "support/draft.h"

enum { CUTS = 2 };

/* Two holes drilled into a hold that stands no more than 60 C, in a room as warm as that. */
static draft drilled(double room) {
    draft d = plate(60, 40, 4);

    put(&d, "hold", "tape", "pvc-film");
    put(&d, "hold", "wait", "24 h");
    put_number(&d, "hold", "room_temperature", room, "C");
    put(&d, "job", "asked_factor", "1");
    add_cut(&d, "cut.1", "drill", "drill-1mm");
    put(&d, "cut.1", "at", "20,20");
    put(&d, "cut.1", "chip_load", "0.006 mm/tooth");
    add_cut(&d, "cut.2", "drill", "drill-1mm");
    put(&d, "cut.2", "at", "40,20");
    return d;
}

/* Judged twice with the second cut about to change. */
typedef struct {
    double factor, warmest; /* of the first cut, the first time */
    double limit;           /* of the hold (C) */
    double least;           /* that it is known to hold by, NAN where it was looked at again */
    size_t stages;          /* looked at the second time */
} looks;

static looks look_twice(double room) {
    th_check_options options = {.turn_downs = false};
    th_known known[CUTS];
    th_judging judging = {.options = &options, .known = known, .changed = 1};
    draft d = drilled(room);
    th_job *job = built(&d);
    looks found = {.limit = th_hold_warmest(job)};

    memset(known, 0, sizeof known);
    assert_true(th_work_begin(&judging));
    for (int look = 0; look < 2; look++) {
        th_arena arena = {NULL};
        th_judgement judgement;
        th_error err = {0};
        if (!th_judge(job, &judging, &arena, 0, &judgement, &err)) {
            fail_msg("%s", err.message);
        }
        if (look == 0) {
            found.factor = judgement.stages[0].hold_factor;
            found.warmest = judgement.stages[0].temperature;
        }
        found.stages = judgement.count;
        th_arena_free(&arena);
    }
    th_work_end(&judging);
    th_job_free(job);
    found.least = known[0].least;
    return found;
}

static void a_cool_cut_that_holds_is_passed_over(void **state) {
    looks found = look_twice(21);

    (void)state;
    assert_true(found.factor > 2 && found.warmest < found.limit - 10);
    assert_near(found.least, found.factor, 1e-6, 0);
    assert_int_equal(found.stages, 1);
}

/* With hardly any warmth to spare each is looked at again, however well it holds. */
static void a_warm_one_is_looked_at(void **state) {
    looks cool = look_twice(21), warm = look_twice(21 + cool.limit - cool.warmest - 0.5);

    (void)state;
    assert_near(warm.warmest, warm.limit - 0.5, 0, 1e-3);
    assert_true(warm.factor > 1.2 && isnan(warm.least));
    assert_int_equal(warm.stages, 2);
}

/* A cut that is held for longer than when it was looked at holds by less, as its tape alone loses
 * with time: strength falls as t^-n (a double-sided tape, nothing below it). */
static void what_is_known_falls_with_time_as_the_tape_does(void **state) {
    th_check_options options = {.turn_downs = false};
    th_known known[CUTS];
    th_judging judging = {.options = &options, .known = known, .changed = 1};
    draft d = drilled(21);
    double n = 0;

    (void)state;
    put(&d, "hold", "tape", "foam-acrylic");
    put(&d, "hold", "glue", "none");
    memset(known, 0, sizeof known);
    assert_true(th_work_begin(&judging));
    for (int look = 0; look < 2; look++) {
        th_arena arena = {NULL};
        th_judgement judgement;
        th_error err = {0};
        th_job *job;
        put(&d, "hold", "cutting_time", look ? "1500 s" : "1000 s");
        job = built(&d);
        n = job->hold.tape->load_time_exponent;
        assert_null(job->hold.tape_below);
        if (!th_judge(job, &judging, &arena, 0, &judgement, &err)) {
            fail_msg("%s", err.message);
        }
        th_arena_free(&arena);
        th_job_free(job);
    }
    th_work_end(&judging);
    assert_int_equal(known[0].count, 1);
    assert_true(n > 0.1 && n < 0.5);
    assert_near(known[0].least, known[0].looks[0].factor * pow(1.5, -n), 1e-9, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cool_cut_that_holds_is_passed_over),
        cmocka_unit_test(a_warm_one_is_looked_at),
        cmocka_unit_test(what_is_known_falls_with_time_as_the_tape_does),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
