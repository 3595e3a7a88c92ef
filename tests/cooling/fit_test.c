/* Fits. Certified values: NIST Statistical Reference Datasets, nonlinear regression (as carried in lmfit's
 * NIST_STRD folder). Independent fits: GSL's multifit. */
#include "core/cooling/fit.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_multifit_nlinear.h>

#include "core/cooling/newton.h"
#include "tests/support.h"

/* --- NIST --- */

static const double misra_y[] = {10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02,
                                 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78};
static const double misra_x[] = {77.6,  114.9, 141.1, 190.8, 239.9, 289.0, 332.8,
                                 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0};
static const double box_y[] = {109, 149, 149, 191, 213, 224};
static const double box_x[] = {1, 2, 3, 5, 7, 10};
/* Osborne 1972, as NIST calls it MGH17: x = 0, 10, ..., 320. */
static const double mgh_y[] = {0.844, 0.908, 0.932, 0.936, 0.925, 0.908, 0.881, 0.850, 0.818, 0.784, 0.751,
                               0.718, 0.685, 0.658, 0.628, 0.603, 0.580, 0.558, 0.538, 0.522, 0.506, 0.490,
                               0.478, 0.467, 0.457, 0.448, 0.438, 0.431, 0.424, 0.420, 0.414, 0.411, 0.406};

static const struct certified {
    const char *name;
    enum curve curve;
    const double *x, *y;
    size_t count;
    double start[2][5];
    double b[5], sd[2], squares, residual_sd;
    int degrees;
} sets[] = {
    /* V40 */
    {"Misra1a",
     CURVE_RISE,
     misra_x,
     misra_y,
     14,
     {{500, 1e-4}, {250, 5e-4}},
     {2.3894212918e2, 5.5015643181e-4},
     {2.7070075241, 7.2668688436e-6},
     1.2455138894e-1,
     1.0187876330e-1,
     12},
    {"BoxBOD",
     CURVE_RISE,
     box_x,
     box_y,
     6,
     {{1, 1}, {100, 0.75}},
     {2.1380940889e2, 5.4723748542e-1},
     {1.2354515176e1, 1.0455993237e-1},
     1.1680088766e3,
     1.7088072423e1,
     4},
    {"MGH17",
     CURVE_TWO_DECAYS,
     NULL,
     mgh_y,
     33,
     {{50, 150, -100, 1, 2}, {0.5, 1.5, -1, 0.01, 0.02}},
     {3.7541005211e-1, 1.9358469127, -1.4646871366, 1.2867534640e-2, 2.2122699662e-2},
     {0, 0},
     5.4648946975e-5,
     1.3970497866e-3,
     28},
};

#define CERTIFIED 1.1e-10 /* eleven digits are printed, the first may be a 1 */

START_TEST(certified_values_are_met)
{
    double mgh_x[33];
    for (int i = 0; i < 33; i++)
        mgh_x[i] = 10 * i;
    for (size_t i = 0; i < sizeof sets / sizeof sets[0]; i++)
        for (int from = 0; from < 2; from++) {
            const struct certified *c = &sets[i];
            struct curve_fit fit;
            struct fail f = {0};
            const double *x = c->x == NULL ? mgh_x : c->x;
            double worst_b = 0, worst_sd = 0;
            ck_assert_msg(curve_fit(c->curve, x, c->y, c->count, c->start[from], &fit, &f) == 0,
                          "%s from start %d: %s", c->name, from + 1, f.text);
            bool swapped =
                c->curve == CURVE_TWO_DECAYS && fit.b[3] > fit.b[4]; /* the two decays may change places */
            static const int as_is[5] = {0, 1, 2, 3, 4}, other[5] = {0, 2, 1, 4, 3};
            for (int p = 0; p < curve_parameters(c->curve); p++)
                worst_b = fmax(worst_b, fabs(fit.b[swapped ? other[p] : as_is[p]] / c->b[p] - 1));
            for (int p = 0; p < 2 && c->sd[p] != 0; p++)
                worst_sd = fmax(worst_sd, fabs(fit.sd[p] / c->sd[p] - 1));
            ck_near(fit.sum_of_squares, c->squares, 1e-10);
            ck_near(fit.residual_sd, c->residual_sd, 1e-10);
            printf("%s from start %d: worst relative difference %.1e of the parameters, %.1e of their sd\n", c->name, from + 1,
                   worst_b, worst_sd);
            ck_assert(worst_b < CERTIFIED && worst_sd < CERTIFIED);
            ck_assert_int_eq(fit.degrees, c->degrees);
        }
}
END_TEST

