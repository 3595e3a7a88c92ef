/* Wood's lactation curve y = a t^b e^(-c t), t = days (or weeks) after calving, from 1 on.
 * P. D. P. Wood, Algebraic model of the lactation curve in cattle, Nature 216:164, 1967.
 * A curve has a peak only if b > 0 and c > 0; everything that rests on the peak is NaN otherwise. */
#ifndef CORE_HERD_WOOD_H
#define CORE_HERD_WOOD_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"

struct yield_point {
    double t; /* days after calving; the day after calving is day 1 */
    double y; /* kg in that day */
};

struct wood {
    double a, b, c;
};

/* Value at t >= 1; NaN before (the curve is 0 or infinite at t = 0). */
double wood_at(const struct wood *curve, double t);

/* Time of the peak b/c, value there a (b/c)^b e^(-b), persistency -(b+1) ln c. NaN without a peak. */
double wood_peak_day(const struct wood *curve);
double wood_peak_kg(const struct wood *curve);
double wood_persistency(const struct wood *curve);

/* Sum of the daily values t = first, first+1, ... last (1 <= first). */
double wood_sum(const struct wood *curve, int first, int last);

enum { WOOD_POINTS_MIN = 4, WOOD_POINTS_MAX = 2000 };

/* A fitted curve and how well it fits. */
struct wood_fit {
    struct wood curve;
    double sse;   /* sum of squared residuals, kg^2 */
    double r2;    /* share of the variance about the mean that the curve explains; NaN if y is constant */
    double sd_kg; /* residual standard deviation sqrt(sse / (n - 3)) */
    size_t n;     /* points used: those with t >= 1 and y > 0 */
    double first, last; /* their earliest and latest time */
};

/* Least squares of ln y on ln t and t; with `weighted`, weights y^2, which keeps small late values from
 * ruling the fit. Fails on fewer than WOOD_POINTS_MIN usable points, more than WOOD_POINTS_MAX, or points
 * that do not determine three numbers (fewer than three different days). */
int wood_fit_log(const struct yield_point *points, size_t n, bool weighted, struct wood_fit *out,
                 struct fail *f);

/* Least squares on the yields themselves, from the weighted log fit as the start (Levenberg-Marquardt of
 * MINPACK). Same failures, and points on which the search does not settle. */
int wood_fit(const struct yield_point *points, size_t n, struct wood_fit *out, struct working *w,
             struct fail *f);

/* The peak that the data show: NaN, with the reason in *why (static text), if the curve has none or it lies
 * outside first..last, where it would be made up. */
double wood_fit_peak_day(const struct wood_fit *fit, const char **why);

#endif
