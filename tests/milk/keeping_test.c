/* Rates and temperature histories. Growth parameters are those of an open database of published models, which
 * names the papers: Pseudomonas fragi, Fu, Taoukis & Labuza, J Food Sci 56:1209 (1991); Listeria
 * monocytogenes, Xanthiakos et al., J Appl Microbiol 100:1289 (2006). */
#include <gsl/gsl_errno.h>
#include <gsl/gsl_fit.h>
#include <gsl/gsl_integration.h>

#include "core/milk/keeping.h"
#include "tests/support.h"

static const struct keeping_strain listeria = {0.024, -2.32};

/* V44: mu and doubling time from b and Tmin, by hand: (0.0306 x 11.85)^2 and ln 2 over it. */
START_TEST(the_square_root_model_gives_rate_and_doubling_time)
{
    static const struct {
        double temp_c, mu, doubling_h;
    } rows[] = {
        {0, 0.057701, 12.01},
        {4, 0.131486, 5.2716},
        {7, 0.206488, 3.357},
        {10, 0.298345, 2.323},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_near(keeping_rate_per_h(&keeping_fast, rows[i].temp_c), rows[i].mu, 1e-5);
        ck_near(keeping_doubling_h(&keeping_fast, rows[i].temp_c), rows[i].doubling_h, 3e-4);
    }
    ck_assert(keeping_rate_per_h(&keeping_fast, -7.85) == 0);
    ck_assert(keeping_rate_per_h(&keeping_fast, -20) == 0);
    ck_assert(isnan(keeping_doubling_h(&keeping_fast, -8)));
}
END_TEST

/* V45: doubling times of Listeria in milk as measured by Rosenow & Marth, J Food Prot 50:452 (1987). */
START_TEST(listeria_in_milk_doubles_within_the_measured_bands)
{
    static const struct {
        double temp_c, low_h, high_h;
    } rows[] = {
        {4, 29.73, 45.55},
        {8, 8.67, 14.55},
        {13, 4.45, 6.92},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double h = keeping_doubling_h(&listeria, rows[i].temp_c);
        ck_assert_msg(h >= rows[i].low_h && h <= rows[i].high_h, "%g C: %g h", rows[i].temp_c, h);
    }
    ck_near(keeping_doubling_h(&listeria, 4), 30.13, 2e-4);
    ck_near(keeping_doubling_h(&listeria, 8), 11.30, 5e-4);
    ck_near(keeping_doubling_h(&listeria, 13), 5.127, 2e-4);
}
END_TEST

/* V46: ((T + 7.85) / 11.85)^2. */
START_TEST(life_goes_at_the_relative_rate)
{
    ck_near(keeping_relative_rate(0, 4), 0.438836, 2e-6);
    ck_near(keeping_relative_rate(2, 4), 0.690933, 2e-6);
    ck_near(keeping_relative_rate(7, 4), 1.570421, 2e-6);
    ck_near(keeping_relative_rate(10, 4), 2.269027, 2e-6);
    ck_assert(keeping_relative_rate(4, 4) == 1);
    ck_assert(keeping_relative_rate(-7.9, 4) == 0);
    ck_assert(isnan(keeping_relative_rate(NAN, 4)));
}
END_TEST

START_TEST(above_25_degrees_the_rate_is_that_at_25)
{
    ck_assert(keeping_relative_rate(25, 4) == keeping_relative_rate(35, 4));
    ck_assert(keeping_relative_rate(24.9, 4) < keeping_relative_rate(25, 4));
}
END_TEST

/* V47: 2 h at 15, 5 d at 3, 6 h at 12 °C, by hand: (2 x 22.85^2 + 120 x 10.85^2 + 6 x 19.85^2) / 11.85^2
 * / 24. */
START_TEST(used_life_adds_up_over_the_stretches)
{
    struct keeping_span h[] = {keeping_held(2, 15), keeping_held(120, 3), keeping_held(6, 12)};
    ck_near(keeping_used_days(h, 3), 5.203071682, 1e-9);
    ck_assert(keeping_hours(h, 3) == 128);
    ck_assert(keeping_used_days(NULL, 0) == 0);
}
END_TEST

/* V48: from 25 towards 4 °C at 1.2 per hour, closed form by hand, checked by quadrature elsewhere. */
START_TEST(growth_along_an_exponential_chill_is_the_closed_form)
{
    static const struct {
        double hours, ln;
    } rows[] = {
        {2, 0.786736706735},
        {12, 2.138243388734},
        {72, 10.027404331200},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct keeping_span s = keeping_relaxing(rows[i].hours, 25, 4, 1.2);
        ck_near(keeping_growth_ln(&keeping_fast, &s, 1), rows[i].ln, 1e-11);
    }
}
END_TEST

