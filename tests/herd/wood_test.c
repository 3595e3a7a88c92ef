#include "core/herd/wood.h"

#include <gsl/gsl_multifit.h>
#include <gsl/gsl_multifit_nlinear.h>

#include "core/herd/lsq.h"
#include "core/herd/wilmink.h"
#include "tests/herd/four_cows.h"
#include "tests/support.h"

/* ---- data ---- */

static int take_pair(void *context, const struct csv_row *row, struct fail *f)
{
    (void)f;
    struct wood_points {
        struct yield_point point[100];
        size_t n;
    } *list = context;
    if (row->line > 1)
        list->point[list->n++] = (struct yield_point){strtod(row->cell[0], NULL), strtod(row->cell[1], NULL)};
    return 0;
}

static size_t read_henderson(struct yield_point points[100])
{
    static struct wood_points {
        struct yield_point point[100];
        size_t n;
    } list;
    size_t size;
    char *text = read_test_file("data/henderson_milkfat.csv", &size);
    list.n = 0;
    ck_assert_int_eq(csv_read(text, size, take_pair, &list, NULL), 0);
    free(text);
    memcpy(points, list.point, sizeof list.point);
    ck_assert_uint_eq(list.n, 35);
    return list.n;
}

static void load_herd(struct real_herd *herd)
{
    size_t size;
    char *text = read_test_file("data/lactation_daily_4cows.csv", &size);
    ck_assert(read_herd(text, size, herd));
    free(text);
}

/* ---- the curve ---- */

/* WOOD1: values of the curve itself, computed in exact arithmetic from the definition (Wood 1967). */
START_TEST(the_curve_has_its_values_peak_persistency_and_sum)
{
    const struct wood c = {20, 0.2, 0.004};
    static const double at[][2] = {
        {1, 19.920160}, {10, 30.454973}, {50, 35.806766}, {100, 33.675357}, {305, 18.537480}};
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++)
        ck_within(wood_at(&c, at[i][0]), at[i][1], 1e-6);
    ck_near(wood_peak_day(&c), 50, 1e-12);
    ck_within(wood_peak_kg(&c), 35.806766, 1e-6);
    ck_within(wood_persistency(&c), 6.625753, 1e-6);
    ck_within(wood_sum(&c, 1, 305), 8696.064309, 1e-5);
}
END_TEST

/* WOOD2: Simmental first lactations, a b c as printed in Animal Bioscience 34(6):949, 2021; and their
 * lactations to 640 days, b and c as printed there. */
START_TEST(simmental_curves_as_published)
{
    const struct wood first = {15.2317, 0.1029, 0.0015}, longer = {17.4329, 0.0603, 0.0010};
    ck_within(wood_peak_day(&first), 68.6, 1e-4);
    ck_within(wood_peak_kg(&first), 21.2333, 1e-4);
    ck_within(wood_persistency(&first), 7.171376, 1e-6);
    ck_within(wood_sum(&first, 1, 305), 6022.4216, 1e-3);
    ck_within(wood_peak_day(&longer), 60.3, 1e-9);
}
END_TEST

START_TEST(a_curve_without_a_peak_has_none_and_is_not_extended_to_day_zero)
{
    static const struct wood none[] = {{20, -0.05, 0.002}, {20, 0.1, 0}, {20, 0.1, -0.001}, {20, 0, 0.002}};
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        ck_assert(isnan(wood_peak_day(&none[i])));
        ck_assert(isnan(wood_peak_kg(&none[i])));
        ck_assert(isnan(wood_persistency(&none[i])));
    }
    ck_assert(isnan(wood_at(&none[0], 0)));
    ck_assert(isnan(wood_at(&none[0], 0.5)));
    ck_assert(isfinite(wood_at(&none[0], 1)));
}
END_TEST

/* ---- fits with outside values ---- */

