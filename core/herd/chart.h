/* Control charts that see a lasting change sooner than a single limit does: the exponentially weighted moving
 * average (Roberts, Technometrics 1:239, 1959) and the cumulative sum (Page, Biometrika 41:100, 1954). Plain
 * values, no memory; one call takes one value in. */
#ifndef CORE_HERD_CHART_H
#define CORE_HERD_CHART_H

#include <stddef.h>

struct ewma {
    double lambda; /* weight of the newest value, 0 < lambda <= 1 */
    double width;  /* limits at so many standard deviations of z */
    double target, sd;
    double z; /* starts at target */
    size_t count;
};

void ewma_init(struct ewma *chart, double lambda, double width, double target, double sd);

/* Takes the next value in; returns z. */
double ewma_take(struct ewma *chart, double x);

/* Half-width of the limits about the target after `count` values:
 * width sd sqrt(lambda / (2 - lambda) (1 - (1 - lambda)^(2 count))). */
double ewma_half_width(const struct ewma *chart);

/* -1 below the lower limit, +1 above the upper, 0 within. */
int ewma_signal(const struct ewma *chart);

/* Two-sided cumulative sum, in the units of x. */
struct cusum {
    double target;
    double slack;             /* K: half the shift that matters */
    double decision;          /* H: a sum above it signals */
    double high, low;         /* both start at 0; a head start may be set after cusum_init() */
    size_t high_run, low_run; /* values since the sum was last 0: how long ago the change began */
};

void cusum_init(struct cusum *chart, double target, double slack, double decision);
void cusum_take(struct cusum *chart, double x);
int cusum_signal(const struct cusum *chart); /* -1: low above H, +1: high above H, 0 */

/* Siegmund's approximation of the average run length of a one-sided sum in standard units: slack k, decision
 * h, true shift of the mean (Sequential Analysis, 1985). */
double cusum_run_length(double k, double h, double shift);

#endif
