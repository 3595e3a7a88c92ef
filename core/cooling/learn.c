/* Bayes in the small. The unknowns of a batch have a normal prior; a reading is the model's temperature with
 * an error of Student's t with four degrees of freedom, so that one wild reading is outvoted instead of
 * believed. The posterior's peak is sought from a scan over the rate (a far-off reading can make a second
 * peak) by Gauss and Newton with t-weights, and taken as normal about it. A probe that lags, a milk poured a
 * little warmer, a bath a little warmer are unknowns with tight priors of their own: they widen the answer
 * honestly, and no short run can make an ambient out of them. */
#include "core/cooling/learn_inside.h"

#include <math.h>
#include <string.h>

#define READING_SD_K        0.28 /* half a degree Fahrenheit: a good dairy thermometer read by a busy person */
#define T_DEGREES           4.0
#define WILD_SDS            5.0 /* a reading this far from the fit is reported as set aside */
#define AIR_SD              0.15
#define JAR_SD              0.1 /* the part of a rate's error that is the jar's own: the same however the water moves */
#define MORNING_SD          0.08 /* what mornings with the same jar and stirring differ by */
#define SAME_MORNING_SD     0.05 /* what two batches of the same kind in one tub differ by */
#define START_SD_K          0.4
#define START_GUESSED_SD_K  1.5
#define BATH_READ_SD_K      0.3
#define BATH_MOVED_SD_K     0.3
#define BATH_STILL_SD_K     0.6 /* still water lies in layers */
#define BATH_UNKNOWN_SD_K   1.5
#define FRIDGE_SD_K         0.8
#define FRIDGE_GUESSED_SD_K 1.5
#define LAG_SD_S            10.0
#define RECENT_S            3600.0

static const double stir_sd[STIR_COUNT] = {0.205, 0.13, 0.2}; /* as the spreads of jar.c */

/* --- matrices --- */

void cholesky(size_t n, double a[UNKNOWNS][UNKNOWNS])
{
    for (size_t j = 0; j < n; j++) {
        for (size_t k = 0; k < j; k++)
            a[j][j] -= a[j][k] * a[j][k];
        double root = a[j][j] > 0 ? sqrt(a[j][j]) : 0;
        a[j][j] = root;
        for (size_t i = j + 1; i < n; i++) {
            for (size_t k = 0; k < j; k++)
                a[i][j] -= a[i][k] * a[j][k];
            a[i][j] = root > 0 ? a[i][j] / root : 0;
        }
    }
}

/* x := (L L')^-1 x */
static void solve(double l[UNKNOWNS][UNKNOWNS], double *x)
{
    for (int i = 0; i < UNKNOWNS; i++) {
        for (int k = 0; k < i; k++)
            x[i] -= l[i][k] * x[k];
        x[i] /= l[i][i];
    }
    for (int i = UNKNOWNS - 1; i >= 0; i--) {
        for (int k = i + 1; k < UNKNOWNS; k++)
            x[i] -= l[k][i] * x[k];
        x[i] /= l[i][i];
    }
}

static void invert(double a[UNKNOWNS][UNKNOWNS], double out[UNKNOWNS][UNKNOWNS])
{
    double l[UNKNOWNS][UNKNOWNS];
    memcpy(l, a, sizeof l);
    cholesky(UNKNOWNS, l);
    for (int j = 0; j < UNKNOWNS; j++) {
        double column[UNKNOWNS] = {0};
        column[j] = 1;
        solve(l, column);
        for (int i = 0; i < UNKNOWNS; i++)
            out[i][j] = column[i];
    }
}

/* --- before the readings --- */

/* One measurement of one unknown, with that variance: Kalman's update. */
static void belief_update(struct belief *b, int unknown, double value, double variance)
{
    double gain[UNKNOWNS], total = b->cov[unknown][unknown] + variance, miss = value - b->mean[unknown];
    for (int i = 0; i < UNKNOWNS; i++)
        gain[i] = b->cov[i][unknown] / total;
    for (int i = 0; i < UNKNOWNS; i++)
        b->mean[i] += gain[i] * miss;
    double row[UNKNOWNS];
    memcpy(row, b->cov[unknown], sizeof row);
    for (int i = 0; i < UNKNOWNS; i++)
        for (int j = 0; j < UNKNOWNS; j++)
            b->cov[i][j] -= gain[i] * row[j];
}