/* ---- against quadrature ---- */

struct grown {
    const struct keeping_span *span;
    double tmin_c;
};

/* The temperature, written out once more, and the integrand with cap and floor. */
static double temp_again(const struct keeping_span *s, double t)
{
    if (s->shape == KEEPING_RELAXING)
        return s->toward_c - (s->toward_c - s->start_c) / exp(s->k_per_h * t);
    if (s->shape == KEEPING_RAMP)
        return (s->start_c * (s->hours - t) + s->toward_c * t) / s->hours;
    return s->start_c;
}

static double exposure_rate(double t, void *context)
{
    const struct grown *g = context;
    double x = temp_again(g->span, t);
    x = (x > 25 ? 25 : x) - g->tmin_c;
    return x < 0 ? 0 : x * x;
}

static struct keeping_span random_span(struct stream *s)
{
    double hours = stream_uniform(s, 0, 1) < 0.5 ? stream_uniform(s, 0.01, 3) : stream_uniform(s, 1, 200);
    double from = stream_uniform(s, -15, 40), to = stream_uniform(s, -15, 40);
    /* Rates from a freezer's crawl to ice water, and some so slow that the closed form nearly cancels. */
    double k = pow(10, stream_uniform(s, -7, 1));
    switch (stream_below(s, 4)) {
    case 0: return keeping_held(hours, from);
    case 1: return keeping_ramp(hours, from, to);
    default: return keeping_relaxing(hours, from, to, k);
    }
}