/* WOOD3, WOOD4: Henderson & McCulloch's cow (Cornell BU-049-MA, 1990), weekly fat. The data are theirs; the
 * coefficients were found by an independent Levenberg-Marquardt program and confirmed by a grid search to
 * 1e-8. */
START_TEST(hendersons_cow_by_all_three_least_squares)
{
    struct yield_point p[100];
    size_t n = read_henderson(p);
    struct wood_fit fit;
    struct fail f = {0};
    ck_assert_int_eq(wood_fit_log(p, n, false, &fit, &f), 0);
    ck_within(fit.curve.a, 0.211061, 1e-6);
    ck_within(fit.curve.b, 1.393713, 1e-6);
    ck_within(fit.curve.c, 0.185715, 1e-6);
    ck_within(fit.sse, 0.350263, 1e-6);
    ck_within(fit.r2, 0.78632, 1e-5);
    ck_within(wood_peak_kg(&fit.curve), 0.86912, 1e-5);
    ck_assert_int_eq(wood_fit_log(p, n, true, &fit, &f), 0);
    ck_within(fit.curve.a, 0.272021, 1e-6);
    ck_within(fit.curve.b, 0.892296, 1e-6);
    ck_within(fit.curve.c, 0.114356, 1e-6);
    ck_within(fit.sse, 0.105805, 1e-6);
    ck_assert_int_eq(wood_fit(p, n, &fit, NULL, &f), 0);
    ck_within(fit.curve.a, 0.24356493, 1e-7);
    ck_within(fit.curve.b, 1.00550569, 1e-7);
    ck_within(fit.curve.c, 0.12861756, 1e-7);
    ck_within(fit.sse, 0.09202218, 1e-8);
    ck_within(fit.r2, 0.94386, 1e-5);
    ck_within(fit.sd_kg, 0.0536255, 1e-7);
    ck_within(wood_peak_day(&fit.curve), 7.8178, 1e-4);
    ck_within(wood_peak_kg(&fit.curve), 0.70458, 1e-5);
    ck_within(wood_at(&fit.curve, 20), 0.37814, 1e-5);
}
END_TEST

/* Friggens, Ridder & Lovendahl 2007, four lactations, fitted by the same independent program. */
static const struct {
    const char *id;
    double a, b, c, r2, peak_day, peak_kg;
    double log_b;               /* NaN: not told */
    double wil_a, wil_b, wil_c; /* Wilmink; NaN: not told */
} four_fits[] = {
    {"8202.3", 24.982138, 0.038680, 0.001841, 0.5417, 21.02, 27.039, NAN, 28.303429, -0.034758, -2.369818},
    {"8213.1", 19.009948, 0.011218, 0.002158, 0.5018, 5.20, 19.149, -0.0515, NAN, NAN, NAN},
    {"0331.2", 26.312052, 0.105761, 0.002184, 0.5114, 48.43, 35.682, NAN, 39.211532, -0.046862, -11.976478},
    {"0341.2", 17.917876, 0.086955, 0.001667, 0.3534, 52.16, 23.166, NAN, 25.017566, -0.023373, -6.508267},
};

START_TEST(the_four_real_lactations_are_fitted)
{
    struct real_herd herd;
    struct fail f = {0};
    load_herd(&herd);
    for (size_t i = 0; i < COWS; i++) {
        struct yield_point p[COW_DAYS];
        size_t n = cow_points(&herd.cow[i], p);
        struct wood_fit fit;
        struct wilmink wil;
        const char *why;
        ck_assert_str_eq(herd.cow[i].id, four_fits[i].id);
        ck_assert_int_eq(wood_fit(p, n, &fit, NULL, &f), 0);
        ck_within(fit.curve.a, four_fits[i].a, 1e-6);
        ck_within(fit.curve.b, four_fits[i].b, 1e-6);
        ck_within(fit.curve.c, four_fits[i].c, 1e-6);
        ck_within(fit.r2, four_fits[i].r2, 1e-4);
        ck_within(wood_fit_peak_day(&fit, &why), four_fits[i].peak_day, 0.01);
        ck_within(wood_peak_kg(&fit.curve), four_fits[i].peak_kg, 1e-3);
        ck_assert_int_eq(wilmink_fit(p, n, &wil, NULL, NULL, &f), 0);
        if (isnan(four_fits[i].wil_a))
            continue;
        ck_within(wil.a, four_fits[i].wil_a, 1e-6);
        ck_within(wil.b, four_fits[i].wil_b, 1e-6);
        ck_within(wil.c, four_fits[i].wil_c, 1e-6);
    }
}
END_TEST

