#include "core/herd/chart.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_linalg.h>

#include "core/base/csv.h"
#include "core/herd/watch.h"
#include "tests/support.h"

enum { ROWS_MAX = 40, CELLS = 7 };

struct table {
    double cell[ROWS_MAX][CELLS];
    size_t n;
};

static int take_row(void *context, const struct csv_row *row, struct fail *f)
{
    (void)f;
    struct table *t = context;
    if (row->line == 1)
        return 0;
    for (size_t i = 0; i < row->count && i < CELLS; i++)
        t->cell[t->n][i] = strtod(row->cell[i], NULL);
    t->n++;
    return 0;
}

static void read_table(const char *name, struct table *t)
{
    size_t size;
    char *text = read_test_file(name, &size);
    memset(t, 0, sizeof *t);
    ck_assert_int_eq(csv_read(text, size, take_row, t, NULL), 0);
    free(text);
}

/* EWMA1: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4: lambda 0.3, target 50, s 2.0539, k 3.
 * Printed to two decimals; limits printed as 52.5884 and 47.4115, the latter from a factor cut to 0.4201 (in
 * full 47.41157). */
START_TEST(nists_moving_average_to_print)
{
    struct table t;
    struct ewma chart;
    read_table("data/spc_nist_ewma.csv", &t);
    ck_assert_uint_eq(t.n, 20);
    ewma_init(&chart, 0.3, 3, 50, 2.0539);
    for (size_t i = 0; i < t.n; i++) {
        char printed[16], published[16];
        double z = ewma_take(&chart, t.cell[i][1]);
        /* A tie such as 50.125 may round either way in print. */
        snprintf(printed, sizeof printed, "%.2f", z);
        snprintf(published, sizeof published, "%.2f", t.cell[i][2]);
        ck_assert_msg(strcmp(printed, published) == 0 || fabs(z - t.cell[i][2]) < 0.0050001,
                      "value %zu: %s, not %s", i + 1, printed, published);
        ck_assert_int_eq(ewma_signal(&chart), 0);
    }
    chart.count = 1000000; /* the handbook's limits are the settled ones */
    ck_within(50 + ewma_half_width(&chart), 52.5884, 1e-4);
    ck_within(50 - ewma_half_width(&chart), 47.4116, 1e-4);
}
END_TEST

/* EWMA2: Montgomery, Introduction to Statistical Quality Control, table 9.1, with lambda 0.10 and L 2.7:
 * half-widths 0.27 and 0.3632 and the settled 0.6194, signals at 29 and 30. z in exact fractions from the
 * printed data. */
START_TEST(montgomerys_moving_average_signals_at_29)
{
    struct table t;
    struct ewma chart;
    read_table("data/spc_montgomery_30.csv", &t);
    ck_assert_uint_eq(t.n, 30);
    ewma_init(&chart, 0.1, 2.7, 10, 1);
    for (size_t i = 0; i < t.n; i++) {
        ck_within(ewma_take(&chart, t.cell[i][1]), t.cell[i][5], 1e-6);
        ck_within(ewma_half_width(&chart), t.cell[i][6], 1e-6);
        ck_assert_int_eq(ewma_signal(&chart), i >= 28);
        if (i == 0)
            ck_within(ewma_half_width(&chart), 0.27, 1e-9);
        if (i == 1)
            ck_within(ewma_half_width(&chart), 0.3632, 1e-4);
        if (i == 28)
            ck_within(chart.z, 10.646823454576362, 1e-12);
    }
    chart.count = 1000000;
    ck_within(ewma_half_width(&chart), 0.6194225, 1e-7);
}
END_TEST

/* CUS1: Montgomery, example 9.1: K 0.5, H 5; upper sums as printed, signal at 29 with 5.28, then 5.30; the
 * shift is dated between 22 and 23 and the new mean put at 11.25. */
START_TEST(montgomerys_sum_to_print)
{
    struct table t;
    struct cusum chart;
    read_table("data/spc_montgomery_30.csv", &t);
    cusum_init(&chart, 10, 0.5, 5);
    for (size_t i = 0; i < t.n; i++) {
        cusum_take(&chart, t.cell[i][1]);
        ck_within(chart.high, t.cell[i][2], 0.005);
        ck_within(chart.low, t.cell[i][4], 1e-9);
        ck_assert_int_eq(cusum_signal(&chart), i >= 28);
        if (i != 28)
            continue;
        ck_assert_uint_eq(chart.high_run, 7); /* began with the 23rd value */
        ck_within(10 + 0.5 + chart.high / (double)chart.high_run, 11.25, 0.005);
    }
    ck_within(chart.high, 5.30, 0.005);
}
END_TEST

