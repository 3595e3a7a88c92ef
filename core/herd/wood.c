/* The search itself is MINPACK's lmstr (More, Garbow & Hillstrom, 1980), which keeps three numbers per
 * parameter instead of a row per point. It works on ln a, so that a stays positive and the three have like
 * sizes. */
#include "core/herd/wood.h"

#include <cminpack.h>
#include <math.h>
#include <string.h>

#include "core/herd/lsq.h"

double wood_at(const struct wood *curve, double t)
{
    if (!(t >= 1))
        return NAN;
    return curve->a * exp(curve->b * log(t) - curve->c * t);
}

static bool has_peak(const struct wood *curve)
{
    return curve->b > 0 && curve->c > 0;
}

double wood_peak_day(const struct wood *curve)
{
    return has_peak(curve) ? curve->b / curve->c : NAN;
}

double wood_peak_kg(const struct wood *curve)
{
    return has_peak(curve) ? curve->a * exp(curve->b * (log(curve->b / curve->c) - 1)) : NAN;
}

double wood_persistency(const struct wood *curve)
{
    return has_peak(curve) ? -(curve->b + 1) * log(curve->c) : NAN;
}

double wood_sum(const struct wood *curve, int first, int last)
{
    double sum = 0;
    for (int t = first; t <= last; t++)
        sum += wood_at(curve, t);
    return sum;
}

static bool usable(const struct yield_point *p)
{
    return p->t >= 1 && p->y > 0 && isfinite(p->t) && isfinite(p->y);
}

/* The points that a fit may use, copied together. */
struct kept {
    struct yield_point point[WOOD_POINTS_MAX];
    size_t n;
};

static int keep_usable(const struct yield_point *points, size_t n, struct kept *kept, struct fail *f)
{
    size_t usable_count = 0;
    for (size_t i = 0; i < n; i++) {
        if (!usable(&points[i]))
            continue;
        if (usable_count < WOOD_POINTS_MAX)
            kept->point[usable_count] = points[i];
        usable_count++;
    }
    kept->n = usable_count;
    if (usable_count < WOOD_POINTS_MIN)
        return fail_refused(f,
                            "A lactation curve needs at least %d weights on different days; there are %zu.",
                            WOOD_POINTS_MIN, usable_count);
    if (usable_count > WOOD_POINTS_MAX)
        return fail_refused(f, "A lactation curve takes at most %d weights; there are %zu.", WOOD_POINTS_MAX,
                            usable_count);
    return 0;
}

/* Fills in everything about a fit but its curve. */
static void judge(const struct kept *kept, struct wood_fit *fit)
{
    double sum = 0, about_mean = 0;
    fit->n = kept->n;
    fit->first = INFINITY;
    fit->last = -INFINITY;
    fit->sse = 0;
    for (size_t i = 0; i < kept->n; i++) {
        sum += kept->point[i].y;
        fit->first = fmin(fit->first, kept->point[i].t);
        fit->last = fmax(fit->last, kept->point[i].t);
    }
    double mean = sum / (double)kept->n;
    for (size_t i = 0; i < kept->n; i++) {
        double y = kept->point[i].y, off = y - wood_at(&fit->curve, kept->point[i].t);
        fit->sse += off * off;
        about_mean += (y - mean) * (y - mean);
    }
    fit->r2 = about_mean > 0 ? 1 - fit->sse / about_mean : NAN;
    fit->sd_kg = sqrt(fit->sse / (double)(kept->n - 3));
}

static int fit_logs(const struct kept *kept, bool weighted, struct wood_fit *out, struct fail *f)
{
    struct lsq s;
    double beta[LSQ_TERMS_MAX];
    lsq_init(&s, 3);
    for (size_t i = 0; i < kept->n; i++) {
        double t = kept->point[i].t, y = kept->point[i].y;
        const double x[] = {1, log(t), -t};
        lsq_add(&s, x, log(y), weighted ? y * y : 1);
    }
    if (!lsq_solve(&s, beta, NULL))
        return fail_refused(f, "These weights do not make a curve: they stand on fewer than three days.");
    out->curve = (struct wood){exp(beta[0]), beta[1], beta[2]};
    judge(kept, out);
    return 0;
}

int wood_fit_log(const struct yield_point *points, size_t n, bool weighted, struct wood_fit *out,
                 struct fail *f)
{
    struct kept kept;
    if (keep_usable(points, n, &kept, f) != 0)
        return -1;
    return fit_logs(&kept, weighted, out, f);
}

