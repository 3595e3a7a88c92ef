/* Each remedy is a morning with one thing changed, run again from the beginning and judged like the first:
 * the times it would give are its own. */
#include "core/cooling/advice_inside.h"

#include <math.h>
#include <string.h>

#include "core/base/quantity.h"
#include "core/cooling/matter.h"
#include "core/cooling/tonight.h"

#define ICE_STEP_KG   0.5 /* ice is fetched by the scoop */
#define ICE_MOST_KG   30.0
#define WARM_MORE_K   2.0 /* a refill pays when the tub is warmer than the tap by this */
#define TRIAL_MORE_S  3600.0
#define SMALLER_SHARE 0.55 /* a smaller jar holds at most this share */

/* Room for a second morning and its scene. */
struct advice_room {
    struct morning morning;
    struct scene scene;
};

struct trial {
    const struct scene *before;
    const struct outlook *outlook; /* of the batches before */
    struct advice_room *room;
    struct advice advice;
    size_t renamed[BATCHES_MAX]; /* batch before -> batch in the trial */
};

static bool in_need(const struct outlook *o)
{
    return o->verdict == VERDICT_LIKELY || o->verdict == VERDICT_DOUBTFUL || o->verdict == VERDICT_WILL_NOT;
}

static enum place place_now(const struct outlook *o, double now)
{
    const struct stay *stay = lot_stay(o->lot, now);
    return stay == NULL ? PLACE_GONE : stay->place;
}

/* --- changing the morning --- */

static void drop_plans(struct batch_facts *batch, double now)
{
    while (batch->moves > 0 && batch->move[batch->moves - 1].at > now)
        batch->moves--;
}

static bool add_move(struct batch_facts *batch, struct jar_move move)
{
    if (batch->moves == BATCH_MOVES_MAX)
        return false;
    batch->move[batch->moves++] = move;
    return true;
}

static bool add_act(struct tub_facts *tub, struct tub_act act)
{
    size_t n = tub->acts;
    if (n == TUB_ACTS_MAX)
        return false;
    for (; n > 0 && tub->act[n - 1].at > act.at; n--)
        tub->act[n] = tub->act[n - 1];
    tub->act[n] = act;
    tub->acts++;
    return true;
}

/* All jars in need stay in the tub, or go back into it. False if nothing changes by that. */
static bool into_tub(struct trial *t)
{
    struct morning *m = &t->room->morning;
    bool changed = false;
    for (size_t i = 0; i < t->before->morning->batches; i++) {
        struct batch_facts *batch = &m->batch[i];
        if (!in_need(&t->outlook[i]))
            continue;
        size_t planned = batch->moves;
        drop_plans(batch, m->now);
        changed = changed || batch->moves < planned;
        for (int place = PLACE_TABLE; place <= PLACE_FRIDGE; place++) {
            bool there = false;
            for (size_t n = 0; n < t->before->lots; n++) {
                const struct stay *stay = lot_stay(&t->before->lot[n], m->now);
                there = there ||
                        (t->before->lot[n].batch == i && stay != NULL && stay->place == (enum place)place);
            }
            changed =
                there ? add_move(batch, (struct jar_move){m->now, 0, (enum place)place, PLACE_TUB}) : changed;
        }
    }
    return changed;
}

static bool stir_now(struct trial *t, enum stir stir)
{
    return add_act(&t->room->morning.tub,
                   (struct tub_act){.at = t->room->morning.now, .kind = TUB_STIR, .stir = stir});
}

static enum stir stir_at(const struct scene *scene, double at)
{
    const struct piece *piece = scene_tub_piece(scene, at);
    return piece == NULL ? scene->morning->tub.stir : piece->stir;
}

/* Ice that takes up what the water holds now and what jars and room will give until the last deadline, over
 * what is there; in whole scoops. */
