/* Least squares: the rate of cooling from readings, and the curves that reference data sets are made of. For
 * the forecast's own fit, with a prior, bands and wild readings, see learn.h. */
#ifndef CORE_COOLING_FIT_H
#define CORE_COOLING_FIT_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"

enum { FIT_POINTS_MAX = 512, FIT_PARAMETERS_MAX = 5, RATE_READINGS_MAX = 64 };

/* --- the rate alone, milk and surroundings as given --- */

struct rate_reading {
    double time; /* since the milk was at its starting temperature; above 0 */
    double temp;
};

struct rate_fit {
    double k;         /* per unit of time */
    double sd;        /* its standard error; NaN with one reading */
    double low, high; /* 95 % interval by Student's t; NaN with one reading */
    double residual_sd;
};

/* Plain least squares of start, around and k e^(-k t) on k; one reading is met exactly. Refuses no readings,
 * a time not above 0, two readings at one time, a reading above the milk's temperature at the start, and
 * readings none of which is above the surroundings. All in one unit of temperature and one of time. */
int rate_from_readings(double start, double around, const struct rate_reading *reading, size_t count,
                       struct rate_fit *out, struct fail *f);

/* Slope of ln(T - Ta) on time, each point with weight 1, or (T - Ta)^2, which is what even errors of T call
 * for. The intercept is free. *sd may be NULL. Points at or below the surroundings are not allowed. */
double rate_log_linear(double around, const struct rate_reading *reading, size_t count, int weighted,
                       double *sd);

/* --- curves with several parameters --- */

enum curve {
    CURVE_RISE,       /* b1 (1 - e^(-b2 x)) */
    CURVE_DECAY,      /* b1 + b2 e^(-b3 x) */
    CURVE_TWO_DECAYS, /* b1 + b2 e^(-b4 x) + b3 e^(-b5 x) */
    CURVES
};

int curve_parameters(enum curve curve); /* 2, 3, 5 */

struct curve_fit {
    double b[FIT_PARAMETERS_MAX], sd[FIT_PARAMETERS_MAX];
    double low[FIT_PARAMETERS_MAX], high[FIT_PARAMETERS_MAX]; /* 95 % */
    double sum_of_squares, residual_sd;
    int degrees; /* of freedom */
};

/* Levenberg and Marquardt (MINPACK's lmder) from `start`. Fails with a sentence if it does not converge, or
 * there are no more points than parameters. A free ambient fitted to a short run of cooling is worthless
 * however small its standard error: nothing in the forecast does that. */
int curve_fit(enum curve curve, const double *x, const double *y, size_t count, const double *start,
              struct curve_fit *out, struct fail *f);

#endif
