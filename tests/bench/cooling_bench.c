/* How long the cooling takes: the forecast that the board asks for every second, a fit, and single closed
 * forms, each beside GSL doing the same in the same run. Processor time; the median of several rounds.
 *   cooling_bench */
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "core/cooling/bodies.h"
#include "core/cooling/fit.h"
#include "core/cooling/forecast.h"
#include "core/cooling/newton.h"

enum { ROUNDS = 9 };

static double now_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e6 + (double)t.tv_nsec / 1e3;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Median time of one call in microseconds. */
static double measure(void (*work)(void *), void *context, int times)
{
    double round[ROUNDS];
    for (int r = 0; r < ROUNDS; r++) {
        double from = now_us();
        for (int i = 0; i < times; i++)
            work(context);
        round[r] = (now_us() - from) / times;
    }
    qsort(round, ROUNDS, sizeof round[0], by_size);
    return round[ROUNDS / 2];
}

static void say(const char *what, double us)
{
    printf("%-74s %10.3f us\n", what, us);
}

/* --- the forecast --- */

struct board {
    struct morning morning;
    struct forecast forecast;
};

static void make_forecast(void *context)
{
    struct board *b = context;
    struct fail f;
    if (forecast_make(&b->morning, &b->forecast, &f) != 0) {
        fprintf(stderr, "%s\n", f.text);
        exit(1);
    }
}

/* Four batches of two kinds in a tub, forty minutes into the morning; the horizon is twelve hours. */
static void set_up(struct board *b, double ice_kg, int readings, const struct jar_list *jars,
                   const struct limit_list *limits)
{
    struct morning *m = &b->morning;
    morning_init(m, 2400);
    m->tub.start_at = 0;
    m->tub.water_kg = 25;
    m->tub.water_c = 12;
    m->tub.ice_kg = ice_kg;
    m->room_c = 15;
    m->fridge_c = 3.5;
    m->milking_start_at = 0;
    m->milking_end_at = 2400;
    m->limit = &limits->set[0];
    m->jars = jars;
    m->table_s = 300;
    for (int i = 0; i < 4; i++) {
        struct batch_facts *batch = &m->batch[m->batches++];
        batch_init(batch, jar_find(jars, i % 2 == 0 ? "half-gallon" : "quart"), 3, 450 * i, 35);
        for (int r = 0; r < readings; r++)
            batch->reading[batch->readings++] = (struct milk_reading){
                .at = 450 * i + 45 * (r + 1), .temp_c = 0.5 + 34 * exp(-0.05 * 0.75 * (r + 1))};
    }
}

/* --- GSL: the same four lots and tub over twelve hours --- */

struct gsl_tub {
    struct cooling_law law;
    double capacity, water_j_per_k, room_w_per_k, room_c, melting_j;
};

static int gsl_slope(double t, const double y[], double dy[], void *context)
{
    const struct gsl_tub *x = context;
    (void)t;
    double water = y[0] < x->melting_j ? 0 : (y[0] - x->melting_j) / x->water_j_per_k;
    dy[0] = x->room_w_per_k * (x->room_c - water);
    for (int i = 1; i <= 4; i++) {
        double apart = y[i] - water;
        dy[i] = -law_rate(&x->law, apart, water) * apart;
        dy[0] -= x->capacity * dy[i];
    }
    return GSL_SUCCESS;
}

struct gsl_run {
    struct gsl_tub tub;
    const gsl_odeiv2_step_type *type;
    double tolerance;
};

static void gsl_twelve_hours(void *context)
{
    struct gsl_run *run = context;
    gsl_odeiv2_system system = {gsl_slope, NULL, 5, &run->tub};
    gsl_odeiv2_driver *d =
        gsl_odeiv2_driver_alloc_y_new(&system, run->type, 1, run->tolerance, run->tolerance);
    double t = 0, y[5] = {0, 35, 35, 35, 35};
    for (int i = 1; i <= 97; i++)
        if (gsl_odeiv2_driver_apply(d, &t, 43200.0 * i / 97, y) != GSL_SUCCESS)
            exit(1);
    gsl_odeiv2_driver_free(d);
}

/* --- one value --- */

struct pair_run {
    struct two_bodies b;
    double t, sum;
};

static void closed_value(void *context)
{
    struct pair_run *p = context;
    double t1, t2;
    two_bodies_leak_at(&p->b, 15, 3, p->t, &t1, &t2);
    p->t = p->t > 7200 ? 60 : p->t + 1;
    p->sum += t1 + t2;
}

static int pair_slope(double t, const double y[], double dy[], void *context)
{
    const struct pair_run *p = context;
    (void)t;
    double flow = p->b.ua * (y[0] - y[1]);
    dy[0] = -flow / p->b.c1;
    dy[1] = (flow + 3 * (15 - y[1])) / p->b.c2;
    return GSL_SUCCESS;
}