static double bath_sd(const struct morning *morning)
{
    bool read = false, known = morning->tub.water_kg > 0;
    enum stir stir = morning->tub.stir;
    for (size_t i = 0; i < morning->tub.acts && morning->tub.act[i].at <= morning->now; i++) {
        const struct tub_act *act = &morning->tub.act[i];
        read = read || (act->kind == TUB_READ && act->at > morning->now - RECENT_S);
        stir = act->kind == TUB_STIR ? act->stir : stir;
    }
    if (read)
        return BATH_READ_SD_K;
    if (!known)
        return BATH_UNKNOWN_SD_K;
    return stir == STIR_STILL ? BATH_STILL_SD_K : BATH_MOVED_SD_K;
}

/* An earlier morning counts less the further it is from what the others say, so that one bad morning cannot
 * mislead. */
static void learn_from_past(const struct scene *scene, size_t batch, struct belief *b)
{
    const struct morning *morning = scene->morning;
    for (size_t i = 0; i < morning->learned_count; i++) {
        const struct learned_rate *past = &morning->learned[i];
        if (strcmp(past->kind, morning->batch[batch].kind->name) != 0)
            continue;
        int unknown = U_STILL + (int)past->stir;
        double value = past->ln_k - scene->batch[batch].ln_k_full[past->stir];
        double variance = past->sd * past->sd + MORNING_SD * MORNING_SD;
        double miss = value - b->mean[unknown], z2 = miss * miss / (b->cov[unknown][unknown] + variance);
        belief_update(b, unknown, value, variance * (T_DEGREES + z2) / (T_DEGREES + 1));
    }
}

static void set_sd(struct belief *b, int unknown, double sd)
{
    b->cov[unknown][unknown] = sd * sd;
}

void belief_prior(const struct scene *scene, size_t batch, struct belief *out)
{
    const struct morning *morning = scene->morning;
    memset(out, 0, sizeof *out);
    for (int i = 0; i < STIR_COUNT; i++)
        for (int j = 0; j < STIR_COUNT; j++)
            out->cov[U_STILL + i][U_STILL + j] = i == j ? stir_sd[i] * stir_sd[i] : JAR_SD * JAR_SD;
    set_sd(out, U_AIR, AIR_SD);
    set_sd(out, U_START, isnan(morning->batch[batch].poured_c) ? START_GUESSED_SD_K : START_SD_K);
    set_sd(out, U_BATH, bath_sd(morning));
    set_sd(out, U_FRIDGE, isnan(morning->fridge_c) ? FRIDGE_GUESSED_SD_K : FRIDGE_SD_K);
    set_sd(out, U_SHAPE, 1);
    set_sd(out, U_LAG, LAG_SD_S);
    learn_from_past(scene, batch, out);
    for (int i = 0; i < STIR_COUNT; i++)
        out->cov[U_STILL + i][U_STILL + i] += morning->learned_count > 0 ? MORNING_SD * MORNING_SD : 0;
}

void belief_share(struct belief *belief, const struct evidence *evidence)
{
    if (evidence->known)
        belief_update(belief, U_STILL + (int)evidence->stir, evidence->mean,
                      evidence->variance + 2 * SAME_MORNING_SD * SAME_MORNING_SD);
}

/* --- with the readings --- */

struct fitting {
    const struct scene *scene;
    const struct lot *lot;
    const struct belief *prior;
    double precision[UNKNOWNS][UNKNOWNS]; /* of the prior */
    double at[BATCH_READINGS_MAX], read_c[BATCH_READINGS_MAX];
    double taken_at[BATCH_READINGS_MAX]; /* `at` is earlier by a known lag */
    size_t count;
};

/* Readings in order of the moment that they speak of: a known lag takes them back. */
static void take_readings(struct fitting *fit)
{
    const struct morning *morning = fit->scene->morning;
    const struct batch_facts *batch = &morning->batch[fit->lot->batch];
    fit->count = 0;
    for (size_t i = 0; i < batch->readings; i++) {
        const struct milk_reading *r = &batch->reading[i];
        double at = r->at - r->lag_s;
        const struct stay *stay = lot_stay(fit->lot, r->at);
        if (r->at > morning->now || stay == NULL || stay->place == PLACE_GONE)
            continue;
        size_t n = fit->count++;
        for (; n > 0 && fit->at[n - 1] > at; n--) {
            fit->at[n] = fit->at[n - 1];
            fit->read_c[n] = fit->read_c[n - 1];
            fit->taken_at[n] = fit->taken_at[n - 1];
        }
        fit->at[n] = at;
        fit->taken_at[n] = r->at;
        fit->read_c[n] = r->temp_c;
    }
}

