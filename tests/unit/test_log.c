/* test_log.c - the shop's own log: lines, what is left out, appending, and what it says of a job.
 * All records are invented. */
#define _GNU_SOURCE /* mkdtemp, setenv */
#include "support/comma.h"
#include "support/draft.h"
#include "support/near.h"

#include "tackhold/files.h"
#include "tackhold/report.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static th_log_record usual(void) {
    return (th_log_record){.when = "2026-01-31T14:05:09Z",
                           .program = "0.1.0",
                           .outcome = TH_HELD,
                           .verdict = TH_HOLDS,
                           .estimate = 1,
                           .hold_factor = 2.5,
                           .asked_factor = 2,
                           .title = "invented plate",
                           .stage = "cut.1 slot",
                           .piece = "stock",
                           .way = "slide",
                           .load = "peak",
                           .interface = "part to tape",
                           .stock = "al-6061-t6",
                           .machine = "bench-mill",
                           .cutter = "flat-6mm-3",
                           .tape = "crepe-masking",
                           .tape_below = "crepe-masking",
                           .glue = "ca-thin",
                           .plate = "skimmed-aluminium",
                           .cooling = "dry",
                           .preparation = "wiped",
                           .cooling_kind = TH_COOL_DRY,
                           .coverage = 0.95,
                           .wait = 3600,
                           .area = 2280,
                           .temperature = NAN,
                           .minutes = 0.1,
                           .note = ""};
}

static th_log scanned(const char *text, size_t size) {
    th_log log = {.items = NULL};
    assert_true(th_log_scan(text, size, "a.log", &log, NULL));
    return log;
}

/* ---- lines ----------------------------------------------------------------------------------- */

static void expect_note(const char *note, const char *written) {
    th_log_record record = usual();
    th_text line = {0};
    record.note = note;
    th_log_line(&record, &line);
    assert_false(line.failed);
    assert_non_null(strstr(line.data, written));
    assert_ptr_equal(strchr(line.data, '\n'), line.data + line.size - 1);
    th_log log = scanned(line.data, line.size);
    assert_int_equal(log.count, 1);
    assert_string_equal(log.items[0].note, note);
    th_log_free(&log);
    th_text_free(&line);
}

static void test_escapes(void **state) {
    (void)state;
    expect_note("", "\t0.1.0\t\tend\n");
    expect_note("corner lifted", "\tcorner lifted\tend\n");
    expect_note("a\tb\nc\rd\\e", "\ta\\tb\\nc\\rd\\\\e\tend\n");
    expect_note("\\t is no tab", "\t\\\\t is no tab\tend\n");
    expect_note("\x07\x1b[1m\x7f", "\t\\x07\\x1B[1m\\x7F\tend\n");
    expect_note("L\xc3\xb6"
                "sungsmittel, \xe6\xbc\xa2, \xf0\x9f\x94\xa9",
                "\tL\xc3\xb6");
    expect_note("Latin-1: \xe4", "\tLatin-1: \\xE4\tend\n");
    expect_note("C1: \xc2\x9b", "\tC1: \\xC2\\x9B\tend\n");
    expect_note("end", "\tend\tend\n");
    expect_note("#torn", "\t#torn\tend\n");
}

static void test_every_cell(void **state) {
    (void)state;
    th_log_record record = usual();
    th_text line = {0};
    record.outcome = TH_LET_GO;
    record.verdict = TH_LETS_GO;
    record.estimate = 0;
    record.cooling_kind = TH_COOL_OIL;
    record.hold_factor = 0.1 + 0.2; /* needs all its digits */
    record.temperature = -12.5;
    record.tape_below = "";
    th_log_line(&record, &line);
    th_log log = scanned(line.data, line.size);
    assert_int_equal(log.count, 1);
    const th_log_record *r = log.items;
    assert_int_equal(r->line, 1);
    assert_int_equal(r->outcome, TH_LET_GO);
    assert_int_equal(r->verdict, TH_LETS_GO);
    assert_int_equal(r->estimate, 0);
    assert_int_equal(r->cooling_kind, TH_COOL_OIL);
    assert_near(r->hold_factor, 0.1 + 0.2, 0, 0);
    assert_near(r->temperature, -12.5, 0, 0);
    assert_near(r->coverage, 0.95, 0, 0);
    assert_near(r->wait, 3600, 0, 0);
    assert_near(r->area, 2280, 0, 0);
    assert_string_equal(r->tape_below, "");
    assert_string_equal(r->stage, "cut.1 slot");
    assert_string_equal(r->cutter, "flat-6mm-3");
    assert_string_equal(r->preparation, "wiped");
    th_log_free(&log);
    th_text_free(&line);
}

