/* The scale of keeping quality: how long milk of this dairy lasts, what is left of a batch, and by when to
 * use it. */
#include "core/milk/keeping.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>

/* Usual milk: 100 per mL at the start. Between dairies the life differs as much as the fastest published
 * strain lies below the mean isolate, taken as the lower end of 95 in 100. */
#define USUAL_START_PER_ML 100.0
#define Z_95               1.959963984540054 /* 97.5 % point of the normal distribution */
#define Z_90               1.281551565544600 /* 90 % point */

/* Standard deviation of the natural logarithms of the twelve isolates' rates: batches of one dairy are taken
 * to differ as much. */
#define BATCH_LOG_SD 0.2347

/* One batch in twenty is odd (a dirty jar, a door left open, a slip of the tongue) and may turn at any time
 * within a factor of e or so: without this, one bad jar would halve every date on the shelf. A judgement. */
#define ODD_SHARE      0.05
#define ODD_LOG_SD     1.0

#define MILK_FREEZES_C (-0.525) /* Massachusetts 330 CMR 27.06: limit for added water */
#define FITTED_TO_C    12.0

/* Highest counts that milk isolates reached, as a power of ten (open data set of M. Pinto, 2023). */
#define HIGHEST_PER_ML 5.0e8

struct keeping_scale keeping_scale_usual(void)
{
    double middle = keeping_days_to_spoil(&keeping_average, USUAL_START_PER_ML, KEEPING_REF_C);
    double fast = keeping_days_to_spoil(&keeping_fast, USUAL_START_PER_ML, KEEPING_REF_C);
    return (struct keeping_scale){KEEPING_USUAL, middle, log(middle / fast) / Z_95, BATCH_LOG_SD, 0};
}

int keeping_scale_given(double days, double at_c, struct keeping_scale *out, struct fail *f)
{
    if (!(days > 0) || !isfinite(days))
        return fail_input(f, "The days that milk keeps must be more than 0, as shelf_days=10.");
    double rate = keeping_relative_rate(at_c, KEEPING_REF_C);
    if (!(rate > 0))
        return fail_input(f, "Milk that is kept colder than 18 °F (-7.85 °C) says nothing about how long it "
                             "keeps in a refrigerator.");
    *out = (struct keeping_scale){KEEPING_GIVEN, days * rate, 0, BATCH_LOG_SD, 0};
    return 0;
}

int keeping_scale_counted(double start_per_ml, struct keeping_scale *out, struct fail *f)
{
    if (!(start_per_ml >= 1) || !isfinite(start_per_ml))
        return fail_input(f, "A starting count is 1 per mL or more, as start=1000/mL.");
    /* The fastest strain is the cautious end already: no further margin below it. */
    *out = (struct keeping_scale){KEEPING_COUNTED,
                                  keeping_days_to_spoil(&keeping_fast, start_per_ml, KEEPING_REF_C), 0, 0, 0};
    return 0;
}

/* ---- learning ---- */

static double upper_tail(double z)
{
    return 0.5 * erfc(z * 0.70710678118654752440);
}

/* Probability that a normal deviate with that sd around m lies in [low, high], taken from the tail that keeps
 * its digits. */
static double normal_between(double low, double high, double m, double sd)
{
    double a = (low - m) / sd, b = (high - m) / sd;
    return a > 0 ? upper_tail(a) - upper_tail(b) : upper_tail(-b) - upper_tail(-a);
}

static double normal_density(double x, double m, double sd)
{
    double z = (x - m) / sd;
    return exp(-z * z / 2) / (sd * 2.50662827463100050242);
}

/* Likelihood of one tasting when half of this dairy's batches live exp(m) days. */
static double tasting_likelihood(const struct keeping_tasting *t, double m)
{
    double good = t->good_days > 0 ? log(t->good_days) : -INFINITY, turned = log(t->turned_days);
    if (t->good_days == t->turned_days)
        return (1 - ODD_SHARE) * normal_density(good, m, BATCH_LOG_SD) +
               ODD_SHARE * normal_density(good, m, ODD_LOG_SD);
    return (1 - ODD_SHARE) * normal_between(good, turned, m, BATCH_LOG_SD) +
           ODD_SHARE * normal_between(good, turned, m, ODD_LOG_SD);
}

