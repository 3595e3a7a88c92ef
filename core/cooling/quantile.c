#include "core/cooling/quantile.h"

#include <math.h>

#include "core/cooling/root.h"

double normal_probability(double z)
{
    return 0.5 * erfc(-z / sqrt(2));
}

struct wanted {
    double p, degrees;
};

static double normal_miss(double z, const void *context)
{
    return normal_probability(z) - ((const struct wanted *)context)->p;
}

double normal_quantile(double p)
{
    struct wanted wanted = {p, 0};
    return root_find(normal_miss, &wanted, -38, 38, 1e-14);
}

/* Continued fraction of the incomplete beta function by Lentz's method (Abramowitz and Stegun 26.5.8). */
static double beta_fraction(double x, double a, double b)
{
    double c = 1, d = 1 / (1 - (a + b) * x / (a + 1)), h = d;
    for (int m = 1; m < 500; m++) {
        double even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
        double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
        d = 1 / (1 + even * d);
        c = 1 + even / c;
        h *= d * c;
        d = 1 / (1 + odd * d);
        c = 1 + odd / c;
        h *= d * c;
        if (fabs(d * c - 1) < 1e-16)
            break;
    }
    return h;
}

/* Regularised incomplete beta I_x(a, b), y = 1 - x given apart so that neither end loses digits. */
static double beta_share(double x, double y, double a, double b)
{
    if (x == 0 || y == 0)
        return x == 0 ? 0 : 1;
    double front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(y));
    if (x < (a + 1) / (a + b + 2))
        return front * beta_fraction(x, a, b) / a;
    return 1 - front * beta_fraction(y, b, a) / b;
}

double student_probability(double t, double degrees)
{
    double sum = degrees + t * t;
    double tail = 0.5 * beta_share(degrees / sum, t * t / sum, degrees / 2, 0.5);
    return t > 0 ? 1 - tail : tail;
}

static double student_miss(double t, const void *context)
{
    const struct wanted *wanted = context;
    return student_probability(t, wanted->degrees) - wanted->p;
}

double student_quantile(double p, double degrees)
{
    struct wanted wanted = {p, degrees};
    double reach = 2;
    while (student_probability(reach, degrees) < p || student_probability(-reach, degrees) > p)
        reach *= 2;
    return root_find(student_miss, &wanted, -reach, reach, 1e-14);
}