START_TEST(intervals_are_students)
{
    /* t(12) 2.178812829667229 and t(4) 2.7764451051977987 times the certified standard deviations. */
    struct curve_fit fit;
    struct fail f = {0};
    ck_assert(curve_fit(CURVE_RISE, misra_x, misra_y, 14, sets[0].start[1], &fit, &f) == 0);
    ck_near(fit.low[1], 5.343232847e-4, 1e-6);
    ck_near(fit.high[1], 5.659895792e-4, 1e-6);
    ck_assert(curve_fit(CURVE_RISE, box_x, box_y, 6, sets[1].start[1], &fit, &f) == 0);
    ck_near(fit.low[1], 0.2569325730, 1e-6);
    ck_near(fit.high[1], 0.8375423978, 1e-6);
    ck_assert(curve_fit(CURVE_RISE, box_x, box_y, 2, sets[1].start[1], &fit, &f) == -1);
}
END_TEST

/* --- a real cooling curve --- */

/* A mug of water, C at 0, 1, ... 221 min: S. Wagon, CoolingWater of the mosaicData collection. */
static const double mug[222] = {
    98.2, 94.4, 91.4, 89.1, 86.9, 84.9, 83.1, 81.2, 79.5, 78,   76.5, 75.2, 73.8, 72.6, 71.4, 70.3,
    69.3, 68.2, 67.2, 66.3, 65.3, 64.3, 63.7, 62.9, 62.1, 61.5, 60.7, 60,   59.4, 58.6, 58.1, 57.4,
    56.8, 56.1, 55.6, 55,   54.5, 54,   53.5, 53,   52.5, 52.1, 51.7, 51.3, 50.8, 50.5, 50,   49.6,
    49.2, 48.8, 48.5, 48.1, 47.7, 47.3, 47,   46.6, 46.3, 46,   45.7, 45.3, 45.1, 44.7, 44.5, 44.2,
    43.8, 43.6, 43.2, 43,   42.7, 42.5, 42.2, 42,   41.6, 41.5, 41.2, 41,   40.7, 40.6, 40.3, 40.2,
    40,   39.5, 39.3, 39.1, 38.8, 38.7, 38.4, 38.2, 38.1, 37.9, 37.7, 37.5, 37.3, 37.1, 37,   36.8,
    36.6, 36.5, 36.3, 36.2, 36,   35.8, 35.7, 35.6, 35.4, 35.3, 35.1, 35,   34.9, 34.7, 34.5, 34.4,
    34.2, 34.1, 33.9, 33.8, 33.7, 33.5, 33.4, 33.3, 33.2, 33,   32.9, 32.8, 32.7, 32.6, 32.4, 32.3,
    32.2, 32.1, 32,   31.9, 31.8, 31.7, 31.5, 31.5, 31.4, 31.3, 31.1, 31.1, 31,   30.9, 30.7, 30.7,
    30.6, 30.5, 30.4, 30.3, 30.2, 30.1, 30.1, 30,   30,   29.8, 29.8, 29.7, 29.6, 29.5, 29.4, 29.4,
    29.2, 29.2, 29.1, 29,   29,   28.9, 28.8, 28.7, 28.6, 28.6, 28.5, 28.4, 28.4, 28.3, 28.2, 28.2,
    28.1, 28,   28,   27.9, 27.8, 27.8, 27.7, 27.7, 27.6, 27.5, 27.5, 27.4, 27.4, 27.3, 27.2, 27.2,
    27.1, 27.1, 27,   27,   26.9, 26.9, 26.8, 26.8, 26.7, 26.7, 26.6, 26.6, 26.5, 26.5, 26.4, 26.4,
    26.4, 26.3, 26.2, 26.2, 26.2, 26.1, 26.1, 26.1, 26,   26,   26,   25.9, 25.9, 25.8};

/* Fits of A + B e^(-k t) by the same code that met the certified values; time 0 is the first minute of the
 * window. */
static const struct {
    int from, to;
    double a, b, k, k_sd, squares;
} windows[] = {
    {0, 221, 27.00445102, 62.13544769, 0.02096439601, 3.2716e-4, 484.6121109}, /* V42 */
    {0, 30, 49.99285899, 46.87846948, 0.05662942601, 1.63545e-3, 4.055530522},
    {0, 60, 41.28291693, 54.05049321, 0.04027677571, 9.07528e-4, 26.81291429},
    {60, 221, 23.2459439, 46.81777592, 0.01293250135, 7.66115e-5, 1.530775056},
    {120, 221, 22.25426466, 41.33525577, 0.01111057031, 1.3627e-4, 0.1378575722},
};

