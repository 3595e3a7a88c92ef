#include "core/cooling/forecast.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/quantity.h"
#include "core/cooling/advice_inside.h"
#include "core/cooling/learn_inside.h"
#include "core/cooling/outlook_inside.h"

#define READ_FRESH_S  120.0
#define CHART_AFTER_S 900.0
#define CHART_LEAST_S 1800.0
#define LOOK_BACK_S   60.0 /* nothing is asked of what comes after */

/* Everything that a forecast needs while it is made: an eighth of a megabyte, on the stack, with places for many more
 * batches than a morning has. Hardened builds set locals to zero; these are left as they are, since only the places of
 * batches that are there are filled and read. */
struct workroom {
    struct scene scene;
    struct belief prior[BATCHES_MAX];
    struct lesson lesson[BATCHES_MAX];
    struct outlook outlook[BATCHES_MAX];
};

/* --- learning --- */

static void learn_batch(struct workroom *room, size_t i, const struct belief *prior)
{
    learn(&room->scene, outlook_lot(&room->scene, i), prior, &room->lesson[i]);
}

/* What the other batches of the same kind showed this morning is believed of this one too, a little less
 * surely. */
static void learn_with_others(struct workroom *room, const struct evidence *evidence, size_t i)
{
    const struct morning *morning = room->scene.morning;
    struct belief prior = room->prior[i];
    for (size_t j = 0; j < morning->batches; j++)
        if (j != i && strcmp(morning->batch[j].kind->name, morning->batch[i].kind->name) == 0)
            belief_share(&prior, &evidence[j]);
    learn_batch(room, i, &prior);
}

static void believe(struct workroom *room)
{
    for (size_t i = 0; i < room->scene.morning->batches; i++)
        room->scene.batch[i].belief = room->lesson[i].belief;
    scene_run(&room->scene);
}

/* Each batch by itself first, then each with what the others showed; the tub is run anew between, since
 * better rates make a better tub. */
static void learn_all(struct workroom *room)
{
    const struct morning *morning = room->scene.morning;
    struct evidence evidence[BATCHES_MAX];
    size_t readings = 0;
    for (size_t i = 0; i < morning->batches; i++) {
        belief_prior(&room->scene, i, &room->prior[i]);
        room->scene.batch[i].belief = room->prior[i];
        readings += morning->batch[i].readings;
    }
    scene_run(&room->scene);
    for (size_t i = 0; i < morning->batches; i++) {
        learn_batch(room, i, &room->prior[i]);
        evidence[i] = room->lesson[i].evidence;
    }
    if (readings == 0)
        return;
    believe(room);
    for (size_t i = 0; i < morning->batches; i++)
        learn_with_others(room, evidence, i);
    believe(room);
}

/* --- one batch's results --- */

static void show_places(const struct scene *scene, size_t i, struct batch_forecast *out)
{
    for (size_t n = 0; n < scene->lots; n++) {
        const struct stay *stay = lot_stay(&scene->lot[n], scene->morning->now);
        if (scene->lot[n].batch == i && stay != NULL)
            out->jars_at[stay->place] += scene->lot[n].count;
    }
}

static bool is_wild(const struct lesson *lesson, double at)
{
    for (int i = 0; i < 4; i++)
        if (lesson->wild_at[i] == at)
            return true;
    return false;
}

static void show_now(const struct scene *scene, const struct outlook *o, const struct lesson *lesson,
                     size_t i, struct batch_forecast *out)
{
    const struct batch_facts *batch = &scene->morning->batch[i];
    double now = scene->morning->now, sd = outlook_sd_k(o, now);
    out->now_c = outlook_mean_c(o, now);
    out->now_low_c = out->now_c - BAND_SDS * sd;
    out->now_high_c = out->now_c + BAND_SDS * sd;
    for (size_t n = 0; n < batch->readings; n++) {
        const struct milk_reading *r = &batch->reading[n];
        if (r->at <= now && r->at > now - READ_FRESH_S)
            out->now_read = !is_wild(lesson, r->at);
    }
}