static double ice_wanted(const struct trial *t)
{
    const struct scene *scene = t->before;
    const struct tub *tub = &scene->tub_now;
    double now = scene->morning->now, last = now,
           kj = tub->water_kg * tub->constants.water_j_per_kgk * tub->water_c / 1000;
    for (size_t i = 0; i < scene->morning->batches; i++) {
        const struct outlook *o = &t->outlook[i];
        const struct scene_batch *batch = &scene->batch[i];
        if (o->binds >= 0)
            last = fmax(last, o->deadline_at[o->binds]);
        if (in_need(o) || place_now(o, now) == PLACE_TUB)
            kj += scene->morning->batch[i].count * batch->capacity_j_per_k * fmax(0, outlook_mean_c(o, now)) /
                  1000;
    }
    kj += fmax(0, tub->room_w_per_k * scene->room_c * (last - now)) / 1000;
    double kg = ice_for_heat(kj, 0) - tub->ice_kg;
    return fmin(ICE_MOST_KG, ceil(kg / ICE_STEP_KG) * ICE_STEP_KG);
}

static bool more_ice(struct trial *t)
{
    struct morning *m = &t->room->morning;
    t->advice.amount_kg = ice_wanted(t);
    return t->before->tub_started && m->tub.water_kg > 0 && t->advice.amount_kg > 0 &&
           add_act(&m->tub,
                   (struct tub_act){
                       .at = m->now, .kind = TUB_ADD_ICE, .mass_kg = t->advice.amount_kg, .temp_c = 0});
}

static bool refill(struct trial *t)
{
    struct morning *m = &t->room->morning;
    const struct tub *tub = &t->before->tub_now;
    t->advice.amount_kg = tub->water_kg;
    if (!t->before->tub_started || !(m->tub.water_kg > 0) || tub->water_c < m->tub.water_c + WARM_MORE_K)
        return false;
    return add_act(&m->tub, (struct tub_act){.at = m->now, .kind = TUB_DRAIN, .mass_kg = tub->water_kg}) &&
           add_act(&m->tub,
                   (struct tub_act){
                       .at = m->now, .kind = TUB_FILL, .mass_kg = tub->water_kg, .temp_c = m->tub.water_c});
}

/* A jar takes a little above its mark: two quarts a half gallon, however their litres were rounded. */
static int jars_for(double milk_l, const struct jar_kind *kind)
{
    int count = (int)ceil(milk_l / kind->volume_l / 1.01);
    return count < 1 ? 1 : count;
}

/* The largest kind that is small enough to make a difference and of which there are enough clean ones; those are taken.
 * `milk_l`: of the batch; each of its jars of that kind holds each_l. */
static const struct jar_kind *smaller_kind(struct morning *m, const struct jar_kind *kind, double each_l, double milk_l)
{
    const struct jar_kind *found = NULL;
    size_t at = 0;
    for (size_t i = 0; m->jars != NULL && i < m->jars->count; i++) {
        const struct jar_kind *k = &m->jars->kind[i];
        bool enough = !m->jars_counted || m->jars_clean[i] >= jars_for(milk_l, k);
        if (k->material == kind->material && k->volume_l <= SMALLER_SHARE * each_l && enough &&
            (found == NULL || k->volume_l > found->volume_l)) {
            found = k;
            at = i;
        }
    }
    if (found != NULL)
        m->jars_clean[at] -= jars_for(milk_l, found);
    return found;
}

/* The milk of one batch goes into smaller jars and into the tub: the old jars are gone, a new batch is poured
 * now. */
static bool split_batch(struct trial *t, size_t i)
{
    struct morning *m = &t->room->morning;
    struct batch_facts *old = &m->batch[i];
    const struct outlook *o = &t->outlook[i];
    double volume_l = 0;
    for (size_t n = 0; n < t->before->lots; n++) {
        const struct lot *lot = &t->before->lot[n];
        const struct stay *stay = lot_stay(lot, m->now);
        if (lot->batch != i || stay == NULL || stay->place == PLACE_GONE)
            continue;
        volume_l += lot->count * t->before->batch[i].volume_l;
    }
    if (m->batches == BATCHES_MAX || !(outlook_mean_c(o, m->now) > 0))
        return false;
    const struct jar_kind *into = smaller_kind(m, old->kind, t->before->batch[i].volume_l, volume_l);
    if (into == NULL)
        return false;
    drop_plans(old, m->now);
    for (int place = PLACE_TUB; place <= PLACE_FRIDGE; place++)
        for (size_t n = 0; n < t->before->lots; n++) {
            const struct stay *stay = lot_stay(&t->before->lot[n], m->now);
            if (t->before->lot[n].batch == i && stay != NULL && stay->place == (enum place)place) {
                if (!add_move(old, (struct jar_move){m->now, 0, (enum place)place, PLACE_GONE}))
                    return false;
                break;
            }
        }
    struct batch_facts *fresh = &m->batch[m->batches];
    batch_init(fresh, into, jars_for(volume_l, into), m->now, outlook_mean_c(o, m->now));
    fresh->volume_l = volume_l / fresh->count;
    fresh->fat_pct = old->fat_pct;
    t->renamed[i] = m->batches++;
    t->advice.into = into;
    t->advice.into_count += fresh->count;
    return true;
}

