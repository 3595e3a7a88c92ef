#include "core/breeding/cycle.h"

#include <math.h>
#include <string.h>

#include "core/base/form.h"
#include "core/base/text.h"

/* Published cycle: 21 days (heifers 20), 18 to 24 (Extension, dairy-cattle: Strategies for success in heat
 * detection). 18 to 24 taken as the middle 95 % gives the standard deviation. */
static const double published_days = 21, published_heifer_days = 20;
static const double published_sd_days = 3 / 1.959964;
static const double two_sided_95 = 1.959964;

/* Half of the variance between cows, half within one cow: assumed, and said in the working. */
static const double between_share = 0.5;

/* What the published irregularity weighs against her own: as much as this many intervals. */
static const double prior_intervals = 4;

enum { CYCLES_MAX = 3 /* intervals of more cycles than this teach nothing */, BLOOD_DAYS = 2 };

static const char *const sign_words[] = {"standing", "mounts", "restless",  "bawling",  "mucus",
                                         "swollen",  "rubbed", "less-milk", "off-feed", "blood"};

enum { SIGNS = sizeof sign_words / sizeof sign_words[0] };

int heat_signs_parse(const char *text, unsigned *signs, struct fail *f)
{
    char word[32], all[FAIL_TEXT_MAX] = "";
    unsigned found = 0;
    while (list_next(&text, ',', word, sizeof word)) {
        int i = 0;
        while (i < SIGNS && !text_same(word, sign_words[i]))
            i++;
        if (i == SIGNS) {
            for (int j = 0; j < SIGNS; j++)
                text_append(all, sizeof all, "%s%s", j == 0 ? "" : ", ", sign_words[j]);
            return fail_input(f, "\"%.30s\" is not a sign of heat; write some of %s.", word, all);
        }
        found |= 1U << i;
    }
    *signs = found;
    return 0;
}

const char *heat_sign_word(unsigned sign)
{
    for (unsigned i = 0; i < SIGNS; i++)
        if (sign == 1U << i)
            return sign_words[i];
    return NULL;
}

const char *heat_signs_text(unsigned signs, char *buf, size_t size)
{
    buf[0] = '\0';
    for (unsigned i = 0; i < SIGNS; i++)
        if ((signs & 1U << i) != 0)
            text_append(buf, size, "%s%s", buf[0] == '\0' ? "" : ", ", sign_words[i]);
    if (buf[0] == '\0')
        text_append(buf, size, "no sign noted");
    return buf;
}

enum heat_strength heat_strength(unsigned signs)
{
    int count = 0;
    for (unsigned i = 0; i < SIGNS; i++)
        count += (signs & 1U << i) != 0;
    if ((signs & HEAT_STANDING) != 0)
        return HEAT_SURE;
    if (signs == HEAT_BLOOD)
        return HEAT_OVER;
    return (signs & HEAT_MOUNTS) != 0 || count >= 2 ? HEAT_LIKELY : HEAT_POSSIBLE;
}

const char *heat_strength_word(enum heat_strength strength)
{
    static const char *const words[] = {[HEAT_OVER] = "just over",
                                        [HEAT_POSSIBLE] = "possible",
                                        [HEAT_LIKELY] = "likely",
                                        [HEAT_SURE] = "sure"};
    return words[strength];
}

struct date heat_on(const struct heat *h)
{
    struct date on = instant_date(h->at);
    return h->origin == HEAT_SEEN && heat_strength(h->signs) == HEAT_OVER ? date_add(on, -BLOOD_DAYS) : on;
}

/* The next of the two lists in order of time, newest first. */
static bool take_newest(const struct breeding *b, size_t *heats, size_t *services, struct heat *out)
{
    while (*services > 0 && !service_in_heat(&b->services[*services - 1]))
        (*services)--;
    if (*heats == 0 && *services == 0)
        return false;
    struct heat served = {.origin = HEAT_SERVED};
    if (*services > 0)
        served.at = date_start(b->services[*services - 1].on);
    if (*services == 0 || (*heats > 0 && b->heats[*heats - 1].at.s >= served.at.s))
        *out = b->heats[--*heats];
    else {
        *out = served;
        (*services)--;
    }
    return true;
}