static void gsl_value(void *context)
{
    struct pair_run *p = context;
    gsl_odeiv2_system system = {pair_slope, NULL, 2, p};
    gsl_odeiv2_driver *d = gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rk8pd, 1, 1e-12, 1e-12);
    double t = 0, y[2] = {p->b.t1, p->b.t2};
    if (gsl_odeiv2_driver_apply(d, &t, 7200, y) != GSL_SUCCESS)
        exit(1);
    p->sum += y[0];
    gsl_odeiv2_driver_free(d);
}

/* --- a fit of the rate to twenty readings --- */

struct fit_run {
    struct rate_reading reading[20];
    double k;
};

static void our_fit(void *context)
{
    struct fit_run *run = context;
    struct rate_fit fit;
    struct fail f;
    if (rate_from_readings(35, 1, run->reading, 20, &fit, &f) != 0)
        exit(1);
    run->k = fit.k;
}

static int fit_residuals(const gsl_vector *x, void *context, gsl_vector *out)
{
    const struct fit_run *run = context;
    for (size_t i = 0; i < 20; i++)
        gsl_vector_set(out, i,
                       newton_temp(35, 1, gsl_vector_get(x, 0), run->reading[i].time) - run->reading[i].temp);
    return GSL_SUCCESS;
}

static int fit_slopes(const gsl_vector *x, void *context, gsl_matrix *out)
{
    const struct fit_run *run = context;
    for (size_t i = 0; i < 20; i++)
        gsl_matrix_set(out, i, 0,
                       -34 * run->reading[i].time * exp(-gsl_vector_get(x, 0) * run->reading[i].time));
    return GSL_SUCCESS;
}

static void gsl_fit(void *context)
{
    struct fit_run *run = context;
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, 20, 1);
    gsl_multifit_nlinear_fdf fdf = {fit_residuals, fit_slopes, NULL, 20, 1, run, 0, 0, 0};
    double start[1] = {0.05};
    gsl_vector_view x = gsl_vector_view_array(start, 1);
    int info;
    gsl_multifit_nlinear_init(&x.vector, &fdf, work);
    gsl_multifit_nlinear_driver(100, 1e-10, 1e-10, 0, NULL, NULL, &info, work);
    run->k = gsl_vector_get(gsl_multifit_nlinear_position(work), 0);
    gsl_multifit_nlinear_free(work);
}

static void fill_readings(struct fit_run *run)
{
    for (int i = 0; i < 20; i++)
        run->reading[i] =
            (struct rate_reading){1.5 * (i + 1), newton_temp(35, 1, 0.06, 1.5 * (i + 1)) + 0.3 * sin(i)};
}

int main(void)
{
    static struct board board;
    static struct jar_list jars;
    static struct limit_list limits;
    struct fail f;
    if (jar_list_load(&jars, &f) != 0 || limit_list_load(&limits, &f) != 0) {
        fprintf(stderr, "%s\n", f.text);
        return 1;
    }
    puts("Forecast: four batches, twelve hours, bands, pull-outs, 97-point curves");
    set_up(&board, 25, 0, &jars, &limits);
    double safe = measure(make_forecast, &board, 100);
    say("  ice enough, no reading", safe);
    set_up(&board, 25, 20, &jars, &limits);
    double read = measure(make_forecast, &board, 30);
    say("  ice enough, twenty readings of each batch (eight fits with a prior)", read);
    say("    so one fit with a prior costs about", (read - safe) / 8);
    set_up(&board, 5, 0, &jars, &limits);
    say("  too little ice: every remedy run as a morning of its own", measure(make_forecast, &board, 50));

    struct gsl_run run = {.type = gsl_odeiv2_step_rkf45, .tolerance = 1e-6};
    jar_law(jar_find(&jars, "half-gallon"), jars.kind[0].volume_l, 4, IN_WATER_STILL, 35, 0, &run.tub.law);
    run.tub.capacity = 3 * jar_capacity_j_per_k(jar_find(&jars, "half-gallon"), jars.kind[0].volume_l, 4);
    run.tub.water_j_per_k = 30 * 4186.0;
    run.tub.room_w_per_k = 3.4;
    run.tub.room_c = 15;
    run.tub.melting_j = 5 * 333550.0;
    puts("GSL: the mean course alone of four such lots and their tub, 97 points over twelve hours");
    say("  rkf45, 1e-6", measure(gsl_twelve_hours, &run, 30));
    run.type = gsl_odeiv2_step_rk8pd;
    run.tolerance = 1e-9;
    say("  rk8pd, 1e-9", measure(gsl_twelve_hours, &run, 30));

    struct pair_run pair = {.b = {8000, 35, 80000, 1, 8}, .t = 60};
    puts("One value: jar and tub with a room, after up to two hours");
    say("  closed form", measure(closed_value, &pair, 200000));
    say("  GSL rk8pd, 1e-12", measure(gsl_value, &pair, 200));

    struct fit_run fit;
    fill_readings(&fit);
    puts("Plain least squares of the rate, twenty readings");
    double ours = measure(our_fit, &fit, 2000), k = fit.k;
    say("  ours, with its 95 % interval", ours);
    say("  GSL, trust region, given slopes", measure(gsl_fit, &fit, 500));
    printf("  rates %.10f and %.10f\n", k, fit.k);
    return 0;
}