static void show_limit(const struct scene *scene, const struct outlook *o, struct batch_forecast *out)
{
    int c = o->binds;
    out->clause = c;
    out->verdict = o->verdict;
    out->probability = o->probability;
    out->to_50f = o->to_mark[0];
    out->to_45f = o->to_mark[1];
    out->to_40f = o->to_mark[2];
    out->to_limit = (struct moment_band){NAN, NAN, NAN};
    out->limit_c = out->deadline_at = out->in_hand_s = out->over_k = NAN;
    if (out->place == PLACE_GONE && out->verdict != VERDICT_KEPT)
        out->verdict = VERDICT_NONE;
    if (c < 0)
        return;
    out->limit_c = stated_temp_c(scene->morning->limit->clause[c].temp);
    out->deadline_at = o->deadline_at[c];
    out->deadline_moves = o->deadline_moves[c];
    out->to_limit = o->to_clause[c];
    out->in_hand_s = out->deadline_at - out->to_limit.at;
    out->over_k = o->over_k[c];
}

/* As the lot would fare if nobody took it out of the tub. */
static void show_pull(const struct scene *scene, const struct outlook *o, struct batch_forecast *out)
{
    double now = scene->morning->now;
    struct lot stays = *o->lot;
    struct outlook staying;
    struct pull pull = {NAN, NAN, NAN};
    while (stays.stays > 1 && stays.stay[stays.stays - 1].from > now)
        stays.stays--;
    stays.stay[stays.stays - 1].to = scene->to;
    if (stays.stay[stays.stays - 1].place == PLACE_TUB) {
        if (stays.stays == o->lot->stays) {
            pull_make(scene, o, &pull);
        } else {
            outlook_follow(scene, &stays, &staying);
            pull_make(scene, &staying, &pull);
        }
    }
    out->earliest_pull_at = pull.earliest_at;
    out->safe_pull_at = pull.safe_at;
    out->latest_pull_at = pull.latest_at;
}

static void chart_times(const struct morning *m, double from, double deadline, double *at)
{
    double to = fmax(m->now + CHART_LEAST_S, from + 2 * CHART_LEAST_S);
    if (deadline + CHART_AFTER_S > to)
        to = deadline + CHART_AFTER_S;
    from = isnan(m->chart_from) ? from : m->chart_from;
    to = isnan(m->chart_to) ? to : m->chart_to;
    for (int i = 0; i < CURVE_POINTS; i++)
        at[i] = from + (to - from) * i / (CURVE_POINTS - 1);
}

static void show_curve(const struct scene *scene, const struct outlook *o, size_t i,
                       struct batch_forecast *out)
{
    double at[CURVE_POINTS], temp_c[CURVE_POINTS];
    chart_times(scene->morning, o->lot->stay[0].from, out->deadline_at, at);
    lot_temps(scene, o->lot, scene->batch[i].belief.mean, at, CURVE_POINTS, temp_c);
    for (int n = 0; n < CURVE_POINTS; n++) {
        double sd = outlook_sd_k(o, at[n]);
        out->curve[n] =
            (struct curve_point){at[n], temp_c[n], temp_c[n] - BAND_SDS * sd, temp_c[n] + BAND_SDS * sd};
    }
}

static void show_learned(const struct workroom *room, size_t i, struct rate_belief *out)
{
    const struct lesson *lesson = &room->lesson[i];
    const struct scene_batch *batch = &room->scene.batch[i];
    int u = U_STILL + (int)lesson->stir;
    double model = batch->ln_k_full[lesson->stir];
    out->stir = lesson->stir;
    out->ln_k = model + lesson->belief.mean[u];
    out->sd = sqrt(lesson->belief.cov[u][u]);
    out->prior_ln_k = model + room->prior[i].mean[u];
    out->prior_sd = sqrt(room->prior[i].cov[u][u]);
    out->used = lesson->used;
    out->wild = lesson->wild;
    out->worth_keeping = lesson->evidence.known;
    memcpy(out->wild_at, lesson->wild_at, sizeof out->wild_at);
}

static void show_batch(const struct workroom *room, size_t i, struct batch_forecast *out)
{
    const struct scene *scene = &room->scene;
    const struct outlook *o = &room->outlook[i];
    const struct stay *stay = lot_stay(o->lot, scene->morning->now);
    memset(out, 0, sizeof *out);
    out->place = stay == NULL ? o->lot->stay[0].place : stay->place;
    show_places(scene, i, out);
    show_now(scene, o, &room->lesson[i], i, out);
    show_limit(scene, o, out);
    show_pull(scene, o, out);
    show_curve(scene, o, i, out);
    show_learned(room, i, &out->learned);
}