/* WOOD5: the first-lactation Jersey, plain log fit: b < 0. */
START_TEST(a_lactation_that_only_falls_is_reported_without_a_peak)
{
    struct real_herd herd;
    struct yield_point p[COW_DAYS];
    struct wood_fit fit;
    const char *why;
    load_herd(&herd);
    size_t n = cow_points(&herd.cow[1], p);
    ck_assert_int_eq(wood_fit_log(p, n, false, &fit, NULL), 0);
    ck_within(fit.curve.b, -0.0515, 5e-5);
    ck_assert(isnan(wood_peak_day(&fit.curve)));
    ck_assert(isnan(wood_fit_peak_day(&fit, &why)));
    ck_assert_str_eq(why, "the curve falls from the first day: it has no peak");
}
END_TEST

/* DLG-Information 1/2006, table 7, the level of 6500 kg: day and kg as printed; the fit by the same
 * independent program. */
START_TEST(a_curve_of_feeding_tables)
{
    static const struct yield_point dlg[] = {{20, 29},  {40, 30},  {60, 28},  {100, 25}, {150, 22},
                                             {200, 19}, {250, 15}, {300, 13}, {350, 12}};
    struct wood_fit fit;
    const char *why;
    ck_assert_int_eq(wood_fit(dlg, 9, &fit, NULL, NULL), 0);
    ck_within(fit.curve.a, 23.798838, 1e-6);
    ck_within(fit.curve.b, 0.095839, 1e-6);
    ck_within(fit.curve.c, 0.003759, 1e-6);
    ck_within(fit.r2, 0.9935, 1e-4);
    ck_within(wood_fit_peak_day(&fit, &why), 25.50, 0.01);
    ck_within(wood_peak_kg(&fit.curve), 29.494, 1e-3);
}
END_TEST

START_TEST(a_peak_outside_the_weights_is_not_made_up)
{
    const struct wood c = {20, 0.2, 0.004}; /* peak on day 50 */
    struct yield_point p[200];
    struct wood_fit fit;
    struct working w;
    const char *why;
    for (int i = 0; i < 200; i++)
        p[i] = (struct yield_point){i + 1, wood_at(&c, i + 1)};
    ck_assert_int_eq(wood_fit(p, 30, &fit, NULL, NULL), 0); /* days 1..30 */
    ck_assert(isnan(wood_fit_peak_day(&fit, &why)));
    ck_assert_str_eq(why, "the peak would lie after the last weight: she has not passed it yet");
    working_init(&w, "lactation");
    ck_assert_int_eq(wood_fit(p + 80, 100, &fit, &w, NULL), 0); /* days 81..180 */
    ck_assert(isnan(wood_fit_peak_day(&fit, &why)));
    ck_assert_str_eq(why, "the peak would lie before the first weight: it was not seen");
    ck_assert_int_eq(working_find(&w, "peak_day", -1)->kind, FIGURE_NONE);
    ck_assert_int_eq(working_find(&w, "peak_kg", -1)->kind, FIGURE_NONE);
    ck_assert_str_eq(w.why, why);
    ck_assert_int_eq(wood_fit(p, 200, &fit, NULL, NULL), 0);
    ck_near(wood_fit_peak_day(&fit, &why), 50, 1e-6);
    ck_assert(why == NULL);
}
END_TEST

