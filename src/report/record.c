/* The shop's own log, and what it says of jobs alike. */
#include "record.h"

#include <math.h>
#include <string.h>

#include "words.h"

/* ---- a count --------------------------------------------------------------------------------- */

static const char *words_of(int outcome) {
    return outcome == TH_LET_GO ? "let go" : th_log_outcome_name((th_log_outcome)outcome);
}

/* At which hold factors those stood that did not hold. */
static const char *failed(th_doc *doc, const th_shop_record *record, size_t count, double asked) {
    const char *least = th_words_factor(doc, record->failed_least, asked);
    const char *greatest = th_words_factor(doc, record->failed_greatest, asked);
    const char *what = record->counts[TH_LET_GO] == 0  ? "moved"
                       : record->counts[TH_MOVED] == 0 ? "let go"
                                                       : "moved or let go";

    if (count == 1 || strcmp(least, greatest) == 0) {
        return th_words_print(doc, "; what %s had hold factor %s", what, least);
    }
    return th_words_print(doc, "; what %s had hold factors %s to %s", what, least, greatest);
}

const char *th_words_record(th_doc *doc, const th_shop_record *record, double asked) {
    size_t not_held = record->counts[TH_MOVED] + record->counts[TH_LET_GO];
    const char *text = "";
    for (int i = 0; i < TH_LOG_OUTCOMES; i++) {
        if (record->counts[i] > 0) {
            text = th_words_print(doc, "%s%s%zu %s", text, text[0] == '\0' ? "" : ", ",
                                  record->counts[i], words_of(i));
        }
    }
    if (not_held > 0) {
        return th_words_print(doc, "%s%s", text, failed(doc, record, not_held, asked));
    }
    return record->counts[TH_HELD] == 0
               ? text
               : th_words_print(doc, "%s; %s hold factor %s", text,
                                record->counts[TH_HELD] == 1 ? "at" : "lowest",
                                th_words_factor(doc, record->held_least, asked));
}

void th_record_json(th_json *json, const th_shop_record *record) {
    th_json_key(json, "record");
    if (record == NULL) {
        th_json_null(json);
        return;
    }
    th_json_object(json);
    th_json_value(json, "held", (double)record->counts[TH_HELD]);
    th_json_value(json, "moved", (double)record->counts[TH_MOVED]);
    th_json_value(json, "let_go", (double)record->counts[TH_LET_GO]);
    th_json_value(json, "lowest_held", record->held_least);
    th_json_value(json, "lowest_failed", record->failed_least);
    th_json_value(json, "highest_failed", record->failed_greatest);
    th_json_end(json);
}

/* ---- the log --------------------------------------------------------------------------------- */

/* Letters of an id in a column of the screen. */
enum { TAPE_MOST = 20, COOLING_MOST = 10 };

/* "2026-01-31 14:05". */
static const char *minute_of(th_doc *doc, const char *when) {
    return th_words_print(doc, "%.10s %.5s", when, when + 11);
}

/* Ids are as long as their owner likes: the columns of a screen are not. */
static const char *shortened(th_doc *doc, const char *id, size_t most) {
    return strlen(id) <= most ? id : th_words_print(doc, "%.*s...", (int)(most - 3), id);
}

static void put_short(th_doc *doc, const th_log_record *r) {
    const char *what = r->note[0] == '\0' ? r->title : r->note;
    if (r->note[0] != '\0' && r->title[0] != '\0') {
        what = th_words_print(doc, "%s: %s", r->title, r->note);
    }
    const char *cells[] = {minute_of(doc, r->when),
                           words_of(r->outcome),
                           th_words_factor(doc, r->hold_factor, r->asked_factor),
                           shortened(doc, r->tape, TAPE_MOST),
                           shortened(doc, r->cooling, COOLING_MOST),
                           what};
    th_doc_row(doc, cells);
}

static void put_full(th_doc *doc, const th_log_record *r) {
    char factor[48], asked[48];
    th_number_print(r->hold_factor, 6, factor, sizeof factor);
    th_number_print(r->asked_factor, 6, asked, sizeof asked);
    const char *cells[] = {r->when,
                           th_log_outcome_name((th_log_outcome)r->outcome),
                           r->title,
                           th_verdict_name((th_verdict)r->verdict),
                           th_words_print(doc, "%s", factor),
                           th_words_print(doc, "%s", asked),
                           r->stage,
                           r->way,
                           r->interface,
                           r->stock,
                           r->tape,
                           r->tape_below,
                           r->glue,
                           r->cooling,
                           r->cutter,
                           r->note};
    th_doc_row(doc, cells);
}