/* The usual line with one piece of it changed. */
static void expect_left_out(const char *from, const char *to, const char *why) {
    th_log_record record = usual();
    th_text line = {0}, changed = {0};
    record.note = "x";
    th_log_line(&record, &line);
    th_text_put(&changed, "# head\n");
    const char *at = strstr(line.data, from);
    assert_non_null(at);
    th_text_put_n(&changed, line.data, (size_t)(at - line.data));
    th_text_put(&changed, to);
    th_text_put(&changed, at + strlen(from));
    th_text_put(&changed, line.data);
    th_log log = scanned(changed.data, changed.size);
    if (log.count != 1 || log.skipped != 1 || log.faults.count != 1 ||
        strncmp(log.faults.items[0], "a.log:2: ", 9) != 0 ||
        strstr(log.faults.items[0], why) == NULL) {
        fail_msg("%s for %s: %s", to, from, log.faults.count ? log.faults.items[0] : "accepted");
    }
    assert_int_equal(log.items[0].line, 3);
    th_log_free(&log);
    th_text_free(&line);
    th_text_free(&changed);
}

static void test_left_out(void **state) {
    (void)state;
    expect_left_out("1\t2026", "2\t2026", "format 1");
    expect_left_out("1\t2026", "held\t2026", "format 1");
    expect_left_out("2026-01-31", "2026-02-29", "time");
    expect_left_out("2026-01-31", "1900-02-29", "time");
    expect_left_out("2026-01-31", "2026-13-01", "time");
    expect_left_out("2026-01-31", "31.01.2026", "time");
    expect_left_out("14:05:09Z", "24:05:09Z", "time");
    expect_left_out("14:05:09Z", "14:05:09", "time");
    expect_left_out("held", "stayed", "outcome");
    expect_left_out("holds", "perhaps", "verdict");
    expect_left_out("2.5", "2,5", "hold_factor");
    expect_left_out("2.5", "-2.5", "hold_factor");
    expect_left_out("2.5", "nan", "hold_factor");
    expect_left_out("2.5", "1e999", "hold_factor");
    expect_left_out("2.5", "", "hold_factor");
    expect_left_out("0.95", "1.5", "coverage");
    expect_left_out("2280", "2280 mm2", "bonded_mm2");
    expect_left_out("\tx\tend", "\tx\\q\tend", "note");
    expect_left_out("\tx\tend", "\tx\\\tend", "note");
    expect_left_out("\tx\tend", "\tx\\x0\tend", "note");
    expect_left_out("\tx\tend", "\tx\\x00\tend", "note");
    expect_left_out("\tx\tend", "\tx\x01\tend", "note");
    expect_left_out("\tx\tend", "\tx", "cells");
    expect_left_out("\tx\tend", "\tx\ty\tend", "cells");
    expect_left_out("\tx\tend", "\tx\tENDE", "last cell");
}

static void test_other_lines(void **state) {
    (void)state;
    th_log_record record = usual();
    th_text text = {0};
    th_text_put(&text, "# head\n\n\r\n1\t2026-01-31T14:0\t#torn\n");
    th_log_line(&record, &text);
    text.data[text.size - 1] = '\r'; /* as an editor leaves it */
    th_text_put(&text, "\n");
    th_log_line(&record, &text);
    size_t whole = text.size - 1;
    th_log log = scanned(text.data, whole); /* without the last newline, yet all there */
    assert_int_equal(log.count, 2);
    assert_int_equal(log.torn, 1);
    assert_int_equal(log.torn_lines[0], 4);
    assert_int_equal(log.skipped, 0);
    assert_int_equal(log.items[1].line, 6);
    th_log_free(&log);
    log = scanned(text.data, whole - 1);
    assert_int_equal(log.count, 1);
    assert_int_equal(log.torn, 2);
    assert_int_equal(log.torn_lines[1], 6);
    th_log_free(&log);
    th_text_free(&text);
    log = scanned("1\t\0\n\0\0\0\n", 8); /* what a crash may leave */
    assert_int_equal(log.count, 0);
    assert_int_equal(log.skipped, 2);
    th_log_free(&log);
    log = scanned("", 0);
    assert_int_equal(log.count + log.skipped + log.torn, 0);
    th_log_free(&log);
}

