/* The timeline: all lots together in tub, table and refrigerator, from act to act. */
#include <math.h>

#include "core/cooling/matter.h"
#include "core/cooling/scene_inside.h"
#include "core/cooling/tonight.h"

#define TUB_UNREAD_C     0.5  /* a tub of which nothing is known but that jars are put into it to chill */
#define TUB_TOLERANCE_K  1e-4 /* of the integrator: far below what any band makes of it */
#define TUB_PIECE_K      0.25 /* the water changes by at most this much in a piece */
#define TUB_PIECE_S      1200.0
#define TUB_PARTS_MOST   40.0  /* of one span: twelve hours in steps of 20 min */
#define FRIDGE_STEP_S    120.0 /* first step after something changed in the refrigerator */
#define FRIDGE_STEP_MOST 1800.0
#define FRIDGE_RISE_K    0.02 /* a rise that is not worth following */
#define ICE_BESIDE_C                                                                                         \
    5.0 /* water as warm as this among the jars has no ice left in it: common practice, no source */
#define WATER_LEAST_KG 0.2 /* what clings to a drained tub */

/* The state that runs along. */
struct run {
    struct scene *scene;
    double now;
    struct tub tub;
    bool known, started;
    double start_at;
    enum stir stir;
    double unknown_c; /* of a tub of which only readings are known */
    size_t next_act;
    double temp_c[SCENE_LOTS_MAX];
    size_t in_tub[TUB_LOTS_MAX]; /* tub.lot -> lot */
    double advance_from;
};

static const double *beliefs(const struct scene *scene, const struct lot *lot)
{
    return scene->batch[lot->batch].belief.mean;
}

/* --- pieces --- */

static void add_piece(struct piece *list, size_t *count, size_t most, struct piece piece)
{
    if (*count < most)
        list[(*count)++] = piece;
    else /* the last piece stands for all that follows */
        list[most - 1].to = piece.to;
}

static void watch_tub(void *context, const struct tub_span *span)
{
    struct run *run = context;
    struct scene *scene = run->scene;
    double from_c = tub_span_water_c(span, span->from_s), to_c = tub_span_water_c(span, span->to_s);
    double length = span->to_s - span->from_s;
    double wanted = span->icy ? 1 : ceil(fmax(fabs(to_c - from_c) / TUB_PIECE_K, length / TUB_PIECE_S));
    int parts = (int)fmin(wanted, TUB_PARTS_MOST);
    for (int i = 0; i < parts; i++) {
        double a = span->from_s + length * i / parts, b = span->from_s + length * (i + 1) / parts;
        double middle_c = tub_span_water_c(span, (a + b) / 2);
        add_piece(scene->tub, &scene->tub_pieces, TUB_PIECES_MAX,
                  (struct piece){run->advance_from + a, run->advance_from + b, middle_c, run->stir});
    }
    if (span->icy && span->before->ice_kg > 0 && tub_span_ice_kg(span, span->to_s) <= 1e-9)
        scene->ice_gone_at = run->advance_from + span->to_s;
}

/* --- one place each --- */

static void advance_tub(struct run *run, double to)
{
    struct scene *scene = run->scene;
    if (!run->started)
        return;
    run->tub.lots = 0;
    for (size_t i = 0; i < scene->lots; i++) {
        const struct lot *lot = &scene->lot[i];
        const struct stay *stay = lot_stay(lot, run->now);
        const struct scene_batch *batch = &scene->batch[lot->batch];
        if (stay == NULL || stay->place != PLACE_TUB || run->tub.lots == TUB_LOTS_MAX)
            continue;
        run->in_tub[run->tub.lots] = i;
        run->tub.lot[run->tub.lots++] =
            (struct tub_lot){lot->count * batch->capacity_j_per_k, run->temp_c[i],
                             scene_law(batch, PLACE_TUB, run->stir, beliefs(scene, lot))};
    }
    run->advance_from = run->now;
    if (run->known) {
        tub_advance(&run->tub, to - run->now, watch_tub, run);
    } else {
        add_piece(scene->tub, &scene->tub_pieces, TUB_PIECES_MAX,
                  (struct piece){run->now, to, run->unknown_c, run->stir});
        for (size_t n = 0; n < run->tub.lots; n++)
            run->tub.lot[n].temp_c =
                law_temp(&run->tub.lot[n].law, run->tub.lot[n].temp_c, run->unknown_c, to - run->now);
    }
    for (size_t n = 0; n < run->tub.lots; n++)
        run->temp_c[run->in_tub[n]] = run->tub.lot[n].temp_c;
}

