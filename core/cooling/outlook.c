#include "core/cooling/outlook_inside.h"

#include <math.h>
#include <string.h>

#include "core/base/quantity.h"
#include "core/cooling/learn_inside.h"
#include "core/cooling/quantile.h"

#define SAMPLE_GROWTH 0.075 /* each step of the samples is longer by this share */
#define TRIAL_GROWTH  0.15

static const double mark_f[MARKS] = {50, 45, 40};

/* --- which jars decide --- */

static double temp_at(const struct scene *scene, const struct lot *lot, double at)
{
    double temp_c;
    lot_temps(scene, lot, scene->batch[lot->batch].belief.mean, &at, 1, &temp_c);
    return temp_c;
}

static size_t count_lots(const struct scene *scene, size_t batch, const struct lot **any)
{
    size_t count = 0;
    for (size_t i = 0; i < scene->lots; i++)
        if (scene->lot[i].batch == batch) {
            *any = &scene->lot[i];
            count++;
        }
    return count;
}

/* The lot that is warmest at `at` of those still here; if all are gone, the one that went last. */
static const struct lot *deciding_lot(const struct scene *scene, size_t batch, double at)
{
    const struct lot *found = NULL;
    double warmest = -INFINITY, last = -INFINITY;
    if (count_lots(scene, batch, &found) == 1)
        return found;
    for (size_t i = 0; i < scene->lots; i++) {
        const struct lot *lot = &scene->lot[i];
        if (lot->batch != batch)
            continue;
        double temp_c = temp_at(scene, lot, at), went = lot->stay[lot->stays - 1].from;
        if (temp_c > warmest || (warmest == -INFINITY && went > last)) {
            found = lot;
            warmest = isnan(temp_c) ? warmest : temp_c;
            last = went;
        }
    }
    return found;
}

/* --- deadlines --- */

/* What starts a clock, as far as it is known: an unknown end of milking is now at the earliest. */
static void clock_starts(const struct scene *scene, size_t batch, double start_at[CLOCK_STARTS])
{
    const struct morning *m = scene->morning;
    double first = m->batch[batch].poured_at;
    for (size_t i = 0; i < m->batches; i++)
        first = fmin(first, m->batch[i].poured_at);
    start_at[CLOCK_MILKING_START] = isnan(m->milking_start_at) ? first : m->milking_start_at;
    start_at[CLOCK_MILKING_END] = isnan(m->milking_end_at) ? fmax(m->now, first) : m->milking_end_at;
    start_at[CLOCK_COOLING_START] = m->batch[batch].poured_at;
}

static void set_deadlines(const struct scene *scene, size_t batch, struct outlook *out)
{
    double start_at[CLOCK_STARTS];
    const struct limit_set *limit = scene->morning->limit;
    clock_starts(scene, batch, start_at);
    for (size_t c = 0; limit != NULL && c < limit->clause_count; c++) {
        out->deadline_at[c] = limit_deadline(&limit->clause[c], start_at);
        out->deadline_moves[c] =
            limit->clause[c].from == CLOCK_MILKING_END && isnan(scene->morning->milking_end_at);
    }
}

/* --- samples --- */

static void insert_moment(struct outlook *out, double at, double from, double to)
{
    if (!(at >= from && at <= to))
        return;
    size_t n = out->count++;
    for (; n > 0 && out->at[n - 1] > at; n--)
        out->at[n] = out->at[n - 1];
    out->at[n] = at;
}

/* Steps that grow by a fixed share: 19 s at first over a scene of twelve hours, an hour and more at its end.
 * A trial makes do with half as many. */
static void choose_moments(const struct scene *scene, struct outlook *out, size_t clauses)
{
    int steps = scene->trial ? OUTLOOK_SAMPLES / 2 - 1 : OUTLOOK_SAMPLES - 1;
    double more = 1 + (scene->trial ? TRIAL_GROWTH : SAMPLE_GROWTH), power = 1, all = pow(more, steps) - 1;
    double from = out->lot->stay[0].from, length = scene->to - from;
    out->count = 0;
    for (int i = 0; i < steps; i++) {
        out->at[out->count++] = from + length * (power - 1) / all;
        power *= more;
    }
    out->at[out->count++] = scene->to;
    insert_moment(out, scene->morning->now, from, scene->to);
    for (size_t c = 0; c < clauses; c++)
        insert_moment(out, out->deadline_at[c], from, scene->to);
}

