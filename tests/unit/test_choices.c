/* test_choices.c - which tape and glue a job is best held by. What is asked for is common practice:
 * painter's tape dry for light cuts and never wet, film tape with coolant, time for the glue before
 * another tape. Jobs are invented. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "support/draft.h"
#include "tackhold/report.h"

static th_hold_choices choices_of(const draft *d, th_tapes_shown shown) {
    const th_check_options options = {.turn_downs = false};
    th_hold_choices choices;
    th_job *job = built(d);
    th_error err;

    if (!th_hold_choices_find(job, &options, shown, &choices, &err)) {
        fail_msg("%s", err.message);
    }
    th_job_free(job);
    return choices;
}

static const th_hold_choice *choice_of(const th_hold_choices *choices, const char *tape,
                                       const char *glue) {
    for (size_t i = 0; i < choices->count; i++) {
        if (strcmp(choices->items[i].tape->head.id, tape) == 0 &&
            strcmp(choices->items[i].glue->head.id, glue) == 0) {
            return &choices->items[i];
        }
    }
    fail_msg("no %s with %s", tape, glue);
    return NULL;
}

/* A push asks for one table of influence a tape, so it is soon judged. */
static draft pushed(void) {
    const double force[3] = {12, 5, 6};
    draft d = plate(120, 80, 4);

    put(&d, "hold", "tape", "painters-paper");
    add_push(&d, "cut.1", force, 60, 40);
    return d;
}

static draft lightly_pocketed(void) {
    draft d = plate(120, 80, 4);

    put(&d, "hold", "tape", "painters-paper");
    add_cut(&d, "cut.1", "pocket", "flat-3mm-2");
    put(&d, "cut.1", "radial", "0.5");
    put(&d, "cut.1", "axial", "0.2");
    put(&d, "cut.1", "depth", "0.4");
    put(&d, "cut.1", "size", "20 x 10");
    put(&d, "cut.1", "at", "60,40");
    return d;
}

static void painters_tape_will_do_dry(void **state) {
    draft d = lightly_pocketed();
    th_hold_choices choices = choices_of(&d, TH_EVERY_TAPE);
    const th_hold_choice *own = choice_of(&choices, "painters-paper", "ca-thin");

    (void)state;
    assert_true(own->usable && own->own && own->hold_factor > 1);
    th_hold_choices_free(&choices);
}

static void wet_paper_is_refused_and_film_chosen(void **state) {
    draft d = lightly_pocketed();
    th_hold_choices choices;
    const th_hold_choice *paper;

    (void)state;
    put(&d, "hold", "cooling", "flood");
    choices = choices_of(&d, TH_EVERY_TAPE);
    paper = choice_of(&choices, "painters-paper", "ca-thin");
    assert_false(paper->usable);
    assert_string_equal(paper->why, "not with flood");
    assert_near(paper->hold_factor, 0, 0, 0);
    assert_true(choice_of(&choices, "polyester-silicone", "ca-thin")->usable);
    assert_true(choice_of(&choices, "polyimide-silicone", "ca-thin")->usable);
    assert_true(choices.items[0].usable && choices.items[0].tape->water > 0);
    th_hold_choices_free(&choices);
}

static void usable_ones_come_first_by_hold_factor(void **state) {
    draft d = pushed();
    th_hold_choices choices;

    (void)state;
    put(&d, "hold", "cooling", "mist");
    choices = choices_of(&d, TH_EVERY_TAPE);
    for (size_t i = 1; i < choices.count; i++) {
        const th_hold_choice *before = &choices.items[i - 1], *now = &choices.items[i];
        assert_true(before->usable >= now->usable);
        assert_true(!now->usable || before->hold_factor >= now->hold_factor);
    }
    th_hold_choices_free(&choices);
}

/* Each figure is that of a check with those settings. */
static void a_choice_is_what_check_says(void **state) {
    draft d = pushed();
    th_hold_choices choices = choices_of(&d, TH_EVERY_TAPE);
    answer a;

    (void)state;
    put(&d, "hold", "tape", "double-film-acrylic");
    put(&d, "hold", "glue", "none");
    run(&d, false, &a);
    assert_near(choice_of(&choices, "double-film-acrylic", "none")->hold_factor,
                a.check.hold_factor, 1e-9, 0);
    answer_free(&a);
    th_hold_choices_free(&choices);
}