/* CUS2: Montgomery & Runger, Applied Statistics and Probability for Engineers, table 16-8: mu 99, K 1, H 10.
 */
START_TEST(montgomery_and_rungers_sums_stay_in_control)
{
    struct table t;
    struct cusum chart;
    double most = 0;
    read_table("data/spc_runger_t16_8.csv", &t);
    ck_assert_uint_eq(t.n, 20);
    cusum_init(&chart, 99, 1, 10);
    for (size_t i = 0; i < t.n; i++) {
        cusum_take(&chart, t.cell[i][1]);
        ck_within(chart.high, t.cell[i][2], 0.05);
        ck_within(chart.low, t.cell[i][3], 0.05);
        ck_assert_int_eq(cusum_signal(&chart), 0);
        most = fmax(most, fmax(chart.high, chart.low));
    }
    ck_within(most, 3.2, 0.001);
}
END_TEST

/* CUS3: NIST/SEMATECH e-Handbook, 6.3.2.3: target 325, k 0.3175, h 4.1959; data from memory, sums recomputed.
 */
START_TEST(nists_sum_signals_at_group_14)
{
    static const double means[] = {324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125,
                                   324.525, 325.225, 324.600, 324.625, 325.150, 328.325, 327.250,
                                   327.825, 328.500, 326.675, 327.775, 326.875, 328.350};
    static const double from_13[] = {3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035};
    struct cusum chart;
    cusum_init(&chart, 325, 0.3175, 4.1959);
    for (int i = 0; i < 20; i++) {
        cusum_take(&chart, means[i]);
        ck_assert_int_eq(cusum_signal(&chart), i >= 13);
        if (i >= 12)
            ck_within(chart.high, from_13[i - 12], 0.001);
    }
}
END_TEST

/* Lucas & Crosier, Technometrics 24:199, 1982: their seven values, without and with a head start of 2; sums
 * recomputed by hand with K 0.5. */
START_TEST(lucas_and_crosiers_head_start)
{
    static const double x[] = {0.8, 1.9, 1.4, 2.0, 1.1, 0.7, 2.6};
    static const double plain[] = {0.3, 1.7, 2.6, 4.1, 4.7, 4.9, 7.0},
                        ahead[] = {2.3, 3.7, 4.6, 6.1, 6.7, 6.9, 9.0};
    struct cusum a, b;
    cusum_init(&a, 0, 0.5, 5);
    cusum_init(&b, 0, 0.5, 5);
    b.high = 2;
    for (int i = 0; i < 7; i++) {
        cusum_take(&a, x[i]);
        cusum_take(&b, x[i]);
        ck_within(a.high, plain[i], 1e-9);
        ck_within(b.high, ahead[i], 1e-9);
    }
}
END_TEST

/* ARL1: Siegmund's approximation; Montgomery prints 10.4 and 8.38 for a shift of one, 465 in control (both
 * sides, h 5), which the approximation meets within a hundredth or so. */
START_TEST(siegmunds_run_lengths)
{
    ck_within(cusum_run_length(0.5, 5, 1), 10.34, 0.005);
    ck_within(cusum_run_length(0.5, 4, 1), 8.34, 0.005);
    ck_within(cusum_run_length(0.5, 5, 0) / 2, 469.1, 0.05);
    ck_within(cusum_run_length(0.5, 4, 0) / 2, 169.0, 0.05);
    ck_near(cusum_run_length(0.5, 5, 1), 10.4, 0.01);
    ck_near(cusum_run_length(0.5, 5, 0) / 2, 465, 0.01);
    ck_near(cusum_run_length(0.5, 5, 0.5), 6.166 * 6.166, 1e-9);
}
END_TEST

