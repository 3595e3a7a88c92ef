/* Where a continuous function crosses zero. */
#ifndef CORE_COOLING_ROOT_H
#define CORE_COOLING_ROOT_H

/* The x in [low, high] with f(x, context) = 0, to within `tolerance` (0: as near as doubles go). f must have
 * opposite signs at the two ends, or be zero at one; else NaN. Never leaves the bracket; takes at most 200
 * evaluations (Chandrupatla 1997: inverse quadratic steps where they are safe, else bisection). */
double root_find(double (*f)(double x, const void *context), const void *context, double low, double high,
                 double tolerance);

#endif