static bool split_all(struct trial *t)
{
    bool changed = false;
    for (size_t i = 0; i < t->before->morning->batches; i++)
        if (in_need(&t->outlook[i]))
            changed = split_batch(t, i) || changed;
    return changed;
}

/* The change that a remedy makes; false when it does not apply. */
static bool apply(struct trial *t)
{
    double now = t->before->morning->now;
    enum stir stir = stir_at(t->before, now);
    bool planned = false, out = false;
    for (size_t i = 0; i < t->before->morning->batches; i++) {
        enum place place = place_now(&t->outlook[i], now);
        bool need = in_need(&t->outlook[i]);
        out = out || (need && (place == PLACE_TABLE || place == PLACE_FRIDGE));
        planned = planned || (need && place == PLACE_TUB &&
                              t->outlook[i].lot->stay[t->outlook[i].lot->stays - 1].from > now);
    }
    t->advice.back = out && t->advice.remedy != REMEDY_SPLIT;
    switch (t->advice.remedy) {
    case REMEDY_LEAVE_IN: return planned && !out && into_tub(t);
    case REMEDY_PUT_BACK: return out && into_tub(t);
    case REMEDY_WATER: (void)into_tub(t); return stir == STIR_STILL && stir_now(t, STIR_WATER);
    case REMEDY_SWIRL: (void)into_tub(t); return stir != STIR_BOTH && stir_now(t, STIR_BOTH);
    case REMEDY_ICE: (void)into_tub(t); return more_ice(t);
    case REMEDY_REFILL: (void)into_tub(t); return refill(t);
    case REMEDY_SPLIT: return split_all(t);
    case REMEDIES: break;
    }
    return false;
}

/* --- running it --- */

/* A little past the last deadline is as far as a remedy has to be followed. */
static double trial_end(const struct trial *t)
{
    double end = t->before->morning->now;
    for (size_t i = 0; i < t->before->morning->batches; i++)
        if (in_need(&t->outlook[i]))
            end = fmax(end, t->outlook[i].deadline_at[t->outlook[i].binds]);
    return fmin(t->before->to, end + TRIAL_MORE_S);
}

/* Laws of batches that are as they were are taken over with their beliefs; a new batch believes what the old
 * one did about the tub, less surely. */
static bool run_trial(struct trial *t)
{
    struct scene *scene = &t->room->scene;
    const struct scene *before = t->before;
    if (scene_prepare(&t->room->morning, trial_end(t), before, scene, NULL) != 0)
        return false;
    for (size_t i = 0; i < before->morning->batches; i++) {
        struct belief *belief = &scene->batch[t->renamed[i]].belief;
        *belief = before->batch[i].belief;
        if (t->renamed[i] == i)
            continue;
        double sd = outlook_sd_k(&t->outlook[i], before->morning->now);
        belief->mean[U_START] = 0;
        for (int u = 0; u < UNKNOWNS; u++)
            belief->cov[U_START][u] = belief->cov[u][U_START] = 0;
        belief->cov[U_START][U_START] = sd * sd;
        scene->batch[i].belief = before->batch[i].belief;
    }
    scene_run(scene);
    return true;
}

/* The batch in need that the remedy leaves warmest above its limit when time is up; a single temperature of
 * each tells. */
