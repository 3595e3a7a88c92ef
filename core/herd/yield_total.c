#include "core/herd/yield_total.h"

#include <assert.h>
#include <math.h>
#include <string.h>

/* Where a day without a weight gets its milk from. */
struct gap_filler {
    const struct wood *curve;                 /* or NULL */
    const struct yield_point *before, *after; /* the weights on either side, or NULL at an end */
};

static double fill_day(const struct gap_filler *g, int day, struct yield_sum *out)
{
    if (g->before != NULL && g->after != NULL &&
        (g->curve == NULL || g->after->t - g->before->t - 1 <= GAP_LINEAR_DAYS_MAX)) {
        out->linear_days++;
        double share = ((double)day - g->before->t) / (g->after->t - g->before->t);
        return g->before->y + share * (g->after->y - g->before->y);
    }
    out->curve_days++;
    if (g->curve != NULL)
        return wood_at(g->curve, day);
    const struct yield_point *nearest = g->before != NULL ? g->before : g->after;
    assert(nearest != NULL);
    return nearest->y;
}

static int check_order(const struct yield_point *points, size_t n, struct fail *f)
{
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(points[i].t) || points[i].t != floor(points[i].t) || !(points[i].y >= 0))
            return fail_input(f, "A weight of the list is not a whole day with its kg.");
        if (i > 0 && points[i].t == points[i - 1].t)
            return fail_input(f, "Day %.0f stands twice; add its milkings together first.", points[i].t);
        if (i > 0 && points[i].t < points[i - 1].t)
            return fail_input(f, "Day %.0f stands after day %.0f; the days must rise.", points[i].t,
                              points[i - 1].t);
    }
    return 0;
}

int yield_sum_days(const struct yield_point *points, size_t n, int first, int last, const struct wood *curve,
                   struct yield_sum *out, struct fail *f)
{
    memset(out, 0, sizeof *out);
    if (check_order(points, n, f) != 0)
        return -1;
    if (n == 0 || points[n - 1].t < first || points[0].t > last)
        return fail_refused(f, "There is no weight from day %d to day %d.", first, last);
    size_t next = 0; /* the first point not before the day */
    for (int day = first; day <= last; day++) {
        while (next < n && points[next].t < day)
            next++;
        if (next < n && points[next].t == day) {
            out->recorded_days++;
            out->kg += points[next].y;
            continue;
        }
        const struct gap_filler gap = {curve, next > 0 ? &points[next - 1] : NULL,
                                       next < n ? &points[next] : NULL};
        out->kg += fill_day(&gap, day, out);
    }
    return 0;
}

static int check_tests(const struct milk_test *tests, size_t n, struct date calved_on, struct date end_on,
                       struct fail *f)
{
    char day[CIVIL_TEXT_MAX];
    if (n == 0)
        return fail_refused(f, "The test interval method needs at least one test.");
    if (date_diff(calved_on, end_on) < 1)
        return fail_input(f, "The lactation must end after the calving.");
    for (size_t i = 0; i < n; i++) {
        date_iso(tests[i].on, day);
        if (date_diff(calved_on, tests[i].on) < 0)
            return fail_input(f, "The test of %s is before the calving.", day);
        if (date_diff(tests[i].on, end_on) < 0)
            return fail_input(f, "The test of %s is after the end.", day);
        if (i > 0 && date_diff(tests[i - 1].on, tests[i].on) < 1)
            return fail_input(f, "The test of %s does not come after the one before it.", day);
        if (!(tests[i].milk_kg >= 0) || !isfinite(tests[i].milk_kg))
            return fail_input(f, "The test of %s has no milk weight.", day);
    }
    return 0;
}

/* Fat of one test, kg a day. */
static double fat_kg(const struct milk_test *t)
{
    return t->milk_kg * t->fat_pct / 100;
}

/* Adds `days` at the mean of two tests, which may be the same one. */
static void add_interval(struct interval_total *out, int days, const struct milk_test *a,
                         const struct milk_test *b, struct working *w)
{
    double milk = days * (a->milk_kg + b->milk_kg) / 2;
    out->milk_kg += milk;
    out->fat_kg += days * (fat_kg(a) + fat_kg(b)) / 2;
    out->days += days;
    if (a == b)
        working_step(w, "%d days at %.4g kg = %.6g kg", days, a->milk_kg, milk);
    else
        working_step(w, "%d days at the mean of %.4g and %.4g kg = %.6g kg", days, a->milk_kg, b->milk_kg,
                     milk);
}

int interval_method(const struct milk_test *tests, size_t n, struct date calved_on, struct date end_on,
                    struct interval_total *out, struct working *w, struct fail *f)
{
    char day[CIVIL_TEXT_MAX];
    memset(out, 0, sizeof *out);
    if (check_tests(tests, n, calved_on, end_on, f) != 0)
        return -1;
    working_given_text(w, "calved_on", date_iso(calved_on, day), ORIGIN_GIVEN);
    working_given_text(w, "end_on", date_iso(end_on, day), ORIGIN_GIVEN);
    working_given_whole(w, "tests", (long)n, ORIGIN_RECORDED);
    add_interval(out, date_diff(calved_on, tests[0].on), &tests[0], &tests[0], w);
    for (size_t i = 1; i < n; i++)
        add_interval(out, date_diff(tests[i - 1].on, tests[i].on), &tests[i - 1], &tests[i], w);
    add_interval(out, date_diff(tests[n - 1].on, end_on), &tests[n - 1], &tests[n - 1], w);
    out->fat_pct = out->milk_kg > 0 ? 100 * out->fat_kg / out->milk_kg : NAN;
    working_result(w, "milk_kg", out->milk_kg);
    working_result(w, "fat_kg", out->fat_kg);
    working_result(w, "fat_pct", out->fat_pct);
    working_result_whole(w, "days", out->days);
    if (!isfinite(out->fat_kg))
        working_why(w, "fat is left out: a test has no fat");
    working_source(w, "icar-tim");
    return 0;
}
