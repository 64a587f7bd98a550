/* test_proof.c - where the proof pull is set: on metal with tape under it that no cut takes away.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/draft.h"
#include "support/random_job.h"
#include "tackhold/files.h"

enum { RANDOM_JOBS = 200 };
#define LONGEST 60.0 /* mm */
#define ON_EDGE 1e-6 /* mm */

/* How far inside (mm); below 0: outside. */
static double inside(const th_outline *outline, th_point at) {
    double away;

    if (outline->ring_count == 0) {
        return -INFINITY;
    }
    away = th_outline_distance(outline, at, NULL);
    return th_outline_holds(outline, at) ? away : -away;
}

/* What is wrong with the place; NULL: nothing. */
static const char *fault_of(const th_check *check, const th_map *map) {
    th_point at = check->proof.at;

    if (!check->proof.possible) {
        return NULL;
    }
    if (inside(&map->stock, at) < -ON_EDGE) {
        return "off the stock";
    }
    if (map->taped.ring_count && inside(&map->taped, at) < -ON_EDGE) {
        return "off the tape";
    }
    for (size_t i = 0; i < map->state_count; i++) {
        if (inside(&map->states[i].gone, at) > ON_EDGE) {
            return "in a kerf or opening";
        }
    }
    return NULL;
}

/* False where the check refuses the job. */
static bool look(const th_job *job, const th_check_options *how, const char **fault,
                 bool *possible) {
    th_check check;
    th_map map;
    th_error err;

    *fault = NULL;
    *possible = false;
    if (!th_check_run(job, how, &check, &err)) {
        return false;
    }
    assert_true(th_map_run(job, how, &check, &map, &err));
    *possible = check.proof.possible;
    *fault = fault_of(&check, &map);
    if (*fault) {
        print_error("%s: %s (%g, %g)\n", job->head.title ? job->head.title : "", *fault,
                    check.proof.at.x, check.proof.at.y);
    }
    th_map_free(&map);
    th_check_free(&check);
    return true;
}

static void on_random_jobs(void **state) {
    dice r = {20261126};
    int faults = 0, seen = 0;

    (void)state;
    random_rows(&r);
    for (int i = 0; i < RANDOM_JOBS; i++) {
        draft d = random_draft(&r, LONGEST, i % 2 == 1);
        th_check_options how = {.turn_downs = false};
        th_job *job = NULL;
        const char *fault;
        th_error err;
        bool possible;
        if (!build(&d, &job, &err)) {
            continue;
        }
        if (look(job, &how, &fault, &possible)) {
            seen += possible;
            faults += fault != NULL;
        }
        if (fault) {
            show_draft(&d);
        }
        th_job_free(job);
    }
    print_message("%d proof pulls, %d misplaced\n", seen, faults);
    assert_true(seen > RANDOM_JOBS / 4);
    assert_int_equal(faults, 0);
}

static void on_written_jobs(void **state) {
    static const char *const paths[] = {
        "examples/bracket.ini",
        "examples/clock-dial.ini",
        "examples/cover-plate.ini",
        "examples/front-panel.ini",
        "examples/gearbox-spacer.ini",
        "examples/instrument-window.ini",
        "examples/washers.ini",
        "tests/practice/daily-acrylic-holes.ini",
        "tests/practice/daily-acrylic.ini",
        "tests/practice/daily-brass-outline.ini",
        "tests/practice/daily-engraving.ini",
        "tests/practice/daily-holes.ini",
        "tests/practice/daily-pocket-coolant.ini",
        "tests/practice/daily-skim.ini",
        "tests/practice/tears-deep-slot.ini",
        "tests/practice/tears-small-part.ini",
    };
    int faults = 0;

    (void)state;
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) {
        th_outline outline = {0}, taped = {0};
        th_check_options how = {.outline = &outline, .taped = &taped};
        th_job *job = NULL;
        const char *fault;
        bool possible;
        th_error err;
        if (!th_job_read(paths[i], NULL, NULL, 0, draft_tables(), &job, &err) ||
            !th_job_outlines_read(job, paths[i], &outline, &taped, &err)) {
            fail_msg("%s: %s", paths[i], err.message);
        }
        assert_true(look(job, &how, &fault, &possible));
        faults += fault != NULL;
        th_outline_free(&outline);
        th_outline_free(&taped);
        th_job_free(job);
    }
    assert_int_equal(faults, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(on_written_jobs, set_up_warm, tear_down),
        cmocka_unit_test_setup_teardown(on_random_jobs, set_up, tear_down),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