static void test_many_faults(void **state) {
    (void)state;
    th_text text = {0};
    for (int i = 0; i < 1000; i++) {
        th_text_put(&text, "nothing\n");
    }
    th_log log = scanned(text.data, text.size);
    assert_int_equal(log.skipped, 1000);
    assert_int_equal(log.faults.count, TH_LOG_FAULTS_MAX);
    assert_true(strstr(log.faults.items[19], "a.log:20: ") == log.faults.items[19]);
    th_log_free(&log);
    th_text_free(&text);
}

/* ---- appending ------------------------------------------------------------------------------- */

typedef struct {
    char folder[64], path[160];
} place;

static place new_place(void) {
    place p;
    snprintf(p.folder, sizeof p.folder, "/tmp/tackhold-log-XXXXXX");
    assert_non_null(mkdtemp(p.folder));
    snprintf(p.path, sizeof p.path, "%s/some/way/log", p.folder);
    return p;
}

static void remove_place(const place *p) {
    char command[128];
    snprintf(command, sizeof command, "rm -rf %s", p->folder);
    assert_int_equal(system(command), 0);
}

static th_text bytes_of(const char *path) {
    th_text text = {0};
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    for (int c = fgetc(file); c != EOF; c = fgetc(file)) {
        char byte = (char)c;
        th_text_put_n(&text, &byte, 1);
    }
    fclose(file);
    return text;
}

static void cut_file(const char *path, size_t bytes) {
    struct stat info;
    assert_int_equal(stat(path, &info), 0);
    assert_int_equal(truncate(path, info.st_size - (off_t)bytes), 0);
}

static void add(const char *path, const char *note) {
    th_log_record record = usual();
    th_error err = {0};
    record.note = note;
    if (!th_log_append(path, &record, &err)) {
        fail_msg("%s", err.message);
    }
}

static th_log read_log(const char *path) {
    th_log log = {.items = NULL};
    th_error err = {0};
    if (!th_log_read(path, &log, &err)) {
        fail_msg("%s", err.message);
    }
    return log;
}

static void test_append(void **state) {
    (void)state;
    place p = new_place();
    th_log log = read_log(p.path); /* not there: empty */
    assert_int_equal(log.count, 0);
    th_log_free(&log);
    add(p.path, "first");
    add(p.path, "second");
    log = read_log(p.path);
    assert_int_equal(log.count, 2);
    assert_int_equal(log.skipped + log.torn, 0);
    assert_int_equal(log.items[0].line, 2); /* below the names of the cells */
    assert_string_equal(log.items[1].note, "second");
    th_log_free(&log);
    remove_place(&p);
}

/* Cut at every byte of its last line: all before it stays, what is left of it too. */
static void test_torn(void **state) {
    (void)state;
    place p = new_place();
    add(p.path, "first");
    add(p.path, "second");
    th_text whole = bytes_of(p.path);
    size_t last = whole.size - 1;
    while (whole.data[last - 1] != '\n') {
        last--;
    }
    for (size_t cut = 1; cut < whole.size - last; cut++) {
        FILE *file = fopen(p.path, "wb");
        assert_non_null(file);
        assert_int_equal(fwrite(whole.data, 1, whole.size, file), whole.size);
        fclose(file);
        cut_file(p.path, cut);
        add(p.path, "third");
        th_text after = bytes_of(p.path);
        th_log log = read_log(p.path);
        assert_memory_equal(after.data, whole.data, whole.size - cut);
        assert_string_equal(log.items[log.count - 1].note, "third");
        assert_int_equal(log.count, cut == 1 ? 3 : 2);
        assert_int_equal(log.torn, cut == 1 ? 0 : 1);
        assert_int_equal(log.skipped, 0);
        assert_string_equal(after.data + whole.size - cut,
                            strstr(after.data + whole.size - cut, cut == 1 ? "\n" : "\t#torn\n"));
        th_log_free(&log);
        th_text_free(&after);
    }
    th_text_free(&whole);
    remove_place(&p);
}

/* An editor may leave lines that end as another system's do, the last without its newline. */
static void test_append_to_edited(void **state) {
    (void)state;
    place p = new_place();
    add(p.path, "first");
    th_text whole = bytes_of(p.path);
    FILE *file = fopen(p.path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(whole.data, 1, whole.size - 1, file), whole.size - 1);
    assert_int_equal(fputc('\r', file), '\r');
    fclose(file);
    add(p.path, "second");
    th_log log = read_log(p.path);
    assert_int_equal(log.count, 2);
    assert_int_equal(log.skipped + log.torn, 0);
    assert_string_equal(log.items[0].note, "first");
    th_log_free(&log);
    th_text_free(&whole);
    remove_place(&p);
}

