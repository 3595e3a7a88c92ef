#include "core/cooling/law.h"

#include <math.h>

struct cooling_law law_exponential(double k_per_s)
{
    return (struct cooling_law){.k_per_s = k_per_s, .span_k = 1};
}

/* The factor of the surroundings never takes more than half of the rate away. */
static double rate_around(const struct cooling_law *law, double around_c)
{
    return law->k_per_s * fmax(0.5, 1 + law->warm_per_k * (around_c - law->around_c));
}

double law_rate(const struct cooling_law *law, double delta_k, double around_c)
{
    double k = rate_around(law, around_c);
    return law->exponent == 0 ? k : k * pow(fabs(delta_k) / law->span_k, law->exponent);
}

void law_course_begin(struct law_course *course, const struct cooling_law *law, double start_c,
                      double around_c)
{
    double n = law->exponent, k = rate_around(law, around_c), apart = start_c - around_c;
    *course = (struct law_course){.around_c = around_c, .apart_k = apart, .growth = -k};
    if (n == 0 || apart == 0)
        return;
    course->u = exp(-n * log(fabs(apart) / law->span_k));
    course->growth = n * k;
    course->power = -1 / n;
    course->span_k = copysign(law->span_k, apart);
}

double law_course_temp(const struct law_course *course, double seconds)
{
    if (course->power == 0)
        return course->around_c + course->apart_k * exp(course->growth * seconds);
    /* exp and log cost two thirds of pow, and this is what a forecast spends half of its time on. */
    return course->around_c + course->span_k * exp(course->power * log(course->u + course->growth * seconds));
}

double law_temp(const struct cooling_law *law, double start_c, double around_c, double seconds)
{
    struct law_course course;
    law_course_begin(&course, law, start_c, around_c);
    return law_course_temp(&course, seconds);
}

double law_time(const struct cooling_law *law, double start_c, double around_c, double target_c)
{
    double delta = start_c - around_c, left = target_c - around_c, n = law->exponent;
    if (start_c == target_c || (delta > 0) != (target_c < start_c))
        return 0;
    if (left == 0 || (delta > 0) != (left > 0) || law->k_per_s == 0)
        return INFINITY;
    double share = left / delta;
    if (n == 0)
        return -log(share) / rate_around(law, around_c);
    return (pow(share, -n) - 1) / (n * law_rate(law, delta, around_c));
}

const char *law_word(const struct cooling_law *law)
{
    return law->exponent == 0 ? "exponential" : "power";
}
