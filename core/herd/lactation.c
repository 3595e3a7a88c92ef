#include "core/herd/lactation.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "core/herd/lsq.h"
#include "core/herd/yield_total.h"

_Static_assert((int)LACTATION_TERMS == (int)LSQ_TERMS_MAX, "the regression has the terms of the model");

enum { LEVEL_DAY = 60, TAIL = 4, ROUNDS_MAX = 50 };

/* Quantile of Student's t with TAIL degrees of freedom that one in ten exceeds, and of the normal that one in
 * twenty exceeds. */
#define T_TENTH          1.533206
#define NORMAL_TWENTIETH 1.644854

/* clang-format off */
static const struct view_facts {
    double half_life_days; /* 0: every day alike */
    double day_worth; /* deviations of one day and the next are correlated by 0.3 to 0.6, still by 0.2 to 0.5
                       * after a week: the further ahead, the less one day tells */
} view_facts[] = {
    [LACTATION_CURVE]    = {0,  0.5},
    [LACTATION_TOMORROW] = {10, 0.5},
    [LACTATION_SEASON]   = {30, 0.1},
};
/* clang-format on */

/* A weight of which less than this is remembered is passed over. */
#define SHARE_LEAST 1e-3

/* The rounds are over when nothing moves by more than this share of what was uncertain at first. */
#define MOVED_LEAST 1e-5

static void model_row(int day, int milkings, double x[LACTATION_TERMS])
{
    x[LACTATION_LEVEL] = 1;
    x[LACTATION_RISE] = log((double)day / LEVEL_DAY);
    x[LACTATION_FALL] = LEVEL_DAY - day;
    x[LACTATION_ONCE] = milkings == 1;
}

static double model_ln(const double mean[LACTATION_TERMS], const double x[LACTATION_TERMS])
{
    double sum = 0;
    for (int i = 0; i < LACTATION_TERMS; i++)
        sum += mean[i] * x[i];
    return sum;
}

static double curve_variance(const struct lactation *lac, const double x[LACTATION_TERMS])
{
    double sum = 0;
    for (int i = 0; i < LACTATION_TERMS; i++)
        for (int j = 0; j < LACTATION_TERMS; j++)
            sum += x[i] * lac->cov[i][j] * x[j];
    return sum;
}

/* ---- what is usual ---- */

/* Level against the third lactation, from memory; shape from the published fits that the sources name. */
static const struct parity_facts {
    double level, fall;
} parity_facts[] = {
    {0.92, 0.0020}, /* not known: taken as the second, with the whole range as spread */
    {0.78, 0.0017},
    {0.92, 0.0020},
    {1.00, 0.0020},
};

#define UNKNOWN_PARITY_SPREAD 0.12
#define RISE                  0.08
#define RISE_SPREAD           0.05
#define FALL_SPREAD           0.0008
#define ONCE_FACTOR           0.72
#define ONCE_SPREAD           0.15
#define USUAL_NOISE           0.055
#define USUAL_NOISE_DAYS      15

static void prior_working(const struct breed *breed, int parity, const struct lactation_prior *p,
                          struct working *w)
{
    working_given_text(w, "breed", breed->name, ORIGIN_RECORDED);
    working_given_whole(w, "parity", parity, ORIGIN_RECORDED);
    working_given(w, "usual_day60_kg", exp(p->mean[LACTATION_LEVEL]), ORIGIN_DEFAULT);
    working_given(w, "usual_spread", p->sd[LACTATION_LEVEL], ORIGIN_DEFAULT);
    working_given(w, "usual_b", p->mean[LACTATION_RISE], ORIGIN_DEFAULT);
    working_given(w, "usual_c", p->mean[LACTATION_FALL], ORIGIN_DEFAULT);
    working_given(w, "usual_once_factor", exp(p->mean[LACTATION_ONCE]), ORIGIN_DEFAULT);
    working_source(w, breed->yield_source);
    working_source(w, "friggens-07");
    working_source(w, "simmental-wood");
    working_source(w, "remond-05");
}

void lactation_prior_usual(const struct breed *breed, int parity, struct lactation_prior *out,
                           struct working *w)
{
    const struct parity_facts *facts = &parity_facts[parity < 0 ? 0 : parity > 3 ? 3 : parity];
    double spread = breed->day60_spread;
    if (parity <= 0)
        spread = hypot(spread, UNKNOWN_PARITY_SPREAD);
    *out = (struct lactation_prior){
        .mean = {log(breed->day60_kg * facts->level), RISE, facts->fall, log(ONCE_FACTOR)},
        .sd = {spread, RISE_SPREAD, FALL_SPREAD, ONCE_SPREAD},
        .noise = USUAL_NOISE,
        .noise_days = USUAL_NOISE_DAYS,
    };
    prior_working(breed, parity, out, w);
}

/* ---- learning ---- */

static bool usable(const struct yield_row *r)
{
    return r->day >= 1 && r->kg > 0 && isfinite(r->kg);
}

