/* Newton's law of cooling, as a textbook asks it: T(t) = Ta + (T0 - Ta) e^(-k t). Warming is the same law.
 * One unit of temperature and one of time throughout; any will do. A figure that does not exist (the
 * surroundings never reach the target) is NaN, and the caller knows why from newton_reach(). */
#ifndef CORE_COOLING_NEWTON_H
#define CORE_COOLING_NEWTON_H

#include <stddef.h>

double newton_temp(double start, double around, double k, double time);

/* Does the body pass `target` on its way from start towards around? */
enum reach {
    REACH_LATER,
    REACH_ALREADY, /* it is there, or beyond, at the start */
    REACH_NEVER,   /* at or past the temperature of the surroundings */
};
enum reach newton_reach(double start, double around, double target);

/* Time until target: 0 if already there, NaN if never. k above 0. */
double newton_time(double start, double around, double k, double target);

/* The rate that gives `reading` at `time`: exact. NaN if the reading is not between start and around, or time
 * is not above 0. */
double newton_rate(double start, double around, double time, double reading);

/* Temperature of the surroundings from three readings at equal steps: (T0 T2 - T1^2) / (T0 + T2 - 2 T1). For
 * textbooks: on real readings of a short run it is badly biased, and nothing else here uses it. NaN if they
 * are in a straight line. */
double newton_around(double first, double second, double third);

/* Range of the time to `target` when start, around and one reading are each known to within `slack`: all
 * eight corners. NaN if any corner has no answer. */
void newton_time_range(double start, double around, double time, double reading, double target, double slack,
                       double *low, double *high);

/* Several stages one after another, each with its own surroundings and rate; the last runs on without end. */
struct newton_stage {
    double around, k, time;
};

/* Temperature at the end of stage `count - 1`; and the time from the beginning at which the body first passes
 * target, from whichever side it starts, NaN if it never does. */
double stages_temp(const struct newton_stage *stage, size_t count, double start);
double stages_time(const struct newton_stage *stage, size_t count, double start, double target);

#endif
