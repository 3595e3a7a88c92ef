/* The yield watch and the rule "a fifth below the median of the last seven days, on one day", tried on the
 * four real lactations as they are and with drops laid over them. Used by the tests and by
 * tests/bench/yield_watch_report.c. */
#ifndef TESTS_HERD_WATCH_TRIAL_H
#define TESTS_HERD_WATCH_TRIAL_H

#include <math.h>

#include "core/herd/watch.h"
#include "tests/herd/four_cows.h"

enum {
    TRIAL_FIRST_DAY = 15, /* before it the milk is still rising: not counted for either rule */
    TRIAL_WINDOW = 7,
    TRIAL_SPELL_GAP = 3, /* alarms this close together are one spell */
    TRIAL_FIRST_ROW = 30,
};

#define NAIVE_PCT (-20.0)

static inline struct lactation_prior watch_trial_prior(const struct real_cow *cow)
{
    struct breed breed;
    struct lactation_prior prior = {0};
    if (breed_or_cross(cow->breed, &breed, NULL) == 0)
        lactation_prior_usual(&breed, cow->parity, &prior, NULL);
    return prior;
}

static inline double median_of(double *values, size_t n)
{
    for (size_t i = 1; i < n; i++)
        for (size_t k = i; k > 0 && values[k] < values[k - 1]; k--) {
            double swap = values[k];
            values[k] = values[k - 1];
            values[k - 1] = swap;
        }
    return n % 2 == 1 ? values[n / 2] : (values[n / 2 - 1] + values[n / 2]) / 2;
}

/* Percent of row i against the median of the weights of the seven days before; NaN without any. */
static inline double naive_deviation_pct(const struct yield_row *rows, size_t i)
{
    double before[TRIAL_WINDOW];
    size_t n = 0;
    for (size_t k = i; k > 0 && rows[k - 1].day >= rows[i].day - TRIAL_WINDOW; k--)
        before[n++] = rows[k - 1].kg;
    return n == 0 ? NAN : 100 * (rows[i].kg / median_of(before, n) - 1);
}

static inline bool naive_alarm(const struct yield_row *rows, size_t i)
{
    return naive_deviation_pct(rows, i) <= NAIVE_PCT;
}

struct watch_tally {
    int days, watch_days, watch_spells, remarks, naive_days, naive_spells;
};

/* Alarms on one cow as she was; nobody knows which of them were true. */
static inline void watch_trial_cow(const struct real_cow *cow, struct watch_tally *t)
{
    static struct watch_result each[COW_DAYS];
    struct watch_result last;
    struct lactation_prior prior = watch_trial_prior(cow);
    size_t last_watch = 0, last_naive = 0;
    bool watch_before = false, naive_before = false;
    yield_watch(&prior, cow->row, cow->n, NULL, &last, each, NULL);
    for (size_t i = 0; i < cow->n; i++) {
        if (cow->row[i].day < TRIAL_FIRST_DAY)
            continue;
        t->days++;
        t->remarks += each[i].level == WATCH_ODD_LOW;
        if (each[i].level == WATCH_TREND_LOW) {
            t->watch_days++;
            t->watch_spells += !watch_before || i - last_watch > TRIAL_SPELL_GAP;
            last_watch = i;
            watch_before = true;
        }
        if (naive_alarm(cow->row, i)) {
            t->naive_days++;
            t->naive_spells += !naive_before || i - last_naive > TRIAL_SPELL_GAP;
            last_naive = i;
            naive_before = true;
        }
    }
}

static inline void watch_trial_alarms(const struct real_herd *herd, struct watch_tally *t)
{
    memset(t, 0, sizeof *t);
    for (size_t c = 0; c < herd->n; c++)
        watch_trial_cow(&herd->cow[c], t);
}

struct drop_tally {
    int trials, watch_found, watch_remarks, naive_found;
    int watch_delay; /* days to the alarm, the first day of the drop being 1, summed over those found */
    int naive_delay;
};

/* Lays one drop over rows start.. of a cow and asks each day as it would have been asked. */
static inline void watch_trial_one_drop(const struct real_cow *cow, size_t start, double share, size_t days,
                                        struct drop_tally *t)
{
    static struct yield_row rows[COW_DAYS];
    struct lactation_prior prior = watch_trial_prior(cow);
    bool found = false, naive_found = false, remarked = false;
    memcpy(rows, cow->row, sizeof rows);
    for (size_t i = start; i < start + days; i++)
        rows[i].kg *= 1 - share;
    for (size_t i = start; i < start + days; i++) {
        struct watch_result r;
        yield_watch(&prior, rows, i + 1, NULL, &r, NULL, NULL);
        remarked = remarked || r.level == WATCH_ODD_LOW;
        if (!found && r.level == WATCH_TREND_LOW) {
            found = true;
            t->watch_delay += (int)(i - start) + 1;
        }
        if (!naive_found && naive_alarm(rows, i)) {
            naive_found = true;
            t->naive_delay += (int)(i - start) + 1;
        }
    }
    t->trials++;
    t->watch_found += found;
    t->naive_found += naive_found;
    t->watch_remarks += remarked || found;
}

/* Drops by `share` for so many days, one beginning on every `every`-th weighed day where neither rule has
 * anything to say on the days themselves and the five before. */
static inline struct drop_tally watch_trial_drop(const struct real_herd *herd, double share, size_t days,
                                                 size_t every)
{
    static struct watch_result each[COW_DAYS];
    struct watch_result last;
    struct drop_tally t = {0};
    for (size_t c = 0; c < herd->n; c++) {
        const struct real_cow *cow = &herd->cow[c];
        struct lactation_prior prior = watch_trial_prior(cow);
        yield_watch(&prior, cow->row, cow->n, NULL, &last, each, NULL);
        for (size_t start = TRIAL_FIRST_ROW; start + days < cow->n; start += every) {
            bool quiet = true;
            for (size_t i = start - 5; i < start + days; i++)
                quiet = quiet && each[i].level != WATCH_TREND_LOW && !naive_alarm(cow->row, i);
            if (quiet)
                watch_trial_one_drop(cow, start, share, days, &t);
        }
    }
    return t;
}

#endif
