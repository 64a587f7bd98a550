/* Text and JSON reports over checks filled by hand. Every figure here is invented. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/near.h"
#include "tackhold/report.h"

/* ---- invented data --------------------------------------------------------------------------- */

enum { CUTS = 60, TURNS = 6 };

typedef struct {
    th_job job;
    th_check check;
    th_job_cutter cutter;
    th_cut cuts[CUTS];
    char sections[CUTS][32];
    th_stage stages[CUTS];
    th_turn_down turns[TURNS];
    th_source sources[3];
    th_row_head tape, stock, machine;
} sample;

static void fill_stage(sample *s, size_t i, double factor) {
    snprintf(s->sections[i], sizeof s->sections[i], "cut.%zu", i + 1);
    s->cuts[i] = (th_cut){.number = (int)i + 1,
                          .section = s->sections[i],
                          .operation = TH_OUTLINE,
                          .cutter_name = "six",
                          .cutter = &s->cutter,
                          .speed = 10000,
                          .feed = 600,
                          .chip_load = 0.02};
    s->stages[i] = (th_stage){.name = "outline, freeing pass",
                              .cut = &s->cuts[i],
                              .piece = TH_PIECE_PART,
                              .copy = 1,
                              .counts = true,
                              .bonded_area = 2280,
                              .x_mean = -12.5,
                              .y_mean = 30.5,
                              .z_mean = 4,
                              .in_plane_peak = 64,
                              .lift_peak = 18,
                              .torque_peak = 150,
                              .power = 40,
                              .mean_chip = 0.012,
                              .max_chip = 0.02,
                              .removal = 900,
                              .peak_ratio = 1.5,
                              .average_shear = 64 * 1.5 / 2280,
                              .shear_peak = 0.06,
                              .lift_peak_traction = 0.02,
                              .area_shear_peak = 0.055,
                              .area_lift_peak = 0.019,
                              .area_hold_factor = factor,
                              .design_shear = 0.1,
                              .design_lift = 0.2,
                              .derating = {1, 1, 0.9, 1, 0.9, 0.73},
                              .time_factor = 0.7,
                              .held = 190,
                              .temperature = 21,
                              .sway = NAN,
                              .creep = NAN,
                              .hold_factor = factor,
                              .peak_factor = factor,
                              .sustained_factor = factor * 1.2,
                              .way = TH_TWIST,
                              .load = TH_PEAK,
                              .interface = "part to tape",
                              .row = &s->tape,
                              .at = {60, 40},
                              .cutter_at = {63, 0},
                              .heading = 90,
                              .force_angle = 45,
                              .spindle_margin = 8,
                              .deflection_margin = 3,
                              .torque_margin = 6,
                              .breakage_margin = 5,
                              .offcut_margin = NAN,
                              .alone_factor = NAN,
                              .chip_margin = 4,
                              .passes = 4,
                              .minutes = 3.17};
}

static void fill_lines(th_check *check) {
    th_lines_add(&check->defaults, &check->arena, "hold.wait = 1 h");
    th_lines_add(&check->defaults, &check->arena, "hold.plate = skimmed-aluminium");
    th_lines_add(&check->defaults, &check->arena, "cutter.six.wear = 1.3");
    th_lines_add(&check->not_checked, &check->arena, "chatter");
    th_lines_add(&check->not_checked, &check->arena, "a chipped cutter");
    th_lines_add(&check->not_checked, &check->arena, "a lifted tape edge");
    th_lines_add(&check->not_checked, &check->arena, "oil under the tape");
    th_lines_add(&check->cautions, &check->arena, "al-6061-t6: chips weld to the cutter when dry");
}

static void fill_turns(sample *s) {
    static const char *const axial[] = {"cut.1.axial=0.5mm"}, *const wait[] = {"hold.wait=2 h"};
    s->turns[0] = (th_turn_down){.change = "axial",
                                 .settings = axial,
                                 .setting_count = 1,
                                 .from = 1,
                                 .to = 0.5,
                                 .kind = TH_LENGTH,
                                 .cut = &s->cuts[0],
                                 .hold_factor = 2.19,
                                 .time_ratio = 1.4,
                                 .sway = 0.5};
    s->turns[1] = (th_turn_down){.change = "wait",
                                 .settings = wait,
                                 .setting_count = 1,
                                 .words = true,
                                 .from_text = "1 h",
                                 .to_text = "2 h",
                                 .hold_factor = 2,
                                 .time_ratio = 1};
    for (int i = 2; i < TURNS; i++) {
        s->turns[i] = s->turns[0];
    }
}

/* A job with `cuts` equal cuts of the given hold factor against 2. */
static sample *sample_new(size_t cuts, double factor, th_units units) {
    sample *s = calloc(1, sizeof *s);
    assert_non_null(s);
    s->tape = (th_row_head){"crepe-masking", "crepe tape", "invented", TH_PRACTICE, TH_FROM_TABLE};
    s->stock =
        (th_row_head){"al-6061-t6", "aluminium", "invented too", TH_PUBLISHED, TH_FROM_TABLE};
    s->machine = (th_row_head){"bench-mill", "bench mill", "invented", TH_ESTIMATE, TH_FROM_TABLE};
    s->sources[0] = (th_source){&s->tape, TH_TAPES};
    s->sources[1] = (th_source){&s->stock, TH_STOCKS};
    s->sources[2] = (th_source){&s->machine, TH_MACHINES};
    s->cutter.name = "six";
    s->cutter.row.diameter = 6;
    s->job.head = (th_job_head){.title = "invented plate", .units = (int)units, .asked_factor = 2};
    s->job.hold.room_temperature = 21;
    s->job.part.length = 60;
    s->job.part.width = 40;
    s->job.part.sheet_length = s->job.part.sheet_width = NAN;
    s->job.cuts = s->cuts;
    s->job.cut_count = cuts;
    for (size_t i = 0; i < cuts; i++) {
        fill_stage(s, i, factor);
    }
    fill_turns(s);
    fill_lines(&s->check);
    th_check *c = &s->check;
    c->verdict = factor >= 2 ? TH_HOLDS : factor >= 1 ? TH_UNPROVEN : TH_LETS_GO;
    c->estimate = true;
    c->hold_factor = factor;
    c->asked_factor = 2;
    c->stages = s->stages;
    c->stage_count = cuts;
    c->turn_downs = s->turns;
    c->turn_downs_tried = c->verdict != TH_HOLDS;
    c->turn_down_count = c->turn_downs_tried ? 2 : 0;
    c->proof = (th_proof_pull){.at = {57.5, 37.5},
                               .force = {0, 0, 12},
                               .load_share = 0.45,
                               .safe = true,
                               .possible = true,
                               .covers = 1.25};
    c->minutes = 3.17 * (double)cuts;
    c->heights = (th_heights){3, 0.181, -0.181, -0.381, 0.2, 11.8, -12.181};
    c->flips_if = "cut.1.axial at 0.62 mm instead of 1 mm";
    c->sources = s->sources;
    c->source_count = 3;
    return s;
}

