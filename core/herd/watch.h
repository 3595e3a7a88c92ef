/* Yield watch: is today's milk within what is usual for her, is it one odd day, or a trend?
 *
 * Each day's weight is compared with the expectation made from the days before it, in units of her own noise.
 * Two control charts with published constants run on these deviations: an exponentially weighted moving
 * average (Roberts 1959; constants of Crowder, J. Quality Technology 21:155, 1989) and a cumulative sum (Page
 * 1954; constants of Montgomery, Introduction to Statistical Quality Control, chapter 9). One odd day is held
 * down to `WATCH_CLIP` before it reaches them, so that alone it is a remark; a trend is an alarm. An alarm is
 * a reason to look at the cow; it is not a diagnosis. */
#ifndef CORE_HERD_WATCH_H
#define CORE_HERD_WATCH_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/working.h"
#include "core/herd/lactation.h"

/* Exponentially weighted moving average. z_0 = target. */
struct ewma {
    double lambda; /* 0 < lambda <= 1 */
    double width;  /* limits at so many standard deviations of z */
    double target, sd;
    double z;
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

/* Two-sided cumulative sum. */
struct cusum {
    double target;
    double slack;    /* K, in the units of x: half the shift that matters */
    double decision; /* H */
    double high, low;
    size_t high_run, low_run; /* values since the sum was last zero: when the change began */
};

void cusum_init(struct cusum *chart, double target, double slack, double decision);
void cusum_take(struct cusum *chart, double x);
int cusum_signal(const struct cusum *chart); /* -1 low > H, +1 high > H, 0 */

/* Siegmund's approximation of the average run length of a one-sided sum, in standard units: slack k, decision
 * h, true shift. */
double cusum_run_length(double k, double h, double shift);

enum watch_level {
    WATCH_SILENT, /* nothing to say: no weight, or no expectation */
    WATCH_AS_EXPECTED,
    WATCH_ODD_LOW, /* one odd day: a remark */
    WATCH_ODD_HIGH,
    WATCH_TREND_HIGH, /* above expectation for days: a remark, and good news */
    WATCH_TREND_LOW,  /* the alarm */
};

/* What was recorded about those days that explains milk better than any chart; all optional. */
struct watch_context {
    bool heat;  /* seen in heat, or heat is due about now */
    bool udder; /* a strip or quarter finding is open */
    bool hot;   /* heat stress weather */
    bool feed_changed;
    bool off_routine; /* milked late, early, by somebody else, or a milking was missed */
    bool calf;        /* a calf is on her */
    bool ill;         /* an illness or treatment is recorded */
};

struct watch_result {
    enum watch_level level;
    int day; /* of the last row */
    double kg;
    struct expectation expected;
    double deviation_pct;    /* 100 (kg / expected - 1) */
    double deviation_noise;  /* the same in units of her own noise (of ln kg), negative below */
    int low_days;            /* how many weighed days the trend has lasted; 0 without one */
    double trend_pct;        /* mean deviation over these days */
    double ewma, ewma_limit; /* z and the limit it is held against */
    double cusum, cusum_limit;
    char words[240]; /* one or two sentences for the status line and the cow's page */
};

/* One short line per level: "as expected", "low 3 days", "odd day". Returns buf. */
const char *watch_word(const struct watch_result *r, char *buf, size_t size);

#define WATCH_LAMBDA   0.20
#define WATCH_WIDTH    2.72
#define WATCH_SLACK    0.5
#define WATCH_DECISION 5.0
#define WATCH_CLIP     2.5
#define WATCH_ODD      2.5

/* Watches a lactation: rows as for lactation_learn(), the last one is the day asked about. `context` (may be
 * NULL) belongs to that day. each[] (may be NULL) has room for n results, one per row, without words. */
void yield_watch(const struct lactation_prior *prior, const struct yield_row *rows, size_t n,
                 const struct watch_context *context, struct watch_result *out, struct watch_result *each,
                 struct working *w);

#endif