static void add_prior(struct lsq *s, const struct lactation_prior *prior)
{
    for (int i = 0; i < LACTATION_TERMS; i++) {
        double unit[LACTATION_TERMS] = {0};
        unit[i] = 1;
        lsq_add(s, unit, prior->mean[i], 1 / (prior->sd[i] * prior->sd[i]));
    }
}

/* How much of a weight is remembered after `age` days. */
static double remembered(int age, double half_life_days)
{
    return half_life_days > 0 ? exp2(-age / half_life_days) : 1;
}

/* A weight made ready for the regression. */
struct learn_row {
    double x[LACTATION_TERMS];
    double ln_kg;
    double share; /* remembered */
};

struct learn_rows {
    struct learn_row row[WOOD_POINTS_MAX];
    size_t n;
};

/* Notes the latest weight, then makes ready those of which enough is remembered, the newest first. */
static void gather(const struct yield_row *rows, size_t n, double half_life_days, struct lactation *lac,
                   struct learn_rows *out)
{
    out->n = 0;
    for (size_t i = n; i > 0; i--) {
        const struct yield_row *r = &rows[i - 1];
        if (!usable(r))
            continue;
        if (lac->rows++ == 0) {
            lac->last_day = r->day;
            lac->last_kg = r->kg;
            lac->milkings = r->milkings;
        }
        struct learn_row ready = {.ln_kg = log(r->kg),
                                  .share = remembered(lac->last_day - r->day, half_life_days)};
        model_row(r->day, r->milkings, ready.x);
        if (ready.share >= SHARE_LEAST && out->n < WOOD_POINTS_MAX)
            out->row[out->n++] = ready;
    }
}

/* One round: regression with each row weighted by how far it now lies off, then the noise likewise. Returns
 * how much has moved, in units of the prior's spread. */
static double learn_round(const struct lactation_prior *prior, const struct learn_rows *rows,
                          struct lactation *lac)
{
    struct lsq s;
    double mean[LSQ_TERMS_MAX];
    double variance = lac->noise * lac->noise;
    double squares = prior->noise_days * prior->noise * prior->noise, days = prior->noise_days;
    lsq_init(&s, LACTATION_TERMS);
    add_prior(&s, prior);
    for (size_t i = 0; i < rows->n; i++) {
        const struct learn_row *r = &rows->row[i];
        double off = r->ln_kg - model_ln(lac->mean, r->x);
        double weight = (TAIL + 1) / (TAIL + off * off / variance);
        lsq_add(&s, r->x, r->ln_kg, lac->day_worth * r->share * weight / variance);
        squares += r->share * weight * off * off;
        days += r->share;
    }
    bool solved = lsq_solve(&s, mean, lac->cov);
    assert(solved); /* the prior alone determines every term */
    (void)solved;
    double noise = sqrt(squares / days);
    double moved = fabs(noise / lac->noise - 1);
    for (int i = 0; i < LACTATION_TERMS; i++)
        moved = fmax(moved, fabs(mean[i] - lac->mean[i]) / prior->sd[i]);
    memcpy(lac->mean, mean, sizeof lac->mean);
    lac->noise = noise;
    return moved;
}

static void learn_working(const struct lactation *lac, const struct view_facts *view, struct working *w)
{
    working_given_whole(w, "own_weights", (long)lac->rows, ORIGIN_RECORDED);
    if (lac->rows == 0) {
        working_step(w, "no weight of her own yet: the curve is the usual one");
        return;
    }
    if (view->half_life_days > 0)
        working_given(w, "half_life_days", view->half_life_days, ORIGIN_CONSTANT);
    working_given(w, "day_worth", view->day_worth, ORIGIN_CONSTANT);
    working_given(w, "own_noise_pct", 100 * lac->noise, ORIGIN_LEARNED);
    working_step(
        w, "usual curve and her own weights together: %.4g kg on day %d milked twice, b %.4f, c %.5f",
        exp(lac->mean[LACTATION_LEVEL]), LEVEL_DAY, lac->mean[LACTATION_RISE], lac->mean[LACTATION_FALL]);
    working_source(w, "wood-1967");
    working_source(w, "lange-89");
}

void lactation_learn(const struct lactation_prior *prior, const struct yield_row *rows, size_t n,
                     enum lactation_view view, struct lactation *out, struct working *w)
{
    const struct view_facts *facts = &view_facts[view];
    /* Hardened builds set locals to zero; here that would cost more than the regression, and only the rows that
     * gather() fills are read. */
    struct learn_rows ready __attribute__((uninitialized));
    memset(out, 0, sizeof *out);
    out->day_worth = facts->day_worth;
    memcpy(out->mean, prior->mean, sizeof out->mean);
    out->noise = prior->noise;
    gather(rows, n, facts->half_life_days, out, &ready);
    for (int round = 0; round < ROUNDS_MAX; round++)
        if (learn_round(prior, &ready, out) < MOVED_LEAST)
            break;
    learn_working(out, facts, w);
}

/* ---- expecting ---- */

