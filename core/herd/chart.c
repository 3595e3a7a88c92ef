#include "core/herd/chart.h"

#include <math.h>

void ewma_init(struct ewma *chart, double lambda, double width, double target, double sd)
{
    *chart =
        (struct ewma){.lambda = lambda, .width = width, .target = target, .sd = sd, .z = target, .count = 0};
}

double ewma_take(struct ewma *chart, double x)
{
    chart->z = chart->lambda * x + (1 - chart->lambda) * chart->z;
    chart->count++;
    return chart->z;
}

double ewma_half_width(const struct ewma *chart)
{
    double lambda = chart->lambda;
    double settled = 1 - pow(1 - lambda, 2.0 * (double)chart->count);
    return chart->width * chart->sd * sqrt(lambda / (2 - lambda) * settled);
}

int ewma_signal(const struct ewma *chart)
{
    double off = chart->z - chart->target, limit = ewma_half_width(chart);
    return off > limit ? 1 : off < -limit ? -1 : 0;
}

void cusum_init(struct cusum *chart, double target, double slack, double decision)
{
    *chart = (struct cusum){.target = target, .slack = slack, .decision = decision};
}

static void take_side(double *sum, size_t *run, double excess)
{
    *sum = fmax(0, *sum + excess);
    *run = *sum > 0 ? *run + 1 : 0;
}

void cusum_take(struct cusum *chart, double x)
{
    take_side(&chart->high, &chart->high_run, x - chart->target - chart->slack);
    take_side(&chart->low, &chart->low_run, chart->target - chart->slack - x);
}

int cusum_signal(const struct cusum *chart)
{
    return chart->low > chart->decision ? -1 : chart->high > chart->decision ? 1 : 0;
}

double cusum_run_length(double k, double h, double shift)
{
    double drift = shift - k, b = h + 1.166;
    if (fabs(drift) < 1e-9)
        return b * b;
    return (exp(-2 * drift * b) + 2 * drift * b - 1) / (2 * drift * drift);
}