static void advance_table(struct run *run, double to)
{
    const struct scene *scene = run->scene;
    for (size_t i = 0; i < scene->lots; i++) {
        const struct lot *lot = &scene->lot[i];
        const struct stay *stay = lot_stay(lot, run->now);
        if (stay == NULL || stay->place != PLACE_TABLE)
            continue;
        struct cooling_law law =
            scene_law(&scene->batch[lot->batch], PLACE_TABLE, STIR_STILL, beliefs(scene, lot));
        run->temp_c[i] = law_temp(&law, run->temp_c[i], scene->room_c, to - run->now);
    }
}

/* The refrigerator's air with jars at those temperatures, when they have not moved far from `around_c`: what
 * they give off is what it takes out. */
static double fridge_air(const struct scene *scene, const size_t *in, size_t count,
                         const struct cooling_law *law, const double *temp_c, double around_c)
{
    double heat = scene->fridge_w_per_k * scene->fridge_c, sum = scene->fridge_w_per_k;
    for (size_t n = 0; n < count; n++) {
        const struct lot *lot = &scene->lot[in[n]];
        double ua = lot->count * scene->batch[lot->batch].capacity_j_per_k *
                    law_rate(&law[n], temp_c[n] - around_c, around_c);
        heat += ua * temp_c[n];
        sum += ua;
    }
    return heat / sum;
}

/* One step at the mean of the air at its two ends. */
static void step_fridge(struct run *run, const size_t *in, size_t count, const struct cooling_law *law,
                        double now, double step)
{
    struct scene *scene = run->scene;
    double start_c[SCENE_LOTS_MAX], end_c[SCENE_LOTS_MAX];
    for (size_t n = 0; n < count; n++)
        start_c[n] = run->temp_c[in[n]];
    double air_from = fridge_air(scene, in, count, law, start_c, scene->fridge_c);
    for (size_t n = 0; n < count; n++)
        end_c[n] = law_temp(&law[n], start_c[n], air_from, step);
    double air_to = fridge_air(scene, in, count, law, end_c, air_from), air = (air_from + air_to) / 2;
    for (size_t n = 0; n < count; n++)
        run->temp_c[in[n]] = law_temp(&law[n], start_c[n], air, step);
    add_piece(scene->fridge, &scene->fridge_pieces, FRIDGE_PIECES_MAX,
              (struct piece){now, now + step, air, STIR_STILL});
}

static void advance_fridge(struct run *run, double to)
{
    const struct scene *scene = run->scene;
    struct cooling_law law[SCENE_LOTS_MAX];
    size_t in[SCENE_LOTS_MAX], count = 0;
    double warmth = 0;
    for (size_t i = 0; i < scene->lots; i++) {
        const struct lot *lot = &scene->lot[i];
        const struct stay *stay = lot_stay(lot, run->now);
        if (stay == NULL || stay->place != PLACE_FRIDGE)
            continue;
        law[count] = scene_law(&scene->batch[lot->batch], PLACE_FRIDGE, STIR_STILL, beliefs(scene, lot));
        warmth += lot->count * scene->batch[lot->batch].capacity_j_per_k * law[count].k_per_s *
                  fabs(run->temp_c[i] - scene->fridge_c);
        in[count++] = i;
    }
    double now = run->now, step = FRIDGE_STEP_S;
    if (warmth / scene->fridge_w_per_k < FRIDGE_RISE_K)
        step = to - now;
    while (count > 0 && now < to) {
        step = fmin(step, to - now);
        step_fridge(run, in, count, law, now, step);
        now += step;
        step = fmin(FRIDGE_STEP_MOST, 1.5 * step);
    }
}

/* --- acts --- */

/* What was read is so. Beside ice it is what the jars feel, until the water is next disturbed; without ice,
 * or when it is too warm for ice to be left, it is the water's temperature. */
static void take_tub_reading(struct run *run, double temp_c)
{
    struct tub *tub = &run->tub;
    run->unknown_c = temp_c;
    if (tub->ice_kg > 0 && temp_c < ICE_BESIDE_C) {
        tub->offset_k = temp_c - tub->water_c;
        return;
    }
    if (tub->ice_kg > 0)
        run->scene->ice_gone_at = run->now;
    tub->water_kg += tub->ice_kg;
    tub->ice_kg = 0;
    tub->water_c = fmax(0, temp_c);
    tub->offset_k = fmin(0, temp_c);
}

