#include "core/cooling/fit.h"

#include <cminpack.h>
#include <float.h>
#include <math.h>
#include <string.h>

#include "core/cooling/newton.h"
#include "core/cooling/quantile.h"

/* --- curves: value and slopes with respect to each parameter --- */

int curve_parameters(enum curve curve)
{
    static const int parameters[CURVES] = {2, 3, 5};
    return parameters[curve];
}

static double curve_at(enum curve curve, const double *b, double x, double *slope)
{
    double e1, e2;
    switch (curve) {
    case CURVE_RISE:
        e1 = exp(-b[1] * x);
        slope[0] = -expm1(-b[1] * x);
        slope[1] = b[0] * x * e1;
        return b[0] * slope[0];
    case CURVE_DECAY:
        e1 = exp(-b[2] * x);
        slope[0] = 1;
        slope[1] = e1;
        slope[2] = -b[1] * x * e1;
        return b[0] + b[1] * e1;
    case CURVE_TWO_DECAYS:
    case CURVES: break;
    }
    e1 = exp(-b[3] * x);
    e2 = exp(-b[4] * x);
    slope[0] = 1;
    slope[1] = e1;
    slope[2] = e2;
    slope[3] = -b[1] * x * e1;
    slope[4] = -b[2] * x * e2;
    return b[0] + b[1] * e1 + b[2] * e2;
}

/* --- Levenberg and Marquardt --- */

struct problem {
    enum curve curve;
    const double *x, *y;
};

/* MINPACK asks for residuals (want 1) or their slopes, column by column (want 2). */
static int residuals(void *context, int m, int n, const double *b, double *residual, double *slopes,
                     int stride, int want)
{
    const struct problem *p = context;
    double slope[FIT_PARAMETERS_MAX] = {0};
    for (int i = 0; i < m; i++) {
        double value = curve_at(p->curve, b, p->x[i], slope);
        if (want == 1)
            residual[i] = value - p->y[i];
        for (int j = 0; want == 2 && j < n; j++)
            slopes[i + j * stride] = slope[j];
    }
    return 0;
}

/* The room that lmder needs beyond the parameters; on the stack, since it is a few thousand doubles. */
struct lm_room {
    double residual[FIT_POINTS_MAX], slopes[FIT_POINTS_MAX * FIT_PARAMETERS_MAX], wa4[FIT_POINTS_MAX];
    double scale[FIT_PARAMETERS_MAX], qtf[FIT_PARAMETERS_MAX];
    double wa1[FIT_PARAMETERS_MAX], wa2[FIT_PARAMETERS_MAX], wa3[FIT_PARAMETERS_MAX];
    int order[FIT_PARAMETERS_MAX];
};

/* Runs lmder on b in place. `reach` bounds the first step. */
static int lm_run(struct problem *p, int m, int n, double *b, double reach, struct lm_room *room)
{
    int calls, slope_calls;
    return lmder(residuals, p, m, n, b, room->residual, room->slopes, m, 4 * DBL_EPSILON, 4 * DBL_EPSILON, 0,
                 5000, room->scale, 1, reach, 0, &calls, &slope_calls, room->order, room->qtf, room->wa1,
                 room->wa2, room->wa3, room->wa4);
}

/* 1..3: converged; 4, 6..8: nothing more to gain with doubles; 5: too many calls. */
static bool lm_settled(int end, int n, const double *b)
{
    return end > 0 && end != 5 && isfinite(b[0] + b[n - 1]);
}

/* The normal equations of the residuals at b, each column of slopes brought to length 1; `root` is their Cholesky factor. */
struct normal {
    int n;
    double squares, length[FIT_PARAMETERS_MAX], gradient[FIT_PARAMETERS_MAX];
    double root[FIT_PARAMETERS_MAX][FIT_PARAMETERS_MAX];
};

/* False when two parameters cannot be told apart. */
static bool normal_at(struct problem *p, int m, int n, const double *b, struct lm_room *room, struct normal *e)
{
    *e = (struct normal){.n = n};
    (void)residuals(p, m, n, b, room->residual, room->slopes, m, 1);
    (void)residuals(p, m, n, b, room->residual, room->slopes, m, 2);
    for (int i = 0; i < m; i++)
        e->squares += room->residual[i] * room->residual[i];
    for (int j = 0; j < n; j++) {
        for (int i = 0; i < m; i++)
            e->length[j] = hypot(e->length[j], room->slopes[i + j * m]);
        for (int i = 0; i < m; i++)
            e->gradient[j] += room->slopes[i + j * m] * room->residual[i] / e->length[j];
    }
    for (int j = 0; j < n; j++)
        for (int k = 0; k <= j; k++) {
            double sum = 0;
            for (int i = 0; i < m; i++)
                sum += room->slopes[i + j * m] * room->slopes[i + k * m] / (e->length[j] * e->length[k]);
            for (int i = 0; i < k; i++)
                sum -= e->root[j][i] * e->root[k][i];
            if (j == k && !(sum > 0))
                return false;
            e->root[j][k] = j == k ? sqrt(sum) : sum / e->root[k][k];
        }
    return true;
}