static void put_columns(th_doc *doc, bool full) {
    static const th_doc_column some[] = {
        {"when", "UTC", false, false},   {"outcome", NULL, false, false},
        {"hold", "factor", true, false}, {"tape", NULL, false, false},
        {"cooling", NULL, false, false}, {"job: note", NULL, false, true}};
    static const th_doc_column all[] = {
        {"time", NULL, false, false},       {"outcome", NULL, false, false},
        {"title", NULL, false, false},      {"verdict", NULL, false, false},
        {"hold_factor", NULL, true, false}, {"asked_factor", NULL, true, false},
        {"stage", NULL, false, false},      {"way", NULL, false, false},
        {"interface", NULL, false, false},  {"stock", NULL, false, false},
        {"tape", NULL, false, false},       {"tape_below", NULL, false, false},
        {"glue", NULL, false, false},       {"cooling", NULL, false, false},
        {"cutter", NULL, false, false},     {"note", NULL, false, false}};
    th_doc_columns(doc, full ? all : some,
                   full ? sizeof all / sizeof *all : sizeof some / sizeof *some);
}

static void put_sums(const th_log_shown *log, th_doc *doc) {
    th_doc_begin(doc, NULL);
    if (log->count > 0) {
        th_shop_record record = th_shop_record_all(log->records, log->count);
        th_doc_line(doc, "%s", th_words_record(doc, &record, 1));
    }
    th_doc_line(doc, "%zu of %zu record%s in %s", log->count, log->all, log->all == 1 ? "" : "s",
                log->path);
    if (log->skipped + log->torn > 0) {
        th_doc_line(doc, "left out, kept in the file: not understood %zu, cut short %zu",
                    log->skipped, log->torn);
    }
}

bool th_report_log(const th_log_shown *log, bool full, th_doc *doc, th_error *err) {
    if (log->count > 0 || full) {
        th_doc_begin(doc, NULL);
        put_columns(doc, full);
        for (size_t i = 0; i < log->count; i++) {
            (full ? put_full : put_short)(doc, log->records[i]);
        }
    } else {
        th_doc_line(doc, "%s",
                    log->all > 0 ? "no record is of that kind"
                                 : "nothing is noted yet: tackhold log add JOB held|moved|let-go");
    }
    put_sums(log, doc);
    return !doc->failed || th_fail_memory(err);
}

/* ---- JSON ------------------------------------------------------------------------------------ */

static void put_text(th_json *json, const char *key, const char *value) {
    th_json_text(json, key, value[0] == '\0' ? NULL : value);
}

static void put_hold_json(th_json *json, const th_log_record *r) {
    put_text(json, "stock", r->stock);
    put_text(json, "tape", r->tape);
    put_text(json, "tape_below", r->tape_below);
    put_text(json, "glue", r->glue);
    put_text(json, "cooling", r->cooling);
    th_json_text(json, "cooling_kind", th_pull_cooling_name((th_coolant_kind)r->cooling_kind));
    put_text(json, "plate", r->plate);
    put_text(json, "preparation", r->preparation);
    put_text(json, "machine", r->machine);
    put_text(json, "cutter", r->cutter);
    th_json_value(json, "coverage", r->coverage);
    th_json_value(json, "wait_s", r->wait);
}

static void put_record_json(th_json *json, const th_log_record *r) {
    th_json_object(json);
    th_json_value(json, "line", r->line);
    th_json_text(json, "time", r->when);
    th_json_text(json, "outcome", th_log_outcome_name((th_log_outcome)r->outcome));
    put_text(json, "job", r->title);
    th_json_text(json, "verdict", th_verdict_name((th_verdict)r->verdict));
    th_json_flag(json, "estimate", r->estimate != 0);
    th_json_value(json, "hold_factor", r->hold_factor);
    th_json_value(json, "asked_factor", r->asked_factor);
    put_text(json, "stage", r->stage);
    put_text(json, "offcut", r->piece);
    put_text(json, "way", r->way);
    put_text(json, "load", r->load);
    put_text(json, "interface", r->interface);
    put_hold_json(json, r);
    th_json_value(json, "bonded_area_mm2", r->area);
    th_json_value(json, "tape_temperature_C", r->temperature);
    th_json_value(json, "minutes", r->minutes);
    put_text(json, "program", r->program);
    put_text(json, "note", r->note);
    th_json_end(json);
}

bool th_report_log_json(const th_log_shown *log, th_text *text, th_error *err) {
    th_json json = {.text = text};
    th_json_object(&json);
    th_json_text(&json, "tackhold", TH_VERSION);
    th_json_text(&json, "log", log->path);
    th_json_key(&json, "records");
    th_json_array(&json);
    for (size_t i = 0; i < log->count; i++) {
        put_record_json(&json, log->records[i]);
    }
    th_json_end(&json);
    th_json_value(&json, "all", (double)log->all);
    th_json_value(&json, "skipped", (double)log->skipped);
    th_json_value(&json, "torn", (double)log->torn);
    th_json_end(&json);
    th_text_put(text, "\n");
    return !(json.failed || text->failed) || th_fail_memory(err);
}

bool th_report_noted(const th_log_record *record, const char *path, th_doc *doc, th_error *err) {
    th_doc_line(doc, "noted: %s, %s, %s%s%s, %s; hold factor %s, %s", words_of(record->outcome),
                record->title, record->tape, record->glue[0] == '\0' ? "" : " and ", record->glue,
                record->cooling, th_words_factor(doc, record->hold_factor, record->asked_factor),
                th_verdict_name((th_verdict)record->verdict));
    th_doc_line(doc, "in %s", path);
    return !doc->failed || th_fail_memory(err);
}