static double log_posterior(const struct keeping_tasting *tasting, size_t count,
                            const struct keeping_scale *prior, double m)
{
    double z = (m - log(prior->life_days)) / prior->log_sd, sum = -z * z / 2;
    for (size_t i = 0; i < count; i++)
        sum += log(fmax(tasting_likelihood(&tasting[i], m), 1e-300));
    return sum;
}

enum { GRID = 401, PASSES = 4 };

/* Mean and sd of the posterior of m on a grid of `half` either side of *mean. */
static void grid_moments(const struct keeping_tasting *tasting, size_t count,
                         const struct keeping_scale *prior, double half, double *mean, double *sd)
{
    double value[GRID], top = -INFINITY, weight = 0, first = 0, second = 0;
    double step = 2 * half / (GRID - 1), low = *mean - half;
    for (int i = 0; i < GRID; i++) {
        value[i] = log_posterior(tasting, count, prior, low + i * step);
        top = fmax(top, value[i]);
    }
    for (int i = 0; i < GRID; i++) {
        double p = exp(value[i] - top);
        weight += p;
        first += p * i;
        second += p * i * i;
    }
    first /= weight;
    second = second / weight - first * first;
    *mean = low + first * step;
    *sd = step * sqrt(fmax(second, 0.25)); /* narrower than half a step cannot be seen on this grid */
}

static int tasting_check(const struct keeping_tasting *t, size_t number, struct fail *f)
{
    if (!(t->good_days >= 0) || !isfinite(t->good_days) || !(t->turned_days > 0))
        return fail_input(f, "Tasting %zu: the days of life used must be 0 or more.", number);
    if (t->turned_days < t->good_days)
        return fail_refused(f, "Tasting %zu: the batch tasted good after it had turned.", number);
    return 0;
}

int keeping_learn(const struct keeping_tasting *tasting, size_t count, struct keeping_scale *out,
                  struct working *w, struct fail *f)
{
    struct keeping_scale prior = keeping_scale_usual();
    double mean = log(prior.life_days), sd = prior.log_sd;
    for (size_t i = 0; i < count; i++)
        if (tasting_check(&tasting[i], i + 1, f) != 0)
            return -1;
    /* Each pass narrows the grid to where the posterior turned out to be. */
    for (int pass = 0; count > 0 && pass < PASSES; pass++)
        grid_moments(tasting, count, &prior, 8 * sd, &mean, &sd);
    *out = prior;
    if (count > 0)
        *out = (struct keeping_scale){KEEPING_LEARNED, exp(mean), sd, BATCH_LOG_SD, (int)count};
    working_given(w, "prior_life_days", prior.life_days, ORIGIN_DEFAULT);
    working_given(w, "prior_ln_sd", prior.log_sd, ORIGIN_DEFAULT);
    working_given(w, "batch_ln_sd", BATCH_LOG_SD, ORIGIN_DEFAULT);
    working_given(w, "odd_share", ODD_SHARE, ORIGIN_DEFAULT);
    working_given(w, "odd_ln_sd", ODD_LOG_SD, ORIGIN_DEFAULT);
    working_given_whole(w, "tastings", (long)count, ORIGIN_RECORDED);
    working_step(w, "life at 4 °C: usual %.2f days (ln sd %.3f), after %zu tastings %.2f days (ln sd %.3f)",
                 prior.life_days, prior.log_sd, count, out->life_days, out->log_sd);
    working_result(w, "life_days", out->life_days);
    working_result(w, "life_low_days", out->life_days * exp(-Z_95 * out->log_sd));
    working_result(w, "life_high_days", out->life_days * exp(Z_95 * out->log_sd));
    working_source(w, "milk-isolates-2023");
    working_source(w, "fu-1991");
    working_caution(w, keeping_caution);
    return 0;
}

/* ---- forecast ---- */