size_t cycle_heats(const struct breeding *b, struct heat *out, size_t max)
{
    size_t heats = b->heat_count, services = b->service_count, count = 0;
    while (count < max && take_newest(b, &heats, &services, &out[count]))
        count++;
    for (size_t i = 0; i < count / 2; i++) {
        struct heat swap = out[i];
        out[i] = out[count - 1 - i];
        out[count - 1 - i] = swap;
    }
    return count;
}

/* How many cycles an interval is: the nearest whole number, if the published spread allows it; 0 if it fits
 * none, -1 if it is so long that she was surely not cycling (or not watched) between. */
static int cycles_in(double days, double mean_days)
{
    double n = fmax(1, round(days / mean_days));
    if (n > CYCLES_MAX)
        return -1;
    return fabs(days - n * mean_days) <= 3 * published_sd_days * sqrt(n) ? (int)n : 0;
}

struct own_cycles {
    double weight, sum, square; /* of cycles; an interval of n cycles shows their mean, and counts n times */
    int intervals;
};

/* Calls for each interval between heats that are not silent: `cycles` as cycles_in() says. */
static void learn_interval(struct own_cycles *own, struct cycle *c, double days, double mean_days)
{
    int n = cycles_in(days, mean_days);
    if (n == 0)
        c->odd++;
    if (n <= 0)
        return;
    double each = days / n;
    own->weight += n;
    own->sum += n * each;
    own->square += n * each * each;
    own->intervals++;
    c->own += n;
}

static void gather(const struct heat *heats, size_t count, double mean_days, struct own_cycles *own,
                   struct cycle *c)
{
    struct date last_on = DATE_NONE;
    for (size_t i = 0; i < count; i++) {
        if (heats[i].origin == HEAT_SILENT)
            continue;
        struct date on = heat_on(&heats[i]);
        double days = date_known(last_on) ? date_diff(last_on, on) : 0;
        if (date_known(last_on) && days <= ONE_HEAT_DAYS)
            continue;
        if (date_known(last_on))
            learn_interval(own, c, days, mean_days);
        last_on = on;
    }
}

static void learn_working(const struct cycle *c, double prior_mean, const struct own_cycles *own,
                          struct working *w)
{
    if (w == NULL)
        return;
    working_given(w, "published_cycle_d", prior_mean, ORIGIN_CONSTANT);
    working_given(w, "published_sd_d", published_sd_days, ORIGIN_CONSTANT);
    working_given(w, "between_cows_share", between_share, ORIGIN_CONSTANT);
    working_given(w, "prior_intervals", prior_intervals, ORIGIN_CONSTANT);
    working_given_whole(w, "own_cycles", c->own, ORIGIN_RECORDED);
    if (c->own > 0)
        working_given(w, "own_mean_d", own->sum / own->weight, ORIGIN_RECORDED);
    working_step(w,
                 "18 to 24 days as the middle 95 %% of all cycles: standard deviation %.2f d, half of the "
                 "variance between cows (assumed)",
                 published_sd_days);
    if (own->weight > 0)
        working_step(w, "her own %d cycles: mean %.1f d; both weighed by their precision: %.2f d", c->own,
                     own->sum / own->weight, c->mean_days);
    if (c->odd > 0)
        working_step(w, "%d interval%s of hers fit%s no whole number of cycles and %s left out", c->odd,
                     c->odd == 1 ? "" : "s", c->odd == 1 ? "s" : "", c->odd == 1 ? "is" : "are");
    working_step(w, "one cycle of hers differs from the next by %.2f d, its mean is known to %.2f d",
                 c->within_sd_days, c->mean_sd_days);
    working_source(w, "cycle-days");
}

