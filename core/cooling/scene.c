/* From the facts of a morning to a scene: defaults, laws, lots. */
#include "core/cooling/scene_inside.h"

#include <math.h>
#include <string.h>

#include "core/cooling/matter.h"
#include "core/cooling/tonight.h"

#define POURED_USUAL_C 35.0
#define ROOM_USUAL_C   15.0
#define FRIDGE_USUAL_C 4.0
#define FRIDGE_USUAL_W_K                                                                                     \
    15.0 /* a household refrigerator's reserve, about 100 W at 7 K: common practice, no source */
#define EXPONENT_TINY 1e-3
#define TUB_COLD_C    0.0 /* where the laws of water are worked out; their warm_per_k carries them further */

static double or_usual(double value, double usual)
{
    return isnan(value) ? usual : value;
}

/* --- laws --- */

static bool same_jar(const struct scene_batch *a, const struct jar_kind *ka, const struct scene_batch *b,
                     const struct jar_kind *kb)
{
    return ka == kb && a->volume_l == b->volume_l && a->fat_pct == b->fat_pct;
}

/* Laws are fitted for milk poured at its usual temperature, whatever this milk's was: all batches of a kind
 * share them, and the law carries them down to where cooler milk begins. */
static void work_out_law(const struct scene *scene, struct scene_batch *batch, const struct jar_kind *kind,
                         enum surrounding in)
{
    double around_c = in == IN_AIR ? scene->fridge_c : TUB_COLD_C;
    struct cooling_law *law = &batch->law[in], full;
    jar_law(kind, batch->volume_l, batch->fat_pct, in, POURED_USUAL_C, around_c, law);
    batch->law_known[in] = true;
    if (in == IN_AIR)
        return;
    full = *law;
    if (batch->volume_l != kind->volume_l)
        jar_law(kind, kind->volume_l, batch->fat_pct, in, POURED_USUAL_C, around_c, &full);
    batch->ln_k_full[in] = log(60 * full.k_per_s);
}

/* What the jars of this morning can stand in: the stirring now and planned, that of earlier mornings, and
 * air. */
static void surroundings_met(const struct morning *morning, bool met[SURROUNDINGS])
{
    for (int in = 0; in < SURROUNDINGS; in++)
        met[in] = in == IN_AIR;
    met[surrounding_of_stir(morning->tub.stir)] = true;
    for (size_t i = 0; i < morning->tub.acts; i++)
        if (morning->tub.act[i].kind == TUB_STIR)
            met[surrounding_of_stir(morning->tub.act[i].stir)] = true;
    for (size_t i = 0; i < morning->learned_count; i++)
        met[surrounding_of_stir(morning->learned[i].stir)] = true;
}

/* A batch of the same jar among the first `count` of a scene, or NULL. */
static const struct scene_batch *known_jar(const struct scene *scene, size_t count,
                                           const struct scene_batch *batch, const struct jar_kind *kind)
{
    for (size_t i = 0; i < count; i++)
        if (same_jar(batch, kind, &scene->batch[i], scene->morning->batch[i].kind))
            return &scene->batch[i];
    return NULL;
}

static void prepare_batch(struct scene *scene, const struct scene *before, const bool met[SURROUNDINGS],
                          size_t i)
{
    const struct batch_facts *facts = &scene->morning->batch[i];
    struct scene_batch *batch = &scene->batch[i];
    const struct scene_batch *known;
    batch->volume_l = facts->volume_l > 0 ? facts->volume_l : facts->kind->volume_l;
    batch->fat_pct = or_usual(facts->fat_pct, FAT_PCT_USUAL);
    batch->poured_c = or_usual(facts->poured_c, POURED_USUAL_C);
    known = known_jar(scene, i, batch, facts->kind);
    if (known == NULL && before != NULL)
        known = known_jar(before, before->morning->batches, batch, facts->kind);
    if (known != NULL) {
        double poured_c = batch->poured_c;
        *batch = *known;
        batch->poured_c = poured_c;
    } else {
        batch->capacity_j_per_k = jar_capacity_j_per_k(facts->kind, batch->volume_l, batch->fat_pct);
        memset(batch->law_known, 0, sizeof batch->law_known);
    }
    for (int in = 0; in < SURROUNDINGS; in++)
        if (met[in] && !batch->law_known[in])
            work_out_law(scene, batch, facts->kind, (enum surrounding)in);
}

/* Standard deviation of the power law's exponent: how a film weakens is known less well than how strong it
 * is, least so in still water. Judgements. */
