/* Ordinary differential equations: Dormand and Prince's embedded pair of orders 5 and 4 (1980) with its
 * continuous extension of order 4, steps chosen from the error of each, and events located inside a step.
 *
 * The error kept is per step and component: |error| <= tolerance * (1 + |y|). */
#ifndef CORE_COOLING_SOLVER_H
#define CORE_COOLING_SOLVER_H

#include <stdbool.h>
#include <stddef.h>

enum { SOLVER_SIZE_MAX = 33 };

/* dy/dt at t. */
typedef void (*solver_slope)(double t, const double *y, double *dy, const void *context);

/* A quantity whose crossing of zero, downwards, ends the run. */
typedef double (*solver_event)(double t, const double *y, const void *context);

struct solver {
    solver_slope slope;
    solver_event event; /* NULL: none */
    const void *context;
    size_t size;
    double tolerance;
    double t;
    double y[SOLVER_SIZE_MAX];
    double step; /* to try next; 0: choose */
    /* the last step, for values inside it */
    double from_t, last_step;
    double from_y[SOLVER_SIZE_MAX];
    double k[7][SOLVER_SIZE_MAX];
    long slopes; /* evaluations so far */
};

void solver_begin(struct solver *s, solver_slope slope, solver_event event, const void *context, size_t size,
                  double tolerance, double t, const double *y);

enum solver_end {
    SOLVER_STEPPED, /* one step nearer */
    SOLVER_REACHED, /* t is t_end */
    SOLVER_EVENT,   /* t is where the event crossed */
    SOLVER_STUCK,   /* the step has become too small to matter: the equation is not smooth enough */
};

/* Takes one step, at most to t_end. */
enum solver_end solver_step(struct solver *s, double t_end);

/* Steps until t_end, an event, or no further. */
enum solver_end solver_run(struct solver *s, double t_end);

/* Component i at a time within the last step. */
double solver_inside(const struct solver *s, double t, size_t i);

#endif
