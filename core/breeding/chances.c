/* Sums over at most DAY_CHANCES_MAX days: plain loops are quicker than anything cleverer would be. */
#include "core/breeding/chances.h"

#include <math.h>
#include <string.h>

void day_chances_certain(struct day_chances *c, struct date on)
{
    memset(c, 0, sizeof *c);
    c->first_on = on;
    c->count = 1;
    c->chance[0] = 1;
}

bool day_chances_add(struct day_chances *c, struct date on, double chance)
{
    if (c->count == 0)
        c->first_on = on;
    int32_t i = date_diff(c->first_on, on);
    if (i < 0 || i >= DAY_CHANCES_MAX)
        return false;
    while (c->count <= i)
        c->chance[c->count++] = 0;
    c->chance[i] += chance;
    return true;
}

double day_chances_total(const struct day_chances *c)
{
    double sum = 0;
    for (int i = 0; i < c->count; i++)
        sum += c->chance[i];
    return sum;
}

double day_chances_between(const struct day_chances *c, struct date from_on, struct date to_on)
{
    double sum = 0;
    int32_t from = date_diff(c->first_on, from_on), to = date_diff(c->first_on, to_on);
    for (int32_t i = from < 0 ? 0 : from; i <= to && i < c->count; i++)
        sum += c->chance[i];
    return sum;
}

void day_chances_scale(struct day_chances *c, double total)
{
    double now = day_chances_total(c);
    if (now <= 0)
        return;
    for (int i = 0; i < c->count; i++)
        c->chance[i] *= total / now;
}

bool day_chances_not_before(struct day_chances *c, struct date on)
{
    double gone = 0, left = 0;
    int32_t first = date_diff(c->first_on, on);
    for (int i = 0; i < c->count; i++) {
        if (i < first) {
            gone += c->chance[i];
            c->chance[i] = 0;
        } else {
            left += c->chance[i];
        }
    }
    if (left <= 0)
        return false;
    /* What cannot happen any more is shared by what still can, "it never happens" among it. */
    day_chances_scale(c, left / fmax(left, 1 - gone));
    return true;
}

struct date day_chances_quantile(const struct day_chances *c, double share)
{
    double wanted = share * day_chances_total(c), sum = 0;
    struct date last = DATE_NONE;
    for (int i = 0; i < c->count; i++) {
        if (c->chance[i] <= 0)
            continue;
        sum += c->chance[i];
        last = date_add(c->first_on, i);
        if (sum >= wanted - 1e-12)
            break;
    }
    return last;
}

struct date day_chances_likeliest(const struct day_chances *c)
{
    int best = 0;
    for (int i = 1; i < c->count; i++)
        if (c->chance[i] > c->chance[best])
            best = i;
    return c->count == 0 ? DATE_NONE : date_add(c->first_on, best);
}

/* The run of `length` days that holds most; its first day's index, and *held. */
static int best_run(const struct day_chances *c, int length, double *held)
{
    double sum = 0;
    int best = 0;
    for (int i = 0; i < length; i++)
        sum += c->chance[i];
    *held = sum;
    for (int i = length; i < c->count; i++) {
        sum += c->chance[i] - c->chance[i - length];
        /* Sums that differ by rounding only are equal: the earlier run stands. */
        if (sum > *held + 1e-12) {
            *held = sum;
            best = i - length + 1;
        }
    }
    return best;
}

struct day_window day_chances_window(const struct day_chances *c, double share)
{
    struct day_window window = {DATE_NONE, DATE_NONE, 0};
    double total = day_chances_total(c), shorter_held = 0;
    int shorter = 0;
    if (total <= 0)
        return window;
    for (int length = 1; length <= c->count; length++) {
        double held;
        int first = best_run(c, length, &held);
        bool enough = held >= share * total || length == c->count;
        if (enough && length > 1 && share * total - shorter_held < held - share * total) {
            first = shorter;
            held = shorter_held;
            length--;
        }
        if (enough) {
            window.from_on = date_add(c->first_on, first);
            window.to_on = date_add(window.from_on, length - 1);
            window.chance = held / total;
            break;
        }
        shorter = first;
        shorter_held = held;
    }
    return window;
}

double day_chances_within(const struct day_chances *c, struct date today, double gone, double days)
{
    double from = date_diff(c->first_on, today) + gone, to = from + days;
    double left = 0, within = 0;
    for (int i = 0; i < c->count; i++) {
        double start = fmax(i, from), end = i + 1;
        if (end <= start)
            continue;
        left += c->chance[i] * (end - start);
        if (to > start)
            within += c->chance[i] * (fmin(end, to) - start);
    }
    return left > 0 ? within / left : NAN;
}