static void sample_free(sample *s) {
    th_arena_free(&s->check.arena);
    free(s);
}

static char *text_of(const sample *s, bool all) {
    th_doc doc = {0};
    th_text text = {0};
    th_error err;
    assert_true(th_report_check(&s->job, &s->check, all, &doc, &err));
    assert_true(th_doc_text(&doc, &text, &err));
    th_doc_free(&doc);
    return text.data;
}

static char *json_of(const sample *s) {
    th_text text = {0};
    th_error err;
    assert_true(th_report_check_json(&s->job, &s->check, &text, &err));
    return text.data;
}

/* ---- a small JSON checker -------------------------------------------------------------------- */

static const char *json_value(const char *at);

static const char *json_blank(const char *at) {
    return at + strspn(at, " \n\t\r");
}

static const char *json_string(const char *at) {
    assert_int_equal(*at, '"');
    for (at++; *at != '"'; at++) {
        assert_true((unsigned char)*at >= 0x20);
        if (*at == '\\') {
            at++;
            assert_non_null(strchr("\"\\/bfnrtu", *at));
        }
    }
    return at + 1;
}

/* Members or elements up to `closer`. */
static const char *json_inside(const char *at, char closer, bool keys) {
    at = json_blank(at + 1);
    while (*at != closer) {
        if (keys) {
            at = json_blank(json_string(at));
            assert_int_equal(*at, ':');
            at++;
        }
        at = json_blank(json_value(json_blank(at)));
        assert_true(*at == ',' || *at == closer);
        if (*at == ',') {
            at = json_blank(at + 1);
            assert_true(*at != closer);
        }
    }
    return at + 1;
}

static const char *json_value(const char *at) {
    static const char *const words[] = {"true", "false", "null"};
    if (*at == '{') {
        return json_inside(at, '}', true);
    }
    if (*at == '[') {
        return json_inside(at, ']', false);
    }
    if (*at == '"') {
        return json_string(at);
    }
    for (size_t i = 0; i < 3; i++) {
        if (strncmp(at, words[i], strlen(words[i])) == 0) {
            return at + strlen(words[i]);
        }
    }
    size_t digits = strspn(at, "+-0123456789.eE");
    assert_true(digits > 0);
    return at + digits;
}

static void assert_json(const char *text) {
    assert_string_equal(json_blank(json_value(json_blank(text))), "");
}

/* ---- shape of the text ----------------------------------------------------------------------- */

static size_t characters(const char *line, size_t bytes) {
    size_t count = 0;
    for (size_t i = 0; i < bytes; i++) {
        count += ((unsigned char)line[i] & 0xc0) != 0x80;
    }
    return count;
}

/* Lines of a text, each checked for width and for blanks at its end. */
static size_t checked_lines(const char *text) {
    size_t lines = 0;
    while (*text != '\0') {
        size_t n = strcspn(text, "\n");
        if (characters(text, n) > 80) {
            print_message("too wide: %.*s\n", (int)n, text);
        }
        assert_true(characters(text, n) <= 80);
        assert_true(n == 0 || text[n - 1] != ' ');
        assert_int_equal(text[n], '\n');
        text += n + 1;
        lines++;
    }
    return lines;
}

static void assert_has(const char *text, const char *piece) {
    if (strstr(text, piece) == NULL) {
        print_message("\"%s\" is not in:\n%s\n", piece, text);
    }
    assert_non_null(strstr(text, piece));
}

/* ---- hold factor ----------------------------------------------------------------------------- */

static void assert_factor(double factor, double asked, const char *expected) {
    char text[48];
    th_hold_factor_print(factor, asked, text, sizeof text);
    assert_string_equal(text, expected);
}

static void factor_is_rounded_down(void **state) {
    (void)state;
    assert_factor(1.96, 2, "1.9");
    assert_factor(2, 2, "2.0");
    assert_factor(nextafter(2, 0), 2, "1.9");
    assert_factor(nextafter(2, 3), 2, "2.0");
    assert_factor(0.998, 2, "0.99");
    assert_factor(nextafter(1, 0), 2, "0.99");
    assert_factor(1, 2, "1.0");
    assert_factor(0.29, 2, "0.29");
    assert_factor(0.0456, 2, "0.045");
    assert_factor(2.3, 2, "2.3");
    assert_factor(19.99, 2, "19");
    assert_factor(129, 2, "120");
    assert_factor(1000, 2, "1000");
    assert_factor(0, 2, "0");
    assert_factor(NAN, 2, "-");
    assert_factor(INFINITY, 2, "-");
}

static void factor_stays_on_its_side(void **state) {
    (void)state;
    assert_factor(1.96, 1.95, "1.96");
    assert_factor(1.94, 1.95, "1.9");
    assert_factor(1.9507, 1.9505, "1.9507");
    assert_factor(12.6, 12.5, "12.6");
    /* for a sweep: never above the value, never on another side of asked or 1 */
    for (int i = 1; i < 40000; i++) {
        double factor = i * 0.0007, asked = 1 + (i % 37) * 0.05;
        char text[48];
        th_hold_factor_print(factor, asked, text, sizeof text);
        double shown = strtod(text, NULL);
        assert_true(shown <= factor * (1 + 1e-12));
        assert_int_equal(shown < asked, factor < asked);
        assert_int_equal(shown < 1, factor < 1);
        assert_true(shown > 0.9 * factor);
    }
}

/* ---- one style ------------------------------------------------------------------------------- */

/* A row that was measured is no estimate; what is one then is the load. */
static void only_what_governs_is_an_estimate(void **state) {
    (void)state;
    sample *s = sample_new(1, 1.44, TH_MM);
    th_row_head glue = {"ca-thin", "glue", "invented", TH_ESTIMATE, TH_FROM_TABLE};
    s->tape.trust = TH_MEASURED;
    s->sources[1] = (th_source){&glue, TH_GLUES};
    char *text = text_of(s, false);
    assert_has(text, "asked 2.0 (the peak ratio is an estimate)\n");
    free(text);
    sample_free(s);
}

/* Seconds below two minutes, minutes from there, whether a table says it or a line. */
static void times_are_told_one_way(void **state) {
    (void)state;
    sample *s = sample_new(1, 1.44, TH_MM);
    s->stages[0].minutes = s->check.minutes = 0.4612;
    char *text = text_of(s, false);
    assert_has(text, "188  28 s     1.4\n");
    free(text);
    text = text_of(s, true);
    assert_has(text, "27.7 s\n");
    assert_has(text, "cutting time 27.7 s in all\n");
    assert_null(strstr(text, "0.46"));
    free(text);
    s->stages[0].minutes = s->check.minutes = 4.912;
    text = text_of(s, true);
    assert_has(text, "188  4.9 min     1.4\n");
    assert_has(text, "cutting time 4.91 min in all\n");
    free(text);
    sample_free(s);
}

