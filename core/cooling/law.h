/* How a body's rate of cooling depends on how far it is from its surroundings.
 *
 *   exponential   dT/dt = -k (T - Ta)                          T - Ta falls as e^(-k t)
 *   power         dT/dt = -k (|T - Ta| / span)^n (T - Ta)      natural convection: the film weakens as the
 *                                                              difference shrinks
 * With k0 the rate at the start, the power law gives theta = (1 + n k0 t)^(-1/n) in constant surroundings
 * (Bejan and Kraus, Heat Transfer Handbook, 2003, eq. 3.285-3.286); n = 0 is the exponential law. */
#ifndef CORE_COOLING_LAW_H
#define CORE_COOLING_LAW_H

#include <stdbool.h>

struct cooling_law {
    double k_per_s;    /* rate where |T - Ta| is span_k and Ta is around_c; 0 or more */
    double span_k;     /* the difference for which k_per_s holds; above 0 */
    double exponent;   /* n: 0 exponential, else above 0, up to 1 */
    double around_c;   /* the surroundings for which k_per_s holds */
    double warm_per_k; /* share by which k grows for each K that they are warmer; 0: they do not matter */
};

/* Below this exponent the rate changes by less than a tenth over a tenfold fall of the difference, less than
 * any film is known to, and the exponential law is used. */
#define LAW_EXPONENT_LEAST 0.045

/* Newton's own law at k per second. */
struct cooling_law law_exponential(double k_per_s);

/* The rate in 1/s at a difference of delta_k from surroundings at around_c. */
double law_rate(const struct cooling_law *law, double delta_k, double around_c);

/* Temperature after `seconds` in constant surroundings. */
double law_temp(const struct cooling_law *law, double start_c, double around_c, double seconds);

/* One course of a law, set out once and then asked at many times: for the power law, u = (|T - Ta| / span)^-n
 * grows evenly in time, so that each answer costs one power. */
struct law_course {
    double around_c, apart_k; /* at the start */
    double u, growth,
        power;     /* power law: u at the start, its growth per second, -1/n; exponential: growth is -k */
    double span_k; /* with the sign of apart_k */
};
void law_course_begin(struct law_course *course, const struct cooling_law *law, double start_c,
                      double around_c);
double law_course_temp(const struct law_course *course, double seconds);

/* Seconds until target_c; 0 if start_c is there already (on the far side of it from around_c is not there);
 * INFINITY if the surroundings never bring it there. */
double law_time(const struct cooling_law *law, double start_c, double around_c, double target_c);

/* "exponential" or "power". */
const char *law_word(const struct cooling_law *law);

#endif