static void normal_solve(const struct normal *e, double *x)
{
    for (int j = 0; j < e->n; j++) {
        for (int k = 0; k < j; k++)
            x[j] -= e->root[j][k] * x[k];
        x[j] /= e->root[j][j];
    }
    for (int j = e->n - 1; j >= 0; j--) {
        for (int k = j + 1; k < e->n; k++)
            x[j] -= e->root[k][j] * x[k];
        x[j] /= e->root[j][j];
    }
}

/* The sum of squares is flat at its bottom, so that lmder, which looks at the sum, ends with half of a double's digits.
 * Steps of Gauss and Newton from there go by the slopes and find the others. */
static void polish(struct problem *p, int m, int n, double *b, struct lm_room *room)
{
    enum { ROUNDS = 8 };
    struct normal here, there;
    if (!normal_at(p, m, n, b, room, &here))
        return;
    for (int round = 0; round < ROUNDS; round++) {
        double step[FIT_PARAMETERS_MAX], next[FIT_PARAMETERS_MAX];
        memcpy(step, here.gradient, sizeof step);
        normal_solve(&here, step);
        for (int j = 0; j < n; j++)
            next[j] = b[j] - step[j] / here.length[j];
        if (!normal_at(p, m, n, next, room, &there) || !(there.squares <= here.squares * (1 + 1e-12)))
            return;
        memcpy(b, next, (size_t)n * sizeof *b);
        here = there;
    }
}

static void take_intervals(struct problem *p, int m, struct lm_room *room, struct curve_fit *out)
{
    struct normal e;
    int n = curve_parameters(p->curve);
    bool told = normal_at(p, m, n, out->b, room, &e);
    double t = student_quantile(0.975, m - n);
    out->degrees = m - n;
    out->sum_of_squares = e.squares;
    out->residual_sd = sqrt(out->sum_of_squares / out->degrees);
    for (int j = 0; j < n; j++) {
        double unit[FIT_PARAMETERS_MAX] = {0};
        unit[j] = 1;
        if (told)
            normal_solve(&e, unit);
        out->sd[j] = told ? out->residual_sd * sqrt(unit[j]) / e.length[j] : INFINITY;
        out->low[j] = out->b[j] - t * out->sd[j];
        out->high[j] = out->b[j] + t * out->sd[j];
    }
}

int curve_fit(enum curve curve, const double *x, const double *y, size_t count, const double *start,
              struct curve_fit *out, struct fail *f)
{
    int m = (int)count, n = curve_parameters(curve);
    struct problem problem = {curve, x, y};
    struct lm_room room;
    if (count > FIT_POINTS_MAX || m <= n)
        return fail_refused(f, "A curve with %d figures to find needs more than %d points, and at most %d.",
                            n, n, FIT_POINTS_MAX);
    /* A long first step can land where the curve is flat and stay there (BoxBOD from its far start does):
     * shorter ones are tried as well, and the best of the ends is taken. */
    static const double reaches[] = {100, 1, 0.1};
    double best = INFINITY;
    *out = (struct curve_fit){0};
    for (size_t r = 0; r < sizeof reaches / sizeof reaches[0]; r++) {
        double b[FIT_PARAMETERS_MAX], squares = 0;
        memcpy(b, start, (size_t)n * sizeof *b);
        if (!lm_settled(lm_run(&problem, m, n, b, reaches[r], &room), n, b))
            continue;
        for (int i = 0; i < m; i++)
            squares += room.residual[i] * room.residual[i];
        if (!(squares < best))
            continue;
        best = squares;
        memcpy(out->b, b, (size_t)n * sizeof *b);
    }
    if (isinf(best))
        return fail_refused(f, "The curve did not settle from where it was started.");
    polish(&problem, m, n, out->b, &room);
    take_intervals(&problem, m, &room, out);
    return 0;
}

/* --- the rate alone --- */

