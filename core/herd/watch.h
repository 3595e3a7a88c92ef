/* Yield watch: is today's milk within what is usual for her, is it one odd day, or a trend?
 *
 * Each day's weight is compared with the expectation made from the days before it, in units of her own noise.
 * Two control charts with published constants run on these deviations (chart.h): the moving average sees a
 * slow slide, the sum a plain drop. One odd day is held down to WATCH_CLIP before it reaches them, so that
 * alone it stays a remark; a drop that lasts is an alarm, and so are two days running far below. An alarm is
 * a reason to look at the cow, never a diagnosis. How often it comes on real cows is printed by
 * tests/bench/yield_watch_report.c, beside the rule "20 % below on one day". */
#ifndef CORE_HERD_WATCH_H
#define CORE_HERD_WATCH_H

#include <stdbool.h>
#include <stddef.h>

#include "core/base/working.h"
#include "core/herd/chart.h"
#include "core/herd/lactation.h"

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
    int trend_days;          /* how many weighed days the trend has lasted; 0 without one */
    double trend_pct;        /* mean deviation over these days from what was expected before they began */
    double ewma, ewma_limit; /* z and the limit it is held against */
    double cusum, cusum_limit;
    char words[240]; /* one or two sentences for the status line and the cow's page */
};

/* One short line per level: "as expected", "low 3 days", "one odd day". "" when silent. Returns buf. */
const char *watch_word(const struct watch_result *r, char *buf, size_t size);

/* Constants of the charts, in standard deviations. Moving average: Lucas & Saccucci (Technometrics 32:1,
 * 1990), one false signal in 500. Sum for a shift of two standard deviations: Hawkins (Quality Engineering
 * 5:463, 1993), one in 370. Both from memory; chart_test.c recomputes the run lengths. */
#define WATCH_LAMBDA   0.20
#define WATCH_WIDTH    2.962
#define WATCH_SLACK    1.0
#define WATCH_DECISION 2.52

/* Ours: what an odd day counts for at most, from where it is a remark, and how far below two days running
 * must be. */
#define WATCH_CLIP 2.0
#define WATCH_ODD  2.5
#define WATCH_FAR  4.0

enum {
    WATCH_FIRST_DAY = 5, /* before it the milk is still coming in: no judgement */
    WATCH_GAP_DAYS = 7,  /* after a longer gap the charts start afresh */
};

/* Watches a lactation: rows as for lactation_learn(), the last one is the day asked about. `context` (may be
 * NULL) belongs to that day. each[] (may be NULL) has room for n results, one per row, without words and
 * trend_pct. */
void yield_watch(const struct lactation_prior *prior, const struct yield_row *rows, size_t n,
                 const struct watch_context *context, struct watch_result *out, struct watch_result *each,
                 struct working *w);

#endif