/* Where the temperature passes temp_c, by bisection; the span's end if it does not. */
static double passes_at(const struct keeping_span *span, double temp_c)
{
    double low = 0, high = span->hours;
    bool starts_above = temp_again(span, 0) > temp_c;
    if ((temp_again(span, high) > temp_c) == starts_above)
        return high;
    for (int i = 0; i < 200; i++) {
        double middle = (low + high) / 2;
        if ((temp_again(span, middle) > temp_c) == starts_above)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Quadrature in parts, cut at the kinks and early on, so that the quick beginning of a chill is not stepped
 * over. */
static bool integrate(const struct keeping_span *span, double tmin_c, gsl_integration_workspace *work,
                      double *sum)
{
    struct grown g = {span, tmin_c};
    gsl_function fn = {exposure_rate, &g};
    enum { CUTS = 7 };
    double cut[CUTS] = {0,
                        fmin(1 / span->k_per_h, span->hours),
                        fmin(4 / span->k_per_h, span->hours),
                        fmin(20 / span->k_per_h, span->hours),
                        passes_at(span, 25),
                        passes_at(span, tmin_c),
                        span->hours};
    qsort(cut, CUTS, sizeof cut[0], by_size);
    *sum = 0;
    for (int i = 0; i + 1 < CUTS; i++) {
        double part = 0, error;
        if (cut[i] < cut[i + 1] && gsl_integration_qag(&fn, cut[i], cut[i + 1], 1e-10, 1e-11, 2000,
                                                       GSL_INTEG_GAUSS31, work, &part, &error) != GSL_SUCCESS)
            return false;
        *sum += part;
    }
    return true;
}

START_TEST(exposure_agrees_with_quadrature_over_thousands_of_random_stages)
{
    struct stream s = {.state = 4401};
    gsl_integration_workspace *work = gsl_integration_workspace_alloc(2000);
    int compared = 0;
    gsl_set_error_handler_off();
    for (int i = 0; i < 5000; i++) {
        struct keeping_span span = random_span(&s);
        double tmin_c = stream_below(&s, 2) == 0 ? KEEPING_TMIN_C : -2.32, expected;
        if (!integrate(&span, tmin_c, work, &expected))
            continue;
        double got = keeping_span_exposure(&span, tmin_c);
        if (fabs(got - expected) > 1e-9 + 1e-9 * expected)
            ck_abort_msg("stage %d: shape %d %.17g h %.17g -> %.17g k %.17g: %.15g, quadrature %.15g", i,
                         (int)span.shape, span.hours, span.start_c, span.toward_c, span.k_per_h, got,
                         expected);
        compared++;
    }
    ck_assert_int_gt(compared, 4950);
    gsl_integration_workspace_free(work);
}
END_TEST

START_TEST(hours_above_a_limit_agree_with_counting_them)
{
    struct stream s = {.state = 4402};
    enum { STEPS = 20000 };
    for (int i = 0; i < 200; i++) {
        struct keeping_span span = random_span(&s);
        double limit = stream_uniform(&s, -5, 30);
        int above = 0;
        for (int k = 0; k < STEPS; k++)
            above += temp_again(&span, span.hours * (k + 0.5) / STEPS) > limit;
        double counted = span.hours * above / STEPS;
        if (fabs(keeping_span_above_h(&span, limit) - counted) > 1.01 * span.hours / STEPS)
            ck_abort_msg("stage %d: %g h, counted %g h", i, keeping_span_above_h(&span, limit), counted);
    }
}
END_TEST

START_TEST(cutting_a_stage_in_two_changes_nothing)
{
    struct stream s = {.state = 4403};
    for (int i = 0; i < 5000; i++) {
        struct keeping_span whole = random_span(&s), a = whole, b = whole;
        double at = stream_uniform(&s, 0, whole.hours);
        a.hours = at;
        b.hours = whole.hours - at;
        b.start_c = keeping_span_at_c(&whole, at);
        if (whole.shape == KEEPING_RAMP)
            a.toward_c = b.start_c;
        double one = keeping_span_exposure(&whole, KEEPING_TMIN_C);
        double two = keeping_span_exposure(&a, KEEPING_TMIN_C) + keeping_span_exposure(&b, KEEPING_TMIN_C);
        if (fabs(one - two) > 1e-9 * (1e-3 + one))
            ck_abort_msg("stage %d cut at %g h: %.15g and %.15g", i, at, one, two);
    }
}
END_TEST

START_TEST(a_rate_of_zero_and_an_infinite_bath_are_the_limits_of_a_chill)
{
    struct keeping_span none = keeping_relaxing(5, 12, 3, 0), fast = keeping_relaxing(5, 12, 3, 1e9);
    struct keeping_span warm = keeping_held(5, 12), cold = keeping_held(5, 3);
    ck_near(keeping_span_exposure(&none, KEEPING_TMIN_C), keeping_span_exposure(&warm, KEEPING_TMIN_C),
            1e-12);
    ck_near(keeping_span_exposure(&fast, KEEPING_TMIN_C), keeping_span_exposure(&cold, KEEPING_TMIN_C), 1e-7);
    struct keeping_span empty = keeping_ramp(0, 30, 4);
    ck_assert(keeping_span_exposure(&empty, KEEPING_TMIN_C) == 0);
    ck_assert(keeping_span_end_c(&empty) == 4);
}
END_TEST

/* ---- readings ---- */

/* Straight lines between 0:20, 1:10, 1:6 (a step), 4:3, by hand: (27.85^2 + 27.85 x 17.85 + 17.85^2)/3 +
 * (13.85^2 + 13.85 x 10.85 + 10.85^2). */
START_TEST(readings_are_joined_by_straight_lines)
{
    static const struct keeping_sample r[] = {
        {0, 20},
        {1, 10},
        {1, 6},
        {4, 3},
    };
    struct keeping_span span[3];
    ck_assert_int_eq(keeping_from_samples(r, 4, span, NULL), 0);
    double expected =
        (27.85 * 27.85 + 27.85 * 17.85 + 17.85 * 17.85) / 3 + (13.85 * 13.85 + 13.85 * 10.85 + 10.85 * 10.85);
    ck_near(keeping_used_days(span, 3), expected / (11.85 * 11.85) / 24, 1e-12);
    ck_near(keeping_hours(span, 3), 4, 1e-12);
}
END_TEST

START_TEST(many_readings_of_a_chill_come_close_to_its_closed_form)
{
    static struct keeping_sample r[2001];
    static struct keeping_span span[2000];
    struct keeping_span chill = keeping_relaxing(20, 35, 3, 0.9);
    for (int i = 0; i < 2001; i++)
        r[i] = (struct keeping_sample){i * 0.01, keeping_span_at_c(&chill, i * 0.01)};
    ck_assert_int_eq(keeping_from_samples(r, 2001, span, NULL), 0);
    ck_near(keeping_used_days(span, 2000), keeping_used_days(&chill, 1), 1e-5);
}
END_TEST

START_TEST(histories_that_cannot_be_are_refused_in_one_line)
{
    struct fail f = {0};
    struct keeping_span out[2];
    struct keeping_sample back[] = {{2, 4}, {1, 4}};
    ck_assert_int_eq(keeping_from_samples(back, 1, out, &f), -1);
    ck_assert_str_eq(f.text, "A temperature history needs at least two readings.");
    ck_assert_int_eq(keeping_from_samples(back, 2, out, &f), -1);
    ck_assert_str_eq(f.text, "Reading 2 is at an earlier time than the one before it.");
    struct keeping_span bad[] = {keeping_held(1, 4),      keeping_held(-1, 4),
                                 keeping_held(NAN, 4),    keeping_held(1, NAN),
                                 keeping_held(1, 500),    keeping_relaxing(1, 4, 4, -1),
                                 keeping_ramp(1, 4, NAN), keeping_held(INFINITY, 4)};
    ck_assert_int_eq(keeping_spans_check(bad, 1, &f), 0);
    for (size_t i = 1; i < sizeof bad / sizeof bad[0]; i++) {
        f.text[0] = '\0';
        ck_assert_int_eq(keeping_spans_check(&bad[i], 1, &f), -1);
        ck_assert_int_gt((int)strlen(f.text), 20);
    }
    /* the range as the rule has it: -80 to 150 degrees, both taken */
    struct keeping_span ends[] = {keeping_held(1, -80), keeping_held(1, 150)};
    struct keeping_span beyond[] = {keeping_held(1, -80.1), keeping_held(1, 150.1)};
    ck_assert_int_eq(keeping_spans_check(ends, 2, NULL), 0);
    ck_assert_int_eq(keeping_spans_check(&beyond[0], 1, &f), -1);
    ck_assert_int_eq(keeping_spans_check(&beyond[1], 1, &f), -1);
}
END_TEST

START_TEST(warm_again_counts_only_after_the_first_chill)
{
    double limit = (40 - 32) / 1.8;
    struct keeping_span chill = keeping_relaxing(12, 35, 3, 0.9), out = keeping_held(1.5, 20),
                        cold = keeping_held(5, 3);
    struct keeping_span ramp = keeping_ramp(2, 3, 3 + 2 * (limit - 3)); /* passes the limit half-way */
    struct keeping_span h[] = {chill, cold, out, cold, ramp};
    ck_assert(keeping_warm_again_h(h, 2, limit) == 0);
    ck_near(keeping_warm_again_h(h, 4, limit), 1.5, 1e-12);
    ck_near(keeping_warm_again_h(h, 5, limit), 2.5, 1e-9);
    ck_assert(isnan(keeping_warm_again_h(&out, 1, limit)));
    ck_assert(isnan(keeping_warm_again_h(NULL, 0, limit)));
    ck_near(keeping_warm_again_h(&ramp, 1, limit), 1, 1e-9);
    struct keeping_span up = keeping_ramp(2, limit, limit + 10); /* at the limit it was chilled; all that follows is warm */
    ck_near(keeping_warm_again_h(&up, 1, limit), 2, 1e-9);
}
END_TEST

/* By hand: 1 h at 24.15 °C (32 above Tmin) and storage at 0.15 °C (8 above): 16 h of storage life in one
 * hour. */
START_TEST(a_slow_chill_is_shown_as_days_lost)
{
    struct working w;
    struct keeping_span slow = keeping_held(1, 24.15), same = keeping_held(9, 0.15);
    working_init(&w, "lost");
    ck_near(keeping_lost_days(&slow, 1, 0.15, &w), 15.0 / 24, 1e-9);
    ck_assert_str_eq(w.caution[0], keeping_caution);
    ck_within(keeping_lost_days(&same, 1, 0.15, NULL), 0, 1e-12);
    ck_assert(isnan(keeping_lost_days(&slow, 1, -10, &w)));
    ck_assert_int_gt((int)strlen(w.why), 20);
    /* The same chill done faster costs less. */
    struct keeping_span fast = keeping_relaxing(8, 35, 4, 3), crawl = keeping_relaxing(8, 35, 4, 0.3);
    ck_assert(keeping_lost_days(&fast, 1, 4, NULL) < keeping_lost_days(&crawl, 1, 4, NULL));
}
END_TEST

/* ---- beside what was published ---- */

/* By hand from V46's law: two hours at 15 °C use 2 x (22.85 / 11.85)^2 / 24 days, and a day of life at 3 °C takes
 * 24 / (10.85 / 11.85)^2 hours. */
START_TEST(the_hour_at_which_life_was_used_up_is_found)
{
    const struct keeping_span span[] = {keeping_held(2, 15), keeping_held(120, 3), keeping_relaxing(6, 12, 2, 0.5)};
    double first = 2 * (22.85 * 22.85) / (11.85 * 11.85) / 24, day_h = 24 * (11.85 * 11.85) / (10.85 * 10.85);
    ck_within(keeping_spent_h(span, 3, first / 2), 1, 1e-6);
    ck_within(keeping_spent_h(span, 3, first + 1), 2 + day_h, 1e-6);
    ck_within(keeping_spent_h(span, 3, 0), 0, 1e-6);
    ck_assert(isnan(keeping_spent_h(span, 3, 100)));
    ck_assert(isnan(keeping_spent_h(span, 0, 1)));
    /* Along a chill: what is used until then is what was asked for. */
    double days = keeping_used_days(span, 2) + 0.2, hours = keeping_spent_h(span, 3, days);
    struct keeping_span until[] = {span[0], span[1], keeping_relaxing(hours - 122, 12, 2, 0.5)};
    ck_near(keeping_used_days(until, 3), days, 1e-7);
    struct keeping_span ramp = keeping_ramp(10, 20, 4), half = keeping_ramp(5, 20, 12);
    ck_within(keeping_spent_h(&ramp, 1, keeping_used_days(&half, 1)), 5, 1e-6);
}
END_TEST

/* V50: Pseudomonas poae in milk cartons at about 5 °C (open data; the authors' slope is 0.040167 log10 per
 * hour). Its growth lies between our average and our fastest strain. */
START_TEST(a_published_growth_curve_lies_between_average_and_fastest)
{
    static const double hours[] = {0, 24, 48, 72, 96}, log10_count[] = {2.44, 3.25, 4.31, 5.39, 6.19};
    double c0, slope, a, b, c, chi;
    gsl_fit_linear(hours, 1, log10_count, 1, 5, &c0, &slope, &a, &b, &c, &chi);
    ck_near(slope, 0.0401666667, 1e-8);
    double mu = slope * log(10);
    ck_assert(keeping_rate_per_h(&keeping_average, 5) < mu && mu < keeping_rate_per_h(&keeping_fast, 5));
}
END_TEST

/* Mean of the twelve isolates measured at 6 °C (open data set of M. Pinto, 2023); printed to four places. */
START_TEST(the_average_strain_is_the_mean_of_twelve_isolates)
{
    static const double mu[] = {.0835, .0662, .0636, .0656, .0896, .0765,
                                .0877, .1101, .1070, .0482, .0780, .0671};
    double sum = 0, ln = 0, ln2 = 0;
    for (int i = 0; i < 12; i++) {
        sum += mu[i];
        ln += log(mu[i]);
        ln2 += log(mu[i]) * log(mu[i]);
    }
    ck_near(keeping_rate_per_h(&keeping_average, 6), sum / 12, 5e-5);
    ck_near(keeping_scale_usual().batch_log_sd, sqrt((ln2 - ln * ln / 12) / 11), 2e-4);
}
END_TEST

/* The classic table of milk kept at 50 and 68 °F from 10 per mL (The Story of Milk, p. 50): counts after 6,
 * 12, 24 and 40 h. log10 of (ours / table), worked out by hand: we are far on the cautious side at 50 °F,
 * since we allow no lag and the flora of that table was not one of cold-lovers; with the average strain we
 * meet its last count at 68 °F. */
START_TEST(the_classic_count_table_is_met_on_the_cautious_side)
{
    static const double hours[] = {6, 12, 24, 40};
    static const struct {
        const struct keeping_strain *strain;
        double temp_c;
        double table[4], off_log10[4];
    } rows[] = {
        {&keeping_fast, 10, {12, 15, 41, 62}, {0.698, 1.379, 2.497, 4.390}},
        {&keeping_fast, 20, {17, 242, 61280, 3574990}, {1.662, 2.401, 3.783, 7.063}},
        {&keeping_average, 10, {12, 15, 41, 62}, {0.261, 0.504, 0.748, 1.475}},
        {&keeping_average, 20, {17, 242, 61280, 3574990}, {0.598, 0.272, -0.475, -0.033}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        for (int k = 0; k < 4; k++) {
            struct keeping_span s = keeping_held(hours[k], rows[i].temp_c);
            double ours = 10 * exp(keeping_growth_ln(rows[i].strain, &s, 1));
            ck_within(log10(ours / rows[i].table[k]), rows[i].off_log10[k], 1e-3);
            ck_assert(rows[i].strain == &keeping_average || ours > rows[i].table[k]);
        }
}
END_TEST

/* Shelf life of pasteurized milk as published, and how far the shape of our curve is off when set to one of
 * its points: percent by which we say longer, worked out by hand from ((T + 7.85) ratio)^2. It fits raw-like
 * and commercial milk within about a fifth to a third, and says far too much for very clean milk kept warm,
 * where other spoilers take over (the days at 14 and 16 °C). J Food Prot 40:848 (1977); J Dairy Res 49:619
 * (1982), commercial and laboratory; Petrus et al. (2010), bottle and pouch. */
START_TEST(published_shelf_lives_disagree_by_so_much)
{
    static const struct {
        double set_c, set_days, temp_c, days, longer_pct;
    } rows[] = {
        {5.6, 12.1, 1.7, 17.5, 37.1}, {5.6, 12.1, 10, 6.9, -0.4}, {5, 13, 11, 5, 20.8},
        {5, 28, 11, 6, 116.9},        {4, 36, 2, 43, 21.2},       {4, 36, 9, 8, 122.6},
        {4, 36, 14, 5, 111.8},        {4, 36, 16, 3, 196.2},      {4, 37, 2, 35, 53.0},
        {4, 37, 9, 7, 161.4},         {4, 37, 14, 3, 262.8},      {4, 37, 16, 2, 356.7},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct keeping_scale scale;
        struct keeping_forecast fc;
        ck_assert_int_eq(keeping_scale_given(rows[i].set_days, rows[i].set_c, &scale, NULL), 0);
        ck_assert_int_eq(keeping_forecast(NULL, 0, &scale, rows[i].temp_c, &fc, NULL, NULL), 0);
        ck_within(100 * (fc.total_days / rows[i].days - 1), rows[i].longer_pct, 0.06);
    }
    /* Pasteurized milk at 33 instead of 40 °F "keeps 11 to 14 days longer" (published; the days at 40 °F are
     * not given): true of milk that keeps 10 to 12 days at 40 °F. */
    double ratio = keeping_relative_rate((40 - 32) / 1.8, (33 - 32) / 1.8);
    ck_within(10 * (ratio - 1), 11.4, 0.05);
    ck_within(12 * (ratio - 1), 13.7, 0.05);
    /* P. fluorescens in raw milk: generation time 280 % longer at 3 than at 9 °C (J Food Prot 45:132, 1982);
     * ours is 141 % longer. */
    ck_near(keeping_doubling_h(&keeping_fast, 3) / keeping_doubling_h(&keeping_fast, 9), 2.412, 2e-4);
}
END_TEST

Suite *keeping_suite(void)
{
    Suite *s = suite_create("keeping");
    TCase *t = tcase_create("rates");
    tcase_add_test(t, the_square_root_model_gives_rate_and_doubling_time);
    tcase_add_test(t, listeria_in_milk_doubles_within_the_measured_bands);
    tcase_add_test(t, life_goes_at_the_relative_rate);
    tcase_add_test(t, above_25_degrees_the_rate_is_that_at_25);
    suite_add_tcase(s, t);
    t = tcase_create("histories");
    tcase_add_test(t, used_life_adds_up_over_the_stretches);
    tcase_add_test(t, growth_along_an_exponential_chill_is_the_closed_form);
    tcase_add_test(t, exposure_agrees_with_quadrature_over_thousands_of_random_stages);
    tcase_add_test(t, hours_above_a_limit_agree_with_counting_them);
    tcase_add_test(t, cutting_a_stage_in_two_changes_nothing);
    tcase_add_test(t, a_rate_of_zero_and_an_infinite_bath_are_the_limits_of_a_chill);
    tcase_add_test(t, readings_are_joined_by_straight_lines);
    tcase_add_test(t, many_readings_of_a_chill_come_close_to_its_closed_form);
    tcase_add_test(t, histories_that_cannot_be_are_refused_in_one_line);
    tcase_add_test(t, warm_again_counts_only_after_the_first_chill);
    tcase_add_test(t, a_slow_chill_is_shown_as_days_lost);
    tcase_add_test(t, the_hour_at_which_life_was_used_up_is_found);
    suite_add_tcase(s, t);
    t = tcase_create("published");
    tcase_add_test(t, a_published_growth_curve_lies_between_average_and_fastest);
    tcase_add_test(t, the_average_strain_is_the_mean_of_twelve_isolates);
    tcase_add_test(t, the_classic_count_table_is_met_on_the_cautious_side);
    tcase_add_test(t, published_shelf_lives_disagree_by_so_much);
    suite_add_tcase(s, t);
    return s;
}
