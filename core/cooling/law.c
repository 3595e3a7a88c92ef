#include "core/cooling/law.h"

#include <math.h>

double law_rate(const struct cooling_law *law, double delta_k)
{
    if (law->exponent == 0)
        return law->k_per_s;
    return law->k_per_s * pow(fabs(delta_k) / law->span_k, law->exponent);
}

double law_temp(const struct cooling_law *law, double start_c, double around_c, double seconds)
{
    double delta = start_c - around_c;
    if (law->exponent == 0)
        return around_c + delta * exp(-law->k_per_s * seconds);
    double n = law->exponent, k0 = law_rate(law, delta);
    return around_c + delta * pow(1 + n * k0 * seconds, -1 / n);
}

double law_time(const struct cooling_law *law, double start_c, double around_c, double target_c)
{
    double delta = start_c - around_c, left = target_c - around_c;
    if (start_c == target_c || (delta > 0) != (target_c < start_c))
        return 0;
    if (delta == 0 || left == 0 || (delta > 0) != (left > 0) || law->k_per_s == 0)
        return INFINITY;
    double theta = left / delta;
    if (law->exponent == 0)
        return -log(theta) / law->k_per_s;
    double n = law->exponent, k0 = law_rate(law, delta);
    return (pow(theta, -n) - 1) / (n * k0);
}

const char *law_word(const struct cooling_law *law)
{
    return law->exponent == 0 ? "exponential" : "power";
}
