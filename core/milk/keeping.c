/* Rates and histories: everything that follows from the square-root model alone. */
#include "core/milk/keeping.h"

#include <math.h>
#include <stdbool.h>

const char keeping_caution[] =
    "Keeping quality is not safety: raw milk can carry disease whatever its temperature, count or taste.";

/* Fu, Taoukis & Labuza, J Food Sci 56:1209 (1991): fitted from 0 to 12 C in a milk medium. */
const struct keeping_strain keeping_fast = {0.0306, KEEPING_TMIN_C};

/* Mean growth rate 0.0785892 per hour at 6 C of twelve isolates from milk (open data set of M. Pinto, 2023):
 * b = sqrt(0.0785892) / (6 + 7.85). */
const struct keeping_strain keeping_average = {0.0202409925, KEEPING_TMIN_C};

static double square(double x)
{
    return x * x;
}

double keeping_rate_per_h(const struct keeping_strain *strain, double temp_c)
{
    /* Not fmin(): a temperature that is not known must not become the cap. */
    double above = (temp_c > KEEPING_CAP_C ? KEEPING_CAP_C : temp_c) - strain->tmin_c;
    return above <= 0 ? 0 : square(strain->b_per_rt_h_k * above);
}

double keeping_doubling_h(const struct keeping_strain *strain, double temp_c)
{
    double rate = keeping_rate_per_h(strain, temp_c);
    return rate > 0 ? log(2) / rate : NAN;
}

double keeping_days_to_spoil(const struct keeping_strain *strain, double start_per_ml, double temp_c)
{
    double ln = log(KEEPING_SPOILED_PER_ML / start_per_ml), rate = keeping_rate_per_h(strain, temp_c);
    if (ln <= 0)
        return 0;
    return rate > 0 ? ln / rate / 24 : NAN;
}

double keeping_relative_rate(double temp_c, double ref_c)
{
    return keeping_rate_per_h(&keeping_fast, temp_c) / keeping_rate_per_h(&keeping_fast, ref_c);
}

struct keeping_span keeping_held(double hours, double temp_c)
{
    return (struct keeping_span){KEEPING_HELD, hours, temp_c, temp_c, 0};
}

struct keeping_span keeping_relaxing(double hours, double start_c, double toward_c, double k_per_h)
{
    return (struct keeping_span){KEEPING_RELAXING, hours, start_c, toward_c, k_per_h};
}

struct keeping_span keeping_ramp(double hours, double start_c, double end_c)
{
    return (struct keeping_span){KEEPING_RAMP, hours, start_c, end_c, 0};
}

static bool temp_possible(double temp_c)
{
    return temp_c >= -80 && temp_c <= 150; /* NaN fails both */
}

int keeping_spans_check(const struct keeping_span *span, size_t count, struct fail *f)
{
    for (size_t i = 0; i < count; i++) {
        const struct keeping_span *s = &span[i];
        if (!(s->hours >= 0) || !isfinite(s->hours))
            return fail_input(f, "Stretch %zu of the temperature history has no length of time.", i + 1);
        if (!temp_possible(s->start_c) || (s->shape != KEEPING_HELD && !temp_possible(s->toward_c)))
            return fail_input(
                f, "Stretch %zu of the temperature history has no temperature that milk can have.", i + 1);
        if (s->shape == KEEPING_RELAXING && (!(s->k_per_h >= 0) || !isfinite(s->k_per_h)))
            return fail_input(f, "Stretch %zu of the temperature history has no rate of cooling.", i + 1);
    }
    return 0;
}

int keeping_from_samples(const struct keeping_sample *sample, size_t count, struct keeping_span *out,
                         struct fail *f)
{
    if (count < 2)
        return fail_input(f, "A temperature history needs at least two readings.");
    for (size_t i = 0; i + 1 < count; i++) {
        double hours = sample[i + 1].hours - sample[i].hours;
        if (!(hours >= 0))
            return fail_input(f, "Reading %zu is at an earlier time than the one before it.", i + 2);
        out[i] = keeping_ramp(hours, sample[i].temp_c, sample[i + 1].temp_c);
    }
    return keeping_spans_check(out, count - 1, f);
}

double keeping_span_at_c(const struct keeping_span *span, double hours)
{
    switch (span->shape) {
    case KEEPING_RELAXING:
        return span->toward_c + (span->start_c - span->toward_c) * exp(-span->k_per_h * hours);
    case KEEPING_RAMP:
        if (span->hours > 0)
            return span->start_c + (span->toward_c - span->start_c) * (hours / span->hours);
        break;
    case KEEPING_HELD: break;
    }
    return span->start_c;
}

double keeping_span_end_c(const struct keeping_span *span)
{
    /* A ramp of no length is a step, and ends where it leads. */
    if (span->shape == KEEPING_RAMP)
        return span->toward_c;
    return keeping_span_at_c(span, span->hours);
}

/* When the span passes temp_c, in hours from its beginning; NaN when it does not inside it. A span rises or
 * falls all along, so there is one such time at most. */
static double crossing_h(const struct keeping_span *span, double temp_c)
{
    double hours = NAN, step_c = span->toward_c - span->start_c;
    if (span->shape == KEEPING_RAMP)
        hours = span->hours * ((temp_c - span->start_c) / step_c);
    else if (span->shape == KEEPING_RELAXING)
        hours = -log((span->toward_c - temp_c) / step_c) / span->k_per_h;
    return hours > 0 && hours < span->hours ? hours : NAN;
}

