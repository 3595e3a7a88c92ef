#include "core/herd/watch.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/text.h"

/* Expectations look back so many rows: with the memory of LACTATION_TOMORROW older ones count nothing. */
enum { LOOK_BACK_ROWS = 110, RUN_IN_ROWS = 40 };

/* Student's t with four degrees of freedom has its quartiles as far apart as a normal of this much larger
 * scale: what "one noise unit" means for charts whose constants are for the normal. */
#define NOISE_UNIT 1.0982

/* A single day so far below is worth a look at once, trend or not. */
#define VERY_LOW_PCT (-40.0)

struct watcher {
    struct ewma average;
    struct cusum sum;
    int last_day;
    double last_off; /* of the day before, noise units */
    int below_run;   /* weighed days running below expectation */
    int above_run;
};

static void watcher_start(struct watcher *c)
{
    ewma_init(&c->average, WATCH_LAMBDA, WATCH_WIDTH, 0, 1);
    cusum_init(&c->sum, 0, WATCH_SLACK, WATCH_DECISION);
    c->last_off = 0;
    c->below_run = c->above_run = 0;
}

static double clip(double x)
{
    return fmax(-WATCH_CLIP, fmin(WATCH_CLIP, x));
}

static enum watch_level judge(const struct watcher *c, double off)
{
    bool charts_low = ewma_signal(&c->average) < 0 || cusum_signal(&c->sum) < 0;
    bool charts_high = ewma_signal(&c->average) > 0 || cusum_signal(&c->sum) > 0;
    bool far_twice = off < -WATCH_FAR && c->last_off < -WATCH_FAR;
    if (off < 0 && (charts_low || far_twice))
        return WATCH_TREND_LOW;
    if (off > 0 && charts_high)
        return WATCH_TREND_HIGH;
    if (off < -WATCH_ODD)
        return WATCH_ODD_LOW;
    return off > WATCH_ODD ? WATCH_ODD_HIGH : WATCH_AS_EXPECTED;
}

/* How long the trend has lasted: since the sum left zero, or as long as she has been on that side running. */
static int trend_days(const struct watcher *c, enum watch_level level)
{
    int sum_run = level == WATCH_TREND_LOW ? (int)c->sum.low_run : (int)c->sum.high_run;
    int side_run = level == WATCH_TREND_LOW ? c->below_run : c->above_run;
    if (level != WATCH_TREND_LOW && level != WATCH_TREND_HIGH)
        return 0;
    return sum_run > side_run ? sum_run : side_run;
}

/* Takes one day in. */
static void watcher_take(struct watcher *c, struct watch_result *r)
{
    double off = r->deviation_noise;
    if (r->day - c->last_day > WATCH_GAP_DAYS)
        watcher_start(c);
    ewma_take(&c->average, clip(off));
    cusum_take(&c->sum, clip(off));
    c->below_run = off < 0 ? c->below_run + 1 : 0;
    c->above_run = off > 0 ? c->above_run + 1 : 0;
    r->level = judge(c, off);
    r->trend_days = trend_days(c, r->level);
    c->last_day = r->day;
    c->last_off = off;
    r->ewma = c->average.z;
    r->ewma_limit = ewma_half_width(&c->average);
    r->cusum = c->sum.low > c->sum.high ? -c->sum.low : c->sum.high;
    r->cusum_limit = c->sum.decision;
}

/* What the rows before `before` make one expect of row `of`. */
static void expect_row(const struct lactation_prior *prior, const struct yield_row *rows, size_t before,
                       size_t of, struct expectation *out)
{
    struct lactation lac;
    size_t from = before > LOOK_BACK_ROWS ? before - LOOK_BACK_ROWS : 0;
    lactation_learn(prior, rows + from, before - from, LACTATION_TOMORROW, &lac, NULL);
    lactation_expect(&lac, rows[of].day, rows[of].milkings, out, NULL);
}

static void take_row(const struct lactation_prior *prior, const struct yield_row *rows, size_t i,
                     struct watcher *c, struct watch_result *r)
{
    memset(r, 0, sizeof *r);
    r->day = rows[i].day;
    r->kg = rows[i].kg;
    expect_row(prior, rows, i, i, &r->expected);
    if (r->day < WATCH_FIRST_DAY || !(r->kg > 0)) {
        r->level = WATCH_SILENT;
        r->deviation_pct = r->deviation_noise = NAN;
        return;
    }
    r->deviation_pct = 100 * (r->kg / r->expected.kg - 1);
    r->deviation_noise = log(r->kg / r->expected.kg) / (NOISE_UNIT * r->expected.spread);
    watcher_take(c, r);
}

/* Mean deviation of the last trend_days rows from what the rows before them made one expect, so that a trend
 * does not hide itself by being learned. */
static double trend_pct(const struct lactation_prior *prior, const struct yield_row *rows, size_t n, int days)
{
    double sum = 0;
    size_t count = (size_t)days < n ? (size_t)days : n, used = 0;
    for (size_t i = n - count; i < n; i++) {
        struct expectation expected;
        if (!(rows[i].kg > 0) || rows[i].day < 1)
            continue;
        expect_row(prior, rows, n - count, i, &expected);
        sum += log(rows[i].kg / expected.kg);
        used++;
    }
    return used > 0 ? 100 * (exp(sum / (double)used) - 1) : NAN;
}

/* ---- words ---- */

static const char *plural_days(int n)
{
    return n == 1 ? "day" : "days";
}