/* An inch text names no newtons. */
static void inches_go_with_pounds(void **state) {
    (void)state;
    sample *s = sample_new(1, 1.44, TH_INCH);
    char *text = text_of(s, false);
    assert_has(text, "pull 2.7 lbf straight up");
    assert_null(strstr(text, " N)"));
    free(text);
    s->check.proof.limit = TH_PROOF_USELESS;
    s->check.proof.safe = false;
    text = text_of(s, false);
    assert_has(text, "56.2 lbf");
    assert_null(strstr(text, "250 N"));
    free(text);
    sample_free(s);
}

/* Too many cuts for one screen: the worst are shown, the worst of them first. */
static void the_worst_cuts_stand_in_order(void **state) {
    (void)state;
    sample *s = sample_new(CUTS, 3.3, TH_MM);
    double before = 0;
    size_t rows = 0;
    for (size_t i = 0; i < CUTS; i++) {
        s->stages[i].hold_factor = 2.5 + (double)(i * 7 % CUTS);
    }
    char *text = text_of(s, false);
    assert_has(text, "the worst of ");
    for (const char *line = strstr(text, "\ncut."); line; line = strstr(line + 1, "\ncut.")) {
        const char *end = strchr(line + 1, '\n');
        while (end[-1] != ' ') {
            end--;
        }
        double factor = strtod(end, NULL);
        assert_true(factor >= before);
        before = factor;
        rows++;
    }
    assert_true(rows >= 2 && rows < CUTS);
    free(text);
    sample_free(s);
}

/* ---- check as text --------------------------------------------------------------------------- */

static void short_text_answers_first(void **state) {
    (void)state;
    sample *s = sample_new(1, 1.44, TH_MM);
    char *text = text_of(s, false);
    assert_int_equal(
        strncmp(text, "UNPROVEN  hold factor 1.4, asked 2.0 (tape strength is an estimate)\n", 67),
        0);
    assert_true(checked_lines(text) <= 24);
    assert_has(text, "cut.1 outline, freeing pass");
    assert_has(text, "part to tape");
    assert_has(text, "2280 mm2 bonded x 100 kPa = 228 N");
    assert_has(text, "96 N");
    assert_has(text, "--set cut.1.axial=0.5mm");
    assert_has(text, "--set \"hold.wait=2 h\"");
    assert_has(text, "pull 12 N (1.22 kgf) straight up at x 57.5 mm,");
    assert_has(text, "mm/tooth");
    assert_has(text, "188");
    assert_has(text, "Eyes protected");
    assert_has(text, "chatter");
    assert_has(text, "cut.1.axial at 0.62 mm");
    assert_has(text, "tape.crepe-masking: practice");
    free(text);
    sample_free(s);
}

static void inch_job_prints_inches(void **state) {
    (void)state;
    sample *s = sample_new(1, 1.44, TH_INCH);
    char *text = text_of(s, false);
    assert_true(checked_lines(text) <= 24);
    assert_has(text, "in/min");
    assert_has(text, "in/tooth");
    assert_has(text, "sfm");
    assert_has(text, "psi");
    assert_has(text, "lbf");
    assert_has(text, "in2");
    assert_null(strstr(text, "mm2"));
    assert_null(strstr(text, "kPa"));
    free(text);
    char *all = text_of(s, true);
    assert_null(strstr(all, "kPa"));
    assert_null(strstr(all, "mm3"));
    free(all);
    sample_free(s);
}

/* Copies out of a sheet that stands 15 mm over on the left and 10 mm in front. */
static void put_into_sheet(sample *s, int across, int along) {
    th_part *part = &s->job.part;
    part->sheet_x = 15;
    part->sheet_y = 10;
    part->sheet_length = 240;
    part->sheet_width = 120;
    part->copies = (th_counts){across, along};
    part->pitch = (th_size){70, 50, false};
}

/* Everything long at once, for many numbers of cuts, factors and both units. */
static void short_text_always_fits(void **state) {
    (void)state;
    static const double factors[] = {0, 0.0123456, 0.99, 1.44, 1.99999, 2, 999, 1000};
    static const size_t counts[] = {1, 2, 5, 9, 14, 19, 25, CUTS};
    for (size_t f = 0; f < sizeof factors / sizeof *factors; f++) {
        for (size_t n = 0; n < sizeof counts / sizeof *counts; n++) {
            sample *s = sample_new(counts[n], factors[f], n % 2 ? TH_INCH : TH_MM);
            for (int i = 0; i < 12; i++) {
                th_lines_add(&s->check.cautions, &s->check.arena,
                             "caution %d, invented and long enough that it will not fit in one "
                             "single line of a report, however it may be turned about",
                             i);
                th_lines_add(&s->check.defaults, &s->check.arena, "cut.%d.speed = 12345 rpm", i);
            }
            s->check.turn_down_count = s->check.turn_downs_tried ? TURNS : 0;
            s->cutter.name = "a-cutter-with-a-very-long-name-indeed";
            for (size_t i = 0; i < counts[n]; i++) {
                s->cuts[i].cutter_name = s->cutter.name;
            }
            put_into_sheet(s, 3, 2);
            for (size_t i = 0; i < counts[n]; i++) {
                s->stages[i].lift_peak_traction = 0.5;
                s->stages[i].way = TH_LIFT;
                s->stages[i].copy = 6;
            }
            char *text = text_of(s, false);
            assert_true(checked_lines(text) <= 24);
            assert_has(text, "Eyes protected");
            assert_has(text, "hold factor");
            assert_has(text, "proof pull");
            free(text);
            char *all = text_of(s, true);
            checked_lines(all);
            free(all);
            sample_free(s);
        }
    }
}

static void worst_cuts_are_shown(void **state) {
    (void)state;
    sample *s = sample_new(CUTS, 1.44, TH_MM);
    s->stages[41].hold_factor = 1.02;
    s->check.governs = 41;
    char *text = text_of(s, false);
    assert_has(text, "\ncut.42 ");
    assert_has(text, "more with --all");
    char *all = text_of(s, true);
    assert_has(all, "cut.60 outline ");
    free(all);
    free(text);
    sample_free(s);
}

static void hold_without_strength(void **state) {
    (void)state;
    sample *s = sample_new(1, 0, TH_MM);
    th_stage *stage = &s->stages[0];
    stage->way = TH_WAIT;
    stage->interface = "glue";
    stage->at = stage->cutter_at = (th_point){NAN, NAN};
    stage->design_shear = stage->design_lift = 0;
    s->check.proof = (th_proof_pull){.at = {NAN, NAN}, .limit = TH_PROOF_NO_STRENGTH};
    s->check.turn_down_count = 0;
    char *text = text_of(s, false);
    assert_int_equal(strncmp(text, "LETS GO  hold factor 0, asked 2.0", 33), 0);
    assert_has(text, "not set yet");
    assert_has(text, "no pull can prove it");
    assert_null(strstr(text, "nan"));
    checked_lines(text);
    free(text);
    char *json = json_of(s);
    assert_json(json);
    assert_has(json, "\"proof_pull\": {\"at_mm\": null, \"force_N\": null, \"safe\": false}");
    assert_has(json, "\"way\": \"wait\"");
    free(json);
    sample_free(s);
}

