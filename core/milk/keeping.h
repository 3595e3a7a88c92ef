/* Keeping quality: how much of the milk's life is used up, how much is left, and by when to use it.
 *
 * Cold-loving bacteria turn milk. Their growth rate follows the square-root model (Ratkowsky et al. 1982):
 *     sqrt(mu) = b (T - Tmin)         mu in ln units per hour, 0 below Tmin
 * so life is used at the relative rate
 *     r(T) = ((T - Tmin) / (Tref - Tmin))^2        Tmin -7.85 °C, Tref 4 °C
 * and after a whole temperature history U = integral of r(T) dt has been used. The model holds below about
 * 25 °C; above, the rate at 25 °C is kept (a judgement: those bacteria slow down, others take over).
 *
 * The shape (Tmin) comes from the literature, the scale (days at 4 °C) from this dairy's own tasting.
 *
 * Keeping quality is not safety; keeping_caution says so and is part of every working made here. */
#ifndef CORE_MILK_KEEPING_H
#define CORE_MILK_KEEPING_H

#include <stddef.h>

#include "core/base/civil.h"
#include "core/base/fail.h"
#include "core/base/working.h"

#define KEEPING_TMIN_C         (-7.85) /* Pseudomonas fragi in milk, Fu, Taoukis & Labuza 1991 */
#define KEEPING_REF_C          4.0     /* where days of life are counted */
#define KEEPING_CAP_C          25.0
#define KEEPING_SPOILED_PER_ML 1e7 /* milk has turned near this count: J Dairy Res 49:619 (1982) */

/* Shown wherever days are shown. */
extern const char keeping_caution[];

/* ---- rates ---- */

/* One kind of bacterium, or a usual mixture, in milk. */
struct keeping_strain {
    double b_per_rt_h_k; /* b, in 1/(sqrt(h) K) */
    double tmin_c;
};

extern const struct keeping_strain keeping_fast;    /* Pseudomonas fragi: the fastest published one in milk */
extern const struct keeping_strain keeping_average; /* mean of twelve isolates from milk, same Tmin */

/* mu in ln units per hour; the doubling time in hours, NaN where nothing grows. */
double keeping_rate_per_h(const struct keeping_strain *strain, double temp_c);
double keeping_doubling_h(const struct keeping_strain *strain, double temp_c);

/* Days at temp_c until start_per_ml has grown to 1e7 per mL, no lag; 0 when it is there already, NaN where
 * nothing grows. */
double keeping_days_to_spoil(const struct keeping_strain *strain, double start_per_ml, double temp_c);

/* r(T) with Tmin -7.85 °C, for any reference temperature above Tmin. */
double keeping_relative_rate(double temp_c, double ref_c);

/* ---- histories ---- */

enum keeping_shape {
    KEEPING_HELD,     /* start_c all along */
    KEEPING_RELAXING, /* from start_c toward toward_c at k_per_h: a bath, a refrigerator */
    KEEPING_RAMP,     /* a straight line from start_c to toward_c: between two readings */
};

/* One stretch of a batch's temperature. A history is an array of these, in order of time. */
struct keeping_span {
    enum keeping_shape shape;
    double hours; /* length, >= 0 */
    double start_c;
    double toward_c; /* not used by KEEPING_HELD */
    double k_per_h;  /* only used by KEEPING_RELAXING; >= 0 */
};

struct keeping_span keeping_held(double hours, double temp_c);
struct keeping_span keeping_relaxing(double hours, double start_c, double toward_c, double k_per_h);
struct keeping_span keeping_ramp(double hours, double start_c, double end_c);

/* Checks lengths, rates and temperatures (-80..150 °C); names the first span that is wrong. */
int keeping_spans_check(const struct keeping_span *span, size_t count, struct fail *f);

/* A reading at a time. */
struct keeping_sample {
    double hours; /* since any fixed moment; never falling from row to row */
    double temp_c;
};

/* Straight lines between readings: writes count - 1 spans. Two readings at one time make a step. Refuses
 * fewer than two readings, times that fall, and what keeping_spans_check() refuses. */
int keeping_from_samples(const struct keeping_sample *sample, size_t count, struct keeping_span *out,
                         struct fail *f);

/* Temperature at `hours` into the span (0 .. its length), and at its end. */
double keeping_span_at_c(const struct keeping_span *span, double hours);
double keeping_span_end_c(const struct keeping_span *span);

/* Exact integral of (T - tmin)^2 dt in K2 h, with T no higher than KEEPING_CAP_C and nothing below tmin. */
double keeping_span_exposure(const struct keeping_span *span, double tmin_c);

/* Hours of the span during which it is warmer than limit_c (strictly). */
double keeping_span_above_h(const struct keeping_span *span, double limit_c);

/* The same over a whole history: its length in hours; hours above a limit; days of life used, counted at
 * 4 °C; growth ln(N/N0), no lag assumed (the cautious side). */