/* What `tape` tells of some is what check does, and no stage of it warms or sways more. */
static void same_as_check(const draft *d) {
    static const char *const tapes[] = {"painters-paper", "polyester-silicone", "foam-acrylic"};
    th_hold_choices choices = choices_of(d, TH_EVERY_TAPE);

    for (size_t i = 0; i < sizeof tapes / sizeof *tapes; i++) {
        const char *glue = i < 2 ? "ca-toughened" : "none";
        const th_hold_choice *choice = choice_of(&choices, tapes[i], glue);
        draft own = *d;
        answer a;
        put(&own, "hold", "tape", tapes[i]);
        put(&own, "hold", "glue", glue);
        run(&own, false, &a);
        assert_true(a.check.stage_count > 1);
        assert_near(choice->hold_factor, a.check.hold_factor, 1e-9, 0);
        for (size_t k = 0; k < a.check.stage_count; k++) {
            const th_stage *stage = &a.check.stages[k];
            assert_true(!stage->counts || choice->sway >= stage->sway * (1 - 1e-9));
            assert_true(!stage->counts || choice->temperature >= stage->temperature * (1 - 1e-9));
        }
        answer_free(&a);
    }
    th_hold_choices_free(&choices);
}

/* So it is where several stages and warmth are in play: what is passed over governs nothing. */
static void every_choice_is_what_check_says(void **state) {
    draft d = lightly_pocketed();

    (void)state;
    put(&d, "cut.1", "axial", "0.4");
    add_cut(&d, "cut.2", "hole", "flat-3mm-2");
    put(&d, "cut.2", "axial", "0.3");
    put(&d, "cut.2", "size", "8");
    put(&d, "cut.2", "at", "15,15");
    same_as_check(&d);
}

/* And in soft stock, where loads in the plane stay near the cutter and a coarse look misses them.
 */
static void so_it_is_in_soft_stock(void **state) {
    draft d = plate(160, 30, 6);

    (void)state;
    put(&d, "part", "stock", "polycarbonate");
    put(&d, "hold", "tape", "painters-paper");
    add_sheet(&d, 190, 60, 0, 0);
    put(&d, "hold", "stops", "left front");
    add_cut(&d, "cut.1", "face", "flat-4mm-3");
    put(&d, "cut.1", "axial", "0.4");
    put(&d, "cut.1", "radial", "1.6");
    add_cut(&d, "cut.2", "outline", "flat-4mm-3");
    put(&d, "cut.2", "axial", "0.15");
    put(&d, "cut.2", "radial", "4");
    put(&d, "cut.2", "tabs", "3 x 3");
    put(&d, "cut.2", "tab_height", "0.15");
    same_as_check(&d);
}

static void only_some_are_shown(void **state) {
    draft d = pushed();
    th_hold_choices dry = choices_of(&d, TH_DRY_TAPES), wet = choices_of(&d, TH_COOLANT_TAPES),
                    all = choices_of(&d, TH_EVERY_TAPE);

    (void)state;
    assert_true(dry.count > 0 && wet.count > 0);
    assert_int_equal(dry.count + wet.count, all.count);
    for (size_t i = 0; i < dry.count; i++) {
        assert_true(!(dry.items[i].tape->water > 0));
    }
    th_hold_choices_free(&dry);
    th_hold_choices_free(&wet);
    th_hold_choices_free(&all);
}

/* Cut too soon after gluing the answer is time, not a stronger tape. */
static void a_fresh_bond_wants_time(void **state) {
    draft d = pushed();
    th_hold_choices choices;
    answer a;

    (void)state;
    put(&d, "hold", "tape", "polyester-acrylic");
    put(&d, "hold", "wait", "20 s");
    choices = choices_of(&d, TH_EVERY_TAPE);
    assert_true(choices.wait > 20 && choices.waited_factor >= 2);
    put_number(&d, "hold", "wait", choices.wait, "s");
    run(&d, false, &a);
    assert_int_equal(a.check.verdict, TH_HOLDS);
    assert_near(choices.waited_factor, a.check.hold_factor, 1e-9, 0);
    answer_free(&a);
    th_hold_choices_free(&choices);
}

