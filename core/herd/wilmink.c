#include "core/herd/wilmink.h"

#include <math.h>

#include "core/herd/lsq.h"

double wilmink_at(const struct wilmink *curve, double t)
{
    return curve->a + curve->b * t + curve->c * exp(-WILMINK_K * t);
}

double wilmink_peak_day(const struct wilmink *curve)
{
    if (!(curve->b < 0 && curve->c < 0))
        return NAN;
    double t = log(WILMINK_K * curve->c / curve->b) / WILMINK_K;
    return t >= 0 ? t : NAN;
}

double wilmink_peak_kg(const struct wilmink *curve)
{
    return wilmink_at(curve, wilmink_peak_day(curve));
}

double wilmink_sum(const struct wilmink *curve, int first, int last)
{
    double sum = 0;
    for (int t = first; t <= last; t++)
        sum += wilmink_at(curve, t);
    return sum;
}

static bool usable(const struct yield_point *p)
{
    return p->y > 0 && isfinite(p->y) && isfinite(p->t);
}

static void judge(const struct yield_point *points, size_t n, const struct wilmink *curve, double mean,
                  double *sse, double *r2)
{
    double squares = 0, about_mean = 0;
    for (size_t i = 0; i < n; i++) {
        if (!usable(&points[i]))
            continue;
        double off = points[i].y - wilmink_at(curve, points[i].t);
        squares += off * off;
        about_mean += (points[i].y - mean) * (points[i].y - mean);
    }
    if (sse != NULL)
        *sse = squares;
    if (r2 != NULL)
        *r2 = about_mean > 0 ? 1 - squares / about_mean : NAN;
}

int wilmink_fit(const struct yield_point *points, size_t n, struct wilmink *out, double *sse, double *r2,
                struct fail *f)
{
    struct lsq s;
    double beta[LSQ_TERMS_MAX], sum = 0;
    size_t used = 0;
    lsq_init(&s, 3);
    for (size_t i = 0; i < n; i++) {
        const struct yield_point *p = &points[i];
        const double x[] = {1, p->t, exp(-WILMINK_K * p->t)};
        if (!usable(p))
            continue;
        lsq_add(&s, x, p->y, 1);
        sum += p->y;
        used++;
    }
    if (used < WOOD_POINTS_MIN || !lsq_solve(&s, beta, NULL))
        return fail_refused(f,
                            "A lactation curve needs at least %d weights on different days; there are %zu.",
                            WOOD_POINTS_MIN, used);
    *out = (struct wilmink){beta[0], beta[1], beta[2]};
    judge(points, n, out, sum / (double)used, sse, r2);
    return 0;
}