double keeping_hours(const struct keeping_span *span, size_t count);
double keeping_above_h(const struct keeping_span *span, size_t count, double limit_c);
double keeping_used_days(const struct keeping_span *span, size_t count);
double keeping_growth_ln(const struct keeping_strain *strain, const struct keeping_span *span, size_t count);

/* Hours after which so many days of life were used; NaN when the history did not use them up. */
double keeping_spent_h(const struct keeping_span *span, size_t count, double days);

/* Hours above limit_c after the milk was first at or below it; NaN when it never was. */
double keeping_warm_again_h(const struct keeping_span *span, size_t count, double limit_c);

/* Days of life at store_c that a history cost beyond what the same hours at store_c would have cost: what a
 * slow chill took from the shelf. NaN when nothing grows at store_c. */
double keeping_lost_days(const struct keeping_span *span, size_t count, double store_c, struct working *w);

/* ---- the scale: how long milk of this dairy lasts ---- */

enum keeping_basis {
    KEEPING_USUAL,   /* nothing known yet: between the fastest published strain and common practice */
    KEEPING_GIVEN,   /* the user said how many days at what temperature */
    KEEPING_COUNTED, /* from a count per mL and the fastest published strain */
    KEEPING_LEARNED, /* from this dairy's tastings */
};

struct keeping_scale {
    enum keeping_basis basis;
    double life_days;    /* days at 4 °C until half of all batches have turned */
    double log_sd;       /* how well that is known: sd of its natural logarithm */
    double batch_log_sd; /* how much batches differ from each other */
    int tastings;
};

/* The usual life: 8.34 days at 4 °C (100 bacteria per mL growing to 1e7 at the mean rate of twelve isolates
 * from milk), 3.65 (the fastest published strain) to 19.1 days in 95 of 100 dairies, the upper end being
 * where common practice puts clean, fast-chilled milk ("14 to 20 days": no source). Batches differ as the
 * twelve isolates do, ln sd 0.235. */
struct keeping_scale keeping_scale_usual(void);

/* `days` at `at_c` by the user's word. Refuses days that are not positive, at_c not above Tmin. */
int keeping_scale_given(double days, double at_c, struct keeping_scale *out, struct fail *f);

/* From a starting count per mL and the fastest published strain. A count at or above 1e7 has a life of 0.
 * Refuses a count below 1. */
int keeping_scale_counted(double start_per_ml, struct keeping_scale *out, struct fail *f);

/* One batch that was tasted, in days of life used (keeping_used_days() of its history until then). */
struct keeping_tasting {
    double good_days;   /* when it last tasted good; 0 if it was never tasted good */
    double turned_days; /* when it was first found turned; INFINITY if it never was; good_days if known
                           exactly */
};

/* What the tastings say, starting from the usual scale: Bayes' rule with a log-normal prior for this dairy's
 * life and log-normal batches around it; "still good" and "already turned" count for what they are. Without
 * tastings the usual scale comes back. Refuses a tasting that is negative or turned before it was good. */
int keeping_learn(const struct keeping_tasting *tasting, size_t count, struct keeping_scale *out,
                  struct working *w, struct fail *f);

/* ---- forecast ---- */

struct keeping_forecast {
    double used_days;  /* life used so far, counted at 4 °C */
    double total_days; /* whole life of fresh milk at store_c; NaN when nothing grows there */
    double left_days;  /* at store_c from now on, for the middle batch; 0 when it is gone; NaN as above */
    double low_days;   /* nine batches in ten are still good for this long: for use-by dates */
    double high_days;  /* one in ten lasts this long */
};

/* Days left at store_c after a history (count may be 0: fresh milk). Fails as keeping_spans_check(). */
int keeping_forecast(const struct keeping_span *span, size_t count, const struct keeping_scale *scale,
                     double store_c, struct keeping_forecast *out, struct working *w, struct fail *f);

/* The count now, per mL, when start_per_ml reaches 1e7 just as the life of `scale` is used up. */
double keeping_count_per_ml(double start_per_ml, double used_days, const struct keeping_scale *scale,
                            struct working *w);

enum keeping_binds { KEEPING_BY_RULE, KEEPING_BY_MODEL };

struct keeping_use_by {
    struct date on;
    enum keeping_binds binds; /* which of the two is the earlier; the rule, when they are the same day */
    struct date rule_on;      /* DATE_NONE when the user has no rule */
    struct date model_on;     /* DATE_NONE when the model has no end (nothing grows at that temperature) */
};

/* The earlier of the user's rule (so many days after the day of milking; negative = no rule) and the last
 * whole day that nine batches in ten outlast. Refuses when neither exists. */
int keeping_use_by(struct instant milked_at, int rule_days, const struct keeping_forecast *forecast,
                   struct instant now, struct keeping_use_by *out, struct working *w, struct fail *f);

#endif
