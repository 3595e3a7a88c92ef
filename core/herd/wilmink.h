/* Wilmink's curve y = a + b t + c e^(-k t) with k = 0.05 a day, for comparison with Wood's: linear in a, b,
 * c. J. B. M. Wilmink, Livestock Production Science 16:335, 1987. */
#ifndef CORE_HERD_WILMINK_H
#define CORE_HERD_WILMINK_H

#include <stddef.h>

#include "core/base/fail.h"
#include "core/herd/wood.h"

#define WILMINK_K 0.05

struct wilmink {
    double a, b, c;
};

double wilmink_at(const struct wilmink *curve, double t);

/* Time of the peak ln(k c / b) / k and value there; NaN unless b < 0 and c < 0 and the peak is at t >= 0. */
double wilmink_peak_day(const struct wilmink *curve);
double wilmink_peak_kg(const struct wilmink *curve);

/* Sum of the daily values t = first ... last. */
double wilmink_sum(const struct wilmink *curve, int first, int last);

/* Linear least squares. *sse and *r2 (may be NULL) as for Wood. Fails on fewer than four usable points (y > 0
 * and finite) or fewer than three different times. */
int wilmink_fit(const struct yield_point *points, size_t n, struct wilmink *out, double *sse, double *r2,
                struct fail *f);

#endif
