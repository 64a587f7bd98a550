/* near.h - comparing doubles in tests; fails on NaN and infinity, prints every digit. */
#ifndef TACKHOLD_TESTS_NEAR_H
#define TACKHOLD_TESTS_NEAR_H

#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

/* Fails the running test unless |actual - expected| <= absolute + relative * |expected|. */
void near_check(double actual, double expected, double relative, double absolute, const char *what,
                const char *file, int line);

#define assert_near(actual, expected, relative, absolute)                                          \
    near_check((actual), (expected), (relative), (absolute), #actual, __FILE__, __LINE__)

#endif