static enum origin basis_origin(enum keeping_basis basis)
{
    switch (basis) {
    case KEEPING_USUAL: return ORIGIN_DEFAULT;
    case KEEPING_GIVEN: return ORIGIN_GIVEN;
    case KEEPING_COUNTED: return ORIGIN_COMPUTED;
    case KEEPING_LEARNED: return ORIGIN_LEARNED;
    }
    return ORIGIN_DEFAULT;
}

static void scale_working(const struct keeping_scale *scale, struct working *w)
{
    working_given(w, "life_days", scale->life_days, basis_origin(scale->basis));
    working_given(w, "life_ln_sd", scale->log_sd, basis_origin(scale->basis));
    working_given(w, "batch_ln_sd", scale->batch_log_sd, ORIGIN_DEFAULT);
    switch (scale->basis) {
    case KEEPING_USUAL:
        working_step(
            w,
            "life at 4 °C: %.2f days, the usual value between the fastest published strain (3.65) and "
            "common practice (14 to 20, no source)",
            scale->life_days);
        working_source(w, "milk-isolates-2023");
        working_source(w, "practice");
        break;
    case KEEPING_GIVEN:
        working_step(w, "life at 4 °C: %.3f days, from the days given", scale->life_days);
        break;
    case KEEPING_COUNTED:
        working_step(
            w,
            "life at 4 °C: %.3f days until 1e7 per mL at the rate of the fastest published strain, no "
            "lag: the cautious side",
            scale->life_days);
        working_source(w, "milk-turns-1982");
        break;
    case KEEPING_LEARNED:
        working_step(w, "life at 4 °C: %.2f days, learned from %d tastings", scale->life_days,
                     scale->tastings);
        break;
    }
}

static void forecast_working(const struct keeping_forecast *fc, double hours, double store_c, double rate,
                             const struct keeping_scale *scale, struct working *w)
{
    working_given(w, "storage_c", store_c, ORIGIN_GIVEN);
    working_given(w, "tmin_c", KEEPING_TMIN_C, ORIGIN_CONSTANT);
    working_given(w, "ref_c", KEEPING_REF_C, ORIGIN_CONSTANT);
    working_given(w, "cap_c", KEEPING_CAP_C, ORIGIN_CONSTANT);
    scale_working(scale, w);
    working_step(w, "rate at storage = ((%.3f + 7.85) / (4 + 7.85))^2 = %.6f of the rate at 4 °C", store_c,
                 rate);
    working_step(w, "used so far: integral of the rate over %.2f h = %.6f days of life at 4 °C", hours,
                 fc->used_days);
    if (rate > 0)
        working_step(w,
                     "left = (%.3f - %.3f) / %.6f = %.3f days at storage; nine batches in ten: %.2f or more",
                     scale->life_days, fc->used_days, rate, fc->left_days, fc->low_days);
    else
        working_why(w, "These bacteria do not grow at that temperature; frozen milk keeps by other rules.");
    working_result(w, "used_days", fc->used_days);
    working_result(w, "days_left", fc->left_days);
    working_result(w, "days_total", fc->total_days);
    working_result(w, "low_days", fc->low_days);
    working_result(w, "high_days", fc->high_days);
    working_source(w, "square-root-model");
    working_source(w, "fu-1991");
    working_caution(w, keeping_caution);
    if (store_c < MILK_FREEZES_C)
        working_caution(w,
                        "Milk freezes near 31 °F (-0.5 °C): the days are those of milk that stays liquid.");
    if (store_c > FITTED_TO_C)
        working_caution(
            w, "The rate was fitted from 0 to 12 °C; in warmer milk other spoilers take over, and it turns "
               "sooner than this.");
}

static double left_at(double life_days, double used_days, double rate)
{
    return rate > 0 ? fmax(0, life_days - used_days) / rate : NAN;
}

