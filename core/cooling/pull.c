/* How early a batch may come out of the tub, and from when on staying gains nothing. */
#include <assert.h>
#include <math.h>

#include "core/cooling/outlook_inside.h"

/* Where a lot in the tub would go: the table for a while, then the refrigerator, warmed a little by these
 * very jars. */
struct way_out {
    const struct scene *scene;
    const struct outlook *stays;
    struct cooling_law table, fridge;
    double table_s, fridge_c, air_sd, fridge_sd_k;
};

static void way_out_of(const struct scene *scene, const struct outlook *stays, struct way_out *out)
{
    const struct scene_batch *batch = &scene->batch[stays->lot->batch];
    const struct belief *belief = &batch->belief;
    *out = (struct way_out){.scene = scene,
                            .stays = stays,
                            .table = scene_law(batch, PLACE_TABLE, STIR_STILL, belief->mean),
                            .fridge = scene_law(batch, PLACE_FRIDGE, STIR_STILL, belief->mean),
                            .table_s = fmax(0, scene->morning->table_s),
                            .fridge_c = scene->fridge_c + belief->mean[U_FRIDGE],
                            .air_sd = sqrt(belief->cov[U_AIR][U_AIR] + MODEL_SD * MODEL_SD),
                            .fridge_sd_k = sqrt(belief->cov[U_FRIDGE][U_FRIDGE])};
    double ua = stays->lot->count * batch->capacity_j_per_k * out->fridge.k_per_s;
    out->fridge.k_per_s *= fridge_factor(scene, ua);
}

/* Temperature `seconds` after a pull at temp_c, air's rate and refrigerator's temperature moved. */
static double after_pull(const struct way_out *way, double temp_c, double seconds, double air,
                         double warmer_k)
{
    struct cooling_law table = way->table, fridge = way->fridge;
    double out_s = fmin(seconds, way->table_s);
    if (air != 0) {
        table.k_per_s *= exp(air);
        fridge.k_per_s *= exp(air);
    }
    temp_c = law_temp(&table, temp_c, way->scene->room_c, out_s);
    return law_temp(&fridge, temp_c, way->fridge_c + warmer_k, seconds - out_s);
}

/* Temperature after a pull, `sds` standard deviations to the warm side. */
static double after_pull_at(const struct way_out *way, double pull_at, double at, double sds)
{
    double temp_c = outlook_mean_c(way->stays, pull_at), sd = outlook_sd_k(way->stays, pull_at),
           s = at - pull_at;
    double mean = after_pull(way, temp_c, s, 0, 0);
    if (sds == 0)
        return mean;
    double by_temp = after_pull(way, temp_c + sd, s, 0, 0) - mean;
    double by_air = after_pull(way, temp_c, s, -way->air_sd, 0) - mean;
    double by_fridge = after_pull(way, temp_c, s, 0, way->fridge_sd_k) - mean;
    return mean + sds * sqrt(by_temp * by_temp + by_air * by_air + by_fridge * by_fridge);
}

/* Does a pull then keep every clause, with that many standard deviations to spare? */
static bool pull_keeps(const struct way_out *way, double pull_at, double sds)
{
    const struct limit_set *limit = way->scene->morning->limit;
    assert(limit != NULL);
    for (size_t c = 0; c < limit->clause_count; c++) {
        const struct outlook *stays = way->stays;
        double deadline = stays->deadline_at[c],
               met = sds == 0 ? stays->to_clause[c].at : stays->to_clause[c].late_at;
        if (met <= fmin(pull_at, deadline))
            continue;
        if (deadline <= pull_at ||
            !(after_pull_at(way, pull_at, deadline, sds) <= stated_temp_c(limit->clause[c].temp)))
            return false;
    }
    return true;
}

/* Staying longer in a tub that is colder than the refrigerator's pace only helps, so one moment divides what
 * is too early from what will do. */
static double earliest_pull(const struct way_out *way, double from, double to, double sds)
{
    if (pull_keeps(way, from, sds))
        return from;
    if (!(to > from) || !pull_keeps(way, to, sds))
        return NAN;
    while (to - from > 0.5) {
        double middle = (from + to) / 2;
        if (pull_keeps(way, middle, sds))
            to = middle;
        else
            from = middle;
    }
    return to;
}

/* By how much faster the tub cools than the refrigerator would, in K/s, between two samples; nothing once the
 * milk is as cold as the refrigerator keeps it. */
static double tub_gain(const struct way_out *way, size_t n)
{
    const struct outlook *o = way->stays;
    double step = o->at[n + 1] - o->at[n], temp_c = (o->mean_c[n] + o->mean_c[n + 1]) / 2;
    double apart = temp_c - way->fridge_c;
    return apart <= 0 ? 0
                      : (o->mean_c[n] - o->mean_c[n + 1]) / step -
                            law_rate(&way->fridge, apart, way->fridge_c) * apart;
}

static double latest_pull(const struct way_out *way, double now)
{
    const struct outlook *o = way->stays;
    double before = NAN, before_at = now;
    for (size_t n = 0; n + 1 < o->count; n++) {
        double middle = (o->at[n] + o->at[n + 1]) / 2;
        if (o->at[n] < now || o->at[n + 1] <= o->at[n])
            continue;
        double gain = tub_gain(way, n);
        if (gain <= 0 && isnan(before))
            return now;
        if (gain <= 0)
            return before_at + (middle - before_at) * before / (before - gain);
        before = gain;
        before_at = middle;
    }
    return NAN;
}

void pull_make(const struct scene *scene, const struct outlook *stays, struct pull *out)
{
    const struct limit_set *limit = scene->morning->limit;
    struct way_out way;
    double now = scene->morning->now, last = -INFINITY;
    *out = (struct pull){NAN, NAN, NAN};
    way_out_of(scene, stays, &way);
    out->latest_at = latest_pull(&way, fmax(now, stays->lot->stay[0].from));
    for (size_t c = 0; limit != NULL && c < limit->clause_count; c++)
        last = fmax(last, fmin(stays->deadline_at[c], scene->to));
    if (isinf(last))
        return;
    double from = fmax(now, stays->lot->stay[0].from);
    out->earliest_at = earliest_pull(&way, from, last, 0);
    out->safe_at = earliest_pull(&way, from, last, BAND_SDS);
}