static void test_parallel(void **state) {
    (void)state;
    enum { PROGRAMS = 4, EACH = 50 };
    place p = new_place();
    for (int i = 0; i < PROGRAMS; i++) {
        pid_t child = fork();
        assert_true(child >= 0);
        for (int k = 0; child == 0 && k < EACH; k++) {
            char note[32];
            th_log_record record = usual();
            snprintf(note, sizeof note, "%d of %d", k, i);
            record.note = note;
            if (!th_log_append(p.path, &record, NULL)) {
                _exit(1);
            }
        }
        if (child == 0) {
            _exit(0);
        }
    }
    for (int i = 0; i < PROGRAMS; i++) {
        int status = 1;
        wait(&status);
        assert_int_equal(status, 0);
    }
    th_log log = read_log(p.path);
    assert_int_equal(log.count, PROGRAMS * EACH);
    assert_int_equal(log.skipped + log.torn, 0);
    int next[PROGRAMS] = {0};
    for (size_t i = 0; i < log.count; i++) { /* each program's own in their order */
        int k = -1, of = 0;
        assert_int_equal(sscanf(log.items[i].note, "%d of %d", &k, &of), 2);
        assert_int_equal(next[of]++, k);
    }
    th_log_free(&log);
    remove_place(&p);
}

static void test_refused(void **state) {
    (void)state;
    place p = new_place();
    th_log_record record = usual();
    th_error err = {0};
    th_log log = {.items = NULL};
    char note[TH_LOG_NOTE_MAX + 2], inside[200];
    memset(note, 'x', sizeof note);
    note[TH_LOG_NOTE_MAX + 1] = '\0';
    record.note = note;
    assert_false(th_log_append(p.path, &record, &err));
    assert_int_equal(err.code, TH_BAD_RANGE);
    assert_int_not_equal(access(p.path, F_OK), 0);
    note[TH_LOG_NOTE_MAX] = '\0';
    assert_true(th_log_append(p.path, &record, &err));

    assert_false(th_log_append(p.folder, &record, &err)); /* a directory */
    assert_int_equal(err.code, TH_NOT_WRITTEN);
    assert_false(th_log_read(p.folder, &log, &err));
    assert_int_equal(err.code, TH_BAD_FILE);
    snprintf(inside, sizeof inside, "%s/log", p.path); /* below a file */
    assert_false(th_log_append(inside, &record, &err));
    assert_int_equal(err.code, TH_NOT_WRITTEN);
    assert_true(th_log_read(inside, &log, &err)); /* nothing is there */
    assert_int_equal(log.count, 0);
    assert_false(th_log_append("/dev/null", &record, &err));
    assert_int_equal(err.code, TH_NOT_WRITTEN);
    remove_place(&p);
}

static void test_place(void **state) {
    (void)state;
    char path[200];
    th_error err = {0};
    setenv("HOME", "/nowhere", 1);
    setenv("XDG_DATA_HOME", "/data", 1);
    assert_true(th_log_path(path, sizeof path, &err));
    assert_string_equal(path, "/data/tackhold/log");
    setenv("XDG_DATA_HOME", "not/absolute", 1);
    assert_true(th_log_path(path, sizeof path, &err));
    assert_string_equal(path, "/nowhere/.local/share/tackhold/log");
    unsetenv("XDG_DATA_HOME");
    unsetenv("HOME");
    assert_false(th_log_path(path, sizeof path, &err));
    assert_int_equal(err.code, TH_BAD_FILE);
}

static void test_locale(void **state) {
    (void)state;
    comma();
    th_log_record record = usual();
    th_text line = {0};
    th_log_line(&record, &line);
    assert_non_null(strstr(line.data, "\t2.5\t"));
    th_log log = scanned(line.data, line.size);
    assert_int_equal(log.count, 1);
    assert_near(log.items[0].coverage, 0.95, 0, 0);
    th_log_free(&log);
    th_text_free(&line);
    no_comma();
}

/* ---- what it says ---------------------------------------------------------------------------- */

static th_job job_on(const th_tape *tape, const th_tape *below, const th_glue *glue,
                     const th_coolant *coolant) {
    return (th_job){.hold = {.tape = tape, .tape_below = below, .glue = glue, .coolant = coolant}};
}

