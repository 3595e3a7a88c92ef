/* What every test program shares: running suites, comparing numbers, reading data files. */
#ifndef TESTS_SUPPORT_H
#define TESTS_SUPPORT_H

#include <check.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tests/stream.h"

/* Runs the suites (a list ended by NULL) and returns the exit status for main(). */
int run_suites(Suite *(*const make[])(void));

/* |a - b| <= tol * max(|b|, tiny): `expected` comes from the source named beside the check. */
#define ck_near(actual, expected, relative)                                                                  \
    do {                                                                                                     \
        double a_ = (actual), e_ = (expected), t_ = (relative) * (e_ < 0 ? -e_ : e_);                        \
        ck_assert_msg(a_ - e_ <= t_ && e_ - a_ <= t_, "%s is %.14g, expected %.14g (relative tolerance %g)", \
                      #actual, a_, e_, (double)(relative));                                                  \
    } while (0)

/* |a - b| <= tolerance. */
#define ck_within(actual, expected, tolerance)                                                               \
    do {                                                                                                     \
        double a_ = (actual), e_ = (expected), t_ = (tolerance);                                             \
        ck_assert_msg(a_ - e_ <= t_ && e_ - a_ <= t_, "%s is %.14g, expected %.14g within %g", #actual, a_,  \
                      e_, t_);                                                                               \
    } while (0)

/* Whole text of tests/NAME, allocated; stops the test if it cannot be read. */
char *read_test_file(const char *name, size_t *size);

#endif