/* The part of a belief that has a say, as independent directions: columns of a Cholesky factor. */
struct directions {
    int which[UNKNOWNS];
    size_t count;
    double factor[UNKNOWNS][UNKNOWNS];
};

static void take_directions(const struct belief *belief, const bool say[UNKNOWNS], struct directions *out)
{
    out->count = 0;
    for (int u = 0; u < UNKNOWNS; u++)
        if (say[u] && u != U_LAG)
            out->which[out->count++] = u;
    for (size_t i = 0; i < out->count; i++)
        for (size_t j = 0; j < out->count; j++) {
            out->factor[i][j] = belief->cov[out->which[i]][out->which[j]];
            if (i == j && out->which[i] <= U_AIR)
                out->factor[i][j] += MODEL_SD * MODEL_SD;
        }
    cholesky(out->count, out->factor);
}

/* Standard deviations by following the lot one deviation to either side in each direction; in a trial to one
 * side. */
static void sample_spread(const struct scene *scene, struct outlook *out)
{
    const struct belief *belief = &scene->batch[out->lot->batch].belief;
    struct directions d = {.count = 0};
    double variance[OUTLOOK_MOMENTS] = {0}, above[OUTLOOK_MOMENTS], below[OUTLOOK_MOMENTS];
    take_directions(belief, out->say, &d);
    for (size_t j = 0; j < d.count; j++) {
        double plus[UNKNOWNS], minus[UNKNOWNS];
        memcpy(plus, belief->mean, sizeof plus);
        memcpy(minus, belief->mean, sizeof minus);
        for (size_t i = j; i < d.count; i++) {
            plus[d.which[i]] += d.factor[i][j];
            minus[d.which[i]] -= d.factor[i][j];
        }
        lot_temps(scene, out->lot, minus, out->at, out->count, below);
        if (!scene->trial)
            lot_temps(scene, out->lot, plus, out->at, out->count, above);
        for (size_t n = 0; n < out->count; n++) {
            double half = scene->trial ? out->mean_c[n] - below[n] : (above[n] - below[n]) / 2;
            variance[n] += half * half;
        }
    }
    for (size_t n = 0; n < out->count; n++)
        out->sd_k[n] = sqrt(variance[n]);
}

static double between(const struct outlook *o, const double *value, double at)
{
    size_t low = 0, high = o->count - 1;
    if (o->count == 0 || !(at >= o->at[0] && at <= o->at[high]))
        return NAN;
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (o->at[middle] <= at)
            low = middle;
        else
            high = middle;
    }
    double length = o->at[high] - o->at[low], share = length > 0 ? (at - o->at[low]) / length : 0;
    return share == 0 ? value[low] : value[low] + share * (value[high] - value[low]);
}

double outlook_mean_c(const struct outlook *outlook, double at)
{
    return between(outlook, outlook->mean_c, at);
}

double outlook_sd_k(const struct outlook *outlook, double at)
{
    return between(outlook, outlook->sd_k, at);
}

/* First moment at which mean + sds * sd is at or below the target. */
static double band_crossing(const struct outlook *o, double target_c, double sds)
{
    for (size_t n = 0; n < o->count; n++) {
        double here = o->mean_c[n] + sds * o->sd_k[n];
        if (!(here <= target_c))
            continue;
        if (n == 0)
            return o->at[0];
        double before = o->mean_c[n - 1] + sds * o->sd_k[n - 1];
        return o->at[n - 1] + (o->at[n] - o->at[n - 1]) * (before - target_c) / (before - here);
    }
    return NAN;
}

/* --- the limit --- */

static enum verdict verdict_of(double probability)
{
    return probability >= 0.95  ? VERDICT_WILL
           : probability >= 0.7 ? VERDICT_LIKELY
           : probability >= 0.1 ? VERDICT_DOUBTFUL
                                : VERDICT_WILL_NOT;
}

