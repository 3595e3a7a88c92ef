#include "core/cooling/solver.h"

#include <assert.h>
#include <math.h>
#include <string.h>

enum { STAGES = 7 };

/* Dormand and Prince 1980, J Comp Appl Math 6:19, table 2. The last stage is the first of the next step. */
/* clang-format off */
static const double node[STAGES] = {0, 1.0 / 5, 3.0 / 10, 4.0 / 5, 8.0 / 9, 1, 1};
static const double weight[STAGES][STAGES - 1] = {
    {0},
    {1.0 / 5},
    {3.0 / 40, 9.0 / 40},
    {44.0 / 45, -56.0 / 15, 32.0 / 9},
    {19372.0 / 6561, -25360.0 / 2187, 64448.0 / 6561, -212.0 / 729},
    {9017.0 / 3168, -355.0 / 33, 46732.0 / 5247, 49.0 / 176, -5103.0 / 18656},
    {35.0 / 384, 0, 500.0 / 1113, 125.0 / 192, -2187.0 / 6784, 11.0 / 84},
};
static const double error_weight[STAGES] = {
    71.0 / 57600, 0, -71.0 / 16695, 71.0 / 1920, -17253.0 / 339200, 22.0 / 525, -1.0 / 40,
};
/* clang-format on */

void solver_begin(struct solver *s, solver_slope slope, solver_event event, const void *context, size_t size,
                  double tolerance, double t, const double *y)
{
    assert(size >= 1 && size <= SOLVER_SIZE_MAX);
    s->slope = slope;
    s->event = event;
    s->context = context;
    s->size = size;
    s->tolerance = tolerance;
    s->t = s->from_t = t;
    s->step = s->last_step = 0;
    s->slopes = 1;
    memcpy(s->y, y, size * sizeof *y);
    memcpy(s->from_y, y, size * sizeof *y);
    slope(t, s->y, s->k[0], context);
}

/* A first step that moves no component by more than a hundredth of its scale over what its slope says. */
static double first_step(const struct solver *s, double room)
{
    double step = room;
    for (size_t i = 0; i < s->size; i++)
        if (s->k[0][i] != 0)
            step = fmin(step, 0.01 * (1 + fabs(s->y[i])) / fabs(s->k[0][i]));
    return step;
}

/* Tries a step of h from (t, y); returns its error in units of the tolerance. */
static double try_step(struct solver *s, double h, double *y_new)
{
    double worst = 0;
    for (int stage = 1; stage < STAGES; stage++) {
        for (size_t i = 0; i < s->size; i++) {
            double sum = 0;
            for (int j = 0; j < stage; j++)
                sum += weight[stage][j] * s->k[j][i];
            y_new[i] = s->y[i] + h * sum;
        }
        s->slope(s->t + node[stage] * h, y_new, s->k[stage], s->context);
    }
    s->slopes += STAGES - 1;
    for (size_t i = 0; i < s->size; i++) {
        double sum = 0;
        for (int j = 0; j < STAGES; j++)
            sum += error_weight[j] * s->k[j][i];
        double scale = s->tolerance * (1 + fmax(fabs(s->y[i]), fabs(y_new[i])));
        double error = fabs(h * sum) / scale;
        if (isnan(error))
            return NAN; /* fmax() would pass over it */
        worst = fmax(worst, error);
    }
    return worst;
}

double solver_inside(const struct solver *s, double t, size_t i)
{
    if (s->last_step == 0)
        return s->y[i];
    /* Hairer, Norsett and Wanner, Solving Ordinary Differential Equations I, 2nd ed., II.6 (DOPRI5). */
    static const double d[STAGES] = {
        -12715105075.0 / 11282082432,  0,
        87487479700.0 / 32700410799,   -10690763975.0 / 1880347072,
        701980252875.0 / 199316789632, -1453857185.0 / 822651844,
        69997945.0 / 29380423,
    };
    double h = s->last_step, x = (t - s->from_t) / h, y0 = s->from_y[i], rise = s->y[i] - y0;
    double bend = h * s->k[0][i] - rise, twist = rise - h * s->k[6][i] - bend, last = 0;
    for (int j = 0; j < STAGES; j++)
        last += d[j] * s->k[j][i];
    return y0 + x * (rise + (1 - x) * (bend + x * (twist + (1 - x) * h * last)));
}

static double event_inside(const struct solver *s, double t)
{
    double y[SOLVER_SIZE_MAX];
    for (size_t i = 0; i < s->size; i++)
        y[i] = solver_inside(s, t, i);
    return s->event(t, y, s->context);
}

/* The event's time inside the last step by bisection of the continuous extension. */
static double event_time(const struct solver *s)
{
    double low = s->from_t, high = s->t;
    for (int i = 0; i < 60 && high - low > 1e-12 * fabs(high); i++) {
        double middle = low + (high - low) / 2;
        if (event_inside(s, middle) > 0)
            low = middle;
        else
            high = middle;
    }
    return high;
}

/* Ends the run where the event happened: a fresh step of exactly that length, so that the state there has the
 * accuracy of a step and not of the interpolation. */
static void stop_at_event(struct solver *s)
{
    double y_new[SOLVER_SIZE_MAX], at = event_time(s);
    s->t = s->from_t;
    memcpy(s->y, s->from_y, s->size * sizeof *s->y);
    s->last_step = at - s->from_t;
    (void)try_step(s, s->last_step, y_new);
    memcpy(s->y, y_new, s->size * sizeof *s->y);
    s->t = at;
}

enum solver_end solver_step(struct solver *s, double t_end)
{
    double y_new[SOLVER_SIZE_MAX], room = t_end - s->t;
    if (room <= 0)
        return SOLVER_REACHED;
    if (s->last_step != 0) /* first same as last */
        memcpy(s->k[0], s->k[6], s->size * sizeof s->y[0]);
    double h = s->step > 0 ? s->step : first_step(s, room);
    double before = s->event == NULL ? 0 : s->event(s->t, s->y, s->context);
    for (;;) {
        bool last = h >= room * (1 - 1e-12);
        if (last)
            h = room;
        double error = try_step(s, h, y_new);
        double factor = error == 0 ? 5 : fmin(5, fmax(0.2, 0.9 * pow(error, -0.2)));
        if (!(error <= 1)) {
            h *= isnan(error) ? 0.2 : factor;
            if (h < 1e-13 * (1 + fabs(s->t)))
                return SOLVER_STUCK;
            continue;
        }
        s->from_t = s->t;
        memcpy(s->from_y, s->y, s->size * sizeof *s->y);
        memcpy(s->y, y_new, s->size * sizeof *s->y);
        s->t = last ? t_end : s->t + h;
        s->last_step = h;
        if (!last || s->step == 0)
            s->step = h * factor;
        if (s->event != NULL && before > 0 && s->event(s->t, s->y, s->context) <= 0) {
            stop_at_event(s);
            return SOLVER_EVENT;
        }
        return last ? SOLVER_REACHED : SOLVER_STEPPED;
    }
}

enum solver_end solver_run(struct solver *s, double t_end)
{
    enum solver_end end = SOLVER_STEPPED;
    while (end == SOLVER_STEPPED)
        end = solver_step(s, t_end);
    return end;
}