/* What the model reads at every reading; a lag cannot take one back before the pouring. */
static void expect(const struct fitting *fit, const double *unknown, double *expected_c)
{
    double at[BATCH_READINGS_MAX], poured_at = fit->lot->stay[0].from;
    for (size_t i = 0; i < fit->count; i++)
        at[i] = fmax(poured_at, fit->at[i] - unknown[U_LAG]);
    lot_temps(fit->scene, fit->lot, unknown, at, fit->count, expected_c);
}

/* Minus twice the log of the posterior, up to a constant. */
static double misfit(const struct fitting *fit, const double *unknown)
{
    double expected_c[BATCH_READINGS_MAX], sum = 0;
    expect(fit, unknown, expected_c);
    for (size_t i = 0; i < fit->count; i++) {
        double z = (fit->read_c[i] - expected_c[i]) / READING_SD_K;
        sum += (T_DEGREES + 1) * log1p(z * z / T_DEGREES);
    }
    for (int i = 0; i < UNKNOWNS; i++)
        for (int j = 0; j < UNKNOWNS; j++)
            sum += (unknown[i] - fit->prior->mean[i]) * fit->precision[i][j] *
                   (unknown[j] - fit->prior->mean[j]);
    return sum;
}

/* The best of a row of rates from four standard deviations below the prior to four above. */
static void scan_rates(const struct fitting *fit, const bool say[UNKNOWNS], double *unknown)
{
    enum { STEPS = 16 };
    double best = INFINITY, at_best[UNKNOWNS];
    memcpy(at_best, fit->prior->mean, sizeof at_best);
    for (int step = -STEPS; step <= STEPS; step++) {
        double trial[UNKNOWNS];
        memcpy(trial, fit->prior->mean, sizeof trial);
        for (int u = U_STILL; u <= U_AIR; u++)
            if (say[u])
                trial[u] += 4.0 * step / STEPS * sqrt(fit->prior->cov[u][u]);
        double now = misfit(fit, trial);
        if (now < best) {
            best = now;
            memcpy(at_best, trial, sizeof at_best);
        }
    }
    memcpy(unknown, at_best, sizeof at_best);
}

/* Slopes of the expected readings by each unknown that has a say, by central differences. */
static void slopes(const struct fitting *fit, const bool say[UNKNOWNS], const double *unknown,
                   double slope[UNKNOWNS][BATCH_READINGS_MAX])
{
    static const double step[UNKNOWNS] = {0.01, 0.01, 0.01, 0.01, 0.05, 0.05, 0.05, 0.1, 2};
    for (int u = 0; u < UNKNOWNS; u++) {
        double trial[UNKNOWNS], above[BATCH_READINGS_MAX], below[BATCH_READINGS_MAX];
        for (size_t i = 0; i < fit->count; i++)
            slope[u][i] = 0;
        if (!say[u])
            continue;
        memcpy(trial, unknown, sizeof trial);
        trial[u] = unknown[u] + step[u];
        expect(fit, trial, above);
        trial[u] = unknown[u] - step[u];
        expect(fit, trial, below);
        for (size_t i = 0; i < fit->count; i++)
            slope[u][i] = (above[i] - below[i]) / (2 * step[u]);
    }
}

/* Precision of the posterior and gradient of half the misfit, with t-weights at those unknowns. */
static void normal_equations(const struct fitting *fit, const bool say[UNKNOWNS], const double *unknown,
                             double precision[UNKNOWNS][UNKNOWNS], double *gradient)
{
    double slope[UNKNOWNS][BATCH_READINGS_MAX], expected_c[BATCH_READINGS_MAX];
    expect(fit, unknown, expected_c);
    slopes(fit, say, unknown, slope);
    memcpy(precision, fit->precision, sizeof fit->precision);
    for (int u = 0; u < UNKNOWNS; u++) {
        gradient[u] = 0;
        for (int v = 0; v < UNKNOWNS; v++)
            gradient[u] += fit->precision[u][v] * (unknown[v] - fit->prior->mean[v]);
    }
    for (size_t i = 0; i < fit->count; i++) {
        double z = (fit->read_c[i] - expected_c[i]) / READING_SD_K;
        double weight = (T_DEGREES + 1) / (T_DEGREES + z * z) / (READING_SD_K * READING_SD_K);
        for (int u = 0; u < UNKNOWNS; u++) {
            gradient[u] -= weight * slope[u][i] * (fit->read_c[i] - expected_c[i]);
            for (int v = 0; v < UNKNOWNS; v++)
                precision[u][v] += weight * slope[u][i] * slope[v][i];
        }
    }
}