/* Probability that the milk is at or below the clause's temperature when its time is up; or was before,
 * should a warming tub have taken it up again: the surest moment counts. */
static void judge_clause(struct outlook *out, size_t c, double limit_c)
{
    double surest = INFINITY;
    out->over_k[c] = NAN;
    for (size_t n = 0; n < out->count && out->at[n] <= out->deadline_at[c]; n++) {
        double z = (out->mean_c[n] - limit_c) / fmax(1e-3, out->sd_k[n]);
        if (z > surest || isnan(z))
            continue;
        surest = z;
        out->over_k[c] = out->mean_c[n] - limit_c;
    }
    out->chance[c] = normal_probability(-surest);
}

static void judge_limit(const struct scene *scene, struct outlook *out)
{
    const struct limit_set *limit = scene->morning->limit;
    double now = scene->morning->now;
    bool all_met = true, missed = false;
    out->binds = -1;
    out->probability = NAN;
    out->verdict = VERDICT_NONE;
    for (size_t c = 0; limit != NULL && c < limit->clause_count; c++) {
        judge_clause(out, c, stated_temp_c(limit->clause[c].temp));
        if (out->binds < 0 || out->chance[c] < out->chance[out->binds] ||
            (out->chance[c] == out->chance[out->binds] && out->over_k[c] > out->over_k[out->binds]))
            out->binds = (int)c;
        all_met = all_met && out->to_clause[c].late_at <= now && out->to_clause[c].at <= out->deadline_at[c];
        missed = missed || (out->deadline_at[c] < now && out->chance[c] < 0.5);
    }
    if (out->binds < 0)
        return;
    out->probability = out->chance[out->binds];
    out->verdict = missed ? VERDICT_MISSED : all_met ? VERDICT_KEPT : verdict_of(out->probability);
}

static void find_crossings(const struct scene *scene, struct outlook *out)
{
    const struct limit_set *limit = scene->morning->limit;
    double target_c[MARKS + LIMIT_CLAUSES_MAX], at[MARKS + LIMIT_CLAUSES_MAX];
    size_t count = 0;
    for (int i = 0; i < MARKS; i++)
        target_c[count++] = temp_c_from_f(mark_f[i]);
    for (size_t c = 0; limit != NULL && c < limit->clause_count; c++)
        target_c[count++] = stated_temp_c(limit->clause[c].temp);
    lot_crossings(scene, out->lot, scene->batch[out->lot->batch].belief.mean, target_c, count, at);
    for (size_t i = 0; i < count; i++) {
        struct moment_band *band = i < MARKS ? &out->to_mark[i] : &out->to_clause[i - MARKS];
        band->at = at[i];
        band->early_at = fmin(band_crossing(out, target_c[i], -BAND_SDS), isnan(at[i]) ? INFINITY : at[i]);
        band->late_at = band_crossing(out, target_c[i], BAND_SDS);
        if (band->late_at < at[i])
            band->late_at = at[i];
        if (isinf(band->early_at))
            band->early_at = NAN;
    }
}

void outlook_follow(const struct scene *scene, const struct lot *lot, struct outlook *out)
{
    const struct limit_set *limit = scene->morning->limit;
    memset(out, 0, sizeof *out);
    out->lot = lot;
    set_deadlines(scene, lot->batch, out);
    choose_moments(scene, out, limit == NULL ? 0 : limit->clause_count);
    lot_unknowns(scene, lot, scene->to, out->say);
    lot_temps(scene, lot, scene->batch[lot->batch].belief.mean, out->at, out->count, out->mean_c);
    sample_spread(scene, out);
    find_crossings(scene, out);
    judge_limit(scene, out);
}

const struct lot *outlook_lot(const struct scene *scene, size_t batch)
{
    const struct limit_set *limit = scene->morning->limit;
    double start_at[CLOCK_STARTS], decide_at = scene->morning->now;
    clock_starts(scene, batch, start_at);
    for (size_t c = 0; limit != NULL && c < limit->clause_count; c++)
        decide_at = fmax(decide_at, limit_deadline(&limit->clause[c], start_at));
    return deciding_lot(scene, batch, fmin(decide_at, scene->to));
}