START_TEST(too_little_to_fit_is_refused_in_words)
{
    struct wood_fit fit;
    struct wilmink wil;
    struct fail f = {0};
    const struct yield_point gone[] = {{0, 20},       {1, 0},  {2, -3}, {3, NAN},
                                       {INFINITY, 4}, {5, 20}, {6, 21}, {7, 22}};
    const struct yield_point two_days[] = {{5, 20}, {5, 21}, {6, 22}, {6, 20}, {6, 21}};
    ck_assert_int_eq(wood_fit(gone, 8, &fit, NULL, &f), -1);
    ck_assert_int_eq(f.code, FAIL_REFUSED);
    ck_assert_str_eq(f.text, "A lactation curve needs at least 4 weights on different days; there are 3.");
    ck_assert_int_eq(wood_fit(two_days, 5, &fit, NULL, &f), -1);
    ck_assert_str_eq(f.text, "These weights do not make a curve: they stand on fewer than three days.");
    ck_assert_int_eq(wilmink_fit(two_days, 5, &wil, NULL, NULL, &f), -1);
    static struct yield_point many[WOOD_POINTS_MAX + 1];
    for (int i = 0; i <= WOOD_POINTS_MAX; i++)
        many[i] = (struct yield_point){i + 1, 20};
    ck_assert_int_eq(wood_fit(many, WOOD_POINTS_MAX + 1, &fit, NULL, &f), -1);
    ck_assert_str_eq(f.text, "A lactation curve takes at most 2000 weights; there are 2001.");
    /* A constant yield is a curve too: no variance to explain, no peak. */
    ck_assert_int_eq(wood_fit(many, WOOD_POINTS_MAX, &fit, NULL, &f), 0);
    ck_within(fit.curve.a, 20, 1e-9);
    ck_assert(isnan(fit.r2));
}
END_TEST

/* ---- Wilmink ---- */

/* WILM1: exact from the definition; WILM2: Henderson's cow, same independent program as above. */
START_TEST(wilminks_curve_and_fit)
{
    const struct wilmink c = {25, -0.03, -8}, rising = {25, 0.03, -8}, falling = {25, -0.03, 8};
    static const double at[][2] = {
        {1, 17.360165}, {10, 19.847755}, {50, 22.843320}, {100, 21.946096}, {305, 15.849998}};
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++)
        ck_within(wilmink_at(&c, at[i][0]), at[i][1], 1e-6);
    ck_within(wilmink_peak_day(&c), 51.805343, 1e-6);
    ck_within(wilmink_peak_kg(&c), 22.845840, 1e-6);
    ck_within(wilmink_sum(&c, 1, 305), 6069.016705, 1e-5);
    ck_assert(isnan(wilmink_peak_day(&rising)));
    ck_assert(isnan(wilmink_peak_day(&falling)));
    struct yield_point p[100];
    size_t n = read_henderson(p);
    struct wilmink fit;
    double sse, r2;
    ck_assert_int_eq(wilmink_fit(p, n, &fit, &sse, &r2, NULL), 0);
    ck_within(fit.a, 2.358955, 1e-6);
    ck_within(fit.b, -0.059782, 1e-6);
    ck_within(fit.c, -1.920637, 1e-6);
    ck_within(sse, 0.209119, 1e-6);
    ck_within(r2, 0.87243, 1e-5);
    ck_within(wilmink_peak_day(&fit), 9.4795, 1e-4);
    ck_within(wilmink_peak_kg(&fit), 0.59661, 1e-5);
}
END_TEST

/* ---- GSL as an independent fit over random curves ---- */

struct gsl_data {
    const struct yield_point *p;
    size_t n;
};

static int gsl_residual(const gsl_vector *x, void *context, gsl_vector *out)
{
    const struct gsl_data *d = context;
    double ln_a = gsl_vector_get(x, 0), b = gsl_vector_get(x, 1), c = gsl_vector_get(x, 2);
    for (size_t i = 0; i < d->n; i++)
        gsl_vector_set(out, i, exp(ln_a + b * log(d->p[i].t) - c * d->p[i].t) - d->p[i].y);
    return GSL_SUCCESS;
}