static size_t worst_off(const struct trial *t)
{
    const struct scene *scene = &t->room->scene;
    size_t worst = 0;
    double most = -INFINITY;
    for (size_t i = 0; i < t->before->morning->batches; i++) {
        const struct outlook *was = &t->outlook[i];
        if (!in_need(was))
            continue;
        const struct lot *lot = outlook_lot(scene, t->renamed[i]);
        double temp_c, limit_c = stated_temp_c(scene->morning->limit->clause[was->binds].temp);
        lot_temps(scene, lot, scene->batch[lot->batch].belief.mean, &was->deadline_at[was->binds], 1,
                  &temp_c);
        if (temp_c - limit_c > most) {
            most = temp_c - limit_c;
            worst = i;
        }
    }
    return worst;
}

/* The batch that the remedy leaves worst off says what it is worth. False if that one is met no sooner. */
static bool judge_trial(struct trial *t)
{
    const struct scene *scene = &t->room->scene;
    size_t i = worst_off(t);
    const struct outlook *was = &t->outlook[i];
    struct outlook now;
    struct pull pull;
    outlook_follow(scene, outlook_lot(scene, t->renamed[i]), &now);
    pull_make(scene, &now, &pull);
    double before_at = was->to_clause[now.binds].at, at = now.to_clause[now.binds].at;
    t->advice.batch = (int)i;
    t->advice.to_limit = now.to_clause[now.binds];
    t->advice.verdict = now.verdict;
    t->advice.probability = now.probability;
    t->advice.over_k = now.over_k[now.binds];
    t->advice.safe_pull_at = pull.safe_at;
    t->advice.gain_s = isnan(at) ? 0 : isnan(before_at) ? INFINITY : before_at - at;
    return t->advice.gain_s > 0;
}

/* --- ranking --- */

/* Work that a remedy asks for, least first. */
static int work_of(enum remedy remedy)
{
    static const int work[REMEDIES] = {
        [REMEDY_LEAVE_IN] = 0, [REMEDY_PUT_BACK] = 1, [REMEDY_WATER] = 2, [REMEDY_ICE] = 3,
        [REMEDY_SWIRL] = 4,    [REMEDY_REFILL] = 5,   [REMEDY_SPLIT] = 6,
    };
    return work[remedy];
}

/* Surer first, by the word; then sooner; then less work. */
static bool better(const struct advice *a, const struct advice *b)
{
    if (a->verdict != b->verdict)
        return a->verdict < b->verdict;
    bool a_met = !isnan(a->to_limit.at), b_met = !isnan(b->to_limit.at);
    if (a_met != b_met)
        return a_met;
    if (a_met && fabs(a->to_limit.at - b->to_limit.at) > 30)
        return a->to_limit.at < b->to_limit.at;
    return work_of(a->remedy) < work_of(b->remedy);
}

static void rank(struct forecast *out, const struct advice *advice)
{
    size_t n = out->advice_count++;
    for (; n > 0 && better(advice, &out->advice[n - 1]); n--)
        out->advice[n] = out->advice[n - 1];
    out->advice[n] = *advice;
}

static int least_work(const struct forecast *out)
{
    int least = -1;
    for (size_t i = 0; i < out->advice_count; i++)
        if (out->advice[i].verdict <= VERDICT_WILL &&
            (least < 0 || work_of(out->advice[i].remedy) < work_of(out->advice[least].remedy)))
            least = (int)i;
    return least;
}

/* A tenth of a megabyte: a function of its own, so that a morning on which all is well does not touch it. Only what is
 * filled is read; hardened builds would set it all to zero. */
static __attribute__((noinline)) void try_remedies(const struct scene *scene, const struct outlook *outlook,
                                                   struct forecast *out)
{
    struct advice_room room __attribute__((uninitialized));
    for (int r = 0; r < REMEDIES; r++) {
        struct trial t = {
            .before = scene, .outlook = outlook, .room = &room, .advice = {.remedy = (enum remedy)r}};
        for (size_t i = 0; i < BATCHES_MAX; i++)
            t.renamed[i] = i;
        room.morning = *scene->morning;
        if (apply(&t) && run_trial(&t) && judge_trial(&t))
            rank(out, &t.advice);
    }
}

void advice_make(const struct scene *scene, const struct outlook *outlook, struct forecast *out)
{
    bool need = false;
    out->advice_count = 0;
    out->cheapest = -1;
    for (size_t i = 0; i < scene->morning->batches; i++)
        need = need || in_need(&outlook[i]);
    if (need)
        try_remedies(scene, outlook, out);
    out->cheapest = least_work(out);
}
