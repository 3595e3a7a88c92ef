/* The solver, the root finder and the two distributions against GSL and against answers that are known
 * exactly. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>

#include "core/cooling/quantile.h"
#include "core/cooling/root.h"
#include "core/cooling/solver.h"
#include "tests/support.h"

/* The orbit of Kepler's problem of eccentricity 0.6: known energy, known period of 2 pi. */
static void orbit(double t, const double *y, double *dy, const void *context)
{
    (void)t;
    (void)context;
    double r = sqrt(y[0] * y[0] + y[1] * y[1]), r3 = r * r * r;
    dy[0] = y[2];
    dy[1] = y[3];
    dy[2] = -y[0] / r3;
    dy[3] = -y[1] / r3;
}

START_TEST(the_error_asked_for_is_the_error_had)
{
    double before = 1;
    for (double tolerance = 1e-4; tolerance > 1e-13; tolerance /= 100) {
        double y[4] = {0.4, 0, 0, 2}; /* x = 1 - e, v = sqrt((1 + e) / (1 - e)) */
        struct solver s;
        solver_begin(&s, orbit, NULL, NULL, 4, tolerance, 0, y);
        ck_assert_int_eq(solver_run(&s, 2 * M_PI), SOLVER_REACHED);
        double miss = hypot(s.y[0] - 0.4, s.y[1]);
        printf("orbit: tolerance %.0e, error after one turn %.1e in %ld slopes\n", tolerance, miss, s.slopes);
        ck_assert(miss < 2000 * tolerance && miss < before);
        before = miss;
    }
}
END_TEST

static void decay(double t, const double *y, double *dy, const void *context)
{
    (void)t;
    dy[0] = -*(const double *)context * y[0];
}

static void swing(double t, const double *y, double *dy, const void *context)
{
    (void)y;
    (void)context;
    dy[0] = cos(t);
}

START_TEST(an_equation_that_knows_the_time_is_followed)
{
    double y = 0;
    struct solver s;
    solver_begin(&s, swing, NULL, NULL, 1, 1e-10, 0, &y);
    ck_assert_int_eq(solver_run(&s, 2), SOLVER_REACHED);
    ck_within(s.y[0], sin(2), 1e-8);
}
END_TEST

static double minus_half(double t, const double *y, const void *context)
{
    (void)t;
    (void)context;
    return y[0] - 0.5;
}

START_TEST(events_are_found_where_they_are)
{
    struct stream s = {5};
    for (int i = 0; i < 500; i++) {
        double k = exp(stream_uniform(&s, -6, 2)), y = 1;
        struct solver solver;
        solver_begin(&solver, decay, minus_half, &k, 1, 1e-12, 0, &y);
        if (solver_run(&solver, 100 / k) != SOLVER_EVENT || fabs(solver.t * k / log(2) - 1) > 1e-9 ||
            fabs(solver.y[0] - 0.5) > 1e-9)
            ck_abort_msg("k %g: half at %.15g, expected %.15g", k, solver.t, log(2) / k);
        solver_begin(&solver, decay, minus_half, &k, 1, 1e-12, 0, &y);
        if (solver_run(&solver, 0.5 / k) != SOLVER_REACHED || fabs(solver.y[0] - exp(-0.5)) > 1e-11)
            ck_abort_msg("k %g: %.15g at half a time constant", k, solver.y[0]);
    }
}
END_TEST

START_TEST(values_inside_a_step_are_as_good_as_at_its_ends)
{
    double k = 1, y = 1, worst = 0;
    struct solver s;
    solver_begin(&s, decay, NULL, &k, 1, 1e-9, 0, &y);
    while (solver_step(&s, 5) == SOLVER_STEPPED)
        for (int i = 0; i <= 10; i++) {
            double t = s.from_t + (s.t - s.from_t) * i / 10;
            worst = fmax(worst, fabs(solver_inside(&s, t, 0) - exp(-t)));
        }
    ck_assert_msg(worst < 1e-8, "worst inside %g", worst);
}
END_TEST

static void not_a_number(double t, const double *y, double *dy, const void *context)
{
    (void)y;
    (void)context;
    dy[0] = t > 0.5 ? (double)NAN : 1;
}

START_TEST(an_equation_that_breaks_does_not_hang_the_solver)
{
    double y = 0;
    struct solver s;
    solver_begin(&s, not_a_number, NULL, NULL, 1, 1e-9, 0, &y);
    ck_assert_int_eq(solver_run(&s, 1), SOLVER_STUCK);
    ck_assert(s.t <= 0.5 && s.t > 0.4);
}
END_TEST

static double cubic(double x, const void *context)
{
    return x * x * x - *(const double *)context;
}

static double step(double x, const void *context)
{
    return x < *(const double *)context ? -1 : 1;
}

START_TEST(roots_are_bracketed_and_found)
{
    struct stream s = {9};
    for (int i = 0; i < 5000; i++) {
        double a = stream_uniform(&s, -50, 50), x = root_find(cubic, &a, -10, 10, 0);
        if (fabs(x - cbrt(a)) > 1e-12 * (1 + fabs(x)) && fabs(a) > 1e-6)
            ck_abort_msg("cube root of %g: %.17g, expected %.17g", a, x, cbrt(a));
        x = root_find(step, &a, -100, 100, 1e-9);
        if (fabs(x - a) > 2e-9)
            ck_abort_msg("jump at %.12g found at %.12g", a, x);
    }
    double a = 8;
    ck_assert(isnan(root_find(cubic, &a, 3, 10, 0)));
    ck_assert(root_find(cubic, &a, 2, 10, 0) == 2);
}
END_TEST

START_TEST(quantiles_agree_with_gsl)
{
    double worst = 0;
    for (double p = 0.001; p < 0.9995; p += 0.013) {
        worst = fmax(worst, fabs(normal_quantile(p) - gsl_cdf_ugaussian_Pinv(p)));
        worst = fmax(worst, fabs(normal_probability(3 * p - 1.5) - gsl_cdf_ugaussian_P(3 * p - 1.5)));
        for (int degrees = 1; degrees < 60; degrees += 4) {
            double t = gsl_cdf_tdist_Pinv(p, degrees);
            worst = fmax(worst, fabs(student_quantile(p, degrees) - t) / (1 + fabs(t)));
            worst = fmax(worst, fabs(student_probability(t, degrees) - p));
        }
    }
    printf("quantiles: worst difference from GSL %.2g\n", worst);
    ck_assert(worst < 1e-10);
    /* Printed in every table of Student's t: 2.178812829667229 and 2.7764451051977987 at 12 and 4. */
    ck_near(student_quantile(0.975, 12), 2.178812829667229, 1e-12);
    ck_near(student_quantile(0.975, 4), 2.7764451051977987, 1e-12);
}
END_TEST

Suite *numerics_suite(void)
{
    Suite *s = suite_create("numerics");
    TCase *t = tcase_create("numerics");
    tcase_add_test(t, the_error_asked_for_is_the_error_had);
    tcase_add_test(t, an_equation_that_knows_the_time_is_followed);
    tcase_add_test(t, events_are_found_where_they_are);
    tcase_add_test(t, values_inside_a_step_are_as_good_as_at_its_ends);
    tcase_add_test(t, an_equation_that_breaks_does_not_hang_the_solver);
    tcase_add_test(t, roots_are_bracketed_and_found);
    tcase_add_test(t, quantiles_agree_with_gsl);
    suite_add_tcase(s, t);
    return s;
}
