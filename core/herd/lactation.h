/* What to expect of one cow in one lactation. Before her first weight that is what is usual for her breed,
 * her number of calvings and the milkings a day; each weight moves it towards her own curve.
 *
 * Model: ln(kg) = level + b (ln t - ln 60) - c (t - 60) + once * [milked once a day] + noise. That is Wood's
 * curve (wood.h) with its level told at day 60, where it is independent of the shape. The four terms have a
 * normal prior; the noise is relative, with tails as heavy as those of daily weights (Student's t, 4 degrees
 * of freedom), so that one spoilt day does not bend the curve. The posterior is a weighted linear regression
 * with a normal prior (Lindley & Smith, J. R. Statist. Soc. B 34:1, 1972), the weights found by repeating it
 * (Lange, Little & Taylor, J. Am. Statist. Ass. 84:881, 1989). */
#ifndef CORE_HERD_LACTATION_H
#define CORE_HERD_LACTATION_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/fail.h"
#include "core/base/working.h"
#include "core/herd/breed.h"
#include "core/herd/wood.h"

/* One civil day's milk of one cow. A day on which a milking was not weighed is not a row. Rows are in rising
 * order of day; days before 1 and weights that are not positive are passed over. */
struct yield_row {
    int day;      /* after calving; the day after calving is day 1 */
    double kg;    /* all milkings of the day together */
    int milkings; /* the milkings a day she was on then: 1, 2 or more */
};

enum lactation_term { LACTATION_LEVEL, LACTATION_RISE, LACTATION_FALL, LACTATION_ONCE, LACTATION_TERMS };

struct lactation_prior {
    double mean[LACTATION_TERMS]; /* ln kg at day 60 milked twice a day; b; c per day; ln of the once-a-day
                                     factor */
    double sd[LACTATION_TERMS];   /* independent of each other */
    double noise;                 /* usual scale of the daily deviation, as a fraction of the yield */
    double noise_days;            /* how many days of her own that usual scale is worth */
};

/* What is usual. `parity` is the number of her calvings including this one (1 = first lactation; 0 = not
 * known, taken as the second with a wider spread). */
void lactation_prior_usual(const struct breed *breed, int parity, struct lactation_prior *out,
                           struct working *w);

/* What the curve is wanted for. Milk wanders about Wood's curve for days and weeks, so the answer depends on
 * how far ahead one asks; memory and worth of a day were chosen on four real lactations (Friggens, Ridder &
 * Lovendahl, J. Dairy Sci. 90:5453, 2007), see tests/bench/yield_watch_report.c. */
enum lactation_view {
    LACTATION_CURVE,    /* every day alike: her curve so far, for drawing, peak and persistency */
    LACTATION_TOMORROW, /* the next days: a weight counts half after 10 days */
    LACTATION_SEASON,   /* the rest of the lactation, the year ahead: half after 30 days, and a day counts
                         * little, so that the usual course has its say */
};

/* What is known of her. Made by lactation_learn(), passed on as a value. */
struct lactation {
    double mean[LACTATION_TERMS];
    double cov[LACTATION_TERMS][LACTATION_TERMS];
    double noise;     /* scale of her own daily deviation, fraction of the yield */
    double day_worth; /* what a day tells compared with an independent one, by the view */
    size_t rows;      /* rows used */
    int last_day;     /* latest of them, 0 without any */
    double last_kg;   /* and its weight */
    int milkings;     /* milkings a day in that row, 0 without any */
};

/* Combines prior and rows. Cannot fail; without rows the result is the prior. */
void lactation_learn(const struct lactation_prior *prior, const struct yield_row *rows, size_t n,
                     enum lactation_view view, struct lactation *out, struct working *w);

struct expectation {
    double kg;      /* as likely above as below */
    double low_kg;  /* eight days in ten lie from here */
    double high_kg; /* to here */
    double spread;  /* relative scale of the whole uncertainty: noise and curve together */
};

/* Expected milk on `day` (>= 1) with that many milkings a day. On the day of calving there is no expectation:
 * all figures are NaN and the working says why. */
void lactation_expect(const struct lactation *lac, int day, int milkings, struct expectation *out,
                      struct working *w);

/* Her expected curve in Wood's form, for peak, persistency and drawing. */
struct wood lactation_curve(const struct lactation *lac, int milkings);

/* What one milking is expected to bring as a share of the day's milk, by the hours since the milking before:
 * milk is let into the udder at a nearly even rate, for up to 18 hours. Milked once a day: 1. hours <= 0 or
 * NaN (not known): an equal share. */
double milking_share(double hours_before, int milkings);

struct lactation_total {
    double to_date_kg;      /* days 1 .. last weighed: weights summed, gaps filled (see yield_total.h) */
    double expected_305_kg; /* to date and the expected rest up to day 305 */
    double low_305_kg, high_305_kg; /* nine times in ten */
    int days;                       /* last day weighed */
    int filled_days;                /* of these, days without a weight */
};

/* Milk to date and in 305 days, going on with `milkings` a day. `lac` is learned from the same rows with
 * LACTATION_SEASON. */
void lactation_total(const struct lactation *lac, const struct yield_row *rows, size_t n, int milkings,
                     struct lactation_total *out, struct working *w);

#endif