static void a_typed_lower_tape_is_taken_back(void **state) {
    draft d = pushed();
    th_hold_choices choices;

    (void)state;
    put(&d, "hold", "tape_below", "polyester-acrylic");
    choices = choices_of(&d, TH_EVERY_TAPE);
    assert_true(choice_of(&choices, "double-film-acrylic", "none")->usable);
    assert_false(choice_of(&choices, "painters-paper", "ca-thin")->own);
    th_hold_choices_free(&choices);
}

/* ---- what is said of them -------------------------------------------------------------------- */

/* The report on choices that a test makes up: tapes of the tables, figures of its own. */
static void expect_told(const th_hold_choice *items, size_t count, const char *limit,
                        const char *told, const char *untold) {
    draft d = pushed();
    th_error err = {TH_OK, 0, "", ""};
    th_hold_choices choices = {.count = count, .wait = (double)NAN, .waited_factor = (double)NAN};
    th_hold_choice own[4];
    th_text text = {0};
    th_doc doc = {0};
    th_job *job;

    if (limit) {
        put(&d, "job", "sway_limit", limit);
    }
    job = built(&d);
    for (size_t i = 0; i < count; i++) {
        own[i] = items[i];
        own[i].tape = th_tables_row(job->tables, TH_TAPES, i);
        own[i].glue = job->hold.glue;
        own[i].why = "";
        own[i].usable = true;
        own[i].full_width = (double)NAN;
    }
    choices.items = own;
    assert_true(th_report_choices(job, &choices, true, &doc, &err));
    assert_true(th_doc_text(&doc, &text, &err));
    if (!strstr(text.data, told) || (untold && strstr(text.data, untold))) {
        fail_msg("not as told, or told what it is not:\n%s", text.data);
    }
    th_text_free(&text);
    th_doc_free(&doc);
    th_job_free(job);
}

static const char *row_named(const char *before, size_t i, char *text, size_t size) {
    draft d = pushed();
    th_job *job = built(&d);
    const th_tape *tape = th_tables_row(job->tables, TH_TAPES, i);

    snprintf(text, size, "%s--set hold.tape=%s ", before, tape->head.id);
    th_job_free(job);
    return text;
}

/* What holds best and sways is passed over for what holds and does not; a limit of the job counts
 * instead of the usual one; where each sways, the best it is, and that is said. */
static void the_tape_to_take_holds_and_does_not_sway(void **state) {
    static const th_hold_choice choices[] = {{.hold_factor = 4, .sway = 0.25},
                                             {.hold_factor = 3, .sway = 0.05},
                                             {.hold_factor = 1.5, .sway = 0.01}};
    char text[80];

    (void)state;
    expect_told(choices, 3, NULL, row_named("to take  ", 1, text, sizeof text), "but ");
    expect_told(choices, 3, "0.3 mm", row_named("to take  ", 0, text, sizeof text), "but ");
    expect_told(choices, 3, "0.02 mm", row_named("to take  ", 0, text, sizeof text), "none holds");
    expect_told(choices, 3, "0.02 mm", "this one sways 0.25 mm", NULL);
}

static void what_lets_go_is_no_tape_to_take(void **state) {
    static const th_hold_choice choices[] = {{.hold_factor = 1.5, .sway = 0.05},
                                             {.hold_factor = 0.7, .sway = 0.01}};
    char text[80];

    (void)state;
    expect_told(choices, 2, NULL, row_named("none holds  nearest ", 0, text, sizeof text),
                "to take");
    expect_told(choices + 1, 1, NULL, row_named("none holds  nearest ", 0, text, sizeof text),
                "to take");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(painters_tape_will_do_dry),
        cmocka_unit_test(wet_paper_is_refused_and_film_chosen),
        cmocka_unit_test(usable_ones_come_first_by_hold_factor),
        cmocka_unit_test(a_choice_is_what_check_says),
        cmocka_unit_test(every_choice_is_what_check_says),
        cmocka_unit_test(so_it_is_in_soft_stock),
        cmocka_unit_test(only_some_are_shown),
        cmocka_unit_test(a_fresh_bond_wants_time),
        cmocka_unit_test(a_typed_lower_tape_is_taken_back),
        cmocka_unit_test(the_tape_to_take_holds_and_does_not_sway),
        cmocka_unit_test(what_lets_go_is_no_tape_to_take),
    };

    return cmocka_run_group_tests(tests, set_up_warm, tear_down);
}