const char *watch_word(const struct watch_result *r, char *buf, size_t size)
{
    static const char *const words[] = {
        [WATCH_SILENT] = "",
        [WATCH_AS_EXPECTED] = "as expected",
        [WATCH_ODD_LOW] = "one odd day, low",
        [WATCH_ODD_HIGH] = "one odd day, high",
    };
    if (r->level == WATCH_TREND_LOW || r->level == WATCH_TREND_HIGH)
        (void)snprintf(buf, size, "%s %d %s", r->level == WATCH_TREND_LOW ? "low" : "high", r->trend_days,
                       plural_days(r->trend_days));
    else
        (void)snprintf(buf, size, "%s", words[r->level]);
    return buf;
}

/* "Recorded: seen in heat, feed changed." from what is known of the day. */
static void add_recorded(const struct watch_context *context, char *words, size_t size)
{
    static const struct watch_context nothing;
    const struct watch_context *c = context == NULL ? &nothing : context;
    const struct {
        bool known;
        const char *says;
    } facts[] = {
        {c->udder, "an udder finding is open"},
        {c->ill, "illness or treatment"},
        {c->off_routine, "milking out of routine"},
        {c->heat, "heat about now"},
        {c->calf, "a calf at her"},
        {c->feed_changed, "feed changed"},
        {c->hot, "hot weather"},
    };
    const char *lead = " Recorded: ";
    for (size_t i = 0; i < sizeof facts / sizeof facts[0]; i++) {
        if (!facts[i].known)
            continue;
        (void)text_append(words, size, "%s%s", lead, facts[i].says);
        lead = ", ";
    }
    if (lead[0] == ',')
        (void)text_append(words, size, ".");
}

static void say(const struct watch_context *context, struct watch_result *r)
{
    char *words = r->words;
    const size_t size = sizeof r->words;
    double below = -r->deviation_pct, trend = fabs(r->trend_pct);
    switch (r->level) {
    case WATCH_SILENT:
        (void)snprintf(words, size, r->kg > 0 ? "Just calved: her milk is still coming in." : "Not weighed.");
        return;
    case WATCH_AS_EXPECTED: (void)snprintf(words, size, "As expected for day %d.", r->day); return;
    case WATCH_ODD_HIGH:
        (void)snprintf(words, size,
                       "%.0f %% above what is expected, on one day: milk held back the day before, or "
                       "the scale.",
                       r->deviation_pct);
        return;
    case WATCH_TREND_HIGH:
        (void)snprintf(words, size, "Above expectation for %d %s, about %.0f %%: better feed, or the scale.",
                       r->trend_days, plural_days(r->trend_days), trend);
        return;
    case WATCH_ODD_LOW:
        (void)snprintf(
            words, size,
            "%.0f %% below what is expected, on one day. %sUsually behind one such day: heat, a milking "
            "missed or cut short, less eaten or drunk, hot weather, a calf at her, or the udder.",
            below, r->deviation_pct < VERY_LOW_PCT ? "That is far: look at her now. " : "");
        break;
    case WATCH_TREND_LOW:
        (void)snprintf(
            words, size,
            "Low for %d %s, about %.0f %%. Look at her: strip and feel the udder, appetite, water, dung, "
            "temperature. Usually behind such a drop: udder, feed, water, hot weather, illness, milkings "
            "missed, a calf at her.",
            r->trend_days, plural_days(r->trend_days), trend);
        break;
    }
    add_recorded(context, words, size);
}

static void watch_working(const struct watch_result *r, struct working *w)
{
    char word[40];
    working_given_whole(w, "day", r->day, ORIGIN_RECORDED);
    working_given(w, "milk_kg", r->kg, ORIGIN_RECORDED);
    working_given(w, "expected_kg", r->expected.kg, ORIGIN_LEARNED);
    working_given(w, "clip", WATCH_CLIP, ORIGIN_CONSTANT);
    working_result_text(w, "verdict", watch_word(r, word, sizeof word));
    working_result(w, "deviation_pct", r->deviation_pct);
    if (r->level == WATCH_SILENT) {
        working_why(w, "%s", r->words);
        return;
    }
    working_result(w, "deviation_noise", r->deviation_noise);
    working_step(w, "ln(%.4g / %.4g) = %+.2f times her own daily noise of %.2g %%", r->kg, r->expected.kg,
                 r->deviation_noise, 100 * NOISE_UNIT * r->expected.spread);
    working_step(w, "moving average of it, weight %.2g for the newest: %+.2f, limit %.2f", WATCH_LAMBDA,
                 r->ewma, r->ewma_limit);
    working_step(w, "sum of what goes beyond %.2g: %+.2f, limit %.2f", WATCH_SLACK, r->cusum, r->cusum_limit);
    working_source(w, "lucas-saccucci-90");
    working_source(w, "hawkins-93");
    working_source(w, "friggens-07");
    working_caution(w, "An alarm is a reason to look at the cow; it is not a diagnosis.");
}

void yield_watch(const struct lactation_prior *prior, const struct yield_row *rows, size_t n,
                 const struct watch_context *context, struct watch_result *out, struct watch_result *each,
                 struct working *w)
{
    struct watcher watcher = {0};
    /* The charts forget within some weeks: for today's answer alone older days need not be gone through. */
    size_t from = each == NULL && n > RUN_IN_ROWS ? n - RUN_IN_ROWS : 0;
    memset(out, 0, sizeof *out);
    watcher_start(&watcher);
    for (size_t i = from; i < n; i++) {
        take_row(prior, rows, i, &watcher, out);
        if (each != NULL)
            each[i] = *out;
    }
    if (out->trend_days > 0)
        out->trend_pct = trend_pct(prior, rows, n, out->trend_days);
    say(context, out);
    watch_working(out, w);
}