void lactation_expect(const struct lactation *lac, int day, int milkings, struct expectation *out,
                      struct working *w)
{
    double x[LACTATION_TERMS];
    if (day < 1) {
        *out = (struct expectation){NAN, NAN, NAN, NAN};
        working_result(w, "expected_kg", NAN);
        working_why(w, "nothing is expected before the day after calving");
        return;
    }
    model_row(day, milkings, x);
    out->spread = sqrt(curve_variance(lac, x) + lac->noise * lac->noise);
    out->kg = exp(model_ln(lac->mean, x));
    double factor = exp(T_TENTH * out->spread);
    out->low_kg = out->kg / factor;
    out->high_kg = out->kg * factor;
    working_given_whole(w, "day", day, ORIGIN_RECORDED);
    working_given_whole(w, "milkings_per_day", milkings, ORIGIN_RECORDED);
    working_result(w, "expected_kg", out->kg);
    working_result(w, "expected_low_kg", out->low_kg);
    working_result(w, "expected_high_kg", out->high_kg);
    working_step(w, "a (t = %d)^b e^(-c t) = %.4g kg; eight days in ten within %.2g %% of it", day, out->kg,
                 100 * (factor - 1));
}

struct wood lactation_curve(const struct lactation *lac, int milkings)
{
    double b = lac->mean[LACTATION_RISE], c = lac->mean[LACTATION_FALL];
    double ln_a = lac->mean[LACTATION_LEVEL] - b * log(LEVEL_DAY) + c * LEVEL_DAY;
    if (milkings == 1)
        ln_a += lac->mean[LACTATION_ONCE];
    return (struct wood){exp(ln_a), b, c};
}

double milking_share(double hours_before, int milkings)
{
    if (milkings <= 1)
        return 1;
    if (!(hours_before > 0))
        return 1.0 / milkings;
    return fmin(hours_before, 18) / 24;
}

/* ---- totals ---- */

enum { LACTATION_DAYS = 305 };

/* Expected milk of days first..last and its variance: the curve's own uncertainty moves all days together,
 * the noise of the days adds up as squares. */
static double expected_rest(const struct lactation *lac, int milkings, int first, int last, double *variance)
{
    double x[LACTATION_TERMS], gradient[LACTATION_TERMS] = {0};
    double sum = 0, noise = 0;
    for (int day = first; day <= last; day++) {
        model_row(day, milkings, x);
        double kg = exp(model_ln(lac->mean, x));
        sum += kg;
        noise += kg * kg * lac->noise * lac->noise / lac->day_worth;
        for (int i = 0; i < LACTATION_TERMS; i++)
            gradient[i] += kg * x[i];
    }
    *variance = noise + curve_variance(lac, gradient);
    return sum;
}

static void sum_recorded(const struct lactation *lac, const struct yield_row *rows, size_t n, int last,
                         struct yield_sum *out)
{
    struct yield_point points[WOOD_POINTS_MAX];
    size_t count = 0;
    for (size_t i = 0; i < n && count < WOOD_POINTS_MAX; i++)
        if (usable(&rows[i]) && (count == 0 || rows[i].day > points[count - 1].t))
            points[count++] = (struct yield_point){rows[i].day, rows[i].kg};
    struct wood curve = lactation_curve(lac, lac->milkings);
    if (count == 0 || yield_sum_days(points, count, 1, last, &curve, out, NULL) != 0)
        memset(out, 0, sizeof *out);
}

static void total_working(const struct lactation_total *t, struct working *w)
{
    working_result(w, "to_date_kg", t->to_date_kg);
    working_result(w, "total_305_kg", t->expected_305_kg);
    working_result(w, "total_305_low_kg", t->low_305_kg);
    working_result(w, "total_305_high_kg", t->high_305_kg);
    working_step(
        w,
        "days 1 to %d: weights added up, %d days without a weight filled in; from there to day %d her "
        "expected curve",
        t->days, t->filled_days, LACTATION_DAYS);
}

void lactation_total(const struct lactation *lac, const struct yield_row *rows, size_t n, int milkings,
                     struct lactation_total *out, struct working *w)
{
    struct yield_sum to_date, to_305;
    double variance = 0, rest = 0;
    memset(out, 0, sizeof *out);
    out->days = lac->last_day;
    sum_recorded(lac, rows, n, lac->last_day, &to_date);
    to_305 = to_date;
    if (lac->last_day > LACTATION_DAYS)
        sum_recorded(lac, rows, n, LACTATION_DAYS, &to_305);
    if (lac->last_day < LACTATION_DAYS)
        rest = expected_rest(lac, milkings, lac->last_day + 1, LACTATION_DAYS, &variance);
    out->to_date_kg = to_date.kg;
    out->filled_days = to_date.linear_days + to_date.curve_days;
    out->expected_305_kg = to_305.kg + rest;
    out->low_305_kg = out->expected_305_kg - NORMAL_TWENTIETH * sqrt(variance);
    out->high_305_kg = out->expected_305_kg + NORMAL_TWENTIETH * sqrt(variance);
    total_working(out, w);
}
