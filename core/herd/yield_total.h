/* Milk of a lactation from its records: daily weights are summed, with a straight line over short gaps; the
 * test interval method is for records weeks apart. */
#ifndef CORE_HERD_YIELD_TOTAL_H
#define CORE_HERD_YIELD_TOTAL_H

#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/herd/wood.h"

/* The longest run of missing days that a straight line fills when there is a curve to use instead. */
enum { GAP_LINEAR_DAYS_MAX = 14 };

struct yield_sum {
    double kg;
    int recorded_days; /* days first..last that have a weight */
    int linear_days;   /* filled by a straight line between the weights on either side */
    int curve_days;    /* filled from the curve, or from the nearest weight when there is no curve */
};

/* Sums days first..last (whole days, first >= 1). Points in rising order of t, whole days, y >= 0. Days
 * between two weights are filled by a straight line, but from `curve` (may be NULL) when more than
 * GAP_LINEAR_DAYS_MAX are missing in a row; days before the first and after the last weight come from the
 * curve, or without one from the nearest weight. Fails without any point in the span. */
int yield_sum_days(const struct yield_point *points, size_t n, int first, int last, const struct wood *curve,
                   struct yield_sum *out, struct fail *f);

struct milk_test {
    struct date on;
    double milk_kg; /* in that day */
    double fat_pct; /* NaN: not tested */
};

struct interval_total {
    double milk_kg;
    double fat_kg;  /* NaN unless every test has its fat */
    double fat_pct; /* 100 fat_kg / milk_kg */
    int days;       /* calving to end */
};

/* Test interval method (Sargent 1968; ICAR Guidelines, Section 2, Procedure 2): calving to first test at the
 * first yield, between tests the mean of the two, last test to end at the last yield. Tests in rising order
 * of date, none before calving or after `end`; fails otherwise. */
int interval_method(const struct milk_test *tests, size_t n, struct date calved_on, struct date end_on,
                    struct interval_total *out, struct working *w, struct fail *f);

#endif