static const double shape_sd[SURROUNDINGS] = {0.08, 0.04, 0.05, 0};

struct cooling_law scene_law(const struct scene_batch *batch, enum place place, enum stir stir,
                             const double *unknown)
{
    enum surrounding in = place == PLACE_TUB ? surrounding_of_stir(stir) : IN_AIR;
    struct cooling_law law = batch->law[in];
    law.k_per_s *= exp(unknown[place == PLACE_TUB ? (int)U_STILL + (int)stir : (int)U_AIR]);
    law.exponent += shape_sd[in] * unknown[U_SHAPE];
    if (law.exponent < EXPONENT_TINY)
        law.exponent = 0;
    return law;
}

/* --- lots --- */

static struct stay *last_stay(struct lot *lot)
{
    return &lot->stay[lot->stays - 1];
}

static int move_lot(struct scene *scene, struct lot *lot, const struct jar_move *move)
{
    struct stay *stay = last_stay(lot);
    stay->to = move->at;
    lot->stay[lot->stays++] = (struct stay){move->at, scene->to, move->to};
    return lot->count;
}

/* Moves the jars of one move; lots that go only in part are split. */
static int move_jars(struct scene *scene, size_t batch, const struct jar_move *move, struct fail *f)
{
    int standing = 0;
    size_t lots = scene->lots; /* those split off below have moved already */
    for (size_t i = 0; i < lots; i++)
        if (scene->lot[i].batch == batch && last_stay(&scene->lot[i])->place == move->from)
            standing += scene->lot[i].count;
    if (move->count < 0 || move->count > standing || (move->count == 0 && standing == 0))
        return fail_refused(f, "%d of the jars are to leave the %s, but %d stand there.", move->count,
                            place_word(move->from), standing);
    int left = move->count == 0 ? standing : move->count;
    for (size_t i = 0; i < lots && left > 0; i++) {
        struct lot *lot = &scene->lot[i];
        if (lot->batch != batch || last_stay(lot)->place != move->from)
            continue;
        if (lot->count > left) {
            if (scene->lots == SCENE_LOTS_MAX)
                return fail_refused(f, "There are more than %d groups of jars to follow.", SCENE_LOTS_MAX);
            struct lot *stays = &scene->lot[scene->lots++];
            *stays = *lot;
            stays->count -= left;
            lot->count = left;
        }
        left -= move_lot(scene, lot, move);
    }
    return 0;
}

static int sort_lots(struct scene *scene, struct fail *f)
{
    scene->lots = 0;
    for (size_t i = 0; i < scene->morning->batches; i++) {
        const struct batch_facts *batch = &scene->morning->batch[i];
        if (scene->lots == SCENE_LOTS_MAX)
            return fail_refused(f, "There are more than %d groups of jars to follow.", SCENE_LOTS_MAX);
        scene->lot[scene->lots++] = (struct lot){.batch = i,
                                                 .count = batch->count,
                                                 .stay = {{batch->poured_at, scene->to, batch->first}},
                                                 .stays = 1};
        for (size_t m = 0; m < batch->moves; m++)
            if (batch->move[m].from != batch->move[m].to && move_jars(scene, i, &batch->move[m], f) != 0)
                return -1;
    }
    return 0;
}

const struct stay *lot_stay(const struct lot *lot, double at)
{
    const struct stay *found = NULL;
    for (size_t i = 0; i < lot->stays && lot->stay[i].from <= at; i++)
        found = &lot->stay[i];
    return found;
}

/* --- the whole --- */

static double scene_start(const struct morning *morning)
{
    double from = isnan(morning->tub.start_at) ? morning->now : fmin(morning->now, morning->tub.start_at);
    for (size_t i = 0; i < morning->batches; i++)
        from = fmin(from, morning->batch[i].poured_at);
    return from;
}

int scene_prepare(const struct morning *morning, double to, const struct scene *before, struct scene *scene,
                  struct fail *f)
{
    bool met[SURROUNDINGS];
    scene->morning = morning;
    scene->from = scene_start(morning);
    scene->to = to;
    scene->trial = before != NULL;
    scene->room_c = or_usual(morning->room_c, ROOM_USUAL_C);
    scene->fridge_c = or_usual(morning->fridge_c, FRIDGE_USUAL_C);
    scene->fridge_w_per_k = or_usual(morning->fridge_w_per_k, FRIDGE_USUAL_W_K);
    surroundings_met(morning, met);
    for (size_t i = 0; i < morning->batches; i++)
        prepare_batch(scene, before, met, i);
    return sort_lots(scene, f);
}