static void push_has_no_cutter(void **state) {
    (void)state;
    sample *s = sample_new(1, 3, TH_MM);
    s->cuts[0].operation = TH_PUSH;
    s->cuts[0].cutter = NULL;
    s->cuts[0].cutter_name = NULL;
    s->cuts[0].speed = s->cuts[0].feed = NAN;
    s->stages[0].name = "push";
    s->stages[0].power = s->stages[0].mean_chip = s->stages[0].spindle_margin = NAN;
    s->check.proof.safe = false;
    s->check.proof.limit = TH_PROOF_BOND;
    s->check.proof.covers = 0.458;
    char *text = text_of(s, false);
    assert_has(text, "HOLDS  hold factor 3.0");
    assert_has(text, "does not prove the cut: pull ");
    assert_null(strstr(text, "nan"));
    checked_lines(text);
    free(text);
    free(text_of(s, true));
    char *json = json_of(s);
    assert_json(json);
    assert_has(json, "\"power_W\": null");
    free(json);
    sample_free(s);
}

static void full_text_has_everything(void **state) {
    (void)state;
    sample *s = sample_new(2, 1.44, TH_MM);
    char *text = text_of(s, true);
    checked_lines(text);
    assert_has(text, "memory: recalled from the source");
    assert_has(text, "invented plate");
    assert_has(text, "stage 2: cut.2 outline, freeing pass: the part\n");
    assert_has(text, "shear 60 kPa, lift 20 kPa; average shear 42.1 kPa");
    assert_has(text, "shear 55 kPa, lift 19 kPa; hold factor 1.4");
    assert_null(strstr(text, "standing lift"));
    assert_null(strstr(text, "settled"));
    assert_null(strstr(text, "offcuts"));
    assert_null(strstr(text, "order"));
    assert_has(text, "preparation 0.9");
    assert_has(text, "wait 0.73");
    assert_has(text, "sustained 0.7 after");
    assert_has(text, "-12.5 N, 30.5 N, 4 N");
    assert_has(text, "hold.plate = skimmed-aluminium");
    assert_has(text, "machine.bench-mill");
    assert_has(text, "published: invented too");
    assert_has(text, "oil under the tape");
    free(text);
    sample_free(s);
}

/* ---- operations and pieces ------------------------------------------------------------------- */

static size_t times_in(const char *text, const char *piece) {
    size_t times = 0;
    for (const char *at = strstr(text, piece); at != NULL; at = strstr(at + 1, piece)) {
        times++;
    }
    return times;
}

/* The lowest factor that counts stands in the row, the time wherever it was put. */
static void operations_have_one_row_each(void **state) {
    (void)state;
    static const char row[] =
        "cut.1 outline  six     10000     600       0.02      188  3.2 min     1.4\n";
    sample *s = sample_new(4, 3.3, TH_MM);
    for (size_t i = 1; i < 4; i++) {
        s->stages[i].cut = &s->cuts[0];
        s->stages[i].minutes = s->stages[i].passes = 0;
    }
    s->stages[2].hold_factor = s->check.hold_factor = 1.44;
    s->stages[3].hold_factor = 0.5;
    s->stages[3].piece = TH_PIECE_SLUG;
    s->stages[3].counts = false;
    s->check.governs = 2;
    s->job.cut_count = 1;
    char *text = text_of(s, false);
    assert_has(text, row);
    assert_int_equal(times_in(text, "\ncut.1 outline "), 1);
    free(text);
    char *all = text_of(s, true);
    assert_has(all, row);
    assert_int_equal(times_in(all, "\ncut.1 outline "), 1);
    assert_has(all, "stage 4: cut.1 outline, freeing pass: the slug; lets go; does not enter");
    assert_int_equal(times_in(all, "passes "), 1);
    free(all);
    /* where nothing counts, the lowest of all */
    for (size_t i = 0; i < 4; i++) {
        s->stages[i].counts = false;
    }
    text = text_of(s, false);
    assert_has(text, "188  3.2 min     0.5\n");
    free(text);
    sample_free(s);
}

static void assert_weakest(sample *s, th_piece_kind piece, int copy, const char *expected) {
    s->stages[0].piece = piece;
    s->stages[0].copy = copy;
    char *text = text_of(s, false);
    assert_has(text, expected);
    free(text);
}

static void pieces_are_named(void **state) {
    (void)state;
    sample *s = sample_new(1, 1.44, TH_MM);
    s->stages[0].name = "outline";
    assert_weakest(s, TH_PIECE_PART, 1, "cut.1 outline: the part would twist off at");
    put_into_sheet(s, 0, 0);
    assert_weakest(s, TH_PIECE_PART, 1, "cut.1 outline: the freed part would twist off at");
    assert_weakest(s, TH_PIECE_STOCK, 1, "cut.1 outline: the stock would twist off at");
    put_into_sheet(s, 3, 2);
    assert_weakest(s, TH_PIECE_PART, 5, "the freed part (copy 5 of 6) would twist off");
    assert_weakest(s, TH_PIECE_SLUG, 2, "the slug (copy 2 of 6) would twist off");
    assert_weakest(s, TH_PIECE_STOCK, 6, "the stock (at copy 6 of 6) would twist off");
    assert_weakest(s, TH_PIECE_FRAME, 6, "the frame (at copy 6 of 6) would twist off");
    s->cuts[0].operation = TH_HOLE; /* bored in all copies at once */
    assert_weakest(s, TH_PIECE_STOCK, 1, "cut.1 outline: the stock would twist off");
    sample_free(s);
}

static void bow_and_stops_are_told(void **state) {
    (void)state;
    sample *s = sample_new(1, 1.44, TH_MM);
    char *text = text_of(s, false);
    assert_null(strstr(text, "\nbow "));
    assert_null(strstr(text, "\nstops "));
    free(text);
    s->stages[0].standing_lift = 0.07; /* of the 0.2 MPa that the bond bears */
    s->job.hold.stops = TH_STOP_LEFT | TH_STOP_FRONT;
    s->cuts[0].through = true;
    text = text_of(s, false);
    assert_has(text, "\nbow         lifts the ends with 70 kPa all the time, 35 % of the bond\n");
    assert_has(text,
               "\nstops       left front: bear the push towards them until the part is free;\n");
    assert_true(checked_lines(text) <= TH_TEXT_LINES);
    free(text);
    s->cuts[0].through = false;
    text = text_of(s, true);
    assert_has(text, "left front: bear the push towards them; lifting stays with the tape");
    free(text);
    sample_free(s);
}

static void another_cutter_is_told(void **state) {
    (void)state;
    static const char *const down[] = {"cutter.six.id=flat-6mm-2-down"};
    sample *s = sample_new(1, 1.44, TH_MM);
    s->turns[0].change = "helix";
    s->turns[0].settings = down;
    s->turns[0].setting_count = 1;
    char *text = text_of(s, false);
    assert_has(text, "cutter with another helix: --set cutter.six.id=flat-6mm-2-down\n");
    checked_lines(text);
    free(text);
    sample_free(s);
}