static double search_value(const double *x, double t)
{
    double value = exp(x[0] + x[1] * log(t) - x[2] * t);
    return value < 1e100 ? value : 1e100; /* a wild step must look bad, not infinite */
}

/* MINPACK's way of asking: residuals when flag is 1, row flag - 2 of the Jacobian otherwise. */
static int search_row(void *context, int m, int n, const double *x, double *residual, double *row, int flag)
{
    (void)n;
    const struct kept *kept = context;
    if (flag == 1) {
        for (int i = 0; i < m; i++)
            residual[i] = search_value(x, kept->point[i].t) - kept->point[i].y;
        return 0;
    }
    double t = kept->point[flag - 2].t;
    double value = search_value(x, t);
    row[0] = value;
    row[1] = value * log(t);
    row[2] = -value * t;
    return 0;
}

/* Moves x from the start to the least sum of squares; false if it does not settle. */
static bool search_run(struct kept *kept, double x[3])
{
    double residual[WOOD_POINTS_MAX], work[WOOD_POINTS_MAX];
    double triangle[9], diag[3], qtf[3], w1[3], w2[3], w3[3];
    int evaluations, jacobians, pivots[3];
    int info = lmstr(search_row, kept, (int)kept->n, 3, x, residual, triangle, 3, 1e-15, 1e-13, 0, 400, diag,
                     1, 1.0, 0, &evaluations, &jacobians, pivots, qtf, w1, w2, w3, work);
    /* 1..4: settled; 6..8: as near as the arithmetic can tell. */
    return info >= 1 && info != 5 && isfinite(x[0]) && isfinite(x[1]) && isfinite(x[2]);
}

static void fit_working(const struct wood_fit *start, const struct wood_fit *fit, struct working *w)
{
    working_given_whole(w, "weights", (long)fit->n, ORIGIN_RECORDED);
    working_given(w, "first_d", fit->first, ORIGIN_RECORDED);
    working_given(w, "last_d", fit->last, ORIGIN_RECORDED);
    working_step(w, "Wood's curve: kg = a t^b e^(-c t), t = days after calving");
    working_step(w, "start, ln kg by least squares weighted with kg^2: a %.6g, b %.6g, c %.6g",
                 start->curve.a, start->curve.b, start->curve.c);
    working_step(w, "least squares on the kg themselves: a %.6g, b %.6g, c %.6g, residual %.3g kg",
                 fit->curve.a, fit->curve.b, fit->curve.c, fit->sd_kg);
    working_result(w, "a", fit->curve.a);
    working_result(w, "b", fit->curve.b);
    working_result(w, "c", fit->curve.c);
    working_result(w, "sse", fit->sse);
    working_result(w, "r2", fit->r2);
    working_source(w, "wood-1967");
    working_source(w, "minpack");
}

static void peak_working(const struct wood_fit *fit, struct working *w)
{
    const char *why;
    double day = wood_fit_peak_day(fit, &why);
    bool seen = isfinite(day);
    working_result(w, "peak_day", day);
    working_result(w, "peak_kg", seen ? wood_peak_kg(&fit->curve) : NAN);
    working_result(w, "persistency", wood_persistency(&fit->curve));
    if (seen)
        working_step(w, "peak at b / c = day %.4g with a (b/c)^b e^(-b) = %.4g kg; persistency -(b + 1) ln c",
                     day, wood_peak_kg(&fit->curve));
    else
        working_why(w, "%s", why);
}

int wood_fit(const struct yield_point *points, size_t n, struct wood_fit *out, struct working *w,
             struct fail *f)
{
    struct kept kept;
    struct wood_fit start;
    if (keep_usable(points, n, &kept, f) != 0 || fit_logs(&kept, true, &start, f) != 0)
        return -1;
    double x[3] = {log(start.curve.a), start.curve.b, start.curve.c};
    if (!search_run(&kept, x))
        return fail_refused(f, "No lactation curve follows these weights; are the days and weights right?");
    out->curve = (struct wood){exp(x[0]), x[1], x[2]};
    judge(&kept, out);
    fit_working(&start, out, w);
    peak_working(out, w);
    return 0;
}

double wood_fit_peak_day(const struct wood_fit *fit, const char **why)
{
    double day = wood_peak_day(&fit->curve);
    *why = NULL;
    if (!isfinite(day))
        *why = fit->curve.c > 0 ? "the curve falls from the first day: it has no peak"
                                : "the curve still rises at its end: it has no peak yet";
    else if (day > fit->last)
        *why = "the peak would lie after the last weight: she has not passed it yet";
    else if (day < fit->first)
        *why = "the peak would lie before the first weight: it was not seen";
    return *why == NULL ? day : NAN;
}
