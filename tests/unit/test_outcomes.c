/* test_outcomes.c - how a job went, by name, and how many of the shop's own log went so. Records
 * are invented. */
#include <math.h>

#include "support/near.h"
#include "tackhold/advice.h"

static void each_is_found_by_its_name(void **state) {
    (void)state;
    for (int i = 0; i < TH_LOG_OUTCOMES; i++) {
        assert_int_equal(th_log_outcome_of(th_log_outcome_name((th_log_outcome)i)), i);
    }
    assert_int_equal(th_log_outcome_of(""), -1);
    assert_int_equal(th_log_outcome_of("hel"), -1);
    assert_int_equal(th_log_outcome_of("held "), -1);
}

/* Of those that held the least factor counts, of all others the least and the greatest. */
static void each_is_counted(void **state) {
    static const th_log_record records[] = {
        {.outcome = TH_HELD, .hold_factor = 2.5}, {.outcome = TH_MOVED, .hold_factor = 1.4},
        {.outcome = TH_HELD, .hold_factor = 1.9}, {.outcome = TH_LET_GO, .hold_factor = 0.8},
        {.outcome = TH_HELD, .hold_factor = 3.1}, {.outcome = TH_MOVED, .hold_factor = 1.1}};
    enum { RECORDS = sizeof records / sizeof *records };
    const th_log_record *all[RECORDS] = {NULL};
    th_shop_record record;

    (void)state;
    record = th_shop_record_all(all, 0);
    assert_true(isnan(record.held_least) && isnan(record.failed_least) &&
                isnan(record.failed_greatest));
    for (int i = 0; i < RECORDS; i++) {
        all[i] = &records[i];
    }
    record = th_shop_record_all(all, RECORDS);
    assert_int_equal(record.counts[TH_HELD], 3);
    assert_int_equal(record.counts[TH_MOVED], 2);
    assert_int_equal(record.counts[TH_LET_GO], 1);
    assert_near(record.held_least, 1.9, 0, 0);
    assert_near(record.failed_least, 0.8, 0, 0);
    assert_near(record.failed_greatest, 1.4, 0, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_is_found_by_its_name),
        cmocka_unit_test(each_is_counted),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