START_TEST(a_mug_of_water_is_fitted_in_every_window)
{
    double minute[222], start[3] = {25, 60, 0.02};
    for (int i = 0; i < 222; i++)
        minute[i] = i;
    for (size_t i = 0; i < sizeof windows / sizeof windows[0]; i++) {
        struct curve_fit fit;
        struct fail f = {0};
        int from = windows[i].from, count = windows[i].to - from + 1;
        ck_assert_msg(curve_fit(CURVE_DECAY, minute + from, mug + from, (size_t)count, start, &fit, &f) == 0,
                      "%s", f.text);
        ck_near(fit.b[0], windows[i].a, 1e-7);
        ck_near(fit.b[1], windows[i].b, 1e-7);
        ck_near(fit.b[2], windows[i].k, 1e-7);
        ck_near(fit.sd[2], windows[i].k_sd, 1e-4);
        ck_near(fit.sum_of_squares, windows[i].squares, 1e-8);
    }
    /* Why nothing here ever fits an ambient: half an hour says 50 C, and the room was at most 25.8 C. */
    ck_assert(windows[1].a > 49 && mug[221] < 26);
}
END_TEST

START_TEST(straight_lines_through_logarithms_depend_on_their_weights)
{
    /* V43: all points, ambient 24 C. */
    struct rate_reading r[222];
    double sd;
    for (int i = 0; i < 222; i++)
        r[i] = (struct rate_reading){i, mug[i]};
    ck_near(rate_log_linear(24, r, 222, false, &sd), 0.01506231576, 1e-8);
    ck_near(sd, 6.32290e-5, 1e-5);
    ck_near(rate_log_linear(24, r, 222, true, &sd), 0.01721974635, 1e-8);
    ck_near(sd, 1.85711e-4, 1e-5);
    ck_near(rate_log_linear(24, r, 222, true, NULL), 0.01721974635, 1e-8);
}
END_TEST

START_TEST(a_count_that_grows_has_the_slope_of_its_logarithms)
{
    /* V50: Pseudomonas poae in milk cartons, log10 per mL at 0..96 h (open data; its authors print 0.040167 per hour). A
     * rate of cooling towards nothing, turned round. */
    static const double hours[] = {0, 24, 48, 72, 96}, log10_count[] = {2.44, 3.25, 4.31, 5.39, 6.19};
    struct rate_reading r[5];
    for (int i = 0; i < 5; i++)
        r[i] = (struct rate_reading){hours[i], pow(10, log10_count[i])};
    double slope = -rate_log_linear(0, r, 5, false, NULL) / log(10);
    ck_near(slope, 0.0401666667, 1e-8);
    ck_within(slope, 0.040167, 5e-7);
}
END_TEST

/* --- the rate alone --- */

START_TEST(one_reading_is_exact)
{
    struct rate_reading r = {1, 85};
    struct rate_fit fit;
    struct fail f = {0};
    ck_assert(rate_from_readings(89, 22, &r, 1, &fit, &f) == 0);
    ck_near(fit.k, 0.0615578929994, 1e-11); /* Lebl, Notes on Diffy Qs, sect. 1.3 */
    ck_assert(isnan(fit.low) && isnan(fit.high) && isnan(fit.sd));
}
END_TEST

struct gsl_problem {
    double start, around;
    const struct rate_reading *r;
};

static int gsl_residuals(const gsl_vector *x, void *context, gsl_vector *out)
{
    const struct gsl_problem *p = context;
    for (size_t i = 0; i < out->size; i++)
        gsl_vector_set(out, i,
                       newton_temp(p->start, p->around, gsl_vector_get(x, 0), p->r[i].time) - p->r[i].temp);
    return GSL_SUCCESS;
}

