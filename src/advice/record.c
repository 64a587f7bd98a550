/* record.c - what the shop's own log says of jobs alike. */
#include "tackhold/advice.h"

#include <math.h>
#include <string.h>

static const char *const outcome_names[TH_LOG_OUTCOMES] = {"held", "moved", "let-go"};

const char *th_log_outcome_name(th_log_outcome outcome) {
    return outcome_names[outcome];
}

int th_log_outcome_of(const char *word) {
    for (int i = 0; i < TH_LOG_OUTCOMES; i++) {
        if (strcmp(word, outcome_names[i]) == 0) {
            return i;
        }
    }
    return -1;
}

static bool alike(const th_log_record *noted, const th_hold *hold) {
    return strcmp(noted->tape, hold->tape->head.id) == 0 &&
           strcmp(noted->tape_below, hold->tape_below ? hold->tape_below->head.id : "") == 0 &&
           strcmp(noted->glue, hold->glue ? hold->glue->head.id : "") == 0 &&
           noted->cooling_kind == hold->coolant->kind;
}

static void add(const th_log_record *noted, th_shop_record *record) {
    double factor = noted->hold_factor;

    record->counts[noted->outcome]++;
    if (noted->outcome == TH_HELD) {
        record->held_least = fmin(record->held_least, factor); /* which passes over NAN */
    } else {
        record->failed_least = fmin(record->failed_least, factor);
        record->failed_greatest = fmax(record->failed_greatest, factor);
    }
}

static const th_shop_record nothing = {{0}, NAN, NAN, NAN};

th_shop_record th_shop_record_all(const th_log_record *const *records, size_t count) {
    th_shop_record record = nothing;

    for (size_t i = 0; i < count; i++) {
        add(records[i], &record);
    }
    return record;
}

bool th_shop_record_of(const th_log_record *records, size_t count, const th_job *job,
                       th_shop_record *record) {
    bool any = false;

    *record = nothing;
    for (size_t i = 0; i < count; i++) {
        if (alike(&records[i], &job->hold)) {
            add(&records[i], record);
            any = true;
        }
    }
    return any;
}

size_t th_log_select(const th_log_record *records, size_t count, const th_log_filter *filter,
                     const th_log_record **chosen) {
    size_t found = 0;

    for (size_t i = 0; i < count; i++) {
        const th_log_record *r = &records[i];
        bool tape = !filter->tape || strcmp(filter->tape, r->tape) == 0 ||
                    strcmp(filter->tape, r->tape_below) == 0;
        if (tape && (filter->outcome < 0 || filter->outcome == r->outcome)) {
            chosen[found++] = r;
        }
    }
    if (filter->last > 0 && found > filter->last) {
        memmove(chosen, chosen + (found - filter->last), filter->last * sizeof *chosen);
        found = filter->last;
    }
    return found;
}