/* Integral of (T - tmin)^2 from hour `from` to hour `to` of the span, where neither cap nor floor is met. */
static double exposure_between(const struct keeping_span *span, double from, double to, double tmin_c)
{
    double x = keeping_span_at_c(span, from) - tmin_c, y = keeping_span_at_c(span, to) - tmin_c;
    double t = to - from;
    if (span->shape != KEEPING_RELAXING || span->k_per_h == 0)
        return t * (x * x + x * y + y * y) / 3;
    double k = span->k_per_h, a = span->toward_c - tmin_c, d = x - a;
    return a * a * t - 2 * a * d * expm1(-k * t) / k - d * d * expm1(-2 * k * t) / (2 * k);
}

double keeping_span_exposure(const struct keeping_span *span, double tmin_c)
{
    double cut[4] = {0}, sum = 0;
    int cuts = 1;
    double cap = crossing_h(span, KEEPING_CAP_C), floor = crossing_h(span, tmin_c);
    if (!isnan(cap))
        cut[cuts++] = cap;
    if (!isnan(floor))
        cut[cuts++] = floor;
    if (cuts == 3 && cut[1] > cut[2]) {
        cut[1] = floor;
        cut[2] = cap;
    }
    cut[cuts++] = span->hours;
    for (int i = 0; i + 1 < cuts; i++) {
        double middle_c = keeping_span_at_c(span, (cut[i] + cut[i + 1]) / 2);
        if (middle_c >= KEEPING_CAP_C)
            sum += square(KEEPING_CAP_C - tmin_c) * (cut[i + 1] - cut[i]);
        else if (middle_c > tmin_c)
            sum += exposure_between(span, cut[i], cut[i + 1], tmin_c);
    }
    return sum;
}

double keeping_span_above_h(const struct keeping_span *span, double limit_c)
{
    double cross = crossing_h(span, limit_c), above = 0;
    double cut[3] = {0, isnan(cross) ? span->hours : cross, span->hours};
    for (int i = 0; i < 2; i++)
        if (keeping_span_at_c(span, (cut[i] + cut[i + 1]) / 2) > limit_c)
            above += cut[i + 1] - cut[i];
    return above;
}

double keeping_hours(const struct keeping_span *span, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += span[i].hours;
    return sum;
}

double keeping_above_h(const struct keeping_span *span, size_t count, double limit_c)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += keeping_span_above_h(&span[i], limit_c);
    return sum;
}

double keeping_warm_again_h(const struct keeping_span *span, size_t count, double limit_c)
{
    for (size_t i = 0; i < count; i++) {
        double above = keeping_span_above_h(&span[i], limit_c);
        if (span[i].start_c <= limit_c)
            return above + keeping_above_h(span + i + 1, count - i - 1, limit_c);
        /* A span rises or falls all along: one that falls to the limit is above it only before. */
        if (above < span[i].hours || keeping_span_end_c(&span[i]) <= limit_c)
            return keeping_above_h(span + i + 1, count - i - 1, limit_c);
    }
    return NAN;
}

static double exposure(const struct keeping_span *span, size_t count, double tmin_c)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += keeping_span_exposure(&span[i], tmin_c);
    return sum;
}

double keeping_used_days(const struct keeping_span *span, size_t count)
{
    return exposure(span, count, KEEPING_TMIN_C) / square(KEEPING_REF_C - KEEPING_TMIN_C) / 24;
}

/* The part of a span that uses up `days`, by halving: life is used monotonically. */
static double spent_within_h(struct keeping_span span, double days)
{
    double low = 0, high = span.hours, end_c = span.toward_c;
    for (int i = 0; i < 60 && high - low > 1e-9; i++) {
        double middle = low + (high - low) / 2;
        struct keeping_span part = span;
        part.hours = middle;
        if (span.shape == KEEPING_RAMP)
            part.toward_c = span.start_c + (end_c - span.start_c) * middle / span.hours;
        if (keeping_used_days(&part, 1) < days)
            low = middle;
        else
            high = middle;
    }
    return high;
}

double keeping_spent_h(const struct keeping_span *span, size_t count, double days)
{
    double hours = 0, left = days;
    for (size_t i = 0; i < count; i++) {
        double used = keeping_used_days(&span[i], 1);
        if (used >= left)
            return hours + spent_within_h(span[i], left);
        left -= used;
        hours += span[i].hours;
    }
    return NAN;
}

double keeping_growth_ln(const struct keeping_strain *strain, const struct keeping_span *span, size_t count)
{
    return square(strain->b_per_rt_h_k) * exposure(span, count, strain->tmin_c);
}

double keeping_lost_days(const struct keeping_span *span, size_t count, double store_c, struct working *w)
{
    double used = keeping_used_days(span, count), hours = keeping_hours(span, count);
    double rate = keeping_relative_rate(store_c, KEEPING_REF_C);
    double lost = rate > 0 ? used / rate - hours / 24 : NAN;
    working_given(w, "storage_c", store_c, ORIGIN_GIVEN);
    working_given(w, "tmin_c", KEEPING_TMIN_C, ORIGIN_CONSTANT);
    working_given(w, "ref_c", KEEPING_REF_C, ORIGIN_CONSTANT);
    working_given(w, "history_h", hours, ORIGIN_GIVEN);
    working_given(w, "used_days", used, ORIGIN_COMPUTED);
    working_step(w, "%.2f h used %.3f days of life at 4 °C; at storage it goes at %.3f times that rate",
                 hours, used, rate);
    if (rate > 0)
        working_step(w, "lost = %.3f / %.3f - %.2f / 24 = %.3f days at storage", used, rate, hours, lost);
    else
        working_why(
            w, "Nothing grows at that storage temperature, so a slow chill cannot be put in days of it.");
    working_result(w, "lost_days", lost);
    working_source(w, "square-root-model");
    working_source(w, "fu-1991");
    working_caution(w, keeping_caution);
    return lost;
}
