#include "core/cooling/newton.h"

#include <math.h>

double newton_temp(double start, double around, double k, double time)
{
    return around + (start - around) * exp(-k * time);
}

enum reach newton_reach(double start, double around, double target)
{
    if (start == target || (start > around) != (target < start))
        return REACH_ALREADY;
    return (start > around ? target > around : target < around) ? REACH_LATER : REACH_NEVER;
}

double newton_time(double start, double around, double k, double target)
{
    switch (newton_reach(start, around, target)) {
    case REACH_ALREADY: return 0;
    case REACH_NEVER: return NAN;
    case REACH_LATER: break;
    }
    return log((start - around) / (target - around)) / k;
}

double newton_rate(double start, double around, double time, double reading)
{
    double share = (start - around) / (reading - around);
    return time > 0 && share > 1 && isfinite(share) ? log(share) / time : NAN;
}

double newton_around(double first, double second, double third)
{
    double bend = first + third - 2 * second;
    return bend == 0 ? NAN : (first * third - second * second) / bend;
}

void newton_time_range(double start, double around, double time, double reading, double target, double slack,
                       double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (int corner = 0; corner < 8; corner++) {
        double s = start + (corner & 1 ? slack : -slack), a = around + (corner & 2 ? slack : -slack);
        double r = reading + (corner & 4 ? slack : -slack);
        double t = newton_time(s, a, newton_rate(s, a, time, r), target);
        if (isnan(t)) {
            *low = *high = NAN;
            return;
        }
        *low = fmin(*low, t);
        *high = fmax(*high, t);
    }
}

double stages_temp(const struct newton_stage *stage, size_t count, double start)
{
    for (size_t i = 0; i < count; i++)
        start = newton_temp(start, stage[i].around, stage[i].k, stage[i].time);
    return start;
}

double stages_time(const struct newton_stage *stage, size_t count, double start, double target)
{
    double gone = 0;
    for (size_t i = 0; i < count; i++) {
        if (start == target)
            return gone;
        /* A stage meets the target only if its surroundings lie beyond it; a warm room between two cold
         * stages may take the body away from it again. */
        double share = (start - stage[i].around) / (target - stage[i].around);
        double t = share > 1 && isfinite(share) ? log(share) / stage[i].k : INFINITY;
        if (t <= stage[i].time || (i + 1 == count && isfinite(t)))
            return gone + t;
        start = newton_temp(start, stage[i].around, stage[i].k, stage[i].time);
        gone += stage[i].time;
    }
    return NAN;
}