static void a_pull_says_what_it_shows(void **state) {
    static const struct {
        th_proof_limit limit;
        double covers;
        const char *words;
    } cases[] = {
        {TH_PROOF_WHOLE, 0.5301, "it must not move"},
        {TH_PROOF_BOND, 0.5301, "if it stays, 53 % of the cut's load is proven, the rest not"},
        {TH_PROOF_BOND, 0.4199, "does not prove the cut: pull 12 N"},
        {TH_PROOF_BOND, 0.4199, "if it stays, 41 % of the cut's load is proven, the rest not"},
        {TH_PROOF_HAND, 0.4199, "for 3 s (more is too much by hand), and if it stays, 41 %"},
        {TH_PROOF_HAND, 0.5301, "more is too much by hand"},
        {TH_PROOF_USELESS, 0.5301,
         "none is of use: the greatest safe one, 12 N, shows less than a fifth"},
        {TH_PROOF_BOWED, 0.5301, "the bow alone asks over half of what the bond bears"},
        {TH_PROOF_TABS, 0.5301, "none: the tabs hold it"},
        {TH_PROOF_NO_STRENGTH, 0.5301, "the hold has no strength to prove"}};

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        th_proof_pull pull = {.at = {10, 20}, .force = {0, 0, 12}, .covers = cases[i].covers};
        pull.limit = cases[i].limit;
        pull.safe = pull.limit == TH_PROOF_WHOLE;
        pull.possible = pull.limit <= TH_PROOF_USELESS;
        sample *s = sample_new(1, 1.44, TH_MM);
        s->check.proof = pull;
        char *text = text_of(s, true);
        for (char *c = text; *c; c++) { /* wrapped or not */
            *c = *c == '\n' ? ' ' : *c;
        }
        char *gap;
        while ((gap = strstr(text, "  ")) != NULL) {
            memmove(gap, gap + 1, strlen(gap));
        }
        assert_has(text, cases[i].words);
        free(text);
        sample_free(s);
    }
}

static void nothing_taped_is_said(void **state) {
    (void)state;
    sample *s = sample_new(1, 0, TH_MM);
    s->stages[0].piece = TH_PIECE_SLUG;
    s->stages[0].bonded_area = 0;
    s->stages[0].way = TH_LIFT;
    char *text = text_of(s, false);
    assert_has(text, "cut.1 outline, freeing pass: the slug, no tape under it\n");
    free(text);
    sample_free(s);
}

/* ---- bending --------------------------------------------------------------------------------- */

typedef struct {
    th_way way;
    double plate, rigid;  /* (MPa) */
    const char *expected; /* NULL: not a word */
} bending_case;

