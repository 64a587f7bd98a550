/* The printed value of a key is one that reads back: typed again it means the same. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tackhold/tables.h"

static void assert_prints(const char *name, const th_cut *cut, th_units units, const char *wanted) {
    const th_key_group *group = th_key_group_of("cut", true);
    th_text text = {0};

    for (size_t i = 0; i < group->count; i++) {
        if (strcmp(group->keys[i].name, name) == 0) {
            th_key_print(&group->keys[i], cut, units, &text);
            assert_non_null(text.data);
            assert_string_equal(text.data, wanted);
            th_text_free(&text);
            return;
        }
    }
    fail_msg("there is no key %s", name);
}

static void test_one_number_stays_one(void **state) {
    th_cut cut = {.size = {5.2, 5.2, true}};

    (void)state;
    assert_prints("size", &cut, TH_MM, "5.2 mm");
    cut.size = (th_size){12.7, 5.08, false};
    assert_prints("size", &cut, TH_MM, "12.7 mm x 5.08 mm");
    assert_prints("size", &cut, TH_INCH, "0.5 in x 0.2 in");
}

static void test_per_turn_stays_per_turn(void **state) {
    th_cut cut = {.chip_reading = {0.0254, true}};

    (void)state;
    assert_prints("chip_load", &cut, TH_MM, "0.0254 mm/rev");
    assert_prints("chip_load", &cut, TH_INCH, "0.001 in/rev");
    cut.chip_reading.per_rev = false;
    assert_prints("chip_load", &cut, TH_MM, "0.0254 mm/tooth");
    assert_prints("chip_load", &cut, TH_INCH, "0.001 in/tooth");
}

static void test_absent_prints_nothing(void **state) {
    const double none = (double)NAN;
    const th_cut cut = {.from = {none, none},
                        .size = {none, none, false},
                        .pitch = {none, none, false},
                        .circle = {0, none},
                        .skin = none,
                        .chip_reading = {none, false},
                        .through_word = -1};
    static const char *const names[] = {"from",   "size", "pitch",     "grid",
                                        "circle", "skin", "chip_load", "through"};

    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        assert_prints(names[i], &cut, TH_MM, "");
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_one_number_stays_one),
        cmocka_unit_test(test_per_turn_stays_per_turn),
        cmocka_unit_test(test_absent_prints_nothing),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