/* Mean time to leave a Markov chain with transition matrix `q` from state `from`: (I - Q) m = 1. */
static double leave_time(gsl_matrix *q, size_t from)
{
    size_t n = q->size1;
    gsl_matrix *m = gsl_matrix_alloc(n, n);
    gsl_vector *one = gsl_vector_alloc(n), *time = gsl_vector_alloc(n);
    gsl_permutation *p = gsl_permutation_alloc(n);
    int sign;
    gsl_matrix_set_identity(m);
    gsl_matrix_sub(m, q);
    gsl_vector_set_all(one, 1);
    gsl_linalg_LU_decomp(m, p, &sign);
    gsl_linalg_LU_solve(m, p, one, time);
    double result = gsl_vector_get(time, from);
    gsl_permutation_free(p);
    gsl_vector_free(one);
    gsl_vector_free(time);
    gsl_matrix_free(m);
    return result;
}

/* One-sided sum cut into states (Brook & Evans, Biometrika 59:539, 1972). */
static double chain_cusum(double k, double h, double shift)
{
    enum { STATES = 200 };
    double width = 2 * h / (2 * STATES - 1);
    gsl_matrix *q = gsl_matrix_alloc(STATES, STATES);
    for (size_t i = 0; i < STATES; i++)
        for (size_t j = 0; j < STATES; j++) {
            double step = ((double)j - (double)i) * width + k - shift;
            double high = gsl_cdf_ugaussian_P(step + width / 2);
            double low = j == 0 ? 0 : gsl_cdf_ugaussian_P(step - width / 2);
            gsl_matrix_set(q, i, j, high - low);
        }
    double result = leave_time(q, 0);
    gsl_matrix_free(q);
    return result;
}

/* Two-sided moving average with settled limits, cut into states (Lucas & Saccucci's own method). */
static double chain_ewma(double lambda, double width_sd)
{
    enum { STATES = 201 };
    double limit = width_sd * sqrt(lambda / (2 - lambda)), width = 2 * limit / STATES;
    gsl_matrix *q = gsl_matrix_alloc(STATES, STATES);
    for (size_t i = 0; i < STATES; i++)
        for (size_t j = 0; j < STATES; j++) {
            double from = -limit + ((double)i + 0.5) * width, to = -limit + (double)j * width;
            double low = (to - (1 - lambda) * from) / lambda, high = low + width / lambda;
            gsl_matrix_set(q, i, j, gsl_cdf_ugaussian_P(high) - gsl_cdf_ugaussian_P(low));
        }
    double result = leave_time(q, STATES / 2);
    gsl_matrix_free(q);
    return result;
}

/* The constants of the yield watch are from memory; their run lengths are not: Markov chains solved by GSL.
 * The same chains first meet what is printed: Montgomery's 465 and 10.4, and Crowder's pairs for 250 (J.
 * Quality Technology 21:155, 1989). */
START_TEST(the_watchs_constants_have_the_run_lengths_they_are_cited_for)
{
    static const double crowder[][2] = {{0.05, 2.32}, {0.10, 2.55}, {0.15, 2.65}, {0.20, 2.72}, {0.25, 2.76}};
    ck_near(chain_cusum(0.5, 5, 0) / 2, 465, 0.002);
    ck_near(chain_cusum(0.5, 5, 1), 10.4, 0.005);
    for (size_t i = 0; i < sizeof crowder / sizeof crowder[0]; i++)
        ck_near(chain_ewma(crowder[i][0], crowder[i][1]), 250, 0.03);
    ck_near(chain_cusum(WATCH_SLACK, WATCH_DECISION, 0) / 2, 370, 0.01);
    ck_near(chain_ewma(WATCH_LAMBDA, WATCH_WIDTH), 500, 0.01);
}
END_TEST

Suite *chart_suite(void)
{
    Suite *s = suite_create("chart");
    TCase *t = tcase_create("chart");
    tcase_add_test(t, nists_moving_average_to_print);
    tcase_add_test(t, montgomerys_moving_average_signals_at_29);
    tcase_add_test(t, montgomerys_sum_to_print);
    tcase_add_test(t, montgomery_and_rungers_sums_stay_in_control);
    tcase_add_test(t, nists_sum_signals_at_group_14);
    tcase_add_test(t, lucas_and_crosiers_head_start);
    tcase_add_test(t, siegmunds_run_lengths);
    tcase_add_test(t, the_watchs_constants_have_the_run_lengths_they_are_cited_for);
    suite_add_tcase(s, t);
    return s;
}