/* Steps to the peak; each is halved until it is one downhill. */
static void climb(const struct fitting *fit, const bool say[UNKNOWNS], double *unknown,
                  double precision[UNKNOWNS][UNKNOWNS])
{
    double here = misfit(fit, unknown);
    for (int round = 0; round < 25; round++) {
        double step[UNKNOWNS], l[UNKNOWNS][UNKNOWNS], size = 0;
        normal_equations(fit, say, unknown, precision, step);
        memcpy(l, precision, sizeof l);
        cholesky(UNKNOWNS, l);
        solve(l, step);
        double there, trial[UNKNOWNS];
        int halved = 0;
        do {
            for (int u = 0; u < UNKNOWNS; u++)
                trial[u] = unknown[u] - ldexp(step[u], -halved);
            there = misfit(fit, trial);
        } while (!(there <= here) && ++halved < 12);
        if (!(there <= here))
            break;
        for (int u = 0; u < UNKNOWNS; u++)
            size = fmax(size, fabs(trial[u] - unknown[u]) / sqrt(fit->prior->cov[u][u]));
        memcpy(unknown, trial, sizeof trial);
        here = there;
        if (size < 1e-5)
            break;
    }
}

static void note_wild(const struct fitting *fit, const double *unknown, struct lesson *out)
{
    double expected_c[BATCH_READINGS_MAX];
    expect(fit, unknown, expected_c);
    for (size_t i = 0; i < fit->count; i++) {
        if (fabs(fit->read_c[i] - expected_c[i]) <= WILD_SDS * READING_SD_K) {
            out->used++;
            continue;
        }
        if (out->wild < 4)
            out->wild_at[out->wild] = fit->taken_at[i];
        out->wild++;
    }
}

/* The stirring under which most readings fell, in the tub; false if none did. */
static bool main_stir(const struct fitting *fit, enum stir *stir)
{
    int fell[STIR_COUNT] = {0}, most = 0;
    for (size_t i = 0; i < fit->count; i++) {
        const struct stay *stay = lot_stay(fit->lot, fit->at[i]);
        const struct piece *piece = scene_tub_piece(fit->scene, fit->at[i]);
        if (stay != NULL && stay->place == PLACE_TUB && piece != NULL)
            fell[piece->stir]++;
    }
    for (int s = 0; s < STIR_COUNT; s++)
        if (fell[s] > most) {
            most = fell[s];
            *stir = (enum stir)s;
        }
    return most > 0;
}

/* What the readings by themselves say: the posterior with the prior divided out. */
static void take_evidence(const struct belief *prior, struct lesson *out)
{
    int u = U_STILL + (int)out->stir;
    double before = 1 / prior->cov[u][u], after = 1 / out->belief.cov[u][u], own = after - before;
    if (own < 0.05 * before)
        return;
    out->evidence = (struct evidence){true, out->stir,
                                      (out->belief.mean[u] * after - prior->mean[u] * before) / own, 1 / own};
}

void learn(const struct scene *scene, const struct lot *lot, const struct belief *prior, struct lesson *out)
{
    struct fitting fit = {.scene = scene, .lot = lot, .prior = prior};
    double precision[UNKNOWNS][UNKNOWNS];
    bool say[UNKNOWNS];
    *out = (struct lesson){.belief = *prior, .wild_at = {NAN, NAN, NAN, NAN}};
    take_readings(&fit);
    const struct piece *now = scene_tub_piece(scene, scene->morning->now);
    out->stir = now == NULL ? scene->morning->tub.stir : now->stir;
    if (fit.count == 0)
        return;
    double cov[UNKNOWNS][UNKNOWNS];
    memcpy(cov, prior->cov, sizeof cov);
    invert(cov, fit.precision);
    lot_unknowns(scene, lot, fit.at[fit.count - 1], say);
    say[U_LAG] = true;
    scan_rates(&fit, say, out->belief.mean);
    climb(&fit, say, out->belief.mean, precision);
    double gradient[UNKNOWNS];
    normal_equations(&fit, say, out->belief.mean, precision, gradient);
    invert(precision, out->belief.cov);
    note_wild(&fit, out->belief.mean, out);
    if (main_stir(&fit, &out->stir))
        take_evidence(prior, out);
}