static void bending_is_told_where_it_matters(void **state) {
    (void)state;
    static const bending_case cases[] = {
        {TH_LIFT, 0.23, 0.1,
         "bending     the corner sees 2.3 times the peak lift of a rigid plate"},
        {TH_LIFT, 0.119, 0.1, NULL},
        {TH_LIFT, 0.121, 0.1, "1.2 times the peak lift"},
        {TH_LIFT, 0.084, 0.1, NULL},
        {TH_LIFT, 0.08, 0.1, "bending     the corner sees 0.8 times the peak lift"},
        {TH_LIFT, 0.1, 0, "bending     lifts the corner; a rigid plate stays down"},
        {TH_TWIST, 0.3, 0.1, "the corner sees 3 times the peak shear of a rigid plate"},
        {TH_SLIDE, 0.3, 0.1, "the corner sees 3 times the peak shear of a rigid plate"},
        {TH_SLIDE, 0.3, 0, NULL},
        {TH_SLIDE, 0, 0, NULL},
        {TH_HEAT, 0.3, 0.1, NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        sample *s = sample_new(1, 1.44, TH_MM);
        th_stage *stage = &s->stages[0];
        bool lifts = cases[i].way == TH_LIFT;
        /* the other kind says something else, and is not asked */
        stage->lift_peak_traction = lifts ? cases[i].plate : 1;
        stage->area_lift_peak = lifts ? cases[i].rigid : 0.001;
        stage->shear_peak = lifts ? 1 : cases[i].plate;
        stage->area_shear_peak = lifts ? 0.001 : cases[i].rigid;
        stage->way = cases[i].way;
        char *text = text_of(s, false);
        if (cases[i].expected == NULL) {
            assert_null(strstr(text, "bending"));
        } else {
            assert_has(text, cases[i].expected);
        }
        free(text);
        sample_free(s);
    }
}

static void assert_spot(sample *s, double x, double y, const char *expected) {
    s->stages[0].at = (th_point){x, y};
    char *text = text_of(s, false);
    assert_has(text, expected);
    free(text);
}

static void bending_names_the_spot(void **state) {
    (void)state;
    sample *s = sample_new(1, 1.44, TH_MM);
    s->stages[0].shear_peak = 0.11;
    assert_spot(s, 0, 0, "the corner sees 2 times");
    assert_spot(s, 60, 20, "the edge sees 2 times");
    assert_spot(s, 30, 40, "the edge sees 2 times");
    assert_spot(s, 30, 20, "the place sees 2 times");
    put_into_sheet(s, 3, 2);
    s->stages[0].copy = 5; /* the middle one behind: from 70, 50 to 130, 90 */
    assert_spot(s, 130, 90, "the corner sees 2 times");
    assert_spot(s, 70, 60, "the edge sees 2 times");
    assert_spot(s, 60, 40, "the place sees 2 times");
    s->stages[0].piece = TH_PIECE_STOCK; /* from -15, -10 to 225, 110 */
    assert_spot(s, 225, -10, "the corner sees 2 times");
    assert_spot(s, 130, 90, "the place sees 2 times");
    s->stages[0].piece = TH_PIECE_PART;
    s->job.part.shape = TH_ROUND; /* which has no corners */
    assert_spot(s, 130, 90, "the place sees 2 times");
    sample_free(s);
}

static void tabs_are_told(void **state) {
    (void)state;
    sample *s = sample_new(1, 1.44, TH_MM);
    put_into_sheet(s, 0, 0);
    s->stages[0].alone_factor = 0.456;
    s->stages[0].area_shear_peak = 6; /* bending is not what makes the difference */
    char *text = text_of(s, false);
    assert_has(text, "the part on its tabs would twist off at");
    assert_has(text, "tabs        without them the hold factor is 0.45\n");
    assert_null(strstr(text, "bending"));
    free(text);
    s->stages[0].interface = "tabs";
    text = text_of(s, false);
    assert_has(text, "the part on its tabs: the tabs would\n            break, cutter");
    assert_has(text, "its tabs break first");
    free(text);
    text = text_of(s, true);
    assert_has(text,
               "weakest          the part on its tabs: the tabs would break; cutter at x 63 mm,");
    assert_has(text, "tabs             without them the hold factor is 0.45\n");
    free(text);
    s->stages[0].interface = "the frame on its tape";
    text = text_of(s, false);
    assert_has(text, "the part on its tabs would go with the\n            frame, cutter at");
    assert_has(text, "the frame lets go first");
    free(text);
    char *json = json_of(s);
    assert_has(json, "\"alone_hold_factor\": 0.456,");
    free(json);
    sample_free(s);
}

/* ---- heights and order ----------------------------------------------------------------------- */

static void heights_in_short(void **state) {
    (void)state;
    sample *s = sample_new(1, 3, TH_MM);
    char *text = text_of(s, false);
    assert_has(text, "Z from top  bonded face -3 mm, through to -3.38 mm, plate left 11.8 mm\n");
    free(text);
    s->job.head.units = TH_INCH;
    text = text_of(s, false); /* 3 / 25.4 = 0.11811, 3.381 / 25.4 = 0.13311 */
    assert_has(text, "bonded face -0.1181 in, through to -0.1331 in, plate left 0.4646 in\n");
    free(text);
    s->check.heights.through = s->check.heights.into_plate = NAN;
    text = text_of(s, false);
    assert_has(text, "bonded face -0.1181 in, plate -0.1252 in; no cut goes through\n");
    free(text);
    s->cuts[0].operation = TH_PUSH;
    text = text_of(s, false);
    assert_null(strstr(text, "Z from top"));
    free(text);
    sample_free(s);
    s = sample_new(4, 1.44, TH_MM); /* little room */
    s->check.turn_down_count = TURNS;
    text = text_of(s, false);
    assert_has(text, "Z from top  bonded face -3 mm, through to -3.38 mm, plate left 11.8 mm\n");
    free(text);
    sample_free(s);
}

/* What moves the answer and the heights stay when there is little room; lists give way to their
 * numbers, in so many words. */
static void what_governs_stays(void **state) {
    (void)state;
    for (size_t cuts = 1; cuts <= 4; cuts++) {
        sample *s = sample_new(cuts, 1.44, TH_MM);
        s->check.turn_down_count = TURNS;
        s->job.hold.stops = TH_STOP_LEFT | TH_STOP_FRONT;
        s->cuts[0].through = true;
        for (size_t i = 0; i < s->check.stage_count; i++) {
            s->stages[i].standing_lift = 0.07;
            s->stages[i].derating.temperature = 0.5;
        }
        char *text = text_of(s, false);
        assert_has(text, "\nheat        the tape gets ");
        assert_has(text, "\nbow         lifts the ends with ");
        assert_has(text, "\nstops       left front");
        assert_has(text,
                   "\nZ from top  bonded face -3 mm, through to -3.38 mm, plate left 11.8 mm\n");
        assert_has(text, "\ncaution     ");
        assert_true(strstr(text, "\nassumed     ") || strstr(text, "\nwith --all  "));
        assert_true(checked_lines(text) <= TH_TEXT_LINES);
        free(text);
        sample_free(s);
    }
}

static void heights_in_full(void **state) {
    (void)state;
    sample *s = sample_new(1, 3, TH_MM);
    char *text = text_of(s, true);
    assert_has(text, "heights\n"
                     "Z of                          from the bonded face  from the top\n"
                     "                                                mm            mm\n"
                     "top of the stock                                 3             0\n"
                     "bonded face                                      0            -3\n"
                     "top of the sacrificial plate                 -0.18         -3.18\n"
                     "bottom of through cuts                       -0.38         -3.38\n"
                     "machine table                               -12.18        -15.18\n"
                     "tape and glue   0.18 mm high\n"
                     "into the plate  0.2 mm by through cuts, 11.8 mm left of it\n");
    free(text);
    s->check.heights.through = s->check.heights.into_plate = NAN;
    s->check.heights.plate_left = 12;
    s->job.head.units = TH_INCH;
    text = text_of(s, true);
    assert_has(text, "machine table                              -0.4796       -0.5977\n"
                     "tape and glue   0.0071 in high\n"
                     "into the plate  none: no cut goes through its 0.4724 in\n");
    assert_null(strstr(text, "bottom of through"));
    free(text);
    sample_free(s);
}

static void order_is_advised(void **state) {
    (void)state;
    sample *s = sample_new(2, 1.44, TH_MM);
    s->check.order = (th_order){&s->cuts[0], 1.44, 2.31};
    char *text = text_of(s, true);
    assert_has(text, "order       cut.1 frees the part early: hold factor 1.4; moved last 2.3\n");
    free(text);
    s->check.order.moved_hold_factor = 1.2;
    text = text_of(s, true);
    assert_has(text, "moved last 1.2, which\n            gains nothing\n");
    free(text);
    sample_free(s);
}

static void full_text_names_what_is_added(void **state) {
    (void)state;
    sample *s = sample_new(1, 1.44, TH_MM);
    th_stage *stage = &s->stages[0];
    stage->standing_lift = 0.0031;
    stage->unsettled = 0.0213;
    stage->offcut_margin = 0.456;
    stage->sway = 0.125;
    stage->creep = 0.02;
    stage->shear_peak = 0.11;
    char *text = text_of(s, true);
    assert_has(text, "3.1 kPa of bowed stock held flat, part of every lift");
    assert_has(text, "settled          to 3 % on the finest grid");
    assert_has(text, "offcuts          hold factor 0.45, of frame and slugs the lowest");
    assert_has(text, "sway 0.125 mm, creep 0.02 mm");
    assert_has(text, "bending          the corner sees 2 times the peak shear of a rigid plate\n");
    free(text);
    sample_free(s);
}

/* ---- wrapping -------------------------------------------------------------------------------- */

static void numbers_stay_with_their_units(void **state) {
    (void)state;
    /* push a number across the line's end, one column at a time */
    for (int pad = 60; pad < 82; pad++) {
        char filler[96] = {0};
        memset(filler, 'a', (size_t)pad);
        th_doc doc = {0};
        th_text text = {0};
        th_error err;
        th_doc_line(&doc, "%s 12.5 mm/min and --set cut.1.axial=0.5mm", filler);
        assert_true(th_doc_text(&doc, &text, &err));
        assert_has(text.data, "12.5 mm/min");
        assert_has(text.data, "--set cut.1.axial=0.5mm");
        th_doc_free(&doc);
        th_text_free(&text);
    }
}

static void long_words_and_odd_bytes(void **state) {
    (void)state;
    char word[300];
    memset(word, 'w', sizeof word - 1);
    word[sizeof word - 1] = '\0';
    th_doc doc = {0};
    th_text text = {0};
    th_error err;
    th_doc_pair(&doc, "label", "%s tail", word);
    th_doc_line(&doc, "bell \a stray \xff end");
    assert_true(th_doc_text(&doc, &text, &err));
    assert_int_equal(checked_lines(text.data), 6);
    assert_has(text.data, "bell ? stray ? end");
    th_doc_free(&doc);
    th_text_free(&text);
}

static void table_columns_line_up(void **state) {
    (void)state;
    th_doc doc = {0};
    th_text text = {0};
    th_error err;
    const th_doc_column columns[] = {{"id", NULL, false, false}, {"size", "mm", true, false}};
    th_doc_columns(&doc, columns, 2);
    th_doc_row(&doc, (const char *const[]){"long-name", "5"});
    th_doc_row(&doc, (const char *const[]){"b", "12.25"});
    th_doc_row(&doc, (const char *const[]){"none", NULL});
    assert_true(th_doc_text(&doc, &text, &err));
    assert_string_equal(text.data, "id          size\n"
                                   "              mm\n"
                                   "long-name      5\n"
                                   "b          12.25\n"
                                   "none\n");
    th_text tab = {0};
    assert_true(th_doc_tab(&doc, &tab, &err));
    assert_string_equal(tab.data, "id\tsize\nlong-name\t5\nb\t12.25\nnone\t\n");
    th_text_free(&tab);
    th_text_free(&text);
    th_doc_free(&doc);
}

/* ---- JSON ------------------------------------------------------------------------------------ */

static void json_numbers_read_back(void **state) {
    (void)state;
    static const double values[] = {
        0,      1,          -2.5, 0.1,      1.0 / 3, 1e-300, 1.7976931348623157e308,
        5e-324, 123456.789, 2e22, 0.1 + 0.2};
    for (size_t i = 0; i < sizeof values / sizeof *values; i++) {
        th_text text = {0};
        th_json json = {.text = &text};
        th_json_number(&json, values[i]);
        assert_near(strtod(text.data, NULL), values[i], 0, 0);
        assert_json(text.data);
        th_text_free(&text);
    }
    th_text text = {0};
    th_json json = {.text = &text};
    th_json_array(&json);
    th_json_number(&json, 0.1);
    th_json_number(&json, NAN);
    th_json_number(&json, -INFINITY);
    th_json_number(&json, 1.0 / 3);
    th_json_end(&json);
    assert_string_equal(text.data, "[0.1, null, null, 0.3333333333333333]");
    th_text_free(&text);
}

static void json_text_is_escaped(void **state) {
    (void)state;
    th_text text = {0};
    th_json json = {.text = &text};
    th_json_string(&json, "q\" b\\ n\n t\t r\r \x01 \x7f \xc3\xa9 \xff \xc0\xaf \xed\xa0\x80 "
                          "\xf0\x9f\x94\xa7 \xe2\x82");
    assert_string_equal(text.data,
                        "\"q\\\" b\\\\ n\\n t\\t r\\r \\u0001 \\u007f \xc3\xa9 \xef\xbf\xbd "
                        "\xef\xbf\xbd\xef\xbf\xbd \xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd "
                        "\xf0\x9f\x94\xa7 \xef\xbf\xbd\xef\xbf\xbd\"");
    assert_json(text.data);
    th_text_free(&text);
}

static void json_misuse_is_noticed(void **state) {
    (void)state;
    th_text text = {0};
    th_json json = {.text = &text};
    th_json_end(&json);
    assert_true(json.failed);
    json = (th_json){.text = &text};
    for (int i = 0; i < TH_JSON_DEPTH + 1; i++) {
        th_json_array(&json);
    }
    assert_true(json.failed);
    th_text_free(&text);
}

/* Every key that the answer promises. */
static const char promised[] =
    "tackhold job verdict estimate hold_factor asked_factor governs stage way load "
    "interface at_mm stages name operation cut offcut copy bonded_area_mm2 force_N "
    "x_mean y_mean z_mean in_plane_peak lift_peak torque_Nmm_peak power_W "
    "mean_chip_mm max_chip_mm removal_mm3_min average_shear_kPa shear_peak_kPa "
    "lift_peak_kPa area_model design_shear_kPa design_lift_kPa derating "
    "temperature cooling preparation adhesion pressing time wait "
    "tape_temperature_C sway_mm creep_mm other_margins spindle_power spindle_torque deflection "
    "breakage "
    "chip counts alone_hold_factor standing_lift_kPa unsettled offcut order heights_mm top stack "
    "plate_top through "
    "into_plate plate_left table turn_downs change set from to time_ratio sways proof_pull safe "
    "defaults "
    "not_checked flips_if cautions sources row source trust ";

static void check_json_is_complete(void **state) {
    (void)state;
    sample *s = sample_new(2, 1.44, TH_INCH);
    s->job.head.title = "quote \" and \xff";
    char *json = json_of(s);
    assert_json(json);
    size_t count = 0;
    const char *key = promised;
    for (size_t n = strcspn(key, " "); n > 0; n = strcspn(key, " "), count++) {
        char quoted[48] = "\"";
        strncat(quoted, key, n);
        strcat(quoted, "\": ");
        assert_has(json, quoted);
        key += n + 1;
    }
    assert_int_equal(count, 84);
    assert_has(json, "\"verdict\": \"unproven\"");
    assert_has(json, "\"hold_factor\": 1.44");
    assert_has(json, "\"design_shear_kPa\": 100,"); /* metric though the job is in inches */
    assert_has(json, "\"sway_mm\": null");
    assert_has(json, "\"other_margins\": {\"spindle_power\": 8, \"spindle_torque\": 6, "
                     "\"deflection\": 3, \"breakage\": 5, \"chip\": 4, \"offcut\": null}");
    assert_has(json,
               "{\"change\": \"axial\", \"set\": [\"cut.1.axial=0.5mm\"], \"from\": 1, \"to\": "
               "0.5, \"hold_factor\": 2.19, \"time_ratio\": 1.4, "
               "\"sway_mm\": 0.5, \"sways\": false}");
    assert_has(json, "\"from\": \"1 h\", \"to\": \"2 h\"");
    assert_has(json, "\"row\": \"tape.crepe-masking\"");
    assert_has(json, "\"at_mm\": [60, 40]");
    free(json);
    sample_free(s);
}

static void check_json_has_pieces_heights_and_order(void **state) {
    (void)state;
    sample *s = sample_new(2, 1.44, TH_INCH);
    s->stages[1].piece = TH_PIECE_FRAME;
    s->stages[1].copy = 6;
    s->stages[1].counts = false;
    s->stages[1].standing_lift = 0.0031;
    s->stages[1].unsettled = 0.25;
    s->stages[1].offcut_margin = 0.5;
    char *json = json_of(s);
    assert_json(json);
    assert_has(json, "\"offcut\": \"part\", \"copy\": 1, \"counts\": true,");
    assert_has(json, "\"offcut\": \"frame\", \"copy\": 6, \"counts\": false,");
    assert_has(json, "\"area_model\": {\"shear_peak_kPa\": 55, \"lift_peak_kPa\": 19, "
                     "\"hold_factor\": 1.44}, \"standing_lift_kPa\": 0, \"unsettled\": 0,");
    assert_has(json, "\"standing_lift_kPa\": 3.1, \"unsettled\": 0.25,");
    assert_has(json, "\"offcut\": 0.5}");
    assert_has(json, "\"order\": null, \"heights_mm\": {\"top\": 3, \"stack\": 0.181, "
                     "\"plate_top\": -0.181, \"through\": -0.381, \"into_plate\": 0.2, "
                     "\"plate_left\": 11.8, \"table\": -12.181},");
    free(json);
    s->check.order = (th_order){&s->cuts[1], 1.44, 2.5};
    s->check.heights.through = s->check.heights.into_plate = NAN;
    json = json_of(s);
    assert_json(json);
    assert_has(json, "\"order\": {\"cut\": \"cut.2\", \"hold_factor\": 1.44, "
                     "\"moved_hold_factor\": 2.5}");
    assert_has(json, "\"through\": null, \"into_plate\": null,");
    free(json);
    sample_free(s);
}

/* ---- rows and keys --------------------------------------------------------------------------- */

/* An invented coolant, so that a list and a row can be shown. */
static th_tables *some_tables(void) {
    static const th_entry entries[] = {
        {"dry", "name", "no coolant", "invented.ini", 2, TH_FROM_TABLE},
        {"dry", "kind", "dry", "invented.ini", 3, TH_FROM_TABLE},
        {"dry", "film_coefficient", "12.5 W/m2K", "invented.ini", 4, TH_FROM_TABLE},
        {"dry", "source", "invented", "invented.ini", 5, TH_FROM_TABLE},
        {"dry", "trust", "estimate", "invented.ini", 6, TH_FROM_TABLE},
    };
    th_tables *tables = th_tables_new();
    th_error err;
    assert_non_null(tables);
    assert_true(th_tables_add(tables, TH_COOLANTS, entries, 5, &err));
    return tables;
}

static void rows_are_listed_and_shown(void **state) {
    (void)state;
    th_tables *tables = some_tables();
    th_doc doc = {0};
    th_text text = {0};
    th_error err;
    assert_true(th_report_list(tables, TH_COOLANTS, TH_MM, &doc, &err));
    assert_true(th_doc_text(&doc, &text, &err));
    assert_has(text.data, "12.5 W/m2K");
    assert_has(text.data, "estimate");
    th_doc_free(&doc);
    th_text_free(&text);
    assert_true(th_report_show(tables, TH_COOLANTS, "dry", TH_MM, &doc, &err));
    assert_true(th_doc_text(&doc, &text, &err));
    assert_has(text.data, "film_coefficient");
    assert_has(text.data, "invented");
    th_doc_free(&doc);
    th_text_free(&text);
    assert_false(th_report_show(tables, TH_COOLANTS, "drq", TH_MM, &doc, &err));
    assert_int_equal(err.code, TH_UNKNOWN_ROW);
    assert_has(err.message, "dry");
    th_doc_free(&doc);
    assert_true(th_report_show_json(tables, TH_COOLANTS, "dry", &text, &err));
    assert_json(text.data);
    assert_has(text.data, "{\"key\": \"film_coefficient\", \"value\": 12.5, \"unit\": \"W/m2K\"}");
    th_text_free(&text);
    assert_true(th_report_list_json(tables, TH_COOLANTS, &text, &err));
    assert_json(text.data);
    th_text_free(&text);
    th_tables_free(tables);
}

static void keys_are_comments(void **state) {
    (void)state;
    static const char *const sections[] = {"stock",   "tape",  "glue", "cutter", "machine",
                                           "coolant", "plate", "job",  "hold",   "cut"};
    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++) {
        th_text text = {0};
        th_error err;
        assert_true(th_report_keys(sections[i], TH_MM, &text, &err));
        for (const char *line = text.data; *line != '\0'; line = strchr(line, '\n') + 1) {
            assert_int_equal(*line, '#');
        }
        th_text_free(&text);
        assert_true(th_report_keys_json(sections[i], &text, &err));
        assert_json(text.data);
        th_text_free(&text);
    }
    th_text text = {0};
    th_error err;
    assert_true(th_report_keys("tape", TH_MM, &text, &err));
    assert_has(text.data, "# shear_strength ");
    th_text_free(&text);
    assert_false(th_report_keys("spoon", TH_MM, &text, &err));
    assert_int_equal(err.code, TH_BAD_USAGE);
    assert_has(err.message, "opening");
    th_text_free(&text);
}