static int check_readings(double start, double around, const struct rate_reading *reading, size_t count,
                          struct fail *f)
{
    bool above = false;
    if (count == 0 || count > RATE_READINGS_MAX)
        return fail_refused(f, "Between one and %d readings are needed.", RATE_READINGS_MAX);
    for (size_t i = 0; i < count; i++) {
        if (!(reading[i].time > 0))
            return fail_refused(f, "A reading needs a time after the start, in minutes above 0.");
        if (reading[i].temp > start)
            return fail_refused(
                f, "The reading at minute %g is above the temperature at which the milk was poured.",
                reading[i].time);
        for (size_t j = 0; j < i; j++)
            if (reading[j].time == reading[i].time)
                return fail_refused(f, "There are two readings at minute %g; keep the one you trust.",
                                    reading[i].time);
        above = above || reading[i].temp > around;
    }
    if (!above)
        return fail_refused(
            f, "The milk was read at or below the bath's own temperature; no rate gives that. Read "
               "the bath.");
    return 0;
}

/* Half the derivative of the sum of squares by k, and its parts. */
struct rate_sums {
    double squares, gradient, slopes;
};

static void rate_sums(double start, double around, const struct rate_reading *reading, size_t count, double k,
                      struct rate_sums *s)
{
    *s = (struct rate_sums){0};
    for (size_t i = 0; i < count; i++) {
        double fall = (start - around) * exp(-k * reading[i].time), slope = -reading[i].time * fall;
        double miss = around + fall - reading[i].temp;
        s->squares += miss * miss;
        s->gradient += miss * slope;
        s->slopes += slope * slope;
    }
}

/* Gauss and Newton, each step halved until it helps. Starts from the rate that each reading alone would give,
 * the mean of them weighted by what each knows about k. */
static double least_squares_rate(double start, double around, const struct rate_reading *reading,
                                 size_t count)
{
    double sum = 0, weights = 0;
    for (size_t i = 0; i < count; i++) {
        double k = newton_rate(start, around, reading[i].time, reading[i].temp);
        double weight = reading[i].time * (reading[i].temp - around);
        if (isnan(k))
            continue;
        sum += weight * weight * k;
        weights += weight * weight;
    }
    double k = weights > 0 ? sum / weights : 1e-6 / reading[count - 1].time;
    for (int i = 0; i < 100; i++) {
        struct rate_sums here, there;
        rate_sums(start, around, reading, count, k, &here);
        double step = -here.gradient / here.slopes;
        rate_sums(start, around, reading, count, k + step, &there);
        for (int halved = 0; there.squares > here.squares && halved < 40; halved++) {
            step /= 2;
            rate_sums(start, around, reading, count, k + step, &there);
        }
        k += step;
        if (fabs(step) <= 4 * DBL_EPSILON * fabs(k) || !(here.slopes > 0))
            break;
    }
    return k;
}

int rate_from_readings(double start, double around, const struct rate_reading *reading, size_t count,
                       struct rate_fit *out, struct fail *f)
{
    struct rate_sums s;
    if (check_readings(start, around, reading, count, f) != 0)
        return -1;
    *out = (struct rate_fit){.sd = NAN, .low = NAN, .high = NAN, .residual_sd = NAN};
    if (count == 1) {
        out->k = newton_rate(start, around, reading[0].time, reading[0].temp);
        if (!(out->k > 0))
            return fail_refused(
                f, "The milk was still as warm as it was poured; there is no rate to be had yet.");
        return 0;
    }
    out->k = least_squares_rate(start, around, reading, count);
    rate_sums(start, around, reading, count, out->k, &s);
    double degrees = (double)count - 1, t = student_quantile(0.975, degrees);
    out->residual_sd = sqrt(s.squares / degrees);
    out->sd = out->residual_sd / sqrt(s.slopes);
    out->low = out->k - t * out->sd;
    out->high = out->k + t * out->sd;
    return 0;
}

double rate_log_linear(double around, const struct rate_reading *reading, size_t count, int weighted,
                       double *sd)
{
    double sw = 0, sx = 0, sy = 0, sxx = 0, sxy = 0, squares = 0;
    for (int pass = 0; pass < 2; pass++) /* means first, then about the means */
        for (size_t i = 0; i < count; i++) {
            double apart = reading[i].temp - around, weight = weighted ? apart * apart : 1;
            if (pass == 0) {
                sw += weight;
                sx += weight * reading[i].time;
                sy += weight * log(apart);
            } else {
                double x = reading[i].time - sx / sw;
                sxx += weight * x * x;
                sxy += weight * x * (log(apart) - sy / sw);
            }
        }
    double slope = sxy / sxx;
    for (size_t i = 0; i < count; i++) {
        double apart = reading[i].temp - around, weight = weighted ? apart * apart : 1;
        double miss = log(apart) - sy / sw - slope * (reading[i].time - sx / sw);
        squares += weight * miss * miss;
    }
    if (sd != NULL)
        *sd = sqrt(squares / ((double)count - 2) / sxx);
    return -slope;
}