/* --- the tub's results --- */

static bool tub_read_lately(const struct morning *m)
{
    for (size_t i = 0; i < m->tub.acts; i++)
        if (m->tub.act[i].kind == TUB_READ && m->tub.act[i].at <= m->now &&
            m->tub.act[i].at > m->now - READ_FRESH_S)
            return true;
    return false;
}

/* The last moment at which a jar stands in the tub. */
static double tub_used_until(const struct scene *scene)
{
    double until = -INFINITY;
    for (size_t i = 0; i < scene->lots; i++)
        for (size_t s = 0; s < scene->lot[i].stays; s++)
            if (scene->lot[i].stay[s].place == PLACE_TUB)
                until = fmax(until, scene->lot[i].stay[s].to);
    return until;
}

static void show_warmest(const struct scene *scene, struct tub_forecast *out)
{
    double now = scene->morning->now, until = tub_used_until(scene);
    out->warmest_c = out->warmest_at = NAN;
    for (size_t i = 0; i < scene->tub_pieces; i++) {
        const struct piece *p = &scene->tub[i];
        if (p->to < now || p->from > until || p->around_c <= out->warmest_c)
            continue;
        out->warmest_c = p->around_c;
        out->warmest_at = fmax(now, (p->from + p->to) / 2);
    }
}

static void show_tub(const struct scene *scene, struct tub_forecast *out)
{
    const struct morning *m = scene->morning;
    const struct piece *piece = scene_tub_piece(scene, m->now);
    double at[CURVE_POINTS];
    out->known = m->tub.water_kg > 0;
    out->temp_c = piece == NULL ? NAN : piece->around_c;
    out->temp_read = tub_read_lately(m);
    out->ice_kg = out->known && scene->tub_started ? scene->tub_now.ice_kg : 0;
    out->ice_gone_at = scene->ice_gone_at;
    out->stir = piece == NULL ? m->tub.stir : piece->stir;
    show_warmest(scene, out);
    chart_times(m, scene->from, NAN, at);
    for (int i = 0; i < CURVE_POINTS; i++) {
        const struct piece *p = scene_tub_piece(scene, at[i]);
        double c = p == NULL ? NAN : p->around_c;
        out->curve[i] = (struct curve_point){at[i], c, c, c};
    }
}

/* --- the whole --- */

int forecast_make(const struct morning *morning, struct forecast *out, struct fail *f)
{
    struct workroom room __attribute__((uninitialized));
    if (morning_check(morning, f) != 0 ||
        scene_prepare(morning, morning->now + FORECAST_HORIZON_S, NULL, &room.scene, f) != 0)
        return -1;
    learn_all(&room);
    out->batches = morning->batches;
    for (size_t i = 0; i < morning->batches; i++) {
        outlook_follow(&room.scene, outlook_lot(&room.scene, i), &room.outlook[i]);
        show_batch(&room, i, &out->batch[i]);
    }
    show_tub(&room.scene, &out->tub);
    advice_make(&room.scene, room.outlook, out);
    return 0;
}

int forecast_rates(const struct morning *morning, struct rate_belief out[BATCHES_MAX], struct fail *f)
{
    struct workroom room __attribute__((uninitialized));
    if (morning_check(morning, f) != 0 ||
        scene_prepare(morning, morning->now + LOOK_BACK_S, NULL, &room.scene, f) != 0)
        return -1;
    learn_all(&room);
    for (size_t i = 0; i < morning->batches; i++)
        show_learned(&room, i, &out[i]);
    return 0;
}

bool rate_taught(const struct batch_facts *facts, const struct rate_belief *believed, struct learned_rate *out)
{
    double after = 1 / (believed->sd * believed->sd);
    double before = 1 / (believed->prior_sd * believed->prior_sd), own = after - before;
    if (!believed->worth_keeping || !(own > 0))
        return false;
    *out = (struct learned_rate){.stir = believed->stir, .sd = sqrt(1 / own)};
    out->ln_k = (believed->ln_k * after - believed->prior_ln_k * before) / own;
    (void)snprintf(out->kind, sizeof out->kind, "%s", facts->kind->name);
    return isfinite(out->ln_k);
}
