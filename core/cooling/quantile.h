/* The two distributions that bands and intervals need. */
#ifndef CORE_COOLING_QUANTILE_H
#define CORE_COOLING_QUANTILE_H

/* Standard normal: probability of a value at or below z, and its inverse for 0 < p < 1. */
double normal_probability(double z);
double normal_quantile(double p);

/* Student's t with `degrees` of freedom, 1 or more: the same. */
double student_probability(double t, double degrees);
double student_quantile(double p, double degrees);

#endif