/* Nonlinear least squares by GSL, derivatives by differences, from a start of its own. */
static void gsl_wood(const struct yield_point *p, size_t n, const double start[3], double found[3])
{
    struct gsl_data data = {p, n};
    gsl_multifit_nlinear_parameters params = gsl_multifit_nlinear_default_parameters();
    gsl_multifit_nlinear_fdf fdf = {.f = gsl_residual, .n = n, .p = 3, .params = &data};
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &params, n, 3);
    gsl_vector_const_view x = gsl_vector_const_view_array(start, 3);
    int info;
    gsl_multifit_nlinear_init(&x.vector, &fdf, work);
    ck_assert_int_eq(gsl_multifit_nlinear_driver(300, 1e-12, 1e-12, 0, NULL, NULL, &info, work), GSL_SUCCESS);
    for (size_t i = 0; i < 3; i++)
        found[i] = gsl_vector_get(work->x, i);
    gsl_multifit_nlinear_free(work);
}

/* Weighted linear least squares by GSL's singular value decomposition. */
static void gsl_linear(const double *x, const double *y, const double *w, size_t n, size_t terms,
                       double *found)
{
    gsl_matrix_const_view X = gsl_matrix_const_view_array(x, n, terms);
    gsl_vector_const_view Y = gsl_vector_const_view_array(y, n), W = gsl_vector_const_view_array(w, n);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(n, terms);
    gsl_matrix *cov = gsl_matrix_alloc(terms, terms);
    gsl_vector_view out = gsl_vector_view_array(found, terms);
    double chi;
    gsl_multifit_wlinear(&X.matrix, &W.vector, &Y.vector, &out.vector, cov, &chi, work);
    gsl_matrix_free(cov);
    gsl_multifit_linear_free(work);
}

/* A lactation with noise and gaps; returns its number of points. */
static size_t random_lactation(struct stream *s, struct yield_point *p, struct wood *truth)
{
    *truth = (struct wood){stream_uniform(s, 8, 35), stream_uniform(s, 0.02, 0.35),
                           stream_uniform(s, 0.001, 0.006)};
    int last = 60 + stream_below(s, 340), step = 1 + stream_below(s, 9);
    double noise = stream_uniform(s, 0, 0.12);
    size_t n = 0;
    for (int t = 1 + stream_below(s, 6); t <= last; t += step)
        if (stream_below(s, 10) > 0)
            p[n++] = (struct yield_point){t, wood_at(truth, t) * exp(noise * stream_normal(s))};
    return n;
}

START_TEST(every_fit_agrees_with_gsl_over_random_lactations)
{
    struct stream s = {20260501};
    for (int round = 0; round < 150; round++) {
        struct yield_point p[400];
        struct wood truth;
        struct wood_fit fit, log_fit;
        struct wilmink wil;
        double x[400 * 3], wx[400 * 3], ly[400], y[400], w[400], one[400], gsl[3];
        size_t n = random_lactation(&s, p, &truth);
        if (n < 8)
            continue;
        for (size_t i = 0; i < n; i++) {
            x[3 * i] = wx[3 * i] = 1;
            x[3 * i + 1] = log(p[i].t);
            x[3 * i + 2] = -p[i].t;
            wx[3 * i + 1] = p[i].t;
            wx[3 * i + 2] = exp(-0.05 * p[i].t);
            y[i] = p[i].y;
            ly[i] = log(p[i].y);
            w[i] = p[i].y * p[i].y;
            one[i] = 1;
        }
        if (wood_fit_log(p, n, true, &log_fit, NULL) != 0 || wood_fit(p, n, &fit, NULL, NULL) != 0 ||
            wilmink_fit(p, n, &wil, NULL, NULL, NULL) != 0)
            ck_abort_msg("round %d was not fitted", round);
        gsl_linear(x, ly, w, n, 3, gsl);
        ck_near(log_fit.curve.a, exp(gsl[0]), 1e-7);
        ck_within(log_fit.curve.b, gsl[1], 1e-7);
        ck_within(log_fit.curve.c, gsl[2], 1e-8);
        gsl_linear(wx, y, one, n, 3, gsl);
        ck_near(wil.a, gsl[0], 1e-7);
        ck_within(wil.b, gsl[1], 1e-7);
        ck_within(wil.c, gsl[2], 1e-6);
        const double start[3] = {log(truth.a), truth.b, truth.c};
        gsl_wood(p, n, start, gsl);
        ck_near(fit.curve.a, exp(gsl[0]), 2e-6);
        ck_within(fit.curve.b, gsl[1], 1e-6);
        ck_within(fit.curve.c, gsl[2], 1e-8);
    }
}
END_TEST