/* What a setting does not say is said of a pair too, whichever of the two it is. */
static void a_sharp_cutter_is_named_in_a_pair(void **state) {
    static const char *const changes[] = {"wear", "axial + wear", "wear + axial",
                                          "plate + axial + wear"};

    (void)state;
    static const char *const both[] = {"cut.1.axial=0.3mm", "cutter.em.wear=1"};
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        sample *s = sample_new(1, 1.44, TH_MM);
        char *text;
        s->check.turn_down_count = 1;
        s->turns[0].change = changes[i];
        s->turns[0].settings = both;
        s->turns[0].setting_count = 2;
        text = text_of(s, false);
        assert_has(text, "sharp cutter: --set cut.1.axial=0.3mm");
        free(text);
        s->turns[0].change = "axial + coverage";
        text = text_of(s, false);
        assert_null(strstr(text, "sharp cutter"));
        free(text);
        sample_free(s);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sharp_cutter_is_named_in_a_pair),
        cmocka_unit_test(factor_is_rounded_down),
        cmocka_unit_test(factor_stays_on_its_side),
        cmocka_unit_test(short_text_answers_first),
        cmocka_unit_test(inch_job_prints_inches),
        cmocka_unit_test(short_text_always_fits),
        cmocka_unit_test(worst_cuts_are_shown),
        cmocka_unit_test(hold_without_strength),
        cmocka_unit_test(push_has_no_cutter),
        cmocka_unit_test(full_text_has_everything),
        cmocka_unit_test(operations_have_one_row_each),
        cmocka_unit_test(only_what_governs_is_an_estimate),
        cmocka_unit_test(times_are_told_one_way),
        cmocka_unit_test(inches_go_with_pounds),
        cmocka_unit_test(the_worst_cuts_stand_in_order),
        cmocka_unit_test(pieces_are_named),
        cmocka_unit_test(nothing_taped_is_said),
        cmocka_unit_test(bow_and_stops_are_told),
        cmocka_unit_test(another_cutter_is_told),
        cmocka_unit_test(a_pull_says_what_it_shows),
        cmocka_unit_test(bending_is_told_where_it_matters),
        cmocka_unit_test(bending_names_the_spot),
        cmocka_unit_test(tabs_are_told),
        cmocka_unit_test(heights_in_short),
        cmocka_unit_test(what_governs_stays),
        cmocka_unit_test(heights_in_full),
        cmocka_unit_test(order_is_advised),
        cmocka_unit_test(full_text_names_what_is_added),
        cmocka_unit_test(numbers_stay_with_their_units),
        cmocka_unit_test(long_words_and_odd_bytes),
        cmocka_unit_test(table_columns_line_up),
        cmocka_unit_test(json_numbers_read_back),
        cmocka_unit_test(json_text_is_escaped),
        cmocka_unit_test(json_misuse_is_noticed),
        cmocka_unit_test(check_json_is_complete),
        cmocka_unit_test(check_json_has_pieces_heights_and_order),
        cmocka_unit_test(rows_are_listed_and_shown),
        cmocka_unit_test(keys_are_comments),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