int keeping_forecast(const struct keeping_span *span, size_t count, const struct keeping_scale *scale,
                     double store_c, struct keeping_forecast *out, struct working *w, struct fail *f)
{
    struct keeping_span store = keeping_held(0, store_c);
    if (keeping_spans_check(span, count, f) != 0)
        return -1;
    if (keeping_spans_check(&store, 1, NULL) != 0)
        return fail_input(f, "The storage temperature must be one that a refrigerator can have, as 38F.");
    double rate = keeping_relative_rate(store_c, KEEPING_REF_C), used = keeping_used_days(span, count);
    double spread = exp(Z_90 * hypot(scale->log_sd, scale->batch_log_sd));
    *out = (struct keeping_forecast){
        .used_days = used,
        .total_days = left_at(scale->life_days, 0, rate),
        .left_days = left_at(scale->life_days, used, rate),
        .low_days = left_at(scale->life_days / spread, used, rate),
        .high_days = left_at(scale->life_days * spread, used, rate),
    };
    forecast_working(out, keeping_hours(span, count), store_c, rate, scale, w);
    return 0;
}

double keeping_count_per_ml(double start_per_ml, double used_days, const struct keeping_scale *scale,
                            struct working *w)
{
    double ln = log(KEEPING_SPOILED_PER_ML / start_per_ml), now = start_per_ml;
    if (ln > 0 && scale->life_days > 0)
        now = fmin(start_per_ml * exp(ln * used_days / scale->life_days), HIGHEST_PER_ML);
    working_given(w, "start_per_ml", start_per_ml, ORIGIN_GIVEN);
    working_given(w, "spoiled_per_ml", KEEPING_SPOILED_PER_ML, ORIGIN_CONSTANT);
    if (now == HIGHEST_PER_ML)
        working_step(w, "count: at its highest, about 5e8 per mL");
    else
        working_step(w, "count = %.4g exp(ln(1e7 / %.4g) x %.3f / %.3f) = %.4g per mL", start_per_ml,
                     start_per_ml, used_days, scale->life_days, now);
    working_result(w, "count_now_per_ml", now);
    working_source(w, "milk-turns-1982");
    working_caution(w, keeping_caution);
    return now;
}

/* The last civil day that is over when `end` comes. */
static struct date last_whole_day(struct instant end)
{
    return date_add(instant_date(end), -1);
}

int keeping_use_by(struct instant milked_at, int rule_days, const struct keeping_forecast *forecast,
                   struct instant now, struct keeping_use_by *out, struct working *w, struct fail *f)
{
    char rule[CIVIL_TEXT_MAX] = "no rule", model[CIVIL_TEXT_MAX] = "no end";
    struct keeping_use_by u = {DATE_NONE, KEEPING_BY_RULE, DATE_NONE, DATE_NONE};
    if (rule_days >= 0) {
        u.rule_on = date_add(instant_date(milked_at), rule_days);
        (void)date_text(u.rule_on, rule);
    }
    if (forecast->low_days >= 0) { /* not NaN */
        int64_t seconds = (int64_t)(fmin(forecast->low_days, 36500) * 86400);
        u.model_on = last_whole_day((struct instant){now.s + seconds});
        (void)date_text(u.model_on, model);
    }
    if (!date_known(u.rule_on) && !date_known(u.model_on))
        return fail_refused(f, "There is no use-by date: no rule of days is set, and nothing grows at that "
                               "temperature.");
    bool by_model = date_known(u.model_on) && (!date_known(u.rule_on) || u.model_on.days < u.rule_on.days);
    u.binds = by_model ? KEEPING_BY_MODEL : KEEPING_BY_RULE;
    u.on = by_model ? u.model_on : u.rule_on;
    *out = u;
    if (rule_days >= 0)
        working_given_whole(w, "rule_days", rule_days, ORIGIN_RECORDED);
    working_given(w, "low_days", forecast->low_days, ORIGIN_COMPUTED);
    working_step(w, "by the dairy's own rule: %s; nine batches in ten outlast: %s; the earlier counts", rule,
                 model);
    working_result_date(w, "use_by_on", u.on);
    working_result_text(w, "binds", by_model ? "keeping" : "rule");
    working_caution(w, keeping_caution);
    return 0;
}
