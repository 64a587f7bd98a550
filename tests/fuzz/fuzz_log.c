/* fuzz_log.c - no log may crash its reader or make it use memory without bound. What it accepts
 * lies within its bounds and, written again, reads back as the same; every line that is no comment
 * is a record, or counted among those left out. */
#include "sound.h"

#include "tackhold/files.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_record(const th_log_record *r) {
    insist(r->line > 0 && strlen(r->when) == 20);
    insist(r->outcome >= 0 && r->outcome < TH_LOG_OUTCOMES);
    insist(r->verdict >= TH_HOLDS && r->verdict <= TH_LETS_GO);
    insist(r->cooling_kind >= TH_COOL_DRY && r->cooling_kind <= TH_COOL_OIL);
    insist(r->hold_factor >= 0 && r->hold_factor <= 1000);
    insist(r->coverage >= 0 && r->coverage <= 1 && r->wait >= 0);
    insist(isnan(r->area) || isfinite(r->area));
    insist(isnan(r->temperature) || isfinite(r->temperature));
}

static void check_same(const th_log_record *a, const th_log_record *b) {
    insist(strcmp(a->when, b->when) == 0 && strcmp(a->title, b->title) == 0);
    insist(strcmp(a->note, b->note) == 0 && strcmp(a->tape, b->tape) == 0);
    insist(strcmp(a->tape_below, b->tape_below) == 0 && strcmp(a->glue, b->glue) == 0);
    insist(a->outcome == b->outcome && a->verdict == b->verdict && a->estimate == b->estimate);
    insist(!(a->hold_factor < b->hold_factor) && !(a->hold_factor > b->hold_factor));
    insist(!(a->area < b->area) && !(a->area > b->area) && isnan(a->area) == isnan(b->area));
}

/* Written again, all of it is read, and no letter of it is another. */
static void check_again(const th_log *log) {
    th_text text = {0};
    th_log again = {0};
    for (size_t i = 0; i < log->count; i++) {
        th_log_line(&log->items[i], &text);
    }
    insist(!text.failed);
    insist(th_log_scan(text.data ? text.data : "", text.size, "again", &again, NULL));
    insist(again.count == log->count && again.skipped == 0 && again.torn == 0);
    for (size_t i = 0; i < log->count; i++) {
        check_same(&log->items[i], &again.items[i]);
    }
    th_log_free(&again);
    th_text_free(&text);
}

/* Lines that hold something and are no comment. */
static size_t count_lines(const char *text, size_t size) {
    size_t lines = 0;
    for (size_t i = 0; i < size;) {
        const char *end = memchr(text + i, '\n', size - i);
        size_t n = end ? (size_t)(end - text) - i : size - i;
        bool empty = n == 0 || (n == 1 && text[i] == '\r');
        lines += !empty && text[i] != '#';
        i += n + 1;
    }
    return lines;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    const char *text = (const char *)data;
    th_log log = {0};
    insist(th_log_scan(text, size, "log", &log, NULL));
    insist(log.count + log.skipped + log.torn == count_lines(text, size));
    insist(log.faults.count == (log.skipped < TH_LOG_FAULTS_MAX ? log.skipped : TH_LOG_FAULTS_MAX));
    for (size_t i = 0; i < log.count; i++) {
        check_record(&log.items[i]);
    }
    check_again(&log);
    th_log_free(&log);
    return 0;
}