/* GSL's Levenberg and Marquardt on the same residuals, slopes by its own differences. */
static void gsl_rate(struct gsl_problem *p, size_t n, double guess, double *k, double *sd)
{
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    gsl_multifit_nlinear_workspace *work = gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, n, 1);
    gsl_multifit_nlinear_fdf fdf = {gsl_residuals, NULL, NULL, n, 1, p, 0, 0, 0};
    double start[1] = {guess}, squares;
    gsl_vector_view x = gsl_vector_view_array(start, 1);
    int info;
    how.h_df = 1e-6;
    gsl_multifit_nlinear_init(&x.vector, &fdf, work);
    gsl_multifit_nlinear_driver(200, 1e-14, 1e-14, 0, NULL, NULL, &info, work);
    *k = gsl_vector_get(gsl_multifit_nlinear_position(work), 0);
    gsl_matrix *cov = gsl_matrix_alloc(1, 1);
    gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(work), 0, cov);
    gsl_blas_ddot(gsl_multifit_nlinear_residual(work), gsl_multifit_nlinear_residual(work), &squares);
    *sd = sqrt(gsl_matrix_get(cov, 0, 0) * squares / (double)(n - 1));
    gsl_matrix_free(cov);
    gsl_multifit_nlinear_free(work);
}

START_TEST(the_rate_from_readings_agrees_with_gsl)
{
    struct stream s = {77};
    double worst_k = 0, worst_sd = 0;
    for (int i = 0; i < 2000; i++) {
        struct rate_reading r[30];
        size_t n = 2 + (size_t)stream_below(&s, 28);
        double start = stream_uniform(&s, 30, 39), around = stream_uniform(&s, 0, 6),
               k = stream_uniform(&s, 0.01, 0.1);
        for (size_t j = 0; j < n; j++) {
            double t = 40.0 * ((double)j + stream_uniform(&s, 0.2, 0.9)) / (double)n;
            r[j] = (struct rate_reading){t, newton_temp(start, around, k, t) + 0.28 * stream_normal(&s)};
            if (r[j].temp > start)
                r[j].temp = start;
        }
        struct rate_fit fit;
        struct fail f = {0};
        double gsl_k, gsl_sd;
        if (rate_from_readings(start, around, r, n, &fit, &f) != 0)
            ck_abort_msg("case %d: %s", i, f.text);
        struct gsl_problem p = {start, around, r};
        gsl_rate(&p, n, k, &gsl_k, &gsl_sd);
        worst_k = fmax(worst_k, fabs(fit.k / gsl_k - 1));
        worst_sd = fmax(worst_sd, fabs(fit.sd / gsl_sd - 1));
        double t975 = (fit.high - fit.k) / fit.sd;
        if (!(fit.low < fit.k && fabs((fit.k - fit.low) / fit.sd - t975) < 1e-9 * t975))
            ck_abort_msg("case %d: interval %g %g %g", i, fit.low, fit.k, fit.high);
    }
    printf("rate: worst relative difference from GSL's fit %.2g, of its standard error %.2g\n", worst_k,
           worst_sd);
    ck_assert(worst_k < 1e-6);
    ck_assert(worst_sd < 1e-4);
}
END_TEST

START_TEST(readings_that_cannot_be_are_refused_with_a_line)
{
    static const struct {
        struct rate_reading r[2];
        size_t count;
        const char *says;
    } bad[] = {
        {{{10, 96}}, 1, "above the temperature at which the milk was poured"},
        {{{10, 34}}, 1, "at or below the bath"},
        {{{10, 30}}, 1, "at or below the bath"},
        {{{0, 60}}, 1, "above 0"},
        {{{-5, 60}}, 1, "above 0"},
        {{{10, 70}, {10, 71}}, 2, "two readings at minute 10"},
        {{{10, 95}}, 1, "as warm as it was poured"},
        {{{10, 95}}, 0, "Between one and"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        struct rate_fit fit = {.k = 7};
        struct fail f = {0};
        ck_assert_int_eq(rate_from_readings(95, 34, bad[i].r, bad[i].count, &fit, &f), -1);
        ck_assert_msg(strstr(f.text, bad[i].says) != NULL, "%zu: %s", i, f.text);
        ck_assert_int_eq(f.code, FAIL_REFUSED);
    }
}
END_TEST

Suite *fit_suite(void)
{
    Suite *s = suite_create("fit");
    TCase *t = tcase_create("fit");
    tcase_add_test(t, certified_values_are_met);
    tcase_add_test(t, intervals_are_students);
    tcase_add_test(t, a_mug_of_water_is_fitted_in_every_window);
    tcase_add_test(t, straight_lines_through_logarithms_depend_on_their_weights);
    tcase_add_test(t, a_count_that_grows_has_the_slope_of_its_logarithms);
    tcase_add_test(t, one_reading_is_exact);
    tcase_add_test(t, the_rate_from_readings_agrees_with_gsl);
    tcase_add_test(t, readings_that_cannot_be_are_refused_with_a_line);
    suite_add_tcase(s, t);
    return s;
}