START_TEST(a_curve_without_noise_is_found_again)
{
    struct stream s = {7};
    for (int round = 0; round < 200; round++) {
        const struct wood truth = {stream_uniform(&s, 1, 60), stream_uniform(&s, -0.1, 0.5),
                                   stream_uniform(&s, 0.0005, 0.01)};
        struct yield_point p[305];
        struct wood_fit fit;
        for (int i = 0; i < 305; i++)
            p[i] = (struct yield_point){i + 1, wood_at(&truth, i + 1)};
        if (wood_fit(p, 305, &fit, NULL, NULL) != 0)
            ck_abort_msg("round %d was not fitted", round);
        ck_near(fit.curve.a, truth.a, 1e-8);
        ck_within(fit.curve.b, truth.b, 1e-8);
        ck_within(fit.curve.c, truth.c, 1e-10);
    }
}
END_TEST

START_TEST(normal_equations_say_when_rows_do_not_determine_a_term)
{
    struct lsq s;
    double beta[LSQ_TERMS_MAX];
    const double same[] = {1, 5, 25}, other[] = {1, 6, 36};
    lsq_init(&s, 3);
    lsq_add(&s, same, 1, 1);
    lsq_add(&s, other, 2, 1);
    lsq_add(&s, same, 3, 1);
    ck_assert(!lsq_solve(&s, beta, NULL));
    const double third[] = {1, 7, 49};
    lsq_add(&s, third, 4, 1);
    ck_assert(lsq_solve(&s, beta, NULL));
    /* Through (5, 2), the mean of two, (6, 2) and (7, 4): y = t^2 - 11 t + 32. */
    ck_within(beta[0], 32, 1e-6);
    ck_within(beta[1], -11, 1e-6);
    ck_within(beta[2], 1, 1e-7);
}
END_TEST

Suite *wood_suite(void)
{
    Suite *s = suite_create("wood");
    TCase *t = tcase_create("wood");
    tcase_add_test(t, the_curve_has_its_values_peak_persistency_and_sum);
    tcase_add_test(t, simmental_curves_as_published);
    tcase_add_test(t, a_curve_without_a_peak_has_none_and_is_not_extended_to_day_zero);
    tcase_add_test(t, hendersons_cow_by_all_three_least_squares);
    tcase_add_test(t, the_four_real_lactations_are_fitted);
    tcase_add_test(t, a_lactation_that_only_falls_is_reported_without_a_peak);
    tcase_add_test(t, a_curve_of_feeding_tables);
    tcase_add_test(t, a_peak_outside_the_weights_is_not_made_up);
    tcase_add_test(t, too_little_to_fit_is_refused_in_words);
    tcase_add_test(t, wilminks_curve_and_fit);
    tcase_add_test(t, every_fit_agrees_with_gsl_over_random_lactations);
    tcase_add_test(t, a_curve_without_noise_is_found_again);
    tcase_add_test(t, normal_equations_say_when_rows_do_not_determine_a_term);
    suite_add_tcase(s, t);
    return s;
}