static void test_alike(void **state) {
    (void)state;
    const th_tape crepe = {.head = {.id = "crepe-masking"}}, film = {.head = {.id = "pvc-film"}};
    const th_glue thin = {.head = {.id = "ca-thin"}}, none = {.head = {.id = "none"}};
    const th_coolant dry = {.kind = TH_COOL_DRY}, mist = {.kind = TH_COOL_MIST};
    th_log_record records[4] = {usual(), usual(), usual(), usual()};
    th_shop_record found;
    records[1].outcome = TH_LET_GO;
    records[1].hold_factor = 1.6;
    records[2].outcome = TH_MOVED;
    records[2].hold_factor = 0.8;
    records[3].hold_factor = 2.2;
    records[3].cooling = "fan"; /* another row, as dry as the other */
    th_job job = job_on(&crepe, &crepe, &thin, &dry);
    assert_true(th_shop_record_of(records, 4, &job, &found));
    assert_int_equal(found.counts[TH_HELD], 2);
    assert_int_equal(found.counts[TH_MOVED], 1);
    assert_int_equal(found.counts[TH_LET_GO], 1);
    assert_near(found.held_least, 2.2, 0, 0);
    assert_near(found.failed_least, 0.8, 0, 0);
    assert_near(found.failed_greatest, 1.6, 0, 0);

    job = job_on(&film, &crepe, &thin, &dry);
    assert_false(th_shop_record_of(records, 4, &job, &found));
    job = job_on(&crepe, &film, &thin, &dry);
    assert_false(th_shop_record_of(records, 4, &job, &found));
    job = job_on(&crepe, &crepe, &none, &dry);
    assert_false(th_shop_record_of(records, 4, &job, &found));
    job = job_on(&crepe, &crepe, &thin, &mist);
    assert_false(th_shop_record_of(records, 4, &job, &found));
    job = job_on(&crepe, NULL, &none, &dry);
    assert_false(th_shop_record_of(records, 4, &job, &found));
    records[0].tape_below = "";
    records[0].glue = "none";
    assert_true(th_shop_record_of(records, 4, &job, &found));
    assert_int_equal(found.counts[TH_HELD], 1);
    assert_true(isnan(found.failed_least));
}

static void test_select(void **state) {
    (void)state;
    th_log_record records[3] = {usual(), usual(), usual()};
    const th_log_record *chosen[3];
    records[1].tape = "pvc-film";
    records[1].outcome = TH_LET_GO;
    th_log_filter filter = {NULL, -1, 0};
    assert_int_equal(th_log_select(records, 3, &filter, chosen), 3);
    filter.tape = "pvc-film";
    assert_int_equal(th_log_select(records, 3, &filter, chosen), 1);
    assert_ptr_equal(chosen[0], &records[1]);
    filter.tape = "crepe-masking"; /* below, of the second */
    filter.last = 2;
    assert_int_equal(th_log_select(records, 3, &filter, chosen), 2);
    assert_ptr_equal(chosen[0], &records[1]);
    filter.outcome = TH_HELD;
    filter.last = 1;
    assert_int_equal(th_log_select(records, 3, &filter, chosen), 1);
    assert_ptr_equal(chosen[0], &records[2]);
}

static void expect_sum(const int *outcomes, const double *factors, size_t count,
                       const char *expected) {
    th_log_record records[8];
    const th_log_record *chosen[8];
    th_doc doc = {0};
    th_text text = {0};
    for (size_t i = 0; i < count; i++) {
        records[i] = usual();
        records[i].outcome = outcomes[i];
        records[i].hold_factor = factors[i];
        chosen[i] = &records[i];
    }
    th_log_shown shown = {"x/log", chosen, count, count, 0, 0};
    assert_true(th_report_log(&shown, false, &doc, NULL));
    assert_true(th_doc_text(&doc, &text, NULL));
    if (strstr(text.data, expected) == NULL) {
        fail_msg("%s is not in\n%s", expected, text.data);
    }
    th_doc_free(&doc);
    th_text_free(&text);
}