static void do_act(struct run *run, const struct tub_act *act)
{
    if (act->kind == TUB_READ) {
        if (act->at <= run->scene->morning->now)
            take_tub_reading(run, act->temp_c);
        return;
    }
    run->tub.offset_k = 0;
    switch (act->kind) {
    case TUB_ADD_ICE: tub_add_ice(&run->tub, act->mass_kg, isnan(act->temp_c) ? 0 : act->temp_c); break;
    case TUB_FILL: tub_add_water(&run->tub, act->mass_kg, act->temp_c); break;
    case TUB_DRAIN: run->tub.water_kg = fmax(WATER_LEAST_KG, run->tub.water_kg - act->mass_kg); break;
    case TUB_STIR: run->stir = act->stir; break;
    case TUB_READ: break;
    }
    if (run->tub.ice_kg > 0)
        run->scene->ice_gone_at = NAN;
}

/* Everything that happens at run->now. */
static void do_acts(struct run *run)
{
    struct scene *scene = run->scene;
    const struct tub_facts *facts = &scene->morning->tub;
    if (!run->started && run->now >= run->start_at) {
        run->started = true;
        if (run->known) {
            tub_add_water(&run->tub, facts->water_kg, facts->water_c);
            if (facts->ice_kg > 0)
                tub_add_ice(&run->tub, facts->ice_kg, isnan(facts->ice_c) ? 0 : facts->ice_c);
        }
    }
    for (; run->next_act < facts->acts && facts->act[run->next_act].at <= run->now; run->next_act++)
        do_act(run, &facts->act[run->next_act]);
    for (size_t i = 0; i < scene->lots; i++)
        if (scene->lot[i].stay[0].from == run->now) {
            const struct scene_batch *batch = &scene->batch[scene->lot[i].batch];
            run->temp_c[i] = batch->poured_c + batch->belief.mean[U_START];
        }
    if (run->now == scene->morning->now) {
        scene->tub_now = run->tub;
        scene->tub_started = run->started;
    }
}

static void sooner(double *next, double now, double at)
{
    if (at > now && at < *next)
        *next = at;
}

static double next_moment(const struct run *run)
{
    const struct scene *scene = run->scene;
    const struct tub_facts *facts = &scene->morning->tub;
    double next = scene->to;
    sooner(&next, run->now, run->start_at);
    sooner(&next, run->now, scene->morning->now);
    if (run->next_act < facts->acts)
        sooner(&next, run->now, facts->act[run->next_act].at);
    for (size_t i = 0; i < scene->lots; i++)
        for (size_t s = 0; s < scene->lot[i].stays; s++)
            sooner(&next, run->now, scene->lot[i].stay[s].from);
    return next;
}

/* The tub begins when it was said to, or with the first jar in it. */
static double tub_start(const struct scene *scene)
{
    double start = isnan(scene->morning->tub.start_at) ? scene->from : scene->morning->tub.start_at;
    for (size_t i = 0; i < scene->lots; i++)
        for (size_t s = 0; s < scene->lot[i].stays; s++)
            if (scene->lot[i].stay[s].place == PLACE_TUB)
                start = fmin(start, scene->lot[i].stay[s].from);
    return start;
}

/* Before it is first read, an unknown tub is taken to be as it was then read. */
static double first_tub_reading(const struct morning *morning)
{
    for (size_t i = 0; i < morning->tub.acts; i++)
        if (morning->tub.act[i].kind == TUB_READ && morning->tub.act[i].at <= morning->now)
            return morning->tub.act[i].temp_c;
    return TUB_UNREAD_C;
}

void scene_run(struct scene *scene)
{
    const struct tub_facts *facts = &scene->morning->tub;
    struct run run = {.scene = scene,
                      .now = scene->from,
                      .known = facts->water_kg > 0,
                      .stir = facts->stir,
                      .unknown_c = first_tub_reading(scene->morning),
                      .start_at = tub_start(scene)};
    run.tub = (struct tub){.room_c = scene->room_c,
                           .room_w_per_k = isnan(facts->room_w_per_k) ? tub_room_w_per_k(facts->water_kg)
                                                                      : facts->room_w_per_k,
                           .constants = water_ice_usual,
                           .tolerance = TUB_TOLERANCE_K};
    scene->tub_pieces = scene->fridge_pieces = 0;
    scene->ice_gone_at = NAN;
    scene->tub_started = false;
    do_acts(&run);
    while (run.now < scene->to) {
        double next = next_moment(&run);
        advance_tub(&run, next);
        advance_table(&run, next);
        advance_fridge(&run, next);
        run.now = next;
        do_acts(&run);
    }
}

double fridge_factor(const struct scene *scene, double ua_w_per_k)
{
    return scene->fridge_w_per_k / (scene->fridge_w_per_k + ua_w_per_k);
}
