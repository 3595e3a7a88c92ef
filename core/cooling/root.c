#include "core/cooling/root.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>

/* x1, x2 bracket the root and x2 is the newest point; x3 is the point before. */
struct bracket {
    double x1, f1, x2, f2, x3, f3;
};

/* Takes in the value at x: afterwards x1 and x2 bracket the root again. */
static void bracket_take(struct bracket *b, double x, double fx)
{
    b->x3 = b->x1;
    b->f3 = b->f1;
    if (signbit(fx) != signbit(b->f1)) {
        b->x3 = b->x2;
        b->f3 = b->f2;
        b->x2 = b->x1;
        b->f2 = b->f1;
    }
    b->x1 = x;
    b->f1 = fx;
}

/* How far into the bracket (from x1, 0..1) to try next: inverse quadratic interpolation where Chandrupatla's
 * condition says that it is monotone in the bracket, else the middle. */
static double bracket_next(const struct bracket *b)
{
    double xi = (b->x1 - b->x2) / (b->x3 - b->x2), phi = (b->f1 - b->f2) / (b->f3 - b->f2);
    if (!(phi * phi < xi && (1 - phi) * (1 - phi) < 1 - xi))
        return 0.5;
    return b->f1 / (b->f2 - b->f1) * (b->f3 / (b->f2 - b->f3)) +
           b->f1 / (b->f3 - b->f1) * (b->f2 / (b->f3 - b->f2)) * ((b->x3 - b->x1) / (b->x2 - b->x1));
}

double root_find(double (*f)(double x, const void *context), const void *context, double low, double high,
                 double tolerance)
{
    double f_low = f(low, context), f_high = f(high, context);
    if (f_low == 0)
        return low;
    if (f_high == 0)
        return high;
    if (isnan(f_low) || isnan(f_high) || signbit(f_low) == signbit(f_high))
        return NAN;
    struct bracket b = {high, f_high, low, f_low, high, f_high};
    double at = 0.5;
    for (int i = 0; i < 200; i++) {
        double x = b.x1 + at * (b.x2 - b.x1), fx = f(x, context);
        bracket_take(&b, x, fx);
        double best = fabs(b.f1) < fabs(b.f2) ? b.x1 : b.x2;
        double within = 2 * DBL_EPSILON * fabs(best) + tolerance;
        double least = within / fabs(b.x2 - b.x1);
        if (fx == 0 || least > 0.5)
            return fx == 0 ? x : best;
        at = bracket_next(&b);
        at = fmin(1 - least, fmax(least, at));
    }
    return fabs(b.f1) < fabs(b.f2) ? b.x1 : b.x2;
}