static void test_words(void **state) {
    (void)state;
    enum { H = TH_HELD, M = TH_MOVED, L = TH_LET_GO };
    expect_sum((int[]){H}, (double[]){2.57}, 1, "\n1 held; at hold factor 2.5\n");
    expect_sum((int[]){H, H}, (double[]){2.57, 1.35}, 2, "\n2 held; lowest hold factor 1.3\n");
    expect_sum((int[]){H, L, H}, (double[]){2.5, 1.6, 3}, 3,
               "\n2 held, 1 let go; what let go had hold factor 1.6\n");
    expect_sum((int[]){H, L, M}, (double[]){2.5, 1.6, 0.8}, 3,
               "\n1 held, 1 moved, 1 let go; what moved or let go had hold factors 0.8 to 1.6\n");
    expect_sum((int[]){M}, (double[]){1.1}, 1, "\n1 moved; what moved had hold factor 1.1\n");
    expect_sum((int[]){L, L}, (double[]){1.6, 1.62}, 2, "\n2 let go; what let go had hold factor 1.6\n");
    expect_sum((int[]){L}, (double[]){0}, 1, "\n1 let go; what let go had hold factor 0\n");
    expect_sum(NULL, NULL, 0, "nothing is noted yet: tackhold log add JOB held|moved|let-go");
}

/* ---- a job that was judged ------------------------------------------------------------------- */

static bool says(const th_job *job, const th_check *check, bool all, const char *expected) {
    th_doc doc = {0};
    th_text text = {0};
    size_t lines = 0;
    assert_true(th_report_check(job, check, all, &doc, NULL));
    assert_true(th_doc_text(&doc, &text, NULL));
    bool found = strstr(text.data, expected) != NULL;
    for (size_t i = 0; i < text.size; i++) {
        lines += text.data[i] == '\n';
    }
    assert_true(all || lines <= TH_TEXT_LINES);
    th_doc_free(&doc);
    th_text_free(&text);
    return found;
}

static void test_noted(void **state) {
    (void)state;
    draft d = plate(60, 40, 3);
    answer a;
    th_arena arena = {NULL};
    th_log_record record;
    th_text line = {0};
    add_cut(&d, "cut.1", "slot", "flat-6mm-3");
    put(&d, "cut.1", "axial", "0.1");
    put(&d, "hold", "preparation", "scuffed");
    put(&d, "job", "asked_factor", "20");
    run(&d, true, &a);
    assert_true(th_log_record_of(a.job, &a.check, TH_MOVED, &arena, &record, NULL));
    record.when = "2026-01-31T14:05:09Z";
    th_log_line(&record, &line);
    th_log log = scanned(line.data, line.size);
    assert_int_equal(log.count, 1);
    const th_stage *stage = &a.check.stages[a.check.governs];
    assert_near(log.items[0].hold_factor, a.check.hold_factor, 0, 0);
    assert_near(log.items[0].area, stage->bonded_area, 0, 0);
    assert_near(log.items[0].asked_factor, 20, 0, 0);
    assert_int_equal(log.items[0].verdict, a.check.verdict);
    assert_string_equal(log.items[0].preparation, "scuffed");
    assert_string_equal(log.items[0].stage, "cut.1 slot");
    assert_string_equal(log.items[0].tape, a.job->hold.tape->head.id);

    /* What was noted of a job is said of that job, and changes nothing else. */
    th_shop_record found;
    assert_true(th_shop_record_of(log.items, log.count, a.job, &found));
    assert_false(says(a.job, &a.check, false, "own record"));
    a.check.record = &found;
    assert_true(says(a.job, &a.check, false, "own record  1 moved; what moved had hold factor "));
    assert_true(says(a.job, &a.check, true, "1 moved; what moved had hold factor "));
    th_text json = {0};
    assert_true(th_report_check_json(a.job, &a.check, &json, NULL));
    assert_non_null(strstr(json.data, "\"record\": {\"held\": 0, \"moved\": 1, \"let_go\": 0, "
                                      "\"lowest_held\": null, "));
    th_text_free(&json);
    th_log_free(&log);
    th_text_free(&line);
    th_arena_free(&arena);
    answer_free(&a);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_escapes),     cmocka_unit_test(test_every_cell),
        cmocka_unit_test(test_left_out),    cmocka_unit_test(test_other_lines),
        cmocka_unit_test(test_many_faults), cmocka_unit_test(test_append),
        cmocka_unit_test(test_torn),        cmocka_unit_test(test_append_to_edited),
        cmocka_unit_test(test_parallel),    cmocka_unit_test(test_refused),
        cmocka_unit_test(test_place),       cmocka_unit_test(test_locale),
        cmocka_unit_test(test_alike),       cmocka_unit_test(test_select),
        cmocka_unit_test(test_words),       cmocka_unit_test(test_noted),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