void cycle_learn(const struct heat *heats, size_t count, bool heifer, struct cycle *out, struct working *w)
{
    double prior_mean = heifer ? published_heifer_days : published_days;
    double variance = published_sd_days * published_sd_days;
    double between = between_share * variance, within = variance - between;
    struct own_cycles own = {0};
    memset(out, 0, sizeof *out);
    gather(heats, count, prior_mean, &own, out);
    if (own.intervals > 1) {
        /* Squares about her own mean; intervals of n cycles carry n times the weight of one. */
        double squares = fmax(0, own.square - own.sum * own.sum / own.weight);
        within = (prior_intervals * within + squares) / (prior_intervals + own.intervals - 1);
    }
    double precision = 1 / between + own.weight / within;
    out->mean_days = (prior_mean / between + own.sum / within) / precision;
    out->mean_sd_days = sqrt(1 / precision);
    out->within_sd_days = sqrt(within);
    learn_working(out, prior_mean, &own, w);
}

size_t cycle_silent(const struct heat *heats, size_t count, const struct cycle *cycle, struct heat *out,
                    size_t max)
{
    size_t written = 0;
    struct date last_on = DATE_NONE;
    for (size_t i = 0; i < count; i++) {
        if (heats[i].origin == HEAT_SILENT)
            continue;
        struct date on = heat_on(&heats[i]);
        double days = date_known(last_on) ? date_diff(last_on, on) : 0;
        int n = date_known(last_on) ? cycles_in(days, cycle->mean_days) : 0;
        for (int k = 1; k < n && written < max; k++)
            out[written++] = (struct heat){.at = date_start(date_add(last_on, (int32_t)lround(days * k / n))),
                                           .origin = HEAT_SILENT};
        if (!date_known(last_on) || days > ONE_HEAT_DAYS)
            last_on = on;
    }
    return written;
}

void cycle_window(const struct cycle *cycle, struct date last_on, int n, struct heat_window *out)
{
    double mean = n * cycle->mean_days;
    double sd = sqrt(n * n * cycle->mean_sd_days * cycle->mean_sd_days +
                     n * cycle->within_sd_days * cycle->within_sd_days);
    out->from_on = date_add(last_on, (int32_t)lround(mean - two_sided_95 * sd));
    out->to_on = date_add(last_on, (int32_t)lround(mean + two_sided_95 * sd));
    out->likely_on = date_add(last_on, (int32_t)lround(mean));
    out->cycle = n;
}

size_t cycle_ahead(const struct cycle *cycle, struct date last_on, struct date today, struct heat_window *out,
                   size_t max)
{
    size_t written = 0;
    for (int n = 1; written < max; n++) {
        cycle_window(cycle, last_on, n, &out[written]);
        if (date_diff(today, out[written].to_on) >= 0)
            written++;
    }
    return written;
}

enum { BEST_FROM_H = 7, BEST_TO_H = 12, LAST_H = 24 };

static const int64_t hour_s = 3600;

void cycle_service_window(struct instant seen, struct service_window *out, struct working *w)
{
    struct civil c;
    char from[CIVIL_TEXT_MAX], to[CIVIL_TEXT_MAX];
    civil_from_instant(seen, &c);
    out->from_at.s = seen.s + BEST_FROM_H * hour_s;
    out->to_at.s = seen.s + BEST_TO_H * hour_s;
    out->last_at.s = seen.s + LAST_H * hour_s;
    out->guide = c.hour < 12 ? "that evening" : "the next morning";
    if (w == NULL)
        return;
    working_given_whole(w, "best_from_h", BEST_FROM_H, ORIGIN_CONSTANT);
    working_given_whole(w, "best_to_h", BEST_TO_H, ORIGIN_CONSTANT);
    working_given_whole(w, "last_h", LAST_H, ORIGIN_CONSTANT);
    working_step(w, "best %d to %d h after the first standing: %s to %s", BEST_FROM_H, BEST_TO_H,
                 instant_text(out->from_at, from), instant_text(out->to_at, to));
    working_step(w, "ovulation comes 24 to 33 h after it: up to %d h a service is still worth making",
                 LAST_H);
    working_step(w, "morning-evening rule: seen in the %s, serve %s", c.hour < 12 ? "morning" : "afternoon",
                 out->guide);
    working_step(w,
                 "it need not be rigid: in 12 000 New Zealand cows served once a day, 71.6 %% (seen in the "
                 "morning) and 71.8 %% (evening) did not return");
    working_source(w, "heat-hall");
    working_source(w, "heat-ovulation");
    working_source(w, "heat-once-a-day");
    working_source(w, "heat-dalton");
}
